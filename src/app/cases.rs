//! What a report leads to: the replacement, its way, the end.

use chrono::NaiveDate;
use serde::Serialize;

use super::decide::beyond;
use super::error::AppError;
use super::facts::{facts, told_last};
use super::reports::{event, find_report, refuse_settled, report_view, standing};
use super::sold::checked_serial;
use super::strength::{StrengthView, WeakLine, refuse_below, weak_strings};
use super::take_back::{self, TakeBackLine};
use super::views::ReportView;
use crate::book::{Author, Book, NewString, Page, StoredRemake, StoredString};
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, Turns};
use crate::trade::ask::OpenQuestion;
use crate::trade::decision::Limit;
use crate::trade::records::SoldString;
use crate::trade::standing::{
    Step, has_to_withdraw, heard_since_answer, is_taken_back, says_fits, standing_after,
};
use crate::trade::strength::strength;
use crate::trade::verdict::{may_be_built, remedy};
use crate::trade::words::{CostOf, Outcome, Route, Standing, Symptom, Verdict};

/// A replacement to be made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewRemake {
    /// Loaded length, where the maker decides otherwise.
    pub length: Option<Length>,
    /// Serial; made where absent.
    pub serial: Option<String>,
    /// Strands, where it gets others than the first.
    pub strands: Option<u32>,
}

/// A replacement with what the bench needs to know.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RemakeView {
    /// The report.
    pub report: String,
    /// Serial of the string it replaces.
    pub replaces: String,
    /// Serial of the new string.
    pub string: String,
    /// Loaded length to build.
    pub length_inch: f64,
    /// What the readings ask for, where another length was given.
    pub worked_out_length_inch: Option<f64>,
    /// Turns to build it with.
    pub turns: Option<f64>,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands.
    pub strands: Option<u32>,
    /// Plies.
    pub plies: u32,
    /// What it holds against what its bow asks for.
    pub strength: StrengthView,
    /// Day it went to the bench.
    pub made_on: NaiveDate,
    /// Day it was posted.
    pub sent_on: Option<NaiveDate>,
    /// Day the old string came back.
    pub back_on: Option<NaiveDate>,
    /// Where the report stands.
    pub standing: Standing,
}

/// Puts a replacement on the bench: a new string, linked to the first, with the corrected length.
///
/// # Errors
/// Unknown report, a replacement is under way already, it is settled, or the book cannot be written.
pub fn remake(book: &mut Book, id: &str, new: &NewRemake, author: &Author) -> Result<RemakeView, AppError> {
    let facts = book.read(|page| facts(page, id))?;
    let (pool, settling) = (facts.pool(), facts.settling());
    let case = facts.case(&pool, settling, author.day);
    let remedy = remedy(case, new.strands).map_err(|_| {
        AppError::refused(
            "no length can be worked out for this string",
            "give the length to build with --length",
        )
    })?;
    let internal = || AppError::Internal("a length or turns out of all bounds".to_owned());
    let worked_out =
        remedy.length.map(|length| Length::try_from_inches(length).ok_or_else(internal)).transpose()?;
    let decided = facts.decision.as_ref().and_then(|stored| stored.decision.length);
    let old = &facts.string.string;
    let length = new.length.or_else(|| decided.and_then(Length::try_from_inches)).or(worked_out);
    let length = length.ok_or_else(|| beyond(Limit::NoLength, id, &old.serial))?;
    if let Some(ordered) = old.ordered.filter(|ordered| (length.inches() - ordered.inches()).abs() > 6.0) {
        return Err(AppError::refused(
            format!(
                "{:.2} in is more than 6 in off the {:.2} in that were ordered",
                length.inches(),
                ordered.inches()
            ),
            "the loaded length of the string is needed, not the bow's",
        ));
    }
    if Some(length) != worked_out
        && let Ok(Err(limit)) = may_be_built(case, length.inches(), remedy.yarn)
    {
        return Err(beyond(limit, id, &old.serial));
    }
    let strands = new.strands.or(old.strands);
    refuse_below(
        &strength(remedy.yarn, strands, facts.bow.draw_weight, &facts.rules),
        "say with --strands how many the new string gets, as you make them for such a bow",
    )?;
    let serial = new.serial.as_deref().map(checked_serial).transpose()?;
    book.write(|page| {
        let (stored, first) = find_report(page, id)?;
        let number = stored.report.number;
        refuse_settled(page, number)?;
        if let Some(under_way) = page.remakes(number)?.last() {
            return Err(AppError::refused(
                match under_way.sent_on {
                    Some(day) => format!("{} is in the post for R-{number} since {day}", under_way.serial),
                    None => format!("{} is on the bench for R-{number} already", under_way.serial),
                },
                format!("if {0} does not fit either, report that: fistmele report add {0}", under_way.serial),
            ));
        }
        let serial = match serial {
            Some(serial) => serial,
            None => serial_after(page, &first)?,
        };
        if page.has_string(&serial)? {
            return Err(AppError::refused(
                format!("serial {serial} is taken"),
                "leave --serial out to have one made",
            ));
        }
        let string = SoldString {
            serial,
            sold_on: author.day,
            delivered_on: None,
            // Of the new string it is known how its length came about.
            route: if old.route == Route::Unknown { Route::WorkedOut } else { old.route },
            stated: None,
            offset: None,
            ordered: Some(length),
            built: None,
            yarn: remedy.yarn,
            strands,
            turns: remedy.turns.and_then(|turns| Turns::new(f64::from(turns))),
            spool: if remedy.yarn == old.yarn { old.spool.clone() } else { None },
            price_cents: None,
            replaces: Some(first.string.serial.clone()),
            ..first.string.clone()
        };
        let new_id = page.add_string(NewString {
            string: &string,
            bow_id: first.bow_id,
            archer_id: first.archer_id,
            imported: None,
        })?;
        page.add_remake(number, new_id, author.day)?;
        page.log(author, event(Step::Remade, &first, number))?;
        page.add_cost(number, author.day, CostOf::Remake, super::page_rules(page)?.costs.remake)?;
        let stored = page.remakes(number)?.pop().ok_or_else(internal)?;
        let mut view = remake_view(page, number, &first.string.serial, &stored)?;
        view.worked_out_length_inch =
            worked_out.filter(|worked_out| *worked_out != length).map(Length::inches);
        Ok(view)
    })
}

/// Numbers that are tried for a serial before one of the program's own pattern is taken.
const MOST_TRIED: u64 = 1000;

/// The serial of a string that replaces `first`, in the pattern of that one: the next free number,
/// or with a number of its own behind it where the serials are given out by a shop, which would give
/// out the next one itself.
fn serial_after(page: &Page<'_>, first: &StoredString) -> Result<String, AppError> {
    let serial = &first.string.serial;
    let number_of = |serial: &str| -> Option<(String, usize, u64)> {
        let text = serial.trim_end_matches(|c: char| c.is_ascii_digit());
        let digits = serial.get(text.len()..)?;
        Some((text.to_owned(), digits.len(), digits.parse().ok()?))
    };
    let (text, width, last) = match number_of(serial).filter(|_| first.imported.is_none()) {
        Some((text, ..)) if text.eq_ignore_ascii_case("S-") => return Ok(page.next_serial()?),
        Some(found) => found,
        None => (format!("{serial}-"), 1, 1),
    };
    // Whoever numbers by hand goes on from the newest.
    let newest = page.newest_serial()?.and_then(|newest| number_of(&newest));
    let last = newest.filter(|(of, ..)| *of == text).map_or(last, |(.., newest)| newest.max(last));
    for number in last.saturating_add(1)..=last.saturating_add(MOST_TRIED) {
        let next = format!("{text}{number:0width$}");
        if checked_serial(&next).is_ok() && !page.has_string(&next)? {
            return Ok(next);
        }
    }
    Ok(page.next_serial()?)
}

/// The length of a replacement, inches, which is always worked out or said.
pub(super) fn ordered(made: &SoldString) -> Result<f64, AppError> {
    let internal = || AppError::Internal(format!("replacement {} without a length", made.serial));
    Ok(made.ordered.ok_or_else(internal)?.inches())
}

fn remake_view(
    page: &Page<'_>,
    number: i64,
    replaces: &str,
    stored: &StoredRemake,
) -> Result<RemakeView, AppError> {
    let made = page.string_of_row(stored.string_id)?;
    let strength = StrengthView::of(&made.string, &page.bow_of(&made)?, &super::page_rules(page)?);
    let string = made.string;
    Ok(RemakeView {
        report: format!("R-{number}"),
        replaces: replaces.to_owned(),
        length_inch: ordered(&string)?,
        worked_out_length_inch: None,
        turns: string.turns.map(|turns| turns.value()),
        yarn: string.yarn,
        strands: string.strands,
        plies: string.plies,
        strength,
        string: string.serial,
        made_on: stored.made_on,
        sent_on: stored.sent_on,
        back_on: stored.back_on,
        standing: standing(page, number)?,
    })
}

fn last_remake(page: &Page<'_>, number: i64) -> Result<StoredRemake, AppError> {
    page.remakes(number)?.pop().ok_or_else(|| {
        AppError::refused(
            format!("nothing is on the bench for R-{number}"),
            format!("put its replacement there first: fistmele remake R-{number}"),
        )
    })
}

/// Notes that the replacement was posted.
///
/// # Errors
/// Unknown report, nothing on the bench, posted already, or the book cannot be written.
pub fn sent(book: &mut Book, id: &str, author: &Author) -> Result<RemakeView, AppError> {
    book.write(|page| {
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        refuse_settled(page, number)?;
        let remake = last_remake(page, number)?;
        if let Some(day) = remake.sent_on {
            return Err(AppError::refused(
                format!("{} was posted on {day} already", remake.serial),
                format!("when the archer has it, settle the report: fistmele settle R-{number}"),
            ));
        }
        page.remake_sent(remake.id, author.day)?;
        page.add_cost(number, author.day, CostOf::Label, super::page_rules(page)?.costs.label)?;
        page.log(author, event(Step::Sent, &string, number))?;
        remake_view(page, number, &string.string.serial, &last_remake(page, number)?)
    })
}

/// Notes that the old string came back.
///
/// # Errors
/// Unknown report, no replacement was made, it came back already, or the book cannot be written.
pub fn back(book: &mut Book, id: &str, author: &Author) -> Result<RemakeView, AppError> {
    book.write(|page| {
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        let remake = last_remake(page, number)?;
        if let Some(day) = remake.back_on {
            return Err(AppError::refused(
                format!("{} came back on {day} already", string.string.serial),
                "see the report with: fistmele report show",
            ));
        }
        page.remake_back(remake.id, author.day)?;
        page.log(author, event(Step::Back, &string, number))?;
        remake_view(page, number, &string.string.serial, &last_remake(page, number)?)
    })
}

/// Takes a settled report up again.
///
/// # Errors
/// Unknown report, not settled, or the book cannot be written.
pub fn resume(book: &mut Book, id: &str, author: &Author) -> Result<ReportView, AppError> {
    book.write(|page| {
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        let now = standing(page, number)?;
        if now != Standing::Settled {
            return Err(AppError::refused(
                format!("R-{number} is not settled but {now}, so there is nothing to take up again"),
                format!("see it with: fistmele report show R-{number}"),
            ));
        }
        page.log(author, event(Step::Resumed, &string, number))?;
        report_view(page, number)
    })
}

/// Something that waits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueLine {
    /// The report.
    pub report: String,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Where it stands.
    pub standing: Standing,
    /// Last verdict.
    pub verdict: Option<Verdict>,
    /// Day of the last step.
    pub since: NaiveDate,
    /// Days since then.
    pub days: i64,
    /// The next command.
    pub next: String,
    /// Its letter was written, and nothing has come since.
    #[serde(skip)]
    pub answered: bool,
    /// What the archer writes may speak of damage, or of trouble with the bow.
    #[serde(skip)]
    pub signs: bool,
}

/// What waits on the workshop, and whom it waits for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueView {
    /// The day.
    pub today: NaiveDate,
    /// Strings that must not be shot and are out there: below the floor of strength. They come first.
    pub below_floor: Vec<WeakLine>,
    /// Letters that another has to take back: what they rest on is struck.
    pub to_take_back: Vec<TakeBackLine>,
    /// The workshop's turn, longest first.
    pub workshop: Vec<DueLine>,
    /// Archers who have not answered for longer than the workshop waits, longest first.
    pub silent_archers: Vec<DueLine>,
    /// With the archer or in the post, still in time.
    pub in_time: usize,
}

/// What waits on the workshop and which archers have not answered.
///
/// # Errors
/// The book cannot be read.
pub fn due(book: &mut Book, today: NaiveDate) -> Result<DueView, AppError> {
    book.read(|page| {
        let rules = super::page_rules(page)?;
        let wait = rules.wait_days;
        let mut view = DueView {
            today,
            below_floor: weak_strings(page, &rules, today)?,
            to_take_back: take_back::lines(page, today)?,
            workshop: Vec::new(),
            silent_archers: Vec::new(),
            in_time: 0,
        };
        for line in page.open_reports()? {
            let standing = standing_after(&line.steps, line.last.is_some_and(|last| last.promises()));
            let answered = line.steps.last().is_some_and(|step| step.is_letter());
            let since = line.since.unwrap_or(line.received_on);
            let days = (today - since).num_days().max(0);
            let id = format!("R-{}", line.number);
            let next = match standing {
                Standing::OnBench => format!("fistmele remake sent {id}"),
                Standing::WithArcher | Standing::InPost => format!("fistmele letter {id}"),
                _ if answered => format!("fistmele remake {id}"),
                _ => format!("fistmele advise {id}"),
            };
            let due = DueLine {
                report: id,
                string: line.serial,
                archer: line.archer,
                symptoms: line.symptoms,
                standing,
                verdict: line.last.map(|last| last.verdict),
                since,
                days,
                next,
                answered,
                signs: line.signs,
            };
            match standing {
                Standing::ToAnswer | Standing::OnBench => view.workshop.push(due),
                _ if days >= wait => view.silent_archers.push(due),
                _ => view.in_time += 1,
            }
        }
        view.workshop.sort_by(|a, b| b.days.cmp(&a.days).then_with(|| a.report.cmp(&b.report)));
        view.silent_archers.sort_by(|a, b| b.days.cmp(&a.days).then_with(|| a.report.cmp(&b.report)));
        Ok(view)
    })
}

/// The chain of replacements a string belongs to, first string first; empty without any.
pub(super) fn chain(page: &Page<'_>, stored: &StoredString) -> Result<Vec<String>, AppError> {
    let mut string = stored.clone();
    let mut seen = vec![string.id];
    while let Some(before) = string.string.replaces.clone() {
        let Some(found) = page.string(&before)? else { break };
        string = found;
        // A damaged book must not send the walk round in circles.
        if seen.contains(&string.id) {
            break;
        }
        seen.push(string.id);
    }
    let mut chain = vec![string.string.serial.clone()];
    let mut next = page.replacements_of(string.id)?;
    while let Some(serial) = next.pop().filter(|serial| !chain.contains(serial)) {
        let Some(stored) = page.string(&serial)? else { break };
        chain.push(serial);
        next = page.replacements_of(stored.id)?;
    }
    Ok(if chain.len() > 1 { chain } else { Vec::new() })
}

/// What a letter about a report has to know of its way.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Where it stands.
    pub standing: Standing,
    /// Days since the last step.
    pub days: i64,
    /// Days the workshop waits for an archer.
    pub wait_days: i64,
    /// The last replacement.
    pub remake: Option<RemakeView>,
    /// How it ended, where it is settled.
    pub outcome: Option<Outcome>,
    /// What the last message left open.
    pub questions: Vec<OpenQuestion>,
    /// Its letter was written, and nothing has come since.
    pub answered: bool,
    /// The archer wrote after the last answer or parcel.
    pub heard: bool,
    /// The last message reads a brace height, and came after the last answer or parcel.
    pub read_since: bool,
    /// The last message says that the string fits now.
    pub says_fits: bool,
    /// The last message reads a brace height.
    pub read_last: bool,
    /// The last letter, where the next has to say that it counts no more.
    pub withdraws: Option<Withdrawn>,
    /// Day of the last letter and the turns that it told, in (+) or out (-), where nothing was measured since,
    /// and another letter may tell some: they must not be made twice.
    pub told_before: Option<(NaiveDate, i32)>,
}

/// A letter that counts no more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Withdrawn {
    /// Its day.
    pub letter_of: NaiveDate,
    /// It was taken back by one of its own; else it rests on what was struck, and the next letter does.
    pub taken_back: bool,
}

/// The way of a report so far.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn way(book: &mut Book, id: &str, today: NaiveDate) -> Result<Way, AppError> {
    book.read(|page| way_on(page, id, today))
}

/// Turns that are with the archer while another letter is due, and its day. The same letter once more says
/// what it said.
fn told_before(page: &Page<'_>, number: i64, steps: &[Step]) -> Result<Option<(NaiveDate, i32)>, AppError> {
    if steps.last().is_some_and(|step| *step == Step::Answered) || page.is_measured_since_letter(number)? {
        return Ok(None);
    }
    told_last(page, number)
}

pub(super) fn way_on(page: &Page<'_>, id: &str, today: NaiveDate) -> Result<Way, AppError> {
    let (stored, string) = find_report(page, id)?;
    let number = stored.report.number;
    let standing = standing(page, number)?;
    let since = page.last_step(number)?.unwrap_or(stored.report.received_on);
    let remake = match page.remakes(number)?.last() {
        Some(remake) => Some(remake_view(page, number, &string.string.serial, remake)?),
        None => None,
    };
    let steps = page.steps(number)?;
    let taken_back = is_taken_back(&steps);
    let read_last = stored.report.readings.last().is_some_and(|last| last.measurements.brace.is_some());
    Ok(Way {
        standing,
        days: (today - since).num_days().max(0),
        wait_days: super::page_rules(page)?.wait_days,
        remake,
        outcome: match standing {
            Standing::Settled => page.settlement(number)?.map(|settlement| settlement.outcome),
            _ => None,
        },
        questions: page.open_questions(number)?,
        withdraws: if has_to_withdraw(&steps) || taken_back {
            page.letter_after(number, None)?.map(|letter_of| Withdrawn { letter_of, taken_back })
        } else {
            None
        },
        told_before: told_before(page, number, &steps)?,
        answered: steps.last().is_some_and(|step| step.is_letter()),
        heard: heard_since_answer(&steps),
        says_fits: says_fits(&steps),
        read_last,
        read_since: heard_since_answer(&steps) && read_last,
    })
}

//! An archer's e-mail: whose it is, which string it is about, what it says.

mod log;
mod view;

use std::collections::VecDeque;
use std::sync::Arc;

use chrono::{Datelike, NaiveDate};
pub use log::{SaidOfMail, log, log_each, refuse_forgotten, said_new_address};
use view::line;
pub use view::{EachString, MailView, ReadLine};

use super::error::AppError;
use super::logging::{self, MailName};
use super::reports;
use super::which_string::{Which, which};
use crate::book::{Book, Page, StoredString};
use crate::danger::{self, Danger};
use crate::mail::{
    ALL_TURNS, About, Ambiguous, Called, Each, Fact, FormSays, Found, Mail, Proposal, brace_symptom,
    propose_each,
};
use crate::quantity::{Length, Turns, Unit};
use crate::trade::ask::{MOST_QUESTIONS, OpenQuestion};
use crate::trade::plausible;
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::reply::{Field, Filled};
use crate::trade::signs::SignOf;
use crate::trade::words::{Ask, MailKind, Symptom};

/// A mail with what was proposed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadMail {
    /// What is shown.
    pub view: MailView,
    named: Vec<String>,
    each: Vec<ReadMail>,
    proposal: Proposal,
    form: FormSays,
    received_on: NaiveDate,
    /// What it is known again by.
    pub name: MailName,
}

impl ReadMail {
    /// What is asked back once somebody has said so much of it: what is doubtful, and what is only
    /// likely and nobody said, the most telling first.
    #[must_use]
    pub fn questions_left(&self, measured: &Measurements, bow: &BowChanges) -> Vec<OpenQuestion> {
        let answered = |about: About| match about {
            About::Brace => measured.brace.is_some(),
            About::Turns => measured.turns_changed.is_some(),
            About::Shots => measured.shots.is_some(),
            About::BowYear => bow.year.is_some(),
            About::StringLength => measured.length_at.is_some(),
            About::BowKind => bow.kind.is_some(),
            About::Tips => bow.tips.is_some(),
            About::Stave => bow.stave.is_some(),
            About::Marker => measured.marker.is_some(),
        };
        let mut left: Vec<&Ambiguous> = Vec::new();
        for doubt in self.proposal.ambiguous.iter().chain(&self.proposal.unsettled) {
            if !answered(doubt.about) && !left.iter().any(|held| held.about == doubt.about) {
                left.push(doubt);
            }
        }
        left.sort_by_key(|doubt| doubt.about);
        // What our form leaves open was asked for: it comes before what else is doubtful.
        let of_form = self.form.doubts.iter().filter(|doubt| match doubt.field {
            Field::Turns => measured.turns_changed.is_none(),
            Field::Shots => measured.shots.is_none(),
            _ => measured.brace.is_none(),
        });
        let of_form = of_form.map(|doubt| {
            let about = match doubt.field {
                Field::Turns => Ask::TurnsMade,
                Field::Shots => Ask::Shots,
                _ => Ask::Brace,
            };
            OpenQuestion { about: Some(about), question: doubt.question.clone() }
        });
        let mut questions: Vec<OpenQuestion> = Vec::new();
        for open in of_form.chain(left.into_iter().map(open_question)) {
            if questions.len() < MOST_QUESTIONS && !questions.iter().any(|held| held.about == open.about) {
                questions.push(open);
            }
        }
        questions
    }

    /// What is asked back where nobody says more than what is sure.
    #[must_use]
    pub fn questions(&self) -> Vec<OpenQuestion> {
        self.questions_left(&measurements(&self.proposal, &self.form), &self.proposal.bow_changes())
    }

    /// Takes what one press takes of what is likely, as if it were sure.
    pub fn take_likeliest(&mut self) {
        self.each.iter_mut().for_each(Self::take_likeliest);
        self.view.each = self.each.iter().map(EachString::from).collect();
        let taken: Vec<ReadLine> = self.view.likeliest().into_iter().cloned().collect();
        let perhaps: Vec<ReadLine> =
            self.view.likely.iter().filter(|line| line.what == "symptom").cloned().collect();
        let (sure, left) = std::mem::take(&mut self.proposal.likely)
            .into_iter()
            .partition(|found| taken.contains(&line(found)));
        (self.proposal.likely, self.view.likely) = (left, Vec::new());
        self.view.likely.extend(self.proposal.likely.iter().map(line).chain(perhaps));
        self.proposal.read.extend::<Vec<_>>(sure);
        self.view.read.extend(taken);
        let said = measurements(&self.proposal, &self.form);
        let want = said.want.or(self.proposal.bow_changes().brace_range);
        let symptom = said.brace.zip(want).and_then(|(brace, want)| brace_symptom(brace, want));
        let is_said = |found: &Found<Symptom>| matches!(found.value, Symptom::BraceLow | Symptom::BraceHigh);
        if let Some(symptom) = symptom.filter(|_| !self.proposal.symptoms.iter().any(is_said)) {
            self.proposal.symptoms.push(Found {
                value: symptom,
                words: String::new(),
                place: None,
                chance: 1.0,
            });
        }
    }

    /// What was read of danger in the whole of it, quoted and passed-on parts among it.
    #[must_use]
    pub fn danger(&self) -> Danger {
        Danger { signs: self.view.signs.clone(), denied: self.view.denied.clone() }
    }

    /// The strings that the mail names, or an order that was said holds, where there are several.
    #[must_use]
    pub fn named(&self) -> &[String] {
        &self.named
    }

    /// The same mail as it was read for each of these strings.
    #[must_use]
    pub fn each(&self) -> &[Self] {
        &self.each
    }

    /// Day it came in: the day of sending where that can be, else today.
    #[must_use]
    pub const fn received_on(&self) -> NaiveDate {
        self.received_on
    }

    /// The unit in which the archer gives their brace height, or else the range they want. Lengths of
    /// bows are inches to everybody, and what the bow's maker gives stands on the limb.
    #[must_use]
    pub fn unit(&self) -> Option<Unit> {
        let lines = || self.view.read.iter().chain(&self.view.likely);
        let of = |what: &str| {
            lines().filter(|line| line.what == what).find_map(|line| Unit::written_in(&line.words))
        };
        of("brace").or_else(|| of("want"))
    }
}

/// What a mail left open, by what it is about.
fn open_question(doubt: &Ambiguous) -> OpenQuestion {
    let about = match doubt.about {
        About::Brace => Ask::Brace,
        About::Turns => Ask::TurnsMade,
        About::BowKind => Ask::BowKind,
        About::Stave => Ask::Stave,
        About::Tips => Ask::Tips,
        About::Shots => Ask::Shots,
        About::BowYear => Ask::BowYear,
        About::StringLength => Ask::StringLength,
        About::Marker => Ask::WhichWayUp,
    };
    OpenQuestion { about: Some(about), question: doubt.question.clone() }
}

/// Lays our form, filled in, over what was read in the archer's own words: it says with certainty what
/// these may only seem to say. Below the text its lines are kept as well.
fn lay_over(view: &mut MailView, filled: &Filled, form: &FormSays) {
    if !view.text.is_empty() {
        view.text.push_str("\n\n");
    }
    let start = view.text.len();
    view.text.push_str(&filled.lines().join("\n"));
    for (field, words) in &form.read {
        let measured = &form.measured;
        let (what, value) = match field {
            Field::Brace => ("brace", measured.brace.map(|brace| brace.inches().into())),
            Field::ReadWith => ("by", measured.read_by.map(|by| by.as_str().into())),
            Field::Turns => ("turns-changed", measured.turns_changed.map(|turns| turns.value().into())),
            Field::Shots => ("shots", measured.shots.map(|shots| shots.into())),
            Field::Serial | Field::Strand | Field::Bow | Field::Shot => continue,
        };
        // With its label: another line may begin with the same figure.
        let label = format!("{}: ", filled.label(*field));
        let place = view.text.get(start..).and_then(|lines| lines.find(&format!("{label}{words}")));
        let Some((value, at)) = value.zip(place) else { continue };
        let from = start + at + label.len();
        view.read.retain(|line| line.what != what && (what != "brace" || line.what != "readings"));
        view.likely.retain(|line| line.what != what);
        view.read.push(ReadLine {
            what,
            value,
            words: words.clone(),
            place: Some((from, from + words.len())),
            chance: 1.0,
        });
    }
    if let Some(count) = form.measured.readings
        && let Some(brace) = view.read.iter().find(|line| line.what == "brace")
    {
        view.read.push(ReadLine { what: "readings", value: count.into(), ..brace.clone() });
    }
    view.questions.extend(form.doubts.iter().map(|doubt| doubt.question.clone()));
}

/// The measurements of a mail: what the form says, and of the rest what was read.
fn measurements(proposal: &Proposal, form: &FormSays) -> Measurements {
    let read = proposal.measurements();
    let said = &form.measured;
    Measurements {
        brace: said.brace.or(read.brace),
        read_by: said.read_by,
        readings: if said.brace.is_some() { said.readings } else { read.readings },
        turns_changed: said.turns_changed.or(read.turns_changed),
        shots: said.shots.or(read.shots),
        ..read
    }
}

/// The day before which no message about a string can have come: its sale, or its last report.
fn earliest_day(page: &Page<'_>, stored: &StoredString) -> Result<NaiveDate, AppError> {
    let last = match page.reports_of(stored.id)?.last() {
        Some(number) => page.report(*number)?.map(|stored| stored.report.received_on),
        None => None,
    };
    Ok(last.map_or(stored.string.sold_on, |last| last.max(stored.string.sold_on)))
}

fn words_of(danger: &Danger, wanted: fn(SignOf) -> bool) -> Vec<String> {
    danger.signs.iter().filter(|sign| wanted(sign.of)).map(|sign| sign.words.clone()).collect()
}

/// Turns in a string as far as is noted: as it was built, with what was put in or taken out since
/// its open report came in.
fn turns_so_far(page: &Page<'_>, string: &StoredString, open: Option<i64>) -> Result<Option<f64>, AppError> {
    let Some(built) = string.string.turns else { return Ok(None) };
    let report = open.map(|number| page.report(number)).transpose()?.flatten();
    let readings = report.map(|stored| stored.report.readings).unwrap_or_default();
    let changed = readings.iter().filter_map(|reading| reading.measurements.turns_changed);
    Ok(Some(built.value() + changed.map(|turns| turns.value()).sum::<f64>()))
}

/// What a mail seems to say and cannot be is not taken from it but asked.
fn ask_what_cannot_be(proposal: &mut Proposal, today: NaiveDate, turns_so_far: Option<f64>) {
    let question = |fact: Fact| match fact {
        Fact::BowYear(year) if plausible::bow_year(year, today.year()).is_err() => {
            Some((About::BowYear, "In which year was the bow made?"))
        }
        Fact::Shots(shots) if plausible::SHOTS.check(shots).is_err() => {
            Some((About::Shots, "How many shots were made with the string in all, since it was new?"))
        }
        Fact::Turns(turns)
            if plausible::turns_changed(turns).is_err()
                || turns_so_far.is_some_and(|before| plausible::turns_after(before, turns).is_err()) =>
        {
            Some((About::Turns, ALL_TURNS))
        }
        Fact::Readings(readings) if plausible::READINGS.check(readings).is_err() => {
            Some((About::Brace, "Of how many readings is the brace height the mean?"))
        }
        _ => None,
    };
    for found in std::mem::take(&mut proposal.read) {
        match question(found.value) {
            Some((about, question)) => {
                proposal.ambiguous.push(Ambiguous {
                    words: found.words,
                    question: question.to_owned(),
                    about,
                });
            }
            None => proposal.read.push(found),
        }
    }
    proposal.likely.retain(|found| question(found.value).is_none());
}

/// What a mail may say, and the danger in it, as they were read.
#[derive(Debug, Clone, PartialEq)]
struct Told {
    each: Each,
    danger: Danger,
}

/// By what it is known again that a mail was read already: a digest of its text, the unit of the book, the
/// references it may hold, and the strings among which it was shared out.
type Key = (String, Unit, Vec<String>, Vec<Called>);

/// What was read of mails. Each is read once, so what is noted is what was shown.
#[derive(Debug, Default)]
pub struct Readings(VecDeque<(Key, Arc<Told>)>);

/// Most mails of which it is kept what was read.
const MOST_READ: usize = 60;

impl Readings {
    fn of(&mut self, mail: &Mail, key: Key) -> Arc<Told> {
        if let Some((_, told)) = self.0.iter().find(|(held, _)| *held == key) {
            return Arc::clone(told);
        }
        let (_, unit, references, strings) = &key;
        let told = Arc::new(Told {
            each: propose_each(mail, *unit, references, strings),
            danger: danger::read(mail.subject.as_deref(), &mail.whole),
        });
        self.0.truncate(MOST_READ - 1);
        self.0.push_front((key, Arc::clone(&told)));
        told
    }
}

/// Reads a mail and proposes what it says; logs nothing.
///
/// # Errors
/// A serial that was said is unknown, or the book cannot be read.
pub fn read(
    book: &mut Book,
    mail: &Mail,
    told: Option<&str>,
    (unit, today): (Unit, NaiveDate),
    readings: &mut Readings,
) -> Result<ReadMail, AppError> {
    book.read(|page| {
        let mut which = which(page, mail, told)?;
        let strings = which.among.iter().map(|serial| called(page, serial)).collect::<Result<Vec<_>, _>>()?;
        let digest = crate::words::digest(&format!("{:?}\n{}", mail.subject, mail.whole));
        let said = readings.of(mail, (digest, unit, which.references.clone(), strings));
        which.speaks_of(&said.each.spoken);
        let reader = OfString { page, mail, said: &said, unit, today };
        // Of several strings each gets what is said of it alone.
        let own = |serial: &String| {
            let at = which.among.iter().position(|one| one == serial).filter(|_| which.is_of_several);
            at.and_then(|at| said.each.each.get(at)).unwrap_or(&said.each.whole).clone()
        };
        let each = which
            .named
            .iter()
            .map(|serial| reader.read(own(serial), Some(serial), &which))
            .collect::<Result<Vec<_>, _>>()?;
        let proposal = which.string.as_ref().map_or_else(|| said.each.whole.clone(), own);
        let mut read = reader.read(proposal, which.string.as_ref(), &which)?;
        read.view.two_archers = super::archers::two_archers(page, &which.named)?;
        read.view.each = each.iter().map(EachString::from).collect();
        Ok(ReadMail { each, named: which.named, ..read })
    })
}

/// By what people call a string.
fn called(page: &Page<'_>, serial: &str) -> Result<Called, AppError> {
    let stored = super::sold::find_string(page, serial)?;
    let (string, bow) = (&stored.string, page.bow_of(&stored)?);
    // People tell strings apart by their bows, and by their own lengths where nobody knows these.
    let lengths = match bow.marked_length {
        Some(marked) => vec![marked],
        None => [string.ordered, string.built].into_iter().flatten().collect(),
    };
    let colours = string.colours.as_deref().unwrap_or_default();
    let words = colours.split(|c: char| !c.is_alphabetic()).chain([bow.kind.as_str()]);
    Ok(Called {
        names: [Some(string.serial.clone()), string.order_ref.clone()].into_iter().flatten().collect(),
        inches: lengths.into_iter().map(Length::inches).collect(),
        words: words.filter(|word| !word.is_empty()).map(str::to_lowercase).collect(),
    })
}

/// A mail read for one string, or for none that is known.
struct OfString<'a> {
    page: &'a Page<'a>,
    mail: &'a Mail,
    said: &'a Told,
    unit: Unit,
    today: NaiveDate,
}

impl OfString<'_> {
    fn read(
        &self,
        mut proposal: Proposal,
        serial: Option<&String>,
        which: &Which,
    ) -> Result<ReadMail, AppError> {
        let Self { page, mail, said, unit, today } = *self;
        let string = serial.map(|serial| page.string(serial)).transpose()?.flatten();
        let open = string.as_ref().map(|string| reports::open_report(page, string)).transpose()?.flatten();
        let turns_before = match &string {
            Some(string) => turns_so_far(page, string, open)?,
            None => None,
        };
        let told = open.map(|number| super::facts::told_last(page, number)).transpose()?.flatten();
        let told = told.map(|(_, turns)| turns);
        if let Some(turns) = told.and_then(|told| Turns::new(f64::from(told))) {
            proposal.take_as_told(turns);
        }
        ask_what_cannot_be(&mut proposal, today, turns_before);
        // A sender's clock may be wrong; a day that cannot be is not taken from it.
        let earliest = string.as_ref().map(|string| earliest_day(page, string)).transpose()?;
        let received_on = mail
            .sent_on
            .filter(|day| *day <= today && earliest.is_none_or(|earliest| *day >= earliest))
            .unwrap_or(today);
        let forgotten_on = match &mail.from_address {
            Some(address) => super::forget::Forgotten::read(page)?.day_of(address),
            None => None,
        };
        let new_address = match (&string, &mail.from_address) {
            (Some(string), Some(address)) => !super::archers::is_known(page, string, address)?,
            _ => false,
        };
        // A bare figure in our form is in the unit in which it asked for it; a form that names its string is
        // of that one alone.
        let own = string.as_ref().map(|string| page.archer(string.archer_id)).transpose()?;
        let asked_in = own.and_then(|archer| archer.unit).unwrap_or(unit);
        let is_of_it = |form: &&Filled| {
            let said = form.said(Field::Serial).filter(|_| which.is_of_several);
            said.is_none_or(|said| serial.is_none_or(|serial| serial.eq_ignore_ascii_case(said.trim())))
        };
        let filled = mail.form.as_ref().filter(is_of_it);
        let form = filled.map(|form| FormSays::of(form, asked_in, told)).unwrap_or_default();
        let symptom = |found: &Found<Symptom>| ReadLine {
            what: "symptom",
            value: found.value.as_str().into(),
            words: found.words.clone(),
            place: found.place,
            chance: found.chance,
        };
        let danger = &said.danger;
        let mut view = MailView {
            from: mail.from_name.clone(),
            address: mail.from_address.clone(),
            subject: mail.subject.clone(),
            sent_on: mail.sent_on,
            attachments: mail.attachments,
            text: mail.text.clone(),
            kind: proposal.kind,
            // A mail with any sign of danger is a case, whatever else it is.
            is_case: proposal.kind.is_case() || !danger.signs.is_empty(),
            string: serial.cloned(),
            found_by: which.found_by.clone(),
            candidates: which.candidates.clone(),
            symptoms: proposal.symptoms.iter().map(symptom).collect(),
            new_address,
            read: proposal.read.iter().map(line).collect(),
            likely: proposal.likely.iter().map(line).chain(proposal.perhaps.iter().map(symptom)).collect(),
            forgotten_on,
            bow_signs: words_of(danger, |of| of == SignOf::Bow),
            damage_signs: words_of(danger, |of| of != SignOf::Bow),
            signs: danger.signs.clone(),
            denied: danger.denied.clone(),
            questions: proposal.ambiguous.iter().map(|doubt| doubt.question.clone()).collect(),
            two_archers: None,
            each: Vec::new(),
            goes_on: None,
            held_by: None,
            report: None,
            reports: Vec::new(),
        };
        if let Some(filled) = filled {
            lay_over(&mut view, filled, &form);
        }
        view.held_by = held_by(page, &view, &mail.mark)?;
        view.goes_on = open.map(|number| format!("R-{number}"));
        // That it fits is worth noting where something is open.
        view.is_case |= view.kind == MailKind::Fits && view.goes_on.is_some();
        Ok(ReadMail {
            view,
            named: Vec::new(),
            each: Vec::new(),
            proposal,
            form,
            received_on,
            name: mail.into(),
        })
    }
}

/// The report of a string it may be about that holds this very message.
fn held_by(page: &Page<'_>, view: &MailView, mark: &str) -> Result<Option<String>, AppError> {
    if let Some(number) = page.noted_mails(mark)?.into_iter().find_map(|noted| noted.report) {
        return Ok(Some(format!("R-{number}")));
    }
    let may_be = match &view.string {
        Some(serial) => std::slice::from_ref(serial),
        None => view.candidates.as_slice(),
    };
    for serial in may_be {
        let string = page.string(serial)?;
        let holder = string.map(|string| logging::holder(page, &string, &view.text)).transpose()?.flatten();
        if let Some(number) = holder {
            return Ok(Some(format!("R-{number}")));
        }
    }
    Ok(None)
}

//! What hangs on the peg: what waits for the workshop, and which archers have not answered.

use serde::Serialize;

use super::came_in::CameInView;
use super::page::Page;
use super::routes::Asked;
use super::{Open, Reply, Shared, string};
use crate::app;
use crate::app::cases::DueLine;
use crate::app::copies::CopiesView;
use crate::app::strength::WeakLine;
use crate::app::take_back::TakeBackLine;
use crate::error::Problem;
use crate::show::names::symptom_name;
use crate::show::strength::strength_line;
use crate::trade::words::{Standing, Symptom, Verdict};

/// A slip on the peg.
#[derive(Serialize)]
struct Slip {
    report: String,
    string: String,
    string_address: String,
    archer: Option<String>,
    says: String,
    standing: &'static str,
    verdict: Option<&'static str>,
    /// What has to be done, for those on the peg.
    todo: &'static str,
    days: Option<i64>,
    /// Somebody may be hurt: it comes first.
    danger: bool,
    received_on: Option<String>,
}

fn says(symptoms: &[Symptom]) -> String {
    symptoms.iter().map(|symptom| symptom_name(*symptom)).collect::<Vec<_>>().join(", ")
}

/// What has to be done next, in the words of the page.
const fn todo(standing: Standing, verdict: Option<Verdict>, answered: bool) -> &'static str {
    match standing {
        Standing::OnBench => "make and post the replacement",
        Standing::WithArcher => "remind the archer",
        Standing::InPost => "ask whether it came and fits",
        Standing::ToAnswer if answered => "the letter is out: put the new string on the bench",
        Standing::ToAnswer if matches!(verdict, Some(Verdict::Remake)) => {
            "answer, and put the remake on the bench"
        }
        Standing::ToAnswer => "answer the mail",
        Standing::Settled => "",
    }
}

fn is_danger(line: &DueLine) -> bool {
    line.signs
        || matches!(line.verdict, Some(Verdict::Stop | Verdict::Refer))
        || line.symptoms.iter().any(|symptom| symptom.is_danger())
}

/// Slips in the order they hang: danger first, then the longest.
fn slips(lines: Vec<DueLine>) -> Vec<Slip> {
    let mut slips: Vec<Slip> = lines.into_iter().map(slip).collect();
    slips.sort_by_key(|slip| !slip.danger);
    slips
}

fn slip(line: DueLine) -> Slip {
    Slip {
        string_address: string::address(&line.string),
        says: says(&line.symptoms),
        standing: line.standing.as_str(),
        verdict: line.verdict.map(Verdict::as_str),
        todo: todo(line.standing, line.verdict, line.answered),
        days: Some(line.days),
        danger: is_danger(&line),
        received_on: None,
        report: line.report,
        string: line.string,
        archer: line.archer,
    }
}

/// A string that must not be shot: it hangs before all else.
#[derive(Serialize)]
struct WeakSlip {
    string: String,
    address: String,
    archer: Option<String>,
    strength: String,
    todo: String,
    days: i64,
}

fn weak_slip(line: WeakLine) -> WeakSlip {
    WeakSlip {
        address: string::address(&line.string),
        strength: strength_line(&line.strength),
        todo: match line.warned_on {
            None => "send the letter that says not to shoot it".to_owned(),
            Some(day) => format!("told on {day}: make a new string, and enter it as replacing this one"),
        },
        days: line.days,
        archer: line.archer,
        string: line.string,
    }
}

/// A report that is struck, and on which a letter went out.
fn take_back_slip(line: TakeBackLine) -> Slip {
    Slip {
        string_address: string::address(&line.string),
        says: format!("struck; our letter of {} is still with the archer", line.letter_of),
        standing: "",
        verdict: None,
        todo: "send the letter that takes it back",
        days: Some(line.days),
        danger: false,
        received_on: None,
        report: line.report,
        string: line.string,
        archer: line.archer,
    }
}

#[derive(Serialize)]
struct Peg {
    weak: Vec<WeakSlip>,
    workshop: Vec<Slip>,
    silent: Vec<Slip>,
    in_time: usize,
    no_strings: bool,
    copies: Option<CopiesView>,
    came_in: Option<CameInView>,
}

/// The first page.
pub(super) fn peg(shared: &Shared, asked: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let due = app::cases::due(&mut open.book, open.author.day)?;
    let came_in = CameInView::read(shared, &mut open)?;
    let came = came_in.as_ref().map_or(0, CameInView::count);
    // So many are for us to do: the tab says it while another is looked at.
    let ours = due.below_floor.len() + due.to_take_back.len() + due.workshop.len() + came;
    let title = if ours > 0 { format!("({ours}) On the peg") } else { "On the peg".to_owned() };
    let data = Peg {
        came_in,
        copies: shared.desk.copies()?,
        no_strings: came == 0
            && due.below_floor.is_empty()
            && due.to_take_back.is_empty()
            && due.workshop.is_empty()
            && due.silent_archers.is_empty()
            && due.in_time == 0,
        weak: due.below_floor.into_iter().map(weak_slip).collect(),
        workshop: due.to_take_back.into_iter().map(take_back_slip).chain(slips(due.workshop)).collect(),
        silent: slips(due.silent_archers),
        in_time: due.in_time,
    };
    let told = shared.told.take(asked.get("told").map(String::as_str));
    Page { told, ..Page::new("peg.html", &title, "peg") }.with(shared, &open, &data)
}

#[derive(Serialize)]
struct Reports {
    standings: Vec<(&'static str, bool)>,
    lines: Vec<Slip>,
    /// What is struck, where that is asked for.
    struck: Option<Vec<StruckSlip>>,
    /// How many more there are than are shown.
    left: usize,
}

/// The standing under which the list of what is struck is asked for.
const STRUCK: &str = "struck";

/// Something that is struck, with the press that brings it back.
#[derive(Serialize)]
struct StruckSlip {
    id: String,
    what: &'static str,
    /// Its page.
    address: String,
    string: String,
    string_address: String,
    archer: Option<String>,
    mark: String,
    seen: i64,
}

fn struck(open: &mut Open) -> Result<Vec<StruckSlip>, Problem> {
    let lines = app::strikes::struck(&mut open.book)?;
    lines
        .into_iter()
        .take(MOST)
        .map(|line| {
            let string_address = string::address(&line.string);
            Ok(StruckSlip {
                address: line.report.map_or_else(|| string_address.clone(), |of| format!("/report/{of}")),
                seen: app::reports::last_line(&mut open.book, &line.string)?,
                mark: line.struck.to_string(),
                id: line.id,
                what: line.what,
                string: line.string,
                string_address,
                archer: line.archer,
            })
        })
        .collect()
}

/// Most reports on one page.
const MOST: usize = 200;

/// All reports, or those of one standing, newest first.
pub(super) fn reports(shared: &Shared, asked: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let of_struck = asked.get("standing").is_some_and(|text| text == STRUCK);
    let wanted = asked.get("standing").and_then(|text| text.parse::<Standing>().ok());
    let struck = if of_struck { Some(struck(&mut open)?) } else { None };
    let mut lines = if of_struck { Vec::new() } else { app::reports::list(&mut open.book, wanted)? };
    let left = lines.len().saturating_sub(MOST);
    lines.truncate(MOST);
    let data = Reports {
        standings: Standing::ALL
            .iter()
            .map(|standing| (standing.as_str(), Some(*standing) == wanted))
            .chain([(STRUCK, of_struck)])
            .collect(),
        struck,
        lines: lines
            .into_iter()
            .map(|line| Slip {
                string_address: string::address(&line.string),
                says: says(&line.symptoms),
                standing: line.standing.as_str(),
                verdict: line.verdict.map(Verdict::as_str),
                todo: "",
                days: None,
                danger: false,
                received_on: Some(line.received_on.to_string()),
                report: line.report,
                string: line.string,
                archer: line.archer,
            })
            .collect(),
        left,
    };
    Page::new("reports.html", "All reports", "peg").with(shared, &open, &data)
}

//! A report: its verdict, brace rule and letter, and the steps it can take.

use super::fields::{DECISION, END, Field, REPLACEMENT};
use super::forms::Filled;
use super::page::{Page, PlainLetter, expect, expect_letter};
use super::problem::{ProblemView, Refused, led_on};
use super::report_view::{Letter, Looked, Tried, report_page};
use super::routes::Asked;
use super::strike::{self, StruckPage};
use super::string::{self, Said, logged_at};
use super::{Open, Reply, Shared};
use crate::app::danger::{self, Word};
use crate::app::decide::{self, NewDecision};
use crate::app::logging::NewReading;
use crate::app::outgoing::{self, Outgoing};
use crate::app::{self, advise, cases, settle};
use crate::error::{Kind, Problem};
use crate::letters;
use crate::quantity::Measure;
use crate::show::cases::settled_sentence;
use crate::show::names::standing_name;
use crate::show::page::TextPage;
use crate::show::{records, web};
use crate::trade::plausible::{STRANDS, Whole};

fn page(
    shared: &Shared,
    open: &mut Open,
    id: &str,
    asked: &Asked,
    tried: &Tried<'_>,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let told = shared.told.take(asked.get("told").map(String::as_str));
    let turns = asked.get("turns").and_then(|text| text.trim().parse().ok());
    let looked = Looked::at(open, id, tried)?;
    if looked.view.struck.is_some() {
        let letter = take_back(shared, open, id)?;
        return struck(looked, letter, open).show(shared, open, told, problem);
    }
    let data = report_page(shared, open, looked, turns, tried)?;
    let title = format!("Report {id}");
    Page { told, problem, ..Page::new("report.html", &title, "peg") }.with(shared, open, &data)
}

/// The page of a report that is struck.
fn struck(looked: Looked, letter: Option<PlainLetter>, open: &Open) -> StruckPage {
    let mut text = TextPage::new(80);
    records::report(&mut text, &looked.view, &open.style, true);
    let address = string::address(&looked.view.string);
    StruckPage {
        title: format!("Report {}", looked.view.report),
        address: format!("/report/{}", looked.view.report),
        string: Some((looked.view.string, address)),
        seen: looked.seen,
        said_html: web::html(&text),
        letter,
        things: looked.things,
    }
}

/// The letter that takes back what went out on a report that is struck, where that is still to be done.
fn take_back(shared: &Shared, open: &mut Open, id: &str) -> Result<Option<PlainLetter>, Problem> {
    let Some(about) = app::take_back::take_back(&mut open.book, id)? else { return Ok(None) };
    let own = shared.desk.own_letter(&open.book, letters::TAKE_BACK_TEMPLATE)?;
    let text = letters::take_back(&about, own.as_deref())?;
    Ok(Some(PlainLetter::new(text, about.email)))
}

/// The page of a report; an address in other letters leads to its own.
pub(super) fn show(shared: &Shared, (id, asked): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let number = app::reports::report_number(&id)?;
    let own = format!("R-{number}");
    if id != own {
        return Ok(Reply::SeeOther(format!("/report/{own}")));
    }
    page(shared, &mut open, &own, &asked, &Tried::default(), None)
}

/// A step of a report, asked for by its form.
pub(super) fn step(shared: &Shared, id: &str, step: &str, filled: &Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let string = app::reports::whose(&mut open.book, id)?.string;
    let done = shared.forms.once(&format!("/report/{id}/{step}"), filled, || {
        expect(&mut open, &string, filled)?;
        take(shared, &mut open, id, step, filled)
    });
    let form: &[Field] = match step {
        "settle" => &END,
        "decide" => &DECISION,
        "remake" => &REPLACEMENT,
        _ => &[],
    };
    led_on(done, &[form], |problem, view| {
        let tried = Tried { step, filled: filled.clone(), problem: Some(view) };
        // The book is opened anew: what it was told to expect is over with this step.
        let mut open = shared.open()?;
        page(shared, &mut open, id, &Asked::new(), &tried, Some((problem, view)))
    })
}

fn no_such_step() -> Problem {
    Problem::new(Kind::NotFound, "a report takes no such step", "go back to it and choose one of its own")
}

fn take(shared: &Shared, open: &mut Open, id: &str, step: &str, filled: &Filled) -> Result<String, Refused> {
    if strike::STEPS.contains(&step) {
        let things = app::strikes::of_report(&mut open.book, id)?;
        let told = strike::take(open, &things, step, filled)?;
        return Ok(shared.told.on(format!("/report/{id}"), told)?);
    }
    let entries = filled.entries();
    let unit = open.style.unit;
    let book = &mut open.book;
    let author = &open.author;
    let told = match step {
        "take-back" => {
            let letter = take_back(shared, open, id)?.ok_or_else(no_such_step)?;
            expect_letter(filled, &letter.text)?;
            let sent = Outgoing { kind: letters::TAKE_BACK, text: &letter.text };
            app::take_back::taken_back(&mut open.book, id, sent, &open.author)?;
            "Noted: the letter that takes the earlier one back was sent.".to_owned()
        }
        "letter" => {
            let way = cases::way(book, id, author.day)?;
            let answer = advise::in_force(book, id, author.day)?;
            let letter = Letter::write(shared, open, &answer, &way)?;
            expect_letter(filled, &letter.text)?;
            if !answer.is_sent {
                advise::advise(&mut open.book, id, &open.author)?;
            }
            let sent = Outgoing { kind: letter.kind.as_str(), text: &letter.text };
            let step = letter.kind.step();
            let standing = outgoing::about_report(&mut open.book, id, sent, step, &open.author)?;
            format!("Noted: the letter was sent. {id}: {}.", standing_name(standing))
        }
        "reading" => {
            let said = Said::read(&entries, unit, author.day)?;
            let new = NewReading {
                report: id.to_owned(),
                symptoms: said.symptoms,
                measured: said.measured,
                bow: said.bow,
                received_on: said.received_on,
                text: said.text,
                whole: None,
                no_damage: said.no_damage,
                no_danger: false,
                questions: Vec::new(),
                fits: filled.get("fits").is_some(),
            };
            let logged = app::logging::add_reading(book, new, author)?;
            return Ok(logged_at(shared, open, logged)?);
        }
        "sign" => {
            let number =
                entries.count("sign", Whole { low: 1, high: 1_000_000 })?.ok_or_else(no_such_step)?;
            let (word, told) = match filled.get("say") {
                Some("call-off") => {
                    (Word { call_off: vec![number], ..Word::default() }, "it means no danger")
                }
                Some("confirm") => (Word { confirm: vec![number], ..Word::default() }, "it is so"),
                _ => return Err(no_such_step().into()),
            };
            danger::say(book, id, &word, author)?;
            advise::advise(book, id, author)?;
            format!("Noted of sign {number}: {told}.")
        }
        "no-danger" => {
            if filled.get("no-danger").is_none() {
                return Err(Problem::new(
                    Kind::BadValue,
                    "the tick is not set",
                    "tick it if you read or heard it; else send the letter that asks",
                )
                .into());
            }
            danger::say(book, id, &Word { no_danger: true, ..Word::default() }, author)?;
            "Noted: nothing broken, cut or cracked, no shot without an arrow.".to_owned()
        }
        "danger-open" => {
            danger::say(book, id, &Word { danger_open: true, ..Word::default() }, author)?;
            "Noted: whether there is danger is open again.".to_owned()
        }
        "remake" => {
            let length = entries.length("length", unit, Measure::StringLength)?;
            let serial = entries.get("serial").map(|serial| serial.trim().to_owned());
            let strands = entries.count("strands", STRANDS)?;
            let made = cases::remake(book, id, &cases::NewRemake { length, serial, strands }, author)?;
            format!("{} is on the bench, in place of {}.", made.string, made.replaces)
        }
        "decide" => {
            let new = NewDecision {
                why: entries.get("why").unwrap_or_default().to_owned(),
                of: entries.word("cause")?,
                free: entries.yes_no("free")?,
                remake: entries.yes_no("remake")?,
                turns: entries.turns("turns")?,
                length: entries.length("length", unit, Measure::StringLength)?,
                as_worked_out: filled.get("as-worked-out").is_some(),
            };
            decide::decide(book, id, &new, author)?;
            "Noted: it is decided so.".to_owned()
        }
        "posted" => format!("Noted: {} was posted.", cases::sent(book, id, author)?.string),
        "came-back" => format!("Noted: {} came back.", cases::back(book, id, author)?.replaces),
        "settle" => {
            let how = settle::Settle {
                cause: entries.word("cause")?,
                right_length: entries.length("right-length", unit, Measure::StringLength)?,
                outcome: entries.word("outcome")?,
                sure: filled.get("sure").is_some(),
            };
            settled_sentence(&settle::settle(book, id, how, author)?, &open.style)
        }
        "resume" => {
            cases::resume(book, id, author)?;
            format!("{id} is taken up again.")
        }
        _ => return Err(no_such_step().into()),
    };
    Ok(shared.told.on(format!("/report/{id}"), vec![told])?)
}

/// The letter that a report needs where it stands, as a draft. It is noted as sent by the press that
/// says so, not by this.
pub(super) fn draft(shared: &Shared, (id, _): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let whose = app::reports::whose(&mut open.book, &id)?;
    let text = match take_back(shared, &mut open, &id)? {
        Some(letter) => letter.text,
        None => {
            let way = app::cases::way(&mut open.book, &id, open.author.day)?;
            let answer = app::advise::in_force(&mut open.book, &id, open.author.day)?;
            Letter::write(shared, &open, &answer, &way)?.text
        }
    };
    let bytes = letters::draft_about(&whose, &open.rules, &text);
    let number = app::reports::report_number(&id)?;
    Ok(Reply::Draft { name: format!("R-{number}"), bytes })
}

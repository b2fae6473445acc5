//! The reply to the archer: plain text, one template for each verdict, overridable by a file
//! of the same name. Never an unfilled placeholder: an undefined name is an error.

use minijinja::{Environment, UndefinedBehavior};
use serde::Serialize;
use thiserror::Error;

use crate::app::advise::Answer;
use crate::app::quiet::QuietLetter;
use crate::show::page::wrapped;
use crate::show::sentences::{Style, ask_instruction, caution_sentence, reason_sentence, yarn_name};
use crate::show::{give_or_take, inches, to_build, turns};
use crate::trade::advice::Reason;
use crate::trade::rules::Rules;
use crate::trade::words::{Verdict, WantSource};
use crate::words::harmless;

/// Width of a letter's lines, characters.
const WIDTH: usize = 74;

/// A letter that could not be written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the letter template {name} cannot be used: {reason}")]
pub struct LetterError {
    /// File name of the template.
    pub name: String,
    /// Why, with the line.
    pub reason: String,
}

/// Name of the template for a verdict; a file of this name overrides it.
#[must_use]
pub fn template_name(verdict: Verdict) -> String {
    format!("{verdict}.txt")
}

const fn built_in(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Reassure => include_str!("reassure.txt"),
        Verdict::Ask => include_str!("ask.txt"),
        Verdict::Adjust => include_str!("adjust.txt"),
        Verdict::Mend => include_str!("mend.txt"),
        Verdict::Remake => include_str!("remake.txt"),
        Verdict::Refer => include_str!("refer.txt"),
        Verdict::Stop => include_str!("stop.txt"),
    }
}

/// What a template may use. Every name is there for every verdict; what does not apply is none.
#[derive(Debug, Serialize)]
struct Filling {
    greeting: String,
    closing: String,
    serial: String,
    report: String,
    brace_now: Option<String>,
    want: Option<String>,
    table: bool,
    after: Option<String>,
    flip: bool,
    turns: Option<String>,
    put_in: bool,
    turned_before: bool,
    settling: bool,
    measure_again: Option<u32>,
    first_step: Option<String>,
    first_step_after: Option<String>,
    rest_step: Option<String>,
    why: Option<String>,
    contradiction: bool,
    tips_unknown: bool,
    slip: Option<String>,
    ask: Vec<&'static str>,
    remake_length: Option<String>,
    remake_after: Option<String>,
    remake_yarn: Option<&'static str>,
    remake_yarn_changed: bool,
    signs: String,
    cautions: Vec<&'static str>,
}

/// Reasons that are told to the archer as they are; the others are the workshop's own sums.
const fn told(reason: &Reason) -> bool {
    matches!(
        reason,
        Reason::Danger { .. }
            | Reason::PhotoShowsDamage
            | Reason::SpliceMaySlip { .. }
            | Reason::LowStretchOnTenderBow { .. }
            | Reason::TagsHarmless
            | Reason::WaxIn
            | Reason::KinkHarmless
            | Reason::MadeGood { .. }
            | Reason::ServingAsBuilt { .. }
            | Reason::ServingOff { .. }
            | Reason::QuietPlace
    )
}

/// One line of greeting or closing from stored words.
fn one_line(text: &str) -> String {
    harmless(text).replace('\n', " ").trim().to_owned()
}

fn greeting(archer: Option<&str>) -> String {
    let name = archer.map(one_line).filter(|name| !name.is_empty());
    name.map_or_else(|| "Dear archer,".to_owned(), |name| format!("Dear {name},"))
}

fn closing(rules: &Rules) -> String {
    let signature = [&rules.signature, &rules.workshop_name]
        .into_iter()
        .map(|line| one_line(line))
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>();
    let signature = if signature.is_empty() { "The workshop".to_owned() } else { signature.join("\n") };
    format!("With kind regards\n{signature}")
}

fn filling(answer: &Answer, style: &Style) -> Filling {
    let view = &answer.view;
    let len = |value: f64| inches(value, style.unit);
    let has = |wanted: fn(&Reason) -> bool| view.reasons.iter().any(wanted);
    let why: Vec<String> = view
        .reasons
        .iter()
        .filter(|reason| told(reason))
        .map(|reason| reason_sentence(reason, style))
        .collect();
    let slip = view.reasons.iter().find_map(|reason| match reason {
        Reason::Slipped { .. } => Some(reason_sentence(reason, style)),
        _ => None,
    });
    let signs = view.reasons.iter().find_map(|reason| match reason {
        Reason::BowSigns { signs } => Some(signs.join(", ")),
        _ => None,
    });
    let first = view.first_step_turns;
    let whole = |count: i32| full_turns(f64::from(count.abs()));
    Filling {
        greeting: greeting(answer.archer.as_deref()),
        closing: closing(&answer.rules),
        serial: one_line(&answer.string.serial),
        report: view.report.clone(),
        brace_now: view.brace_now_inch.map(len),
        want: view
            .want_low_inch
            .zip(view.want_high_inch)
            .map(|(low, high)| format!("{} to {}", len(low), len(high))),
        table: view.want_source == Some(WantSource::Table),
        after: view
            .brace_after_inch
            .zip(view.brace_after_sd_inch)
            .map(|(brace, sd)| give_or_take(brace, 2.0 * sd, style.unit)),
        flip: view.flip,
        turns: view.turns.map(whole),
        put_in: view.turns.is_some_and(|turns| turns >= 0),
        turned_before: answer.turned_before,
        settling: has(|reason| matches!(reason, Reason::Settling { .. })),
        measure_again: view.measure_again_after_shots,
        first_step: first.map(whole),
        first_step_after: view
            .first_step_brace_inch
            .zip(view.first_step_sd_inch)
            .map(|(brace, sd)| give_or_take(brace, sd, style.unit)),
        rest_step: view.turns.zip(first).map(|(all, first)| whole(all - first)),
        why: (!why.is_empty()).then(|| why.join(" ")),
        contradiction: has(|reason| {
            matches!(reason, Reason::Contradiction { .. } | Reason::MoreOutThanIn { .. })
        }),
        tips_unknown: has(|reason| matches!(reason, Reason::LowStretchBowUnknown { .. })),
        slip,
        ask: view.ask.iter().map(|ask| ask_instruction(*ask)).take(3).collect(),
        remake_length: view.remake_length_inch.map(|length| to_build(length, style.rounding, style.unit)),
        remake_after: view.brace_after_inch.filter(|_| view.verdict == Verdict::Remake).map(len),
        remake_yarn: view.remake_yarn.map(yarn_name),
        remake_yarn_changed: view.remake_yarn.is_some_and(|yarn| yarn != answer.string.yarn),
        signs: signs.unwrap_or_default(),
        cautions: view.cautions.iter().map(|caution| caution_sentence(*caution)).collect(),
    }
}

fn full_turns(count: f64) -> String {
    turns(count).replacen(" turn", " full turn", 1)
}

/// Writes the letter about a verdict, from the built-in template or the workshop's own text.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn letter(answer: &Answer, style: &Style, own_template: Option<&str>) -> Result<String, LetterError> {
    let source = own_template.unwrap_or_else(|| built_in(answer.view.verdict));
    rendered(template_name(answer.view.verdict), source, &filling(answer, style))
}

/// Name of the template of the letter to an archer who never wrote.
pub const QUIET_TEMPLATE: &str = "quiet.txt";

/// Writes the letter that asks an archer who never wrote whether the string fits.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn quiet(letter: &QuietLetter, style: &Style, own_template: Option<&str>) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct Quiet {
        greeting: String,
        closing: String,
        serial: String,
        want: Option<String>,
    }
    let filling = Quiet {
        greeting: greeting(letter.question.archer.as_deref()),
        closing: closing(&letter.rules),
        serial: one_line(&letter.question.string),
        want: letter
            .want
            .map(|(low, high)| format!("{} to {}", inches(low, style.unit), inches(high, style.unit))),
    };
    rendered(QUIET_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("quiet.txt")), &filling)
}

fn rendered<T: Serialize>(name: String, source: &str, filling: &T) -> Result<String, LetterError> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // Plain text: nothing is escaped for HTML.
    environment.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    let fault = |error: minijinja::Error| LetterError {
        name: name.clone(),
        reason: match error.line() {
            Some(line) => format!(
                "line {line}: {}",
                error.detail().map_or_else(|| error.kind().to_string(), str::to_owned)
            ),
            None => error.to_string(),
        },
    };
    environment.add_template(&name, source).map_err(fault)?;
    let text = environment
        .get_template(&name)
        .and_then(|template| template.render(minijinja::Value::from(minijinja::value::Serde(filling))))
        .map_err(fault)?;
    Ok(laid_out(&text))
}

/// Lines broken at the letter's width; points and steps hang.
fn laid_out(text: &str) -> String {
    let mut out = String::new();
    for line in harmless(text).trim().lines() {
        let lead = line
            .split_once(' ')
            .filter(|(lead, _)| {
                *lead == "-" || lead.strip_suffix('.').is_some_and(|n| n.parse::<u32>().is_ok())
            })
            .map_or(0, |(lead, _)| lead.len() + 1);
        for (i, part) in wrapped(&line[lead..], WIDTH - lead).into_iter().enumerate() {
            let lead = if i == 0 { line[..lead].to_owned() } else { " ".repeat(lead) };
            out.push_str(format!("{lead}{part}").trim_end());
            out.push('\n');
        }
    }
    out
}

//! A verdict as text and JSON.

use serde_json::{Value, json};

use super::asks::{ask_here, ask_name, ask_option};
use super::names::{cause_name, verdict_sentence, yarn_name};
use super::page::{Meaning, TextPage};
use super::sentences::{Style, caution_sentence, reason_sentence};
use super::sums::cautions;
use super::terms::{decision_line, who_pays};
use super::then::in_words;
use super::{inches, money, nine_in_ten, percent, to_build, turns};
use crate::app::advise::AdviceView;
use crate::app::danger::SignView;
use crate::trade::advice::Reason;
use crate::trade::signs::{SignOf, SignStanding, StandsIn};
use crate::trade::words::Verdict;

/// The data of `advice/1`.
#[must_use]
pub fn json(view: &AdviceView, style: &Style) -> Value {
    let mut data = json!(view);
    data["reasons"] =
        json!(view.reasons.iter().map(|reason| reason_sentence(reason, style)).collect::<Vec<_>>());
    data["cautions"] =
        json!(view.cautions.iter().map(|caution| caution_sentence(*caution)).collect::<Vec<_>>());
    data
}

/// What is to be done, in one line.
#[must_use]
pub fn headline(view: &AdviceView, style: &Style) -> String {
    let sentence = verdict_sentence(view.verdict, view.free != Some(false));
    let mut text = format!("{}: {sentence}", view.verdict.as_str().to_uppercase());
    if view.flip {
        text.push_str(" Turn the string end for end, then measure again.");
    }
    if let Some(put) = view.turns {
        text.push_str(&format!(" {} {}.", turns(f64::from(put.abs())), if put >= 0 { "in" } else { "out" }));
    }
    if let (Verdict::Remake | Verdict::Stop, Some(length)) = (view.verdict, view.remake_length_inch) {
        text.push_str(&format!(
            " Build {} loaded{}{}.",
            to_build(length, style.rounding, style.unit),
            view.remake_turns.map(|turns| format!(", {turns} turns")).unwrap_or_default(),
            view.remake_yarn.map(|yarn| format!(", {}", yarn_name(yarn))).unwrap_or_default()
        ));
    }
    text
}

/// The verdict for the person who answers the mail.
pub fn text(page: &mut TextPage, view: &AdviceView, style: &Style) {
    summary(page, view, style);
    danger(page, view);
    why(page, view, style);
    page.gap().next("Next");
    next_steps(page, view);
}

/// What is to be done, with the figures.
pub fn summary(page: &mut TextPage, view: &AdviceView, style: &Style) {
    let len = |value: f64| inches(value, style.unit);
    page.line(Meaning::Aside, format!("{} of string {}", view.report, view.string));
    page.paragraph(Meaning::Answer, headline(view, style));
    page.gap();
    page.field(
        "brace height",
        view.brace_now_inch.map(|now| {
            let wanted = view
                .want_low_inch
                .zip(view.want_high_inch)
                .map(|(low, high)| format!(", wanted {} to {}", len(low), len(high)))
                .unwrap_or_default();
            // What was read is told as it was read; what all readings together come to stands beside it.
            let read = view.brace_as_read().map(len);
            match read.filter(|read| *read != len(now)) {
                Some(read) => format!("{read} as read, {} by all readings together{wanted}", len(now)),
                None => format!("{}{wanted}", len(now)),
            }
        }),
    );
    page.field(
        "afterwards",
        view.brace_after_inch.zip(view.brace_after_sd_inch).map(|(brace, sd)| {
            // What was let out still settles: the chance is that of afterwards.
            let settles = view.reasons.iter().any(|reason| matches!(reason, Reason::LetOutAndSettles { .. }));
            let when = if settles { "once it has settled " } else { "" };
            let chance = view
                .chance_in_range
                .map(|chance| format!("; {when}{} chance to lie in the range", percent(chance)));
            let with_table = view
                .chance_with_table
                .map(|chance| format!(", {} with what the table says", percent(chance)));
            format!(
                "about {}{}{}",
                nine_in_ten(brace, sd, style.unit),
                chance.unwrap_or_default(),
                with_table.unwrap_or_default()
            )
        }),
    );
    page.field(
        "turns",
        view.turns_now.zip(view.turns_min.zip(view.turns_max)).map(|(now, (min, max))| {
            format!("{} in it now, {min} to {max} allowed", (now * 10.0).round() / 10.0)
        }),
    );
    page.field(
        "this bow",
        view.bow_taught_by.as_ref().map(|serial| format!("answers as second readings with {serial} showed")),
    );
    page.field(
        "reach",
        view.reach_low_inch
            .zip(view.reach_high_inch)
            .map(|(low, high)| format!("brace heights {} to {} by turning", len(low), len(high))),
    );
    page.field(
        "play left",
        view.play_left_in_inch
            .zip(view.play_left_out_inch)
            .map(|(shorter, longer)| format!("{} to take in, {} to let out", len(shorter), len(longer))),
    );
    page.field(
        "cost",
        view.cost_adjust_cents.zip(view.cost_remake_cents).map(|(adjust, remake)| {
            format!(
                "turning {}, remaking {} on average",
                money(adjust, &style.currency),
                money(remake, &style.currency)
            )
        }),
    );
    for (place, line) in in_words(view.table(), style.unit).into_iter().enumerate() {
        page.field(if place == 0 { "then" } else { "" }, Some(line));
    }
    page.field("likely cause", Some(cause_name(view.likely_cause)));
    page.field("who pays", who_pays(view, style));
    page.field("decided", view.decided.as_ref().map(|decided| decision_line(decided, style)));
    page.field("stands", Some(view.standing.as_str()));
    if let Some((first, (brace, sd))) =
        view.first_step_turns.zip(view.first_step_brace_inch.zip(view.first_step_sd_inch))
    {
        page.field(
            "in two goes",
            Some(format!(
                "first {} {}: about {}; measure; then as the table says",
                turns(f64::from(first.abs())),
                if first >= 0 { "in" } else { "out" },
                nine_in_ten(brace, sd, style.unit)
            )),
        );
    }
}

/// Somebody has to say that there is no danger before the letter of this verdict goes out.
fn waits_for_a_word(view: &AdviceView) -> bool {
    !view.danger_ruled_out && !matches!(view.verdict, Verdict::Stop | Verdict::Refer)
}

fn open_sign(view: &AdviceView) -> Option<&SignView> {
    view.signs.iter().find(|sign| sign.standing == SignStanding::Open)
}

/// What can be done next: what has to be cleared up comes before the letter.
fn next_steps(page: &mut TextPage, view: &AdviceView) {
    let id = &view.report;
    let letter = format!("  fistmele letter {id}");
    match open_sign(view) {
        Some(sign) => {
            let advise = |word: &str| format!("  fistmele advise {id} --{word} {}", sign.number);
            page.next_for(advise("call-off"), "if its words mean no danger");
            page.next_for(advise("confirm") + " ", "if it is so");
            page.next_for(letter, "asks the archer first");
        }
        None if waits_for_a_word(view) => {
            page.next_for(format!("{letter} --no-danger"), "if you read or heard that there is none");
            page.next_for(letter, "asks the archer first");
        }
        None => {
            page.next(letter);
        }
    }
}

/// The signs of danger, and whether a person has ruled danger out.
fn danger(page: &mut TextPage, view: &AdviceView) {
    let waits = waits_for_a_word(view) && open_sign(view).is_none();
    if view.signs.is_empty() && !waits {
        return;
    }
    page.heading("Danger");
    for sign in &view.signs {
        let meaning = if sign.standing == SignStanding::Open { Meaning::Caution } else { Meaning::Aside };
        page.point(meaning, sign_sentence(sign));
    }
    if waits {
        page.paragraph(
            Meaning::Aside,
            "Nobody has said yet that nothing is broken, cut or cracked and that there was no shot without an arrow; until then the letter asks.",
        );
    }
}

/// A sign of danger with its number, its words and what has become of it.
#[must_use]
pub fn sign_sentence(sign: &SignView) -> String {
    let of = match (sign.of, sign.sure) {
        (SignOf::String, true) => "damage to the string",
        (SignOf::String, false) => "perhaps damage to the string",
        (SignOf::Bow, true) => "damage to the bow",
        (SignOf::Bow, false) => "perhaps trouble with the bow",
        (SignOf::Shot, true) => "a shot without an arrow",
        (SignOf::Shot, false) => "perhaps a shot without an arrow",
    };
    let stands = match sign.standing {
        SignStanding::Open => "",
        SignStanding::CalledOff => " (called off: no danger is meant)",
        SignStanding::Confirmed => " (confirmed)",
        SignStanding::Answered => " (the archer answered no)",
    };
    let place = match sign.stands_in {
        StandsIn::Subject => ", in the subject",
        StandsIn::Message => "",
        StandsIn::Forwarded => ", in a part that was passed on",
        StandsIn::Answer => ", in an answer to us",
    };
    let words = if sign.words.is_empty() {
        "words that were erased".to_owned()
    } else {
        format!("\"{}\"", sign.words)
    };
    format!("Sign {}, {of}: {words}{place}{stands}", sign.number)
}

/// Why, what would make it surer, and the cautions.
pub fn why(page: &mut TextPage, view: &AdviceView, style: &Style) {
    page.heading("Why");
    for reason in &view.reasons {
        let meaning = if matches!(
            reason,
            Reason::Danger { .. }
                | Reason::TooWeak { .. }
                | Reason::SpliceMaySlip { .. }
                | Reason::SpeaksOfDanger { .. }
        ) {
            Meaning::Caution
        } else {
            Meaning::Plain
        };
        page.point(meaning, reason_sentence(reason, style));
        if matches!(reason, Reason::Contradiction { .. } | Reason::MoreOutThanIn { .. }) {
            page.point_with_command(
                Meaning::Aside,
                "A reading that was noted wrongly is struck; the report names each.",
                format!("fistmele strike {}/N --why \"...\"", view.report),
            );
        }
    }
    if !view.ask.is_empty() {
        page.heading(if view.verdict == Verdict::Ask {
            "Ask the archer for"
        } else {
            "What would make it surer"
        });
        for (place, ask) in view.ask.iter().enumerate() {
            page.point_with_command(
                Meaning::Plain,
                ask_name(*ask),
                format!("fistmele reading add {} {} ...", view.report, ask_option(*ask)),
            );
            if place == 0 {
                page.under_point(Meaning::Aside, ask_here(*ask, &view.reasons, &view.cautions, style.unit));
            }
        }
    }
    cautions(page, &view.cautions);
}

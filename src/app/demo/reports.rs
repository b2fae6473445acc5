//! What comes of the invented strings: who writes, when, and how it ends.

use chrono::{Days, NaiveDate};

use super::{Draw, Drawn, inches};
use crate::app::error::AppError;
use crate::book::{Author, Happened, NewString, Page, Settlement};
use crate::mechanics::bow::brace_after;
use crate::mechanics::twist::TurnWindow;
use crate::quantity::{Length, LengthRange, Turns};
use crate::trade::records::Measurements;
use crate::trade::rules::Rules;
use crate::trade::standing::Step;
use crate::trade::words::{Cause, CostOf, Outcome, Symptom};

/// An archer lives with a string this much too long, or turns it shorter without a word, ...
const LONG_PLAY: f64 = 0.75;
/// ... and with one this much too short.
const SHORT_PLAY: f64 = 0.25;
/// Share of those beyond it who write.
const TOLD: f64 = 0.9;
/// Share who write though nothing is wrong.
const NAGGING: f64 = 0.012;
/// Reports are ended by this many days after they came in.
const DAYS_TO_END: u64 = 21;

/// Rows of a string, its bow and its archer.
type Rows = (i64, i64, i64);

struct Case<'a, 't> {
    page: &'a Page<'t>,
    rows: Rows,
    number: i64,
    author: &'a Author,
}

impl Case<'_, '_> {
    fn log(&self, step: Step, day: NaiveDate) -> Result<(), AppError> {
        let author = Author { who: self.author.who.clone(), day };
        let event = Happened {
            what: step.as_str(),
            string: Some(self.rows.0),
            report: Some(self.number),
            fields: "",
        };
        Ok(self.page.log(&author, event)?)
    }

    fn end(
        &self,
        day: NaiveDate,
        outcome: Outcome,
        cause: Cause,
        right_length: Option<Length>,
    ) -> Result<(), AppError> {
        let settlement = Settlement { settled_on: day, outcome, cause, proposed_cause: cause, right_length };
        self.page.add_settlement(self.number, &settlement)?;
        self.log(Step::Settled, day)
    }
}

/// Days until an archer writes: most in the first weeks, a tail of months.
fn delay(draw: &mut Draw) -> u64 {
    let days =
        if draw.chance(0.6) { 7.0 * draw.normal(0.0, 0.8).exp() } else { 35.0 * draw.normal(0.0, 0.9).exp() };
    days.clamp(1.0, 400.0) as u64
}

/// Chance that an archer writes about a length error: a soft edge of 1/8 in round the play.
fn chance_to_write(error: f64) -> f64 {
    let beyond = (error - SHORT_PLAY).max(-error - LONG_PLAY);
    (TOLD * (beyond / 0.125 + 0.5).clamp(0.0, 1.0)).max(NAGGING)
}

fn read_brace(draw: &mut Draw, true_brace: f64) -> Result<Length, AppError> {
    inches(draw.normal(true_brace, 0.05).clamp(4.0, 11.5), 0.0625)
}

/// A report about a string, if its archer writes, and how it went on.
pub(super) fn report(
    page: &Page<'_>,
    draw: &mut Draw,
    drawn: &Drawn,
    rows: Rows,
    rules: &Rules,
    author: &Author,
) -> Result<(), AppError> {
    let Some(delivered) = drawn.string.delivered_on else { return Ok(()) };
    let received = delivered + Days::new(delay(draw));
    let built_error = drawn.string.built.map_or(0.0, |built| drawn.ordered.inches() - built.inches());
    let error = drawn.error + if drawn.built_off { built_error } else { 0.0 };
    let about_fit = draw.chance(chance_to_write(error));
    let about_looks = draw.chance(0.03);
    if received > author.day || !(about_fit || about_looks) {
        return Ok(());
    }
    if !about_fit {
        return looks(page, draw, rows, received, rules, author);
    }
    let low = drawn.true_brace < 0.5 * (drawn.wanted.0 + drawn.wanted.1);
    let measured = Measurements {
        brace: Some(read_brace(draw, drawn.true_brace)?),
        want: LengthRange::new(inches(drawn.wanted.0, 0.125)?, inches(drawn.wanted.1, 0.125)?),
        shots: draw.chance(0.5).then(|| draw.0.u32(120..400)),
        ..Measurements::default()
    };
    let symptom = if low { Symptom::BraceLow } else { Symptom::BraceHigh };
    let number = page.add_report(rows.0, received, &[symptom])?;
    page.add_reading(number, received, &measured)?;
    let case = Case { page, rows, number, author };
    case.log(Step::Reported, received)?;
    let ended = received + Days::new(DAYS_TO_END);
    let over = ended <= author.day;
    let inside = (-LONG_PLAY..=SHORT_PLAY).contains(&error);
    // A little too long is turned shorter; the rest is made again.
    let by_turns = error > -LONG_PLAY - 0.375 && error < SHORT_PLAY + 0.1;
    if by_turns {
        turned(&case, draw, drawn, received)?;
    }
    if !over {
        return Ok(());
    }
    page.add_cost(number, received, CostOf::Answer, rules.costs.answer)?;
    let cause = match () {
        () if drawn.built_off => Cause::Workshop,
        () if inside && low => Cause::Settling,
        () if inside => Cause::Unknown,
        () => Cause::Sizing,
    };
    let exact = drawn.ordered.inches() + drawn.error;
    let right = if draw.chance(0.85) && !inside { Some(inches(exact, 0.125)?) } else { None };
    if inside {
        return case.end(ended, Outcome::Reassured, cause, right);
    }
    if by_turns {
        return case.end(ended, Outcome::Adjusted, cause, right);
    }
    remake(&case, draw, drawn, (received, ended), inches(exact, 0.125)?, rules)?;
    case.end(ended, Outcome::Remade, cause, right)
}

/// Loose tags and the like: a letter, and it is over.
fn looks(
    page: &Page<'_>,
    draw: &mut Draw,
    rows: Rows,
    received: NaiveDate,
    rules: &Rules,
    author: &Author,
) -> Result<(), AppError> {
    let odd = [Symptom::LooseTags, Symptom::Fuzzy, Symptom::ServingGap, Symptom::NockFit, Symptom::Noisy];
    let symptom = *draw.pick(&odd);
    let number = page.add_report(rows.0, received, &[symptom])?;
    page.add_reading(number, received, &Measurements::default())?;
    let case = Case { page, rows, number, author };
    case.log(Step::Reported, received)?;
    let ended = received + Days::new(DAYS_TO_END);
    if ended > author.day {
        return Ok(());
    }
    page.add_cost(number, received, CostOf::Answer, rules.costs.answer)?;
    let (outcome, cause) = match symptom {
        Symptom::LooseTags | Symptom::Fuzzy => (Outcome::Reassured, Cause::Cosmetic),
        Symptom::ServingGap | Symptom::NockFit => (Outcome::Mended, Cause::Workshop),
        _ => (Outcome::Reassured, Cause::Unknown),
    };
    case.end(ended, outcome, cause, None)
}

/// The archer turned, and wrote back what it did.
fn turned(case: &Case<'_, '_>, draw: &mut Draw, drawn: &Drawn, received: NaiveDate) -> Result<(), AppError> {
    let Some(turns) = drawn.string.turns else { return Ok(()) };
    let window = TurnWindow::from_helix(&drawn.body, 9.0, 20.0);
    let middle = 0.5 * (drawn.wanted.0 + drawn.wanted.1);
    let change = (middle * middle - drawn.true_brace * drawn.true_brace) / (2.0 * drawn.constant);
    let put = drawn.body.turns_for_change(turns.value(), change).unwrap_or(0.0).round();
    let put = put.clamp(f64::from(window.min) - turns.value(), f64::from(window.max) - turns.value()).round();
    let change = drawn.body.string_change(turns.value(), turns.value() + put) * drawn.effect;
    let back = received + Days::new(draw.0.u64(3..12));
    if put.abs() < 2.0 || back > case.author.day {
        return Ok(());
    }
    case.log(Step::Answered, received)?;
    let after = brace_after(drawn.true_brace, drawn.constant, change).unwrap_or(drawn.true_brace);
    let measured = Measurements {
        brace: Some(read_brace(draw, after)?),
        turns_changed: Turns::new(put),
        ..Measurements::default()
    };
    case.page.add_reading(case.number, back, &measured)?;
    case.log(Step::Read, back)
}

/// The string is made again; now and then the replacement does not fit either.
fn remake(
    case: &Case<'_, '_>,
    draw: &mut Draw,
    drawn: &Drawn,
    (received, ended): (NaiveDate, NaiveDate),
    right: Length,
    rules: &Rules,
) -> Result<(), AppError> {
    let (made, sent) = (received + Days::new(4), received + Days::new(8));
    let mut string = drawn.string.clone();
    string.serial = format!("{}-B", drawn.string.serial);
    string.replaces = Some(drawn.string.serial.clone());
    (string.sold_on, string.delivered_on) = (made, Some(received + Days::new(12)));
    (string.ordered, string.built) = (Some(right), Some(right));
    string.price_cents = Some(0);
    let (_, bow_id, archer_id) = case.rows;
    let id = case.page.add_string(NewString { string: &string, bow_id, archer_id, imported: None })?;
    case.page.add_remake(case.number, id, made)?;
    for remake in case.page.remakes(case.number)? {
        case.page.remake_sent(remake.id, sent)?;
    }
    case.log(Step::Remade, made)?;
    case.page.add_cost(case.number, made, CostOf::Remake, rules.costs.remake)?;
    case.page.add_cost(case.number, sent, CostOf::Label, rules.costs.label)?;
    case.log(Step::Sent, sent)?;
    let again = ended + Days::new(2);
    if draw.chance(0.05) && again + Days::new(DAYS_TO_END) <= case.author.day {
        let number = case.page.add_report(id, again, &[Symptom::BraceLow])?;
        case.page.add_reading(number, again, &Measurements::default())?;
        let rows = (id, bow_id, archer_id);
        let second = Case { page: case.page, rows, number, author: case.author };
        second.log(Step::Reported, again)?;
        case.page.add_cost(number, again, CostOf::Answer, rules.costs.answer)?;
        second.end(again + Days::new(DAYS_TO_END), Outcome::Adjusted, Cause::Sizing, None)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn those_beyond_the_play_write_and_the_others_hardly() {
        assert!(chance_to_write(0.0) < 0.02 && chance_to_write(-0.5) < 0.02);
        assert!((chance_to_write(0.5) - TOLD).abs() < 1e-12);
        assert!((chance_to_write(-1.0) - TOLD).abs() < 1e-12);
    }
}

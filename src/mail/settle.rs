//! Which of what is said is sure, which is likely, and which is not worth offering.

use super::amounts::{Field, OFFERED, Said, Weighed};
use super::context::Context;
use super::letter::Voice;
use super::lists::holds;
use super::shares::Shares;

/// Least chance of a value that is offered of one of several strings: on a page of theirs there is less room
/// (judgement, no source).
const OFFERED_OF_EACH: f64 = 0.1;

/// Most values that are offered for one field.
const MOST_OFFERED: usize = 4;

/// Chance from which a value is sure where no other comes near (method V30): so that of mails whose
/// whole batch was left out of learning less than one in a hundred had a wrong one
/// (docs/mail-reading.md).
fn sure_from(field: Field, stands: Stands) -> f64 {
    match (stands, field) {
        (Stands::Labelled, _) => 0.6,
        // It is something else: an earlier one, a friend's, what a card says.
        (Stands::Qualified, _) => f64::INFINITY,
        (Stands::Answer, Field::Brace | Field::Shots | Field::BowLength) => 0.9,
        (_, Field::MakerRange | Field::Want) => 0.88,
        // A number of pounds is seldom anything else.
        (_, Field::DrawWeight) => 0.55,
        (_, Field::Brace | Field::BowYear) => 0.95,
        (_, Field::Turns | Field::StringLength) => 0.97,
        (_, Field::Shots) => 0.975,
        (_, Field::BowLength) => 0.98,
    }
}

/// Chance of another value of the same field up to which the first is sure.
const fn rival_to(stands: Stands) -> f64 {
    match stands {
        Stands::Labelled => 0.2,
        Stands::Qualified | Stands::Answer | Stands::InWords => 0.07,
    }
}

/// How a value stands in its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stands {
    /// Alone behind a label that says what is measured: "Brace: 7 1/8".
    Labelled,
    /// Alone behind a label that says more: "Old brace: 7 1/8".
    Qualified,
    /// Alone below a question that we asked.
    Answer,
    /// Among words.
    InWords,
}

/// Most words of a label.
const LABEL: usize = 7;

/// Words behind a number of shots that count them from another day than the string's first.
const SINCE: [&str; 2] = ["ago", "later"];

fn words_in(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

/// How what stands between the two parts of a line stands there.
fn stands(before: &str, after: &str, is_answer: bool) -> Stands {
    if !words_in(after).all(|word| holds("beside-values", &word)) {
        return Stands::InWords;
    }
    let label = before.trim_start_matches(|c: char| !c.is_alphabetic());
    let is_label =
        label.trim_end_matches(|c: char| c.is_whitespace() || "\"(+~*_".contains(c)).ends_with([':', '='])
            && !label.contains(|c: char| c.is_ascii_digit())
            && words_in(label).count() <= LABEL;
    if is_label {
        let is_plain = words_in(label).all(|word| holds("labels", &word));
        if is_plain { Stands::Labelled } else { Stands::Qualified }
    } else if is_answer && words_in(before).next().is_none() {
        Stands::Answer
    } else {
        Stands::InWords
    }
}

/// Everything that a letter says or may say, of each field the likeliest first. Of another kind than a
/// complaint (`is_case`), it says nothing for sure of a string that was sold. Of one of several strings
/// (`share`) it says what is said of that one, and for sure only what surely is.
pub(super) fn settled(
    context: &Context,
    weighed: &Weighed<'_>,
    is_case: bool,
    share: Option<(&Shares, usize)>,
) -> Vec<Said> {
    let settler = Settler { context, is_case, share };
    let is_told = |one: &Said| settler.is_told(one).is_some();
    let all = weighed.all().into_iter();
    all.flat_map(|said| settler.settled(said.into_iter().filter(is_told).collect())).collect()
}

struct Settler<'a> {
    context: &'a Context,
    is_case: bool,
    share: Option<(&'a Shares, usize)>,
}

impl Settler<'_> {
    /// Whether it is said of the string, and whether it surely is.
    fn is_told(&self, said: &Said) -> Option<bool> {
        self.share.map_or(Some(true), |(shares, string)| shares.says(said.read, &said.place, string))
    }

    /// Marks the first as sure where it is, and leaves out what is not worth offering.
    fn settled(&self, mut said: Vec<Said>) -> Vec<Said> {
        said.sort_by(|a, b| b.chance.total_cmp(&a.chance));
        let mut kept: Vec<Said> = Vec::new();
        for one in said {
            let same = |held: &&mut Said| {
                held.field == one.field
                    && held.values.len() == one.values.len()
                    && held.values.iter().zip(&one.values).all(|(a, b)| (a - b).abs() < 0.011)
            };
            match kept.iter_mut().find(same) {
                // Said twice is said more surely.
                Some(held) => held.chance = 1.0 - (1.0 - held.chance) * (1.0 - one.chance),
                None => kept.push(one),
            }
        }
        // What was said twice may have come before what was likelier than each of them.
        kept.sort_by(|a, b| b.chance.total_cmp(&a.chance));
        let rivals: Vec<(Field, f64)> = kept.iter().map(|one| (one.field, one.chance)).collect();
        for (at, one) in kept.iter_mut().enumerate() {
            let rival = rivals
                .iter()
                .enumerate()
                .filter(|(other, (field, _))| *other != at && *field == one.field)
                .map(|(_, (_, chance))| *chance)
                .fold(0.0, f64::max);
            // What somebody else wrote, or what was typed into a copy of a letter, is never sure.
            let is_new =
                self.context.reads.get(one.read).is_some_and(|read| read.is_subject || read.place.is_some());
            let stands = self.stands(one);
            // One height alone may be one end of a range of which the other was not seen.
            let is_height = matches!(one.values.as_slice(), [low, high] if (high - low).abs() < 0.01);
            one.sure = self.is_case
                && self.is_told(one) == Some(true)
                && !is_height
                && one.chance >= sure_from(one.field, stands)
                && rival <= rival_to(stands)
                && !(one.field == Field::Shots && self.counts_since(one))
                && is_new
                && is_plausible(one.field, &one.values);
        }
        let settled: Vec<Field> = kept.iter().filter(|one| one.sure).map(|one| one.field).collect();
        kept.retain(|one| {
            let is_open = one.sure || !settled.contains(&one.field);
            let least = if self.share.is_some() { OFFERED_OF_EACH } else { OFFERED };
            is_open && one.chance >= least && can_be(one.field, &one.values)
        });
        kept.truncate(MOST_OFFERED);
        kept
    }

    /// The rest of its line on both sides of a value.
    fn around(&self, said: &Said) -> Option<(&str, &str)> {
        let text = self.context.reads.get(said.read)?.text.as_str();
        let before = text.get(..said.place.start)?.rsplit('\n').next()?;
        let after = text.get(said.place.end..)?.split('\n').next()?;
        Some((before, after))
    }

    fn stands(&self, said: &Said) -> Stands {
        let is_answer = self.context.reads.get(said.read).is_some_and(|read| read.voice == Voice::Answer);
        self.around(said).map_or(Stands::InWords, |(before, after)| stands(before, after, is_answer))
    }

    /// "50 arrows ago" are no shots since the string was new.
    fn counts_since(&self, said: &Said) -> bool {
        self.around(said)
            .is_some_and(|(_, after)| words_in(after).take(3).any(|word| SINCE.contains(&word.as_str())))
    }
}

/// Values outside of these are not offered. Judgement, no source.
fn can_be(field: Field, values: &[f64]) -> bool {
    let (low, high) = match field {
        Field::Brace | Field::MakerRange | Field::Want => (3.5, 12.0),
        // Whether these can be says `trade::plausible`.
        Field::Turns | Field::Shots | Field::BowYear => (f64::NEG_INFINITY, f64::INFINITY),
        Field::StringLength => (30.0, 90.0),
        Field::BowLength => (36.0, 90.0),
        Field::DrawWeight => (5.0, 200.0),
    };
    values.iter().all(|value| (low..=high).contains(value))
        && (field != Field::Shots && field != Field::BowYear
            || values.iter().all(|value| value.fract() == 0.0))
}

/// Values outside of these are never sure. Judgement, no source.
fn is_plausible(field: Field, values: &[f64]) -> bool {
    let (low, high) = match field {
        Field::Brace | Field::MakerRange | Field::Want => (4.5, 10.5),
        Field::Turns => (-40.0, 40.0),
        Field::Shots => (0.0, 20_000.0),
        Field::StringLength => (40.0, 80.0),
        Field::BowLength => (44.0, 80.0),
        Field::DrawWeight => (10.0, 130.0),
        Field::BowYear => (1900.0, 2100.0),
    };
    let is_narrow = match values {
        [one, other] => other - one <= 2.0,
        _ => true,
    };
    values.iter().all(|value| (low..=high).contains(value)) && is_narrow
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_alone_behind_its_label_is_told_from_one_among_words() {
        for (before, after, is_answer, wanted) in [
            ("Brace: ", "", false, Stands::Labelled),
            ("- Brace height now (strung) = ", " inches", false, Stands::Labelled),
            ("> Turns: +", " full turns", false, Stands::Labelled),
            ("Brace: ", " or it was yesterday", false, Stands::InWords),
            ("The bow maker's range: ", "", false, Stands::Labelled),
            ("Old brace: ", "", false, Stands::Qualified),
            ("Friend's brace: ", "", false, Stands::Qualified),
            ("Brace on the card: ", "", false, Stands::Qualified),
            ("Brace (yesterday): ", "", false, Stands::Qualified),
            ("Brace 7 and now: ", "", false, Stands::InWords),
            ("My friend who shoots with me on every other Sunday says: ", "", false, Stands::InWords),
            ("", "\"", true, Stands::Answer),
            ("", "\"", false, Stands::InWords),
            ("about ", "", true, Stands::InWords),
        ] {
            assert_eq!(stands(before, after, is_answer), wanted, "{before:?} {after:?}");
        }
    }
}

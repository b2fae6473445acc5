//! From what each number is taken for to what the letter says: readings to their mean, turns to
//! their sum, ends to a range; what is sure, what is likely.

use std::ops::Range;

use super::context::{Candidate, Context, Link, Read};
use super::letter::Voice;
use super::numbers::{Measured, Shape};
use super::weighed::{MEANINGS, Weights};

/// What a value is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Field {
    /// Brace height now.
    Brace,
    /// Range that the bow's maker gives.
    MakerRange,
    /// Range or height that the archer wants.
    Want,
    /// Turns put in, less those taken out.
    Turns,
    /// Shots with this string.
    Shots,
    /// Length of the string off the bow.
    StringLength,
    /// Marked length of the bow.
    BowLength,
    /// Draw weight.
    DrawWeight,
    /// Year of the bow.
    BowYear,
}

/// A value that a letter says, with its chance.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Said {
    pub(super) field: Field,
    /// One value, or the ends of a range; lengths in inches.
    pub(super) values: Vec<f64>,
    /// How the reader of quantities is given it.
    pub(super) spelled: String,
    pub(super) chance: f64,
    pub(super) sure: bool,
    /// How many readings it is the mean of.
    pub(super) readings: usize,
    /// The part in which it stands.
    pub(super) read: usize,
    /// Its bytes there.
    pub(super) place: Range<usize>,
}

/// Least chance of a value that is offered.
const OFFERED: f64 = 0.04;

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

/// Words that leave a value alone in its line.
const UNITS: [&str; 33] = [
    "about",
    "approx",
    "approximately",
    "arrows",
    "centimeters",
    "centimetres",
    "cm",
    "exactly",
    "far",
    "full",
    "in",
    "inch",
    "inches",
    "ins",
    "lb",
    "lbs",
    "measured",
    "millimeters",
    "millimetres",
    "mm",
    "now",
    "or",
    "pounds",
    "roughly",
    "shots",
    "so",
    "strung",
    "today",
    "total",
    "turn",
    "turns",
    "twist",
    "twists",
];

/// Most words of a label.
const LABEL: usize = 7;

/// Words of labels that say nothing but what is measured.
const LABELS: &str = include_str!("lists/labels.txt");

fn is_of_a_label(word: &str) -> bool {
    LABELS
        .lines()
        .filter(|line| !line.starts_with('#'))
        .flat_map(str::split_whitespace)
        .any(|one| one == word)
}

/// Words behind a number of shots that count them from another day than the string's first.
const SINCE: [&str; 2] = ["ago", "later"];

fn words_in(text: &str) -> impl Iterator<Item = String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

/// How what stands between the two parts of a line stands there.
fn stands(before: &str, after: &str, is_answer: bool) -> Stands {
    if !words_in(after).all(|word| UNITS.contains(&word.as_str())) {
        return Stands::InWords;
    }
    let label = before.trim_start_matches(|c: char| !c.is_alphabetic());
    let is_label =
        label.trim_end_matches(|c: char| c.is_whitespace() || "\"(+~*_".contains(c)).ends_with([':', '='])
            && !label.contains(|c: char| c.is_ascii_digit())
            && words_in(label).count() <= LABEL;
    if is_label {
        let is_plain = words_in(label).all(|word| is_of_a_label(&word));
        if is_plain { Stands::Labelled } else { Stands::Qualified }
    } else if is_answer && words_in(before).next().is_none() {
        Stands::Answer
    } else {
        Stands::InWords
    }
}

/// What the numbers of a letter are taken for, each with its chances; and of which kind the letter is.
pub(super) fn weigh(context: &Context, weights: &Weights) -> (Vec<Vec<f64>>, Vec<f64>) {
    let mut chances: Vec<Vec<f64>> = Vec::new();
    let mut labels: Vec<&str> = Vec::new();
    for at in 0..context.candidates.len() {
        let chance = weights.meaning(&context.features(at, &labels));
        labels.push(MEANINGS.get(most(&chance)).copied().unwrap_or("other"));
        chances.push(chance);
    }
    let kind = weights.kind(&context.kind_features(&labels));
    (chances, kind)
}

fn most(chances: &[f64]) -> usize {
    (0..chances.len())
        .max_by(|a, b| chances.get(*a).partial_cmp(&chances.get(*b)).unwrap_or(std::cmp::Ordering::Equal))
        .unwrap_or(0)
}

/// Puts together what the numbers of one letter say.
pub(super) struct Composer<'a> {
    pub(super) context: &'a Context,
    pub(super) chances: &'a [Vec<f64>],
    /// Of another kind than a complaint, it says nothing for sure of a string that was sold.
    pub(super) is_case: bool,
}

impl Composer<'_> {
    fn chance(&self, at: usize, meaning: &str) -> f64 {
        let place = MEANINGS.iter().position(|one| *one == meaning);
        place.and_then(|place| self.chances.get(at)?.get(place)).copied().unwrap_or(0.0)
    }

    fn is(&self, at: usize, meaning: &str) -> bool {
        self.chances.get(at).is_some_and(|chances| MEANINGS.get(most(chances)) == Some(&meaning))
    }

    fn numbers(&self) -> impl Iterator<Item = (usize, &Candidate)> {
        self.context.candidates.iter().enumerate().filter(|(_, one)| one.number.is_some())
    }

    fn place(&self, from: &Candidate, to: &Candidate) -> (usize, Range<usize>) {
        let items = self.context.reads.get(from.read).map(|read| read.items.as_slice()).unwrap_or_default();
        let start = items.get(from.at.start).map_or(0, |item| item.start);
        let end = to.at.end.checked_sub(1).and_then(|at| items.get(at)).map_or(start, |item| item.end);
        (from.read, start..end.max(start))
    }

    fn said(
        &self,
        field: Field,
        values: Vec<f64>,
        spelled: String,
        chance: f64,
        from: &Candidate,
        to: &Candidate,
    ) -> Said {
        let (read, place) = self.place(from, to);
        // "7 1/4 or maybe 7 3/8": both are offered, neither is sure.
        let is_either = |one: &Candidate| {
            let next = self
                .context
                .candidates
                .iter()
                .find(|next| next.read == one.read && next.at.start > one.at.start);
            one.is_either(next)
        };
        let chance = if is_either(from) || is_either(to) { chance * 0.8 } else { chance };
        Said { field, values, spelled, chance, sure: false, readings: 1, read, place }
    }

    /// Everything that is said or may be, of each field the likeliest first.
    pub(super) fn all(&self) -> Vec<Said> {
        let mut said = Vec::new();
        for of_field in [
            self.brace(),
            self.ranges(),
            self.turns(),
            self.single(Field::Shots, "shots"),
            self.single(Field::StringLength, "string_length"),
            self.single(Field::BowLength, "bow_length"),
            self.single(Field::DrawWeight, "draw_weight"),
            self.single(Field::BowYear, "bow_year"),
        ] {
            said.extend(self.settled(of_field));
        }
        said
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
            is_open && one.chance >= OFFERED && can_be(one.field, &one.values)
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

    fn length(&self, at: usize) -> Option<(f64, Measured)> {
        let one = self.context.candidates.get(at)?;
        Some((one.inches?, one.unit?))
    }

    fn brace(&self) -> Vec<Said> {
        let mut said = Vec::new();
        let mut readings: Vec<usize> = Vec::new();
        for (at, one) in self.numbers().filter(|(_, one)| one.is_brace_size()) {
            let (now, reading) = (self.chance(at, "now"), self.chance(at, "now_n"));
            let Some((inches, unit)) = self.length(at) else { continue };
            let Some(number) = &one.number else { continue };
            let is_listed = one.link == Link::List
                || self
                    .context
                    .candidates
                    .get(at + 1)
                    .is_some_and(|next| next.link == Link::List && next.read == one.read);
            if reading > 0.25 || self.is(at, "now_n") || (is_listed && now + reading > 0.3) {
                readings.push(at);
            }
            let read = self.context.reads.get(one.read);
            let in_doubt =
                number.spread.is_some() || read.is_some_and(|read| read.is_elsewhere_or_denied(one));
            let doubt = if in_doubt { 0.8 } else { 1.0 };
            let rough = if one.is_rough && number.value.shape != Shape::Mixed { 0.9 } else { 1.0 };
            let chance = if self.is(at, "now_n") { now + 0.5 * reading } else { now + reading };
            said.push(self.said(
                Field::Brace,
                vec![inches],
                number.spelled(unit),
                chance * rough * doubt,
                one,
                one,
            ));
        }
        if let (true, Some(first), Some(last)) = (readings.len() > 1, readings.first(), readings.last()) {
            let sizes: Vec<f64> =
                readings.iter().filter_map(|at| self.length(*at).map(|(inches, _)| inches)).collect();
            let mean = sizes.iter().sum::<f64>() / f64::from(u32::try_from(sizes.len()).unwrap_or(1));
            let chance = readings
                .iter()
                .map(|at| self.chance(*at, "now") + self.chance(*at, "now_n"))
                .fold(1.0, f64::min);
            let spread = sizes.iter().fold(0.0_f64, |most, size| most.max((size - mean).abs()));
            if let (Some(from), Some(to)) =
                (self.context.candidates.get(*first), self.context.candidates.get(*last))
            {
                let is_one = from.read == to.read;
                let mut mean = self.said(
                    Field::Brace,
                    vec![mean],
                    format!("{mean} in"),
                    chance,
                    from,
                    if is_one { to } else { from },
                );
                mean.readings = sizes.len();
                // Readings far apart are no readings of one thing.
                if spread < 0.4 {
                    for one in &mut said {
                        if readings.iter().any(|at| {
                            self.length(*at).is_some_and(|(inches, _)| {
                                (inches - one.values.first().copied().unwrap_or_default()).abs() < 0.011
                            })
                        }) {
                            one.chance = one.chance.min(0.1);
                        }
                    }
                    said.push(mean);
                }
            }
        }
        said
    }

    /// Who says a range: the bow's maker only where the sentence names him or what he wrote.
    fn speaker(&self, one: &Candidate, maker: f64, want: f64) -> Field {
        let names_maker =
            self.context.reads.get(one.read).is_some_and(|read| {
                one.sentence.clone().any(|at| read.is(at, "maker")) || read.asks("maker")
            });
        if maker >= want && names_maker { Field::MakerRange } else { Field::Want }
    }

    fn is_of_range(&self, at: usize) -> f64 {
        ["want", "want_low", "want_high", "maker_low", "maker_high"]
            .iter()
            .map(|meaning| self.chance(at, meaning))
            .sum()
    }

    fn ranges(&self) -> Vec<Said> {
        let mut said = Vec::new();
        let candidates = &self.context.candidates;
        let mut paired: Vec<usize> = Vec::new();
        let mut apart: Vec<(usize, usize, f64)> = Vec::new();
        let mut pair = |a: usize, b: usize, said: &mut Vec<Said>, scale: f64| {
            let (Some(one), Some(other)) = (candidates.get(a), candidates.get(b)) else { return };
            let (Some((low, unit)), Some((high, high_unit))) = (self.length(a), self.length(b)) else {
                return;
            };
            let (Some(number), Some(other_number)) = (&one.number, &other.number) else { return };
            let both = |at: usize, one: &str, other: &str| self.chance(at, one) + self.chance(at, other);
            let (lows, highs) = (both(a, "maker_low", "want_low"), both(b, "maker_high", "want_high"));
            let maker = self.chance(a, "maker_low") * self.chance(b, "maker_high");
            let want = self.chance(a, "want_low") * self.chance(b, "want_high");
            let field = self.speaker(one, maker, want);
            // Two numbers bound by "to" are a range more often than anything else.
            let chance = ((lows * highs).sqrt() * scale).max(0.1);
            let (ends, spelled) =
                range_of((low, number.spelled(unit)), (high, other_number.spelled(high_unit)));
            said.push(self.said(
                field,
                ends,
                spelled,
                chance,
                one,
                if one.read == other.read { other } else { one },
            ));
            paired.push(a);
            paired.push(b);
        };
        for at in 1..candidates.len() {
            if candidates.get(at).is_some_and(|one| one.link == Link::To && one.is_brace_size()) {
                pair(at - 1, at, &mut said, 1.0);
            }
        }
        // "At least 8 ... and never more than 9"
        for (low, high) in [("maker_low", "maker_high"), ("want_low", "want_high")] {
            let lows: Vec<usize> =
                self.numbers().filter(|(at, _)| self.is(*at, low)).map(|(at, _)| at).collect();
            for at in lows {
                let is_linked = candidates.get(at + 1).is_some_and(|next| next.link == Link::To);
                let next = (at.saturating_sub(2)..at + 4)
                    .filter(|next| {
                        *next != at && candidates.get(*next).is_some_and(|one| one.number.is_some())
                    })
                    .find(|next| {
                        self.is(*next, high) && candidates.get(*next).is_some_and(|one| one.link != Link::To)
                    });
                if let (false, Some(next)) = (is_linked, next) {
                    pair(at, next, &mut said, 0.97);
                }
            }
        }
        // Two ends that stand apart.
        for (at, one) in self.numbers().filter(|(_, one)| one.is_brace_size()) {
            for next in at + 1..(at + 4).min(candidates.len()) {
                let is_near = candidates.get(next).is_some_and(|next| {
                    next.is_brace_size() && next.read == one.read && next.link != Link::To
                });
                let chance = self.is_of_range(at).min(self.is_of_range(next)) * 0.4;
                if is_near && chance >= OFFERED {
                    apart.push((at, next, chance));
                }
            }
        }
        for (at, next, chance) in apart {
            let (Some(one), Some(other)) = (candidates.get(at), candidates.get(next)) else { continue };
            let (Some((low, unit)), Some((high, high_unit)), Some(number), Some(other_number)) =
                (self.length(at), self.length(next), &one.number, &other.number)
            else {
                continue;
            };
            if (low - high).abs() > 1e-9 {
                let (ends, spelled) =
                    range_of((low, number.spelled(unit)), (high, other_number.spelled(high_unit)));
                let field = self.speaker(
                    one,
                    self.chance(at, "maker_low"),
                    self.chance(at, "want") + self.chance(at, "want_low"),
                );
                said.push(self.said(field, ends, spelled, chance, one, other));
            }
        }
        for (at, one) in self.numbers().filter(|(_, one)| one.is_brace_size()) {
            let (Some((inches, unit)), Some(number)) = (self.length(at), &one.number) else { continue };
            if let Some(spread) = number.spread_range(unit) {
                let half = number
                    .spread
                    .as_ref()
                    .map_or(0.0, |half| half.size * inches / number.value.size.max(0.01));
                let chance = ["maker_low", "want", "want_low", "maker_high", "want_high"]
                    .iter()
                    .map(|meaning| self.chance(at, meaning))
                    .sum();
                let field = self.speaker(one, self.chance(at, "maker_low"), self.chance(at, "want"));
                said.push(self.said(field, vec![inches - half, inches + half], spread, chance, one, one));
                continue;
            }
            if paired.contains(&at) {
                continue;
            }
            let want = self.chance(at, "want");
            let limit: f64 = ["maker_low", "maker_high", "want_low", "want_high"]
                .iter()
                .map(|meaning| self.chance(at, meaning))
                .sum();
            let maker = self.chance(at, "maker_low") + self.chance(at, "maker_high");
            let field = self.speaker(one, maker, want);
            // A limit on one side is offered and never sure.
            let chance = if limit > want { (want + limit).min(0.9) } else { want + limit };
            said.push(self.said(field, vec![inches, inches], number.spelled(unit), chance, one, one));
        }
        said
    }

    fn turns(&self) -> Vec<Said> {
        let mut said: Vec<Said> = Vec::new();
        // Each with its place, its turns, the chance that it counts, and that its sign is right.
        let mut steps: Vec<(&Candidate, f64, f64, f64)> = Vec::new();
        for (at, one) in self.numbers() {
            let Some(number) = &one.number else { continue };
            let (into, out) = (self.chance(at, "turns_in"), self.chance(at, "turns_out"));
            let is_count = number.unit.is_none()
                && (number.value.size * 4.0).fract() == 0.0
                && number.value.size <= 80.0;
            if !is_count || into + out < OFFERED || number.value.size == 0.0 {
                continue;
            }
            // Half turns and crossings are half as many turns.
            let is_half = self.context.reads.get(one.read).is_some_and(|read| read.counts_halves(one));
            let size = if is_half { number.value.size / 2.0 } else { number.value.size };
            let sign =
                if (out > into && number.sign != Some('+')) || number.sign == Some('-') { -1.0 } else { 1.0 };
            let scale = if is_half { 0.8 } else { 1.0 };
            steps.push((one, sign * size, (into + out) * scale, into.max(out) / (into + out)));
        }
        let zero = |one: &Candidate| one.number.as_ref().is_none_or(|number| number.value.size == 0.0);
        let none = self
            .context
            .candidates
            .iter()
            .enumerate()
            .filter(|(_, one)| zero(one))
            .map(|(at, one)| (self.chance(at, "turns_none"), one))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        // "Took all of them back out again": a sum of turns is never sure beside such words.
        let takes_back = self.context.reads.iter().any(Read::takes_back);
        for least in [0.5, 0.25, 0.1, 0.8] {
            let counted: Vec<_> = steps.iter().filter(|(_, _, counts, _)| *counts >= least).collect();
            let (Some((from, ..)), Some((to, ..))) = (counted.first(), counted.last()) else { continue };
            let sum: f64 = counted.iter().map(|(_, turns, ..)| turns).sum();
            let chance: f64 = steps
                .iter()
                .map(
                    |(_, _, counts, sign)| if *counts >= least { counts * sign * sign } else { 1.0 - counts },
                )
                .product();
            let chance = chance * (1.0 - 0.5 * none.map_or(0.0, |(chance, _)| chance));
            let chance = if takes_back { chance.min(0.5) } else { chance };
            let is_known =
                said.iter().any(|one| one.values.first().is_some_and(|held| (held - sum).abs() < 0.01));
            if !is_known {
                said.push(self.said(
                    Field::Turns,
                    vec![sum],
                    format!("{sum:+}"),
                    chance.max(OFFERED),
                    from,
                    if from.read == to.read { to } else { from },
                ));
            }
        }
        // One of them alone, and the same the other way round.
        for (one, turns, counts, sign) in &steps {
            for (turns, chance) in [(*turns, 0.3 * counts), (-turns, counts * (1.0 - sign))] {
                let is_known =
                    said.iter().any(|one| one.values.first().is_some_and(|held| (held - turns).abs() < 0.01));
                if !is_known && chance >= 0.02 {
                    said.push(self.said(
                        Field::Turns,
                        vec![turns],
                        format!("{turns:+}"),
                        chance.clamp(OFFERED, 0.3),
                        one,
                        one,
                    ));
                }
            }
        }
        if let Some((chance, one)) = none {
            let some = steps.iter().map(|(_, _, counts, _)| *counts).fold(0.0, f64::max);
            said.push(self.said(
                Field::Turns,
                vec![0.0],
                "0".to_owned(),
                chance * (1.0 - 0.8 * some),
                one,
                one,
            ));
        }
        said
    }

    fn single(&self, field: Field, meaning: &str) -> Vec<Said> {
        self.numbers()
            .filter_map(|(at, one)| {
                let number = one.number.as_ref()?;
                let chance = self.chance(at, meaning);
                let (value, spelled) = match field {
                    Field::StringLength | Field::BowLength => {
                        let (inches, unit) = self.length(at)?;
                        (inches, number.spelled(unit))
                    }
                    Field::DrawWeight => {
                        let unit = number.unit.unwrap_or(Measured::Pound);
                        let pounds = match unit {
                            Measured::Pound => number.value.size,
                            Measured::Kilogram => number.value.size * 2.204_622_6,
                            Measured::Newton => number.value.size / 4.448_221_6,
                            _ => return None,
                        };
                        let draw = self.context.candidates.get(at + 1).filter(|next| {
                            next.sentence == one.sentence
                                && next.read == one.read
                                && self.is(at + 1, "draw_length")
                        });
                        let at_draw = draw
                            .and_then(|draw| {
                                Some((draw.number.as_ref()?, draw.unit.unwrap_or(Measured::Inch)))
                            })
                            .map(|(number, unit)| format!(" @ {}", number.spelled(unit)))
                            .unwrap_or_default();
                        (pounds, format!("{}{at_draw}", number.spelled(unit)))
                    }
                    _ => {
                        if number.unit.is_some() {
                            return None;
                        }
                        let written =
                            thousand(&number.value.written, number.value.shape).unwrap_or(number.value.size);
                        (written, format!("{written}"))
                    }
                };
                Some(self.said(field, vec![value], spelled, chance, one, one))
            })
            .collect()
    }
}

/// A range of two ends, whichever was said first.
fn range_of(one: (f64, String), other: (f64, String)) -> (Vec<f64>, String) {
    let (low, high) = if one.0 <= other.0 { (one, other) } else { (other, one) };
    (vec![low.0, high.0], format!("{} to {}", low.1, high.1))
}

/// "1,200" is a thousand and two hundred.
fn thousand(written: &str, shape: Shape) -> Option<f64> {
    let (whole, part) = written.split_once([',', '.']).filter(|_| shape == Shape::Decimal)?;
    (part.len() == 3 && !whole.is_empty()).then(|| format!("{whole}{part}").parse().ok())?
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

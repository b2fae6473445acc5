//! What the numbers of a letter say together: readings to their mean, turns to their sum, ends to a
//! range; each with its chance.

use std::cmp::Ordering;
use std::ops::Range;

use super::context::{Candidate, Context, Link, Read};
use super::lists::{MEANINGS, Weights};
use super::numbers::{Measured, Number, Shape};
use crate::quantity::{NEWTONS_PER_KILOGRAM_FORCE, NEWTONS_PER_POUND_FORCE};

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
pub(super) const OFFERED: f64 = 0.04;

/// Meanings of a number that is wanted or is an end of what is.
const OF_RANGE: [&str; 5] = ["want", "want_low", "want_high", "maker_low", "maker_high"];

/// The numbers of a letter, weighed.
pub(super) struct Weighed<'a> {
    context: &'a Context,
    /// Of each candidate how probable each meaning is.
    chances: Vec<Vec<f64>>,
    /// How probable each kind of mail is.
    pub(super) kinds: Vec<f64>,
}

/// A number that can be a length.
#[derive(Clone, Copy)]
struct Height<'a> {
    at: usize,
    one: &'a Candidate,
    number: &'a Number,
    inches: f64,
    unit: Measured,
}

fn most(chances: &[f64]) -> usize {
    (0..chances.len())
        .max_by(|a, b| chances.get(*a).partial_cmp(&chances.get(*b)).unwrap_or(Ordering::Equal))
        .unwrap_or(0)
}

impl<'a> Weighed<'a> {
    /// Weighs what each number of a letter can be, and of which kind the letter is.
    pub(super) fn new(context: &'a Context) -> Self {
        let weights = Weights::learned();
        let mut chances: Vec<Vec<f64>> = Vec::new();
        let mut meanings: Vec<&str> = Vec::new();
        for at in 0..context.candidates.len() {
            let chance = weights.meaning(&context.features(at, &meanings));
            meanings.push(MEANINGS.get(most(&chance)).copied().unwrap_or("other"));
            chances.push(chance);
        }
        let kinds = weights.kind(&context.kind_features(&meanings));
        Self { context, chances, kinds }
    }

    /// The same with some of the numbers left out.
    pub(super) fn of(&self, keeps: impl Fn(&Candidate) -> bool) -> Self {
        let nothing: Vec<f64> = MEANINGS.iter().map(|one| if *one == "other" { 1.0 } else { 0.0 }).collect();
        let candidates = self.context.candidates.iter().zip(&self.chances);
        let chances =
            candidates.map(|(one, chances)| if keeps(one) { chances.clone() } else { nothing.clone() });
        Self { context: self.context, chances: chances.collect(), kinds: self.kinds.clone() }
    }

    fn chance(&self, at: usize, meaning: &str) -> f64 {
        let place = MEANINGS.iter().position(|one| *one == meaning);
        place.and_then(|place| self.chances.get(at)?.get(place)).copied().unwrap_or(0.0)
    }

    /// The chance that a number has one of some meanings.
    fn chances(&self, at: usize, meanings: &[&str]) -> f64 {
        meanings.iter().map(|meaning| self.chance(at, meaning)).sum()
    }

    fn is(&self, at: usize, meaning: &str) -> bool {
        self.chances.get(at).is_some_and(|chances| MEANINGS.get(most(chances)) == Some(&meaning))
    }

    fn numbers(&self) -> impl Iterator<Item = (usize, &'a Candidate)> {
        self.context.candidates.iter().enumerate().filter(|(_, one)| one.number.is_some())
    }

    fn read_of(&self, one: &Candidate) -> Option<&'a Read> {
        self.context.reads.get(one.read)
    }

    fn length(&self, at: usize) -> Option<Height<'a>> {
        let one = self.context.candidates.get(at)?;
        Some(Height { at, one, number: one.number.as_ref()?, inches: one.inches?, unit: one.unit? })
    }

    /// The numbers that can be a brace height.
    fn heights(&self) -> impl Iterator<Item = Height<'a>> {
        (0..self.chances.len()).filter_map(|at| self.length(at)).filter(|height| height.one.is_brace_size())
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
        // Of words in two parts of the letter the first are shown.
        let to = if from.read == to.read { to } else { from };
        let items = self.read_of(from).map(|read| read.items.as_slice()).unwrap_or_default();
        let start = items.get(from.at.start).map_or(0, |item| item.start);
        let end = to.at.end.checked_sub(1).and_then(|at| items.get(at)).map_or(start, |item| item.end);
        // "7 1/4 or maybe 7 3/8": both are offered, neither is sure.
        let is_either = |one: &Candidate| {
            let mut all = self.context.candidates.iter();
            one.is_either(all.find(|next| next.read == one.read && next.at.start > one.at.start))
        };
        let chance = if is_either(from) || is_either(to) { chance * 0.8 } else { chance };
        let place = start..end.max(start);
        Said { field, values, spelled, chance, sure: false, readings: 1, read: from.read, place }
    }

    /// Everything that is said or may be, of one thing after the other.
    pub(super) fn all(&self) -> [Vec<Said>; 8] {
        [
            self.brace(),
            self.ranges(),
            self.turns(),
            self.single(Field::Shots, "shots"),
            self.single(Field::StringLength, "string_length"),
            self.single(Field::BowLength, "bow_length"),
            self.single(Field::DrawWeight, "draw_weight"),
            self.single(Field::BowYear, "bow_year"),
        ]
    }

    fn brace(&self) -> Vec<Said> {
        let mut said = Vec::new();
        let mut readings: Vec<Height<'_>> = Vec::new();
        for height in self.heights() {
            let Height { at, one, number, inches, unit } = height;
            let (now, reading) = (self.chance(at, "now"), self.chance(at, "now_n"));
            let is_reading = self.is(at, "now_n");
            let is_listed = one.link == Link::List || self.context.link_to_next(at) == Link::List;
            if reading > 0.25 || is_reading || (is_listed && now + reading > 0.3) {
                readings.push(height);
            }
            let in_doubt = number.spread.is_some()
                || self.read_of(one).is_some_and(|read| read.is_elsewhere_or_denied(one));
            let doubt = if in_doubt { 0.8 } else { 1.0 };
            let rough = if one.is_rough && number.value.shape != Shape::Mixed { 0.9 } else { 1.0 };
            let chance = if is_reading { now + 0.5 * reading } else { now + reading };
            let spelled = number.spelled(unit);
            said.push(self.said(Field::Brace, vec![inches], spelled, chance * rough * doubt, one, one));
        }
        let [first, .., last] = readings.as_slice() else { return said };
        let count = f64::from(u32::try_from(readings.len()).unwrap_or(1));
        let mean = readings.iter().map(|one| one.inches).sum::<f64>() / count;
        // Readings far apart are no readings of one thing.
        if readings.iter().all(|one| (one.inches - mean).abs() < 0.4) {
            for one in &mut said {
                let value = one.values.first().copied().unwrap_or_default();
                if readings.iter().any(|reading| (reading.inches - value).abs() < 0.011) {
                    one.chance = one.chance.min(0.1);
                }
            }
            let chance =
                readings.iter().map(|one| self.chances(one.at, &["now", "now_n"])).fold(1.0, f64::min);
            let spelled = format!("{mean} in");
            let mean = self.said(Field::Brace, vec![mean], spelled, chance, first.one, last.one);
            said.push(Said { readings: readings.len(), ..mean });
        }
        said
    }

    /// Who says a range: the bow's maker only where the sentence names him or what he wrote.
    fn speaker(&self, one: &Candidate, maker: f64, want: f64) -> Field {
        let names_maker = self
            .read_of(one)
            .is_some_and(|read| one.sentence.clone().any(|at| read.is(at, "maker")) || read.asks("maker"));
        if maker >= want && names_maker { Field::MakerRange } else { Field::Want }
    }

    /// A range of two ends, whichever was said first.
    fn range(&self, field: Field, one: Height<'_>, other: Height<'_>, chance: f64) -> Said {
        let (low, high) = if one.inches <= other.inches { (one, other) } else { (other, one) };
        let spelled = format!("{} to {}", low.number.spelled(low.unit), high.number.spelled(high.unit));
        self.said(field, vec![low.inches, high.inches], spelled, chance, one.one, other.one)
    }

    /// The places of two numbers that are the ends of one range, and how much that is to be believed.
    fn pairs(&self) -> Vec<(usize, usize, f64)> {
        let candidates = &self.context.candidates;
        let is_bound = |at: usize| candidates.get(at).is_some_and(|one| one.link == Link::To);
        let mut pairs: Vec<(usize, usize, f64)> = (1..candidates.len())
            .filter(|at| is_bound(*at) && candidates.get(*at).is_some_and(Candidate::is_brace_size))
            .map(|at| (at - 1, at, 1.0))
            .collect();
        // "At least 8 ... and never more than 9"
        for (low, high) in [("maker_low", "maker_high"), ("want_low", "want_high")] {
            for (at, _) in self.numbers().filter(|(at, _)| self.is(*at, low) && !is_bound(at + 1)) {
                let near = (at.saturating_sub(2)..at + 4).filter(|next| *next != at);
                let next = near
                    .filter(|next| candidates.get(*next).is_some_and(|one| one.number.is_some()))
                    .find(|next| self.is(*next, high) && !is_bound(*next));
                pairs.extend(next.map(|next| (at, next, 0.97)));
            }
        }
        pairs
    }

    fn ranges(&self) -> Vec<Said> {
        let mut said = Vec::new();
        let mut paired: Vec<usize> = Vec::new();
        for (a, b, scale) in self.pairs() {
            let (Some(low), Some(high)) = (self.length(a), self.length(b)) else { continue };
            let lows = self.chances(a, &["maker_low", "want_low"]);
            let highs = self.chances(b, &["maker_high", "want_high"]);
            let maker = self.chance(a, "maker_low") * self.chance(b, "maker_high");
            let want = self.chance(a, "want_low") * self.chance(b, "want_high");
            // Two numbers bound by "to" are a range more often than anything else.
            let chance = ((lows * highs).sqrt() * scale).max(0.1);
            said.push(self.range(self.speaker(low.one, maker, want), low, high, chance));
            paired.extend([a, b]);
        }
        // Two ends that stand apart.
        for low in self.heights() {
            for high in (low.at + 1..low.at + 4).filter_map(|next| self.length(next)) {
                let is_near =
                    high.one.is_brace_size() && high.one.read == low.one.read && high.one.link != Link::To;
                let chance = self.chances(low.at, &OF_RANGE).min(self.chances(high.at, &OF_RANGE)) * 0.4;
                if is_near && chance >= OFFERED && (low.inches - high.inches).abs() > 1e-9 {
                    let want = self.chances(low.at, &["want", "want_low"]);
                    let field = self.speaker(low.one, self.chance(low.at, "maker_low"), want);
                    said.push(self.range(field, low, high, chance));
                }
            }
        }
        for Height { at, one, number, inches, unit } in self.heights() {
            let want = self.chance(at, "want");
            if let (Some(spelled), Some(spread)) = (number.spread_range(unit), &number.spread) {
                let half = spread.size * inches / number.value.size.max(0.01);
                let field = self.speaker(one, self.chance(at, "maker_low"), want);
                let ends = vec![inches - half, inches + half];
                said.push(self.said(field, ends, spelled, self.chances(at, &OF_RANGE), one, one));
            } else if !paired.contains(&at) {
                let maker = self.chances(at, &["maker_low", "maker_high"]);
                let limit = self.chances(at, &["maker_low", "maker_high", "want_low", "want_high"]);
                let field = self.speaker(one, maker, want);
                // A limit on one side is offered and never sure.
                let chance = if limit > want { (want + limit).min(0.9) } else { want + limit };
                said.push(self.said(field, vec![inches, inches], number.spelled(unit), chance, one, one));
            }
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
            let is_of_others =
                self.read_of(one).is_some_and(|read| read.counts_others(one) || read.times(one).is_none());
            if !is_count || into + out < OFFERED || number.value.size == 0.0 || is_of_others {
                continue;
            }
            // Half turns and crossings are half as many turns.
            let is_half = self.read_of(one).is_some_and(|read| read.counts_halves(one));
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
        let is_known = |said: &[Said], turns: f64| {
            said.iter().any(|one| one.values.first().is_some_and(|held| (held - turns).abs() < 0.01))
        };
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
            if !is_known(&said, sum) {
                let value = vec![sum];
                said.push(self.said(Field::Turns, value, format!("{sum:+}"), chance.max(OFFERED), from, to));
            }
        }
        // One of them alone, and the same the other way round.
        for (one, turns, counts, sign) in &steps {
            for (turns, chance) in [(*turns, 0.3 * counts), (-turns, counts * (1.0 - sign))] {
                if !is_known(&said, turns) && chance >= 0.02 {
                    let (value, chance) = (vec![turns], chance.clamp(OFFERED, 0.3));
                    said.push(self.said(Field::Turns, value, format!("{turns:+}"), chance, one, one));
                }
            }
        }
        if let Some((chance, one)) = none {
            let some = steps.iter().map(|(_, _, counts, _)| *counts).fold(0.0, f64::max);
            let chance = chance * (1.0 - 0.8 * some);
            said.push(self.said(Field::Turns, vec![0.0], "0".to_owned(), chance, one, one));
        }
        said
    }

    /// What one number alone says.
    fn single(&self, field: Field, meaning: &str) -> Vec<Said> {
        self.numbers()
            .filter_map(|(at, one)| {
                let number = one.number.as_ref()?;
                let (read, mut from) = (self.read_of(one)?, one);
                let mut chance = self.chance(at, meaning);
                if read.is_of_a_string(one) {
                    // "A 58 inch string" may be one of 58 inches, or one for a bow of that mark.
                    let bow = self.chance(at, "bow_length");
                    match field {
                        Field::BowLength => chance *= 0.3,
                        Field::StringLength => chance += 0.6 * bow,
                        _ => {}
                    }
                }
                let (value, spelled) = match field {
                    Field::StringLength | Field::BowLength => {
                        let length = self.length(at)?;
                        (length.inches, number.spelled(length.unit))
                    }
                    Field::DrawWeight => {
                        let unit = number.unit.unwrap_or(Measured::Pound);
                        let pounds = match unit {
                            Measured::Pound => number.value.size,
                            Measured::Kilogram => {
                                number.value.size * NEWTONS_PER_KILOGRAM_FORCE / NEWTONS_PER_POUND_FORCE
                            }
                            Measured::Newton => number.value.size / NEWTONS_PER_POUND_FORCE,
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
                        let (times, is_before) = read.times(one)?;
                        if is_before {
                            from = self.context.candidates.get(at.checked_sub(1)?)?;
                        }
                        let written =
                            thousand(&number.value.written, number.value.shape).unwrap_or(number.value.size);
                        (written * times, format!("{}", written * times))
                    }
                };
                Some(self.said(field, vec![value], spelled, chance, from, one))
            })
            .collect()
    }
}

/// "1,200" is a thousand and two hundred.
fn thousand(written: &str, shape: Shape) -> Option<f64> {
    let (whole, part) = written.split_once([',', '.']).filter(|_| shape == Shape::Decimal)?;
    (part.len() == 3 && !whole.is_empty()).then(|| format!("{whole}{part}").parse().ok())?
}

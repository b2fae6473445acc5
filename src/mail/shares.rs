//! Which of several strings each part of a letter speaks of: each gets only what its own words say, and
//! what is said of none in particular is of all only where the words say so.

use std::ops::Range;

use super::context::{Context, Link, Read};
use super::lists::holds;
use super::noise::every_reference;
use super::numbers::{Item, Measured, What};

/// By what a letter may call a string.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Called {
    /// Its serial and its order.
    pub names: Vec<String>,
    /// Lengths of its bow, or of itself, by which people tell it from others, inches.
    pub inches: Vec<f64>,
    /// Its kind of bow and its colours.
    pub words: Vec<String>,
}

/// So near to a length of a string it is called by it: bows are marked in whole inches.
const NEAR_INCHES: f64 = 0.3;
/// Shorter lengths are no bow's and no string's.
const LEAST_INCHES: f64 = 40.0;

/// A part of a letter that speaks of the same strings.
struct Part {
    /// Its bytes.
    bytes: Range<usize>,
    /// Its items.
    items: Range<usize>,
    /// The strings, by their places.
    of: Vec<usize>,
    /// The words say so.
    sure: bool,
}

/// The parts of a letter.
pub(super) struct Shares {
    /// Of each passage.
    parts: Vec<Vec<Part>>,
    /// The bytes of the words that name strings, of each passage; what stands in them is no value.
    names: Vec<Vec<Range<usize>>>,
    /// The strings that it surely speaks of.
    pub(super) spoken: Vec<usize>,
}

/// What words say which strings are meant.
#[derive(Clone, PartialEq)]
enum Who {
    These(Vec<usize>),
    /// The one that was not spoken of last.
    Other,
    /// One of them, and nobody knows which.
    Unknown,
}

struct Mention {
    items: Range<usize>,
    who: Who,
}

impl Shares {
    pub(super) fn new(context: &Context, strings: &[Called]) -> Self {
        let mut shares = Self { parts: Vec::new(), names: Vec::new(), spoken: Vec::new() };
        for (at, read) in context.reads.iter().enumerate() {
            let mut reader = Reader::new(read, strings);
            for sentence in &read.sentences {
                reader.read(sentence);
            }
            let mut parts = reader.parts;
            for part in parts.iter_mut().filter(|part| part.of.len() > 1) {
                // "Both are low, 7 and 6 1/2": as many values as strings are one for each.
                part.sure &= !context.candidates.iter().any(|one| {
                    one.read == at
                        && part.items.contains(&one.at.start)
                        && one.link == Link::List
                        && one.rank.1 == part.of.len()
                });
            }
            for one in reader.spoken {
                if !shares.spoken.contains(&one) {
                    shares.spoken.push(one);
                }
            }
            shares.names.push(reader.told_by);
            shares.parts.push(parts);
        }
        shares.spoken.sort_unstable();
        shares
    }

    /// Whether a place of a passage speaks of a string, and whether it surely does.
    pub(super) fn says(&self, read: usize, place: &Range<usize>, string: usize) -> Option<bool> {
        let parts = self.parts.get(read)?;
        let of = |byte: usize| {
            let part = parts.iter().find(|part| part.bytes.contains(&byte))?;
            part.of.contains(&string).then_some(part.sure)
        };
        let is_name = |name: &Range<usize>| name.start <= place.start && place.end <= name.end;
        if self.names.get(read)?.iter().any(is_name) {
            return None;
        }
        Some(of(place.start)? && of(place.end.saturating_sub(1).max(place.start))?)
    }

    /// The items of a sentence that speak of a string.
    pub(super) fn pieces(
        &self,
        read: usize,
        sentence: &Range<usize>,
        string: usize,
        sure: bool,
    ) -> Vec<Range<usize>> {
        let parts = self.parts.get(read).map(Vec::as_slice).unwrap_or_default();
        parts
            .iter()
            .filter(|part| sentence.contains(&part.items.start))
            .filter(|part| part.of.contains(&string) && (part.sure || !sure))
            .map(|part| part.items.clone())
            .collect()
    }
}

/// Goes through a passage, sentence by sentence.
struct Reader<'a> {
    read: &'a Read,
    strings: &'a [Called],
    /// Bytes of names, each with the strings that are called so.
    names: Vec<(Range<usize>, Vec<usize>)>,
    /// The string that was spoken of last, where it was one.
    last: Option<usize>,
    /// The strings that a line of their own stands above what follows for, and whether something did.
    heading: Option<(Vec<usize>, bool)>,
    parts: Vec<Part>,
    /// The bytes of the words that name strings.
    told_by: Vec<Range<usize>>,
    spoken: Vec<usize>,
}

impl<'a> Reader<'a> {
    fn new(read: &'a Read, strings: &'a [Called]) -> Self {
        let known: Vec<String> = strings.iter().flat_map(|string| string.names.clone()).collect();
        let names = every_reference(&read.text, &known)
            .into_iter()
            .map(|name| {
                let is_so = |called: &Called| {
                    called.names.iter().any(|one| one.trim().eq_ignore_ascii_case(&name.value))
                };
                let of = (0..strings.len()).filter(|at| strings.get(*at).is_some_and(is_so)).collect();
                (name.place, of)
            })
            .filter(|(_, of): &(_, Vec<usize>)| !of.is_empty())
            .collect();
        Self {
            read,
            strings,
            names,
            last: None,
            heading: None,
            parts: Vec::new(),
            told_by: Vec::new(),
            spoken: Vec::new(),
        }
    }

    fn all(&self) -> Vec<usize> {
        (0..self.strings.len()).collect()
    }

    fn item(&self, at: usize) -> Option<&'a Item> {
        self.read.items.get(at)
    }

    fn is(&self, at: usize, words: &str) -> bool {
        self.item(at).is_some_and(|item| item.word().is_some_and(|word| holds(words, word)))
    }

    fn is_before(&self, at: usize, words: &str) -> bool {
        at.checked_sub(1).is_some_and(|at| self.is(at, words))
    }

    fn read(&mut self, sentence: &Range<usize>) {
        self.end_paragraph(sentence);
        let found = self.mentions(sentence);
        let (Some(first), Some(last)) = (found.first(), found.last()) else {
            let (of, sure) = self.carried(sentence);
            if sentence.clone().any(|at| self.is_told(at)) {
                self.heading = self.heading.take().map(|(of, _)| (of, true));
            }
            self.push(sentence, sentence.clone(), of, sure);
            return;
        };
        let has_number = |mut of: Range<usize>| {
            of.any(|at| {
                let is_name = found.iter().any(|one| one.items.contains(&at));
                !is_name && self.item(at).is_some_and(|item| item.number().is_some())
            })
        };
        // "7 1/4 with the one and 6 1/2 with the other": names stand behind what is said.
        let behind =
            has_number(sentence.start..first.items.start) && !has_number(last.items.end..sentence.end);
        let in_turn = sentence.clone().any(|at| self.is(at, "in-turn"));
        let is_label = self.is_label(sentence, first);
        let mut cuts = vec![sentence.start];
        for pair in found.windows(2) {
            let [one, next] = pair else { continue };
            cuts.push(if behind {
                self.behind(one.items.end, next.items.start)
            } else {
                self.ahead(one.items.end, next.items.start)
            });
        }
        cuts.push(sentence.end);
        for (mention, cut) in found.iter().zip(cuts.windows(2)) {
            let of = match &mention.who {
                Who::These(these) => Some(these.clone()),
                Who::Other => self.other(),
                Who::Unknown => None,
            };
            self.last = match of.as_deref() {
                Some([one]) => Some(*one),
                _ => None,
            };
            // "My strings" may be others than all that the book knows.
            if of.as_ref().is_some_and(|of| of.len() < self.strings.len() || of.len() == 2) {
                self.spoken.extend(of.iter().flatten());
            }
            let name = self.item(mention.items.start).zip(self.item(mention.items.end - 1));
            self.told_by.extend(name.map(|(from, to)| from.start..to.end));
            let sure = of.is_some() && !in_turn;
            if let [from, to] = cut {
                self.push(sentence, *from..*to, of.clone().unwrap_or_else(|| self.all()), sure);
            }
            let follows = (mention.items.end..sentence.end).any(|at| self.is_told(at));
            self.heading = of.filter(|_| is_label && found.len() == 1).map(|of| (of, follows));
        }
    }

    /// Whether a word or a number stands at `at`.
    fn is_told(&self, at: usize) -> bool {
        self.item(at).is_some_and(|item| matches!(item.what, What::Word(_) | What::Number(_)))
    }

    fn push(&mut self, sentence: &Range<usize>, items: Range<usize>, of: Vec<usize>, sure: bool) {
        let (Some(from), Some(to)) = (self.item(items.start), items.end.checked_sub(1)) else { return };
        let Some(to) = self.item(to).filter(|_| !items.is_empty()) else { return };
        // Names of the same strings in one sentence make one part.
        let before = self.parts.last_mut().filter(|part| sentence.contains(&part.items.start));
        if let Some(before) = before.filter(|part| part.of == of && part.sure == sure) {
            before.items.end = items.end;
            before.bytes.end = to.end;
            return;
        }
        self.parts.push(Part { bytes: from.start..to.end.max(from.start + 1), items, of, sure });
    }

    /// The string of two that was not spoken of last.
    fn other(&self) -> Option<Vec<usize>> {
        self.last.filter(|_| self.strings.len() == 2).map(|last| vec![1 - last])
    }

    /// What a sentence that names nothing speaks of.
    fn carried(&self, sentence: &Range<usize>) -> (Vec<usize>, bool) {
        if let Some((of, _)) = &self.heading {
            return (of.clone(), true);
        }
        let is_it = sentence.clone().any(|at| self.is(at, "it"));
        match self.last.filter(|_| is_it) {
            Some(last) => (vec![last], false),
            None => (self.all(), false),
        }
    }

    /// A blank line ends what stands below a name.
    fn end_paragraph(&mut self, sentence: &Range<usize>) {
        let words = |at: &usize| self.item(*at).is_some_and(|item| item.what != What::Break);
        let before = (0..sentence.start).rev().find(words).and_then(|at| self.item(at));
        let next = sentence.clone().find(words).and_then(|at| self.item(at));
        let gap = before.zip(next).and_then(|(before, next)| self.read.text.get(before.end..next.start));
        if gap.is_some_and(|gap| gap.matches('\n').count() > 1) {
            self.heading = self.heading.take().filter(|(_, followed)| !followed);
            self.last = None;
        }
    }

    /// Whether a sentence begins with a name that stands for what follows: "S-1:".
    fn is_label(&self, sentence: &Range<usize>, first: &Mention) -> bool {
        let opens = (sentence.start..first.items.start)
            .all(|at| self.is(at, "before-names") || self.item(at).is_some_and(|item| item.word().is_none()));
        let mut after = first.items.end;
        if self.item(after).is_some_and(|item| item.is_mark('(')) {
            let rest = after..sentence.end;
            after = rest
                .into_iter()
                .find(|at| self.item(*at).is_some_and(|item| item.is_mark(')')))
                .map_or(after, |at| at + 1);
        }
        let ends = after >= sentence.end
            || self
                .item(after)
                .is_some_and(|item| item.is_mark(':') || item.is_mark('=') || item.what == What::Break);
        opens && ends
    }

    /// Where one name's part ends and the next one's begins, where names stand ahead.
    fn ahead(&self, from: usize, next: usize) -> usize {
        let begins = |at: usize| {
            self.item(at).is_some_and(|item| match &item.what {
                What::Word(word) => holds("conjunctions", word) || word == "and",
                What::Mark(mark) => matches!(mark, ',' | ';' | '(' | '!' | '?' | '–'),
                _ => false,
            })
        };
        (from..next).rev().find(|at| begins(*at)).unwrap_or_else(|| {
            let opens = (from..next).rev().take_while(|at| self.is(*at, "before-names")).last();
            opens.unwrap_or(next)
        })
    }

    /// The same where they stand behind what is said of them.
    fn behind(&self, from: usize, next: usize) -> usize {
        (from..next).find(|at| self.item(*at).is_some_and(|item| !item.is_mark(')'))).unwrap_or(next)
    }

    fn mentions(&self, sentence: &Range<usize>) -> Vec<Mention> {
        let mut found: Vec<Mention> = Vec::new();
        let mut at = sentence.start;
        while at < sentence.end {
            let Some((end, who)) = self.mention_at(at) else {
                at += 1;
                continue;
            };
            let end = end.clamp(at + 1, sentence.end);
            let joined = found.last_mut().filter(|before| {
                (before.items.end..at).all(|at| {
                    self.is(at, "joins-names")
                        || self.item(at).is_some_and(|item| {
                            matches!(item.what, What::Mark(',' | '&' | '/' | '+' | '(' | ')'))
                        })
                })
            });
            match (joined, who) {
                (Some(Mention { items, who: Who::These(held) }), Who::These(these)) => {
                    items.end = end;
                    held.extend(these);
                    held.sort_unstable();
                    held.dedup();
                }
                (_, who) => found.push(Mention { items: at..end, who }),
            }
            at = end;
        }
        found
    }

    /// Which strings the words at `at` name, and where these words end.
    fn mention_at(&self, at: usize) -> Option<(usize, Who)> {
        let item = self.item(at)?;
        if let Some((name, of)) =
            self.names.iter().find(|(name, _)| item.start < name.end && item.end > name.start)
        {
            let end = (at..).find(|at| self.item(*at).is_none_or(|item| item.start >= name.end))?;
            return Some((end, Who::These(of.clone())));
        }
        let one_behind = |at: usize| self.is(at, "one-of-several");
        if let Some(number) = item.number() {
            let unit = usize::from(number.unit.is_none() && self.is(at + 1, "inch-words"));
            let inches = number.inches(number.unit.unwrap_or(Measured::Inch));
            let is_said = one_behind(at + 1 + unit);
            let of = self.told_apart(|called| {
                called.inches.iter().any(|length| (length - inches).abs() < NEAR_INCHES)
            })?;
            return (inches >= LEAST_INCHES && is_said).then_some((at + 2 + unit, Who::These(of)));
        }
        let word = item.word()?;
        let follows = usize::from(one_behind(at + 1));
        match word {
            "other" if self.is_before(at, "articles") => return Some((at + 1 + follows, Who::Other)),
            "another" => return Some((at + 1 + follows, Who::Unknown)),
            "one" if self.is(at + 1, "of-word") => {
                return Some((at + 3 + usize::from(one_behind(at + 3)), Who::Unknown));
            }
            _ if follows == 1 && holds("in-order", word) => return Some((at + 2, Who::Unknown)),
            _ => {}
        }
        if holds("of-two", word) && self.is_of_all(at, word) && self.strings.len() != 2 {
            return Some((at + 1, Who::Unknown));
        }
        if self.is_of_all(at, word) {
            return Some((at + 1, Who::These(self.all())));
        }
        let of = self.told_apart(|called| called.words.iter().any(|called| called == word))?;
        (follows == 1 || self.is_before(at, "articles")).then_some((at + 1 + follows, Who::These(of)))
    }

    /// The strings that something is true of, where it tells them from the others.
    fn told_apart(&self, is: impl Fn(&Called) -> bool) -> Option<Vec<usize>> {
        let of: Vec<usize> =
            self.all().into_iter().filter(|at| self.strings.get(*at).is_some_and(&is)).collect();
        (!of.is_empty() && of.len() < self.strings.len()).then_some(of)
    }

    /// Whether a word says that all of them are meant.
    fn is_of_all(&self, at: usize, word: &str) -> bool {
        let of_one = (at + 1..at + 3).any(|at| self.is(at, "parts-of-one"));
        match word {
            "both" | "neither" => !of_one,
            "each" => !of_one && !self.is(at + 1, "times"),
            "either" => {
                !of_one
                    && (self.is_before(at, "to-names")
                        || self.is(at + 1, "of-word")
                        || self.is(at + 1, "one-of-several"))
            }
            "all" => {
                (self.is(at + 1, "of-word")
                    && self.item(at + 2).is_some_and(|item| item.is_any(&["them", "these"])))
                    || (at + 1..at + 3).any(|at| self.item(at).is_some_and(|item| item.is_any(&["strings"])))
            }
            "strings" => self.is_before(at, "articles"),
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::letter::{Passage, Voice};
    use super::*;

    /// What each of two strings, of bows of 66 and 62 in, is told: sure words, then what may be meant.
    fn told(text: &str) -> [Vec<String>; 2] {
        let called = |name: &str, inches: f64, word: &str| Called {
            names: vec![name.to_owned(), "O-7".to_owned()],
            inches: vec![inches],
            words: vec![word.to_owned()],
        };
        let strings = [called("S-1", 66.0, "recurve"), called("S-2", 62.0, "longbow")];
        let passage = Passage {
            voice: Voice::Said,
            question: String::new(),
            text: text.to_owned(),
            place: Some(0),
            lines: vec![0],
        };
        let context = Context::new(None, &[passage], false, &|_| Vec::new());
        let shares = Shares::new(&context, &strings);
        [0, 1].map(|string| {
            shares.parts[0]
                .iter()
                .filter(|part| part.of.contains(&string))
                .map(|part| {
                    let words = text[part.bytes.clone()].trim_matches([' ', ',', '.', '\n', ';']);
                    format!("{words}{}", if part.sure { "" } else { "?" })
                })
                .filter(|words| words != "?" && !words.is_empty())
                .collect()
        })
    }

    #[test]
    fn each_string_gets_what_its_own_words_say() {
        for (text, first, second) in [
            ("S-1 is at 7 1/4, S-2 at 6 1/2.", "S-1 is at 7 1/4", "S-2 at 6 1/2"),
            (
                "The 66 in one sits at 7 1/4, the 62 in one at 6 1/2",
                "The 66 in one sits at 7 1/4",
                "the 62 in one at 6 1/2",
            ),
            (
                "7 1/4 with the 66\" one and 6 1/2 with the other",
                "7 1/4 with the 66\" one",
                "and 6 1/2 with the other",
            ),
            ("it reads 7 1/4 (S-1), 6 1/2 (S-2)", "it reads 7 1/4 (S-1)", "6 1/2 (S-2)"),
            (
                "The longbow one is low and the recurve one hums.",
                "and the recurve one hums",
                "The longbow one is low",
            ),
            ("Both came out short.", "Both came out short", "Both came out short"),
            ("No turns in either.", "No turns in either", "No turns in either"),
            ("My strings of O-7 hum.", "My strings of O-7 hum", "My strings of O-7 hum"),
            ("S-1 and S-2 are low.", "S-1 and S-2 are low", "S-1 and S-2 are low"),
            ("S-1:\nbrace 7 1/4\n\nS-2:\nbrace 6 1/2", "S-1:\nbrace 7 1/4", "S-2:\nbrace 6 1/2"),
        ] {
            assert_eq!(told(text).map(|said| said.join("|")), [first, second], "{text}");
        }
    }

    #[test]
    fn what_is_said_of_none_in_particular_is_only_likely() {
        for (text, first, second) in [
            ("S-1 hums. The maker says 8.", "S-1 hums|The maker says 8?", "The maker says 8?"),
            ("S-1 hums. It reads 7.", "S-1 hums|It reads 7?", ""),
            (
                "One of them is at 7, the other at 6.",
                "One of them is at 7, the other at 6?",
                "One of them is at 7, the other at 6?",
            ),
            (
                "S-1 and S-2 read 7 and 6 respectively.",
                "S-1 and S-2 read 7 and 6 respectively?",
                "S-1 and S-2 read 7 and 6 respectively?",
            ),
            ("Both are low, 7 and 6 1/2.", "Both are low, 7 and 6 1/2?", "Both are low, 7 and 6 1/2?"),
            ("One of the strings slaps.", "One of the strings slaps?", "One of the strings slaps?"),
            ("Both loops of it are tight.", "Both loops of it are tight?", "Both loops of it are tight?"),
            ("It slaps each time I shoot", "It slaps each time I shoot?", "It slaps each time I shoot?"),
            ("S-1:\nbrace 7\n\nThanks for all", "S-1:\nbrace 7|Thanks for all?", "Thanks for all?"),
        ] {
            assert_eq!(told(text).map(|said| said.join("|")), [first, second], "{text}");
        }
    }
}

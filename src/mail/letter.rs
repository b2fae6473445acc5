//! The parts of a letter: what is new in it, what answers which quoted question, what somebody else
//! wrote, and what is only quoted or signed.

use std::ops::Range;

use super::lists::{holds, list};
use crate::words::{ends_attribution, harmless, is_unsafe};

/// Most lines of a signature without a mark, and most characters of each.
const SIGNATURE: (usize, usize) = (8, 70);

/// Most characters of a line above a quoted mail.
const LONGEST_ATTRIBUTION: usize = 200;

/// Who says what stands in a part of a letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Voice {
    /// The writer.
    Said,
    /// The writer, below a question of ours.
    Answer,
    /// Somebody whose letter is passed on.
    Forwarded,
}

/// A part of a letter that is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Passage {
    pub(super) voice: Voice,
    /// The last thing that was quoted above it.
    pub(super) question: String,
    pub(super) text: String,
    /// Where it begins in what is new, bytes; what was passed on stands elsewhere.
    pub(super) place: Option<usize>,
    /// The lines of the letter that it is made of, from 1.
    pub(super) lines: Vec<usize>,
}

/// A letter in its parts.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Letter {
    /// What is new, tidied.
    pub(super) new: String,
    /// Something that is not new was cut off.
    pub(super) has_cut: bool,
    /// Who wrote what is passed on, as its headers name him.
    pub(super) passed_on_from: Option<String>,
    pub(super) passages: Vec<Passage>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    New,
    /// Marked as quoted.
    Quoted,
    /// Headers, signatures, and earlier mails without marks.
    Cut,
    /// Of a letter that is passed on.
    Forwarded,
    /// Typed into a copy of an earlier mail that has no marks.
    Between,
}

/// Parts a letter.
pub(super) fn part_letter(text: &str) -> Letter {
    let lines: Vec<String> = text.lines().map(tidy_line).collect();
    let mut parts = vec![Part::New; lines.len()];
    mark_history(&lines, &mut parts);
    let is_new =
        |parts: &[Part]| lines.iter().zip(parts).any(|(line, part)| *part == Part::New && !line.is_empty());
    if !is_new(&parts) {
        // A mail that only passes another on says what the other says.
        for part in parts.iter_mut().filter(|part| **part == Part::Forwarded) {
            *part = Part::New;
        }
    }
    mark_signature(&lines, &mut parts);
    let (mut new, mut has_cut) = (Joined::default(), false);
    for (line, part) in lines.iter().zip(&parts) {
        if *part == Part::New {
            new.push(line);
        } else {
            has_cut |= !line.is_empty();
        }
    }
    let passed_on_from = lines.iter().position(|line| is_forward_mark(line)).and_then(|at| {
        headers(&lines, at + 1).find_map(|line| {
            let (name, value) = line.split_once(':')?;
            let is_sender = matches!(name.trim_matches('*').to_lowercase().as_str(), "from" | "von" | "de");
            is_sender.then(|| value.trim_matches(['*', ' ']).to_owned())
        })
    });
    Letter { new: new.text, has_cut, passed_on_from, passages: passages(&lines, &parts) }
}

/// Lines with at most one blank line between, and none at the ends.
#[derive(Default)]
struct Joined {
    text: String,
    is_parted: bool,
}

impl Joined {
    /// Adds a line, and says where it begins unless it is empty.
    fn push(&mut self, line: &str) -> Option<usize> {
        if line.is_empty() {
            self.is_parted = !self.text.is_empty();
            return None;
        }
        if !self.text.is_empty() {
            self.text.push_str(if self.is_parted { "\n\n" } else { "\n" });
        }
        self.is_parted = false;
        let at = self.text.len();
        self.text.push_str(line);
        Some(at)
    }
}

/// The parts that are read, while they are put together.
#[derive(Default)]
struct Passages {
    done: Vec<Passage>,
    voice: Option<Voice>,
    question: String,
    text: Joined,
    place: Option<usize>,
    lines: Vec<usize>,
}

impl Passages {
    fn close(&mut self) {
        let (text, place) = (std::mem::take(&mut self.text).text, self.place.take());
        let lines = std::mem::take(&mut self.lines);
        if let (Some(voice), false) = (self.voice, text.is_empty()) {
            self.done.push(Passage { voice, question: self.question.clone(), text, place, lines });
        }
    }
}

fn passages(lines: &[String], parts: &[Part]) -> Vec<Passage> {
    let (mut new, mut passages, mut is_quoting) = (Joined::default(), Passages::default(), false);
    for (number, (line, part)) in lines.iter().zip(parts).enumerate() {
        let voice = match part {
            Part::New if passages.question.is_empty() => Voice::Said,
            Part::New | Part::Between => Voice::Answer,
            Part::Forwarded => Voice::Forwarded,
            Part::Quoted | Part::Cut => {
                let quoted = line.trim_start_matches(['>', ' ', '|']);
                passages.close();
                if *part == Part::Quoted || !quoted.is_empty() {
                    if !is_quoting {
                        passages.question.clear();
                    }
                    if *part == Part::Quoted || quoted.ends_with('?') {
                        passages.question = last_question(&format!("{} {quoted}", passages.question));
                    }
                    is_quoting = true;
                }
                continue;
            }
        };
        if passages.voice != Some(voice) {
            passages.close();
            passages.voice = Some(voice);
        }
        is_quoting &= line.is_empty();
        let at = if *part == Part::New { new.push(line) } else { None };
        if passages.text.push(line).is_some() {
            passages.place = passages.place.or(at);
            passages.lines.push(number + 1);
        }
    }
    passages.close();
    passages.done
}

/// What a quoted part asks last: its last sentence with a question mark, else its end.
fn last_question(quoted: &str) -> String {
    const LONGEST: usize = 300;
    let joined = quoted.split_whitespace().collect::<Vec<_>>().join(" ");
    let asked = match joined.rfind('?') {
        Some(end) if !joined.get(end + 1..).unwrap_or_default().contains(['.', ':']) => {
            let before = joined.get(..end).unwrap_or_default();
            let start = before.rfind(['.', '!', '?']).map_or(0, |at| at + 1);
            joined.get(start..).unwrap_or_default()
        }
        _ => joined.as_str(),
    };
    let skipped = asked.chars().count().saturating_sub(LONGEST);
    asked.chars().skip(skipped).collect::<String>().trim().to_owned()
}

/// One line without what is invisible, its blanks reduced to single spaces.
fn tidy_line(line: &str) -> String {
    let seen: String = line
        .chars()
        .filter(|&c| c != '\u{ad}' && (c.is_control() || !is_unsafe(c)))
        .map(|c| if c.is_whitespace() { ' ' } else { c })
        .collect();
    harmless(&seen.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" "))
}

fn mark_history(lines: &[String], parts: &mut [Part]) {
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        if line.starts_with('>') {
            set(parts, at..at + 1, Part::Quoted);
        } else if is_forward_mark(line) {
            mark_forwarded(lines, parts, at);
            return;
        } else if is_history_mark(line) || is_header_block(lines, at) || line.starts_with("________________")
        {
            mark_copy(lines, parts, at, 1);
            return;
        } else if let Some(length) = attribution(lines, at) {
            let is_followed_by_quote = lines
                .iter()
                .skip(at + length)
                .filter(|line| !line.is_empty())
                .take(2)
                .any(|line| line.starts_with('>'));
            if !is_followed_by_quote {
                mark_copy(lines, parts, at, length);
                return;
            }
            set(parts, at..at + length, Part::Cut);
            at += length;
            continue;
        }
        at += 1;
    }
}

fn set(parts: &mut [Part], range: Range<usize>, with: Part) {
    if let Some(cut) = parts.get_mut(range) {
        cut.fill(with);
    }
}

/// The headers of a letter that is passed on, and empty lines among them.
fn headers(lines: &[String], from: usize) -> impl Iterator<Item = &String> {
    lines.iter().skip(from).take_while(|line| line.is_empty() || is_any_header(line))
}

/// A letter that is passed on: its headers are cut, the rest is somebody else's.
fn mark_forwarded(lines: &[String], parts: &mut [Part], at: usize) {
    set(parts, at..lines.len(), Part::Forwarded);
    set(parts, at..at + 1 + headers(lines, at + 1).count(), Part::Cut);
    for (line, part) in lines.iter().zip(parts).skip(at) {
        if line.starts_with('>') {
            *part = Part::Quoted;
        }
    }
}

/// An earlier mail without marks of quoting; short lines right under its questions were typed in.
fn mark_copy(lines: &[String], parts: &mut [Part], at: usize, length: usize) {
    set(parts, at..lines.len(), Part::Cut);
    for place in at + length..lines.len() {
        let line = lines.get(place).map(String::as_str).unwrap_or_default();
        if !is_typed_answer(line) {
            continue;
        }
        let above = lines.get(at + length..place).unwrap_or_default();
        if above.iter().rev().find(|line| !line.is_empty()).is_some_and(|line| line.ends_with('?')) {
            set(parts, place..place + 1, Part::Between);
        }
    }
}

/// Most words of an answer that was typed into a copy.
const LONGEST_ANSWER: usize = 12;

fn is_typed_answer(line: &str) -> bool {
    let first = line.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default().to_lowercase();
    let is_answer = line.contains(|c: char| c.is_ascii_digit()) || holds("answers", &first);
    is_answer
        && !line.ends_with(['?', ':'])
        && line.split_whitespace().count() <= LONGEST_ANSWER
        && !line.starts_with(|c: char| c.is_ascii_digit() && line.contains(". "))
}

fn trimmed_mark(line: &str) -> String {
    line.trim_matches(|c: char| matches!(c, '-' | '_' | '*' | ' ' | ':' | '>')).to_lowercase()
}

fn is_forward_mark(line: &str) -> bool {
    let line = trimmed_mark(line);
    line.chars().count() < 60 && list("forwards").iter().any(|mark| line.starts_with(mark))
}

fn is_history_mark(line: &str) -> bool {
    let line = trimmed_mark(line);
    line.chars().count() < 60 && holds("history", &line)
}

/// Whether at least three headers of a mail, the first of them its sender, stand here in a row.
fn is_header_block(lines: &[String], at: usize) -> bool {
    let is_header = |line: &String| {
        let line = line.trim_start_matches('*').to_lowercase();
        list("headers")
            .iter()
            .any(|label| line.starts_with(label) || line.starts_with(&label.replace(':', "*:")))
    };
    let first = lines.get(at).map(|line| line.trim_start_matches('*').to_lowercase()).unwrap_or_default();
    (first.starts_with("from:") || first.starts_with("von:"))
        && lines.iter().skip(at).take(3).filter(|line| is_header(line)).count() == 3
}

/// How many lines the "On … wrote:" that begins at `at` takes, if one does.
fn attribution(lines: &[String], at: usize) -> Option<usize> {
    let first = lines.get(at)?;
    let begins = first.split_once(' ').is_some_and(|(word, _)| holds("attributions", word));
    let mut joined = String::new();
    for length in 1..=3 {
        let line = lines.get(at + length - 1).filter(|line| !line.is_empty())?;
        joined.push_str(line);
        if joined.chars().count() > LONGEST_ATTRIBUTION {
            return None;
        }
        let ends = ends_attribution(&joined);
        // "Tom wrote:" is no attribution without a day or an address.
        if ends && joined.contains(|c: char| c.is_ascii_digit() || c == '@') {
            return Some(length);
        }
        if !begins {
            return None;
        }
        joined.push(' ');
    }
    None
}

fn is_any_header(line: &str) -> bool {
    line.split_once(':').is_some_and(|(name, _)| !name.is_empty() && !name.contains(' '))
}

fn mark_signature(lines: &[String], parts: &mut [Part]) {
    let new: Vec<usize> = (0..lines.len()).filter(|&at| parts.get(at) == Some(&Part::New)).collect();
    let line = |at: usize| lines.get(at).map(String::as_str).unwrap_or_default();
    let mut end_of_text = None;
    for (place, &at) in new.iter().enumerate() {
        let rest = new.get(place + 1..).unwrap_or_default();
        if line(at) == "--" {
            end_of_text = Some(place);
            break;
        }
        if is_sent_from(line(at)) {
            set(parts, at..at + 1, Part::Cut);
        } else if is_closing(line(at))
            && is_signature(std::iter::once(&at).chain(rest).map(|&at| line(at)))
            // What stands alone is what somebody has to say.
            && new.get(..place).unwrap_or_default().iter().any(|&before| !line(before).is_empty())
        {
            end_of_text = Some(place);
            break;
        }
    }
    if let Some(place) = end_of_text {
        for &at in new.get(place..).unwrap_or_default() {
            set(parts, at..at + 1, Part::Cut);
        }
    }
}

/// The line that telephones add.
fn is_sent_from(line: &str) -> bool {
    let line = line.to_lowercase();
    line.chars().count() < 70
        && (line.starts_with("sent from ")
            || (line.starts_with("get ") && line.contains(" for ") && line.split(' ').count() <= 5))
}

fn is_closing(line: &str) -> bool {
    let (words, name) = line.split_once(',').unwrap_or((line, ""));
    let words = words.trim_end_matches(['.', '!', ' ']).to_lowercase();
    name.split_whitespace().count() <= 3 && holds("closings", &words)
}

/// Whether lines from a closing on are no more than that and a signature.
fn is_signature<'a>(lines: impl Iterator<Item = &'a str>) -> bool {
    let mut count = 0;
    for line in lines.filter(|line| !line.is_empty()) {
        count += 1;
        let speaks_of_trade =
            line.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| holds("trade", word));
        if count > SIGNATURE.0 + 1 || line.chars().count() > SIGNATURE.1 || speaks_of_trade {
            return false;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn new(text: &str) -> String {
        part_letter(text).new
    }

    /// Who says what: of each part its voice, the question above it and its text.
    fn parts(text: &str) -> Vec<(Voice, String, String)> {
        let letter = part_letter(text);
        for passage in &letter.passages {
            if let Some(place) = passage.place {
                assert!(
                    letter.new.get(place..).is_some_and(|rest| rest.starts_with(&passage.text)),
                    "{letter:?}"
                );
            }
        }
        letter.passages.into_iter().map(|one| (one.voice, one.question, one.text)).collect()
    }

    fn part(voice: Voice, question: &str, text: &str) -> (Voice, String, String) {
        (voice, question.to_owned(), text.to_owned())
    }

    #[test]
    fn quoted_mails_are_cut_wherever_the_answer_stands() {
        assert_eq!(
            new("It is 7.\n\nOn Mon, 3 Mar 2025 at 10:02, Ann <a@example.org>\nwrote:\n> How?"),
            "It is 7."
        );
        assert_eq!(new("On 3 March 2025 Ann wrote:\n> How?\nIt is 7.\n> And?\nGood."), "It is 7.\nGood.");
        assert_eq!(new("It is 7.\n-----Original Message-----\nFrom: Ann\nbrace 8"), "It is 7.");
        assert_eq!(new("It is 7.\nFrom: Ann\nSent: Monday\nTo: Tom\nbrace 8"), "It is 7.");
        assert_eq!(new("On Monday, 3.3.2025 Ann wrote:\nbrace 8"), "");
        assert_eq!(new("On Monday I shot it\nand it is loud."), "On Monday I shot it\nand it is loud.");
    }

    #[test]
    fn an_answer_stands_under_its_question() {
        assert_eq!(
            parts(
                "Hello\n> It came back. What is the brace\n> height now?\n7 1/8\n> Any turns?\n\nno\n\nBye"
            ),
            [
                part(Voice::Said, "", "Hello"),
                part(Voice::Answer, "What is the brace height now?", "7 1/8"),
                part(Voice::Answer, "Any turns?", "no\n\nBye"),
            ]
        );
    }

    #[test]
    fn an_answer_typed_into_a_copy_without_marks_is_read() {
        let text = "See below.\n-----Original Message-----\nFrom: Bench\nSent: Monday\nTo: Tom\n\nHow many full turns \
                    did you put in?\n6\nWhat is the brace height now?\n\n7 1/4\nPlease use a stringer.";
        let answers = parts(text);
        assert_eq!(answers.get(1), Some(&part(Voice::Answer, "How many full turns did you put in?", "6")));
        assert_eq!(answers.get(2), Some(&part(Voice::Answer, "What is the brace height now?", "7 1/4")));
        assert_eq!(new(text), "See below.");
    }

    #[test]
    fn what_is_passed_on_is_somebody_elses_and_alone_is_the_text() {
        let text =
            "---------- Forwarded message ---------\nFrom: Tom <t@example.org>\nDate: Monday\n\nIt is 7.";
        assert_eq!(new(text), "It is 7.");
        let text = format!("See below.\n{text}");
        assert_eq!(new(&text), "See below.");
        assert_eq!(parts(&text).get(1), Some(&part(Voice::Forwarded, "", "It is 7.")));
    }

    #[test]
    fn signatures_are_cut_and_text_after_thanks_is_not() {
        assert_eq!(new("It is 7.\n-- \nTom\n12 Mill Lane"), "It is 7.");
        assert_eq!(new("It is 7.\n\nBest regards,\nTom\nTel. 0123 456789"), "It is 7.");
        assert_eq!(new("Thanks,\nTom\nPS: the brace is 7"), "Thanks,\nTom\nPS: the brace is 7");
        assert_eq!(new("Thanks for the string.\nIt is 7."), "Thanks for the string.\nIt is 7.");
        assert_eq!(new("It is 7.\nSent from my phone"), "It is 7.");
        assert_eq!(new("Thanks, lovely string!"), "Thanks, lovely string!");
        assert_eq!(new("Thanks, Tom"), "Thanks, Tom");
        assert_eq!(new("It is 7.\nCheers, string slipped"), "It is 7.\nCheers, string slipped");
    }

    #[test]
    fn blanks_are_tidied_and_invisible_signs_dropped() {
        assert_eq!(
            new("  brace\u{a0}\u{a0}7\t3/4\u{200b} \n\n\n\nok\u{1b}[2J\n"),
            "brace 7 3/4\n\nok\u{fffd}[2J"
        );
    }
}

//! What is new in a mail, and what was only quoted or signed.

use crate::words::{harmless, is_unsafe};

/// Lines after which everything is an earlier mail.
const HISTORY_MARKS: &[&str] = &[
    "original message",
    "ursprüngliche nachricht",
    "message d'origine",
    "messaggio originale",
    "oorspronkelijk bericht",
    "mensaje original",
    "begin forwarded message",
];

/// How the line before a quoted mail ends, in the languages of mail programs.
const ATTRIBUTIONS: &[&str] =
    &["wrote:", "writes:", "schrieb:", "a écrit :", "a écrit:", "ha scritto:", "schreef:", "escribió:"];

/// Labels of the headers that some programs repeat above a quoted mail.
const HEADER_LABELS: &[&str] = &["from:", "sent:", "date:", "to:", "cc:", "subject:", "von:", "gesendet:"];

/// Words with which people close a letter.
const CLOSINGS: &[&str] = &[
    "regards",
    "kind regards",
    "best regards",
    "warm regards",
    "with kind regards",
    "with best regards",
    "with regards",
    "best",
    "best wishes",
    "cheers",
    "thanks",
    "many thanks",
    "thank you",
    "thank you very much",
    "thanks in advance",
    "thanks again",
    "thanks a lot",
    "sincerely",
    "yours",
    "yours sincerely",
    "yours truly",
    "yours faithfully",
    "greetings",
    "best greetings",
    "friendly greetings",
    "all the best",
];

/// Words that show that a short last part is no signature.
const TRADE_WORDS: &[&str] = &[
    "brace", "bracing", "fistmele", "string", "strings", "bow", "turns", "twists", "twist", "shots",
    "arrows", "serving", "loop", "loops", "inch", "inches", "lbs", "draw", "length", "amo", "ps", "nock",
    "limb", "limbs",
];

/// Most lines of a signature without a mark, and most characters of each.
const SIGNATURE: (usize, usize) = (8, 70);

/// Most characters of a line above a quoted mail.
const LONGEST_ATTRIBUTION: usize = 200;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    New,
    Cut,
}

/// The new text of a mail and what was cut from it, both tidied.
pub(super) fn part_new_from_quoted(text: &str) -> (String, String) {
    let lines: Vec<String> = text.lines().map(tidy_line).collect();
    let mut parts = vec![Part::New; lines.len()];
    mark_history(&lines, &mut parts);
    if !lines.iter().zip(&parts).any(|(line, part)| *part == Part::New && !line.is_empty()) {
        unmark_forwarded(&lines, &mut parts);
    }
    mark_signature(&lines, &mut parts);
    let of = |wanted: Part| {
        let chosen = lines.iter().zip(&parts).filter(|(_, part)| **part == wanted).map(|(line, _)| line);
        tidy_paragraphs(chosen)
    };
    (of(Part::New), of(Part::Cut))
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

/// Lines with at most one blank line between, and none at the ends.
fn tidy_paragraphs<'a>(lines: impl Iterator<Item = &'a String>) -> String {
    let mut text = String::new();
    let mut is_parted = false;
    for line in lines {
        if line.is_empty() {
            is_parted = !text.is_empty();
            continue;
        }
        if !text.is_empty() {
            text.push_str(if is_parted { "\n\n" } else { "\n" });
        }
        is_parted = false;
        text.push_str(line);
    }
    text
}

fn mark_history(lines: &[String], parts: &mut [Part]) {
    let mut at = 0;
    while let Some(line) = lines.get(at) {
        if line.starts_with('>') {
            set(parts, at..at + 1);
        } else if is_history_mark(line) || is_header_block(lines, at) || line.starts_with("________________")
        {
            set(parts, at..lines.len());
            return;
        } else if let Some(length) = attribution(lines, at) {
            let is_followed_by_quote = lines
                .iter()
                .skip(at + length)
                .filter(|line| !line.is_empty())
                .take(2)
                .any(|line| line.starts_with('>'));
            let end = if is_followed_by_quote { at + length } else { lines.len() };
            set(parts, at..end);
            at = end;
            continue;
        }
        at += 1;
    }
}

fn set(parts: &mut [Part], range: std::ops::Range<usize>) {
    if let Some(cut) = parts.get_mut(range) {
        cut.fill(Part::Cut);
    }
}

fn is_history_mark(line: &str) -> bool {
    let line = line.trim_matches(|c: char| c == '-' || c == ' ' || c == ':').to_lowercase();
    line.chars().count() < 60
        && (HISTORY_MARKS.contains(&line.as_str()) || line.starts_with("forwarded message"))
}

/// Whether at least three headers of a mail, the first of them its sender, stand here in a row.
fn is_header_block(lines: &[String], at: usize) -> bool {
    let is_header = |line: &String| {
        let line = line.trim_start_matches('*').to_lowercase();
        HEADER_LABELS
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
    let begins =
        ["On ", "Am ", "Le ", "El ", "Il ", "Op ", "> On "].iter().any(|word| first.starts_with(word));
    let mut joined = String::new();
    for length in 1..=3 {
        let line = lines.get(at + length - 1).filter(|line| !line.is_empty())?;
        joined.push_str(line);
        if joined.chars().count() > LONGEST_ATTRIBUTION {
            return None;
        }
        let ends = ATTRIBUTIONS.iter().any(|end| joined.to_lowercase().ends_with(end));
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

/// A mail that only forwards another says what the other says.
fn unmark_forwarded(lines: &[String], parts: &mut [Part]) {
    let Some(mark) = lines.iter().position(|line| {
        let line = line.to_lowercase();
        line.contains("forwarded message")
    }) else {
        return;
    };
    let body = lines
        .iter()
        .enumerate()
        .skip(mark + 1)
        .skip_while(|(_, line)| line.is_empty() || is_any_header(line))
        .map(|(at, _)| at)
        .next();
    if let Some(rest) = body.and_then(|at| parts.get_mut(at..)) {
        rest.fill(Part::New);
    }
    for (line, part) in lines.iter().zip(parts) {
        if line.starts_with('>') {
            *part = Part::Cut;
        }
    }
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
            set(parts, at..at + 1);
        } else if is_closing(line(at)) && is_signature(rest.iter().map(|&at| line(at))) {
            end_of_text = Some(place);
            break;
        }
    }
    if let Some(place) = end_of_text {
        for &at in new.get(place..).unwrap_or_default() {
            set(parts, at..at + 1);
        }
    }
}

/// The line that telephones add.
fn is_sent_from(line: &str) -> bool {
    let line = line.to_lowercase();
    line.chars().count() < 70 && (line.starts_with("sent from ") || line.starts_with("get outlook for "))
}

fn is_closing(line: &str) -> bool {
    let (words, name) = line.split_once(',').unwrap_or((line, ""));
    let words = words.trim_end_matches(['.', '!', ' ']).to_lowercase();
    name.split_whitespace().count() <= 3 && CLOSINGS.contains(&words.as_str())
}

fn is_signature<'a>(lines: impl Iterator<Item = &'a str>) -> bool {
    let mut count = 0;
    for line in lines.filter(|line| !line.is_empty()) {
        count += 1;
        let speaks_of_trade =
            line.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| TRADE_WORDS.contains(&word));
        if count > SIGNATURE.0 || line.chars().count() > SIGNATURE.1 || speaks_of_trade {
            return false;
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    fn new(text: &str) -> String {
        part_new_from_quoted(text).0
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
    fn a_forwarded_mail_alone_is_the_text() {
        let text =
            "---------- Forwarded message ---------\nFrom: Tom <t@example.org>\nDate: Monday\n\nIt is 7.";
        assert_eq!(new(text), "It is 7.");
        assert_eq!(new(&format!("See below.\n{text}")), "See below.");
    }

    #[test]
    fn signatures_are_cut_and_text_after_thanks_is_not() {
        assert_eq!(new("It is 7.\n-- \nTom\n12 Mill Lane"), "It is 7.");
        assert_eq!(new("It is 7.\n\nBest regards,\nTom\nTel. 0123 456789"), "It is 7.");
        assert_eq!(new("Thanks,\nTom\nPS: the brace is 7"), "Thanks,\nTom\nPS: the brace is 7");
        assert_eq!(new("Thanks for the string.\nIt is 7."), "Thanks for the string.\nIt is 7.");
        assert_eq!(new("It is 7.\nSent from my phone"), "It is 7.");
    }

    #[test]
    fn blanks_are_tidied_and_invisible_signs_dropped() {
        assert_eq!(
            new("  brace\u{a0}\u{a0}7\t3/4\u{200b} \n\n\n\nok\u{1b}[2J\n"),
            "brace 7 3/4\n\nok\u{fffd}[2J"
        );
    }
}

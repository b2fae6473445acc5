//! The parts of a letter: what is said in it, what was forwarded, what answers a quoted question.

use crate::words::ends_attribution;

/// A part of a letter that is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Part {
    /// The archer's own words.
    Said(String),
    /// What somebody else wrote, passed on.
    Forwarded(String),
    /// Words typed under lines of an earlier letter.
    Answer {
        /// The last thing that was quoted above.
        question: String,
        /// What stands under it.
        answer: String,
    },
}

/// How a question was answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Answer {
    /// Plainly yes.
    Yes,
    /// Plainly no.
    No,
    /// In words of its own.
    Other,
}

/// Words that answer no and nothing else.
const NO: [&str; 14] = [
    "no", "nope", "none", "nothing", "nah", "never", "negative", "not", "neither", "non", "nein", "nil",
    "all", "n",
];
const YES: [&str; 11] =
    ["yes", "yep", "yeah", "yup", "aye", "ja", "oui", "affirmative", "y", "indeed", "correct"];

/// How an answer begins, unless its first sentence takes that back; what follows is read by itself.
pub(super) fn answer(text: &str) -> Answer {
    let first = text.trim().split(['.', '!', ';', '\n']).next().unwrap_or_default();
    let words: Vec<String> = first
        .split(|c: char| !c.is_alphanumeric() && c != '\'')
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let first = words.first().map(String::as_str).unwrap_or_default();
    let takes_back = words.iter().any(|word| {
        matches!(
            word.as_str(),
            "but"
                | "except"
                | "although"
                | "however"
                | "think"
                | "sure"
                | "idea"
                | "know"
                | "unless"
                | "apart"
                | "yet"
                | "maybe"
        )
    });
    let all_well = first != "all"
        || words.iter().any(|word| {
            matches!(word.as_str(), "fine" | "good" | "sound" | "ok" | "okay" | "intact" | "well")
        });
    if YES.contains(&first) {
        Answer::Yes
    } else if NO.contains(&first) && all_well && !takes_back {
        Answer::No
    } else {
        Answer::Other
    }
}

/// Marks after which another mail stands whole.
const FORWARDED: [&str; 9] = [
    "original message",
    "forwarded message",
    "begin forwarded message",
    "forwarded by",
    "forwarded mail",
    "ursprüngliche nachricht",
    "weitergeleitete nachricht",
    "message d'origine",
    "message transféré",
];

fn is_forward_mark(line: &str) -> bool {
    let line = line
        .trim_matches(|c: char| c == '-' || c == '_' || c == '*' || c.is_whitespace() || c == ':')
        .to_lowercase();
    line.chars().count() < 60 && FORWARDED.iter().any(|mark| line.starts_with(mark))
}

fn is_header(line: &str) -> bool {
    let Some((name, _)) = line.split_once(':') else { return false };
    matches!(
        name.trim().trim_matches('*').to_lowercase().as_str(),
        "from"
            | "to"
            | "cc"
            | "date"
            | "sent"
            | "reply-to"
            | "von"
            | "an"
            | "gesendet"
            | "datum"
            | "de"
            | "message-id"
    )
}

fn is_attribution(line: &str) -> bool {
    let line = line.trim();
    line.len() < 200 && ends_attribution(line)
}

/// A text without the marks of quoting, on lines of its own.
pub(super) fn without_marks(text: &str) -> String {
    text.lines().map(|line| line.trim_start_matches(['>', ' ', '|'])).collect::<Vec<_>>().join("\n")
}

/// Parts a letter.
pub(super) fn parts(text: &str) -> Vec<Part> {
    let mut parts = Vec::new();
    let (mut said, mut quoted, mut answer) = (String::new(), String::new(), String::new());
    let mut forwarded: Option<String> = None;
    let close = |question: &str, answer: &mut String, parts: &mut Vec<Part>| {
        if !answer.trim().is_empty() {
            parts.push(Part::Answer { question: last_question(question), answer: std::mem::take(answer) });
        }
        answer.clear();
    };
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        let trimmed = line.trim_start();
        if let Some(text) = forwarded.as_mut() {
            if !is_header(trimmed) && !is_attribution(trimmed) {
                text.push_str(trimmed.trim_start_matches(['>', ' ']));
                text.push('\n');
            }
            continue;
        }
        if is_forward_mark(trimmed.trim_start_matches(['>', ' '])) {
            forwarded = Some(String::new());
            continue;
        }
        if let Some(rest) = trimmed.strip_prefix('>') {
            if !answer.is_empty() {
                close(&quoted, &mut answer, &mut parts);
                quoted.clear();
            }
            quoted.push_str(rest.trim_start_matches(['>', ' ']));
            quoted.push('\n');
            continue;
        }
        if is_attribution(trimmed) {
            // What follows without marks of quoting is the earlier mail, to its end.
            while lines.next_if(|line| line.trim().is_empty()).is_some() {}
            if !lines.peek().is_some_and(|line| line.trim_start().starts_with('>')) {
                forwarded = Some(String::new());
            }
            continue;
        }
        if trimmed.trim_end() == "--" {
            let ends = |line: &&str| {
                let line = line.trim_start();
                line.starts_with('>') || is_forward_mark(line) || is_attribution(line)
            };
            let block: Vec<&str> = lines.clone().take_while(|line| !ends(line)).collect();
            if is_signature(&block) {
                lines.nth(block.len().wrapping_sub(1));
                continue;
            }
        }
        if is_header(trimmed) {
            continue;
        }
        if quoted.is_empty() {
            said.push_str(line);
            said.push('\n');
        } else {
            answer.push_str(line);
            answer.push('\n');
        }
    }
    let only_quoted =
        said.trim().is_empty() && answer.trim().is_empty() && parts.is_empty() && forwarded.is_none();
    if only_quoted {
        said = std::mem::take(&mut quoted);
    }
    close(&quoted, &mut answer, &mut parts);
    if !said.trim().is_empty() {
        parts.insert(0, Part::Said(said));
    }
    if let Some(text) = forwarded.filter(|text| !text.trim().is_empty() && !is_ours(text)) {
        parts.push(Part::Forwarded(text));
    }
    parts
}

/// Most lines of a signature, and most characters of each. Judgement, no source.
const SIGNATURE: (usize, usize) = (6, 70);

/// Words of which a signature holds none: by which somebody tells something, or names a part.
#[rustfmt::skip]
const TELLING: [&str; 58] = [
    "i", "it", "its", "my", "me", "we", "our", "you", "your", "he", "his", "she", "her", "they", "them", "this", "that",
    "these", "one", "two", "is", "are", "was", "were", "has", "have", "had", "did", "does", "be", "been", "ps", "p", "nb",
    "today", "yesterday", "when", "while", "after", "before", "also", "and", "but", "then", "now", "only", "please",
    "strand", "strands", "serving", "loop", "loops", "limb", "limbs", "tip", "tips", "nock", "nocks",
];

/// Whether lines below "--" are no more than a signature, which is nobody's report: short, without a word
/// by which somebody tells something, and without an event that is danger for sure.
fn is_signature(lines: &[&str]) -> bool {
    let is_plain = |line: &&str| {
        let lower = line.to_lowercase();
        let mut words = lower.split(|c: char| !c.is_alphanumeric());
        line.chars().count() <= SIGNATURE.1 && !words.any(|word| TELLING.contains(&word))
    };
    let said = lines.iter().filter(|line| !line.trim().is_empty()).count();
    said <= SIGNATURE.0
        && lines.iter().all(is_plain)
        && !super::sentence::signs(&lines.join("\n")).iter().any(|found| found.sure)
}

/// Whether a letter of ours stands in a text: its cautions speak of danger, and are no sign of it.
fn is_ours(text: &str) -> bool {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    OURS.iter().any(|words| text.contains(words))
}

/// Words by which a letter of ours is known when it comes back.
const OURS: [&str; 2] = ["for your safety:", "is made right at no cost to you"];

/// What a quoted part asks last: its last sentence with a question mark, else its last line.
fn last_question(quoted: &str) -> String {
    let joined = quoted.split_whitespace().collect::<Vec<_>>().join(" ");
    match joined.rfind('?') {
        Some(end) => {
            let before = joined.get(..end).unwrap_or_default();
            let start = before.rfind(['.', '!', '?']).map_or(0, |at| at + 1);
            joined.get(start..=end).unwrap_or_default().trim().to_owned()
        }
        None => {
            quoted.lines().rev().find(|line| !line.trim().is_empty()).unwrap_or_default().trim().to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_is_parted_into_what_is_said_forwarded_and_answered() {
        let said = |text: &str| Part::Said(text.to_owned());
        assert_eq!(parts("It is 7.\n"), [said("It is 7.\n")]);
        assert_eq!(
            parts("Hello\n> Any damage? Is it old?\nyes\n> Shots?\n50"),
            [
                said("Hello\n"),
                Part::Answer { question: "Is it old?".to_owned(), answer: "yes\n".to_owned() },
                Part::Answer { question: "Shots?".to_owned(), answer: "50\n".to_owned() }
            ]
        );
        assert_eq!(
            parts("See below\n-----Original Message-----\nFrom: A\nThe limb cracked"),
            [said("See below\n"), Part::Forwarded("The limb cracked\n".to_owned())]
        );
        assert_eq!(parts("> The limb\n> cracked"), [said("The limb\ncracked\n")]);
        assert_eq!(
            parts("It is 7.\nOn 3 March 2025 we wrote:\n\nFor your safety:\n- Stop if a strand is broken"),
            [said("It is 7.\n")]
        );
        assert_eq!(
            parts("On 3 March 2025 we wrote:\n> Any cracks?\nno"),
            [Part::Answer { question: "Any cracks?".to_owned(), answer: "no\n".to_owned() }]
        );
        assert_eq!(parts(""), []);
    }

    #[test]
    fn a_signature_is_no_report_and_what_is_told_below_one_is() {
        let said = |text: &str| parts(&format!("It is 7.\n{text}"));
        let own = [Part::Said("It is 7.\n".to_owned())];
        for signature in [
            "-- \nTom Hollow\nStrain & Stress Consultants",
            "--\nHollow Oak Bowmen\nbuzzes like a wasp, hits like a hammer\nTel 0123 456",
            "-- ",
        ] {
            assert_eq!(said(signature), own, "{signature}");
        }
        for told in [
            "-- \nTom\nPS one of the strings snapped",
            "-- \nTom\nStrand gone at the top",
            "-- \nheard a crack and it was loud",
            "-- \nTom\nupper limb cracked",
        ] {
            assert_ne!(said(told), own, "{told}");
        }
        assert_eq!(said("--\nTom\n> Any cracks?\nyes").len(), 2);
    }

    #[test]
    fn an_answer_is_plain_or_it_is_not() {
        for no in
            ["no", "No.", "nope, nothing", "None that I can see", "all good", "Not at all", "no - both sound"]
        {
            assert_eq!(answer(no), Answer::No, "{no}");
        }
        for yes in ["yes", "Yes, a little", "yep"] {
            assert_eq!(answer(yes), Answer::Yes, "{yes}");
        }
        for other in ["", "a little at the loop", "no, but one is thin", "not sure", "all of them"] {
            assert_eq!(answer(other), Answer::Other, "{other}");
        }
    }
}

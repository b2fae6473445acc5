//! What to do, as a page says it. Refusals write their way out in one notation, that of the terminal:
//! here commands become places to go, and options the labels of their fields.

use serde::Serialize;

use super::fields::{self, Field};
use super::string;
use crate::app::reports::report_number;

/// A piece of a sentence, and the place it leads to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Piece {
    pub(super) text: String,
    pub(super) place: Option<String>,
}

/// Where a command is done.
#[derive(Clone, Copy)]
enum Where {
    /// At a part of the page of the report that it names, under this heading.
    Report(&'static str, &'static str),
    /// On the page of the string that it names.
    String(&'static str),
    /// On the page of the report or string that it names, where it is struck or brought back.
    Struck(&'static str),
    /// At an address of its own.
    Page(&'static str, &'static str),
    /// On no page.
    Terminal,
}

/// The commands that are named in what is said, the longer ones first, and where they are done.
const COMMANDS: [(&str, bool, Where); 41] = [
    ("report list", false, Where::Page("/reports", "all reports")),
    ("report show", true, Where::Report("sofar", "")),
    ("report add", true, Where::String("says")),
    ("reading add", true, Where::Report("reading", "a further reading")),
    ("remake sent", true, Where::Report("replacement", "It was posted")),
    ("remake back", true, Where::Report("replacement", "The old string came back")),
    ("remake", true, Where::Report("remake", "Make the string again")),
    ("resume", true, Where::Report("next", "Take it up again")),
    ("settle", true, Where::Report("settle", "Settle it")),
    ("decide", true, Where::Report("decide", "Decide it otherwise")),
    ("letter --string", true, Where::String("letter")),
    ("letter", true, Where::Report("letter", "the letter")),
    ("advise", true, Where::Report("verdict", "the verdict")),
    ("unstrike", true, Where::Struck("Bring it back")),
    ("strike", true, Where::Struck("Strike it")),
    ("sold show", true, Where::String("")),
    ("sold find", true, Where::Page("/", "Find")),
    ("sold add --route unknown", false, Where::Page("/enter", "a string that is not in the book")),
    ("sold add --replaces", true, Where::Terminal),
    ("sold add", false, Where::Terminal),
    ("sold archer", true, Where::String("")),
    ("bow show", true, Where::String("")),
    ("bow edit", true, Where::String("says")),
    ("bow same", true, Where::String("")),
    ("sheet", true, Where::Report("letter", "the sheet")),
    ("mails", false, Where::Page("/", "On the peg")),
    ("due", false, Where::Page("/", "On the peg")),
    ("setting list", false, Where::Page("/rules", "Rules")),
    ("setting set", false, Where::Terminal),
    ("spool list", false, Where::Terminal),
    ("spool trace", true, Where::Terminal),
    ("quiet list", false, Where::Terminal),
    ("init", false, Where::Terminal),
    ("demo", false, Where::Terminal),
    ("verify", false, Where::Terminal),
    ("backup", false, Where::Terminal),
    ("export", false, Where::Terminal),
    ("restore", true, Where::Terminal),
    ("history", false, Where::Terminal),
    ("forget", true, Where::Terminal),
    ("card", true, Where::Terminal),
];

/// Ends a word that belongs to what is around it.
const STOPS: [char; 5] = [',', ';', ')', '.', ':'];

/// A word without the stops behind it, and these.
fn bare(word: &str) -> (&str, &str) {
    let bare = word.trim_end_matches(STOPS);
    (bare, word.get(bare.len()..).unwrap_or_default())
}

/// Stands for what is to be put there: `N`, `M..M`, `SERIAL`.
fn is_placeholder(word: &str) -> bool {
    let mut letters = word.chars().filter(|c| c.is_alphabetic()).peekable();
    letters.peek().is_some()
        && letters.all(char::is_uppercase)
        && !word.contains(|c: char| c.is_ascii_digit())
}

/// The words of a text, one after the other.
struct Words<'a> {
    rest: &'a str,
}

impl<'a> Words<'a> {
    fn peek(&self) -> Option<&'a str> {
        let word = self.rest.trim_start().split(' ').next().unwrap_or_default();
        (!word.is_empty()).then_some(word)
    }

    /// The next word, and the blanks before it.
    fn take(&mut self) -> Option<(&'a str, &'a str)> {
        let start = self.rest.len() - self.rest.trim_start().len();
        let word = self.peek()?;
        let (before, rest) = self.rest.split_at(start);
        self.rest = rest.get(word.len()..).unwrap_or_default();
        Some((before, word))
    }

    /// Takes the value of an option, and gives it with the stops behind it.
    fn value(&mut self) -> Option<(&'a str, &'a str)> {
        let next = self.peek()?;
        if next.starts_with('"') {
            let start = self.rest.len() - self.rest.trim_start().len();
            let quoted = self.rest.get(start..)?;
            let end = quoted.get(1..)?.find('"')? + 2;
            let (value, rest) = quoted.split_at(end);
            let stops = rest.len() - rest.trim_start_matches(STOPS).len();
            let (stops, rest) = rest.split_at(stops);
            self.rest = rest;
            return Some((value, stops));
        }
        let (word, _) = bare(next);
        let is_value = word.contains(|c: char| c.is_ascii_digit() || c == '@') || is_placeholder(word);
        if !is_value {
            return None;
        }
        let (_, word) = self.take()?;
        Some(bare(word))
    }
}

/// What is said, piece by piece.
struct Said<'a> {
    pieces: Vec<Piece>,
    form: &'a [&'a [Field]],
}

impl Said<'_> {
    fn add(&mut self, text: &str) {
        match self.pieces.last_mut() {
            Some(last) if last.place.is_none() => last.text.push_str(text),
            _ => self.pieces.push(Piece { text: text.to_owned(), place: None }),
        }
    }

    /// An option as its field is called, with its value where that says something.
    fn option(&mut self, option: &str, words: &mut Words<'_>) {
        let (name, mut stops) = bare(option);
        self.add(&format!("\"{}\"", fields::called(name, self.form)));
        if stops.is_empty()
            && let Some((value, behind)) = words.value()
        {
            if !is_placeholder(value) {
                self.add(&format!(" {value}"));
            }
            stops = behind;
        }
        self.add(stops);
    }

    /// A command as the place where it is done.
    fn command(&mut self, words: &mut Words<'_>) {
        let rest = words.rest.trim_start();
        let found = COMMANDS.iter().find(|(head, ..)| {
            rest.strip_prefix(head).is_some_and(|behind| !behind.starts_with(|c: char| c.is_alphanumeric()))
        });
        let Some((head, takes, place)) = found else {
            // "Of an older fistmele (book version 3)" names no command.
            return self.add(if rest.starts_with('(') { "fistmele" } else { "the program in a terminal" });
        };
        words.rest = rest.get(head.len()..).unwrap_or_default();
        let stopped = words.rest.len() - words.rest.trim_start_matches(STOPS).len();
        let (mut stops, behind) = words.rest.split_at(stopped);
        words.rest = behind;
        let mut of = None;
        if *takes
            && stops.is_empty()
            && words.peek().is_some_and(|word| !word.starts_with("--"))
            && let Some((_, word)) = words.take()
        {
            let (word, behind) = bare(word);
            of = Some(word).filter(|word| !is_placeholder(word));
            stops = behind;
        }
        while stops.is_empty() && words.peek().is_some_and(|word| word.starts_with("--")) {
            let Some((_, option)) = words.take() else { break };
            stops = bare(option).1;
            if stops.is_empty()
                && let Some((_, behind)) = words.value()
            {
                stops = behind;
            }
        }
        let named = |label: &str, of: &str| match label {
            "" => of.to_owned(),
            label => format!("\"{label}\" of {of}"),
        };
        let (text, place) = match (*place, of) {
            (Where::Report(part, label), Some(of)) if report_number(of).is_ok() => {
                (named(label, of), Some(format!("/report/{of}#{part}")))
            }
            (Where::Report(_, label), _) => {
                (if label.is_empty() { "its page" } else { label }.to_owned(), None)
            }
            (Where::String(part), Some(of)) => {
                let part = if part.is_empty() { String::new() } else { format!("#{part}") };
                (of.to_owned(), Some(string::address(of) + &part))
            }
            (Where::String(_), None) => ("the string's page".to_owned(), None),
            (Where::Struck(label), Some(of)) => {
                let thing = of.split('/').next().unwrap_or(of);
                let page = match report_number(thing) {
                    Ok(_) => format!("/report/{thing}"),
                    Err(_) => string::address(of.strip_prefix("string:").unwrap_or(of)),
                };
                (named(label, of), Some(page + "#strike"))
            }
            (Where::Struck(label), None) => (format!("\"{label}\""), None),
            (Where::Page(place, label), _) => (label.to_owned(), Some(place.to_owned())),
            (Where::Terminal, _) => {
                let command = head.split(" --").next().unwrap_or(head);
                let of = of.map(|of| format!(" {of}")).unwrap_or_default();
                (format!("\"{command}{of}\" in a terminal"), None)
            }
        };
        self.pieces.push(Piece { text, place });
        self.add(stops);
    }

    /// Where one place is all that is named, and stands at the end, the words before it lead there.
    fn joined(mut self) -> Vec<Piece> {
        self.pieces.retain(|piece| !piece.text.is_empty());
        if let [before, Piece { place: Some(place), .. }] = self.pieces.as_slice()
            && before.place.is_none()
            && let Some(clause) = before.text.trim_end().strip_suffix(':')
        {
            let clause = clause.trim_end();
            let text = clause.strip_suffix(" with").unwrap_or(clause).to_owned();
            return vec![Piece { text, place: Some(place.clone()) }];
        }
        self.pieces
    }
}

/// What a text in the notation of the terminal says on a page whose form labels its fields in its own
/// way.
pub(super) fn said(text: &str, form: &[&[Field]]) -> Vec<Piece> {
    let mut said = Said { pieces: Vec::new(), form };
    let mut words = Words { rest: text };
    while let Some((before, word)) = words.take() {
        said.add(before);
        let open = word.len() - word.trim_start_matches(['(', '"']).len();
        let (opening, inner) = word.split_at(open);
        match inner.strip_prefix("--") {
            _ if inner == "fistmele" => {
                said.add(opening);
                said.command(&mut words);
            }
            Some(option) if option.starts_with(|c: char| c.is_ascii_lowercase()) => {
                said.add(opening);
                said.option(option, &mut words);
            }
            _ => said.add(word),
        }
    }
    said.joined()
}

/// The same as a sentence: with a capital letter and a stop.
pub(super) fn sentence(text: &str, form: &[&[Field]]) -> Vec<Piece> {
    let mut pieces = said(text.trim(), form);
    if let Some(first) = pieces.first_mut() {
        let mut letters = first.text.chars();
        first.text = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default()
            + letters.as_str();
    }
    if let Some(last) = pieces.last_mut()
        && !last.text.ends_with(['.', '?', '!', ':'])
    {
        let stripped = last.text.trim_end_matches([';', ',']).len();
        last.text.truncate(stripped);
        last.text.push('.');
    }
    pieces
}

/// The same where nothing can lead anywhere.
pub(super) fn plain(text: &str, form: &[&[Field]]) -> String {
    said(text, form).into_iter().map(|piece| piece.text).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        let piece = |piece: Piece| match piece.place {
            Some(place) => format!("[{}]({place})", piece.text),
            None => piece.text,
        };
        sentence(text, &[]).into_iter().map(piece).collect()
    }

    #[test]
    fn commands_become_places_and_options_become_labels() {
        for (text, on_the_page) in [
            ("take it up again with: fistmele resume R-7", "[Take it up again.](/report/R-7#next)"),
            ("see what is wrong with: fistmele verify", "See what is wrong with: \"verify\" in a terminal."),
            ("check --shots, or leave", "Check \"Shots since new\", or leave."),
            (
                "take it up again, strike, and settle it anew: fistmele resume R-2, fistmele settle R-2",
                "Take it up again, strike, and settle it anew: [\"Take it up again\" of R-2](/report/R-2#next), [\"Settle it\" of R-2.](/report/R-2#settle)",
            ),
            (
                "strike what was wrong in it, such as a reading (fistmele report show R-1 names them), or settle it",
                "Strike what was wrong in it, such as a reading ([R-1](/report/R-1#sofar) names them), or settle it.",
            ),
            (
                "if it never left the house, say so: fistmele strike R-1/L1 --never-sent --why \"…\"",
                "[If it never left the house, say so.](/report/R-1#strike)",
            ),
            (
                "give another, such as S-1-2, or leave --serial out to have one made; fistmele unstrike S-1 brings S-1 back",
                "Give another, such as S-1-2, or leave \"Serial on its label\" out to have one made; [\"Bring it back\" of S-1](/string/S-1#strike) brings S-1 back.",
            ),
            (
                "add what the archer says, such as --brace 7-1/4 --turns-changed +6",
                "Add what the archer says, such as \"Brace height now\" 7-1/4 \"Full turns put in (+) or taken out (-)\" +6.",
            ),
            ("say it with --turns N, or pay", "Say it with \"Full turns as built\", or pay."),
        ] {
            assert_eq!(shown(text), on_the_page);
        }
    }

    /// Every text of the program that names a command or an option.
    fn texts_with_a_way_out(folder: &std::path::Path, found: &mut Vec<(String, String)>) {
        #[expect(clippy::disallowed_methods, reason = "a test looks at the sources")]
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                texts_with_a_way_out(&path, found);
            } else if path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("tests.rs") {
                let source = std::fs::read_to_string(&path).unwrap();
                let code = source.split("#[cfg(test)]").next().unwrap_or_default();
                for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
                    let Some((_, text)) = line.split_once('"') else { continue };
                    let text = text.rsplit_once('"').map_or(text, |(text, _)| text).replace("\\\"", "\"");
                    let names_option = text
                        .split("--")
                        .skip(1)
                        .any(|rest| rest.starts_with(|c: char| c.is_ascii_lowercase() || c == '{'));
                    if text.contains("fistmele ") || names_option {
                        found.push((format!("{}", path.display()), text));
                    }
                }
            }
        }
    }

    #[test]
    fn every_way_out_has_words_for_the_page() {
        let mut texts = Vec::new();
        for part in ["app", "entry", "trade"] {
            let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(part);
            texts_with_a_way_out(&folder, &mut texts);
        }
        assert!(texts.len() > 100, "{}", texts.len());
        for (file, text) in texts {
            let mut written = String::new();
            let mut rest = text.as_str();
            while let Some((before, inside)) = rest.split_once('{') {
                written.push_str(before);
                // The name of an option is some option's.
                written.push_str(if before.ends_with("--") { "length" } else { "1" });
                rest = inside.split_once('}').map_or("", |(_, behind)| behind);
            }
            written.push_str(rest);
            let said = plain(&written, &[]);
            let unsaid = ["fistmele ", "--", "the program in a terminal"].iter().any(|of| said.contains(of));
            assert!(!unsaid, "{file}: {text}\n{said}");
        }
    }
}

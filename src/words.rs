//! Words with a fixed spelling, and what is said when somebody writes another.

use thiserror::Error;

/// A word that is not on the list of its kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("\"{text}\" is no {what}; known are: {}", known.join(", "))]
pub struct UnknownWord {
    /// What was written.
    pub text: String,
    /// What it should have been one of.
    pub what: &'static str,
    /// The list.
    pub known: Vec<&'static str>,
}

/// How the line above a quoted mail ends, in the languages of mail programs.
const ATTRIBUTION_ENDS: [&str; 8] =
    ["wrote:", "writes:", "schrieb:", "a écrit :", "a écrit:", "ha scritto:", "schreef:", "escribió:"];

/// Whether a line ends as the one above a quoted mail does: "On Monday Ann wrote:".
#[must_use]
pub fn ends_attribution(line: &str) -> bool {
    let line = line.to_lowercase();
    ATTRIBUTION_ENDS.iter().any(|end| line.ends_with(end))
}

/// Bytes as hexadecimal digits.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What tells a text from any other: SHA-256, 64 hexadecimal digits (FIPS 180-4).
#[must_use]
pub fn digest(text: &str) -> String {
    hex(&hmac_sha256::Hash::hash(text.as_bytes()))
}

/// Defines an enum whose variants have one fixed spelling each, for people, files and JSON.
#[macro_export]
macro_rules! words {
    ($(#[$meta:meta])* $name:ident, $what:literal { $($(#[$vmeta:meta])* $variant:ident = $text:literal,)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vmeta])* $variant,)+ }

        impl $name {
            /// Every word of the list, in the order people read them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// The fixed spelling.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $text,)+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::words::UnknownWord;

            fn from_str(text: &str) -> Result<Self, Self::Err> {
                let written = text.trim();
                Self::ALL
                    .iter()
                    .copied()
                    .find(|word| word.as_str().eq_ignore_ascii_case(written))
                    .ok_or_else(|| $crate::words::UnknownWord {
                        text: $crate::words::shorten(text),
                        what: $what,
                        known: Self::ALL.iter().map(|word| word.as_str()).collect(),
                    })
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.serialize_str(self.as_str())
            }
        }

        impl<'de> serde::Deserialize<'de> for $name {
            fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let text = <String as serde::Deserialize>::deserialize(from)?;
                text.parse().map_err(serde::de::Error::custom)
            }
        }
    };
}

/// Text for a message: control characters made harmless, cut after some sixty characters.
#[must_use]
pub fn shorten(text: &str) -> String {
    let clean: String = text.chars().take(60).map(|c| if is_unsafe(c) { '\u{FFFD}' } else { c }).collect();
    if text.chars().nth(60).is_some() { format!("{clean}…") } else { clean }
}

/// Characters that could move the cursor, hide text or turn its direction.
#[must_use]
pub fn is_unsafe(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2069}' | '\u{FEFF}')
}

/// Stored text made harmless for a terminal or a page: line breaks kept, other control and
/// direction characters replaced.
#[must_use]
pub fn harmless(text: &str) -> String {
    text.replace("\r\n", "\n")
        .chars()
        .map(|c| match c {
            '\n' => '\n',
            '\t' => ' ',
            c if is_unsafe(c) => '\u{FFFD}',
            c => c,
        })
        .collect()
}

/// A line of JSON in which characters that could move the cursor, hide text or turn its direction
/// are written as escapes: whoever reads the JSON has the same text, whoever looks at it no harm.
#[must_use]
pub fn harmless_json(json: &str) -> String {
    let mut safe = String::with_capacity(json.len());
    for c in json.chars() {
        // They stand within texts alone: JSON has no other place for them.
        if is_unsafe(c) && c != '\n' {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                safe.push_str(&format!("\\u{unit:04x}"));
            }
        } else {
            safe.push(c);
        }
    }
    safe
}

/// The word of a list nearest to what was written, if any is near.
#[must_use]
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written = written.to_lowercase();
    if written.chars().count() < 2 {
        return None;
    }
    known
        .into_iter()
        .map(|word| (strsim::damerau_levenshtein(&written, &word.to_lowercase()), word))
        .filter(|(distance, word)| *distance <= 3 && *distance * 2 <= word.chars().count().max(2))
        .min()
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_and_direction_marks_become_harmless() {
        assert_eq!(harmless("a\u{1b}[31mb\u{202e}c\r\nd"), "a\u{fffd}[31mb\u{fffd}c\nd");
    }

    #[test]
    fn json_for_a_terminal_holds_the_same_text() {
        let text = "a\u{9b}31m\u{202e}b\u{feff} \"é\"";
        let json = harmless_json(&serde_json::to_string(text).unwrap());
        assert!(!json.chars().any(is_unsafe), "{json}");
        assert_eq!(serde_json::from_str::<String>(&json).unwrap(), text);
    }

    #[test]
    fn a_near_word_is_offered_and_a_far_one_is_not() {
        assert_eq!(nearest("recuve", ["recurve", "longbow"]), Some("recurve"));
        assert_eq!(nearest("xyzzy", ["recurve", "longbow"]), None);
        assert_eq!(nearest("r", ["recurve"]), None);
    }
}

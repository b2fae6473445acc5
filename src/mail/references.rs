//! Serials and order references in a text.

/// A reference and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reference {
    pub(super) value: String,
    pub(super) start: usize,
    pub(super) end: usize,
}

/// Known references of fewer digits alone are taken only where a word says what they are,
/// because measurements look the same.
const FEWEST_DIGITS: usize = 4;

/// Words before a short number that make it a reference.
const NAMED_BY: &[&str] = &["order", "serial", "no", "no.", "number", "nr", "nr.", "ref", "#", "string no"];

/// Most references that are looked for in a text of a mail.
const MOST_FOUND: usize = 50;

/// The references in a text, in the order in which they stand, each once.
pub(super) fn references(text: &str, known: &[String]) -> Vec<Reference> {
    let lower = lowered(text);
    let mut found = made_serials(text);
    for reference in known {
        let wanted = lowered(reference.trim());
        if wanted.is_empty() {
            continue;
        }
        let places = lower
            .match_indices(&wanted)
            .filter(|(at, _)| stands_alone(&lower, *at, wanted.len()) && is_meant(&lower, *at, &wanted))
            .take(MOST_FOUND);
        for (start, _) in places {
            let end = start + wanted.len();
            let value = reference.trim().to_owned();
            found.push(Reference { value, start, end });
        }
    }
    // A known reference that holds another, or a serial, is the one that is meant.
    let all = found.clone();
    found.retain(|one| {
        !all.iter().any(|other| {
            other.start <= one.start
                && other.end >= one.end
                && (other.end - other.start) > (one.end - one.start)
        })
    });
    found.sort_by_key(|one| (one.start, is_made(one)));
    let mut unique: Vec<Reference> = Vec::new();
    for one in found {
        if !unique.iter().any(|other| other.value.eq_ignore_ascii_case(&one.value)) {
            unique.push(one);
        }
    }
    unique.truncate(MOST_FOUND);
    unique
}

fn is_made(found: &Reference) -> bool {
    found.value.starts_with("S-")
}

/// Lower case without a change of length, so that places stay.
fn lowered(text: &str) -> String {
    text.to_ascii_lowercase()
}

/// Serials as the workshop makes them: S-12.
fn made_serials(text: &str) -> Vec<Reference> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    for (at, _) in text.match_indices(['S', 's']) {
        let digits_from = at + 2;
        let length = bytes
            .get(digits_from..)
            .unwrap_or_default()
            .iter()
            .take(10)
            .take_while(|b| b.is_ascii_digit())
            .count();
        let end = digits_from + length;
        if bytes.get(at + 1) == Some(&b'-') && (1..=9).contains(&length) && stands_alone(text, at, end - at) {
            let words = text.get(at..end).unwrap_or_default();
            found.push(Reference { value: words.to_uppercase(), start: at, end });
        }
        if found.len() >= MOST_FOUND {
            break;
        }
    }
    found
}

fn stands_alone(text: &str, at: usize, length: usize) -> bool {
    let before = text.get(..at).and_then(|before| before.chars().next_back());
    let mut behind = text.get(at + length..).unwrap_or_default().chars();
    let (next, after) = (behind.next(), behind.next());
    let joins = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-' || c == '_');
    // "62.5", "7/8" and 66" are no references 62, 8 and 66.
    let is_inside_number = before.is_some_and(|c| ".,/".contains(c))
        && text
            .get(..at)
            .is_some_and(|before| before.chars().rev().nth(1).is_some_and(|c| c.is_ascii_digit()));
    let goes_on = next.is_some_and(|c| ".,/".contains(c)) && after.is_some_and(|c| c.is_ascii_digit());
    !joins(before) && !joins(next) && !is_inside_number && !goes_on
}

fn is_meant(lower: &str, at: usize, wanted: &str) -> bool {
    let is_number = wanted.bytes().all(|byte| byte.is_ascii_digit() || b".,/ ".contains(&byte));
    if !is_number || wanted.len() >= FEWEST_DIGITS {
        return true;
    }
    let before = lower.get(..at).unwrap_or_default().trim_end_matches([' ', ':']);
    NAMED_BY.iter().any(|word| before.ends_with(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(text: &str, known: &[&str]) -> Vec<String> {
        let known: Vec<String> = known.iter().map(|&known| known.to_owned()).collect();
        references(text, &known).into_iter().map(|found| found.value).collect()
    }

    #[test]
    fn serials_and_known_references_are_found_in_any_case() {
        assert_eq!(values("my string s-12 and S-3.", &[]), ["S-12", "S-3"]);
        assert_eq!(values("order wb-2041, string S-12", &["WB-2041", "S-12"]), ["WB-2041", "S-12"]);
        assert_eq!(values("AS-12 S-12a S-", &[]), Vec::<String>::new());
    }

    #[test]
    fn a_measurement_is_no_reference() {
        assert_eq!(values("the bow is 66, brace 7.5", &["66", "7"]), Vec::<String>::new());
        assert_eq!(values("order 66", &["66"]), ["66"]);
        assert_eq!(values("order 10432", &["10432"]), ["10432"]);
    }
}

//! What the weights are learned from: the numbers of a marked mail, each with what stands around it.

use std::ops::Range;

use super::context::Context;
use super::letter::part_letter;
use super::weighed::MEANINGS;

/// A number, or the words of a mail that say that there are none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// The line of the text from 1, or 0 for the subject.
    pub line: usize,
    /// Its bytes there.
    pub place: Range<usize>,
    /// It is a number and no words.
    pub is_number: bool,
    /// It is nought.
    pub is_zero: bool,
}

/// What one mail teaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lesson {
    /// What stands around each number, and what it says.
    pub numbers: Vec<(Vec<String>, String)>,
    /// What says of which kind the mail is.
    pub kind: Vec<String>,
}

/// What a number can say.
#[must_use]
pub const fn meanings() -> &'static [&'static str] {
    &MEANINGS
}

/// The lesson of a mail, where `told` knows what is said at a spot. The lines of the text must be
/// tidy: no two blanks in a row, none at the ends.
#[must_use]
pub fn lessons(subject: &str, text: &str, told: impl Fn(&Spot) -> String) -> Lesson {
    let letter = part_letter(text);
    let context = Context::new(Some(subject), &letter.passages, false, &|_| Vec::new());
    let meanings: Vec<String> = (0..context.candidates.len())
        .map(|at| spot(&context, at).map_or_else(|| "other".to_owned(), |spot| told(&spot)))
        .collect();
    let held: Vec<&str> = meanings.iter().map(String::as_str).collect();
    let numbers = (0..meanings.len())
        .map(|at| context.features(at, held.get(..at).unwrap_or_default()))
        .zip(meanings.iter().cloned())
        .collect();
    Lesson { numbers, kind: context.kind_features(&held) }
}

fn spot(context: &Context, at: usize) -> Option<Spot> {
    let one = context.candidates.get(at)?;
    let read = context.reads.get(one.read)?;
    let start = read.items.get(one.at.start)?.start;
    let end = read.items.get(one.at.end.checked_sub(1)?)?.end;
    let before = read.text.get(..start)?;
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let number = before.lines().filter(|line| !line.is_empty()).count();
    let number = if line_start == start { number } else { number.saturating_sub(1) };
    Some(Spot {
        line: *read.lines.get(number)?,
        place: start - line_start..end.saturating_sub(line_start),
        is_number: one.number.is_some(),
        is_zero: one.number.as_ref().is_some_and(|number| number.value.size == 0.0),
    })
}

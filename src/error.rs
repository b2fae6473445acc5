//! Every error in words: kind, message, hints that name the next command, exit status.

use serde::Serialize;

use crate::app::AppError;
use crate::book::BookError;
use crate::entry::EntryError;
use crate::letters::LetterError;
use crate::mail::MailError;
use crate::quantity::QuantityError;
use crate::trade::setting::SettingError;

/// What kind of trouble it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A value that cannot be.
    BadValue,
    /// Nothing of that name.
    NotFound,
    /// It makes no sense as things stand.
    Refused,
    /// Somebody else was quicker.
    OutOfDate,
    /// No book.
    NoBook,
    /// A damaged book or foreign file.
    BadBook,
    /// A book of a newer program.
    NewerBook,
    /// A file or the disk.
    File,
    /// The command line.
    CommandLine,
    /// A fault of the program.
    Fault,
}

impl Kind {
    /// Exit status of the process.
    #[must_use]
    pub const fn status(self) -> u8 {
        match self {
            Self::CommandLine => 2,
            Self::Fault => 3,
            _ => 1,
        }
    }
}

/// An error as people and programs read it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// Kind.
    pub kind: Kind,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub hints: Vec<String>,
}

impl Problem {
    /// A problem with one hint.
    #[must_use]
    pub fn new(kind: Kind, message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { kind, message: message.into(), hints: vec![hint.into()] }
    }

    /// The same, true of what was done before it. An error speaks of the one step that failed: where
    /// an earlier one was written down, not everything is as it was.
    #[must_use]
    pub fn after_writing(self) -> Self {
        const UNCHANGED: &str = "nothing was changed";
        const STAYS: &str = "what was written down before this stays: see it with: fistmele history";
        let mut stays = self.message.contains(UNCHANGED);
        let without =
            |text: &str| text.replace(&format!("; {UNCHANGED}"), "").replace(&format!("{UNCHANGED}; "), "");
        let mut hints: Vec<String> = Vec::new();
        for hint in &self.hints {
            stays |= hint.contains(UNCHANGED);
            hints.push(without(hint));
        }
        if stays {
            hints.push(STAYS.to_owned());
        }
        Self { message: without(&self.message), hints, ..self }
    }

    /// The same, with the place of the book where a trouble of the book does not name it.
    #[must_use]
    pub fn of_book(self, path: &std::path::Path) -> Self {
        let place = path.display().to_string();
        let concerns = matches!(self.kind, Kind::BadBook | Kind::File | Kind::Fault);
        if !concerns || self.message.contains(&place) {
            return self;
        }
        Self { message: self.message.replacen("the book", &format!("the book {place}"), 1), ..self }
    }

    /// A file that could not be read or written.
    #[must_use]
    pub fn file(path: &std::path::Path, action: &str, error: &std::io::Error) -> Self {
        let hint = match error.kind() {
            std::io::ErrorKind::NotFound => "check the name and the folder",
            std::io::ErrorKind::PermissionDenied => "check who may read and write there",
            std::io::ErrorKind::AlreadyExists => "choose another name, or remove the file first",
            _ => "check the disk and the folder, then try again",
        };
        Self::new(Kind::File, format!("{} cannot be {action}: {error}", path.display()), hint)
    }
}

impl From<BookError> for Problem {
    fn from(error: BookError) -> Self {
        let message = error.to_string();
        let (kind, hints): (Kind, &[&str]) = match error {
            BookError::Missing(_) => (
                Kind::NoBook,
                &[
                    "make a new empty one with: fistmele init",
                    "or look around in a filled one with: fistmele demo",
                    "another place is named with --book FILE or FISTMELE_BOOK",
                ],
            ),
            BookError::OutOfDate(_) => (
                Kind::OutOfDate,
                &["look at it as it is now, and do it again if it is still wanted; nothing was changed"],
            ),
            BookError::NoFile(_) => (
                Kind::BadValue,
                &[
                    "a book is one file: name it, such as workshop.db (or ./ before it where it is really called so)",
                ],
            ),
            BookError::Refused(_) => {
                (Kind::BadValue, &["check the values that were given; nothing was changed"])
            }
            BookError::ForgottenSince(_) => (
                Kind::OutOfDate,
                &[
                    "what was typed is not kept: open the string anew, and note what was measured without what names the person",
                ],
            ),
            BookError::Exists(_) => (Kind::Refused, &["choose another name; nothing was written"]),
            BookError::CopyOntoItself(_) => (Kind::Refused, &["name another file for the copy"]),
            BookError::CannotOpen(_) => (
                Kind::File,
                &[
                    "check the folder, who may write there, and whether a file ending in -journal lies beside the book: with it, copy both to a folder you may write to",
                ],
            ),
            BookError::Unfinished => (
                Kind::File,
                &[
                    "copy the book and the file ending in -journal beside it to a folder you may write to, and open it there",
                    "do not remove the -journal file: it holds the way back to a sound book",
                ],
            ),
            BookError::Disk(_) => (
                Kind::File,
                &["check the disk and its free space, then run the command again; nothing was changed"],
            ),
            BookError::BadCopy(_) => {
                (Kind::File, &["look at the book with: fistmele verify", "then try another disk"])
            }
            BookError::Empty(_) => (Kind::BadBook, &["remove it and run: fistmele init"]),
            BookError::NotABook(_) => (Kind::BadBook, &["name the book with --book FILE or FISTMELE_BOOK"]),
            BookError::Newer { .. } => (Kind::NewerBook, &["update fistmele; the book was not touched"]),
            BookError::Older { .. } => (
                Kind::BadBook,
                &["any command in a terminal brings it up to date", "the book was not touched"],
            ),
            BookError::ForeignLog { .. } => (
                Kind::BadBook,
                &[
                    "the book was not touched; with that file beside it, it would be spoilt",
                    "move that file to a folder of its own, then look at the book with: fistmele verify",
                ],
            ),
            BookError::ChangedCopy(_) => (
                Kind::Refused,
                &[
                    "no book was made; take another copy",
                    "if it was used as a book after it was made, it is one: name it with --book and run: fistmele verify",
                ],
            ),
            BookError::NoDigest(_) => (
                Kind::Refused,
                &[
                    "no book was made; name a copy that fistmele backup made, or a folder that fistmele export wrote",
                    "a book itself needs no restoring: name it with --book and run: fistmele verify",
                ],
            ),
            BookError::OnlyACopy => (Kind::Refused, &["go back to the book first; nothing was changed"]),
            BookError::NotSound(_) => (Kind::Refused, &["no book was made; take another copy or export"]),
            BookError::File { .. } => (Kind::File, &["check the folder and who may write there"]),
            BookError::Damaged(_) | BookError::Value(_) => (
                Kind::BadBook,
                &[
                    "see what is wrong with: fistmele verify",
                    "do not write to it any more; take the newest copy you have, and keep this file",
                ],
            ),
            BookError::ReadOnly => (Kind::File, &["check who may write to the file and its folder"]),
            BookError::Full => {
                (Kind::File, &["make room on the disk, then run the command again; nothing was changed"])
            }
            BookError::Busy => {
                (Kind::File, &["close the other program and run the command again; nothing was changed"])
            }
            BookError::Copy(_) => (Kind::File, &["make room and check the folder; the book was not changed"]),
            BookError::Migration(_) => {
                (Kind::BadBook, &["the book was not changed; the copy beside it is whole"])
            }
            BookError::Database(_) => {
                (Kind::Fault, &["nothing was changed; please report this with the command you ran"])
            }
        };
        Self { kind, message, hints: hints.iter().map(|hint| (*hint).to_owned()).collect() }
    }
}

impl From<QuantityError> for Problem {
    fn from(error: QuantityError) -> Self {
        Self {
            kind: Kind::BadValue,
            hints: vec![format!("write it like {} or {}", error.accepted[0], error.accepted[1])],
            message: match &error.likely {
                Some(likely) => {
                    format!("\"{}\" was not taken: {}; likely meant: {likely}", error.text, error.reason)
                }
                None => format!("\"{}\" was not taken: {}", error.text, error.reason),
            },
        }
    }
}

impl From<EntryError> for Problem {
    fn from(error: EntryError) -> Self {
        match error {
            EntryError::Quantity { error, .. } => (*error).into(),
            EntryError::Word { error, .. } => {
                Self::new(Kind::BadValue, error.to_string(), "write one of these words")
            }
            EntryError::Value { message, needed, .. } => Self::new(Kind::BadValue, message, needed),
            EntryError::Incomplete { message, hint, .. } => Self::new(Kind::CommandLine, message, hint),
        }
    }
}

impl From<MailError> for Problem {
    fn from(error: MailError) -> Self {
        Self::new(Kind::BadValue, error.to_string(), "nothing was logged")
    }
}

impl From<SettingError> for Problem {
    fn from(error: SettingError) -> Self {
        match error {
            SettingError::Quantity(error) => error.into(),
            other => {
                Self::new(Kind::BadValue, other.to_string(), "see what there is with: fistmele setting list")
            }
        }
    }
}

impl From<AppError> for Problem {
    fn from(error: AppError) -> Self {
        match error {
            AppError::Book(error) => error.into(),
            AppError::Setting(error) => error.into(),
            AppError::NotFound { what, ref near, .. } => {
                let list = match what {
                    "report" => "see them with: fistmele report list",
                    "reading" => "see them with: fistmele report show",
                    "setting" => "see them with: fistmele setting list",
                    "spool" => "see them with: fistmele spool list",
                    _ => "search with: fistmele sold find TEXT",
                };
                let mut hints: Vec<String> =
                    near.iter().map(|near| format!("did you mean {near}?")).collect();
                hints.push(list.to_owned());
                Self { kind: Kind::NotFound, message: error.to_string(), hints }
            }
            AppError::Refused { message, hints } => Self { kind: Kind::Refused, message, hints },
            AppError::File { path, action, source } => Self::file(&path, action, &source),
            AppError::Internal(message) => Self::new(
                Kind::Fault,
                message,
                "nothing was changed; please report this with the command you ran",
            ),
        }
    }
}

impl From<LetterError> for Problem {
    fn from(error: LetterError) -> Self {
        let hint = match &error {
            LetterError::Template { .. } => "mend the file, or move it away to use the built-in text",
            LetterError::NotReleased { .. } => {
                "say so with --no-danger if you read or heard it; without --of the letter that asks is written"
            }
            LetterError::DoesNotFit { .. } => "leave --of out: the letter that fits is written",
        };
        Self::new(Kind::BadValue, error.to_string(), hint)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_the_status_people_script_against() {
        assert_eq!(Kind::BadValue.status(), 1);
        assert_eq!(Kind::CommandLine.status(), 2);
        assert_eq!(Kind::Fault.status(), 3);
    }

    #[test]
    fn after_something_was_written_nothing_is_called_unchanged() {
        for problem in [Problem::from(BookError::Full), Problem::from(AppError::Internal("x".to_owned()))] {
            let said = |problem: &Problem| format!("{} {}", problem.message, problem.hints.join(" "));
            assert!(said(&problem).contains("nothing was changed"));
            let after = problem.after_writing();
            assert!(!said(&after).contains("nothing was changed"), "{after:?}");
            assert!(said(&after).contains("fistmele history"), "{after:?}");
        }
    }

    #[test]
    fn every_trouble_of_a_book_can_name_its_file() {
        let path = std::path::Path::new("x/book.db");
        for error in [
            BookError::Damaged("y".to_owned()),
            BookError::Value("y".to_owned()),
            BookError::ReadOnly,
            BookError::Full,
            BookError::Busy,
            BookError::Unfinished,
            BookError::Disk("y".to_owned()),
            BookError::CannotOpen("y".to_owned()),
            BookError::Copy(Box::new(BookError::Full)),
            BookError::Migration("y".to_owned()),
            BookError::Missing(path.to_owned()),
            BookError::NotABook(path.to_owned()),
        ] {
            let problem = Problem::from(error).of_book(path);
            assert_eq!(problem.message.matches("x/book.db").count(), 1, "{}", problem.message);
        }
    }

    #[test]
    fn a_missing_book_names_both_ways_out() {
        let problem = Problem::from(BookError::Missing("x/book.db".into()));
        assert!(problem.hints[0].contains("init") && problem.hints[1].contains("demo"));
    }
}

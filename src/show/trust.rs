//! The state of the book and its history as people read them.

use super::page::{Meaning, TextPage};
use crate::app::forget::{Candidate, ForgetView, OUTSIDE};
use crate::app::history::HistoryView;
use crate::app::verify::VerifyView;

fn dash(text: Option<String>) -> String {
    text.filter(|text| !text.is_empty()).unwrap_or_else(|| "-".to_owned())
}

/// A book looked through, with a block to paste.
pub fn verify(page: &mut TextPage, view: &VerifyView, leftovers: &[String]) {
    if view.sound {
        page.line(Meaning::Answer, "The book is sound.");
    } else {
        page.line(Meaning::Answer, format!("The book has {} faults:", view.faults.len()));
        for fault in &view.faults {
            page.point(Meaning::Caution, &fault.what);
            page.under_point(Meaning::Plain, fault.do_this);
        }
    }
    if view.book_version < view.known_version && view.book_version > 0 {
        page.paragraph(
            Meaning::Aside,
            "It is of an older version: the next command that opens it copies it and brings it up to date; verify again after that.",
        );
    }
    if view.verdicts_of_other_versions > 0 {
        page.paragraph(
            Meaning::Aside,
            format!(
                "{} stored verdicts were written by another version of the program: they are kept as they are and count as before.",
                view.verdicts_of_other_versions
            ),
        );
    }
    if view.open_to_others {
        page.paragraph(
            Meaning::Caution,
            "Others on this computer may read the file. It holds names and addresses: take that right away with chmod 600.",
        );
    }
    for leftover in leftovers {
        page.point(
            Meaning::Caution,
            format!(
                "Left by a command that was cut off, and may hold names and addresses: {leftover}. Delete it."
            ),
        );
    }
    page.gap().line(Meaning::Heading, "To paste when asking for help (nothing personal):");
    page.line(
        Meaning::Plain,
        format!(
            "fistmele {}, book version {} (known {}), SQLite {}, {}",
            view.program_version, view.book_version, view.known_version, view.database_version, view.platform
        ),
    );
    page.line(Meaning::Plain, format!("{} bytes, {} faults", view.bytes, view.faults.len()));
    let counts: Vec<String> = view.counts.iter().map(|(table, rows)| format!("{table} {rows}")).collect();
    page.paragraph(Meaning::Plain, counts.join(", "));
    for fault in &view.faults {
        page.line(Meaning::Plain, format!("{}: {}", fault.kind, fault.what));
    }
}

/// The history.
pub fn history(page: &mut TextPage, view: &HistoryView) {
    if view.lines.is_empty() {
        page.line(Meaning::Aside, "Nothing has happened yet.");
        return;
    }
    page.table(
        &["day", "who", "what", "string", "report", "fields"],
        view.lines.iter().map(|line| {
            vec![
                line.day.to_string(),
                line.who.clone(),
                line.what.clone(),
                dash(line.string.clone()),
                dash(line.report.clone()),
                dash(Some(line.fields.join(" "))),
            ]
        }),
    );
}

/// Archers that may be meant, one a line.
#[must_use]
pub fn candidates(found: &[Candidate]) -> Vec<String> {
    found
        .iter()
        .map(|candidate| {
            let archer = &candidate.archer;
            format!(
                "{}: {}, {}, {} strings",
                archer.id,
                dash(archer.name.clone()),
                dash(archer.email.clone()),
                candidate.strings
            )
        })
        .collect()
}

/// What was erased, and what is beyond the program's reach.
pub fn forget(page: &mut TextPage, view: &ForgetView, copies: &[String], leftovers: &[String]) {
    page.line(
        Meaning::Answer,
        format!(
            "{} is forgotten: name, address, order references, {} texts and {} letters are erased from this file.",
            view.archer, view.texts, view.letters
        ),
    );
    page.paragraph(
        Meaning::Plain,
        format!(
            "{} strings and {} reports stay with their measurements, without a name. Importing an old file does not bring the person back.",
            view.strings, view.reports
        ),
    );
    page.paragraph(
        Meaning::Caution,
        format!(
            "Out of this program's reach, and perhaps still with the person in them: {}. Delete them, or run `fistmele --book COPY forget {}` on each copy of the book. Its digest no longer fits then, and restore refuses it: make a new copy of it with `fistmele --book COPY backup NEW`.",
            OUTSIDE.join(", "),
            view.archer
        ),
    );
    for copy in copies {
        page.point(Meaning::Caution, format!("a copy of the book: {copy}"));
    }
    for leftover in leftovers {
        page.point(Meaning::Caution, format!("left by a command that was cut off: {leftover}"));
    }
    if !view.same_name.is_empty() {
        page.paragraph(
            Meaning::Caution,
            format!(
                "Of the same name and not forgotten: {}. Look whether that is the same person.",
                view.same_name.join(", ")
            ),
        );
    }
}

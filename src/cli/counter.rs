//! `counter`: the same work on a local web page.

use std::path::PathBuf;
use std::sync::Arc;

use clap::Args;

use super::files;
use super::session::{Session, tell};
use crate::book::{Author, Book};
use crate::counter::{self, Desk};
use crate::error::Problem;
use crate::quantity::Unit;

#[derive(Debug, Args)]
#[command(after_help = "Example: fistmele counter --port 7465")]
pub(super) struct Counter {
    /// Port of this computer's own address; 0 takes any that is free.
    #[arg(long, value_name = "N", default_value = "7465")]
    port: String,
}

/// The desk of one run of the program.
struct SessionDesk {
    session: Session,
}

impl Desk for SessionDesk {
    fn book(&self) -> Result<Book, Problem> {
        // Looking at a page never brings a book up to date: whoever starts the counter does.
        self.session.book_as_it_is()
    }

    fn place(&self) -> Option<PathBuf> {
        self.session.book_path().ok()
    }

    fn author(&self) -> Result<Author, Problem> {
        self.session.author()
    }

    fn unit(&self) -> Option<Unit> {
        self.session.own_unit()
    }

    fn own_letter(&self, book: &Book, name: &str) -> Result<Option<String>, Problem> {
        files::own_letter(book, name)
    }
}

impl Counter {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let port = super::args::count(Some(&self.port), "port", 0, 65_535)?.unwrap_or_default();
        // What is wrong with the book is said here, not on the first page; so is a copy that was made.
        drop(session.book()?);
        let place: PathBuf = session.book_path()?;
        let (session, notes) = session.apart();
        for note in notes {
            tell(&format!("note: {note}"));
        }
        let desk = Arc::new(SessionDesk { session });
        let port = u16::try_from(port).unwrap_or_default();
        counter::run(desk, port, |address| {
            tell(&format!("The counter is open at http://{address}/ on this computer alone."));
            tell(&format!("The book: {}. Stop it with Ctrl-C.", place.display()));
        })
    }
}

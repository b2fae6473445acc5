//! `counter`: the same work on a local web page.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::NaiveDate;
use clap::Args;

use super::copies::Copies;
use super::files;
use super::letterbox::{Letterbox, place_of};
use super::outputs::Outputs;
use super::session::{Session, tell};
use crate::app;
use crate::app::came_in::CameIn;
use crate::app::copies::CopiesView;
use crate::book::{Author, Book, BookError};
use crate::counter::{self, Desk};
use crate::error::{Kind, Problem};
use crate::quantity::Unit;
use crate::trade::plausible::Whole;
use crate::trade::rules::Rules;

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
    copying: Mutex<Copying>,
    letterbox: Mutex<Letterbox>,
}

/// What the desk knows of the copies of the book.
#[derive(Default)]
struct Copying {
    /// Where they are, by the book as it was read last.
    copies: Option<Copies>,
    /// Why the last could not be made.
    failed: Option<String>,
    /// The one that is looked into.
    opened: Option<NaiveDate>,
}

impl SessionDesk {
    fn copying(&self) -> MutexGuard<'_, Copying> {
        self.copying.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The copies of the book, where it says they are; where it cannot be read, where it said last.
    fn find_copies(&self) -> Result<Copies, Problem> {
        let path = self.session.book_path()?;
        let read = self.session.book_as_it_is().and_then(|mut book| Ok(app::rules(&mut book)?));
        let mut copying = self.copying();
        let copies = match (read, &copying.copies) {
            (Ok(rules), _) => Copies::of(&path, &rules.copies_folder),
            (Err(_), Some(known)) => known.clone(),
            (Err(_), None) => Copies::of(&path, ""),
        };
        copying.copies = Some(copies.clone());
        Ok(copies)
    }

    fn make_copy(&self) -> Result<(), Problem> {
        let copies = self.find_copies()?;
        let book = self.session.book_as_it_is()?;
        let today = self.session.today()?;
        match copies.make(&mut Outputs::of(&self.session), &book, today) {
            // Another counter on the same book was quicker.
            Err(problem) if problem.kind == Kind::Refused && copies.days().contains(&today) => Ok(()),
            done => done,
        }
    }
}

impl Desk for SessionDesk {
    fn book(&self) -> Result<Book, Problem> {
        let opened = self.copying().opened;
        if let Some(day) = opened {
            let path = self.find_copies()?.path(day);
            return Ok(Book::open_to_look(&path, Session::patience()?)?);
        }
        // Looking at a page never brings a book up to date: whoever starts the counter does.
        self.session.book_as_it_is()
    }

    fn place(&self) -> Option<PathBuf> {
        self.session.book_path().ok()
    }

    fn copies(&self) -> Result<Option<CopiesView>, Problem> {
        let view = self.find_copies()?.view(self.session.today()?);
        let copying = self.copying();
        Ok(Some(CopiesView { failed: copying.failed.clone(), opened: copying.opened, ..view }))
    }

    fn came_in(&self, rules: &Rules) -> Result<Option<CameIn>, Problem> {
        // Into a copy nothing is noted.
        if self.copying().opened.is_some() {
            return Ok(None);
        }
        let Some(place) = place_of(&self.session.book_path()?, rules) else { return Ok(None) };
        let mut letterbox = self.letterbox.lock().unwrap_or_else(PoisonError::into_inner);
        letterbox.look(&place, rules.mails_days, self.session.today()?).map(Some)
    }

    fn make_copy_of_the_day(&self) {
        let failed = self.make_copy().err().map(|problem| {
            let hint = problem.hints.first().map(|hint| format!("; {hint}")).unwrap_or_default();
            format!("{}{hint}", problem.message)
        });
        self.copying().failed = failed;
    }

    fn open_copy(&self, day: Option<NaiveDate>) -> Result<(), Problem> {
        if let Some(day) = day {
            let path = self.find_copies()?.path(day);
            Book::check_copy(&path)?;
            Book::open_to_look(&path, Session::patience()?).map_err(|error| match error {
                BookError::Older { .. } => Problem::new(
                    Kind::Refused,
                    format!("{error}, and a copy is never changed by looking into it"),
                    format!("make a book of it with: fistmele restore {} --book NEW", path.display()),
                ),
                other => other.into(),
            })?;
        }
        self.copying().opened = day;
        Ok(())
    }

    fn opened_copy(&self) -> Option<NaiveDate> {
        self.copying().opened
    }

    fn author(&self) -> Result<Author, Problem> {
        self.session.author()
    }

    fn says_who(&self) -> bool {
        Session::who_said().is_some()
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
        let port =
            super::args::count(Some(&self.port), "port", Whole { low: 0, high: 65_535 })?.unwrap_or_default();
        // What is wrong with the book is said here, not on the first page; so is a copy that was made.
        let opened = session.book().map(drop);
        opened.map_err(|problem| with_newest_copy(session, problem))?;
        let place: PathBuf = session.book_path()?;
        let (session, notes) = session.apart();
        for note in notes {
            tell(&format!("note: {note}"));
        }
        let desk = Arc::new(SessionDesk { session, copying: Mutex::default(), letterbox: Mutex::default() });
        let port = u16::try_from(port).unwrap_or_default();
        counter::run(desk, port, |address| {
            tell(&format!("The counter is open at http://{address}/ on this computer alone."));
            tell(&format!("The book: {}. Stop it with Ctrl-C.", place.display()));
        })
    }
}

/// Where the book is lost or damaged, the way to its newest copy beside it.
fn with_newest_copy(session: &Session, mut problem: Problem) -> Problem {
    if matches!(problem.kind, Kind::NoBook | Kind::BadBook)
        && let Ok(book) = session.book_path()
    {
        let copies = Copies::of(&book, "");
        problem.hints.extend(copies.days().last().map(|day| {
            format!(
                "go on from its newest copy with: fistmele restore {} --book NEW",
                copies.path(*day).display()
            )
        }));
    }
    problem
}

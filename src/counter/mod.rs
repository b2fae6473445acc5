//! The same work on a local web page: the use cases of `app`, asked for by forms.
//!
//! A request is read, the book is opened for it alone, one use case is run, a page or a way on is
//! sent back. The pages work without scripts. Nobody but this computer can reach them: see
//! `server` for the address, `guard` for what is refused, `forms` for the marks of forms.

mod bench;
mod came_in;
mod copies;
mod enter;
mod fields;
mod find;
mod forms;
mod guard;
mod mail;
mod mail_files;
mod mail_page;
mod month;
mod page;
mod peg;
mod problem;
mod report;
mod report_view;
mod routes;
mod rule;
mod rules;
mod seat;
mod server;
mod sheet;
mod strike;
mod string;
mod together;
mod ways;

use std::ops::Deref;
use std::path::PathBuf;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

pub use routes::router;
pub use server::run;

use chrono::NaiveDate;

use crate::app;
use crate::app::came_in::{CameIn, ReadBefore};
use crate::app::copies::CopiesView;
use crate::app::error::AppError;
use crate::app::mails::{self, ReadMail};
use crate::book::{Author, Book};
use crate::error::{Kind, Problem};
use crate::mail::Mail;
use crate::quantity::Unit;
use crate::show::sentences::Style;
use crate::trade::rules::Rules;

/// What the pages need of the world: the book, the day, who is at work.
pub trait Desk: Send + Sync {
    /// Opens the book, anew for each request.
    ///
    /// # Errors
    /// It cannot be opened.
    fn book(&self) -> Result<Book, Problem>;

    /// Where the book is, as far as that can be told.
    fn place(&self) -> Option<PathBuf>;

    /// Who is at work, on which day.
    ///
    /// # Errors
    /// The day cannot be told.
    fn author(&self) -> Result<Author, Problem>;

    /// Whether that is somebody who said so; else the pages ask.
    fn says_who(&self) -> bool {
        true
    }

    /// The unit of bare numbers and of what is shown, unless the book's own is meant.
    fn unit(&self) -> Option<Unit>;

    /// The workshop's own text of a letter, by the name of its template.
    ///
    /// # Errors
    /// It is there and cannot be read.
    fn own_letter(&self, book: &Book, name: &str) -> Result<Option<String>, Problem>;

    /// What lies where mails come in, if the workshop said where.
    ///
    /// # Errors
    /// It cannot be looked at.
    fn came_in(&self, _: &Rules) -> Result<Option<CameIn>, Problem> {
        Ok(None)
    }

    /// The copies of the book, where they are kept.
    ///
    /// # Errors
    /// It cannot be told where.
    fn copies(&self) -> Result<Option<CopiesView>, Problem> {
        Ok(None)
    }

    /// Makes the copy of the day, if there is none yet; what went wrong is told by the copies.
    fn make_copy_of_the_day(&self) {}

    /// Has the book of all pages be the copy of a day, to be looked into, or the book again.
    ///
    /// # Errors
    /// There is no such copy, or it is not as it was made.
    fn open_copy(&self, day: Option<NaiveDate>) -> Result<(), Problem> {
        match day {
            None => Ok(()),
            Some(day) => {
                Err(Problem::new(Kind::NotFound, format!("there is no copy of {day}"), "see which there are"))
            }
        }
    }

    /// The copy that is looked into.
    fn opened_copy(&self) -> Option<NaiveDate> {
        None
    }
}

/// What all requests share.
pub(crate) struct House {
    desk: Arc<dyn Desk>,
    forms: forms::Forms,
    told: forms::Told,
    kept: forms::Kept,
    sheets: month::Sheets,
    /// What was read of the mails that came in, for the book of a place.
    came_in: Mutex<(Option<PathBuf>, ReadBefore)>,
    /// Which person was forgotten last, as far as this counter has noticed.
    forgotten: AtomicI64,
}

/// What a request works with: the house, and who sits at the browser that sent it.
pub(crate) struct Shared {
    house: Arc<House>,
    who: Option<String>,
}

impl Deref for Shared {
    type Target = House;

    fn deref(&self) -> &House {
        &self.house
    }
}

/// A book opened for one request.
struct Open {
    book: Book,
    rules: Rules,
    style: Style,
    author: Author,
}

impl House {
    fn new(desk: Arc<dyn Desk>) -> Result<Self, Problem> {
        Ok(Self {
            desk,
            forms: forms::Forms::new()?,
            told: forms::Told::default(),
            kept: forms::Kept::default(),
            sheets: month::Sheets::default(),
            came_in: Mutex::default(),
            forgotten: AtomicI64::new(0),
        })
    }
}

impl Shared {
    /// Nobody has said who is at the desk.
    fn asks_who(&self) -> bool {
        self.who.is_none() && !self.desk.says_who()
    }

    fn open(&self) -> Result<Open, Problem> {
        let mut book = self.desk.book()?;
        let rules = app::rules(&mut book)?;
        let forgotten = app::forget::last(&mut book)?;
        if self.forgotten.swap(forgotten, Ordering::SeqCst) != forgotten {
            // Whose names stand in what is kept in memory nobody can tell: all of it goes.
            self.told.clear();
            self.kept.clear();
            self.sheets.clear();
            *self.came_in.lock().unwrap_or_else(PoisonError::into_inner) = <_>::default();
        }
        let unit = self.desk.unit().unwrap_or(rules.units);
        let style = Style { unit, currency: rules.currency.clone(), rounding: rules.rounding };
        let mut author = self.desk.author()?;
        if let Some(who) = &self.who {
            author.who.clone_from(who);
        }
        Ok(Open { book, rules, style, author })
    }

    /// What a mail says; of one that was read before, what was read then.
    fn read_mail(&self, open: &mut Open, mail: &Mail, told: Option<&str>) -> Result<ReadMail, AppError> {
        let mut before = self.came_in.lock().unwrap_or_else(PoisonError::into_inner);
        mails::read(&mut open.book, mail, told, (open.style.unit, open.author.day), &mut before.1.readings)
    }
}

/// What is sent back.
enum Reply {
    /// A page.
    Page {
        /// Status of the answer.
        status: u16,
        /// The page.
        html: String,
    },
    /// A mail to be opened in a mail program.
    Draft {
        /// Name of its file.
        name: String,
        /// The mail.
        bytes: Vec<u8>,
    },
    /// It is done; see there.
    SeeOther(String),
}

//! The cells of one row: what each holds, and what is wrong with it.

use std::any::Any;
use std::cell::RefCell;
use std::collections::HashMap;

use chrono::NaiveDate;

use super::columns::Columns;
use super::error::RowError;
use super::guard::read_csv_field_safe;
use super::import::{Place, Plan};
use super::records::Record;
use super::vocabulary::find_word;
use crate::quantity::parse_date;
use crate::trade::plausible::{self, Implausible, LONGEST_LINE, Whole};
use crate::trade::rules::Rules;
use crate::words::shorten;

/// Values of a column by their text, each with its canonical form.
type ByText = HashMap<String, (Box<dyn Any>, String)>;

/// Values that were read before, by column: the rows of a file say the same again and again.
#[derive(Default)]
pub(super) struct ReadBefore(RefCell<HashMap<&'static str, ByText>>);

/// Most values of a column that are kept.
const MOST_KEPT: usize = 1000;

/// One row while it is read: gives typed values and collects errors and canonical contents.
///
/// A value that is missing or bad is `None` alike; [`Cells::is_given`] tells them apart.
pub(super) struct Cells<'r> {
    record: &'r Record<'r>,
    columns: &'r Columns,
    pub(super) rules: &'r Rules,
    today: NaiveDate,
    read_before: &'r ReadBefore,
    errors: Vec<RowError>,
    given: Vec<(&'static str, String)>,
}

impl<'r> Cells<'r> {
    pub(super) fn new(record: &'r Record<'r>, columns: &'r Columns, plan: &'r Plan<'r>) -> Self {
        Self {
            record,
            columns,
            rules: plan.rules,
            today: plan.today,
            read_before: &plan.read_before,
            errors: Vec::new(),
            given: Vec::new(),
        }
    }

    /// Where the row stands in its file.
    pub(super) fn place(&self) -> Place {
        self.record.place()
    }

    /// The day after which nothing has happened yet.
    pub(super) fn today(&self) -> NaiveDate {
        self.today
    }

    /// True while nothing is wrong with the row.
    pub(super) fn are_good(&self) -> bool {
        self.errors.is_empty()
    }

    /// Everything wrong with the row, in the order in which it was read.
    pub(super) fn into_errors(self) -> Vec<RowError> {
        self.errors
    }

    /// Column and canonical value of every good cell read so far that is not empty.
    pub(super) fn given(&self) -> &[(&'static str, String)] {
        &self.given
    }

    /// Takes what [`Cells::given`] shows.
    pub(super) fn take_given(&mut self) -> Vec<(&'static str, String)> {
        std::mem::take(&mut self.given)
    }

    /// Whether there is one value to a column; if not, no value can be trusted and an error is kept.
    pub(super) fn has_right_shape(&mut self) -> bool {
        let (expected, found) = (self.columns.header.len(), self.record.fields.len());
        let first = self.record.fields.first().map_or("", |field| field.trim());
        if let Some(place) = self.record.torn {
            let column = self.columns.name_at(place);
            let value = self.record.fields.get(place).map_or("", |field| field.trim());
            let expected = "nothing behind a closing quote; a quote inside a quoted value is doubled";
            self.refuse_value(&column, value, expected);
            return false;
        }
        // A delimiter at the end of a line adds a value that is not there.
        let has_blank_rest = found > expected
            && self
                .record
                .fields
                .get(expected..)
                .unwrap_or_default()
                .iter()
                .all(|field| field.trim().is_empty());
        if found != expected && !has_blank_rest {
            let hint = if found > expected {
                "put a value that holds the delimiter into quotes"
            } else {
                "the row is cut short, or a quote is not closed"
            };
            let expected = format!("{expected} values as the header has, not {found}; {hint}");
            self.refuse_value("", first, expected);
            return false;
        }
        true
    }

    /// The text of a cell as it was meant; `None` if the cell is empty or not in the file.
    fn written(&self, column: &str) -> Option<&'r str> {
        let field: &'r str = self.record.fields.get(self.columns.place(column)?)?;
        let text = read_csv_field_safe(field).trim();
        (!text.is_empty()).then_some(text)
    }

    /// Whether anything stands in a cell.
    pub(super) fn is_given(&self, column: &str) -> bool {
        self.written(column).is_some()
    }

    /// Keeps an error about the value of a cell.
    pub(super) fn refuse(&mut self, column: &str, expected: impl Into<String>) {
        let value = self.written(column).unwrap_or_default();
        self.refuse_value(column, value, expected);
    }

    fn refuse_value(&mut self, column: &str, value: &str, expected: impl Into<String>) {
        self.errors.push(RowError {
            line: self.record.line,
            column: column.to_owned(),
            value: shorten(value),
            expected: expected.into(),
        });
    }

    /// Keeps an error if a needed cell is empty.
    pub(super) fn need(&mut self, column: &'static str, expected: &str) {
        if !self.is_given(column) {
            self.refuse(column, expected);
        }
    }

    /// Reads a cell: `parse` gives the value or what is expected, `canonical` what two equal
    /// values share.
    pub(super) fn read<T>(
        &mut self,
        column: &'static str,
        parse: impl FnOnce(&str) -> Result<T, String>,
        canonical: impl FnOnce(&T) -> String,
    ) -> Option<T> {
        match parse(self.written(column)?) {
            Ok(value) => {
                self.given.push((column, canonical(&value)));
                Some(value)
            }
            Err(expected) => {
                self.refuse(column, expected);
                None
            }
        }
    }

    /// Reads a cell whose value many rows share, and which takes long to read: as [`Cells::read`] does,
    /// each text once.
    pub(super) fn read_once<T: Clone + 'static>(
        &mut self,
        column: &'static str,
        parse: impl FnOnce(&str) -> Result<T, String>,
        canonical: impl FnOnce(&T) -> String,
    ) -> Option<T> {
        let text = self.written(column)?;
        let before = self.read_before;
        if let Some((value, canonical)) = before.0.borrow().get(column).and_then(|all| all.get(text))
            && let Some(value) = value.downcast_ref::<T>()
        {
            self.given.push((column, canonical.clone()));
            return Some(value.clone());
        }
        let value = self.read(column, parse, canonical)?;
        let mut before = before.0.borrow_mut();
        let all = before.entry(column).or_default();
        if let Some((_, canonical)) = self.given.last()
            && all.len() < MOST_KEPT
        {
            all.insert(text.to_owned(), (Box::new(value.clone()), canonical.clone()));
        }
        Some(value)
    }

    /// A word of a list.
    pub(super) fn word<T: Copy>(
        &mut self,
        column: &'static str,
        all: &[T],
        as_str: fn(T) -> &'static str,
    ) -> Option<T> {
        self.read(column, |text| find_word(text, all, as_str), |&word| as_str(word).to_owned())
    }

    /// A value beside others of the row, where it cannot stand.
    pub(super) fn check(&mut self, column: &str, rule: Result<(), Implausible>) {
        if let Err(error) = rule {
            self.refuse(column, error.needed);
        }
    }

    /// A text of one line.
    pub(super) fn text(&mut self, column: &'static str) -> Option<String> {
        self.line_of(column, LONGEST_LINE)
    }

    /// A text of one line of at most so many characters.
    pub(super) fn line_of(&mut self, column: &'static str, longest: usize) -> Option<String> {
        self.read(column, |text| Ok(plausible::one_line(text, longest)?), Clone::clone)
    }

    /// A serial; two that differ in case alone are one.
    pub(super) fn serial(&mut self) -> Option<String> {
        self.need("serial", "the serial as printed on the label");
        self.read("serial", |text| Ok(plausible::serial(text)?), |serial| serial.to_lowercase())
    }

    /// An address for mail; upper and lower case are one.
    pub(super) fn email(&mut self, column: &'static str) -> Option<String> {
        self.read(column, |text| Ok(plausible::address(text)?), |address| address.to_lowercase())
    }

    /// A day, today or earlier.
    pub(super) fn date(&mut self, column: &'static str) -> Option<NaiveDate> {
        let today = self.today;
        let parse = |text: &str| {
            let day = parse_date(text).map_err(|error| super::quantities::expected("a date", &error))?;
            Ok(plausible::happened(day, today)?)
        };
        self.read_once(column, parse, NaiveDate::to_string)
    }

    /// A whole number between two bounds.
    pub(super) fn whole(&mut self, column: &'static str, bounds: Whole) -> Option<u32> {
        let parse = |text: &str| {
            let is_digits = text.bytes().all(|byte| byte.is_ascii_digit());
            text.parse()
                .ok()
                .filter(|number| is_digits && bounds.check(*number).is_ok())
                .ok_or_else(|| bounds.needed())
        };
        self.read(column, parse, u32::to_string)
    }
}

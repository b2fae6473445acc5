//! What a form sends, and the marks that tell our forms from others and one sending from two.

use std::collections::VecDeque;
use std::sync::{Mutex, MutexGuard, PoisonError};

use hmac_sha256::HMAC;

use super::problem::{Refused, in_words_of_the_page};
use crate::entry::Entries;
use crate::error::{Kind, Problem};
use crate::words::hex;

/// Most forms whose sending is remembered; older ones are refused by what they have seen.
const MOST_SENT: usize = 1000;
/// Most notices that wait for their page.
const MOST_TOLD: usize = 200;
/// Most forms that are kept; each may be as large as a mail.
const MOST_KEPT: usize = 100;

/// Name of the field with a form's mark.
pub(super) const MARK: &str = "form-mark";
/// Name of the field with how far the history was that a form was made from.
pub(super) const SEEN: &str = "seen";

/// Fields of a form, in their order.
#[derive(Debug, Clone, Default)]
pub(super) struct Filled {
    fields: Vec<(String, String)>,
}

impl Filled {
    /// Reads a body of `application/x-www-form-urlencoded`; line ends become those of the book.
    pub(super) fn read(body: &[u8]) -> Self {
        let fields = form_urlencoded::parse(body)
            .map(|(name, value)| (name.into_owned(), value.replace("\r\n", "\n")))
            .collect();
        Self { fields }
    }

    /// From names and values.
    pub(super) fn from_pairs<N: Into<String>, V: Into<String>>(
        pairs: impl IntoIterator<Item = (N, V)>,
    ) -> Self {
        Self { fields: pairs.into_iter().map(|(name, value)| (name.into(), value.into())).collect() }
    }

    /// A field that was filled in.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.fields
            .iter()
            .find(|(field, _)| field == name)
            .map(|(_, value)| value.as_str())
            .filter(|value| !value.trim().is_empty())
    }

    /// Whether a field has a value, among several of its name.
    pub(super) fn has(&self, name: &str, value: &str) -> bool {
        self.fields.iter().any(|(field, has)| field == name && has == value)
    }

    /// What was filled in, for the rules that options are read by.
    pub(super) fn entries(&self) -> Entries<'_> {
        Entries::filled(self.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())))
    }

    /// How far the history was that the form was made from.
    pub(super) fn seen(&self) -> Result<i64, Problem> {
        self.get(SEEN).and_then(|seen| seen.parse().ok()).ok_or_else(not_ours)
    }
}

fn not_ours() -> Problem {
    Problem::new(
        Kind::Refused,
        "this form was not made by this counter, or before it was started anew; nothing was written down",
        "if it is still what you want, send it once more: it is a form of this counter now",
    )
}

fn random<const N: usize>() -> Result<[u8; N], Problem> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|error| {
        Problem::new(Kind::Fault, format!("no random numbers are to be had: {error}"), "please report this")
    })?;
    Ok(bytes)
}

/// Keeps going after a panic elsewhere: what is kept is whole after each step.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The latest of something, each under a mark; the oldest makes room.
struct Latest<T> {
    most: usize,
    held: VecDeque<(String, T)>,
}

impl<T> Latest<T> {
    const fn new(most: usize) -> Self {
        Self { most, held: VecDeque::new() }
    }

    fn put(&mut self, mark: String, thing: T) {
        if self.held.len() >= self.most {
            self.held.pop_front();
        }
        self.held.push_back((mark, thing));
    }

    fn get(&self, mark: &str) -> Option<&T> {
        self.held.iter().find(|(held, _)| held == mark).map(|(_, thing)| thing)
    }

    fn take(&mut self, mark: &str) -> Option<T> {
        let at = self.held.iter().position(|(held, _)| held == mark)?;
        self.held.remove(at).map(|(_, thing)| thing)
    }
}

/// Forms given out and sent.
pub(super) struct Forms {
    secret: [u8; 32],
    /// Marks of forms that did something, with where that led.
    sent: Mutex<Latest<String>>,
}

impl Forms {
    pub(super) fn new() -> Result<Self, Problem> {
        Ok(Self { secret: random()?, sent: Mutex::new(Latest::new(MOST_SENT)) })
    }

    fn signed(&self, number: &str) -> String {
        hex(&HMAC::mac(number.as_bytes(), self.secret))
    }

    /// A mark for a new form.
    pub(super) fn mark(&self) -> Result<String, Problem> {
        let number = hex(&random::<16>()?);
        Ok(format!("{number}.{}", self.signed(&number)))
    }

    /// Refuses a form that is not ours.
    fn check(&self, filled: &Filled) -> Result<(), Problem> {
        let ours = filled.get(MARK).and_then(|mark| mark.split_once('.')).is_some_and(|(number, sign)| {
            let right = self.signed(number);
            // All of it is compared, so that the time taken tells nothing.
            right.len() == sign.len()
                && right.bytes().zip(sign.bytes()).fold(0, |unlike, (a, b)| unlike | (a ^ b)) == 0
        });
        if ours { Ok(()) } else { Err(not_ours()) }
    }

    /// Does what a form asks for, once: a form that is sent twice leads where it led before.
    ///
    /// One form at a time is worked on, so that the second of two at once finds the first done.
    pub(super) fn once(
        &self,
        filled: &Filled,
        work: impl FnOnce() -> Result<String, Refused>,
    ) -> Result<String, Refused> {
        self.check(filled)?;
        let mark = filled.get(MARK).unwrap_or_default();
        let mut sent = locked(&self.sent);
        if let Some(led) = sent.get(mark) {
            return Ok(led.clone());
        }
        let led = work()?;
        sent.put(mark.to_owned(), led.clone());
        Ok(led)
    }
}

/// Things to say on the page that comes next, each once.
pub(super) struct Told {
    waiting: Mutex<Latest<Vec<String>>>,
}

impl Default for Told {
    fn default() -> Self {
        Self { waiting: Mutex::new(Latest::new(MOST_TOLD)) }
    }
}

impl Told {
    /// The address with a mark under which the notices wait, if there are any.
    pub(super) fn on(&self, address: String, notices: Vec<String>) -> Result<String, Problem> {
        if notices.is_empty() {
            return Ok(address);
        }
        let mark = hex(&random::<8>()?);
        let notices = notices.iter().map(|notice| in_words_of_the_page(notice)).collect();
        locked(&self.waiting).put(mark.clone(), notices);
        Ok(format!("{address}?told={mark}"))
    }

    /// What waits under a mark; it waits no more.
    pub(super) fn take(&self, mark: Option<&str>) -> Vec<String> {
        mark.and_then(|mark| locked(&self.waiting).take(mark)).unwrap_or_default()
    }
}

/// What was asked for by a form that changes nothing: it is kept in memory for a while, so that its
/// page can be loaded again and come back to, and nothing of it stands in an address.
pub(super) struct Kept {
    forms: Mutex<Latest<Filled>>,
}

impl Default for Kept {
    fn default() -> Self {
        Self { forms: Mutex::new(Latest::new(MOST_KEPT)) }
    }
}

impl Kept {
    /// Keeps a form, and gives the mark it is found by.
    pub(super) fn keep(&self, filled: Filled) -> Result<String, Problem> {
        let mark = hex(&random::<8>()?);
        locked(&self.forms).put(mark.clone(), filled);
        Ok(mark)
    }

    /// The form of a mark, if it is still kept.
    pub(super) fn get(&self, mark: &str) -> Option<Filled> {
        locked(&self.forms).get(mark).cloned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_does_its_work_once() {
        let forms = Forms::new().unwrap();
        let filled = Filled::from_pairs([(MARK, forms.mark().unwrap())]);
        let mut times = 0;
        for _ in 0..3 {
            let led = forms.once(&filled, || {
                times += 1;
                Ok("/report/R-1".to_owned())
            });
            assert_eq!(led.ok().as_deref(), Some("/report/R-1"));
        }
        assert_eq!(times, 1);
    }

    #[test]
    fn a_form_that_was_refused_may_be_sent_again() {
        let forms = Forms::new().unwrap();
        let filled = Filled::from_pairs([(MARK, forms.mark().unwrap())]);
        let refused = forms.once(&filled, || Err(Problem::new(Kind::BadValue, "no", "yes").into()));
        assert!(refused.is_err());
        assert_eq!(forms.once(&filled, || Ok("/".to_owned())).ok().as_deref(), Some("/"));
    }

    #[test]
    fn foreign_and_forged_marks_are_refused() {
        let (ours, other) = (Forms::new().unwrap(), Forms::new().unwrap());
        let mark = other.mark().unwrap();
        let number = mark.split_once('.').unwrap().0;
        for forged in [mark.clone(), format!("{number}."), number.to_owned(), String::new()] {
            assert!(ours.check(&Filled::from_pairs([(MARK, forged)])).is_err());
        }
        assert!(ours.check(&Filled::default()).is_err());
    }

    #[test]
    fn a_notice_is_told_once() {
        let told = Told::default();
        let address = told.on("/report/R-1".to_owned(), vec!["a".to_owned()]).unwrap();
        let mark = address.split_once("told=").unwrap().1;
        assert_eq!(told.take(Some(mark)), ["a"]);
        assert!(told.take(Some(mark)).is_empty());
        assert_eq!(told.on("/".to_owned(), Vec::new()).unwrap(), "/");
    }
}

//! What a form sends, and the marks that tell our forms from others and one sending from two.

use std::collections::{BTreeSet, VecDeque};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use hmac_sha256::{HMAC, Hash};

use super::problem::Refused;
use crate::book::times_written;
use crate::entry::Entries;
use crate::error::{Kind, Problem};
use crate::words::hex;

/// Most forms whose sending is remembered; older ones are refused by what they have seen.
const MOST_SENT: usize = 1000;
/// Most notices that wait for their page.
const MOST_TOLD: usize = 200;
/// Most forms that are kept.
const MOST_KEPT: usize = 100;
/// Most bytes of all forms that are kept together.
const MOST_BYTES_KEPT: usize = 16 << 20;
/// Most fields of a form that are read; the largest of ours has some ninety.
const MOST_FIELDS: usize = 1000;

/// Name of the field with a form's mark.
pub(super) const MARK: &str = "form-mark";
/// Name of the field with how far the history was that a form was made from.
pub(super) const SEEN: &str = "seen";

/// What parts the name of a field from the serial of the string it is of.
pub(super) const OF_STRING: char = '@';

/// Fields of a form, in their order.
#[derive(Debug, Clone, Default)]
pub(super) struct Filled {
    fields: Vec<(String, String)>,
}

impl Filled {
    /// Reads a body of `application/x-www-form-urlencoded`; line ends become those of the book.
    pub(super) fn read(body: &[u8]) -> Self {
        let fields = form_urlencoded::parse(body)
            .take(MOST_FIELDS)
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

    /// What it takes in memory, about.
    fn bytes(&self) -> usize {
        const FIELD: usize = 2 * size_of::<String>();
        self.fields.iter().map(|(name, value)| name.capacity() + value.capacity() + FIELD).sum()
    }

    /// A field that was filled in.
    pub(super) fn get(&self, name: &str) -> Option<&str> {
        self.fields
            .iter()
            .find(|(field, _)| field == name)
            .map(|(_, value)| value.as_str())
            .filter(|value| !value.trim().is_empty())
    }

    /// Every value of a field.
    pub(super) fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.fields.iter().filter(move |(field, _)| field == name).map(|(_, value)| value.as_str())
    }

    /// Fills a field in, or anew.
    pub(super) fn set(&mut self, name: &str, value: &str) {
        self.fields.retain(|(field, _)| field != name);
        self.fields.push((name.to_owned(), value.to_owned()));
    }

    /// Whether a field has a value, among several of its name.
    pub(super) fn has(&self, name: &str, value: &str) -> bool {
        self.fields.iter().any(|(field, has)| field == name && has == value)
    }

    /// What was filled in for one of several strings, whose fields carry its serial: those, by their plain
    /// names, and the fields that are of none alone.
    pub(super) fn of_string(&self, serial: &str) -> Self {
        let fields = self.fields.iter().filter_map(|(name, value)| {
            let own = name.rsplit_once(OF_STRING);
            let name = match own.filter(|(_, of)| *of == serial) {
                Some((name, _)) => name,
                None => own.is_none().then_some(name.as_str())?,
            };
            Some((name.to_owned(), value.clone()))
        });
        Self { fields: fields.collect() }
    }

    /// Whether anything was filled in for that string alone.
    pub(super) fn tells_of(&self, serial: &str) -> bool {
        self.fields.iter().any(|(name, _)| name.rsplit_once(OF_STRING).is_some_and(|(_, of)| of == serial))
    }

    /// What was filled in, for the rules that options are read by.
    pub(super) fn entries(&self) -> Entries<'_> {
        Entries::filled(self.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())))
    }

    /// Tells this very sending to an address from another one: all fields but the mark.
    fn digest(&self, address: &str) -> [u8; 32] {
        let mut hash = Hash::new();
        let mut take = |text: &str| {
            // With its length, so that no two fields can be taken for two others.
            hash.update(text.len().to_le_bytes());
            hash.update(text);
        };
        take(address);
        for (name, value) in self.fields.iter().filter(|(name, _)| name != MARK) {
            take(name);
            take(value);
        }
        hash.finalize()
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

fn sent_with_other_content() -> Problem {
    Problem::new(
        Kind::OutOfDate,
        "this form is out of date: it was sent before, with something else in it, and that was noted; nothing was written down now",
        "look at what is noted by now; what was typed this time is kept, to be sent once more if it is still what you want",
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

/// A form that did something.
struct Sent {
    /// What was in it, and where it was sent to.
    digest: [u8; 32],
    /// Where that led.
    led: String,
}

/// Forms given out and sent.
pub(super) struct Forms {
    secret: [u8; 32],
    /// Forms that did something, by their marks.
    sent: Mutex<Latest<Sent>>,
    /// Marks of the forms that are being worked on.
    at_work: Mutex<BTreeSet<String>>,
    /// Told whenever one of them is through.
    through: Condvar,
}

/// A form that is being worked on; others of its mark wait until this goes.
struct AtWork<'a> {
    forms: &'a Forms,
    mark: &'a str,
}

impl Drop for AtWork<'_> {
    fn drop(&mut self) {
        locked(&self.forms.at_work).remove(self.mark);
        self.forms.through.notify_all();
    }
}

fn signed(secret: [u8; 32], number: &str) -> String {
    hex(&HMAC::mac(number.as_bytes(), secret))
}

impl Forms {
    pub(super) fn new() -> Result<Self, Problem> {
        Ok(Self {
            secret: random()?,
            sent: Mutex::new(Latest::new(MOST_SENT)),
            at_work: Mutex::default(),
            through: Condvar::new(),
        })
    }

    /// Marks for the forms of a new page: each call gives another.
    pub(super) fn marks(&self) -> Result<impl Fn() -> String + Send + Sync + 'static, Problem> {
        let (page, given, secret) = (hex(&random::<16>()?), AtomicU32::new(0), self.secret);
        Ok(move || {
            let number = format!("{page}-{}", given.fetch_add(1, Ordering::Relaxed));
            format!("{number}.{}", signed(secret, &number))
        })
    }

    /// Refuses a form that is not ours.
    fn check(&self, filled: &Filled) -> Result<(), Problem> {
        let ours = filled.get(MARK).and_then(|mark| mark.split_once('.')).is_some_and(|(number, sign)| {
            let right = signed(self.secret, number);
            // All of it is compared, so that the time taken tells nothing.
            right.len() == sign.len()
                && right.bytes().zip(sign.bytes()).fold(0, |unlike, (a, b)| unlike | (a ^ b)) == 0
        });
        if ours { Ok(()) } else { Err(not_ours()) }
    }

    /// Waits until no other form of this mark is worked on.
    fn begin<'a>(&'a self, mark: &'a str) -> AtWork<'a> {
        let mut at_work = locked(&self.at_work);
        while at_work.contains(mark) {
            at_work = self.through.wait(at_work).unwrap_or_else(PoisonError::into_inner);
        }
        at_work.insert(mark.to_owned());
        AtWork { forms: self, mark }
    }

    /// Does what a form asks for, once: the same form sent again leads where it led before; one
    /// that was sent before with something else in it, or to another address, is out of date.
    ///
    /// Of one mark one form at a time is worked on, so that the second of two at once finds the
    /// first done. Forms of other marks do not wait for it: between them the book decides.
    pub(super) fn once(
        &self,
        address: &str,
        filled: &Filled,
        work: impl FnOnce() -> Result<String, Refused>,
    ) -> Result<String, Refused> {
        self.check(filled)?;
        let mark = filled.get(MARK).unwrap_or_default();
        let digest = filled.digest(address);
        let _at_work = self.begin(mark);
        if let Some(sent) = locked(&self.sent).get(mark) {
            if sent.digest == digest {
                return Ok(sent.led.clone());
            }
            return Err(sent_with_other_content().into());
        }
        let before = times_written();
        let led = work()
            .map_err(|refused| if times_written() == before { refused } else { refused.after_writing() })?;
        locked(&self.sent).put(mark.to_owned(), Sent { digest, led: led.clone() });
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
        locked(&self.waiting).put(mark.clone(), notices);
        Ok(format!("{address}?told={mark}"))
    }

    /// Forgets what waits.
    pub(super) fn clear(&self) {
        locked(&self.waiting).held.clear();
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
    /// Keeps a form, and gives the mark it is found by. The oldest make room.
    pub(super) fn keep(&self, filled: Filled) -> Result<String, Problem> {
        let mark = hex(&random::<8>()?);
        self.keep_as(mark.clone(), filled);
        Ok(mark)
    }

    /// Keeps a form under a mark of its own, in place of the one before.
    pub(super) fn keep_as(&self, mark: String, filled: Filled) {
        let mut forms = locked(&self.forms);
        forms.take(&mark);
        forms.put(mark, filled);
        let mut bytes: usize = forms.held.iter().map(|(_, form)| form.bytes()).sum();
        while bytes > MOST_BYTES_KEPT
            && let Some((_, oldest)) = forms.held.pop_front()
        {
            bytes -= oldest.bytes();
        }
    }

    /// Forgets the form of a mark.
    pub(super) fn drop_of(&self, mark: &str) {
        locked(&self.forms).take(mark);
    }

    /// Forgets all that is kept.
    pub(super) fn clear(&self) {
        locked(&self.forms).held.clear();
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
        let filled = Filled::from_pairs([(MARK, forms.marks().unwrap()())]);
        let mut times = 0;
        for _ in 0..3 {
            let led = forms.once("/a", &filled, || {
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
        let filled = Filled::from_pairs([(MARK, forms.marks().unwrap()())]);
        let refused = forms.once("/a", &filled, || Err(Problem::new(Kind::BadValue, "no", "yes").into()));
        assert!(refused.is_err());
        assert_eq!(forms.once("/a", &filled, || Ok("/".to_owned())).ok().as_deref(), Some("/"));
    }

    #[test]
    fn nothing_is_called_unchanged_after_a_step_was_written() {
        let forms = Forms::new().unwrap();
        let mut book = crate::book::Book::in_memory().unwrap();
        let author = crate::book::Author { who: "RK".to_owned(), day: chrono::NaiveDate::MIN };
        let mut send = |writes: bool| {
            let filled = Filled::from_pairs([(MARK, forms.marks().unwrap()())]);
            let done = forms.once("/a", &filled, || {
                if writes {
                    crate::app::rules(&mut book)?;
                    let happened =
                        crate::book::Happened { what: "x", string: None, report: None, fields: "" };
                    book.write(|page| page.log(&author, happened)).map_err(Problem::from)?;
                }
                Err(Problem::from(crate::book::BookError::Full).into())
            });
            done.err().unwrap().told_on(&[]).0.hints.join(" ")
        };
        assert!(send(false).contains("nothing was changed"));
        let after = send(true);
        assert!(!after.contains("nothing was changed") && after.contains("stays"), "{after}");
    }

    #[test]
    fn a_mark_is_good_for_one_address_and_one_content() {
        let forms = Forms::new().unwrap();
        let mark = forms.marks().unwrap()();
        let filled = |value: &str| Filled::from_pairs([(MARK, mark.as_str()), ("brace", value)]);
        let done =
            |address: &str, value: &str| forms.once(address, &filled(value), || Ok("/done".to_owned()));
        assert_eq!(done("/a", "7").ok().as_deref(), Some("/done"));
        for (address, value) in [("/b", "7"), ("/a", "8"), ("/a7", "")] {
            let refused = done(address, value).err().map(|refused| refused.told_on(&[]).0.kind);
            assert_eq!(refused, Some(Kind::OutOfDate), "{address} {value}");
        }
        assert_eq!(done("/a", "7").ok().as_deref(), Some("/done"));
    }

    #[test]
    fn every_form_of_a_page_has_a_mark_of_its_own() {
        let forms = Forms::new().unwrap();
        let (page, other) = (forms.marks().unwrap(), forms.marks().unwrap());
        let marks: BTreeSet<String> = [page(), page(), other(), other()].into();
        assert_eq!(marks.len(), 4);
        assert!(marks.iter().all(|mark| forms.check(&Filled::from_pairs([(MARK, mark)])).is_ok()));
    }

    #[test]
    fn forms_of_other_marks_do_not_wait() {
        let forms = Forms::new().unwrap();
        let form = || Filled::from_pairs([(MARK, forms.marks().unwrap()())]);
        let led = forms.once("/a", &form(), || forms.once("/a", &form(), || Ok("/inner".to_owned())));
        assert_eq!(led.ok().as_deref(), Some("/inner"));
    }

    #[test]
    fn the_second_of_two_at_once_finds_the_first_done() {
        let forms = Forms::new().unwrap();
        let filled = Filled::from_pairs([(MARK, forms.marks().unwrap()())]);
        let times = AtomicU32::new(0);
        std::thread::scope(|threads| {
            for _ in 0..8 {
                threads.spawn(|| {
                    let led = forms.once("/a", &filled, || {
                        times.fetch_add(1, Ordering::SeqCst);
                        std::thread::sleep(std::time::Duration::from_millis(20));
                        Ok("/done".to_owned())
                    });
                    assert_eq!(led.ok().as_deref(), Some("/done"));
                });
            }
        });
        assert_eq!(times.load(Ordering::SeqCst), 1);
    }

    #[test]
    fn foreign_and_forged_marks_are_refused() {
        let (ours, other) = (Forms::new().unwrap(), Forms::new().unwrap());
        let mark = other.marks().unwrap()();
        let number = mark.split_once('.').unwrap().0;
        for forged in [mark.clone(), format!("{number}."), number.to_owned(), String::new()] {
            assert!(ours.check(&Filled::from_pairs([(MARK, forged)])).is_err());
        }
        assert!(ours.check(&Filled::default()).is_err());
    }

    #[test]
    fn forms_are_kept_within_a_number_and_bytes_together() {
        let kept = Kept::default();
        let large = || Filled::from_pairs([("pasted", "x".repeat(1 << 20))]);
        let marks: Vec<String> = (0..40).map(|_| kept.keep(large()).unwrap()).collect();
        let left = marks.iter().filter(|mark| kept.get(mark).is_some()).count();
        assert!((10..=16).contains(&left), "{left}");
        assert!(kept.get(marks.last().unwrap()).is_some(), "the newest is kept");
        let many = Filled::read("a=&".repeat(300_000).as_bytes());
        assert!(many.bytes() < 1 << 17, "{}", many.bytes());
        let marks: Vec<String> = (0..150).map(|_| kept.keep(Filled::default()).unwrap()).collect();
        assert_eq!(marks.iter().filter(|mark| kept.get(mark).is_some()).count(), MOST_KEPT);
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

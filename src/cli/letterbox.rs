//! Where mails come in: a Maildir, an mbox file, or a folder of .eml files, as a mail program keeps
//! them. All of it is read, and nothing changed, marked or removed.
#![expect(clippy::disallowed_methods, reason = "this is where files are looked at")]

use std::collections::HashMap;
use std::io::{BufReader, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

use chrono::{DateTime, Days, Local, NaiveDate};

use super::files;
use crate::app::came_in::{CameIn, UnreadMail};
use crate::error::{Kind, Problem};
use crate::mail::{LARGEST_MAIL, Mail, MailError, Mailbox, read_mail, sent_on_of};
use crate::trade::rules::Rules;

/// Most files, and most mails of a mailbox, that are looked at in one go, the newest.
const MOST: usize = 500;

/// What a file held when it was read last.
#[derive(Debug, Clone)]
struct Held {
    bytes: u64,
    changed: SystemTime,
    mails: Vec<Result<Arc<Mail>, MailError>>,
    older: usize,
}

/// A place where mails come in, with what was read there before: a file that has not changed is not
/// read again.
#[derive(Debug, Default)]
pub(super) struct Letterbox {
    held: HashMap<PathBuf, Held>,
    since: NaiveDate,
}

/// Where the workshop said that mails come in: as it is, or from the book's folder on.
pub(super) fn place_of(book: &Path, rules: &Rules) -> Option<PathBuf> {
    let beside = book.parent().unwrap_or(Path::new(""));
    (!rules.mails_place.is_empty()).then(|| beside.join(&rules.mails_place))
}

/// A file that may hold mails.
struct Found {
    path: PathBuf,
    bytes: u64,
    changed: SystemTime,
}

impl Letterbox {
    /// What lies at a place that was sent, or put there, in so many days up to today.
    pub(super) fn look(&mut self, place: &Path, days: u32, today: NaiveDate) -> Result<CameIn, Problem> {
        let since = today.checked_sub_days(Days::new(days.into())).unwrap_or(NaiveDate::MIN);
        if since != self.since {
            self.held.clear();
            self.since = since;
        }
        let (mut files, mut older) = found(place, since)?;
        files.sort_by(|one, other| other.changed.cmp(&one.changed).then(one.path.cmp(&other.path)));
        let left = files.len().saturating_sub(MOST);
        files.truncate(MOST);
        let mut held = HashMap::new();
        let mut came = CameIn { left, ..CameIn::default() };
        for file in files {
            let known = self.held.remove(&file.path);
            let known = known.filter(|known| known.bytes == file.bytes && known.changed == file.changed);
            let known = match known {
                Some(known) => known,
                None => match read(&file, since) {
                    Ok(read) => read,
                    // The mail program moved or removed it meanwhile: it is found where it is now.
                    Err(error) if error.kind() == std::io::ErrorKind::NotFound => continue,
                    Err(error) => {
                        came.unread.push(UnreadMail { file: name(&file.path), why: error.to_string() });
                        continue;
                    }
                },
            };
            older += known.older;
            for mail in &known.mails {
                match mail {
                    Ok(mail) => came.mails.push(Arc::clone(mail)),
                    Err(error) => {
                        came.unread.push(UnreadMail { file: name(&file.path), why: error.to_string() });
                    }
                }
            }
            held.insert(file.path, known);
        }
        came.older = older;
        came.mails.sort_by_key(|mail| std::cmp::Reverse(mail.sent_on));
        came.left += came.mails.len().saturating_sub(MOST);
        came.mails.truncate(MOST);
        self.held = held;
        Ok(came)
    }
}

fn name(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    crate::words::harmless(&name.to_string_lossy())
}

/// The files at a place, and how many were left out as too old.
fn found(place: &Path, since: NaiveDate) -> Result<(Vec<Found>, usize), Problem> {
    let fault = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => Problem::new(
            Kind::File,
            format!("{}, where mails should come in, is not there", place.display()),
            "name a Maildir, an mbox file or a folder of .eml files, or set another place with: fistmele setting set mails.place PLACE",
        ),
        _ => Problem::file(place, "read", &error),
    };
    let there = std::fs::metadata(place).map_err(fault)?;
    if !there.is_dir() {
        let changed = there.modified().map_err(fault)?;
        return Ok((vec![Found { path: place.to_owned(), bytes: there.len(), changed }], 0));
    }
    let maildir = place.join("cur").is_dir() && place.join("new").is_dir();
    let folders = if maildir { vec![place.join("new"), place.join("cur")] } else { vec![place.to_owned()] };
    let (mut files, mut older) = (Vec::new(), 0);
    for folder in folders {
        for entry in std::fs::read_dir(&folder).map_err(fault)? {
            let Ok(entry) = entry else { continue };
            let path = entry.path();
            if !(if maildir { waits(&path) } else { is_eml(&path) }) {
                continue;
            }
            // Gone meanwhile, or a link to nowhere.
            let Ok(there) = std::fs::metadata(&path) else { continue };
            if !there.is_file() {
                continue;
            }
            let Ok(changed) = there.modified() else { continue };
            if DateTime::<Local>::from(changed).date_naive() < since {
                older += 1;
                continue;
            }
            files.push(Found { path, bytes: there.len(), changed });
        }
    }
    Ok((files, older))
}

fn is_eml(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("eml"))
}

/// Whether a file of a Maildir is a mail that is neither thrown away nor a draft: what the mail
/// program marked stands in letters behind `:2,`.
fn waits(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let marks = name.rsplit_once(":2,").or_else(|| name.rsplit_once(";2,")).map_or("", |(_, marks)| marks);
    !name.starts_with('.') && !marks.contains(['T', 'D'])
}

/// Reads a file: one mail, or a mailbox of many.
fn read(file: &Found, since: NaiveDate) -> std::io::Result<Held> {
    let mut held = Held { bytes: file.bytes, changed: file.changed, mails: Vec::new(), older: 0 };
    let take = |held: &mut Held, mail: &[u8]| {
        if sent_on_of(mail).is_some_and(|day| day < since) {
            held.older += 1;
        } else {
            held.mails.push(read_mail(mail).map(Arc::new));
        }
    };
    let mut start = [0; 5];
    let begins = files::open(&file.path)?.read(&mut start)?;
    if start.get(..begins) == Some(b"From ") {
        for mail in Mailbox::new(BufReader::new(files::open(&file.path)?)) {
            match mail? {
                Ok(mail) => take(&mut held, &mail),
                Err(error) => held.mails.push(Err(error)),
            }
        }
        // Those at the end of a mailbox came last.
        let first = held.mails.len().saturating_sub(MOST);
        held.older += first;
        held.mails.drain(..first);
        return Ok(held);
    }
    if file.bytes > LARGEST_MAIL as u64 {
        let bytes = usize::try_from(file.bytes).unwrap_or(usize::MAX);
        held.mails.push(Err(MailError::TooLarge { bytes }));
        return Ok(held);
    }
    let mut bytes = Vec::new();
    files::open(&file.path)?.take(LARGEST_MAIL as u64 + 1).read_to_end(&mut bytes)?;
    take(&mut held, &bytes);
    Ok(held)
}

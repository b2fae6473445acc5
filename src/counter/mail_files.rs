//! Mails that are chosen as files or dropped on the page, several at once.

use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use serde::Serialize;

use super::forms::Filled;
use super::mail::pasted_mail;
use super::server::SLOWEST_REQUEST;
use super::{Open, Reply, Shared};
use crate::error::{Kind, Problem};
use crate::mail::{LARGEST_MAIL, Mail, MailError, read_mail};

/// Most files at once.
const MOST_FILES: usize = 40;
/// Longest mail that is kept for its page, bytes without what is attached: all of them together are
/// less than what is kept in memory.
const LONGEST_KEPT: usize = 256 * 1024;
/// From this size on a file is not even counted.
const ENDLESS: usize = 1 << 30;

/// Under this the mails that were chosen last wait to be answered one after the other.
pub(super) const WAITING: &str = "waiting";

/// A file that was chosen.
pub(super) struct Chosen {
    name: String,
    /// The mail as it would be pasted, or why it was not read.
    mail: Result<Filled, String>,
}

fn refused(message: impl Into<String>, hint: &str) -> Problem {
    Problem::new(Kind::BadValue, message, hint)
}

/// Waits for the next piece, and not for ever.
async fn in_time<T>(coming: impl Future<Output = Result<T, MultipartError>>) -> Result<T, Problem> {
    match tokio::time::timeout(SLOWEST_REQUEST, coming).await {
        Ok(Ok(piece)) => Ok(piece),
        Ok(Err(_)) => Err(refused(
            "what was sent was cut off on its way, or holds no files",
            "choose the files once more",
        )),
        Err(_) => {
            Err(refused("a file did not come in within ten seconds", "choose fewer files, or smaller ones"))
        }
    }
}

/// The bytes of a file with its size; of one that is too large the size alone.
async fn bytes_of(mut part: Field<'_>) -> Result<(Vec<u8>, usize), Problem> {
    let (mut bytes, mut size) = (Vec::new(), 0);
    while let Some(chunk) = in_time(part.chunk()).await? {
        let chunk: Bytes = chunk;
        size += chunk.len();
        if size > ENDLESS {
            return Err(refused("a file is larger than 1 GB", "save the mail without its attachments"));
        }
        if size <= LARGEST_MAIL {
            bytes.extend_from_slice(&chunk);
        } else {
            bytes = Vec::new();
        }
    }
    Ok((bytes, size))
}

/// Takes the files out of a request, one after the other, so that no more than one is held whole.
pub(super) async fn chosen(request: Request<Body>) -> Result<Vec<Chosen>, Problem> {
    let mut parts = Multipart::from_request(request, &())
        .await
        .map_err(|_| refused("what was sent holds no files", "choose the files once more"))?;
    let mut chosen: Vec<Chosen> = Vec::new();
    while let Some(part) = in_time(parts.next_field()).await? {
        let Some(name) = part.file_name().map(crate::words::harmless) else { continue };
        let name: String = name.chars().take(80).collect();
        let (bytes, size) = bytes_of(part).await?;
        // A form without any file sends one that is empty and has no name.
        if name.is_empty() && size == 0 {
            continue;
        }
        if chosen.len() == MOST_FILES {
            return Err(refused(
                format!("more than {MOST_FILES} files were chosen; none was read"),
                "choose some of them, and the others after that",
            ));
        }
        let mail = tokio::task::spawn_blocking(move || of_file(&bytes, size))
            .await
            .unwrap_or_else(|_| Err("the program has failed at this mail; please report this".to_owned()));
        chosen.push(Chosen { name, mail });
    }
    if chosen.is_empty() {
        return Err(refused("no file was chosen", "choose one, or paste the mail"));
    }
    Ok(chosen)
}

/// Why a mail was not read; where the way out is a command, the page has another.
fn why(error: &MailError) -> String {
    let text = error.to_string();
    match text.rsplit_once(';') {
        Some((said, way)) if way.contains("report add") => format!("{said}; paste its text instead"),
        _ => text,
    }
}

/// A mail of a file as it would be pasted: as long as a page can hold.
fn of_file(bytes: &[u8], size: usize) -> Result<Filled, String> {
    let read = if size > LARGEST_MAIL { Err(MailError::TooLarge { bytes: size }) } else { read_mail(bytes) };
    as_filled(read.map_err(|error| why(&error))?)
}

/// A mail as it would be pasted, or why a page cannot hold it.
pub(super) fn as_filled(mail: Mail) -> Result<Filled, String> {
    let pasted = mail.as_pasted();
    if pasted.len() > LONGEST_KEPT {
        return Err(format!(
            "the mail holds {} KB of text, and at most {} are taken from a file; paste what matters",
            pasted.len().div_ceil(1024),
            LONGEST_KEPT / 1024
        ));
    }
    let sender = mail.from_name.filter(|_| mail.from_address.is_none()).unwrap_or_default();
    Ok(Filled::from_pairs([
        ("pasted", pasted),
        ("from", sender),
        ("attachments", mail.attachments.to_string()),
    ]))
}

/// Keeps the mails for a while, and leads to the only one, or to the list of them.
pub(super) fn keep(shared: &Shared, chosen: Vec<Chosen>) -> Result<Reply, Problem> {
    if let [Chosen { mail: Ok(only), .. }] = chosen.as_slice() {
        return Ok(Reply::SeeOther(format!("/mail/{}", shared.kept.keep(only.clone())?)));
    }
    let mut list: Vec<(&str, String)> = Vec::new();
    for Chosen { name, mail } in chosen {
        match mail {
            Ok(mail) => list.push(("mail", format!("{}|{name}", shared.kept.keep(mail)?))),
            Err(why) => list.push(("refused", format!("{name}|{why}"))),
        }
    }
    shared.kept.keep_as(WAITING.to_owned(), Filled::from_pairs(list));
    Ok(Reply::SeeOther("/mail".to_owned()))
}

/// Takes the mails that were chosen off the list.
pub(super) fn put_away(shared: &Shared, _: Filled) -> Result<Reply, Problem> {
    shared.kept.drop_of(WAITING);
    Ok(Reply::SeeOther("/mail".to_owned()))
}

/// A mail on the list.
#[derive(Serialize)]
pub(super) struct WaitingMail {
    name: String,
    address: String,
    from: String,
    subject: Option<String>,
    /// The report that holds it, or the file that holds the very same mail.
    held_by: Option<String>,
    same_as: Option<String>,
    danger: bool,
}

/// The mails that were chosen last, as far as they are still kept.
#[derive(Serialize, Default)]
pub(super) struct Waiting {
    mails: Vec<WaitingMail>,
    /// Files that were not read, and why.
    refused: Vec<(String, String)>,
    /// How many are noted nowhere yet.
    left: usize,
}

impl Waiting {
    pub(super) fn read(shared: &Shared, open: &mut Open) -> Result<Self, Problem> {
        let mut waiting = Self::default();
        let Some(list) = shared.kept.get(WAITING) else { return Ok(waiting) };
        let pairs = |name| list.all(name).filter_map(|entry| entry.split_once('|')).collect::<Vec<_>>();
        waiting.refused =
            pairs("refused").into_iter().map(|(name, why)| (name.to_owned(), why.to_owned())).collect();
        let mut seen: Vec<(Mail, String)> = Vec::new();
        for (mark, name) in pairs("mail") {
            let Some(filled) = shared.kept.get(mark) else { continue };
            let mail = pasted_mail(&filled)?;
            let view = shared.read_mail(open, &mail, None)?.view;
            let same_as = seen
                .iter()
                .find(|(held, _)| held.text == mail.text && held.from_address == mail.from_address)
                .map(|(_, name)| name.clone());
            waiting.left += usize::from(view.held_by.is_none() && same_as.is_none());
            waiting.mails.push(WaitingMail {
                name: name.to_owned(),
                address: format!("/mail/{mark}"),
                from: view.from.or(view.address).unwrap_or_else(|| "nobody named".to_owned()),
                subject: view.subject,
                held_by: view.held_by,
                same_as,
                danger: !view.signs.is_empty(),
            });
            seen.push((mail, name.to_owned()));
        }
        Ok(waiting)
    }
}

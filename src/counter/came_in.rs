//! Mails where a mail program keeps them, on the peg.

use std::sync::PoisonError;

use serde::Serialize;

use super::forms::Filled;
use super::mail_files::as_filled;
use super::problem::led_on;
use super::routes::Asked;
use super::{Open, Reply, Shared};
use crate::app::came_in::{self, ReadBefore, UnreadMail};
use crate::error::{Kind, Problem};
use crate::show::mails::{seems, sign_words};

/// A mail that waits.
#[derive(Serialize)]
struct Line {
    mark: String,
    from: String,
    subject: Option<String>,
    sent_on: Option<String>,
    string: Option<String>,
    seems: &'static str,
    danger: bool,
    signs: Vec<String>,
}

/// The mails that came in.
#[derive(Serialize)]
pub(super) struct CameInView {
    waiting: Vec<Line>,
    unread: Vec<UnreadMail>,
    left: usize,
    /// Why nothing can be said of them.
    trouble: Option<String>,
}

impl CameInView {
    /// What waits, where the workshop said where mails come in. That it cannot be looked at keeps
    /// nobody from the rest of the peg.
    pub(super) fn read(shared: &Shared, open: &mut Open) -> Result<Option<Self>, Problem> {
        let came = match shared.desk.came_in(&open.rules) {
            Ok(None) => return Ok(None),
            Ok(Some(came)) => came,
            Err(problem) => {
                let trouble = Some(format!("{}; {}", problem.message, problem.hints.join("; ")));
                return Ok(Some(Self { waiting: Vec::new(), unread: Vec::new(), left: 0, trouble }));
            }
        };
        let waiting = {
            let mut before = shared.came_in.lock().unwrap_or_else(PoisonError::into_inner);
            let place = shared.desk.place();
            if before.0 != place {
                *before = (place, ReadBefore::default());
            }
            let (unit, day) = (open.style.unit, open.author.day);
            came_in::waiting(&mut open.book, &came.mails, unit, day, &mut before.1)?
        };
        let line = |mail: came_in::WaitingMail| Line {
            seems: seems(&mail),
            signs: mail.signs.iter().map(sign_words).collect(),
            from: mail.from.or(mail.address).unwrap_or_else(|| "nobody named".to_owned()),
            sent_on: mail.sent_on.map(|day| day.to_string()),
            mark: mail.mark,
            subject: mail.subject,
            string: mail.string,
            danger: mail.danger,
        };
        let waiting = waiting.into_iter().map(line).collect();
        Ok(Some(Self { waiting, unread: came.unread, left: came.left, trouble: None }))
    }

    /// How many wait.
    pub(super) const fn count(&self) -> usize {
        self.waiting.len()
    }
}

/// Leads to what a mail says, as if it had been pasted.
pub(super) fn open(shared: &Shared, (mark, _): (String, Asked)) -> Result<Reply, Problem> {
    let open = shared.open()?;
    let came = shared.desk.came_in(&open.rules)?.unwrap_or_default();
    let filled = as_filled(came.find(&mark)?.clone())
        .map_err(|why| Problem::new(Kind::BadValue, why, "copy what matters and paste it"))?;
    Ok(Reply::SeeOther(format!("/mail/{}", shared.kept.keep(filled)?)))
}

/// Puts a mail aside.
pub(super) fn aside(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once("/came-in/aside", &filled, || {
        let came = shared.desk.came_in(&open.rules)?.unwrap_or_default();
        let mail = came.find(filled.get("mark").unwrap_or_default())?;
        came_in::put_aside(&mut open.book, mail, &open.author)?;
        Ok(shared.told.on(
            "/".to_owned(),
            vec!["Put aside: it waits no longer, and nothing was noted of it.".to_owned()],
        )?)
    });
    led_on(done, &[], |problem, _| {
        Err(Problem { kind: problem.kind, message: problem.message.clone(), hints: problem.hints.clone() })
    })
}

//! `report add/list/show`, `reading add`, `advise`, `letter`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::args::{self, BowArgs, MeasureArgs};
use super::import::ImportArgs;
use super::outputs::{Output, Outputs};
use super::session::Session;
use super::{files, mail, prompt};
use crate::app::danger::{self, Word};
use crate::app::logging::{Logged, NewReading, NewReport};
use crate::app::outgoing::{self, Outgoing};
use crate::app::take_back::TakeBack;
use crate::app::{self, advise};
use crate::book::{Author, Book};
use crate::error::{Kind, Problem};
use crate::letters::{self, LetterError, LetterKind};
use crate::quantity::{Measure, parse_length};
use crate::show::page::Meaning;
use crate::show::strikes::struck_list;
use crate::show::{advice, records};
use crate::trade::plausible::Whole;
use crate::trade::rules::Rules;
use crate::trade::words::{Standing, Symptom, Verdict};

#[derive(Debug, Subcommand)]
pub(super) enum ReportCommand {
    /// Logs what an archer says of a string. On a terminal it asks for what is missing.
    #[command(
        after_help = "Example: fistmele report add S-7 --symptom brace-low --brace 6-7/8 --want 7-1/2..8"
    )]
    Add(Box<ReportAdd>),
    /// Imports old reports from a spreadsheet, all rows or none.
    ///
    /// The first line names the columns, in any order; docs/commands.md lists them. The strings must be
    /// in the book. The same file twice changes nothing.
    #[command(after_help = "Example: fistmele report import history.csv --dry-run")]
    Import(ImportArgs),
    /// Reads an e-mail: finds archer and string, shows what it says and from which words, and logs it once confirmed.
    ///
    /// What is doubtful is never logged, not even with --yes; it is asked back in the letter.
    #[command(after_help = "Example: fistmele report mail complaint.eml")]
    Mail(mail::MailArgs),
    /// Lists reports, newest first.
    #[command(after_help = "Example: fistmele report list --standing to-answer")]
    List {
        /// Only those that stand there.
        #[arg(long, value_name = "WHERE", value_parser = args::standing())]
        standing: Option<Standing>,
        /// What is struck instead: reports, readings, letters and strings, with who, when and why.
        #[arg(long, conflicts_with = "standing")]
        struck: bool,
    },
    /// Shows one report with its readings, what the archer wrote and which letters went out.
    #[command(after_help = "Example: fistmele report show R-1 --letters")]
    Show {
        /// Its id, such as R-1.
        report: String,
        /// The letters whole, as they went out.
        #[arg(long)]
        letters: bool,
    },
}

#[derive(Debug, Subcommand)]
pub(super) enum ReadingCommand {
    /// Adds a further measurement, such as the brace height after turning.
    #[command(after_help = "Example: fistmele reading add R-1 --turns-changed +11 --brace 7-1/2")]
    Add(Box<ReadingAdd>),
}

#[derive(Debug, Args)]
struct Said {
    #[command(flatten)]
    measured: MeasureArgs,
    #[command(flatten)]
    bow: BowArgs,
    /// Day it came in [default: today].
    #[arg(long, value_name = "DATE", help_heading = "The message")]
    received: Option<String>,
    /// What the archer wrote: a text file, or - for standard input.
    #[arg(long, value_name = "FILE", help_heading = "The message")]
    text: Option<PathBuf>,
    /// You have read it: words such as "cut" or "broken" in it mean no damage to the string.
    #[arg(long, help_heading = "The message")]
    no_damage: bool,
    /// You read or heard it: nothing broken, cut or cracked, no shot without an arrow.
    #[arg(long, help_heading = "The message")]
    no_danger: bool,
}

/// No report has so many signs of danger.
const MOST_SIGNS: u32 = 1_000_000;

/// What the person who read or heard the archer says of danger.
#[derive(Debug, Args)]
struct WordArgs {
    /// You read the words of this sign of danger, and no danger is meant; may be given several times.
    #[arg(long, value_name = "SIGN", help_heading = "Danger")]
    call_off: Vec<String>,
    /// You read the words of this sign of danger, and it is so; may be given several times.
    #[arg(long, value_name = "SIGN", help_heading = "Danger")]
    confirm: Vec<String>,
    /// You read or heard it: nothing broken, cut or cracked, no shot without an arrow.
    #[arg(long, help_heading = "Danger")]
    no_danger: bool,
    /// --no-danger was said by mistake: whether there is danger is open again.
    #[arg(long, help_heading = "Danger", conflicts_with = "no_danger")]
    danger_open: bool,
}

impl WordArgs {
    const fn is_empty(&self) -> bool {
        self.call_off.is_empty() && self.confirm.is_empty() && !self.no_danger && !self.danger_open
    }

    fn word(&self) -> Result<Word, Problem> {
        let signs = |name: &'static str, texts: &[String]| -> Result<Vec<u32>, Problem> {
            let read =
                texts.iter().map(|text| args::count(Some(text), name, Whole { low: 1, high: MOST_SIGNS }));
            Ok(read.collect::<Result<Vec<_>, _>>()?.into_iter().flatten().collect())
        };
        Ok(Word {
            call_off: signs("call-off", &self.call_off)?,
            confirm: signs("confirm", &self.confirm)?,
            no_danger: self.no_danger,
            danger_open: self.danger_open,
        })
    }

    fn say(&self, book: &mut Book, report: &str, author: &Author) -> Result<(), Problem> {
        let word = self.word()?;
        if !word.is_empty() {
            danger::say(book, report, &word, author)?;
        }
        Ok(())
    }
}

#[derive(Debug, Args)]
pub(super) struct ReportAdd {
    /// Serial of the string; several, or the order that holds several, where the same is said of each.
    #[arg(value_name = "SERIAL")]
    serials: Vec<String>,
    /// What is complained of; may be given several times.
    #[arg(long, value_name = "SYMPTOM", value_parser = args::symptom())]
    symptom: Vec<Symptom>,
    #[command(flatten)]
    said: Said,
    /// Begin a report of its own even if one of this string is open.
    #[arg(long)]
    separate: bool,
}

#[derive(Debug, Args)]
pub(super) struct ReadingAdd {
    /// The report, such as R-1.
    report: String,
    /// What is complained of besides; may be given several times.
    #[arg(long, value_name = "SYMPTOM", value_parser = args::symptom())]
    symptom: Vec<Symptom>,
    /// The archer says that the string fits now.
    #[arg(long)]
    fits: bool,
    #[command(flatten)]
    said: Said,
}

impl Said {
    fn text(&self) -> Result<Option<String>, Problem> {
        self.text.as_deref().map(files::read_text).transpose()
    }
}

fn missing(what: &str, option: &str) -> Problem {
    Problem::new(
        Kind::CommandLine,
        format!("{what} is missing"),
        format!("give {option}; see: fistmele report add --help"),
    )
}

impl ReportCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        match self {
            Self::Add(add) => add.run(session),
            Self::Import(import) => import.run_reports(session),
            Self::Mail(mail) => mail.run(session),
            Self::List { struck: true, .. } => {
                let lines = app::strikes::struck(&mut session.book()?)?;
                session.answer("struck/1", &lines, |page, _| struck_list(page, &lines))
            }
            Self::List { standing, .. } => {
                let lines = app::reports::list(&mut session.book()?, standing)?;
                session.answer("reports/1", &lines, |page, _| {
                    if lines.is_empty() {
                        page.line(
                            Meaning::Aside,
                            if standing.is_some() { "No report stands there." } else { "No report yet." },
                        );
                    } else {
                        records::report_list(page, &lines);
                    }
                })
            }
            Self::Show { report, letters } => {
                let mut book = session.book()?;
                let rules = app::rules(&mut book)?;
                let style = session.style(&rules);
                let view = app::reports::show(&mut book, &report)?;
                session.answer("report/1", &view, |page, _| {
                    records::report(page, &view, &style, true);
                    if letters {
                        records::letters(page, &view.letters);
                    }
                })
            }
        }
    }
}

impl ReportAdd {
    fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let unit = session.unit(&rules);
        let mut measured = self.said.measured.typed(unit)?;
        if !Session::can_ask() {
            // A command line that is not whole is told before the book is asked for what it names.
            if self.serials.is_empty() {
                return Err(missing("the string's serial", "SERIAL"));
            }
            if self.symptom.is_empty() {
                return Err(missing("the symptom", "--symptom"));
            }
        }
        let mut named = self.serials;
        if named.is_empty() {
            named.push(prompt::ask("Serial of the string", None, |text| Ok(text.to_owned()))?);
        }
        let mut serials: Vec<String> = Vec::new();
        for name in &named {
            for serial in app::reports::strings_called(&mut book, name)? {
                if !serials.contains(&serial) {
                    serials.push(serial);
                }
            }
        }
        let mut symptoms = self.symptom;
        if symptoms.is_empty() {
            symptoms.push(prompt::ask(
                "Symptom (such as brace-low, brace-high, too-long, noisy)",
                None,
                |text| {
                    text.parse().map_err(|error: crate::words::UnknownWord| {
                        Problem::new(Kind::BadValue, error.to_string(), "type one of these words")
                    })
                },
            )?);
            if symptoms.iter().any(|symptom| symptom.is_fit()) && measured.brace.is_none() {
                measured.brace =
                    prompt::ask("Brace height as read, or \"unknown\"", Some("unknown"), |text| {
                        if text == "unknown" {
                            return Ok(None);
                        }
                        Ok(Some(parse_length(text, unit, Measure::Brace)?))
                    })?;
            }
        }
        let author = session.author()?;
        let new = NewReport {
            serial: String::new(),
            symptoms,
            measured,
            bow: self.said.bow.typed(unit, session)?,
            received_on: args::day(self.said.received.as_deref())?.unwrap_or(author.day),
            text: self.said.text()?,
            whole: None,
            no_damage: self.said.no_damage,
            no_danger: self.said.no_danger,
            new_address: None,
            fits: false,
            mail: None,
            unit: None,
            separate: self.separate,
            questions: Vec::new(),
            unspoken: None,
        };
        let each = serials.into_iter().map(|serial| NewReport { serial, ..new.clone() }).collect();
        let logged = app::logging::add_each(&mut book, each, &author)?;
        show_all_logged(session, logged, &rules)
    }
}

/// One report as `report/1`, several as `reports-added/1`.
fn show_all_logged(session: &mut Session, mut logged: Vec<Logged>, rules: &Rules) -> Result<(), Problem> {
    if logged.len() == 1
        && let Some(only) = logged.pop()
    {
        return show_logged(session, only, rules);
    }
    for notice in logged.iter().flat_map(|logged| &logged.notices) {
        session.warn(notice.clone());
    }
    let style = session.style(rules);
    let views: Vec<_> = logged.into_iter().map(|logged| logged.view).collect();
    session.answer("reports-added/1", &views, |page, _| {
        for view in &views {
            records::report(page, view, &style, true);
            page.gap();
        }
        let ids = views.iter().map(|view| view.report.as_str()).collect::<Vec<_>>().join(" ");
        page.line(Meaning::Plain, "Next: fistmele advise, for each of them; then one letter about all:");
        page.next(format!("  fistmele letter {ids}"));
    })
}

fn show_logged(session: &mut Session, logged: Logged, rules: &Rules) -> Result<(), Problem> {
    let style = session.style(rules);
    for notice in logged.notices {
        session.warn(notice);
    }
    let view = logged.view;
    session.answer("report/1", &view, |page, _| {
        records::report(page, &view, &style, true);
        page.gap().line(Meaning::Plain, format!("Next: fistmele advise {}", view.report));
    })
}

impl ReadingCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let Self::Add(add) = self;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let unit = session.unit(&rules);
        let author = session.author()?;
        let logged = app::logging::add_reading(
            &mut book,
            NewReading {
                report: add.report,
                symptoms: add.symptom,
                measured: add.said.measured.typed(unit)?,
                bow: add.said.bow.typed(unit, session)?,
                received_on: args::day(add.said.received.as_deref())?.unwrap_or(author.day),
                text: add.said.text()?,
                whole: None,
                no_damage: add.said.no_damage,
                no_danger: add.said.no_danger,
                questions: Vec::new(),
                fits: add.fits,
            },
            &author,
        )?;
        show_logged(session, logged, &rules)
    }
}

#[derive(Debug, Args)]
pub(super) struct Advise {
    /// The report, such as R-1.
    report: String,
    #[command(flatten)]
    word: WordArgs,
}

impl Advise {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let author = session.author()?;
        self.word.say(&mut book, &self.report, &author)?;
        let answer = advise::advise(&mut book, &self.report, &author)?;
        let style = session.style(&answer.rules);
        let json = advice::json(&answer.view, &style);
        session.answer("advice/1", &json, |page, _| advice::text(page, &answer.view, &style))
    }
}

#[derive(Debug, Args)]
pub(super) struct Letter {
    /// The report, such as R-1; several of one archer: one letter about all.
    #[arg(
        value_name = "REPORT",
        required_unless_present_any = ["string", "unknown_sender", "thanks"],
        conflicts_with = "string"
    )]
    reports: Vec<String>,
    /// A string below the floor of strength: the letter that says not to shoot it, without a report.
    #[arg(long, value_name = "SERIAL", conflicts_with = "of")]
    string: Option<String>,
    /// Somebody of whom the book knows no string: the letter that asks for its label or order. Nothing is noted.
    #[arg(
        long,
        value_name = "NAME",
        num_args = 0..=1,
        default_missing_value = "",
        conflicts_with_all = ["reports", "string", "of", "call_off", "confirm", "no_danger", "danger_open"]
    )]
    unknown_sender: Option<String>,
    /// Somebody who wrote nothing but thanks: a short letter back. Nothing is noted.
    #[arg(
        long,
        value_name = "NAME",
        num_args = 0..=1,
        default_missing_value = "",
        conflicts_with_all = ["reports", "string", "of", "call_off", "confirm", "no_danger", "danger_open", "unknown_sender"]
    )]
    thanks: Option<String>,
    /// Another letter than the one the report needs where it stands, such as receipt.
    #[arg(long, value_name = "LETTER", value_parser = args::letter_kind())]
    of: Option<LetterKind>,
    /// Show it, and note nothing, the words on danger neither: without it the letter is noted as sent, and kept.
    #[arg(long)]
    preview: bool,
    /// Write it as a draft too, to be opened in your mail program and sent there.
    #[arg(long, value_name = "FILE.eml", conflicts_with_all = ["string", "unknown_sender", "thanks"])]
    draft: Option<PathBuf>,
    /// Replace a draft that is there.
    #[arg(long, requires = "draft")]
    replace: bool,
    #[command(flatten)]
    word: WordArgs,
}

/// Writes a letter as a draft to whoever a report is of. It is written before the letter is noted: one
/// that was not noted does no harm, while one that was noted and is nowhere would never be sent.
fn write_draft(book: &mut Book, draft: &Output, report: &str, text: &str) -> Result<(), Problem> {
    let whose = app::reports::whose(book, report)?;
    let rules = app::rules(book)?;
    draft.write(&letters::draft_about(&whose, &rules, text))
}

/// A letter as data.
#[derive(serde::Serialize)]
struct LetterView<'a> {
    report: Option<&'a str>,
    string: Option<&'a str>,
    letter: &'a str,
    verdict: Option<&'a str>,
    /// It is noted as sent, and kept.
    noted: bool,
    text: &'a str,
}

impl LetterView<'_> {
    fn answer(&self, session: &mut Session) -> Result<(), Problem> {
        if session.json() {
            return session.answer("letter/1", self, |_, _| {});
        }
        session.plain(self.text)
    }
}

impl Letter {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        if let Some(name) = &self.unknown_sender {
            let template = (letters::WHICH_STRING, letters::WHICH_STRING_TEMPLATE);
            return Self::to_somebody(session, name, template, letters::which_string);
        }
        if let Some(name) = &self.thanks {
            let template = (letters::THANKS, letters::THANKS_TEMPLATE);
            return Self::to_somebody(session, name, template, letters::thanks);
        }
        match (self.reports.as_slice(), &self.string) {
            (_, Some(_)) if !self.word.is_empty() => Err(Problem::new(
                Kind::CommandLine,
                "the letter about a weak string needs no word on danger, and nothing was noted",
                "say what you know of signs of danger with the report they stand in: fistmele advise R-1",
            )),
            (_, Some(serial)) => Self::about_a_weak_string(session, serial, self.preview),
            ([report], None) => self.about_a_report(session, report),
            ([], None) => Err(missing("the report", "REPORT, such as R-1")),
            (reports, None) => self.about_several(session, reports),
        }
    }

    /// There is no string to note it with, and no report.
    fn to_somebody(
        session: &mut Session,
        name: &str,
        (letter, template): (&str, &str),
        write: impl FnOnce(Option<&str>, &Rules, Option<&str>) -> Result<String, LetterError>,
    ) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let own = files::own_letter(&book, template)?;
        let text = write(Some(name), &rules, own.as_deref())?;
        LetterView { report: None, string: None, letter, verdict: None, noted: false, text: &text }
            .answer(session)
    }

    fn about_a_weak_string(session: &mut Session, serial: &str, preview: bool) -> Result<(), Problem> {
        let mut book = session.book()?;
        let warning = app::strength::warning(&mut book, serial)?;
        let own = files::own_letter(&book, letters::STRENGTH_TEMPLATE)?;
        let text = letters::too_weak(&warning, own.as_deref())?;
        if !preview {
            let letter = Outgoing { kind: letters::STRENGTH, text: &text };
            app::strength::warned(&mut book, serial, letter, &session.author()?)?;
        }
        let view = LetterView {
            report: None,
            string: Some(&warning.string),
            letter: letters::STRENGTH,
            verdict: Some(Verdict::Stop.as_str()),
            noted: !preview,
            text: &text,
        };
        view.answer(session)
    }

    /// The letter that takes back what went out on a report that is struck.
    fn that_takes_back(
        &self,
        session: &mut Session,
        book: &mut Book,
        draft: Option<&Output>,
        about: &TakeBack,
    ) -> Result<(), Problem> {
        if self.of.is_some() || !self.word.is_empty() {
            return Err(Problem::new(
                Kind::CommandLine,
                format!(
                    "{} is struck: only the letter that takes back what went out on it is left",
                    about.report
                ),
                format!("write that, without --of and words on danger: fistmele letter {}", about.report),
            ));
        }
        let own = files::own_letter(book, letters::TAKE_BACK_TEMPLATE)?;
        let text = letters::take_back(about, own.as_deref())?;
        if let Some(draft) = draft {
            write_draft(book, draft, &about.report, &text)?;
        }
        if !self.preview {
            let letter = Outgoing { kind: letters::TAKE_BACK, text: &text };
            app::take_back::taken_back(book, &about.report, letter, &session.author()?)?;
        }
        LetterView {
            report: Some(&about.report),
            string: Some(&about.string),
            letter: letters::TAKE_BACK,
            verdict: None,
            noted: !self.preview,
            text: &text,
        }
        .answer(session)
    }

    /// One letter about several reports of one archer: each as it stands, what is alike said once.
    fn about_several(&self, session: &mut Session, reports: &[String]) -> Result<(), Problem> {
        let draft = self.draft(session)?;
        if self.of.is_some() || !self.word.is_empty() {
            return Err(Problem::new(
                Kind::CommandLine,
                "--of and words on danger are for one report",
                "say them report by report, with advise or letter; then write the letter about all",
            ));
        }
        let mut book = session.book()?;
        let author = session.author()?;
        outgoing::refuse_two_archers(&mut book, reports)?;
        let mut parts = Vec::new();
        for report in reports {
            let way = app::cases::way(&mut book, report, author.day)?;
            let answer = if self.preview {
                advise::preview(&mut book, report, author.day)?
            } else {
                advise::advise(&mut book, report, &author)?
            };
            let kind = LetterKind::for_answer(&answer, &way);
            let own = files::own_letter(&book, &kind.template_name())?;
            parts.push(letters::Part { kind, answer, way, own });
        }
        let style = session.style(&app::rules(&mut book)?);
        let text = letters::together(&parts, &style)?;
        if let (Some(draft), [first, ..]) = (&draft, reports) {
            write_draft(&mut book, draft, first, &text)?;
        }
        if !self.preview {
            outgoing::about_reports(&mut book, &letters::out_about_each(&parts, &text), &author)?;
        }
        for part in &parts {
            if let Some(reminder) = letters::label_to_attach(part.kind, &text) {
                session.warn(format!("{}: {reminder}", part.answer.view.report));
            }
        }
        let ids = parts.iter().map(|part| part.answer.view.report.as_str()).collect::<Vec<_>>().join(" ");
        let serials = parts.iter().map(|part| part.answer.view.string.as_str()).collect::<Vec<_>>().join(" ");
        LetterView {
            report: Some(&ids),
            string: Some(&serials),
            letter: letters::TOGETHER,
            verdict: None,
            noted: !self.preview,
            text: &text,
        }
        .answer(session)
    }

    /// The file that the draft is written to, where one is wanted.
    fn draft(&self, session: &Session) -> Result<Option<Output>, Problem> {
        let file = |path: &PathBuf| Outputs::of(session).file(path, self.replace);
        self.draft.as_ref().map(file).transpose()
    }

    fn about_a_report(&self, session: &mut Session, report: &str) -> Result<(), Problem> {
        let draft = self.draft(session)?;
        let mut book = session.book()?;
        if let Some(about) = app::take_back::take_back(&mut book, report)? {
            return self.that_takes_back(session, &mut book, draft.as_ref(), &about);
        }
        let author = session.author()?;
        let (seen, way) = if self.preview && !self.word.is_empty() {
            danger::preview_after(&mut book, report, &self.word.word()?, &author)?
        } else {
            self.word.say(&mut book, report, &author)?;
            let way = app::cases::way(&mut book, report, author.day)?;
            (advise::preview(&mut book, report, author.day)?, way)
        };
        if let Some(kind) = self.of {
            kind.if_released(&seen, &way)?;
        }
        let answer = if self.preview { seen } else { advise::advise(&mut book, report, &author)? };
        let kind = self.of.unwrap_or_else(|| LetterKind::for_answer(&answer, &way));
        let style = session.style(&answer.rules);
        let own = files::own_letter(&book, &kind.template_name())?;
        let text = letters::letter(kind, &answer, &way, &style, own.as_deref())?;
        if let Some(draft) = &draft {
            write_draft(&mut book, draft, report, &text)?;
        }
        if !self.preview {
            let letter = Outgoing { kind: kind.as_str(), text: &text };
            outgoing::about_report(&mut book, report, letter, kind.step(), &author)?;
        }
        // Whoever only wanted to see it has noted it as sent.
        if !self.preview && kind.step().is_some() && Session::can_ask() {
            session.warn(format!(
                "{report} counts as answered with this letter; if it does not go out, strike it (fistmele report show {report} names it)"
            ));
        }
        if let Some(reminder) = letters::label_to_attach(kind, &text) {
            session.warn(reminder);
        }
        let view = LetterView {
            report: Some(&answer.view.report),
            string: Some(&answer.view.string),
            letter: kind.as_str(),
            verdict: Some(answer.view.verdict.as_str()),
            noted: !self.preview,
            text: &text,
        };
        view.answer(session)
    }
}

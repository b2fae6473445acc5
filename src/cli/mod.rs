//! The command line: arguments, files, environment, clock, choice of output. No sums, no SQL.

mod args;
mod bench;
mod bow;
mod card;
mod cases;
mod copies;
mod counter;
mod decide;
mod demo;
mod files;
mod generate;
mod import;
mod letterbox;
mod mail;
mod month;
mod outputs;
mod place;
mod prompt;
mod quiet;
mod report;
mod session;
mod setting;
mod sheet;
mod signals;
mod size;
mod sold;
mod spool;
mod strike;
mod sums;
mod trust;

use std::ffi::OsString;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::error::{Kind, Problem};
use crate::quantity::Unit;
use session::Session;

/// Keeps a bowstring workshop's after-sale book.
///
/// Finds what was sold and how it was sized, works out whether turns on the bow will bring the
/// brace height right or the string is made again free and to what length, and writes the reply.
#[derive(Debug, Parser)]
#[command(
    name = "fistmele",
    version,
    max_term_width = 100,
    disable_help_subcommand = true,
    after_help = "Start with: fistmele demo
All measurements may be written like 7 3/4, 7-3/4, 7.75, 7 3/4\" or 19.7 cm."
)]
pub struct Cli {
    /// The book, one SQLite file [default: FISTMELE_BOOK, else book.db in the data folder].
    #[arg(long, global = true, value_name = "FILE")]
    book: Option<std::path::PathBuf>,
    /// Unit of bare numbers and of what is shown: inch, cm or mm [default: the book's].
    #[arg(long, global = true, value_name = "UNIT", value_parser = args::unit)]
    units: Option<Unit>,
    /// Answer as one JSON object.
    #[arg(long, global = true)]
    json: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Makes a new empty book.
    #[command(after_help = "Example: fistmele init --book workshop.db")]
    Init,
    /// Makes a book with invented data and walks through the main job.
    Demo(demo::Demo),
    /// Strings that were sold: add, import, show, find.
    #[command(subcommand)]
    Sold(sold::Sold),
    /// Corrects what is known of a bow.
    #[command(subcommand)]
    Bow(bow::Bow),
    /// What archers report: add, list, show.
    #[command(subcommand)]
    Report(report::ReportCommand),
    /// Mails that came in and wait, where your mail program keeps them.
    ///
    /// A Maildir, an mbox file, or a folder of .eml files is read and never changed. A mail waits until it
    /// is logged, by `report mail` or on the counter's page, or put aside.
    #[command(after_help = "Examples:
  fistmele mails mails/inbox
  fistmele report mail --came-in 3f9a12bc07
  fistmele mails --aside 3f9a12bc07")]
    Mails(mail::MailsArgs),
    /// Further measurements of a report.
    #[command(subcommand)]
    Reading(report::ReadingCommand),
    /// Works out the verdict on a report, with numbers, reasons and cautions.
    #[command(after_help = "Example: fistmele advise R-1 --json")]
    Advise(report::Advise),
    /// The maker decides a report otherwise than it is worked out: who pays, made again or not, turns, length.
    ///
    /// A newer decision takes the place of an earlier one; what it does not say stays as decided. Turns stay within the window, turns and length within
    /// the bow maker's range; a stop or a case for a bowyer is lifted by no decision.
    #[command(after_help = "Examples:
  fistmele decide R-1 --free --why \"an old customer\"
  fistmele decide R-1 --turns +6 --why \"the bow is known\"
  fistmele decide R-1 --as-worked-out --why \"it was another bow\"")]
    Decide(decide::Decide),
    /// Writes the reply to the archer.
    ///
    /// Which letter it is follows from where the report stands: the verdict, that the replacement is on
    /// the bench or posted, a reminder after the days the workshop waits, or that it is settled.
    /// The texts can be replaced: a file named after the letter (adjust.txt, remake.txt, ...) in the
    /// folder `letters` beside the book is used instead. See docs/commands.md for the names it may use.
    #[command(
        after_help = "Examples:\n  fistmele letter R-1 > reply.txt\n  fistmele letter R-1 R-2 R-3\n  fistmele letter --unknown-sender \"Una Merle\""
    )]
    Letter(report::Letter),
    /// The replacement for a report: put it on the bench, note that it was posted, note that the old one came back.
    Remake(cases::RemakeCommand),
    /// Ends a report: how it ended, what it was, which length would have been right.
    #[command(after_help = "Outcome, cause and right length are proposed from what was done and measured.
Example: fistmele settle R-1 --cause sizing")]
    Settle(cases::Settle),
    /// Takes a settled report up again.
    #[command(after_help = "Example: fistmele resume R-1")]
    Resume(cases::Resume),
    /// Strikes what was noted by mistake: a report, a reading, a letter that never went out, a string.
    Strike(strike::Strike),
    /// Brings back what was struck.
    Unstrike(strike::Unstrike),
    /// What waits on the workshop, and which archers have not answered.
    #[command(after_help = "Example: fistmele due")]
    Due,
    /// Lots of yarn: add, list, trace.
    #[command(subcommand)]
    Spool(spool::SpoolCommand),
    /// The card that goes into the parcel.
    #[command(after_help = "Example: fistmele card S-7 --html card.html")]
    Card(card::Card),
    /// The sheet to look at: where to measure, which way to turn, a brace strip at true size to cut out.
    ///
    /// Of a report it goes with the letter, of a string into its parcel beside the card. The strip shows what
    /// is wanted, what was read, and what is expected after turning.
    #[command(after_help = "Example: fistmele sheet R-1 --html sheet.html")]
    Sheet(sheet::Sheet),
    /// Turns for a wanted brace height, without any book.
    Twist(sums::Twist),
    /// String length for a wanted brace height, without any book.
    Length(sums::LengthSum),
    /// The workshop's own turn figures, from one string measured at two turn counts.
    #[command(subcommand)]
    BenchTest(bench::BenchTestCommand),
    /// What the workshop's own second readings say about the tables.
    #[command(after_help = "Example: fistmele effects")]
    Effects,
    /// The month sheet: which sizing routes cause returns, and what to change.
    Month(month::MonthCommand),
    /// Asks a few archers a month who never wrote: list, letter, answer.
    #[command(subcommand)]
    Quiet(quiet::QuietCommand),
    /// Before the sale: the length to build, the chance of a complaint, and what to ask.
    Size(size::Size),
    /// The workshop's own rules: list, get, set.
    #[command(subcommand)]
    Setting(setting::SettingCommand),
    /// Writes a safe copy of the book, also while others work with it.
    Backup(trust::Backup),
    /// Looks through the book, says what is wrong and what to do.
    ///
    /// Ends with a few lines to paste when asking for help: versions and counts, nothing personal.
    #[command(after_help = "Example: fistmele verify")]
    Verify,
    /// Writes every table of the book as CSV and JSON into a new folder.
    Export(trust::Export),
    /// Makes a new book from a folder that export wrote, or from a copy that backup made.
    Restore(trust::Restore),
    /// Who changed what, when: ids and names of fields, newest first.
    History(trust::History),
    /// Erases a person: name, address, order references and mail texts. Measurements stay.
    Forget(trust::Forget),
    /// The same work on a local web page.
    ///
    /// The page is served at this computer's own address alone, until the program is stopped. See
    /// docs/counter.md for how a second seat reaches it.
    Counter(counter::Counter),
    /// Completions for a shell, on standard output.
    #[command(after_help = "Example: fistmele completions bash > fistmele.bash")]
    Completions(generate::Completions),
    /// Manual pages into a folder.
    #[command(after_help = "Example: fistmele man man1")]
    Man(generate::Man),
}

/// The parser, for the command reference and completions.
#[must_use]
pub fn command() -> clap::Command {
    with_negative_numbers(Cli::command())
}

/// Lets every option take a negative number: that it cannot be one is for the option to say.
fn with_negative_numbers(command: clap::Command) -> clap::Command {
    command
        .mut_args(|arg| {
            let takes = arg.get_action().takes_values() && !arg.is_allow_hyphen_values_set();
            if takes { arg.allow_negative_numbers(true) } else { arg }
        })
        .mut_subcommands(with_negative_numbers)
}

fn parse(arguments: &[OsString]) -> Result<Cli, clap::Error> {
    let mut command = command();
    let mut matches = command.try_get_matches_from_mut(arguments)?;
    Cli::from_arg_matches_mut(&mut matches).map_err(|error| error.format(&mut command))
}

/// Runs the program with its arguments and returns the exit status.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> u8 {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let json = arguments.iter().any(|argument| argument == "--json");
    let cli = match parse(&arguments) {
        Ok(cli) => cli,
        Err(error) => return parse_failed(&error, json),
    };
    if !matches!(cli.command, Command::Counter(_)) {
        signals::clean_up_when_stopped();
    }
    let mut session = Session::new(cli.book, cli.units, cli.json);
    let done = match cli.command {
        Command::Init => session.init(),
        Command::Demo(demo) => demo.run(&mut session),
        Command::Sold(sold) => sold.run(&mut session),
        Command::Bow(bow) => bow.run(&mut session),
        Command::Report(report) => report.run(&mut session),
        Command::Mails(mails) => mails.run(&mut session),
        Command::Reading(reading) => reading.run(&mut session),
        Command::Advise(advise) => advise.run(&mut session),
        Command::Decide(decide) => decide.run(&mut session),
        Command::Letter(letter) => letter.run(&mut session),
        Command::Remake(remake) => remake.run(&mut session),
        Command::Settle(settle) => settle.run(&mut session),
        Command::Resume(resume) => resume.run(&mut session),
        Command::Strike(strike) => strike.run(&mut session),
        Command::Unstrike(unstrike) => unstrike.run(&mut session),
        Command::Due => cases::due(&mut session),
        Command::Spool(spool) => spool.run(&mut session),
        Command::Card(card) => card.run(&mut session),
        Command::Sheet(sheet) => sheet.run(&mut session),
        Command::Twist(twist) => twist.run(&mut session),
        Command::Length(length) => length.run(&mut session),
        Command::BenchTest(bench) => bench.run(&mut session),
        Command::Effects => bench::effects(&mut session),
        Command::Month(month) => month.run(&mut session),
        Command::Quiet(quiet) => quiet.run(&mut session),
        Command::Size(size) => size.run(&mut session),
        Command::Setting(setting) => setting.run(&mut session),
        Command::Backup(backup) => backup.run(&mut session),
        Command::Verify => trust::verify(&mut session),
        Command::Export(export) => export.run(&mut session),
        Command::Restore(restore) => restore.run(&mut session),
        Command::History(history) => history.run(&mut session),
        Command::Forget(forget) => forget.run(&mut session),
        Command::Counter(counter) => counter.run(&mut session),
        Command::Completions(completions) => completions.run(&mut session),
        Command::Man(man) => man.run(&mut session),
    };
    match done {
        Ok(()) => 0,
        Err(problem) => session::report_problem(&session.explained(problem), json),
    }
}

/// Help and version go to standard output; a wrong value is status 1, anything else 2.
fn parse_failed(error: &clap::Error, json: bool) -> u8 {
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            // A closed pipe is success, and there is nobody left to tell of any other failure.
            let _ = error.print();
            0
        }
        kind => {
            // An option without its value comes as an empty one: that is the line, not the value.
            let missing = matches!(
                error.get(ContextKind::InvalidValue),
                Some(ContextValue::String(text)) if text.is_empty()
            );
            let value = !missing
                && matches!(
                    kind,
                    ErrorKind::InvalidValue | ErrorKind::ValueValidation | ErrorKind::InvalidUtf8
                );
            let kind = if value { Kind::BadValue } else { Kind::CommandLine };
            if json {
                let text = error.render().to_string();
                let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
                let message = lines.next().unwrap_or_default().trim_start_matches("error: ").to_owned();
                let hints = lines.map(str::to_owned).collect();
                session::report_problem(&Problem { kind, message, hints }, true)
            } else {
                // What was typed stands in it as it was typed.
                session::tell(crate::words::harmless(&error.render().to_string()).trim_end());
                kind.status()
            }
        }
    }
}

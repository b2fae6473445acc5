//! `twist` and `length`: the bench sums without any book.

use clap::Args;

use super::args::{self, FadeArgs};
use super::session::Session;
use crate::app::sums;
use crate::entry::{bow_and_string, twist_request};
use crate::error::Problem;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::show::sums as show;
use crate::trade::rules::Rules;

#[derive(Debug, Args)]
struct BowAndStringArgs {
    /// Kind of bow; a longbow that bends in the grip answers more like a selfbow: take that.
    #[arg(long, visible_alias = "bow-kind", value_name = "KIND", value_parser = args::kind())]
    kind: BowKind,
    /// Marked (AMO) length of the bow; stands in for --length by the trade standard, 3 in less.
    #[arg(long, value_name = "M")]
    marked: Option<String>,
    /// Loaded length of the string, loop end to loop end.
    #[arg(long, value_name = "M", required_unless_present = "marked")]
    length: Option<String>,
    /// Brace height now: string to the deepest point of the grip.
    #[arg(long, value_name = "M")]
    brace: String,
    /// How many readings each brace height is the mean of.
    #[arg(long, value_name = "N", default_value = "1")]
    readings: String,
    /// Brace height wanted: a range, or one value that stands for itself ± 1/8 in.
    #[arg(long, value_name = "M..M")]
    want: String,
    #[command(flatten)]
    fades: FadeArgs,
}

impl BowAndStringArgs {
    fn entries(&self) -> impl Iterator<Item = (&'static str, Option<&str>)> {
        [
            ("kind", Some(self.kind.as_str())),
            ("marked", self.marked.as_deref()),
            ("length", self.length.as_deref()),
            ("brace", Some(self.brace.as_str())),
            ("readings", Some(self.readings.as_str())),
            ("want", Some(self.want.as_str())),
        ]
        .into_iter()
        .chain(self.fades.entries())
    }
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:
  fistmele twist --kind recurve --length 59 --brace 7-1/4 --want 7-1/2..8 --yarn hmpe --strands 16 --turns 24
  fistmele twist --kind longbow --length 63 --brace 6-1/8 --want 6-3/8..6-7/8 --yarn polyester --strands 14 --did +7 --got 6-3/8
  fistmele twist --kind recurve --length 59 --brace 7-1/4 --want 7-3/4 --yarn hmpe --strands 16 --turns 24 --table")]
pub(super) struct Twist {
    #[command(flatten)]
    on: BowAndStringArgs,
    /// Yarn.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    yarn: Yarn,
    /// Strands in the whole string.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    strands: String,
    /// Plies.
    #[arg(long, value_name = "N", default_value = "2")]
    plies: String,
    /// Full turns in the string when --brace was read.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    turns: Option<String>,
    /// How they are known [default: shipped where --turns is given].
    #[arg(long, value_name = "HOW", value_parser = args::turns_known())]
    turns_known: Option<TurnsKnown>,
    /// The workshop's bench figure: inches of shortening per turn squared for this construction and length.
    #[arg(long, value_name = "C")]
    turn_constant: Option<String>,
    /// Turns then put in (+) or taken out (-).
    #[arg(long, value_name = "N", allow_hyphen_values = true, requires = "got")]
    did: Option<String>,
    /// Brace height read after them.
    #[arg(long, value_name = "M", requires = "did")]
    got: Option<String>,
    /// Show turn by turn what each does.
    #[arg(long)]
    table: bool,
}

impl Twist {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let rules = Rules::default();
        let unit = session.unit(&rules);
        let given = self.on.entries().chain([
            ("yarn", Some(self.yarn.as_str())),
            ("strands", Some(self.strands.as_str())),
            ("plies", Some(self.plies.as_str())),
            ("turns", self.turns.as_deref()),
            ("turns-known", self.turns_known.map(TurnsKnown::as_str)),
            ("turn-constant", self.turn_constant.as_deref()),
            ("did", self.did.as_deref()),
            ("got", self.got.as_deref()),
            ("table", self.table.then_some("yes")),
        ]);
        let request = twist_request(&args::entries(given), unit)?;
        let view = sums::twist(&request, &rules)?;
        for warning in show::warnings(&view.notes, unit) {
            session.warn(warning);
        }
        let json = show::with_cautions(&view, &view.cautions);
        session.answer("twist/1", &json, |page, _| show::twist_text(page, &view, unit))
    }
}

#[derive(Debug, Args)]
#[command(after_help = "Example: fistmele length --kind longbow --length 63 --brace 6-1/4 --want 6-1/2..7")]
pub(super) struct LengthSum {
    #[command(flatten)]
    on: BowAndStringArgs,
}

impl LengthSum {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let rules = Rules::default();
        let unit = session.unit(&rules);
        let view = sums::length(&bow_and_string(&args::entries(self.on.entries()), unit)?, &rules)?;
        for warning in show::warnings(&view.notes, unit) {
            session.warn(warning);
        }
        let json = show::with_cautions(&view, &view.cautions);
        session.answer("length/1", &json, |page, _| show::length_text(page, &view, unit, rules.rounding))
    }
}

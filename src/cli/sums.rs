//! `twist` and `length`: the bench sums without any book.

use clap::Args;

use super::args::{self, FadeArgs};
use super::session::Session;
use crate::app::sums::{self, BowAndString, TwistRequest};
use crate::error::{Kind, Problem};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::quantity::{Measure, Unit, parse_length, parse_range};
use crate::show::sums as show;
use crate::trade::rules::Rules;

#[derive(Debug, Args)]
struct BowAndStringArgs {
    /// Kind of bow.
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
    fn typed(&self, unit: Unit) -> Result<BowAndString, Problem> {
        Ok(BowAndString {
            kind: self.kind,
            marked_length: args::length(self.marked.as_deref(), unit, Measure::BowLength)?,
            length: args::length(self.length.as_deref(), unit, Measure::StringLength)?,
            brace: parse_length(&self.brace, unit, Measure::Brace)?,
            readings: args::count(Some(&self.readings), "--readings", 1, 1000)?.unwrap_or(1),
            want: parse_range(&self.want, unit, Measure::WantedBrace)?,
            fades: self.fades.typed(unit)?,
        })
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
        let turn_constant = self
            .turn_constant
            .as_deref()
            .map(|text| {
                text.trim()
                    .replace(',', ".")
                    .parse::<f64>()
                    .ok()
                    // Six strands of thin yarn to forty of thick yarn lie well inside.
                    .filter(|figure| (0.000_05..=0.01).contains(figure))
                    .ok_or_else(|| {
                        Problem::new(
                            Kind::BadValue,
                            format!("\"{}\" will not do for --turn-constant", crate::words::shorten(text)),
                            "it is (L1 - L2)/(n2² - n1²) in inches, between 0.00005 and 0.01, such as 0.00062",
                        )
                    })
            })
            .transpose()?;
        let second = match (args::turns(self.did.as_deref())?, self.got.as_deref()) {
            (Some(did), Some(got)) => Some((did, parse_length(got, unit, Measure::Brace)?)),
            _ => None,
        };
        let request = TwistRequest {
            on: self.on.typed(unit)?,
            yarn: self.yarn,
            strands: args::count(Some(&self.strands), "--strands", 2, 100)?.unwrap_or_default(),
            plies: args::count(Some(&self.plies), "--plies", 2, 3)?.unwrap_or_default(),
            turns: args::turn_count(self.turns.as_deref())?,
            turns_known: self.turns_known,
            turn_constant,
            second,
            table: self.table,
        };
        let view = sums::twist(&request, &rules)?;
        for warning in show::warnings(&view.notes, unit) {
            session.warn(warning);
        }
        let json = show::twist_json(&view);
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
        let view = sums::length(&self.on.typed(unit)?, &rules)?;
        for warning in show::warnings(&view.notes, unit) {
            session.warn(warning);
        }
        let json = show::length_json(&view);
        session.answer("length/1", &json, |page, _| show::length_text(page, &view, unit, rules.rounding))
    }
}

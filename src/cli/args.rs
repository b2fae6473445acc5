//! Options that several commands share, and how their texts become values.

use std::str::FromStr;

use chrono::NaiveDate;
use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};

use super::session::Session;
pub(super) use crate::entry::yes_no;
use crate::entry::{Entries, bow_changes, measurements};
use crate::error::{Kind, Problem};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, Measure, Turns, Unit, parse_date, parse_length};
use crate::trade::plausible::{self, LONGEST_LINE, Whole};
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::words::{LengthAt, Marker, Photo, ReadBy, Route, Stave, Symptom, Tips};
use crate::words::UnknownWord;

/// Reads a unit.
pub(super) fn unit(text: &str) -> Result<Unit, String> {
    text.to_lowercase().parse().map_err(|_| "one of inch, cm, mm is needed".to_owned())
}

/// A parser for one of our words: listed in help and completions, matched without case.
pub(super) fn word<T>(all: &'static [T], spell: fn(T) -> &'static str) -> impl TypedValueParser<Value = T>
where
    T: Copy + Send + Sync + 'static + FromStr<Err = UnknownWord>,
{
    PossibleValuesParser::new(all.iter().map(|word| spell(*word))).try_map(|text| text.parse::<T>())
}

macro_rules! word_parser {
    ($name:ident, $type:ty) => {
        pub(super) fn $name() -> impl TypedValueParser<Value = $type> {
            word(<$type>::ALL, <$type>::as_str)
        }
    };
}

word_parser!(kind, BowKind);
word_parser!(yarn, Yarn);
word_parser!(tips, Tips);
word_parser!(stave, Stave);
word_parser!(symptom, Symptom);
word_parser!(length_at, LengthAt);
word_parser!(marker, Marker);
word_parser!(photo, Photo);
word_parser!(read_by, ReadBy);
word_parser!(lay, crate::trade::words::Lay);
word_parser!(route, Route);

/// A route by which a length comes about.
pub(super) fn sizing_route() -> impl TypedValueParser<Value = Route> {
    word(Route::SIZED, Route::as_str)
}

word_parser!(across, crate::trade::words::Across);
word_parser!(old_make, crate::trade::words::OldMake);
word_parser!(standing, crate::trade::words::Standing);
word_parser!(letter_kind, crate::letters::LetterKind);
word_parser!(cause, crate::trade::words::Cause);
word_parser!(terms_of, crate::trade::terms::TermsOf);
word_parser!(outcome, crate::trade::words::Outcome);
word_parser!(turns_known, crate::mechanics::twist::TurnsKnown);

/// A length of an option.
pub(super) fn length(text: Option<&str>, unit: Unit, what: Measure) -> Result<Option<Length>, Problem> {
    Ok(text.map(|text| parse_length(text, unit, what)).transpose()?)
}

/// An offset of one string.
pub(super) fn offset(text: Option<&str>, unit: Unit) -> Result<Option<Length>, Problem> {
    Ok(entries([("offset", text)]).offset("offset", unit)?)
}

/// A day of an option.
pub(super) fn day(text: Option<&str>) -> Result<Option<NaiveDate>, Problem> {
    Ok(text.map(parse_date).transpose()?)
}

/// Turns with a sign.
pub(super) fn turns(text: Option<&str>, name: &'static str) -> Result<Option<Turns>, Problem> {
    Ok(entries([(name, text)]).turns(name)?)
}

/// A count of turns.
pub(super) fn turn_count(text: Option<&str>, name: &'static str) -> Result<Option<Turns>, Problem> {
    Ok(entries([(name, text)]).turn_count(name)?)
}

/// A whole number within bounds.
pub(super) fn count(text: Option<&str>, name: &'static str, bounds: Whole) -> Result<Option<u32>, Problem> {
    Ok(entries([(name, text)]).count(name, bounds)?)
}

/// The four measures on the strung bow; all or none.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct FadeArgs {
    /// Free string between its first contacts with the limbs.
    #[arg(long, value_name = "M")]
    free_string: Option<String>,
    /// Distance between the ends of the stiff middle; 0 for a bow that bends through the grip.
    #[arg(long, value_name = "M")]
    fade_span: Option<String>,
    /// String to limb axis at these ends, mean of both limbs.
    #[arg(long, value_name = "M")]
    fade_gap: Option<String>,
    /// From there to the nock along the limb.
    #[arg(long, value_name = "M")]
    fade_to_nock: Option<String>,
}

impl FadeArgs {
    pub(super) fn entries(&self) -> [(&'static str, Option<&str>); 4] {
        [
            ("free-string", self.free_string.as_deref()),
            ("fade-span", self.fade_span.as_deref()),
            ("fade-gap", self.fade_gap.as_deref()),
            ("fade-to-nock", self.fade_to_nock.as_deref()),
        ]
    }
}

/// What was given of some options, for whoever makes values of it.
pub(super) fn entries<'a>(given: impl IntoIterator<Item = (&'static str, Option<&'a str>)>) -> Entries<'a> {
    Entries::new(given.into_iter().filter_map(|(name, text)| Some((name, text?))))
}

/// What an archer measured.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "What was measured")]
pub(super) struct MeasureArgs {
    /// Brace height: string to the deepest point of the grip.
    #[arg(long, value_name = "M")]
    pub(super) brace: Option<String>,
    /// How many readings the brace height is the mean of.
    #[arg(long, value_name = "N")]
    readings: Option<String>,
    /// With what the brace height was read [default: ruler]; the paper strip of the sheet is less exact.
    #[arg(long, value_name = "WHAT", value_parser = read_by())]
    by: Option<ReadBy>,
    /// Brace height wanted, one value or a range such as 7-1/2..8.
    #[arg(long, value_name = "M..M")]
    pub(super) want: Option<String>,
    /// String length off the bow.
    #[arg(long, value_name = "M")]
    length: Option<String>,
    /// How that length was measured [default: hand-tight].
    #[arg(long, value_name = "HOW", value_parser = length_at(), requires = "length")]
    at: Option<LengthAt>,
    /// Turns put in (+) or taken out (-) since the last measurement; a report's first: since it left the workshop.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    turns_changed: Option<String>,
    /// How often one colour comes to the front on the body ...
    #[arg(long, value_name = "N", requires = "over")]
    turns_counted: Option<String>,
    /// ... over this length.
    #[arg(long, value_name = "M", requires = "turns_counted")]
    over: Option<String>,
    #[command(flatten)]
    fades: FadeArgs,
    /// Shots since the string was new.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    shots: Option<String>,
    /// Which way the marker on the larger loop points.
    #[arg(long, value_name = "WAY", value_parser = marker())]
    marker: Option<Marker>,
    /// Middle of the serving above (+) or below (-) the middle of the string.
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    serving: Option<String>,
    /// What a photo shows.
    #[arg(long, value_name = "WHAT", value_parser = photo())]
    photo: Option<Photo>,
}

impl MeasureArgs {
    pub(super) fn typed(&self, unit: Unit) -> Result<Measurements, Problem> {
        let given = [
            ("brace", self.brace.as_deref()),
            ("readings", self.readings.as_deref()),
            ("by", self.by.map(ReadBy::as_str)),
            ("want", self.want.as_deref()),
            ("length", self.length.as_deref()),
            ("at", self.at.map(LengthAt::as_str)),
            ("turns-changed", self.turns_changed.as_deref()),
            ("turns-counted", self.turns_counted.as_deref()),
            ("over", self.over.as_deref()),
            ("shots", self.shots.as_deref()),
            ("marker", self.marker.map(Marker::as_str)),
            ("serving", self.serving.as_deref()),
            ("photo", self.photo.map(Photo::as_str)),
        ];
        Ok(measurements(&entries(given.into_iter().chain(self.fades.entries())), unit)?)
    }
}

/// What is known of a bow.
#[derive(Debug, Clone, Default, Args)]
#[command(next_help_heading = "The bow")]
pub(super) struct BowArgs {
    /// Kind of bow; a longbow that bends in the grip answers more like a selfbow: take that.
    #[arg(long, visible_alias = "kind", value_name = "KIND", value_parser = kind())]
    pub(super) bow_kind: Option<BowKind>,
    /// Marked (AMO) length of the bow.
    #[arg(long, value_name = "M")]
    marked: Option<String>,
    /// Nock to nock on the belly, unbraced.
    #[arg(long, value_name = "M")]
    nock_to_nock: Option<String>,
    /// Draw weight, such as 45#@28.
    #[arg(long, value_name = "LB", allow_hyphen_values = true)]
    weight: Option<String>,
    /// Brace height range that the bow's maker gives; unknown where nobody knows the maker, or what they give.
    #[arg(long, value_name = "M..M")]
    pub(super) brace_range: Option<String>,
    /// Tips.
    #[arg(long, value_name = "TIPS", value_parser = tips())]
    tips: Option<Tips>,
    /// What the bow is made of.
    #[arg(long, value_name = "STAVE", value_parser = stave())]
    stave: Option<Stave>,
    /// Year the bow was made.
    #[arg(long, value_name = "YEAR")]
    bow_year: Option<String>,
    /// The bow's maker allows low-stretch yarn on it (yes or no).
    #[arg(long, value_name = "YES", num_args = 0..=1, default_missing_value = "yes", value_parser = yes_no)]
    maker_allows_low_stretch: Option<bool>,
}

impl BowArgs {
    pub(super) fn typed(&self, unit: Unit, session: &Session) -> Result<BowChanges, Problem> {
        use chrono::Datelike;
        let yes_no = |yes: bool| if yes { "yes" } else { "no" };
        let given = entries([
            ("bow-kind", self.bow_kind.map(BowKind::as_str)),
            ("marked", self.marked.as_deref()),
            ("nock-to-nock", self.nock_to_nock.as_deref()),
            ("weight", self.weight.as_deref()),
            ("brace-range", self.brace_range.as_deref()),
            ("tips", self.tips.map(Tips::as_str)),
            ("stave", self.stave.map(Stave::as_str)),
            ("bow-year", self.bow_year.as_deref()),
            ("maker-allows-low-stretch", self.maker_allows_low_stretch.map(yes_no)),
        ]);
        Ok(bow_changes(&given, unit, session.today()?.year())?)
    }
}

/// One line of text for a record.
pub(super) fn one_line(value: Option<String>, option: &str) -> Result<Option<String>, Problem> {
    one_line_of(value, option, LONGEST_LINE)
}

/// One line of text of at most so many characters.
pub(super) fn one_line_of(
    value: Option<String>,
    option: &str,
    longest: usize,
) -> Result<Option<String>, Problem> {
    value
        .map(|value| value.trim().to_owned())
        .filter(|value| !value.is_empty())
        .map(|value| {
            plausible::one_line(&value, longest).map_err(|error| {
                Problem::new(
                    Kind::BadValue,
                    format!("\"{}\" will not do for {option}", crate::words::shorten(&value)),
                    format!("give {}", error.needed),
                )
            })
        })
        .transpose()
}

/// An e-mail address.
pub(super) fn email(value: Option<String>) -> Result<Option<String>, Problem> {
    let Some(written) = one_line(value, "--email")? else { return Ok(None) };
    plausible::address(&written).map(Some).map_err(|_| {
        Problem::new(
            Kind::BadValue,
            format!("\"{}\" is no e-mail address", crate::words::shorten(&written)),
            "write it like name@example.org, or leave it out",
        )
    })
}

/// A field of a file of separated values, quoted where it must be.
pub(super) fn csv_field(field: &str, delimiter: char) -> String {
    if field.contains([delimiter, '"', '\n', '\r']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}

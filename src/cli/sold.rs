//! `sold add/import/show/find`.

use chrono::NaiveDate;
use clap::{Args, Subcommand};

use super::args::{self, BowArgs};
use super::import::SoldImportArgs;
use super::prompt;
use super::session::Session;
use crate::app;
use crate::app::bow::WhichBow;
use crate::app::sold::NewSold;
use crate::book::Wanted;
use crate::error::{Kind, Problem};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Measure, Unit, parse_date, parse_length, parse_money};
use crate::show::page::Meaning;
use crate::show::records;
use crate::trade::plausible::{LONGEST_SPOOL, MOST_INITIALS, PLIES, STRANDS, Whole};
use crate::trade::records::{Archer, BowProfile, SoldString};
use crate::trade::sizing::default_stated_at;
use crate::trade::words::{Across, Lay, LengthAt, OldMake, Route};
use crate::words::UnknownWord;

#[derive(Debug, Subcommand)]
pub(super) enum Sold {
    /// Enters one string that was sold. On a terminal it asks for what is missing.
    #[command(
        after_help = "Example: fistmele sold add --archer \"Odalind Quarrie\" --kind recurve --marked 62 --route marked --stated 62 --yarn hmpe --strands 16 --turns 24 --tips reinforced"
    )]
    Add(Box<Add>),
    /// Imports a shop's order export, all rows or none.
    ///
    /// The first line names the columns, in any order; docs/commands.md lists them. Every bad row is
    /// reported. The same file twice changes nothing.
    #[command(after_help = "Example: fistmele sold import orders.csv --columns map.json --dry-run")]
    Import(SoldImportArgs),
    /// Shows a string's card with its whole history.
    #[command(after_help = "Example: fistmele sold show S-7")]
    Show {
        /// Its serial.
        serial: String,
        /// The letters whole, as they went out.
        #[arg(long)]
        letters: bool,
    },
    /// Lists strings, newest first.
    #[command(after_help = "Example: fistmele sold list --kind recurve --since 2026-01-01 --limit 20")]
    List {
        /// Only those for such bows.
        #[arg(long, value_name = "KIND", value_parser = args::kind())]
        kind: Option<BowKind>,
        /// Only those of this yarn.
        #[arg(long, value_name = "YARN", value_parser = args::yarn())]
        yarn: Option<Yarn>,
        /// Only those sized so.
        #[arg(long, value_name = "ROUTE", value_parser = args::route())]
        route: Option<Route>,
        /// Only those sold on this day or later.
        #[arg(long, value_name = "DATE")]
        since: Option<String>,
        /// Only those sold on this day or before.
        #[arg(long, value_name = "DATE")]
        until: Option<String>,
        /// Only those that somebody reported on.
        #[arg(long)]
        reported: bool,
        /// At most so many.
        #[arg(long, value_name = "N", default_value = "50")]
        limit: String,
    },
    /// Says in which unit the archer of a string measures, or that a new address of theirs was a mistake.
    ///
    /// Letters, cards and sheets go in that unit. It is taken from the first mail that names one; what is said
    /// here stays. `sold show` lists former addresses; the one noted by mistake is not kept.
    #[command(after_help = "Examples:
  fistmele sold archer S-7 --measures-in cm
  fistmele sold archer S-7 --back-to quarrie@example.org")]
    Archer {
        /// Serial of any of their strings.
        serial: String,
        /// inch, cm or mm; book: whatever the book is kept in.
        #[arg(long, value_name = "UNIT", required_unless_present = "back_to")]
        measures_in: Option<String>,
        /// A former address of theirs: letters go there again.
        #[arg(long, value_name = "ADDRESS")]
        back_to: Option<String>,
    },
    /// Finds strings by serial, order, name or e-mail; forgives misspelling.
    #[command(after_help = "Example: fistmele sold find quarrie")]
    Find {
        /// What to look for.
        #[arg(required = true)]
        text: Vec<String>,
    },
}

#[derive(Debug, Args)]
pub(super) struct Add {
    /// Serial as printed on the label [default: the next free S-1, S-2, ...].
    #[arg(long, value_name = "SERIAL")]
    serial: Option<String>,
    /// The order's reference.
    #[arg(long, value_name = "TEXT")]
    order: Option<String>,
    /// The archer's name.
    #[arg(long, value_name = "NAME")]
    archer: Option<String>,
    /// The archer's e-mail address.
    #[arg(long, value_name = "ADDRESS")]
    email: Option<String>,
    /// Day of sale [default: today].
    #[arg(long, value_name = "DATE")]
    sold_on: Option<String>,
    /// Day of delivery.
    #[arg(long, value_name = "DATE")]
    delivered_on: Option<String>,
    /// How the length was arrived at; unknown where nobody knows, and then the length may be too.
    #[arg(long, value_name = "ROUTE", value_parser = args::route())]
    route: Option<Route>,
    /// What the archer stated: the measure the route starts from.
    #[arg(long, value_name = "M")]
    stated: Option<String>,
    /// How that was measured.
    #[arg(long, value_name = "HOW", value_parser = args::length_at())]
    stated_at: Option<LengthAt>,
    /// Inches taken off it [default: the setting for the route and kind of bow].
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    offset: Option<String>,
    /// Ordered length, loaded [default: stated measure less offset].
    #[arg(long, value_name = "M")]
    ordered: Option<String>,
    #[command(flatten)]
    build: BuildArgs,
    #[command(flatten)]
    bow: BowArgs,
    /// It is for the same bow as this string of the archer: what is known of that bow need not be said again.
    #[arg(long, value_name = "SERIAL", help_heading = "The bow", conflicts_with = "other_bow")]
    same_bow: Option<String>,
    /// It is for another bow than those of the archer in the book, however much it looks like one.
    #[arg(long, help_heading = "The bow", conflicts_with = "replaces")]
    other_bow: bool,
}

/// How the string was made.
#[derive(Debug, Args)]
#[command(next_help_heading = "The string as built")]
struct BuildArgs {
    /// Built length.
    #[arg(long, value_name = "M")]
    built: Option<String>,
    /// How it was measured [default: loaded].
    #[arg(long, value_name = "HOW", value_parser = args::length_at())]
    built_at: Option<LengthAt>,
    /// From where to where it was measured [default: outside].
    #[arg(long, value_name = "LOOPS", value_parser = args::across())]
    built_across: Option<Across>,
    /// Yarn of the old string.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    old_yarn: Option<Yarn>,
    /// Make of the old string.
    #[arg(long, value_name = "MAKE", value_parser = args::old_make())]
    old_make: Option<OldMake>,
    /// From where to where the old string was measured.
    #[arg(long, value_name = "LOOPS", value_parser = args::across())]
    old_measured: Option<Across>,
    /// Yarn.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    yarn: Option<Yarn>,
    /// Strands in the whole string.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    strands: Option<String>,
    /// Plies.
    #[arg(long, value_name = "N", default_value = "2")]
    plies: String,
    /// Direction of lay.
    #[arg(long, value_name = "LAY", value_parser = args::lay(), default_value = "z")]
    lay: Lay,
    /// Full turns as built.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    turns: Option<String>,
    /// Length of the upper, larger loop.
    #[arg(long, value_name = "M")]
    loop_top: Option<String>,
    /// Length of the lower loop.
    #[arg(long, value_name = "M")]
    loop_bottom: Option<String>,
    /// Middle of the serving above (+) or below (-) the string's middle.
    #[arg(long, value_name = "M", allow_hyphen_values = true)]
    serving: Option<String>,
    /// Pre-stretched before serving (yes or no).
    #[arg(long, value_name = "YES", num_args = 0..=1, default_missing_value = "yes", value_parser = args::yes_no)]
    pre_stretched: Option<bool>,
    /// With silencers (yes or no).
    #[arg(long, value_name = "YES", num_args = 0..=1, default_missing_value = "yes", value_parser = args::yes_no)]
    silencers: Option<bool>,
    /// Colours.
    #[arg(long, value_name = "TEXT")]
    colours: Option<String>,
    /// Lot of the yarn.
    #[arg(long, value_name = "NAME")]
    spool: Option<String>,
    /// Who made it.
    #[arg(long, value_name = "NAME")]
    maker: Option<String>,
    /// The maker's initials as on the label.
    #[arg(long, value_name = "XY")]
    initials: Option<String>,
    /// Price.
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    price: Option<String>,
    /// Serial of the string it replaces.
    #[arg(long, value_name = "SERIAL")]
    replaces: Option<String>,
}

impl Sold {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        match self {
            Self::Add(add) => add.run(session),
            Self::Import(import) => import.run(session),
            Self::Show { serial, letters } => {
                let mut book = session.book()?;
                let style = session.style(&app::rules(&mut book)?);
                let view = app::sold::show(&mut book, &serial)?;
                session.answer("string/1", &view, |page, _| {
                    records::string(page, &view, &style);
                    if letters {
                        records::letters_of_string(page, &view);
                    }
                })
            }
            Self::List { kind, yarn, route, since, until, reported, limit } => {
                let wanted = Wanted {
                    kind,
                    yarn,
                    route,
                    since: args::day(since.as_deref())?,
                    until: args::day(until.as_deref())?,
                    reported,
                };
                let limit = args::count(Some(&limit), "limit", MOST_LISTED)?.unwrap_or(MOST_LISTED.high);
                let found = app::find::list(&mut session.book()?, wanted, limit)?;
                session.answer("found/1", &found, |page, _| {
                    if found.is_empty() {
                        page.line(Meaning::Aside, "No such string.");
                    } else {
                        records::found(page, &found);
                    }
                })
            }
            Self::Archer { serial, measures_in, back_to } => {
                let mut book = session.book()?;
                let style = session.style(&app::rules(&mut book)?);
                let author = session.author()?;
                if let Some(address) = back_to {
                    app::archers::back_to(&mut book, &serial, &address, &author)?;
                }
                let view = match measures_in {
                    Some(unit) => app::archers::set_unit(&mut book, &serial, &unit, &author)?,
                    None => app::sold::show(&mut book, &serial)?,
                };
                session.answer("string/1", &view, |page, _| records::string(page, &view, &style))
            }
            Self::Find { text } => {
                let found = app::find::find(&mut session.book()?, &text.join(" "))?;
                session.answer("found/1", &found, |page, _| {
                    if found.is_empty() {
                        page.line(Meaning::Aside, "Nothing found, and nothing near it.");
                        return;
                    }
                    if found.iter().all(|line| !line.exact) {
                        page.line(Meaning::Aside, "No exact match. Closest:").gap();
                    }
                    records::found(page, &found);
                })
            }
        }
    }
}

/// Most strings that are listed.
const MOST_LISTED: Whole = Whole { low: 1, high: 1_000_000 };

fn read_word<T: std::str::FromStr<Err = UnknownWord>>(text: &str) -> Result<T, Problem> {
    text.parse().map_err(|error: UnknownWord| {
        Problem::new(Kind::BadValue, error.to_string(), "type one of these words")
    })
}

fn missing(what: &str, option: &str) -> Problem {
    Problem::new(
        Kind::CommandLine,
        format!("{what} is missing"),
        format!("give {option}; see: fistmele sold add --help"),
    )
}

impl Add {
    fn run(mut self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let unit = session.unit(&rules);
        let author = session.author()?;
        if Session::can_ask() {
            self.ask_for_missing(unit, author.day)?;
        }
        let new = self.typed(unit, author.day, session)?;
        let style = session.style(&rules);
        let view = app::sold::add(&mut book, new, &author)?;
        if let Some(notice) = records::below_floor_notice(&view) {
            session.warn(notice);
        }
        session.answer("string/1", &view, |page, _| {
            records::string(page, &view, &style);
            records::bow_offer(page, &view, &style);
        })
    }

    /// Questions for what a later answer to "it does not fit" needs most.
    fn ask_for_missing(&mut self, unit: Unit, today: NaiveDate) -> Result<(), Problem> {
        let plain = |text: &str| Ok(text.to_owned());
        let known = self.same_bow.is_some();
        if self.archer.is_none() && !known {
            self.archer = Some(prompt::ask("Archer's name", None, plain)?);
        }
        if self.sold_on.is_none() {
            let default = today.to_string();
            self.sold_on = Some(prompt::ask("Day of sale", Some(&default), |text| {
                parse_date(text)?;
                plain(text)
            })?);
        }
        if self.bow.bow_kind.is_none() && !known {
            self.bow.bow_kind = Some(prompt::ask(
                "Kind of bow (a longbow that bends in the grip: selfbow)",
                Some("unknown"),
                read_word,
            )?);
        }
        if self.route.is_none() {
            self.route = Some(prompt::ask(
                "How was it sized (old-string, marked, nock-to-nock, bow-maker, worked-out, repeat, unknown)",
                Some("marked"),
                read_word,
            )?);
        }
        if self.ordered.is_none() && self.stated.is_none() && self.route != Some(Route::Unknown) {
            self.ordered = Some(prompt::ask("Ordered length, loaded", None, |text| {
                parse_length(text, unit, Measure::StringLength)?;
                plain(text)
            })?);
        }
        if self.build.yarn.is_none() {
            self.build.yarn =
                Some(prompt::ask("Yarn (polyester, hmpe, hmpe-lcp, linen)", Some("unknown"), read_word)?);
        }
        if self.build.strands.is_none() {
            let answer = prompt::ask("Strands, or \"unknown\"", Some("unknown"), plain)?;
            self.build.strands = (answer != "unknown").then_some(answer);
        }
        if self.build.turns.is_none() {
            let answer = prompt::ask("Turns as built, or \"unknown\"", Some("unknown"), plain)?;
            self.build.turns = (answer != "unknown").then_some(answer);
        }
        Ok(())
    }

    fn typed(self, unit: Unit, today: NaiveDate, session: &Session) -> Result<NewSold, Problem> {
        let (bow, _) = self.bow.typed(unit, session)?.applied_to(&BowProfile::default());
        let route = self.route.ok_or_else(|| missing("the sizing route", "--route"))?;
        let stated = match self.stated.as_deref() {
            // The measure that a route starts from is a bow's or a string's length.
            Some(text) if matches!(route, Route::Marked | Route::NockToNock) => {
                Some(parse_length(text, unit, Measure::BowLength)?)
            }
            Some(text) => Some(parse_length(text, unit, Measure::StringLength)?),
            None => None,
        };
        let ordered = args::length(self.ordered.as_deref(), unit, Measure::StringLength)?;
        let build = self.build;
        let sold_on = args::day(self.sold_on.as_deref())?.unwrap_or(today);
        if ordered.is_none() && stated.is_none() && route != Route::Unknown {
            return Err(missing(
                "the ordered length",
                "--ordered or --stated (--route unknown where nobody knows)",
            ));
        }
        let mut string = SoldString::new(String::new(), sold_on, route, ordered);
        string.order_ref = args::one_line(self.order, "--order")?;
        string.delivered_on = args::day(self.delivered_on.as_deref())?;
        string.stated = stated;
        string.stated_at = self.stated_at.unwrap_or(default_stated_at(route));
        string.offset = args::offset(self.offset.as_deref(), unit)?;
        string.built = args::length(build.built.as_deref(), unit, Measure::StringLength)?;
        string.built_at = build.built_at.unwrap_or(LengthAt::Loaded);
        string.built_across = build.built_across.unwrap_or(Across::Outside);
        string.old_yarn = build.old_yarn;
        string.old_make = build.old_make;
        string.old_measured = build.old_measured;
        string.yarn = build.yarn.unwrap_or(Yarn::Unknown);
        string.strands = args::count(build.strands.as_deref(), "strands", STRANDS)?;
        string.plies = args::count(Some(&build.plies), "plies", PLIES)?.unwrap_or(2);
        string.lay = build.lay;
        string.turns = args::turn_count(build.turns.as_deref(), "turns")?;
        string.loop_top = args::length(build.loop_top.as_deref(), unit, Measure::Loop)?;
        string.loop_bottom = args::length(build.loop_bottom.as_deref(), unit, Measure::Loop)?;
        string.serving = args::length(build.serving.as_deref(), unit, Measure::Serving)?;
        string.pre_stretched = build.pre_stretched;
        string.silencers = build.silencers;
        string.colours = args::one_line(build.colours, "--colours")?;
        string.spool = args::one_line_of(build.spool, "--spool", LONGEST_SPOOL)?;
        string.maker = args::one_line(build.maker, "--maker")?;
        string.maker_initials = args::one_line_of(build.initials, "--initials", MOST_INITIALS)?;
        string.price_cents = build.price.as_deref().map(parse_money).transpose()?;
        string.replaces = args::one_line(build.replaces, "--replaces")?;
        Ok(NewSold {
            serial: self.serial,
            archer: Archer {
                name: args::one_line(self.archer, "--archer")?,
                email: args::email(self.email)?,
            },
            bow,
            which: match (self.same_bow, self.other_bow) {
                (Some(serial), _) => WhichBow::Of(serial),
                (None, true) => WhichBow::Another,
                (None, false) => WhichBow::Usual,
            },
            string,
        })
    }
}

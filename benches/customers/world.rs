//! The world as it is: bows, strings and what turns really do. No adviser sees any of it.
//!
//! The bows are those of the large-deflection solver, so the program's formulas for the bow
//! are judged against something they were not written from. The string follows the ideal
//! law with a factor that the program knows only by its doubt. How much of that doubt belongs to
//! the single string and how much to the construction nobody knows, so there are two worlds.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use fistmele::mechanics::bow::kind_constant;
use fistmele::mechanics::twist::{BENCH_LOG_SD, Construction, TwistBody, Yarn, yarn_figures};
use fistmele::quantity::{Length, LengthRange, Turns};
use fistmele::trade::BowKind;
use fistmele::trade::build::Subject;
use fistmele::trade::records::{BowProfile, SoldString};
use fistmele::trade::rules::Rules;
use fistmele::trade::words::{Route, Stave, Tips};

use crate::bow_solver::{Bow, Kind, SplitMix, random_bow};
use crate::day;

/// Whose the string factor is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Factor {
    /// Drawn anew for every string.
    EachString,
    /// Drawn once for each construction of a shop, with 5 % from string to string.
    EachConstruction,
}

impl Factor {
    /// Both worlds, with their names for the table.
    pub(crate) const ALL: [(Self, &str); 2] =
        [(Self::EachString, "factor by string"), (Self::EachConstruction, "factor by construction")];
}

/// How an archer reads and counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Care {
    /// Reads to 1/16 in, and miscounts now and then.
    Usual,
    /// Reads with twice that error.
    Careless,
    /// Is off by one turn, one way or the other, in every go.
    OffByOne,
}

impl Care {
    /// All of them, with their names for the table.
    pub(crate) const ALL: [(Self, &str); 3] =
        [(Self::Usual, "usual"), (Self::Careless, "reads to 1/8"), (Self::OffByOne, "off by a turn")];
}

/// A source of error in the world that can be taken away, to see what it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Source {
    /// Errors of brace readings and their rounding.
    Readings,
    /// Turns miscounted while turning.
    Miscounts,
    /// Turns recorded that are not in, or not recorded at all.
    TurnsIn,
    /// String factor off the table.
    StringFactor,
    /// Bow off the constant of its kind.
    Bow,
}

impl Source {
    /// All of them with a name for the table.
    pub(crate) const ALL: [(Self, &str); 5] = [
        (Self::Readings, "readings exact"),
        (Self::Miscounts, "no miscounts"),
        (Self::TurnsIn, "turns in known"),
        (Self::StringFactor, "string as tabled"),
        (Self::Bow, "bow as tabled"),
    ];
}

/// What the world is made of. Lengths in inches.
#[derive(Debug, Clone, Copy)]
pub(crate) struct World {
    /// Seed of everything.
    pub(crate) seed: u64,
    /// Bows that buy a string from one shop, one after the other.
    pub(crate) bows_a_shop: u64,
    /// Whose the string factor is.
    pub(crate) factor: Factor,
    /// How its archers read and count.
    pub(crate) care: Care,
    /// sd of a length ordered off the right one, all routes together.
    pub(crate) route_sd: f64,
    /// sd of a length built off the one ordered.
    pub(crate) build_sd: f64,
    /// Share of strings whose turns nobody wrote down.
    pub(crate) unrecorded: f64,
    /// sd of one brace reading; it is then rounded to 1/16.
    pub(crate) reading_sd: f64,
    /// sd of the turns put in against those told, before rounding to whole turns.
    pub(crate) miscount_sd: f64,
    /// sd of a tape measure at the fades.
    pub(crate) tape_sd: f64,
    /// sd of a count on the body, as a share.
    pub(crate) count_sd: f64,
    /// Source of error taken away.
    pub(crate) without: Option<Source>,
}

impl World {
    /// The usual world.
    pub(crate) const fn new(seed: u64) -> Self {
        Self {
            seed,
            bows_a_shop: 400,
            factor: Factor::EachConstruction,
            care: Care::Usual,
            route_sd: 0.35,
            build_sd: 0.06,
            unrecorded: 0.2,
            reading_sd: 0.0625,
            miscount_sd: 0.3,
            tape_sd: 0.125,
            count_sd: 0.06,
            without: None,
        }
    }

    /// sd of one reading of these archers, before rounding.
    pub(crate) fn archers_sd(&self) -> f64 {
        if self.care == Care::Careless { 2.0 * self.reading_sd } else { self.reading_sd }
    }

    fn lacks(&self, source: Source) -> bool {
        self.without == Some(source)
    }
}

/// Kinds of bow with their share of the customers (judgement: a workshop for traditional bows).
const KINDS: [(Kind, f64); 5] = [
    (Kind::Selfbow, 0.15),
    (Kind::Longbow, 0.25),
    (Kind::ReflexDeflex, 0.20),
    (Kind::Recurve, 0.25),
    (Kind::LongRiser, 0.15),
];

const fn construction(yarn: Yarn, strands: u32, plies: u32) -> Construction {
    Construction { yarn, strands, plies }
}

/// Constructions sold for bows of wood alone, most usual first.
const FOR_WOOD: [(Construction, f64); 4] = [
    (construction(Yarn::Polyester, 14, 2), 0.40),
    (construction(Yarn::Polyester, 12, 2), 0.25),
    (construction(Yarn::Linen, 16, 3), 0.20),
    (construction(Yarn::Polyester, 16, 3), 0.15),
];

/// Constructions sold for all other bows.
const FOR_LAMINATED: [(Construction, f64); 5] = [
    (construction(Yarn::Hmpe, 16, 2), 0.30),
    (construction(Yarn::Polyester, 14, 2), 0.25),
    (construction(Yarn::Hmpe, 18, 2), 0.20),
    (construction(Yarn::HmpeLcp, 16, 2), 0.15),
    (construction(Yarn::Polyester, 16, 2), 0.10),
];

/// Widths of the ranges that bow makers give.
const WIDTHS: [f64; 3] = [0.5, 0.75, 1.0];

/// What a draw is for. Each purpose has its own stream, so that two advisers meet the same errors.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Draw {
    /// A bow.
    Bow = 1,
    /// The customer.
    Customer,
    /// The string factor of a construction in a shop.
    Shop,
    /// A brace reading.
    Reading,
    /// A miscount.
    Miscount,
    /// A count of the turns.
    Count,
    /// Measures at the fades.
    Fades,
    /// The building of a new string.
    Build,
}

/// The stream of random numbers for one purpose.
pub(crate) fn stream(seed: u64, draw: Draw, index: u64) -> SplitMix {
    let mixed = SplitMix::new(seed ^ (draw as u64).wrapping_mul(0xa076_1d64_78bd_642f)).bits();
    SplitMix::new(SplitMix::new(mixed ^ index.wrapping_mul(0xe703_7ed1_a0b4_28db)).bits())
}

/// A normal number, tails included (the solver's own cuts them off).
pub(crate) fn normal(random: &mut SplitMix, sd: f64) -> f64 {
    let radius = (-2.0 * (1.0 - random.unit()).ln()).sqrt();
    sd * radius * (TAU * random.unit()).cos()
}

fn pick<T: Copy>(random: &mut SplitMix, shares: &[(T, f64)]) -> T {
    let mut left = random.unit() * shares.iter().map(|(_, share)| share).sum::<f64>();
    for (thing, share) in shares {
        left -= share;
        if left < 0.0 {
            return *thing;
        }
    }
    shares[shares.len() - 1].0
}

fn rounded(value: f64, step: f64) -> f64 {
    (value / step).round() * step
}

/// A length that is known to be one.
pub(crate) fn length(inches: f64) -> Length {
    Length::try_from_inches(inches).unwrap_or(Length::ZERO)
}

/// Solved bows, by kind. Bending one takes longer than all its advice, so a bow buys more than once.
#[derive(Debug)]
pub(crate) struct Bows(Vec<Vec<Bow>>);

impl Bows {
    /// Bends so many of each kind, as many at a time as the machine has processors.
    pub(crate) fn bent(seed: u64, each: u64) -> Self {
        Self(std::thread::scope(|scope| {
            let handles: Vec<_> = KINDS
                .iter()
                .map(|(kind, _)| {
                    scope.spawn(move || {
                        (0..each)
                            .map(|n| random_bow(*kind, stream(seed, Draw::Bow, n).bits()))
                            .collect::<Vec<_>>()
                    })
                })
                .collect();
            // A worker that panicked has said why already.
            handles.into_iter().flat_map(|handle| handle.join()).collect()
        }))
    }

    fn pick(&self, random: &mut SplitMix) -> &Bow {
        let places: Vec<(usize, f64)> =
            KINDS.iter().enumerate().map(|(at, (_, share))| (at, *share)).collect();
        let of_kind = &self.0[pick(random, &places)];
        &of_kind[(random.unit() * of_kind.len() as f64) as usize]
    }
}

/// How a bow's brace height follows its string.
#[derive(Debug, Clone)]
pub(crate) enum Curve {
    /// As the solver bends it.
    Solved,
    /// As the formula of the kind says, through this string length and brace height.
    Tabled {
        /// String length.
        length: f64,
        /// Brace height with it.
        brace: f64,
        /// K.
        constant: f64,
    },
}

/// One sold string on its bow, as they are and as the workshop's book has them.
#[derive(Debug, Clone)]
pub(crate) struct Customer<'a> {
    /// Where the bow stands in the tables.
    pub(crate) kind: Kind,
    /// The bow.
    pub(crate) bow: &'a Bow,
    /// Its seed for errors of measuring.
    pub(crate) seed: u64,
    /// Wanted range: of the bow's maker where the book has it, else as the archer names it.
    pub(crate) want: (f64, f64),
    /// The string in the book.
    pub(crate) sold: SoldString,
    /// The bow in the book.
    pub(crate) profile: BowProfile,
    /// Turns that really are in when it arrives.
    pub(crate) turns: f64,
    /// Loaded length it really has with them.
    pub(crate) length: f64,
    /// What turns really do to it.
    pub(crate) body: TwistBody,
    /// Turns at the limits of the helix window.
    pub(crate) window: (f64, f64),
    curve: Curve,
}

/// The kind of bow as the program calls it.
pub(crate) const fn bow_kind(kind: Kind) -> BowKind {
    match kind {
        Kind::Selfbow => BowKind::Selfbow,
        Kind::Longbow => BowKind::Longbow,
        Kind::ReflexDeflex => BowKind::ReflexDeflex,
        Kind::Recurve => BowKind::Recurve,
        Kind::LongRiser => BowKind::LongRiser,
    }
}

/// The factor of a string over the table's, `own` being the string's own normal number.
fn string_factor(world: &World, shop: u64, made: Construction, own: f64) -> f64 {
    let log_sd = yarn_figures(made.yarn).string_factor_log_sd;
    match world.factor {
        Factor::EachString => (log_sd * own).exp(),
        Factor::EachConstruction => {
            let common = (log_sd * log_sd - BENCH_LOG_SD * BENCH_LOG_SD).sqrt();
            let index = made.yarn as u64 * 10_000 + u64::from(made.strands) * 10 + u64::from(made.plies);
            let shops = normal(&mut stream(world.seed ^ shop.rotate_left(32), Draw::Shop, index), common);
            (shops + BENCH_LOG_SD * own).exp()
        }
    }
}

impl<'a> Customer<'a> {
    /// The customer of a number. `None` where no string on this bow gives the wanted range.
    pub(crate) fn draw(world: &World, bows: &'a Bows, rules: &Rules, number: u64) -> Option<Self> {
        let mut random = stream(world.seed, Draw::Customer, number);
        let bow = bows.pick(&mut random);
        let kind = bow.kind;
        let wood = kind == Kind::Selfbow || (kind == Kind::Longbow && random.unit() < 0.3);
        let made = pick(&mut random, if wood { &FOR_WOOD } else { &FOR_LAMINATED });

        let width = WIDTHS[(random.unit() * 3.0) as usize];
        let usual = kind.usual_brace(bow.marked_length) + normal(&mut random, 0.2);
        let low = rounded(usual - width / 2.0, 0.125);
        let want = (low, low + width);
        let right = bow.string_for(low + width / 2.0).ok()?;
        let ordered = rounded(right + normal(&mut random, world.route_sd), 0.125);
        let built = ordered + normal(&mut random, world.build_sd);

        let mut sold = SoldString::new(format!("S-{number}"), day(), Route::Marked, length(ordered));
        sold.built = Some(length(ordered));
        sold.yarn = made.yarn;
        sold.strands = Some(made.strands);
        sold.plies = made.plies;
        sold.pre_stretched = Some(true);
        let profile = BowProfile {
            kind: bow_kind(kind),
            marked_length: Some(length(bow.marked_length)),
            // Half of the archers know what the bow's maker gives.
            brace_range: LengthRange::new(length(want.0), length(want.1)).filter(|_| random.unit() < 0.5),
            tips: if wood { Tips::Plain } else { Tips::Reinforced },
            stave: if wood { Stave::Wood } else { Stave::Laminated },
            year: Some(2018),
            ..BowProfile::default()
        };
        let subject = Subject {
            string: &sold,
            bow: &profile,
            rules,
            bench_radius: None,
            bow_effect: None,
            recorded: &[],
        };
        let (tabled, _, usual) = subject.body(ordered)?;
        let (least, most) = rules.window_degrees;
        let window = (tabled.turns_at_helix(least), tabled.turns_at_helix(most));
        let (recorded, turns_off) = (random.unit() >= world.unrecorded, normal(&mut random, 1.0));
        let turns = match (world.lacks(Source::TurnsIn), recorded) {
            (true, _) => f64::from(usual),
            (false, true) => f64::from(usual) + turns_off,
            (false, false) => (f64::from(usual) + 8.0 * turns_off).clamp(window.0, window.1),
        };
        sold.turns =
            if world.lacks(Source::TurnsIn) || recorded { Turns::new(f64::from(usual)) } else { None };
        let own = normal(&mut random, 1.0);
        let mut body = tabled;
        if !world.lacks(Source::StringFactor) {
            body.string_factor *= string_factor(world, number / world.bows_a_shop, made, own);
        }
        let curve = if world.lacks(Source::Bow) {
            Curve::Tabled {
                length: right,
                brace: low + width / 2.0,
                constant: kind_constant(profile.kind).ratio * ordered,
            }
        } else {
            Curve::Solved
        };
        let seed = random.bits();
        Some(Self { kind, bow, seed, want, sold, profile, turns, length: built, body, window, curve })
    }

    /// Brace height with a string of a loaded length; NaN where the bow could not be braced with it.
    pub(crate) fn brace_with(&self, length: f64) -> f64 {
        match self.curve {
            Curve::Solved => self.bow.brace_for(length).unwrap_or(f64::NAN),
            Curve::Tabled { length: at, brace, constant } => {
                (brace * brace + 2.0 * constant * (at - length)).sqrt()
            }
        }
    }

    /// Loaded string length for a brace height; NaN where no string gives it.
    pub(crate) fn string_for(&self, height: f64) -> f64 {
        match self.curve {
            Curve::Solved => self.bow.string_for(height).unwrap_or(f64::NAN),
            Curve::Tabled { length, brace, constant } => {
                length - (height * height - brace * brace) / (2.0 * constant)
            }
        }
    }

    /// Loaded length once `changed` turns were put in.
    pub(crate) fn length_after(&self, changed: f64) -> f64 {
        self.length - self.body.string_change(self.turns, (self.turns + changed).max(0.0))
    }

    /// Brace height once `changed` turns were put in.
    pub(crate) fn brace_after(&self, changed: f64) -> f64 {
        self.brace_with(self.length_after(changed))
    }

    /// True if a brace height lies in the wanted range.
    pub(crate) fn wants(&self, brace: f64) -> bool {
        brace >= self.want.0 && brace <= self.want.1
    }

    /// Whole turns that stay in the helix window, `changed` being in already.
    pub(crate) fn allowed(&self, changed: f64) -> std::ops::RangeInclusive<i32> {
        let now = self.turns + changed;
        (self.window.0 - now).ceil() as i32..=(self.window.1 - now).floor() as i32
    }

    /// Wanted range, true window and what it reaches, for a line of a list.
    pub(crate) fn line(&self) -> String {
        let allowed = self.allowed(0.0);
        let [low, high] = [*allowed.start(), *allowed.end()].map(|turns| self.brace_after(f64::from(turns)));
        format!(
            "{:?};{};{};{:?};{:?};{};{low:.3};{high:.3}",
            self.kind,
            self.profile.brace_range.is_some(),
            self.sold.turns.is_some(),
            self.want,
            allowed,
            self.turns.round(),
        )
    }

    /// Whether turning can bring the true brace height right.
    pub(crate) fn turning(&self) -> Turning {
        let reaches = |margin: f64| {
            let (low, high) = (self.want.0 - margin, self.want.1 + margin);
            self.allowed(0.0).any(|turns| (low..=high).contains(&self.brace_after(f64::from(turns))))
        };
        Turning { helps: reaches(0.0), on_edge: reaches(-EDGE) != reaches(EDGE) }
    }
}

/// What no reading can tell, inches.
const EDGE: f64 = 0.0625;

/// What turning can do for a bow, in truth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Turning {
    /// Some whole number of turns inside the window brings the brace height into the range.
    pub(crate) helps: bool,
    /// With a range wider or narrower by a reading's error at each end the answer would be another.
    pub(crate) on_edge: bool,
}

/// What the archer reads and does, with the archer's errors.
#[derive(Debug, Clone)]
pub(crate) struct Archer<'a> {
    /// The string on its bow.
    pub(crate) customer: &'a Customer<'a>,
    world: &'a World,
    /// Turns really put in so far.
    pub(crate) changed: f64,
    /// What was said, read and done, in short.
    pub(crate) story: String,
    readings: u64,
    goes: u64,
}

impl<'a> Archer<'a> {
    /// An archer with the string as it came.
    pub(crate) const fn new(customer: &'a Customer<'a>, world: &'a World) -> Self {
        Self { customer, world, changed: 0.0, story: String::new(), readings: 0, goes: 0 }
    }

    /// The true brace height now.
    pub(crate) fn brace(&self) -> f64 {
        self.customer.brace_after(self.changed)
    }

    /// The mean of some readings, each to 1/16.
    pub(crate) fn read(&mut self, times: u32) -> f64 {
        let brace = self.brace();
        self.readings += 1;
        if self.world.lacks(Source::Readings) {
            return brace;
        }
        let mut random = stream(self.customer.seed, Draw::Reading, self.readings);
        let sd = self.world.archers_sd();
        let sum: f64 = (0..times).map(|_| rounded(brace + normal(&mut random, sd), 0.0625)).sum();
        let read = sum / f64::from(times);
        let _ = write!(self.story, " read {read:.4} ({brace:.3})");
        read
    }

    /// Turns as told, or nearly so.
    pub(crate) fn turn(&mut self, turns: i32) {
        self.goes += 1;
        let mut random = stream(self.customer.seed, Draw::Miscount, self.goes);
        let off = match self.world.care {
            Care::OffByOne if random.unit() < 0.5 => 1.0,
            Care::OffByOne => -1.0,
            Care::Usual | Care::Careless => normal(&mut random, self.world.miscount_sd).round(),
        };
        let off = if self.world.lacks(Source::Miscounts) || turns == 0 { 0.0 } else { off };
        self.changed += f64::from(turns) + off;
        let _ = write!(self.story, " turned {turns}");
    }

    /// Appearances of one colour over a foot of body.
    pub(crate) fn count_over_a_foot(&self) -> f64 {
        let share = normal(&mut stream(self.customer.seed, Draw::Count, 0), self.world.count_sd);
        (self.customer.turns + self.changed) * (1.0 + share) / self.customer.body.twistable_length * 12.0
    }

    /// The four measures at the fades by tape: free string, fade span, fade gap, fade to nock.
    pub(crate) fn fades(&self) -> Option<[f64; 4]> {
        let measures = self.customer.bow.fade_measures(self.customer.length_after(self.changed)).ok()?;
        let mut random = stream(self.customer.seed, Draw::Fades, 0);
        let exact = [measures.free_string, measures.fade_span, measures.fade_gap, measures.fade_to_nock];
        Some(exact.map(|inches| inches + normal(&mut random, self.world.tape_sd)))
    }

    /// Brace height with a new string of a length, built as well as the workshop builds.
    pub(crate) fn brace_with_new(&self, length: f64) -> f64 {
        let off = normal(&mut stream(self.customer.seed, Draw::Build, 0), self.world.build_sd);
        self.customer.brace_with(length + off)
    }
}

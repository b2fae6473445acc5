//! Bow kinds and what is usual for them.

/// The kinds of bow that the simple formulas tell apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Selfbow or D-section longbow, bending close up to the grip.
    Selfbow,
    /// Longbow with a rigid handle and straight limbs.
    Longbow,
    /// Deflex/reflex longbow.
    ReflexDeflex,
    /// One-piece working recurve.
    Recurve,
    /// Long-riser take-down recurve.
    LongRiser,
}

impl Kind {
    /// All kinds, in the order of the usual bows in `tests/checks/SOURCES.md`.
    pub(crate) const ALL: [Kind; 5] =
        [Kind::Selfbow, Kind::Longbow, Kind::ReflexDeflex, Kind::Recurve, Kind::LongRiser];

    /// The name used in the check values.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Kind::Selfbow => "selfbow",
            Kind::Longbow => "longbow",
            Kind::ReflexDeflex => "reflex-deflex",
            Kind::Recurve => "recurve",
            Kind::LongRiser => "long-riser",
        }
    }

    /// Usual brace height in inches for a marked length in inches.
    ///
    /// Source: the usual bows of `tests/checks/SOURCES.md`.
    pub(crate) fn usual_brace(self, marked_length: f64) -> f64 {
        match self {
            Kind::Selfbow => 5.75 + 0.04 * (marked_length - 64.0),
            Kind::Longbow => 6.50 + 0.06 * (marked_length - 64.0),
            Kind::ReflexDeflex => 7.00 + 0.06 * (marked_length - 64.0),
            Kind::Recurve => 7.90 + 0.10 * (marked_length - 62.0),
            Kind::LongRiser => 8.50 + 0.11 * (marked_length - 66.0),
        }
    }

    /// Whether the braced string lies on the outer limb; otherwise it leaves at the tip.
    pub(crate) fn string_may_lie_on_limb(self) -> bool {
        matches!(self, Kind::Recurve | Kind::LongRiser)
    }
}

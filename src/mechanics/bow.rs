//! Brace height against string length, by kind of bow or by four measures on the bow.

use serde::{Deserialize, Serialize};

use crate::words;

words! {
    /// What kind of bow a string is for.
    BowKind, "kind of bow" {
        /// Bends through the grip; D-section longbows too.
        Selfbow = "selfbow",
        /// Longbow with a rigid handle, also if it takes down.
        Longbow = "longbow",
        /// Deflex-reflex longbow.
        ReflexDeflex = "reflex-deflex",
        /// Working recurve, one piece or short riser.
        Recurve = "recurve",
        /// Recurve on a long riser (21 in and more).
        LongRiser = "long-riser",
        /// Bow with stiff ears.
        Horsebow = "horsebow",
        /// Not known.
        Unknown = "unknown",
    }
}

/// The level 0 constant of a kind of bow: `K = kappa L`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindConstant {
    /// K / L, dimensionless.
    pub ratio: f64,
    /// Standard deviation of ln(K / L) from bow to bow.
    pub log_sd: f64,
    /// Brace heights for which the constant was derived, inches.
    pub brace_valid: Option<(f64, f64)>,
}

/// Level 0 constant by kind of bow. Method M01.
///
/// Source: own computation with a planar elastica over some 300 shapes a kind
/// (`docs/methods.md`, M01); re-derived by the solver in the tests. No published value of
/// brace height against string length is known. The horsebow lies outside the shapes
/// studied: it takes the ratio of an unknown kind with a wider doubt (judgement).
#[must_use]
pub const fn kind_constant(kind: BowKind) -> KindConstant {
    let (ratio, log_sd, brace_valid) = match kind {
        BowKind::Selfbow => (0.160, 0.09, Some((4.5, 7.0))),
        BowKind::Longbow => (0.131, 0.12, Some((5.5, 8.0))),
        BowKind::ReflexDeflex => (0.173, 0.16, Some((6.0, 8.5))),
        BowKind::Recurve => (0.149, 0.13, Some((6.5, 9.5))),
        BowKind::LongRiser => (0.133, 0.13, Some((7.0, 10.0))),
        BowKind::Horsebow => (0.148, 0.30, None),
        BowKind::Unknown => (0.148, 0.20, None),
    };
    KindConstant { ratio, log_sd, brace_valid }
}

/// A bow's constant K: half the slope of (brace height)² against the shortening.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BowConstant {
    /// K, inches.
    pub value: f64,
    /// Standard deviation of ln K.
    pub log_sd: f64,
    /// True where it rests on measures taken on this bow, not on its kind.
    pub measured: bool,
}

impl BowConstant {
    /// Inches of brace height per inch of string at a brace height: S = K / h. Method M01.
    #[must_use]
    pub fn brace_per_inch(&self, brace: f64) -> f64 {
        self.value / brace
    }
}

/// Level 0: K from the kind and the loaded string length (or marked length minus 3 in). Method M01.
#[must_use]
pub fn constant_from_kind(kind: BowKind, string_length: f64) -> BowConstant {
    let constant = kind_constant(kind);
    BowConstant { value: constant.ratio * string_length, log_sd: constant.log_sd, measured: false }
}

/// Brace height after the string got shorter by `string_change`. Method M02.
///
/// h'² = h² + 2 K dL (the hinge circle of Hickman's model at small angle). Valid for
/// |dL| up to about 0.6 in, where it errs by 0.01 in (reflex-deflex 0.03). `None` where no
/// string length gives a braced bow; it is never clamped.
#[must_use]
pub fn brace_after(brace: f64, constant: f64, string_change: f64) -> Option<f64> {
    let squared = brace * brace + 2.0 * constant * string_change;
    (squared > 0.0).then(|| squared.sqrt())
}

/// Shortening of the string that takes the brace height from `brace` to `wanted`. Method M02.
#[must_use]
pub fn string_change_for(brace: f64, wanted: f64, constant: f64) -> f64 {
    (wanted * wanted - brace * brace) / (2.0 * constant)
}

/// The four measures on the braced bow that stand in for knowing its shape, inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FadeMeasures {
    /// Free string between the points where it first touches the limbs.
    pub free_string_inch: f64,
    /// Distance between the ends of the stiff middle.
    pub fade_span_inch: f64,
    /// String to limb axis at the fades, mean of both limbs.
    pub fade_gap_inch: f64,
    /// Fade to nock along the limb.
    pub fade_to_nock_inch: f64,
}

/// Share of the limb, from the nock, that acts as a rigid link, and the sd of ln S. Method M04.
///
/// Own computation; Hickman's 3/4 is the circular tiller, 8/pi² the uniform limb. For an
/// unknown kind and for horsebows the middle of the table with twice its spread (judgement).
#[must_use]
pub const fn rigid_link(kind: BowKind) -> (f64, f64) {
    match kind {
        BowKind::Selfbow => (0.763, 0.05),
        BowKind::Longbow => (0.765, 0.06),
        BowKind::ReflexDeflex => (0.906, 0.10),
        BowKind::Recurve => (0.856, 0.075),
        BowKind::LongRiser => (0.820, 0.075),
        BowKind::Horsebow | BowKind::Unknown => (0.822, 0.15),
    }
}

/// Level 1: K from the four fade measures at a brace height. Method M04.
///
/// S = (Lf/2 - xf - (1 - k) l) / (2 tf), K = S h. `None` where the measures contradict each
/// other (no free limb left, or no gap).
#[must_use]
pub fn constant_from_fades(kind: BowKind, fades: &FadeMeasures, brace: f64) -> Option<BowConstant> {
    let (link, log_sd) = rigid_link(kind);
    let lever =
        fades.free_string_inch / 2.0 - fades.fade_span_inch / 2.0 - (1.0 - link) * fades.fade_to_nock_inch;
    if lever <= 0.0 || fades.fade_gap_inch <= 0.0 {
        return None;
    }
    let brace_per_inch = lever / (2.0 * fades.fade_gap_inch);
    // Shapes from which the constants come lie between 0.7 and 2.4; far outside something was misread.
    (0.4..=4.0).contains(&brace_per_inch).then_some(BowConstant {
        value: brace_per_inch * brace,
        log_sd,
        measured: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shortening_and_its_inverse_agree() {
        let constant = constant_from_kind(BowKind::Recurve, 59.0).value;
        for change in [-0.4, -0.1, 0.0, 0.2, 0.5] {
            let after = brace_after(7.9, constant, change).unwrap();
            assert!((string_change_for(7.9, after, constant) - change).abs() < 1e-12);
        }
    }

    #[test]
    fn a_string_too_long_to_brace_has_no_answer() {
        assert_eq!(brace_after(2.0, 9.0, -1.0), None);
    }

    #[test]
    fn measures_without_a_free_limb_are_refused() {
        let fades = FadeMeasures {
            free_string_inch: 20.0,
            fade_span_inch: 18.0,
            fade_gap_inch: 6.0,
            fade_to_nock_inch: 22.0,
        };
        assert_eq!(constant_from_fades(BowKind::Recurve, &fades, 7.9), None);
    }
}

//! Length hand-tight against length under the measuring load, and what another yarn changes.

use super::bow::BowKind;
use super::twist::Yarn;

/// By how much a string reads shorter hand-tight than under 100 lb: figure and sd, inches. Method M14.
///
/// Two string makers' guides: polyester up to 1 in, low-stretch yarn about 1/4 in, on strings
/// of about 62 in. Linen from its share of polyester's compliance (own arithmetic). The sds
/// are judgement: how hard a hand pulls differs.
#[must_use]
pub const fn hand_tight_shortfall(yarn: Yarn) -> (f64, f64) {
    match yarn {
        Yarn::Polyester => (1.0, 0.25),
        Yarn::Hmpe | Yarn::HmpeLcp => (0.25, 0.1),
        Yarn::Linen => (0.5, 0.2),
        Yarn::Unknown => (0.6, 0.35),
    }
}

/// String length to which the shortfall figures belong, inches. Method M14.
pub const SHORTFALL_LENGTH: f64 = 62.0;

/// Loaded length of a string that was measured hand-tight, with its sd, inches. Method M14.
#[must_use]
pub fn loaded_from_hand_tight(length: f64, yarn: Yarn) -> (f64, f64) {
    let (shortfall, sd) = hand_tight_shortfall(yarn);
    let scale = length / SHORTFALL_LENGTH;
    (length + shortfall * scale, sd * scale)
}

/// Braced string tension over draw weight, by kind. Own computation (planar elastica, bows of
/// 62 and 68 in, mean of both). Method M15.
#[must_use]
pub const fn tension_ratio(kind: BowKind) -> f64 {
    match kind {
        BowKind::Selfbow => 1.46,
        BowKind::Longbow => 1.44,
        BowKind::ReflexDeflex => 1.65,
        BowKind::Recurve => 2.03,
        BowKind::LongRiser => 1.92,
        BowKind::Horsebow | BowKind::Unknown => 1.7,
    }
}

/// Draw weight taken where none is known, pounds (judgement, no source: middle of 30 to 60).
/// Method M15.
pub const USUAL_DRAW_WEIGHT_LB: f64 = 45.0;

/// By how much the loaded length has to grow when a string is made of another yarn and must
/// be as long on the braced bow; inches with sd. Method M15.
///
/// Under the measuring load a yarn is longer than on the bow by
/// shortfall (1 - T/load); the difference of the two yarns is added. Stretch is taken as
/// linear in load between hand-tight and the measuring load; the sd is half the change, at
/// least 1/16 in (judgement).
#[must_use]
pub fn yarn_change(
    from: Yarn,
    to: Yarn,
    length: f64,
    kind: BowKind,
    draw_weight_lb: Option<f64>,
    load_lb: f64,
) -> (f64, f64) {
    if from == to {
        return (0.0, 0.0);
    }
    let tension = tension_ratio(kind) * draw_weight_lb.unwrap_or(USUAL_DRAW_WEIGHT_LB);
    let unused = (1.0 - tension / load_lb).clamp(-0.5, 1.0);
    let scale = length / SHORTFALL_LENGTH;
    let change = (hand_tight_shortfall(to).0 - hand_tight_shortfall(from).0) * unused * scale;
    (change, (change.abs() / 2.0).max(0.0625))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_yarn_needs_no_change() {
        let (change, sd) = yarn_change(Yarn::Hmpe, Yarn::Hmpe, 60.0, BowKind::Recurve, None, 100.0);
        assert!(change.abs() < 1e-12 && sd.abs() < 1e-12);
    }

    #[test]
    fn polyester_for_a_light_bow_is_measured_longer_than_hmpe() {
        let (light, _) = yarn_change(Yarn::Hmpe, Yarn::Polyester, 62.0, BowKind::Longbow, Some(35.0), 100.0);
        let (heavy, _) = yarn_change(Yarn::Hmpe, Yarn::Polyester, 62.0, BowKind::Longbow, Some(65.0), 100.0);
        assert!(light > heavy && light > 0.3 && light < 0.5, "{light} {heavy}");
    }
}

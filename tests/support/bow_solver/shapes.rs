//! Random bows of each kind.
//!
//! The shapes are plausible bows, not measured ones. Everything is drawn but the root
//! angle, which is solved so that the bow has its brace height with the string of its
//! marked length. The ranges were set by hand until braced bows of each kind looked like
//! the usual bows of `tests/checks/SOURCES.md` and method M01 say; the bow constant follows most the
//! length along the limbs (`extra_length`), that is how far the bow is deflexed.

use super::{Bow, Curvature, Kind, Limb, SolveError, SplitMix, Stiffness};

/// Runge-Kutta steps for a random bow: brace height and string length are good to 1e-4 in.
const STEPS: u32 = 80;

/// A bow is only kept if a longer string can lower its brace height by this much, in;
/// otherwise it is all but slack with the string it is sold for.
const SLACK_REACH: f64 = 2.0;

/// A range to draw from evenly.
#[derive(Clone, Copy)]
struct Range(f64, f64);

impl Range {
    fn draw(self, random: &mut SplitMix) -> f64 {
        random.between(self.0, self.1)
    }
}

/// Ranges of the shapes of one kind; lengths in inches, angles in degrees.
struct Shapes {
    /// Even marked lengths.
    marked_length: Range,
    /// Half the distance between the fades.
    half_span: Range,
    /// Half the bow along its limbs, over half the marked length.
    extra_length: Range,
    /// Limb axis at the fades, nearer to the string than the deepest grip.
    root_before_grip: Range,
    /// Deepest grip nearer to the string than the axis of the handle.
    grip_y: Range,
    /// Angle of the even natural curvature; set positive, reflex negative.
    even_turn: Range,
    /// Angle of the bend away from the string towards the tip.
    tip_turn: Range,
    /// Where that bend starts, share of the limb.
    onset: Range,
    /// Over which share of the limb it grows to its full curvature.
    growth: Range,
    /// Share of the width lost from root to tip.
    width_taper: Range,
    /// Share of the thickness lost from root to tip.
    depth_taper: Range,
    /// Root angles accepted as a bow someone would build.
    root_angle: Range,
}

fn shapes(kind: Kind) -> Shapes {
    match kind {
        Kind::Selfbow => Shapes {
            marked_length: Range(60.0, 70.0),
            half_span: Range(0.5, 3.8),
            extra_length: Range(-1.7, -0.4),
            root_before_grip: Range(-0.7, -0.35),
            grip_y: Range(0.4, 0.6),
            even_turn: Range(-2.0, 5.0),
            tip_turn: Range(0.0, 0.0),
            onset: Range(0.5, 0.5),
            growth: Range(0.4, 0.4),
            width_taper: Range(0.3, 0.7),
            depth_taper: Range(0.05, 0.35),
            root_angle: Range(-6.0, 6.0),
        },
        Kind::Longbow => Shapes {
            marked_length: Range(60.0, 70.0),
            half_span: Range(5.5, 8.5),
            extra_length: Range(-1.1, 0.2),
            root_before_grip: Range(-1.0, 0.2),
            grip_y: Range(0.5, 1.0),
            even_turn: Range(-5.0, 4.0),
            tip_turn: Range(0.0, 0.0),
            onset: Range(0.5, 0.5),
            growth: Range(0.4, 0.4),
            width_taper: Range(0.3, 0.7),
            depth_taper: Range(0.05, 0.35),
            root_angle: Range(-8.0, 8.0),
        },
        Kind::ReflexDeflex => Shapes {
            marked_length: Range(58.0, 68.0),
            half_span: Range(5.0, 8.5),
            extra_length: Range(-2.2, -0.2),
            root_before_grip: Range(-0.6, 1.1),
            grip_y: Range(0.4, 1.0),
            even_turn: Range(0.0, 15.0),
            tip_turn: Range(12.0, 42.0),
            onset: Range(0.3, 0.6),
            growth: Range(0.2, 0.4),
            width_taper: Range(0.35, 0.7),
            depth_taper: Range(0.1, 0.35),
            root_angle: Range(-6.0, 14.0),
        },
        Kind::Recurve => Shapes {
            marked_length: Range(58.0, 66.0),
            half_span: Range(7.5, 11.0),
            extra_length: Range(-1.0, 0.8),
            root_before_grip: Range(0.3, 1.9),
            grip_y: Range(0.5, 1.0),
            even_turn: Range(-6.0, 2.0),
            tip_turn: Range(40.0, 85.0),
            onset: Range(0.5, 0.65),
            growth: Range(0.15, 0.3),
            width_taper: Range(0.2, 0.55),
            depth_taper: Range(0.1, 0.35),
            root_angle: Range(-12.0, 20.0),
        },
        Kind::LongRiser => Shapes {
            marked_length: Range(62.0, 70.0),
            half_span: Range(11.0, 14.0),
            extra_length: Range(-0.5, 1.5),
            root_before_grip: Range(0.5, 2.2),
            grip_y: Range(0.5, 1.0),
            even_turn: Range(-6.0, 2.0),
            tip_turn: Range(40.0, 80.0),
            onset: Range(0.5, 0.65),
            growth: Range(0.15, 0.3),
            width_taper: Range(0.2, 0.55),
            depth_taper: Range(0.1, 0.35),
            root_angle: Range(-12.0, 20.0),
        },
    }
}

/// The bow of a kind that a seed names; the same seed always gives the same bow.
///
/// # Panics
///
/// After ten thousand draws without a bow.
pub(crate) fn random_bow(kind: Kind, seed: u64) -> Bow {
    let mut random = SplitMix::new(seed ^ (kind as u64 + 1).wrapping_mul(0xd134_2543_de82_ef95));
    for _ in 0..10_000 {
        if let Ok(bow) = draw(kind, &mut random) {
            return bow;
        }
    }
    panic!("no {} in ten thousand draws from seed {seed}", kind.name());
}

/// One draw; it fails where no root angle, or only an odd one, would brace the bow as usual.
fn draw(kind: Kind, random: &mut SplitMix) -> Result<Bow, SolveError> {
    let shapes = shapes(kind);
    let marked_length = 2.0 * (0.5 * shapes.marked_length.draw(random)).round();
    let root_x = shapes.half_span.draw(random);
    let length = 0.5 * marked_length + shapes.extra_length.draw(random) - root_x;
    let grip_y = shapes.grip_y.draw(random);
    let root_y = grip_y + shapes.root_before_grip.draw(random);
    let even_turn = shapes.even_turn.draw(random).to_radians();
    let tip_turn = -shapes.tip_turn.draw(random).to_radians();
    let onset = shapes.onset.draw(random);
    let full = (onset + shapes.growth.draw(random)).min(0.95);
    let brace = random.normal(kind.usual_brace(marked_length), 0.35);
    let tension = random.normal(300.0, 45.0);
    let mut limb = Limb {
        root_x,
        root_y,
        root_angle: 0.0,
        length,
        stiffness: Stiffness::Taper {
            root: 1.0,
            width: shapes.width_taper.draw(random),
            depth: shapes.depth_taper.draw(random),
        },
        curvature: Curvature::from_turns(even_turn, tip_turn, onset, full, length),
        steps: STEPS,
    };
    let (root_angle, lift, unit_tension) = limb.fitted_root(marked_length - 3.0, brace + grip_y - root_y)?;
    if lift < 0.0 && !kind.string_may_lie_on_limb() {
        return Err(SolveError::OutOfRange(lift, 0.0, f64::INFINITY));
    }
    let degrees = root_angle.to_degrees();
    let Range(least, most) = shapes.root_angle;
    if !(least..=most).contains(&degrees) {
        return Err(SolveError::OutOfRange(degrees, least, most));
    }
    limb.root_angle = root_angle;
    // Tension and stiffness are proportional for one and the same shape.
    limb.stiffness = limb.stiffness.scaled(tension / unit_tension);
    let bow = Bow::new(kind, marked_length, grip_y, limb, lift)?;
    let (lowest, highest) = bow.brace_range();
    if lowest > brace - SLACK_REACH {
        return Err(SolveError::OutOfRange(brace - SLACK_REACH, lowest, highest));
    }
    Ok(bow)
}

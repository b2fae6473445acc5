//! A whole bow: a limb, its grip and the table of its braced states.

use super::string_table::StringTable;
use super::{Kind, Limb, Pose, SolveError, bracketed_root};

/// Brace heights are tabled this far below and above the one with the marked string, in.
const TABLE_REACH: f64 = 4.0;

/// No brace height below this is tabled, in.
const LEAST_BRACE: f64 = 1.5;

/// Wanted distance between the brace heights of two knots, in.
const KNOT_STEP: f64 = 0.2;

/// The four measures an archer takes with a tape on the braced bow, in.
///
/// Source: method M04.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FadeMeasures {
    /// Lf: free string between the points where it first touches the limbs.
    pub(crate) free_string: f64,
    /// 2 xf: distance between the ends of the stiff middle.
    pub(crate) fade_span: f64,
    /// tf: string to limb axis at the fades.
    pub(crate) fade_gap: f64,
    /// l: fade to nock along the limb.
    pub(crate) fade_to_nock: f64,
}

/// A symmetric bow that can be braced with any string within reach.
#[derive(Clone, Debug)]
pub(crate) struct Bow {
    /// Bow kind.
    pub(crate) kind: Kind,
    /// A: marked (AMO) length, in.
    pub(crate) marked_length: f64,
    /// y_g: deepest point of the grip, towards the string from the handle axis, in.
    pub(crate) grip_y: f64,
    /// One of the two limbs.
    pub(crate) limb: Limb,
    table: StringTable,
}

impl Bow {
    /// A bow and the table of its braced states, built outwards from the pose at lift `near`.
    ///
    /// # Errors
    ///
    /// The bow has no pose there, or its brace height does not rise as the string gets shorter.
    pub(crate) fn new(
        kind: Kind,
        marked_length: f64,
        grip_y: f64,
        limb: Limb,
        near: f64,
    ) -> Result<Self, SolveError> {
        let start = limb.pose(near, None)?;
        let brace = start.string_line - grip_y;
        let lowest = (brace - TABLE_REACH).max(LEAST_BRACE);
        let mut poses = outwards(&limb, start, -1.0, |pose| pose.string_line - grip_y < lowest);
        poses.reverse();
        poses.push(start);
        poses.extend(outwards(&limb, start, 1.0, |pose| pose.string_line - grip_y > brace + TABLE_REACH));
        Ok(Self { kind, marked_length, grip_y, limb, table: StringTable::new(&poses, grip_y)? })
    }

    /// Length of the string that goes with the marked length: A - 3, in.
    ///
    /// Source: AMO Standards 1987, 2000.
    pub(crate) fn marked_string(&self) -> f64 {
        self.marked_length - 3.0
    }

    /// Brace height for a string length, both in inches, by interpolation.
    ///
    /// # Errors
    ///
    /// The string is outside the range of the bow.
    pub(crate) fn brace_for(&self, string_length: f64) -> Result<f64, SolveError> {
        self.table.brace(string_length)
    }

    /// String length for a brace height, both in inches, by interpolation.
    ///
    /// # Errors
    ///
    /// The brace height is outside the range of the bow.
    pub(crate) fn string_for(&self, brace: f64) -> Result<f64, SolveError> {
        self.table.string(brace)
    }

    /// String tension in N for a string length in inches, by interpolation.
    ///
    /// # Errors
    ///
    /// The string is outside the range of the bow.
    pub(crate) fn tension_for(&self, string_length: f64) -> Result<f64, SolveError> {
        self.table.tension(string_length)
    }

    /// Shortest and longest string that the bow can be asked about, in.
    pub(crate) fn string_range(&self) -> (f64, f64) {
        self.table.string_range()
    }

    /// Lowest and highest brace height that the bow can be asked about, in.
    pub(crate) fn brace_range(&self) -> (f64, f64) {
        self.table.brace_range()
    }

    /// The braced state with a string length in inches, solved without interpolation.
    ///
    /// # Errors
    ///
    /// The string is outside the range of the bow, or a root find failed.
    pub(crate) fn pose_with(&self, string_length: f64) -> Result<Pose, SolveError> {
        self.solved_near(string_length, |pose| pose.string_length - string_length)
    }

    /// The braced state with a brace height in inches, solved without interpolation.
    ///
    /// # Errors
    ///
    /// The brace height is outside the range of the bow, or a root find failed.
    pub(crate) fn pose_at(&self, brace: f64) -> Result<Pose, SolveError> {
        let string_length = self.table.string(brace)?;
        self.solved_near(string_length, |pose| self.brace_of(pose) - brace)
    }

    /// The pose in which `excess` is zero, between the knots around a string length.
    fn solved_near(&self, string_length: f64, excess: impl Fn(&Pose) -> f64) -> Result<Pose, SolveError> {
        let (low, high, tension) = self.table.lifts(string_length)?;
        let near = Some(tension);
        // The ends are knots, so only rounding can take the root out of the bracket.
        let margin = 1e-9;
        let lift = bracketed_root(
            |lift| Ok(excess(&self.limb.pose(lift, near)?)),
            low - margin,
            high + margin,
            1e-11,
        )?;
        self.limb.pose(lift, near)
    }

    /// Brace height of a pose of this bow, in.
    pub(crate) fn brace_of(&self, pose: &Pose) -> f64 {
        pose.string_line - self.grip_y
    }

    /// S = -dh/dL at a string length in inches: central difference of two solved poses.
    ///
    /// # Errors
    ///
    /// The string is outside the range of the bow, or a root find failed.
    pub(crate) fn brace_per_inch(&self, string_length: f64) -> Result<f64, SolveError> {
        let pose = self.pose_with(string_length)?;
        let step = 0.01;
        let near = Some(pose.tension);
        let low = self.limb.pose(pose.lift - step, near)?;
        let high = self.limb.pose(pose.lift + step, near)?;
        Ok((high.string_line - low.string_line) / (low.string_length - high.string_length))
    }

    /// kappa = S h / L with the string of the marked length.
    ///
    /// # Errors
    ///
    /// A root find failed.
    pub(crate) fn bow_constant_ratio(&self) -> Result<f64, SolveError> {
        let length = self.marked_string();
        let brace = self.brace_of(&self.pose_with(length)?);
        Ok(self.brace_per_inch(length)? * brace / length)
    }

    /// The measures on the bow braced with a string length in inches.
    ///
    /// # Errors
    ///
    /// The string is outside the range of the bow, or a root find failed.
    pub(crate) fn fade_measures(&self, string_length: f64) -> Result<FadeMeasures, SolveError> {
        let pose = self.pose_with(string_length)?;
        Ok(FadeMeasures {
            free_string: pose.free_string,
            fade_span: 2.0 * self.limb.root_x,
            fade_gap: pose.string_line - self.limb.root_y,
            fade_to_nock: self.limb.length,
        })
    }
}

/// Poses from `start` (left out) towards lower (-1) or higher (+1) lift.
///
/// Ends with the first pose that is `beyond` the wanted range, where the bow has no further
/// pose, or where the tip stands at 1.2 rad. The lift 0, where the string comes off the
/// recurve, always gets a knot: the slope of the curve bends there.
fn outwards(limb: &Limb, start: Pose, direction: f64, beyond: impl Fn(&Pose) -> bool) -> Vec<Pose> {
    let lowest = limb.innermost_contact() - limb.length;
    let mut poses = Vec::new();
    let mut last = start;
    let mut step = 0.15;
    while !beyond(&last) && last.lift < 12.0 {
        let mut lift = last.lift + direction * step;
        if last.lift * lift < 0.0 {
            lift = 0.0;
        }
        if lift < lowest {
            break;
        }
        let Ok(pose) = limb.pose(lift, Some(last.tension)) else {
            break;
        };
        let moved = direction * (pose.string_line - last.string_line);
        if moved <= 0.0 || pose.string_length * direction >= last.string_length * direction {
            break;
        }
        step = (step * (KNOT_STEP / moved).clamp(0.4, 2.5)).min(1.0);
        poses.push(pose);
        last = pose;
    }
    poses
}

//! One braced state of a limb.

use super::{EndForce, EndState, Limb, SolveError, bracketed_root};

/// Tip angle per inch of lift once the string has left the recurve, rad/in.
const ANGLE_PER_LIFT: f64 = 0.1;

/// Relative width to which the tension is found.
const TENSION_WIDTH: f64 = 1e-13;

/// How the string leaves the limb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Departure {
    /// Tangent to the limb at this arc, lying on the limb from there to the tip.
    Contact {
        /// s_c, in.
        arc: f64,
    },
    /// At the tip, with this angle between limb and string.
    Tip {
        /// Angle at the tip, rad.
        angle: f64,
    },
}

impl Departure {
    /// The departure at a `lift`, one number that grows with the brace height.
    ///
    /// Below zero it is the length of limb still covered by the string, in inches, counted
    /// negative; above zero it is the tip angle in units of 0.1 rad.
    pub(crate) fn at_lift(lift: f64, limb_length: f64) -> Self {
        if lift < 0.0 {
            Departure::Contact { arc: limb_length + lift }
        } else {
            Departure::Tip { angle: ANGLE_PER_LIFT * lift }
        }
    }

    /// Arc and angle of the loaded end of the limb.
    pub(crate) fn end(self, limb_length: f64) -> (f64, f64) {
        match self {
            Departure::Contact { arc } => (arc, 0.0),
            Departure::Tip { angle } => (limb_length, angle),
        }
    }
}

/// A limb held by a string.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pose {
    /// The lift that this pose was solved for, in.
    pub(crate) lift: f64,
    /// How the string leaves the limb.
    pub(crate) departure: Departure,
    /// T, N.
    pub(crate) tension: f64,
    /// h: the string line, in.
    pub(crate) string_line: f64,
    /// L, in.
    pub(crate) string_length: f64,
    /// Free string between the first contacts with the limbs, in.
    pub(crate) free_string: f64,
    /// Bending energy of one limb, N in.
    pub(crate) energy: f64,
}

impl Limb {
    /// The braced state at a lift.
    ///
    /// Unknown is the tension alone: the limb is integrated from the loaded end, and the
    /// angle it has at the root must be the root angle. `near` is a tension to start from.
    ///
    /// # Errors
    ///
    /// The limb would have to be pushed instead of pulled, or the root find failed.
    pub(crate) fn pose(&self, lift: f64, near: Option<f64>) -> Result<Pose, SolveError> {
        let departure = Departure::at_lift(lift, self.length);
        let (arc, angle) = departure.end(self.length);
        let miss = |tension: f64| -> Result<f64, SolveError> {
            let root = self.root_state(arc, angle, EndForce::string(tension));
            Ok(root.angle - self.root_angle)
        };
        let (low, high) = match near {
            Some(tension) => match narrow_bracket(&miss, tension)? {
                Some(bracket) => bracket,
                None => self.wide_bracket(&miss, lift)?,
            },
            None => self.wide_bracket(&miss, lift)?,
        };
        let tension = bracketed_root(miss, low, high, TENSION_WIDTH * high)?;
        let root = self.root_state(arc, angle, EndForce::string(tension));
        let pose = self.pose_from(lift, tension, root);
        if pose.string_length.is_finite() && pose.string_line.is_finite() {
            Ok(pose)
        } else {
            Err(SolveError::NotFinite(lift))
        }
    }

    /// The pose that belongs to a lift, its tension and the root section found with them.
    fn pose_from(&self, lift: f64, tension: f64, root: EndState) -> Pose {
        let departure = Departure::at_lift(lift, self.length);
        let (arc, _) = departure.end(self.length);
        let free_half = self.root_x - root.x;
        Pose {
            lift,
            departure,
            tension,
            string_line: self.root_y - root.y,
            string_length: 2.0 * (free_half + self.length - arc),
            free_string: 2.0 * free_half,
            energy: root.energy,
        }
    }

    /// The root angle with which the limb is braced by a string of `string_length` at
    /// `fade_gap` from its root, with the lift and the tension of that pose.
    ///
    /// Inner unknown is the tension (the gap falls as it grows), outer one the lift (at a
    /// fixed gap a higher lift is a limb bent more, hence a shorter string). The root angle
    /// stored in the limb is not used.
    ///
    /// # Errors
    ///
    /// No root angle does it within tip angles up to 1.2 rad.
    pub(crate) fn fitted_root(
        &self,
        string_length: f64,
        fade_gap: f64,
    ) -> Result<(f64, f64, f64), SolveError> {
        let solve = |lift: f64| -> Result<(f64, EndState), SolveError> {
            let (arc, angle) = Departure::at_lift(lift, self.length).end(self.length);
            let miss = |tension: f64| -> Result<f64, SolveError> {
                Ok(-self.root_state(arc, angle, EndForce::string(tension)).y - fade_gap)
            };
            let (low, high) = self.wide_bracket(&miss, lift)?;
            let tension = bracketed_root(miss, low, high, TENSION_WIDTH * high)?;
            let root = self.root_state(arc, angle, EndForce::string(tension));
            Ok((tension, root))
        };
        let excess = |lift: f64| -> Result<f64, SolveError> {
            let (tension, root) = solve(lift)?;
            Ok(self.pose_from(lift, tension, root).string_length - string_length)
        };
        let lowest = self.innermost_contact() - self.length;
        let mut lower: Option<f64> = None;
        let mut lift = lowest;
        while lift < 12.0 {
            match excess(lift) {
                Ok(over) if over >= 0.0 => lower = Some(lift),
                Ok(_) => {
                    let from = lower.ok_or(SolveError::NotBracketed(lowest, lift))?;
                    let lift = bracketed_root(excess, from, lift, 1e-10)?;
                    let (tension, root) = solve(lift)?;
                    return Ok((root.angle, lift, tension));
                }
                Err(SolveError::Slack(_)) => {}
                Err(error) => return Err(error),
            }
            lift += 0.25;
        }
        Err(SolveError::NotBracketed(lowest, lift))
    }

    /// Tensions from nothing up to the first at which `miss` has changed its sign.
    ///
    /// The steps are a quarter of a tension scale W/l^2 near the first buckling load; the
    /// next solution, an S-shaped limb, lies at about nine times the first.
    fn wide_bracket(
        &self,
        miss: &impl Fn(f64) -> Result<f64, SolveError>,
        lift: f64,
    ) -> Result<(f64, f64), SolveError> {
        let at_rest = miss(0.0)?;
        if at_rest <= 0.0 {
            return Err(SolveError::Slack(lift));
        }
        let middle = 1.0 / self.stiffness.compliance(0.5);
        let step = 0.25 * middle / (self.length * self.length);
        let mut low = 0.0;
        for index in 1..=400u32 {
            let high = step * f64::from(index);
            let value = miss(high)?;
            if !value.is_finite() {
                return Err(SolveError::NotFinite(high));
            }
            if value <= 0.0 {
                return Ok((low, high));
            }
            low = high;
        }
        Err(SolveError::NotBracketed(0.0, low))
    }
}

/// A bracket close to a known tension, if the sign changes within a factor of about 1.5.
fn narrow_bracket(
    miss: &impl Fn(f64) -> Result<f64, SolveError>,
    near: f64,
) -> Result<Option<(f64, f64)>, SolveError> {
    let factor = 1.05;
    let (mut low, mut high) = (near, near);
    if miss(near)? > 0.0 {
        for _ in 0..8 {
            high *= factor;
            if miss(high)? <= 0.0 {
                return Ok(Some((low, high)));
            }
            low = high;
        }
    } else {
        for _ in 0..8 {
            low /= factor;
            if miss(low)? > 0.0 {
                return Ok(Some((low, high)));
            }
            high = low;
        }
    }
    Ok(None)
}

//! The limb at rest: where it starts, how it is curved and how stiff it is.

/// Bending stiffness along the limb, with u = s/l from root to tip.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Stiffness {
    /// Solid rectangular section with straight tapers: W = root (1 - width u) (1 - depth u)^3.
    Taper {
        /// Stiffness at the root, N in2.
        root: f64,
        /// Share of the width lost from root to tip.
        width: f64,
        /// Share of the thickness lost from root to tip.
        depth: f64,
    },
    /// The limb that bends to a circular arc at small deflection: W = root (1 - u^2).
    CircularArc {
        /// Stiffness at the root, N in2.
        root: f64,
    },
}

impl Stiffness {
    /// The same stiffness all along, N in2.
    pub(crate) fn uniform(stiffness: f64) -> Self {
        Stiffness::Taper { root: stiffness, width: 0.0, depth: 0.0 }
    }

    /// Compliance 1/W at u; the circular arc is cut off just short of the tip.
    pub(crate) fn compliance(&self, u: f64) -> f64 {
        match *self {
            Stiffness::Taper { root, width, depth } => {
                let t = 1.0 - depth * u;
                1.0 / (root * (1.0 - width * u) * t * t * t)
            }
            Stiffness::CircularArc { root } => 1.0 / (root * (1.0 - u * u).max(1e-12)),
        }
    }

    /// The same taper with every stiffness multiplied by `factor`.
    pub(crate) fn scaled(self, factor: f64) -> Self {
        match self {
            Stiffness::Taper { root, width, depth } => Stiffness::Taper { root: root * factor, width, depth },
            Stiffness::CircularArc { root } => Stiffness::CircularArc { root: root * factor },
        }
    }
}

/// Natural curvature along the limb, positive towards the string.
///
/// An even part over the whole limb (set, or reflex when negative) and a bend towards the
/// tip: nothing up to u = `onset`, its full value from u = `full` on, a smooth step between.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Curvature {
    /// Curvature of the even part, 1/in.
    pub(crate) even: f64,
    /// Curvature added at the tip, 1/in; negative for a recurve.
    pub(crate) tip: f64,
    /// Where the bend towards the tip starts, as u.
    pub(crate) onset: f64,
    /// Where that bend has reached its full curvature, as u.
    pub(crate) full: f64,
}

impl Curvature {
    /// A limb straight at rest.
    pub(crate) const STRAIGHT: Curvature = Curvature { even: 0.0, tip: 0.0, onset: 0.0, full: 1.0 };

    /// A curvature from the angles it turns: `even_turn` over the whole limb and `tip_turn`
    /// in the bend towards the tip, radians, on a limb of `length` inches.
    pub(crate) fn from_turns(even_turn: f64, tip_turn: f64, onset: f64, full: f64, length: f64) -> Self {
        // The smooth step has the mean 1/2 between onset and full.
        let turned_share = 0.5 * (full - onset) + (1.0 - full);
        Curvature { even: even_turn / length, tip: tip_turn / (turned_share * length), onset, full }
    }

    /// Curvature at u, 1/in.
    pub(crate) fn at(&self, u: f64) -> f64 {
        let t = ((u - self.onset) / (self.full - self.onset)).clamp(0.0, 1.0);
        self.even + self.tip * t * t * (3.0 - 2.0 * t)
    }
}

/// Half a bow outside its rigid middle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limb {
    /// x_r: half the distance between the fades, in.
    pub(crate) root_x: f64,
    /// y_r: limb axis at the fade, towards the string from the handle, in.
    pub(crate) root_y: f64,
    /// th_r: angle of the limb at the fade, positive towards the string (deflex), rad.
    pub(crate) root_angle: f64,
    /// l: fade to nock along the limb, in.
    pub(crate) length: f64,
    /// Bending stiffness.
    pub(crate) stiffness: Stiffness,
    /// Natural curvature.
    pub(crate) curvature: Curvature,
    /// Runge-Kutta steps along the loaded part.
    pub(crate) steps: u32,
}

impl Limb {
    /// The uniform straight bow without riser of nock-to-nock length D inches.
    pub(crate) fn uniform_straight(nock_to_nock: f64, stiffness: f64, steps: u32) -> Self {
        Limb {
            root_x: 0.0,
            root_y: 0.0,
            root_angle: 0.0,
            length: 0.5 * nock_to_nock,
            stiffness: Stiffness::uniform(stiffness),
            curvature: Curvature::STRAIGHT,
            steps,
        }
    }

    /// Arc nearest the root that a string can rest on: from there to the tip the limb curves
    /// away from the string at rest. At most the outer half of the limb is looked at.
    pub(crate) fn innermost_contact(&self) -> f64 {
        let mut inner = self.length;
        for step in 0..=100u32 {
            let u = 1.0 - 0.005 * f64::from(step);
            if self.curvature.at(u) > -1e-3 {
                break;
            }
            inner = u * self.length;
        }
        inner
    }
}

//! Runge-Kutta integration of a limb under a force at its end.

use super::Limb;

/// The force that acts on the limb where the string leaves it, N.
#[derive(Clone, Copy, Debug)]
pub(crate) struct EndForce {
    /// Component along x; a string under tension T pulls with -T.
    pub(crate) along: f64,
    /// Component along y.
    pub(crate) across: f64,
}

impl EndForce {
    /// The pull of a string lying along x.
    pub(crate) fn string(tension: f64) -> Self {
        EndForce { along: -tension, across: 0.0 }
    }
}

/// State of a cross section, seen from the loaded end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct EndState {
    /// Angle of the limb axis, rad.
    pub(crate) angle: f64,
    /// Place along x from the loaded end, in.
    pub(crate) x: f64,
    /// Place along y from the loaded end, in.
    pub(crate) y: f64,
    /// Bending energy stored between this section and the loaded end, N in.
    pub(crate) energy: f64,
}

/// Natural curvature and compliance of one cross section.
#[derive(Clone, Copy)]
struct Section {
    curvature: f64,
    compliance: f64,
}

impl Limb {
    fn section(&self, arc: f64) -> Section {
        let u = arc / self.length;
        Section { curvature: self.curvature.at(u), compliance: self.stiffness.compliance(u) }
    }

    /// The root section when `force` acts at arc `from` and the limb there has angle `angle`.
    ///
    /// Classical Runge-Kutta of order 4 from the loaded end, where the moment is zero, to
    /// the root. The moment is that of the force about the section.
    pub(crate) fn root_state(&self, from: f64, angle: f64, force: EndForce) -> EndState {
        self.march(from, angle, force, |_| {})
    }

    /// All sections from the loaded end to the root, with their arcs.
    pub(crate) fn shape(&self, from: f64, angle: f64, force: EndForce) -> Vec<(f64, EndState)> {
        let step = from / f64::from(self.steps);
        let mut states = Vec::new();
        let mut arc = from;
        self.march(from, angle, force, |state| {
            states.push((arc, state));
            arc -= step;
        });
        states
    }

    fn march(&self, from: f64, angle: f64, force: EndForce, mut visit: impl FnMut(EndState)) -> EndState {
        let slope = |state: EndState, section: Section| -> EndState {
            let moment = state.y * force.along - state.x * force.across;
            let bend = moment * section.compliance;
            let (sin, cos) = state.angle.sin_cos();
            EndState { angle: section.curvature + bend, x: cos, y: sin, energy: -0.5 * moment * bend }
        };
        let step = -from / f64::from(self.steps);
        let mut state = EndState { angle, x: 0.0, y: 0.0, energy: 0.0 };
        let mut here = self.section(from);
        visit(state);
        for index in 0..self.steps {
            let arc = from + step * f64::from(index);
            let middle = self.section(arc + 0.5 * step);
            let next = self.section(arc + step);
            let s1 = slope(state, here);
            let s2 = slope(state.moved(s1, 0.5 * step), middle);
            let s3 = slope(state.moved(s2, 0.5 * step), middle);
            let s4 = slope(state.moved(s3, step), next);
            state =
                state.moved(s1, step / 6.0).moved(s2, step / 3.0).moved(s3, step / 3.0).moved(s4, step / 6.0);
            here = next;
            visit(state);
        }
        state
    }
}

impl EndState {
    fn moved(self, slope: EndState, by: f64) -> EndState {
        EndState {
            angle: self.angle + by * slope.angle,
            x: self.x + by * slope.x,
            y: self.y + by * slope.y,
            energy: self.energy + by * slope.energy,
        }
    }
}

//! A large-deflection solver for braced bows, the second opinion on the simple formulas.
//!
//! One limb is a planar elastica; the two limbs mirror each other. Where the program
//! says `K = kappa L`, this solver bends a whole limb and asks what the brace height is.
//! It shares no code with the program and depends on the standard library only, so a
//! common mistake cannot hide in both.
//!
//! Frame: x runs along the string from the middle of the bow, y across it from the limb
//! axis of the handle towards the string. The string is the line y = h under tension T.
//!
//! ```text
//! th' = k0(s) + T (h - y) / W(s)      x' = cos th      y' = sin th
//! ```
//!
//! | symbol | meaning | unit |
//! |---|---|---|
//! | s, l | arc from the limb root; arc length of the limb, fade to nock | in |
//! | th, th_r | angle of the limb axis against the string; the same at the root | rad |
//! | x_r, y_r | place of the limb root | in |
//! | y_g | deepest point of the grip | in |
//! | k0 | natural curvature, positive towards the string | 1/in |
//! | W | bending stiffness | N in2 |
//! | T | string tension | N |
//! | h | string line; the brace height is h - y_g | in |
//! | L | string length, loop end to loop end | in |
//! | s_c | arc at which the string first touches the limb | in |
//!
//! Left out: limb thickness in the contact, friction, unequal limbs, stretch of the string.
//!
//! Source: statics of a planar elastica; what judges it stands in `tests/checks/SOURCES.md`.

#![allow(dead_code, unused_imports)]

mod bow;
mod error;
mod integrator;
mod kind;
mod kind_table;
mod limb;
mod pose;
mod random;
mod root_find;
mod shapes;
mod string_table;

pub(crate) use bow::{Bow, FadeMeasures};
pub(crate) use error::SolveError;
pub(crate) use integrator::{EndForce, EndState};
pub(crate) use kind::Kind;
pub(crate) use kind_table::{KindRow, kind_row, kind_table, mean_and_sd};
pub(crate) use limb::{Curvature, Limb, Stiffness};
pub(crate) use pose::{Departure, Pose};
pub(crate) use random::SplitMix;
pub(crate) use root_find::bracketed_root;
pub(crate) use shapes::random_bow;

//! The general march: film with friction on corners, drag on flats, zones of temperature.
//!
//! Along the free path from a front outwards, with tension N at the front:
//!
//! ```text
//! in the air              N constant
//! at a corner turning by theta     N falls by exp(-mu theta)        (Euler-Eytelwein)
//! on a facet it rested on          dN/ds = -tau, never below 0
//! film at unstretched position Y   lambda = lambda(N, T(Y)),  ds = lambda dY
//! ```
//!
//! Y is counted from the bond line. The tensions follow from N alone, so the film that the
//! path holds, H(N), is found from the bond line inwards, zone by zone in closed form; it
//! falls as N rises (but for tensile curves it is tabulated: [`tails`]). Given the film m that is still free, one root H(N) = m gives N, and
//! the front lays film at the rate
//!
//! ```text
//! dm/ds = -1/lambda(N', T(m)),   N' = N (rolled) or N cos(angle to the panel) (dabbed).
//! ```
//!
//! Where the front moves straight along its film, the film goes down as it lies. At the
//! first press both spans and the pad start from one tension: one more root.
//!
//! Edge-first: nothing rests beyond the fronts, and the film between them has one tension,
//! sum over zones of lambda(N, zone) times film = length of the window.
//!
//! On a rim read in facets film in the air meets the curve and not a corner of the facets, so
//! drag sets in where [`super::bend`] says: second order in the facets (a corner each: first).
//!
//! Steps: Dormand and Prince's fifth-order pair, never across a change of corner, a vertex
//! or a zone's end at the front. What it assumes: film that rests never loses tension; the
//! largest fall is reported. Film slides only towards the front.
//!
//! Accuracy: 1e-6 relative in the peak; with even heat and no friction 1e-8 (tested
//! against the closed form of [`super::kernel`]).
//!
//! Source: derived for this project; J. R. Dormand, P. J. Prince (1980), "A family of
//! embedded Runge-Kutta formulae", J. Comput. Appl. Math. 6, 19–26.

mod falls;
mod inwards;
mod outer;
mod outwards;
mod span;
mod step;
mod steps;
mod strip;
mod tails;

pub(super) use inwards::{Closing, inwards};
pub(super) use outwards::outwards;
pub(super) use steps::{March, rests_at};

use super::conditions::MarchReport;
use super::piece::Piece;

/// A lay-down in the making: pieces in the order they go down.
pub(super) struct Marched {
    pub(super) pieces: Vec<Piece>,
    pub(super) report: MarchReport,
}

/// Error of one step, relative to the film still free. Larger loses the 1e-8 in the peak,
/// smaller only costs steps.
const STEP_ERROR: f64 = 1e-10;
/// Longest step as a part of the free film, so that the cubic between two steps holds.
const LONGEST_STEP: f64 = 0.1;
/// Most steps along one facet or window; a march that needs more has stalled.
const MOST_STEPS: usize = 5_000;

//! Tension of the film beyond each corner, from one number at the bond line.
//!
//! Friction multiplies and drag takes away, so with I the tension just beyond a corner,
//! l the film to the next one and Th the turning from the bond line to there,
//!
//! ```text
//! I_d = e^(mu turn) I_(d-1) + tau l_d   (tau l only where it rests)
//!     = g_d (Z + r_d),    g_d = e^(mu Th_d),   r_d = r_(d-1) + tau l_d / g_d
//! ```
//!
//! Z alone, the tension at the bond line, sets all of them, whatever the place of the
//! front. Where drag has used it up, Z is below 0 and so is every I out there: no tension.

use crate::laydown::path::Path;

/// Friction times turning up to which Z keeps the digits of the tensions inside: rounding
/// of Z grows by e to this. Film behind more friction hardly moves at all.
const MOST_FRICTION: f64 = 5.0;

/// Gain and rise of each corner.
#[derive(Debug)]
pub(super) struct Outer {
    gain: Vec<f64>,
    rise: Vec<f64>,
    /// Place of each corner on its path, the bond line being 0.
    depth: Vec<usize>,
    tau: f64,
    tame: bool,
}

impl Outer {
    pub(super) fn new(path: &Path, mu: f64, tau: f64) -> Self {
        let n = path.corners.len();
        let (mut gain, mut rise, mut depth) = (vec![1.0; n], vec![0.0; n], vec![0; n]);
        let mut turning = vec![0.0; n];
        let mut most = 0.0_f64;
        for (i, c) in path.corners.iter().enumerate() {
            // The next corner outwards was found before this one.
            if let Some(next) = c.next {
                turning[i] = turning[next] + c.turn;
                most = most.max(turning[i]);
                gain[i] = (mu * turning[i]).exp();
                let drag = if c.rests { tau * c.length } else { 0.0 };
                rise[i] = rise[next] + drag / gain[i];
                depth[i] = depth[next] + 1;
            }
        }
        Self {
            gain,
            rise,
            depth,
            tau,
            tame: tau <= 0.0 || mu * most <= MOST_FRICTION,
        }
    }

    /// Does Z hold all tensions to about rounding?
    pub(super) fn is_tame(&self) -> bool {
        self.tame
    }

    /// Drag, `MPa`.
    pub(super) fn drag(&self) -> f64 {
        self.tau
    }

    /// Z at which the tension just beyond a corner is `n`.
    pub(super) fn z(&self, corner: usize, n: f64) -> f64 {
        n / self.gain[corner] - self.rise[corner]
    }

    /// Tension just beyond a corner, below 0 where there is none.
    pub(super) fn tension(&self, corner: usize, z: f64) -> f64 {
        self.gain[corner] * (z + self.rise[corner])
    }

    /// Its slope against Z.
    pub(super) fn gain(&self, corner: usize) -> f64 {
        self.gain[corner]
    }

    /// Corners from here out to the bond line.
    pub(super) fn depth(&self, corner: usize) -> usize {
        self.depth[corner]
    }
}

//! One front going out from the press to a bond line, the free film taut ahead of it.
//!
//! The film from the front to the bond line is the hull of the panel ahead. Scanned from
//! the bond line back to the press, the corners of that hull form a stack, exactly as in
//! Andrew's hull scan; between two changes of its top the gain of the stretch has the
//! closed form of [`super::kernel::front_gain`]. One pass, constant work a vertex.

use super::kernel::front_gain;
use crate::geometry::{Point, Vector, cross, path_length};

/// A stretch of one facet along which the free film goes to one corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Front {
    /// Distance from the press at which the stretch begins and ends, mm along the panel.
    pub(crate) from: f64,
    pub(crate) to: f64,
    /// Distance of the corner from the facet's line, mm.
    pub(crate) d: f64,
    /// Free film beyond the corner, mm.
    pub(crate) c: f64,
    /// Start along the facet from the foot of the corner's perpendicular, mm.
    pub(crate) u: f64,
    /// Gain of the whole stretch.
    pub(crate) gain: f64,
}

impl Front {
    fn new((from, to): (f64, f64), (d, c, u): (f64, f64, f64), gain: f64) -> Self {
        Self {
            from,
            to,
            d,
            c,
            u,
            gain,
        }
    }

    /// Gain from the start of the stretch to `at` mm from the press.
    pub(crate) fn gain_to(&self, at: f64) -> f64 {
        if at >= self.to {
            return self.gain;
        }
        front_gain(self.d, self.c, self.u, self.u + (at - self.from))
    }

    /// Free film with the front at `at` mm from the press, mm.
    pub(crate) fn free(&self, at: f64) -> f64 {
        let u = self.u + (at - self.from);
        self.c + (u * u + self.d * self.d).sqrt()
    }
}

/// Sends a front along `chain`, from the press to the bond line.
///
/// # Arguments
/// * `chain`: the panel from the press outwards, at least one point.
/// * `right`: whether it runs to the right.
/// * `stretch`: called for each stretch, from the bond line back to the press.
///
/// Returns the taut length from the press to the bond line before the front sets out, mm.
pub(crate) fn spread(chain: &[Point], right: bool, mut stretch: impl FnMut(Front)) -> f64 {
    let sign = if right { 1.0 } else { -1.0 };
    let n = chain.len();
    if n < 2 {
        return 0.0;
    }
    let mut far = path_length(chain);
    // Corners of the free film: the point, and the film from it to the bond line.
    let mut corners: Vec<(Point, f64)> = Vec::with_capacity(n.min(1 << 16));
    corners.push((chain[n - 1], 0.0));
    for i in (0..n - 1).rev() {
        let (p, v) = (chain[i], chain[i + 1]);
        let facet = v - p;
        let length = facet.norm();
        let near_start = far - length;
        let along = facet / length;
        let c_v = corners[corners.len() - 1].1;
        if corners.len() >= 2
            && sign * cross(along, corners[corners.len() - 2].0 - v) > 1e-15 * length.max(c_v)
        {
            // The film leaves the panel at the front: the facet's far end is no corner.
            corners.pop();
            let ends = (near_start, far);
            far = rise((p, v), along, sign, ends, &mut corners, &mut stretch);
        } else {
            stretch(Front::new((near_start, far), (0.0, c_v, -length), 0.0));
            corners.push((p, c_v + length));
            far = near_start;
        }
    }
    corners[corners.len() - 1].1
}

/// The stretches of the facet from `p` to `v` while the free film is in the air, from `v`
/// back to `p`; then `p` becomes the nearest corner. Returns the start of the facet.
fn rise(
    (p, v): (Point, Point),
    along: Vector,
    sign: f64,
    (start, mut far): (f64, f64),
    corners: &mut Vec<(Point, f64)>,
    stretch: &mut impl FnMut(Front),
) -> f64 {
    // Position of `far` along the facet, and of the facet's ends seen from each corner.
    let mut near = v;
    let mut k = corners.len() - 1;
    loop {
        let (corner, c) = corners[k];
        // The corner goes where the line through it and the next one cuts the facet.
        let cut = (k > 0)
            .then(|| {
                let beyond = corners[k - 1].0 - corner;
                let at_p = sign * cross(corner - p, beyond);
                let at_near = sign * cross(corner - near, beyond);
                (at_p > 0.0).then(|| (at_near.min(0.0) / (at_near.min(0.0) - at_p)).clamp(0.0, 1.0))
            })
            .flatten();
        let (end, from) = match cut {
            Some(t) => (near + (p - near) * t, far + (start - far) * t),
            None => (p, start),
        };
        if from < far {
            let d = cross(along, corner - end).abs();
            let u = (end - corner).dot(&along);
            let gain = front_gain(d, c, u, u + (far - from));
            stretch(Front::new((from, far), (d, c, u), gain));
        }
        if cut.is_none() {
            corners.truncate(k + 1);
            corners.push((p, c + (corner - p).norm()));
            return start;
        }
        near = end;
        far = from;
        k -= 1;
    }
}

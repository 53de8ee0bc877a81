//! The panel as a given tip can press film on to it.

use crate::section::{Closing, OutOfReach, Polyline, Recess, Zone, taut_length};

/// A recess with the closing by the tool's tip: what film is laid on.
///
/// Landmarks and the plain rule belong to the bare panel; lay-down, arc and mean to the
/// closing. With a pointed tip (radius 0) both are the same.
#[derive(Debug, Clone)]
pub struct Bed<'a> {
    recess: &'a Recess,
    closing: Closing,
    pad: f64,
    press: f64,
    lips: (f64, f64),
    coarse: Option<Coarse>,
}

/// A chain with few vertices in place of the closing.
#[derive(Debug, Clone)]
struct Coarse {
    line: Polyline,
    /// Arc lengths of its vertices on the closing, mm.
    closed: Vec<f64>,
}

/// Vertices above which a bed has a coarse one: below that a lay-down takes less than what
/// is done with it.
const MANY: usize = 2000;
/// Distances from the chain within which vertices are left out, mm, the first that leaves few
/// enough. Peaks are off by a part of about 1e-6 by the first; scans rounded to 0.0001 mm
/// need the second, and 0.001 mm is what the tip's own arcs are off by.
const WITHIN: [f64; 3] = [1e-5, 1e-4, 1e-3];

impl<'a> Bed<'a> {
    /// Prepares a recess for a tool.
    ///
    /// # Arguments
    /// * `pad`: contact width along the panel in the section, mm, 0 or more.
    /// * `tip_radius`: radius of the tip, mm, 0 or more.
    pub fn new(recess: &'a Recess, pad: f64, tip_radius: f64) -> Self {
        let closing = Closing::new(recess.panel(), tip_radius);
        let at = |s: f64| closing.line().snap(closing.locate(recess.panel(), s));
        let (left, right) = recess.outer();
        let (press, lips) = (at(recess.press()), (at(left), at(right)));
        Self {
            recess,
            closing,
            pad,
            press,
            lips,
            coarse: None,
        }
    }

    /// The same bed on a chain with few vertices, to search on: what is found is off by a
    /// part of 1e-6 or so, either way, and is to be laid on the bed itself before it is said.
    /// `None` where there are not many vertices, or none that can be spared.
    pub(crate) fn coarse(&self) -> Option<Self> {
        let line = self.line();
        if self.coarse.is_some() || line.points().len() <= MANY {
            return None;
        }
        let kept = WITHIN
            .iter()
            .map(|&within| line.ends_of_runs(within))
            .find(|kept| kept.len() <= MANY)?;
        let points = kept.iter().map(|&i| line.points()[i]).collect();
        let coarse = Coarse {
            line: Polyline::new(points, line.start()),
            closed: kept.into_iter().map(|i| line.lengths()[i]).collect(),
        };
        let at = |s: f64| coarse.line.snap(coarse.locate(s));
        Some(Self {
            press: at(self.press),
            lips: (at(self.lips.0), at(self.lips.1)),
            coarse: Some(coarse),
            ..self.clone()
        })
    }

    /// The recess.
    pub fn recess(&self) -> &'a Recess {
        self.recess
    }
    /// What film is laid on.
    pub fn line(&self) -> &Polyline {
        match &self.coarse {
            Some(coarse) => &coarse.line,
            None => self.closing.line(),
        }
    }
    /// Pad, mm.
    pub fn pad(&self) -> f64 {
        self.pad
    }
    /// The press, arc length on the bed, mm.
    pub fn press(&self) -> f64 {
        self.press
    }
    /// Lips (on a step's lower side the foot), arc lengths on the bed, mm.
    pub fn lips(&self) -> (f64, f64) {
        self.lips
    }
    /// A place of the bare panel, on the bed; arc lengths, mm. Within 1e-6 mm of a vertex it
    /// is on it, so that no sliver of a facet is laid.
    pub fn locate(&self, s: f64) -> f64 {
        let closed = self.closing.locate(self.recess.panel(), s);
        let at = self.coarse.as_ref().map_or(closed, |c| c.locate(closed));
        self.line().snap(at)
    }

    /// What a tool at `press` lays at once between two bond lines, arc lengths, mm.
    pub(crate) fn under_pad(&self, press: f64, left: f64, right: f64) -> (f64, f64) {
        let end = |s: f64| self.line().snap(s).max(left).min(right);
        (end(press - 0.5 * self.pad), end(press + 0.5 * self.pad))
    }
    /// Taut length between two places of the bed, mm.
    pub fn taut(&self, left: f64, right: f64) -> f64 {
        taut_length(self.line(), left, right)
    }
    /// What the tip leaves out of reach between two places of the bed.
    pub fn out_of_reach(&self, left: f64, right: f64) -> OutOfReach {
        let closed = |s: f64| self.coarse.as_ref().map_or(s, |c| c.closed(s));
        self.closing.out_of_reach(closed(left), closed(right))
    }

    /// Zone of a place of the bed: that of the bare panel at the same abscissa.
    pub fn zone(&self, s: f64) -> Zone {
        self.recess.zone(self.bare(s))
    }

    /// The place of the bare panel under or at a place of the bed, arc length, mm.
    fn bare(&self, s: f64) -> f64 {
        let panel = self.recess.panel();
        let (mut low, mut high) = (panel.start(), panel.end());
        // `locate` never falls: bisection to well below a zone's width.
        while high - low > 1e-7 {
            let middle = 0.5 * (low + high);
            if self.locate(middle) < s {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// Where the fronts of edge-first set out: the lips; a step's lower front, and any
    /// front whose bond line lies inside the lip, at the bond line.
    pub(crate) fn edge_starts(&self, left: f64, right: f64) -> (f64, f64) {
        use crate::section::Side;
        match self.recess.lower() {
            None => (self.lips.0.max(left), self.lips.1.min(right)),
            Some(Side::Right) => (self.lips.0.max(left), right),
            Some(Side::Left) => (left, self.lips.1.min(right)),
        }
    }
}

impl Coarse {
    /// Where a place of the closing is, arc lengths, mm.
    fn locate(&self, s: f64) -> f64 {
        between(&self.closed, self.line.lengths(), s)
    }

    /// The place of the closing, arc lengths, mm.
    fn closed(&self, s: f64) -> f64 {
        between(self.line.lengths(), &self.closed, s)
    }
}

/// A place by its part of the way between two of `from`, in those of `to`.
fn between(from: &[f64], to: &[f64], s: f64) -> f64 {
    let i = from.partition_point(|&f| f <= s).clamp(1, from.len() - 1);
    let t = (s - from[i - 1]) / (from[i] - from[i - 1]);
    if t <= 0.5 {
        to[i - 1] + t * (to[i] - to[i - 1])
    } else {
        to[i] - (1.0 - t) * (to[i] - to[i - 1])
    }
}

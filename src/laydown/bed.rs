//! The panel as a given tip can press film on to it.

use crate::geometry::{Closing, OutOfReach, Polyline, bracketed, taut_length};
use crate::section::{Recess, Side, Zone};

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

/// Film taut over a bed between two bond lines: what every order starts from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bridged<'a> {
    pub(super) bed: &'a Bed<'a>,
    /// Bond lines, arc lengths on the bed, mm.
    pub(super) bonds: (f64, f64),
    /// Unstretched film between them, mm.
    pub(super) taut: f64,
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

/// How near a place of the bare panel is found for its zone, mm: well below a zone's width.
const BARE: f64 = 1e-7;

/// Gap that adhesive fills, mm: it is some hundredths thick. Less, and the vertices of a rounded
/// foot count as gaps; more, and a gap that can be seen counts as bonded.
const FILLED: f64 = 0.05;

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

    /// The same bed pressed at another place of the bare panel, arc length, mm: of a channel
    /// between its lips, of a step not above its lip.
    pub(crate) fn pressed_at(mut self, s: f64) -> Self {
        let (left, right) = self.recess.outer();
        self.press = self.locate(match self.recess.lower() {
            None => s.max(left).min(right),
            Some(Side::Left) => s.min(right),
            Some(Side::Right) => s.max(left),
        });
        self
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
    /// The film between the lips before pressing, mm from the left bond line. Of a step:
    /// from the lip to as far from the lower bond line as the foot is.
    pub(crate) fn mouth_film(&self, left: f64, right: f64) -> (f64, f64) {
        let lips = self.lips();
        let taut = self.taut(left, right);
        let beyond = |from: f64, to: f64| if to > from { self.taut(from, to) } else { 0.0 };
        let to = taut - beyond(lips.1, right);
        (beyond(left, lips.0).min(to), to)
    }
    /// What the tip leaves out of reach between two places of the bed.
    pub fn out_of_reach(&self, left: f64, right: f64) -> OutOfReach {
        let closed = |s: f64| self.coarse.as_ref().map_or(s, |c| c.closed(s));
        self.closing.out_of_reach(closed(left), closed(right))
    }

    /// Where film between two places of the bed hangs clear of the panel, since the tip does not
    /// reach it: arc lengths on the bed, left to right, mm.
    pub(crate) fn gaps(&self, left: f64, right: f64) -> Vec<(f64, f64)> {
        let on_bed = |s: f64| self.coarse.as_ref().map_or(s, |c| c.locate(s));
        let gaps = self
            .closing
            .gaps(FILLED)
            .map(|g| (on_bed(g.0), on_bed(g.1)));
        let inside = gaps.map(|g| (g.0.max(left), g.1.min(right)));
        inside.filter(|g| g.1 > g.0).collect()
    }

    /// Zone of a place of the bed: that of the bare panel at the same abscissa.
    pub fn zone(&self, s: f64) -> Zone {
        self.recess.zone(self.bare(s))
    }

    /// The place of the bare panel under or at a place of the bed, arc length, mm.
    fn bare(&self, s: f64) -> f64 {
        let panel = self.recess.panel();
        let miss = |at: f64| self.locate(at) - s;
        let end = |at: f64| (at, miss(at));
        // `locate` never falls.
        let (low, high) = (end(panel.start()), end(panel.end()));
        bracketed(miss, low, high, BARE).unwrap_or(if high.1 <= 0.0 { high.0 } else { low.0 })
    }

    /// Where the fronts of edge-first set out: the lips; a step's lower front, and any
    /// front whose bond line lies inside the lip, at the bond line.
    pub(crate) fn edge_starts(&self, left: f64, right: f64) -> (f64, f64) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, chain};
    use crate::section::{Section, Survey};

    /// A channel as in the README, its corners rounded by a cosine, read every 0.003 mm and
    /// rounded to `unit` mm.
    fn scan(unit: f64) -> Recess {
        let y = |x: f64| match x.abs() {
            a if a <= 20.0 => -25.0,
            a if a >= 40.0 => 0.0,
            a => -12.5 * (1.0 + (std::f64::consts::PI * (a - 20.0) / 20.0).cos()),
        };
        let round = |v: f64| (v / unit).round() * unit;
        let points: Vec<Point> = (-33_000..=33_000)
            .map(|k| f64::from(k) * 0.003)
            .map(|x| Point::new(round(x), round(y(x))))
            .collect();
        let section = Section::new("scan", &points).unwrap();
        Recess::find(section, Survey::default()).unwrap()
    }

    #[test]
    fn a_coarse_bed_has_few_vertices_and_nearly_the_same_peaks() {
        let recess = scan(1e-6);
        let bed = Bed::new(&recess, 10.0, 6.0);
        let coarse = bed.coarse().unwrap();
        assert!(bed.line().points().len() > 2 * MANY);
        assert!(coarse.line().points().len() <= MANY);
        assert!(coarse.coarse().is_none());
        for reach in [0.0, 3.3, 60.0] {
            let (left, right) = recess.outer();
            let at = |bed: &Bed<'_>| {
                let ends = (bed.locate(left - reach), bed.locate(right + reach));
                let gap = bed.out_of_reach(ends.0, ends.1);
                (bed.deepest_first_peaks(ends.0, ends.1).0, gap)
            };
            let (fine, few) = (at(&bed), at(&coarse));
            // A part of 1e-6 of the elongation, as its doc says; twice that for the widest.
            assert!(
                (fine.0 - few.0).abs() <= 2e-6 * (fine.0 - 1.0),
                "{fine:?} {few:?}"
            );
            assert_eq!(fine.1, few.1);
        }
    }

    #[test]
    fn a_bed_with_few_vertices_has_no_coarse_one() {
        let section = Section::new("vee", &chain("-99,0 -40,0 0,-20 40,0 99,0")).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        assert!(Bed::new(&recess, 10.0, 6.0).coarse().is_none());
    }

    /// Reference: by hand, parts of the way; a vertex is exactly its own, the last one too.
    #[test]
    fn a_place_between_vertices_is_the_same_part_of_the_way() {
        let found =
            [0.0, 0.5, 1.0, 1.5, 2.5, 3.0].map(|s| between(&[0., 1., 3.], &[0., 2., 10.], s));
        approx::assert_abs_diff_eq!(found[..], [0.0, 1.0, 2.0, 4.0, 8.0, 10.0], epsilon = 0.0);
    }
}

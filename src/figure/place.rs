//! Free places for labels: a label goes to the best candidate that touches neither a line nor
//! another label.

use crate::draw::{Box2, Pt};

/// What labels must keep clear of.
#[derive(Debug, Clone)]
pub(super) struct Placer {
    /// Where labels may be at all.
    pub(super) within: Box2,
    /// Lines and labels keep this far apart.
    pub(super) clear: f64,
    /// Edges of bands: a label may lie over one, but better not.
    #[cfg(feature = "figures")]
    pub(super) edges: Vec<f64>,
    lines: Vec<[Pt; 2]>,
    boxes: Vec<Box2>,
}

impl Placer {
    pub(super) fn new(within: Box2, clear: f64) -> Self {
        Self {
            within,
            clear,
            #[cfg(feature = "figures")]
            edges: Vec::new(),
            lines: Vec::new(),
            boxes: Vec::new(),
        }
    }

    pub(super) fn avoid_line(&mut self, points: &[Pt]) {
        self.lines.extend(points.windows(2).map(|w| [w[0], w[1]]));
    }

    pub(super) fn avoid_box(&mut self, extent: Box2) {
        self.boxes.push(extent);
    }

    /// Whether the box lies over the edge of a band.
    #[cfg(feature = "figures")]
    pub(super) fn on_edge(&self, extent: &Box2) -> bool {
        self.edges
            .iter()
            .any(|&x| extent.left - 4.0 < x && x < extent.right + 4.0)
    }

    /// Whether a label with this box touches nothing.
    pub(super) fn is_free(&self, extent: &Box2) -> bool {
        let room = extent.grown(self.clear);
        self.within.holds(extent)
            && !self.boxes.iter().any(|b| b.meets(&room))
            && !self.lines.iter().any(|l| room.crossed_by(l[0], l[1]))
    }

    /// Whether a thin line between two points would cross a label.
    pub(super) fn crosses_a_label(&self, a: Pt, b: Pt) -> bool {
        self.boxes.iter().any(|l| l.grown(4.0).crossed_by(a, b))
    }

    /// The free box with the smallest cost, which is then taken.
    pub(super) fn take(
        &mut self,
        candidates: impl IntoIterator<Item = (f64, Box2)>,
    ) -> Option<Box2> {
        self.take_if(candidates, |_| true)
    }

    /// As [`Placer::take`], among the boxes that `fits` accepts; it is asked last.
    pub(super) fn take_if(
        &mut self,
        candidates: impl IntoIterator<Item = (f64, Box2)>,
        fits: impl Fn(&Box2) -> bool,
    ) -> Option<Box2> {
        let mut ranked: Vec<(f64, Box2)> =
            candidates.into_iter().filter(|c| c.0.is_finite()).collect();
        crate::geometry::sort_by_number(&mut ranked, |candidate| candidate.0);
        let found = ranked
            .into_iter()
            .map(|(_, extent)| extent)
            .find(|extent| self.is_free(extent) && fits(extent));
        self.boxes.extend(found);
        found
    }
}

/// Boxes of one size on a grid around a point, cheaper the nearer; `up` is what a place
/// below the point costs more than one above.
pub(super) fn around(p: Pt, size: [f64; 2], reach: f64, up: f64) -> Vec<(f64, Box2)> {
    let steps = |reach: f64, step: f64| {
        let mut offsets = vec![0.0];
        let mut d = step;
        while d <= reach {
            offsets.extend([d, -d]);
            d += step;
        }
        offsets
    };
    let mut found = Vec::new();
    for dy in steps(reach, 6.0) {
        for dx in steps(reach + size[0] / 2.0, 10.0) {
            let extent = Box2::around([p[0] + dx, p[1] + dy], size);
            let near = extent.nearest(p);
            let gap = (near[0] - p[0]).hypot(near[1] - p[1]);
            found.push((
                gap + 0.15 * dx.abs() + if dy > 0.0 { up } else { 0.0 },
                extent,
            ));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNIT: Box2 = Box2 {
        left: 0.0,
        top: 0.0,
        right: 1.0,
        bottom: 1.0,
    };

    #[test]
    fn a_line_through_a_box_is_seen_and_one_past_it_is_not() {
        assert!(UNIT.crossed_by([-1.0, 0.5], [2.0, 0.5]));
        assert!(UNIT.crossed_by([0.5, 0.5], [0.6, 0.6]));
        assert!(!UNIT.crossed_by([-1.0, 1.5], [2.0, 1.5]));
        assert!(!UNIT.crossed_by([-1.0, 1.0], [1.0, 3.1]));
    }

    #[test]
    fn labels_at_one_point_end_up_apart() {
        let all = Box2 {
            left: 0.0,
            top: 0.0,
            right: 400.0,
            bottom: 400.0,
        };
        let mut placer = Placer::new(all, 4.0);
        placer.avoid_line(&[[0.0, 200.0], [400.0, 200.0]]);
        let taken: Vec<Box2> = (0..6)
            .map(|_| {
                placer
                    .take(around([200.0, 200.0], [90.0, 30.0], 180.0, 5.0))
                    .unwrap()
            })
            .collect();
        for (i, a) in taken.iter().enumerate() {
            assert!(all.holds(a) && !a.crossed_by([0.0, 200.0], [400.0, 200.0]));
            assert!(taken[i + 1..].iter().all(|b| !a.meets(b)), "{a:?}");
        }
    }

    #[test]
    fn a_full_picture_gives_no_place() {
        let mut placer = Placer::new(UNIT, 0.0);
        assert_eq!(placer.take(around([0.5, 0.5], [3.0, 3.0], 20.0, 0.0)), None);
    }
}

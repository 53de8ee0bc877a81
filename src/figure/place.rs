//! Boxes, and free places for labels: a label goes to the best candidate that touches
//! neither a line nor another label.

/// A point of the picture, y down.
pub(super) type Pt = [f64; 2];

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Box2 {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Box2 {
    pub(super) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(super) fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    #[cfg(test)]
    pub(super) fn holds_point(&self, p: Pt) -> bool {
        (self.left..=self.right).contains(&p[0]) && (self.top..=self.bottom).contains(&p[1])
    }

    /// Whether a filled outline has a point in the box.
    #[cfg(test)]
    pub(super) fn covered_by(&self, outline: &[Pt]) -> bool {
        let sides = || outline.iter().zip(outline.iter().cycle().skip(1));
        let c = self.centre();
        // A ray to the right of the centre crosses the outline an odd number of times.
        let crossed = |(a, b): &(&Pt, &Pt)| {
            (a[1] > c[1]) != (b[1] > c[1])
                && c[0] < a[0] + (c[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
        };
        sides().any(|(a, b)| self.crossed_by(*a, *b)) || sides().filter(crossed).count() % 2 == 1
    }

    /// The box of this size around a centre.
    pub(super) fn around(centre: Pt, size: [f64; 2]) -> Self {
        let (w, h) = (size[0] / 2.0, size[1] / 2.0);
        Self {
            left: centre[0] - w,
            top: centre[1] - h,
            right: centre[0] + w,
            bottom: centre[1] + h,
        }
    }

    pub(super) fn centre(&self) -> Pt {
        [
            (self.left + self.right) / 2.0,
            (self.top + self.bottom) / 2.0,
        ]
    }

    pub(super) fn corners(&self) -> [Pt; 4] {
        [
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ]
    }

    /// The point of the box nearest to `p`.
    pub(super) fn nearest(&self, p: Pt) -> Pt {
        [
            p[0].clamp(self.left, self.right),
            p[1].clamp(self.top, self.bottom),
        ]
    }

    /// Whether the segment from `a` to `b` has a point in the box (Liang and Barsky 1984).
    pub(super) fn crossed_by(&self, a: Pt, b: Pt) -> bool {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (p, q) in [
            (-dx, a[0] - self.left),
            (dx, self.right - a[0]),
            (-dy, a[1] - self.top),
            (dy, self.bottom - a[1]),
        ] {
            if p.abs() < 1e-12 {
                if q < 0.0 {
                    return false;
                }
            } else if p < 0.0 {
                enter = enter.max(q / p);
            } else {
                leave = leave.min(q / p);
            }
        }
        enter <= leave
    }
}

/// Whether two segments have a point in common.
pub(super) fn cross(a: Pt, b: Pt, c: Pt, d: Pt) -> bool {
    let side = |p: Pt, q: Pt, r: Pt| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}

/// Distance from `p` to the segment from `a` to `b`.
pub(super) fn distance(p: Pt, a: Pt, b: Pt) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 {
        (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p[0] - a[0] - t * dx).hypot(p[1] - a[1] - t * dy)
}

/// What labels must keep clear of.
#[derive(Debug, Clone)]
pub(super) struct Placer {
    /// Where labels may be at all.
    pub(super) within: Box2,
    /// Lines and labels keep this far apart.
    pub(super) clear: f64,
    /// Edges of bands: a label may lie over one, but better not.
    pub(super) edges: Vec<f64>,
    lines: Vec<[Pt; 2]>,
    boxes: Vec<Box2>,
}

impl Placer {
    pub(super) fn new(within: Box2, clear: f64) -> Self {
        Self {
            within,
            clear,
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

//! Points and boxes of a drawing.

/// A point of the picture, y down.
pub(crate) type Pt = [f64; 2];

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Box2 {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Box2 {
    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn grown(&self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(crate) fn holds(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    #[cfg(test)]
    pub(crate) fn holds_point(&self, p: Pt) -> bool {
        (self.left..=self.right).contains(&p[0]) && (self.top..=self.bottom).contains(&p[1])
    }

    /// Whether a filled outline has a point in the box.
    #[cfg(test)]
    pub(crate) fn covered_by(&self, outline: &[Pt]) -> bool {
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
    pub(crate) fn around(centre: Pt, size: [f64; 2]) -> Self {
        let (w, h) = (size[0] / 2.0, size[1] / 2.0);
        Self {
            left: centre[0] - w,
            top: centre[1] - h,
            right: centre[0] + w,
            bottom: centre[1] + h,
        }
    }

    pub(crate) fn centre(&self) -> Pt {
        [
            (self.left + self.right) / 2.0,
            (self.top + self.bottom) / 2.0,
        ]
    }

    pub(crate) fn corners(&self) -> [Pt; 4] {
        [
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ]
    }

    /// The point of the box nearest to `p`.
    pub(crate) fn nearest(&self, p: Pt) -> Pt {
        [
            p[0].clamp(self.left, self.right),
            p[1].clamp(self.top, self.bottom),
        ]
    }

    /// Whether the segment from `a` to `b` has a point in the box (Liang and Barsky 1984).
    pub(crate) fn crossed_by(&self, a: Pt, b: Pt) -> bool {
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

/// Distance from `p` to the segment from `a` to `b`.
pub(crate) fn distance(p: Pt, a: Pt, b: Pt) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let square = dx * dx + dy * dy;
    let t = if square > 0.0 {
        (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p[0] - a[0] - t * dx).hypot(p[1] - a[1] - t * dy)
}

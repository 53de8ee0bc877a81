//! The straight line of least distances through points, kept as sums that can be added.

use crate::geometry::{Point, Vector};

/// Weight, mean and scatter about the mean of some points.
///
/// Sums are merged about their common mean, never about an outside origin, so that
/// nothing is lost where points are far from 0.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Moments {
    weight: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Moments {
    /// One point of a weight.
    pub(crate) fn of(p: Point, weight: f64) -> Self {
        Self {
            weight,
            x: p.x,
            y: p.y,
            ..Self::default()
        }
    }

    /// The moments of both sets together.
    #[must_use]
    pub(crate) fn with(self, other: &Self) -> Self {
        if self.weight <= 0.0 {
            return *other;
        }
        let weight = self.weight + other.weight;
        let part = other.weight / weight;
        let (dx, dy) = (other.x - self.x, other.y - self.y);
        let lever = self.weight * part;
        Self {
            weight,
            x: self.x + part * dx,
            y: self.y + part * dy,
            xx: self.xx + other.xx + lever * dx * dx,
            xy: self.xy + other.xy + lever * dx * dy,
            yy: self.yy + other.yy + lever * dy * dy,
        }
    }

    /// Sum of squared distances to the best line, mm²: the smaller eigenvalue of the
    /// scatter.
    pub(crate) fn rss(&self) -> f64 {
        let (half, off) = (0.5 * (self.xx - self.yy), self.xy);
        let large = 0.5 * (self.xx + self.yy) + (half * half + off * off).sqrt();
        if large > 0.0 {
            ((self.xx * self.yy - off * off) / large).max(0.0)
        } else {
            0.0
        }
    }

    /// Their mean.
    pub(crate) fn mean(&self) -> Point {
        Point::new(self.x, self.y)
    }

    /// Direction of the best line, unit length, within 90 degrees of `along`; `None` where
    /// the points lie on one spot.
    pub(crate) fn direction(&self, along: Vector) -> Option<Vector> {
        let (half, off) = (0.5 * (self.xx - self.yy), self.xy);
        let root = (half * half + off * off).sqrt();
        // Of the two forms of the eigenvector, the one that does not cancel.
        let v = if half >= 0.0 {
            Vector::new(half + root, off)
        } else {
            Vector::new(off, root - half)
        };
        let length = v.norm();
        (length > 0.0).then(|| if v.dot(&along) < 0.0 { -v } else { v } / length)
    }
}

#[cfg(test)]
mod tests {
    use super::{Moments, Point, Vector};
    use approx::assert_relative_eq;

    #[test]
    fn merged_moments_give_the_line_of_least_distances() {
        // Reference: by hand: (0, 1), (0, -1), (4, 1), (4, -1) far from 0: the line runs
        // along x through the middle, each point 1 off.
        let points = [(0.0, 1.0), (0.0, -1.0), (4.0, 1.0), (4.0, -1.0)];
        let sum = points.iter().fold(Moments::default(), |m, &(x, y)| {
            m.with(&Moments::of(Point::new(1e5 + x, 2e4 + y), 1.0))
        });
        assert_relative_eq!(sum.rss(), 4.0, max_relative = 1e-9);
        let u = sum.direction(Vector::new(-1.0, 0.3)).unwrap();
        assert_relative_eq!(u.x, -1.0, max_relative = 1e-12);
        assert_relative_eq!(sum.mean().x, 1e5 + 2.0, max_relative = 1e-12);
    }
}

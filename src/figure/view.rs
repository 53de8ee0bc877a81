//! From millimetres to the picture of the readings.

use super::sight::Sight;
use crate::draw::{Box2, Pt};
use crate::geometry::Point;

/// Room for labels above the highest panel, picture units.
const ABOVE: f64 = 84.0;
/// Between the drawing and the strip under it.
pub(super) const BETWEEN: f64 = 20.0;

/// From millimetres to the picture.
pub(super) struct View {
    /// Picture units a millimetre.
    pub(super) scale: f64,
    pub(super) left: f64,
    from: f64,
    high: f64,
    low: f64,
    /// Where the highest panel is drawn.
    level: f64,
    /// Room over the highest and under the lowest panel.
    over: f64,
    under: f64,
}

impl View {
    /// The largest scale at which the section, what was dropped about it, and the labels fit
    /// above a strip of that height.
    pub(super) fn new(sight: &Sight, room: Box2, strip: Option<f64>, under: f64) -> Self {
        let height = room.height() - strip.map_or(0.0, |strip| strip + BETWEEN);
        let width = (sight.to - sight.from).max(1e-6);
        let above = |scale: f64| ABOVE.max((sight.seen[1] - sight.high) * scale + 18.0);
        let below = |scale: f64| under.max((sight.low - sight.seen[0]) * scale + 18.0);
        let rise = sight.high - sight.low;
        let mut scale = room.width() / width;
        // A step down of 2 % at most a hundred times: a section ever so tall is drawn.
        for _ in 0..400 {
            if above(scale) + rise * scale + below(scale) <= height {
                break;
            }
            scale *= 0.98;
        }
        let used = above(scale) + rise * scale + below(scale);
        // Alone in the picture, it stands near the middle of its room.
        let spare = if strip.is_some() {
            0.0
        } else {
            (height - used).max(0.0) * 0.4
        };
        Self {
            scale,
            left: room.left + (room.width() - scale * width).max(0.0) / 2.0,
            from: sight.from,
            high: sight.high,
            low: sight.low,
            level: room.top + spare + above(scale),
            over: above(scale),
            under: below(scale),
        }
    }

    /// Height of the drawing.
    pub(super) fn used(&self) -> f64 {
        self.over + (self.high - self.low) * self.scale + self.under
    }

    /// Lowest end of the drawing.
    pub(super) fn floor(&self) -> f64 {
        self.level + (self.high - self.low) * self.scale + self.under
    }

    /// A place, mm, in the picture.
    pub(super) fn at(&self, p: Pt) -> Pt {
        [
            self.left + (p[0] - self.from) * self.scale,
            self.level + (self.high - p[1]) * self.scale,
        ]
    }

    pub(super) fn all(&self, points: &[Pt]) -> Vec<Pt> {
        points.iter().map(|&p| self.at(p)).collect()
    }

    pub(super) fn point(&self, p: Point) -> Pt {
        self.at([p.x, p.y])
    }
}

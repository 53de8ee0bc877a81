//! How far each reading lies off the section, magnified: a strip along x with the band that
//! 95 of 100 readings should lie in.

use super::canvas::{Canvas, Type};
use super::reading_words as said;
use super::sight::Sight;
use super::view::View;
use crate::draw::{BAND, INK, PANEL, READING, Side};
use crate::draw::{Box2, Pt};
use crate::say::Voice;
use crate::section::Units;

/// Half width of the band, deviations: 95.4 % of a normal distribution.
const BAND_AT: f64 = 2.0;
/// Distance shown on either side, deviations, least and most.
const SHOWN: [f64; 2] = [3.0, 4.5];
/// Room for the heading over the strip.
const HEADING: f64 = 42.0;
const GAP: f64 = 16.0;

/// The strip.
pub(super) struct Strip<'a> {
    sight: &'a Sight,
    view: &'a View,
    area: Box2,
    sigma: f64,
    /// Distances above the section, mm, one a reading.
    off: Vec<f64>,
    /// Picture units a millimetre of distance.
    scale: f64,
    /// Left end and width of the heading.
    heading: [f64; 2],
    voice: Voice,
}

impl<'a> Strip<'a> {
    /// Room that its numbers take at the left.
    pub(super) fn beside(sigma: f64, voice: Voice) -> f64 {
        Type::Body.width(&label(-BAND_AT * sigma, voice)) + GAP
    }

    /// Room that further lines of its heading take where the picture is so narrow.
    pub(super) fn more_heading(width: f64) -> f64 {
        let longest = heading(999.0, 1.0, 88.88, Voice::picture(Units::Mm));
        let lines = Type::Body.wrap(&longest, width).len();
        (said::count(lines) - 1.0) * Type::Body.leading()
    }

    pub(super) fn new(
        sight: &'a Sight,
        view: &'a View,
        room: Box2,
        heading: [f64; 2],
        sigma: f64,
        voice: Voice,
    ) -> Self {
        let off: Vec<f64> = sight.kept.iter().map(|&p| above(p, &sight.line)).collect();
        let largest = off.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        let shown = largest.clamp(SHOWN[0] * sigma, SHOWN[1] * sigma);
        let area = Box2 {
            top: room.top + HEADING + Self::more_heading(heading[1]),
            ..room
        };
        Self {
            scale: area.height() / 2.0 / shown,
            sight,
            view,
            area,
            sigma,
            off,
            heading,
            voice,
        }
    }

    pub(super) fn draw(&self, canvas: &mut Canvas) {
        let [left, width] = self.heading;
        let first = self.area.top - 16.0 - Self::more_heading(width);
        canvas.paragraph(&self.heading(), [left, first], width, Type::Body);
        let band = Box2 {
            top: self.y(BAND_AT * self.sigma),
            bottom: self.y(-BAND_AT * self.sigma),
            ..self.area
        };
        canvas.fill(&band.corners(), BAND);
        let ends = |y: f64| [[self.area.left, y], [self.area.right, y]];
        for v in [BAND_AT * self.sigma, -BAND_AT * self.sigma] {
            canvas.stroke(&ends(self.y(v)), PANEL, 1.5);
        }
        for (p, v) in self.sight.kept.iter().zip(&self.off) {
            let y = self.y(*v).clamp(self.area.top, self.area.bottom);
            canvas.dot([self.view.at(*p)[0], y], READING, 2.6);
        }
        canvas.stroke(&ends(self.y(0.0)), INK, 1.6);
        for v in [BAND_AT * self.sigma, 0.0, -BAND_AT * self.sigma] {
            let at = [self.area.left - GAP, self.y(v) + 9.0];
            canvas.write(&label(v, self.voice), at, Side::Right, Type::Body);
        }
    }

    fn y(&self, off: f64) -> f64 {
        self.area.centre()[1] - off * self.scale
    }

    fn heading(&self) -> String {
        let within = |v: &&f64| v.abs() <= BAND_AT * self.sigma;
        let inside = said::count(self.off.iter().filter(within).count());
        let all = said::count(self.off.len()).max(1.0);
        let times = rounded(self.scale / self.view.scale);
        heading(times, inside / all, BAND_AT * self.sigma, self.voice)
    }
}

/// What the strip shows, so many times enlarged, with that share of the readings in its band.
fn heading(times: f64, share: f64, band: f64, voice: Voice) -> String {
    format!(
        "How far readings lie off the section, {} times enlarged: {} within {}",
        voice.number(times, 1),
        voice.share(100.0 * share),
        voice.give_or_take(&voice.fine(band))
    )
}

/// A distance with its sign.
fn label(off: f64, voice: Voice) -> String {
    let size = voice.fine(off.abs());
    match off.total_cmp(&0.0) {
        std::cmp::Ordering::Greater => format!("+{size}"),
        std::cmp::Ordering::Less => format!("\u{2212}{size}"),
        std::cmp::Ordering::Equal => "0".to_owned(),
    }
}

/// A magnification to two figures.
fn rounded(v: f64) -> f64 {
    let ten = 10.0_f64.powf(v.max(1e-9).log10().floor() - 1.0);
    (v / ten).round() * ten
}

/// Distance of a point from a chain, positive above it.
fn above(p: Pt, line: &[Pt]) -> f64 {
    let mut nearest = (f64::INFINITY, 0.0);
    for w in line.windows(2) {
        let off = crate::draw::distance(p, w[0], w[1]);
        if off < nearest.0 {
            let side =
                (w[1][0] - w[0][0]) * (p[1] - w[0][1]) - (w[1][1] - w[0][1]) * (p[0] - w[0][0]);
            nearest = (off, off.copysign(side));
        }
    }
    nearest.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distance_is_positive_above_the_panel() {
        // Reference: by hand, a wall down at x = 0 with solid to the left and below.
        let wall = [[-10.0, 0.0], [0.0, 0.0], [0.0, -5.0], [10.0, -5.0]];
        for (p, off) in [
            ([-5.0, 0.3], 0.3),
            ([-5.0, -0.3], -0.3),
            ([0.2, -2.5], 0.2),
            ([5.0, -4.0], 1.0),
        ] {
            assert!((above(p, &wall) - off).abs() < 1e-12, "{p:?}");
        }
    }

    #[test]
    fn a_magnification_has_two_figures() {
        assert!((rounded(46.7) - 47.0).abs() < 1e-9);
        assert!((rounded(467.0) - 470.0).abs() < 1e-9);
    }
}

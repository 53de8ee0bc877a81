//! The plan of a closed end: panel, film in bands, lines of the front, lip, foot, pad and tape.

use super::canvas::Canvas;
use super::cividis::{STEPS, luminance, step_colour, step_of};
use super::end::{EndLook, Half, Sight, cased};
use super::end_cells::{Corner, bands, dots, hatch};
use super::place::Placer;
use crate::draw::{Box2, INK, PANEL, Pt, WHITE};
use crate::ends::Spot;

/// Film too wide by less than this part is not seen to crease.
const CREASED: f64 = 1e-3;

/// Luminance of film under which its front lines are light.
const DARK: f64 = 0.12;
/// Front lines nearer than this are a tone, picture units.
const NEAREST: f64 = 6.0;

/// A plan in the picture.
pub(super) struct EndPlan<'a> {
    pub(super) end: &'a EndLook<'a>,
    pub(super) half: &'a Half,
    pub(super) sight: Sight,
}

impl EndPlan<'_> {
    /// The panel about the film.
    pub(super) fn panel(&self, canvas: &mut Canvas, window: &Box2) {
        canvas.fill(&window.corners(), PANEL);
    }

    fn corners(&self, rows: [usize; 2], value: impl Fn(&Spot) -> f64) -> Vec<[Corner; 4]> {
        let quads = self.half.quads(rows).into_iter();
        quads
            .map(|q| [0, 1, 2, 3].map(|k| (self.sight.spot(&q[k]), value(&q[k]))))
            .collect()
    }

    /// Laid film between two rows, coloured by its elongation, hatched where it is over.
    pub(super) fn film(&self, canvas: &mut Canvas, rows: [usize; 2]) {
        let quads = self.corners(rows, |s| self.end.ratio(s));
        let level = |k: usize| f64::from(u32::try_from(k).unwrap_or(0)) / 20.0;
        bands(canvas, &quads, step_of, level, step_colour);
        hatch(canvas, &quads);
    }

    /// Laid film shaded by the ink on it, of `inks` from thin to full.
    pub(super) fn ink(&self, canvas: &mut Canvas, inks: &[[u8; 3]]) {
        let last = inks.len() - 1;
        let count = f64::from(u32::try_from(last).unwrap_or(1));
        // A shade for what is nearest to it, so that full ink is one.
        let at = |k: usize| (f64::from(u32::try_from(k).unwrap_or(0)) - 0.5) / count;
        let step = |v: f64| (0..=last).rev().find(|&k| v >= at(k)).unwrap_or(0);
        let quads = self.corners([0, self.half.rows() - 1], |s| 1.0 / s.area());
        bands(canvas, &quads, step, at, |k| inks[k]);
    }

    /// Dots where film draws together; whether there are any.
    pub(super) fn creases(&self, canvas: &mut Canvas) {
        let rows = [0, self.half.rows() - 1];
        let quads = self.corners(rows, |s| 1.0 - s.stretch[1] * s.stretch[0].sqrt() - CREASED);
        let steps: Vec<usize> = (self.half.quads(rows).iter())
            .map(|q| step_of(self.end.ratio(&q[0])))
            .collect();
        dots(canvas, &quads, |i| step_colour(steps[i].min(STEPS - 1)));
    }

    /// The rows of laid film as thin lines, light on dark.
    pub(super) fn fronts(&self, canvas: &mut Canvas, rows: [usize; 2]) {
        let n = self.half.columns.len();
        let mut last: Option<Pt> = None;
        for j in rows[0]..=rows[1] {
            let tip = self.sight.spot(&self.half.columns[n - 1][j]);
            if last.is_some_and(|q| (tip[0] - q[0]).hypot(tip[1] - q[1]) < NEAREST) {
                continue;
            }
            last = Some(tip);
            let line = self.line(|k| self.half.columns[k][j].at);
            let dark = |i: usize| {
                let k = i.min(2 * n - 1 - i);
                luminance(step_colour(step_of(
                    self.end.ratio(&self.half.columns[k][j]),
                ))) < DARK
            };
            let mut from = 0;
            for i in 1..line.len() {
                if i + 1 == line.len() || dark(i) != dark(from) {
                    let colour = if dark(from) { [0xc8, 0xcc, 0xd2] } else { INK };
                    canvas.stroke(&line[from..=i], colour, 0.9);
                    from = i;
                }
            }
        }
    }

    /// A line round the end, one point of each column.
    pub(super) fn line(&self, point: impl Fn(usize) -> [f64; 3]) -> Vec<Pt> {
        self.sight.all(&self.half.round(point))
    }

    pub(super) fn tape(&self) -> Vec<Pt> {
        self.line(|k| self.half.lines[k][2])
    }

    /// Foot and lip, the edge of the pad, and the tape, `strong` wide.
    pub(super) fn lines(&self, canvas: &mut Canvas, strong: f64, pad: bool) {
        for which in [0, 1] {
            let line = self.line(|k| self.half.lines[k][which]);
            cased(canvas, &line, 0.36 * strong);
        }
        if pad {
            let line = self.line(|k| self.half.press[k][1]);
            for (colour, width) in [(WHITE, 0.9 * strong), (INK, 0.5 * strong)] {
                canvas.scene.dashed(&line, colour, &[3.0, 7.0], width);
            }
        }
        canvas.stroke(&self.tape(), INK, strong);
    }

    /// Keeps labels off film and lines.
    pub(super) fn avoid(&self, placer: &mut Placer) {
        let rows = self.half.rows();
        for j in 0..rows {
            placer.avoid_line(&self.line(|k| self.half.columns[k][j].at));
        }
        placer.avoid_line(&self.tape());
        placer.avoid_line(&self.line(|k| self.half.lines[k][1]));
    }

    /// Whether a box has a corner over film.
    pub(super) fn covers(&self, extent: &Box2) -> bool {
        let tape = self.tape();
        extent.corners().iter().any(|&p| holds(&tape, p))
    }
}

/// Whether a place is inside an outline: a ray to the right crosses it an odd number of times.
fn holds(outline: &[Pt], p: Pt) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = |(a, b): &(&Pt, &Pt)| {
        (a[1] > p[1]) != (b[1] > p[1])
            && p[0] < a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    };
    sides.filter(crossed).count() % 2 == 1
}

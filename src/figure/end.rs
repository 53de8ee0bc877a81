//! Film laid round a closed end, as its pictures see it: the right half and its mirror image,
//! cut where the end is no longer felt, and its way into the picture.

use super::canvas::Canvas;
use super::paper::FigureError;
use super::sheet::{finite, positive};
use crate::advice::{EndReport, Job};
use crate::draw::{INK, Pt, WHITE};
use crate::ends::{LAW_DOUBT, LaidEnd, Spot};
use crate::laydown::OrderName;
use crate::say::EndNumbers;
use crate::section::Zone;

/// Film in view inwards of the end's foot, in lengths over which the end is felt.
const IN_VIEW: f64 = 1.3;

/// What a picture of an end shows.
#[derive(Debug, Clone, Copy)]
pub struct EndLook<'a> {
    /// The film as it was laid.
    pub laid: &'a LaidEnd,
    /// How.
    pub order: OrderName,
    /// What its elongations are raised by, because the section is no trapezoid; 1 for one.
    pub raised: f64,
    /// The film class.
    pub film_name: &'a str,
    /// Its limits, as ratios: of elongation, and of the gain of area.
    pub limit: f64,
    /// See `limit`.
    pub area_limit: Option<f64>,
    /// Part of elongation and area that is in doubt.
    pub doubt: f64,
    /// Whether it is called within.
    pub within: bool,
}

impl<'a> EndLook<'a> {
    /// How a report's end looks, as it was laid for it.
    pub fn of(job: &'a Job<'_>, end: &EndReport, laid: &'a LaidEnd) -> Self {
        let said = end.laid().map_or(0.0, |said| 0.01 * said.elongation.pct);
        Self {
            laid,
            order: end.order,
            raised: said / (laid.most.stretch[0] - 1.0),
            film_name: &job.film.name,
            limit: job.film.limit(),
            area_limit: job.film.area_limit(),
            doubt: LAW_DOUBT,
            within: end.within_limit,
        }
    }
}

impl EndLook<'_> {
    /// Refuses what cannot be drawn.
    pub(super) fn examine(&self) -> Result<(), FigureError> {
        positive("the limit", self.limit)?;
        if self.laid.columns.len() < 2 || self.laid.columns.iter().any(|c| c.len() < 2) {
            return Err(FigureError::Nothing {
                found: "an end without film",
                expected: "columns of laid film",
            });
        }
        for spot in self.laid.columns.iter().flatten() {
            let all = spot.at.into_iter().chain(spot.film).chain(spot.stretch);
            for v in all {
                finite("a number of an end", v)?;
            }
        }
        Ok(())
    }

    /// The answer.
    pub(super) fn numbers(&self) -> EndNumbers {
        EndNumbers {
            most: 100.0 * self.raised * (self.laid.most.stretch[0] - 1.0),
            limit: 100.0 * self.limit,
            area: 100.0 * self.raised * (self.laid.thinnest.area() - 1.0),
            area_limit: self.area_limit.map(|a| 100.0 * a),
            doubt: self.doubt,
            within: self.within,
        }
    }

    /// Elongation over the limit.
    pub(super) fn ratio(&self, spot: &Spot) -> f64 {
        self.raised * (spot.stretch[0] - 1.0) / self.limit
    }

    /// Is film anywhere over the limit?
    pub(super) fn over(&self) -> bool {
        self.ratio(&self.laid.most) > 1.0
    }

    /// Pressed from the press line outwards?
    pub(super) fn outwards(&self) -> bool {
        self.order != OrderName::EdgeFirst
    }

    /// Where film is stretched most.
    pub(super) fn zone(&self) -> Zone {
        self.laid.zone(&self.laid.most)
    }
}

/// The half that is in view.
#[derive(Debug, Clone)]
pub(super) struct Half {
    /// Columns from the cut to the tip.
    pub(super) columns: Vec<Vec<Spot>>,
    /// Foot, lip and tape of each; press line and edge of the pad.
    pub(super) lines: Vec<[[f64; 3]; 3]>,
    pub(super) press: Vec<[[f64; 3]; 2]>,
    /// Place of the cut and of the tape at the tip, mm along the recess.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Half the distance from tape to tape.
    pub(super) wide: f64,
}

fn mixed<const N: usize>(a: [f64; N], b: [f64; N], t: f64) -> [f64; N] {
    std::array::from_fn(|i| a[i] + t * (b[i] - a[i]))
}

/// The film at a part of the way from one spot to another.
pub(super) fn between(p: &Spot, q: &Spot, t: f64) -> Spot {
    Spot {
        at: mixed(p.at, q.at, t),
        film: mixed(p.film, q.film, t),
        stretch: mixed(p.stretch, q.stretch, t),
    }
}

impl Half {
    /// The half as far in as the end is felt, or `long` where that is more, mm.
    pub(super) fn of(laid: &LaidEnd, long: f64) -> Self {
        let size = laid.case.size;
        let least = size.run + size.press_stop + 0.5 * laid.case.section.mouth;
        let most = -laid.columns[0][0].at[2];
        let felt = (IN_VIEW * laid.felt + size.run).max(long - laid.case.end_reach);
        let wanted = -felt.max(least).min(most);
        let behind = |c: &Vec<Spot>| c[0].at[2] < wanted - 1e-9;
        let first = laid.columns.iter().take_while(|c| behind(c)).count();
        let (mut columns, mut lines, mut press) = (Vec::new(), Vec::new(), Vec::new());
        if first > 0 && first < laid.columns.len() {
            let (a, b) = (&laid.columns[first - 1], &laid.columns[first]);
            let t = (wanted - a[0].at[2]) / (b[0].at[2] - a[0].at[2]);
            columns.push(a.iter().zip(b).map(|(p, q)| between(p, q, t)).collect());
            let of = |k: usize| mixed(laid.lines[first - 1][k], laid.lines[first][k], t);
            lines.push([of(0), of(1), of(2)]);
            let of = |k: usize| mixed(laid.press[first - 1][k], laid.press[first][k], t);
            press.push([of(0), of(1)]);
        }
        let first = first.min(laid.columns.len() - 2);
        columns.extend_from_slice(&laid.columns[first..]);
        lines.extend_from_slice(&laid.lines[first..]);
        press.extend_from_slice(&laid.press[first..]);
        let tapes = || lines.iter().map(|l| l[2]);
        Self {
            from: columns[0][0].at[2],
            to: tapes().map(|p| p[2]).fold(0.0, f64::max),
            wide: tapes().map(|p| p[0]).fold(0.0, f64::max),
            columns,
            lines,
            press,
        }
    }

    /// Rows of film in every column.
    pub(super) fn rows(&self) -> usize {
        self.columns.iter().map(Vec::len).min().unwrap_or(0)
    }

    pub(super) fn long(&self) -> f64 {
        self.to - self.from
    }

    /// Quads of film between two rows, column by column, the right half and then its image.
    pub(super) fn quads(&self, [first, last]: [usize; 2]) -> Vec<[Spot; 4]> {
        let strip = |side: f64, w: &[Vec<Spot>], j: usize| {
            let flip = |s: Spot| Spot {
                at: [side * s.at[0], s.at[1], s.at[2]],
                film: [side * s.film[0], s.film[1]],
                ..s
            };
            [w[0][j], w[1][j], w[1][j + 1], w[0][j + 1]].map(flip)
        };
        let mut all = Vec::new();
        for side in [1.0, -1.0] {
            for w in self.columns.windows(2) {
                all.extend((first..last).map(|j| strip(side, w, j)));
            }
        }
        all
    }

    /// A line from the cut round the tip and back: one point of each column.
    pub(super) fn round(&self, point: impl Fn(usize) -> [f64; 3]) -> Vec<[f64; 2]> {
        let n = self.columns.len();
        let there = (0..n).map(&point).map(|p| [p[0], p[2]]);
        let back = (0..n).rev().map(&point).map(|p| [-p[0], p[2]]);
        there.chain(back).collect()
    }
}

/// From millimetres of the plan to the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    /// Where the cut meets the middle, in the picture.
    pub(super) start: Pt,
    pub(super) scale: f64,
    /// Place of the cut along the recess, mm.
    pub(super) from: f64,
    /// The end at the top; else at the right.
    pub(super) upright: bool,
}

impl Sight {
    /// A place across and along the recess.
    pub(super) fn at(&self, [x, z]: [f64; 2]) -> Pt {
        let (across, along) = (x * self.scale, (z - self.from) * self.scale);
        if self.upright {
            [self.start[0] + across, self.start[1] - along]
        } else {
            [self.start[0] + along, self.start[1] - across]
        }
    }

    pub(super) fn spot(&self, spot: &Spot) -> Pt {
        self.at([spot.at[0], spot.at[2]])
    }

    pub(super) fn all(&self, points: &[[f64; 2]]) -> Vec<Pt> {
        points.iter().map(|&p| self.at(p)).collect()
    }
}

/// A line that is seen on dark film and on light.
pub(super) fn cased(canvas: &mut Canvas, points: &[Pt], width: f64) {
    canvas.stroke(points, WHITE, width + 2.4);
    canvas.stroke(points, INK, width);
}

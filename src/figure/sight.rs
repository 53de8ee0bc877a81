//! What of a section and its readings is seen in the picture of them: the part about the
//! recess, in the section's frame, and no more points than can be told apart.

use crate::draw::Pt;
use crate::geometry::Point;
use crate::section::Recess;
use crate::survey::Reading;
use std::collections::HashSet;

/// Most readings drawn, each once over the section and once in the strip: some 4000 marks
/// keep the file near 1 MB, and there are no more pixels across.
const MOST_KEPT: usize = 2000;
/// Most dropped readings drawn.
const MOST_DROPPED: usize = 500;
/// Flat seen beyond lip or foot: in widths of the mouth, in depths, whichever is more; and at
/// least this part of either, surveyed or not.
const BESIDE: (f64, f64, f64) = (0.75, 4.0, 0.2);
/// The whole survey is seen where it is at most this many times as long; and where it is of
/// few points, which were placed one by one.
const WHOLE: f64 = 1.6;
const WHOLE_OF_FEW: (usize, f64) = (60, 4.0);
/// How far a dropped reading may stand off and still be drawn in its place, in heights of the
/// section and in widths, whichever is more.
const OFF: (f64, f64) = (0.6, 0.08);

/// What is seen, mm.
pub(super) struct Sight {
    pub(super) from: f64,
    pub(super) to: f64,
    /// Lowest and highest panel seen.
    pub(super) low: f64,
    pub(super) high: f64,
    /// Lowest and highest of all that is drawn.
    pub(super) seen: [f64; 2],
    /// The panel from end to end, and the part of it that was surveyed.
    pub(super) panel: Vec<Pt>,
    pub(super) line: Vec<Pt>,
    /// Readings that were kept, as many as are drawn.
    pub(super) kept: Vec<Pt>,
    /// How many were kept within the picture.
    pub(super) kept_in_all: usize,
    /// Readings that were dropped; those far off stand at the edge.
    pub(super) dropped: Vec<Pt>,
    /// How many of them stand at the edge, and beside the picture.
    pub(super) far_off: usize,
    pub(super) beside: usize,
}

impl Sight {
    /// The recess, and the whole survey where that is not much longer.
    pub(super) fn of(recess: &Recess) -> Self {
        Self::within(recess, WHOLE, 1.0)
    }

    /// The recess with half as much of its flats: for a picture without room for more.
    pub(super) fn near(recess: &Recess) -> Self {
        Self::within(recess, 1.0, 0.5)
    }

    /// That part of the flats, and all of a survey at most `whole` times as long.
    fn within(recess: &Recess, whole: f64, flats: f64) -> Self {
        let [from, to] = window(recess, whole, flats);
        let panel = part(recess.panel(), from, to);
        let line = part(recess.section().line(), from, to);
        let [low, high] = panel
            .iter()
            .fold([f64::INFINITY, f64::NEG_INFINITY], |s, p| {
                [s[0].min(p[1]), s[1].max(p[1])]
            });
        let mut sight = Self {
            from,
            to,
            low,
            high,
            seen: [low, high],
            panel,
            line,
            kept: Vec::new(),
            kept_in_all: 0,
            dropped: Vec::new(),
            far_off: 0,
            beside: 0,
        };
        match recess.section().reading() {
            Some(reading) => sight.readings(reading),
            None => sight.keep(recess.section().line().points().iter().copied()),
        }
        sight
    }

    fn holds(&self, p: &Point) -> bool {
        (self.from..=self.to).contains(&p.x)
    }

    fn keep(&mut self, points: impl Iterator<Item = Point>) {
        let within: Vec<Pt> = points
            .filter(|p| self.holds(p))
            .map(|p| [p.x, p.y])
            .collect();
        self.kept_in_all = within.len();
        self.kept = evenly(&within, MOST_KEPT);
    }

    fn readings(&mut self, reading: &Reading) {
        let slips: HashSet<usize> = reading.slips.iter().map(|s| s.place).collect();
        let kept = reading
            .raw
            .iter()
            .enumerate()
            .filter(|(i, _)| !slips.contains(&(i + 1)))
            .map(|(_, &p)| in_frame(reading, p));
        self.keep(kept);
        let dropped: Vec<Point> = reading
            .slips
            .iter()
            .map(|s| in_frame(reading, Point::new(s.x_mm, s.y_mm)))
            .collect();
        let all = dropped.len();
        let off = (OFF.0 * (self.high - self.low)).max(OFF.1 * (self.to - self.from));
        let [lowest, highest] = [self.low - off, self.high + off];
        let within: Vec<Pt> = dropped
            .iter()
            .filter(|p| self.holds(p))
            .map(|p| [p.x, p.y])
            .collect();
        self.beside = all - within.len();
        let out = |p: &&Pt| p[1] < lowest || p[1] > highest;
        self.far_off = within.iter().filter(out).count();
        self.dropped = evenly(&within, MOST_DROPPED)
            .into_iter()
            .map(|p| [p[0], p[1].clamp(lowest, highest)])
            .collect();
        for p in self.dropped.iter().chain(&self.kept) {
            let y = p[1].clamp(lowest, highest);
            self.seen = [self.seen[0].min(y), self.seen[1].max(y)];
        }
    }
}

/// A reading in the section's frame.
fn in_frame(reading: &Reading, p: Point) -> Point {
    if !reading.turned {
        return p;
    }
    let (sin, cos) = reading.turned_deg.to_radians().sin_cos();
    let [x, y] = reading.turned_about_mm;
    let (dx, dy) = (p.x - x, p.y - y);
    Point::new(x + cos * dx + sin * dy, y + cos * dy - sin * dx)
}

/// Abscissae between which the picture lies: about the recess, as far as the survey goes, and
/// a little of both flats in any case.
fn window(recess: &Recess, whole: f64, flats: f64) -> [f64; 2] {
    let (panel, points) = (recess.panel(), recess.section().line().points());
    let (left, right) = recess.outer();
    let (left, right) = (panel.at(left).x, panel.at(right).x);
    let beside = flats * (BESIDE.0 * recess.mouth()).max(BESIDE.1 * recess.depth());
    let least = BESIDE.2 * recess.mouth().max(recess.depth());
    let (first, last) = (points[0].x, points[points.len() - 1].x);
    let ends = [
        panel.points()[0].x,
        panel.points()[panel.points().len() - 1].x,
    ];
    let mut seen = [(left - beside).max(first), (right + beside).min(last)];
    let few = points.len() <= WHOLE_OF_FEW.0 && !fitted(recess);
    let most = if few && whole > 1.0 {
        WHOLE_OF_FEW.1
    } else {
        whole
    };
    if last - first <= most * (seen[1] - seen[0]) {
        seen = [first, last];
    }
    [
        seen[0].min(left - least).max(ends[0]),
        seen[1].max(right + least).min(ends[1]),
    ]
}

fn fitted(recess: &Recess) -> bool {
    recess.section().reading().is_some_and(|r| r.fitted)
}

/// The part of a chain between two abscissae.
fn part(line: &crate::geometry::Polyline, from: f64, to: f64) -> Vec<Pt> {
    let s = |x: f64, end: f64| line.at_x(x).unwrap_or(end);
    line.between(s(from, line.start()), s(to, line.end()))
        .iter()
        .map(|p| [p.x, p.y])
        .collect()
}

/// At most so many of the points, evenly out of their order, the first and the last with them.
fn evenly(points: &[Pt], most: usize) -> Vec<Pt> {
    let last = points.len().saturating_sub(1);
    if points.len() <= most {
        return points.to_vec();
    }
    (0..most).map(|k| points[k * last / (most - 1)]).collect()
}

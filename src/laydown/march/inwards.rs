//! Edge-first by the march: two fronts close in on the press.
//!
//! The state is the film position of the left front and the film between both, so that a
//! gap that closes keeps its digits.

use super::outwards::pressed;
use super::step::{State, next_step, root, step};
use super::strip::Strip;
use super::{LONGEST_STEP, MOST_STEPS, Marched, STEP_ERROR};
use crate::film::StretchLaw;
use crate::geometry::bracketed;
use crate::laydown::close::Window;
use crate::laydown::conditions::{Conditions, LayError, Laying, MarchReport};
use crate::laydown::piece::Piece;
use crate::section::Side;

/// Free film between two fronts that goes down at once, mm.
const LAST_GAP: f64 = 1e-6;

/// Film position that is rounding, relative to those it is a difference of.
const SPECK: f64 = 1e-12;

/// What edge-first starts from.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Closing<'a> {
    /// Intervals of the closing window, from the press outwards.
    pub(in super::super) windows: &'a [Window],
    /// The press, arc length, mm, and the panel from it to both starts, mm.
    pub(in super::super) press: f64,
    pub(in super::super) reach: (f64, f64),
    /// Film positions of both fronts, mm from the left bond line.
    pub(in super::super) film: (f64, f64),
}

/// Film between two fronts, closing in.
struct Gap<'a> {
    strip: &'a Strip<'a>,
    closing: Closing<'a>,
    laying: Laying,
}

impl Gap<'_> {
    /// Length of the film between both fronts at a tension, and its slope.
    fn length(&self, [from, film]: State, n: f64) -> (f64, f64) {
        let (mut left, mut x, mut sum) = (film, from, (0.0, 0.0));
        let mut zone = self.strip.inside(from);
        while left > 0.0 {
            let (end, law) = self.strip.zone(zone);
            let (lambda, slope) = law.lambda_and_slope(n);
            let width = left.min(end - x);
            sum = (sum.0 + width * lambda, sum.1 + width * slope);
            left -= width;
            x = end;
            zone += 1;
        }
        sum
    }

    /// Tension at which the film between two places has a length.
    fn tension(&self, film: State, length: f64, guess: f64) -> Option<f64> {
        let all = film[1];
        if all.is_nan() || all <= 0.0 {
            return None;
        }
        // Film held by a window of this length, as far as `root` is concerned.
        let held = |n: f64| {
            let (l, slope) = self.length(film, n);
            (length * all / l, -length * all * slope / (l * l))
        };
        root(held, all, guess, self.strip.law(0).scale())
    }

    /// Zones just ahead of both fronts; one whose end a front has met, but for rounding, is
    /// behind it.
    fn zones(&self, [left, film]: State) -> (usize, usize) {
        let right = left + film;
        let speck = (SPECK * right.abs().max(1.0)).min(0.5 * film);
        (
            self.strip.inside(left + speck),
            self.strip.outside(right - speck),
        )
    }

    /// Stretch that both fronts lay.
    fn laid(&self, w: &Window, y: f64, zones: (usize, usize), n: f64) -> (f64, f64) {
        let cosines = match self.laying {
            Laying::Rolled => (1.0, 1.0),
            Laying::Dabbed => w.cosines(y),
        };
        (
            self.strip.law(zones.0).lambda(n * cosines.0.max(0.0)),
            self.strip.law(zones.1).lambda(n * cosines.1.max(0.0)),
        )
    }

    /// Film that each front lays per unit of closing, mm.
    fn rates(&self, laid: (f64, f64)) -> (f64, f64) {
        let reach = self.closing.reach;
        (reach.0 / laid.0, reach.1 / laid.1)
    }

    /// Change of the state per unit of closing, mm.
    fn rate(&self, laid: (f64, f64)) -> State {
        let (left, right) = self.rates(laid);
        [left, -(left + right)]
    }

    /// Pieces of both sides between two openings.
    fn cells(
        &self,
        (ya, a, la): (f64, State, (f64, f64)),
        (yb, b, lb): (f64, State, (f64, f64)),
    ) -> [Option<Piece>; 2] {
        let Closing { press, reach, .. } = self.closing;
        let ends = (press - ya * reach.0, press - yb * reach.0);
        let left = Piece::cell(Side::Left, ends, (la.0, lb.0), (a[0], b[0]));
        let (ends, film) = (
            (press + yb * reach.1, press + ya * reach.1),
            (b[0] + b[1], a[0] + a[1]),
        );
        let right = Piece::cell(Side::Right, ends, (lb.1, la.1), film);
        [
            (reach.0 > 0.0).then_some(left),
            (reach.1 > 0.0).then_some(right),
        ]
    }
}

/// Marches edge-first from the lips on to the press; pieces left to right.
pub(in super::super) fn inwards(
    closing: Closing<'_>,
    zones: &[(f64, &StretchLaw)],
    conditions: &Conditions,
) -> Result<Marched, LayError> {
    let strip = Strip::from_left(zones);
    let gap = Gap {
        strip: &strip,
        closing,
        laying: conditions.laying,
    };
    let mut report = MarchReport::default();
    let mut sides = [Vec::new(), Vec::new()];
    let mut film = [closing.film.0, closing.film.1 - closing.film.0];
    let mut n = 0.0;
    let mut open = 1.0;
    for w in closing.windows.iter().rev() {
        let mut down = |cells: [Option<Piece>; 2]| {
            for (side, cell) in sides.iter_mut().zip(cells) {
                side.extend(cell.filter(|c| c.to > c.from));
            }
        };
        if w.is_straight() {
            if n <= 0.0 {
                let lost = LayError::NotConverged { at: closing.press };
                n = gap.tension(film, w.free(w.y1), n).ok_or(lost)?;
            }
            close_along(&gap, w, (&mut film, n), &mut down);
            open = w.y0;
        } else {
            open = close_window(&gap, w, (&mut film, &mut n), &mut report, &mut down)?;
            if open > w.y0 {
                break;
            }
        }
    }
    let [mut pieces, mut to_right] = sides;
    if open > 0.0 {
        let Closing { press, reach, .. } = closing;
        let (from, to) = (press - open * reach.0, press + open * reach.1);
        let lost = LayError::NotConverged { at: press };
        let n = gap.tension(film, to - from, n).ok_or(lost)?;
        let film = (film[0], film[0] + film[1]);
        pressed((from, to), film, &strip, n, &mut pieces);
    } else {
        report.residual = film[1].abs() / (closing.film.1 - closing.film.0);
    }
    to_right.reverse();
    pieces.extend(to_right);
    Ok(Marched { pieces, report })
}

/// Closes a window whose film lies along the panel ahead: it goes down as it is.
fn close_along(
    gap: &Gap<'_>,
    w: &Window,
    (film, n): (&mut State, f64),
    down: &mut impl FnMut([Option<Piece>; 2]),
) {
    let mut y = w.y1;
    // Each front meets each end of a zone once at most.
    for _ in 0..=2 * gap.strip.count() {
        if y <= w.y0 {
            break;
        }
        let zones = gap.zones(*film);
        let laid = gap.laid(w, y, zones, n);
        let (left, right) = gap.rates(laid);
        let ends = (gap.strip.end(zones.0), gap.strip.begin(zones.1));
        // Both fronts may meet on the same film: a zone that ends behind the other front
        // ends nothing.
        let mut h = y - w.y0;
        let to_end = |room: f64, rate: f64| {
            if rate > 0.0 {
                room / rate
            } else {
                f64::INFINITY
            }
        };
        let to_left = to_end(ends.0 - film[0], left);
        let to_right = to_end(film[0] + film[1] - ends.1, right);
        let ends_zone = to_left.min(to_right) < h;
        h = h.min(to_left).min(to_right);
        let y1 = if ends_zone { y - h } else { w.y0 };
        let mut next = [film[0] + left * h, film[1] - (left + right) * h];
        if ends_zone {
            snap(&mut next, ends, to_left <= to_right, to_right <= to_left);
        }
        down(gap.cells((y, *film, laid), (y1, next, laid)));
        (y, *film) = (y1, next);
    }
}

/// Puts fronts that have met the end of a zone on it, whatever rounding says.
fn snap(film: &mut State, ends: (f64, f64), left: bool, right: bool) {
    let right_front = film[0] + film[1];
    if left {
        film[0] = ends.0;
        film[1] = right_front - ends.0;
    }
    if right {
        film[1] = ends.1 - film[0];
    }
}

/// Closes a window in steps; returns the opening where it had to end.
fn close_window(
    gap: &Gap<'_>,
    w: &Window,
    (film, n): (&mut State, &mut f64),
    report: &mut MarchReport,
    down: &mut impl FnMut([Option<Piece>; 2]),
) -> Result<f64, LayError> {
    let press = gap.closing.press;
    let lost = LayError::NotConverged { at: press };
    let panel = gap.closing.reach.0 + gap.closing.reach.1;
    let mut y = w.y1;
    let mut h = y - w.y0;
    let mut steps = 0;
    while y > w.y0 && w.free(y) > LAST_GAP {
        let zones = gap.zones(*film);
        let ends = (gap.strip.end(zones.0), gap.strip.begin(zones.1));
        let front = |y: f64, film: State, guess: f64| {
            let n = gap.tension(film, w.free(y), guess)?;
            Some((n, gap.laid(w, y, zones, n)))
        };
        let (now, laid) = front(y, *film, *n).ok_or_else(|| lost.clone())?;
        h = h.min(LONGEST_STEP * w.free(y) / panel);
        if y - w.y0 - h <= 1e-3 * h {
            h = y - w.y0;
        }
        (report.steps, steps) = (report.steps + 1, steps + 1);
        if steps > MOST_STEPS || (h < y - w.y0 && h <= 1e-14) {
            return Err(LayError::Stalled { at: press, steps });
        }
        let try_step = |h: f64| {
            let mut guess = now;
            let rate = |t: f64, film: State| {
                let (n, laid) = front(y - t, film, guess)?;
                guess = n;
                Some(gap.rate(laid))
            };
            step(rate, (0.0, *film), h, gap.rate(laid))
        };
        let tried = try_step(h).filter(|(f, _)| f[1] > 0.0);
        let allowed = STEP_ERROR * film[1];
        let ratio = tried.map_or(f64::INFINITY, |(_, e)| e[0].abs().max(e[1].abs()) / allowed);
        let Some((mut next, _)) = tried.filter(|_| ratio <= 1.0) else {
            h = next_step(h, ratio);
            continue;
        };
        let beyond = |f: State| (f[0] - ends.0).max(ends.1 - f[0] - f[1]);
        let mut taken = h;
        if beyond(next) > 0.0 {
            let miss = |h: f64| try_step(h).map_or(f64::NAN, |(f, _)| beyond(f));
            let at_start = beyond(*film).min(-0.0);
            taken = if at_start < 0.0 {
                bracketed(miss, (0.0, at_start), (h, beyond(next)), 1e-14 * h)
                    .ok_or_else(|| lost.clone())?
            } else {
                0.0
            };
            next = try_step(taken).ok_or_else(|| lost.clone())?.0;
            let near = 1e-9 * film[1];
            let at_left = (next[0] - ends.0).abs() <= near;
            let at_right = (next[0] + next[1] - ends.1).abs() <= near;
            snap(&mut next, ends, at_left, at_right);
        }
        let y1 = if taken >= y - w.y0 { w.y0 } else { y - taken };
        let (after, laid1) = front(y1, next, now).ok_or_else(|| lost.clone())?;
        down(gap.cells((y, *film, laid), (y1, next, laid1)));
        (y, *film, *n) = (y1, next, after);
        h = next_step(h, ratio);
    }
    Ok(y)
}

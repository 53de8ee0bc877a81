//! Deepest-first by the march: the press, then a front out to each bond line.

use super::span::Span;
use super::step::{State, next_step, root, step};
use super::strip::Strip;
use super::{LONGEST_STEP, MOST_STEPS, Marched, STEP_ERROR};
use crate::film::StretchLaw;
use crate::geometry::{Point, bracketed};
use crate::laydown::bend::STRAIGHT;
use crate::laydown::conditions::{Conditions, LayError, MarchReport};
use crate::laydown::path::{Leg, angle};
use crate::laydown::piece::{Law, Piece};
use crate::section::Side;

/// Film that may be missing or left over at a bond line, as a part of the bridge; the
/// steps make about 1e-10. More means that the march went wrong.
const MOST_RESIDUAL: f64 = 1e-7;
/// Longest step as a part of the way to the corner ahead: a front that passes one closely
/// turns its film there within about that distance, which the error of a longer step does
/// not see.
const NEAR: f64 = 0.35;
/// Pieces into which a facet with drag is cut, by parts of the way to no tension.
const DRAG_CELLS: f64 = 16.0;

/// Where a side's pieces lie on panel and film.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    pub(super) side: Side,
    /// Arc length at which the front sets out, mm.
    pub(super) start: f64,
    pub(super) taut: f64,
}

impl Frame {
    fn s(&self, t: f64) -> f64 {
        self.side.pick(self.start - t, self.start + t)
    }

    fn film(&self, y: f64) -> f64 {
        self.side.pick(y, self.taut - y)
    }

    /// The piece between two places of the march with film left and stretch at each.
    fn cell(&self, a: (f64, f64, f64), b: (f64, f64, f64)) -> Piece {
        let (low, high) = self.side.pick((b, a), (a, b));
        let ends = (self.s(low.0), self.s(high.0));
        let film = (self.film(low.1), self.film(high.1));
        Piece::cell(self.side, ends, (low.2, high.2), film)
    }

    /// The piece between two places with one stretch all over.
    fn even(&self, a: (f64, f64), b: (f64, f64), lambda: f64) -> Piece {
        let mut piece = self.cell((a.0, a.1, lambda), (b.0, b.1, lambda));
        piece.law = Law::Even;
        piece.base = lambda.ln();
        piece
    }
}

/// Marches deepest-first: the press, then a front out to each bond line.
///
/// # Arguments
/// * `chains`: the panel from the pad's edge to the bond line, left and right.
/// * `pad`: panel that goes down in the press, arc lengths, mm.
/// * `taut`: unstretched film between the bond lines, mm.
/// * `zones`: laws of the film, counted from the left bond line.
pub(in super::super) fn outwards(
    chains: [&[Point]; 2],
    pad: (f64, f64),
    taut: f64,
    zones: &[(f64, &StretchLaw)],
    conditions: &Conditions,
) -> Result<Marched, LayError> {
    let strips = [Strip::from_left(zones), Strip::from_right(zones)];
    let mut spans = [
        Span::new(chains[0], false, &strips[0], conditions),
        Span::new(chains[1], true, &strips[1], conditions),
    ];
    let (n, ends) = press(&mut spans, pad, taut)?;
    let mut report = MarchReport::default();
    let mut sides = [Vec::new(), Vec::new()];
    for (k, span) in spans.iter_mut().enumerate() {
        let frame = Frame {
            side: if k == 0 { Side::Left } else { Side::Right },
            start: if k == 0 { pad.0 } else { pad.1 },
            taut,
        };
        let mut ahead = Ahead {
            tension: n,
            film: ends[k],
            rested: false,
        };
        sides[k] = one_side(span, frame, &mut ahead, true, &mut report)?;
    }
    report.slack = (spans[0].slack(), spans[1].slack());
    let [mut pieces, to_right] = sides;
    pieces.reverse();
    pressed(pad, (ends[0], taut - ends[1]), &strips[0], n, &mut pieces);
    pieces.extend(to_right);
    Ok(Marched { pieces, report })
}

/// A press between two spans: film of both paths and under the pad, of `film` mm in all, at
/// one tension; that tension, and the film left ahead of each front. Rounding of the root goes
/// under the pad.
pub(super) fn press(
    spans: &mut [Span<'_>; 2],
    pad: (f64, f64),
    film: f64,
) -> Result<(f64, [f64; 2]), LayError> {
    let strip = spans[0].strip;
    let mut held = |n: f64| {
        spans
            .each_mut()
            .map(|span| match span.path.legs.first().copied() {
                Some(leg) => span.held(&leg, leg.from, n),
                None => (0.0, 0.0),
            })
    };
    let all = |n: f64| {
        let [mut y, other] = held(n);
        strip.fill(&mut y, (pad.1 - pad.0, 0.0), (n, 1.0));
        (y.0 + other.0, y.1 + other.1)
    };
    let n = root(all, film, 0.0, strip.law(0).scale());
    let n = n.ok_or(LayError::NotConverged { at: pad.0 })?;
    Ok((n, held(n).map(|film| film.0)))
}

/// The film of one press at one tension, zone by zone.
pub(super) fn pressed(
    (from, to): (f64, f64),
    (film, film_end): (f64, f64),
    strip: &Strip<'_>,
    n: f64,
    pieces: &mut Vec<Piece>,
) {
    let (mut s, mut x) = (from, film);
    while s < to {
        let zone = strip.inside(x);
        let (end, law) = strip.zone(zone);
        let lambda = law.lambda(n);
        let last = end >= film_end || s + (end - x) * lambda >= to;
        let next = (s + (end - x) * lambda, end);
        let (s1, x1) = if last { (to, film_end) } else { next };
        pieces.push(Piece::even((s, s1), lambda.ln(), (x, x1)));
        (s, x) = (s1, x1);
    }
}

/// What a front has before it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ahead {
    /// Tension at the front, N/mm, and unstretched film up to the far end, mm.
    pub(super) tension: f64,
    pub(super) film: f64,
    /// Did the film next to the front rest there before?
    pub(super) rested: bool,
}

/// Sends a front from the press to the bond line, or (not `whole`) to where its path ends;
/// pieces from the press outwards. `ahead` is what it has before it, then and afterwards.
pub(super) fn one_side(
    span: &mut Span<'_>,
    frame: Frame,
    ahead: &mut Ahead,
    whole: bool,
    report: &mut MarchReport,
) -> Result<Vec<Piece>, LayError> {
    let (mut n, mut m) = (ahead.tension, ahead.film);
    let mut pieces = Vec::new();
    let mut before: Option<Leg> = None;
    let mut rested = ahead.rested;
    let mut useful = None;
    if let Some(leg) = span.path.legs.first().copied() {
        span.watch(&leg, leg.from, n);
    }
    for i in 0..span.path.legs.len() {
        let leg = span.path.legs[i];
        if !leg.rests {
            rested = false;
            fly(span, &leg, frame, (&mut n, &mut m), &mut pieces, report)?;
        } else {
            // Film beyond a corner rested before the front came and has drag in it.
            if let Some(b) = before.filter(|b| b.rests) {
                let turn = angle(b.along, leg.along);
                rested |= turn > STRAIGHT;
                n *= (-span.conditions.lip_friction * turn).exp();
            }
            // Film that has just come down on the panel drags from where it touches a curve.
            let ahead = (span.path.corners[leg.corner].p - leg.at(leg.to)).norm();
            let from = if rested {
                leg.from
            } else {
                (leg.to + ahead - span.drags_before(&leg)).clamp(leg.from, leg.to)
            };
            let end = roll_out(span, &leg, frame, from, (&mut n, &mut m), &mut pieces);
            if let (None, Some(t)) = (useful, end) {
                useful = Some(frame.s(t));
            }
        }
        before = Some(leg);
    }
    report.fall = report.fall.max(span.fall());
    *(frame.side).pick(&mut report.useful.0, &mut report.useful.1) = useful;
    *ahead = Ahead {
        tension: n,
        film: m,
        rested,
    };
    if !whole {
        return Ok(pieces);
    }
    let residual = m.abs() / frame.taut;
    if residual.is_nan() || residual > MOST_RESIDUAL {
        let at = span.path.legs.last().map_or(0.0, |leg| leg.to);
        return Err(LayError::NotConverged { at: frame.s(at) });
    }
    report.residual = report.residual.max(residual);
    Ok(pieces)
}

/// Lays a leg along which the film lies already, dragging beyond `drags`: it goes down as it
/// is. Returns where the tension comes to nothing.
fn roll_out(
    span: &Span<'_>,
    leg: &Leg,
    frame: Frame,
    drags: f64,
    (n, m): (&mut f64, &mut f64),
    pieces: &mut Vec<Piece>,
) -> Option<f64> {
    let strip = span.strip;
    let mut t = leg.from;
    let mut useful = None;
    while t < leg.to {
        let (tau, to) = if t < drags {
            (0.0, drags)
        } else {
            (span.conditions.drag, leg.to)
        };
        let zone = strip.outside(*m);
        let law = strip.law(zone);
        let room = *m - strip.begin(zone);
        let lambda = law.lambda(*n);
        if tau <= 0.0 || *n <= 0.0 {
            if tau > 0.0 && useful.is_none() {
                useful = Some(t);
            }
            let length = (room * lambda).min(to - t);
            let t1 = if length < to - t { t + length } else { to };
            let left = *m - if t1 < to { room } else { (t1 - t) / lambda };
            pieces.push(frame.even((t, *m), (t1, left), lambda));
            (t, *m) = (t1, left);
            continue;
        }
        // A part of the way to no tension, or to the zone's or the leg's end.
        let fall = (span_of(*n, law) / DRAG_CELLS).max(1e-3 * *n).min(*n);
        let mut lower = (*n - fall).max(*n - tau * (to - t)).max(0.0);
        let used = |low: f64| (law.film_integral(*n) - law.film_integral(low)) / tau;
        let ends_zone = used(lower) >= room;
        if ends_zone {
            let miss = |low: f64| used(low) - room;
            let met = bracketed(miss, (lower, miss(lower)), (*n, -room), 1e-15 * *n);
            lower = met.unwrap_or(lower);
        }
        let whole = *n - tau * (to - t) >= lower;
        let t1 = if whole { to } else { t + (*n - lower) / tau };
        let left = *m - if ends_zone { room } else { used(lower) };
        if t1 > t {
            pieces.push(frame.cell((t, *m, lambda), (t1, left, law.lambda(lower))));
        }
        (t, *m, *n) = (t1.max(t), left, lower);
    }
    useful
}

/// Tension that a cell with drag may span: a part of what is there, at least a little of
/// the stiffness.
fn span_of(n: f64, law: &StretchLaw) -> f64 {
    n.max(0.1 * law.scale())
}

/// Lays a leg while the film ahead is in the air.
fn fly(
    span: &mut Span<'_>,
    leg: &Leg,
    frame: Frame,
    (n, m): (&mut f64, &mut f64),
    pieces: &mut Vec<Piece>,
    report: &mut MarchReport,
) -> Result<(), LayError> {
    let corner = span.path.corners[leg.corner];
    let mut t = leg.from;
    let mut h = leg.to - t;
    let mut steps = 0;
    // The front: its tension and the stretch it lays in a zone.
    let front = |span: &mut Span<'_>, t: f64, m: f64, law: &StretchLaw, guess: f64| {
        let n = span.tension(leg, t, m, guess)?;
        Some((n, law.lambda(span.laid_tension(leg, t, n))))
    };
    let lost = |t: f64| LayError::NotConverged { at: frame.s(t) };
    while t < leg.to {
        let mut zone = span.strip.outside(*m);
        if *m - span.strip.begin(zone) <= 1e-12 * frame.taut && zone > 0 {
            *m = span.strip.begin(zone);
            zone -= 1;
        }
        let (law, begin) = (span.strip.law(zone), span.strip.begin(zone));
        let (now, lambda) = front(span, t, *m, law, *n).ok_or_else(|| lost(t))?;
        let ahead = (corner.p - leg.at(t)).norm();
        h = h
            .min(LONGEST_STEP * (ahead + corner.beyond))
            .min(NEAR * ahead);
        if (leg.to - t - h) <= 1e-3 * h {
            h = leg.to - t;
        }
        let mut guess = now;
        let mut try_step = |h: f64| {
            let mut rate = |t: f64, y: State| {
                let (n, lambda) = front(span, t, y[0], law, guess)?;
                guess = n;
                Some([-1.0 / lambda, 0.0])
            };
            step(&mut rate, (t, [*m, 0.0]), h, [-1.0 / lambda, 0.0])
        };
        (report.steps, steps) = (report.steps + 1, steps + 1);
        if steps > MOST_STEPS || (h < leg.to - t && h <= 1e-14 * (1.0 + leg.to)) {
            return Err(LayError::Stalled {
                at: frame.s(t),
                steps,
            });
        }
        let tried = try_step(h).filter(|(y, _)| y[0] > 0.0);
        let ratio = tried.map_or(f64::INFINITY, |(_, e)| e[0].abs() / (STEP_ERROR * *m));
        let Some((mut y, _)) = tried.filter(|_| ratio <= 1.0) else {
            h = next_step(h, ratio);
            continue;
        };
        let mut taken = h;
        if y[0] < begin {
            // The front meets the end of a zone within the step: end the step there.
            let miss = |h: f64| try_step(h).map_or(f64::NAN, |(y, _)| y[0] - begin);
            let met = bracketed(miss, (h, y[0] - begin), (0.0, *m - begin), 1e-14 * h);
            taken = met.ok_or_else(|| lost(t))?;
            y[0] = begin;
        }
        let t1 = if taken >= leg.to - t {
            leg.to
        } else {
            t + taken
        };
        let (after, lambda1) = front(span, t1, y[0], law, now).ok_or_else(|| lost(t1))?;
        if t1 > t {
            pieces.push(frame.cell((t, *m, lambda), (t1, y[0], lambda1)));
        }
        span.watch(leg, t1, after);
        (t, *m, *n) = (t1, y[0], after);
        h = next_step(h, ratio);
    }
    Ok(())
}

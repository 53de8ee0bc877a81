//! The steps of a custom order by the general march: heat in zones, friction, drag, dabbed.
//!
//! A free span is marched as one side of [`super::outwards`], its far end being the
//! next film that is down in place of the bond line, its film the part of the whole that is
//! in it. A press is one root for the common tension.
//!
//! Friction and drag act on film that slides one way only. Where film touches the panel
//! between two patches and a step would pull it the other way than the step before, the
//! march cannot follow: [`LayError::Ridge`]. That a later press lowers the tension of film
//! that rests is not looked at from step to step, only along each front.

use super::outwards::{Ahead, Frame, one_side, press, pressed};
use super::span::Span;
use super::strip::Strip;
use crate::film::StretchLaw;
use crate::geometry::{Point, Polyline, hull};
use crate::laydown::close::RIDGE_TURN;
use crate::laydown::conditions::{Conditions, LayError, MarchReport};
use crate::laydown::open::Open;
use crate::laydown::path::angle;
use crate::laydown::piece::{Law, Piece};
use crate::section::Side;

/// Film beside a patch that counts as next to it, mm.
const BESIDE: f64 = 1e-3;

/// Film and conditions of a custom order that is marched.
pub(in super::super) struct March<'a> {
    pub(in super::super) zones: Vec<(f64, &'a StretchLaw)>,
    pub(in super::super) conditions: &'a Conditions,
    pub(in super::super) report: MarchReport,
}

/// What a step came to.
pub(in super::super) struct Outcome {
    pub(in super::super) pieces: Vec<Piece>,
    /// What is left of the span.
    pub(in super::super) open: Vec<Open>,
    /// Largest ln lambda laid.
    pub(in super::super) most: f64,
}

impl<'a> March<'a> {
    /// The zones of the film in a span, counted from its left end.
    fn zones_in(&self, o: &Open) -> Vec<(f64, &'a StretchLaw)> {
        let mut zones: Vec<(f64, &StretchLaw)> = Vec::new();
        for &(end, law) in &self.zones {
            if end > o.at + 1e-12 {
                zones.push(((end - o.at).min(o.film), law));
            }
            if end >= o.at + o.film {
                break;
            }
        }
        if let (true, Some(last)) = (zones.is_empty(), self.zones.last()) {
            zones.push((o.film, last.1));
        }
        if let Some(last) = zones.last_mut() {
            last.0 = o.film;
        }
        zones
    }

    /// Which way film over the panel from `low` to `high` has slid after a step that pulls
    /// it to a side; an error if it slid the other way before.
    fn slides(
        &self,
        line: &Polyline,
        o: &Open,
        (low, high): (f64, f64),
        to: Side,
    ) -> Result<Option<Side>, LayError> {
        let Conditions {
            lip_friction, drag, ..
        } = *self.conditions;
        if high <= low || (lip_friction <= 0.0 && drag <= 0.0) {
            return Ok(None);
        }
        let touches =
            turns(line, low, high) || (drag > 0.0 && rests(line, (o.a, o.b), (low, high)));
        match o.toward {
            _ if !touches => Ok(None),
            Some(before) if before != to => Err(LayError::Ridge),
            _ => Ok(Some(to)),
        }
    }

    /// Presses a pad in a span.
    pub(in super::super) fn press(
        &mut self,
        line: &Polyline,
        o: &Open,
        (p0, p1): (f64, f64),
    ) -> Result<Outcome, LayError> {
        let toward = (
            self.slides(line, o, (o.a, p0), Side::Right)?,
            self.slides(line, o, (p1, o.b), Side::Left)?,
        );
        let zones = self.zones_in(o);
        let strips = [Strip::from_left(&zones), Strip::from_right(&zones)];
        let chains = [chain(line, p0, o.a), chain(line, p1, o.b)];
        let mut sides = [
            Span::new(&chains[0], false, &strips[0], self.conditions),
            Span::new(&chains[1], true, &strips[1], self.conditions),
        ];
        let (n, [left, right]) = press(&mut sides, (p0, p1), o.film)?;
        let mut pieces = Vec::new();
        if p1 > p0 {
            pressed((p0, p1), (left, o.film - right), &strips[0], n, &mut pieces);
        }
        for piece in &mut pieces {
            piece.film = (piece.film.0 + o.at, piece.film.1 + o.at);
        }
        let lambda = |strip: &Strip<'_>, film: f64| strip.law(strip.outside(film)).lambda(n).ln();
        let beside = (
            rests(line, (o.a, o.b), (p0 - BESIDE, p0)),
            rests(line, (o.a, o.b), (p1, p1 + BESIDE)),
        );
        let open = [
            Open {
                a: o.a,
                b: p0,
                film: left,
                ln: lambda(&strips[0], left),
                toward: toward.0,
                tension: Some((Side::Right, n)),
                rested: (o.rested.0, beside.0),
                ..*o
            },
            Open {
                a: p1,
                b: o.b,
                film: right,
                at: o.at + o.film - right,
                ln: lambda(&strips[1], right),
                toward: toward.1,
                tension: Some((Side::Left, n)),
                rested: (beside.1, o.rested.1),
            },
        ];
        Ok(Outcome {
            most: top(&pieces),
            pieces,
            open: open.into_iter().filter(|o| o.b > o.a).collect(),
        })
    }

    /// Sends a front from an end of a span to a place; `bond`: its far end is a bond line.
    pub(in super::super) fn spread(
        &mut self,
        line: &Polyline,
        o: &Open,
        (from, to): (f64, f64),
        bond: bool,
    ) -> Result<Outcome, LayError> {
        let right = to > from;
        let side = if right { Side::Right } else { Side::Left };
        let (far, here) = (side.pick(o.a, o.b), side.other());
        let toward = self.slides(line, o, (o.a, o.b), here)?;
        let zones = self.zones_in(o);
        let strip = match side {
            Side::Left => Strip::from_left(&zones),
            Side::Right => Strip::from_right(&zones),
        };
        let mut span = Span::new(&chain(line, from, far), right, &strip, self.conditions);
        let whole = (to - far).abs() <= 0.0;
        let way = (to - from).abs();
        if !whole {
            let legs = &mut span.path.legs;
            legs.retain(|leg| leg.from < way);
            if let Some(last) = legs.last_mut() {
                last.to = last.to.min(way);
            }
        }
        let lost = LayError::NotConverged { at: from };
        let leg = span.path.legs.first().copied().ok_or(lost.clone())?;
        let tension = match o.tension {
            // As the last step left it: drag on film next to the front is in it.
            Some((end, n)) if end == here => n,
            _ => span.tension(&leg, leg.from, o.film, 0.0).ok_or(lost)?,
        };
        let frame = Frame {
            side,
            start: from,
            taut: o.film,
        };
        let mut ahead = Ahead {
            tension,
            film: o.film,
            rested: if right { o.rested.0 } else { o.rested.1 },
        };
        let mut report = MarchReport {
            steps: self.report.steps,
            ..MarchReport::default()
        };
        let mut pieces = one_side(&mut span, frame, &mut ahead, whole, &mut report)?;
        self.note(report, bond);
        for piece in &mut pieces {
            piece.film = (piece.film.0 + o.at, piece.film.1 + o.at);
        }
        let end = pieces.last().map_or(o.ln, |p| match p.law {
            Law::Cell(cell) => -(if right { cell.rates.1 } else { cell.rates.0 }).ln(),
            _ => p.base,
        });
        let rest = Open {
            a: if right { to } else { o.a },
            b: if right { o.b } else { to },
            film: ahead.film,
            at: if right {
                o.at + o.film - ahead.film
            } else {
                o.at
            },
            ln: end,
            toward,
            tension: Some((here, ahead.tension)),
            rested: if right {
                (ahead.rested, o.rested.1)
            } else {
                (o.rested.0, ahead.rested)
            },
        };
        Ok(Outcome {
            most: top(&pieces),
            pieces,
            open: (!whole).then_some(rest).into_iter().collect(),
        })
    }

    /// Adds what one front saw.
    fn note(&mut self, front: MarchReport, bond: bool) {
        self.report.steps = front.steps;
        self.report.fall = self.report.fall.max(front.fall);
        self.report.residual = self.report.residual.max(front.residual);
        if bond {
            self.report.useful.0 = front.useful.0.or(self.report.useful.0);
            self.report.useful.1 = front.useful.1.or(self.report.useful.1);
        }
    }
}

/// The panel from one place to another, nothing if they are one.
fn chain(line: &Polyline, from: f64, to: f64) -> Vec<Point> {
    if (to - from).abs() > 0.0 {
        line.between(from, to)
    } else {
        Vec::new()
    }
}

/// Largest ln lambda at the ends of pieces.
fn top(pieces: &[Piece]) -> f64 {
    let most = pieces.iter().map(|p| match p.law {
        Law::Cell(cell) => -cell.rates.0.min(cell.rates.1).ln(),
        _ => p.base,
    });
    most.fold(0.0, f64::max)
}

/// Does taut film turn over the panel between two places?
fn turns(line: &Polyline, low: f64, high: f64) -> bool {
    let chain = line.between(low, high);
    let kept = hull(&chain, 0.0);
    kept.windows(3).any(|w| {
        let (into, out) = (chain[w[1]] - chain[w[0]], chain[w[2]] - chain[w[1]]);
        angle(into, out) > RIDGE_TURN
    })
}

/// Does film at the two ends of a bridge lie on the panel?
pub(in super::super) fn rests_at(line: &Polyline, (a, b): (f64, f64)) -> (bool, bool) {
    (
        rests(line, (a, b), (a, a + BESIDE)),
        rests(line, (a, b), (b - BESIDE, b)),
    )
}

/// Does film that is taut over a span lie on the panel somewhere from `low` to `high`?
fn rests(line: &Polyline, (a, b): (f64, f64), (low, high): (f64, f64)) -> bool {
    let chain = line.between(a, b);
    let mut at = vec![a];
    for w in chain.windows(2) {
        at.push(at[at.len() - 1] + (w[1] - w[0]).norm());
    }
    hull(&chain, 0.0).windows(2).any(|w| {
        let (from, to) = (at[w[0]], at[w[1]]);
        let chord = (chain[w[1]] - chain[w[0]]).norm();
        let lies = to - from - chord <= 1e-9 * (to - from);
        lies && to.min(high) - from.max(low) > 1e-6
    })
}

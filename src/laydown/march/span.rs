//! One side of a lay-down: the film its free path holds at a tension, and the tension that
//! goes with the film that is left.

use super::step::root;
use super::strip::Strip;
use super::tails::Tails;
use crate::laydown::conditions::{Conditions, Laying};
use crate::laydown::path::{Corner, Leg, Path, angle};
use crate::section::Point;

/// Tension, as a part of the stiffness, below which its fall is not watched.
const SLACK: f64 = 1e-9;

/// A stretch of the free path with its tensions; `dn`: slope of both against that at the
/// front.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    length: f64,
    inner: f64,
    outer: f64,
    dn: f64,
    dragged: bool,
}

/// How the film on the path is found.
#[derive(Debug)]
enum Held {
    /// Nothing drags: one tension all along.
    Alike,
    /// Friction on corners, smooth laws: from rows made once a corner.
    Tabulated(Box<Tails>),
    /// Drag, or a law with kinks: corner by corner.
    Walked,
}

/// One side of a lay-down with the march's scratch.
pub(super) struct Span<'a> {
    pub(super) path: Path,
    pub(super) strip: &'a Strip<'a>,
    pub(super) conditions: &'a Conditions,
    held: Held,
    /// exp(-mu turn) of each corner.
    factors: Vec<f64>,
    stretches: Vec<Stretch>,
    /// Largest tension so far beyond each corner, walked; largest Z so far, tabulated.
    most: Vec<f64>,
    most_z: f64,
    /// Places and tensions of the front that were found last, latest first, and the film
    /// that was ahead at the latest.
    recent: [(f64, f64); 3],
    recent_film: f64,
}

impl<'a> Span<'a> {
    pub(super) fn new(
        chain: &[Point],
        right: bool,
        strip: &'a Strip<'a>,
        conditions: &'a Conditions,
    ) -> Self {
        let path = if chain.len() > 1 {
            Path::new(chain, right)
        } else {
            Path::default()
        };
        let (mu, tau) = (conditions.lip_friction, conditions.drag);
        let held = if tau > 0.0 {
            Held::Walked
        } else if mu <= 0.0 {
            Held::Alike
        } else if strip.is_smooth() && !path.corners.is_empty() {
            Held::Tabulated(Box::new(Tails::new(&path, mu, strip.count())))
        } else {
            Held::Walked
        };
        let walked = matches!(held, Held::Walked);
        let factor = |c: &Corner| (-mu * c.turn).exp();
        Self {
            factors: path.corners.iter().map(factor).collect(),
            most: vec![0.0; if walked { path.corners.len() } else { 0 }],
            most_z: f64::NEG_INFINITY,
            path,
            strip,
            conditions,
            held,
            stretches: Vec::new(),
            recent: [(f64::NAN, f64::NAN); 3],
            recent_film: f64::NAN,
        }
    }

    /// Tensions along the path from a front, from the front outwards.
    fn tensions(&mut self, leg: &Leg, t: f64, n: f64) {
        let c = &self.path.corners[leg.corner];
        let ahead = c.p - leg.at(t);
        let mut last = Stretch {
            length: ahead.norm(),
            inner: n,
            outer: n,
            dn: 1.0,
            dragged: false,
        };
        self.stretches.clear();
        let (mu, tau) = (self.conditions.lip_friction, self.conditions.drag);
        let mut factor = if c.next.is_none() || mu <= 0.0 {
            1.0
        } else {
            (-mu * angle(ahead, c.along)).exp()
        };
        let mut at = leg.corner;
        while let Some(next) = self.path.corners[at].next {
            let c = &self.path.corners[at];
            let dragged = tau > 0.0 && c.rests;
            let inner = last.outer * factor;
            if factor >= 1.0 && dragged == last.dragged {
                last.length += c.length;
            } else {
                let dn = if inner > 0.0 { last.dn * factor } else { 0.0 };
                self.stretches.push(last);
                last = Stretch {
                    length: c.length,
                    inner,
                    outer: inner,
                    dn,
                    dragged,
                };
            }
            if dragged {
                last.outer = (last.inner - tau * last.length).max(0.0);
            }
            factor = self.factors[at];
            at = next;
        }
        self.stretches.push(last);
    }

    /// Film that the path holds at a front's tension, and its slope.
    pub(super) fn held(&mut self, leg: &Leg, t: f64, n: f64) -> (f64, f64) {
        let c = &self.path.corners[leg.corner];
        let ahead = c.p - leg.at(t);
        match &mut self.held {
            Held::Alike => {
                let mut y = (0.0, 0.0);
                self.strip
                    .fill(&mut y, (ahead.norm() + c.beyond, 0.0), (n, 1.0));
                y
            }
            // Without a tension there is no Z; straight to the bond line there is no tail.
            Held::Tabulated(tails) if n > 0.0 && c.next.is_some() => {
                let z = tails.z(n, angle(ahead, c.along), leg.corner);
                let mut y = tails.fill(&self.path, self.strip, leg.corner, z);
                self.strip.fill(&mut y, (ahead.norm(), 0.0), (n, n));
                (y.0, y.1 / n)
            }
            _ => self.walk(leg, t, n),
        }
    }

    /// The same, corner by corner.
    pub(super) fn walk(&mut self, leg: &Leg, t: f64, n: f64) -> (f64, f64) {
        self.tensions(leg, t, n);
        let mut y = (0.0, 0.0);
        let tau = self.conditions.drag;
        for s in self.stretches.iter().rev() {
            if !s.dragged {
                self.strip.fill(&mut y, (s.length, 0.0), (s.inner, s.dn));
                continue;
            }
            let slack = s.length - s.inner / tau;
            let mut outer = (s.outer, s.dn);
            if slack > 0.0 {
                self.strip.fill(&mut y, (slack, -s.dn / tau), (0.0, 0.0));
                outer = (0.0, 0.0);
            }
            self.strip.fill_rising(&mut y, outer, (s.inner, s.dn), tau);
        }
        y
    }

    /// Tension of a front that has `m` of film ahead; `last`: a tension near it.
    pub(super) fn tension(&mut self, leg: &Leg, t: f64, m: f64, last: f64) -> Option<f64> {
        // A step ends where the next one starts, and tension does not jump where film in
        // the air changes its corner or its facet.
        let (t0, n0) = self.recent[0];
        if m.to_bits() == self.recent_film.to_bits() && (t - t0).abs() <= 1e-14 * (1.0 + t) {
            return Some(n0);
        }
        let scale = self.strip.law(self.strip.outside(m)).scale();
        let guess = self.predicted(t).unwrap_or(last);
        let n = root(|n| self.held(leg, t, n), m, guess, scale)?;
        if (t - t0).abs() > 0.0 || t0.is_nan() {
            self.recent.rotate_right(1);
        }
        self.recent[0] = (t, n);
        self.recent_film = m;
        Some(n)
    }

    /// The tension at a place by those found last: the parabola through three of them, if
    /// it stays near.
    fn predicted(&self, t: f64) -> Option<f64> {
        let [(t0, n0), (t1, n1), (t2, n2)] = self.recent;
        let (d01, d12) = ((n0 - n1) / (t0 - t1), (n1 - n2) / (t1 - t2));
        let bend = (d01 - d12) / (t0 - t2);
        let n = n0 + (t - t0) * (d01 + (t - t1) * bend);
        (n.is_finite() && (n - n0).abs() < 0.1 * n0).then_some(n)
    }

    /// Tension at which film goes down.
    pub(super) fn laid_tension(&self, leg: &Leg, t: f64, n: f64) -> f64 {
        if self.conditions.laying == Laying::Rolled || leg.rests {
            return n;
        }
        let ahead = self.path.corners[leg.corner].p - leg.at(t);
        n * (ahead.dot(&leg.along) / ahead.norm()).max(0.0)
    }

    /// Notes the tensions beyond each corner; returns the largest relative fall so far.
    pub(super) fn watch(&mut self, leg: &Leg, t: f64, n: f64) -> f64 {
        let c = &self.path.corners[leg.corner];
        let (mu, tau) = (self.conditions.lip_friction, self.conditions.drag);
        let slack = SLACK * self.strip.law(0).scale();
        let mut fall = 0.0_f64;
        if c.next.is_none() || n <= slack {
            return 0.0;
        }
        if !matches!(self.held, Held::Walked) {
            // All outer tensions rise and fall as one.
            let turned = match &self.held {
                Held::Tabulated(tails) => tails.z(n, angle(c.p - leg.at(t), c.along), leg.corner),
                _ => n.ln(),
            };
            self.most_z = self.most_z.max(turned);
            return 1.0 - (turned - self.most_z).exp();
        }
        let mut n = n * (-mu * angle(c.p - leg.at(t), c.along)).exp();
        let mut at = leg.corner;
        while let Some(next) = self.path.corners[at].next {
            let most = &mut self.most[at];
            *most = most.max(n);
            if *most > slack {
                fall = fall.max(1.0 - n / *most);
            }
            if tau > 0.0 && self.path.corners[at].rests {
                n = (n - tau * self.path.corners[at].length).max(0.0);
            }
            n *= self.factors[at];
            at = next;
        }
        fall
    }
}

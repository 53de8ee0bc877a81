//! One side of a lay-down: the film its free path holds at a tension, and the tension that
//! goes with the film that is left.

use super::falls::Falls;
use super::outer::Outer;
use super::step::root;
use super::strip::Strip;
use super::tails::Tails;
use crate::geometry::Point;
use crate::laydown::conditions::{Conditions, Laying};
use crate::laydown::path::{Leg, Path, angle};

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

/// Where film in the air meets the panel.
#[derive(Debug, Clone, Copy)]
struct Contact {
    /// Film from the front to the corner ahead, mm.
    length: f64,
    /// What of it drags before the corner, and what of the film beyond does not yet, mm:
    /// the panel is a curve there ([`crate::laydown::bend`]).
    before: f64,
    after: f64,
    /// exp(-mu turn) at the corner.
    factor: f64,
}

/// How the film on the path is found.
#[derive(Debug)]
enum Held {
    /// Nothing drags: one tension all along.
    Alike,
    /// Friction or drag, smooth laws: from rows made once a corner.
    Tabulated(Box<Tails>),
    /// A law with kinks: corner by corner.
    Walked,
}

/// One side of a lay-down with the march's scratch.
pub(super) struct Span<'a> {
    pub(super) path: Path,
    pub(super) strip: &'a Strip<'a>,
    pub(super) conditions: &'a Conditions,
    held: Held,
    outer: Outer,
    falls: Falls,
    /// exp(-mu turn) of each corner.
    factors: Vec<f64>,
    stretches: Vec<Stretch>,
    /// Places and tensions of the front that were found last, latest first, and the film
    /// that was ahead at the latest.
    recent: [(f64, f64); 3],
    recent_film: f64,
    /// The largest Z ([`super::outer`]) that a front had.
    tensest: f64,
}

impl<'a> Span<'a> {
    pub(super) fn new(
        chain: &[Point],
        right: bool,
        strip: &'a Strip<'a>,
        conditions: &'a Conditions,
    ) -> Self {
        let path = (chain.len() > 1).then(|| Path::new(chain, right));
        let path = path.unwrap_or_default();
        let (mu, tau) = (conditions.lip_friction, conditions.drag);
        let outer = Outer::new(&path, mu, tau);
        let held = if mu <= 0.0 && tau <= 0.0 {
            Held::Alike
        } else if strip.is_smooth() && outer.is_tame() {
            Held::Tabulated(Box::new(Tails::new(strip)))
        } else {
            Held::Walked
        };
        Self {
            factors: path.corners.iter().map(|c| (-mu * c.turn).exp()).collect(),
            outer,
            falls: Falls::new(strip.law(0).scale()),
            path,
            strip,
            conditions,
            held,
            stretches: Vec::new(),
            recent: [(f64::NAN, f64::NAN); 3],
            recent_film: f64::NAN,
            tensest: f64::NEG_INFINITY,
        }
    }

    /// Where the film of a front meets the panel.
    fn contact(&self, leg: &Leg, t: f64) -> Contact {
        let c = &self.path.corners[leg.corner];
        let ahead = c.p - leg.at(t);
        let (mu, tau) = (self.conditions.lip_friction, self.conditions.drag);
        let mut contact = Contact {
            length: ahead.norm(),
            before: 0.0,
            after: 0.0,
            factor: 1.0,
        };
        if c.next.is_none() || (mu <= 0.0 && tau <= 0.0) {
            return contact;
        }
        let turn = angle(ahead, c.along);
        if mu > 0.0 {
            contact.factor = (-mu * turn).exp();
        }
        if tau > 0.0 && c.rests {
            let place = c.bend.contact(turn);
            contact.before = (-place).clamp(0.0, contact.length);
            contact.after = place.clamp(0.0, c.length);
        }
        contact
    }

    /// Adds a stretch beyond all others, the tension falling by a factor before it.
    fn stretch(&mut self, length: f64, factor: f64, dragged: bool) {
        let tau = self.conditions.drag;
        match self.stretches.last_mut() {
            Some(last) if factor >= 1.0 && dragged == last.dragged => last.length += length,
            last => {
                let (outer, dn) = last.map_or((0.0, 0.0), |l| (l.outer, l.dn));
                let inner = outer * factor;
                self.stretches.push(Stretch {
                    length,
                    inner,
                    outer: inner,
                    dn: if inner > 0.0 { dn * factor } else { 0.0 },
                    dragged,
                });
            }
        }
        if let Some(last) = self.stretches.last_mut().filter(|_| dragged) {
            last.outer = (last.inner - tau * last.length).max(0.0);
        }
    }

    /// Tensions along the path from a front, from the front outwards.
    fn tensions(&mut self, leg: &Leg, t: f64, n: f64) {
        let contact = self.contact(leg, t);
        self.stretches.clear();
        self.stretches.push(Stretch {
            length: contact.length - contact.before,
            inner: n,
            outer: n,
            dn: 1.0,
            dragged: false,
        });
        if contact.before > 0.0 {
            self.stretch(contact.before, 1.0, true);
        }
        let (mut factor, mut after) = (contact.factor, contact.after);
        let mut at = leg.corner;
        while let Some(next) = self.path.corners[at].next {
            let c = &self.path.corners[at];
            let (length, dragged) = (c.length, self.conditions.drag > 0.0 && c.rests);
            if after > 0.0 {
                self.stretch(after, factor, false);
                factor = 1.0;
            }
            self.stretch(length - after, factor, dragged);
            (factor, after) = (self.factors[at], 0.0);
            at = next;
        }
    }

    /// Film that the path holds at a front's tension, and its slope.
    pub(super) fn held(&mut self, leg: &Leg, t: f64, n: f64) -> (f64, f64) {
        let c = self.path.corners[leg.corner];
        if matches!(self.held, Held::Alike) {
            let mut y = (0.0, 0.0);
            let length = (c.p - leg.at(t)).norm() + c.beyond;
            self.strip.fill(&mut y, (length, 0.0), (n, 1.0));
            return y;
        }
        let contact = self.contact(leg, t);
        let tau = self.conditions.drag;
        let Held::Tabulated(tails) = &mut self.held else {
            return self.walk(leg, t, n);
        };
        // Straight to the bond line there is no tail.
        let Some(next) = c.next.filter(|_| n > tau * contact.before) else {
            return self.walk(leg, t, n);
        };
        let slope = contact.factor;
        let beyond = (n - tau * contact.before) * contact.factor;
        let z = self.outer.z(leg.corner, beyond + tau * contact.after);
        let from = if contact.after > 0.0 {
            next
        } else {
            leg.corner
        };
        let mut y = tails.fill(&self.path, &self.outer, self.strip, from, z);
        y.1 *= slope / self.outer.gain(leg.corner);
        if contact.after > 0.0 {
            let rest = c.length - contact.after;
            self.strip.fill_dragged(&mut y, rest, (beyond, slope), tau);
            self.strip
                .fill(&mut y, (contact.after, 0.0), (beyond, slope));
        }
        if contact.before > 0.0 {
            let low = n - tau * contact.before;
            self.strip.fill_rising(&mut y, (low, 1.0), (n, 1.0), tau);
        }
        let air = contact.length - contact.before;
        self.strip.fill(&mut y, (air, 0.0), (n, 1.0));
        y
    }

    /// The same, corner by corner.
    pub(super) fn walk(&mut self, leg: &Leg, t: f64, n: f64) -> (f64, f64) {
        self.tensions(leg, t, n);
        let mut y = (0.0, 0.0);
        let tau = self.conditions.drag;
        for s in self.stretches.iter().rev() {
            if s.dragged {
                self.strip
                    .fill_dragged(&mut y, s.length, (s.inner, s.dn), tau);
            } else {
                self.strip.fill(&mut y, (s.length, 0.0), (s.inner, s.dn));
            }
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

    /// Notes the tensions beyond each corner.
    pub(super) fn watch(&mut self, leg: &Leg, t: f64, n: f64) {
        if self.falls.is_slack(n) {
            return;
        }
        if self.path.corners[leg.corner].next.is_none() {
            self.tensest = f64::INFINITY;
            return;
        }
        let contact = self.contact(leg, t);
        let tau = self.conditions.drag;
        let beyond = (n - tau * contact.before) * contact.factor + tau * contact.after;
        let z = self.outer.z(leg.corner, beyond);
        self.tensest = self.tensest.max(z);
        self.falls.note(&self.path, &self.outer, leg.corner, n, z);
    }

    /// Film at the bond line that had no tension whenever the front was watched, mm. No film
    /// has more than Z and the drag from the bond line up to it, whatever it turns over.
    pub(super) fn slack(&self) -> f64 {
        let tau = self.conditions.drag;
        if tau <= 0.0 || !self.outer.is_tame() {
            return 0.0;
        }
        let all = self.path.corners.last().map_or(0.0, |c| c.beyond);
        (-self.tensest / tau).clamp(0.0, all)
    }

    /// The largest relative fall of the tension of film that rests beyond the front, once
    /// the march is over.
    pub(super) fn fall(&mut self) -> f64 {
        self.falls.largest(&self.outer)
    }

    /// How far before the corner ahead film that lies along a leg begins to drag, mm.
    pub(super) fn drags_before(&self, leg: &Leg) -> f64 {
        self.path.corners[leg.corner].bend.inner
    }
}

//! The general march: film with friction on corners, drag on flats, zones of temperature.
//!
//! Along the free path from a front outwards, with tension N at the front:
//!
//! ```text
//! in the air              N constant
//! at a corner turning by theta     N falls by exp(-mu theta)        (Euler-Eytelwein)
//! on a facet it rested on          dN/ds = -tau, never below 0
//! film at unstretched position Y   lambda = lambda(N, T(Y)),  ds = lambda dY
//! ```
//!
//! Y is counted from the bond line. The tensions follow from N alone, so the film that the
//! path holds, H(N), is found from the bond line inwards, zone by zone in closed form; it
//! falls as N rises. Given the film m that is still free, one root H(N) = m gives N, and
//! the front lays film at the rate
//!
//! ```text
//! dm/ds = -1/lambda(N', T(m)),   N' = N (rolled) or N cos(angle to the panel) (dabbed).
//! ```
//!
//! Where the front moves straight along its film, the film goes down as it lies. At the
//! first press both spans and the pad start from one tension: one more root.
//!
//! Edge-first: nothing rests beyond the fronts, and the film between them has one tension,
//! sum over zones of lambda(N, zone) times film = length of the window.
//!
//! Steps: Dormand and Prince's fifth-order pair, never across a change of corner, a vertex
//! or a zone's end at the front. What it assumes: film that rests never loses tension; the
//! largest fall is reported. Film slides only towards the front.
//!
//! Accuracy: 1e-6 relative in the peak; with even heat and no friction 1e-8 (tested
//! against the closed form of [`super::kernel`]).
//!
//! Source: derived for this project; J. R. Dormand, P. J. Prince (1980), "A family of
//! embedded Runge-Kutta formulae", J. Comput. Appl. Math. 6, 19–26.

use super::close::Window;
use super::conditions::{Conditions, LayError, Laying, MarchReport};
use super::path::{Corner, Leg, Path, STRAIGHT, angle};
use super::{Cell, Law, Piece};
use crate::film::StretchLaw;
use crate::root::bracketed;
use crate::section::{Point, Side};

/// Error of one step, relative to the film still free. Larger loses the 1e-8 in the peak,
/// smaller only costs steps.
const STEP_ERROR: f64 = 1e-10;
/// Longest step as a part of the free film, so that the cubic between two steps holds.
const LONGEST_STEP: f64 = 0.1;
/// Most steps of a lay-down; a march that needs more has stalled.
const MOST_STEPS: usize = 200_000;
/// Most iterations of the root; Newton takes two to six.
const MOST_ITERATIONS: usize = 200;
/// Film that may be missing or left over at a bond line, as a part of the bridge; the
/// steps make about 1e-10. More means that the march went wrong.
const MOST_RESIDUAL: f64 = 1e-7;
/// Relative change of the tension after which one more Newton step is below rounding.
const LAST_CHANGE: f64 = 1e-8;
/// Pieces into which a facet with drag is cut, by parts of the way to no tension.
const DRAG_CELLS: f64 = 16.0;

/// Film from a bond line inwards: where each zone ends, mm, and its law.
#[derive(Debug)]
pub(super) struct Strip<'a> {
    zones: Vec<(f64, &'a StretchLaw)>,
}

impl<'a> Strip<'a> {
    /// Zones counted from the left bond line.
    pub(super) fn from_left(zones: &[(f64, &'a StretchLaw)]) -> Self {
        let mut zones = zones.to_vec();
        if let Some(last) = zones.last_mut() {
            last.0 = f64::INFINITY;
        }
        Self { zones }
    }

    /// The same zones counted from the right bond line.
    pub(super) fn from_right(zones: &[(f64, &'a StretchLaw)]) -> Self {
        let taut = zones.last().map_or(0.0, |z| z.0);
        let n = zones.len();
        let zones = (0..n)
            .rev()
            .map(|i| {
                let begin = if i > 0 { zones[i - 1].0 } else { 0.0 };
                let end = if i > 0 { taut - begin } else { f64::INFINITY };
                (end, zones[i].1)
            })
            .collect();
        Self { zones }
    }

    /// The zone just outside of a place (towards the bond line).
    fn outside(&self, y: f64) -> usize {
        let at = self.zones.partition_point(|z| z.0 < y);
        at.min(self.zones.len() - 1)
    }

    /// The zone just inside of a place.
    fn inside(&self, y: f64) -> usize {
        let at = self.zones.partition_point(|z| z.0 <= y);
        at.min(self.zones.len() - 1)
    }

    /// Where a zone begins, mm.
    fn begin(&self, zone: usize) -> f64 {
        if zone > 0 {
            self.zones[zone - 1].0
        } else {
            f64::NEG_INFINITY
        }
    }

    fn law(&self, zone: usize) -> &'a StretchLaw {
        self.zones[zone].1
    }

    /// Moves (y, dy/dN) inwards over a length (l, dl/dN) at constant tension (n, dn/dN).
    fn fill(&self, y: &mut (f64, f64), mut l: (f64, f64), n: (f64, f64)) {
        let mut zone = self.inside(y.0);
        loop {
            let (end, law) = self.zones[zone];
            let (lambda, slope) = law.lambda_and_slope(n.0);
            let dlambda = slope * n.1;
            let room = end - y.0;
            if room * lambda < l.0 {
                l.0 -= room * lambda;
                l.1 -= room * dlambda - lambda * y.1;
                *y = (end, 0.0);
                zone += 1;
            } else {
                let film = l.0 / lambda;
                y.0 += film;
                y.1 += (l.1 - film * dlambda) / lambda;
                return;
            }
        }
    }

    /// The same where the tension rises inwards from `a` to `b` by `tau` per mm.
    fn fill_rising(&self, y: &mut (f64, f64), mut a: (f64, f64), b: (f64, f64), tau: f64) {
        let mut zone = self.inside(y.0);
        while a.0 < b.0 {
            let (end, law) = self.zones[zone];
            let phi = law.film_integral(a.0);
            let film = (law.film_integral(b.0) - phi) / tau;
            let room = end - y.0;
            let (la, lb) = (law.lambda(a.0), law.lambda(b.0));
            if film <= room {
                y.0 += film;
                y.1 += (b.1 / lb - a.1 / la) / tau;
                return;
            }
            // The tension at the zone's end: Phi(c) = Phi(a) + tau room, Newton kept inside.
            let mut c = a.0 + (b.0 - a.0) * room / film;
            for _ in 0..20 {
                let step = (law.film_integral(c) - phi - tau * room) * law.lambda(c);
                c = (c - step).clamp(a.0, b.0);
                if step.abs() <= 1e-15 * b.0 {
                    break;
                }
            }
            a = (c, law.lambda(c) * (a.1 / la - tau * y.1));
            *y = (end, 0.0);
            zone += 1;
        }
    }
}

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

/// One side of a lay-down with the march's scratch.
struct Span<'a> {
    path: Path,
    strip: &'a Strip<'a>,
    conditions: &'a Conditions,
    /// exp(-mu turn) of each corner.
    factors: Vec<f64>,
    stretches: Vec<Stretch>,
    /// Largest tension so far beyond each corner.
    most: Vec<f64>,
}

impl<'a> Span<'a> {
    fn new(chain: &[Point], right: bool, strip: &'a Strip<'a>, conditions: &'a Conditions) -> Self {
        let path = if chain.len() > 1 {
            Path::new(chain, right)
        } else {
            Path::default()
        };
        let mu = conditions.lip_friction;
        let factor = |c: &Corner| (-mu * c.turn).exp();
        Self {
            factors: path.corners.iter().map(factor).collect(),
            most: vec![0.0; path.corners.len()],
            path,
            strip,
            conditions,
            stretches: Vec::new(),
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
    fn held(&mut self, leg: &Leg, t: f64, n: f64) -> (f64, f64) {
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

    /// Tension of a front that has `m` of film ahead.
    fn tension(&mut self, leg: &Leg, t: f64, m: f64, guess: f64) -> Option<f64> {
        let scale = self.strip.law(self.strip.outside(m)).scale();
        root(|n| self.held(leg, t, n), m, guess, scale)
    }

    /// Tension at which film goes down.
    fn laid_tension(&self, leg: &Leg, t: f64, n: f64) -> f64 {
        if self.conditions.laying == Laying::Rolled || leg.rests {
            return n;
        }
        let ahead = self.path.corners[leg.corner].p - leg.at(t);
        n * (ahead.dot(&leg.along) / ahead.norm()).max(0.0)
    }

    /// Notes the tensions beyond each corner; returns the largest relative fall so far.
    fn watch(&mut self, leg: &Leg, t: f64, n: f64) -> f64 {
        let c = &self.path.corners[leg.corner];
        let (mu, tau) = (self.conditions.lip_friction, self.conditions.drag);
        let mut fall = 0.0_f64;
        let Some(_) = c.next else { return 0.0 };
        let mut n = n * (-mu * angle(c.p - leg.at(t), c.along)).exp();
        let mut at = leg.corner;
        while let Some(next) = self.path.corners[at].next {
            let most = &mut self.most[at];
            *most = most.max(n);
            if *most > 1e-9 * self.strip.law(0).scale() {
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

/// Solves H(N) = m for a falling H with its slope; Newton on 1/H, which is nearly straight
/// in N for small and for large stretches, kept in a bracket. `None`: no convergence.
fn root(mut held: impl FnMut(f64) -> (f64, f64), m: f64, guess: f64, scale: f64) -> Option<f64> {
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    let mut n = if guess > 0.0 { guess } else { 0.1 * scale };
    for _ in 0..MOST_ITERATIONS {
        let (h, dh) = held(n);
        if !(h.is_finite() && dh.is_finite()) {
            return None;
        }
        if h > m {
            low = n;
        } else {
            high = n;
        }
        let mut next = n - h * (h / m - 1.0) / dh;
        if dh >= 0.0 {
            next = f64::NAN;
        }
        if next <= 0.0 && low <= 0.0 {
            // Film that only just spans its path: no tension but rounding.
            if held(0.0).0 <= m * (1.0 + 1e-13) {
                return Some(0.0);
            }
        }
        if !(next > low && next < high) {
            if (h / m - 1.0).abs() <= 4e-15 {
                return Some(n);
            }
            next = if high.is_finite() {
                0.5 * (low + high)
            } else {
                4.0 * n
            };
            if next <= low || next >= high {
                return Some(n);
            }
        } else if (next - n).abs() <= LAST_CHANGE * next + 1e-15 * scale {
            return Some(next);
        }
        n = next;
    }
    None
}

/// Free film between two fronts that goes down at once, mm: positions on the film are good
/// to 1e-13 mm, so that below this their differences say nothing.
const LAST_GAP: f64 = 1e-6;

/// A state of the integration: film still free, or both fronts' film positions, mm.
type State = [f64; 2];

/// One step of Dormand and Prince's pair; returns the state and its error.
fn step(
    mut rate: impl FnMut(f64, State) -> Option<State>,
    (t, y): (f64, State),
    h: f64,
    first: State,
) -> Option<(State, State)> {
    const A: [[f64; 6]; 6] = [
        [1.0 / 5.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0, 0.0],
        [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0, 0.0],
        [
            19372.0 / 6561.0,
            -25360.0 / 2187.0,
            64448.0 / 6561.0,
            -212.0 / 729.0,
            0.0,
            0.0,
        ],
        [
            9017.0 / 3168.0,
            -355.0 / 33.0,
            46732.0 / 5247.0,
            49.0 / 176.0,
            -5103.0 / 18656.0,
            0.0,
        ],
        [
            35.0 / 384.0,
            0.0,
            500.0 / 1113.0,
            125.0 / 192.0,
            -2187.0 / 6784.0,
            11.0 / 84.0,
        ],
    ];
    const C: [f64; 6] = [0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0];
    // Fifth order less fourth.
    const E: [f64; 7] = [
        71.0 / 57600.0,
        0.0,
        -71.0 / 16695.0,
        71.0 / 1920.0,
        -17253.0 / 339_200.0,
        22.0 / 525.0,
        -1.0 / 40.0,
    ];
    let mut k = [first; 7];
    let mut at = y;
    for (stage, row) in A.iter().enumerate() {
        at = y;
        for (a, slope) in row.iter().zip(&k).take(stage + 1) {
            at[0] += h * a * slope[0];
            at[1] += h * a * slope[1];
        }
        k[stage + 1] = rate(t + C[stage] * h, at)?;
    }
    let mut error = [0.0; 2];
    for (e, slope) in E.iter().zip(&k) {
        error[0] += h * e * slope[0];
        error[1] += h * e * slope[1];
    }
    Some((at, error))
}

/// The next step after one with this error relative to what is allowed.
fn next_step(h: f64, ratio: f64) -> f64 {
    h * (0.9 * ratio.max(1e-10).powf(-0.2)).clamp(0.2, 4.0)
}

/// A lay-down in the making: pieces in the order they go down.
pub(super) struct Marched {
    pub(super) pieces: Vec<Piece>,
    pub(super) report: MarchReport,
}

/// Where a side's pieces lie on panel and film.
#[derive(Debug, Clone, Copy)]
struct Frame {
    side: Side,
    /// Arc length at which the front sets out, mm.
    start: f64,
    taut: f64,
}

impl Frame {
    fn s(&self, t: f64) -> f64 {
        match self.side {
            Side::Left => self.start - t,
            Side::Right => self.start + t,
        }
    }

    fn film(&self, y: f64) -> f64 {
        match self.side {
            Side::Left => y,
            Side::Right => self.taut - y,
        }
    }

    /// The piece between two places of the march with film left and stretch at each.
    fn cell(&self, a: (f64, f64, f64), b: (f64, f64, f64)) -> Piece {
        let (low, high) = match self.side {
            Side::Left => (b, a),
            Side::Right => (a, b),
        };
        Piece {
            from: self.s(low.0),
            to: self.s(high.0),
            side: self.side,
            law: Law::Cell(Cell {
                rates: (1.0 / low.2, 1.0 / high.2),
            }),
            base: 0.0,
            film: (self.film(low.1), self.film(high.1)),
        }
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
pub(super) fn outwards(
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
    let width = pad.1 - pad.0;
    // The press: film of both paths and under the pad at one tension.
    let scale = zones.first().map_or(1.0, |z| z.1.scale());
    let n = root(
        |n| {
            let [left, right] = &mut spans;
            let held = |span: &mut Span<'_>| match span.path.legs.first().copied() {
                Some(leg) => span.held(&leg, leg.from, n),
                None => (0.0, 0.0),
            };
            let (mut y, other) = (held(left), held(right));
            strips[0].fill(&mut y, (width, 0.0), (n, 1.0));
            (y.0 + other.0, y.1 + other.1)
        },
        taut,
        0.0,
        scale,
    )
    .ok_or(LayError::NotConverged { at: pad.0 })?;
    let mut report = MarchReport::default();
    // Film left ahead of each front; rounding of the root goes under the pad.
    let mut ends = [0.0; 2];
    let mut sides = [Vec::new(), Vec::new()];
    for (k, span) in spans.iter_mut().enumerate() {
        let frame = Frame {
            side: if k == 0 { Side::Left } else { Side::Right },
            start: if k == 0 { pad.0 } else { pad.1 },
            taut,
        };
        let m = match span.path.legs.first().copied() {
            Some(leg) => span.held(&leg, leg.from, n).0,
            None => 0.0,
        };
        ends[k] = m;
        sides[k] = one_side(span, frame, n, m, &mut report)?;
    }
    let [mut pieces, to_right] = sides;
    pieces.reverse();
    pressed(pad, (ends[0], taut - ends[1]), &strips[0], n, &mut pieces);
    pieces.extend(to_right);
    Ok(Marched { pieces, report })
}

/// The film of one press at one tension, zone by zone.
fn pressed(
    (from, to): (f64, f64),
    (film, film_end): (f64, f64),
    strip: &Strip<'_>,
    n: f64,
    pieces: &mut Vec<Piece>,
) {
    let (mut s, mut x) = (from, film);
    while s < to {
        let zone = strip.inside(x);
        let (end, law) = strip.zones[zone];
        let lambda = law.lambda(n);
        let last = end >= film_end || s + (end - x) * lambda >= to;
        let (s1, x1) = if last {
            (to, film_end)
        } else {
            (s + (end - x) * lambda, end)
        };
        pieces.push(Piece {
            from: s,
            to: s1,
            side: Side::Right,
            law: Law::Even,
            base: lambda.ln(),
            film: (x, x1),
        });
        (s, x) = (s1, x1);
    }
}

/// Sends a front from the press to the bond line; pieces from the press outwards.
fn one_side(
    span: &mut Span<'_>,
    frame: Frame,
    press: f64,
    film: f64,
    report: &mut MarchReport,
) -> Result<Vec<Piece>, LayError> {
    let (mut n, mut m) = (press, film);
    let mut pieces = Vec::new();
    let mut before: Option<Leg> = None;
    let mut rested = false;
    let mut useful = None;
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
            let tau = if rested { span.conditions.drag } else { 0.0 };
            let end = roll_out(span.strip, &leg, frame, tau, (&mut n, &mut m), &mut pieces);
            if let (None, Some(t)) = (useful, end) {
                useful = Some(frame.s(t));
            }
        }
        before = Some(leg);
    }
    match frame.side {
        Side::Left => report.useful.0 = useful,
        Side::Right => report.useful.1 = useful,
    }
    let residual = m.abs() / frame.taut;
    if residual.is_nan() || residual > MOST_RESIDUAL {
        let at = span.path.legs.last().map_or(0.0, |leg| leg.to);
        return Err(LayError::NotConverged { at: frame.s(at) });
    }
    report.residual = report.residual.max(residual);
    Ok(pieces)
}

/// Lays a leg along which the film lies already: it goes down as it is. Returns where the
/// tension comes to nothing.
fn roll_out(
    strip: &Strip<'_>,
    leg: &Leg,
    frame: Frame,
    tau: f64,
    (n, m): (&mut f64, &mut f64),
    pieces: &mut Vec<Piece>,
) -> Option<f64> {
    let mut t = leg.from;
    let mut useful = None;
    while t < leg.to {
        let zone = strip.outside(*m);
        let law = strip.law(zone);
        let room = *m - strip.begin(zone);
        let lambda = law.lambda(*n);
        if tau <= 0.0 || *n <= 0.0 {
            if tau > 0.0 && useful.is_none() {
                useful = Some(t);
            }
            let length = (room * lambda).min(leg.to - t);
            let t1 = if length < leg.to - t {
                t + length
            } else {
                leg.to
            };
            let left = if t1 < leg.to {
                *m - room
            } else {
                *m - (t1 - t) / lambda
            };
            pieces.push(frame.even((t, *m), (t1, left), lambda));
            (t, *m) = (t1, left);
            continue;
        }
        // A part of the way to no tension, or to the zone's or the leg's end.
        let fall = (span_of(*n, law) / DRAG_CELLS).max(1e-3 * *n).min(*n);
        let mut lower = (*n - fall).max(*n - tau * (leg.to - t)).max(0.0);
        let used = |low: f64| (law.film_integral(*n) - law.film_integral(low)) / tau;
        let ends_zone = used(lower) >= room;
        if ends_zone {
            lower = bracketed(
                |low| used(low) - room,
                (lower, used(lower) - room),
                (*n, -room),
                1e-15 * *n,
            )
            .unwrap_or(lower);
        }
        let t1 = if *n - tau * (leg.to - t) >= lower {
            leg.to
        } else {
            t + (*n - lower) / tau
        };
        let left = if ends_zone {
            *m - room
        } else {
            *m - used(lower)
        };
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
        let free = (corner.p - leg.at(t)).norm() + corner.beyond;
        h = h.min(LONGEST_STEP * free);
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
        report.steps += 1;
        if report.steps > MOST_STEPS || (h < leg.to - t && h <= 1e-14 * (1.0 + leg.to)) {
            return Err(LayError::Stalled {
                at: frame.s(t),
                steps: report.steps,
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
        report.fall = report.fall.max(span.watch(leg, t1, after));
        (t, *m, *n) = (t1, y[0], after);
        h = next_step(h, ratio);
    }
    Ok(())
}

/// What edge-first starts from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Closing<'a> {
    /// Intervals of the closing window, from the press outwards.
    pub(super) windows: &'a [Window],
    /// The press, arc length, mm, and the panel from it to both starts, mm.
    pub(super) press: f64,
    pub(super) reach: (f64, f64),
    /// Film positions of both fronts, mm from the left bond line.
    pub(super) film: (f64, f64),
}

/// Film between two fronts, closing in.
struct Gap<'a> {
    strip: &'a Strip<'a>,
    closing: Closing<'a>,
    laying: Laying,
}

impl Gap<'_> {
    /// Length of the film between two places at a tension, and its slope.
    fn length(&self, [from, to]: State, n: f64) -> (f64, f64) {
        let (mut x, mut sum) = (from, (0.0, 0.0));
        let mut zone = self.strip.inside(from);
        while x < to {
            let (end, law) = self.strip.zones[zone];
            let (lambda, slope) = law.lambda_and_slope(n);
            let width = end.min(to) - x;
            sum = (sum.0 + width * lambda, sum.1 + width * slope);
            x = end;
            zone += 1;
        }
        sum
    }

    /// Tension at which the film between two places has a length.
    fn tension(&self, film: State, length: f64, guess: f64) -> Option<f64> {
        let all = film[1] - film[0];
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

    /// Zones just ahead of both fronts.
    fn zones(&self, film: State) -> (usize, usize) {
        (self.strip.inside(film[0]), self.strip.outside(film[1]))
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

    /// Film that both fronts lay per unit of closing, mm.
    fn rate(&self, laid: (f64, f64)) -> State {
        let reach = self.closing.reach;
        [reach.0 / laid.0, -reach.1 / laid.1]
    }

    /// Pieces of both sides between two openings.
    fn cells(
        &self,
        (ya, a, la): (f64, State, (f64, f64)),
        (yb, b, lb): (f64, State, (f64, f64)),
    ) -> [Option<Piece>; 2] {
        let Closing { press, reach, .. } = self.closing;
        let left = (reach.0 > 0.0).then(|| Piece {
            from: press - ya * reach.0,
            to: press - yb * reach.0,
            side: Side::Left,
            law: Law::Cell(Cell {
                rates: (1.0 / la.0, 1.0 / lb.0),
            }),
            base: 0.0,
            film: (a[0], b[0]),
        });
        let right = (reach.1 > 0.0).then(|| Piece {
            from: press + yb * reach.1,
            to: press + ya * reach.1,
            side: Side::Right,
            law: Law::Cell(Cell {
                rates: (1.0 / lb.1, 1.0 / la.1),
            }),
            base: 0.0,
            film: (b[1], a[1]),
        });
        [left, right]
    }
}

/// Marches edge-first from the lips on to the press; pieces left to right.
pub(super) fn inwards(
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
    let mut film = [closing.film.0, closing.film.1];
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
        let (from, to) = (
            closing.press - open * closing.reach.0,
            closing.press + open * closing.reach.1,
        );
        let lost = LayError::NotConverged { at: closing.press };
        let n = gap.tension(film, to - from, n).ok_or(lost)?;
        pressed((from, to), (film[0], film[1]), &strip, n, &mut pieces);
    } else {
        report.residual = (film[1] - film[0]).abs() / (closing.film.1 - closing.film.0);
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
    for _ in 0..=2 * gap.strip.zones.len() {
        if y <= w.y0 {
            break;
        }
        let zones = gap.zones(*film);
        let laid = gap.laid(w, y, zones, n);
        let rate = gap.rate(laid);
        let ends = [gap.strip.zones[zones.0].0, gap.strip.begin(zones.1)];
        let mut h = y - w.y0;
        let mut first = None;
        for k in 0..2 {
            // Both fronts may meet on the same film: a zone that ends behind the other
            // front ends nothing.
            let to_end = (ends[k] - film[k]) / rate[k];
            if rate[k].abs() > 0.0 && to_end < h {
                (h, first) = (to_end, Some(k));
            }
        }
        let y1 = if first.is_some() { y - h } else { w.y0 };
        let mut next = [film[0] + rate[0] * h, film[1] + rate[1] * h];
        if let Some(k) = first {
            next[k] = ends[k];
        }
        down(gap.cells((y, *film, laid), (y1, next, laid)));
        (y, *film) = (y1, next);
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
    while y > w.y0 && w.free(y) > LAST_GAP {
        let zones = gap.zones(*film);
        let ends = [gap.strip.zones[zones.0].0, gap.strip.begin(zones.1)];
        let front = |y: f64, film: State, guess: f64| {
            let n = gap.tension(film, w.free(y), guess)?;
            Some((n, gap.laid(w, y, zones, n)))
        };
        let (now, laid) = front(y, *film, *n).ok_or_else(|| lost.clone())?;
        h = h.min(LONGEST_STEP * w.free(y) / panel);
        if y - w.y0 - h <= 1e-3 * h {
            h = y - w.y0;
        }
        report.steps += 1;
        if report.steps > MOST_STEPS || (h < y - w.y0 && h <= 1e-14) {
            return Err(LayError::Stalled {
                at: press,
                steps: report.steps,
            });
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
        let tried = try_step(h).filter(|(f, _)| f[1] > f[0]);
        let allowed = STEP_ERROR * (film[1] - film[0]);
        let ratio = tried.map_or(f64::INFINITY, |(_, e)| e[0].abs().max(e[1].abs()) / allowed);
        let Some((mut next, _)) = tried.filter(|_| ratio <= 1.0) else {
            h = next_step(h, ratio);
            continue;
        };
        let beyond = |f: State| (f[0] - ends[0]).max(ends[1] - f[1]);
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
            let near = 1e-9 * (1.0 + film[1] - film[0]);
            for k in 0..2 {
                if (next[k] - ends[k]).abs() <= near {
                    next[k] = ends[k];
                }
            }
        }
        let y1 = if taken >= y - w.y0 { w.y0 } else { y - taken };
        let (after, laid1) = front(y1, next, now).ok_or_else(|| lost.clone())?;
        down(gap.cells((y, *film, laid), (y1, next, laid1)));
        (y, *film, *n) = (y1, next, after);
        h = next_step(h, ratio);
    }
    Ok(y)
}

//! The lay-down done a second time, the slow way: fronts in small steps, the taut film
//! wrapped anew over what is still open at each of them, the film integrated.

use crate::common;

use common::{any_section, exact, length, section, wrapped};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use tautspan::geometry::Polyline;
use tautspan::laydown::{Goal, LayError, Patch, Spot, Step, Steps};
use tautspan::{Bed, Bonds, Conditions, Order, Point, Recess, Side};

/// Agreement asked for, relative in the peak.
const WITHIN: f64 = 1e-6;
/// Sections, and pads taken in turn, mm.
const SECTIONS: usize = 40;
const PADS: [f64; 3] = [1.0, 4.0, 10.0];
/// A step of the fronts, as a part of the free film that is left, and its largest, mm.
const PART: f64 = 0.01;
const LARGEST: f64 = 0.2;

/// The panel between two arc lengths, ends included.
fn open(line: &Polyline, from: f64, to: f64) -> Vec<Point> {
    let mut chain = vec![line.at(from)];
    let inside = line.points().iter().zip(line.lengths());
    chain.extend(
        inside
            .filter(|(_, s)| **s > from && **s < to)
            .map(|(p, _)| *p),
    );
    chain.push(line.at(to));
    chain
}

/// Taut length between two arc lengths, mm.
fn taut(line: &Polyline, from: f64, to: f64) -> f64 {
    length(&wrapped(&open(line, from, to)))
}

/// The largest stretch while a window closes: `ends(p)` is the window after a part `p` of
/// its way, `stops` the parts at which a front passes a vertex, `rate` the panel laid per
/// part, mm, and `film` the unstretched film in it at the start. Film goes down by
/// d ln m = -ds/L (Simpson); `least` is the part of L at which nothing is left to gain.
///
/// Returns the peak and the film left.
fn march(
    line: &Polyline,
    ends: impl Fn(f64) -> (f64, f64),
    mut stops: Vec<f64>,
    rate: f64,
    film: f64,
    refine: f64,
) -> (f64, f64) {
    let free = |p: f64| {
        let (a, b) = ends(p);
        taut(line, a, b)
    };
    stops.retain(|p| *p > 0.0 && *p < 1.0);
    stops.push(1.0);
    stops.sort_by(f64::total_cmp);
    let (mut at, mut l, mut m) = (0.0, free(0.0), film);
    let mut peak = l / m;
    for stop in stops {
        while at < stop - 1e-13 {
            let step = (refine * (PART * l).min(LARGEST) / rate).min(stop - at);
            let next = if step >= stop - at { stop } else { at + step };
            let (middle, end) = (free(0.5 * (at + next)), free(next));
            if end < 1e-3 {
                // A last facet, along which the film lies already: nothing to gain.
                return (peak, m);
            }
            let laid = rate * (next - at);
            m *= (-laid / 6.0 * (1.0 / l + 4.0 / middle + 1.0 / end)).exp();
            (at, l) = (next, end);
            peak = peak.max(l / m);
        }
    }
    (peak, m)
}

/// Peak of deepest-first.
fn deepest_first(bed: &Bed<'_>, left: f64, right: f64, refine: f64) -> f64 {
    let line = bed.line();
    let pad = (
        (bed.press() - 0.5 * bed.pad()).max(left),
        (bed.press() + 0.5 * bed.pad()).min(right),
    );
    let (to_left, to_right) = (taut(line, left, pad.0), taut(line, pad.1, right));
    let lambda = (to_left + pad.1 - pad.0 + to_right) / taut(line, left, right);
    let mut peak = lambda;
    for (from, to, l) in [(pad.0, left, to_left), (pad.1, right, to_right)] {
        let way = (to - from).abs();
        if way < 1e-9 {
            continue;
        }
        let ends = |p: f64| {
            let s = from + (to - from) * p;
            if to < from { (to, s) } else { (s, to) }
        };
        let stops = line.lengths().iter().map(|s| (s - from) / (to - from));
        let laid = march(line, ends, stops.collect(), way, l / lambda, refine);
        peak = peak.max(laid.0);
    }
    peak
}

/// Peak of edge-first.
fn edge_first(bed: &Bed<'_>, left: f64, right: f64, refine: f64) -> f64 {
    let (line, press) = (bed.line(), bed.press());
    let mut starts = (bed.lips().0.max(left), bed.lips().1.min(right));
    match bed.recess().lower() {
        None => {}
        Some(Side::Right) => starts.1 = right,
        Some(Side::Left) => starts.0 = left,
    }
    // What lies outside the starts goes down first, each pocket at arc over chord.
    let mut peak = 1.0_f64;
    let mut film = taut(line, left, right);
    for (a, b) in [(left, starts.0), (starts.1, right)] {
        if b - a < 1e-9 {
            continue;
        }
        let chain = open(line, a, b);
        let corners = wrapped(&chain);
        film -= length(&corners);
        for w in corners.windows(2) {
            let at = |p: Point| chain.iter().position(|q| *q == p).unwrap();
            let arc = length(&chain[at(w[0])..=at(w[1])]);
            peak = peak.max(arc / (w[1] - w[0]).norm());
        }
    }
    let (l, r) = (press - starts.0, starts.1 - press);
    let last = bed.pad().min(l + r);
    if l + r <= bed.pad() {
        return peak.max((l + r) / film);
    }
    let shut = 1.0 - last / (l + r);
    let ends = |p: f64| (starts.0 + shut * l * p, starts.1 - shut * r * p);
    let mut stops = Vec::new();
    for s in line.lengths() {
        if l > 0.0 {
            stops.push((s - starts.0) / (shut * l));
        }
        if r > 0.0 {
            stops.push((starts.1 - s) / (shut * r));
        }
    }
    let laid = march(line, ends, stops, shut * (l + r), film, refine);
    peak.max(laid.0).max(last / laid.1)
}

#[test]
fn a_second_lay_down_in_small_steps_has_the_same_peaks() {
    // Fixed seed: the same sections each time, of every kind the properties draw from.
    let mut runner = TestRunner::deterministic();
    let mut done = 0;
    let mut ridges = 0;
    while done < SECTIONS {
        let points = any_section(1e-6).new_tree(&mut runner).unwrap().current();
        let Ok(recess) = Recess::find(section(&points), exact()) else {
            continue;
        };
        let bed = Bed::new(&recess, PADS[done % PADS.len()], 0.0);
        let most = recess.reach_limit();
        let reach = [0.0, 12.0, 70.0, 160.0][done % 4];
        let bonds = Bonds::with_reach(&recess, f64::min(reach, most.0), f64::min(reach, most.1));
        for order in [Order::DeepestFirst, Order::EdgeFirst] {
            let Ok(laid) = bed.lay(bonds, order) else {
                continue;
            };
            let (left, right) = laid.bonds();
            let found = laid.peak(&bed).expect("finite with a pad").lambda;
            let brute = |refine| match order {
                Order::EdgeFirst => edge_first(&bed, left, right, refine),
                _ => deepest_first(&bed, left, right, refine),
            };
            let (whole, half) = (brute(1.0), brute(0.5));
            // Steps are small enough: halving them moves the peak by less than a third.
            assert!(
                (whole - half).abs() <= 0.3 * WITHIN * half,
                "{order:?}: {whole} and {half}"
            );
            assert!(
                (found - half).abs() <= WITHIN * half,
                "{order:?}, section {done}, pad {}, {points:?}: {found}, in small steps {half}",
                bed.pad()
            );
        }
        let floor = points
            .windows(3)
            .filter(|w| w[1].y > w[0].y && w[1].y > w[2].y);
        ridges += usize::from(floor.count() > 0);
        done += 1;
    }
    assert!(
        ridges >= SECTIONS / 4,
        "{ridges} sections with a ridge only"
    );
}

/// A free span of the second lay-down: ends, mm, unstretched film in it, mm.
type Open = (f64, f64, f64);

/// One move of a random order.
#[derive(Debug, Clone, Copy)]
enum Move {
    /// The pad goes down around here, in the span of this number.
    Press(usize, f64),
    /// A front goes from one place to another, in the span of this number.
    Spread(usize, f64, f64),
}

/// Carries a move out in small steps; returns the largest stretch.
fn carry_out(bed: &Bed<'_>, open: &mut Vec<Open>, by: Move, refine: f64) -> f64 {
    let line = bed.line();
    match by {
        Move::Press(k, s) => {
            let (a, b, m) = open[k];
            let (p, q) = ((s - 0.5 * bed.pad()).max(a), (s + 0.5 * bed.pad()).min(b));
            let part = |from, to| if to > from { taut(line, from, to) } else { 0.0 };
            let lambda = (part(a, p) + q - p + part(q, b)) / m;
            let mut parts = vec![(a, p, part(a, p) / lambda), (q, b, part(q, b) / lambda)];
            parts.retain(|o| o.1 > o.0);
            open.splice(k..=k, parts);
            lambda
        }
        Move::Spread(k, from, to) => {
            let (a, b, m) = open[k];
            let ends = |p: f64| {
                let s = from + (to - from) * p;
                if to > from { (s, b) } else { (a, s) }
            };
            let stops = line.lengths().iter().map(|s| (s - from) / (to - from));
            let way = (to - from).abs();
            let (peak, left) = march(line, ends, stops.collect(), way, m, refine);
            let (a, b) = ends(1.0);
            open.splice(k..=k, (b - a > 1e-9).then_some((a, b, left)));
            peak
        }
    }
}

/// A number from 0 to 1 that depends on a seed alone.
fn chance(seed: &mut u64) -> f64 {
    *seed = seed
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    f64::from(u32::try_from(*seed >> 33).unwrap()) / f64::from(1_u32 << 31)
}

/// Random moves that lay all film, as moves and as steps.
fn random_order(bed: &Bed<'_>, left: f64, right: f64, seed: &mut u64) -> (Vec<Move>, Vec<Step>) {
    let line = bed.line();
    let spot = |s: f64| Spot {
        x: line.at(s).x,
        y: Some(line.at(s).y),
    };
    let mut open = vec![(left, right, taut(line, left, right))];
    let (mut moves, mut steps) = (Vec::new(), Vec::new());
    while let Some(&(a, b, _)) = open.last() {
        let k = open.len() - 1;
        let mut at = || a + (b - a) * (0.05 + 0.9 * chance(seed));
        let (inner, target) = (at(), at());
        let dice = chance(seed);
        let to_right = chance(seed) < 0.5;
        let front = if to_right { a } else { b };
        let from = if front <= left {
            Patch::Flat(Side::Left)
        } else if front >= right {
            Patch::Flat(Side::Right)
        } else {
            Patch::At(spot(front))
        };
        let side = if to_right { Side::Right } else { Side::Left };
        if moves.len() < 8 && dice < 0.35 {
            moves.push(Move::Press(k, inner));
            steps.push(Step::Press(spot(inner)));
        } else if moves.len() < 8 && dice < 0.75 {
            moves.push(Move::Spread(k, front, target));
            let to = Goal::At(spot(target));
            steps.push(Step::Spread { to, from });
        } else {
            moves.push(Move::Spread(k, front, if to_right { b } else { a }));
            let to = Goal::Next(side);
            steps.push(Step::Spread { to, from });
        }
        // Only where film is free matters here.
        carry_out(bed, &mut open, *moves.last().unwrap(), 30.0);
    }
    (moves, steps)
}

#[test]
fn random_custom_orders_have_the_same_peaks_in_small_steps() {
    let mut runner = TestRunner::deterministic();
    let mut seed = 7;
    let (mut done, mut skipped) = (0, 0);
    while done < SECTIONS {
        let points = any_section(1e-6).new_tree(&mut runner).unwrap().current();
        let Ok(recess) = Recess::find(section(&points), exact()) else {
            continue;
        };
        let bed = Bed::new(&recess, [0.0, 1.0, 4.0, 10.0][done % 4], 0.0);
        let most = recess.reach_limit();
        let reach = [0.0, 12.0, 70.0][done % 3];
        let bonds = Bonds::with_reach(&recess, f64::min(reach, most.0), f64::min(reach, most.1));
        let Ok(laid) = bed.lay(bonds, Order::DeepestFirst) else {
            continue;
        };
        let (left, right) = laid.bonds();
        let (moves, steps) = random_order(&bed, left, right, &mut seed);
        let steps = Steps::new(steps).unwrap();
        let laid = match bed.lay_steps(bonds, &steps, &Conditions::default()) {
            // Places nearer than 0.05 mm are one to the steps, and a random turn may be there.
            Err(LayError::Step { .. }) => {
                skipped += 1;
                continue;
            }
            laid => laid.unwrap_or_else(|e| panic!("{steps}, {points:?}: {e}")),
        };
        let found = laid.peak(&bed).unwrap().lambda;
        let brute = |refine| {
            let mut open = vec![(left, right, taut(bed.line(), left, right))];
            let peaks = moves.iter().map(|&m| carry_out(&bed, &mut open, m, refine));
            peaks.fold(0.0, f64::max)
        };
        let (whole, half) = (brute(1.0), brute(0.5));
        assert!(
            (whole - half).abs() <= 0.3 * WITHIN * half,
            "{steps}: {whole} and {half}"
        );
        assert!(
            (found - half).abs() <= WITHIN * half,
            "{steps}, pad {}, {points:?}: {found}, in small steps {half}",
            bed.pad()
        );
        done += 1;
    }
    assert!(
        skipped <= SECTIONS / 10,
        "{skipped} orders could not be told"
    );
}

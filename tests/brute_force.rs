//! The lay-down done a second time, the slow way: fronts in small steps, the taut film
//! wrapped anew over what is still open at each of them, the film integrated.

#![allow(clippy::unwrap_used, reason = "a panic is a failed test")]

mod common;

use common::{any_section, exact, length, section, wrapped};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use tautspan::{Bed, Bonds, Order, Point, Polyline, Recess, Side};

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

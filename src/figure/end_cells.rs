//! Quads of film in a picture: bands of one colour, hatch, dots, and lines of one value.
//!
//! A value is linear over each half of a quad. Bands are what of a quad lies at or above a level,
//! laid one over the other, so that nothing shows between two.

use super::canvas::Canvas;
use super::cividis::luminance;
use crate::draw::{INK, Pt, Rgb, WHITE};
use std::collections::BTreeMap;

/// A corner in the picture, and a value there.
pub(super) type Corner = (Pt, f64);

/// How far a band goes over its border, picture units: no paper shows between two.
const OVERLAP: f64 = 0.4;
/// Between two lines of the densest hatch. Every fourth is there just over the limit, every
/// second from a third of it over, all from two thirds.
const HATCH: f64 = 3.2;
const FROM: [f64; 4] = [0.0, 2.0 / 3.0, 1.0 / 3.0, 2.0 / 3.0];
/// Between two dots.
const DOTS: f64 = 15.0;

fn between(a: Corner, b: Corner, level: f64) -> Corner {
    let t = (level - a.1) / (b.1 - a.1);
    let along = |k: usize| a.0[k] + t * (b.0[k] - a.0[k]);
    ([along(0), along(1)], level)
}

/// What of an outline lies at or above a level.
fn above(outline: &[Corner], level: f64) -> Vec<Corner> {
    let mut kept = Vec::new();
    for (i, &a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if a.1 >= level {
            kept.push(a);
        }
        if (a.1 >= level) != (b.1 >= level) {
            kept.push(between(a, b, level));
        }
    }
    kept
}

/// The two halves of a quad.
fn halves(quad: &[Corner; 4]) -> [[Corner; 3]; 2] {
    [[quad[0], quad[1], quad[2]], [quad[0], quad[2], quad[3]]]
}

/// Fills an outline, each side moved outwards a little.
fn fill(canvas: &mut Canvas, outline: &[Pt], colour: Rgb) {
    let mut corners: Vec<Pt> = Vec::new();
    for &p in outline {
        let apart = |q: &Pt| (p[0] - q[0]).abs() + (p[1] - q[1]).abs() > 1e-9;
        if corners.last().is_none_or(apart) && corners.first().is_none_or(apart) {
            corners.push(p);
        }
    }
    let n = corners.len();
    let turned = (0..n).map(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % n]);
        a[0] * b[1] - a[1] * b[0]
    });
    let side = turned.sum::<f64>().signum();
    let normal = |a: Pt, b: Pt| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = dx.hypot(dy);
        [side * dy / long, -side * dx / long]
    };
    let grown = (0..n).map(|i| {
        let (p, before, after) = (corners[i], corners[(i + n - 1) % n], corners[(i + 1) % n]);
        let (u, v) = (normal(before, p), normal(p, after));
        let by = OVERLAP / (1.0 + u[0] * v[0] + u[1] * v[1]).max(0.4);
        [p[0] + by * (u[0] + v[0]), p[1] + by * (u[1] + v[1])]
    });
    if n > 2 {
        canvas.fill(&grown.collect::<Vec<_>>(), colour);
    }
}

/// Fills quads by steps: `step` of a value, `level` at which a step begins, its colour.
pub(super) fn bands(
    canvas: &mut Canvas,
    quads: &[[Corner; 4]],
    step: impl Fn(f64) -> usize,
    level: impl Fn(usize) -> f64,
    colour: impl Fn(usize) -> Rgb,
) {
    // Quads of one step, one behind the other, are one outline.
    let mut run: Option<(usize, Vec<Pt>, Vec<Pt>)> = None;
    for quad in quads {
        let steps = quad.map(|c| step(c.1));
        let (low, high) = (
            steps.into_iter().min().unwrap_or(0),
            steps.into_iter().max().unwrap_or(0),
        );
        if let Some((of, left, right)) = &mut run
            && low == high
            && *of == low
            && left.last() == Some(&quad[0].0)
            && right.last() == Some(&quad[1].0)
        {
            left.push(quad[3].0);
            right.push(quad[2].0);
            continue;
        }
        whole(canvas, run.take(), &colour);
        if low == high {
            let (left, right) = (vec![quad[0].0, quad[3].0], vec![quad[1].0, quad[2].0]);
            run = Some((low, left, right));
            continue;
        }
        fill(canvas, &quad.map(|c| c.0), colour(low));
        for half in halves(quad) {
            for k in low + 1..=high {
                let part = above(&half, level(k));
                if part.len() > 2 {
                    let outline: Vec<Pt> = part.iter().map(|c| c.0).collect();
                    fill(canvas, &outline, colour(k));
                }
            }
        }
    }
    whole(canvas, run, &colour);
}

fn whole(
    canvas: &mut Canvas,
    run: Option<(usize, Vec<Pt>, Vec<Pt>)>,
    colour: impl Fn(usize) -> Rgb,
) {
    if let Some((step, mut left, right)) = run {
        left.extend(right.into_iter().rev());
        fill(canvas, &left, colour(step));
    }
}

/// Crossed lines where a value is over 1, the denser the more it is.
pub(super) fn hatch(canvas: &mut Canvas, quads: &[[Corner; 4]]) {
    let mut found: BTreeMap<(bool, i32), Vec<[f64; 2]>> = BTreeMap::new();
    for half in quads.iter().flat_map(halves) {
        if half.iter().all(|c| c.1 <= 1.0) {
            continue;
        }
        for rising in [true, false] {
            let turned = half.map(|(p, v)| (turn(p, rising), v));
            let across = turned.map(|c| c.0[0]);
            let [low, high] = [f64::min, f64::max].map(|of| across.into_iter().reduce(of));
            let (Some(low), Some(high)) = (low, high) else {
                continue;
            };
            for n in whole_from(low / HATCH)..whole_from(high / HATCH) {
                let part = FROM[usize::try_from(n.rem_euclid(4)).unwrap_or(0)];
                if let Some(run) = crossed(&turned, HATCH * f64::from(n), 1.0 + part) {
                    found.entry((rising, n)).or_default().push(run);
                }
            }
        }
    }
    for ((rising, n), mut runs) in found {
        runs.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut joined: Vec<[f64; 2]> = Vec::new();
        for run in runs {
            match joined.last_mut() {
                Some(last) if run[0] < last[1] + 0.6 => last[1] = last[1].max(run[1]),
                _ => joined.push(run),
            }
        }
        for run in joined {
            let line = run.map(|along| turn([HATCH * f64::from(n), along], rising));
            canvas.stroke(&line, INK, 1.2);
        }
    }
}

/// The first whole number from there on.
#[expect(
    clippy::cast_possible_truncation,
    reason = "some hundreds; NaN gives 0"
)]
fn whole_from(v: f64) -> i32 {
    v.ceil() as i32
}

/// Across and along a line of the hatch; its own inverse.
fn turn(p: Pt, rising: bool) -> Pt {
    let (a, b) = (p[0] * 0.5_f64.sqrt(), p[1] * 0.5_f64.sqrt());
    if rising {
        [a + b, a - b]
    } else {
        [a - b, -a - b]
    }
}

/// Where a line at `at` across runs through a triangle above a level.
fn crossed(triangle: &[Corner; 3], at: f64, level: f64) -> Option<[f64; 2]> {
    let mut ends: Vec<Corner> = Vec::new();
    for i in 0..3 {
        let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
        if (a.0[0] <= at) != (b.0[0] <= at) {
            let t = (at - a.0[0]) / (b.0[0] - a.0[0]);
            let along = a.0[1] + t * (b.0[1] - a.0[1]);
            ends.push(([at, along], a.1 + t * (b.1 - a.1)));
        }
    }
    let (mut a, mut b) = match ends[..] {
        [a, b] => (a, b),
        _ => return None,
    };
    if a.1 <= level && b.1 <= level {
        return None;
    }
    if a.1 < level {
        a = between(a, b, level);
    } else if b.1 < level {
        b = between(a, b, level);
    }
    Some([a.0[1].min(b.0[1]), a.0[1].max(b.0[1])])
}

/// Dots where a value is over 0, in white on dark and in ink on light.
pub(super) fn dots(canvas: &mut Canvas, quads: &[[Corner; 4]], ground: impl Fn(usize) -> Rgb) {
    for (i, quad) in quads.iter().enumerate() {
        for half in halves(quad).iter().filter(|h| h.iter().any(|c| c.1 > 0.0)) {
            let span = |k: usize| {
                let all = || half.iter().map(move |c| c.0[k] / DOTS);
                let low = all().fold(f64::INFINITY, f64::min);
                let high = all().fold(f64::NEG_INFINITY, f64::max);
                whole_from(low)..whole_from(high)
            };
            for (row, column) in span(1).flat_map(|row| span(0).map(move |c| (row, c))) {
                let at = [DOTS * f64::from(column), DOTS * f64::from(row)];
                if value(half, at).is_some_and(|v| v > 0.0) {
                    let dark = luminance(ground(i)) < 0.22;
                    canvas.dot(at, if dark { WHITE } else { INK }, 2.6);
                }
            }
        }
    }
}

/// The value at a place within a triangle.
fn value([a, b, c]: &[Corner; 3], p: Pt) -> Option<f64> {
    let cross = |o: Pt, u: Pt, v: Pt| (u[0] - o[0]) * (v[1] - o[1]) - (u[1] - o[1]) * (v[0] - o[0]);
    let whole = cross(a.0, b.0, c.0);
    let parts = [cross(p, b.0, c.0), cross(p, c.0, a.0), cross(p, a.0, b.0)].map(|x| x / whole);
    let inside = parts.iter().all(|t| *t >= 0.0);
    inside.then(|| parts[0] * a.1 + parts[1] * b.1 + parts[2] * c.1)
}

/// Lines on which a value is a multiple of a step, as pieces.
pub(super) fn contours(quads: &[[Corner; 4]], step: f64) -> Vec<Vec<Pt>> {
    let mut pieces = Vec::new();
    for half in quads.iter().flat_map(halves) {
        let of = |fold: fn(f64, f64) -> f64| half.iter().map(|c| c.1 / step).reduce(fold);
        let (Some(low), Some(high)) = (of(f64::min), of(f64::max)) else {
            continue;
        };
        for n in whole_from(low)..whole_from(high) {
            let level = step * f64::from(n);
            let on = |i: usize| {
                let (a, b) = (half[i], half[(i + 1) % 3]);
                ((a.1 <= level) != (b.1 <= level)).then(|| between(a, b, level).0)
            };
            let ends: Vec<Pt> = (0..3).filter_map(on).collect();
            pieces.push(ends);
        }
    }
    chained(pieces)
}

/// Pieces that meet, as one line.
fn chained(mut pieces: Vec<Vec<Pt>>) -> Vec<Vec<Pt>> {
    const NEAR: f64 = 1e-6;
    let meets = |p: Option<&Pt>, q: Option<&Pt>| {
        p.zip(q)
            .is_some_and(|(p, q)| (p[0] - q[0]).abs() + (p[1] - q[1]).abs() < NEAR)
    };
    let mut lines = Vec::new();
    while let Some(mut line) = pieces.pop() {
        while let Some(i) = pieces.iter().rposition(|p| {
            let mut ends = [p.first(), p.last()].into_iter();
            ends.any(|e| meets(e, line.last()) || meets(e, line.first()))
        }) {
            let mut piece = pieces.swap_remove(i);
            if meets(piece.first(), line.first()) || meets(piece.last(), line.first()) {
                line.reverse();
            }
            if meets(piece.last(), line.last()) {
                piece.reverse();
            }
            line.extend(piece.into_iter().skip(1));
        }
        lines.push(line);
    }
    lines
}

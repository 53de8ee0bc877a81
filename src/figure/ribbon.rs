//! The band of constant width a little above a polyline: the film on the panel.
//!
//! Given the polyline (picture units, left to right, y down), the band between distances
//! d0 < d1 above it. Samples run along the polyline; at a corner that opens they turn on
//! the spot. An offset point nearer to the polyline than its distance lies in the fold of
//! a corner that closes: the run of such points shrinks to the point where the offset
//! meets itself, so both borders mitre along the bisector, in rounded and narrow corners
//! alike. Cost: samples times corners.

use crate::draw::{Pt, distance};

/// Longest step between samples, picture units: shorter than a line is wide.
const STEP: f64 = 1.5;
/// Largest turn between samples at an opening corner, radians.
const TURN: f64 = 0.12;

/// One sample of the band: where it is on the polyline and on both borders.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample {
    /// Index of the polyline's segment, and the part of it that is behind, 0 to 1.
    pub(super) segment: usize,
    pub(super) part: f64,
    /// Border near the polyline.
    pub(super) near: Pt,
    /// Border away from it.
    pub(super) far: Pt,
}

/// Samples of the band, left to right.
pub(super) fn band(line: &[Pt], near: f64, far: f64) -> Vec<Sample> {
    let corners = thinned(line);
    let bases = bases(line);
    let border = |d: f64| {
        let points: Vec<Pt> = bases
            .iter()
            .map(|b| [b.at[0] + d * b.normal[0], b.at[1] + d * b.normal[1]])
            .collect();
        unfolded(&points, &corners, d)
    };
    let (inner, outer) = (border(near), border(far));
    bases
        .iter()
        .zip(inner.iter().zip(&outer))
        .map(|(b, (&near, &far))| Sample {
            segment: b.segment,
            part: b.part,
            near,
            far,
        })
        .collect()
}

/// The band with upright ends, as the film ends at the bond posts: where the polyline
/// begins or ends on a slope away from the post, the band turns on the spot; where it would
/// lean over the post, it is cut there.
pub(super) fn upright_ends(mut band: Vec<Sample>, line: &[Pt], near: f64, far: f64) -> Vec<Sample> {
    const UPRIGHT: Pt = [0.0, -1.0];
    let along: Vec<&[Pt]> = line
        .windows(2)
        .filter(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]) >= 1e-9)
        .collect();
    let (Some(start), Some(end)) = (along.first(), along.last()) else {
        return band;
    };
    let normal = |w: &[Pt]| {
        let (dx, dy) = (w[1][0] - w[0][0], w[1][1] - w[0][1]);
        let length = dx.hypot(dy);
        [dy / length, -dx / length]
    };
    let fan = |at: Pt, from: Pt, turn: f64, like: Sample| {
        let pieces = count(turn / TURN);
        (0..=pieces).map(move |k| {
            let n = turned(from, turn * f64::from(k) / f64::from(pieces));
            let border = |d: f64| [at[0] + d * n[0], at[1] + d * n[1]];
            Sample {
                near: border(near),
                far: border(far),
                ..like
            }
        })
    };
    let (first, last) = (start[0], end[1]);
    let reach = 3.0 * far;
    let is_near = |p: Pt, q: Pt| (p[0] - q[0]).hypot(p[1] - q[1]) < reach;
    let turn = opening(UPRIGHT, normal(start));
    if turn < 0.0 {
        for s in band.iter_mut().filter(|s| is_near(s.near, first)) {
            s.near[0] = s.near[0].max(first[0]);
            s.far[0] = s.far[0].max(first[0]);
        }
    }
    let turn_back = opening(normal(end), UPRIGHT);
    if turn_back < 0.0 {
        for s in band.iter_mut().filter(|s| is_near(s.near, last)) {
            s.near[0] = s.near[0].min(last[0]);
            s.far[0] = s.far[0].min(last[0]);
        }
    }
    let (Some(&a), Some(&z)) = (band.first(), band.last()) else {
        return band;
    };
    if turn_back > 0.01 {
        band.extend(fan(last, normal(end), turn_back, z));
    }
    if turn > 0.01 {
        band.splice(0..0, fan(first, UPRIGHT, turn, a));
    }
    band
}

struct Base {
    segment: usize,
    part: f64,
    at: Pt,
    normal: Pt,
}

/// Points on the polyline with their normals, away from the solid side.
fn bases(line: &[Pt]) -> Vec<Base> {
    let mut found: Vec<Base> = Vec::new();
    for (segment, w) in line.windows(2).enumerate() {
        let (dx, dy) = (w[1][0] - w[0][0], w[1][1] - w[0][1]);
        let length = dx.hypot(dy);
        if length < 1e-9 {
            continue;
        }
        let normal = [dy / length, -dx / length];
        if let Some(turn) = found
            .last()
            .map(|last| opening(last.normal, normal))
            .filter(|&t| t > TURN)
        {
            let (n0, pieces) = (found[found.len() - 1].normal, count(turn / TURN));
            for k in 1..pieces {
                let angle = turn * f64::from(k) / f64::from(pieces);
                found.push(Base {
                    segment,
                    part: 0.0,
                    at: w[0],
                    normal: turned(n0, angle),
                });
            }
        }
        let pieces = count(length / STEP);
        for k in 0..=pieces {
            let part = f64::from(k) / f64::from(pieces);
            found.push(Base {
                segment,
                part,
                at: [w[0][0] + part * dx, w[0][1] + part * dy],
                normal,
            });
        }
    }
    found
}

/// Angle by which the normal turns to the right (clockwise as seen, y down), an opening corner.
fn opening(a: Pt, b: Pt) -> f64 {
    (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1])
}

fn turned(n: Pt, angle: f64) -> Pt {
    let (s, c) = angle.sin_cos();
    [n[0] * c - n[1] * s, n[0] * s + n[1] * c]
}

/// At least one, at most 10 000.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 1 and 10 000"
)]
fn count(v: f64) -> u32 {
    v.ceil().clamp(1.0, 1e4) as u32
}

/// The border with every folded run put where the border meets itself.
fn unfolded(points: &[Pt], corners: &[Pt], d: f64) -> Vec<Pt> {
    let sound: Vec<bool> = points
        .iter()
        .map(|&p| {
            corners
                .windows(2)
                .all(|w| distance(p, w[0], w[1]) > d - 0.05)
        })
        .collect();
    let mut found = points.to_vec();
    let mut i = 0;
    while i < points.len() {
        if sound[i] {
            i += 1;
            continue;
        }
        let end = (i..points.len())
            .find(|&k| sound[k])
            .unwrap_or(points.len());
        let before = i.checked_sub(1).map(|k| points[k]);
        let meet = match (before, points.get(end)) {
            (Some(a), Some(b)) => [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0],
            (Some(p), None) => p,
            (None, Some(&p)) => p,
            (None, None) => points[i],
        };
        found[i..end].fill(meet);
        i = end;
    }
    found
}

/// The polyline without vertices that hardly turn.
pub(super) fn thinned(line: &[Pt]) -> Vec<Pt> {
    let mut kept: Vec<Pt> = Vec::new();
    for &p in line {
        while let [.., a, b] = kept[..] {
            if distance(b, a, p) < 0.02 && distance(p, a, b) > 0.0 {
                kept.pop();
            } else {
                break;
            }
        }
        if kept.last() != Some(&p) {
            kept.push(p);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closing_corner_mitres_on_its_bisector() {
        // Reference: by hand. A wall going down and a floor to the right meet at (0, 0);
        // 10 above both is (10, -10).
        let samples = band(&[[0.0, -100.0], [0.0, 0.0], [100.0, 0.0]], 0.0, 10.0);
        let corner = samples
            .iter()
            .filter(|s| s.near == [0.0, 0.0])
            .map(|s| s.far);
        for p in corner {
            assert!((p[0] - 10.0).hypot(p[1] + 10.0) < 1.5, "{p:?}");
        }
    }

    #[test]
    fn a_band_ends_upright_on_a_slope() {
        // Reference: by hand. Down a wall at 45 degrees and up again: both ends stand over
        // the ends of the line, 2 and 12 above them.
        let line = [[0.0, 0.0], [60.0, 60.0], [120.0, 0.0]];
        let samples = upright_ends(band(&line, 2.0, 12.0), &line, 2.0, 12.0);
        for (s, x) in [(samples[0], 0.0), (samples[samples.len() - 1], 120.0)] {
            assert!((s.near[0] - x).abs() < 1e-9 && (s.near[1] + 2.0).abs() < 1e-9);
            assert!((s.far[0] - x).abs() < 1e-9 && (s.far[1] + 12.0).abs() < 1e-9);
        }
        let rise = [[0.0, 60.0], [60.0, 0.0], [120.0, 60.0]];
        for s in upright_ends(band(&rise, 2.0, 12.0), &rise, 2.0, 12.0) {
            assert!(s.far[0] > -1e-9 && s.far[0] < 120.0 + 1e-9);
        }
    }

    #[test]
    fn an_opening_corner_is_rounded() {
        let samples = band(&[[-100.0, 0.0], [0.0, 0.0], [0.0, 100.0]], 2.0, 10.0);
        for s in samples.iter().filter(|s| s.far[0] > 0.0 && s.far[1] < 0.0) {
            assert!((s.far[0].hypot(s.far[1]) - 10.0).abs() < 1e-9);
        }
        assert!(samples.iter().any(|s| s.far[0] > 5.0 && s.far[1] < -5.0));
    }

    #[test]
    fn no_border_point_comes_nearer_than_its_distance_in_a_rounded_corner() {
        let mut line: Vec<Pt> = vec![[0.0, -80.0]];
        line.extend((0..=30).map(|k| {
            let a = f64::from(k) / 30.0 * std::f64::consts::FRAC_PI_2;
            [4.0 - 4.0 * a.cos(), 4.0 * a.sin() - 4.0]
        }));
        line.push([80.0, 0.0]);
        for s in band(&line, 3.0, 16.0) {
            let near = line
                .windows(2)
                .map(|w| distance(s.far, w[0], w[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(near > 15.0, "{near}");
        }
    }
}

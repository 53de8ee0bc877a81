//! The front of laid film: where it is, which film is on it, and how film leaves it.
//!
//! At each column the front has a tangent t in space, and the film a gradient: `X_t` along t from
//! its neighbours, and `X_n` square to it in the free film, from three rows of a sheet in
//! equilibrium. A place the front goes on to takes the film of the foot of its perpendicular on
//! the front, and `X_n` for each mm beyond: columns may run askew to the front.

use super::plan::{P3, apart, dot, sub};
use super::sheet::Sheet;

/// A place and its film on each column.
#[derive(Debug, Clone)]
pub(super) struct Front {
    pub(super) at: Vec<P3>,
    pub(super) film: Vec<[f64; 2]>,
}

/// Gradients of the film at a front.
pub(super) struct Slopes {
    /// Unit tangent of the front.
    pub(super) along: Vec<P3>,
    pub(super) by_along: Vec<[f64; 2]>,
    pub(super) by_out: Vec<[f64; 2]>,
}

/// Where film left a front.
pub(super) struct Base {
    pub(super) film: [f64; 2],
    pub(super) by_out: [f64; 2],
    /// mm from there.
    pub(super) far: f64,
}

impl Front {
    /// Place and direction of the front between two of its nodes.
    fn between(&self, j: usize, t: f64, slopes: &Slopes) -> (P3, P3) {
        let long = apart(self.at[j], self.at[j + 1]);
        let mut at = [0.0; 3];
        let mut along = [0.0; 3];
        for k in 0..3 {
            (at[k], along[k]) = cubic(
                [self.at[j][k], self.at[j + 1][k]],
                [slopes.along[j][k], slopes.along[j + 1][k]],
                long,
                t,
            );
        }
        let size = dot(along, along).sqrt();
        (at, along.map(|a| a / size))
    }

    fn film_between(&self, j: usize, t: f64, slopes: &Slopes) -> [f64; 2] {
        let long = apart(self.at[j], self.at[j + 1]);
        [0, 1].map(|k| {
            let ends = [self.film[j][k], self.film[j + 1][k]];
            cubic(
                ends,
                [slopes.by_along[j][k], slopes.by_along[j + 1][k]],
                long,
                t,
            )
            .0
        })
    }
}

/// Hermite's cubic through two values and slopes, `long` apart: value and slope at `t`.
fn cubic(y: [f64; 2], m: [f64; 2], long: f64, t: f64) -> (f64, f64) {
    let d = y[1] - y[0];
    let (a, b) = (m[0] * long - d, d - m[1] * long);
    let value = y[0] + t * d + t * (1.0 - t) * ((1.0 - t) * a + t * b);
    let slope = d + (1.0 - 2.0 * t) * ((1.0 - t) * a + t * b) + t * (1.0 - t) * (b - a);
    (value, slope / long)
}

impl Slopes {
    /// Gradients at a front; `out`: the free film lies outwards, from row 0 on.
    pub(super) fn of(front: &Front, sheet: &Sheet, out: bool) -> Self {
        let n = front.at.len();
        let mut slopes = Self {
            along: Vec::with_capacity(n),
            by_along: Vec::with_capacity(n),
            by_out: Vec::with_capacity(n),
        };
        for i in 0..n {
            let (along, by_along) = if i == 0 {
                ([0.0, 0.0, 1.0], [0.0, far_slope(front)])
            } else {
                let mirrored = |p: P3| [-p[0], p[1], p[2]];
                let (before, here) = (front.at[i - 1], front.at[i]);
                let (x_before, x_here) = (front.film[i - 1], front.film[i]);
                let (after, x_after) = if i + 1 == n {
                    (mirrored(before), [-x_before[0], x_before[1]])
                } else {
                    (front.at[i + 1], front.film[i + 1])
                };
                let (h1, h2) = (apart(before, here), apart(here, after));
                let weight = |a: f64, b: f64, c: f64| {
                    (h1 * h1 * (c - b) + h2 * h2 * (b - a)) / (h1 * h2 * (h1 + h2))
                };
                let r = [0, 1, 2].map(|k| weight(before[k], here[k], after[k]));
                let size = dot(r, r).sqrt();
                let x = [0, 1].map(|k| weight(x_before[k], x_here[k], x_after[k]) / size);
                (r.map(|r| r / size), x)
            };
            // Three rows of free film.
            let rows: [usize; 3] = if out {
                [0, 1, 2]
            } else {
                [1, 2, 3].map(|k| sheet.rows - k)
            };
            let nodes = rows.map(|j| sheet.node(i, j));
            let p = nodes.map(|n| sheet.place(n));
            let x = nodes.map(|n| sheet.nodes[n].film);
            let (h1, h2) = (apart(p[0], p[1]), apart(p[1], p[2]));
            let weight = |a: f64, b: f64, c: f64| {
                let (s1, s2) = ((b - a) / h1, (c - b) / h2);
                s1 - (s2 - s1) * h1 / (h1 + h2)
            };
            let r = [0, 1, 2].map(|k| weight(p[0][k], p[1][k], p[2][k]));
            let x_r = [0, 1].map(|k| weight(x[0][k], x[1][k], x[2][k]));
            let slide = dot(r, along);
            let rest = [0, 1, 2].map(|k| r[k] - slide * along[k]);
            let size = dot(rest, rest).sqrt();
            let by_out = [0, 1].map(|k| (x_r[k] - slide * by_along[k]) / size);
            slopes.along.push(along);
            slopes.by_along.push(by_along);
            slopes.by_out.push(by_out);
        }
        slopes
    }

    /// Where film that comes to lie at `to` left the front: the foot of the perpendicular, its
    /// film, its gradient outwards, and how far it is from there.
    pub(super) fn left(&self, front: &Front, to: &[P3]) -> Vec<Base> {
        let n = to.len();
        (0..n)
            .map(|i| {
                let mut base = Base {
                    film: front.film[i],
                    by_out: self.by_out[i],
                    far: apart(to[i], front.at[i]),
                };
                if i == 0 || i + 1 == n || base.far == 0.0 {
                    return base;
                }
                // Along the front, from node to node by cubics through its tangents.
                let slide = dot(sub(to[i], front.at[i]), self.along[i]);
                let mut j = if slide < 0.0 { i - 1 } else { i };
                let mut t = if slide < 0.0 { 1.0 } else { 0.0 };
                for _ in 0..8 {
                    let long = apart(front.at[j], front.at[j + 1]);
                    let (at, along) = front.between(j, t, self);
                    base.film = front.film_between(j, t, self);
                    base.by_out = [0, 1].map(|k| {
                        self.by_out[j][k] + t * (self.by_out[j + 1][k] - self.by_out[j][k])
                    });
                    let gap = sub(to[i], at);
                    base.far = dot(gap, gap).sqrt();
                    let go = dot(gap, along) / long;
                    if go.abs() < 1e-9 {
                        break;
                    }
                    t += go;
                    if t < 0.0 && j > 0 {
                        (j, t) = (j - 1, 1.0);
                    } else if t > 1.0 && j + 2 < n {
                        (j, t) = (j + 1, 0.0);
                    }
                    t = t.clamp(0.0, 1.0);
                }
                base
            })
            .collect()
    }
}

/// Film along the front at the far plane, which is a mirror: 1 in plane strain.
fn far_slope(front: &Front) -> f64 {
    (front.film[1][1] - front.film[0][1]) / (front.at[1][2] - front.at[0][2])
}

/// Singular values of a film gradient turned over: greater and smaller stretch.
pub(super) fn stretches(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    let (sum, product) = (
        a[0] * a[0] + a[1] * a[1] + b[0] * b[0] + b[1] * b[1],
        (a[0] * b[1] - a[1] * b[0]).abs(),
    );
    let root = ((sum - 2.0 * product).max(0.0)).sqrt();
    let sum = (sum + 2.0 * product).sqrt();
    let (large, small) = (0.5 * (sum + root), 0.5 * (sum - root));
    [1.0 / small, 1.0 / large]
}

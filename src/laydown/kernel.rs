//! Closed forms of the sticking front.
//!
//! Film sticks where it was pressed; film not yet laid is taut, of length L, with m of
//! unstretched film in it, so lambda = L/m. A front that lays ds takes ds/lambda with
//! it, hence
//!
//! ```text
//! d ln m = -ds/L,      d ln lambda = d ln L + ds/L .
//! ```
//!
//! One front along a straight facet, the free film going from the front to a corner K and
//! a length c further: with u the distance along the facet from the foot of K's
//! perpendicular (growing in the front's direction) and d the length of that
//! perpendicular, L = c + r, r = sqrt(u² + d²), u = d sinh t, and
//!
//! ```text
//! gain = ln(L1/L0) + ∫ du/(c + r) = ln(rho L1/L0) - c DJ,   rho = exp(t1 - t0),
//! DJ   = ∫ dt/(c + d cosh t) .
//! ```
//!
//! Written with differences of nearly equal numbers, this loses all digits near c = d and
//! for small d. Here x = u/(d + r) = tanh(t/2) and the addition theorem of the
//! (hyperbolic) tangent form each difference once, before any logarithm is taken.
//!
//! Two fronts on straight facets, straight free film between them: the chord is
//! w0 + v y in the window y, S the panel length inside it per unit of y; closing it from
//! y1 to y0 gives `gain = S ∫ dy/L + ln(L0/L1)`.
//!
//! Accuracy: 1e-13 absolute in the gain (1e-15 of a gain above 100) against 50-digit
//! quadrature (`examples/validate`).
//! Source: derived for this project.

use crate::geometry::Vector;

/// Below this k y, the arc tangent over k is summed as a series: k may be 0 there, and
/// the 15th power of 0.05 is under rounding. Larger: the series loses digits.
const SERIES: f64 = 0.05;

/// exp(t1 - t0) for u = d sinh t, r = sqrt(u² + d²); each branch adds what has one sign.
fn rho(d: f64, (u0, r0): (f64, f64), (u1, r1): (f64, f64)) -> f64 {
    if u1 <= 0.0 {
        (r0 - u0) / (r1 - u1)
    } else if u0 >= 0.0 {
        (r1 + u1) / (r0 + u0)
    } else {
        (r1 + u1) / d * ((r0 - u0) / d)
    }
}

/// One front on a straight facet: what lambda is multiplied by, as a logarithm.
///
/// # Arguments
/// * `d`: distance of the corner from the facet's line, mm, 0 or more.
/// * `c`: length of free film beyond the corner, mm, 0 or more.
/// * `u0`, `u1`: start and end along the facet from the foot of the corner's
///   perpendicular, mm, `u0 <= u1`.
///
/// # Accuracy
/// 1e-13 absolute; exactly 0 for `d` = 0 (the front moves along the free film).
pub fn front_gain(d: f64, c: f64, u0: f64, u1: f64) -> f64 {
    if d <= 0.0 || u0 >= u1 {
        return 0.0;
    }
    let (r0, r1) = ((u0 * u0 + d * d).sqrt(), (u1 * u1 + d * d).sqrt());
    let ratio = rho(d, (u0, r0), (u1, r1)) * ((c + r1) / (c + r0));
    if c <= 0.0 {
        return ratio.ln();
    }
    let (x0, x1) = (u0 / (d + r0), u1 / (d + r1));
    // x1 - x0 without cancellation: tanh is a difference of u's at the same facet.
    let step = difference(d, (u0, r0), (u1, r1));
    let c_dj = if c < d {
        let k2 = (d - c) / (d + c);
        let k = k2.sqrt();
        let y = step / (1.0 + k2 * x0 * x1);
        // The arc tangent's branch: 1 + k² x0 x1 is positive, since |x| < 1 and k < 1.
        let series = k * y < SERIES;
        let arc = if series {
            y * atan_series(-k2 * y * y)
        } else {
            (k * y).atan() / k
        };
        2.0 * c / (c + d) * arc
    } else {
        let k2 = (c - d) / (c + d);
        let k = k2.sqrt();
        if k < SERIES {
            let y = step / (1.0 - k2 * x0 * x1);
            2.0 * c / (c + d) * (y * atan_series(k2 * y * y))
        } else {
            c / ((c - d).sqrt() * (c + d).sqrt()) * log_ratio(d, c, k, (u0, r0, x0), (u1, r1, x1))
        }
    };
    ratio.ln() - c_dj
}

/// x1 - x0 with x = u/(d + r).
fn difference(d: f64, (u0, r0): (f64, f64), (u1, r1): (f64, f64)) -> f64 {
    // u1(d+r0) - u0(d+r1) = d (u1-u0) + u1 r0 - u0 r1; for one sign of u the last two
    // nearly cancel and equal d² (u1² - u0²)/(u1 r0 + u0 r1).
    let cross = if u0 * u1 > 0.0 {
        d * d * (u1 - u0) * (u1 + u0) / (u1 * r0 + u0 * r1)
    } else {
        u1 * r0 - u0 * r1
    };
    (d * (u1 - u0) + cross) / ((d + r0) * (d + r1))
}

/// atanh(z)/z as a series in q = z²; with q negative, atan(z)/z. |q| < 0.0025.
fn atan_series(q: f64) -> f64 {
    1.0 + q
        * (1.0 / 3.0
            + q * (0.2
                + q * (1.0 / 7.0
                    + q * (1.0 / 9.0 + q * (1.0 / 11.0 + q * (1.0 / 13.0 + q / 15.0))))))
}

/// ln[(1 + k x1)(1 - k x0) / ((1 - k x1)(1 + k x0))] with each factor free of cancellation.
fn log_ratio(
    d: f64,
    c: f64,
    k: f64,
    (u0, r0, x0): (f64, f64, f64),
    (u1, r1, x1): (f64, f64, f64),
) -> f64 {
    let low = |u: f64, r: f64| {
        // 1 - k |x| for |u| = |u|: 2d/((c+d)(1+k)) is 1 - k.
        let u = u.abs();
        2.0 * d / ((c + d) * (1.0 + k)) + k * d * (1.0 + d / (r + u)) / (d + r)
    };
    let plus = |u: f64, r: f64, x: f64| if u < 0.0 { low(u, r) } else { 1.0 + k * x };
    let minus = |u: f64, r: f64, x: f64| if u > 0.0 { low(u, r) } else { 1.0 - k * x };
    (plus(u1, r1, x1) / plus(u0, r0, x0) * (minus(u0, r0, x0) / minus(u1, r1, x1))).ln()
}

/// Two fronts closing a window with straight free film between them.
///
/// # Arguments
/// * `w0`: chord of the window at y = 0 of the straight pieces, mm; `v`: its growth per
///   unit of y, mm.
/// * `s`: panel length inside the window per unit of y, mm.
/// * `y0`, `y1`: the window after and before, `0 <= y0 <= y1`, both with a positive chord
///   unless the chord lies along the panel (`s` = |v|, gain 0).
///
/// # Accuracy
/// 1e-13 absolute.
pub fn window_gain(w0: Vector, v: Vector, s: f64, y0: f64, y1: f64) -> f64 {
    if y0 >= y1 {
        return 0.0;
    }
    let (a, b) = (w0 + v * y0, w0 + v * y1);
    let (l0, l1) = (a.norm(), b.norm());
    let g = v.norm();
    let dy = y1 - y0;
    let flow = if g * dy < 0.01 * l0.max(l1) {
        s * gauss8(|y| 1.0 / (w0 + v * y).norm(), y0, y1)
    } else {
        let d = ((a.x * v.y - a.y * v.x) / g).abs();
        let (u0, u1) = (a.dot(&v) / g, b.dot(&v) / g);
        s / g * rho(d, (u0, l0), (u1, l1)).ln()
    };
    flow - (l1 / l0).ln()
}

/// Nodes and weights of the 8-point Gauss–Legendre rule on [-1, 1], positive half.
/// Source: Abramowitz and Stegun, table 25.4 (n = 8).
const GAUSS8: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_26),
];

/// Integral of `f` over `[a, b]` by the 8-point Gauss rule.
pub(crate) fn gauss8(f: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (half, mid) = (0.5 * (b - a), 0.5 * (a + b));
    let both = |&(x, w): &(f64, f64)| w * (f(mid - half * x) + f(mid + half * x));
    half * GAUSS8.iter().map(both).sum::<f64>()
}

/// Integral of `f` over `[a, b]`, halved until two halves agree with the whole to
/// `tolerance` absolute, or to 1e-14 of it; at most 40 halvings deep. The difference of
/// halves and whole overstates the error of the halves by orders of magnitude, so the
/// tolerance is not divided among them: below rounding, the halving would never end.
pub(crate) fn adaptive_gauss(f: &impl Fn(f64) -> f64, a: f64, b: f64, tolerance: f64) -> f64 {
    fn refine(f: &impl Fn(f64) -> f64, (a, b): (f64, f64), whole: f64, least: f64, n: u32) -> f64 {
        let mid = 0.5 * (a + b);
        let (left, right) = (gauss8(f, a, mid), gauss8(f, mid, b));
        let miss = (left + right - whole).abs();
        // NaN ends it too.
        if n == 0 || miss.is_nan() || miss <= least.max(1e-14 * whole.abs()) {
            return left + right;
        }
        refine(f, (a, mid), left, least, n - 1) + refine(f, (mid, b), right, least, n - 1)
    }
    refine(f, (a, b), gauss8(f, a, b), tolerance, 40)
}

//! Energy of a triangle of taut film, with its first and second derivatives.
//!
//! A triangle has edges d1, d2 on the flat film and e1, e2 in space. With
//!
//! ```text
//! q = d1 x d2 > 0        a_ij = e_i . e_j        D = a11 a22 - a12²
//! N = a11 |d2|² - 2 a12 d1.d2 + a22 |d1|²        I = N/q²        K = D/q²
//! ```
//!
//! I is l1² + l2² and K is (l1 l2)² of the principal stretches. Film of a law f holds
//! (q/2) f(J) with J = I + 1/K, the first invariant of an incompressible sheet. Film cannot be
//! pressed together: where l2 < l1^(-1/2) it hangs in creases and holds no more than a strip
//! pulled to l1, J = g + 2/sqrt(g) with g = l1²; where l1 < 1 too, nothing. A hundredth of the
//! full law is kept there, so that slack film still has a place ([`KEPT`]).
//!
//! The law of plane strain fixes f: there J = l² + 1 + l^-2 and the line tension is
//! f'(J) 2 (l - l^-3), so that a neo-Hookean film has f' constant, and a tensile curve the f' of
//! its chord at each l. What film does in two directions beyond that is taken to be this; with
//! another law of the same plane strain the end of a channel differs by about a quarter.
//!
//! Source: J. Bonet and R. D. Wood, Nonlinear Continuum Mechanics for Finite Element Analysis
//! (membranes; memory); D. J. Steigmann, Tension-field theory, Proc. R. Soc. A 429 (1990) 141
//! (memory). Derivatives derived here, tested against central differences.

use super::plan::{P3, dot, sub};
use crate::film::StretchLaw;

/// Part of the full law that slack film keeps. A tenth stiffens creases and lowers the peak of
/// a round end by 0.4 points; a thousandth changes nothing more and costs steps.
const KEPT: f64 = 0.01;

/// The law f(J), its slope and its second derivative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Value {
    pub(super) f: f64,
    pub(super) slope: f64,
    pub(super) bend: f64,
}

/// A stretch law as a function of the first invariant.
#[derive(Debug, Clone)]
pub(super) enum Law {
    /// f = (J - 3)/2: film of stiffness 1, for its stiffness cancels.
    NeoHookean,
    /// Read off a tensile curve.
    Tabulated(Table),
}

/// Its slope f' on a grid of plane-strain stretches, and f, the integral.
#[derive(Debug, Clone)]
pub(super) struct Table {
    /// J of each row.
    invariant: Vec<f64>,
    /// f' of each row.
    slope: Vec<f64>,
    /// f of each row.
    value: Vec<f64>,
}

/// Rows of a [`Table`] for each tenth of stretch, and the stretch it ends at. Rows lie evenly in
/// sqrt(J - 3), in which f' starts straight.
const TABLE_ROWS: usize = 400;
const TABLE_END: f64 = 6.0;

impl Table {
    /// Reads a law: `tension` is its line tension at a plane-strain stretch.
    fn new(law: &StretchLaw) -> Self {
        let invariant_at = |l: f64| l * l + 1.0 + 1.0 / (l * l);
        // J - 3 = (l - 1/l)², so that the root is l - 1/l.
        let last = TABLE_END - 1.0 / TABLE_END;
        let (mut invariant, mut slope, mut value) = (vec![3.0], Vec::new(), vec![0.0]);
        for i in 1..=TABLE_ROWS {
            #[expect(clippy::cast_precision_loss, reason = "a few hundred rows")]
            let root = last * i as f64 / TABLE_ROWS as f64;
            let l = 0.5 * (root + (root * root + 4.0).sqrt());
            let f1 = law.tension(l) / (2.0 * (l - l.powi(-3)));
            if i == 1 {
                slope.push(f1);
            }
            slope.push(f1);
            invariant.push(invariant_at(l));
            let (j0, j1) = (invariant[i - 1], invariant[i]);
            value.push(value[i - 1] + 0.5 * (slope[i - 1] + f1) * (j1 - j0));
        }
        Self {
            invariant,
            slope,
            value,
        }
    }

    fn at(&self, j: f64) -> Value {
        let last = self.invariant.len() - 2;
        let i = (self.invariant.partition_point(|&x| x <= j).max(1) - 1).min(last);
        let (j0, f0) = (self.invariant[i], self.slope[i]);
        let bend = (self.slope[i + 1] - f0) / (self.invariant[i + 1] - j0);
        let d = j - j0;
        Value {
            f: self.value[i] + d * (f0 + 0.5 * bend * d),
            slope: f0 + bend * d,
            bend,
        }
    }
}

impl Law {
    /// The law of a class, as far as the shape of it matters: a stiffness cancels.
    pub(super) fn new(law: &StretchLaw) -> Self {
        match law {
            StretchLaw::NeoHookean(_) => Self::NeoHookean,
            StretchLaw::Curve(_) => {
                let mut table = Table::new(law);
                // To the scale of the neo-Hookean law, so that the solver's tolerances hold.
                let unit = 0.5 / table.slope[0];
                table.slope.iter_mut().for_each(|s| *s *= unit);
                table.value.iter_mut().for_each(|v| *v *= unit);
                Self::Tabulated(table)
            }
        }
    }

    fn at(&self, j: f64) -> Value {
        match self {
            Self::NeoHookean => Value {
                f: 0.5 * (j - 3.0),
                slope: 0.5,
                bend: 0.0,
            },
            Self::Tabulated(table) => table.at(j),
        }
    }
}

/// A corner of a triangle: its place on the flat film, and in space where it is `at` plus
/// `lift` along `normal`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner {
    pub(super) film: [f64; 2],
    pub(super) at: P3,
    pub(super) normal: P3,
}

/// Derivatives of the energy by the corners' unknowns: two of the film and the lift, corner
/// by corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Local {
    pub(super) slope: [f64; 9],
    pub(super) bend: [[f64; 9]; 9],
}

/// q, N, D of a triangle with their derivatives by its nine unknowns.
struct Form {
    q: f64,
    n: f64,
    d: f64,
    d1: [f64; 2],
    d2: [f64; 2],
    a: [f64; 3],
    e1: P3,
    e2: P3,
}

impl Form {
    fn new(c: &[Corner; 3]) -> Self {
        let d1 = [c[1].film[0] - c[0].film[0], c[1].film[1] - c[0].film[1]];
        let d2 = [c[2].film[0] - c[0].film[0], c[2].film[1] - c[0].film[1]];
        let (e1, e2) = (sub(c[1].at, c[0].at), sub(c[2].at, c[0].at));
        let a = [dot(e1, e1), dot(e1, e2), dot(e2, e2)];
        let (n11, n22) = (d1[0] * d1[0] + d1[1] * d1[1], d2[0] * d2[0] + d2[1] * d2[1]);
        let n12 = d1[0] * d2[0] + d1[1] * d2[1];
        Self {
            q: d1[0] * d2[1] - d1[1] * d2[0],
            n: a[0] * n22 - 2.0 * a[1] * n12 + a[2] * n11,
            d: a[0] * a[2] - a[1] * a[1],
            d1,
            d2,
            a,
            e1,
            e2,
        }
    }
}

/// J of film and its derivatives by (N, D, q): value, slopes, second derivatives in the order
/// NN, ND, Nq, DD, Dq, qq.
type Invariant = (f64, [f64; 3], [f64; 6]);

fn full(form: &Form) -> Invariant {
    let (q, n, d) = (form.q, form.n, form.d);
    let (q2, d2) = (q * q, d * d);
    let j = n / q2 + q2 / d;
    let slope = [1.0 / q2, -q2 / d2, -2.0 * n / (q2 * q) + 2.0 * q / d];
    let bend = [
        0.0,
        0.0,
        -2.0 / (q2 * q),
        2.0 * q2 / (d2 * d),
        -2.0 * q / d2,
        6.0 * n / (q2 * q2) + 2.0 / d,
    ];
    (j, slope, bend)
}

/// The same of a strip pulled to l1, l1² = g the greater root of g² - I g + K = 0.
fn strip(form: &Form, g: f64, root: f64) -> Invariant {
    let (q, n, d) = (form.q, form.n, form.d);
    let q2 = q * q;
    let (i, k) = (n / q2, d / q2);
    let half = g.sqrt();
    let (by_g, by_gg) = (1.0 - 1.0 / (half * g), 1.5 / (half * g * g));
    // By I and K, which go by N, D and q.
    let (g_i, g_k) = (g / root, -1.0 / root);
    let r3 = root * root * root;
    let (j_i, j_k) = (by_g * g_i, by_g * g_k);
    let j_ii = by_gg * g_i * g_i - by_g * 2.0 * k / r3;
    let j_ik = by_gg * g_i * g_k + by_g * i / r3;
    let j_kk = by_gg * g_k * g_k - by_g * 2.0 / r3;
    let (i_q, k_q) = (-2.0 * i / q, -2.0 * k / q);
    let slope = [j_i / q2, j_k / q2, j_i * i_q + j_k * k_q];
    let bend = [
        j_ii / (q2 * q2),
        j_ik / (q2 * q2),
        (j_ii * i_q + j_ik * k_q - 2.0 * j_i / q) / q2,
        j_kk / (q2 * q2),
        (j_ik * i_q + j_kk * k_q - 2.0 * j_k / q) / q2,
        j_ii * i_q * i_q
            + 2.0 * j_ik * i_q * k_q
            + j_kk * k_q * k_q
            + 6.0 * (j_i * i + j_k * k) / q2,
    ];
    (g + 2.0 / half, slope, bend)
}

/// What the energy is made of: a part of a law at an invariant.
fn parts(law: &Law, form: &Form) -> [Option<(f64, Value, Invariant)>; 2] {
    let q2 = form.q * form.q;
    let (i, k) = (form.n / q2, form.d / q2);
    let root = (i * i - 4.0 * k).max(0.0).sqrt();
    let g = 0.5 * (i + root);
    // l2 >= l1^(-1/2) is K² >= g.
    if k * k >= g {
        let full = full(form);
        return [Some((1.0, law.at(full.0), full)), None];
    }
    let kept = full(form);
    let slack = g <= 1.0 || root <= 1e-9;
    let pulled = (!slack).then(|| {
        let strip = strip(form, g, root);
        (1.0 - KEPT, law.at(strip.0), strip)
    });
    [Some((KEPT, law.at(kept.0), kept)), pulled]
}

/// Energy of a triangle; infinite where its film is turned over.
pub(super) fn energy(law: &Law, corners: &[Corner; 3]) -> f64 {
    let form = Form::new(corners);
    if form.q <= 0.0 || form.d <= 0.0 {
        return f64::INFINITY;
    }
    let parts = parts(law, &form);
    let held = parts
        .iter()
        .flatten()
        .map(|(part, value, _)| part * value.f);
    0.5 * form.q * held.sum::<f64>()
}

/// Derivatives of a triangle's energy; `None` where its film is turned over.
pub(super) fn local(law: &Law, corners: &[Corner; 3]) -> Option<Local> {
    let form = Form::new(corners);
    if form.q <= 0.0 || form.d <= 0.0 {
        return None;
    }
    // E = (q/2) f(J) by N, D, q.
    let (mut e1, mut e2) = ([0.0; 3], [0.0; 6]);
    for (part, value, (_, j1, j2)) in parts(law, &form).into_iter().flatten() {
        let half = 0.5 * form.q * part;
        e1[2] += 0.5 * part * value.f;
        for k in 0..3 {
            e1[k] += half * value.slope * j1[k];
        }
        for (at, (k, l)) in [(0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)]
            .into_iter()
            .enumerate()
        {
            e2[at] += half * (value.bend * j1[k] * j1[l] + value.slope * j2[at]);
        }
        e2[2] += 0.5 * part * value.slope * j1[0];
        e2[4] += 0.5 * part * value.slope * j1[1];
        e2[5] += part * value.slope * j1[2];
    }
    Some(chain(&form, corners, e1, e2))
}

/// Carries derivatives by (N, D, q) over to the nine unknowns.
fn chain(form: &Form, c: &[Corner; 3], e1: [f64; 3], e2: [f64; 6]) -> Local {
    let (d1, d2, a) = (form.d1, form.d2, form.a);
    // Derivatives by d1 and d2.
    let n_d1 = [
        2.0 * (a[2] * d1[0] - a[1] * d2[0]),
        2.0 * (a[2] * d1[1] - a[1] * d2[1]),
    ];
    let n_d2 = [
        2.0 * (a[0] * d2[0] - a[1] * d1[0]),
        2.0 * (a[0] * d2[1] - a[1] * d1[1]),
    ];
    let (q_d1, q_d2) = ([d2[1], -d2[0]], [-d1[1], d1[0]]);
    let n_a = [
        d2[0] * d2[0] + d2[1] * d2[1],
        -2.0 * (d1[0] * d2[0] + d1[1] * d2[1]),
        d1[0] * d1[0] + d1[1] * d1[1],
    ];
    let d_a = [a[2], -2.0 * a[1], a[0]];
    // Derivatives of a11, a12, a22 by the three lifts.
    let e = [form.e1, form.e2];
    let along = |k: usize| [dot(e[0], c[k].normal), dot(e[1], c[k].normal)];
    let (p0, p1, p2) = (along(0), along(1), along(2));
    let a_w = [
        [-2.0 * p0[0], 2.0 * p1[0], 0.0],
        [-p0[0] - p0[1], p1[1], p2[0]],
        [-2.0 * p0[1], 0.0, 2.0 * p2[1]],
    ];
    let nn = |i: usize, j: usize| dot(c[i].normal, c[j].normal);
    let (n00, n01, n02) = (nn(0, 0), nn(0, 1), nn(0, 2));
    let (n11, n12, n22) = (nn(1, 1), nn(1, 2), nn(2, 2));
    let a_ww = [
        [
            [2.0 * n00, -2.0 * n01, 0.0],
            [-2.0 * n01, 2.0 * n11, 0.0],
            [0.0; 3],
        ],
        [[2.0 * n00, -n01, -n02], [-n01, 0.0, n12], [-n02, n12, 0.0]],
        [
            [2.0 * n00, 0.0, -2.0 * n02],
            [0.0; 3],
            [-2.0 * n02, 0.0, 2.0 * n22],
        ],
    ];

    let mut by_n = [0.0; 9];
    let mut by_d = [0.0; 9];
    let mut by_q = [0.0; 9];
    for k in 0..2 {
        by_n[k] = -n_d1[k] - n_d2[k];
        by_n[3 + k] = n_d1[k];
        by_n[6 + k] = n_d2[k];
        by_q[k] = -q_d1[k] - q_d2[k];
        by_q[3 + k] = q_d1[k];
        by_q[6 + k] = q_d2[k];
    }
    for (m, by_lift) in a_w.iter().enumerate() {
        for (w, by) in by_lift.iter().enumerate() {
            by_n[3 * w + 2] += n_a[m] * by;
            by_d[3 * w + 2] += d_a[m] * by;
        }
    }
    let mut slope = [0.0; 9];
    let mut bend = [[0.0; 9]; 9];
    for i in 0..9 {
        slope[i] = e1[0] * by_n[i] + e1[1] * by_d[i] + e1[2] * by_q[i];
        let sn = e2[0] * by_n[i] + e2[1] * by_d[i] + e2[2] * by_q[i];
        let sd = e2[1] * by_n[i] + e2[3] * by_d[i] + e2[4] * by_q[i];
        let sq = e2[2] * by_n[i] + e2[4] * by_d[i] + e2[5] * by_q[i];
        for j in 0..=i {
            bend[i][j] = sn * by_n[j] + sd * by_d[j] + sq * by_q[j];
        }
    }
    // Second derivatives of N by the film: blocks over (d1, d2), on to the corners.
    let (b11, b12, b22) = (2.0 * a[2], -2.0 * a[1], 2.0 * a[0]);
    let block = [
        [b11 + 2.0 * b12 + b22, -b11 - b12, -b12 - b22],
        [-b11 - b12, b11, b12],
        [-b12 - b22, b12, b22],
    ];
    // Of q: d1 x d2 is half the turn round the corners.
    let turn = [[0.0, 1.0, -1.0], [-1.0, 0.0, 1.0], [1.0, -1.0, 0.0]];
    for i in 0..3 {
        for j in 0..=i {
            let v = e1[0] * block[i][j];
            bend[3 * i][3 * j] += v;
            bend[3 * i + 1][3 * j + 1] += v;
            let t = e1[2] * turn[i][j];
            bend[3 * i][3 * j + 1] += t;
            if i != j {
                bend[3 * i + 1][3 * j] -= t;
            }
        }
    }
    // Of N by film and lift.
    let nd1_a = |k: usize| [0.0, -2.0 * d2[k], 2.0 * d1[k]];
    let nd2_a = |k: usize| [2.0 * d2[k], -2.0 * d1[k], 0.0];
    for k in 0..2 {
        let (u, v) = (nd1_a(k), nd2_a(k));
        let columns = (0..3).map(|w| [a_w[0][w], a_w[1][w], a_w[2][w]]);
        for (w, by) in columns.enumerate() {
            let (s1, s2) = (e1[0] * dot(u, by), e1[0] * dot(v, by));
            for (corner, s) in [(0, -s1 - s2), (1, s1), (2, s2)] {
                let (i, j) = (3 * corner + k, 3 * w + 2);
                bend[i.max(j)][i.min(j)] += s;
            }
        }
    }
    // Of N and D by two lifts.
    for v in 0..3 {
        for w in 0..=v {
            let mut sum = 0.0;
            for m in 0..3 {
                sum += (e1[0] * n_a[m] + e1[1] * d_a[m]) * a_ww[m][v][w];
            }
            let d_aa = a_w[0][v] * a_w[2][w] + a_w[2][v] * a_w[0][w] - 2.0 * a_w[1][v] * a_w[1][w];
            bend[3 * v + 2][3 * w + 2] += sum + e1[1] * d_aa;
        }
    }
    Local { slope, bend }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moved(c: &[Corner; 3], at: usize, by: f64) -> [Corner; 3] {
        let mut c = *c;
        let corner = &mut c[at / 3];
        match at % 3 {
            2 => {
                for k in 0..3 {
                    corner.at[k] += by * corner.normal[k];
                }
            }
            k => corner.film[k] += by,
        }
        c
    }

    /// A tensile curve that gives way, as a soft film's does.
    fn curve() -> StretchLaw {
        let text = "elongation_pct,force_n_per_mm\n5,0.4\n20,0.9\n60,1.4\n150,2.2\n400,4.5\n";
        let curve = crate::film::TensileCurve::read("own", text, 0.1).expect("a curve");
        StretchLaw::Curve(curve)
    }

    fn corner(film: [f64; 2], at: P3, normal: P3) -> Corner {
        Corner { film, at, normal }
    }

    #[test]
    fn derivatives_agree_with_central_differences() {
        let (n, m) = ([0.0, 1.0, 0.0], [0.6, 0.8, 0.0]);
        let spaces = [
            // Stretched both ways, pulled to a strip with creases, slack.
            (2, ([1.2, 0.1, 0.0], [0.1, 0.3, 1.5])),
            (1, ([1.6, 0.2, 0.1], [0.2, 0.1, 0.5])),
            (0, ([0.8, 0.1, 0.0], [0.1, 0.0, 0.9])),
        ];
        let laws = [Law::NeoHookean, Law::new(&curve())];
        for (law, (branch, (e1, e2))) in laws.iter().flat_map(|law| spaces.map(|s| (law, s))) {
            let c = [
                corner([0.1, 0.2], [0.0; 3], n),
                corner([1.1, 0.1], e1, m),
                corner([0.2, 1.3], e2, n),
            ];
            // Each space is in the branch it is there for.
            let held = parts(law, &Form::new(&c));
            let found = match held {
                [Some((part, ..)), None] if part >= 1.0 => 2,
                [Some(_), Some(_)] => 1,
                _ => 0,
            };
            assert_eq!(found, branch);
            let got = local(law, &c).expect("a triangle");
            let h = 1e-5;
            for i in 0..9 {
                let at = |by: f64| energy(law, &moved(&c, i, by));
                let slope = (at(h) - at(-h)) / (2.0 * h);
                let is = got.slope[i];
                assert!((slope - is).abs() < 1e-8, "{branch} {i}: {slope} {is}");
                let at = |by: f64| local(law, &moved(&c, i, by)).expect("a triangle");
                let (a, b) = (at(h), at(-h));
                for j in 0..9 {
                    let bend = (a.slope[j] - b.slope[j]) / (2.0 * h);
                    let is = got.bend[i.max(j)][i.min(j)];
                    assert!((bend - is).abs() < 1e-7, "{branch} {i} {j}: {bend} {is}");
                }
            }
        }
    }

    /// Nominal tension along the first of two stretches, from the energy of a square's half.
    fn nominal(law: &Law, l1: f64, l2: f64) -> f64 {
        let n = [0.0, 1.0, 0.0];
        let held = |l1: f64| {
            let c = [
                corner([0.0, 0.0], [0.0; 3], n),
                corner([1.0, 0.0], [l1, 0.0, 0.0], n),
                corner([0.0, 1.0], [0.0, 0.0, l2], n),
            ];
            2.0 * energy(law, &c)
        };
        let h = 1e-5;
        (held(l1 + h) - held(l1 - h)) / (2.0 * h)
    }

    #[test]
    fn a_rubber_sheet_pulls_as_in_treloars_three_tests() {
        // Reference: L. R. G. Treloar, The Physics of Rubber Elasticity, nominal stress over G of
        // the Gaussian network (memory): simple extension l - l^-2, equal two-way extension
        // l - l^-5, pure shear l - l^-3, and 1 - l^-2 across it.
        let law = Law::NeoHookean;
        for l in [1.05_f64, 1.3, 2.0, 3.0] {
            let tests = [
                // A strip free to narrow is on the edge of creasing: as near as keeps it off.
                (nominal(&law, l, l.powf(-0.5) + 1e-4), l - l.powi(-2), 1e-3),
                (nominal(&law, l, l), l - l.powi(-5), 1e-8),
                (nominal(&law, l, 1.0), l - l.powi(-3), 1e-8),
                (nominal(&law, 1.0, l), 1.0 - l.powi(-2), 1e-8),
            ];
            for (found, expected, off) in tests {
                assert!((found - expected).abs() < off, "{l}: {found} {expected}");
            }
            // Narrower than that it is a strip with creases: the tension of simple extension, but
            // for the hundredth of the full law that is kept.
            let creased = nominal(&law, l, 0.8 * l.powf(-0.5));
            let full = l - l.powi(-3) * (0.8 * l.powf(-0.5)).powi(-2);
            let kept = (1.0 - KEPT) * (l - l.powi(-2)) + KEPT * full;
            assert!((creased - kept).abs() < 1e-8, "{creased} {kept}");
        }
    }

    #[test]
    fn a_tensile_curve_pulls_in_plane_strain_as_it_was_read() {
        // Reference: the curve itself, to a scale: a stiffness cancels. Straight between the
        // table's rows: a thousandth.
        let (curve, law) = (curve(), Law::new(&curve()));
        let pulled = |l: f64| nominal(&law, l, 1.0) / curve.tension(l);
        let unit = pulled(1.5);
        for l in [1.02, 1.1, 1.3, 1.5, 2.0, 3.5, 5.5] {
            assert!(
                (pulled(l) / unit - 1.0).abs() < 1e-3,
                "{l}: {}",
                pulled(l) / unit
            );
        }
    }
}

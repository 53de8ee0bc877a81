//! Sections with known corners, surveyed with planted errors.

use tautspan::Point;
use tautspan::geometry::{Vector, path_length};
use tautspan::survey::Reading;

/// Numbers from a seed (splitmix64), unrelated to the program's own.
pub(crate) struct Source(u64);

impl Source {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x5851_f42d)
    }

    pub(crate) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Normal, by Box and Muller.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// What a survey does to a panel.
#[derive(Clone, Copy)]
pub(crate) struct Errors {
    pub(crate) sigma: f64,
    /// Length over which neighbours err alike (exponentially), mm.
    pub(crate) over: f64,
    pub(crate) tilt: f64,
    pub(crate) spacing: f64,
    /// Part of the readings that stand off, by 8 mm.
    pub(crate) slips: f64,
    /// What readings are rounded to, as a power of ten: 100 for 0.01 mm.
    pub(crate) digits: f64,
}

/// How far a planted slip stands off, mm.
const SLIP: f64 = 8.0;

impl Default for Errors {
    fn default() -> Self {
        Self {
            sigma: 0.0,
            over: 0.0,
            tilt: 0.0,
            spacing: 0.3,
            slips: 0.0,
            digits: 100.0,
        }
    }
}

/// Where a lip is, and which way its wall lies (1: to the right).
#[derive(Clone)]
pub(crate) struct Near {
    pub(crate) x: f64,
    pub(crate) inwards: f64,
    /// How far to look outwards and inwards, mm.
    pub(crate) outer: f64,
    pub(crate) inner: f64,
    /// Slope of the wall, rad, positive.
    pub(crate) wall: f64,
}

/// A panel of known corners.
#[derive(Clone)]
pub(crate) struct Planted {
    pub(crate) name: &'static str,
    /// The panel with its roundings as fine facets.
    pub(crate) panel: Vec<Point>,
    pub(crate) lips: Vec<Near>,
    /// Abscissas 20 mm outside the outermost corners.
    pub(crate) outer: (f64, f64),
}

fn at_x(points: &[Point], x: f64) -> (usize, Point) {
    let i = points
        .partition_point(|p| p.x <= x)
        .clamp(1, points.len() - 1);
    let (a, b) = (points[i - 1], points[i]);
    (i, a + (b - a) * ((x - a.x) / (b.x - a.x)))
}

fn between(points: &[Point], x0: f64, x1: f64) -> Vec<Point> {
    let ((i, a), (j, b)) = (at_x(points, x0), at_x(points, x1));
    let mut chain = vec![a];
    chain.extend_from_slice(&points[i..j]);
    chain.push(b);
    chain
}

fn hull(points: &[Point]) -> Vec<Point> {
    let mut hull: Vec<Point> = Vec::new();
    for &p in points {
        while hull.len() > 1 {
            let (a, b) = (hull[hull.len() - 2], hull[hull.len() - 1]);
            if (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) < 0.0 {
                break;
            }
            hull.pop();
        }
        hull.push(p);
    }
    hull
}

/// Length of panel between the planted outer places beyond the taut film over them, mm.
pub(crate) fn extra(points: &[Point], planted: &Planted) -> f64 {
    let chain = between(points, planted.outer.0, planted.outer.1);
    path_length(&chain) - path_length(&hull(&chain))
}

/// The mean abscissa a rule touches that swings through 25 to 75 % of the wall's angle.
pub(crate) fn lip(points: &[Point], near: &Near) -> f64 {
    let ends = [
        near.x - near.inwards * near.outer,
        near.x + near.inwards * near.inner,
    ];
    let chain = between(points, ends[0].min(ends[1]), ends[0].max(ends[1]));
    let hull = hull(&chain);
    let (a, b) = (
        -0.25 * near.wall * near.inwards,
        -0.75 * near.wall * near.inwards,
    );
    let (high, low) = (a.max(b), a.min(b));
    let angle = |v: Vector| v.y.atan2(v.x);
    let mut sum = 0.0;
    for (i, p) in hull.iter().enumerate() {
        let before = if i > 0 { angle(p - hull[i - 1]) } else { 2.0 };
        let after = hull.get(i + 1).map_or(-2.0, |q| angle(q - p));
        sum += p.x * (before.min(high) - after.max(low)).max(0.0);
    }
    sum / (high - low)
}

/// Mean slope of the first and last 25 mm of a chain, rad.
pub(crate) fn ends_slope(points: &[Point]) -> Option<f64> {
    let (first, last) = (points[0], points[points.len() - 1]);
    let slope = |x0: f64, x1: f64| {
        let (a, b) = (at_x(points, x0).1, at_x(points, x1).1);
        (b - a).y.atan2((b - a).x)
    };
    Some(0.5 * (slope(first.x + 0.5, first.x + 25.0) + slope(last.x - 25.0, last.x - 0.5)))
}

/// Corners with radii, as fine facets.
fn rounded(corners: &[(f64, f64, f64)]) -> Vec<Point> {
    let at = |i: usize| Point::new(corners[i].0, corners[i].1);
    let mut points = vec![at(0)];
    for (i, &(_, _, r)) in corners.iter().enumerate().skip(1).take(corners.len() - 2) {
        let (u, v) = (
            (at(i) - at(i - 1)).normalize(),
            (at(i + 1) - at(i)).normalize(),
        );
        let turn = (u.x * v.y - u.y * v.x).atan2(u.dot(&v));
        if r <= 0.0 {
            points.push(at(i));
            continue;
        }
        let tangent = r * (0.5 * turn).abs().tan();
        let centre = at(i) - u * tangent + Vector::new(-u.y, u.x) * (r * turn.signum());
        let first = at(i) - u * tangent - centre;
        points.extend((0..=48).map(|j| {
            let (s, c) = (turn * f64::from(j) / 48.0).sin_cos();
            centre + Vector::new(c * first.x - s * first.y, s * first.x + c * first.y)
        }));
    }
    points.push(at(corners.len() - 1));
    points
}

impl Planted {
    /// The worked channel: mouth 80, floor 40, depth 25, sharp.
    pub(crate) fn trapezoid() -> Self {
        Self::of(
            "trapezoid",
            &[
                (-120., 0., 0.),
                (-40., 0., 0.),
                (-20., -25., 0.),
                (20., -25., 0.),
                (40., 0., 0.),
                (120., 0., 0.),
            ],
            &[(1, 1.0), (4, -1.0)],
        )
    }

    /// One panel of each kind the width is tested on, flats of 100 mm: mouths of 50 to 90 mm,
    /// depths of 18 to 30 mm, so that a limit of 20 % needs a bridge.
    pub(crate) fn seven() -> [Self; 7] {
        let channel = [(1, 1.0), (4, -1.0)];
        let groove = |left: f64, right: f64, floor: f64, depth: f64, lip: f64, foot: f64| {
            [
                (-100., 0., 0.),
                (0., 0., lip),
                (left, -depth, foot),
                (left + floor, -depth, foot),
                (left + floor + right, 0., lip),
                (left + floor + right + 100., 0., 0.),
            ]
        };
        let mut crowned = Self::of("crowned", &groove(20., 20., 40., 25., 4., 4.), &channel);
        let (middle, half, radius) = (40.0, 40.0, 3000.0);
        // The whole panel bent to a circle, flats in facets of 2 mm.
        crowned.panel = divided(&crowned.panel, 2.0)
            .iter()
            .map(|p| {
                let bent = ((p.x - middle).powi(2) - half * half) / (2.0 * radius);
                Point::new(p.x, p.y - bent)
            })
            .collect();
        [
            Self::of("sharp", &groove(20., 20., 40., 25., 0., 0.), &channel),
            Self::of("rounded", &groove(20., 20., 40., 25., 6., 4.), &channel),
            crowned,
            Self::of("asymmetric", &groove(10., 35., 30., 22., 3., 3.), &channel),
            Self::of(
                "step",
                &[
                    (-100., 0., 0.),
                    (0., 0., 2.),
                    (6., -30., 2.),
                    (106., -30., 0.),
                ],
                &[(1, 1.0)],
            ),
            Self::of(
                "vee",
                &[
                    (-100., 0., 0.),
                    (0., 0., 0.),
                    (30., -28., 0.),
                    (60., 0., 0.),
                    (160., 0., 0.),
                ],
                &[(1, 1.0), (3, -1.0)],
            ),
            Self::of("box", &groove(1.5, 1.5, 47., 18., 0., 0.), &channel),
        ]
    }

    fn of(name: &'static str, corners: &[(f64, f64, f64)], lips: &[(usize, f64)]) -> Self {
        let n = corners.len();
        let near = |&(i, inwards): &(usize, f64)| {
            let wall = if inwards > 0.0 { i + 1 } else { i - 1 };
            let (dx, dy) = (
                corners[wall].0 - corners[i].0,
                corners[wall].1 - corners[i].1,
            );
            Near {
                x: corners[i].0,
                inwards,
                outer: 20.0,
                inner: 0.6 * dx.abs(),
                wall: (dy / dx).abs().atan(),
            }
        };
        Self {
            name,
            panel: rounded(corners),
            lips: lips.iter().map(near).collect(),
            outer: (corners[1].0 - 20.0, corners[n - 2].0 + 20.0),
        }
    }

    /// A section of a kind and measures that the seed picks.
    pub(crate) fn new(seed: u64) -> Self {
        let mut s = Source::new(seed);
        for _ in 0..3 {
            s.uniform();
        }
        let kind = seed % 8;
        let flats = (s.between(60.0, 150.0), s.between(60.0, 150.0));
        let depth = s.between(8.0, 30.0);
        let floor = s.between(20.0, 60.0);
        let steep = |s: &mut Source| s.between(25.0_f64, 70.0).to_radians().tan();
        let (run1, run2) = (depth / steep(&mut s), depth / steep(&mut s));
        let fillet = (s.between(2.0, 8.0), s.between(2.0, 8.0));
        let (r1, r2) = if kind % 2 == 1 {
            let fit = |r: f64, run: f64| r.min(0.4 * run.hypot(depth)).min(8.0);
            (fit(fillet.0, run1.min(run2)), fit(fillet.1, run1.min(run2)))
        } else {
            (0.0, 0.0)
        };
        match kind {
            0 | 1 => Self::of(
                if kind == 0 {
                    "trapezoid"
                } else {
                    "trapezoid with fillets"
                },
                &[
                    (-flats.0, 0., 0.),
                    (0., 0., r1),
                    (run1, -depth, r2),
                    (run1 + floor, -depth, r2),
                    (2. * run1 + floor, 0., r1),
                    (2. * run1 + floor + flats.1, 0., 0.),
                ],
                &[(1, 1.0), (4, -1.0)],
            ),
            2 | 3 => Self::of(
                if kind == 2 {
                    "step"
                } else {
                    "step with fillets"
                },
                &[
                    (-flats.0, 0., 0.),
                    (0., 0., r1),
                    (run1, -depth, r2),
                    (run1 + flats.1, -depth, 0.),
                ],
                &[(1, 1.0)],
            ),
            4 => Self::of(
                "vee",
                &[
                    (-flats.0, 0., 0.),
                    (0., 0., 0.),
                    (run1, -depth, 0.),
                    (run1 + run2, 0., 0.),
                    (run1 + run2 + flats.1, 0., 0.),
                ],
                &[(1, 1.0), (3, -1.0)],
            ),
            5 => Self::of(
                "asymmetric with fillets",
                &[
                    (-flats.0, 0., 0.),
                    (0., 0., r1),
                    (run1, -depth, r2),
                    (run1 + floor, -depth, r2),
                    (run1 + floor + run2, 0., r1),
                    (run1 + floor + run2 + flats.1, 0., 0.),
                ],
                &[(1, 1.0), (4, -1.0)],
            ),
            6 => {
                let lean = depth / s.between(80.0_f64, 88.0).to_radians().tan();
                Self::of(
                    "box",
                    &[
                        (-flats.0, 0., 0.),
                        (0., 0., 0.),
                        (lean, -depth, 0.),
                        (lean + floor, -depth, 0.),
                        (2. * lean + floor, 0., 0.),
                        (2. * lean + floor + flats.1, 0., 0.),
                    ],
                    &[(1, 1.0), (4, -1.0)],
                )
            }
            _ => {
                let mut crowned = Self::of(
                    "crowned with fillets",
                    &[
                        (-flats.0, 0., 0.),
                        (0., 0., r1),
                        (run1, -depth, r2),
                        (run1 + floor, -depth, r2),
                        (run1 + floor + run2, 0., r1),
                        (run1 + floor + run2 + flats.1, 0., 0.),
                    ],
                    &[(1, 1.0), (4, -1.0)],
                );
                let (middle, half) = (0.5 * (run1 + floor + run2), 0.5 * (run1 + floor + run2));
                let radius = s.between(2000.0, 6000.0);
                // The whole panel bent to a circle, flats in facets of 2 mm.
                crowned.panel = divided(&crowned.panel, 2.0)
                    .iter()
                    .map(|p| {
                        Point::new(
                            p.x,
                            p.y - ((p.x - middle).powi(2) - half * half) / (2.0 * radius),
                        )
                    })
                    .collect();
                crowned
            }
        }
    }

    /// Points at most `spacing` apart along the panel, corners among them.
    pub(crate) fn rounded(&self, spacing: f64) -> Vec<Point> {
        stations(&self.panel, spacing)
            .iter()
            .map(|p| Point::new((p.x * 100.0).round() / 100.0, (p.y * 100.0).round() / 100.0))
            .collect()
    }

    pub(crate) fn surveyed(&self, errors: Errors, seed: u64) -> Vec<Point> {
        let mut source = Source::new(seed ^ 0xabcd);
        let r = if errors.over > 0.0 {
            (-errors.spacing / errors.over).exp()
        } else {
            0.0
        };
        let fresh = (1.0 - r * r).sqrt();
        let (sin, cos) = errors.tilt.to_radians().sin_cos();
        let mut e = Vector::new(source.normal(), source.normal());
        stations(&self.panel, errors.spacing)
            .iter()
            .map(|p| {
                e = e * r + Vector::new(source.normal(), source.normal()) * fresh;
                let mut q =
                    Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y) + e * errors.sigma;
                if errors.slips > 0.0 && source.uniform() < errors.slips {
                    q.y += if source.uniform() < 0.5 { SLIP } else { -SLIP };
                }
                let rounded = |v: f64| (v * errors.digits).round() / errors.digits;
                Point::new(rounded(q.x), rounded(q.y))
            })
            .collect()
    }

    /// The panel as it lies in the frame of a reading of a survey that was tilted by the
    /// angle the reading found.
    pub(crate) fn in_frame_of(&self, reading: &Reading) -> Self {
        let ends = (
            reading.points[0].x,
            reading.points[reading.points.len() - 1].x,
        );
        let panel_ends = (self.panel[0].x, self.panel[self.panel.len() - 1].x);
        let shift = 0.5 * (ends.0 + ends.1 - panel_ends.0 - panel_ends.1);
        let shift = if reading.turned { shift } else { 0.0 };
        let mut moved = self.clone();
        for p in &mut moved.panel {
            p.x += shift;
        }
        for near in &mut moved.lips {
            near.x += shift;
        }
        moved.outer = (self.outer.0 + shift, self.outer.1 + shift);
        moved
    }
}

/// Facets halved until none is longer than `most`.
fn divided(points: &[Point], most: f64) -> Vec<Point> {
    let mut out = vec![points[0]];
    for w in points.windows(2) {
        let mut n = 1_u32;
        while (w[1] - w[0]).norm() > most * f64::from(n) {
            n *= 2;
        }
        out.extend((1..=n).map(|i| w[0] + (w[1] - w[0]) * (f64::from(i) / f64::from(n))));
    }
    out
}

/// Points every `spacing` of arc length.
fn stations(panel: &[Point], spacing: f64) -> Vec<Point> {
    let mut out = Vec::new();
    let mut next = 0.0;
    for w in panel.windows(2) {
        let length = (w[1] - w[0]).norm();
        while next <= length {
            out.push(w[0] + (w[1] - w[0]) * (next / length));
            next += spacing;
        }
        next -= length;
    }
    out
}

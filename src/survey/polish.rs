//! Corners and radii of a chain moved to where the distances of the samples are least.
//!
//! Levenberg-Marquardt on the sum of weighted squared distances to the nearest place of
//! the chain. A sample whose nearest place is
//!
//! - on the piece from a to b, a part t along it: `d = n·(p - a)`, which falls by
//!   `(1 - t) n` where a moves and by `t n` where b moves;
//! - a sharp corner: both components of `p - c`;
//! - on the arc at c, `d = s (r - |p - o|)`: with `e = (p - o)/|p - o| = α n1 + β n2`, and
//!   the centre o a radius off both pieces, `δd = (s + α + β) δr + s (α n1·δ1 + β n2·δ2)`,
//!   where δ1, δ2 is how the pieces move where the arc touches them.
//!
//! So a corner is tied to the two before it at most: the equations are a band, solved by
//! Cholesky. What no sample holds (a corner along its own straight line) is held by a pull
//! to where it was, of a twentieth of a sample.

use super::Sample;
use super::band::Band;
use super::rounded::{Drawn, Part, Rounded};
use crate::geometry::Vector;

/// The pull to the start, in samples. More: corners are held off their places; less: on a
/// straight line they wander.
pub(crate) const PULL: f64 = 0.05;
/// Most rounds; some ten do.
const MOST_ROUNDS: usize = 40;
/// Part by which the cost must fall in a round to go on: a thousandth of what the dearest
/// decision asks for in a survey of some thousand points.
const ENOUGH: f64 = 1e-6;
/// Numbers of a corner: x, y, radius.
const EACH: usize = 3;

/// Which ends stay where they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Held {
    pub(crate) first: bool,
    pub(crate) last: bool,
}

/// The whole chain: both ends are free.
pub(crate) const FREE: Held = Held {
    first: false,
    last: false,
};

/// Samples and the piece each was last nearest to.
#[derive(Debug)]
pub(crate) struct Bound<'a> {
    pub(crate) samples: &'a [Sample],
    pub(crate) hints: Vec<usize>,
}

impl Bound<'_> {
    /// Sum of weighted squared distances, mm²; hints follow.
    pub(crate) fn rss(&mut self, chain: &Rounded) -> f64 {
        let drawn = chain.drawn();
        let mut sum = 0.0;
        for (sample, hint) in self.samples.iter().zip(&mut self.hints) {
            let foot = drawn.nearest(sample.p, *hint);
            *hint = foot.hint(*hint);
            sum += sample.weight * foot.square;
        }
        sum
    }
}

/// Moves corners and radii (those that are not 0) to the least sum; returns it, mm².
pub(crate) fn polish(chain: &mut Rounded, bound: &mut Bound, held: Held, pull: f64) -> f64 {
    let start = chain.clone();
    let pulled = |chain: &Rounded| -> f64 {
        let both = chain.corners.iter().zip(&start.corners);
        pull * both.map(|(c, from)| (c - from).norm_squared()).sum::<f64>()
    };
    let mut system = System::new(chain.corners.len());
    let mut rss = bound.rss(chain);
    let mut cost = rss;
    let mut damping = 1e-4;
    for _ in 0..MOST_ROUNDS {
        system.fill(chain, bound, held, pull, &start);
        let mut fell = false;
        while damping < 1e9 {
            let Some(step) = system.step(damping) else {
                damping *= 10.0;
                continue;
            };
            let moved = stepped(chain, &step);
            let moved_rss = bound.rss(&moved);
            let moved_cost = moved_rss + pulled(&moved);
            if moved_cost < cost {
                fell = cost - moved_cost > ENOUGH * cost;
                (*chain, rss, cost) = (moved, moved_rss, moved_cost);
                damping = (0.1 * damping).max(1e-9);
                break;
            }
            damping *= 10.0;
        }
        if !fell {
            break;
        }
    }
    rss
}

/// The chain a step further; radii stay positive and arcs apart.
fn stepped(chain: &Rounded, step: &[f64]) -> Rounded {
    let mut moved = chain.clone();
    for (k, c) in moved.corners.iter_mut().enumerate() {
        *c += Vector::new(step[EACH * k], step[EACH * k + 1]);
    }
    for (k, r) in moved.radii.iter_mut().enumerate() {
        if *r > 0.0 {
            *r = (*r + step[EACH * k + 2]).max(0.1 * *r);
        }
    }
    moved.keep_arcs_apart();
    moved
}

/// Normal equations of one round.
struct System {
    band: Band,
    right: Vec<f64>,
}

impl System {
    fn new(corners: usize) -> Self {
        Self {
            band: Band::new(EACH * corners),
            right: vec![0.0; EACH * corners],
        }
    }

    fn step(&self, damping: f64) -> Option<Vec<f64>> {
        self.band
            .solve(|i| damping * self.band.diagonal(i) + 1e-12, &self.right)
    }

    fn fill(&mut self, chain: &Rounded, bound: &Bound, held: Held, pull: f64, start: &Rounded) {
        self.band.clear();
        self.right.fill(0.0);
        let drawn = chain.drawn();
        let mut sides = vec![SideSums::default(); chain.pieces()];
        for (sample, &hint) in bound.samples.iter().zip(&bound.hints) {
            match drawn.nearest(sample.p, hint).part {
                Part::Side(k) => sides[k].add(&drawn, k, sample),
                Part::Corner(k) => {
                    let e = sample.p - chain.corners[k];
                    self.row(&[(EACH * k, -1.0)], e.x, sample.weight);
                    self.row(&[(EACH * k + 1, -1.0)], e.y, sample.weight);
                }
                Part::Arc(k) => self.arc(&drawn, k, sample),
            }
        }
        for (k, sums) in sides.iter().enumerate() {
            self.side(k, drawn.sides[k].normal(), sums);
        }
        for (k, (c, from)) in chain.corners.iter().zip(&start.corners).enumerate() {
            for (i, off) in [c.x - from.x, c.y - from.y].into_iter().enumerate() {
                self.band.add(EACH * k + i, EACH * k + i, pull);
                self.right[EACH * k + i] -= pull * off;
            }
        }
        self.hold(chain, held);
    }

    /// Keeps what is not to move: sharp corners' radii, held ends.
    fn hold(&mut self, chain: &Rounded, held: Held) {
        const STIFF: f64 = 1e30;
        for (k, &r) in chain.radii.iter().enumerate() {
            if r <= 0.0 {
                self.band.add(EACH * k + 2, EACH * k + 2, 1.0);
            }
        }
        let last = chain.corners.len() - 1;
        for (k, stays) in [(0, held.first), (last, held.last)] {
            for i in (EACH * k..EACH * k + 2).filter(|_| stays) {
                self.band.add(i, i, STIFF);
            }
        }
    }

    /// Adds one residual, given how it changes with each number.
    fn row(&mut self, slopes: &[(usize, f64)], residual: f64, weight: f64) {
        for &(i, a) in slopes {
            self.right[i] -= weight * a * residual;
            for &(j, b) in slopes {
                self.band.add(i, j, weight * a * b);
            }
        }
    }

    fn side(&mut self, k: usize, n: Vector, sums: &SideSums) {
        let (a, b) = (EACH * k, EACH * (k + 1));
        for (i, ni) in [n.x, n.y].into_iter().enumerate() {
            self.right[a + i] += ni * sums.a;
            self.right[b + i] += ni * sums.b;
            for (j, nj) in [n.x, n.y].into_iter().enumerate() {
                self.band.add(a + i, a + j, ni * nj * sums.aa);
                self.band.add(b + i, a + j, ni * nj * sums.ab);
                self.band.add(b + i, b + j, ni * nj * sums.bb);
            }
        }
    }

    fn arc(&mut self, drawn: &Drawn, k: usize, sample: &Sample) {
        if let Some((slopes, residual)) = arc_slopes(drawn, k, sample) {
            self.row(&slopes, residual, sample.weight);
        }
    }
}

/// How the distance to the arc at corner `k` changes with the seven numbers it depends on,
/// and the distance, positive on the left of the chain.
fn arc_slopes(drawn: &Drawn, k: usize, sample: &Sample) -> Option<([(usize, f64); 7], f64)> {
    let bend = drawn.bends[k]?;
    let (before, after) = (&drawn.sides[k - 1], &drawn.sides[k]);
    let (n1, n2) = (before.normal(), after.normal());
    let v = sample.p - bend.centre;
    let length = v.norm();
    let e = v / length;
    let cos = n1.dot(&n2);
    let square = 1.0 - cos * cos;
    let (e1, e2) = (e.dot(&n1), e.dot(&n2));
    let (alpha, beta) = ((e1 - cos * e2) / square, (e2 - cos * e1) / square);
    let s = bend.sign;
    let t1 = 1.0 - bend.tangent / before.length;
    let t2 = bend.tangent / after.length;
    let at_a = n1 * (s * alpha * (1.0 - t1));
    let at_c = n1 * (s * alpha * t1) + n2 * (s * beta * (1.0 - t2));
    let at_b = n2 * (s * beta * t2);
    let slopes = [
        (EACH * (k - 1), at_a.x),
        (EACH * (k - 1) + 1, at_a.y),
        (EACH * k, at_c.x),
        (EACH * k + 1, at_c.y),
        (EACH * k + 2, s + alpha + beta),
        (EACH * (k + 1), at_b.x),
        (EACH * (k + 1) + 1, at_b.y),
    ];
    Some((slopes, s * (bend.radius - length)))
}

/// Sums over the samples of one piece, of products of the parts (1 - t) and t and of d.
#[derive(Debug, Clone, Copy, Default)]
struct SideSums {
    aa: f64,
    ab: f64,
    bb: f64,
    a: f64,
    b: f64,
}

impl SideSums {
    fn add(&mut self, drawn: &Drawn, k: usize, sample: &Sample) {
        let side = &drawn.sides[k];
        let v = sample.p - side.a;
        let d = side.normal().dot(&v);
        let t = v.dot(&side.u) / side.length.max(f64::MIN_POSITIVE);
        let w = sample.weight;
        self.aa += w * (1.0 - t) * (1.0 - t);
        self.ab += w * t * (1.0 - t);
        self.bb += w * t * t;
        self.a += w * (1.0 - t) * d;
        self.b += w * t * d;
    }
}

#[cfg(test)]
mod tests {
    use super::{Bound, EACH, FREE, Held, arc_slopes, polish, stepped};
    use crate::geometry::{Point, chain};
    use crate::survey::Sample;
    use crate::survey::rounded::Rounded;
    use approx::assert_abs_diff_eq;

    fn samples(points: &[(f64, f64)]) -> Vec<Sample> {
        let one = |&(x, y): &(f64, f64)| Sample::new(Point::new(x, y), 1.0);
        points.iter().map(one).collect()
    }

    #[test]
    fn a_rounded_corner_alone_is_the_circle_of_least_distances() {
        // Reference: W. Gander, G. Golub, R. Strebel (1994), "Least-squares fitting of
        // circles and ellipses", BIT 34, 558-578: six points, centre (4.7398, 2.9835),
        // radius 4.7142, printed to 4 decimals. All six lie where the arc is nearest, so
        // that the two pieces beside it have no say.
        let six = samples(&[(1., 7.), (2., 6.), (3., 7.), (5., 8.), (7., 7.), (9., 5.)]);
        let mut chain = Rounded::sharp(chain("-3,-6 4,14 14,-6"));
        chain.radii[1] = 4.0;
        let mut bound = Bound {
            samples: &six,
            hints: vec![0, 0, 0, 1, 1, 1],
        };
        for _ in 0..20 {
            polish(&mut chain, &mut bound, FREE, 1e-9);
        }
        let bend = chain.drawn().bends[1].unwrap();
        assert_abs_diff_eq!(bend.radius, 4.7142, epsilon = 5e-5);
        assert_abs_diff_eq!(bend.centre.x, 4.7398, epsilon = 5e-5);
        assert_abs_diff_eq!(bend.centre.y, 2.9835, epsilon = 5e-5);
    }

    #[test]
    fn the_slopes_of_an_arc_are_its_central_differences() {
        let mut chain = Rounded::sharp(chain("0,1 20,3 28,-18"));
        chain.radii[1] = 6.0;
        let sample = samples(&[(18.5, 1.2)])[0];
        let (slopes, _) = arc_slopes(&chain.drawn(), 1, &sample).unwrap();
        let h = 1e-5;
        for (i, slope) in slopes {
            let moved = |by: f64| {
                let mut step = vec![0.0; EACH * 3];
                step[i] = by;
                let moved = stepped(&chain, &step).drawn();
                arc_slopes(&moved, 1, &sample).unwrap().1
            };
            // Central differences: h² of the third derivative, and rounding over h.
            assert_abs_diff_eq!((moved(h) - moved(-h)) / (2.0 * h), slope, epsilon = 1e-8);
        }
    }

    #[test]
    fn planted_corners_come_back_and_held_ends_stay() {
        let true_corners = [(0.0, 0.0), (20.0, 0.5), (30.0, -14.0), (55.0, -13.0)];
        let mut points = Vec::new();
        for pair in true_corners.windows(2) {
            let ((ax, ay), (bx, by)) = (pair[0], pair[1]);
            points.extend((0..20).map(|i| {
                let t = f64::from(i) / 20.0;
                (ax + t * (bx - ax), ay + t * (by - ay))
            }));
        }
        let all = samples(&points);
        let mut chain = Rounded::sharp(chain("0,0 20.8,-0.6 29,-12.5 55,-13"));
        let mut bound = Bound {
            samples: &all,
            hints: (0..60).map(|i| i / 20).collect(),
        };
        let (first, last) = (true, true);
        let held = Held { first, last };
        let mut rss = f64::INFINITY;
        for _ in 0..5 {
            rss = polish(&mut chain, &mut bound, held, 0.05);
        }
        assert!(rss < 1e-6, "{rss}");
        for (c, (x, y)) in chain.corners.iter().zip(true_corners) {
            assert_abs_diff_eq!(c, &Point::new(x, y), epsilon = 1e-3);
        }
        // Held by a stiffness of 1e30: not moved beyond rounding.
        assert_abs_diff_eq!(chain.corners[0], Point::new(0.0, 0.0), epsilon = 1e-20);
    }
}

//! How far readings err, from the readings alone.
//!
//! Third divided differences of four points a stride apart, square to their chord (that of
//! the points around them where the four are closer together than they may err), leave nothing of any parabola; with weights of unit sum of squares what is left
//! has the deviation of one reading. The median over all fours, divided by 0.6745, takes
//! no notice of corners and slips. Three strides are taken: one point, 1 mm and 3 mm.
//!
//! Neighbours that err alike leave less at stride one than at 3 mm. For a first-order
//! autoregressive error of length l, neighbours d apart agree by r = exp(-d/l), and the
//! differences at stride k have the square, with q = r^k,
//!
//! ```text
//! g(q) = 1 - 1.5 q + 0.6 q² - 0.1 q³        (weights 1, -3, 3, -1 over the root of 20)
//! ```
//!
//! of a reading's own. l is solved from the two squares' ratio. A mean of many such
//! readings errs like one of `V = (1 + r)/(1 - r)` times fewer independent ones.
//!
//! What it cannot see: errors smooth over more than the longest stride pass as shape.

use super::rounded_count;
use crate::geometry::{Point, Vector, cross, halved};

/// Median of the absolute value of a normal number of deviation 1.
const MEDIAN_OF_NORMAL: f64 = 0.6745;
/// Strides beyond one point, mm: over the second the errors of a scanner's neighbours are
/// taken to be on their own. Longer: corners fall into most fours; shorter: likeness hides.
const STRIDES: [f64; 2] = [1.0, 3.0];
/// (stride one / 3 mm) squared from which neighbours count as independent. Higher: white
/// noise with a curved panel passes as alike; lower: weak likeness is missed.
const ALIKE: f64 = 0.45;
/// Longest length over which neighbours are said to err alike, mm: that of the longest
/// stride, beyond which the ratio says nothing.
const LONGEST_ALIKE: f64 = 3.0;
/// Most fours looked at for one median: 1 % of it, and no more time for a million points.
const MOST_FOURS: usize = 60_000;
/// Longest step within a four, in strides of median spacing, and 3 mm at least: corners of a section given by
/// its corners alone are no readings side by side. Shorter: noise itself sorts fours out;
/// longer: a rounding cut finely reads as noise against the flat beside it.
const LONGEST_STEP: f64 = 8.0;
/// Least chord that gives the direction of a four, mm. Shorter: where points lie closer than
/// they err, the chord follows the errors and they read low; longer: corners fall into it.
const LEAST_CHORD: f64 = 3.0;
/// Windows in a survey over which the spacing is read: each long against the errors, short
/// against the panel's shape.
const SPACING_WINDOWS: usize = 250;
/// Fewest fours from which noise is read; fewer say nothing.
const FEWEST_FOURS: usize = 20;
/// Noise at stride one and 1 mm that counts as none, as a part of the last digit: rounding
/// alone reads up to 0.67.
const ROUNDED: f64 = 0.7;
/// Least last digit, mm: nothing is made of less.
const LEAST_DIGIT: f64 = 0.01;

/// How far single readings err.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Noise {
    /// Standard deviation of one reading in each direction, mm.
    pub(crate) sigma: f64,
    /// Length over which neighbours err alike, mm; 0 where they do not.
    pub(crate) over: f64,
    /// Median distance of neighbours, mm.
    pub(crate) spacing: f64,
    /// As read at strides of one point, 1 mm and 3 mm, mm.
    pub(crate) at: [f64; 3],
}

impl Noise {
    /// Reads the noise off at least five points.
    pub(crate) fn of(points: &[Point]) -> Self {
        let spacing = spacing(points);
        let longest = (points.len().max(5) - 1) / 4;
        let strides = STRIDES.map(|mm| rounded_count(mm / spacing).clamp(1, longest.max(1)));
        let at = [1, strides[0], strides[1]].map(|stride| at_stride(points, stride, spacing));
        let ratio = (at[0] / at[2]).powi(2);
        let (mut sigma, mut over) = (at[0], 0.0);
        if ratio < ALIKE {
            over = alike_over(ratio, spacing, strides[1]);
            sigma = at[2] / left(neighbour(spacing * strides[1] as f64, over)).sqrt();
        }
        Self {
            sigma,
            over,
            spacing,
            at,
        }
    }

    /// Whether rounding to `last_digit`, mm, explains it all.
    pub(crate) fn is_rounding(&self, last_digit: f64) -> bool {
        let most = ROUNDED * last_digit.max(LEAST_DIGIT);
        self.at[0] <= most && self.at[1] <= most
    }

    /// Readings that count as one independent reading: V of the header.
    pub(crate) fn alike(&self) -> f64 {
        let r = neighbour(self.spacing, self.over);
        (1.0 + r) / (1.0 - r)
    }
}

/// Correlation of two readings `distance` apart that err alike over `over`, both mm.
pub(crate) fn neighbour(distance: f64, over: f64) -> f64 {
    if over > 0.0 {
        (-distance / over).exp()
    } else {
        0.0
    }
}

/// g of the header.
fn left(q: f64) -> f64 {
    1.0 - q * (1.5 - q * (0.6 - 0.1 * q))
}

/// The length at which the squares at one point and at `stride` points have the ratio.
fn alike_over(ratio: f64, spacing: f64, stride: usize) -> f64 {
    let far = spacing * stride as f64;
    let too_low = |over: f64| left(neighbour(spacing, over)) < ratio * left(neighbour(far, over));
    if !too_low(LONGEST_ALIKE) {
        return LONGEST_ALIKE;
    }
    let (low, high) = halved((0.0, LONGEST_ALIKE), 60, too_low);
    0.5 * (low + high)
}

/// Median distance of neighbours, mm, over at least eight steps so that noise adds little.
fn spacing(points: &[Point]) -> f64 {
    let steps = (points.len() / SPACING_WINDOWS)
        .max(8)
        .min(points.len() - 1);
    let every = points.len().div_ceil(MOST_FOURS);
    let mut lengths: Vec<f64> = points
        .windows(steps + 1)
        .step_by(every)
        .map(|w| (w[steps] - w[0]).norm() / steps as f64)
        .collect();
    median(&mut lengths).unwrap_or(0.0).max(f64::MIN_POSITIVE)
}

/// Deviation of one reading from the third differences at a stride, mm.
fn at_stride(points: &[Point], stride: usize, spacing: f64) -> f64 {
    let Some(fours) = points.len().checked_sub(3 * stride) else {
        return 0.0;
    };
    let longest = LEAST_CHORD.max(LONGEST_STEP * stride as f64 * spacing);
    let beyond = rounded_count(0.5 * (LEAST_CHORD / spacing - 3.0 * stride as f64));
    let last = points.len() - 1;
    let mut left: Vec<f64> = (0..fours)
        .step_by(fours.div_ceil(MOST_FOURS).max(1))
        .filter_map(|i| {
            let four: [Point; 4] = std::array::from_fn(|j| points[i + j * stride]);
            let near = four.windows(2).all(|w| (w[1] - w[0]).norm() <= longest);
            let ends = (i.saturating_sub(beyond), last.min(i + 3 * stride + beyond));
            let chord = points[ends.1] - points[ends.0];
            near.then(|| third_difference(four, chord)).flatten()
        })
        .map(f64::abs)
        .collect();
    if left.len() < FEWEST_FOURS {
        return 0.0;
    }
    median(&mut left).unwrap_or(0.0) / MEDIAN_OF_NORMAL
}

/// Third divided difference square to a chord, weights of unit sum of squares, mm;
/// `None` where three of the points share an abscissa along the chord.
fn third_difference(p: [Point; 4], chord: Vector) -> Option<f64> {
    let u = chord / chord.norm();
    let t = p.map(|q| u.dot(&(q - p[0])));
    // The divided difference times the product of all six differences: nothing is divided by.
    let gap = |i: usize, j: usize| t[i] - t[j];
    let w = [
        gap(1, 2) * gap(1, 3) * gap(2, 3),
        -gap(0, 2) * gap(0, 3) * gap(2, 3),
        gap(0, 1) * gap(0, 3) * gap(1, 3),
        -gap(0, 1) * gap(0, 2) * gap(1, 2),
    ];
    let size = w.iter().map(|w| w * w).sum::<f64>().sqrt();
    let sum: f64 = (0..4).map(|i| w[i] * cross(u, p[i] - p[0])).sum();
    let left = sum / size;
    left.is_finite().then_some(left)
}

/// The middle value; reorders.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::{Noise, alike_over, left, neighbour, third_difference};
    use crate::geometry::{Point, Vector};
    use crate::survey::random::Random;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// A level line with errors in both directions, alike over `over`.
    fn noisy(n: u32, spacing: f64, sigma: f64, over: f64) -> Vec<Point> {
        let mut random = Random::new(7);
        let r = neighbour(spacing, over);
        let fresh = (1.0 - r * r).sqrt();
        let (mut x, mut y) = (random.normal(), random.normal());
        (0..n)
            .map(|i| {
                x = r * x + fresh * random.normal();
                y = r * y + fresh * random.normal();
                Point::new(f64::from(i) * spacing + sigma * x, sigma * y)
            })
            .collect()
    }

    #[test]
    fn a_parabola_leaves_nothing_and_a_cubic_its_third_difference() {
        // Reference: y = x³ at 0, 1, 2, 4: divided difference 1; its weights are -1/8, 1/3,
        // -1/4, 1/24 with root of the sum of squares sqrt(110)/24. Square to the chord of
        // slope 16 all of y shrinks, but so do the abscissas: taken on a level chord.
        let cubic = |x: f64| Point::new(x, x * x * x - 16.0 * x);
        let d = third_difference([0.0, 1.0, 2.0, 4.0].map(cubic), Vector::x()).unwrap();
        assert_relative_eq!(d.abs(), 24.0 / 110.0_f64.sqrt(), max_relative = 1e-12);
        let parabola = |x: f64| Point::new(x, x * x - 4.0 * x);
        let d = third_difference([0.0, 1.0, 2.0, 4.0].map(parabola), Vector::x()).unwrap();
        assert_abs_diff_eq!(d, 0.0, epsilon = 1e-12);
    }

    #[test]
    fn white_noise_in_both_directions_is_read_and_is_not_alike() {
        for sigma in [0.02, 0.05, 0.1] {
            let noise = Noise::of(&noisy(20_000, 0.3, sigma, 0.0));
            // A median of 20 000 overlapping fours errs by about 1.5 %; errors along the
            // chord, which upset the weights, take 3 % off at a third of the spacing.
            assert_relative_eq!(noise.sigma, sigma, max_relative = 0.02 + 0.3 * sigma);
            assert!(noise.over <= 0.0);
        }
    }

    #[test]
    fn neighbours_that_err_alike_are_found_with_their_length() {
        for over in [0.7, 1.5, 2.5] {
            let noise = Noise::of(&noisy(40_000, 0.3, 0.1, over));
            // 12 %: what the ratio of two medians leaves open at these lengths.
            assert_relative_eq!(noise.over, over, max_relative = 0.12);
            assert_relative_eq!(noise.sigma, 0.1, max_relative = 0.08);
        }
    }

    #[test]
    fn the_length_solves_its_own_equation() {
        let ratio = left(neighbour(0.3, 1.2)) / left(neighbour(3.0, 1.2));
        assert_relative_eq!(alike_over(ratio, 0.3, 10), 1.2, max_relative = 1e-9);
    }

    #[test]
    fn rounding_counts_as_no_noise_and_three_times_as_much_does_not() {
        let rounded: Vec<Point> = (0..400)
            .map(|i| f64::from(i) * 0.31)
            .map(|x| Point::new(x, (x * 1.7).round() * 0.01))
            .collect();
        assert!(Noise::of(&rounded).is_rounding(0.01));
        assert!(!Noise::of(&noisy(400, 0.31, 0.03, 0.0)).is_rounding(0.01));
    }
}

//! Noise drawn anew on the fit: how far its answers can be off, and whether it explains
//! the readings at all.
//!
//! Each draw puts fresh noise of the deviation and likeness found on the places the
//! readings have on the fit, and fits those as the readings were fitted.

use super::Sample;
use super::fit::{Fit, Price};
use super::noise::{Noise, neighbour};
use super::random::Random;
use super::square::squared;
use super::turn::Frame;
use crate::geometry::{Point, Vector, path_length};

/// What a draw needs: the places of the samples on the fit, and their noise.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Basis {
    pub(crate) feet: Vec<Point>,
    pub(crate) weights: Vec<f64>,
    pub(crate) price: Price,
    /// Correlation of neighbouring samples.
    pub(crate) alike: f64,
    pub(crate) frame: Frame,
}

/// Most places that noise is redrawn on; beyond, means of runs are. More: a draw costs with
/// the square of it, 5 ms at this; fewer: corners are cut by the length of a run, and widths
/// scatter more than the readings leave open.
const MOST_PLACES: usize = 1500;

impl Basis {
    /// The same with means of runs of places, as many as noise is redrawn on at most.
    pub(crate) fn thinned(self) -> Self {
        let count = self.feet.len().div_ceil(MOST_PLACES);
        if count <= 1 {
            return self;
        }
        let mean = |run: &[Point]| {
            let sum: Vector = run.iter().map(|p| p.coords).sum();
            Point::from(sum / run.len() as f64)
        };
        let (part, alike) = of_means(count, self.alike);
        Self {
            feet: self.feet.chunks(count).map(mean).collect(),
            weights: self.weights.chunks(count).map(|w| w.iter().sum()).collect(),
            price: Price {
                sigma: self.price.sigma * part,
                spacing: self.price.spacing * count as f64,
                ..self.price
            },
            alike,
            frame: self.frame,
        }
    }

    /// The section of one draw.
    pub(crate) fn draw(&self, random: &mut Random) -> Vec<Point> {
        let noise = errors(random, self.feet.len(), self.price.sigma, self.alike);
        let samples = self.feet.iter().zip(&self.weights).zip(noise);
        let samples: Vec<Sample> = samples
            .map(|((foot, &weight), error)| Sample::new(foot + error, weight))
            .collect();
        let fit = Fit::start(&samples, self.price).finish();
        squared(&self.frame.turned(&fit.chain.facets())).0
    }
}

/// Errors of `n` neighbours in both directions, mm, of which neighbours agree by `alike`.
fn errors(random: &mut Random, n: usize, sigma: f64, alike: f64) -> Vec<Vector> {
    let fresh = (1.0 - alike * alike).sqrt();
    let mut draw = || Vector::new(random.normal(), random.normal()) * sigma;
    let mut error = draw();
    (0..n)
        .map(|_| {
            let now = error;
            error = now * alike + draw() * fresh;
            now
        })
        .collect()
}

/// Deviation of the mean of `count` readings, as a part of one's, and the correlation of
/// two such means side by side.
pub(crate) fn of_means(count: usize, alike: f64) -> (f64, f64) {
    let k = count as f64;
    // Sums of alike^|i - j| within one run and between two.
    let (mut power, mut lagged, mut run) = (1.0, 0.0, 1.0);
    for lag in 1..count {
        power *= alike;
        lagged += (k - lag as f64) * power;
        run += power;
    }
    let within = k + 2.0 * lagged;
    let between = alike * run * run;
    (within.sqrt() / k, between / within)
}

/// Arc lengths, mm, of the readings at a stride of some 3 mm, of the same places on the
/// fit, and of noise drawn on those.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Arcs {
    pub(crate) read: f64,
    pub(crate) expected: f64,
    pub(crate) spread: f64,
    pub(crate) fitted: f64,
}

/// Stride at which arcs are compared, mm: at the points' own spacing noise makes most of
/// the arc, and its deviation is not known that well.
const STRIDE: f64 = 3.0;
/// Draws of noise for the expected arc: its spread is known to a sixth.
const DRAWS: usize = 20;
/// Spreads, and parts of the arc that noise adds, that the readings may be off: four
/// deviations, and the noise itself known to some 15 %. Less: one in some thousand good
/// scans is called rough; more: a rough floor passes.
const ALLOWED: (f64, f64) = (4.0, 0.3);
/// Difference of arcs that is never rough, mm: it moves no width.
const SLIGHT: f64 = 0.2;

impl Arcs {
    /// Compares readings with their places on the fit.
    pub(crate) fn of(read: &[Point], feet: &[Point], noise: &Noise, seed: u64) -> Self {
        let stride = super::rounded_count(STRIDE / noise.spacing).max(1);
        let strided =
            |points: &[Point]| -> Vec<Point> { points.iter().step_by(stride).copied().collect() };
        let (read, feet) = (strided(read), strided(feet));
        let alike = neighbour(noise.spacing * stride as f64, noise.over);
        let mut random = Random::new(seed);
        let drawn: Vec<f64> = (0..DRAWS)
            .map(|_| {
                let noise = errors(&mut random, feet.len(), noise.sigma, alike);
                let points: Vec<Point> = feet.iter().zip(noise).map(|(f, e)| f + e).collect();
                path_length(&points)
            })
            .collect();
        let count = DRAWS as f64;
        let expected = drawn.iter().sum::<f64>() / count;
        let square = drawn.iter().map(|a| (a - expected).powi(2)).sum::<f64>();
        Self {
            read: path_length(&read),
            expected,
            spread: (square / (count - 1.0)).sqrt(),
            fitted: path_length(&feet),
        }
    }

    /// Whether the readings are longer or shorter than noise on the fit explains.
    pub(crate) fn too_rough(&self) -> bool {
        let allowed = ALLOWED.0 * self.spread + ALLOWED.1 * (self.expected - self.fitted).abs();
        (self.read - self.expected).abs() > allowed + SLIGHT
    }
}

#[cfg(test)]
mod tests {
    use super::{errors, of_means};
    use crate::geometry::Vector;
    use crate::survey::random::Random;
    use approx::assert_relative_eq;

    #[test]
    fn means_of_readings_err_as_drawn_ones_do() {
        // Reference: 40 000 runs of 5 drawn readings; 3 % is five standard errors.
        let (count, alike) = (5, 0.8);
        let drawn = errors(&mut Random::new(3), 200_000, 1.0, alike);
        let means: Vec<f64> = drawn
            .chunks(count)
            .map(|run| run.iter().sum::<Vector>().x / count as f64)
            .collect();
        let square = means.iter().map(|m| m * m).sum::<f64>() / means.len() as f64;
        let lagged: f64 = means.windows(2).map(|w| w[0] * w[1]).sum();
        let (deviation, next) = of_means(count, alike);
        assert_relative_eq!(square.sqrt(), deviation, max_relative = 0.03);
        let found = lagged / means.len() as f64 / square;
        assert_relative_eq!(found, next, max_relative = 0.03);
    }

    #[test]
    fn means_of_independent_readings_err_by_the_root() {
        let (deviation, next) = of_means(16, 0.0);
        assert_relative_eq!(deviation, 0.25, epsilon = 1e-12);
        assert_relative_eq!(next, 0.0);
    }
}

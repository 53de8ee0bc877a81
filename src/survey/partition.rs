//! The optimal partition of a chain of points into straight pieces.
//!
//! Given are samples (points with weights) in their order; found is the partition into
//! runs that minimises
//!
//! ```text
//! sum over the runs of  RSS/scale + penalty
//! ```
//!
//! with RSS the sum of squared distances, square to it, to the line of least distances
//! through the run. Dynamic programme: `F(t) = min over s < t of F(s) + RSS(s, t)/scale +
//! penalty`. A start s with `F(s) + RSS(s, t)/scale >= F(t)` can never be the best again,
//! since cutting a run never raises its RSS; it is dropped (PELT). The moments of each
//! run still in question grow along with t, so a cost is one merge and one eigenvalue.
//!
//! Guarantee: the exact minimum over the partitions whose cuts are candidates. Cost: at
//! worst candidates²/2 merges (one straight line), for k equal pieces a k-th of that.
//!
//! # Reference
//! B. Jackson et al. (2005), "An algorithm for optimal partitioning of data on an
//! interval", IEEE Signal Processing Letters 12, 105–108. R. Killick, P. Fearnhead, I.
//! Eckley (2012), "Optimal detection of changepoints with a linear computational cost",
//! Journal of the American Statistical Association 107, 1590–1598.

use super::Sample;
use super::moments::Moments;

/// Most places where a cut may lie: at 4000 a straight scan takes 8 million merges, 0.1 s.
/// Fewer: corners start further off; more: quadratic in time for nothing, since corners
/// are polished afterwards.
const MOST_CANDIDATES: usize = 4000;

/// A start that may still be the best.
struct Start {
    block: usize,
    cost: f64,
    run: Moments,
}

/// Returns the ends of the pieces, as indices one past their last sample, and the cost.
///
/// # Arguments
/// * `scale`: mm², what divides the sum of squares.
/// * `penalty`: what a piece costs, plain number.
pub(crate) fn partition(samples: &[Sample], scale: f64, penalty: f64) -> (Vec<usize>, f64) {
    let size = samples.len().div_ceil(MOST_CANDIDATES).max(1);
    let mut starts: Vec<Start> = Vec::new();
    let mut best_start = Vec::with_capacity(samples.len().div_ceil(size));
    let mut reached = 0.0;
    for (t, block) in samples.chunks(size).enumerate() {
        let block = moments(block);
        starts.push(Start {
            block: t,
            cost: reached,
            run: Moments::default(),
        });
        let (mut best, mut from) = (f64::INFINITY, t);
        for start in &mut starts {
            start.run = start.run.with(&block);
            let cost = start.cost + start.run.rss() / scale;
            if cost < best {
                (best, from) = (cost, start.block);
            }
        }
        reached = best + penalty;
        best_start.push(from);
        starts.retain(|s| s.cost + s.run.rss() / scale < reached);
    }
    let mut ends = Vec::new();
    let mut end = best_start.len();
    while end > 0 {
        ends.push((end * size).min(samples.len()));
        end = best_start[end - 1];
    }
    ends.reverse();
    (ends, reached)
}

/// Moments of a run of samples.
pub(crate) fn moments(run: &[Sample]) -> Moments {
    run.iter().fold(Moments::default(), |sum, s| {
        sum.with(&Moments::of(s.p, s.weight))
    })
}

#[cfg(test)]
mod tests {
    use super::{Sample, partition};
    use crate::geometry::Point;
    use crate::survey::random::Random;
    use approx::assert_relative_eq;

    /// One series of the reference: name, penalty, cost, samples, ends.
    type Series = (String, f64, f64, Vec<Sample>, Vec<usize>);

    fn reference() -> Vec<Series> {
        let mut all: Vec<Series> = Vec::new();
        let text = include_str!("../../tests/reference/partition.csv");
        for line in text.lines().skip(1) {
            let fields: Vec<&str> = line.split(',').collect();
            let number = |i: usize| fields[i].parse::<f64>().unwrap();
            if all.last().is_none_or(|s| s.0 != fields[0]) {
                let name = fields[0].to_owned();
                all.push((name, number(1), number(2), Vec::new(), Vec::new()));
            }
            let series = all.last_mut().unwrap();
            let p = Point::new(number(3), number(4));
            series.3.push(Sample::new(p, 1.0));
            if fields[5] == "1" {
                series.4.push(series.3.len());
            }
        }
        all
    }

    #[test]
    fn partitions_are_those_of_an_independent_program() {
        // Reference: tests/reference/partition.csv, from partition.py: ruptures 1.1.10 (PyPI),
        // Pelt and Dynp, with a cost of its own: squared distances by singular values.
        let all = reference();
        assert_eq!(all.len(), 4);
        for (name, penalty, cost, samples, ends) in all {
            let found = partition(&samples, 1.0, penalty);
            assert_eq!(found.0, ends, "{name}");
            // Printed to 1e-9 mm².
            assert_relative_eq!(found.1, cost, epsilon = 1e-8);
        }
    }

    #[test]
    fn pruning_loses_nothing_on_random_chains() {
        // Reference: the same recursion over every start, moments summed anew.
        let mut random = Random::new(4);
        for _ in 0..20 {
            let mut p = Point::origin();
            let samples: Vec<Sample> = (0..60)
                .map(|_| {
                    p.x += random.uniform();
                    p.y += random.normal() * 0.3;
                    Sample::new(p, 1.0 + random.uniform())
                })
                .collect();
            let mut best = vec![0.0_f64];
            for t in 1..=samples.len() {
                let over = (0..t).map(|s| best[s] + super::moments(&samples[s..t]).rss() + 0.4);
                best.push(over.fold(f64::INFINITY, f64::min));
            }
            assert_relative_eq!(partition(&samples, 1.0, 0.4).1, best[60], epsilon = 1e-9);
        }
    }
}

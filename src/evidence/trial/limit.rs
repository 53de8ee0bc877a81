//! The limit of a film class, bracketed by pieces that held and pieces that failed.
//!
//! Each piece has a peak, percent, with a standard error, and a fate. Where every piece that
//! held was stretched less than every one that failed, the limit lies between the highest that
//! held and the lowest that failed, each moved by its 95 % error the safe way. Where they overlap
//! the limit scatters from piece to piece, and
//!
//! ```text
//! P(fails at x) = 1/(1 + exp(-(x - m)/w))
//! ```
//!
//! is fitted (Newton on the likelihood, normal 95 % interval from its curvature); a class's limit
//! is then the stretch at which one piece in twenty fails, by its lower bound.
//!
//! Guarantee: the limit that is named is at most the highest stretch that held. Without a
//! piece that held there is none.
//!
//! Source: D. R. Cox, The Analysis of Binary Data, 1970 (memory).

use nalgebra::{Matrix2, Vector2};
use serde::{Deserialize, Serialize};

/// 95 % of a normal variable, both ways.
const NORMAL: f64 = 1.96;
/// One in twenty fails: ln(19).
const ONE_IN_TWENTY: f64 = 2.944_438_979_166_440_3;
/// Most steps of Newton: half a dozen are usual.
const MOST_STEPS: usize = 100;

/// A piece as the limit sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tried {
    /// Its peak, percent.
    pub(super) peak: f64,
    /// Standard error of that, percentage points.
    pub(super) error: f64,
    /// Did it fail?
    pub(super) failed: bool,
    /// After how long, hours, if known.
    pub(super) after: Option<f64>,
}

/// How the limit was bracketed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bracket {
    /// Between the highest that held and the lowest that failed.
    Between,
    /// All held: it is at least the highest.
    AllHeld,
    /// Pieces that held and pieces that failed overlap: fitted.
    Fitted,
    /// All failed: nothing is known but that it is less.
    AllFailed,
}

/// What the pieces say of the limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limit {
    /// How it was found.
    pub bracket: Bracket,
    /// The limit to work with, percent: the safe end; none where all failed.
    pub limit_pct: Option<f64>,
    /// The true limit lies between, 95 %, percent; none: not bounded on that side.
    pub between_pct: [Option<f64>; 2],
    /// Highest peak that held, percent.
    pub held_pct: Option<f64>,
    /// Lowest peak that failed, percent.
    pub failed_pct: Option<f64>,
    /// Pieces that count.
    pub pieces: usize,
    /// Shortest time after which a piece was found to hold, hours; none: not said of all.
    pub held_for_h: Option<f64>,
}

/// Brackets the limit; none without a piece that counts.
pub(super) fn bracket(tried: &[Tried]) -> Option<Limit> {
    if tried.is_empty() {
        return None;
    }
    let held = tried.iter().filter(|t| !t.failed);
    let failed = tried.iter().filter(|t| t.failed);
    let high = held
        .clone()
        .max_by(|a, b| a.peak.total_cmp(&b.peak))
        .copied();
    let low = failed.min_by(|a, b| a.peak.total_cmp(&b.peak)).copied();
    let times = held.map(|t| t.after);
    let held_for_h = times
        .reduce(|a, b| a.zip(b).map(|(a, b)| a.min(b)))
        .flatten();
    let below = high.map(|h| (h.peak - NORMAL * h.error).max(0.0));
    let above = low.map(|l| l.peak + NORMAL * l.error);
    let mut limit = Limit {
        bracket: Bracket::Between,
        limit_pct: below.filter(|&b| b > 0.0),
        between_pct: [below, above],
        held_pct: high.map(|h| h.peak),
        failed_pct: low.map(|l| l.peak),
        pieces: tried.len(),
        held_for_h,
    };
    match (high, low) {
        (Some(_), None) => limit.bracket = Bracket::AllHeld,
        (None, _) => limit.bracket = Bracket::AllFailed,
        (Some(high), Some(low)) if high.peak >= low.peak => {
            limit.bracket = Bracket::Fitted;
            let found = logistic(tried);
            limit.between_pct = found.map_or([None, None], |f| [Some(f.from.max(0.0)), Some(f.to)]);
            // The lowest that failed bounds it whatever the fit says.
            let lowest = low.peak - NORMAL * low.error;
            let safe = found.map_or(f64::NEG_INFINITY, |f| f.one_in_twenty);
            limit.limit_pct = Some(safe.min(lowest)).filter(|&limit| limit > 0.0);
        }
        _ => {}
    }
    Some(limit)
}

/// A fitted likelihood.
#[derive(Debug, Clone, Copy)]
struct Logistic {
    /// Half fail, between these.
    from: f64,
    to: f64,
    /// One in twenty fails, the lower bound.
    one_in_twenty: f64,
}

/// Fits the likelihood in a + b x; none where it has no top.
fn logistic(tried: &[Tried]) -> Option<Logistic> {
    #[expect(clippy::cast_precision_loss, reason = "some pieces")]
    let mean = tried.iter().map(|t| t.peak).sum::<f64>() / tried.len() as f64;
    let mut p = Vector2::new(0.0, 0.0);
    for _ in 0..MOST_STEPS {
        let (mut slope, mut bend) = (Vector2::zeros(), Matrix2::zeros());
        for t in tried {
            let x = Vector2::new(1.0, t.peak - mean);
            let chance = 1.0 / (1.0 + (-p.dot(&x)).exp());
            slope += x * (f64::from(u8::from(t.failed)) - chance);
            bend += x * x.transpose() * (chance * (1.0 - chance));
        }
        let spread = bend.try_inverse()?;
        let step: Vector2<f64> = spread * slope;
        p += step;
        if !p.norm().is_finite() {
            return None;
        }
        if step.norm() < 1e-10 * (1.0 + p.norm()) {
            // More stretch must fail more.
            return (p[1] > 0.0).then(|| {
                let at = |level: f64| {
                    let x = (level - p[0]) / p[1];
                    let by = Vector2::new(-1.0 / p[1], -x / p[1]);
                    (x + mean, (by.dot(&(spread * by))).sqrt())
                };
                let (half, error) = at(0.0);
                let (few, few_error) = at(-ONE_IN_TWENTY);
                Logistic {
                    from: half - NORMAL * error,
                    to: half + NORMAL * error,
                    one_in_twenty: few - NORMAL * few_error,
                }
            });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn tried(peak: f64, failed: bool) -> Tried {
        Tried {
            peak,
            error: 0.5,
            failed,
            after: Some(168.0),
        }
    }

    #[test]
    fn the_limit_lies_between_the_highest_that_held_and_the_lowest_that_failed() {
        let found = bracket(&[tried(12.0, false), tried(18.0, false), tried(24.0, true)]);
        let found = found.expect("a limit");
        assert_eq!(found.bracket, Bracket::Between);
        assert_relative_eq!(found.limit_pct.expect("a limit"), 18.0 - 0.98);
        assert_relative_eq!(found.between_pct[1].expect("an end"), 24.0 + 0.98);
        assert_eq!(found.held_for_h, Some(168.0));
    }

    #[test]
    fn pieces_that_all_failed_name_no_limit_and_pieces_that_all_held_no_upper_end() {
        let failed = bracket(&[tried(24.0, true)]).expect("a bracket");
        assert_eq!(
            (failed.bracket, failed.limit_pct),
            (Bracket::AllFailed, None)
        );
        let held = bracket(&[tried(12.0, false)]).expect("a bracket");
        assert_eq!(
            (held.bracket, held.between_pct[1]),
            (Bracket::AllHeld, None)
        );
        assert!(bracket(&[]).is_none());
    }

    #[test]
    fn pieces_that_overlap_are_fitted_and_the_limit_stays_below_the_lowest_that_failed() {
        let mut all: Vec<Tried> = (0..10).map(|i| tried(10.0 + f64::from(i), false)).collect();
        all.extend((0..10).map(|i| tried(16.0 + f64::from(i), true)));
        let found = bracket(&all).expect("a limit");
        assert_eq!(found.bracket, Bracket::Fitted);
        // Held at 10 to 19, failed at 16 to 25: alike about 17.5.
        let [from, to] = found.between_pct.map(|end| end.expect("an end"));
        assert_relative_eq!(0.5 * (from + to), 17.5, epsilon = 1e-6);
        assert!(found.limit_pct.expect("a limit") < 16.0);
    }
}

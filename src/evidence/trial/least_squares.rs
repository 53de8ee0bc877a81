//! Nonlinear least squares by Levenberg and Marquardt, with standard errors.
//!
//! Given residuals r(p) that count alike, finds the p of the least S = r.r:
//!
//! ```text
//! (J'J + l diag(J'J)) d = -J'r      l a tenth after a step that helped, tenfold after none
//! C = S/(n - k) (J'J)^-1            covariance of p, n residuals, k parameters
//! ```
//!
//! J by central differences at steps that the caller gives. The crate of this name brings a
//! second copy of the linear algebra, which is more than these lines are.
//!
//! Guarantee: an answer is where no step helps by more than rounding; a fit that does not get
//! there is an error. Certified problems in the tests.
//!
//! Source: D. W. Marquardt, J. Soc. Ind. Appl. Math. 11 (1963) 431 (memory).

use nalgebra::{DMatrix, DVector};

/// Most steps, tried ones counted: a dozen are usual.
const MOST_STEPS: usize = 200;
/// Relative fall of S, and step in units of the caller's, that end the search.
const LEAST_FALL: f64 = 1e-14;
const LEAST_STEP: f64 = 1e-9;
/// The damping from which there is no way down left.
const MOST_DAMPING: f64 = 1e12;

/// A fit.
#[derive(Debug, Clone)]
pub(super) struct Fit {
    /// The parameters.
    pub(super) at: Vec<f64>,
    /// Sum of the squared residuals.
    pub(super) sum: f64,
    /// Residuals less parameters.
    pub(super) free: usize,
    /// Inverse of J'J.
    pub(super) spread: DMatrix<f64>,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoFit {
    /// Fewer residuals than parameters and one.
    TooFew,
    /// The residuals do not depend on the parameters, or on fewer than there are.
    Undetermined,
    /// No residuals at the start.
    NoStart,
    /// No end of the search.
    NoEnd,
}

impl Fit {
    /// Variance of a residual.
    pub(super) fn variance(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "some hundred residuals")]
        let free = self.free as f64;
        self.sum / free
    }

    /// Correlation of two parameters.
    pub(super) fn correlation(&self, i: usize, j: usize) -> f64 {
        let c = &self.spread;
        c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt()
    }
}

/// Fits parameters.
///
/// # Arguments
/// * `residuals`: at given parameters; `None` where there are none.
/// * `start`: first guess.
/// * `steps`: of each parameter, for its derivative; a change that shows and is yet small.
///
/// # Errors
/// [`NoFit`].
pub(super) fn fit(
    residuals: &dyn Fn(&[f64]) -> Option<Vec<f64>>,
    start: &[f64],
    steps: &[f64],
) -> Result<Fit, NoFit> {
    let mut at = start.to_vec();
    let mut r = DVector::from_vec(residuals(&at).ok_or(NoFit::NoStart)?);
    let free = (r.len().checked_sub(at.len()).filter(|&free| free > 0)).ok_or(NoFit::TooFew)?;
    let mut sum = r.norm_squared();
    let mut damping = 1e-3;
    let mut tried = 0;
    loop {
        let slopes = slopes(residuals, &at, steps).ok_or(NoFit::NoStart)?;
        let normal = slopes.transpose() * &slopes;
        let down = -(slopes.transpose() * &r);
        loop {
            tried += 1;
            if tried > MOST_STEPS {
                return Err(NoFit::NoEnd);
            }
            let mut damped = normal.clone();
            for i in 0..at.len() {
                damped[(i, i)] *= 1.0 + damping;
            }
            let step = (damped.cholesky())
                .map(|factor| factor.solve(&down))
                .ok_or(NoFit::Undetermined)?;
            let next: Vec<f64> = at.iter().zip(step.iter()).map(|(a, d)| a + d).collect();
            let small = step
                .iter()
                .zip(steps)
                .all(|(d, unit)| d.abs() <= LEAST_STEP * unit);
            let found = residuals(&next).map(DVector::from_vec);
            let fallen = found.as_ref().map_or(f64::INFINITY, DVector::norm_squared);
            if fallen <= sum {
                let fall = sum - fallen;
                let done = small || fall <= LEAST_FALL * sum;
                (at, sum) = (next, fallen);
                if let Some(found) = found {
                    r = found;
                }
                damping = (0.1 * damping).max(1e-15);
                if done {
                    return end(residuals, at, sum, free, steps);
                }
                break;
            }
            if small || damping > MOST_DAMPING {
                return end(residuals, at, sum, free, steps);
            }
            damping *= 10.0;
        }
    }
}

/// The fit at its end.
fn end(
    residuals: &dyn Fn(&[f64]) -> Option<Vec<f64>>,
    at: Vec<f64>,
    sum: f64,
    free: usize,
    steps: &[f64],
) -> Result<Fit, NoFit> {
    let slopes = slopes(residuals, &at, steps).ok_or(NoFit::NoStart)?;
    // Scaled to a diagonal of ones, so that units do not decide what can be inverted.
    let normal = slopes.transpose() * &slopes;
    let scale = normal.diagonal().map(|d| 1.0 / d.sqrt());
    let scaled = DMatrix::from_diagonal(&scale) * normal * DMatrix::from_diagonal(&scale);
    let spread = scaled.cholesky().ok_or(NoFit::Undetermined)?.inverse();
    let spread = DMatrix::from_diagonal(&scale) * spread * DMatrix::from_diagonal(&scale);
    if spread.iter().any(|c| !c.is_finite()) {
        return Err(NoFit::Undetermined);
    }
    Ok(Fit {
        at,
        sum,
        free,
        spread,
    })
}

/// Derivatives by each parameter.
fn slopes(
    residuals: &dyn Fn(&[f64]) -> Option<Vec<f64>>,
    at: &[f64],
    steps: &[f64],
) -> Option<DMatrix<f64>> {
    let column = |k: usize| {
        let moved = |by: f64| {
            let mut to = at.to_vec();
            to[k] += by;
            residuals(&to)
        };
        let (up, down) = (moved(steps[k])?, moved(-steps[k])?);
        let slope = up.iter().zip(&down).map(|(u, d)| 0.5 * (u - d) / steps[k]);
        Some(DVector::from_iterator(up.len(), slope))
    };
    let columns: Option<Vec<_>> = (0..at.len()).map(column).collect();
    Some(DMatrix::from_columns(&columns?))
}

/// Student's t that 95 % lie within, both ways.
///
/// # Accuracy
/// 1e-3.
///
/// # Reference
/// M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 26.7.5 (memory), with
/// the exact values of one to three.
pub(super) fn student(free: usize) -> f64 {
    const Z: f64 = 1.959_963_984_540_054;
    match free {
        0 => f64::INFINITY,
        1 => 12.706_204_736,
        2 => 4.302_652_730,
        3 => 3.182_446_305,
        _ => {
            #[expect(clippy::cast_precision_loss, reason = "some hundred residuals")]
            let v = free as f64;
            let z2 = Z * Z;
            let g1 = (z2 + 1.0) * Z / 4.0;
            let g2 = ((5.0 * z2 + 16.0) * z2 + 3.0) * Z / 96.0;
            let g3 = (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) * Z / 384.0;
            let g4 =
                ((((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0) * Z / 92_160.0;
            Z + (g1 + (g2 + (g3 + g4 / v) / v) / v) / v
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_certified_problem_misra1a_comes_out_to_its_digits_from_both_starts() {
        // Reference: NIST StRD, Misra1a (memory): y = b1 (1 - exp(-b2 x)); certified values,
        // standard deviations and residual sum of squares.
        const X: [f64; 14] = [
            77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1,
            689.1, 760.0,
        ];
        const Y: [f64; 14] = [
            10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40,
            75.47, 81.78,
        ];
        let residuals = |b: &[f64]| {
            let one = |(x, y): (&f64, &f64)| b[0] * (1.0 - (-b[1] * x).exp()) - y;
            Some(X.iter().zip(&Y).map(one).collect())
        };
        for start in [[500.0, 1e-4], [250.0, 5e-4]] {
            let fit = fit(&residuals, &start, &[1e-3, 1e-9]).expect("a fit");
            assert_relative_eq!(fit.at[0], 238.942_129_18, max_relative = 1e-7);
            assert_relative_eq!(fit.at[1], 5.501_564_318_1e-4, max_relative = 1e-7);
            assert_relative_eq!(fit.sum, 0.124_551_388_94, max_relative = 1e-8);
            let error = |k: usize| (fit.variance() * fit.spread[(k, k)]).sqrt();
            assert_relative_eq!(error(0), 2.707_007_524_1, max_relative = 1e-6);
            assert_relative_eq!(error(1), 7.266_868_843_6e-6, max_relative = 1e-6);
        }
    }

    #[test]
    fn two_parameters_that_only_their_sum_tells_are_undetermined() {
        let residuals = |p: &[f64]| {
            let one = |k: i32| f64::from(k) * (p[0] + p[1]) - 3.0;
            Some((1..6).map(one).collect())
        };
        let found = fit(&residuals, &[1.0, 1.0], &[1e-3, 1e-3]);
        assert!(found.is_err() || found.is_ok_and(|fit| fit.correlation(0, 1).abs() > 0.999_999),);
    }

    #[test]
    fn students_t_is_that_of_the_tables() {
        // Reference: printed tables of Student's t, 0.975 (memory), to three figures behind the
        // point.
        for (free, t) in [
            (1, 12.706),
            (4, 2.776),
            (5, 2.571),
            (10, 2.228),
            (30, 2.042),
            (120, 1.980),
        ] {
            assert_relative_eq!(student(free), t, epsilon = 1e-3);
        }
    }
}

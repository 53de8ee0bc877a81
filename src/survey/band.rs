//! Symmetric positive definite equations in a band: Cholesky without pivots.

/// A symmetric matrix of which the diagonal and `REACH - 1` rows below it are kept.
#[derive(Debug, Clone)]
pub(crate) struct Band {
    rows: Vec<[f64; REACH]>,
}

/// Entries of a row from the diagonal leftwards: two corners of three numbers away, and
/// the corner's own.
pub(crate) const REACH: usize = 9;

impl Band {
    pub(crate) fn new(n: usize) -> Self {
        Self {
            rows: vec![[0.0; REACH]; n],
        }
    }

    pub(crate) fn clear(&mut self) {
        self.rows.fill([0.0; REACH]);
    }

    /// Adds to the entry (i, j); entries above the diagonal are those below it.
    pub(crate) fn add(&mut self, i: usize, j: usize, value: f64) {
        if j <= i {
            self.rows[i][i - j] += value;
        }
    }

    /// The diagonal entry.
    pub(crate) fn diagonal(&self, i: usize) -> f64 {
        self.rows[i][0]
    }

    /// Solves (A + diag(extra)) x = b; `None` unless the matrix is positive definite.
    pub(crate) fn solve(&self, extra: impl Fn(usize) -> f64, b: &[f64]) -> Option<Vec<f64>> {
        let n = self.rows.len();
        let mut l = self.rows.clone();
        for i in 0..n {
            l[i][0] += extra(i);
            for j in i.saturating_sub(REACH - 1)..=i {
                let k0 = i.saturating_sub(REACH - 1);
                let known: f64 = (k0..j)
                    .filter(|k| j - k < REACH)
                    .map(|k| l[i][i - k] * l[j][j - k])
                    .sum();
                let rest = l[i][i - j] - known;
                if i == j {
                    if rest.is_nan() || rest <= 0.0 {
                        return None;
                    }
                    l[i][0] = rest.sqrt();
                } else {
                    l[i][i - j] = rest / l[j][0];
                }
            }
        }
        let mut x = b.to_vec();
        for i in 0..n {
            for k in i.saturating_sub(REACH - 1)..i {
                x[i] -= l[i][i - k] * x[k];
            }
            x[i] /= l[i][0];
        }
        for i in (0..n).rev() {
            for k in i + 1..n.min(i + REACH) {
                x[i] -= l[k][k - i] * x[k];
            }
            x[i] /= l[i][0];
        }
        Some(x)
    }
}

#[cfg(test)]
mod tests {
    use super::{Band, REACH};
    use approx::assert_relative_eq;

    #[test]
    fn a_planted_solution_comes_back() {
        let n = 40;
        let entry = |i: usize, j: usize| match i.abs_diff(j) {
            0 => 12.0 + i as f64,
            d if d < REACH => (i * j) as f64 % 7.0 / 7.0,
            _ => 0.0,
        };
        let planted: Vec<f64> = (0..n).map(|i| (i as f64).sin()).collect();
        let (mut a, mut b) = (Band::new(n), vec![0.0; n]);
        for (i, right) in b.iter_mut().enumerate() {
            for (j, value) in planted.iter().enumerate() {
                if i.abs_diff(j) < REACH {
                    a.add(i, j, entry(i, j));
                    *right += entry(i, j) * value;
                }
            }
        }
        let x = a.solve(|_| 0.0, &b).unwrap();
        for (x, planted) in x.iter().zip(&planted) {
            assert_relative_eq!(x, planted, epsilon = 1e-12);
        }
        assert!(a.solve(|_| -100.0, &b).is_none());
    }
}

//! Cholesky's factor of a symmetric matrix kept row by row from its first entry to the
//! diagonal. The film's unknowns go column by column, so that a row is as long as a column of
//! the mesh, and all of it is filled anyway.
//!
//! Source: G. H. Golub and C. F. Van Loan, Matrix Computations, envelope methods (memory).

/// A symmetric matrix by its lower half.
#[derive(Debug, Clone)]
pub(super) struct Skyline {
    /// First column of each row.
    first: Vec<usize>,
    /// Where column 0 of each row would stand in `values`, row by row.
    start: Vec<usize>,
    values: Vec<f64>,
}

impl Skyline {
    /// An empty matrix whose rows begin at these columns.
    pub(super) fn new(first: Vec<usize>) -> Self {
        let mut start = Vec::with_capacity(first.len() + 1);
        let mut held = 0;
        for (row, &from) in first.iter().enumerate() {
            start.push(held);
            held += row + 1 - from;
        }
        start.push(held);
        Self {
            first,
            start,
            values: vec![0.0; held],
        }
    }

    pub(super) fn clear(&mut self) {
        self.values.fill(0.0);
    }

    fn row(&self, i: usize) -> &[f64] {
        &self.values[self.start[i]..self.start[i + 1]]
    }

    pub(super) fn add(&mut self, i: usize, j: usize, value: f64) {
        let (i, j) = (i.max(j), i.min(j));
        let at = self.start[i] + j - self.first[i];
        self.values[at] += value;
    }

    /// Turns the matrix, with `shift` of each diagonal entry added, into its factor; `None`
    /// where it is not positive definite.
    pub(super) fn factor(&self, shift: f64) -> Option<Self> {
        let mut out = self.clone();
        for i in 0..self.first.len() {
            let from = self.first[i];
            let (before, rest) = out.values.split_at_mut(self.start[i]);
            let row = &mut rest[..=i - from];
            for j in from..i {
                let (start, first) = (self.start[j], self.first[j]);
                let low = from.max(first);
                let left = &before[start + low - first..start + j - first];
                let mine = &row[low - from..j - from];
                let held: f64 = dot(left, mine);
                row[j - from] = (row[j - from] - held) / before[start + j - first];
            }
            let (last, head) = row.split_last_mut()?;
            let pivot = *last + shift * last.abs() - dot(head, head);
            if pivot <= 1e-13 * last.abs() || !pivot.is_finite() {
                return None;
            }
            *last = pivot.sqrt();
        }
        Some(out)
    }

    /// Solves with a factor, in place.
    pub(super) fn solve(&self, b: &mut [f64]) {
        let n = self.first.len();
        for i in 0..n {
            let row = self.row(i);
            let from = self.first[i];
            let held = dot(&row[..i - from], &b[from..i]);
            b[i] = (b[i] - held) / row[i - from];
        }
        for i in (0..n).rev() {
            let row = self.row(i);
            let from = self.first[i];
            b[i] /= row[i - from];
            let x = b[i];
            for (b, l) in b[from..i].iter_mut().zip(row) {
                *b -= l * x;
            }
        }
    }
}

/// Eight sums side by side, which the processor takes at once.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (a8, b8) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f64 = (a8.remainder().iter().zip(b8.remainder()))
        .map(|(x, y)| x * y)
        .sum();
    for (x, y) in a8.zip(b8) {
        for k in 0..8 {
            sums[k] += x[k] * y[k];
        }
    }
    sums.iter().sum::<f64>() + rest
}

//! The closed forms of the sticking front against 50-digit values.

use tautspan::geometry::Vector;
use tautspan::laydown::{kernel::front_gain, kernel::window_gain};

/// Rows of a reference table: the case and its numbers, the expected gain last.
fn rows(text: &str) -> Vec<(&str, Vec<f64>)> {
    text.lines()
        .skip(1)
        .map(|line| {
            let mut cells = line.split(',');
            let case = cells.next().expect("a case");
            let numbers = cells.map(|c| c.parse().expect("a number")).collect();
            (case, numbers)
        })
        .collect()
}

/// Asserts every row within 1e-13 absolute, the accuracy the kernel states; all misses at once.
///
/// A gain above 100 (no film stretches e^100-fold; one row has 39605, where neighbouring
/// doubles are 7e-12 apart) is held to 1e-15 of itself instead.
fn within_1e13(rows: &[(&str, Vec<f64>)], least: usize, gain: impl Fn(&[f64]) -> f64) {
    assert!(rows.len() >= least, "{} rows only", rows.len());
    let misses: Vec<String> = rows
        .iter()
        .filter_map(|(case, n)| {
            let (inputs, expected) = (&n[..n.len() - 1], n[n.len() - 1]);
            let found = gain(inputs);
            let error = found - expected;
            (error.is_nan() || error.abs() > 1e-13_f64.max(1e-15 * expected.abs()))
                .then(|| format!("{case} {inputs:?}: {found:e} off {error:e}"))
        })
        .collect();
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn one_front_agrees_with_fifty_digits() {
    // Reference: tests/reference/gain.csv, from gain.py (mpmath, 50 digits).
    let table = rows(include_str!("../reference/gain.csv"));
    within_1e13(&table, 120, |n| front_gain(n[1], n[0], n[2], n[3]));
}

#[test]
fn two_fronts_agree_with_fifty_digits() {
    // Reference: tests/reference/gain2.csv, from gain.py (mpmath, 50 digits).
    let table = rows(include_str!("../reference/gain2.csv"));
    within_1e13(&table, 40, |n| {
        window_gain(
            Vector::new(n[0], n[1]),
            Vector::new(n[2], n[3]),
            n[4],
            n[5],
            n[6],
        )
    });
}

//! Of many rows those that a picture can show.
//!
//! A scan has a hundred thousand readings where a picture has two thousand pixels, and
//! placing a label goes through all of a line for each place tried. Answers are never
//! computed from thinned rows.

/// Rows up to which nothing is left out: sections that people type, and the bundled ones,
/// are drawn to the last reading. More only cost time: labels try places against all rows.
pub(crate) const MANY: usize = 3000;
/// Distance along the panel within which two rows are one in a picture, mm: to cut a
/// square corner by it takes off 0.1 mm, a thin line's width at 1:1, and slide and page show
/// bridges smaller than that. Less is more rows, more begins to show in print.
pub(crate) const NEAR: f64 = 0.2;

/// Indices of the rows that can be told from the one kept before; the ends, and both sides
/// of a jump, stay.
pub(crate) fn told_apart<T>(rows: &[T], apart: impl Fn(&T, &T) -> bool) -> Vec<usize> {
    if rows.len() <= MANY {
        return (0..rows.len()).collect();
    }
    let last = rows.len() - 1;
    let mut kept = vec![0];
    let mut latest = 0;
    for i in 1..=last {
        if i < last && !apart(&rows[latest], &rows[i]) {
            continue;
        }
        if latest < i - 1 && apart(&rows[i - 1], &rows[i]) {
            kept.push(i - 1);
        }
        kept.push(i);
        latest = i;
    }
    kept
}

/// The points of a chain that a drawing can show.
pub(crate) fn points_to_draw(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let apart = |a: &[f64; 2], b: &[f64; 2]| (b[0] - a[0]).hypot(b[1] - a[1]) >= NEAR;
    let kept = told_apart(points, apart);
    kept.into_iter().map(|i| points[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_rows_all_stay_and_of_many_the_ends_and_both_sides_of_a_jump() {
        let short: Vec<f64> = (0..100).map(|i| f64::from(i) * 1e-3).collect();
        assert_eq!(told_apart(&short, |_, _| false).len(), 100);
        // By hand: 10001 rows 0.001 apart with one step of 5 after row 4999.
        let long: Vec<f64> = (0..10_001)
            .map(|i| f64::from(i) * 1e-3 + if i >= 5000 { 5.0 } else { 0.0 })
            .collect();
        let kept = told_apart(&long, |a, b| b - a >= 0.2);
        assert_eq!((kept[0], kept[kept.len() - 1]), (0, 10_000));
        assert!(kept.contains(&4999) && kept.contains(&5000));
        assert!(kept.len() < 60, "{}", kept.len());
        assert!(kept.windows(2).all(|w| w[0] < w[1]));
    }
}

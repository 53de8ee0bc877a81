//! One scalar root in a bracket.

/// Finds where `f` changes sign between `a` and `b`, given its values there.
///
/// Regula falsi with the Illinois step, and a bisection whenever three steps have not
/// halved the bracket, so that it never takes more than some 150 evaluations.
///
/// Returns the end of the last bracket at which `f` is at most 0, so that "at most the
/// limit" holds at the answer itself; `None` if the signs are equal or a value is NaN.
///
/// # Reference
/// M. Dowell, P. Jarratt (1971), "A modified regula falsi method for computing the root
/// of an equation", BIT 11, 168–174.
pub(crate) fn bracketed(
    mut f: impl FnMut(f64) -> f64,
    a: (f64, f64),
    b: (f64, f64),
    tolerance: f64,
) -> Option<f64> {
    let ((mut xa, mut fa), (mut xb, mut fb)) = (a, b);
    if fa.is_nan() || fb.is_nan() || (fa > 0.0) == (fb > 0.0) {
        return None;
    }
    // Values as weights: the Illinois step halves one without moving its point.
    let (mut wa, mut wb) = (fa, fb);
    let mut checkpoint = (xb - xa).abs();
    let (mut steps, mut last) = (0, 0_i8);
    while (xb - xa).abs() > tolerance {
        let mut x = (wb * xa - wa * xb) / (wb - wa);
        steps += 1;
        if steps % 3 == 0 {
            if (xb - xa).abs() > 0.5 * checkpoint {
                x = 0.5 * (xa + xb);
            }
            checkpoint = (xb - xa).abs();
        }
        if !(x > xa.min(xb) && x < xa.max(xb)) {
            x = 0.5 * (xa + xb);
            if x <= xa.min(xb) || x >= xa.max(xb) {
                break;
            }
        }
        let fx = f(x);
        if fx.is_nan() {
            return None;
        }
        // The end that stays twice in a row loses half its weight.
        if (fx > 0.0) == (fb > 0.0) {
            (xb, fb, wb) = (x, fx, fx);
            wa = if last == 1 { 0.5 * wa } else { fa };
            last = 1;
        } else {
            (xa, fa, wa) = (x, fx, fx);
            wb = if last == -1 { 0.5 * wb } else { fb };
            last = -1;
        }
    }
    Some(if fa <= 0.0 { xa } else { xb })
}

/// Halves a bracket so many times towards where `holds` begins to hold, which it does at its
/// upper end.
pub(crate) fn halved(
    (mut low, mut high): (f64, f64),
    count: usize,
    holds: impl Fn(f64) -> bool,
) -> (f64, f64) {
    for _ in 0..count {
        let middle = 0.5 * (low + high);
        *(if holds(middle) { &mut high } else { &mut low }) = middle;
    }
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::bracketed;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_cube_root_is_found_and_its_sign_kept() {
        let f = |x: f64| x * x * x - 2.0;
        let x = bracketed(f, (0.0, f(0.0)), (1e3, f(1e3)), 1e-13).unwrap();
        assert_abs_diff_eq!(x, 2.0_f64.cbrt(), epsilon = 1e-12);
        assert!(f(x) <= 0.0);
        assert_eq!(bracketed(f, (2.0, 6.0), (3.0, 25.0), 1e-13), None);
    }
}

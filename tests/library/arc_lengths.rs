//! Arc lengths of faceted curves against published values: they converge at second order.

use crate::validation::checks::readings::{arc, curves};
use approx::assert_relative_eq;
use std::f64::consts::{PI, TAU};
use tautspan::{Units, read_shape};

/// Facet counts; each is four times finer than the one before.
const COUNTS: [u32; 3] = [64, 256, 1024];

/// Asserts second order: quartering the facets divides the error by 16, within `slack`.
///
/// `printed` is half a unit of the last digit of the reference, in its own units; the
/// ratio is asserted only while the error stands well above it.
fn converges(reference: f64, printed: f64, curve: impl Fn(f64) -> (f64, f64)) {
    let errors = COUNTS.map(|n| reference - arc(n, &curve));
    for pair in errors.windows(2) {
        // Chords are never longer than the curve.
        assert!(pair[1] > -printed, "{errors:?}");
        if pair[1] > 100.0 * printed {
            // The next term of the series is of relative size 1/n², with curvatures in
            // front of it: 3 % holds for all curves here.
            assert_relative_eq!(pair[0] / pair[1], 16.0, max_relative = 0.03);
        }
    }
    let extrapolated = arc(1024, &curve) + (arc(1024, &curve) - arc(256, &curve)) / 15.0;
    // Richardson's extrapolation takes the second-order term off; what is left is of
    // fourth order: below 1e-8 of the length.
    assert_relative_eq!(
        extrapolated,
        reference,
        epsilon = printed + 1e-8 * reference
    );
}

#[test]
fn halving_the_facets_of_a_parabola_quarters_the_error() {
    // Reference: y = x²/100 on [0, 100]: L = 50√5 + 25 ln(2 + √5), closed form.
    let reference = 50.0 * 5.0_f64.sqrt() + 25.0 * (2.0 + 5.0_f64.sqrt()).ln();
    let curve = |t: f64| (100.0 * t, 100.0 * t * t);
    let (coarse, fine) = (reference - arc(200, &curve), reference - arc(400, &curve));
    // Second order: 4 up to a term of relative size 1/n².
    assert_relative_eq!(coarse / fine, 4.0, max_relative = 1e-3);
}

#[test]
fn curves_with_a_published_length_come_to_it_at_second_order() {
    // Reference: beside each curve, in the checks of the validation report.
    for (_, published, printed, curve) in curves() {
        converges(published, printed, &curve);
    }
}

#[test]
fn a_catenary_has_its_published_length() {
    // Reference: sources.md section 3: 140 m on a 120 m span has c = 61.45, sag 31.70, both
    // printed to 4 figures. With u = 60/c, half a unit of c moves the length by
    // 2 (u cosh u - sinh u) 0.005 = 0.0035 and the sag by 0.003, beside its own 0.005.
    let c = 61.45;
    let point = |t: f64| {
        let x = 120.0 * t - 60.0;
        (x, c * ((x / c).cosh() - 1.0))
    };
    assert_relative_eq!(arc(1024, &point), 140.0, epsilon = 4e-3);
    assert_relative_eq!(point(0.0).1, 31.70, epsilon = 8e-3);
    // Reference: closed form of the same curve, 2 c sinh(60/c).
    converges(2.0 * c * (60.0 / c).sinh(), 1e-12, point);
}

#[test]
fn a_long_catenary_has_its_published_span_and_sag() {
    // Reference: sources.md section 3: 625 ft, sag 25 ft: c = 1940.625 (exact, from
    // (L/2)² = sag² + 2 c sag), span 622.33 printed to 5 figures, so 5e-3.
    let (c, half) = (1940.625, 622.33 / 2.0);
    let curve = |t: f64| {
        let x: f64 = half * (2.0 * t - 1.0);
        (x, c * ((x / c).cosh() - 1.0))
    };
    // dL/dspan is cosh(u) = 1.013, so the printed span gives the length to 6e-3.
    assert_relative_eq!(arc(1024, &curve), 625.0, epsilon = 6e-3);
    assert_relative_eq!(curve(0.0).1, 25.0, epsilon = 5e-3);
}

#[test]
fn a_cosine_valley_is_as_long_as_the_sine_arch() {
    // Reference: sources.md section 3, arch A sin(pi x/L), L 100: A 10 -> 102.42352285642,
    // A 20 -> 109.23835473312; the valley -(d/2)(1 + cos(2 pi x/W)) with d = A, W = L is
    // as long.
    for (a, reference) in [(10.0, 102.42352285642), (20.0, 109.23835473312)] {
        converges(reference, 5e-12, |t| (100.0 * t, a * (PI * t).sin()));
        converges(reference, 5e-12, |t| {
            let x = 100.0 * t - 50.0;
            (x, -a / 2.0 * (1.0 + (TAU * x / 100.0).cos()))
        });
    }
}

#[test]
fn a_rounded_shape_has_the_published_arc_of_its_circle() {
    // Reference: Machinery's Handbook, 31st ed., p. 83: chord 21, rise 6 -> arc 25.308373. The
    // shape's own facets, at most 1e-3 mm from the arc, shorten it by at most 8/3 sagitta²/chord
    // each: 6e-5 of it here.
    let section = read_shape("round:mouth=21,depth=6,flat=60", Units::Mm).unwrap();
    assert_relative_eq!(section.line().end() - 120.0, 25.308373, max_relative = 6e-5);
}

//! The film as bars, laid node by node (`tests/common/bars.rs`), against the front and the march.

use crate::common::bars::{Half, difference, half_channel, march};

use approx::assert_abs_diff_eq;
use tautspan::Laydown;

#[test]
fn bars_laid_node_by_node_meet_the_closed_form_at_even_heat() {
    // Reference: this file's bars; 1e-5 at 800 elements (400 a side) in local elongation.
    let laid = march(0.0, 1.0);
    let (coarse, fine) = (
        difference(&laid, &half_channel(100, 0.0, 1.0)),
        difference(&laid, &half_channel(400, 0.0, 1.0)),
    );
    println!("even heat: 100 bars {coarse:.2e}, 400 bars {fine:.2e}");
    assert!(fine < 1e-5);
    // Second order: a quarter of the length leaves about a sixteenth of the difference.
    assert!(fine < 0.1 * coarse);
    // The peak too, bars at corners included.
    let most = |half: &Half| half.lay().iter().map(|b| b.1).fold(0.0, f64::max);
    let bars = most(&half_channel(400, 0.0, 1.0));
    assert_abs_diff_eq!(bars, 1.0 + peak(&laid), epsilon = 1e-4);
}

/// Peak elongation, a plain ratio.
fn peak(laid: &Laydown) -> f64 {
    let (left, right) = laid.bonds();
    (0..=4000)
        .map(|i| left + (right - left) * f64::from(i) / 4000.0)
        .filter_map(|s| laid.lambda(s))
        .fold(0.0, f64::max)
        - 1.0
}

#[test]
fn bars_with_friction_and_warm_zones_close_in_on_the_march() {
    // Reference: this file's bars, to their own convergence: what is left at 400 bars a
    // side is less than what halving the bars last changed, and small in itself.
    for (mu, soft) in [(0.3, 1.0), (0.0, 1.0 / 3.0), (0.3, 1.0 / 3.0)] {
        let laid = march(mu, soft);
        let at = |bars| difference(&laid, &half_channel(bars, mu, soft));
        let (a, b, c) = (at(100), at(200), at(400));
        println!("friction {mu}, mouth {soft:.2}: {a:.2e} {b:.2e} {c:.2e}");
        assert!(c < 0.5 * b && b < a, "{a} {b} {c}");
        assert!(c < 1e-5, "{c}");
    }
}

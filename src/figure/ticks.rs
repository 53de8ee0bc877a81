//! Round numbers along an axis or a ruler, and their words where they crowd.

use super::canvas::Type;
use crate::section::Units;

/// An inch, mm.
pub(super) const INCH: f64 = 25.4;

/// Round numbers from `from` to `to`, at most about `most` of them.
pub(super) fn round_ticks(from: f64, to: f64, most: f64) -> Vec<f64> {
    let raw = (to - from) / most;
    let ten = 10.0_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .map(|f| f * ten)
        .into_iter()
        .find(|&s| s >= raw * 0.999)
        .unwrap_or(10.0 * ten);
    stepped(from, to, step)
}

/// The multiples of a step between two numbers.
pub(super) fn stepped(from: f64, to: f64, step: f64) -> Vec<f64> {
    let mut ticks = Vec::new();
    // Nought has no sign.
    let mut v = (from / step - 1e-9).ceil() * step + 0.0;
    while v <= to + 1e-9 * step && ticks.len() < 1000 {
        ticks.push(v);
        v += step;
    }
    ticks
}

/// Round lengths between two, mm, that a rule of the unit shows: in inches quarters at the least.
pub(super) fn length_ticks(from: f64, to: f64, most: f64, units: Units) -> Vec<f64> {
    match units {
        Units::Mm | Units::Cm => round_ticks(from, to, most),
        Units::Inch => {
            let [from, to] = [from / INCH, to / INCH];
            let step = [0.25, 0.5].into_iter().find(|s| (to - from) / s <= most);
            let inches = match step {
                Some(step) => stepped(from, to, step),
                None => round_ticks(from, to, most.min(to - from)),
            };
            inches.into_iter().map(|v| v * INCH).collect()
        }
    }
}

/// Joins neighbours whose words would come nearer than a letter's width.
pub(super) fn joined(mut groups: Vec<(f64, f64, String)>) -> Vec<(f64, f64, String)> {
    let half = |g: &(f64, f64, String)| Type::Body.width(&g.2) / 2.0;
    let mid = |g: &(f64, f64, String)| (g.0 + g.1) / 2.0;
    while let Some(i) = (1..groups.len()).find(|&i| {
        let (a, b) = (&groups[i - 1], &groups[i]);
        mid(b) - half(b) - mid(a) - half(a) < 14.0
    }) {
        let b = groups.remove(i);
        let a = &mut groups[i - 1];
        a.1 = b.1;
        if (b.0 - a.0).abs() < 1.0 && a.2 != b.2 {
            a.2 = format!("{} and {}", a.2, b.2);
        } else if a.2 != b.2 || (b.0 - a.0).abs() >= 1.0 {
            a.2 = format!("{}, {}", a.2, b.2);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_few() {
        assert_eq!(round_ticks(0.0, 26.0, 5.0), vec![0.0, 10.0, 20.0]);
        assert_eq!(
            round_ticks(80.0, 300.0, 6.0),
            vec![100.0, 150.0, 200.0, 250.0, 300.0]
        );
    }

    #[test]
    fn ticks_in_inches_are_whole_halves_or_quarters() {
        let inches = |from: f64, to: f64, most: f64| -> Vec<f64> {
            let ticks = length_ticks(from * INCH, to * INCH, most, Units::Inch);
            ticks
                .iter()
                .map(|mm| mm / INCH * 4.0)
                .map(f64::round)
                .collect()
        };
        // Reference: by hand, counted in quarters of an inch.
        assert_eq!(inches(0.1, 1.0, 5.0), vec![1.0, 2.0, 3.0, 4.0]);
        assert_eq!(inches(0.0, 2.2, 5.0), vec![0.0, 2.0, 4.0, 6.0, 8.0]);
        assert_eq!(inches(2.6, 6.0, 5.0), vec![12.0, 16.0, 20.0, 24.0]);
        assert_eq!(inches(0.0, 15.0, 12.0).last(), Some(&56.0));
        for (from, to) in [(0.0, 0.3), (1.3, 40.0), (0.0, 4000.0)] {
            for mm in length_ticks(from * INCH, to * INCH, 7.0, Units::Inch) {
                assert!((mm / INCH * 4.0).fract() < 1e-9, "{mm}");
            }
        }
    }
}

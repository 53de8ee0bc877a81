//! The perceptual colour map cividis: lightness rises evenly, and a reader with red-green
//! colour blindness sees nearly the same map.
//!
//! # Reference
//! J. R. Nuñez, C. R. Anderton, R. S. Renslow (2018), "Optimizing colormaps with
//! consideration for color vision deficiency to enable accurate interpretation of
//! scientific data", `PLoS` ONE 13(7): e0199239. Every eighth row of the 256 published,
//! as 8-bit sRGB; terms in cividis-licence.txt.

pub(super) use crate::draw::Rgb;

const TABLE: [Rgb; 33] = [
    [0, 32, 77],
    [0, 38, 90],
    [0, 44, 105],
    [0, 48, 111],
    [6, 54, 110],
    [31, 60, 109],
    [45, 66, 108],
    [56, 72, 107],
    [65, 77, 107],
    [74, 83, 107],
    [82, 89, 108],
    [89, 95, 109],
    [97, 100, 111],
    [104, 106, 113],
    [111, 112, 115],
    [118, 118, 118],
    [125, 124, 120],
    [132, 129, 121],
    [139, 135, 121],
    [147, 142, 120],
    [155, 148, 119],
    [163, 154, 118],
    [172, 161, 116],
    [180, 168, 114],
    [188, 175, 111],
    [197, 181, 108],
    [206, 188, 104],
    [215, 196, 99],
    [224, 203, 94],
    [233, 211, 88],
    [242, 218, 80],
    [251, 226, 72],
    [255, 234, 70],
];

/// Flat colours on the scale from 0 to the limit. Fewer hide a rise; more cannot be told
/// apart and read as a gradient.
pub(super) const STEPS: usize = 20;

/// Colour at `t` from 0 (dark) to 1 (light), clamped, linear between the rows.
pub(super) fn cividis(t: f64) -> Rgb {
    let last = TABLE.len() - 1;
    let t = if t.is_nan() { 0.0 } else { t.clamp(0.0, 1.0) } * 32.0;
    let i = floor_index(t).min(last - 1);
    let part = t - f64::from(u32::try_from(i).unwrap_or(0));
    std::array::from_fn(|k| {
        let (a, b) = (f64::from(TABLE[i][k]), f64::from(TABLE[i + 1][k]));
        to_byte(a + (b - a) * part)
    })
}

/// Step of the scale that `ratio` (elongation over limit) falls in; the last from the limit on.
pub(super) fn step_of(ratio: f64) -> usize {
    floor_index(ratio.max(0.0) * 20.0 + 1e-9).min(STEPS - 1)
}

/// Colour of a step of the scale.
pub(super) fn step_colour(step: usize) -> Rgb {
    cividis(f64::from(u32::try_from(step).unwrap_or(0)) / 19.0)
}

/// Relative luminance in linear light, 0 to 1 (WCAG 2, "relative luminance").
pub(super) fn luminance(colour: Rgb) -> f64 {
    let linear = colour.map(|v| {
        let v = f64::from(v) / 255.0;
        if v <= 0.04045 {
            v / 12.92
        } else {
            ((v + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "rounded and in 0 to 255"
)]
fn to_byte(v: f64) -> u8 {
    v.round() as u8
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "never negative, small; NaN gives 0"
)]
fn floor_index(v: f64) -> usize {
    v.floor() as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_and_the_middle_are_the_published_colours() {
        // Reference: Nuñez et al. (2018), rows 1, 129 and 256 of the table: (0.0000, 0.1262,
        // 0.3015), (0.4897, 0.4856, 0.4714), (1.0000, 0.9169, 0.2731); 8 bits.
        assert_eq!(cividis(0.0), [0, 32, 77]);
        assert_eq!(cividis(128.0 / 255.0), [125, 124, 120]);
        assert_eq!(cividis(1.0), [255, 234, 70]);
        assert_eq!(cividis(7.0), cividis(1.0));
        assert_eq!(cividis(f64::NAN), cividis(0.0));
    }

    #[test]
    fn every_step_is_lighter_than_the_one_before() {
        let light: Vec<f64> = (0..STEPS).map(|k| luminance(step_colour(k))).collect();
        assert!(light.windows(2).all(|w| w[1] > w[0]), "{light:?}");
    }

    #[test]
    fn the_limit_and_beyond_take_the_last_step() {
        assert_eq!(step_of(0.0), 0);
        assert_eq!(step_of(0.05), 1);
        assert_eq!(step_of(1.0), STEPS - 1);
        assert_eq!(step_of(5.0), STEPS - 1);
        assert_eq!(step_of(-0.1), 0);
    }
}

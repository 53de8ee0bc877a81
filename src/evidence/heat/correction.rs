//! The temperature of a surface from an infrared reading with the wrong emissivity set.
//!
//! The instrument sees what the surface sends out, `e T^4`, and what it mirrors of its
//! surroundings, `(1 - e) Ts^4`, and takes both for `es Tr^4 + (1 - es) Ts^4`. With the true
//! emissivity `e`, that which was set `es`, the surroundings `Ts` and the reading `Tr`, in kelvin,
//!
//! ```text
//! T^4 = [es Tr^4 + (e - es) Ts^4] / e
//! ```
//!
//! Assumes a grey surface that lets nothing through, surroundings of one temperature, and a
//! spot that lies wholly on the film. Nothing is guaranteed of an instrument's narrow band, in
//! which the power is not exactly 4. A body as warm as its surroundings needs no correction.
//!
//! Source: the grey-body balance of radiation thermometry, as instrument manuals print it
//! (8 to 14 um).

/// 0 degC, K.
const ZERO: f64 = 273.15;

/// Returns the temperature of a surface, degC; none where the surroundings alone would send
/// more than was read.
///
/// # Arguments
/// * `reading`: what the instrument shows, degC.
/// * `set`: the emissivity it is set to, above 0 and at most 1.
/// * `emissivity`: that of the surface, above 0 and at most 1.
/// * `surroundings`: what the surface mirrors, degC.
///
/// # Example
/// ```
/// use tautspan::evidence::heat::corrected;
/// // Set to 1 over film of 0.93 at 20 degC: 80 is read, 83.44 it is.
/// let film = corrected(80.0, 1.0, 0.93, 20.0).unwrap();
/// assert!((film - 83.44).abs() < 5e-3);
/// assert_eq!(corrected(20.0, 1.0, 0.93, 20.0).unwrap(), 20.0);
/// ```
pub fn corrected(reading: f64, set: f64, emissivity: f64, surroundings: f64) -> Option<f64> {
    let [read, around] = [reading, surroundings].map(|t| (t + ZERO).powi(4));
    let fourth = read + (set / emissivity - 1.0) * (read - around);
    (fourth > 0.0).then(|| fourth.sqrt().sqrt() - ZERO)
}

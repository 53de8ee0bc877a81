//! What is known of an end without a solver.

/// Power of the middle's stretch that the area of a rounded channel's end has, edges first: 1.51
/// to 1.71 over eight sections (measured with the solver of this module), the most taken.
pub const AREA_POWER: f64 = 1.71;

/// Stretch, both ways, at the bottom of a bowl over which film is laid from the rim.
///
/// A round pocket laid edges first has l1 = l2 = the stretch of plane strain, whatever its
/// section and the film's law: its free film is a flat disc, stretched alike all over. For the
/// bowl the front's equation d ln l = (sec b - 1) da/a has the closed form 2/(1 + cos rim).
///
/// # Arguments
/// * `rim`: angle of the bowl's wall at the rim from level, rad, 0 to pi/2.
///
/// # Example
/// ```
/// use tautspan::ends::bowl_stretch;
/// assert!((bowl_stretch(std::f64::consts::FRAC_PI_2) - 2.0).abs() < 1e-12);
/// ```
pub fn bowl_stretch(rim: f64) -> f64 {
    2.0 / (1.0 + rim.cos())
}

/// Area over what it was at a rounded channel's end, edges first, at most, from the stretch of
/// the middle.
pub fn edges_first_area(middle: f64) -> f64 {
    middle.powf(AREA_POWER)
}

//! Where a place of the flat film came to lie on the panel.

use super::{LaidEnd, Spot};

/// How far outside of a triangle a place counts as in it, part of its size: rounding.
const ROUNDING: f64 = 1e-9;

impl LaidEnd {
    /// The place of the panel on which a place of the flat film lies, x and z as in [`Spot`];
    /// `None` for film beyond the bond line or the far plane.
    pub fn panel_of(&self, [x, z]: [f64; 2]) -> Option<[f64; 3]> {
        // The left half is the right one's image.
        let film = [x.abs(), z];
        let found = self.columns.windows(2).find_map(|w| {
            let rows = w[0].windows(2).zip(w[1].windows(2));
            rows.flat_map(|(a, b)| [[&a[0], &b[0], &b[1]], [&a[0], &b[1], &a[1]]])
                .find_map(|triangle| inside(triangle, film))
        })?;
        Some([found[0].copysign(x), found[1], found[2]])
    }
}

/// The place on the panel if the place of the film is in this triangle of it.
fn inside([a, b, c]: [&Spot; 3], film: [f64; 2]) -> Option<[f64; 3]> {
    let cross = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let whole = cross(a.film, b.film, c.film);
    let parts = [
        cross(film, b.film, c.film),
        cross(a.film, film, c.film),
        cross(a.film, b.film, film),
    ]
    .map(|part| part / whole);
    // Of a triangle without area the parts are no numbers.
    let within = parts.iter().all(|&part| part >= -ROUNDING);
    let mixed = |k: usize| parts[0] * a.at[k] + parts[1] * b.at[k] + parts[2] * c.at[k];
    within.then(|| [mixed(0), mixed(1), mixed(2)])
}

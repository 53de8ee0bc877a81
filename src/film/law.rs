//! The stretch law: line tension of film against its stretch ratio.
//!
//! Incompressible neo-Hookean film in plane strain (it cannot shorten along the channel),
//! with q = N/K the line tension over the stiffness:
//!
//! ```text
//! N = K (lambda - lambda^-3),   K = sum of G h over film and layers,   G = E/3
//! lambda(N):  1 + s + 3 s²/(1 + sqrt(1 - 4 s/3 + s²)) with s = q/4, then Chebyshev's steps
//!             on lambda - lambda^-3 = q
//! Phi = integral of dN/lambda = K (ln lambda - 3/4 lambda^-4)
//! w   = integral of N dlambda = K/2 (lambda² + lambda^-2 - 2)
//! ```
//!
//! Phi is what drag needs: film whose tension falls by tau per mm from N1 to N0 holds
//! `(Phi1 - Phi0)/tau` of unstretched film. Or a tensile curve of the user's own, straight
//! between its rows and on beyond the last one.
//!
//! Between two rows of a class's table ln E is linear in temperature (moduli fall by a
//! like factor every few degrees; common practice, no source). Outside the table nothing
//! is known, and that is an error.
//!
//! Source of the law: L. R. G. Treloar, The Physics of Rubber Elasticity (memory for the
//! page); tests below hold it against his pure-shear data.

use super::class::{FilmClass, Layer};
use crate::fault::{Fault, Hint, Refused};

/// Most steps of the inverse. The start is within 17 % of e; two steps give 4e-4 of that at worst
/// (around 100 %), three 5e-12 and a fourth rounding. Up to 20 % two do.
const MOST_STEPS: usize = 4;
/// A step this small, relative, leaves its cube: less than rounding.
const LAST_STEP: f64 = 5e-6;

/// Why there is no stretch law.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum LawError {
    /// The class has no table of modulus against temperature.
    NoTable {
        /// Name of the class.
        film: String,
        /// Temperature asked for, degC.
        asked: f64,
    },
    /// The temperature lies outside the table.
    OutsideTable {
        /// Name of the class.
        film: String,
        /// Temperature asked for, degC.
        asked: f64,
        /// Coldest row, degC.
        from: f64,
        /// Warmest row, degC.
        to: f64,
    },
}

/// Line tension against stretch ratio.
#[derive(Debug, Clone, PartialEq)]
pub enum StretchLaw {
    /// Neo-Hookean film of this stiffness G h, N/mm, above 0.
    NeoHookean(f64),
    /// A tensile curve.
    Curve(TensileCurve),
}

impl Default for StretchLaw {
    /// Neo-Hookean film of stiffness 1 N/mm: film of one temperature without drag is laid
    /// alike whatever its stiffness.
    fn default() -> Self {
        Self::NeoHookean(1.0)
    }
}

impl StretchLaw {
    /// Line tension at a stretch ratio, N/mm; 0 for film that is not stretched.
    pub fn tension(&self, lambda: f64) -> f64 {
        match self {
            // lambda - lambda^-3 = (lambda - 1)(lambda + 1)(lambda² + 1)/lambda³.
            Self::NeoHookean(k) => {
                let l = lambda.max(1.0);
                k * (l - 1.0) * (l + 1.0) * (l * l + 1.0) / (l * l * l)
            }
            Self::Curve(curve) => curve.tension(lambda),
        }
    }

    /// Energy of a piece of film at a stretch ratio, N/mm of its unstretched length: the
    /// integral of the tension; 0 for film that is not stretched.
    pub fn energy(&self, lambda: f64) -> f64 {
        match self {
            // lambda² + lambda^-2 - 2 = (lambda - 1/lambda)².
            Self::NeoHookean(k) => {
                let l = lambda.max(1.0);
                let e = (l - 1.0) * (l + 1.0) / l;
                0.5 * k * e * e
            }
            Self::Curve(curve) => curve.energy(lambda),
        }
    }

    /// What a free end of laid film gives back for each mm it lets go, N/mm: w/lambda.
    pub fn free_end(&self, lambda: f64) -> f64 {
        self.energy(lambda) / lambda
    }

    /// Stretch ratio at a line tension, N/mm; 1 for none.
    ///
    /// # Accuracy
    /// Neo-Hookean: 4 units in the last place up to 300 percent.
    pub fn lambda(&self, tension: f64) -> f64 {
        match self {
            Self::NeoHookean(k) => neo_hookean_stretch(tension / k),
            Self::Curve(curve) => curve.lambda(tension),
        }
    }

    /// Stretch ratio and its slope against the tension, 1 and mm/N.
    pub(crate) fn lambda_and_slope(&self, tension: f64) -> (f64, f64) {
        match self {
            Self::NeoHookean(k) => {
                let lambda = neo_hookean_stretch(tension / k);
                let r = 1.0 / (lambda * lambda);
                (lambda, 1.0 / (k * (1.0 + 3.0 * r * r)))
            }
            Self::Curve(curve) => {
                let row = curve.row_below(tension);
                (curve.lambda(tension), 1.0 / curve.slope(row))
            }
        }
    }

    /// Phi, the integral of dN/lambda from no tension, N/mm.
    pub(crate) fn film_integral(&self, tension: f64) -> f64 {
        self.lambda_and_integral(tension).1
    }

    /// Stretch ratio and Phi.
    pub(crate) fn lambda_and_integral(&self, tension: f64) -> (f64, f64) {
        match self {
            Self::NeoHookean(k) => {
                let lambda = neo_hookean_stretch(tension / k);
                let r = 1.0 / (lambda * lambda);
                // Both terms with the 1 taken out, so that small stretches keep digits.
                let e = lambda - 1.0;
                let phi = k * (e.ln_1p() + 0.75 * (lambda + 1.0) * e * (1.0 + r) * r);
                (lambda, phi)
            }
            Self::Curve(curve) => (curve.lambda(tension), curve.film_integral(tension)),
        }
    }

    /// A stiffness to measure tensions with, N/mm.
    pub(crate) fn scale(&self) -> f64 {
        match self {
            Self::NeoHookean(k) => *k,
            Self::Curve(curve) => 0.25 * curve.slope(0),
        }
    }
}

/// Solves lambda - lambda^-3 = q for q >= 0; 1 below.
fn neo_hookean_stretch(q: f64) -> f64 {
    if q <= 0.0 {
        return 1.0;
    }
    // In e = lambda - 1, so that small stretches keep their digits. The start is right to the
    // second order where film is stretched little, and to the first where it is stretched much.
    let s = 0.25 * q;
    let mut e = s + 3.0 * s * s / (1.0 + (1.0 - s * (4.0 / 3.0 - s)).sqrt());
    for _ in 0..MOST_STEPS {
        let l = 1.0 + e;
        let l2 = l * l;
        // Newton's step for the law, and what its bend adds (Chebyshev).
        let r = 1.0 / (l * (l2 * l2 + 3.0));
        let newton = (e * (l + 1.0) * (l2 + 1.0) - q * l * l2) * l2 * r;
        let step = newton * (1.0 - 6.0 * newton * r);
        e = (e - step).max(0.0);
        if step.abs() <= LAST_STEP * e {
            break;
        }
    }
    1.0 + e
}

/// A tensile curve: line tension against stretch ratio, rising in both.
#[derive(Debug, Clone, PartialEq)]
pub struct TensileCurve {
    lambdas: Vec<f64>,
    tensions: Vec<f64>,
    /// Phi at each row, N/mm.
    integrals: Vec<f64>,
}

impl TensileCurve {
    /// Reads a tensile curve: a header `elongation_pct,force_n_per_mm` or
    /// `elongation_pct,stress_mpa` (nominal stress), then rows that rise in both.
    ///
    /// A row of nothing is put before the first if it is missing. The strip should be
    /// wide against its length: film on a recess cannot shorten along the channel, and a
    /// narrow strip reads lower.
    ///
    /// # Arguments
    /// * `file`: name of the file, for messages only.
    /// * `text`: its CSV; lines that start with `#` are skipped.
    /// * `thickness`: of the film, mm, for stresses.
    ///
    /// # Errors
    /// [`Refused`] with the line: a wrong header, not a number, a row that does not rise,
    /// fewer than one row above nothing.
    pub fn read(file: &str, text: &str, thickness: f64) -> Result<Self, Refused> {
        let fault = |line: usize, found: String, expected: &'static str, hint: Hint| {
            Refused::new(file, vec![Fault::at(line, found, expected).hint(hint)])
        };
        let mut lines = text
            .trim_start_matches('\u{feff}')
            .lines()
            .enumerate()
            .map(|(i, l)| (i + 1, l.trim()))
            .filter(|(_, l)| !l.is_empty() && !l.starts_with('#'));
        let (line, header) = lines.next().unwrap_or((1, ""));
        let names: Vec<&str> = header.split(',').map(str::trim).collect();
        let factor = match names[..] {
            ["elongation_pct", "force_n_per_mm"] => 1.0,
            ["elongation_pct", "stress_mpa"] => thickness,
            _ => {
                let found = format!("the header `{header}`");
                let expected = "`elongation_pct,force_n_per_mm` or `elongation_pct,stress_mpa`";
                return Err(fault(line, found, expected, Hint::NameColumns));
            }
        };
        let (mut lambdas, mut tensions) = (vec![1.0], vec![0.0]);
        let mut last_line = line;
        for (line, row) in lines {
            last_line = line;
            let cells: Vec<&str> = row.split(',').map(str::trim).collect();
            let numbers: Option<Vec<f64>> = cells.iter().map(|c| c.parse().ok()).collect();
            let (elongation, load) = match numbers.as_deref() {
                Some(&[a, b]) if a.is_finite() && b.is_finite() => (a, b),
                _ => {
                    let found = format!("`{row}`");
                    return Err(fault(line, found, "two numbers", Hint::CurveRow));
                }
            };
            let (lambda, tension) = (1.0 + elongation / 100.0, load * factor);
            let (before, held) = (lambdas[lambdas.len() - 1], tensions[tensions.len() - 1]);
            if lambdas.len() == 1 && elongation.abs() <= 0.0 && load.abs() <= 0.0 {
                continue;
            }
            if !(lambda > before && tension > held) {
                let found = format!("`{row}` after a row it does not rise from");
                let expected = "a row that is larger than the one before in both columns";
                return Err(fault(line, found, expected, Hint::CutCurve));
            }
            lambdas.push(lambda);
            tensions.push(tension);
        }
        if lambdas.len() < 2 {
            let found = "no row above nothing".to_owned();
            let expected = "at least one elongation with its force";
            return Err(fault(last_line, found, expected, Hint::ReadOften));
        }
        Ok(Self::new(lambdas, tensions))
    }

    /// Rows from (1, 0) on, rising in both.
    fn new(lambdas: Vec<f64>, tensions: Vec<f64>) -> Self {
        let mut integrals = vec![0.0];
        for i in 1..lambdas.len() {
            let slope = (tensions[i] - tensions[i - 1]) / (lambdas[i] - lambdas[i - 1]);
            integrals.push(integrals[i - 1] + slope * (lambdas[i] / lambdas[i - 1]).ln());
        }
        Self {
            lambdas,
            tensions,
            integrals,
        }
    }

    /// Largest elongation of the test, a plain ratio: beyond it the curve only goes on
    /// straight.
    pub fn tested_to(&self) -> f64 {
        self.lambdas[self.lambdas.len() - 1] - 1.0
    }

    /// The row whose piece holds a tension.
    fn row_below(&self, tension: f64) -> usize {
        let after = self.tensions.partition_point(|&t| t <= tension);
        after.clamp(1, self.tensions.len() - 1) - 1
    }

    /// Slope of the piece that starts at a row, N/mm.
    fn slope(&self, i: usize) -> f64 {
        (self.tensions[i + 1] - self.tensions[i]) / (self.lambdas[i + 1] - self.lambdas[i])
    }

    fn tension(&self, lambda: f64) -> f64 {
        let after = self.lambdas.partition_point(|&l| l <= lambda);
        let i = after.clamp(1, self.lambdas.len() - 1) - 1;
        (self.tensions[i] + self.slope(i) * (lambda - self.lambdas[i])).max(0.0)
    }

    fn energy(&self, lambda: f64) -> f64 {
        let mut all = 0.0;
        for i in 0..self.lambdas.len() - 1 {
            let last = i + 2 == self.lambdas.len();
            let to = if last {
                lambda
            } else {
                lambda.min(self.lambdas[i + 1])
            };
            let e = (to - self.lambdas[i]).max(0.0);
            all += e * (self.tensions[i] + 0.5 * self.slope(i) * e);
        }
        all
    }

    fn lambda(&self, tension: f64) -> f64 {
        let i = self.row_below(tension);
        (self.lambdas[i] + (tension - self.tensions[i]) / self.slope(i)).max(1.0)
    }

    fn film_integral(&self, tension: f64) -> f64 {
        let i = self.row_below(tension);
        self.integrals[i] + self.slope(i) * (self.lambda(tension) / self.lambdas[i]).ln()
    }
}

impl FilmClass {
    /// Temperature of the softest row of the class's table, degC.
    pub fn softest_temperature(&self) -> Option<f64> {
        let rows = self.modulus.iter();
        let softest = rows.min_by(|a, b| a.modulus_mpa.value.total_cmp(&b.modulus_mpa.value));
        softest.map(|row| row.temperature_c)
    }

    /// Modulus of the film itself at a temperature, `MPa`: ln E linear between two rows.
    ///
    /// # Errors
    /// [`LawError::NoTable`], [`LawError::OutsideTable`].
    pub fn modulus_at(&self, celsius: f64) -> Result<f64, LawError> {
        let film = || self.name.clone();
        let (Some(first), Some(last)) = (self.modulus.first(), self.modulus.last()) else {
            return Err(LawError::NoTable {
                film: film(),
                asked: celsius,
            });
        };
        let (from, to) = (first.temperature_c, last.temperature_c);
        if !(from <= celsius && celsius <= to) {
            return Err(LawError::OutsideTable {
                film: film(),
                asked: celsius,
                from,
                to,
            });
        }
        let above = self.modulus.partition_point(|r| r.temperature_c <= celsius);
        let Some(b) = self.modulus.get(above) else {
            return Ok(last.modulus_mpa.value);
        };
        let a = &self.modulus[above - 1];
        let t = (celsius - a.temperature_c) / (b.temperature_c - a.temperature_c);
        Ok(a.modulus_mpa.value * (b.modulus_mpa.value / a.modulus_mpa.value).powf(t))
    }

    /// Stretch law of film and layers at a temperature, degC: every layer adds its G h and
    /// softens in proportion to the film.
    ///
    /// # Errors
    /// [`LawError::NoTable`], [`LawError::OutsideTable`].
    pub fn law_at(&self, celsius: f64) -> Result<StretchLaw, LawError> {
        let modulus = self.modulus_at(celsius)?;
        let softened = modulus / self.modulus[0].modulus_mpa.value;
        let own = modulus * self.thickness_um.value;
        let layer = |l: &Layer| l.modulus_mpa.value * softened * l.thickness_um.value;
        let layers: f64 = self.layers.iter().map(layer).sum();
        Ok(StretchLaw::NeoHookean((own + layers) / 3.0 / 1000.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    #[test]
    fn the_inverse_is_exact_to_rounding_from_0_to_300_percent() {
        // Reference: the law itself, there and back; 1e-15 relative is four units.
        let law = StretchLaw::NeoHookean(0.37);
        let mut e = 1e-14;
        while e < 3.0 {
            let (lambda, back) = (1.0 + e, law.lambda(law.tension(1.0 + e)));
            assert_relative_eq!(back, lambda, max_relative = 1e-15);
            e *= 1.07;
        }
        assert_eq!(law.lambda(-1.0).to_bits(), 1.0_f64.to_bits());
    }

    #[test]
    fn slope_and_integral_match_differences_of_the_law() {
        // Reference: central differences with a step of 1e-5, good to 1e-9.
        let curve = TensileCurve::new(vec![1.0, 1.1, 1.4], vec![0.0, 0.2, 0.3]);
        for law in [StretchLaw::NeoHookean(0.2), StretchLaw::Curve(curve)] {
            for n in [0.01, 0.11, 0.25, 0.4] {
                let h = 1e-5;
                let slope = (law.lambda(n + h) - law.lambda(n - h)) / (2.0 * h);
                assert_abs_diff_eq!(law.lambda_and_slope(n).1, slope, epsilon = 1e-7);
                let l = law.lambda(n);
                let pull = (law.energy(l + h) - law.energy(l - h)) / (2.0 * h);
                assert_abs_diff_eq!(pull, n, epsilon = 1e-8);
                let phi = (law.film_integral(n + h) - law.film_integral(n - h)) / (2.0 * h);
                assert_abs_diff_eq!(phi, 1.0 / law.lambda(n), epsilon = 1e-8);
            }
        }
    }

    #[test]
    fn modulus_between_rows_is_the_geometric_mean_half_way() {
        let film = crate::film::film_named("wrap-cast").unwrap();
        // Reference: 60 MPa at 20 and 32 MPa at 40 degC in the class's own table.
        for (celsius, modulus) in [(30.0, (60.0_f64 * 32.0).sqrt()), (100.0, 6.0)] {
            let found = film.modulus_at(celsius).unwrap();
            assert_relative_eq!(found, modulus, max_relative = 1e-14);
        }
        let beyond = film.modulus_at(101.0);
        assert!(matches!(beyond, Err(LawError::OutsideTable { .. })));
    }

    #[test]
    fn layers_add_their_stiffness_and_soften_with_the_film() {
        let film = crate::film::film_named("print-cast").unwrap();
        // Reference: by hand. At 60 degC the film has 26 of 90 MPa, so the overlaminate
        // 110 * 26/90; (26 * 55 + 110 * 26/90 * 35)/3000 N/mm.
        let k = (26.0 * 55.0 + 110.0 * 26.0 / 90.0 * 35.0) / 3000.0;
        assert_relative_eq!(film.law_at(60.0).unwrap().scale(), k, max_relative = 1e-14);
    }

    #[test]
    fn a_curve_is_read_and_a_row_that_falls_names_its_line() {
        let text = "# own test\nelongation_pct,stress_mpa\n0,0\n10,2\n30,3\n";
        let curve = TensileCurve::read("t.csv", text, 0.1).unwrap();
        let law = StretchLaw::Curve(curve);
        assert_relative_eq!(law.tension(1.2), 0.25, max_relative = 1e-12);
        assert_relative_eq!(law.lambda(0.25), 1.2, max_relative = 1e-12);
        let text = "elongation_pct,force_n_per_mm\n10,2\n20,2\n";
        let error = TensileCurve::read("t.csv", text, 0.1).unwrap_err();
        assert!(error.to_string().starts_with("t.csv:3: "), "{error}");
    }
}

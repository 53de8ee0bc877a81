//! One press on a scale: measured over computed, by which all forces of a class are multiplied.
//!
//! The trial piece stands on the scale with its film bridged and taped to it, and the scale is at
//! nought. What the film pulls stays inside of the piece: the scale reads what the tool pushes
//! down, at its most as the film comes to the bottom. That is the first press, its part square to
//! the panel:
//!
//! ```text
//! F = sqrt(F_press² - sideways²)      factor = mean(measured)/F, standard error sd/(F sqrt(n))
//! ```
//!
//! Left out of F, and so in the factor: film beside the tool, the adhesive, the pad's own give. It
//! holds for the tool and the film as warm as they were. Presses that scatter by more than
//! [`WIDE`] tell no factor one can rely on.

use super::least_squares::student;
use crate::advice::Check;
use crate::fault::{Fault, Refused};
use crate::outcome::{ForceNotice, Stage};
use crate::section::{number, quoted};
use serde::{Deserialize, Serialize};

/// 95 % error of a factor, part of it, from which it is wide: as much as an end's numbers are in
/// doubt by. Less refuses what a hand can do, more takes one press for another.
const WIDE: f64 = 0.25;
/// Weight of a kilogram, N.
const KILOGRAM: f64 = 9.806_65;

/// Units of a load, and what they are in newtons.
const UNITS: [(&str, f64); 5] = [
    ("kg", KILOGRAM),
    ("oz", 0.028_349_523_125 * KILOGRAM),
    ("lb", 0.453_592_37 * KILOGRAM),
    ("g", 0.001 * KILOGRAM),
    ("n", 1.0),
];

/// What presses on a scale say.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PressReport {
    /// As measured, N.
    pub measured_n: Vec<f64>,
    /// As computed, without a factor, N.
    pub computed_n: f64,
    /// Temperature of the film it was computed for, degC, where it is known.
    pub temperature_c: Option<f64>,
    /// Mean of measured over computed.
    pub factor: f64,
    /// Its standard error; none of one press.
    pub error: Option<f64>,
    /// From and to, 95 %; none of one press.
    pub between: Option<[f64; 2]>,
    /// Is that too wide to be relied on?
    pub wide: bool,
    /// The factor that the class has now.
    pub factor_before: Option<f64>,
}

/// Why presses say nothing.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum PressError {
    /// The order has no first press in the open.
    NoPress,
    /// Nothing pulls at the first press.
    NoForce,
    /// No force was computed.
    NotComputed(Option<ForceNotice>),
}

/// Reads loads as typed, `1.2 kg` or `11.8 N`, as newtons.
///
/// # Errors
/// Every load that is no number with a unit, or not above nought; `name`: what they are called.
pub fn read_loads(name: &str, typed: &[String]) -> Result<Vec<f64>, Refused> {
    let (mut loads, mut faults) = (Vec::new(), Vec::new());
    for (k, text) in typed.iter().enumerate() {
        match load(text) {
            Ok(newtons) => loads.push(newtons),
            Err(fault) => faults.push(fault.placed((typed.len() > 1).then_some(k + 1))),
        }
    }
    Refused::unless(name, faults, loads)
}

fn load(text: &str) -> Result<f64, Fault> {
    let lower = text.trim().to_ascii_lowercase();
    let unit = UNITS
        .iter()
        .find_map(|(unit, n)| Some((lower.strip_suffix(unit)?, n)));
    let Some((value, newtons)) = unit else {
        let expected = "a load with its unit, as in `1.2 kg`, `850 g` or `11.8 N`";
        return Err(Fault::whole(quoted(text), expected));
    };
    let read = number(value).map_err(|no| no.fault(quoted(text)))?;
    if read.value > 0.0 {
        Ok(read.value * newtons)
    } else {
        Err(Fault::whole(quoted(text), "a load above 0"))
    }
}

/// Judges presses of a lay-down.
///
/// # Arguments
/// * `check`: the lay-down, pressed as the pieces were.
/// * `measured`: loads, N, one at least.
///
/// # Errors
/// [`PressError`].
pub fn judge_press(check: &Check, measured: &[f64]) -> Result<PressReport, PressError> {
    let force = check.force.as_ref().ok_or(PressError::NotComputed(None))?;
    if let Some(why) = &force.not_computed {
        return Err(PressError::NotComputed(Some(why.0.clone())));
    }
    let press = force.stages.iter().find(|s| s.stage == Stage::Pressed);
    let press = press.ok_or(PressError::NoPress)?;
    let factor_before = force.measured_factor;
    let sideways = force.sideways_n.unwrap_or(0.0);
    let down = (press.force_n.powi(2) - sideways.powi(2)).max(0.0).sqrt();
    let computed_n = down / factor_before.unwrap_or(1.0);
    #[expect(clippy::cast_precision_loss, reason = "some presses")]
    let count = measured.len() as f64;
    let factor = measured.iter().sum::<f64>() / count / computed_n;
    if !(factor.is_finite() && factor > 0.0) {
        return Err(PressError::NoForce);
    }
    let free = measured.len() - 1;
    let off = measured.iter().map(|n| (n / computed_n - factor).powi(2));
    let error = (free > 0).then(|| (off.sum::<f64>() / (count - 1.0) / count).sqrt());
    let reach = error.map(|error| student(free) * error);
    Ok(PressReport {
        measured_n: measured.to_vec(),
        computed_n,
        temperature_c: force.temperature_c,
        factor,
        error,
        between: reach.map(|reach| [(factor - reach).max(0.0), factor + reach]),
        wide: reach.is_some_and(|reach| reach > WIDE * factor),
        factor_before,
    })
}

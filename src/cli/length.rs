//! Lengths of options: with their unit, or bare in `--units`.

use anyhow::Result;
use std::str::FromStr;
use tautspan::Units;
use tautspan::fault::{Fault, Refused};
use tautspan::section::{read_length, read_lengths};

/// A length as it was typed; what a bare number is in is known when all options are.
#[derive(Debug, Clone)]
pub(crate) struct TypedLength(String);

impl FromStr for TypedLength {
    type Err = Fault;

    fn from_str(text: &str) -> Result<Self, Fault> {
        // Inches allow all there is; what they alone allow is refused with the units known.
        read_length(text, Units::Inch).map(|_| Self(text.to_owned()))
    }
}

impl TypedLength {
    /// The length, mm; `option` is what messages call it.
    pub(crate) fn mm(&self, option: &str, units: Units) -> Result<f64> {
        let refused = |fault| Refused {
            name: option.to_owned(),
            faults: vec![fault],
        };
        Ok(read_length(&self.0, units).map_err(refused)?)
    }
}

/// The length given, or else the usual one, mm.
pub(crate) fn given_or(
    given: Option<&TypedLength>,
    usual: f64,
    option: &str,
    units: Units,
) -> Result<f64> {
    given.map_or(Ok(usual), |length| length.mm(option, units))
}

/// A length that may have been left out, mm.
pub(crate) fn given(
    given: Option<&TypedLength>,
    option: &str,
    units: Units,
) -> Result<Option<f64>> {
    given.map(|length| length.mm(option, units)).transpose()
}

/// Several lengths as they were typed: `10,20,30` or `10; 12,5; 3cm`.
#[derive(Debug, Clone)]
pub(crate) struct TypedLengths(String);

impl FromStr for TypedLengths {
    type Err = std::convert::Infallible;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        Ok(Self(text.to_owned()))
    }
}

impl TypedLengths {
    /// The lengths, mm.
    pub(crate) fn mm(&self, option: &str, units: Units) -> Result<Vec<f64>> {
        Ok(read_lengths(option, &self.0, units)?)
    }
}

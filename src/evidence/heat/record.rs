//! A record of infrared readings, as it was read and as it grows.

use super::notice::HeatNotice;
use super::time::Time;
use serde::Serialize;
use std::collections::BTreeSet;

/// One reading of a record.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reading {
    /// Its line in the file.
    pub at: usize,
    /// Its running number.
    pub no: u64,
    /// Where along the recess, mm from its left end.
    pub place_mm: f64,
    /// Along which line: `floor`, `left-lip`, `right-lip`; empty where the record says none.
    pub line: String,
    /// What the instrument showed, degC.
    pub reading_c: f64,
    /// The emissivity that the instrument was set to.
    pub emissivity_set: f64,
    /// What the film mirrored, degC.
    pub surroundings_c: f64,
    /// When.
    pub time: Time,
    /// The number of the reading that it replaces.
    pub corrects: Option<u64>,
    /// What was noted beside it.
    pub note: String,
}

/// A record without faults.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// What messages call it.
    pub name: String,
    /// Every reading in the order of the file, those that were replaced among them.
    pub readings: Vec<Reading>,
    /// What was seen on the way.
    pub notices: Vec<HeatNotice>,
}

impl Record {
    /// The readings that no later one replaces.
    pub fn standing(&self) -> impl Iterator<Item = &Reading> {
        let replaced: BTreeSet<u64> = self.readings.iter().filter_map(|r| r.corrects).collect();
        (self.readings.iter()).filter(move |reading| !replaced.contains(&reading.no))
    }
}

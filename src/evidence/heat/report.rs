//! The judged record, as data.

use super::notice::HeatNotice;
use super::time::Time;
use crate::advice::Invented;
use crate::film::Number;
use crate::told::Told;
use serde::Serialize;

/// What is to be known beside the readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeatAsked {
    /// Length of the recess, mm; unsaid: its ends are not judged.
    pub length: Option<f64>,
    /// Furthest that two readings may be apart, mm; 150 if unsaid.
    pub spacing: Option<f64>,
    /// The instrument.
    pub instrument: Option<String>,
    /// How far it may be off, degC; 2 if unsaid.
    pub error: Option<f64>,
    /// The film's emissivity, in place of the class's.
    pub emissivity: Option<f64>,
    /// Lines that must have been read, beside those that the record names.
    pub lines: Vec<String>,
    /// The lot of film.
    pub lot: Option<String>,
    /// Who took the readings.
    pub by: Option<String>,
}

/// What a reading says of its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum HeatVerdict {
    /// It was at least as hot as it had to be, by more than the instrument's error, and not too hot.
    Reached,
    /// It was as hot, but by less than the instrument's error.
    WithinError,
    /// It was not as hot.
    TooCold,
    /// It was hotter than it may be, or may have been by the instrument's error.
    TooHot,
    /// The class has no least temperature, or no emissivity to correct by.
    NotJudged,
}

/// One place, by the hottest of its readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatPlace {
    /// mm from the left end.
    pub place_mm: f64,
    /// Number of the hottest reading.
    pub no: u64,
    /// How many readings stand there.
    pub readings: usize,
    /// What the instrument showed, degC.
    pub reading_c: f64,
    /// The emissivity that it was set to.
    pub emissivity_set: f64,
    /// What the film mirrored, degC.
    pub surroundings_c: f64,
    /// When.
    pub time: Time,
    /// The film's temperature, degC; none if its emissivity is not known, or the surroundings send more
    /// than was read.
    pub corrected_c: Option<f64>,
    /// The least that it can have been by the instrument's error, degC.
    pub least_c: Option<f64>,
    /// The most, degC.
    pub most_c: Option<f64>,
    /// What follows.
    pub verdict: HeatVerdict,
    /// What was noted.
    pub note: String,
}

/// Which stretch has no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum GapKind {
    /// Between two readings.
    Between,
    /// At the left end.
    LeftEnd,
    /// At the right end.
    RightEnd,
    /// All of it.
    Whole,
}

/// A stretch without a reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatGap {
    /// Its left end, mm.
    pub from_mm: f64,
    /// Its right end, mm.
    pub to_mm: f64,
    /// Where it is.
    pub at: GapKind,
}

/// The readings along one line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatLine {
    /// `floor`, `left-lip`, ..; empty where the record says none.
    pub line: String,
    /// Its places, left to right.
    pub places: Vec<HeatPlace>,
    /// Its gaps, left to right.
    pub gaps: Vec<HeatGap>,
}

impl HeatLine {
    /// Was it hot enough, and nowhere too hot, all along?
    pub fn passes(&self) -> bool {
        let reached = |p: &HeatPlace| p.verdict == HeatVerdict::Reached;
        self.gaps.is_empty() && self.places.iter().all(reached)
    }
}

/// A record, judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatReport {
    /// [`SCHEMA`](crate::advice::SCHEMA).
    pub schema: u32,
    /// [`PROGRAM`](crate::advice::PROGRAM).
    pub program: String,
    /// The record.
    pub record: String,
    /// Was the film hot enough, and nowhere too hot, at every place and without a gap?
    pub passes: bool,
    /// The class.
    pub film: String,
    /// Least temperature of the film, degC.
    pub post_heat_min_c: Option<Number>,
    /// Most, degC.
    pub post_heat_max_c: Option<Number>,
    /// The emissivity that readings are corrected by.
    pub emissivity: Option<f64>,
    /// Where it is from; none if it was said.
    pub emissivity_source: Option<String>,
    /// The instrument.
    pub instrument: Option<String>,
    /// How far it may be off, degC.
    pub instrument_error_c: f64,
    /// The lot of film.
    pub lot: Option<String>,
    /// Who took the readings.
    pub by: Option<String>,
    /// Time of the earliest reading.
    pub first: Time,
    /// Time of the latest.
    pub last: Time,
    /// Length of the recess, mm.
    pub length_mm: Option<f64>,
    /// Furthest that two readings may be apart, mm.
    pub spacing_mm: f64,
    /// How many readings stand.
    pub readings: usize,
    /// The lines, those of the record in its order.
    pub lines: Vec<HeatLine>,
    /// What was seen.
    pub warnings: Vec<Told<HeatNotice>>,
    /// What was taken.
    pub assumptions: Vec<Told<HeatNotice>>,
    /// Numbers that decide and are invented.
    pub invented: Vec<Told<Invented>>,
}

impl HeatReport {
    /// Every place.
    pub fn places(&self) -> impl Iterator<Item = &HeatPlace> + Clone {
        self.lines.iter().flat_map(|line| &line.places)
    }

    /// How many places have a verdict.
    pub fn count(&self, verdict: HeatVerdict) -> usize {
        self.places()
            .filter(|place| place.verdict == verdict)
            .count()
    }

    /// How many gaps there are.
    pub fn gaps(&self) -> usize {
        self.lines.iter().map(|line| line.gaps.len()).sum()
    }

    /// Can it be judged: are the least temperature and the emissivity known?
    pub fn judged(&self) -> bool {
        self.post_heat_min_c.is_some() && self.emissivity.is_some()
    }
}

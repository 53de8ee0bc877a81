//! Readings taken as a section: level, without slips, and fitted where they are noisy.

use super::Section;
use super::kind::Survey;
use super::notice::SectionNotice;
use super::valley::see;
use crate::fault::{Bit, Fault, Hint, Phrase, Refused};
use crate::geometry::{Point, Polyline, Vector};
use crate::survey::{Reading, read_survey};
use std::sync::Arc;

/// Part of the readings that may be slips; with more it is not the readings that are off.
const MOST_SLIPS: f64 = 0.03;
/// Tilt from which it is worth a word, degrees.
pub(crate) const TILT_SAID: f64 = 0.5;
/// Tilt up to which a clean survey is read as it lies, degrees: where landmarks are sought a wall begins
/// at 10.
const MOST_TILT: f64 = 8.0;
/// Way of a squared wall from which it is worth a word, mm.
pub(crate) const SQUARED_SAID: f64 = 0.05;
/// How far a fitted wall may run back and be squared off, in deviations of a reading and in
/// mm, the larger of the two: more is an undercut and no noise.
const MOST_SQUARED: (f64, f64) = (6.0, 0.5);

impl Section {
    /// Takes readings, with the place of each, as a section: see [`crate::survey`]. Clean
    /// readings stay as they are.
    ///
    /// # Errors
    /// As [`Section::new`]; also readings too rough to say what they were taken from.
    pub(super) fn surveyed(
        name: &str,
        placed: Vec<(usize, Point)>,
        faults: Vec<Fault>,
        last_digit: Option<f64>,
    ) -> Result<Self, Refused> {
        let legal = (placed.iter()).all(|(_, p)| p.x.is_finite() && p.y.is_finite());
        let ends = placed.first().zip(placed.last());
        let leftwards = ends.is_some_and(|(a, b)| b.1.x <= a.1.x);
        if !faults.is_empty() || !legal || leftwards || placed.len() < 3 {
            return Self::from_placed(name, placed, faults);
        }
        let points: Vec<Point> = placed.iter().map(|&(_, p)| p).collect();
        let last_digit = last_digit.unwrap_or_else(|| super::raw::last_digit_of(&points));
        let reading = read_survey(&points, last_digit, &flats_slope);
        drop(points);
        let refused = faults_of(&reading);
        if !refused.is_empty() {
            return Err(Refused::new(name, refused));
        }
        let untouched = !reading.fitted && !reading.turned && reading.slips.is_empty();
        let read = || (1..).zip(reading.points.iter().copied()).collect();
        let placed = if untouched { placed } else { read() };
        let mut section = Self::from_placed(name, placed, faults)?;
        section.warnings.extend(made_of(&reading));
        section.last_digit = last_digit;
        section.reading = Some(Arc::new(reading));
        Ok(section)
    }

    /// The section level, where its survey is so far askew that flats would be taken for walls.
    #[must_use]
    pub fn levelled(self) -> Self {
        let askew = |r: &&Arc<Reading>| !r.turned && r.turned_deg.abs() > MOST_TILT;
        let Some(reading) = self.reading.as_ref().filter(askew) else {
            return self;
        };
        let about = Point::from(reading.turned_about_mm);
        let (sin, cos) = reading.turned_deg.to_radians().sin_cos();
        let level = |p: &Point| {
            let v = p - about;
            about + Vector::new(cos * v.x + sin * v.y, cos * v.y - sin * v.x)
        };
        let points: Vec<Point> = self.line.points().iter().map(level).collect();
        if points.windows(2).any(|w| w[1].x < w[0].x) {
            return self;
        }
        let reading = reading.levelled(points.clone());
        let mut warnings = self.warnings.clone();
        for warning in &mut warnings {
            if let SectionNotice::Tilted { turned, .. } = warning {
                *turned = true;
            }
        }
        Self {
            line: Polyline::new(points, 0.0),
            warnings,
            reading: Some(Arc::new(reading)),
            ..self
        }
    }

    /// What was made of the readings, in the order it was done.
    pub fn done(&self) -> Vec<SectionNotice> {
        self.reading().map_or_else(Vec::new, made_of)
    }

    /// What was made of the readings it was typed or scanned as; none for a shape.
    pub fn reading(&self) -> Option<&Reading> {
        self.reading.as_deref()
    }
}

/// What was made of the readings, in the order it was done; nothing for a clean, level survey.
fn made_of(reading: &Reading) -> Vec<SectionNotice> {
    let mut all = Vec::new();
    if reading.turned_deg.abs() >= TILT_SAID {
        all.push(SectionNotice::Tilted {
            deg: reading.turned_deg,
            turned: reading.turned,
        });
    }
    if !reading.slips.is_empty() {
        all.push(SectionNotice::Slips {
            all: reading.slips.iter().map(|s| (s.place, s.off_mm)).collect(),
        });
    }
    if reading.fitted {
        all.push(SectionNotice::Fitted {
            noise_mm: reading.noise_mm,
            noise_over_mm: reading.noise_over_mm,
            pieces: reading.pieces,
            rounded: reading.rounded.len(),
            readings: reading.raw.len() - reading.slips.len(),
        });
    }
    if reading.squared_mm >= SQUARED_SAID {
        all.push(SectionNotice::Squared {
            mm: reading.squared_mm,
        });
    }
    all
}

/// Tilt of a chain by the flats beside its recess, rad, read with the usual gauge tolerance.
fn flats_slope(points: &[Point]) -> Option<f64> {
    if points.len() < 3 {
        return None;
    }
    let line = Polyline::new(points.to_vec(), 0.0);
    let seen = see(&line, Survey::default().gauge_tolerance);
    (!seen.valleys.is_empty()).then_some(seen.turn)
}

/// Why readings are too rough to say what they were taken from.
fn faults_of(reading: &Reading) -> Vec<Fault> {
    let mut faults = Vec::new();
    let readings = reading.raw.len();
    if reading.slips.len() as f64 > MOST_SLIPS * readings as f64 {
        let found = format!(
            "{} of {readings} readings that stand off by more than their neighbours err",
            reading.slips.len()
        );
        let fault = Fault::whole(found, "a survey with few slips");
        faults.push(fault.hint(Hint::CleanAndRepeat));
    }
    let most = (MOST_SQUARED.0 * reading.noise_mm).max(MOST_SQUARED.1);
    if reading.squared_mm > most {
        let by = Bit::Length(reading.squared_mm);
        let found = ["x that runs back by up to ".into(), by];
        faults.push(Fault::whole(found, "x that never falls").hint(Hint::SquareOff));
    }
    if reading.roughness.as_ref().is_some_and(|r| r.too_rough) {
        let by = Bit::Length(reading.noise_mm);
        let mut found = vec!["readings that err by ".into(), by];
        if reading.noise_over_mm > 0.0 {
            let over = Bit::Length(reading.noise_over_mm);
            found.extend([", neighbours alike over ".into(), over, ",".into()]);
        }
        found.push(" and leave more open than that explains".into());
        let fault = Fault::whole(Phrase(found), "a smoother survey");
        faults.push(fault.hint(Hint::Smoother));
    }
    faults
}

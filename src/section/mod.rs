//! The section of a recess: read, checked, measured, and the taut film over it.

mod header;
mod kind;
mod landmarks;
mod length;
mod lines;
mod list;
mod notice;
mod number;
mod pasted;
mod pocket;
mod points;
mod prolong;
mod raw;
mod read;
mod rule;
mod sampled;
mod shape;
mod surveyed;
mod tape;
mod typed;
mod valley;

pub(crate) use header::unit_of;
pub use kind::{Kind, RecessError, Side, Survey, Zone};
pub use landmarks::{Landmark, Mark, Recess};
pub use length::read_length;
pub(crate) use length::{Unit, length};
pub(crate) use lines::{Line, Lines};
pub use list::read_lengths;
pub use notice::SectionNotice;
pub use number::read_number;
pub(crate) use number::{Marks, number, quoted, slip, spelled};
pub use pasted::read_pasted;
pub use points::{read_comb, read_points};
pub use raw::Typing;
pub use read::{read_csv, read_csv_as, write_csv};
pub use shape::read_shape;
pub(crate) use surveyed::{SQUARED_SAID, TILT_SAID};
pub use tape::{Further, Member, MemberShape, Narrower, TapeFamily, read_tape};
pub(crate) use typed::{Least, Typed};

use crate::fault::{Bit, Fault, Hint, Refused};
use crate::geometry::{Point, Polyline, first_crossing, sort_by_number};
use crate::survey::Reading;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Longest section that is accepted, mm.
pub const LONGEST: f64 = 100_000.0;
/// Most points that are accepted.
pub const MOST_POINTS: usize = 1_000_000;

/// Units of what a person types; inside, and in JSON, all is mm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Units {
    /// Millimetres
    #[default]
    Mm,
    /// Centimetres; what is said back is in millimetres
    Cm,
    /// Inches
    #[serde(rename = "in")]
    #[cfg_attr(feature = "cli", value(name = "in"))]
    Inch,
}

impl Units {
    /// Millimetres in one unit.
    pub fn in_mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::Inch => 25.4,
        }
    }
}

/// A surveyed cross-section, left to right, solid below and film above.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    name: String,
    line: Polyline,
    warnings: Vec<SectionNotice>,
    last_digit: f64,
    reading: Option<Arc<Reading>>,
}

impl Section {
    /// Checks a chain of points, mm, and takes it as a section.
    ///
    /// Repeated points are dropped with a warning. Vertical walls are legal.
    ///
    /// # Errors
    /// [`Refused`] with every fault found, each with the number of its point
    /// (counted from 1): a coordinate that is not finite, fewer than three points,
    /// listed right to left, x running back, crossing itself, longer than [`LONGEST`],
    /// more than [`MOST_POINTS`].
    pub fn new(name: &str, points: &[Point]) -> Result<Self, Refused> {
        Self::from_placed(
            name,
            (1..).zip(points.iter().copied()).collect(),
            Vec::new(),
        )
    }

    /// As [`Section::new`], with the place (line or number) of each point, and with the
    /// faults a reader has found already.
    pub(crate) fn from_placed(
        name: &str,
        mut kept: Vec<(usize, Point)>,
        mut faults: Vec<Fault>,
    ) -> Result<Self, Refused> {
        let mut warnings = Vec::new();
        let (mut repeated, mut first, mut last) = (0, 0, None);
        kept.retain(|&(place, p)| {
            if !(p.x.is_finite() && p.y.is_finite()) {
                let [x, y] = [p.x, p.y].map(Bit::Number);
                let found = ["the point (".into(), x, ", ".into(), y, ")".into()];
                faults.push(Fault::at(place, found, "finite coordinates"));
                return false;
            }
            if last.is_some_and(|q: Point| (q - p).norm() <= 1e-9) {
                repeated += 1;
                first = if repeated == 1 { place } else { first };
                return false;
            }
            last = Some(p);
            true
        });
        if repeated > 0 {
            warnings.push(SectionNotice::Repeated {
                count: repeated,
                first,
            });
        }
        faults.extend(faults_of_chain(&kept, faults.is_empty()));
        if faults.is_empty() {
            let points: Vec<Point> = kept.into_iter().map(|(_, p)| p).collect();
            Ok(Self {
                name: name.to_owned(),
                last_digit: raw::last_digit_of(&points),
                line: Polyline::new(points, 0.0),
                warnings,
                reading: None,
            })
        } else {
            sort_by_number(&mut faults, |f| {
                f.at.place.map_or(f64::INFINITY, |k| k as f64)
            });
            Err(Refused::new(name, faults))
        }
    }

    /// Name for headings and file names.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The surveyed points with their arc lengths, mm from the left end.
    pub fn line(&self) -> &Polyline {
        &self.line
    }

    /// What was mended on reading, in words.
    pub fn warnings(&self) -> &[SectionNotice] {
        &self.warnings
    }

    /// The same section with its points elsewhere, the order turned round if `reversed`.
    fn moved(&self, reversed: bool, to: impl Fn(&Point) -> Point) -> Self {
        let mut points: Vec<Point> = self.line.points().iter().map(to).collect();
        if reversed {
            points.reverse();
        }
        Self {
            line: Polyline::new(points, 0.0),
            ..self.clone()
        }
    }

    /// The same section under another name.
    #[must_use]
    pub fn named(mut self, name: &str) -> Self {
        name.clone_into(&mut self.name);
        self
    }
}

/// Faults of the chain as a whole. `complete`: no point was lost to an earlier fault, so
/// that a short chain is worth a line of its own.
fn faults_of_chain(kept: &[(usize, Point)], complete: bool) -> Vec<Fault> {
    let mut faults = Vec::new();
    if kept.len() < 3 {
        if complete {
            let found = format!("{} different points", kept.len());
            faults.push(Fault::whole(found, "at least three"));
        }
        return faults;
    }
    if kept.len() > MOST_POINTS {
        let (found, most) = (
            format!("{} points", kept.len()),
            format!("at most {MOST_POINTS}"),
        );
        faults.push(Fault::whole(found, most).hint(Hint::ThinOut));
        return faults;
    }
    let length: f64 = kept.windows(2).map(|w| (w[1].1 - w[0].1).norm()).sum();
    if length > LONGEST {
        let found = ["a section ".into(), Bit::Length(length), " long".into()];
        faults.push(Fault::whole(found, "at most 100 m").hint(Hint::CheckUnits));
    }
    let back = kept.windows(2).filter(|w| w[1].1.x < w[0].1.x).count();
    if back == kept.len() - 1 || (back > 0 && kept.windows(2).all(|w| w[1].1.x <= w[0].1.x)) {
        let found = "points that run from right to left";
        faults.push(Fault::at(kept[0].0, found, "left to right").hint(Hint::TurnRound));
        return faults;
    }
    let backwards = kept.windows(2).filter(|w| w[1].1.x < w[0].1.x);
    for w in backwards.take(raw::MOST_FAULTS) {
        let (from, to) = (Bit::Exact(w[0].1.x), Bit::Exact(w[1].1.x));
        let found = ["x that runs back from ".into(), from, " to ".into(), to];
        faults.push(Fault::at(w[1].0, found, "x that never falls").hint(Hint::SquareOff));
    }
    // A vertical wall may go one way only: up and down again on one x is a crossing.
    for w in kept.windows(3) {
        let (a, b) = (w[1].1 - w[0].1, w[2].1 - w[1].1);
        if a.x.abs() < 1e-12 && b.x.abs() < 1e-12 && a.y * b.y < 0.0 {
            let found = "a section that runs back along itself";
            let expected = "a chain that does not cross or overlap itself";
            faults.push(Fault::at(w[2].0, found, expected));
        }
    }
    // With so many faults a crossing is no news, and on a million points a search for it long.
    if back > 0 && back < raw::MOST_FAULTS {
        let points: Vec<Point> = kept.iter().map(|&(_, p)| p).collect();
        if let Some((i, j)) = first_crossing(&points) {
            let (start, end) = (kept[i].0, kept[j].0);
            let found = format!("a section that crosses its own stretch that starts at {start}");
            faults.push(Fault::at(end, found, "a chain that does not cross itself"));
        }
    }
    faults
}

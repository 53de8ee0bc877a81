//! What is seen in a section, as data: what `section --json` prints.

use super::answer::{Notice, PROGRAM, PlainRule, SCHEMA};
use super::job::told;
use crate::section::{Kind, Landmark, Recess, SectionNotice};
use crate::survey::Reading;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// What is seen in a section; of one that was refused, its faults.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct SectionSeen {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// Name of the section.
    pub name: String,
    /// Channel or step.
    pub kind: Option<Kind>,
    /// Taut length lip to lip (channel) or lip to foot (step), mm.
    pub mouth_mm: Option<f64>,
    /// Largest distance below the mouth line, or level difference of a step, mm.
    pub depth_mm: Option<f64>,
    /// The surveyed points `[x, y]`, mm, left to right.
    pub points: Vec<[f64; 2]>,
    /// What was made of the readings; none for a shape and for tape readings.
    pub reading: Option<Reading>,
    /// Tilt of the flats against the section's x, degrees, positive where they rise to the
    /// right.
    pub tilt_deg: Option<f64>,
    /// Lips, feet, press and ends.
    pub landmarks: Vec<Landmark>,
    /// Why it was refused; empty otherwise.
    pub faults: Vec<SectionFault>,
    /// The plain rule, without a film.
    pub plain_rule: Option<PlainRule>,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<SectionNotice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
}

/// One fault of a section that was refused.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SectionFault {
    /// Line of the file, or number of the point; `None` for the section as a whole.
    pub line: Option<usize>,
    /// Key or column that it is about, if it is about one.
    pub key: Option<String>,
    /// What was found, with its number and unit.
    pub found: String,
    /// What was expected instead.
    pub expected: String,
    /// One thing to try, if one is known.
    pub hint: Option<String>,
}

impl SectionSeen {
    /// What is seen in a recess, with what the caller assumed.
    pub fn of(recess: &Recess, assumptions: Vec<Notice>) -> Self {
        let points = recess.section().line().points();
        Self {
            schema: SCHEMA,
            program: PROGRAM.to_owned(),
            name: recess.section().name().to_owned(),
            kind: Some(recess.kind()),
            mouth_mm: Some(recess.mouth()),
            depth_mm: Some(recess.depth()),
            points: points.iter().map(|p| [p.x, p.y]).collect(),
            reading: recess.section().reading().cloned(),
            tilt_deg: Some(recess.turn().to_degrees()),
            landmarks: recess.landmarks(),
            faults: Vec::new(),
            plain_rule: Some(PlainRule {
                extra_mm: recess.extra(),
                least_bridge_mm: None,
            }),
            warnings: told(recess.warnings().to_vec()),
            assumptions: told(assumptions),
        }
    }

    /// A section that was refused.
    pub fn refused(name: &str, faults: Vec<SectionFault>) -> Self {
        Self {
            schema: SCHEMA,
            program: PROGRAM.to_owned(),
            name: name.to_owned(),
            faults,
            ..Self::default()
        }
    }
}

//! What was done to the readings: in words, and raw against read as a picture.

use super::ask::Request;
use super::failure::{Failure, bounded};
use crate::figure::inline_reading;
use crate::section::{Recess, SectionNotice};
use crate::told::Told;
use serde::Serialize;

/// Width of the picture unless asked otherwise, ems.
const WIDTH: f64 = 40.0;
/// Widest picture, ems.
const WIDEST: f64 = 1000.0;

/// What was done to the readings.
#[derive(Debug, Serialize)]
pub(super) struct Readings {
    /// A sentence for each thing that was done.
    done: Vec<Told<SectionNotice>>,
    /// Raw against read; none where the section is its readings.
    picture: Option<ReadingPicture>,
}

/// Raw against read.
#[derive(Debug, Serialize)]
struct ReadingPicture {
    /// The answer.
    title: String,
    /// What its marks are.
    note: String,
    /// The drawing as SVG, with title and description, in the page's own colours.
    svg: String,
}

/// What was done to the readings of a section; nothing to a shape and to a clean, level survey.
pub(super) fn readings(recess: &Recess, request: &Request) -> Result<Readings, Failure> {
    let width = bounded(
        "width_em",
        request.width_em.unwrap_or(WIDTH),
        WIDEST,
        &request.question,
    )?;
    let Some(reading) = recess.section().reading() else {
        return Ok(Readings {
            done: Vec::new(),
            picture: None,
        });
    };
    let changed = reading.fitted || reading.turned || !reading.slips.is_empty();
    let picture = changed.then(|| {
        let drawn = inline_reading(recess, width, request.question.print_units());
        ReadingPicture {
            title: drawn.title,
            note: drawn.note,
            svg: drawn.svg,
        }
    });
    Ok(Readings {
        done: recess.section().done().into_iter().map(Told).collect(),
        picture,
    })
}

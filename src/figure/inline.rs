//! A picture within the page: SVG whose colours are the page's own, light or dark, and whose
//! text is in its font.
//!
//! The page gives the width in ems of its text; a unit of the picture is a twenty-fifth of
//! an em, so that the body text is as large as the page's. Title and note are left to the
//! page, which sets them as paragraphs.

use super::canvas::Type;
use super::end::EndLook;
use super::end_above;
use super::reading;
use super::reading_words as said;
use super::sight::Sight;
use crate::draw::{Opening, Style};
use crate::say::{Voice, sentence};
use crate::section::{Recess, Units};

/// Narrowest and widest picture, ems. Narrower: its labels have no room; wider: nobody asks.
const WIDTH: [f64; 2] = [16.0, 120.0];
/// Width below which only the recess is seen, ems: that of a phone held upright. Narrower:
/// labels of a long survey crowd; wider: less of it is seen than there is room for.
const NARROW: f64 = 32.0;
/// Tallest picture, ems: section and strip together on one screen of a laptop.
const TALLEST: f64 = 28.0;

/// A picture for the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Inline {
    /// The answer.
    pub(crate) title: String,
    /// What its marks are.
    pub(crate) note: String,
    /// The drawing, with title and description.
    pub(crate) svg: String,
}

/// Draws raw against read, `width` ems wide.
pub(crate) fn inline_reading(recess: &Recess, width: f64, units: Units) -> Inline {
    let voice = Voice::picture(units);
    let sight = if width < NARROW {
        Sight::near(recess)
    } else {
        Sight::of(recess)
    };
    let em = Type::Body.em();
    let size = [width.clamp(WIDTH[0], WIDTH[1]) * em, TALLEST * em];
    let canvas = reading::draw_alone(recess, &sight, voice, size);
    let title = said::answer(recess, voice);
    let opening = Opening {
        stated: None,
        name: "read",
        view: [canvas.width, canvas.height],
        title: &title,
        described: &said::described(recess, voice),
    };
    let svg = canvas.scene.svg(&opening, Style::Page);
    Inline {
        title,
        note: format!(
            "{}. {}",
            sentence(&said::second_line(recess, &sight, voice)),
            said::note(recess, &sight, voice)
        ),
        svg,
    }
}

/// Draws a closed end from above, `width` ems wide; and how many millimetres of panel its width
/// is.
pub(crate) fn inline_end(end: &EndLook<'_>, width: f64, units: Units) -> (Inline, f64) {
    let voice = Voice::picture(units);
    let em = Type::Body.em();
    let size = [width.clamp(WIDTH[0], WIDTH[1]) * em, TALLEST * em];
    let (canvas, mm) = end_above::alone(end, voice, size);
    let numbers = end.numbers();
    let title = numbers.title(voice);
    let opening = Opening {
        stated: None,
        name: "end",
        view: [canvas.width, canvas.height],
        title: &title,
        described: &numbers.described(end.zone(), voice),
    };
    let svg = canvas.scene.svg(&opening, Style::Page);
    let note = voice.end_note(false, end.outwards(), end.laid.creased.is_some());
    (Inline { title, note, svg }, mm * size[0])
}

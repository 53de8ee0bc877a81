//! Which reading matters most: a bar a reading, how much wider the bridge must be for 1 mm or
//! 1 degree of it.

use super::canvas::{Canvas, Type};
use super::paper::FigureError;
use super::paper::Look;
use super::sheet::{self, MARGIN};
use crate::advice::Recommendation;
use crate::advice::{Cost, Measure, WidthRange};
use crate::draw::Box2;
use crate::draw::{BAND, INK, Side};
use crate::say::Voice;

/// A cost that is one, mm: half of what is printed.
const LEAST: f64 = 0.05;
/// Height of a row, most.
const ROW: f64 = 150.0;
/// Part of a row that its bar takes.
const BAR: f64 = 0.56;
/// Room between a label and its bar, and a bar and its value.
const GAP: f64 = 22.0;

/// The range, if there is one to draw.
pub(super) fn examine(answer: &Recommendation) -> Result<&WidthRange, FigureError> {
    let Some(range) = &answer.range else {
        return Err(FigureError::Nothing {
            found: "no range of the width",
            expected: "one, of a job whose width is assured",
        });
    };
    for (_, cost) in range.per_mm.all() {
        sheet::finite("what a reading costs", cost.wider_mm)?;
    }
    Ok(range)
}

/// Each reading with what one unit of it costs, mm, the dearest first.
fn dearest(range: &WidthRange, voice: Voice) -> Vec<(Measure, Cost, f64)> {
    let wider = |(m, c): (Measure, Cost)| (m, c, voice.wider_mm(m, c));
    let mut all: Vec<_> = range.per_mm.all().map(wider).collect();
    all.sort_by(|a, b| b.2.total_cmp(&a.2));
    all
}

/// The picture's title.
pub(super) fn answer(range: &WidthRange, voice: Voice) -> String {
    match dearest(range, voice)[..] {
        [(measure, cost, wider), ..] if wider >= LEAST => format!(
            "{} needs {} more bridge",
            voice.one_more(measure, cost),
            voice.wider(measure, cost)
        ),
        _ => "No reading moves the bridge".to_owned(),
    }
}

/// The picture in words.
pub(super) fn described(answer: &Recommendation, range: &WidthRange, voice: Voice) -> String {
    let all: Vec<String> = range
        .per_mm
        .all()
        .map(|(m, c)| format!("{}: {} wider", voice.one_more(m, c), voice.wider(m, c)))
        .collect();
    format!(
        "What one unit of each reading costs for {}, {}. {}.",
        answer.section.name,
        answer.film.name,
        all.join("; ")
    )
}

/// The line under the title.
fn second_line(answer: &Recommendation, range: &WidthRange, voice: Voice) -> String {
    let width = answer.assured_bridge_mm.map_or_else(
        || "no width is assured".to_owned(),
        |mm| format!("assured {}", voice.length(mm)),
    );
    format!(
        "{}, film {}: nominal {}, {width}",
        answer.section.name,
        answer.film.name,
        voice.length(range.nominal_mm)
    )
}

/// Draws the bars, the dearest first.
pub(super) fn draw(answered: &Recommendation, range: &WidthRange, look: Look) -> Canvas {
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    let body = sheet::head(
        &mut canvas,
        &answer(range, voice),
        &second_line(answered, range, voice),
    );
    let all = dearest(range, voice);
    let note = "Found again with one reading changed and the others left, the dearer way.";
    let bottom = sheet::foot(&mut canvas, note, body.width()) - 24.0;
    let label = |c: &(Measure, Cost, f64)| Type::Value.width(&voice.one_more(c.0, c.1));
    let left = MARGIN + all.iter().map(label).fold(0.0, f64::max) + GAP;
    let value = |c: &(Measure, Cost, f64)| Type::Value.width(&voice.wider(c.0, c.1));
    let right = body.right - GAP - all.iter().map(value).fold(0.0, f64::max);
    let most = all.iter().map(|c| c.2).fold(LEAST, f64::max);
    let top = body.top + 20.0;
    let rows = u32::try_from(all.len()).map_or(1.0, f64::from).max(1.0);
    let height = ((bottom - top) / rows).min(ROW);
    let mut y = top;
    for (measure, cost, wider) in all {
        let bar = Box2 {
            left,
            top: y + 0.5 * (1.0 - BAR) * height,
            right: left + (right - left) * wider / most,
            bottom: y + 0.5 * (1.0 + BAR) * height,
        };
        let track = Box2 { right, ..bar };
        canvas.fill(&track.corners(), BAND);
        if wider > 0.0 {
            canvas.fill(&bar.corners(), INK);
        }
        let line = bar.centre()[1] + 0.35 * Type::Value.em();
        canvas.write(
            &voice.one_more(measure, cost),
            [left - GAP, line],
            Side::Right,
            Type::Value,
        );
        let wider = voice.wider(measure, cost);
        canvas.write(&wider, [bar.right + GAP, line], Side::Left, Type::Value);
        y += height;
    }
    canvas
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advice::{Assurance, Job, TapeStep, recommend_width};
    use crate::film::{film_named, tool_named};
    use crate::laydown::{Bed, Split};
    use crate::section::{Recess, Survey, Units, read_shape};

    fn answered(shape: &str) -> Recommendation {
        let section = read_shape(shape, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let (film, tool) = (
            film_named("wrap-cast").unwrap(),
            tool_named("fingertip").unwrap(),
        );
        let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
        recommend_width(&Job {
            bed: &bed,
            film: &film,
            tool: &tool,
            split: Split::Even,
            step: TapeStep::FiveMm,
            assumptions: &[],
            handling: None,
            assurance: Some(Assurance::default()),
            ends: None,
        })
    }

    #[test]
    fn the_dearest_reading_is_the_title_and_every_one_has_a_bar_and_no_text_touches_another() {
        for (shape, bars) in [
            ("channel:mouth=80,floor=40,depth=25", 6),
            ("step:drop=12,wall=60", 3),
            ("groove:mouth=40,depth=12", 3),
        ] {
            let answered = answered(shape);
            let range = examine(&answered).unwrap();
            for look in Look::ALL {
                let canvas = draw(&answered, range, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{shape} {look:?}");
                assert!(canvas.finite());
                let said = canvas.said();
                let found = range
                    .per_mm
                    .all()
                    .filter(|c| said.contains(&canvas.voice.one_more(c.0, c.1)));
                assert_eq!(found.count(), bars, "{shape}: {said}");
            }
        }
        // Reference: 131.8 less 124.4 mm of the plan's worked values, to 0.1.
        let channel = answered("channel:mouth=80,floor=40,depth=25");
        let title = answer(examine(&channel).unwrap(), Voice::picture(Units::Mm));
        assert!(
            title.starts_with("1\u{2009}mm more depth needs 7.4"),
            "{title}"
        );
    }
}

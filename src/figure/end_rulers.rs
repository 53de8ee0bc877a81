//! What becomes of artwork round a closed end: squares of flat film, and the same squares laid,
//! lighter where there is less ink on the same area.

use super::canvas::{Canvas, Type};
use super::end::{EndLook, Half, Sight, cased};
use super::end_above::doubted_head;
use super::end_cells::{Corner, contours};
use super::end_plan::EndPlan;
use super::paper::Look;
use super::place::Placer;
use super::sheet;
use super::ticks::INCH;
use crate::draw::{Box2, INK, Rgb, Side, WHITE};
use crate::section::Units;

/// Full ink, and the shades down to none.
const FULL: Rgb = [0x24, 0x3f, 0x6b];
const SHADES: u32 = 24;
/// Squares of the grid are at least so large, picture units: smaller are a texture.
const LEAST: f64 = 22.0;
/// Panel over and under the film, room for words; between the two plans.
const STRIP: f64 = 44.0;
const BETWEEN: f64 = 40.0;
const HEADING: f64 = 44.0;

pub(super) fn draw(end: &EndLook, look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, end))
}

/// Ink of each shade, from none to full.
fn shades() -> Vec<Rgb> {
    let mixed = |k: u32| {
        FULL.map(|full| {
            let full = u32::from(full);
            let mix = (255 * (SHADES - k) + full * k) / SHADES;
            u8::try_from(mix).unwrap_or(u8::MAX)
        })
    };
    (0..=SHADES).map(mixed).collect()
}

/// Side of a square, mm.
fn square(scale: f64, units: Units) -> f64 {
    let steps = match units {
        Units::Mm | Units::Cm => [5.0, 10.0, 20.0, 50.0, 100.0],
        Units::Inch => [0.25, 0.5, 1.0, 2.0, 4.0].map(|v| v * INCH),
    };
    let seen = steps.into_iter().find(|s| s * scale >= LEAST);
    seen.unwrap_or(steps[4])
}

fn drawn(canvas: &mut Canvas, end: &EndLook) -> f64 {
    let (voice, numbers) = (canvas.voice, end.numbers());
    let half = Half::of(end.laid, 0.0);
    let title = numbers.artwork_title(voice);
    let body = doubted_head(canvas, end, &title);
    let longest = voice.end_grid_note(100.0);
    let noted = Type::Body
        .wrap(&longest, body.width())
        .iter()
        .map(|_| 1.0)
        .sum::<f64>();
    let room = Box2 {
        top: body.top + 8.0,
        bottom: canvas.height - 44.0 - noted * Type::Body.leading() - 14.0,
        ..body
    };
    let down = room.height() - 2.0 * STRIP - HEADING;
    let across = (room.width() - BETWEEN) / 2.0 - STRIP;
    let lying = (across / half.long()).min(down.max(200.0) / (2.0 * half.wide));
    let standing = ((across - STRIP) / (2.0 * half.wide)).min(down.max(200.0) / half.long());
    let upright = standing > lying;
    let scale = lying.max(standing);
    // More of the recess where there is room.
    let half = &Half::of(end.laid, if upright { down } else { across } / scale);
    let tall = if upright {
        half.long()
    } else {
        2.0 * half.wide
    };
    let step = square(scale, voice.units);
    sheet::foot(canvas, &voice.end_grid_note(step), body.width());
    let height = HEADING + 2.0 * STRIP + scale * tall;
    let top = room.top + ((room.height() - height) / 2.0).clamp(0.0, 60.0);
    for (k, heading) in [(0.0, "Flat film"), (1.0, "Laid on the panel")] {
        let window = Box2 {
            left: room.left + k * ((room.width() + BETWEEN) / 2.0),
            top: top + HEADING,
            right: room.left
                + k * ((room.width() + BETWEEN) / 2.0)
                + (room.width() - BETWEEN) / 2.0,
            bottom: top + height,
        };
        let start = if upright {
            [window.centre()[0], window.bottom]
        } else {
            [window.left, window.centre()[1]]
        };
        let sight = Sight {
            start,
            scale,
            from: half.from,
            upright,
        };
        let plan = EndPlan { end, half, sight };
        let at = [window.left, top + Type::Head.em()];
        canvas.write(heading, at, Side::Left, Type::Head);
        plan.panel(canvas, &window);
        grid(canvas, &plan, step, k > 0.5);
        if k > 0.5 {
            fades(canvas, &plan, &window);
        }
    }
    height - room.height()
}

/// The squares, as they were or as they came to lie.
fn grid(canvas: &mut Canvas, plan: &EndPlan, step: f64, laid: bool) {
    if laid {
        plan.ink(canvas, &shades());
    } else {
        canvas.fill(&plan.tape(), FULL);
    }
    let quads = plan.half.quads([0, plan.half.rows() - 1]);
    for axis in [0, 1] {
        let corner = |s: &crate::ends::Spot| -> Corner {
            let at = if laid { [s.at[0], s.at[2]] } else { s.film };
            (plan.sight.at(at), s.film[axis])
        };
        let corners: Vec<[Corner; 4]> = (quads.iter())
            .map(|q| [0, 1, 2, 3].map(|k| corner(&q[k])))
            .collect();
        for line in contours(&corners, step) {
            canvas.stroke(&line, WHITE, 2.2);
        }
    }
    let lines = if laid { 3.0 } else { 0.0 };
    if laid {
        for which in [0, 1] {
            let line = plan.line(|k| plan.half.lines[k][which]);
            canvas.stroke(&line, INK, lines);
        }
    }
    canvas.stroke(&plan.tape(), INK, 4.0);
}

/// The place where ink fades most.
fn fades(canvas: &mut Canvas, plan: &EndPlan, window: &Box2) {
    let spot = plan.end.laid.thinnest;
    let at = plan.sight.spot(&spot);
    let label = plan.end.numbers().faded_label(canvas.voice);
    let size = Type::Value.size_of(&label);
    let mut placer = Placer::new(*window, 5.0);
    plan.avoid(&mut placer);
    let strip = [window.top + STRIP / 2.0, window.bottom - STRIP / 2.0];
    let candidates = strip.into_iter().flat_map(|y| {
        (0..200).map(move |i| {
            let x = window.left + 8.0 + size[0] / 2.0 + 6.0 * f64::from(i);
            ((x - at[0]).hypot(y - at[1]), Box2::around([x, y], size))
        })
    });
    let found = placer.take_if(candidates.collect::<Vec<_>>(), |b| !plan.covers(b));
    if let Some(extent) = found {
        cased(canvas, &[extent.grown(5.0).nearest(at), at], 2.0);
    }
    canvas.dot(at, WHITE, 8.0);
    canvas.dot(at, INK, 5.5);
    canvas.put(&label, found, Type::Value);
}

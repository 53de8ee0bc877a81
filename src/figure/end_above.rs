//! The end, from above: film laid round a closed end in plan, and the section through its middle.

use super::canvas::{Canvas, Type};
use super::end::{EndLook, Half, Sight, cased};
use super::end_plan::EndPlan;
use super::end_section::{BEYOND, EndSection, OVER, UNDER};
use super::film_on_panel::{scale_bar, scale_bar_width};
use super::paper::Look;
use super::place::Placer;
use super::plan::{WORD, lines, verdict_height, write_verdict};
use super::sheet::{self, MARGIN};
use super::words;
use crate::draw::{Box2, INK, Pt, Side, WHITE};
use crate::ends::Spot;
use crate::say::{Voice, sentence};

/// Panel over and under the film, one line of words; before the tip's tape.
const STRIP: f64 = 46.0;
/// Names of the lines, left of the plan.
const NAMES: f64 = 74.0;
/// Nearer than this two marks are one, picture units.
const SAME: f64 = 24.0;
/// Between plan and section.
const BETWEEN: f64 = 44.0;

pub(super) fn draw(end: &EndLook, look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, end))
}

/// The plan alone, `size` at most; and how many millimetres of panel a unit of it is.
pub(super) fn alone(end: &EndLook, voice: Voice, size: Pt) -> (Canvas, f64) {
    let least = Half::of(end.laid, 0.0);
    let right = Type::Body.width(&voice.length(end.laid.case.end_reach)) + 30.0;
    let across = size[0] - NAMES - right;
    let down = size[1] - 2.0 * STRIP;
    let scale = (across / least.long()).min(down / (2.0 * least.wide));
    let half = &Half::of(end.laid, across / scale);
    let tall = 2.0 * (STRIP + scale * half.wide);
    let mut canvas = Canvas::sized(size[0], tall, voice);
    let plan = EndPlan {
        end,
        half,
        sight: Sight {
            start: [NAMES, tall / 2.0],
            scale,
            from: half.from,
            upright: false,
        },
    };
    let window = Box2 {
        left: NAMES,
        top: 0.0,
        right: NAMES + scale * half.long() + right,
        bottom: tall,
    };
    above(&mut canvas, &plan, &window);
    (canvas, 1.0 / scale)
}

/// Title and second line of a picture whose numbers stand beside each other.
pub(super) fn doubted_head(canvas: &mut Canvas, end: &EndLook, title: &str) -> Box2 {
    let (voice, numbers) = (canvas.voice, end.numbers());
    let second = format!(
        "{}, {}",
        second_line(end, voice),
        numbers.all_doubted(voice)
    );
    sheet::head(canvas, title, &second)
}

/// What a picture of an end is of.
fn second_line(end: &EndLook, voice: Voice) -> String {
    let case = &end.laid.case;
    let bridge = case.section.mouth + 2.0 * case.side_reach;
    format!(
        "{}, film {}, bridge {}",
        words::order_name(end.order),
        end.film_name,
        voice.length(bridge)
    )
}

fn drawn(canvas: &mut Canvas, end: &EndLook) -> f64 {
    let (voice, numbers) = (canvas.voice, end.numbers());
    let least = Half::of(end.laid, 0.0);
    let body = sheet::head(canvas, &numbers.title(voice), &second_line(end, voice));
    let over = end.over();
    let bar = scale_bar_width(over);
    let width = canvas.width - 2.0 * MARGIN - bar - 60.0;
    let note = voice.end_note(true, end.outwards(), end.laid.creased.is_some());
    let foot = sheet::foot(canvas, &note, width);
    scale_bar(canvas, numbers.limit, over, bar);
    let room = Box2 {
        top: body.top + 14.0,
        bottom: foot.min(canvas.height - 44.0 - 92.0) - 14.0,
        ..body
    };
    let right = Type::Body.width(&voice.length(end.laid.case.end_reach)) + 30.0;
    let across = room.width() - NAMES - right - BETWEEN - BEYOND;
    let down = room.height() - 2.0 * STRIP;
    let scale = (across / (2.0 * least.long())).min(down.max(200.0) / (2.0 * least.wide));
    // More of the recess where there is room beside it.
    let half = &Half::of(end.laid, across / (2.0 * scale));
    let spare = (across - 2.0 * scale * half.long()).max(0.0) / 3.0;
    let left = room.left + NAMES + spare;
    let tall = 2.0 * (STRIP + scale * half.wide);
    let said = [numbers.word().to_owned(), numbers.of(voice)];
    let beside = left + scale * half.long() + right + spare + BETWEEN;
    let column = room.right - beside;
    let facts = facts(end, voice);
    let words = WORD
        + Type::Head.em()
        + verdict_height(&said, column)
        + facts
            .iter()
            .map(|f| lines(f, column, Type::Body))
            .sum::<f64>();
    // The section is larger than the plan where there is room for it.
    let case = &end.laid.case;
    let cut = case.size.run + case.size.press_stop + 0.5 * case.section.mouth;
    let from = half.from.max(-cut);
    let free = tall - words - 30.0 - OVER - UNDER;
    let larger = ((column - BEYOND) / (half.to - from)).min(free / case.section.depth);
    let larger = larger.max(scale);
    let from = half.from.max(half.to - (column - BEYOND) / larger);
    let section = OVER + larger * case.section.depth + UNDER;
    let height = tall.max(section + words + 20.0);
    let top = room.top + ((room.height() - height) / 2.0).clamp(0.0, 60.0);
    let plan = EndPlan {
        end,
        half,
        sight: Sight {
            start: [left, top + tall / 2.0],
            scale,
            from: half.from,
            upright: false,
        },
    };
    let window = Box2 {
        left,
        top,
        right: left + scale * half.long() + right,
        bottom: top + tall,
    };
    above(canvas, &plan, &window);
    let mut y = top + Type::Head.em() + WORD;
    y = write_verdict(canvas, &said, [beside, y], column)[1] + Type::Body.leading() + 8.0;
    for fact in &facts {
        y = canvas.paragraph(fact, [beside, y], column, Type::Body);
    }
    EndSection {
        end,
        half,
        start: [beside, top + height - section + OVER],
        scale: larger,
        from,
    }
    .draw(canvas);
    height - room.height()
}

/// The numbers beside the large word.
fn facts(end: &EndLook, voice: Voice) -> Vec<String> {
    let numbers = end.numbers();
    vec![
        format!(
            "{} at most, {}",
            numbers.most(voice),
            numbers.doubted(voice)
        ),
        sentence(&numbers.area_label(voice)),
        format!(
            "Middle of the recess: {}",
            voice.share(100.0 * (end.laid.middle - 1.0))
        ),
    ]
}

/// The plan with its labels.
fn above(canvas: &mut Canvas, plan: &EndPlan, window: &Box2) {
    let (end, half) = (plan.end, plan.half);
    let last = half.rows() - 1;
    plan.panel(canvas, window);
    plan.film(canvas, [0, last]);
    plan.fronts(canvas, [0, last]);
    plan.creases(canvas);
    plan.lines(canvas, 6.0, end.outwards());
    let mut placer = Placer::new(*window, 5.0);
    canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
    plan.avoid(&mut placer);
    tapes(canvas, plan, &mut placer);
    let numbers = end.numbers();
    let voice = canvas.voice;
    let (most, thin) = (&end.laid.most, &end.laid.thinnest);
    let [a, b] = [most, thin].map(|s| plan.sight.spot(s));
    if (a[0] - b[0]).hypot(a[1] - b[1]) < SAME {
        let label = numbers.both_label(voice);
        marked(canvas, plan, (most, 1.0), &label, &mut placer);
    } else {
        let labels = [numbers.most_label(voice), numbers.area_label(voice)];
        marked(canvas, plan, (most, 1.0), &labels[0], &mut placer);
        marked(canvas, plan, (thin, -1.0), &labels[1], &mut placer);
    }
    names(canvas, plan, window);
}

/// The tape's distances from the lip: at the side, half way round, at the tip.
fn tapes(canvas: &mut Canvas, plan: &EndPlan, placer: &mut Placer) {
    let half = plan.half;
    let apart = |k: usize| {
        let [_, lip, tape] = half.lines[k];
        [tape[0] - lip[0], tape[2] - lip[2]]
    };
    let n = half.lines.len();
    if apart(n - 1)[1].abs() < 0.05 {
        return;
    }
    let side = half
        .columns
        .iter()
        .position(|c| c[0].at[2] > half.from + 0.1 * half.long());
    let skew = |k: &usize| (apart(*k)[0] - apart(*k)[1]).abs();
    let round = (0..n).filter(|k| apart(*k)[0].min(apart(*k)[1]) > 0.0);
    let round = round.min_by(|a, b| skew(a).total_cmp(&skew(b)));
    for k in [Some(n - 1), side, round].into_iter().flatten() {
        let [_, lip, tape] = half.lines[k].map(|p| plan.sight.at([p[0], p[2]]));
        cased(canvas, &[lip, tape], 2.4);
        let [across, along] = apart(k);
        let long = across.hypot(along);
        let label = canvas.voice.length(long);
        let size = Type::Body.size_of(&label);
        let out = [along / long, -across / long];
        let candidates = (0..12).map(|i| {
            let by = 10.0 + 5.0 * f64::from(i);
            let at = |k: usize| tape[k] + out[k] * (by + size[k] / 2.0);
            (by, Box2::around([at(0), at(1)], size))
        });
        let found = placer.take_if(candidates.collect::<Vec<_>>(), |b| !plan.covers(b));
        canvas.put(&label, found, Type::Body);
    }
}

/// A place of the film on one side, with a thin line to its label on the panel.
fn marked(
    canvas: &mut Canvas,
    plan: &EndPlan,
    (spot, side): (&Spot, f64),
    label: &str,
    placer: &mut Placer,
) {
    let at: Pt = plan.sight.at([side * spot.at[0], spot.at[2]]);
    let size = Type::Value.size_of(label);
    let all = placer.within;
    let mut candidates = Vec::new();
    let mut y = all.top + size[1] / 2.0;
    while y < all.bottom {
        let mut x = all.left + size[0] / 2.0;
        while x < all.right {
            let wrong = if (y - plan.sight.start[1]) * side > 0.0 {
                400.0
            } else {
                0.0
            };
            let far = (x - at[0]).hypot(y - at[1]);
            candidates.push((far + wrong, Box2::around([x, y], size)));
            x += 8.0;
        }
        y += 6.0;
    }
    let labels = placer.clone();
    let sees = |b: &Box2| !plan.covers(b) && !labels.crosses_a_label(b.grown(5.0).nearest(at), at);
    let found = placer.take_if(candidates, sees);
    if let Some(extent) = found {
        let leader = [extent.grown(5.0).nearest(at), at];
        cased(canvas, &leader, 2.0);
        placer.avoid_line(&leader);
    }
    canvas.dot(at, WHITE, 8.0);
    canvas.dot(at, INK, 5.5);
    canvas.put(label, found, Type::Value);
}

/// The names of the lines, left of the plan.
fn names(canvas: &mut Canvas, plan: &EndPlan, window: &Box2) {
    let half = plan.half;
    let mut last = f64::NEG_INFINITY;
    let pad = plan.end.outwards().then_some(("pad", half.press[0][1]));
    let all = [
        Some(("tape", half.lines[0][2])),
        Some(("lip", half.lines[0][1])),
        Some(("foot", half.lines[0][0])),
        pad,
    ];
    let right = window.left - 12.0;
    for (word, place) in all.into_iter().flatten() {
        let y = plan.sight.at([place[0], place[2]])[1] + 8.0;
        if y - last < Type::Body.leading() {
            continue;
        }
        last = y;
        canvas.write(word, [right, y], Side::Right, Type::Body);
    }
}

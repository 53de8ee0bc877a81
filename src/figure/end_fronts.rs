//! How film goes down round a closed end: small plans, one a stage, laid film coloured.

use super::canvas::{Canvas, Type};
use super::end::{EndLook, Half, Sight};
use super::end_above::doubted_head;
use super::end_plan::EndPlan;
use super::film_on_panel::{scale_bar, scale_bar_width};
use super::paper::Look;
use super::sheet::{self, MARGIN};
use crate::draw::{Box2, INK, Side, WHITE};

/// Between two frames, and panel about the film.
const GUTTER: f64 = 30.0;
const PANEL_ROUND: f64 = 12.0;

/// A stage: its name, and the rows that are laid.
type Stage = (&'static str, [usize; 2]);

pub(super) fn draw(end: &EndLook, look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, end))
}

/// The row of the tip's column that is nearest to a place.
fn row_at(half: &Half, place: [f64; 3]) -> usize {
    let far = |j: &usize| {
        let at = half.columns[half.columns.len() - 1][*j].at;
        [0, 1, 2]
            .map(|i| (at[i] - place[i]).powi(2))
            .iter()
            .sum::<f64>()
    };
    (0..half.rows())
        .min_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or(0)
}

fn stages(end: &EndLook, half: &Half) -> Vec<Stage> {
    let n = half.lines.len() - 1;
    let ([foot, lip, tape], pad) = (half.lines[n], half.press[n][1]);
    // Taped at the lip, there are no flats to lay.
    let flats = tape[2] - lip[2] > 1e-9;
    let mid = [0, 1, 2].map(|i| (foot[i] + lip[i]) / 2.0);
    let [pad, foot, mid, lip] = [pad, foot, mid, lip].map(|place| row_at(half, place));
    let down = half.rows() - 1;
    if !end.outwards() {
        let all = [
            ("flats", lip),
            ("half the wall", mid),
            ("foot", foot),
            ("down", 0),
        ];
        let all = all.map(|(name, row)| (name, [row, down]));
        return all.into_iter().skip(usize::from(!flats)).collect();
    }
    let all = [
        ("pressed", pad),
        ("floor", foot),
        ("half the wall", mid),
        ("lip", lip),
        ("down", down),
    ];
    let mut found: Vec<Stage> = Vec::new();
    for (name, row) in all {
        // A pad that goes up the wall presses the floor with it.
        if found.last().is_none_or(|s| s.1[1] < row) && (flats || name != "lip") {
            found.push((name, [0, row]));
        }
    }
    found
}

fn drawn(canvas: &mut Canvas, end: &EndLook) -> f64 {
    let (voice, numbers) = (canvas.voice, end.numbers());
    let half = Half::of(end.laid, 0.0);
    let title = numbers.stages_title(end.order, end.zone(), voice);
    let body = doubted_head(canvas, end, &title);
    let over = end.over();
    let bar = scale_bar_width(over);
    let width = canvas.width - 2.0 * MARGIN - bar - 60.0;
    let foot = sheet::foot(canvas, &voice.end_stages_note(), width);
    scale_bar(canvas, numbers.limit, over, bar);
    let room = Box2 {
        top: body.top + 14.0,
        bottom: foot.min(canvas.height - 44.0 - 92.0) - 14.0,
        ..body
    };
    let stages = stages(end, &half);
    let n = stages.iter().map(|_| 1.0).sum::<f64>();
    let column = (room.width() - GUTTER * (n - 1.0)) / n;
    let words = 2.0 * Type::Body.leading();
    let down = room.height() - words - 2.0 * PANEL_ROUND;
    let scale =
        ((column - 2.0 * PANEL_ROUND) / (2.0 * half.wide)).min(down.max(200.0) / half.long());
    // More of the recess where there is room below.
    let half = &Half::of(end.laid, down / scale);
    let tall = scale * half.long() + PANEL_ROUND;
    let top = room.top + ((room.height() - words - tall) / 2.0).clamp(0.0, 60.0);
    let mut left = room.left;
    for (k, (name, rows)) in stages.iter().zip(1_u32..).map(|(s, k)| (k, *s)) {
        let centre = left + column / 2.0;
        let wide = scale * half.wide + PANEL_ROUND;
        let window = Box2 {
            left: centre - wide,
            top,
            right: centre + wide,
            bottom: top + tall,
        };
        let plan = EndPlan {
            end,
            half,
            sight: Sight {
                start: [centre, window.bottom],
                scale,
                from: half.from,
                upright: true,
            },
        };
        plan.panel(canvas, &window);
        canvas.fill(&plan.tape(), WHITE);
        plan.film(canvas, rows);
        let front = if end.outwards() { rows[1] } else { rows[0] };
        plan.lines(canvas, 4.0, false);
        if front > 0 && front + 1 < half.rows() {
            let line = plan.line(|k| half.columns[k][front].at);
            canvas.stroke(&line, WHITE, 6.0);
            canvas.stroke(&line, INK, 3.4);
        }
        let y = window.bottom + 34.0;
        let label = format!("{k}  {name}");
        canvas.write(&label, [centre, y], Side::Centre, Type::Value);
        left += column + GUTTER;
    }
    tall + words - room.height()
}

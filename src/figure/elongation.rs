//! Elongation along the panel, from the left bond line: one line an order.

use super::canvas::{Canvas, Type};
use super::chart::{self, Curve, Frame};
use super::paper::Look;
use super::place::Placer;
use super::plot::axes;
use super::sheet::{self, MARGIN};
use super::ticks::joined;
use super::words;
use crate::advice::Check;
use crate::draw::Box2;
use crate::draw::{INK, Side};
use crate::say::Voice;

/// What stands under the x axis.
pub(super) fn across(voice: Voice) -> String {
    format!("along the panel from the left bond line, {}", voice.unit())
}

/// Room under the area for the numbers and for what they are.
pub(super) const UNDER: f64 = 92.0;

/// Least height of an area: names of three lines, limit and all.
const LEAST: f64 = 200.0;

/// Draws the picture.
pub(super) fn draw(checks: &[Check], look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, checks))
}

fn drawn(canvas: &mut Canvas, checks: &[Check]) -> f64 {
    let voice = canvas.voice;
    let body = sheet::head(
        canvas,
        &words::answer(checks, voice),
        &second_line(checks, voice),
    );
    let foot = words::training(&checks[0].invented, voice).map_or(body.bottom, |note| {
        sheet::foot(canvas, &note, body.width()) - 6.0
    });
    let body = Box2 {
        bottom: foot,
        ..body
    };
    let frame = frame(checks, body, UNDER, voice);
    let lack = LEAST - frame.area.height();
    if lack < sheet::UNSEEN {
        plot(canvas, checks, &frame, &across(voice));
    }
    lack
}

/// Draws lines, limits and landmarks into a frame.
pub(super) fn plot(canvas: &mut Canvas, checks: &[Check], frame: &Frame, across: &str) {
    let voice = canvas.voice;
    let origin = origin(checks);
    let mut placer = placer(canvas, frame);
    let first = &checks[0];
    let (lip, other) = (first.lip_left.s_mm - origin, first.lip_right.s_mm - origin);
    chart::shade(canvas, frame, lip, other);
    placer.edges = vec![frame.x_at(lip), frame.x_at(other)];
    axes(canvas, frame, across, "elongation", |v| voice.limit(v));
    chart::limit_line(canvas, frame, first.film.limit_pct, &mut placer);
    let inner = first.film.recess_limit_pct.map(|limit| {
        let ends = [lip, other].map(|x| x.clamp(frame.x[0], frame.x[1]));
        (
            limit,
            chart::recess_limit(canvas, frame, limit, ends, &mut placer),
        )
    });
    landmarks(canvas, frame, checks, origin, &mut placer);
    canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
    let curves: Vec<Curve> = words::grouped(checks)
        .into_iter()
        .filter(|(check, _)| words::has_film(check))
        .map(|(check, names)| Curve {
            name: words::together(&names),
            ..curve(check, frame, origin, voice)
        })
        .collect();
    let lines = curves.iter().flat_map(|c| &c.runs);
    lines.for_each(|run| placer.avoid_line(run));
    risers(canvas, checks, frame, origin, &mut placer);
    chart::leaving(
        canvas,
        frame,
        (&leaving(checks, frame, origin, voice), &curves),
        &mut placer,
    );
    chart::curves(canvas, &curves, &mut placer);
    if let Some((limit, line)) = inner {
        chart::name_recess_limit(canvas, limit, line, &mut placer);
    }
}

/// Where labels of a frame may be.
pub(super) fn placer(canvas: &Canvas, frame: &Frame) -> Placer {
    let a = frame.area;
    let within = Box2 {
        left: a.left + 4.0,
        top: a.top - 34.0,
        right: canvas.width - MARGIN + 2.0,
        bottom: a.bottom - 3.0,
    };
    Placer::new(within, 8.0)
}

pub(super) fn second_line(checks: &[Check], voice: Voice) -> String {
    let first = &checks[0];
    let missing: Vec<String> = checks
        .iter()
        .filter_map(|c| {
            words::no_film(c, voice).map(|why| format!(" {}: {why}.", words::order(&c.order)))
        })
        .collect();
    let same = checks
        .iter()
        .all(|c| (c.bridge_mm - first.bridge_mm).abs() < 0.05);
    let bridge = if same {
        format!(", bridge {}", voice.length(first.bridge_mm))
    } else {
        String::new()
    };
    format!("{}{bridge}.{}", words::subject(first), missing.concat())
}

/// Arc length of the leftmost bond line, mm.
pub(super) fn origin(checks: &[Check]) -> f64 {
    checks
        .iter()
        .map(|c| c.bond_left.s_mm)
        .fold(f64::INFINITY, f64::min)
}

/// The frame of the elongation in a box; `under`: room below its area.
pub(super) fn frame(checks: &[Check], body: Box2, under: f64, voice: Voice) -> Frame {
    let limit = checks[0].film.limit_pct;
    let most = |c: &Check| {
        let all = c.profile.iter().map(|r| r.elongation_pct);
        all.fold(0.0, f64::max)
    };
    let peaks: Vec<f64> = checks.iter().map(most).collect();
    let top = chart::top_of(limit, &peaks);
    let end = checks
        .iter()
        .map(|c| c.bond_right.s_mm)
        .fold(f64::NEG_INFINITY, f64::max)
        - origin(checks);
    let right = Type::Value.width(&format!("limit {}", voice.limit(limit))) + 12.0;
    let area = Box2 {
        left: MARGIN + 100.0,
        top: body.top + 98.0,
        right: body.right - right,
        bottom: body.bottom - under,
    };
    Frame {
        area,
        x: [0.0, end.max(1e-6)],
        top,
    }
}

fn data(check: &Check, origin: f64) -> Vec<[f64; 2]> {
    check
        .profile
        .iter()
        .map(|r| [r.place.s_mm - origin, r.elongation_pct])
        .collect()
}

/// An order's line, parted where the elongation jumps.
fn curve(check: &Check, frame: &Frame, origin: f64, voice: Voice) -> Curve {
    let more = check.peak_pct.map_or_else(String::new, |p| {
        format!(", peak {}", voice.beside(p, check.film.limit_pct))
    });
    Curve {
        name: words::order(&check.order),
        more,
        order: Some(check.order.name),
        runs: parted(&data(check, origin), frame),
    }
}

/// A line in picture units, parted where it jumps.
pub(super) fn parted(data: &[[f64; 2]], frame: &Frame) -> Vec<Vec<[f64; 2]>> {
    data.chunk_by(|a, b| !jumps(*a, *b, frame))
        .flat_map(|run| frame.line(run))
        .collect()
}

/// Whether two neighbours are the sides of a jump that can be seen as one.
fn jumps(a: [f64; 2], b: [f64; 2], frame: &Frame) -> bool {
    (b[0] - a[0]).abs() < 1e-9 && (b[1] - a[1]).abs() > 0.03 * frame.top
}

/// Thin uprights where the elongation jumps.
fn risers(canvas: &mut Canvas, checks: &[Check], frame: &Frame, origin: f64, placer: &mut Placer) {
    for check in checks.iter().filter(|c| words::has_film(c)) {
        let (colour, _) = chart::look(Some(check.order.name));
        for w in data(check, origin)
            .windows(2)
            .filter(|w| jumps(w[0], w[1], frame))
        {
            for riser in frame.line(w) {
                canvas.stroke(&riser, colour, 1.6);
                placer.avoid_line(&riser);
            }
        }
    }
}

/// Orders that leave at the top: where, and how far they rise.
fn leaving(checks: &[Check], frame: &Frame, origin: f64, voice: Voice) -> Vec<chart::Leaving> {
    let mut found = Vec::new();
    for (check, names) in words::grouped(checks) {
        if !words::has_film(check) {
            continue;
        }
        let data = data(check, origin);
        let over: Vec<&[f64; 2]> = data.iter().filter(|d| d[1] > frame.top).collect();
        if let (Some(from), Some(to)) = (over.first(), over.last()) {
            let peak = over.iter().map(|d| d[1]).fold(0.0, f64::max);
            found.push(chart::Leaving {
                order: Some(check.order.name),
                at: (from[0] + to[0]) / 2.0,
                words: format!("{}: {}", words::together(&names), voice.percent(peak)),
            });
        }
    }
    found
}

/// Lips, feet and press ticked above the area; words that would touch are joined.
fn landmarks(
    canvas: &mut Canvas,
    frame: &Frame,
    checks: &[Check],
    origin: f64,
    placer: &mut Placer,
) {
    let check = &checks[0];
    let ends = words::ends(check);
    let mut marks = vec![
        (check.lip_left.s_mm, ends[0]),
        (check.press.s_mm, "press"),
        (check.lip_right.s_mm, ends[1]),
    ];
    marks.extend(feet(checks).into_iter().map(|s| (s, "foot")));
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let y = frame.area.top;
    let mut groups: Vec<(f64, f64, String)> = Vec::new();
    for (s, word) in marks {
        let x = frame
            .x_at(s - origin)
            .clamp(frame.area.left, frame.area.right);
        let tick = [[x, y - 12.0], [x, y]];
        canvas.stroke(&tick, INK, 2.0);
        placer.avoid_line(&tick);
        groups.push((x, x, word.to_owned()));
    }
    for (from, to, word) in joined(groups) {
        canvas.write(
            &word,
            [(from + to) / 2.0, y - 22.0],
            Side::Centre,
            Type::Body,
        );
    }
}

/// Feet of a channel, arc lengths: on each side the place farthest below the chord from
/// lip to press, if the panel turns there and not all along (a round groove has none).
fn feet(checks: &[Check]) -> Vec<f64> {
    let Some(check) = checks.iter().find(|c| c.profile.len() > 2) else {
        return Vec::new();
    };
    let line: Vec<[f64; 3]> = check
        .profile
        .iter()
        .map(|r| [r.place.s_mm, r.place.x_mm, r.place.y_mm])
        .collect();
    let (l, p, r) = (check.lip_left.s_mm, check.press.s_mm, check.lip_right.s_mm);
    [(l, p), (p, r)]
        .into_iter()
        .filter_map(|(from, to)| foot_between(&line, from, to))
        .collect()
}

fn foot_between(line: &[[f64; 3]], from: f64, to: f64) -> Option<f64> {
    let mut part: Vec<&[f64; 3]> = line
        .iter()
        .filter(|r| r[0] >= from - 1e-9 && r[0] <= to + 1e-9)
        .collect();
    part.dedup_by(|b, a| b[0] - a[0] < 1e-9);
    let (a, b) = (part.first()?, part.last()?);
    let (dx, dy) = (b[1] - a[1], b[2] - a[2]);
    let chord = dx.hypot(dy);
    let below = |r: &[f64; 3]| ((r[1] - a[1]) * dy - (r[2] - a[2]) * dx) / chord.max(1e-9);
    let low = part.iter().max_by(|p, q| below(p).total_cmp(&below(q)))?;
    if below(low) < 0.05 * chord || chord < 1e-9 {
        return None;
    }
    let reach = 0.15 * (to - from);
    let turn = |near: f64| -> f64 {
        part.windows(3)
            .filter(|w| (w[1][0] - low[0]).abs() <= near)
            .map(|w| turning(w[0], w[1], w[2]).max(0.0))
            .sum()
    };
    (turn(reach) > 0.6 * turn(f64::INFINITY)).then_some(low[0])
}

/// Turn to the left at the middle point, radians; 0 where two points are one.
fn turning(a: &[f64; 3], b: &[f64; 3], c: &[f64; 3]) -> f64 {
    let (u, v) = ([b[1] - a[1], b[2] - a[2]], [c[1] - b[1], c[2] - b[2]]);
    (u[0] * v[1] - u[1] * v[0]).atan2(u[0] * v[0] + u[1] * v[1])
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    #[test]
    fn channels_of_every_size_are_laid_out_without_a_touch() {
        for (name, checks) in sample::many_sizes() {
            for (n, look) in (1..=3).zip([Look::ALL[1], Look::ALL[3], Look::ALL[1]]) {
                let canvas = draw(&checks[..n], look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name}, {n} orders");
                assert!(canvas.finite(), "{name}");
            }
        }
    }

    #[test]
    fn no_text_touches_a_line_a_text_or_an_edge() {
        for (name, checks) in sample::all_checks() {
            for look in Look::ALL {
                let canvas = draw(&checks, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
            }
        }
    }

    #[test]
    fn every_line_has_its_name() {
        for look in Look::ALL {
            for (name, checks) in sample::all_checks() {
                let canvas = draw(&checks, look);
                let said = canvas.said();
                let drawn = |c: &&Check| words::has_film(c);
                for (check, names) in words::grouped(&checks).iter().filter(|g| drawn(&g.0)) {
                    let order = words::together(names);
                    assert!(canvas.has_words(&order), "{name} {look:?}: {order}");
                    let peak = canvas
                        .voice
                        .beside(check.peak_pct.unwrap_or(0.0), check.film.limit_pct);
                    assert!(said.contains(&peak), "{name} {look:?}: {peak}");
                }
                for word in ["lip", "press", "limit"] {
                    assert!(said.contains(word), "{name} {look:?}: {word}");
                }
                if let Some(limit) = checks[0].film.recess_limit_pct {
                    let label = format!("limit in the recess {}", canvas.voice.limit(limit));
                    assert!(said.contains(&label), "{name} {look:?}: {label}");
                }
            }
        }
    }

    #[test]
    fn the_feet_of_a_channel_are_its_corners_and_a_groove_has_none() {
        // Reference: by hand. Bond line 35 before the lip, wall of hypot(20, 25) mm.
        let checks = sample::channel();
        let feet = feet(&checks);
        let wall = 20.0_f64.hypot(25.0);
        let lip = checks[0].lip_left.s_mm;
        assert_eq!(feet.len(), 2);
        assert!(
            (feet[0] - lip - wall).abs() < 1e-6 && (feet[1] - feet[0] - 40.0).abs() < 1e-6,
            "{feet:?}"
        );
        assert!(super::feet(&sample::groove()).is_empty());
    }
}

//! Peak against bridge width, with the plain rule, the limit and the recommended width.

use super::canvas::{Canvas, Type};
use super::chart::{self, Curve, Frame};
use super::paper::{FigureError, Look};
use super::place::Placer;
use super::plot::axes;
use super::sheet::{self, MARGIN};
use super::words;
use crate::advice::Notice;
use crate::advice::Sweep;
use crate::draw::{Box2, Pt};
use crate::draw::{INK, Side};
use crate::laydown::OrderName;
use crate::say::{Say, Voice};
use crate::told::Told;

/// Refuses a sweep that no picture can be drawn from.
pub(super) fn examine(sweep: &Sweep) -> Result<(), FigureError> {
    let usable = sweep.rows.iter().filter(|r| r.peak_pct.is_some()).count();
    if usable == 0 {
        return Err(FigureError::Nothing {
            found: "no width with a finite peak",
            expected: "at least one",
        });
    }
    sheet::positive("limit_pct", sweep.film.limit_pct)?;
    sheet::finite("extra_mm", sweep.plain_rule.extra_mm)?;
    for row in &sweep.rows {
        sheet::positive("bridge_mm", row.bridge_mm)?;
        sheet::finite("peak_pct", row.peak_pct.unwrap_or(0.0))?;
    }
    for v in sweep
        .feasible
        .iter()
        .flatten()
        .chain(sweep.recommended_bridge_mm.as_slice())
    {
        sheet::finite("a width", *v)?;
    }
    Ok(())
}

/// The picture's title.
pub(super) fn answer(sweep: &Sweep, voice: Voice) -> String {
    let limit = voice.limit(sweep.film.limit_pct);
    let widest = sweep.rows.iter().map(|r| r.bridge_mm).fold(0.0, f64::max);
    match sweep.recommended_bridge_mm {
        Some(width) => format!(
            "A bridge of {} keeps deepest point first within {limit}",
            voice.length(width)
        ),
        None if !sweep.feasible.is_empty() => {
            format!("Some widths keep deepest point first within {limit}, but none is recommended")
        }
        None => format!(
            "No bridge up to {} keeps deepest point first within {limit}",
            voice.length(widest)
        ),
    }
}

/// The picture in words.
pub(super) fn described(sweep: &Sweep, voice: Voice) -> String {
    let mut text = format!(
        "Peak elongation against bridge width for {}, {}.",
        sweep.section.name, sweep.film.name
    );
    for order in orders(sweep) {
        let finite = |r: &&crate::advice::SweepRow| r.order == order && r.peak_pct.is_some();
        let (first, last) = (
            sweep.rows.iter().find(finite),
            sweep.rows.iter().rfind(finite),
        );
        if let (Some(a), Some(b)) = (first, last) {
            text += &format!(
                " {}: {} at {}, {} at {}.",
                words::order_name(order),
                voice.percent(a.peak_pct.unwrap_or(0.0)),
                voice.length(a.bridge_mm),
                voice.percent(b.peak_pct.unwrap_or(0.0)),
                voice.length(b.bridge_mm)
            );
        } else {
            text += &format!(" {}: no finite peak.", words::order_name(order));
        }
    }
    if let Some(least) = sweep.plain_rule.least_bridge_mm {
        text += &format!(" The plain rule alone would take {}.", voice.length(least));
    }
    text
}

/// Orders in the sequence of the rows.
fn orders(sweep: &Sweep) -> Vec<OrderName> {
    let mut found: Vec<OrderName> = Vec::new();
    for row in &sweep.rows {
        if !found.contains(&row.order) {
            found.push(row.order);
        }
    }
    found
}

/// Draws the picture.
pub(super) fn draw(sweep: &Sweep, look: Look) -> Canvas {
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    let body = sheet::head(
        &mut canvas,
        &answer(sweep, voice),
        &second_line(sweep, voice),
    );
    let foot = words::training(&sweep.invented, voice).map_or(body.bottom, |note| {
        sheet::foot(&mut canvas, &note, body.width()) - 6.0
    });
    let frame = frame(
        sweep,
        Box2 {
            bottom: foot,
            ..body
        },
        voice,
    );
    let a = frame.area;
    let mut placer = Placer::new(
        Box2 {
            left: a.left + 4.0,
            top: a.top - 34.0,
            right: canvas.width - MARGIN + 2.0,
            bottom: a.bottom,
        },
        8.0,
    );
    for &[from, to] in &sweep.feasible {
        chart::shade(&mut canvas, &frame, from, to);
        let ends = [from, to].map(|x| frame.x_at(x.clamp(frame.x[0], frame.x[1])));
        placer.edges.extend(ends);
    }
    axes(
        &mut canvas,
        &frame,
        &format!("bridge width, {}", voice.unit()),
        "peak elongation",
        |v| voice.limit(v),
    );
    chart::limit_line(&mut canvas, &frame, sweep.film.limit_pct, &mut placer);
    canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
    let curves: Vec<Curve> = orders(sweep)
        .iter()
        .map(|&o| curve(sweep, &frame, o))
        .collect();
    let rule = plain_rule(sweep, &frame);
    for c in &curves {
        c.runs.iter().for_each(|r| placer.avoid_line(r));
    }
    rule.iter().for_each(|r| placer.avoid_line(r));
    recommended(&mut canvas, &frame, sweep, &mut placer);
    for run in &rule {
        canvas.stroke(run, INK, 1.8);
    }
    chart::leaving(
        &mut canvas,
        &frame,
        (&leaving(sweep, &frame, voice), &curves),
        &mut placer,
    );
    single(&mut canvas, sweep, &frame, &mut placer);
    let mut named = curves.clone();
    named.push(Curve {
        name: "plain rule".to_owned(),
        more: String::new(),
        order: None,
        runs: rule,
    });
    chart::curves(&mut canvas, &named, &mut placer);
    bands(&mut canvas, sweep, &frame, &mut placer);
    canvas
}

fn second_line(sweep: &Sweep, voice: Voice) -> String {
    let mut text = format!("{}, film {}.", sweep.section.name, sweep.film.name);
    let barred = |w: &&Told<Notice>| matches!(w.0, Notice::NotForRecesses { .. });
    let barred = sweep.warnings.iter().find(barred);
    if let Some(why) = barred.filter(|_| sweep.recommended_bridge_mm.is_none()) {
        text += &format!(" No width: {}.", why.say(voice));
    }
    for order in orders(sweep) {
        if sweep
            .rows
            .iter()
            .all(|r| r.order != order || r.peak_pct.is_none())
        {
            text += &format!(
                " {}: no finite peak at any width.",
                words::order_name(order)
            );
        }
    }
    text
}

fn frame(sweep: &Sweep, body: Box2, voice: Voice) -> Frame {
    let limit = sweep.film.limit_pct;
    let [from, to] = shown(sweep);
    let rows = sweep.rows.iter().filter(|r| r.bridge_mm <= to);
    let largest = rows.filter_map(|r| r.peak_pct).fold(0.0, f64::max);
    let top = chart::top_of(limit, &[largest]);
    let pad = if to > from { 0.0 } else { 0.5 * to };
    let right = Type::Value.width(&format!("limit {}", voice.limit(limit))) + 12.0;
    let area = Box2 {
        left: MARGIN + 100.0,
        top: body.top + 98.0,
        right: body.right - right,
        bottom: body.bottom - 92.0,
    };
    Frame {
        area,
        x: [from - pad, to + pad],
        top,
    }
}

/// The widths shown: from the narrowest to three times what matters, the recommended
/// width and the mouth, and at least 200 mm; all, if none is recommended.
fn shown(sweep: &Sweep) -> [f64; 2] {
    let widths = sweep.rows.iter().map(|r| r.bridge_mm);
    let from = widths.clone().fold(f64::INFINITY, f64::min);
    let widest = widths.fold(0.0, f64::max);
    let to = sweep.recommended_bridge_mm.map_or(widest, |width| {
        (3.0 * width)
            .max(3.0 * sweep.section.mouth_mm)
            .max(200.0)
            .min(widest)
    });
    [from, to]
}

/// An order's runs of finite peaks within the widths shown.
fn data(sweep: &Sweep, order: OrderName) -> Vec<Vec<[f64; 2]>> {
    let to = shown(sweep)[1];
    let rows: Vec<_> = sweep.rows.iter().filter(|r| r.order == order).collect();
    rows.split(|r| r.peak_pct.is_none())
        .map(|run| {
            let all = run.iter().filter_map(|r| Some([r.bridge_mm, r.peak_pct?]));
            until(&all.collect::<Vec<_>>(), to)
        })
        .collect()
}

/// The run as far as `to`, with a last point there.
fn until(run: &[[f64; 2]], to: f64) -> Vec<[f64; 2]> {
    let n = run.partition_point(|d| d[0] <= to);
    let mut kept = run[..n].to_vec();
    if let (Some(&a), Some(&b)) = (kept.last(), run.get(n))
        && to > a[0]
    {
        let t = (to - a[0]) / (b[0] - a[0]);
        kept.push([to, a[1] + t * (b[1] - a[1])]);
    }
    kept
}

fn curve(sweep: &Sweep, frame: &Frame, order: OrderName) -> Curve {
    let runs = data(sweep, order)
        .iter()
        .flat_map(|run| frame.line(run))
        .collect();
    Curve {
        name: words::order_name(order),
        more: String::new(),
        order: Some(order),
        runs,
    }
}

/// The mean elongation, which no order can better, within the frame.
fn plain_rule(sweep: &Sweep, frame: &Frame) -> Vec<Vec<Pt>> {
    let [from, to] = frame.x;
    let mut data: Vec<[f64; 2]> = sweep
        .rows
        .iter()
        .map(|row| [row.bridge_mm, row.mean_pct])
        .collect();
    data.sort_by(|a, b| a[0].total_cmp(&b[0]));
    data.dedup_by(|a, b| a[0] <= b[0]);
    data.retain(|p| p[0] >= from && p[0] <= to);
    if data.len() < 2 {
        // Known at one width only: the extra of level flats, the same at every width.
        let steps = (0..=240).map(|k| from + (to - from) * f64::from(k) / 240.0);
        data = steps
            .filter(|&x| x > 0.0)
            .map(|x| [x, 100.0 * sweep.plain_rule.extra_mm / x])
            .collect();
    }
    frame.line(&data)
}

/// An order known at one width only (the middle push) is a dot with its name and value.
fn single(canvas: &mut Canvas, sweep: &Sweep, frame: &Frame, placer: &mut Placer) {
    for order in orders(sweep) {
        let rows = data(sweep, order).concat();
        let [[x, y]] = rows[..] else { continue };
        if y > frame.top {
            continue;
        }
        let at = frame.at(x, y);
        let (colour, _) = chart::look(Some(order));
        canvas.dot(at, colour, 9.0);
        placer.avoid_box(Box2::around(at, [18.0, 18.0]));
        let name = words::order_name(order);
        for label in [format!("{name}: {}", canvas.voice.percent(y)), name] {
            let size = Type::Value.size_of(&label);
            if let Some(extent) = placer.take(super::place::around(at, size, 200.0, 6.0)) {
                canvas.put(&label, Some(extent), Type::Value);
                break;
            }
        }
    }
}

/// The recommended width: a post from the axis to above the area, with its value.
fn recommended(canvas: &mut Canvas, frame: &Frame, sweep: &Sweep, placer: &mut Placer) {
    let Some(width) = sweep.recommended_bridge_mm else {
        return;
    };
    let x = frame.x_at(width.clamp(frame.x[0], frame.x[1]));
    let post = [[x, frame.area.bottom], [x, frame.area.top - 8.0]];
    canvas.stroke(&post, INK, 4.0);
    placer.avoid_line(&post);
    let label = format!("recommended {}", canvas.voice.length(width));
    // Beginning at the post, so that it is not read as part of the axis' name.
    let room = canvas.width - MARGIN - Type::Value.width(&label);
    let at = [(x - 2.0).min(room), frame.area.top - 22.0];
    let extent = canvas.write(&label, at, Side::Left, Type::Value);
    placer.avoid_box(extent);
}

/// Orders that leave at the top, at the width where they do.
fn leaving(sweep: &Sweep, frame: &Frame, voice: Voice) -> Vec<chart::Leaving> {
    let mut found = Vec::new();
    for order in orders(sweep) {
        let rows = data(sweep, order).concat();
        let over: Vec<&[f64; 2]> = rows.iter().filter(|d| d[1] > frame.top).collect();
        let Some(worst) = over.iter().max_by(|a, b| a[1].total_cmp(&b[1])) else {
            continue;
        };
        let (Some(first), Some(last)) = (over.first(), over.last()) else {
            continue;
        };
        // A line that comes down again is named at itself.
        if over.len() < rows.len() {
            continue;
        }
        let same = over.iter().all(|d| (d[1] - worst[1]).abs() < 0.05);
        let upto = if same {
            String::new()
        } else {
            "up to ".to_owned()
        };
        found.push(chart::Leaving {
            order: Some(order),
            at: (first[0] + last[0]) / 2.0,
            words: format!(
                "{}: {upto}{}",
                words::order_name(order),
                voice.percent(worst[1])
            ),
        });
    }
    found
}

/// Names the feasible widths: inside the band, or beside a narrow one with a thin line to it.
fn bands(canvas: &mut Canvas, sweep: &Sweep, frame: &Frame, placer: &mut Placer) {
    for &[from, to] in &sweep.feasible {
        let (l, r) = (
            frame.x_at(from.max(frame.x[0])),
            frame.x_at(to.min(frame.x[1])),
        );
        if r < l {
            continue;
        }
        let label = "within the limit, deepest point first";
        if !in_band(canvas, label, [l, r], frame, placer) {
            beside_band(canvas, label, [l, r], frame, placer);
        }
    }
}

fn in_band(
    canvas: &mut Canvas,
    label: &str,
    [l, r]: [f64; 2],
    frame: &Frame,
    placer: &mut Placer,
) -> bool {
    let size = Type::Body.size_of(label);
    if r - l < size[0] + 24.0 {
        return false;
    }
    let a = frame.area;
    let rows = (0..80)
        .map(f64::from)
        .map(|k| (k, a.bottom - 14.0 - size[1] / 2.0 - k * 8.0));
    let candidates: Vec<(f64, Box2)> = rows
        .flat_map(|(k, y)| {
            (0..=20).map(f64::from).map(move |j| {
                let x = r - 16.0 - size[0] / 2.0 - (r - l - 32.0 - size[0]) * j / 20.0;
                (k * 8.0 + j, Box2::around([x, y], size))
            })
        })
        .collect();
    let found = placer.take(candidates);
    canvas.put(label, found, Type::Body);
    found.is_some()
}

fn beside_band(
    canvas: &mut Canvas,
    label: &str,
    [l, r]: [f64; 2],
    frame: &Frame,
    placer: &mut Placer,
) {
    let size = Type::Body.size_of(label);
    let middle = (l + r) / 2.0;
    for y in (1..40).map(|k| frame.area.bottom - 16.0 * f64::from(k)) {
        let p = [middle, y];
        let candidates = super::place::around(p, size, 120.0, 0.0)
            .into_iter()
            .filter(|(_, e)| e.right < l - 8.0 || e.left > r + 8.0);
        if let Some(extent) = placer.take(candidates) {
            let from = extent.grown(5.0).nearest(p);
            canvas.stroke(&[from, p], INK, 1.6);
            canvas.dot(p, INK, 4.5);
            placer.avoid_line(&[from, p]);
            canvas.put(label, Some(extent), Type::Body);
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    #[test]
    fn no_text_touches_a_line_a_text_or_an_edge() {
        for (name, sweep) in sample::all_sweeps() {
            for look in Look::ALL {
                let canvas = draw(&sweep, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
                let said = canvas.said();
                assert!(said.contains("plain rule"), "{name} {look:?}");
                assert!(said.contains("limit "), "{name} {look:?}");
                if sweep.recommended_bridge_mm.is_some() {
                    assert!(said.contains("recommended "), "{name} {look:?}");
                }
                if !sweep.feasible.is_empty() {
                    assert!(
                        said.contains("within the limit, deepest"),
                        "{name} {look:?}"
                    );
                }
                for order in orders(&sweep) {
                    let drawn = sweep
                        .rows
                        .iter()
                        .any(|r| r.order == order && r.peak_pct.is_some());
                    let order = words::order_name(order);
                    assert!(
                        !drawn || canvas.has_words(&order),
                        "{name} {look:?}: {order}"
                    );
                }
            }
        }
    }
}

//! The 1:1 print of a section, for a cardboard template, with tick strips.
//!
//! Both are printed at full size: the panel's outline between the tapes, with a tick
//! wherever a mark of 5 mm on the flat film is predicted to land; and the panel unrolled,
//! with the same ticks, one strip an order. What is wider than the page goes on over more
//! pages, 10 mm printed twice and marked. A bar of 100 mm (4 in) on every page tells whether the
//! printer kept the scale.

use super::leaf::{Block, Type};
use super::print::{MARGIN, Printed, print};
use crate::advice::{Check, ProfileRow};
use crate::draw::{BLACK, Box2, Face, PANEL, PaperSize, PdfPage, Pt, Scene, Side};
use crate::say::{Voice, sentence};
use crate::section::Units;

/// What is marked in the units of a sheet.
#[derive(Debug, Clone, Copy)]
struct Scale {
    /// Unstretched film between two ticks, mm.
    tick: f64,
    /// Every how many ticks one is long and has its number.
    long: usize,
    /// Length of the bar that tells whether a print is true, mm, and of its divisions.
    bar: [f64; 2],
    /// Divisions between two long ones of the bar.
    bar_long: usize,
}

impl Scale {
    /// 5 mm and a bar of 100 mm; a quarter inch and a bar of 4 in.
    fn of(units: Units) -> Self {
        match units {
            Units::Mm | Units::Cm => Self {
                tick: 5.0,
                long: 5,
                bar: [100.0, 10.0],
                bar_long: 5,
            },
            Units::Inch => Self {
                tick: 25.4 / 4.0,
                long: 4,
                bar: [4.0 * 25.4, 25.4 / 4.0],
                bar_long: 4,
            },
        }
    }
}

/// Dashes at the seam of two pages, mm.
const SEAM: [f64; 2] = [2.0, 1.5];
/// Printed twice at the seam of two pages, mm.
const OVERLAP: f64 = 10.0;
/// Panel shown beyond the tapes, mm.
const BEYOND: f64 = 12.0;
/// Height of a strip, mm, and of its words above.
const STRIP: f64 = 12.0;
const STRIP_WORDS: f64 = 9.0;
/// Room above the outline for ticks, tapes and words, mm; solid below the deepest point.
const ABOVE: f64 = 14.0;
const BELOW: f64 = 8.0;

/// The pages of a template; none if the section is too deep for the paper.
pub(crate) fn pages(checks: &[Check], paper: PaperSize, voice: Voice) -> Vec<PdfPage> {
    let Some(first) = checks.first() else {
        return Vec::new();
    };
    let size = paper.size();
    let usable = size[0] - 2.0 * MARGIN;
    let (outline, wide, high) = outline(first, Scale::of(voice.units));
    let strips: Vec<(Scene, f64)> = checks
        .iter()
        .filter(|c| c.profile.len() > 1)
        .map(|c| strip(c, voice))
        .collect();
    let longest = strips.iter().map(|s| s.1).fold(wide, f64::max);
    let windows = windows(longest, usable);
    let count = windows.len();
    // All pages' headers are as high as the last one's.
    let head = print(&header(first, (count, count), voice), paper, 0.95, "").bottom;
    let top = (MARGIN + 40.0).max(head + 7.0);
    let below = strips.len() as f64 * (STRIP + STRIP_WORDS + 2.0);
    if top + high + 2.0 + below > size[1] - MARGIN {
        return Vec::new();
    }
    windows
        .iter()
        .enumerate()
        .map(|(i, &from)| {
            let seen = |high: f64| Box2 {
                left: from,
                top: 0.0,
                right: from + usable,
                bottom: high,
            };
            let header = header(first, (i + 1, count), voice);
            let Printed { mut scene, bottom } = print(&header, paper, 0.95, "");
            bar(&mut scene, [MARGIN, bottom + 4.0], voice);
            let (mut sheet, mut y) = (scene, top);
            sheet.put(outline.clone(), [MARGIN, y], 1.0, Some(seen(high)));
            seams(&mut sheet, y, high, (i, count), usable);
            y += high + 2.0;
            for (strip, _) in &strips {
                let tall = STRIP + STRIP_WORDS;
                sheet.put(strip.clone(), [MARGIN, y], 1.0, Some(seen(tall)));
                y += tall + 2.0;
            }
            PdfPage {
                svg: sheet.in_mm(size, "Template at full size"),
                size,
            }
        })
        .collect()
}

/// Left ends of the pages' windows, mm.
fn windows(length: f64, usable: f64) -> Vec<f64> {
    let mut from = 0.0;
    let mut all = vec![from];
    while from + usable < length {
        from += usable - OVERLAP;
        all.push(from);
    }
    all
}

/// Title and what to do.
fn header(check: &Check, (page, count): (usize, usize), voice: Voice) -> [Block<'static>; 2] {
    let more = if count > 1 {
        format!(" Page {page} of {count}: cut on one dashed line and lay it on the other page's.")
    } else {
        String::new()
    };
    let training = voice
        .training(&check.invented)
        .map_or_else(String::new, |t| format!(" {t}."));
    let tick = voice.length(Scale::of(voice.units).tick);
    let words = format!(
        "Print at 100 % (no fit to page). Ticks: where marks every {tick} of unstretched film come to lie, film {}, bridge {}, counted from the left tape. Mark a strip of film every {tick}, lay it, and hold the paper beside it.{more}{training}",
        check.film.name,
        voice.length(check.bridge_mm)
    );
    [
        Block::Title(check.section.name.clone(), "Template at full size"),
        Block::Text(Type::Body, words),
    ]
}

/// The bar that tells whether a print is true.
pub(super) fn bar(sheet: &mut Scene, at: Pt, voice: Voice) {
    let [x, y] = at;
    let scale = Scale::of(voice.units);
    let [whole, part] = scale.bar;
    sheet.line(&[[x, y], [x + whole, y]], 0.4);
    let mut k = 0;
    while k as f64 * part <= whole + 1e-9 {
        let x = x + k as f64 * part;
        // Not a line of its own length: the bar alone is that long.
        let tall = if k % scale.bar_long == 0 { 3.0 } else { 1.8 };
        sheet.line(&[[x, y], [x, y - tall]], 0.25);
        k += 1;
    }
    let words = format!("this bar is {} long", voice.length(whole));
    sheet.print([x + whole + 3.0, y], Face::bold(9.0), Side::Left, &words);
}

/// Dashed lines where two pages overlap.
fn seams(sheet: &mut Scene, y: f64, high: f64, (i, count): (usize, usize), usable: f64) {
    let face = Face::text(8.0);
    let mut seam = |x: f64, other: usize, anchor: Side| {
        let tall = high + 2.0 * (STRIP + STRIP_WORDS + 2.0);
        sheet.dashed(&[[x, y], [x, y + tall]], BLACK, &SEAM, 0.2);
        let away = if anchor == Side::Left { 1.0 } else { -1.0 };
        let words = format!("page {other}");
        sheet.print([x + away, y + 3.0], face, anchor, &words);
    };
    // The same place of the panel on both pages: the middle of what is printed twice.
    if i > 0 {
        seam(MARGIN + 0.5 * OVERLAP, i, Side::Left);
    }
    if i + 1 < count {
        seam(MARGIN + usable - 0.5 * OVERLAP, i + 2, Side::Right);
    }
}

/// The outline at full size with its ticks; its width and height.
fn outline(check: &Check, scale: Scale) -> (Scene, f64, f64) {
    let mut sheet = Scene::default();
    let (left, right) = (
        check.bond_left.x_mm - BEYOND,
        check.bond_right.x_mm + BEYOND,
    );
    let mut line: Vec<[f64; 2]> = vec![[left, check.bond_left.y_mm]];
    line.push([check.bond_left.x_mm, check.bond_left.y_mm]);
    let within = |p: &&[f64; 2]| p[0] > check.bond_left.x_mm && p[0] < check.bond_right.x_mm;
    line.extend(check.section.points.iter().filter(within));
    line.push([check.bond_right.x_mm, check.bond_right.y_mm]);
    line.push([right, check.bond_right.y_mm]);
    let (low, high) = line
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |s, p| {
            (s.0.min(p[1]), s.1.max(p[1]))
        });
    let at = |x: f64, y: f64| [x - left, ABOVE + high - y];
    let surface: Vec<Pt> = line.iter().map(|p| at(p[0], p[1])).collect();
    let height = ABOVE + high - low + BELOW;
    let mut solid = surface.clone();
    solid.push([right - left, height]);
    solid.push([0.0, height]);
    sheet.fill(&solid, PANEL);
    sheet.line(&surface, 0.3);
    for (k, tick) in ticks(&check.profile, scale.tick).into_iter().enumerate() {
        let [x, y] = at(tick.at[0], tick.at[1]);
        // Square to the panel, on both sides of it: whichever side is cut away, ticks stay.
        let tall = if k.is_multiple_of(scale.long) {
            4.5
        } else {
            2.8
        };
        let (dx, dy) = (tick.along[1] * tall, tick.along[0] * tall);
        sheet.line(&[[x + dx, y + dy], [x - dx, y - dy]], 0.2);
    }
    for (bond, out, words) in [
        (check.bond_left, -1.0, "left tape"),
        (check.bond_right, 1.0, "right tape"),
    ] {
        let [x, y] = at(bond.x_mm, bond.y_mm);
        sheet.line(&[[x, y + 4.0], [x, y - 8.0]], 0.5);
        let anchor = if out < 0.0 { Side::Left } else { Side::Right };
        sheet.print([x, y - 9.5], Face::text(8.0), anchor, words);
    }
    (sheet, right - left, height)
}

/// A mark of the flat film on the panel.
struct Tick {
    /// Arc length, mm.
    s: f64,
    /// The place, mm.
    at: Pt,
    /// Direction along the panel there.
    along: Pt,
}

/// Where the marks of the flat film, every `apart` mm from the left tape, lie on the panel.
fn ticks(rows: &[ProfileRow], apart: f64) -> Vec<Tick> {
    let mut all = Vec::new();
    for w in rows.windows(2) {
        let (a, b) = (&w[0], &w[1]);
        if b.film_mm <= a.film_mm {
            continue;
        }
        while all.len() as f64 * apart <= b.film_mm + 1e-9 {
            let film = all.len() as f64 * apart;
            let t = ((film - a.film_mm) / (b.film_mm - a.film_mm)).clamp(0.0, 1.0);
            let mix = |x: f64, y: f64| x + t * (y - x);
            let (p, q) = (a.place, b.place);
            let (dx, dy) = (q.x_mm - p.x_mm, q.y_mm - p.y_mm);
            let norm = dx.hypot(dy).max(1e-12);
            all.push(Tick {
                s: mix(p.s_mm, q.s_mm),
                at: [mix(p.x_mm, q.x_mm), mix(p.y_mm, q.y_mm)],
                along: [dx / norm, dy / norm],
            });
        }
    }
    all
}

/// The panel unrolled, with its ticks; and its length.
fn strip(check: &Check, voice: Voice) -> (Scene, f64) {
    let mut sheet = Scene::default();
    let face = Face::text(8.0);
    let peak = check.peak_pct.map_or_else(
        || "no finite peak".to_owned(),
        |p| format!("highest elongation {}", voice.percent(p)),
    );
    let words = format!(
        "Strip, {}: lay it along the panel from the left tape. Numbers: {} of flat film; {peak}",
        check.order.name.word(),
        voice.unit()
    );
    sheet.print([0.0, 3.2], face, Side::Left, &sentence(&words));
    let (top, bottom) = (STRIP_WORDS, STRIP_WORDS + STRIP);
    let length = check.arc_mm;
    sheet.line(&[[0.2, top], [length, top]], 0.25);
    sheet.line(&[[0.2, bottom], [length, bottom]], 0.25);
    sheet.line(&[[0.2, top], [0.2, bottom]], 0.4);
    sheet.line(&[[length, top], [length, bottom]], 0.4);
    let small = Face::text(7.0);
    let mut last = f64::NEG_INFINITY;
    let scale = Scale::of(voice.units);
    for (k, tick) in ticks(&check.profile, scale.tick).into_iter().enumerate() {
        let s = tick.s - check.bond_left.s_mm;
        let tall = if k.is_multiple_of(scale.long) {
            6.0
        } else {
            4.0
        };
        sheet.line(&[[s, bottom], [s, bottom - tall]], 0.2);
        let number = voice.bare_length(k as f64 * scale.tick);
        let half = 0.5 * small.width(&number);
        if k > 0 && k.is_multiple_of(scale.long) && s - half > last + 1.0 && s + half < length {
            let at = [s, bottom - 7.0];
            sheet.print(at, small, Side::Centre, &number);
            last = s + half;
        }
    }
    (sheet, length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(s: f64, film: f64) -> ProfileRow {
        ProfileRow {
            place: crate::advice::Place {
                s_mm: s,
                x_mm: s,
                y_mm: 0.0,
            },
            film_mm: film,
            elongation_pct: 0.0,
            thickness_um: 90.0,
            tension_n_per_mm: None,
        }
    }

    #[test]
    fn ticks_stand_apart_as_the_film_is_stretched() {
        // Reference: by hand. 10 mm at 0 %, then 15 mm of panel over 10 mm of film (50 %).
        let rows = [row(2.0, 0.0), row(12.0, 10.0), row(27.0, 20.0)];
        let found: Vec<f64> = ticks(&rows, 5.0).iter().map(|t| t.s).collect();
        for (a, b) in found.iter().zip([2.0, 7.0, 12.0, 19.5, 27.0]) {
            assert!((a - b).abs() < 1e-9, "{found:?}");
        }
        assert_eq!(found.len(), 5);
    }

    #[test]
    fn pages_overlap_by_ten_millimetres_and_cover_all() {
        // Reference: by hand; 188 mm a page, 178 further each.
        assert_eq!(windows(188.0, 188.0).len(), 1);
        let two = windows(188.1, 188.0);
        assert!((two[1] - 178.0).abs() < 1e-9 && two.len() == 2);
        assert_eq!(windows(366.0, 188.0).len(), 2);
        assert_eq!(windows(366.1, 188.0).len(), 3);
    }
}

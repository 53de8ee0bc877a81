//! The stages of a lay-down: a row of small frames an order, two for a long list of steps, free film drawn thin and
//! straight, laid film as a ribbon; under each its name, the air still under the film and
//! the force of the fingers.

use super::canvas::{Canvas, Type};
use super::film_on_panel::{is_over, scale_bar, scale_bar_width, second_line};
use super::paper::{FigureError, Look};
use super::plan::{Panel, WORD, lines, verdict, verdict_height, write_verdict};
use super::ribbon::band;
use super::row::paint;
use super::sheet::{self, MARGIN};
use super::words;
use crate::advice::Check;
use crate::advice::Invented;
use crate::draw::{Box2, Pt};
use crate::draw::{INK, PANEL, Side};
use crate::outcome::{AirStage, Stage};
use crate::say::{Voice, sentence};
use crate::told::add_new;

/// Gap between panel and ribbon, and width of the ribbon, picture units.
const GAP: f64 = 2.0;
const RIBBON: f64 = 11.0;
/// Between two frames of a row.
const GUTTER: f64 = 26.0;
/// Panel shown beyond each lip, as a part of the mouth: the most that draws no smaller than
/// the least.
const BEYOND: [f64; 5] = [0.42, 0.7, 1.1, 1.7, 2.5];
/// Loss of scale that more panel in view is worth.
const NO_SMALLER: f64 = 0.97;
/// Frames of a line: the most stages that a named order has.
const FRAMES: usize = 5;
/// Room above the flats of a frame; panel under the deepest point.
const ABOVE: f64 = 22.0;
const BELOW: f64 = 16.0;

/// Refuses checks without stages.
pub(super) fn examine(checks: &[Check]) -> Result<(), FigureError> {
    sheet::examine(checks)?;
    let all = checks.iter().filter_map(|c| c.air.as_ref());
    let places = all.flat_map(|a| &a.stages).flat_map(|s| {
        let free = s.free_mm.iter().flatten().flatten();
        free.chain(s.down_mm.iter().flatten()).chain([&s.cm3_per_m])
    });
    for v in places {
        sheet::finite("a number of a stage", *v)?;
    }
    if checks
        .iter()
        .all(|c| frames(c).is_empty() && words::has_film(c))
    {
        return Err(FigureError::Nothing {
            found: "no stages",
            expected: "checks with a profile",
        });
    }
    Ok(())
}

/// Most frames of an order: two lines.
const MOST_FRAMES: usize = 2 * FRAMES;

/// The stages that are drawn: of a long list of steps the first, the last and some between.
fn frames(check: &Check) -> Vec<&AirStage> {
    let all = check.air.as_ref().map_or(&[][..], |a| &a.stages[..]);
    let n = all.len();
    if n <= MOST_FRAMES {
        return all.iter().collect();
    }
    (0..MOST_FRAMES)
        .map(|k| &all[(k * (n - 1) + (MOST_FRAMES - 1) / 2) / (MOST_FRAMES - 1)])
        .collect()
}

/// A small count as a number to draw with.
fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(1))
}

/// The picture's title.
pub(super) fn answer(checks: &[Check], voice: Voice) -> String {
    words::answer(checks, voice)
}

/// The stages in words.
pub(super) fn described(checks: &[Check], voice: Voice) -> String {
    let one = |check: &Check| {
        let stages: Vec<String> = frames(check)
            .iter()
            .map(|s| captions(check, s, voice).join(", "))
            .collect();
        let said = words::no_film(check, voice).unwrap_or_else(|| stages.join("; "));
        format!("{}: {said}.", words::order(&check.order))
    };
    checks.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// A stage as a caption.
fn name(stage: Stage) -> &'static str {
    match stage {
        Stage::Bridged => "bridged",
        Stage::Pressed => "pressed",
        Stage::Flats => "flats",
        Stage::Floor => "floor",
        Stage::Wall => "wall",
        Stage::FarWall => "far wall",
        Stage::Step => "worked on",
        Stage::Down => "down",
    }
}

/// Name and force, and air, under a frame.
fn captions(check: &Check, stage: &AirStage, voice: Voice) -> [String; 2] {
    // Steps of one's own press more than once: the stage itself, not its name.
    let stages = check.air.iter().flat_map(|air| &air.stages);
    let number = stages.zip(0..).find(|(s, _)| std::ptr::eq(*s, stage));
    let force = check.force.as_ref().zip(number);
    let force = force.and_then(|(f, (_, k))| f.stages.get::<usize>(k));
    let name = name(stage.stage);
    let pressed = match force {
        Some(f) if f.force_n >= 0.05 => {
            let digits = usize::from(f.force_n < 9.95);
            format!("{name}, {}\u{2009}N", voice.number(f.force_n, digits))
        }
        _ => name.to_owned(),
    };
    let air = format!("{} cm³/m", voice.number(stage.cm3_per_m, 0));
    [pressed, air]
}

/// Draws the picture.
pub(super) fn draw(checks: &[Check], look: Look) -> Canvas {
    sheet::high_enough(look, |canvas| drawn(canvas, checks))
}

fn drawn(canvas: &mut Canvas, checks: &[Check]) -> f64 {
    let voice = canvas.voice;
    let body = sheet::head(canvas, &answer(checks, voice), &second_line(checks, voice));
    let over = checks.iter().any(is_over);
    let bar = scale_bar_width(over);
    let width = canvas.width - 2.0 * MARGIN - bar - 60.0;
    let foot = sheet::foot(canvas, &note(checks, voice), width);
    scale_bar(canvas, checks[0].film.limit_pct, over, bar);
    let room = Box2 {
        top: body.top + 14.0,
        bottom: foot.min(canvas.height - 44.0 - 92.0) - 14.0,
        ..body
    };
    let views = BEYOND.map(|part| {
        let panel = Panel::about(checks, part);
        let plan = Plan::new(checks, &panel, room, voice);
        (panel, plan)
    });
    let least = NO_SMALLER * views[0].1.scale;
    let widest = views.iter().rposition(|v| v.1.scale >= least);
    let (panel, plan) = &views[widest.unwrap_or(0)];
    let mut top = room.top;
    for (check, height) in checks.iter().zip(&plan.rows) {
        titles(canvas, check, [room.left, top], plan);
        for (k, stage) in frames(check).into_iter().enumerate() {
            let left = room.left + plan.beside + count(k % FRAMES) * (plan.column + GUTTER);
            let [from, to] = panel.ends();
            let frame = Frame {
                check,
                panel,
                left: left + (plan.column - plan.scale * (to - from)) / 2.0,
                level: top
                    + plan.above(check, voice)
                    + count(k / FRAMES) * (plan.line + BETWEEN)
                    + ABOVE,
                scale: plan.scale,
            };
            let bottom = frame.draw(canvas, stage);
            let (centre, y) = (left + plan.column / 2.0, bottom + 30.0);
            let [pressed, air] = captions(check, stage, voice);
            canvas.write(&pressed, [centre, y], Side::Centre, Type::Value);
            let y = y + Type::Body.leading();
            canvas.write(&air, [centre, y], Side::Centre, Type::Body);
        }
        top += height + plan.between;
    }
    plan.lack
}

/// What the numbers are.
fn note(checks: &[Check], voice: Voice) -> String {
    let force = checks
        .iter()
        .filter_map(|c| c.force.as_ref())
        .find(|f| f.largest_n.is_some());
    let forces = force.map(|f| {
        let warm = f.temperature_c.map_or_else(String::new, |t| {
            format!(" with the film at {} °C", voice.number(t, 0))
        });
        format!("force of one {} at a front{warm}", checks[0].tool.name)
    });
    let said = ["under each stage the air under the film in a metre of recess".to_owned()]
        .into_iter()
        .chain(forces)
        .collect::<Vec<_>>()
        .join("; ");
    let mut invented = checks[0].invented.clone();
    let more = checks.iter().flat_map(|c| &c.invented_in_force);
    let used: Vec<_> = more
        .filter(|i| force.is_some() && !matches!(i.0, Invented::HandForce { .. }))
        .cloned()
        .collect();
    add_new(&mut invented, &used);
    let training = words::training(&invented, voice);
    [format!("{}.", sentence(&said))]
        .into_iter()
        .chain(training)
        .collect::<Vec<_>>()
        .join(" ")
}

/// Where rows and frames are.
struct Plan {
    /// Picture units a millimetre.
    scale: f64,
    /// Width of the headings beside the frames; 0 with the headings above.
    beside: f64,
    /// Width of a frame, and height of a line of them with what is written below.
    column: f64,
    line: f64,
    /// Height of each row, and the room between two.
    rows: Vec<f64>,
    between: f64,
    width: f64,
    /// Height that is missing: not more than 0 where all fits.
    lack: f64,
}

/// Width of the headings beside the frames.
const HEADINGS: f64 = 336.0;
/// Least room between two rows.
const BETWEEN: f64 = 14.0;

impl Plan {
    /// Tries headings beside the frames and above them; takes what draws larger.
    fn new(checks: &[Check], panel: &Panel, room: Box2, voice: Voice) -> Self {
        let ([low, high], [from, to]) = (panel.span(), panel.ends());
        let n = count(checks.len());
        let lines = |c: &Check| count(frames(c).len().div_ceil(FRAMES));
        let all: f64 = checks.iter().map(lines).sum();
        let within: f64 = checks.iter().map(|c| (lines(c) - 1.0).max(0.0)).sum();
        let fixed = ABOVE + BELOW + 2.0 * Type::Body.leading() + 4.0;
        let across = checks.iter().map(|c| frames(c).len()).max();
        let across = count(across.unwrap_or(1).clamp(1, FRAMES));
        let layouts = [HEADINGS, 0.0].map(|beside| {
            let column = (room.width() - beside - GUTTER * (across - 1.0)) / across;
            let mut plan = Self {
                scale: column / (to - from),
                beside,
                column,
                line: 0.0,
                rows: Vec::new(),
                between: BETWEEN,
                width: room.width(),
                lack: 0.0,
            };
            let heads: f64 = checks.iter().map(|c| plan.above(c, voice)).sum();
            let words: f64 = checks.iter().map(|c| plan.wordy(c, voice)).sum();
            let free = room.height() - heads - words - BETWEEN * (n - 1.0 + within);
            let tall = free / all.max(1.0) - fixed;
            plan.scale = plan.scale.min(tall.max(20.0) / (high - low).max(1e-6));
            plan
        });
        let [beside, above] = layouts;
        let mut plan = if beside.scale >= above.scale {
            beside
        } else {
            above
        };
        plan.line = fixed + plan.scale * (high - low);
        let row = |c: &Check| {
            plan.above(c, voice)
                + match lines(c) {
                    0.0 => plan.wordy(c, voice),
                    lines => lines * (plan.line + BETWEEN) - BETWEEN,
                }
        };
        plan.rows = checks.iter().map(row).collect();
        let spare = room.height() - plan.rows.iter().sum::<f64>() - BETWEEN * (n - 1.0);
        plan.lack = -spare;
        plan.between += (spare / n).clamp(0.0, 70.0);
        plan
    }

    /// Height of an order without frames, beside its heading: why there are none.
    fn wordy(&self, check: &Check, voice: Voice) -> f64 {
        if self.beside <= 0.0 || !frames(check).is_empty() {
            return 0.0;
        }
        let name = words::order(&check.order);
        let said = verdict_height(&said(check, voice), self.width - self.beside);
        lines(&name, self.beside - 24.0, Type::Head).max(said)
    }

    /// Height of a heading above its frames.
    fn above(&self, check: &Check, voice: Voice) -> f64 {
        if self.beside > 0.0 {
            return 0.0;
        }
        let start = Type::Head.width(&words::order(&check.order)) + 24.0;
        verdict_height(&said(check, voice), self.width - start) + 10.0
    }
}

/// Within or over, with the peak; where there is nothing to draw, why.
fn said(check: &Check, voice: Voice) -> [String; 2] {
    let [word, of] = verdict(check, voice);
    match check.peak_pct.filter(|_| !word.is_empty()) {
        Some(peak) => {
            let peak = voice.beside(peak, check.film.limit_pct);
            [word, format!("peak\u{a0}{peak}")]
        }
        None => [word, of],
    }
}

/// Name and verdict; where there is nothing to draw, why.
fn titles(canvas: &mut Canvas, check: &Check, at: Pt, plan: &Plan) {
    let (name, said) = (words::order(&check.order), said(check, canvas.voice));
    let y = at[1] + Type::Head.em();
    if plan.beside > 0.0 {
        let width = plan.beside - 24.0;
        let next = canvas.paragraph(&name, [at[0], y], width, Type::Head);
        if frames(check).is_empty() {
            let left = at[0] + plan.beside;
            write_verdict(canvas, &said, [left, y], plan.width - plan.beside);
        } else {
            write_verdict(canvas, &said, [at[0], next + WORD - 3.0], width);
        }
        return;
    }
    let y = y + WORD - 4.0;
    let extent = canvas.write(&name, [at[0], y], Side::Left, Type::Head);
    let from = extent.right + 24.0;
    write_verdict(canvas, &said, [from, y], at[0] + plan.width - from);
}

/// One frame.
struct Frame<'a> {
    check: &'a Check,
    panel: &'a Panel,
    left: f64,
    level: f64,
    scale: f64,
}

impl Frame<'_> {
    fn at(&self, p: [f64; 2]) -> Pt {
        [
            self.left + (p[0] - self.panel.ends()[0]) * self.scale,
            self.level + (self.panel.span()[1] - p[1]) * self.scale,
        ]
    }

    /// Draws it and returns its bottom.
    fn draw(&self, canvas: &mut Canvas, stage: &AirStage) -> f64 {
        let surface: Vec<Pt> = self.panel.line.iter().map(|&p| self.at(p)).collect();
        let (first, last) = (surface[0], surface[surface.len() - 1]);
        let bottom = surface.iter().map(|p| p[1]).fold(self.level, f64::max) + BELOW;
        let mut solid = surface.clone();
        solid.extend([[last[0], bottom], [first[0], bottom]]);
        canvas.fill(&solid, PANEL);
        for path in &stage.free_mm {
            let lifted: Vec<Pt> = path
                .iter()
                .map(|&p| self.at(p))
                .map(|p| [p[0], p[1] - GAP - RIBBON / 2.0])
                .collect();
            for run in cut(&lifted, first[0], last[0]) {
                canvas.stroke(&run, INK, 2.6);
            }
        }
        for &[from, to] in &stage.down_mm {
            self.ribbon(canvas, from, to, [first[0], last[0]]);
        }
        bottom
    }

    /// The laid film between two arc lengths, as far as the frame shows it.
    fn ribbon(&self, canvas: &mut Canvas, from: f64, to: f64, [left, right]: [f64; 2]) {
        let rows = between(self.check, from, to);
        let inside: Vec<&[f64; 3]> = {
            let x = |r: &[f64; 3]| self.at([r[0], r[1]])[0];
            rows.iter()
                .filter(|r| x(r) >= left - 1e-6 && x(r) <= right + 1e-6)
                .collect()
        };
        if inside.len() < 2 {
            return;
        }
        let film: Vec<Pt> = inside.iter().map(|r| self.at([r[0], r[1]])).collect();
        let samples = band(&film, GAP, GAP + RIBBON);
        if samples.len() < 2 {
            return;
        }
        let pct: Vec<f64> = samples
            .iter()
            .map(|s| {
                let (a, b) = (inside[s.segment][2], inside[s.segment + 1][2]);
                a + s.part * (b - a)
            })
            .collect();
        let limit = self.check.film.limit_pct;
        paint(canvas, &samples, &pct, limit, |_| limit);
    }
}

/// Rows `[x, y, elongation]` of the profile between two arc lengths, ends included.
fn between(check: &Check, from: f64, to: f64) -> Vec<[f64; 3]> {
    let row = |k: usize| {
        let r = &check.profile[k];
        (r.place.s_mm, [r.place.x_mm, r.place.y_mm, r.elongation_pct])
    };
    let mut found = Vec::new();
    for k in 1..check.profile.len() {
        let ((sa, a), (sb, b)) = (row(k - 1), row(k));
        let (low, high) = (sa.max(from), sb.min(to));
        if high <= low {
            continue;
        }
        let at = |s: f64| {
            let t = (s - sa) / (sb - sa);
            [0, 1, 2].map(|i| a[i] + t * (b[i] - a[i]))
        };
        found.push(at(low));
        found.push(at(high));
    }
    found
}

/// The parts of a line between two abscissae.
fn cut(line: &[Pt], left: f64, right: f64) -> Vec<Vec<Pt>> {
    let mut runs: Vec<Vec<Pt>> = Vec::new();
    for w in line.windows(2) {
        let (a, b) = (w[0], w[1]);
        let run = b[0] - a[0];
        let at = |x: f64| [x, a[1] + (b[1] - a[1]) * (x - a[0]) / run];
        if b[0] < left || a[0] > right {
            continue;
        }
        let from = if a[0] < left { at(left) } else { a };
        let to = if b[0] > right { at(right) } else { b };
        match runs.last_mut() {
            Some(last) if last.last() == Some(&from) => last.push(to),
            _ => runs.push(vec![from, to]),
        }
    }
    runs
}

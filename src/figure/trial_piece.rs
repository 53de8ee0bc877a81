//! One trial piece on its axes: steps as measured, curves as computed, marks along the foot.

use super::canvas::{Canvas, Type};
use super::chart::{self, Frame};
use super::place::{Placer, around};
use super::ticks::{length_ticks, round_ticks};
use crate::draw::{Box2, INK, PANEL, Pt, READING, Side, WHITE};
use crate::evidence::trial::{Limit, PieceReport, Span, TrialReport};
use crate::laydown::OrderName;
use crate::say::sentence;

/// Width of a measured step, of its error and of a computed curve.
const STEP: f64 = 9.0;
const ERROR: f64 = 2.0;
const CURVE: f64 = 4.0;
/// Half the width of an error's caps, and half the size of a cross.
const CAP: f64 = 7.0;
const CROSS: f64 = 8.0;
/// Height of a mark's tick at the foot.
const TICK: f64 = 11.0;
/// Height of a band that is open on one side.
const OPEN: f64 = 16.0;
/// How far from what it names a label may stand.
const NEAR: f64 = 110.0;

/// Marks of a piece that may be misread: where on the flat film, and on the panel, mm.
pub(super) struct Slips(Vec<Pt>);

/// The marks of a piece that may be misread.
pub(super) fn slipped(report: &TrialReport, piece: &PieceReport) -> Slips {
    let mine = report.slips.iter().filter(|s| s.piece == piece.name);
    let flats: Vec<f64> = mine.map(|s| s.flat_mm).collect();
    let slip = |flat: f64| flats.iter().any(|f| (f - flat).abs() < 1e-9);
    let marks = piece.marks.iter().filter(|m| slip(m.flat_mm));
    let at = marks.map(|m| [m.flat_mm, m.panel_mm - piece.origin_mm]);
    Slips(at.collect())
}

impl Slips {
    /// Does a step end at one of them?
    pub(super) fn of(&self, span: &Span) -> bool {
        let at = |flat: f64| self.0.iter().any(|s| (s[0] - flat).abs() < 1e-9);
        span.flat_mm.into_iter().any(at)
    }
}

/// Heights of the band in which the limit lies: lower and upper edge. One that is not bounded on
/// a side ends there after [`OPEN`].
pub(super) fn band(frame: &Frame, limit: &Limit) -> [f64; 2] {
    let at = |pct: f64| frame.y_at(pct.min(frame.top));
    match limit.between_pct.map(|edge| edge.map(at)) {
        [Some(low), Some(high)] => [low, high],
        [Some(low), None] => [low, low - OPEN],
        [None, Some(high)] => [high + OPEN, high],
        [None, None] => [frame.area.bottom; 2],
    }
}

/// A piece, where it is drawn.
pub(super) struct Panel<'a> {
    pub(super) frame: Frame,
    pub(super) piece: &'a PieceReport,
    pub(super) slips: Slips,
    pub(super) limit: Option<&'a Limit>,
}

impl Panel<'_> {
    /// Draws the panel; `first`: of its row, with the numbers at its left; `named`: what a panel
    /// before this one has named already.
    pub(super) fn draw(&self, canvas: &mut Canvas, first: bool, named: &mut Vec<&'static str>) {
        self.heading(canvas);
        let frame = &self.frame;
        let mut placer = Placer::new(frame.area.grown(-4.0), 5.0);
        self.band(canvas);
        self.axes(canvas, first, &mut placer);
        let steps = self.steps(canvas, &mut placer);
        let curves = self.curves(canvas, &mut placer);
        self.marks(canvas, &mut placer);
        self.fates(canvas, &mut placer);
        self.peak(canvas, &mut placer);
        for (words, points) in curves.into_iter().chain([("measured", steps)]) {
            if points.is_empty() || named.contains(&words) {
                continue;
            }
            if near(canvas, &mut placer, words, &points, NEAR) {
                named.push(words);
            }
        }
    }

    /// Name, and bridge with what became of it.
    fn heading(&self, canvas: &mut Canvas) {
        let (area, voice) = (self.frame.area, canvas.voice);
        let fit = |words: &str, face: Type| {
            let lines = face.wrap(words, area.width());
            match lines.len() {
                0 | 1 => words.to_owned(),
                _ => format!("{}\u{2026}", lines[0].trim_end_matches(',')),
            }
        };
        let name = fit(&sentence(&self.piece.name), Type::Value);
        canvas.write(&name, [area.left, area.top - 50.0], Side::Left, Type::Value);
        let words = fit(&voice.piece_short(self.piece), Type::Body);
        canvas.write(&words, [area.left, area.top - 17.0], Side::Left, Type::Body);
    }

    /// Where the limit lies.
    fn band(&self, canvas: &mut Canvas) {
        let Some(limit) = self.limit else { return };
        let [bottom, top] = band(&self.frame, limit);
        let area = Box2 {
            top,
            bottom,
            ..self.frame.area
        };
        canvas.fill(&area.corners(), PANEL);
    }

    /// Foot line with round lengths, lips, and elongations at the left of a row.
    fn axes(&self, canvas: &mut Canvas, first: bool, placer: &mut Placer) {
        let (frame, voice) = (&self.frame, canvas.voice);
        let a = frame.area;
        let end = self.piece.fitted.last().map_or(0.0, |at| at[0]);
        let foot = [frame.at(0.0, 0.0), frame.at(end, 0.0)];
        canvas.stroke(&foot, INK, 2.0);
        for tape in foot {
            canvas.stroke(&[tape, [tape[0], tape[1] - 18.0]], INK, 4.0);
        }
        // The same steps in all panels, however much of its own a piece has.
        let [from, to] = frame.x;
        let all = length_ticks(0.0, to - from, a.width() / 110.0, voice.units);
        let mut free = f64::NEG_INFINITY;
        for mm in all.into_iter().take_while(|&mm| mm <= end) {
            let (x, words) = (frame.x_at(mm), voice.bare_length(mm));
            let half = 0.5 * Type::Body.width(&words);
            canvas.stroke(&[[x, a.bottom], [x, a.bottom + 8.0]], INK, 2.0);
            if x - half > free && x + half < a.right + 14.0 {
                canvas.write(&words, [x, a.bottom + 36.0], Side::Centre, Type::Body);
                free = x + half + 10.0;
            }
        }
        for lip in self.piece.lips_mm {
            let x = frame.x_at(lip);
            let line = [[x, a.top], [x, a.bottom]];
            canvas
                .scene
                .dashed(&line, [0x8a, 0x8e, 0x92], &[3.0, 6.0], 2.0);
            placer.avoid_line(&line);
        }
        if first {
            for v in round_ticks(0.0, frame.top, (a.height() / 44.0).max(2.0)) {
                let y = frame.y_at(v);
                canvas.stroke(&[[a.left - 9.0, y], [a.left - 2.0, y]], INK, 2.0);
                let at = [a.left - 15.0, y + 0.35 * Type::Body.em()];
                canvas.write(&voice.limit(v), at, Side::Right, Type::Body);
            }
        }
    }

    /// Elongations from mark to mark, each with its error; their middles.
    fn steps(&self, canvas: &mut Canvas, placer: &mut Placer) -> Vec<Pt> {
        let mut found = Vec::new();
        for span in &self.piece.spans {
            let [from, to] = span.panel_mm.map(|mm| mm - self.piece.origin_mm);
            let at = |x: f64, pct: f64| self.frame.at(x, pct.clamp(0.0, self.frame.top));
            let step = [at(from, span.elongation_pct), at(to, span.elongation_pct)];
            if self.slips.of(span) {
                canvas.scene.dashed(&step, READING, &[5.0, 5.0], 3.0);
                placer.avoid_line(&step);
                continue;
            }
            canvas.stroke(&step, READING, STEP);
            let middle = 0.5 * (from + to);
            let ends = [-1.0, 1.0].map(|k| at(middle, span.elongation_pct + k * span.error_pct));
            let cap = |p: Pt| [[p[0] - CAP, p[1]], [p[0] + CAP, p[1]]];
            for line in [ends, cap(ends[0]), cap(ends[1])] {
                canvas.stroke(&line, READING, ERROR);
                placer.avoid_line(&line);
            }
            placer.avoid_box(Box2::around(at(middle, span.elongation_pct), [0.0, STEP]));
            placer.avoid_line(&step);
            found.push(at(middle, span.elongation_pct));
        }
        found
    }

    /// Curves as computed, before the trial and with what it tells; their names and points.
    fn curves(&self, canvas: &mut Canvas, placer: &mut Placer) -> Vec<(&'static str, Vec<Pt>)> {
        let piece = self.piece;
        let same = piece.fitted.len() == piece.before.len()
            && (piece.fitted.iter().zip(&piece.before)).all(|(a, b)| (a[1] - b[1]).abs() < 0.05);
        let name = if same { "computed" } else { "fitted" };
        let before = (OrderName::EdgeFirst, "before the trial", &piece.before);
        let fitted = (OrderName::DeepestFirst, name, &piece.fitted);
        let mut found = Vec::new();
        for (order, name, data) in [before, fitted] {
            if same && name != "computed" {
                continue;
            }
            let (colour, dash) = chart::look(Some(order));
            let runs = self.frame.line(data);
            for run in &runs {
                canvas.scene.dashed(run, colour, dash, CURVE);
                placer.avoid_line(run);
            }
            found.push((name, runs.concat()));
        }
        found
    }

    /// Marks at the foot, crosses where one may be misread.
    fn marks(&self, canvas: &mut Canvas, placer: &mut Placer) {
        let foot = |mm: f64| self.frame.at(mm, 0.0);
        for mark in &self.piece.marks {
            let [x, y] = foot(mark.panel_mm - self.piece.origin_mm);
            canvas.stroke(&[[x, y], [x, y - TICK]], READING, 2.0);
        }
        let all = Box2 {
            top: self.frame.area.bottom - TICK,
            ..self.frame.area
        };
        placer.avoid_box(all);
        for slip in &self.slips.0 {
            let [x, y] = foot(slip[1]);
            let y = y - TICK - CROSS - 4.0;
            for k in [-1.0, 1.0] {
                let line = [[x - CROSS, y - k * CROSS], [x + CROSS, y + k * CROSS]];
                canvas.stroke(&line, INK, 3.0);
                placer.avoid_line(&line);
            }
            near(canvas, placer, "misread?", &[[x, y]], NEAR);
        }
    }

    /// Where film whitened, tore, lifted or creased.
    fn fates(&self, canvas: &mut Canvas, placer: &mut Placer) {
        for outcome in &self.piece.outcomes {
            let Some(mm) = outcome.panel_mm else { continue };
            let below = self.piece.fitted.partition_point(|at| at[0] < mm);
            let Some(at) = self.piece.fitted.get(below).or(self.piece.fitted.last()) else {
                continue;
            };
            let [x, y] = self.frame.at(mm, at[1].min(self.frame.top));
            let tip = |k: f64| [x + 12.0 * k, y - 30.0];
            canvas.fill(&[[x, y - 6.0], tip(1.0), tip(-1.0)], INK);
            placer.avoid_box(Box2::around([x, y - 18.0], [24.0, 26.0]));
            near(canvas, placer, outcome.fate.name(), &[[x, y - 30.0]], NEAR);
        }
    }

    /// The peak with its value.
    fn peak(&self, canvas: &mut Canvas, placer: &mut Placer) {
        let piece = self.piece;
        let at = self
            .frame
            .at(piece.peak_at_mm, piece.peak_pct.min(self.frame.top));
        canvas.dot(at, INK, 7.0);
        canvas.dot(at, WHITE, 3.0);
        placer.avoid_box(Box2::around(at, [14.0, 14.0]));
        near(
            canvas,
            placer,
            &canvas.voice.percent(piece.peak_pct),
            &[at],
            2.0 * NEAR,
        );
    }
}

/// Writes a label near one of some points where it touches nothing.
fn near(canvas: &mut Canvas, placer: &mut Placer, words: &str, points: &[Pt], reach: f64) -> bool {
    let size = Type::Value.size_of(words);
    let step = (points.len() / 12).max(1);
    let places = points.iter().step_by(step);
    let found = placer.take(places.flat_map(|&p| around(p, size, reach, 3.0)));
    canvas.put(words, found, Type::Value);
    found.is_some()
}

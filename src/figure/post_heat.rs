//! Post-heating along the recess: a strip a line, coloured by the film's temperature, over it the
//! readings with the instrument's error, the least temperature as a line, gaps blank and hatched.
//!
//! Each reading colours half a spacing to either side, no further than half way to the next. The
//! scale is the temperature axis itself: one for every record of a class. What a place is, its
//! mark says as well: a dot where it was reached, a ring where the error decides, a triangle
//! that points to where it is off.

use super::canvas::{Canvas, Type};
use super::cividis::{STEPS, step_colour, step_of};
use super::compare::hatch;
use super::drawing::Drawing;
use super::paper::{FigureError, Look};
use super::place::{Placer, around};
use super::sheet::{self, MARGIN};
use super::ticks::{length_ticks, round_ticks};
use crate::draw::{BAND, Box2, INK, PANEL, Pt, Side, WHITE};
use crate::evidence::heat::{GapKind, HeatLine, HeatPlace, HeatReport, HeatVerdict};
use crate::say::{Voice, sentence};

/// Least height of a line's readings, picture units: five labels one above the other.
const LOW: f64 = 150.0;
/// Most: more says no more.
const TALL: f64 = 420.0;
/// Height of the strip under them.
const STRIP: f64 = 34.0;
/// Room for the name over a line, and under it.
const NAME: f64 = 46.0;
/// Room for the temperatures at the left, and the verdict at the right.
const AXIS: f64 = 96.0;
const WORD: f64 = 196.0;
/// Room for the places and their unit under the last line.
const PLACES: f64 = 84.0;
/// Scale of colour below the least temperature and above it where there is no most, degC. Less
/// has no colours for film that was missed; more leaves all that was reached in one.
const AROUND: f64 = 30.0;
/// Half the size of a mark, and of the caps of its error.
const MARK: f64 = 6.5;
const CAP: f64 = 15.0;
/// Narrowest gap that is seen from the back of a room.
const SEEN: f64 = 8.0;

/// Draws the record of post-heating along the recess.
///
/// # Errors
/// [`FigureError::Nothing`] without a reading, [`FigureError::Number`] if a number is not finite.
pub fn post_heat_strip(report: &HeatReport, look: impl Into<Look>) -> Result<Drawing, FigureError> {
    let look = look.into();
    if report.places().next().is_none() {
        return Err(FigureError::Nothing {
            found: "no reading",
            expected: "at least one",
        });
    }
    for place in report.places() {
        sheet::finite("a place", place.place_mm)?;
        sheet::finite("a temperature", value(place))?;
    }
    let title = sentence(&look.voice().heat_verdict(report));
    let canvas = sheet::high_enough(look, |canvas| draw(canvas, report, &title));
    let described = described(report, look.voice());
    Ok(Drawing::new(canvas, look, [title, described]))
}

/// What a place is drawn at: the film's temperature, or what was read where that is not known.
fn value(place: &HeatPlace) -> f64 {
    place.corrected_c.unwrap_or(place.reading_c)
}

/// The picture in words.
fn described(report: &HeatReport, voice: Voice) -> String {
    let line = |line: &HeatLine| {
        let bounds = voice.heat_bounds(report);
        let place = |p: &HeatPlace| {
            let t = voice.kelvins(value(p), &bounds);
            format!("{} {t} ({})", voice.length(p.place_mm), p.verdict.word())
        };
        let gaps = line
            .gaps
            .iter()
            .map(|gap| voice.heat_gap(gap, report.spacing_mm));
        let all: Vec<String> = line.places.iter().map(place).chain(gaps).collect();
        format!("{}: {}.", voice.heat_line(line), all.join("; "))
    };
    let lines: Vec<String> = report.lines.iter().map(line).collect();
    format!(
        "{}, film {}. {}",
        report.record,
        report.film,
        lines.join(" ")
    )
}

/// Temperatures of the axis and of the scale of colour, degC.
struct Scale {
    axis: [f64; 2],
    colour: [f64; 2],
}

impl Scale {
    fn of(report: &HeatReport) -> Self {
        let seen = report.places().map(value);
        let (low, high) = seen.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| {
            (low.min(t), high.max(t))
        });
        let least = report.post_heat_min_c.as_ref().map(|n| n.value);
        let most = report.post_heat_max_c.as_ref().map(|n| n.value);
        let colour = match (least, most) {
            (Some(least), most) => [least - AROUND, most.unwrap_or(least + AROUND)],
            (None, Some(most)) => [most - 2.0 * AROUND, most],
            (None, None) => [low - 1.0, high + 1.0],
        };
        let room = report.instrument_error_c + 4.0;
        Self {
            axis: [
                colour[0].min(low - room),
                (colour[1] + 6.0).max(high + room),
            ],
            colour,
        }
    }

    /// Step of the scale of colour.
    fn step(&self, t: f64) -> usize {
        step_of((t - self.colour[0]) / (self.colour[1] - self.colour[0]))
    }
}

/// Draws on a canvas; returns the height that is missing.
fn draw(canvas: &mut Canvas, report: &HeatReport, title: &str) -> f64 {
    let voice = canvas.voice;
    let bounds = [
        ("at least", &report.post_heat_min_c),
        ("at most", &report.post_heat_max_c),
    ];
    let bounds = bounds.into_iter().filter_map(|(word, n)| {
        let bound = voice.celsius(n.as_ref()?.value);
        Some(format!(", {word} {bound}"))
    });
    let second = format!(
        "{}, film {}{}",
        report.record,
        report.film,
        bounds.collect::<String>()
    );
    let body = sheet::head(canvas, title, &second);
    let foot = sheet::foot(canvas, &note(report, voice), canvas.width - 2.0 * MARGIN);
    let n = report.lines.len() as f64;
    let room = (foot - 20.0 - body.top - PLACES) / n;
    let plot = (room - NAME - STRIP).clamp(LOW, TALL);
    let strips = Strips {
        report,
        scale: Scale::of(report),
        left: MARGIN + AXIS,
        right: canvas.width - MARGIN - WORD,
        along: along(report),
    };
    let mut top = body.top + NAME;
    for line in &report.lines {
        strips.line(canvas, line, [top, top + plot]);
        top += plot + STRIP + NAME;
    }
    let bottom = top - NAME;
    strips.places(canvas, bottom);
    bottom + PLACES - (foot - 20.0)
}

/// What the marks are.
fn note(report: &HeatReport, voice: Voice) -> String {
    let error = voice.give_or_take(&voice.celsius(report.instrument_error_c));
    let film = match report.emissivity {
        Some(e) => format!(
            "Mark: temperature of the film, corrected for its emissivity of {}, between the instrument's {error}.",
            voice.number(e, 3)
        ),
        None => "Ring: as read, not corrected.".to_owned(),
    };
    let training = voice.training(&report.invented);
    let training = training.map_or_else(String::new, |words| format!(" {words}."));
    format!(
        "{film} A reading stands for {} to either side; hatched: none does, or it is off.{training}",
        voice.length(0.5 * report.spacing_mm)
    )
}

/// The stretch of the recess that is drawn, mm.
fn along(report: &HeatReport) -> [f64; 2] {
    let places = report.places().map(|p| p.place_mm);
    let from = places.clone().fold(f64::INFINITY, f64::min);
    let to = places.fold(from, f64::max);
    let half = 0.5 * report.spacing_mm;
    report
        .length_mm
        .map_or([from - half, to + half], |length| [0.0, length])
}

/// Everything but the words around it.
struct Strips<'a> {
    report: &'a HeatReport,
    scale: Scale,
    left: f64,
    right: f64,
    along: [f64; 2],
}

impl Strips<'_> {
    fn x(&self, mm: f64) -> f64 {
        let [from, to] = self.along;
        self.left + (mm - from) / (to - from) * (self.right - self.left)
    }

    fn y(&self, t: f64, [top, bottom]: [f64; 2]) -> f64 {
        let [low, high] = self.scale.axis;
        bottom - (t - low) / (high - low) * (bottom - top)
    }

    /// One line: its readings between two heights, its strip below.
    fn line(&self, canvas: &mut Canvas, line: &HeatLine, span: [f64; 2]) {
        let [top, bottom] = span;
        let voice = canvas.voice;
        canvas.write(
            &voice.heat_line(line),
            [self.left, top - 12.0],
            Side::Left,
            Type::Head,
        );
        let all = Box2 {
            left: self.left,
            top,
            right: self.right,
            bottom,
        };
        canvas.fill(&all.corners(), BAND);
        let mut placer = Placer::new(all, 5.0);
        self.strip(canvas, line, [bottom, bottom + STRIP]);
        let blank = self.gaps(canvas, line, span);
        self.axis(canvas, span);
        self.bounds(canvas, span, &mut placer);
        for place in &line.places {
            self.mark(canvas, place, span, &mut placer);
        }
        for area in blank {
            self.blank(canvas, area, &mut placer);
        }
        self.labels(canvas, line, span, &mut placer);
        self.word(canvas, line, span);
    }

    /// Temperatures at the left, with the colours they have in the strip.
    fn axis(&self, canvas: &mut Canvas, span: [f64; 2]) {
        let [low, high] = self.scale.colour;
        for step in 0..STEPS {
            let at = |k: usize| self.y(low + (high - low) * k as f64 / STEPS as f64, span);
            let bar = Box2 {
                left: self.left - 20.0,
                top: at(step + 1),
                right: self.left - 6.0,
                bottom: at(step),
            };
            canvas.fill(&bar.corners(), step_colour(step));
        }
        let room = (span[1] - span[0]) / 34.0;
        for t in round_ticks(self.scale.axis[0], self.scale.axis[1], room.max(2.0)) {
            let y = self.y(t, span);
            let words = canvas.voice.number(t, 0);
            let extent = y - 9.0 > span[0] && y < span[1] - 4.0;
            if extent {
                canvas.write(&words, [self.left - 28.0, y + 9.0], Side::Right, Type::Body);
            }
        }
    }

    /// The least temperature as a line, the most as a dashed one, each with its value.
    fn bounds(&self, canvas: &mut Canvas, span: [f64; 2], placer: &mut Placer) {
        let least = (self.report.post_heat_min_c.as_ref(), &[][..]);
        let most = (self.report.post_heat_max_c.as_ref(), &[14.0, 9.0][..]);
        for (bound, dash) in [least, most] {
            let Some(bound) = bound else { continue };
            let y = self.y(bound.value, span);
            let line = [[self.left, y], [self.right, y]];
            canvas.scene.dashed(&line, INK, dash, 3.0);
            placer.avoid_line(&line);
            let words = canvas.voice.celsius(bound.value);
            canvas.write(
                &words,
                [self.right + 12.0, y + 9.0],
                Side::Left,
                Type::Value,
            );
        }
    }

    /// Stretches that no reading stands for: blank among the readings, hatched in the strip.
    fn gaps(&self, canvas: &mut Canvas, line: &HeatLine, [top, bottom]: [f64; 2]) -> Vec<Box2> {
        let half = 0.5 * self.report.spacing_mm;
        let mut blank = Vec::new();
        for gap in &line.gaps {
            let [from, to] = [gap.from_mm, gap.to_mm];
            let [from, to] = match gap.at {
                GapKind::Between => [from + half, to - half],
                GapKind::LeftEnd => [from, to - half],
                GapKind::RightEnd => [from + half, to],
                GapKind::Whole => self.along,
            };
            let (middle, wide) = (0.5 * (from + to), self.x(to) - self.x(from));
            let [left, right] = [-0.5, 0.5].map(|k| self.x(middle) + k * wide.max(SEEN));
            let area = Box2 {
                left: left.max(self.left),
                top,
                right: right.min(self.right),
                bottom,
            };
            canvas.fill(&area.corners(), WHITE);
            hatch(
                canvas,
                [area.left, area.right],
                [bottom, bottom + STRIP],
                12.0,
            );
            blank.push(area);
        }
        blank
    }

    /// What a blank is, where there is room to say it.
    fn blank(&self, canvas: &mut Canvas, area: Box2, placer: &mut Placer) {
        let words = "no reading";
        let size = Type::Value.size_of(words);
        if size[0] + 8.0 < area.width() {
            let inside = |extent: &Box2| area.holds(extent);
            let found = placer.take_if(around(area.centre(), size, 200.0, 0.0), inside);
            canvas.put(words, found, Type::Value);
        }
    }

    /// The strip: what each reading stands for, in its colour.
    fn strip(&self, canvas: &mut Canvas, line: &HeatLine, [top, bottom]: [f64; 2]) {
        let half = 0.5 * self.report.spacing_mm;
        for (i, place) in line.places.iter().enumerate() {
            let at = place.place_mm;
            let near = |other: Option<&HeatPlace>, end: f64| {
                other.map_or(end, |other| 0.5 * (other.place_mm + at))
            };
            let before = i.checked_sub(1).and_then(|i| line.places.get(i));
            let from = near(before, self.along[0]).max(at - half);
            let to = near(line.places.get(i + 1), self.along[1]).min(at + half);
            let cell = Box2 {
                left: self.x(from),
                top,
                right: self.x(to),
                bottom,
            };
            let colour = match place.corrected_c {
                Some(t) => step_colour(self.scale.step(t)),
                None => PANEL,
            };
            canvas.fill(&cell.corners(), colour);
            let bad = !matches!(place.verdict, HeatVerdict::Reached | HeatVerdict::NotJudged);
            if bad {
                hatch(canvas, [cell.left, cell.right], [top, bottom], 9.0);
            }
        }
    }

    /// A reading: its mark, and the instrument's error as a bar.
    fn mark(&self, canvas: &mut Canvas, place: &HeatPlace, span: [f64; 2], placer: &mut Placer) {
        let at = [self.x(place.place_mm), self.y(value(place), span)];
        let [x, y] = at;
        let ends = place.least_c.zip(place.most_c);
        if let Some((least, most)) = ends {
            let [low, high] = [least, most].map(|t| self.y(t, span).clamp(span[0], span[1]));
            let cap = |y: f64| [[x - CAP, y], [x + CAP, y]];
            for line in [[[x, low], [x, high]], cap(low), cap(high)] {
                canvas.stroke(&line, INK, 2.0);
                placer.avoid_line(&line);
            }
        }
        let triangle = |up: f64| {
            let half = 1.6 * MARK;
            [
                [x, y - up * half],
                [x + half, y + up * half],
                [x - half, y + up * half],
            ]
        };
        match place.verdict {
            HeatVerdict::Reached => canvas.dot(at, INK, MARK),
            HeatVerdict::TooCold => canvas.fill(&triangle(-1.0), INK),
            HeatVerdict::TooHot => canvas.fill(&triangle(1.0), INK),
            HeatVerdict::WithinError | HeatVerdict::NotJudged => {
                canvas.dot(at, INK, MARK);
                canvas.dot(at, WHITE, MARK - 3.0);
            }
        }
        placer.avoid_box(Box2::around(at, [3.2 * MARK, 3.2 * MARK]));
    }

    /// The values of a line, those that are off first; what finds no room stands in the table.
    fn labels(&self, canvas: &mut Canvas, line: &HeatLine, span: [f64; 2], placer: &mut Placer) {
        let off = |p: &&HeatPlace| p.verdict != HeatVerdict::Reached;
        let first = line.places.iter().filter(off);
        let then = line.places.iter().filter(|p| !off(p));
        let bounds = canvas.voice.heat_bounds(self.report);
        for place in first.chain(then) {
            let at: Pt = [self.x(place.place_mm), self.y(value(place), span)];
            let number = canvas.voice.kelvins(value(place), &bounds);
            let word = match place.verdict {
                HeatVerdict::Reached | HeatVerdict::NotJudged => String::new(),
                verdict => format!(" {}", verdict.word()),
            };
            for words in [format!("{number}{word}"), number] {
                let size = Type::Value.size_of(&words);
                let found = placer.take(around(at, size, 60.0, 6.0));
                if found.is_some() {
                    canvas.put(&words, found, Type::Value);
                    break;
                }
            }
        }
    }

    /// The verdict of a line, large enough for the back of a room.
    fn word(&self, canvas: &mut Canvas, line: &HeatLine, [top, bottom]: [f64; 2]) {
        let words = match (self.report.judged(), line.passes()) {
            (false, _) => "not judged",
            (true, true) => "reached",
            (true, false) => "not yet",
        };
        let taken = canvas.texts();
        let size = Type::Head.size_of(words);
        let left = self.right + 12.0;
        let free = |y: &f64| {
            let extent = Box2 {
                left,
                top: y - size[1],
                right: left + size[0],
                bottom: *y,
            };
            !taken.iter().any(|text| text.grown(4.0).meets(&extent))
        };
        let ys = (0..60).map(|k| bottom + STRIP - 6.0 - 6.0 * f64::from(k));
        let y = ys.filter(|y| *y > top).find(free).unwrap_or(bottom + STRIP);
        canvas.write(words, [left, y - size[1] * 0.22], Side::Left, Type::Head);
    }

    /// Places along the recess, under the last line.
    fn places(&self, canvas: &mut Canvas, bottom: f64) {
        let voice = canvas.voice;
        let most = (self.right - self.left) / 150.0;
        for mm in length_ticks(self.along[0], self.along[1], most, voice.units) {
            let x = self.x(mm);
            canvas.stroke(&[[x, bottom], [x, bottom + 8.0]], INK, 2.0);
            canvas.write(
                &voice.bare_length(mm),
                [x, bottom + 36.0],
                Side::Centre,
                Type::Body,
            );
        }
        let words = format!("{} from the left end", voice.unit());
        canvas.write(&words, [self.right, bottom + 68.0], Side::Right, Type::Body);
        canvas.write(
            "\u{b0}C",
            [self.left - 28.0, bottom + 36.0],
            Side::Right,
            Type::Body,
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::heat::{HeatAsked, judge, read_record};
    use crate::film::film_named;

    /// A record of these temperatures on one line, 60 mm apart.
    fn report(read: &[f64]) -> HeatReport {
        let mut text = "place_mm,reading_c,emissivity_set,surroundings_c,time\n".to_owned();
        for (i, t) in read.iter().enumerate() {
            text.push_str(&format!(
                "{},{t},0.95,20,2026-11-27T08:15:00Z\n",
                60 * i + 20
            ));
        }
        let record = read_record("r", text.as_bytes(), None).unwrap();
        let film = film_named("wrap-cast").unwrap();
        judge(&record, &film, &HeatAsked::default()).unwrap()
    }

    #[test]
    fn no_text_touches_another_whatever_was_read() {
        let demo = read_record("demo", crate::DEMO_HEAT.1.as_bytes(), None).unwrap();
        let film = film_named("wrap-cast").unwrap();
        let length = Some(900.0);
        let asked = HeatAsked {
            length,
            ..HeatAsked::default()
        };
        let crowded: Vec<f64> = (0..24).map(|i| 97.0 + 1.7 * f64::from(i % 5)).collect();
        for report in [
            judge(&demo, &film, &asked).unwrap(),
            report(&[60.0, 101.0, 139.5, 180.0]),
            report(&[104.0]),
            report(&crowded),
        ] {
            for look in Look::ALL {
                let canvas = sheet::high_enough(look, |canvas| draw(canvas, &report, "Title"));
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{look:?}");
                assert!(canvas.finite());
            }
        }
    }
}

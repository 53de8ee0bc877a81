//! Raw against read, true to scale: readings as dots under the section made of them, what was
//! dropped as crosses, the level they were measured on, lips, feet and press. Under it, where
//! a section was fitted, how far each reading lies off it (`residual`).
//!
//! Steps: choose what is seen (`Sight`), share the room, draw, then place the labels.

use super::canvas::{Canvas, Type};
use super::place::{Placer, around};
use super::reading_words as said;
use super::residual::Strip;
use super::sight::Sight;
use super::view::{BETWEEN, View};
use crate::draw::{Box2, Pt};
use crate::draw::{INK, PANEL, READING, WHITE};
use crate::geometry::{Point, Vector};
use crate::say::Voice;
use crate::section::{Kind, Recess, Side as Hand};

/// Room for labels below the lowest panel, picture units.
const BELOW: f64 = 62.0;
/// Height of the strip with its heading, least and most. Less: its three numbers touch;
/// more: the section above it becomes small.
const STRIP: [f64; 2] = [200.0, 330.0];
/// Half of a cross, and how far a label may be from what it names.
const CROSS: f64 = 8.0;
const REACH: f64 = 70.0;
/// So few readings were placed by hand, and are drawn to be seen one by one.
const FEW: usize = 60;
/// Margin of the picture alone, and its room for labels below: two rows, for it is narrower.
const EDGE: f64 = 10.0;
const BELOW_ALONE: f64 = 98.0;
/// Rise of the level over the flat from which it is drawn, and most, picture units.
const RISE: [f64; 2] = [8.0, 64.0];

/// Draws the picture as a sheet: its answer above, what the marks are below.
pub(super) fn draw(recess: &Recess, look: super::Look) -> Canvas {
    use super::sheet;
    use crate::survey::Reading;
    let mut canvas = Canvas::new(look);
    let voice = canvas.voice;
    // Where every point is taken as it is, the recess is what is asked about.
    let taken = |r: &Reading| !r.fitted && !r.turned && r.slips.is_empty();
    let sight = match recess.section().reading() {
        Some(reading) if !taken(reading) => Sight::of(recess),
        _ => Sight::near(recess),
    };
    let title = said::answer(recess, voice);
    let body = sheet::head(
        &mut canvas,
        &title,
        &said::second_line(recess, &sight, voice),
    );
    let note = said::note(recess, &sight, voice);
    let width = canvas.width - 2.0 * sheet::MARGIN;
    let foot = sheet::foot(&mut canvas, &note, width);
    let room = Box2 {
        top: body.top + 10.0,
        bottom: foot - 28.0,
        ..body
    };
    draw_within(&mut canvas, recess, &sight, voice, (room, BELOW));
    canvas
}

/// Draws the picture alone, so wide and as high as it needs, at most `tallest`.
pub(super) fn draw_alone(
    recess: &Recess,
    sight: &Sight,
    voice: Voice,
    [width, tallest]: [f64; 2],
) -> Canvas {
    let whole = |height: f64| Box2 {
        left: EDGE,
        top: EDGE,
        right: width - EDGE,
        bottom: height - EDGE,
    };
    let height = needed(recess, sight, voice, whole(tallest)) + 2.0 * EDGE;
    let mut canvas = Canvas::sized(width, height, voice);
    draw_within(
        &mut canvas,
        recess,
        sight,
        voice,
        (whole(height), BELOW_ALONE),
    );
    canvas
}

/// The readings' noise, where a section was fitted to them.
fn noise(recess: &Recess) -> Option<f64> {
    let reading = recess.section().reading()?;
    reading.fitted.then_some(reading.noise_mm)
}

/// Room for the section, right of the numbers of the strip.
fn beside(recess: &Recess, voice: Voice, room: Box2) -> Box2 {
    let numbers = noise(recess).map_or(0.0, |sigma| Strip::beside(sigma, voice));
    Box2 {
        left: room.left + numbers,
        ..room
    }
}

/// Height that section and strip take within a room, and not more.
fn needed(recess: &Recess, sight: &Sight, voice: Voice, room: Box2) -> f64 {
    let strip = noise(recess).map(|_| STRIP[0] + Strip::more_heading(room.width()));
    let view = View::new(sight, beside(recess, voice, room), strip, BELOW_ALONE);
    // A unit more than that, so that rounding costs no step of the scale.
    view.used() + strip.map_or(0.0, |height| height + BETWEEN) + 1.0
}

/// Draws section and readings into a room, the strip at its bottom; `under` is the room for
/// labels below the panel.
fn draw_within(
    canvas: &mut Canvas,
    recess: &Recess,
    sight: &Sight,
    voice: Voice,
    (whole, under): (Box2, f64),
) {
    let room = beside(recess, voice, whole);
    let more = Strip::more_heading(whole.width());
    let noise = noise(recess);
    let view = View::new(sight, room, noise.map(|_| STRIP[0] + more), under);
    let bottom = match noise {
        Some(sigma) => {
            let free = room.bottom - view.floor() - BETWEEN;
            let top = room.bottom - free.clamp(STRIP[0] + more, STRIP[1] + more);
            let area = Box2 {
                top,
                left: view.left,
                right: view.at([sight.to, 0.0])[0],
                ..room
            };
            let heading = [whole.left, whole.width()];
            Strip::new(sight, &view, area, heading, sigma, voice).draw(canvas);
            top - BETWEEN
        }
        None => room.bottom,
    };
    let within = Box2 { bottom, ..room };
    Scene {
        recess,
        sight,
        view: &view,
        voice,
        within,
    }
    .draw(canvas);
}

/// The section with its readings.
struct Scene<'a> {
    recess: &'a Recess,
    sight: &'a Sight,
    view: &'a View,
    voice: Voice,
    within: Box2,
}

impl Scene<'_> {
    fn draw(&self, canvas: &mut Canvas) {
        let surface = spaced(&self.view.all(&self.sight.panel));
        let mut solid = surface.clone();
        let (first, last) = (surface[0], surface[surface.len() - 1]);
        solid.extend([
            [last[0], self.within.bottom],
            [first[0], self.within.bottom],
        ]);
        canvas.fill(&solid, PANEL);
        let line = spaced(&self.view.all(&self.sight.line));
        self.dots(canvas);
        canvas.stroke(&line, INK, 2.2);
        let crosses = self.crosses(canvas);
        let mut placer = self.placer(canvas, &surface, &crosses);
        let [mouth, deep] = self.measured(canvas, &mut placer);
        self.rings(canvas, &mut placer);
        self.level(canvas, &mut placer);
        self.depth(canvas, &mut placer, deep);
        self.width(canvas, &mut placer, mouth);
        self.names(canvas, &mut placer);
        self.dropped(canvas, &crosses, &mut placer);
    }

    fn dots(&self, canvas: &mut Canvas) {
        let readings = &self.sight.kept;
        let radius = match readings.len() {
            0..=FEW => 6.5,
            61..=300 => 4.5,
            _ => 3.2,
        };
        for &p in readings {
            canvas.dot(self.view.at(p), READING, radius);
        }
    }

    fn crosses(&self, canvas: &mut Canvas) -> Vec<Pt> {
        let places = self.view.all(&self.sight.dropped);
        for [x, y] in &places {
            for s in [-1.0, 1.0] {
                let ends = [[x - CROSS, y - s * CROSS], [x + CROSS, y + s * CROSS]];
                canvas.stroke(&ends, INK, 2.6);
            }
        }
        places
    }

    fn placer(&self, canvas: &Canvas, surface: &[Pt], crosses: &[Pt]) -> Placer {
        let noise = self.recess.section().reading().map_or(0.0, |r| r.noise_mm);
        let cloud = (3.0 * noise * self.view.scale).min(14.0);
        let mut placer = Placer::new(self.within, 8.0 + cloud);
        canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
        placer.avoid_line(surface);
        for &c in crosses {
            placer.avoid_box(Box2::around(c, [2.0 * CROSS; 2]));
        }
        placer
    }

    /// Draws the mouth line and the line of the depth below it; the middle of each.
    fn measured(&self, canvas: &mut Canvas, placer: &mut Placer) -> [Pt; 2] {
        let recess = self.recess;
        let (left, right) = recess.outer();
        let ends = [recess.panel().at(left), recess.panel().at(right)];
        let (line, deep) = match recess.lower() {
            None => {
                let along = (ends[1] - ends[0]).normalize();
                let press = recess.panel().at(recess.press());
                let top = ends[0] + along * (press - ends[0]).dot(&along);
                (ends, [top, press])
            }
            Some(side) => self.step_down(ends, side),
        };
        let [a, b] = line.map(|p| self.view.point(p));
        canvas.scene.dashed(&[a, b], INK, &[10.0, 7.0], 2.0);
        placer.avoid_line(&[a, b]);
        let [top, floor] = deep.map(|p| self.view.point(p));
        canvas.stroke(&[top, floor], INK, 2.0);
        placer.avoid_line(&[top, floor]);
        let middle = |a: Pt, b: Pt| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        [middle(a, b), middle(top, floor)]
    }

    fn width(&self, canvas: &mut Canvas, placer: &mut Placer, [x, y]: Pt) {
        if self.recess.kind() == Kind::Channel {
            let width = format!("{} wide", self.voice.length(self.recess.mouth()));
            self.label(canvas, placer, &width, [x, y - 26.0], Type::Value);
        }
    }

    /// The depth, beside its line: in fewer words where there is less room.
    fn depth(&self, canvas: &mut Canvas, placer: &mut Placer, at: Pt) {
        let depth = self.voice.length(self.recess.depth());
        let whole = format!("{depth} deep");
        let tries = [(&whole, 26.0), (&depth, 26.0), (&whole, REACH)];
        for (words, reach) in tries {
            let found = placer.take(around(at, Type::Value.size_of(words), reach, 2.0));
            if found.is_some() {
                canvas.put(words, found, Type::Value);
                return;
            }
        }
    }

    /// Of a step: the level of its upper flat carried out over the lower one, and down to it.
    fn step_down(&self, ends: [Point; 2], lower: Hand) -> ([Point; 2], [Point; 2]) {
        let turn = self.recess.turn();
        let (lip, foot, way, end) = match lower {
            Hand::Right => (ends[0], ends[1], 1.0, self.sight.to),
            Hand::Left => (ends[1], ends[0], -1.0, self.sight.from),
        };
        let out = way * ((foot.x - lip.x).abs() + 0.3 * (end - foot.x).abs());
        let along = Vector::new(turn.cos(), turn.sin());
        let top = lip + along * out;
        let down = Vector::new(along.y, -along.x) * self.recess.depth();
        ([lip, top], [top, top + down])
    }

    /// Lips, feet and press: a ring each.
    fn rings(&self, canvas: &mut Canvas, placer: &mut Placer) {
        for mark in &said::marks(self.recess, self.voice) {
            let at = self.view.at(mark.at);
            // A reading at that place shows through its ring.
            let on = |p: &Pt| (p[0] - mark.at[0]).hypot(p[1] - mark.at[1]) < 0.05;
            let few = self.sight.kept.len() <= FEW;
            let there = few && self.sight.kept.iter().any(on);
            canvas.dot(at, INK, 8.0);
            canvas.dot(at, if there { READING } else { WHITE }, 5.0);
            placer.avoid_box(Box2::around(at, [16.0; 2]));
        }
    }

    /// Their names, under or over them, and the radii of rounded corners.
    fn names(&self, canvas: &mut Canvas, placer: &mut Placer) {
        for mark in &said::marks(self.recess, self.voice) {
            let [x, y] = self.view.at(mark.at);
            let by = if mark.low { 34.0 } else { -34.0 };
            self.label(canvas, placer, &mark.words, [x, y + by], Type::Body);
        }
        for (at, words) in said::corners_apart(self.recess, self.voice) {
            if at[0] > self.sight.from && at[0] < self.sight.to {
                self.label(canvas, placer, &words, self.view.at(at), Type::Body);
            }
        }
    }

    /// The level the readings were measured on, where it rises over a flat.
    fn level(&self, canvas: &mut Canvas, placer: &mut Placer) {
        let Some(reading) = self.recess.section().reading() else {
            return;
        };
        let tilt = reading.turned_deg;
        if tilt.abs() < crate::section::TILT_SAID {
            return;
        }
        let (outer, panel) = (self.recess.outer(), self.recess.panel());
        let (lip, end) = if tilt > 0.0 {
            (panel.at(outer.0), self.sight.from)
        } else {
            (panel.at(outer.1), self.sight.to)
        };
        let slope = tilt.abs().to_radians().tan();
        let rise = |out: f64| out * slope * self.view.scale;
        let out = (end - lip.x).abs();
        let shown = out * (RISE[1] / rise(out).max(1e-9)).min(1.0);
        let at = self.view.point(lip);
        let way = shown * self.view.scale * if tilt > 0.0 { -1.0 } else { 1.0 };
        // In the section's frame the level of a survey that was turned leans the other way.
        let up = if reading.turned { rise(shown) } else { 0.0 };
        let tip = [at[0] + way, at[1] - up];
        if rise(shown) < RISE[0] {
            return;
        }
        canvas.scene.dashed(&[at, tip], INK, &[3.0, 6.0], 2.0);
        placer.avoid_line(&[at, tip]);
        let words = said::level(reading, self.voice);
        let half = Type::Body.width(&words) / 2.0;
        let near = [
            (tip[0] - way.signum() * half)
                .max(self.within.left + half)
                .min(self.within.right - half),
            tip[1] - 28.0,
        ];
        self.label(canvas, placer, &words, near, Type::Body);
    }

    /// The number of dropped readings, at the first cross that has room for it.
    fn dropped(&self, canvas: &mut Canvas, crosses: &[Pt], placer: &mut Placer) {
        let Some(words) = said::dropped(self.recess) else {
            return;
        };
        let size = Type::Value.size_of(&words);
        let candidates = crosses
            .iter()
            .take(40)
            .flat_map(|&c| around(c, size, 40.0, 4.0));
        let place = placer.take(candidates);
        canvas.put(&words, place, Type::Value);
    }

    fn label(&self, canvas: &mut Canvas, placer: &mut Placer, text: &str, at: Pt, size: Type) {
        let found = placer.take(around(at, size.size_of(text), REACH, 2.0));
        canvas.put(text, found, size);
    }
}

/// A line without points that stand closer than can be seen, however many there are.
fn spaced(line: &[Pt]) -> Vec<Pt> {
    /// Most points of a line; more make a file that no viewer opens.
    const MOST: usize = 4000;
    let mut apart = 0.3;
    loop {
        let mut kept: Vec<Pt> = Vec::new();
        for (i, &p) in line.iter().enumerate() {
            let far = |q: &Pt| (p[0] - q[0]).hypot(p[1] - q[1]) >= apart;
            if i + 1 == line.len() || kept.last().is_none_or(far) {
                kept.push(p);
            }
        }
        if kept.len() <= MOST {
            return kept;
        }
        apart *= 2.0;
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;
    use crate::section::{Survey, Typing, Units, read_csv_as, read_points, read_shape};

    fn found(section: crate::section::Section) -> Recess {
        Recess::find(section, Survey::default()).unwrap()
    }

    fn scanned(scan: &sample::Scan) -> Recess {
        let bytes = scan.csv();
        found(read_csv_as("scan", bytes.as_bytes(), Typing::default()).unwrap())
    }

    fn typed(text: &str) -> Recess {
        found(read_points("typed", text, Typing::default()).unwrap())
    }

    fn recesses() -> Vec<(&'static str, Recess)> {
        let channel = sample::Scan::channel();
        let shape = read_shape("channel:mouth=80,floor=40,depth=25,lip-radius=3", Units::Mm);
        vec![
            ("channel", scanned(&channel)),
            (
                "level",
                scanned(&sample::Scan {
                    tilt: 0.0,
                    slips: 0,
                    ..channel.clone()
                }),
            ),
            (
                "leaning",
                scanned(&sample::Scan {
                    tilt: -2.0,
                    ..channel.clone()
                }),
            ),
            (
                "many slips",
                scanned(&sample::Scan {
                    slips: 25,
                    ..channel.clone()
                }),
            ),
            (
                "step",
                scanned(&sample::Scan {
                    corners: &[[-150.0, 0.0], [0.0, 0.0], [1.0, -15.0], [150.0, -15.0]],
                    tilt: -1.5,
                    ..channel.clone()
                }),
            ),
            (
                "step up",
                scanned(&sample::Scan {
                    corners: &[[-150.0, -15.0], [-1.0, -15.0], [0.0, 0.0], [150.0, 0.0]],
                    tilt: 1.5,
                    ..channel.clone()
                }),
            ),
            (
                "narrow",
                scanned(&sample::Scan {
                    corners: &[
                        [-80.0, 0.0],
                        [-20.0, 0.0],
                        [-12.0, -70.0],
                        [12.0, -70.0],
                        [20.0, 0.0],
                        [80.0, 0.0],
                    ],
                    ..channel.clone()
                }),
            ),
            (
                "shallow",
                scanned(&sample::Scan {
                    corners: &[
                        [-300.0, 0.0],
                        [-60.0, 0.0],
                        [-55.0, -3.0],
                        [55.0, -3.0],
                        [60.0, 0.0],
                        [300.0, 0.0],
                    ],
                    ..channel.clone()
                }),
            ),
            ("typed", typed("0,0 100,0 115,-18 160,-18 175,0 270,0")),
            ("tight", typed("0,0 10,-8 20,0 21,0")),
            ("typed step", typed("0,0 100,0 102,-6 200,-6")),
            ("shape", found(shape.unwrap())),
        ]
    }

    #[test]
    fn no_text_touches_a_line_a_text_or_an_edge() {
        for (name, recess) in recesses() {
            for look in super::super::Look::ALL {
                let canvas = draw(&recess, look);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {look:?}");
                assert!(canvas.finite(), "{name} {look:?}");
                let said = canvas.said();
                assert!(said.contains("lip"), "{name} {look:?}: {said}");
            }
        }
    }

    #[test]
    fn in_the_page_no_text_touches_a_line_a_text_or_an_edge() {
        for (name, recess) in recesses() {
            for (ems, sight) in [
                (18.0, Sight::near(&recess)),
                (21.0, Sight::near(&recess)),
                (40.0, Sight::of(&recess)),
            ] {
                let size = [ems * Type::Body.em(), 28.0 * Type::Body.em()];
                let canvas = draw_alone(&recess, &sight, Voice::picture(Units::Mm), size);
                assert_eq!(canvas.faults(), Vec::<String>::new(), "{name} {ems}");
                assert!(canvas.finite() && canvas.height <= size[1] + 1.0, "{name}");
                let said = canvas.said();
                assert!(
                    said.contains("lip") && said.contains("foot"),
                    "{name} {ems}: {said}"
                );
            }
        }
    }

    #[test]
    fn readings_are_drawn_where_the_section_is() {
        // Reference: the scan errs by 0.1 mm; 5 of those across is as good as never passed.
        let recess = scanned(&sample::Scan::channel());
        let sight = Sight::of(&recess);
        assert_eq!(sight.kept.len(), sight.kept_in_all);
        for p in &sight.kept {
            let near = sight
                .line
                .windows(2)
                .map(|w| crate::draw::distance(*p, w[0], w[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(near < 0.5, "{p:?} is {near} mm off");
        }
    }
}

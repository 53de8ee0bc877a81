//! The dimensioned section: panel, taut film, tapes with their distances from the lips and
//! from each other, depth, and where to press. To scale in x and y; dimensions stand in
//! rows above it and at its right, so that none is ever too narrow for its number.

use super::source::tape_to_tape;
use crate::advice::Check;
use crate::draw::{BLACK, Face, PANEL, Pt, Scene, Side, WHITE};
use crate::geometry::thin::points_to_draw;
use crate::geometry::{Point, hull};
use crate::laydown::OrderName;
use crate::say::Voice;
use crate::section::{Kind, Units};
use serde::{Deserialize, Serialize};

/// Panel drawn beyond the outer places, as a part of the width between them.
const BEYOND: f64 = 0.07;
/// Least room left and right of the panel, mm.
const SIDE: f64 = 6.0;
/// Solid drawn under the deepest point, mm.
const UNDER: f64 = 5.5;

/// Dashes of a thin line, mm.
const DASH: [f64; 2] = [0.8, 0.6];

/// What the drawing shows, mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dimensions {
    /// The panel's outline `[x, y]`, a little beyond what is shown.
    pub panel: Vec<[f64; 2]>,
    /// The taut film between the tapes `[x, y]`.
    pub film: Vec<[f64; 2]>,
    /// Both lips (of a step: lip and foot) `[x, y]`.
    pub lips: [[f64; 2]; 2],
    /// Where the tool presses `[x, y]`.
    pub press: [f64; 2],
    /// Whether the press comes first or last; `None` where nothing is pressed.
    pub press_first: Option<bool>,
    /// Words for the distances: left tape from the lip, right tape, lip to lip, tape to
    /// tape, depth; empty where no tapes are drawn.
    pub labels: [String; 5],
    /// Whether tapes are drawn.
    pub has_width: bool,
}

impl Dimensions {
    /// Reads what the drawing needs from a lay-down.
    pub(crate) fn new(case: &Check, units: Units, has_width: bool) -> Self {
        let voice = Voice::paper(units);
        let at = |p: crate::advice::Place| [p.x_mm, p.y_mm];
        let (left, right) = if has_width {
            (at(case.bond_left), at(case.bond_right))
        } else {
            (at(case.lip_left), at(case.lip_right))
        };
        let margin = (BEYOND * (right[0] - left[0])).max(8.0);
        let panel = cut(&case.section.points, left, right, margin);
        let film = if has_width {
            let within = |p: &&[f64; 2]| p[0] > left[0] && p[0] < right[0];
            let mut chain = vec![Point::new(left[0], left[1])];
            chain.extend(panel.iter().filter(within).map(|p| Point::new(p[0], p[1])));
            chain.push(Point::new(right[0], right[1]));
            hull(&chain, 0.0)
                .into_iter()
                .map(|i| [chain[i].x, chain[i].y])
                .collect()
        } else {
            Vec::new()
        };
        let [end_left, end_right] = Self::ends(case);
        let reach = |mm: f64, end: &str| {
            if !has_width {
                String::new()
            } else if mm.abs() < 0.05 {
                format!("tape at the {end}")
            } else {
                voice.length(mm)
            }
        };
        let across = match case.section.kind {
            Kind::Channel => "lip to lip",
            Kind::Step => "lip to foot",
        };
        Self {
            panel,
            film,
            lips: [at(case.lip_left), at(case.lip_right)],
            press: at(case.press),
            press_first: match case.order.name {
                _ if !has_width => None,
                OrderName::DeepestFirst | OrderName::MiddlePush => Some(true),
                OrderName::EdgeFirst => Some(false),
                _ => None,
            },
            labels: [
                reach(case.reach_left_mm, end_left),
                reach(case.reach_right_mm, end_right),
                format!("{} {across}", voice.length(case.section.mouth_mm)),
                if has_width {
                    format!("{} tape to tape", voice.length(tape_to_tape(case)))
                } else {
                    String::new()
                },
                format!("{} deep", voice.length(case.section.depth_mm)),
            ],
            has_width,
        }
    }

    /// What the reach on either side is counted from.
    pub(crate) fn ends(case: &Check) -> [&'static str; 2] {
        match case.section.kind {
            Kind::Channel => ["left lip", "right lip"],
            Kind::Step if case.lip_left.y_mm > case.lip_right.y_mm => ["lip", "foot"],
            Kind::Step => ["foot", "lip"],
        }
    }

    /// Its numbers in words.
    pub(crate) fn words(&self) -> String {
        let said = |l: &&String| !l.is_empty();
        let all: Vec<&str> = self
            .labels
            .iter()
            .filter(said)
            .map(String::as_str)
            .collect();
        all.join(", ")
    }

    /// Draws it `width` mm wide and at most `most` mm high; returns sheet and height.
    pub(crate) fn draw(&self, width: f64, most: f64, face: Face) -> (Scene, f64) {
        Draft::new(self, width, most, face).draw()
    }
}

/// The survey's points around two places, prolonged level where the survey ends before.
fn cut(points: &[[f64; 2]], left: [f64; 2], right: [f64; 2], margin: f64) -> Vec<[f64; 2]> {
    let mut line = points_to_draw(points);
    if line.first().is_none_or(|p| left[0] < p[0] - 1e-9) {
        line.insert(0, left);
    }
    if line.last().is_none_or(|p| right[0] > p[0] + 1e-9) {
        line.push(right);
    }
    let (from, to) = (left[0] - margin, right[0] + margin);
    let height = |x: f64| {
        let after = line.iter().position(|p| p[0] >= x);
        match after {
            Some(0) => line[0][1],
            Some(i) => {
                let (a, b) = (line[i - 1], line[i]);
                let t = if b[0] > a[0] {
                    (x - a[0]) / (b[0] - a[0])
                } else {
                    1.0
                };
                a[1] + t * (b[1] - a[1])
            }
            None => line[line.len() - 1][1],
        }
    };
    let mut kept = vec![[from, height(from)]];
    kept.extend(line.iter().copied().filter(|p| p[0] > from && p[0] < to));
    kept.push([to, height(to)]);
    kept
}

/// A drawing under way.
struct Draft<'a> {
    what: &'a Dimensions,
    face: Face,
    sheet: Scene,
    scale: f64,
    /// Left end and highest level, mm of the panel.
    origin: Pt,
    /// Height of the rows of dimensions above the panel.
    rows: f64,
    /// Height of the panel.
    rise: f64,
    offset: f64,
}

impl<'a> Draft<'a> {
    fn new(what: &'a Dimensions, width: f64, most: f64, face: Face) -> Self {
        let (from, to) = (what.panel[0][0], what.panel[what.panel.len() - 1][0]);
        let ys = what.panel.iter().map(|p| p[1]);
        let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |s, y| {
            (s.0.min(y), s.1.max(y))
        });
        let rows = if what.has_width { 3.0 } else { 1.0 } * row_height(face) + 3.0;
        // Numbers that find no room inside stand left and right of the panel.
        let label = |i: usize| face.width(&what.labels[i]);
        let sides = if what.has_width {
            (label(0) + 4.0, (label(1) + 4.0).max(label(4) + 8.0))
        } else {
            (SIDE, label(4) + 8.0)
        };
        let room = width - sides.0.max(SIDE) - sides.1;
        let scale = (room / (to - from)).min((most - rows - UNDER) / (high - low).max(1e-6));
        Self {
            what,
            face,
            sheet: Scene::default(),
            scale,
            origin: [from, high],
            rows,
            rise: scale * (high - low),
            offset: sides.0.max(SIDE) + 0.5 * (room - scale * (to - from)),
        }
    }

    fn at(&self, p: [f64; 2]) -> Pt {
        [
            self.offset + self.scale * (p[0] - self.origin[0]),
            self.rows + self.scale * (self.origin[1] - p[1]),
        ]
    }

    fn draw(mut self) -> (Scene, f64) {
        let height = self.rows + self.rise + UNDER;
        let surface: Vec<Pt> = self.what.panel.iter().map(|&p| self.at(p)).collect();
        let mut solid = surface.clone();
        solid.push([surface[surface.len() - 1][0], height]);
        solid.push([surface[0][0], height]);
        self.sheet.fill(&solid, PANEL);
        self.sheet.line(&surface, 0.35);
        self.rows_of_dimensions();
        self.depth();
        if self.what.has_width {
            self.film();
        }
        (self.sheet, height)
    }

    /// The taut film, the tapes, and the press.
    fn film(&mut self) {
        let film: Vec<Pt> = self
            .what
            .film
            .iter()
            .map(|&p| self.at(p))
            .map(|[x, y]| [x, y - 0.45])
            .collect();
        self.sheet.line(&film, 0.7);
        for (end, out) in [(film[0], -1.0), (film[film.len() - 1], 1.0)] {
            let (x, y) = (end[0], end[1] + 0.45);
            let block = [
                [x, y],
                [x + 4.5 * out, y],
                [x + 4.5 * out, y - 1.5],
                [x, y - 1.5],
            ];
            self.sheet.fill(&block, BLACK);
            let anchor = if out < 0.0 { Side::Right } else { Side::Left };
            let below = [x + 0.6 * out, y + self.face.em + 0.4];
            self.sheet.print(below, self.face, anchor, "tape");
        }
        let Some(first) = self.what.press_first else {
            return;
        };
        let [x, y] = self.at(self.what.press);
        let top = film
            .windows(2)
            .find(|w| x >= w[0][0] && x <= w[1][0])
            .map_or(film[0][1], |w| {
                w[0][1] + (w[1][1] - w[0][1]) * (x - w[0][0]) / (w[1][0] - w[0][0]).max(1e-9)
            });
        self.sheet.line(&[[x, top], [x, y - 2.0]], 0.5);
        self.sheet
            .arrow([x, y - 0.4], [0.0, 1.0], 2.6_f64.min(0.8 * (y - top)));
        let words = if first { "press first" } else { "press last" };
        // Below all of the panel over the words' own width.
        let half = 0.5 * self.face.width(words) + 0.5;
        let surface: Vec<Pt> = self.what.panel.iter().map(|&p| self.at(p)).collect();
        let lowest = surface
            .iter()
            .filter(|p| (p[0] - x).abs() <= half)
            .fold(y, |low, p| low.max(p[1]));
        let below = lowest + self.face.em + 0.4;
        self.sheet.print([x, below], self.face, Side::Centre, words);
    }

    /// Rows of dimensions above the panel: reach on both sides, mouth, tape to tape.
    fn rows_of_dimensions(&mut self) {
        let what = self.what;
        let lips = what.lips.map(|p| self.at(p));
        let step = row_height(self.face);
        if !what.has_width {
            self.dimension(lips[0], lips[1], self.rows - 3.0, &what.labels[2]);
            return;
        }
        let (a, b) = (
            self.at(what.film[0]),
            self.at(what.film[what.film.len() - 1]),
        );
        let low = self.rows - 3.0;
        self.outside(a, lips[0], low, &what.labels[0], true);
        self.outside(lips[1], b, low, &what.labels[1], false);
        self.dimension(lips[0], lips[1], low - step, &what.labels[2]);
        self.dimension(a, b, low - 2.0 * step, &what.labels[3]);
    }

    /// Lines up from a place to a row.
    fn rise_to(&mut self, p: Pt, y: f64) {
        self.sheet
            .dashed(&[[p[0], p[1] - 1.0], [p[0], y - 1.0]], BLACK, &DASH, 0.15);
    }

    /// A dimension between two places in the row at `y`.
    fn dimension(&mut self, a: Pt, b: Pt, y: f64, words: &str) {
        self.rise_to(a, y);
        self.rise_to(b, y);
        let wide = self.face.width(words) + 2.0;
        let middle = 0.5 * (a[0] + b[0]);
        let base = y + 0.35 * self.face.em;
        if b[0] - a[0] > wide + 6.0 {
            self.sheet.line(&[[a[0], y], [middle - 0.5 * wide, y]], 0.2);
            self.sheet.line(&[[middle + 0.5 * wide, y], [b[0], y]], 0.2);
            self.sheet
                .print([middle, base], self.face, Side::Centre, words);
        } else {
            self.sheet.line(&[[a[0], y], [b[0] + 3.0, y]], 0.2);
            self.blank([b[0] + 3.4, y], wide);
            self.sheet
                .print([b[0] + 4.0, base], self.face, Side::Left, words);
        }
        self.sheet
            .arrow([a[0], y], [-1.0, 0.0], 2.0_f64.min(0.5 * (b[0] - a[0])));
        self.sheet
            .arrow([b[0], y], [1.0, 0.0], 2.0_f64.min(0.5 * (b[0] - a[0])));
    }

    /// White paper under a number that may stand on a line.
    fn blank(&mut self, at: Pt, wide: f64) {
        let half = 0.55 * self.face.em;
        let [x, y] = at;
        let corners = [
            [x, y - half],
            [x + wide, y - half],
            [x + wide, y + half],
            [x, y + half],
        ];
        self.sheet.fill(&corners, WHITE);
    }

    /// A reach: its number inside if it fits, else outside the tape.
    fn outside(&mut self, a: Pt, b: Pt, y: f64, words: &str, left: bool) {
        let wide = self.face.width(words);
        let base = y + 0.35 * self.face.em;
        let span = b[0] - a[0];
        if span > wide + 8.0 {
            self.dimension(a, b, y, words);
            return;
        }
        self.rise_to(a, y);
        self.rise_to(b, y);
        let (x, anchor) = if left {
            (a[0].min(b[0]) - 1.5, Side::Right)
        } else {
            (a[0].max(b[0]) + 1.5, Side::Left)
        };
        self.sheet.print([x, base], self.face, anchor, words);
        if span.abs() > 0.5 {
            self.sheet.line(&[[a[0], y], [b[0], y]], 0.2);
            let head = 2.0_f64.min(0.5 * span.abs());
            self.sheet.arrow([a[0], y], [-span, 0.0], head);
            self.sheet.arrow([b[0], y], [span, 0.0], head);
        }
    }

    /// The depth, at the right of the drawing.
    fn depth(&mut self) {
        let what = self.what;
        let lowest = what
            .panel
            .iter()
            .copied()
            .fold([0.0, f64::INFINITY], |m, p| if p[1] < m[1] { p } else { m });
        let high = what.lips[0][1].max(what.lips[1][1]);
        let (top, deep) = (self.at([lowest[0], high])[1], self.at(lowest));
        let right = self.at(what.panel[what.panel.len() - 1])[0];
        let x = right + 3.0;
        self.sheet
            .dashed(&[deep, [x + 1.0, deep[1]]], BLACK, &DASH, 0.15);
        // From the higher lip, over whatever lies lower between it and the number.
        let higher = if what.lips[0][1] > what.lips[1][1] {
            0
        } else {
            1
        };
        let from = if self.at(what.panel[what.panel.len() - 1])[1] > top + 0.5 {
            self.at(what.lips[higher])[0]
        } else {
            right
        };
        self.sheet
            .dashed(&[[from, top], [x + 1.0, top]], BLACK, &DASH, 0.15);
        self.sheet.line(&[[x, top], [x, deep[1]]], 0.2);
        let head = 2.0_f64.min(0.5 * (deep[1] - top));
        self.sheet.arrow([x, top], [0.0, -1.0], head);
        self.sheet.arrow([x, deep[1]], [0.0, 1.0], head);
        let middle = 0.5 * (top + deep[1]) + 0.35 * self.face.em;
        self.sheet
            .print([x + 2.0, middle], self.face, Side::Left, &what.labels[4]);
    }
}

/// Height of a row of dimensions, mm.
fn row_height(face: Face) -> f64 {
    1.35 * face.em
}

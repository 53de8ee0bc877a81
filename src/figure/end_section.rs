//! The section through the middle of a closed end: panel, film as a ribbon, press, foot, lip
//! and tape, true to scale.

use super::canvas::{Canvas, Type};
use super::end::{EndLook, Half, between};
use super::place::{Placer, around};
use super::ribbon::{Sample, band, thinned, upright_ends};
use super::row::{GAP, RIBBON, paint};
use crate::draw::{Box2, INK, PANEL, Pt};
use crate::ends::Spot;

/// Room over the flat for ribbon and words, and under the floor for words.
pub(super) const OVER: f64 = 84.0;
pub(super) const UNDER: f64 = 50.0;
/// Flat beyond the tape, picture units.
pub(super) const BEYOND: f64 = 56.0;

/// The section in the picture.
pub(super) struct EndSection<'a> {
    pub(super) end: &'a EndLook<'a>,
    pub(super) half: &'a Half,
    /// Where the flat is, at the cut.
    pub(super) start: Pt,
    pub(super) scale: f64,
    /// Where it is cut, along the recess, mm.
    pub(super) from: f64,
}

impl EndSection<'_> {
    fn at(&self, z: f64, y: f64) -> Pt {
        [
            self.start[0] + (z - self.from) * self.scale,
            self.start[1] - y * self.scale,
        ]
    }

    /// Film along the middle, from the cut to the tape at the tip.
    fn film(&self) -> Vec<Spot> {
        let columns = &self.half.columns;
        let tip = &columns[columns.len() - 1];
        let before = columns.iter().map(|c| c[0]);
        let mut film: Vec<Spot> = before.filter(|s| s.at[2] < tip[0].at[2] - 1e-9).collect();
        let behind = film.iter().take_while(|s| s.at[2] < self.from).count();
        if behind > 0 {
            let (a, b) = (film[behind - 1], film.get(behind).unwrap_or(&tip[0]));
            let t = (self.from - a.at[2]) / (b.at[2] - a.at[2]);
            film[behind - 1] = between(&a, b, t);
            film.drain(..behind - 1);
        }
        film.extend_from_slice(tip);
        film
    }

    pub(super) fn draw(&self, canvas: &mut Canvas) {
        let case = &self.end.laid.case;
        let depth = case.section.depth;
        let beyond = self.half.to + BEYOND / self.scale;
        let surface = [
            self.at(self.from, -depth),
            self.at(-case.size.run, -depth),
            self.at(0.0, 0.0),
            self.at(beyond, 0.0),
        ];
        let bottom = surface[0][1] + UNDER;
        let mut solid = surface.to_vec();
        solid.extend([[surface[3][0], bottom], [surface[0][0], bottom]]);
        canvas.fill(&solid, PANEL);
        let within = Box2 {
            left: surface[0][0],
            top: self.start[1] - OVER,
            right: surface[3][0],
            bottom,
        };
        let mut placer = Placer::new(within, 6.0);
        canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
        placer.avoid_line(&surface);
        self.ribbon(canvas, &mut placer);
        self.tape(canvas, &mut placer);
        let press = self.half.press[self.half.press.len() - 1][0][2];
        let marks = [
            ("lip", surface[2]),
            ("foot", surface[1]),
            ("press", self.at(press, -depth)),
        ];
        for (word, at) in marks {
            if word == "press" && !self.end.outwards() {
                continue;
            }
            canvas.dot(at, INK, 5.0);
            placer.avoid_box(Box2::around(at, [10.0; 2]));
            let level = |x: f64| level(&surface, x);
            let inside = |b: &Box2| {
                b.corners().iter().all(|c| c[1] > level(c[0])) && b.bottom < bottom - 5.0
            };
            let size = Type::Body.size_of(word);
            let found = placer.take_if(around(at, size, 90.0, 0.0), inside);
            canvas.put(word, found, Type::Body);
        }
    }

    fn ribbon(&self, canvas: &mut Canvas, placer: &mut Placer) {
        let film = self.film();
        let line: Vec<Pt> = film.iter().map(|s| self.at(s.at[2], s.at[1])).collect();
        let far = GAP + RIBBON;
        let samples = upright_ends(band(&line, GAP, far), &line, GAP, far);
        if samples.len() < 2 {
            return;
        }
        let along = |s: &Sample| {
            let [a, b] = [s.segment, s.segment + 1].map(|k| self.end.ratio(&film[k]));
            a + s.part * (b - a)
        };
        let ratio: Vec<f64> = samples.iter().map(along).collect();
        paint(canvas, &samples, &ratio, 1.0, |_| 1.0);
        let border: Vec<Pt> = samples.iter().map(|s| s.far).collect();
        placer.avoid_line(&thinned(&border));
    }

    /// The post of the tape, with its distance from the lip.
    fn tape(&self, canvas: &mut Canvas, placer: &mut Placer) {
        let [x, y] = self.at(self.half.to, 0.0);
        let post = [[x, y], [x, y - GAP - RIBBON - 16.0]];
        canvas.stroke(&post, INK, 4.0);
        placer.avoid_line(&post);
        let label = canvas.voice.end_tape(self.half.to);
        let size = Type::Body.size_of(&label);
        let line = post[1][1] - 9.0 - size[1] / 2.0;
        let candidates = (-60..=60).map(|k| {
            let shift = f64::from(k) * 6.0;
            (shift.abs(), Box2::around([x + shift, line], size))
        });
        let found = placer.take(candidates.collect::<Vec<_>>());
        canvas.put(&label, found, Type::Body);
    }
}

/// Height of the panel's surface at x.
fn level(surface: &[Pt], x: f64) -> f64 {
    let on = |w: &[Pt]| w[0][0] <= x && x <= w[1][0];
    surface
        .windows(2)
        .find(|w| on(w))
        .map_or(f64::INFINITY, |w| {
            let t = (x - w[0][0]) / (w[1][0] - w[0][0]).max(1e-9);
            w[0][1] + t * (w[1][1] - w[0][1])
        })
}

//! One order of the film on the panel: panel, ribbon by steps of colour, hatch where it is
//! over the limit, ticks at equal unstretched film, posts, marks and the peak.

use super::canvas::{Canvas, Type};
use super::cividis::{luminance, step_colour, step_of};
use super::place::{Placer, around};
use super::plan::{
    ABOVE, BELOW, BELOW_WORDLESS, COLUMN, Cell, HEADING, Layout, Panel, Plan, SECOND, WORD,
    verdict, write_verdict,
};
use super::ribbon::{Sample, band, thinned, upright_ends};
use super::words;
use crate::advice::{Check, PeakAt, Place, ProfileRow};
use crate::draw::{Box2, Pt, distance};
use crate::draw::{INK, PANEL, Side, WHITE};
use crate::say::Voice;

/// Gap between panel and ribbon, and width of the ribbon, picture units. Narrower and its
/// colour cannot be read from the back of a room; wider and it fills narrow grooves.
pub(super) const GAP: f64 = 3.0;
pub(super) const RIBBON: f64 = 18.0;
/// How far a tick stands out of the ribbon.
const TICK: f64 = 7.0;
/// Between two lines of the hatch just over the limit, and at twice the limit or more, picture
/// units: the first is seen as hatched from the back of a room, the second as nearly black.
const HATCH: [f64; 2] = [13.0, 4.5];

pub(super) fn over_limit(elongation: f64, check: &Check) -> bool {
    elongation > check.film.limit_pct + 1e-9
}

/// One order.
pub(super) struct Row<'a> {
    pub(super) check: &'a Check,
    pub(super) panel: &'a Panel,
    pub(super) plan: &'a Plan,
    pub(super) cell: Cell,
    pub(super) step: Option<f64>,
    pub(super) labelled: bool,
    pub(super) worded: bool,
}

impl Row<'_> {
    /// Level of the highest panel.
    fn level(&self) -> f64 {
        self.cell.top + self.cell.head + ABOVE
    }

    pub(super) fn bottom(&self) -> f64 {
        self.level() + self.plan.rise + if self.worded { BELOW } else { BELOW_WORDLESS }
    }

    pub(super) fn at(&self, x: f64, y: f64) -> Pt {
        let high = self.panel.span()[1];
        [
            self.cell.left + (x - self.panel.ends()[0]) * self.plan.scale,
            self.level() + (high - y) * self.plan.scale,
        ]
    }

    pub(super) fn place(&self, p: Place) -> Pt {
        self.at(p.x_mm, p.y_mm)
    }

    pub(super) fn draw(&self, canvas: &mut Canvas) {
        let spare = self.headings(canvas);
        let surface: Vec<Pt> = self
            .panel
            .line
            .iter()
            .map(|p| self.at(p[0], p[1]))
            .collect();
        let mut solid = surface.clone();
        solid.push([surface[surface.len() - 1][0], self.bottom()]);
        solid.push([surface[0][0], self.bottom()]);
        canvas.fill(&solid, PANEL);
        let second = if self.plan.layout == Layout::Columns {
            SECOND
        } else {
            0.0
        };
        let within = Box2 {
            left: surface[0][0].min(
                self.cell.start
                    + if self.plan.layout == Layout::Beside {
                        COLUMN
                    } else {
                        0.0
                    },
            ),
            top: self.cell.top + self.cell.head - second,
            right: self.cell.right,
            bottom: self.bottom(),
        };
        let mut placer = Placer::new(within, 7.0);
        canvas.texts().into_iter().for_each(|t| placer.avoid_box(t));
        placer.avoid_line(&thinned(&surface));
        let film: Vec<Pt> = self
            .check
            .profile
            .iter()
            .map(|r| self.place(r.place))
            .collect();
        let samples = if words::has_film(self.check) {
            let ends = (GAP, GAP + RIBBON);
            upright_ends(band(&film, ends.0, ends.1), &film, ends.0, ends.1)
        } else {
            Vec::new()
        };
        self.film(canvas, &samples, &mut placer);
        // What finds no place in the drawing goes to the heading.
        let mut rest = self.posts(canvas, &mut placer);
        rest.extend(self.marks(canvas, &surface, &mut placer));
        let (value, at) = (self.check.peak_pct, self.check.peak_at);
        if let (Some(value), Some(at)) = (value, at)
            && (samples.len() < 2
                || !self.peak(canvas, (&surface, &samples), (value, at), &mut placer))
        {
            rest.insert(0, peak_label(value, at, self.check, canvas.voice));
        }
        if !rest.is_empty() {
            let width = self.cell.start + self.plan.heading - spare[0];
            canvas.paragraph(&rest.join(", "), spare, width, Type::Value);
        }
    }

    /// Name and verdict; the baseline after them.
    fn headings(&self, canvas: &mut Canvas) -> Pt {
        let name = words::order(&self.check.order);
        let said = verdict(self.check, canvas.voice);
        let (start, width) = (self.cell.start, self.plan.heading);
        if self.plan.layout == Layout::Above {
            let y = self.cell.top + Type::Head.em() + WORD - 4.0;
            let extent = canvas.write(&name, [start, y], Side::Left, Type::Head);
            let from = extent.right + 24.0;
            let room = width + start - from;
            let end = write_verdict(canvas, &said, [from, y], room);
            return [end[0] + 24.0, end[1]];
        }
        let y = self.cell.top
            + if self.plan.layout == Layout::Beside {
                HEADING
            } else {
                Type::Head.em()
            };
        let y = canvas.paragraph(&name, [start, y], width, Type::Head);
        let end = write_verdict(canvas, &said, [start, y + WORD - 3.0], width);
        [start, end[1] + Type::Body.leading()]
    }

    /// Ribbon, hatch and ticks.
    pub(super) fn film(&self, canvas: &mut Canvas, samples: &[Sample], placer: &mut Placer) {
        if samples.len() < 2 {
            return;
        }
        let limit = self.check.film.limit_pct;
        let pct: Vec<f64> = samples
            .iter()
            .map(|s| self.along(s, |r| r.elongation_pct))
            .collect();
        let limit_at = |k: usize| {
            let s = self.along(&samples[k], |r| r.place.s_mm);
            let (from, to) = (self.check.lip_left.s_mm, self.check.lip_right.s_mm);
            let inside = self
                .check
                .film
                .recess_limit_pct
                .filter(|_| from - 1e-9 < s && s < to);
            inside.map_or(limit, |inside| inside.min(limit))
        };
        paint(canvas, samples, &pct, limit, limit_at);
        let far: Vec<Pt> = samples.iter().map(|s| s.far).collect();
        placer.avoid_line(&thinned(&far));
        self.ticks(canvas, samples, &pct, placer);
    }

    /// A column of the profile at a sample.
    fn along(&self, s: &Sample, column: impl Fn(&ProfileRow) -> f64) -> f64 {
        let (a, b) = (
            column(&self.check.profile[s.segment]),
            column(&self.check.profile[s.segment + 1]),
        );
        a + s.part * (b - a)
    }

    fn ticks(&self, canvas: &mut Canvas, samples: &[Sample], pct: &[f64], placer: &mut Placer) {
        let Some(step) = self.step else { return };
        let film: Vec<f64> = samples
            .iter()
            .map(|s| self.along(s, |r| r.film_mm))
            .collect();
        let (first, last) = (film[0], film[film.len() - 1]);
        // Counted from the left bond line, wherever this piece of film begins.
        let mut x = (first / step).floor() * step + step;
        while x < last - 0.25 * step {
            let k = film.partition_point(|&f| f < x).clamp(1, film.len() - 1);
            let t = if film[k] > film[k - 1] {
                (x - film[k - 1]) / (film[k] - film[k - 1])
            } else {
                0.0
            };
            let between = |a: Pt, b: Pt| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
            let (near, far) = (
                between(samples[k - 1].near, samples[k].near),
                between(samples[k - 1].far, samples[k].far),
            );
            let length = (far[0] - near[0]).hypot(far[1] - near[1]).max(1e-9);
            let u = [(far[0] - near[0]) / length, (far[1] - near[1]) / length];
            let tip = [far[0] + TICK * u[0], far[1] + TICK * u[1]];
            let ground = step_colour(step_of(pct[k] / self.check.film.limit_pct));
            canvas.stroke(
                &[near, far],
                if luminance(ground) < 0.22 { WHITE } else { INK },
                2.6,
            );
            canvas.stroke(&[far, tip], INK, 2.6);
            placer.avoid_line(&[near, tip]);
            x += step;
        }
    }

    /// Bond lines, with their distance from lip or foot; what found no place.
    pub(super) fn posts(&self, canvas: &mut Canvas, placer: &mut Placer) -> Vec<String> {
        let check = self.check;
        let ends = words::ends(check);
        let sides = [
            (check.bond_left, check.reach_left_mm),
            (check.bond_right, check.reach_right_mm),
        ];
        let tops: Vec<Pt> = sides
            .iter()
            .map(|(bond, _)| {
                let [x, y] = self.place(*bond);
                let post = [[x, y], [x, y - GAP - RIBBON - 18.0]];
                canvas.stroke(&post, INK, 4.0);
                placer.avoid_line(&post);
                post[1]
            })
            .collect();
        let mut rest = Vec::new();
        if !self.labelled {
            return rest;
        }
        for ((top, (_, reach)), (end, outward)) in tops
            .iter()
            .zip(sides)
            .zip(ends.into_iter().zip([-1.0, 1.0]))
        {
            let label = if reach.abs() < 0.05 {
                format!("at the {end}")
            } else {
                format!("{} from the {end}", canvas.voice.length(reach))
            };
            let size = Type::Body.size_of(&label);
            let line = top[1] - 9.0 - size[1] / 2.0;
            let candidates = (-40..=40).flat_map(|k| {
                let shift = f64::from(k) * 10.0;
                // At a lip the label stands outside, to leave the mouth to the peak.
                let wanted = if reach.abs() < 0.05 {
                    0.45 * outward * size[0]
                } else {
                    0.0
                };
                [0.0, -32.0].map(|up: f64| {
                    let wrong_way = if shift * outward < 0.0 { 0.3 } else { 0.0 };
                    (
                        (shift - wanted).abs() + up.abs() * 6.0 + wrong_way,
                        Box2::around([top[0] + shift, line + up], size),
                    )
                })
            });
            let found = placer.take(candidates.collect::<Vec<_>>());
            canvas.put(&label, found, Type::Body);
            if found.is_none() && !led(canvas, placer, *top, &label, |_| true) {
                rest.push(format!("bond line {label}"));
            }
        }
        rest
    }

    /// Lips and press: a dot on the panel and a word inside it; what found no place.
    pub(super) fn marks(
        &self,
        canvas: &mut Canvas,
        surface: &[Pt],
        placer: &mut Placer,
    ) -> Vec<String> {
        let check = self.check;
        let ends = words::ends(check);
        let mut marks: Vec<(Pt, String)> = Vec::new();
        for (place, word) in [
            (check.press, "press"),
            (check.lip_left, ends[0]),
            (check.lip_right, ends[1]),
        ] {
            let p = self.place(place);
            let at = |q: Pt| (q[0] - p[0]).hypot(q[1] - p[1]) < 4.0;
            match marks.iter_mut().find(|(q, _)| at(*q)) {
                Some((_, said)) if said != word => *said = format!("{said} and {word}"),
                Some(_) => {}
                None => marks.push((p, word.to_owned())),
            }
        }
        let mut rest = Vec::new();
        for (p, word) in marks {
            canvas.dot(p, INK, 5.0);
            if !self.worded {
                continue;
            }
            let size = Type::Body.size_of(&word);
            let inside = |b: &Box2| {
                b.corners().iter().all(|&c| c[1] > level_at(surface, c[0]))
                    && surface[0][0] < b.left
                    && b.right < surface[surface.len() - 1][0]
                    && b.bottom < self.bottom() - 6.0
            };
            let found = placer.take_if(around(p, size, 60.0, 0.0), inside);
            canvas.put(&word, found, Type::Body);
            let below = |b: &Box2| b.top > level_at(surface, b.centre()[0]) || b.centre()[1] > p[1];
            if found.is_none() && !led(canvas, placer, p, &word, below) {
                rest.push(word);
            }
        }
        rest
    }

    /// The peak's value and place, with a thin line to it; false if there is no room.
    fn peak(
        &self,
        canvas: &mut Canvas,
        (surface, samples): (&[Pt], &[Sample]),
        (value, at): (f64, PeakAt),
        placer: &mut Placer,
    ) -> bool {
        let p = self.place(at.place);
        let by_distance = |a: &&Sample, b: &&Sample| {
            let d = |s: &Sample| (s.near[0] - p[0]).hypot(s.near[1] - p[1]);
            d(a).total_cmp(&d(b))
        };
        let Some(anchor) = samples.iter().min_by(by_distance).map(|s| s.far) else {
            return false;
        };
        let corners = thinned(surface);
        let clear = |q: Pt| {
            corners
                .windows(2)
                .all(|w| distance(q, w[0], w[1]) > GAP + RIBBON + TICK)
        };
        let labels = placer.clone();
        let sees = |b: &Box2| {
            let from = b.nearest(anchor);
            let length = (from[0] - anchor[0]).hypot(from[1] - anchor[1]);
            let on = |t: f64| {
                [
                    from[0] + t * (anchor[0] - from[0]),
                    from[1] + t * (anchor[1] - from[1]),
                ]
            };
            b.centre()[1] < level_at(surface, b.centre()[0])
                && !labels.crosses_a_label(b.grown(5.0).nearest(anchor), anchor)
                && (0..20)
                    .map(|k| f64::from(k) / 20.0)
                    .all(|t| (1.0 - t) * length < 14.0 || clear(on(t)))
        };
        let label = peak_label(value, at, self.check, canvas.voice);
        // On one line, or else value over place.
        let broken = label
            .replacen(" at ", "\nat ", 1)
            .replacen(" on ", "\non ", 1);
        for words in [label, broken] {
            let lines: Vec<&str> = words.split('\n').collect();
            if let Some(extent) = placer.take_if(around(anchor, block(&lines), 320.0, 30.0), sees) {
                let from = extent.grown(5.0).nearest(anchor);
                canvas.stroke(&[from, anchor], INK, 2.0);
                canvas.dot(anchor, INK, 5.0);
                placer.avoid_line(&[from, anchor]);
                for (i, line) in lines.iter().enumerate() {
                    let top = extent.top
                        + f64::from(u32::try_from(i).unwrap_or(0)) * Type::Value.leading();
                    let bottom = top + Type::Value.size_of(line)[1];
                    canvas.put(
                        line,
                        Some(Box2 {
                            top,
                            bottom,
                            ..extent
                        }),
                        Type::Value,
                    );
                }
                return true;
            }
        }
        false
    }
}

/// Writes a word where there is room, with a thin line to what it names; false without.
fn led(
    canvas: &mut Canvas,
    placer: &mut Placer,
    p: Pt,
    word: &str,
    fits: impl Fn(&Box2) -> bool,
) -> bool {
    let candidates = around(p, Type::Body.size_of(word), 260.0, 0.0);
    let free = placer.clone();
    let clear = |b: &Box2| fits(b) && !free.crosses_a_label(b.grown(5.0).nearest(p), p);
    let Some(extent) = placer.take_if(candidates, clear) else {
        return false;
    };
    let from = extent.grown(5.0).nearest(p);
    canvas.stroke(&[from, p], INK, 1.6);
    placer.avoid_line(&[from, p]);
    canvas.put(word, Some(extent), Type::Body);
    true
}

/// Width and height of some lines of values.
fn block(lines: &[&str]) -> [f64; 2] {
    let width = lines
        .iter()
        .map(|l| Type::Value.width(l))
        .fold(0.0, f64::max);
    let more = f64::from(u32::try_from(lines.len().saturating_sub(1)).unwrap_or(0));
    [
        width,
        Type::Value.size_of("")[1] + more * Type::Value.leading(),
    ]
}

fn peak_label(value: f64, at: PeakAt, check: &Check, voice: Voice) -> String {
    let prefix = if over_limit(value, check) {
        "over"
    } else {
        "peak"
    };
    format!(
        "{prefix}: {} {}",
        voice.beside(value, check.film.limit_pct),
        words::at_zone(at.zone)
    )
}

/// Height of the surface at an abscissa, picture units; beyond its ends, that of the end.
fn level_at(surface: &[Pt], x: f64) -> f64 {
    let inside = surface
        .windows(2)
        .find(|w| w[0][0] <= x && x <= w[1][0] && w[1][0] > w[0][0]);
    match inside {
        Some(w) => w[0][1] + (w[1][1] - w[0][1]) * (x - w[0][0]) / (w[1][0] - w[0][0]),
        None if x < surface[0][0] => surface[0][1],
        None => surface[surface.len() - 1][1],
    }
}

/// Maximal runs `from..to` of equal keys among `0..n`.
fn runs<K: PartialEq>(n: usize, key: impl Fn(usize) -> K) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut from = 0;
    for k in 1..=n {
        if k == n || key(k) != key(from) {
            found.push((from, k));
            from = k;
        }
    }
    found
}

/// Draws the ribbon: its colour by steps of the scale, hatched where it is over the limit that
/// holds at a sample, both borders in ink.
pub(super) fn paint(
    canvas: &mut Canvas,
    samples: &[Sample],
    pct: &[f64],
    limit: f64,
    limit_at: impl Fn(usize) -> f64,
) {
    let mean = |k: usize| (pct[k] + pct[k + 1]) / 2.0;
    for (from, to) in runs(samples.len() - 1, |k| step_of(mean(k) / limit)) {
        // One sample further than its run, so that no hairline of paper shows between.
        let end = (to + 1).min(samples.len() - 1);
        canvas.fill(
            &outline(&samples[from..=end]),
            step_colour(step_of(mean(from) / limit)),
        );
    }
    let over = |k: usize| mean(k) > limit_at(k) + 1e-9;
    for (from, to) in runs(samples.len() - 1, over) {
        if over(from) {
            let excess = |k: usize| mean(from + k) / limit_at(from + k) - 1.0;
            hatch(canvas, &samples[from..=to], excess);
        }
    }
    for side in [|s: &Sample| s.far, |s: &Sample| s.near] {
        let border: Vec<Pt> = samples.iter().map(side).collect();
        canvas.stroke(&thinned(&border), INK, 1.2);
    }
}

fn outline(samples: &[Sample]) -> Vec<Pt> {
    let far = samples.iter().map(|s| s.far);
    let near = samples.iter().rev().map(|s| s.near);
    thinned(&far.collect::<Vec<_>>())
        .into_iter()
        .chain(thinned(&near.collect::<Vec<_>>()))
        .collect()
}

/// Crossed lines from border to border, the denser the more it is over: `excess` of a sample is
/// the part of the limit that it is beyond it.
pub(super) fn hatch(canvas: &mut Canvas, samples: &[Sample], excess: impl Fn(usize) -> f64) {
    let mut along = vec![0.0];
    for w in samples.windows(2) {
        let mid = |s: &Sample| [(s.near[0] + s.far[0]) / 2.0, (s.near[1] + s.far[1]) / 2.0];
        let (a, b) = (mid(&w[0]), mid(&w[1]));
        along.push(along[along.len() - 1] + (b[0] - a[0]).hypot(b[1] - a[1]));
    }
    let length = along[along.len() - 1];
    let segment = |s: f64| along.partition_point(|&a| a < s).clamp(1, along.len() - 1);
    let mix = |a: Pt, b: Pt, t: f64| [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
    // A place so far along, and that part of the way from border to border.
    let at = |s: f64, part: f64| {
        let k = segment(s);
        let run = along[k] - along[k - 1];
        let t = if run > 0.0 {
            (s - along[k - 1]) / run
        } else {
            0.0
        };
        let (a, b) = (&samples[k - 1], &samples[k]);
        mix(mix(a.near, b.near, t), mix(a.far, b.far, t), part)
    };
    let mut s = 0.0;
    while s < length {
        // From border to border, or as far as the run goes.
        let [from, to] = [s - RIBBON / 2.0, s + RIBBON / 2.0].map(|s| s.clamp(0.0, length));
        let [a, b] = [from, to].map(|x| 0.5 + (x - s) / RIBBON);
        canvas.stroke(&[at(from, a), at(to, b)], INK, 1.4);
        canvas.stroke(&[at(from, 1.0 - a), at(to, 1.0 - b)], INK, 1.4);
        let part = excess(segment(s) - 1).clamp(0.0, 1.0);
        s += HATCH[0] + part * (HATCH[1] - HATCH[0]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::Units;

    #[test]
    fn the_hatch_is_as_dense_as_it_is_over() {
        let samples: Vec<Sample> = (0..=100)
            .map(|k| Sample {
                segment: 0,
                part: 0.0,
                near: [f64::from(k), RIBBON],
                far: [f64::from(k), 0.0],
            })
            .collect();
        let strokes = |excess: f64| {
            let mut canvas = Canvas::sized(200.0, 100.0, Voice::picture(Units::Mm));
            hatch(&mut canvas, &samples, |_| excess);
            canvas.scene.marks.len() - 1
        };
        // Reference: by hand, two lines at every 13 units of 100, and at every 4.5.
        assert_eq!(strokes(0.0), 2 * 8);
        assert_eq!(strokes(1.0), 2 * 23);
        assert_eq!(strokes(7.0), strokes(1.0));
        assert!(strokes(0.0) < strokes(0.5) && strokes(0.5) < strokes(1.0));
    }

    #[test]
    fn runs_part_equal_keys() {
        assert_eq!(runs(5, |k| k / 2), vec![(0, 2), (2, 4), (4, 5)]);
        assert_eq!(runs(0, |k| k), vec![]);
    }
}

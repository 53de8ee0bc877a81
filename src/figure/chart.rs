//! Frames, lines and their names for the pictures of curves; `plot` has the axes.

use super::canvas::{Canvas, Type};
use super::cividis::Rgb;
use super::place::Placer;
use crate::draw::{BAND, INK, Side};
use crate::draw::{Box2, Pt};
use crate::laydown::OrderName;

/// Width of an order's line.
const LINE: f64 = 5.0;

/// The looks of the orders: told apart by dash, and by lightness for the grey copy.
/// On and off lengths; no dash is a full line.
pub(super) const LOOKS: [(Rgb, &[f64]); 4] = [
    ([0x10, 0x2c, 0x57], &[]),
    ([0xb5, 0x5a, 0x10], &[22.0, 9.0]),
    ([0x4d, 0x8f, 0x93], &[6.0, 7.0]),
    ([0x6c, 0x52, 0x7c], &[24.0, 7.0, 6.0, 7.0]),
];

/// Look of an order: the usual ones keep theirs from picture to picture.
pub(super) fn look(order: Option<OrderName>) -> (Rgb, &'static [f64]) {
    match order {
        Some(OrderName::DeepestFirst) => LOOKS[0],
        Some(OrderName::EdgeFirst) => LOOKS[1],
        Some(OrderName::MiddlePush) => LOOKS[2],
        _ => LOOKS[3],
    }
}

/// Where the data are on the canvas.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// The plotted area.
    pub(super) area: Box2,
    pub(super) x: [f64; 2],
    /// Largest value shown, percent; the smallest is 0.
    pub(super) top: f64,
}

impl Frame {
    pub(super) fn x_at(&self, x: f64) -> f64 {
        self.area.left + (x - self.x[0]) / (self.x[1] - self.x[0]) * self.area.width()
    }

    pub(super) fn y_at(&self, y: f64) -> f64 {
        self.area.bottom - y / self.top * self.area.height()
    }

    pub(super) fn at(&self, x: f64, y: f64) -> Pt {
        [self.x_at(x), self.y_at(y)]
    }

    /// The data in picture units, and cut off at the top.
    pub(super) fn line(&self, data: &[[f64; 2]]) -> Vec<Vec<Pt>> {
        let mut runs: Vec<Vec<Pt>> = vec![Vec::new()];
        for w in data.windows(2) {
            let (a, b) = (w[0], w[1]);
            if a[1] > self.top && b[1] > self.top {
                runs.push(Vec::new());
                continue;
            }
            let cross = |t: f64| [a[0] + t * (b[0] - a[0]), self.top];
            let t = (self.top - a[1]) / (b[1] - a[1]);
            let from = if a[1] > self.top { cross(t) } else { a };
            let to = if b[1] > self.top { cross(t) } else { b };
            let last = runs.len() - 1;
            if runs[last].is_empty() {
                runs[last].push(self.at(from[0], from[1]));
            }
            runs[last].push(self.at(to[0], to[1]));
            if b[1] > self.top {
                runs.push(Vec::new());
            }
        }
        runs.retain(|r| r.len() > 1);
        runs
    }
}

/// Largest value of the axis: three limits hold most peaks; one far above them would press all
/// the others flat, so it leaves over the highest that is held, at two and a half at the least.
pub(super) fn top_of(limit: f64, peaks: &[f64]) -> f64 {
    let held = || peaks.iter().copied().filter(|&p| p <= 3.0 * limit);
    let all = held().count() == peaks.len();
    (1.12 * held().fold(0.0, f64::max)).max(limit * if all { 1.3 } else { 2.5 })
}

/// A light band over part of the x axis.
pub(super) fn shade(canvas: &mut Canvas, frame: &Frame, from: f64, to: f64) {
    let (l, r) = (
        frame.x_at(from.max(frame.x[0])),
        frame.x_at(to.min(frame.x[1])),
    );
    if r > l {
        let b = Box2 {
            left: l,
            top: frame.area.top,
            right: r,
            bottom: frame.area.bottom,
        };
        canvas.fill(&b.corners(), BAND);
    }
}

/// Draws the limit and writes its value at the right of the area.
pub(super) fn limit_line(canvas: &mut Canvas, frame: &Frame, limit: f64, placer: &mut Placer) {
    let y = frame.y_at(limit);
    let line = [[frame.area.left, y], [frame.area.right, y]];
    canvas.stroke(&line, INK, 2.0);
    placer.avoid_line(&line);
    let at = [frame.area.right + 12.0, y + Type::Body.em() * 0.35];
    let extent = canvas.write(
        &format!("limit {}", canvas.voice.limit(limit)),
        at,
        Side::Left,
        Type::Value,
    );
    placer.avoid_box(extent);
}

/// Draws the lower limit that holds between two abscissae, and names it.
pub(super) fn recess_limit(
    canvas: &mut Canvas,
    frame: &Frame,
    limit: f64,
    [from, to]: [f64; 2],
    placer: &mut Placer,
) -> [Pt; 2] {
    let y = frame.y_at(limit);
    let line = [[frame.x_at(from), y], [frame.x_at(to), y]];
    canvas.scene.dashed(&line, INK, &[10.0, 7.0], 2.0);
    placer.avoid_line(&line);
    line
}

/// Writes what the lower limit is, at it or with a thin line to it.
pub(super) fn name_recess_limit(
    canvas: &mut Canvas,
    limit: f64,
    line: [Pt; 2],
    placer: &mut Placer,
) {
    let label = format!("limit in the recess {}", canvas.voice.limit(limit));
    let size = Type::Value.size_of(&label);
    let middle = |t: f64| [line[0][0] + t * (line[1][0] - line[0][0]), line[0][1]];
    let near: Vec<(f64, Box2)> = [0.95, 0.85, 0.7, 0.5, 0.3, 0.15, 0.05]
        .into_iter()
        .flat_map(|t| super::place::around(middle(t), size, 40.0, 4.0))
        .collect();
    if let Some(extent) = placer.take(near) {
        canvas.put(&label, Some(extent), Type::Value);
        return;
    }
    let far = super::place::around(middle(0.5), size, 700.0, 4.0);
    if let Some(extent) = placer.take(far) {
        let from = extent.grown(5.0).nearest(middle(0.5));
        canvas.stroke(&[from, middle(0.5)], INK, 1.6);
        placer.avoid_line(&[from, middle(0.5)]);
        canvas.put(&label, Some(extent), Type::Value);
    }
}

/// One order's line: its name and its runs in picture units.
#[derive(Debug, Clone)]
pub(super) struct Curve {
    pub(super) name: String,
    /// What is added to the name where there is room.
    pub(super) more: String,
    /// Whose it is; `None`: a thin line that is drawn already, and only named.
    pub(super) order: Option<OrderName>,
    pub(super) runs: Vec<Vec<Pt>>,
}

/// Draws the lines, then names each at itself, where it is nearest to its own line and far
/// from the others.
pub(super) fn curves(canvas: &mut Canvas, curves: &[Curve], placer: &mut Placer) {
    for curve in curves {
        let drawn = curve.order.is_none();
        let (colour, dash) = look(curve.order);
        for run in &curve.runs {
            if !drawn {
                canvas.scene.dashed(run, colour, dash, LINE);
            }
            placer.avoid_line(run);
        }
    }
    for curve in curves
        .iter()
        .filter(|c| !canvas.has_words(&c.name))
        .collect::<Vec<_>>()
    {
        name(canvas, curve, curves, placer);
    }
}

fn name(canvas: &mut Canvas, curve: &Curve, all: &[Curve], placer: &mut Placer) {
    for words in [format!("{}{}", curve.name, curve.more), curve.name.clone()] {
        let candidates = beside(curve, all, placer, Type::Value.size_of(&words));
        if let Some(extent) = placer.take(candidates) {
            canvas.put(&words, Some(extent), Type::Value);
            return;
        }
        if [true, false]
            .into_iter()
            .any(|strict| led(canvas, curve, all, placer, &words, strict))
        {
            return;
        }
    }
}

/// Names a line that runs close to others: the label stands free, a thin line leads from it
/// to the curve. `strict` leaders cross no other curve.
fn led(
    canvas: &mut Canvas,
    curve: &Curve,
    all: &[Curve],
    placer: &mut Placer,
    words: &str,
    strict: bool,
) -> bool {
    let size = Type::Value.size_of(words);
    let others: Vec<&Curve> = all.iter().filter(|c| c.name != curve.name).collect();
    let mut candidates: Vec<(f64, Box2, Pt)> = Vec::new();
    for p in spread(&curve.runs, 30.0) {
        let apart = others
            .iter()
            .map(|c| gap_to(&Box2::around(p, [0.0, 0.0]), &c.runs))
            .fold(60.0, f64::min);
        for (up, along) in (0..48).flat_map(|k| {
            let side = if k % 2 == 0 { -1.0 } else { 1.0 };
            let far = 30.0 + 16.0 * f64::from(k / 2);
            [-0.5, 0.0, 0.5].map(|f| (side * far, f))
        }) {
            let at = [
                p[0] + along * (size[0] + 2.0 * up.abs()),
                p[1] + up + up.signum() * size[1] / 2.0,
            ];
            let extent = Box2::around(at, size);
            if placer.is_free(&extent) {
                candidates.push((up.abs() - 1.5 * apart + 20.0 * along.abs(), extent, p));
            }
        }
    }
    candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
    let clear = |extent: &Box2, p: Pt| {
        let from = extent.grown(5.0).nearest(p);
        let own = curve.runs.iter().flat_map(|r| r.windows(2)).any(|w| {
            let middle = [
                from[0] + 0.9 * (p[0] - from[0]),
                from[1] + 0.9 * (p[1] - from[1]),
            ];
            cross(from, middle, w[0], w[1])
        });
        let other = others
            .iter()
            .flat_map(|c| &c.runs)
            .flat_map(|r| r.windows(2))
            .any(|w| cross(from, p, w[0], w[1]));
        !placer.crosses_a_label(from, p) && (!strict || !own && !other)
    };
    let Some((_, extent, p)) = candidates.into_iter().find(|(_, e, p)| clear(e, *p)) else {
        return false;
    };
    let from = extent.grown(5.0).nearest(p);
    canvas.stroke(&[from, p], INK, 1.6);
    canvas.dot(p, INK, 4.5);
    placer.avoid_line(&[from, p]);
    placer.avoid_box(extent);
    canvas.put(words, Some(extent), Type::Value);
    true
}

/// Whether two segments have a point in common.
fn cross(a: Pt, b: Pt, c: Pt, d: Pt) -> bool {
    let side = |p: Pt, q: Pt, r: Pt| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}

/// Places at a line that are nearer to it than to the others.
fn beside(curve: &Curve, all: &[Curve], placer: &Placer, size: [f64; 2]) -> Vec<(f64, Box2)> {
    let mut candidates = Vec::new();
    for p in spread(&curve.runs, 24.0) {
        for (fx, fy) in [
            (-1.0, -1.0),
            (0.0, -1.0),
            (1.0, -1.0),
            (-1.0, 1.0),
            (0.0, 1.0),
            (1.0, 1.0),
            (1.0, 0.0),
            (-1.0, 0.0),
        ] {
            for gap in [14.0, 22.0, 32.0] {
                let x = p[0] + fx * (size[0] / 2.0 + if fy == 0.0 { gap } else { 0.0 });
                let y = p[1] + fy * (size[1] / 2.0 + gap);
                let extent = Box2::around([x, y], size);
                let own = gap_to(&extent, &curve.runs);
                let other = all
                    .iter()
                    .filter(|c| c.name != curve.name)
                    .map(|c| gap_to(&extent, &c.runs))
                    .fold(f64::INFINITY, f64::min);
                if other > 1.5 * own {
                    let soft = if placer.on_edge(&extent) { 30.0 } else { 0.0 }
                        + if fy > 0.0 { 4.0 } else { 0.0 };
                    candidates.push((own - 0.3 * other.min(90.0) + soft, extent));
                }
            }
        }
    }
    candidates
}

/// Points along the runs, about `step` apart.
fn spread(runs: &[Vec<Pt>], step: f64) -> Vec<Pt> {
    let mut found = Vec::new();
    for w in runs.iter().flat_map(|r| r.windows(2)) {
        let length = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
        let mut s = 0.0;
        while s <= length {
            let t = if length > 0.0 { s / length } else { 0.0 };
            let p = [
                w[0][0] + t * (w[1][0] - w[0][0]),
                w[0][1] + t * (w[1][1] - w[0][1]),
            ];
            if found
                .last()
                .is_none_or(|q: &Pt| (q[0] - p[0]).hypot(q[1] - p[1]) >= step)
            {
                found.push(p);
            }
            s += step;
        }
    }
    found
}

/// Distance from a box to the nearest point of the runs.
fn gap_to(extent: &Box2, runs: &[Vec<Pt>]) -> f64 {
    let from = |p: &Pt| {
        let q = extent.nearest(*p);
        (q[0] - p[0]).hypot(q[1] - p[1])
    };
    // Some points first, so that most stretches are too far to be looked at.
    let some = runs.iter().flat_map(|r| r.iter().step_by(16));
    let mut least = some.map(from).fold(f64::INFINITY, f64::min);
    for w in runs.iter().flat_map(|r| r.windows(2)) {
        if off_by(extent, w[0], w[1]) > least {
            continue;
        }
        if extent.crossed_by(w[0], w[1]) {
            return 0.0;
        }
        least = w.iter().map(from).fold(least, f64::min);
        for q in extent.corners() {
            least = least.min(crate::draw::distance(q, w[0], w[1]));
        }
    }
    least
}

/// How far at least a stretch is from a box: left or right of it, above or below.
fn off_by(extent: &Box2, a: Pt, b: Pt) -> f64 {
    let across = (a[0].min(b[0]) - extent.right).max(extent.left - a[0].max(b[0]));
    let along = (a[1].min(b[1]) - extent.bottom).max(extent.top - a[1].max(b[1]));
    across.max(along)
}

/// An order that is cut off at the top of the area.
#[derive(Debug, Clone)]
pub(super) struct Leaving {
    /// Whose it is; `None`: a thin line that is drawn already, and only named.
    pub(super) order: Option<OrderName>,
    /// Where, in the units of the x axis.
    pub(super) at: f64,
    /// Name and largest value.
    pub(super) words: String,
}

/// How far from its triangle a name stands without a line to it.
const BESIDE: f64 = 60.0;

/// A triangle at the top for each order that goes on above, with its name and value nearer to
/// it than to another's line, or a thin line between them.
pub(super) fn leaving(
    canvas: &mut Canvas,
    frame: &Frame,
    (all, curves): (&[Leaving], &[Curve]),
    placer: &mut Placer,
) {
    let y = frame.area.top;
    // All triangles first: a name must not come where the next one stands.
    let mut tips: Vec<Pt> = Vec::new();
    for one in all {
        let mut x = frame.x_at(one.at);
        while tips.iter().any(|t| (t[0] - x).abs() < 28.0) {
            x += 7.0;
        }
        tips.push([x, y + 27.0]);
        let (colour, _) = look(one.order);
        canvas.fill(
            &[[x - 11.0, y + 22.0], [x, y + 2.0], [x + 11.0, y + 22.0]],
            colour,
        );
        placer.avoid_box(Box2 {
            left: x - 11.0,
            top: y,
            right: x + 11.0,
            bottom: y + 22.0,
        });
    }
    for (k, (one, &tip)) in all.iter().zip(&tips).enumerate() {
        let size = Type::Value.size_of(&one.words);
        let far = |p: Pt, b: &Box2| gap_to(b, &[vec![p, p]]);
        let its = |b: &Box2| {
            let own = 1.5 * far(tip, b);
            let others = curves.iter().filter(|c| c.order != one.order);
            let apart = |(i, &t): (usize, &Pt)| i == k || far(t, b) > own;
            tips.iter().enumerate().all(apart)
                && others.map(|c| gap_to(b, &c.runs)).all(|gap| gap > own)
        };
        let near = super::place::around(tip, size, BESIDE, 0.0);
        if let Some(extent) = placer.take_if(near, its) {
            canvas.put(&one.words, Some(extent), Type::Value);
            continue;
        }
        let free = placer.clone();
        let line = |b: &Box2| [b.grown(5.0).nearest(tip), tip];
        let clear = |b: &Box2| !free.crosses_a_label(line(b)[0], tip);
        let around = super::place::around(tip, size, 700.0, 0.0);
        if let Some(extent) = placer.take_if(around, clear) {
            canvas.stroke(&line(&extent), INK, 1.6);
            placer.avoid_line(&line(&extent));
            canvas.put(&one.words, Some(extent), Type::Value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_far_over_the_limit_is_cut_off() {
        assert!((top_of(20.0, &[100.0]) - 50.0).abs() < 1e-12);
        assert!(top_of(20.0, &[52.0]) > 52.0);
        assert!(top_of(20.0, &[]) > 20.0);
        // One that leaves takes none along that fits.
        assert!(top_of(12.0, &[11.1, 30.8, 45.4]) > 30.8);
    }

    #[test]
    fn a_line_over_the_top_ends_there() {
        let area = Box2 {
            left: 0.0,
            top: 0.0,
            right: 100.0,
            bottom: 100.0,
        };
        let frame = Frame {
            area,
            x: [0.0, 100.0],
            top: 10.0,
        };
        // Reference: by hand; 0 to 20 over 0..10 crosses 10 at x = 5, and back at 15.
        let runs = frame.line(&[[0.0, 0.0], [10.0, 20.0], [20.0, 0.0]]);
        assert_eq!(
            runs,
            vec![
                vec![[0.0, 100.0], [5.0, 0.0]],
                vec![[15.0, 0.0], [20.0, 100.0]]
            ]
        );
    }
}

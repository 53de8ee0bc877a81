//! The stages of a lay-down that people know: bridged, pressed, floor, wall, down.

use crate::laydown::{Bed, Laydown, Moment, Way, Work};
use crate::section::Side;
use crate::told::when;
use serde::{Deserialize, Serialize};

/// A stage of the laying: what is covered when it is reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// The film is taut over the recess, nothing of it pressed.
    Bridged,
    /// The first press at the deepest zone.
    Pressed,
    /// Edge-first: the flats, up to the lips.
    Flats,
    /// The floor (edge-first: all but the last press).
    Floor,
    /// The walls (one-way: the first wall).
    Wall,
    /// One-way: the wall on the loose side.
    FarWall,
    /// Steps of one's own: after a spread.
    Step,
    /// Everything.
    Down,
}

/// Part of the way short of the end at which edge-first is about to press for the last
/// time. Smaller and the free span drowns in rounding, larger and it shows.
const JUST_BEFORE: f64 = 1e-9;
/// Part of the panel between the lips by which a front must have moved for a new stage: a
/// sharp bottom has feet as far apart as the gauge is good.
const MOVED: f64 = 0.03;
/// Length below which a way or a pad is none, mm.
const NOTHING: f64 = 1e-6;

/// The stages of a lay-down in their order, with the moment each is reached.
///
/// Deepest-first: a stage is reached when both fronts have passed the feet (or the lips);
/// each front waits there for the other, since neither knows of the other. Edge-first: the
/// two fronts go at their common pace, and a stage is reached by the later one. A stage
/// that would repeat the one before it (a round bottom has no feet, a middle push no flats)
/// is left out, and the last is always down. Steps that are no order with a name have one after
/// each of them. Empty if the peak is not finite.
pub fn stages(laid: &Laydown, bed: &Bed<'_>) -> Vec<(Stage, Moment)> {
    let mut all: Vec<(Stage, Moment)> = Vec::with_capacity(5);
    let far = MOVED * (bed.lips().1 - bed.lips().0);
    let mut add = |stage, moment: Option<Moment>| {
        if let Some(moment) = moment
            && all.last().is_none_or(|(_, m)| moved(m, &moment, far))
        {
            all.push((stage, moment));
        }
    };
    add(Stage::Bridged, laid.moment(bed, 0.0));
    match laid.way() {
        Way::Outwards => {
            let ways = Ways::new(laid, bed);
            for (stage, (a, b)) in [
                (Stage::Pressed, laid.pad()),
                (Stage::Floor, ways.feet),
                (Stage::Wall, ways.lips),
            ] {
                add(stage, laid.spreading(bed, a, b));
            }
        }
        Way::Inwards => {
            add(Stage::Flats, laid.moment(bed, f64::MIN_POSITIVE));
            let progress = Ways::new(laid, bed).to_feet(laid, bed);
            if progress > 0.0 && progress < 1.0 {
                add(Stage::Wall, laid.moment(bed, progress));
            }
            let (a, b) = laid.pad();
            if b - a > NOTHING {
                add(Stage::Floor, laid.moment(bed, 1.0 - JUST_BEFORE));
            }
        }
        Way::Steps => {
            for moment in laid.after_steps(bed) {
                let press = matches!(moment.work[..], [Work::Press(..)]);
                add(when(press, Stage::Pressed, Stage::Step), Some(moment));
            }
        }
        Way::Along(loose) => {
            let (left, right) = laid.bonds();
            let ways = Ways::new(laid, bed);
            let part = |s: f64| (s - left) / (right - left);
            let places = match loose {
                Side::Right => [ways.feet.0, ways.feet.1, ways.lips.1].map(part),
                Side::Left => [ways.feet.1, ways.feet.0, ways.lips.0].map(|s| 1.0 - part(s)),
            };
            let named = [Stage::Wall, Stage::Floor, Stage::FarWall];
            for (stage, progress) in named.into_iter().zip(places) {
                add(stage, laid.moment(bed, progress.clamp(0.0, 1.0)));
            }
        }
    }
    let down = laid.moment(bed, 1.0);
    add(Stage::Down, down.clone());
    // A stage at which as good as all is down goes by that name.
    if let (Some(last), Some(down)) = (all.last_mut(), down) {
        *last = (Stage::Down, down);
    }
    all
}

/// Does the second moment have other panel under the film than the first?
fn moved(a: &Moment, b: &Moment, far: f64) -> bool {
    let near = |p: f64, q: f64| (p - q).abs() <= far;
    let mut both = a.down.iter().zip(&b.down);
    a.down.len() != b.down.len() || both.any(|(p, q)| !near(p.0, q.0) || !near(p.1, q.1))
}

/// Places that fronts pass, left and right, arc lengths on the bed, mm.
struct Ways {
    feet: (f64, f64),
    lips: (f64, f64),
}

impl Ways {
    /// Feet at least at the edge of the pad and at most at the lips; lips at most at the
    /// bond lines.
    fn new(laid: &Laydown, bed: &Bed<'_>) -> Self {
        let ((left, right), pad) = (laid.bonds(), laid.pad());
        let feet = bed.recess().feet();
        let lips = (
            bed.lips().0.max(left).min(pad.0),
            bed.lips().1.min(right).max(pad.1),
        );
        let at = |foot: Option<f64>, none: f64| foot.map_or(none, |s| bed.locate(s));
        Self {
            feet: (
                at(feet.0, pad.0).max(lips.0).min(pad.0),
                at(feet.1, pad.1).min(lips.1).max(pad.1),
            ),
            lips,
        }
    }

    /// Progress of edge-first at which the later front comes to its foot.
    fn to_feet(&self, laid: &Laydown, bed: &Bed<'_>) -> f64 {
        let (left, right) = laid.bonds();
        let (start, end) = bed.edge_starts(left, right);
        let pad = laid.pad();
        let part = |at: f64, from: f64, to: f64| {
            if (to - from).abs() > NOTHING {
                (at - from) / (to - from)
            } else {
                0.0
            }
        };
        part(self.feet.0, start, pad.0).max(part(self.feet.1, end, pad.1))
    }
}

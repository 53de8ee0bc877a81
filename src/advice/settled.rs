//! From which reach on more of it changes nothing: where drag holds the film beyond.
//!
//! Given a job with drag on the flats; laid once, deepest-first, at the most reach there is.
//! At each bond line some film never had any tension ([`MarchReport::slack`]). Let c be a place
//! in it where film lies on the panel before the press. Then for any bond line from c
//! outwards film and panel up to c are the same, c stays a corner of the free film, and
//! beyond c there is no tension at any time: the same fronts lay the same film. So neither
//! peak depends on the reach from where both bond lines are beyond such places on, and
//! the scan over reaches may stop there. A side whose reach does not grow any more needs none.
//!
//! Not for ranges of warm film: they are counted from a bond line and move with it.

use super::job::Job;
use super::tape_step::WIDTH_STEP;
use crate::geometry::{Point, hull};
use crate::laydown::{Order, Warm};

/// Slack film that is not counted on, mm: between two steps of the march tension may have
/// reached further than at either, by far less than this.
const MARGIN: f64 = 5.0;
/// Sine of a turn, and part by which a chord is shorter than its arc, that are rounding.
const ROUNDING: f64 = 1e-12;

/// The total reach, in steps of the scan, from which on the deepest-first peaks are the same;
/// `None` where drag does not hold the film.
pub(super) fn settled_from(job: &Job<'_>) -> Option<f64> {
    let conditions = &job.handling?.conditions;
    if conditions.drag <= 0.0 || matches!(conditions.warm, Warm::Ranges(_)) {
        return None;
    }
    let order = Order::DeepestFirst;
    let most = job.bed.most_reach(job.split);
    let laid = job.lay(job.bonds_for(most, order), order).ok()?;
    let (left, right) = laid.bonds();
    let slack = laid.march()?.slack;
    let lies = lies(&job.bed.line().between(left, right), left);
    let (low, high) = (left + slack.0 - MARGIN, right - slack.1 + MARGIN);
    // The innermost places; the bond lines themselves are some.
    let low = lies.iter().filter(|l| l.0 <= low).map(|l| l.1.min(low));
    let low = low.fold(left, f64::max);
    let high = lies.iter().filter(|l| l.1 >= high).map(|l| l.0.max(high));
    let high = high.fold(right, f64::min);
    let mut reach = 0.0;
    while reach < most {
        let bonds = job.bonds_for(reach, order);
        if job.bed.locate(bonds.left) <= low && job.bed.locate(bonds.right) >= high {
            return Some(reach);
        }
        reach += WIDTH_STEP;
    }
    None
}

/// Where taut film lies on a chain: from and to, arc lengths, mm; a corner alone is a place.
fn lies(chain: &[Point], start: f64) -> Vec<(f64, f64)> {
    let mut all = Vec::new();
    let mut s = start;
    for w in hull(chain, ROUNDING).windows(2) {
        let facets = chain[w[0]..=w[1]].windows(2);
        let arc: f64 = facets.map(|p| (p[1] - p[0]).norm()).sum();
        let chord = (chain[w[1]] - chain[w[0]]).norm();
        if arc - chord <= ROUNDING * arc {
            all.push((s, s + arc));
        } else {
            all.extend([(s, s), (s + arc, s + arc)]);
        }
        s += arc;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::{lies, settled_from};
    use crate::advice::{Handling, Job};
    use crate::film::{StretchLaw, film_named, tool_named};
    use crate::geometry::chain;
    use crate::laydown::{Bed, Conditions, Order, Split, Warm};
    use crate::section::{Recess, Survey, Units, read_shape};

    #[test]
    fn film_lies_on_both_flats_of_a_vee_and_not_over_it() {
        // By hand: a flat of 10 read in two, walls of 5 with a mouth of 8, a flat of 10.
        let vee = chain("0,0 4,0 10,0 14,-3 18,0 28,0");
        let by_hand = [
            (0.0, 4.0),
            (4.0, 10.0),
            (10.0, 10.0),
            (20.0, 20.0),
            (20.0, 30.0),
        ];
        assert_eq!(lies(&vee, 0.0), by_hand);
    }

    /// The scan of 120 reaches, a thousand where more clear panel is looked for, ends after
    /// some twenty; and the peaks beyond are what they are there.
    #[test]
    fn where_drag_holds_the_film_more_reach_changes_nothing() {
        let film = film_named("wrap-cast").unwrap();
        let tool = tool_named("fingertip").unwrap();
        let soft = Warm::Mouth(StretchLaw::NeoHookean(0.05));
        let round = "channel:mouth=80,floor=40,depth=25,lip-radius=4";
        // Largest reach from which on: 100 mm a side; left first, the left is full before. A
        // step's lower flat comes down from the air and does not drag.
        for (shape, warm, split, at_most) in [
            (round, Warm::Whole, Split::Even, Some(200.0)),
            (round, soft, Split::Even, Some(200.0)),
            (
                "channel:mouth=60,floor=20,depth=20",
                Warm::Whole,
                Split::Left,
                Some(400.0),
            ),
            (
                "step:drop=12,wall=60,lip-radius=3",
                Warm::Whole,
                Split::Even,
                None,
            ),
        ] {
            let section = read_shape(shape, Units::Mm).unwrap();
            let recess = Recess::find(section, Survey::default()).unwrap();
            let bed = Bed::new(&recess, 10.0, 6.0);
            let handling = Handling {
                conditions: Conditions {
                    lip_friction: 0.3,
                    drag: 0.005,
                    law: StretchLaw::NeoHookean(0.5),
                    warm,
                    ..Conditions::default()
                },
                ..Handling::default()
            };
            let job = Job {
                split,
                handling: Some(&handling),
                ..Job::new(&bed, &film, &tool)
            };
            let most = bed.most_reach(split);
            let order = Order::DeepestFirst;
            let peaks = |reach: f64| job.peaks(job.bonds_for(reach, order), order).unwrap();
            let found = settled_from(&job);
            assert_eq!(found.is_some(), at_most.is_some(), "{shape}: {found:?}");
            let (Some(from), Some(at_most)) = (found, at_most) else {
                continue;
            };
            assert!(
                from <= at_most && most >= 600.0,
                "{shape}: {from} of {most}"
            );
            let all = peaks(most);
            // 1e-8: what the march is good to.
            for k in 0..=20 {
                let reach = from + (most - from) * f64::from(k) / 20.0;
                let here = peaks(reach);
                let off = (here.0 - all.0).abs().max((here.1 - all.1).abs());
                assert!(off <= 1e-8, "{shape}: {off} at {reach}");
            }
            // Narrower by two thirds it is another lay-down.
            assert!((peaks(from / 3.0).0 - all.0).abs() > 1e-6, "{shape}");
        }
    }
}

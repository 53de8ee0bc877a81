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
use super::width::WIDTH_STEP;
use crate::laydown::{Order, Warm};
use crate::section::{Point, hull};

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
    use super::lies;
    use crate::section::Point;

    #[test]
    fn film_lies_on_both_flats_of_a_vee_and_not_over_it() {
        // By hand: a flat of 10 read in two, walls of 5 with a mouth of 8, a flat of 10.
        let vee = [
            (0.0, 0.0),
            (4.0, 0.0),
            (10.0, 0.0),
            (14.0, -3.0),
            (18.0, 0.0),
            (28.0, 0.0),
        ];
        let vee: Vec<Point> = vee.iter().map(|p| Point::new(p.0, p.1)).collect();
        let by_hand = [
            (0.0, 4.0),
            (4.0, 10.0),
            (10.0, 10.0),
            (20.0, 20.0),
            (20.0, 30.0),
        ];
        assert_eq!(lies(&vee, 0.0), by_hand);
    }
}

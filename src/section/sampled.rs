//! Corners that lie between two readings of a comb, or of a rule read at even steps.
//!
//! A chain through readings at even steps cuts every corner that lies between two of them: lips come
//! out too far apart, walls too gentle, and the film stretched too little. Given is such a chain;
//! found, the longest panel that fits its readings:
//!
//! ```text
//! a corner cut off   both ends of a facet turn the same way: the corner is where the facets
//!                    beside it meet
//! a wall             turns one way, then the other, within two steps: no two readings on it say
//!                    how steep it is, so it is upright, through the reading on it or half way
//! ```
//!
//! Guaranteed: readings stay where they are, and no corner leaves the step it lies in. Not in it: what
//! is narrower than a step and was not met. Corners read themselves stand at uneven steps, and such a
//! chain is left alone, as is one with steps so short that what they cut off is less than a gauge
//! reads; of a scan, close all along, only its gaps are taken so.

use super::Section;
use super::notice::SectionNotice;
use crate::geometry::{Point, Polyline, Vector};

/// Shortest step, mm: four gauge tolerances. Shorter steps cut off less than a millimetre of panel.
const SHORTEST: f64 = 2.0;
/// Part of the steps that are alike, along x and along the chain, from which they were chosen and
/// the corners were not. Along the chain a step over a corner is shorter, by no more than to 0.4 of it,
/// and none is longer.
const ALIKE: (f64, f64) = (0.9, 0.5);
const SHORTENED: f64 = 0.4;
/// Readings from which steps can be told to be even, and those of a scan.
const LEAST_READINGS: (usize, usize) = (8, 40);
/// Half of a scan's length is read in steps up to one of them; a step of more than three of that is
/// a gap. Of a drawn section those are its flats, and there is none.
const GAP: f64 = 3.0;
/// Least height of what is cut off, mm: a gauge's tolerance. Lower takes noise for corners.
const LEAST_CUT: f64 = 0.5;
/// Turns of the chain, rad: at both ends of a facet that cuts a corner off (5 degrees), and where a
/// wall begins and ends (15).
const TURNS: (f64, f64) = (0.087, 0.26);

impl Section {
    /// The step of its readings, mm, if they stand at even ones, and whether corners were found
    /// between them.
    pub(crate) fn even_step(&self) -> Option<(f64, bool)> {
        let reading = self.reading()?;
        let found =
            |n: &SectionNotice| matches!(n, SectionNotice::BetweenReadings { count: 1.., .. });
        Some((even_step(&reading.raw)?, self.warnings.iter().any(found)))
    }

    /// The abscissae between which a scan has no reading, of those that lie at least partly between
    /// two the ones furthest apart, mm.
    pub(crate) fn widest_gap(&self, from: f64, to: f64) -> Option<(f64, f64)> {
        let raw = &self.reading()?.raw;
        let least = scan_gap(raw)?;
        let gaps = raw.windows(2).filter(|w| (w[1] - w[0]).norm() > least);
        gaps.map(|w| (w[0].x.min(w[1].x), w[0].x.max(w[1].x)))
            .filter(|gap| gap.1 > from && gap.0 < to)
            .max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
    }

    /// The section with the corners that lie between its readings, where those stand at even steps or
    /// leave a gap.
    #[must_use]
    pub fn with_corners_between(self) -> Self {
        let fitted = self.reading().is_some_and(|r| r.fitted);
        let readings = self.reading().map_or(self.line.points(), |r| &r.raw);
        let even = even_step(readings).filter(|_| !fitted);
        let gap = match fitted {
            true => longest_gap(readings, |step| step.x.abs()),
            false => longest_gap(self.line.points(), |step| step.norm()),
        };
        let (step_mm, within) = match (even, gap) {
            (Some(step), _) => (step, 0.0),
            (None, Some((gap, least))) => (gap, least),
            (None, None) => return self,
        };
        // Of a noisy scan the corners are those of the fit.
        let (points, count) = match fitted {
            true => (Vec::new(), 0),
            false => sharpened(self.line.points(), within),
        };
        let mut section = self;
        if count > 0 {
            section.line = Polyline::new(points, 0.0);
        }
        section
            .warnings
            .push(SectionNotice::BetweenReadings { count, step_mm });
        section
    }
}

/// The length from which a step of a scan is a gap, mm; none of what is no scan.
fn scan_gap(points: &[Point]) -> Option<f64> {
    if points.len() < LEAST_READINGS.1 {
        return None;
    }
    let mut steps: Vec<f64> = points.windows(2).map(|w| (w[1] - w[0]).norm()).collect();
    steps.sort_by(f64::total_cmp);
    let half = 0.5 * steps.iter().sum::<f64>();
    let mut read = 0.0;
    let middle = steps.iter().find(|&&step| {
        read += step;
        read >= half
    });
    middle.map(|step| (GAP * step).max(SHORTEST))
}

/// The longest gap of a scan, and the length from which a step is one, mm. Noise and slips stand
/// off the panel: of a noisy scan steps are measured along x.
fn longest_gap(points: &[Point], length: impl Fn(Vector) -> f64) -> Option<(f64, f64)> {
    let least = scan_gap(points)?;
    let steps = points.windows(2).map(|w| length(w[1] - w[0]));
    let longest = steps.fold(0.0, f64::max);
    (longest > least).then_some((longest, least))
}

/// The step of readings that stand at even ones, mm.
fn even_step(points: &[Point]) -> Option<f64> {
    if points.len() < LEAST_READINGS.0 {
        return None;
    }
    let enough = |steps: &[f64], step: f64, share: f64| {
        let near = |s: &&f64| (*s - step).abs() <= 0.02 * step + 0.011;
        let even = steps.iter().filter(near).count();
        step >= SHORTEST && even as f64 >= share * steps.len() as f64
    };
    let mut along_x: Vec<f64> = points.windows(2).map(|w| w[1].x - w[0].x).collect();
    let middle = along_x.len() / 2;
    let step = *along_x.select_nth_unstable_by(middle, f64::total_cmp).1;
    if enough(&along_x, step, ALIKE.0) {
        return Some(step);
    }
    // The first and the last step are what was left.
    let chain = points[1..points.len() - 1].windows(2);
    let chords: Vec<f64> = chain.map(|w| (w[1] - w[0]).norm()).collect();
    let longest = chords.iter().copied().fold(0.0, f64::max);
    let whole = chords.iter().all(|&c| c >= SHORTENED * longest);
    (whole && enough(&chords, longest, ALIKE.1)).then_some(longest)
}

/// The chain with its corners in steps of at least a length, and how many were put in.
fn sharpened(points: &[Point], within: f64) -> (Vec<Point>, usize) {
    let n = points.len();
    let direction = |k: usize| {
        let d = points[k + 1] - points[k];
        d.y.atan2(d.x)
    };
    // The turn at each point, to the left positive.
    let mut turns = vec![0.0; n];
    for (k, turn) in turns.iter_mut().enumerate().take(n - 1).skip(1) {
        *turn = direction(k) - direction(k - 1);
    }
    let turn = |k: Option<usize>| k.and_then(|k| turns.get(k)).copied().unwrap_or(0.0);
    let same = |a: f64, b: f64| a.min(b) > TURNS.0 || a.max(b) < -TURNS.0;
    // What stands in place of the inner readings of a facet or two: from, to, points.
    let mut changes: Vec<(usize, usize, Vec<Point>)> = Vec::new();
    let mut taken = vec![false; n];
    // Walls without two readings on them, from where they begin to where they end.
    for steps in [1, 2] {
        for from in 1..n.saturating_sub(1 + steps) {
            let to = from + steps;
            let (begins, ends) = (turns[from], turns[to]);
            let wall = begins * ends < 0.0 && begins.abs().min(ends.abs()) >= TURNS.1;
            let longer = same(begins, turn(from.checked_sub(1))) || same(ends, turn(Some(to + 1)));
            let rise = (points[to].y - points[from].y).abs();
            let short = (points[to] - points[from]).norm() < within;
            if short || !wall || longer || rise < 2.0 * LEAST_CUT || taken[from..to].contains(&true)
            {
                continue;
            }
            let x = match steps {
                1 => 0.5 * (points[from].x + points[to].x),
                _ => points[from + 1].x,
            };
            let beside = |k: usize| Point::new(x, points[k].y);
            taken[from..to].fill(true);
            changes.push((from, to, vec![beside(from), beside(to)]));
        }
    }
    // Corners cut off, those that turn most first.
    let mut cuts: Vec<usize> = (1..n.saturating_sub(2)).collect();
    cuts.sort_by(|&a, &b| {
        let whole = |k: usize| (turns[k] + turns[k + 1]).abs();
        whole(b).total_cmp(&whole(a))
    });
    for k in cuts {
        if (points[k + 1] - points[k]).norm() < within {
            continue;
        }
        if taken[k - 1..=k + 1].contains(&true) || !same(turns[k], turns[k + 1]) {
            continue;
        }
        if let Some(corner) = meeting(points, k) {
            taken[k] = true;
            changes.push((k, k + 1, vec![corner]));
        }
    }
    changes.sort_by_key(|c| c.0);
    let mut all = Vec::with_capacity(n + 2 * changes.len());
    let (mut next, mut count) = (0, 0);
    for (from, to, corners) in changes {
        all.extend_from_slice(&points[next..=from]);
        count += corners.len();
        all.extend(corners);
        next = to;
    }
    all.extend_from_slice(&points[next..]);
    (all, count)
}

/// Where the facets before and after facet `k` meet, if that is above or below it and far enough.
fn meeting(points: &[Point], k: usize) -> Option<Point> {
    let (p, q) = (points[k], points[k + 1]);
    let (u, v) = (p - points[k - 1], q - points[k + 2]);
    let cross = u.x * v.y - u.y * v.x;
    let w = q - p;
    let t = (w.x * v.y - w.y * v.x) / cross;
    let corner = p + u * t;
    let height = (w.x * (corner.y - p.y) - w.y * (corner.x - p.x)).abs() / w.norm();
    let within = t > 0.0 && corner.x > p.x && corner.x < q.x;
    (within && height >= LEAST_CUT).then_some(corner)
}

#[cfg(test)]
mod tests {
    use super::super::{Typing, read_comb, read_points};
    use super::SectionNotice;
    use crate::geometry::Point;

    fn corners(heights: &str) -> Vec<(f64, f64)> {
        let comb = read_comb("comb", &format!("pitch=5: {heights}"), Typing::default());
        let section = comb.unwrap();
        let read = section.line().points().to_vec();
        let section = section.with_corners_between();
        let new = section.line().points().iter().filter(|p| !read.contains(p));
        let tenth = |v: f64| (10.0 * v).round() / 10.0;
        new.map(|p| (tenth(p.x), tenth(p.y))).collect()
    }

    // Reference: by hand. Lips at x = 12 and 48, feet at 22 and 38, slope 2: heights at 15, 20 are
    // -6, -16, the floor is at -20.
    #[test]
    fn lips_and_feet_between_the_teeth_are_found_where_walls_have_two_readings() {
        let found = corners("0,0,0,-6,-16,-20,-20,-20,-16,-6,0,0,0");
        assert_eq!(
            found,
            [(12.0, 0.0), (22.0, -20.0), (38.0, -20.0), (48.0, 0.0)]
        );
    }

    #[test]
    fn a_wall_without_two_readings_stands_upright() {
        assert_eq!(
            corners("0,0,0,0,-12,-12,-12,-12"),
            [(17.5, 0.0), (17.5, -12.0)]
        );
        assert_eq!(
            corners("0,0,0,-7,-12,-12,-12,-12"),
            [(15.0, 0.0), (15.0, -12.0)]
        );
    }

    // Reference: by hand. A lip at (0, 0) between readings at -4 and 3 mm, else a millimetre apart.
    #[test]
    fn a_gap_of_a_scan_is_said_and_its_corner_stands_in_it() {
        let read = (-60..=60).filter(|x| !(-3..=2).contains(x));
        let rows: Vec<String> = read.map(|x| format!("{x},{}", -x.clamp(0, 20))).collect();
        let section = read_points("p", &rows.join(" "), Typing::default()).unwrap();
        let section = section.with_corners_between();
        let said = section.warnings().last();
        let (count, step_mm) = (1, 58.0_f64.sqrt());
        assert_eq!(
            said,
            Some(&SectionNotice::BetweenReadings { count, step_mm })
        );
        let near = |p: &&Point| p.coords.norm() < 1e-9;
        assert_eq!(section.line().points().iter().filter(near).count(), 1);
    }

    #[test]
    fn corners_that_were_read_and_gentle_curves_stay() {
        let read = |text: &str| read_points("p", text, Typing::default()).unwrap();
        let drawn = read("-120,0 -40,0 -20,-25 20,-25 40,0 120,0 130,0 140,0 150,0");
        assert_eq!(drawn.clone().with_corners_between(), drawn);
        assert_eq!(corners("0,0,-0.2,-0.6,-1.2,-1.8,-2.2,-2.4,-2.4,-2.4"), []);
    }
}

//! The shapes that fit a reading, and what a hand makes of them: seeded draws.
//!
//! Given is a recess as it was read. A draw moves its *corners* (lips, feet, both ends of
//! the deepest zone), each on its own in x and in y; between two corners the panel moves
//! linearly along its arc, beyond the outermost ones it rides with them, so that flats
//! keep their slope. Single readings are never shaken: that would add metres of panel. A
//! draw also presses and tapes beside the mark.
//!
//! Each number drawn is normal, its 95 % half width what is given: the tolerance of the
//! gauge, or the noise found in the readings where that is larger; so far JCGM 101. Of the
//! draws each number has mean 0 and deviation 1 exactly, which takes sampling error off what
//! is nearly linear; and each draw has a twin with left and right exchanged, so that a
//! mirrored recess gets the same answer. Two corners nearer than twice the tolerance are one.
//!
//! Guaranteed: the same draws on every machine, for the same corners. Not in them: errors
//! that neighbours share, such as a gauge held askew, and a rounding read wrong.
//!
//! # Reference
//! JCGM 101:2008, Evaluation of measurement data, Supplement 1: propagation of distributions
//! using a Monte Carlo method, clauses 6.4.7 and 7.

use crate::geometry::{Point, Polyline, Vector};
use crate::section::{Kind, Recess, Section, Side, Survey};
use crate::survey::{Random, squared};

/// Deviations of a normal number to its 95 % half width.
pub(super) const HALF_WIDTH: f64 = 1.959_964;
/// Seed of the draws.
const SEED: u64 = 0x6173_7375_7265_6400;
/// Numbers of a draw that are no corner's: the press, the left and the right tape.
const SLIPS: usize = 3;

/// A corner of a recess.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    LeftLip,
    LeftFoot,
    Deepest,
    RightFoot,
    RightLip,
}

/// Corners that are one, with their place, arc length on the section, mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Corner {
    pub(super) roles: Vec<Role>,
    pub(super) s: f64,
}

/// The corners of a recess, left to right.
pub(super) fn corners(recess: &Recess, tolerance: f64) -> Vec<Corner> {
    let (left, right) = recess.outer();
    let (left_foot, right_foot) = recess.feet();
    let (from, to) = recess.deepest();
    let lower = recess.lower();
    let deepest = (recess.kind() == Kind::Channel).then_some((from, to));
    let named = [
        (Role::LeftLip, (lower != Some(Side::Left)).then_some(left)),
        (Role::LeftFoot, left_foot),
        (Role::Deepest, deepest.map(|d| d.0)),
        (Role::Deepest, deepest.map(|d| d.1)),
        (Role::RightFoot, right_foot),
        (
            Role::RightLip,
            (lower != Some(Side::Right)).then_some(right),
        ),
    ];
    let mut all: Vec<(Role, f64)> = Vec::with_capacity(named.len());
    for (role, s) in named {
        if let Some(s) = s {
            all.insert(all.partition_point(|c| c.1 <= s), (role, s));
        }
    }
    merged(&all, 2.0 * tolerance)
}

/// Neighbours within a distance as one, in the middle of the lips and feet among them.
fn merged(all: &[(Role, f64)], within: f64) -> Vec<Corner> {
    let near = |a: &(Role, f64), b: &(Role, f64)| b.1 - a.1 <= within;
    let one = |run: &[(Role, f64)]| {
        let found = run.iter().filter(|c| c.0 != Role::Deepest);
        let found: Vec<f64> = found.map(|c| c.1).collect();
        let (first, last) = match found.as_slice() {
            [] => (run[0].1, run[run.len() - 1].1),
            all => (all[0], all[all.len() - 1]),
        };
        Corner {
            roles: run.iter().map(|c| c.0).collect(),
            s: 0.5 * (first + last),
        }
    };
    all.chunk_by(near).map(one).collect()
}

/// What a draw does to a recess, and the hand to the draw.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Draw {
    /// How far each corner is moved, in half widths.
    pub(super) corners: Vec<Vector>,
    /// How far the press is off, to the right, in half widths.
    pub(super) press: f64,
    /// How far each tape is off, away from the recess, in half widths.
    pub(super) tapes: (f64, f64),
}

/// Numbers of mean 0 and deviation 1, the columns independent: `draws` rows of `count`.
pub(super) fn normals(seed: u64, count: usize, draws: usize) -> Vec<Vec<f64>> {
    let mut seeds = Random::new(seed);
    let mut rows = vec![Vec::with_capacity(count); draws];
    for _ in 0..count {
        let mut random = seeds.fork();
        let column: Vec<f64> = (0..draws).map(|_| random.normal()).collect();
        let n = draws as f64;
        let mean = column.iter().sum::<f64>() / n;
        let square = column.iter().map(|z| (z - mean).powi(2)).sum::<f64>() / n;
        for (row, z) in rows.iter_mut().zip(&column) {
            row.push((z - mean) / square.sqrt());
        }
    }
    rows
}

impl Draw {
    /// `pairs` draws for so many corners, each followed by its twin.
    pub(super) fn pairs(corners: usize, pairs: usize) -> Vec<Self> {
        let rows = normals(SEED, SLIPS + 2 * corners, pairs);
        let one = |row: &[f64]| {
            let z: Vec<f64> = row.iter().map(|z| z / HALF_WIDTH).collect();
            let corners = z[SLIPS..].chunks(2).map(|c| Vector::new(c[0], c[1]));
            Self {
                press: z[0],
                tapes: (z[1], z[2]),
                corners: corners.collect(),
            }
        };
        let draws = rows.iter().map(|row| one(row));
        draws.flat_map(|draw| [draw.twin(), draw]).collect()
    }

    /// The same with left and right exchanged.
    fn twin(&self) -> Self {
        let corners = self.corners.iter().rev();
        Self {
            corners: corners.map(|c| Vector::new(-c.x, c.y)).collect(),
            press: -self.press,
            tapes: (self.tapes.1, self.tapes.0),
        }
    }
}

/// A section on which draws are made: of roundings and long scans, a chain with few vertices.
#[derive(Debug, Clone)]
pub(super) struct Outline {
    points: Vec<Point>,
    lengths: Vec<f64>,
}

/// How far a vertex that is left out may lie off the chain, in tolerances: a rounding of 3 mm is
/// drawn on some ten facets. More: it adds to what the tolerance leaves open, by 0.2 mm of
/// bridge at four times this; less: draws cost as much more.
const WITHIN: f64 = 0.005;
/// Most vertices; a scan that needs more is drawn on a chain twice, four times .. as far off.
const MOST: usize = 300;

impl Outline {
    /// The section of a recess with a vertex at each of its corners.
    pub(super) fn of(recess: &Recess, corners: &[Corner], tolerance: f64) -> Self {
        let line = recess.section().line();
        let kept = thinned(line, WITHIN * tolerance);
        let place = |&i: &usize| (line.lengths()[i], line.points()[i]);
        let mut places: Vec<(f64, Point)> = kept.iter().map(place).collect();
        for s in corners.iter().map(|c| c.s) {
            if s > 0.0 && s < line.end() && places.iter().all(|p| (p.0 - s).abs() > 1e-6) {
                places.insert(places.partition_point(|p| p.0 <= s), (s, line.at(s)));
            }
        }
        Self {
            points: places.iter().map(|p| p.1).collect(),
            lengths: places.iter().map(|p| p.0).collect(),
        }
    }

    /// The points with each corner moved, mm, and what lies between in proportion.
    pub(super) fn moved(&self, corners: &[Corner], by: &[Vector]) -> Vec<Point> {
        let at = |s: f64| {
            let after = corners.partition_point(|c| c.s <= s);
            let Some(before) = after.checked_sub(1) else {
                return by[0];
            };
            let Some(next) = corners.get(after) else {
                return by[before];
            };
            let t = (s - corners[before].s) / (next.s - corners[before].s);
            by[before] + (by[after] - by[before]) * t
        };
        let places = self.points.iter().zip(&self.lengths);
        let moved: Vec<Point> = places.map(|(p, &s)| p + at(s)).collect();
        squared(&moved).0
    }
}

/// Which vertices of a section are kept.
fn thinned(line: &Polyline, mut within: f64) -> Vec<usize> {
    if within <= 0.0 {
        return (0..line.points().len()).collect();
    }
    loop {
        let kept = line.ends_of_runs(within);
        if kept.len() <= MOST {
            return kept;
        }
        within *= 2.0;
    }
}

/// The recess in a shape that fits, as the one that was read is: of the same kind, the same
/// one of several; `None` where there is none.
#[inline(never)]
pub(super) fn same_recess(known: &Recess, points: &[Point]) -> Option<Recess> {
    let section = Section::new(known.section().name(), points).ok()?;
    let survey = Survey {
        press_offset: 0.0,
        ..*known.survey()
    };
    let found = Recess::find(section, survey).ok()?;
    let middle = |r: &Recess| 0.5 * (r.outer().0 + r.outer().1);
    let off = |r: &Recess| (middle(r) - middle(known)).abs();
    let alike = |r: &Recess| {
        r.kind() == known.kind() && r.lower() == known.lower() && off(r) <= known.mouth()
    };
    if alike(&found) {
        return Some(found);
    }
    if found.valleys() < 2 {
        return None;
    }
    (1..=found.valleys())
        .filter_map(|n| {
            let survey = Survey {
                valley: Some(n),
                ..survey
            };
            Recess::find(found.section().clone(), survey).ok()
        })
        .filter(alike)
        .min_by(|a, b| off(a).total_cmp(&off(b)))
}

#[cfg(test)]
mod tests {
    use super::{Draw, Outline, corners, normals};
    use crate::geometry::Vector;
    use crate::section::{Recess, Survey, Units, read_shape};
    use crate::survey::Random;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// Mean, standard deviation and shortest interval that holds 95 % of some numbers.
    fn summary(mut all: Vec<f64>) -> (f64, f64, (f64, f64)) {
        all.sort_by(f64::total_cmp);
        let n = all.len() as f64;
        let mean = all.iter().sum::<f64>() / n;
        let square = all.iter().map(|y| (y - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let held = all.len() * 95 / 100;
        let shortest = all
            .windows(held + 1)
            .map(|w| (w[0], w[held]))
            .min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))
            .unwrap();
        (mean, square.sqrt(), shortest)
    }

    // Reference: JCGM 101:2008, clause 9.2.2, the sum of four N(0, 1): u = 2.00, 95 % +-3.92,
    // printed to 3 figures.
    #[test]
    fn four_normal_numbers_add_up_as_in_the_published_example() {
        let all = normals(1, 4, 100_000);
        let sums = all.iter().map(|row| row.iter().sum()).collect();
        let (mean, u, (low, high)) = summary(sums);
        assert_abs_diff_eq!(mean, 0.0, epsilon = 1e-9);
        // Four standard errors of a deviation, 2·4/√(2n); ends of a shortest interval wander
        // by some 0.05 at this many draws, its length by less.
        assert_abs_diff_eq!(u, 2.0, epsilon = 0.018);
        assert_abs_diff_eq!(low, -3.92, epsilon = 0.1);
        assert_abs_diff_eq!(high, 3.92, epsilon = 0.1);
        assert_abs_diff_eq!(high - low, 7.84, epsilon = 0.06);
    }

    // Reference: JCGM 101:2008, clause 9.2.3, the sum of four rectangular numbers of deviation
    // 1: 95 % +-3.88 (exact 3.879407).
    #[test]
    fn four_rectangular_numbers_add_up_as_in_the_published_example() {
        let mut random = Random::new(2);
        let half = 3.0_f64.sqrt();
        let mut one = || (2.0 * random.uniform() - 1.0) * half;
        let sums = (0..100_000).map(|_| one() + one() + one() + one());
        let (_, u, (low, high)) = summary(sums.collect());
        assert_abs_diff_eq!(u, 2.0, epsilon = 0.018);
        assert_abs_diff_eq!(high - low, 2.0 * 3.879_407, epsilon = 0.06);
    }

    #[test]
    fn draws_have_twins_and_no_mean() {
        let all = Draw::pairs(4, 50);
        assert_eq!(all.len(), 100);
        for pair in all.chunks(2) {
            assert_eq!(pair[0].twin(), pair[1]);
        }
        let sum: Vector = all.iter().flat_map(|d| &d.corners).sum();
        assert_abs_diff_eq!(sum.norm(), 0.0, epsilon = 1e-9);
    }

    #[test]
    fn a_moved_foot_takes_half_of_floor_and_wall_along_and_leaves_the_flats() {
        let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let corners = corners(&recess, 0.5);
        assert_eq!(corners.len(), 4);
        let outline = Outline::of(&recess, &corners, 0.5);
        let mut by = vec![Vector::zeros(); 4];
        by[1] = Vector::new(-1.0, -2.0);
        let old = outline.moved(&corners, &[Vector::zeros(); 4]);
        let new = outline.moved(&corners, &by);
        // By hand: of the six points only the left foot moves; the ends of the deepest zone are
        // the feet.
        assert_eq!(old.len(), 6);
        for (i, (a, b)) in old.iter().zip(&new).enumerate() {
            let off = if i == 2 { by[1] } else { Vector::zeros() };
            assert_relative_eq!((b - a - off).norm(), 0.0, epsilon = 1e-9);
        }
    }
}

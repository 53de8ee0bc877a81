//! Which stretch of laid film gives back most when it lets go, and how much.
//!
//! Given laid film, its stretch ratio l along the panel, and a law with line tension N(l) and
//! energy w(l) of a piece per its unstretched length. Any stretch `s1..s2` of it whose chord, c
//! long, lies above the panel may let go and stand as a straight span. With m the unstretched
//! film in it and b the length of it that was bonded, each mm² let go gives back
//!
//! ```text
//! u = [ integral w(l)/l ds - m w(max(1, c/m)) ] / b,      m = integral ds/l
//! ```
//!
//! Where the tip did not reach, film is free already: it stands on the gap's own chord, which
//! is what the integral has there, and counts nothing for b. Such a gap grows by
//!
//! ```text
//! G = N_c (l_c/l - cos beta) + [w(l) - w(l_c)] / l,       l_c = max(1, c/m)
//! ```
//!
//! at an end, beta the angle between its chord and the panel beyond: the limit of u for a
//! chord just longer than the gap. A chord whose film is slack (c < m) gives w/l, as any free
//! end does. No chord without a gap under it gives more than the largest w/l in it; over a gap it
//! can, since what hangs there pulls too. u is never negative, since w is convex and a chord no
//! longer than what it spans.
//! Film on one straight facet lifts nowhere, and is no chord.
//!
//! Method. All pairs of places: vertices, and others between so that none are further apart
//! than a part of the film; from each place the others are swept outwards with the steepest
//! direction so far, so a pair costs a few nanoseconds. Then the best pair, and the best short
//! chord over a concave corner (there u depends on the ratio of its arms alone), are moved off
//! their places until nothing is gained. A bed of more than [`MOST`] places is looked at on as
//! many of them.
//!
//! Guarantee: brute force over many more places finds no more than a part of 1e-3
//! beyond it (tests). Source: the energy balance of a peeled film, Rivlin (1944), Kendall (1975);
//! the chord form is derived here.

use crate::film::StretchLaw;
use crate::geometry::{Point, cross};
use crate::laydown::{Bed, Laydown};

/// Places of the film beside its vertices: every 200th of it. Fewer, and an end on a long facet is
/// met only by the moving about that follows; more cost their square.
const PARTS: f64 = 200.0;
/// Most places. Twice as many take four times as long, 1000 vertices some milliseconds.
const MOST: usize = 1200;
/// Sine of a turn, and part of a squared length, that are rounding.
const ROUNDING: f64 = 1e-12;
/// Part by which releases are alike: more than rounding, less than is printed.
const ALIKE: f64 = 1e-9;
/// Part of the film below which an end is not moved any more: u is level at its largest, so
/// its value is good to the square of that.
const FINEST: f64 = 1e-6;
/// Most times that ends are moved: a cap, some 200 are usual.
const MOST_MOVES: usize = 2000;

/// Laid film as it is read once for every state it may be in.
#[derive(Debug, Clone)]
pub(super) struct Film {
    s: Vec<f64>,
    points: Vec<Point>,
    /// Stretch ratio between two places: at its ends and its middle.
    lambda: Vec<[f64; 3]>,
    /// Does it hang in a gap there?
    hung: Vec<bool>,
    /// First and last place of each gap.
    gaps: Vec<(usize, usize)>,
}

/// A stretch of film that lets go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lift {
    /// What it gives back for each mm² let go, N/mm.
    pub(super) release: f64,
    /// From and to, arc lengths, mm; alike at the end of a gap that grows.
    pub(super) ends: (f64, f64),
    /// The place of the panel that is furthest from its chord, arc length, mm.
    pub(super) at: f64,
}

impl Lift {
    /// The larger; of two alike the first, whatever rounding says.
    fn larger(self, other: Self) -> Self {
        if other.release > self.release * (1.0 + ALIKE) {
            other
        } else {
            self
        }
    }
}

impl Film {
    /// Reads laid film; `None` if its peak is not finite.
    pub(super) fn of(laid: &Laydown, bed: &Bed<'_>) -> Option<Self> {
        if !laid.is_finite() {
            return None;
        }
        let (left, right) = laid.bonds();
        let rows = laid.profile(bed, (right - left) / PARTS);
        let gaps = bed.gaps(left, right);
        let edge = |s: f64| {
            gaps.iter()
                .any(|g| g.0.to_bits() == s.to_bits() || g.1.to_bits() == s.to_bits())
        };
        let every = rows.len().div_ceil(MOST);
        let kept = rows
            .iter()
            .enumerate()
            .filter(|(k, row)| k % every == 0 || k + 1 == rows.len() || (every > 1 && edge(row.s)));
        let mut film = Self {
            s: Vec::new(),
            points: Vec::new(),
            lambda: Vec::new(),
            hung: Vec::new(),
            gaps: Vec::new(),
        };
        let mut before: Option<f64> = None;
        for (_, row) in kept {
            if let (Some(&from), Some(lambda)) = (film.s.last(), before) {
                if row.s <= from {
                    before = Some(row.lambda);
                    continue;
                }
                let middle = 0.5 * (from + row.s);
                film.lambda.push([lambda, laid.lambda(middle)?, row.lambda]);
                film.hung
                    .push(gaps.iter().any(|g| g.0 < middle && middle < g.1));
            }
            film.s.push(row.s);
            film.points.push(row.point);
            before = Some(row.lambda);
        }
        film.find_gaps();
        Some(film)
    }

    /// Film of one stretch between the corners of a chain.
    #[cfg(test)]
    pub(super) fn even(points: Vec<Point>, lambdas: &[f64]) -> Self {
        let mut s = vec![0.0];
        for p in points.windows(2) {
            s.push(s[s.len() - 1] + (p[1] - p[0]).norm());
        }
        Self {
            s,
            hung: vec![false; lambdas.len()],
            lambda: lambdas.iter().map(|&l| [l; 3]).collect(),
            points,
            gaps: Vec::new(),
        }
    }

    /// Runs of film that hangs become gaps.
    fn find_gaps(&mut self) {
        let mut from = None;
        for (k, hung) in self.hung.iter().chain([&false]).enumerate() {
            match (from, hung) {
                (None, true) => from = Some(k),
                (Some(first), false) => {
                    self.gaps.push((first, k));
                    from = None;
                }
                _ => {}
            }
        }
    }
}

/// Film in one state: sums of what it holds up to each place.
#[derive(Debug, Clone)]
pub(super) struct Held<'a> {
    film: &'a Film,
    law: &'a StretchLaw,
    /// Unstretched length, energy and bonded length up to each place.
    sums: Vec<[f64; 3]>,
    /// The same for each mm between two places, at its ends and its middle.
    rates: Vec<[[f64; 3]; 2]>,
}

/// Integral from 0 to `t` of the parabola through values at 0, 1/2 and 1.
fn part([a, m, b]: [f64; 3], t: f64) -> f64 {
    t * (a + t * (0.5 * (4.0 * m - 3.0 * a - b) + t * (2.0 * (a + b) - 4.0 * m) / 3.0))
}

/// What a chord gives back, and its ends.
type Chord = (f64, (f64, f64));

/// The larger; of two alike the first.
fn larger(a: Chord, b: Chord) -> Chord {
    if b.0 > a.0 * (1.0 + ALIKE) { b } else { a }
}

impl<'a> Held<'a> {
    /// Film of which a part `left` of the tension is left, under a law.
    pub(super) fn new(film: &'a Film, law: &'a StretchLaw, left: f64) -> Self {
        let kept = |l: f64| {
            if left < 1.0 {
                law.lambda(left * law.tension(l))
            } else {
                l
            }
        };
        let rates = film.lambda.iter().map(|lambda| {
            let lambda = lambda.map(kept);
            [lambda.map(|l| 1.0 / l), lambda.map(|l| law.free_end(l))]
        });
        let mut held = Self {
            film,
            law,
            sums: Vec::new(),
            rates: rates.collect(),
        };
        for &(from, to) in &film.gaps {
            let film_in: f64 = (from..to)
                .map(|k| held.step(k) * part(held.rates[k][0], 1.0))
                .sum();
            let chord = film.points[to] - film.points[from];
            let each = held.taut(film_in, chord.dot(&chord)) / (film.s[to] - film.s[from]);
            (from..to).for_each(|k| held.rates[k][1] = [each; 3]);
        }
        let mut sum = [0.0; 3];
        held.sums.push(sum);
        for k in 0..held.rates.len() {
            sum = held.on(k, 1.0);
            held.sums.push(sum);
        }
        held
    }

    /// Length between a place and the next, mm.
    fn step(&self, k: usize) -> f64 {
        self.film.s[k + 1] - self.film.s[k]
    }

    /// Sums at a part of the way from a place to the next.
    fn on(&self, k: usize, t: f64) -> [f64; 3] {
        let (h, [m, e, b]) = (self.step(k), self.sums[k]);
        let [film, energy] = self.rates[k];
        let bonded = if self.film.hung[k] { 0.0 } else { h * t };
        [m + h * part(film, t), e + h * part(energy, t), b + bonded]
    }

    /// Energy of a free span, N; `m`: its unstretched length, `squared`: what it spans, squared, mm².
    fn taut(&self, m: f64, squared: f64) -> f64 {
        let longer = squared - m * m;
        match self.law {
            _ if longer <= 0.0 => 0.0,
            // m w(c/m) = m K/2 (c/m - m/c)², with one division.
            StretchLaw::NeoHookean(k) => 0.5 * k * longer * longer / (m * squared),
            law @ StretchLaw::Curve(_) => m * law.energy(squared.sqrt() / m),
        }
    }

    /// What a stretch with these sums gives back, N/mm; its chord squared, mm².
    fn release(&self, a: [f64; 3], b: [f64; 3], squared: f64) -> f64 {
        (b[1] - a[1] - self.taut(b[0] - a[0], squared)) / (b[2] - a[2])
    }

    /// The largest release of all; nothing where no chord lies above the panel.
    pub(super) fn worst(&self) -> Option<Lift> {
        let chords = [self.of_pairs(), self.of_corners()].into_iter().flatten();
        let chords = chords
            .map(|start| self.moved(start))
            .map(|(release, ends)| Lift {
                release,
                ends,
                at: self.furthest(ends),
            });
        let all = chords.chain(self.of_gaps());
        all.reduce(Lift::larger)
    }

    /// The best chord between two places.
    fn of_pairs(&self) -> Option<Chord> {
        let (film, mut best, mut found) = (self.film, 0.0, None);
        let n = film.points.len();
        let inside = |k: usize| k > 0 && k < n - 1 && film.hung[k - 1] && film.hung[k];
        for i in (0..n.saturating_sub(2)).filter(|&i| !inside(i)) {
            let (p, from) = (film.points[i], self.sums[i]);
            let mut steepest = film.points[i + 1] - p;
            for j in i + 2..n {
                let d = film.points[j] - p;
                let squared = d.dot(&d);
                if cross(steepest, d) <= ROUNDING * squared {
                    continue;
                }
                steepest = d;
                let to = self.sums[j];
                if to[1] - from[1] <= best * (to[2] - from[2]) || inside(j) || to[2] <= from[2] {
                    continue;
                }
                let release = self.release(from, to, squared);
                if release > best * (1.0 + ALIKE) {
                    (best, found) = (release, Some((film.s[i], film.s[j])));
                }
            }
        }
        found.map(|ends| (best, ends))
    }

    /// The best chord with even arms over one concave corner.
    fn of_corners(&self) -> Option<Chord> {
        let s = &self.film.s;
        let chords = (1..s.len() - 1).filter_map(|k| {
            let arm = 0.5 * self.step(k - 1).min(self.step(k));
            let ends = (s[k] - arm, s[k] + arm);
            Some((self.chord(ends)?, ends))
        });
        chords.reduce(larger)
    }

    /// Where the film is between places: place before, point and sums.
    fn at(&self, s: f64) -> (usize, Point, [f64; 3]) {
        let film = self.film;
        let after = film.s.partition_point(|&at| at <= s);
        let k = after.clamp(1, film.s.len() - 1) - 1;
        let t = (s - film.s[k]) / self.step(k);
        let p = film.points[k] + t * (film.points[k + 1] - film.points[k]);
        (k, p, self.on(k, t))
    }

    /// What the film between two places gives back; `None` where its chord is not above the
    /// panel, or an end hangs.
    pub(super) fn chord(&self, (a, b): (f64, f64)) -> Option<f64> {
        let film = self.film;
        if a < film.s[0] || b > film.s[film.s.len() - 1] {
            return None;
        }
        let ((i, p, from), (j, q, to)) = (self.at(a), self.at(b));
        let hung = |k: usize, s: f64| film.hung[k] && s > film.s[k];
        if j <= i || hung(i, a) || hung(j, b) || to[2] <= from[2] {
            return None;
        }
        let along = q - p;
        let squared = along.dot(&along);
        let last = if b > film.s[j] { j } else { j - 1 };
        let between = film
            .points
            .get(i + 1..=last)
            .filter(|all| !all.is_empty())?;
        let below = |v: &Point| cross(along, v - p) < -ROUNDING * squared;
        between
            .iter()
            .all(below)
            .then(|| self.release(from, to, squared))
    }

    /// Moves the ends of a chord until nothing is gained.
    fn moved(&self, (mut best, mut ends): Chord) -> Chord {
        let s = &self.film.s;
        let all = s[s.len() - 1] - s[0];
        let mut step = all / PARTS;
        for _ in 0..MOST_MOVES {
            if step < FINEST * all {
                break;
            }
            let ways = [-1.0, 0.0, 1.0];
            let moves = ways
                .iter()
                .flat_map(|a| ways.map(|b| (ends.0 + a * step, ends.1 + b * step)));
            let tried = moves.filter_map(|ends| Some((self.chord(ends)?, ends)));
            match tried.reduce(larger) {
                Some(found) if found.0 > best * (1.0 + ALIKE) => (best, ends) = found,
                _ => step *= 0.5,
            }
        }
        (best, ends)
    }

    /// The place between two that is furthest from their chord.
    fn furthest(&self, (a, b): (f64, f64)) -> f64 {
        let ((_, p, _), (_, q, _)) = (self.at(a), self.at(b));
        let away = |k: &usize| cross(self.film.points[*k] - p, q - p);
        let inside = (0..self.film.s.len()).filter(|&k| a < self.film.s[k] && self.film.s[k] < b);
        let most = inside.max_by(|j, k| away(j).total_cmp(&away(k)));
        most.map_or(0.5 * (a + b), |k| self.film.s[k])
    }

    /// The gap that grows most readily.
    fn of_gaps(&self) -> Option<Lift> {
        let film = self.film;
        let ends = film.gaps.iter().flat_map(|&(from, to)| {
            let outside = [(from, to, from.checked_sub(1), 2), (to, from, Some(to), 0)];
            outside
                .into_iter()
                .filter_map(|(end, other, beyond, near)| {
                    let k = beyond.filter(|&k| k < film.lambda.len())?;
                    let out = film.points[if end == k { k + 1 } else { k }] - film.points[end];
                    let chord = film.points[end] - film.points[other];
                    let m = (self.sums[other][0] - self.sums[end][0]).abs();
                    let cosine = chord.dot(&out) / (chord.norm() * out.norm());
                    let (rate, energy) = (self.rates[k][0][near], self.rates[k][1][near]);
                    let stretch = (chord.norm() / m).max(1.0);
                    let (n, w) = (self.law.tension(stretch), self.law.energy(stretch));
                    let release = n * (stretch * rate - cosine) + energy - w * rate;
                    let s = film.s[end];
                    Some(Lift {
                        release,
                        ends: (s, s),
                        at: s,
                    })
                })
        });
        ends.reduce(Lift::larger)
    }

    /// Line tension at a place of the panel, the larger of both sides, N/mm.
    pub(super) fn tension(&self, s: f64) -> f64 {
        let (k, ..) = self.at(s);
        let before = if s > self.film.s[k] {
            k
        } else {
            k.saturating_sub(1)
        };
        let near = [self.rates[before][0][2], self.rates[k][0][0]];
        near.map(|rate| self.law.tension(1.0 / rate))
            .into_iter()
            .fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laydown::{Order, Split};
    use crate::section::{Recess, Survey, Units, read_shape};
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// A concave corner between two walls of 10 mm, each at an angle to the chord, rad.
    fn corner(angle: f64, lambda: f64) -> Film {
        let (c, s) = (10.0 * angle.cos(), 10.0 * angle.sin());
        let points = [(0.0, s), (c, 0.0), (2.0 * c, s)].map(|(x, y)| Point::new(x, y));
        Film::even(points.to_vec(), &[lambda; 2])
    }

    fn release(angle: f64, lambda: f64, law: &StretchLaw) -> f64 {
        let film = corner(angle, lambda);
        Held::new(&film, law, 1.0).worst().unwrap().release
    }

    /// Reference: derived, G = (h/lambda) [W(lambda) - W(max(lambda cos b, 1))], W = (G/2)
    /// (lambda² + lambda^-2 - 2), G 0.5 `MPa`, h 0.1 mm; J/m², printed to 6 decimals.
    #[test]
    fn a_concave_corner_gives_back_its_closed_form() {
        let law = StretchLaw::NeoHookean(0.05);
        for (lambda, degrees, energy) in [
            (1.1, 10.0_f64, 0.245_244),
            (1.1, 30.0, 0.828_325),
            (1.2, 30.0, 2.677_469),
            (1.3, 30.0, 4.331_949),
        ] {
            let found = 1000.0 * release(degrees.to_radians(), lambda, &law);
            assert_abs_diff_eq!(found, energy, epsilon = 6e-7);
        }
    }

    /// Reference: a = 2 acos(1/lambda) of turning, 49 degrees at 10 %; beyond it w/lambda, that of
    /// a free end.
    #[test]
    fn beyond_the_saturation_angle_a_corner_gives_what_a_free_end_gives() {
        let law = StretchLaw::NeoHookean(0.05);
        let half = (1.0_f64 / 1.1).acos();
        assert_abs_diff_eq!(2.0 * half.to_degrees(), 49.2, epsilon = 0.05);
        let free = law.free_end(1.1);
        assert_relative_eq!(release(half * 1.001, 1.1, &law), free, max_relative = 1e-12);
        assert_relative_eq!(release(1.2, 1.1, &law), free, max_relative = 1e-12);
        assert!(release(half * 0.9, 1.1, &law) < free * 0.999);
    }

    /// Reference: the first order in the turning angle a, u = N (1 - cos(a/2)); what follows is of
    /// the order of a² of it.
    #[test]
    fn a_small_turn_gives_the_tension_times_one_less_its_cosine() {
        let law = StretchLaw::NeoHookean(0.05);
        for half in [1e-2_f64, 1e-3] {
            let limit = law.tension(1.2) * 2.0 * (0.5 * half).sin().powi(2);
            assert_relative_eq!(
                release(half, 1.2, &law),
                limit,
                max_relative = 5.0 * half * half
            );
        }
    }

    #[test]
    fn film_on_a_flat_or_over_a_ridge_lifts_nowhere() {
        let law = StretchLaw::NeoHookean(0.05);
        for y in [0.0, 3.0] {
            let points = [(0.0, 0.0), (10.0, y), (20.0, 0.0)].map(|(x, y)| Point::new(x, y));
            let film = Film::even(points.to_vec(), &[1.2, 1.3]);
            assert_eq!(Held::new(&film, &law, 1.0).worst(), None);
        }
    }

    /// Laid film and its worst chord, beside all chords between places of the test's own, each
    /// summed anew from the lay-down by the trapezoid rule.
    fn beside_brute_force(shape: &str, bridge: f64, order: Order, left: f64) {
        let section = read_shape(shape, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bed = Bed::new(&recess, 8.0, 0.0);
        let bonds = bed.bonds_for_bridge(bridge, Split::Even).unwrap();
        let laid = bed.lay(bonds, order).unwrap();
        let law = StretchLaw::NeoHookean(1.0);
        let film = Film::of(&laid, &bed).unwrap();
        let found = Held::new(&film, &law, left).worst().unwrap().release;
        let (from, to) = laid.bonds();
        // Even places, every vertex, and short arms on both sides of each.
        let even = (0..=1200).map(|k| from + (to - from) * f64::from(k) / 1200.0);
        let vertices = bed.line().lengths().iter();
        let arms = vertices.flat_map(|v| {
            let arm = |k: i32| 0.5_f64.powi(k);
            (-10..10)
                .map(move |k| v + if k < 0 { -arm(-k) } else { arm(k) })
                .chain([*v])
        });
        let mut s: Vec<f64> = even
            .chain(arms)
            .filter(|s| *s >= from && *s <= to)
            .collect();
        s.sort_by(f64::total_cmp);
        s.dedup_by(|b, a| *b - *a < 1e-9);
        let kept = |s: f64| law.lambda(left * law.tension(laid.lambda(s).unwrap()));
        let (mut film, mut energy) = (vec![0.0], vec![0.0]);
        for k in 0..s.len() - 1 {
            let h = s[k + 1] - s[k];
            // The middle: clear of jumps on places.
            let l = kept(s[k] + 0.5 * h);
            film.push(film[k] + h / l);
            energy.push(energy[k] + h * law.free_end(l));
        }
        let points: Vec<Point> = s.iter().map(|s| bed.line().at(*s)).collect();
        let mut most: f64 = 0.0;
        for i in 0..s.len() {
            let mut steepest = f64::NEG_INFINITY;
            for j in i + 1..s.len() {
                let d = points[j] - points[i];
                let slope = d.y.atan2(d.x);
                if slope <= steepest + 1e-9 {
                    continue;
                }
                let first = steepest.is_infinite();
                steepest = slope;
                if first {
                    continue;
                }
                let (m, c) = (film[j] - film[i], d.norm());
                let taut = if c > m { m * law.energy(c / m) } else { 0.0 };
                most = most.max((energy[j] - energy[i] - taut) / (s[j] - s[i]));
            }
        }
        // 2e-3: what brute force falls short by, its arms each twice the one before.
        assert_relative_eq!(found, most, max_relative = 2e-3);
        assert!(found >= most * (1.0 - 1e-3), "{shape}: {found} of {most}");
    }

    #[test]
    fn no_chord_of_all_gives_back_more_than_the_one_found() {
        for shape in [
            "channel:mouth=80,floor=40,depth=25",
            "channel:mouth=60,floor=20,depth=4,lip-radius=3",
            "step:drop=12,wall=60,lip-radius=3",
        ] {
            for (order, bridge) in [(Order::DeepestFirst, 150.0), (Order::EdgeFirst, 110.0)] {
                for left in [1.0, 0.3] {
                    beside_brute_force(shape, bridge, order, left);
                }
            }
        }
    }

    /// Reference: u of a chord just longer than the gap tends to the mean of G over both ends,
    /// alike here.
    #[test]
    fn a_gap_grows_as_a_chord_just_longer_than_it_lifts() {
        let section = read_shape("channel:mouth=80,floor=40,depth=12", Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let bed = Bed::new(&recess, 8.0, 6.0);
        let bonds = bed.bonds_for_bridge(150.0, Split::Even).unwrap();
        let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
        let film = Film::of(&laid, &bed).unwrap();
        assert_eq!(film.gaps.len(), 2);
        let law = StretchLaw::NeoHookean(1.0);
        let held = Held::new(&film, &law, 1.0);
        let gap = bed.gaps(laid.bonds().0, laid.bonds().1)[0];
        let chord = held.chord((gap.0 - 1e-4, gap.1 + 1e-4)).unwrap();
        let grows = held.of_gaps().unwrap().release;
        assert_relative_eq!(chord, grows, max_relative = 0.05);
    }
}

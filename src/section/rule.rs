//! Walls, lips and feet, found as a hand finds them: by swinging a rule over the panel.
//!
//! Given a panel turned so that its flats are about level, and the gauge tolerance g.
//!
//! 1. A *wall* is a rise of at least g over a rule tilted by [`TILT`] (between flats, which
//!    slope by up to 3 degrees, and walls, which do by 10 and more; halved until something is
//!    found). It ends where the panel falls back by max(g, [`FALL_BACK`] of the rise), so that
//!    ledges are passed, or where a wall the other way begins.
//! 2. The *rough lip* is the mean place that the rule touches while it swings from the tilt to
//!    one and a half of it (not quite to the wall's own slope); the rough foot the same, turned by 180 degrees; H the height between.
//! 3. The *window* reaches inwards to H/3 below the rough lip (above ledges), outwards to
//!    max(H, 20 g) and at most half way to the next wall. `flat` and `wall` are the slopes of
//!    the chords from the rough lip to its two ends.
//! 4. The *lip* is the same mean in the window, swung through the middle half of the turn from
//!    `flat` to `wall`; the *foot* likewise, turned by 180 degrees.
//!
//! A sharp corner is found exactly, a rounding at its middle by turning. A mean over a swing
//! moves continuously with the readings; a crown, a rounding of the coordinates or a scratch
//! the rule bridges has no say. Linear in the number of points.
//!
//! Not found: a groove 80 mm wide and 2 mm deep between flats that both slope by 3 degrees;
//! walls under 7 degrees beside steep ones count as flats.

use crate::geometry::{ON_VERTEX, Point, hull, sort_by_number};

/// Tilt of the rule that tells a wall from a flat, rad: 6.5 degrees, the geometric mean of a
/// flat's 3 degrees with a crown on it and a wall's 10. Lower: sloped flats are walls; higher:
/// shallow walls are flats.
const TILT: f64 = 6.5 * DEGREE;
/// One degree in radians.
const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// Least tilt that is tried, rad: 0.05 degrees. Below it slope cannot be told from survey.
const LEAST_TILT: f64 = 0.05 * DEGREE;
/// The swing about a rough lip goes to this multiple of the tilt ..
const SWING: f64 = 1.5;
/// .. and at most this part of the way to the slope of the wall: beyond it the rule would
/// touch the foot. Lower: the mean is taken over little and moves with single facets.
const SWING_PART: f64 = 0.75;
/// Part of its rise that a wall may fall back, so that a level ledge in it is passed up to 3.5
/// times (0.4 over the slope of the rule) as long as the wall under it is high. Lower: a ledge
/// ends the wall; higher: the flat between two steps is swallowed.
const FALL_BACK: f64 = 0.4;
/// Part of the height, below the rough lip, at which its window ends.
const WINDOW_PART: f64 = 1.0 / 3.0;
/// Outer length of a window, in gauge tolerances, where the recess is shallow.
const WINDOW_GAUGES: f64 = 20.0;
/// Turn from flat to wall that is none, rad: the window lies on one facet, and a rule swung
/// through rounding would touch either of its ends.
const NO_TURN: f64 = 1e-6;
/// The middle half of the turn from flat to wall.
const MIDDLE: (f64, f64) = (0.25, 0.75);

/// A wall between two vertices of the panel, `from < to`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wall {
    /// Does it rise from left to right?
    pub(super) up: bool,
    /// Index of its first vertex, from the left.
    pub(super) from: usize,
    /// Index of its last vertex.
    pub(super) to: usize,
}

/// A corner of a wall: its lip or its foot.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Corner {
    /// Arc length, mm.
    pub(super) s: f64,
    /// Its rough place, arc length, mm: where the wall ends.
    pub(super) rough: f64,
    /// Window within which it was found, arc lengths, mm, outer (flat, floor) end first.
    pub(super) window: (f64, f64),
    /// Slope of the chord to the outer end of the window, rad from level, rising from the
    /// wall's foot towards its lip; `None`, and taken as level, where no panel lies beyond the
    /// corner.
    pub(super) flat: Option<f64>,
    /// Slope of the chord to the inner end of the window, up the wall, rad.
    pub(super) wall: f64,
}

/// A wall with its lip and foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    pub(super) wall: Wall,
    pub(super) lip: Corner,
    pub(super) foot: Corner,
    /// Height from foot to lip in the level frame, mm.
    pub(super) height: f64,
}

/// A panel turned level, with the arc length of each vertex.
#[derive(Debug, Clone, Copy)]
pub(super) struct Level<'a> {
    /// Vertices, mm, turned so that the flats are about level.
    pub(super) points: &'a [Point],
    /// Their arc lengths, mm.
    pub(super) lengths: &'a [f64],
    /// Gauge tolerance, mm, above 0.
    pub(super) gauge: f64,
}

/// One vertex as seen from the foot of a wall: `out` towards the lip and beyond it.
#[derive(Debug, Clone, Copy)]
struct Station {
    s: f64,
    out: f64,
    up: f64,
}

impl Station {
    /// The same turned by 180 degrees.
    fn turned(&self) -> Self {
        let (s, out, up) = (self.s, -self.out, -self.up);
        Self { s, out, up }
    }

    /// The place `t` of the way to another, at the arc length `s`, mm.
    fn towards(&self, other: &Self, t: f64, s: f64) -> Self {
        let out = self.out + t * (other.out - self.out);
        let up = self.up + t * (other.up - self.up);
        Self { s, out, up }
    }
}

impl Level<'_> {
    /// The walls of the panel, left to right, with the tilt that found them, rad.
    pub(super) fn walls(&self) -> (Vec<Wall>, f64) {
        let mut tilt = TILT;
        while tilt > LEAST_TILT {
            let found = self.walls_over(tilt);
            if !found.is_empty() {
                return (found, tilt);
            }
            tilt *= 0.5;
        }
        (Vec::new(), tilt)
    }

    /// The walls over a rule of one tilt. A wall that runs to an end of the survey counts by
    /// its part steeper than twice the tilt, unless there is nothing else.
    fn walls_over(&self, tilt: f64) -> Vec<Wall> {
        let last = self.points.len() - 1;
        let mut all = self.scan(tilt, 0, last, true);
        all.extend(self.scan(tilt, 0, last, false));
        sort_by_number(&mut all, |w| w.from as f64);
        let mut kept = Vec::with_capacity(all.len());
        for &wall in &all {
            if wall.from == 0 || wall.to == last {
                kept.extend(self.trimmed(wall, 2.0 * tilt));
            } else {
                kept.push(wall);
            }
        }
        if kept.is_empty() {
            return all;
        }
        kept
    }

    /// A wall from its first to its last part over a rule of a steeper tilt, if it has any.
    fn trimmed(&self, wall: Wall, tilt: f64) -> Option<Wall> {
        let parts = self.scan(tilt, wall.from, wall.to, wall.up);
        Some(Wall {
            from: parts.iter().map(|w| w.from).min()?,
            to: parts.iter().map(|w| w.to).max()?,
            ..wall
        })
    }

    /// Goes from vertex `first` to `last`, for walls down the other way, always from foot to
    /// lip, and notes each rise over the tilted rule.
    fn scan(&self, tilt: f64, first: usize, last: usize, up: bool) -> Vec<Wall> {
        let (sin, cos) = tilt.sin_cos();
        // Heights over a rule tilted up the wall, and below one tilted the other way.
        let over = |i: usize| {
            let p = self.points[i];
            let out = if up { p.x } else { -p.x };
            (p.y * cos - out * sin, -p.y * cos - out * sin)
        };
        let mut walls = Vec::new();
        let start = if up { first } else { last };
        let mut climb = Climb::new(start, over(start));
        for k in 1..=last - first {
            let i = if up { first + k } else { last - k };
            if climb.ends(i, over(i), self.gauge) {
                walls.extend(climb.wall(up));
                climb = Climb::new(i, over(i));
            }
        }
        walls.extend(climb.wall(up));
        walls
    }

    /// Lip and foot of each wall.
    pub(super) fn edges(&self, walls: &[Wall], tilt: f64) -> Vec<Edge> {
        let last = self.points.len() - 1;
        (0..walls.len())
            .map(|k| {
                let wall = walls[k];
                let before = k.checked_sub(1).map_or(0, |j| walls[j].to.min(wall.from));
                let after = walls.get(k + 1).map_or(last, |w| w.from.max(wall.to));
                self.edge(wall, (before, k > 0), (after, k + 1 < walls.len()), tilt)
            })
            .collect()
    }

    /// Lip and foot of a wall. `before`, `after`: the vertex at which the next wall or the
    /// survey ends, and whether it is a wall, of which half the way is its own.
    fn edge(&self, wall: Wall, before: (usize, bool), after: (usize, bool), tilt: f64) -> Edge {
        let half = |(end, is_wall): (usize, bool), from: usize| {
            let part = if is_wall { 0.5 } else { 1.0 };
            part * (self.lengths[end] - self.lengths[from]).abs()
        };
        let (left, right) = (half(before, wall.from), half(after, wall.to));
        let mut stations: Vec<Station> = (before.0..=after.0)
            .map(|i| self.station(i, wall.up))
            .collect();
        if !wall.up {
            stations.reverse();
        }
        let (foot, top) = if wall.up {
            (wall.from - before.0, wall.to - before.0)
        } else {
            (after.0 - wall.to, after.0 - wall.from)
        };
        let (left, right) = ((left, before.1), (right, after.1));
        let (inner, outer) = if wall.up {
            (left, right)
        } else {
            (right, left)
        };
        let turned: Vec<Station> = stations.iter().rev().map(|p| p.turned()).collect();
        let n = stations.len() - 1;
        let chord = slope(stations[foot], stations[top]);
        let swing = (SWING * tilt).min(tilt + SWING_PART * (chord - tilt));
        let rough_lip = touched(&stations[foot..=top], tilt, swing);
        let rough_foot = touched(&turned[n - top..=n - foot], tilt, swing);
        let lip_at = place(&stations, rough_lip);
        let foot_at = place(&turned, rough_foot);
        let height = (lip_at.up + foot_at.up).max(0.0);
        let reach = height.max(WINDOW_GAUGES * self.gauge);
        // Half the way to the next wall; beyond the end of the survey the flat goes on.
        let within = |(way, is_wall): (f64, bool)| if is_wall { reach.min(way) } else { reach };
        let lip = corner(&stations, lip_at, height, within(outer));
        let below = corner(&turned, foot_at, height, within(inner));
        Edge {
            wall,
            lip,
            foot: below,
            height,
        }
    }

    /// A vertex seen from the foot of a wall that rises to the right (`up`) or to the left.
    fn station(&self, i: usize, up: bool) -> Station {
        let p = self.points[i];
        Station {
            s: self.lengths[i],
            out: if up { p.x } else { -p.x },
            up: p.y,
        }
    }
}

/// A rise over a tilted rule in the making.
struct Climb {
    low: (usize, f64),
    top: Option<(usize, f64)>,
    /// Least height, since the wall began, below a rule tilted the other way.
    back: f64,
}

impl Climb {
    fn new(i: usize, (over, back): (f64, f64)) -> Self {
        Self {
            low: (i, over),
            top: None,
            back,
        }
    }

    /// Goes on to the next vertex; does it end the wall? It does where the panel has fallen
    /// back from the wall's top, or where a wall the other way has begun.
    fn ends(&mut self, i: usize, (over, back): (f64, f64), gauge: f64) -> bool {
        let Some(top) = &mut self.top else {
            if over < self.low.1 {
                self.low = (i, over);
            } else if over - self.low.1 >= gauge {
                self.top = Some((i, over));
                self.back = back;
            }
            return false;
        };
        if over > top.1 {
            *top = (i, over);
        }
        let rise = top.1 - self.low.1;
        if top.1 - over >= gauge.max(FALL_BACK * rise) || back - self.back >= gauge {
            return true;
        }
        self.back = self.back.min(back);
        false
    }

    fn wall(&self, up: bool) -> Option<Wall> {
        let top = self.top?;
        Some(Wall {
            up,
            from: self.low.0.min(top.0),
            to: self.low.0.max(top.0),
        })
    }
}

/// Slope of the chord between two stations, rad.
fn slope(a: Station, b: Station) -> f64 {
    (b.up - a.up).atan2(b.out - a.out)
}

/// The mean arc length, mm, that a rule touches while it swings over a chain of stations from
/// the slope `from` to the steeper slope `to`, rad: each corner of the upper hull counts by
/// the part of the swing for which it is the one touched.
fn touched(chain: &[Station], from: f64, to: f64) -> f64 {
    let places: Vec<Point> = chain.iter().map(|p| Point::new(p.out, p.up)).collect();
    let hull = hull(&places, 0.0);
    let mut before = f64::INFINITY;
    let mut sum = 0.0;
    for (k, &i) in hull.iter().enumerate() {
        let after = hull
            .get(k + 1)
            .map_or(f64::NEG_INFINITY, |&j| slope(chain[i], chain[j]));
        let share = (before.min(to) - after.max(from)).max(0.0);
        sum += share * (chain[i].s - chain[0].s);
        before = after;
    }
    chain[0].s + sum / (to - from)
}

/// The place of a chain of stations at an arc length, mm, on a vertex where it is near one.
fn place(chain: &[Station], s: f64) -> Station {
    let rising = chain[chain.len() - 1].s > chain[0].s;
    let after = chain
        .partition_point(|p| if rising { p.s < s } else { p.s > s })
        .clamp(1, chain.len() - 1);
    let (a, b) = (chain[after - 1], chain[after]);
    for p in [a, b] {
        if (p.s - s).abs() <= ON_VERTEX {
            return p;
        }
    }
    let t = ((s - a.s) / (b.s - a.s)).clamp(0.0, 1.0);
    a.towards(&b, t, s)
}

/// The lip of a wall `height` mm high about its rough place, in a window that reaches
/// `outwards` mm along the panel beyond it.
fn corner(chain: &[Station], rough: Station, height: f64, outwards: f64) -> Corner {
    let along = (chain[chain.len() - 1].s - chain[0].s).signum();
    let outer = beyond(chain, rough, along * outwards);
    let inner = fall(chain, rough, height * WINDOW_PART);
    let wall = slope(inner, rough);
    let flat = ((outer.s - rough.s).abs() > ON_VERTEX).then(|| slope(rough, outer));
    let found = |s: f64| Corner {
        s,
        rough: rough.s,
        window: (outer.s, inner.s),
        flat,
        wall,
    };
    let turn = wall - flat.unwrap_or(0.0);
    if turn <= NO_TURN {
        return found(rough.s);
    }
    let mut window: Vec<Station> = vec![inner];
    window.extend(
        chain
            .iter()
            .filter(|p| along * (p.s - inner.s) > ON_VERTEX && along * (outer.s - p.s) > ON_VERTEX),
    );
    if along * (outer.s - window[window.len() - 1].s) > ON_VERTEX {
        window.push(outer);
    }
    let from = wall - turn * MIDDLE.1;
    // The end of a window may be touched; past the survey there is nothing to be a corner.
    let s = touched(&window, from, from + turn * (MIDDLE.1 - MIDDLE.0));
    let end = chain[chain.len() - 1].s;
    found(place(chain, if along * (s - end) > 0.0 { end } else { s }).s)
}

/// The place `way` mm along the panel from a rough corner outwards; past the end of the survey
/// on the chord of the last half of the flat, where there is one.
fn beyond(chain: &[Station], rough: Station, way: f64) -> Station {
    let end = chain[chain.len() - 1];
    let (s, flat) = (rough.s + way, end.s - rough.s);
    let past = s - end.s;
    if flat.abs() <= ON_VERTEX {
        return end;
    }
    if past * way <= 0.0 {
        return place(chain, s);
    }
    let half = place(chain, end.s - 0.5 * flat);
    let times = past / (0.5 * flat);
    Station {
        s,
        out: end.out + times * (end.out - half.out),
        up: end.up + times * (end.up - half.up),
    }
}

/// The first place, going down the wall from `top`, that lies `drop` mm below it.
fn fall(chain: &[Station], top: Station, drop: f64) -> Station {
    let rising = chain[chain.len() - 1].s > chain[0].s;
    let beyond = chain.partition_point(|p| {
        if rising {
            p.s < top.s - ON_VERTEX
        } else {
            p.s > top.s + ON_VERTEX
        }
    });
    let mut high = top;
    for &low in chain[..beyond].iter().rev() {
        let level = top.up - drop;
        if low.up <= level {
            let part = ((high.up - level) / (high.up - low.up)).clamp(0.0, 1.0);
            let t = if high.up > low.up { part } else { 1.0 };
            return place(chain, high.s + t * (low.s - high.s));
        }
        high = low;
    }
    chain[0]
}

#[cfg(test)]
mod tests {
    use super::{Level, Wall};
    use crate::geometry::Point;

    /// Reference: by hand. Up a wall 20 high the panel rises 20 cos t over a rule tilted by
    /// t = 6.5 degrees, along a level ledge of length L it falls back by L sin t: by 0.4 of the
    /// rise at L = 0.4 * 20 / tan t = 70.2.
    #[test]
    fn a_ledge_is_passed_up_to_three_and_a_half_heights_of_the_wall_under_it() {
        let walls = |ledge: f64| {
            let [lower, upper] = [0.0, ledge].map(|x| 60.0 + x);
            let corners = [
                (0.0, 0.0),
                (60.0, 0.0),
                (lower, 20.0),
                (upper, 20.0),
                (upper, 60.0),
                (upper + 60.0, 60.0),
            ];
            let points = corners.map(|(x, y)| Point::new(x, y));
            let level = Level {
                points: &points,
                lengths: &[],
                gauge: 0.5,
            };
            level.walls().0
        };
        let wall = |from, to| Wall { up: true, from, to };
        assert_eq!(walls(69.0), [wall(1, 4)]);
        assert_eq!(walls(72.0), [wall(1, 2), wall(3, 4)]);
    }
}

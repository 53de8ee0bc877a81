//! What a round tip can press film on to: the closing of the panel by a ball.
//!
//! Given the panel (x never runs back) and a tip radius R, a ball of radius R rolls on
//! the panel from left to right, always as high as the panel makes it ride. Its centre
//! at abscissa x is `max f_i(x)` over the facets i, where `f_i` is the upper edge of
//! the facet thickened by R. Contacts follow each other from left to right, so two
//! facets change places in that maximum once at most, and one pass with a stack finds
//! which facet is touched where. At a change from facet A to facet B the ball touches
//! both; if the two contact points differ, the panel between them is out of reach and
//! is replaced by the ball's arc. Everything else stays as it is, to the last bit.
//!
//! The arcs become facets with a sagitta of at most [`SAGITTA`], and a gap smaller than
//! that (a concave arc that comes as facets already) is left as it is. The change-over is
//! found by bisection down to neighbouring doubles: no tolerance of its own.

use super::polyline::{Point, Polyline, Vector, cross};

/// Largest distance between an arc and its facets, mm: far below what a gauge reads,
/// and coarse enough to add only some ten facets a corner.
const SAGITTA: f64 = 1e-3;
/// Two contacts nearer than this are one, mm: the arc between them would leave no gap
/// that can be told from rounding.
const SAME_PLACE: f64 = 1e-6;

/// A stretch of panel replaced by an arc of the ball.
#[derive(Debug, Clone, PartialEq)]
struct Patch {
    /// Arc lengths of the two contacts on the panel, mm.
    panel: (f64, f64),
    /// Arc lengths of the same two points on the closing, mm.
    closed: (f64, f64),
    /// Centre of the ball, mm.
    centre: Point,
    /// Area between panel and arc, mm².
    area: f64,
    /// Largest distance between panel and arc, mm.
    gap: f64,
    /// The rays from the centre to the panel's vertices, from contact to contact.
    rays: Vec<Ray>,
}

/// The ray from a ball's centre to a vertex of the panel below it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ray {
    /// Arc length of the vertex, mm.
    s: f64,
    /// Largest angle of this vertex and those before, rad.
    most: f64,
    /// Least angle of this vertex and those behind, rad.
    least: f64,
}

impl Patch {
    /// Where the place `p` at arc length `s` lies between the contacts, 0 to 1: on the ray
    /// from the ball's centre. Where the panel overhangs, as seen along the rays, half way
    /// between the furthest that came before and the least that follows: a place further
    /// along is never further back, seen from either end.
    fn part(&self, s: f64, p: Point) -> f64 {
        let [first, .., last] = self.rays[..] else {
            return 0.0;
        };
        let behind = self.rays.partition_point(|ray| ray.s <= s);
        let at = angle(self.centre, p);
        let most = self.rays[behind.max(1) - 1].most.max(at);
        let least = self.rays.get(behind).map_or(at, |ray| ray.least.min(at));
        let (from, to) = (first.most, last.least);
        ((0.5 * (most + least) - from) / (to - from)).clamp(0.0, 1.0)
    }
}

/// Rays from a ball's centre to a chain of panel points, from contact to contact.
fn rays(points: &[Point], start: f64, centre: Point) -> Vec<Ray> {
    let mut rays: Vec<Ray> = Vec::with_capacity(points.len());
    let (mut s, mut most) = (start, f64::NEG_INFINITY);
    for (i, &p) in points.iter().enumerate() {
        s += i.checked_sub(1).map_or(0.0, |j| (p - points[j]).norm());
        let at = angle(centre, p);
        most = most.max(at);
        rays.push(Ray { s, most, least: at });
    }
    let mut least = f64::INFINITY;
    for ray in rays.iter_mut().rev() {
        least = least.min(ray.least);
        ray.least = least;
    }
    rays
}

/// Angle of the ray from a ball's centre to a point, rad from straight down, growing to the
/// right: no contact is near the branch cut.
fn angle(centre: Point, p: Point) -> f64 {
    (p.x - centre.x).atan2(centre.y - p.y)
}

/// What the tip leaves out of reach between two places.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OutOfReach {
    /// Area between panel and closing, mm².
    pub area: f64,
    /// Largest distance between panel and closing, mm.
    pub gap: f64,
}

/// The closing of a panel by a ball, with the way back to the panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Closing {
    line: Polyline,
    radius: f64,
    patches: Vec<Patch>,
}

impl Closing {
    /// Rolls a ball of `radius` mm over the panel; 0 leaves the panel as it is, but for
    /// vertices amid the straight runs of a long scan.
    pub fn new(panel: &Polyline, radius: f64) -> Self {
        let panel = panel.without_straight_runs();
        let patches = (radius > 0.0).then(|| roll(&panel, radius));
        let patches = patches.unwrap_or_default();
        if patches.is_empty() {
            return Self {
                line: panel.into_owned(),
                radius: radius.max(0.0),
                patches,
            };
        }
        let mut points: Vec<Point> = Vec::with_capacity(panel.points().len() + 16 * patches.len());
        let mut ends = Vec::with_capacity(patches.len());
        let mut next = 0;
        for patch in &patches {
            let first_inside = panel.lengths().partition_point(|&s| s < patch.panel.0);
            points.extend_from_slice(&panel.points()[next..first_inside.max(next)]);
            let from = push_new(&mut points, panel.at(patch.panel.0));
            push_arc(&mut points, patch.centre, radius, panel.at(patch.panel.1));
            ends.push((from, points.len() - 1));
            next = panel.lengths().partition_point(|&s| s <= patch.panel.1);
        }
        points.extend_from_slice(&panel.points()[next..]);
        let line = Polyline::new(points, panel.start());
        let mut closing = Self {
            line,
            radius,
            patches,
        };
        for (patch, (from, to)) in closing.patches.iter_mut().zip(ends) {
            patch.closed = (closing.line.lengths()[from], closing.line.lengths()[to]);
        }
        closing
    }

    /// The closing itself, which the film is laid on.
    pub fn line(&self) -> &Polyline {
        &self.line
    }

    /// Where on the closing a place of the panel is, mm: itself where the tip reaches it,
    /// else the point of the arc over it.
    pub fn locate(&self, panel: &Polyline, s: f64) -> f64 {
        let before = self.patches.partition_point(|p| p.panel.0 < s);
        let Some(patch) = before.checked_sub(1).map(|i| &self.patches[i]) else {
            return s;
        };
        if s >= patch.panel.1 {
            return patch.closed.1 + (s - patch.panel.1);
        }
        let t = patch.part(s, panel.at(s));
        patch.closed.0 + t * (patch.closed.1 - patch.closed.0)
    }

    /// Where the closing is off the panel by more than a distance, mm: arc lengths on it, left to
    /// right, mm.
    pub fn gaps(&self, least: f64) -> impl Iterator<Item = (f64, f64)> {
        let deep = self.patches.iter().filter(move |patch| patch.gap > least);
        deep.map(|patch| patch.closed)
    }

    /// What stays out of reach between two places of the closing, mm.
    pub fn out_of_reach(&self, left: f64, right: f64) -> OutOfReach {
        let mut all = OutOfReach::default();
        let between = |p: &&Patch| p.closed.1 > left && p.closed.0 < right;
        for patch in self.patches.iter().filter(between) {
            all.area += patch.area;
            all.gap = all.gap.max(patch.gap);
        }
        all
    }
}

/// Appends a point unless it is the last one already; returns its index.
fn push_new(points: &mut Vec<Point>, p: Point) -> usize {
    if points.last().is_none_or(|q| (q - p).norm() > 1e-12) {
        points.push(p);
    }
    points.len() - 1
}

/// Appends the lower arc about `centre` from the last point to `to`, in an odd number of
/// facets: what is pressed half way between two walls lies on a facet, as on the arc, and on no
/// vertex, where no peak would be finite.
fn push_arc(points: &mut Vec<Point>, centre: Point, radius: f64, to: Point) {
    let Some(&from) = points.last() else { return };
    let (a, b) = (angle(centre, from), angle(centre, to));
    let sweep = b - a;
    let step = 2.0 * (1.0 - SAGITTA.min(0.5 * radius) / radius).acos();
    let mut n = 1.0;
    while sweep / n > step {
        n += 2.0;
    }
    let mut k = 1.0;
    while k < n {
        let t = a + sweep * k / n;
        points.push(centre + radius * Vector::new(t.sin(), -t.cos()));
        k += 1.0;
    }
    points.push(to);
}

/// A facet on the stack: touched from centre abscissa `from` on.
struct Touched {
    facet: usize,
    from: f64,
}

/// Rolls the ball and returns the patches, left to right.
fn roll(panel: &Polyline, radius: f64) -> Vec<Patch> {
    let points = panel.points();
    let mut stack: Vec<Touched> = Vec::with_capacity(points.len());
    for facet in 0..points.len() - 1 {
        let mut from = f64::NEG_INFINITY;
        while let Some(top) = stack.last() {
            from = change_over(points, top.facet, facet, radius);
            if from >= top.from - SAME_PLACE {
                break;
            }
            stack.pop();
        }
        if stack.is_empty() {
            from = f64::NEG_INFINITY;
        }
        stack.push(Touched { facet, from });
    }
    let pairs = stack.windows(2);
    let patch = |w: &[Touched]| patch_between(panel, w[0].facet, w[1].facet, w[1].from, radius);
    pairs.filter_map(patch).collect()
}

/// The centre's ordinate when the ball at abscissa `x` touches facet `i`.
fn ride(points: &[Point], i: usize, radius: f64, x: f64) -> f64 {
    let (a, b) = (points[i], points[i + 1]);
    let along = (b - a).normalize();
    let normal = Vector::new(-along.y, along.x);
    let disc = |p: Point| p.y + (radius * radius - (x - p.x) * (x - p.x)).max(0.0).sqrt();
    if along.x <= 0.0 {
        disc(if a.y > b.y { a } else { b })
    } else if x <= a.x + radius * normal.x {
        disc(a)
    } else if x >= b.x + radius * normal.x {
        disc(b)
    } else {
        a.y + radius * normal.y + (x - a.x - radius * normal.x) * (along.y / along.x)
    }
}

/// The centre's abscissa at which facet `j` takes over from the earlier facet `i`.
fn change_over(points: &[Point], i: usize, j: usize, radius: f64) -> f64 {
    if convex_corner(points, i, j) {
        // Both facets share the disc over the corner; its beginning is exact.
        let before = points[j] - points[i];
        return points[j].x - radius * before.y / before.norm();
    }
    let (mut low, mut high) = (points[j].x - radius, points[i + 1].x + radius);
    let over = |x: f64| ride(points, j, radius, x) >= ride(points, i, radius, x);
    if low >= high || over(low) {
        return low;
    }
    if !over(high) {
        return high;
    }
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return high;
        }
        if over(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
}

/// Are the two facets neighbours that meet in a corner which is not concave?
fn convex_corner(points: &[Point], i: usize, j: usize) -> bool {
    j == i + 1 && cross(points[j] - points[i], points[j + 1] - points[j]) <= 0.0
}

/// The patch where the ball, centre at abscissa `x`, touches facets `i` and `j`; `None`
/// where both contacts are one point.
fn patch_between(panel: &Polyline, i: usize, j: usize, x: f64, radius: f64) -> Option<Patch> {
    let points = panel.points();
    if convex_corner(points, i, j) {
        return None;
    }
    let height = ride(points, i, radius, x).min(ride(points, j, radius, x));
    let centre = Point::new(x, height);
    let contact = |k: usize| {
        let (a, b) = (points[k], points[k + 1]);
        let facet = b - a;
        let t = ((centre - a).dot(&facet) / facet.norm_squared()).clamp(0.0, 1.0);
        let (s0, s1) = (panel.lengths()[k], panel.lengths()[k + 1]);
        if t >= 1.0 {
            (b, s1)
        } else {
            (a + facet * t, s0 + t * (s1 - s0))
        }
    };
    let on = |(p, s): (Point, f64)| {
        let at = panel.snap(s);
        if at.total_cmp(&s).is_eq() {
            (p, s)
        } else {
            (panel.at(at), at)
        }
    };
    let ((p, s), (q, t)) = (on(contact(i)), on(contact(j)));
    if t - s <= SAME_PLACE {
        return None;
    }
    // Panel, chord and arc: shoelace area below the chord less the arc's segment.
    let inside: Vec<Point> = panel.between(s, t);
    let twice: f64 = inside
        .windows(2)
        .map(|w| (w[0] - p).x * (w[1] - p).y - (w[0] - p).y * (w[1] - p).x)
        .sum();
    let chord = (q - p).norm();
    let sweep = 2.0 * (chord / (2.0 * radius)).min(1.0).asin();
    let segment = 0.5 * radius * radius * (sweep - sweep.sin());
    let gaps = inside.iter().map(|v| (v - centre).norm() - radius);
    let gap = gaps.fold(0.0, f64::max);
    if gap < SAGITTA {
        return None;
    }
    Some(Patch {
        panel: (s, t),
        closed: (s, t),
        centre,
        area: (0.5 * twice - segment).max(0.0),
        gap,
        rays: rays(&inside, s, centre),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::chain;
    use approx::assert_abs_diff_eq;

    fn line(points: &str) -> Polyline {
        Polyline::new(chain(points), 0.0)
    }

    #[test]
    fn a_ball_in_a_v_touches_both_walls() {
        // Reference: walls at angle f from level, R: contacts R sin f from the middle,
        // gap R (sec f - 1), area R² (tan f - f); tan f = 3/4.
        let panel = line("-80,0 -40,0 0,-30 40,0 80,0");
        let closing = Closing::new(&panel, 10.0);
        let f = 0.75_f64.atan();
        let away = closing.out_of_reach(panel.start(), panel.end());
        assert_abs_diff_eq!(away.gap, 2.5, epsilon = 1e-9);
        assert_abs_diff_eq!(away.area, 100.0 * (0.75 - f), epsilon = 1e-9);
        // The middle of the V maps to the lowest point of the arc.
        let low = closing.line().at(closing.locate(&panel, 40.0 + 50.0));
        assert_abs_diff_eq!(low.x, 0.0, epsilon = 1e-9);
        assert_abs_diff_eq!(low.y, -30.0 + 2.5, epsilon = 2.0 * SAGITTA);
        // Arc instead of two tangents of 7.5 mm: shorter by 2·7.5 - 10·2f.
        let shorter = panel.end() - closing.line().end();
        assert_abs_diff_eq!(shorter, 15.0 - 20.0 * f, epsilon = 2e-3);
    }

    #[test]
    fn a_ball_sits_in_the_corners_of_vertical_walls() {
        let panel = line("-90,0 -40,0 -40,-25 40,-25 40,0 90,0");
        let closing = Closing::new(&panel, 8.0);
        let away = closing.out_of_reach(panel.start(), panel.end());
        // Reference: quarter circle in a square corner, R² (1 - π/4) each.
        let area = 2.0 * 64.0 * (1.0 - std::f64::consts::FRAC_PI_4);
        assert_abs_diff_eq!(away.area, area, epsilon = 1e-6);
        assert_abs_diff_eq!(away.gap, 8.0 * (2.0_f64.sqrt() - 1.0), epsilon = 1e-7);
        let end = closing.locate(&panel, panel.end());
        assert_abs_diff_eq!(end, closing.line().end(), epsilon = 1e-9);
    }

    #[test]
    fn a_ball_wider_than_the_mouth_rests_on_the_lips() {
        let panel = line("-50,0 -5,0 -5,-25 5,-25 5,0 50,0");
        let closing = Closing::new(&panel, 13.0);
        // Reference: chord 10, radius 13: the ball hangs 13 - 12 = 1 mm below the lips.
        let heights = closing.line().points().iter().map(|p| p.y);
        let lowest = heights.fold(0.0, f64::min);
        assert_abs_diff_eq!(lowest, -1.0, epsilon = SAGITTA);
        assert_eq!(closing.patches.len(), 1);
    }

    #[test]
    fn a_convex_panel_stays_as_it_is() {
        let panel = line("-50,-10 0,0 50,-10");
        assert_eq!(Closing::new(&panel, 20.0).line(), &panel);
    }
}

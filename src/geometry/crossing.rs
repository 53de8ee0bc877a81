//! Does a chain cross itself? Pairs from a bounding volume hierarchy, then the segment test.

use super::polyline::{Point, cross};
use parry2d_f64::bounding_volume::Aabb;
use parry2d_f64::math::Vector as Glam;
use parry2d_f64::partitioning::{Bvh, BvhBuildStrategy};

/// Returns the facets `(i, j)`, `i < j`, of the first proper crossing or touch, if any.
///
/// Facets that share a vertex are not compared.
pub(crate) fn first_crossing(points: &[Point]) -> Option<(usize, usize)> {
    // The one place where points become parry's own vectors.
    let boxes = points.windows(2).map(|w| {
        Aabb::new(
            Glam::new(w[0].x.min(w[1].x), w[0].y.min(w[1].y)),
            Glam::new(w[0].x.max(w[1].x), w[0].y.max(w[1].y)),
        )
    });
    let boxes: Vec<Aabb> = boxes.collect();
    let tree = Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes);
    let mut first: Option<(usize, usize)> = None;
    for (j, leaf) in boxes.iter().enumerate() {
        for i in tree.intersect_aabb(leaf) {
            let i = i as usize;
            let pair = (i, j);
            let crosses = || meet(points[i], points[i + 1], points[j], points[j + 1]);
            if i + 1 < j && crosses() && first.is_none_or(|f| pair < f) {
                first = Some(pair);
            }
        }
        if first.is_some() {
            return first;
        }
    }
    None
}

/// Do the closed segments `ab` and `cd` meet?
fn meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (o1, o2) = (cross(b - a, c - a), cross(b - a, d - a));
    let (o3, o4) = (cross(d - c, a - c), cross(d - c, b - c));
    let on = |o: f64, p: Point, q: Point, r: Point| {
        o.abs() <= f64::EPSILON * (q - p).norm() * (r - p).norm()
            && r.x >= p.x.min(q.x)
            && r.x <= p.x.max(q.x)
            && r.y >= p.y.min(q.y)
            && r.y <= p.y.max(q.y)
    };
    (o1 * o2 < 0.0 && o3 * o4 < 0.0)
        || on(o1, a, b, c)
        || on(o2, a, b, d)
        || on(o3, c, d, a)
        || on(o4, c, d, b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::chain;

    #[test]
    fn a_loop_is_found_and_a_hairpin_is_not_one() {
        let points = chain("0,0 10,0 10,5 5,5 5,-5 20,-5");
        assert_eq!(first_crossing(&points), Some((0, 3)));
        let points = chain("0,0 10,0 10,-5 5,-5 5,-10 20,-10");
        assert_eq!(first_crossing(&points), None);
    }
}

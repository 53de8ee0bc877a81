//! The general march on drawn sections: it ends, and even film is the closed form.

use crate::common;

use common::{exact, kept_cases, level_valley, section};
use proptest::prelude::*;
use tautspan::film::StretchLaw;
use tautspan::laydown::{LayError, Warm};
use tautspan::{Bed, Bonds, Conditions, Order, Point, Recess};

fn recess(points: &[Point]) -> Option<Recess> {
    Recess::find(section(points), exact()).ok()
}

#[test]
fn the_file_of_old_failures_is_read() {
    let (read, held) = common::old_failures(kept_cases(1), file!());
    assert!(read == held && held > 0, "{read} of {held}");
}

proptest! {
    #![proptest_config(kept_cases(300))]

    // Reference: the closed form; 1e-8 relative is what the march promises.
    #[test]
    fn even_film_through_the_march_is_the_closed_form(
        points in level_valley(0.0),
        reach in (0.0..80.0, 0.0..80.0),
        pad in prop_oneof![Just(0.0), 0.0..10.0],
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        let Ok(plain) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        let nearly = Conditions { lip_friction: 1e-13, ..Conditions::default() };
        let laid = bed.lay_under(bonds, Order::DeepestFirst, &nearly).unwrap();
        let (p, q) = (plain.peak(&bed).unwrap().lambda, laid.peak(&bed).unwrap().lambda);
        prop_assert!((q / p - 1.0).abs() < 1e-8, "{p} {q}");
    }

    #[test]
    fn every_condition_ends_with_all_film_down(
        points in level_valley(0.0),
        reach in (0.0..80.0, 0.0..80.0),
        pad in 0.5..10.0,
        mu in 0.0..0.6,
        drag in prop_oneof![Just(0.0), 0.0..0.01],
        soft in 0.1..1.0,
        flats in any::<bool>(),
        edge in any::<bool>(),
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        let law = StretchLaw::NeoHookean(soft);
        let conditions = Conditions {
            lip_friction: mu,
            drag,
            warm: if flats { Warm::Flats(law) } else { Warm::Mouth(law) },
            ..Conditions::default()
        };
        let order = if edge { Order::EdgeFirst } else { Order::DeepestFirst };
        let Ok(plain) = bed.lay(bonds, order) else { return Ok(()) };
        // A hundred-thousandfold stretch is no lay-down.
        if plain.peak(&bed).is_none_or(|p| p.lambda > 1e5) {
            return Ok(());
        }
        let laid = match bed.lay_under(bonds, order, &conditions) {
            Err(LayError::Ridge) => return Ok(()),
            laid => laid.unwrap(),
        };
        if laid.is_finite() {
            let peak = laid.peak(&bed).unwrap().lambda;
            prop_assert!(peak >= 1.0 + plain.mean() - 1e-6, "{peak} under the mean");
            let end = laid.film(laid.bonds().1).unwrap();
            prop_assert!((end - laid.bridge()).abs() < 1e-6);
        }
    }
}

/// A valley without a bump between level flats: from a flat floor each wall turns up, then
/// over the lip, as a fold or as a round one of many facets.
fn bowl() -> impl Strategy<Value = Vec<Point>> {
    // Facets by their angle: concave ones get steeper outwards, convex ones flatter.
    let wall = || {
        (
            prop::collection::vec((0.5..12.0_f64, 0.05..1.5_f64), 1..5),
            prop::collection::vec((0.2..3.0_f64, 0.05..1.0_f64), 0..5),
        )
            .prop_map(|(mut up, mut over)| {
                up.sort_by(|a, b| a.1.total_cmp(&b.1));
                let steepest = up[up.len() - 1].1;
                over.sort_by(|a, b| b.1.total_cmp(&a.1));
                let over = over.into_iter().map(|(l, part)| (l, part * steepest));
                up.into_iter().chain(over).collect::<Vec<_>>()
            })
    };
    (wall(), 1.0..30.0_f64, wall()).prop_map(|(left, floor, right)| {
        let climb = |wall: &[(f64, f64)]| -> Vec<Point> {
            let mut at = Point::new(0.0, 0.0);
            let step = |(l, a): &(f64, f64)| {
                at = Point::new(at.x + l * a.cos(), at.y + l * a.sin());
                at
            };
            wall.iter().map(step).collect()
        };
        let (left, right) = (climb(&left), climb(&right));
        // The lower wall is scaled up to the height of the other.
        let height = left[left.len() - 1].y.max(right[right.len() - 1].y);
        let scaled = |wall: &[Point], sign: f64, from: f64| -> Vec<Point> {
            let by = height / wall[wall.len() - 1].y;
            let place = |p: &Point| Point::new(from + sign * by * p.x, by * p.y - height);
            wall.iter().map(place).collect()
        };
        let mut points = scaled(&left, -1.0, 0.0);
        points.reverse();
        points.insert(0, Point::new(points[0].x - 80.0, 0.0));
        points.push(Point::new(0.0, -height));
        points.push(Point::new(floor, -height));
        points.extend(scaled(&right, 1.0, floor));
        let end = points[points.len() - 1];
        points.push(Point::new(end.x + 80.0, 0.0));
        points
    })
}

/// Peak of deepest-first, a plain ratio above 1.
fn peak(bed: &Bed<'_>, reach: (f64, f64), conditions: &Conditions) -> f64 {
    let bonds = Bonds::with_reach(bed.recess(), reach.0, reach.1);
    let laid = bed
        .lay_under(bonds, Order::DeepestFirst, conditions)
        .unwrap();
    laid.peak(bed).unwrap().lambda
}

proptest! {
    #![proptest_config(kept_cases(200))]

    // Reference: mechanics of a taut film: friction keeps film of the flats from taking its
    // part. One valley, concave floor, level flats; 1e-7 is what the march may err.
    #[test]
    fn friction_never_lowers_the_peak_of_a_bowl(
        points in bowl(),
        reach in 0.0..70.0,
        mu in (0.0..0.8, 0.0..0.8),
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, 2.0, 0.0);
        let of = |mu| Conditions { lip_friction: mu, ..Conditions::default() };
        let (less, more) = (f64::min(mu.0, mu.1), f64::max(mu.0, mu.1));
        let (a, b) = (peak(&bed, (reach, reach), &of(less)), peak(&bed, (reach, reach), &of(more)));
        prop_assert!(b >= a * (1.0 - 1e-7), "{a} at {less}, {b} at {more}");
    }

    // What lets the width be one root: on level flats more reach never raises the peak of a
    // bowl in film of one temperature, with friction too.
    #[test]
    fn more_reach_never_raises_the_peak_of_a_bowl(
        points in bowl(),
        reach in (0.0..70.0, 0.0..70.0),
        mu in 0.0..0.6,
        pad in 0.0..10.0,
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        // With both bond lines out on the flats, clear of rounded lips.
        let Some(from) = recess.level_from() else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let conditions = Conditions { lip_friction: mu, ..Conditions::default() };
        let (less, more) = (from + f64::min(reach.0, reach.1), from + f64::max(reach.0, reach.1));
        let limit = recess.reach_limit();
        prop_assume!(more <= limit.0.min(limit.1));
        let (a, b) = (peak(&bed, (less, less), &conditions), peak(&bed, (more, more), &conditions));
        prop_assert!(b <= a * (1.0 + 1e-7), "{a} at {less}, {b} at {more}");
    }

    #[test]
    fn film_lies_on_the_panel_in_its_own_order(
        points in level_valley(0.0),
        reach in (0.0..70.0, 0.0..70.0),
        mu in 0.0..0.6,
        soft in 0.05..20.0,
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, 3.0, 0.0);
        let conditions = Conditions {
            lip_friction: mu,
            warm: Warm::Mouth(StretchLaw::NeoHookean(soft)),
            ..Conditions::default()
        };
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        let laid = match bed.lay_under(bonds, Order::DeepestFirst, &conditions) {
            // A march that did not converge says so, and gives no number to look at.
            Err(LayError::NotConverged { .. }) => return Ok(()),
            laid => laid.unwrap(),
        };
        let rows = laid.profile(&bed, 1.0);
        for pair in rows.windows(2) {
            prop_assert!(pair[1].film >= pair[0].film - 1e-9, "{pair:?}");
            prop_assert!(pair[1].lambda >= 1.0 - 1e-12);
        }
    }

    // Reference: mechanics.md section 6, derived there: film beyond a lip keeps its tension
    // while tan(alpha/2) >= mu (lambda^4 - 1)/(lambda^4 + 3), alpha between free film and
    // facet. The tension itself is found from the laid film and the turning of its path.
    #[test]
    fn the_fall_of_outer_tension_agrees_with_the_local_condition(
        points in bowl(),
        reach in 5.0..70.0,
        mu in 0.05..0.8,
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, 2.0, 0.0);
        let bonds = Bonds::with_reach(&recess, reach, reach);
        let conditions = Conditions { lip_friction: mu, ..Conditions::default() };
        let laid = bed.lay_under(bonds, Order::DeepestFirst, &conditions).unwrap();
        let law = StretchLaw::default();
        let (mut least, mut seen) = (f64::INFINITY, 0.0_f64);
        let mut most = [0.0_f64; 2];
        for i in 0..1000 {
            let moment = laid.moment(&bed, (f64::from(i) + 1e-9) / 1000.0).unwrap();
            for (k, span) in moment.free.iter().enumerate() {
                // Film that runs straight to its bond line has nothing beyond a lip.
                let mut path = span.path.clone();
                if k == 0 {
                    path.reverse();
                }
                if path.len() < 3 {
                    continue;
                }
                let (down, end) = moment.down[0];
                let (s, step) = if k == 0 { (down, -1e-7) } else { (end, 1e-7) };
                let facet = (bed.line().at(s + step) - bed.line().at(s)) / 1e-7;
                let turn = |a: tautspan::geometry::Vector, b: tautspan::geometry::Vector| {
                    (a.x * b.y - a.y * b.x).abs().atan2(a.dot(&b))
                };
                let alpha = turn(facet, path[1] - path[0]);
                if alpha < 1e-4 {
                    continue;
                }
                let lambda = laid.lambda(s).unwrap();
                let l4 = lambda.powi(4);
                least = least.min((0.5 * alpha).tan() - mu * (l4 - 1.0) / (l4 + 3.0));
                // The tension at the bond line, from the front's and all turning between.
                let turning: f64 = path.windows(3).map(|w| turn(w[1] - w[0], w[2] - w[1])).sum();
                let outer = law.tension(lambda) * (-mu * turning).exp();
                most[k] = most[k].max(outer);
                seen = seen.max(1.0 - outer / most[k]);
            }
        }
        let fall = laid.march().unwrap().fall;
        // Both are sampled, the one at steps of the march, the other at places.
        prop_assert!((fall - seen).abs() < 2e-3 + 0.1 * seen, "seen {seen}, reported {fall}");
        if least > 1e-3 {
            prop_assert!(fall < 1e-4, "margin {least}, fall {fall}");
        }
        if fall > 1e-4 {
            prop_assert!(least < 0.0, "margin {least}, fall {fall}");
        }
    }
}

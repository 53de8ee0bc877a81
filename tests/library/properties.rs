//! What follows from the model, on random sections, under the conditions it holds for.

use crate::common;

use common::{any_section, exact, length, level_valley, section, straight_step, wrapped};
use proptest::prelude::*;
use tautspan::geometry::Polyline;
use tautspan::section::SectionNotice;
use tautspan::{Bed, Bonds, Kind, Laydown, Order, Point, Recess, Side, Survey};

/// Pads, mm: a point, a fingertip, a wide roller.
const PADS: [f64; 3] = [0.0, 4.0, 10.0];
/// Both orders that work between two fixed bond lines.
const ORDERS: [Order; 2] = [Order::DeepestFirst, Order::EdgeFirst];

/// A case: points, gauge tolerance, pad, tip radius, reach to the left and to the right.
#[derive(Debug, Clone)]
struct Case {
    points: Vec<Point>,
    tolerance: f64,
    pad: f64,
    tip: f64,
    reach: (f64, f64),
}

impl Case {
    fn survey(&self) -> Survey {
        Survey {
            gauge_tolerance: self.tolerance,
            ..Survey::default()
        }
    }

    fn recess(&self) -> Option<Recess> {
        Recess::find(section(&self.points), self.survey()).ok()
    }

    /// Bond lines at the case's reach, or as far as there is panel.
    fn bonds(&self, recess: &Recess) -> Bonds {
        let most = recess.reach_limit();
        Bonds::with_reach(
            recess,
            self.reach.0.min(most.0).max(0.0),
            self.reach.1.min(most.1).max(0.0),
        )
    }

    /// Both orders laid, as far as their peaks are finite.
    fn laid(&self, bed: &Bed<'_>) -> Vec<Laydown> {
        ORDERS
            .into_iter()
            .filter_map(|order| bed.lay(self.bonds(bed.recess()), order).ok())
            .filter(Laydown::is_finite)
            .collect()
    }

    /// The finite peaks of both orders.
    fn peaks(&self) -> Vec<Option<f64>> {
        let Some(recess) = self.recess() else {
            return Vec::new();
        };
        let bed = Bed::new(&recess, self.pad, self.tip);
        ORDERS
            .into_iter()
            .map(|order| {
                let laid = bed.lay(self.bonds(&recess), order).ok()?;
                Some(laid.peak(&bed)?.lambda)
            })
            .collect()
    }
}

/// Cases of a kind of section. Points a nanometre off their facet only where the gauge
/// tolerance is above 0: without it such a point decides where the press is, and a pad of
/// 0 then turns the rounding of its coordinates into more than 1e-9 of the peak.
fn case_of(points: fn(f64) -> BoxedStrategy<Vec<Point>>) -> impl Strategy<Value = Case> {
    let tolerance = prop_oneof![Just(0.0), Just(0.5), 0.01..1.0_f64];
    let survey = tolerance.prop_flat_map(move |tolerance| {
        let speck = if tolerance > 0.0 { 1e-6 } else { 0.0 };
        (points(speck), Just(tolerance))
    });
    (
        survey,
        prop_oneof![prop::sample::select(PADS.to_vec()), 0.1..15.0_f64],
        prop_oneof![Just(0.0), 0.2..6.0_f64],
        (
            prop_oneof![Just(0.0), 0.0..250.0_f64],
            prop_oneof![Just(0.0), 0.0..250.0_f64],
        ),
    )
        .prop_map(|((points, tolerance), pad, tip, reach)| Case {
            points,
            tolerance,
            pad,
            tip,
            reach,
        })
}

/// With a pointed tip, so that no arcs are cut into facets.
fn pointed(mut case: Case) -> Case {
    case.tip = 0.0;
    case
}

/// Two peaks agree within `tolerance`, relative, or neither is finite.
fn same(a: &[Option<f64>], b: &[Option<f64>], tolerance: f64) -> Result<(), TestCaseError> {
    prop_assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(b) {
        match (a, b) {
            // Pressed into a gap as narrow as that, film has torn long before.
            (Some(a), _) if *a > 100.0 => {}
            (_, Some(b)) if *b > 100.0 => {}
            (Some(a), Some(b)) => {
                prop_assert!((a - b).abs() <= tolerance * a, "{} and {}", a, b);
            }
            _ => prop_assert!(a.is_none() && b.is_none(), "{:?} and {:?}", a, b),
        }
    }
    Ok(())
}

/// Is the deepest zone the only one as deep below the mouth line, within the gauge tolerance?
/// A step is pressed at its foot, of which there is one.
fn one_deepest(recess: &Recess) -> bool {
    if recess.kind() == Kind::Step {
        return true;
    }
    let panel = recess.panel();
    let (lip, other) = (panel.at(recess.outer().0), panel.at(recess.outer().1));
    let along = (other - lip).normalize();
    let depth = |p: Point| (p - lip).y * -along.x + (p - lip).x * along.y;
    let zone = recess.deepest();
    let level = depth(panel.at(zone.0)).min(depth(panel.at(zone.1)));
    let others = panel.points().iter().zip(panel.lengths());
    others
        .filter(|(_, s)| **s < zone.0 - 1e-6 || **s > zone.1 + 1e-6)
        .filter(|(_, s)| (recess.outer().0..=recess.outer().1).contains(*s))
        .all(|(p, _)| depth(*p) < level - 1e-6)
}

/// Ends of the stretches within which lambda is smooth: vertices, and where the free film
/// takes another corner (the rows of the profile; a split too many harms no quadrature).
fn joints(bed: &Bed<'_>, laid: &Laydown) -> Vec<f64> {
    let (left, right) = laid.bonds();
    let mut all = vec![left, right, laid.pad().0, laid.pad().1];
    let starts = [bed.lips().0, bed.lips().1];
    all.extend(
        bed.line()
            .lengths()
            .iter()
            .copied()
            .chain(starts)
            .filter(|&s| s > left && s < right),
    );
    all.extend(laid.profile(bed, 1.0).iter().map(|row| row.s));
    all.sort_by(f64::total_cmp);
    all
}

/// Integral of `f` over `[a, b]` by Simpson's rule halved until it settles; end values are
/// taken just inside, since lambda may jump at a joint.
fn integral(f: &impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    fn halve(
        f: &impl Fn(f64) -> f64,
        (a, fa): (f64, f64),
        (m, fm): (f64, f64),
        (b, fb): (f64, f64),
        (depth, within): (u32, f64),
    ) -> f64 {
        let (l, r) = (0.5 * (a + m), 0.5 * (m + b));
        let (fl, fr) = (f(l), f(r));
        let whole = (b - a) / 6.0 * (fa + 4.0 * fm + fb);
        let halves = (b - a) / 12.0 * (fa + 4.0 * fl + 2.0 * fm + 4.0 * fr + fb);
        if depth == 0 || (halves - whole).abs() <= within {
            return halves + (halves - whole) / 15.0;
        }
        let further = (depth - 1, within);
        halve(f, (a, fa), (l, fl), (m, fm), further) + halve(f, (m, fm), (r, fr), (b, fb), further)
    }
    let inset = 1e-10_f64.min(1e-3 * (b - a));
    let m = 0.5 * (a + b);
    // Within so much of the whole, not of each half: rounding in `f` would else be halved for ever.
    let ends = ((a, f(a + inset)), (b, f(b - inset)));
    halve(f, ends.0, (m, f(m)), ends.1, (26, 1e-12 * (b - a)))
}

/// The panel between two arc lengths, ends included.
fn between(line: &Polyline, from: f64, to: f64) -> Vec<Point> {
    let inside = line.points().iter().zip(line.lengths());
    let mut chain = vec![line.at(from)];
    chain.extend(
        inside
            .filter(|(_, s)| **s > from && **s < to)
            .map(|(p, _)| *p),
    );
    chain.push(line.at(to));
    chain
}

/// Highest ordinate of a chain at abscissa `x`, or `None` beside it.
fn top(chain: &[Point], x: f64) -> Option<f64> {
    chain
        .windows(2)
        .filter(|w| w[0].x <= x && x <= w[1].x)
        .map(|w| {
            let run = w[1].x - w[0].x;
            if run > 1e-9 {
                w[0].y + (w[1].y - w[0].y) * (x - w[0].x) / run
            } else {
                w[0].y.max(w[1].y)
            }
        })
        .reduce(f64::max)
}

/// Failures are kept beside this file, in `properties.regressions`.
fn config() -> ProptestConfig {
    ProptestConfig {
        max_global_rejects: 100_000,
        max_shrink_time: 3000,
        ..common::kept_cases(256)
    }
}

#[test]
fn the_file_of_old_failures_is_read() {
    let (read, held) = common::old_failures(config(), file!());
    assert!(read == held && held > 0, "{read} of {held}");
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn film_is_conserved_and_its_mean_lies_between(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        for laid in case.laid(&bed) {
            let (left, right) = laid.bonds();
            // Bridge and mean from a taut film of the test's own.
            let chain = between(bed.line(), left, right);
            let bridge = length(&wrapped(&chain));
            prop_assert!((laid.bridge() - bridge).abs() <= 1e-10 * bridge);
            let mean = (length(&chain) - bridge) / bridge;
            prop_assert!((laid.mean() - mean).abs() <= 1e-10);
            // Film is conserved to 1e-9 of the bridge, both by the test's quadrature of
            // lambda and by the position the lay-down gives.
            let joints = joints(&bed, &laid);
            let per = |s: f64| 1.0 / laid.lambda(s).unwrap();
            let film: f64 = joints
                .windows(2)
                .filter(|w| w[1] - w[0] > 1e-9)
                .map(|w| integral(&per, w[0], w[1]))
                .sum();
            prop_assert!((film - bridge).abs() <= 1e-9 * bridge,
                "{:?}: film {} of {}", laid.order(), film, bridge);
            let rows = laid.profile(&bed, 1.0);
            let last = rows[rows.len() - 1];
            prop_assert!(rows[0].film.abs() <= 1e-9 && (last.film - bridge).abs() <= 1e-9 * bridge);
            // No more than rounding between the least, the mean and the most.
            let least = rows.iter().map(|r| r.lambda).fold(f64::INFINITY, f64::min);
            let most = rows.iter().map(|r| r.lambda).fold(0.0, f64::max);
            prop_assert!(least <= (1.0 + mean) * (1.0 + 1e-12));
            prop_assert!(most >= (1.0 + mean) * (1.0 - 1e-12));
            let peak = laid.peak(&bed).unwrap().lambda;
            prop_assert!((peak - most).abs() <= 1e-9 * peak, "peak {} of {}", peak, most);
        }
    }

    #[test]
    fn film_position_is_the_integral_of_the_stretch(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        for laid in case.laid(&bed) {
            let joints = joints(&bed, &laid);
            let per = |s: f64| 1.0 / laid.lambda(s).unwrap();
            let mut film = 0.0;
            for w in joints.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
                let middle = 0.5 * (w[0] + w[1]);
                let half = integral(&per, w[0], middle);
                prop_assert!(half > 0.0);
                let found = laid.film(middle).unwrap();
                prop_assert!((found - film - half).abs() <= 1e-9 * laid.bridge(),
                    "{:?} at {}: {} and {}", laid.order(), middle, found, film + half);
                film += half + integral(&per, middle, w[1]);
            }
        }
    }

    #[test]
    fn stretch_of_a_span_never_falls(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        for laid in case.laid(&bed) {
            let (left, right) = laid.bonds();
            let (from, to) = laid.pad();
            let n = 400;
            let spans = if laid.order() == Order::EdgeFirst {
                // The flats outside the lips are laid before, not by this span.
                let (a, b) = (bed.lips().0.max(left), bed.lips().1.min(right));
                let (a, b) = match recess.lower() {
                    None => (a, b),
                    Some(Side::Right) => (a, right),
                    Some(Side::Left) => (left, b),
                };
                [(a, from), (b, to)]
            } else {
                [(from, left), (to, right)]
            };
            for (a, b) in spans {
                let mut before = 0.0;
                for k in 0..n {
                    let t = (f64::from(k) + 0.5) / f64::from(n);
                    let lambda = laid.lambda(a + (b - a) * t).unwrap();
                    if (b - a).abs() > 1e-6 {
                        // Rounding only: 1e-12.
                        prop_assert!(lambda >= before * (1.0 - 1e-12),
                            "{:?} at {}: {} after {}", laid.order(), a + (b - a) * t, lambda, before);
                        before = lambda;
                    }
                }
            }
        }
    }

    #[test]
    fn a_press_on_its_way_down_holds_its_film_above_the_panel(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        let line = bed.line();
        for laid in case.laid(&bed) {
            let mut before = 0.0;
            for k in 0..=60 {
                let progress = f64::from(k) / 60.0;
                let moment = laid.replay(&bed, progress).unwrap();
                let film = |a: f64, b: f64| laid.film(b).unwrap() - laid.film(a).unwrap();
                let down: f64 = moment.down.iter().map(|&(a, b)| film(a, b)).sum();
                let free: f64 = moment.free.iter().map(|s| length(&s.path) / s.lambda).sum();
                // Film is neither made nor lost: rounding.
                if moment.work.is_empty() {
                    prop_assert!((down + free - laid.bridge()).abs() <= 1e-9 * laid.bridge(),
                        "{:?} at {}: {} of {}", laid.order(), progress, down + free, laid.bridge());
                }
                for span in &moment.free {
                    // Within the span: where it begins on an upright wall, panel above it has its film.
                    let (from, to) = (span.path[0].x + 1e-9, span.path[span.path.len() - 1].x - 1e-9);
                    for p in line.points().iter().filter(|p| from < p.x && p.x < to) {
                        if let Some(y) = top(&span.path, p.x) {
                            prop_assert!(y >= p.y - 1e-9, "{:?} at {}: {} mm under", laid.order(), progress, p.y - y);
                        }
                    }
                }
                // Only ever pulled further, deepest first; the pad goes down in the first fifth.
                if laid.order() == Order::DeepestFirst && progress < 0.2 {
                    let [span] = &moment.free[..] else { panic!("one span") };
                    prop_assert!(span.lambda >= before * (1.0 - 1e-12));
                    before = span.lambda;
                }
            }
            prop_assert_eq!(laid.replay(&bed, 0.0), laid.moment(&bed, 0.0));
            prop_assert_eq!(laid.replay(&bed, 1.0), laid.moment(&bed, 1.0));
        }
    }

    #[test]
    fn every_moment_is_taut_above_the_panel_and_holds_its_film(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        let line = bed.line();
        for laid in case.laid(&bed) {
            let mut fallen = 0.0;
            for progress in [0.0, 0.01, 0.2, 0.5, 0.77, 0.93, 0.999] {
                let moment = laid.moment(&bed, progress).unwrap();
                // Where each free span begins and ends: the rest of the bridge.
                let (left, right) = laid.bonds();
                let mut edges = vec![left];
                for &(a, b) in &moment.down {
                    edges.extend([a, b]);
                }
                edges.push(right);
                let gaps: Vec<(f64, f64)> = edges
                    .chunks(2)
                    .map(|w| (w[0], w[1]))
                    .filter(|w| w.1 > w.0)
                    .collect();
                prop_assert_eq!(gaps.len(), moment.free.len());
                for (&(a, b), span) in gaps.iter().zip(&moment.free) {
                    let chain = between(line, a, b);
                    // Never below the panel: 1e-9 mm for rounding.
                    for p in &chain {
                        if let Some(y) = top(&span.path, p.x) {
                            prop_assert!(y >= p.y - 1e-9, "{} mm under", p.y - y);
                        } else {
                            prop_assert!(false, "the path stops short of {}", p.x);
                        }
                    }
                    // No shorter path: the test's own taut film.
                    let taut = length(&wrapped(&chain));
                    prop_assert!((length(&span.path) - taut).abs() <= 1e-9 * (1.0 + taut));
                    // The film in it is what the lay-down lays there later.
                    let film = if progress > 0.0 {
                        laid.film(b).unwrap() - laid.film(a).unwrap()
                    } else {
                        laid.bridge()
                    };
                    prop_assert!((taut / span.lambda - film).abs() <= 1e-9 * laid.bridge(),
                        "{:?} at {}: {} and {}", laid.order(), progress, taut / span.lambda, film);
                    // The front lays at the stretch of its span (edge-first: just outside).
                    if progress > 0.0 {
                        // The end of the span that moves.
                        let front = match laid.order() {
                            Order::DeepestFirst if a <= left => b,
                            Order::DeepestFirst => a,
                            _ if a <= left => b,
                            _ => a,
                        };
                        let lambda = laid.lambda(front).unwrap();
                        if (laid.pad().0 - front).abs() > 1e-9 && (laid.pad().1 - front).abs() > 1e-9 {
                            prop_assert!((lambda - span.lambda).abs() <= 1e-9 * lambda,
                                "{:?} at {}: {} and {}", laid.order(), progress, lambda, span.lambda);
                        }
                    }
                }
                if laid.order() == Order::EdgeFirst && progress > 0.0 {
                    prop_assert!(moment.free[0].lambda >= fallen * (1.0 - 1e-12));
                    fallen = moment.free[0].lambda;
                }
            }
        }
    }

    #[test]
    fn film_never_runs_back(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        for laid in case.laid(&bed) {
            let (left, right) = laid.bonds();
            let mut before = f64::NEG_INFINITY;
            for k in 0..=500 {
                let film = laid.film(left + (right - left) * f64::from(k) / 500.0).unwrap();
                prop_assert!(film >= before - 1e-10, "{} after {}", film, before);
                before = film;
            }
        }
    }

    #[test]
    fn a_mirrored_section_has_the_same_peaks(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        // Of equal valleys the left one is taken, which mirroring exchanges.
        // Of equally deep zones of one valley, likewise.
        let equal = |w: &SectionNotice| matches!(w, SectionNotice::OneOfSeveral { equal: true, .. });
        prop_assume!(!recess.warnings().iter().any(equal));
        prop_assume!(one_deepest(&recess));
        let mirrored = Case {
            points: case.points.iter().rev().map(|p| Point::new(-p.x, p.y)).collect(),
            reach: (case.reach.1, case.reach.0),
            ..case.clone()
        };
        let slack = if case.tip > 0.0 { 1e-8 } else { 1e-9 };
        same(&case.peaks(), &mirrored.peaks(), slack)?;
    }

    #[test]
    fn a_shifted_section_has_the_same_peaks(
        case in case_of(|speck| any_section(speck).boxed()), dx in -500.0..500.0_f64, dy in -500.0..500.0_f64,
    ) {
        let shifted = Case {
            points: case.points.iter().map(|p| Point::new(p.x + dx, p.y + dy)).collect(),
            ..case.clone()
        };
        same(&case.peaks(), &shifted.peaks(), 1e-9)?;
    }

    #[test]
    fn a_scaled_section_has_the_same_peaks(case in case_of(|speck| any_section(speck).boxed()), scale in 0.1..10.0_f64) {
        // All lengths: pad, gauge tolerance, clear panel, reach. The tip's arcs are cut to
        // 1e-3 mm, a length of its own, so a pointed tip here.
        let case = pointed(case);
        let Some(recess) = case.recess() else { return Ok(()) };
        let survey = Survey {
            gauge_tolerance: scale * case.tolerance,
            clear_left: scale * 300.0,
            clear_right: scale * 300.0,
            ..Survey::default()
        };
        let points: Vec<Point> = case.points.iter().map(|p| Point::new(p.x * scale, p.y * scale)).collect();
        let big = Recess::find(section(&points), survey).expect("a recess, scaled");
        let bed = Bed::new(&big, scale * case.pad, 0.0);
        let (left, right) = case.bonds(&recess).reach(&recess);
        let bonds = Bonds::with_reach(&big, scale * left, scale * right);
        let scaled: Vec<Option<f64>> = ORDERS
            .into_iter()
            .map(|order| Some(bed.lay(bonds, order).ok()?.peak(&bed)?.lambda))
            .collect();
        // A press within 1e-6 mm of a vertex is on it and landmarks are found to 1e-9 mm:
        // lengths that do not scale, worth some 1e-8 of the peak.
        same(&case.peaks(), &scaled, 1e-7)?;
    }

    #[test]
    fn finer_facets_leave_the_peaks(
        case in case_of(|speck| any_section(speck).boxed()),
        cuts in prop::collection::vec(prop::collection::vec(0.05..0.95_f64, 0..4), 8),
    ) {
        let case = pointed(case);
        let mut points = Vec::new();
        for (i, w) in case.points.windows(2).enumerate() {
            points.push(w[0]);
            let mut at = cuts[i % cuts.len()].clone();
            at.sort_by(f64::total_cmp);
            points.extend(at.iter().map(|t| w[0] + (w[1] - w[0]) * *t));
        }
        points.push(case.points[case.points.len() - 1]);
        let finer = Case { points, ..case.clone() };
        // A press or bond line within 1e-6 mm of a cut is put on it.
        same(&case.peaks(), &finer.peaks(), 1e-8)?;
    }

    #[test]
    fn between_level_flats_the_peak_falls_as_reach_grows(
        case in case_of(|speck| level_valley(speck).boxed()), less in 0.0..150.0_f64, more in 0.0..150.0_f64,
    ) {
        let Some(recess) = case.recess() else { return Ok(()) };
        // With both bond lines out on the flats, clear of rounded lips.
        let Some(from) = recess.level_from() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        let peak = |reach: f64| {
            let reach = from + reach;
            let bonds = Bonds::with_reach(&recess, reach, reach);
            let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
            laid.peak(&bed).unwrap().lambda
        };
        prop_assert!(peak(less + more) <= peak(less) * (1.0 + 1e-12));
    }

    #[test]
    fn a_straight_step_without_reach_stretches_nothing(points in straight_step()) {
        let recess = Recess::find(section(&points), exact()).unwrap();
        let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
        for pad in PADS {
            let bed = Bed::new(&recess, pad, 0.0);
            for order in [Order::DeepestFirst, Order::MiddlePush, Order::EdgeFirst] {
                let peak = bed.lay(bonds, order).unwrap().peak(&bed).unwrap().lambda;
                prop_assert!((peak - 1.0).abs() <= 1e-12, "{:?}: {}", order, peak);
            }
        }
    }

    #[test]
    fn the_far_side_loose_feeds_in_the_extra(case in case_of(|speck| any_section(speck).boxed())) {
        let Some(recess) = case.recess() else { return Ok(()) };
        let bed = Bed::new(&recess, case.pad, case.tip);
        let bonds = case.bonds(&recess);
        for loose in [Side::Left, Side::Right] {
            let Ok(laid) = bed.lay(bonds, Order::OneWay { loose }) else { continue };
            let (left, right) = laid.bonds();
            let chain = between(bed.line(), left, right);
            let extra = length(&chain) - length(&wrapped(&chain));
            prop_assert!((laid.fed_in() - extra).abs() <= 1e-9 * (1.0 + length(&chain)));
            prop_assert!((laid.peak(&bed).unwrap().lambda - 1.0).abs() <= 1e-12);
        }
    }

    #[test]
    fn a_channel_cut_short_at_its_lips_has_the_same_peaks(case in case_of(|speck| level_valley(speck).boxed())) {
        // A survey's end is a wall if it rises by the gauge tolerance over a rule tilted by 13
        // degrees.
        // The two mouth lines may differ by rounding, and then take either of two equal lows.
        let Some(recess) = case.recess() else { return Ok(()) };
        prop_assume!(one_deepest(&recess));
        let falls = |a: Point, b: Point| (a.y - b.y) > 0.3 * (b.x - a.x).abs();
        let steep = |w: &[Point]| (w[1].y - w[0].y).abs() > 0.3 * (w[1].x - w[0].x);
        let floor = |w: &[Point]| (w[1].y - w[0].y).abs() < 1e-6;
        prop_assume!(case.points.windows(2).all(|w| steep(w) || floor(w)));
        let n = case.points.len();
        // A reading within a tenth of the tolerance of the long survey's flat counts to it,
        // and tilts it; the short one has no flat to count it to.
        let flat = 0.15 * case.tolerance;
        prop_assume!(case.points[2].y < -flat && case.points[n - 3].y < -flat);
        prop_assume!(falls(case.points[1], case.points[2]));
        prop_assume!(falls(case.points[n - 2], case.points[n - 3]));
        let (sin, cos) = 13.0_f64.to_radians().sin_cos();
        let over = |a: Point, b: Point| (a.y - b.y) * cos - (b.x - a.x).abs() * sin;
        prop_assume!(over(case.points[1], case.points[2]) > case.tolerance);
        prop_assume!(over(case.points[n - 2], case.points[n - 3]) > case.tolerance);
        let short = Case {
            points: case.points[1..case.points.len() - 1].to_vec(),
            ..case.clone()
        };
        same(&case.peaks(), &short.peaks(), 1e-9)?;
    }
}

//! Whether laid film stays down.

use crate::common;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use common::{any_section, cases, exact};
use proptest::prelude::*;
use tautspan::film::{FilmNumber, Number, Peel};
use tautspan::laydown::OrderName;
use tautspan::outcome::{Effort, Hold, HoldNotice, HoldWhen};
use tautspan::say::Voice;
use tautspan::{
    Bed, Bonds, Check, FilmClass, Job, Order, Recess, Section, Split, Survey, Units, builtin_films,
    film_named, read_shape, recommend, tool_named,
};

fn own(value: f64) -> Number {
    Number {
        value,
        source: "own test".to_owned(),
    }
}

fn peel(force: f64, width: f64, angle: f64) -> Peel {
    Peel {
        force_n: own(force),
        width_mm: own(width),
        angle_deg: own(angle),
    }
}

/// One lay-down of a shape with the fingertip.
fn laid(shape: &str, film: &FilmClass, bridge: f64, order: Order) -> Check {
    let section = read_shape(shape, Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let tool = tool_named("fingertip").unwrap();
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, film, &tool);
    let bonds = bed.bonds_for_bridge(bridge, Split::Even).unwrap();
    job.check(bonds, order, true).unwrap()
}

fn held(shape: &str, film: &FilmClass, bridge: f64, order: Order) -> Hold {
    laid(shape, film, bridge, order).hold.unwrap()
}

const CHANNEL: &str = "channel:mouth=80,floor=40,depth=25";

/// Reference: 14 N/25 mm at 180 degrees and a long-term factor of 0.25 in the class: 280 J/m²;
/// moduli 60 `MPa` at 20 and ln E linear between 16 at 60 and 9 at 80 degC: sqrt(16 x 9) = 12 at 70.
#[test]
fn post_heat_and_a_hot_day_each_raise_the_hold() {
    let film = film_named("wrap-cast").unwrap();
    let hold = held(CHANNEL, &film, 150.0, Order::DeepestFirst);
    assert_abs_diff_eq!(hold.adhesion_j_per_m2.unwrap(), 280.0, epsilon = 1e-9);
    let [laid, heated, hot] = hold.states[..] else {
        panic!("{hold:?}")
    };
    assert_eq!(
        [laid.when, heated.when, hot.when],
        [HoldWhen::AsLaid, HoldWhen::PostHeated, HoldWhen::HotDay]
    );
    assert!(laid.ratio < heated.ratio);
    assert_relative_eq!(hot.ratio, heated.ratio * 60.0 / 12.0, max_relative = 1e-12);
    assert_relative_eq!(
        laid.ratio,
        280.0 / laid.release_j_per_m2,
        max_relative = 1e-12
    );
    assert_eq!(hold.ratio, Some(hot.ratio));
}

/// Reference: line tension over the radius of the foot (N/Rf): with the stretch of the lay-down's
/// own profile. 2 %: the turn where an arc begins is half of one inside it.
#[test]
fn film_pulls_off_a_rounded_foot_with_its_tension_over_the_radius() {
    let film = film_named("wrap-cast").unwrap();
    let shape = "channel:mouth=80,floor=30,depth=15,foot-radius=10";
    let check = laid(shape, &film, 150.0, Order::DeepestFirst);
    let state = check.hold.unwrap().states[0];
    let radius = state.pull_radius_mm.unwrap();
    assert_relative_eq!(radius, 10.0, max_relative = 0.02);
    let x = state.pull_x_mm.unwrap();
    let near = |r: &&tautspan::advice::ProfileRow| (r.place.x_mm - x).abs() < 0.6;
    let stretch = check
        .profile
        .iter()
        .filter(near)
        .map(|r| 1.0 + r.elongation_pct / 100.0);
    let law = film.law_at(20.0).unwrap();
    let tension = law.tension(stretch.fold(1.0, f64::max));
    assert_relative_eq!(
        state.pull_kpa.unwrap(),
        1000.0 * tension / radius,
        max_relative = 0.02
    );
    // A sharp foot has no radius: the tip leaves a gap there.
    assert_eq!(
        held(CHANNEL, &film, 150.0, Order::DeepestFirst).states[0].pull_kpa,
        None
    );
}

#[test]
fn the_hold_never_rises_as_a_foot_gets_sharper() {
    let film = film_named("wrap-cast").unwrap();
    for order in [Order::DeepestFirst, Order::EdgeFirst] {
        let mut before = f64::INFINITY;
        for radius in [15.0, 12.0, 9.0, 7.0, 5.0, 3.0, 1.0, 0.0] {
            let shape = format!("channel:mouth=80,floor=40,depth=15,foot-radius={radius}");
            let ratio = held(&shape, &film, 150.0, order).ratio.unwrap();
            assert!(
                ratio <= before * (1.0 + 1e-6),
                "{order:?} {radius}: {ratio} after {before}"
            );
            before = ratio;
        }
    }
}

#[test]
fn a_wider_bridge_holds_better() {
    let film = film_named("wrap-cast").unwrap();
    let ratio = |mm: f64| held(CHANNEL, &film, mm, Order::DeepestFirst).ratio.unwrap();
    assert!(ratio(120.0) < ratio(150.0) && ratio(150.0) < ratio(250.0));
}

/// What is said of a class without some of its numbers.
fn without(strip: impl Fn(&mut FilmClass)) -> (Hold, String) {
    let mut film = film_named("wrap-cast").unwrap();
    strip(&mut film);
    let hold = held(CHANNEL, &film, 150.0, Order::DeepestFirst);
    let said = Voice::terminal(Units::Mm).hold(&hold);
    (hold, said)
}

#[test]
fn what_a_class_lacks_is_not_computed_and_said() {
    for (strip, number, said) in [
        (
            (|f: &mut FilmClass| f.peel = None) as fn(&mut FilmClass),
            FilmNumber::Peel,
            "has no peel test (`[peel]`)",
        ),
        (
            |f| f.long_term_factor = None,
            FilmNumber::LongTermFactor,
            "(`long_term_factor`)",
        ),
        (
            |f| f.modulus.clear(),
            FilmNumber::Stiffness,
            "(`[[modulus]]`)",
        ),
    ] {
        let (hold, words) = without(strip);
        let why = hold.not_computed.map(|why| why.0);
        assert!(
            matches!(why, Some(HoldNotice::Missing { number: n, .. }) if n == number),
            "{words}"
        );
        assert!(
            hold.states.is_empty() && hold.ratio.is_none() && words.contains(said),
            "{words}"
        );
    }
    let (hold, words) = without(|f| f.stress_left = None);
    assert!(hold.states.len() == 1 && hold.ratio.is_none(), "{words}");
    assert!(
        words.contains("as laid") && words.contains("(`stress_left`)"),
        "{words}"
    );
    let (hold, words) = without(|f| f.hot_day_c = None);
    assert!(hold.states.len() == 2 && hold.ratio.is_none(), "{words}");
    assert!(words.contains("(`hot_day_c`)"), "{words}");
    let (hold, words) = without(|f| f.hot_day_c = Some(own(140.0)));
    assert!(
        hold.states.len() == 2 && words.contains("not in its table"),
        "{words}"
    );
}

#[test]
fn a_trial_piece_that_let_go_sets_it_and_without_one_it_ranks() {
    let (bare, words) = without(|_| {});
    assert!(
        words.ends_with("a ranking, no trial piece has set it"),
        "{words}"
    );
    let ratio = bare.ratio.unwrap();
    let (set, words) = without(|f| f.hold_let_go = Some(own(0.5 * ratio)));
    assert_eq!(set.states, bare.states);
    assert!(
        words.contains("; above the ") && words.ends_with(", 2 times it"),
        "{words}"
    );
    let (_, words) = without(|f| f.hold_let_go = Some(own(2.0 * ratio)));
    assert!(
        words.contains("; not above the ") && words.ends_with(", 0.5 times it"),
        "{words}"
    );
}

#[test]
fn the_hold_decides_nothing() {
    let film = film_named("wrap-cast").unwrap();
    let mut weak = film.clone();
    weak.hold_let_go = Some(own(1e6));
    weak.peel = Some(peel(1e-3, 25.0, 180.0));
    for order in [Order::DeepestFirst, Order::EdgeFirst] {
        let (a, b) = (
            laid(CHANNEL, &film, 150.0, order),
            laid(CHANNEL, &weak, 150.0, order),
        );
        assert_eq!(
            (a.within_limit, a.margin_pct, a.warnings),
            (b.within_limit, b.margin_pct, b.warnings)
        );
    }
}

#[test]
fn film_that_feeds_in_has_nothing_to_pull() {
    let film = film_named("wrap-cast").unwrap();
    let loose = Order::OneWay {
        loose: tautspan::section::Side::Right,
    };
    let hold = held(CHANNEL, &film, 80.0, loose);
    assert!(hold.ratio.is_none() && hold.states.is_empty());
    assert!(matches!(
        hold.follows[..],
        [tautspan::Told(HoldNotice::NothingPulls)]
    ));
}

#[test]
fn the_recommended_order_has_its_hold_and_it_is_that_of_check() {
    let film = film_named("wrap-cast").unwrap();
    let tool = tool_named("fingertip").unwrap();
    let section = read_shape(CHANNEL, Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    let mut answer = recommend(&job, &builtin_films());
    job.hold_the_chosen(&mut answer);
    let chosen = answer.recommended.unwrap();
    let named = |o: &&Check| o.order.name == OrderName::DeepestFirst;
    let own = answer.orders.iter().find(named).unwrap();
    let check = held(CHANNEL, &film, chosen.bridge_mm, Order::DeepestFirst);
    assert_relative_eq!(
        own.hold.as_ref().unwrap().ratio.unwrap(),
        check.ratio.unwrap(),
        max_relative = 1e-9
    );
}

/// Reference: a factor of the force alone.
#[test]
fn a_measured_press_scales_the_force_and_ends_the_ranking() {
    let film = film_named("wrap-cast").unwrap();
    let force = |film: &FilmClass| {
        laid(CHANNEL, film, 150.0, Order::DeepestFirst)
            .force
            .unwrap()
    };
    let bare = force(&film);
    let words = |f: &tautspan::outcome::Force| {
        use tautspan::say::Say;
        f.ranked.as_ref().unwrap().say(Voice::PLAIN)
    };
    assert_eq!(bare.effort, Some(Effort::Easy));
    assert!(words(&bare).starts_with("easy, a ranking") && words(&bare).contains("left out"));
    let mut measured = film.clone();
    measured.force_factor = Some(own(3.0));
    let more = force(&measured);
    assert_relative_eq!(
        more.largest_n.unwrap(),
        3.0 * bare.largest_n.unwrap(),
        max_relative = 1e-12
    );
    assert!(
        words(&more).contains("by a press that was measured"),
        "{}",
        words(&more)
    );
    measured.force_factor = Some(Number {
        value: 3.0,
        source: "invented".to_owned(),
    });
    assert!(words(&force(&measured)).contains("a ranking"));
    // More than a hand gives: at the softest row it is stiff, not cold.
    measured.force_factor = Some(own(100.0));
    assert_eq!(force(&measured).effort, Some(Effort::TooStiff));
}

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn no_release_is_negative_and_without_gaps_none_more_than_a_free_end_gives(
        points in any_section(0.0),
        part in 0.2..1.0_f64,
        tip in prop_oneof![Just(0.0), 1.0..10.0_f64],
    ) {
        let film = film_named("wrap-cast").unwrap();
        let tool = tool_named("fingertip").unwrap();
        let section = Section::new("any", &points);
        let Some(recess) = section.ok().and_then(|s| Recess::find(s, exact()).ok()) else {
            return Ok(());
        };
        let bed = Bed::new(&recess, tool.pad(), tip);
        let job = Job::new(&bed, &film, &tool);
        let bonds = Bonds::with_reach(&recess, 150.0 * part, 150.0 * part);
        for order in [Order::DeepestFirst, Order::EdgeFirst] {
            let check = job.check(bonds, order, true).unwrap();
            let (Some(hold), Some(peak)) = (check.hold, check.peak_pct) else { continue };
            let most = 1000.0 * film.law_at(20.0).unwrap().free_end(1.0 + peak / 100.0);
            for state in &hold.states {
                prop_assert!(state.release_j_per_m2 > 0.0 && state.ratio.is_finite());
                let bound = tip > 0.0 || state.release_j_per_m2 <= most * (1.0 + 1e-6);
                prop_assert!(bound, "{} {most}", state.release_j_per_m2);
            }
            for pair in hold.states.windows(2) {
                prop_assert!(pair[1].ratio >= pair[0].ratio * (1.0 - 1e-6));
            }
        }
    }
}

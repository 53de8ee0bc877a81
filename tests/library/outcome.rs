//! What follows from a lay-down: trapped air, the force of the fingers, where film came from.

use crate::common;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use common::{any_section, cases, drawn, exact, exact_recess, pointed, said, wrapped};
use proptest::prelude::*;
use tautspan::advice::{Invented, Notice, WarmZone};
use tautspan::film::{StretchLaw, ToolNumber, parse_film};
use tautspan::laydown::Laying;
use tautspan::outcome::{
    Ends, ForceNotice, SourceMark, Stage, WayOut, film_source, finger_force, stages, trapped_air,
};
use tautspan::section::Mark;
use tautspan::{
    Bay, Bed, Bonds, Check, Conditions, FilmClass, Handling, Job, Order, Recess, Side, Survey,
    Told, film_named,
};

/// The worked channel: mouth 80, floor 40, depth 25.
const CHANNEL: [(f64, f64); 6] = [
    (-60.0, 0.0),
    (0.0, 0.0),
    (20.0, -25.0),
    (60.0, -25.0),
    (80.0, 0.0),
    (140.0, 0.0),
];
/// A V 60 wide and 20 deep.
const V: [(f64, f64); 5] = [
    (-60.0, 0.0),
    (-30.0, 0.0),
    (0.0, -20.0),
    (30.0, 0.0),
    (60.0, 0.0),
];

/// Stiffness G h of 2 N/mm.
fn stiff() -> Conditions {
    Conditions {
        law: StretchLaw::NeoHookean(2.0),
        ..Conditions::default()
    }
}

/// A film of 60 `MPa` at 20 degC, 15 `MPa` at 60 degC, 0.1 mm thick: G h is 2 and 0.5 N/mm.
fn class() -> FilmClass {
    let number = |v: f64| format!("{{ value = {v}, source = \"own test\" }}");
    let row = |t: f64, e: f64| {
        format!(
            "[[modulus]]\ntemperature_c = {t}\nmodulus_mpa = {}\n",
            number(e)
        )
    };
    let text = format!(
        "name = \"trial\"\nlimit_pct = {}\nthickness_um = {}\n{}{}",
        number(200.0),
        number(100.0),
        row(20.0, 60.0),
        row(60.0, 15.0)
    );
    parse_film("trial.toml", &text).unwrap()
}

fn check(points: &[(f64, f64)], bay: Bay, film: &FilmClass, reach: f64, order: Order) -> Check {
    let recess = exact_recess(points);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let tool = pointed();
    let handling = Handling::new(film, &bay).unwrap();
    let job = Job {
        handling: Some(&handling),
        ..Job::new(&bed, film, &tool)
    };
    let bonds = Bonds::with_reach(&recess, reach, reach);
    job.check(bonds, order, true).unwrap()
}

fn neo_hookean(lambda: f64) -> f64 {
    lambda - lambda.powi(-3)
}

#[test]
fn the_air_of_the_worked_channel_is_its_trapezoid_and_two_triangles() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let air = |order| {
        let laid = bed.lay(bonds, order).unwrap();
        let air = trapped_air(
            &laid,
            &bed,
            &stages(&laid, &bed),
            Some(false),
            Ends::Open,
            false,
        );
        let rows: Vec<(Stage, f64, usize)> = air
            .stages
            .iter()
            .map(|s| {
                let shut = s.pockets.iter().filter(|p| p.shut).count();
                (s.stage, s.cm3_per_m, shut)
            })
            .collect();
        (air, rows)
    };
    // Reference: by hand. (80 + 40)/2 x 25 mm2; after the press two triangles of base 20 and
    // height 25; 1 mm2 over 1 m is 1 cm3. Sums of a few products: 1e-9.
    let (deepest, rows) = air(Order::DeepestFirst);
    let expected = [
        (Stage::Bridged, 1500.0, 1),
        (Stage::Pressed, 500.0, 2),
        (Stage::Floor, 0.0, 0),
        (Stage::Wall, 0.0, 0),
        (Stage::Down, 0.0, 0),
    ];
    assert_eq!(rows.len(), expected.len(), "{rows:?}");
    for (row, e) in rows.iter().zip(expected) {
        assert_eq!((row.0, row.2), (e.0, e.2));
        assert_abs_diff_eq!(row.1, e.1, epsilon = 1e-9);
    }
    assert_abs_diff_eq!(deepest.shut_in_cm3_per_m, 500.0, epsilon = 1e-9);
    assert_eq!(deepest.way_out, Some(WayOut::OpenEnd));
    // Edge-first shuts all of it in over the floor; on the floor the film lies flat.
    let (edge, rows) = air(Order::EdgeFirst);
    assert_abs_diff_eq!(edge.shut_in_cm3_per_m, 1500.0, epsilon = 1e-9);
    let wall = rows.iter().find(|r| r.0 == Stage::Wall).unwrap();
    assert_abs_diff_eq!(wall.1, 0.0, epsilon = 1e-6);
    // One-way shuts nothing in.
    let (one_way, _) = air(Order::OneWay { loose: Side::Right });
    assert_eq!(one_way.way_out, Some(WayOut::Free));
    assert_abs_diff_eq!(one_way.shut_in_cm3_per_m, 0.0);
}

#[test]
fn a_dip_shallower_than_the_gauge_is_air_and_no_pocket() {
    // Reference: by hand. Film rests on (-100, -0.4) and (-70, 0), the panel between them
    // 0.3 mm under their chord in the middle: a triangle of 30 x 0.3 / 2 = 4.5 mm2 beside the
    // trapezoid of 1500. A gauge of 0.5 mm cannot tell it from a misreading, one of 0.2 can.
    let dipped = drawn(&[
        (-130.0, -2.0),
        (-100.0, -0.4),
        (-85.0, -0.5),
        (-70.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (20.0, -25.0),
        (40.0, 0.0),
        (130.0, 0.0),
    ]);
    for (gauge_tolerance, pockets) in [(0.5, 1), (0.2, 2)] {
        let survey = Survey {
            gauge_tolerance,
            ..exact()
        };
        let recess = Recess::find(dipped.clone(), survey).unwrap();
        let bed = Bed::new(&recess, 0.0, 0.0);
        let bonds = Bonds::at_x(&recess, -110.0, 75.0).unwrap();
        let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
        let stages = stages(&laid, &bed);
        let air = trapped_air(&laid, &bed, &stages, Some(true), Ends::Open, false);
        assert_eq!(air.stages[0].pockets.len(), pockets, "{gauge_tolerance}");
        assert_abs_diff_eq!(air.stages[0].cm3_per_m, 1504.5, epsilon = 1e-9);
    }
}

#[test]
fn air_gets_out_by_channels_or_an_open_end_or_not_at_all() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
    let air =
        |channels, ends| trapped_air(&laid, &bed, &stages(&laid, &bed), channels, ends, false);
    assert_eq!(
        air(Some(true), Ends::Closed).way_out,
        Some(WayOut::Channels)
    );
    assert_eq!(
        air(Some(false), Ends::OneOpen).way_out,
        Some(WayOut::OpenEnd)
    );
    assert_eq!(air(Some(false), Ends::Closed).way_out, Some(WayOut::None));
    assert_eq!(air(None, Ends::Open).way_out, None);
    // Nobody is told to pierce film.
    for channels in [Some(true), Some(false), None] {
        for ends in [Ends::OneOpen, Ends::Closed] {
            let words = said(&air(channels, ends).follows);
            assert!(!words.contains("pierce it"), "{words}");
        }
    }
}

#[test]
fn a_closed_end_is_always_spoken_of() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let (film, tool) = (film_named("wrap-cast").unwrap(), pointed());
    for (ends, spoken) in [
        (Ends::Open, false),
        (Ends::OneOpen, true),
        (Ends::Closed, true),
    ] {
        let bay = Bay {
            ends: Some(ends),
            ..Bay::default()
        };
        let handling = Handling::new(&film, &bay).unwrap();
        let job = Job {
            handling: Some(&handling),
            ..Job::new(&bed, &film, &tool)
        };
        let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
        let check = job.check(bonds, Order::DeepestFirst, false).unwrap();
        let near = check
            .warnings
            .iter()
            .any(|w| matches!(w.0, Notice::NearClosedEnd { within_mm } if (within_mm - 150.0).abs() < 1e-9));
        assert_eq!(near, spoken, "{ends:?}");
    }
}

#[test]
fn what_the_tip_cannot_reach_stays_to_the_end() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 6.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
    let air = trapped_air(
        &laid,
        &bed,
        &stages(&laid, &bed),
        Some(true),
        Ends::Open,
        false,
    );
    // Reference: a ball of radius R in a corner turning by a leaves R^2 (tan(a/2) - a/2);
    // two feet of atan(25/20). Arcs are facets to 1e-3 mm: 1e-3 relative and some.
    let a = 25.0_f64.atan2(20.0);
    let left = 2.0 * 36.0 * ((a / 2.0).tan() - a / 2.0);
    assert_relative_eq!(air.left_cm3_per_m, left, max_relative = 2e-3);
    let [first, .., last] = &air.stages[..] else {
        panic!("no stages")
    };
    assert_relative_eq!(last.cm3_per_m, air.left_cm3_per_m, max_relative = 1e-9);
    // The whole trapezoid down to the bare panel; the facets cost the same as above.
    assert_relative_eq!(first.cm3_per_m, 1500.0, max_relative = 1e-4);
}

/// Reference: by hand. A ball of radius R between two walls at 45 degrees stays R (sqrt 2 - 1)
/// above their edge: 0.95 mm for R = 2.3, 1.04 for 2.5; a warning is for a whole millimetre.
#[test]
fn a_gap_under_the_tip_is_warned_of_from_one_millimetre() {
    let square = [
        (-60.0, 0.0),
        (-30.0, 0.0),
        (0.0, -30.0),
        (30.0, 0.0),
        (60.0, 0.0),
    ];
    let recess = exact_recess(&square);
    let (film, tool) = (class(), pointed());
    for (radius, warned) in [(2.3, false), (2.5, true)] {
        let bed = Bed::new(&recess, 0.0, radius);
        let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
        let job = Job::new(&bed, &film, &tool);
        let check = job.check(bonds, Order::DeepestFirst, false).unwrap();
        // Arcs are facets to 1e-3 mm.
        let gap = radius * (2.0_f64.sqrt() - 1.0);
        assert_abs_diff_eq!(check.out_of_reach.gap_mm, gap, epsilon = 2e-3);
        let said = |w: &Told<Notice>| matches!(w.0, Notice::OutOfReach { .. });
        assert_eq!(check.warnings.iter().any(said), warned, "{radius}");
    }
}

#[test]
fn the_first_press_into_a_v_pulls_with_twice_the_tension_times_the_sine() {
    let recess = exact_recess(&V);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 20.0, 20.0);
    let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
    // Reference: by hand. 100 mm of film over two walls of hypot(30, 20) and two flats of
    // 20; N = 2 (l - l^-3); each span pulls along its wall: F = 2 N 20/hypot(30, 20).
    let wall = 30.0_f64.hypot(20.0);
    let n = 2.0 * neo_hookean((2.0 * wall + 40.0) / 100.0);
    let pressed = pull.stages.iter().find(|s| s.0 == Stage::Pressed).unwrap();
    assert_relative_eq!(pressed.1, 2.0 * n * 20.0 / wall, max_relative = 1e-12);
    assert_relative_eq!(pull.largest.0, pressed.1, max_relative = 1e-12);
    // Symmetric: nothing sideways.
    assert_abs_diff_eq!(pull.sideways.unwrap(), 0.0, epsilon = 1e-12);
}

#[test]
fn a_front_pulls_with_twice_the_tension_times_the_sine_of_half_the_angle() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let laid = bed.lay(bonds, Order::EdgeFirst).unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
    // Reference: closed form of the worked channel (mechanics): at the foot lambda is
    // (40/20)^(sec f - 1), f the wall's angle, which film between the fronts makes with it.
    let f = 25.0_f64.atan2(20.0);
    let n = 2.0 * neo_hookean(2.0_f64.powf(1.0 / f.cos() - 1.0));
    let wall = pull.stages.iter().find(|s| s.0 == Stage::Wall).unwrap();
    // The stage reads its front 1e-6 mm inside the laid film.
    assert_relative_eq!(wall.1, 2.0 * n * (f / 2.0).sin(), max_relative = 1e-6);
    assert_relative_eq!(pull.largest.0, wall.1, max_relative = 1e-6);
    // Deepest first: up the wall the film already lies along it; over the lip the panel
    // holds it.
    let laid = bed
        .lay(Bonds::with_reach(&recess, 35.0, 35.0), Order::DeepestFirst)
        .unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
    let at = |stage| pull.stages.iter().find(|s| s.0 == stage).unwrap().1;
    assert_abs_diff_eq!(at(Stage::Wall), 0.0, epsilon = 1e-12);
    assert_abs_diff_eq!(at(Stage::Down), 0.0, epsilon = 1e-12);
    // Reference: closed form, lambda at the foot 1.170956 (check table), the span along
    // the wall; six figures.
    let n = 2.0 * neo_hookean(1.170_956);
    assert_relative_eq!(
        at(Stage::Floor),
        2.0 * n * (f / 2.0).sin(),
        max_relative = 1e-5
    );
}

#[test]
fn dabbed_film_pulls_square_to_the_panel() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let conditions = Conditions {
        laying: Laying::Dabbed,
        ..stiff()
    };
    let bonds = Bonds::with_reach(&recess, 0.0, 0.0);
    let laid = bed.lay_under(bonds, Order::EdgeFirst, &conditions).unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &conditions).unwrap();
    let wall = pull.stages.iter().find(|s| s.0 == Stage::Wall).unwrap().1;
    // Reference: two ways to the tension of the free film. Its stretch is panel left over
    // film left (40 mm on the floor); or from the laid film, N cos f. The march is good to
    // 1e-6.
    let f = 25.0_f64.atan2(20.0);
    let foot = |s: f64| laid.film(bed.line().lengths()[0] + s).unwrap();
    let (a, b) = (recess.feet().0.unwrap(), recess.feet().1.unwrap());
    let start = bed.line().lengths()[0];
    let left = foot(b - start) - foot(a - start);
    let free = 2.0 * neo_hookean(40.0 / left);
    assert_relative_eq!(wall, free * f.sin(), max_relative = 1e-5);
}

#[test]
fn a_press_off_the_middle_pulls_back_to_it() {
    let mut survey = exact();
    survey.press_offset = 15.0;
    let recess = Recess::find(drawn(&CHANNEL), survey).unwrap();
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let laid = bed.lay(bonds, Order::DeepestFirst).unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
    // Reference: by hand. From (55, -25) to the lips (0, 0) and (80, 0).
    let (l, r) = (55.0_f64.hypot(25.0), 25.0_f64.hypot(25.0));
    let n = 2.0 * neo_hookean((l + r + 70.0) / 150.0);
    assert_relative_eq!(
        pull.sideways.unwrap(),
        n * (25.0 / r - 55.0 / l),
        max_relative = 1e-12
    );
    let up = n * (25.0 / r + 25.0 / l);
    assert_relative_eq!(
        pull.stages[1].1,
        up.hypot(pull.sideways.unwrap()),
        max_relative = 1e-12
    );
}

#[test]
fn the_last_press_of_edge_first_pulls_with_the_turn_under_the_pad() {
    let recess = exact_recess(&V);
    let bed = Bed::new(&recess, 4.0, 0.0);
    let laid = bed
        .lay(Bonds::with_reach(&recess, 20.0, 20.0), Order::EdgeFirst)
        .unwrap();
    let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
    // Reference: the last press on pad p in a V of wall length S gives (2S/p)^(sec f - 1)
    // sec f (mechanics); two walls of angle f pull up with 2 N sin f.
    let (wall, f) = (30.0_f64.hypot(20.0), 20.0_f64.atan2(30.0));
    let lambda = (2.0 * wall / 4.0).powf(1.0 / f.cos() - 1.0) / f.cos();
    let down = pull.stages.last().unwrap();
    assert_eq!(down.0, Stage::Down);
    assert_relative_eq!(
        down.1,
        2.0 * 2.0 * neo_hookean(lambda) * f.sin(),
        max_relative = 1e-9
    );
    // A pointed tool in a sharp V has no finite peak: no force, no source.
    let bed = Bed::new(&recess, 0.0, 0.0);
    let laid = bed
        .lay(Bonds::with_reach(&recess, 20.0, 20.0), Order::EdgeFirst)
        .unwrap();
    assert!(finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).is_none());
    assert!(film_source(&laid, &bed).is_none());
    assert!(stages(&laid, &bed).is_empty());
}

#[test]
fn force_falls_with_temperature_as_the_modulus_does() {
    let film = class();
    let at = |celsius| {
        let bay = Bay {
            warm_c: Some(celsius),
            ..Bay::default()
        };
        let check = check(&V, bay, &film, 20.0, Order::DeepestFirst);
        check.force.unwrap()
    };
    // Reference: 60 and 15 MPa; half-way the geometric mean, ln E linear: 30 MPa.
    let (cold, mild, hot) = (at(20.0), at(40.0), at(60.0));
    assert_relative_eq!(
        cold.largest_n.unwrap(),
        4.0 * hot.largest_n.unwrap(),
        max_relative = 1e-12
    );
    assert_relative_eq!(
        cold.largest_n.unwrap(),
        2.0 * mild.largest_n.unwrap(),
        max_relative = 1e-12
    );
    // Reference: 15 mm of contact, G h 2 N/mm, as in the test of the V.
    let wall = 30.0_f64.hypot(20.0);
    let n = 2.0 * neo_hookean((2.0 * wall + 40.0) / 100.0);
    assert_relative_eq!(
        cold.largest_n.unwrap(),
        15.0 * 2.0 * n * 20.0 / wall,
        max_relative = 1e-12
    );
}

#[test]
fn the_temperature_at_which_a_hand_does_is_a_root_of_the_table() {
    let film = class();
    let with = |hand: f64, warm, celsius| {
        let bay = Bay {
            warm,
            warm_c: Some(celsius),
            hand_force: Some(hand),
            ..Bay::default()
        };
        check(&CHANNEL, bay, &film, 35.0, Order::DeepestFirst)
    };
    let cold = with(1000.0, None, 20.0).force.unwrap();
    assert_eq!(cold.within_hand, Some(true));
    let now = cold.largest_n.unwrap();
    // Reference: half the force at half the modulus, at 40 degC. Even heat changes nothing
    // but the stiffness; the root is good to 0.01 degC and on the safe side.
    let half = with(0.5 * now, None, 20.0);
    let force = half.force.as_ref().unwrap();
    assert_eq!(force.within_hand, Some(false));
    assert_abs_diff_eq!(force.enough_at_c.unwrap(), 40.0, epsilon = 0.02);
    assert!(half.warnings.iter().any(|w| matches!(
        w.0,
        Notice::Force {
            notice: ForceNotice::TooMuch { .. }
        }
    )));
    // A tenth of it is beyond the table.
    let tenth = with(0.1 * now, None, 20.0).force.unwrap();
    assert_eq!(tenth.enough_at_c, None);
    let [t, n] = tenth.least_at_c.unwrap();
    assert_abs_diff_eq!(t, 60.0);
    assert_relative_eq!(n, 0.25 * now, max_relative = 1e-9);
    // With a warm mouth the film is laid again at each temperature: at the one found the
    // force is what the hand gives.
    let mouth = Some(WarmZone::Mouth);
    let now = with(1000.0, mouth, 20.0).force.unwrap().largest_n.unwrap();
    let hand = 0.6 * now;
    let found = with(hand, mouth, 20.0).force.unwrap().enough_at_c.unwrap();
    let there = with(1000.0, mouth, found).force.unwrap().largest_n.unwrap();
    assert!(there <= hand * (1.0 + 1e-9), "{there} against {hand}");
    assert_relative_eq!(there, hand, max_relative = 1e-3);
}

#[test]
fn the_hand_is_a_training_number_only_where_it_decides() {
    let film = class();
    let cold = |hand| {
        let bay = Bay {
            warm_c: Some(20.0),
            hand_force: hand,
            ..Bay::default()
        };
        check(&CHANNEL, bay, &film, 35.0, Order::DeepestFirst)
    };
    let hand = |i: &Told<Invented>| matches!(i.0, Invented::HandForce { .. });
    let named = |c: &Check| c.invented.iter().any(hand);
    assert!(!named(&cold(None)));
    assert!(cold(None).invented_in_force.iter().any(hand));
    // Said by the user it is not invented, even where it decides.
    assert!(!named(&cold(Some(1.0))));
    assert!(cold(Some(1.0)).invented.iter().any(|i| matches!(
        &i.0,
        Invented::Tool {
            number: ToolNumber::ContactLength,
            ..
        }
    )));
}

#[test]
fn without_a_table_or_a_contact_length_the_force_is_not_computed_and_says_why() {
    let mut film = film_named("wrap-cast").unwrap();
    film.modulus.clear();
    let bare = check(&CHANNEL, Bay::default(), &film, 35.0, Order::DeepestFirst);
    let force = bare.force.unwrap();
    assert_eq!(force.largest_n, None);
    let why = force.not_computed.unwrap();
    assert!(matches!(why.0, ForceNotice::NoStiffness { .. }), "{why:?}");
    assert!(said(&why).contains("[[modulus]]"));
    assert!(bare.profile.iter().all(|r| r.tension_n_per_mm.is_none()));
    let film = class();
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let mut tool = pointed();
    tool.contact_length_mm = None;
    let job = Job::new(&bed, &film, &tool);
    let bonds = Bonds::with_reach(&recess, 35.0, 35.0);
    let check = job.check(bonds, Order::DeepestFirst, true).unwrap();
    let why = check.force.unwrap().not_computed.unwrap();
    assert!(
        matches!(why.0, ForceNotice::NoContactLength { .. }),
        "{why:?}"
    );
    assert!(said(&why).contains("contact_length_mm"));
    // The line tension does not need the tool. Reference: G h is 0.5 N/mm at 60 degC.
    for row in check.profile {
        let n = 0.5 * neo_hookean(1.0 + row.elongation_pct / 100.0);
        assert_relative_eq!(row.tension_n_per_mm.unwrap(), n, max_relative = 1e-9);
    }
}

#[test]
fn tension_goes_on_where_film_of_another_temperature_begins() {
    let film = class();
    let bay = Bay {
        warm: Some(WarmZone::Mouth),
        warm_c: Some(60.0),
        ..Bay::default()
    };
    let check = check(&CHANNEL, bay, &film, 60.0, Order::DeepestFirst);
    let jumps = |read: fn(&tautspan::advice::ProfileRow) -> f64| {
        let rows = check.profile.windows(2);
        let all = rows.filter(|w| w[1].place.s_mm - w[0].place.s_mm < 1e-9);
        all.map(|w| (read(&w[1]) - read(&w[0])).abs())
            .fold(0.0, f64::max)
    };
    // Reference: a free span has one tension, so what is laid on both sides of the place where
    // the mouth's film ends differs in stretch, not in tension; the march is good to 1e-6.
    assert!(jumps(|r| r.elongation_pct) > 5.0);
    assert!(jumps(|r| r.tension_n_per_mm.unwrap()) < 1e-5);
    // Film of 1/4 of the stiffness is stretched more at the same tension.
    let most = |f: fn(&tautspan::advice::ProfileRow) -> f64| {
        check.profile.iter().map(f).fold(0.0, f64::max)
    };
    let n = 0.5 * neo_hookean(1.0 + check.peak_pct.unwrap() / 100.0);
    assert_relative_eq!(
        most(|r| r.tension_n_per_mm.unwrap()),
        n,
        max_relative = 1e-4
    );
}

#[test]
fn the_source_of_the_worked_channel_is_its_closed_form() {
    let film = class();
    let check = check(&CHANNEL, Bay::default(), &film, 0.0, Order::DeepestFirst);
    let source = check.source.unwrap();
    // Reference: mechanics, worked value: of half the film (40 mm) 23.8686 are left at the
    // foot; lambda 1.341327 there and up the wall. Printed to six figures.
    let foot = source
        .rows
        .iter()
        .find(|r| r.marks.contains(&SourceMark::Of(Mark::LeftFoot)))
        .unwrap();
    assert_abs_diff_eq!(foot.film_mm, 23.8686, epsilon = 5e-5);
    assert_abs_diff_eq!(foot.panel_mm, 20.0_f64.hypot(25.0), epsilon = 1e-9);
    assert_abs_diff_eq!(foot.ink_pct, 100.0 / 1.341_327, epsilon = 1e-4);
    assert_abs_diff_eq!(source.least_ink_pct, 100.0 / 1.341_327, epsilon = 1e-4);
    // All 80 mm go in, none from the flats; the right bond line takes the whole extra.
    assert_abs_diff_eq!(source.film_in_recess_mm, 80.0, epsilon = 1e-9);
    assert_abs_diff_eq!(source.drawn_in_mm, 0.0, epsilon = 1e-9);
    assert_abs_diff_eq!(source.largest_shift_mm, check.extra_mm, epsilon = 1e-9);
    assert_eq!(source.stretched_mm.len(), 1);
    let csv = source.to_csv();
    assert_eq!(csv.lines().count(), source.rows.len() + 1);
    assert!(csv.starts_with("film_mm,panel_mm,x_mm,y_mm,elongation_pct,shift_mm,ink_pct\n"));
}

#[test]
fn film_fed_in_from_the_loose_side_is_told_from_film_over_the_recess() {
    let recess = exact_recess(&CHANNEL);
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 10.0, 10.0);
    for (loose, from, shift) in [(Side::Right, 0.0, 0.0), (Side::Left, -1.0, 1.0)] {
        let laid = bed.lay(bonds, Order::OneWay { loose }).unwrap();
        let source = film_source(&laid, &bed).unwrap();
        // Reference: by hand; nothing stretches, so with the left side loose all film has
        // moved by the extra, and starts that far left of its bond line.
        let extra = 2.0 * (20.0_f64.hypot(25.0) - 20.0);
        assert_abs_diff_eq!(source.rows[0].film_mm, from * extra, epsilon = 1e-9);
        for r in &source.rows {
            assert_abs_diff_eq!(r.shift_mm, shift * extra, epsilon = 1e-9);
            assert_abs_diff_eq!(r.ink_pct, 100.0, epsilon = 1e-9);
        }
    }
}

proptest! {
    #![proptest_config(cases(256))]

    #[test]
    fn film_is_conserved_and_air_is_what_is_under_the_taut_film(points in any_section(1e-3)) {
        let Ok(recess) = Recess::find(common::section(&points), exact()) else {
            return Ok(());
        };
        let bed = Bed::new(&recess, 2.0, 0.0);
        let most = recess.reach_limit();
        let bonds = Bonds::with_reach(&recess, most.0.min(40.0), most.1.min(40.0));
        for order in [Order::DeepestFirst, Order::EdgeFirst] {
            let Ok(laid) = bed.lay(bonds, order) else { continue };
            let Some(source) = film_source(&laid, &bed) else { continue };
            let peak = laid.peak(&bed).unwrap().lambda;
            if peak > 100.0 {
                continue;
            }
            // The map is monotone, and all of the bridge is on it.
            for w in source.rows.windows(2) {
                prop_assert!(w[0].film_mm <= w[1].film_mm);
                prop_assert!(w[0].panel_mm <= w[1].panel_mm + 1e-9, "{:?}", w);
                prop_assert!(w[0].shift_mm <= w[1].shift_mm + 1e-7, "{:?}", w);
            }
            let (first, last) = laid.film_ends().unwrap();
            prop_assert!(first.abs() < 1e-9 && (last - laid.bridge()).abs() < 1e-7);
            // There and back.
            for k in 0..=20 {
                let film = laid.bridge() * f64::from(k) / 20.0;
                let there = laid.place_of(film.min(last)).unwrap();
                let back = laid.film(there).unwrap();
                prop_assert!((back - film).abs() < 1e-6, "{film} came back as {back}");
            }
            // Air of the bridge: the polygon between the panel and a taut film of its own.
            let air = trapped_air(&laid, &bed, &stages(&laid, &bed), None, Ends::Open, true);
            let (left, right) = laid.bonds();
            let mut chain = vec![bed.line().at(left)];
            let inside = bed.line().points().iter().zip(bed.line().lengths());
            chain.extend(inside.filter(|(_, s)| **s > left && **s < right).map(|(p, _)| *p));
            chain.push(bed.line().at(right));
            let film = wrapped(&chain);
            let under = |c: &[tautspan::Point]| -> f64 {
                c.windows(2).map(|w| 0.5 * (w[0].y + w[1].y) * (w[1].x - w[0].x)).sum()
            };
            let area = under(&film) - under(&chain);
            prop_assert!((air.stages[0].cm3_per_m - area).abs() < 1e-6 * (1.0 + area));
            // It falls from stage to stage, to nothing with a pointed tip.
            for w in air.stages.windows(2) {
                prop_assert!(w[1].cm3_per_m <= w[0].cm3_per_m + 1e-6, "{:?}", air.stages);
            }
            prop_assert!(air.stages.last().unwrap().cm3_per_m < 1e-9);
            // No stage needs more than the largest force on the way.
            let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff()).unwrap();
            for s in &pull.stages {
                prop_assert!(s.1 <= pull.largest.0 && s.1 >= 0.0);
            }
            // Nor any moment between them, the angle taken from the panel just laid.
            for k in 1..20 {
                let moment = laid.moment(&bed, f64::from(k) / 20.0).unwrap();
                let n = 2.0 * neo_hookean(moment.free.first().map_or(1.0, |s| s.lambda));
                for (a, b) in moment.down.iter().copied() {
                    for (s, inside, span, last) in [(a, a + 1e-4, moment.free.first(), true), (b, b - 1e-4, moment.free.last(), false)] {
                        let Some(path) = span.map(|s| &s.path).filter(|_| s > left + 1e-3 && s < right - 1e-3 && b - a > 1e-3) else {
                            continue;
                        };
                        let free = if last { path[path.len() - 2] - path[path.len() - 1] } else { path[1] - path[0] };
                        let ahead = bed.line().at(s) - bed.line().at(inside);
                        let turn = ahead.x * free.y - ahead.y * free.x;
                        let angle = turn.atan2(ahead.dot(&free)) * if last { -1.0 } else { 1.0 };
                        let front = if order == Order::DeepestFirst {
                            2.0 * neo_hookean(laid.lambda(s).unwrap())
                        } else {
                            n
                        };
                        prop_assert!(
                            2.0 * front * (angle.max(0.0) / 2.0).sin() <= pull.largest.0 * (1.0 + 1e-3) + 1e-6,
                            "{order:?} at {s}: {front} {angle} against {:?}", pull.largest
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn the_force_of_deepest_first_mirrors_and_does_not_see_how_facets_are_cut(points in any_section(0.0)) {
        let force = |points: &[tautspan::Point]| {
            let recess = Recess::find(common::section(points), exact()).ok()?;
            let bed = Bed::new(&recess, 2.0, 0.0);
            let laid = bed.lay(Bonds::with_reach(&recess, 10.0, 10.0), Order::DeepestFirst).ok()?;
            let peak = laid.peak(&bed)?.lambda;
            let at = bed.line().at(bed.press()).x;
            let pull = finger_force(&laid, &bed, &stages(&laid, &bed), &stiff())?;
            (recess.valleys() == 1 && peak < 100.0).then_some((pull, at))
        };
        let mirrored: Vec<_> = points.iter().rev().map(|p| tautspan::Point::new(-p.x, p.y)).collect();
        let mut cut = vec![points[0]];
        for w in points.windows(2) {
            cut.push(w[0] + (w[1] - w[0]) * 0.4);
            cut.push(w[1]);
        }
        if let (Some((a, at)), Some((b, mirror)), Some((c, _))) = (force(&points), force(&mirrored), force(&cut)) {
            let near = |p: f64, q: f64| (p - q).abs() < 1e-6 * (1.0 + a.largest.0);
            // Of equal lows the left one is pressed: those do not mirror.
            if (at + mirror).abs() < 1e-6 {
                prop_assert!(near(a.largest.0, b.largest.0), "{} {}", a.largest.0, b.largest.0);
                prop_assert!(near(a.sideways.unwrap(), -b.sideways.unwrap()), "{:?} {:?}", a, b);
            }
            prop_assert!(near(a.largest.0, c.largest.0), "{} {}", a.largest.0, c.largest.0);
        }
    }
}

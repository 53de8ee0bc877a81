//! Film classes side by side: rows, verdicts, costs and their order, by hand and against
//! `recommend` and `check`.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{exact, pointed, said};
use serde_json::Value;
use tautspan::advice::{
    Candidate, Cause, CompareError, Comparison, ComparisonRow, Invented, Notice, Site, Verdict,
};
use tautspan::film::{FilmNumber, LawError, Number};
use tautspan::laydown::OrderName;
use tautspan::outcome::{Ends, WayOut};
use tautspan::say::Voice;
use tautspan::{
    Bay, Bed, DEMO_RECESSES, FilmClass, Handling, Job, Order, Recess, Side, Split, Survey, Told,
    Tool, Units, builtin_films, compare, film_named, read_csv, read_shape, recommend, tool_named,
};

const SHARP: &str = "channel:mouth=80,floor=40,depth=25";

fn candidates(films: &[FilmClass]) -> Vec<Candidate> {
    let one = |film: &FilmClass| Candidate {
        film: film.clone(),
        handling: None,
        unknown: None,
        recess: None,
    };
    films.iter().map(one).collect()
}

fn compared(recess: &Recess, tool: &Tool, films: &[FilmClass], rate: Option<f64>) -> Comparison {
    let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
    let site = Site::new(&bed, tool);
    compare(&site, &candidates(films), rate, &builtin_films()).unwrap()
}

fn sharp() -> Recess {
    Recess::find(read_shape(SHARP, Units::Mm).unwrap(), exact()).unwrap()
}

/// A class with these numbers, made up here.
fn film(name: &str, limit: f64, price: Option<f64>) -> FilmClass {
    let number = |value: f64| Number {
        value,
        source: "made up for this test".to_owned(),
    };
    let mut film = film_named("wrap-cast").unwrap();
    film.name = name.to_owned();
    film.limit_pct = number(limit);
    film.price_per_m2 = price.map(number);
    film.minutes_per_m.clear();
    film.minutes_per_m
        .insert("deepest-first".to_owned(), number(8.0));
    film
}

fn row<'a>(answer: &'a Comparison, film: &str, order: OrderName) -> &'a ComparisonRow {
    let fits = |r: &&ComparisonRow| r.film.name == film && r.order == Some(order);
    answer.rows.iter().find(fits).unwrap()
}

/// Reference: mechanics, worked values of the sharp channel, a pointed tool: middle push
/// 34.1327 %, edges first 51.6538 % at any width; arc less taut 24.031242. With a limit of
/// 20 % the first is over by 14.1327, the second by 31.6538 points.
#[test]
fn the_rows_of_the_sharp_channel() {
    let answer = compared(&sharp(), &pointed(), &[film("a", 20.0, Some(30.0))], None);
    assert_eq!(answer.rows.len(), 4);
    assert_abs_diff_eq!(answer.extra_mm, 24.031_242, epsilon = 1e-6);
    assert_abs_diff_eq!(answer.widest_bridge_mm, 680.0, epsilon = 1e-9);
    let push = row(&answer, "a", OrderName::MiddlePush);
    assert_abs_diff_eq!(push.bridge_mm.unwrap(), 80.0, epsilon = 1e-9);
    assert_abs_diff_eq!(push.peak_pct.unwrap(), 34.1327, epsilon = 1e-4);
    assert_abs_diff_eq!(push.margin_pct.unwrap(), -14.1327, epsilon = 1e-4);
    assert_eq!(push.verdict, Verdict::Over);
    let words = push.verdict_words(Voice::terminal(Units::Mm));
    assert!(words.contains("14.1 points"), "{words}");
    let edges = row(&answer, "a", OrderName::EdgeFirst);
    assert_abs_diff_eq!(edges.peak_pct.unwrap(), 51.6538, epsilon = 1e-4);
    assert_abs_diff_eq!(edges.margin_pct.unwrap(), -31.6538, epsilon = 1e-4);
    // Reference: the example of the crate's front page: 130 mm.
    let deepest = &answer.rows[0];
    assert_eq!(deepest.order, Some(OrderName::DeepestFirst));
    assert_abs_diff_eq!(deepest.bridge_mm.unwrap(), 130.0, epsilon = 1e-9);
    assert!(deepest.recommended && deepest.verdict == Verdict::Does && answer.acceptable);
    let loose = row(&answer, "a", OrderName::OneWay);
    assert_eq!(
        (loose.verdict, loose.bridge_mm),
        (Verdict::OnCondition, None)
    );
    assert_abs_diff_eq!(loose.artwork_shift_mm.unwrap(), 24.031_242, epsilon = 1e-6);
    assert_abs_diff_eq!(loose.margin_pct.unwrap(), 20.0, epsilon = 1e-9);
    assert_eq!(loose.post_heat_min_c, Some(100.0));
}

/// Reference: by hand. The bridge of 130 is the only one that does, so 130 mm straight
/// across, at 30 a square metre 3.90 a metre; with 8 minutes at 45 an hour 6.00 more. One
/// way along the panel, 154.031242 mm, 4.620937.
#[test]
fn the_cost_is_film_width_times_price_and_minutes_times_rate() {
    let films = [film("a", 20.0, Some(30.0))];
    let without = compared(&sharp(), &pointed(), &films, None);
    assert_abs_diff_eq!(without.rows[0].cost_per_m.unwrap(), 3.90, epsilon = 1e-9);
    assert_abs_diff_eq!(without.covered_mm.unwrap(), 154.031_242, epsilon = 1e-6);
    let loose = row(&without, "a", OrderName::OneWay);
    assert_abs_diff_eq!(loose.cost_per_m.unwrap(), 4.620_937, epsilon = 1e-6);
    let with = compared(&sharp(), &pointed(), &films, Some(45.0));
    assert_abs_diff_eq!(with.rows[0].cost_per_m.unwrap(), 9.90, epsilon = 1e-9);
    let formula = with.cost_words(Voice::terminal(Units::Mm));
    assert!(formula.contains("x 45 an hour"), "{formula}");
    // One-way has no minutes in this class: its cost is not known, and not that of the film.
    let loose = row(&with, "a", OrderName::OneWay);
    assert_eq!(loose.cost_per_m, None);
    assert_eq!(
        loose.cost_unknown,
        Some(Told(Notice::CostNotKnown {
            film: "a".to_owned(),
            price: false,
            minutes: Some(OrderName::OneWay),
        }))
    );
    // A row that does not do is charged nothing and owes no reason.
    let push = row(&with, "a", OrderName::MiddlePush);
    assert_eq!((push.cost_per_m, &push.cost_unknown), (None, &None));
}

/// Two classes of different limits are charged for the same panel.
/// Reference: by hand. A limit of 10 % needs the wider bridge, which every row covers.
#[test]
fn every_row_is_charged_for_the_same_panel() {
    let films = [film("a", 20.0, Some(30.0)), film("b", 10.0, Some(30.0))];
    let answer = compared(&sharp(), &pointed(), &films, None);
    let (a, b) = (
        row(&answer, "a", OrderName::DeepestFirst),
        row(&answer, "b", OrderName::DeepestFirst),
    );
    assert!(b.bridge_mm.unwrap() > a.bridge_mm.unwrap() + 50.0);
    assert_abs_diff_eq!(a.film_mm.unwrap(), b.bridge_mm.unwrap(), epsilon = 1e-9);
    assert_abs_diff_eq!(
        a.cost_per_m.unwrap(),
        b.cost_per_m.unwrap(),
        epsilon = 1e-12
    );
    // At the same cost the one with more margin first.
    assert!((a.margin_pct.unwrap() - b.margin_pct.unwrap()).abs() > 1e-6);
    let first = &answer.rows[0];
    let other = if first.film.name == "a" { b } else { a };
    assert!(first.margin_pct.unwrap() >= other.margin_pct.unwrap());
}

#[test]
fn the_cheapest_comes_first_and_a_missing_price_is_said_and_comes_after() {
    let films = [
        film("no-price", 60.0, None),
        film("dear", 60.0, Some(90.0)),
        film("cheap", 20.0, Some(3.0)),
    ];
    let answer = compared(&sharp(), &pointed(), &films, None);
    // The cheap one is within its limit by less than readings need: half a point at least.
    let thin = row(&answer, "cheap", OrderName::DeepestFirst);
    assert!(!thin.sure && thin.margin_pct < thin.margin_needed_pct);
    assert_eq!(answer.rows[0].film.name, "dear");
    let does: Vec<&str> = answer
        .rows
        .iter()
        .filter(|r| r.verdict == Verdict::Does)
        .map(|r| r.film.name.as_str())
        .collect();
    assert_eq!(does, ["dear", "dear", "no-price", "no-price", "cheap"]);
    let unpriced = row(&answer, "no-price", OrderName::MiddlePush);
    assert_eq!(unpriced.cost_per_m, None);
    assert_eq!(
        unpriced.cost_unknown,
        Some(Told(Notice::CostNotKnown {
            film: "no-price".to_owned(),
            price: true,
            minutes: None,
        }))
    );
    // The order of the list makes no difference.
    let turned: Vec<FilmClass> = films.iter().rev().cloned().collect();
    let again = compared(&sharp(), &pointed(), &turned, None);
    assert_eq!(answer.rows, again.rows);
}

/// Reference: limits of 60 and 70 % over the same middle push of 34.1327 %: margins of
/// 25.8673 and 35.8673 points.
#[test]
fn without_any_price_the_most_margin_comes_first() {
    let films = [film("a", 60.0, None), film("b", 70.0, None)];
    let answer = compared(&sharp(), &pointed(), &films, None);
    assert_eq!(answer.rows[0].film.name, "b");
    let push = |name: &str| {
        row(&answer, name, OrderName::MiddlePush)
            .margin_pct
            .unwrap()
    };
    assert_abs_diff_eq!(push("a"), 25.8673, epsilon = 1e-4);
    assert_abs_diff_eq!(push("b"), 35.8673, epsilon = 1e-4);
}

/// Reference: `recommend` and `check` for the same class, tool and section.
#[test]
fn rows_of_the_demo_recesses_agree_with_recommend_and_check() {
    let tool = tool_named("fingertip").unwrap();
    let mut taken = 0;
    for (file, text) in DEMO_RECESSES {
        let section = read_csv(file, text.as_bytes()).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        let answer = compared(&recess, &tool, &builtin_films(), None);
        let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
        for film in builtin_films() {
            let job = Job::new(&bed, &film, &tool);
            let own: Vec<&ComparisonRow> = answer
                .rows
                .iter()
                .filter(|r| r.film.name == film.name)
                .collect();
            let marked: Vec<&&ComparisonRow> = own.iter().filter(|r| r.recommended).collect();
            match recommend(&job, &[]).recommended {
                Some(r) => {
                    assert_eq!(marked.len(), 1, "{file} {}", film.name);
                    assert_eq!(marked[0].order, Some(r.order));
                    assert_abs_diff_eq!(marked[0].bridge_mm.unwrap(), r.bridge_mm, epsilon = 1e-9);
                    assert_abs_diff_eq!(marked[0].peak_pct.unwrap(), r.peak_pct, epsilon = 1e-9);
                    taken += 1;
                }
                None => assert!(marked.is_empty()),
            }
            for row in own.iter().filter(|r| r.bridge_mm.is_some()) {
                let order = row.order.unwrap().order(Side::Right);
                let bonds = bed
                    .bonds_for_bridge(row.bridge_mm.unwrap(), Split::Even)
                    .unwrap();
                let check = job.check(bonds, order, false).unwrap();
                // A width found again from its number: 1e-9 mm of it.
                assert_abs_diff_eq!(
                    row.peak_pct.unwrap_or(-1.0),
                    check.peak_pct.unwrap_or(-1.0),
                    epsilon = 1e-6
                );
                let within = matches!(row.verdict, Verdict::Does | Verdict::SameAsMiddlePush);
                assert_eq!(within, check.within_limit, "{file} {row:?}");
            }
        }
    }
    assert!(taken >= 12, "only {taken} recommendations compared");
}

/// Reference: the definition of each verdict.
#[test]
fn classes_that_cannot_be_judged_have_one_row_that_says_why() {
    let mut barred = film("flat-only", 20.0, Some(1.0));
    barred.recess = false;
    let tool = pointed();
    let recess = sharp();
    let bed = Bed::new(&recess, 0.0, 0.0);
    let site = Site::new(&bed, &tool);
    let mut list = candidates(&[barred, film("a", 20.0, Some(30.0)), film("c", 20.0, None)]);
    let no_table = LawError::NoTable {
        film: "c".to_owned(),
        asked: 60.0,
    };
    list[2].unknown = Some(no_table.clone());
    let answer = compare(&site, &list, None, &[]).unwrap();
    let alone = |name: &str| {
        let rows: Vec<&ComparisonRow> =
            answer.rows.iter().filter(|r| r.film.name == name).collect();
        assert_eq!(rows.len(), 1);
        (
            rows[0].verdict,
            rows[0].verdict_words(Voice::terminal(Units::Mm)),
        )
    };
    assert_eq!(alone("flat-only").0, Verdict::NotForRecesses);
    assert_eq!(
        alone("c"),
        (
            Verdict::NotKnown,
            format!(
                "not known: {}",
                no_table.to_string().lines().next().unwrap()
            )
        )
    );
    assert_eq!(answer.rows[0].film.name, "a");
    // A tip that cannot get in.
    let narrow = read_shape("channel:mouth=40,floor=10,depth=40", Units::Mm).unwrap();
    let narrow = Recess::find(narrow, exact()).unwrap();
    let mut blunt = pointed();
    blunt.tip_radius_mm.value = 40.0;
    let none = compared(&narrow, &blunt, &[film("a", 20.0, Some(30.0))], None);
    assert_eq!(none.rows[0].verdict, Verdict::OutOfReach);
    assert!(!none.acceptable && none.covered_mm.is_none());
    assert_eq!(none.no_width.unwrap().cause, Cause::Tool);
}

/// Reference: 20 and 20 mm of clear panel give at most 120 mm, where the peak is above 20 %
/// (mechanics: 26.6 % at 100, 17.1 % at 150, and the mean at 120 is 20.03 %).
#[test]
fn where_none_does_the_nearest_miss_has_its_options() {
    let survey = Survey {
        clear_left: 20.0,
        clear_right: 20.0,
        ..exact()
    };
    let recess = Recess::find(read_shape(SHARP, Units::Mm).unwrap(), survey).unwrap();
    let films = [film("far", 5.0, Some(1.0)), film("near", 20.0, Some(9.0))];
    let answer = compared(&recess, &pointed(), &films, None);
    assert!(!answer.acceptable);
    assert_eq!(answer.alternatives_for.as_deref(), Some("near"));
    assert_eq!(answer.no_width.unwrap().cause, Cause::PlainRule);
    assert!(answer.alternatives.len() >= 5, "{:?}", answer.alternatives);
    let loose = answer
        .rows
        .iter()
        .filter(|r| r.verdict == Verdict::OnCondition);
    assert_eq!(loose.count(), 2, "one way does on a condition only");
}

/// Reference: the trade's practice: bonded at lip and foot a step is laid through, which is no
/// bridge; both sides placed, it is bridged by one step of a tape at least.
#[test]
fn a_low_step_has_no_middle_push_and_its_bridge_has_a_reach() {
    let step = read_shape("step:drop=12,wall=45", Units::Mm).unwrap();
    let step = Recess::find(step, exact()).unwrap();
    let answer = compared(&step, &pointed(), &[film("a", 20.0, Some(30.0))], None);
    let push = |r: &ComparisonRow| r.order == Some(OrderName::MiddlePush);
    assert!(!answer.rows.iter().any(push));
    let deepest = row(&answer, "a", OrderName::DeepestFirst);
    assert!(deepest.verdict == Verdict::Does && deepest.recommended);
    assert!(deepest.reach_right_mm.unwrap() >= 5.0 - 1e-6);
    let loose = row(&answer, "a", OrderName::OneWay);
    assert_eq!(loose.verdict, Verdict::OnCondition);
}

/// Edges first into a sharp V with a point: no finite peak, said, and last of its class.
#[test]
fn a_peak_without_bound_is_over_and_never_a_number() {
    let vee = common::exact_recess(&[
        (-100.0, 0.0),
        (-30.0, 0.0),
        (0.0, -20.0),
        (30.0, 0.0),
        (100.0, 0.0),
    ]);
    let answer = compared(&vee, &pointed(), &[film("a", 60.0, Some(30.0))], None);
    let edges = row(&answer, "a", OrderName::EdgeFirst);
    assert_eq!(
        (edges.verdict, edges.peak_pct, edges.margin_pct),
        (Verdict::Over, None, None)
    );
    assert!(matches!(edges.why.0, Notice::Over { by_pct: None, .. }));
    assert!(said(&edges.why).contains("without bound"));
    assert_eq!(answer.rows.last(), Some(edges));
}

#[test]
fn lists_and_rates_that_cannot_be_are_refused() {
    let (recess, tool) = (sharp(), pointed());
    let bed = Bed::new(&recess, 0.0, 0.0);
    let site = Site::new(&bed, &tool);
    let twice = candidates(&[film("a", 20.0, None), film("a", 30.0, None)]);
    assert_eq!(compare(&site, &[], None, &[]), Err(CompareError::NoFilm));
    assert_eq!(
        compare(&site, &twice, None, &[]),
        Err(CompareError::Twice("a".to_owned()))
    );
    for rate in [-1.0, f64::NAN, f64::INFINITY] {
        let refused = compare(&site, &twice[..1], Some(rate), &[]);
        assert!(matches!(refused, Err(CompareError::Rate(_))), "{refused:?}");
    }
    // Nothing to pay is a rate.
    assert!(compare(&site, &twice[..1], Some(0.0), &[]).is_ok());
}

/// What a cost rests on is named among the invented numbers only where it counts.
/// An invented number of the class `wrap-cast`.
fn of_wrap_cast(number: FilmNumber) -> Told<Invented> {
    let film = "wrap-cast".to_owned();
    Told(Invented::Film { film, number })
}

#[test]
fn invented_prices_and_minutes_are_named_where_they_count() {
    let films = [
        film_named("wrap-cast").unwrap(),
        film_named("monomeric").unwrap(),
    ];
    let free = compared(&sharp(), &pointed(), &films, None).invented;
    assert!(free.contains(&of_wrap_cast(FilmNumber::Price)), "{free:?}");
    let minutes = |i: &Told<Invented>| {
        matches!(
            &i.0,
            Invented::Film {
                number: FilmNumber::Minutes { .. },
                ..
            }
        )
    };
    assert!(!free.iter().any(minutes), "{free:?}");
    let monomeric = |i: &Told<Invented>| said(i).contains("monomeric");
    assert!(!free.iter().any(monomeric), "{free:?}");
    let paid = compared(&sharp(), &pointed(), &films, Some(40.0)).invented;
    assert!(
        paid.contains(&of_wrap_cast(FilmNumber::Minutes {
            order: "deepest-first".to_owned()
        })),
        "{paid:?}"
    );
}

/// Do two values of JSON say the same, numbers to 1e-12 of their size?
fn alike(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            (a - b).abs() <= 1e-12 * a.abs()
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(a, b))
        }
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(k, v)| b.get(k).is_some_and(|w| alike(v, w)))
        }
        _ => a == b,
    }
}

/// Reference: the data themselves; the reader of JSON may miss the last digit.
#[test]
fn a_comparison_survives_json() {
    let tight = Survey {
        clear_left: 20.0,
        clear_right: 20.0,
        ..exact()
    };
    let tight = Recess::find(sharp().section().clone(), tight).unwrap();
    for recess in [sharp(), tight] {
        let answer = compared(&recess, &pointed(), &builtin_films()[1..], Some(45.0));
        let value = serde_json::to_value(&answer).unwrap();
        let text = serde_json::to_string(&answer).unwrap();
        let back: Comparison = serde_json::from_str(&text).unwrap();
        assert!(alike(&serde_json::to_value(&back).unwrap(), &value));
    }
}

/// Reference: `check` of the same lay-down; and mechanics 2: far side loose cannot be done
/// at a closed end.
#[test]
fn air_and_force_are_those_of_the_lay_down_and_closed_ends_rule_out_one_way() {
    let (recess, mut tool) = (sharp(), pointed());
    tool.pad_mm.value = 10.0;
    let film = film_named("recess-cast").unwrap();
    let bay = |ends| Bay {
        ends: Some(ends),
        ..Bay::default()
    };
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let site = Site::new(&bed, &tool);
    for (ends, air, loose) in [
        (Ends::Open, Some(WayOut::OpenEnd), Verdict::OnCondition),
        (Ends::Closed, Some(WayOut::None), Verdict::Over),
    ] {
        let handling = Handling::new(&film, &bay(ends)).unwrap();
        let list = [Candidate {
            film: film.clone(),
            handling: Some(handling.clone()),
            unknown: None,
            recess: None,
        }];
        let answer = compare(&site, &list, None, &[]).unwrap();
        let push = row(&answer, "recess-cast", OrderName::MiddlePush);
        assert!(push.laid);
        assert_eq!(push.air, air);
        let job = Job {
            handling: Some(&handling),
            ..Job::new(&bed, &film, &tool)
        };
        let bonds = bed.bonds_for_bridge(80.0, Split::Even).unwrap();
        let check = job.check(bonds, Order::MiddlePush, false).unwrap();
        assert_eq!(push.force_n, check.force.unwrap().largest_n);
        assert!(push.force_n.is_some());
        assert_eq!(
            row(&answer, "recess-cast", OrderName::OneWay).verdict,
            loose
        );
    }
}

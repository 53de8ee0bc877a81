//! Inputs that once gave a wrong answer, each with what used to happen.

use crate::common;

use approx::assert_abs_diff_eq;
use tautspan::advice::{Notice, QuestionError};
use tautspan::section::RecessError;
use tautspan::{
    Bed, Bonds, Job, Kind, Order, Point, Question, Recess, Recommendation, Section, Split, Survey,
    Told, Units, builtin_films, film_named, read_csv, read_points, read_shape, recommend,
    tool_named,
};

fn advice(section: Section, film: &str, pad: f64, tip: f64) -> Recommendation {
    let recess = Recess::find(section, Survey::default()).unwrap();
    let bed = Bed::new(&recess, pad, tip);
    let film = film_named(film).unwrap();
    let tool = tool_named("fingertip").unwrap();
    let job = Job::new(&bed, &film, &tool);
    recommend(&job, &builtin_films())
}

/// The last reading of the deep channel off by up to the gauge tolerance used to turn the
/// channel into one 860 mm wide, or into a step.
#[test]
fn one_reading_at_the_end_of_a_survey_decides_nothing() {
    let clean = include_str!("../../profiles/recesses/deep-channel.csv");
    let width = |off: &str| {
        let text: Vec<String> = clean
            .lines()
            .map(|l| {
                if l.starts_with("130,") {
                    format!("130,{off}")
                } else {
                    l.to_owned()
                }
            })
            .collect();
        assert!(text.iter().any(|l| l == &format!("130,{off}")));
        let answer = advice(
            read_csv("deep", text.join("\n").as_bytes()).unwrap(),
            "wrap-cast",
            10.0,
            6.0,
        );
        assert_eq!(answer.section.kind, Kind::Channel);
        answer.unrounded_bridge_mm.unwrap()
    };
    let straight = width("0");
    for off in [
        "0.02", "0.05", "0.07", "0.1", "0.15", "0.2", "0.5", "-0.1", "-0.5",
    ] {
        assert_abs_diff_eq!(width(off), straight, epsilon = 5.0);
    }
}

/// A dense scan with 0.02 mm of noise used to be a step 457 mm wide: its end facets are
/// 0.3 mm long, and their slope was prolonged by the clear length.
#[test]
fn a_noisy_scan_of_a_thousand_points_is_still_a_channel() {
    for seed in 1..6_u64 {
        // Knuth's MMIX generator; the sum of four uniforms is near enough to normal.
        let mut state = seed;
        let mut uniform = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            f64::from(u32::try_from(state >> 32).unwrap()) / f64::from(u32::MAX) - 0.5
        };
        let points: Vec<Point> = (0..1000_u32)
            .map(|i| {
                let x = -150.0 + 300.0 * f64::from(i) / 999.0;
                let y = (-25.0 * (40.0 - x.abs()) / 20.0).clamp(-25.0, 0.0);
                let noise: f64 = (0..4).map(|_| uniform()).sum::<f64>() * 0.02 * 3.0_f64.sqrt();
                Point::new(x, y + noise)
            })
            .collect();
        let answer = advice(
            Section::new("scan", &points).unwrap(),
            "wrap-cast",
            10.0,
            6.0,
        );
        assert_eq!(answer.section.kind, Kind::Channel, "seed {seed}");
        assert_abs_diff_eq!(answer.section.mouth_mm, 80.0, epsilon = 1.5);
        // Without noise: 125 mm.
        assert_abs_diff_eq!(answer.unrounded_bridge_mm.unwrap(), 125.0, epsilon = 10.0);
    }
}

/// One flat 2 mm higher than the other, or rising by one degree: the lip used to be found
/// at the far end of the clear panel, hundreds of millimetres out.
#[test]
fn flats_that_are_not_in_line_keep_their_lips() {
    for text in [
        "-150,0 -40,0 -20,-25 20,-25 40,0.6 150,0.6",
        "-150,0 -40,0 -20,-25 20,-25 40,2 150,2",
        "-150,0 -40,0 -20,-25 20,-25 40,0 150,1.92",
    ] {
        let section = read_points("points", text, Units::Mm).unwrap();
        let recess = Recess::find(section, Survey::default()).unwrap();
        assert_eq!(recess.kind(), Kind::Channel);
        assert_abs_diff_eq!(recess.mouth(), 80.0, epsilon = 0.1);
    }
}

/// At exactly its widest bridge a step used to be laid at another width.
#[test]
fn the_widest_bridge_of_a_step_is_its_widest_bridge() {
    let section = read_shape("step:drop=30,wall=90", Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let bed = Bed::new(&recess, 10.0, 6.0);
    let (left, right) = recess.outer();
    let widest = bed
        .lay(
            Bonds {
                left,
                right: right + recess.reach_limit().1,
            },
            Order::DeepestFirst,
        )
        .unwrap();
    let bonds = bed.bonds_for_bridge(widest.bridge(), Split::Even).unwrap();
    let again = bed.lay(bonds, Order::DeepestFirst).unwrap();
    assert_abs_diff_eq!(again.bridge(), widest.bridge(), epsilon = 1e-9);
}

/// The width used to be rounded down by a millionth, on to the wrong side of the limit.
#[test]
fn a_recommended_width_is_never_over_the_limit() {
    let text = "-50,0 -0.001,0 -0.001,-10 0.001,-10 0.001,0 50,0";
    let answer = advice(
        read_points("slot", text, Units::Mm).unwrap(),
        "wrap-cast",
        0.0,
        0.0,
    );
    let taken = answer.recommended.unwrap();
    assert!(
        taken.peak_pct <= answer.film.limit_pct,
        "{}",
        taken.peak_pct
    );
}

/// A fingertip that cannot get into a slot used to be "within the limit": the film bridged.
#[test]
fn a_tool_that_cannot_get_in_gets_no_width() {
    let section = read_shape("channel:mouth=3,floor=3,depth=3", Units::Mm).unwrap();
    let answer = advice(section, "wrap-cast", 10.0, 6.0);
    assert!(answer.recommended.is_none());
    let reason = &answer.reason.0;
    assert!(
        matches!(reason, Notice::ToolCannotGetIn { .. }),
        "{reason:?}"
    );
    assert!(common::said(reason).contains("cannot get in"));
}

/// A vertical wall that rises to the right used to be cut off by the closing.
#[test]
fn rising_vertical_walls_stay_in_the_closing() {
    let section = read_points("box", "-100,0 -40,0 -40,-25 40,-25 40,0 100,0", Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let bed = Bed::new(&recess, 10.0, 6.0);
    // Reference: two square corners rounded by R save R (2 - π/2) each.
    let saved = 2.0 * 6.0 * (2.0 - std::f64::consts::FRAC_PI_2);
    let bare = recess.panel().end() - recess.panel().start();
    let reached = bed.line().end() - bed.line().start();
    assert_abs_diff_eq!(bare - reached, saved, epsilon = 5e-3);
}

#[test]
fn a_front_that_passes_a_sharp_ridge_closely_is_marched_in_short_steps() {
    // Found by a property: the error of one long step did not see the film turn at a ridge
    // it passed closely, and the peak came out 2.5e-7 too large.
    let points = [
        (-60.0, 0.0),
        (0.0, 0.0),
        (0.5, -32.543),
        (1.5, -9.409),
        (6.72, -27.079),
        (9.602, -7.729),
        (11.645, -32.543),
        (12.812, -32.543),
        (23.7, -16.272),
        (29.817, 0.0),
        (89.817, 0.0),
    ];
    let section = common::drawn(&points);
    let recess = Recess::find(section, common::exact()).unwrap();
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = Bonds::with_reach(&recess, 0.0, 52.818);
    let nearly = tautspan::Conditions {
        lip_friction: 1e-13,
        ..tautspan::Conditions::default()
    };
    let marched = bed.lay_under(bonds, Order::DeepestFirst, &nearly).unwrap();
    let exact = bed.lay(bonds, Order::DeepestFirst).unwrap();
    // Reference: the closed form; 1e-8 is what the march promises.
    let (a, b) = (marched.peak(&bed).unwrap(), exact.peak(&bed).unwrap());
    assert!((a.lambda / b.lambda - 1.0).abs() < 1e-8);
}

/// A gauge tolerance of 10 mm on a recess 24.7 mm deep gave a narrower bridge than one of 8 mm
/// (150 and 210 mm), and "100 %": most shapes that fit were flat panel.
#[test]
fn a_tolerance_of_more_than_a_third_of_the_depth_gets_no_answer() {
    let find = |tolerance: f64| {
        let question = Question {
            gauge_tolerance_mm: Some(tolerance),
            ..Question::default()
        };
        let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
        question.recess(section)
    };
    assert!(find(8.3).is_ok());
    let refused = find(8.4).unwrap_err();
    let coarse = matches!(
        refused,
        QuestionError::Recess {
            error: RecessError::Coarse { .. },
            ..
        }
    );
    assert!(coarse, "{refused}");
}

/// A bond line 16 mm inside the recess was taken without a word.
#[test]
fn a_bond_line_inside_the_recess_is_warned_of() {
    let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let (film, tool) = (
        film_named("wrap-cast").unwrap(),
        tool_named("fingertip").unwrap(),
    );
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    let inside = |left: f64, right: f64| -> Vec<f64> {
        let bonds = Bonds::with_reach(&recess, left, right);
        let check = job.check(bonds, Order::DeepestFirst, false).unwrap();
        let own = |n: &Told<Notice>| match n.0 {
            Notice::BondInside { inside_mm, .. } => Some(inside_mm),
            _ => None,
        };
        check.warnings.iter().filter_map(own).collect()
    };
    assert_eq!(inside(0.0, 30.0).len(), 0);
    assert_eq!(inside(-0.9, -0.9).len(), 0);
    let found = inside(-1.1, -16.0);
    assert_eq!(found.len(), 2);
    approx::assert_abs_diff_eq!(found[1], 16.0, epsilon = 1e-6);
}

//! Misreadings that were seen, each with its exact input and a line on what used to happen.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{drawn, section};
use tautspan::section::Zone;
use tautspan::{
    Bed, Bonds, Job, Kind, Order, Point, Recess, Section, Split, Survey, film_named, read_csv,
    recommend, tool_named,
};

const SHALLOW_STEP: &str = include_str!("../../profiles/recesses/shallow-step.csv");
const CROWNED_ROUND: &str = include_str!("../../profiles/recesses/crowned-round.csv");
const ASYMMETRIC: &str = include_str!("../../profiles/recesses/asymmetric-channel.csv");

fn found(section: Section) -> Recess {
    Recess::find(section, Survey::default()).unwrap()
}

fn bundled(name: &str, text: &str) -> Section {
    read_csv(name, text.as_bytes()).unwrap()
}

/// Abscissas of the lips, mm.
fn lips(recess: &Recess) -> (f64, f64) {
    let (left, right) = recess.outer();
    (recess.panel().at(left).x, recess.panel().at(right).x)
}

/// The width before it is rounded, mm, for a fingertip and a cast film of 20 %.
fn width(recess: &Recess) -> f64 {
    let (film, tool) = (
        film_named("wrap-cast").unwrap(),
        tool_named("fingertip").unwrap(),
    );
    let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    recommend(&job, &[]).unrounded_bridge_mm.unwrap()
}

/// "440 mm wide, middle push" at 6 mm, 150 mm at 5: the flat that is raised was taken for the
/// lip at its far end once it stood out of line by more than a share of the depth.
#[test]
fn a_flat_raised_by_six_millimetres_keeps_its_lip_as_one_raised_by_five() {
    let raised = |by: f64| {
        found(drawn(&[
            (-100.0, 0.0),
            (-40.0, 0.0),
            (-20.0, -25.0),
            (20.0, -25.0),
            (40.0, by),
            (100.0, by),
        ]))
    };
    let mut before: Option<f64> = None;
    for tenths in 0..=120 {
        let recess = raised(0.1 * f64::from(tenths));
        assert_eq!(recess.kind(), Kind::Channel);
        let (left, right) = lips(&recess);
        assert_abs_diff_eq!(left, -40.0, epsilon = 0.01);
        assert_abs_diff_eq!(right, 40.0, epsilon = 0.01);
        let now = width(&recess);
        // The taut film leaves the lower lip and the width climbs, by up to 3.8 mm a tenth
        // where the raised lip starts to carry it; it never jumps.
        assert!(
            before.is_none_or(|before| (now - before).abs() < 5.0),
            "{before:?} to {now} at {tenths}"
        );
        before = Some(now);
    }
}

/// One more point, 0.01 mm off a flat sloped by a degree and written with two decimals, moved
/// the mouth and the width from 80 to 110 mm.
#[test]
fn a_point_a_hundredth_off_a_sloped_flat_moves_neither_mouth_nor_width() {
    let rise = |x: f64, sign: f64| {
        (sign * (x.abs() - 40.0) * 1.0_f64.to_radians().tan() * 100.0).round() / 100.0
    };
    for sign in [1.0, -1.0] {
        let chain = |extra: Option<(f64, f64)>| {
            let mut points = vec![(-100.0, rise(100.0, sign))];
            points.extend(extra.filter(|p| p.0 < 0.0));
            points.extend([(-40.0, 0.0), (-20.0, -25.0), (20.0, -25.0), (40.0, 0.0)]);
            points.extend(extra.filter(|p| p.0 > 0.0));
            points.push((100.0, rise(100.0, sign)));
            found(drawn(&points))
        };
        let plain = chain(None);
        assert_abs_diff_eq!(plain.mouth(), 80.0, epsilon = 0.01);
        for x in [-90.0, -70.0, -55.0, 45.0, 70.0, 85.0] {
            for off in [0.01, -0.01] {
                let moved = chain(Some((x, rise(x, sign) + off)));
                assert_abs_diff_eq!(moved.mouth(), plain.mouth(), epsilon = 0.05);
                assert_abs_diff_eq!(width(&moved), width(&plain), epsilon = 0.5);
            }
        }
    }
}

/// With 60 mm of clear panel on both sides the bundled step was a channel 167.7 mm wide.
#[test]
fn the_bundled_step_is_a_step_whatever_clear_panel_is_stated() {
    let plain = found(bundled("step", SHALLOW_STEP));
    assert_eq!(plain.kind(), Kind::Step);
    for (clear_left, clear_right) in [(60.0, 60.0), (300.0, 60.0), (60.0, 300.0), (20.0, 1000.0)] {
        let survey = Survey {
            clear_left,
            clear_right,
            ..Survey::default()
        };
        let recess = Recess::find(bundled("step", SHALLOW_STEP), survey).unwrap();
        assert_eq!((recess.kind(), recess.lower()), (Kind::Step, plain.lower()));
        assert_abs_diff_eq!(lips(&recess).0, lips(&plain).0, epsilon = 1e-9);
        assert_abs_diff_eq!(lips(&recess).1, lips(&plain).1, epsilon = 1e-9);
        assert_abs_diff_eq!(recess.depth(), plain.depth(), epsilon = 1e-9);
        assert_abs_diff_eq!(recess.mouth(), plain.mouth(), epsilon = 1e-9);
    }
}

/// The peak of each order between the lips, and at bridges a bit wider, percent.
fn peaks(recess: &Recess) -> Vec<Option<f64>> {
    let tool = tool_named("fingertip").unwrap();
    let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
    let lengths = bed.line().lengths();
    for w in lengths.windows(2) {
        assert!(
            w[1] - w[0] > 1e-6,
            "a facet of {} mm at {}",
            w[1] - w[0],
            w[0]
        );
    }
    let narrowest = bed.taut(bed.lips().0, bed.lips().1);
    let mut all = Vec::new();
    for order in [Order::DeepestFirst, Order::MiddlePush, Order::EdgeFirst] {
        let mut bonds = vec![Bonds::with_reach(recess, 0.0, 0.0)];
        let wider = [0.0, 4.0, 9.0, 30.0];
        bonds.extend(
            wider
                .iter()
                .filter_map(|by| bed.bonds_for_bridge(narrowest + by, Split::Even).ok()),
        );
        for bonds in bonds {
            let laid = bed.lay(bonds, order).ok();
            let peak = laid.and_then(|laid| Some(laid.peak(&bed)?.lambda));
            all.push(peak.map(|lambda| 100.0 * (lambda - 1.0)));
        }
    }
    all
}

/// With 240 added to every x the rounded channel went from 13.5 to 47.8 % (middle push) and
/// from 61.3 to 65 mm: a bond line an ulp beyond its vertex left a facet of 1e-14 mm.
#[test]
fn a_section_moved_by_whole_millimetres_is_stretched_the_same() {
    let clean = bundled("round", CROWNED_ROUND);
    let before = found(clean.clone());
    let (peaks_before, width_before) = (peaks(&before), width(&before));
    for dx in [
        240.0, 1.0, -1.0, 17.0, -63.0, 128.0, 511.0, -777.0, 1023.0, 3000.0,
    ] {
        let points: Vec<Point> = clean
            .line()
            .points()
            .iter()
            .map(|p| Point::new(p.x + dx, p.y))
            .collect();
        let after = found(section(&points));
        assert_abs_diff_eq!(lips(&after).0 - dx, lips(&before).0, epsilon = 1e-6);
        for (a, b) in peaks_before.iter().zip(peaks(&after)) {
            match (a, b) {
                (Some(a), Some(b)) => assert_abs_diff_eq!(*a, b, epsilon = 1e-4),
                (a, b) => assert_eq!(*a, b, "x + {dx}"),
            }
        }
        assert_abs_diff_eq!(width(&after), width_before, epsilon = 1e-3);
    }
}

/// Depth, press and peak at the same bond lines changed with the clear panel stated.
#[test]
fn depth_press_and_peak_at_the_same_bond_lines_do_not_change_with_the_clear_panel() {
    let tool = tool_named("fingertip").unwrap();
    for (name, text) in [("asymmetric", ASYMMETRIC), ("round", CROWNED_ROUND)] {
        let read = |clear: f64| {
            let survey = Survey {
                clear_left: clear,
                clear_right: clear,
                ..Survey::default()
            };
            let recess = Recess::find(bundled(name, text), survey).unwrap();
            let (left, right) = lips(&recess);
            let bonds = Bonds::at_x(&recess, left - 12.0, right + 15.0).unwrap();
            let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
            let peak = bed
                .lay(bonds, Order::DeepestFirst)
                .unwrap()
                .peak(&bed)
                .unwrap();
            (
                recess.depth(),
                recess.panel().at(recess.press()).x,
                peak.lambda,
            )
        };
        let (depth, press, peak) = read(300.0);
        for clear in [30.0, 60.0, 150.0, 1000.0] {
            let (d, p, k) = read(clear);
            assert_abs_diff_eq!(d, depth, epsilon = 1e-9);
            assert_abs_diff_eq!(p, press, epsilon = 1e-6);
            assert_abs_diff_eq!(k, peak, epsilon = 1e-9);
        }
    }
}

/// One end of a survey raised by 0.001 mm turned 117.2 into 130.2 mm.
#[test]
fn an_end_of_the_survey_raised_by_a_micrometre_moves_no_width() {
    let bent = |left: f64, right: f64| {
        width(&found(drawn(&[
            (-100.0, left),
            (-40.0, 0.0),
            (-20.0, -25.0),
            (20.0, -25.0),
            (40.0, 0.0),
            (100.0, right),
        ])))
    };
    let level = bent(0.0, 0.0);
    for by in [0.001, -0.001, 0.01, -0.01] {
        assert_abs_diff_eq!(bent(by, 0.0), level, epsilon = 0.5);
        assert_abs_diff_eq!(bent(0.0, by), level, epsilon = 0.5);
    }
    for (name, text) in [("asymmetric", ASYMMETRIC), ("round", CROWNED_ROUND)] {
        let clean = bundled(name, text);
        let before = width(&found(clean.clone()));
        for end in [0, clean.line().points().len() - 1] {
            for by in [0.001, -0.001] {
                let mut points = clean.line().points().to_vec();
                points[end].y += by;
                assert_abs_diff_eq!(width(&found(section(&points))), before, epsilon = 0.5);
            }
        }
    }
}

/// A channel with a rib on its floor, off the middle, and the same mirrored: the press was
/// taken on the left of two floors equally deep, and 84 % became 111 %.
#[test]
fn a_ribbed_floor_mirrored_is_pressed_and_stretched_mirrored() {
    let ribbed = [
        (-100.0, 0.0),
        (-40.0, 0.0),
        (-28.0, -25.0),
        (-10.0, -25.0),
        (-7.0, -17.0),
        (-1.0, -17.0),
        (2.0, -25.0),
        (30.0, -25.0),
        (40.0, 0.0),
        (100.0, 0.0),
    ];
    let mirrored: Vec<(f64, f64)> = ribbed.iter().rev().map(|&(x, y)| (-x, y)).collect();
    let (a, b) = (found(drawn(&ribbed)), found(drawn(&mirrored)));
    assert_abs_diff_eq!(lips(&a).0, -40.0, epsilon = 0.01);
    assert_abs_diff_eq!(lips(&a).0, -lips(&b).1, epsilon = 1e-6);
    let press = |recess: &Recess| recess.panel().at(recess.press()).x;
    assert_abs_diff_eq!(press(&a), -press(&b), epsilon = 1e-6);
    assert_abs_diff_eq!(a.depth(), b.depth(), epsilon = 1e-9);
    for (a, b) in peaks(&a).into_iter().zip(peaks(&b)) {
        assert_abs_diff_eq!(a.unwrap(), b.unwrap(), epsilon = 1e-4);
    }
}

/// The terminal's list of landmarks and the card's zones named one place differently.
#[test]
fn a_lip_is_in_the_zone_of_the_lip_and_a_foot_in_that_of_the_foot() {
    for (name, text) in [
        ("asymmetric", ASYMMETRIC),
        ("round", CROWNED_ROUND),
        ("step", SHALLOW_STEP),
    ] {
        let recess = found(bundled(name, text));
        for place in recess.landmarks() {
            let zone = recess.zone(place.s_mm);
            if place.name.is_foot() {
                assert_eq!(zone, Zone::Foot, "{name}: {place:?}");
            } else if place.name.is_corner() {
                assert_eq!(zone, Zone::Lip, "{name}: {place:?}");
            }
        }
    }
}

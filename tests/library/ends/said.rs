//! How an end is said, and the dimensions it comes to.

use super::CHANNEL;
use approx::assert_abs_diff_eq;
use tautspan::Units;
use tautspan::ends::{EndError, EndKind, EndText, Trapezoid, read_end};

fn read(text: &str) -> EndText {
    read_end("end_left", text, Units::Mm).expect("an end")
}

/// What each fault of a refused text found and expected, as a terminal hears it.
fn refused(text: &str) -> String {
    let refused = read_end("end_left", text, Units::Mm).expect_err("no end");
    assert!(!refused.faults.is_empty());
    assert_eq!(refused.name, "end_left");
    refused.to_string()
}

#[test]
fn the_ends_of_the_plan_are_read() {
    // Reference: the grammar's own examples.
    assert_eq!(read("open"), EndText::default());
    let rounded = read("rounded:radius=40,run=20,foot-radius=20");
    assert_eq!(rounded.kind, EndKind::Rounded);
    assert_eq!(rounded.radius, Some(40.0));
    assert_eq!(rounded.run, Some(20.0));
    assert_eq!(rounded.foot_radius, Some(20.0));
    let square = read("square:corner=25,run=20,foot-radius=5");
    assert_eq!((square.kind, square.radius), (EndKind::Square, Some(25.0)));
    let ramp = read("ramp:run=80");
    assert_eq!(
        (ramp.kind, ramp.run, ramp.radius),
        (EndKind::Ramp, Some(80.0), None)
    );
    // Upright ends are said with a run of nothing, names and keys in any case and with blanks.
    assert_eq!(read("rounded:run=0").run, Some(0.0));
    let loud = read(" Rounded : Radius=40, foot_radius=20");
    assert_eq!((loud.radius, loud.foot_radius), (Some(40.0), Some(20.0)));
}

#[test]
fn lengths_of_an_end_may_carry_their_unit_or_be_in_ones_own() {
    assert_eq!(read("rounded:radius=4cm,run=20 mm").radius, Some(40.0));
    let inches = read_end("end_left", "rounded:radius=2,run=1/2in", Units::Inch);
    let inches = inches.expect("an end");
    // Reference: an inch is 25.4 mm.
    assert_abs_diff_eq!(inches.radius.unwrap(), 50.8, epsilon = 1e-12);
    assert_abs_diff_eq!(inches.run.unwrap(), 12.7, epsilon = 1e-12);
}

#[test]
fn what_makes_no_end_is_refused_with_each_fault() {
    for (text, names) in [
        ("oval:radius=40", &["oval", "rounded"][..]),
        ("open:radius=40", &["radius"]),
        ("rounded:corner=40", &["corner", "foot-radius"]),
        ("square:radius=40", &["radius", "corner"]),
        ("rounded:radius=40,radius=30", &["radius", "twice"]),
        ("rounded:radius=-1", &["radius", "above zero"]),
        ("rounded:radius=0", &["radius", "above zero"]),
        ("ramp:run=-5", &["run", "zero or more"]),
        ("rounded:radius=wide", &["wide"]),
        ("rounded:40", &["key=value"]),
        (
            "rounded:radius=-1,run=-2,depth=3",
            &["radius", "run", "depth"],
        ),
        ("", &["rounded"]),
    ] {
        let said = refused(text);
        for name in names {
            assert!(said.contains(name), "{text}: {said}");
        }
    }
}

#[test]
fn what_nobody_said_of_an_end_is_taken_from_the_section() {
    // Reference: by hand from the plan: half the mouth, the side wall's run, the lip's radius
    // less the run; the press line ends at the centre of the lip's arc, 40 - 20 short of the foot.
    let size = |kind| {
        let said = EndText {
            kind,
            ..EndText::default()
        };
        said.size(&CHANNEL, 10.0, None).expect("an end")
    };
    let rounded = size(EndKind::Rounded);
    assert_eq!(
        (
            rounded.radius,
            rounded.run,
            rounded.foot_radius,
            rounded.press_stop
        ),
        (40.0, 20.0, 20.0, 20.0)
    );
    // Corners of half that, and a foot of 5 at least: 20 - 20.
    let square = size(EndKind::Square);
    assert_eq!((square.radius, square.foot_radius), (20.0, 5.0));
    // A ramp comes up over the whole floor.
    assert_abs_diff_eq!(size(EndKind::Ramp).foot_radius, 20.0);
}

#[test]
fn a_press_line_keeps_half_its_pad_from_the_foot_unless_told() {
    let said = EndText {
        kind: EndKind::Square,
        ..EndText::default()
    };
    assert_abs_diff_eq!(said.size(&CHANNEL, 30.0, None).unwrap().press_stop, 15.0);
    assert_abs_diff_eq!(
        said.size(&CHANNEL, 30.0, Some(7.0)).unwrap().press_stop,
        7.0
    );
}

#[test]
fn dimensions_that_make_no_end_name_their_key() {
    let rounded = EndText {
        kind: EndKind::Rounded,
        ..EndText::default()
    };
    // Reference: half the mouth is 40, half the floor 20, a hundredth of the mouth 0.8, twenty
    // mouths 1600; an upright end's run is taken as the least there is.
    for (text, stop, key, least, most) in [
        (
            EndText {
                radius: Some(41.0),
                ..rounded
            },
            None,
            "radius",
            0.8,
            40.0,
        ),
        (
            EndText {
                radius: Some(0.5),
                ..rounded
            },
            None,
            "radius",
            0.8,
            40.0,
        ),
        (
            EndText {
                run: Some(1601.0),
                ..rounded
            },
            None,
            "run",
            0.8,
            1600.0,
        ),
        (
            EndText {
                foot_radius: Some(21.0),
                ..rounded
            },
            None,
            "foot-radius",
            0.4,
            20.0,
        ),
        (
            EndText {
                run: Some(f64::NAN),
                ..rounded
            },
            Some(f64::NAN),
            "press_stop_mm",
            0.8,
            1600.0,
        ),
    ] {
        match text.size(&CHANNEL, 10.0, stop) {
            Err(EndError::Size {
                key: found,
                least: low,
                most: high,
                ..
            }) => {
                assert_eq!(found, key);
                assert_abs_diff_eq!(low, least, epsilon = 1e-9);
                assert_abs_diff_eq!(high, most, epsilon = 1e-9);
            }
            other => panic!("{key}: {other:?}"),
        }
    }
    let upright = EndText {
        run: Some(0.0),
        ..rounded
    };
    assert_abs_diff_eq!(upright.size(&CHANNEL, 10.0, None).unwrap().run, 0.8);
}

fn long(t: Trapezoid) -> f64 {
    2.0 * t.run().hypot(t.depth) + t.floor
}

#[test]
fn the_trapezoid_that_fits_a_trapezoid_is_itself() {
    for floor in [17.0, 20.0, 40.0, 79.0] {
        let section = Trapezoid { floor, ..CHANNEL };
        let fitted = Trapezoid::fitting(80.0, 25.0, long(section));
        // Walls near upright leave the length flat in the floor: 1e-9 of length is 1e-8 of floor.
        assert_abs_diff_eq!(fitted.floor, floor, epsilon = 1e-7);
        assert_eq!((fitted.mouth, fitted.depth), (80.0, 25.0));
    }
}

#[test]
fn the_trapezoid_that_fits_keeps_mouth_and_length_of_panel() {
    // A half cosine 80 wide, 20 deep; a half circle; walls that run back under the lips.
    let cosine: f64 = (0..1000)
        .map(|i| {
            let y = |t: f64| -10.0 * (1.0 - (std::f64::consts::TAU * t).cos());
            let (a, b) = (f64::from(i) / 1000.0, f64::from(i + 1) / 1000.0);
            (80.0 * (b - a)).hypot(y(b) - y(a))
        })
        .sum();
    for (depth, arc) in [
        (20.0, cosine),
        (40.0, std::f64::consts::PI * 40.0),
        (20.0, 130.0),
    ] {
        let fitted = Trapezoid::fitting(80.0, depth, arc);
        assert_abs_diff_eq!(fitted.mouth, 80.0);
        assert_abs_diff_eq!(long(fitted), arc, epsilon = 1e-6);
        // Only where upright walls fall short is it deeper: 80 + 2 * 20 < 130.
        let upright = 80.0 + 2.0 * depth;
        assert_eq!(fitted.depth > depth, arc > upright, "{fitted:?}");
    }
}

#[test]
fn the_trapezoid_that_fits_a_v_keeps_its_panel_and_a_floor_to_fan_round() {
    // Reference: a V's panel, 2 hypot(40, 25); with a floor of a fifth of the mouth the walls have
    // the rest of it, over a run of 32.
    let panel = 2.0 * 40.0_f64.hypot(25.0);
    let fitted = Trapezoid::fitting(80.0, 25.0, panel);
    assert_abs_diff_eq!(fitted.floor, 16.0, epsilon = 1e-9);
    assert_abs_diff_eq!(long(fitted), panel, epsilon = 1e-9);
    let depth = ((panel - 16.0) / 2.0).powi(2) - 32.0_f64.powi(2);
    assert_abs_diff_eq!(fitted.depth, depth.sqrt(), epsilon = 1e-9);
}

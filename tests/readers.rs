//! Readers of sections: any input gives a section or a refusal that says where and why.

use proptest::prelude::*;
use tautspan::{
    Point, Section, SectionError, Units, read_comb, read_csv, read_points, read_shape, read_tape,
    write_csv,
};

/// A refusal names at least one fault, and its words are never empty.
fn refusal_is_complete(e: &SectionError) {
    assert!(!e.faults.is_empty());
    for fault in &e.faults {
        assert!(!fault.found.is_empty() && !fault.expected.is_empty());
    }
    assert!(e.to_string().contains("expected"));
}

/// A section keeps its promises: three points, finite, x never running back.
fn section_is_valid(section: &Section) {
    let points = section.line().points();
    assert!(points.len() >= 3);
    assert!(points.iter().all(|p| p.x.is_finite() && p.y.is_finite()));
    assert!(points.windows(2).all(|w| w[1].x >= w[0].x));
}

/// One or the other.
fn judged(result: Result<Section, SectionError>) {
    match result {
        Ok(section) => section_is_valid(&section),
        Err(e) => refusal_is_complete(&e),
    }
}

/// Pieces of which nearly right files and texts are made.
fn pieces() -> impl Strategy<Value = String> {
    let piece = prop_oneof![
        4 => "[-+]?[0-9]{1,3}(\\.[0-9]{1,3})?",
        2 => prop::sample::select(vec![
            "mouth", "depth", "floor", "tape", "left", "right", "left-wall", "right-wall",
            "lip-radius", "foot-radius", "flat", "drop", "run", "wall", "rise", "bottom", "crown",
            "channel:", "groove:", "step:", "round:", "pitch", "x_mm,y_mm\n", "x_in,y_in\n",
        ]).prop_map(str::to_owned),
        6 => prop::sample::select(vec![",", ",", "=", "=", ":", ";", " ", "\n", "\r\n"]).prop_map(str::to_owned),
        1 => prop::sample::select(vec![
            "#", "\"", "\u{feff}", "1O", "1e999", "nan", "-inf", "1e308", "1e-308", "−1", "\0", "é",
        ]).prop_map(str::to_owned),
    ];
    prop::collection::vec(piece, 0..60).prop_map(|parts| parts.concat())
}

/// `key=value` lists of at least `least` of the keys, well formed, with numbers from tiny to huge.
fn keyed(keys: &'static [&'static str], least: usize) -> impl Strategy<Value = String> {
    let value = prop_oneof![
        6 => 0.0..120.0_f64,
        1 => -5.0..5.0_f64,
        1 => prop::sample::select(vec![0.0, 1e-12, 1e-3, 90.0, 1e5, 1e-308, 1e300]),
    ];
    prop::collection::vec(value, keys.len()).prop_flat_map(move |values| {
        let pairs: Vec<String> = keys
            .iter()
            .zip(values)
            .map(|(k, v)| format!("{k}={v}"))
            .collect();
        prop::sample::subsequence(pairs.clone(), least..=pairs.len())
            .prop_map(|pairs| pairs.join(","))
    })
}

/// Chains that are sections: x grows or stands, steps from tiny to large.
fn chains() -> impl Strategy<Value = Vec<Point>> {
    let step = prop_oneof![0.0..50.0_f64, 1e-6..1e-3_f64, Just(0.0)];
    prop::collection::vec((step, -30.0..30.0_f64), 3..60).prop_map(|steps| {
        let mut x = -1234.567;
        steps
            .into_iter()
            .map(|(dx, y)| {
                x += dx;
                Point::new(x, y)
            })
            .collect()
    })
}

proptest! {
    #[test]
    fn any_bytes_give_a_section_or_a_refusal(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        judged(read_csv("any.csv", &bytes));
        let mut headed = b"x_mm,y_mm\n".to_vec();
        headed.extend(&bytes);
        judged(read_csv("any.csv", &headed));
    }

    #[test]
    fn nearly_right_text_gives_a_section_or_a_refusal(text in pieces()) {
        judged(read_csv("any.csv", text.as_bytes()));
        judged(read_csv("any.csv", format!("x_cm,y_cm\n{text}").as_bytes()));
        for units in [Units::Mm, Units::Inch] {
            judged(read_points("any", &text, units));
            judged(read_comb("any", &text, units));
            judged(read_comb("any", &format!("pitch=5:{text}"), units));
            judged(read_shape(&text, units));
            if let Err(e) = read_tape(&text, units) {
                refusal_is_complete(&e);
            }
        }
    }

    #[test]
    fn any_text_gives_a_section_or_a_refusal(text in "\\PC{0,60}") {
        judged(read_points("any", &text, Units::Mm));
        judged(read_comb("any", &text, Units::Mm));
        judged(read_shape(&text, Units::Mm));
        if let Err(e) = read_tape(&text, Units::Mm) {
            refusal_is_complete(&e);
        }
    }

    #[test]
    fn any_dimensions_give_a_shape_or_a_refusal(
        channel in keyed(&["mouth", "depth", "floor", "left-wall", "right-wall", "lip-radius", "foot-radius", "flat"], 3),
        groove in keyed(&["mouth", "depth", "bottom", "lip-radius", "foot-radius", "flat"], 2),
        step in keyed(&["drop", "run", "wall", "lip-radius", "foot-radius", "flat"], 2),
        round in keyed(&["mouth", "depth", "lip-radius", "flat", "crown"], 2),
    ) {
        for text in [format!("channel:{channel}"), format!("groove:{groove}"), format!("step:{step}"), format!("round:{round}")] {
            judged(read_shape(&text, Units::Mm));
        }
    }

    #[test]
    fn any_tape_readings_give_channels_of_that_tape_or_a_refusal(
        mouth in 5.0..200.0_f64,
        steepness in 0.0..1.0_f64,
        depth in 1.0..60.0_f64,
        further in keyed(&["left", "right", "floor", "lip-radius", "foot-radius"], 1),
        with_further in any::<bool>(),
    ) {
        let (least, most) = (2.0 * (mouth / 2.0).hypot(depth), mouth + 2.0 * depth);
        let tape = least + steepness * (most - least);
        let mut text = format!("mouth={mouth},depth={depth},tape={tape}");
        if with_further {
            text = format!("{text},{further}");
        }
        match read_tape(&text, Units::Mm) {
            Ok(family) => {
                prop_assert!(family.nominal() < family.members().len());
                for member in family.members() {
                    section_is_valid(&member.section);
                    let line = member.section.line();
                    let (first, last) = (line.points()[0], line.points()[line.points().len() - 1]);
                    // Arc less taut is the extra: flats are level, so the taut film is the span.
                    let extra = line.end() - line.start() - (last.x - first.x);
                    prop_assert!((extra - family.extra()).abs() < 1e-8, "{} {}", extra, member.words);
                }
            }
            Err(e) => {
                prop_assert!(with_further, "{e}");
                refusal_is_complete(&e);
            }
        }
    }

    #[test]
    fn a_section_written_as_csv_comes_back_to_the_last_bit(points in chains()) {
        if let Ok(section) = Section::new("chain", &points) {
            let back = read_csv("chain", write_csv(&section).as_bytes()).unwrap();
            prop_assert_eq!(section.line(), back.line());
        }
    }
}

#[test]
fn a_refusal_lists_every_fault_with_its_line() {
    let text = b"# door\nx_mm,y_mm\n0,0\n10,1O\n20\n30,nan\n40,0\n";
    let e = read_csv("door.csv", text).unwrap_err();
    assert_eq!(
        e.to_string(),
        "door.csv:4: found `y_mm` is `1O`, expected a number; the letter O in place of a zero?\n\
         door.csv:5: found 1 column, expected 2 as in the header\n\
         door.csv:6: found `y_mm` is `nan`, expected a finite number"
    );
}

#[test]
fn the_recesses_of_the_demo_vehicle_are_sections() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("profiles/recesses");
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let bytes = std::fs::read(&path).unwrap();
        let section = read_csv(&name, &bytes).unwrap();
        assert!(
            section.warnings().is_empty(),
            "{name}: {:?}",
            section.warnings()
        );
        assert!((20..=80).contains(&section.line().points().len()), "{name}");
        assert!(
            String::from_utf8(bytes).unwrap().contains("invented"),
            "{name}"
        );
        names.push(name);
    }
    names.sort();
    assert_eq!(
        names,
        [
            "asymmetric-channel.csv",
            "crowned-round.csv",
            "deep-channel.csv",
            "shallow-step.csv",
            "v-groove.csv"
        ]
    );
}

//! Readers of sections: any input gives a section or a refusal that says where and why.

use crate::common;

use proptest::prelude::*;
use tautspan::fault::Refused;
use tautspan::section::{Typing, read_comb, read_csv_as, read_length, write_csv};
use tautspan::{Point, Section, Units, read_csv, read_points, read_shape, read_tape};

/// A refusal names at least one fault, and its words are never empty.
fn refusal_is_complete(e: &Refused) {
    assert!(!e.faults.is_empty());
    for fault in &e.faults {
        assert!(!fault.found.to_string().is_empty() && !fault.expected.to_string().is_empty());
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
fn judged(result: Result<Section, Refused>) {
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

/// Readings as a person has them: whole numbers and up to three decimals, as typed with a
/// point, x rising in steps of at least 1.
fn readings() -> impl Strategy<Value = Vec<(String, String)>> {
    let decimals = || prop_oneof![2 => Just(0_usize), 3 => Just(1), 2 => Just(2), 1 => Just(3)];
    let reading = (1.0..60.0_f64, decimals(), -60.0..4.0_f64, decimals());
    prop::collection::vec(reading, 3..12).prop_map(|all| {
        let mut x = -150.0_f64;
        let rows = all.into_iter().map(|(dx, nx, y, ny)| {
            x += dx.max(1.01);
            let y = format!("{y:.ny$}");
            let zero = y
                .trim_start_matches('-')
                .bytes()
                .all(|b| matches!(b, b'0' | b'.'));
            let y = if zero { "0".to_owned() } else { y };
            (format!("{x:.nx$}"), y)
        });
        let tidy = |t: String| if t == "-0" { "0".to_owned() } else { t };
        rows.map(|(x, y)| (tidy(x), tidy(y))).collect()
    })
}

/// One way to type points or a file.
#[derive(Debug, Clone, Copy)]
struct Way {
    header: &'static str,
    within: &'static str,
    between: &'static str,
    comma: bool,
    swapped: bool,
}

const fn way(
    header: &'static str,
    within: &'static str,
    between: &'static str,
    comma: bool,
) -> Way {
    Way {
        header,
        within,
        between,
        comma,
        swapped: false,
    }
}

const fn swapped(header: &'static str, within: &'static str, comma: bool) -> Way {
    Way {
        header,
        within,
        between: "\n",
        comma,
        swapped: true,
    }
}

/// Every way that is accepted; no header: typed points.
const WAYS: [Way; 21] = [
    way("", ",", " ", false),
    way("", ",", "; ", false),
    way("", ", ", "; ", false),
    way("", ", ", "\n", false),
    way("", ";", " ", false),
    way("", ";", " ", true),
    way("", "; ", "\n", true),
    way("", " ", "; ", false),
    way("", " ", ";", true),
    way("", "\t", "\n", false),
    way("x_mm,y_mm\n", ",", "\n", false),
    way("X (mm), Y (mm)\r\n", ", ", "\r\n", false),
    way("\u{feff}\"x [mm]\";\"y [mm]\"\n", ";", "\n", true),
    way("x_mm;y_mm\n", ";", "\n", false),
    way("x/mm\ty/mm\n", "\t", "\n", true),
    way("x_mm\ty_mm\n", "\t", "\n", false),
    way("# scan\nX (mm)   Y (mm)\n", "    ", "\n", true),
    way("x_mm y_mm\n", " ", "\n", false),
    swapped("y_mm,x_mm\n", ",", false),
    swapped("Y (mm);X (mm)\n", ";", true),
    swapped("y_mm x_mm\n", " ", true),
];

impl Way {
    fn text(self, rows: &[(String, String)]) -> String {
        let mark = |t: &str| {
            if self.comma {
                t.replace('.', ",")
            } else {
                t.to_owned()
            }
        };
        let rows = rows.iter().map(|(x, y)| match self.swapped {
            false => format!("{}{}{}", mark(x), self.within, mark(y)),
            true => format!("{}{}{}", mark(y), self.within, mark(x)),
        });
        let rows: Vec<String> = rows.collect();
        format!("{}{}", self.header, rows.join(self.between))
    }

    fn read(self, text: &str) -> Result<Section, Refused> {
        if self.header.is_empty() {
            read_points("typed", text, Units::Mm)
        } else {
            read_csv("typed", text.as_bytes())
        }
    }
}

/// Is this a refusal for want of knowing what a mark means, and for no other reason?
fn asked_back(e: &Refused) -> bool {
    let text = e.to_string();
    e.faults.len() == 1 && (text.contains("for the thousands") || text.contains("may be"))
}

/// One slip of a finger in a text: a mark left out, doubled or taken for another, a letter
/// for a digit; and did it hit a mark between two digits?
///
/// A decimal comma left out types another number, and in a bare list of heights, where
/// nothing says how many there are, so does any mark between two digits that is left out or
/// taken for the other one (`-11,4` and `-11;4`): no reader can see that.
fn slipped(text: &str, at: usize, kind: usize) -> Option<(String, bool)> {
    let chars: Vec<char> = text.chars().collect();
    let wanted: &[char] = match kind {
        0 | 1 => &[',', ';'],
        2 => &['0'],
        3 => &['-'],
        4 => &[' ', '\t'],
        5 => &['.'],
        _ => &['1'],
    };
    let places: Vec<usize> = (0..chars.len())
        .filter(|&i| wanted.contains(&chars[i]))
        .collect();
    let i = *places.get(at % places.len().max(1))?;
    let instead: &str = match (kind, chars[i]) {
        (0 | 4, _) => "",
        (1, ',') => ";",
        (1, _) => ",",
        (2, _) => "O",
        (3, _) => "--",
        (5, _) => ",",
        _ => "l",
    };
    let mut slipped: String = chars[..i].iter().collect();
    slipped.push_str(instead);
    slipped.extend(&chars[i + 1..]);
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let between = i > 0 && digit(i - 1) && digit(i + 1);
    Some((slipped, between && matches!(kind, 0 | 1 | 4 | 5)))
}

proptest! {
    #![proptest_config(common::cases(512))]

    #[test]
    fn a_section_is_read_alike_however_it_is_typed(rows in readings()) {
        let plain = read_csv("typed", WAYS[10].text(&rows).as_bytes()).unwrap();
        for way in WAYS {
            match way.read(&way.text(&rows)) {
                // The same to the last bit: points, last digit, notes.
                Ok(section) => prop_assert_eq!(&section, &plain, "{:?}", way),
                Err(e) => prop_assert!(way.comma && asked_back(&e), "{way:?}: {e}"),
            }
        }
    }

    #[test]
    fn a_slip_of_the_finger_is_refused_or_does_no_harm(
        rows in readings(),
        at in 0..1000_usize,
        kind in 0..7_usize,
    ) {
        let plain = read_csv("typed", WAYS[10].text(&rows).as_bytes()).unwrap();
        for way in WAYS {
            let text = way.text(&rows);
            let head = way.header.len();
            let Some((body, between)) = slipped(&text[head..], at, kind) else {
                continue;
            };
            if between && way.comma && kind == 0 {
                continue;
            }
            let text = format!("{}{body}", way.header);
            match way.read(&text) {
                Ok(section) => prop_assert_eq!(section.line(), plain.line(), "{}", text),
                Err(e) => refusal_is_complete(&e),
            }
        }
    }

    #[test]
    fn a_comb_is_read_alike_however_it_is_typed_and_slips_do_no_harm(
        rows in readings(),
        at in 0..1000_usize,
        kind in 0..7_usize,
    ) {
        let heights: Vec<&str> = rows.iter().map(|(_, y)| y.as_str()).collect();
        let plain = read_comb("comb", &format!("pitch=2.5: {}", heights.join(",")), Units::Mm).unwrap();
        for (pitch, separator, comma) in [
            ("2.5", ", ", false), ("2.5", ";", false), ("2.5", " ", false),
            ("2,5", ";", true), ("2,5", "; ", true), ("2,5", " ", true),
        ] {
            let body = heights.join(separator);
            let body = if comma { body.replace('.', ",") } else { body };
            let text = format!("pitch={pitch}: {body}");
            match read_comb("comb", &text, Units::Mm) {
                Ok(section) => prop_assert_eq!(section.line(), plain.line(), "{}", text),
                Err(e) => prop_assert!(false, "{text}: {e}"),
            }
            if let Some((body, false)) = slipped(&body, at, kind) {
                let text = format!("pitch={pitch}: {body}");
                match read_comb("comb", &text, Units::Mm) {
                    Ok(section) => prop_assert_eq!(section.line(), plain.line(), "{}", text),
                    Err(e) => refusal_is_complete(&e),
                }
            }
        }
    }

    #[test]
    fn readings_of_tape_and_shape_are_taken_alike_however_they_are_typed(
        mouth in 400..1200_u32,
        depth in 50..300_u32,
    ) {
        let number = |tenths: u32| f64::from(tenths) / 10.0;
        let (m, d) = (format!("{:.1}", number(mouth)), format!("{:.1}", number(depth)));
        let tape = format!("{:.1}", number(mouth) + 1.5 * number(depth));
        let plain = read_tape(&format!("mouth={m},depth={d},tape={tape}"), Units::Mm).unwrap();
        let shape = read_shape(&format!("channel:mouth={m},depth={d},floor=20"), Units::Mm).unwrap();
        let comma = |t: &str| t.replace('.', ",");
        for separator in ["; ", ";", " ", "  "] {
            let text = format!("mouth={m}{separator}depth={d}{separator}tape={tape}");
            for text in [text.clone(), comma(&text), text.to_uppercase()] {
                prop_assert_eq!(&read_tape(&text, Units::Mm).unwrap(), &plain, "{}", text);
            }
            let text = format!("channel: mouth = {m}{separator}depth={d} {separator}floor=20");
            for text in [text.clone(), comma(&text)] {
                prop_assert_eq!(&read_shape(&text, Units::Mm).unwrap(), &shape, "{}", text);
            }
        }
        let mm = format!("mouth={m}mm,depth={d} mm,tape={tape}mm");
        prop_assert_eq!(&read_tape(&mm, Units::Inch).unwrap().members().len(), &plain.members().len());
        prop_assert_eq!(read_tape(&mm, Units::Mm).unwrap(), plain);
    }

    #[test]
    fn a_length_is_the_same_in_every_unit_it_is_typed_in(tenths in 0..20_000_u32, sixty_fourths in 1..2000_u32) {
        let mm = f64::from(tenths) / 10.0;
        let comma = format!("{:.2} cm", mm / 10.0).replace('.', ",");
        for text in [format!("{mm}"), format!("{mm}mm"), format!("{:.2}cm", mm / 10.0), comma, format!("{:.4}m", mm / 1000.0)] {
            prop_assert_eq!(read_length(&text, Units::Mm).unwrap().to_bits(), mm.to_bits(), "{}", text);
        }
        let (whole, part) = (sixty_fourths / 64, sixty_fourths % 64);
        let inches = f64::from(sixty_fourths) / 64.0;
        let fraction = match (whole, part) {
            (whole, 0) => format!("{whole}in"),
            (0, part) => format!("{part}/64in"),
            (whole, part) => format!("{whole} {part}/64in"),
        };
        for text in [fraction, format!("{inches}in"), format!("{inches} \"")] {
            prop_assert_eq!(read_length(&text, Units::Mm).unwrap().to_bits(), (inches * 25.4).to_bits(), "{}", text);
        }
    }
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
                    prop_assert!((extra - family.extra).abs() < 1e-8, "{} {:?}", extra, member);
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
        // So many that noise cannot be told; zigzags of more readings are rough, and refused.
        let points = &points[..points.len().min(39)];
        if let Ok(section) = Section::new("chain", points) {
            let back = read_csv("chain", write_csv(&section).as_bytes()).unwrap();
            prop_assert_eq!(section.line(), back.line());
        }
    }
}

#[test]
fn walls_that_overlap_are_a_section_or_a_refusal() {
    // Found by the property above: two spikes within 4e-6 mm, of which each wall reaches past
    // the beginning of the next.
    let text = b"x_mm,y_mm\n-1234.567,14.692919722013515\n-1234.566999,20.09677428442515\n\
        -1234.5669979999998,-29.746758061312896\n-1234.5669969999997,0\n\
        -1234.5669969999997,19.078728767819793\n-1234.5669959999996,0\n\
        -1234.5669959999996,7.179589128410128\n";
    let section = read_csv("chain", text).unwrap();
    assert_eq!(section.line().points().len(), 7);
}

#[test]
fn a_refusal_lists_every_fault_with_its_line() {
    let text = b"# door\nx_mm,y_mm\n0,0\n10,1O\n20\n30,nan\n40,0\n";
    let e = read_csv("door.csv", text).unwrap_err();
    assert_eq!(
        e.to_string(),
        "door.csv:4: `y_mm`: found `1O`, expected a number; the letter O in place of a zero?\n\
         door.csv:5: found 1 column, expected 2 as in the header\n\
         door.csv:6: `y_mm`: found `nan`, expected a finite number"
    );
}

#[test]
fn what_cannot_be_told_apart_is_asked_back() {
    let asked = |result: Result<Section, Refused>, word: &str| {
        let e = result.unwrap_err().to_string();
        assert!(e.contains(word), "{e}");
    };
    asked(
        read_csv("a", b"x_mm;y_mm\n1,234;0\n2,345;-1\n3,456;0\n"),
        "a:2: found `1,234`",
    );
    asked(
        read_points("a", "1,234;0 2,345;-1 3,456;0", Units::Mm),
        "may be",
    );
    asked(
        read_comb("a", "pitch=5: 0; -1,234; -2,345; 0", Units::Mm),
        "`-1.234`",
    );
    asked(
        read_shape("channel:mouth=1,234; depth=20; floor=4", Units::Mm),
        "`1.234`",
    );
    asked(
        read_points("a", "0,5 10,0\n20,5 30,0\n40,5 50,0", Units::Mm),
        "may be",
    );
    asked(read_csv("a", b"x,y\n0,0\n1,-1\n2,0\n"), "say the units");
    asked(
        read_points("a", "60,0 20,-9 0,-9 -60,0", Units::Mm),
        "taken from right to left",
    );
    // Reference: a comma of a comma file in quotes is a decimal one, and a sure one decides.
    let sure = read_csv("a", b"x_mm;y_mm\n0,000;0\n1,234;-1\n3,456;0\n").unwrap();
    assert_eq!(sure.line().points()[1], Point::new(1.234, -1.0));
}

#[test]
fn a_million_lines_are_read_while_one_waits() {
    let mut text = String::from("x_mm,y_mm\n");
    for i in 0..1_000_000 {
        let depth = if (300_000..700_000).contains(&i) {
            -25.0
        } else {
            0.0
        };
        let y = depth + f64::from(i % 7) / 100.0;
        text.push_str(&format!("{:.4},{y:.2}\n", f64::from(i) * 0.05));
    }
    let started = std::time::Instant::now();
    let section = read_csv_as("scan", text.as_bytes(), Typing::default()).unwrap();
    let seconds = started.elapsed().as_secs_f64();
    println!("1e6 lines in {seconds:.2} s");
    assert_eq!(section.line().points().len(), 1_000_000);
    // Loose, for debug builds on a shared machine; a quadratic reader takes hours.
    assert!(seconds < 30.0, "{seconds}");
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

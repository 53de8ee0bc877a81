//! Input that means harm, and what must hold whatever comes: no panic, no number that is none,
//! no mean above its peak, no long wait.
//!
//! Each target takes bytes and breaks a promise by a panic. The libFuzzer targets of `fuzz/` call
//! these functions, and so do the tests, with a fixed seed and with what was found once
//! (`tests/hostile/`).
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small numbers drawn from 0 up"
)]

use super::survey::Source;
use tautspan::advice::{LipShape, WarmZone, read_job};
use tautspan::ends::{EndCase, EndKind, EndOrder, EndSize, Trapezoid, lay_end, read_end};
use tautspan::evidence::heat::{Adding, HeatAsked, Time, append_reading, judge, read_record};
use tautspan::evidence::trial::{read_cells, read_loads, read_marks};
use tautspan::film::{StretchLaw, TensileCurve, film_named, parse_film, parse_tool, tool_named};
use tautspan::laydown::{Conditions, Laying, Warm, read_steps, read_steps_toml};
use tautspan::page::Catalogue;
use tautspan::section::{
    Typing, read_comb, read_csv_as, read_length, read_lengths, read_pasted, read_points,
};
use tautspan::{
    Bay, Bed, Bonds, Handling, Job, Laydown, Order, Point, Recess, Section, Side, Split, Survey,
    Units, read_shape, read_tape,
};

/// What takes the bytes of a target.
pub(crate) type Target = fn(&[u8]);

/// Every target by its name, with which the files of `tests/hostile/` begin.
pub(crate) const TARGETS: [(&str, Target); 8] = [
    ("section", section),
    ("class", class),
    ("job", job),
    ("steps", steps),
    ("trial", trial),
    ("heat", heat),
    ("page", page),
    ("engine", engine),
];

/// What hands out numbers from bytes, least first; zeros when they are spent.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((&first, rest)) => {
                self.0 = rest;
                first
            }
            None => 0,
        }
    }

    /// 0 to 1.
    fn part(&mut self) -> f64 {
        f64::from(u16::from_le_bytes([self.byte(), self.byte()])) / f64::from(u16::MAX)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.part()
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::from(self.byte()) % of.len()]
    }

    /// A length of some kind: nothing, hardly anything, small, usual, huge.
    fn length(&mut self) -> f64 {
        match self.byte() % 8 {
            0 => 0.0,
            1 => self.pick(&[1e-12, 1e-9, 1e-7, 1e-6, 2e-6, 1e-5, 1e-4]),
            2 => self.between(0.0, 0.01),
            3 => self.between(0.0, 1.0),
            7 => self.between(0.0, 2000.0),
            _ => self.between(0.0, 25.0),
        }
    }

    fn signed(&mut self) -> f64 {
        let sign = if self.byte().is_multiple_of(2) {
            1.0
        } else {
            -1.0
        };
        sign * self.length()
    }
}

fn typing(flags: u8) -> Typing {
    Typing {
        units: [None, Some(Units::Mm), Some(Units::Inch)][usize::from(flags) % 3],
        depths: flags & 8 != 0,
        leftwards: flags & 16 != 0,
    }
}

/// A first byte says how it is read, a second by which reader; the rest is the text.
pub(crate) fn section(bytes: &[u8]) {
    let [flags, reader, rest @ ..] = bytes else {
        return;
    };
    let typing = typing(*flags);
    let units = typing.units.unwrap_or_default();
    let text = String::from_utf8_lossy(rest);
    let read = match reader % 8 {
        0 => read_csv_as("section", rest, typing),
        1 => read_points("points", &text, typing),
        2 => read_comb("comb", &text, typing),
        3 => read_pasted(&text, typing),
        4 => read_shape(&text, units),
        5 => {
            let Ok(family) = read_tape(&text, units) else {
                return;
            };
            assert!(!family.members().is_empty());
            for member in family.members().iter().take(3) {
                laid_well(&member.section, Survey::default());
            }
            return;
        }
        6 => {
            let all = read_lengths("lengths", &text, units).unwrap_or_default();
            assert!(all.iter().all(|mm| mm.is_finite()), "{all:?}");
            let one = read_length(&text, units).unwrap_or_default();
            assert!(one.is_finite(), "{one}");
            return;
        }
        _ => {
            let _ = read_end("end", &text, units);
            return;
        }
    };
    if let Ok(section) = read {
        laid_well(&section, Survey::default());
    }
}

/// What is seen in a section, and a lay-down of it.
fn laid_well(section: &Section, survey: Survey) {
    let Ok(recess) = Recess::find(section.clone(), survey) else {
        return;
    };
    seen_well(&recess);
    let bed = Bed::new(&recess, 6.0, 4.0);
    for order in [Order::DeepestFirst, Order::EdgeFirst, Order::MiddlePush] {
        let bonds = Bonds::with_reach(&recess, 40.0, 40.0);
        if let Ok(laid) = bed.lay(bonds, order) {
            sound(&laid, &bed);
        }
    }
}

fn seen_well(recess: &Recess) {
    for (what, value) in [
        ("extra", recess.extra()),
        ("mouth", recess.mouth()),
        ("depth", recess.depth()),
    ] {
        assert!(value.is_finite() && value >= -1e-6, "{what}: {value}");
    }
}

/// No number that is none, and no peak below the mean.
fn sound(laid: &Laydown, bed: &Bed<'_>) {
    let mean = laid.mean();
    // Lengths within 1e-6 mm are one, so that a mean of nothing may be a little less.
    let least = -1e-9 - 1e-6 / laid.bridge().max(1e-6);
    assert!(mean.is_finite() && mean >= least, "mean {mean}");
    for length in [laid.bridge(), laid.arc(), laid.extra(), laid.fed_in()] {
        assert!(length.is_finite(), "{length}");
    }
    if !laid.is_finite() {
        assert!(laid.peak(bed).is_none());
        return;
    }
    if let Some(peak) = laid.peak(bed) {
        assert!(peak.lambda.is_finite() && peak.s.is_finite(), "{peak:?}");
        let least = mean - 1e-6 * (1.0 + mean);
        assert!(peak.lambda - 1.0 >= least, "{peak:?}, mean {mean}");
    }
    for row in laid.profile(bed, (laid.arc() / 50.0).max(1.0)) {
        let all = [row.s, row.point.x, row.point.y, row.film, row.lambda];
        assert!(all.iter().all(|v| v.is_finite()), "{row:?}");
    }
}

/// A film class, a tool, a tensile curve: the first byte says which.
pub(crate) fn class(bytes: &[u8]) {
    let [which, rest @ ..] = bytes else {
        return;
    };
    let text = String::from_utf8_lossy(rest);
    match which % 3 {
        0 => {
            let Ok(film) = parse_film("film.toml", &text) else {
                return;
            };
            assert!(film.limit().is_finite() && film.limit() > 0.0);
            assert!(film.thickness().is_finite() && film.thickness() > 0.0);
            for celsius in [-40.0, 20.0, 60.0, 1e300] {
                if let Ok(law) = film.law_at(celsius) {
                    law_sound(&law);
                }
            }
            let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
            let recess = Recess::find(section, Survey::default()).unwrap();
            let tool = tool_named("fingertip").unwrap();
            let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
            let handling = Handling::new(&film, &Bay::default()).ok();
            let job = Job {
                handling: handling.as_ref(),
                ..Job::new(&bed, &film, &tool)
            };
            let bonds = Bonds::with_reach(&recess, 40.0, 40.0);
            if let Ok(check) = job.check(bonds, Order::DeepestFirst, true) {
                finite_json(&check);
            }
        }
        1 => {
            if let Ok(tool) = parse_tool("tool.toml", &text) {
                assert!(tool.pad().is_finite() && tool.tip_radius().is_finite());
            }
        }
        _ => {
            if let Ok(curve) = TensileCurve::read("curve.csv", &text, 0.09) {
                law_sound(&StretchLaw::Curve(curve));
            }
        }
    }
}

fn law_sound(law: &StretchLaw) {
    let mut last = f64::NEG_INFINITY;
    for lambda in [1.0, 1.0001, 1.01, 1.1, 1.3, 2.0] {
        let tension = law.tension(lambda);
        assert!(tension.is_finite() && tension >= last, "{law:?}: {tension}");
        last = tension;
        let back = law.lambda(tension);
        assert!(back.is_finite() && back >= 1.0 - 1e-9, "{law:?}: {back}");
    }
}

/// Writes it as JSON and reads it: a number that is none is written as `null`, which is not read
/// where a number is meant.
fn finite_json<T: serde::Serialize + serde::de::DeserializeOwned>(value: &T) {
    let text = serde_json::to_string(value).unwrap();
    if let Err(error) = serde_json::from_str::<T>(&text) {
        panic!("{error} in {text}");
    }
}

/// A job file: what is read is written and read as the same.
pub(crate) fn job(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let Ok(question) = read_job("job.toml", &text) else {
        return;
    };
    let again = read_job("again.toml", &question.to_toml());
    assert_eq!(again.as_ref(), Ok(&question), "{}", question.to_toml());
    let asked = serde_json::to_value(&question).unwrap();
    for ask in ["section", "check", "recommend"] {
        let mut asked = asked.clone();
        asked["ask"] = ask.into();
        asked["round_ends"] = false.into();
        answered(&asked.to_string());
    }
}

/// Steps, inline or as TOML.
pub(crate) fn steps(bytes: &[u8]) {
    let [which, rest @ ..] = bytes else {
        return;
    };
    let text = String::from_utf8_lossy(rest);
    let read = if which % 2 == 0 {
        read_steps("order", &text)
    } else {
        read_steps_toml("order.toml", &text)
    };
    let Ok(steps) = read else {
        return;
    };
    let section = read_shape("channel:mouth=80,floor=40,depth=25", Units::Mm).unwrap();
    let recess = Recess::find(section, Survey::default()).unwrap();
    let bed = Bed::new(&recess, 6.0, 4.0);
    let plain = Conditions::default();
    let drags = Conditions {
        lip_friction: 0.2,
        ..Conditions::default()
    };
    for conditions in [plain, drags] {
        let bonds = Bonds::with_reach(&recess, 40.0, 40.0);
        if let Ok(laid) = bed.lay_steps(bonds, &steps, &conditions) {
            sound(&laid, &bed);
        }
    }
}

/// What trial pieces say: marks, cells, loads.
pub(crate) fn trial(bytes: &[u8]) {
    let [which, rest @ ..] = bytes else {
        return;
    };
    let text = String::from_utf8_lossy(rest);
    match which % 3 {
        0 => {
            for piece in read_marks("marks.csv", &text).unwrap_or_default() {
                let marks = piece.marks.iter();
                assert!(marks.clone().all(|m| m.flat_mm.is_finite()), "{piece:?}");
                assert!(marks.clone().all(|m| m.panel_mm.is_finite()), "{piece:?}");
            }
        }
        1 => {
            let _ = read_cells("cells.csv", &text);
        }
        _ => {
            let typed: Vec<String> = text.split(' ').map(str::to_owned).collect();
            let loads = read_loads("loads", &typed).unwrap_or_default();
            assert!(loads.iter().all(|n| n.is_finite() && *n > 0.0), "{loads:?}");
        }
    }
}

/// A record of post-heating: read and judged; and, after a zero byte, appended to.
pub(crate) fn heat(bytes: &[u8]) {
    let cut = bytes.iter().position(|b| *b == 0).unwrap_or(bytes.len());
    let (record, typed) = bytes.split_at(cut);
    let film = film_named("wrap-cast").unwrap();
    if let Ok(read) = read_record("record.csv", record, None)
        && let Ok(report) = judge(&read, &film, &HeatAsked::default())
    {
        let places = report.lines.iter().flat_map(|line| &line.places);
        for place in places {
            assert!(
                place.place_mm.is_finite() && place.corrected_c.is_none_or(f64::is_finite),
                "{place:?}"
            );
        }
    }
    let typed = String::from_utf8_lossy(typed);
    let adding = Adding {
        called: "--add",
        typed: typed.trim_start_matches('\0'),
        units: Units::Mm,
        correct: None,
        now: Time::utc(1_790_000_000),
    };
    if let Ok(appended) = append_reading(("record.csv", record), &adding) {
        let whole = [record, appended.text.as_bytes()].concat();
        let again = read_record("record.csv", &whole, None);
        let held = again.is_ok_and(|r| r.readings.last() == Some(&appended.reading));
        assert!(held, "not read back: {:?}", appended.text);
    }
}

/// A question of the page, which is the server's too.
pub(crate) fn page(bytes: &[u8]) {
    answered(&String::from_utf8_lossy(bytes));
}

/// The answer is JSON, and in it no peak lies below its mean.
fn answered(request: &str) {
    thread_local! {
        static CATALOGUE: Catalogue = Catalogue::builtin();
    }
    let answer = CATALOGUE.with(|c| tautspan::page::answer(c, request));
    let value: serde_json::Value = serde_json::from_str(&answer).expect("JSON");
    peaks_over_means(&value);
}

fn peaks_over_means(value: &serde_json::Value) {
    match value {
        serde_json::Value::Object(keys) => {
            let number = |key: &str| keys.get(key).and_then(serde_json::Value::as_f64);
            if let (Some(peak), Some(mean)) = (number("peak_pct"), number("mean_pct")) {
                assert!(peak >= mean - 1e-4 * (1.0 + mean), "{peak} below {mean}");
            }
            keys.values().for_each(peaks_over_means);
        }
        serde_json::Value::Array(all) => all.iter().for_each(peaks_over_means),
        _ => {}
    }
}

/// A section as bytes say, in ways that the readers let through: slivers, vertical walls, points
/// that almost coincide, tiny and huge ones, up to some thousand points.
fn nasty(bytes: &mut Bytes<'_>) -> Vec<Point> {
    let scale = bytes.pick(&[1.0, 1.0, 1.0, 1e-6, 1e-3, 0.1, 10.0, 1e3, 1e6]);
    let flats = bytes.pick(&[60.0, 0.0, 1e-6, 5.0, 300.0, 40_000.0]);
    let n = match bytes.byte() {
        255 => 4000,
        254 => 400,
        n => 3 + usize::from(n % 40),
    };
    let mut points = vec![Point::new(-flats, 0.0), Point::new(0.0, 0.0)];
    // Bytes of a long section run out: it then repeats what it had.
    let start = bytes.0;
    for i in 0..n {
        if bytes.0.is_empty() {
            bytes.0 = start;
        }
        let (dx, dy) = (bytes.length(), bytes.signed());
        let last = points[points.len() - 1];
        // Down in the first half, up in the second, as recesses are.
        let dy = match bytes.byte() % 4 {
            0 if i < n / 2 => -dy.abs(),
            0 => dy.abs(),
            1 => 0.0,
            2 => -last.y,
            _ => dy,
        };
        points.push(Point::new(last.x + dx, last.y + dy));
    }
    let last = points[points.len() - 1];
    points.push(Point::new(last.x + flats, last.y));
    points
        .iter()
        .map(|p| Point::new(p.x * scale, p.y * scale))
        .collect()
}

/// The engine by valid but nasty sections, widths, orders, tools and conditions.
pub(crate) fn engine(bytes: &[u8]) {
    let mut bytes = Bytes(bytes);
    if bytes.byte() % 16 == 0 {
        return end(&mut bytes);
    }
    let survey = Survey {
        gauge_tolerance: bytes.pick(&[0.5, 0.0, 1e-9, 0.01, 5.0]),
        clear_left: bytes.pick(&[300.0, 0.0, 1e-7, 20.0, 1e4]),
        clear_right: bytes.pick(&[300.0, 0.0, 1e-7, 20.0, 1e4]),
        press_offset: bytes.pick(&[0.0, 0.0, 1e-7, 3.0, -3.0, 1e3]),
        valley: bytes.pick(&[None, None, Some(1), Some(2)]),
    };
    let (pad, tip) = (
        bytes.pick(&[0.0, 1e-7, 6.0, 12.0, 1000.0]),
        bytes.pick(&[0.0, 1e-6, 4.0, 8.0, 1000.0]),
    );
    let reach = [bytes.signed().max(-5.0), bytes.signed().max(-5.0)];
    let width = bytes.length() * bytes.pick(&[1.0, 10.0, 1e-3]);
    let bond_x = [bytes.signed(), bytes.signed()];
    let how = bytes.byte();
    let law = StretchLaw::NeoHookean(bytes.pick(&[1.0, 1e-6, 3.0, 1e6]));
    let other = StretchLaw::NeoHookean(bytes.pick(&[0.3, 1e-3, 30.0]));
    let conditions = Conditions {
        lip_friction: bytes.pick(&[0.0, 0.0, 1e-9, 0.3, 3.0, 100.0]),
        drag: bytes.pick(&[0.0, 0.0, 1e-9, 0.001, 1.0]),
        laying: bytes.pick(&[Laying::Rolled, Laying::Rolled, Laying::Dabbed]),
        law,
        warm: match bytes.byte() % 4 {
            2 => Warm::Mouth(other),
            3 => Warm::Flats(other),
            _ => Warm::Whole,
        },
    };
    let bay = Bay {
        lip: bytes.pick(&[None, None, Some(LipShape::Pencil)]),
        warm: bytes.pick(&[None, Some(WarmZone::Whole), Some(WarmZone::Mouth)]),
        ..Bay::default()
    };
    let points = nasty(&mut bytes);
    let Ok(section) = Section::new("nasty", &points) else {
        return;
    };
    let Ok(recess) = Recess::find(section, survey) else {
        return;
    };
    seen_well(&recess);
    let bed = Bed::new(&recess, pad, tip);
    let bonds = match how % 4 {
        0 => Ok(Bonds::with_reach(&recess, reach[0], reach[1])),
        1 => Bonds::at_x(&recess, bond_x[0], bond_x[1]),
        2 => bed.bonds_for_bridge(width, Split::Left),
        _ => bed.bonds_for_bridge(recess.mouth() + width, Split::Even),
    };
    let film = film_named("wrap-cast").unwrap();
    let tool = tool_named("fingertip").unwrap();
    let handling = Handling::new(&film, &bay).ok();
    let job = Job {
        handling: handling.as_ref(),
        ..Job::new(&bed, &film, &tool)
    };
    if let Ok(bonds) = bonds {
        for order in [
            Order::DeepestFirst,
            Order::EdgeFirst,
            Order::MiddlePush,
            Order::OneWay { loose: Side::Left },
            Order::OneWay { loose: Side::Right },
        ] {
            // The march takes a thousand times as long; no answer marches ten times over.
            let marched = (points.len() < 500).then_some(&conditions);
            for conditions in marched.into_iter().chain([&Conditions::default()]) {
                if let Ok(laid) = bed.lay_under(bonds, order, conditions) {
                    sound(&laid, &bed);
                }
            }
            if points.len() < 60
                && let Ok(check) = job.check(bonds, order, true)
            {
                finite_json(&check);
            }
        }
    }
    if points.len() < 60 {
        let answer = tautspan::advice::recommend_width(&job);
        finite_json(&answer);
        if let Some(chosen) = &answer.recommended {
            let peak = chosen.peak_pct;
            assert!(
                peak.is_finite() && peak <= answer.film.limit_pct + 1e-6,
                "{chosen:?}"
            );
        }
    }
}

/// A closed end of some size. Its meshes are dear: the sizes are those a person would say, and a few
/// that nobody would.
fn end(bytes: &mut Bytes<'_>) {
    let mut size = |low, high| match bytes.byte() % 8 {
        0 => bytes.pick(&[0.0, 1e-6, 1e-3, 1e3]),
        _ => bytes.between(low, high),
    };
    let section = Trapezoid {
        mouth: size(10.0, 120.0),
        floor: size(1.0, 80.0),
        depth: size(1.0, 40.0),
    };
    let case = EndCase {
        section,
        size: EndSize {
            kind: EndKind::Rounded,
            radius: size(1.0, 60.0),
            run: size(1.0, 60.0),
            foot_radius: size(0.0, 40.0),
            press_stop: size(0.0, 40.0),
        },
        pad: size(0.0, 15.0),
        side_reach: size(0.0, 80.0),
        end_reach: size(0.0, 80.0),
        half_length: None,
    };
    let kind = bytes.pick(&[EndKind::Rounded, EndKind::Square, EndKind::Ramp]);
    let case = EndCase {
        size: EndSize { kind, ..case.size },
        ..case
    };
    let order = bytes.pick(&[EndOrder::DeepestFirst, EndOrder::EdgeFirst]);
    if let Ok(laid) = lay_end(&case, order, &StretchLaw::default()) {
        let all = [laid.most.stretch, laid.thinnest.stretch, laid.mesh_doubt];
        assert!(
            all.iter().flatten().all(|v| v.is_finite()),
            "{case:?}: {all:?}"
        );
        assert!(
            laid.most.stretch[0] >= laid.middle - 1e-6
                || laid.most.stretch[1] >= laid.middle - 1e-6,
            "{case:?}"
        );
    }
}

/// A change or a few of a text or a row of bytes, as a careless hand or a bad line makes them.
pub(crate) fn mutated(seed: &[u8], source: &mut Source) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    let at = |source: &mut Source, n: usize| (source.uniform() * n as f64) as usize % n.max(1);
    for _ in 0..=at(source, 4) {
        let n = bytes.len();
        let i = at(source, n);
        match at(source, 8) {
            0 if n > 0 => bytes[i] = at(source, 256) as u8,
            1 if n > 0 => bytes.truncate(i),
            2 if n > 0 => {
                let j = (i + 1 + at(source, 40)).min(n);
                let piece = bytes[i..j].to_vec();
                bytes.splice(i..i, piece);
            }
            3 if n > 0 => {
                let j = (i + 1 + at(source, 20)).min(n);
                bytes.drain(i..j);
            }
            4 if n > 0 => {
                // A digit for a digit.
                if let Some(k) = (i..n).find(|k| bytes[*k].is_ascii_digit()) {
                    bytes[k] = b'0' + at(source, 10) as u8;
                }
            }
            5 if n > 1 => bytes.swap(i, (i + 1) % n),
            _ => {
                const WORDS: [&str; 24] = [
                    "1e308",
                    "-1e308",
                    "nan",
                    "inf",
                    "1e-320",
                    "-0",
                    "0",
                    "999999999999999999999",
                    "\u{feff}",
                    "\r\n",
                    "\n",
                    ",",
                    ";",
                    "=",
                    "\"",
                    "[",
                    "{",
                    "1,234",
                    "½",
                    "\u{0}",
                    "in",
                    "mm",
                    "#",
                    "'''",
                ];
                let word = WORDS[at(source, WORDS.len())];
                bytes.splice(i..i, word.bytes());
            }
        }
    }
    bytes
}

/// What mutations start from: the demo's files, and texts as the README and the tests have them.
pub(crate) fn seeds(target: &str) -> Vec<Vec<u8>> {
    let with = |first: &[u8], text: &str| [first, text.as_bytes()].concat();
    let mut all: Vec<Vec<u8>> = Vec::new();
    match target {
        "section" => {
            for (_, csv) in tautspan::DEMO_RECESSES {
                all.push(with(&[0, 0], csv));
                all.push(with(&[0, 3], csv));
            }
            for (reader, text) in [
                (0, "X (in);Y (in)\n-3;0\n0;0\n0,5;-1\n2,5;-1\n3;0\n6;0\n"),
                (1, "-120,0 -40,0 -20,-25 20,-25 40,0 120,0"),
                (1, "-12,5;0 0;0 2,5;-11 20;-11 22;0 40;0"),
                (2, "pitch=5: 0,0,-2,-11,-18,-18,-11,-2,0,0"),
                (2, "pitch=2,5: 0;0;-2,5;-11;-18;-18;-11;-2,5;0;0"),
                (3, "# a note\n0 0\n10 0\n12 -8\n30 -8\n32 0\n50 0\n"),
                (4, "channel:mouth=80,floor=40,depth=25,lip-radius=3"),
                (4, "step:drop=12,wall=60"),
                (4, "groove:mouth=40,depth=20"),
                (4, "round:mouth=80,depth=20,crown=2"),
                (5, "mouth=80,depth=25,tape=104,left=51,right=51"),
                (5, "mouth=3 1/8in depth=1in tape=4 1/8in"),
                (6, "3 1/8in, 12.5cm; 125 mm 1,5"),
                (7, "rounded:radius=40,run=20"),
                (7, "ramp:run=120"),
            ] {
                all.push(with(&[1, reader], text));
                all.push(with(&[2, reader], text));
            }
        }
        "class" => {
            for name in tautspan::film::film_names() {
                all.push(with(&[0], tautspan::film::film_toml(name).unwrap()));
            }
            for name in tautspan::film::tool_names() {
                all.push(with(&[1], tautspan::film::tool_toml(name).unwrap()));
            }
            all.push(with(
                &[1],
                include_str!("../../profiles/trial/my-finger.toml"),
            ));
            all.push(with(
                &[2],
                "elongation_pct,stress_mpa\n1,2\n5,6\n20,9.5\n80,14\n",
            ));
            all.push(with(
                &[2],
                "elongation_pct,force_n_per_mm\n0,0\n5,0.4\n20,0.6\n",
            ));
        }
        "job" => {
            all.push(with(
                &[],
                include_str!("../../profiles/jobs/sliding-door.toml"),
            ));
            all.push(with(
                &[],
                include_str!("../../profiles/jobs/tail-gate.toml"),
            ));
            all.push(with(&[], "film = \"wrap-cast\"\nbridge_mm = 150\norder = \"press 0, spread left, spread right\"\n[section]\npoints = \"-120,0 -40,0 -20,-25 20,-25 40,0 120,0\"\n[bay]\nlip = \"pencil\"\nflats = \"backing\"\nwarm = \"mouth\"\nwarm_c = 60\n"));
        }
        "steps" => {
            for text in [
                "press 0, spread left, spread right",
                "press -10, press 10, spread left to -30, spread right",
                "press 0 pad 12; spread right to lip; spread left; spread right",
            ] {
                all.push(with(&[0], text));
            }
            all.push(with(&[1], "[[step]]\ndo = \"press\"\nat_x_mm = 0\n[[step]]\ndo = \"spread\"\nside = \"left\"\n[[step]]\ndo = \"spread\"\nside = \"right\"\n"));
        }
        "trial" => {
            all.push(with(&[0], include_str!("../../profiles/trial/strips.csv")));
            all.push(with(
                &[1],
                include_str!("../../profiles/trial/end-cells.csv"),
            ));
            all.push(with(&[2], "1.2kg 1.3kg 1.25kg 12N 900g"));
        }
        "heat" => {
            let record = include_str!("../../profiles/heat/sliding-door-heat.csv");
            for typed in [
                "",
                "\0place=120, reading=104, line=floor, emissivity=0.95, surroundings=20",
                "\0reading=220F, place=5in, time=2026-11-12T09:00:00+01:00, note=\"a, b\"",
            ] {
                all.push(with(record.as_bytes(), typed));
                all.push(with(b"", typed));
            }
        }
        "page" => {
            for ask in [
                "catalogue",
                "section",
                "reading",
                "check",
                "recommend",
                "sweep",
                "orders",
                "moments",
                "warmth",
                "end",
                "card",
                "steps",
                "chart",
            ] {
                all.push(with(&[], &format!("{{\"ask\":\"{ask}\",\"film\":\"wrap-cast\",\"bridge_mm\":150,\"frames\":5,\"section\":{{\"shape\":\"channel:mouth=80,floor=40,depth=25\"}}}}")));
            }
            all.push(with(&[], r#"{"ask":"check","film":"wrap-cast","bridge_mm":150,"order":"edge-first","split":"left","clear_left_mm":100,"press_offset_mm":3,"gauge_tolerance_mm":0.2,"section":{"csv":"x_mm,y_mm\n-60,0\n0,0\n10,-20\n50,-20\n60,0\n120,0\n"},"bay":{"lip":"pencil","flats":"backing","warm":"mouth","warm_c":60,"ranges":[]}}"#));
            all.push(with(&[], r#"{"ask":"recommend","film":"recess-cast","units":"in","round_ends":false,"section":{"tape":"mouth=3 1/8in,depth=1,tape=4 1/8in"},"end_left":"rounded","length_mm":900}"#));
            all.push(with(&[], r#"{"ask":"end","film":"wrap-cast","bridge_mm":200,"end_left":"rounded:radius=40","length_mm":900,"section":{"demo":"deep-channel"}}"#));
        }
        _ => {
            let mut source = Source::new(14);
            for _ in 0..60 {
                let byte = |source: &mut Source| (source.uniform() * 256.0) as u8;
                all.push((0..160).map(|_| byte(&mut source)).collect());
            }
        }
    }
    all
}

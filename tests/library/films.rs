//! Film classes and tools: the bundled files, and what a bad file is told.

use approx::assert_relative_eq;
use std::collections::BTreeSet;
use tautspan::fault::{Fault, Part};
use tautspan::film::{
    FilmNumber, ToolNumber, builtin_tools, film_names, parse_film, parse_tool, tool_names,
};
use tautspan::say::Voice;
use tautspan::{FilmClass, Units, builtin_films, film_named, tool_named};

/// The example of the design: files written to it stay valid.
const EXAMPLE: &str = r#"name = "wrap-cast"
summary = "soft cast film with air channels"
recess = true
air_channels = true
limit_pct = { value = 20.0, source = "invented for the demo" }
thickness_um = { value = 90.0, source = "invented for the demo" }
post_heat_min_c = { value = 100.0, source = "common practice, no source" }
[[modulus]]
temperature_c = 20.0
modulus_mpa = { value = 60.0, source = "invented for the demo" }
"#;

/// The least that is a film class.
const LEAST: &str = r#"name = "f"
limit_pct = { value = 20, source = "own test" }
thickness_um = { value = 90, source = "own test" }
"#;

/// Line, key, found and expected of each fault of a text that must be refused.
fn refused(text: &str) -> Vec<(usize, String, String, String)> {
    let faults = parse_film("f.toml", text).expect_err("faults").faults;
    let row = |f: &Fault| {
        let line = f.at.place.expect("a line");
        (
            line,
            key(f).to_owned(),
            f.found.to_string(),
            f.expected.to_string(),
        )
    };
    faults.iter().map(row).collect()
}

fn key(fault: &Fault) -> &str {
    match &fault.at.part {
        Part::Key(key) => key,
        _ => "",
    }
}

fn keys(faults: &[(usize, String, String, String)]) -> Vec<&str> {
    faults.iter().map(|f| f.1.as_str()).collect()
}

/// What a text that must be unreadable is told, and the hint.
fn unreadable(text: &str) -> (String, String) {
    let error = parse_film("f.toml", text).expect_err("a fault");
    assert_eq!(error.faults.len(), 1, "{error:?}");
    let said = error.said(Voice::terminal(Units::Mm));
    (said.message, said.hint.expect("a hint"))
}

/// The text of a bundled film, as a person finds it in the repository.
fn bundled(folder: &str, name: &str) -> String {
    let root = env!("CARGO_MANIFEST_DIR");
    std::fs::read_to_string(format!("{root}/profiles/{folder}/{name}.toml")).expect("a file")
}

/// Every path of keys in a JSON value, rows of a list together.
fn paths(value: &serde_json::Value, here: &str, into: &mut BTreeSet<String>) {
    match value {
        serde_json::Value::Object(map) => {
            for (key, inner) in map {
                paths(inner, &format!("{here}.{key}"), into);
            }
        }
        serde_json::Value::Array(rows) => {
            for row in rows {
                paths(row, &format!("{here}[]"), into);
            }
        }
        _ => drop(into.insert(here.to_owned())),
    }
}

fn json_paths(value: &serde_json::Value) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    paths(value, "", &mut all);
    all
}

#[test]
fn every_bundled_film_is_valid_and_bears_the_name_of_its_file() {
    let names: Vec<String> = builtin_films().into_iter().map(|f| f.name).collect();
    assert_eq!(names, film_names());
    assert_eq!(
        names,
        [
            "recess-cast",
            "wrap-cast",
            "print-cast",
            "polymeric",
            "monomeric"
        ]
    );
    for name in film_names() {
        parse_film(name, &bundled("films", name)).unwrap();
    }
}

#[test]
fn every_bundled_tool_is_valid_and_bears_the_name_of_its_file() {
    let names: Vec<String> = builtin_tools().into_iter().map(|t| t.name).collect();
    assert_eq!(names, tool_names());
    assert_eq!(names, ["fingertip", "felt-edge", "roller"]);
    for name in tool_names() {
        parse_tool(name, &bundled("tools", name)).unwrap();
    }
}

#[test]
fn an_unknown_name_is_no_film_and_no_tool() {
    assert_eq!(film_named("wrap"), None);
    assert_eq!(tool_named(""), None);
}

#[test]
fn the_films_in_the_repository_are_all_built_in() {
    for (folder, names) in [("films", film_names()), ("tools", tool_names())] {
        let path = format!("{}/profiles/{folder}", env!("CARGO_MANIFEST_DIR"));
        let files: BTreeSet<String> = std::fs::read_dir(path)
            .unwrap()
            .filter_map(|entry| entry.unwrap().file_name().into_string().unwrap().into())
            .filter_map(|name: String| name.strip_suffix(".toml").map(str::to_owned))
            .collect();
        assert_eq!(files, names.into_iter().map(str::to_owned).collect());
    }
}

#[test]
fn bundled_films_say_of_every_deciding_number_that_it_is_invented() {
    for film in builtin_films() {
        let deciding = film.invented_deciding();
        assert!(deciding.contains(&FilmNumber::Limit), "{deciding:?}");
    }
    let tool = tool_named("fingertip").unwrap();
    assert_eq!(
        tool.invented_deciding(),
        [ToolNumber::Pad, ToolNumber::TipRadius]
    );
}

#[test]
fn bundled_films_are_post_heated_as_the_trade_does() {
    // Reference: common practice, no source: 80 degC without air channels, 100 with them.
    for film in builtin_films() {
        let least = if film.air_channels.unwrap() {
            100.0
        } else {
            80.0
        };
        assert_relative_eq!(film.post_heat_min_c.unwrap().value, least);
    }
}

#[test]
fn only_the_monomeric_film_is_kept_out_of_a_recess() {
    let kept_out: Vec<String> = builtin_films()
        .into_iter()
        .filter(|f| !f.recess)
        .map(|f| f.name)
        .collect();
    assert_eq!(kept_out, ["monomeric"]);
}

#[test]
fn the_example_of_the_design_is_valid_and_agrees_with_the_built_in_class() {
    let film = parse_film("example.toml", EXAMPLE).unwrap();
    let built_in = film_named("wrap-cast").unwrap();
    assert_relative_eq!(film.limit(), 0.2);
    assert_eq!(film.limit_source(), "invented for the demo");
    assert_eq!(film.recess_limit(), None);
    assert_eq!(film.invented_deciding(), [FilmNumber::Limit]);
    assert_eq!(film.modulus[0], built_in.modulus[0]);
    assert_eq!(
        (
            &film.summary,
            &film.limit_pct,
            &film.thickness_um,
            film.recess,
            film.air_channels
        ),
        (
            &built_in.summary,
            &built_in.limit_pct,
            &built_in.thickness_um,
            built_in.recess,
            built_in.air_channels
        )
    );
    assert_eq!(film.post_heat_min_c, built_in.post_heat_min_c);
}

#[test]
fn three_keys_are_enough_and_the_rest_stays_unknown() {
    let film = parse_film("f.toml", LEAST).unwrap();
    assert!(film.recess);
    assert_eq!(film.air_channels, None);
    assert!(film.modulus.is_empty() && film.layers.is_empty() && film.peel.is_none());
    assert_relative_eq!(film.thickness(), 0.09);
    assert!(film.invented_deciding().is_empty());
}

#[test]
fn the_least_limit_of_film_and_layers_counts() {
    let layer = |limit: f64, source: &str| {
        format!(
            "[[layers]]\nname = \"overlaminate\"\n\
             thickness_um = {{ value = 30.0, source = \"own test\" }}\n\
             modulus_mpa = {{ value = 80.0, source = \"own test\" }}\n\
             limit_pct = {{ value = {limit:?}, source = \"{source}\" }}\n"
        )
    };
    let lower = format!("{LEAST}{}", layer(12.0, "Invented by us"));
    let film = parse_film("f.toml", &lower).unwrap();
    assert_relative_eq!(film.limit(), 0.12);
    assert_eq!(film.limit_source(), "Invented by us");
    assert_eq!(
        film.invented_deciding(),
        [FilmNumber::LayerLimit {
            layer: "overlaminate".to_owned()
        }]
    );
    assert_relative_eq!(film.thickness(), 0.12);

    let higher = format!("{LEAST}{}", layer(30.0, "own test"));
    let film = parse_film("f.toml", &higher).unwrap();
    assert_relative_eq!(film.limit(), 0.2);
    assert_eq!(film.limit_source(), "own test");
}

#[test]
fn a_recess_limit_is_a_deciding_number() {
    let text =
        format!("{LEAST}recess_limit_pct = {{ value = 10, source = \"invented for the demo\" }}\n");
    let film = parse_film("f.toml", &text).unwrap();
    assert_relative_eq!(film.recess_limit().unwrap(), 0.1);
    assert_eq!(film.invented_deciding(), [FilmNumber::RecessLimit]);
}

/// A class in which every number is out of its range.
const ALL_WRONG: &str = r#"name = "Wrap Cast"
limit_pct = { value = 301.0, source = "s" }
recess_limit_pct = { value = 0.0, source = "s" }
thickness_um = { value = 0.0, source = "s" }
post_heat_min_c = { value = 1000.0, source = "s" }
tensile_csv = ""
long_term_factor = { value = 0.0, source = "s" }
stress_left = { value = 1.5, source = "s" }
hot_day_c = { value = nan, source = "s" }
emissivity = { value = 93.0, source = "s" }
price_per_m2 = { value = -1.0, source = "s" }
[[layers]]
name = " "
thickness_um = { value = -1.0, source = "s" }
modulus_mpa = { value = inf, source = "s" }
limit_pct = { value = -5.0, source = "s" }
[[modulus]]
temperature_c = 40.0
modulus_mpa = { value = 0.0, source = "s" }
[[modulus]]
temperature_c = 40.0
modulus_mpa = { value = 10.0, source = "s" }
[[modulus]]
temperature_c = 500.0
modulus_mpa = { value = 10.0, source = "s" }
[peel]
force_n = { value = 0.0, source = "s" }
width_mm = { value = -25.0, source = "s" }
angle_deg = { value = 181.0, source = "s" }
[minutes_per_m]
middle-out = { value = 5.0, source = "s" }
one-way = { value = -5.0, source = "s" }
"#;

#[test]
fn a_hold_and_a_factor_of_force_are_above_nothing() {
    for key in ["hold_let_go", "force_factor"] {
        let text = |v: &str| format!("{LEAST}{key} = {{ value = {v}, source = \"own test\" }}\n");
        assert!(parse_film("f.toml", &text("1.5")).is_ok());
        assert_eq!(refused(&text("0.0"))[0].1, key);
    }
}

#[test]
fn every_fault_is_reported_at_once_with_its_key_and_line() {
    let faults = refused(ALL_WRONG);
    let places: Vec<(usize, &str)> = faults.iter().map(|f| (f.0, f.1.as_str())).collect();
    assert_eq!(
        places,
        [
            (1, "name"),
            (2, "limit_pct"),
            (3, "recess_limit_pct"),
            (4, "thickness_um"),
            (13, "layers[1].name"),
            (14, "layers[1].thickness_um"),
            (15, "layers[1].modulus_mpa"),
            (16, "layers[1].limit_pct"),
            (5, "post_heat_min_c"),
            (19, "modulus[1].modulus_mpa"),
            (21, "modulus[2].temperature_c"),
            (24, "modulus[3].temperature_c"),
            (6, "tensile_csv"),
            (6, "tensile_csv"),
            (27, "peel.force_n"),
            (28, "peel.width_mm"),
            (29, "peel.angle_deg"),
            (7, "long_term_factor"),
            (8, "stress_left"),
            (9, "hot_day_c"),
            (10, "emissivity"),
            (11, "price_per_m2"),
            (31, "minutes_per_m.middle-out"),
            (32, "minutes_per_m.one-way"),
        ]
    );
}

#[test]
fn a_refusal_says_file_line_found_and_expected() {
    let text = LEAST.replace("value = 20", "value = 450.5");
    let error = parse_film("my/f.toml", &text).unwrap_err();
    let said = error.said(Voice::terminal(Units::Mm));
    assert_eq!(
        said.message,
        "my/f.toml:2: `limit_pct`: found 450.5, \
         expected a number above 0 and at most 300 percent"
    );
    assert!(said.hint.unwrap().contains("tautspan films"));
    // Nothing but the terminal hears of a command.
    assert!(!error.to_string().contains("tautspan"), "{error}");
}

#[test]
fn a_missing_or_blank_source_is_refused_together_with_the_rest() {
    let text = LEAST
        .replace("{ value = 20, source = \"own test\" }", "{ value = 20 }")
        .replace("source = \"own test\"", "source = \"  \"");
    let faults = refused(&text);
    assert_eq!(keys(&faults), ["limit_pct", "thickness_um"]);
    assert_eq!((faults[0].0, faults[1].0), (2, 3));
    assert!(faults.iter().all(|f| f.2 == "no `source`"), "{faults:?}");
}

#[test]
fn temperatures_that_fall_name_both() {
    let row = |t: f64| {
        format!(
            "[[modulus]]\ntemperature_c = {t:?}\n\
             modulus_mpa = {{ value = 9.0, source = \"s\" }}\n"
        )
    };
    let faults = refused(&format!("{LEAST}{}{}", row(60.0), row(20.0)));
    assert_eq!(keys(&faults), ["modulus[2].temperature_c"]);
    assert_eq!((faults[0].0, faults[0].2.as_str()), (8, "20 after 60"));
}

#[test]
fn a_name_must_be_plain() {
    for name in [
        "",
        "Wrap",
        "wrap cast",
        "wrap_cast",
        "../wrap",
        "-wrap",
        "größe",
    ] {
        let faults = refused(&LEAST.replace("\"f\"", &format!("\"{name}\"")));
        assert_eq!(keys(&faults), ["name"], "{name}");
    }
}

#[test]
fn an_unknown_key_names_itself_and_its_line_and_what_was_meant() {
    let (message, hint) = unreadable(&format!("{LEAST}limit_pc = 3\n"));
    assert!(message.starts_with("f.toml:4: "), "{message}");
    assert!(
        message.contains("found the unknown key `limit_pc`, expected one of `"),
        "{message}"
    );
    assert_eq!(hint, "did you mean `limit_pct`?");

    let nested = LEAST.replace("90, source", "90, origin");
    let (message, _) = unreadable(&nested);
    assert!(message.starts_with("f.toml:3: `thickness_um"), "{message}");
    assert!(message.contains("unknown key `origin`"), "{message}");
}

#[test]
fn a_required_key_that_is_missing_is_named() {
    for key in ["name", "limit_pct", "thickness_um"] {
        let without: String = LEAST
            .lines()
            .filter(|l| !l.starts_with(key))
            .map(|l| format!("{l}\n"))
            .collect();
        let (message, _) = unreadable(&without);
        assert!(message.contains(&format!("found no `{key}`")), "{message}");
    }
}

#[test]
fn a_bare_number_is_told_to_bring_its_source() {
    let text = LEAST.replace("{ value = 20, source = \"own test\" }", "20");
    let (message, hint) = unreadable(&text);
    assert!(
        message.starts_with("f.toml:2: `limit_pct`: found integer `20`"),
        "{message}"
    );
    assert!(hint.contains("source"), "{hint}");
}

#[test]
fn words_in_place_of_a_number_name_key_and_line() {
    let (message, _) = unreadable(&LEAST.replace("value = 90", "value = \"9O\""));
    assert_eq!(
        message,
        "f.toml:3: `thickness_um.value`: found string \"9O\", expected a number"
    );
}

#[test]
fn a_fault_in_a_table_row_names_the_row() {
    let text = format!("{EXAMPLE}[[modulus]]\ntemperature_c = 40.0\nmodulus_mpa = 30.0\n");
    let (message, _) = unreadable(&text);
    assert!(
        message.starts_with("f.toml:13: `modulus[2].modulus_mpa`: found"),
        "{message}"
    );
}

#[test]
fn broken_toml_quotes_its_line() {
    let (message, _) = unreadable(&LEAST.replace("\"f\"", "\"f"));
    assert!(
        message.starts_with("f.toml:1: found `name = \"f`, expected valid TOML"),
        "{message}"
    );
    let (message, hint) = unreadable(&LEAST.replace("value = 90", "value = 9,5"));
    assert!(
        message.starts_with("f.toml:3: found `thickness_um = "),
        "{message}"
    );
    assert!(hint.contains("a point"), "{hint}");
    let (message, _) = unreadable(&format!("{LEAST}name = \"g\"\n"));
    assert!(
        message.starts_with("f.toml:4: found `name = \"g\"`"),
        "{message}"
    );
    assert!(unreadable("").0.starts_with("f.toml:1: found no `name`"));
}

#[test]
fn a_table_in_place_of_a_list_is_told_how_a_list_is_written() {
    let text = format!(
        "{LEAST}[modulus]\ntemperature_c = 20\nmodulus_mpa = {{ value = 9, source = \"s\" }}\n"
    );
    let (message, _) = unreadable(&text);
    assert!(
        message.starts_with("f.toml:4: `modulus`: found one table, expected a list"),
        "{message}"
    );
    assert!(message.contains("`[[..]]`"), "{message}");
}

#[test]
fn windows_line_ends_and_a_byte_order_mark_are_read() {
    let text = format!("\u{feff}{}", EXAMPLE.replace('\n', "\r\n"));
    assert_eq!(parse_film("f.toml", &text), parse_film("f.toml", EXAMPLE));
    let faults = refused(&text.replace("value = 90.0", "value = -90.0"));
    assert_eq!((faults[0].0, faults[0].1.as_str()), (6, "thickness_um"));
}

#[test]
fn json_has_the_keys_of_the_toml_and_reads_back() {
    for film in builtin_films() {
        let from_toml: serde_json::Value = toml::from_str(&bundled("films", &film.name)).unwrap();
        let json = serde_json::to_value(&film).unwrap();
        assert_eq!(json_paths(&json), json_paths(&from_toml), "{}", film.name);
        assert_eq!(json, from_toml, "{}", film.name);
        let text = serde_json::to_string(&film).unwrap();
        assert_eq!(serde_json::from_str::<FilmClass>(&text).unwrap(), film);
    }
    for tool in builtin_tools() {
        let from_toml: serde_json::Value = toml::from_str(&bundled("tools", &tool.name)).unwrap();
        assert_eq!(
            serde_json::to_value(&tool).unwrap(),
            from_toml,
            "{}",
            tool.name
        );
    }
}

#[test]
fn a_class_from_json_can_be_checked_as_well() {
    let mut film = film_named("wrap-cast").unwrap();
    assert!(film.faults().is_empty());
    film.limit_pct.value = f64::INFINITY;
    let faults = film.faults();
    assert_eq!(faults.len(), 1);
    assert_eq!((faults[0].at.place, key(&faults[0])), (None, "limit_pct"));
}

#[test]
fn a_tool_is_checked_like_a_film() {
    let text = "name = \"t\"\n\
                pad_mm = { value = -1, source = \"s\" }\n\
                tip_radius_mm = { value = nan }\n\
                contact_length_mm = { value = 0, source = \"s\" }\n";
    let error = parse_tool("t.toml", text).unwrap_err();
    assert_eq!(
        error.said(Voice::PLAIN).message,
        "t.toml:2: `pad_mm`: found -1, expected a finite number, 0 or more\n\
         t.toml:3: `tip_radius_mm`: found NaN, expected a finite number, 0 or more\n\
         t.toml:3: `tip_radius_mm`: found no `source`, \
         expected where the number comes from, if only `invented for the demo`\n\
         t.toml:4: `contact_length_mm`: found 0, expected a finite number above 0"
    );
    let error = parse_tool("t.toml", "pad = 3\n").unwrap_err();
    assert!(error.to_string().starts_with("t.toml:1: "), "{error}");
    assert!(error.to_string().contains("unknown key `pad`"), "{error}");
}

#[test]
fn tools_have_their_sizes_in_mm() {
    // Reference: the values of profiles/tools/, invented.
    let sizes = |t: tautspan::Tool| (t.pad(), t.tip_radius(), t.contact_length());
    assert_eq!(
        sizes(tool_named("fingertip").unwrap()),
        (10.0, 6.0, Some(15.0))
    );
    assert_eq!(
        sizes(tool_named("felt-edge").unwrap()),
        (3.0, 1.5, Some(100.0))
    );
    assert_eq!(
        sizes(tool_named("roller").unwrap()),
        (4.0, 12.0, Some(25.0))
    );
}

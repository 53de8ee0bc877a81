//! The rows of the check table as questions of the page and as arguments of `check`.

use serde_json::{Value, json};

/// Every row of the check table, friction too: the question and the same as arguments.
pub(crate) fn questions() -> Vec<(Value, Vec<String>)> {
    let rows: Vec<Value> = serde_json::from_str(include_str!("../checks/laydown.json")).unwrap();
    assert!(rows.len() >= 15);
    rows.iter().map(question).collect()
}

fn question(row: &Value) -> (Value, Vec<String>) {
    let file = format!("tests/checks/{}.csv", row["case"].as_str().unwrap());
    let csv = std::fs::read_to_string(&file).unwrap();
    let order = row["order"].as_str().unwrap();
    let asked = json!({
        "ask": "check", "section": {"csv": csv}, "film": "wrap-cast", "order": order,
        "bond_left_x_mm": row["bond_left_x_mm"], "bond_right_x_mm": row["bond_right_x_mm"],
        "pad_mm": row["pad_mm"], "tip_radius_mm": 0, "gauge_tolerance_mm": 0,
        "bay": {"lip_friction": row["lip_friction"]},
    });
    let number = |key: &str| row[key].as_f64().unwrap().to_string();
    let mut args: Vec<String> = [
        "check",
        &file,
        "--film",
        "wrap-cast",
        "--order",
        order,
        "--tip-radius",
        "0",
        "--gauge-tolerance",
        "0",
        "--json",
    ]
    .map(str::to_owned)
    .to_vec();
    for (option, key) in [
        ("--bond-left", "bond_left_x_mm"),
        ("--bond-right", "bond_right_x_mm"),
        ("--pad", "pad_mm"),
        ("--lip-friction", "lip_friction"),
    ] {
        args.push(option.to_owned());
        args.push(number(key));
    }
    (asked, args)
}

/// The JSON that the program prints.
pub(crate) fn command_line<S: AsRef<std::ffi::OsStr>>(args: &[S]) -> Value {
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .args(args)
        .output()
        .unwrap();
    serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&output.stderr)))
}

/// Two checks with the same numbers, to `within` of their size, and the same words but for
/// section's name and assumptions, which name files and options.
pub(crate) fn checked(page: &Value, line: &Value, within: f64) {
    let (mut page, mut line) = (page.clone(), line.clone());
    for check in [&mut page, &mut line] {
        let check = check.as_object_mut().unwrap();
        assert!(check.contains_key("peak_pct"), "{check:?}");
        check["section"]["name"] = Value::Null;
        // `given by --pad` here, `given by pad_mm` there.
        for key in ["assumptions", "invented"] {
            check.remove(key);
        }
    }
    alike(&page, &line, within, "check");
}

/// Two values with the same keys, words and numbers.
pub(crate) fn alike(a: &Value, b: &Value, within: f64, at: &str) {
    match (a, b) {
        (Value::Object(x), Value::Object(y)) => {
            let keys = |o: &serde_json::Map<String, Value>| o.keys().cloned().collect::<Vec<_>>();
            assert_eq!(keys(x), keys(y), "{at}");
            for (key, value) in x {
                alike(value, &y[key], within, &format!("{at}.{key}"));
            }
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len(), "{at}");
            for (i, (v, w)) in x.iter().zip(y).enumerate() {
                alike(v, w, within, &format!("{at}[{i}]"));
            }
        }
        (Value::Number(x), Value::Number(y)) => {
            let (x, y) = (x.as_f64().unwrap(), y.as_f64().unwrap());
            assert!(
                (x - y).abs() <= within * (1.0 + y.abs()),
                "{at}: {x} against {y}"
            );
        }
        _ => assert_eq!(a, b, "{at}"),
    }
}

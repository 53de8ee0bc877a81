//! The check table, laid through the library; the command line is held to it elsewhere.

use crate::common;

use approx::assert_abs_diff_eq;
use common::{drawn, exact};
use tautspan::{Bed, Bonds, Order, Recess};

/// Accuracy to which the table is printed and recomputed, percentage points and mm.
const WITHIN: f64 = 2e-4;

#[test]
fn the_lay_down_agrees_with_the_check_table() {
    // Reference: tests/checks/laydown.json, from independent numerics (its README).
    let rows: serde_json::Value =
        serde_json::from_str(include_str!("../checks/laydown.json")).expect("a JSON table");
    let mut checked = 0;
    for row in rows.as_array().expect("a list of cases") {
        let number = |key: &str| row[key].as_f64();
        // Rows with friction belong to the general march.
        if number("lip_friction") != Some(0.0) {
            continue;
        }
        let name = row["case"].as_str().expect("a name");
        let file = format!("{}/tests/checks/{name}.csv", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(file).expect("the section of the case");
        let points: Vec<(f64, f64)> = text
            .lines()
            .skip(1)
            .filter_map(|line| line.split_once(','))
            .map(|(x, y)| (x.trim().parse().unwrap(), y.trim().parse().unwrap()))
            .collect();
        let recess = Recess::find(drawn(&points), exact()).unwrap();
        let bed = Bed::new(&recess, number("pad_mm").unwrap(), 0.0);
        let bonds = Bonds::at_x(
            &recess,
            number("bond_left_x_mm").unwrap(),
            number("bond_right_x_mm").unwrap(),
        )
        .unwrap();
        let order = match row["order"].as_str() {
            Some("edge-first") => Order::EdgeFirst,
            Some("deepest-first") => Order::DeepestFirst,
            other => panic!("an unknown order {other:?}"),
        };
        let laid = bed.lay(bonds, order).unwrap();
        let percent = |lambda: f64| 100.0 * (lambda - 1.0);
        let near = |found: f64, key: &str| {
            assert_abs_diff_eq!(found, number(key).unwrap(), epsilon = WITHIN);
        };
        near(laid.bridge(), "bridge_mm");
        near(laid.arc(), "arc_mm");
        near(100.0 * laid.mean(), "mean_pct");
        near(percent(laid.peak(&bed).unwrap().lambda), "peak_pct");
        if number("deepest_pct").is_some() {
            near(percent(laid.at_press().unwrap()), "deepest_pct");
        }
        checked += 1;
    }
    assert!(checked >= 15, "{checked} rows without friction only");
}

//! The check tables: the lay-down, and where lips and floors are.

use super::{Group, Row, Standing};
use crate::common::made::{Made, Truth};
use crate::common::{drawn, exact};
use serde_json::Value;
use tautspan::{Bed, Bonds, Conditions, Order, Point, Recess};

pub(crate) fn groups() -> Vec<Group> {
    let table: Vec<Value> =
        serde_json::from_str(include_str!("../../../tests/checks/laydown.json")).expect("a table");
    let (free, held): (Vec<_>, Vec<_>) = table
        .iter()
        .partition(|row| row["lip_friction"].as_f64() == Some(0.0));
    vec![
        Group {
            title: "The check table of the lay-down",
            source: "tests/checks/laydown.json: quadrature of the front equation; trapezoid and step also by truss elements",
            standing: Standing::Numerics,
            tolerance: "as printed and recomputed, 2e-4",
            rows: free
                .into_iter()
                .flat_map(|row| rows_of(row, 2e-4))
                .collect(),
        },
        Group {
            title: "The check table, friction on the lips",
            source: "tests/checks/laydown.json: a Runge-Kutta march good to 1e-4 relative",
            standing: Standing::Numerics,
            tolerance: "0.02 points",
            rows: held
                .into_iter()
                .flat_map(|row| rows_of(row, 0.02))
                .collect(),
        },
        landmarks(),
    ]
}

/// The section of a case.
fn section_of(case: &str) -> Recess {
    let text = match case {
        "trapezoid-80-40-25" => include_str!("../../../tests/checks/trapezoid-80-40-25.csv"),
        "vee-60-20" => include_str!("../../../tests/checks/vee-60-20.csv"),
        "step-12" => include_str!("../../../tests/checks/step-12.csv"),
        other => panic!("no section of the name {other}"),
    };
    let points: Vec<(f64, f64)> = text
        .lines()
        .skip(1)
        .filter_map(|line| line.split_once(','))
        .map(|(x, y)| (x.trim().parse().expect("x"), y.trim().parse().expect("y")))
        .collect();
    Recess::find(drawn(&points), exact()).expect("a recess")
}

fn rows_of(row: &Value, tolerance: f64) -> Vec<Row> {
    let number = |key: &str| row[key].as_f64();
    let given = |key: &str| number(key).expect("a number of the case");
    let case = row["case"].as_str().expect("a name");
    let recess = section_of(case);
    let bed = Bed::new(&recess, given("pad_mm"), 0.0);
    let order = match row["order"].as_str() {
        Some("edge-first") => Order::EdgeFirst,
        Some("deepest-first") => Order::DeepestFirst,
        other => panic!("an unknown order {other:?}"),
    };
    let friction = given("lip_friction");
    let conditions = Conditions {
        lip_friction: friction,
        ..Conditions::default()
    };
    let bonds = Bonds::at_x(&recess, given("bond_left_x_mm"), given("bond_right_x_mm"));
    let laid = bonds
        .ok()
        .and_then(|bonds| bed.lay_under(bonds, order, &conditions).ok());
    let percent = |lambda: f64| 100.0 * (lambda - 1.0);
    let of = |take: &dyn Fn(&tautspan::Laydown) -> Option<f64>| {
        laid.as_ref().and_then(take).unwrap_or(f64::NAN)
    };
    let what = |key: &str| {
        format!(
            "{case}, bridge {:.0} mm, {}, friction {friction}: {key}",
            given("bridge_mm"),
            order.name()
        )
    };
    let mut rows = vec![Row::new(
        what("peak"),
        "%",
        given("peak_pct"),
        of(&|l| l.peak(&bed).map(|p| percent(p.lambda))),
        tolerance,
    )];
    if let Some(deepest) = number("deepest_pct") {
        rows.push(Row::new(
            what("deepest point"),
            "%",
            deepest,
            of(&|l| l.at_press().map(percent)),
            tolerance,
        ));
    }
    if friction <= 0.0 {
        rows.push(Row::new(
            what("bridge"),
            "mm",
            given("bridge_mm"),
            of(&|l| Some(l.bridge())),
            tolerance,
        ));
        rows.push(Row::new(
            what("arc"),
            "mm",
            given("arc_mm"),
            of(&|l| Some(l.arc())),
            tolerance,
        ));
        rows.push(Row::new(
            what("mean"),
            "%",
            given("mean_pct"),
            of(&|l| Some(100.0 * l.mean())),
            tolerance,
        ));
    }
    rows
}

/// A row of the table of landmarks.
fn made_of(row: &Value) -> Made {
    let pair = |v: &Value| Some((v[0].as_f64()?, v[1].as_f64()?));
    let points = row["points"].as_array().expect("points").iter();
    Made {
        what: row["what"].as_str().expect("words").to_owned(),
        points: points
            .map(|p| pair(p).expect("a point"))
            .map(|(x, y)| Point::new(x, y))
            .collect(),
        clear: pair(&row["clear_mm"]).expect("clear panel"),
        truth: Truth {
            kind: serde_json::from_value(row["kind"].clone()).expect("a kind"),
            lips: (pair(&row["left_lip_x_mm"]), pair(&row["right_lip_x_mm"])),
            feet: (None, None),
            depth: row["depth_mm"].as_f64(),
        },
    }
}

fn landmarks() -> Group {
    let table: Vec<Value> =
        serde_json::from_str(include_str!("../../../tests/checks/landmarks.json"))
            .expect("a table");
    let rows = table.iter().map(made_of).enumerate().map(|(i, made)| {
        let misread = made.misread();
        let said = if misread.is_empty() {
            String::new()
        } else {
            format!(": {}", misread.join("; "))
        };
        Row::new(
            format!("{}. {}{said}", i + 1, made.what),
            "misread",
            0.0,
            f64::from(u8::from(!misread.is_empty())),
            0.0,
        )
    });
    Group {
        title: "Forty sections: kind, lips and depth",
        source: "tests/checks/landmarks.json: made from corners and fillets whose places are known",
        standing: Standing::Made,
        tolerance: "a sharp corner or the ends of a fillet, 1 mm more",
        rows: rows.collect(),
    }
}

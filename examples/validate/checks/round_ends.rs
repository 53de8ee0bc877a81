//! Film round a closed end.

use super::{Group, Row, Standing};
use tautspan::ends::{EndCase, EndKind, EndOrder, EndText, LaidEnd, Trapezoid, lay_end};
use tautspan::film::StretchLaw;

/// A value of tests/reference/end.csv by its case and what it is.
fn reference(case: &str, quantity: &str) -> f64 {
    let rows = include_str!("../../../tests/reference/end.csv").lines();
    let row = rows
        .map(|line| line.split(',').collect::<Vec<_>>())
        .find(|row| row[0] == case && row[3] == quantity)
        .expect("a row of the reference");
    row[7].parse().expect("a number")
}

/// The reference's channel, its press line ending where the reference's does.
pub(crate) fn laid(press_stop: Option<f64>, law: &StretchLaw) -> LaidEnd {
    let section = Trapezoid {
        mouth: 80.0,
        floor: 40.0,
        depth: 25.0,
    };
    let said = EndText {
        kind: EndKind::Rounded,
        ..EndText::default()
    };
    let case = EndCase {
        section,
        size: said.size(&section, 10.0, press_stop).expect("an end"),
        pad: 10.0,
        side_reach: 35.0,
        end_reach: 35.0,
        half_length: None,
    };
    lay_end(&case, EndOrder::DeepestFirst, law).expect("an answer")
}

pub(crate) fn groups() -> Vec<Group> {
    let pct = |stretch: f64| 100.0 * (stretch - 1.0);
    let law = StretchLaw::default();
    let whole = laid(None, &law);
    let area = reference("P=40", "laid on floor: greatest area");
    let most = reference("P=40", "laid on floor: greatest l1");
    let near = laid(Some(5.0), &law);
    let near_area = reference("P=25", "laid on floor: greatest area");
    vec![Group {
        title: "Round a closed end: the channel 80, 40, 25 mm, 35 mm of reach",
        source: "tests/reference/end.csv: nodes that move with the film, a rounded lip made sharp by extrapolation, another solver",
        standing: Standing::Numerics,
        tolerance: "1 % of the area; 1.6 % of the stretch, whose reference is itself good to 0.6 %; 4 % where the press stops near the foot",
        rows: vec![
            Row::new(
                "greatest growth of area",
                "%",
                area,
                pct(whole.thinnest.area()),
                0.01 * area,
            ),
            Row::new(
                "greatest stretch",
                "%",
                most,
                pct(whole.most.stretch[0]),
                0.016 * most,
            ),
            Row::new(
                "greatest growth of area, press 5 mm from the foot",
                "%",
                near_area,
                pct(near.thinnest.area()),
                0.04 * near_area,
            ),
        ],
    }]
}

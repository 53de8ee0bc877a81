//! Film round closed ends for the tests of their pictures, by the solver.

use super::paper::Look;
use super::{EndLook, OrderName, end_above, end_fronts, end_rulers};
use crate::ends::{EndCase, EndKind, EndOrder, EndText, LaidEnd, Trapezoid, lay_end};
use crate::film::StretchLaw;

/// Kind, reach, pad, order, half length of a pocket, run, and a limit.
type Said = (EndKind, f64, f64, EndOrder, Option<f64>, Option<f64>, f64);

fn laid(said: Said) -> (LaidEnd, OrderName, f64) {
    let (kind, reach, pad, order, half_length, run, limit) = said;
    let section = Trapezoid {
        mouth: 80.0,
        floor: 40.0,
        depth: 25.0,
    };
    let text = EndText {
        kind,
        run,
        ..EndText::default()
    };
    let case = EndCase {
        section,
        size: text.size(&section, pad, None).unwrap(),
        pad,
        side_reach: reach,
        end_reach: reach,
        half_length,
    };
    let name = match order {
        EndOrder::DeepestFirst => OrderName::DeepestFirst,
        EndOrder::EdgeFirst => OrderName::EdgeFirst,
    };
    let laid = lay_end(&case, order, &StretchLaw::default()).unwrap();
    (laid, name, limit)
}

/// Cases with a name.
fn all() -> Vec<(&'static str, (LaidEnd, OrderName, f64))> {
    use EndKind::{Ramp, Rounded, Square};
    use EndOrder::{DeepestFirst, EdgeFirst};
    let cases: [(&str, Said); 8] = [
        ("over", (Rounded, 35.0, 10.0, DeepestFirst, None, None, 0.2)),
        (
            "within",
            (Rounded, 170.0, 20.0, DeepestFirst, None, None, 0.3),
        ),
        (
            "square",
            (Square, 35.0, 10.0, DeepestFirst, None, None, 0.3),
        ),
        (
            "ramp",
            (Ramp, 35.0, 10.0, DeepestFirst, None, Some(80.0), 0.3),
        ),
        (
            "pocket",
            (Rounded, 35.0, 10.0, DeepestFirst, Some(90.0), None, 0.3),
        ),
        ("edges", (Rounded, 35.0, 10.0, EdgeFirst, None, None, 0.3)),
        (
            "at the lip",
            (Rounded, 0.0, 10.0, DeepestFirst, None, None, 0.3),
        ),
        (
            "wide pad",
            (Rounded, 60.0, 60.0, DeepestFirst, None, None, 0.2),
        ),
    ];
    cases.map(|(name, said)| (name, laid(said))).into()
}

#[test]
fn no_text_of_an_end_touches_a_line_a_text_or_an_edge() {
    for (name, (laid, order, limit)) in &all() {
        let most = laid.most.stretch[0] - 1.0;
        let end = EndLook {
            laid,
            order: *order,
            raised: 1.0,
            film_name: "wrap-cast",
            limit: *limit,
            area_limit: None,
            doubt: 0.25,
            within: most <= *limit,
        };
        for look in Look::ALL {
            let drawn = [
                (end_above(&end, look), ["stretched most", "lip", "tape"]),
                (end_fronts(&end, look), ["half the wall", "lip", "down"]),
                (end_rulers(&end, look), ["fades most", "Flat film", "Laid"]),
            ];
            for (drawing, words) in drawn {
                let drawing = drawing.unwrap();
                assert_eq!(drawing.faults(), Vec::<String>::new(), "{name} {look:?}");
                let svg = drawing.svg();
                for word in words {
                    assert!(svg.contains(word), "{name} {look:?}: {word}");
                }
            }
            let svg = end_above(&end, look).unwrap().svg();
            let word = if end.within { ">within<" } else { ">over<" };
            assert!(svg.contains(word), "{name} {look:?}");
        }
    }
}

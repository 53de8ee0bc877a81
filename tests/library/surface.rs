//! What a library user meets: few names at the root, and the programs of `examples/`.

#[path = "../../examples/fleet.rs"]
#[allow(dead_code, reason = "its main prints")]
mod fleet;
#[path = "../../examples/orders.rs"]
#[allow(dead_code, reason = "its main prints")]
mod orders;
#[path = "../../examples/width.rs"]
#[allow(dead_code, reason = "its main prints")]
mod width;

use approx::assert_abs_diff_eq;
use tautspan::Order;

#[test]
fn the_root_has_few_names() {
    let source = include_str!("../../src/lib.rs");
    assert!(!source.contains("::*"), "a list that nobody sees");
    let listed = source.split("pub use ").skip(1);
    let names: Vec<&str> = listed
        .flat_map(|list| list.split(';').next().unwrap().split(['{', ',', '}']))
        .map(str::trim)
        .filter(|name| !name.is_empty() && !name.ends_with("::"))
        .collect();
    assert!((25..=35).contains(&names.len()), "{names:?}");
}

#[test]
fn the_examples_answer_what_the_program_does() {
    // Reference: the plan's worked channel, assured with the fingertip: see
    // `the_worked_channel_gets_what_the_plan_has_for_it`; as read it needs 124.4 mm.
    let mm = width::width().unwrap().unwrap();
    assert!((130.0..=145.0).contains(&mm), "{mm}");
    // Reference: mechanics, worked values of that channel with a point: edges first 51.6538 %
    // at any width, deepest first 17.0956 % at 150 mm.
    let (deepest, _) = orders::elongations(Order::DeepestFirst).unwrap();
    let (edges, _) = orders::elongations(Order::EdgeFirst).unwrap();
    assert_abs_diff_eq!(deepest.unwrap(), 17.0956, epsilon = 1e-4);
    assert_abs_diff_eq!(edges.unwrap(), 51.6538, epsilon = 1e-4);
    let rows = fleet::widths().unwrap();
    let films = tautspan::builtin_films().len();
    assert_eq!(rows.len(), 1 + tautspan::DEMO_RECESSES.len() * films);
    // Reference: what the README's main command recommends.
    assert!(
        rows.contains(&"deep-channel,wrap-cast,135".to_owned()),
        "{rows:?}"
    );
}

//! The page in the bay: what an installer with gloves, a thumb that scrolls and a browser's own
//! menu must not get wrong. In Chromium; skipped, and said so, where there is none.

#![expect(
    clippy::float_cmp,
    reason = "what a page gives back is the very number that was put in"
)]

use crate::browser::open;
use crate::common::chromium::Page;
use crate::common::rows::command_line;
use crate::common::screen::Screen as _;
use crate::seen::{self, Paper};

use serde_json::{Value, json};

/// Whether elements lie whole within the window.
fn seen(page: &mut Page, selectors: &[&str]) -> Value {
    page.eval(&format!(
        "{selectors:?}.filter((s) => {{ const b = document.querySelector(s).getBoundingClientRect(); return b.width < 1 || b.top < -1 || b.left < -1 || b.bottom > innerHeight + 1 || b.right > innerWidth + 1; }})"
    ))
}

const FIRST: [&str; 7] = [
    "#answer",
    "#within",
    "#deepest .drawing",
    "#bridge",
    "#narrower",
    "#wider",
    "#bridge-mm",
];

#[test]
fn the_first_screen_of_a_phone_has_what_to_do_the_picture_and_the_width() {
    let Some((mut page, _disk)) = open(390, 664) else {
        return;
    };
    // Upright, small, on its side; 1280 by 720 enlarged twice.
    for (width, height) in [(390, 664), (360, 640), (320, 568), (664, 390), (640, 360)] {
        page.size(width, height);
        page.settle();
        page.eval("scrollTo(0, 0)");
        assert_eq!(seen(&mut page, &FIRST), json!([]), "{width} by {height}");
        // Further down, at a control, the picture is still there.
        page.eval("(() => { for (const fold of document.querySelectorAll('.fold')) fold.open = true; document.querySelector('#film').scrollIntoView({block: 'nearest'}); })()");
        page.settle();
        let together = ["#film", "#deepest .drawing", "#within"];
        assert_eq!(
            seen(&mut page, &together),
            json!([]),
            "{width} by {height} at the film"
        );
        let covered = page.eval("(() => { const b = document.querySelector('#film').getBoundingClientRect(); return document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2).id; })()");
        assert_eq!(covered, json!("film"), "{width} by {height}");
    }
    let words = page.eval("document.querySelector('#answer').textContent");
    assert!(
        words.as_str().unwrap().starts_with("Leave 130\u{202f}mm"),
        "{words}"
    );
    page.assert_quiet();
}

#[test]
fn the_menu_prints_the_card_of_what_is_on_the_screen() {
    let Some((mut page, _disk)) = open(1000, 800) else {
        return;
    };
    page.settle();
    let mut changes = Vec::new();
    for film in ["wrap-cast", "polymeric", "recess-cast", "print-cast"] {
        for change in [
            "s.bridge = null",
            "s.bridge = 140",
            "s.bridge = 180",
            "s.shape.depth = 20 + Math.round(s.shape.depth) % 3",
            "s.bridge = null; s.shape.mouth += 5",
        ] {
            changes.push(format!("s.film = '{film}'; {change}"));
        }
    }
    assert_eq!(changes.len(), 20);
    seen::the_menu_prints_what_is_on_the_screen(&mut page, &changes);
    page.assert_quiet();
}

#[test]
fn while_a_fault_stands_no_old_result_does() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    seen::while_a_fault_stands_no_old_result_does(&mut page);
    page.assert_quiet();
}

#[test]
fn a_thumb_that_scrolls_changes_nothing_and_a_width_that_cannot_be_is_said() {
    let Some((mut page, _disk)) = open(390, 664) else {
        return;
    };
    let before = page.number("tautspan.page.orders.bridge_mm");
    seen::a_thumb_that_scrolls_changes_nothing(&mut page);
    seen::a_finger_taken_for_scrolling_changes_nothing(&mut page);
    // Along the slider it is the width.
    page.swipe("#bridge", 60.0, 0.0);
    page.settle();
    assert!(page.number("tautspan.page.orders.bridge_mm") > before + 5.0);
    // Steps of a tape.
    page.state("s.bridge = 132");
    for (button, width) in [
        ("#wider", 135.0),
        ("#wider", 140.0),
        ("#narrower", 135.0),
        ("#narrower", 130.0),
    ] {
        page.click(button);
        page.settle();
        assert_eq!(page.number("tautspan.page.orders.bridge_mm"), width);
    }
    seen::a_width_that_cannot_be_is_said(&mut page);
    // A bond line dragged in the picture is the bridge too.
    page.state("s.bridge = 130");
    seen::mark_the_right_bond_line(&mut page);
    page.swipe("#mark", 20.0, 0.0);
    page.settle();
    seen::the_bond_line_was_dragged(&mut page, 130.0, 20.0);
    page.assert_quiet();
}

#[test]
fn a_reload_brings_the_state_back() {
    let Some((mut page, _disk)) = open(390, 664) else {
        return;
    };
    seen::a_reload_brings_the_state_back(&mut page);
    page.assert_quiet();
}

#[test]
fn single_points_are_few_and_the_flat_line_of_edges_first_is_on_the_curve() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    seen::single_points_are_few(&mut page);
    seen::edges_first_is_on_the_curve(&mut page);
    page.assert_quiet();
}

#[test]
fn the_newest_question_ends_a_slow_one_and_what_computes_says_so() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    seen::the_newest_question_ends_a_slow_one(&mut page);
    page.assert_quiet();
}

#[test]
fn tape_readings_are_shown_and_printed_at_the_width_that_all_their_shapes_need() {
    let Some((mut page, _disk)) = open(1000, 800) else {
        return;
    };
    page.state("s.way = 'tape'");
    let line = command_line(&[
        "recommend",
        "--tape",
        "mouth=80,depth=25,tape=104",
        "--film",
        "wrap-cast",
        "--json",
    ]);
    let width = line["recommended"]["bridge_mm"].as_f64().unwrap();
    let peak = line["recommended"]["peak_pct"].as_f64().unwrap();
    assert!((page.number("tautspan.page.orders.bridge_mm") - width).abs() < 1e-9);
    assert!((page.number("tautspan.page.orders.checks[0].peak_pct") - peak).abs() < 1e-9 * peak);
    let said = page.eval("document.getElementById('answer').textContent");
    assert!(
        said.as_str()
            .unwrap()
            .starts_with(&format!("Leave {width:.0}\u{202f}mm free.")),
        "{said}"
    );
    assert!(Paper::of(&mut page).says(&format!("{width:.0} mm tape to tape")));
    // In inches, as a tape has them.
    page.eval("(() => { const s = document.getElementById('read-in'); s.value = 'in'; s.dispatchEvent(new Event('change')); })()");
    page.settle();
    page.eval("(() => { const f = document.querySelector('#tape-fields [data-key=mouth]'); f.value = '3 1/8'; for (const kind of ['input', 'change']) f.dispatchEvent(new Event(kind, {bubbles: true})); })()");
    page.settle();
    assert_eq!(page.number("tautspan.page.state.tape.mouth"), 79.375);
    assert_eq!(
        page.eval("document.querySelector('#tape-fields [data-key=mouth]').value"),
        json!("3\u{a0}1/8")
    );
    let said = page.eval("document.getElementById('answer').textContent");
    assert!(said.as_str().unwrap().contains("\u{202f}in free"), "{said}");
    page.assert_quiet();
}

#[test]
fn bond_lines_a_limit_and_a_class_of_ones_own_are_taken_and_go_into_the_job_file() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.state("s.more.bond_left_x_mm = -70; s.more.bond_right_x_mm = 60");
    assert_eq!(page.eval("tautspan.page.fault"), Value::Null);
    assert!((page.number("tautspan.page.orders.checks[0].bond_left.x_mm") + 70.0).abs() < 1e-9);
    assert!((page.number("tautspan.page.orders.bridge_mm") - 130.0).abs() < 0.1);
    // The slider takes the width back.
    page.click("#wider");
    page.settle();
    assert_eq!(
        page.eval("tautspan.page.state.more.bond_left_x_mm === undefined"),
        json!(true)
    );
    // A limit of one's own: the stamp has it no more, and the job file brings it back.
    page.eval("(() => { const f = document.getElementById('own-limit'); f.value = '12'; f.dispatchEvent(new Event('change')); })()");
    page.settle();
    assert_eq!(page.number("tautspan.page.advice.film.limit_pct"), 12.0);
    let training = page.eval("document.getElementById('training').textContent");
    assert!(!training.as_str().unwrap().contains("limit"), "{training}");
    let back = page.eval("(async () => { const { tomlOf, questionOf, stateOf } = tautspan.job; const [state] = await stateOf(questionOf(tomlOf(tautspan.page.question())), tautspan.ask); return state.own.limit_pct; })()");
    assert_eq!(back, json!({"value": 12, "source": "typed on the page"}));
    // Another class with a tap, out of the table of all.
    page.wait("document.querySelectorAll('#compared [data-film]').length === 6");
    page.click("#compared [data-film=recess-cast]");
    page.settle();
    assert_eq!(page.eval("tautspan.page.state.own"), Value::Null);
    assert_eq!(
        page.eval("tautspan.page.advice.film.name"),
        json!("recess-cast")
    );
    page.assert_quiet();
}

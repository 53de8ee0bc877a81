//! The page in the bay: what an installer with gloves, a thumb that scrolls and a browser's own
//! menu must not get wrong. In Chromium; skipped, and said so, where there is none.

#![expect(
    clippy::float_cmp,
    reason = "what a page gives back is the very number that was put in"
)]

use crate::browser::open;
use crate::common::chromium::Page;
use crate::common::pdf::Pdf;
use crate::common::rows::command_line;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

/// Sets a state and waits for all that follows of it.
fn state(page: &mut Page, change: &str) {
    page.eval(&format!(
        "(async () => {{ const s = tautspan.page.state; {change}; await tautspan.page.changed(true); }})()"
    ));
    page.settle();
}

/// What stands on the paper that the browser's own menu prints.
fn printed(page: &mut Page) -> Paper {
    let pdf = page.call("Page.printToPDF", json!({"preferCSSPageSize": true}));
    let bytes = STANDARD.decode(pdf["data"].as_str().unwrap()).unwrap();
    Paper(Pdf::read(&bytes))
}

/// A print.
struct Paper(Pdf);

impl Paper {
    fn says(&self, words: &str) -> bool {
        (0..self.0.pages()).any(|page| self.0.says(page, words))
    }
}

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
    for change in changes {
        state(&mut page, &change);
        let shown = page.number("tautspan.page.orders.bridge_mm");
        let film = page.eval("tautspan.page.state.film");
        let paper = printed(&mut page);
        // A width that is over is no card to lay film by: it names the width and says so.
        let tapes = page.eval("((c) => { const w = Math.round(c.bridge_mm * 10) / 10; return c.within_limit ? `${w} mm tape to tape` : `at a bridge of ${w} mm was asked for`; })(tautspan.page.orders.checks[0])");
        let film = format!("Film {}", film.as_str().unwrap());
        let order = page.eval("({'deepest-first': 'Deepest point first', 'edge-first': 'Edges first', 'middle-push': 'Middle push'})[tautspan.page.state.bridge === null ? tautspan.page.advice.recommended.order : 'deepest-first']");
        for part in [tapes.as_str().unwrap(), &film, order.as_str().unwrap()] {
            assert!(
                paper.says(part),
                "{change}: no {part} at {shown} on the paper"
            );
        }
    }
    // Before it is computed, and with a fault, the paper says so, and shows no width.
    page.eval("tautspan.page.state.shape.depth = 22; tautspan.page.changed(true); 0");
    let paper = printed(&mut page);
    assert!(paper.says("still being computed") || paper.says("tape to tape"));
    state(&mut page, "s.shape['lip-radius'] = 190");
    let paper = printed(&mut page);
    assert!(paper.says("No job card"));
    assert!(!paper.says("tape to tape"));
    page.assert_quiet();
}

#[test]
fn while_a_fault_stands_no_old_result_does() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    state(&mut page, "s.way = 'tape'");
    assert_eq!(
        page.number("document.querySelectorAll('#tape-fields [aria-invalid=true]').length"),
        0.0
    );
    // Less tape than the mouth is wide.
    state(&mut page, "s.tape.tape = 60");
    assert_eq!(
        page.number("document.querySelectorAll('#tape-fields [aria-invalid=true]').length"),
        8.0
    );
    // Nothing with a percentage in it is left to see.
    let left = page.eval("(() => { const all = []; const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT); while (walk.nextNode()) { const e = walk.currentNode.parentElement; if (/\\d\\s?%/.test(walk.currentNode.data) && e.getClientRects().length && getComputedStyle(e).visibility === 'visible' && !e.closest('option, .scale, .choices')) all.push(walk.currentNode.data); } return all; })()");
    assert_eq!(left, json!([]));
    let said = page.eval("document.getElementById('answer').textContent");
    assert!(
        said.as_str()
            .unwrap()
            .starts_with("No answer: tape: found a tape of 60"),
        "{said}"
    );
    state(&mut page, "s.tape.tape = 104");
    assert_eq!(
        page.number("document.querySelectorAll('[aria-invalid=true]').length"),
        0.0
    );
    // A fault of the handling is not one of the readings.
    state(&mut page, "s.bay.warm_c = 900");
    assert!(page.eval("Boolean(tautspan.page.fault)") == json!(true));
    assert_eq!(
        page.number("document.querySelectorAll('#tape-fields [aria-invalid=true]').length"),
        0.0
    );
    page.assert_quiet();
}

#[test]
fn a_thumb_that_scrolls_changes_nothing_and_a_width_that_cannot_be_is_said() {
    let Some((mut page, _disk)) = open(390, 664) else {
        return;
    };
    let before = page.number("tautspan.page.orders.bridge_mm");
    page.swipe("#bridge", 4.0, -160.0);
    page.settle();
    assert_eq!(page.number("tautspan.page.orders.bridge_mm"), before);
    assert_eq!(page.eval("tautspan.page.state.bridge"), Value::Null);
    assert!(
        page.number("scrollY") > 50.0,
        "the page scrolled under the thumb"
    );
    page.eval("scrollTo(0, 0)");
    // Along the slider it is the width.
    page.swipe("#bridge", 60.0, 0.0);
    page.settle();
    assert!(page.number("tautspan.page.orders.bridge_mm") > before + 5.0);
    // Steps of a tape.
    state(&mut page, "s.bridge = 132");
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
    for (typed, said) in [("60", "Shown at 80.5"), ("900", "Shown at 680.4")] {
        page.eval(&format!("(() => {{ const f = document.getElementById('bridge-mm'); f.value = '{typed}'; f.dispatchEvent(new Event('change')); }})()"));
        page.settle();
        let note = page.eval("document.getElementById('bridge-note').textContent");
        let note = note.as_str().unwrap();
        assert!(
            note.starts_with(&format!("{typed}\u{202f}mm cannot be laid here"))
                && note.contains(said),
            "{note}"
        );
    }
    page.eval("(() => { const f = document.getElementById('bridge-mm'); f.value = ''; f.dispatchEvent(new Event('change')); })()");
    assert_eq!(
        page.eval("document.getElementById('bridge-mm').value"),
        json!("680.4")
    );
    // A bond line dragged in the picture is the bridge too.
    state(&mut page, "s.bridge = 130");
    page.eval("(() => { const v = tautspan.page.view, c = tautspan.page.orders.checks[0], d = document.querySelector('#deepest .drawing'); const mark = document.createElement('i'); mark.id = 'mark'; mark.style.cssText = `position:absolute;pointer-events:none;width:2px;height:2px;top:60px;left:${v.x(c.bond_right.x_mm) - 1}px`; d.append(mark); })()");
    page.swipe("#mark", 20.0, 0.0);
    page.settle();
    let scale = page.number("tautspan.page.view.scale");
    let dragged = page.number("tautspan.page.orders.bridge_mm");
    assert!(
        (dragged - (130.0 + 2.0 * 20.0 / scale)).abs() < 4.0,
        "{dragged} at {scale} px/mm"
    );
    page.assert_quiet();
}

#[test]
fn a_reload_brings_the_state_back() {
    let Some((mut page, _disk)) = open(390, 664) else {
        return;
    };
    state(
        &mut page,
        "s.film = 'polymeric'; s.bridge = 333; s.shape.depth = 31; s.bay.lip = 'pencil'",
    );
    let kept = page.eval("JSON.stringify(tautspan.page.state)");
    let address = page.eval("location.href");
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(address.as_str().unwrap());
    page.settle();
    assert_eq!(page.eval("JSON.stringify(tautspan.page.state)"), kept);
    page.assert_quiet();
}

#[test]
fn single_points_are_few_and_the_flat_line_of_edges_first_is_on_the_curve() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.click("input[name=way][value=drag]");
    page.settle();
    let handles = page.number("document.querySelectorAll('#handles .handle').length");
    assert!((6.0..=16.0).contains(&handles), "{handles} points");
    let note = page.eval("document.getElementById('drag-note').textContent");
    assert!(
        note.as_str().unwrap().starts_with("Thinned from 130"),
        "{note}"
    );
    // As tall as the scale, and far beyond it.
    for (film, off) in [("wrap-cast", false), ("polymeric", true)] {
        state(&mut page, &format!("s.film = '{film}'"));
        page.wait("tautspan.page.sweep !== null");
        let said = page.eval(
            "[...document.querySelectorAll('#curve text')].map((t) => t.textContent).join('|')",
        );
        let peak = page.number("tautspan.page.orders.checks[1].peak_pct");
        let said = said.as_str().unwrap();
        assert!(said.contains(&format!("edges first {peak:.1}")), "{said}");
        assert_eq!(said.contains("off the scale"), off, "{said}");
        assert!(
            page.eval("Boolean(document.querySelector('#curve svg path.edge'))") == json!(true)
        );
    }
    page.assert_quiet();
}

#[test]
fn the_newest_question_ends_a_slow_one_and_what_computes_says_so() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    // Warm between the lips on the asymmetric recess with drag: some seconds.
    page.eval("(() => { const s = tautspan.page.state; s.way = 'text'; s.text = tautspan.page.catalogue.recesses.find((r) => /asym/.test(r.name)).csv; s.bay = { warm: 'mouth', lip_friction: 0.3, drag_kpa: 3 }; tautspan.page.changed(true); })()");
    page.wait("document.querySelector('main').classList.contains('working')");
    page.eval("(() => { const s = tautspan.page.state; s.way = 'shape'; s.bay = {}; s.film = 'recess-cast'; window.asked = performance.now(); tautspan.page.changed(true).then(() => { window.took = performance.now() - asked; }); })()");
    page.settle();
    page.eval("(async () => { for (let i = 0; i < 100 && window.took === undefined; i += 1) await new Promise((r) => setTimeout(r, 50)); })()");
    assert_eq!(
        page.eval("tautspan.page.orders.checks[0].film.name"),
        json!("recess-cast")
    );
    assert_eq!(
        page.eval("document.querySelector('main').classList.contains('working')"),
        json!(false)
    );
    page.assert_quiet();
}

#[test]
fn tape_readings_are_shown_and_printed_at_the_width_that_all_their_shapes_need() {
    let Some((mut page, _disk)) = open(1000, 800) else {
        return;
    };
    state(&mut page, "s.way = 'tape'");
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
    assert!(printed(&mut page).says(&format!("{width:.0} mm tape to tape")));
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
    state(
        &mut page,
        "s.more.bond_left_x_mm = -70; s.more.bond_right_x_mm = 60",
    );
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

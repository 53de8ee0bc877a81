//! What stands beside deepest point first on the page: other orders, steps of one's own and the
//! search for the best, played step by step; and what is printed for a class and for the wall.
//! In Chromium; skipped, and said so, where there is none.

#![expect(clippy::float_cmp, reason = "counts of elements are whole")]

use crate::browser::open;
use crate::common::chromium::Page;
use crate::common::pdf::Pdf;
use crate::common::rows::command_line;
use crate::common::screen::Screen as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

/// The page's first recess, as the command line takes it.
const FIRST: &str =
    "channel:mouth=80,depth=25,left-wall=51,right-wall=51,lip-radius=3,foot-radius=3";

/// Chooses what stands beside deepest point first.
fn beside(page: &mut Page, order: &str) {
    page.eval(&format!("(() => {{ const s = document.getElementById('beside'); s.value = '{order}'; s.dispatchEvent(new Event('change')); }})()"));
    page.settle();
}

/// The page's first recess as the command line lays it.
fn checked(order: &str, bridge: Option<&str>) -> Value {
    let mut args = vec!["check", "--shape", FIRST, "--film", "wrap-cast", "--json"];
    args.extend(["--order", order]);
    args.extend(bridge.into_iter().flat_map(|mm| ["--bridge", mm]));
    command_line(&args)
}

/// Peaks this near are one: the browser rounds `exp` and `ln` in its own way.
fn near(a: &Value, b: &Value) {
    let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} and {b}");
}

#[test]
fn other_orders_stand_beside_deepest_point_first() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    for (order, name, bridge) in [
        ("middle-push", "Middle push", None),
        ("one-way", "One way, far side loose", Some("130")),
        ("", "Edges first", Some("130")),
    ] {
        beside(&mut page, order);
        let asked = if order.is_empty() {
            "edge-first"
        } else {
            order
        };
        let line = checked(asked, bridge);
        near(
            &page.eval("tautspan.page.orders.checks[1].peak_pct"),
            &line["peak_pct"],
        );
        near(
            &page.eval("tautspan.page.orders.checks[1].bridge_mm"),
            &line["bridge_mm"],
        );
        let names = page
            .eval("[...document.querySelectorAll('.beside:not(.low)')].map((e) => e.textContent)");
        assert_eq!(names, json!([name, name, name]));
    }
    page.assert_quiet();
}

#[test]
fn the_best_steps_are_those_of_the_command_line_and_are_played_one_by_one() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    beside(&mut page, "steps");
    page.click("#find-steps");
    page.wait("tautspan.page.found && !tautspan.page.busy");
    page.settle();
    let line = command_line(&[
        "order",
        "--shape",
        FIRST,
        "--film",
        "wrap-cast",
        "--bridge",
        "130",
        "--json",
    ]);
    assert_eq!(page.eval("tautspan.page.state.steps"), line["order"]);
    near(
        &page.eval("tautspan.page.orders.checks[1].peak_pct"),
        &line["peak_pct"],
    );
    let found = page.eval("document.getElementById('found-steps').textContent");
    let peak = line["peak_pct"].as_f64().unwrap();
    assert!(
        found
            .as_str()
            .unwrap()
            .starts_with(&format!("Peak {peak:.1}")),
        "{found}"
    );
    // Step by step: each marks its words, and more panel is down after it.
    let steps = line["steps"].as_array().unwrap().len();
    assert!(steps > 3, "{steps} steps");
    page.eval("document.querySelector('[name=shown][value=edge]').click()");
    page.click("#step-on");
    page.wait("document.getElementById('stage-words').textContent === 'bridged'");
    let mut down = 0.0;
    for k in 0..steps {
        page.click("#step-on");
        let marked = "[...document.querySelectorAll('#stage-steps li')].findIndex((li) => li.getAttribute('aria-current') === 'step')";
        page.wait(&format!("{marked} === {k}"));
        let now = page.number("(() => { const p = tautspan.page, f = p.frameOf('custom'); return f ? f.down.reduce((sum, [a, b]) => sum + b - a, 0) : p.orders.checks[1].arc_mm; })()");
        assert!(now > down, "step {}: {now} mm down after {down}", k + 1);
        down = now;
    }
    page.click("#step-back");
    page.wait(&format!(
        "document.getElementById('stage-words').textContent === 'step {}'",
        steps - 1
    ));
    // Steps that cannot be are said where they are typed, and the rest of the page stands.
    page.eval("(() => { const f = document.getElementById('own-order'); f.value = 'press 900, spread left'; f.dispatchEvent(new Event('change')); })()");
    page.settle();
    let fault = page.eval("document.getElementById('own-order-fault').textContent");
    assert!(
        fault.as_str().unwrap().starts_with("step 1: found x = 900"),
        "{fault}"
    );
    assert_eq!(
        page.eval("tautspan.page.orders.checks[1].order.name"),
        json!("edge-first")
    );
    assert_eq!(page.eval("tautspan.page.fault"), Value::Null);
    // Kept in the address and in the job file.
    page.eval("(() => { const f = document.getElementById('own-order'); f.value = 'press 0, spread right, spread left'; f.dispatchEvent(new Event('change')); })()");
    page.settle();
    let back = page.eval("(async () => { const { tomlOf, questionOf, stateOf } = tautspan.job; const [state, left] = await stateOf(questionOf(tomlOf(tautspan.page.job())), tautspan.ask); return [state.beside, state.steps, left.length]; })()");
    assert_eq!(
        back,
        json!(["steps", "press 0, spread right, spread left", 0])
    );
    let address = page.eval("location.href");
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(address.as_str().unwrap());
    page.settle();
    assert_eq!(
        page.eval("tautspan.page.orders.checks[1].order.name"),
        json!("custom")
    );
    page.assert_quiet();
}

/// Presses a button that prints, and reads what is printed.
fn printed(page: &mut Page, button: &str) -> Pdf {
    page.eval("window.printed = false; window.print = () => { window.printed = true; }");
    page.click(button);
    page.wait("window.printed");
    let pdf = page.call("Page.printToPDF", json!({"preferCSSPageSize": true}));
    page.eval("window.dispatchEvent(new Event('afterprint'))");
    page.settle();
    Pdf::read(&STANDARD.decode(pdf["data"].as_str().unwrap()).unwrap())
}

#[test]
fn lesson_and_chart_print_from_the_page_and_the_card_stands_again() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    let lesson = printed(&mut page, "#print-lesson");
    assert_eq!(lesson.pages(), 3);
    // The guess has no number of the answer in it; the answer has those of the command line.
    for (order, bridge) in [
        ("deepest-first", "100"),
        ("deepest-first", "210"),
        ("edge-first", "130"),
    ] {
        let peak = checked(order, Some(bridge))["peak_pct"].as_f64().unwrap();
        let words = format!("{peak:.1} %");
        assert!(lesson.says(1, &words) && !lesson.says(0, &words), "{words}");
    }
    assert!(lesson.says(0, "Bridge 210 mm: deepest point first"));
    assert!(
        lesson.says(2, "Peak against bridge width")
            && lesson.says(2, "Invented values decide here")
    );

    let chart = printed(&mut page, "#print-chart");
    assert_eq!(chart.pages(), 1);
    // Cell by cell, as the command line fills them.
    let line = command_line(&["chart", "--film", "wrap-cast", "--json"]);
    let html = page.eval("(async () => (await tautspan.ask({ ask: 'chart', film: 'wrap-cast', tool: 'fingertip' })).html.replace(/<style>[^]*?<\\/style>/, ''))()");
    let cells = page.eval(&format!("[0, 1].map((k) => [...new DOMParser().parseFromString({html}, 'text/html').querySelectorAll('table')[k].querySelectorAll('td')].map((cell) => cell.textContent))"));
    for (k, count) in [(0, 64), (1, 25)] {
        let told = line["grids"][k]["cells"].as_array().unwrap();
        let shown = cells[k].as_array().unwrap();
        assert_eq!((told.len(), shown.len()), (count, count));
        for (told, shown) in told.iter().zip(shown) {
            let number = shown.as_str().unwrap().split('\u{a0}').next().unwrap();
            match told["bridge_mm"].as_f64() {
                Some(width) => assert_eq!(number, format!("{width:.0}"), "{told} and {shown}"),
                None => assert!(number.parse::<f64>().is_err(), "{told} and {shown}"),
            }
            // And on the paper.
            assert!(chart.says(0, number), "{number}");
        }
    }
    assert!(chart.says(0, "Bridge width in mm: wrap-cast, fingertip"));
    // Then the menu prints the card again.
    let card = printed(&mut page, "#print");
    assert_eq!(card.pages(), 1);
    assert!(card.says(0, "130 mm tape to tape"));
    page.assert_quiet();
}

/// Types into a field, and leaves it.
fn typed(page: &mut Page, selector: &str, text: &str) {
    page.eval(&format!("(() => {{ const f = document.querySelector({selector:?}); f.focus(); f.value = {text:?}; for (const kind of ['input', 'change']) f.dispatchEvent(new Event(kind, {{bubbles: true}})); f.blur(); }})()"));
    page.wait("!tautspan.page.busy");
}

#[test]
fn what_is_no_number_is_said_and_stands_as_it_was_typed() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    for (way, selector) in [
        ("shape", "#shape-fields [data-key=mouth]"),
        ("tape", "#tape-fields [data-key=mouth]"),
        ("tape", "#more-fields [data-key=clear_left_mm]"),
    ] {
        page.eval(&format!(
            "document.querySelector('input[name=way][value={way}]').click()"
        ));
        page.wait("!tautspan.page.busy");
        typed(&mut page, selector, "3 x");
        let fault = page.eval("document.getElementById('fault').textContent");
        let end = "found \u{201c}3 x\u{201d}, but a number was expected";
        assert!(fault.as_str().unwrap().ends_with(end), "{fault}");
        let field = format!(
            "(({{ value, ariaInvalid }}) => [value, ariaInvalid])(document.querySelector({selector:?}))"
        );
        assert_eq!(page.eval(&field), json!(["3 x", "true"]));
        assert_eq!(
            page.number("document.querySelectorAll('main [aria-invalid=true]').length"),
            1.0
        );
        typed(&mut page, selector, "80");
        assert_eq!(page.eval(&field), json!(["80", "false"]));
        assert_eq!(page.eval("tautspan.page.fault"), Value::Null);
    }
    page.assert_quiet();
}

//! What was once got wrong on the page, as checks for any browser: paper, faults, a thumb that
//! scrolls, the curve, a reload, single points, slow questions, the picture, what is pasted.

#![expect(
    clippy::float_cmp,
    reason = "what a page gives back is the very number that was put in"
)]

use crate::common::pdf::Pdf;
use crate::common::screen::Screen;

use serde_json::{Value, json};

/// What stands on the paper that the browser's own menu prints.
pub(crate) struct Paper(Pdf);

impl Paper {
    pub(crate) fn of(page: &mut impl Screen) -> Self {
        Self(Pdf::read(&page.print()))
    }

    pub(crate) fn says(&self, words: &str) -> bool {
        (0..self.0.pages()).any(|page| self.0.says(page, words))
    }
}

/// The paper after each change has the width, the film and the order of the screen; before they
/// are computed, and with a fault, it says so, and shows no width.
pub(crate) fn the_menu_prints_what_is_on_the_screen(page: &mut impl Screen, changes: &[String]) {
    for change in changes {
        page.state(change);
        let shown = page.number("tautspan.page.orders.bridge_mm");
        let film = page.words("tautspan.page.state.film");
        let paper = Paper::of(page);
        // A width that is over is no card to lay film by: it names the width and says so.
        let tapes = page.words("((c) => { const w = Math.round(c.bridge_mm * 10) / 10; return c.within_limit ? `${w} mm tape to tape` : `at a bridge of ${w} mm was asked for`; })(tautspan.page.orders.checks[0])");
        let order = page.words("({'deepest-first': 'Deepest point first', 'edge-first': 'Edges first', 'middle-push': 'Middle push'})[tautspan.page.state.bridge === null ? tautspan.page.advice.recommended.order : 'deepest-first']");
        for part in [tapes, format!("Film {film}"), order] {
            assert!(
                paper.says(&part),
                "{change}: no {part} at {shown} on the paper"
            );
        }
    }
    page.eval("(tautspan.page.state.shape.depth = 22, tautspan.page.changed(true), 0)");
    let paper = Paper::of(page);
    assert!(paper.says("still being computed") || paper.says("tape to tape"));
    page.state("s.shape['lip-radius'] = 190");
    let paper = Paper::of(page);
    assert!(paper.says("No job card"));
    assert!(!paper.says("tape to tape"));
}

/// Readings whose fields are marked.
const MARKED: &str = "document.querySelectorAll('#tape-fields [aria-invalid=true]').length";

/// With less tape than the mouth is wide no old result is seen, and the readings are marked,
/// until it is mended; a fault of the handling marks no reading.
pub(crate) fn while_a_fault_stands_no_old_result_does(page: &mut impl Screen) {
    page.state("s.way = 'tape'");
    assert_eq!(page.number(MARKED), 0.0);
    page.state("s.tape.tape = 60");
    assert_eq!(page.number(MARKED), 8.0);
    // Nothing with a percentage in it is left to see.
    let left = page.eval("(() => { const all = []; const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT); while (walk.nextNode()) { const e = walk.currentNode.parentElement; if (/\\d\\s?%/.test(walk.currentNode.data) && e.getClientRects().length && getComputedStyle(e).visibility === 'visible' && !e.closest('option, .scale, .choices')) all.push(walk.currentNode.data); } return all; })()");
    assert_eq!(left, json!([]));
    let said = page.words("document.getElementById('answer').textContent");
    assert!(
        said.starts_with("No answer: tape: found a tape of 60"),
        "{said}"
    );
    page.state("s.tape.tape = 104");
    assert_eq!(
        page.number("document.querySelectorAll('[aria-invalid=true]').length"),
        0.0
    );
    page.state("s.bay.warm_c = 900");
    assert_eq!(page.eval("Boolean(tautspan.page.fault)"), json!(true));
    assert_eq!(page.number(MARKED), 0.0);
}

/// A flick that begins on the slider scrolls, and changes no width.
pub(crate) fn a_thumb_that_scrolls_changes_nothing(page: &mut impl Screen) {
    let before = page.number("tautspan.page.orders.bridge_mm");
    page.swipe("#bridge", 4.0, -160.0);
    page.settle();
    assert_eq!(page.number("tautspan.page.orders.bridge_mm"), before);
    assert_eq!(page.eval("tautspan.page.state.bridge"), Value::Null);
    page.wait("scrollY > 50");
    page.eval("scrollTo(0, 0)");
}

/// A finger that the browser takes for scrolling leaves the width as it was, though a browser put
/// the slider back by itself and said so; Firefox does, but scrolls for no finger without a screen.
pub(crate) fn a_finger_taken_for_scrolling_changes_nothing(page: &mut impl Screen) {
    let before = page.number("tautspan.page.orders.bridge_mm");
    page.eval("(async () => { const slider = document.getElementById('bridge'), old = slider.value; const tell = (event) => slider.dispatchEvent(event); tell(new PointerEvent('pointerdown', { pointerId: 7 })); slider.value = '155'; tell(new Event('input')); tell(new PointerEvent('pointercancel', { pointerId: 7 })); slider.value = old; tell(new Event('input')); tell(new Event('change')); })()");
    page.settle();
    assert_eq!(page.eval("tautspan.page.state.bridge"), Value::Null);
    assert_eq!(page.number("tautspan.page.orders.bridge_mm"), before);
}

/// A width that cannot be laid is said, with the one that is shown; an empty field has the width
/// again that is shown.
pub(crate) fn a_width_that_cannot_be_is_said(page: &mut impl Screen) {
    for (typed, said) in [("60", "Shown at 80.5"), ("900", "Shown at 680.4")] {
        page.fill("#bridge-mm", typed);
        let note = page.words("document.getElementById('bridge-note').textContent");
        assert!(
            note.starts_with(&format!("{typed}\u{202f}mm cannot be laid here"))
                && note.contains(said),
            "{note}"
        );
    }
    page.fill("#bridge-mm", "");
    assert_eq!(
        page.words("document.getElementById('bridge-mm').value"),
        "680.4"
    );
}

/// Puts a mark on the right bond line in the picture, to be dragged by its name.
pub(crate) fn mark_the_right_bond_line(page: &mut impl Screen) {
    page.eval("(() => { const v = tautspan.page.view, c = tautspan.page.orders.checks[0], d = document.querySelector('#deepest .drawing'); const mark = document.createElement('i'); mark.id = 'mark'; mark.style.cssText = `position:absolute;pointer-events:none;width:2px;height:2px;top:60px;left:${v.x(c.bond_right.x_mm) - 1}px`; d.append(mark); })()");
}

/// The bridge has grown on both sides by what its right bond line was dragged.
pub(crate) fn the_bond_line_was_dragged(page: &mut impl Screen, from_mm: f64, by_px: f64) {
    let scale = page.number("tautspan.page.view.scale");
    let dragged = page.number("tautspan.page.orders.bridge_mm");
    assert!(
        (dragged - (from_mm + 2.0 * by_px / scale)).abs() < 4.0,
        "{dragged} at {scale} px/mm"
    );
}

/// A reload has the state again.
pub(crate) fn a_reload_brings_the_state_back(page: &mut impl Screen) {
    page.state("s.film = 'polymeric'; s.bridge = 333; s.shape.depth = 31; s.bay.lip = 'pencil'");
    let kept = page.eval("JSON.stringify(tautspan.page.state)");
    let address = page.words("location.href");
    page.go(&address);
    page.settle();
    assert_eq!(page.eval("JSON.stringify(tautspan.page.state)"), kept);
}

/// Of the first shape single points are few enough for a finger.
pub(crate) fn single_points_are_few(page: &mut impl Screen) {
    page.click("input[name=way][value=drag]");
    page.settle();
    let handles = page.number("document.querySelectorAll('#handles .handle').length");
    assert!((6.0..=16.0).contains(&handles), "{handles} points");
    let note = page.words("document.getElementById('drag-note').textContent");
    assert!(note.starts_with("Thinned from 130"), "{note}");
}

/// The flat line of edges first is on the curve, as tall as the scale or far beyond it.
pub(crate) fn edges_first_is_on_the_curve(page: &mut impl Screen) {
    page.state("s.bridge = null");
    for (film, off) in [("wrap-cast", false), ("polymeric", true)] {
        page.state(&format!("s.film = '{film}'"));
        page.wait("tautspan.page.sweep !== null");
        let said = page.words(
            "[...document.querySelectorAll('#curve text')].map((t) => t.textContent).join('|')",
        );
        let peak = page.number("tautspan.page.orders.checks[1].peak_pct");
        assert!(said.contains(&format!("edges first {peak:.1}")), "{said}");
        assert_eq!(said.contains("off the scale"), off, "{said}");
        let line = "document.querySelector('#curve .drawing path.edge[d*=L], #curve .drawing path.edge[d*=H]').getBoundingClientRect().width";
        assert!(page.number(line) > 100.0, "{film}");
    }
}

/// Film warm between the lips, on the asymmetric recess with drag, takes seconds: the page says
/// that it computes, and a newer question ends it.
pub(crate) fn the_newest_question_ends_a_slow_one(page: &mut impl Screen) {
    page.eval("(() => { const s = tautspan.page.state; s.way = 'text'; s.text = tautspan.page.catalogue.recesses.find((r) => /asym/.test(r.name)).csv; s.bay = { warm: 'mouth', lip_friction: 0.3, drag_kpa: 3 }; tautspan.page.changed(true); })()");
    page.wait("document.querySelector('main').classList.contains('working')");
    let computing = "getComputedStyle(document.getElementById('answer'), '::after').content";
    let said = page.words(computing);
    assert!(said.contains("Computing"), "{said}");
    page.eval("(() => { const s = tautspan.page.state; s.way = 'shape'; s.bay = {}; s.film = 'recess-cast'; tautspan.page.changed(true); })()");
    page.settle();
    assert_eq!(
        page.eval("tautspan.page.orders.checks[0].film.name"),
        json!("recess-cast")
    );
    assert_eq!(
        page.eval("document.querySelector('main').classList.contains('working')"),
        json!(false)
    );
}

/// Labels in the pictures of a page that lie over each other, by more than a pixel of their ink.
const OVERLAPS: &str = "['#deepest', '#edge', '#section-drawing'].flatMap((host) => { const all = [...document.querySelectorAll(`${host} svg text`)].filter((t) => t.getClientRects().length).map((t) => [t.textContent, t.getBoundingClientRect()]); return all.flatMap(([words, a], i) => all.slice(i + 1).filter(([, b]) => { const ink = 0.12 * (a.height + b.height); return Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > ink; }).map(([other]) => `${host}: ${words} over ${other}`)); })";

/// Labels of a step's pictures lie apart at any size, whatever its drop and the bridge.
pub(crate) fn labels_of_a_step_lie_apart(page: &mut impl Screen, sizes: &[(u32, u32)]) {
    for &(width, height) in sizes {
        page.size(width, height);
        for drop in [2.0, 12.0, 40.0] {
            for bridge in ["null", "orders.least_bridge_mm", "20"] {
                page.shown(&format!("const orders = tautspan.page.orders; s.way = 'shape'; s.kind = 'step'; s.shape = {{ drop: {drop}, wall: 65, 'lip-radius': 3, 'foot-radius': 3 }}; s.bridge = {bridge}"));
                let over = page.eval(OVERLAPS);
                assert_eq!(
                    over,
                    json!([]),
                    "{width} px, a drop of {drop}, bridge {bridge}"
                );
            }
        }
    }
}

/// Compared pictures stand level, captions of one line beside captions of two.
pub(crate) fn compared_pictures_are_level(page: &mut impl Screen) {
    for (width, height) in [(768, 1024), (1024, 768), (1280, 720)] {
        page.size(width, height);
        for film in ["wrap-cast", "polymeric"] {
            page.shown(&format!("s.film = '{film}'"));
            let level = page.eval("(([a, b]) => a.width > 50 && a.left < b.left && Math.abs(a.top - b.top) < 0.5 && Math.abs(a.bottom - b.bottom) < 0.5)(['#deepest .drawing', '#edge .drawing'].map((s) => document.querySelector(s).getBoundingClientRect()))");
            assert_eq!(level, json!(true), "{film} at {width} px");
        }
    }
}

/// A place that is tapped is ringed, in both pictures.
pub(crate) fn a_tapped_place_is_ringed(page: &mut impl Screen) {
    page.click("#deepest .drawing");
    let rings = page.eval("['#deepest', '#edge'].map((s) => { const b = document.querySelector(`${s} .drawing`).getBoundingClientRect(), c = document.querySelector(`${s} circle.place`)?.getBoundingClientRect(); return Boolean(c) && Math.abs(c.x + c.width / 2 - b.x - b.width / 2) < 12 && c.y > b.y && c.bottom < b.bottom; })");
    assert_eq!(rings, json!([true, true]));
    let words = page.words("document.getElementById('reading').textContent");
    assert!(words.starts_with("At x"), "{words}");
}

/// A table as a spreadsheet has it is read, whatever stands between its columns and in its
/// numbers.
pub(crate) fn what_is_pasted_is_read(page: &mut impl Screen) {
    page.click("input[name=way][value=text]");
    let rows = [
        (-140.0, 0.0),
        (-40.5, 0.0),
        (-20.0, -25.5),
        (20.0, -25.5),
        (40.5, 0.0),
        (140.0, 0.0),
    ];
    let pasted = [
        ("\t", ".", "x_mm\ty_mm\n"),
        ("\t", ",", "x_mm\ty_mm\n"),
        (";", ".", "x_mm;y_mm\n"),
        (";", ",", ""),
    ];
    for (between, point, header) in pasted {
        let lines = rows.map(|(x, y)| format!("{x:.1}{between}{y:.1}").replace('.', point));
        page.fill("#text", &format!("{header}{}", lines.join("\n")));
        let fault = page.eval("tautspan.page.fault && tautspan.page.fault.message");
        assert_eq!(fault, Value::Null, "{lines:?}");
        let read = page.eval("tautspan.page.seen.points");
        let read: Vec<(f64, f64)> = serde_json::from_value(read).unwrap();
        assert_eq!(read, rows);
    }
}

/// A page whose server is gone says so, and what to do.
pub(crate) fn a_server_that_is_gone_is_said(page: &mut impl Screen) {
    page.eval(
        "(async () => { tautspan.page.state.bridge = 140; await tautspan.page.changed(false); })()",
    );
    let said = page.words("document.getElementById('fault').textContent");
    assert!(
        said.contains("does not answer") && said.contains("start it again"),
        "{said}"
    );
}

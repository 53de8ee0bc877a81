//! The page in real Chromium: by mouse, finger and keys, small and large, and its numbers
//! against the command line's. Skipped, and said so, where there is no Chromium.
//!
//! `TAUTSPAN_SHOTS=DIR` keeps pictures of the page. `TAUTSPAN_AXE=FILE` is axe-core's
//! script; `TAUTSPAN_REBUILT_ENGINE=FILE` an engine to hold against the committed one.

#![expect(
    clippy::float_cmp,
    reason = "what a page gives back is the very number that was put in"
)]

use crate::common::chromium;
use crate::common::rows;
use crate::common::screen::Screen as _;
use crate::common::serving;
use crate::seen;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chromium::{Page, chromium};
use rows::{checked, command_line, questions};
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::net::TcpListener;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// The page as one file on disk.
pub(crate) struct OnDisk {
    _folder: tempfile::TempDir,
    pub(crate) address: String,
}

pub(crate) fn on_disk() -> OnDisk {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tautspan.html");
    std::fs::write(&path, tautspan::page::page_file()).unwrap();
    OnDisk {
        address: format!("file://{}", path.display()),
        _folder: folder,
    }
}

/// A page of the single file, if there is a browser.
pub(crate) fn open(width: u32, height: u32) -> Option<(Page, OnDisk)> {
    let browser = chromium()?;
    let disk = on_disk();
    Some((Page::open(browser, &disk.address, width, height), disk))
}

/// Keeps a picture where asked.
fn shot(page: &mut Page, name: &str) {
    let Ok(folder) = std::env::var("TAUTSPAN_SHOTS") else {
        return;
    };
    page.settle();
    let picture = page.call(
        "Page.captureScreenshot",
        json!({"format": "png", "captureBeyondViewport": true}),
    );
    let bytes = STANDARD.decode(picture["data"].as_str().unwrap()).unwrap();
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(Path::new(&folder).join(format!("{name}.png")), bytes).unwrap();
}

/// The same numbers to 1e-9. The steps of the general march hang on the last digits of
/// `exp` and `ln`, which the browser rounds in its own way, and the rows of its profile
/// stand at those steps: they are held to 1e-6. In a symmetric channel the force is as large
/// on the left as on the right, and the last digit says which side is named; so with the hold,
/// whose ratios are held to 1e-6.
fn agree(page: &Value, line: &Value) {
    let (mut page, mut line) = (page.clone(), line.clone());
    if line["lip_friction"] != 0.0 {
        let rows = |v: &mut Value| v.as_object_mut().unwrap().remove("profile").unwrap();
        let (a, b) = (rows(&mut page), rows(&mut line));
        rows::alike(&a, &b, 1e-6, "profile");
    }
    for check in [&mut page, &mut line] {
        if let Some(x) = check["force"]["largest_at_x_mm"].as_f64() {
            check["force"]["largest_at_x_mm"] = json!(x.abs());
            let ranked = check["force"]["ranked"].as_object_mut().unwrap();
            ranked.retain(|key, _| key != "at_x_mm" && key != "text");
        }
    }
    // Where it lets go is sought to a part of the film, and level chords are alike.
    let ratios = |v: &mut Value| {
        let hold = v.as_object_mut().unwrap().remove("hold").unwrap();
        let states = hold["states"].as_array().unwrap().iter();
        json!(states.map(|s| s["ratio"].clone()).collect::<Vec<_>>())
    };
    let (a, b) = (ratios(&mut page), ratios(&mut line));
    rows::alike(&a, &b, 1e-6, "hold");
    checked(&page, &line, 1e-9);
}

/// Every row of the check table asked in a page, against the command line; and two widths
/// as the page shows them.
fn numbers_agree(page: &mut Page) {
    for (question, args) in questions() {
        let answer = page.eval(&format!("tautspan.ask({question})"));
        agree(&answer, &command_line(&args));
    }
    let csv = std::fs::read_to_string("tests/checks/trapezoid-80-40-25.csv").unwrap();
    for bridge in [100.0, 150.0] {
        let state = json!({"v": 1, "way": "text", "text": csv, "film": "wrap-cast", "tool": "fingertip", "bridge": bridge,
            "more": {"pad_mm": 4, "tip_radius_mm": 0, "gauge_tolerance_mm": 0}});
        page.eval(&format!("(async () => {{ Object.assign(tautspan.page.state, {state}); await tautspan.page.changed(true); }})()"));
        page.settle();
        for (id, order) in [
            ("deepest-peak", "deepest-first"),
            ("edge-peak", "edge-first"),
        ] {
            let bridge = bridge.to_string();
            let line = command_line(&[
                "check",
                "tests/checks/trapezoid-80-40-25.csv",
                "--film",
                "wrap-cast",
                "--order",
                order,
                "--bridge",
                &bridge,
                "--pad",
                "4",
                "--tip-radius",
                "0",
                "--gauge-tolerance",
                "0",
                "--json",
            ]);
            let peak = line["peak_pct"].as_f64().unwrap();
            let shown = page.number(&format!(
                "Number(document.getElementById('{id}').dataset.value)"
            ));
            assert!(
                (shown - peak).abs() <= 1e-9 * peak,
                "{order}: {shown} against {peak}"
            );
            let words = page.eval(&format!("document.getElementById('{id}').textContent"));
            assert!(
                words.as_str().unwrap().starts_with(&format!("{peak:.1}")),
                "{words}"
            );
        }
    }
}

#[test]
fn numbers_of_the_single_file_are_those_of_the_command_line() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    numbers_agree(&mut page);
    page.assert_quiet();
}

#[test]
fn numbers_of_the_served_page_are_those_of_the_command_line() {
    let Some(browser) = chromium() else { return };
    let served = serving::Served::start();
    let mut page = Page::open(browser, &format!("http://{}/", served.address), 1280, 900);
    numbers_agree(&mut page);
    page.assert_quiet();
}

#[test]
fn a_rebuilt_engine_gives_the_committed_ones_numbers() {
    let Ok(file) = std::env::var("TAUTSPAN_REBUILT_ENGINE") else {
        eprintln!("SKIPPED: no TAUTSPAN_REBUILT_ENGINE");
        return;
    };
    let Some((mut page, _disk)) = open(800, 600) else {
        return;
    };
    let engine = STANDARD.encode(std::fs::read(file).unwrap());
    page.eval(&format!(
        "(async () => {{ const raw = atob('{engine}'); const bytes = Uint8Array.from(raw, (c) => c.charCodeAt(0)); \
         window.rebuilt = await tautspan.engineFrom(bytes, document.getElementById('catalogue').textContent); }})()"
    ));
    for (question, _) in questions() {
        let committed = page.eval(&format!("tautspan.ask({question})"));
        let rebuilt = page.eval(&format!(
            "rebuilt(JSON.stringify({question})).then(JSON.parse)"
        ));
        agree(&rebuilt, &committed);
    }
}

#[test]
fn dimensions_are_dragged_by_mouse_and_undone() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    let depth = page.number("tautspan.page.state.shape.depth");
    let peak = page.number("tautspan.page.orders.checks[0].extra_mm");
    page.drag("[data-id=depth]", 0.0, 30.0);
    page.settle();
    assert!(page.number("tautspan.page.state.shape.depth") > depth + 1.0);
    assert!(page.number("tautspan.page.orders.checks[0].extra_mm") > peak);
    // The typed field follows.
    assert_eq!(
        page.number("Number(document.querySelector('[data-key=depth]').value)"),
        page.number("tautspan.page.state.shape.depth")
    );
    for (handle, by) in [("mouth", 20.0), ("left-wall", -8.0), ("lip-radius", -10.0)] {
        page.drag(&format!("[data-id={handle}]"), by, 0.0);
        page.settle();
    }
    assert!(page.number("tautspan.page.state.shape['lip-radius']") > 3.0);
    for _ in 0..4 {
        page.click("#undo");
        page.settle();
    }
    assert_eq!(page.number("tautspan.page.state.shape.depth"), depth);
    assert_eq!(
        page.eval("document.getElementById('undo').disabled"),
        json!(true)
    );
    page.click("#redo");
    page.settle();
    assert!(page.number("tautspan.page.state.shape.depth") > depth);
    page.assert_quiet();
}

#[test]
fn single_points_are_dragged_and_a_fault_is_shown_at_its_point() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.eval("(async () => { Object.assign(tautspan.page.state, {way: 'text', text: '-60,0 -30,0 -15,-15 15,-15 30,0 60,0'}); await tautspan.page.changed(true); })()");
    page.click("input[name=way][value=drag]");
    page.settle();
    assert_eq!(
        page.number("document.querySelectorAll('.handle').length"),
        6.0
    );
    page.drag("[data-id=point2]", 0.0, 20.0);
    page.settle();
    assert!(page.number("tautspan.page.state.points[2][1]") < -16.0);
    // Drawn back over its neighbour: refused, and the point says so.
    page.drag("[data-id=point2]", -200.0, 0.0);
    page.settle();
    let fault = page.eval("document.getElementById('fault').textContent");
    assert!(fault.as_str().unwrap().contains("found"), "{fault}");
    assert!(page.number("document.querySelectorAll('.handle.bad').length") >= 1.0);
    shot(&mut page, "fault");
    page.click("#undo");
    page.settle();
    assert_eq!(
        page.eval("document.getElementById('fault').textContent"),
        json!("")
    );
    page.assert_quiet();
}

#[test]
fn the_width_is_swiped_on_a_phone_and_the_picture_stays_where_it_is() {
    let Some((mut page, _disk)) = open(360, 740) else {
        return;
    };
    let before = page.number("tautspan.page.orders.bridge_mm");
    let place = "JSON.stringify(['picture', 'deepest', 'edge'].map((id) => { const b = document.getElementById(id).getBoundingClientRect(); return [b.x, b.y + scrollY, b.width, b.height]; }).concat([document.querySelector('.slide').getBoundingClientRect().height, document.querySelector('.verdict').getBoundingClientRect().y + scrollY]))";
    page.middle("#bridge");
    let stood = page.eval(place);
    page.swipe("#bridge", 50.0, 0.0);
    page.settle();
    let after = page.number("tautspan.page.orders.bridge_mm");
    assert!(after > before + 5.0, "{before} to {after}");
    assert_eq!(page.eval(place), stood, "the layout jumped");
    shot(&mut page, "phone");
    page.click("#take");
    page.settle();
    assert_eq!(page.number("tautspan.page.orders.bridge_mm"), before);
    // Touching the picture reads values.
    page.swipe("#deepest .drawing", 5.0, 0.0);
    let words = page.eval("document.getElementById('reading').textContent");
    assert!(words.as_str().unwrap().starts_with("At x"), "{words}");
    page.assert_quiet();
}

#[test]
fn the_laying_is_played_and_ends_with_all_down() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.click("#play");
    page.wait("Number(document.getElementById('stage').value) > 3 && Number(document.getElementById('stage').value) < 30");
    assert!(
        page.eval("document.querySelector('#deepest svg').textContent")
            .as_str()
            .unwrap()
            .contains("free film")
    );
    page.wait("document.getElementById('stage').value === document.getElementById('stage').max");
    assert_eq!(
        page.eval("document.getElementById('stage-words').textContent"),
        json!("all down")
    );
    // Where the system asks for less motion, nothing moves by itself.
    page.media("light", "reduce");
    page.wait("document.getElementById('play').textContent === 'Next stage'");
    page.click("#play");
    page.settle();
    page.click("#play");
    let at = page.eval("document.getElementById('stage').value");
    std::thread::sleep(std::time::Duration::from_millis(400));
    assert_eq!(page.eval("document.getElementById('stage').value"), at);
    page.assert_quiet();
}

#[test]
fn keys_alone_do_everything() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    let before = page.number("tautspan.page.orders.bridge_mm");
    page.tab_to("#bridge");
    for _ in 0..3 {
        page.key("ArrowRight");
    }
    page.settle();
    assert!((page.number("tautspan.page.orders.bridge_mm") - before - 3.0).abs() < 1.0);
    page.tab_to("#take");
    page.key("Enter");
    page.settle();
    assert_eq!(page.number("tautspan.page.orders.bridge_mm"), before);
    page.tab_to("#stage");
    for _ in 0..20 {
        page.key("ArrowLeft");
    }
    page.wait("document.querySelector('#deepest svg').textContent.includes('free film')");
    page.tab_to("[data-id=depth]");
    let depth = page.number("tautspan.page.state.shape.depth");
    page.key("ArrowUp");
    page.settle();
    assert_eq!(page.number("tautspan.page.state.shape.depth"), depth + 0.5);
    page.tab_to("#undo");
    page.key("Enter");
    page.settle();
    assert_eq!(page.number("tautspan.page.state.shape.depth"), depth);
    page.tab_to("#place");
    page.key("ArrowRight");
    assert!(
        page.eval("document.getElementById('place-reading').textContent")
            .as_str()
            .unwrap()
            .starts_with("At x")
    );
    for control in ["#film", "#warm", "#print", "#link", "#save", "#open"] {
        page.tab_to(control);
    }
    // What has the focus shows it.
    assert_eq!(
        page.eval("getComputedStyle(document.activeElement.closest('label')).outlineStyle"),
        json!("solid")
    );
    page.assert_quiet();
}

#[test]
fn link_and_file_bring_the_state_back() {
    let Some((mut page, disk)) = open(1280, 900) else {
        return;
    };
    page.eval("(async () => { const s = tautspan.page.state; s.shape.depth = 31; s.film = 'polymeric'; s.bridge = 222; s.bay.lip = 'pencil'; await tautspan.page.changed(true); })()");
    page.eval("document.getElementById('link').click()");
    page.wait("document.getElementById('address').value.includes('#s=')");
    let link = page.eval("document.getElementById('address').value");
    let state = page.eval("JSON.stringify(tautspan.page.state)");
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(link.as_str().unwrap());
    page.settle();
    assert_eq!(page.eval("JSON.stringify(tautspan.page.state)"), state);
    assert_eq!(page.number("tautspan.page.orders.bridge_mm").round(), 222.0);
    // A link that was cut is said to be, and changes nothing.
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(&format!("{}#s=eyJ2Ijoy", disk.address));
    page.settle();
    assert!(
        page.eval("document.getElementById('kept').textContent")
            .as_str()
            .unwrap()
            .contains("could not be read")
    );
    page.assert_quiet();
}

#[test]
fn the_job_card_prints_on_one_page() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.settle();
    page.eval("window.print = () => { window.printed = true; }");
    page.click("#print");
    page.wait("window.printed === true");
    let pdf = page.call("Page.printToPDF", json!({"preferCSSPageSize": true}));
    let bytes = STANDARD.decode(pdf["data"].as_str().unwrap()).unwrap();
    let pages = bytes
        .windows(12)
        .filter(|w| w.starts_with(b"/Type /Page\n"))
        .count();
    assert_eq!(pages, 1, "pages of the card");
    if let Ok(folder) = std::env::var("TAUTSPAN_SHOTS") {
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(Path::new(&folder).join("card.pdf"), bytes).unwrap();
    }
    let card = page.eval("document.getElementById('card').shadowRoot.textContent");
    let words = card.as_str().unwrap();
    for part in [
        "Job card",
        "Tape",
        "Press",
        "Warm",
        "Cautions",
        "Post-heat readings",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    page.assert_quiet();
}

#[test]
fn it_fits_a_phone_and_a_projector() {
    let Some((mut page, _disk)) = open(360, 740) else {
        return;
    };
    for (width, height) in [(360, 740), (1920, 1080)] {
        page.size(width, height);
        page.settle();
        std::thread::sleep(std::time::Duration::from_millis(300));
        assert!(page.number("document.documentElement.scrollWidth") <= f64::from(width));
        let small = page.eval("[...document.querySelectorAll('main *')].filter((e) => e.getClientRects().length && [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) && parseFloat(getComputedStyle(e).fontSize) < 16).map((e) => e.outerHTML.slice(0, 80))");
        assert_eq!(small, json!([]), "text under 16 px");
        let tight = page.eval("[...document.querySelectorAll('button, select, input:not([type=file]):not([type=radio]):not([type=checkbox]), textarea, summary, .button, label:has(> input[type=radio]), label:has(> input[type=checkbox])')].filter((e) => e.getClientRects().length && !e.closest('.skip')).filter((e) => { const b = e.getBoundingClientRect(); return b.height < 43.9 || b.width < 43.9; }).map((e) => e.outerHTML.slice(0, 80))");
        assert_eq!(tight, json!([]), "targets under 44 px");
        // Nothing that is written in a drawing is cut at its edge.
        let cut = page.eval("[...document.querySelectorAll('main svg text')].filter((t) => { const a = t.getBoundingClientRect(), b = t.ownerSVGElement.getBoundingClientRect(); return a.left < b.left - 1.5 || a.right > b.right + 1.5 || a.top < b.top - 4 || a.bottom > b.bottom + 4; }).map((t) => t.textContent)");
        assert_eq!(cut, json!([]), "texts cut at {width} px");
        for scheme in ["light", "dark"] {
            page.media(scheme, "no-preference");
            shot(&mut page, &format!("{width}-{scheme}"));
        }
    }
    page.assert_quiet();
}

#[test]
fn no_width_and_an_engine_that_cannot_answer_are_said_in_words() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.eval("(async () => { const s = tautspan.page.state; s.film = 'monomeric'; s.more.clear_left_mm = 5; s.more.clear_right_mm = 5; await tautspan.page.changed(true); })()");
    page.settle();
    assert!(
        page.eval("document.getElementById('advice').textContent")
            .as_str()
            .unwrap()
            .starts_with("No width")
    );
    assert!(page.number("document.querySelectorAll('#options li').length") >= 2.0);
    page.wait("document.querySelector('#curve svg')");
    shot(&mut page, "no-width");
    page.eval("(async () => { tautspan.page.state.shape['lip-radius'] = 190; await tautspan.page.changed(true); })()");
    page.settle();
    assert_eq!(
        page.eval("document.querySelector('[data-key=lip-radius]').getAttribute('aria-invalid')"),
        json!("true")
    );
    shot(&mut page, "refused");
    page.assert_quiet();
}

#[test]
fn an_end_is_laid_beside_the_page_and_the_newest_question_wins() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    page.eval("(async () => { tautspan.page.state.kept.end_left = 'rounded'; await tautspan.page.changed(true); })()");
    page.settle();
    let said = |page: &mut Page| page.eval("document.getElementById('end-answer').textContent");
    let before = said(&mut page);
    page.wait("document.querySelector('#end-picture svg')");
    // The page goes on while film is laid: the last width asked for is the one that is drawn.
    let held = page.number(
        "(async () => { const p = tautspan.page; let worst = 0; for (const wide of [140, 160, 180]) {          p.state.bridge = wide; await p.changed(false); p.rest(); const from = performance.now(); \
         await new Promise((go) => setTimeout(go, 20)); worst = Math.max(worst, performance.now() - from - 20); } return worst; })()",
    );
    assert!(held < 200.0, "the page stood for {held} ms");
    let busy = page.eval("document.getElementById('end').getAttribute('aria-busy')");
    page.wait("!document.getElementById('end').hasAttribute('aria-busy')");
    page.settle();
    let after = said(&mut page);
    assert_ne!(before, after);
    assert_eq!(page.number("tautspan.page.end.bridge_mm"), 180.0);
    assert_eq!(busy, json!("true"));
    page.assert_quiet();
}

#[test]
fn the_page_opens_and_saves_the_job_files_of_the_command_line() {
    let Some((mut page, _disk)) = open(1280, 900) else {
        return;
    };
    let film = std::fs::read_to_string("profiles/films/wrap-cast.toml").unwrap();
    let own = film
        .replace("[[modulus]]", "[[film_class.modulus]]")
        .replace("[peel]", "[film_class.peel]")
        .replace("[minutes_per_m]", "[film_class.minutes_per_m]");
    let mut texts = vec![
        format!("valley = 1\n[film_class]\n{own}"),
        "depths = true # of a gauge\n[section]\ncsv = '''\n# it's\nx_mm,y_mm\n0,0\n'''\n[bay]\nranges = [\n {from_mm = 1, to_mm = +2.5e1, warm_c = -5}, # two\n]\n".to_owned(),
    ];
    for file in std::fs::read_dir("profiles/jobs").unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|e| e == "toml") {
            texts.push(std::fs::read_to_string(path).unwrap());
        }
    }
    assert!(texts.len() >= 4);
    for text in &texts {
        // The same file read by the page and by the library, and what the page writes read again.
        let job = tautspan::advice::read_job("job", text).unwrap();
        let read = page.eval(&format!("tautspan.job.questionOf({})", json!(text)));
        let read: tautspan::Question = serde_json::from_value(read).unwrap();
        assert_eq!(read, job, "{text}");
        let written = page.eval(&format!(
            "tautspan.job.tomlOf(tautspan.job.questionOf({}))",
            json!(text)
        ));
        let written = tautspan::advice::read_job("page", written.as_str().unwrap()).unwrap();
        assert_eq!(written, job, "{text}");
        // And what the library writes, read by the page.
        let read = page.eval(&format!(
            "tautspan.job.questionOf({})",
            json!(job.to_toml())
        ));
        let read: tautspan::Question = serde_json::from_value(read).unwrap();
        assert_eq!(read, job, "{text}");
    }
    let refused = page.eval("(() => { try { tautspan.job.questionOf('film = \"a\"\\nbridge_mm = 1,5'); return ''; } catch (e) { return e.message; } })()");
    assert!(
        refused.as_str().unwrap().contains("line 2: found `,5`"),
        "{refused}"
    );
    // What the page shows is what it saves, and what it opens is what it showed.
    page.eval("(async () => { const s = tautspan.page.state; s.film = 'polymeric'; s.bay.lip = 'thumb'; s.more.clear_left_mm = 180; s.shape.depth = 18; await tautspan.page.changed(true); })()");
    page.settle();
    let saved = page.eval("tautspan.job.tomlOf(tautspan.job.requestOf(tautspan.page.state))");
    let asked = tautspan::advice::read_job("saved", saved.as_str().unwrap()).unwrap();
    let mut question = serde_json::to_value(&asked).unwrap();
    question["ask"] = json!("recommend");
    let catalogue = tautspan::page::Catalogue::builtin();
    let answer: Value =
        serde_json::from_str(&tautspan::page::answer(&catalogue, &question.to_string())).unwrap();
    assert!(answer["nominal_bridge_mm"].is_number(), "{answer}");
    let shown = page.number("tautspan.page.advice.nominal_bridge_mm");
    assert_eq!(Some(shown), answer["nominal_bridge_mm"].as_f64());
    let again = format!(
        "(async () => {{ const [s, left] = await tautspan.job.stateOf(tautspan.job.questionOf({saved}), tautspan.ask); return JSON.stringify(s) === JSON.stringify(tautspan.page.state) && left.length === 0; }})()"
    );
    assert_eq!(page.eval(&again), json!(true));
    // A demo recess and readings in inches are shown as they can be, and what is lost is said.
    for (name, way, left) in [("sliding-door", "text", 0), ("tail-gate", "drag", 1)] {
        let text = std::fs::read_to_string(format!("profiles/jobs/{name}.toml")).unwrap();
        let opened = format!(
            "(async () => {{ const [s, left] = await tautspan.job.stateOf(tautspan.job.questionOf({}), tautspan.ask); await tautspan.page.take(s); return [s.way, left.length, s.kept.name]; }})()",
            json!(text)
        );
        assert_eq!(page.eval(&opened), json!([way, left, name]));
        page.settle();
        assert!(page.number("tautspan.page.advice.nominal_bridge_mm") > 0.0);
    }
    page.assert_quiet();
}

/// What axe-core finds amiss; `window.without` are rules left out.
pub(crate) const VIOLATIONS: &str = "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'], rules: Object.fromEntries((window.without || []).map((rule) => [rule, {enabled: false}]))}).then((r) => r.violations.map((v) => [v.id, v.nodes.map((n) => n.target.join(' ') + ': ' + n.failureSummary)]))";

#[test]
fn axe_finds_no_violation() {
    let Ok(file) = std::env::var("TAUTSPAN_AXE") else {
        eprintln!("SKIPPED: no TAUTSPAN_AXE");
        return;
    };
    let Some((mut page, _disk)) = open(360, 740) else {
        return;
    };
    page.eval(&format!("{}; 0", std::fs::read_to_string(file).unwrap()));
    for way in ["shape", "tape", "text", "drag"] {
        page.click(&format!("input[name=way][value={way}]"));
        page.settle();
        for (width, scheme) in [
            (360, "light"),
            (360, "dark"),
            (1920, "light"),
            (1920, "dark"),
        ] {
            page.size(width, 900);
            page.media(scheme, "no-preference");
            page.settle();
            let found = page.eval(VIOLATIONS);
            assert_eq!(found, json!([]), "{way}, {width} px, {scheme}");
        }
    }
}

/// A static host of a folder, until told to stop.
fn host(folder: &Path, stop: Arc<AtomicBool>) -> (String, std::thread::JoinHandle<()>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    listener.set_nonblocking(true).unwrap();
    let address = format!("http://{}/", listener.local_addr().unwrap());
    let folder = folder.to_owned();
    let thread = std::thread::spawn(move || {
        while !stop.load(Ordering::SeqCst) {
            let Ok((mut stream, _)) = listener.accept() else {
                std::thread::sleep(std::time::Duration::from_millis(5));
                continue;
            };
            stream.set_nonblocking(false).unwrap();
            stream
                .set_read_timeout(Some(std::time::Duration::from_secs(2)))
                .unwrap();
            let mut head = [0; 4096];
            let n = stream.read(&mut head).unwrap_or(0);
            let head = String::from_utf8_lossy(&head[..n]).into_owned();
            let path = head
                .split(' ')
                .nth(1)
                .unwrap_or("/")
                .trim_start_matches('/');
            let name = if path.is_empty() { "index.html" } else { path };
            let kind = match name.rsplit('.').next() {
                Some("html") => "text/html",
                Some("js") => "text/javascript",
                Some("css") => "text/css",
                Some("woff2") => "font/woff2",
                Some("svg") => "image/svg+xml",
                Some("webmanifest") => "application/manifest+json",
                _ => "application/octet-stream",
            };
            let (status, body) =
                std::fs::read(folder.join(name)).map_or((404, Vec::new()), |b| (200, b));
            let _ = write!(
                stream,
                "HTTP/1.1 {status} x\r\ncontent-type: {kind}\r\ncontent-length: {}\r\nconnection: close\r\n\r\n",
                body.len()
            );
            let _ = stream.write_all(&body);
        }
    });
    (address, thread)
}

#[test]
fn the_folder_works_without_a_network_after_the_first_visit() {
    let Some(browser) = chromium() else { return };
    let folder = tempfile::tempdir().unwrap();
    for file in tautspan::page::page_folder() {
        std::fs::write(folder.path().join(file.name), file.bytes).unwrap();
    }
    let stop = Arc::new(AtomicBool::new(false));
    let (address, thread) = host(folder.path(), Arc::clone(&stop));
    let mut page = Page::open(browser, &address, 1280, 900);
    page.wait("navigator.serviceWorker.controller");
    let peak = page.number("tautspan.page.orders.checks[0].peak_pct");
    stop.store(true, Ordering::SeqCst);
    thread.join().unwrap();
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(&address);
    assert_eq!(page.number("tautspan.page.orders.checks[0].peak_pct"), peak);
    page.assert_quiet();
}

#[test]
fn the_served_page_says_when_its_server_is_gone() {
    let Some(browser) = chromium() else { return };
    let served = serving::Served::start();
    let mut page = Page::open(browser, &format!("http://{}/", served.address), 1280, 900);
    page.assert_quiet();
    drop(served);
    seen::a_server_that_is_gone_is_said(&mut page);
}

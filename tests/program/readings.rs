//! Readings on the page, in real Chromium: what typed text means, what is asked back, and
//! what was done to a scan. Skipped, and said so, where there is no Chromium.
//!
//! `TAUTSPAN_SHOTS=DIR` keeps pictures of the page; `TAUTSPAN_AXE=FILE` is axe-core's script.

use crate::common::chromium;
use crate::common::rows;
use crate::common::screen::Screen as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use chromium::{Page, chromium};
use rows::{alike, command_line};
use serde_json::{Value, json};
use std::f64::consts::TAU;
use std::path::Path;

/// A page of the single file on disk, if there is a browser.
fn open(width: u32, height: u32) -> Option<(Page, tempfile::TempDir)> {
    let browser = chromium()?;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tautspan.html");
    std::fs::write(&path, tautspan::page::page_file()).unwrap();
    let address = format!("file://{}", path.display());
    Some((Page::open(browser, &address, width, height), folder))
}

/// Keeps a picture of an element where asked.
fn shot(page: &mut Page, selector: &str, name: &str) {
    let Ok(folder) = std::env::var("TAUTSPAN_SHOTS") else {
        return;
    };
    let place = page.eval(&format!(
        "(() => {{ const b = document.querySelector({selector:?}).getBoundingClientRect(); return {{x: 0, y: b.y + scrollY - 8, width: innerWidth, height: b.height + 16, scale: 2}}; }})()"
    ));
    let picture = page.call(
        "Page.captureScreenshot",
        json!({"format": "png", "captureBeyondViewport": true, "clip": place}),
    );
    let bytes = STANDARD.decode(picture["data"].as_str().unwrap()).unwrap();
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(Path::new(&folder).join(format!("{name}.png")), bytes).unwrap();
}

/// Puts a text into the box, as a paste does.
fn paste(page: &mut Page, text: &str) {
    page.click("input[name=way][value=text]");
    page.settle();
    page.eval(&format!(
        "(() => {{ const box = document.getElementById('text'); box.value = {}; for (const type of ['input', 'change']) box.dispatchEvent(new Event(type, {{bubbles: true}})); }})()",
        json!(text)
    ));
    page.settle();
}

fn words(page: &mut Page, id: &str) -> String {
    let said = page.eval(&format!("document.getElementById('{id}').textContent"));
    said.as_str().unwrap().to_owned()
}

fn checked(page: &mut Page, id: &str) -> Value {
    page.eval(&format!(
        "document.getElementById('{id}').getAttribute('aria-invalid')"
    ))
}

/// The section that the page sees.
fn seen(page: &mut Page) -> Value {
    page.eval("tautspan.page.fault ? {} : JSON.parse(JSON.stringify(tautspan.page.seen))")
}

/// A channel 80 mm wide and 25 mm deep, a reading every 0.3 mm, each off by `noise` mm.
/// Every 150th stands 8 mm off; the survey is tilted by 3 degrees.
fn scan(noise: f64) -> String {
    let corners = [
        (-140.0, 0.0),
        (-40.0, 0.0),
        (-20.0, -25.0),
        (20.0, -25.0),
        (40.0, 0.0),
        (140.0, 0.0),
    ];
    let mut state = 5_u64;
    let mut uniform = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap()) / 4_294_967_296.0
    };
    let mut text = "x_mm\ty_mm\n".to_owned();
    let (sin, cos) = 3.0_f64.to_radians().sin_cos();
    let mut number = 0;
    for w in corners.windows(2) {
        let (dx, dy): (f64, f64) = (w[1].0 - w[0].0, w[1].1 - w[0].1);
        let length = dx.hypot(dy);
        let mut s = 0.0;
        while s < length {
            // Box and Muller: two normal numbers of two uniform ones.
            let (r, a) = ((-2.0 * (1.0 - uniform()).ln()).sqrt(), TAU * uniform());
            number += 1;
            let slip = if number % 150 == 75 { 8.0 } else { 0.0 };
            let x = w[0].0 + dx * s / length + noise * r * a.cos();
            let y = w[0].1 + dy * s / length + noise * r * a.sin() + slip;
            text.push_str(&format!(
                "{:.3}\t{:.3}\n",
                cos * x - sin * y,
                sin * x + cos * y
            ));
            s += 0.3;
        }
    }
    text
}

#[test]
fn a_scan_is_drawn_raw_against_read_on_a_phone_and_a_wide_screen() {
    let Some((mut page, _folder)) = open(360, 740) else {
        return;
    };
    page.settle();
    let hidden = "document.getElementById('read').hidden";
    assert_eq!(page.eval(hidden), json!(true), "a shape has no readings");
    paste(&mut page, &scan(0.1));
    page.wait("!document.getElementById('read').hidden");
    let done = words(&mut page, "read-done");
    for part in ["tilted by 3", "were dropped", "was fitted to"] {
        assert!(done.contains(part), "{part}: {done}");
    }
    // The answer and the note are those of the picture that the command line draws.
    let answer = words(&mut page, "read-answer");
    assert!(answer.starts_with("Read as a channel, 80"), "{answer}");
    let note = words(&mut page, "read-note");
    assert!(
        note.contains("Crosses: readings that were dropped"),
        "{note}"
    );
    let svg = page.eval("(() => { const s = document.querySelector('#read-picture svg'); return [s.getAttribute('role'), s.querySelector('title').textContent, s.querySelector('desc').textContent, s.getAttribute('aria-labelledby').split(' ').every((id) => document.getElementById(id))]; })()");
    assert_eq!(svg[0], "img");
    let title = svg[1].as_str().unwrap().replace('\u{2009}', "\u{202f}");
    assert_eq!(format!("{title}."), answer);
    assert!(svg[2].as_str().unwrap().contains("lip at x = "), "{svg}");
    assert_eq!(svg[3], json!(true));
    for (width, height) in [(360, 740), (1280, 900), (1920, 1080)] {
        page.size(width, height);
        std::thread::sleep(std::time::Duration::from_millis(400));
        page.settle();
        // Drawn for this width: an em of its text is one of the page.
        page.wait("(() => { const s = document.querySelector('#read-picture svg'); const em = parseFloat(getComputedStyle(document.documentElement).fontSize); return Math.abs(25 * s.getBoundingClientRect().width / s.viewBox.baseVal.width / em - 1) < 0.03; })()");
        let named = page.eval("[...document.querySelectorAll('#read-picture text')].map((t) => t.textContent).join(' ')");
        let named = named.as_str().unwrap();
        for label in [
            "lip",
            "foot",
            "press",
            "80\u{2009}mm wide",
            "25\u{2009}mm deep",
        ] {
            assert!(named.contains(label), "{label} at {width} px: {named}");
        }
        let cut = page.eval("[...document.querySelectorAll('#read-picture text')].filter((t) => { const a = t.getBoundingClientRect(), b = t.ownerSVGElement.getBoundingClientRect(); return a.left < b.left - 1 || a.right > b.right + 1 || a.top < b.top - 1 || a.bottom > b.bottom + 1; }).map((t) => t.textContent)");
        assert_eq!(cut, json!([]), "texts cut at {width} px");
        let met = page.eval("(() => { const all = [...document.querySelectorAll('#read-picture text')].map((t) => [t.textContent, t.getBoundingClientRect()]); return all.flatMap(([n, a], i) => all.slice(i + 1).filter(([, b]) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 8 && b.top < a.bottom - 8).map(([m]) => `${n} on ${m}`)); })()");
        assert_eq!(met, json!([]), "texts that meet at {width} px");
        assert!(page.number("document.documentElement.scrollWidth") <= f64::from(width));
        for scheme in ["light", "dark"] {
            page.media(scheme, "no-preference");
            shot(&mut page, "#read", &format!("read-{width}-{scheme}"));
        }
    }
    // A clean survey is its readings: nothing was done, nothing is drawn.
    paste(&mut page, "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0");
    assert_eq!(page.eval(hidden), json!(true));
    // Of a section with a fault nothing old is shown.
    paste(&mut page, &scan(0.1));
    page.wait("!document.getElementById('read').hidden");
    paste(&mut page, "-60,0 0,-1O 60,0");
    assert_eq!(page.eval(hidden), json!(true));
    page.assert_quiet();
}

#[test]
fn what_is_pasted_is_read_as_the_command_line_reads_it() {
    let Some((mut page, _folder)) = open(1280, 900) else {
        return;
    };
    let plain = "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0";
    let points = format!("--points={plain}");
    let line = command_line(&["section", &points, "--json"]);
    for text in [
        plain,
        "-60\t0\n-40\t0\n-20\t-12,5\n20\t-12,5\n40\t0\n60\t0\n",
        "-60;0\r\n-40;0\r\n-20;-12,5\r\n20;-12,5\r\n40;0\r\n60;0\r\n",
        "X (cm);Y (cm)\n-6;0\n-4;0\n-2;-1,25\n2;-1,25\n4;0\n6;0\n",
        "Nr\ty [mm]\tx [mm]\n1\t0\t-60\n2\t0\t-40\n3\t-12,5\t-20\n4\t-12,5\t20\n5\t0\t40\n6\t0\t60\n",
        "# by hand\n-6cm,0 -4cm,0 -2cm,-1.25cm 2cm,-1.25cm 4cm,0 6cm,0",
    ] {
        paste(&mut page, text);
        assert_eq!(words(&mut page, "fault"), "", "{text}");
        for key in ["points", "landmarks"] {
            alike(&seen(&mut page)[key], &line[key], 1e-9, text);
        }
    }
    paste(&mut page, "pitch=20: 0, 0, -12.5, -12.5, 0, 0");
    let comb = command_line(&[
        "section",
        "--comb=pitch=20: 0, 0, -12.5, -12.5, 0, 0",
        "--json",
    ]);
    alike(
        &seen(&mut page)["landmarks"],
        &comb["landmarks"],
        1e-9,
        "comb",
    );
    for (text, asked) in [
        ("-60\t0\n0\t-1,234\n60\t0\n", "thousands"),
        ("-60,0 0,-1O 60,0", "the letter O"),
        ("-60;0\n0;-12,5\n60.5;0\n", "one decimal mark"),
    ] {
        paste(&mut page, text);
        let fault = words(&mut page, "fault");
        assert!(fault.contains(asked), "{text}: {fault}");
    }
    page.assert_quiet();
}

#[test]
fn what_was_typed_is_said_under_the_text_and_kept() {
    let Some((mut page, _folder)) = open(1280, 900) else {
        return;
    };
    paste(&mut page, "6,0 4,0.1 2,1.25 -2,1.2 -4,0 -6,0");
    page.click("#depths");
    page.settle();
    page.click("#leftwards");
    page.settle();
    page.eval("(() => { const units = document.getElementById('units'); units.value = 'cm'; units.dispatchEvent(new Event('change')); })()");
    page.settle();
    let expected = command_line(&[
        "section",
        "--points=-60,0 -40,0 -20,-12 20,-12.5 40,-1 60,0",
        "--json",
    ]);
    for key in ["points", "landmarks"] {
        alike(&seen(&mut page)[key], &expected[key], 1e-9, key);
    }
    // Link and undo know of it.
    let link = page.eval(
        "(() => { document.getElementById('link').click(); return tautspan.page.state.typed; })()",
    );
    assert_eq!(
        link,
        json!({"depths": true, "leftwards": true, "units": "cm"})
    );
    page.wait("document.getElementById('address').value.includes('#s=')");
    let address = page.eval("document.getElementById('address').value");
    page.click("#undo");
    page.settle();
    assert_eq!(
        page.eval("document.getElementById('units').value"),
        json!("")
    );
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(address.as_str().unwrap());
    page.settle();
    assert_eq!(
        page.eval("document.getElementById('depths').checked"),
        json!(true)
    );
    alike(
        &seen(&mut page)["points"],
        &expected["points"],
        1e-9,
        "link",
    );
    // Inches too; what is dragged point by point is in mm and goes on from there.
    paste(&mut page, "-2.5,0 -1.5,0 -0.5,0.5 0.5,0.5 1.5,0 2.5,0");
    page.click("#leftwards");
    page.settle();
    page.eval("(() => { const units = document.getElementById('units'); units.value = 'in'; units.dispatchEvent(new Event('change')); })()");
    page.settle();
    // Reference: three inches of 25.4 mm from lip to lip.
    assert!((page.number("tautspan.page.seen.mouth_mm") - 76.2).abs() < 1e-9);
    page.click("input[name=way][value=drag]");
    page.settle();
    assert!((page.number("tautspan.page.seen.mouth_mm") - 76.2).abs() < 1e-9);
    page.assert_quiet();
}

#[test]
fn what_cannot_be_told_apart_leads_to_its_control() {
    let Some((mut page, _folder)) = open(360, 740) else {
        return;
    };
    for (text, control, label, answer) in [
        (
            "-60,0 -30,0 -15,15 15,15 30,0 60,0",
            "depths",
            "“Heights typed as depths”",
            "document.getElementById('depths').click()",
        ),
        (
            "60,0 30,0 15,-15 -15,-15 -30,0 -60,0",
            "leftwards",
            "“Typed from right to left”",
            "document.getElementById('leftwards').click()",
        ),
        (
            "x;y\n-60;0\n-30;0\n-15;-15\n15;-15\n30;0\n60;0",
            "units",
            "“Units of bare numbers”",
            "(() => { const u = document.getElementById('units'); u.value = 'mm'; u.dispatchEvent(new Event('change')); })()",
        ),
    ] {
        page.eval("tautspan.page.state.typed = {}; 0");
        paste(&mut page, text);
        let fault = words(&mut page, "fault");
        assert!(fault.contains(label), "{fault}");
        assert!(!fault.contains("--"), "{fault}");
        // The name in the words is the name at the control, and the control is marked.
        let named = page.eval(&format!(
            "document.getElementById('{control}').labels[0].textContent.trim()"
        ));
        assert_eq!(format!("“{}”", named.as_str().unwrap()), label);
        assert_eq!(checked(&mut page, control), json!("true"));
        shot(&mut page, ".recess", &format!("asked-{control}"));
        let target = page.number(&format!(
            "(() => {{ const c = document.getElementById('{control}'); return (c.type === 'checkbox' ? c.labels[0] : c).getBoundingClientRect().height; }})()"
        ));
        assert!(target >= 48.0, "{control} is {target} px high");
        page.eval(&format!("{answer}; 0"));
        page.settle();
        assert_eq!(words(&mut page, "fault"), "", "{control}");
        assert_eq!(checked(&mut page, control), json!("false"));
        assert!((page.number("tautspan.page.seen.mouth_mm") - 60.0).abs() < 1e-9);
    }
    page.assert_quiet();
}

#[test]
fn axe_finds_no_violation_in_what_is_drawn_and_asked_back() {
    let Ok(file) = std::env::var("TAUTSPAN_AXE") else {
        eprintln!("SKIPPED: no TAUTSPAN_AXE");
        return;
    };
    let Some((mut page, _folder)) = open(360, 740) else {
        return;
    };
    page.eval(&format!("{}; 0", std::fs::read_to_string(file).unwrap()));
    for text in [
        scan(0.1),
        "-60,0 -30,0 -15,15 15,15 30,0 60,0".to_owned(),
        "x,y\n-60,0\n0,-9\n60,0\n".to_owned(),
    ] {
        paste(&mut page, &text);
        for scheme in ["light", "dark"] {
            page.media(scheme, "no-preference");
            page.settle();
            let found = page.eval("axe.run(document.querySelector('.recess'), {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}).then((r) => r.violations.map((v) => [v.id, v.nodes.map((n) => n.target.join(' ') + ': ' + n.failureSummary)]))");
            assert_eq!(found, json!([]), "{scheme}: {}", &text[..20]);
        }
    }
}

#[test]
fn no_message_on_the_page_names_an_option_of_the_command_line() {
    let Some((mut page, _folder)) = open(360, 740) else {
        return;
    };
    // What is on the screen names none, whatever is asked.
    let shown = "document.querySelector('main').innerText.match(/(^|[\\s(`])--[a-z-]+/g) || []";
    for change in [
        "s.way = 'text'; s.text = '-60,0 -30,0 -15,15 15,15 30,0 60,0'",
        "s.way = 'text'; s.text = '-60,0 -40,0.5 -20,-12 0,0.4 20,-13 40,0 60,0'",
        "s.way = 'text'; s.text = '0,0 60,0.1 120,0'",
        "s.way = 'shape'; s.more.press_offset_mm = 500",
        "s.more = {}; s.more.clear_left_mm = 5; s.more.clear_right_mm = 5; s.film = 'monomeric'",
        "s.more = {}; s.film = 'wrap-cast'; s.bay = {warm: 'mouth', lip: 'thumb', flats: 'touching', ends: 'closed'}",
        "s.bay = {lip_friction: 5}",
        "s.bay = {}; s.more = {pad_mm: 0, tip_radius_mm: 0}; s.shape['lip-radius'] = 0; s.shape['foot-radius'] = 0",
        "s.more = {valley: 7}",
    ] {
        page.eval(&format!(
            "(async () => {{ const s = tautspan.page.state; {change}; await tautspan.page.changed(true); }})()"
        ));
        page.settle();
        assert_eq!(page.eval(shown), json!([]), "{change}");
    }
    page.assert_quiet();
}

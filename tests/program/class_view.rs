//! The page in front of a class, in real Chromium: guess and reveal, the laying step by step,
//! lessons by a presenter's clicker. Skipped, and said so, where there is no Chromium.

use crate::common::chromium;
use crate::common::rows;
use crate::common::screen::Screen as _;

use chromium::{Page, chromium};
use rows::command_line;
use serde_json::{Value, json};

/// The lessons by their links, each with its screens.
const LESSONS: [(&str, usize); 3] = [
    ("why-wider", 5),
    ("why-deepest-first", 5),
    ("why-warm-the-flats", 5),
];

/// A page of the single file with its address, if there is a browser.
fn page(width: u32, height: u32) -> Option<(Page, String, tempfile::TempDir)> {
    let browser = chromium()?;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tautspan.html");
    std::fs::write(&path, tautspan::page::page_file()).unwrap();
    let address = format!("file://{}", path.display());
    let mut page = Page::open(browser, &address, width, height);
    page.settle();
    Some((page, address, folder))
}

/// A page with the view open and its question put.
fn class(width: u32, height: u32) -> Option<(Page, String, tempfile::TempDir)> {
    let (mut page, address, folder) = page(width, height)?;
    page.click("#show-class");
    page.wait("document.getElementById('class-say').textContent === 'What will the peak be?'");
    Some((page, address, folder))
}

fn text(page: &mut Page, selector: &str) -> String {
    let words = page.eval(&format!("document.querySelector({selector:?}).textContent"));
    words.as_str().unwrap().to_owned()
}

/// The verdicts shown, one a pane.
fn verdicts(page: &mut Page) -> Vec<String> {
    let words = page.eval(
        "[...document.querySelectorAll('.class-pane:not([hidden]) .class-verdict')].map((v) => v.textContent)",
    );
    let words = words.as_array().unwrap().iter();
    words.map(|w| w.as_str().unwrap().to_owned()).collect()
}

/// Waits until film no longer moves: two looks at the pictures are alike.
fn rest(page: &mut Page) {
    let look = "[...document.querySelectorAll('.class-pane:not([hidden])')].map((p) => p.innerHTML).join()";
    page.eval(&format!(
        "(async () => {{ let before = ''; while (before !== {look}) {{ before = {look}; await new Promise((done) => setTimeout(done, 300)); }} }})()"
    ));
}

/// Starts a lesson by its button.
fn start(page: &mut Page, lesson: &str) {
    page.click(&format!("[data-lesson={lesson}]"));
    page.wait("document.getElementById('class-count').textContent.startsWith('1 of')");
    rest(page);
}

#[test]
fn nothing_of_the_answer_is_there_before_it_is_revealed() {
    let Some((mut page, _, _folder)) = class(1280, 720) else {
        return;
    };
    let said = page.eval(
        "(() => { const c = document.getElementById('class'); const named = [...c.querySelectorAll('*')].flatMap((e) => ['aria-label', 'aria-valuetext', 'title', 'value', 'data-value'].map((n) => e.getAttribute(n) || '')); return [c.textContent, ...named].join(' '); })()",
    );
    let said = said.as_str().unwrap();
    let checks = page.eval("tautspan.page.orders.checks.map((c) => [c.peak_pct, c.within_limit])");
    let checks = checks.as_array().unwrap();
    for check in checks {
        for digits in [1, 0] {
            let peak = format!("{:.digits$}\u{202f}%", check[0].as_f64().unwrap());
            assert!(!said.contains(&peak), "{peak} in {said}");
        }
    }
    assert_eq!(verdicts(&mut page), ["", ""]);
    // Nor do the colours tell: the film is flat, at the scale's foot.
    let colours = page.eval("[...new Set([...document.querySelectorAll('.class-drawing [fill^=rgb], .class-drawing [stroke^=rgb]')].flatMap((e) => [e.getAttribute('fill'), e.getAttribute('stroke')]).filter((c) => c && c.startsWith('rgb')))]");
    assert_eq!(colours, json!(["rgb(0,32,77)"]));
    // One guess is picked, the other typed; the truth stands beside both.
    page.click(".class-pane:nth-of-type(1) .class-picks button:nth-child(2)");
    page.eval("(() => { const i = document.querySelectorAll('.class-guess input')[1]; i.value = '12,5'; i.dispatchEvent(new Event('input', { bubbles: true })); })()");
    page.key("PageDown");
    rest(&mut page);
    let shown = verdicts(&mut page);
    for (words, check) in shown.iter().zip(checks) {
        let word = if check[1] == true { "within" } else { "over" };
        let peak = check[0].as_f64().unwrap();
        let begins = format!("{peak:.1}\u{202f}% {word} ");
        assert!(words.starts_with(&begins), "{words} against {begins}");
    }
    // The first shape at its recommended width is within 20 %, and over 10 %.
    assert!(
        shown[0].ends_with("guess 10 to 20\u{202f}%: right"),
        "{shown:?}"
    );
    let off = (checks[1][0].as_f64().unwrap() * 10.0).round() / 10.0 - 12.5;
    let judged = format!("guess 12.5\u{202f}%: {off:.1} too low");
    assert!(shown[1].ends_with(&judged), "{shown:?} against {judged}");
    // Asked again, it is gone.
    page.key("PageUp");
    assert_eq!(verdicts(&mut page), ["", ""]);
    page.assert_quiet();
}

#[test]
fn a_clicker_walks_each_lesson_to_its_end_and_all_is_as_before() {
    let Some((mut page, _, _folder)) = page(1280, 720) else {
        return;
    };
    page.media("light", "reduce");
    page.eval("(async () => { tautspan.page.state.film = 'polymeric'; tautspan.page.state.bridge = 222; await tautspan.page.changed(true); })()");
    page.settle();
    let state = "JSON.stringify([tautspan.page.state, tautspan.page.orders.bridge_mm, tautspan.page.history.past.length])";
    let before = page.eval(state);
    page.click("#show-class");
    page.wait("document.getElementById('class-say').textContent === 'What will the peak be?'");
    page.key("PageDown");
    page.click("#class-more");
    page.wait("document.getElementById('class-mm').textContent === '225\u{202f}mm'");
    let own = verdicts(&mut page);
    for (lesson, screens) in LESSONS {
        start(&mut page, lesson);
        let mut said = vec![text(&mut page, "#class-say")];
        for i in 1..screens {
            page.key(["PageDown", "ArrowRight", "PageDown"][i % 3]);
            page.wait(&format!(
                "document.getElementById('class-count').textContent === '{} of {screens}'",
                i + 1
            ));
            let words = text(&mut page, "#class-say");
            assert!(words.ends_with('.') && !words.contains("NaN") && !words.contains("undefined"));
            assert!(!said.contains(&words), "{words} twice");
            // Every peak beside a word is that of the sentence.
            for shown in verdicts(&mut page) {
                if !shown.contains("free film") {
                    let peak = shown.split('%').next().unwrap();
                    assert!(words.contains(peak), "{words} without {peak}");
                }
            }
            said.push(words);
        }
        // Back and on again; a blank screen keeps its step.
        page.key("PageUp");
        assert_eq!(text(&mut page, "#class-say"), said[screens - 2]);
        for (dark, light) in [("b", "b"), (".", "PageDown")] {
            page.key(dark);
            page.wait("!document.getElementById('class-dark').hidden");
            page.key(light);
            page.wait("document.getElementById('class-dark').hidden");
            assert_eq!(text(&mut page, "#class-say"), said[screens - 2]);
        }
        page.key("ArrowRight");
        page.key("ArrowLeft");
        page.key("ArrowRight");
        assert_eq!(text(&mut page, "#class-say"), said[screens - 1]);
        page.key("PageDown");
        page.wait("document.getElementById('class-count').textContent === ''");
        page.wait("document.getElementById('class-mm').textContent === '225\u{202f}mm'");
        let peak = |v: &String| v.split(';').next().unwrap().to_owned();
        let (now, then) = (verdicts(&mut page), &own);
        assert_eq!(
            now.iter().map(peak).collect::<Vec<_>>(),
            then.iter().map(peak).collect::<Vec<_>>()
        );
    }
    // Escape steps out: of a lesson, then of the view.
    start(&mut page, "why-wider");
    page.key("Escape");
    page.wait("document.getElementById('class-count').textContent === ''");
    page.key("Escape");
    page.wait("!document.getElementById('class').open && !document.fullscreenElement");
    page.settle();
    assert_eq!(page.eval(state), before);
    page.assert_quiet();
}

#[test]
fn a_link_opens_a_lesson_whose_numbers_are_the_command_lines() {
    let Some((mut page, address, _folder)) = page(1024, 768) else {
        return;
    };
    page.call("Page.navigate", json!({"url": "about:blank"}));
    page.go(&format!("{address}#lesson=why-deepest-first"));
    page.media("dark", "reduce");
    page.wait("document.getElementById('class-count').textContent === '1 of 5'");
    for _ in 0..3 {
        page.key("PageDown");
    }
    let shown = verdicts(&mut page);
    let bridge = page.eval("document.getElementById('class-say').textContent");
    assert!(bridge.as_str().unwrap().starts_with("All down"), "{bridge}");
    let advice = command_line(&[
        "recommend",
        "profiles/recesses/deep-channel.csv",
        "--film",
        "wrap-cast",
        "--tool",
        "fingertip",
        "--json",
    ]);
    let bridge = advice["recommended"]["bridge_mm"].to_string();
    for (words, order) in shown.iter().zip(["deepest-first", "edge-first"]) {
        let line = command_line(&[
            "check",
            "profiles/recesses/deep-channel.csv",
            "--film",
            "wrap-cast",
            "--tool",
            "fingertip",
            "--order",
            order,
            "--bridge",
            &bridge,
            "--json",
        ]);
        let peak = format!("{:.1}\u{202f}%", line["peak_pct"].as_f64().unwrap());
        assert!(words.starts_with(&peak), "{words} against {peak}");
    }
    page.click("#class-close");
    page.wait("!document.getElementById('class').open");
    assert!(
        !page
            .eval("location.hash")
            .as_str()
            .unwrap()
            .contains("lesson")
    );
    page.assert_quiet();
}

#[test]
fn a_changed_width_leaves_the_outline_of_the_one_before() {
    let Some((mut page, _, _folder)) = class(1280, 720) else {
        return;
    };
    page.key("PageDown");
    let ghosts =
        "[...document.querySelectorAll('.class-drawing .ghost')].map((g) => g.textContent)";
    assert_eq!(page.eval(ghosts), json!([]));
    let before = page.number("tautspan.page.orders.bridge_mm");
    page.click("#class-more");
    page.wait("document.querySelector('.class-drawing .ghost')");
    let words = format!("before: {before:.0}\u{202f}mm");
    assert_eq!(page.eval(ghosts), json!([words, words]));
    // It stands where film was bonded: within the lines of now.
    let reach = |page: &mut Page, selector: &str| {
        page.number(&format!(
            "document.querySelector({selector:?}).getBoundingClientRect().width"
        ))
    };
    let (old, all) = (
        reach(&mut page, ".class-drawing .ghost path"),
        reach(&mut page, ".class-drawing svg"),
    );
    assert!(old > 0.2 * all && old < all);
    page.key("Escape");
    page.settle();
    let after = page.number("tautspan.page.orders.bridge_mm");
    assert!((after - before).abs() < 1e-9, "{before} to {after}");
    page.assert_quiet();
}

#[test]
fn free_film_takes_colour_as_it_stretches_and_the_laying_plays_to_its_end() {
    let Some((mut page, _, _folder)) = class(1280, 720) else {
        return;
    };
    let free = "[...document.querySelectorAll('.class-drawing')].map((d) => d.querySelector('.free')?.getAttribute('stroke'))";
    for _ in 0..2 {
        page.key("PageDown");
    }
    assert_eq!(text(&mut page, "#class-say"), "Bridged.");
    assert_eq!(page.eval(free), json!(["rgb(0,32,77)", "rgb(0,32,77)"]));
    for _ in 0..3 {
        page.key("Space");
    }
    rest(&mut page);
    let stretched = page.eval(free);
    for colour in stretched.as_array().unwrap() {
        assert!(
            colour.is_string() && *colour != json!("rgb(0,32,77)"),
            "{stretched}"
        );
    }
    page.key("Space");
    rest(&mut page);
    assert_eq!(page.eval(free), json!([null, null]));
    // Played, it is slow, and ends with all down.
    page.click("#class-play");
    page.wait("document.getElementById('class-say').textContent === 'Bridged.'");
    let from = std::time::Instant::now();
    page.wait("document.getElementById('class-say').textContent === 'All down.' && document.getElementById('class-play').textContent === 'Play'");
    assert!(from.elapsed().as_secs() >= 5, "{:?}", from.elapsed());
    assert!(verdicts(&mut page)[1].contains("over"));
    // Without motion there is no play, and a step is there at once.
    page.media("light", "reduce");
    page.wait("document.getElementById('class-play').hidden");
    for _ in 0..2 {
        page.key("PageUp");
    }
    let at = page.eval(free);
    page.key("PageDown");
    let once = page.eval(free);
    assert_ne!(at, Value::Null);
    rest(&mut page);
    assert_eq!(page.eval(free), once);
    page.assert_quiet();
}

/// What is amiss on the screen shown: small type, small targets, things over each other.
const AUDIT: &str = r#"(() => {
  const screen = document.getElementById("class-screen"), faults = [];
  const all = [...screen.querySelectorAll("*")].filter((e) => e.getClientRects().length > 0);
  const name = (e) => `${e.tagName} ${e.id} '${(e.textContent || e.placeholder || "").trim().slice(0, 30)}'`;
  for (const e of all) {
    if (![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) continue;
    const svg = e.closest("svg"), box = svg && svg.getBoundingClientRect(), view = svg && svg.viewBox.baseVal;
    const size = parseFloat(getComputedStyle(e).fontSize) * (svg ? Math.min(box.width / view.width, box.height / view.height) : 1);
    if (size < 15.99) faults.push(`${name(e)} is ${size} px`);
  }
  for (const e of all.filter((e) => e.matches("button, a, input"))) {
    const b = e.getBoundingClientRect();
    if (Math.min(b.width, b.height) < 43.9) faults.push(`${name(e)} is ${b.width} by ${b.height}`);
  }
  const apart = all.filter((e) => e.matches("button, a, input, svg text, .class-number, .class-word, .class-of, .class-name span, #class-say, #class-what, #class-mm, #class-count"));
  for (const [i, e] of apart.entries()) {
    const a = e.getBoundingClientRect();
    if (a.left < -0.5 || a.right > innerWidth + 0.5) faults.push(`${name(e)} is beyond the side`);
    for (const f of apart.slice(i + 1)) {
      const b = f.getBoundingClientRect();
      const w = Math.min(a.right, b.right) - Math.max(a.left, b.left), h = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (w > 1 && h > 1) faults.push(`${name(e)} and ${name(f)} overlap by ${w} by ${h}`);
    }
  }
  for (const pane of screen.querySelectorAll(".class-pane")) if (pane.scrollHeight > pane.clientHeight + 1) faults.push("a pane is too low for what it holds");
  if (screen.scrollWidth > screen.clientWidth) faults.push("it scrolls sideways");
  if (innerWidth >= 1000 && screen.scrollHeight > screen.clientHeight) faults.push("it scrolls on a projector");
  return faults;
})()"#;

#[test]
fn every_screen_is_large_and_nothing_lies_over_anything_at_any_size() {
    let Some((mut page, _, _folder)) = page(1920, 1080) else {
        return;
    };
    page.media("light", "reduce");
    for (width, height) in [(1920, 1080), (1280, 720), (1024, 768), (390, 844)] {
        page.size(width, height);
        page.eval("new Promise((done) => setTimeout(done, 300))");
        page.eval("document.getElementById('show-class').scrollIntoView()");
        // By script, so that it fills the window: what full screen measures is the machine's own.
        page.eval("(() => { document.getElementById('class-screen').requestFullscreen = () => Promise.reject(new Error('none')); document.getElementById('show-class').click(); })()");
        page.wait("document.getElementById('class-say').textContent === 'What will the peak be?'");
        let audit = |page: &mut Page, what: &str| {
            page.eval("new Promise((done) => setTimeout(done, 120))");
            let faults = page.eval(AUDIT);
            assert_eq!(faults, json!([]), "{what} at {width} by {height}");
        };
        audit(&mut page, "the question");
        page.click(".class-picks button:nth-child(5)");
        page.key("PageDown");
        audit(&mut page, "the answer");
        page.click("#class-more");
        page.wait("document.querySelector('.class-drawing .ghost')");
        audit(&mut page, "another width");
        for _ in 0..5 {
            page.key("PageDown");
            audit(&mut page, "the laying");
        }
        for (lesson, screens) in LESSONS {
            start(&mut page, lesson);
            for i in 1..=screens {
                audit(&mut page, &format!("{lesson}, {i}"));
                if i < screens {
                    page.key("PageDown");
                }
            }
        }
        page.key("Escape");
        page.wait("document.getElementById('class-count').textContent === ''");
        page.key("Escape");
        page.wait("!document.getElementById('class').open");
    }
    page.assert_quiet();
}

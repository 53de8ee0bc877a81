//! What a test does with a page, in whichever browser.
#![allow(dead_code, reason = "the binary for times uses its part of this")]

use serde_json::{Value, json};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Longest wait for an answer.
pub(crate) const PATIENCE: Duration = Duration::from_secs(60);

/// The first browser of these names that this machine has. `TAUTSPAN_BROWSER=required` (as in
/// `.ci/run`) makes a missing one a failure; `package` is Debian's.
pub(crate) fn browser(names: &[&'static str], package: &str) -> Option<&'static str> {
    let there = |name: &&&str| {
        let mut command = Command::new(name);
        let command = command.arg("--version").stdout(Stdio::null());
        command
            .stderr(Stdio::null())
            .status()
            .is_ok_and(|s| s.success())
    };
    let found = names.iter().find(there).copied();
    let required = std::env::var("TAUTSPAN_BROWSER").is_ok_and(|v| v == "required");
    assert!(
        found.is_some() || !required,
        "TAUTSPAN_BROWSER=required, but no {package} was found"
    );
    if found.is_none() {
        eprintln!("SKIPPED: no {package} on this machine (Debian: apt-get install {package})");
    }
    found
}

/// A page in a browser.
pub(crate) trait Screen {
    /// The value of an expression, promises awaited.
    fn eval(&mut self, expression: &str) -> Value;

    /// Errors and warnings of console, script, policy and network.
    fn faults(&self) -> &[String];

    /// Goes to an address, loaded anew, and waits until the page is ready.
    fn go(&mut self, address: &str);

    /// Sets the size of the window, CSS pixels.
    fn size(&mut self, width: u32, height: u32);

    /// Clicks on an element.
    fn click(&mut self, selector: &str);

    /// Drags an element with a finger, by pixels, in small steps.
    fn swipe(&mut self, selector: &str, dx: f64, dy: f64);

    /// What the browser's own menu prints, as a PDF.
    fn print(&mut self) -> Vec<u8>;

    /// A number.
    fn number(&mut self, expression: &str) -> f64 {
        let value = self.eval(expression);
        value
            .as_f64()
            .unwrap_or_else(|| panic!("{expression} is {value}"))
    }

    /// A text.
    fn words(&mut self, expression: &str) -> String {
        let value = self.eval(expression);
        let words = value.as_str();
        words
            .unwrap_or_else(|| panic!("{expression} is {value}"))
            .to_owned()
    }

    /// Waits until an expression is true.
    fn wait(&mut self, expression: &str) {
        let from = Instant::now();
        while self.eval(&format!("Boolean({expression})")) != json!(true) {
            if from.elapsed() > PATIENCE {
                panic!(
                    "{expression} never came true; the console said {:?}",
                    self.faults()
                );
            }
            std::thread::sleep(Duration::from_millis(30));
        }
    }

    /// Waits until every question is answered.
    fn settle(&mut self) {
        self.wait("!tautspan.page.busy && tautspan.page.idle");
    }

    /// Sets a state and waits until it is seen.
    fn shown(&mut self, change: &str) {
        self.eval(&format!(
            "(async () => {{ const s = tautspan.page.state; {change}; await tautspan.page.changed(true); }})()"
        ));
        self.wait("!tautspan.page.busy");
    }

    /// Sets a state and waits for all that follows of it.
    fn state(&mut self, change: &str) {
        self.shown(change);
        self.settle();
    }

    /// Types into a field, whole, and leaves it.
    fn fill(&mut self, selector: &str, text: &str) {
        self.eval(&format!(
            "(() => {{ const f = document.querySelector({selector:?}); f.value = {text:?}; for (const kind of ['input', 'change']) f.dispatchEvent(new Event(kind, {{bubbles: true}})); }})()"
        ));
        self.settle();
    }

    /// The middle of an element, unfolded and brought into view.
    fn middle(&mut self, selector: &str) -> (f64, f64) {
        let box_ = self.eval(&format!(
            "(() => {{ const e = document.querySelector({selector:?}); for (let d = e.closest('details'); d; d = d.parentElement.closest('details')) if (!e.closest('summary')) d.open = true; e.scrollIntoView({{block: 'center'}}); const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; }})()"
        ));
        (box_[0].as_f64().expect("x"), box_[1].as_f64().expect("y"))
    }

    /// Nothing amiss on the console.
    fn assert_quiet(&mut self) {
        // Whatever was said arrives before the answer to this.
        self.eval("0");
        assert!(
            self.faults().is_empty(),
            "the console said {:#?}",
            self.faults()
        );
    }
}

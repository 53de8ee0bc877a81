//! A page in Chromium, driven over the `DevTools` pipe: no driver, no socket, no library.
//!
//! `--remote-debugging-pipe` makes Chromium read commands on handle 3 and write answers on
//! handle 4, JSON ended by a zero byte; a shell joins both to this process's pipes.
#![allow(dead_code, reason = "the binary for times uses this file alone")]

use super::screen::{PATIENCE, Screen, browser};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use std::io::{Read, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Where Debian and others put it.
const NAMES: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

/// The browser, if this machine has one.
pub(crate) fn chromium() -> Option<&'static str> {
    browser(&NAMES, "chromium")
}

/// A page with everything its console said.
pub(crate) struct Page {
    child: Child,
    to: Option<ChildStdin>,
    from: Receiver<Value>,
    next: u64,
    session: String,
    /// Errors and warnings of console, script, policy and network.
    pub(crate) faults: Vec<String>,
    /// What was asked for, once the domain `Network` is enabled.
    pub(crate) requests: Vec<String>,
    _profile: tempfile::TempDir,
}

impl Page {
    /// Opens a page at an address, of a size in CSS pixels, and waits until it says that
    /// it is ready.
    pub(crate) fn open(browser: &str, address: &str, width: u32, height: u32) -> Self {
        let mut page = Self::blank(browser);
        page.size(width, height);
        page.go(address);
        page
    }

    /// A blank page.
    pub(crate) fn blank(browser: &str) -> Self {
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut child = Command::new("sh")
            .args([
                "-c",
                "exec \"$@\" 3<&0 4>&1 </dev/null >/dev/null 2>&1",
                "sh",
                browser,
            ])
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--disable-dev-shm-usage",
                "--remote-debugging-pipe",
            ])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("a shell");
        let to = child.stdin.take();
        let mut out = child.stdout.take().expect("a pipe");
        let (send, from) = channel();
        std::thread::spawn(move || {
            let (mut held, mut part) = (Vec::new(), vec![0; 1 << 16]);
            while let Ok(n) = out.read(&mut part) {
                if n == 0 {
                    return;
                }
                held.extend_from_slice(&part[..n]);
                while let Some(end) = held.iter().position(|b| *b == 0) {
                    let message: Vec<u8> = held.drain(..=end).collect();
                    let value = serde_json::from_slice(&message[..end]).expect("JSON");
                    if send.send(value).is_err() {
                        return;
                    }
                }
            }
        });
        let mut page = Self {
            child,
            to,
            from,
            next: 0,
            session: String::new(),
            faults: Vec::new(),
            requests: Vec::new(),
            _profile: profile,
        };
        let target = page.call("Target.createTarget", json!({"url": "about:blank"}));
        let id = target["targetId"].as_str().expect("a target").to_owned();
        let attached = page.call(
            "Target.attachToTarget",
            json!({"targetId": id, "flatten": true}),
        );
        attached["sessionId"]
            .as_str()
            .expect("a session")
            .clone_into(&mut page.session);
        for domain in ["Runtime.enable", "Log.enable", "Page.enable"] {
            page.call(domain, json!({}));
        }
        page
    }

    /// One command and its result.
    pub(crate) fn call(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        let mut message = json!({"id": id, "method": method, "params": params});
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        let to = self.to.as_mut().expect("an open pipe");
        to.write_all(format!("{message}\0").as_bytes())
            .expect("a browser that listens");
        to.flush().expect("a browser that listens");
        loop {
            let answer = self
                .from
                .recv_timeout(PATIENCE)
                .unwrap_or_else(|e| panic!("{method}: {e}"));
            if answer["id"] == json!(id) {
                assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
                return answer["result"].clone();
            }
            self.note(&answer);
        }
    }

    /// Keeps what the console should not say.
    fn note(&mut self, event: &Value) {
        let params = &event["params"];
        let fault = match event["method"].as_str() {
            Some("Runtime.exceptionThrown") => params["exceptionDetails"].to_string(),
            Some("Runtime.consoleAPICalled")
                if params["type"] == "error" || params["type"] == "warning" =>
            {
                params["args"].to_string()
            }
            Some("Log.entryAdded")
                if params["entry"]["level"] == "error" || params["entry"]["level"] == "warning" =>
            {
                params["entry"].to_string()
            }
            Some("Network.requestWillBeSent") => {
                self.requests.push(params["request"]["url"].to_string());
                return;
            }
            _ => return,
        };
        self.faults.push(fault);
    }

    /// Sets what the system asks for: a colour scheme, less motion.
    pub(crate) fn media(&mut self, scheme: &str, motion: &str) {
        self.call(
            "Emulation.setEmulatedMedia",
            json!({"features": [
                {"name": "prefers-color-scheme", "value": scheme},
                {"name": "prefers-reduced-motion", "value": motion}]}),
        );
    }

    /// One event of a mouse or a pen.
    fn mouse(&mut self, hand: &str, kind: &str, (x, y): (f64, f64)) {
        let buttons = i32::from(kind != "mouseReleased");
        self.call(
            "Input.dispatchMouseEvent",
            json!({"type": kind, "x": x, "y": y, "button": "left", "buttons": buttons, "clickCount": 1, "pointerType": hand}),
        );
    }

    /// Drags an element with the mouse, by pixels, in small steps.
    pub(crate) fn drag(&mut self, selector: &str, dx: f64, dy: f64) {
        self.drag_by("mouse", selector, dx, dy);
    }

    /// Drags an element with a `mouse` or a `pen`.
    pub(crate) fn drag_by(&mut self, hand: &str, selector: &str, dx: f64, dy: f64) {
        let (x, y) = self.middle(selector);
        self.mouse(hand, "mousePressed", (x, y));
        for i in 1..=8 {
            let t = f64::from(i) / 8.0;
            self.mouse(hand, "mouseMoved", (x + dx * t, y + dy * t));
        }
        self.mouse(hand, "mouseReleased", (x + dx, y + dy));
    }

    /// Presses a key.
    pub(crate) fn key(&mut self, name: &str) {
        let (code, number, text) = match name {
            "Tab" => ("Tab", 9, ""),
            "Enter" => ("Enter", 13, "\r"),
            "Space" => ("Space", 32, " "),
            "ArrowRight" => ("ArrowRight", 39, ""),
            "ArrowLeft" => ("ArrowLeft", 37, ""),
            "ArrowUp" => ("ArrowUp", 38, ""),
            "ArrowDown" => ("ArrowDown", 40, ""),
            "PageUp" => ("PageUp", 33, ""),
            "PageDown" => ("PageDown", 34, ""),
            "Escape" => ("Escape", 27, ""),
            "b" => ("KeyB", 66, "b"),
            "." => ("Period", 190, "."),
            digit if matches!(digit.as_bytes(), [b'0'..=b'9']) => {
                let number = i32::from(digit.as_bytes()[0]);
                ("", number, digit)
            }
            other => panic!("key {other} is not in the list"),
        };
        let key = if name == "Space" { " " } else { name };
        for kind in ["keyDown", "keyUp"] {
            let mut event =
                json!({"type": kind, "key": key, "code": code, "windowsVirtualKeyCode": number});
            if kind == "keyDown" && !text.is_empty() {
                event["text"] = json!(text);
            }
            self.call("Input.dispatchKeyEvent", event);
        }
    }

    /// Tabs until an element has the focus.
    pub(crate) fn tab_to(&mut self, selector: &str) {
        for _ in 0..200 {
            self.key("Tab");
            let there = self.eval(&format!(
                "document.activeElement === document.querySelector({selector:?})"
            ));
            if there == json!(true) {
                return;
            }
        }
        panic!("Tab never reaches {selector}");
    }
}

impl Screen for Page {
    fn eval(&mut self, expression: &str) -> Value {
        let result = self.call(
            "Runtime.evaluate",
            json!({"expression": expression, "awaitPromise": true, "returnByValue": true}),
        );
        assert!(
            result["exceptionDetails"].is_null(),
            "{expression}: {}",
            result["exceptionDetails"]
        );
        result["result"]["value"].clone()
    }

    fn faults(&self) -> &[String] {
        &self.faults
    }

    fn go(&mut self, address: &str) {
        for url in ["about:blank", address] {
            self.call("Page.navigate", json!({"url": url}));
        }
        self.wait("document.documentElement?.dataset.ready === '1'");
    }

    fn size(&mut self, width: u32, height: u32) {
        let mobile = width < 500;
        self.call(
            "Emulation.setDeviceMetricsOverride",
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile}),
        );
        self.call(
            "Emulation.setTouchEmulationEnabled",
            json!({"enabled": mobile}),
        );
    }

    fn click(&mut self, selector: &str) {
        let at = self.middle(selector);
        self.mouse("mouse", "mousePressed", at);
        self.mouse("mouse", "mouseReleased", at);
    }

    fn swipe(&mut self, selector: &str, dx: f64, dy: f64) {
        let (x, y) = self.middle(selector);
        let touch = |page: &mut Self, kind: &str, points: Value| {
            page.call(
                "Input.dispatchTouchEvent",
                json!({"type": kind, "touchPoints": points}),
            );
        };
        touch(self, "touchStart", json!([{"x": x, "y": y}]));
        for i in 1..=8 {
            let t = f64::from(i) / 8.0;
            touch(
                self,
                "touchMove",
                json!([{"x": x + dx * t, "y": y + dy * t}]),
            );
        }
        touch(self, "touchEnd", json!([]));
    }

    fn print(&mut self) -> Vec<u8> {
        let pdf = self.call("Page.printToPDF", json!({"preferCSSPageSize": true}));
        let pdf = pdf["data"].as_str().expect("a PDF");
        STANDARD.decode(pdf).expect("base64")
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        self.session.clear();
        if let Some(to) = self.to.as_mut() {
            let _ = to.write_all(b"{\"id\":999999,\"method\":\"Browser.close\"}\0");
        }
        self.to = None;
        for _ in 0..50 {
            if matches!(self.child.try_wait(), Ok(Some(_))) {
                return;
            }
            std::thread::sleep(Duration::from_millis(40));
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

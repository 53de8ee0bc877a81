//! A page in Firefox, driven by `WebDriver BiDi`: JSON over a web socket, whose client is
//! below, as much of RFC 6455 as one browser on the same machine needs.

use super::screen::{PATIENCE, Screen, browser};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

/// Where Debian and others put it.
const NAMES: [&str; 2] = ["firefox-esr", "firefox"];

/// What it says once it listens.
const LISTENING: &str = "WebDriver BiDi listening on ws://";

/// The browser, if this machine has one.
pub(crate) fn firefox() -> Option<&'static str> {
    browser(&NAMES, "firefox-esr")
}

/// A web socket to this machine.
struct Socket(TcpStream);

impl Socket {
    fn open(address: &str) -> Self {
        let mut stream = TcpStream::connect(address).expect("a browser that listens");
        stream
            .set_read_timeout(Some(PATIENCE))
            .expect("a time limit");
        // The key is asked for against caches, of which there are none here.
        let hello = format!(
            "GET /session HTTP/1.1\r\nHost: {address}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGF1dHNwYW4gaXMgdGF1dA==\r\n\r\n"
        );
        stream.write_all(hello.as_bytes()).expect("a socket");
        let (mut head, mut byte) = (Vec::new(), [0]);
        while !head.ends_with(b"\r\n\r\n") {
            stream.read_exact(&mut byte).expect("a head");
            head.push(byte[0]);
        }
        let head = String::from_utf8_lossy(&head);
        assert!(head.starts_with("HTTP/1.1 101"), "{head}");
        Self(stream)
    }

    /// Sends one whole frame, under the mask that it must have; Firefox takes none of zeros.
    fn frame(&mut self, kind: u8, bytes: &[u8]) -> std::io::Result<()> {
        let mut frame = vec![0x80 | kind];
        match (u8::try_from(bytes.len()), u16::try_from(bytes.len())) {
            (Ok(length @ ..126), _) => frame.push(0x80 | length),
            (_, Ok(length)) => {
                frame.push(0x80 | 126);
                frame.extend_from_slice(&length.to_be_bytes());
            }
            _ => {
                frame.push(0x80 | 127);
                frame.extend_from_slice(&(bytes.len() as u64).to_be_bytes());
            }
        }
        frame.extend_from_slice(&[1; 4]);
        frame.extend(bytes.iter().map(|b| b ^ 1));
        self.0.write_all(&frame)
    }

    /// The next text, put together of its frames.
    fn text(&mut self) -> std::io::Result<Vec<u8>> {
        let mut whole = Vec::new();
        loop {
            let mut head = [0; 2];
            self.0.read_exact(&mut head)?;
            let mut length = u64::from(head[1] & 127);
            let wide = match length {
                126 => 2,
                127 => 8,
                _ => 0,
            };
            if wide > 0 {
                let mut bytes = [0; 8];
                self.0.read_exact(&mut bytes[8 - wide..])?;
                length = u64::from_be_bytes(bytes);
            }
            let mut part = vec![0; usize::try_from(length).expect("a frame that fits")];
            self.0.read_exact(&mut part)?;
            match head[0] & 15 {
                // A piece of text.
                0..=2 => whole.append(&mut part),
                8 => return Err(std::io::ErrorKind::ConnectionAborted.into()),
                // A ping wants the same back.
                9 => self.frame(10, &part)?,
                _ => continue,
            }
            if head[0] & 15 <= 2 && head[0] & 0x80 != 0 {
                return Ok(whole);
            }
        }
    }
}

/// A window with everything its console said.
pub(crate) struct Firefox {
    child: Child,
    socket: Socket,
    next: u64,
    window: String,
    faults: Vec<String>,
    _profile: tempfile::TempDir,
}

impl Firefox {
    /// A blank page of a size in CSS pixels.
    pub(crate) fn blank(browser: &str, width: u32, height: u32) -> Self {
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut child = Command::new(browser)
            .args(["--headless", "--no-remote", "--remote-debugging-port=0"])
            .arg("--profile")
            .arg(profile.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("a browser");
        let mut said = BufReader::new(child.stderr.take().expect("a pipe")).lines();
        let (send, address) = channel();
        // It is read to its end, so that the browser never waits for room.
        std::thread::spawn(move || {
            while let Some(Ok(line)) = said.next() {
                if let Some(at) = line.strip_prefix(LISTENING) {
                    let _ = send.send(at.trim_end_matches('/').to_owned());
                }
            }
        });
        let address = address.recv_timeout(PATIENCE).expect("an address");
        let mut page = Self {
            child,
            socket: Socket::open(&address),
            next: 0,
            window: String::new(),
            faults: Vec::new(),
            _profile: profile,
        };
        page.call("session.new", json!({"capabilities": {}}));
        page.call("session.subscribe", json!({"events": ["log.entryAdded"]}));
        let tree = page.call("browsingContext.getTree", json!({}));
        let window = tree["contexts"][0]["context"].as_str();
        window.expect("a window").clone_into(&mut page.window);
        page.size(width, height);
        page
    }

    /// One command and its result.
    fn call(&mut self, method: &str, params: Value) -> Value {
        self.tried(method, params)
            .unwrap_or_else(|refused| panic!("{method}: {refused}"))
    }

    /// One command, which the browser may refuse.
    fn tried(&mut self, method: &str, mut params: Value) -> Result<Value, Value> {
        self.next += 1;
        if !self.window.is_empty() {
            params["context"] = json!(self.window);
        }
        let message = json!({"id": self.next, "method": method, "params": params});
        self.socket
            .frame(1, message.to_string().as_bytes())
            .expect("a browser that listens");
        loop {
            let text = self
                .socket
                .text()
                .unwrap_or_else(|e| panic!("{method} {params}: {e}"));
            let mut answer: Value = serde_json::from_slice(&text).expect("JSON");
            if answer["id"] == json!(self.next) {
                let done = answer["type"] == "success";
                return if done {
                    Ok(answer["result"].take())
                } else {
                    Err(answer)
                };
            }
            let entry = &answer["params"];
            if answer["method"] == "log.entryAdded"
                && (entry["level"] == "error" || entry["level"] == "warn")
            {
                self.faults.push(entry.to_string());
            }
        }
    }

    /// The value of an expression; `Err` where the document went away under it.
    fn evaluated(&mut self, expression: &str) -> Result<Value, Value> {
        // As text, for its own values come with their types.
        let whole = format!("(async () => JSON.stringify((await ({expression})) ?? null))()");
        let answer = self.tried(
            "script.evaluate",
            json!({"expression": whole, "target": {"context": self.window}, "awaitPromise": true}),
        )?;
        let text = answer["result"]["value"].as_str().ok_or(&answer);
        Ok(serde_json::from_str(text.map_err(Value::clone)?).expect("JSON"))
    }

    /// One pointer's doings, each a kind with its place and time.
    fn pointer(&mut self, kind: &str, doings: Vec<Value>) {
        self.call(
            "input.performActions",
            json!({"actions": [{"type": "pointer", "id": kind, "parameters": {"pointerType": kind}, "actions": doings}]}),
        );
    }
}

/// A pointer put down at the first place, taken along the others, and lifted.
fn drawn(places: impl IntoIterator<Item = (f64, f64)>) -> Vec<Value> {
    let mut doings: Vec<Value> = places
        .into_iter()
        .map(
            |(x, y)| json!({"type": "pointerMove", "x": x.round(), "y": y.round(), "duration": 16}),
        )
        .collect();
    doings.insert(1, json!({"type": "pointerDown", "button": 0}));
    doings.push(json!({"type": "pointerUp", "button": 0}));
    doings
}

impl Screen for Firefox {
    fn eval(&mut self, expression: &str) -> Value {
        self.evaluated(expression)
            .unwrap_or_else(|refused| panic!("{expression}: {refused}"))
    }

    fn faults(&self) -> &[String] {
        &self.faults
    }

    fn size(&mut self, width: u32, height: u32) {
        self.call(
            "browsingContext.setViewport",
            json!({"viewport": {"width": width, "height": height}}),
        );
    }

    /// Firefox at times never answers a navigation that is to wait for its end, so it is asked.
    fn go(&mut self, address: &str) {
        let ready = "document.documentElement.dataset.ready === '1'";
        for (url, there) in [
            ("about:blank", "!document.body.children.length"),
            (address, ready),
        ] {
            self.call(
                "browsingContext.navigate",
                json!({"url": url, "wait": "none"}),
            );
            let from = Instant::now();
            while self.evaluated(there) != Ok(json!(true)) {
                assert!(
                    from.elapsed() < PATIENCE,
                    "{url} never came; the console said {:?}",
                    self.faults
                );
                std::thread::sleep(Duration::from_millis(30));
            }
        }
    }

    fn click(&mut self, selector: &str) {
        let (x, y) = self.middle(selector);
        self.pointer("mouse", drawn([(x, y)]));
    }

    fn swipe(&mut self, selector: &str, dx: f64, dy: f64) {
        let (x, y) = self.middle(selector);
        let place = |i: u32| (x + dx * f64::from(i) / 8.0, y + dy * f64::from(i) / 8.0);
        self.pointer("touch", drawn((0..=8).map(place)));
    }

    fn print(&mut self) -> Vec<u8> {
        let pdf = self.call("browsingContext.print", json!({}));
        let pdf = pdf["data"].as_str().expect("a PDF");
        STANDARD.decode(pdf).expect("base64")
    }
}

impl Drop for Firefox {
    fn drop(&mut self) {
        let end = json!({"id": self.next + 1, "method": "browser.close", "params": {}});
        let _ = self.socket.frame(1, end.to_string().as_bytes());
        for _ in 0..75 {
            if matches!(self.child.try_wait(), Ok(Some(_))) {
                return;
            }
            std::thread::sleep(Duration::from_millis(40));
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

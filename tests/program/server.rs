//! The local server: what it refuses, what it says to browsers, how it stops.

use crate::common::serving;

use serde_json::json;
use serving::{Served, receive, send};
use std::io::{Read, Write};

const QUESTION: &str = r#"{"ask":"check","film":"wrap-cast","bridge_mm":150,
    "section":{"shape":"channel:mouth=80,floor=40,depth=25"}}"#;

#[test]
fn page_and_answers_carry_the_headers_that_guard_them() {
    let served = Served::start();
    for (path, kind) in [
        ("/", "text/html; charset=utf-8"),
        ("/index.html", "text/html; charset=utf-8"),
        ("/script.js", "text/javascript; charset=utf-8"),
        ("/style.css", "text/css; charset=utf-8"),
        ("/regular.woff2", "font/woff2"),
        ("/manifest.webmanifest", "application/manifest+json"),
        ("/icon.svg", "image/svg+xml"),
        ("/nothing-here", "application/json"),
    ] {
        let reply = served.request("GET", path, "", b"");
        assert_eq!(
            reply.status,
            if path == "/nothing-here" { 404 } else { 200 }
        );
        assert_eq!(reply.header("content-type"), Some(kind), "{path}");
        let policy = reply.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"));
        assert!(
            !policy.contains("unsafe") && !policy.contains("http"),
            "{policy}"
        );
        assert_eq!(reply.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(reply.header("referrer-policy"), Some("no-referrer"));
        assert_eq!(
            reply.header("cross-origin-resource-policy"),
            Some("same-origin")
        );
    }
    let reply = served.ask(QUESTION);
    assert_eq!(reply.status, 200);
    assert_eq!(reply.header("cache-control"), Some("no-store"));
    assert!(reply.header("content-security-policy").is_some());
    // No other page may read answers: no leave is given to any origin.
    assert!(reply.header("access-control-allow-origin").is_none());
}

#[test]
fn the_served_index_has_no_inline_script_or_style() {
    let served = Served::start();
    let html = String::from_utf8(served.request("GET", "/", "", b"").body).unwrap();
    assert!(!html.contains("<style") && !html.contains("style=\""));
    assert!(html.matches("<script").count() == 1 && html.contains("<script src=\"script.js\">"));
}

#[test]
fn bad_json_gets_a_400_with_the_reason() {
    let served = Served::start();
    for (body, reason) in [
        ("", "EOF"),
        ("{\"ask\":", "EOF"),
        ("[]", "expected struct Request"),
        ("{}", "missing field `ask`"),
        ("{\"ask\":\"lunch\"}", "unknown variant `lunch`"),
        (
            "{\"ask\":\"check\",\"bridge\":150}",
            "unknown field `bridge`",
        ),
        (
            "{\"ask\":\"check\",\"bridge_mm\":1e999}",
            "number out of range",
        ),
        (
            "{\"ask\":\"check\",\"bridge_mm\":\"wide\"}",
            "invalid type: string",
        ),
    ] {
        let reply = served.ask(body);
        assert_eq!(reply.status, 400, "{body}");
        let message = reply.json()["error"]["message"]
            .as_str()
            .unwrap()
            .to_owned();
        assert!(message.contains(reason), "{body}: {message}");
        assert!(reply.json()["error"]["hint"].is_string());
    }
    let json = "content-type: application/json\r\n";
    let reply = served.request("POST", "/answer", json, b"\xFF\xFE{}");
    assert_eq!(reply.status, 400);
    // A question that can be read but not answered is no fault of the request.
    let reply = served
        .ask("{\"ask\":\"check\",\"film\":\"wrap-cast\",\"section\":{\"points\":\"0,0 1,x\"}}");
    assert_eq!(reply.status, 200);
    assert!(reply.json()["error"]["message"].is_string());
}

#[test]
fn what_typing_means_is_taken_and_what_it_cannot_mean_is_refused_in_a_sentence() {
    let served = Served::start();
    let points = |typing: &str, text: &str| {
        let body = format!("{{\"ask\":\"section\",\"section\":{{\"text\":\"{text}\"}}{typing}}}");
        served.ask(&body)
    };
    let plain = points("", "-60,0 -40,0 -20,-12.5 20,-12.5 40,0 60,0").json();
    for (typing, text) in [
        (",\"units\":\"cm\"", "-6,0 -4,0 -2,-1.25 2,-1.25 4,0 6,0"),
        (",\"depths\":true", "-60;0 -40;0 -20;12,5 20;12,5 40;0 60;0"),
        (
            ",\"leftwards\":true",
            "60,0 40,0 20,-12.5 -20,-12.5 -40,0 -60,0",
        ),
    ] {
        let reply = points(typing, text);
        assert_eq!(reply.status, 200);
        assert_eq!(reply.json()["landmarks"], plain["landmarks"], "{typing}");
    }
    for (typing, sentence) in [
        (
            ",\"units\":\"ft\"",
            "unknown variant `ft`, expected one of `mm`, `cm`, `in`",
        ),
        (",\"depths\":\"yes\"", "expected a boolean"),
        (",\"upwards\":true", "unknown field `upwards`"),
    ] {
        let reply = points(typing, "0,0 1,-1 2,0");
        assert_eq!(reply.status, 400, "{typing}");
        let error = reply.json()["error"]["message"].to_string();
        assert!(
            error.contains("cannot be read") && error.contains(sentence),
            "{error}"
        );
    }
}

#[test]
fn what_no_page_of_its_own_sends_is_refused() {
    let served = Served::start();
    let json = "content-type: application/json\r\n";
    for kind in [
        "",
        "content-type: text/plain\r\n",
        "content-type: application/x-www-form-urlencoded\r\n",
    ] {
        assert_eq!(
            served
                .request("POST", "/answer", kind, QUESTION.as_bytes())
                .status,
            415
        );
    }
    assert_eq!(served.request("GET", "/answer", "", b"").status, 405);
    assert_eq!(served.request("POST", "/", json, b"{}").status, 405);
    for host in [
        "host: example.org\r\n",
        "host: 127.0.0.1.example.org:80\r\n",
    ] {
        assert_eq!(served.request("GET", "/", host, b"").status, 421, "{host}");
    }
    assert_eq!(
        served
            .request("GET", "/", "host: localhost:1\r\n", b"")
            .status,
        200
    );
}

#[test]
fn no_path_reaches_the_disk() {
    let served = Served::start();
    for path in [
        "/Cargo.toml",
        "/../Cargo.toml",
        "/..%2fCargo.toml",
        "/%2e%2e/%2e%2e/etc/passwd",
        "//etc/passwd",
        "/etc/passwd",
        "/script.js/../../Cargo.toml",
        "/./Cargo.toml",
    ] {
        assert_eq!(served.request("GET", path, "", b"").status, 404, "{path}");
    }
}

#[test]
fn a_body_over_the_limit_is_refused_and_one_below_is_read() {
    let served = Served::start();
    let points = |n: usize| {
        let text = "1234.567,-12.3456 ".repeat(n);
        json!({"ask": "check", "film": "wrap-cast", "section": {"points": text}}).to_string()
    };
    assert_eq!(served.ask(&points(130_000)).status, 413);
    assert_eq!(served.ask(&points(100_000)).status, 200);
    // Many points of a real section, and sizes that would never end.
    let wave: Vec<String> = (0..25_000)
        .map(|i| {
            format!(
                "{},{}",
                f64::from(i) * 0.01,
                -0.002 * f64::from(i.min(25_000 - i))
            )
        })
        .collect();
    let question =
        json!({"ask": "sweep", "film": "wrap-cast", "section": {"points": wave.join(" ")}});
    let reply = served.ask(&question.to_string());
    assert!(
        reply.json()["error"]["message"]
            .as_str()
            .unwrap()
            .contains("at most 20000 points")
    );
    let endless = json!({"ask": "recommend", "film": "wrap-cast", "clear_left_mm": 1e9, "section": {"shape": "step:drop=12,run=6"}});
    let reply = served.ask(&endless.to_string());
    assert!(
        reply.json()["error"]["message"]
            .as_str()
            .unwrap()
            .contains("the clear panel")
    );
}

#[test]
fn a_head_or_a_body_that_never_ends_is_given_up() {
    let served = Served::start();
    let mut head = served.connect();
    head.write_all(b"GET / HTTP/1.1\r\nhost: localh").unwrap();
    let mut body = served.connect();
    body.write_all(b"POST /answer HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 100\r\n\r\n{\"ask\"").unwrap();
    // Others are answered in the meantime.
    assert_eq!(served.ask(QUESTION).status, 200);
    assert_eq!(receive(&mut body).status, 408);
    let mut rest = Vec::new();
    // Closed, with or without a word.
    head.read_to_end(&mut rest).unwrap();
    let said = String::from_utf8_lossy(&rest);
    assert!(rest.is_empty() || said.starts_with("HTTP/1.1 4"), "{said}");
}

#[test]
#[cfg(unix)]
fn a_signal_stops_it_cleanly() {
    for signal in ["-TERM", "-INT"] {
        let served = Served::start();
        // An idle connection does not hold it up.
        let mut stream = served.connect();
        send(&mut stream, &served.address, "GET", "/", "", b"");
        assert_eq!(receive(&mut stream).status, 200);
        assert_eq!(served.stop(signal), Some(0), "{signal}");
    }
}

#[test]
fn a_port_that_is_taken_is_an_error_with_a_hint() {
    let served = Served::start();
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .args(["serve", "--listen", &served.address])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("cannot be listened on") && said.contains("hint: "),
        "{said}"
    );
}

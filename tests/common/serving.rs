//! The program's server as a child, and plain HTTP to it.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// `tautspan serve` on a free port.
pub(crate) struct Served {
    pub(crate) child: Child,
    /// `127.0.0.1:PORT`.
    pub(crate) address: String,
}

impl Served {
    pub(crate) fn start() -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_tautspan"))
            .args(["serve", "--listen", "127.0.0.1:0"])
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program");
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().expect("a pipe"))
            .read_line(&mut line)
            .expect("an address");
        let address = line
            .trim()
            .trim_start_matches("http://")
            .trim_end_matches('/');
        let address = address.to_owned();
        Self { child, address }
    }

    /// A connection.
    pub(crate) fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).expect("a connection");
        let patience = Some(Duration::from_secs(40));
        stream.set_read_timeout(patience).expect("a time limit");
        stream
    }

    /// One request on a connection of its own.
    pub(crate) fn request(&self, method: &str, path: &str, headers: &str, body: &[u8]) -> Reply {
        let mut stream = self.connect();
        send(&mut stream, &self.address, method, path, headers, body);
        receive(&mut stream)
    }

    /// A question.
    pub(crate) fn ask(&self, body: &str) -> Reply {
        let json = "content-type: application/json\r\n";
        self.request("POST", "/answer", json, body.as_bytes())
    }

    /// Sends a signal and returns the exit code.
    pub(crate) fn stop(mut self, signal: &str) -> Option<i32> {
        let status = Command::new("kill")
            .args([signal, &self.child.id().to_string()])
            .status()
            .expect("kill");
        assert!(status.success());
        for _ in 0..200 {
            if let Some(status) = self.child.try_wait().expect("a child") {
                return status.code();
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("the server does not stop");
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A response.
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Reply {
    /// The value of a header.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }

    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.body).expect("JSON")
    }
}

/// Writes one request.
pub(crate) fn send(
    stream: &mut TcpStream,
    host: &str,
    method: &str,
    path: &str,
    headers: &str,
    body: &[u8],
) {
    let host = if headers.to_ascii_lowercase().contains("host:") {
        String::new()
    } else {
        format!("host: {host}\r\n")
    };
    let head = format!(
        "{method} {path} HTTP/1.1\r\n{host}{headers}content-length: {}\r\n\r\n",
        body.len()
    );
    // In one piece; a server that has refused already may close before it has read all.
    let _ = stream.write_all(&[head.as_bytes(), body].concat());
}

/// Reads one response with a length.
pub(crate) fn receive(stream: &mut TcpStream) -> Reply {
    let mut head = Vec::new();
    let mut byte = [0];
    while !head.ends_with(b"\r\n\r\n") {
        match stream.read_exact(&mut byte) {
            Ok(()) => head.push(byte[0]),
            Err(error) => panic!("{error} after {:?}", String::from_utf8_lossy(&head)),
        }
    }
    let head = String::from_utf8(head).expect("a head in ASCII");
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok());
    let mut reply = Reply {
        status: status.expect("a status"),
        head,
        body: Vec::new(),
    };
    let length = reply
        .header("content-length")
        .map_or(0, |v| v.parse().expect("a length"));
    reply.body = vec![0; length];
    stream.read_exact(&mut reply.body).expect("the whole body");
    reply
}

//! What goes wrong around the program: full and read-only disks, kills half way, two runs at once, other
//! locales, no home, a clock set back, a reader that goes away, a server with idle guests.
//!
//! Promised is that each file is whole, or the old one, or not there; that nothing a user would see is
//! left over; and that what was there before stays as it was.
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small numbers drawn from 0 up"
)]

use crate::common::serving::{Served, receive, send};
use crate::common::survey::Source;

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const CHANNEL: &str = "channel:mouth=80,floor=40,depth=25";
/// Kills in all.
const KILLS: usize = 200;

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_tautspan"))
}

fn run(folder: &Path, args: &[&str]) -> Output {
    let mut command = program();
    command.current_dir(folder).args(args).stdin(Stdio::null());
    command.output().unwrap()
}

fn words(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// Every file of a folder by its name.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    entries
        .filter_map(|entry| {
            let bytes = std::fs::read(entry.path()).ok()?;
            Some((entry.file_name().into_string().unwrap(), bytes))
        })
        .collect()
}

/// A file system of its own, as small as said, if one may be mounted here; else said.
struct Mounted(PathBuf);

impl Mounted {
    fn new(at: &Path, options: &str) -> Option<Self> {
        std::fs::create_dir_all(at).unwrap();
        let mount = Command::new("mount")
            .args(["-t", "tmpfs", "-o", options, "none"])
            .arg(at)
            .output();
        if mount.is_ok_and(|done| done.status.success()) {
            return Some(Self(at.to_owned()));
        }
        println!("nothing can be mounted here: not tried");
        None
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_full_disk_is_said_and_leaves_what_was_there() {
    let folder = tempfile::tempdir().unwrap();
    let small = folder.path().join("small");
    let Some(_mounted) = Mounted::new(&small, "size=64k") else {
        return;
    };
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    let old = small.join("channel-film.svg");
    std::fs::write(&old, "old").unwrap();
    let out = ["draw", "--bridge", "150", "--out", "small", "--force"];
    let drawn = run(folder.path(), &[&out[..], &shape].concat());
    assert_eq!(drawn.status.code(), Some(2), "{}", words(&drawn));
    assert!(
        words(&drawn).contains("could not be written"),
        "{}",
        words(&drawn)
    );
    assert_eq!(
        files(&small),
        BTreeMap::from([("channel-film.svg".into(), b"old".to_vec())])
    );
    // The record of post-heating keeps its lines; a part of a new one is set aside by the next.
    let record = small.join("heat.csv");
    let text = include_str!("../../profiles/heat/sliding-door-heat.csv");
    std::fs::write(&record, text).unwrap();
    let filled = std::fs::write(small.join("filler"), vec![0; 1 << 20]);
    assert!(filled.is_err(), "the disk is full");
    let add = [
        "heatlog",
        "small/heat.csv",
        "--add",
        "place=120, reading=104",
    ];
    let added = run(folder.path(), &add);
    if added.status.code() == Some(2) {
        let now = std::fs::read_to_string(&record).unwrap();
        assert!(now.starts_with(text), "{now}");
        std::fs::remove_file(small.join("filler")).unwrap();
        let added = run(folder.path(), &add);
        assert_eq!(added.status.code(), Some(0), "{}", words(&added));
    }
    assert!(std::fs::read_to_string(&record).unwrap().starts_with(text));
}

#[test]
#[cfg(target_os = "linux")]
fn output_that_cannot_be_written_is_an_error() {
    for args in [
        &["recommend", "--shape", CHANNEL, "--film", "wrap-cast"][..],
        &[
            "recommend",
            "--shape",
            CHANNEL,
            "--film",
            "wrap-cast",
            "--json",
        ],
        &["sweep", "--shape", CHANNEL, "--film", "wrap-cast", "--csv"],
        &["films"],
    ] {
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .unwrap();
        let mut command = program();
        let output = command
            .args(args)
            .stdout(full)
            .stderr(Stdio::piped())
            .output()
            .unwrap();
        assert_eq!(
            output.status.code(),
            Some(2),
            "{args:?}: {}",
            words(&output)
        );
        assert!(words(&output).starts_with("error: "), "{}", words(&output));
    }
}

#[test]
#[cfg(target_os = "linux")]
fn a_read_only_folder_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let locked = folder.path().join("locked");
    let _mounted = Mounted::new(&locked, "ro,size=64k");
    // Nobody writes there, root neither.
    let mut places = vec!["/proc/1/tautspan"];
    if _mounted.is_some() {
        places.push("locked");
    }
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    for place in places {
        let file = format!("{place}/new.toml");
        for args in [
            [&["recommend", "--out", place][..], &shape].concat(),
            [&["card", "--out", place][..], &shape].concat(),
            [&["recommend", "--save-job", &file][..], &shape].concat(),
            vec!["demo", place],
            vec!["page", "--out", place],
            vec![
                "heatlog",
                &file,
                "--add",
                "place=120, reading=104, emissivity=0.95, surroundings=20",
            ],
        ] {
            let output = run(folder.path(), &args);
            assert_eq!(
                output.status.code(),
                Some(2),
                "{args:?}: {}",
                words(&output)
            );
            let said = words(&output);
            assert!(said.contains("could not be written"), "{args:?}: {said}");
            assert!(said.contains(place), "{args:?}: {said}");
        }
    }
}

/// A command that writes, what it writes, and how it is begun anew.
struct Writer {
    args: Vec<&'static str>,
    /// The folder it writes to.
    out: &'static str,
}

fn writers() -> Vec<Writer> {
    let with = |args: &[&'static str], more: &[&'static str]| [args, more].concat();
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    vec![
        Writer {
            args: with(
                &["recommend", "--save-job", "jobs/job.toml", "--force"],
                &shape,
            ),
            out: "jobs",
        },
        Writer {
            args: vec![
                "films", "--new", "my-film", "--out", "films", "--force", "--source", "a sheet",
                "--limit", "22",
            ],
            out: "films",
        },
        Writer {
            args: with(
                &[
                    "draw", "--bridge", "150", "--figure", "film", "--out", "drawn", "--force",
                ],
                &shape,
            ),
            out: "drawn",
        },
        Writer {
            args: with(&["recommend", "--out", "all", "--force"], &shape),
            out: "all",
        },
    ]
}

#[test]
#[cfg(unix)]
fn a_program_that_is_killed_leaves_whole_files_or_none() {
    let mut source = Source::new(200);
    let mut killed = 0;
    for (k, writer) in writers().iter().enumerate() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join(writer.out);
        std::fs::create_dir(&out).unwrap();
        let started = Instant::now();
        let done = run(folder.path(), &writer.args);
        let took = started.elapsed();
        assert_eq!(
            done.status.code(),
            Some(0),
            "{:?}: {}",
            writer.args,
            words(&done)
        );
        let whole = files(&out);
        assert!(!whole.is_empty(), "{:?}", writer.args);
        // What takes long is killed less often.
        let times = [60, 60, 30, 10][k];
        for i in 0..times {
            // Nothing there, or old files.
            for name in files(&out).keys() {
                std::fs::remove_file(out.join(name)).unwrap();
            }
            let old = i % 2 == 1;
            if old {
                for name in whole.keys() {
                    std::fs::write(out.join(name), "old").unwrap();
                }
            }
            let mut command = program();
            command.current_dir(folder.path()).args(&writer.args);
            let nothing = command.stdin(Stdio::null()).stdout(Stdio::null());
            let mut child = nothing.stderr(Stdio::null()).spawn().unwrap();
            if i % 4 < 2 {
                std::thread::sleep(took.mul_f64(1.1 * source.uniform()));
            } else {
                // As soon as it begins to write, or a little later.
                let begun = || files(&out).keys().any(|name| name.starts_with('.'));
                while !begun() && child.try_wait().unwrap().is_none() {
                    std::thread::sleep(Duration::from_micros(200));
                }
                std::thread::sleep(Duration::from_micros((4000.0 * source.uniform()) as u64));
            }
            let _ = child.kill();
            let _ = child.wait();
            killed += 1;
            for (name, bytes) in files(&out) {
                if name.starts_with(".tautspan-") && name.ends_with(".part") {
                    continue;
                }
                let there = whole
                    .get(&name)
                    .unwrap_or_else(|| panic!("a stray file {name}"));
                assert!(
                    bytes == *there || old && bytes == b"old",
                    "{name} is no whole file"
                );
            }
        }
        // The next run clears what is hidden.
        assert_eq!(run(folder.path(), &writer.args).status.code(), Some(0));
        assert_eq!(
            files(&out).keys().collect::<Vec<_>>(),
            whole.keys().collect::<Vec<_>>()
        );
    }
    killed += killed_records(&mut source, KILLS - killed);
    assert_eq!(killed, KILLS);
}

/// Appends to a record, killed so many times; each line is whole or closed by the next.
#[cfg(unix)]
fn killed_records(source: &mut Source, times: usize) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("heat.csv");
    let text = include_str!("../../profiles/heat/sliding-door-heat.csv");
    std::fs::write(&record, text).unwrap();
    let args = ["heatlog", "heat.csv", "--add", "place=120, reading=104"];
    let started = Instant::now();
    assert_eq!(run(folder.path(), &args).status.code(), Some(0));
    let took = started.elapsed();
    for _ in 0..times {
        let before = std::fs::read_to_string(&record).unwrap();
        let mut command = program();
        command.current_dir(folder.path()).args(args);
        let nothing = command.stdin(Stdio::null()).stdout(Stdio::null());
        let mut child = nothing.stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(took.mul_f64(1.1 * source.uniform()));
        let _ = child.kill();
        let _ = child.wait();
        let after = std::fs::read_to_string(&record).unwrap();
        assert!(after.starts_with(&before), "what stood was touched");
        let lines = |text: &str| text.lines().count();
        assert!(lines(&after) <= lines(&before) + 1);
        assert!(after.ends_with('\n'), "{:?}", after.lines().last());
    }
    assert_eq!(files(folder.path()).len(), 1);
    times
}

#[test]
fn two_runs_into_one_folder_leave_whole_files() {
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    for force in [true, false] {
        let folder = tempfile::tempdir().unwrap();
        let mut args = vec![
            "draw", "--bridge", "150", "--figure", "film", "--out", "out",
        ];
        args.extend(shape);
        if force {
            args.push("--force");
        }
        for _ in 0..4 {
            let _ = std::fs::remove_dir_all(folder.path().join("out"));
            let children: Vec<_> = (0..3)
                .map(|_| {
                    let mut command = program();
                    command
                        .current_dir(folder.path())
                        .args(&args)
                        .stdin(Stdio::null());
                    command
                        .stdout(Stdio::piped())
                        .stderr(Stdio::piped())
                        .spawn()
                        .unwrap()
                })
                .collect();
            let outputs = children
                .into_iter()
                .map(|child| child.wait_with_output().unwrap());
            let codes: Vec<_> = outputs.map(|o| (o.status.code(), words(&o))).collect();
            let good = codes.iter().filter(|c| c.0 == Some(0)).count();
            assert!(if force { good == 3 } else { good >= 1 }, "{codes:?}");
            for (code, said) in &codes {
                let refused =
                    said.contains("is there already") || said.contains("could not be written");
                assert!(*code == Some(0) || *code == Some(2) && refused, "{said}");
            }
            let made = files(&folder.path().join("out"));
            let names: Vec<_> = made.keys().map(String::as_str).collect();
            assert_eq!(names, ["channel-film.png", "channel-film.svg"]);
            assert!(made["channel-film.png"].ends_with(b"IEND\xaeB`\x82"));
            assert!(
                made["channel-film.svg"]
                    .trim_ascii_end()
                    .ends_with(b"</svg>")
            );
        }
    }
}

#[test]
fn locale_home_and_terminal_have_no_say() {
    let folder = tempfile::tempdir().unwrap();
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    for args in [
        [&["recommend", "--json"][..], &shape].concat(),
        [&["recommend"][..], &shape].concat(),
        [&["sweep", "--csv"][..], &shape].concat(),
        vec!["section", "--shape", CHANNEL],
    ] {
        let mut plain = program();
        let plain = plain
            .current_dir(folder.path())
            .args(&args)
            .output()
            .unwrap();
        for (key, value) in [
            ("LC_ALL", "de_DE.UTF-8"),
            ("LC_ALL", "tr_TR.UTF-8"),
            ("LC_ALL", "C"),
            ("LANG", "fr_FR"),
            ("TERM", "dumb"),
            ("TZ", "Asia/Kathmandu"),
        ] {
            let mut command = program();
            command
                .current_dir(folder.path())
                .args(&args)
                .env_clear()
                .env(key, value);
            let output = command.output().unwrap();
            assert_eq!(output.status.code(), plain.status.code(), "{key}={value}");
            assert_eq!(output.stdout, plain.stdout, "{args:?} with {key}={value}");
        }
    }
}

#[test]
fn a_clock_set_back_spoils_no_record_and_no_clearing() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("heat.csv");
    let text = "place_mm,reading_c,emissivity_set,surroundings_c,time\n50,104,0.95,20,2097-01-01T10:00:00+01:00\n";
    std::fs::write(&record, text).unwrap();
    let added = run(
        folder.path(),
        &["heatlog", "heat.csv", "--add", "place=120, reading=104"],
    );
    assert_eq!(added.status.code(), Some(0), "{}", words(&added));
    let now = std::fs::read_to_string(&record).unwrap();
    assert!(now.starts_with(text) && now.lines().count() == 3, "{now}");
    // What a program left that was killed in the future is cleared; what one holds is not.
    let left = folder.path().join(".tautspan-left.part");
    let held = folder.path().join(".tautspan-held.part");
    let future = std::time::SystemTime::now() + Duration::from_secs(1 << 31);
    for path in [&left, &held] {
        std::fs::File::create(path)
            .unwrap()
            .set_modified(future)
            .unwrap();
    }
    let holding = std::fs::File::open(&held).unwrap();
    holding.lock().unwrap();
    let args = [
        "recommend",
        "--shape",
        CHANNEL,
        "--film",
        "wrap-cast",
        "--save-job",
        "job.toml",
    ];
    assert_eq!(run(folder.path(), &args).status.code(), Some(0));
    assert!(!left.exists() && held.exists());
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let shape = ["--shape", CHANNEL, "--film", "wrap-cast"];
    for args in [
        &["sweep", "--csv"][..],
        &["recommend", "--json"],
        &["check", "--bridge", "150", "--json"],
    ] {
        let mut command = program();
        command.args(args).args(shape).stdin(Stdio::null());
        let mut child = command
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut first)
            .unwrap();
        assert!(!first.is_empty());
        let output = child.wait_with_output().unwrap();
        assert!(
            matches!(output.status.code(), Some(0 | 1)),
            "{:?}",
            output.status
        );
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(
            !said.contains("panicked") && !said.contains("error"),
            "{said}"
        );
    }
}

const QUESTION: &str = r#"{"ask": "check", "film": "wrap-cast", "bridge_mm": 150, "section": {"shape": "channel:mouth=80,floor=40,depth=25"}}"#;

#[test]
fn five_hundred_idle_connections_delay_nobody_by_a_second() {
    let served = Served::start();
    let mut idle: Vec<_> = (0..500).map(|_| served.connect()).collect();
    // Those too that have asked once and keep their connection.
    for stream in idle.iter_mut().rev().take(40) {
        send(stream, &served.address, "GET", "/", "", b"");
        assert_eq!(receive(stream).status, 200);
    }
    for _ in 0..5 {
        let begun = Instant::now();
        let reply = served.ask(QUESTION);
        assert_eq!(reply.status, 200);
        let took = begun.elapsed();
        assert!(took < Duration::from_secs(1), "{took:?}");
    }
    drop(idle);
}

#[test]
fn a_guest_whose_answer_is_under_way_is_not_shown_out() {
    let served = Served::start();
    let slow = QUESTION.replace("check", "recommend").replace(
        "wrap-cast\"",
        "wrap-cast\", \"end_left\": \"rounded\", \"length_mm\": 900",
    );
    let mut asking = served.connect();
    let json = "content-type: application/json\r\n";
    send(
        &mut asking,
        &served.address,
        "POST",
        "/answer",
        json,
        slow.as_bytes(),
    );
    std::thread::sleep(Duration::from_millis(100));
    let idle: Vec<_> = (0..300).map(|_| served.connect()).collect();
    assert_eq!(served.ask(QUESTION).status, 200);
    assert_eq!(receive(&mut asking).status, 200);
    // The first of the idle ones was shown out, without a word.
    let mut rest = Vec::new();
    let mut first = &idle[0];
    first.read_to_end(&mut rest).unwrap();
    assert!(rest.is_empty());
}

/// Resident memory of a process, kB.
#[cfg(target_os = "linux")]
fn resident(id: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{id}/status")).unwrap();
    let line = status.lines().find(|l| l.starts_with("VmRSS")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

/// `TAUTSPAN_REQUESTS` asks for so many instead of the gate's.
#[test]
#[cfg(target_os = "linux")]
fn thousands_of_requests_of_every_kind_leave_memory_flat() {
    let said = std::env::var("TAUTSPAN_REQUESTS").ok();
    let requests = said.map_or(5000, |n| n.parse::<usize>().expect("a whole number"));
    let served = Served::start();
    let json = "content-type: application/json\r\n";
    let check = |i: usize| QUESTION.replace("150", &format!("{}", 100 + i % 200));
    let mut stream = served.connect();
    let mut ask = |n: usize| {
        for i in 0..n {
            if i % 50 == 0 {
                stream = served.connect();
            }
            let (method, path, headers, body) = match i % 10 {
                0 => ("GET", "/", "", String::new()),
                1 => ("GET", "/script.js", "", String::new()),
                2 => ("POST", "/answer", json, "{\"ask\": \"chek\"}".to_owned()),
                3 => ("GET", "/../secret", "", String::new()),
                4 => (
                    "POST",
                    "/answer",
                    json,
                    check(i).replace("check", "section"),
                ),
                _ => ("POST", "/answer", json, check(i)),
            };
            send(
                &mut stream,
                &served.address,
                method,
                path,
                headers,
                body.as_bytes(),
            );
            let status = receive(&mut stream).status;
            let expected = match i % 10 {
                2 => 400,
                3 => 404,
                _ => 200,
            };
            assert_eq!(status, expected, "{method} {path} {body}");
        }
    };
    ask(1000);
    let before = resident(served.child.id());
    ask(requests);
    let after = resident(served.child.id());
    println!("{requests} requests: {before} kB before, {after} kB after");
    // A leak of 2 kB a request would be 10 MB of 5000.
    assert!(
        after < before + 8_000,
        "{before} kB before, {after} kB after"
    );
}

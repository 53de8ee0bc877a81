//! `tautspan heatlog`: its command line, its files, and what a kill leaves.

use crate::common::pdf::Pdf;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const DEMO: &str = "profiles/heat/sliding-door-heat.csv";
const FIRST: &str = "place=0, reading=104, emissivity=0.95, surroundings=20, line=floor";

fn heatlog(file: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tautspan"));
    command.arg("heatlog").arg(file).args(args);
    command
}

fn run(file: &Path, args: &[&str]) -> (Option<i32>, String, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = heatlog(file, args).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (status.code(), text(stdout), text(stderr))
}

/// Numbers that do not repeat: a linear congruential generator (Knuth's MMIX constants).
fn next(seed: &mut u64) -> u64 {
    *seed = seed
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    *seed >> 33
}

#[test]
fn killed_two_hundred_times_every_line_is_whole_and_none_that_was_reported_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("door.csv");
    let start = Instant::now();
    assert_eq!(run(&file, &["--add", FIRST]).0, Some(0));
    let usual = u64::try_from(start.elapsed().as_micros())
        .unwrap()
        .max(1000);
    let (mut seed, mut reported, mut killed) = (1, 1, 0);
    while killed < 200 {
        let typed = format!("place={}, reading=104", next(&mut seed) % 900);
        let mut child = heatlog(&file, &["--add", &typed]);
        let mut child = child
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_micros(next(&mut seed) % (2 * usual)));
        child.kill().unwrap();
        let output = child.wait_with_output().unwrap();
        killed += usize::from(!output.status.success());
        reported += usize::from(output.stdout.starts_with(b"written"));
        let text = fs::read_to_string(&file).unwrap();
        assert!(text.ends_with('\n'), "cut off: {text}");
    }
    let (code, json, said) = run(&file, &["--film", "wrap-cast", "--json"]);
    assert!(code == Some(0) || code == Some(1), "{said}");
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    let kept = usize::try_from(report["readings"].as_u64().unwrap()).unwrap();
    assert!(kept >= reported, "{kept} kept, {reported} reported");
    assert_eq!(fs::read_to_string(&file).unwrap().lines().count(), kept + 1);
    assert!(!json.contains("cut-off"));
    // Some were killed before they wrote, and some wrote: the delays straddle the write.
    assert!(
        reported > 1 && kept < reported + killed,
        "{reported} of {killed}"
    );
}

#[test]
fn two_that_append_at_once_do_not_lose_a_line() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("door.csv");
    assert_eq!(run(&file, &["--add", FIRST]).0, Some(0));
    let add = |k: u32| {
        let mut command = heatlog(&file, &["--add", &format!("place={k}, reading=104")]);
        command.stdout(Stdio::null()).spawn().unwrap()
    };
    let all: Vec<_> = (0..20).map(add).collect();
    for mut child in all {
        assert!(child.wait().unwrap().success());
    }
    let text = fs::read_to_string(&file).unwrap();
    let numbers = text
        .lines()
        .skip(1)
        .map(|line| line.split(',').next().unwrap());
    let expected: Vec<String> = (1..=21).map(|k: u32| k.to_string()).collect();
    assert!(numbers.eq(expected.iter()), "{text}");
}

#[test]
fn a_line_that_was_cut_off_is_closed_said_and_never_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("door.csv");
    run(&file, &["--add", FIRST]);
    let torn = fs::read_to_string(&file).unwrap() + "2,150,floor,10";
    fs::write(&file, &torn).unwrap();
    let (_, said, _) = run(&file, &["--film", "wrap-cast"]);
    assert!(said.contains("line 3 was cut off"), "{said}");
    assert_eq!(run(&file, &["--add", "place=150, reading=105"]).0, Some(0));
    assert!(fs::read_to_string(&file).unwrap().starts_with(&torn));
    let (code, said, _) = run(&file, &["--film", "wrap-cast"]);
    assert!(
        said.contains("line 3 was cut off") && code == Some(0),
        "{said}"
    );
}

#[test]
fn the_verdict_comes_first_and_the_exit_code_says_it() {
    let demo = Path::new(DEMO);
    let (code, said, _) = run(demo, &["--film", "wrap-cast", "--length", "900"]);
    assert_eq!(code, Some(1));
    assert!(
        said.starts_with("sliding-door-heat: not yet: 1 stretch"),
        "{said}"
    );
    assert!(said.contains("No reading from 340 mm to 640 mm"), "{said}");
    let (code, said, _) = run(demo, &["--film", "wrap-cast", "--spacing", "300"]);
    assert_eq!(code, Some(0));
    assert!(
        said.starts_with("sliding-door-heat: post-heated: all"),
        "{said}"
    );
    let (code, said, _) = run(
        demo,
        &["--film", "recess-cast", "--units", "in", "--length", "36"],
    );
    assert_eq!(code, Some(1));
    assert!(said.contains("13 3/8 in"), "{said}");
}

#[test]
fn strip_and_page_are_written_and_never_over_what_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let args = [
        "--film",
        "wrap-cast",
        "--length",
        "900",
        "--lot",
        "L-17",
        "--by",
        "R. K.",
        "--out",
        out,
    ];
    assert_eq!(run(Path::new(DEMO), &args).0, Some(1));
    assert_eq!(run(Path::new(DEMO), &args).0, Some(2));
    let file = |end: &str| {
        fs::read(
            folder
                .path()
                .join(format!("sliding-door-heat-post-heat{end}")),
        )
        .unwrap()
    };
    assert!(file(".png").starts_with(b"\x89PNG") && file(".svg").starts_with(b"<svg"));
    let pdf = Pdf::read(&file("-page.pdf"));
    let html = String::from_utf8(file("-page.html")).unwrap();
    for words in [
        "Not yet: 1 stretch",
        "L-17",
        "R. K.",
        "maker's instructions",
        "Training numbers",
    ] {
        assert!(pdf.says(0, words), "{words}");
    }
    assert!(html.contains("L-17") && html.contains("Not yet: 1 stretch"));
}

#[test]
fn wrong_input_is_refused_and_says_what_to_try() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("door.csv");
    for (args, word) in [
        (&["--film", "wrap-cast"][..], "no such file"),
        (&["--add", "place=0, reading=104"], "emissivity"),
        (&["--add", "104"], "key=value"),
        (&[], "--film"),
        (&["--film", "wrap-cast", "--correct", "1"], "--add"),
        (&["--film", "wrap-cast", "--emissivity", "93"], "at most 1"),
        (&["--film", "wrap-cast", "--spacing", "0"], "above zero"),
        (&["--film", "wrap-cats"], "wrap-cast"),
    ] {
        let (code, _, said) = run(&file, args);
        assert_eq!(code, Some(2), "{args:?}: {said}");
        assert!(said.contains(word), "{args:?}: {said}");
    }
    assert!(!file.exists(), "nothing is made for what was refused");
    let (_, _, said) = run(
        Path::new("profiles/recesses/deep-channel.csv"),
        &["--film", "wrap-cast"],
    );
    assert!(said.contains("no column `reading_c`"), "{said}");
}

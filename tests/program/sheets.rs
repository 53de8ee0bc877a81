//! Card, chart and lesson sheet through the commands, as a user runs them.

use assert_cmd::Command;
use serde_json::Value;
use std::path::Path;

/// Runs in the project's folder; exit code, stdout, stderr.
fn run(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

const DEEP: &str = "profiles/recesses/deep-channel.csv";

fn files(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> = std::fs::read_dir(folder)
        .map(|d| {
            d.map(|f| f.unwrap().file_name().into_string().unwrap())
                .collect()
        })
        .unwrap_or_default();
    all.sort();
    all
}

#[test]
fn each_sheet_writes_its_files_once_and_again_only_when_forced() {
    let folder = tempfile::tempdir().unwrap();
    let cases: [(&str, &[&str], &[&str]); 3] = [
        (
            "card",
            &[DEEP, "--film", "wrap-cast"],
            &["deep-channel-card.html", "deep-channel-card.pdf"],
        ),
        (
            "chart",
            &["--film", "wrap-cast"],
            &[
                "wrap-cast-fingertip-chart.csv",
                "wrap-cast-fingertip-chart.html",
                "wrap-cast-fingertip-chart.pdf",
            ],
        ),
        (
            "lesson",
            &[DEEP, "--film", "wrap-cast", "--frames", "2"],
            &[
                "deep-channel-lesson-frame-001.png",
                "deep-channel-lesson-frame-002.png",
                "deep-channel-lesson.pdf",
            ],
        ),
    ];
    for (command, args, expected) in cases {
        let out = folder.path().join(command);
        let out = out.to_str().unwrap();
        let args = [&[command], args, &["--out", out]].concat();
        let (code, _, err) = run(&args);
        assert_eq!(code, 0, "{err}");
        assert_eq!(files(Path::new(out)), expected);
        let (code, _, err) = run(&args);
        assert_eq!(code, 2);
        assert!(err.contains("is there already"), "{err}");
        assert_eq!(run(&[&args[..], &["--force"]].concat()).0, 0);
    }
}

fn card(args: &[&str]) -> Value {
    let (_, out, err) = run(&[&["card"], args, &["--json"]].concat());
    serde_json::from_str(&out).unwrap_or_else(|e| panic!("{args:?}: {e}\n{err}"))
}

fn value(card: &Value, table: &str, label: &str) -> String {
    let rows = card[table].as_array().unwrap();
    let row = rows.iter().find(|r| r["label"] == label).unwrap();
    row["value"].as_str().unwrap().replace('\u{a0}', " ")
}

#[test]
fn cards_of_the_demo_recesses_carry_numbers_checked_by_hand() {
    // Reference: by hand from the headers of profiles/recesses. A rounding of radius r at a
    // turn of t shortens the panel by (2 tan(t/2) - t) r; the CSVs are rounded to 0.01 mm,
    // and the card to 0.1 mm.
    // V groove 30 wide, 12 deep, lips 1, bottom 1.5: 2 sqrt(15² + 12²) - 30 = 8.419; two lips
    // at 38.66 degrees take 0.053 off, the bottom at 77.32 degrees 0.375: 7.99.
    let groove = card(&[
        "profiles/recesses/v-groove.csv",
        "--film",
        "wrap-cast",
        "--length",
        "800",
        "--ends",
        "open",
    ]);
    let mm = |card: &Value, table: &str, label: &str| -> f64 {
        let text = value(card, table, label);
        text.strip_suffix(" mm").unwrap().parse().unwrap()
    };
    assert!((mm(&groove, "measured", "Extra panel") - 7.99).abs() < 0.07);
    // The plain rule at 20 %: five times that.
    let plain = mm(&groove, "numbers", "Plain rule: bridge at least");
    assert!((plain - 39.96).abs() < 0.2, "{plain}");
    // Channel 80 to 40 wide, 25 deep, all radii 3, turns of 51.34 degrees: sharp extra
    // 24.031 (mechanics: worked value), less 4 x 3 x 0.0652 = 0.783.
    let deep = card(&[DEEP, "--film", "wrap-cast"]);
    assert!((mm(&deep, "measured", "Extra panel") - 23.25).abs() < 0.07);
    // Tape to tape is mouth and both reaches: the flats are level.
    let bridge = deep["bridge_mm"].as_f64().unwrap();
    assert!((bridge / 5.0 - (bridge / 5.0).round()).abs() < 1e-9);
    let points = deep["drawing"]["film"].as_array().unwrap();
    let x = |i: usize| points[i][0].as_f64().unwrap();
    assert!((x(points.len() - 1) - x(0) - bridge).abs() < 0.01);
    assert_eq!(deep["not_within_mm"], deep["bridge_mm"]);
}

#[test]
fn a_card_without_a_width_is_done_and_not_acceptable() {
    let (code, out, _) = run(&["card", DEEP, "--film", "monomeric", "--json"]);
    assert_eq!(code, 1);
    assert!(out.contains("No width"));
    let short = ["--length", "200", "--ends", "closed", "--json"];
    let (code, out, _) = run(&[&["card", DEEP, "--film", "wrap-cast"][..], &short].concat());
    assert_eq!(code, 1);
    assert!(out.contains("closed end"));
}

#[test]
fn warmth_that_was_said_stands_on_the_card() {
    let args = [DEEP, "--film", "recess-cast", "--warm", "mouth:80"];
    let card = card(&args);
    assert_eq!(card["tasks"][2]["big"], "Mouth only");
    let line = card["tasks"][2]["lines"][0].as_str().unwrap();
    assert!(line.contains("80\u{a0}°C"), "{line}");
}

#[test]
fn wrong_input_says_what_was_expected_and_what_to_try() {
    let cases: [(&[&str], &str); 8] = [
        (
            &["card", DEEP, "--film", "wrap-cast", "--length", "0"],
            "more than 0",
        ),
        (
            &["card", DEEP, "--film", "wrap-cast", "--length", "NaN"],
            "a finite number",
        ),
        (
            &["card", DEEP, "--film", "wrap-cast", "--order", "edge-first"],
            "needs a width",
        ),
        (
            &[
                "card",
                DEEP,
                "--film",
                "wrap-cast",
                "--bridge",
                "100",
                "--order",
                "middle-push",
            ],
            "takes no bridge",
        ),
        (
            &["chart", "--film", "wrap-cast", "--depths", "10,5"],
            "rising",
        ),
        (&["chart", "--film", "wrap-cast", "--wall", "95"], "5 to 90"),
        (
            &["chart", "--film", "wrap-cast", "--mouths", "nan"],
            "a finite number",
        ),
        (
            &["lesson", DEEP, "--film", "wrap-cast", "--frames", "1"],
            "2 to 200",
        ),
    ];
    for (args, words) in cases {
        let (code, out, err) = run(args);
        assert_eq!(code, 2, "{args:?}");
        assert!(out.is_empty() && err.contains(words), "{args:?}: {err}");
    }
}

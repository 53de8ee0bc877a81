//! From scrap to the stamp off: `trial` on the made strips, and answers that rest on what it wrote.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

const DEEP: &str = "profiles/recesses/deep-channel.csv";

/// Standard output, standard error and exit code.
fn run(args: &[&str]) -> (String, String, i32) {
    let output = Command::cargo_bin("tautspan")
        .unwrap()
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        text(&output.stdout),
        text(&output.stderr),
        output.status.code().unwrap(),
    )
}

/// A trial of the made strips, written to a class of this folder.
fn written(folder: &Path) -> String {
    let film = folder.join("my-wrap.toml").display().to_string();
    let marks = "profiles/trial/strips.csv";
    let (out, noted, code) = run(&[
        "trial",
        DEEP,
        "--film",
        "wrap-cast",
        "--marks",
        marks,
        "--write",
        &film,
    ]);
    assert_eq!(code, 0, "{noted}");
    // The README's block is real output; the strips were made from a friction of 0.25.
    let readme = fs::read_to_string("README.md").unwrap();
    let block = readme
        .split("```text\n")
        .find(|block| block.contains("  Friction "));
    let block = block.unwrap().split("```").next().unwrap();
    assert!(out.contains(block), "{block}\nis not in\n{out}");
    film
}

#[test]
fn the_stamp_comes_off_because_of_what_was_measured() {
    let folder = tempfile::tempdir().unwrap();
    let film = written(folder.path());
    let (before, _, _) = run(&["recommend", DEEP, "--film", "wrap-cast"]);
    assert!(before.contains("Training numbers"), "{before}");
    let (out, noted, code) = run(&[
        "recommend",
        DEEP,
        "--film",
        &film,
        "--tool",
        "profiles/trial/my-finger.toml",
    ]);
    assert_eq!(code, 0, "{noted}");
    assert!(!out.contains("Training numbers"), "{out}");
    assert!(
        out.contains("friction 0.274 on the lips, the film class's own"),
        "{out}"
    );
    assert!(out.contains("limit 22 %"), "{out}");
}

#[test]
fn a_class_that_is_there_is_not_written_over_and_its_comments_stay() {
    let folder = tempfile::tempdir().unwrap();
    let film = written(folder.path());
    let marks = "profiles/trial/strips.csv";
    let again = [
        "trial", DEEP, "--film", &film, "--marks", marks, "--write", &film,
    ];
    let (_, noted, code) = run(&again);
    assert!(code == 2 && noted.contains("is there already"), "{noted}");
    let own = fs::read_to_string(&film).unwrap();
    fs::write(
        &film,
        own.replace("recess = true", "# soft at 20 degC\nrecess = true"),
    )
    .unwrap();
    let (_, noted, code) = run(&[&again[..], &["--force"]].concat());
    assert_eq!(code, 0, "{noted}");
    assert!(
        fs::read_to_string(&film)
            .unwrap()
            .contains("# soft at 20 degC\nrecess = true")
    );
}

#[test]
fn what_a_trial_cannot_take_is_said_with_its_place_and_what_would_help() {
    let folder = tempfile::tempdir().unwrap();
    let table = |text: &str| {
        let path = folder.path().join("marks.csv");
        fs::write(&path, text).unwrap();
        path.display().to_string()
    };
    let trial = |marks: &str| run(&["trial", DEEP, "--film", "wrap-cast", "--marks", marks]);
    let (_, noted, code) = run(&["trial", DEEP, "--film", "wrap-cast"]);
    assert!(code == 2 && noted.contains("--design"), "{noted}");
    let (_, noted, code) = trial(&table("flat_mm,panel_mm\n0,0\n"));
    assert!(code == 2 && noted.contains("--bridge"), "{noted}");
    let (_, noted, code) = trial(&table("bridge_mm,flat_mm,panel_mm\n120,0,0\n120,5,1O\n"));
    assert!(
        code == 2 && noted.contains("marks.csv:3") && noted.contains("letter O"),
        "{noted}"
    );
    let (_, noted, code) = trial(&table("bridge_mm,flat_mm,panel_mm\n20,0,0\n20,5,6\n"));
    assert!(code == 2 && noted.contains("bridge"), "{noted}");
    let (_, noted, code) = trial(&table("bridge_mm,flat_mm,panel_mm\n120,0,0\n120,5,6\n"));
    assert!(code == 2 && noted.contains("marks"), "{noted}");
    let (_, noted, code) = run(&[
        "trial",
        "profiles/recesses/shallow-step.csv",
        "--film",
        "wrap-cast",
        "--design",
    ]);
    assert_eq!(code, 1, "{noted}");
}

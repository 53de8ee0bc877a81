//! From scrap to the stamp off: `trial` on the made strips, and answers that rest on what it wrote.

use crate::common::pdf::Pdf;
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

#[test]
fn a_picture_of_the_pieces_is_written_and_not_over_another() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let marks = "profiles/trial/strips.csv";
    let drawn = [
        "trial",
        DEEP,
        "--film",
        "wrap-cast",
        "--marks",
        marks,
        "--out",
        &out,
    ];
    let (_, noted, code) = run(&drawn);
    assert_eq!(code, 0, "{noted}");
    let svg = fs::read_to_string(folder.path().join("deep-channel-trial.svg")).unwrap();
    // Friction and limit as the README's block has them.
    assert!(
        svg.contains("<title>Limit between 22.1 and 27.7"),
        "{}",
        &svg[..600]
    );
    let png = fs::read(folder.path().join("deep-channel-trial.png")).unwrap();
    assert_eq!(&png[1..4], b"PNG");
    let (_, noted, code) = run(&drawn);
    assert!(code == 2 && noted.contains("is there already"), "{noted}");
}

#[test]
fn a_grid_is_printed_at_full_size_and_its_cells_write_a_limit_of_area() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (_, noted, code) = run(&[
        "trial",
        DEEP,
        "--film",
        "wrap-cast",
        "--grid",
        &path("grid.pdf"),
    ]);
    assert_eq!(code, 0, "{noted}");
    let pdf = Pdf::read(&fs::read(folder.path().join("grid.pdf")).unwrap());
    assert_eq!(pdf.pages(), 1);
    assert!(pdf.words(0).contains("this bar is 100"), "{}", pdf.words(0));
    // The table was made from film as it is computed, read to a quarter of a millimetre.
    let cells = "profiles/trial/end-cells.csv";
    let own = path("area.toml");
    let film = ["trial", DEEP, "--film", "wrap-cast"];
    let end = ["--end-left", "rounded", "--cells", cells, "--write", &own];
    let (out, noted, code) = run(&[&film[..], &end].concat());
    assert_eq!(code, 0, "{noted}");
    assert!(out.contains("Area limit  between"), "{out}");
    let written = fs::read_to_string(&own).unwrap();
    assert!(written.contains("area_limit_pct = { value = "), "{written}");
    assert!(
        written.contains("own trial round an end of deep-channel"),
        "{written}"
    );
    // Without an end there is nothing to hold them against, and a step has no end that is computed.
    let (_, noted, code) = run(&[&film[..], &["--cells", cells]].concat());
    assert!(code == 2 && noted.contains("--end-left"), "{noted}");
    let step = "profiles/recesses/shallow-step.csv";
    let (_, noted, code) = run(&[&["trial", step, "--film", "wrap-cast"], &end[..4]].concat());
    assert!(code == 2 && noted.contains("step"), "{noted}");
}

#[test]
fn presses_on_a_scale_make_forces_numbers() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("own.toml").display().to_string();
    let press = |more: &[&str]| {
        let film = ["trial", DEEP, "--film", "wrap-cast", "--bridge", "120"];
        run(&[&film[..], more].concat())
    };
    let warm = ["--warm", "whole:20"];
    let loads = ["--press", "3.1kg", "3.2kg", "3.0kg"];
    let write = ["--write", &own];
    let (out, noted, code) = press(&[&warm[..], &loads, &write].concat());
    assert_eq!(code, 0, "{noted}");
    // Reference: 3.1 kg are 30.4 N.
    assert!(out.contains("30.4 N, 31.4 N, 29.4 N"), "{out}");
    let check = ["check", DEEP, "--film", &own, "--bridge", "120"];
    let (out, _, _) = run(&check);
    assert!(out.contains("by a press that was measured"), "{out}");
    let written = fs::read_to_string(&own).unwrap();
    assert!(
        written.contains("own trial on a scale over deep-channel with fingertip"),
        "{written}"
    );
    // Scatter that tells nothing is said, exits with 1 and writes nothing.
    let none = folder.path().join("none.toml").display().to_string();
    let wide = ["--press", "1kg", "3kg", "--write", &none];
    let (out, noted, code) = press(&[&warm[..], &wide].concat());
    assert!(
        code == 2 && out.contains("scatter too widely"),
        "{out}{noted}"
    );
    assert!(
        noted.contains("nothing was written") && !Path::new(&none).exists(),
        "{noted}"
    );
    let (_, _, code) = press(&[&warm[..], &wide[..3]].concat());
    assert_eq!(code, 1);
    // What a press needs and did not get.
    let (_, noted, code) = press(&loads);
    assert!(code == 2 && noted.contains("--warm whole:20"), "{noted}");
    let (_, noted, code) = press(&[&warm[..], &["--press", "3.1"]].concat());
    assert!(code == 2 && noted.contains("1.2 kg"), "{noted}");
    let (_, noted, code) = press(&[&warm[..], &loads, &["--order", "edge-first"]].concat());
    assert!(code == 2 && noted.contains("deepest-first"), "{noted}");
}

//! What every command says, in millimetres and in inches, word for word: a change of wording
//! shows as a change of the files in `snapshots/`, and is taken by `INSTA_UPDATE=always`.

use crate::common::pdf::Pdf;
use assert_cmd::Command;
use std::fs;
use std::path::Path;

const DEEP: &str = "profiles/recesses/deep-channel.csv";
const STEP: &str = "profiles/recesses/shallow-step.csv";
const TAPE: &str = "--tape=mouth=80mm,depth=25mm,tape=104mm";

/// Name and arguments; `--units` is put behind them, `OUT` is a folder of the test.
const CASES: &[(&str, &str)] = &[
    ("recommend", "recommend DEEP --film wrap-cast"),
    (
        "recommend-options",
        "recommend DEEP --film wrap-cast --options",
    ),
    ("recommend-no-width", "recommend DEEP --film monomeric"),
    ("recommend-step", "recommend STEP --film wrap-cast"),
    ("recommend-tape", "recommend TAPE --film wrap-cast"),
    (
        "recommend-bay",
        "recommend DEEP --film recess-cast --lip pencil --warm mouth:60 --ends closed",
    ),
    (
        "recommend-ends",
        "recommend DEEP --film recess-cast --end-left rounded --end-right square:run=15mm",
    ),
    (
        "check-ends",
        "check DEEP --film wrap-cast --bridge 150mm --ends one-open --press-stop 8mm",
    ),
    ("check", "check DEEP --film wrap-cast --bridge 120mm"),
    (
        "check-over",
        "check DEEP --film wrap-cast --order edge-first --bridge 120mm",
    ),
    (
        "trial",
        "trial DEEP --film wrap-cast --marks profiles/trial/strips.csv",
    ),
    ("trial-design", "trial DEEP --film wrap-cast --design"),
    (
        "trial-cells",
        "trial DEEP --film wrap-cast --end-left rounded --cells profiles/trial/end-cells.csv",
    ),
    (
        "trial-press",
        "trial DEEP --film wrap-cast --bridge 120mm --warm whole:20 --press 3.1kg 3.2kg 3kg",
    ),
    ("sweep", "sweep DEEP --film wrap-cast"),
    ("compare", "compare DEEP"),
    ("order", "order DEEP --film wrap-cast --bridge 120mm"),
    ("section", "section DEEP"),
    ("section-step", "section STEP"),
    ("films", "films"),
    ("films-one", "films wrap-cast"),
    (
        "films-new",
        "films --new own-film --limit 22:sheet --break 180:sheet --out OUT",
    ),
    ("tools-new", "tools --new own-tool --pad 9:ink --out OUT"),
    ("tools", "tools"),
    ("tools-one", "tools fingertip"),
    ("card", "card DEEP --film wrap-cast --out OUT"),
    ("card-step", "card STEP --film wrap-cast --out OUT"),
    (
        "chart",
        "chart --film wrap-cast --depths 10mm,25mm --mouths 40mm,80mm --drops 10mm --runs 0mm --out OUT",
    ),
    (
        "lesson",
        "lesson DEEP --film wrap-cast --frames 0 --out OUT",
    ),
];

/// Exit code, data, notes, and the words of the pages that were written.
fn said(args: &str, units: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let lists = ["films", "tools"].contains(&args.split(' ').next().unwrap());
    let args = args.split(' ').map(|word| match word {
        "DEEP" => DEEP,
        "STEP" => STEP,
        "TAPE" => TAPE,
        "OUT" => out,
        word => word,
    });
    let mut command = Command::new(env!("CARGO_BIN_EXE_tautspan"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(args);
    if !lists {
        command.args(["--units", units]);
    }
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap().replace(out, "OUT");
    let mut all = format!(
        "exit {}\n{}\n== notes\n{}",
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr)
    );
    let mut files: Vec<_> = fs::read_dir(out)
        .unwrap()
        .map(|f| f.unwrap().path())
        .collect();
    files.sort();
    for file in files {
        all.push_str(&page(&file));
    }
    all
}

/// The words of a page: HTML without its tags; the text of a PDF that has no HTML beside it.
fn page(file: &Path) -> String {
    let name = file.file_name().unwrap().to_str().unwrap();
    let words = if name.ends_with(".html") {
        bare(&fs::read_to_string(file).unwrap())
    } else if name.ends_with("lesson.pdf") {
        let pdf = Pdf::read(&fs::read(file).unwrap());
        (0..pdf.pages()).map(|p| pdf.words(p)).collect()
    } else {
        return String::new();
    };
    format!("\n== {name}\n{words}")
}

/// The text between the tags, a line each; styles and scripts left out.
fn bare(html: &str) -> String {
    let mut lines = Vec::new();
    let mut hidden = false;
    for piece in html.split('<') {
        let (tag, text) = piece.split_once('>').unwrap_or(("", piece));
        hidden = match tag.split(' ').next() {
            Some("style" | "script") => true,
            Some("/style" | "/script") => false,
            _ => hidden,
        };
        if !hidden && !text.trim().is_empty() {
            lines.push(text.split_whitespace().collect::<Vec<_>>().join(" "));
        }
    }
    lines.join("\n")
}

#[test]
fn every_command_says_what_it_said() {
    for (name, args) in CASES {
        for units in ["mm", "in"] {
            insta::assert_snapshot!(format!("{name}-{units}"), said(args, units), args);
        }
    }
}

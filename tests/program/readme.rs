//! The README tells the truth: its main command prints what it shows.

use assert_cmd::Command;
use std::fs;

const PROMPT: &str = "$ cargo run --release -- ";

#[test]
fn the_main_command_prints_what_the_readme_shows() {
    let readme = fs::read_to_string("README.md").unwrap();
    let block = readme
        .split("```")
        .find(|b| b.contains(PROMPT))
        .expect("the README has its main command");
    let (command, shown) = block
        .trim_start_matches("console\n")
        .split_once('\n')
        .unwrap();
    let args: Vec<&str> = command.trim_start_matches(PROMPT).split(' ').collect();
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let args = args.into_iter().map(|a| if a == "out" { out } else { a });
    let output = Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .args(args)
        .output()
        .unwrap();
    assert_eq!(
        String::from_utf8(output.stdout).unwrap().trim(),
        shown.trim()
    );
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(
        fs::read_dir(folder.path()).unwrap().count(),
        12,
        "six pictures, SVG and PNG"
    );
}

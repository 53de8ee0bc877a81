//! What the program is made of: every crate under a licence that is allowed, and listed.

use std::collections::BTreeSet;
use std::process::Command;

/// Licences that ask for no more than a notice.
const ALLOWED: [&str; 13] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "MIT-0",
];

/// Crates and their licences, `edges` as `cargo tree` has them.
fn crates(edges: &str) -> BTreeSet<(String, String)> {
    let out = Command::new(env!("CARGO"))
        .args([
            "tree",
            "--locked",
            "--offline",
            "--target",
            "all",
            "--prefix",
            "none",
        ])
        .args(["--edges", edges, "--format", "{p}|{l}"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let text = String::from_utf8(out.stdout).unwrap();
    let mut all = BTreeSet::new();
    for line in text.lines() {
        let (package, licence) = line.split_once('|').unwrap();
        let mut words = package.split(' ');
        let (name, version) = (words.next().unwrap(), words.next().unwrap());
        if name != "tautspan" {
            let licence = licence.trim_end_matches(" (*)").replace('/', " OR ");
            all.insert((
                format!("{name} {}", version.trim_start_matches('v')),
                licence,
            ));
        }
    }
    all
}

/// Is one of the choices allowed, and all of what is asked for together?
fn allowed(licence: &str) -> bool {
    licence.split(" AND ").all(|part| {
        let choices = part.trim_matches(['(', ')']);
        choices
            .split(" OR ")
            .any(|one| ALLOWED.contains(&one.trim()))
    })
}

#[test]
fn every_crate_has_a_licence_that_is_allowed() {
    assert!(allowed("(MIT OR GPL-3.0) AND Unicode-3.0"));
    assert!(!allowed("MIT AND GPL-3.0") && !allowed("LGPL-2.1-or-later") && !allowed(""));
    let all = crates("normal,build,dev");
    assert!(all.len() > 200, "{} crates", all.len());
    let refused: Vec<_> = all
        .iter()
        .filter(|(_, licence)| !allowed(licence))
        .collect();
    assert!(refused.is_empty(), "{refused:?}");
}

#[test]
fn what_the_program_holds_is_listed() {
    // Written anew with TAUTSPAN_RENEW set, after a change of Cargo.lock.
    let rows = crates("normal")
        .into_iter()
        .map(|(name, licence)| format!("| {name} | {licence} |\n"));
    let text = format!(
        "# What the program holds of others\n\nWritten by `TAUTSPAN_RENEW=1 cargo test --test library supply`. The font is under the\nSIL Open Font License (`src/draw/font/OFL.txt`), the colour scale under `src/figure/cividis-licence.txt`.\n\n| crate | licence |\n|---|---|\n{}",
        rows.collect::<String>()
    );
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/THIRD-PARTY.md");
    if std::env::var_os("TAUTSPAN_RENEW").is_some() {
        std::fs::write(path, &text).unwrap();
    }
    assert_eq!(std::fs::read_to_string(path).unwrap_or_default(), text);
}

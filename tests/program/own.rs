//! Classes and tools of one's own: from options, from a pipe, and what is refused.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

/// Runs in a folder with answers piped; exit code, standard output, standard error.
fn piped(folder: &Path, args: &[&str], answers: &str) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tautspan"));
    let output = command
        .current_dir(folder)
        .args(args)
        .write_stdin(answers)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let code = output.status.code().unwrap();
    (code, text(output.stdout), text(output.stderr))
}

fn run(folder: &Path, args: &[&str]) -> (i32, String, String) {
    piped(folder, args, "")
}

/// Words of a command line, those in quotes together.
fn words(line: &str) -> Vec<String> {
    let pieces = line.split('"').enumerate();
    let cut = |(i, piece): (usize, &str)| match i % 2 {
        0 => piece.split_whitespace().map(str::to_owned).collect(),
        _ => vec![piece.to_owned()],
    };
    pieces.flat_map(cut).collect()
}

fn recess() -> String {
    format!(
        "{}/profiles/recesses/deep-channel.csv",
        env!("CARGO_MANIFEST_DIR")
    )
}

/// Every file below a folder.
fn count(folder: &Path) -> usize {
    fs::read_dir(folder).unwrap().count()
}

#[test]
fn the_readme_writes_a_class_and_says_what_a_break_is_not() {
    let readme = fs::read_to_string("README.md").unwrap();
    let line = readme
        .lines()
        .find(|l| l.starts_with("tautspan films --new"));
    let line = words(line.unwrap());
    let args: Vec<&str> = line[1..].iter().map(String::as_str).collect();
    let folder = tempfile::tempdir().unwrap();
    let (code, out, err) = run(folder.path(), &args);
    assert_eq!(code, 0, "{err}");
    assert_eq!(err, "wrote my-film.toml\n");
    let block = readme
        .split("```text\n")
        .find(|b| b.starts_with("The elongation at break"));
    let block = block.unwrap().split("```").next().unwrap();
    assert!(out.contains(block), "{block}\nis not in\n{out}");
    let toml = fs::read_to_string(folder.path().join("my-film.toml")).unwrap();
    for line in [
        "limit_pct = { value = 22.0, source = \"maker's sheet, March 2026\" }",
        "break_pct = { value = 180.0, source = \"maker's sheet, March 2026\" }",
        "thickness_um = { value = 80.0, source = \"maker's sheet, March 2026\" }",
    ] {
        assert!(toml.contains(line), "no `{line}` in\n{toml}");
    }
}

#[test]
fn a_limit_alone_takes_the_stamp_off_what_it_decides() {
    let folder = tempfile::tempdir().unwrap();
    let (code, out, err) = run(
        folder.path(),
        &["films", "--new", "bare", "--limit", "18: own trial"],
    );
    assert_eq!(code, 0, "{err}");
    assert!(
        out.contains("Invented still") && out.contains("  - thickness"),
        "{out}"
    );
    let tool = [
        "tools",
        "--new",
        "my-finger",
        "--source",
        "ink on paper",
        "--pad",
        "9",
        "--tip-radius",
        "1/4in",
        "--press-off",
        "2",
        "--tapes-off",
        "1",
    ];
    let (code, out, err) = run(folder.path(), &tool);
    assert_eq!(code, 0, "{err}");
    // A quarter of an inch is 6.35 mm; the contact length was not said.
    assert!(out.contains("6.35 mm") && out.contains("`--contact-length`"));
    let section = recess();
    let asked = [
        "recommend",
        &section,
        "--film",
        "bare.toml",
        "--tool",
        "my-finger.toml",
    ];
    let (code, out, err) = run(folder.path(), &asked);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("limit 18 %"), "{out}");
    assert!(!out.contains("Training numbers"), "{out}");
    // What nobody measured brings the stamp back where it decides.
    let (_, out, _) = run(folder.path(), &[&asked[..], &["--drag", "2"]].concat());
    let stamp = out.lines().find(|l| l.starts_with("Training numbers"));
    let stamp = stamp.unwrap_or_else(|| panic!("no stamp in\n{out}"));
    assert!(
        stamp.contains("stiffness of bare; thickness of bare"),
        "{stamp}"
    );
}

#[test]
fn an_invented_limit_stays_stamped() {
    let folder = tempfile::tempdir().unwrap();
    let (code, _, err) = run(
        folder.path(),
        &["films", "--new", "guess", "--limit", "20: invented for now"],
    );
    assert_eq!(code, 0, "{err}");
    let section = recess();
    let (_, out, _) = run(
        folder.path(),
        &["recommend", &section, "--film", "guess.toml"],
    );
    assert!(
        out.contains("Training numbers") && out.contains("limit of guess"),
        "{out}"
    );
}

#[test]
fn answers_are_read_from_a_pipe_in_the_order_of_the_options() {
    let folder = tempfile::tempdir().unwrap();
    // No overlaminate, so its limit is not asked; the price is left out at the end.
    let answers = "sheet 7\n22,5 %\n180\nISO 527-3, 100 mm/min\n80 \u{b5}m\n\n14\n25\n180\n100\n140: phone call\n60\nno\nyes\n";
    let (code, out, err) = piped(folder.path(), &["films", "--new", "asked"], answers);
    assert_eq!(code, 0, "{err}");
    let (code, json, _) = run(folder.path(), &["films", "asked.toml", "--json"]);
    assert_eq!(code, 0);
    let class: serde_json::Value = serde_json::from_str(&json).unwrap();
    for (key, value, source) in [
        ("/limit_pct", 22.5, "sheet 7"),
        ("/break_pct", 180.0, "sheet 7, ISO 527-3, 100 mm/min"),
        ("/thickness_um", 80.0, "sheet 7"),
        ("/peel/force_n", 14.0, "sheet 7"),
        ("/peel/width_mm", 25.0, "sheet 7"),
        ("/peel/angle_deg", 180.0, "sheet 7"),
        ("/post_heat_min_c", 100.0, "sheet 7"),
        ("/post_heat_max_c", 140.0, "phone call"),
        ("/service_max_c", 60.0, "sheet 7"),
    ] {
        let number = class.pointer(key).unwrap();
        assert_eq!(number["value"], value, "{key}");
        assert_eq!(number["source"], source, "{key}");
    }
    assert_eq!(class["air_channels"], false);
    assert!(class.get("price_per_m2").is_none() && class.get("layers").is_none());
    assert!(out.contains("air channels: no"), "{out}");
    // A hot day of 70 degC, lent, is beyond the 60 degC of the sheet.
    let section = recess();
    let args = ["check", &section, "--film", "asked.toml", "--bridge", "130"];
    let (_, out, _) = run(folder.path(), &args);
    assert!(
        out.contains("hotter than asked is made to bear, 60 degC"),
        "{out}"
    );
}

#[test]
fn a_layer_comes_with_its_own_limit() {
    let folder = tempfile::tempdir().unwrap();
    let args = [
        "films",
        "--new",
        "printed",
        "--source",
        "sheet",
        "--limit",
        "22",
        "--layer-thickness",
        "30",
        "--layer-limit",
        "12",
    ];
    let (code, out, err) = run(folder.path(), &args);
    assert_eq!(code, 0, "{err}");
    assert!(out.contains("  - overlaminate"), "{out}");
    let section = recess();
    let asked = ["recommend", &section, "--film", "printed.toml"];
    let (_, out, _) = run(folder.path(), &asked);
    assert!(
        out.contains("limit 12 %") && !out.contains("limit of printed"),
        "{out}"
    );
    // Its limit not said: that of the training class, and the stamp says so.
    let args = [&args[..args.len() - 2], &["--force"]].concat();
    assert_eq!(run(folder.path(), &args).0, 0);
    let (_, out, _) = run(folder.path(), &asked);
    assert!(out.contains("limit of printed's layer"), "{out}");
}

#[test]
fn what_cannot_be_is_refused_and_nothing_written() {
    let folder = tempfile::tempdir().unwrap();
    let film = |more: &[&str]| run(folder.path(), &[&["films", "--new"], more].concat());
    let cases: [(&[&str], &[&str]); 20] = [
        (&["x"], &["no limit", "trial"]),
        (
            &["x", "--source", "s", "--break", "180"],
            &["no limit", "elongation at break"],
        ),
        (&["x", "--limit", "22"], &["--limit", "--source"]),
        (
            &["x", "--source", "", "--limit", "22"],
            &["--source", "a few words"],
        ),
        (
            &["x", "--source", "s", "--limit", "-3"],
            &["--limit", "found -3", "above 0"],
        ),
        (
            &["x", "--source", "s", "--limit", "400"],
            &["--limit", "at most 300"],
        ),
        (
            &["x", "--source", "s", "--limit", "nan"],
            &["--limit", "a finite number"],
        ),
        (
            &["x", "--source", "s", "--limit", "lots"],
            &["--limit", "`lots`", "a number"],
        ),
        (
            &["x", "--source", "s", "--limit", "2O"],
            &["--limit", "letter O"],
        ),
        (
            &["x", "--source", "s", "--limit", "22 um"],
            &["--limit", "a number in %"],
        ),
        (
            &["x", "--source", "s", "--limit", "22", "--break", "20"],
            &["--break", "less than the elongation at break"],
        ),
        (&["x", "--limit", "22:"], &["--source", "`22: own trial`"]),
        (
            &["x", "--source", "s", "--limit", "22", "--break-test", "ISO"],
            &["--break"],
        ),
        (
            &[
                "x",
                "--source",
                "s",
                "--limit",
                "22",
                "--air-channels",
                "some",
            ],
            &["yes or no"],
        ),
        (
            &[
                "x",
                "--source",
                "s",
                "--limit",
                "22",
                "--post-heat-min",
                "140",
                "--post-heat-max",
                "100",
            ],
            &["--post-heat-max", "more than the least"],
        ),
        (
            &["My Film", "--source", "s", "--limit", "22"],
            &["--new", "small letters"],
        ),
        (
            &["x.toml", "--source", "s", "--limit", "22"],
            &["--new", "small letters"],
        ),
        (
            &["wrap-cast", "--source", "s", "--limit", "22"],
            &["--new", "the catalogue has"],
        ),
        (
            &["", "--source", "s", "--limit", "22"],
            &["--new", "small letters"],
        ),
        (
            &["x", "--source", "s", "--limit", "22", "--json"],
            &["--json"],
        ),
    ];
    for (args, words) in cases {
        let (code, out, err) = film(args);
        assert_eq!(code, 2, "{args:?}: {out}{err}");
        assert!(
            out.is_empty() && err.starts_with("error: "),
            "{args:?}: {err}"
        );
        for word in words {
            assert!(err.contains(word), "{args:?}: no `{word}` in\n{err}");
        }
    }
    // A wrong answer from a pipe ends it: what follows belongs to other questions.
    let (code, _, err) = piped(
        folder.path(),
        &["films", "--new", "x"],
        "sheet\n22\n-5\n80\n",
    );
    assert!(code == 2 && err.contains("--break: found -5"), "{err}");
    let (code, _, err) = run(folder.path(), &["tools", "--new", "t"]);
    assert!(code == 2 && err.contains("--pad"), "{err}");
    let (code, _, err) = run(folder.path(), &["tools", "--new", "t", "--source", "ink"]);
    assert!(code == 2 && err.contains("--pad"), "{err}");
    assert_eq!(count(folder.path()), 0);
}

#[test]
fn a_file_is_never_written_over_unless_told() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["films", "--new", "x", "--limit", "22: sheet"];
    let other = ["films", "--new", "x", "--limit", "25: sheet"];
    assert_eq!(run(folder.path(), &args).0, 0);
    let first = fs::read_to_string(folder.path().join("x.toml")).unwrap();
    let (code, _, err) = run(folder.path(), &other);
    assert!(code == 2 && err.contains("is there already"), "{err}");
    // Told before anything is asked.
    let (code, _, err) = piped(folder.path(), &args[..3], "sheet\n22\n");
    assert!(code == 2 && err.contains("is there already"), "{err}");
    assert_eq!(
        fs::read_to_string(folder.path().join("x.toml")).unwrap(),
        first
    );
    assert_eq!(
        run(folder.path(), &[&other[..], &["--force"]].concat()).0,
        0
    );
    // A file stands where the folder should be.
    let (code, _, err) = run(folder.path(), &[&args[..], &["--out", "x.toml"]].concat());
    assert!(code == 2 && err.contains("could not be written"), "{err}");
    assert_eq!(count(folder.path()), 1);
    assert_eq!(
        run(folder.path(), &[&args[..], &["--out", "mine"]].concat()).0,
        0
    );
    assert!(folder.path().join("mine/x.toml").exists());
}

/// A folder that cannot be written to, where the tests do not run as one who may do all.
#[cfg(unix)]
#[test]
fn a_read_only_folder_is_said_and_left_as_it_is() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let mode = |mode| fs::set_permissions(folder.path(), fs::Permissions::from_mode(mode));
    mode(0o555).unwrap();
    if fs::write(folder.path().join("probe"), "").is_ok() {
        return;
    }
    let (code, _, err) = run(folder.path(), &["films", "--new", "x", "--limit", "22: s"]);
    mode(0o755).unwrap();
    assert!(code == 2 && err.contains("could not be written"), "{err}");
    assert_eq!(count(folder.path()), 0);
}

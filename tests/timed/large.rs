//! Scans of a hundred thousand points: in time, and stopped at any moment without a trace.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Corners of the section, mm: a channel 80 wide and 25 deep.
const CORNERS: [[f64; 2]; 6] = [
    [-140.0, 0.0],
    [-40.0, 0.0],
    [-20.0, -25.0],
    [20.0, -25.0],
    [40.0, 0.0],
    [140.0, 0.0],
];
/// Time a command may take, s: twenty times what it should, and the tests run unoptimized
/// on machines that do other things.
const MOST_SECONDS: f64 = 20.0;

fn tautspan(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tautspan"));
    command.args(args);
    command
}

/// A scan of the section, its points on the true lines, as a file in `folder`.
fn scan(folder: &Path, points: u32) -> PathBuf {
    written(folder, points, |p| format!("{:?},{:?}", p[0], p[1]))
}

/// The same with each point written in one's own way.
fn written(folder: &Path, points: u32, typed: impl Fn([f64; 2]) -> String) -> PathBuf {
    let mut text = "x_mm,y_mm\n".to_owned();
    let facets = CORNERS.windows(2);
    let length = |w: &[[f64; 2]]| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
    let all: f64 = facets.clone().map(length).sum();
    let mut row = |p: [f64; 2]| writeln!(text, "{}", typed(p)).unwrap();
    row(CORNERS[0]);
    for w in facets {
        let n = (f64::from(points) * length(w) / all).round();
        let mut k = 1.0;
        while k < n {
            row([0, 1].map(|i| w[0][i] + (w[1][i] - w[0][i]) * (k / n)));
            k += 1.0;
        }
        row(w[1]);
    }
    let file = folder.join("scan.csv");
    fs::write(&file, text).unwrap();
    file
}

/// Every file is whole by its name: SVG to its last tag, PNG to its last chunk; no others.
fn strays(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let faulty = |path: PathBuf| {
        let bytes = fs::read(&path).unwrap();
        let ends = |tail: &[u8]| bytes.trim_ascii_end().ends_with(tail);
        let whole = match path.extension().and_then(|e| e.to_str()) {
            Some("svg") => ends(b"</svg>"),
            // Reference: the PNG specification, 11.2.5: the type and checksum of IEND.
            Some("png") => bytes.ends_with(b"IEND\xAE\x42\x60\x82"),
            _ => false,
        };
        (!whole).then(|| path.display().to_string())
    };
    entries.filter_map(|e| faulty(e.unwrap().path())).collect()
}

/// Number of files in a folder that may not exist.
fn count(folder: &Path) -> usize {
    fs::read_dir(folder).map_or(0, Iterator::count)
}

#[test]
fn every_command_answers_for_a_hundred_thousand_points_in_time() {
    let _quiet = crate::QUIET.read();
    let folder = tempfile::tempdir().unwrap();
    let file = scan(folder.path(), 100_000);
    let (scan, out) = (file.to_str().unwrap(), folder.path().join("out"));
    let out = out.to_str().unwrap();
    let film = ["--film", "wrap-cast"];
    for (command, more) in [
        ("section", &[][..]),
        ("recommend", &film),
        ("recommend", &["--film", "wrap-cast", "--json"]),
        ("check", &["--film", "wrap-cast", "--bridge", "120mm"]),
        ("sweep", &film),
        ("compare", &[]),
        ("card", &["--film", "wrap-cast", "--out", out]),
        ("draw", &["--film", "wrap-cast", "--out", out]),
        ("lesson", &["--film", "wrap-cast", "--out", out]),
    ] {
        let began = Instant::now();
        let answer = tautspan(&[command, scan]).args(more).output().unwrap();
        let took = began.elapsed().as_secs_f64();
        println!("{command:10} {took:6.2} s");
        let said = String::from_utf8_lossy(&answer.stderr);
        assert!(
            matches!(answer.status.code(), Some(0 | 1)),
            "{command}: {said}"
        );
        assert!(took < MOST_SECONDS, "{command}: {took} s");
    }
}

/// The corners alone are the reference: the same section, six points.
#[test]
fn a_fine_scan_of_straight_lines_has_the_answer_of_its_corners() {
    let _quiet = crate::QUIET.read();
    let folder = tempfile::tempdir().unwrap();
    let file = scan(folder.path(), 20_000);
    let corners: Vec<String> = CORNERS
        .iter()
        .map(|p| format!("{},{}", p[0], p[1]))
        .collect();
    let corners = format!("--points={}", corners.join(" "));
    let answer = |section: &str| {
        let args = ["check", section, "--film", "wrap-cast", "--bridge", "120mm"];
        let output = tautspan(&args).arg("--json").output().unwrap();
        let said: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        ["peak_pct", "mean_pct", "bridge_mm"].map(|key| said[key].as_f64().unwrap())
    };
    let (fine, coarse) = (answer(file.to_str().unwrap()), answer(&corners));
    for (a, b) in fine.into_iter().zip(coarse) {
        assert!((a - b).abs() <= 1e-10 * b, "{fine:?} {coarse:?}");
    }
}

/// Rounded readings are on no line, so that film is laid on all of them: every lay-down of
/// the search on all took nine seconds, optimized.
#[test]
fn a_rounded_scan_has_its_width_in_time_and_on_the_safe_side() {
    let _quiet = crate::QUIET.read();
    let folder = tempfile::tempdir().unwrap();
    let file = written(folder.path(), 100_000, |p| {
        format!("{:.6},{:.6}", p[0], p[1])
    });
    let file = file.to_str().unwrap();
    let answer = |args: &[&str]| {
        let output = tautspan(args).output().unwrap();
        serde_json::from_slice::<serde_json::Value>(&output.stdout).unwrap()
    };
    let began = Instant::now();
    let found = answer(&["recommend", file, "--film", "wrap-cast", "--json"]);
    let took = began.elapsed().as_secs_f64();
    assert!(took < MOST_SECONDS, "{took} s");
    // Laid on all readings: within the limit there, over it a micrometre narrower.
    let width = found["unrounded_bridge_mm"].as_f64().unwrap();
    let within = |width: f64| {
        let width = format!("{width}mm");
        let args = [
            "check",
            file,
            "--film",
            "wrap-cast",
            "--bridge",
            &width,
            "--json",
        ];
        answer(&args)["within_limit"].as_bool().unwrap()
    };
    // 1e-7 mm: what the unrounded width is good to.
    assert!(within(width + 1e-7) && !within(width - 1e-3), "{width}");
}

/// SIGINT at forty moments over the whole run: nothing there, or whole pictures alone; and
/// once it was told in time, an end by the signal.
#[test]
fn an_interrupted_command_leaves_whole_files_or_none() {
    let _quiet = crate::QUIET.read();
    let folder = tempfile::tempdir().unwrap();
    let file = scan(folder.path(), 100_000);
    let draw = |out: &Path| {
        let args = ["draw", file.to_str().unwrap(), "--film", "wrap-cast"];
        let mut command = tautspan(&args);
        command.arg("--out").arg(out);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        command
    };
    let undisturbed = folder.path().join("all");
    let began = Instant::now();
    assert!(draw(&undisturbed).status().unwrap().success());
    let whole_run = began.elapsed();
    let all = count(&undisturbed);
    assert!(all >= 10, "{all} files");
    assert_eq!(strays(&undisturbed), Vec::<String>::new());
    let (mut stopped, mut with_files) = (0, 0);
    for k in 0..40 {
        let out = folder.path().join(format!("out-{k}"));
        let mut child = draw(&out).spawn().unwrap();
        // Half of the moments over the whole run, half as soon as the first file is begun.
        let wait = if k % 2 == 0 {
            whole_run.mul_f64(f64::from(k) / 40.0)
        } else {
            while count(&out) == 0 && child.try_wait().unwrap().is_none() {
                std::thread::sleep(Duration::from_micros(200));
            }
            Duration::from_micros(300 * u64::from(u32::try_from(k).unwrap()))
        };
        std::thread::sleep(wait);
        let kill = format!("kill -INT {}", child.id());
        Command::new("sh")
            .args(["-c", &kill])
            .stderr(Stdio::null())
            .status()
            .unwrap();
        let status = child.wait().unwrap();
        stopped += usize::from(!status.success());
        with_files += usize::from(count(&out) > 0);
        assert_eq!(strays(&out), Vec::<String>::new(), "moment {k}: {status}");
        // All or none: a signal amid the files waits until the last is in its place.
        assert!(
            [0, all].contains(&count(&out)),
            "moment {k}: {}",
            count(&out)
        );
    }
    println!("stopped {stopped} of 40, files from {with_files}");
    assert!(stopped >= 10 && with_files >= 5, "{stopped} {with_files}");
}

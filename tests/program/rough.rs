//! Scans that are too rough to answer, and those that leave the width open within a range,
//! through every command; clean ones are not touched.

use crate::common::survey;

use std::path::{Path, PathBuf};
use survey::{Errors, Planted, Source};
use tautspan::advice::{Notice, Scatter};
use tautspan::{
    Bed, DEMO_RECESSES, Job, Point, Recess, Section, Survey, film_named, read_csv, recommend,
    tool_named,
};

fn with_job<T>(section: Section, f: impl FnOnce(&Job<'_>) -> T) -> T {
    let recess = Recess::find(section, Survey::default()).unwrap();
    let tool = tool_named("fingertip").unwrap();
    let bed = Bed::new(&recess, tool.pad(), tool.tip_radius());
    f(&Job::new(&bed, &film_named("wrap-cast").unwrap(), &tool))
}

fn csv(points: &[Point]) -> String {
    let lines = points.iter().map(|p| format!("{:.3},{:.3}\n", p.x, p.y));
    "x_mm,y_mm\n".to_owned() + &lines.collect::<String>()
}

/// Scans of the box whose neighbours err alike over 3 mm.
fn scans(sigma: f64) -> impl Iterator<Item = String> {
    let [.., boxed] = Planted::seven();
    (0..40).map(move |seed| {
        let errors = Errors {
            sigma,
            over: 3.0,
            digits: 1000.0,
            ..Errors::default()
        };
        csv(&boxed.surveyed(errors, seed))
    })
}

/// The first such scan that is read, with the scatter asked for.
fn scan(sigma: f64, too_rough: bool) -> String {
    scans(sigma)
        .find(|text| {
            let Ok(section) = read_csv("scan", text.as_bytes()) else {
                return false;
            };
            with_job(section, |job| Scatter::of(job, None))
                .is_some_and(|s| s.too_rough == too_rough)
        })
        .unwrap()
}

/// Runs in a folder; exit code and all that was printed.
fn run(folder: &Path, args: &[&str]) -> (i32, String) {
    let output = assert_cmd::Command::new(env!("CARGO_BIN_EXE_tautspan"))
        .current_dir(folder)
        .args(args)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    (output.status.code().unwrap(), text.into_owned())
}

fn written(folder: &Path, text: &str) -> PathBuf {
    let path = folder.join("scan.csv");
    std::fs::write(&path, text).unwrap();
    path
}

const COMMANDS: [&[&str]; 7] = [
    &["recommend", "--film", "wrap-cast"],
    &["recommend", "--film", "wrap-cast", "--options"],
    &["check", "--film", "wrap-cast", "--bridge", "160"],
    &["compare", "--film", "wrap-cast"],
    &["sweep", "--film", "wrap-cast"],
    &["card", "--film", "wrap-cast", "--force"],
    &["lesson", "--film", "wrap-cast", "--force", "--frames", "0"],
];

#[test]
fn every_command_refuses_a_rough_floor_and_readings_of_which_many_are_off() {
    let folder = tempfile::tempdir().unwrap();
    let planted = Planted::trapezoid();
    let errors = Errors {
        sigma: 0.05,
        ..Errors::default()
    };
    let mut floor = planted.surveyed(errors, 1);
    let mut source = Source::new(5);
    for p in floor.iter_mut().filter(|p| p.x.abs() < 18.0) {
        p.y += 1.5 * source.normal();
    }
    let mut off = planted.surveyed(errors, 2);
    for p in &mut off {
        if source.uniform() < 0.4 {
            p.y += source.between(-8.0, 8.0);
        }
    }
    for points in [floor, off] {
        let file = written(folder.path(), &csv(&points));
        for command in COMMANDS {
            let (name, rest) = command.split_first().unwrap();
            let args = [&[*name, file.to_str().unwrap()], rest].concat();
            let (code, text) = run(folder.path(), &args);
            assert_eq!(code, 2, "{command:?}: {text}");
            assert!(
                text.contains("measure again") || text.contains("by hand"),
                "{text}"
            );
        }
    }
}

#[test]
fn every_command_says_that_a_scan_is_too_rough_for_a_width() {
    let folder = tempfile::tempdir().unwrap();
    let text = scan(0.25, true);
    let file = written(folder.path(), &text);
    for command in COMMANDS {
        let (name, rest) = command.split_first().unwrap();
        let args = [&[*name, file.to_str().unwrap()], rest].concat();
        let (code, said) = run(folder.path(), &args);
        assert_eq!(code, 2, "{command:?}: {said}");
        let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("too rough to say"), "{command:?}: {said}");
    }
    let section = read_csv("scan", text.as_bytes()).unwrap();
    let answer = with_job(section, |job| recommend(job, &[]));
    assert!(answer.recommended.is_none() && answer.nominal_bridge_mm.is_none());
    assert!(answer.unrounded_bridge_mm.is_none() && answer.feasible.is_empty());
    let rough = |reason: &Notice| matches!(reason, Notice::Scatter(s) if s.too_rough);
    assert!(rough(&answer.reason), "{:?}", answer.reason);
}

#[test]
fn a_scan_that_is_good_enough_gets_its_range() {
    let folder = tempfile::tempdir().unwrap();
    let file = written(folder.path(), &scan(0.1, false));
    let file = file.to_str().unwrap();
    let (code, said) = run(folder.path(), &["recommend", file, "--film", "wrap-cast"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("the scan errs by 0.1"), "{said}");
    assert!(said.contains("so nominal between"), "{said}");
    assert!(said.contains("limit kept in"), "{said}");
    let args = ["check", file, "--film", "wrap-cast", "--bridge", "200"];
    let (code, said) = run(folder.path(), &args);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("so between"), "{said}");
}

#[test]
fn a_large_scan_is_answered_without_redrawing_all_of_it() {
    // 1e5 points of the sharp channel, 0.003 mm apart; the time is printed, and only gross
    // slowness fails.
    let [sharp, ..] = Planted::seven();
    for (spacing, sigma) in [(0.28, 0.1), (0.0028, 0.1)] {
        let errors = Errors {
            sigma,
            spacing,
            digits: 1000.0,
            ..Errors::default()
        };
        let points = sharp.surveyed(errors, 1);
        let section = read_csv("scan", csv(&points).as_bytes()).unwrap();
        let from = std::time::Instant::now();
        let scatter = with_job(section, |job| Scatter::of(job, None)).unwrap();
        let took = from.elapsed().as_millis();
        println!("{} points: {scatter:?}, {took} ms", points.len());
        assert!(!scatter.too_rough && took < 10_000, "{scatter:?}");
    }
}

#[test]
fn clean_sections_come_out_bit_for_bit_and_cost_nothing() {
    let same = |name: &str, text: &str, points: &[Point]| {
        let section = read_csv(name, text.as_bytes()).unwrap();
        assert_eq!(section.line().points(), points, "{name}");
        assert!(section.reading().is_none_or(|r| !r.fitted), "{name}");
        let recess = Recess::find(section, Survey::default());
        if recess.is_ok() {
            let section = read_csv(name, text.as_bytes()).unwrap();
            assert_eq!(with_job(section, |job| Scatter::of(job, None)), None);
        }
    };
    let table = include_str!("../checks/landmarks.json");
    let table: serde_json::Value = serde_json::from_str(table).unwrap();
    let rows = table
        .as_array()
        .or_else(|| table["sections"].as_array())
        .unwrap();
    assert_eq!(rows.len(), 40);
    for row in rows {
        let points: Vec<Point> = row["points"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| Point::new(p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
            .collect();
        let lines = points.iter().map(|p| format!("{},{}\n", p.x, p.y));
        let text = "x_mm,y_mm\n".to_owned() + &lines.collect::<String>();
        same("row", &text, &points);
    }
    for (name, text) in DEMO_RECESSES {
        let points: Vec<Point> = text
            .lines()
            .filter_map(|line| line.split_once(','))
            .filter_map(|(x, y)| Some(Point::new(x.parse().ok()?, y.parse().ok()?)))
            .collect();
        same(name, text, &points);
    }
}

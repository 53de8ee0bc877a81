//! Input that means harm: what was found once (`tests/hostile/`), and a short run from a fixed seed.
//! The promises and the targets are `common::hostile`'s; `fuzz/` runs the same without an end.
//!
//! `TAUTSPAN_HOSTILE` asks for so many mutations a target instead of the gate's, `TAUTSPAN_SEED` for
//! others.

use crate::common::hostile::{TARGETS, Target, mutated, seeds};
use crate::common::survey::Source;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Longest for one input: 2 s in a release build, which is some four times faster than a test's.
const LONGEST: Duration = Duration::from_secs(if cfg!(debug_assertions) { 8 } else { 2 });

/// What this thread has computed for; elsewhere than on Linux, the time of day, which counts what else
/// the machine does.
fn computed() -> Duration {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let spent = text.and_then(|text| text.split_whitespace().next()?.parse().ok());
    spent.map_or_else(
        || {
            SystemTime::now()
                .duration_since(UNIX_EPOCH)
                .unwrap_or_default()
        },
        Duration::from_nanos,
    )
}

/// Tries an input; what is wrong with it, if anything.
fn tried((name, target): (&str, Target), bytes: &[u8]) -> Option<String> {
    let begun = computed();
    let done = catch_unwind(AssertUnwindSafe(|| target(bytes)));
    let took = computed().saturating_sub(begun);
    match done {
        Err(_) => Some("a panic".to_owned()),
        // The engine's target asks it some twenty things.
        Ok(()) if took > LONGEST * if name == "engine" { 3 } else { 1 } => {
            Some(format!("{took:?}"))
        }
        Ok(()) => None,
    }
}

#[test]
fn what_was_found_once_stays_cured() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hostile");
    let mut tries = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let Some(target) = TARGETS
            .iter()
            .find(|(t, _)| name.starts_with(&format!("{t}-")))
        else {
            assert_eq!(name, "README.md", "a file of no target");
            continue;
        };
        let bytes = std::fs::read(&path).unwrap();
        assert_eq!(tried(*target, &bytes), None, "{name}");
        tries += 1;
    }
    assert!(tries > 0);
}

#[test]
fn mutated_input_is_answered_or_refused_in_time() {
    let said = |name: &str| std::env::var(name).ok().and_then(|t| t.parse::<u64>().ok());
    let mut source = Source::new(said("TAUTSPAN_SEED").unwrap_or(20_261_127));
    for (name, target) in TARGETS {
        let target = (name, target);
        // So many that each target takes a second or two.
        let few = match name {
            "page" | "engine" => 60,
            "job" => 30,
            _ => 300,
        };
        let seeds = seeds(name);
        for seed in &seeds {
            assert_eq!(
                tried(target, seed),
                None,
                "{name}: {:?}",
                String::from_utf8_lossy(seed)
            );
        }
        for i in 0..said("TAUTSPAN_HOSTILE").unwrap_or(few) {
            let seed = &seeds[usize::try_from(i).unwrap() % seeds.len()];
            let bytes = mutated(seed, &mut source);
            let found = tried(target, &bytes);
            assert_eq!(found, None, "{name}: {:?}", String::from_utf8_lossy(&bytes));
        }
    }
}

#[test]
fn a_megabyte_of_anything_is_refused_or_read_in_time() {
    let megabyte = 1 << 20;
    let repeated = |piece: &str| piece.repeat(megabyte / piece.len());
    let mut wave = String::from("x_mm,y_mm\n");
    for i in 0..50_000_u32 {
        let y = if (200..49_800).contains(&i) {
            -20.0 - f64::from(i % 7)
        } else {
            0.0
        };
        wave.push_str(&format!("{:.2},{y:.2}\n", 0.02 * f64::from(i)));
    }
    for (name, first, text) in [
        ("section", &[0_u8, 0][..], wave.clone()),
        ("section", &[0, 0], repeated("1,1\n")),
        ("section", &[0, 0], repeated(",")),
        ("section", &[0, 0], repeated("\"")),
        ("section", &[1, 1], repeated("1,2 ")),
        ("section", &[1, 1], repeated("½")),
        (
            "section",
            &[1, 2],
            format!("pitch=5: {}", repeated("0,-1,")),
        ),
        ("section", &[1, 3], repeated("1 1;")),
        (
            "section",
            &[1, 4],
            format!("channel:{}", repeated("mouth=80,")),
        ),
        ("section", &[1, 5], repeated("mouth=80,")),
        ("section", &[1, 6], repeated("1 1/8in ")),
        ("class", &[0], repeated("[[modulus]]\n")),
        ("class", &[0], format!("name = {}", repeated("["))),
        (
            "class",
            &[2],
            format!("elongation_pct,stress_mpa\n{}", repeated("1,2\n")),
        ),
        ("job", &[], format!("a = {}", repeated("{a="))),
        ("job", &[], repeated("film = \"wrap-cast\"\n")),
        ("steps", &[0], repeated("press 0, ")),
        ("steps", &[1], repeated("[[step]]\n")),
        (
            "trial",
            &[0],
            format!("flat_mm,panel_mm\n{}", repeated("1,2\n")),
        ),
        ("trial", &[2], repeated("1kg ")),
        ("heat", &[], repeated("1,2,3\n")),
        ("heat", &[0], repeated("place=1,")),
        ("page", &[], repeated("[")),
        (
            "page",
            &[],
            format!(
                "{{\"ask\":\"section\",\"section\":{{\"csv\":{}}}}}",
                serde_json::json!(wave)
            ),
        ),
    ] {
        let target = TARGETS.iter().find(|(t, _)| *t == name).unwrap();
        let bytes = [first, text.as_bytes()].concat();
        let start: String = text.chars().take(30).collect();
        assert_eq!(tried(*target, &bytes), None, "{name}: {start}..");
    }
}

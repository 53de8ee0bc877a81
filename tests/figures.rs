//! The pictures as files: what every SVG and PNG promises. `TAUTSPAN_PICTURES=DIR` keeps
//! them to be looked at.
#![cfg(feature = "figures")]
#![allow(clippy::unwrap_used, reason = "a test file, helpers included")]

use tautspan::{Check, Sweep};
use tautspan::{FigureError, Paper, Picture, elongation_along, film_on_panel, peak_against_width};

#[path = "../src/figure/sample.rs"]
mod sample;

fn all(paper: Paper) -> Vec<(String, Picture)> {
    let mut found = Vec::new();
    for (name, checks) in sample::all_checks() {
        found.push((
            format!("{name}-panel"),
            film_on_panel(&checks, paper).unwrap(),
        ));
        found.push((
            format!("{name}-along"),
            elongation_along(&checks, paper).unwrap(),
        ));
    }
    for (name, checks) in sample::many_sizes().into_iter().step_by(4) {
        found.push((name, film_on_panel(&checks, paper).unwrap()));
    }
    for (name, sweep) in sample::all_sweeps() {
        found.push((
            format!("{name}-width"),
            peak_against_width(&sweep, paper).unwrap(),
        ));
    }
    found
}

/// Width and height from a PNG's header.
fn png_size(png: &[u8]) -> (u32, u32) {
    let number = |i: usize| u32::from_be_bytes(png[i..i + 4].try_into().unwrap());
    (number(16), number(20))
}

#[test]
fn every_picture_says_its_answer_and_carries_no_text_nodes() {
    let dir = std::env::var_os("TAUTSPAN_PICTURES").map(std::path::PathBuf::from);
    for (paper, size) in [(Paper::Slide, (1600, 900)), (Paper::Print, (2126, 1417))] {
        for (name, picture) in all(paper) {
            if let Some(dir) = &dir {
                let stem = dir.join(format!("{name}-{paper:?}"));
                std::fs::write(stem.with_extension("svg"), &picture.svg).unwrap();
                std::fs::write(stem.with_extension("png"), &picture.png).unwrap();
            }
            let title = format!(
                "role=\"img\" xmlns=\"http://www.w3.org/2000/svg\">\n<title>{}</title>\n<desc>",
                picture.title
            );
            assert!(
                picture.svg.contains(&title),
                "{name}: {}",
                &picture.svg[..400]
            );
            assert!(!picture.svg.contains("<desc></desc>"), "{name}");
            assert!(
                !picture.svg.contains("<text") && !picture.svg.contains("font-family"),
                "{name}"
            );
            assert!(
                !picture.svg.contains("NaN") && !picture.svg.contains("inf"),
                "{name}"
            );
            assert_eq!(png_size(&picture.png), size, "{name}");
        }
    }
}

#[test]
fn the_same_answer_gives_the_same_bytes() {
    let (a, b) = (
        film_on_panel(&sample::channel(), Paper::Slide),
        film_on_panel(&sample::channel(), Paper::Slide),
    );
    assert_eq!(a.unwrap(), b.unwrap());
}

#[test]
fn the_title_is_the_answer() {
    let checks = sample::channel();
    let one = film_on_panel(&checks[..1], Paper::Slide).unwrap();
    assert_eq!(
        one.title,
        "Deepest point first: within the limit of 20\u{2009}%"
    );
    let two = film_on_panel(&checks[..2], Paper::Slide).unwrap();
    assert_eq!(
        two.title,
        "Deepest point first: within the limit of 20\u{2009}%; edges first: over"
    );
    assert!(
        two.svg
            .contains("peak 51.7\u{2009}% on the floor, over the limit of 20\u{2009}%.")
    );
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let mut checks = sample::channel();
    assert!(matches!(
        film_on_panel(&[], Paper::Slide),
        Err(FigureError::Nothing { .. })
    ));
    let four = [&checks[..], &checks[..1]].concat();
    assert_eq!(
        elongation_along(&four, Paper::Slide),
        Err(FigureError::TooMany { found: 4, most: 3 })
    );
    let mixed = [checks[0].clone(), sample::step()[0].clone()];
    assert_eq!(
        film_on_panel(&mixed, Paper::Slide),
        Err(FigureError::Mixed { what: "section" })
    );
    checks[0].profile[3].elongation_pct = f64::NAN;
    assert!(matches!(
        film_on_panel(&checks, Paper::Slide),
        Err(FigureError::Number { .. })
    ));
    let mut sweep = sample::all_sweeps().remove(0).1;
    sweep.rows.clear();
    assert!(matches!(
        peak_against_width(&sweep, Paper::Slide),
        Err(FigureError::Nothing { .. })
    ));
}

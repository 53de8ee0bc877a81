//! Noisy scans of known panels: the width for the scan beside that for the panel.

use crate::checks::{Group, Row, Standing};
use crate::common::survey::{Errors, Planted};
use serde::Serialize;
use tautspan::{
    Bed, Job, Recess, Recommendation, Section, Survey, film_named, read_points, recommend,
    tool_named,
};

/// A scan of a known panel beside the panel: the width for each, mm.
#[derive(Debug, Clone, Copy, Serialize)]
pub(crate) struct Scanned {
    pub(crate) panel: &'static str,
    pub(crate) sigma_mm: f64,
    pub(crate) true_mm: f64,
    /// None where it was refused.
    pub(crate) read_mm: Option<f64>,
    /// Peak on the panel itself at the width told for the scan, percent; none where none was.
    pub(crate) true_peak_pct: Option<f64>,
}

pub(crate) const SIGMAS: [f64; 4] = [0.02, 0.05, 0.1, 0.2];

fn answer(recess: &Recess) -> Recommendation {
    let (film, tool) = (
        film_named("wrap-cast").expect("a class"),
        tool_named("fingertip").expect("a tool"),
    );
    let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
    recommend(&Job::new(&bed, &film, &tool), &[])
}

/// The peak on the panel at the width and order told for its scan, percent.
fn true_peak(truth: &Recess, told: &tautspan::advice::Recommended) -> Option<f64> {
    let (film, tool) = (film_named("wrap-cast")?, tool_named("fingertip")?);
    let bed = Bed::new(truth, tool.pad(), tool.tip_radius());
    let job = Job::new(&bed, &film, &tool);
    let bonds = bed.bonds_for_bridge(told.bridge_mm, job.split).ok()?;
    let order = told.order.order(tautspan::Side::Right);
    job.check(bonds, order, false).ok()?.peak_pct
}

/// Scans of seven known panels, a reading every 0.3 mm, with noise both ways.
pub(crate) fn scans(seeds: u64) -> Vec<Scanned> {
    let mut all = Vec::new();
    for planted in Planted::seven() {
        let panel = Section::new(planted.name, &planted.panel).expect("a section");
        let truth = Recess::find(panel, Survey::default()).expect("a recess");
        let Some(width) = answer(&truth).unrounded_bridge_mm else {
            continue;
        };
        for sigma in SIGMAS {
            for seed in 0..seeds {
                let errors = Errors {
                    sigma,
                    digits: 1000.0,
                    ..Errors::default()
                };
                let points = planted.surveyed(errors, seed);
                let text: Vec<String> = points
                    .iter()
                    .map(|p| format!("{:.3},{:.3}", p.x, p.y))
                    .collect();
                let section = read_points("scan", &text.join(" "), tautspan::Units::Mm);
                let recess = section
                    .ok()
                    .and_then(|s| Recess::find(s, Survey::default()).ok());
                let told = recess.as_ref().map(answer);
                let chosen = told.as_ref().and_then(|t| t.recommended.as_ref());
                all.push(Scanned {
                    panel: planted.name,
                    sigma_mm: sigma,
                    true_mm: width,
                    read_mm: told.as_ref().and_then(|t| t.unrounded_bridge_mm),
                    true_peak_pct: chosen.and_then(|c| true_peak(&truth, c)),
                });
            }
        }
    }
    all
}

/// What the scans come to.
pub(crate) fn group(all: &[Scanned]) -> Group {
    let near = all
        .iter()
        .filter(|s| s.read_mm.is_some_and(|r| (r - s.true_mm).abs() <= 5.0));
    let share = 100.0 * near.count() as f64 / all.len().max(1) as f64;
    let over = all
        .iter()
        .filter(|s| s.true_peak_pct.is_some_and(|p| p > 22.0))
        .count();
    Group {
        title: "Noisy scans of seven known panels",
        source: "panels of known corners, scanned every 0.3 mm with normal noise of 0.02 to 0.2 mm both ways (tests/common/survey.rs)",
        standing: Standing::Made,
        tolerance: "widths within 5 mm in 95 of 100; none unsafe",
        rows: vec![
            Row::least(
                "scans whose width is within 5 mm of the panel's",
                "%",
                95.0,
                share,
            ),
            Row::new(
                "scans whose width lets the panel's own film go 2 points over its limit",
                "scans",
                0.0,
                over as f64,
                0.0,
            ),
        ],
    }
}

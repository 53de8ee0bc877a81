//! Whether the limit is kept as often as the assured width says: channels that may have been read
//! as the one that was, pressed and taped as hands do.

use crate::checks::{Group, Row, Standing};
use crate::common::corners::{Corners, HALF_WIDTH, pressed};
use crate::common::survey::Source;
use serde::Serialize;
use tautspan::advice::{Assurance, TapeStep, recommend_width};
use tautspan::{Bed, Bonds, Job, Order, Recess, film_named, tool_named};

const RECESSES: u32 = 120;
const TRUTHS: u32 = 20;

/// One recess as read: its nominal and assured width, and in how many of its truths each keeps
/// the limit.
#[derive(Debug, Clone, Copy, Serialize)]
pub(crate) struct Truths {
    pub(crate) nominal_mm: f64,
    pub(crate) assured_mm: f64,
    pub(crate) tried: u32,
    pub(crate) held: u32,
    pub(crate) held_at_nominal: u32,
}

/// Does something on a recess with a film class and a tool.
fn on<T>(recess: &Recess, assurance: Option<Assurance>, f: impl FnOnce(&Job<'_>) -> T) -> T {
    let (film, tool) = (
        film_named("wrap-cast").expect("a class"),
        tool_named("fingertip").expect("a tool"),
    );
    let bed = Bed::new(recess, tool.pad(), tool.tip_radius());
    f(&Job {
        step: TapeStep::FiveMm,
        assurance,
        ..Job::new(&bed, &film, &tool)
    })
}

fn keeps(recess: &Recess, (left, right): (f64, f64)) -> bool {
    on(recess, None, |job| {
        let bonds = Bonds::with_reach(recess, left, right);
        job.check(bonds, Order::DeepestFirst, false)
            .is_ok_and(|c| c.within_limit)
    })
}

/// Tries them.
pub(crate) fn truths() -> Vec<Truths> {
    let assurance = Assurance::default();
    let mut rng = Source::new(20_261_127);
    let mut all = Vec::new();
    for _ in 0..RECESSES {
        let corners = Corners::random(&mut rng);
        let radii = Corners::radii(&mut rng);
        let Some(read) = corners.recess(radii) else {
            continue;
        };
        let answer = on(&read, Some(assurance), recommend_width);
        let nominal = on(&read, None, recommend_width);
        let (Some(taken), Some(bare)) = (answer.recommended, nominal.recommended) else {
            continue;
        };
        let mut truths = Truths {
            nominal_mm: bare.bridge_mm,
            assured_mm: taken.bridge_mm,
            tried: 0,
            held: 0,
            held_at_nominal: 0,
        };
        for _ in 0..TRUTHS {
            let truth = corners.off(&mut rng, assurance.tolerance).recess(radii);
            let mut slip = |off: f64| off / HALF_WIDTH * rng.normal();
            let press = slip(assurance.press_off);
            let tapes = [0; 2].map(|_| slip(assurance.tapes_off));
            let Some(truth) = truth.and_then(|t| pressed(&t, press)) else {
                continue;
            };
            truths.tried += 1;
            let at = |left: f64, right: f64| {
                u32::from(keeps(&truth, (left + tapes[0], right + tapes[1])))
            };
            truths.held += at(taken.reach_left_mm, taken.reach_right_mm);
            truths.held_at_nominal += at(bare.reach_left_mm, bare.reach_right_mm);
        }
        all.push(truths);
    }
    all
}

/// The shares of all, percent: at the assured width and at the nominal one.
pub(crate) fn shares(all: &[Truths]) -> (f64, f64) {
    let sum = |of: fn(&Truths) -> u32| all.iter().map(|t| f64::from(of(t))).sum::<f64>();
    let tried = sum(|t| t.tried).max(1.0);
    (
        100.0 * sum(|t| t.held) / tried,
        100.0 * sum(|t| t.held_at_nominal) / tried,
    )
}

pub(crate) fn group(all: &[Truths]) -> Group {
    let (assured, _) = shares(all);
    Group {
        title: "The assured width keeps its promise",
        source: "random channels, their corners off by the gauge's 0.5 mm, press and tapes off as a hand's; method after JCGM 101:2008",
        standing: Standing::Made,
        tolerance: "95 % less two standard errors of so many",
        rows: vec![
            Row::least("channels with a width", "channels", 80.0, all.len() as f64),
            Row::least("truths in which the limit is kept", "%", 94.1, assured),
        ],
    }
}

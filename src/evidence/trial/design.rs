//! A trial that would settle friction and limit: which bridges, and how many marks.
//!
//! Strips at the bridges whose peaks stand at [`AROUND`] of the limit one has in mind: one that
//! should hold, one at it, one that should fail. What their marks would tell follows from the
//! slopes of the marks' places alone, before anything is laid.

use super::fit::{Case, FitError, Laid, Unknown};
use super::least_squares::student;
use super::marks::{Mark, Piece};
use crate::geometry::halved;
use crate::laydown::Split;
use nalgebra::DMatrix;
use serde::{Deserialize, Serialize};

/// Peaks of the strips, parts of the limit. Nearer together they bracket it more closely, but a
/// limit a third off is then outside.
const AROUND: [f64; 3] = [0.75, 1.0, 1.35];
/// Distance of marks on the flat film, mm: the tick strip of the lesson sheet.
const APART: f64 = 5.0;
/// A tape's step to which bridges are rounded, mm.
const TAPE: f64 = 5.0;
/// Friction for which the trial is designed: a lip of common roundness.
const FRICTION: f64 = 0.2;

/// A strip to lay.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Strip {
    /// Bridge, mm.
    pub bridge_mm: f64,
    /// Its peak without friction, percent.
    pub peak_pct: f64,
    /// Marks over its bridge.
    pub marks: usize,
}

/// A designed trial.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Design {
    /// The strips, widest first.
    pub strips: Vec<Strip>,
    /// Distance of marks on the flat film, mm.
    pub marks_apart_mm: f64,
    /// 95 % error of the friction they would tell; none: they would tell none.
    pub friction_within: Option<f64>,
    /// Would drag be told from friction?
    pub drag_apart: bool,
    /// Does the recess reach the limit at any bridge?
    pub reaches_limit: bool,
}

/// Designs a trial for a limit one has in mind, a plain ratio.
///
/// # Errors
/// Film cannot be laid as it was said.
pub(super) fn design(case: &Case<'_>, limit: f64) -> Result<Design, FitError> {
    let peak = |bridge: f64| {
        let bonds = case.bed.bonds_for_bridge(bridge, Split::default()).ok()?;
        let laid = case.lay(&[], &[], bonds)?;
        Some((laid.peak(case.bed)?.lambda - 1.0, bonds))
    };
    let split = Split::default();
    let (least, most) = (
        case.bed.bridge_for_reach(0.0, split),
        case.bed.bridge_for_reach(case.bed.most_reach(split), split),
    );
    let at = |b: f64| peak(b).map_or(f64::INFINITY, |p| p.0);
    let mut strips: Vec<(Strip, Laid)> = Vec::new();
    for part in AROUND {
        let wanted = part * limit;
        let bridge = if at(least) <= wanted {
            least
        } else if at(most) > wanted {
            most
        } else {
            halved((least, most), 40, |b| at(b) <= wanted).1
        };
        let bridge = ((bridge / TAPE).round() * TAPE).clamp(least, most);
        let Some((strain, bonds)) = peak(bridge) else {
            continue;
        };
        if strips
            .iter()
            .any(|(s, _)| (s.bridge_mm - bridge).abs() < 0.5 * TAPE)
        {
            continue;
        }
        let mut flat = 0.0;
        let mut marks = Vec::new();
        while flat <= bridge {
            marks.push(Mark {
                flat_mm: flat,
                panel_mm: flat,
            });
            flat += APART;
        }
        let strip = Strip {
            bridge_mm: bridge,
            peak_pct: 100.0 * strain,
            marks: marks.len(),
        };
        let piece = Piece {
            name: String::new(),
            bridge_mm: Some(bridge),
            marks,
            outcomes: Vec::new(),
        };
        strips.push((strip, Laid { piece, bonds }));
    }
    if strips.is_empty() {
        return Err(FitError::NotLaid);
    }
    let laid: Vec<Laid> = strips.iter().map(|(_, laid)| laid.clone()).collect();
    let peaks = strips.iter().map(|(strip, _)| strip.peak_pct);
    let reaches_limit = peaks.fold(0.0, f64::max) > 100.0 * limit;
    let friction = spread(case, &laid, &[Unknown::LipFriction]);
    let marks: usize = strips.iter().map(|(strip, _)| strip.marks).sum();
    let friction_within = friction.map(|c| student(marks) * c[(0, 0)].sqrt());
    let both = spread(case, &laid, &[Unknown::LipFriction, Unknown::Drag]);
    let drag_apart = both.is_some_and(|c| c[(0, 1)].abs() < 0.95 * (c[(0, 0)] * c[(1, 1)]).sqrt());
    Ok(Design {
        strips: strips.into_iter().map(|(strip, _)| strip).collect(),
        marks_apart_mm: APART,
        friction_within,
        drag_apart,
        reaches_limit,
    })
}

/// Covariance that the marks of these strips would give.
fn spread(case: &Case<'_>, laid: &[Laid], set: &[Unknown]) -> Option<DMatrix<f64>> {
    let usual = |u: &Unknown| {
        if *u == Unknown::LipFriction {
            FRICTION
        } else {
            0.5
        }
    };
    let usual: Vec<f64> = set.iter().map(usual).collect();
    let mut normal = DMatrix::zeros(set.len(), set.len());
    for one in laid {
        let columns = (0..set.len()).map(|k| {
            let step = 0.1 * usual[k];
            let moved = |by: f64| {
                let mut at = usual.clone();
                at[k] += by;
                case.places(set, &at, one)
            };
            let (up, down) = (moved(step)?, moved(-step)?);
            let slope: Vec<f64> = up
                .iter()
                .zip(&down)
                .map(|(u, d)| 0.5 * (u - d) / step)
                .collect();
            #[expect(clippy::cast_precision_loss, reason = "some tens of marks")]
            let mean = slope.iter().sum::<f64>() / slope.len() as f64;
            Some(nalgebra::DVector::from_iterator(
                slope.len(),
                slope.iter().map(|s| (s - mean) / case.mark_error),
            ))
        });
        let columns: Option<Vec<_>> = columns.collect();
        let slopes = DMatrix::from_columns(&columns?);
        normal += slopes.transpose() * slopes;
    }
    normal
        .try_inverse()
        .filter(|c| c.iter().all(|x| x.is_finite()) && c.diagonal().iter().all(|d| *d > 0.0))
}

//! Peak against bridge width, every order.

use super::answer::{Notice, PROGRAM, SCHEMA, Sweep, SweepRow};
use super::job::Job;
use super::tape_step::WIDTH_STEP;
use super::width::recommend_width;
use crate::laydown::{Order, OrderName};
use crate::told::{Told, add_new};

/// Most widths of a sweep; with more clear panel the step grows.
const MOST_WIDTHS: f64 = 400.0;

/// Lays the film at every step of width, from the mouth to the widest bridge.
///
/// # Accuracy
/// That of a lay-down; on scans that leave more than 2000 vertices to lay film on, a chain
/// with fewer is laid: then to a part of 1e-5.
pub fn sweep(job: &Job<'_>) -> Sweep {
    let advice = recommend_width(job);
    let coarse = job.bed.coarse();
    let job = &Job {
        bed: coarse.as_ref().unwrap_or(job.bed),
        ..*job
    };
    let most = job.bed.most_reach(job.split);
    let least = job.bed.bridge_for_reach(0.0, job.split);
    let widest = job.bed.bridge_for_reach(most, job.split);
    let times = ((widest - least) / WIDTH_STEP / MOST_WIDTHS).ceil();
    let step = WIDTH_STEP * times.max(1.0);
    let mut widths = vec![least];
    let mut width = (least / step).floor() * step + step;
    while width < widest {
        widths.push(width);
        width += step;
    }
    if widest > least {
        widths.push(widest);
    }
    let mut warnings = advice.warnings;
    let mut rows = Vec::with_capacity(2 * widths.len());
    for width in widths {
        let Ok(bonds) = job.bed.bonds_for_bridge(width, job.split) else {
            continue;
        };
        for order in [Order::DeepestFirst, Order::EdgeFirst] {
            let laid = match job.lay(bonds, order) {
                Ok(laid) => laid,
                Err(error) => {
                    let note = Told(Notice::RowsMissing {
                        order: order.named(),
                        why: error.message(),
                    });
                    add_new(&mut warnings, &[note]);
                    continue;
                }
            };
            let percent = |l: f64| 100.0 * (l - 1.0);
            rows.push(SweepRow {
                bridge_mm: width,
                order: order.named(),
                peak_pct: laid.peak(job.bed).map(|p| percent(p.lambda)),
                recess_peak_pct: laid.recess_peak().map(percent),
                mean_pct: 100.0 * laid.mean(),
            });
        }
    }
    Sweep {
        schema: SCHEMA,
        program: PROGRAM.to_owned(),
        section: advice.section,
        film: advice.film,
        plain_rule: advice.plain_rule,
        nominal_bridge_mm: advice.nominal_bridge_mm,
        // The post on the curve: no other order's width stands there.
        recommended_bridge_mm: advice
            .recommended
            .as_ref()
            .filter(|r| r.order == OrderName::DeepestFirst)
            .map(|r| r.bridge_mm),
        feasible: advice.feasible,
        rows,
        invented: advice.invented,
        warnings,
        assumptions: advice.assumptions,
    }
}

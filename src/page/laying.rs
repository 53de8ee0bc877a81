//! The orders side by side at one width, the moments of their laying, and the same width
//! under other warmth: what the page draws.

use super::ask::Request;
use super::engine::{Failure, bonds};
use crate::advice::{Bay, Check, Handling, Job, WarmZone, recommend};
use crate::card::{Asked, Card};
use crate::film::FilmClass;
use crate::laydown::{Bonds, Order};
use serde::Serialize;

/// Moments of a laying unless asked otherwise.
const FRAMES: u16 = 41;
/// Most moments of a laying.
const MOST_FRAMES: u16 = 201;

/// The orders that share a width.
const SIDE_BY_SIDE: [Order; 2] = [Order::DeepestFirst, Order::EdgeFirst];

/// All orders at one width.
#[derive(Debug, Serialize)]
pub(super) struct Orders {
    /// Narrowest and widest bridge, mm.
    least_bridge_mm: f64,
    widest_bridge_mm: f64,
    /// What the film is laid on between the widest bond lines, `[x, y]`, mm.
    bed: Vec<[f64; 2]>,
    /// Bridge of the checks, mm.
    bridge_mm: f64,
    /// Deepest-first and edge-first, each with its profile.
    checks: Vec<Check>,
}

/// A free span of film at a moment.
#[derive(Debug, Serialize)]
struct FreeSpan {
    path: Vec<[f64; 2]>,
    elongation_pct: f64,
}

/// One moment.
#[derive(Debug, Serialize)]
struct Frame {
    /// 0 bridged to 1 down.
    progress: f64,
    /// Panel that film is stuck to, arc lengths on the bed, mm.
    down: Vec<(f64, f64)>,
    free: Vec<FreeSpan>,
}

/// The moments of one order.
#[derive(Debug, Serialize)]
struct OrderFrames {
    order: &'static str,
    frames: Vec<Frame>,
}

/// The moments of every order at one width.
#[derive(Debug, Serialize)]
pub(super) struct Moments {
    bridge_mm: f64,
    orders: Vec<OrderFrames>,
}

/// One way to warm the film.
#[derive(Debug, Serialize)]
struct Warmed {
    /// Which film is warmed: `whole`, `mouth`, `flats`.
    zone: &'static str,
    /// Whether its width was looked for: with drag that takes seconds, and is not.
    width_sought: bool,
    /// The width it needs, rounded up, mm; none if no width does.
    nominal_bridge_mm: Option<f64>,
    /// Deepest-first and edge-first, without profile.
    checks: Vec<Check>,
    /// Why there is none.
    error: Option<Failure>,
}

/// The job card.
#[derive(Debug, Serialize)]
pub(super) struct CardPage {
    html: String,
}

/// The same width under other warmth.
#[derive(Debug, Serialize)]
pub(super) struct Warmth {
    bridge_mm: f64,
    zones: Vec<Warmed>,
}

/// The bond lines asked for; else those of the recommended width, or of the widest. A
/// width beyond what there is becomes the nearest that can be: a slider may be ahead of the
/// section it belongs to.
fn shown_bonds(job: &Job<'_>, request: &Request) -> Result<Bonds, Failure> {
    if request.bond_left_x_mm.is_some() || request.bond_right_x_mm.is_some() {
        return bonds(job, request)?
            .ok_or_else(|| Failure::of("a bond line without its fellow was found"));
    }
    let least = job.bed.bridge_for_reach(0.0, job.split);
    let widest = job
        .bed
        .bridge_for_reach(job.bed.most_reach(job.split), job.split);
    let asked = request
        .bridge_mm
        .or_else(|| recommend(job, &[]).recommended.map(|r| r.bridge_mm));
    job.bed
        .bonds_for_bridge(asked.unwrap_or(widest).clamp(least, widest), job.split)
        .map_err(Failure::of)
}

/// Lays the film in every order at one width.
pub(super) fn orders(job: &Job<'_>, request: &Request) -> Result<Orders, Failure> {
    let bonds = shown_bonds(job, request)?;
    let mut checks = Vec::with_capacity(SIDE_BY_SIDE.len());
    for order in SIDE_BY_SIDE {
        checks.push(job.check(bonds, order, true).map_err(Failure::of)?);
    }
    let most = job.bed.most_reach(job.split);
    Ok(Orders {
        least_bridge_mm: job.bed.bridge_for_reach(0.0, job.split),
        widest_bridge_mm: job.bed.bridge_for_reach(most, job.split),
        bed: job.bed.line().points().iter().map(|p| [p.x, p.y]).collect(),
        bridge_mm: checks[0].bridge_mm,
        checks,
    })
}

/// Replays the laying of every order.
pub(super) fn moments(job: &Job<'_>, request: &Request) -> Result<Moments, Failure> {
    let bonds = shown_bonds(job, request)?;
    let frames = request.frames.unwrap_or(FRAMES).clamp(2, MOST_FRAMES);
    let mut orders = Vec::with_capacity(SIDE_BY_SIDE.len());
    let mut bridge_mm = 0.0;
    for order in SIDE_BY_SIDE {
        let laid = job.lay(bonds, order).map_err(Failure::of)?;
        bridge_mm = laid.bridge();
        let frame = |i: u16| {
            let progress = f64::from(i) / f64::from(frames - 1);
            let moment = laid.moment(job.bed, progress)?;
            let span = |s: &crate::laydown::Span| FreeSpan {
                path: s.path.iter().map(|p| [p.x, p.y]).collect(),
                elongation_pct: 100.0 * (s.lambda - 1.0),
            };
            Some(Frame {
                progress,
                down: moment.down.clone(),
                free: moment.free.iter().map(span).collect(),
            })
        };
        orders.push(OrderFrames {
            order: order.name(),
            frames: (0..frames).filter_map(frame).collect(),
        });
    }
    Ok(Moments { bridge_mm, orders })
}

/// The card of the recommended lay-down, or of deepest first at the width asked for.
pub(super) fn card(
    job: &Job<'_>,
    film: &FilmClass,
    request: &Request,
) -> Result<CardPage, Failure> {
    let fixed = match request.bridge_mm {
        Some(_) => Some(
            job.check(shown_bonds(job, request)?, Order::DeepestFirst, true)
                .map_err(Failure::of)?,
        ),
        None => None,
    };
    let asked = Asked {
        length: request.length_mm.filter(|l| *l > 0.0),
        ends: request.bay.as_ref().and_then(|b| b.ends),
        gauge_tolerance: request.gauge_tolerance_mm,
        ..Asked::default()
    };
    Card::new(film, &recommend(job, &[]), fixed.as_ref(), &asked)
        .map(|card| CardPage { html: card.html() })
        .ok_or_else(|| Failure::of("no order could be laid on this section at all"))
}

/// Lays the film with the whole bridge, the mouth only and the flats only warmed.
pub(super) fn warmth(job: &Job<'_>, request: &Request) -> Result<Warmth, Failure> {
    let bonds = shown_bonds(job, request)?;
    let said = request.bay.clone().unwrap_or_default().bay();
    let mut zones = Vec::with_capacity(3);
    let mut bridge_mm = 0.0;
    for zone in [WarmZone::Whole, WarmZone::Mouth, WarmZone::Flats] {
        let bay = Bay {
            warm: Some(zone),
            ..said.clone()
        };
        let warmed = Handling::new(job.film, &bay)
            .map_err(Failure::of)
            .and_then(|handling| {
                let job = Job {
                    handling: Some(&handling),
                    ..*job
                };
                let checks = SIDE_BY_SIDE
                    .iter()
                    .map(|&order| job.check(bonds, order, false).map_err(Failure::of))
                    .collect::<Result<Vec<_>, _>>()?;
                let sought = handling.conditions.drag <= 0.0;
                let nominal = Job {
                    assurance: None,
                    ..job
                };
                let width = sought.then(|| recommend(&nominal, &[]).nominal_bridge_mm);
                Ok((width, checks))
            });
        let (width, checks, error) = match warmed {
            Ok((width, checks)) => (width, checks, None),
            Err(error) => (None, Vec::new(), Some(error)),
        };
        if let Some(check) = checks.first() {
            bridge_mm = check.bridge_mm;
        }
        zones.push(Warmed {
            zone: zone.name(),
            width_sought: width.is_some(),
            nominal_bridge_mm: width.flatten(),
            checks,
            error,
        });
    }
    Ok(Warmth { bridge_mm, zones })
}

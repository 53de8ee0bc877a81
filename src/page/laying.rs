//! Two orders side by side at one width, the moments of their laying, the same width under other
//! warmth, and what is printed: what the page draws.

use super::Catalogue;
use super::failure::Failure;
use crate::advice::{
    Bay, Check, EndReport, Handling, Job, MOST_STEPS, OrderSearch, Question, QuestionError,
    Setting, WarmZone, recommend, recommend_width, search_order,
};
use crate::card::{Asked, Card, Chart, ChartSizes, ChartSpec, PaperSize};
use crate::figure::{EndLook, inline_end};
use crate::laydown::{Bonds, LayError, Laydown, Order, Steps};
use crate::say::{Voice, sentence};
use crate::told::when;
use serde::Serialize;

/// Walls of a chart's channels, degrees, and its radii, mm: those of the command line.
const CHART_WALL: f64 = 70.0;
const CHART_RADIUS: f64 = 2.0;

/// Moments of a laying unless asked otherwise.
const FRAMES: u16 = 41;
/// Most moments of a laying.
const MOST_FRAMES: u16 = 201;

/// The orders that share a width.
const SIDE_BY_SIDE: [Order; 2] = [Order::DeepestFirst, Order::EdgeFirst];

/// What stands beside deepest-first.
struct Beside {
    bonds: Bonds,
    order: Order,
    steps: Option<Steps>,
}

impl Beside {
    /// The order asked for, else edge-first. A middle push has bond lines of its own.
    fn of(
        catalogue: &Catalogue,
        setting: &Setting,
        job: &Job<'_>,
        bonds: Bonds,
    ) -> Result<Self, QuestionError> {
        let (order, steps) = setting.order(catalogue)?;
        let order = match order {
            Order::DeepestFirst => Order::EdgeFirst,
            other => other,
        };
        let bonds = match order {
            Order::MiddlePush => Bonds::with_reach(job.bed.recess(), 0.0, 0.0),
            _ => bonds,
        };
        Ok(Self {
            bonds,
            order,
            steps,
        })
    }

    fn check(&self, job: &Job<'_>) -> Result<Check, LayError> {
        match &self.steps {
            Some(steps) => job.check_steps(self.bonds, steps, true),
            None => job.check(self.bonds, self.order, true),
        }
    }

    fn lay(&self, job: &Job<'_>) -> Result<Laydown, LayError> {
        match &self.steps {
            Some(steps) => job.bed.lay_steps(self.bonds, steps, &job.conditions()),
            None => job.lay(self.bonds, self.order),
        }
    }
}

/// Two orders at one width.
#[derive(Debug, Serialize)]
pub(super) struct Orders {
    /// Narrowest and widest bridge, mm.
    least_bridge_mm: f64,
    widest_bridge_mm: f64,
    /// What the film is laid on between the widest bond lines, `[x, y]`, mm.
    bed: Vec<[f64; 2]>,
    /// Bridge of the checks, mm.
    bridge_mm: f64,
    /// Deepest-first and what stands beside it, each with its profile.
    checks: [Check; 2],
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

/// The moments of both orders at one width.
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
fn shown_bonds(setting: &Setting, job: &Job<'_>) -> Result<Bonds, QuestionError> {
    let question = &setting.question;
    if question.bond_left_x_mm.is_some() || question.bond_right_x_mm.is_some() {
        return setting.bonds(job.bed)?.ok_or(QuestionError::LoneBond);
    }
    let least = job.bed.bridge_for_reach(0.0, job.split);
    let most = job.bed.most_reach(job.split);
    let widest = job.bed.bridge_for_reach(most, job.split);
    let recommended = || recommend_width(job).recommended.map(|r| r.bridge_mm);
    let asked = question.bridge_mm.or_else(recommended);
    let bridge = asked.unwrap_or(widest).clamp(least, widest);
    Ok(job.bed.bonds_for_bridge(bridge, job.split)?)
}

/// Lays the film deepest first, and in the order asked for, at one width.
pub(super) fn orders(
    catalogue: &Catalogue,
    setting: &Setting,
    job: &Job<'_>,
) -> Result<Orders, QuestionError> {
    let bonds = shown_bonds(setting, job)?;
    let checks = [
        job.check(bonds, Order::DeepestFirst, true)?,
        Beside::of(catalogue, setting, job, bonds)?.check(job)?,
    ];
    let most = job.bed.most_reach(job.split);
    Ok(Orders {
        least_bridge_mm: job.bed.bridge_for_reach(0.0, job.split),
        widest_bridge_mm: job.bed.bridge_for_reach(most, job.split),
        bed: job.bed.line().points().iter().map(|p| [p.x, p.y]).collect(),
        bridge_mm: checks[0].bridge_mm,
        checks,
    })
}

/// Replays the laying of both orders.
pub(super) fn moments(
    catalogue: &Catalogue,
    setting: &Setting,
    job: &Job<'_>,
    frames: Option<u16>,
) -> Result<Moments, QuestionError> {
    let bonds = shown_bonds(setting, job)?;
    let frames = frames.unwrap_or(FRAMES).clamp(2, MOST_FRAMES);
    let deepest = job.lay(bonds, Order::DeepestFirst)?;
    let bridge_mm = deepest.bridge();
    let beside = Beside::of(catalogue, setting, job, bonds)?.lay(job)?;
    let mut orders = Vec::with_capacity(2);
    for laid in [deepest, beside] {
        let frame = |i: u16| {
            let progress = f64::from(i) / f64::from(frames - 1);
            let moment = laid.replay(job.bed, progress)?;
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
            order: laid.order().name(),
            frames: (0..frames).filter_map(frame).collect(),
        });
    }
    Ok(Moments { bridge_mm, orders })
}

/// Width of a picture of an end where none is asked for, ems.
const USUAL_WIDTH: f64 = 40.0;

/// The closed ends at one width, deepest first.
#[derive(Debug, Serialize)]
pub(super) struct Ends {
    /// The width, mm.
    bridge_mm: f64,
    /// What is known of each.
    ends: Vec<EndReport>,
    /// The same in words.
    words: Vec<String>,
    /// The first of them from above: the answer, the picture, what its marks are.
    title: Option<String>,
    svg: Option<String>,
    note: Option<String>,
    /// Panel across the width of the picture, mm.
    mm_per_width: Option<f64>,
}

/// Lays film round the closed ends.
pub(super) fn ends(
    setting: &Setting,
    job: &Job<'_>,
    width_em: Option<f64>,
) -> Result<Ends, QuestionError> {
    let bonds = shown_bonds(setting, job)?;
    let ends = job.ends_laid(bonds, Order::DeepestFirst, false);
    let voice = Voice::page(setting.question.print_units());
    let film = job.film_report();
    let mut words = Vec::new();
    for (end, _) in &ends {
        let rows = voice.end_rows(end, &film).into_iter();
        let name = when(ends.len() > 1, end.end.word(), "");
        words.extend(rows.map(|(label, said)| match name {
            "" => format!("{label}: {said}"),
            name => format!("{}, {}: {said}", sentence(name), label.to_lowercase()),
        }));
    }
    let shown = ends
        .iter()
        .find_map(|(end, laid)| Some((end, laid.as_ref()?)));
    let picture = shown.map(|(end, laid)| {
        let look = EndLook::of(job, end, laid);
        inline_end(&look, width_em.unwrap_or(USUAL_WIDTH), voice.units)
    });
    let (picture, mm_per_width) = picture.unzip();
    Ok(Ends {
        bridge_mm: job.lay(bonds, Order::DeepestFirst)?.bridge(),
        ends: ends.into_iter().map(|(end, _)| end).collect(),
        words,
        title: picture.as_ref().map(|p| p.title.clone()),
        note: picture.as_ref().map(|p| p.note.clone()),
        svg: picture.map(|p| p.svg),
        mm_per_width,
    })
}

/// The card of the recommended lay-down, or of deepest first at the width asked for.
pub(super) fn card(setting: &Setting, job: &Job<'_>) -> Result<CardPage, QuestionError> {
    let question = &setting.question;
    let fixed = match question.bridge_mm {
        Some(_) => {
            let bonds = shown_bonds(setting, job)?;
            let mut check = job.check(bonds, Order::DeepestFirst, true)?;
            job.round_the_ends(bonds, Order::DeepestFirst, true, &mut check);
            Some(check)
        }
        None => None,
    };
    let mut advice = recommend(job, &[]);
    if fixed.is_none() {
        job.widen_the_ends(&mut advice);
        job.hold_the_chosen(&mut advice);
    }
    let asked = Asked {
        length: question.length()?,
        ends: setting.handling.as_ref().and_then(|h| h.bay.ends),
        gauge_tolerance: question.gauge_tolerance_mm,
        typed: question.typed_tape().map(str::to_owned),
        ..Asked::default()
    };
    Card::new(&setting.film, &advice, fixed.as_ref(), &asked)
        .map(|card| CardPage { html: card.html() })
        .ok_or(QuestionError::NoOrder)
}

/// The chart for the bay wall, the ends of its recesses left to the command line.
pub(super) fn chart(catalogue: &Catalogue, question: &Question) -> Result<CardPage, QuestionError> {
    let mut question = question.clone();
    question.warm_throughout();
    let setting = Setting::new(question.with_open_width()?, catalogue)?;
    let units = question.print_units();
    let usual = question.survey();
    let spec = ChartSpec {
        film: &setting.film,
        tool: &setting.tool,
        handling: setting.handling.as_ref(),
        wall_deg: CHART_WALL,
        lip_radius: CHART_RADIUS,
        foot_radius: CHART_RADIUS,
        clear: usual.clear_left.min(usual.clear_right),
        units,
        paper: PaperSize::default(),
    };
    let html = Chart::of(&spec, &ChartSizes::usual(units), false).html_with("");
    Ok(CardPage { html })
}

/// The steps with the lowest peak.
pub(super) fn steps(setting: &Setting, job: &Job<'_>) -> Result<OrderSearch, QuestionError> {
    Ok(search_order(
        job,
        Some(shown_bonds(setting, job)?),
        MOST_STEPS,
    )?)
}

/// Lays the film with the whole bridge, the mouth only and the flats only warmed.
pub(super) fn warmth(setting: &Setting, job: &Job<'_>) -> Result<Warmth, QuestionError> {
    let bonds = shown_bonds(setting, job)?;
    let said = setting.question.bay.clone().unwrap_or_default();
    let mut zones = Vec::with_capacity(3);
    let mut bridge_mm = 0.0;
    for zone in [WarmZone::Whole, WarmZone::Mouth, WarmZone::Flats] {
        let bay = Bay {
            warm: Some(zone),
            ..said.clone()
        };
        let warmed = Handling::new(job.film, &bay)
            .map_err(QuestionError::Law)
            .and_then(|handling| {
                let job = Job {
                    handling: Some(&handling),
                    ..*job
                };
                let checks = SIDE_BY_SIDE
                    .iter()
                    .map(|&order| job.check(bonds, order, false));
                let checks = checks.collect::<Result<Vec<_>, _>>()?;
                let sought = handling.conditions.drag <= 0.0;
                let nominal = Job {
                    assurance: None,
                    ..job
                };
                let width = sought.then(|| recommend_width(&nominal).nominal_bridge_mm);
                Ok((width, checks))
            });
        let (width, checks, error) = match warmed {
            Ok((width, checks)) => (width, checks, None),
            Err(error) => {
                let why = Failure::why(&error, &setting.question);
                (None, Vec::new(), Some(why))
            }
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

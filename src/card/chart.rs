//! The chart for the bay wall: depth against mouth, the bridge width in each cell, for one
//! film class and one tool, with the plain rule beside it.
//!
//! A cell is the main job on a shape whose other dimensions (wall angle or run, radii) are
//! stated on the chart. A cell without a width says why in a word. [`chart_cell`] answers
//! one cell, so that a caller may run many at once.

use crate::advice::out_of_reach;
use crate::advice::{Assurance, Handling, Job, guessed_hand, recommend_width};
use crate::advice::{FilmReport, Handled, Invented, PROGRAM, SCHEMA};
use crate::draw::PaperSize;
use crate::ends::{EndCase, EndKind, EndOrder, EndText, Trapezoid, lay_end};
use crate::film::{FilmClass, StretchLaw, Tool};
use crate::laydown::{Bed, OrderName, Split};
use crate::section::{Kind, Recess, Survey, Units, read_shape};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// What a chart is for.
#[derive(Debug, Clone, Copy)]
pub struct ChartSpec<'a> {
    /// The film class.
    pub film: &'a FilmClass,
    /// The tool.
    pub tool: &'a Tool,
    /// How film, lips and flats are.
    pub handling: Option<&'a Handling>,
    /// Wall angle of the channels from the mouth line, degrees, above 0 to 90.
    pub wall_deg: f64,
    /// Lip radius, mm.
    pub lip_radius: f64,
    /// Foot radius, mm.
    pub foot_radius: f64,
    /// Clear panel on each side, mm.
    pub clear: f64,
    /// Units of the printed numbers.
    pub units: Units,
    /// The paper.
    pub paper: PaperSize,
}

/// Sizes of a chart's grids, mm, rising.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartSizes {
    /// Depths of the channels.
    pub depths: Vec<f64>,
    /// Mouths of the channels, from corner to corner of the sharp outline.
    pub mouths: Vec<f64>,
    /// Drops of the steps.
    pub drops: Vec<f64>,
    /// Runs of the steps' walls.
    pub runs: Vec<f64>,
}

/// The usual sizes in mm: depths, mouths, drops, runs.
const IN_MM: [&[f64]; 4] = [
    &[5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0],
    &[20.0, 30.0, 40.0, 60.0, 80.0, 100.0, 130.0, 160.0],
    &[5.0, 10.0, 15.0, 20.0, 30.0],
    &[0.0, 5.0, 10.0, 20.0, 40.0],
];

/// The usual sizes in inches: such as a rule in inches measures.
const IN_INCHES: [&[f64]; 4] = [
    &[0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0],
    &[0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0],
    &[0.25, 0.5, 0.75, 1.0, 1.25],
    &[0.0, 0.25, 0.5, 1.0, 1.5],
];

impl ChartSizes {
    /// What a chart has unless told.
    pub fn usual(units: Units) -> Self {
        let (sizes, unit) = match units {
            Units::Mm | Units::Cm => (IN_MM, 1.0),
            Units::Inch => (IN_INCHES, Units::Inch.in_mm()),
        };
        let [depths, mouths, drops, runs] =
            sizes.map(|list| list.iter().map(|v| v * unit).collect());
        Self {
            depths,
            mouths,
            drops,
            runs,
        }
    }
}

/// Why a cell has no width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EmptyCell {
    /// There is no such shape: the walls meet above that depth, or the radii do not fit.
    NoShape,
    /// The peak stays over the limit at every width.
    OverLimit,
    /// The tool does not get in.
    OutOfReach,
    /// A width does for the shape itself, but not in all that gauge and hand allow.
    NotAssured,
    /// The class is not meant for recesses.
    NotForRecesses,
}

impl EmptyCell {
    /// The word that stands in the cell.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::NoShape => "\u{2013}",
            Self::OverLimit => "over",
            Self::NotAssured => "card",
            Self::OutOfReach => "tool",
            Self::NotForRecesses => "not",
        }
    }
}

/// One cell.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChartCell {
    /// Depth, or drop of a step, mm.
    pub depth_mm: f64,
    /// Mouth of the sharp outline, or run of a step's wall, mm.
    pub across_mm: f64,
    /// Bridge width rounded up to a step of a tape, mm, if there is one; assured where the
    /// chart is.
    pub bridge_mm: Option<f64>,
    /// Order that takes it.
    pub order: Option<OrderName>,
    /// Peak elongation there, percent.
    pub peak_pct: Option<f64>,
    /// Extra panel by two tape readings, mm.
    pub extra_mm: Option<f64>,
    /// Least bridge by the plain rule, mm.
    pub plain_mm: Option<f64>,
    /// Why there is no width.
    pub why: Option<EmptyCell>,
}

/// One grid of a chart, row by row of depth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ChartGrid {
    /// Channel or step.
    pub kind: Kind,
    /// Depths, mm, one a row.
    pub depths_mm: Vec<f64>,
    /// Mouths (channel) or runs of the wall (step), mm, one a column.
    pub across_mm: Vec<f64>,
    /// Cells, row by row.
    pub cells: Vec<ChartCell>,
}

/// How many times as much film is stretched at a closed, rounded end as in the middle, deepest
/// first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EndFactors {
    /// Bridge, in mouths.
    pub bridge_mouths: f64,
    /// Depths, mm, one a row.
    pub depths_mm: Vec<f64>,
    /// Mouths, mm, one a column.
    pub mouths_mm: Vec<f64>,
    /// Row by row; none where there is no such shape, or no number.
    pub factors: Vec<Option<f64>>,
}

/// Bridge of the factors, in mouths: as wide as most are.
const FACTORS_AT: f64 = 2.0;

/// Lays film round the ends of channels of these depths and mouths; `None` where something
/// holds film at the lip, or it is dabbed: that is not computed.
fn chart_ends(spec: &ChartSpec<'_>, depths: &[f64], mouths: &[f64]) -> Option<EndFactors> {
    if !spec.handling.is_none_or(|h| h.conditions.is_plain()) {
        return None;
    }
    let factor = |depth: f64, mouth: f64| {
        let floor = mouth - 2.0 * depth / spec.wall_deg.to_radians().tan();
        let section = Trapezoid {
            mouth,
            floor,
            depth,
        };
        let rounded = EndText {
            kind: EndKind::Rounded,
            ..EndText::default()
        };
        let pad = spec.tool.pad();
        let size = (floor > 0.0).then(|| rounded.size(&section, pad, None).ok());
        let case = EndCase {
            section,
            size: size.flatten()?,
            pad,
            side_reach: 0.5 * (FACTORS_AT - 1.0) * mouth,
            end_reach: 0.25 * mouth,
            half_length: None,
        };
        let laid = lay_end(&case, EndOrder::DeepestFirst, &StretchLaw::default()).ok()?;
        Some((laid.most.stretch[0] - 1.0) / (laid.middle - 1.0))
    };
    let cells = depths
        .iter()
        .flat_map(|&d| mouths.iter().map(move |&m| (d, m)));
    Some(EndFactors {
        bridge_mouths: FACTORS_AT,
        depths_mm: depths.to_vec(),
        mouths_mm: mouths.to_vec(),
        factors: cells.map(|(d, m)| factor(d, m)).collect(),
    })
}

/// A chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Chart {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// The film class.
    pub film: FilmReport,
    /// Name of the tool.
    pub tool: String,
    /// Wall angle of the channels, degrees.
    pub wall_deg: f64,
    /// Lip radius, mm.
    pub lip_radius_mm: f64,
    /// Foot radius, mm.
    pub foot_radius_mm: f64,
    /// Clear panel on each side, mm.
    pub clear_mm: f64,
    /// How film, lips and flats were taken.
    pub handling: Told<Handled>,
    /// Share of what gauge and hand allow in which the limit is kept, percent; `None`: the
    /// widths are nominal.
    pub assured_pct: Option<f64>,
    /// The grids.
    pub grids: Vec<ChartGrid>,
    /// What a closed end adds; `None` where it is not computed.
    pub ends: Option<EndFactors>,
    /// Numbers that decided and are invented.
    pub invented: Vec<Told<Invented>>,
    /// Units of the printed numbers.
    pub units: Units,
    /// The paper it is laid out for.
    pub paper: PaperSize,
}

/// All cells of one grid.
fn grid(spec: &ChartSpec<'_>, kind: Kind, depths: &[f64], across: &[f64]) -> ChartGrid {
    let row = |&depth: &f64| {
        let cell = move |&x: &f64| chart_cell(spec, kind, depth, x);
        across.iter().map(cell)
    };
    ChartGrid {
        kind,
        depths_mm: depths.to_vec(),
        across_mm: across.to_vec(),
        cells: depths.iter().flat_map(row).collect(),
    }
}

/// Answers one cell of a chart.
pub fn chart_cell(spec: &ChartSpec<'_>, kind: Kind, depth: f64, across: f64) -> ChartCell {
    let empty = ChartCell {
        depth_mm: depth,
        across_mm: across,
        bridge_mm: None,
        order: None,
        peak_pct: None,
        extra_mm: None,
        plain_mm: None,
        why: Some(EmptyCell::NoShape),
    };
    let shape = match kind {
        Kind::Channel => format!(
            "channel:mouth={across},depth={depth},left-wall={0},right-wall={0},lip-radius={1},foot-radius={2}",
            spec.wall_deg, spec.lip_radius, spec.foot_radius
        ),
        Kind::Step => format!(
            "step:drop={depth},run={across},lip-radius={},foot-radius={}",
            spec.lip_radius, spec.foot_radius
        ),
    };
    let survey = Survey {
        clear_left: spec.clear,
        clear_right: spec.clear,
        ..Survey::default()
    };
    let Some(recess) = read_shape(&shape, Units::Mm)
        .ok()
        .and_then(|section| Recess::find(section, survey).ok())
    else {
        return empty;
    };
    let bed = Bed::new(&recess, spec.tool.pad(), spec.tool.tip_radius());
    let job = spec.job(&bed);
    let answer = recommend_width(&job);
    let chosen = answer.recommended;
    let why = match &chosen {
        Some(_) => None,
        None if !spec.film.recess => Some(EmptyCell::NotForRecesses),
        None if out_of_reach(&job).is_some() => Some(EmptyCell::OutOfReach),
        None if answer.nominal_bridge_mm.is_some() => Some(EmptyCell::NotAssured),
        None => Some(EmptyCell::OverLimit),
    };
    ChartCell {
        bridge_mm: chosen.as_ref().map(|r| r.bridge_mm),
        order: chosen.as_ref().map(|r| r.order),
        peak_pct: chosen.as_ref().map(|r| r.peak_pct),
        extra_mm: Some(answer.plain_rule.extra_mm),
        plain_mm: answer.plain_rule.least_bridge_mm,
        why,
        ..empty
    }
}

impl<'a> ChartSpec<'a> {
    fn job(&self, bed: &'a Bed<'a>) -> Job<'a> {
        Job {
            step: self.units.into(),
            bed,
            film: self.film,
            tool: self.tool,
            split: Split::Even,
            assumptions: &[],
            handling: self.handling,
            assurance: self.assurance(),
            ends: None,
        }
    }
}

impl ChartSpec<'_> {
    /// What the widths are assured against: gauge and hand. Under friction, drag or warm zones
    /// the draws of a whole chart would take minutes, so there it is nothing.
    fn assurance(&self) -> Option<Assurance> {
        let plain = self.handling.is_none_or(|h| h.conditions.is_plain());
        plain.then(|| Assurance::by_hand(self.tool))
    }
}

impl Chart {
    /// Answers every cell of these sizes; `round_ends`: what a closed end adds too, which takes
    /// some seconds.
    pub fn of(spec: &ChartSpec<'_>, sizes: &ChartSizes, round_ends: bool) -> Self {
        let grids = vec![
            grid(spec, Kind::Channel, &sizes.depths, &sizes.mouths),
            grid(spec, Kind::Step, &sizes.drops, &sizes.runs),
        ];
        // Every other size is enough for what an end adds.
        let some = |sizes: &[f64]| sizes.iter().copied().skip(1).step_by(2).collect::<Vec<_>>();
        let ends = || chart_ends(spec, &some(&sizes.depths), &some(&sizes.mouths));
        Self::new(spec, grids, round_ends.then(ends).flatten())
    }

    /// Puts answered grids on one chart.
    pub fn new(spec: &ChartSpec<'_>, grids: Vec<ChartGrid>, ends: Option<EndFactors>) -> Self {
        let film = spec.film.name.clone();
        let limits = spec.film.invented_deciding().into_iter();
        let limits = limits.map(|number| Invented::Film {
            film: film.clone(),
            number,
        });
        let tool = spec.tool.invented_deciding().into_iter();
        let tool = tool.map(|number| Invented::Tool {
            tool: spec.tool.name.clone(),
            number,
        });
        let handling = spec.handling.iter().flat_map(|h| h.invented.clone());
        let hand = spec.assurance();
        let hand = hand.and_then(|a| guessed_hand(spec.tool, a.press_off, a.tapes_off));
        let all = limits.chain(tool).chain(handling).chain(hand);
        let invented = all.map(Told).collect();
        Self {
            schema: SCHEMA,
            program: PROGRAM.to_owned(),
            film: FilmReport {
                name: spec.film.name.clone(),
                limit_pct: 100.0 * spec.film.limit(),
                recess_limit_pct: spec.film.recess_limit().map(|l| 100.0 * l),
                provenance: spec.film.limit_source().to_owned(),
            },
            tool: spec.tool.name.clone(),
            wall_deg: spec.wall_deg,
            lip_radius_mm: spec.lip_radius,
            foot_radius_mm: spec.foot_radius,
            clear_mm: spec.clear,
            handling: Told(
                spec.handling
                    .map_or_else(Handled::default, |h| h.assumption.clone()),
            ),
            assured_pct: spec.assurance().map(|a| 100.0 * a.share),
            grids,
            ends,
            invented,
            units: spec.units,
            paper: spec.paper,
        }
    }

    /// The cells as CSV.
    pub fn csv(&self) -> String {
        let mut text =
            "kind,depth_mm,across_mm,bridge_mm,order,peak_pct,extra_mm,plain_mm,why\n".to_owned();
        let number = |v: Option<f64>| v.map_or_else(String::new, |v| format!("{v:.4}"));
        for grid in &self.grids {
            let kind = grid.kind.word();
            for c in &grid.cells {
                let why = c.why.map_or("", |w| match w {
                    EmptyCell::NoShape => "no-shape",
                    EmptyCell::OverLimit => "over-limit",
                    EmptyCell::NotAssured => "not-assured",
                    EmptyCell::OutOfReach => "out-of-reach",
                    EmptyCell::NotForRecesses => "not-for-recesses",
                });
                text.push_str(&format!(
                    "{kind},{},{},{},{},{},{},{},{why}\n",
                    c.depth_mm,
                    c.across_mm,
                    number(c.bridge_mm),
                    c.order.map_or("", OrderName::name),
                    number(c.peak_pct),
                    number(c.extra_mm),
                    number(c.plain_mm),
                ));
            }
        }
        text
    }
}

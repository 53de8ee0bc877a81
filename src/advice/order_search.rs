//! The order of pressing with the lowest peak between given bond lines.
//!
//! [`super::order_grid`] finds the best list of moves on a grid of places. Here it becomes
//! steps, its places are moved until the exact lay-down gives the lowest peak (one place at a
//! time, ever smaller moves), the shortest list within 0.1 points of the best is taken, and
//! its places are rounded as far as that costs nothing. What comes out is laid exactly; it
//! is never worse than deepest-first, which is one of the lists.
//!
//! The search takes the film as evenly warm, rolled, nothing dragging. Where conditions are
//! given, the list found is laid under them as well.

use super::answer::{
    Doing, FilmReport, Invented, Notice, PROGRAM, SCHEMA, SectionReport, ToolReport,
};
use super::job::{Job, told};
use super::order_grid::{Choice, Grid, Ground};
use super::width::recommend_width;
use crate::geometry::sort_by_number;
use crate::laydown::{Bonds, Goal, LayError, Laydown, Order, Patch, Spot, Step, Steps, steps_cost};
use crate::section::Side;
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// Most steps of a list unless told, and at all: two hands remember no more.
pub const MOST_STEPS: usize = 9;
/// The longest list the search takes.
pub const LONGEST_SEARCH: usize = 12;
/// Elongation that a longer list must gain, a plain ratio: 0.1 percentage points.
const WORTH: f64 = 1e-3;
/// What rounding a place may cost, a plain ratio: 0.02 percentage points.
const ROUNDING: f64 = 2e-4;
/// How far a press or turn is put off to see what that costs, mm.
const OFF: f64 = 3.0;
/// Moves of a place in the search, mm: first and last.
const MOVES: (f64, f64) = (2.0, 0.02);
/// Vertices laid in the search of one list, about: a second's work.
const WORK: usize = 4_000_000;

/// One step as data.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StepReport {
    /// What the hands do.
    pub doing: Told<Doing>,
    /// As `--order` takes it.
    pub typed: String,
    /// x of the press, or of where the spread ends; `None`: at the next film that is down.
    pub x_mm: Option<f64>,
}

/// What lists of a length come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct StepCount {
    /// Steps at most.
    pub steps: usize,
    /// Lowest peak found, percent.
    pub peak_pct: f64,
}

/// The order found, laid under the conditions that were given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct UnderConditions {
    /// The conditions.
    pub conditions: Told<Notice>,
    /// Peak of the order found, percent; `None` if it cannot be laid under them.
    pub peak_pct: Option<f64>,
    /// Peak of deepest-first, percent.
    pub deepest_first_pct: Option<f64>,
}

/// The order with the lowest peak.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct OrderSearch {
    /// [`SCHEMA`].
    pub schema: u32,
    /// [`PROGRAM`].
    pub program: String,
    /// The section.
    pub section: SectionReport,
    /// The film class.
    pub film: FilmReport,
    /// The tool.
    pub tool: ToolReport,
    /// Taut length between the bond lines, mm.
    pub bridge_mm: f64,
    /// Unbonded panel left of the left lip (or foot), mm.
    pub reach_left_mm: f64,
    /// Unbonded panel right of the right lip (or foot), mm.
    pub reach_right_mm: f64,
    /// The steps.
    pub steps: Vec<StepReport>,
    /// The steps as `--order` of `check` takes them.
    pub order: String,
    /// Largest local elongation with these steps, percent.
    pub peak_pct: f64,
    /// Largest elongation between the lips, percent.
    pub recess_peak_pct: Option<f64>,
    /// Extra over bridge, percent: below it no order can go.
    pub mean_pct: f64,
    /// Peak less mean, percentage points.
    pub above_mean_points: f64,
    /// Peak with one press or turn 3 mm off, at worst, percent; `None` if none can be.
    pub peak_off_pct: Option<f64>,
    /// Peak of deepest-first at the same bond lines, percent.
    pub deepest_first_pct: Option<f64>,
    /// Peak of edge-first there, percent; `None` if it is not finite.
    pub edge_first_pct: Option<f64>,
    /// What shorter and longer lists come to.
    pub by_steps: Vec<StepCount>,
    /// Lists of steps laid on the way.
    pub lists_tried: usize,
    /// The order found under the conditions given, if there are any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub under: Option<UnderConditions>,
    /// Peak (under the conditions, if given) within the limit of the class.
    pub within_limit: bool,
    /// What was seen, what it does to the answer, which option helps.
    pub warnings: Vec<Told<Notice>>,
    /// What was assumed because it was not said.
    pub assumptions: Vec<Told<Notice>>,
    /// Numbers that decided and are invented.
    pub invented: Vec<Told<Invented>>,
}

/// Which patch a front sets out from.
#[derive(Debug, Clone, Copy, PartialEq)]
enum From {
    Flat(Side),
    /// The press of this number among the moves.
    Press(usize),
}

/// A move of a list under search; places are arc lengths on the bed, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Move {
    Press(f64),
    Spread {
        from: From,
        side: Side,
        /// `None`: on to the next film that is down.
        to: Option<f64>,
    },
}

impl Move {
    fn place(&mut self) -> Option<&mut f64> {
        match self {
            Self::Press(s) => Some(s),
            Self::Spread { to, .. } => to.as_mut(),
        }
    }
}

/// Searches the order with the lowest peak.
///
/// # Arguments
/// * `bonds`: the bond lines; `None`: those of the recommended width, or of the widest
///   bridge if no width is recommended.
/// * `most`: steps of a list at most, 3 to [`LONGEST_SEARCH`].
///
/// # Errors
/// [`LayError`] if the bond lines cannot be.
pub fn search_order(
    job: &Job<'_>,
    bonds: Option<Bonds>,
    most: usize,
) -> Result<OrderSearch, LayError> {
    let (bonds, note) = bonds.map_or_else(|| usual_bonds(job), |b| (b, None));
    let bed = job.bed;
    let deepest = bed.lay(bonds, Order::DeepestFirst)?;
    let most = most.clamp(3, LONGEST_SEARCH);
    let mut search = Search {
        ground: Ground::new(bed, deepest.bonds()),
        tried: 0,
        allowed: f64::INFINITY,
    };
    let (mut moves, by_steps) = search.best(most);
    let plain = job.plain();
    let mut steps = search.rounded(&moves);
    let mut check = plain.check_steps(bonds, &steps, false)?;
    // Rounding, and thinning a long scan out, may cost more than the list gains.
    let first = search.deepest_first();
    let as_typed = Steps::new(steps_of(&first, |s| Spot::of(&search.ground.line, s)));
    if let Ok(typed) = as_typed
        && let Ok(other) = plain.check_steps(bonds, &typed, false)
        && other.peak_pct < check.peak_pct.map(|p| p - 1e-6)
    {
        (moves, steps, check) = (first, typed, other);
    }
    let percent = |lambda: f64| 100.0 * (lambda - 1.0);
    let peak_of = |order| {
        let laid = bed.lay(bonds, order).ok()?;
        laid.peak(bed).map(|p| percent(p.lambda))
    };
    let peak_pct = check.peak_pct.unwrap_or(f64::INFINITY);
    let edge_first_pct = peak_of(Order::EdgeFirst);
    let mut warnings: Vec<Told<Notice>> = note.into_iter().map(Told).collect();
    warnings.extend(check.warnings.iter().cloned());
    if let Some(edge) = edge_first_pct.filter(|e| *e < peak_pct - 100.0 * WORTH) {
        warnings.push(Told(Notice::EdgesLower {
            edge_pct: edge,
            most_steps: most,
        }));
    }
    let under = (!job.is_plain()).then(|| under(job, bonds, &steps, &mut warnings));
    let judged = under.as_ref().map_or(Some(peak_pct), |u| u.peak_pct);
    let off = search.worst_off(&moves);
    Ok(OrderSearch {
        schema: SCHEMA,
        program: PROGRAM.to_owned(),
        steps: reports(&steps, &check.order.steps),
        order: steps.to_string(),
        bridge_mm: check.bridge_mm,
        reach_left_mm: check.reach_left_mm,
        reach_right_mm: check.reach_right_mm,
        peak_pct,
        recess_peak_pct: check.recess_peak_pct,
        mean_pct: check.mean_pct,
        above_mean_points: (peak_pct - check.mean_pct).max(0.0),
        peak_off_pct: off.map(percent),
        deepest_first_pct: deepest.peak(bed).map(|p| percent(p.lambda)),
        edge_first_pct,
        by_steps,
        lists_tried: search.tried,
        within_limit: judged.is_some_and(|p| p <= check.film.limit_pct)
            && (under.is_some() || check.within_limit),
        under,
        section: check.section,
        film: check.film,
        tool: check.tool,
        warnings,
        assumptions: told(job.all_assumptions()),
        invented: told(job.invented()),
    })
}

/// The recommended bond lines, or the widest there are with a note.
fn usual_bonds(job: &Job<'_>) -> (Bonds, Option<Notice>) {
    let recess = job.bed.recess();
    if let Some(r) = recommend_width(job).recommended {
        let bonds = Bonds::with_reach(recess, r.reach_left_mm, r.reach_right_mm);
        return (bonds, None);
    }
    let widest = job
        .bed
        .bonds_for_reach(job.bed.most_reach(job.split), job.split);
    (widest, Some(Notice::ForTheWidest))
}

/// Lays the steps under the conditions given.
fn under(
    job: &Job<'_>,
    bonds: Bonds,
    steps: &Steps,
    warnings: &mut Vec<Told<Notice>>,
) -> UnderConditions {
    let found = job.bed.lay_steps(bonds, steps, &job.conditions());
    if let Err(error) = &found {
        let why = error.message();
        warnings.push(Told(Notice::NotLaidAsHandled { why }));
    }
    let percent =
        |laid: Result<Laydown, LayError>| Some(100.0 * (laid.ok()?.peak(job.bed)?.lambda - 1.0));
    UnderConditions {
        conditions: Told(Notice::Handled(job.handled())),
        peak_pct: percent(found),
        deepest_first_pct: percent(job.lay(bonds, Order::DeepestFirst)),
    }
}

/// Steps as data.
fn reports(steps: &Steps, doing: &[Told<Doing>]) -> Vec<StepReport> {
    let pairs = steps.steps().iter().zip(doing);
    pairs
        .map(|(step, doing)| StepReport {
            doing: doing.clone(),
            typed: step.to_string(),
            x_mm: match step {
                Step::Press(spot)
                | Step::Spread {
                    to: Goal::At(spot), ..
                } => Some(spot.x),
                Step::Spread { .. } => None,
            },
        })
        .collect()
}

/// A search between two bond lines.
struct Search {
    ground: Ground,
    tried: usize,
    /// Peak of deepest-first, a stretch ratio.
    allowed: f64,
}

impl Search {
    /// The best list, and what each length comes to.
    fn best(&mut self, most: usize) -> (Vec<Move>, Vec<StepCount>) {
        let grid = Grid::solve(&self.ground, most);
        let deepest = self.deepest_first();
        let mut lists = vec![deepest];
        let mut last = f64::INFINITY;
        for k in 1..=most {
            let peak = grid.peak(k);
            if peak < last - 0.1 * WORTH {
                last = peak;
                lists.push(list_of(&grid, k));
            }
        }
        let mut done: Vec<(usize, f64, Vec<Move>)> = Vec::new();
        for list in lists {
            let (moves, peak) = self.refine(list);
            done.extend(peak.is_finite().then_some((moves.len(), peak, moves)));
        }
        // Fewest steps first, and of as many the lowest peak.
        sort_by_number(&mut done, |list| list.1);
        sort_by_number(&mut done, |list| list.0 as f64);
        let best = done.iter().map(|d| d.1).fold(f64::INFINITY, f64::min);
        let mut by_steps: Vec<StepCount> = Vec::new();
        for (steps, peak, _) in &done {
            let peak_pct = 100.0 * (peak - 1.0);
            if by_steps.last().is_none_or(|l| peak_pct < l.peak_pct - 1e-9) {
                let steps = *steps;
                by_steps.push(StepCount { steps, peak_pct });
            }
        }
        // Never above deepest-first for the sake of a shorter list.
        self.allowed = self.cost(&self.deepest_first()).0;
        let enough = (best + WORTH).min(self.allowed).max(best);
        let chosen = done.into_iter().find(|d| d.1 <= enough + 1e-12);
        (chosen.map(|d| d.2).unwrap_or_default(), by_steps)
    }

    /// Deepest-first as moves; a side that the pad covers has none.
    fn deepest_first(&self) -> Vec<Move> {
        let (press, half) = (self.ground.press, 0.5 * self.ground.pad);
        let ends = self.ground.ends;
        let mut moves = Vec::new();
        let from = if press <= ends.0 && half <= 0.0 {
            From::Flat(Side::Left)
        } else if press >= ends.1 && half <= 0.0 {
            From::Flat(Side::Right)
        } else {
            moves.push(Move::Press(press));
            From::Press(0)
        };
        let (left, right) = (press - half > ends.0, press + half < ends.1);
        let to = None;
        let spread = |side: Side| Move::Spread { from, side, to };
        moves.extend(left.then(|| spread(Side::Left)));
        moves.extend(right.then(|| spread(Side::Right)));
        moves
    }

    /// Moves places until the peak falls no more; returns the peak, infinite if the list
    /// cannot be laid.
    fn refine(&mut self, mut moves: Vec<Move>) -> (Vec<Move>, f64) {
        let mut cost = self.cost(&moves);
        let vertices = self.ground.line.points().len().max(50);
        let budget = self.tried + (WORK / vertices / moves.len().max(1)).clamp(30, 3000);
        let mut step = MOVES.0;
        while step >= MOVES.1 && self.tried < budget && cost.0.is_finite() {
            let mut better = false;
            for k in 0..moves.len() {
                for way in [-step, step] {
                    let mut other = moves.clone();
                    let Some(place) = other[k].place() else { break };
                    *place = self.snapped(*place + way, step);
                    let there = self.cost(&other);
                    // The peak first; of equal ones what is laid at less stretch elsewhere,
                    // or two places that share the peak would never move one by one.
                    let lower = there.0 < cost.0 - 1e-9;
                    let even = there.0 <= cost.0 + 1e-9 && there.1 < cost.1 - 1e-7;
                    if lower || even {
                        (moves, cost, better) = (other, there, true);
                    }
                }
            }
            if !better {
                step *= 0.5;
            }
        }
        (moves, cost.0)
    }

    /// A place between the bond lines, on a vertex if one is near.
    fn snapped(&self, s: f64, step: f64) -> f64 {
        let lengths = self.ground.line.lengths();
        let s = s.clamp(self.ground.ends.0, self.ground.ends.1);
        let after = lengths.partition_point(|&l| l < s);
        let near = [after.checked_sub(1), Some(after)].into_iter().flatten();
        near.filter_map(|i| lengths.get(i).copied())
            .filter(|l| (l - s).abs() <= 0.25 * step)
            .min_by(|a, b| (a - s).abs().total_cmp(&(b - s).abs()))
            .unwrap_or(s)
    }

    /// Peak (stretch ratio) and the sum of ln lambda after each move.
    fn cost(&mut self, moves: &[Move]) -> (f64, f64) {
        self.tried += 1;
        let spot = |s: f64| Spot::of(&self.ground.line, s);
        self.lay(&steps_of(moves, spot))
            .unwrap_or((f64::INFINITY, 0.0))
    }

    /// The same of steps.
    fn lay(&self, steps: &[Step]) -> Option<(f64, f64)> {
        steps_cost(&self.ground.line, self.ground.pad, self.ground.ends, steps)
    }

    /// The steps with places rounded as far as that costs nothing.
    fn rounded(&mut self, moves: &[Move]) -> Steps {
        let exact = steps_of(moves, |s| Spot::of(&self.ground.line, s));
        let peak = self.lay(&exact).map_or(f64::INFINITY, |c| c.0);
        for unit in [1.0, 0.5, 0.1] {
            let tidy = |v: f64| (v / unit).round() * unit + 0.0;
            let spot = |s: f64| {
                let Spot { x, y } = Spot::of(&self.ground.line, s);
                // On a vertical wall x stays what it is.
                let x = if y.is_some() { x } else { hundredths(tidy(x)) };
                let y = y.map(|y| hundredths(tidy(y)));
                Spot { x, y }
            };
            let steps = steps_of(moves, spot);
            self.tried += 1;
            if let Some((there, _)) = self.lay(&steps)
                && there <= (peak + ROUNDING).min(self.allowed).max(peak) + 1e-12
                && let Ok(steps) = Steps::new(steps)
            {
                return steps;
            }
        }
        Steps::new(exact).unwrap_or_else(|_| unreachable!("a list found has a step"))
    }

    /// The largest peak with one place off.
    fn worst_off(&mut self, moves: &[Move]) -> Option<f64> {
        let mut worst: Option<f64> = None;
        for k in 0..moves.len() {
            for way in [-OFF, OFF] {
                let mut other = moves.to_vec();
                let Some(place) = other[k].place() else { break };
                *place += way;
                let peak = Some(self.cost(&other).0).filter(|peak| peak.is_finite());
                worst = peak
                    .map(|peak| worst.map_or(peak, |w| w.max(peak)))
                    .or(worst);
            }
        }
        worst
    }
}

/// Without the tail of a binary fraction.
fn hundredths(v: f64) -> f64 {
    (100.0 * v).round() / 100.0 + 0.0
}

/// The moves as steps.
fn steps_of(moves: &[Move], spot: impl Fn(f64) -> Spot) -> Vec<Step> {
    let mut last = None;
    let mut steps = Vec::with_capacity(moves.len());
    for (k, by) in moves.iter().enumerate() {
        steps.push(match *by {
            Move::Press(s) => {
                last = Some(k);
                Step::Press(spot(s))
            }
            Move::Spread { from, side, to } => Step::Spread {
                to: to.map_or(Goal::Next(side), |s| Goal::At(spot(s))),
                from: match from {
                    From::Flat(side) => Patch::Flat(side),
                    From::Press(k) if last == Some(k) => Patch::Pressed,
                    From::Press(k) => match moves[k] {
                        Move::Press(s) => Patch::At(spot(s)),
                        Move::Spread { .. } => Patch::Pressed,
                    },
                },
            },
        });
    }
    steps
}

/// The list of moves that the grid found best with at most `k` moves.
fn list_of(grid: &Grid, k: usize) -> Vec<Move> {
    let mut moves = Vec::new();
    let flats = (From::Flat(Side::Left), From::Flat(Side::Right));
    unfold(grid, (0, grid.places.len() - 1), k, flats, &mut moves);
    moves
}

/// Appends the moves of a span between two patches.
fn unfold(
    grid: &Grid,
    (i, j): (usize, usize),
    k: usize,
    (left, right): (From, From),
    moves: &mut Vec<Move>,
) {
    if i >= j {
        return;
    }
    let front = |from: From, side: Side, to: Option<usize>| Move::Spread {
        from,
        side,
        to: to.map(|c| grid.places[c]),
    };
    let age = |from: From| match from {
        From::Flat(_) => 0,
        From::Press(k) => k + 1,
    };
    match grid.choice(i, j, k) {
        Choice::None => {}
        choice @ (Choice::FromLeft | Choice::FromRight) => {
            // Where both come to the same, from the patch pressed later: the hand is there.
            let alike = (grid.gain(i, j) - grid.gain(j, i)).abs() < 1e-6;
            let from_left = if alike {
                age(left) > age(right)
            } else {
                choice == Choice::FromLeft
            };
            let (from, side) = if from_left {
                (left, Side::Right)
            } else {
                (right, Side::Left)
            };
            moves.push(front(from, side, None));
        }
        Choice::LeftTo(c) => {
            moves.push(front(left, Side::Right, Some(c)));
            unfold(grid, (c, j), k - 1, (left, right), moves);
        }
        Choice::RightTo(c) => {
            moves.push(front(right, Side::Left, Some(c)));
            unfold(grid, (i, c), k - 1, (left, right), moves);
        }
        Choice::Press(p, q, a) => {
            let here = From::Press(moves.len());
            moves.push(Move::Press(grid.middle((i, j), (p, q))));
            unfold(grid, (i, p), a, (left, here), moves);
            unfold(grid, (q, j), k - 1 - a, (here, right), moves);
        }
    }
}

//! How far a width can be off because the readings err, and whether that is too far to say
//! one.
//!
//! Given is a job on a section that was fitted to noisy readings. Noise as found in them is
//! redrawn on the fit; each draw is fitted, its recess found in the same way, and its width
//! looked for: deepest first, even heat, nothing dragging, the same film and tool, since a
//! closed form answers that in microseconds. With warmth, friction or drag the widths of the
//! draws are taken to move in proportion to the answer's.
//!
//! The range is two standard deviations and 0.5 mm to either side of the answer. Too rough:
//! a draw is of another kind, or has no width where the fit has one, or the standard
//! deviation is over 5 mm, a step of the tape.
//!
//! Guaranteed: the same readings give the same range on every machine to rounding. Not in
//! it: what the fit cannot see, such as smooth waviness or a tool's play.

use super::answer::{DecidedBy, Notice, Recommendation, Scatter};
use super::costs::plain_width;
use super::draws::same_recess;
use super::job::Job;
use super::pressing::press_in;

use super::tape_step::WIDTH_STEP;
use crate::geometry::Point;
use crate::laydown::Bed;
use crate::section::Recess;
use crate::survey::Reading;
use crate::told::Told;

/// Seed of the noise that is redrawn.
const SEED: u64 = 0x7363_6174;
/// Draws: their standard deviation is known to a sixth. More: slower by the cost of a fit
/// each; fewer: the range misses the truth more often.
const DRAWS: usize = 16;
/// Allowance beyond two standard deviations, mm, of a width and of a lip: what the fit
/// leaves out because it does not pay.
const BESIDE: (f64, f64) = (0.5, 0.1);
/// Standard deviation of the width, mm, from which no width is said: a step of the tape.
/// Less: scans that are right nine times in ten are refused; more: the tape goes anywhere.
const MOST: f64 = WIDTH_STEP;

/// What a section says about one width.
struct Drawn {
    lips: (f64, f64),
    width: Option<f64>,
}

impl Scatter {
    /// Redraws the noise of a job's readings; `None` where none was fitted.
    ///
    /// # Arguments
    /// * `width`: the answer's unrounded width, mm; `None`: that of the plain job.
    ///
    /// # Accuracy
    /// Of 162 scans with planted noise, alike over 3 mm in half of them, the range held the
    /// true width in 154: `tests/noise.rs` prints the share.
    pub fn of(job: &Job<'_>, width: Option<f64>) -> Option<Self> {
        let recess = job.bed.recess();
        let reading = recess.section().reading().filter(|r| r.fitted)?;
        let fit = Drawn::of(job, recess);
        let all: Vec<Option<Drawn>> = reading
            .redraw(SEED, DRAWS)
            .map(|points| drawn(job, &points))
            .collect();
        Some(Self::between(reading, &fit, &all, width.or(fit.width)))
    }

    fn between(reading: &Reading, fit: &Drawn, all: &[Option<Drawn>], width: Option<f64>) -> Self {
        let alike: Vec<&Drawn> = all.iter().flatten().collect();
        let deviation = |off: &dyn Fn(&Drawn) -> Option<f64>| -> f64 {
            let squares: Vec<f64> = alike.iter().filter_map(|d| off(d)).map(|o| o * o).collect();
            (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt()
        };
        let left = deviation(&|d| Some(d.lips.0 - fit.lips.0));
        let right = deviation(&|d| Some(d.lips.1 - fit.lips.1));
        // Other handling needs another width, and moves it in proportion.
        let scale = match (width, fit.width) {
            (Some(asked), Some(plain)) => (asked / plain).max(1.0),
            _ => 1.0,
        };
        let moved = scale * deviation(&|d| Some(d.width? - fit.width?));
        let half = 2.0 * moved + BESIDE.0;
        let without_width = match fit.width {
            Some(_) => alike.iter().filter(|d| d.width.is_none()).count(),
            None => 0,
        };
        let kind_changes = all.len() - alike.len();
        Self {
            noise_mm: reading.noise_mm,
            noise_over_mm: reading.noise_over_mm,
            draws: all.len(),
            from_mm: width.map(|w| (w - half).max(0.0)),
            to_mm: width.map(|w| w + half),
            lips_mm: 2.0 * left.max(right) + BESIDE.1,
            kind_changes,
            without_width,
            too_rough: kind_changes > 0 || without_width > 0 || moved > MOST,
        }
    }
}

impl Drawn {
    /// Lips and the width of the plain job on its bed.
    fn of(job: &Job<'_>, recess: &Recess) -> Self {
        let width = plain_width(&job.plain());
        let (left, right) = recess.outer();
        Self {
            lips: (recess.panel().at(left).x, recess.panel().at(right).x),
            width,
        }
    }
}

/// A draw with the same survey, film and tool; `None` if it is of another kind.
fn drawn(job: &Job<'_>, points: &[Point]) -> Option<Drawn> {
    let known = job.bed.recess();
    let recess = same_recess(known, points)?;
    let mut bed = Bed::new(&recess, job.bed.pad(), job.tool.tip_radius());
    if known.survey().press_offset != 0.0 {
        let at = press_in(job.bed, &recess);
        bed = bed.pressed_at(at);
    }
    Some(Drawn::of(&Job { bed: &bed, ..*job }, &recess))
}

/// The answer with its scatter; without a width where the readings are too rough.
pub(super) fn scattered(job: &Job<'_>, mut answer: Recommendation) -> Recommendation {
    let Some(scatter) = Scatter::of(job, answer.unrounded_bridge_mm) else {
        return answer;
    };
    if scatter.too_rough {
        answer.nominal_bridge_mm = None;
        answer.unrounded_bridge_mm = None;
        answer.assured_bridge_mm = None;
        answer.range = None;
        answer.recommended = None;
        answer.no_width = None;
        answer.feasible.clear();
        answer.alternatives.clear();
        answer.warmth.clear();
        answer.decided_by = DecidedBy::None;
        answer.reason = Told(Notice::Scatter(scatter.clone()));
        answer.warnings.push(answer.reason.clone());
        for order in &mut answer.orders {
            order.within_limit = false;
        }
    }
    answer.scatter = Some(scatter);
    answer
}

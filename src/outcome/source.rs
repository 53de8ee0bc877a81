//! Where the film came from: positions on the flat film against places on the panel.
//!
//! Film is counted in mm of the unstretched film from the left bond line, panel in mm along
//! the panel (as the tool follows it) from there. Laid without any stretch, a mark at 100 mm
//! of film would lie at 100 mm of panel; the shift is how much further along it lands. It
//! never falls from left to right between two bond lines: from nothing at the left one to
//! the extra at the right one, and the difference of two shifts is how far two marks are
//! drawn apart. Ink on film that is stretched by lambda covers 1/lambda of what it covered
//! (plane strain: nothing is lost along the channel), so it looks lighter by that.

use crate::geometry::sort_by_number;
use crate::laydown::{Bed, Laydown};
use crate::section::Mark;
use serde::{Deserialize, Serialize};

/// Distance of two rows on the flat film, mm.
pub const TICK: f64 = 5.0;
/// Rows and landmarks nearer than this are one, mm.
const SAME: f64 = 1e-9;
/// Elongation from which film is called stretched on the ruler, percent: there, a word of
/// 100 mm grows by 1 mm. A choice, not a finding.
const STRETCHED: f64 = 1.0;
/// Spacing at which the stretched zone is looked for, mm.
const SPACING: f64 = 0.25;

/// A named place along the film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceMark {
    /// The left bond line.
    LeftBond,
    /// The right bond line.
    RightBond,
    /// A place of the recess.
    #[serde(untagged)]
    Of(Mark),
}

/// One position on the flat film and where it went.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SourceRow {
    /// What is there, if it has a name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<SourceMark>,
    /// Position on the flat film, mm from the left bond line.
    pub film_mm: f64,
    /// Place on the panel, mm along it from the left bond line.
    pub panel_mm: f64,
    /// Abscissa of that place, mm.
    pub x_mm: f64,
    /// Ordinate of that place, mm.
    pub y_mm: f64,
    /// Elongation there, percent; of two at a jump the larger.
    pub elongation_pct: f64,
    /// How much further along the panel than unstretched film it lies, mm.
    pub shift_mm: f64,
    /// Ink left on the area, percent: 100 over the stretch ratio.
    pub ink_pct: f64,
}

/// Where the film of a lay-down came from.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Source {
    /// Unstretched film that ends up between the lips (a step: lip and foot), mm.
    pub film_in_recess_mm: f64,
    /// How much more that is than lay over the recess before pressing (a step: as far from
    /// the lower bond line as the foot is), mm: it came in from the flats.
    pub drawn_in_mm: f64,
    /// Largest shift, mm.
    pub largest_shift_mm: f64,
    /// Least ink left anywhere, percent.
    pub least_ink_pct: f64,
    /// Runs of the flat film that are stretched by more than `stretched_over_pct`, mm from
    /// the left bond line.
    pub stretched_mm: Vec<[f64; 2]>,
    /// Elongation from which film is counted as stretched, percent.
    pub stretched_over_pct: f64,
    /// Every 5 mm of film, and the landmarks, left to right.
    pub rows: Vec<SourceRow>,
}

/// Finds where the film came from; `None` if the peak is not finite.
pub fn film_source(laid: &Laydown, bed: &Bed<'_>) -> Option<Source> {
    let (first, last) = laid.film_ends().filter(|_| laid.is_finite())?;
    let (left, right) = laid.bonds();
    let mut places: Vec<(f64, f64, Vec<SourceMark>)> = Vec::new();
    let mut film = (first / TICK).ceil() * TICK;
    while film <= last {
        places.push((film, laid.place_of(film)?, Vec::new()));
        film += TICK;
    }
    let mut named: Vec<(f64, SourceMark)> = landmarks(laid, bed);
    sort_by_number(&mut named, |place| place.0);
    for (s, name) in named {
        let film = laid.film(s)?;
        let mut all = places.iter_mut();
        match all.find(|p| (p.0 - film).abs() <= SAME || (p.1 - s).abs() <= SAME) {
            Some((.., marks)) if !marks.is_empty() => marks.push(name),
            Some(place) => *place = (film, s, vec![name]),
            None => places.push((film, s, vec![name])),
        }
    }
    sort_by_number(&mut places, |place| place.0);
    let rows = places.into_iter().map(|place| row(laid, bed, place));
    let rows = rows.collect::<Option<Vec<_>>>()?;
    let lips = (bed.lips().0.max(left), bed.lips().1.min(right));
    let inside = laid.film(lips.1)? - laid.film(lips.0)?;
    let before = bed.mouth_film(left, right);
    let shifts = rows.iter().map(|r| r.shift_mm);
    Some(Source {
        film_in_recess_mm: inside,
        drawn_in_mm: inside - (before.1 - before.0),
        largest_shift_mm: shifts.fold(0.0, |a, b| if b.abs() > f64::abs(a) { b } else { a }),
        least_ink_pct: 100.0 / laid.peak(bed)?.lambda,
        stretched_mm: stretched(laid, bed),
        stretched_over_pct: STRETCHED,
        rows,
    })
}

/// The named places, arc lengths on the bed.
fn landmarks(laid: &Laydown, bed: &Bed<'_>) -> Vec<(f64, SourceMark)> {
    let (left, right) = laid.bonds();
    let mut all = vec![(left, SourceMark::LeftBond), (right, SourceMark::RightBond)];
    for mark in bed.recess().landmarks() {
        let s = bed.line().snap(bed.locate(mark.s_mm));
        let known = mark.name.is_corner() || mark.name == Mark::Press;
        if known && s >= left && s <= right {
            all.push((s, SourceMark::Of(mark.name)));
        }
    }
    all
}

/// One row.
fn row(
    laid: &Laydown,
    bed: &Bed<'_>,
    (film, s, marks): (f64, f64, Vec<SourceMark>),
) -> Option<SourceRow> {
    let left = laid.bonds().0;
    let beside = laid.lambda((s - SAME).max(left))?;
    let lambda = laid.lambda(s)?.max(beside);
    let point = bed.line().at(s);
    Some(SourceRow {
        marks,
        film_mm: film,
        panel_mm: s - left,
        x_mm: point.x,
        y_mm: point.y,
        elongation_pct: 100.0 * (lambda - 1.0),
        shift_mm: s - left - film,
        ink_pct: 100.0 / lambda,
    })
}

/// Runs of film stretched by more than [`STRETCHED`].
fn stretched(laid: &Laydown, bed: &Bed<'_>) -> Vec<[f64; 2]> {
    let over = |lambda: f64| 100.0 * (lambda - 1.0) > STRETCHED;
    let mut runs: Vec<[f64; 2]> = Vec::new();
    for pair in laid.profile(bed, SPACING).windows(2) {
        if !(over(pair[0].lambda) && over(pair[1].lambda)) {
            continue;
        }
        match runs.last_mut() {
            Some(run) if pair[0].film - run[1] <= SPACING => run[1] = pair[1].film,
            _ => runs.push([pair[0].film, pair[1].film]),
        }
    }
    runs.retain(|r| r[1] - r[0] > SAME);
    runs
}

impl Source {
    /// The rows as CSV: `film_mm,panel_mm,x_mm,y_mm,elongation_pct,shift_mm,ink_pct`.
    #[must_use]
    pub fn to_csv(&self) -> String {
        let mut text = "film_mm,panel_mm,x_mm,y_mm,elongation_pct,shift_mm,ink_pct\n".to_owned();
        for r in &self.rows {
            let cells = [
                r.film_mm,
                r.panel_mm,
                r.x_mm,
                r.y_mm,
                r.elongation_pct,
                r.shift_mm,
                r.ink_pct,
            ]
            // Rounded first, so that a speck below 0 is no negative zero.
            .map(|v| format!("{:.4}", (v * 1e4).round() / 1e4 + 0.0));
            text.push_str(&cells.join(","));
            text.push('\n');
        }
        text
    }
}

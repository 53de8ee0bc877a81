//! What a row costs, a metre of recess; see the parent for the formula.

use super::Site;
use super::class::Class;
use super::report::{ComparisonRow, Verdict};
use crate::advice::answer::Notice;
use crate::film::FilmClass;
use crate::laydown::Bonds;
use crate::told::Told;

/// Gives every row that does its cost, all for the same panel; returns that panel's arc
/// length, mm.
pub(super) fn charge(site: &Site<'_>, found: &mut [Class<'_>], rate: Option<f64>) -> Option<f64> {
    let counts = |v: Verdict| matches!(v, Verdict::Does | Verdict::OnCondition);
    let lines: Vec<Bonds> = found
        .iter()
        .flat_map(|c| &c.rows)
        .filter(|r| counts(r.0.verdict))
        .filter_map(|r| r.1)
        .collect();
    if lines.is_empty() {
        return None;
    }
    let left = lines.iter().map(|b| b.left).fold(f64::INFINITY, f64::min);
    let rights = lines.iter().map(|b| b.right);
    let right = rights.fold(f64::NEG_INFINITY, f64::max);
    let bed = site.bed;
    let (left, right) = (bed.locate(left), bed.locate(right));
    let (straight, covered) = (bed.taut(left, right), right - left);
    for class in found {
        let film = &class.candidate.film;
        for (row, _) in &mut class.rows {
            if !counts(row.verdict) {
                continue;
            }
            let one_way = row.verdict == Verdict::OnCondition;
            let width = if one_way { covered } else { straight };
            row.film_mm = Some(width);
            match cost(film, row, width, rate) {
                Ok(cost) => row.cost_per_m = Some(cost),
                Err(why) => row.cost_unknown = Some(Told(why)),
            }
        }
    }
    Some(covered)
}

/// Cost of a row, a metre of recess, or what is missing for it.
fn cost(
    film: &FilmClass,
    row: &ComparisonRow,
    width: f64,
    rate: Option<f64>,
) -> Result<f64, Notice> {
    let untimed = rate.is_some() && row.minutes_per_m.is_none();
    match row.price_per_m2 {
        Some(price) if !untimed => {
            Ok(width / 1000.0 * price
                + rate.unwrap_or(0.0) * row.minutes_per_m.unwrap_or(0.0) / 60.0)
        }
        price => Err(Notice::CostNotKnown {
            film: film.name.clone(),
            price: price.is_none(),
            minutes: row.order.filter(|_| untimed),
        }),
    }
}

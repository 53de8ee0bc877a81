//! The main job for tape readings: one answer for all the shapes that fit them.

use super::answer::{FamilyReport, Recommendation};
use crate::section::{Section, TapeFamily};
use crate::told::Told;

/// Answers for the member of a family that needs most, with the range over all; returns
/// which member that is, too.
///
/// # Arguments
/// * `family`: the shapes that fit the readings.
/// * `answer`: the main job for one of them: as it is, and, where `true`, with its width
///   assured; that is asked for the one that needs most.
///
/// # Errors
/// The first error of `answer`.
pub fn recommend_family<E>(
    family: &TapeFamily,
    mut answer: impl FnMut(Section, bool) -> Result<Recommendation, E>,
) -> Result<(usize, Recommendation), E> {
    let mut answers = Vec::with_capacity(family.members().len());
    for member in family.members() {
        answers.push(answer(member.section.clone(), false)?);
    }
    let unrounded: Vec<Option<f64>> = answers.iter().map(|a| a.unrounded_bridge_mm).collect();
    let need = |i: usize| unrounded[i].unwrap_or(f64::INFINITY);
    let worst = (0..answers.len()).max_by(|&a, &b| need(a).total_cmp(&need(b)));
    let worst = worst.unwrap_or_default();
    let all: Option<Vec<f64>> = answers.iter().map(|a| a.nominal_bridge_mm).collect();
    let range = all.map(|w| {
        let least = w.iter().copied().fold(f64::INFINITY, f64::min);
        (least, w.iter().copied().fold(0.0, f64::max))
    });
    let mut chosen = answer(family.members()[worst].section.clone(), true)?;
    chosen.family = Some(FamilyReport {
        from_mm: range.map(|r| r.0),
        to_mm: range.map(|r| r.1),
        members: family.members().len(),
        answered_for: Told(family.members()[worst].shape()),
        narrow_by: family.narrow_by(&unrounded).map(Told),
    });
    Ok((worst, chosen))
}

//! Deepest-first and middle push: a press, and from it a front out to each bond line.
//!
//! Press and both spans have one stretch, their lengths and the pad over all film; then
//! neither front knows of the other. One pass over the vertices, and free lengths come
//! with it ([`super::spread`]).

use super::bed::{Bed, Bridged};
use super::conditions::{LayError, Zoned};
use super::march;
use super::piece::{Made, Piece};
use super::program::Program;
use super::spread::spread;
use crate::section::Side;

/// Lays bridged film at the press of the bed, or at that of steps, where it notes how far
/// the free spans are stretched; `zoned` where the closed form does not hold.
pub(super) fn lay(
    film: &Bridged<'_>,
    program: Option<&mut Program>,
    zoned: Option<&Zoned<'_>>,
) -> Result<Made, LayError> {
    let typed = program.as_ref().and_then(|p| p.first_pad());
    let pad = typed.unwrap_or_else(|| film.pad());
    let made = match zoned {
        None => closed(film, pad),
        Some(zoned) => marched(film, pad, zoned)?,
    };
    // Each front sets out at the stretch of its span, whichever is sent first.
    let later = program
        .into_iter()
        .flat_map(|p| p.stages.iter_mut().skip(1));
    for gap in later.flat_map(|stage| &mut stage.before) {
        let right = gap.a >= pad.1;
        let mut pieces = made.pieces.iter();
        let beside = if right {
            pieces.find(|p| p.to > gap.a)
        } else {
            pieces.rfind(|p| p.from < gap.b)
        };
        let read = |p: &Piece| p.read(&[], if right { gap.a } else { gap.b }).0.ln();
        gap.ln = beside.map_or(0.0, read);
    }
    Ok(made)
}

/// By the closed form: film of one temperature with nothing dragging, rolled down.
fn closed(film: &Bridged<'_>, (p0, p1): (f64, f64)) -> Made {
    let ((left, right), taut) = (film.bonds, film.taut);
    let line = film.bed.line();
    let mut pieces = Vec::with_capacity(line.facet(right) - line.facet(left) + 8);
    let mut free = (0.0, 0.0);
    // A front reports from the bond line back to the press: left to right here ...
    if p0 > left {
        free.0 = spread(&line.between(p0, left), false, |f| {
            pieces.push(Piece::out(p0, Side::Left, f));
        });
    }
    let middle = pieces.len();
    if p1 > p0 {
        pieces.push(Piece::even((p0, p1), 0.0, (0.0, 0.0)));
    }
    let outer = pieces.len();
    // ... and right to left here.
    if right > p1 {
        free.1 = spread(&line.between(p1, right), true, |f| {
            pieces.push(Piece::out(p1, Side::Right, f));
        });
        pieces[outer..].reverse();
    }
    let lambda = (free.0 + (p1 - p0) + free.1) / taut;
    let base = lambda.ln();
    let pressed = (free.0 / lambda, taut - free.1 / lambda);
    for pad in &mut pieces[middle..outer] {
        (pad.base, pad.film) = (base, pressed);
    }
    // From the press outwards: what a front has gained, and the film it has left.
    let (mut ln, mut at) = (base, pressed.0);
    for p in pieces[..middle].iter_mut().rev() {
        let end = p.finish(ln, |left_over| (left_over, at));
        (ln, at) = (end, p.film.0);
    }
    let (mut ln, mut at) = (base, pressed.1);
    for p in &mut pieces[outer..] {
        let end = p.finish(ln, |left_over| (at, taut - left_over));
        (ln, at) = (end, p.film.1);
    }
    Made {
        pieces,
        pad: (p0, p1),
        ..Made::default()
    }
}

/// By the general march.
fn marched(film: &Bridged<'_>, pad: (f64, f64), zoned: &Zoned<'_>) -> Result<Made, LayError> {
    let (left, right) = film.bonds;
    let chain = |from: f64, to: f64| {
        if (to - from).abs() > 0.0 {
            film.bed.line().between(from, to)
        } else {
            Vec::new()
        }
    };
    let chains = [chain(pad.0, left), chain(pad.1, right)];
    let chains = [&chains[0][..], &chains[1][..]];
    let marched = march::outwards(chains, pad, film.taut, &zoned.zones, zoned.conditions)?;
    Ok(Made {
        pieces: marched.pieces,
        pad,
        march: Some(marched.report),
        ..Made::default()
    })
}

impl Bed<'_> {
    /// Peak and recess peak (stretch ratios) of deepest-first, without keeping the pieces.
    pub(crate) fn deepest_first_peaks(&self, left: f64, right: f64) -> (f64, f64) {
        self.peaks_pressed_at(self.press(), left, right)
    }

    /// The same, pressed at another place between the bond lines.
    pub(crate) fn peaks_pressed_at(&self, press: f64, left: f64, right: f64) -> (f64, f64) {
        let (p0, p1) = self.under_pad(press, left, right);
        let lips = self.lips();
        let mut most = (0.0_f64, 0.0_f64);
        let mut length = p1 - p0;
        for (from, to, lip) in [(p0, left, p0 - lips.0), (p1, right, lips.1 - p1)] {
            if (to - from).abs() <= 0.0 {
                continue;
            }
            let (mut all, mut within) = (0.0, 0.0);
            length += spread(&self.line().between(from, to), to > from, |f| {
                all += f.gain;
                if f.to <= lip {
                    within += f.gain;
                } else if f.from < lip {
                    within += f.gain_to(lip);
                }
            });
            most = (most.0.max(all), most.1.max(within));
        }
        let lambda = length / self.taut(left, right);
        (lambda * most.0.exp(), lambda * most.1.exp())
    }
}

//! Edge-first: the flats go down as they lie, then both edges close in on the press at
//! once, each at a rate proportional to its way ([`super::close`]), and what is left goes
//! down in one last press.
//!
//! Film closing in has one stretch all over; where the taut film passes above a lip it
//! starts at chord over film. A press of no width into a sharp corner has no finite answer.

use super::bed::{Bed, Bridged};
use super::close::{RIDGE_TURN, Window, close};
use super::conditions::{LayError, Laying, Zoned};
use super::march;
use super::piece::{Law, Made, Piece};
use crate::geometry::{hull, path_length};
use crate::section::Side;

/// Film closing in: the flats are down.
struct Edges {
    /// Where the fronts set out, arc lengths, mm, and the panel from there to the press.
    starts: (f64, f64),
    reach: (f64, f64),
    press: f64,
    /// Film between the fronts, positions, mm.
    film: (f64, f64),
    /// What is laid on the left and on the right flat.
    flats: (Vec<Piece>, Vec<Piece>),
    /// Intervals of the closing window, from the press outwards, and what is open at the
    /// last press.
    windows: Vec<Window>,
    open: f64,
}

impl Edges {
    /// Lays the flats; `None` if the peak is not finite.
    fn new(film: &Bridged<'_>) -> Option<Self> {
        let (bed, (left, right)) = (film.bed, film.bonds);
        let (press, starts) = (bed.press(), bed.edge_starts(left, right));
        let mut at = 0.0;
        let to_left = rest(bed, left, starts.0, &mut at);
        let laid_left = at;
        let mut to_right = rest(bed, starts.1, right, &mut at);
        let span = film.taut - at;
        for piece in &mut to_right {
            piece.film = (piece.film.0 + span, piece.film.1 + span);
        }
        let (windows, open) = close(bed.line(), press, starts, bed.pad())?;
        Some(Self {
            starts,
            reach: (press - starts.0, starts.1 - press),
            press,
            film: (laid_left, laid_left + span),
            flats: (to_left, to_right),
            windows,
            open,
        })
    }

    /// The panel open at an opening, arc lengths, mm.
    fn panel(&self, y: f64) -> (f64, f64) {
        (self.press - y * self.reach.0, self.press + y * self.reach.1)
    }

    /// All film: these pieces and the right flat.
    fn made(self, mut pieces: Vec<Piece>) -> Made {
        let pad = self.panel(self.open);
        pieces.extend(self.flats.1);
        Made {
            pieces,
            windows: self.windows,
            pad,
            march: None,
        }
    }
}

/// Lays bridged film of one temperature, rolled down; `None` if the peak is not finite.
pub(super) fn lay(film: &Bridged<'_>) -> Option<Made> {
    closed(film, Edges::new(film)?)
}

/// Closes in by the closed form.
fn closed(film: &Bridged<'_>, mut edges: Edges) -> Option<Made> {
    let bed = film.bed;
    // Free film between the starts, a little stretched where a lip lies below it.
    let taut = bed.taut(edges.starts.0, edges.starts.1);
    let (mut from, mut to) = edges.film;
    let mut ln = (taut / (to - from)).ln();
    if ln.abs() < 1e-12 {
        ln = 0.0;
    }
    let reach = edges.reach;
    let share = reach.0 / (reach.0 + reach.1);
    let mut pieces = std::mem::take(&mut edges.flats.0);
    let count = edges.windows.len();
    pieces.reserve(2 * count + 1 + edges.flats.1.len());
    let mut inner = Vec::with_capacity(count);
    for (k, w) in edges.windows.iter().enumerate().rev() {
        let laid = w.free(w.y1) / ln.exp() - w.free(w.y0) / (ln + w.gain).exp();
        let next = (from + laid * share, to - laid * (1.0 - share));
        let (out, end) = (edges.panel(w.y1), edges.panel(w.y0));
        let piece = |side, ends, film| Piece::new(side, ends, Law::In(k), ln, film);
        if reach.0 > 0.0 {
            pieces.push(piece(Side::Left, (out.0, end.0), (from, next.0)));
        }
        if reach.1 > 0.0 {
            inner.push(piece(Side::Right, (end.1, out.1), (next.1, to)));
        }
        (from, to) = next;
        ln += w.gain;
    }
    // More than a double holds: no finite peak either.
    if !ln.exp().is_finite() {
        return None;
    }
    if edges.open > 0.0 {
        // Panel left over film left; the film is the free span over its stretch, which
        // keeps its digits where a difference of film positions would not.
        let free = edges.windows.first().map_or(taut, |w| w.free(w.y0));
        let pad = edges.panel(edges.open);
        let base = ln + ((pad.1 - pad.0) / free).ln();
        pieces.push(Piece::even(pad, base, (from, to)));
    }
    pieces.extend(inner.into_iter().rev());
    Some(edges.made(pieces))
}

/// The same under conditions: `None` if the peak is not finite.
pub(super) fn marched(film: &Bridged<'_>, zoned: &Zoned<'_>) -> Result<Option<Made>, LayError> {
    let Some(mut edges) = Edges::new(film) else {
        return Ok(None);
    };
    let ridge = |w: &Window| w.ridge_turn() > RIDGE_TURN;
    if zoned.conditions.is_held() && edges.windows.iter().any(ridge) {
        return Err(LayError::Ridge);
    }
    if zoned.zones.len() <= 1 && zoned.conditions.laying == Laying::Rolled {
        // Nothing rests beyond the fronts, so that friction and drag do nothing.
        return Ok(closed(film, edges));
    }
    let closing = march::Closing {
        windows: &edges.windows,
        press: edges.press,
        reach: edges.reach,
        film: edges.film,
    };
    let marched = march::inwards(closing, &zoned.zones, zoned.conditions)?;
    let mut pieces = std::mem::take(&mut edges.flats.0);
    pieces.extend(marched.pieces);
    Ok(Some(Made {
        march: Some(marched.report),
        ..edges.made(pieces)
    }))
}

/// Lays what rests on the panel between two places; each pocket goes down at once at
/// arc over chord. `at`: film used so far, mm; moved on by what is laid here.
fn rest(bed: &Bed<'_>, from: f64, to: f64, at: &mut f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    if to - from <= 0.0 {
        return pieces;
    }
    let chain = bed.line().between(from, to);
    let corners = hull(&chain, 0.0);
    let mut s = from;
    for w in corners.windows(2) {
        let arc = path_length(&chain[w[0]..=w[1]]);
        let chord = (chain[w[1]] - chain[w[0]]).norm();
        let base = if arc - chord > 1e-13 * arc {
            (arc / chord).ln()
        } else {
            0.0
        };
        let end = if w[1] == chain.len() - 1 { to } else { s + arc };
        pieces.push(Piece::even((s, end), base, (*at, *at + chord)));
        s = end;
        *at += chord;
    }
    pieces
}

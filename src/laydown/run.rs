//! A list of steps carried out: presses and spreads, one after the other.
//!
//! The state is the list of free spans between patches of film that is down. In a span from
//! a to b lies unstretched film m, taut at lambda = L(a, b)/m. A press on the pad from p0 to
//! p1 lays the film under it and splits the span, everything at one stretch,
//!
//! ```text
//! lambda' = (L(a, p0) + (p1 - p0) + L(p1, b)) / m ,
//! ```
//!
//! film going to the three parts in proportion. A spread is one front against a fixed far
//! end, the closed form of [`super::spread`], stopped where it is told to; the film ahead
//! of it afterwards is L/lambda. Spans know nothing of each other: the order of moves in
//! different spans does not matter.
//!
//! Guarantee: as the closed form, 1e-13 absolute in each gain. Source: derived for this
//! project.

use super::bed::Bridged;
use super::conditions::{LayError, MarchReport, Zoned};
use super::march::{March, rests_at};
use super::open::Open;
use super::piece::{Made, Piece};
use super::program::{Act, Ground, Program};
use super::spread::{Front, spread};
use super::steps::Step;
use crate::geometry::{Polyline, sort_by_number, taut_length};
use crate::section::Side;

/// Steps under way.
struct Run<'a> {
    line: &'a Polyline,
    bonds: (f64, f64),
    open: Vec<Open>,
    /// Largest ln lambda laid so far, and the sum of those after each step.
    most: f64,
    sum: f64,
    /// Pieces laid so far, if they are kept.
    pieces: Option<Vec<Piece>>,
    /// Set where the closed form does not hold.
    march: Option<March<'a>>,
}

/// Lays bridged film by a list of steps, and notes in it how far the free spans are
/// stretched; `zoned` where the closed form does not hold.
pub(super) fn lay<'a>(
    film: &Bridged<'a>,
    program: &mut Program,
    zoned: Option<Zoned<'a>>,
) -> Result<Made, LayError> {
    let mut run = Run::new(film.bed.line(), film.bonds, film.taut);
    run.pieces = Some(Vec::new());
    if let Some(Zoned { zones, conditions }) = zoned {
        for open in &mut run.open {
            open.rested = rests_at(run.line, film.bonds);
        }
        run.march = Some(March {
            zones,
            conditions,
            report: MarchReport::default(),
        });
    }
    for stage in &mut program.stages {
        for (gap, open) in stage.before.iter_mut().zip(&run.open) {
            gap.ln = open.ln;
        }
        run.act(stage.act)?;
    }
    let mut pieces = run.pieces.unwrap_or_default();
    sort_by_number(&mut pieces, |piece| piece.from);
    Ok(Made {
        pieces,
        pad: film.pad(),
        march: run.march.map(|m| m.report),
        ..Made::default()
    })
}

/// Largest stretch ratio of a custom order on a line with a pad, even heat and nothing
/// dragging, and the sum of ln lambda after each step; `None` if a step cannot be or film
/// stays free.
pub(crate) fn steps_cost(
    line: &Polyline,
    pad: f64,
    bonds: (f64, f64),
    steps: &[Step],
) -> Option<(f64, f64)> {
    let mut ground = Ground::new(line, pad, bonds);
    let mut run = Run::new(line, bonds, taut_length(line, bonds.0, bonds.1));
    for &step in steps {
        let act = ground.resolve(step).ok()?;
        ground.carry_out(act);
        run.act(act).ok()?;
    }
    run.open.is_empty().then_some((run.most.exp(), run.sum))
}

impl<'a> Run<'a> {
    /// The bridged film on a line.
    fn new(line: &'a Polyline, bonds: (f64, f64), taut: f64) -> Self {
        Self {
            line,
            bonds,
            open: vec![Open::new(bonds, 0.0, taut, 0.0)],
            most: 0.0,
            sum: 0.0,
            pieces: None,
            march: None,
        }
    }

    /// Carries out a step.
    fn act(&mut self, act: Act) -> Result<(), LayError> {
        let Some(march) = &mut self.march else {
            match act {
                Act::Press { span, pad } => self.press(span, pad),
                Act::Spread { span, from, to } => self.spread(span, from, to),
            }
            return Ok(());
        };
        let (Act::Press { span, .. } | Act::Spread { span, .. }) = act;
        let o = self.open[span];
        let done = match act {
            Act::Press { pad, .. } => march.press(self.line, &o, pad)?,
            Act::Spread { from, to, .. } => {
                let (left, right) = (o.a <= self.bonds.0, o.b >= self.bonds.1);
                let bond = if to > from { right } else { left };
                march.spread(self.line, &o, (from, to), bond)?
            }
        };
        self.most = self.most.max(done.most);
        self.open.splice(span..=span, done.open);
        if let Some(pieces) = &mut self.pieces {
            pieces.extend(done.pieces);
        }
        Ok(())
    }

    fn press(&mut self, span: usize, (p0, p1): (f64, f64)) {
        let o = self.open[span];
        let taut = |from: f64, to: f64| taut_length(self.line, from, to);
        let length = |from: f64, to: f64| if to > from { taut(from, to) } else { 0.0 };
        let (l, r) = (length(o.a, p0), length(p1, o.b));
        let lambda = (l + (p1 - p0) + r) / o.film;
        let ln = lambda.ln();
        let film = (o.at + l / lambda, o.at + o.film - r / lambda);
        self.laid(ln);
        if let Some(pieces) = &mut self.pieces
            && p1 > p0
        {
            pieces.push(Piece::even((p0, p1), ln, film));
        }
        let parts = [
            Open::new((o.a, p0), o.at, l / lambda, ln),
            Open::new((p1, o.b), film.1, r / lambda, ln),
        ];
        self.open
            .splice(span..=span, parts.into_iter().filter(|o| o.b > o.a));
    }

    fn spread(&mut self, span: usize, from: f64, to: f64) {
        let o = self.open[span];
        let right = to > from;
        let side = if right { Side::Right } else { Side::Left };
        let far = side.pick(o.a, o.b);
        let way = (to - from).abs();
        let whole = (to - far).abs() <= 0.0;
        let mut fronts: Vec<Front> = Vec::new();
        spread(&self.line.between(from, far), right, |f| {
            if whole || f.to <= way {
                fronts.push(f);
            } else if f.from < way {
                let gain = f.gain_to(way);
                fronts.push(Front { to: way, gain, ..f });
            }
        });
        let (mut film, film_far) = side.pick((o.at + o.film, o.at), (o.at, o.at + o.film));
        let mut ln = o.ln;
        let mut left_over = o.film;
        for &front in fronts.iter().rev() {
            let mut piece = Piece::out(from, side, front);
            ln = piece.finish(ln, |left| {
                left_over = left;
                side.pick((film_far + left, film), (film, film_far - left))
            });
            film = side.pick(piece.film.0, piece.film.1);
            if let Some(pieces) = &mut self.pieces
                && piece.to > piece.from
            {
                pieces.push(piece);
            }
        }
        self.laid(ln);
        let (ends, at) = side.pick(((o.a, to), film_far), ((to, o.b), film_far - left_over));
        let rest = Open::new(ends, at, left_over, ln);
        self.open.splice(span..=span, (!whole).then_some(rest));
    }

    /// Notes how far a step has stretched the film it laid last.
    fn laid(&mut self, ln: f64) {
        self.most = self.most.max(ln);
        self.sum += ln;
    }
}

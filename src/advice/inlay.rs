//! Film in pieces: a relief cut with a strip over it, and a recess laid as its own piece.
//!
//! Given a job and its lips a < b on the bed; found where the cut edges and overlaps lie
//! and what each piece stretches when it is laid alone.
//!
//! Relief cut. The film over the mouth is as long as the taut film from lip to lip, the
//! panel below it longer by g = arc - taut. Cut anywhere, its two parts go down the walls
//! with their ends free, so film feeds in and they stretch about 0; between the cut edges
//! a gap of g stays, which a strip of g and two overlaps covers. Where the cut is, shifts
//! the gap [e, e + g], a <= e <= b - g, along the panel. e is taken where both overlaps lie
//! flattest, of places alike (to [`FLAT_ENOUGH`]) the one nearest to the middle of the
//! floor. A step is cut between its lip and [`OVERLAP`] beyond its foot, so that the lower
//! seam need not lie in the corner: there b, and with it g, is taken. Flatness of an overlap is the largest distance of its panel, and of
//! [`EDGE_CLEAR`] on both sides of it, from its chord.
//!
//! A strip whose overlaps are both stuck before it is pressed in is a bridge of its own: its
//! peak is that of deepest-first pressed at its deepest point, evenly warm.
//!
//! Laid in one piece and cut afterwards, the film keeps the stretch it was laid with, and
//! the cut edge is a free end in stretched film, which lifts first: its release is that of
//! the whole stored energy. So each seam carries the elongation film laid in one piece has
//! there. Overlaps, their direction and where not to cut are common practice, no source.

use super::answer::{Alternative, Corner, FilmPiece, Notice, Piece, Seam};
use super::job::{Job, Limits, told};
use crate::geometry::cross;
use crate::laydown::{Laydown, Order};
use crate::section::{Kind, Side};
use crate::told::Told;

/// Overlap of an inlay strip over each cut edge, mm; common practice, no source.
pub const OVERLAP: f64 = 10.0;
/// Panel on both sides of an overlap that should lie flat with it, mm: an edge right in a
/// corner lifts. Common practice, no source.
const EDGE_CLEAR: f64 = 2.0;
/// Departure from flat below which overlaps are alike, mm: less than a gauge reads.
const FLAT_ENOUGH: f64 = 0.1;
/// Places of the cut that are tried: finer than anyone cuts, and few beside a lay-down.
const PLACES: u32 = 200;
/// Elongation from which a free film end is flagged, percent. Invented: below it the energy
/// let go, which grows with the square, is a hundredth of that at 10 %.
pub const STRETCHED_END_PCT: f64 = 1.0;
/// Extra below which a cut relieves nothing, mm.
const NOTHING_TO_RELIEVE: f64 = 0.5;
/// Overlap below which an edge does not hold, mm; common practice, no source.
const LEAST_OVERLAP: f64 = 3.0;

/// A job with its lips, on the bed.
pub(super) struct Pieces<'a> {
    job: &'a Job<'a>,
    lips: (f64, f64),
    /// What a relief cut relieves: lip to lip, or lip to beyond the foot.
    span: (f64, f64),
    feet: Vec<f64>,
    /// Film laid in one piece, deepest first at the widest bridge.
    whole: Option<Laydown>,
}

impl<'a> Pieces<'a> {
    pub(super) fn new(job: &'a Job<'a>) -> Self {
        let bed = job.bed;
        let marks = bed
            .recess()
            .landmarks()
            .into_iter()
            .filter(|l| l.name.is_foot());
        let feet = marks.map(|l| bed.locate(l.s_mm)).collect();
        let (lips, (left, right)) = (bed.lips(), bed.recess().reach_limit());
        let span = match bed.recess().lower() {
            None => lips,
            Some(Side::Left) => (lips.0 - left.min(OVERLAP), lips.1),
            Some(Side::Right) => (lips.0, lips.1 + right.min(OVERLAP)),
        };
        let widest = job.bonds_for(bed.most_reach(job.split), Order::DeepestFirst);
        Self {
            job,
            lips,
            span,
            feet,
            whole: job.lay(widest, Order::DeepestFirst).ok(),
        }
    }

    /// The relief cut, or why there is none.
    pub(super) fn relief_cut(&self) -> Result<Alternative, Notice> {
        let (first, last) = self.span;
        let gap = last - first - self.job.bed.taut(first, last);
        if gap < NOTHING_TO_RELIEVE {
            return Err(Notice::NothingToRelieve { mm: gap.max(0.0) });
        }
        let from = self.best_place(gap)?;
        let to = from + gap;
        let seams = vec![
            self.seam(Side::Left, from, from - OVERLAP),
            self.seam(Side::Right, to, to + OVERLAP),
        ];
        let ends = (from - OVERLAP, to + OVERLAP);
        let strip = self.piece(Piece::Strip, ends, Some((from, to)));
        let pieces = vec![
            self.piece(Piece::Left, (first, from), None),
            strip,
            self.piece(Piece::Right, (to, last), None),
        ];
        Ok(Alternative::ReliefCut {
            strip_mm: gap + 2.0 * OVERLAP,
            overlap_mm: OVERLAP,
            gap_mm: gap,
            flags: self.flags(&seams, &pieces),
            seams,
            pieces,
        })
    }

    /// The recess laid as a piece of its own, or why it cannot be.
    pub(super) fn separate_inlay(&self) -> Result<Alternative, Notice> {
        let job = self.job;
        let (left, right) = job.bed.recess().reach_limit();
        let over = (left.min(OVERLAP), right.min(OVERLAP));
        if over.0.min(over.1) < LEAST_OVERLAP {
            return Err(Notice::NoFlatForInlay {
                needs_mm: LEAST_OVERLAP,
                left_mm: left,
                right_mm: right,
            });
        }
        let seams = vec![
            self.seam(Side::Left, self.lips.0, self.lips.0 - over.0),
            self.seam(Side::Right, self.lips.1, self.lips.1 + over.1),
        ];
        let ends = (self.lips.0 - over.0, self.lips.1 + over.1);
        let mut piece = self.piece(Piece::Inlay, ends, None);
        // Stuck at the lips first, it is a middle push, under the job's own conditions.
        let push = job.bonds_for(0.0, Order::MiddlePush);
        if let Ok(peaks) = job.peaks(push, Order::MiddlePush) {
            piece.bonded_pct = finite_percent(peaks.0);
            piece.bonded_within_limit = Some(Limits::of(job.film).excess(peaks) <= 0.0);
        }
        let pieces = vec![piece];
        Ok(Alternative::SeparateInlay {
            piece_mm: ends.1 - ends.0,
            pushed_piece_mm: job.bed.taut(self.lips.0, self.lips.1) + over.0 + over.1,
            flags: self.flags(&seams, &pieces),
            seams,
            pieces,
        })
    }

    /// Left edge of a gap of this width where both overlaps lie flattest, on clear panel.
    fn best_place(&self, gap: f64) -> Result<f64, Notice> {
        let clear = self.job.bed.recess().reach_limit();
        let clear = (self.lips.0 - clear.0, self.lips.1 + clear.1);
        let first = self.span.0.max(clear.0 + OVERLAP);
        let last = self.span.1.min(clear.1 - OVERLAP) - gap;
        if first > last {
            return Err(Notice::StripTooWide {
                strip_mm: gap + 2.0 * OVERLAP,
                clear_mm: clear.1 - clear.0,
            });
        }
        let recess = self.job.bed.recess();
        let middle = match recess.kind() {
            Kind::Channel => 0.5 * (recess.deepest().0 + recess.deepest().1),
            Kind::Step => recess.press(),
        };
        let wanted = (self.job.bed.locate(middle) - 0.5 * gap).clamp(first, last);
        let at = |i: u32| first + (last - first) * f64::from(i) / f64::from(PLACES);
        let tried: Vec<(f64, f64)> = std::iter::once(wanted)
            .chain((0..=PLACES).map(at))
            .map(|place| (place, self.off_flat_at(place, gap)))
            .collect();
        let flattest = tried.iter().map(|t| t.1).fold(f64::INFINITY, f64::min);
        tried
            .into_iter()
            .filter(|t| t.1 <= flattest + FLAT_ENOUGH)
            .map(|t| t.0)
            .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
            .ok_or(Notice::NoPlaceToCut)
    }

    /// How far the overlaps on both sides of a gap are from flat, mm.
    fn off_flat_at(&self, from: f64, gap: f64) -> f64 {
        let (left, right) = (from - OVERLAP, from + gap + OVERLAP);
        self.off_flat(left - EDGE_CLEAR, from + EDGE_CLEAR)
            + self.off_flat(from + gap - EDGE_CLEAR, right + EDGE_CLEAR)
    }

    /// How far the panel between two places is from its chord, mm.
    fn off_flat(&self, from: f64, to: f64) -> f64 {
        let line = self.job.bed.line();
        let (from, to) = (from.max(line.start()), to.min(line.end()));
        let chain = line.between(from, to);
        let (a, b) = (chain[0], chain[chain.len() - 1]);
        let chord = b - a;
        let length = chord.norm().max(f64::MIN_POSITIVE);
        let off = chain.iter().map(|p| (cross(chord, p - a) / length).abs());
        off.fold(0.0, f64::max)
    }

    /// A film edge at `edge` under another that ends at `over`; arc lengths on the bed, mm.
    fn seam(&self, side: Side, edge: f64, over: f64) -> Seam {
        let bed = self.job.bed;
        let from_lip = side.pick(edge - self.lips.0, self.lips.1 - edge);
        let foot = self.feet.iter().map(|f| (f - edge).abs());
        let one_piece = self.whole.as_ref().and_then(|w| w.lambda(edge));
        let one_piece = one_piece.and_then(finite_percent);
        Seam {
            side,
            edge: self.job.place(edge),
            zone: bed.zone(edge),
            from_lip_mm: from_lip,
            counted_from: match bed.recess().lower() {
                Some(lower) if lower == side => Corner::Foot,
                _ => Corner::Lip,
            },
            from_foot_mm: foot.min_by(f64::total_cmp),
            over: self.job.place(over),
            over_zone: bed.zone(over),
            overlap_mm: (over - edge).abs(),
            off_flat_mm: self.off_flat(edge.min(over), edge.max(over)),
            one_piece_pct: one_piece,
            stretched_end: one_piece.is_some_and(|p| p > STRETCHED_END_PCT),
        }
    }

    /// A piece of film between two places, stuck first at the places in `bonds`, if any.
    fn piece(&self, name: Piece, ends: (f64, f64), bonds: Option<(f64, f64)>) -> FilmPiece {
        let bonded = bonds.map(|(left, right)| self.bonded_peak(left, right));
        let limits = Limits::of(self.job.film);
        FilmPiece {
            name,
            from: self.job.place(ends.0),
            to: self.job.place(ends.1),
            film_mm: ends.1 - ends.0,
            free_pct: 0.0,
            bonded_pct: bonded.and_then(finite_percent),
            bonded_within_limit: bonded.map(|peak| limits.excess((peak, peak)) <= 0.0),
        }
    }

    /// Peak of film stuck at two places within the recess and pressed at the deepest point
    /// between them.
    fn bonded_peak(&self, left: f64, right: f64) -> f64 {
        let bed = self.job.bed;
        let chain = bed.line().between(left, right);
        let chord = chain[chain.len() - 1] - chain[0];
        let (mut s, mut deepest) = (left, (0.0, left));
        for w in chain.windows(2) {
            s += (w[1] - w[0]).norm();
            let below = -cross(chord, w[1] - chain[0]);
            if below > deepest.0 {
                deepest = (below, s.min(right));
            }
        }
        bed.peaks_pressed_at(deepest.1, left, right).0
    }

    /// What has to be watched.
    fn flags(&self, seams: &[Seam], pieces: &[FilmPiece]) -> Vec<Told<Notice>> {
        let mut all = Vec::new();
        let stretched = seams.iter().filter(|s| s.stretched_end);
        let stretched_pct = stretched
            .filter_map(|s| s.one_piece_pct)
            .fold(0.0, f64::max);
        all.extend((stretched_pct > 0.0).then_some(Notice::CutFirst { stretched_pct }));
        let limit_pct = 100.0 * Limits::of(self.job.film).inside();
        all.extend(pieces.iter().filter_map(|piece| {
            let over = piece.bonded_within_limit == Some(false);
            Some(Notice::EdgesFree {
                piece: piece.name,
                bonded_pct: piece.bonded_pct.filter(|p| *p > STRETCHED_END_PCT)?,
                over_pct: over.then_some(limit_pct),
            })
        }));
        let bent = seams.iter().filter(|s| s.off_flat_mm > 1.0);
        all.extend(bent.map(|s| Notice::OverlapNotFlat {
            side: s.side,
            off_mm: s.off_flat_mm,
        }));
        told(all)
    }
}

/// A stretch ratio as percent, if it is finite.
fn finite_percent(lambda: f64) -> Option<f64> {
    lambda.is_finite().then_some(100.0 * (lambda - 1.0))
}

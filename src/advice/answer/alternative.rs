//! Why there is no width, in numbers, and what else would do.

use super::handled::Warmed;
use super::notice::{Notice, Piece};
use super::parts::{PeakAt, Place};
use crate::laydown::OrderName;
use crate::section::{Side, Zone};
use crate::told::Told;
use serde::{Deserialize, Serialize};

/// What stands in the way of a width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Cause {
    /// The class is not meant for recesses.
    Class,
    /// The tool cannot get in.
    Tool,
    /// Even the mean is over the limit at the widest bridge.
    PlainRule,
    /// The limit between the lips.
    RecessLimit,
    /// A width does, but with the mouth alone warm it is beyond three mouths.
    MouthOnly,
    /// One does for the section as read, but in too few of the shapes that fit.
    NotAssured,
    /// The limit.
    Limit,
    /// The widest bridge could not be laid.
    Unsolved,
}

/// What would do in place of a bridge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum OptionKind {
    /// More clear panel.
    MoreClear,
    /// One way with the far side loose.
    FarSideLoose,
    /// Another film class.
    FilmClass,
    /// A relief cut with a strip over it.
    ReliefCut,
    /// The recess as a piece of its own.
    SeparateInlay,
}

/// A corner of the panel that distances are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Corner {
    /// A lip.
    Lip,
    /// A step's foot.
    Foot,
}

/// Why no width works, in numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NoWidth {
    /// What stands in the way.
    pub cause: Cause,
    /// Least bridge by the plain rule, mm.
    pub least_bridge_mm: Option<f64>,
    /// Mouth, mm.
    pub mouth_mm: f64,
    /// Clear panel that a bridge can take to the left, mm.
    pub clear_left_mm: f64,
    /// Clear panel that a bridge can take to the right, mm.
    pub clear_right_mm: f64,
    /// Widest bridge, mm: mouth and clear panel.
    pub widest_bridge_mm: f64,
    /// Peak there, deepest first, percent.
    pub peak_pct: Option<f64>,
    /// Largest elongation between the lips there, percent.
    pub recess_peak_pct: Option<f64>,
    /// Where the peak is.
    pub peak_at: Option<PeakAt>,
    /// Limit, percent.
    pub limit_pct: f64,
    /// Lower limit between the lips, percent, if the class has one.
    pub recess_limit_pct: Option<f64>,
    /// Largest gap that the tool's tip leaves under the film, mm.
    pub gap_mm: f64,
}

/// Something else that would do, or that would not and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Alternative {
    /// More clear panel, and how much on each side, mm.
    MoreClear {
        /// Clear panel needed beyond the left lip, mm.
        clear_left_mm: f64,
        /// Clear panel needed beyond the right lip, mm.
        clear_right_mm: f64,
        /// Bridge width it would make possible, mm.
        bridge_mm: f64,
    },
    /// Lay one-way with the far side loose.
    FarSideLoose {
        /// How far artwork and sheet edge beyond the recess move, mm.
        artwork_shift_mm: f64,
        /// The side that runs loose and moves: a step's lower one, else the one with less
        /// clear panel, where the sheet edge is nearer.
        loose: Side,
        /// How far artwork on the other side moves, mm.
        near_shift_mm: f64,
        /// Elongation of the film laid so, percent.
        peak_pct: f64,
        /// Where it cannot be done.
        not_where: Vec<Told<Notice>>,
    },
    /// Another class of the catalogue, under its own handling.
    FilmClass {
        /// Its name.
        name: String,
        /// Bridge width with it, mm.
        bridge_mm: f64,
        /// Its limit, percent.
        limit_pct: f64,
        /// Order of pressing.
        order: OrderName,
        /// Peak elongation at that width, percent.
        peak_pct: Option<f64>,
        /// Limit less peak, percentage points.
        margin_pct: Option<f64>,
        /// Which film is warmed, and to how many degC where that matters.
        warm: Warmed,
    },
    /// Cut the film over the recess and lay a strip in.
    ReliefCut {
        /// Width of the inlay strip, mm: arc less taut length (of a step: from its lip to one
        /// overlap beyond its foot) and two overlaps.
        strip_mm: f64,
        /// Each overlap, mm.
        overlap_mm: f64,
        /// Panel left bare between the cut edges, mm: arc less taut length.
        gap_mm: f64,
        /// The two seams, left and right.
        seams: Vec<Seam>,
        /// The pieces, left to right, each laid alone.
        pieces: Vec<FilmPiece>,
        /// What has to be watched.
        flags: Vec<Told<Notice>>,
    },
    /// Lay the recess as a piece of its own, lip to lip, the film of the flats trimmed at
    /// the lips.
    SeparateInlay {
        /// Width of the piece laid from its middle outwards or one way, edges free, mm: arc
        /// and overlaps.
        piece_mm: f64,
        /// Width of the piece pushed in with its overlaps stuck first, mm: taut length and
        /// overlaps.
        pushed_piece_mm: f64,
        /// The two seams, left and right.
        seams: Vec<Seam>,
        /// The piece; `bonded_pct` is the peak of the middle push.
        pieces: Vec<FilmPiece>,
        /// What has to be watched.
        flags: Vec<Told<Notice>>,
    },
    /// Leave the recess bare.
    LeaveBare {
        /// Panel left bare from lip to lip (a step: lip to foot), mm along the panel.
        bare_mm: f64,
    },
    /// Would not do here.
    RuledOut {
        /// The kind that is ruled out.
        option: OptionKind,
        /// Why.
        why: Told<Notice>,
    },
}

/// A film edge with another film over it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Seam {
    /// Which of the two seams.
    pub side: Side,
    /// The film edge below.
    pub edge: Place,
    /// Zone of that edge.
    pub zone: Zone,
    /// From the lip of its side (a step's lower side: from its foot) along the panel, mm,
    /// inwards positive.
    pub from_lip_mm: f64,
    /// What that is.
    pub counted_from: Corner,
    /// To the nearest foot along the panel, mm; `None` if the section has none.
    pub from_foot_mm: Option<f64>,
    /// The edge of the strip or piece above.
    pub over: Place,
    /// Zone of that edge.
    pub over_zone: Zone,
    /// Width of the overlap along the panel, mm.
    pub overlap_mm: f64,
    /// Largest distance of the panel under the overlap from a straight line, mm.
    pub off_flat_mm: f64,
    /// Elongation here of film laid in one piece, deepest first at the widest bridge, percent:
    /// what a cut made afterwards lets go. `None` if it could not be laid.
    pub one_piece_pct: Option<f64>,
    /// A cut made afterwards would leave a free end in film stretched by more than
    /// [`STRETCHED_END_PCT`](crate::advice::STRETCHED_END_PCT).
    pub stretched_end: bool,
}

/// A piece of film laid alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilmPiece {
    /// Which.
    pub name: Piece,
    /// Where it begins.
    pub from: Place,
    /// Where it ends.
    pub to: Place,
    /// Unstretched width between them, mm; overlaps included.
    pub film_mm: f64,
    /// Elongation laid towards a free end, percent: film feeds in, so about 0.
    pub free_pct: f64,
    /// Peak if both its overlaps are stuck before it is pressed in, percent. `None` for a
    /// piece that always has a free end.
    pub bonded_pct: Option<f64>,
    /// Is `bonded_pct` within the limits?
    pub bonded_within_limit: Option<bool>,
}

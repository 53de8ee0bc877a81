//! All that an answer has to say beside its numbers, as data: what was seen, what was assumed,
//! why there is a width or none, what has to be watched. [`crate::say`] has the words.

use super::handled::Handled;
use super::range::Measure;
use super::scatter::Scatter;
use crate::advice::tape_step::TapeStep;
use crate::ends::EndError;
use crate::laydown::OrderName;
use crate::outcome::{AirNotice, ForceNotice};
use crate::section::{MemberShape, SectionNotice, Side};
use serde::{Deserialize, Serialize};

/// The limits of a film class, percent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LimitsPct {
    /// Of the film.
    pub all_pct: f64,
    /// Between the lips, if it has one of its own.
    pub recess_pct: Option<f64>,
}

/// What film loses of its tension on the way does to the answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TensionLoss {
    /// The peak is no verdict.
    NoVerdict,
    /// The true peak may differ.
    MayDiffer,
    /// No matter for the width.
    NoMatter,
}

/// Something that an answer says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Notice {
    /// Of the section.
    Section(SectionNotice),
    /// Of one film class among several.
    OfClass {
        /// The class.
        film: String,
        /// What is said of it.
        notice: Box<Self>,
    },

    // Of a lay-down.
    /// Edge first into a sharp corner with a pointed press.
    NoFinitePeak,
    /// The tool's tip leaves a gap.
    OutOfReach {
        /// The tool.
        tool: String,
        /// The largest gap, mm.
        gap_mm: f64,
    },
    /// A bond line stands inside the recess.
    BondInside {
        /// On which side.
        side: Side,
        /// How far from the lip, mm.
        inside_mm: f64,
    },
    /// Film that rests loses tension, which the model leaves out.
    LosesTension {
        /// Part lost, percent.
        pct: f64,
        /// What that does to the answer.
        then: TensionLoss,
    },
    /// Drag holds the film: what is left free further out gains nothing.
    DragHolds {
        /// On which side.
        side: Side,
        /// Beyond how much reach, mm.
        reach_mm: f64,
    },
    /// Film is stretched beyond where its curve was tested to.
    BeyondTested {
        /// Elongation it was tested to, percent.
        tested_pct: f64,
    },
    /// Shut-in air does not leave by itself.
    Air {
        /// The film class.
        film: String,
        /// What to do.
        #[serde(rename = "way")]
        notice: AirNotice,
        /// Would a middle push close no film over the flats?
        push_helps: bool,
    },
    /// The shape of a closed end was assumed.
    EndsAssumed,
    /// How a closed end is computed, and how far that stands.
    EndsModel,
    /// Clear panel beyond a closed end's lip was not said.
    ClearEnd {
        /// What is taken, mm.
        mm: f64,
    },
    /// The end of a step is not computed.
    EndOfStep,
    /// No trapezoid comes near the section.
    EndOfNoTrapezoid,
    /// Film dabbed down, or warmer over the flats, is not computed round an end.
    EndUnder,
    /// An order that is not computed round an end.
    EndInOrder {
        /// Which.
        order: OrderName,
    },
    /// There is no number for an end.
    EndRefused {
        /// Why.
        why: EndError,
    },
    /// Round a closed end a limit is not kept.
    OverAtEnd {
        /// Elongation there at most, percent; `None` where it is not known.
        pct: Option<f64>,
    },
    /// Near a closed end no number stands.
    NearClosedEnd {
        /// How near, mm: a bridge width.
        within_mm: f64,
    },
    /// Pressing takes more than a hand gives.
    Force {
        /// How much.
        #[serde(rename = "force")]
        notice: ForceNotice,
    },
    /// A hot day is hotter than the film is made to bear.
    HotterThanService {
        /// The class.
        film: String,
        /// The panel on a hot day, degC.
        hot_day_c: f64,
        /// What the film is made for, degC.
        service_max_c: f64,
    },
    /// The class is not meant for recesses.
    NotForRecesses {
        /// The class.
        film: String,
        /// Neither loose, nor in one piece, nor in several?
        in_no_way: bool,
    },

    // Of a search for a width.
    /// Widths could not be laid and are taken as over the limit.
    Unsolved {
        /// In which order.
        order: OrderName,
        /// How many.
        count: usize,
    },
    /// An order is left out.
    OrderLeftOut {
        /// Which.
        order: OrderName,
        /// Why.
        why: String,
    },
    /// Rows of a sweep are missing.
    RowsMissing {
        /// In which order.
        order: OrderName,
        /// Why.
        why: String,
    },
    /// Beyond a width the peak is over the limit again.
    WiderIsNotSafer {
        /// That width, mm.
        beyond_mm: f64,
    },
    /// The readings are too rough to say a width, or a range follows from their noise.
    Scatter(Scatter),
    /// Both edges at the same time come lower than any list of steps.
    EdgesLower {
        /// The peak of edges first, percent.
        edge_pct: f64,
        /// Steps of a list at most.
        most_steps: usize,
    },
    /// No width is recommended, so this is for the widest bridge.
    ForTheWidest,
    /// The order found could not be laid under the conditions given.
    NotLaidAsHandled {
        /// Why.
        why: String,
    },
    /// Nothing is known of it.
    NotKnown {
        /// Why.
        why: String,
    },

    // What was assumed.
    /// Clear panel that was not given.
    ClearPanel {
        /// On which side; `None`: on both.
        side: Option<Side>,
        /// How much, mm.
        mm: f64,
    },
    /// How film, lips and flats were taken to be.
    Handled(Handled),
    /// The recess is taken to be open at both ends.
    OpenEnds,
    /// The section goes on alike along the recess.
    GoesOnAlike,
    /// One of the shapes that fit tape readings was taken.
    OneShape {
        /// How many fit.
        count: usize,
        /// The one that needs the widest bridge, or else the plainest?
        widest: bool,
        /// Of which class, where there are several.
        film: Option<String>,
        /// The shape.
        shape: MemberShape,
    },

    // Why there is a width.
    /// Film without air channels is pushed in along the middle.
    PushedIn {
        /// The limits it keeps.
        limits: LimitsPct,
        /// Share of what the readings allow, percent, where that was looked at.
        share_pct: Option<f64>,
    },
    /// Bonded right at the lips the film is within the limits already.
    AtLips {
        /// The limits it keeps.
        limits: LimitsPct,
        /// Share, percent.
        share_pct: Option<f64>,
    },
    /// Edges first keep the limits, deepest first does not.
    OnlyEdges {
        /// The limits.
        limits: LimitsPct,
        /// Share, percent.
        share_pct: Option<f64>,
    },
    /// The least bridge of a step.
    LeastBridge {
        /// The limits it keeps.
        limits: LimitsPct,
        /// Share, percent.
        share_pct: Option<f64>,
    },
    /// The smallest width from which deepest first keeps the limits.
    Smallest {
        /// In steps of.
        step: TapeStep,
        /// The limits.
        limits: LimitsPct,
        /// Share, percent.
        share_pct: Option<f64>,
    },

    // Why there is none.
    /// With the mouth alone warm the width would be too large to lay.
    MouthOnly {
        /// The width, mm.
        bridge_mm: f64,
        /// Mouths that are the most.
        mouths: f64,
    },
    /// A width does for the section as read, but in too few of the shapes that fit.
    NotAssured {
        /// Share in which the limit is kept at most, percent.
        share_pct: f64,
        /// At which bridge, mm.
        bridge_mm: f64,
        /// Share that was asked for, percent.
        asked_pct: f64,
        /// The reading that would narrow it most.
        narrow_by: Option<Measure>,
    },
    /// The tool cannot get in.
    ToolCannotGetIn {
        /// The tool.
        tool: String,
        /// What stays out of reach, mm.
        gap_mm: f64,
        /// Of how much, mm.
        depth_mm: f64,
        /// In one piece or in several?
        in_no_way: bool,
    },
    /// The plain rule alone needs more than there is.
    PlainRule {
        /// What it needs, mm.
        least_mm: f64,
        /// The limit, percent.
        limit_pct: f64,
        /// The widest bridge, mm.
        widest_mm: f64,
    },
    /// Even the widest bridge is over.
    EvenTheWidest {
        /// That bridge, mm.
        widest_mm: f64,
        /// The limits.
        limits: LimitsPct,
    },

    // What would not do.
    /// At a closed end film that feeds in creases.
    CreasesAtClosedEnd,
    /// None of the other classes has a width here.
    NoClassDoes {
        /// How many were looked through.
        tried: usize,
    },
    /// More clear panel does not help.
    ClearDoesNotHelp {
        /// Clear panel tried on each side, mm.
        clear_mm: f64,
        /// Widest bridge then, mm.
        widest_mm: f64,
    },
    /// A cut relieves nothing.
    NothingToRelieve {
        /// What the panel is longer by, mm.
        mm: f64,
    },
    /// A strip needs more clear panel.
    StripTooWide {
        /// Its width, mm.
        strip_mm: f64,
        /// What there is, mm.
        clear_mm: f64,
    },
    /// No place for the cut was found.
    NoPlaceToCut,
    /// An inlay has nothing to hold on to.
    NoFlatForInlay {
        /// What each overlap needs, mm.
        needs_mm: f64,
        /// Clear flat on the left, mm.
        left_mm: f64,
        /// Clear flat on the right, mm.
        right_mm: f64,
    },

    // Where a loose side is no way.
    /// Within a bridge width of a closed end.
    NotNearClosedEnd,
    /// Where that side is held.
    NotWhereHeld {
        /// Which.
        side: Side,
    },
    /// Where artwork must meet something.
    NotWhereArtworkMeets {
        /// On which side.
        side: Side,
    },
    /// Over the next recess without its own shift.
    NotOverNext {
        /// Valleys of the section.
        valleys: usize,
    },

    // What has to be watched in pieces of film.
    /// Cut before the recess is laid.
    CutFirst {
        /// What film laid in one piece is stretched by at the edges, percent.
        stretched_pct: f64,
    },
    /// Lay a piece with its edges free.
    EdgesFree {
        /// Which.
        piece: Piece,
        /// What it is stretched by if stuck first, percent.
        bonded_pct: f64,
        /// The limit that is over, percent; `None`: it is kept.
        over_pct: Option<f64>,
    },
    /// An overlap does not lie flat.
    OverlapNotFlat {
        /// On which side.
        side: Side,
        /// By how much, mm.
        off_mm: f64,
    },

    // Verdicts of a comparison.
    /// Within the limits.
    Within {
        /// The limits.
        limits: LimitsPct,
        /// By how much, points.
        margin_pct: f64,
        /// Not beyond this bridge, mm.
        not_beyond_mm: Option<f64>,
        /// Margin that readings need, points, where there is less.
        needed_pct: Option<f64>,
    },
    /// Over them.
    Over {
        /// The limits.
        limits: LimitsPct,
        /// By how much, points; `None`: without bound.
        by_pct: Option<f64>,
        /// Even at the widest bridge?
        at_widest: bool,
    },
    /// Within the limits, but the peak is no verdict.
    NoVerdict,
    /// Needs no reach: it is the middle push.
    IsMiddlePush,
    /// Kept in a share of what the readings allow at most.
    HeldAtMost {
        /// The share, percent.
        share_pct: f64,
    },
    /// No stretch, if artwork and sheet edge may move.
    IfArtworkMay {
        /// On which side.
        side: Side,
        /// By how much, mm.
        shift_mm: f64,
    },
    /// What a cost needs that the class does not have.
    CostNotKnown {
        /// The class.
        film: String,
        /// Is there no price?
        price: bool,
        /// The order that no minutes are given for.
        minutes: Option<OrderName>,
    },
}

impl From<SectionNotice> for Notice {
    fn from(notice: SectionNotice) -> Self {
        Self::Section(notice)
    }
}

/// A piece of film that is laid alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Piece {
    /// Left of a relief cut.
    Left,
    /// The strip over it.
    Strip,
    /// Right of it.
    Right,
    /// The recess as a piece of its own.
    Inlay,
}

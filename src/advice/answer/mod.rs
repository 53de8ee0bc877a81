//! The answers as data: what `--json` prints, what pictures, card and page read. Numbers and
//! typed values only; [`crate::say`] has the words.

mod alternative;
mod check;
mod doing;
mod end;
mod handled;
mod invented;
mod notice;
mod parts;
mod press;
mod range;
mod recommendation;
mod scatter;
mod sweep;

pub use alternative::{Alternative, Cause, Corner, FilmPiece, NoWidth, OptionKind, Seam};
pub use check::{Check, ProfileRow};
pub use doing::{Bearing, Doing, End, Onto, Start};
pub use end::{ClosedEnd, Doubted, EndLaid, EndPlace, EndReport, WhichEnd, WiderPad};
pub use handled::{Handled, Warmed};
pub use invented::Invented;
pub use notice::{LimitsPct, Notice, Piece, TensionLoss};
pub use parts::{
    FilmReport, OrderReport, OutOfReachReport, PROGRAM, PeakAt, Place, PlainRule, SCHEMA,
    SectionReport, ToolReport,
};
pub use press::{PressAt, PressReport, PressSpot};
pub use range::{Cost, Costs, Measure, WidthRange};
pub use recommendation::{
    DecidedBy, FamilyReport, LaidThrough, Recommendation, Recommended, ThreeSteps, WarmAdvice,
    WarmthRow,
};
pub use scatter::Scatter;
pub use sweep::{Sweep, SweepRow};

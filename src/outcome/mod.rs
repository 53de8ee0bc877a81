//! What follows from a lay-down: trapped air, the force of the fingers, where the film
//! came from, and whether it stays down.
//!
//! Each part reads a [`Laydown`](crate::Laydown) on its [`Bed`](crate::Bed) and gives the
//! data that `--json` prints, units in the names. Nothing here changes the answer of the
//! mechanics.

mod air;
mod effort;
mod force;
mod hold;
mod lift;
mod notice;
mod source;
mod stage;

pub use air::{Air, AirPocket, AirStage, Ends, WayOut, trapped_air};
pub use effort::Effort;
pub use force::{Force, ForceStage, HAND_FORCE, Pull, finger_force};
pub use hold::{Hold, HoldState, HoldWhen, hold};
pub use notice::{AirNotice, ForceNotice, HoldNotice};
pub use source::{Source, SourceMark, SourceRow, TICK, film_source};
pub use stage::{Stage, stages};

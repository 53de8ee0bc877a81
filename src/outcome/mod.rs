//! What follows from a lay-down: trapped air, the force of the fingers, and where the film
//! came from.
//!
//! Each part reads a [`Laydown`](crate::Laydown) on its [`Bed`](crate::Bed) and gives the
//! data that `--json` prints, units in the names. Nothing here changes the answer of the
//! mechanics.

mod air;
mod force;
mod notice;
mod source;
mod stage;

pub use air::{Air, AirPocket, AirStage, Ends, WayOut, trapped_air};
pub use force::{Force, ForceStage, HAND_FORCE, Pull, finger_force};
pub use notice::{AirNotice, ForceNotice};
pub use source::{Source, SourceMark, SourceRow, TICK, film_source};
pub use stage::{Stage, stages};

//! What was measured of film once it was laid: trial pieces, and the record of post-heating.

pub mod heat;
mod table;
pub mod trial;

//! What was measured of film once it was laid: trial pieces, and the record of post-heating.

mod table;
pub mod trial;

//! What was measured on film that is down, judged against what was computed or asked of it.

pub mod heat;

//! What is said: every sentence once, for each who hears it.

pub(crate) mod faults;

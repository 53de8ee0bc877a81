//! The targets of the fuzzers, which are those of the tests.
#![allow(dead_code, unreachable_pub, reason = "the tests use the rest of these modules")]

#[path = "../../tests/common/hostile.rs"]
mod hostile;
#[path = "../../tests/common/survey.rs"]
mod survey;

/// The names of the targets.
pub fn names() -> impl Iterator<Item = &'static str> {
    hostile::TARGETS.into_iter().map(|(name, _)| name)
}

/// What takes the bytes of a target.
pub fn target(name: &str) -> fn(&[u8]) {
    let mut all = hostile::TARGETS.into_iter();
    all.find(|(known, _)| *known == name).expect("a target").1
}

/// What its corpus starts from.
pub fn seeds(name: &str) -> Vec<Vec<u8>> {
    hostile::seeds(name)
}

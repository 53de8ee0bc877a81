//! Sections, noisy scans and the film as bars, shared with the tests.
#![allow(dead_code, reason = "the tests use more of it")]

#[path = "../../tests/common/bars.rs"]
pub(crate) mod bars;
#[path = "../../tests/common/corners.rs"]
pub(crate) mod corners;
#[path = "../../tests/common/made.rs"]
pub(crate) mod made;
#[path = "../../tests/common/sections.rs"]
pub(crate) mod sections;
#[path = "../../tests/common/survey.rs"]
pub(crate) mod survey;

pub(crate) use sections::{drawn, exact, exact_recess, length};

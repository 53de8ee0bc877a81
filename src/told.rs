//! A typed value that is written with its words beside it.

use serde::Deserialize;
use std::ops::Deref;

/// A typed value of an answer. In JSON its words stand beside its values, under `text`: plain
/// words, in mm, that name no option of the command line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(transparent)]
pub struct Told<T>(pub T);

impl<T> Deref for Told<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.0
    }
}

impl<T> From<T> for Told<T> {
    fn from(value: T) -> Self {
        Self(value)
    }
}

/// Of two things the one that fits.
pub(crate) fn when<T>(is: bool, yes: T, no: T) -> T {
    if is { yes } else { no }
}

/// Adds what is not there yet.
pub(crate) fn add_new<T: PartialEq + Clone>(all: &mut Vec<T>, new: &[T]) {
    for n in new {
        if !all.contains(n) {
            all.push(n.clone());
        }
    }
}

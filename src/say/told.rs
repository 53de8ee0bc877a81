//! A typed value in JSON: its values, and its words under `text`.

use super::{Say, Voice};
use crate::section::Units;
use crate::told::Told;
use serde::{Serialize, Serializer};
use std::cell::Cell;

thread_local! {
    /// Units of the words being written.
    static UNITS: Cell<Units> = const { Cell::new(Units::Mm) };
}

/// Writes with the words of told values in other units than mm: the page shows them as they come.
pub(crate) fn told_in<T>(units: Units, write: impl FnOnce() -> T) -> T {
    let before = UNITS.replace(units);
    let written = write();
    UNITS.set(before);
    written
}

/// A value with its words.
#[derive(Serialize)]
struct Spoken<'a, T> {
    #[serde(flatten)]
    value: &'a T,
    text: String,
}

impl<T: Serialize + Say> Serialize for Told<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let text = self.0.say(Voice {
            units: UNITS.get(),
            ..Voice::PLAIN
        });
        Spoken {
            value: &self.0,
            text,
        }
        .serialize(serializer)
    }
}

impl<T: Say> Say for Told<T> {
    fn say(&self, voice: Voice) -> String {
        self.0.say(voice)
    }
}

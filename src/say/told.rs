//! A typed value in JSON: its values, and its words under `text`.

use super::{Say, Voice};
use crate::told::Told;
use serde::{Serialize, Serializer};

/// A value with its words.
#[derive(Serialize)]
struct Spoken<'a, T> {
    #[serde(flatten)]
    value: &'a T,
    text: String,
}

impl<T: Serialize + Say> Serialize for Told<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let text = self.0.say(Voice::PLAIN);
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

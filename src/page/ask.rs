//! What the page may ask: one shape of request for all of it.

use crate::advice::Question;
use serde::de::value::MapAccessDeserializer;
use serde::de::{
    Deserialize, DeserializeSeed, Deserializer, Error, IntoDeserializer, MapAccess, Visitor,
};
use std::fmt;

/// What is asked of a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Ask {
    /// Film classes, tools, demo recesses.
    Catalogue,
    /// What is seen in the section: a [`crate::advice::SectionSeen`].
    Section,
    /// What was done to its readings, in words and as a picture.
    Reading,
    /// One lay-down: a [`crate::Check`] with its profile.
    Check,
    /// The main job: a [`crate::Recommendation`].
    Recommend,
    /// Peak against width: a [`crate::advice::Sweep`].
    Sweep,
    /// Two orders at one width, with their profiles: what is redrawn as the width moves.
    Orders,
    /// The moments of the laying, for every order.
    Moments,
    /// The same width with the whole bridge, the mouth only, the flats only warmed.
    Warmth,
    /// The closed ends at one width: in words, and the first of them from above.
    End,
    /// The job card, as HTML: of `bridge_mm` deepest first, or of what is recommended.
    Card,
    /// The steps of pressing with the lowest peak: a [`crate::advice::OrderSearch`].
    Steps,
    /// The chart for the bay wall, as HTML: of a film class and a tool, without a section.
    Chart,
}

/// A request: a question with what is asked of it. What is left out is taken as the command line
/// takes it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Request {
    pub(super) ask: Ask,
    /// How many moments; 41.
    pub(super) frames: Option<u16>,
    /// Width of the picture of the readings, in ems of its text; 40.
    pub(super) width_em: Option<f64>,
    /// Whether the bridge round a closed end is sought too, which takes some seconds; yes.
    pub(super) round_ends: Option<bool>,
    /// Everything else.
    pub(super) question: Question,
}

/// The keys of a request that are not its question's.
#[derive(Default)]
struct Head {
    ask: Option<Ask>,
    frames: Option<u16>,
    width_em: Option<f64>,
    round_ends: Option<bool>,
}

// By hand, for `#[serde(flatten)]` would read a question twice over, which makes the page's engine
// a twentieth larger.
impl<'de> Deserialize<'de> for Request {
    fn deserialize<D: Deserializer<'de>>(source: D) -> Result<Self, D::Error> {
        source.deserialize_map(Requests)
    }
}

struct Requests;

impl<'de> Visitor<'de> for Requests {
    type Value = Request;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("struct Request")
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Request, A::Error> {
        let mut head = Head::default();
        let rest = Rest {
            map,
            head: &mut head,
        };
        let question = Question::deserialize(MapAccessDeserializer::new(rest))?;
        Ok(Request {
            ask: head.ask.ok_or_else(|| A::Error::missing_field("ask"))?,
            frames: head.frames,
            width_em: head.width_em,
            round_ends: head.round_ends,
            question,
        })
    }
}

/// A map without the keys of a head, which go there.
struct Rest<'a, A> {
    map: A,
    head: &'a mut Head,
}

impl<'de, A: MapAccess<'de>> MapAccess<'de> for Rest<'_, A> {
    type Error = A::Error;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, A::Error> {
        while let Some(key) = self.map.next_key::<String>()? {
            match key.as_str() {
                "ask" => self.head.ask = Some(self.map.next_value()?),
                "frames" => self.head.frames = self.map.next_value()?,
                "width_em" => self.head.width_em = self.map.next_value()?,
                "round_ends" => self.head.round_ends = self.map.next_value()?,
                _ => return seed.deserialize(key.into_deserializer()).map(Some),
            }
        }
        Ok(None)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, A::Error> {
        self.map.next_value_seed(seed)
    }
}

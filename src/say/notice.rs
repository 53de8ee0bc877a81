//! A notice in words: which of the files beside this one says it.

use super::{Say, Voice, assumed, compared, ends, lay, options, reason, when};
use crate::advice::{Measure, Notice, Scatter, TapeStep};

impl Say for Notice {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::Section(notice) => notice.say(voice),
            Self::OfClass { film, notice } => format!("{film}: {}", notice.say(voice)),
            Self::Scatter(scatter) if scatter.too_rough => refusal(scatter, voice),
            Self::Scatter(scatter) => {
                format!("{}: the width needed here", range(scatter, voice))
            }
            Self::NotKnown { why } => why.clone(),
            other => lay::say(other, voice)
                .or_else(|| assumed::say(other, voice))
                .or_else(|| reason::say(other, voice))
                .or_else(|| options::say(other, voice))
                .or_else(|| compared::say(other, voice))
                .or_else(|| ends::say(other, voice))
                .unwrap_or_default(),
        }
    }
}

impl TapeStep {
    /// The step in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::FiveMm => "5 mm",
            Self::QuarterInch => "a quarter inch",
        }
    }
}

impl Measure {
    /// Its name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Depth => "depth",
            Self::Mouth => "mouth",
            Self::Floor => "floor",
            Self::LeftWall => "left wall",
            Self::RightWall => "right wall",
            Self::Press => "press",
        }
    }
}

/// How far the readings err: "the scan errs by 0.20 mm over 3.0 mm".
pub(super) fn errs(scatter: &Scatter, voice: Voice) -> String {
    format!("the scan errs by {}", noise(scatter, voice))
}

fn noise(scatter: &Scatter, voice: Voice) -> String {
    let over = format!(" over {}", voice.length(scatter.noise_over_mm));
    voice.fine(scatter.noise_mm) + when(scatter.noise_over_mm > 0.0, over.as_str(), "")
}

/// Least and largest width, outwards to whole millimetres.
fn between(scatter: &Scatter, voice: Voice) -> Option<String> {
    let (from, to) = scatter.from_mm.zip(scatter.to_mm)?;
    let (from, to) = (voice.width(from.floor()), voice.width(to.ceil()));
    Some(format!("between {from} and {to}"))
}

/// The range after a width.
fn range(scatter: &Scatter, voice: Voice) -> String {
    let errs = errs(scatter, voice);
    match between(scatter, voice) {
        Some(range) => format!("{errs}, so {range}"),
        None => errs,
    }
}

/// Why no width is said, and what to measure again.
fn refusal(scatter: &Scatter, voice: Voice) -> String {
    let draws = scatter.draws;
    let found = if scatter.kind_changes > 0 {
        format!(
            "whether they show a channel or a step changes in {} of {draws} draws of that noise",
            scatter.kind_changes
        )
    } else if scatter.without_width > 0 {
        format!(
            "in {} of {draws} draws of that noise no width does",
            scatter.without_width
        )
    } else {
        match between(scatter, voice) {
            Some(range) => format!("the width comes out {range}"),
            None => "no width comes out".to_owned(),
        }
    };
    format!(
        "the readings are too rough to say: they err by {}, and {found}; measure lips, feet and two places on each flat by hand, or scan again more slowly",
        noise(scatter, voice)
    )
}

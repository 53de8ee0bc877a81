//! What the pictures of a closed end say: title, verdict, labels, notes.

use super::{Voice, sentence, when};
use crate::laydown::OrderName;
use crate::section::Zone;

/// Film round an end in numbers, percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct EndNumbers {
    /// Greatest elongation, and the class's limit for it.
    pub(crate) most: f64,
    pub(crate) limit: f64,
    /// Greatest gain of area, and the class's limit for it.
    pub(crate) area: f64,
    pub(crate) area_limit: Option<f64>,
    /// Part of both that is in doubt.
    pub(crate) doubt: f64,
    /// Whether it is called within.
    pub(crate) within: bool,
}

/// A part in words where there are some.
fn part(voice: Voice, doubt: f64) -> String {
    match doubt {
        d if (d - 0.25).abs() < 1e-9 => "a quarter".to_owned(),
        d if (d - 0.5).abs() < 1e-9 => "a half".to_owned(),
        d => format!("{} of it", voice.share(100.0 * d)),
    }
}

impl EndNumbers {
    /// Whole percent, of which tenths say nothing, unless they tell it from its limit.
    fn beside(value: f64, limit: f64, voice: Voice) -> String {
        if (value.round() > limit) == (value > limit) {
            voice.share(value)
        } else {
            voice.beside(value, limit)
        }
    }

    /// The greatest elongation.
    pub(crate) fn most(&self, voice: Voice) -> String {
        Self::beside(self.most, self.limit, voice)
    }

    /// The greatest gain of area.
    pub(crate) fn area(&self, voice: Voice) -> String {
        Self::beside(self.area, self.area_limit.unwrap_or(0.0), voice)
    }

    /// Within or over.
    pub(crate) fn word(&self) -> &'static str {
        when(self.within, "within", "over")
    }

    /// What it is within or over.
    pub(crate) fn of(&self, voice: Voice) -> String {
        let limit = voice.limit(self.limit);
        match self.area_limit {
            _ if self.within || self.most > self.limit => format!("the limit of {limit}"),
            Some(area) if self.area > area => {
                format!("the limit of {} for area", voice.limit(area))
            }
            _ => format!("the limit of {limit}, should it be more than it reads"),
        }
    }

    /// Plus or minus so much.
    pub(crate) fn doubted(&self, voice: Voice) -> String {
        format!("plus or minus {}", part(voice, self.doubt))
    }

    /// The same of several numbers.
    pub(crate) fn all_doubted(&self, voice: Voice) -> String {
        format!("percentages {}", self.doubted(voice))
    }

    /// The answer.
    pub(crate) fn title(&self, voice: Voice) -> String {
        let (most, doubted) = (self.most(voice), self.doubted(voice));
        match self.area_limit {
            Some(limit) if !self.within && self.most <= self.limit && self.area > limit => {
                format!(
                    "Round the end: {} of area at most, {doubted}, over the limit of {}",
                    self.area(voice),
                    voice.limit(limit)
                )
            }
            _ if !self.within && self.most <= self.limit => format!(
                "Round the end: {most} at most, {doubted}, not surely within the limit of {}",
                voice.limit(self.limit)
            ),
            _ => format!(
                "Round the end: {most} at most, {doubted}, {} {}",
                self.word(),
                self.of(voice)
            ),
        }
    }

    /// The answer of the stages.
    pub(crate) fn stages_title(&self, order: OrderName, zone: Zone, voice: Voice) -> String {
        format!(
            "{}: stretched most {}, {}, {} {}",
            sentence(order.word()),
            zone.place(),
            self.most(voice),
            self.word(),
            self.of(voice)
        )
    }

    /// Ink that is gone from a place, percent.
    fn faded(&self) -> f64 {
        100.0 - 100.0 / (1.0 + 0.01 * self.area)
    }

    /// The answer for artwork.
    pub(crate) fn artwork_title(&self, voice: Voice) -> String {
        format!(
            "Artwork round the end: drawn out by {} at most, ink fades by {}",
            self.most(voice),
            voice.share(self.faded())
        )
    }

    /// The place where ink fades most.
    pub(crate) fn faded_label(&self, voice: Voice) -> String {
        format!(
            "fades most: {} less ink, area +{}",
            voice.share(self.faded()),
            self.area(voice)
        )
    }

    /// Mark of the greatest elongation.
    pub(crate) fn most_label(&self, voice: Voice) -> String {
        format!("stretched most: {}", self.most(voice))
    }

    /// Mark of the greatest gain of area.
    pub(crate) fn area_label(&self, voice: Voice) -> String {
        format!("most area: +{}", self.area(voice))
    }

    /// Mark of a place that is greatest in both.
    pub(crate) fn both_label(&self, voice: Voice) -> String {
        format!("{}, area +{}", self.most_label(voice), self.area(voice))
    }

    /// All of it for whoever does not see the picture.
    pub(crate) fn described(&self, zone: Zone, voice: Voice) -> String {
        format!(
            "Film round a closed end is stretched most {}, {}, and its area grows by {} at most, {}: {} {}.",
            zone.place(),
            self.most(voice),
            self.area(voice),
            self.doubted(voice),
            self.word(),
            self.of(voice)
        )
    }
}

impl Voice {
    /// The distance of the tape from the lip.
    pub(crate) fn end_tape(self, mm: f64) -> String {
        match mm {
            mm if mm < 0.05 => "tape at the lip".to_owned(),
            mm => format!("{} from the lip", self.length(mm)),
        }
    }

    /// What the marks of the plan are.
    pub(crate) fn end_note(self, section: bool, pad: bool, creased: bool) -> String {
        let through = when(section, " and through the middle, each", ",");
        let pad = when(pad, " Dotted: edge of the pad.", "");
        let creased = when(creased, " Dots: film that draws together and creases.", "");
        format!("From above{through} to scale. Thin lines: how the front went on.{pad}{creased}")
    }

    /// What the small plans are.
    pub(crate) fn end_stages_note(self) -> String {
        "From above, to scale. Coloured: laid film, which keeps its stretch. White: film still \
         free. Strong lines: tape, and the front inside it; thin ones: lip and foot."
            .to_owned()
    }

    /// What the two grids are.
    pub(crate) fn end_grid_note(self, step: f64) -> String {
        format!(
            "Squares of {} of film, both to the same scale. The lighter, the less ink there is on \
             the same area.",
            self.length(step)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::Units;

    #[test]
    fn a_title_says_which_limit_it_is_over() {
        let voice = Voice::picture(Units::Mm);
        let end = EndNumbers {
            most: 33.0,
            limit: 20.0,
            area: 56.0,
            area_limit: None,
            doubt: 0.25,
            within: false,
        };
        let title = |end: EndNumbers| end.title(voice).replace('\u{2009}', " ");
        let start = "Round the end: 33 % at most, plus or minus a quarter,";
        assert_eq!(title(end), format!("{start} over the limit of 20 %"));
        let wide = EndNumbers { limit: 40.0, ..end };
        let unsure = format!("{start} not surely within the limit of 40 %");
        assert_eq!(title(wide), unsure);
        let within = EndNumbers {
            within: true,
            ..wide
        };
        assert_eq!(title(within), format!("{start} within the limit of 40 %"));
        let thin = EndNumbers {
            area_limit: Some(50.0),
            ..wide
        };
        let of = "Round the end: 56 % of area at most, plus or minus a quarter";
        assert_eq!(title(thin), format!("{of}, over the limit of 50 %"));
    }

    #[test]
    fn whole_percent_never_hide_that_it_is_over() {
        let voice = Voice::picture(Units::Mm);
        let end = EndNumbers {
            most: 20.3,
            limit: 20.0,
            area: 25.0,
            area_limit: None,
            doubt: 0.25,
            within: false,
        };
        assert_eq!(end.most(voice), "20.3\u{2009}%");
        // Reference: by hand; ink on 1.25 times the area is 0.8 of it.
        assert!((end.faded() - 20.0).abs() < 1e-9);
    }
}

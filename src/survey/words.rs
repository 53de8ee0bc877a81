//! What was made of a survey, in words.

use super::Reading;

/// Tilt from which it is worth a word, degrees.
const TILT_SAID: f64 = 0.5;
/// Way of a squared wall from which it is worth a word, mm.
const SQUARED_SAID: f64 = 0.05;
/// Most slips that are named one by one.
const MOST_NAMED: usize = 6;

impl Reading {
    /// What was done to the readings, a sentence each, in the order it was done; none for a
    /// clean, level survey.
    pub fn words(&self) -> Vec<String> {
        let mut all = Vec::new();
        if self.turned_deg.abs() >= TILT_SAID {
            let then = if self.turned {
                "it was turned level"
            } else {
                "lips and feet are found with its flats level, the points stay as they are"
            };
            all.push(format!(
                "the survey is tilted by {:.1} degrees: {then}",
                self.turned_deg
            ));
        }
        all.extend(self.slips_words());
        if self.fitted {
            all.push(self.fit_words());
        }
        if self.squared_mm >= SQUARED_SAID {
            all.push(format!(
                "walls that ran back by up to {:.2} mm were squared off as vertical",
                self.squared_mm
            ));
        }
        all
    }

    fn slips_words(&self) -> Option<String> {
        if self.slips.is_empty() {
            return None;
        }
        let named: Vec<String> = self
            .slips
            .iter()
            .take(MOST_NAMED)
            .map(|s| format!("number {} by {:.1} mm", s.place, s.off_mm))
            .collect();
        let more = self.slips.len().saturating_sub(MOST_NAMED);
        let rest = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        let what = if self.slips.len() == 1 {
            "1 reading stands off the panel and was dropped".to_owned()
        } else {
            format!(
                "{} readings stand off the panel and were dropped",
                self.slips.len()
            )
        };
        Some(format!("{what}: {}{rest}", named.join(", ")))
    }

    /// How far readings err, as "0.10 mm, neighbours alike over 3 mm".
    pub fn noise_words(&self) -> String {
        if self.noise_over_mm > 0.0 {
            format!(
                "{:.2} mm, neighbours alike over {:.1} mm",
                self.noise_mm, self.noise_over_mm
            )
        } else {
            format!("{:.2} mm", self.noise_mm)
        }
    }

    fn fit_words(&self) -> String {
        let corners = match self.rounded.len() {
            0 => String::new(),
            1 => ", 1 corner rounded".to_owned(),
            n => format!(", {n} corners rounded"),
        };
        format!(
            "each reading errs by {}: a section of {} straight pieces{corners} was fitted to {} of them",
            self.noise_words(),
            self.pieces,
            self.raw.len() - self.slips.len()
        )
    }
}

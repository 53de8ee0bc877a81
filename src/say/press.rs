//! What presses on a scale say, in words.

use super::{Say, Voice};
use crate::evidence::trial::{PressError, PressReport};

impl Say for PressError {
    fn say(&self, voice: Voice) -> String {
        match self {
            Self::NoPress => {
                let order = voice.at_keyboard(": `--order deepest-first`");
                format!("an order without a first press in the open, which is what a scale reads{order}")
            }
            Self::NoForce => "film that pulls with no force at the first press: a deeper recess or a narrower bridge tells more".to_owned(),
            Self::NotComputed(Some(why)) => format!("no force to measure by: {}", why.say(voice)),
            Self::NotComputed(None) => "no force to measure by".to_owned(),
        }
    }
}

impl Voice {
    /// What presses on a scale say, a row each: its title and its words.
    pub fn press_rows(self, press: &PressReport) -> Vec<(&'static str, String)> {
        let newtons = |n: f64| format!("{} N", self.steady(n, 1));
        let measured: Vec<String> = press.measured_n.iter().map(|&n| newtons(n)).collect();
        let warm = press.temperature_c;
        let warm = warm.map_or_else(String::new, |t| format!(", film at {}", self.celsius(t)));
        let before = press.factor_before.map_or_else(String::new, |factor| {
            format!("; the class has {} now", self.steady(factor, 2))
        });
        vec![
            ("Measured", measured.join(", ")),
            (
                "Computed",
                format!(
                    "{} down at the first press{warm}",
                    newtons(press.computed_n)
                ),
            ),
            ("Factor", format!("{}{before}", self.press_factor(press))),
        ]
    }

    /// Measured over computed, with how well it is known.
    pub fn press_factor(self, press: &PressReport) -> String {
        let number = |v: f64| self.steady(v, 2);
        let factor = number(press.factor);
        match (press.error, press.between) {
            (Some(error), Some([from, to])) => format!(
                "{factor}, standard error {}, 95 % between {} and {} ({} presses)",
                number(error),
                number(from),
                number(to),
                press.measured_n.len()
            ),
            _ => format!("{factor} (one press)"),
        }
    }

    /// What is to be known of presses before they are relied on.
    pub fn press_notes(self, press: &PressReport) -> Vec<String> {
        let mut said = Vec::new();
        if press.between.is_none() {
            said.push(
                "one press does not tell how far presses differ: measure three or more, a fresh piece of film each".to_owned(),
            );
        } else if press.wide {
            said.push(
                "the presses scatter too widely for a factor: pressed as slowly, as deep, and the film as warm each time? Measure more".to_owned(),
            );
        }
        said
    }
}

//! Every sentence once, and every number's format: typed answers become words for a terminal,
//! a screen, a paper or a picture, in millimetres or inches.
//!
//! The core states what it found as values ([`Notice`](crate::advice::Notice) and its kin). Here they
//! are said: a terminal hears which option helps, a page and a paper never do. Lengths in
//! inches are what a tape shows, whole sixteenths.
//!
//! ```
//! use tautspan::say::{Medium, Say, Voice};
//! use tautspan::Units;
//! use tautspan::advice::Notice;
//! let seen = Notice::OutOfReach { tool: "fingertip".to_owned(), gap_mm: 25.4 };
//! let paper = Voice { units: Units::Inch, medium: Medium::Paper };
//! assert!(seen.say(paper).starts_with("the fingertip leaves up to 1\u{a0}in of the recess"));
//! ```

mod air;
mod answer;
mod assumed;
mod compared;
mod end_figure;
mod ends;
pub(crate) mod faults;
mod heat;
mod hold;
mod invented;
mod lay;
mod notice;
mod number;
mod options;
mod order;
mod press;
mod reason;
mod section;
mod told;
mod trial;
#[cfg(feature = "figures")]
mod trial_figure;

pub use answer::CAUTIONS;
pub(crate) use end_figure::EndNumbers;
pub use heat::HEAT_CAUTIONS;
pub(crate) use number::lower;
pub use number::{inch_words, sentence};
pub use options::{CUTTING, OptionWords};
pub(crate) use told::told_in;

use crate::section::Units;
use crate::told::when;

/// Where words are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Medium {
    /// In a terminal: plain letters; options of the command line are named.
    Terminal,
    /// On a screen, from JSON.
    Screen,
    /// In front of the page: its controls are named.
    Page,
    /// On a card, a chart, a sheet.
    Paper,
    /// In a picture.
    Picture,
}

/// How to speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Voice {
    /// Units of lengths.
    pub units: Units,
    /// Where it is read.
    pub medium: Medium,
}

/// What can be said.
pub trait Say {
    /// In words, without a capital or a full stop.
    fn say(&self, voice: Voice) -> String;
}

impl<T: Say + ?Sized> Say for &T {
    fn say(&self, voice: Voice) -> String {
        (**self).say(voice)
    }
}

impl Voice {
    /// In plain words, in mm: for whoever reads them.
    pub const PLAIN: Self = Self {
        units: Units::Mm,
        medium: Medium::Screen,
    };

    /// For the page.
    pub fn page(units: Units) -> Self {
        Self {
            units,
            medium: Medium::Page,
        }
    }

    /// For a terminal.
    pub fn terminal(units: Units) -> Self {
        Self {
            units,
            medium: Medium::Terminal,
        }
    }

    /// For a paper.
    pub fn paper(units: Units) -> Self {
        Self {
            units,
            medium: Medium::Paper,
        }
    }

    /// For a picture.
    pub fn picture(units: Units) -> Self {
        Self {
            units,
            medium: Medium::Picture,
        }
    }

    /// What only helps at a keyboard: an option, a command.
    pub(crate) fn at_keyboard(self, words: &str) -> &str {
        match self.medium {
            Medium::Terminal => words,
            Medium::Screen | Medium::Page | Medium::Paper | Medium::Picture => "",
        }
    }

    /// Each thing once, in words.
    pub fn all<'a, T: Say + 'a>(self, items: impl IntoIterator<Item = &'a T>) -> Vec<String> {
        let mut said = Vec::new();
        for item in items {
            let words = item.say(self);
            if !said.contains(&words) {
                said.push(words);
            }
        }
        said
    }
}

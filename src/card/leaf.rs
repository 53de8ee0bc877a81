//! What stands on a page of card, chart or lesson, top to bottom: written once, printed by
//! `print` and shown by `html`.

use super::drawing::Dimensions;
use super::source::Row;
#[cfg(feature = "pdf")]
use crate::figure::Drawing;

/// How a paragraph is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Type {
    /// What is to be read first.
    Big,
    /// The name of a part.
    Name,
    /// The line under the title.
    Sub,
    /// Everything else.
    Body,
}

/// What stands before each line of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bullet {
    /// Its number; set larger, to be done.
    Number,
    /// Nothing; set larger, to be done.
    None,
    /// A box to tick.
    Box,
    /// A dash.
    Dash,
}

/// A table of cells under a heading.
#[derive(Debug, Clone)]
pub(crate) struct Grid {
    pub(crate) caption: String,
    /// The head of the first column, and of the others.
    pub(crate) heads: Vec<String>,
    /// Each row: its name, then its cells; a cell that is a word and no number is `false`.
    pub(crate) rows: Vec<(String, Vec<(String, bool)>)>,
}

/// A part of a page.
#[derive(Debug, Clone)]
pub(crate) enum Block<'a> {
    /// The page's name, cut after two lines, and what kind of page it is.
    Title(String, &'static str),
    Text(Type, String),
    /// In a frame: what is true of all.
    Framed(String),
    /// A thick line over all that follows.
    Bar,
    /// The name of a part, under a thin line.
    Heading(String),
    List(Bullet, Vec<String>),
    /// Label at the left, value at the right.
    Rows(&'a [Row]),
    /// Side by side; widths in parts, none where all are alike.
    Columns(&'static [f64], Vec<Vec<Self>>),
    /// The dimensioned section.
    Section(&'a Dimensions),
    /// A picture, this high, mm.
    #[cfg(feature = "pdf")]
    Picture(&'a Drawing, f64),
    /// A table, its rows this high, mm.
    Grid(Grid, f64),
    /// Words with room for so many readings, and names with room to write.
    Blanks(&'static str, usize, &'a [String]),
}

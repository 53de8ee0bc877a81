//! Marks on a trial piece: where each was on the flat film, where it lies now, and what became
//! of the film.
//!
//! One row a mark, `flat_mm` and `panel_mm`, both from the left bond line (the inner edge of
//! the left tape), the second along the panel. `piece` and `bridge_mm` part several pieces of one
//! table. A row with a `result` says what became of a piece, at `panel_mm` if that is known,
//! after `after_h` hours.

use crate::evidence::table::{Known, Row, read};
use crate::fault::{Fault, Phrase, Refused};
use serde::{Deserialize, Serialize};

/// Least marks of a piece that tell more than where its origin is.
pub(super) const FEWEST: usize = 4;

const COLUMNS: &[Known] = &[
    Known::word("piece"),
    Known::length("bridge"),
    Known::length("flat"),
    Known::length("panel"),
    Known::word("result"),
    Known::word("after_h"),
    Known::word("note"),
];

/// What became of film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// It stayed as it was laid.
    Held,
    /// It whitened: stretched past what it can hold.
    Whitened,
    /// It tore.
    Tore,
    /// It lifted off.
    Lifted,
    /// It creased: laid badly, which tells nothing of its limit.
    Creased,
}

impl Fate {
    /// All there are.
    pub const ALL: [Self; 5] = [
        Self::Held,
        Self::Whitened,
        Self::Tore,
        Self::Lifted,
        Self::Creased,
    ];

    /// Its name in a table.
    pub fn name(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::Whitened => "whitened",
            Self::Tore => "tore",
            Self::Lifted => "lifted",
            Self::Creased => "creased",
        }
    }

    /// Is it the end of film that was stretched too far? `None`: it tells nothing of that.
    pub fn failed(self) -> Option<bool> {
        match self {
            Self::Held => Some(false),
            Self::Whitened | Self::Tore | Self::Lifted => Some(true),
            Self::Creased => None,
        }
    }
}

/// One mark.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    /// Place on the flat film from the left bond line, mm.
    pub flat_mm: f64,
    /// Place along the panel from the left bond line, mm.
    pub panel_mm: f64,
}

/// What became of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// What.
    pub fate: Fate,
    /// Where, along the panel from the left bond line, mm, if that was seen.
    pub panel_mm: Option<f64>,
    /// After how long, hours, if that is known.
    pub after_h: Option<f64>,
}

/// One trial piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Its name.
    pub name: String,
    /// Its bridge, mm, where the table says it.
    pub bridge_mm: Option<f64>,
    /// Its marks from left to right.
    pub marks: Vec<Mark>,
    /// What became of it.
    pub outcomes: Vec<Outcome>,
}

/// Reads the pieces of a table.
///
/// # Arguments
/// * `name`: of the table, for its faults; a table without a `piece` column is one piece of
///   this name.
///
/// # Errors
/// Every fault with its line: what is no number, marks that run back or lie twice in one place,
/// an unknown result, two bridges of one piece, a row with neither mark nor result.
pub fn read_marks(name: &str, text: &str) -> Result<Vec<Piece>, Refused> {
    let mut pieces: Vec<Piece> = Vec::new();
    let found = read(text, COLUMNS, |row| {
        let title = row.text("piece").map_err(|f| vec![f])?.unwrap_or(name);
        let k = pieces.iter().position(|p| p.name == title);
        let k = k.unwrap_or_else(|| {
            pieces.push(Piece {
                name: title.to_owned(),
                bridge_mm: None,
                marks: Vec::new(),
                outcomes: Vec::new(),
            });
            pieces.len() - 1
        });
        take(row, &mut pieces[k])
    });
    let mut faults = found.err().unwrap_or_default();
    if faults.is_empty() && pieces.is_empty() {
        let expected = "a row for each mark, as in `0,0` and `5,5.8`";
        faults.push(Fault::whole("no marks", expected));
    }
    Refused::unless(name, faults, pieces)
}

/// Takes the bridge of a row over.
pub(super) fn take_bridge(
    row: &Row<'_>,
    piece: &str,
    before: &mut Option<f64>,
    faults: &mut Vec<Fault>,
) {
    let fault =
        |found: Phrase, expected: &'static str| row.of("bridge", Fault::whole(found, expected));
    match (row.number("bridge"), *before) {
        (Err(refused), _) => faults.push(refused),
        (Ok(Some(mm)), None) if mm > 0.0 => *before = Some(mm),
        (Ok(Some(mm)), None) => faults.push(fault(format!("{mm}").into(), "a length above 0")),
        (Ok(Some(mm)), Some(before)) if (mm - before).abs() > 1e-9 => {
            let found = format!("another bridge of the piece `{piece}`");
            faults.push(fault(found.into(), "one bridge a piece"));
        }
        _ => {}
    }
}

/// Takes the fate of a row over, if it says one.
pub(super) fn take_fate(
    row: &Row<'_>,
    panel_mm: Option<f64>,
    outcomes: &mut Vec<Outcome>,
    faults: &mut Vec<Fault>,
) -> Option<Fate> {
    let after_h = row.number("after_h").unwrap_or_else(|fault| {
        faults.push(fault);
        None
    });
    let mut fault = |column: &str, found: Phrase, expected: &'static str| {
        faults.push(row.of(column, Fault::whole(found, expected)));
    };
    if let Some(hours) = after_h.filter(|&hours| hours < 0.0) {
        fault("after_h", format!("{hours}").into(), "0 hours or more");
    }
    let word = match row.text("result") {
        Ok(word) => word?.to_ascii_lowercase(),
        Err(refused) => {
            fault("result", refused.found, "UTF-8 text");
            return None;
        }
    };
    let fate = Fate::ALL.into_iter().find(|fate| fate.name() == word);
    match fate {
        Some(fate) => outcomes.push(Outcome {
            fate,
            panel_mm,
            after_h,
        }),
        None => fault(
            "result",
            crate::section::quoted(&word).into(),
            "`held`, `whitened`, `tore`, `lifted` or `creased`",
        ),
    }
    fate
}

/// Takes one row over.
fn take(row: &Row<'_>, piece: &mut Piece) -> Result<(), Vec<Fault>> {
    let mut faults = Vec::new();
    let [flat, panel] = ["flat", "panel"].map(|name| {
        row.number(name).unwrap_or_else(|fault| {
            faults.push(fault);
            None
        })
    });
    take_bridge(row, &piece.name, &mut piece.bridge_mm, &mut faults);
    let fate = take_fate(row, panel, &mut piece.outcomes, &mut faults);
    if fate.is_none() && flat.is_none() && panel.is_none() && faults.is_empty() {
        faults.push(Fault::at(
            row.line(),
            "neither a mark nor a result",
            "`flat_mm` and `panel_mm`, or a `result`",
        ));
    }
    match (flat, panel) {
        (Some(flat_mm), Some(panel_mm)) => {
            let before = piece.marks.last();
            if before.is_some_and(|m| m.flat_mm >= flat_mm || m.panel_mm >= panel_mm) {
                faults.push(Fault::at(
                    row.line(),
                    "a mark that is not to the right of the one before it",
                    "marks from left to right, each once",
                ));
            } else {
                piece.marks.push(Mark { flat_mm, panel_mm });
            }
        }
        (Some(_), None) if faults.is_empty() => {
            faults.push(Fault::at(
                row.line(),
                "no `panel_mm` of a mark",
                "where it lies now",
            ));
        }
        (None, Some(_)) if fate.is_none() && faults.is_empty() => {
            faults.push(Fault::at(
                row.line(),
                "no `flat_mm` of a mark",
                "where it was on flat film",
            ));
        }
        _ => {}
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

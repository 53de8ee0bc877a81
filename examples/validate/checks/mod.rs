//! The checks of the report: what is computed beside what it should be, and where that is from.
//!
//! `cargo test` holds every row of [`quick`] too (tests/library/validation.rs).

pub(crate) mod film;
pub(crate) mod front;
pub(crate) mod march;
pub(crate) mod readings;
pub(crate) mod round_ends;
pub(crate) mod table;

use serde::Serialize;

/// What stands behind an expected value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Standing {
    /// Seen in the source that is named, or in a stored copy of it.
    Read,
    /// Of the source that is named, as remembered; recomputed.
    Memory,
    /// Worked out for this project.
    Derived,
    /// By another method, or another program.
    Numerics,
    /// True by construction: the section was made so.
    Made,
}

impl Standing {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Read => "read in the source",
            Self::Memory => "from memory, recomputed",
            Self::Derived => "derived",
            Self::Numerics => "independent numerics",
            Self::Made => "true by construction",
        }
    }
}

/// One value.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Row {
    pub(crate) what: String,
    pub(crate) unit: &'static str,
    pub(crate) expected: f64,
    pub(crate) computed: f64,
    /// How far off it may be, in its unit.
    pub(crate) tolerance: f64,
}

impl Row {
    pub(crate) fn new(
        what: impl Into<String>,
        unit: &'static str,
        expected: f64,
        computed: f64,
        tolerance: f64,
    ) -> Self {
        Self {
            what: what.into(),
            unit,
            expected,
            computed,
            tolerance,
        }
    }

    /// At least so much.
    pub(crate) fn least(what: &str, unit: &'static str, least: f64, computed: f64) -> Self {
        // What is more is no error.
        Self::new(what, unit, least, computed.min(least), 0.0)
    }

    pub(crate) fn error(&self) -> f64 {
        self.computed - self.expected
    }

    /// A value that is none is never right.
    pub(crate) fn holds(&self) -> bool {
        self.error().abs() <= self.tolerance
    }
}

/// Values of one source.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Group {
    pub(crate) title: &'static str,
    pub(crate) source: &'static str,
    pub(crate) standing: Standing,
    /// Why its tolerance is what it is.
    pub(crate) tolerance: &'static str,
    pub(crate) rows: Vec<Row>,
}

impl Group {
    /// Rows that do not hold, in words.
    pub(crate) fn misses(&self) -> Vec<String> {
        let out = self.rows.iter().filter(|row| !row.holds());
        out.map(|row| {
            format!(
                "{}: {}: {} {} expected, {} computed",
                self.title, row.what, row.expected, row.unit, row.computed
            )
        })
        .collect()
    }
}

/// All checks that take no more than some seconds together.
pub(crate) fn quick() -> Vec<Group> {
    let mut all = front::groups();
    all.extend(table::groups());
    all.extend(march::groups());
    all.extend(film::groups());
    all.extend(readings::groups());
    all
}

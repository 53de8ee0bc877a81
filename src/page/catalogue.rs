//! What the page can choose from. The page's engine is furnished with it when it starts, so
//! that it need not read TOML itself: that would double its size.

use crate::film::{FilmClass, Tool, builtin_films, builtin_tools};
use serde::{Deserialize, Serialize};

/// Film classes, tools and demo recesses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Catalogue {
    /// [`crate::SCHEMA`].
    pub schema: u32,
    /// [`crate::PROGRAM`].
    pub program: String,
    /// Film classes, most stretchable first.
    pub films: Vec<FilmClass>,
    /// Tools; the first is taken unless told.
    pub tools: Vec<Tool>,
    /// Recesses of the demo vehicle.
    pub recesses: Vec<CatalogueRecess>,
}

/// A recess of the demo vehicle.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CatalogueRecess {
    /// Its name.
    pub name: String,
    /// Its section, as CSV.
    pub csv: String,
}

impl Catalogue {
    /// What comes with the program.
    pub fn builtin() -> Self {
        let recess = |(name, csv): (&str, &str)| CatalogueRecess {
            name: name.to_owned(),
            csv: csv.to_owned(),
        };
        Self {
            schema: crate::SCHEMA,
            program: crate::PROGRAM.to_owned(),
            films: builtin_films(),
            tools: builtin_tools(),
            recesses: crate::DEMO_RECESSES.map(recess).to_vec(),
        }
    }
}

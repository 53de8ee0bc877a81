//! What the page can choose from. The page's engine is furnished with it when it starts, so
//! that it need not read TOML itself: that would double its size.

use crate::advice::{Names, QuestionError};
use crate::film::{FilmClass, Tool, builtin_films, builtin_tools};
use crate::say::CUTTING;
use serde::{Deserialize, Serialize};

/// Film classes, tools and demo recesses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Catalogue {
    /// [`crate::advice::SCHEMA`].
    pub schema: u32,
    /// [`crate::advice::PROGRAM`].
    pub program: String,
    /// Film classes, most stretchable first.
    pub films: Vec<FilmClass>,
    /// Tools; the first is taken unless told.
    pub tools: Vec<Tool>,
    /// Recesses of the demo vehicle.
    pub recesses: Vec<CatalogueRecess>,
    /// What holds wherever film is cut or overlaps.
    pub cutting: Vec<String>,
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
            schema: crate::advice::SCHEMA,
            program: crate::advice::PROGRAM.to_owned(),
            films: builtin_films(),
            tools: builtin_tools(),
            recesses: crate::DEMO_RECESSES.map(recess).to_vec(),
            cutting: CUTTING.map(str::to_owned).to_vec(),
        }
    }
}

impl Names for Catalogue {
    fn film(&self, name: &str) -> Result<FilmClass, QuestionError> {
        pick("film class", name, &self.films, |f| &f.name).cloned()
    }

    fn tool(&self, name: &str) -> Result<Tool, QuestionError> {
        pick("tool", name, &self.tools, |t| &t.name).cloned()
    }

    fn recess(&self, name: &str) -> Result<String, QuestionError> {
        pick("recess", name, &self.recesses, |r| &r.name).map(|r| r.csv.clone())
    }
}

/// The one of a name.
fn pick<'a, T>(
    what: &'static str,
    name: &str,
    all: &'a [T],
    named: impl Fn(&T) -> &String,
) -> Result<&'a T, QuestionError> {
    all.iter()
        .find(|one| named(one) == name)
        .ok_or_else(|| QuestionError::Unknown {
            what,
            name: name.to_owned(),
            names: all.iter().map(|one| named(one).clone()).collect(),
        })
}

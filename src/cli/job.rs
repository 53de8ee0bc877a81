//! The job file: a question as TOML, opened with `--job` and written with `--save-job`.

use super::files::{Draft, write_noted};
use super::named::{is_file, path_text, read_file};
use anyhow::Result;
use std::path::{Path, PathBuf};
use tautspan::Question;
use tautspan::advice::{OrderChoice, SectionText};

/// Job file.
#[derive(Debug, clap::Args)]
pub(crate) struct JobArgs {
    /// Job file: the whole question as TOML, as --save-job and the page write it; other options
    /// override what it says, and paths in it count from its folder
    #[arg(long, value_name = "FILE")]
    job: Option<PathBuf>,
    /// Write the whole question to this job file
    #[arg(long, value_name = "FILE")]
    save_job: Option<PathBuf>,
}

impl JobArgs {
    /// The question of the job file, its paths as they count from here.
    pub(crate) fn read(&self) -> Result<Option<Question>> {
        let Some(path) = &self.job else {
            return Ok(None);
        };
        let text = String::from_utf8_lossy(&read_file(path)?).into_owned();
        let file = path.display().to_string();
        let mut question = tautspan::advice::read_job(&file, &text)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        move_paths(&mut question, |inside| path_text(&folder.join(inside)))?;
        Ok(Some(question))
    }

    /// Writes the question to the job file asked for, its paths as they count from there.
    pub(crate) fn save(&self, question: &Question, force: bool) -> Result<()> {
        let Some(path) = &self.save_job else {
            return Ok(());
        };
        let folder = std::path::absolute(path)?;
        let folder = folder.parent().unwrap_or(Path::new(""));
        let mut question = question.clone();
        move_paths(&mut question, |outside| {
            let whole = std::path::absolute(outside)?;
            path_text(whole.strip_prefix(folder).unwrap_or(&whole))
        })?;
        write_noted(&[Draft::new(path.clone(), question.to_toml())], force)
    }
}

/// Moves every path in a question.
fn move_paths(question: &mut Question, moved: impl Fn(&str) -> Result<String>) -> Result<()> {
    if let Some(SectionText::File(path)) = &mut question.section {
        *path = moved(path)?;
    }
    if let Some(OrderChoice::Steps(text)) = &mut question.order
        && OrderChoice::is_file(text)
    {
        *text = moved(text)?;
    }
    let film = |name: &str| tautspan::film_named(name).is_none() && is_file(name);
    let tool = |name: &str| tautspan::tool_named(name).is_none() && is_file(name);
    if let Some(names) = &mut question.film {
        // Classes compared stand side by side with commas between.
        let all = names.split(',').map(str::trim).map(|name| {
            if film(name) {
                moved(name)
            } else {
                Ok(name.to_owned())
            }
        });
        *names = all.collect::<Result<Vec<_>>>()?.join(",");
    }
    if let Some(name) = &mut question.tool
        && tool(name)
    {
        *name = moved(name)?;
    }
    let class = question.film_class.as_mut();
    if let Some(csv) = class.and_then(|class| class.tensile_csv.as_mut()) {
        *csv = moved(csv)?;
    }
    Ok(())
}

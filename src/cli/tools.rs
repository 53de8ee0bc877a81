//! `tautspan tools`: list, show, validate.

use super::{Outcome, named, out, out_json};
use anyhow::Result;
use tautspan::Tool;
use tautspan::Units;
use tautspan::film::{builtin_tools, tool_toml};
use tautspan::say::Voice;

#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// A tool of the catalogue, or a TOML file to validate
    #[arg(value_name = "NAME|FILE")]
    tool: Option<String>,
    /// Print as JSON, with the keys of the TOML
    #[arg(long)]
    json: bool,
    /// Print the TOML of a tool of the catalogue, to copy from
    #[arg(long, requires = "tool", conflicts_with = "json")]
    toml: bool,
}

pub(crate) fn run(args: &Args) -> Result<Outcome> {
    let tools = match &args.tool {
        None if args.json => return out_json(&builtin_tools()),
        None => builtin_tools(),
        Some(name) => {
            if let (true, Some(toml)) = (args.toml, tool_toml(name)) {
                return out(toml);
            }
            let tool = named::tool(name)?;
            if args.json {
                return out_json(&tool);
            }
            vec![tool]
        }
    };
    out(&table(&tools))
}

fn table(tools: &[Tool]) -> String {
    let mut text = format!(
        "{:<12}{:>8}{:>12}{:>16}  {}\n",
        "Tool", "pad", "tip radius", "contact length", "what it is"
    );
    let voice = Voice::terminal(Units::Mm);
    let mm = |v: f64| voice.length(v);
    for tool in tools {
        text.push_str(&format!(
            "{:<12}{:>8}{:>12}{:>16}  {} ({})\n",
            tool.name,
            mm(tool.pad()),
            mm(tool.tip_radius()),
            tool.contact_length()
                .map_or_else(|| "not said".to_owned(), mm),
            tool.summary,
            tool.pad_mm.source
        ));
    }
    text
}

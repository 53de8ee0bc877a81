//! Film classes and tools: what is known of them, with the source of every number.
//!
//! A class or a tool is a small TOML file (`profiles/films/README.md` says how to write
//! one). A file is read into [`FilmClass`] or [`Tool`] and checked as a whole: every
//! fault is reported with its line, not just the first. Fields keep the units of the file,
//! named in the key (`thickness_um`, `limit_pct`); methods give the units of the library
//! (mm, plain ratios). Nothing here opens a file: the caller passes the text.

mod catalogue;
mod class;
mod closest;
mod deciding;
mod law;
mod number;
mod read;
mod tool;

pub use catalogue::{
    builtin_films, builtin_tools, film_named, film_names, film_toml, parse_film, parse_tool,
    tool_named, tool_names, tool_toml,
};
pub use class::{FilmClass, Layer, ModulusRow, Peel};
pub use closest::closest;
pub use deciding::{FilmNumber, ToolNumber};
pub use law::{LawError, StretchLaw, TensileCurve};
pub use number::Number;
pub(crate) use read::read_toml;
pub use tool::Tool;

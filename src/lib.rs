#![warn(clippy::print_stdout, clippy::print_stderr)]
#![doc = include_str!("lib.md")]

pub mod advice;
pub mod card;
mod demo;
mod draw;
pub mod ends;
pub mod evidence;
pub mod fault;
pub mod figure;
pub mod film;
pub mod geometry;
pub mod laydown;
pub mod outcome;
pub mod page;
pub mod say;
pub mod section;
pub mod survey;
mod told;

pub use advice::{Bay, Check, Handling, Job, Question, Recommendation, compare, recommend, sweep};
pub use demo::{DEMO_HEAT, DEMO_RECESSES};
pub use film::{FilmClass, Tool, builtin_films, film_named, tool_named};
pub use geometry::Point;
pub use laydown::{Bed, Bonds, Conditions, Laydown, Order, Split};
pub use say::faults::Said;
pub use section::{
    Kind, Recess, Section, Side, Survey, Units, read_csv, read_points, read_shape, read_tape,
};
pub use told::Told;

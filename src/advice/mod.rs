//! From a lay-down to a decision: the plain rule, the width, what else would do.

mod alternatives;
mod answer;
mod assured;
mod bay;
mod compare;
mod costs;
mod draws;
mod family;
mod follows;
mod handling;
mod inlay;
mod job;
mod job_file;
mod order_grid;
mod order_search;
mod plain;
mod press;
mod question;
mod question_error;
mod scatter;
mod seen;
mod setting;
mod settled;
mod sweep;
mod tape_step;
mod three_steps;
pub(crate) mod width;
mod work;

pub use alternatives::alternatives;
pub use answer::*;
pub use assured::{Assurance, held_pct};
pub use bay::{AMBIENT, Bay, FlatState, LipShape, WarmRange, WarmZone};
pub use compare::{Candidate, CompareError, Comparison, ComparisonRow, Site, Verdict, compare};
pub use family::recommend_family;
pub use handling::Handling;
pub use inlay::{OVERLAP, STRETCHED_END_PCT};
pub use job::Job;
pub use job_file::read_job;
pub use order_search::{
    LONGEST_SEARCH, MOST_STEPS, OrderSearch, StepCount, StepReport, UnderConditions, search_order,
};
pub use plain::plain_rule;
pub use press::{PressPlace, pressed_best};
pub use question::{Names, OrderChoice, Question, Readings, SectionText};
pub use question_error::QuestionError;
pub use seen::{SectionFault, SectionSeen};
pub use setting::Setting;
pub use sweep::sweep;
pub use tape_step::{TapeStep, WIDTH_STEP};
pub use three_steps::three_steps;
pub use width::{recommend, recommend_width};

//! The ends of the recess along the vehicle, as typed.

use super::input::{Tell, put};
use super::length::{TypedLength, given};
use super::note;
use anyhow::Result;
use tautspan::{Job, Question, Units};

/// How the recess ends.
#[derive(Debug, clap::Args)]
pub(crate) struct EndArgs {
    /// How the recess ends on the left along the vehicle, seen from the outside: open,
    /// rounded, square or ramp, with what is known of it in plan, as in
    /// "rounded:radius=40,run=20,foot-radius=20", "square:corner=25,run=20", "ramp:run=80"
    /// [default: open]
    #[arg(long, value_name = "END")]
    end_left: Option<String>,
    /// How it ends on the right
    #[arg(long, value_name = "END")]
    end_right: Option<String>,
    /// Length of the recess along the panel, from end to end; two closed ends make it a pocket
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    length: Option<TypedLength>,
    /// Clear panel beyond the lip of a closed end [default: 300mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    clear_end: Option<TypedLength>,
    /// How far short of a closed end's foot the press line stops [default: at the centre of
    /// the end's arc]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    press_stop: Option<TypedLength>,
}

impl Tell for EndArgs {
    fn tell(&self, question: &mut Question, units: Units) -> Result<()> {
        put(&mut question.end_left, self.end_left.clone());
        put(&mut question.end_right, self.end_right.clone());
        for (key, typed, option) in [
            (&mut question.length_mm, &self.length, "--length"),
            (&mut question.clear_end_mm, &self.clear_end, "--clear-end"),
            (
                &mut question.press_stop_mm,
                &self.press_stop,
                "--press-stop",
            ),
        ] {
            put(key, given(typed.as_ref(), option, units)?);
        }
        Ok(())
    }
}

/// The job for the middle of the recess, which is all that many widths or orders are tried on.
pub(crate) fn middle_alone(job: Job<'_>) -> Job<'_> {
    if job.ends.is_some() {
        note(
            "note: this is for the middle of the recess; `recommend`, `check` and `compare` answer for a closed end too",
        );
    }
    Job { ends: None, ..job }
}

//! One thing to try, for each [`Hint`].

use crate::fault::{Hint, Slip};
use crate::say::Voice;

/// What to try.
pub(super) fn hint(hint: &Hint, to: Voice) -> String {
    match hint {
        Hint::Slip(slip) => of_slip(*slip),
        Hint::SayUnits => to.choose(
            "say `--units mm` or `--units in`",
            "choose “Units of bare numbers” under the text",
            "say the units of bare numbers",
        ),
        Hint::CheckUnits => "are the units mm?",
        Hint::ThinOut => "thin the survey out",
        Hint::TurnRound => to.choose(
            "reverse their order, or say `--leftwards` for readings taken from right to left",
            "reverse their order, or tick “Typed from right to left” under the text",
            "reverse their order, or say that they were taken from right to left",
        ),
        Hint::SquareOff => "undercuts are not supported yet: square the wall off as vertical",
        Hint::SaveAsUtf8 => "save it as CSV UTF-8",
        Hint::TrailingComma => "leave out the comma at the end",
        Hint::Separator(';') => "semicolons where the header has another separator?",
        Hint::Separator(',') => "commas where the header has another separator?",
        Hint::Separator(_) => "spaces or tabs where the header has another separator?",
        Hint::DecimalColumns => {
            "decimal commas? write points, or semicolons between the columns"
        }
        Hint::DecimalList => {
            "a decimal comma? write a point, or part by semicolons what commas part here"
        }
        Hint::DecimalPoints => "write decimal points, or `x;y x;y` with decimal commas",
        Hint::RightFile => "is it the right file?",
        Hint::TakeGroove => "without a floor it is a `groove`",
        Hint::TakeChannel => "a deeper circle is undercut: take a `channel` with `foot-radius`",
        Hint::SmallerFloor => {
            "undercuts are not supported yet: take a smaller floor or a steeper other wall"
        }
        Hint::LeaveOneOut => "leave one out",
        Hint::PressTapeIn => {
            "press the tape right into the recess and measure it again, then the depth"
        }
        Hint::MarkAtLips => {
            "mark the tape at the lips only and measure it again, then mouth and depth"
        }
        Hint::MeasureAgain(keys) => {
            let keys = keys.join(", ");
            return format!("measure the tape and {keys} again, or leave them out");
        }
        Hint::MeasureAll => "measure mouth, depth and tape again, and check the units",
        Hint::CleanAndRepeat => "clean the panel and the gauge and measure again",
        Hint::Smoother => {
            "measure again more slowly, or the lips, the feet and two places on each flat alone"
        }
        Hint::CopyFilm => to.choose(
            "`tautspan films wrap-cast --toml` prints one that is valid, to copy from",
            "start from a class of the catalogue",
            "start from a class of the catalogue",
        ),
        Hint::CopyTool => to.choose(
            "`tautspan tools fingertip --toml` prints one that is valid, to copy from",
            "start from a tool of the catalogue",
            "start from a tool of the catalogue",
        ),
        Hint::CopyJob => to.choose(
            "`--save-job FILE` writes one that is valid, to copy from",
            "“Save this job” writes one that is valid, to copy from",
            "start from a job file that was saved",
        ),
        Hint::Meant(name) => return format!("did you mean `{name}`?"),
        Hint::BringSource => {
            "put the source beside it: `{ value = 20.0, source = \"own test\" }`"
        }
        Hint::WritePoint => "write numbers with a point, `1.5`, not with a comma",
        Hint::NameColumns => "the first line names the two columns",
        Hint::CurveRow => "elongation in percent, a comma, then force or stress",
        Hint::CutCurve => "cut the curve where the force first falls, and thin out noisy readings",
        Hint::ReadOften => "a test has a reading every few percent",
        Hint::StepsLookLike => {
            "steps look like `press 0, spread left, spread 40, spread right from 40`; numbers are x of the section in mm, with a decimal point"
        }
        Hint::LeaveStepOut => "leave it out",
        Hint::PressElsewhere => "press elsewhere, or leave the step out",
        Hint::SayHowFar => "give the x up to which to work, or leave the step out",
        Hint::OtherPatch => "name another patch by `from`, or leave the step out",
        Hint::SpreadOn(side) => {
            return format!("`spread {side}` goes on to the next film that is down");
        }
        Hint::SectionX => "x is that of the section",
        Hint::MoveBondOrStep => {
            let width = to.called("bridge_mm");
            let lines = to.either("bond_left_x_mm", "bond_right_x_mm");
            return format!("move the bond line ({width}, {lines}) or the step");
        }
        Hint::FromFlat => {
            "`from left` and `from right` are the bonded flats, as in `spread -40 from left`"
        }
        Hint::PressFirst => "press there first, or name another patch",
        Hint::SayDegrees => "temperatures say their unit: `reading_c` or `reading_f`",
        Hint::ZonedTime => {
            "a date, T, the time, and how far the clock is ahead of UTC: `2026-11-27T08:15:00+01:00`, or Z for UTC itself"
        }
        Hint::StartRecord => "leave it out, or start a new record, which has every column",
        Hint::CorrectThat(no) => return format!("correct reading {no} instead"),
    }
    .to_owned()
}

/// The slip that explains what is no number.
fn of_slip(slip: Slip) -> &'static str {
    match slip {
        Slip::Nothing => "a value left out?",
        Slip::LetterO => "the letter O in place of a zero?",
        Slip::LetterOne => "a letter in place of a one?",
        Slip::Signs => "a sign too many?",
        Slip::Dash => "a dash in place of a minus sign? write a hyphen",
        Slip::Semicolon => "a semicolon in place of a comma?",
        Slip::MarkLeftOut => "a decimal mark left out behind the zero?",
        Slip::Apart => "a separator left out, or a space between thousands?",
        Slip::Unit => "leave the unit out, or write mm, cm, m or in",
        Slip::Marks => "one decimal mark, and nothing between thousands",
    }
}

//! Why there is a width, or none, in words.

use super::{Voice, when};
use crate::advice::{LimitsPct, Notice};

pub(super) fn say(notice: &Notice, voice: Voice) -> Option<String> {
    let limit = |limits: &LimitsPct| format!("the limit of {}", limits_words(*limits, voice));
    let assured = |share: &Option<f64>| {
        share.map_or_else(String::new, |share| {
            format!(", in {} of what the readings allow", voice.share(share))
        })
    };
    Some(match notice {
        Notice::PushedIn { limits, share_pct } => format!(
            "film without air channels is pushed in along the middle, bonded at the lips, and that stays within {}{}",
            limit(limits),
            assured(share_pct)
        ),
        Notice::AtLips { limits, share_pct } => format!(
            "bonded right at the lips, the peak is within {} already{}",
            limit(limits),
            assured(share_pct)
        ),
        Notice::OnlyEdges { limits, share_pct } => format!(
            "edge first stays within {}{}; deepest first does at no width here",
            limit(limits),
            assured(share_pct)
        ),
        Notice::LeastBridge { limits, share_pct } => format!(
            "the least bridge there is, one step of a tape beyond the foot: the peak is within {} at any width{}",
            limit(limits),
            assured(share_pct)
        ),
        Notice::Smallest {
            step,
            limits,
            share_pct,
        } => format!(
            "the smallest width, in steps of {}, from which deepest first stays within {}{}",
            step.word(),
            limit(limits),
            assured(share_pct)
        ),
        Notice::MouthOnly { bridge_mm, mouths } => format!(
            "no practical width: with the mouth alone warm {} would be needed, more than {mouths:.0} mouths; warm the flats too",
            voice.width(*bridge_mm)
        ),
        Notice::NotAssured {
            share_pct,
            bridge_mm,
            asked_pct,
            narrow_by,
        } => {
            let help = narrow_by.map_or_else(String::new, |measure| {
                format!(
                    "; the {} measured more closely would narrow it most",
                    measure.word()
                )
            });
            format!(
                "a width does for the section as read, but the limit is kept in {} of what the readings allow at most, at a bridge of {}, and {} were asked for{help}",
                voice.share(*share_pct),
                voice.width(*bridge_mm),
                voice.share(*asked_pct)
            )
        }
        Notice::ToolCannotGetIn {
            tool,
            gap_mm,
            depth_mm,
            in_no_way,
        } => {
            let then = when(
                *in_no_way,
                ", in one piece or in several",
                "; take one with a smaller tip",
            );
            format!(
                "the {tool} cannot get in: {} of {} stay out of its reach{then}",
                voice.bare_length(*gap_mm),
                voice.length(*depth_mm)
            )
        }
        Notice::PlainRule {
            least_mm,
            limit_pct,
            widest_mm,
        } => format!(
            "the plain rule alone needs a bridge of {} for a limit of {}, but mouth and clear panel give {}",
            voice.width(*least_mm),
            voice.limit(*limit_pct),
            voice.width(*widest_mm)
        ),
        Notice::EvenTheWidest { widest_mm, limits } => format!(
            "even the widest bridge of {} leaves a peak over {}",
            voice.width(*widest_mm),
            limit(limits)
        ),
        _ => return None,
    })
}

/// A limit, or both.
pub(super) fn limits_words(limits: LimitsPct, voice: Voice) -> String {
    let all = voice.limit(limits.all_pct);
    match limits.recess_pct {
        Some(recess) => format!("{all} (and of {} between the lips)", voice.limit(recess)),
        None => all,
    }
}

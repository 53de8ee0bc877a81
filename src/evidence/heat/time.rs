//! Times with their distance from UTC, in the strict form that readings take.
//!
//! `2026-11-27T08:15:00+01:00`: a date, `T` or one blank, hours and minutes, seconds and their
//! decimals if there are any, then `Z`, `+hh:mm` or `+hhmm`. A time that does not say its
//! distance from UTC is refused, not taken as local: two instruments of one record may have two
//! local times. So are `+hh` alone, which a line that was cut off ends with too, `-00:00`, which
//! says that the distance is not known, the hour 24 and the second 60. What a last decimal
//! beyond milliseconds adds is dropped.
//!
//! Source: RFC 3339 (2002), "Date and Time on the Internet: Timestamps", section 5.6; days
//! from a date by counting years that begin in March, as in "Calendrical Calculations" (2018).

use serde::{Serialize, Serializer};
use std::fmt;

/// Milliseconds of a minute, and of a day.
const MINUTE: i64 = 60_000;
const DAY: i64 = 24 * 60 * MINUTE;
/// Furthest from UTC that any clock is set, minutes, with room for those of the past.
const FURTHEST: i64 = 16 * 60;

/// A moment, and how far its clock was ahead of UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Time {
    /// Milliseconds from 1970-01-01T00:00:00Z.
    pub utc_ms: i64,
    /// Minutes that its clock was ahead of UTC.
    pub ahead_min: i64,
}

impl Time {
    /// A moment by a clock set to UTC, whole seconds from 1970-01-01T00:00:00Z.
    pub fn utc(seconds: i64) -> Self {
        Self {
            utc_ms: 1000 * seconds,
            ahead_min: 0,
        }
    }

    /// Reads a time; none if it is not of the form above, or no such time exists.
    pub fn read(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        if bytes.len() < 16 || !text.is_ascii() || !matches!(bytes[10], b'T' | b' ') {
            return None;
        }
        let (date, clock) = (&text[..10], &text[11..]);
        let (year, month, day) = (
            digits(&date[..4])?,
            digits(&date[5..7])?,
            digits(&date[8..])?,
        );
        let dashes = bytes[4] == b'-' && bytes[7] == b'-';
        if !dashes || !(1..=12).contains(&month) || !(1..=days_of(year, month)).contains(&day) {
            return None;
        }
        let at = clock.find(['Z', '+', '-'])?;
        let ahead_min = ahead(&clock[at..])?;
        let ms = days(year, month, day) * DAY + of_day(&clock[..at])? - ahead_min * MINUTE;
        Some(Self {
            utc_ms: ms,
            ahead_min,
        })
    }
}

/// A number of nothing but digits.
fn digits(text: &str) -> Option<i64> {
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// Milliseconds of `hh:mm`, `hh:mm:ss` or `hh:mm:ss.s..`.
fn of_day(text: &str) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let bytes = whole.as_bytes();
    let seconds = match bytes.len() {
        5 if text.len() == 5 => 0,
        8 if bytes[5] == b':' => digits(&whole[6..])?,
        _ => return None,
    };
    let (hour, minute) = (digits(&whole[..2])?, digits(&whole[3..5])?);
    let fraction = format!("{part:0<3}");
    digits(part)?;
    let fits = bytes[2] == b':' && hour < 24 && minute < 60 && seconds < 60;
    fits.then_some((hour * 60 + minute) * MINUTE + seconds * 1000 + digits(&fraction[..3])?)
}

/// Minutes ahead of UTC of `Z`, `+hh:mm` or `-hhmm`.
fn ahead(text: &str) -> Option<i64> {
    if text == "Z" {
        return Some(0);
    }
    let sign = if text.starts_with('-') { -1 } else { 1 };
    let bare = text[1..].replacen(':', "", usize::from(text.len() == 6 && &text[3..4] == ":"));
    if bare.len() != 4 {
        return None;
    }
    let (hours, minutes) = (digits(&bare[..2])?, digits(&bare[2..])?);
    let all = sign * (hours * 60 + minutes);
    let known = minutes < 60 && all.abs() <= FURTHEST && (sign > 0 || all != 0);
    known.then_some(all)
}

fn leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn days_of(year: i64, month: i64) -> i64 {
    match month {
        2 => 28 + i64::from(leap(year)),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970-01-01: the leap day ends a year that begins in March.
fn days(year: i64, month: i64, day: i64) -> i64 {
    let (year, month) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    let leaps = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    // 719 468 days from 0000-03-01 to 1970-01-01.
    365 * year + leaps + (153 * month + 2) / 5 + day - 1 - 719_468
}

impl fmt::Display for Time {
    /// By the clock that it was read from: `2026-11-27T08:15:00+01:00`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let local = self.utc_ms + self.ahead_min * MINUTE;
        let (day, mut rest) = (local.div_euclid(DAY), local.rem_euclid(DAY));
        // By trial from below.
        let mut year = 1970 + day.div_euclid(if day < 0 { 365 } else { 366 });
        while days(year + 1, 1, 1) <= day {
            year += 1;
        }
        let month = (1..=12)
            .rev()
            .find(|&m| days(year, m, 1) <= day)
            .unwrap_or(1);
        let date = day - days(year, month, 1) + 1;
        write!(f, "{year:04}-{month:02}-{date:02}T")?;
        let hour = rest / (60 * MINUTE);
        rest %= 60 * MINUTE;
        let (minute, ms) = (rest / MINUTE, rest % MINUTE);
        write!(f, "{hour:02}:{minute:02}:{:02}", ms / 1000)?;
        if ms % 1000 != 0 {
            write!(f, ".{:03}", ms % 1000)?;
        }
        if self.ahead_min == 0 {
            return f.write_str("Z");
        }
        let sign = if self.ahead_min < 0 { '-' } else { '+' };
        let ahead = self.ahead_min.abs();
        write!(f, "{sign}{:02}:{:02}", ahead / 60, ahead % 60)
    }
}

impl Serialize for Time {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

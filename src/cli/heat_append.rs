//! The next line of a record of post-heating, safe against a kill at any moment.
//!
//! What stands is never touched. Behind a lock that ends with the program, the file is read to
//! its end, the new line is made and read back with it, and goes to the end of the file in a
//! single write, its line end included; it is said to be written when the disk has it. A program
//! that is killed before has written the line whole, or not at all, or (on a full disk, or a
//! power cut) a part of it, which the next line closes and the reader sets aside.

use super::named::read_file;
use anyhow::{Context, Result, bail};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Write};
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use tautspan::evidence::heat::{Adding, Reading, Time, append_reading};

/// Longest to wait for another program that appends: one is done in milliseconds. Less, and a
/// slow disk would refuse a second phone; more, and a program that hangs is waited for.
const PATIENCE: Duration = Duration::from_secs(5);
/// Between two tries.
const PAUSE: Duration = Duration::from_millis(5);

/// The time of this machine's clock, by UTC: it knows no other for sure.
pub(crate) fn now() -> Result<Time> {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let seconds = since
        .context("this machine's clock is set before 1970")?
        .as_secs();
    Ok(Time::utc(i64::try_from(seconds)?))
}

/// Appends a reading to a file, which is made if there is none.
pub(crate) fn append(path: &Path, adding: &Adding<'_>) -> Result<Reading> {
    let failed = || format!("`{}` could not be written", path.display());
    if !path.exists() {
        // What was typed is judged before a file is made for it.
        append_reading(("", b""), adding)?;
    }
    let mut file = (OpenOptions::new().append(true).create(true))
        .open(path)
        .with_context(failed)?;
    lock(&file, path)?;
    let bytes = read_file(path)?;
    let name = path.display().to_string();
    let appended = append_reading((&name, &bytes), adding)?;
    let text = appended.text.as_bytes();
    let written = file.write(text).with_context(failed)?;
    if written < text.len() {
        bail!(
            "`{name}`: {written} of {} bytes of the line could be written, so it was cut off\n\nhint: is the disk full? free some room and add the reading again",
            text.len()
        );
    }
    file.sync_all().with_context(failed)?;
    Ok(appended.reading)
}

/// Waits until no other program appends to the file; goes on where files cannot be locked.
fn lock(file: &File, path: &Path) -> Result<()> {
    let mut waited = Duration::ZERO;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(()),
            Err(TryLockError::Error(e)) if e.kind() == ErrorKind::Unsupported => return Ok(()),
            Err(TryLockError::Error(e)) => {
                return Err(e).with_context(|| format!("`{}` could not be locked", path.display()));
            }
            Err(TryLockError::WouldBlock) if waited < PATIENCE => {
                std::thread::sleep(PAUSE);
                waited += PAUSE;
            }
            Err(TryLockError::WouldBlock) => bail!(
                "`{}` is being written by another program; nothing was written\n\nhint: try again",
                path.display()
            ),
        }
    }
}

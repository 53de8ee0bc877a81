//! Files written whole or not at all, whenever the program is told to stop.
//!
//! All files go to temporary ones beside their places first and are renamed when the last of
//! them is on the disk. A signal to stop (Ctrl-C, an end of the session) in that time is
//! heard at once and obeyed when the files are done: a few milliseconds.
//!
//! A program that is killed leaves its temporary ones, hidden by the point in their name. Each is
//! locked while its program lives, so the next one that writes to the folder clears those that are
//! not.

use super::note;
use anyhow::{Context, Result, bail};
use std::collections::BTreeSet;
use std::fs::{File, TryLockError};
use std::future::Future;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};
use tempfile::NamedTempFile;

/// Exit code of a program stopped by Ctrl-C, as shells have it.
const STOPPED: i32 = 130;
/// How names of temporary files begin and end.
const PREFIX: &str = ".tautspan-";
const SUFFIX: &str = ".part";
/// Held while files are on their way.
static WRITING: Mutex<()> = Mutex::new(());

/// A file to be written.
pub(crate) struct Draft {
    pub(crate) path: PathBuf,
    pub(crate) bytes: Vec<u8>,
}

impl Draft {
    pub(crate) fn new(path: PathBuf, bytes: impl Into<Vec<u8>>) -> Self {
        let bytes = bytes.into();
        Self { path, bytes }
    }
}

/// The folder of a command that always writes files.
#[derive(Debug, clap::Args)]
pub(crate) struct FolderArgs {
    /// Folder to write to
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub(crate) out: PathBuf,
    /// Overwrite existing files
    #[arg(long)]
    pub(crate) force: bool,
}

impl FolderArgs {
    /// A file in the folder.
    pub(crate) fn draft(&self, name: &str, bytes: impl Into<Vec<u8>>) -> Draft {
        Draft::new(self.out.join(name), bytes)
    }
}

/// Writes all files and notes each.
pub(crate) fn write_noted(drafts: &[Draft], force: bool) -> Result<()> {
    write_all(drafts, force)?;
    for draft in drafts {
        note(&format!("wrote {}", draft.path.display()));
    }
    Ok(())
}

/// Writes all files, each to a temporary file beside its place and then renamed.
///
/// An existing file is an error before anything is written, unless `force`.
pub(crate) fn write_all(drafts: &[Draft], force: bool) -> Result<()> {
    if let Some(folder) = drafts.iter().find(|d| d.path.is_dir()) {
        bail!(
            "`{}` is a folder, but a file was to be written there; nothing was written",
            folder.path.display()
        );
    }
    unless_there(drafts.iter().map(|d| d.path.as_path()), force)?;
    let _writing = begin_writing().context("signals to stop cannot be caught")?;
    let failed = |draft: &Draft| format!("`{}` could not be written", draft.path.display());
    let folders: BTreeSet<&Path> = drafts.iter().map(|d| folder_of(&d.path)).collect();
    folders.into_iter().for_each(clear_left);
    let mut staged = Vec::with_capacity(drafts.len());
    for draft in drafts {
        staged.push((draft, stage(draft).with_context(|| failed(draft))?));
    }
    for (draft, file) in staged {
        let placed = if force {
            file.persist(&draft.path)
        } else {
            file.persist_noclobber(&draft.path)
        };
        placed.with_context(|| failed(draft))?;
    }
    Ok(())
}

/// Existing files are an error, unless `force`.
pub(crate) fn unless_there<'a>(
    paths: impl IntoIterator<Item = &'a Path>,
    force: bool,
) -> Result<()> {
    let there = paths.into_iter().filter(|path| !force && path.exists());
    let there: Vec<String> = there.map(|path| path.display().to_string()).collect();
    if !there.is_empty() {
        bail!(
            "`{}` is there already, and nothing was written\n\nhint: `--force` overwrites it; or write to another folder",
            there.join("`, `")
        );
    }
    Ok(())
}

/// The folder of a file.
fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// Writes a file beside its place; it goes again if it is dropped.
fn stage(draft: &Draft) -> std::io::Result<NamedTempFile> {
    let folder = folder_of(&draft.path);
    std::fs::create_dir_all(folder)?;
    let mut file = temporary(folder)?;
    file.write_all(&draft.bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// A temporary file that is locked while this program lives.
fn temporary(folder: &Path) -> std::io::Result<NamedTempFile> {
    loop {
        let file = tempfile::Builder::new()
            .prefix(PREFIX)
            .suffix(SUFFIX)
            .permissions(readable())
            .tempfile_in(folder)?;
        // Where files cannot be locked none is taken to be left, and none is cleared.
        let locked = file.as_file().try_lock();
        // Between its making and its lock another program may have taken it to be left.
        if !matches!(locked, Err(TryLockError::WouldBlock)) && file.path().exists() {
            return Ok(file);
        }
    }
}

/// Removes temporary files of programs that were killed.
fn clear_left(folder: &Path) {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries {
        let name = entry.file_name();
        let ours = |name: &str| name.starts_with(PREFIX) && name.ends_with(SUFFIX);
        if !name.to_str().is_some_and(ours) {
            continue;
        }
        if let Ok(file) = File::open(entry.path())
            && file.try_lock().is_ok()
        {
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// From here until the guard is dropped a signal to stop waits.
fn begin_writing() -> std::io::Result<MutexGuard<'static, ()>> {
    static LISTENING: Once = Once::new();
    let guard = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
    let mut failed = None;
    LISTENING.call_once(|| failed = listen().err());
    failed.map_or(Ok(guard), Err)
}

/// Catches signals to stop from now on and obeys them while nothing is being written.
fn listen() -> std::io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .build()?;
    let told = {
        let _inside = runtime.enter();
        told_to_stop()?
    };
    std::thread::Builder::new().spawn(move || {
        runtime.block_on(told);
        let _done = WRITING.lock().unwrap_or_else(PoisonError::into_inner);
        std::process::exit(STOPPED);
    })?;
    Ok(())
}

/// Signals are caught once this returns; its result waits for the first.
#[cfg(unix)]
fn told_to_stop() -> std::io::Result<impl Future<Output = ()> + Send + 'static> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    let mut hangup = signal(SignalKind::hangup())?;
    Ok(std::future::poll_fn(move |context| {
        let told = interrupt.poll_recv(context).is_ready()
            || terminate.poll_recv(context).is_ready()
            || hangup.poll_recv(context).is_ready();
        if told {
            std::task::Poll::Ready(())
        } else {
            std::task::Poll::Pending
        }
    }))
}

#[cfg(windows)]
fn told_to_stop() -> std::io::Result<impl Future<Output = ()> + Send + 'static> {
    let mut interrupt = tokio::signal::windows::ctrl_c()?;
    Ok(async move {
        interrupt.recv().await;
    })
}

/// Readable by all where the umask allows it, not just by the owner as temporary files are.
#[cfg(unix)]
fn readable() -> std::fs::Permissions {
    use std::os::unix::fs::PermissionsExt;
    std::fs::Permissions::from_mode(0o644)
}

#[cfg(not(unix))]
fn readable() -> std::fs::Permissions {
    // Permissions other than read-only exist on Unix alone; tempfile ignores these.
    std::fs::metadata(".")
        .map(|m| m.permissions())
        .unwrap_or_else(|_| unreachable!("the working folder has permissions"))
}

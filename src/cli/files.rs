//! Files written whole or not at all.

use anyhow::{Context, Result, bail};
use std::io::Write;
use std::path::{Path, PathBuf};

/// A file to be written.
pub(crate) struct Draft {
    pub(crate) path: PathBuf,
    pub(crate) bytes: Vec<u8>,
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
    if !force {
        let there: Vec<String> = drafts
            .iter()
            .filter(|d| d.path.exists())
            .map(|d| d.path.display().to_string())
            .collect();
        if !there.is_empty() {
            bail!(
                "`{}` is there already, and nothing was written\n\nhint: `--force` overwrites it; or write to another folder",
                there.join("`, `")
            );
        }
    }
    for draft in drafts {
        write(draft, force)
            .with_context(|| format!("`{}` could not be written", draft.path.display()))?;
    }
    Ok(())
}

fn write(draft: &Draft, force: bool) -> Result<()> {
    let folder = draft
        .path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let mut file = tempfile::Builder::new()
        .permissions(readable())
        .tempfile_in(folder)?;
    file.write_all(&draft.bytes)?;
    file.as_file().sync_all()?;
    if force {
        file.persist(&draft.path)?;
    } else {
        file.persist_noclobber(&draft.path)?;
    }
    Ok(())
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

//! What is timed: apart from the other tests, so that none of them runs beside it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "../common/chromium.rs"]
mod chromium;
#[cfg(unix)]
mod large;
mod redraw;
#[path = "../common/screen.rs"]
mod screen;

/// Held while frames are timed; the scans share it among themselves.
static QUIET: std::sync::RwLock<()> = std::sync::RwLock::new(());

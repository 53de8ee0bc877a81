//! A sign of life on the terminal while a command takes longer than a second.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::sync::{Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Time after which a command says what it is at: sooner and quick answers flicker, later
/// and it seems to hang.
const PATIENCE: Duration = Duration::from_secs(1);
/// Time between two pictures of the spinner.
const TICK: Duration = Duration::from_millis(120);

/// The spinner of the command that runs, so that whatever prints can clear it first.
static RUNNING: Mutex<Option<Running>> = Mutex::new(None);

struct Running {
    done: Sender<()>,
    thread: JoinHandle<()>,
}

/// Begins to wait: after [`PATIENCE`] a spinner with these words is on the terminal, until
/// [`stop`]. Nothing where stdout or stderr goes elsewhere, or JSON was asked for.
pub(super) fn start(words: &'static str) {
    let piped = !std::io::stderr().is_terminal() || !std::io::stdout().is_terminal();
    if piped || std::env::args_os().any(|arg| arg == "--json") {
        return;
    }
    let (done, asked) = channel();
    let began = Instant::now();
    let thread = std::thread::spawn(move || {
        if asked.recv_timeout(PATIENCE) != Err(RecvTimeoutError::Timeout) {
            return;
        }
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr())
            .with_elapsed(began.elapsed())
            .with_message(words);
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg}, {elapsed}") {
            bar.set_style(style);
        }
        bar.enable_steady_tick(TICK);
        // Until told, or until the other end is gone.
        let _ = asked.recv();
        bar.finish_and_clear();
    });
    *RUNNING.lock().unwrap_or_else(PoisonError::into_inner) = Some(Running { done, thread });
}

/// Takes the spinner away, before anything else is printed.
pub(super) fn stop() {
    let running = RUNNING
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .take();
    if let Some(Running { done, thread }) = running {
        let _ = done.send(());
        let _ = thread.join();
    }
}

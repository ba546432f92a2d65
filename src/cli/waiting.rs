//! Work that may take more than a second: whoever waits at a terminal sees that it goes on
//! and how to stop it.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Nobody needs to be told sooner.
const PATIENCE: Duration = Duration::from_secs(1);

/// Does the work. After a second standard error says what it is, where it is a terminal.
/// Nothing is written before the work is done, so Ctrl-C may end it at any time.
pub(super) fn waiting<T>(what: &'static str, work: impl FnOnce() -> T) -> T {
    thread::scope(|scope| {
        // Dropped when the work is done, also where it panics.
        let (done, is_done) = channel::<()>();
        scope.spawn(move || {
            if is_done.recv_timeout(PATIENCE) != Err(RecvTimeoutError::Timeout) {
                return;
            }
            let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
            if let Ok(style) =
                ProgressStyle::with_template("{spinner} {msg} ({elapsed}; Ctrl-C stops)")
            {
                bar.set_style(style);
            }
            bar.set_message(what);
            bar.enable_steady_tick(Duration::from_millis(120));
            let _ = is_done.recv();
            bar.finish_and_clear();
        });
        let made = work();
        drop(done);
        made
    })
}

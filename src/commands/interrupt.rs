//! Ctrl-C and a request to end: never in the middle of placing files.

use std::sync::{Mutex, MutexGuard, PoisonError};

/// Held while files are being placed.
static PLACING: Mutex<()> = Mutex::new(());

/// Holds signals off until it is dropped.
pub(super) fn hold_off() -> MutexGuard<'static, ()> {
    PLACING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Ends the program on SIGINT, SIGTERM and SIGHUP as a shell expects it, once no files
/// are being placed. Without it, should the system refuse, they end it at once.
#[cfg(unix)]
pub(super) fn wait_for_signals() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;

    let Ok(mut signals) = Signals::new([SIGHUP, SIGINT, SIGTERM]) else {
        return;
    };
    let waiting = std::thread::Builder::new().spawn(move || {
        for signal in &mut signals {
            let _held = hold_off();
            let _ = emulate_default_handler(signal);
        }
    });
    drop(waiting);
}

/// Elsewhere the system ends the program by itself.
#[cfg(not(unix))]
pub(super) fn wait_for_signals() {}

//! What goes to the two streams of a terminal.

use std::cell::Cell;
use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

use crate::commands::failure::Failure;

/// Writes results to standard output.
pub(super) fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(Failure::from_output)
}

/// Writes a message to standard error. Nothing can be done when that fails.
pub(super) fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{}", text.trim_end());
}

/// A count on standard error for work that takes more than a second, on a
/// terminal only; gone when dropped.
pub(super) struct Counter {
    what: &'static str,
    began: Instant,
    shown: Cell<Option<Instant>>,
}

impl Counter {
    const PATIENCE: Duration = Duration::from_secs(1);
    const BETWEEN: Duration = Duration::from_millis(100);

    pub(super) fn new(what: &'static str) -> Self {
        Self {
            what,
            began: Instant::now(),
            shown: Cell::new(None),
        }
    }

    pub(super) fn show(&self, count: usize) {
        let due = match self.shown.get() {
            None => self.began.elapsed() > Self::PATIENCE && io::stderr().is_terminal(),
            Some(last) => last.elapsed() > Self::BETWEEN,
        };
        if due {
            self.shown.set(Some(Instant::now()));
            let mut err = io::stderr().lock();
            let _ = write!(err, "\r{count} {}", self.what).and_then(|()| err.flush());
        }
    }
}

impl Drop for Counter {
    fn drop(&mut self) {
        if self.shown.get().is_some() {
            let _ = write!(io::stderr().lock(), "\r{:40}\r", "");
        }
    }
}

/// Whether results may be coloured.
pub(super) fn colour_output() -> bool {
    colour_wanted() && io::stdout().is_terminal()
}

/// Whether messages may be coloured.
pub(super) fn colour_messages() -> bool {
    colour_wanted() && io::stderr().is_terminal()
}

fn colour_wanted() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !set("NO_COLOR") && std::env::var_os("TERM").is_none_or(|terminal| terminal != "dumb")
}

//! A bar on standard error for work that takes more than a second.

use std::io::{self, IsTerminal};
use std::sync::Mutex;
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Work shorter than this shows no bar.
const PATIENCE: Duration = Duration::from_secs(1);

/// Counts finished pieces of work; shows a bar once that takes long, on a
/// terminal only.
pub(super) struct Progress {
    began: Instant,
    terminal: bool,
    /// Pieces done, and the bar once it is shown.
    state: Mutex<(u64, Option<ProgressBar>)>,
    /// Pieces in all, where known.
    total: Option<u64>,
    what: &'static str,
}

impl Progress {
    /// For `total` pieces of work called `what`.
    pub fn new(total: usize, what: &'static str) -> Self {
        Self::of(Some(u64::try_from(total).unwrap_or(u64::MAX)), what)
    }

    /// For work called `what` whose end is not known beforehand.
    pub fn counting(what: &'static str) -> Self {
        Self::of(None, what)
    }

    fn of(total: Option<u64>, what: &'static str) -> Self {
        Self {
            began: Instant::now(),
            terminal: io::stderr().is_terminal(),
            state: Mutex::new((0, None)),
            total,
            what,
        }
    }

    /// One piece is done; may be called from any thread.
    pub fn one_done(&self) {
        self.count(|done| done + 1);
    }

    /// So many pieces are done by now.
    pub fn at(&self, done: usize) {
        self.count(|_| u64::try_from(done).unwrap_or(u64::MAX));
    }

    fn count(&self, next: impl FnOnce(u64) -> u64) {
        if !self.terminal {
            return;
        }
        // A thread that panicked while counting leaves a count that still serves.
        let mut state = self
            .state
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        let (done, bar) = &mut *state;
        *done = next(*done);
        if bar.is_none() && self.began.elapsed() > PATIENCE {
            *bar = Some(self.bar());
        }
        if let Some(bar) = bar {
            bar.set_position(*done);
        }
    }

    /// A bar that already knows how long the work has gone on.
    fn bar(&self) -> ProgressBar {
        let bar = ProgressBar::with_draw_target(self.total, ProgressDrawTarget::hidden())
            .with_elapsed(self.began.elapsed())
            .with_message(self.what);
        let template = match self.total {
            Some(_) => "{msg} {bar:40} {percent:>3} %, {elapsed} so far",
            None => "{msg}: {pos}, {elapsed} so far",
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style.progress_chars("=> "));
        }
        bar.set_draw_target(ProgressDrawTarget::stderr_with_hz(4));
        bar
    }

    /// Takes the bar off the terminal.
    pub fn finish(self) {
        let state = self
            .state
            .into_inner()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(bar) = state.1 {
            bar.finish_and_clear();
        }
    }
}

/// Says after a second, on a terminal only, that work of unknown length goes on; stops when dropped.
pub(super) struct Waiting {
    /// The thread that shows it, and what ends that thread by being dropped.
    shown: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Waiting {
    /// For work called `what`.
    pub fn new(what: &'static str) -> Self {
        if !io::stderr().is_terminal() {
            return Self { shown: None };
        }
        let (over, wait) = channel::<()>();
        let thread = thread::spawn(move || {
            let began = Instant::now();
            if wait.recv_timeout(PATIENCE) != Err(RecvTimeoutError::Timeout) {
                return;
            }
            let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr_with_hz(4))
                .with_elapsed(began.elapsed())
                .with_message(what);
            if let Ok(style) = ProgressStyle::with_template("{msg}, {elapsed} so far") {
                bar.set_style(style);
            }
            while wait.recv_timeout(PATIENCE / 4) == Err(RecvTimeoutError::Timeout) {
                bar.tick();
            }
            bar.finish_and_clear();
        });
        Self {
            shown: Some((over, thread)),
        }
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        if let Some((over, thread)) = self.shown.take() {
            drop(over);
            // A bar that could not be drawn takes nothing away from the work itself.
            let _ = thread.join();
        }
    }
}

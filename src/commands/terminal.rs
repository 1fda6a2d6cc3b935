//! What goes to the two streams of a terminal.

use std::io::{self, IsTerminal, Write};

use crate::commands::failure::Failure;

/// Writes results to standard output. A reader that went away, as `head` does, has seen
/// what it wanted; the exit status still tells the verdict.
pub(super) fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    heard(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
}

/// What came of writing to standard output.
pub(super) fn heard(written: io::Result<()>) -> Result<(), Failure> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Failure::Output(error)),
        _ => Ok(()),
    }
}

/// Writes a message to standard error. Nothing can be done when that fails.
pub(super) fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{}", text.trim_end());
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

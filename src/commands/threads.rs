//! How many threads the studies may start.

use std::thread::available_parallelism;

use crate::numerics::map_all::start_threads;

/// Variable by which somebody asks for so many threads.
const ASKED: &str = "RAYON_NUM_THREADS";
/// Threads over cores that are started at most: more only cost memory.
const OVER_CORES: usize = 4;

/// Starts the pool once, with no more threads than cores can use, whatever was asked for.
pub(super) fn start_bounded() {
    let cores = available_parallelism().map_or(1, usize::from);
    let asked = std::env::var(ASKED).ok();
    start_threads(threads(asked.as_deref(), cores));
}

/// As many as asked, if that is a number of at least 1, else one for each core; bounded.
fn threads(asked: Option<&str>, cores: usize) -> usize {
    let asked = asked.and_then(|text| text.trim().parse::<usize>().ok());
    let wanted = asked.filter(|&count| count > 0).unwrap_or(cores);
    wanted.min(OVER_CORES * cores)
}

#[cfg(test)]
mod tests {
    use super::threads;

    #[test]
    fn a_hundred_thousand_threads_are_not_started() {
        assert_eq!(threads(Some("100000"), 2), 8);
        assert_eq!(threads(Some("99999999999999999999999"), 2), 2);
        assert_eq!(threads(Some("1"), 2), 1);
        assert_eq!(threads(Some("0"), 2), 2);
        assert_eq!(threads(Some("many"), 3), 3);
        assert_eq!(threads(None, 3), 3);
    }
}

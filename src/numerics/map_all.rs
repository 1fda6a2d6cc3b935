//! Independent pieces of work on all cores, or one after the other without the feature `parallel`.

use crate::numerics::effort;
#[cfg(feature = "parallel")]
use rayon::ThreadPoolBuilder;
#[cfg(feature = "parallel")]
use rayon::prelude::*;

/// What `work` makes of each of `items`, in their order. Whether it runs on one core
/// or on many, the answers are the same: no piece sees another.
pub fn map_all<I: Send, T: Send>(
    items: impl IntoIterator<Item = I>,
    work: impl Fn(I) -> T + Sync + Send,
) -> Vec<T> {
    let items: Vec<I> = items.into_iter().collect();
    let share = effort::share(items.len());
    let alone = |item| effort::piece(share, || work(item));
    #[cfg(feature = "parallel")]
    let done: Vec<effort::Piece<T>> = items.into_par_iter().map(alone).collect();
    #[cfg(not(feature = "parallel"))]
    let done = items.into_iter().map(alone);
    // What others did for it counts as done here.
    done.into_iter().map(effort::bring_home).collect()
}

/// Starts the threads, so many; without the feature `parallel` there are none. A pool that is
/// there already stays.
pub fn start_threads(count: usize) {
    #[cfg(feature = "parallel")]
    {
        let pool = ThreadPoolBuilder::new().num_threads(count);
        let _ = pool.build_global();
    }
    #[cfg(not(feature = "parallel"))]
    {
        let _ = count;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_stand_in_the_order_of_their_items() {
        let squares = map_all(0..1000_u32, |n| n * n);
        assert!(squares.into_iter().eq((0..1000).map(|n| n * n)));
    }
}

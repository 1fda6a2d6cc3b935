//! Independent pieces of work on all cores, or one after the other without the feature `parallel`.

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
    #[cfg(feature = "parallel")]
    {
        let items: Vec<I> = items.into_iter().collect();
        items.into_par_iter().map(work).collect()
    }
    #[cfg(not(feature = "parallel"))]
    {
        items.into_iter().map(work).collect()
    }
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

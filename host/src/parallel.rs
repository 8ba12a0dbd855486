//! The same work on many things, on all cores of the computer.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::{available_parallelism, scope};

/// What `of` makes of each item, in their order. Where there is one core, or none are told of, nothing is started beside.
pub(crate) fn map<T: Sync, R: Send>(items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let cores = available_parallelism().map_or(1, NonZero::get).min(items.len());
    if cores < 2 {
        return items.iter().map(of).collect();
    }
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return done };
            done.push((at, of(item)));
        }
    };
    let mut all = scope(|scope| {
        let others: Vec<_> = (1..cores).map(|_| scope.spawn(work)).collect();
        let mut all = work();
        for other in others {
            // What panicked there must panic here.
            all.extend(other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        all
    });
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::map;

    #[test]
    fn order_is_kept_whoever_is_done_first() {
        let items: Vec<u64> = (0..1_000).collect();
        let slow_at_first = |n: &u64| {
            if *n < 4 {
                std::thread::yield_now();
            }
            n * n
        };
        assert_eq!(map(&items, slow_at_first), items.iter().map(|n| n * n).collect::<Vec<_>>());
        assert!(map(&[] as &[u64], slow_at_first).is_empty());
    }
}

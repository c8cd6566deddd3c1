//! Is the sheet honest? Stays are drawn as a planner would know them and as they are, planned from the one and lived
//! by the other; what the sheets said is set against what befell.
//!
//! A stay has a generator of its own, made of the seed and its number: the same stay comes out on any number of
//! threads. What the truth shares with the planner and what it does not stands in `windrode_domain::simulate::stay`.
//!
//! # How it is scored
//!
//! Every ten minutes of a stay are set against the bands that the sheet gives for them: a median should lie above
//! half of them, the figure that nine in ten stay below above nine in ten. Ten minutes of one night share their
//! windage and their forecast's error and are no witnesses of their own, so that shares are taken stay by stay and
//! their interval is that of a mean over stays. The chance of dragging is sorted by tenths of the stays; beside each
//! stands the share that dragged, with its exact interval (C. J. Clopper and E. S. Pearson, Biometrika 26, 1934).

mod stay;
pub(crate) mod table;
pub(crate) mod text;

use std::sync::atomic::{AtomicU32, Ordering};
use std::thread;

pub(crate) use self::stay::{Against, Figure, Tried};

/// What is asked of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Run {
    /// Stays.
    pub(crate) stays: u32,
    /// The first one's number.
    pub(crate) from: u32,
    /// What chance begins with.
    pub(crate) seed: u64,
    /// How many are lived at once.
    pub(crate) threads: u32,
}

/// Plans and lives the stays, in the order of their numbers.
///
/// # Errors
/// In words, the first stay that could not be lived.
pub(crate) fn tried(run: Run) -> Result<Vec<Tried>, String> {
    let next = AtomicU32::new(0);
    let worker = || -> Result<Vec<(u32, Tried)>, (u32, String)> {
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if run.stays <= number {
                return Ok(done);
            }
            let number = run.from + number;
            done.push((number, stay::tried(run.seed, number).map_err(|error| (number, error))?));
        }
    };
    let workers = run.threads.clamp(1, run.stays.max(1));
    let done: Vec<_> = thread::scope(|scope| {
        let handles: Vec<_> = (0..workers).map(|_| scope.spawn(worker)).collect();
        let ended = |handle: thread::ScopedJoinHandle<'_, _>| {
            handle.join().unwrap_or_else(|_| Err((0, "a thread broke off".to_owned())))
        };
        handles.into_iter().map(ended).collect()
    });
    let (mut stays, mut refused) = (Vec::new(), Vec::new());
    for one in done {
        match one {
            Ok(some) => stays.extend(some),
            Err(error) => refused.push(error),
        }
    }
    refused.sort();
    if let Some((number, error)) = refused.into_iter().next() {
        return Err(format!("stay {number}: {error}"));
    }
    stays.sort_by_key(|&(number, _)| number);
    Ok(stays.into_iter().map(|(_, stay)| stay).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(threads: u32) -> Vec<Tried> {
        tried(Run { stays: 4, from: 0, seed: 7, threads }).expect("stays that can be lived")
    }

    #[test]
    fn the_same_stays_come_out_on_any_number_of_threads() {
        assert_eq!(run(1), run(3));
    }

    #[test]
    fn every_figure_of_a_stay_is_set_against_what_was() {
        for stay in run(2) {
            for figure in Figure::ALL {
                let against = stay.against(figure);
                assert!(0.0 < against.of, "{figure:?}: {stay:?}");
                let ordered =
                    against.below_low <= against.below_median && against.below_median <= against.below_high;
                assert!(ordered && against.below_high <= against.of, "{figure:?}: {against:?}");
            }
        }
    }
}

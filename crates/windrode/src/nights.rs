//! Simulated nights by the thousand: how often the watch rings falsely, and how far the anchor has gone when it rings
//! rightly; beside it the plain circle, in the same nights.
//!
//! Each night is drawn, lived and told in the sentences of its instruments; the bytes go through the same reader and
//! the same watch as those of a real night. A night has a generator of its own, made of the seed and the night's
//! number, so that the same night comes out whatever runs beside it, and on however many threads.
//!
//! # How it is scored
//!
//! The first quarter of an hour is not scored. Alarms of half an hour are one. In a night with a drag an alarm is false
//! until the anchor begins to go, and the first one after that finds the drag: counted are the metres that the anchor
//! has truly gone by then, and the seconds since. A drag that nobody calls until the night's end is missed. A drag by
//! the ground's law that comes to less than twelve metres in all is left out, as the ground held after all; so is one
//! that began in the first quarter of an hour, whose alarm would be unscored.

pub(crate) mod scenario_file;
pub(crate) mod written;
mod recorded_noise;
mod sentences;
pub(crate) mod transponder_words;
mod ear;
mod circle;
mod limit;
mod member;
mod neighbour;
pub(crate) mod figures;
pub(crate) mod table;
pub(crate) mod json;
pub(crate) mod text;

use std::sync::atomic::{AtomicU32, Ordering};
use std::thread;

pub(crate) use self::circle::MARGINS_M;
pub(crate) use self::member::Lived;
use self::member::live;
pub(crate) use self::member::{NightOf, generator};
pub(crate) use self::neighbour::{Hours, NeighbourHours};
use self::scenario_file::Case;

/// What is asked of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Run {
    /// Nights of each case, spread evenly over its families.
    pub(crate) nights: u32,
    /// What chance begins with.
    pub(crate) seed: u64,
    /// How many live nights at once.
    pub(crate) threads: u32,
}

/// Lives the nights of a case; in the order of their numbers.
///
/// # Errors
/// In words, the first night that could not be played.
pub(crate) fn lived(case: &Case, run: Run) -> Result<Vec<Lived>, String> {
    let next = AtomicU32::new(0);
    let worker = || -> Result<Vec<(u32, Lived)>, (u32, String)> {
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if run.nights <= number {
                return Ok(done);
            }
            let of = NightOf { seed: run.seed, number };
            let night = match case.neighbour {
                Some((_, transponder)) => neighbour::live(case, transponder, of),
                None => live(case, of),
            };
            done.push((number, night.map_err(|error| (number, error.to_string()))?));
        }
    };
    let workers = run.threads.clamp(1, run.nights.max(1));
    let done: Vec<_> = thread::scope(|scope| {
        let handles: Vec<_> = (0..workers).map(|_| scope.spawn(worker)).collect();
        handles
            .into_iter()
            .map(|handle| handle.join().map_err(|_| (0, "a thread broke off".to_owned())))
            .collect()
    });
    let mut nights = Vec::new();
    let mut refused: Vec<(u32, String)> = Vec::new();
    for one in done {
        match one.and_then(|inner| inner) {
            Ok(some) => nights.extend(some),
            Err(error) => refused.push(error),
        }
    }
    refused.sort();
    if let Some((number, error)) = refused.into_iter().next() {
        return Err(format!("case \"{}\", night {number}: {error}", case.name));
    }
    nights.sort_by_key(|&(number, _)| number);
    Ok(nights.into_iter().map(|(_, night)| night).collect())
}

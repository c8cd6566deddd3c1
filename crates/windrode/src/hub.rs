//! What is told to whoever looks on over the network, and never waits for them.
//!
//! The keeper puts down here what it tells and how things stand; readers take it as fast as they can. Who is slower
//! than what is told loses the oldest of it, knows that, and is shown how things stand instead.

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use tokio::sync::broadcast;
use windrode_domain::position::Position;

/// Events that a reader may be behind: a minute of instruments, and every alarm with them.
const BEHIND: usize = 256;
/// Between two showings of the instruments.
const SHOW_EVERY: SignedDuration = SignedDuration::from_millis(500);
/// Between two showings of what changes slowly: neighbours, what is foretold.
const SLOWLY_EVERY: SignedDuration = SignedDuration::from_secs(5);
/// A place is told when she has moved so far from the one told last, m...
const TRACK_M: f64 = 1.0;
/// ...or so much later.
const TRACK_EVERY: SignedDuration = SignedDuration::from_secs(30);

/// Something told.
#[derive(Debug)]
pub(crate) struct Event {
    /// Its number, which grows.
    pub(crate) id: u64,
    /// What it is.
    pub(crate) name: String,
    /// JSON.
    pub(crate) data: String,
}

/// How things stand.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shown {
    /// The stay that is watched: its name in the database and among people.
    pub(crate) stay: Option<(String, String)>,
    /// The zone of its crew's clock.
    pub(crate) zone: Option<String>,
    /// The watch's own view.
    pub(crate) view: Value,
    /// The feeds.
    pub(crate) feeds: Value,
    /// The instruments.
    pub(crate) instruments: Value,
    /// Vessels near by; `null` while no watch is kept.
    pub(crate) neighbours: Arc<Value>,
    /// Whence they came: places by their number, oldest first.
    pub(crate) paths: Arc<Value>,
    /// Where she can lie; `null` while it is not known.
    pub(crate) density: Arc<Value>,
    /// What is foretold from now on.
    pub(crate) expected: Arc<Value>,
    /// What comes next.
    pub(crate) next: Arc<Value>,
    /// Where she is, for the track.
    pub(crate) here: Option<(Timestamp, Position)>,
}

/// When what was told last.
#[derive(Debug, Default)]
struct Last {
    shown: Option<Timestamp>,
    slowly: Option<Timestamp>,
    track: Option<(Timestamp, Position)>,
}

/// The hub.
#[derive(Debug)]
pub(crate) struct Hub {
    events: broadcast::Sender<Arc<Event>>,
    shown: Mutex<Arc<Shown>>,
    last: Mutex<Last>,
    number: AtomicU64,
    /// How many times faster than life the boat's time runs: who looks on sees it in their own.
    rate: i32,
}

impl Hub {
    /// One that nobody listens to yet.
    #[cfg(test)]
    pub(crate) fn new() -> Self {
        Self::of_time(1)
    }

    /// One that nobody listens to yet, where the boat's time runs so many times faster than life.
    pub(crate) fn of_time(rate: u32) -> Self {
        Self {
            events: broadcast::channel(BEHIND).0,
            shown: Mutex::default(),
            last: Mutex::default(),
            number: AtomicU64::new(1),
            rate: i32::try_from(rate).unwrap_or(i32::MAX),
        }
    }

    /// Everything that is told from now on.
    pub(crate) fn listen(&self) -> broadcast::Receiver<Arc<Event>> {
        self.events.subscribe()
    }

    /// The number of the event that will be told next.
    pub(crate) fn next_number(&self) -> u64 {
        self.number.load(Ordering::Acquire)
    }

    /// Tells something.
    pub(crate) fn tell(&self, name: &str, value: &Value) {
        let id = self.number.fetch_add(1, Ordering::AcqRel);
        let event = Event { id, name: name.to_owned(), data: value.to_string() };
        // Nobody may be listening.
        let _ = self.events.send(Arc::new(event));
    }

    /// Tells an event of the watch under its own name.
    pub(crate) fn say(&self, event: &Value) {
        if let Some(name) = event.get("event").and_then(Value::as_str) {
            self.tell(name, event);
        }
    }

    /// How things stood when that was put down last.
    pub(crate) fn shown(&self) -> Arc<Shown> {
        Arc::clone(&self.shown.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Whether it is time to show how things stand, and what changes slowly with it.
    pub(crate) fn wants(&self, now: Timestamp) -> Option<Pace> {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let due = |at: Option<Timestamp>, every: SignedDuration| {
            let every = every.saturating_mul(self.rate);
            at.is_none_or(|at| every <= now.duration_since(at).abs())
        };
        if !due(last.shown, SHOW_EVERY) {
            return None;
        }
        last.shown = Some(now);
        if !due(last.slowly, SLOWLY_EVERY) {
            return Some(Pace::Quick);
        }
        last.slowly = Some(now);
        Some(Pace::Whole)
    }

    /// Puts down how things stand, and tells what of it moves.
    pub(crate) fn show(&self, shown: Shown, pace: Pace, now: Timestamp) {
        let shown = Arc::new(shown);
        *self.shown.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&shown);
        let time = format!("{now:.3}");
        self.tell("instruments", &json!({ "version": 1, "time": time, "instruments": shown.instruments }));
        if pace == Pace::Whole {
            self.tell(
                "neighbours",
                &json!({ "version": 1, "time": time, "neighbours": *shown.neighbours, "density": *shown.density }),
            );
        }
        if let Some(here) = shown.here.filter(|here| self.is_worth_telling(*here)) {
            let (at, place) = here;
            let (lat, lon) = (place.latitude_deg(), place.longitude_deg());
            self.tell("track", &json!({ "version": 1, "time": format!("{at:.3}"), "lat": lat, "lon": lon }));
        }
    }

    fn is_worth_telling(&self, (at, place): (Timestamp, Position)) -> bool {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let worth = last.track.is_none_or(|(then, there)| {
            TRACK_M <= there.towards(place).0.as_metres()
                || TRACK_EVERY <= at.duration_since(then)
                || at < then
        });
        if worth {
            last.track = Some((at, place));
        }
        worth
    }
}

/// How much of how things stand is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pace {
    /// What moves; what changes slowly is as it was.
    Quick,
    /// All.
    Whole,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_reads_too_slowly_loses_the_oldest_and_knows_it() {
        let hub = Hub::new();
        let mut slow = hub.listen();
        for _ in 0..2 * BEHIND {
            hub.tell("tick", &json!({}));
        }
        assert!(matches!(slow.try_recv(), Err(broadcast::error::TryRecvError::Lagged(_))));
        let next = slow.try_recv().expect("what is kept");
        assert!(BEHIND as u64 <= next.id);
    }

    #[test]
    fn faster_than_life_it_is_shown_as_often_to_whoever_looks_on() {
        let hub = Hub::of_time(60);
        let begun = Timestamp::from_second(1_800_000_000).expect("a time");
        let shown = (0..600).filter(|second| {
            let gone = SignedDuration::from_secs(*second);
            hub.wants(begun.checked_add(gone).expect("a time")).is_some()
        });
        assert_eq!(shown.count(), 20);
    }

    #[test]
    fn instruments_are_shown_twice_a_second_at_the_most_and_neighbours_every_five() {
        let hub = Hub::new();
        let begun = Timestamp::from_second(1_800_000_000).expect("a time");
        let at = |ms: i64| begun.checked_add(SignedDuration::from_millis(ms)).expect("a time");
        let shown = (0..100).filter(|step| hub.wants(at(step * 100)).is_some()).count();
        assert_eq!(shown, 20);
        assert_eq!(hub.wants(at(10_000)), Some(Pace::Whole));
        assert_eq!(hub.wants(at(10_500)), Some(Pace::Quick));
    }
}

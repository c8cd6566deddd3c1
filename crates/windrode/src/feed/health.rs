//! How a feed is: whether it is open, how much it brings, how old the last of it is, what of it is refused and why.

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use windrode_wire::nmea0183::refusal::Tally;

/// Over how much time the rate is told.
const RATE_OVER: SignedDuration = SignedDuration::from_secs(60);
/// Steps in which it is counted.
const RATE_STEP_S: i64 = 10;

/// Whether a feed is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum State {
    /// Not yet.
    Opening,
    /// So many streams of it.
    Open(u32),
    /// Lost; it is opened again so long after that time.
    Lost {
        /// Why.
        why: String,
        /// When.
        at: Timestamp,
        /// How long after.
        again_in: Duration,
    },
    /// It came to its end.
    Finished,
}

/// How a feed is.
#[derive(Clone, Debug)]
pub(crate) struct Health {
    /// Its address.
    pub(crate) address: String,
    /// Whether it is open.
    pub(crate) state: State,
    /// Bytes that it brought.
    pub(crate) bytes: u64,
    /// Lines read and refused.
    pub(crate) tally: Tally,
    /// What was refused of that which the tally does not hold: gpsd's JSON, AIS.
    pub(crate) refused: BTreeMap<&'static str, u64>,
    /// When it last brought a line that could be read.
    pub(crate) last: Option<Timestamp>,
    /// How often it was lost.
    pub(crate) lost: u64,
    /// Lines by steps of time, oldest first.
    recent: VecDeque<(i64, u64)>,
}

impl Health {
    /// Nothing heard yet.
    pub(crate) fn new(address: String) -> Self {
        Self {
            address,
            state: State::Opening,
            bytes: 0,
            tally: Tally::default(),
            refused: BTreeMap::new(),
            last: None,
            lost: 0,
            recent: VecDeque::new(),
        }
    }

    /// A line was read.
    pub(crate) fn heard_line(&mut self, at: Timestamp) {
        self.last = Some(at);
        let step = at.as_second().div_euclid(RATE_STEP_S);
        match self.recent.back_mut() {
            Some((last, lines)) if *last == step => *lines += 1,
            _ => self.recent.push_back((step, 1)),
        }
        let oldest = step - RATE_OVER.as_secs() / RATE_STEP_S;
        while self.recent.front().is_some_and(|(first, _)| *first <= oldest) {
            self.recent.pop_front();
        }
    }

    /// A line was refused.
    pub(crate) fn refuse(&mut self, cause: &'static str) {
        *self.refused.entry(cause).or_default() += 1;
    }

    /// Lines a second over the last minute.
    pub(crate) fn lines_per_s(&self, now: Timestamp) -> f64 {
        let oldest = now.as_second().div_euclid(RATE_STEP_S) - RATE_OVER.as_secs() / RATE_STEP_S;
        let lines: u64 = self.recent.iter().filter(|(step, _)| oldest < *step).map(|(_, lines)| lines).sum();
        lines as f64 / RATE_OVER.as_secs_f64()
    }

    /// How old its last line is.
    pub(crate) fn age(&self, now: Timestamp) -> Option<SignedDuration> {
        self.last.map(|last| now.duration_since(last))
    }

    /// What was refused, by cause.
    pub(crate) fn causes(&self) -> BTreeMap<&'static str, u64> {
        let mut causes = self.refused.clone();
        for (cause, count) in self.tally.causes() {
            *causes.entry(cause.word()).or_default() += count;
        }
        causes
    }

    /// "tcp://plotter:10110: open, 12.3 lines/s, last 1 s ago, 4 refused (checksum 4), lost 0 times".
    pub(crate) fn line(&self, now: Timestamp) -> String {
        let state = match &self.state {
            State::Opening => "opening".to_owned(),
            State::Open(1) => "open".to_owned(),
            State::Open(streams) => format!("open, {streams} callers"),
            State::Lost { why, again_in, .. } => {
                format!("lost ({why}), tried every {} s", again_in.as_secs())
            }
            State::Finished => "at its end".to_owned(),
        };
        let last = self
            .age(now)
            .map_or_else(|| "nothing read yet".to_owned(), |age| format!("last {} s ago", age.as_secs()));
        let causes = self.causes();
        let refused: u64 = causes.values().sum();
        let by: Vec<String> = causes.iter().map(|(cause, count)| format!("{cause} {count}")).collect();
        let by = if by.is_empty() { String::new() } else { format!(" ({})", by.join(", ")) };
        format!(
            "{}: {state}, {:.1} lines/s, {last}, {refused} refused{by}, lost {} times, {} bytes",
            self.address,
            self.lines_per_s(now),
            self.lost,
            self.bytes
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rate_is_that_of_the_last_minute_and_memory_does_not_grow() {
        let mut health = Health::new("-".to_owned());
        let at = |second: i64| Timestamp::from_second(1_800_000_000 + second).expect("a time");
        for second in 0..7200 {
            health.heard_line(at(second));
            health.heard_line(at(second));
        }
        assert!((health.lines_per_s(at(7199)) - 2.0).abs() < 0.01);
        assert!((health.lines_per_s(at(7199 + 120))).abs() < 1e-12);
        assert!(health.recent.len() <= 7);
        assert_eq!(health.age(at(7209)), Some(SignedDuration::from_secs(10)));
    }
}

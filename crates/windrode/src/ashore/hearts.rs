//! Whose heart beats, and whose has stopped.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use crate::ring::heartbeat::Beat;

/// Shortest time that a beat may ask for: three go out within it, each of which may take most of a second.
const LEAST_DEADLINE_S: u64 = 2;
/// Longest: beyond it nobody could be helped any more.
const MOST_DEADLINE_S: u64 = 24 * 3600;
/// Boats that are listened for.
const MOST_BOATS: usize = 32;

/// Something to be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word {
    /// A word for programs.
    pub(super) code: &'static str,
    /// What.
    pub(super) text: String,
    /// It rings.
    pub(super) rings: bool,
    /// The boat.
    pub(super) boat: String,
    /// The stay.
    pub(super) stay: String,
}

#[derive(Debug)]
struct Heart {
    stay: String,
    last: Instant,
    deadline: Duration,
    ended: bool,
    /// Alarms that the last beat told of.
    rings: Vec<String>,
    texts: Vec<String>,
    /// Silence has been told.
    silent: bool,
    /// Somebody ashore has heard what rings.
    heard: bool,
}

/// All of them.
#[derive(Debug)]
pub(super) struct Hearts {
    boats: BTreeMap<String, Heart>,
    /// Nobody has been heard at all: since when, how long that may be, whether it has been told, and heard.
    first: Option<(Instant, Duration, bool, bool)>,
    words: Vec<Word>,
}

impl Hearts {
    /// Nobody heard yet.
    pub(super) fn new(first_within: Option<Duration>, now: Instant) -> Self {
        let first = first_within.map(|within| (now, within, false, false));
        Self { boats: BTreeMap::new(), first, words: Vec::new() }
    }

    /// A beat came.
    pub(super) fn hear(&mut self, beat: Beat, now: Instant) -> Result<(), String> {
        if beat.version != 1 {
            return Err(format!("version {} is not understood", beat.version));
        }
        if !(LEAST_DEADLINE_S..=MOST_DEADLINE_S).contains(&beat.deadline_s) {
            return Err(format!("deadline_s: wanted {LEAST_DEADLINE_S} to {MOST_DEADLINE_S}"));
        }
        if MOST_BOATS <= self.boats.len() && !self.boats.contains_key(&beat.boat) {
            return Err("too many boats".to_owned());
        }
        self.first = None;
        let rings: Vec<String> = beat.rings.iter().map(|ring| ring.alarm.clone()).collect();
        let before = self.boats.remove(&beat.boat);
        let new = |what: &'static str, text: String, rings| Word {
            code: what,
            text,
            rings,
            boat: beat.boat.clone(),
            stay: beat.stay.clone(),
        };
        match &before {
            None => self.words.push(new("heard", format!("{} is heard: {}", beat.boat, beat.verdict), false)),
            Some(heart) if heart.silent => {
                self.words.push(new(
                    "heard_again",
                    format!("{} is heard again: {}", beat.boat, beat.verdict),
                    false,
                ));
            }
            Some(_) => {}
        }
        let known: &[String] = before.as_ref().map_or(&[], |heart| &heart.rings);
        let fresh: Vec<&str> = beat
            .rings
            .iter()
            .filter(|ring| !known.contains(&ring.alarm))
            .map(|ring| ring.text.as_str())
            .collect();
        if !fresh.is_empty() {
            self.words.push(new("alarm", format!("{}: {}", beat.boat, fresh.join(" ")), true));
        } else if !known.is_empty() && rings.is_empty() {
            self.words.push(new("alarms_over", format!("{}: nothing rings any more", beat.boat), false));
        }
        if beat.ended && before.as_ref().is_none_or(|heart| !heart.ended) {
            self.words.push(new("ended", format!("{}: her crew have ended the watch", beat.boat), false));
        }
        let heard = before.is_some_and(|heart| heart.heard && !heart.silent) && fresh.is_empty();
        let heart = Heart {
            stay: beat.stay,
            last: now,
            deadline: Duration::from_secs(beat.deadline_s),
            ended: beat.ended,
            texts: beat.rings.into_iter().map(|ring| ring.text).collect(),
            rings,
            silent: false,
            heard,
        };
        self.boats.insert(beat.boat, heart);
        Ok(())
    }

    /// What is to be told now, and whether anything rings that nobody has heard.
    pub(super) fn look(&mut self, now: Instant) -> (Vec<Word>, bool) {
        let mut words = std::mem::take(&mut self.words);
        for (boat, heart) in &mut self.boats {
            let over = heart.deadline <= now.saturating_duration_since(heart.last);
            if over && !heart.silent && !heart.ended {
                (heart.silent, heart.heard) = (true, false);
                let text = format!(
                    "nothing is heard of {boat} for {} s: her power, her link or her program is gone",
                    heart.deadline.as_secs()
                );
                words.push(Word {
                    code: "silent",
                    text,
                    rings: true,
                    boat: boat.clone(),
                    stay: heart.stay.clone(),
                });
            }
        }
        if let Some((since, within, told, _)) = &mut self.first
            && !*told
            && *within <= now.saturating_duration_since(*since)
        {
            *told = true;
            let text = format!("no boat has been heard within {} s", within.as_secs());
            words.push(Word {
                code: "never_heard",
                text,
                rings: true,
                boat: String::new(),
                stay: String::new(),
            });
        }
        let rings = |heart: &Heart| !heart.heard && (heart.silent || !heart.rings.is_empty());
        let never = self.first.is_some_and(|(_, _, told, heard)| told && !heard);
        (words, never || self.boats.values().any(rings))
    }

    /// What somebody ashore says.
    pub(super) fn told(&mut self, line: &str) -> String {
        match line.trim() {
            "acknowledge" | "ack" => {
                for heart in self.boats.values_mut() {
                    heart.heard = true;
                }
                if let Some((_, _, _, heard)) = &mut self.first {
                    *heard = true;
                }
                "heard".to_owned()
            }
            "status" => {
                let line = |(boat, heart): (&String, &Heart)| {
                    let word = match (heart.silent, heart.ended) {
                        (true, _) => "silent".to_owned(),
                        (_, true) => "ended".to_owned(),
                        _ if heart.texts.is_empty() => "heard".to_owned(),
                        _ => heart.texts.join(" "),
                    };
                    format!("{boat} ({}): {word}", heart.stay)
                };
                self.boats.iter().map(line).collect::<Vec<_>>().join("\n")
            }
            other => format!("\"{other}\" is not understood: wanted acknowledge or status"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock;
    use crate::ring::heartbeat::Rings;

    fn beat(rings: &[&str]) -> Beat {
        let rings = rings.iter().map(|it| Rings { alarm: (*it).to_owned(), text: format!("{it}.") });
        Beat {
            version: 1,
            boat: "Tern".to_owned(),
            stay: "s".to_owned(),
            deadline_s: 300,
            verdict: "holding".to_owned(),
            rings: rings.collect(),
            ..Beat::default()
        }
    }
    fn codes(words: &[Word]) -> Vec<&'static str> {
        words.iter().map(|word| word.code).collect()
    }

    #[test]
    fn silence_rings_once_it_is_longer_than_the_beat_said_and_stops_when_she_is_heard() {
        let start = clock::stopwatch();
        let after = |s| start + Duration::from_secs(s);
        let mut hearts = Hearts::new(None, start);
        hearts.hear(beat(&[]), after(0)).unwrap();
        assert_eq!(codes(&hearts.look(after(299)).0), ["heard"]);
        let (words, rings) = hearts.look(after(300));
        assert_eq!((codes(&words), rings), (vec!["silent"], true));
        assert_eq!(hearts.look(after(400)), (vec![], true));
        hearts.hear(beat(&[]), after(500)).unwrap();
        let (words, rings) = hearts.look(after(500));
        assert_eq!((codes(&words), rings), (vec!["heard_again"], false));
    }

    #[test]
    fn an_alarm_aboard_rings_ashore_until_somebody_has_heard_it_and_again_for_another() {
        let start = clock::stopwatch();
        let mut hearts = Hearts::new(None, start);
        hearts.hear(beat(&["dragging"]), start).unwrap();
        assert!(hearts.look(start).1);
        hearts.told("acknowledge");
        hearts.hear(beat(&["dragging"]), start).unwrap();
        assert!(!hearts.look(start).1);
        hearts.hear(beat(&["dragging", "water"]), start).unwrap();
        assert!(hearts.look(start).1);
    }

    #[test]
    fn a_watch_that_was_ended_may_be_silent_and_a_boat_never_heard_may_not() {
        let start = clock::stopwatch();
        let later = start + Duration::from_secs(100_000);
        let mut hearts = Hearts::new(Some(Duration::from_mins(10)), start);
        assert!(hearts.look(start + Duration::from_mins(10)).1);
        hearts.hear(Beat { ended: true, ..beat(&[]) }, start).unwrap();
        assert!(!hearts.look(later).1);
    }

    #[test]
    fn what_is_no_beat_is_refused() {
        let mut hearts = Hearts::new(None, clock::stopwatch());
        assert!(hearts.hear(Beat { version: 2, ..beat(&[]) }, clock::stopwatch()).is_err());
        assert!(hearts.hear(Beat { deadline_s: 0, ..beat(&[]) }, clock::stopwatch()).is_err());
    }
}

//! A receiver that says the same place for ever.
//!
//! At anchor a sound receiver may say the same place for minutes: some hold still what moves slowly, some tell few
//! digits. So sameness alone is no fault. It is one when the receiver's own time stands still, when its Doppler or
//! another receiver goes on meanwhile, or when a receiver whose last digits never rest says one place for two
//! minutes.

use jiff::Timestamp;

use crate::position::Position;
use crate::watch::own_clock::seconds;

/// Its stated time stands still for so long, s: longer than any sentence is delayed.
const TIME_STANDS_S: f64 = 10.0;
/// One place for so long while something else says that she moves, s.
const MOVES_S: f64 = 30.0;
/// Way by Doppler meanwhile, m: more than a fix scatters by.
const MOVES_BY_DOPPLER_M: f64 = 15.0;
/// Way over the ground below this is noise of the Doppler's, m/s: twice what good receivers show (from memory).
const DOPPLER_NOISE_MS: f64 = 0.15;
/// Way of another receiver meanwhile, m: more than one scatters.
const MOVES_BY_OTHER_M: f64 = 20.0;
/// One place for so long from a receiver whose digits never rest, s: at 1 Hz and a half chance of the same digits,
/// once in 2^120.
const RESTLESS_S: f64 = 120.0;
/// Such a receiver changes more often than not.
const RESTLESS_SHARE: f64 = 0.5;
/// Fixes that must say the same: a slow receiver freezes no faster than it speaks.
const FEWEST: u32 = 10;
/// Weight of one fix in how often the place changes: five minutes at 1 Hz.
const WEIGHT: f64 = 1.0 / 300.0;
/// Fixes of one place that still count for how often it changes.
const COUNTED: u32 = 60;

/// One place, said again and again.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Same {
    since: Timestamp,
    place: Position,
    fixes: u32,
    way_m: f64,
    other: Option<Position>,
    stated: Option<Timestamp>,
    stated_since: Timestamp,
}

/// Whether a receiver says one place for ever.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Stillness {
    same: Option<Same>,
    changes: f64,
    last: Option<Timestamp>,
}

/// One fix, as far as stillness goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Still {
    /// When.
    pub(super) at: Timestamp,
    /// Where.
    pub(super) place: Position,
    /// The receiver's own time of it.
    pub(super) stated: Option<Timestamp>,
    /// Way over the ground by its Doppler, m/s.
    pub(super) way_ms: Option<f64>,
    /// Where another trusted receiver is.
    pub(super) other: Option<Position>,
}

impl Stillness {
    /// A fix comes; since when it is frozen, if it is.
    pub(super) fn hear(&mut self, fix: &Still) -> Option<Timestamp> {
        let dt_s = self.last.map_or(0.0, |last| seconds(fix.at, last));
        self.last = Some(fix.at);
        let Some(same) = self.same.as_mut().filter(|same| same.place == fix.place) else {
            self.changes += (1.0 - self.changes) * WEIGHT;
            self.same = Some(Same {
                since: fix.at,
                place: fix.place,
                fixes: 1,
                way_m: 0.0,
                other: fix.other,
                stated: fix.stated,
                stated_since: fix.at,
            });
            return None;
        };
        same.fixes = same.fixes.saturating_add(1);
        if same.fixes < COUNTED {
            self.changes -= self.changes * WEIGHT;
        }
        let way_ms = fix.way_ms.filter(|&way_ms| DOPPLER_NOISE_MS < way_ms).unwrap_or(0.0);
        same.way_m += way_ms * dt_s.min(MOVES_S);
        if same.stated != fix.stated || fix.stated.is_none() {
            (same.stated, same.stated_since) = (fix.stated, fix.at);
        }
        same.is_frozen(fix, self.changes).then_some(same.since)
    }
}

impl Same {
    fn is_frozen(&self, fix: &Still, changes: f64) -> bool {
        if self.fixes < FEWEST {
            return false;
        }
        let lasting_s = seconds(fix.at, self.since);
        let time_stands = TIME_STANDS_S <= seconds(fix.at, self.stated_since);
        let by_doppler = MOVES_S <= lasting_s && MOVES_BY_DOPPLER_M <= self.way_m;
        let by_other = match (self.other, fix.other) {
            (Some(then), Some(now)) => {
                MOVES_S <= lasting_s && MOVES_BY_OTHER_M <= then.towards(now).0.as_metres()
            }
            _ => false,
        };
        let restless = RESTLESS_S <= lasting_s && RESTLESS_SHARE < changes;
        time_stands || by_doppler || by_other || restless
    }
}

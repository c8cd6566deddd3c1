//! The receivers: which can be trusted, which is used, and whether they agree.
//!
//! A single bad fix is left out and counted. A receiver that leaps as no boat can ([`leap`]), says the same place for
//! ever ([`frozen`]), has lost its satellites or its signals, or says itself that it measures nothing, is not used
//! while that lasts. With several, the better is used: by what it says of its own fixes, how often it speaks, and how
//! many of its fixes had to be left out; and one that is used stays so until another has been much better for a
//! minute. When none can be used for three of its usual intervals, the watch is blind; it does not call that
//! dragging.

mod frozen;
pub(super) mod interval;
mod leap;
mod receiver;
mod usual;

use jiff::Timestamp;

use self::receiver::Receiver;
pub(super) use self::receiver::{Outcome, SILENT_INTERVALS, SILENT_S};
use super::doppler::Milestone;
use super::observation::{Fix, Sky, Source, Way};
use super::own_clock::seconds;
use super::reason::Fault;
use super::view::ReceiverSeen;
use crate::position::{Offset, Position};
use crate::units::Length;

/// Another receiver is much better below this share of the used one's badness, for so long: receivers of one make
/// would change places at every crest otherwise (a choice).
const MUCH_BETTER: f64 = 0.6;
/// See [`MUCH_BETTER`].
const BETTER_FOR_S: f64 = 60.0;
/// Two receivers' places are compared when they are no further apart in time than this, s.
const SAME_TIME_S: f64 = 3.0;
/// The difference of two receivers is averaged over so long, s: reflections pass sooner.
const APART_S: f64 = 30.0;
/// They disagree when it has been too large for so long, s.
const DISAGREE_FOR_S: f64 = 60.0;
/// Standard deviations of both that may lie between them.
const DISAGREE_SIGMAS: f64 = 3.0;
/// Between their antennas, where her length is not known, m.
const UNKNOWN_LENGTH_M: f64 = 15.0;
/// They agree again when it is below this share of the limit.
const AGREE_SHARE: f64 = 0.8;

/// The receivers.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Receivers {
    each: Vec<Receiver>,
    used: Option<Source>,
    better: Option<(Source, Timestamp)>,
    apart: Vec<Apart>,
    length_m: f64,
    /// What was trusted before the watch was taken up again: for the receiver that speaks first.
    before: Option<(Timestamp, Position)>,
    usual_s: Option<f64>,
}

/// Two receivers' difference.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Apart {
    pair: (Source, Source),
    mean: Offset,
    at: Timestamp,
    too_far_since: Option<Timestamp>,
    limit_m: f64,
}

/// Two receivers that disagree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Disagreement {
    /// The one used.
    pub(super) used: Source,
    /// The other.
    pub(super) other: Source,
    /// How far they are apart.
    pub(super) apart: Length,
    /// What may be between them.
    pub(super) limit: Length,
}

impl Receivers {
    /// None has spoken yet.
    pub(super) fn new(length: Option<Length>) -> Self {
        let length_m = length.map_or(UNKNOWN_LENGTH_M, Length::as_metres);
        Self {
            each: Vec::new(),
            used: None,
            better: None,
            apart: Vec::new(),
            length_m,
            before: None,
            usual_s: None,
        }
    }
    /// None has spoken since the watch was taken up again.
    pub(super) fn resumed(
        length: Option<Length>,
        used: Option<Source>,
        before: Option<(Timestamp, Position)>,
        usual_s: Option<f64>,
    ) -> Self {
        Self { used, before, usual_s, ..Self::new(length) }
    }

    /// A receiver says where it is.
    pub(super) fn hear_fix(&mut self, source: Source, at: Timestamp, fix: &Fix) -> Outcome {
        let other = self.witness(source, at);
        let outcome = self.of(source).hear_fix(at, fix, other);
        if outcome == Outcome::Usable {
            self.compare(source, at);
        }
        self.choose(at);
        outcome
    }
    /// A receiver says that it has no fix.
    pub(super) fn hear_no_fix(&mut self, source: Source) {
        self.of(source).hear_no_fix();
    }
    /// A receiver says how she moves.
    pub(super) fn hear_way(&mut self, source: Source, at: Timestamp, way: &Way) -> Outcome {
        self.of(source).hear_way(at, way)
    }
    /// A receiver says what it sees.
    pub(super) fn hear_sky(&mut self, source: Source, at: Timestamp, sky: &Sky) {
        self.of(source).hear_sky(at, sky);
    }
    /// The crew says that where the receivers are, is where she is.
    pub(super) fn believe(&mut self) {
        self.each.iter_mut().for_each(Receiver::believe);
    }

    /// The one used.
    pub(super) const fn used(&self) -> Option<Source> {
        self.used
    }
    /// How far the used one's fixes may be off.
    pub(super) fn used_spread(&self) -> Option<Length> {
        self.get(self.used?).map(|receiver| Length::metres(receiver.spread_m()))
    }
    /// The way that the used one's Doppler adds up to.
    pub(super) fn used_milestone(&self, at: Timestamp) -> Option<Milestone> {
        self.get(self.used?)?.doppler.at(at)
    }
    /// The way that the used one said with its fix of this instant.
    pub(super) fn used_way(&self, at: Timestamp) -> Option<Way> {
        self.get(self.used?)?.way_with(at)
    }
    /// The usual interval between the used one's fixes, s.
    pub(super) fn usual_s(&self) -> Option<f64> {
        self.used.and_then(|used| self.get(used)).map_or(self.usual_s, |used| used.interval.usual_s())
    }
    /// The interval that the silence of fixes is held against, s.
    pub(super) fn slow_s(&self) -> Option<f64> {
        self.used.and_then(|used| self.get(used)).map_or(self.usual_s, |used| used.interval.slow_s())
    }
    /// The last place of the used one that was trusted.
    pub(super) fn last_trusted(&self) -> Option<(Timestamp, Position)> {
        let base = self.used.and_then(|used| self.get(used)).and_then(|used| used.base);
        base.map_or(self.before, |base| Some((base.at, base.place)))
    }
    /// What speaks against each.
    pub(super) fn faults(&self, now: Timestamp) -> impl Iterator<Item = (Source, Fault)> {
        self.each.iter().filter_map(move |each| Some((each.source, each.fault(now)?)))
    }
    /// All of them, as they are shown.
    pub(super) fn seen(&self, now: Timestamp) -> Vec<ReceiverSeen> {
        let seen = |each: &Receiver| ReceiverSeen {
            source: each.source,
            used: self.used == Some(each.source),
            fault: each.fault(now),
            good: each.good,
            left_out: each.left_out,
        };
        self.each.iter().map(seen).collect()
    }
    /// Whether two disagree now: the worst pair with the used one.
    pub(super) fn disagreement(&self, now: Timestamp) -> Option<Disagreement> {
        let used = self.used?;
        let far = self.apart.iter().filter(|apart| {
            let both = [apart.pair.0, apart.pair.1];
            both.contains(&used)
                && both.iter().all(|&each| self.get(each).is_some_and(|each| each.is_usable(now)))
                && apart.too_far_since.is_some_and(|since| DISAGREE_FOR_S <= seconds(now, since))
        });
        let worst = far.max_by(|a, b| a.mean.length().as_metres().total_cmp(&b.mean.length().as_metres()))?;
        let other = if worst.pair.0 == used { worst.pair.1 } else { worst.pair.0 };
        Some(Disagreement { used, other, apart: worst.mean.length(), limit: Length::metres(worst.limit_m) })
    }
    /// Uses the better, as of now.
    pub(super) fn choose(&mut self, now: Timestamp) {
        let usable = self.each.iter().filter(|each| each.is_speaking(now));
        let Some(best) = usable.min_by(|a, b| a.badness_m().total_cmp(&b.badness_m())) else { return };
        let (best, badness_m) = (best.source, best.badness_m());
        let Some(used) = self.used.and_then(|used| self.get(used)).filter(|used| used.is_speaking(now))
        else {
            (self.used, self.better) = (Some(best), None);
            return;
        };
        if used.source == best || !(badness_m < MUCH_BETTER * used.badness_m()) {
            self.better = None;
            return;
        }
        match self.better {
            Some((other, since)) if other == best => {
                if BETTER_FOR_S <= seconds(now, since) {
                    (self.used, self.better) = (Some(best), None);
                }
            }
            _ => self.better = Some((best, now)),
        }
    }

    fn get(&self, source: Source) -> Option<&Receiver> {
        self.each.iter().find(|each| each.source == source)
    }
    fn of(&mut self, source: Source) -> &mut Receiver {
        let at = match self.each.binary_search_by_key(&source, |each| each.source) {
            Ok(at) => at,
            Err(at) => {
                let first = self.each.is_empty() || self.used == Some(source);
                let before = if first { self.before.take() } else { None };
                self.each.insert(at, Receiver::new(source, before, self.usual_s.filter(|_| first)));
                at
            }
        };
        &mut self.each[at]
    }
    /// Where another trusted receiver is at this time.
    fn witness(&self, source: Source, at: Timestamp) -> Option<Position> {
        let others = self.each.iter().filter(|each| each.source != source && each.is_usable(at));
        let places =
            others.filter_map(|each| each.base.filter(|base| seconds(at, base.at).abs() <= SAME_TIME_S));
        places.map(|base| base.place).next()
    }
    fn compare(&mut self, source: Source, at: Timestamp) {
        let Some(place) = self.get(source).and_then(|each| each.base).map(|base| base.place) else { return };
        let of = self.get(source).map_or(0.0, Receiver::spread_m);
        let differs = |each: &Receiver| {
            let base = each.base.filter(|base| seconds(at, base.at).abs() <= SAME_TIME_S)?;
            let limit_m = DISAGREE_SIGMAS * of.hypot(each.spread_m()) + self.length_m;
            // From the lower number to the higher, whichever speaks.
            let (pair, from, to) = if source < each.source {
                ((source, each.source), place, base.place)
            } else {
                ((each.source, source), base.place, place)
            };
            Some((pair, from.offset_of(to), limit_m))
        };
        let others = self.each.iter().filter(|each| each.source != source && each.is_usable(at));
        let found: Vec<_> = others.filter_map(differs).collect();
        for (pair, offset, limit_m) in found {
            self.hear_apart(pair, offset, limit_m, at);
        }
    }
    fn hear_apart(&mut self, pair: (Source, Source), offset: Offset, limit_m: f64, at: Timestamp) {
        let Some(apart) = self.apart.iter_mut().find(|apart| apart.pair == pair) else {
            self.apart.push(Apart { pair, mean: offset, at, too_far_since: None, limit_m });
            return;
        };
        let share = 1.0 - (-seconds(at, apart.at).max(0.0) / APART_S).exp();
        let towards = offset - apart.mean;
        apart.mean.east_m += towards.east_m * share;
        apart.mean.north_m += towards.north_m * share;
        (apart.at, apart.limit_m) = (at, limit_m);
        let apart_m = apart.mean.length().as_metres();
        if limit_m < apart_m {
            apart.too_far_since.get_or_insert(at);
        } else if apart_m < AGREE_SHARE * limit_m {
            apart.too_far_since = None;
        }
    }
}

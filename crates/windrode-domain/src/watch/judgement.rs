//! The word and its reasons, from what is found.
//!
//! In order: she leaves of her own accord; the anchor drags, or has dragged and nobody has said that this is over; it
//! cannot be told where she is; something speaks against holding, or too little is known; she holds. A call of
//! dragging stays until it is cleared: a boat that has set again after twenty metres is not where she was put.

use jiff::Timestamp;

use super::found::Found;
use super::given::Given;
use super::own_clock::{OwnClock, duration, seconds};
use super::reason::Reason;
use super::receivers::{Disagreement, Receivers, SILENT_INTERVALS, SILENT_S};
use super::remembered::Leaving;
use super::sample::Sample;
use super::verdict::{Moved, Verdict};
use crate::position::Position;
use crate::units::{Angle, Length, Speed};

/// Share of the evidence that rings from which it is told: 8 of 13, which comes once in a hundred quiet nights where
/// the call itself comes once in some hundreds.
const TOLD_FROM: f64 = 0.6;
/// Without a length of rode, so much of the circle must have been seen for the anchor to be told from the arc: a fit
/// on less than a third of a turn is metres off.
const ENOUGH_ARC_DEG: f64 = 100.0;
/// Longest silence of fixes that is no blindness, however seldom they usually come, s.
const SILENT_MOST_S: f64 = 3_600.0;
/// Until a second fix has come it is not known how often they do: the slowest that are of use come every ten minutes,
/// s. The word is doubtful meanwhile.
const UNKNOWN_INTERVAL_S: f64 = 660.0;
/// Beyond all her rode by this, the drop that was recorded is not hers: multipath strays by hundreds of metres at the
/// most, and a drag would have been called long before.
const ELSEWHERE: Length = Length::metres(1_000.0);
/// The rode of a boat that told none: more than any yacht carries.
const LONGEST_RODE: Length = Length::metres(150.0);
/// A clock that was set back is told for so long, s.
const SET_BACK_TOLD_S: f64 = 600.0;

/// What the word is judged from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Judged<'a> {
    /// Own time.
    pub(super) clock: &'a OwnClock,
    /// When the watch was taken, in own time.
    pub(super) from: Timestamp,
    /// When it was last known where she is, or when the watch was taken or taken up again.
    pub(super) last_known: Timestamp,
    /// Whether that was a fix.
    pub(super) any_fix: bool,
    /// The receivers.
    pub(super) receivers: &'a Receivers,
    /// The last sample.
    pub(super) sample: Option<&'a Sample>,
    /// What the drag test found on it.
    pub(super) found: Option<&'a Found>,
    /// How far the last fix lies from a drop that cannot be hers, and what rode and receiver come to.
    pub(super) drop_elsewhere: Option<[Length; 2]>,
    /// A rode is known.
    pub(super) rode_known: bool,
    /// Directions from the anchor in which she was seen, a bit for each ten degrees.
    pub(super) arc_seen: u64,
    /// The interval of places that come too seldom to tell a drag from a swing by what is known, s.
    pub(super) too_seldom_s: Option<f64>,
    /// The anchor was called dragging.
    pub(super) dragging: bool,
    /// How far it has gone.
    pub(super) moved: Option<&'a Moved>,
    /// She leaves, and why.
    pub(super) leaving: Option<(Leaving, &'a Reason)>,
    /// She may be leaving.
    pub(super) may_leave: Option<&'a Reason>,
    /// The word that stood when the watch broke off, until the first sample.
    pub(super) before: Option<(Verdict, Timestamp)>,
}

/// How long fixes may be missing, s.
pub(super) fn silence_allowed_s(receivers: &Receivers) -> f64 {
    let Some(usual_s) = receivers.slow_s() else { return UNKNOWN_INTERVAL_S };
    (SILENT_INTERVALS * usual_s).clamp(SILENT_S, SILENT_MOST_S)
}

impl Judged<'_> {
    /// The word, and why.
    pub(super) fn judge(&self) -> (Verdict, Vec<Reason>) {
        let mut reasons = Vec::new();
        let verdict = self.word(&mut reasons);
        let set_back = self.clock.set_back();
        let lately = set_back.filter(|&(since, _)| seconds(self.clock.now(), since) < SET_BACK_TOLD_S);
        reasons.extend(lately.map(|(_, by)| Reason::ClockSetBack { by }));
        (verdict, reasons)
    }
    /// Whether it cannot be told where she is.
    pub(super) fn is_blind(&self) -> bool {
        let lasting_s = seconds(self.clock.now(), self.last_known);
        silence_allowed_s(self.receivers) <= lasting_s || !self.any_fix
    }

    fn word(&self, reasons: &mut Vec<Reason>) -> Verdict {
        if let Some((_, reason)) = self.leaving {
            reasons.push(reason.clone());
            return Verdict::UnderWay;
        }
        if let (Some((verdict, broke_off)), true) = (self.before, self.sample.is_none() && !self.is_blind()) {
            reasons.extend(self.dragging.then(|| self.gone()).flatten());
            reasons.push(Reason::StoodBefore { broke_off: self.clock.as_told(broke_off) });
            return verdict;
        }
        if self.dragging {
            reasons.push(self.gone().unwrap_or(Reason::SpeaksForDragging { share: 1.0 }));
            reasons.extend(self.outside());
            if self.is_blind() {
                self.blindness(reasons);
            }
            return Verdict::Dragging;
        }
        if self.is_blind() {
            self.blindness(reasons);
            return Verdict::Blind;
        }
        self.doubts(reasons);
        let verdict = if reasons.is_empty() { Verdict::Holding } else { Verdict::Doubtful };
        reasons.extend(self.found.map(lies));
        // What the word does without: she may hold for all that.
        reasons.extend(self.found.into_iter().flat_map(left_out));
        if reasons.is_empty() {
            // Fixes come, and no sample is full yet.
            reasons.push(Reason::NotSettled { watched: self.clock.now().duration_since(self.from) });
            return Verdict::Doubtful;
        }
        verdict
    }
    fn doubts(&self, reasons: &mut Vec<Reason>) {
        reasons
            .extend(self.drop_elsewhere.map(|[from_drop, limit]| Reason::DropElsewhere { from_drop, limit }));
        let (Some(found), Some(sample)) = (self.found, self.sample) else { return };
        // She ranges ahead along her heading in every lull: it is told only where a call is held back for it.
        reasons.extend(self.may_leave.filter(|_| found.dragging).cloned());
        reasons.extend(self.outside());
        if TOLD_FROM <= found.evidence {
            reasons.push(Reason::SpeaksForDragging { share: found.evidence });
        }
        if let Some(Disagreement { used, other, apart, limit }) =
            self.receivers.disagreement(self.clock.now())
        {
            reasons.push(Reason::ReceiversDisagree { used, other, apart, limit });
        }
        if !found.settled {
            reasons.push(Reason::NotSettled { watched: self.clock.now().duration_since(self.from) });
        }
        let arc_deg = f64::from(self.arc_seen.count_ones()) * 10.0;
        if !self.rode_known && arc_deg < ENOUGH_ARC_DEG {
            reasons.push(Reason::LittleOfCircle { arc: Angle::degrees(arc_deg) });
        }
        reasons
            .extend(self.too_seldom_s.map(|interval_s| Reason::TooSeldom { interval: duration(interval_s) }));
        if sample.heading.is_none() && sample.wind.is_none() {
            reasons.push(Reason::HeadingAndWindMissing);
        }
    }
    fn blindness(&self, reasons: &mut Vec<Reason>) {
        let now = self.clock.now();
        let lasting = now.duration_since(self.last_known);
        let limit = duration(silence_allowed_s(self.receivers));
        reasons.push(if self.any_fix {
            Reason::NoUsableFix { lasting, limit }
        } else {
            Reason::NoFixYet { waited: lasting }
        });
        reasons.extend(self.receivers.faults(now).map(|(source, fault)| Reason::Receiver { source, fault }));
    }
    fn outside(&self) -> Option<Reason> {
        self.found.filter(|found| found.outside_circle).map(outside)
    }
    fn gone(&self) -> Option<Reason> {
        self.moved.map(|moved| Reason::AnchorGone {
            distance: moved.distance,
            spread: moved.spread,
            toward: moved.toward,
            speed: moved.speed_ms.map(Speed::metres_per_second),
            began: moved.since.map(|since| self.clock.as_told(since)),
        })
    }
}

/// How far a fix lies from a drop that cannot be hers, and what rode and receiver come to.
pub(super) fn drop_elsewhere(given: &Given, fix: Position) -> Option<[Length; 2]> {
    let (from_drop, _) = given.drop.as_ref()?.at.towards(fix);
    let rode = given.rode.as_ref().map_or(LONGEST_RODE, |rode| rode.line.length());
    let limit = rode + ELSEWHERE;
    (limit < from_drop).then_some([from_drop, limit])
}

/// She is outside the plain circle.
pub(super) fn outside(found: &Found) -> Reason {
    Reason::OutsideCircle {
        from_middle: Length::metres(found.from_circle_m),
        radius: Length::metres(found.circle_m),
    }
}

/// What is heard and not believed.
fn left_out(found: &Found) -> impl Iterator<Item = Reason> + use<> {
    let heading = found.left_out.heading.map(|why| Reason::HeadingLeftOut { why });
    let wind = found.left_out.wind.map(|why| Reason::WindLeftOut { why });
    heading.into_iter().chain(wind)
}

fn lies(found: &Found) -> Reason {
    Reason::LiesToHerRode {
        beyond: Length::metres(found.beyond_m),
        spread: Length::metres(found.beyond_spread_m),
    }
}

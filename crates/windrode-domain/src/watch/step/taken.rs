//! What a full sample does: the drag test takes it, and the way she goes is judged.

use jiff::Timestamp;

use super::Watch;
use crate::position::Offset;
use crate::units::Length;
use crate::watch::detector::Detector;
use crate::watch::found::Found;
use crate::watch::given::Drop;
use crate::watch::judgement;
use crate::watch::leaving::Way;
use crate::watch::own_clock::{duration, seconds};
use crate::watch::reason::Reason;
use crate::watch::remembered::Leaving;
use crate::watch::sample::Sample;
use crate::watch::verdict::Moved;

/// Samples further apart than this are too few to show a swing, s: a sheer takes a minute or two.
const SELDOM_S: f64 = 60.0;
/// Samples over which the longest interval is taken: five minutes of a receiver that speaks each second.
const INTERVALS: usize = 60;
/// Engine above this turns, rpm.
const TURNS_RPM: f64 = 1.0;
/// A word of the engine is good for so long, s.
const ENGINE_S: f64 = 60.0;
/// Before the watch is so old nothing is called, s: whether she lies at all takes as long to see.
const CALLS_FROM_S: f64 = 30.0;
/// A drop that was marked is known to this, m; one that was only planned is not.
const MARKED: Length = Length::metres(10.0);
/// Beyond this from its origin a flat sheet is not to be trusted.
const FLAT: Length = Length::metres(20_000.0);

impl Watch {
    /// Samples that are full go to the drag test.
    pub(super) fn take(&mut self, samples: &[Sample]) {
        for sample in samples {
            let Some(origin) = self.origin else { return };
            self.sample = Some(*sample);
            if let Some((how, _)) = self.leaving {
                self.hear_gone(how, sample);
                continue;
            }
            let given = &self.given;
            let detector = self.detector.get_or_insert_with(|| Detector::new(given, origin, sample));
            let found = detector.step(sample);
            self.found = Some(found);
            self.before = None;
            self.see_interval(sample);
            self.see_arc(sample, &found);
            self.see_way(sample, &found);
            self.see_dragging(&found);
        }
    }
    fn see_arc(&mut self, sample: &Sample, found: &Found) {
        let from_anchor = sample.place - found.anchor;
        let tens = (from_anchor.bearing().as_degrees() / 10.0).floor();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bearing is in [0, 360)"
        )]
        let tens = tens as u32 % 36;
        self.arc_seen |= 1 << tens;
    }
    fn see_way(&mut self, sample: &Sample, found: &Found) {
        let anchor = found.settled.then_some(found.anchor);
        match self.way(sample, anchor) {
            Way::NotDown(_) if self.is_of_another_place() => {}
            Way::NotDown(reason) => {
                self.leaving = Some((Leaving::NotYet, reason));
                (self.detector, self.found, self.before) = (None, None, None);
                (self.dragging, self.moved, self.may_leave) = (false, None, None);
            }
            Way::Leaves(reason) => {
                self.left = self.anchor().map(|anchor| anchor.at);
                (self.leaving, self.may_leave) = (Some((Leaving::Seen, reason)), None);
            }
            Way::MayLeave(reason) => self.may_leave = Some(reason),
            Way::Lies => self.may_leave = None,
        }
    }
    /// A drop that was marked and cannot be hers, or one so far off that the flat sheet about it tells no way.
    fn is_of_another_place(&self) -> bool {
        let marked = self.given.drop.is_some_and(|drop| drop.spread <= MARKED);
        self.drop_elsewhere().is_some_and(|[from_drop, _]| marked || FLAT < from_drop)
    }
    fn way(&mut self, sample: &Sample, anchor: Option<Offset>) -> Way {
        let engine = self.engine_runs();
        let said = self.receivers.used_way(sample.at);
        self.going.hear(sample, said.as_ref(), anchor, engine)
    }
    /// She goes of her own accord, or lies somewhere since: no anchor is judged.
    fn hear_gone(&mut self, how: Leaving, sample: &Sample) {
        let way = self.way(sample, None);
        match how {
            Leaving::NotYet => {
                if self.going.has_come_to_lie(sample.at) {
                    let drop = self.given.drop.filter(|drop| self.may_lie_to(drop, sample));
                    return self.begin_anew(drop);
                }
                if let Way::NotDown(reason) = way {
                    self.leaving = Some((how, reason));
                }
            }
            Leaving::Seen => {
                if self.going.lies_still(sample.at) && self.lies_where_she_lay(sample) {
                    return self.begin_anew(None);
                }
                let elsewhere = self.lies_elsewhere(sample);
                if let Some(reason) = elsewhere {
                    self.leaving = Some((how, reason));
                } else if let Way::Leaves(reason) = way {
                    self.leaving = Some((how, reason));
                }
            }
            Leaving::Told => {
                let reason = self.lies_elsewhere(sample).unwrap_or(Reason::ToldAweigh);
                self.leaving = Some((how, reason));
            }
        }
    }
    /// She has lain still for long since she left.
    fn lies_elsewhere(&self, sample: &Sample) -> Option<Reason> {
        let lasting_s = self.going.still_s(sample.at).filter(|_| self.going.lies_still(sample.at))?;
        let here = self.origin?.plus(sample.place);
        Some(Reason::LiesElsewhere {
            left: self.clock.as_told(self.since),
            from_anchor: self.left.map(|left| left.towards(here).0),
            lasting: duration(lasting_s),
        })
    }
    /// She is where her rode let her lie before: she was driven ahead and fell back, or has anchored anew close by.
    fn lies_where_she_lay(&self, sample: &Sample) -> bool {
        let (Some(left), Some(origin), Some(found)) = (self.left, self.origin, self.found) else {
            return false;
        };
        left.towards(origin.plus(sample.place)).0 <= Length::metres(found.circle_m)
    }
    /// A drop that was marked, and that she lies within the rode's length of; where it was only planned she may lie to
    /// an anchor anywhere.
    fn may_lie_to(&self, drop: &Drop, sample: &Sample) -> bool {
        let (Some(origin), Some(rode)) = (self.origin, self.given.rode.as_ref()) else { return false };
        let from_drop = drop.at.towards(origin.plus(sample.place)).0;
        drop.spread <= MARKED && from_drop <= rode.line.length() + drop.spread * 2.0
    }
    fn see_dragging(&mut self, found: &Found) {
        if found.dragging
            && self.too_seldom_s().is_none()
            && self.leaving.is_none()
            && self.may_leave.is_none()
            && self.drop_elsewhere().is_none()
            && (CALLS_FROM_S <= seconds(self.clock.now(), self.from) || self.going.has_lain())
        {
            self.dragging = true;
        }
        if !self.dragging || !found.dragging {
            return;
        }
        if let Some(gone) = found.gone {
            let distance = gone.by.length();
            self.moved = Some(Moved {
                distance,
                spread: Length::metres(gone.spread_m),
                toward: (Length::ZERO < distance).then(|| gone.by.bearing()),
                since: Some(gone.since),
                speed_ms: Some(gone.speed_ms),
            });
        }
    }
    /// A drop that is not hers says nothing of her anchor: that is told, and the plain circle about it rings.
    pub(super) fn drop_elsewhere(&self) -> Option<[Length; 2]> {
        let (_, fix) = self.receivers.last_trusted()?;
        judgement::drop_elsewhere(&self.given, fix)
    }
    fn see_interval(&mut self, sample: &Sample) {
        self.intervals_s.push_back(sample.seconds);
        while INTERVALS < self.intervals_s.len() {
            self.intervals_s.pop_front();
        }
    }
    /// Of a boat whose rode, drop and wind are all unknown, a place every few minutes tells a drag from a swing about
    /// an unknown radius to nobody: she is doubtful, and the plain circle stands guard. The longest interval then, s.
    pub(super) fn too_seldom_s(&self) -> Option<f64> {
        let wind = self.sample.is_some_and(|sample| sample.wind.is_some());
        let known = self.given.rode.is_some() || self.given.drop.is_some() || wind;
        let longest_s = self.intervals_s.iter().copied().fold(0.0, f64::max);
        (!known && SELDOM_S <= longest_s).then_some(longest_s)
    }
    /// The estimate begins anew: she lies to another anchor, or to the same one somewhere else.
    pub(super) fn begin_anew(&mut self, drop: Option<Drop>) {
        (self.given.drop, self.drop_told, self.drop_left) = (drop, drop, true);
        (self.detector, self.found, self.before, self.anchor_before) = (None, None, None, None);
        (self.dragging, self.moved, self.leaving, self.may_leave) = (false, None, None, None);
        self.left = None;
        self.arc_seen = 0;
        self.from = self.clock.now();
        self.going.begin_anew();
        self.water.begin_anew();
        self.origin = drop.map(|drop| drop.at).or(self.origin);
        if drop.is_some() {
            // What was gathered is reckoned from the origin before.
            self.gather.begin_anew();
            self.tracked = None;
        }
    }
    pub(super) fn engine_runs(&self) -> bool {
        let turns =
            |(at, rpm): (Timestamp, f64)| seconds(self.clock.now(), at) <= ENGINE_S && TURNS_RPM < rpm;
        self.engine_told || self.engine.is_some_and(turns)
    }
}

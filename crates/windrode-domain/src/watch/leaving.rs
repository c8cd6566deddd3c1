//! Whether she leaves of her own accord, told from the way she goes.
//!
//! An anchor drags where the load pulls it: a boat that drags lies head to wind or beam on, and goes astern or
//! athwart, down the wind or the stream. A boat that leaves goes where she heads. So way along her heading, kept up,
//! not down the wind, is leaving; but only by a compass that has shown in this watch that her bow points to her
//! anchor, for one that reads the wrong way round would make a drag of it; or at a speed at which nothing drags. Way
//! that no drag reaches is leaving too, once it has lasted. While it is not yet sure, a call of dragging is held back
//! for a minute and a half at the most, and only for way along her heading.
//!
//! A boat that makes way from the first fix on, and has not lain since, has not let go yet: where she heads at 1.5
//! kn, or down the wind where she heads (what drags there heads up the wind or lies athwart of it) or across it at 3
//! kn.

use jiff::Timestamp;

use super::observation::Way as Said;
use super::own_clock::{duration, seconds};
use super::reason::Reason;
use super::sample::Sample;
use crate::position::Offset;
use crate::units::{Angle, Bearing, Speed};

/// Way is judged over so long, s: a sheer takes a minute from side to side, and comes back.
const OVER_S: f64 = 60.0;
/// Way of one who leaves along her heading, kn: sheering and ranging stay below it over a minute.
const LEAVES_KN: f64 = 2.0;
/// Way of one who may be about to, over a quarter of that time.
const MAY_LEAVE_KN: f64 = 1.0;
/// Way that no drag keeps up, whatever her heading, kn: bare poles in a storm drive a yacht at 3 to 4 kn with her
/// anchor off the ground (from memory), so nothing but time tells at less than five.
const FAST_KN: f64 = 3.0;
/// It must last so long where nothing else is known, s.
const FAST_FOR_S: f64 = 120.0;
/// And so many samples: a receiver that speaks every ten minutes shows it twice.
const FAST_SAMPLES: u32 = 2;
/// Where she goes down the wind without an engine, more is asked, kn and s: that is where a drag goes.
const DOWNWIND_KN: f64 = 4.5;
/// See [`DOWNWIND_KN`].
const DOWNWIND_FOR_S: f64 = 300.0;
/// Course and heading of one who goes ahead differ by less: leeway and stream.
const ALONG: Angle = Angle::degrees(30.0);
/// A course within this of where the wind blows to is down the wind.
const DOWN: Angle = Angle::degrees(70.0);
/// Wind that can drive a drag, m/s: 5 kn.
const DRIVES_MS: f64 = 2.6;
/// The call of dragging is held back no longer, s.
const HELD_BACK_S: f64 = 90.0;
/// Her bow points to her anchor: mean cosine between heading and bearing of the anchor above this...
const POINTS_TO_ANCHOR: f64 = 0.5;
/// ...averaged over so long, s.
const POINTS_OVER_S: f64 = 900.0;
/// She lies still again when she stays within so much, m, for so long, s: the watch is taken anew.
const STILL_M: f64 = 60.0;
/// See [`STILL_M`].
const STILL_FOR_S: f64 = 1_200.0;
/// Of a receiver that speaks less often than this, each report is judged by the way that it says with it, s.
const SELDOM_S: f64 = 60.0;
/// And by how far she has gone since the report before, m: further than she swings between two of them without a
/// hull's length more of rode.
const SELDOM_M: f64 = 100.0;
/// Way at which her heading need not bear it out, kn: nothing drives a hull so fast that drags its anchor.
const SURELY_KN: f64 = 5.0;
/// Kept up so long along her heading, it needs no compass that has shown where it points, s: a leap that a receiver
/// smooths is over in a quarter of a minute.
const SURELY_FOR_S: f64 = 30.0;
/// Until she has stayed within [`STILL_M`] for so long, s, she has not lain since the watch was taken: at half a knot
/// she would have gone as far.
const LAIN_FOR_S: f64 = 120.0;
/// Way of a boat that has not let go yet, where she heads and not down the wind, kn: no boat at anchor keeps it up.
const NOT_DOWN_KN: f64 = 1.5;
/// It is taken over so long, s: three samples.
const NOT_DOWN_OVER_S: f64 = 10.0;
/// She has come to lie when she stays within [`STILL_M`] for so long, s: she falls back on her rode meanwhile.
const COME_TO_LIE_S: f64 = 300.0;
/// Fewest points kept: as many as a minute of samples has, and some.
const KEPT: usize = 32;

/// How she goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Going {
    track: Vec<(Timestamp, Offset)>,
    along_since: Option<Timestamp>,
    fast_since: Option<(Timestamp, u32)>,
    downwind_fast_since: Option<Timestamp>,
    surely_since: Option<Timestamp>,
    points_to_anchor: Option<f64>,
    still: Option<(Timestamp, Offset)>,
    /// She has lain since the watch was taken.
    lain: bool,
}

/// What her way says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Way {
    /// Nothing.
    Lies,
    /// She has not lain yet, and makes way.
    NotDown(Reason),
    /// She may be leaving; a call of dragging may wait.
    MayLeave(Reason),
    /// She leaves.
    Leaves(Reason),
}

/// Way made good.
#[derive(Clone, Copy, Debug, PartialEq)]
struct MadeGood {
    speed: Speed,
    course: Bearing,
    over_s: f64,
}

impl Going {
    /// A sample comes, with the way `said` in the same report, taken by an anchor thought to lie at `anchor` if
    /// known.
    pub(super) fn hear(
        &mut self,
        sample: &Sample,
        said: Option<&Said>,
        anchor: Option<Offset>,
        engine: bool,
    ) -> Way {
        self.keep(sample);
        if let Some(reason) = self.not_down(sample, engine) {
            return Way::NotDown(reason);
        }
        let seldom = said.and_then(|said| self.leaves_by_report(sample, said));
        let way = seldom.map_or_else(|| self.judge(sample, engine), Way::Leaves);
        if way == Way::Lies {
            self.hear_pointing(sample, anchor);
        }
        way
    }
    /// How long she has stayed within a small circle, s.
    pub(super) fn still_s(&self, now: Timestamp) -> Option<f64> {
        self.still.map(|(since, _)| seconds(now, since))
    }
    /// Whether she has lain still for long.
    pub(super) fn lies_still(&self, now: Timestamp) -> bool {
        self.still_s(now).is_some_and(|still_s| STILL_FOR_S <= still_s)
    }
    /// Whether she has come to lie, of a boat that had not let go.
    pub(super) fn has_come_to_lie(&self, now: Timestamp) -> bool {
        self.still_s(now).is_some_and(|still_s| COME_TO_LIE_S <= still_s)
    }
    /// Whether she has lain since the watch was taken.
    pub(super) const fn has_lain(&self) -> bool {
        self.lain
    }
    /// The crew say that the anchor is down: how she goes from now on is how a boat at anchor goes.
    pub(super) const fn hear_let_go(&mut self) {
        self.lain = true;
    }
    /// All is forgotten but what the compass has shown, and that she lay.
    pub(super) fn begin_anew(&mut self) {
        let (points_to_anchor, lain) = (self.points_to_anchor, self.lain);
        *self = Self { points_to_anchor, lain, ..Self::default() };
    }
    /// As after a break: whether she lay before.
    pub(super) fn resumed(lain: bool) -> Self {
        Self { lain, ..Self::default() }
    }

    fn keep(&mut self, sample: &Sample) {
        match self.still {
            Some((_, place)) if place.distance_to(sample.place).as_metres() <= STILL_M => {}
            _ => self.still = Some((sample.at, sample.place)),
        }
        self.lain |= self.still_s(sample.at).is_some_and(|still_s| LAIN_FOR_S <= still_s);
        if KEPT <= self.track.len() {
            self.track.remove(0);
        }
        self.track.push((sample.at, sample.place));
    }
    /// Way made good since the latest point that is at least so long ago.
    fn made_good(&self, over_s: f64) -> Option<MadeGood> {
        let &(at, place) = self.track.last()?;
        let &(then, was) = self.track.iter().rev().find(|(then, _)| over_s <= seconds(at, *then))?;
        let (by, over_s) = (place - was, seconds(at, then));
        let speed = Speed::metres_per_second(by.length().as_metres() / over_s);
        (0.0 < over_s).then(|| MadeGood { speed, course: by.bearing(), over_s })
    }
    fn not_down(&self, sample: &Sample, engine: bool) -> Option<Reason> {
        let now = self.made_good(NOT_DOWN_OVER_S).filter(|_| !self.lain)?;
        let down = goes_down_the_wind(sample, now.course) && !engine;
        let along = sample.heading.map(|heading| heading.to(now.course).abs() <= ALONG);
        let least_kn = match (along, down) {
            (Some(true), false) => NOT_DOWN_KN,
            (Some(true), true) | (_, false) => FAST_KN,
            // Beam on or astern down the wind, or nobody knows how: that is where a drag goes.
            (_, true) => return None,
        };
        let (speed, course) = (now.speed, now.course);
        (least_kn <= speed.as_knots()).then_some(Reason::NotDownYet { speed, course })
    }
    fn leaves_by_report(&self, sample: &Sample, said: &Said) -> Option<Reason> {
        let [.., (_, before), (_, now)] = self.track.as_slice() else { return None };
        let far = SELDOM_M <= before.distance_to(*now).as_metres();
        let (speed, course) = (said.speed, said.course?);
        if sample.seconds < SELDOM_S || !far || !(FAST_KN <= speed.as_knots()) {
            return None;
        }
        let lasting = duration(sample.seconds);
        let along = sample.heading.is_some_and(|heading| heading.to(course).abs() <= ALONG);
        if along && !goes_down_the_wind(sample, course) {
            return Some(Reason::GoesAlongHeading { speed, course, lasting });
        }
        (SURELY_KN <= speed.as_knots()).then_some(Reason::GoesFast { speed, course, lasting })
    }
    fn judge(&mut self, sample: &Sample, engine: bool) -> Way {
        let Some(now) = self.made_good(OVER_S / 4.0) else { return Way::Lies };
        let down = goes_down_the_wind(sample, now.course);
        let fast = self.hear_fast(sample, now, down && !engine);
        let along = sample.heading.is_some_and(|heading| heading.to(now.course).abs() <= ALONG);
        if let Some(way) = self.hear_surely(sample, now, along && !down) {
            return way;
        }
        let by_herself = self.points_to_anchor.is_some_and(|cosine| POINTS_TO_ANCHOR <= cosine);
        let leaves = along && by_herself && (engine || !down) && MAY_LEAVE_KN <= now.speed.as_knots();
        if !leaves {
            self.along_since = None;
            return fast.map_or(Way::Lies, Way::Leaves);
        }
        // The way made good already covers some time before.
        let since = *self.along_since.get_or_insert(sample.at);
        let lasting_s = seconds(sample.at, since) + now.over_s;
        let steady = self.made_good(OVER_S).filter(|way| LEAVES_KN <= way.speed.as_knots());
        if let Some(way) = steady.filter(|_| OVER_S <= lasting_s) {
            let (speed, course) = (way.speed, way.course);
            return Way::Leaves(Reason::GoesAlongHeading { speed, course, lasting: duration(lasting_s) });
        }
        if let Some(reason) = fast {
            return Way::Leaves(reason);
        }
        if seconds(sample.at, since) <= HELD_BACK_S {
            Way::MayLeave(Reason::MayBeLeaving { speed: now.speed, course: now.course })
        } else {
            Way::Lies
        }
    }
    /// So fast along her heading, for half a minute, goes no boat that drags; until then a call may wait.
    fn hear_surely(&mut self, sample: &Sample, now: MadeGood, ahead: bool) -> Option<Way> {
        if !(ahead && SURELY_KN <= now.speed.as_knots()) {
            self.surely_since = None;
            return None;
        }
        let since = *self.surely_since.get_or_insert(sample.at);
        let lasting_s = seconds(sample.at, since) + now.over_s;
        let (speed, course, lasting) = (now.speed, now.course, duration(lasting_s));
        let surely = SURELY_FOR_S <= lasting_s;
        Some(if surely {
            Way::Leaves(Reason::GoesAlongHeading { speed, course, lasting })
        } else {
            Way::MayLeave(Reason::MayBeLeaving { speed, course })
        })
    }
    fn hear_fast(&mut self, sample: &Sample, now: MadeGood, down: bool) -> Option<Reason> {
        let speed_kn = now.speed.as_knots();
        if !(FAST_KN <= speed_kn) {
            (self.fast_since, self.downwind_fast_since) = (None, None);
            return None;
        }
        let (since, samples) = self.fast_since.map_or((sample.at, 1), |(since, number)| (since, number + 1));
        self.fast_since = Some((since, samples));
        let lasting_s = seconds(sample.at, since) + now.over_s;
        if down && speed_kn < DOWNWIND_KN {
            self.downwind_fast_since = None;
            return None;
        }
        let asked_s = if down { DOWNWIND_FOR_S } else { FAST_FOR_S };
        let from = if down { *self.downwind_fast_since.get_or_insert(sample.at) } else { since };
        let lasts = asked_s <= seconds(sample.at, from) + now.over_s && FAST_SAMPLES <= samples;
        let (speed, course) = (now.speed, now.course);
        lasts.then(|| Reason::GoesFast { speed, course, lasting: duration(lasting_s) })
    }
    fn hear_pointing(&mut self, sample: &Sample, anchor: Option<Offset>) {
        let (Some(heading), Some(anchor)) = (sample.heading, anchor) else { return };
        let to_anchor = anchor - sample.place;
        if to_anchor.length().as_metres() < 10.0 {
            return;
        }
        let cosine = heading.to(to_anchor.bearing()).as_radians().cos();
        let share = 1.0 - (-sample.seconds.max(0.0) / POINTS_OVER_S).exp();
        // It begins undecided.
        let mean = self.points_to_anchor.unwrap_or(0.0);
        self.points_to_anchor = Some(mean + (cosine - mean) * share);
    }
}

fn goes_down_the_wind(sample: &Sample, course: Bearing) -> bool {
    let Some(wind) = sample.wind.filter(|wind| DRIVES_MS <= wind.speed().as_metres_per_second()) else {
        return false;
    };
    wind.from().is_some_and(|from| from.reversed().to(course).abs() <= DOWN)
}

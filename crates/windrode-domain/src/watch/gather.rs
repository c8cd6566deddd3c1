//! What was seen, brought to one point: the samples that the drag test is fed.
//!
//! Each fix is brought from the antenna to the bow by the heading of its own second,
//! `bow = antenna + R(heading) (aft, -starboard)`, and the fixes of five seconds are averaged; a receiver that speaks
//! less often makes a sample of each fix. The way since the sample before is that of the antenna by Doppler, averaged
//! over the same instants as the fixes, plus the turn of the lever between: so a boat that yaws about a bow at rest
//! goes nowhere.
//!
//! Of one instant, the heading, the wind and the way must be told before the fix.

mod depth;
mod soundness;

use jiff::Timestamp;

use self::depth::SmoothSounder;
pub(super) use self::depth::{foretold, steps_about};
pub use self::soundness::{LeftOut, Unsound};
use self::soundness::{SoundHeading, SoundWind};
use super::doppler::Milestone;
use super::given::Given;
use super::instrument::{Heard, Instrument};
use super::observation::{Observation, Seen};
use super::own_clock::{after, seconds};
use super::receivers::Receivers;
use super::receivers::interval::Interval;
use super::sample::Sample;
use crate::environment::wind::Wind;
use crate::position::{Offset, Position};
use crate::units::{Angle, Bearing, Length};

/// Fixes of so long make one sample, s: the drag test's step.
const SAMPLE_S: f64 = 5.0;
/// A heading older than this brings no fix to the bow, s: in three seconds a yawing boat turns 15° (from memory),
/// which is 2 m on a lever of 9 m.
const HEADING_S: f64 = 3.0;
/// A compass further off than this says nothing: 3 m on a lever of 9 m.
const HEADING_SPREAD: Angle = Angle::degrees(20.0);
/// Wind older than this is no wind, s: the load follows the wind over three quarters of a minute.
const WIND_S: f64 = 60.0;
/// A slow wind is kept for so many of its own intervals, and never longer than this, s.
const WIND_MOST_S: f64 = 900.0;
/// Depths that a sounder may say, m: nothing below the surface is less than nothing, and nobody anchors deeper.
const DEEPEST_M: f64 = 500.0;

/// What is gathered.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Gather {
    fixes: Vec<Gathered>,
    heading: Instrument<Bearing>,
    wind: Instrument<Wind>,
    winds: Winds,
    sound_heading: SoundHeading,
    sound_wind: SoundWind,
    left_out: LeftOut,
    sounder: Instrument<Length>,
    smooth: SmoothSounder,
    before: Option<Before>,
}

/// One fix, brought to the origin's sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gathered {
    at: Timestamp,
    antenna: Offset,
    heading: Option<Bearing>,
    lever: Option<Offset>,
    milestone: Option<Milestone>,
}

/// Winds since the last sample.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Winds {
    sum: Wind,
    number: f64,
    since: Option<Timestamp>,
}

/// The sample before.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Before {
    at: Timestamp,
    milestone: Option<Milestone>,
    lever: Option<Offset>,
    at_bow: bool,
}

/// What a sample is made with.
#[derive(Clone, Copy)]
pub(super) struct Surroundings<'a> {
    /// What the watch was given.
    pub(super) given: &'a Given,
    /// The origin of the sheet.
    pub(super) origin: Position,
    /// The receivers.
    pub(super) receivers: &'a Receivers,
    /// Now, in own time.
    pub(super) now: Timestamp,
    /// Now, by the boat's clock.
    pub(super) told: Timestamp,
}

impl Gather {
    /// An instrument other than a receiver speaks.
    pub(super) fn hear(&mut self, at: Timestamp, observation: &Observation) -> Heard {
        let source = observation.source;
        match observation.seen {
            Seen::Heading { bow, spread } if spread <= HEADING_SPREAD => {
                let heard = self.heading.hear(source, at, bow);
                if heard == Heard::Taken {
                    self.left_out.heading = self.sound_heading.hear(at, bow);
                }
                heard
            }
            Seen::Wind(wind) if wind.speed().is_finite() => {
                let heard = self.wind.hear(source, at, wind);
                if heard == Heard::Taken {
                    self.left_out.wind = self.sound_wind.hear(at, wind);
                    if self.left_out.wind.is_none() {
                        self.winds.hear(at, wind);
                    }
                }
                heard
            }
            Seen::Water { depth } if (0.0..=DEEPEST_M).contains(&depth.as_metres()) => {
                let heard = self.sounder.hear(source, at, depth);
                if heard == Heard::Taken {
                    self.smooth.hear(at, depth.as_metres());
                }
                heard
            }
            _ => Heard::FromAnother,
        }
    }

    /// A trusted fix of the receiver in use; the samples that it completes are appended.
    pub(super) fn fix(
        &mut self,
        at: Timestamp,
        antenna: Position,
        by: Surroundings<'_>,
        out: &mut Vec<Sample>,
    ) {
        let usual_s = by.receivers.usual_s().unwrap_or(1.0);
        if self.fixes.first().is_some_and(|first| SAMPLE_S <= seconds(at, first.at)) {
            self.close(by, out);
        }
        let heading = self.heading.within(at, HEADING_S).filter(|_| self.left_out.heading.is_none());
        let lever = heading.and_then(|heading| lever(by.given, heading));
        let milestone = by.receivers.used_milestone(at);
        let antenna = by.origin.offset_of(antenna);
        self.fixes.push(Gathered { at, antenna, heading, lever, milestone });
        let covered_s = self.fixes.first().map_or(0.0, |first| seconds(at, first.at)) + usual_s;
        // After a long pause a fix is a sample by itself: who knows when the next comes.
        let paused = self.before.is_some_and(|before| 2.0 * SAMPLE_S <= seconds(at, before.at));
        // A quarter of an interval may be wanting: feeds tremble.
        let full = by.receivers.usual_s().is_some() && SAMPLE_S - 0.25 * usual_s <= covered_s;
        if full || (paused && self.fixes.len() == 1) {
            self.close(by, out);
        }
    }
    /// Time passes: a sample that will not be completed is closed.
    pub(super) fn tick(&mut self, by: Surroundings<'_>, out: &mut Vec<Sample>) {
        if self.fixes.first().is_some_and(|first| after(first.at, SAMPLE_S + 1.0) <= by.now) {
            self.close(by, out);
        }
    }
    /// Another receiver is used from now on: what it says is not joined to what the other said.
    pub(super) fn change_receiver(&mut self) {
        self.fixes.clear();
        if let Some(before) = self.before.as_mut() {
            before.milestone = None;
        }
    }
    /// The origin is another: nothing gathered about the one before is of use.
    pub(super) fn begin_anew(&mut self) {
        self.fixes.clear();
        self.before = None;
    }
    /// How often the compass, the vane and the sounder speak.
    pub(super) fn intervals(&self) -> [&Interval; 3] {
        [self.heading.interval(), self.wind.interval(), self.sounder.interval()]
    }

    fn close(&mut self, by: Surroundings<'_>, out: &mut Vec<Sample>) {
        let fixes = core::mem::take(&mut self.fixes);
        if let Some(sample) = self.sample(&fixes, by) {
            out.push(sample);
        }
        self.fixes = fixes;
        self.fixes.clear();
    }
    fn sample(&mut self, fixes: &[Gathered], by: Surroundings<'_>) -> Option<Sample> {
        let first = fixes.first()?;
        let number = fixes.len() as f64;
        let at = after(first.at, fixes.iter().map(|fix| seconds(fix.at, first.at)).sum::<f64>() / number);
        let lever = mean(fixes.iter().map(|fix| fix.lever));
        let antenna = mean(fixes.iter().map(|fix| Some(fix.antenna)))?;
        let place = lever.map_or(antenna, |lever| antenna + lever);
        let milestone = Milestone::mean(fixes.iter().map(|fix| fix.milestone));
        let this = Before { at, milestone, lever, at_bow: lever.is_some() };
        let before = self.before.replace(this);
        Some(Sample {
            at,
            seconds: before.map_or(0.0, |before| seconds(at, before.at)),
            place,
            at_bow: lever.is_some(),
            went: before.and_then(|before| went(&before, &this)),
            heading: mean_heading(fixes),
            wind: self.wind_now(at),
            depth: depth::at_anchor(by.given, &self.smooth, by.now, by.told),
            fixes: u16::try_from(fixes.len()).unwrap_or(u16::MAX),
            fix_spread: by.receivers.used_spread(),
            left_out: self.left_out,
        })
    }
    fn wind_now(&mut self, at: Timestamp) -> Option<Wind> {
        let winds = core::mem::take(&mut self.winds);
        if let Some(mean) = winds.mean() {
            return Some(mean);
        }
        if self.left_out.wind.is_some() {
            return None;
        }
        let slow_s = self.wind.interval().usual_s().map_or(0.0, |usual_s| 1.5 * usual_s);
        self.wind.within(at, slow_s.clamp(WIND_S, WIND_MOST_S))
    }
}

impl Winds {
    fn hear(&mut self, at: Timestamp, wind: Wind) {
        if self.since.is_some_and(|since| WIND_S < seconds(at, since)) {
            *self = Self::default();
        }
        self.since.get_or_insert(at);
        self.sum.east_ms += wind.east_ms;
        self.sum.north_ms += wind.north_ms;
        self.number += 1.0;
    }
    fn mean(&self) -> Option<Wind> {
        let mean =
            Wind { east_ms: self.sum.east_ms / self.number, north_ms: self.sum.north_ms / self.number };
        (0.0 < self.number).then_some(mean)
    }
}

/// From the antenna to the bow.
fn lever(given: &Given, heading: Bearing) -> Option<Offset> {
    let antenna = given.boat.antenna?;
    Some(
        Offset::along(heading, antenna.aft_of_roller)
            + Offset::along(heading.turned(Angle::degrees(-90.0)), antenna.to_starboard),
    )
}

fn went(before: &Before, now: &Before) -> Option<Offset> {
    let antenna = now.milestone?.since(before.milestone?)?;
    if now.at_bow != before.at_bow {
        return None;
    }
    match (now.lever, before.lever) {
        (Some(now), Some(before)) => Some(antenna + (now - before)),
        _ => Some(antenna),
    }
}

/// The mean; nothing if one is missing or there are none.
fn mean(offsets: impl Iterator<Item = Option<Offset>>) -> Option<Offset> {
    let (mut sum, mut number) = (Offset::ORIGIN, 0.0);
    for offset in offsets {
        sum = sum + offset?;
        number += 1.0;
    }
    (0.0 < number).then(|| Offset { east_m: sum.east_m / number, north_m: sum.north_m / number })
}

fn mean_heading(fixes: &[Gathered]) -> Option<Bearing> {
    let units =
        fixes.iter().map(|fix| fix.heading.map(|heading| Offset::along(heading, Length::metres(1.0))));
    let mean = mean(units)?;
    (0.0 < mean.length().as_metres()).then(|| mean.bearing())
}

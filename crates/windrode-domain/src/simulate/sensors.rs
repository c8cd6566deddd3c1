//! What her instruments make of the truth.
//!
//! **GNSS.** The error of a fix along either axis is the sum of a slow Gauss-Markov part (atmosphere, orbits, slow
//! multipath), a quick one (the receiver's filter), white noise with the mast's own motion, and from time to time a
//! burst of multipath that the receiver smooths in and out over [`BURST_ONSET_S`]. Besides: single fixes that jump,
//! gaps, leaps that no boat can make, freezing. Way over the ground by Doppler knows nothing of all that but white
//! noise. Usual sizes under an open sky (marine single-frequency receivers, from memory; that an autoregressive
//! error beats a white one is shown in Sensors 20(21), 6050, 2020):
//!
//! | part | spread along an axis | memory |
//! | --- | --- | --- |
//! | slow | 0.5 to 1.5 m | 200 to 1500 s |
//! | quick | 0.15 to 0.5 m | 10 to 60 s |
//! | white | 0.1 to 0.4 m | none |
//! | burst | 5 to 20 m for 20 to 200 s | |
//! | jump | 15 to 45 m, one fix | |
//! | Doppler | 0.03 to 0.08 m/s | none |
//!
//! A recorded series of errors can stand in for the slow and the quick part.

use std::sync::Arc;

use rand::Rng;

use crate::position::Offset;
use crate::ride::wandering::{Wandering, between, happens, normal};

/// A receiver takes so long to let a burst in or out, s.
pub const BURST_ONSET_S: f64 = 8.0;

/// Something that comes now and then, of a size and for a time drawn evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NowAndThen {
    /// How often in an hour.
    pub an_hour: f64,
    /// Size, m.
    pub size_m: (f64, f64),
    /// How long, s.
    pub lasting_s: (f64, f64),
}

impl NowAndThen {
    /// Never.
    pub const NEVER: Self = Self { an_hour: 0.0, size_m: (0.0, 0.0), lasting_s: (0.0, 0.0) };

    fn begins<R: Rng + ?Sized>(&self, rng: &mut R) -> bool {
        0.0 < self.an_hour && happens(rng, self.an_hour / 3600.0)
    }
}

/// A GNSS receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct Receiver {
    /// Seconds between fixes.
    pub interval_s: u32,
    /// Slow error: spread along an axis, m, and memory, s.
    pub slow: (f64, f64),
    /// Quick error: the same.
    pub quick: (f64, f64),
    /// White error, m.
    pub white_m: f64,
    /// Bursts of multipath.
    pub bursts: NowAndThen,
    /// Single fixes that jump: the time does not count.
    pub jumps: NowAndThen,
    /// Gaps: the size does not count.
    pub gaps: NowAndThen,
    /// Leaps that no boat can make.
    pub leaps: NowAndThen,
    /// From when until when it repeats its last fix, s.
    pub frozen_s: Option<(f64, f64)>,
    /// Recorded errors, one a second, in place of the slow and the quick part; begun anywhere, gone through in a
    /// ring.
    pub recorded: Option<Arc<[Offset]>>,
    /// Way over the ground.
    pub doppler: Option<Doppler>,
}

/// Way over the ground by Doppler.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doppler {
    /// White error along an axis, m/s.
    pub white_ms: f64,
    /// Step in which the speed is told, m/s.
    pub step_ms: f64,
    /// The receiver holds still below this, m/s, and says nothing: "static hold".
    pub held_below_ms: Option<f64>,
}

/// An instrument for the heading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compass {
    /// Steady error, degrees.
    pub off_deg: f64,
    /// Deviation: amplitude of a sine of the heading, degrees.
    pub deviation_deg: f64,
    /// White error, degrees.
    pub white_deg: f64,
    /// What the crew think it may be off, degrees, one standard deviation.
    pub stated_deg: f64,
    /// Seconds between readings.
    pub interval_s: u32,
    /// It points the wrong way round from this second on.
    pub flipped_from_s: Option<f64>,
    /// It repeats its last reading from this second on.
    pub stuck_from_s: Option<f64>,
}

/// An instrument for the wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anemometer {
    /// What it says over what blows.
    pub gain: f64,
    /// Steady error of direction, degrees.
    pub off_deg: f64,
    /// White error of speed, as a share, and of direction, degrees.
    pub white: (f64, f64),
    /// Seconds between readings.
    pub interval_s: u32,
    /// It repeats its last reading from this second on.
    pub stuck_from_s: Option<f64>,
}

/// A sounder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sounder {
    /// Steady error, m.
    pub off_m: f64,
    /// White error, m.
    pub white_m: f64,
    /// Seconds between readings.
    pub interval_s: u32,
}

/// All that she carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensors {
    /// Her receiver.
    pub receiver: Receiver,
    /// Her heading, if she has an instrument.
    pub compass: Option<Compass>,
    /// Her wind, if she has one.
    pub anemometer: Option<Anemometer>,
    /// Her sounder, if she has one.
    pub sounder: Option<Sounder>,
}

/// How a fix is off at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum FixError {
    /// It is off by so much.
    Off(Offset),
    /// There is no fix.
    Gap,
    /// The last one comes again.
    Frozen,
}

/// The errors of a receiver in the course of a night.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Errors {
    slow: [Wandering; 2],
    quick: [Wandering; 2],
    burst: Offset,
    burst_aim: Offset,
    burst_until_s: f64,
    leap: Offset,
    leap_until_s: f64,
    gap_until_s: f64,
    recorded_at: usize,
}

impl Errors {
    /// Four normal draws and an even one.
    pub(super) fn begun<R: Rng + ?Sized>(receiver: &Receiver, rng: &mut R) -> Self {
        let mut pair = |(spread, memory_s)| [(); 2].map(|()| Wandering::begun(spread, memory_s, 1.0, rng));
        let (slow, quick) = (pair(receiver.slow), pair(receiver.quick));
        let length = receiver.recorded.as_ref().map_or(0, |r| r.len());
        let recorded_at = (0..length).nth(whole(between(rng, (0.0, length as f64)))).unwrap_or(0);
        Self {
            slow,
            quick,
            burst: Offset::ORIGIN,
            burst_aim: Offset::ORIGIN,
            burst_until_s: 0.0,
            leap: Offset::ORIGIN,
            leap_until_s: 0.0,
            gap_until_s: 0.0,
            recorded_at,
        }
    }

    /// One second on. Draws, in this order: slow, quick, burst, leap, gap, jump, white; those that do not exist
    /// draw nothing.
    pub(super) fn second<R: Rng + ?Sized>(
        &mut self,
        receiver: &Receiver,
        at_s: f64,
        rng: &mut R,
    ) -> FixError {
        let drift = self.drift(receiver, rng);
        self.bursts(receiver, at_s, rng);
        if self.leap_until_s <= at_s && receiver.leaps.begins(rng) {
            self.leap_until_s = at_s + between(rng, receiver.leaps.lasting_s);
            self.leap = somewhere(between(rng, receiver.leaps.size_m), rng);
        }
        if self.gap_until_s <= at_s && receiver.gaps.begins(rng) {
            self.gap_until_s = at_s + between(rng, receiver.gaps.lasting_s);
        }
        let mut off = drift + self.burst;
        if receiver.jumps.begins(rng) {
            off = off + somewhere(between(rng, receiver.jumps.size_m), rng);
        }
        if at_s < self.leap_until_s {
            off = off + self.leap;
        }
        off =
            off + Offset { east_m: receiver.white_m * normal(rng), north_m: receiver.white_m * normal(rng) };
        let frozen = receiver.frozen_s.is_some_and(|(from_s, to_s)| from_s <= at_s && at_s < to_s);
        if frozen {
            FixError::Frozen
        } else if at_s < self.gap_until_s {
            FixError::Gap
        } else {
            FixError::Off(off)
        }
    }

    fn drift<R: Rng + ?Sized>(&mut self, receiver: &Receiver, rng: &mut R) -> Offset {
        if let Some(recorded) = &receiver.recorded {
            let here = recorded.get(self.recorded_at).copied().unwrap_or_default();
            self.recorded_at = if self.recorded_at + 1 < recorded.len() { self.recorded_at + 1 } else { 0 };
            return here;
        }
        let [slow_e, slow_n] = self.slow.each_mut().map(|w| w.step(rng));
        let [quick_e, quick_n] = self.quick.each_mut().map(|w| w.step(rng));
        Offset { east_m: slow_e + quick_e, north_m: slow_n + quick_n }
    }

    fn bursts<R: Rng + ?Sized>(&mut self, receiver: &Receiver, at_s: f64, rng: &mut R) {
        if receiver.bursts.an_hour <= 0.0 {
            return;
        }
        if self.burst_until_s <= at_s {
            self.burst_aim = Offset::ORIGIN;
            if receiver.bursts.begins(rng) {
                self.burst_until_s = at_s + between(rng, receiver.bursts.lasting_s);
                self.burst_aim = somewhere(between(rng, receiver.bursts.size_m), rng);
            }
        }
        self.burst.east_m += (self.burst_aim.east_m - self.burst.east_m) / BURST_ONSET_S;
        self.burst.north_m += (self.burst_aim.north_m - self.burst.north_m) / BURST_ONSET_S;
    }
}

/// A place so far off in any direction.
pub(super) fn somewhere<R: Rng + ?Sized>(distance_m: f64, rng: &mut R) -> Offset {
    let (sin, cos) = between(rng, (0.0, core::f64::consts::TAU)).sin_cos();
    Offset { east_m: distance_m * sin, north_m: distance_m * cos }
}

/// The whole number below a value; nothing for what is not above nothing.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float cast saturates, NaN to 0"
)]
pub(super) const fn whole(value: f64) -> usize {
    value as usize
}

//! What her crew do next, second by second.
//!
//! Manners are common practice, no source: round up down wind of the place, stop over it, fall back no faster than a
//! knot while veering, let the rode straighten before it is loaded, load it by steps and hold each, heave in under the
//! engine and not by the windlass.

use super::super::helm::Order;
use super::{Happening, Phase, Voyage};
use crate::position::Offset;
use crate::units::{Bearing, Length};

/// Under way, m/s: 5.7 kn.
pub(super) const CRUISES_MS: f64 = 2.93;
/// She rounds up so far down wind of the place, m: enough to lose her way in.
const ROUNDS_UP_M: f64 = 110.0;
/// She has come to the point where she rounds up, within this, m.
const COME_M: f64 = 30.0;
/// She slows by this on the way to a place, m/s².
const SLOWS_MS2: f64 = 0.028;
/// Nearer than this a bow is steered by the wind and no longer for the place, m.
const NEAR_M: f64 = 12.0;
/// The place is under her bow when it is no further ahead than this, m.
const OVER_M: f64 = 0.7;
/// Slower than this she has stopped, m/s.
const STOPPED_MS: f64 = 0.05;
/// She falls back at this while veering, m/s: a knot.
const FALLS_BACK_MS: f64 = 0.51;
/// The rode runs out and comes in at most so fast, m/s: a usual windlass.
const WINDLASS_MS: f64 = 0.6;
/// Rode out over what a straight line to the anchor would need: a share of it, and m.
const SLACK: (f64, f64) = (0.15, 1.5);
/// She has fallen back far enough when the anchor is this share of the rode away.
const FALLEN_BACK: f64 = 0.85;
/// The rode straightens in neutral, s.
const STRAIGHTENS_S: f64 = 60.0;
/// The engine is eased for so long before the snubber goes on, s, and then before it stops, s.
const EASED_S: (f64, f64) = (30.0, 60.0);
/// She has fetched up under the engine when she goes no faster than this, m/s, under a load of at least this share of
/// the pull.
const FETCHED_UP: (f64, f64) = (0.08, 0.8);
/// The engine runs so long before the snubber comes off, s.
const WARMS_UP_S: f64 = 40.0;
/// She goes up to her anchor no faster than this, m/s.
const HEAVES_IN_MS: f64 = 0.4;
/// The anchor is up and down within this, m.
const UP_AND_DOWN_M: f64 = 1.2;
/// She breaks it out for so long, s.
const BREAKS_OUT_S: f64 = 40.0;
/// Marks on the rode, m.
const MARKS_M: f64 = 10.0;

/// What they are about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Doing {
    /// Coming in; rounded up, she heads for the place into the wind.
    Nearing { rounded_up: bool },
    /// Losing the last way over the place.
    Stopping,
    /// Falling back while the rode runs out.
    FallingBack,
    /// Setting since a second.
    Setting { since_s: f64, step: usize },
    /// Eased since a second.
    Easing { since_s: f64, snubbed: bool },
    /// Lying.
    Lying,
    /// Engine on since a second, the snubber still on.
    WarmingUp { since_s: f64 },
    /// Going up to the anchor.
    HeavingIn,
    /// Over the anchor since a second.
    UpAndDown { since_s: f64 },
    /// The anchor comes up.
    Hoisting,
    /// Going where the story sends her.
    Leaving,
}

impl Doing {
    pub(super) const fn phase(self) -> Phase {
        match self {
            Self::Nearing { .. } | Self::Stopping => Phase::Approach,
            Self::FallingBack => Phase::Veering,
            Self::Setting { .. } | Self::Easing { .. } => Phase::Setting,
            Self::Lying => Phase::Lying,
            Self::WarmingUp { .. } | Self::HeavingIn | Self::UpAndDown { .. } | Self::Hoisting => {
                Phase::Weighing
            }
            Self::Leaving => Phase::Gone,
        }
    }
    /// Whether her rode moves her.
    pub(super) const fn rides(self) -> bool {
        matches!(self, Self::Setting { .. } | Self::Easing { .. } | Self::Lying | Self::WarmingUp { .. })
    }
    /// Whether the anchor is at her bow, or hangs from it.
    pub(super) const fn anchor_hangs(self) -> bool {
        matches!(self, Self::Nearing { .. } | Self::Stopping | Self::Hoisting | Self::Leaving)
    }
}

impl Voyage {
    /// What comes next, and what of it is told.
    pub(super) fn decide(&mut self, at_s: f64, depth_m: f64, happened: &mut Vec<Happening>) {
        let (_, from_deg) = self.wind_place.wind(&self.story.lying.wind, at_s);
        let windward = Bearing::degrees(from_deg);
        match self.doing {
            Doing::Nearing { rounded_up } => self.come_in(rounded_up, windward),
            Doing::Stopping => self.let_go(windward, happened),
            Doing::FallingBack => self.veer(at_s, depth_m, windward, happened),
            Doing::Setting { since_s, step } => self.set(at_s, since_s, step, happened),
            Doing::Easing { since_s, snubbed } => self.snub(at_s, since_s, snubbed, happened),
            Doing::Lying => {
                if self.story.weighs_at_s <= at_s {
                    self.engine.start();
                    happened.push(Happening::EngineOn);
                    self.doing = Doing::WarmingUp { since_s: at_s };
                }
            }
            Doing::WarmingUp { since_s } => {
                if WARMS_UP_S <= at_s - since_s {
                    happened.push(Happening::HeavingIn);
                    self.order = Order { heading: self.heading(), ahead_ms: 0.0 };
                    self.doing = Doing::HeavingIn;
                }
            }
            Doing::HeavingIn => self.heave_in(at_s, depth_m, happened),
            Doing::UpAndDown { since_s } => {
                self.order.ahead_ms = 0.0;
                if BREAKS_OUT_S <= at_s - since_s {
                    happened.push(Happening::Aweigh);
                    self.doing = Doing::Hoisting;
                }
            }
            Doing::Hoisting => self.hoist(happened),
            Doing::Leaving => self.leave(),
        }
    }

    fn come_in(&mut self, rounded_up: bool, windward: Bearing) {
        let bow = self.bow();
        if !rounded_up {
            let down_wind = Offset::along(windward, Length::metres(-ROUNDS_UP_M));
            let to = down_wind - bow;
            let come = to.length().as_metres() < COME_M;
            self.order = Order { heading: to.bearing(), ahead_ms: CRUISES_MS };
            self.doing = Doing::Nearing { rounded_up: come };
            return;
        }
        let to = Offset::ORIGIN - bow;
        let far_m = to.length().as_metres();
        let (sin, cos) = windward.as_radians().sin_cos();
        let ahead_m = to.east_m * sin + to.north_m * cos;
        let heading = if NEAR_M < far_m { to.bearing() } else { windward };
        let ahead_ms = (2.0 * SLOWS_MS2 * (ahead_m - OVER_M).max(0.0)).sqrt().min(CRUISES_MS);
        self.order = Order { heading, ahead_ms };
        self.engine.drive(ahead_ms / CRUISES_MS);
        if ahead_m < OVER_M {
            self.doing = Doing::Stopping;
        }
    }

    fn let_go(&mut self, windward: Bearing, happened: &mut Vec<Happening>) {
        self.order = Order { heading: windward, ahead_ms: 0.0 };
        self.engine.ease();
        if self.motion.ahead_ms.abs() < STOPPED_MS {
            self.anchor = self.bow();
            happened.push(Happening::LetGo(self.anchor));
            self.doing = Doing::FallingBack;
        }
    }

    fn veer(&mut self, at_s: f64, depth_m: f64, windward: Bearing, happened: &mut Vec<Happening>) {
        let veered_m = self.story.veered.length().as_metres();
        let off_m = self.bow().distance_to(self.anchor).as_metres();
        let straight_m = self.straight_m(off_m, depth_m);
        let wanted_m = (straight_m * (1.0 + SLACK.0) + SLACK.1).min(veered_m);
        self.rode_out_m += (wanted_m - self.rode_out_m).clamp(0.0, WINDLASS_MS);
        self.order = Order { heading: windward, ahead_ms: -FALLS_BACK_MS };
        self.engine.drive(FALLS_BACK_MS / CRUISES_MS);
        let all_out = veered_m - 1e-6 <= self.rode_out_m;
        let mark_m = (self.rode_out_m / MARKS_M).floor() * MARKS_M;
        if self.told_out_m + 1e-6 < mark_m {
            self.told_out_m = mark_m;
            happened.push(Happening::RodeOut(Length::metres(mark_m)));
        }
        if all_out && FALLEN_BACK * veered_m <= off_m {
            if self.told_out_m + 1e-6 < veered_m {
                happened.push(Happening::RodeOut(Length::metres(veered_m)));
            }
            self.engine.ease();
            let veered = self.story.veered.clone();
            self.hang_on(&veered);
            self.doing = Doing::Setting { since_s: at_s, step: 0 };
        }
    }

    fn set(&mut self, at_s: f64, since_s: f64, step: usize, happened: &mut Vec<Happening>) {
        let before_s: f64 = self.story.astern.iter().take(step).map(|step| step.lasting_s).sum();
        let astern_n = self.engine.pull_n();
        let held_n = self.night.ride.load_n();
        if !self.fetched_up
            && 1.0 < astern_n
            && FETCHED_UP.1 * astern_n < held_n
            && self.motion.ahead_ms.abs() < FETCHED_UP.0
        {
            self.fetched_up = true;
            happened.push(Happening::FetchedUp);
        }
        if at_s - since_s < STRAIGHTENS_S + before_s {
            return;
        }
        if let Some(next) = self.story.astern.get(step) {
            self.engine.pull(next);
            happened.push(Happening::Astern(*next));
            self.doing = Doing::Setting { since_s, step: step + 1 };
        } else {
            self.engine.ease();
            happened.push(Happening::Eased);
            self.doing = Doing::Easing { since_s: at_s, snubbed: false };
        }
    }

    fn snub(&mut self, at_s: f64, since_s: f64, snubbed: bool, happened: &mut Vec<Happening>) {
        let eased_s = at_s - since_s;
        if !snubbed && EASED_S.0 <= eased_s {
            // A rode that is no rode was refused when the story began.
            if let Ok(whole) = self.story.lying.rode_true() {
                self.hang_on(&whole);
            }
            happened.push(Happening::Snubbed);
            self.doing = Doing::Easing { since_s, snubbed: true };
        } else if EASED_S.1 <= eased_s {
            self.engine.stop();
            happened.push(Happening::EngineOff);
            self.doing = Doing::Lying;
        }
    }

    fn heave_in(&mut self, at_s: f64, depth_m: f64, happened: &mut Vec<Happening>) {
        let to = self.anchor - self.bow();
        let off_m = to.length().as_metres();
        let straight_m = self.straight_m(off_m, depth_m);
        self.rode_out_m -= (self.rode_out_m - straight_m).clamp(0.0, WINDLASS_MS);
        let heading = if NEAR_M / 3.0 < off_m { to.bearing() } else { self.order.heading };
        let ahead_ms = (2.0 * SLOWS_MS2 * off_m).sqrt().min(HEAVES_IN_MS);
        self.order = Order { heading, ahead_ms };
        self.engine.drive(ahead_ms / CRUISES_MS);
        let (sin, cos) = self.motion.heading_rad.sin_cos();
        let passed = off_m < NEAR_M / 3.0 && to.east_m * sin + to.north_m * cos < 0.0;
        if off_m < UP_AND_DOWN_M || passed {
            self.engine.ease();
            happened.push(Happening::UpAndDown);
            self.doing = Doing::UpAndDown { since_s: at_s };
        }
    }

    fn hoist(&mut self, happened: &mut Vec<Happening>) {
        self.rode_out_m = (self.rode_out_m - WINDLASS_MS).max(0.0);
        if self.rode_out_m <= 0.0 {
            happened.push(Happening::Home);
            self.doing = Doing::Leaving;
        }
    }

    fn leave(&mut self) {
        let to = self.story.goes_to - self.bow();
        let off_m = to.length().as_metres();
        let heading = if NEAR_M < off_m { to.bearing() } else { self.order.heading };
        let ahead_ms = (2.0 * SLOWS_MS2 * (off_m - NEAR_M).max(0.0)).sqrt().min(CRUISES_MS);
        self.order = Order { heading, ahead_ms };
        self.engine.drive(ahead_ms / CRUISES_MS);
    }

    /// A straight line from roller to anchor, m.
    fn straight_m(&self, off_m: f64, depth_m: f64) -> f64 {
        off_m.hypot(depth_m + self.story.lying.boat.roller_m)
    }
}

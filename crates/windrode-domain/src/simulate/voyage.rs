//! A whole stay of a boat, from her approach until her anchor is home again: what a demonstration plays.
//!
//! ```text
//! approach   under engine to a point down wind of the place, round up, stop over it, let go
//! veering    astern at a knot while the rode runs out
//! setting    in neutral until the rode lies straight; then astern by steps of revolutions, each held; then eased
//! lying      on chain and snubber: the ride of [`super::Night`], with all that befalls it
//! weighing   engine ahead up to the anchor while the rode is hove in; up and down; broken out; hove home
//! gone       under engine to where the story sends her; there she stops and waits
//! ```
//!
//! Under engine she goes as her helmsman takes her (`helm`); on her rode the ride moves her, the engine
//! astern being a push along her keel. Each takes over place, heading and way from the other, so that nothing jumps.
//! She sets on the chain alone; when the snubber is made fast there is so much more rode, and she drops back on it.
//!
//! The wind of the story blows through all of it. Water comes from a table, and the ground slopes evenly as far as it
//! is told. The order of the draws is that of [`super::Night`]; under engine nothing is drawn but the wind's and the
//! instruments'.
//!
//! Left out: the rode's pull while it runs out and while it is hove in, stream and leeway under engine.

mod crew;
mod engine;

use jiff::Timestamp;
use rand::Rng;

use self::crew::Doing;
use self::engine::Engine;
use super::helm::{self, Order};
use super::story::{self, WaterKnot};
use super::{BATTERY, ENGINE, Night, NightError, Scenario, Truth};
use crate::catenary::Line;
use crate::plan::inputs::Slope;
use crate::position::{Offset, Position};
use crate::ride::{Moored, Motion, Ride};
use crate::units::{Bearing, Force, Length};
use crate::watch::observation::{Observation, Seen};

/// The sounder reads no less than this, m: nearer the ground it would be aground itself.
const LEAST_SOUNDED_M: f64 = 0.3;
/// Roller heights are laid out so far beyond the table's, m.
const HEIGHT_TO_SPARE_M: f64 = 0.1;

/// A step of the engine astern while she is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AsternStep {
    /// Revolutions a minute.
    pub rpm: f64,
    /// What they pull.
    pub pull: Force,
    /// How long they are held, s.
    pub lasting_s: f64,
}

/// Everything of a stay, told outright. Offsets are from the place where the anchor is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct VoyageStory {
    /// Boat, rode with its snubber, ground, wind, instruments; its `start` is when she begins her approach, its origin
    /// the wanted place, its `depth_m` the water there and then. Its tide, drop and duration do not count.
    pub lying: Scenario,
    /// The rode without its snubber: what is veered.
    pub veered: Line,
    /// The water over what it was at the beginning, in order of time.
    pub water: Vec<WaterKnot>,
    /// How the ground slopes about the wanted place.
    pub ground: Slope,
    /// Water is nowhere deeper than this, at the level of the beginning, m.
    pub deepest_m: f64,
    /// Where her bow is at the beginning.
    pub comes_from: Offset,
    /// The steps in which she is set.
    pub astern: Vec<AsternStep>,
    /// When she weighs, s from the beginning.
    pub weighs_at_s: f64,
    /// Where she goes then, and waits.
    pub goes_to: Offset,
    /// Service battery at rest when full, V, and what it loses in an hour, V.
    pub battery: (f64, f64),
}

/// Where in her stay she is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Phase {
    /// She comes in.
    Approach,
    /// The anchor is let go, the rode runs out.
    Veering,
    /// The rode lies straight and is loaded.
    Setting,
    /// She lies to her anchor.
    Lying,
    /// The rode is hove in, the anchor broken out.
    Weighing,
    /// She goes.
    Gone,
}

impl Phase {
    /// A word for programs.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Approach => "approach",
            Self::Veering => "veering",
            Self::Setting => "setting",
            Self::Lying => "lying",
            Self::Weighing => "weighing",
            Self::Gone => "gone",
        }
    }
}

/// What the crew do, or see.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Happening {
    /// The engine is started.
    EngineOn,
    /// The engine is stopped.
    EngineOff,
    /// The anchor is let go, by the bow here.
    LetGo(Offset),
    /// So much rode is out: told at each mark of ten metres, and when all is out that will be.
    RodeOut(Length),
    /// The engine goes astern at these revolutions.
    Astern(AsternStep),
    /// The rode has come straight under the engine and she has stopped.
    FetchedUp,
    /// The engine is in neutral again.
    Eased,
    /// The snubber is on.
    Snubbed,
    /// The snubber is off, and the rode is hove in.
    HeavingIn,
    /// The bow is over the anchor.
    UpAndDown,
    /// The anchor is off the ground.
    Aweigh,
    /// The anchor is on its roller.
    Home,
}

/// One second of a stay.
#[derive(Clone, Debug, PartialEq)]
pub struct Lived {
    /// What is true at its end; offsets are from the wanted place. Under engine no load is reckoned.
    pub truth: Truth,
    /// Where in her stay she is.
    pub phase: Phase,
    /// Rode out, from the roller on; the snubber adds to it.
    pub rode_out: Length,
    /// Revolutions of the engine; nothing while it is stopped.
    pub engine_rpm: Option<f64>,
    /// Service battery, V.
    pub battery_v: f64,
    /// Water at her middle.
    pub sounded: Length,
    /// What the crew did or saw.
    pub happened: Vec<Happening>,
}

/// A stay being lived.
#[derive(Clone, Debug)]
pub struct Voyage {
    story: VoyageStory,
    night: Night,
    doing: Doing,
    motion: Motion,
    order: Order,
    engine: Engine,
    battery_v: f64,
    /// Where the anchor is while no ride knows it.
    anchor: Offset,
    rode_out_m: f64,
    told_out_m: f64,
    fetched_up: bool,
    wind_place: story::Place,
    water_place: story::Place,
}

impl Voyage {
    /// At the beginning: she comes in under engine. Draws as [`Night::new`].
    ///
    /// # Errors
    /// [`NightError`]: what of the story cannot be.
    pub fn new<R: Rng + ?Sized>(story: VoyageStory, rng: &mut R) -> Result<Self, NightError> {
        let night = Night::new(story.lying.clone(), rng)?;
        // Where the rode cannot lie so, it is told now and not when she lets go.
        moored(&story, &story.veered, Offset::ORIGIN)?;
        let inward = story.comes_from.bearing().reversed();
        let roller_m = story.lying.boat.body.roller_ahead_m;
        let centre = story.comes_from + Offset::along(inward, Length::metres(-roller_m));
        let motion = Motion {
            centre,
            heading_rad: inward.as_radians(),
            ahead_ms: crew::CRUISES_MS,
            starboard_ms: 0.0,
            turning_rad_s: 0.0,
        };
        Ok(Self {
            order: Order { heading: inward, ahead_ms: crew::CRUISES_MS },
            battery_v: story.battery.0,
            anchor: story.comes_from,
            doing: Doing::Nearing { rounded_up: false },
            engine: Engine::cruising(),
            motion,
            night,
            rode_out_m: 0.0,
            told_out_m: 0.0,
            fetched_up: false,
            wind_place: story::Place::default(),
            water_place: story::Place::default(),
            story,
        })
    }

    /// The story.
    pub const fn story(&self) -> &VoyageStory {
        &self.story
    }
    /// Where in her stay she is.
    pub const fn phase(&self) -> Phase {
        self.doing.phase()
    }
    /// A place of hers on the globe.
    pub fn position(&self, offset: Offset) -> Position {
        self.story.lying.origin.plus(offset)
    }
    /// When it began.
    pub const fn start(&self) -> Timestamp {
        self.story.lying.start
    }

    /// One second on; what the instruments say of it is added to the readings. It never ends: gone, she waits.
    pub fn second<R: Rng + ?Sized>(&mut self, rng: &mut R, readings: &mut Vec<Observation>) -> Lived {
        let at_s = f64::from(self.night.second);
        let rise_m = self.water_place.water(&self.story.water, at_s);
        let depth_m = self.story.lying.depth_m + rise_m;
        let mut happened = Vec::new();
        self.decide(at_s, depth_m, &mut happened);
        self.engine.second();
        let truth = if self.doing.rides() { self.ridden(depth_m, rng) } else { self.steered(depth_m, rng) };
        self.battery_v = self.engine.charges(self.battery_v, self.story.battery, at_s);
        let sounded_m = self.sounded_m(rise_m);
        // What the sounder hears is under her, not at her anchor.
        let under_her = Truth { depth: Length::metres(sounded_m), ..truth };
        self.night.read(&under_her, self.motion.heading_rad.sin(), rng, readings);
        let own = |source, seen| Observation { at: truth.at, source, seen };
        readings.push(own(ENGINE, Seen::Engine { rpm: self.engine.rpm() }));
        readings.push(own(BATTERY, Seen::Battery { volts: self.battery_v }));
        Lived {
            truth,
            phase: self.phase(),
            rode_out: Length::metres(self.rode_out_m),
            engine_rpm: self.engine.runs().then(|| self.engine.rpm()),
            battery_v: self.battery_v,
            sounded: Length::metres(sounded_m),
            happened,
        }
    }

    /// A second on her rode.
    fn ridden<R: Rng + ?Sized>(&mut self, depth_m: f64, rng: &mut R) -> Truth {
        let (sin, cos) = self.night.ride.sin_cos();
        let astern_n = self.engine.pull_n();
        let pushed_n = Offset { east_m: -astern_n * sin, north_m: -astern_n * cos };
        let truth = self.night.ridden(depth_m, pushed_n, rng);
        self.motion = self.night.ride.motion();
        self.anchor = truth.anchor;
        truth
    }

    /// A second under engine.
    fn steered<R: Rng + ?Sized>(&mut self, depth_m: f64, rng: &mut R) -> Truth {
        let wind = self.night.wind_at(f64::from(self.night.second), rng);
        self.night.second += 1;
        self.motion = helm::second(self.motion, self.order);
        self.night.ride.take_over(self.motion);
        let seen = self.night.truth(wind.at_ten, depth_m, 0.0, false);
        if self.doing.anchor_hangs() {
            self.anchor = seen.bow;
        }
        let none = Force::newtons(0.0);
        Truth { anchor: self.anchor, load: none, anchor_load: none, ..seen }
    }

    /// Water at her middle, m.
    fn sounded_m(&self, rise_m: f64) -> f64 {
        let Slope { angle, uphill } = self.story.ground;
        let (sin, cos) = uphill.as_radians().sin_cos();
        let up_m = self.motion.centre.east_m * sin + self.motion.centre.north_m * cos;
        let still_m = self.story.lying.depth_m - up_m * angle.as_radians().tan();
        (still_m.min(self.story.deepest_m) + rise_m).max(LEAST_SOUNDED_M)
    }

    /// She hangs on this rode from now on, wherever she is.
    fn hang_on(&mut self, line: &Line) {
        // The line was tried when the story began, and nothing of it has changed.
        if let Ok(mut ride) = moored(&self.story, line, self.anchor) {
            ride.take_over(self.motion);
            self.night.ride = ride;
        }
    }

    fn bow(&self) -> Offset {
        let ahead = Length::metres(self.story.lying.boat.body.roller_ahead_m);
        self.motion.centre + Offset::along(self.heading(), ahead)
    }
    fn heading(&self) -> Bearing {
        Bearing::degrees(self.motion.heading_rad.to_degrees())
    }
}

/// Lying to an anchor on a rode, for all the water of the story.
fn moored(story: &VoyageStory, line: &Line, anchor: Offset) -> Result<Ride, NightError> {
    let roller_m = story.lying.depth_m + story.lying.boat.roller_m;
    let rises = || story.water.iter().map(|knot| knot.rise_m);
    let low_m = rises().fold(0.0, f64::min) - HEIGHT_TO_SPARE_M;
    let high_m = rises().fold(0.0, f64::max) + HEIGHT_TO_SPARE_M;
    let ride = Ride::begun(&Moored {
        body: story.lying.boat.body,
        line,
        heights: (Length::metres(roller_m + low_m), Length::metres(roller_m + high_m)),
        friction: story.lying.friction,
        anchor,
        heading: Bearing::degrees(0.0),
        load_n: 1.0,
    })?;
    Ok(ride)
}

#[cfg(test)]
mod tests;

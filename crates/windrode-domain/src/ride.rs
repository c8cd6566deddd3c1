//! The boat at anchor, in time.
//!
//! A boat at anchor is never still. Each gust turns her bow off; the rode, fast at the bow, pulls it back while the
//! wind drives the rest of her across; she runs out to one side until the rode brings her up, and sheers back. All of
//! it comes out of three motions in the level plane and the rode's own pull:
//!
//! ```text
//! (m+mx) u' = X + (m+my) v r
//! (m+my) v' = Y − (m+mx) u r
//! (Iz+Jz) r' = N
//! ```
//!
//! `u` ahead, `v` to starboard, `r` clockwise, over the ground; `X`, `Y`, `N` of wind and water from `forces`, of
//! the rode `H_d` towards the pivot of the lying chain, at the roller: `H_d = max(0, H(x) + c dx/dt)`, where `x` is
//! how far the rode is drawn out ([`reach`], [`lying_chain`]), the waves' surge included ([`sea`]).
//!
//! Steps are semi-implicit Euler (speeds first, then places by the new speeds), [`STEP_S`] each, or finer where the
//! rode is stiffer than that: a step is kept below `0.2 / √(k/m)` for the rode's stiffness at twice the load of the
//! moment. Nothing on that path allocates.
//!
//! # Sheering
//!
//! Bow to wind is unstable when the side force grows faster with the angle than the rode sets her back, `Yg/T > 1 +
//! xb/l` ([`sheer`]), which for a yacht it does by far: she always sheers, the more slowly the less wind.
//!
//! # Left out
//!
//! Heel, pitch, heave; the rode's own inertia and its drag through the water beyond a linear damping; a second
//! anchor; lines ashore; a steadying sail, rudder put over; an engine is a push along her keel from outside.
//!
//! # Source
//!
//! Equations: any text on manoeuvring, e.g. Fossen, *Handbook of Marine Craft Hydrodynamics and Motion Control*
//! (2011), ch. 6; the flutter of a towed or moored body: A. G. Strandhagen and others, "The dynamic stability on
//! course of towed ships", Trans. SNAME 58 (1950). Parameters: [`body`].

pub mod body;
mod forces;
pub mod gusts;
pub mod lying_chain;
pub mod peaks;
pub mod reach;
pub mod sea;
pub mod sheer;
pub mod wandering;

use self::body::Body;
use self::lying_chain::LyingChain;
use self::reach::{Pull, Reach};
use self::sea::Heaving;
use crate::catenary::{CatenaryError, Line};
use crate::position::Offset;
use crate::units::{Bearing, Length};

/// Longest step of the motion, s.
pub const STEP_S: f64 = 0.25;
/// A step is no longer than this over the angular frequency of boat on rode.
const STEP_SHARE: f64 = 0.2;
/// Steps in a second where the rode is no stiffer than that: one every [`STEP_S`].
const USUAL_STEPS: u32 = 4;
/// Most steps in a second: a rode stiffer than 4 of them allow is bar-taut, and its peaks are not told by this.
const MOST_STEPS: u32 = 32;

/// Wind and water about her at an instant, east and north of the ground; wind at the height of her windage, going
/// where it blows to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surroundings {
    /// Wind eastward, m/s.
    pub wind_east_ms: f64,
    /// Wind northward, m/s.
    pub wind_north_ms: f64,
    /// Stream eastward, m/s.
    pub stream_east_ms: f64,
    /// Stream northward, m/s.
    pub stream_north_ms: f64,
    /// Push of the waves' drift eastward, N.
    pub drift_east_n: f64,
    /// Push of the waves' drift northward, N.
    pub drift_north_n: f64,
}

/// A boat, her rode and her motion.
#[derive(Clone, Debug, PartialEq)]
pub struct Ride {
    body: Body,
    reach: Reach,
    chain: LyingChain,
    friction: f64,
    /// Centre of gravity.
    east_m: f64,
    north_m: f64,
    heading_rad: f64,
    /// Of the heading: turned with her step by step, set right now and then ([`Ride::settle`]).
    sin: f64,
    cos: f64,
    ahead_ms: f64,
    starboard_ms: f64,
    turning_rad_s: f64,
    /// Rode caught up at the anchor, m: it takes no part.
    fouled_m: f64,
    load_n: f64,
    pull: Pull,
}

/// Where a boat is and how she goes: what one that drives her hands over to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Centre of gravity.
    pub centre: Offset,
    /// True heading, rad; not wrapped.
    pub heading_rad: f64,
    /// Ahead, m/s over the ground.
    pub ahead_ms: f64,
    /// To starboard, m/s over the ground.
    pub starboard_ms: f64,
    /// Turning clockwise, rad/s.
    pub turning_rad_s: f64,
}

/// What a ride begins with.
#[derive(Clone, Debug)]
pub struct Moored<'a> {
    /// The boat.
    pub body: Body,
    /// From the anchor to the roller, the snubber included.
    pub line: &'a Line,
    /// Least and greatest height of the roller above the anchor during the ride.
    pub heights: (Length, Length),
    /// Friction of the rode on the ground, newtons per newton of weight in water.
    pub friction: f64,
    /// Where the anchor lies.
    pub anchor: Offset,
    /// She lies at rest, heading so, astern of the anchor.
    pub heading: Bearing,
    /// Drawing the rode out with this load, N.
    pub load_n: f64,
}

impl Ride {
    /// Lying at rest astern of her anchor, the rode straight, at the lower of the heights.
    ///
    /// # Errors
    /// [`CatenaryError`] where the rode cannot lie so.
    pub fn begun(moored: &Moored<'_>) -> Result<Self, CatenaryError> {
        let &Moored { body, line, heights: (lowest, highest), friction, anchor, heading, load_n } = moored;
        let mut reach = Reach::new(line, lowest, highest)?;
        let x_m = reach.distance_at_m(load_n);
        let centre = anchor + Offset::along(heading, Length::metres(-(x_m + body.roller_ahead_m)));
        let pull = reach.pull_at(x_m);
        Ok(Self {
            body,
            chain: LyingChain::straight_from(anchor, line, friction),
            reach,
            friction,
            east_m: centre.east_m,
            north_m: centre.north_m,
            heading_rad: heading.as_radians(),
            sin: heading.as_radians().sin(),
            cos: heading.as_radians().cos(),
            ahead_ms: 0.0,
            starboard_ms: 0.0,
            turning_rad_s: 0.0,
            fouled_m: 0.0,
            load_n,
            pull,
        })
    }

    /// How many steps the coming second needs.
    pub fn steps_a_second(&self) -> u32 {
        let stiffness = self.reach.stiffness_at_n_m(2.0 * self.load_n);
        let longest_s = STEP_SHARE / (stiffness / self.body.surge_kg).sqrt();
        (USUAL_STEPS..MOST_STEPS).find(|&n| 1.0 <= longest_s * f64::from(n)).unwrap_or(MOST_STEPS)
    }

    /// One step of the motion.
    pub fn step(&mut self, dt_s: f64, about: &Surroundings, heaving: Heaving) {
        let (sin, cos) = (self.sin, self.cos);
        let (u, v, r) = (self.ahead_ms, self.starboard_ms, self.turning_rad_s);
        let (east_ms, north_ms) = (u * sin + v * cos, u * cos - v * sin);
        let rode = self.pull_of_rode((east_ms, north_ms), heaving);
        let body = &self.body;
        let (wind_e, wind_n) = (about.wind_east_ms - east_ms, about.wind_north_ms - north_ms);
        let wind = forces::of_wind(body, wind_e * sin + wind_n * cos, wind_e * cos - wind_n * sin);
        let (water_e, water_n) = (east_ms - about.stream_east_ms, north_ms - about.stream_north_ms);
        let water = forces::of_water(body, water_e * sin + water_n * cos, water_e * cos - water_n * sin, r);
        let all = wind + water;
        let force_e = rode.0 + about.drift_east_n;
        let force_n = rode.1 + about.drift_north_n;
        let x_n = all.ahead_n + force_e * sin + force_n * cos;
        let y_n = all.starboard_n + force_e * cos - force_n * sin;
        let n_nm = all.turning_nm + body.hold_ahead_m() * (rode.0 * cos - rode.1 * sin);
        self.ahead_ms += dt_s * (x_n + body.sway_kg * v * r) / body.surge_kg;
        self.starboard_ms += dt_s * (y_n - body.surge_kg * u * r) / body.sway_kg;
        self.turning_rad_s += dt_s * n_nm / body.yaw_kg_m2;
        let (u, v) = (self.ahead_ms, self.starboard_ms);
        self.east_m += dt_s * (u * sin + v * cos);
        self.north_m += dt_s * (u * cos - v * sin);
        self.turn(dt_s * self.turning_rad_s);
    }

    /// She turns by a small angle: sine and cosine by the first terms of their series. Half a radian, which no boat
    /// turns in a step, is off by 3e-4; a hundredth by 1e-10.
    fn turn(&mut self, by_rad: f64) {
        self.heading_rad += by_rad;
        let square = by_rad * by_rad;
        let (sin, cos) = (by_rad * (1.0 - square / 6.0), 1.0 - square * (0.5 - square / 24.0));
        (self.sin, self.cos) = (self.sin * cos + self.cos * sin, self.cos * cos - self.sin * sin);
    }

    /// Sine and cosine of the heading are set right: once a minute is enough.
    pub fn settle(&mut self) {
        (self.sin, self.cos) = self.heading_rad.sin_cos();
    }

    /// The rode's pull on her, east and north, N; the chain follows.
    fn pull_of_rode(&mut self, (east_ms, north_ms): (f64, f64), heaving: Heaving) -> (f64, f64) {
        let (sin, cos) = (self.sin, self.cos);
        let ahead_m = self.body.hold_ahead_m();
        let pivot = self.chain.pivot();
        let to_boat = Offset {
            east_m: self.east_m + ahead_m * sin - pivot.east_m,
            north_m: self.north_m + ahead_m * cos - pivot.north_m,
        };
        let (d_e, d_n) = (to_boat.east_m, to_boat.north_m);
        let distance_m = (d_e * d_e + d_n * d_n).sqrt();
        let drawn_m = self.chain.laid_m() + distance_m + self.body.bridle_m + self.fouled_m + heaving.surge_m;
        self.pull = self.reach.pull_at(drawn_m);
        self.chain.follow(&self.pull, self.friction, to_boat, distance_m);
        if !(0.0 < self.pull.load_n && 0.0 < distance_m) {
            self.load_n = 0.0;
            return (0.0, 0.0);
        }
        let over_m = 1.0 / distance_m;
        let turning_ms = self.turning_rad_s * ahead_m;
        let (hold_e, hold_n) = (east_ms + turning_ms * cos, north_ms - turning_ms * sin);
        let out_ms = (hold_e * d_e + hold_n * d_n) * over_m + heaving.surge_ms;
        self.load_n = (self.pull.load_n + self.body.line_damping * out_ms).max(0.0);
        let share = -self.load_n * over_m;
        (share * d_e, share * d_n)
    }

    /// Where she is and how she goes.
    pub const fn motion(&self) -> Motion {
        Motion {
            centre: Offset { east_m: self.east_m, north_m: self.north_m },
            heading_rad: self.heading_rad,
            ahead_ms: self.ahead_ms,
            starboard_ms: self.starboard_ms,
            turning_rad_s: self.turning_rad_s,
        }
    }
    /// She is here and goes so, whatever moved her before; the rode stays as it lies.
    pub fn take_over(&mut self, motion: Motion) {
        let Motion { centre, heading_rad, ahead_ms, starboard_ms, turning_rad_s } = motion;
        (self.east_m, self.north_m) = (centre.east_m, centre.north_m);
        (self.heading_rad, self.ahead_ms) = (heading_rad, ahead_ms);
        (self.starboard_ms, self.turning_rad_s) = (starboard_ms, turning_rad_s);
        self.settle();
    }
    /// The roller is now at this height above the anchor, m.
    pub fn set_height(&mut self, height_m: f64) {
        self.reach.set_height(height_m);
    }
    /// The anchor goes by so much.
    pub fn move_anchor(&mut self, by: Offset) {
        self.chain.move_anchor(by);
    }
    /// A bight of the rode has caught the anchor so that she lies taut just where she is, with this load on the rode.
    pub fn foul(&mut self, load_n: f64) {
        let drawn_m = self.bow().distance_to(self.anchor()).as_metres();
        self.chain.move_anchor(Offset::ORIGIN);
        self.fouled_m = (self.reach.distance_at_m(load_n) - drawn_m).max(0.0);
    }

    /// The bow roller.
    pub fn bow(&self) -> Offset {
        self.along_m(self.body.roller_ahead_m)
    }
    /// A point on the centre line so far ahead of the centre of gravity, m.
    pub fn along_m(&self, ahead_m: f64) -> Offset {
        let (sin, cos) = (self.sin, self.cos);
        Offset { east_m: self.east_m + ahead_m * sin, north_m: self.north_m + ahead_m * cos }
    }
    /// How that point goes over the ground, m/s east and north.
    pub fn way_at_ms(&self, ahead_m: f64) -> Offset {
        let (sin, cos) = (self.sin, self.cos);
        let across_ms = self.starboard_ms + self.turning_rad_s * ahead_m;
        let u = self.ahead_ms;
        Offset { east_m: u * sin + across_ms * cos, north_m: u * cos - across_ms * sin }
    }
    /// The anchor.
    pub const fn anchor(&self) -> Offset {
        self.chain.anchor()
    }
    /// Where the rode leaves its lie on the ground.
    pub const fn pivot(&self) -> Offset {
        self.chain.pivot()
    }
    /// From the anchor towards where the rode pulls it, of unit length; `None` with the boat right over it.
    pub fn towards_boat(&self) -> Option<Offset> {
        let to = self.bow() - self.anchor();
        let length_m = to.length().as_metres();
        (0.0 < length_m).then(|| Offset { east_m: to.east_m / length_m, north_m: to.north_m / length_m })
    }
    /// Sine and cosine of the heading.
    pub const fn sin_cos(&self) -> (f64, f64) {
        (self.sin, self.cos)
    }
    /// True heading.
    pub fn heading(&self) -> Bearing {
        Bearing::degrees(self.heading_rad.to_degrees())
    }
    /// Turning clockwise, rad/s.
    pub const fn turning_rad_s(&self) -> f64 {
        self.turning_rad_s
    }
    /// Horizontal pull of the rode at the roller, its damping included, N.
    pub const fn load_n(&self) -> f64 {
        self.load_n
    }
    /// Pull on the anchor along the ground, N.
    pub fn anchor_load_n(&self) -> f64 {
        self.chain.pull_on_anchor_n(&self.pull, self.friction)
    }
    /// Angle of the pull at the anchor above the ground, rad.
    pub const fn uplift_rad(&self) -> f64 {
        self.pull.uplift_rad
    }
    /// The boat.
    pub const fn body(&self) -> &Body {
        &self.body
    }
    /// How far a load draws the rode out, m.
    pub fn distance_at_m(&self, load_n: f64) -> f64 {
        self.reach.distance_at_m(load_n)
    }
}

//! Nights that never were, with the truth of them: what a watch is proved on.
//!
//! A [`Scenario`] tells everything of one night: the boat, her rode, the ground, the weather, her instruments and
//! what her crew believe. A [`Night`] lives it second by second on the physics of [`crate::ride`], and gives both
//! what was true and what her instruments made of it. [`Family`] draws scenarios of a kind.
//!
//! Simulator and watch share the catenary, the windage estimate and the Gauss-Markov form of GNSS error: a watch
//! proved here is proved against all the rest, and the held-out [`family::Variation`]s break those three too.
//!
//! # Chance
//!
//! The generator is an argument everywhere. **The order of the draws is part of the contract**: one seed gives one
//! night, to the last bit on one build, on any number of threads, if each night has a generator of its own. A
//! second draws, in this order: wandering of the mean wind, of its direction, gusts, waves, (metres dragged), then
//! fix error, Doppler, heading, wind, depth. Instruments that she does not carry draw nothing.

pub mod ais_neighbour;
pub mod anchor_in_ground;
pub mod family;
mod given;
mod helm;
pub mod passing;
pub mod scenario;
pub mod sensors;
pub mod stay;
pub mod story;
pub mod voyage;

use jiff::{SignedDuration, Timestamp};
use rand::Rng;

pub use self::family::Family;
pub use self::scenario::Scenario;

use self::anchor_in_ground::InGround;
use self::sensors::{Errors, FixError};
use crate::catenary::{CatenaryError, LineError};
use crate::environment::wind::{OPEN_SEA_ROUGHNESS, Wind, log_law};
use crate::position::{Offset, Position};
use crate::ride::gusts::Gusts;
use crate::ride::sea::{Heaving, Sea};
use crate::ride::wandering::{Wandering, normal};
use crate::ride::{Moored, Ride, Surroundings};
use crate::units::{AIR_KG_M3, Angle, Bearing, Force, Length, Speed};
use crate::watch::observation::{Fix, FixKind, Observation, Seen, Source, Way};

/// Her GNSS receiver.
pub const RECEIVER: Source = Source(1);
/// Her compass.
pub const COMPASS: Source = Source(2);
/// Her anemometer.
pub const ANEMOMETER: Source = Source(3);
/// Her sounder.
pub const SOUNDER: Source = Source(4);

/// Her engine.
pub const ENGINE: Source = Source(5);
/// Her service battery.
pub const BATTERY: Source = Source(6);

/// Furthest north or south that a night is played, degrees: nearer the pole the flat sheet's east is no direction.
const HIGHEST_LATITUDE_DEG: f64 = 85.0;

/// Sine and cosine of the heading are set right every so many seconds: 240 steps of a rounding each.
const SETTLED_EVERY_S: u32 = 60;

/// A night that cannot be played.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NightError {
    /// Too near a pole.
    #[error("a latitude of {latitude_deg} degrees is beyond {HIGHEST_LATITUDE_DEG}")]
    NearPole {
        /// As given.
        latitude_deg: f64,
    },
    /// Its windage has no height above the water.
    #[error("a centroid of windage {centroid_m} m above the water cannot be")]
    Centroid {
        /// As given, m.
        centroid_m: f64,
    },
    /// It ends beyond the calendar.
    #[error("a night of {duration_s} s from {start} ends beyond the calendar")]
    Calendar {
        /// When it begins.
        start: Timestamp,
        /// How long it was to last, s.
        duration_s: u32,
    },
    /// The waves cannot be.
    #[error("waves {height_m} m high of {period_s} s cannot be")]
    Waves {
        /// Height, m.
        height_m: f64,
        /// Period, s.
        period_s: f64,
    },
    /// The rode is none.
    #[error("the rode of the night is none")]
    Rode(#[from] LineError),
    /// The rode cannot lie so.
    #[error("the rode of the night cannot lie so")]
    Lies(#[from] CatenaryError),
}

/// What is true at the end of a second. Offsets are from where the anchor lay at the beginning.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truth {
    /// When.
    pub at: Timestamp,
    /// Seconds from the beginning.
    pub second: u32,
    /// The bow roller.
    pub bow: Offset,
    /// The anchor.
    pub anchor: Offset,
    /// The antenna.
    pub antenna: Offset,
    /// Way of the antenna over the ground, m/s east and north.
    pub antenna_way_ms: Offset,
    /// True heading.
    pub heading: Bearing,
    /// Turning clockwise, rad/s.
    pub turning_rad_s: f64,
    /// Horizontal load at the bow.
    pub load: Force,
    /// The greatest of this second.
    pub peak_load: Force,
    /// Pull along the ground at the anchor.
    pub anchor_load: Force,
    /// Wind over the ground at 10 m, the gust of the moment.
    pub wind: Wind,
    /// Depth of water at the anchor.
    pub depth: Length,
    /// The anchor moves.
    pub anchor_moves: bool,
    /// Whole way that the anchor has gone, m.
    pub gone_m: f64,
}

/// A night being lived.
#[derive(Clone, Debug)]
pub struct Night {
    scenario: Scenario,
    ride: Ride,
    ground: InGround,
    gusts: Gusts,
    mean: Wandering,
    direction: Wandering,
    sea: Option<Sea>,
    errors: Errors,
    /// Mean wind at her centroid over that at 10 m.
    profile: f64,
    wind_place: story::Place,
    stream_place: story::Place,
    sheet: Sheet,
    last_fix: Option<(Position, Option<Way>)>,
    last_wind: Option<Wind>,
    last_heading: Option<Seen>,
    second: u32,
}

impl Night {
    /// At the beginning: she lies at rest, head to the first wind. Draws: wanderings, gusts, waves, fix error.
    ///
    /// # Errors
    /// [`NightError`]: what of the scenario cannot be.
    pub fn new<R: Rng + ?Sized>(scenario: Scenario, rng: &mut R) -> Result<Self, NightError> {
        let profile = checked(&scenario)?;
        let line = scenario.rode_true()?;
        let body = scenario.boat.body;
        let (mean_ms, from_deg) = story::Place::default().wind(&scenario.wind, 0.0);
        let wind_ms = mean_ms * profile;
        let moored = Moored {
            body,
            line: &line,
            heights: scenario.heights(),
            friction: scenario.friction,
            anchor: Offset::ORIGIN,
            heading: Bearing::degrees(from_deg),
            load_n: (0.5 * AIR_KG_M3 * body.head_on_m2 * wind_ms * wind_ms).max(1.0),
        };
        let mut ride = Ride::begun(&moored)?;
        ride.set_height(scenario.depth_m + scenario.boat.roller_m);
        let (spread, memory_s) = scenario.wind.mean_wanders;
        let mean = Wandering::begun(spread, memory_s, 1.0, rng);
        let (spread, memory_s) = scenario.wind.direction_wanders;
        let direction = Wandering::begun(spread, memory_s, 1.0, rng);
        let gusts = Gusts::begun(rng);
        let sea = begun_sea(&scenario, rng)?;
        Ok(Self {
            ride,
            ground: InGround::new(scenario.anchor.clone()),
            gusts,
            mean,
            direction,
            sea,
            errors: Errors::begun(&scenario.sensors.receiver, rng),
            profile,
            wind_place: story::Place::default(),
            stream_place: story::Place::default(),
            sheet: Sheet::about(scenario.origin),
            last_fix: None,
            last_wind: None,
            last_heading: None,
            second: 0,
            scenario,
        })
    }

    /// The night's own story.
    pub const fn scenario(&self) -> &Scenario {
        &self.scenario
    }
    /// Whether the anchor has broken out of its ground, and has not set again.
    pub const fn broken_out(&self) -> bool {
        self.ground.broken_out()
    }
    /// Whether it has been lived to its end.
    pub const fn over(&self) -> bool {
        self.scenario.duration_s <= self.second
    }

    /// One second on: what is true at its end; what the instruments say of it is added to the readings.
    pub fn second<R: Rng + ?Sized>(&mut self, rng: &mut R, readings: &mut Vec<Observation>) -> Truth {
        let truth = self.lived(rng);
        self.read(&truth, self.ride.sin_cos().0, rng, readings);
        truth
    }

    /// One second on without instruments.
    pub(crate) fn lived<R: Rng + ?Sized>(&mut self, rng: &mut R) -> Truth {
        let rise_m = self.scenario.tide.rise_m(f64::from(self.second));
        self.ridden(self.scenario.depth_m + rise_m, Offset::ORIGIN, rng)
    }

    /// One second on her rode, in so much water at the anchor, pushed by so many newtons besides.
    fn ridden<R: Rng + ?Sized>(&mut self, depth_m: f64, pushed_n: Offset, rng: &mut R) -> Truth {
        let at_s = f64::from(self.second);
        let wind = self.wind_at(at_s, rng);
        self.ride.set_height(depth_m + self.scenario.boat.roller_m);
        let mut about = self.surroundings(&wind, at_s, rng);
        about.drift_east_n += pushed_n.east_m;
        about.drift_north_n += pushed_n.north_m;
        self.ground.second(&mut self.ride, at_s);
        let steps = self.ride.steps_a_second();
        let dt_s = 1.0 / f64::from(steps);
        let (mut peak_n, mut moved) = (0.0_f64, false);
        for _ in 0..steps {
            let heaving = self.sea.as_mut().map_or(Heaving::default(), |sea| sea.step(dt_s));
            self.ride.step(dt_s, &about, heaving);
            self.ground.step(&mut self.ride, dt_s, rng);
            peak_n = peak_n.max(self.ride.load_n());
            moved |= self.ground.moving();
        }
        self.second += 1;
        if self.second.is_multiple_of(SETTLED_EVERY_S) {
            self.ride.settle();
        }
        self.truth(wind.at_ten, depth_m, peak_n, moved)
    }

    /// Two draws for the wanderings, then the gusts'.
    fn wind_at<R: Rng + ?Sized>(&mut self, at_s: f64, rng: &mut R) -> Blowing {
        let story = &self.scenario.wind;
        let (mean_ms, from_deg) = self.wind_place.wind(story, at_s);
        let mean_ms = (mean_ms * (1.0 + self.mean.step(rng))).max(0.0);
        let wandered_deg = self.direction.step(rng);
        let gust = self.gusts.step(rng);
        let from_rad = (from_deg + wandered_deg + story.direction_gusts * gust.veered_deg).to_radians();
        let (sin, cos) = from_rad.sin_cos();
        let gust_ms = mean_ms * story.turbulence * gust.strength;
        let blowing = |mean_ms: f64| {
            let speed_ms = (mean_ms + gust_ms).max(0.0);
            Wind { east_ms: -speed_ms * sin, north_ms: -speed_ms * cos }
        };
        Blowing {
            mean_ms,
            at_ten: blowing(mean_ms),
            at_centroid: blowing(mean_ms * self.profile),
            towards: (-sin, -cos),
        }
    }

    fn surroundings<R: Rng + ?Sized>(&mut self, wind: &Blowing, at_s: f64, rng: &mut R) -> Surroundings {
        let (stream_east_ms, stream_north_ms) = self.stream_place.stream(&self.scenario.stream, at_s);
        let grown = self.sea_grown(wind.mean_ms);
        let drift_n = self.sea.as_mut().map_or(0.0, |sea| {
            sea.grow_to(grown);
            sea.second(rng)
        });
        Surroundings {
            wind_east_ms: wind.at_centroid.east_ms,
            wind_north_ms: wind.at_centroid.north_ms,
            stream_east_ms,
            stream_north_ms,
            drift_east_n: drift_n * wind.towards.0,
            drift_north_n: drift_n * wind.towards.1,
        }
    }

    /// How many times as high as they were told the waves are now: those of a short fetch go with the wind's stress,
    /// `U^1.23` (SPM, 1984), and are there as soon as the wind is.
    fn sea_grown(&self, mean_ms: f64) -> f64 {
        const STRESS: f64 = 1.23;
        let raised_by_ms = self.scenario.waves.and_then(|waves| waves.raised_by_ms);
        raised_by_ms.map_or(1.0, |by_ms| (mean_ms / by_ms).powf(STRESS))
    }

    fn truth(&self, wind: Wind, depth_m: f64, peak_n: f64, moved: bool) -> Truth {
        let boat = &self.scenario.boat;
        let heading = self.ride.heading();
        let (sin, cos) = self.ride.sin_cos();
        let ahead_m = boat.body.roller_ahead_m - boat.antenna_aft_m;
        let off_m = boat.antenna_starboard_m;
        let aside = Offset { east_m: off_m * cos, north_m: -off_m * sin };
        let turned = -self.ride.turning_rad_s() * off_m;
        let swung = Offset { east_m: turned * sin, north_m: turned * cos };
        Truth {
            at: instant(self.scenario.start, self.second),
            second: self.second,
            bow: self.ride.bow(),
            anchor: self.ride.anchor(),
            antenna: self.ride.along_m(ahead_m) + aside,
            antenna_way_ms: self.ride.way_at_ms(ahead_m) + swung,
            heading,
            turning_rad_s: self.ride.turning_rad_s(),
            load: Force::newtons(self.ride.load_n()),
            peak_load: Force::newtons(peak_n),
            anchor_load: Force::newtons(self.ride.anchor_load_n()),
            wind,
            depth: Length::metres(depth_m),
            anchor_moves: moved,
            gone_m: self.ground.gone_m(),
        }
    }

    /// What the instruments say, each at its interval: heading, wind, depth, way, and the fix last, for the watch
    /// brings a fix to the bow by what it has heard before.
    /// `sin` is of the true heading.
    fn read<R: Rng + ?Sized>(
        &mut self,
        truth: &Truth,
        sin: f64,
        rng: &mut R,
        readings: &mut Vec<Observation>,
    ) {
        let at_s = f64::from(truth.second);
        let due = |interval_s: u32| truth.second.is_multiple_of(interval_s.max(1));
        let mut say = |source, seen| readings.push(Observation { at: truth.at, source, seen });
        let error = self.errors.second(&self.scenario.sensors.receiver, at_s, rng);
        let fix_due = due(self.scenario.sensors.receiver.interval_s);
        let fixed = if fix_due { self.fix(truth, error, rng) } else { None };
        let sensors = &self.scenario.sensors;
        if let Some(compass) = sensors.compass.filter(|c| due(c.interval_s)) {
            let now = heading_by(&compass, truth.heading, sin, at_s, rng);
            let stuck = compass.stuck_from_s.is_some_and(|from_s| from_s <= at_s);
            let seen = if stuck { self.last_heading.unwrap_or(now) } else { now };
            self.last_heading = Some(seen);
            say(COMPASS, seen);
        }
        if let Some(anemometer) = sensors.anemometer.filter(|a| due(a.interval_s)) {
            let wind = wind_by(&anemometer, truth.wind, rng);
            let stuck = anemometer.stuck_from_s.is_some_and(|from_s| from_s <= at_s);
            let wind = if stuck { self.last_wind.unwrap_or(wind) } else { wind };
            self.last_wind = Some(wind);
            say(ANEMOMETER, Seen::Wind(wind));
        }
        if let Some(sounder) = sensors.sounder.filter(|s| due(s.interval_s)) {
            let depth = truth.depth + Length::metres(sounder.off_m + sounder.white_m * normal(rng));
            say(SOUNDER, Seen::Water { depth });
        }
        if let Some((antenna, way)) = fixed {
            self.last_fix = fixed;
            if let Some(way) = way {
                say(RECEIVER, Seen::Way(way));
            }
            say(RECEIVER, Seen::Fix(fix_at(antenna)));
        } else if fix_due {
            say(RECEIVER, Seen::NoFix);
        }
    }

    /// Fix and way as the receiver tells them; two draws for the Doppler where it has one.
    fn fix<R: Rng + ?Sized>(
        &self,
        truth: &Truth,
        error: FixError,
        rng: &mut R,
    ) -> Option<(Position, Option<Way>)> {
        let doppler = self.scenario.sensors.receiver.doppler;
        let way = doppler.map(|doppler| way_by(&doppler, truth.antenna_way_ms, rng));
        match error {
            FixError::Gap => None,
            FixError::Frozen => self.last_fix,
            FixError::Off(off) => Some((self.sheet.position(truth.antenna + off), way)),
        }
    }
}

/// The wind of a second.
struct Blowing {
    /// Mean at 10 m.
    mean_ms: f64,
    at_ten: Wind,
    at_centroid: Wind,
    /// Where it blows to, of unit length, east and north.
    towards: (f64, f64),
}

/// What cannot be played is told before it begins. Returns the wind at the centroid over that at 10 m.
fn checked(scenario: &Scenario) -> Result<f64, NightError> {
    let latitude_deg = scenario.origin.latitude_deg();
    if !(latitude_deg.abs() <= HIGHEST_LATITUDE_DEG) {
        return Err(NightError::NearPole { latitude_deg });
    }
    let Scenario { start, duration_s, .. } = *scenario;
    if start.checked_add(SignedDuration::from_secs(duration_s.into())).is_err() {
        return Err(NightError::Calendar { start, duration_s });
    }
    let centroid_m = scenario.boat.centroid_m;
    log_law(Length::metres(centroid_m), OPEN_SEA_ROUGHNESS).ok_or(NightError::Centroid { centroid_m })
}

fn begun_sea<R: Rng + ?Sized>(scenario: &Scenario, rng: &mut R) -> Result<Option<Sea>, NightError> {
    let Some(waves) = scenario.waves else { return Ok(None) };
    let scenario::Waves { height_m, period_s, reflected, .. } = waves;
    let body = &scenario.boat.body;
    let hull = (body.waterline_m, body.beam_m);
    let sea = Sea::begun((height_m, period_s, scenario.depth_m), hull, reflected, rng);
    sea.map_or(Err(NightError::Waves { height_m, period_s }), |sea| Ok(Some(sea)))
}

const fn fix_at(antenna: Position) -> Fix {
    Fix {
        antenna,
        spread: None,
        satellites: Some(11),
        dilution: Some(0.9),
        kind: FixKind::Autonomous,
        stated: None,
    }
}

/// Two normal draws.
fn way_by<R: Rng + ?Sized>(doppler: &sensors::Doppler, truly_ms: Offset, rng: &mut R) -> Way {
    let east_ms = truly_ms.east_m + doppler.white_ms * normal(rng);
    let north_ms = truly_ms.north_m + doppler.white_ms * normal(rng);
    let speed_ms = (east_ms * east_ms + north_ms * north_ms).sqrt();
    let step = Speed::metres_per_second(doppler.step_ms);
    if doppler.held_below_ms.is_some_and(|held_ms| speed_ms < held_ms) {
        return Way { speed: Speed::ZERO, course: None, step };
    }
    let told_ms =
        if 0.0 < doppler.step_ms { (speed_ms / doppler.step_ms).round() * doppler.step_ms } else { speed_ms };
    let course = Bearing::degrees(east_ms.atan2(north_ms).to_degrees());
    Way { speed: Speed::metres_per_second(told_ms), course: Some(course), step }
}

/// One normal draw. `sin` is of the true heading.
fn heading_by<R: Rng + ?Sized>(
    compass: &sensors::Compass,
    truly: Bearing,
    sin: f64,
    at_s: f64,
    rng: &mut R,
) -> Seen {
    let deviation_deg = compass.deviation_deg * sin;
    let flipped = compass.flipped_from_s.is_some_and(|from_s| from_s <= at_s);
    let off_deg = compass.off_deg + deviation_deg + compass.white_deg * normal(rng);
    let bow = truly.turned(Angle::degrees(off_deg + if flipped { 180.0 } else { 0.0 }));
    Seen::Heading { bow, spread: Angle::degrees(compass.stated_deg) }
}

/// Two normal draws.
fn wind_by<R: Rng + ?Sized>(anemometer: &sensors::Anemometer, truly: Wind, rng: &mut R) -> Wind {
    let gain = anemometer.gain * (1.0 + anemometer.white.0 * normal(rng));
    let (sin, cos) = (anemometer.off_deg + anemometer.white.1 * normal(rng)).to_radians().sin_cos();
    // Turned clockwise.
    let east_ms = gain * (truly.east_ms * cos + truly.north_ms * sin);
    Wind { east_ms, north_ms: gain * (truly.north_ms * cos - truly.east_ms * sin) }
}

/// The flat sheet about the origin, straight in degrees: within 2 mm of the geodesic at 200 m, which no receiver of
/// hers tells, at a fiftieth of its cost.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sheet {
    origin: Position,
    deg_a_metre_north: f64,
    deg_a_metre_east: f64,
    /// Tangent of the latitude.
    tan: f64,
}

impl Sheet {
    fn about(origin: Position) -> Self {
        let arm = Length::metres(100.0);
        let north = origin.at(arm, Bearing::degrees(0.0));
        let east = origin.at(arm, Bearing::degrees(90.0));
        let deg_east = (east.longitude_deg() - origin.longitude_deg() + 540.0).rem_euclid(360.0) - 180.0;
        Self {
            origin,
            deg_a_metre_north: (north.latitude_deg() - origin.latitude_deg()) / arm.as_metres(),
            deg_a_metre_east: deg_east / arm.as_metres(),
            tan: origin.latitude_deg().to_radians().tan(),
        }
    }
    fn position(&self, offset: Offset) -> Position {
        let north_deg = offset.north_m * self.deg_a_metre_north;
        // Meridians draw together towards the pole.
        let narrowed = 1.0 + north_deg.to_radians() * self.tan;
        let east_deg = offset.east_m * self.deg_a_metre_east * narrowed;
        let latitude_deg = (self.origin.latitude_deg() + north_deg).clamp(-90.0, 90.0);
        let longitude_deg = self.origin.longitude_deg() + east_deg;
        // A night at the date line may run over it; from there Position brings it round.
        let longitude_deg = if longitude_deg < -180.0 { longitude_deg + 360.0 } else { longitude_deg };
        Position::new(latitude_deg, longitude_deg)
            .expect("a latitude held between the poles and a longitude brought round are a position")
    }
}

/// A night that goes on beyond its end may reach the end of the calendar, and stays there.
fn instant(start: Timestamp, second: u32) -> Timestamp {
    start.checked_add(SignedDuration::from_secs(second.into())).unwrap_or(Timestamp::MAX)
}

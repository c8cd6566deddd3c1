//! Kinds of night, and chance's choice among the nights of a kind.
//!
//! Six kinds are quiet: whatever rings in them rings falsely. Together, in equal shares, they are the *stress mix*.
//! Seven hold a drag. Thresholds are chosen on these with [`Ranges::usual`]; the [`Variation`]s hold boats, rodes,
//! water and faults that no threshold was ever chosen on.
//!
//! The figures of each kind are choices, set so that each is a hard night of its kind rather than a usual one:
//! twenty bursts of multipath in a night, a wind that goes right round, a stream that turns in light air. The
//! windage of each boat is drawn from the one estimate with its spread ([`crate::environment::windage`]), and so
//! are the errors of rode (3 %), heading (3°), wind (10 %) and drop (1 to 6 m), which the watch is not told.

mod boats;
mod winds;

use jiff::Timestamp;
use rand::Rng;

pub use self::boats::Ranges;

use self::winds::Turned;
use super::anchor_in_ground::{AnchorStory, Going, GroundLaw};
use super::scenario::{DropMark, Scenario, Waves};
use super::sensors::{Anemometer, Compass, Doppler, NowAndThen, Receiver, Sensors, Sounder, somewhere};
use super::story::{StreamKnot, TideStory, WindStory};
use crate::position::{Offset, Position};
use crate::ride::wandering::{between, happens, normal};
use crate::units::{AIR_KG_M3, KNOT_M_S};

/// How long a quiet night lasts, s.
pub const NIGHT_S: u32 = 36_000;
/// How long a night goes on after a drag begins, s.
const AFTER_DRAG_S: u32 = 5_400;
/// And after a creep begins, s.
const AFTER_CREEP_S: u32 = 21_600;
/// Half a lunar day: from high water to high water, s.
const TIDE_S: f64 = 44_714.0;

/// A kind of night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Family {
    /// A steady wind of 6 to 13 m/s with its gusts.
    Steady,
    /// A wind of 4 to 9 m/s that goes right round.
    Shift,
    /// Light air, and a stream that turns.
    TideTurns,
    /// Squalls, and sheering in them.
    Squall,
    /// Bursts of multipath, two an hour.
    Multipath,
    /// Any of it together.
    Mixed,
    /// The anchor creeps at 0.1 m a minute.
    Creep,
    /// It drags at a metre a minute.
    MetreAMinute,
    /// It drags at half a knot.
    HalfKnot,
    /// It drags as the ground lets it, in a squall.
    SquallDrag,
    /// It drags at a tenth of a knot on the far side, after the wind has gone round; the drop was marked badly.
    FarSide,
    /// Fouled as she passed over it, it crosses the circle with her.
    Tripped,
    /// It drags at half a knot on a night of multipath.
    HalfKnotMultipath,
}

impl Family {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::Steady,
        Self::Shift,
        Self::TideTurns,
        Self::Squall,
        Self::Multipath,
        Self::Mixed,
        Self::Creep,
        Self::MetreAMinute,
        Self::HalfKnot,
        Self::SquallDrag,
        Self::FarSide,
        Self::Tripped,
        Self::HalfKnotMultipath,
    ];
    /// The stress mix: nights on which nothing drags.
    pub const QUIET: [Self; 6] =
        [Self::Steady, Self::Shift, Self::TideTurns, Self::Squall, Self::Multipath, Self::Mixed];
    /// Nights on which the anchor goes.
    pub const DRAGS: [Self; 7] = [
        Self::Creep,
        Self::MetreAMinute,
        Self::HalfKnot,
        Self::SquallDrag,
        Self::FarSide,
        Self::Tripped,
        Self::HalfKnotMultipath,
    ];

    /// Its name in files and tables.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Steady => "steady",
            Self::Shift => "shift",
            Self::TideTurns => "tide-turns",
            Self::Squall => "squall",
            Self::Multipath => "multipath",
            Self::Mixed => "mixed",
            Self::Creep => "creep",
            Self::MetreAMinute => "metre-a-minute",
            Self::HalfKnot => "half-knot",
            Self::SquallDrag => "squall-drag",
            Self::FarSide => "far-side",
            Self::Tripped => "tripped",
            Self::HalfKnotMultipath => "half-knot-multipath",
        }
    }
    /// The family of a name.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|family| family.word() == word)
    }
    /// Whether the anchor goes.
    pub fn drags(self) -> bool {
        Self::DRAGS.contains(&self)
    }

    /// A night of this kind, of the usual ranges.
    pub fn draw<R: Rng + ?Sized>(self, rng: &mut R) -> Scenario {
        self.draw_from(&Ranges::usual(), rng)
    }

    /// A night of this kind, of other ranges. Draws the boat and her instruments first, then what is of the kind.
    pub fn draw_from<R: Rng + ?Sized>(self, ranges: &Ranges, rng: &mut R) -> Scenario {
        let mut night = common(ranges, rng);
        match self {
            Self::Steady => night.wind = winds::steady((6.0, 13.0), rng),
            Self::Shift => night.wind = winds::shift((4.0, 9.0), (300.0, 3000.0), rng).0,
            Self::TideTurns => tide_turns(&mut night, rng),
            Self::Squall => night.wind = winds::squalls(f64::from(NIGHT_S), rng),
            Self::Multipath => multipath(&mut night, rng),
            Self::Mixed => mixed(&mut night, rng),
            Self::Creep => goes(&mut night, 0.1 / 60.0, AFTER_CREEP_S, rng),
            Self::MetreAMinute => goes(&mut night, 1.0 / 60.0, AFTER_DRAG_S, rng),
            Self::HalfKnot => goes(&mut night, 0.5 * KNOT_M_S, AFTER_DRAG_S, rng),
            Self::SquallDrag => squall_drag(&mut night, rng),
            Self::FarSide => far_side(&mut night, rng),
            Self::Tripped => tripped(&mut night, rng),
            Self::HalfKnotMultipath => {
                goes(&mut night, 0.5 * KNOT_M_S, AFTER_DRAG_S, rng);
                night.sensors.receiver.bursts = bursts();
            }
        }
        night
    }
}

/// What no threshold was chosen on.
#[derive(Clone, Debug, PartialEq)]
pub enum Variation {
    /// A swell of 0.3 to 1 m, 6 to 12 s.
    Swell,
    /// Rope with a few metres of chain.
    RopeRode,
    /// Boats of 18 to 20 m.
    LongBoat,
    /// 40 m of water.
    DeepWater,
    /// Two hulls on a bridle.
    Catamaran,
    /// The crew take her windage for half or twice what it is.
    WrongWindage,
    /// The anemometer sticks after an hour or more.
    StuckWind,
    /// The heading goes the wrong way round after an hour or more.
    FlippedHeading,
    /// The compass sticks after an hour or more.
    FrozenHeading,
    /// The receiver holds still below half a knot.
    StaticHold,
    /// Recorded errors of a receiver, one a second.
    RecordedNoise(std::sync::Arc<[Offset]>),
}

impl Variation {
    /// The ranges to draw from.
    pub fn ranges(&self) -> Ranges {
        let usual = Ranges::usual();
        match self {
            Self::RopeRode => Ranges { rope: true, ..usual },
            Self::LongBoat => Ranges { length_m: (18.0, 20.0), depth_m: (5.0, 15.0), ..usual },
            Self::DeepWater => Ranges { depth_m: (38.0, 42.0), scope: (2.5, 4.0), ..usual },
            Self::Catamaran => {
                Ranges { kind: crate::boat::HullKind::Multihull, length_m: (10.0, 16.0), ..usual }
            }
            _ => usual,
        }
    }
    /// A night of a kind, varied so.
    pub fn draw<R: Rng + ?Sized>(&self, family: Family, rng: &mut R) -> Scenario {
        let mut night = family.draw_from(&self.ranges(), rng);
        self.vary(&mut night, rng);
        night
    }
    fn vary<R: Rng + ?Sized>(&self, night: &mut Scenario, rng: &mut R) {
        let faulty_from_s = between(rng, (3600.0, 0.8 * f64::from(night.duration_s)));
        match self {
            Self::RopeRode | Self::LongBoat | Self::DeepWater | Self::Catamaran => {}
            Self::Swell => {
                night.waves = Some(Waves {
                    height_m: between(rng, (0.3, 1.0)),
                    period_s: between(rng, (6.0, 12.0)),
                    reflected: between(rng, (0.1, 0.3)),
                    raised_by_ms: None,
                });
            }
            Self::WrongWindage => night.boat.windage_believed = if happens(rng, 0.5) { 0.5 } else { 2.0 },
            Self::StuckWind => {
                if let Some(anemometer) = &mut night.sensors.anemometer {
                    anemometer.stuck_from_s = Some(faulty_from_s);
                }
            }
            Self::FlippedHeading => {
                if let Some(compass) = &mut night.sensors.compass {
                    compass.flipped_from_s = Some(faulty_from_s);
                }
            }
            Self::FrozenHeading => {
                if let Some(compass) = &mut night.sensors.compass {
                    compass.stuck_from_s = Some(faulty_from_s);
                }
            }
            Self::StaticHold => {
                if let Some(doppler) = &mut night.sensors.receiver.doppler {
                    doppler.held_below_ms = Some(0.5 * KNOT_M_S);
                }
            }
            Self::RecordedNoise(recorded) => night.sensors.receiver.recorded = Some(recorded.clone()),
        }
    }
}

/// Boat, rode, water and instruments, in that order; a calm, holding night otherwise.
fn common<R: Rng + ?Sized>(ranges: &Ranges, rng: &mut R) -> Scenario {
    let boat = boats::boat(ranges, rng);
    let depth_m = between(rng, ranges.depth_m);
    let tide = TideStory {
        half_range_m: between(rng, (0.0, 1.0)),
        period_s: TIDE_S,
        phase_rad: between(rng, (0.0, core::f64::consts::TAU)),
    };
    let depth_m = depth_m.max(1.2 * boat.draught_m - tide.bounds_m().0);
    let rode_said = boats::rode(ranges, &boat, depth_m, rng);
    let sensors = sensors(rng);
    Scenario {
        // An invented place and evening.
        start: Timestamp::constant(1_782_846_000, 0),
        duration_s: NIGHT_S,
        origin: invented_place(rng),
        boat,
        rode_said,
        rode_over_said: 1.0 + 0.03 * normal(rng).clamp(-3.0, 3.0),
        rode_spread: 0.03,
        friction: between(rng, (0.4, 0.9)),
        depth_m,
        tide,
        stream: Vec::new(),
        wind: winds::calm(),
        waves: None,
        anchor: AnchorStory::Holds,
        sensors,
        drop: Some(DropMark { off: somewhere(between(rng, (1.0, 6.0)), rng), spread_m: 4.0 }),
    }
}

/// Anywhere between 55° south and 60° north, at sea or not.
fn invented_place<R: Rng + ?Sized>(rng: &mut R) -> Position {
    let (latitude_deg, longitude_deg) = (between(rng, (-55.0, 60.0)), between(rng, (-179.0, 179.0)));
    Position::new(latitude_deg, longitude_deg).expect("the bounds are a position's")
}

fn sensors<R: Rng + ?Sized>(rng: &mut R) -> Sensors {
    let receiver = Receiver {
        interval_s: 1,
        slow: (between(rng, (0.5, 1.5)), between(rng, (200.0, 1500.0))),
        quick: (between(rng, (0.15, 0.5)), between(rng, (10.0, 60.0))),
        white_m: between(rng, (0.1, 0.4)),
        bursts: NowAndThen { an_hour: 0.05, size_m: (5.0, 20.0), lasting_s: (20.0, 200.0) },
        jumps: NowAndThen { an_hour: 0.1, size_m: (15.0, 45.0), lasting_s: (1.0, 1.0) },
        gaps: NowAndThen { an_hour: 0.1, size_m: (0.0, 0.0), lasting_s: (5.0, 60.0) },
        leaps: NowAndThen::NEVER,
        frozen_s: None,
        recorded: None,
        doppler: Some(Doppler {
            white_ms: between(rng, (0.03, 0.08)),
            step_ms: 0.01 * KNOT_M_S,
            held_below_ms: None,
        }),
    };
    let compass = Compass {
        off_deg: 3.0 * normal(rng),
        deviation_deg: 2.0 * normal(rng),
        white_deg: 1.0,
        stated_deg: 3.0,
        interval_s: 1,
        flipped_from_s: None,
        stuck_from_s: None,
    };
    let anemometer = Anemometer {
        gain: 1.0 + 0.1 * normal(rng).clamp(-3.0, 3.0),
        off_deg: 5.0 * normal(rng),
        white: (0.05, 5.0),
        interval_s: 1,
        stuck_from_s: None,
    };
    let sounder = Sounder { off_m: 0.1 * normal(rng), white_m: 0.05, interval_s: 5 };
    Sensors { receiver, compass: Some(compass), anemometer: Some(anemometer), sounder: Some(sounder) }
}

fn bursts() -> NowAndThen {
    NowAndThen { an_hour: 2.0, size_m: (2.0, 24.0), lasting_s: (20.0, 200.0) }
}

fn multipath<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    night.wind = winds::steady((5.0, 11.0), rng);
    night.sensors.receiver.bursts = bursts();
}

/// Light air and a stream that comes and goes along one line, with the tide that makes it.
fn tide_turns<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    night.wind = winds::steady((1.2, 3.5), rng);
    night.tide.half_range_m = between(rng, (0.5, 2.0));
    let still_m = 1.2 * night.boat.draught_m - night.tide.bounds_m().0;
    night.depth_m = night.depth_m.max(still_m);
    night.stream = stream((0.3, 0.8), rng);
}

/// A sine along one line, told every ten minutes.
fn stream<R: Rng + ?Sized>(peak_ms: (f64, f64), rng: &mut R) -> Vec<StreamKnot> {
    let (peak_ms, phase) = (between(rng, peak_ms), between(rng, (0.0, core::f64::consts::TAU)));
    let (sin, cos) = between(rng, (0.0, core::f64::consts::TAU)).sin_cos();
    let knots = (0..=2 * NIGHT_S / 600).map(|i| {
        let at_s = 600.0 * f64::from(i);
        let now_ms = peak_ms * (phase + core::f64::consts::TAU * at_s / TIDE_S).sin();
        StreamKnot { at_s, east_ms: now_ms * sin, north_ms: now_ms * cos }
    });
    knots.collect()
}

/// Any wind, perhaps a shift or squalls, perhaps a stream, perhaps multipath.
fn mixed<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    night.wind = match rng_third(rng) {
        0 => winds::steady((2.0, 13.0), rng),
        1 => winds::shift((3.0, 10.0), (300.0, 3000.0), rng).0,
        _ => winds::squalls(f64::from(NIGHT_S), rng),
    };
    if happens(rng, 0.5) {
        night.stream = stream((0.1, 0.6), rng);
    }
    if happens(rng, 0.3) {
        night.sensors.receiver.bursts = NowAndThen { an_hour: 1.0, ..bursts() };
    }
}

fn rng_third<R: Rng + ?Sized>(rng: &mut R) -> usize {
    super::sensors::whole(between(rng, (0.0, 3.0)))
}

/// A steady wind, and a drag at a steady speed from some time between one hour and three.
fn goes<R: Rng + ?Sized>(night: &mut Scenario, speed_ms: f64, after_s: u32, rng: &mut R) {
    night.wind = winds::steady((6.0, 13.0), rng);
    let from_s = between(rng, (3600.0, 10_800.0)).floor();
    night.anchor =
        AnchorStory::Goes(Going { from_s, fouled_within_m: None, speed_ms, until_m: f64::INFINITY });
    night.duration_s = seconds(from_s) + after_s;
}

/// A squall after an hour and more, on ground that holds a share of what it pulls.
fn squall_drag<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    let (wind, begins_s, most_ms) = winds::one_squall(rng);
    let pressure = 0.5 * AIR_KG_M3 * most_ms * most_ms;
    night.wind = wind;
    night.anchor = AnchorStory::ByLaw(GroundLaw {
        holds_n: pressure * night.boat.body.head_on_m2 * between(rng, (0.5, 0.9)),
        dug_in_m: between(rng, (2.0, 4.0)),
        digging_m: between(rng, (1.0, 1.5)),
        broken_out_share: between(rng, (0.3, 0.7)),
        sets_again_a_metre: between(rng, (0.0, 0.05)),
        sets_again_at_rest: happens(rng, 0.5),
        opposite_share: between(rng, (0.5, 0.8)),
        trips: false,
        uplift_draw: between(rng, (0.0, 1.0)),
    });
    night.duration_s = seconds(begins_s) + AFTER_DRAG_S;
}

/// The wind goes round; when she lies there, the anchor goes at a tenth of a knot; the mark is 5 to 12 m off.
fn far_side<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    let Turned { ends_s, .. } = turned_wind(night, (300.0, 3000.0), rng);
    let from_s = (ends_s + between(rng, (900.0, 2700.0))).floor();
    let speed_ms = 0.1 * KNOT_M_S;
    night.anchor =
        AnchorStory::Goes(Going { from_s, fouled_within_m: None, speed_ms, until_m: f64::INFINITY });
    night.duration_s = seconds(from_s) + AFTER_DRAG_S;
    night.drop = Some(DropMark { off: somewhere(between(rng, (5.0, 12.0)), rng), spread_m: 4.0 });
}

/// The wind dies and comes back from the other side; she falls back over her anchor, her rode fouls it, and both go
/// on.
fn tripped<R: Rng + ?Sized>(night: &mut Scenario, rng: &mut R) {
    let (wind, Turned { begins_s, ends_s }) = winds::dies_and_turns(rng);
    let reach_m = night.rode_said.length().as_metres();
    night.wind = wind;
    night.anchor = AnchorStory::Goes(Going {
        from_s: begins_s.floor(),
        fouled_within_m: Some(reach_m * between(rng, (0.2, 0.5))),
        speed_ms: between(rng, (0.1, 0.4)) * KNOT_M_S,
        until_m: f64::INFINITY,
    });
    night.duration_s = seconds(ends_s) + 2 * AFTER_DRAG_S;
}

fn turned_wind<R: Rng + ?Sized>(night: &mut Scenario, lasting_s: (f64, f64), rng: &mut R) -> Turned {
    let (wind, turned) = winds::shift((4.0, 9.0), lasting_s, rng);
    night.wind = wind;
    turned
}

/// Whole seconds of a time that is never negative.
fn seconds(at_s: f64) -> u32 {
    u32::try_from(super::sensors::whole(at_s)).unwrap_or(u32::MAX)
}

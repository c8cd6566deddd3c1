//! The story that is played in the bay of a plan.
//!
//! Boat, rode, depth, slope, tide, wind and neighbours are the plan's. Invented is what no plan can know: that she
//! comes in from the south-south-east at the beginning of the stay and weighs after twenty-two hours, how good her
//! instruments are, and that in the strongest wind of that time the first neighbour drags, and she herself where that
//! is asked for. The wind blows as foretold, with the gusts of what lies to windward.
//!
//! The first neighbour has a transponder of class A with a gyro; the others have one of class B, which tells no
//! heading. A coaster passes twice a mile off. Their identities are of a country that is none.

use jiff::{SignedDuration, Timestamp};
use windrode_domain::boat::{Boat, HullKind};
use windrode_domain::catenary::{Line, Segment};
use windrode_domain::environment::forecast::Forecast;
use windrode_domain::environment::windage;
use windrode_domain::plan::inputs::{Inputs, Slope};
use windrode_domain::plan::riding::rode_out;
use windrode_domain::plan::sheet::Sheet;
use windrode_domain::position::Offset;
use windrode_domain::propeller;
use windrode_domain::ride::body::{Body, WATERLINE_SHARE};
use windrode_domain::simulate::Scenario;
use windrode_domain::simulate::ais_neighbour::Transponder;
use windrode_domain::simulate::anchor_in_ground::{AnchorStory, Going};
use windrode_domain::simulate::passing::Passage;
use windrode_domain::simulate::scenario::ScenarioBoat;
use windrode_domain::simulate::sensors::{
    Anemometer, Compass, Doppler, NowAndThen, Receiver, Sensors, Sounder,
};
use windrode_domain::simulate::story::{TideStory, WaterKnot, WindKnot, WindStory};
use windrode_domain::simulate::voyage::{AsternStep, VoyageStory};
use windrode_domain::swing::neighbour::{Neighbour, NeighbourRode, Place};
use windrode_domain::tackle::Stretch;
use windrode_domain::tackle::chain::ChainKind;
use windrode_domain::tackle::makers_figures::MakersFigures;
use windrode_domain::units::{Bearing, KNOT_M_S, Length, Speed};
use windrode_wire::ais::particulars::{Dimensions, Particulars};

use super::Drag;
use super::company::{Anchored, Passing};
use crate::assemble::water::height_at;
use crate::nights::transponder_words;

/// She weighs so long after she began to come in, s.
const WEIGHS_AFTER_S: u32 = 22 * 3600;
/// The story of wind and water goes on so long, s: she waits outside.
const STORY_S: u32 = 26 * 3600;
/// Water is told every ten minutes, s.
const WATER_EVERY_S: u32 = 600;
/// She comes in and leaves on this bearing from the place, and from how far and how far, m: two hours out.
const SEAWARD: (f64, f64, f64) = (160.0, 600.0, 20_000.0);
/// Steps of the engine astern, as shares of its full revolutions; each is held for so long, s.
const ASTERN: ([f64; 3], f64) = ([0.4, 0.6, 0.8], 60.0);
/// She herself drags so fast in the strongest wind, kn, and so far, m: the ground was worse than it looked.
const SHE_DRAGS: (f64, f64) = (0.2, 60.0);
/// The first neighbour drags so fast, kn, and so far, m.
const NEIGHBOUR_DRAGS: (f64, f64) = (0.1, 80.0);
/// The battery at rest, V, and what it loses in an hour, V.
const BATTERY: (f64, f64) = (12.75, 0.015);
/// Friction of chain on the ground: the middle of what is measured on sand.
const FRICTION: f64 = 0.7;
/// Identities begin here.
const FIRST_MMSI: u32 = 999_100_001;
/// Length and rode of a neighbour of whom nothing is known, m.
const UNKNOWN: (f64, f64) = (9.0, 30.0);

/// A bay and who is in it.
#[derive(Clone, Debug)]
pub(super) struct Bay {
    /// The boat.
    pub(super) voyage: VoyageStory,
    /// Who lies at anchor near by.
    pub(super) anchored: Vec<Anchored>,
    /// Who passes.
    pub(super) ship: Passing,
}

/// Of a plan.
///
/// # Errors
/// In words, what the plan must tell and does not.
pub(super) fn of(inputs: &Inputs, sheet: &Sheet, drag: Drag) -> Result<Bay, String> {
    let start = inputs.span.from();
    let forecast = inputs.forecast.as_ref().ok_or("the plan foretells no wind")?;
    let veered = inputs.veered.or(sheet.veer.as_ref().map(|veer| veer.length));
    let veered = veered.ok_or("the plan finds no rode to veer")?;
    let whole = rode_out(&inputs.gear, veered).map_err(|error| error.to_string())?;
    let depth_m = water_m(inputs, start).ok_or("the plan knows no depth, or no tide")?;
    let wind = wind(forecast, inputs.exposure.turbulence_intensity(), start);
    let worst_s = strongest_s(&wind);
    let lying = Scenario {
        depth_m,
        anchor: match drag {
            Drag::Never => AnchorStory::Holds,
            Drag::InTheSquall => goes(worst_s, SHE_DRAGS),
            Drag::After(minutes) => goes(f64::from(minutes) * 60.0, SHE_DRAGS),
        },
        ..night(inputs, wind, &boat(&inputs.boat), whole.clone())
    };
    let knots = (0..=STORY_S / WATER_EVERY_S).filter_map(|step| {
        let at_s = step * WATER_EVERY_S;
        let at = start.checked_add(SignedDuration::from_secs(at_s.into())).ok()?;
        Some(WaterKnot { at_s: at_s.into(), rise_m: water_m(inputs, at)? - depth_m })
    });
    let seaward = |far_m| Offset::along(Bearing::degrees(SEAWARD.0), Length::metres(far_m));
    let voyage = VoyageStory {
        veered: without_snubber(inputs, &whole)?,
        water: knots.collect(),
        ground: inputs.slope.unwrap_or_else(Slope::level),
        deepest_m: inputs.fetch_depth.map_or(f64::INFINITY, Length::as_metres),
        comes_from: seaward(SEAWARD.1),
        astern: astern(&inputs.boat)?,
        weighs_at_s: WEIGHS_AFTER_S.into(),
        goes_to: seaward(SEAWARD.2),
        battery: BATTERY,
        lying,
    };
    let others =
        (0..).zip(&inputs.neighbours).map(|(i, other)| neighbour(inputs, &voyage, other, i, worst_s));
    Ok(Bay { anchored: others.collect::<Result<_, _>>()?, ship: coaster(inputs), voyage })
}

/// Depth at the anchor, m.
fn water_m(inputs: &Inputs, at: Timestamp) -> Option<f64> {
    let tide = height_at(&inputs.tide, at)?;
    Some((inputs.depth?.charted.at(tide).0 + inputs.residual.mean).as_metres())
}

/// The forecast as a story: its means, turned without a leap, the gusts of the exposure.
fn wind(forecast: &Forecast, turbulence: f64, start: Timestamp) -> WindStory {
    let mut last_deg: Option<f64> = None;
    let knot = |step: &windrode_domain::environment::forecast::Step| {
        let raw_deg = step.wind.from().map(Bearing::as_degrees).or(last_deg).unwrap_or(0.0);
        let from_deg =
            last_deg.map_or(raw_deg, |last| last + (raw_deg - last + 180.0).rem_euclid(360.0) - 180.0);
        last_deg = Some(from_deg);
        let at_s = step.at.duration_since(start).as_secs_f64();
        WindKnot { at_s, mean_ms: step.wind.speed().as_metres_per_second(), from_deg }
    };
    WindStory {
        knots: forecast.steps().iter().map(knot).collect(),
        turbulence,
        direction_gusts: 1.0,
        mean_wanders: (0.08, 900.0),
        direction_wanders: (6.0, 900.0),
    }
}

/// When the wind is strongest while she lies, s.
fn strongest_s(wind: &WindStory) -> f64 {
    let there = wind.knots.iter().filter(|knot| 0.0 < knot.at_s && knot.at_s < WEIGHS_AFTER_S.into());
    there.max_by(|a, b| a.mean_ms.total_cmp(&b.mean_ms)).map_or(0.0, |knot| knot.at_s)
}

const fn goes(from_s: f64, (speed_kn, until_m): (f64, f64)) -> AnchorStory {
    AnchorStory::Goes(Going { from_s, fouled_within_m: None, speed_ms: speed_kn * KNOT_M_S, until_m })
}

/// A night in this bay, where the plan's anchor is to lie; the depth is to be told.
fn night(inputs: &Inputs, wind: WindStory, boat: &ScenarioBoat, rode: Line) -> Scenario {
    Scenario {
        start: inputs.span.from(),
        duration_s: STORY_S,
        origin: inputs.anchor_at,
        boat: *boat,
        rode_said: rode,
        rode_over_said: 1.0,
        rode_spread: 0.03,
        friction: FRICTION,
        depth_m: 0.0,
        tide: TideStory::NONE,
        stream: Vec::new(),
        wind,
        waves: None,
        anchor: AnchorStory::Holds,
        sensors: sensors(true),
        drop: None,
    }
}

fn boat(boat: &Boat) -> ScenarioBoat {
    let (hull, windage) = (&boat.hull, &boat.windage);
    let waterline_m = hull.waterline_length.as_metres();
    let length_m = hull.length_overall.as_metres();
    let antenna = boat.antenna.map(|it| (it.aft_of_roller.as_metres(), it.to_starboard.as_metres()));
    let (antenna_aft_m, antenna_starboard_m) = antenna.unwrap_or((0.8 * length_m, 0.0));
    ScenarioBoat {
        kind: hull.kind,
        length_m,
        draught_m: hull.draught.as_metres(),
        body: Body::usual(hull.kind, waterline_m, windage.head_on_m2.median(), windage.beam_ratio),
        centroid_m: windage.centroid.as_metres(),
        roller_m: boat.roller_height.as_metres(),
        antenna_aft_m,
        antenna_starboard_m,
        windage_believed: 1.0,
    }
}

fn without_snubber(inputs: &Inputs, whole: &Line) -> Result<Line, String> {
    let mut segments = whole.segments().to_vec();
    if inputs.gear.snubber.is_some() && 1 < segments.len() {
        segments.pop();
    }
    Line::new(segments, whole.kellets().to_vec()).map_err(|error| error.to_string())
}

fn astern(boat: &Boat) -> Result<Vec<AsternStep>, String> {
    let Some(engine) = &boat.engine else { return Ok(Vec::new()) };
    let step = |share: f64| {
        let rpm = share * engine.rated_rpm;
        let pull = propeller::astern_pull(engine, rpm).map_err(|error| error.to_string())?;
        let pull = windrode_domain::units::Force::newtons(pull.newtons.median());
        Ok(AsternStep { rpm, pull, lasting_s: ASTERN.1 })
    };
    ASTERN.0.into_iter().map(step).collect()
}

/// A neighbour where the plan has seen her; in this wind her anchor lies up wind by nearly all her rode.
fn neighbour(
    inputs: &Inputs,
    voyage: &VoyageStory,
    other: &Neighbour,
    number: u32,
    worst_s: f64,
) -> Result<Anchored, String> {
    let length_m = other.length.map_or(UNKNOWN.0, Length::as_metres);
    let rode_m = other.veered.map_or(UNKNOWN.1, Length::as_metres);
    let wind = &voyage.lying.wind;
    let windward = wind.knots.first().map_or(0.0, |knot| knot.from_deg);
    let anchor = match other.place {
        Place::Anchor { at, .. } => at,
        Place::Seen { at, wind_from, .. } => {
            let from = wind_from.unwrap_or_else(|| Bearing::degrees(windward));
            at + Offset::along(from, Length::metres(0.9 * rode_m))
        }
    };
    let kind = other.hull.unwrap_or(HullKind::MonohullSail);
    let boat = usual_boat(kind, length_m)?;
    let first = number == 0;
    let transponder = if first { Transponder::ClassA } else { Transponder::ClassB };
    let Slope { angle, uphill } = voyage.ground;
    let (sin, cos) = uphill.as_radians().sin_cos();
    let up_m = anchor.east_m * sin + anchor.north_m * cos;
    let particulars = Particulars {
        name: Some(other.name.to_uppercase()),
        // Sailing craft, pleasure craft: ITU-R M.1371-5 table 53.
        ship_type: Some(if kind == HullKind::Motor { 37 } else { 36 }),
        dimensions: Some(transponder_words::dimensions(&boat)),
        ..Particulars::default()
    };
    let rode = chain_and_rope(rode_m, other.rode == NeighbourRode::Rope, length_m)?;
    let scenario = Scenario {
        origin: inputs.anchor_at.plus(anchor),
        depth_m: (voyage.lying.depth_m - up_m * angle.as_radians().tan()).max(boat.draught_m + 1.0),
        anchor: if first { goes(worst_s, NEIGHBOUR_DRAGS) } else { AnchorStory::Holds },
        sensors: sensors(first),
        ..night(inputs, wind.clone(), &boat, rode)
    };
    Ok(Anchored { mmsi: FIRST_MMSI + number, transponder, particulars, scenario })
}

fn usual_boat(kind: HullKind, length_m: f64) -> Result<ScenarioBoat, String> {
    let windage = windage::assumed(kind, Length::metres(length_m))
        .ok_or_else(|| format!("no boat is {length_m} m long"))?;
    let head_on_m2 = windage.head_on_m2.median();
    Ok(ScenarioBoat {
        kind,
        length_m,
        draught_m: 0.16 * length_m,
        body: Body::usual(kind, WATERLINE_SHARE * length_m, head_on_m2, windage.beam_ratio),
        centroid_m: windage.centroid.as_metres(),
        roller_m: 0.1 * length_m,
        antenna_aft_m: 0.8 * length_m,
        antenna_starboard_m: 0.0,
        windage_believed: 1.0,
    })
}

/// Chain by her length, all of it or a foot of ten metres under rope of one and a half times its size.
fn chain_and_rope(rode_m: f64, rope: bool, length_m: f64) -> Result<Line, String> {
    let size = Length::metres(if length_m < 11.0 { 0.008 } else { 0.010 });
    let kind = ChainKind { size, grade: None, standard: None };
    let chain_m = if rope { 10.0_f64.min(rode_m) } else { rode_m };
    let chain = Stretch::chain(kind, Length::metres(chain_m), MakersFigures::default());
    let chain = chain.map_err(|error| error.to_string())?;
    let segment = Segment { length: chain.length, weight: chain.weight, stiffness: chain.stiffness };
    let mut segments = vec![segment];
    if rope && chain_m < rode_m {
        // A nylon rope of that size weighs next to nothing in water and stretches by a hundred times as much.
        let length = Length::metres(rode_m - chain_m);
        segments.push(Segment { length, weight: segment.weight * 0.02, stiffness: segment.stiffness * 0.01 });
    }
    Line::new(segments, Vec::new()).map_err(|error| error.to_string())
}

/// Usual instruments under an open sky; the spreads are those of [`windrode_domain::simulate::sensors`].
fn sensors(heading: bool) -> Sensors {
    let now_and_then = |size_m, lasting_s| NowAndThen { an_hour: 0.05, size_m, lasting_s };
    let compass = Compass {
        off_deg: 2.0,
        deviation_deg: 1.5,
        white_deg: 0.5,
        stated_deg: 3.0,
        interval_s: 1,
        flipped_from_s: None,
        stuck_from_s: None,
    };
    Sensors {
        receiver: Receiver {
            interval_s: 1,
            slow: (0.9, 600.0),
            quick: (0.3, 30.0),
            white_m: 0.15,
            bursts: now_and_then((5.0, 15.0), (20.0, 120.0)),
            jumps: now_and_then((15.0, 30.0), (1.0, 1.0)),
            gaps: now_and_then((0.0, 0.0), (5.0, 20.0)),
            leaps: NowAndThen::NEVER,
            frozen_s: None,
            recorded: None,
            doppler: Some(Doppler { white_ms: 0.04, step_ms: 0.01 * KNOT_M_S, held_below_ms: None }),
        },
        compass: heading.then_some(compass),
        anemometer: Some(Anemometer {
            gain: 0.97,
            off_deg: 3.0,
            white: (0.04, 3.0),
            interval_s: 1,
            stuck_from_s: None,
        }),
        sounder: Some(Sounder { off_m: 0.05, white_m: 0.03, interval_s: 1 }),
    }
}

/// A coaster of 74 m that passes a mile to seaward in the evening, and back in the morning.
fn coaster(inputs: &Inputs) -> Passing {
    let mmsi = FIRST_MMSI + 900;
    let passage = |from_s, east_m, course_deg| Passage {
        mmsi,
        origin: inputs.anchor_at,
        from_s,
        lasting_s: 1800,
        from: Offset { east_m, north_m: -1700.0 },
        course: Bearing::degrees(course_deg),
        speed: Speed::knots(9.5),
    };
    Passing {
        particulars: Particulars {
            name: Some("HALSEY ROAD".to_owned()),
            // Cargo ship: ITU-R M.1371-5 table 53.
            ship_type: Some(70),
            dimensions: Some(Dimensions { ahead_m: 60, astern_m: 14, port_m: 6, starboard_m: 6 }),
            ..Particulars::default()
        },
        passages: vec![passage(5 * 3600, 4400.0, 265.0), passage(17 * 3600, -4400.0, 85.0)],
    }
}

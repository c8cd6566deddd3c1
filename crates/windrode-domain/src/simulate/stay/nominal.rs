//! What a planner knows of a stay.
//!
//! Boats of 8 to 20 m with the common gear of their length on ground of one nature, in winds from a fresh breeze to a
//! gale and above, rather too much for some: the chances of every size are wanted, not those of a prudent crew.

use jiff::{SignedDuration, Timestamp};
use rand::Rng;

use crate::arrangement::Arrangement;
use crate::boat::{Boat, Hull, HullKind};
use crate::depth::ChartedDepth;
use crate::drawn::Drawn;
use crate::environment::current::{AxisStream, Stream};
use crate::environment::forecast::{Forecast, Provenance, Step};
use crate::environment::tide::constituents::Constituent;
use crate::environment::tide::harmonic::{Constant, Convention, Curve};
use crate::environment::tide::{Harmonic, Tide};
use crate::environment::waves::Fetch;
use crate::environment::wind::{Exposure, Wind};
use crate::environment::windage;
use crate::plan::inputs::{DepthAtAnchor, Foretold, Inputs, Residual, STEP, Slope};
use crate::plan::limits::Limits;
use crate::position::Position;
use crate::ride::wandering::{between, happens};
use crate::seabed::Bottom;
use crate::span::Span;
use crate::tackle::chain::{ChainGrade, ChainKind, ChainStandard};
use crate::tackle::makers_figures::MakersFigures;
use crate::tackle::rope::{RopeConstruction, RopeKind, Termination};
use crate::tackle::{Anchor, AnchorClass, Gear, Rode, RopeFibre, Snubber, SnubberLegs, Stretch, StrongPoint};
use crate::uncertain::Origin;
use crate::units::{Bearing, Force, Length, Mass, Speed};

/// An instant of the plan speaks for so many seconds.
pub const STRETCH_S: u32 = 600;
/// An invented evening.
const FROM: Timestamp = Timestamp::constant(1_782_846_000, 0);
/// Half a lunar day in hours, of `M2`.
const LUNAR_DEG_H: f64 = 28.984_104_2;

/// Of the nominal stay, what the truth is drawn about.
pub(super) struct Known {
    /// Mean wind of the forecast's steps, m/s, and where it comes from, degrees, not wrapped; every hour.
    pub(super) winds: Vec<(f64, f64)>,
    /// From the water's mean level up, m, and phase of the stream behind the tide's.
    pub(super) tide: Option<Curve>,
    pub(super) stream: Option<Curve>,
    /// Where the flood sets, degrees.
    pub(super) flood_deg: f64,
    pub(super) fetch_m: f64,
    /// Length of the stay in stretches.
    pub(super) stretches: u32,
    /// Bollard pull with which she would be set, N; `None` where she is not.
    pub(super) pull_n: Option<f64>,
    /// Lead of the forecast at the beginning, days.
    pub(super) lead_days: f64,
}

/// Draws what is known.
pub(super) fn draw<R: Rng + ?Sized>(rng: &mut R) -> (Inputs, Known) {
    let boat = boat(rng);
    let length_m = boat.hull.length_overall.as_metres();
    let stretches = stretches(rng);
    let to = after(i64::from(stretches * STRETCH_S));
    let span = Span::new(FROM, to).expect("a stay ends after it begins");
    let depth_m = boat.hull.draught.as_metres() + between(rng, (1.5, 9.0));
    let sounded = happens(rng, 0.6);
    let (tide, stream) = (tide(rng), stream(rng));
    let winds = winds(stretches, rng);
    let exposure = exposure(rng);
    let lead_days = between(rng, (0.25, 2.0));
    let fetch_m = fetch_m(exposure, rng);
    let gear = gear(&boat, rng);
    let high_m = depth_m + tide.as_ref().map_or(0.0, |c| c.mean() + amplitude_m(c)) + lead_m(&boat, &gear);
    let known = Known {
        flood_deg: between(rng, (0.0, 360.0)),
        fetch_m,
        stretches,
        pull_n: happens(rng, 0.4).then(|| 14.0 * length_m * length_m * between(rng, (0.5, 1.5))),
        lead_days,
        tide,
        stream,
        winds,
    };
    let inputs = Inputs {
        stay: "a stay that never was".to_owned(),
        anchor_at: Position::new(between(rng, (-55.0, 60.0)), 10.0).expect("the bounds are a position's"),
        span,
        step: STEP,
        veered: Some(Length::metres((high_m * between(rng, (3.5, 8.0))).clamp(20.0, 95.0))),
        depth: Some(DepthAtAnchor::of(ChartedDepth(Length::metres(depth_m)), sounded)),
        slope: Some(Slope::level()),
        bottom: bottom(rng),
        forbidden: None,
        tide: known.tide.clone().map_or(Foretold::None, |curve| {
            Foretold::Known(Tide::Harmonic(Harmonic { curve, datum: "invented".to_owned() }))
        }),
        tide_source: "invented".to_owned(),
        residual: if sounded { Residual::assumed().after_sounding() } else { Residual::assumed() },
        stream: known.stream.clone().map_or(Foretold::None, |curve| {
            let flood = Bearing::degrees(known.flood_deg);
            Foretold::Known(Stream::Axis(AxisStream {
                curve,
                flood: Some(flood),
                ebb: Some(flood.reversed()),
            }))
        }),
        forecast: Some(forecast(&known, exposure, rng)),
        exposure,
        exposure_origin: Origin::Given,
        fetch: Some(Fetch::around(Length::metres(fetch_m)).expect("a fetch above nothing")),
        fetch_depth: None,
        dangers: Vec::new(),
        neighbours: Vec::new(),
        proof: None,
        no_proof: None,
        dive: None,
        arrangement: Arrangement::SingleAnchor,
        limits: Limits::default(),
        drawn: drawn(rng),
        boat,
        gear,
    };
    (inputs, known)
}

/// Words for the ride through the worst instant: as many as it needs.
fn drawn<R: Rng + ?Sized>(rng: &mut R) -> Drawn {
    let words: Vec<u64> = (0..90_000).map(|_| rng.next_u64()).collect();
    Drawn::new(words).expect("there are words")
}

/// So many seconds after the beginning.
pub(super) fn after(seconds: i64) -> Timestamp {
    FROM.checked_add(SignedDuration::from_secs(seconds)).expect("a night of the present calendar")
}

/// Six hours to twelve.
fn stretches<R: Rng + ?Sized>(rng: &mut R) -> u32 {
    36 + 6 * u32::try_from(crate::simulate::sensors::whole(between(rng, (0.0, 7.0)))).unwrap_or(6)
}

/// Of a curve with one constituent.
fn amplitude_m(curve: &Curve) -> f64 {
    curve.constants().iter().map(|constant| constant.amplitude).sum()
}

/// Height of the lead above the water.
fn lead_m(boat: &Boat, gear: &Gear) -> f64 {
    gear.snubber.as_ref().map_or(boat.roller_height, |snubber| snubber.height).as_metres()
}

fn boat<R: Rng + ?Sized>(rng: &mut R) -> Boat {
    let kind = match between(rng, (0.0, 1.0)) {
        x if x < 0.65 => HullKind::MonohullSail,
        x if x < 0.85 => HullKind::Motor,
        _ => HullKind::Multihull,
    };
    let length_m = between(rng, (8.0, 20.0));
    let waterline_m = 0.9 * length_m;
    let (beam_share, draught_share, mass_share) = match kind {
        HullKind::MonohullSail => (0.35, 0.16, 1.0),
        HullKind::Motor => (0.35, 0.10, 1.15),
        HullKind::Multihull => (0.55, 0.10, 0.75),
    };
    let hull = Hull {
        kind,
        length_overall: Length::metres(length_m),
        waterline_length: Length::metres(waterline_m),
        beam: Length::metres(beam_share * waterline_m),
        draught: Length::metres(draught_share * length_m),
        canoe_draught: Length::metres(0.052 * waterline_m),
        displacement: Mass::kilograms(
            9000.0 * mass_share * (waterline_m / 10.8).powi(3) * between(rng, (0.8, 1.25)),
        ),
    };
    let assumed = windage::assumed(kind, hull.length_overall).expect("a length above nothing");
    let said = between(rng, (0.7, 1.4));
    let windage = if happens(rng, 0.5) {
        assumed
    } else {
        let head_on_m2 = assumed.head_on_m2.median() * said;
        windage::given(head_on_m2, assumed.beam_ratio, assumed.centroid).expect("an area above nothing")
    };
    Boat {
        name: "Nobody's".to_owned(),
        hull,
        windage,
        roller_height: Length::metres(0.1 * length_m),
        antenna: None,
        sounder: None,
        engine: None,
    }
}

/// The anchor of a published minimum for her length ([`crate::tackle::minimum`], about `0.12 L²` kg), 0.7 to 1.6
/// times as heavy; chain and a snubber, chain alone, or rope with a few metres of chain.
fn gear<R: Rng + ?Sized>(boat: &Boat, rng: &mut R) -> Gear {
    let length_m = boat.hull.length_overall.as_metres();
    let class = match between(rng, (0.0, 1.0)) {
        x if x < 0.4 => AnchorClass::Scoop,
        x if x < 0.55 => AnchorClass::Fluke,
        x if x < 0.8 => AnchorClass::Plow,
        _ => AnchorClass::Claw,
    };
    let (chain_mm, rope_mm, snubber_mm) = match length_m {
        length_m if length_m < 11.0 => (8.0, 14.0, 12.0),
        length_m if length_m < 15.0 => (10.0, 16.0, 14.0),
        _ => (12.0, 18.0, 16.0),
    };
    let laid_up = between(rng, (0.0, 1.0));
    let multihull = boat.hull.kind == HullKind::Multihull;
    let stretches = if 0.8 < laid_up && !multihull {
        vec![chain(chain_mm, between(rng, (5.0, 15.0))), rope(rope_mm, 90.0)]
    } else {
        vec![chain(chain_mm, 100.0)]
    };
    let snubber = (multihull || laid_up < 0.65).then(|| Snubber {
        leg: rope(snubber_mm, between(rng, (4.0, 10.0)).max(0.6 * boat.hull.beam.as_metres())),
        legs: if multihull {
            SnubberLegs::Bridle { spread: boat.hull.beam * 0.85 }
        } else {
            SnubberLegs::Single
        },
        height: boat.roller_height * 0.9,
    });
    let strong = Force::newtons(50_000.0);
    Gear {
        anchor: Anchor {
            name: "an anchor".to_owned(),
            class,
            mass: Mass::kilograms(0.12 * length_m * length_m * between(rng, (0.7, 1.6))),
        },
        rode: Rode { name: "rode".to_owned(), stretches, marks: None },
        connectors: Vec::new(),
        snubber,
        cleat: StrongPoint {
            name: "cleat".to_owned(),
            working_load: strong,
            breaking_load: strong * 2.0,
            origin: Origin::Given,
        },
        windlass: None,
        kellets: Vec::new(),
    }
}

fn chain(size_mm: f64, length_m: f64) -> Stretch {
    let kind = ChainKind {
        size: Length::metres(size_mm / 1000.0),
        grade: Some(ChainGrade::G40),
        standard: Some(ChainStandard::Iso4565),
    };
    let makers = MakersFigures {
        breaking_load: Some(Force::newtons(500.0 * size_mm * size_mm)),
        ..MakersFigures::default()
    };
    Stretch::chain(kind, Length::metres(length_m), makers).expect("8, 10 and 12 mm stand in the table")
}

fn rope(size_mm: f64, length_m: f64) -> Stretch {
    let kind = RopeKind {
        fibre: RopeFibre::Polyamide,
        diameter: Length::metres(size_mm / 1000.0),
        construction: RopeConstruction::ThreeStrand,
        termination: Termination::Spliced,
    };
    let length = Length::metres(length_m);
    Stretch::rope(kind, length, MakersFigures::default()).expect("12 to 18 mm stand in the table")
}

fn bottom<R: Rng + ?Sized>(rng: &mut R) -> Bottom {
    let word = match between(rng, (0.0, 1.0)) {
        x if x < 0.45 => "sand",
        x if x < 0.75 => "mud",
        x if x < 0.85 => "clay",
        _ => "gravel",
    };
    Bottom::parse(word, Origin::Given).expect("a word of the chart")
}

fn exposure<R: Rng + ?Sized>(rng: &mut R) -> Exposure {
    match between(rng, (0.0, 1.0)) {
        x if x < 0.1 => Exposure::AtSea,
        x if x < 0.4 => Exposure::OffSea,
        x if x < 0.85 => Exposure::OffLand,
        _ => Exposure::Inland,
    }
}

/// A cable to half a mile off the land, up to two miles from the sea: with more she would not lie there.
fn fetch_m<R: Rng + ?Sized>(exposure: Exposure, rng: &mut R) -> f64 {
    match exposure {
        Exposure::AtSea | Exposure::OffSea => between(rng, (500.0, 3500.0)),
        Exposure::OffLand | Exposure::Inland => between(rng, (150.0, 1000.0)),
    }
}

/// `M2` alone, in four stays of five.
fn tide<R: Rng + ?Sized>(rng: &mut R) -> Option<Curve> {
    let (amplitude, phase_deg) = (between(rng, (0.2, 2.5)), between(rng, (0.0, 360.0)));
    happens(rng, 0.8).then(|| lunar(1.2 * amplitude, amplitude, phase_deg))
}

/// `M2` alone, in one stay of three.
fn stream<R: Rng + ?Sized>(rng: &mut R) -> Option<Curve> {
    let (amplitude, phase_deg) = (between(rng, (0.1, 0.8)), between(rng, (0.0, 360.0)));
    happens(rng, 0.33).then(|| lunar(0.0, amplitude, phase_deg))
}

fn lunar(mean: f64, amplitude: f64, phase_deg: f64) -> Curve {
    let constituent = Constituent::by_name("M2").expect("the moon's own");
    Curve::new(mean, vec![Constant { constituent, amplitude, phase_deg }], Convention::Continuous)
        .expect("an amplitude above nothing")
}

/// Seconds in which `M2` comes round.
pub(super) fn lunar_period_s() -> f64 {
    360.0 / LUNAR_DEG_H * 3600.0
}

/// Every hour: a wind that grows or eases by half, and a shift of more than 60° in one stay of five.
fn winds<R: Rng + ?Sized>(stretches: u32, rng: &mut R) -> Vec<(f64, f64)> {
    let hours = f64::from(stretches * STRETCH_S) / 3600.0;
    let strength_ms = between(rng, (4.0, 19.0));
    let shares = [(); 3].map(|()| between(rng, (0.6, 1.1)));
    let from_deg = between(rng, (0.0, 360.0));
    let veering_deg = between(rng, (-40.0, 40.0));
    let shift_deg = if happens(rng, 0.2) { between(rng, (60.0, 150.0)) } else { 0.0 };
    let shift_h = between(rng, (0.2, 0.8)) * hours;
    let at = |hour: f64| {
        let place = 2.0 * hour / hours;
        let share = if place < 1.0 {
            shares[0] + place * (shares[1] - shares[0])
        } else {
            shares[1] + (place - 1.0).min(1.0) * (shares[2] - shares[1])
        };
        let shifted = ((hour - shift_h) / 2.0 + 0.5).clamp(0.0, 1.0);
        (strength_ms * share, from_deg + veering_deg * hour / hours + shift_deg * shifted)
    };
    (0..=14).map(|hour| at(f64::from(hour))).collect()
}

/// Hourly, from the hour before: the gust of half of them is foretold, as the strongest of an hour, off by a tenth or
/// so in itself.
fn forecast<R: Rng + ?Sized>(known: &Known, exposure: Exposure, rng: &mut R) -> Forecast {
    let gusty = happens(rng, 0.5);
    // The strongest three seconds of an hour stand 2.9 standard deviations over its mean in these gusts.
    let over_mean = 1.0 + 2.9 * exposure.turbulence_intensity() * between(rng, (0.8, 1.2));
    let steps = (-1_i64..).zip(known.winds.first().into_iter().chain(&known.winds));
    let step = |(hour, &(mean_ms, from_deg)): (i64, &(f64, f64))| Step {
        at: after(3600 * hour),
        wind: Wind::blowing(Bearing::degrees(from_deg), Speed::metres_per_second(mean_ms)),
        gust: gusty.then(|| Speed::metres_per_second(mean_ms * over_mean)),
        gust_over: SignedDuration::ZERO,
    };
    #[expect(clippy::cast_possible_truncation, reason = "a lead of two days in seconds")]
    let lead_s = (known.lead_days * 86_400.0) as i64;
    let provenance =
        Provenance { source: "invented".to_owned(), issued: Some(after(-lead_s)), member: None, grid: None };
    Forecast::new(steps.map(step).collect(), provenance).expect("hours in order, of winds that blow")
}

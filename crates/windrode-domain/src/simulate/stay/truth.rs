//! What truly is, of a stay that a planner knows by its nominal figures.
//!
//! Each error is drawn at its usual size and then taken by so much as the truth is to depart: nothing for none.

use jiff::SignedDuration;
use rand::Rng;

use super::nominal::{Known, STRETCH_S, after, lunar_period_s};
use crate::environment::tide::harmonic::Curve;
use crate::environment::waves;
use crate::holding::{Bed, HoldingBand, uplift_factor};
use crate::plan::inputs::Inputs;
use crate::plan::riding::rode_out;
use crate::propeller::AsternPull;
use crate::ride::body::Body;
use crate::ride::wandering::{between, normal};
use crate::set::{Outcome, SetTest, chain_friction, proof};
use crate::simulate::anchor_in_ground::{AnchorStory, GroundLaw};
use crate::simulate::scenario::{Scenario, ScenarioBoat, Waves};
use crate::simulate::sensors::{NowAndThen, Receiver, Sensors};
use crate::simulate::story::{StreamKnot, TideStory, WindKnot, WindStory};
use crate::sourced::Confidence;
use crate::tackle::{Gear, Stuff};
use crate::uncertain::{Lognormal, Origin, Z90, normal_cdf};
use crate::units::{Angle, Bearing, Force, Length, Speed};

/// She lies for so long before the stay begins, s: she comes to her sheering.
pub(super) const BEFORE_S: u32 = 900;
/// Spots that a crew would try before they give up.
const SPOTS_TRIED: u32 = 50;
/// Waves lower than this are none, m.
const NO_SEA_M: f64 = 0.03;

/// A draw from −1 to 1, even.
fn even<R: Rng + ?Sized>(rng: &mut R) -> f64 {
    between(rng, (-1.0, 1.0))
}

/// A draw from Laplace's distribution with a standard deviation of 1: exponential either way.
fn laplace<R: Rng + ?Sized>(rng: &mut R) -> f64 {
    let p = even(rng);
    -p.signum() * (1.0 - p.abs()).max(f64::MIN_POSITIVE).ln() / core::f64::consts::SQRT_2
}

/// Draws the truth; a set that was made is added to what is known.
pub(super) fn draw<R: Rng + ?Sized>(
    nominal: &mut Inputs,
    known: &Known,
    departs: f64,
    rng: &mut R,
) -> Scenario {
    let (depth_m, tide) = water(nominal, known, departs, rng);
    let boat = boat(nominal, departs, rng);
    let wind = wind(nominal, known, departs, rng);
    let stream = stream(known, departs, rng);
    let anchor = anchor(nominal, known, (departs, depth_m), rng);
    let waves = waves(known, &wind, depth_m, departs, rng);
    let gear = stretched(&nominal.gear, departs, rng);
    let veered = nominal.veered.expect("a nominal stay says how much is veered");
    Scenario {
        start: after(-i64::from(BEFORE_S)),
        duration_s: BEFORE_S + known.stretches * STRETCH_S,
        origin: nominal.anchor_at,
        boat,
        rode_said: rode_out(&gear, veered).expect("no more is veered than the shortest rode"),
        rode_over_said: 1.0 + 0.05 * departs * even(rng),
        rode_spread: 0.03,
        friction: between(rng, chain_friction(bed(nominal)).value),
        depth_m,
        tide,
        stream,
        wind,
        waves,
        anchor: AnchorStory::ByLaw(anchor),
        sensors: none_carried(),
        drop: None,
    }
}

fn bed(nominal: &Inputs) -> Bed {
    Bed::allowed_by(&nominal.bottom).first().copied().unwrap_or(Bed::Rock)
}

/// Depth at the beginning, and the tide from there.
fn water<R: Rng + ?Sized>(nominal: &Inputs, known: &Known, departs: f64, rng: &mut R) -> (f64, TideStory) {
    let at = nominal.depth.expect("a nominal stay has its depth");
    let charted_m = at.charted.0.as_metres();
    let sounded = at.origin == Origin::Measured;
    let period_s = lunar_period_s();
    let predicted = known.tide.as_ref().map_or(TideStory::NONE, |curve| sine_of(curve, period_s));
    let early_s = 600.0 * departs * even(rng);
    let tide = TideStory {
        half_range_m: predicted.half_range_m * (1.0 + 0.05 * departs * even(rng)),
        phase_rad: predicted.phase_rad + core::f64::consts::TAU * early_s / period_s,
        ..predicted
    };
    let mean_m = known.tide.as_ref().map_or(0.0, Curve::mean);
    let level_m = |tide: &TideStory| mean_m + tide.half_range_m * tide.phase_rad.sin();
    // A sounding holds the error of its own hour.
    let begins_m = level_m(if sounded { &predicted } else { &tide });
    let lowest_m = 0.8 * nominal.boat.hull.draught.as_metres() - tide.bounds_m().0;
    let place_m = between(rng, (0.05, 0.25));
    for _ in 0..SPOTS_TRIED {
        let error_m = if sounded {
            0.1 * laplace(rng) + 0.6 * place_m * laplace(rng)
        } else {
            charted_off_m(charted_m, rng) + place_m * laplace(rng)
        };
        let depth_m = charted_m + begins_m + departs * error_m;
        // Where she would sit on the ground at low water nobody lies for a night.
        if lowest_m <= depth_m {
            return (depth_m, tide);
        }
    }
    (lowest_m, tide)
}

/// Off a charted depth: even, nineteen in twenty within the bounds of its zone of confidence.
fn charted_off_m<R: Rng + ?Sized>(charted_m: f64, rng: &mut R) -> f64 {
    let bound_m = match between(rng, (0.0, 1.0)) {
        x if x < 0.25 => 0.5 + 0.01 * charted_m,
        x if x < 0.85 => 1.0 + 0.02 * charted_m,
        _ => 2.0 + 0.05 * charted_m,
    };
    bound_m / 0.95 * even(rng)
}

/// A curve of one constituent as a sine from when she is first watched.
fn sine_of(curve: &Curve, period_s: f64) -> TideStory {
    let start = after(-i64::from(BEFORE_S));
    let at = |share: f64| {
        let later = SignedDuration::from_secs_f64(share * period_s);
        let at = start.checked_add(later).expect("a day of the present calendar");
        curve.value_at(at).expect("a year that can be predicted") - curve.mean()
    };
    let (sine, cosine) = (at(0.0), at(0.25));
    TideStory { half_range_m: sine.hypot(cosine), period_s, phase_rad: sine.atan2(cosine) }
}

/// The stream of every ten minutes.
fn stream<R: Rng + ?Sized>(known: &Known, departs: f64, rng: &mut R) -> Vec<StreamKnot> {
    let (stronger, later_s) = (1.0 + 0.3 * departs * even(rng), 1200.0 * departs * even(rng));
    let flood = Bearing::degrees(known.flood_deg + 15.0 * departs * even(rng)).as_radians();
    let Some(curve) = &known.stream else { return Vec::new() };
    let predicted = sine_of(curve, lunar_period_s());
    let knot = |i: u32| {
        let at_s = f64::from(i * STRETCH_S);
        let angle = predicted.phase_rad + core::f64::consts::TAU * (at_s - later_s) / predicted.period_s;
        let speed_ms = stronger * predicted.half_range_m * angle.sin();
        StreamKnot { at_s, east_ms: speed_ms * flood.sin(), north_ms: speed_ms * flood.cos() }
    };
    (0..=known.stretches + 2).map(knot).collect()
}

fn wind<R: Rng + ?Sized>(nominal: &Inputs, known: &Known, departs: f64, rng: &mut R) -> WindStory {
    let off = laplace(rng);
    let off_deg = 20.0 * departs * 0.5 * (even(rng) + even(rng));
    let knot = |(hour, &(mean_ms, from_deg)): (u32, &(f64, f64))| {
        let sigma = 0.11 + 0.03 * (known.lead_days + f64::from(hour) / 24.0);
        WindKnot {
            at_s: f64::from(BEFORE_S + 3600 * hour),
            mean_ms: mean_ms * (departs * sigma * off).exp(),
            from_deg: from_deg + off_deg,
        }
    };
    let more = 1.0 + departs * between(rng, (-0.25, 0.15));
    WindStory {
        knots: (0..).zip(&known.winds).map(knot).collect(),
        turbulence: nominal.exposure.turbulence_intensity() * more,
        direction_gusts: between(rng, (0.7, 1.3)),
        mean_wanders: (0.08 * departs, 7200.0),
        direction_wanders: (8.0 * departs, 2400.0),
    }
}

fn waves<R: Rng + ?Sized>(
    known: &Known,
    wind: &WindStory,
    depth_m: f64,
    departs: f64,
    rng: &mut R,
) -> Option<Waves> {
    let higher = (departs * even(rng) * 1.25_f64.ln()).exp();
    let reflected = between(rng, (0.1, 0.3));
    let raised_by_ms = wind.knots.iter().map(|knot| knot.mean_ms).fold(0.0, f64::max);
    let sea = waves::deep_jonswap(Speed::metres_per_second(raised_by_ms), Length::metres(known.fetch_m));
    let height = waves::breaking(sea.height * higher, Length::metres(depth_m));
    let height_m = height.as_metres();
    (NO_SEA_M < height_m).then_some(Waves {
        height_m,
        period_s: sea.period_s,
        reflected,
        raised_by_ms: Some(raised_by_ms),
    })
}

/// Windage even in the logarithm with the same one in ten either way as it is known by; a body spread as the nights'.
fn boat<R: Rng + ?Sized>(nominal: &Inputs, departs: f64, rng: &mut R) -> ScenarioBoat {
    let boat = &nominal.boat;
    let said = boat.windage;
    let assumed = said.origin == Origin::Assumed;
    let widest_ln = Z90 * said.head_on_m2.sigma_ln() / 0.8;
    let head_on_m2 = said.head_on_m2.median() * (departs * widest_ln * even(rng)).exp();
    let off = if assumed { 0.14 } else { 0.05 };
    let beam_ratio = said.beam_ratio * (1.0 + off * departs * even(rng));
    let kind = boat.hull.kind;
    let waterline_m = boat.hull.waterline_length.as_metres();
    let middle = Body::usual(kind, waterline_m, head_on_m2, beam_ratio);
    let mass_kg = boat.hull.displacement.as_kilograms() * (1.0 + 0.12 * departs * even(rng));
    let heavier = 1.07 * mass_kg / middle.surge_kg;
    let body = Body {
        surge_kg: middle.surge_kg * heavier,
        sway_kg: middle.sway_kg * heavier,
        munk_kg: middle.munk_kg * heavier,
        yaw_kg_m2: middle.yaw_kg_m2 * heavier,
        wind_lead: middle.wind_lead * between(rng, (0.43, 1.21)),
        line_damping: middle.line_damping * between(rng, (0.8, 1.2)),
        ..middle
    };
    let lead = nominal.gear.snubber.as_ref().map_or(boat.roller_height, |snubber| snubber.height);
    ScenarioBoat {
        kind,
        length_m: boat.hull.length_overall.as_metres(),
        draught_m: boat.hull.draught.as_metres(),
        body,
        centroid_m: said.centroid.as_metres() * (1.0 + 0.2 * departs * even(rng)),
        roller_m: lead.as_metres(),
        antenna_aft_m: 0.0,
        antenna_starboard_m: 0.0,
        windage_believed: 1.0,
    }
}

/// The same gear, its rope softer or stiffer.
fn stretched<R: Rng + ?Sized>(gear: &Gear, departs: f64, rng: &mut R) -> Gear {
    let stiffer = (departs * even(rng) * 1.4_f64.ln()).exp();
    let mut gear = gear.clone();
    let legs = gear.snubber.iter_mut().map(|snubber| &mut snubber.leg);
    for stretch in gear.rode.stretches.iter_mut().chain(legs) {
        if matches!(stretch.stuff, Stuff::Rope { .. }) {
            stretch.stiffness = stretch.stiffness * stiffer;
        }
    }
    gear
}

/// The anchor in its ground; where she was set, in a spot that bore the set.
fn anchor<R: Rng + ?Sized>(
    nominal: &mut Inputs,
    known: &Known,
    (departs, depth_m): (f64, f64),
    rng: &mut R,
) -> GroundLaw {
    let anchor = &nominal.gear.anchor;
    let band = HoldingBand::on_bottom(anchor.class, anchor.mass, &nominal.bottom)
        .expect("an anchor with a mass has a band");
    let spots = Spots::of(&band, departs, rng);
    let uplift_draw = 0.5 * (between(rng, (0.0, 1.0)) + between(rng, (0.0, 1.0)));
    let made = known.pull_n.and_then(|pull_n| set_made(nominal, known, pull_n, depth_m));
    let pulled = (departs * 0.35 * even(rng)).exp();
    let mut holds_n = spots.holds_n(rng);
    if let Some(test) = made {
        let friction = between(rng, chain_friction(bed(nominal)).value);
        let shank_n = test.pull.newtons.median() * pulled - friction * test.chain_lying.as_newtons();
        let borne = |holds_n: f64| shank_n < holds_n * uplift_factor(test.uplift, uplift_draw);
        let mut tried = 1;
        while !borne(holds_n) && tried < SPOTS_TRIED {
            holds_n = spots.holds_n(rng);
            tried += 1;
        }
        nominal.proof = borne(holds_n).then(|| proof(&test).ok()).flatten();
    }
    GroundLaw {
        holds_n,
        dug_in_m: between(rng, (2.0, 4.0)),
        digging_m: between(rng, (1.0, 1.5)),
        broken_out_share: between(rng, (0.3, 0.7)),
        sets_again_a_metre: 0.0,
        sets_again_at_rest: false,
        opposite_share: between(rng, (0.5, 0.8)),
        trips: false,
        uplift_draw,
    }
}

/// The spots of one ground: what its table is off by is the same in all of them.
struct Spots {
    low_n: f64,
    median_n: f64,
    /// Of Weibull's distribution.
    shape: f64,
    off_ln: f64,
    of_class: f64,
    departs: f64,
}

impl Spots {
    fn of<R: Rng + ?Sized>(band: &HoldingBand, departs: f64, rng: &mut R) -> Self {
        // The table's own range, in which spot and table have equal parts.
        let range_ln = Z90 * core::f64::consts::SQRT_2 * band.sigma_spot_ln;
        let median_n = band.median.as_newtons();
        // −ln 0.1 over −ln 0.9: what Weibull's variable grows by from one in ten to nine in ten.
        let grows = (10.0_f64.ln() / -(0.9_f64.ln())).ln();
        Self {
            low_n: median_n * (-range_ln).exp(),
            median_n,
            shape: grows / (2.0 * range_ln),
            off_ln: 0.25 * 3.0_f64.sqrt() * even(rng),
            of_class: normal(rng),
            departs,
        }
    }
    /// What a spot holds: a share of it by its class and ground, a share by the spot.
    fn holds_n<R: Rng + ?Sized>(&self, rng: &mut R) -> f64 {
        let score = core::f64::consts::FRAC_1_SQRT_2 * (self.of_class + normal(rng));
        let above = (1.0 - normal_cdf(score)).clamp(1e-12, 1.0 - 1e-12);
        let weibull_n = self.low_n * (-above.ln() / -(0.9_f64.ln())).powf(1.0 / self.shape);
        let ln = (weibull_n / self.median_n).ln() + self.off_ln;
        self.median_n * (self.departs * ln).exp()
    }
}

/// A pull astern, downwind of the anchor, as the crew would reckon it; `None` where the rode does not reach.
fn set_made(nominal: &Inputs, known: &Known, pull_n: f64, depth_m: f64) -> Option<SetTest> {
    let line = rode_out(&nominal.gear, nominal.veered?).ok()?;
    let lead = nominal.gear.snubber.as_ref().map_or(nominal.boat.roller_height, |s| s.height);
    let level = crate::catenary::Bed { slope: Angle::ZERO, friction: 0.0 };
    let lie = line.under_load(Length::metres(depth_m) + lead, Force::newtons(pull_n), &level).ok()?;
    let chain_weight = line.segments().first()?.weight;
    let lying = lie.grounded().min(line.segments().first()?.length);
    let (low, high) = chain_friction(bed(nominal)).value;
    let (_, from_deg) = known.winds.first()?;
    Some(SetTest {
        pull: AsternPull {
            newtons: Lognormal::new(pull_n, 0.2)?,
            origin: Origin::Computed,
            confidence: Confidence::Low,
            stalled: false,
        },
        wind_n: None,
        stream_n: None,
        chain_lying: chain_weight * lying,
        friction: Lognormal::from_p10_p90(low, high)?,
        toward: Bearing::degrees(*from_deg).reversed(),
        uplift: lie.uplift(),
        held_for: SignedDuration::from_secs(60),
        outcome: Outcome::Held,
    })
}

/// No instruments: the truth is asked itself.
fn none_carried() -> Sensors {
    let receiver = Receiver {
        interval_s: 1,
        slow: (0.0, 1.0),
        quick: (0.0, 1.0),
        white_m: 0.0,
        bursts: NowAndThen::NEVER,
        jumps: NowAndThen::NEVER,
        gaps: NowAndThen::NEVER,
        leaps: NowAndThen::NEVER,
        frozen_s: None,
        recorded: None,
        doppler: None,
    };
    Sensors { receiver, compass: None, anemometer: None, sounder: None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_pcg::Pcg64;
    use rand_pcg::rand_core::SeedableRng;

    // Source: the standard deviation of Laplace's distribution is √2 of its scale; one in twenty lies beyond
    // ln 20 / √2 = 2.12 of it.
    #[test]
    fn heavy_tails_are_as_heavy_as_they_say() {
        let mut rng = Pcg64::seed_from_u64(5);
        let draws: Vec<f64> = (0..40_000).map(|_| laplace(&mut rng)).collect();
        let square = draws.iter().map(|x| x * x).sum::<f64>() / draws.len() as f64;
        let beyond = draws.iter().filter(|x| 2.118 < x.abs()).count() as f64 / draws.len() as f64;
        // Four standard errors: of the square √(5/40000), of the share √(0.05·0.95/40000).
        assert!((square - 1.0).abs() < 0.045 && (beyond - 0.05).abs() < 0.0044, "{square} {beyond}");
    }

    // Source: the quantiles of the table's own range, 10th and 90th.
    #[test]
    fn a_spot_holds_between_the_ends_of_its_table_in_eight_of_ten() {
        let band = HoldingBand::on_bed(
            crate::tackle::AnchorClass::Scoop,
            crate::units::Mass::kilograms(15.0),
            Bed::FirmSand,
        )
        .unwrap();
        let mut rng = Pcg64::seed_from_u64(6);
        let [mut below, mut above] = [0.0, 0.0];
        for _ in 0..20_000 {
            let mut spots = Spots::of(&band, 1.0, &mut rng);
            spots.off_ln = 0.0;
            let efficiency = spots.holds_n(&mut rng) / (15.0 * crate::units::GRAVITY_M_S2);
            below += f64::from(u8::from(efficiency < 20.0)) / 20_000.0;
            above += f64::from(u8::from(40.0 < efficiency)) / 20_000.0;
        }
        // Four standard errors of √(0.1·0.9/20000).
        assert!((below - 0.1).abs() < 0.0085 && (above - 0.1).abs() < 0.0085, "{below} {above}");
    }
}

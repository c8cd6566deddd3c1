//! How she rides at one instant with a given rode: reach, uplift, peak, tension.
//!
//! The rode is laid in the plane of the load; the ground rises that way by the slope's share. Heights are reckoned
//! from the ground at the anchor to the bow roller, or to the snubber's lead where one is rigged.
//!
//! **The peak.** A gust that comes on pushes her back from where she lay, and she overshoots; the sea moves her on
//! top of it. With `x(H)` the rode's own reach, `H_s` the steady load, `H_g` the gust's:
//!
//! ```text
//! ∫ (H − H_g) dx from x_g to x_p  =  κ ∫ (H_g − H) dx from x_s to x_g  +  ½ M v²
//! ```
//!
//! The first term on the right is all the work that a gust could leave in her if it came at once; gusts take some
//! seconds, and `κ` is the share that is left ([`SUDDENNESS`]). `v` is the speed at which the sea moves her: that of
//! the water at the surface under a wave of the significant height, averaged over her waterline (`2/(kL)` of it where
//! the wave is short). `M` is her displacement and the water that surges with her. Left out: damping, and the swing's
//! own momentum. Source: energy balance of a mass on a spring that stiffens. What [`super::ridden`] finds of the stay's
//! worst instant is a factor on all of them.

use super::conditions::{Water, Weather, Which};
use super::inputs::Inputs;
use crate::catenary::{Bed, CatenaryError, Lie, Line, Segment, Stowed};
use crate::environment::heading::Lies;
use crate::environment::waves::Wave;
use crate::tackle::{Gear, Snubber, SnubberLegs};
use crate::uncertain::Z90;
use crate::units::{Angle, Force, Length, Mass, Speed};

/// Share of a sudden gust's work that is left in her when the gust takes seconds to come on, between 0 (slow against
/// her own period) and 1 (at once). Assumed: a load that rises evenly over half of her period (4 s of 8 s on a
/// snubber) overshoots by 0.64 of what a sudden one does, which is 0.40 of the work, and a gust of 3 s has passed
/// before that peak is reached.
pub const SUDDENNESS: f64 = 0.25;
/// Water that surges with her, over displacement: 5 to 10 % (from memory, medium confidence); the upper end.
pub const ADDED_MASS: f64 = 0.10;
/// The least load reckoned with, N: in a calm the rode still hangs somehow.
pub const LEAST_LOAD: Force = Force::newtons(5.0);
/// Load over the steady one at which the bow lies as near to the anchor as it comes in nine of ten tens of minutes: she
/// surges ahead between her boards, and the rode lies in bights. From 1,000 simulated stays.
pub const LULL: f64 = 0.10;
/// The rode that is out is off what is said by so much, one time in ten each way: marks slip, chain is counted in a
/// hurry. Assumed.
pub const RODE_OFF: f64 = 0.03;

/// A snubber or bridle as one segment in line with the rode.
///
/// Two legs of a bridle pull together: `EA = 2 EA₁ cos³φ` over the length `l cosφ`, `φ` half their opening.
///
/// The cube: a leg's stretch is the bow's travel times `cosφ`, its share of the pull another `cosφ`, and the shorter
/// length in line a third.
pub(super) fn snubber_segment(snubber: &Snubber) -> Segment {
    let leg = &snubber.leg;
    match snubber.legs {
        SnubberLegs::Single => Segment { length: leg.length, weight: leg.weight, stiffness: leg.stiffness },
        SnubberLegs::Bridle { spread } => {
            let cos = bridle_cos(leg.length, spread);
            Segment {
                length: leg.length * cos,
                weight: leg.weight * (2.0 / cos),
                stiffness: leg.stiffness * (2.0 * cos * cos * cos),
            }
        }
    }
}

/// Cosine of half the opening of a bridle. A spread of twice the leg or more lies athwart and pulls nothing: it is
/// refused where vessels are read, and taken here as a leg at 60°.
pub(super) fn bridle_cos(leg: Length, spread: Length) -> f64 {
    let sin = (spread / leg / 2.0).clamp(0.0, 0.866);
    (1.0 - sin * sin).sqrt()
}

/// The rode in the locker, with the snubber that stays above it.
///
/// # Errors
/// As [`Stowed::new`].
pub(super) fn stowed(gear: &Gear) -> Result<Stowed, CatenaryError> {
    let segments = gear
        .rode
        .stretches
        .iter()
        .map(|s| Segment { length: s.length, weight: s.weight, stiffness: s.stiffness })
        .collect();
    let kellets = gear
        .kellets
        .iter()
        .map(|k| crate::catenary::Kellet { from_anchor: k.from_anchor, weight: k.weight_in_water() })
        .collect();
    let above = gear.snubber.iter().map(snubber_segment).collect();
    Ok(Stowed::new(Line::new(segments, kellets)?, above)?)
}

/// The rode from the anchor to the boat when so much of it is veered, the snubber included where one is used.
///
/// # Errors
/// As [`Line::new`] and [`Line::first`].
pub fn rode_out(gear: &Gear, veered: Length) -> Result<Line, CatenaryError> {
    Ok(stowed(gear)?.veered(veered)?)
}

/// Height above the water of the point where the line leaves the boat.
pub(super) fn lead_height(inputs: &Inputs) -> Length {
    inputs.gear.snubber.as_ref().map_or(inputs.boat.roller_height, |snubber| snubber.height)
}

/// How she rides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ride {
    /// What she lies to.
    pub lies: Lies,
    /// Height from the ground at the anchor to the lead, at the unfavourable (high) side of the water.
    pub height: Length,
    /// Slope of the ground from the anchor towards the boat.
    pub slope: Angle,
    /// Rode under the gust at its median.
    pub at_gust: Lie,
    /// Rode under the gust at its 90th percentile.
    pub at_gust_p90: Lie,
    /// Rode under the steady load at its median.
    pub at_steady: Lie,
    /// Steady load at its 90th percentile.
    pub steady_p90: Force,
    /// Horizontal peak by the balance of energy, at the median.
    pub balance: Force,
    /// The same at the 90th percentile.
    pub balance_p90: Force,
    /// Horizontal peak at the median: the balance, or what the ride makes of it.
    pub peak: Force,
    /// Horizontal peak at the 90th percentile.
    pub peak_p90: Force,
    /// Tension at the boat under that peak.
    pub tension_p90: Force,
    /// Speed of her surge in the sea.
    pub surge: Speed,
    /// Furthest from the anchor that the bow comes.
    pub reach_high: Length,
    /// Nearest to the anchor that the bow lies, in a lull.
    pub reach_low: Length,
}

impl Ride {
    /// What a factor found of wind-rode boats comes to here: held by a stream or athwart she does not sheer as they do,
    /// and the balance is not lowered.
    pub(super) fn over_balance(&self, wind_rode: f64) -> f64 {
        match self.lies {
            Lies::WindRode | Lies::LightAir => wind_rode,
            Lies::TideRode | Lies::Athwart => wind_rode.max(1.0),
        }
    }

    /// With peaks so many times those of the balance, as [`Self::over_balance`], and never below the gust.
    ///
    /// # Errors
    /// As [`Line::under_load`].
    pub(super) fn with_peaks(self, line: &Line, over_balance: f64) -> Result<Self, CatenaryError> {
        let over_balance = self.over_balance(over_balance);
        let peak = (self.balance * over_balance).max(self.at_gust.horizontal());
        let peak_p90 = (self.balance_p90 * over_balance).max(self.at_gust_p90.horizontal());
        let bed = Bed { slope: self.slope, friction: 0.0 };
        let at_peak = line.under_load(self.height, peak_p90, &bed)?;
        Ok(Self {
            peak,
            peak_p90,
            tension_p90: at_peak.tension(),
            reach_high: at_peak.distance() * (1.0 + RODE_OFF),
            ..self
        })
    }
}

/// What one line is asked at one instant.
struct Asked<'a> {
    line: &'a Line,
    height: Length,
    bed: Bed,
    mass: Mass,
    surge: Speed,
}

impl Asked<'_> {
    fn under(&self, load: Force) -> Result<Lie, CatenaryError> {
        self.line.under_load(self.height, load, &self.bed)
    }

    /// The peak of a gust that comes on where she lies to the steady load; see the module.
    fn peak(&self, steady: Force, gust: Force) -> Result<Force, CatenaryError> {
        let pushed =
            gust.as_newtons() * (self.under(gust)?.distance() - self.under(steady)?.distance()).as_metres();
        let stored = self.line.work_between(self.height, &self.bed, steady, gust)?.as_joules();
        let surge_ms = self.surge.as_metres_per_second();
        let mass_kg = self.mass.as_kilograms();
        let energy_j = SUDDENNESS * (pushed - stored).max(0.0) + 0.5 * mass_kg * surge_ms * surge_ms;
        let speed = Speed::metres_per_second((2.0 * energy_j / mass_kg).sqrt());
        Ok(self.line.peak_load(self.height, &self.bed, gust, self.mass, speed)?.force)
    }
}

/// Works out how she rides with a line.
///
/// # Errors
/// As [`Line::under_load`]: a rode shorter than the height above all.
pub(super) fn ride(
    inputs: &Inputs,
    line: &Line,
    water: Water,
    weather: &Weather,
) -> Result<Ride, CatenaryError> {
    let windage_sigma_ln = inputs.boat.windage.head_on_m2.sigma_ln();
    let at_least = |load: Force| load.max(LEAST_LOAD);
    let (steady, gust) = (at_least(weather.load.steady.total()), at_least(weather.load.gust.total()));
    let steady_p90 = at_least(weather.load_at(Which::Steady, windage_sigma_ln, Z90));
    let gust_p90 = at_least(weather.load_at(Which::Gust, windage_sigma_ln, Z90));
    let asked = Asked {
        line,
        height: water.high().0 + lead_height(inputs),
        // What the chain's friction takes is counted where the ground is judged.
        bed: Bed { slope: slope_towards(inputs, weather), friction: 0.0 },
        mass: inputs.boat.hull.displacement * (1.0 + ADDED_MASS),
        surge: surge_speed(inputs, weather, water),
    };
    let peak = asked.peak(steady, gust)?;
    let peak_p90 = asked.peak(steady_p90, gust_p90)?;
    let at_peak = asked.under(peak_p90)?;
    Ok(Ride {
        lies: weather.lie.lies,
        height: asked.height,
        slope: asked.bed.slope,
        at_steady: asked.under(steady)?,
        steady_p90,
        at_gust: asked.under(gust)?,
        at_gust_p90: asked.under(gust_p90)?,
        balance: peak,
        balance_p90: peak_p90,
        peak,
        peak_p90,
        tension_p90: at_peak.tension(),
        surge: asked.surge,
        reach_high: at_peak.distance() * (1.0 + RODE_OFF),
        reach_low: least_reach(&asked, weather, steady)?,
    })
}

/// How near the anchor the bow can lie: with the load of a lull, and over the anchor where nothing holds her off.
fn least_reach(asked: &Asked<'_>, weather: &Weather, steady: Force) -> Result<Length, CatenaryError> {
    match weather.lie.lies {
        Lies::LightAir | Lies::Athwart => Ok(Length::ZERO),
        Lies::WindRode | Lies::TideRode => {
            Ok(asked.under((steady * LULL).max(LEAST_LOAD))?.distance() * (1.0 - RODE_OFF))
        }
    }
}

/// Slope of the ground from the anchor the way the load pulls.
pub(super) fn slope_towards(inputs: &Inputs, weather: &Weather) -> Angle {
    inputs.slope.map_or(Angle::ZERO, |slope| slope.along(weather.lie.pull))
}

/// Speed at which the sea moves her to and fro.
fn surge_speed(inputs: &Inputs, weather: &Weather, water: Water) -> Speed {
    let Some(wave) = Wave::new(weather.sea.period_s, water.high().0) else { return Speed::ZERO };
    let half_waterline = wave.wave_number() * inputs.boat.hull.waterline_length.as_metres() / 2.0;
    wave.surge_speed(weather.sea.height) * (1.0 / half_waterline).min(1.0)
}

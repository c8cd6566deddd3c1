//! The board: all that is worked out before a length of rode is chosen, and the laying of a length upon it.
//!
//! The conditions of every instant, the ground's holding and the spreads do not depend on the rode; each length that
//! is tried is laid on the same board.

use jiff::Timestamp;

use super::conditions::{self, Conditions, GUST_MODEL_LN, Water, Weather};
use super::inputs::{Foretold, Inputs};
use super::laid::{Laid, Stretch, telling};
use super::riding;
use crate::catenary::{CatenaryError, Line, Stowed};
use crate::chance::{AMPLIFIED, Spreads};
use crate::depth::TideHeight;
use crate::environment::loads::{Exposed, MEAN_SIGMA_LN, SWUNG_SIGMA_LN};
use crate::environment::{almanac, heading};
use crate::holding::{Bed, HoldingBand, HoldingError, failing_to_set};
use crate::set::{chain_friction, failing_to_set_after};
use crate::sourced::Sourced;
use crate::span::Span;
use crate::uncertain::{Lognormal, Origin};
use crate::units::Length;

/// All that is worked out before a length is chosen.
#[derive(Clone, Debug)]
pub struct Board<'a> {
    /// What it is made from.
    pub inputs: &'a Inputs,
    /// The boat as wind and stream see her, windage at its median.
    pub exposed: Exposed,
    /// Every instant, in order.
    pub conditions: Vec<Conditions>,
    /// The rode in the locker, or why it is none.
    pub stowed: Result<Stowed, CatenaryError>,
    /// What the ground holds, dive included, or why that cannot be said.
    pub holding: Result<HoldingBand, HoldingError>,
    /// Chance that the anchor has not set.
    pub failing_to_set: Sourced<f64>,
    /// Spreads that are not an instant's own.
    pub spreads: Spreads,
    /// From sunset to sunrise.
    pub dark: Vec<Span>,
    /// Why the tide cannot be said, if so.
    pub no_tide: Option<String>,
    /// The instants that searches go by.
    pub(super) telling: Vec<Stretch>,
}

impl<'a> Board<'a> {
    /// Sets up the board.
    pub fn of(inputs: &'a Inputs) -> Self {
        let instants: Vec<Timestamp> = inputs.span.instants(inputs.step).collect();
        Self::at(inputs, &instants)
    }

    /// The board of some instants alone, in order.
    pub(super) fn at(inputs: &'a Inputs, instants: &[Timestamp]) -> Self {
        let exposed = conditions::exposed(inputs);
        let (tides, no_tide) = tides(inputs, instants);
        let conditions = instants
            .iter()
            .zip(tides.into_iter().zip(streams(inputs, instants)))
            .map(|(&at, waters)| conditions::conditions(inputs, &exposed, at, waters))
            .collect();
        let bottom = inputs.dive.as_ref().and_then(|dive| dive.ground.as_ref()).unwrap_or(&inputs.bottom);
        let anchor = &inputs.gear.anchor;
        let holding = HoldingBand::on_bottom(anchor.class, anchor.mass, bottom)
            .map(|band| inputs.dive.as_ref().map_or(band, |dive| dive.reweigh(band)));
        let prior = failing_to_set(anchor.class, bottom);
        let bed = holding.as_ref().map_or(Bed::Rock, |band| band.bed);
        let mut board = Self {
            inputs,
            exposed,
            conditions,
            stowed: riding::stowed(&inputs.gear),
            failing_to_set: failing_to_set_after(
                prior,
                anchor.mass,
                inputs.proof.as_ref(),
                inputs.dive.as_ref(),
            ),
            holding,
            spreads: spreads(inputs, bed),
            dark: almanac::dark_spans(inputs.anchor_at, inputs.span),
            no_tide,
            telling: Vec::new(),
        };
        board.telling = telling(&board);
        board
    }

    /// The instant nearest to a time.
    pub fn nearest(&self, at: Timestamp) -> Option<usize> {
        let away = |conditions: &Conditions| conditions.at.duration_since(at).abs();
        (0..self.conditions.len()).min_by_key(|&index| self.conditions.get(index).map(away))
    }

    /// Instants at which she can be said to ride: both water and weather known and she afloat at all.
    pub fn known(&self) -> impl Iterator<Item = (usize, Water, &Weather)> {
        self.conditions.iter().enumerate().filter_map(|(index, conditions)| {
            let water = conditions.water?;
            let weather = conditions.weather.as_ref().ok()?;
            (Length::ZERO < water.high().0).then_some((index, water, weather))
        })
    }

    /// The deepest water of the stay, on the unfavourable side, to the lead on the boat.
    pub fn greatest_height(&self) -> Option<Length> {
        let lead = riding::lead_height(self.inputs);
        let heights = self.conditions.iter().filter_map(|c| Some(c.water?.high().0 + lead));
        heights.reduce(Length::max)
    }

    /// Lays a length of rode.
    ///
    /// # Errors
    /// [`CatenaryError`] when no such length can be veered, or it does not reach the bow at high water.
    pub fn lay(&self, length: Length) -> Result<Laid, CatenaryError> {
        Laid::on(self, length, self.veered(length)?)
    }

    /// So much of the rode in the locker.
    pub(super) fn veered(&self, length: Length) -> Result<Line, CatenaryError> {
        Ok(self.stowed.clone()?.veered(length)?)
    }
}

/// The tide of every instant, and why there is none if so.
fn tides(inputs: &Inputs, instants: &[Timestamp]) -> (Vec<Option<TideHeight>>, Option<String>) {
    let unknown = |why: String| (vec![None; instants.len()], Some(why));
    let tide = match &inputs.tide {
        Foretold::None => return (vec![Some(TideHeight(Length::ZERO)); instants.len()], None),
        Foretold::Unknown(why) => return unknown(why.clone()),
        Foretold::Known(tide) => tide,
    };
    let prediction = match tide.over(inputs.span) {
        Ok(prediction) => prediction,
        Err(error) => return unknown(error.to_string()),
    };
    let mut first_error = None;
    let heights = instants.iter().map(|&at| match prediction.height_at(at) {
        Ok(height) => Some(height),
        Err(error) => {
            first_error.get_or_insert_with(|| error.to_string());
            None
        }
    });
    (heights.collect(), first_error)
}

type StreamKnown = Result<Option<heading::Stream>, String>;

/// The stream of every instant, or why there is none. A stream that sets nowhere is none.
fn streams(inputs: &Inputs, instants: &[Timestamp]) -> Vec<StreamKnown> {
    let all = |known: StreamKnown| vec![known; instants.len()];
    let stream = match &inputs.stream {
        Foretold::None => return all(Ok(None)),
        Foretold::Unknown(why) => return all(Err(why.clone())),
        Foretold::Known(stream) => stream,
    };
    let prediction = match stream.over(inputs.span) {
        Ok(prediction) => prediction,
        Err(error) => return all(Err(error.to_string())),
    };
    let at = |&at: &Timestamp| {
        let stream = prediction.at(at).map_err(|error| error.to_string())?;
        Ok(stream.sets_towards.map(|set| heading::Stream { speed: stream.speed, set }))
    };
    instants.iter().map(at).collect()
}

/// Spreads of one boat and bed.
///
/// Windage assumed by kind and length is half ignorance of her class, half the boat's own; given, it is hers alone.
/// What sheering and surging make of a load differs from boat to boat, and with the gust model it is known no better.
fn spreads(inputs: &Inputs, bed: Bed) -> Spreads {
    let windage = inputs.boat.windage;
    let sigma = windage.head_on_m2.sigma_ln();
    let class_share = if windage.origin == Origin::Assumed { core::f64::consts::FRAC_1_SQRT_2 } else { 0.0 };
    // The ranges are constants of ours with `0 < low <= high`; certainty of 1 is their only other reading.
    let known = |band: Option<Lognormal>| {
        band.or(Lognormal::new(1.0, 0.0)).unwrap_or_else(|| unreachable!("1 without a spread is a band"))
    };
    let band = |(low, high): (f64, f64)| known(Lognormal::from_p10_p90(low, high));
    Spreads {
        windage_class_ln: sigma * class_share,
        windage_boat_ln: sigma * (1.0 - class_share * class_share).sqrt(),
        sheer: known(Lognormal::new(1.0, MEAN_SIGMA_LN)),
        amplification: band(AMPLIFIED.value),
        friction: band(chain_friction(bed).value),
        gust_model_ln: GUST_MODEL_LN.hypot(SWUNG_SIGMA_LN),
    }
}

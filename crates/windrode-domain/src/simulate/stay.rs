//! Stays to hold the sheet against: what a planner would know of one, and what then truly befell.
//!
//! A [`Drawn`] stay is two things. Its *nominal* half is what goes into a plan: gear list, chart, forecast, tide
//! table, perhaps a set. Its *true* half is a [`Scenario`] of which the nominal is only an opinion. [`Drawn::live`]
//! rides it twice: with an anchor that holds whatever comes, for what the rode, the bow and the water did in every
//! ten minutes, and with the anchor in its ground, for whether it broke out.
//!
//! # What the truth does not share with the planner
//!
//! | what | planner | truth |
//! | --- | --- | --- |
//! | holding | lognormal about the table | Weibull through the same one in ten, times a table off by up to 1.54 |
//! | uplift | even between two laws | between the same, rather in the middle (triangle) |
//! | mean wind | one lognormal factor | Laplace in the logarithm; 8 % that wander in two hours; up to 20° |
//! | gusts | a guideline's peaks | a spectrum of its own ([`crate::ride::gusts`]), 0.75 to 1.15 times as turbulent |
//! | windage | lognormal | even in the logarithm, the same one in ten; beam-on ratio and centroid besides |
//! | sheer, surge | two figures for all boats | whatever her body does ([`crate::ride`]) |
//! | sea | SPM | JONSWAP's law of growth, 0.8 to 1.25 times as high |
//! | sounding | normal | even within the zone of confidence of the chart; Laplace for her own sounder |
//! | residual of the water | normal | Laplace, 0.05 to 0.25 m by place; a tide 5 % and ten minutes off |
//! | stream | as foretold | 0.7 to 1.3 times, twenty minutes and 15° off |
//! | rode | 3 % off, one in ten | up to 5 % off, evenly; rope 0.7 to 1.4 times as stiff |
//!
//! Shared are the catenary, the medians of the tables, and that the bottom is what the chart names. An anchor turned
//! right round loses a part of its hold but does not trip; failing to set is not drawn: the sheet states both apart.
//!
//! # Sources
//!
//! Mean wind: 10 m winds of a global model miss those of coastal and land stations by about 1.7 m/s rms on the first
//! day (P. Pinson and R. Hagedorn, "Verification of the ECMWF ensemble forecasts of wind speed against observations",
//! Meteorological Applications 19, 2012; figure from memory), of which a metre a second is the station's own; in 10
//! m/s that leaves 0.14, here as 0.11 at the start and 0.03 more a day, with the 8 % that wander. Depth: zones of
//! confidence of IHO S-57, nineteen in twenty within 0.5 m + 1 % (A1), 1 m + 2 % (A2, B), 2 m + 5 % (C). Residuals:
//! standard deviations of observed less predicted levels from 0.05 m at oceanic islands to 0.25 m in shallow
//! stormy seas (D. T. Pugh, *Tides, Surges and Mean Sea-Level*, 1987, from memory). Everything else: assumed.

mod lived;
mod nominal;
mod truth;

use rand::Rng;

pub use self::lived::{DRAGGED_M, LivedStay, Stretch};
pub use self::nominal::STRETCH_S;

use super::NightError;
use super::scenario::Scenario;
use crate::plan::inputs::Inputs;

/// A stay, as it would be planned and as it is.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// What the planner knows.
    pub nominal: Inputs,
    /// What is.
    pub truth: Scenario,
}

impl Drawn {
    /// Draws a stay; the truth departs from what is known by so much of the usual errors: 1 for all of them, 0 for
    /// none but the gusts and her own motion.
    pub fn stay<R: Rng + ?Sized>(departs: f64, rng: &mut R) -> Self {
        let (mut nominal, known) = nominal::draw(rng);
        let truth = truth::draw(&mut nominal, &known, departs, rng);
        Self { nominal, truth }
    }

    /// Lives it.
    ///
    /// # Errors
    /// [`NightError`] where it cannot be played.
    pub fn live<R: Rng + Clone>(&self, rng: &mut R) -> Result<LivedStay, NightError> {
        lived::live(self, rng)
    }
}

//! The greatest pull as a boat makes it that is ridden in time.
//!
//! The balance of energy in [`super::riding`] tells the peak of every instant for next to nothing, and rests on a guess
//! of how much of a gust's work is left in her. So the stay's worst instant is lived through: her hull on her own rode,
//! snubber included, in gusts and sea of that strength for three hours ([`crate::ride::peaks`]). What the greatest load
//! of ten minutes comes to there, over what the balance says of the same instant, is a factor on the balance of every
//! instant of the stay:
//!
//! ```text
//! P = max(H_gust, ρ P_balance)        ρ = median greatest load of ten minutes, ridden / balance, at the worst instant
//! ```
//!
//! Gear is asked for more than one ten minutes: its parts are judged by the greatest load of an hour of the worst
//! weather, the 90th percentile of it over that of ten minutes being a second factor.
//!
//! Validity: she lies to the wind. Held by a stream or athwart she does not sheer as the ride has it: the balance
//! stays, and it is said. On a rode without give in a sea she is thrown and snatched at: the ride is then not to be
//! trusted ([`crate::ride::peaks`]), the greater of the two stands, and the sheet says what mends it. Chance: the
//! same words for every plan ([`crate::drawn`]).

use jiff::Timestamp;

use super::board::Board;
use super::conditions::{Water, Weather};
use super::laid::Laid;
use super::riding;
use crate::environment::heading::Lies;
use crate::environment::loads::WAVE_DRIFT_SHARE;
use crate::ride::body::Body;
use crate::ride::peaks::{Weathered, peaks};
use crate::units::Force;

/// Stretches of ten minutes that are lived through: the median of their greatest loads is then told to some 3 %.
const STRETCHES: u32 = 18;
/// A stretch, and the time for which gear is judged, h.
const STRETCH_H: f64 = 1.0 / 6.0;
const GEAR_H: f64 = 1.0;
/// More snatches than this among the greatest loads, and the ride is not trusted: half.
const SNATCHED: f64 = 0.5;
/// Friction of chain on the ground, N/N: the middle of 0.4 to 0.8 (design practice; from memory). It stills her
/// sheering in light weather and hardly moves the peak in heavy.
const FRICTION: f64 = 0.6;

/// The worst instant, lived through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ridden {
    /// Which.
    pub at: Timestamp,
    /// The peak by the balance of energy, median.
    pub by_balance: Force,
    /// The same as ridden: half of all ten minutes stay below.
    pub by_ride: Force,
    /// Greatest of an hour as ridden: nine in ten stay below.
    pub of_an_hour_p90: Force,
    /// Share of the tens of minutes whose greatest load was a snatch.
    pub snatched: f64,
    /// `ρ`.
    pub over_balance: f64,
    /// 90th percentile of the greatest of an hour over that of ten minutes.
    pub hour_over_stretch: f64,
}

impl Ridden {
    /// Whether the ride may be believed: she was not snatched at.
    pub fn is_trusted(&self) -> bool {
        self.snatched <= SNATCHED
    }
}

/// Why the peaks are by the balance alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotRidden {
    /// It is not known how she rides at any instant.
    Unknown,
    /// At the worst instant she does not lie to the wind.
    NotWindRode,
    /// The ride could not be begun.
    Refused,
}

/// Lives through the worst instant of what is laid.
pub(super) fn ridden(board: &Board<'_>, laid: &Laid) -> Result<Ridden, NotRidden> {
    let rides = board.known().filter_map(|(index, water, weather)| {
        Some((index, water, weather, laid.rides.get(index)?.as_ref()?))
    });
    let worst = rides.max_by(|a, b| a.3.peak_p90.as_newtons().total_cmp(&b.3.peak_p90.as_newtons()));
    let (index, water, weather, ride) = worst.ok_or(NotRidden::Unknown)?;
    if !matches!(weather.lie.lies, Lies::WindRode) {
        return Err(NotRidden::NotWindRode);
    }
    let case = weathered(board, laid, water, weather);
    let lived = peaks(&case, STRETCHES, &mut board.inputs.drawn.told()).map_err(|_| NotRidden::Refused)?;
    let by_ride = lived.quantile(STRETCH_H, 0.5);
    let ratio = |over: Force, under: Force| over.as_newtons() / under.as_newtons();
    let factor = ratio(by_ride, ride.peak);
    let trusted = lived.snatched <= SNATCHED;
    Ok(Ridden {
        at: board.conditions[index].at,
        by_balance: ride.peak,
        by_ride,
        of_an_hour_p90: lived.quantile(GEAR_H, 0.9),
        snatched: lived.snatched,
        over_balance: if trusted { factor } else { factor.max(1.0) },
        hour_over_stretch: ratio(lived.quantile(GEAR_H, 0.9), lived.quantile(STRETCH_H, 0.9)).max(1.0),
    })
}

fn weathered<'a>(board: &Board<'_>, laid: &'a Laid, water: Water, weather: &Weather) -> Weathered<'a> {
    let inputs = board.inputs;
    let ten_minutes = weather.ten_minutes;
    let sea = weather.sea;
    let waves = [sea.height.as_metres(), sea.period_s, water.depth.0.as_metres(), WAVE_DRIFT_SHARE];
    Weathered {
        body: Body::of_hull(
            &inputs.boat.hull,
            board.exposed.head_on.as_square_metres(),
            board.exposed.beam_ratio,
        ),
        line: &laid.line,
        height: water.depth.0 + riding::lead_height(inputs),
        friction: FRICTION,
        mean: ten_minutes.mean_at_windage,
        gust: ten_minutes.mean_at_windage + (ten_minutes.gust - weather.wind.mean),
        waves: (0.0 < waves[0] && 0.0 < waves[1]).then_some(waves),
    }
}

//! The greatest pull as a boat makes it that is ridden in time.
//!
//! The balance of energy in [`super::riding`] tells the peak of every instant for next to nothing, and rests on a guess
//! of how much of a gust's work is left in her. So the stay's hardest instants are lived through: her hull on her own
//! rode, snubber included, in gusts and sea of that strength for three hours each ([`crate::ride::peaks`]). What the
//! greatest load of ten minutes comes to there, over what the balance says of the same instant, is a factor on the
//! balance of every instant of the stay:
//!
//! ```text
//! P = max(H_gust, ρ P_balance)        ρ = the greatest of: median greatest load of ten minutes, ridden / balance
//! ```
//!
//! Ridden are the instant of the greatest balance and, where they are others, those of the greatest gust and of the
//! greatest sea: the balance errs otherwise on a gust than on a sea, and on chain alone by as much as a factor of two.
//! In lighter weather of the same kind it errs on the high side by more, so that `ρ` asks too much there.
//!
//! Gear is asked for more than one ten minutes: its parts are judged by the greatest load of an hour of the worst
//! weather, the 90th percentile of it over that of ten minutes being a second factor.
//!
//! Validity: she lies to the wind. Held by a stream or athwart she does not sheer as the ride has it: at such an
//! instant `ρ` lowers no balance, and if it is the worst the balance stays everywhere, and it is said. On a rode
//! without give in a sea she is thrown and snatched at: the ride is then not to be trusted
//! ([`crate::ride::peaks`]), the greater of the two stands, and the sheet says what mends it. Chance: the same words
//! for every plan ([`crate::drawn`]).

use jiff::Timestamp;

use super::board::Board;
use super::conditions::{Water, Weather};
use super::laid::Laid;
use super::riding::{self, Ride};
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

/// An instant is ridden besides the worst where its gust's load, or the speed of its sea, is greater by more than a
/// tenth: less moves the factor by no more than its own luck (3 %).
const OTHERWISE: f64 = 1.1;
/// And where the balance has it at half of the worst at least: from less than half no factor of those tried, 2.5 at
/// most where she is snatched at, makes much more than the worst.
const COUNTS: f64 = 0.5;

/// The hardest instants, lived through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ridden {
    /// The hardest of them as ridden.
    pub at: Timestamp,
    /// The peak by the balance of energy, median.
    pub by_balance: Force,
    /// The same as ridden: half of all ten minutes stay below.
    pub by_ride: Force,
    /// Greatest of an hour as ridden, the most probable.
    pub of_an_hour: Force,
    /// The same: nine in ten stay below.
    pub of_an_hour_p90: Force,
    /// Share of the tens of minutes whose greatest load was a snatch, where it is greatest.
    pub snatched: f64,
    /// `ρ`, where it is greatest.
    pub over_balance: f64,
    /// 90th percentile of the greatest of an hour over that of ten minutes, where it is greatest.
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

/// An instant of which it is known how she rides.
#[derive(Clone, Copy)]
struct Met<'a> {
    at: Timestamp,
    water: Water,
    weather: &'a Weather,
    ride: &'a Ride,
}

impl Met<'_> {
    fn wind_rode(&self) -> bool {
        matches!(self.ride.lies, Lies::WindRode)
    }
    fn balance_n(&self) -> f64 {
        self.ride.balance_p90.as_newtons()
    }
    fn gust_n(&self) -> f64 {
        self.ride.at_gust.horizontal().as_newtons()
    }
    fn sea_ms(&self) -> f64 {
        self.ride.surge.as_metres_per_second()
    }
}

/// Lives through the hardest instants of what is laid.
pub(super) fn ridden(board: &Board<'_>, laid: &Laid) -> Result<Ridden, NotRidden> {
    let mut hardest: Option<Ridden> = None;
    for met in tried(board, laid)? {
        let found = lived(board, laid, met)?;
        hardest = Some(hardest.map_or(found, |other| harder(other, found)));
    }
    hardest.ok_or(NotRidden::Unknown)
}

/// The worst instant by the balance, and those of the greatest gust and the greatest sea where these are others.
fn tried<'a>(board: &'a Board<'_>, laid: &'a Laid) -> Result<Vec<Met<'a>>, NotRidden> {
    let known = board.known().filter_map(|(index, water, weather)| {
        let ride = laid.rides.get(index)?.as_ref()?;
        Some(Met { at: board.conditions.get(index)?.at, water, weather, ride })
    });
    let all: Vec<Met<'a>> = known.collect();
    let worst = most(&all, Met::balance_n).ok_or(NotRidden::Unknown)?;
    if !worst.wind_rode() {
        return Err(NotRidden::NotWindRode);
    }
    let counts = |met: &Met<'a>| met.wind_rode() && COUNTS * worst.balance_n() <= met.balance_n();
    let counted: Vec<Met<'a>> = all.into_iter().filter(counts).collect();
    let mut tried = vec![worst];
    for of in [Met::gust_n as fn(&Met<'a>) -> f64, Met::sea_ms] {
        let otherwise = |met: &Met<'a>| tried.iter().all(|had| OTHERWISE * of(had) < of(met));
        let other = most(&counted, of).filter(otherwise);
        tried.extend(other);
    }
    Ok(tried)
}

/// That of which a figure is greatest.
fn most<'a>(among: &[Met<'a>], of: fn(&Met<'a>) -> f64) -> Option<Met<'a>> {
    among.iter().copied().max_by(|a, b| of(a).total_cmp(&of(b)))
}

/// Three hours of one instant. What a stream pulls besides is added: it is not ridden.
fn lived(board: &Board<'_>, laid: &Laid, met: Met<'_>) -> Result<Ridden, NotRidden> {
    let case = weathered(board, laid, met.water, met.weather);
    let lived = peaks(&case, STRETCHES, &mut board.inputs.drawn.told()).map_err(|_| NotRidden::Refused)?;
    let stream = met.weather.load.gust.stream.max(Force::ZERO);
    let by_ride = lived.quantile(STRETCH_H, 0.5) + stream;
    let ratio = |over: Force, under: Force| over.as_newtons() / under.as_newtons();
    let factor = ratio(by_ride, met.ride.balance);
    let trusted = lived.snatched <= SNATCHED;
    Ok(Ridden {
        at: met.at,
        by_balance: met.ride.balance,
        by_ride,
        of_an_hour: lived.most_probable(GEAR_H) + stream,
        of_an_hour_p90: lived.quantile(GEAR_H, 0.9) + stream,
        snatched: lived.snatched,
        over_balance: if trusted { factor } else { factor.max(1.0) },
        hour_over_stretch: ratio(lived.quantile(GEAR_H, 0.9), lived.quantile(STRETCH_H, 0.9)).max(1.0),
    })
}

/// Of two instants the figures of the harder, and the less favourable of what is laid on all.
fn harder(one: Ridden, other: Ridden) -> Ridden {
    let figures = if one.of_an_hour_p90 < other.of_an_hour_p90 { other } else { one };
    Ridden {
        snatched: one.snatched.max(other.snatched),
        over_balance: one.over_balance.max(other.over_balance),
        hour_over_stretch: one.hour_over_stretch.max(other.hour_over_stretch),
        ..figures
    }
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

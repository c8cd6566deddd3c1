//! A length of rode laid on the board: how she rides at every instant, the chance of dragging, water and room.

use jiff::Timestamp;

use super::board::Board;
use super::conditions::{Water, Weather};
use super::ridden::{NotRidden, Ridden, ridden};
use super::riding::{self, Ride};
use crate::catenary::{Bed, CatenaryError, Line};
use crate::chance::{
    ChanceError, ChanceOfDragging, DemandCurve, DemandError, DemandNode, GustPeak, InstantLoad, Stay,
    chance_of_dragging,
};
use crate::environment::heading::Lies;
use crate::environment::loads::{SWUNG, air_drag, wind_at_height};
use crate::environment::wind::WindAt;
use crate::swing::{self, Berthing, Region, RodeKind, Room};
use crate::units::{Angle, Force, Length, Speed};

/// Water levels this close are given one demand curve, at the deeper end: more water only lifts the shank more.
const HEIGHT_BIN: Length = Length::metres(0.25);
/// Slopes this close are given one demand curve, at the end that lifts the shank sooner: the falling one.
const SLOPE_BIN_DEG: f64 = 0.5;
/// Bow loads at which the rode is solved for a demand curve, from 30 N up by this factor: 24 rows reach 120 kN, past
/// what any gear of this size bears.
const LOAD_STEP: f64 = 1.434;
/// The first of them.
const FIRST_LOAD: Force = Force::newtons(30.0);
/// How many.
const LOADS: usize = 24;
/// A gust's share of the mean below which the mean no longer counts as the base of the gust's distribution: a squall
/// out of a calm has no mean to speak of.
const SQUALL_SHARE: f64 = 0.4;

/// A length of rode laid on the board.
#[derive(Clone, Debug)]
pub struct Laid {
    /// How much is veered.
    pub length: Length,
    /// The line from anchor to boat, snubber included.
    pub line: Line,
    /// How she rides at every instant, where that is known.
    pub rides: Vec<Option<Ride>>,
    /// The first instant that no ride could be worked out for though its water and weather are known, and why.
    pub no_ride: Option<(Timestamp, CatenaryError)>,
    /// What the ride through the worst instant makes of the peaks; why the balance alone stands, if it does.
    pub ridden: Result<Ridden, NotRidden>,
    /// Chance of dragging over the known instants; `None` when there are none or the ground cannot be said.
    pub chance: Option<ChanceOfDragging>,
    /// Why the chance could not be worked out, if it failed.
    pub no_chance: Option<ChanceError>,
}

impl Laid {
    /// Lays a line on a board.
    ///
    /// # Errors
    /// [`CatenaryError::ShorterThanHeight`] when it does not reach the bow at the highest water.
    pub(super) fn on(board: &Board<'_>, length: Length, line: Line) -> Result<Self, CatenaryError> {
        Ok(Self::riding_on(board, length, line)?.with_chance(board))
    }

    /// The same, the chance of dragging left out.
    pub(super) fn riding_on(board: &Board<'_>, length: Length, line: Line) -> Result<Self, CatenaryError> {
        if let Some(height) = board.greatest_height()
            && line.length() <= height
        {
            return Err(CatenaryError::ShorterThanHeight { length: line.length(), height });
        }
        Ok(Self::riding(board, length, line))
    }

    /// With the chance of dragging: it asks nothing of the peaks.
    pub(super) fn with_chance(self, board: &Board<'_>) -> Self {
        let all = each((0..self.rides.len()).filter(|&index| self.rides[index].is_some()));
        let (chance, no_chance) = match chance_over(board, &self.line, &all, 1.0) {
            Ok(chance) => (chance, None),
            Err(error) => (None, Some(error)),
        };
        Self { chance, no_chance, ..self }
    }

    /// How she rides at every instant of a board, the chance of dragging left out.
    pub(super) fn riding(board: &Board<'_>, length: Length, line: Line) -> Self {
        let mut rides = vec![None; board.conditions.len()];
        let mut no_ride = None;
        for (index, water, weather) in board.known() {
            match riding::ride(board.inputs, &line, water, weather) {
                Ok(ride) => rides[index] = Some(ride),
                Err(error) => {
                    let at = board.conditions[index].at;
                    no_ride.get_or_insert((at, error));
                }
            }
        }
        Self { length, line, rides, no_ride, ridden: Err(NotRidden::Unknown), chance: None, no_chance: None }
    }

    /// With peaks as she is ridden through the worst instant.
    pub(super) fn ridden_through(self, board: &Board<'_>) -> Self {
        let ridden = ridden(board, &self);
        self.ridden_like(ridden)
    }

    /// With peaks as another length of the same rode was ridden.
    pub(super) fn ridden_like(mut self, ridden: Result<Ridden, NotRidden>) -> Self {
        self.ridden = ridden;
        let Ok(found) = ridden else { return self };
        for ride in self.rides.iter_mut().flatten() {
            // A line that bore the balance's peak and cannot bear this one keeps the balance's: the instant that rules
            // is judged by the gear's own margin all the same.
            if let Ok(with) = ride.with_peaks(&self.line, found.over_balance) {
                *ride = with;
            }
        }
        self
    }

    /// Where she can be at an instant, on the unfavourable side; `None` where it is not known how she rides.
    pub fn region(&self, board: &Board<'_>, index: usize) -> Option<Region> {
        self.region_of(board, index, 1.0)
    }

    /// Where she can be at an instant while the wind keeps within a share of its spread, and she of her sheer.
    pub(super) fn region_of(&self, board: &Board<'_>, index: usize, share: f64) -> Option<Region> {
        let conditions = board.conditions.get(index)?;
        let ride = self.rides.get(index)?.as_ref()?;
        let weather = conditions.weather.as_ref().ok()?;
        let whole = berthing(board, ride, weather);
        let berthing = Berthing { spread: whole.spread * share, sheer: whole.sheer * share, ..whole };
        let anyhow = matches!(weather.lie.lies, Lies::LightAir | Lies::Athwart);
        // A measure that cannot be is refused by the swing: then nothing is known of where she can be.
        if anyhow { swing::circle(&berthing).ok() } else { swing::sector(&berthing).ok() }
    }

    /// Least water under the keel at an instant over all she can reach, on the unfavourable side; where it is not
    /// known how she rides, over the whole circle that her rode could reach.
    pub fn under_keel(&self, board: &Board<'_>, index: usize) -> Option<Length> {
        let conditions = board.conditions.get(index)?;
        let water = conditions.water?;
        let trough = conditions.weather.as_ref().map_or(Length::ZERO, |weather| weather.sea.height * 0.5);
        let region = self.region(board, index).or_else(|| anywhere(board, self.line.length(), water))?;
        let slope = board.inputs.slope.unwrap_or_else(super::inputs::Slope::level);
        let draught = board.inputs.boat.hull.draught;
        Some(region.least_under_keel(water.low(), slope.angle, slope.uphill, draught) - trough)
    }

    /// Room to every danger and neighbour at an instant.
    pub fn rooms(&self, board: &Board<'_>, index: usize) -> Vec<Room> {
        let Some(region) = self.region(board, index) else { return Vec::new() };
        let dangers = board.inputs.dangers.iter().map(|danger| region.room_to_danger(danger));
        let neighbours =
            board.inputs.neighbours.iter().filter_map(|neighbour| region.room_to_neighbour(neighbour).ok());
        dangers.chain(neighbours).collect()
    }
}

/// How she lies at an instant, as the swing wants it.
fn berthing(board: &Board<'_>, ride: &Ride, weather: &Weather) -> Berthing {
    let hull = board.inputs.boat.hull;
    let rope = !board.inputs.gear.rode.is_all_chain();
    Berthing {
        reach_low: ride.reach_low.min(ride.reach_high),
        reach_high: ride.reach_high,
        lie: weather.lie.pull,
        spread: weather.lie.spread,
        sheer: board.exposed.sheer,
        length_overall: hull.length_overall,
        beam: hull.beam,
        rode: if rope { RodeKind::Rope } else { RodeKind::Chain },
        wind: Some(weather.wind.mean),
        height: ride.height,
    }
}

/// Anywhere that a taut rode lets her be.
fn anywhere(board: &Board<'_>, rode: Length, water: Water) -> Option<Region> {
    let hull = board.inputs.boat.hull;
    let height = water.low().0 + riding::lead_height(board.inputs);
    swing::circle(&Berthing {
        reach_low: Length::ZERO,
        reach_high: rode,
        lie: crate::units::Bearing::degrees(0.0),
        spread: Angle::degrees(180.0),
        sheer: Angle::degrees(180.0),
        length_overall: hull.length_overall,
        beam: hull.beam,
        rode: RodeKind::Rope,
        wind: None,
        height: height.max(Length::ZERO),
    })
    .ok()
}

/// An instant that speaks for some stretches of ten minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// Its place among all instants.
    pub(super) index: usize,
    /// The first of those that it speaks for.
    pub(super) first: usize,
    /// How many stretches it speaks for.
    pub(super) count: u32,
}

/// Every stretch for itself.
pub(super) fn each(indices: impl Iterator<Item = usize>) -> Vec<Stretch> {
    indices.map(|index| Stretch { index, first: index, count: 1 }).collect()
}

/// Stretches that one instant may speak for in a search.
const MOST_TOGETHER: u32 = 6;
/// How far pulls may part for one instant to speak for them.
const PULLS_TOGETHER: Angle = Angle::degrees(10.0);

/// The instants whose gusts can matter beside the stay's worst, those alike and next to each other told by the worst
/// of them: what searches go by.
///
/// Left out are those with less than half the load of the worst: the chance falls so steeply with load that they add
/// nothing that would move a metre of rode. Told together are no more than [`MOST_TOGETHER`], all with the greatest
/// load among them, in water that differs by half a metre at most. What a search finds is laid and judged in full
/// again.
pub(super) fn telling(board: &Board<'_>) -> Vec<Stretch> {
    let gust_n = |weather: &Weather| weather.load.gust.total().as_newtons();
    let most = board.known().map(|(_, _, weather)| gust_n(weather)).fold(0.0, f64::max);
    let mut told: Vec<Stretch> = Vec::new();
    let mut worst: Option<(Water, &Weather)> = None;
    for (index, water, weather) in board.known() {
        if gust_n(weather) < most * 0.5 {
            worst = None;
            continue;
        }
        let joined = match (told.last_mut(), worst) {
            (Some(last), Some((known_water, known)))
                if last.count < MOST_TOGETHER
                    && known.lie.pull.to(weather.lie.pull).abs() <= PULLS_TOGETHER
                    && (water.depth.0 - known_water.depth.0).abs() <= HEIGHT_BIN * 2.0 =>
            {
                last.count += 1;
                if gust_n(known) < gust_n(weather) {
                    last.index = index;
                    worst = Some((water, weather));
                }
                true
            }
            _ => false,
        };
        if !joined {
            told.push(Stretch { index, first: index, count: 1 });
            worst = Some((water, weather));
        }
    }
    told
}

/// The chance over some instants; `None` for none of them, or where the ground's holding cannot be said.
pub(super) fn chance_over(
    board: &Board<'_>,
    line: &Line,
    stretches: &[Stretch],
    wind_scale: f64,
) -> Result<Option<ChanceOfDragging>, ChanceError> {
    let Ok(holding) = board.holding else { return Ok(None) };
    let Terms { instants, curves, places } = chance_terms(board, line, stretches, wind_scale)?;
    if instants.is_empty() {
        return Ok(None);
    }
    let chance = chance_of_dragging(&Stay {
        instants: &instants,
        curves: &curves,
        holding,
        spreads: board.spreads,
        proof: board.inputs.proof.as_ref(),
        failing_to_set: board.failing_to_set,
    })?;
    Ok(Some(spread_out(&chance, &places, board.conditions.len())))
}

/// Loads and demand curves of some instants.
pub(super) struct Terms {
    pub(super) instants: Vec<InstantLoad>,
    pub(super) curves: Vec<DemandCurve>,
    /// Where each of them stands among all instants.
    pub(super) places: Vec<usize>,
}

/// The loads of those instants at which she can be said to ride; an instant stands for as many stretches of ten minutes
/// as the step to the next holds.
///
/// # Errors
/// [`ChanceError::Demand`] if it cannot be told what loads do at the anchor: no instant is left out for that.
pub(super) fn chance_terms(
    board: &Board<'_>,
    line: &Line,
    stretches: &[Stretch],
    wind_scale: f64,
) -> Result<Terms, ChanceError> {
    let to_the_next = board.inputs.step.as_secs_f64() / super::inputs::STEP.as_secs_f64();
    let mut curves = Curves::default();
    let mut instants = Vec::with_capacity(stretches.len());
    let mut places = Vec::with_capacity(stretches.len());
    for &Stretch { index, count, .. } in stretches {
        let conditions = &board.conditions[index];
        let (Some(water), Ok(weather)) = (conditions.water, &conditions.weather) else { continue };
        let curve = curves.place(board, line, water, weather)?;
        let Some(load) = instant_load(board, weather, wind_scale, curve) else { continue };
        instants.push(InstantLoad { renewals: f64::from(count) * to_the_next, ..load });
        places.push(index);
    }
    Ok(Terms { instants, curves: curves.curves, places })
}

/// The shares of the instants that were looked at, put back in their places among all.
fn spread_out(chance: &ChanceOfDragging, places: &[usize], count: usize) -> ChanceOfDragging {
    let mut by_instant = vec![0.0; count];
    for (&place, &share) in places.iter().zip(&chance.by_instant) {
        by_instant[place] = share;
    }
    let worst_instant = chance.worst_instant.and_then(|worst| places.get(worst).copied());
    ChanceOfDragging { by_instant, worst_instant, ..*chance }
}

/// The load of an instant as the chance wants it: wind head on at its mean, and upon it the distribution of the gust
/// that would load her, without her moving, as much as the gust and her own motion do.
///
/// Where she does not lie to the wind, the wind's part is scaled so that the gust's load is that of how she does lie.
fn instant_load(board: &Board<'_>, weather: &Weather, wind_scale: f64, curve: usize) -> Option<InstantLoad> {
    let exposed = &board.exposed;
    let ten = &weather.ten_minutes;
    let felt = WindAt { gust: ten.gust, ..weather.wind };
    let (mean, gust) = wind_at_height(&felt, exposed.centroid)?;
    let felt_ms = (mean + (gust - mean) * SWUNG).as_metres_per_second();
    let base_ms = mean.as_metres_per_second().max(felt_ms * SQUALL_SHARE);
    let (location, scale) = if 0.0 < base_ms {
        ((felt_ms / base_ms).max(1.0), SWUNG * ten.scale.as_metres_per_second() / base_ms)
    } else {
        (1.0, 0.0)
    };
    let of = |speed_ms: f64| air_drag(exposed.head_on, Speed::metres_per_second(speed_ms));
    let as_she_lies =
        if Force::ZERO < of(felt_ms) { (weather.load.gust.wind / of(felt_ms)).max(1.0) } else { 1.0 };
    Some(InstantLoad {
        wind: of(base_ms) * (as_she_lies * wind_scale * wind_scale),
        other: weather.load.gust.stream + weather.load.gust.sea,
        gust: GustPeak { location, scale },
        renewals: 1.0,
        forecast_sigma_ln: weather.forecast_sigma_ln,
        toward: weather.lie.pull,
        curve,
    })
}

/// Demand curves by bins of height and slope.
#[derive(Default)]
struct Curves {
    keys: Vec<(i64, i64)>,
    curves: Vec<DemandCurve>,
}

impl Curves {
    /// The place of the curve for a water and slope; worked out when first asked for.
    fn place(
        &mut self,
        board: &Board<'_>,
        line: &Line,
        water: Water,
        weather: &Weather,
    ) -> Result<usize, DemandError> {
        let height = water.high().0 + riding::lead_height(board.inputs);
        let slope = riding::slope_towards(board.inputs, weather);
        #[expect(clippy::cast_possible_truncation, reason = "heights and slopes of an anchorage, in bins")]
        let key = ((height / HEIGHT_BIN).ceil() as i64, (slope.as_degrees() / SLOPE_BIN_DEG).floor() as i64);
        if let Some(place) = self.keys.iter().position(|&known| known == key) {
            return Ok(place);
        }
        let bin_height = (HEIGHT_BIN * key.0 as f64).min(line.length() * 0.999);
        let bed = Bed { slope: Angle::degrees(key.1 as f64 * SLOPE_BIN_DEG), friction: 0.0 };
        let curve = demand_curve(line, height.max(bin_height), &bed)
            .or_else(|_| demand_curve(line, height, &Bed { slope, friction: 0.0 }))?;
        self.keys.push(key);
        self.curves.push(curve);
        Ok(self.curves.len() - 1)
    }
}

/// What bow loads do at the anchor; rows end where the rode can no longer be solved (it has stretched to twice its
/// length), and loads beyond count as more than the ground holds.
fn demand_curve(line: &Line, height: Length, bed: &Bed) -> Result<DemandCurve, DemandError> {
    let mut nodes: Vec<DemandNode> = Vec::with_capacity(LOADS);
    let mut bow = FIRST_LOAD;
    for _ in 0..LOADS {
        let Ok(lie) = line.under_load(height, bow, bed) else { break };
        let node = DemandNode { bow, chain_lying: weight_lying(line, lie.grounded()), uplift: lie.uplift() };
        // The last digits of two solves may turn back where nothing changes.
        let uplift = nodes.last().map_or(node.uplift, |last| last.uplift.max(node.uplift));
        nodes.push(DemandNode { uplift, ..node });
        bow = bow * LOAD_STEP;
    }
    DemandCurve::new(&nodes)
}

/// Weight in water of what lies on the ground, from the anchor.
fn weight_lying(line: &Line, grounded: Length) -> Force {
    let mut left = grounded;
    let mut weight = Force::ZERO;
    for segment in line.segments() {
        let lying = left.min(segment.length).max(Length::ZERO);
        weight += segment.weight * lying;
        left -= lying;
    }
    weight.max(Force::ZERO)
}

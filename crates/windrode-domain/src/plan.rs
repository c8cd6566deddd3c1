//! The plan of a stay: from boat, gear, place, water and wind to one sheet that says how she lies.
//!
//! ```text
//! inputs ──> board: conditions of every instant, holding, spreads     nothing of it depends on the rode's length
//!              │ choose: how much to veer
//!              ▼
//!            laid: how she rides at every instant; the worst of them ridden in time ‖ the chance of dragging
//!              │ over_stay: water under the keel, room        part_lines: what gives first
//!              ▼
//!            findings: reasons with their remedies, each solved for by laying again ──> sheet
//! ```

pub mod limits;
pub mod inputs;
pub mod conditions;
pub mod riding;
pub mod ridden;
pub mod board;
pub mod laid;
pub mod choose;
pub mod over_stay;
mod part_lines;
mod findings;
mod bow_table;
mod pictures;
mod telling;
pub mod moment;
pub mod sheet;
pub mod explain;

pub use bow_table::UPLIFT_ALLOWED;

use crate::environment::almanac::{SunEventKind, sun_events};
use crate::environment::loads::table_load;
use crate::environment::tide::HighOrLow;
use crate::units::{Angle, Force, Speed};
use board::Board;
use choose::Chosen;
use findings::{Found, Remedies};
use inputs::{Foretold, Inputs};
use laid::Laid;
use over_stay::OverStay;
use ridden::NotRidden;
use sheet::{BowLoad, Finding, Instant, Riding, SeaNow, Sheet, StayChance, StreamNow, TideTurn, WindNow};

/// Plans a stay.
///
/// Always a sheet: what is wanting or impossible in the inputs stands on it as a finding.
///
/// # Validity
/// A single anchor ahead, boats of 8 to 20 m, ground within 30° of level. The models' own limits are theirs to say;
/// what is asked beyond them is a finding too.
pub fn plan(inputs: &Inputs) -> Sheet {
    planned(inputs).0
}

/// Plans a stay, and keeps the rode as it was laid, so that [`moment::moment`] can tell any instant of it; `None` where
/// nothing could be laid.
///
/// # Validity
/// As [`plan`].
pub fn planned(inputs: &Inputs) -> (Sheet, Option<Laid>) {
    planned_by(inputs, &OneAfterTheOther)
}

/// Who does two things that do not depend on each other. The domain has no threads: whoever has them may bring them.
pub trait Hands {
    /// Does both.
    fn both<A: Send, B: Send>(
        &self,
        one: impl FnOnce() -> A + Send,
        other: impl FnOnce() -> B + Send,
    ) -> (A, B);
}

/// Two hands that do one thing after the other.
#[derive(Clone, Copy, Debug)]
pub struct OneAfterTheOther;

impl Hands for OneAfterTheOther {
    fn both<A: Send, B: Send>(
        &self,
        one: impl FnOnce() -> A + Send,
        other: impl FnOnce() -> B + Send,
    ) -> (A, B) {
        (one(), other())
    }
}

/// The same as [`planned`], by whoever's hands; the numbers do not depend on them.
///
/// # Validity
/// As [`plan`].
pub fn planned_by(inputs: &Inputs, hands: &impl Hands) -> (Sheet, Option<Laid>) {
    told(inputs, hands, Remedies::Sought)
}

/// The same as [`planned_by`] while something is being tried, for the eye to follow: every figure and the word are the
/// same; the remedies that take a search (more rode, a set, a time to leave, the gust that she stands, less rode) are
/// left out.
///
/// # Validity
/// As [`plan`].
pub fn glimpsed_by(inputs: &Inputs, hands: &impl Hands) -> (Sheet, Option<Laid>) {
    told(inputs, hands, Remedies::NotSought)
}

fn told(inputs: &Inputs, hands: &impl Hands, remedies: Remedies) -> (Sheet, Option<Laid>) {
    let board = Board::of(inputs);
    let (chosen, of_chance) = lived_through(&board, choose::unridden(&board), hands, remedies);
    let (parts, no_parts) = match chosen.laid.as_ref().map(|laid| part_lines::part_lines(&board, laid)) {
        Some(Ok(parts)) => (parts, None),
        Some(Err(error)) => (Vec::new(), Some(error)),
        None => (Vec::new(), None),
    };
    let over = chosen.laid.as_ref().map(|laid| OverStay::of(&board, laid, hands));
    let over_stay = over.as_ref();
    let found = Found { board: &board, chosen: &chosen, over: over_stay, parts: &parts, no_parts, remedies };
    let (verdict, findings) = findings::findings(found, of_chance);
    let laid = chosen.laid.as_ref();
    let sheet = Sheet {
        head: telling::head(inputs),
        verdict,
        findings,
        veer: telling::veer(&board, &chosen, &parts),
        chance: laid.and_then(|laid| stay_chance(&board, laid)),
        ridden: laid.map_or(Err(NotRidden::Unknown), |laid| laid.ridden),
        parts,
        limits: inputs.limits,
        instants: instants(&board, chosen.laid.as_ref(), over.as_ref()),
        turns: turns(inputs),
        sun: sun_events(inputs.anchor_at, inputs.span)
            .into_iter()
            .map(|event| (event.at, sun_word(event.kind)))
            .collect(),
        proved_gust: findings::proved_gust(&board),
        band_begins_gust: band_begins(&board),
        table_load: design_table(&board),
        density: pictures::density(&board, laid),
        marks: pictures::marks(&board, over.as_ref()),
        curves: pictures::curves(&board, laid),
        ground_slope: worst_slope(laid),
        bow_table: bow_table::bow_table(&board),
        rules: telling::rules(&board),
        provenance: telling::provenance(&board),
        reminders: telling::all_reminders(&board),
        dark: board.dark.clone(),
    };
    (sheet, chosen.laid)
}

/// The worst lived through by one hand, the chance of dragging and what it calls for worked out by the other: neither
/// asks anything of the other.
fn lived_through(
    board: &Board<'_>,
    chosen: Chosen,
    hands: &impl Hands,
    remedies: Remedies,
) -> (Chosen, Vec<Finding>) {
    let Chosen { laid: Some(laid), failed } = chosen else { return (chosen, Vec::new()) };
    let of_chance = || {
        let chosen = Chosen { laid: Some(laid.clone().with_chance(board)), failed };
        let found = Found { board, chosen: &chosen, over: None, parts: &[], no_parts: None, remedies };
        let findings = findings::of_chance(found);
        (chosen, findings)
    };
    let (ridden, (chosen, findings)) = hands.both(|| ridden::ridden(board, &laid), of_chance);
    (Chosen { laid: chosen.laid.map(|laid| laid.ridden_like(ridden)), failed }, findings)
}

fn stay_chance(board: &Board<'_>, laid: &Laid) -> Option<StayChance> {
    let chance = laid.chance.as_ref()?;
    let worst = chance.worst_instant.unwrap_or(0);
    Some(StayChance {
        band: chance.band,
        failing_to_set: board.inputs.proof.is_none().then_some(board.failing_to_set.value),
        worst: board.conditions.get(worst)?.at,
    })
}

fn instants(board: &Board<'_>, laid: Option<&Laid>, over: Option<&OverStay>) -> Vec<Instant> {
    let one = |index: usize| {
        let conditions = &board.conditions[index];
        Instant {
            at: conditions.at,
            tide: conditions.water.map(|water| water.tide.0),
            water: conditions.water.map(|water| water.depth.0),
            under_keel: over.and_then(|over| *over.under_keel.get(index)?),
            riding: laid.and_then(|laid| riding_of(board, laid, index)),
            least_room: over.and_then(|over| over.nearest.get(index)?.clone()),
            dark: board.dark.iter().any(|span| span.contains(conditions.at)),
        }
    };
    (0..board.conditions.len()).map(one).collect()
}

fn riding_of(board: &Board<'_>, laid: &Laid, index: usize) -> Option<Riding> {
    let weather = board.conditions.get(index)?.weather.as_ref().ok()?;
    let ride = laid.rides.get(index)?.as_ref()?;
    let settled = weather.lie.spread < Angle::degrees(180.0);
    Some(Riding {
        wind: WindNow {
            mean: weather.wind.mean,
            gust: weather.wind.gust,
            from: weather.wind.from,
            gust_origin: weather.wind.gust_origin,
        },
        stream: StreamNow {
            speed: weather.stream.map_or(Speed::ZERO, |stream| stream.speed),
            towards: weather.stream.map(|stream| stream.set),
        },
        sea: SeaNow { height: weather.sea.height, period_s: weather.sea.period_s },
        load: BowLoad {
            steady: weather.load.steady.total(),
            gust: weather.load.gust.total(),
            peak: ride.peak,
        },
        load_p90: BowLoad {
            steady: ride.steady_p90,
            gust: ride.at_gust_p90.horizontal(),
            peak: ride.peak_p90,
        },
        heading: settled.then_some(weather.lie.heading),
        heading_spread: weather.lie.spread,
        lies: weather.lie.lies,
        reach: ride.at_gust.distance(),
        uplift: ride.at_gust.uplift(),
        grounded: ride.at_gust.grounded(),
        tension: ride.tension_p90,
        hazard: laid.chance.as_ref().and_then(|chance| chance.by_instant.get(index).copied()).unwrap_or(0.0),
    })
}

fn turns(inputs: &Inputs) -> Vec<TideTurn> {
    let Foretold::Known(tide) = &inputs.tide else { return Vec::new() };
    // A tide that cannot be told is a finding of its own.
    let events = tide.events(inputs.span).unwrap_or_default();
    let turn = |event: crate::environment::tide::TideEvent| TideTurn {
        at: event.at,
        high: event.kind == HighOrLow::High,
        height: event.height.0,
    };
    events.into_iter().map(turn).collect()
}

const fn sun_word(kind: SunEventKind) -> &'static str {
    match kind {
        SunEventKind::NauticalDawn => "nautical dawn",
        SunEventKind::CivilDawn => "civil dawn",
        SunEventKind::Sunrise => "sunrise",
        SunEventKind::Sunset => "sunset",
        SunEventKind::CivilDusk => "civil dusk",
        SunEventKind::NauticalDusk => "nautical dusk",
    }
}

/// The gust whose load is the holding that nine in ten exceed.
fn band_begins(board: &Board<'_>) -> Option<Speed> {
    findings::gust_of(board, board.holding.as_ref().ok()?.quantile(0.1))
}

/// The published design table at the strongest mean wind of the stay: it holds surge and gust already.
fn design_table(board: &Board<'_>) -> Option<Force> {
    let strongest = board.known().map(|(_, _, weather)| weather.wind.mean).reduce(Speed::max)?;
    let hull = board.inputs.boat.hull;
    table_load(hull.length_overall, hull.beam, hull.kind, strongest).map(|table| table.load)
}

fn worst_slope(laid: Option<&Laid>) -> Angle {
    let rides = laid.into_iter().flat_map(|laid| laid.rides.iter().flatten());
    let worst =
        rides.max_by(|a, b| a.peak_p90.as_newtons().total_cmp(&b.peak_p90.as_newtons())).map(|r| r.slope);
    worst.unwrap_or(Angle::ZERO)
}

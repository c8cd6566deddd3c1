//! What the three drawings show that is not a figure of an instant: where she can lie, what lies about her, and the
//! rode as it hangs at the moments worth seeing.

use jiff::Timestamp;

use super::board::Board;
use super::laid::Laid;
use super::over_stay::OverStay;
use super::riding::{self, Ride};
use super::sheet::{CurvePoint, LieDensity, Mark, MarkOnRode, RodeCurve, SectorShare};
use crate::catenary::{Bed, Lie, ShapePoint};
use crate::position::Offset;
use crate::swing::neighbour::{GUESSED_LENGTH, Neighbour, Place};
use crate::swing::{Danger, DangerShape};
use crate::units::{Force, Length};

/// Sectors about the anchor: 5° each.
const SECTORS: u16 = 72;
/// Rode over height of a neighbour who does not say: what is usual on chain in fair weather (common practice).
const NEIGHBOURS_SCOPE: f64 = 5.0;
/// Points along a drawn rode: a step of a metre or so.
const POINTS: usize = 60;

/// Where her bow can bear from the anchor over the stay, with the reaches that go with it.
pub(super) fn density(board: &Board<'_>, laid: Option<&Laid>) -> LieDensity {
    let empty = SectorShare { share: 0.0, reach_low: Length::ZERO, reach_high: Length::ZERO };
    let mut sectors = vec![empty; usize::from(SECTORS)];
    let Some(laid) = laid else { return LieDensity { sectors } };
    let width_deg = 360.0 / f64::from(SECTORS);
    let mut instants = 0.0;
    for (index, _, weather) in board.known() {
        let Some(Some(ride)) = laid.rides.get(index) else { continue };
        instants += 1.0;
        let middle = |sector: usize| crate::units::Bearing::degrees((sector as f64 + 0.5) * width_deg);
        let half = weather.lie.spread.as_degrees() + width_deg / 2.0;
        let within = |&sector: &usize| weather.lie.pull.to(middle(sector)).abs().as_degrees() <= half;
        let hit: Vec<usize> = (0..usize::from(SECTORS)).filter(within).collect();
        for &sector in &hit {
            let share = &mut sectors[sector];
            let first = share.share == 0.0;
            share.share += 1.0 / hit.len() as f64;
            share.reach_low = if first { ride.reach_low } else { share.reach_low.min(ride.reach_low) };
            share.reach_high = share.reach_high.max(ride.reach_high);
        }
    }
    for sector in &mut sectors {
        sector.share /= f64::max(instants, 1.0);
    }
    LieDensity { sectors }
}

/// Dangers and neighbours, with the least room to each.
pub(super) fn marks(board: &Board<'_>, over: Option<&OverStay>) -> Vec<Mark> {
    let least = |name: &str| over?.least.iter().find(|least| least.room.to == name);
    let dangers = board.inputs.dangers.iter().map(danger);
    let height = board.greatest_height().unwrap_or(Length::ZERO);
    let neighbours = board.inputs.neighbours.iter().map(|him| neighbour(him, height));
    dangers
        .chain(neighbours)
        .map(|mark| match least(&mark.name) {
            Some(to) => Mark {
                least: Some((to.room.least, to.at)),
                assumed: to.room.assumed.iter().map(ToString::to_string).collect(),
                ..mark
            },
            None => mark,
        })
        .collect()
}

fn bare(name: &str, outline: Vec<Offset>) -> Mark {
    Mark {
        name: name.to_owned(),
        outline,
        radius: Length::ZERO,
        swings_about: None,
        length: None,
        reach: None,
        least: None,
        assumed: Vec::new(),
    }
}

fn danger(danger: &Danger) -> Mark {
    match danger.shape() {
        DangerShape::Point { at, radius } => Mark { radius: *radius, ..bare(danger.name(), vec![*at]) },
        DangerShape::Line(points) => bare(danger.name(), points.clone()),
        DangerShape::Area(border) => {
            let closed = border.iter().chain(border.first()).copied().collect();
            bare(danger.name(), closed)
        }
    }
}

/// A neighbour where he is or was seen, and about where his anchor must then lie: up wind of him by his rode, told or
/// taken at [`NEIGHBOURS_SCOPE`]. Drawn only; room is reckoned with the whole band of what he may have out.
fn neighbour(neighbour: &Neighbour, height: Length) -> Mark {
    let veered = neighbour.veered.unwrap_or(height * NEIGHBOURS_SCOPE);
    let (at, about) = match neighbour.place {
        Place::Anchor { at, .. } => (at, Some(at)),
        Place::Seen { at, wind_from, .. } => {
            let half = neighbour.length.unwrap_or(GUESSED_LENGTH) * 0.5;
            (at, wind_from.map(|from| at + Offset::along(from, veered + half)))
        }
    };
    Mark {
        swings_about: about,
        length: Some(neighbour.length.unwrap_or(GUESSED_LENGTH)),
        reach: Some(veered),
        ..bare(&neighbour.name, vec![at])
    }
}

/// The rode in the worst gust, and in the lightest air.
pub(super) fn curves(board: &Board<'_>, laid: Option<&Laid>) -> Vec<RodeCurve> {
    let Some(laid) = laid else { return Vec::new() };
    let rides = || laid.rides.iter().enumerate().filter_map(|(index, ride)| Some((index, ride.as_ref()?)));
    let by_gust = |ride: &Ride| ride.at_gust_p90.horizontal().as_newtons();
    let by_steady = |ride: &Ride| ride.at_steady.horizontal().as_newtons();
    let worst = rides().max_by(|a, b| by_gust(a.1).total_cmp(&by_gust(b.1)));
    let lightest = rides().min_by(|a, b| by_steady(a.1).total_cmp(&by_steady(b.1)));
    let mut curves = Vec::new();
    if let Some((index, ride)) = worst {
        curves.extend(curve(board, laid, ("worst gust", index), &ride.at_gust_p90));
    }
    if let Some((index, ride)) = lightest {
        curves.extend(curve(board, laid, ("lightest air", index), &ride.at_steady));
    }
    curves
}

/// The rode at an instant's predicted water under the horizontal load of a lie, on the ground as it slopes the way of
/// the worst moment: the drawing shows one ground.
fn curve(
    board: &Board<'_>,
    laid: &Laid,
    (caption, index): (&'static str, usize),
    lie: &Lie,
) -> Option<RodeCurve> {
    let conditions = board.conditions.get(index)?;
    let depth = conditions.water?.depth.0;
    let slope = super::worst_slope(Some(laid));
    let height = depth + riding::lead_height(board.inputs);
    let at_depth = laid.line.under_load(height, lie.horizontal(), &Bed { slope, friction: 0.0 }).ok()?;
    Some(drawn(board, laid, (caption, conditions.at, depth), &at_depth))
}

pub(super) fn drawn(
    board: &Board<'_>,
    laid: &Laid,
    (caption, at, water): (&'static str, Timestamp, Length),
    lie: &Lie,
) -> RodeCurve {
    let stations = mark_stations(board, laid.length);
    let points = laid.line.shape(lie, POINTS, &stations);
    let place = |along: Length| nearest(&points, along);
    let looks = |station: Length| {
        let mark = board.inputs.gear.rode.marks.as_ref()?.at(station)?;
        let looks = mark.looks.unwrap_or_else(|| mark.count.to_string());
        Some(MarkOnRode { along: station, place: place(station)?, looks })
    };
    RodeCurve {
        caption,
        at,
        marks: stations.iter().filter_map(|&station| looks(station)).collect(),
        snubber_from: board.inputs.gear.snubber.as_ref().and_then(|_| place(laid.length)),
        points: points.iter().map(point).collect(),
        water,
        uplift: lie.uplift(),
        load: Force::newtons(lie.horizontal().as_newtons()),
    }
}

/// Where the marks stand on what is out.
fn mark_stations(board: &Board<'_>, out: Length) -> Vec<Length> {
    let Some(marks) = &board.inputs.gear.rode.marks else { return Vec::new() };
    let every = marks.every;
    let stations = core::iter::successors(Some(every), |&last| Some(last + every));
    stations.take_while(|&station| Length::ZERO < every && station <= out).collect()
}

fn point(point: &ShapePoint) -> CurvePoint {
    CurvePoint { x: point.x, z: point.z }
}

fn nearest(points: &[ShapePoint], along: Length) -> Option<CurvePoint> {
    let off = |p: &ShapePoint| (p.along - along).abs().as_metres();
    points.iter().min_by(|a, b| off(a).total_cmp(&off(b))).map(point)
}

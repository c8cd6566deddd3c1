//! The ground, and what lies about the berth.

use windrode_domain::environment::forecast::Forecast;
use windrode_domain::environment::wind::Exposure;
use windrode_domain::plan::inputs::Slope;
use windrode_domain::position::{Offset, Position};
use windrode_domain::seabed::Bottom;
use windrode_domain::swing::neighbour::{LIGHT_AIR, Neighbour, NeighbourRode, Part, Place};
use windrode_domain::swing::{Danger, DangerShape};
use windrode_domain::uncertain::Origin;
use windrode_domain::units::{Angle, Bearing, Length};

use super::{kept, meaning, problem};
use crate::files::choices;
use crate::files::source::{Located, Problem};
use crate::files::stay::{DangerGiven, GroundGiven, NeighbourGiven, Shape, StayFile, Whereabouts};

/// To within what a neighbour's place is told: by eye, or by a radar's ring. Common practice, no source.
const SEEN_WITHIN: Length = Length::metres(5.0);

/// The bottom, unknown when nothing is told of it.
pub(super) fn bottom(ground: Option<&GroundGiven>, problems: &mut Vec<Problem>) -> Bottom {
    let Some(ground) = ground else { return Bottom::unknown() };
    let words: Vec<&Located<String>> = ground.quality.iter().chain(&ground.nature).collect();
    for said in &words {
        if let Err(errors) = Bottom::parse(&said.value, Origin::Given) {
            problems.extend(errors.iter().map(|error| said.problem(error.to_string())));
        }
    }
    let all: Vec<&str> = words.iter().map(|said| said.value.as_str()).collect();
    let told = Bottom::parse(&all.join(" "), Origin::Given).ok().filter(|_| !words.is_empty());
    let told = told.unwrap_or_else(Bottom::unknown);
    let weed = ground.weed.as_ref().and_then(|said| kept(meaning(said, &choices::WEED), problems));
    Bottom { weed: told.weed || weed.unwrap_or(false), ..told }
}

/// How the ground slopes.
pub(super) fn slope(stay: &StayFile, problems: &mut Vec<Problem>) -> Option<Slope> {
    let depth = stay.depth.as_ref()?;
    match (depth.slope, depth.uphill) {
        (Some(angle), Some(uphill)) => Some(Slope { angle, uphill }),
        (Some(angle), None) if angle <= Angle::ZERO => Some(Slope::level()),
        (Some(_), None) => {
            let text = "is missing beside slope (give the true bearing in which the ground rises)";
            problems.push(problem(stay, "depth.uphill", text));
            None
        }
        (None, _) => None,
    }
}

/// What she must not touch.
pub(super) fn dangers(stay: &StayFile, problems: &mut Vec<Problem>) -> Vec<Danger> {
    let made = stay.dangers.iter().enumerate().map(|(index, told)| {
        let made = danger(stay.position, told);
        made.map_err(|error| problem(stay, &format!("danger[{}]", index + 1), error.to_string()))
    });
    made.filter_map(|made| kept(made, problems)).collect()
}

fn danger(anchor: Position, told: &DangerGiven) -> Result<Danger, windrode_domain::swing::SwingError> {
    let offsets = |points: &[Position]| points.iter().map(|&point| anchor.offset_of(point)).collect();
    let shape = match &told.shape {
        Shape::Point(place) => DangerShape::Point { at: offset(anchor, *place), radius: Length::ZERO },
        Shape::Line(points) => DangerShape::Line(offsets(points)),
        Shape::Area(points) => DangerShape::Area(offsets(points)),
    };
    match shape {
        DangerShape::Point { at, .. } => {
            Danger::new(told.name.clone(), DangerShape::Point { at, radius: told.radius })
        }
        shape => Danger::new(told.name.clone(), shape)?.with_margin(told.radius),
    }
}

fn offset(anchor: Position, place: Whereabouts) -> Offset {
    match place {
        Whereabouts::At(position) => anchor.offset_of(position),
        Whereabouts::FromAnchor { range, bearing } => Offset::along(bearing, range),
    }
}

/// Who lies near. The wind in which one was seen is the forecast's of that time.
pub(super) fn neighbours(
    stay: &StayFile,
    forecast: Option<&Forecast>,
    exposure: Exposure,
    problems: &mut Vec<Problem>,
) -> Vec<Neighbour> {
    let made = stay.neighbours.iter().map(|told| {
        let wind_from = wind_when_seen(told, forecast, exposure);
        let at = offset(stay.position, told.seen);
        Neighbour {
            name: told.name.clone(),
            place: Place::Seen { part: Part::Middle, at, within: SEEN_WITHIN, wind_from },
            length: told.length,
            hull: told.hull.as_ref().and_then(|said| kept(meaning(said, &choices::HULLS), problems)),
            rode: told
                .kind
                .as_ref()
                .and_then(|said| kept(meaning(said, &choices::NEIGHBOUR_RODES), problems))
                .unwrap_or(NeighbourRode::Unknown),
            veered: told.rode,
        }
    });
    made.collect()
}

/// In light air a hull does not lie down wind of its anchor, so that the wind says nothing of where that is.
fn wind_when_seen(told: &NeighbourGiven, forecast: Option<&Forecast>, exposure: Exposure) -> Option<Bearing> {
    let wind = forecast?.at(told.observed_at?, exposure).ok()?;
    wind.from.filter(|_| LIGHT_AIR <= wind.mean)
}

//! `[[danger]]` and `[[neighbour]]`.

use windrode_domain::units::Length;

use super::super::times::Zone;
use super::super::toml_reading::{Section, Within};
use super::{DangerGiven, NeighbourGiven, Shape, Whereabouts};

/// Distances to what lies about a berth, m: beyond them nothing is near.
const RANGES: Within = Within::new(0.0, 20_000.0);

/// One danger: a point, a line or an area.
pub(super) fn danger(section: &Section<'_>) -> Option<DangerGiven> {
    let name = section.want("name", "what it is called").text();
    let radius = section.may("radius").length(RANGES);
    let line = section.may("line").positions(2).map(Shape::Line);
    let area = section.may("area").positions(3).map(Shape::Area);
    let shaped = section.has_any(&["line", "area"]);
    section.one_of(&["line", "area", "position"]);
    // Asked for in every case, so that the keys are known; wanted only where there is no other shape.
    let point = whereabouts(section, !shaped).map(Shape::Point);
    Some(DangerGiven { name: name?, shape: line.or(area).or(point)?, radius: radius.unwrap_or(Length::ZERO) })
}

/// One neighbour.
pub(super) fn neighbour(section: &Section<'_>, zone: &Zone) -> Option<NeighbourGiven> {
    let name = section.want("name", "what it is called").text();
    let seen = whereabouts(section, true);
    let observed_at = section.may("observed_at").time(zone);
    let length = section.may("length").length(Within::new(1.0, 400.0));
    let rode = section.may("rode").length(Within::new(0.0, 1000.0));
    let kind = section.may("kind").located_text();
    let hull = section.may("hull").located_text();
    Some(NeighbourGiven { name: name?, seen: seen?, observed_at, length, rode, kind, hull })
}

fn whereabouts(section: &Section<'_>, wanted: bool) -> Option<Whereabouts> {
    let at = section.may("position").position();
    let range = section.may("range").length(RANGES);
    let bearing = section.may("bearing").bearing();
    let (by_position, by_range) = (section.has_any(&["position"]), section.has_any(&["range", "bearing"]));
    if by_position && by_range {
        section.refuse("has a position and a range or bearing (keep one of them)");
    }
    if wanted && !by_position && !(section.has_any(&["range"]) && section.has_any(&["bearing"])) {
        section.refuse("does not say where it is (give position, or range and bearing from the anchor)");
    }
    at.map(Whereabouts::At).or_else(|| Some(Whereabouts::FromAnchor { range: range?, bearing: bearing? }))
}

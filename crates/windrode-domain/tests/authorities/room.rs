//! Room against dense sampling with shapely (`authorities/room/shapely.json`).

use windrode_domain::boat::HullKind;
use windrode_domain::position::Offset;
use windrode_domain::swing::neighbour::{Neighbour, NeighbourRode, Place};
use windrode_domain::swing::{Berthing, Case as Step, Danger, DangerShape, RodeKind, sector};
use windrode_domain::units::{Angle, Bearing, Length, Speed};

#[derive(serde::Deserialize)]
struct Authority {
    cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    kind: String,
    own: Own,
    #[serde(default)]
    points_m: Vec<[f64; 2]>,
    #[serde(default)]
    radius_m: f64,
    neighbour: Option<Other>,
    height_m: Option<f64>,
    least_m: f64,
    gap_m: f64,
}

#[derive(serde::Deserialize)]
struct Own {
    reach_low_m: f64,
    reach_high_m: f64,
    lie_deg: f64,
    spread_deg: f64,
    sheer_deg: f64,
    length_m: f64,
    beam_m: f64,
}

#[derive(serde::Deserialize)]
struct Other {
    #[serde(rename = "anchor_m")]
    anchor: [f64; 2],
    length_m: f64,
    veered_m: f64,
}

fn offset([east_m, north_m]: [f64; 2]) -> Offset {
    Offset { east_m, north_m }
}

fn berthing(case: &Case) -> Berthing {
    let own = &case.own;
    Berthing {
        reach_low: Length::metres(own.reach_low_m),
        reach_high: Length::metres(own.reach_high_m),
        lie: Bearing::degrees(own.lie_deg),
        spread: Angle::degrees(own.spread_deg),
        sheer: Angle::degrees(own.sheer_deg),
        length_overall: Length::metres(own.length_m),
        beam: Length::metres(own.beam_m),
        rode: RodeKind::Chain,
        wind: Some(Speed::knots(15.0)),
        height: Length::metres(case.height_m.unwrap_or(8.0)),
    }
}

fn found_m(case: &Case) -> f64 {
    let region = sector(&berthing(case)).unwrap();
    if let Some(other) = &case.neighbour {
        let neighbour = Neighbour {
            name: "other".into(),
            place: Place::Anchor { at: offset(other.anchor), within: Length::ZERO },
            length: Some(Length::metres(other.length_m)),
            hull: Some(HullKind::MonohullSail),
            rode: NeighbourRode::Chain,
            veered: Some(Length::metres(other.veered_m)),
        };
        return region.room_in_case(&neighbour, Step::InStep).unwrap().least.as_metres();
    }
    let points: Vec<_> = case.points_m.iter().copied().map(offset).collect();
    let shape = match case.kind.as_str() {
        "point" => DangerShape::Point { at: points[0], radius: Length::metres(case.radius_m) },
        "line" => DangerShape::Line(points),
        _ => DangerShape::Area(points),
    };
    let danger = Danger::new(case.kind.clone(), shape).unwrap();
    region.room_to_danger(&danger).least.as_metres()
}

/// What our answer may fall short of the truth by, metres: the search's two hundredths of the distance or 5 cm; the
/// covers' hundredth of the arcs' radii, the hull's for sheer and the neighbour's whole reach for lag; what his arc
/// of lag bends behind its chord; and the notch that sheer leaves beside the bow.
fn slack_m(case: &Case) -> f64 {
    let search_m = (0.02 * (case.least_m + case.radius_m)).max(0.05);
    let own_m = 0.01 * (case.own.length_m + case.own.beam_m) + 0.25 * case.own.beam_m;
    let other_m = case.neighbour.as_ref().map_or(0.0, |other| {
        let reach_m = other.veered_m + other.length_m;
        0.01 * (reach_m + other.length_m)
            + (1.0 - 15.0_f64.to_radians().cos()) * other.veered_m
            + 0.25 * 0.33 * other.length_m
    });
    search_m + own_m + other_m
}

#[test]
fn no_sampled_hull_comes_nearer_than_is_told_and_none_is_told_much_too_near() {
    let text = include_str!("../../../../authorities/room/shapely.json");
    let cases = serde_json::from_str::<Authority>(text).unwrap().cases;
    assert!(60 <= cases.len());
    let mut short_m = Vec::new();
    for case in &cases {
        let found_m = found_m(case);
        let name = format!("{} {:?} at {} m", case.kind, case.points_m, case.least_m);
        // The authority prints a tenth of a millimetre.
        assert!(found_m <= case.least_m + 1e-4, "{name}: {found_m}");
        let least_m = case.least_m - case.gap_m - slack_m(case);
        assert!(least_m <= found_m, "{name}: {found_m} is below {least_m}");
        short_m.push(case.least_m - found_m);
    }
    short_m.sort_by(f64::total_cmp);
    // Half the cases within the search's slack of a few metres' distance, and none further off than the notch beside
    // a broad bow: what a sailor would not notice.
    assert!(short_m[short_m.len() / 2] < 0.1 && short_m[short_m.len() - 1] < 1.0, "{short_m:?}");
}

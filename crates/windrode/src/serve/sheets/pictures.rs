//! What the three drawings are drawn from: dangers, neighbours, where she can lie, the rode as it hangs.

use serde::Serialize;
use windrode_domain::boat::Hull;
use windrode_domain::plan::moment::{HangingRode, Moment};
use windrode_domain::plan::sheet::{Mark, Sheet};
use windrode_domain::position::Offset;
use windrode_domain::units::Length;

use crate::sheet_json::{InstantView, time};

/// East and north of the anchor, m.
type Plane = [f64; 2];

fn plane(at: Offset) -> Plane {
    [at.east_m, at.north_m]
}
fn border(of: &[Offset]) -> Vec<Plane> {
    of.iter().map(|at| plane(*at)).collect()
}

/// What is drawn of the whole stay.
#[derive(Serialize)]
pub(super) struct PicturesView {
    dangers: Vec<DangerView>,
    neighbours: Vec<NeighbourView>,
    lie: Vec<SectorView>,
    hull: HullView,
}

#[derive(Serialize)]
struct DangerView {
    name: String,
    outline: Vec<Plane>,
    radius_m: f64,
    least_m: Option<f64>,
    time: Option<String>,
}

#[derive(Serialize)]
struct NeighbourView {
    name: String,
    at: Plane,
    anchor: Option<Plane>,
    length_m: f64,
    /// From his anchor to his farthest part.
    circle_m: Option<f64>,
    least_m: Option<f64>,
    time: Option<String>,
    assumed: Vec<String>,
}

#[derive(Serialize)]
struct SectorView {
    share: f64,
    reach_low_m: f64,
    reach_high_m: f64,
}

#[derive(Serialize)]
#[expect(clippy::struct_field_names, reason = "the unit stands in each name")]
struct HullView {
    length_m: f64,
    beam_m: f64,
    draught_m: f64,
}

impl PicturesView {
    /// Of a sheet.
    pub(super) fn of(sheet: &Sheet, hull: Hull) -> Self {
        let sector = |sector: &windrode_domain::plan::sheet::SectorShare| SectorView {
            share: sector.share,
            reach_low_m: sector.reach_low.as_metres(),
            reach_high_m: sector.reach_high.as_metres(),
        };
        Self {
            dangers: sheet.marks.iter().filter(|mark| mark.length.is_none()).map(danger).collect(),
            neighbours: sheet.marks.iter().filter_map(neighbour).collect(),
            lie: sheet.density.sectors.iter().map(sector).collect(),
            hull: HullView {
                length_m: hull.length_overall.as_metres(),
                beam_m: hull.beam.as_metres(),
                draught_m: hull.draught.as_metres(),
            },
        }
    }
}

fn danger(mark: &Mark) -> DangerView {
    DangerView {
        name: mark.name.clone(),
        outline: border(&mark.outline),
        radius_m: mark.radius.as_metres(),
        least_m: mark.least.map(|(room, _)| room.as_metres()),
        time: mark.least.map(|(_, at)| time(at)),
    }
}

fn neighbour(mark: &Mark) -> Option<NeighbourView> {
    let length_m = mark.length?.as_metres();
    Some(NeighbourView {
        name: mark.name.clone(),
        at: plane(*mark.outline.first()?),
        anchor: mark.swings_about.map(plane),
        length_m,
        circle_m: mark.reach.map(|reach| reach.as_metres() + length_m),
        least_m: mark.least.map(|(room, _)| room.as_metres()),
        time: mark.least.map(|(_, at)| time(at)),
        assumed: mark.assumed.clone(),
    })
}

/// One moment.
#[derive(Serialize)]
pub(super) struct MomentView {
    version: u32,
    time: String,
    water_m: Option<f64>,
    height_m: Option<f64>,
    highest_m: Option<f64>,
    lowest_m: Option<f64>,
    ground_slope_deg: f64,
    /// Under the gust; `null` when it cannot be said.
    rode: Option<RodeView>,
    /// Under the steady load.
    rode_steady: Option<RodeView>,
    hull: Option<HullNowView>,
    #[serde(rename = "where")]
    within: Vec<WithinView>,
    figures: InstantView,
}

#[derive(Serialize)]
struct RodeView {
    points: Vec<[f64; 2]>,
    marks: Vec<MarkView>,
    snubber_from: Option<[f64; 2]>,
    load_n: f64,
    uplift_deg: f64,
    grounded_m: f64,
    reach_m: f64,
}

#[derive(Serialize)]
struct MarkView {
    at_m: f64,
    x_m: f64,
    z_m: f64,
    looks: String,
}

#[derive(Serialize)]
struct HullNowView {
    bow: Plane,
    heading_deg: f64,
    outline: Vec<Plane>,
}

#[derive(Serialize)]
struct WithinView {
    share: f64,
    outline: Vec<Plane>,
}

impl MomentView {
    /// Of a moment.
    pub(super) fn of(moment: &Moment, sheet: &Sheet, hull: Hull) -> Self {
        let waters = || sheet.instants.iter().filter_map(|instant| instant.water);
        let mut rode = moment.rode.iter().map(RodeView::from);
        Self {
            version: 1,
            time: time(moment.at),
            water_m: moment.water.map(Length::as_metres),
            height_m: moment.height.map(Length::as_metres),
            highest_m: waters().reduce(Length::max).map(Length::as_metres),
            lowest_m: waters().reduce(Length::min).map(Length::as_metres),
            ground_slope_deg: moment.slope.as_degrees(),
            rode: rode.next(),
            rode_steady: rode.next(),
            hull: moment.hull.map(|now| HullNowView {
                bow: plane(now.bow),
                heading_deg: now.heading.as_degrees(),
                outline: hull_outline(now.bow, now.heading, hull),
            }),
            within: moment
                .within
                .iter()
                .map(|within| WithinView { share: within.share, outline: border(&within.outline) })
                .collect(),
            figures: InstantView::from(&moment.figures),
        }
    }
}

impl From<&HangingRode> for RodeView {
    fn from(rode: &HangingRode) -> Self {
        let curve = &rode.curve;
        let mark = |mark: &windrode_domain::plan::sheet::MarkOnRode| MarkView {
            at_m: mark.along.as_metres(),
            x_m: mark.place.x.as_metres(),
            z_m: mark.place.z.as_metres(),
            looks: mark.looks.clone(),
        };
        Self {
            points: curve.points.iter().map(|p| [p.x.as_metres(), p.z.as_metres()]).collect(),
            marks: curve.marks.iter().map(mark).collect(),
            snubber_from: curve.snubber_from.map(|p| [p.x.as_metres(), p.z.as_metres()]),
            load_n: curve.load.as_newtons(),
            uplift_deg: curve.uplift.as_degrees(),
            grounded_m: rode.grounded.as_metres(),
            reach_m: rode.reach.as_metres(),
        }
    }
}

/// One side of a hull seen from above: share of the length aft of the bow, share of half the beam.
const SIDE: [(f64, f64); 6] =
    [(0.0, 0.0), (0.12, 0.42), (0.30, 0.82), (0.55, 1.0), (0.80, 0.95), (1.0, 0.78)];

/// Her outline, from the bow down her starboard side and back up the other.
fn hull_outline(bow: Offset, heading: windrode_domain::units::Bearing, hull: Hull) -> Vec<Plane> {
    let (sin, cos) = heading.as_radians().sin_cos();
    let at = |(aft, aside): (f64, f64), side: f64| {
        let aft_m = aft * hull.length_overall.as_metres();
        let aside_m = side * aside * hull.beam.as_metres() / 2.0;
        [bow.east_m - sin * aft_m + cos * aside_m, bow.north_m - cos * aft_m - sin * aside_m]
    };
    let starboard = SIDE.iter().map(|point| at(*point, 1.0));
    let port = SIDE.iter().skip(1).rev().map(|point| at(*point, -1.0));
    starboard.chain(port).collect()
}

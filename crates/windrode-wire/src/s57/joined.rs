//! Records joined to a chart: every pointer followed, every boundary closed, every number of the head checked.

use jiff::civil::Date;

use super::geometry::{Area, Chain, Extent, Geometry, Line, Piece, Point, Ring, Sounding, rings};
use super::place::{Place, point, position, settle};
use super::records::{Direction, EDGE, FeatureRecord, Parameters, SpatialUse, Usage};
use super::refusal::{ChartError, RecordWord};
use super::update::Standing;
use super::{Chart, Feature, Identity, Remark, catalogue, cell, number};

/// Corners that all features may have between them, for each octet of the files, and at least. A coordinate takes 8
/// octets; in real charts the corners of all features are a twentieth of the octets, each edge serving two or three
/// of them. What has more is no chart but a bomb.
const CORNERS_EACH_OCTET: usize = 1;
/// For small files, in which little is much.
const CORNERS_AT_LEAST: usize = 100_000;
/// Horizontal datum WGS 84.
const WGS_84: u8 = 2;
/// The chart of records that stand.
pub(super) fn chart(mut standing: Standing, bytes: usize) -> Result<Chart, ChartError> {
    parameters(&standing.parameters)?;
    let identity = identity(&standing)?;
    let coordinate_factor = f64::from(standing.parameters.coordinate_factor);
    let mut places = std::mem::take(&mut standing.places);
    settle(&mut places, coordinate_factor)?;
    let mut chart = Chart {
        identity,
        coordinate_factor,
        sounding_factor: f64::from(standing.parameters.sounding_factor),
        features: Vec::new(),
        places,
        remarks: Vec::new(),
    };
    let most = (bytes * CORNERS_EACH_OCTET).max(CORNERS_AT_LEAST);
    let (mut corners, mut against, mut no_number) = (0, 0, 0);
    for feature in &mut standing.features {
        feature.places = chart.found(feature)?;
        corners += chart.places_of(feature).flatten().map(Place::count).sum::<usize>();
        if most < corners {
            return Err(ChartError::TooManyCorners { most });
        }
        against += usize::from(chart.check(feature)?);
        no_number += numbers_unread(&feature.record);
        feature.extent = chart.extent(feature);
    }
    chart.features = standing.features;
    if !standing.held_already.is_empty() {
        chart.remarks.push(Remark::HeldAlready(standing.held_already));
    }
    let counted = [
        (standing.out_of_step, Remark::OutOfStep as fn(usize) -> Remark),
        (against, Remark::AgainstDirection),
        (no_number, Remark::NoNumber),
    ];
    let counted = counted.into_iter().filter(|(count, _)| 0 < *count);
    chart.remarks.extend(counted.map(|(count, remark)| remark(count)));
    Ok(chart)
}

fn identity(standing: &Standing) -> Result<Identity, ChartError> {
    let file = &standing.identity;
    let updated = standing.updated.as_deref().map(|text| date("the date of the update (ISDT)", text));
    Ok(Identity {
        name: cell(&file.name),
        edition: standing.edition,
        update: standing.update,
        issued: date("the date of issue (ISDT)", &file.issued)?,
        updated: updated.transpose()?,
        scale: standing.parameters.scale,
        usage: file.usage,
        agency: file.agency,
        sounding_datum: standing.parameters.sounding_datum,
        height_datum: standing.parameters.vertical_datum,
    })
}

/// `20190319`.
fn date(what: &'static str, text: &str) -> Result<Date, ChartError> {
    let cannot_be = || ChartError::Stated { what, text: text.to_owned() };
    if text.len() != 8 || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(cannot_be());
    }
    Date::strptime("%Y%m%d", text).map_err(|_| cannot_be())
}

fn parameters(stated: &Parameters) -> Result<(), ChartError> {
    let refuse = |what, code, only| Err(ChartError::Parameter { what, code, only });
    if stated.horizontal_datum != WGS_84 {
        return refuse("the horizontal datum (HDAT)", stated.horizontal_datum.into(), "2, WGS 84,");
    }
    if stated.depth_unit != 1 {
        return refuse("the unit of depths (DUNI)", stated.depth_unit.into(), "1, metres,");
    }
    if stated.coordinate_unit != 1 {
        return refuse("the unit of coordinates (COUN)", stated.coordinate_unit.into(), "1, degrees,");
    }
    if stated.coordinate_factor == 0 {
        return refuse("the factor of coordinates (COMF)", 0, "a whole number above nought");
    }
    if stated.sounding_factor == 0 {
        return refuse("the factor of soundings (SOMF)", 0, "a whole number above nought");
    }
    if stated.scale == 0 {
        return refuse("the compilation scale (CSCL)", 0, "a whole number above nought");
    }
    Ok(())
}

/// Numbers by the catalogue that are none.
fn numbers_unread(record: &FeatureRecord) -> usize {
    let unread = record
        .attributes
        .iter()
        .filter(|(code, text)| !text.is_empty() && catalogue::is_number(*code) && number(text).is_none());
    unread.count()
}

impl Chart {
    fn point(&self, place: [i32; 2]) -> Point {
        point(place, self.coordinate_factor)
    }

    /// Where the records of space of a feature stand; all are there.
    fn found(&self, feature: &Feature) -> Result<Box<[u32]>, ChartError> {
        let found = |used: &SpatialUse| {
            let place = position(&self.places, used.name).and_then(|place| u32::try_from(place).ok());
            place.ok_or(ChartError::Dangling {
                record: RecordWord::Feature(feature.number),
                to: RecordWord::Spatial(used.name),
            })
        };
        feature.spatials().iter().map(found).collect()
    }

    /// The records of space of a feature, in its order.
    pub(super) fn places_of<'a>(
        &'a self,
        feature: &'a Feature,
    ) -> impl DoubleEndedIterator<Item = Option<&'a Place>> + ExactSizeIterator {
        feature.places.iter().map(|&place| self.places.get(usize::try_from(place).ok()?))
    }

    /// Whether an edge had to be taken against its direction.
    fn check(&self, feature: &Feature) -> Result<bool, ChartError> {
        let record = &feature.record;
        let shape = |why| Err(ChartError::Shape { record: RecordWord::Feature(feature.number), why });
        let is_edge = |used: &SpatialUse| used.name.kind == EDGE;
        match record.primitive {
            255 if record.spatials.is_empty() => Ok(false),
            255 => shape("lies nowhere and has a place"),
            _ if record.spatials.is_empty() => shape("has no place"),
            1 if record.spatials.iter().any(is_edge) => shape("is a point and lies on an edge"),
            2 | 3 if !record.spatials.iter().all(is_edge) => shape("lies on a node and is no point"),
            1 | 2 => Ok(false),
            3 => match self.boundaries(feature) {
                Some(boundaries) if boundaries.iter().any(|(is_hole, _)| !is_hole) => {
                    let mut chains = boundaries.iter().flat_map(|(_, chain)| chain);
                    Ok(chains.any(|(_, against)| *against))
                }
                Some(_) => shape("is an area without an outer boundary"),
                None => shape("is an area whose boundary does not close"),
            },
            _ => shape("is neither point nor line nor area"),
        }
    }

    fn pieces(&self, feature: &Feature) -> Option<Vec<Piece>> {
        let piece = |(used, place): (&SpatialUse, Option<&Place>)| {
            let [begin, end] = place?.ends?;
            let (from, to) = if used.direction == Direction::Reverse { (end, begin) } else { (begin, end) };
            Some(Piece { from, to, usage: used.usage })
        };
        feature.spatials().iter().zip(self.places_of(feature)).map(piece).collect()
    }

    /// The rings of an area, outer ones first, each with whether it bounds a hole.
    fn boundaries(&self, feature: &Feature) -> Option<Vec<(bool, Chain)>> {
        let pieces = self.pieces(feature)?;
        let of = |is_hole: bool| {
            let of_kind = pieces.iter().enumerate();
            let of_kind = of_kind.filter(|(_, piece)| (piece.usage == Usage::Interior) == is_hole);
            let chosen: Vec<usize> = of_kind.map(|(place, _)| place).collect();
            let rings = rings(&pieces, &chosen)?;
            Some(rings.into_iter().map(move |chain| (is_hole, chain)))
        };
        Some(of(false)?.chain(of(true)?).collect())
    }

    /// Adds the corners of an edge as it is used, without its last.
    fn follow(
        &self,
        used: &SpatialUse,
        edge: &Place,
        against: bool,
        into: &mut Vec<Point>,
    ) -> Option<[i32; 2]> {
        let [begin, end] = edge.ends?;
        let inner = edge.flat().iter().map(|&place| self.point(place));
        if (used.direction == Direction::Reverse) == against {
            into.push(self.point(begin));
            into.extend(inner);
            Some(end)
        } else {
            into.push(self.point(end));
            into.extend(inner.rev());
            Some(begin)
        }
    }

    /// Where a feature lies.
    pub(super) fn joined(&self, feature: &Feature) -> Option<Geometry> {
        let used = feature.spatials();
        match feature.record.primitive {
            1 => self.points(feature),
            2 => self.lines(feature).map(Geometry::Lines),
            3 => {
                let places: Vec<Option<&Place>> = self.places_of(feature).collect();
                let rings = self.boundaries(feature)?.into_iter().map(|(is_hole, chain)| {
                    let mut points = Vec::new();
                    for (piece, against) in chain {
                        self.follow(used.get(piece)?, (*places.get(piece)?)?, against, &mut points)?;
                    }
                    Some(Ring { is_hole, points })
                });
                Some(Geometry::Area(Area { rings: rings.collect::<Option<_>>()? }))
            }
            _ => Some(Geometry::None),
        }
    }

    fn points(&self, feature: &Feature) -> Option<Geometry> {
        let (mut points, mut soundings) = (Vec::new(), Vec::new());
        for place in self.places_of(feature) {
            let place = place?;
            points.extend(place.flat().iter().map(|&flat| self.point(flat)));
            soundings.extend(place.deep().iter().map(|&[latitude, longitude, depth]| Sounding {
                at: self.point([latitude, longitude]),
                depth_m: f64::from(depth) / self.sounding_factor,
            }));
        }
        Some(if soundings.is_empty() { Geometry::Points(points) } else { Geometry::Soundings(soundings) })
    }

    /// Edges that follow each other are one line.
    fn lines(&self, feature: &Feature) -> Option<Vec<Line>> {
        let mut lines: Vec<(Line, [i32; 2])> = Vec::new();
        let used = feature.spatials().iter().zip(self.places_of(feature));
        for ((used, edge), piece) in used.zip(self.pieces(feature)?) {
            match lines.last_mut() {
                Some((line, end)) if *end == piece.from => {
                    line.points.pop();
                    *end = self.follow(used, edge?, false, &mut line.points)?;
                    line.points.push(self.point(*end));
                }
                _ => {
                    let mut points = Vec::new();
                    let end = self.follow(used, edge?, false, &mut points)?;
                    points.push(self.point(end));
                    lines.push((Line { points }, end));
                }
            }
        }
        Some(lines.into_iter().map(|(line, _)| line).collect())
    }

    /// From all corners of a feature, joined or not.
    fn extent(&self, feature: &Feature) -> Option<Extent> {
        let mut extent: Option<Extent> = None;
        let mut add = |place: [i32; 2]| {
            let Point { latitude_deg, longitude_deg } = self.point(place);
            let here = Extent {
                south_deg: latitude_deg,
                west_deg: longitude_deg,
                north_deg: latitude_deg,
                east_deg: longitude_deg,
            };
            extent = Some(extent.map_or(here, |extent| extent.with(here)));
        };
        for place in self.places_of(feature) {
            let place = place?;
            place.flat().iter().copied().for_each(&mut add);
            place.deep().iter().for_each(|&[latitude, longitude, _]| add([latitude, longitude]));
            place.ends.into_iter().flatten().for_each(&mut add);
        }
        extent
    }
}

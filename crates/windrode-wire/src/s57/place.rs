//! A record of space as a chart keeps it: most are single places, and there are tens of thousands.

use super::attributes::Attributes;
use super::geometry::Point;
use super::records::{CONNECTED_NODE, EDGE, ISOLATED_NODE, Name, NodeUse, Spatial};
use super::refusal::{ChartError, RecordWord};

/// A quarter turn, degrees.
const QUARTER_DEG: f64 = 90.0;

/// Coordinates, in parts of a degree and of a metre.
#[derive(Clone, Debug)]
enum Corners {
    One([i32; 2]),
    Flat(Box<[[i32; 2]]>),
    Deep(Box<[[i32; 3]]>),
}

/// A record of space.
#[derive(Clone, Debug)]
pub(super) struct Place {
    pub(super) name: Name,
    pub(super) version: u16,
    /// Few have any.
    attributes: Option<Box<Attributes>>,
    nodes: Box<[NodeUse]>,
    corners: Corners,
    /// Where an edge begins and ends, once its nodes have been found.
    pub(super) ends: Option<[[i32; 2]; 2]>,
}

impl Place {
    pub(super) fn new(name: Name, spatial: Spatial) -> Result<Self, ChartError> {
        let corners = match (spatial.flat.as_slice(), spatial.deep.is_empty()) {
            (&[one], true) => Corners::One(one),
            (_, true) => Corners::Flat(spatial.flat.into_boxed_slice()),
            (&[], false) => Corners::Deep(spatial.deep.into_boxed_slice()),
            (_, false) => {
                let record = RecordWord::Spatial(name);
                return Err(ChartError::Shape { record, why: "has both places and soundings" });
            }
        };
        let attributes = (!spatial.attributes.is_empty()).then(|| Box::new(spatial.attributes));
        let nodes = spatial.nodes.into_boxed_slice();
        Ok(Self { name, version: spatial.version, attributes, nodes, corners, ends: None })
    }

    /// As an update changes it.
    pub(super) fn opened(&self) -> Spatial {
        Spatial {
            version: self.version,
            attributes: self.attributes().cloned().unwrap_or_default(),
            nodes: self.nodes.to_vec(),
            flat: self.flat().to_vec(),
            deep: self.deep().to_vec(),
        }
    }

    pub(super) fn attributes(&self) -> Option<&Attributes> {
        self.attributes.as_deref()
    }

    pub(super) fn flat(&self) -> &[[i32; 2]] {
        match &self.corners {
            Corners::One(one) => std::slice::from_ref(one),
            Corners::Flat(all) => all,
            Corners::Deep(_) => &[],
        }
    }

    pub(super) fn deep(&self) -> &[[i32; 3]] {
        if let Corners::Deep(all) = &self.corners { all } else { &[] }
    }

    /// How many corners it brings to a feature.
    pub(super) fn count(&self) -> usize {
        self.flat().len() + self.deep().len() + if self.ends.is_some() { 2 } else { 0 }
    }
}

/// Where a record stands among others that are in order.
pub(super) fn position(places: &[Place], name: Name) -> Option<usize> {
    places.binary_search_by_key(&name.rank(), |place| place.name.rank()).ok()
}

pub(super) fn point([latitude, longitude]: [i32; 2], factor: f64) -> Point {
    Point { latitude_deg: f64::from(latitude) / factor, longitude_deg: f64::from(longitude) / factor }
}

/// Finds where edges begin and end; every record is what its kind has to be, and on the earth.
pub(super) fn settle(places: &mut [Place], factor: f64) -> Result<(), ChartError> {
    // Names are in order, and nodes come before edges.
    let nodes = places.partition_point(|place| place.name.kind < EDGE);
    let (nodes, others) = places.split_at_mut(nodes);
    for place in nodes.iter() {
        check_node(place)?;
        on_earth(place, factor)?;
    }
    for place in others {
        let shape = |why| ChartError::Shape { record: RecordWord::Spatial(place.name), why };
        if place.name.kind != EDGE {
            return Err(shape("is of a kind that charts do not use"));
        }
        if !place.deep().is_empty() {
            return Err(shape("has depths"));
        }
        on_earth(place, factor)?;
        place.ends = Some(ends(place, nodes)?);
        place.nodes = Box::default();
    }
    Ok(())
}

fn check_node(place: &Place) -> Result<(), ChartError> {
    let shape = |why| Err(ChartError::Shape { record: RecordWord::Spatial(place.name), why });
    let (flat, deep) = (place.flat().len(), place.deep().len());
    match place.name.kind {
        CONNECTED_NODE if flat != 1 => shape("has not one place"),
        ISOLATED_NODE if flat != 1 && deep == 0 => shape("has neither one place nor soundings"),
        CONNECTED_NODE | ISOLATED_NODE => Ok(()),
        _ => shape("is of a kind that charts do not use"),
    }
}

fn on_earth(place: &Place, factor: f64) -> Result<(), ChartError> {
    let deep = place.deep().iter().map(|&[latitude, longitude, _]| [latitude, longitude]);
    let mut all = place.flat().iter().copied().chain(deep).map(|corner| point(corner, factor));
    let is_on_earth = |point: Point| {
        point.latitude_deg.abs() <= QUARTER_DEG && point.longitude_deg.abs() <= 2.0 * QUARTER_DEG
    };
    if all.all(is_on_earth) {
        return Ok(());
    }
    Err(ChartError::Shape { record: RecordWord::Spatial(place.name), why: "lies off the earth" })
}

fn ends(edge: &Place, nodes: &[Place]) -> Result<[[i32; 2]; 2], ChartError> {
    let record = RecordWord::Spatial(edge.name);
    let end = |topology: u8| {
        let mut at = edge.nodes.iter().filter(|node| node.topology == topology);
        let (Some(node), None) = (at.next(), at.next()) else {
            return Err(ChartError::Shape { record, why: "does not begin and end at one node each" });
        };
        let place = position(nodes, node.name).filter(|_| node.name.kind == CONNECTED_NODE);
        let place = place.and_then(|place| nodes.get(place)?.flat().first());
        place.copied().ok_or(ChartError::Dangling { record, to: RecordWord::Spatial(node.name) })
    };
    Ok([end(1)?, end(2)?])
}

//! The charts that were given: read from their files, and laid over each other.
//!
//! Where several cover a place, the one of the best scale answers, and no other; where none does, that is said. Within
//! a chart the skin of the earth covers every place once: land, a depth area, a dredged area, or ground that nobody has
//! surveyed.

pub(crate) mod files;
pub(crate) mod here;
mod near;

use windrode_wire::s57::catalogue::Subject;
use windrode_wire::s57::geometry::{Area, Extent, Geometry, Point, Sounding};
use windrode_wire::s57::{Chart, Feature, values};

/// `CATCOV` of an area with data, and of one without.
const COVERED: u16 = 1;
const NOT_COVERED: u16 = 2;

/// Charts laid over each other, the best scale first.
pub(crate) struct Charts {
    charts: Vec<Laid>,
}

/// A chart with what is asked of it at a point.
struct Laid {
    chart: Chart,
    areas: Vec<Covering>,
    soundings: Vec<Sounding>,
    bottoms: Vec<Bottom>,
    /// It says by areas where it has data.
    states_coverage: bool,
}

/// An area, and which feature it is of: its place among those of the chart.
struct Covering {
    feature: usize,
    subject: Subject,
    extent: Extent,
    area: Area,
}

/// Where the bottom's nature was written.
struct Bottom {
    words: Vec<String>,
    geometry: Geometry,
}

impl Charts {
    /// Lays them over each other: the largest scale on top, of equal scales the one that was given first.
    pub(crate) fn laid(charts: Vec<Chart>) -> Self {
        let mut charts: Vec<Laid> = charts.into_iter().map(Laid::new).collect();
        charts.sort_by_key(|laid| laid.chart.identity().scale);
        Self { charts }
    }

    /// The chart that answers for a place.
    fn covering(&self, point: Point) -> Option<&Laid> {
        self.charts.iter().find(|laid| laid.covers(point))
    }
}

impl Laid {
    fn new(chart: Chart) -> Self {
        let (mut areas, mut soundings, mut bottoms) = (Vec::new(), Vec::new(), Vec::new());
        for (place, feature) in chart.features().iter().enumerate() {
            let subject = feature.class().subject();
            let geometry = chart.geometry(feature);
            if feature.is("SBDARE") {
                let words = values::bottom(feature);
                if !words.is_empty() {
                    bottoms.push(Bottom { words, geometry: geometry.clone() });
                }
            }
            match (geometry, feature.extent()) {
                (Geometry::Soundings(all), _) => soundings.extend(all),
                (Geometry::Area(area), Some(extent)) => {
                    areas.push(Covering { feature: place, subject, extent, area });
                }
                _ => {}
            }
        }
        let mut laid = Self { chart, areas, soundings, bottoms, states_coverage: false };
        let states_coverage = laid.coverage(COVERED).next().is_some();
        laid.states_coverage = states_coverage;
        laid
    }

    fn coverage(&self, code: u16) -> impl Iterator<Item = &Covering> {
        self.areas.iter().filter(move |covering| {
            covering.subject == Subject::Coverage
                && self.feature(covering).is_some_and(|feature| {
                    feature.is("M_COVR") && feature.codes("CATCOV").first() == Some(&code)
                })
        })
    }

    fn feature(&self, covering: &Covering) -> Option<&Feature> {
        self.chart.features().get(covering.feature)
    }

    /// The areas over a point, each with its feature.
    fn over(&self, point: Point) -> impl Iterator<Item = (&Covering, &Feature)> {
        let over = self.areas.iter().filter(move |covering| covering.is_over(point));
        over.filter_map(|covering| Some((covering, self.feature(covering)?)))
    }

    /// Whether it has data at a place: by its own word, or where it says nothing by its skin of the earth.
    fn covers(&self, point: Point) -> bool {
        if !self.states_coverage {
            return self.over(point).any(|(_, feature)| feature.is_skin());
        }
        let holds = |code| self.coverage(code).any(|covering| covering.is_over(point));
        holds(COVERED) && !holds(NOT_COVERED)
    }
}

impl Covering {
    fn is_over(&self, point: Point) -> bool {
        self.extent.holds(point) && self.area.contains(point)
    }
}

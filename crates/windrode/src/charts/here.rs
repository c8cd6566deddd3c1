//! What the charts say of one place.

use windrode_domain::position::Position;
use windrode_domain::units::Length;
use windrode_wire::s57::catalogue::{Class, Subject};
use windrode_wire::s57::geometry::Point;
use windrode_wire::s57::quality::Zone;
use windrode_wire::s57::{Feature, Identity, values};

use super::near::Plane;
use super::{Charts, Laid};

/// Depths between which an area lies, below the datum of soundings; a bound that the chart does not give is unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Depths {
    /// `DRVAL1`, m; negative where it dries.
    pub(crate) min_m: Option<f64>,
    /// `DRVAL2`, m.
    pub(crate) max_m: Option<f64>,
}

/// What lies over a place, in the chart's own words.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Applies {
    /// Its class.
    pub(crate) class: Class,
    /// In words.
    pub(crate) text: String,
}

/// What the covering chart says of a place.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Here {
    /// Which chart; `None`: none covers the place, and nothing else is said.
    pub(crate) chart: Option<Identity>,
    /// The depth area, of several the shoalest.
    pub(crate) depth_area: Option<Depths>,
    /// The dredged area, likewise.
    pub(crate) dredged: Option<Depths>,
    /// It is charted as land.
    pub(crate) on_land: bool,
    /// Nobody has surveyed it.
    pub(crate) unsurveyed: bool,
    /// Depth and distance of the nearest sounding.
    pub(crate) nearest_sounding: Option<(f64, Length)>,
    /// Words for the bottom where they are written nearest.
    pub(crate) bottom: Vec<String>,
    /// How far away that is.
    pub(crate) bottom_distance: Option<Length>,
    /// What lies over it.
    pub(crate) applies: Vec<Applies>,
    /// The zone of confidence, of several the worst; `None`: none is stated.
    pub(crate) zone: Option<Zone>,
}

/// What is told of a place beside its depth: what lies over it and is of these subjects.
const TOLD: [Subject; 14] = [
    Subject::Unsurveyed,
    Subject::Construction,
    Subject::Bottom,
    Subject::Anchorage,
    Subject::Berth,
    Subject::Obstruction,
    Subject::Wreck,
    Subject::Cable,
    Subject::Pipeline,
    Subject::Restricted,
    Subject::Caution,
    Subject::Fairway,
    Subject::Separation,
    Subject::MarineFarm,
];

impl Charts {
    /// What they say of a place.
    pub(crate) fn here(&self, place: Position) -> Here {
        let point = Point { latitude_deg: place.latitude_deg(), longitude_deg: place.longitude_deg() };
        // A chart that ends at the date line has it as 180°, a position as -180°.
        let turned = Point { longitude_deg: 180.0, ..point };
        let at_date_line = point.longitude_deg <= -180.0 && self.covering(point).is_none();
        let point = if at_date_line { turned } else { point };
        let Some(laid) = self.covering(point) else { return Here::UNCHARTED };
        let plane = Plane::at(point);
        let mut here = laid.areas_over(point);
        here.chart = Some(laid.chart.identity().clone());
        here.nearest_sounding = self.nearest_sounding(plane);
        (here.bottom, here.bottom_distance) = self.nearest_bottom(plane);
        here
    }

    /// Of every chart's soundings those count that no better chart lies over.
    fn nearest_sounding(&self, plane: Plane) -> Option<(f64, Length)> {
        let nearest = self.charts.iter().enumerate().filter_map(|(rank, laid)| {
            let (sounding, distance) = plane
                .nearest(&laid.soundings, |sounding| self.on_top(rank, sounding.at).then_some(sounding.at))?;
            Some((sounding.depth_m, distance))
        });
        nearest.min_by(|a, b| a.1.as_metres().total_cmp(&b.1.as_metres()))
    }

    /// No chart of a better scale than the one of this rank lies over a point.
    fn on_top(&self, rank: usize, point: Point) -> bool {
        !self.charts.iter().take(rank).any(|laid| laid.covers(point))
    }

    fn nearest_bottom(&self, plane: Plane) -> (Vec<String>, Option<Length>) {
        let measured = self.charts.iter().flat_map(|laid| &laid.bottoms);
        let measured = measured.filter_map(|bottom| Some((bottom, plane.to_feature_m(&bottom.geometry)?)));
        let nearest = measured.min_by(|a, b| a.1.total_cmp(&b.1));
        nearest.map_or((Vec::new(), None), |(bottom, distance_m)| {
            (bottom.words.clone(), Some(Length::metres(distance_m)))
        })
    }
}

impl Laid {
    /// What its areas say of a point.
    fn areas_over(&self, point: Point) -> Here {
        let mut here = Here::UNCHARTED;
        for (covering, feature) in self.over(point) {
            match covering.subject {
                Subject::DepthArea => here.depth_area = Some(Depths::of(feature).or_shoaler(here.depth_area)),
                Subject::DredgedArea => here.dredged = Some(Depths::of(feature).or_shoaler(here.dredged)),
                Subject::Land => here.on_land = true,
                Subject::Quality => here.add_quality(feature),
                subject => {
                    here.unsurveyed |= subject == Subject::Unsurveyed;
                    here.add(subject, feature);
                }
            }
        }
        here
    }
}

impl Here {
    const UNCHARTED: Self = Self {
        chart: None,
        depth_area: None,
        dredged: None,
        on_land: false,
        unsurveyed: false,
        nearest_sounding: None,
        bottom: Vec::new(),
        bottom_distance: None,
        applies: Vec::new(),
        zone: None,
    };

    /// Also a class that is not listed, and any that restricts something.
    fn add(&mut self, subject: Subject, feature: &Feature) {
        let class = feature.class();
        let restricts = feature.text("RESTRN").is_some();
        if TOLD.contains(&subject) && !feature.is("SBDARE") || restricts || class.listed().is_none() {
            self.applies.push(Applies { class, text: values::told(feature) });
        }
    }

    fn add_quality(&mut self, feature: &Feature) {
        if let Some(&code) = feature.codes("CATZOC").first() {
            let zone = Zone::from_code(code);
            self.zone = Some(self.zone.map_or(zone, |worst| worst.or_worse(zone)));
        }
    }
}

impl Depths {
    fn of(feature: &Feature) -> Self {
        Self { min_m: feature.number_of("DRVAL1"), max_m: feature.number_of("DRVAL2") }
    }

    /// The shoaler of two; a depth that is unknown is the shoalest.
    fn or_shoaler(self, other: Option<Self>) -> Self {
        let Some(other) = other else { return self };
        let least = |depths: Self| depths.min_m.unwrap_or(f64::NEG_INFINITY);
        if least(other) < least(self) { other } else { self }
    }
}

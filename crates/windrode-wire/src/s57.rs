//! Charts: IHO S-57, the form in which hydrographic offices hand out electronic charts.
//!
//! A chart (a *cell*) is a base file and the updates issued since. Two levels: [`iso8211`] knows records, fields and
//! subfields; [`records`] what a chart's records say; [`Chart`] what they mean once they are joined and brought up to
//! date: features by class and attribute, each with its place as points, soundings, lines or an area.
//!
//! A chart is read whole or refused whole, with the first thing that is wrong: damage, records missing or there twice,
//! pointers to nothing, boundaries that do not close, places off the earth, an update missing or out of order. Codes of
//! classes, attributes and values that are not listed are kept. What is odd and can still be used is used, and told
//! ([`Remark`]).
//!
//! Read are charts in the binary form, on WGS 84, in degrees and metres, as the product specification demands of every
//! chart that is handed out; others are refused. Left out: encrypted charts (IHO S-63), exchange sets, text and picture
//! files that features name.
//!
//! Source: IHO S-57 edition 3.1 (2000): part 3, data structure; appendix A, object catalogue; appendix B.1, ENC product
//! specification.

pub mod iso8211;
pub mod records;
pub mod attributes;
pub mod catalogue;
pub mod values;
pub mod geometry;
pub mod quality;
pub mod refusal;
mod place;
mod update;
mod joined;

use std::fmt;

use jiff::civil::Date;

use self::attributes::Attributes;
use self::catalogue::Class;
use self::geometry::{Extent, Geometry};
use self::place::Place;
use self::records::{FeatureRecord, FeatureUse, LongName, SpatialUse};
use self::refusal::ChartError;

/// Most octets of a file that are read: the product specification allows a chart five million.
pub const MOST_BYTES: usize = 32_000_000;

/// Which chart it is, how old, and for which scale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// Name of the cell, such as `US5MA1BO`.
    pub name: String,
    /// Edition.
    pub edition: u32,
    /// The last update in it; 0: none.
    pub update: u32,
    /// When the edition was issued.
    pub issued: Date,
    /// When the last update was issued; `None`: no update was given beside the base file.
    pub updated: Option<Date>,
    /// Compilation scale: 1 in so many.
    pub scale: u32,
    /// Navigational purpose: 1 overview, 2 general, 3 coastal, 4 approach, 5 harbour, 6 berthing; others are kept.
    pub usage: u8,
    /// Who made it, by the code of IHO S-62.
    pub agency: u16,
    /// Datum of soundings, by the code of attribute `VERDAT`.
    pub sounding_datum: u8,
    /// Datum of heights, likewise.
    pub height_datum: u8,
}

impl Identity {
    /// When the chart was last brought up to date by its producer.
    pub fn stands_of(&self) -> Date {
        self.updated.map_or(self.issued, |updated| updated.max(self.issued))
    }
}

/// What is odd in a chart and was used all the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// Updates that the base file held already.
    HeldAlready(Vec<u32>),
    /// Records whose version did not follow the one before.
    OutOfStep(usize),
    /// Boundaries with an edge taken against its stated direction.
    AgainstDirection(usize),
    /// Numbers that cannot be read as such; they count as unknown.
    NoNumber(usize),
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::HeldAlready(updates) => {
                let updates: Vec<String> = updates.iter().map(u32::to_string).collect();
                write!(
                    f,
                    "the chart was issued with updates {} in it; they were passed over",
                    updates.join(", ")
                )
            }
            Self::OutOfStep(count) => {
                write!(f, "{count} changes do not follow the version of the record that they change")
            }
            Self::AgainstDirection(count) => {
                write!(f, "{count} areas only close with an edge taken against its stated direction")
            }
            Self::NoNumber(count) => write!(f, "{count} numbers cannot be read; they count as unknown"),
        }
    }
}

/// A feature of a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    number: u32,
    record: FeatureRecord,
    /// Of each of its records of space, where it stands among those of the chart.
    places: Box<[u32]>,
    extent: Option<Extent>,
}

impl Feature {
    /// A record that is not yet joined to the others.
    fn new(number: u32, mut record: FeatureRecord) -> Self {
        record.features.shrink_to_fit();
        record.spatials.shrink_to_fit();
        Self { number, record, places: Box::default(), extent: None }
    }

    /// Number of its record.
    pub const fn number(&self) -> u32 {
        self.number
    }
    /// Its class.
    pub const fn class(&self) -> Class {
        Class { code: self.record.class_code }
    }
    /// Whether it is of the class of an acronym.
    pub fn is(&self, acronym: &str) -> bool {
        self.class().listed() == Some(acronym)
    }
    /// It is part of the skin of the earth: land, depth areas and the like, which cover the chart without overlap.
    pub const fn is_skin(&self) -> bool {
        self.record.group == 1
    }
    /// Its name in the world, if it has one.
    pub const fn long_name(&self) -> Option<LongName> {
        self.record.long_name
    }
    /// Its attributes with their codes; an empty text: the value is unknown.
    pub const fn attributes(&self) -> &Attributes {
        &self.record.attributes
    }
    /// The same in the language of its producer.
    pub const fn national(&self) -> &Attributes {
        &self.record.national
    }
    /// Features that it points to.
    pub fn related(&self) -> &[FeatureUse] {
        &self.record.features
    }
    /// Records of space that it points to.
    pub fn spatials(&self) -> &[SpatialUse] {
        &self.record.spatials
    }
    /// South, west, north and east of it; `None`: it lies nowhere.
    pub const fn extent(&self) -> Option<Extent> {
        self.extent
    }

    /// The text of an attribute by its acronym; `None`: it has none, or its value is unknown.
    pub fn text(&self, acronym: &str) -> Option<&str> {
        let code = catalogue::attribute_code(acronym)?;
        self.record.attributes.text(code).filter(|text| !text.is_empty())
    }
    /// The number of an attribute; `None`: it has none, or it is unknown. Never taken for zero.
    pub fn number_of(&self, acronym: &str) -> Option<f64> {
        self.text(acronym).and_then(number)
    }
    /// The codes of a list, such as `RESTRN`; what is no code is left out.
    pub fn codes(&self, acronym: &str) -> Vec<u16> {
        let texts = self.text(acronym).unwrap_or_default().split([',', '/']);
        texts.filter_map(|code| code.trim().parse().ok()).collect()
    }
}

/// The name of a cell from that of one of its files, which producers write in capitals or not.
fn cell(file: &str) -> String {
    file.split('.').next().unwrap_or_default().to_ascii_uppercase()
}

/// A number as charts write them.
fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|number: &f64| number.is_finite())
}

/// A chart, joined and brought up to date.
#[derive(Clone, Debug)]
pub struct Chart {
    identity: Identity,
    coordinate_factor: f64,
    sounding_factor: f64,
    features: Vec<Feature>,
    places: Vec<Place>,
    remarks: Vec<Remark>,
}

impl Chart {
    /// Reads a base file and its updates, in order.
    ///
    /// # Errors
    /// [`ChartError`]: the first thing that is wrong; nothing of the chart is then used.
    pub fn read(base: &[u8], updates: &[&[u8]]) -> Result<Self, ChartError> {
        let mut standing = update::base(base)?;
        for bytes in updates {
            standing.apply(bytes)?;
        }
        let bytes = updates.iter().map(|bytes| bytes.len()).sum::<usize>() + base.len();
        joined::chart(standing, bytes)
    }

    /// The name that a base file or an update gives its cell, such as `US5MA1BO`, without reading further.
    ///
    /// # Errors
    /// [`ChartError`]: the file does not begin as a chart does.
    pub fn name_in(bytes: &[u8]) -> Result<String, ChartError> {
        records::identity(bytes).map(|identity| cell(&identity.name))
    }

    /// Which chart it is.
    pub const fn identity(&self) -> &Identity {
        &self.identity
    }
    /// What is odd in it.
    pub fn remarks(&self) -> &[Remark] {
        &self.remarks
    }
    /// Its features, in order of their numbers.
    pub fn features(&self) -> &[Feature] {
        &self.features
    }
    /// The feature of a number.
    pub fn feature(&self, number: u32) -> Option<&Feature> {
        let place = self.features.binary_search_by_key(&number, Feature::number).ok()?;
        self.features.get(place)
    }
    /// The features of a class, by its acronym.
    pub fn of<'a>(&'a self, acronym: &str) -> impl Iterator<Item = &'a Feature> + use<'a> {
        let class = Class::named(acronym);
        self.features.iter().filter(move |feature| Some(feature.class()) == class)
    }
    /// Attributes of the records of space that a feature lies on, such as the quality of positions (`QUAPOS`).
    pub fn attributes_of_place<'a>(&'a self, feature: &'a Feature) -> impl Iterator<Item = (u16, &'a str)> {
        self.places_of(feature).flatten().filter_map(Place::attributes).flat_map(Attributes::iter)
    }
    /// Where a feature of this chart lies, joined anew at each call, so that a chart takes little memory.
    pub fn geometry(&self, feature: &Feature) -> Geometry {
        self.joined(feature).unwrap_or(Geometry::None)
    }
}

//! What the codes of a chart stand for: object classes, attributes, and the subjects that matter to who lies at anchor.
//!
//! Producers use classes and attributes of their own, and later editions add some. A code that is not listed is kept
//! by its number and shown as such.
//!
//! Source: IHO S-57 edition 3.1, appendix A, chapters 1 and 2.

mod tables;

use std::borrow::Cow;

/// A class of objects: `OBJL`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Class {
    /// Its code.
    pub code: u16,
}

impl Class {
    /// Of an acronym such as `DEPARE`.
    pub fn named(acronym: &str) -> Option<Self> {
        tables::CLASSES.iter().find(|row| row.1 == acronym).map(|row| Self { code: row.0 })
    }

    /// Its acronym; `None` for a code that is not listed.
    pub fn listed(self) -> Option<&'static str> {
        let place = tables::CLASSES.binary_search_by_key(&self.code, |row| row.0).ok()?;
        tables::CLASSES.get(place).map(|row| row.1)
    }

    /// Its acronym, or its code where that is not listed.
    pub fn acronym(self) -> Cow<'static, str> {
        self.listed().map_or_else(|| Cow::Owned(self.code.to_string()), Cow::Borrowed)
    }

    /// Its name in words.
    pub fn name(self) -> Cow<'static, str> {
        let place = tables::CLASSES.binary_search_by_key(&self.code, |row| row.0);
        match place.ok().and_then(|place| tables::CLASSES.get(place)) {
            Some(row) => Cow::Borrowed(row.2),
            None => Cow::Owned(format!("object of unlisted class {}", self.code)),
        }
    }

    /// What it is to who lies at anchor.
    pub fn subject(self) -> Subject {
        let acronym = self.listed().unwrap_or_default();
        SUBJECTS.iter().find(|row| row.1.contains(&acronym)).map_or(Subject::Other, |row| row.0)
    }
}

/// What a class of objects is to who lies at anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// Water between two depths.
    DepthArea,
    /// A line of one depth.
    Contour,
    /// Depths at points.
    Sounding,
    /// Water dug out to a depth.
    DredgedArea,
    /// Ground that nobody has sounded.
    Unsurveyed,
    /// Land.
    Land,
    /// Where land begins.
    Coastline,
    /// What is built into the water: piers, walls, pontoons, piles, bridges.
    Construction,
    /// What the bottom is of, and what grows on it.
    Bottom,
    /// Ground set aside for lying at anchor.
    Anchorage,
    /// A place set aside for one vessel, afloat or alongside.
    Berth,
    /// Something in the way.
    Obstruction,
    /// A wreck.
    Wreck,
    /// A rock under water or awash.
    Rock,
    /// A cable, on the bottom or over the water.
    Cable,
    /// A pipeline.
    Pipeline,
    /// Ground on which something is forbidden or restricted.
    Restricted,
    /// Ground for which caution is asked.
    Caution,
    /// Where ships pass.
    Fairway,
    /// Where ships are kept apart.
    Separation,
    /// Where something is farmed.
    MarineFarm,
    /// A buoy, beacon or light.
    Mark,
    /// Something ashore that can be seen from afar.
    Landmark,
    /// How far the chart can be trusted.
    Quality,
    /// Where the chart has data.
    Coverage,
    /// Anything else.
    Other,
}

/// The classes of each subject.
const SUBJECTS: &[(Subject, &[&str])] = &[
    (Subject::DepthArea, &["DEPARE"]),
    (Subject::Contour, &["DEPCNT"]),
    (Subject::Sounding, &["SOUNDG"]),
    (Subject::DredgedArea, &["DRGARE"]),
    (Subject::Unsurveyed, &["UNSARE"]),
    (Subject::Land, &["LNDARE"]),
    (Subject::Coastline, &["COALNE"]),
    (
        Subject::Construction,
        &[
            "SLCONS", "PONTON", "HULKES", "FLODOC", "PILPNT", "MORFAC", "BRIDGE", "DAMCON", "GATCON",
            "DYKCON", "CAUSWY", "LOGPON", "OFSPLF", "PYLONS",
        ],
    ),
    (Subject::Bottom, &["SBDARE", "WEDKLP", "SNDWAV", "SPRING"]),
    (Subject::Anchorage, &["ACHARE"]),
    (Subject::Berth, &["ACHBRT", "BERTHS"]),
    (Subject::Obstruction, &["OBSTRN", "FSHFAC"]),
    (Subject::Wreck, &["WRECKS"]),
    (Subject::Rock, &["UWTROC"]),
    (Subject::Cable, &["CBLARE", "CBLSUB", "CBLOHD"]),
    (Subject::Pipeline, &["PIPARE", "PIPSOL", "PIPOHD"]),
    (Subject::Restricted, &["RESARE", "MIPARE", "SPLARE", "DMPGRD", "OSPARE", "SUBTLN", "ICNARE"]),
    (Subject::Caution, &["CTNARE", "PRCARE"]),
    (
        Subject::Fairway,
        &["FAIRWY", "DWRTCL", "DWRTPT", "RECTRC", "RCRTCL", "RCTLPT", "TWRTPT", "FERYRT", "NAVLNE"],
    ),
    (Subject::Separation, &["TSELNE", "TSEZNE", "TSSBND", "TSSCRS", "TSSLPT", "TSSRON", "ISTZNE"]),
    (Subject::MarineFarm, &["MARCUL"]),
    (
        Subject::Mark,
        &[
            "BOYCAR", "BOYINB", "BOYISD", "BOYLAT", "BOYSAW", "BOYSPP", "BCNCAR", "BCNISD", "BCNLAT",
            "BCNSAW", "BCNSPP", "LIGHTS", "LITFLT", "LITVES", "DAYMAR", "TOPMAR", "FOGSIG", "RTPBCN",
        ],
    ),
    (Subject::Landmark, &["LNDMRK", "SILTNK", "BUISGL", "LNDELV", "CRANES", "FORSTC"]),
    (Subject::Quality, &["M_QUAL", "M_SREL", "M_ACCY"]),
    (Subject::Coverage, &["M_COVR", "M_CSCL"]),
];

/// The acronym of an attribute's code; `None` where it is not listed.
pub fn attribute(code: u16) -> Option<&'static str> {
    let place = tables::ATTRIBUTES.binary_search_by_key(&code, |row| row.0).ok()?;
    tables::ATTRIBUTES.get(place).map(|row| row.1)
}

/// The name of an attribute in words.
pub fn attribute_name(code: u16) -> Option<&'static str> {
    let place = tables::ATTRIBUTES.binary_search_by_key(&code, |row| row.0).ok()?;
    tables::ATTRIBUTES.get(place).map(|row| row.2)
}

/// The code of an attribute such as `DRVAL1`.
pub fn attribute_code(acronym: &str) -> Option<u16> {
    tables::ATTRIBUTES.iter().find(|row| row.1 == acronym).map(|row| row.0)
}

/// Whether the catalogue has a number for the value of an attribute.
pub(super) fn is_number(code: u16) -> bool {
    let place = tables::ATTRIBUTES.binary_search_by_key(&code, |row| row.0);
    place.ok().and_then(|place| tables::ATTRIBUTES.get(place)).is_some_and(|row| row.3)
}

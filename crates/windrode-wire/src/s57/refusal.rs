//! Why a chart is refused. It is refused whole: nothing of it is used.

use super::iso8211::{Damage, Tag};
use super::records::Name;

/// Why a chart is refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ChartError {
    /// More than is read.
    #[error("the file of {bytes} bytes is larger than {most}, several times the largest chart there may be")]
    TooLarge {
        /// How large it is.
        bytes: usize,
        /// How large it may be.
        most: usize,
    },
    /// The records cannot be followed.
    #[error(transparent)]
    Damage(Damage),
    /// No identity in the first record.
    #[error("the file does not begin with the identity of a chart (DSID and DSSI)")]
    NoIdentity,
    /// The list of an exchange set.
    #[error("this is the catalogue of an exchange set, not a chart; give one of the charts that it lists")]
    Catalogue,
    /// A field that has no place in a chart, or not there.
    #[error("the field {tag} has no place in the record at byte {at}")]
    UnexpectedField {
        /// Which.
        tag: Tag,
        /// Where the record begins.
        at: usize,
    },
    /// A value that cannot be.
    #[error("{label} of the field {tag} in the record at byte {at} is missing or cannot be")]
    Subfield {
        /// The field.
        tag: Tag,
        /// The subfield.
        label: &'static str,
        /// Where the record begins.
        at: usize,
    },
    /// Not as many records as stated.
    #[error("the file says to hold {stated} {what} and holds {found}: it is damaged or cut off")]
    Counts {
        /// Of what.
        what: &'static str,
        /// As it says.
        stated: u64,
        /// As it is.
        found: u64,
    },
    /// An update where a chart is wanted.
    #[error(
        "this is an update ({name}), not a chart: give the chart (.000) and the update's folder beside it"
    )]
    UpdateAlone {
        /// Its name.
        name: String,
    },
    /// A chart where an update is wanted.
    #[error("this is a chart ({name}), not an update")]
    NotAnUpdate {
        /// Its name.
        name: String,
    },
    /// No parameters.
    #[error("the chart does not state its units and datums (DSPM)")]
    NoParameters,
    /// A parameter that is not read.
    #[error("{what} is {code}; only {only} is read")]
    Parameter {
        /// Which.
        what: &'static str,
        /// Its code or number.
        code: u32,
        /// What is read.
        only: &'static str,
    },
    /// A number or a date of the identity that cannot be.
    #[error("{what} is \"{text}\", which it cannot be")]
    Stated {
        /// Which.
        what: &'static str,
        /// As it stands.
        text: String,
    },
    /// An update of another edition.
    #[error(
        "the update {name} is of edition {edition}, the chart of edition {chart_edition}: fetch both anew"
    )]
    OtherEdition {
        /// The update's name.
        name: String,
        /// Its edition.
        edition: u32,
        /// The chart's.
        chart_edition: u32,
    },
    /// An update of another chart.
    #[error("the update {name} is of another chart than {chart}")]
    OtherChart {
        /// The update's name.
        name: String,
        /// The chart's.
        chart: String,
    },
    /// An update that does not follow.
    #[error("update {expected} is missing: after update {reached} comes {found}")]
    OutOfSequence {
        /// As far as the chart had come.
        reached: u32,
        /// What must follow.
        expected: u32,
        /// What was given.
        found: u32,
    },
    /// The producer has withdrawn the chart.
    #[error("the update {name} withdraws the chart: its producer no longer stands by it")]
    Withdrawn {
        /// The update's name.
        name: String,
    },
    /// A record that is there twice.
    #[error("{record} is there twice")]
    Twice {
        /// Which.
        record: RecordWord,
    },
    /// A base cell that deletes or modifies.
    #[error("{record} is to be changed in a chart that has nothing before it")]
    NotNew {
        /// Which.
        record: RecordWord,
    },
    /// A change to what is not there.
    #[error("{record} is to be changed and is not there")]
    Absent {
        /// Which.
        record: RecordWord,
    },
    /// A change that makes it something else.
    #[error("{record} would become of another class or kind")]
    OtherKind {
        /// Which.
        record: RecordWord,
    },
    /// A control that reaches out of its list, or brings another number of entries than it says.
    #[error("the list of {list} of {record} has {len} entries: {count} from place {from} cannot be changed")]
    Control {
        /// Which record.
        record: RecordWord,
        /// Which list.
        list: &'static str,
        /// How long it is.
        len: usize,
        /// From which place.
        from: usize,
        /// How many.
        count: usize,
    },
    /// A list in an update without what is to be done with it, or the other way round.
    #[error("what is to be done with the list of {list} of {record} is not said, or with nothing")]
    NoControl {
        /// Which record.
        record: RecordWord,
        /// Which list.
        list: &'static str,
    },
    /// More work than updates may ask for.
    #[error("the updates ask for more work than any update may")]
    TooMuchWork,
    /// A pointer to what is not there.
    #[error("{record} points to {to}, which is not there")]
    Dangling {
        /// Which.
        record: RecordWord,
        /// To what.
        to: RecordWord,
    },
    /// A record of space that is not what it has to be.
    #[error("{record} {why}")]
    Shape {
        /// Which.
        record: RecordWord,
        /// What is wrong with it.
        why: &'static str,
    },
    /// More corners than are drawn.
    #[error("the features have more than {most} corners between them, more than the file can hold honestly")]
    TooManyCorners {
        /// How many they may have.
        most: usize,
    },
}

/// A record in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecordWord {
    /// Of space.
    Spatial(Name),
    /// Of a feature, by its number.
    Feature(u32),
}

impl core::fmt::Display for RecordWord {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Feature(number) => write!(f, "feature {number}"),
            Self::Spatial(Name { kind, number }) => {
                let kind = match *kind {
                    super::records::ISOLATED_NODE => "isolated node",
                    super::records::CONNECTED_NODE => "connected node",
                    super::records::EDGE => "edge",
                    super::records::FACE => "face",
                    _ => "record of unknown kind",
                };
                write!(f, "{kind} {number}")
            }
        }
    }
}

//! Who has heard which alarm: the crew's last word about each, so that nobody asks in the dark who is up.

use std::collections::BTreeMap;

use jiff::Timestamp;
use windrode_domain::watch::effect::AlarmKind;

use crate::crew_words::alarm_code;
use crate::telling::Speaker;

/// The last word about an alarm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Said {
    /// When.
    pub(crate) at: Timestamp,
    /// `acknowledge`, `silence` or `clear`.
    pub(crate) word: String,
    /// Who.
    pub(crate) by: Speaker,
}

/// The last word about each alarm, by its code.
pub(crate) type Saids = BTreeMap<String, Said>;

/// Notes what was said about some alarms, oldest first.
pub(crate) fn note(saids: &mut Saids, alarms: &[AlarmKind], line: &str, by: &Speaker, at: Timestamp) {
    for &kind in alarms {
        saids.insert(alarm_code(kind), Said { at, word: word(line), by: by.clone() });
    }
}

/// The word that a line begins with, in its long form.
pub(crate) fn word(line: &str) -> String {
    let word = line.split_whitespace().next().unwrap_or_default().to_lowercase();
    if word == "ack" { "acknowledge".to_owned() } else { word }
}

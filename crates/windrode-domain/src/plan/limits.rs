//! The limits between the four words: named, set by the crew, printed on every sheet.

use crate::units::Length;

/// Where one word ends and the next begins.
///
/// All are judged at the 90th percentile of what is uncertain, on the unfavourable side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Chance of dragging in the stay above which: do not lie here.
    pub chance_refuse: f64,
    /// Chance of dragging in the stay above which: with care.
    pub chance_care: f64,
    /// Least water under the keel below which: do not lie here.
    pub under_keel_refuse: Length,
    /// Least water under the keel below which: with care.
    pub under_keel_care: Length,
    /// Least room to anything below which: do not lie here.
    pub room_refuse: Length,
    /// Least room below which: with care; `None` means one length of the boat.
    pub room_care: Option<Length>,
    /// Share of a part's working load above which the peak calls for care.
    pub part_care_share: f64,
}

impl Limits {
    /// Room below which: with care, for a boat of this length.
    pub fn room_care_for(self, length_overall: Length) -> Length {
        self.room_care.unwrap_or(length_overall)
    }
}

impl Default for Limits {
    /// The printed defaults: 5 % and 1 %, 0.3 m and 0.8 m, 5 m and one length, half the working load. They are the
    /// trade's habits put into figures (common practice, no source), which the crew may set otherwise.
    fn default() -> Self {
        Self {
            chance_refuse: 0.05,
            chance_care: 0.01,
            under_keel_refuse: Length::metres(0.3),
            under_keel_care: Length::metres(0.8),
            room_refuse: Length::metres(5.0),
            room_care: None,
            part_care_share: 0.5,
        }
    }
}

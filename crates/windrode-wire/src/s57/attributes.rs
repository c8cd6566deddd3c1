//! Attributes of a record, packed: a chart holds tens of thousands of them.

use super::iso8211::Level;

/// The text that deletes an attribute in an update.
const DELETED: &str = "\u{7f}";

/// Codes of the attribute catalogue with the texts that stand behind them, in the record's order. An empty text: the
/// value is unknown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Attributes {
    texts: Box<str>,
    /// Of each its code, and where its text ends; it begins where the one before ends.
    ends: Box<[(u16, u32)]>,
}

impl Attributes {
    /// Each with its code.
    pub fn iter(&self) -> impl Iterator<Item = (u16, &str)> {
        let mut begins = 0;
        self.ends.iter().map(move |&(code, end)| {
            let end = end as usize;
            let text = self.texts.get(begins..end).unwrap_or_default();
            begins = end;
            (code, text)
        })
    }

    /// The text of a code; `None`: there is no such attribute.
    pub fn text(&self, code: u16) -> Option<&str> {
        self.iter().find(|(own, _)| *own == code).map(|(_, text)| text)
    }

    /// None at all.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// With those of an update: replaced, added, or deleted. To delete what is not there leaves it not there.
    #[must_use]
    pub(super) fn updated(&self, with: &Self) -> Self {
        if with.is_empty() {
            return self.clone();
        }
        let mut growing = Growing::default();
        let kept = self.iter().map(|(code, text)| (code, with.text(code).unwrap_or(text)));
        let added = with.iter().filter(|(code, _)| self.text(*code).is_none());
        for (code, text) in kept.chain(added).filter(|(_, text)| *text != DELETED) {
            growing.texts.push_str(text);
            growing.end(code);
        }
        growing.packed()
    }
}

/// Attributes while their field is read.
#[derive(Debug, Default)]
pub(super) struct Growing {
    texts: String,
    ends: Vec<(u16, u32)>,
}

/// Octets that an attribute takes on an average: its code, some digits or words, its end.
const OCTETS_EACH: usize = 12;

impl Growing {
    /// With room for the texts of a field of so many octets.
    pub(super) fn for_octets(octets: usize) -> Self {
        Self { texts: String::with_capacity(octets), ends: Vec::with_capacity(octets / OCTETS_EACH) }
    }

    /// Adds one as it stands in the file.
    pub(super) fn add(&mut self, code: u16, level: Level, octets: &[u8]) {
        level.text_onto(octets, &mut self.texts);
        self.end(code);
    }

    fn end(&mut self, code: u16) {
        // A file, and with it any of its texts, is far shorter than four thousand million octets.
        self.ends.push((code, u32::try_from(self.texts.len()).unwrap_or(u32::MAX)));
    }

    pub(super) fn packed(self) -> Attributes {
        Attributes { texts: self.texts.into_boxed_str(), ends: self.ends.into_boxed_slice() }
    }
}

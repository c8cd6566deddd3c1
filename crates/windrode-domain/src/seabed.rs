//! The nature of the bottom, in the chart's words.
//!
//! A chart gives the surface of the bottom as a list of natures, the most important first, each perhaps qualified:
//! "fine sand and shells", "mud over rock". The anchor goes where it goes in such a mixture, so a bottom is judged by
//! the worst of what is named, and one that nobody named by the worst that ground can be. Weed over it is the crew's
//! own word; charts seldom show it.
//!
//! Codes: IHO S-57 edition 3.1, appendix A chapter 2 (attribute catalogue), attributes NATSUR (113) and NATQUA (114);
//! values from memory of that catalogue, high confidence. Left out: the thickness of a layer, which charts do not
//! give.

use crate::uncertain::Origin;

/// Nature of the surface of the bottom: IHO S-57 NATSUR.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Nature {
    /// Soft, wet earth.
    Mud,
    /// Stiff, sticky earth.
    Clay,
    /// Finer than sand, coarser than clay.
    Silt,
    /// Sand.
    Sand,
    /// Stone, of no stated size.
    Stone,
    /// Gravel, 2 to 4 mm.
    Gravel,
    /// Pebbles, 4 to 64 mm.
    Pebbles,
    /// Cobbles, 64 to 256 mm.
    Cobbles,
    /// Rock.
    Rock,
    /// Lava.
    Lava,
    /// Coral.
    Coral,
    /// Shells.
    Shells,
    /// Boulders, above 256 mm.
    Boulder,
    /// A code that the edition read here does not list, kept so that it can be shown; judged as unknown.
    Unlisted(u8),
}

/// Every listed nature with its code and the words a crew or a chart may use for it; the first is its own.
const NATURES: [(u8, Nature, &[&str]); 13] = [
    (1, Nature::Mud, &["mud", "ooze"]),
    (2, Nature::Clay, &["clay"]),
    (3, Nature::Silt, &["silt"]),
    (4, Nature::Sand, &["sand"]),
    (5, Nature::Stone, &["stone", "stones"]),
    (6, Nature::Gravel, &["gravel"]),
    (7, Nature::Pebbles, &["pebbles", "pebble", "shingle"]),
    (8, Nature::Cobbles, &["cobbles", "cobble"]),
    (9, Nature::Rock, &["rock", "rocks", "rocky"]),
    (11, Nature::Lava, &["lava"]),
    (14, Nature::Coral, &["coral"]),
    (17, Nature::Shells, &["shells", "shell"]),
    (18, Nature::Boulder, &["boulder", "boulders"]),
];

/// The chart's own words for what the bottom is of.
pub fn nature_words() -> impl Iterator<Item = &'static str> {
    NATURES.iter().filter_map(|row| row.2.first().copied())
}

/// The chart's own words for how that is.
pub fn qualifier_words() -> impl Iterator<Item = &'static str> {
    QUALIFIERS.iter().filter_map(|row| row.2.first().copied())
}

impl Nature {
    /// From the S-57 code; a code not listed is kept.
    pub fn from_code(code: u8) -> Self {
        NATURES.iter().find(|row| row.0 == code).map_or(Self::Unlisted(code), |row| row.1)
    }
    /// The S-57 code.
    pub fn code(self) -> u8 {
        match self {
            Self::Unlisted(code) => code,
            listed => NATURES.iter().find(|row| row.1 == listed).map_or(0, |row| row.0),
        }
    }
    /// The chart's word; "unlisted" for a code that has none here.
    pub fn word(self) -> &'static str {
        NATURES.iter().find(|row| row.1 == self).map_or("unlisted", |row| row.2[0])
    }
}

/// Qualification of a nature: IHO S-57 NATQUA.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Qualifier {
    /// Fine grains.
    Fine,
    /// Medium grains.
    Medium,
    /// Coarse grains.
    Coarse,
    /// Broken pieces.
    Broken,
    /// Sticky.
    Sticky,
    /// Soft.
    Soft,
    /// Stiff.
    Stiff,
    /// Volcanic.
    Volcanic,
    /// Calcareous.
    Calcareous,
    /// Hard.
    Hard,
}

/// Every qualifier with its code and its words.
const QUALIFIERS: [(u8, Qualifier, &[&str]); 10] = [
    (1, Qualifier::Fine, &["fine"]),
    (2, Qualifier::Medium, &["medium"]),
    (3, Qualifier::Coarse, &["coarse"]),
    (4, Qualifier::Broken, &["broken"]),
    (5, Qualifier::Sticky, &["sticky"]),
    (6, Qualifier::Soft, &["soft", "loose"]),
    (7, Qualifier::Stiff, &["stiff", "firm"]),
    (8, Qualifier::Volcanic, &["volcanic"]),
    (9, Qualifier::Calcareous, &["calcareous"]),
    (10, Qualifier::Hard, &["hard"]),
];

impl Qualifier {
    /// From the S-57 code; `None` if it is not listed.
    pub fn from_code(code: u8) -> Option<Self> {
        QUALIFIERS.iter().find(|row| row.0 == code).map(|row| row.1)
    }
    /// The S-57 code.
    pub fn code(self) -> u8 {
        QUALIFIERS.iter().find(|row| row.1 == self).map_or(0, |row| row.0)
    }
    /// The chart's word.
    pub fn word(self) -> &'static str {
        QUALIFIERS.iter().find(|row| row.1 == self).map_or("", |row| row.2[0])
    }
}

/// Words for plants on the bottom, which an anchor must get through. S-57 keeps them apart (object class WEDKLP).
const WEED_WORDS: [&str; 6] = ["weed", "seagrass", "grass", "kelp", "eelgrass", "seaweed"];
/// Words that join others and say nothing of the bottom.
const JOINING_WORDS: [&str; 6] = ["and", "with", "over", "on", "some", "of"];
/// Words that say that nobody knows.
const UNKNOWN_WORDS: [&str; 2] = ["unknown", "unsurveyed"];

/// The bottom at the anchor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bottom {
    /// What it is of, in the chart's order, mixed or one over another; empty: nobody says.
    pub natures: Vec<Nature>,
    /// Qualification of the first, if one is given.
    pub qualifier: Option<Qualifier>,
    /// Weed, kelp or seagrass grows on it.
    pub weed: bool,
    /// Who says so.
    pub origin: Origin,
}

/// A word that names no bottom.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{word}\" is no word for a bottom; the nearest is \"{nearest}\"")]
pub struct UnknownWord {
    /// What was written.
    pub word: String,
    /// The nearest word that means something.
    pub nearest: &'static str,
}

impl Bottom {
    /// A bottom that nobody has named.
    pub const fn unknown() -> Self {
        Self { natures: Vec::new(), qualifier: None, weed: false, origin: Origin::Assumed }
    }
    /// Nobody says what it is of, or only by codes that say nothing here.
    pub fn is_unknown(&self) -> bool {
        self.natures.iter().all(|nature| matches!(nature, Nature::Unlisted(_)))
    }
    /// From English words: "fine sand and shells", "mud over rock", "sand, weed"; "unknown" or nothing names none.
    ///
    /// The first qualifier read is kept, for the first nature; others may be written.
    ///
    /// # Errors
    /// One [`UnknownWord`] for every word that means nothing, with the nearest that does.
    pub fn parse(words: &str, origin: Origin) -> Result<Self, Vec<UnknownWord>> {
        let mut bottom = Self { origin, ..Self::unknown() };
        let mut errors = Vec::new();
        let separates = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '/' | '.' | '+' | '&');
        for written in words.split(separates).filter(|word| !word.is_empty()) {
            let word = written.to_lowercase();
            if let Err(error) = bottom.take_word(&word) {
                errors.push(error);
            }
        }
        if errors.is_empty() { Ok(bottom) } else { Err(errors) }
    }

    /// Adds what one lower-case word says.
    fn take_word(&mut self, word: &str) -> Result<(), UnknownWord> {
        if let Some(row) = NATURES.iter().find(|row| row.2.contains(&word)) {
            self.natures.push(row.1);
        } else if let Some(row) = QUALIFIERS.iter().find(|row| row.2.contains(&word)) {
            self.qualifier = self.qualifier.or(Some(row.1));
        } else if WEED_WORDS.contains(&word) {
            self.weed = true;
        } else if !JOINING_WORDS.contains(&word) && !UNKNOWN_WORDS.contains(&word) {
            return Err(UnknownWord { word: word.to_owned(), nearest: nearest_word(word) });
        }
        Ok(())
    }

    /// In words: "fine sand, shells, weed", or "unknown".
    pub fn words(&self) -> String {
        let mut parts: Vec<String> = Vec::new();
        for nature in &self.natures {
            parts.push(match nature {
                Nature::Unlisted(code) => format!("unlisted nature {code}"),
                listed => listed.word().to_owned(),
            });
        }
        if let (Some(qualifier), Some(first)) = (self.qualifier, parts.first_mut()) {
            *first = format!("{} {first}", qualifier.word());
        }
        if parts.is_empty() {
            parts.push("unknown".to_owned());
        }
        if self.weed {
            parts.push("weed".to_owned());
        }
        parts.join(", ")
    }
}

/// The word of this module that takes the fewest letters changed, added or left out to become.
fn nearest_word(word: &str) -> &'static str {
    let natures = NATURES.iter().flat_map(|row| row.2);
    let qualifiers = QUALIFIERS.iter().flat_map(|row| row.2);
    let all = natures.chain(qualifiers).chain(&WEED_WORDS);
    all.min_by_key(|known| letters_apart(word, known)).copied().unwrap_or("unknown")
}

/// Levenshtein's distance: letters changed, added or left out.
fn letters_apart(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, letter) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, other) in b.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *other);
            diagonal = row[j + 1];
            row[j + 1] = changed.min(row[j] + 1).min(diagonal + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_listed_nature_goes_to_its_code_and_back() {
        for (code, nature, words) in NATURES {
            assert_eq!(Nature::from_code(code), nature);
            assert_eq!(nature.code(), code);
            for word in words {
                assert_eq!(Bottom::parse(word, Origin::Given).unwrap().natures, [nature]);
            }
        }
        for (code, qualifier, _) in QUALIFIERS {
            assert_eq!(Qualifier::from_code(code), Some(qualifier));
            assert_eq!(qualifier.code(), code);
        }
    }

    // IHO S-57 3.1 appendix A: NATSUR 4 is sand, 17 shells; NATQUA 1 is fine. From memory.
    #[test]
    fn fine_sand_and_shells_reads_as_the_chart_codes_it() {
        let bottom = Bottom::parse("Fine sand and shells", Origin::Given).unwrap();
        let codes: Vec<u8> = bottom.natures.iter().map(|nature| nature.code()).collect();
        assert_eq!((codes, bottom.qualifier.map(Qualifier::code)), (vec![4, 17], Some(1)));
        assert_eq!(bottom.words(), "fine sand, shells");
    }

    #[test]
    fn a_code_not_listed_is_kept_and_stays_unknown() {
        let bottom = Bottom { natures: vec![Nature::from_code(12)], ..Bottom::unknown() };
        assert_eq!(bottom.natures[0].code(), 12);
        assert!(bottom.is_unknown());
        assert_eq!(bottom.words(), "unlisted nature 12");
    }

    #[test]
    fn nothing_said_is_unknown() {
        for words in ["", "unknown", " , "] {
            assert!(Bottom::parse(words, Origin::Given).unwrap().is_unknown());
        }
    }

    #[test]
    fn every_word_that_means_nothing_is_named_with_the_nearest_that_does() {
        let errors = Bottom::parse("snad, weed, claay", Origin::Given).unwrap_err();
        let nearest: Vec<_> = errors.iter().map(|error| error.nearest).collect();
        assert_eq!(nearest, ["sand", "clay"]);
    }

    #[test]
    fn weed_is_no_nature_of_the_ground_but_is_kept() {
        let bottom = Bottom::parse("sand weed", Origin::Given).unwrap();
        assert!(bottom.weed && bottom.natures == [Nature::Sand]);
    }
}

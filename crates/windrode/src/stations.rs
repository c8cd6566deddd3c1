//! The tide and current stations that the program carries: found by identity, by name, by distance.
//!
//! They are embedded as packed bytes ([`windrode_wire::stations`]); nothing is unpacked until it is asked for.

use windrode_domain::environment::tide::harmonic::Convention;
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length};
use windrode_wire::stations::{Entry, Stations, StationsError};

/// Packed by `builders/stations.py`; sources and licences in `data/README.md`.
static PACKED: &[u8] = include_bytes!("../../../data/stations.bin");

/// Names this much like what was asked for are worth suggesting: a letter or two wrong in a word.
const LIKE_ENOUGH: f64 = 0.75;

/// A station and where it lies from somewhere.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Near {
    /// The station.
    pub(crate) entry: Entry<'static>,
    /// How far.
    pub(crate) distance: Length,
    /// Which way, true.
    pub(crate) bearing: Bearing,
}

/// What an identity as people type it stands for.
#[derive(Clone, Debug)]
pub(crate) enum Named {
    /// One station.
    Station(Box<Entry<'static>>),
    /// None; these are most like it.
    Unknown(Vec<Entry<'static>>),
}

/// All of them.
pub(crate) fn all() -> Result<Stations<'static>, StationsError> {
    Stations::read(PACKED)
}

/// How a station's own service takes node factors: the American one holds them through the year; TICON-4 was analysed
/// with factors of every instant.
pub(crate) fn convention(entry: &Entry<'_>) -> Convention {
    if entry.id.starts_with("noaa/") { Convention::UsTables } else { Convention::Continuous }
}

/// The station of an identity, with its source before it or not, in capitals or not.
pub(crate) fn named(text: &str) -> Result<Named, StationsError> {
    let stations = all()?;
    for id in [text.to_owned(), format!("noaa/{text}"), format!("ticon/{text}")] {
        if let Some(entry) = stations.find(&id)? {
            return Ok(Named::Station(Box::new(entry)));
        }
    }
    let bare = |id: &str| id.split_once('/').map_or(id, |(_, bare)| bare).to_owned();
    let mut like = Vec::new();
    for entry in stations.iter() {
        let entry = entry?;
        let whole = bare(entry.id);
        if [entry.id, &whole].iter().any(|id| id.eq_ignore_ascii_case(text)) {
            return Ok(Named::Station(Box::new(entry)));
        }
        let likeness = strsim::jaro_winkler(&folded(text), &folded(entry.name))
            .max(strsim::jaro_winkler(&folded(&bare(text)), &folded(&whole)));
        like.push((likeness, entry));
    }
    like.sort_by(|a, b| b.0.total_cmp(&a.0));
    let close = like.into_iter().take_while(|(likeness, _)| LIKE_ENOUGH < *likeness);
    Ok(Named::Unknown(close.take(5).map(|(_, entry)| entry).collect()))
}

/// Stations whose names hold every word asked for, whatever its capitals and accents; names that begin with the
/// first word come first.
pub(crate) fn searched(text: &str) -> Result<Vec<Entry<'static>>, StationsError> {
    let words: Vec<String> = folded(text).split_whitespace().map(str::to_owned).collect();
    let mut found = Vec::new();
    for entry in all()?.iter() {
        let entry = entry?;
        let name = folded(entry.name);
        if words.iter().all(|word| name.contains(word)) {
            let begins = words.first().is_some_and(|word| name.starts_with(word));
            found.push((!begins, name.len(), entry));
        }
    }
    found.sort_by_key(|(later, length, entry)| (*later, *length, entry.id));
    Ok(found.into_iter().map(|(_, _, entry)| entry).collect())
}

/// The stations nearest to a position, nearest first.
pub(crate) fn near(position: Position, count: usize) -> Result<Vec<Near>, StationsError> {
    let mut found = Vec::new();
    for entry in all()?.iter() {
        let entry = entry?;
        let (distance, bearing) = position.towards(entry.position);
        found.push(Near { entry, distance, bearing });
    }
    found.sort_by(|a, b| a.distance.as_metres().total_cmp(&b.distance.as_metres()));
    found.truncate(count);
    Ok(found)
}

/// Small letters without accents, as far as Latin scripts go.
fn folded(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars().flat_map(char::to_lowercase) {
        match letter {
            'à' | 'á' | 'â' | 'ã' | 'å' | 'ā' | 'ă' | 'ą' => plain.push('a'),
            'ç' | 'ć' | 'č' => plain.push('c'),
            'ð' | 'ď' | 'đ' => plain.push('d'),
            'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' => plain.push('e'),
            'ğ' | 'ģ' => plain.push('g'),
            'ì' | 'í' | 'î' | 'ï' | 'ī' | 'ı' => plain.push('i'),
            'ł' | 'ļ' => plain.push('l'),
            'ñ' | 'ń' | 'ň' | 'ņ' => plain.push('n'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ō' | 'ő' => plain.push('o'),
            'ř' => plain.push('r'),
            'ś' | 'š' | 'ş' => plain.push('s'),
            'ť' | 'ţ' => plain.push('t'),
            'ù' | 'ú' | 'û' | 'ū' | 'ů' | 'ű' => plain.push('u'),
            'ý' | 'ÿ' => plain.push('y'),
            'ź' | 'ž' | 'ż' => plain.push('z'),
            'ä' | 'æ' => plain.push_str("ae"),
            'ö' | 'ø' | 'œ' => plain.push_str("oe"),
            'ü' => plain.push_str("ue"),
            'ß' => plain.push_str("ss"),
            'þ' => plain.push_str("th"),
            // Left by letters that lower to a letter and a combining mark.
            '\u{300}'..='\u{36f}' => {}
            _ if letter.is_alphanumeric() => plain.push(letter),
            _ => plain.push(' '),
        }
    }
    plain
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(text: &str) -> Option<&'static str> {
        match named(text).expect("sound bytes") {
            Named::Station(entry) => Some(entry.id),
            Named::Unknown(_) => None,
        }
    }

    #[test]
    fn an_identity_needs_no_source_nor_capitals() {
        assert_eq!(id("9411340"), Some("noaa/9411340"));
        assert_eq!(id("noaa/9411340"), Some("noaa/9411340"));
        assert_eq!(id("pug1741"), Some("noaa/PUG1741"));
        assert_eq!(id("ept0003@11"), Some("noaa/EPT0003@11"));
    }

    #[test]
    fn an_unknown_identity_brings_its_likes() {
        let Named::Unknown(like) = named("Santa Barbra").expect("sound bytes") else {
            panic!("it is unknown")
        };
        assert!(like.iter().any(|entry| entry.name == "Santa Barbara"));
    }

    #[test]
    fn names_are_found_without_capitals_and_accents() {
        let found = searched("santa BÁRBARA").expect("sound bytes");
        assert!(found.iter().any(|entry| entry.id == "noaa/9411340"));
        assert!(searched("no such bay anywhere").expect("sound bytes").is_empty());
        assert_eq!(folded("Ærøskøbing, Üßö"), "aeroeskoebing  uessoe");
    }

    #[test]
    fn the_nearest_station_to_a_station_is_itself() {
        let Named::Station(station) = named("9411340").expect("sound bytes") else { panic!("it is carried") };
        let nearest = near(station.position, 3).expect("sound bytes");
        assert_eq!(nearest[0].entry.id, station.id);
        assert!(nearest[0].distance <= nearest[1].distance && nearest[1].distance <= nearest[2].distance);
    }
}

//! What the instruments said over hours, thinned to what a screen can show.
//!
//! The rule: the record's minutes fall into pieces of one length, the shortest of [`EVERY_S`] that gives no more pieces
//! than are asked for; a piece is told by the least and the greatest that any instrument of its kind read in it, and by
//! the mean of all its readings. So no gust and no shoal sounding is thinned away, however long the span.

use std::path::Path;

use jiff::Timestamp;
use rusqlite::{Connection, Row, params};

use super::open;
use crate::store::{instant, micros};

/// Lengths of a piece, s: from the minute, which is the record's own, to a day.
const EVERY_S: [i64; 11] = [60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400, 43_200, 86_400];

/// A piece of what one kind of instrument said.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    /// When it begins.
    pub(crate) from: Timestamp,
    /// The least that was read.
    pub(crate) least: f64,
    /// The mean of all readings.
    pub(crate) mean: f64,
    /// The greatest.
    pub(crate) greatest: f64,
}

/// What was said of some kinds, each by itself.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Hours<const KINDS: usize> {
    /// Length of a piece, s.
    pub(crate) every_s: i64,
    /// Pieces by kind, oldest first; where nothing was read there is none.
    pub(crate) pieces: [Vec<Piece>; KINDS],
}

/// What was said from one instant to another, in so many pieces of each kind at the most.
pub(crate) fn hours<const KINDS: usize>(
    directory: &Path,
    stay: &str,
    span: (Timestamp, Timestamp),
    kinds: [&str; KINDS],
    most: i64,
) -> rusqlite::Result<Hours<KINDS>> {
    let Some(from) = open(directory)? else {
        return Ok(Hours { every_s: EVERY_S[0], pieces: [const { Vec::new() }; KINDS] });
    };
    let span = recorded(&from, stay, (micros(span.0), micros(span.1)))?;
    let length_s = span.map_or(0, |(first, last)| (last - first) / 1_000_000);
    let every_s = every_s(length_s, most);
    let mut pieces = [const { Vec::new() }; KINDS];
    if let Some(span) = span {
        for (kind, pieces) in kinds.into_iter().zip(&mut pieces) {
            *pieces = of_kind(&from, stay, kind, span, every_s)?;
        }
    }
    Ok(Hours { every_s, pieces })
}

/// The shortest length that gives no more pieces than wanted; one more stands at the end of a span that begins within
/// a piece.
fn every_s(length_s: i64, most: i64) -> i64 {
    let fits = |every_s: &i64| length_s / every_s + 2 <= most;
    EVERY_S.into_iter().find(fits).unwrap_or(EVERY_S[EVERY_S.len() - 1])
}

/// The first and the last minute that are recorded within a span.
fn recorded(
    from: &Connection,
    stay: &str,
    (first, last): (i64, i64),
) -> rusqlite::Result<Option<(i64, i64)>> {
    let sql = "SELECT min(minute_us), max(minute_us) FROM observations
               WHERE stay = ?1 AND ?2 <= minute_us AND minute_us <= ?3";
    from.query_row(sql, params![stay, first, last], |row| {
        let (first, last): (Option<i64>, Option<i64>) = (row.get(0)?, row.get(1)?);
        Ok(first.zip(last))
    })
}

fn of_kind(
    from: &Connection,
    stay: &str,
    kind: &str,
    (first, last): (i64, i64),
    every_s: i64,
) -> rusqlite::Result<Vec<Piece>> {
    let piece = |row: &Row<'_>| {
        Ok(Piece {
            from: instant(row.get(0)?)?,
            least: row.get(1)?,
            mean: row.get(2)?,
            greatest: row.get(3)?,
        })
    };
    from.prepare(
        "SELECT (minute_us / ?5) * ?5 AS piece, min(least), sum(mean * count) / sum(count), max(greatest)
         FROM observations WHERE stay = ?1 AND ?2 <= minute_us AND minute_us <= ?3 AND kind = ?4
         GROUP BY piece ORDER BY piece",
    )?
    .query_map(params![stay, first, last, kind, every_s * 1_000_000], piece)?
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_is_as_short_as_the_screen_allows() {
        assert_eq!(every_s(0, 400), 60);
        assert_eq!(every_s(6 * 3600, 400), 60);
        assert_eq!(every_s(12 * 3600, 400), 120);
        assert_eq!(every_s(7 * 86_400, 400), 1800);
        assert_eq!(every_s(i64::MAX, 400), 86_400);
    }
}

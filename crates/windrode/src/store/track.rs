//! Where she was. All of the last week is kept; before that one place a minute, and before ninety days one in ten.

use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, Transaction, params};
use windrode_domain::units::{Bearing, Length};
use windrode_domain::watch::view::Here;

use super::micros;

/// Where she was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TrackRow(pub(crate) Here);

pub(super) fn insert(to: &Transaction<'_>, stay: &str, row: &TrackRow) -> rusqlite::Result<()> {
    let here = row.0;
    let wind =
        here.wind.map(|wind| (wind.speed().as_metres_per_second(), wind.from().map(Bearing::as_degrees)));
    to.prepare_cached(
        "INSERT INTO track (stay, at_us, latitude_deg, longitude_deg, at_bow, heading_deg, wind_ms, wind_from_deg, depth_m)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?
    .execute(params![
        stay,
        micros(here.at),
        here.place.latitude_deg(),
        here.place.longitude_deg(),
        here.at_bow,
        here.heading.map(Bearing::as_degrees),
        wind.map(|(speed, _)| speed),
        wind.and_then(|(_, from)| from),
        here.depth.map(Length::as_metres),
    ])?;
    Ok(())
}

/// What is thinned: older than so long, to one in so much time.
const THINNED: [(SignedDuration, SignedDuration); 2] = [
    (SignedDuration::from_hours(7 * 24), SignedDuration::from_mins(1)),
    (SignedDuration::from_hours(90 * 24), SignedDuration::from_mins(10)),
];
/// Minutes of instruments older than this are let go.
const OBSERVATIONS_KEPT: SignedDuration = SignedDuration::from_hours(30 * 24);

/// Thins what is old. A year at anchor then takes some 60 MB.
pub(super) fn thin(connection: &mut Connection, now: Timestamp) -> rusqlite::Result<()> {
    let transaction = connection.transaction()?;
    for (older, one_in) in THINNED {
        let before = now.checked_sub(older).unwrap_or(Timestamp::MIN);
        transaction.execute(
            "DELETE FROM track WHERE at_us < ?1 AND id NOT IN
                 (SELECT min(id) FROM track WHERE at_us < ?1 GROUP BY stay, at_us / ?2)",
            params![micros(before), i64::try_from(one_in.as_micros()).unwrap_or(i64::MAX)],
        )?;
    }
    let before = now.checked_sub(OBSERVATIONS_KEPT).unwrap_or(Timestamp::MIN);
    transaction.execute("DELETE FROM observations WHERE minute_us < ?1", [micros(before)])?;
    transaction.execute("DELETE FROM outbox WHERE done_us < ?1", [micros(before)])?;
    transaction.commit()
}

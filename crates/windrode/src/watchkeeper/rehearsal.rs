//! Days of watch in minutes: invented instruments speak every second to a real keeper with a real database, and what
//! that costs is told. Nothing is rung, posted or printed.
//!
//! She swings about her anchor on 38 m, 12° either side of a wind of 12 kn that goes once round the compass in four
//! days, on a tide of 3 m; five sentences a second. For the bench, and for a crew that wants to know whether their
//! computer keeps up.

use std::f64::consts::TAU;
use std::path::Path;
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use windrode_domain::position::{Position, PositionError};
use windrode_domain::units::{Bearing, Length};
use windrode_domain::watch::given::{Drop as LetGo, Given, WatchLimits, WatchedBoat};
use windrode_wire::nmea0183::sentence::sum;
use windrode_wire::observe::FittedOut;

use super::hearing::Hearing;
use super::inbox::{Arrival, Heard};
use super::keep::{FarEnds, Keep};
use crate::feed::Spec;
use crate::store::Store;
use crate::store::stays::StayRow;
use crate::words::{Clock, Voice};
use crate::{clock, crew_units};

/// What so many days cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cost {
    /// Seconds of watch, each with a fix.
    pub(crate) fixes: u32,
    /// What they took.
    pub(crate) took: Duration,
    /// Memory held at the end, kB, where the system tells.
    pub(crate) memory_kb: Option<u64>,
    /// The most that was ever held.
    pub(crate) peak_kb: Option<u64>,
    /// What the database holds, bytes.
    pub(crate) database_bytes: u64,
}

/// The keeper of the rehearsal, in a directory of its own.
///
/// # Errors
/// The anchor's place is none.
pub(crate) fn keeper(directory: &Path) -> Result<Keep, PositionError> {
    let row = StayRow {
        id: "stay-rehearsed".to_owned(),
        name: "rehearsal".to_owned(),
        boat: "Tern".to_owned(),
        taken: at(0),
        zone: None,
        stay_text: None,
        vessel_text: None,
        given: given()?,
    };
    let far_ends = FarEnds {
        webhook: Some("http://far.test/".to_owned()),
        escalate_webhook: Some("http://farther.test/".to_owned()),
        deadline: SignedDuration::from_mins(5),
        escalate_after: SignedDuration::from_mins(3),
    };
    let (store, _) = Store::open(directory, at(0));
    let hearing = Hearing::new(&[Spec::StandardInput], FittedOut::UNKNOWN, Vec::new());
    let voice = Voice { units: crew_units::USUAL, clock: Clock::new(jiff::tz::TimeZone::UTC) };
    let mut keep = Keep::new(row, None, store, hearing, voice, far_ends, at(0));
    keep.hear(&Arrival { feed: 0, at: at(0), heard: Heard::Opened { stream: 0 } }, at(0));
    keep.begin(at(0));
    Ok(keep)
}

/// Keeps watch for so many days.
///
/// # Errors
/// The anchor's place is none.
pub(crate) fn rehearse(directory: &Path, days: u32) -> Result<Cost, PositionError> {
    let mut keep = keeper(directory)?;
    let begun = clock::stopwatch();
    let fixes = days.saturating_mul(86_400);
    for second in 1..=fixes {
        let tide_m = 6.0 + 1.5 * (TAU * f64::from(second) / 44_714.0).sin();
        hear(&mut keep, second, tide_m)?;
        drop(keep.deeds());
    }
    let took = begun.elapsed();
    keep.stop(at(fixes));
    let database = std::fs::metadata(directory.join(crate::store::DATABASE)).map_or(0, |it| it.len());
    Ok(Cost {
        fixes,
        took,
        memory_kb: memory_kb("VmRSS:"),
        peak_kb: memory_kb("VmHWM:"),
        database_bytes: database,
    })
}

/// One second of it.
///
/// # Errors
/// The anchor's place is none.
pub(super) fn hear(keep: &mut Keep, second: u32, depth_m: f64) -> Result<(), PositionError> {
    let bytes = sentences(second, depth_m)?.into_bytes().into();
    keep.hear(&Arrival { feed: 0, at: at(second), heard: Heard::Bytes { stream: 0, bytes } }, at(second));
    keep.pass(at(second));
    Ok(())
}

/// The seconds of the rehearsal, from a Friday in 2027 on.
pub(super) fn at(second: u32) -> Timestamp {
    Timestamp::from_second(1_800_000_000 + i64::from(second)).unwrap_or(Timestamp::UNIX_EPOCH)
}

fn place() -> Result<Position, PositionError> {
    Position::new(33.97, -120.966)
}

fn given() -> Result<Given, PositionError> {
    Ok(Given {
        from: at(0),
        boat: WatchedBoat {
            length: Some(Length::metres(12.0)),
            antenna: None,
            drag_area_m2: None,
            roller_height: None,
            draught: Some(Length::metres(2.0)),
            multihull: Some(false),
        },
        drop: Some(LetGo { at: place()?, spread: Length::metres(5.0) }),
        rode: None,
        depth: Some(Length::metres(6.0)),
        expected: None,
        limits: WatchLimits {
            under_keel: Length::metres(0.5),
            battery_v: None,
            silence_s: 60.0,
            neighbour: Length::metres(5.0),
            wind_shift_deg: 45.0,
        },
    })
}

fn sentences(second: u32, depth_m: f64) -> Result<String, PositionError> {
    let downwind = Bearing::degrees(135.0 + f64::from(second) / 960.0);
    let sheer_deg = 12.0 * (f64::from(second) / 40.0).sin();
    let from_anchor = Bearing::degrees(downwind.as_degrees() + sheer_deg);
    let here = place()?.at(Length::metres(38.0), from_anchor);
    let part = |value: f64, width: usize| {
        let degrees = value.abs().floor();
        format!("{degrees:0width$.0}{:08.5}", (value.abs() - degrees) * 60.0)
    };
    let (latitude, longitude) = (part(here.latitude_deg(), 2), part(here.longitude_deg(), 3));
    let bodies = [
        format!("HCHDT,{:.1},T", from_anchor.reversed().as_degrees()),
        format!("WIMWD,{:.1},T,,M,12.0,N,6.2,M", downwind.reversed().as_degrees()),
        format!("SDDBS,,f,{depth_m:.1},M,,F"),
        "GPVTG,,T,,M,0.1,N,0.2,K,A".to_owned(),
        format!("GPGGA,,{latitude},N,{longitude},W,1,10,0.9,2.0,M,-35.0,M,,"),
    ];
    Ok(bodies.map(|body| format!("${body}*{:02X}\r\n", sum(body.as_bytes()))).concat())
}

/// A line of what Linux tells of this program (proc(5)), kB.
pub(super) fn memory_kb(name: &str) -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix(name))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}

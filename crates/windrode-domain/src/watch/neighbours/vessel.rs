//! One vessel: what she has said, how she has lain and moved, and the phase she is in.
//!
//! A vessel lies still, goes, drags or drifts; each phase asks other questions of the next report (`phases`). From
//! the phase, the evidence and the silence since, a word is made (`word`).
//!
//! A report that no vessel can reach from the last one (faster than 60 knots, and beyond 300 m) comes from another
//! set with the same number: it is kept apart; if it goes on while the first is silent, it is the vessel from then
//! on.

mod drawn;
mod phases;
mod word;

use jiff::Timestamp;

use self::drawn::Drawn;
use super::super::event::{NeighbourReport, NeighbourSaid, NeighbourStatus};
use super::approach::Hull;
use super::circle::{Circles, Ride};
use super::felt::{Felt, LONG_S};
use super::motion::{Motion, Seen};
use super::stations::{Lee, Load, Station, Stations, single};
use super::suspicion::Suspicion;
use crate::position::{Offset, Position};
use crate::units::{Bearing, Length, Speed};
use crate::watch::own_clock::seconds;

/// Speed that no vessel with AIS makes, m/s (60 kn).
const IMPOSSIBLE_MS: f64 = 31.0;
/// Distance below which two reports may always be of one vessel, m: bursts of multipath and a clock a few seconds
/// off.
const ALWAYS_NEAR_M: f64 = 300.0;
/// Reports of the other voice in a row, without one of the first, before it is taken for the vessel.
const TAKES_OVER: u16 = 3;
/// Time for which two voices are told of, s.
const TWO_VOICES_S: f64 = 3600.0;
/// Distance from the origin of her sheet beyond which it is laid anew, m: there the sheet is still true to
/// centimetres.
const SHEET_M: f64 = 10_000.0;
/// Time of falling back and bringing up that teaches nothing of how she lies, s.
const BRINGING_UP_S: f64 = 600.0;

/// What she does, as far as the last report tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Phase {
    /// She lies, or has stopped.
    Still,
    /// She goes where she means to.
    UnderWay,
    /// Her anchor has gone from where it lay, along a unit vector, by so much.
    Dragging(Dragging),
    /// She drifts since an instant, from a place.
    Adrift { since_s: f64, from: Offset },
}

/// How her anchor has gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Dragging {
    pub(super) since_s: f64,
    /// Where the anchor lay.
    pub(super) anchor: Offset,
    pub(super) radius_m: f64,
    pub(super) spread_m: f64,
    /// Where it lies now.
    pub(super) now: Offset,
    /// The farthest it has gone, and when that was first so (to 5 m).
    pub(super) farthest_m: f64,
    pub(super) farthest_s: f64,
    /// Reports in a row inside the old circle.
    pub(super) inside: u16,
}

/// Another set that speaks with her number.
#[derive(Clone, Copy, Debug)]
struct Rival {
    at_s: f64,
    place: Offset,
    reports: u16,
    apart_m: f64,
}

/// One vessel.
#[derive(Clone, Debug)]
pub(super) struct Vessel {
    mmsi: u32,
    name: Option<String>,
    hull: Option<Hull>,
    status: NeighbourStatus,
    first_heard: Timestamp,
    last_heard: Timestamp,
    sheet: Option<Position>,
    motion: Motion,
    rival: Option<Rival>,
    phase: Phase,
    phase_since_s: f64,
    /// When she came to lie, where, and with what head.
    stopped_s: f64,
    stopped_at: Offset,
    stopped_head: Option<Bearing>,
    stations: Stations,
    circles: Circles,
    suspicion: Suspicion,
    shifted_m: Option<f64>,
    felt: Felt,
    /// Running mean of her heading as a vector, over forty minutes, and how far her head is turned from it, degrees.
    mean_head: Option<Offset>,
    turned_deg: f64,
    drawn: Drawn,
    /// Reports in a row after which nothing spoke against her lying, without a long silence between.
    calm: u16,
}

impl Vessel {
    pub(super) fn new(mmsi: u32, at: Timestamp) -> Self {
        Self {
            mmsi,
            name: None,
            hull: None,
            status: NeighbourStatus::Unstated,
            first_heard: at,
            last_heard: at,
            sheet: None,
            motion: Motion::default(),
            rival: None,
            phase: Phase::Still,
            phase_since_s: 0.0,
            stopped_s: 0.0,
            stopped_at: Offset::ORIGIN,
            stopped_head: None,
            stations: Stations::default(),
            circles: Circles::default(),
            suspicion: Suspicion::default(),
            shifted_m: None,
            felt: Felt::default(),
            mean_head: None,
            turned_deg: 0.0,
            drawn: Drawn::default(),
            calm: 0,
        }
    }

    /// What she takes of memory.
    #[cfg(test)]
    pub(super) fn bytes(&self) -> usize {
        let name = self.name.as_ref().map_or(0, String::capacity);
        let parts =
            self.motion.bytes() + self.stations.bytes() + self.circles.bytes() + self.suspicion.bytes();
        size_of::<Self>() + name + parts
    }

    pub(super) fn last_heard(&self) -> Timestamp {
        self.last_heard
    }

    pub(super) fn last_seen(&self) -> Option<Position> {
        Some(self.sheet?.plus(self.motion.last()?.antenna))
    }

    /// Takes in what she said.
    pub(super) fn hear(&mut self, report: &NeighbourReport, felt: &Felt) {
        match &report.said {
            NeighbourSaid::Particulars { name, ahead, astern, port, starboard, .. } => {
                self.name = name.clone().or_else(|| self.name.take());
                self.measure([*ahead, *astern, *port, *starboard]);
                self.last_heard = self.last_heard.max(report.at);
            }
            NeighbourSaid::Position { at, speed, course, heading, status, .. } => {
                self.status = *status;
                self.felt = *felt;
                self.sight(report.at, *at, *speed, *course, *heading);
            }
        }
    }

    /// Takes her dimensions, if they can be a vessel's.
    fn measure(&mut self, sides: [Option<Length>; 4]) {
        let metres = |side: Option<Length>| side.map_or(0.0, Length::as_metres);
        let [ahead_m, astern_m, port_m, starboard_m] = sides.map(metres);
        let length_m = ahead_m + astern_m;
        // The longest vessel afloat is some 400 m; nothing or nonsense is not known.
        if !(0.0 < length_m && length_m < LONGEST_M && 0.0 <= ahead_m && 0.0 <= astern_m) {
            return;
        }
        let beam_m = port_m + starboard_m;
        let half_beam_m = if 0.0 < beam_m && beam_m < length_m { beam_m / 2.0 } else { length_m / 6.0 };
        let hull = Hull { ahead_m, astern_m, half_beam_m };
        let moved = self.hull.is_none_or(|before| 1.0 < (before.ahead_m - ahead_m).abs());
        self.hull = Some(hull);
        // Where she lay was reckoned for another point of her; while little is learned, it is learned anew.
        if moved && self.phase == Phase::Still && self.stations.span_s() < RELEARN_S {
            self.forget_circle();
        }
    }

    fn sight(
        &mut self,
        at: Timestamp,
        position: Position,
        speed: Option<Speed>,
        course: Option<Bearing>,
        heading: Option<Bearing>,
    ) {
        let at_s = seconds(at, self.first_heard);
        let sheet = *self.sheet.get_or_insert(position);
        let antenna = sheet.offset_of(position);
        // A report out of its order, or told twice, tells nothing new.
        if self.motion.last().is_some_and(|last| at_s - last.at_s < REPEATED_S) {
            return;
        }
        let speed_ms = speed.map(Speed::as_metres_per_second).filter(|speed_ms| speed_ms.is_finite());
        let place = antenna + self.bow_from_antenna(heading);
        let seen = Seen { at_s, antenna, place, speed_ms, course, heading };
        if !self.is_she(&seen) {
            return;
        }
        self.last_heard = self.last_heard.max(at);
        let first = self.motion.last().is_none();
        self.motion.add(seen);
        self.turn_head(&seen);
        self.feel_load();
        if first {
            self.begin(&seen);
        } else {
            self.advance(&seen);
        }
        self.count_calm();
        if SHEET_M < antenna.length().as_metres() && !matches!(self.phase, Phase::Still | Phase::Dragging(_))
        {
            self.lay_sheet_anew(position, &seen);
        }
    }

    fn count_calm(&mut self) {
        let silent = self.motion.since_before_s().is_some_and(|passed_s| SILENT_S < passed_s);
        let calm = !silent && self.phase == Phase::Still && self.refusal().is_none();
        self.calm = if calm { self.calm.saturating_add(1) } else { 0 };
    }

    /// Whether a report can be of the vessel that was heard before; if not, it is another voice.
    fn is_she(&mut self, seen: &Seen) -> bool {
        let Some(last) = self.motion.last().copied() else {
            return true;
        };
        let can = |from: Offset, passed_s: f64| {
            from.distance_to(seen.antenna).as_metres() <= ALWAYS_NEAR_M + IMPOSSIBLE_MS * passed_s
        };
        if can(last.antenna, seen.at_s - last.at_s) && !self.far_voice(seen) {
            return true;
        }
        let apart_m = last.antenna.distance_to(seen.antenna).as_metres();
        let again =
            self.rival.filter(|rival| can(rival.place, seen.at_s - rival.at_s) && last.at_s < rival.at_s);
        let reports = again.map_or(1, |rival| rival.reports.saturating_add(1));
        self.rival = Some(Rival { at_s: seen.at_s, place: seen.antenna, reports, apart_m });
        if reports < TAKES_OVER {
            return false;
        }
        // The first voice is silent and this one goes on: she is where this one says.
        self.rival = None;
        self.motion.clear();
        self.mean_head = None;
        true
    }

    /// While another voice is about, a report that fits the other and not the first is the other's, however long
    /// it has been.
    fn far_voice(&self, seen: &Seen) -> bool {
        let (Some(rival), Some(last)) = (self.rival, self.motion.last()) else {
            return false;
        };
        let from = |place: Offset| place.distance_to(seen.antenna).as_metres();
        from(rival.place) < from(last.antenna) && ALWAYS_NEAR_M < from(last.antenna)
    }

    fn lay_sheet_anew(&mut self, position: Position, seen: &Seen) {
        self.sheet = Some(position);
        self.motion.clear();
        let moved = Offset::ORIGIN - seen.antenna;
        let place = seen.place + moved;
        self.motion.add(Seen { antenna: Offset::ORIGIN, place, ..*seen });
        self.rival = None;
        self.stopped_at = self.stopped_at + moved;
        if let Phase::Adrift { from, .. } = &mut self.phase {
            *from = *from + moved;
        }
    }

    fn bow_from_antenna(&self, heading: Option<Bearing>) -> Offset {
        match (self.hull, heading) {
            (Some(hull), Some(heading)) => Offset::along(heading, Length::metres(hull.ahead_m)),
            _ => Offset::ORIGIN,
        }
    }

    fn turn_head(&mut self, seen: &Seen) {
        let Some(heading) = seen.heading else {
            return;
        };
        let now = Offset::along(heading, Length::metres(1.0));
        let passed_s = self.motion.before_last().map_or(LONG_S, |before| seen.at_s - before.at_s);
        let share = 1.0 - (-passed_s / LONG_S).exp();
        let mean = self.mean_head.map_or(now, |mean| Offset {
            east_m: mean.east_m + share * (now.east_m - mean.east_m),
            north_m: mean.north_m + share * (now.north_m - mean.north_m),
        });
        self.mean_head = Some(mean);
        // Three reports together: a sheer alone is not a turn.
        let recent = self.motion.latest().take(3).filter_map(|seen| seen.heading);
        let sum =
            recent.fold(Offset::ORIGIN, |sum, heading| sum + Offset::along(heading, Length::metres(1.0)));
        self.turned_deg = sum.bearing().to(mean.bearing()).as_degrees().abs();
    }

    fn ride(&self) -> Ride {
        Ride { load: self.drawn.load, doublings: self.felt.doublings }
    }

    /// From her anchor to her: away from where she heads, or down the wind where that is strong enough, or between
    /// the two.
    fn lee(&self, seen: &Seen) -> Option<Lee> {
        let wind = self.lee_by_wind();
        let head = seen.heading.map(Bearing::reversed);
        let (way, spread) = match (wind, head) {
            (Some(wind), Some(head)) if wind.to(head).as_degrees().abs() < 60.0 => {
                (wind.turned(wind.to(head) * 0.5), LEE_BY_BOTH_RAD)
            }
            (_, Some(head)) => (head, LEE_BY_HEAD_RAD),
            (Some(wind), None) => (wind, LEE_BY_WIND_RAD),
            (None, None) => return None,
        };
        let spread = if self.drawn.load == Load::Slack { LEE_SLACK_RAD } else { spread };
        let unit = Offset::along(way, Length::metres(1.0));
        Some(Lee { east: single(unit.east_m), north: single(unit.north_m), spread })
    }

    fn station(&self, seen: &Seen) -> Station {
        Station {
            at_s: seen.at_s,
            east_m: single(seen.place.east_m),
            north_m: single(seen.place.north_m),
            lee: self.lee(seen),
            load: self.drawn.load,
            weight: 0.0,
        }
    }

    fn forget_circle(&mut self) {
        self.stations.clear();
        self.circles.clear();
        self.suspicion.clear();
    }
}

/// Length beyond which a vessel is none, m.
const LONGEST_M: f64 = 460.0;
/// Learning that is thrown away when her dimensions come late, s.
const RELEARN_S: f64 = 3600.0;
/// Reports nearer than this are one report heard twice, s: the shortest interval of any vessel is 2 s.
const REPEATED_S: f64 = 1.0;
/// Silence that breaks what was known of her, s: as long as that after which nothing is said of her.
const SILENT_S: f64 = 2700.0;
/// Spread of the lee by her heading: yachts sheer 20 to 40° to either side; rad.
const LEE_BY_HEAD_RAD: f32 = 0.50;
/// Spread of the lee to a slack rode: she heads anywhere, least of all away from her anchor; rad.
const LEE_SLACK_RAD: f32 = 1.0;
/// Spread of the lee by our own wind, rad.
const LEE_BY_WIND_RAD: f32 = 0.60;
/// Spread of the lee by both, rad.
const LEE_BY_BOTH_RAD: f32 = 0.45;

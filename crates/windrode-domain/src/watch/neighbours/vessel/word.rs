//! The word for a vessel, from her phase, the evidence and the silence since her last report.

use jiff::{SignedDuration, Timestamp};

use super::phases::ALONGSIDE_M;
use super::{Phase, TWO_VOICES_S, Vessel};
use crate::position::{Offset, Position};
use crate::units::{Angle, Length, Speed};
use crate::watch::event::NeighbourStatus;
use crate::watch::neighbours::approach::{Hull, Mover, nearest};
use crate::watch::neighbours::circle::Beyond;
use crate::watch::neighbours::felt::{SLACK_WIND, TURNED_DEG};
use crate::watch::neighbours::stations::Load;
use crate::watch::neighbours::suspicion::{CALLS, DOUBT};
use crate::watch::neighbours::{Approach, FleetSetup, NeighbourReason, NeighbourState, OwnState, VesselView};
use crate::watch::own_clock::seconds;
use crate::watch::verdict::{AnchorEstimate, Moved};

/// Time she must have been seen to lie before it is said that she does, s.
const WARM_UP_S: f64 = 3000.0;
/// Places she must have been seen in.
const FEWEST: u16 = 8;
/// Reports that it takes within the last hours: two alone could both be strays.
const FEWEST_LATELY: u16 = 3;
/// The last hours, s.
const LATELY_S: f64 = 2.0 * 3600.0;
/// Reports in a row that find nothing against it before it is said that she lies: a word that comes with one report and
/// goes with the next is worth nothing.
const CALM_FROM: u16 = 3;
/// How much wider the limits of what is known are while she is said to lie.
const HELD: f64 = 1.4;
/// Ratio up to which two radii are alike.
const RADII_ALIKE: f64 = 4.0;
/// Spread of her edge beyond which it is not known, m and share of the radius.
const EDGE_M: f64 = 8.0;
const EDGE_SHARE: f64 = 0.15;
/// Way is taken over so long, s: at the least over one interval of a vessel at anchor.
const WAY_OVER_S: f64 = 600.0;
const WAY_LEAST_S: f64 = 150.0;
/// Hull of a vessel that has told no dimensions, m: a small coaster's, antenna amidships.
const UNTOLD: Hull = Hull { ahead_m: 25.0, astern_m: 25.0, half_beam_m: 5.0 };

impl Vessel {
    /// What is said of her; nothing before her first position.
    pub(in super::super) fn view(
        &self,
        setup: &FleetSetup,
        now: Timestamp,
        own: Option<&OwnState>,
    ) -> Option<VesselView> {
        let sheet = self.sheet?;
        let last_seen = self.last_seen()?;
        let (state, reasons) = self.word(setup, now);
        let moving = !matches!(state, NeighbourState::Lying | NeighbourState::CannotTell);
        let approach = if moving { self.approach(setup, now, own, sheet) } else { None };
        let (anchor, moved) = self.anchor(state, sheet);
        Some(VesselView {
            mmsi: self.mmsi,
            name: self.name.clone(),
            state,
            since: self.instant(self.phase_since_s),
            reasons,
            anchor,
            moved,
            approach,
            last_seen,
            last_heard: self.last_heard,
        })
    }

    fn instant(&self, at_s: f64) -> Timestamp {
        let after = SignedDuration::try_from_secs_f64(at_s).unwrap_or_default();
        self.first_heard.checked_add(after).unwrap_or(self.first_heard)
    }

    fn word(&self, setup: &FleetSetup, now: Timestamp) -> (NeighbourState, Vec<NeighbourReason>) {
        let silence = now.duration_since(self.last_heard);
        match self.phase {
            Phase::Dragging(_) => (NeighbourState::Dragging, vec![self.outside_reason()]),
            Phase::Adrift { from, .. } => (NeighbourState::Adrift, self.drift_reasons(from)),
            _ if setup.silent_after < silence => {
                (NeighbourState::CannotTell, vec![NeighbourReason::Silent { lasting: silence }])
            }
            Phase::UnderWay => (NeighbourState::UnderWay, vec![self.way_reason()]),
            Phase::Still => self.still(),
        }
    }

    fn still(&self) -> (NeighbourState, Vec<NeighbourReason>) {
        if let Some(by_m) = self.shifted_m {
            return (NeighbourState::UnderWay, vec![NeighbourReason::Shifted { by: Length::metres(by_m) }]);
        }
        match self.refusal() {
            Some(reason) => (NeighbourState::CannotTell, vec![reason]),
            None if self.calm < CALM_FROM => {
                let reason = NeighbourReason::TooFewReports { heard: self.calm, needed: CALM_FROM };
                (NeighbourState::CannotTell, vec![reason])
            }
            None => (NeighbourState::Lying, vec![self.lying_reason()]),
        }
    }

    /// Why it cannot be told whether she lies, if it cannot.
    pub(super) fn refusal(&self) -> Option<NeighbourReason> {
        let last = self.motion.last()?;
        if let Some(rival) =
            self.rival.filter(|rival| last.at_s - rival.at_s < TWO_VOICES_S && 1 < rival.reports)
        {
            return Some(NeighbourReason::TwoVoices { apart: Length::metres(rival.apart_m) });
        }
        let lain_s = last.at_s - self.stopped_s;
        if self.stations.span_s() < WARM_UP_S {
            let lain = SignedDuration::try_from_secs_f64(lain_s).unwrap_or_default();
            let needed =
                SignedDuration::try_from_secs_f64(WARM_UP_S + super::BRINGING_UP_S).unwrap_or_default();
            return Some(NeighbourReason::JustStopped { lain, needed });
        }
        let heard = count(self.stations.all().len());
        if heard < FEWEST {
            return Some(NeighbourReason::TooFewReports { heard, needed: FEWEST });
        }
        if let Err(heard) = self.heard_lately() {
            return Some(NeighbourReason::TooFewReports { heard, needed: FEWEST_LATELY });
        }
        if DOUBT <= self.suspicion.doubt {
            return Some(NeighbourReason::MayBeMoving {
                beyond: Length::metres(self.suspicion.last()?.beyond_m),
                evidence: (self.suspicion.sum / CALLS).min(1.0),
            });
        }
        let best = self.circles.best()?;
        // Nothing tells which way her anchor lies: then only a circle of known size says what a swing is.
        let (least_m, most_m) = self.circles.radii_m()?;
        if self.stations.all().last().is_some_and(|last| last.lee.is_none())
            && self.held(RADII_ALIKE) * least_m < most_m
        {
            return Some(NeighbourReason::EdgeUnknown { spread: Length::metres((most_m - least_m) / 2.0) });
        }
        if best.radius_m < ALONGSIDE_M {
            return None;
        }
        self.weather_refusal().or_else(|| {
            let (_, beyond) = self.circles.beyond(last.place, self.ride())?;
            let known = beyond.spread_m < self.held(EDGE_M.max(EDGE_SHARE * best.radius_m));
            (!known).then(|| NeighbourReason::EdgeUnknown { spread: Length::metres(beyond.spread_m) })
        })
    }

    /// A limit, wider while she is said to lie: a word is kept until more than chance speaks against it.
    fn held(&self, limit: f64) -> f64 {
        if CALM_FROM <= self.calm { HELD * limit } else { limit }
    }

    /// Whether she was heard often enough of late to be judged; else how often.
    pub(super) fn heard_lately(&self) -> Result<(), u16> {
        let last_s = self.motion.last().map_or(0.0, |last| last.at_s);
        let lately = count(self.motion.latest().filter(|seen| last_s - seen.at_s < LATELY_S).count());
        if FEWEST_LATELY <= lately { Ok(()) } else { Err(lately) }
    }

    fn weather_refusal(&self) -> Option<NeighbourReason> {
        if self.drawn.turned {
            let by_deg = self.felt.wind.map_or(self.turned_deg, |_| self.felt.turned_deg);
            return Some(NeighbourReason::Swung { by: Angle::degrees(by_deg.max(TURNED_DEG)) });
        }
        let (speed, _) = self.felt.wind?;
        let needed = SLACK_WIND * self.heavier();
        (self.drawn.load == Load::Slack).then_some(NeighbourReason::LightWind { speed, needed })
    }

    fn lying_reason(&self) -> NeighbourReason {
        let beyond = self.motion.last().and_then(|last| self.circles.beyond(last.place, self.ride()));
        let (metres, spread_m) =
            beyond.map_or((0.0, 0.0), |(_, Beyond { metres, spread_m, .. })| (metres, spread_m));
        let radius_m = self.circles.best().map_or(0.0, |best| best.radius_m);
        NeighbourReason::LiesOnHerCircle {
            beyond: Length::metres(metres),
            spread: Length::metres(spread_m),
            radius: Length::metres(radius_m),
        }
    }

    fn outside_reason(&self) -> NeighbourReason {
        let (metres, spread_m) = match self.phase {
            Phase::Dragging(dragging) => (dragging.farthest_m, dragging.spread_m),
            _ => (0.0, 0.0),
        };
        NeighbourReason::OutsideHerCircle {
            beyond: Length::metres(metres),
            spread: Length::metres(spread_m),
            reports: count(self.suspicion.reports()),
        }
    }

    fn way_reason(&self) -> NeighbourReason {
        NeighbourReason::MakesWay { speed: Speed::metres_per_second(self.velocity_ms().length().as_metres()) }
    }

    fn drift_reasons(&self, from: Offset) -> Vec<NeighbourReason> {
        let last = self.motion.last();
        let across = last.and_then(super::Seen::across_deg).map(Angle::degrees);
        let gone = last.map_or(Length::ZERO, |last| from.distance_to(last.antenna));
        let speed = Speed::metres_per_second(self.velocity_ms().length().as_metres());
        let mut reasons = vec![NeighbourReason::Drifts { speed, across, gone }];
        if self.status == NeighbourStatus::NotUnderCommand {
            reasons.push(NeighbourReason::SaysNotUnderCommand);
        }
        reasons
    }

    /// Way over the ground of late: made good over ten minutes, but not from before she began to go; her own word where
    /// that is all there is.
    fn velocity_ms(&self) -> Offset {
        let since_s = match self.phase {
            Phase::Dragging(dragging) => dragging.since_s,
            Phase::Adrift { since_s, .. } => since_s,
            Phase::Still | Phase::UnderWay => 0.0,
        };
        let gone_s = self.motion.last().map_or(0.0, |last| last.at_s - since_s);
        let made = self.motion.since(gone_s.clamp(WAY_LEAST_S, WAY_OVER_S));
        let made = made.filter(|made| 0.0 < made.seconds);
        let told = self.motion.last().and_then(|last| {
            let (speed_ms, course) = last.speed_ms.zip(last.course)?;
            Some(Offset::along(course, Length::metres(speed_ms)))
        });
        match self.phase {
            Phase::UnderWay => told.or(made.map(|made| made.velocity_ms())),
            _ => made.map(|made| made.velocity_ms()).or(told),
        }
        .unwrap_or_default()
    }

    fn approach(
        &self,
        setup: &FleetSetup,
        now: Timestamp,
        own: Option<&OwnState>,
        sheet: Position,
    ) -> Option<Approach> {
        let own = own?;
        let last = self.motion.last()?;
        let velocity_ms = self.velocity_ms();
        let since_s = seconds(now, self.instant(last.at_s)).max(0.0);
        let carried = Offset { east_m: velocity_ms.east_m * since_s, north_m: velocity_ms.north_m * since_s };
        let hull = self.hull.unwrap_or(UNTOLD);
        let mover = Mover { at: last.antenna + carried, velocity_ms, heading: last.heading, hull };
        let ours = sheet.offset_of(own.anchor.unwrap_or(own.bow));
        nearest(&mover, ours, own, now, setup.look_ahead)
    }

    fn anchor(&self, state: NeighbourState, sheet: Position) -> (Option<AnchorEstimate>, Option<Moved>) {
        match self.phase {
            Phase::Dragging(dragging) => {
                let by = dragging.now - dragging.anchor;
                let passed_s = self.motion.last().map_or(0.0, |last| last.at_s - dragging.since_s);
                let at = sheet.plus(dragging.now);
                let moved = Moved {
                    distance: by.length(),
                    spread: Length::metres(dragging.spread_m),
                    toward: (0.0 < by.length().as_metres()).then(|| by.bearing()),
                    since: Some(self.instant(dragging.since_s)),
                    speed_ms: (0.0 < passed_s).then(|| by.length().as_metres() / passed_s),
                };
                (Some(AnchorEstimate { at, spread: Length::metres(dragging.spread_m) }), Some(moved))
            }
            Phase::Still if state == NeighbourState::Lying => {
                let anchor = self.circles.best().map(|best| AnchorEstimate {
                    at: sheet.plus(best.centre),
                    spread: Length::metres(best.spread_m()),
                });
                (anchor, None)
            }
            _ => (None, None),
        }
    }
}

fn count(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

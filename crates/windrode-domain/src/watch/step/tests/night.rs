//! Nights that are written down: where she is each second, and what her instruments make of it.

use jiff::{SignedDuration, Timestamp};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::boat::Antenna;
use crate::catenary::{Line, Segment};
use crate::environment::wind::Wind;
use crate::position::{Offset, Position};
use crate::units::{Angle, Bearing, Force, Length, Speed, WeightPerLength};
use crate::watch::effect::{AlarmKind, Effect};
use crate::watch::event::Event;
use crate::watch::given::{Drop, Given, RodeOut, WatchLimits, WatchedBoat};
use crate::watch::observation::{Fix, FixKind, Observation, Seen, Source, Way};
use crate::watch::step::Watch;
use crate::watch::verdict::Verdict;
use crate::watch::view::View;

pub(super) const GPS: Source = Source(1);
pub(super) const OTHER_GPS: Source = Source(2);
pub(super) const COMPASS: Source = Source(3);
pub(super) const VANE: Source = Source(4);

/// 35 m and a bit is what 40 m of this chain reach in 7 m of height under this wind.
pub(super) const REACH_M: f64 = 38.4;
pub(super) const AFT_M: f64 = 9.0;

pub(super) fn begin() -> Timestamp {
    "2026-11-27T20:00:00Z".parse().unwrap()
}

pub(super) fn at(second: f64) -> Timestamp {
    begin().checked_add(SignedDuration::try_from_secs_f64(second).unwrap()).unwrap()
}

pub(super) fn origin() -> Position {
    Position::new(-41.2, 174.8).unwrap()
}

pub(super) fn given() -> Given {
    let chain = Segment {
        length: Length::metres(40.0),
        weight: WeightPerLength::newtons_per_metre(19.2),
        stiffness: Force::newtons(8.5e6),
    };
    let line = Line::new(vec![chain], vec![]).unwrap();
    Given {
        from: begin(),
        boat: WatchedBoat {
            length: Some(Length::metres(12.0)),
            antenna: Some(Antenna { aft_of_roller: Length::metres(AFT_M), to_starboard: Length::ZERO }),
            drag_area_m2: crate::uncertain::Lognormal::new(10.0, 0.2),
            roller_height: Some(Length::metres(1.2)),
            draught: Some(Length::metres(1.9)),
            multihull: Some(false),
        },
        drop: Some(Drop { at: origin(), spread: Length::metres(5.0) }),
        rode: Some(RodeOut { line, spread: 0.02 }),
        depth: Some(Length::metres(6.0)),
        expected: None,
        limits: WatchLimits {
            under_keel: Length::metres(0.5),
            battery_v: Some(11.8),
            silence_s: 60.0,
            neighbour: Length::metres(20.0),
            wind_shift_deg: 45.0,
        },
    }
}

/// Where she is at a second: bow east and north of the drop, and heading.
pub(super) type Truth = fn(f64) -> (Offset, f64);

/// Sheering at the end of her rode in a westerly, the anchor so far east of where it was let go.
pub(super) fn sheering(second: f64, anchor_east_m: f64) -> (Offset, f64) {
    let phase = core::f64::consts::TAU * second / 110.0;
    let from_anchor = Bearing::degrees(90.0 + 9.0 * phase.sin());
    let bow = Offset::along(from_anchor, Length::metres(REACH_M));
    let heading = from_anchor.reversed().turned(Angle::degrees(18.0 * phase.cos()));
    (Offset { east_m: bow.east_m + anchor_east_m, ..bow }, heading.as_degrees())
}

pub(super) fn lies(second: f64) -> (Offset, f64) {
    sheering(second, 0.0)
}

/// One second of a night, as it is heard.
#[derive(Clone, Copy, Debug)]
pub(super) struct Second {
    pub(super) fix: Option<Fix>,
    pub(super) way: Option<Way>,
    pub(super) heading_deg: Option<f64>,
    pub(super) wind: Option<Wind>,
}

/// A watch that hears a night.
#[derive(Clone, Debug)]
pub(super) struct Hearing {
    pub(super) watch: Watch,
    pub(super) truth: Truth,
    pub(super) chance: Pcg64,
    pub(super) slow: Offset,
    /// Every change of the word.
    pub(super) words: Vec<(f64, Verdict)>,
    /// Everything that rang.
    pub(super) rings: Vec<(f64, AlarmKind)>,
}

impl Hearing {
    pub(super) fn of(given: Given, truth: Truth) -> Self {
        Self {
            watch: Watch::new(given),
            truth,
            chance: Pcg64::seed_from_u64(7),
            slow: Offset::ORIGIN,
            words: Vec::new(),
            rings: Vec::new(),
        }
    }
    /// Seconds of the night, each passed through `spoil` on its way to the watch.
    pub(super) fn hear(&mut self, seconds: core::ops::Range<u32>, mut spoil: impl FnMut(f64, &mut Second)) {
        for second in seconds {
            let second = f64::from(second);
            let mut heard = self.sound(second);
            spoil(second, &mut heard);
            self.tell(second, &heard);
        }
    }
    /// One event; what comes of it is written down.
    pub(super) fn step(&mut self, second: f64, event: &Event) -> View {
        let mut effects = Vec::new();
        self.watch.step(event, at(second), &mut effects);
        for effect in effects {
            if let Effect::Ring(kind) = effect {
                self.rings.push((second, kind));
            }
        }
        let view = self.watch.view();
        if self.words.last().is_none_or(|(_, word)| *word != view.verdict) {
            self.words.push((second, view.verdict));
        }
        view
    }
    pub(super) fn see(&mut self, second: f64, source: Source, seen: Seen) -> View {
        self.step(second, &Event::Observed(Observation { at: at(second), source, seen }))
    }
    pub(super) fn rang(&self, kind: AlarmKind) -> Option<f64> {
        self.rings.iter().find(|(_, rung)| *rung == kind).map(|(second, _)| *second)
    }

    fn antenna(&self, second: f64) -> Offset {
        let (bow, heading_deg) = (self.truth)(second);
        bow + Offset::along(Bearing::degrees(heading_deg).reversed(), Length::metres(AFT_M))
    }
    fn sound(&mut self, second: f64) -> Second {
        let antenna = self.antenna(second);
        // A slow error of 1 m and ten minutes, and a quick one of 0.2 m: good receivers in open water (from memory).
        let kept = (-1.0_f64 / 600.0).exp();
        let mut even = || (0..12).map(|_| self.chance.random::<f64>()).sum::<f64>() - 6.0;
        let driven = (1.0 - kept * kept).sqrt();
        let slow = Offset { east_m: even() * driven, north_m: even() * driven };
        let quick = Offset { east_m: 0.2 * even(), north_m: 0.2 * even() };
        let (v_east, v_north, gust) = (0.05 * even(), 0.05 * even(), 0.8 * even());
        self.slow = Offset {
            east_m: self.slow.east_m * kept + slow.east_m,
            north_m: self.slow.north_m * kept + slow.north_m,
        };
        let by = self.antenna(second + 0.5) - self.antenna(second - 0.5);
        let velocity = Offset { east_m: by.east_m + v_east, north_m: by.north_m + v_north };
        let speed = Speed::metres_per_second(velocity.length().as_metres());
        let (_, heading_deg) = (self.truth)(second);
        Second {
            fix: Some(fix(antenna + self.slow + quick)),
            way: Some(Way { speed, course: Some(velocity.bearing()), step: Speed::knots(0.01) }),
            heading_deg: Some(heading_deg),
            wind: Some(Wind::blowing(Bearing::degrees(270.0), Speed::metres_per_second(11.0 + gust))),
        }
    }
    fn tell(&mut self, second: f64, heard: &Second) {
        if let Some(heading_deg) = heard.heading_deg {
            let bow = Bearing::degrees(heading_deg);
            self.see(second, COMPASS, Seen::Heading { bow, spread: Angle::degrees(2.0) });
        }
        if let Some(wind) = heard.wind {
            self.see(second, VANE, Seen::Wind(wind));
        }
        if let Some(way) = heard.way {
            self.see(second, GPS, Seen::Way(way));
        }
        if let Some(fix) = heard.fix {
            self.see(second, GPS, Seen::Fix(fix));
        }
        self.step(second, &Event::Tick);
    }
}

pub(super) fn fix(antenna: Offset) -> Fix {
    Fix {
        antenna: origin().plus(antenna),
        spread: None,
        satellites: Some(12),
        dilution: Some(0.9),
        kind: FixKind::Autonomous,
        stated: None,
    }
}

pub(super) fn sound(_: f64, _: &mut Second) {}

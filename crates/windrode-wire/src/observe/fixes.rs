//! Fixes and way over the ground: one of each an epoch, from whichever sentence of a source tells it best.

use jiff::Timestamp;
use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Length, Speed};
use windrode_domain::watch::observation::{Fix, FixKind, Seen, Way};

use super::ages::{self, Recent, Settled};
use super::winds::Moving;
use super::{Fitted, Hearing};
use crate::gpsd::Tpv;
use crate::nmea0183::clock::{UtcTime, Zda};
use crate::nmea0183::fields::SpeedTold;
use crate::nmea0183::motion::Vtg;
use crate::nmea0183::position::{Gga, Gll, Gns, Gst, Mode, Quality, Rmc, Status};

/// Ranks of the sentences that carry a fix: the first tells most of how it was got.
const GGA: u8 = 0;
const GNS: u8 = 1;
const RMC: u8 = 2;
const GLL: u8 = 3;

/// What one source said of its fixes.
#[derive(Clone, Debug, Default)]
pub(super) struct FixHearing {
    by: Settled,
    way_by: Settled,
    /// Sentence and time of day of the last fix told.
    last: Option<(u8, UtcTime)>,
    /// Time of day and moment of the last warning.
    void: Option<Recent<Option<UtcTime>>>,
    /// The receiver's own time, when its date was last heard.
    clock: Option<Recent<Timestamp>>,
    errors: Option<Recent<Length>>,
    /// A gpsd speed off the grid of tenths of a knot was heard: its decimals are the receiver's own.
    fine: bool,
}

/// What a sentence says of a fix.
struct SaidFix {
    rank: u8,
    time: Option<UtcTime>,
    stated: Option<Timestamp>,
    /// `None`: it says that there is none.
    fix: Option<(Position, FixKind)>,
    satellites: Option<u8>,
    dilution: Option<f64>,
}

impl FixHearing {
    /// The whole time of a time of day, by the date that this receiver last told.
    fn stated(&self, time: Option<UtcTime>, at: Timestamp) -> Option<Timestamp> {
        let clock = self.clock?;
        clock.fresh(at, ages::DATE)?;
        let now = clock.value.checked_add(at.duration_since(clock.at)).ok()?;
        time?.nearest(now)
    }

    fn hear_clock(&mut self, stated: Option<Timestamp>, at: Timestamp) {
        if let Some(stated) = stated {
            self.clock = Some(Recent::new(stated, at));
        }
    }

    /// Whether this warning is the first of its burst.
    fn warn(&mut self, time: Option<UtcTime>, at: Timestamp) -> bool {
        let told = self.void.and_then(|void| void.fresh(at, ages::SAME_BURST));
        self.void = Some(Recent::new(time, at));
        told.is_none()
    }

    /// Whether a sentence of the same epoch has said that there is no fix.
    fn is_void(&self, time: Option<UtcTime>, at: Timestamp) -> bool {
        let void = self.void.and_then(|void| void.fresh(at, ages::WARNED));
        match (void, time) {
            (Some(Some(void)), Some(time)) => void == time,
            (Some(None), _) => self.void.is_some_and(|void| void.fresh(at, ages::SAME_BURST).is_some()),
            _ => false,
        }
    }

    /// Whether another sentence has told the fix of this epoch already.
    fn is_told(&self, rank: u8, time: Option<UtcTime>) -> bool {
        self.last.is_some_and(|(by, last)| by != rank && Some(last) == time)
    }
}

impl Fitted {
    pub(super) fn gga(&mut self, gga: &Gga, hearing: &mut Hearing<'_>) {
        let kind = gga.quality.map_or(Some(FixKind::Unstated), kind_of_quality);
        let used = gga.satellites;
        if let Some(used) = used {
            self.one(hearing.source).sky.used = Some(Recent::new(used, hearing.at));
        }
        let (time, fix) = (gga.time, gga.position.zip(kind));
        let said = SaidFix { rank: GGA, time, stated: None, fix, satellites: used, dilution: gga.hdop };
        self.fix(&said, hearing);
    }

    pub(super) fn gns(&mut self, gns: &Gns, hearing: &mut Hearing<'_>) {
        let fix = gns.position.zip(kind_of_modes(&gns.modes));
        let (time, satellites) = (gns.time, gns.satellites);
        self.fix(&SaidFix { rank: GNS, time, stated: None, fix, satellites, dilution: gns.hdop }, hearing);
    }

    pub(super) fn rmc(&mut self, rmc: &Rmc, hearing: &mut Hearing<'_>) {
        let stated = rmc.date.zip(rmc.time).and_then(|(date, time)| time.on(date));
        self.one(hearing.source).fix.hear_clock(stated, hearing.at);
        let fix = rmc.position.zip(kind_of_status(rmc.status, rmc.mode));
        let time = rmc.time;
        let valid = fix.is_some();
        self.fix(&SaidFix { rank: RMC, time, stated, fix, satellites: None, dilution: None }, hearing);
        if let (true, Some(speed)) = (valid, rmc.speed) {
            self.way(speed, rmc.course, rmc.mode, 0, hearing);
        }
    }

    pub(super) fn gll(&mut self, gll: &Gll, hearing: &mut Hearing<'_>) {
        let fix = gll.position.zip(kind_of_status(gll.status, gll.mode));
        let time = gll.time;
        self.fix(&SaidFix { rank: GLL, time, stated: None, fix, satellites: None, dilution: None }, hearing);
    }

    pub(super) fn zda(&mut self, zda: &Zda, hearing: &mut Hearing<'_>) {
        self.one(hearing.source).fix.hear_clock(zda.instant(), hearing.at);
    }

    /// The larger axis of the two; the ellipse's own where only that is told.
    pub(super) fn gst(&mut self, gst: &Gst, hearing: &mut Hearing<'_>) {
        let axes = gst.latitude.zip(gst.longitude).map(|(north, east)| north.max(east));
        if let Some(spread) = axes.or(gst.major).filter(|spread| Length::ZERO < *spread) {
            self.one(hearing.source).fix.errors = Some(Recent::new(spread, hearing.at));
        }
    }

    pub(super) fn vtg(&mut self, vtg: &Vtg, hearing: &mut Hearing<'_>) {
        let void = self.one(hearing.source).fix.void;
        let warned = void.is_some_and(|void| void.fresh(hearing.at, ages::WARNED).is_some());
        if let (false, Some(speed)) = (warned, vtg.speed.or(vtg.speed_metric)) {
            self.way(speed, vtg.course, vtg.mode, 1, hearing);
        }
    }

    fn fix(&mut self, said: &SaidFix, hearing: &mut Hearing<'_>) {
        let at = hearing.at;
        let heard = &mut self.one(hearing.source).fix;
        let Some((antenna, kind)) = said.fix else {
            if heard.warn(said.time, at) {
                hearing.say(Seen::NoFix);
            }
            return;
        };
        if heard.is_void(said.time, at) || !heard.by.admits(said.rank) || heard.is_told(said.rank, said.time)
        {
            return;
        }
        heard.last = said.time.map(|time| (said.rank, time));
        let stated = said.stated.or_else(|| heard.stated(said.time, at));
        let spread = heard.errors.and_then(|errors| errors.fresh(at, ages::ERRORS));
        let (satellites, dilution) = (said.satellites, said.dilution);
        self.aboard.place = Some(Recent::new(antenna, at));
        hearing.say(Seen::Fix(Fix { antenna, spread, satellites, dilution, kind, stated }));
    }

    /// `sentence` tells RMC from VTG; of two with the same decimals RMC is taken.
    fn way(
        &mut self,
        told: SpeedTold,
        course: Option<Bearing>,
        mode: Option<Mode>,
        sentence: u8,
        hearing: &mut Hearing<'_>,
    ) {
        let measured = mode.is_none_or(|mode| matches!(kind_of_mode(mode), Some(kind) if is_measured(kind)));
        let rank = 2 * coarseness(told.step) + sentence;
        if measured && self.one(hearing.source).fix.way_by.admits(rank) {
            self.say_way(told, course, hearing);
        }
    }

    pub(super) fn say_way(&mut self, told: SpeedTold, course: Option<Bearing>, hearing: &mut Hearing<'_>) {
        let course = course.filter(|_| Speed::ZERO < told.speed);
        if let Some(moving) = Moving::of(told.speed, course) {
            self.aboard.way = Some(Recent::new(moving, hearing.at));
        }
        hearing.say(Seen::Way(Way { speed: told.speed, course, step: told.step }));
    }

    pub(super) fn gpsd_fix(&mut self, tpv: &Tpv, hearing: &mut Hearing<'_>) {
        let kind = if tpv.mode < 2 { None } else { Some(kind_of_gpsd(tpv.status)) };
        let Some((antenna, kind)) = tpv.position.zip(kind) else {
            hearing.say(Seen::NoFix);
            return;
        };
        self.aboard.place = Some(Recent::new(antenna, hearing.at));
        let (spread, stated) = (tpv.spread, tpv.time);
        hearing.say(Seen::Fix(Fix { antenna, spread, satellites: None, dilution: None, kind, stated }));
        if let (Some(speed), true) = (tpv.speed, is_measured(kind)) {
            let step = self.gpsd_step(speed, hearing);
            self.say_way(SpeedTold { speed, step }, tpv.track, hearing);
        }
    }

    /// The server writes millimetres a second whatever the receiver told. Until a speed off the grid of
    /// tenths of a knot is heard, the receiver is taken to tell tenths.
    fn gpsd_step(&mut self, speed: Speed, hearing: &Hearing<'_>) -> Speed {
        let tenths = speed / TENTH_OF_KNOT;
        let heard = &mut self.one(hearing.source).fix;
        heard.fine |= GRID_TENTHS < (tenths - tenths.round()).abs();
        if heard.fine { GPSD_STEP } else { TENTH_OF_KNOT }
    }
}

const TENTH_OF_KNOT: Speed = Speed::knots(0.1);
/// What the server writes.
const GPSD_STEP: Speed = Speed::metres_per_second(0.001);
/// Half a millimetre a second, the server's rounding, in tenths of a knot, and some more.
const GRID_TENTHS: f64 = 0.015;

/// 0 for thousandths of a knot and finer, 1 for hundredths, 2 for tenths, 3 for whole knots.
fn coarseness(step: Speed) -> u8 {
    let step_kn = step.as_knots();
    // Limits halfway, in the logarithm, between the decimals: 3.16, as km/h fall beside knots.
    [0.003_16, 0.031_6, 0.316].iter().fold(0, |rank, &limit| rank + u8::from(limit < step_kn))
}

const fn is_measured(kind: FixKind) -> bool {
    !matches!(kind, FixKind::Estimated | FixKind::NotMeasured)
}

/// `None`: no fix.
const fn kind_of_quality(quality: Quality) -> Option<FixKind> {
    Some(match quality {
        Quality::NoFix => return None,
        Quality::Autonomous | Quality::Precise => FixKind::Autonomous,
        Quality::Differential => FixKind::Differential,
        Quality::FixedPhase | Quality::FloatPhase => FixKind::CarrierPhase,
        Quality::Estimated => FixKind::Estimated,
        Quality::Manual | Quality::Simulator => FixKind::NotMeasured,
        Quality::Unlisted(_) => FixKind::Unstated,
    })
}

/// `None`: no fix.
const fn kind_of_mode(mode: Mode) -> Option<FixKind> {
    Some(match mode {
        Mode::NotValid => return None,
        Mode::Autonomous | Mode::Precise => FixKind::Autonomous,
        Mode::Differential => FixKind::Differential,
        Mode::FixedPhase | Mode::FloatPhase => FixKind::CarrierPhase,
        Mode::Estimated => FixKind::Estimated,
        Mode::Manual | Mode::Simulator => FixKind::NotMeasured,
        Mode::Unlisted(_) => FixKind::Unstated,
    })
}

/// The least of the kinds by which the systems took part; `None` if none did.
fn kind_of_modes(modes: &[Option<Mode>]) -> Option<FixKind> {
    let worth = |kind: &FixKind| match kind {
        FixKind::NotMeasured => 0,
        FixKind::Estimated => 1,
        FixKind::Unstated => 2,
        FixKind::Autonomous => 3,
        FixKind::Differential => 4,
        FixKind::CarrierPhase => 5,
    };
    modes.iter().flatten().filter_map(|mode| kind_of_mode(*mode)).min_by_key(worth)
}

/// `None`: no fix. A status that is not given warns of nothing.
const fn kind_of_status(status: Option<Status>, mode: Option<Mode>) -> Option<FixKind> {
    match (status, mode) {
        (Some(Status::Warning), _) => None,
        (_, Some(mode)) => kind_of_mode(mode),
        (_, None) => Some(FixKind::Unstated),
    }
}

const fn kind_of_gpsd(status: Option<u8>) -> FixKind {
    match status {
        Some(1 | 9) => FixKind::Autonomous,
        Some(2) => FixKind::Differential,
        Some(3 | 4) => FixKind::CarrierPhase,
        Some(5 | 6) => FixKind::Estimated,
        Some(7 | 8) => FixKind::NotMeasured,
        _ => FixKind::Unstated,
    }
}

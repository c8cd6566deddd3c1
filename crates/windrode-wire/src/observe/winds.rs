//! Wind, brought over the ground and to 10 m.

use windrode_domain::environment::wind::{OPEN_SEA_ROUGHNESS, ROUGH_WATER_ROUGHNESS, Wind, log_law};
use windrode_domain::units::{Angle, Bearing, Length, Speed};
use windrode_domain::watch::observation::Seen;

use super::ages;
use super::{Fitted, Hearing, Told, Want};
use crate::nmea0183::heading::MagneticBearing;
use crate::nmea0183::position::Status;
use crate::nmea0183::wind::{BowWind, Mwd, Mwv, Reference};

/// Ranks: over the ground by the instrument, felt, felt in the old form, the instrument's true wind.
const MWD: u8 = 0;
pub(super) const MWV_R: u8 = 1;
const VWR: u8 = 2;
const MWV_T: u8 = 3;
const VWT: u8 = 4;

/// Way as a vector of where she goes to, m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moving {
    east_ms: f64,
    north_ms: f64,
}

/// Slower than this a receiver often gives no course; taken as no way at all, the wind is off by no more.
const NO_WAY: Speed = Speed::knots(0.5);

impl Moving {
    /// `None` if she moves, and nobody says whither.
    pub(super) fn of(speed: Speed, course: Option<Bearing>) -> Option<Self> {
        let Some(course) = course else {
            return (speed <= NO_WAY).then_some(Self { east_ms: 0.0, north_ms: 0.0 });
        };
        let (sin, cos) = course.as_radians().sin_cos();
        let speed_ms = speed.as_metres_per_second();
        Some(Self { east_ms: speed_ms * sin, north_ms: speed_ms * cos })
    }
}

impl Fitted {
    /// Over the ground by the instrument's word, but where the vane stands.
    pub(super) fn mwd(&mut self, mwd: &Mwd, hearing: &mut Hearing<'_>) -> Told {
        self.over_ground((mwd.from, mwd.from_magnetic, mwd.speed), hearing)
    }

    /// A wind over the ground by the instrument: from where, true or else magnetic, and how much.
    pub(super) fn over_ground(
        &mut self,
        (from, from_magnetic, speed): (Option<Bearing>, Option<MagneticBearing>, Option<Speed>),
        hearing: &mut Hearing<'_>,
    ) -> Told {
        let Some(speed) = speed else { return Ok(()) };
        let from = match (from, from_magnetic) {
            (Some(from), _) => from,
            (None, Some(magnetic)) => magnetic.corrected(self.variation(hearing)?.east),
            (None, None) => return Ok(()),
        };
        self.say_wind(Wind::blowing(from, speed), MWD, hearing);
        Ok(())
    }

    pub(super) fn mwv(&mut self, mwv: &Mwv, hearing: &mut Hearing<'_>) -> Told {
        let (Some(angle), Some(speed), Some(Status::Valid)) = (mwv.angle, mwv.speed, mwv.status) else {
            return Ok(());
        };
        match mwv.reference {
            Some(Reference::Felt) => self.felt(angle, speed, MWV_R, hearing),
            Some(Reference::True) => self.by_the_log(angle, speed, MWV_T, hearing),
            None => Ok(()),
        }
    }

    pub(super) fn vwr(&mut self, wind: &BowWind, hearing: &mut Hearing<'_>) -> Told {
        let (Some(angle), Some(speed)) = (wind.angle, wind.speed) else { return Ok(()) };
        self.felt(angle, speed, VWR, hearing)
    }

    pub(super) fn vwt(&mut self, wind: &BowWind, hearing: &mut Hearing<'_>) -> Told {
        let (Some(angle), Some(speed)) = (wind.angle, wind.speed) else { return Ok(()) };
        self.by_the_log(angle, speed, VWT, hearing)
    }

    /// As felt on board: corrected as the vane is known to need it, her way over the ground added.
    pub(super) fn felt(&mut self, angle: Angle, speed: Speed, rank: u8, hearing: &mut Hearing<'_>) -> Told {
        let vane = self.out.vane;
        let from = self.bow(hearing)?.turned(angle + vane.turned);
        let way = self.way_now(hearing).ok_or(Want::Way)?;
        let felt = Wind::blowing(from, speed * vane.speed_factor);
        let wind = Wind { east_ms: felt.east_ms + way.east_ms, north_ms: felt.north_ms + way.north_ms };
        self.say_wind(wind, rank, hearing);
        Ok(())
    }

    /// The instrument's true wind: over the water where there is a log, and then the stream comes to it.
    fn by_the_log(&mut self, angle: Angle, speed: Speed, rank: u8, hearing: &mut Hearing<'_>) -> Told {
        let bow = self.bow(hearing)?;
        let wind = Wind::blowing(bow.turned(angle), speed);
        let log = self.aboard.through_water.and_then(|speed| speed.fresh(hearing.at, ages::TOGETHER));
        let through = log.and_then(|speed| Moving::of(speed, Some(bow)));
        let wind = match (through, self.way_now(hearing)) {
            (Some(through), Some(way)) => Wind {
                east_ms: wind.east_ms + way.east_ms - through.east_ms,
                north_ms: wind.north_ms + way.north_ms - through.north_ms,
            },
            _ => wind,
        };
        self.say_wind(wind, rank, hearing);
        Ok(())
    }

    fn bow(&self, hearing: &Hearing<'_>) -> Result<Bearing, Want> {
        let heading = self.aboard.heading.and_then(|heading| heading.fresh(hearing.at, ages::TOGETHER));
        heading.map(|headed| headed.bow).ok_or(Want::Heading)
    }

    fn way_now(&self, hearing: &Hearing<'_>) -> Option<Moving> {
        self.aboard.way.and_then(|way| way.fresh(hearing.at, ages::TOGETHER))
    }

    fn say_wind(&mut self, at_vane: Wind, rank: u8, hearing: &mut Hearing<'_>) {
        if self.one(hearing.source).wind.admits(rank, hearing.at) {
            let ratio = self.out.vane.height.and_then(over_ten_metres).unwrap_or(1.0);
            let wind = Wind { east_ms: at_vane.east_ms / ratio, north_ms: at_vane.north_ms / ratio };
            hearing.say(Seen::Wind(wind));
        }
    }
}

/// The wind at a height over that at 10 m, by the roughness that makes the wind at 10 m the stronger of the
/// two usual ones: open sea above 10 m, rough water below.
fn over_ten_metres(height: Length) -> Option<f64> {
    let open = log_law(height, OPEN_SEA_ROUGHNESS)?;
    let rough = log_law(height, ROUGH_WATER_ROUGHNESS)?;
    Some(open.min(rough)).filter(|ratio| 0.0 < *ratio)
}

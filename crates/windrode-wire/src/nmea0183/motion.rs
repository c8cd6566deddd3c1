//! How she moves: VTG over the ground, VHW through the water, ROT about herself.
//!
//! ```text
//! VTG,course,T,course,M,speed,N,speed,K,mode
//! VHW,heading,T,heading,M,speed,N,speed,K
//! ROT,degrees a minute (bow to starboard positive),status
//! ```
//!
//! Fields as told publicly in "NMEA Revealed" (E. S. Raymond).

use windrode_domain::units::{Bearing, Speed};

use super::fields::{Fields, KILOMETRE_PER_HOUR, SpeedTold};
use super::heading::MagneticBearing;
use super::position::{Mode, Status, mode, status};
use super::refusal::Refusal;
use super::sentence::Sentence;

/// Course and speed over the ground: VTG.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vtg {
    /// Course, true.
    pub course: Option<Bearing>,
    /// Course, magnetic.
    pub course_magnetic: Option<MagneticBearing>,
    /// Speed, told in knots.
    pub speed: Option<SpeedTold>,
    /// The same, told in kilometres an hour.
    pub speed_metric: Option<SpeedTold>,
    /// How the fix was got.
    pub mode: Option<Mode>,
}

/// Heading and speed through the water: VHW.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vhw {
    /// Heading, true.
    pub heading: Option<Bearing>,
    /// Heading, magnetic.
    pub heading_magnetic: Option<MagneticBearing>,
    /// Speed, told in knots.
    pub speed: Option<SpeedTold>,
    /// The same, told in kilometres an hour.
    pub speed_metric: Option<SpeedTold>,
}

/// Rate of turn: ROT.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rot {
    /// Degrees a minute, bow to starboard positive.
    pub rate_deg_min: Option<f64>,
    /// Valid or not.
    pub status: Option<Status>,
}

/// No vessel turns faster than this, degrees a minute: twice round in a second.
const TURN_MAX_DEG_MIN: f64 = 43_200.0;

fn speeds(fields: &mut Fields<'_>) -> Result<(Option<SpeedTold>, Option<SpeedTold>), Refusal> {
    let knots = fields.speed("speed in knots", Speed::knots(1.0))?;
    let knots = fields.unit("speed in knots", knots, b'N')?;
    let metric = fields.speed("speed in km/h", KILOMETRE_PER_HOUR)?;
    Ok((knots, fields.unit("speed in km/h", metric, b'K')?))
}

impl Vtg {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "VTG", 8)?;
        let course = fields.true_bearing("course")?;
        let course_magnetic = fields.magnetic_bearing("magnetic course")?;
        let (speed, speed_metric) = speeds(&mut fields)?;
        Ok(Self { course, course_magnetic, speed, speed_metric, mode: mode(&mut fields)? })
    }
}

impl Vhw {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "VHW", 8)?;
        let heading = fields.true_bearing("heading")?;
        let heading_magnetic = fields.magnetic_bearing("magnetic heading")?;
        let (speed, speed_metric) = speeds(&mut fields)?;
        Ok(Self { heading, heading_magnetic, speed, speed_metric })
    }
}

impl Rot {
    pub(super) fn read(sentence: &Sentence<'_>) -> Result<Self, Refusal> {
        let mut fields = Fields::of(sentence, "ROT", 1)?;
        let rate_deg_min = fields.within("rate of turn", -TURN_MAX_DEG_MIN, TURN_MAX_DEG_MIN)?;
        Ok(Self { rate_deg_min, status: status(&mut fields)? })
    }
}

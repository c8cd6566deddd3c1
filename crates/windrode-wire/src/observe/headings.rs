//! Headings, all brought to true north.

use windrode_domain::environment::magnetism::{MagnetismError, Variation, variation};
use windrode_domain::units::{Angle, Bearing};
use windrode_domain::watch::observation::Seen;

use super::ages::{self, Recent};
use super::{Fitted, Hearing, Told, Want};
use crate::nmea0183::heading::{Hdg, Hdm, HeadingMode, MagneticBearing, Ths};
use crate::nmea0183::motion::Vhw;

/// Ranks: true, by the compass with its corrections, magnetic, beside the log.
const TRUE: u8 = 0;
const HDG: u8 = 1;
pub(super) const HDM: u8 = 2;
const VHW: u8 = 3;

/// A true heading by an instrument that may be a satellite compass or a fluxgate behind a processor. Common
/// practice, no source.
const TRUE_SPREAD: Angle = Angle::degrees(2.0);
/// A compass whose deviation is known. Common practice, no source.
const COMPASS_SPREAD: Angle = Angle::degrees(2.0);
/// A compass whose deviation nobody has told: a boat's swung compass is left with a few degrees. Common
/// practice, no source.
const UNSWUNG_SPREAD: Angle = Angle::degrees(4.0);

/// A heading, and how good.
#[derive(Clone, Copy, Debug)]
pub(super) struct Headed {
    rank: u8,
    pub(super) bow: Bearing,
}

impl Fitted {
    pub(super) fn true_heading(&mut self, heading: Option<Bearing>, hearing: &mut Hearing<'_>) {
        if let Some(bow) = heading {
            self.say_heading(bow, TRUE_SPREAD, TRUE, hearing);
        }
    }

    pub(super) fn ths(&mut self, ths: &Ths, hearing: &mut Hearing<'_>) {
        let measured = matches!(ths.mode, None | Some(HeadingMode::Autonomous));
        self.true_heading(ths.heading.filter(|_| measured), hearing);
    }

    pub(super) fn hdg(&mut self, hdg: &Hdg, hearing: &mut Hearing<'_>) -> Told {
        let Some(compass) = hdg.compass else { return Ok(()) };
        let deviation = hdg.deviation.or(self.out.compass.deviation);
        let magnetic =
            MagneticBearing::degrees(compass.as_degrees() + deviation.unwrap_or(Angle::ZERO).as_degrees());
        let spread = if deviation.is_some() { COMPASS_SPREAD } else { UNSWUNG_SPREAD };
        match hdg.variation {
            Some(east) => {
                self.say_heading(magnetic.corrected(east), spread, HDG, hearing);
                Ok(())
            }
            None => self.by_model(magnetic, spread, HDG, hearing),
        }
    }

    /// Magnetic by the instrument's word: what deviation it has corrected is not told.
    pub(super) fn hdm(&mut self, hdm: &Hdm, hearing: &mut Hearing<'_>) -> Told {
        hdm.heading.map_or(Ok(()), |magnetic| self.magnetic_heading(magnetic, HDM, hearing))
    }

    pub(super) fn vhw(&mut self, vhw: &Vhw, hearing: &mut Hearing<'_>) -> Told {
        if let Some(told) = vhw.speed.or(vhw.speed_metric) {
            self.aboard.through_water = Some(Recent::new(told.speed, hearing.at));
            hearing.say(Seen::ThroughWater { speed: told.speed });
        }
        match (vhw.heading, vhw.heading_magnetic) {
            (Some(bow), _) => {
                self.say_heading(bow, UNSWUNG_SPREAD, VHW, hearing);
                Ok(())
            }
            (None, Some(magnetic)) => self.magnetic_heading(magnetic, VHW, hearing),
            (None, None) => Ok(()),
        }
    }

    pub(super) fn magnetic_heading(
        &mut self,
        magnetic: MagneticBearing,
        rank: u8,
        hearing: &mut Hearing<'_>,
    ) -> Told {
        self.by_model(magnetic, UNSWUNG_SPREAD, rank, hearing)
    }

    fn by_model(
        &mut self,
        magnetic: MagneticBearing,
        spread: Angle,
        rank: u8,
        hearing: &mut Hearing<'_>,
    ) -> Told {
        let variation = self.variation(hearing)?;
        let spread = Angle::radians(spread.as_radians().hypot(variation.spread.as_radians()));
        self.say_heading(magnetic.corrected(variation.east), spread, rank, hearing);
        Ok(())
    }

    /// The variation where she is.
    pub(super) fn variation(&self, hearing: &Hearing<'_>) -> Result<Variation, Want> {
        let place =
            self.aboard.place.and_then(|place| place.fresh(hearing.at, ages::PLACE)).ok_or(Want::Place)?;
        variation(place, hearing.at).map_err(|error| match error {
            MagnetismError::OutsideSpan { .. } | MagnetismError::NearPole { .. } => Want::MagneticModel,
        })
    }

    fn say_heading(&mut self, bow: Bearing, spread: Angle, rank: u8, hearing: &mut Hearing<'_>) {
        if !self.one(hearing.source).heading.admits(rank, hearing.at) {
            return;
        }
        let known = self.aboard.heading.and_then(|heading| heading.fresh(hearing.at, ages::TOGETHER));
        if known.is_none_or(|known| rank <= known.rank) {
            self.aboard.heading = Some(Recent::new(Headed { rank, bow }, hearing.at));
        }
        hearing.say(Seen::Heading { bow, spread });
    }
}

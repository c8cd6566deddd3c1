//! From what instruments report to what is known in the boat's terms: fitting-out.
//!
//! An instrument speaks in its own terms: degrees from its own north, metres below itself, wind as felt where
//! it stands. Here the terms become the boat's: true bearings, water from the surface, wind over the ground
//! at 10 m. Each source is heard once for one thing: who says the same by two sentences is taken at the
//! better of them, as long as that one comes.
//!
//! ```text
//! fix      one an epoch: GGA, else GNS, else RMC, else GLL; a warning in any of them (V, quality 0, mode N) voids it
//! way      RMC or VTG, the one with more decimals
//! heading  true (HDT, THS), else compass + deviation + variation (HDG), magnetic + variation (HDM), VHW
//!          variation: the sentence's own, else the World Magnetic Model at the last fix
//! own AIS  VDO: place, way, heading, where nobody else tells them
//! water    DBS; DPT + offset > 0; DPT + offset < 0 + draught; else the reading by the boat's own word for her sounder
//! wind     MWD; else felt wind (MWV R, VWR) + way over the ground; else MWV T, VWT less the stream
//! ```
//!
//! **Wind.** With `A` the felt wind turned by the heading, `V` the way over the ground, `S` the way through
//! the water:
//!
//! ```text
//! over the ground:  W = A + V                          vectors of where air and boat go to
//! instrument's T:   W = T + (V − S)                    if a log tells S; else T is taken as over the ground
//! at 10 m:          W · ln(10/z0) / ln(z/z0)           if the vane's height z is known
//! ```
//!
//! Left out: heel, upwash at the masthead, the vane's own swing in a seaway. MWD is taken at its word as wind
//! over the ground, though there are instruments that fill it from their T.
//!
//! Everything that is used with something else has an age beyond which it is not used ([`ages`]). What cannot
//! be told for want of something is counted by what was wanting ([`Withheld`]), so that the crew can be told
//! why there is no wind.

pub mod ages;
mod fixes;
mod headings;
mod transponder;
mod water;
mod winds;

use std::collections::BTreeMap;

use jiff::Timestamp;
use windrode_domain::boat::SounderReads;
use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Length, Speed};
use windrode_domain::watch::observation::{Observation, Seen, Sky, Source};

use crate::gpsd;
use crate::nmea0183::Report;
use crate::nmea0183::machinery::{Rpm, Turns, Xdr};
use crate::nmea0183::motion::Rot;
use crate::nmea0183::position::Status;
use crate::nmea0183::satellites::{Gsa, Gsv};
use ages::{Preferred, Recent};
use fixes::FixHearing;
use headings::Headed;
use winds::Moving;

/// How she is fitted out, as far as it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedOut {
    /// What the sounder's reading is a depth below, where the sentence does not say.
    pub sounder: Option<SounderReads>,
    /// Her draught.
    pub draught: Option<Length>,
    /// The wind vane.
    pub vane: Vane,
    /// The compass.
    pub compass: Compass,
    /// Name by which XDR tells the service battery's voltage; `None`: the first voltage whose name does not
    /// say another.
    pub battery: Option<String>,
}

/// The wind vane and cups.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vane {
    /// Above the water; `None` and the wind is told as it is there.
    pub height: Option<Length>,
    /// To be added to its angle, clockwise positive.
    pub turned: Angle,
    /// By which its speed is to be multiplied.
    pub speed_factor: f64,
}

/// The compass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compass {
    /// Deviation, east positive, where the sentence does not say; `None` and it counts into the spread.
    pub deviation: Option<Angle>,
}

impl FittedOut {
    /// Nothing is known of her.
    pub const UNKNOWN: Self = Self {
        sounder: None,
        draught: None,
        vane: Vane { height: None, turned: Angle::ZERO, speed_factor: 1.0 },
        compass: Compass { deviation: None },
        battery: None,
    };
}

/// What was wanting where something was heard and could not be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Want {
    /// Wind was felt, but no heading is fresh.
    Heading,
    /// Wind was felt, but no way over the ground is fresh.
    Way,
    /// A magnetic bearing was heard, but no fix says where.
    Place,
    /// A magnetic bearing was heard, but the magnetic model does not hold then or there.
    MagneticModel,
    /// A sounding was heard, but not below what.
    SounderFitting,
    /// A sounding below the keel was heard, but no draught is known.
    Draught,
}

impl Want {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Heading, Self::Way, Self::Place, Self::MagneticModel, Self::SounderFitting, Self::Draught];
}

/// How often something was heard and could not be told, by what was wanting.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Withheld([u64; Want::ALL.len()]);

impl Withheld {
    /// How often for want of this.
    pub fn for_want_of(&self, want: Want) -> u64 {
        self.0.get(want as usize).copied().unwrap_or(0)
    }
    fn count(&mut self, want: Want) {
        if let Some(count) = self.0.get_mut(want as usize) {
            *count += 1;
        }
    }
}

/// Turns reports into observations.
#[derive(Clone, Debug)]
pub struct Fitted {
    out: FittedOut,
    sources: BTreeMap<Source, OneSource>,
    aboard: Aboard,
    withheld: Withheld,
    stand_in: transponder::StandIn,
}

/// What is known of the boat whoever said it.
#[derive(Clone, Debug, Default)]
struct Aboard {
    place: Option<Recent<Position>>,
    way: Option<Recent<Moving>>,
    through_water: Option<Recent<Speed>>,
    heading: Option<Recent<Headed>>,
}

/// What one source has said.
#[derive(Clone, Debug, Default)]
struct OneSource {
    fix: FixHearing,
    heading: Preferred,
    water: Preferred,
    offset: Option<Recent<Length>>,
    wind: Preferred,
    sky: SkyHeard,
}

/// One report being heard.
struct Hearing<'a> {
    source: Source,
    at: Timestamp,
    out: &'a mut Vec<Observation>,
}

impl Hearing<'_> {
    fn say(&mut self, seen: Seen) {
        self.out.push(Observation { at: self.at, source: self.source, seen });
    }
}

/// Hears one report, or says what is wanting.
type Told = Result<(), Want>;

impl Fitted {
    /// Nothing heard yet.
    pub const fn new(out: FittedOut) -> Self {
        let aboard = Aboard { place: None, way: None, through_water: None, heading: None };
        Self {
            out,
            sources: BTreeMap::new(),
            aboard,
            withheld: Withheld([0; Want::ALL.len()]),
            stand_in: transponder::StandIn { place_at: None, heading_at: None },
        }
    }

    /// How she is fitted out.
    pub const fn fitted_out(&self) -> &FittedOut {
        &self.out
    }

    /// What was heard and could not be told.
    pub const fn withheld(&self) -> Withheld {
        self.withheld
    }

    /// Hears what a sentence said, at the boat's own time; what it means is pushed onto `out`, often nothing.
    ///
    /// A source is one instrument: where several talkers share a wire, each is best given its own.
    pub fn hear(&mut self, source: Source, report: &Report<'_>, at: Timestamp, out: &mut Vec<Observation>) {
        let mut hearing = Hearing { source, at, out };
        let told = self.sentence(report, &mut hearing);
        if let Err(want) = told {
            self.withheld.count(want);
        }
    }

    /// Hears what a gpsd server said.
    pub fn hear_gpsd(
        &mut self,
        source: Source,
        report: &gpsd::Report,
        at: Timestamp,
        out: &mut Vec<Observation>,
    ) {
        let mut hearing = Hearing { source, at, out };
        let told = match report {
            gpsd::Report::Tpv(tpv) => self.tpv(tpv, &mut hearing),
            gpsd::Report::Sky(sky) => {
                hearing.say(Seen::Sky(Sky {
                    in_view: sky.in_view,
                    used: sky.used,
                    carrier_db_hz: sky.carrier_db_hz,
                }));
                Ok(())
            }
            gpsd::Report::Att(att) => self.att(att, &mut hearing),
            gpsd::Report::Acknowledged | gpsd::Report::Error(_) | gpsd::Report::Unlisted => Ok(()),
        };
        if let Err(want) = told {
            self.withheld.count(want);
        }
    }

    fn sentence(&mut self, report: &Report<'_>, hearing: &mut Hearing<'_>) -> Told {
        match report {
            Report::Gga(gga) => self.gga(gga, hearing),
            Report::Gns(gns) => self.gns(gns, hearing),
            Report::Rmc(rmc) => self.rmc(rmc, hearing),
            Report::Gll(gll) => self.gll(gll, hearing),
            Report::Gst(gst) => self.gst(gst, hearing),
            Report::Zda(zda) => self.zda(zda, hearing),
            Report::Vtg(vtg) => self.vtg(vtg, hearing),
            Report::Gsa(gsa) => self.one(hearing.source).sky.used(gsa, hearing.at),
            Report::Gsv(gsv) => self.one(hearing.source).sky.in_view(gsv, hearing),
            Report::Hdt(hdt) => self.true_heading(hdt.heading, hearing),
            Report::Ths(ths) => self.ths(ths, hearing),
            Report::Hdg(hdg) => return self.hdg(hdg, hearing),
            Report::Hdm(hdm) => return self.hdm(hdm, hearing),
            Report::Vhw(vhw) => return self.vhw(vhw, hearing),
            Report::Rot(rot) => turning(rot, hearing),
            Report::Dbs(sounding) => self.dbs(sounding, hearing),
            Report::Dpt(dpt) => return self.dpt(dpt, hearing),
            Report::Dbt(sounding) => return self.dbt(sounding, hearing),
            Report::Dbk(sounding) => return self.dbk(sounding, hearing),
            Report::Mwd(mwd) => return self.mwd(mwd, hearing),
            Report::Mwv(mwv) => return self.mwv(mwv, hearing),
            Report::Vwr(wind) => return self.vwr(wind, hearing),
            Report::Vwt(wind) => return self.vwt(wind, hearing),
            Report::Xdr(xdr) => self.measurements(xdr, hearing),
            Report::Rpm(rpm) => engine(rpm, hearing),
            Report::Mtw(_) | Report::Ais(_) | Report::Logged(_) | Report::TagAlone | Report::Unlisted(_) => {}
        }
        Ok(())
    }

    fn one(&mut self, source: Source) -> &mut OneSource {
        self.sources.entry(source).or_default()
    }

    fn tpv(&mut self, tpv: &gpsd::Tpv, hearing: &mut Hearing<'_>) -> Told {
        self.gpsd_fix(tpv, hearing);
        let water = tpv.depth.map_or(Ok(()), |depth| self.reading(depth, hearing));
        let wind = match (tpv.felt_angle, tpv.felt_speed) {
            (Some(angle), Some(speed)) => self.felt(angle, speed, winds::MWV_R, hearing),
            _ => Ok(()),
        };
        let over_ground = self.over_ground((tpv.wind_from, tpv.wind_from_magnetic, tpv.wind_speed), hearing);
        water.and(wind).and(over_ground)
    }

    fn att(&mut self, att: &gpsd::Att, hearing: &mut Hearing<'_>) -> Told {
        if let (Some(heel_deg), Some(pitch_deg)) = (att.roll_deg, att.pitch_deg) {
            hearing.say(Seen::Attitude { heel_deg, pitch_deg });
        }
        let water = att.depth.map_or(Ok(()), |depth| self.reading(depth, hearing));
        let heading = match (att.heading, att.heading_magnetic) {
            (None, Some(magnetic)) => self.magnetic_heading(magnetic, headings::HDM, hearing),
            (heading, _) => {
                self.true_heading(heading, hearing);
                Ok(())
            }
        };
        water.and(heading)
    }

    /// The service battery's voltage, and how she heels and pitches if both are told.
    fn measurements(&self, xdr: &Xdr<'_>, hearing: &mut Hearing<'_>) {
        let (mut heel, mut pitch, mut volts) = (None, None, None);
        for measured in xdr.measurements() {
            match (measured.kind, measured.unit) {
                (b'A', Some(b'D')) if named(measured.name, &["HEEL", "ROLL"]) => heel = Some(measured.value),
                (b'A', Some(b'D')) if named(measured.name, &["TRIM", "PITCH", "PTCH"]) => {
                    pitch = Some(measured.value);
                }
                (b'U', Some(b'V')) if self.is_service_battery(measured.name) => {
                    volts = volts.or(Some(measured.value));
                }
                _ => {}
            }
        }
        if let Some(volts) = volts {
            hearing.say(Seen::Battery { volts });
        }
        if let (Some(heel_deg), Some(pitch_deg)) = (heel, pitch) {
            hearing.say(Seen::Attitude { heel_deg, pitch_deg });
        }
    }

    fn is_service_battery(&self, name: &str) -> bool {
        match &self.out.battery {
            Some(own) => own == name,
            None => named(name, &["BAT", "HOUSE", "SERV"]) && !named(name, &["START", "ENG", "BOW", "WINDL"]),
        }
    }
}

/// Whether a maker's name for a measurement holds one of these words.
fn named(name: &str, words: &[&str]) -> bool {
    let name = name.to_ascii_uppercase();
    words.iter().any(|word| name.contains(word))
}

fn turning(rot: &Rot, hearing: &mut Hearing<'_>) {
    if let (Some(rate_deg_min), Some(Status::Valid)) = (rot.rate_deg_min, rot.status) {
        hearing.say(Seen::Turning { rate_deg_s: rate_deg_min / 60.0 });
    }
}

fn engine(rpm: &Rpm, hearing: &mut Hearing<'_>) {
    if let (Some(Turns::Engine), Some(rpm), Some(Status::Valid)) = (rpm.what, rpm.rpm, rpm.status) {
        hearing.say(Seen::Engine { rpm });
    }
}

/// What GSV and GSA said of late. A group of GSV per system; more than [`SYSTEMS_MAX`] there are not.
#[derive(Clone, Debug, Default)]
struct SkyHeard {
    systems: Vec<([u8; 2], Recent<System>)>,
    used: Option<Recent<u8>>,
}

/// GPS, GLONASS, Galileo, BeiDou, QZSS, NavIC, augmentation, and one more.
const SYSTEMS_MAX: usize = 8;

/// Satellites of one system.
#[derive(Clone, Copy, Debug, Default)]
struct System {
    in_view: u8,
    tracked: u32,
    carrier_sum: f64,
}

impl SkyHeard {
    /// GGA tells the same for all systems together.
    fn used(&mut self, gsa: &Gsa, at: Timestamp) {
        let fresh = self.used.and_then(|used| used.fresh(at, ages::SKY));
        if fresh.is_none() {
            self.used = Some(Recent::new(gsa.used(), at));
        }
    }

    fn in_view(&mut self, gsv: &Gsv, hearing: &mut Hearing<'_>) {
        let talker = gsv.talker.0;
        if !self.systems.iter().any(|(known, _)| *known == talker) && self.systems.len() < SYSTEMS_MAX {
            self.systems.push((talker, Recent::new(System::default(), hearing.at)));
        }
        let Some((_, heard)) = self.systems.iter_mut().find(|(known, _)| *known == talker) else { return };
        let begun = if gsv.number == Some(1) { System::default() } else { heard.value };
        let carriers = gsv.satellites.iter().flatten().filter_map(|seen| seen.carrier_db_hz);
        let carriers = carriers.filter(|&carrier| 0.0 < carrier);
        let (tracked, carrier_sum) =
            carriers.fold((begun.tracked, begun.carrier_sum), |(n, sum), c| (n + 1, sum + c));
        let in_view = gsv.in_view.unwrap_or(begun.in_view);
        *heard = Recent::new(System { in_view, tracked, carrier_sum }, hearing.at);
        if gsv.number == gsv.sentences {
            let sky = self.summed(hearing.at);
            hearing.say(Seen::Sky(sky));
        }
    }

    fn summed(&self, at: Timestamp) -> Sky {
        let fresh = self.systems.iter().filter_map(|(_, heard)| heard.fresh(at, ages::SKY));
        let all = fresh.fold(System::default(), |all, one| System {
            in_view: all.in_view.saturating_add(one.in_view),
            tracked: all.tracked.saturating_add(one.tracked),
            carrier_sum: all.carrier_sum + one.carrier_sum,
        });
        Sky {
            in_view: Some(all.in_view),
            used: self.used.and_then(|used| used.fresh(at, ages::SKY)),
            carrier_db_hz: (0 < all.tracked).then(|| all.carrier_sum / f64::from(all.tracked)),
        }
    }
}

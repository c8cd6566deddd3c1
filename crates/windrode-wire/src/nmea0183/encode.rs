//! Sentences written: what the simulator's sensors say, as bytes for the same reader.
//!
//! Each writer appends one sentence with its checksum and the line's ending. What is `None` is an empty
//! field. How many decimals are told is the receiver's own habit ([`Decimals`]); a position in seven decimals
//! of a minute is good to 0.2 mm.

use core::fmt::Write;

use windrode_domain::position::Position;
use windrode_domain::units::{Angle, Bearing, Length, Speed};

use super::clock::{UtcTime, Zda};
use super::depth::{Dpt, Sounding};
use super::heading::{Hdg, Hdm, Hdt};
use super::machinery::{Measurement, Rpm, Turns};
use super::motion::{Rot, Vhw, Vtg};
use super::position::{Gga, Gll, Gst, Mode, Quality, Rmc, Status};
use super::satellites::{Gsa, Gsv};
use super::sentence::{Talker, sum};
use super::wind::{Mwd, Mwv, Reference};

/// How many decimals a receiver writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimals {
    /// Of a second.
    pub seconds: u8,
    /// Of a minute of latitude and longitude.
    pub minutes: u8,
    /// Of a knot, and of a metre a second.
    pub speed: u8,
    /// Of a degree.
    pub angle: u8,
    /// Of a metre.
    pub metres: u8,
}

impl Decimals {
    /// What a plotter's outlet gives: 0.2 m of latitude, 0.1 kn, 0.1°, 0.1 m.
    pub const USUAL: Self = Self { seconds: 2, minutes: 4, speed: 1, angle: 1, metres: 1 };
    /// What a receiver gives whose Doppler is to be used: 0.2 mm of latitude, 0.001 kn.
    pub const FINE: Self = Self { seconds: 2, minutes: 7, speed: 3, angle: 2, metres: 3 };
}

/// A sentence that is being written.
struct Writer<'a> {
    out: &'a mut String,
    begins: usize,
    decimals: Decimals,
}

impl<'a> Writer<'a> {
    fn begin(out: &'a mut String, talker: Talker, kind: &str, decimals: Decimals) -> Self {
        let begins = out.len() + 1;
        out.push('$');
        out.push_str(talker.as_str());
        out.push_str(kind);
        Self { out, begins, decimals }
    }

    fn end(mut self) {
        let summed = sum(self.out.as_bytes().get(self.begins..).unwrap_or(&[]));
        self.put(format_args!("*{summed:02X}\r\n"));
    }

    fn put(&mut self, text: core::fmt::Arguments<'_>) -> &mut Self {
        self.out.write_fmt(text).expect("a string takes all that is written to it");
        self
    }

    fn field(&mut self, text: core::fmt::Arguments<'_>) -> &mut Self {
        self.out.push(',');
        self.put(text)
    }

    fn text(&mut self, text: &str) -> &mut Self {
        self.field(format_args!("{text}"))
    }

    fn empty(&mut self, count: usize) -> &mut Self {
        for _ in 0..count {
            self.text("");
        }
        self
    }

    fn number(&mut self, value: Option<f64>, decimals: u8) -> &mut Self {
        match value {
            Some(value) => self.field(format_args!("{value:.0$}", usize::from(decimals))),
            None => self.text(""),
        }
    }

    fn count(&mut self, value: Option<u16>) -> &mut Self {
        match value {
            Some(value) => self.field(format_args!("{value}")),
            None => self.text(""),
        }
    }

    fn two(&mut self, value: Option<u16>) -> &mut Self {
        match value {
            Some(value) => self.field(format_args!("{value:02}")),
            None => self.text(""),
        }
    }

    fn letter(&mut self, letter: Option<char>) -> &mut Self {
        match letter {
            Some(letter) => self.field(format_args!("{letter}")),
            None => self.text(""),
        }
    }

    fn mode(&mut self, mode: Option<Mode>) -> &mut Self {
        self.letter(mode.map(Mode::letter))
    }

    fn status(&mut self, status: Option<Status>) -> &mut Self {
        self.letter(status.map(|status| if status == Status::Valid { 'A' } else { 'V' }))
    }

    /// Cut, not rounded, to its decimals: a clock does not show what is not yet.
    fn time(&mut self, time: Option<UtcTime>) -> &mut Self {
        let Some(time) = time else { return self.text("") };
        let (hour, minute, second, nanosecond) = time.parts();
        let decimals = self.decimals.seconds.min(9);
        self.field(format_args!("{hour:02}{minute:02}{second:02}"));
        if 0 < decimals {
            let part = nanosecond / 10_i32.pow(u32::from(9 - decimals));
            let width = usize::from(decimals);
            self.put(format_args!(".{part:0width$}"));
        }
        self
    }

    fn position(&mut self, position: Option<Position>) -> &mut Self {
        let Some(position) = position else { return self.empty(4) };
        self.coordinate(position.latitude_deg(), 2, ['N', 'S']);
        self.coordinate(position.longitude_deg(), 3, ['E', 'W'])
    }

    /// Rounded as a whole number of the last decimal, so that the minutes never read sixty.
    fn coordinate(&mut self, value_deg: f64, width: usize, [positive, negative]: [char; 2]) -> &mut Self {
        let decimals = usize::from(self.decimals.minutes.min(9));
        let unit = 10_u64.pow(u32::from(self.decimals.minutes.min(9)));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "180·60·10⁹ at most, not negative"
        )]
        let units = (value_deg.abs() * 60.0 * unit as f64).round() as u64;
        let (degrees, rest) = (units / (60 * unit), units % (60 * unit));
        self.field(format_args!("{degrees:0width$}{:02}", rest / unit));
        if 0 < decimals {
            self.put(format_args!(".{:0decimals$}", rest % unit));
        }
        self.letter(Some(if value_deg < 0.0 { negative } else { positive }))
    }

    /// A direction, never 360, nor a nought with a sign.
    fn degrees(&mut self, value_deg: Option<f64>) -> &mut Self {
        let decimals = self.decimals.angle;
        let unit = 10_f64.powi(i32::from(decimals));
        let turn = 360.0 * unit;
        let rounded = value_deg.map(|degrees| ((degrees * unit).round().rem_euclid(turn) + 0.0) / unit);
        self.number(rounded, decimals)
    }

    fn bearing(&mut self, bearing: Option<Bearing>) -> &mut Self {
        self.degrees(bearing.map(Bearing::as_degrees))
    }

    fn easterly(&mut self, angle: Option<Angle>) -> &mut Self {
        self.number(angle.map(|angle| angle.as_degrees().abs()), self.decimals.angle);
        self.letter(angle.map(|angle| if angle.as_degrees() < 0.0 { 'W' } else { 'E' }))
    }

    fn speed(&mut self, speed: Option<Speed>, unit: Speed) -> &mut Self {
        self.number(speed.map(|speed| speed / unit), self.decimals.speed)
    }

    fn metres(&mut self, length: Option<Length>) -> &mut Self {
        self.number(length.map(Length::as_metres), self.decimals.metres)
    }
}

const KNOT: Speed = Speed::knots(1.0);
const KILOMETRE_PER_HOUR: Speed = Speed::metres_per_second(1.0 / 3.6);
const METRE_PER_SECOND: Speed = Speed::metres_per_second(1.0);
/// Decimals of a dilution of precision.
const DILUTION_DECIMALS: u8 = 2;

/// Writes GGA.
pub fn gga(report: &Gga, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "GGA", decimals);
    writer.time(report.time).position(report.position);
    writer.count(report.quality.map(Quality::number).map(u16::from));
    writer.two(report.satellites.map(u16::from)).number(report.hdop, DILUTION_DECIMALS);
    writer.metres(report.altitude).text("M").metres(report.geoid).text("M");
    writer.number(report.age_s, 1).count(report.station);
    writer.end();
}

/// Writes RMC.
pub fn rmc(report: &Rmc, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "RMC", decimals);
    writer.time(report.time).status(report.status).position(report.position);
    writer.speed(report.speed.map(|told| told.speed), KNOT).bearing(report.course);
    match report.date {
        Some(date) => {
            let year = date.year().rem_euclid(100);
            writer.field(format_args!("{:02}{:02}{year:02}", date.day(), date.month()))
        }
        None => writer.text(""),
    };
    writer.easterly(report.variation).mode(report.mode);
    if let Some(navigation) = report.navigation {
        writer.letter(Some(char::from(navigation)));
    }
    writer.end();
}

/// Writes GLL.
pub fn gll(report: &Gll, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "GLL", decimals);
    writer.position(report.position).time(report.time).status(report.status).mode(report.mode);
    writer.end();
}

/// Writes GST.
pub fn gst(report: &Gst, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "GST", decimals);
    writer.time(report.time).metres(report.ranges).metres(report.major).metres(report.minor);
    writer
        .bearing(report.orientation)
        .metres(report.latitude)
        .metres(report.longitude)
        .metres(report.altitude);
    writer.end();
}

/// Writes VTG; the speed in knots and in kilometres an hour.
pub fn vtg(report: &Vtg, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "VTG", decimals);
    writer.bearing(report.course).text("T");
    writer.degrees(report.course_magnetic.map(super::heading::MagneticBearing::as_degrees)).text("M");
    writer.speed(report.speed.map(|told| told.speed), KNOT).text("N");
    writer.speed(report.speed_metric.map(|told| told.speed), KILOMETRE_PER_HOUR).text("K");
    writer.mode(report.mode);
    writer.end();
}

/// Writes VHW.
pub fn vhw(report: &Vhw, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "VHW", decimals);
    writer.bearing(report.heading).text("T");
    writer.degrees(report.heading_magnetic.map(super::heading::MagneticBearing::as_degrees)).text("M");
    writer.speed(report.speed.map(|told| told.speed), KNOT).text("N");
    writer.speed(report.speed_metric.map(|told| told.speed), KILOMETRE_PER_HOUR).text("K");
    writer.end();
}

/// Writes ROT.
pub fn rot(report: &Rot, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "ROT", decimals);
    writer.number(report.rate_deg_min, decimals.angle).status(report.status);
    writer.end();
}

/// Writes HDT.
pub fn hdt(report: &Hdt, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "HDT", decimals);
    writer.bearing(report.heading).text("T");
    writer.end();
}

/// Writes HDM.
pub fn hdm(report: &Hdm, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "HDM", decimals);
    writer.degrees(report.heading.map(super::heading::MagneticBearing::as_degrees)).text("M");
    writer.end();
}

/// Writes HDG.
pub fn hdg(report: &Hdg, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "HDG", decimals);
    writer.degrees(report.compass.map(super::heading::MagneticBearing::as_degrees));
    writer.easterly(report.deviation).easterly(report.variation);
    writer.end();
}

/// Writes MWV, in knots.
pub fn mwv(report: &Mwv, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "MWV", decimals);
    writer.degrees(report.angle.map(Angle::as_degrees));
    writer.letter(report.reference.map(|reference| if reference == Reference::Felt { 'R' } else { 'T' }));
    writer.speed(report.speed, KNOT).text("N").status(report.status);
    writer.end();
}

/// Writes MWD, in knots and metres a second.
pub fn mwd(report: &Mwd, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "MWD", decimals);
    writer.bearing(report.from).text("T");
    writer.degrees(report.from_magnetic.map(super::heading::MagneticBearing::as_degrees)).text("M");
    writer.speed(report.speed, KNOT).text("N").speed(report.speed, METRE_PER_SECOND).text("M");
    writer.end();
}

/// Writes DPT.
pub fn dpt(report: &Dpt, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "DPT", decimals);
    writer.metres(report.below_transducer).metres(report.offset).metres(report.range);
    writer.end();
}

/// Writes DBT, in feet, metres and fathoms.
pub fn dbt(report: &Sounding, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "DBT", decimals);
    writer.number(report.depth.map(Length::as_feet), decimals.metres).text("f");
    writer.metres(report.depth).text("M");
    writer.number(report.depth.map(Length::as_fathoms), decimals.metres).text("F");
    writer.end();
}

/// Writes ZDA, the ship's zone left at nought.
pub fn zda(report: &Zda, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "ZDA", decimals);
    writer.time(report.time);
    match report.date {
        Some(date) => {
            writer.field(format_args!("{:02}", date.day())).field(format_args!("{:02}", date.month()));
            writer.field(format_args!("{:04}", date.year()))
        }
        None => writer.empty(3),
    };
    writer.text("00").text("00");
    writer.end();
}

/// Writes GSA.
pub fn gsa(report: &Gsa, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, report.talker, "GSA", decimals);
    writer.letter(report.choice.map(char::from)).count(report.dimensions.map(u16::from));
    for satellite in report.satellites {
        writer.two(satellite);
    }
    for dilution in [report.pdop, report.hdop, report.vdop] {
        writer.number(dilution, DILUTION_DECIMALS);
    }
    if let Some(system) = report.system {
        writer.field(format_args!("{system:X}"));
    }
    writer.end();
}

/// Writes GSV, whole degrees and decibels.
pub fn gsv(report: &Gsv, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, report.talker, "GSV", decimals);
    writer.count(report.sentences.map(u16::from)).count(report.number.map(u16::from));
    writer.two(report.in_view.map(u16::from));
    for seen in report.satellites.into_iter().flatten() {
        writer.two(Some(seen.satellite)).number(seen.elevation_deg, 0);
        writer.number(seen.azimuth_deg, 0).number(seen.carrier_db_hz, 0);
    }
    if let Some(signal) = report.signal {
        writer.field(format_args!("{signal:X}"));
    }
    writer.end();
}

/// Writes RPM.
pub fn rpm(report: &Rpm, talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "RPM", decimals);
    writer.letter(report.what.map(|what| if what == Turns::Engine { 'E' } else { 'S' }));
    writer.count(report.number.map(u16::from)).number(report.rpm, 1).number(report.pitch_percent, 0);
    writer.status(report.status);
    writer.end();
}

/// Writes XDR; the values with three decimals.
pub fn xdr(measurements: &[Measurement<'_>], talker: Talker, decimals: Decimals, out: &mut String) {
    let mut writer = Writer::begin(out, talker, "XDR", decimals);
    for measurement in measurements {
        writer.letter(Some(char::from(measurement.kind))).number(Some(measurement.value), 3);
        writer.letter(measurement.unit.map(char::from)).text(measurement.name);
    }
    writer.end();
}

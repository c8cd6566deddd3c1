//! Messages written as a station would send them: 1, 5, 18 and both parts of 24, for simulated neighbours.
//!
//! A value is rounded to the field's step, as a transponder does. What the field cannot hold is refused, except where
//! the standard itself has a code for "this or more".

use windrode_domain::position::Position;
use windrode_domain::units::Bearing;

use super::bits::{Bits, six_bit_code};
use super::message::HIGHEST_IDENTITY;
use super::particulars::{Dimensions, Eta, Particulars};
use super::position::{FINE, FixSecond, Going, PositionReport, Turn, turn_code};

/// A value that a message cannot carry.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Unsendable {
    /// A number outside of its field.
    #[error("{field} cannot be {value}")]
    Number {
        /// Which.
        field: &'static str,
        /// What was to be sent.
        value: f64,
    },
    /// Text that is too long, or has a character outside the standard's 64.
    #[error("{field} cannot be \"{text}\": {most} characters of A to Z, digits and marks are possible")]
    Text {
        /// Which.
        field: &'static str,
        /// What was to be sent.
        text: String,
        /// Characters that there is room for.
        most: usize,
    },
}

type Sendable = Result<Bits, Unsendable>;

/// Message 1.
///
/// # Errors
/// [`Unsendable`].
pub fn class_a(mmsi: u32, report: &PositionReport) -> Sendable {
    let mut packet = Packet::begun(1, mmsi)?;
    packet.whole("status", report.status.unwrap_or(15).into(), 4)?;
    packet.signed(turn(report.turn)?, 8);
    packet.moving(report)?;
    packet.bits(second(report.second).into(), 6);
    packet.whole("manoeuvre", report.manoeuvre.unwrap_or(0).into(), 2)?;
    packet.bits(0, 3);
    packet.bits(report.raim.into(), 1);
    packet.bits(0, 19);
    Ok(packet.0)
}

/// Message 18, of a carrier-sense station without a display.
///
/// # Errors
/// [`Unsendable`].
pub fn class_b(mmsi: u32, report: &PositionReport) -> Sendable {
    let mut packet = Packet::begun(18, mmsi)?;
    packet.bits(0, 8);
    packet.moving(report)?;
    packet.bits(second(report.second).into(), 6);
    // Reserved; carrier sense, no display, no DSC, whole band, no message 22, not assigned.
    packet.bits(0b00_100100, 8);
    packet.bits(report.raim.into(), 1);
    // The state that carrier-sense stations send: table 70.
    packet.bits(0b1110_0000_0000_0000_0110, 20);
    Ok(packet.0)
}

/// Message 5.
///
/// # Errors
/// [`Unsendable`].
pub fn voyage(mmsi: u32, what: &Particulars) -> Sendable {
    let mut packet = Packet::begun(5, mmsi)?;
    // Edition 5 of the recommendation.
    packet.bits(2, 2);
    packet.whole("imo", what.imo.unwrap_or(0).into(), 30)?;
    packet.text("call sign", what.call_sign.as_deref(), 7)?;
    packet.text("name", what.name.as_deref(), 20)?;
    packet.bits(what.ship_type.unwrap_or(0).into(), 8);
    packet.dimensions(what.dimensions)?;
    packet.whole("fix device", what.fix_device.unwrap_or(0).into(), 4)?;
    packet.eta(what.eta.unwrap_or_default())?;
    packet.bits(what.draught.map_or(0, |draught| draught.dm).into(), 8);
    packet.text("destination", what.destination.as_deref(), 20)?;
    // No data terminal is said to be there; spare.
    packet.bits(0b10, 2);
    Ok(packet.0)
}

/// Message 24, part A: the name.
///
/// # Errors
/// [`Unsendable`].
pub fn name_part(mmsi: u32, what: &Particulars) -> Sendable {
    let mut packet = Packet::begun(24, mmsi)?;
    packet.bits(0, 2);
    packet.text("name", what.name.as_deref(), 20)?;
    packet.bits(0, 8);
    Ok(packet.0)
}

/// Message 24, part B: all else.
///
/// # Errors
/// [`Unsendable`].
pub fn particulars_part(mmsi: u32, what: &Particulars) -> Sendable {
    let mut packet = Packet::begun(24, mmsi)?;
    packet.bits(1, 2);
    packet.bits(what.ship_type.unwrap_or(0).into(), 8);
    packet.text("vendor", what.vendor.as_deref(), 3)?;
    packet.bits(0, 24);
    packet.text("call sign", what.call_sign.as_deref(), 7)?;
    match what.mother_ship {
        Some(ship) => packet.whole("mother ship", ship.into(), 30)?,
        None => packet.dimensions(what.dimensions)?,
    }
    packet.whole("fix device", what.fix_device.unwrap_or(0).into(), 4)?;
    packet.bits(0, 2);
    Ok(packet.0)
}

/// A packet as it is written.
struct Packet(Bits);

impl Packet {
    fn begun(number: u64, mmsi: u32) -> Result<Self, Unsendable> {
        if HIGHEST_IDENTITY < mmsi {
            return Err(Unsendable::Number { field: "mmsi", value: mmsi.into() });
        }
        let mut packet = Self(Bits::default());
        packet.bits(number, 6);
        packet.bits(0, 2);
        packet.bits(mmsi.into(), 30);
        Ok(packet)
    }

    fn bits(&mut self, value: u64, width: usize) {
        assert!(self.0.push(value, width), "the longest message written here has 424 bits");
    }

    #[expect(clippy::cast_sign_loss, reason = "two's complement is what is meant")]
    fn signed(&mut self, value: i64, width: usize) {
        self.bits(value as u64, width);
    }

    fn whole(&mut self, field: &'static str, value: u64, width: usize) -> Result<(), Unsendable> {
        if value >> width != 0 {
            return Err(Unsendable::Number { field, value: value as f64 });
        }
        self.bits(value, width);
        Ok(())
    }

    /// Speed, accuracy, position, course and heading.
    fn moving(&mut self, report: &PositionReport) -> Result<(), Unsendable> {
        self.bits(speed(report.speed)?, 10);
        self.bits(report.accurate.into(), 1);
        let (longitude, latitude) = place(report.at);
        self.signed(longitude, 28);
        self.signed(latitude, 27);
        self.bits(compass(report.course, 10.0, 3600)?, 12);
        self.bits(compass(report.heading, 1.0, 511)?, 9);
        Ok(())
    }

    fn text(&mut self, field: &'static str, text: Option<&str>, most: usize) -> Result<(), Unsendable> {
        let text = text.unwrap_or("");
        let refused = || Unsendable::Text { field, text: text.to_owned(), most };
        let codes: Vec<u64> = text.chars().map_while(six_bit_code).filter(|&code| code != 0).collect();
        if codes.len() != text.chars().count() || most < codes.len() {
            return Err(refused());
        }
        // "@", whose code is nought, fills the rest.
        for code in codes.into_iter().chain(core::iter::repeat(0)).take(most) {
            self.bits(code, 6);
        }
        Ok(())
    }

    fn dimensions(&mut self, dimensions: Option<Dimensions>) -> Result<(), Unsendable> {
        let none = Dimensions { ahead_m: 0, astern_m: 0, port_m: 0, starboard_m: 0 };
        let Dimensions { ahead_m, astern_m, port_m, starboard_m } = dimensions.unwrap_or(none);
        self.whole("metres to the bow", ahead_m.into(), 9)?;
        self.whole("metres to the stern", astern_m.into(), 9)?;
        self.whole("metres to port", port_m.into(), 6)?;
        self.whole("metres to starboard", starboard_m.into(), 6)
    }

    fn eta(&mut self, eta: Eta) -> Result<(), Unsendable> {
        self.whole("month", eta.month.unwrap_or(0).into(), 4)?;
        self.whole("day", eta.day.unwrap_or(0).into(), 5)?;
        self.whole("hour", eta.hour.unwrap_or(24).into(), 5)?;
        self.whole("minute", eta.minute.unwrap_or(60).into(), 6)
    }
}

/// A rounded number that is known to lie within its field.
#[expect(clippy::cast_possible_truncation, reason = "callers have checked the range")]
fn rounded(value: f64) -> i64 {
    value.round() as i64
}

fn place(at: Option<Position>) -> (i64, i64) {
    at.map_or((181 * FINE, 91 * FINE), |at| {
        (rounded(at.longitude_deg() * FINE as f64), rounded(at.latitude_deg() * FINE as f64))
    })
}

/// Tenths of a knot; 1022 is 102.2 kn or more.
fn speed(going: Option<Going>) -> Result<u64, Unsendable> {
    let Some(going) = going else { return Ok(1023) };
    let tenths = going.speed.as_knots() * 10.0;
    if !(0.0 <= tenths) {
        return Err(Unsendable::Number { field: "speed", value: going.speed.as_knots() });
    }
    Ok(rounded(tenths.min(1022.0)).unsigned_abs())
}

/// A bearing in steps of a degree, one turn being none.
fn compass(bearing: Option<Bearing>, steps_a_degree: f64, unknown: u64) -> Result<u64, Unsendable> {
    let Some(bearing) = bearing else { return Ok(unknown) };
    let steps = bearing.as_degrees() * steps_a_degree;
    if !steps.is_finite() {
        return Err(Unsendable::Number { field: "bearing", value: bearing.as_degrees() });
    }
    Ok(rounded(steps).unsigned_abs() % rounded(360.0 * steps_a_degree).unsigned_abs())
}

fn turn(turn: Option<Turn>) -> Result<i64, Unsendable> {
    Ok(match turn {
        None => -128,
        Some(Turn::Starboard) => 127,
        Some(Turn::Port) => -127,
        Some(Turn::Rate { deg_min, .. }) if deg_min.is_finite() => turn_code(deg_min),
        Some(Turn::Rate { deg_min, .. }) => {
            return Err(Unsendable::Number { field: "rate of turn", value: deg_min });
        }
    })
}

fn second(second: Option<FixSecond>) -> u8 {
    second.unwrap_or(FixSecond::Unknown).code().min(63)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use windrode_domain::units::Speed;

    use super::*;
    use crate::ais::armour::{Head, sentences, unarmour};
    use crate::ais::particulars::Draught;
    use crate::ais::{Content, Message};

    /// Text that comes back as it went: no sign for filling, no blank at the end, not nothing.
    fn words(most: usize) -> impl Strategy<Value = Option<String>> {
        prop::option::of(
            prop::string::string_regex(&format!("[A-Z0-9 .'+/-]{{0,{}}}[A-Z0-9]", most - 1)).unwrap(),
        )
    }

    fn report(class_a: bool) -> impl Strategy<Value = PositionReport> {
        let at = prop::option::of((-108_000_000_i64..108_000_000, -54_000_000_i64..=54_000_000));
        let course = prop::option::of(0_u16..3600);
        let heading = prop::option::of(0_u16..360);
        let second = (0_u8..64).prop_map(FixSecond::of);
        let turn = prop::option::of(-127_i64..=127);
        let moving = (at, prop::option::of(0_u16..=1022), course, heading, second);
        (moving, turn, any::<(bool, bool)>(), 0_u8..16, 0_u8..4).prop_map(
            move |((at, speed, course, heading, second), turn, (accurate, raim), status, manoeuvre)| {
                PositionReport {
                    at: at.map(|(longitude, latitude)| {
                        Position::new(latitude as f64 / 6e5, longitude as f64 / 6e5).unwrap()
                    }),
                    accurate,
                    raim,
                    speed: speed.map(|tenths| Going {
                        speed: Speed::knots(f64::from(tenths) * (1.0 / 10.0)),
                        or_more: tenths == 1022,
                    }),
                    course: course.map(|tenths| Bearing::degrees(f64::from(tenths) * (1.0 / 10.0))),
                    heading: heading.map(|deg| Bearing::degrees(f64::from(deg))),
                    status: class_a.then_some(status),
                    turn: turn.filter(|_| class_a).map(|code| match code {
                        127 => Turn::Starboard,
                        -127 => Turn::Port,
                        _ => {
                            let root = code as f64 / 4.733;
                            Turn::Rate { deg_min: root * root.abs(), or_more: code.abs() == 126 }
                        }
                    }),
                    manoeuvre: class_a.then_some(manoeuvre),
                    second: Some(second),
                    ..PositionReport::default()
                }
            },
        )
    }

    fn particulars() -> impl Strategy<Value = Particulars> {
        let dimensions = (0_u16..512, 0_u16..512, 0_u8..64, 0_u8..64).prop_map(|(a, b, c, d)| {
            let all = Dimensions { ahead_m: a, astern_m: b, port_m: c, starboard_m: d };
            (a + b + u16::from(c) + u16::from(d) != 0).then_some(all)
        });
        let eta = prop::option::of((1_u8..=12, 1_u8..=31, 0_u8..24, 0_u8..60)).prop_map(|eta| {
            eta.map(|(month, day, hour, minute)| Eta {
                month: Some(month),
                day: Some(day),
                hour: Some(hour),
                minute: Some(minute),
            })
        });
        let numbers = (prop::option::of(1_u32..1 << 30), prop::option::of(1_u8..=255), 0_u8..16, 0_u8..=255);
        (words(20), words(7), words(20), words(3), dimensions, eta, numbers).prop_map(
            |(name, call_sign, destination, vendor, dimensions, eta, (imo, ship_type, device, dm))| {
                Particulars {
                    name,
                    call_sign,
                    imo,
                    ship_type,
                    dimensions,
                    fix_device: Some(device),
                    draught: (dm != 0).then_some(Draught { dm, or_more: dm == 255 }),
                    eta,
                    destination,
                    vendor,
                    mother_ship: None,
                }
            },
        )
    }

    /// Through bits, sentences' payloads and back.
    fn received(bits: &Bits) -> Message {
        let mut joined = Bits::default();
        for sentence in sentences(bits, Head { own: false, channel: Some('A'), sequence: 3 }) {
            let fields: Vec<&str> = sentence.split(',').collect();
            let fill = fields[6].split('*').next().unwrap().parse().unwrap();
            assert!(joined.append(&unarmour(fields[5], fill).unwrap()));
        }
        Message::decode(&joined).unwrap()
    }

    proptest! {
        #[test]
        fn a_class_a_report_comes_back_as_it_was_sent(report in report(true), mmsi in 0_u32..=999_999_999) {
            let message = received(&class_a(mmsi, &report).unwrap());
            prop_assert_eq!((message.number, message.mmsi, message.bits), (1, mmsi, 168));
            prop_assert_eq!(message.content, Content::Position(report));
        }

        #[test]
        fn a_class_b_report_comes_back_as_it_was_sent(report in report(false)) {
            let message = received(&class_b(244_000_000, &report).unwrap());
            prop_assert_eq!((message.number, message.bits), (18, 168));
            prop_assert_eq!(message.content, Content::Position(report));
        }

        #[test]
        fn particulars_come_back_as_they_were_sent(all in particulars()) {
            let message = received(&voyage(244_000_000, &all).unwrap());
            prop_assert_eq!((message.number, message.bits), (5, 424));
            let sent = Particulars { vendor: None, ..all.clone() };
            prop_assert_eq!(message.content, Content::Particulars(sent));

            let message = received(&name_part(244_000_000, &all).unwrap());
            prop_assert_eq!((message.number, message.bits), (24, 168));
            let sent = Particulars { name: all.name.clone(), ..Particulars::default() };
            prop_assert_eq!(message.content, Content::Particulars(sent));

            let message = received(&particulars_part(244_000_000, &all).unwrap());
            prop_assert_eq!((message.number, message.bits), (24, 168));
            let sent = Particulars { name: None, imo: None, draught: None, eta: None, destination: None, ..all };
            prop_assert_eq!(message.content, Content::Particulars(sent));
        }

        /// A ten-thousandth of a minute is the field's step: half of it is the rounding.
        #[test]
        fn a_position_comes_back_within_half_a_step(latitude in -90.0..=90.0_f64, longitude in -180.0..180.0_f64) {
            let at = Position::new(latitude, longitude).ok();
            let bits = class_a(1, &PositionReport { at, ..PositionReport::default() }).unwrap();
            let Content::Position(PositionReport { at: Some(back), .. }) = received(&bits).content else {
                panic!("a position")
            };
            // Half a step, and the last digit of the numbers.
            let half_step_deg = 0.5e-4 / 60.0 + 1e-12;
            prop_assert!((back.latitude_deg() - latitude).abs() <= half_step_deg);
            let east = (back.longitude_deg() - longitude + 540.0).rem_euclid(360.0) - 180.0;
            prop_assert!(east.abs() <= half_step_deg);
        }
    }

    #[test]
    fn a_boat_of_a_ship_names_the_ship_in_place_of_her_size() {
        let mother_ship = Some(244_000_000);
        let all = Particulars { mother_ship, fix_device: Some(1), ..Particulars::default() };
        let message = received(&particulars_part(982_440_001, &all).unwrap());
        assert_eq!(message.content, Content::Particulars(all));
    }

    #[test]
    fn a_course_just_short_of_north_is_north_and_not_unknown() {
        assert_eq!(compass(Some(Bearing::degrees(359.97)), 10.0, 3600), Ok(0));
        assert_eq!(compass(Some(Bearing::degrees(359.6)), 1.0, 511), Ok(0));
    }

    #[test]
    fn what_a_message_cannot_carry_is_refused() {
        let named =
            |name: &str| voyage(1, &Particulars { name: Some(name.to_owned()), ..Particulars::default() });
        assert!(named("NOT MORE THAN TWENTY").is_ok());
        for name in ["MORE THAN TWENTY SIGNS", "lower", "A@B", "É"] {
            assert!(matches!(named(name), Err(Unsendable::Text { field: "name", most: 20, .. })), "{name}");
        }
        assert!(class_a(1_000_000_000, &PositionReport::default()).is_err());
        for speed_kn in [-0.1, f64::NAN] {
            let speed = Some(Going { speed: Speed::knots(speed_kn), or_more: false });
            assert!(class_b(1, &PositionReport { speed, ..PositionReport::default() }).is_err());
        }
    }
}

//! Where a station is and how she moves: the part that messages 1, 2, 3, 9, 18, 19 and 27 share.
//!
//! ```text
//! longitude, latitude   1/10 000 minute (message 27: 1/10 minute), east and north positive; 181° and 91° not available
//! speed over ground     1/10 kn (message 9: 1 kn; 27: 1 kn), the last but one code "this or more", the last not available
//! course over ground    1/10° (message 27: 1°), 360° not available (27: 511)
//! true heading          1°, 511 not available
//! rate of turn          code = 4.733 √(degrees a minute), to starboard positive; ±127 more than 5° in 30 s without a
//!                       turn indicator; −128 not available
//! ```
//!
//! Source: ITU-R M.1371-5 annex 8, tables 48, 59, 70, 72 and 96.

use windrode_domain::position::Position;
use windrode_domain::units::{Bearing, Speed};

use super::bits::Bits;

/// A position report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PositionReport {
    /// Where her reference point, usually the antenna, is.
    pub at: Option<Position>,
    /// She says that it is good to 10 m.
    pub accurate: bool,
    /// Her receiver watches its own integrity.
    pub raim: bool,
    /// Way over the ground.
    pub speed: Option<Going>,
    /// Whither, true.
    pub course: Option<Bearing>,
    /// True heading.
    pub heading: Option<Bearing>,
    /// Her own word for what she does, by its number; messages 1 to 3 and 27 only.
    pub status: Option<u8>,
    /// How she turns; messages 1 to 3 only.
    pub turn: Option<Turn>,
    /// Special manoeuvre: 0 not said, 1 not engaged, 2 engaged; messages 1 to 3 only.
    pub manoeuvre: Option<u8>,
    /// The second of the fix, or why there is none; not in message 27.
    pub second: Option<FixSecond>,
    /// Height; message 9 only.
    pub altitude: Option<Altitude>,
    /// The position is older than 5 s (edition 5), or not of the moment (edition 4); message 27 only.
    pub late: Option<bool>,
    /// Fields that held a number which the standard has not, and so are absent.
    pub impossible: Impossible,
}

/// Way over the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Going {
    /// How fast.
    pub speed: Speed,
    /// That, or more: the field holds no more.
    pub or_more: bool,
}

/// How she turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// Degrees a minute by her turn indicator, to starboard positive; `or_more` at the end of the scale, 708°/min.
    Rate {
        /// Degrees a minute, to starboard positive.
        deg_min: f64,
        /// That, or faster.
        or_more: bool,
    },
    /// Faster than 5° in 30 s to starboard, without a turn indicator.
    Starboard,
    /// Faster than 5° in 30 s to port, without a turn indicator.
    Port,
}

/// The second of the minute (UTC) at which the fix was made, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FixSecond {
    /// 0 to 59.
    At(u8),
    /// Not available.
    Unknown,
    /// The position was put in by hand.
    Manual,
    /// The position is dead reckoning.
    DeadReckoned,
    /// The receiver does not work.
    Inoperative,
}

/// Height above the sea, GNSS or barometric.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Altitude {
    /// Metres.
    pub m: u16,
    /// That, or more.
    pub or_more: bool,
}

/// Fields that held a number which the standard has not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Impossible {
    /// Beyond a pole or half way round the earth.
    pub position: bool,
    /// Above 360°.
    pub course: bool,
    /// 360 to 510.
    pub heading: bool,
}

/// Codes in a degree of longitude or latitude: ten thousandths of a minute.
pub(super) const FINE: i64 = 600_000;
/// The same of message 27: tenths of a minute.
const COARSE: i64 = 600;
/// Degrees a minute = (code / 4.733)², ITU-R M.1371-5 table 48.
const TURN_CODE: f64 = 4.733;
/// The end of the scale of turns.
pub(super) const TURN_MOST: i64 = 126;

impl PositionReport {
    /// Messages 1 to 3.
    pub(super) fn class_a(bits: &Bits) -> Self {
        let mut report = Self::from_speed_on(bits, 50, 1.0 / 10.0);
        report.heading(bits, 128);
        report.status = Some(bits.byte(38, 4));
        report.turn = turn(bits.signed(42, 8));
        report.second = Some(FixSecond::of(bits.byte(137, 6)));
        report.manoeuvre = Some(bits.byte(143, 2));
        report.raim = bits.flag(148);
        report
    }

    /// Message 9.
    pub(super) fn aircraft(bits: &Bits) -> Self {
        let mut report = Self::from_speed_on(bits, 50, 1.0);
        report.altitude = match bits.unsigned(38, 12) {
            4095 => None,
            m => u16::try_from(m).ok().map(|m| Altitude { m, or_more: m == 4094 }),
        };
        report.second = Some(FixSecond::of(bits.byte(128, 6)));
        report.raim = bits.flag(147);
        report
    }

    /// Message 18.
    pub(super) fn class_b(bits: &Bits) -> Self {
        Self { raim: bits.flag(147), ..Self::class_b_any(bits) }
    }

    /// Message 19.
    pub(super) fn class_b_extended(bits: &Bits) -> Self {
        // Beyond the needed bits: nought, "not in use", where it is not there.
        Self { raim: bits.field(305, 1) == Some(1), ..Self::class_b_any(bits) }
    }

    fn class_b_any(bits: &Bits) -> Self {
        let mut report = Self::from_speed_on(bits, 46, 1.0 / 10.0);
        report.heading(bits, 124);
        report.second = Some(FixSecond::of(bits.byte(133, 6)));
        report
    }

    /// Message 27.
    pub(super) fn long_range(bits: &Bits) -> Self {
        let mut report = Self {
            accurate: bits.flag(38),
            raim: bits.flag(39),
            status: Some(bits.byte(40, 4)),
            late: Some(bits.flag(94)),
            ..Self::default()
        };
        report.place(bits.signed(44, 18), bits.signed(62, 17), COARSE);
        report.speed = going(bits.unsigned(79, 6), 63, 1.0);
        report.course_over_ground(bits.unsigned(85, 9), 511, 1.0);
        report
    }

    /// Speed, accuracy, position and course stand in this order in all of them but 27.
    fn from_speed_on(bits: &Bits, at: usize, speed_step_kn: f64) -> Self {
        let mut report = Self { accurate: bits.flag(at + 10), ..Self::default() };
        report.speed = going(bits.unsigned(at, 10), 1023, speed_step_kn);
        report.place(bits.signed(at + 11, 28), bits.signed(at + 39, 27), FINE);
        report.course_over_ground(bits.unsigned(at + 66, 12), 3600, 1.0 / 10.0);
        report
    }

    fn place(&mut self, longitude: i64, latitude: i64, per_degree: i64) {
        match place(longitude, latitude, per_degree) {
            Place::At(position) => self.at = Some(position),
            Place::Unknown => {}
            Place::Impossible => self.impossible.position = true,
        }
    }

    fn course_over_ground(&mut self, code: u64, unknown: u64, step_deg: f64) {
        let course_deg = code as f64 * step_deg;
        if course_deg < 360.0 {
            self.course = Some(Bearing::degrees(course_deg));
        } else if code != unknown {
            self.impossible.course = true;
        }
    }

    fn heading(&mut self, bits: &Bits, at: usize) {
        match bits.unsigned(at, 9) {
            511 => {}
            deg if deg < 360 => self.heading = Some(Bearing::degrees(deg as f64)),
            _ => self.impossible.heading = true,
        }
    }
}

/// A position as two codes tell it.
pub(super) enum Place {
    At(Position),
    Unknown,
    Impossible,
}

/// A position without its latitude or its longitude is none.
pub(super) fn place(longitude: i64, latitude: i64, per_degree: i64) -> Place {
    if longitude == 181 * per_degree || latitude == 91 * per_degree {
        return Place::Unknown;
    }
    let (longitude_deg, latitude_deg) =
        (longitude as f64 / per_degree as f64, latitude as f64 / per_degree as f64);
    if 180.0 < longitude_deg {
        return Place::Impossible;
    }
    Position::new(latitude_deg, longitude_deg).map_or(Place::Impossible, Place::At)
}

/// The same in the resolution of most messages, as an option and a word of doubt.
pub(super) fn fine_place(bits: &Bits, at: usize) -> (Option<Position>, bool) {
    match place(bits.signed(at, 28), bits.signed(at + 28, 27), FINE) {
        Place::At(position) => (Some(position), false),
        Place::Unknown => (None, false),
        Place::Impossible => (None, true),
    }
}

/// The code below the one for "not available" says "this or more".
fn going(code: u64, unknown: u64, step_kn: f64) -> Option<Going> {
    let or_more = code + 1 == unknown;
    (code != unknown).then(|| Going { speed: Speed::knots(code as f64 * step_kn), or_more })
}

fn turn(code: i64) -> Option<Turn> {
    match code {
        -128 => None,
        127 => Some(Turn::Starboard),
        -127 => Some(Turn::Port),
        _ => {
            let root = code as f64 / TURN_CODE;
            Some(Turn::Rate { deg_min: root * root.abs(), or_more: code.abs() == TURN_MOST })
        }
    }
}

/// The code of a rate of turn, degrees a minute; 126 is "this or more".
pub(super) fn turn_code(deg_min: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a rounded number between the ends of the scale")]
    let code = (TURN_CODE * deg_min.abs().sqrt()).round().min(TURN_MOST as f64) as i64;
    if deg_min < 0.0 { -code } else { code }
}

impl FixSecond {
    pub(super) const fn of(code: u8) -> Self {
        match code {
            0..=59 => Self::At(code),
            61 => Self::Manual,
            62 => Self::DeadReckoned,
            63 => Self::Inoperative,
            _ => Self::Unknown,
        }
    }

    pub(super) const fn code(self) -> u8 {
        match self {
            Self::At(second) => second,
            Self::Unknown => 60,
            Self::Manual => 61,
            Self::DeadReckoned => 62,
            Self::Inoperative => 63,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_of_turn_follows_the_square_of_its_code() {
        // ITU-R M.1371-5 table 48: ±126 is 708° a minute or more.
        let rate = |code| match turn(code) {
            Some(Turn::Rate { deg_min, .. }) => deg_min,
            other => panic!("{other:?}"),
        };
        assert!((rate(126) - 708.7).abs() < 0.05 && (rate(-126) + 708.7).abs() < 0.05);
        assert_eq!(
            (rate(0), turn(127), turn(-127), turn(-128)),
            (0.0, Some(Turn::Starboard), Some(Turn::Port), None)
        );
        for code in -126..=126 {
            assert_eq!(turn_code(rate(code)), code);
        }
    }

    #[test]
    fn a_position_at_the_edge_of_the_earth_is_one_and_beyond_it_is_none() {
        let of = |longitude: i64, latitude: i64| place(longitude, latitude, FINE);
        let expected = Position::new(90.0, 180.0).unwrap();
        assert!(matches!(of(180 * FINE, 90 * FINE), Place::At(at) if at == expected));
        assert!(matches!(of(-180 * FINE, 90 * FINE), Place::At(at) if at == expected));
        assert!(matches!(of(180 * FINE + 1, 0), Place::Impossible));
        assert!(matches!(of(-180 * FINE - 1, 0), Place::Impossible));
        assert!(matches!(of(0, -90 * FINE - 1), Place::Impossible));
        assert!(matches!(of(181 * FINE, 91 * FINE), Place::Unknown));
        assert!(matches!(of(0, 91 * FINE), Place::Unknown));
    }

    #[test]
    fn the_last_speed_but_one_is_a_bound() {
        assert_eq!(going(1023, 1023, 0.1), None);
        assert_eq!(going(1022, 1023, 0.1).map(|going| going.or_more), Some(true));
        assert_eq!(going(1021, 1023, 0.1).map(|going| going.or_more), Some(false));
    }
}

//! What a vessel is: name, call sign, type, size and voyage, as messages 5, 19 and 24 tell them.
//!
//! Source: ITU-R M.1371-5 annex 8, tables 52, 72, 83 and 84, figure 41 for the dimensions. All of it is typed in by
//! hand aboard, and often wrong.

use super::bits::Bits;

/// What a vessel says that she is. Absent is what the message has no field for, or says to be not available, or was
/// cut off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Particulars {
    /// Name.
    pub name: Option<String>,
    /// Call sign.
    pub call_sign: Option<String>,
    /// Number in the register of the International Maritime Organization.
    pub imo: Option<u32>,
    /// Type of ship and cargo, as the standard numbers it.
    pub ship_type: Option<u8>,
    /// Where her sides are from the reference point.
    pub dimensions: Option<Dimensions>,
    /// What her positions are fixed with, as the standard numbers it.
    pub fix_device: Option<u8>,
    /// Deepest draught.
    pub draught: Option<Draught>,
    /// When she expects to arrive.
    pub eta: Option<Eta>,
    /// Whither she is bound, as typed.
    pub destination: Option<String>,
    /// Who made her transponder: three letters.
    pub vendor: Option<String>,
    /// The craft that she belongs to, if she is one of its boats.
    pub mother_ship: Option<u32>,
}

/// From the reference point of her positions to her sides, whole metres: nought, or the most that the field holds,
/// have the meanings below.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dimensions {
    /// To the bow; 511 is that or more.
    pub ahead_m: u16,
    /// To the stern; 511 is that or more.
    pub astern_m: u16,
    /// To the port side; 63 is that or more.
    pub port_m: u8,
    /// To the starboard side; 63 is that or more.
    pub starboard_m: u8,
}

impl Dimensions {
    pub(super) fn read(bits: &Bits, at: usize) -> Option<Self> {
        let ahead_m = u16::try_from(bits.field(at, 9)?).ok()?;
        let astern_m = u16::try_from(bits.field(at + 9, 9)?).ok()?;
        let port_m = u8::try_from(bits.field(at + 18, 6)?).ok()?;
        let starboard_m = u8::try_from(bits.field(at + 24, 6)?).ok()?;
        let read = Self { ahead_m, astern_m, port_m, starboard_m };
        (read != Self { ahead_m: 0, astern_m: 0, port_m: 0, starboard_m: 0 }).then_some(read)
    }

    /// The standard's way to give a size without saying where in the hull the reference point is: nothing ahead and
    /// nothing to port.
    pub const fn reference_known(self) -> bool {
        !(self.ahead_m == 0 && self.port_m == 0)
    }

    /// Length, if said.
    pub fn length_m(self) -> Option<u16> {
        Some(self.ahead_m + self.astern_m).filter(|&length| 0 < length)
    }

    /// Beam, if said.
    pub fn beam_m(self) -> Option<u8> {
        Some(self.port_m + self.starboard_m).filter(|&beam| 0 < beam)
    }

    /// Metres to bow and stern, if the reference point is known.
    pub fn ahead_and_astern_m(self) -> Option<(u16, u16)> {
        (self.reference_known() && self.length_m().is_some()).then_some((self.ahead_m, self.astern_m))
    }

    /// Metres to the port and the starboard side, if the reference point is known.
    pub fn port_and_starboard_m(self) -> Option<(u8, u8)> {
        (self.reference_known() && self.beam_m().is_some()).then_some((self.port_m, self.starboard_m))
    }
}

/// Deepest draught.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draught {
    /// Tenths of a metre, 1 to 255.
    pub dm: u8,
    /// That, or more.
    pub or_more: bool,
}

/// When she expects to arrive, UTC: what she has filled in, within what a calendar can hold.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Eta {
    /// 1 to 12.
    pub month: Option<u8>,
    /// 1 to 31.
    pub day: Option<u8>,
    /// 0 to 23.
    pub hour: Option<u8>,
    /// 0 to 59.
    pub minute: Option<u8>,
}

impl Particulars {
    /// Message 5.
    pub(super) fn voyage(bits: &Bits) -> Self {
        Self {
            imo: number(bits, 40, 30).filter(|&imo| imo != 0),
            call_sign: bits.text(70, 7),
            name: bits.text(112, 20),
            ship_type: small(bits, 232, 8).filter(|&kind| kind != 0),
            dimensions: Dimensions::read(bits, 240),
            fix_device: small(bits, 270, 4),
            eta: Eta::read(bits, 274),
            draught: small(bits, 294, 8).filter(|&dm| dm != 0).map(|dm| Draught { dm, or_more: dm == 255 }),
            destination: bits.text(302, 20),
            ..Self::default()
        }
    }

    /// Message 19.
    pub(super) fn class_b_extended(bits: &Bits) -> Self {
        Self {
            name: bits.text(143, 20),
            ship_type: small(bits, 263, 8).filter(|&kind| kind != 0),
            dimensions: Dimensions::read(bits, 271),
            fix_device: small(bits, 301, 4),
            ..Self::default()
        }
    }

    /// Message 24, part A.
    pub(super) fn part_a(bits: &Bits) -> Self {
        Self { name: bits.text(40, 20), ..Self::default() }
    }

    /// Message 24, part B. The boats of a ship (their identities begin with 98) name the ship where others give their
    /// size.
    pub(super) fn part_b(bits: &Bits, mmsi: u32) -> Self {
        let is_boat = mmsi / 10_000_000 == 98;
        Self {
            ship_type: small(bits, 40, 8).filter(|&kind| kind != 0),
            vendor: bits.text(48, 3),
            call_sign: bits.text(90, 7),
            dimensions: if is_boat { None } else { Dimensions::read(bits, 132) },
            mother_ship: number(bits, 132, 30).filter(|&ship| is_boat && ship != 0),
            fix_device: small(bits, 162, 4),
            ..Self::default()
        }
    }
}

impl Eta {
    fn read(bits: &Bits, at: usize) -> Option<Self> {
        let within = |at, width, least, most| small(bits, at, width).filter(|v| (least..=most).contains(v));
        let read = Self {
            month: within(at, 4, 1, 12),
            day: within(at + 4, 5, 1, 31),
            hour: within(at + 9, 5, 0, 23),
            minute: within(at + 14, 6, 0, 59),
        };
        (read != Self::default()).then_some(read)
    }
}

fn small(bits: &Bits, at: usize, width: usize) -> Option<u8> {
    bits.field(at, width).map(|_| bits.byte(at, width))
}

fn number(bits: &Bits, at: usize, width: usize) -> Option<u32> {
    bits.field(at, width).map(|_| bits.number(at, width))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dimensions(ahead_m: u16, astern_m: u16, port_m: u8, starboard_m: u8) -> Dimensions {
        Dimensions { ahead_m, astern_m, port_m, starboard_m }
    }

    #[test]
    fn nothing_ahead_and_nothing_to_port_is_a_size_without_a_reference_point() {
        // ITU-R M.1371-5 figure 41.
        let unknown = dimensions(0, 12, 0, 4);
        assert!(!unknown.reference_known());
        assert_eq!((unknown.length_m(), unknown.beam_m()), (Some(12), Some(4)));
        assert_eq!((unknown.ahead_and_astern_m(), unknown.port_and_starboard_m()), (None, None));
        let at_the_stem = dimensions(0, 12, 2, 2);
        assert_eq!(at_the_stem.ahead_and_astern_m(), Some((0, 12)));
    }

    #[test]
    fn one_half_of_the_size_can_be_missing() {
        let without_beam = dimensions(5, 7, 0, 0);
        assert_eq!(without_beam.ahead_and_astern_m(), Some((5, 7)));
        assert_eq!((without_beam.beam_m(), without_beam.port_and_starboard_m()), (None, None));
    }

    #[test]
    fn the_largest_that_the_fields_hold_adds_up() {
        let largest = dimensions(511, 511, 63, 63);
        assert_eq!((largest.length_m(), largest.beam_m()), (Some(1022), Some(126)));
    }
}

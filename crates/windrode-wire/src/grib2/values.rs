//! The values of a field, unpacked by the `grib` crate from sections that have been looked over first.
//!
//! The crate trusts some numbers that a hostile or damaged file may state: lengths of groups that would fill the
//! memory, the size of a picture. They are checked here before it sees them. What is left are overflows in its
//! arithmetic on second differences, which panic in a build that checks arithmetic and otherwise give nonsense that
//! is refused as no wind; a panic is caught and told as damage. Simple packing (5.0), complex (5.2, 5.3), PNG (5.41)
//! and CCSDS (5.42) are read.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::frame::{Frame, Octets};

/// Most bits in a packed value: more than any service uses (24), less than the crate's integers (32).
const MOST_BITS: u8 = 30;
const SECTION_5_FIXED: usize = 21;

/// Unpacks a field of so many points; missing ones are NaN. The words of an error say what is wrong.
pub(super) fn unpack(frame: &Frame<'_>, points: usize) -> Result<Vec<f32>, String> {
    check(frame, points)?;
    let unpacked = catch_unwind(AssertUnwindSafe(|| {
        let decoder = grib::Grib2SubmessageDecoder::new(
            points,
            frame.packing.0.to_vec(),
            frame.bitmap.0.to_vec(),
            frame.data.0.to_vec(),
        )
        .map_err(|error| error.to_string())?;
        let values = decoder.dispatch().map_err(|error| error.to_string())?;
        Ok::<Vec<f32>, String>(values.collect())
    }));
    let values = unpacked.map_err(|_| "its packed values are damaged".to_owned())??;
    if values.len() == points {
        Ok(values)
    } else {
        Err(format!("{} values were packed for {points} points", values.len()))
    }
}

fn check(frame: &Frame<'_>, points: usize) -> Result<(), String> {
    let short = || "its packing section is too short".to_owned();
    let packing = frame.packing;
    let encoded = packing.u32(6).and_then(|n| usize::try_from(n).ok()).ok_or_else(short)?;
    let (template, bits) = (packing.u16(10).ok_or_else(short)?, packing.u8(20).ok_or_else(short)?);
    if points < encoded {
        return Err(format!("{encoded} values are said to be packed for {points} points"));
    }
    if frame.bitmap.u8(6).is_none() || packing.0.len() < SECTION_5_FIXED {
        return Err(short());
    }
    if MOST_BITS < bits {
        return Err(format!("its values are packed in {bits} bits, and at most {MOST_BITS} are read"));
    }
    match template {
        0 => check_simple(frame.data, encoded, bits),
        2 | 3 => check_complex(packing, frame.data, encoded, bits, template == 3),
        41 => check_png(frame.data, encoded, bits),
        42 => check_ccsds(packing),
        _ => Err(format!("its values are packed by template {template}, which is not read")),
    }
}

fn check_simple(data: Octets<'_>, encoded: usize, bits: u8) -> Result<(), String> {
    let needed = (encoded * usize::from(bits)).div_ceil(8);
    let found = data.0.len().saturating_sub(5);
    if found < needed {
        return Err(format!("its values need {needed} bytes and {found} are there"));
    }
    Ok(())
}

/// The lengths of the groups must add up to the number of values before memory is taken for them.
fn check_complex(
    packing: Octets<'_>,
    data: Octets<'_>,
    encoded: usize,
    bits: u8,
    differenced: bool,
) -> Result<(), String> {
    let short = || "its packing section is too short".to_owned();
    let count = |octet: usize| packing.u32(octet).and_then(|n| usize::try_from(n).ok()).ok_or_else(short);
    let groups = count(32)?;
    let (width_bits, length_bits) = (packing.u8(37).ok_or_else(short)?, packing.u8(47).ok_or_else(short)?);
    let (shortest, step, last) =
        (count(38)? as u64, u64::from(packing.u8(42).ok_or_else(short)?), count(43)? as u64);
    if groups == 0 || encoded < groups || 32 < length_bits || 32 < width_bits {
        return Err(format!("{groups} groups of {encoded} values cannot be"));
    }
    let mut at_byte = 5;
    if differenced {
        let (order, octets) = (packing.u8(48).ok_or_else(short)?, packing.u8(49).ok_or_else(short)?);
        if !((1..=2).contains(&order) && (1..=4).contains(&octets)) {
            return Err(format!("differences of order {order} in {octets} octets are not read"));
        }
        at_byte += (usize::from(order) + 1) * usize::from(octets);
        check_least_difference(data, at_byte, usize::from(octets))?;
    }
    at_byte += (groups * usize::from(bits)).div_ceil(8);
    at_byte += (groups * usize::from(width_bits)).div_ceil(8);
    let lengths = data.0.get(at_byte..).ok_or("its groups are cut off")?;
    let mut total = last;
    for i in 0..groups - 1 {
        let length =
            bits_at(lengths, i * usize::from(length_bits), length_bits).ok_or("its groups are cut off")?;
        total += shortest + length * step;
    }
    if total != encoded as u64 {
        return Err(format!("its groups hold {total} values, not {encoded}"));
    }
    Ok(())
}

/// The overall minimum of the differences is added to each in 32 bits.
fn check_least_difference(data: Octets<'_>, end: usize, octets: usize) -> Result<(), String> {
    let raw =
        end.checked_sub(octets).and_then(|start| data.0.get(start..end)).ok_or("its data are cut off")?;
    let value = raw.iter().fold(0_u32, |value, &byte| (value << 8) | u32::from(byte));
    let magnitude = value & !(1 << (8 * octets - 1));
    if 1 << 30 < magnitude { Err(format!("its least difference is {magnitude}")) } else { Ok(()) }
}

/// `width` bits from bit `start` on, most significant first.
fn bits_at(bytes: &[u8], start: usize, width: u8) -> Option<u64> {
    (start..start + usize::from(width)).try_fold(0_u64, |value, bit| {
        let byte = *bytes.get(bit / 8)?;
        Some((value << 1) | u64::from((byte >> (7 - bit % 8)) & 1))
    })
}

/// The picture's header must promise as many pixels as there are values, of as many bits.
fn check_png(data: Octets<'_>, encoded: usize, bits: u8) -> Result<(), String> {
    if bits == 0 {
        return Ok(());
    }
    // Octets 1 to 5 head the section, the signature takes 8, the chunk's length and name 8.
    let size = |octet: usize| data.u32(octet).and_then(|n| usize::try_from(n).ok());
    let header = size(22).zip(size(26)).zip(data.u8(30).zip(data.u8(31)));
    let Some(((width, height), (depth, colour))) = header else {
        return Err("its picture is cut off".to_owned());
    };
    let channels: u8 = match colour {
        0 => 1,
        2 => 3,
        6 => 4,
        _ => return Err(format!("its picture is of colour type {colour}")),
    };
    let pixel_bits = depth.checked_mul(channels);
    if width.checked_mul(height) != Some(encoded) || pixel_bits != Some(bits) {
        return Err(format!(
            "its picture of {width} by {height} does not hold {encoded} values of {bits} bits"
        ));
    }
    Ok(())
}

fn check_ccsds(packing: Octets<'_>) -> Result<(), String> {
    let block = packing.u8(23);
    let interval = packing.u16(24);
    match (block, interval) {
        (Some(8 | 16 | 32 | 64), Some(1..=4096)) => Ok(()),
        _ => Err(format!("its compression of blocks {block:?} at interval {interval:?} cannot be")),
    }
}

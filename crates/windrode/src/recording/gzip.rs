//! Files packed by gzip (RFC 1952): one member or several in a row, unpacked no further than a limit.

use std::io::Read;

use flate2::Compression;
use flate2::read::{GzEncoder, MultiGzDecoder};

/// Whether the bytes begin as gzip does.
pub(crate) fn is_packed(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0x1f, 0x8b])
}

/// The bytes unpacked.
///
/// # Errors
/// One problem: broken, cut short, or more than `most` bytes when unpacked.
pub(crate) fn unpacked(bytes: &[u8], most: u64) -> Result<Vec<u8>, String> {
    let mut plain = Vec::new();
    let mut decoder = MultiGzDecoder::new(bytes).take(most + 1);
    decoder
        .read_to_end(&mut plain)
        .map_err(|error| format!("is packed by gzip and cannot be unpacked: {error} (fetch it anew)"))?;
    if most < plain.len() as u64 {
        return Err(format!("holds more than {most} bytes when unpacked (cut it by days)"));
    }
    Ok(plain)
}

/// The bytes packed as soon as can be.
pub(crate) fn packed_fast(plain: &[u8]) -> Vec<u8> {
    packed_by(plain, Compression::fast())
}

fn packed_by(plain: &[u8], how: Compression) -> Vec<u8> {
    let mut packer = GzEncoder::new(plain, how);
    let mut bytes = Vec::new();
    // Reading from memory does not fail.
    let _ = packer.read_to_end(&mut bytes);
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_packed_comes_back_and_members_follow_one_another() {
        let mut twice = packed_fast(b"one\n");
        twice.extend(packed_fast(b"two\n"));
        assert!(is_packed(&twice));
        assert_eq!(unpacked(&twice, 100).unwrap(), b"one\ntwo\n");
    }

    #[test]
    fn a_small_file_that_unpacks_without_end_is_refused_at_the_limit() {
        let bomb = packed_fast(&vec![b'0'; 1_000_000]);
        assert!(bomb.len() < 10_000);
        assert!(unpacked(&bomb, 1000).unwrap_err().contains("more than 1000 bytes"));
    }

    #[test]
    fn a_file_cut_short_is_refused() {
        let whole = packed_fast(b"the whole night");
        assert!(unpacked(&whole[..whole.len() - 6], 100).is_err());
    }
}

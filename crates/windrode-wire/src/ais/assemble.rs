//! Parts of one packet, found again among the parts of others.
//!
//! A receiver writes the parts of a packet one after another, marked with a sequence of one digit that is soon used
//! again. Feeds mix receivers, lose lines, send them twice or out of order. Parts belong together when they come from
//! one source, of one kind (own ship or others), with the same sequence and count, on the same channel where both say
//! one. A part whose number is already held with another content belongs to a new packet: the older is given up. So
//! is a packet that waits for longer than [`LONGEST_WAIT`], and the oldest when [`MOST_WAITING`] wait already: the
//! buffer cannot grow, whatever comes.

use jiff::{SignedDuration, Timestamp};
use windrode_domain::watch::observation::Source;

use super::AisError;
use super::armour::unarmour;
use super::bits::Bits;
use crate::nmea0183::fragment::AisFragment;

/// Packets that can wait for parts at a time: ten sequences on two channels from three receivers.
pub const MOST_WAITING: usize = 60;
/// How long a packet waits for its parts. Nine full sentences take 1.6 s at 4 800 baud, the slowest line in use; whole
/// seconds in time stamps may add another.
pub const LONGEST_WAIT: SignedDuration = SignedDuration::from_secs(3);
/// Parts that a packet can have: the count is one digit.
const MOST_PARTS: usize = 9;

/// Packets that were given up, by cause.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct GivenUp {
    /// They waited too long.
    pub late: u64,
    /// Too many waited.
    pub crowded: u64,
    /// Their sequence was used for another packet.
    pub overtaken: u64,
}

/// A packet of which some parts are there.
#[derive(Clone, Debug)]
struct Waiting {
    source: Source,
    own: bool,
    count: u8,
    sequence: u8,
    channel: Option<u8>,
    since: Timestamp,
    parts: [Option<Box<Bits>>; MOST_PARTS],
}

/// Gathers the parts of packets.
#[derive(Clone, Debug, Default)]
pub struct Assembler {
    waiting: Vec<Waiting>,
    given_up: GivenUp,
}

impl Assembler {
    /// Nothing heard yet.
    pub const fn new() -> Self {
        Self { waiting: Vec::new(), given_up: GivenUp { late: 0, crowded: 0, overtaken: 0 } }
    }

    /// Takes a fragment heard at an instant; gives the packet that it completes, if it does. A part that is held
    /// already is taken for a repetition and changes nothing.
    ///
    /// # Errors
    /// [`AisError`] names what is wrong with the fragment. A packet is refused as a whole when its last part makes it
    /// too long.
    pub fn add(
        &mut self,
        source: Source,
        fragment: AisFragment<'_>,
        at: Timestamp,
    ) -> Result<Option<Bits>, AisError> {
        let AisFragment { count, number, .. } = fragment;
        if !(1 <= number && number <= count && usize::from(count) <= MOST_PARTS) {
            return Err(AisError::Parts { number, count });
        }
        let bits = unarmour(fragment.payload, fragment.fill)?;
        if count == 1 {
            return Ok(Some(bits));
        }
        let sequence = fragment.sequence.ok_or(AisError::NoSequence { number, count })?;
        self.give_up_late(at);
        let index = self.place_of(source, fragment, sequence, &bits, at);
        self.put(index, fragment, bits)
    }

    /// How many packets wait for parts; never above [`MOST_WAITING`].
    pub fn waiting(&self) -> usize {
        self.waiting.len()
    }

    /// Packets given up so far.
    pub const fn given_up(&self) -> GivenUp {
        self.given_up
    }

    /// A clock that was set back makes packets wait from the future: those go too.
    fn give_up_late(&mut self, at: Timestamp) {
        let before = self.waiting.len();
        self.waiting.retain(|waiting| at.duration_since(waiting.since).abs() <= LONGEST_WAIT);
        self.given_up.late += (before - self.waiting.len()) as u64;
    }

    /// The packet that a part belongs to, begun if there is none.
    fn place_of(
        &mut self,
        source: Source,
        fragment: AisFragment<'_>,
        sequence: u8,
        bits: &Bits,
        at: Timestamp,
    ) -> usize {
        let found = self.waiting.iter().position(|waiting| waiting.is_of(source, fragment, sequence));
        if let Some(index) = found {
            if self.waiting[index].agrees(fragment.number, bits) {
                return index;
            }
            self.waiting.remove(index);
            self.given_up.overtaken += 1;
        }
        if self.waiting.len() == MOST_WAITING {
            // New ones are put last: the first has waited longest.
            self.waiting.remove(0);
            self.given_up.crowded += 1;
        }
        let AisFragment { own, count, channel, .. } = fragment;
        let parts = Default::default();
        self.waiting.push(Waiting { source, own, count, sequence, channel, since: at, parts });
        self.waiting.len() - 1
    }

    /// Puts a part in, and takes the packet out if it is whole.
    fn put(&mut self, index: usize, fragment: AisFragment<'_>, bits: Bits) -> Result<Option<Bits>, AisError> {
        let waiting = &mut self.waiting[index];
        waiting.channel = waiting.channel.or(fragment.channel);
        if let Some(part) = waiting.parts.get_mut(usize::from(fragment.number) - 1) {
            *part = Some(Box::new(bits));
        }
        if waiting.parts.iter().flatten().count() < usize::from(waiting.count) {
            return Ok(None);
        }
        self.waiting.remove(index).joined().map(Some)
    }
}

impl Waiting {
    fn is_of(&self, source: Source, fragment: AisFragment<'_>, sequence: u8) -> bool {
        let channels_agree = match (self.channel, fragment.channel) {
            (Some(ours), Some(theirs)) => ours == theirs,
            _ => true,
        };
        self.source == source
            && self.own == fragment.own
            && self.count == fragment.count
            && self.sequence == sequence
            && channels_agree
    }

    /// The part is not held yet, or with the same content.
    fn agrees(&self, number: u8, bits: &Bits) -> bool {
        let held = self.parts.get(usize::from(number) - 1).and_then(Option::as_ref);
        held.is_none_or(|held| **held == *bits)
    }

    fn joined(self) -> Result<Bits, AisError> {
        let total = self.parts.iter().flatten().map(|part| part.len()).sum();
        let mut whole = Bits::default();
        for part in self.parts.iter().flatten() {
            if !whole.append(part) {
                return Err(AisError::TooLong { bits: total });
            }
        }
        Ok(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nmea0183::sentence::Talker;

    const FEED: Source = Source(1);

    fn at(seconds: i64) -> Timestamp {
        Timestamp::from_second(1_780_000_000 + seconds).unwrap()
    }

    fn part(number: u8, count: u8, sequence: u8, payload: &str) -> AisFragment<'_> {
        let (sequence, channel) = (Some(sequence), Some(b'A'));
        AisFragment { talker: Talker(*b"AI"), own: false, count, number, sequence, channel, payload, fill: 0 }
    }

    #[test]
    fn parts_in_any_order_make_the_same_packet() {
        let parts = [part(1, 3, 4, "1234"), part(2, 3, 4, "5"), part(3, 3, 4, "wv")];
        let whole = unarmour("12345wv", 0).unwrap();
        for order in [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]] {
            let mut assembler = Assembler::default();
            let made = order.map(|index| assembler.add(FEED, parts[index], at(0)).unwrap());
            assert_eq!(made, [None, None, Some(whole.clone())], "{order:?}");
            assert_eq!(assembler.waiting(), 0);
        }
    }

    #[test]
    fn a_part_sent_twice_changes_nothing() {
        let mut assembler = Assembler::default();
        for _ in 0..3 {
            assert_eq!(assembler.add(FEED, part(1, 2, 4, "1234"), at(0)), Ok(None));
        }
        assert_eq!(assembler.add(FEED, part(2, 2, 4, "5"), at(1)), Ok(Some(unarmour("12345", 0).unwrap())));
        assert_eq!(assembler.given_up(), GivenUp::default());
    }

    #[test]
    fn a_sequence_used_again_begins_a_new_packet() {
        let mut assembler = Assembler::default();
        assert_eq!(assembler.add(FEED, part(1, 2, 4, "1111"), at(0)), Ok(None));
        assert_eq!(assembler.add(FEED, part(1, 2, 4, "2222"), at(1)), Ok(None));
        assert_eq!(assembler.add(FEED, part(2, 2, 4, "3"), at(1)), Ok(Some(unarmour("22223", 0).unwrap())));
        assert_eq!(assembler.given_up(), GivenUp { overtaken: 1, ..GivenUp::default() });
    }

    #[test]
    fn what_waits_too_long_is_given_up_and_so_is_what_waits_from_the_future() {
        for late in [4, -4] {
            let mut assembler = Assembler::default();
            assert_eq!(assembler.add(FEED, part(1, 2, 4, "1111"), at(0)), Ok(None));
            assert_eq!(assembler.add(FEED, part(2, 2, 4, "3"), at(late)), Ok(None));
            assert_eq!(assembler.given_up(), GivenUp { late: 1, ..GivenUp::default() });
            assert_eq!(assembler.waiting(), 1);
        }
    }

    #[test]
    fn sources_channels_and_own_ship_are_kept_apart_and_a_missing_channel_is_not() {
        let first = part(1, 2, 4, "11");
        let second = part(2, 2, 4, "22");
        let completes = |source, fragment| {
            let mut assembler = Assembler::default();
            assert_eq!(assembler.add(FEED, first, at(0)), Ok(None));
            assembler.add(source, fragment, at(0)).unwrap().is_some()
        };
        assert!(completes(FEED, second));
        assert!(completes(FEED, AisFragment { channel: None, ..second }));
        assert!(!completes(Source(2), second));
        assert!(!completes(FEED, AisFragment { channel: Some(b'B'), ..second }));
        assert!(!completes(FEED, AisFragment { own: true, ..second }));
        assert!(!completes(FEED, AisFragment { sequence: Some(5), ..second }));
        assert!(!completes(FEED, AisFragment { count: 3, ..second }));
    }

    #[test]
    fn the_buffer_never_holds_more_than_its_bound() {
        let mut assembler = Assembler::default();
        for source in 0..1000 {
            assert_eq!(assembler.add(Source(source), part(1, 2, 4, "11"), at(0)), Ok(None));
            assert!(assembler.waiting() <= MOST_WAITING);
        }
        assert_eq!(assembler.given_up().crowded, 1000 - MOST_WAITING as u64);
        // The youngest are there, the oldest are gone.
        assert!(assembler.add(Source(999), part(2, 2, 4, "2"), at(0)).unwrap().is_some());
        assert!(assembler.add(Source(0), part(2, 2, 4, "2"), at(0)).unwrap().is_none());
    }

    #[test]
    fn parts_that_cannot_be_are_refused() {
        let mut assembler = Assembler::default();
        for (number, count) in [(0, 1), (1, 0), (3, 2), (1, 10), (255, 255)] {
            let refused = assembler.add(FEED, part(number, count, 1, "1"), at(0));
            assert_eq!(refused, Err(AisError::Parts { number, count }));
        }
        let nameless = AisFragment { sequence: None, ..part(1, 2, 1, "1") };
        assert_eq!(assembler.add(FEED, nameless, at(0)), Err(AisError::NoSequence { number: 1, count: 2 }));
        let long = "0".repeat(100);
        assert_eq!(assembler.add(FEED, part(1, 2, 1, &long), at(0)), Ok(None));
        assert_eq!(assembler.add(FEED, part(2, 2, 1, &long), at(0)), Err(AisError::TooLong { bits: 1200 }));
        assert_eq!(assembler.waiting(), 0);
    }
}

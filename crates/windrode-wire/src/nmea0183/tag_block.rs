//! TAG blocks: what a logger or a network says about the sentence behind them.
//!
//! ```text
//! \g:1-2-73,s:r003669961,c:1120959341*0D\!AIVDM,…
//!   │       │             └ time of reception: seconds of 1970, or milliseconds
//!   │       └ source
//!   └ line 1 of 2 of group 73
//! ```
//!
//! Source: IEC 61162-450, as told publicly (NMEA 0183 TAG blocks in "AIVDM/AIVDO protocol decoding", E. S.
//! Raymond). Other parameters are left aside; the block's own checksum, where given, must fit.

use jiff::Timestamp;

use super::fields::whole;
use super::refusal::Refusal;
use super::sentence::summed;

/// What a TAG block said; all absent where there was none.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tag<'a> {
    /// When the line was received, by who wrote the block.
    pub time: Option<Timestamp>,
    /// Who sent it.
    pub source: Option<&'a str>,
    /// Which line of a group it is.
    pub group: Option<Group<'a>>,
}

/// One line of several that belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group<'a> {
    /// Its number, from 1.
    pub number: u32,
    /// How many there are.
    pub count: u32,
    /// The group's own name.
    pub id: &'a str,
}

/// Seconds of 1970 in the year 5138; what is larger was told in milliseconds (1973 is the earliest so).
const SECONDS_MAX: i64 = 100_000_000_000;

/// Parts a line into its TAG blocks, if it has any, and what follows them. A line may hold a block alone.
pub(super) fn part(line: &str) -> Result<(Tag<'_>, &str), Refusal> {
    let mut tag = Tag::default();
    let mut rest = line;
    while let Some(inside) = rest.strip_prefix('\\') {
        let end = inside.bytes().position(|byte| byte == b'\\').ok_or(Refusal::TagForm)?;
        let (block, tail) = inside.split_at(end);
        let (body, _) = summed(block).map_err(|refusal| match refusal {
            Refusal::Checksum { read, summed } => Refusal::TagChecksum { read, summed },
            _ => Refusal::TagForm,
        })?;
        body.split(',').try_for_each(|parameter| tag.take(parameter))?;
        rest = tail.get(1..).unwrap_or("");
    }
    Ok((tag, rest))
}

impl<'a> Tag<'a> {
    fn take(&mut self, parameter: &'a str) -> Result<(), Refusal> {
        let Some((code, value)) = parameter.split_once(':') else { return Ok(()) };
        match code {
            "c" => self.time = Some(time(value).ok_or(Refusal::TagParameter { parameter: 'c' })?),
            "s" => self.source = Some(value),
            "g" => self.group = Some(group(value).ok_or(Refusal::TagParameter { parameter: 'g' })?),
            _ => {}
        }
        Ok(())
    }
}

/// Seconds of 1970, or milliseconds.
pub(super) fn time(text: &str) -> Option<Timestamp> {
    let digits = !text.is_empty() && text.len() <= 18 && text.bytes().all(|byte| byte.is_ascii_digit());
    let told: i64 = digits.then(|| text.parse().ok()).flatten()?;
    let time =
        if told < SECONDS_MAX { Timestamp::from_second(told) } else { Timestamp::from_millisecond(told) };
    time.ok()
}

fn group(text: &str) -> Option<Group<'_>> {
    let mut parts = text.splitn(3, '-');
    let (number, count) = (whole(parts.next()?)?, whole(parts.next()?)?);
    let id = parts.next()?;
    (1 <= number && number <= count).then_some(Group { number, count, id })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_source_and_group_are_read_and_the_rest_follows() {
        let (tag, rest) = part("\\g:1-2-73,s:r003669961,c:1120959341*0D\\!AIVDM").unwrap();
        assert_eq!(tag.time, Some(Timestamp::from_second(1_120_959_341).unwrap()));
        assert_eq!(tag.source, Some("r003669961"));
        assert_eq!(tag.group, Some(Group { number: 1, count: 2, id: "73" }));
        assert_eq!(rest, "!AIVDM");
    }

    #[test]
    fn seconds_and_milliseconds_of_the_same_instant_are_the_same_instant() {
        let (seconds, _) = part("\\c:1500000000\\").unwrap();
        let (milliseconds, rest) = part("\\c:1500000000000\\").unwrap();
        assert_eq!(seconds.time, milliseconds.time);
        assert_eq!(rest, "");
    }

    #[test]
    fn a_block_that_is_broken_is_refused_by_its_cause() {
        assert_eq!(part("\\c:1"), Err(Refusal::TagForm));
        assert_eq!(part("\\c:x\\"), Err(Refusal::TagParameter { parameter: 'c' }));
        assert_eq!(part("\\g:2-1-5\\"), Err(Refusal::TagParameter { parameter: 'g' }));
        // One lone block of a real log sums to 3F.
        assert!(part("\\si:AISD*3F\\").is_ok());
        assert_eq!(part("\\si:AISD*3E\\"), Err(Refusal::TagChecksum { read: 0x3E, summed: 0x3F }));
    }
}

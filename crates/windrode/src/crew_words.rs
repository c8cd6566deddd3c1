//! What the crew say to a watch that runs, one line at a time.
//!
//! ```text
//! acknowledge [ALARM]           somebody has heard it; all that ring, where none is named
//! silence ALARM TIME            still for a time, unless it worsens
//! clear ALARM                   done with
//! veered LENGTH                 so much rode is out now
//! dropped LAT,LON | dropped here   the anchor was let go there, or where the bow is now
//! engine on | engine off
//! aweigh                        she leaves of her own accord
//! end                           the watch is over: nothing is taken up again
//! status | feeds                asks, changes nothing
//! ```

use jiff::SignedDuration;
use windrode_domain::position::Position;
use windrode_domain::units::Length;
use windrode_domain::watch::effect::AlarmKind;

use crate::quantity;

/// What was said.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum CrewWord {
    /// Somebody has heard it.
    Acknowledge(Option<AlarmKind>),
    /// Still for a time.
    Silence(AlarmKind, SignedDuration),
    /// Done with.
    Clear(AlarmKind),
    /// So much rode is out.
    Veered(Length),
    /// The anchor was let go there; where the bow is now if no place is told.
    Dropped(Option<Position>),
    /// The engine runs, or not.
    Engine(bool),
    /// The anchor is aweigh.
    Aweigh,
    /// The watch is over.
    End,
    /// What does it say?
    Status,
    /// How are the feeds?
    Feeds,
}

/// An alarm's code, a neighbour's with her number: `neighbour:230012345`.
pub(crate) fn alarm_code(kind: AlarmKind) -> String {
    match kind {
        AlarmKind::Neighbour(mmsi) => format!("{}:{mmsi:09}", kind.code()),
        kind => kind.code().to_owned(),
    }
}

/// The alarm of a code.
pub(crate) fn alarm(code: &str) -> Option<AlarmKind> {
    if let Some(mmsi) = code.strip_prefix("neighbour:") {
        return mmsi.parse().ok().map(AlarmKind::Neighbour);
    }
    AlarmKind::SINGLE.into_iter().find(|kind| kind.code() == code)
}

/// What can be said.
const WANTED: &str = "wanted acknowledge [ALARM], silence ALARM 10min, clear ALARM, veered 35 m, \
                      dropped LAT,LON (or here), engine on|off, aweigh, end, status or feeds";

/// Reads a line.
///
/// # Errors
/// What was wanted, in words.
pub(crate) fn read(line: &str) -> Result<CrewWord, String> {
    let line = line.trim();
    let (word, rest) =
        line.split_once(char::is_whitespace).map_or((line, ""), |(word, rest)| (word, rest.trim()));
    match (word.to_lowercase().as_str(), rest) {
        ("acknowledge" | "ack", "") => Ok(CrewWord::Acknowledge(None)),
        ("acknowledge" | "ack", name) => named(name).map(|kind| CrewWord::Acknowledge(Some(kind))),
        ("silence", rest) => silence(rest),
        ("clear", name) => named(name).map(CrewWord::Clear),
        ("veered", rest) => veered(rest),
        ("dropped", "here") => Ok(CrewWord::Dropped(None)),
        ("dropped", place) => quantity::position(place)
            .map(|at| CrewWord::Dropped(Some(at)))
            .map_err(|error| format!("dropped: {error}")),
        ("engine", "on") => Ok(CrewWord::Engine(true)),
        ("engine", "off") => Ok(CrewWord::Engine(false)),
        ("aweigh", "") => Ok(CrewWord::Aweigh),
        ("end", "") => Ok(CrewWord::End),
        ("status", "") => Ok(CrewWord::Status),
        ("feeds", "") => Ok(CrewWord::Feeds),
        _ => Err(format!("\"{line}\" is not understood: {WANTED}")),
    }
}

fn named(name: &str) -> Result<AlarmKind, String> {
    let code = name.trim().to_lowercase().replace([' ', '-'], "_");
    alarm(&code).ok_or_else(|| {
        let all: Vec<&str> = AlarmKind::SINGLE.iter().map(|kind| kind.code()).collect();
        format!("\"{name}\" is no alarm (they are {}, neighbour:MMSI)", all.join(", "))
    })
}

fn silence(rest: &str) -> Result<CrewWord, String> {
    let (name, time) = rest
        .rsplit_once(char::is_whitespace)
        .ok_or_else(|| "silence: wanted an alarm and a time, such as silence wind_shift 10min".to_owned())?;
    let lasting: Option<SignedDuration> = time.parse().ok().filter(|it: &SignedDuration| it.is_positive());
    let lasting = lasting.ok_or_else(|| format!("\"{time}\" is no length of time (10min, 1h)"))?;
    Ok(CrewWord::Silence(named(name)?, lasting))
}

fn veered(rest: &str) -> Result<CrewWord, String> {
    let length =
        quantity::LENGTH.read(rest).map(Length::metres).map_err(|error| format!("veered: {error}"))?;
    if Length::ZERO < length {
        Ok(CrewWord::Veered(length))
    } else {
        Err(format!("veered: {rest} is no rode"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_alarm_is_known_by_its_code() {
        for kind in AlarmKind::SINGLE.into_iter().chain([AlarmKind::Neighbour(230_012_345)]) {
            assert_eq!(alarm(&alarm_code(kind)), Some(kind));
        }
        assert_eq!(alarm_code(AlarmKind::Neighbour(2_300_123)), "neighbour:002300123");
    }

    #[test]
    fn what_the_crew_say_is_understood() {
        let says = [
            ("acknowledge", CrewWord::Acknowledge(None)),
            ("Ack dragging", CrewWord::Acknowledge(Some(AlarmKind::Dragging))),
            (
                "silence wind shift 10min",
                CrewWord::Silence(AlarmKind::WindShift, SignedDuration::from_mins(10)),
            ),
            ("clear outside-circle", CrewWord::Clear(AlarmKind::OutsideCircle)),
            ("veered 35 m", CrewWord::Veered(Length::metres(35.0))),
            ("engine off", CrewWord::Engine(false)),
            ("dropped here", CrewWord::Dropped(None)),
            (" aweigh ", CrewWord::Aweigh),
        ];
        for (line, word) in says {
            assert_eq!(read(line), Ok(word), "{line}");
        }
    }

    #[test]
    fn what_is_not_understood_says_what_was_wanted() {
        for line in
            ["", "ackn", "silence dragging", "silence dragging -5min", "veered 0 m", "veered", "clear all"]
        {
            let refusal = read(line).unwrap_err();
            assert!(20 < refusal.len(), "{refusal}");
        }
    }
}

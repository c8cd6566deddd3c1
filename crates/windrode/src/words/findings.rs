//! Each reason as a sentence with its number in it.

use windrode_domain::plan::sheet::{Reason, Unknown};
use windrode_domain::units::{Angle, Force, Length, Speed};

use super::figures::{Toward, angle, force, length, rode_length, speed};
use super::{Voice, odds, plain};
use crate::append::append;

/// The reason as one sentence, or two.
pub(crate) fn reason(what: &Reason, voice: &Voice) -> String {
    match what {
        Reason::ChanceOfDragging { chance, limit } => format!(
            "The anchor may drag: {} in the stay at the unfavourable end; your limit is {}.",
            odds(*chance),
            odds(*limit)
        ),
        Reason::FailingToSet { chance } => format!("The anchor may not set at all: {}.", odds(*chance)),
        Reason::LittleWater { under_keel, limit } => little_water(*under_keel, *limit, voice),
        Reason::LittleRoom { to, room, limit, assumed } => little_room(to, *room, *limit, assumed, voice),
        Reason::PartLoaded { part, load, limit, gives_at } => {
            part_loaded(part, [*load, *limit, *gives_at], voice)
        }
        Reason::ForbiddenGround { what } => format!("The ground is forbidden or foul: {}.", ended(what)),
        Reason::RodeShorterThanDepth { rode, height } => format!(
            "{} of rode does not reach the bow, {} above the ground at the highest water.",
            rode_length(*rode, Toward::Less, voice),
            length(*height, Toward::More, voice)
        ),
        Reason::Uplift { angle: lift } => {
            format!("The worst gust lifts the shank {} off the ground.", angle(*lift, Toward::More))
        }
        Reason::RodeAboardTooShort { aboard, needed } => rode_too_short(*aboard, *needed, voice),
        Reason::ProvedLess { proved, coming, worth } => proved_less([*proved, *coming], *worth, voice),
        Reason::SetProvesNothing { why } => format!("The set proves nothing: {}.", ended(why)),
        Reason::AthwartOrSheering { hours } => {
            let hours = (hours * 2.0).ceil() / 2.0;
            format!("Wind and stream are at odds for {hours} h in all: she may lie any way, and sheer.")
        }
        Reason::WindShift { turn } => wind_shift(*turn),
        Reason::WindlassCarries => {
            "The load would come on the windlass, which is not there to carry it.".to_owned()
        }
        Reason::NoSnubber => {
            "There is no snubber on an all-chain rode: nothing takes up the snatch.".to_owned()
        }
        Reason::Snatched { share } => format!(
            "The sea would snatch at her on this rode ({} in 10 of the greatest loads): its peak cannot be told.",
            (share * 10.0).ceil()
        ),
        Reason::Unknown(what) => unknown(what, voice),
        Reason::Assumed { what, taken } => {
            format!("{}: assumed {}, for want of better.", plain(what), ended(taken))
        }
    }
}

fn little_water(under_keel: Length, limit: Length, voice: &Voice) -> String {
    if under_keel < Length::ZERO {
        return format!(
            "She takes the ground: the water is {} short of floating the keel.",
            length(-under_keel, Toward::More, voice)
        );
    }
    format!(
        "As little as {} of water under the keel; your limit is {}.",
        length(under_keel, Toward::Less, voice),
        length(limit, Toward::More, voice)
    )
}

fn little_room(to: &str, room: Length, limit: Length, assumed: &[String], voice: &Voice) -> String {
    let name = plain(to);
    let mut sentence = if room < Length::ZERO {
        format!("She can foul {name}: where each can lie overlaps by {}.", length(-room, Toward::More, voice))
    } else {
        format!(
            "She can come within {} of {name}; your limit is {}.",
            length(room, Toward::Less, voice),
            length(limit, Toward::More, voice)
        )
    };
    if !assumed.is_empty() {
        let guessed: Vec<_> = assumed.iter().map(|what| plain(what)).collect();
        append(&mut sentence, format_args!(" Guessed: {}.", guessed.join(", ")));
    }
    sentence
}

fn part_loaded(part: &str, [load, limit, gives_at]: [Force; 3], voice: &Voice) -> String {
    format!(
        "{} carries up to {}; its limit is {}, and it gives at {}.",
        capitalised(&plain(part)),
        force(load, Toward::More, voice),
        force(limit, Toward::Less, voice),
        force(gives_at, Toward::Less, voice)
    )
}

fn rode_too_short(aboard: Length, needed: Option<Length>, voice: &Voice) -> String {
    let aboard = rode_length(aboard, Toward::Less, voice);
    match needed {
        Some(needed) => format!(
            "The rode aboard is too short: {aboard}, where {} is needed.",
            rode_length(needed, Toward::More, voice)
        ),
        None => format!("The {aboard} of rode aboard is too short, and no length that was tried would do."),
    }
}

fn proved_less([proved, coming]: [Force; 2], worth: Speed, voice: &Voice) -> String {
    format!(
        "The set proved {}, worth gusts of {}; the stay brings {} at the anchor.",
        force(proved, Toward::Less, voice),
        speed(worth, Toward::Less, voice),
        force(coming, Toward::More, voice)
    )
}

fn wind_shift(turn: Angle) -> String {
    let way = if Angle::ZERO < turn { "clockwise" } else { "anticlockwise" };
    format!("The wind turns through {}, {way}.", angle(turn.abs(), Toward::More))
}

fn unknown(what: &Unknown, voice: &Voice) -> String {
    match what {
        Unknown::Wind { after } => {
            format!("Cannot say after {}: the forecast ends there.", voice.clock.time(*after))
        }
        Unknown::WindGap { from, to } => format!(
            "Cannot say between {} and {}: the forecast leaves a gap.",
            voice.clock.time(*from),
            voice.clock.time_up(*to)
        ),
        Unknown::WindBefore { before } => {
            format!("Cannot say before {}: the forecast begins there.", voice.clock.time_up(*before))
        }
        Unknown::Tide { why } => format!("Cannot say the tide: {}.", ended(why)),
        Unknown::Stream { why } => format!("Cannot say the stream: {}.", ended(why)),
        Unknown::Sea { why } => format!("Cannot say the sea: {}.", ended(why)),
        Unknown::Bottom => "Cannot say how the ground holds: its nature is not given.".to_owned(),
        Unknown::Depth => "Cannot say the depth: neither chart nor sounding is given.".to_owned(),
        Unknown::Neighbour { name, why } => {
            format!("Cannot say the room to {}: {}.", plain(name), ended(why))
        }
        Unknown::Arrangement { what, why } => {
            format!("{} is not judged: {}.", capitalised(&plain(what)), ended(why))
        }
        Unknown::OutOfModel { why } => {
            format!("Asked beyond what the reckoning was made for: {}.", ended(why))
        }
    }
}

/// A clause of someone else's, without the full stop that follows here.
fn ended(clause: &str) -> String {
    plain(clause).trim_end().trim_end_matches('.').to_owned()
}

fn capitalised(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::voice;

    #[test]
    fn a_keel_in_the_ground_is_told_as_taking_the_ground() {
        let aground = Reason::LittleWater { under_keel: Length::metres(-0.21), limit: Length::metres(0.3) };
        assert_eq!(
            reason(&aground, &voice()),
            "She takes the ground: the water is 0.3 m short of floating the keel."
        );
    }

    #[test]
    fn what_was_guessed_of_a_neighbour_is_said_with_the_room() {
        let near = Reason::LittleRoom {
            to: "Kittiwake".to_owned(),
            room: Length::metres(7.96),
            limit: Length::metres(13.0),
            assumed: vec!["his rode".to_owned(), "his length".to_owned()],
        };
        let told = reason(&near, &voice());
        assert_eq!(
            told,
            "She can come within 7.9 m of Kittiwake; your limit is 13.0 m. Guessed: his rode, his length."
        );
    }

    #[test]
    fn a_forecast_that_ends_says_from_when_nothing_can_be_said() {
        let after = "2026-11-27T14:00:00Z".parse().unwrap();
        let told = reason(&Reason::Unknown(Unknown::Wind { after }), &voice());
        assert_eq!(told, "Cannot say after Sat 03:00: the forecast ends there.");
    }

    // A regression guard on wording, read through by hand.
    #[test]
    fn every_reason_is_a_sentence_with_its_figure() {
        let metres = Length::metres;
        let load = Force::newtons;
        let why = || "the table ends at 20 m".to_owned();
        let name = || "Kittiwake".to_owned();
        let unknown = [
            Unknown::WindBefore { before: crate::sample::after(0.501) },
            Unknown::Tide { why: why() },
            Unknown::Stream { why: why() },
            Unknown::Bottom,
            Unknown::Depth,
            Unknown::Neighbour { name: name(), why: why() },
            Unknown::Arrangement { what: "a stern line".to_owned(), why: why() },
            Unknown::OutOfModel { why: why() },
        ];
        let mut all = vec![
            Reason::ChanceOfDragging { chance: 0.2, limit: 0.05 },
            Reason::FailingToSet { chance: 0.09 },
            Reason::LittleWater { under_keel: metres(0.29), limit: metres(0.3) },
            Reason::LittleRoom { to: name(), room: metres(-0.31), limit: metres(5.0), assumed: vec![] },
            Reason::PartLoaded {
                part: "chain".to_owned(),
                load: load(9001.0),
                limit: load(8999.0),
                gives_at: load(4e4),
            },
            Reason::ForbiddenGround { what: "cable area.".to_owned() },
            Reason::RodeShorterThanDepth { rode: metres(25.0), height: metres(30.1) },
            Reason::Uplift { angle: Angle::degrees(3.21) },
            Reason::RodeAboardTooShort { aboard: metres(60.0), needed: Some(metres(84.2)) },
            Reason::RodeAboardTooShort { aboard: metres(60.0), needed: None },
            Reason::ProvedLess { proved: load(3099.0), coming: load(5201.0), worth: Speed::knots(28.9) },
            Reason::AthwartOrSheering { hours: 2.6 },
            Reason::WindShift { turn: Angle::degrees(90.2) },
            Reason::WindlassCarries,
            Reason::NoSnubber,
            Reason::Snatched { share: 0.71 },
        ];
        all.extend(unknown.map(Reason::Unknown));
        let told: Vec<String> = all.iter().map(|what| reason(what, &voice())).collect();
        insta::assert_snapshot!(told.join("\n"), @r#"
        The anchor may drag: 20 in 100 in the stay at the unfavourable end; your limit is 1 in 20.
        The anchor may not set at all: 1 in 11.
        As little as 0.2 m of water under the keel; your limit is 0.3 m.
        She can foul Kittiwake: where each can lie overlaps by 0.4 m.
        Chain carries up to 901 daN; its limit is 899 daN, and it gives at 4000 daN.
        The ground is forbidden or foul: cable area.
        25 m of rode does not reach the bow, 31 m above the ground at the highest water.
        The worst gust lifts the shank 3.3° off the ground.
        The rode aboard is too short: 60 m, where 84.5 m is needed.
        The 60 m of rode aboard is too short, and no length that was tried would do.
        The set proved 309 daN, worth gusts of 28 kn; the stay brings 521 daN at the anchor.
        Wind and stream are at odds for 3 h in all: she may lie any way, and sheer.
        The wind turns through 91°, clockwise.
        The load would come on the windlass, which is not there to carry it.
        There is no snubber on an all-chain rode: nothing takes up the snatch.
        The sea would snatch at her on this rode (8 in 10 of the greatest loads): its peak cannot be told.
        Cannot say before Fri 18:31: the forecast begins there.
        Cannot say the tide: the table ends at 20 m.
        Cannot say the stream: the table ends at 20 m.
        Cannot say how the ground holds: its nature is not given.
        Cannot say the depth: neither chart nor sounding is given.
        Cannot say the room to Kittiwake: the table ends at 20 m.
        A stern line is not judged: the table ends at 20 m.
        Asked beyond what the reckoning was made for: the table ends at 20 m.
        "#);
    }
}

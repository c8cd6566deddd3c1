//! The watch in people's words: the word, each reason as one sentence with its number, each alarm's name.

use jiff::SignedDuration;
use windrode_domain::units::{Angle, Bearing, Length, Speed};
use windrode_domain::watch::effect::AlarmKind;
use windrode_domain::watch::guards::neighbours::{NeighbourThreat, ThreatKind};
use windrode_domain::watch::observation::Source;
use windrode_domain::watch::reason::{Fault, Reason, Sensor};
use windrode_domain::watch::sample::Unsound;
use windrode_domain::watch::verdict::Verdict;

use super::figures::{Toward, angle, bearing, compass_point, length, speed, stream};
use super::{Voice, plain};

/// The word.
pub(crate) const fn verdict(word: Verdict) -> &'static str {
    match word {
        Verdict::Holding => "holding",
        Verdict::Doubtful => "doubtful",
        Verdict::Dragging => "dragging",
        Verdict::Blind => "blind",
        Verdict::UnderWay => "under way",
    }
}

/// The name of an alarm, as it stands before its reason.
pub(crate) const fn alarm(kind: AlarmKind) -> &'static str {
    match kind {
        AlarmKind::Dragging => "The anchor drags",
        AlarmKind::OutsideCircle => "Outside the circle",
        AlarmKind::Blind => "The watch is blind",
        AlarmKind::Water => "Little water",
        AlarmKind::WindAboveProof => "More wind than the set has proved",
        AlarmKind::WindAboveForecast => "More wind than forecast",
        AlarmKind::WindShift => "The wind has shifted",
        AlarmKind::Neighbour(_) => "A neighbour",
        AlarmKind::Battery => "The battery is low",
        AlarmKind::SensorSilent => "An instrument is silent",
        AlarmKind::ReceiversDisagree => "Two receivers disagree",
        AlarmKind::PlanOvertaken => "The plan no longer holds",
    }
}

/// The reason as one sentence.
pub(crate) fn reason(what: &Reason, voice: &Voice) -> String {
    anchor(what, voice)
        .or_else(|| leaving(what, voice))
        .or_else(|| fixes(what, voice))
        .or_else(|| weather(what, voice))
        .unwrap_or_else(|| rest(what, voice))
}

/// Of the anchor.
fn anchor(what: &Reason, voice: &Voice) -> Option<String> {
    Some(match what {
        Reason::LiesToHerRode { beyond, spread } => lies(*beyond, *spread, voice),
        Reason::AnchorGone { distance, spread, toward, speed, began } => {
            let whither = toward.map_or_else(String::new, |toward| format!(" towards {}", bearing(toward)));
            let how_fast =
                speed.map_or_else(String::new, |speed| format!(", at {} now", metres_a_minute(speed, voice)));
            let since =
                began.map_or_else(String::new, |began| format!(", since about {}", voice.clock.hour(began)));
            let distance = length(*distance, Toward::More, voice);
            let spread = length(*spread, Toward::More, voice);
            format!("The anchor has gone {distance}, give or take {spread}{whither}{how_fast}{since}.")
        }
        Reason::OutsideCircle { from_middle, radius } => format!(
            "She is {} from the middle of the plain circle, whose radius is {}.",
            length(*from_middle, Toward::More, voice),
            length(*radius, Toward::Less, voice)
        ),
        Reason::DropElsewhere { from_drop, limit } => format!(
            "The drop that was recorded lies {} from her, and rode and receiver come to {} at the most: one of the two \
             is of another place.",
            length(*from_drop, Toward::More, voice),
            length(*limit, Toward::More, voice)
        ),
        Reason::SpeaksForDragging { share } => format!(
            "Something speaks for dragging: {:.0} % of what rings.",
            (share * 100.0).clamp(0.0, 100.0).ceil()
        ),
        Reason::NotSettled { watched } => {
            format!("The watch is {} old and has not settled yet.", lasting(*watched))
        }
        Reason::LittleOfCircle { arc } => format!(
            "How much rode is out is not known, and she has shown only {} of her circle.",
            angle(*arc, Toward::Less)
        ),
        Reason::TooSeldom { interval } => format!(
            "Places come up to {} apart, and rode, drop and wind are unknown: a drag cannot be told from a swing.",
            lasting(*interval)
        ),
        Reason::HeadingLeftOut { why } => format!("The heading is left out of account: {}.", unsound(*why)),
        Reason::WindLeftOut { why } => format!("The wind is left out of account: {}.", unsound(*why)),
        Reason::HeadingAndWindMissing => {
            "Neither heading nor wind is there: where her bow is, and how she pulls, are guessed.".to_owned()
        }
        _ => return None,
    })
}

/// Of her leaving it, and of the time before it is down.
fn leaving(what: &Reason, voice: &Voice) -> Option<String> {
    Some(match what {
        Reason::MayBeLeaving { speed, course } => format!(
            "She goes {} where she heads, towards {}: she may be leaving.",
            stream(*speed, voice),
            bearing(*course)
        ),
        Reason::NotDownYet { speed, course } => format!(
            "She makes {} towards {}: the anchor is not down yet.",
            stream(*speed, voice),
            bearing(*course)
        ),
        Reason::LiesElsewhere { left, from_anchor, lasting: long } => {
            let from = from_anchor.map_or_else(String::new, |from| {
                format!(", {} from where her anchor lay", length(from, Toward::Less, voice))
            });
            format!(
                "Under way since {}, and has lain still for {}{from}: end the watch, or say where the anchor was \
                 dropped; nothing watches it until then.",
                voice.clock.hour(*left),
                lasting(*long)
            )
        }
        Reason::ToldAweigh => "The anchor is aweigh, you said.".to_owned(),
        Reason::GoesAlongHeading { speed, course, lasting: long } => format!(
            "She has gone {} where she heads, towards {}, for {}: no anchor drags that way.",
            stream(*speed, voice),
            bearing(*course),
            lasting(*long)
        ),
        Reason::GoesFast { speed, course, lasting: long } => format!(
            "She has gone {} towards {} for {}: faster and longer than an anchor drags.",
            stream(*speed, voice),
            bearing(*course),
            lasting(*long)
        ),
        _ => return None,
    })
}

const fn unsound(why: Unsound) -> &'static str {
    match why {
        Unsound::Leapt => "it turned faster than she can",
        Unsound::Stuck => "it repeats its last word",
        Unsound::TurnedRound => "it points away from the anchor that she pulls at",
    }
}

fn lies(beyond: Length, spread: Length, voice: &Voice) -> String {
    let spread = length(spread, Toward::More, voice);
    if beyond < Length::ZERO {
        let inside = length(-beyond, Toward::Less, voice);
        return format!("Her bow lies {inside} inside the reach of her rode, give or take {spread}.");
    }
    let beyond = length(beyond, Toward::More, voice);
    format!("Her bow lies {beyond} beyond the reach of her rode, give or take {spread}.")
}

/// Of where she is, and how that is known.
fn fixes(what: &Reason, voice: &Voice) -> Option<String> {
    Some(match what {
        Reason::NoFixYet { waited } => {
            format!("No receiver has given a fix in the {} of this watch.", lasting(*waited))
        }
        Reason::NoUsableFix { lasting: long, limit } => {
            format!("No fix that can be trusted for {}; {} is allowed.", lasting(*long), lasting(*limit))
        }
        Reason::Receiver { source, fault: against } => fault(*source, against, voice),
        Reason::ReceiversDisagree { used, other, apart, limit } => format!(
            "{} and {} are {} apart, where {} could be explained; the first is used.",
            receiver(*used),
            receiver(*other).to_lowercase(),
            length(*apart, Toward::More, voice),
            length(*limit, Toward::Less, voice)
        ),
        Reason::ClockSetBack { by } => {
            format!("The boat's clock was set back by {}; times are told by it as it is now.", lasting(*by))
        }
        Reason::StoodBefore { broke_off } => format!(
            "So it stood when the watch broke off at {}; it is judged anew as soon as fixes come.",
            voice.clock.hour(*broke_off)
        ),
        _ => return None,
    })
}

fn fault(source: Source, against: &Fault, voice: &Voice) -> String {
    let who = receiver(source);
    match against {
        Fault::NoFix => format!("{who} says that it has no fix."),
        Fault::NotMeasured => format!("{who} tells places that are not measured."),
        Fault::Silent { lasting: long } => format!("{who} has been silent for {}.", lasting(*long)),
        Fault::Leap { distance, within } => format!(
            "{who} leapt {} in {}, as no boat can, and has not come back.",
            length(*distance, Toward::Nearest, voice),
            lasting(*within)
        ),
        Fault::LeapWithClock { distance, clock_s } => format!(
            "{who} leapt {} and its clock stepped {:.0} s: its signals may be counterfeit.",
            length(*distance, Toward::Nearest, voice),
            clock_s.abs()
        ),
        Fault::Frozen { lasting: long } => {
            format!("{who} has said the same place to the last digit for {} while she moves.", lasting(*long))
        }
        Fault::SatellitesGone { used, usual } => {
            format!("{who} uses {used} satellites where {usual:.0} are usual: it may be jammed.")
        }
        Fault::SignalsSunk { carrier_db_hz, usual_db_hz } => format!(
            "The signals of {} have sunk by {:.0} dB: it may be jammed.",
            who.to_lowercase(),
            (usual_db_hz - carrier_db_hz).floor()
        ),
    }
}

fn receiver(Source(number): Source) -> String {
    format!("Receiver {number}")
}

/// Of wind and water.
fn weather(what: &Reason, voice: &Voice) -> Option<String> {
    let up = |wind: Speed| speed(wind, Toward::More, voice);
    Some(match what {
        Reason::WaterNow { under_keel, limit, sounded } => {
            let whence = if *sounded { "by the sounder" } else { "by the tide foretold" };
            format!("{} now, {whence}; your limit is {}.", water(*under_keel, voice), limit_of(*limit, voice))
        }
        Reason::WaterForetold { under_keel, limit, at } => format!(
            "{} at {}; your limit is {}.",
            water(*under_keel, voice),
            voice.clock.time(*at),
            limit_of(*limit, voice)
        ),
        Reason::WindAboveProof { gust, mean, proved } => format!(
            "It gusts {} over a mean of {}; the set has proved {}.",
            up(*gust),
            up(*mean),
            speed(*proved, Toward::Less, voice)
        ),
        Reason::WindAboveForecast { mean, foretold_mean, foretold_gust } => {
            let gust = foretold_gust
                .map_or_else(String::new, |gust| format!(", gusting {}", speed(gust, Toward::Less, voice)));
            let foretold = speed(*foretold_mean, Toward::Less, voice);
            format!("It blows {} over ten minutes; {foretold}{gust} was forecast.", up(*mean))
        }
        Reason::WindShift { before, from, turn, mean } => format!(
            "The wind has gone from {} to {}, {} {}, and blows {}.",
            compass_point(*before),
            bearing(*from),
            angle(turn.abs(), Toward::More),
            way_round(*turn),
            up(*mean)
        ),
        Reason::WindFromElsewhere { from, foretold, mean } => elsewhere(*from, *foretold, *mean, voice),
        Reason::TideOtherwise { residual } => {
            let way = if *residual < Length::ZERO { "less" } else { "more" };
            format!("There is {} {way} water than foretold.", length(residual.abs(), Toward::Nearest, voice))
        }
        _ => return None,
    })
}

fn water(under_keel: Length, voice: &Voice) -> String {
    if under_keel < Length::ZERO {
        return format!(
            "The water is {} short of floating the keel",
            length(-under_keel, Toward::More, voice)
        );
    }
    format!("{} of water under the keel", length(under_keel, Toward::Less, voice))
}

fn limit_of(limit: Length, voice: &Voice) -> String {
    length(limit, Toward::More, voice)
}

const fn way_round(turn: Angle) -> &'static str {
    if turn.as_radians() < 0.0 { "anticlockwise" } else { "clockwise" }
}

fn elsewhere(from: Bearing, foretold: Bearing, mean: Speed, voice: &Voice) -> String {
    format!(
        "The wind blows from {} at {}; {} was forecast.",
        bearing(from),
        speed(mean, Toward::More, voice),
        compass_point(foretold)
    )
}

/// Of neighbours, instruments and the plan; everything else was said before.
fn rest(what: &Reason, voice: &Voice) -> String {
    match what {
        Reason::Neighbour(threat) => neighbour(threat, voice),
        Reason::BatteryLow { volts, limit_v } => format!(
            "The battery is at {:.1} V; your limit is {limit_v:.1} V.",
            // Never told as more than it is.
            (volts * 10.0).floor() / 10.0
        ),
        Reason::SensorSilent { sensor, lasting: long } => {
            format!("The {} has been silent for {}.", instrument(*sensor), lasting(*long))
        }
        Reason::PlanForbids => "The plan said: do not lie here.".to_owned(),
        Reason::PlanCannotSay => "The plan could not say how she lies here.".to_owned(),
        other => other.code().replace('_', " "),
    }
}

fn neighbour(threat: &NeighbourThreat, voice: &Voice) -> String {
    let name = threat.name.as_deref().map_or_else(|| format!("MMSI {:09}", threat.mmsi).into(), plain);
    let does = match threat.kind {
        ThreatKind::Dragging => "drags",
        ThreatKind::Adrift => "is adrift",
        ThreatKind::Closing => "comes closer",
    };
    let nearest = length(threat.nearest.max(Length::ZERO), Toward::Less, voice);
    format!("{name} {does}: {nearest} off at the nearest, at {}.", voice.clock.hour(threat.at))
}

const fn instrument(sensor: Sensor) -> &'static str {
    match sensor {
        Sensor::Heading => "compass",
        Sensor::Wind => "wind instrument",
        Sensor::Sounder => "sounder",
        Sensor::Battery => "battery's meter",
    }
}

/// The way of an anchor, in lengths a minute: a creeping anchor makes no figure in knots.
fn metres_a_minute(way: Speed, voice: &Voice) -> String {
    let a_minute = Length::metres(way.as_metres_per_second().abs() * 60.0);
    format!("{} a minute", length(a_minute, Toward::More, voice))
}

/// "40 s", "12 min", "3 h".
fn lasting(long: SignedDuration) -> String {
    let seconds = long.as_secs().max(0);
    match seconds {
        ..120 => format!("{seconds} s"),
        120..7_200 => format!("{} min", seconds / 60),
        _ => format!("{} h", seconds / 3_600),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::{after, american, voice};

    fn metres(value: f64) -> Length {
        Length::metres(value)
    }

    fn of_the_anchor() -> Vec<Reason> {
        let (speed, course) = (Speed::knots(3.02), Bearing::degrees(265.0));
        let lasting = SignedDuration::from_secs(70);
        vec![
            Reason::LiesToHerRode { beyond: metres(0.31), spread: metres(1.18) },
            Reason::LiesToHerRode { beyond: metres(-4.26), spread: metres(1.18) },
            Reason::AnchorGone {
                distance: metres(12.31),
                spread: metres(2.0),
                toward: Some(Bearing::degrees(91.0)),
                speed: Some(Speed::metres_per_second(0.021)),
                began: Some(after(1.0)),
            },
            Reason::AnchorGone {
                distance: metres(9.0),
                spread: metres(2.0),
                toward: None,
                speed: None,
                began: None,
            },
            Reason::OutsideCircle { from_middle: metres(71.2), radius: metres(66.8) },
            Reason::DropElsewhere { from_drop: metres(4_210_000.0), limit: metres(1_066.8) },
            Reason::SpeaksForDragging { share: 0.712 },
            Reason::NotSettled { watched: SignedDuration::from_mins(7) },
            Reason::LittleOfCircle { arc: Angle::degrees(40.0) },
            Reason::TooSeldom { interval: SignedDuration::from_mins(14) },
            Reason::HeadingLeftOut { why: Unsound::Leapt },
            Reason::HeadingLeftOut { why: Unsound::TurnedRound },
            Reason::WindLeftOut { why: Unsound::Stuck },
            Reason::HeadingAndWindMissing,
            Reason::MayBeLeaving { speed, course },
            Reason::ToldAweigh,
            Reason::NotDownYet { speed: Speed::knots(4.0), course: Bearing::degrees(10.0) },
            Reason::LiesElsewhere {
                left: after(0.0),
                from_anchor: Some(metres(812.0)),
                lasting: SignedDuration::from_mins(20),
            },
            Reason::GoesAlongHeading { speed, course, lasting },
            Reason::GoesFast { speed, course, lasting },
        ]
    }

    fn of_the_fixes() -> Vec<Reason> {
        let minute = SignedDuration::from_secs(60);
        let faults = [
            Fault::NoFix,
            Fault::NotMeasured,
            Fault::Silent { lasting: minute },
            Fault::Leap { distance: metres(312.4), within: SignedDuration::from_secs(1) },
            Fault::LeapWithClock { distance: metres(312.4), clock_s: -17.6 },
            Fault::Frozen { lasting: minute },
            Fault::SatellitesGone { used: 3, usual: 11.7 },
            Fault::SignalsSunk { carrier_db_hz: 29.4, usual_db_hz: 41.9 },
        ];
        let mut all = vec![
            Reason::NoFixYet { waited: minute },
            Reason::NoUsableFix { lasting: minute, limit: SignedDuration::from_secs(30) },
            Reason::ReceiversDisagree {
                used: Source(1),
                other: Source(2),
                apart: metres(61.2),
                limit: metres(30.9),
            },
            Reason::ClockSetBack { by: SignedDuration::from_hours(13) },
            Reason::StoodBefore { broke_off: after(2.0) },
        ];
        all.extend(faults.map(|fault| Reason::Receiver { source: Source(1), fault }));
        all
    }

    fn of_the_guards() -> Vec<Reason> {
        let (knots, limit) = (Speed::knots, metres(0.8));
        let threat = |kind, name: Option<&str>| {
            let name = name.map(str::to_owned);
            Reason::Neighbour(NeighbourThreat {
                mmsi: 12_345_678,
                name,
                kind,
                nearest: metres(17.9),
                at: after(1.5),
            })
        };
        vec![
            Reason::WaterNow { under_keel: metres(0.79), limit, sounded: true },
            Reason::WaterNow { under_keel: metres(-0.31), limit, sounded: false },
            Reason::WaterForetold { under_keel: metres(0.41), limit, at: after(5.0) },
            Reason::WindAboveProof { gust: knots(31.2), mean: knots(22.4), proved: knots(28.9) },
            Reason::WindAboveForecast {
                mean: knots(24.3),
                foretold_mean: knots(14.9),
                foretold_gust: Some(knots(22.9)),
            },
            Reason::WindAboveForecast { mean: knots(24.3), foretold_mean: knots(14.9), foretold_gust: None },
            Reason::WindShift {
                before: Bearing::degrees(270.0),
                from: Bearing::degrees(225.0),
                turn: Angle::degrees(-45.0),
                mean: knots(12.2),
            },
            Reason::WindFromElsewhere {
                from: Bearing::degrees(180.0),
                foretold: Bearing::degrees(270.0),
                mean: knots(12.2),
            },
            Reason::TideOtherwise { residual: metres(-0.41) },
            threat(ThreatKind::Dragging, Some("Kittiwake")),
            threat(ThreatKind::Adrift, None),
            threat(ThreatKind::Closing, Some("Kittiwake")),
            Reason::BatteryLow { volts: 11.79, limit_v: 11.8 },
            Reason::SensorSilent { sensor: Sensor::Heading, lasting: SignedDuration::from_mins(3) },
            Reason::PlanForbids,
            Reason::PlanCannotSay,
        ]
    }

    fn told(all: &[Reason]) -> String {
        all.iter().map(|what| reason(what, &voice())).collect::<Vec<_>>().join("\n")
    }

    // Regression guards on wording, read through by hand.
    #[test]
    fn every_reason_of_the_anchor_is_a_sentence_with_its_figure() {
        insta::assert_snapshot!(told(&of_the_anchor()));
    }

    #[test]
    fn every_reason_of_the_fixes_is_a_sentence_with_its_figure() {
        insta::assert_snapshot!(told(&of_the_fixes()));
    }

    #[test]
    fn every_reason_of_the_guards_is_a_sentence_with_its_figure() {
        insta::assert_snapshot!(told(&of_the_guards()));
    }

    #[test]
    fn a_crew_in_feet_hears_of_its_anchor_in_feet() {
        let gone = Reason::OutsideCircle { from_middle: metres(30.48), radius: metres(24.384) };
        let told = reason(&gone, &american());
        assert_eq!(told, "She is 100 ft from the middle of the plain circle, whose radius is 80 ft.");
    }

    #[test]
    fn every_word_and_every_alarm_has_its_own_name() {
        use std::collections::BTreeSet;
        let words =
            [Verdict::Holding, Verdict::Doubtful, Verdict::Dragging, Verdict::Blind, Verdict::UnderWay];
        assert_eq!(words.map(verdict).iter().collect::<BTreeSet<_>>().len(), words.len());
        let alarms = AlarmKind::SINGLE.into_iter().chain([AlarmKind::Neighbour(1)]).map(alarm);
        assert_eq!(alarms.collect::<BTreeSet<_>>().len(), AlarmKind::SINGLE.len() + 1);
    }
}

//! Our messages in the terms of pyais: degrees, knots, metres, its names of fields, its numbers for "not available".

use serde_json::{Value, json};
use windrode_wire::ais::particulars::{Dimensions, Particulars};
use windrode_wire::ais::position::{FixSecond, PositionReport, Turn};
use windrode_wire::ais::{Content, Message};

/// What pyais would show for a field, `None` where we keep nothing of it (cut off, or a number that cannot be).
pub(crate) fn value(message: &Message, field: &str) -> Option<Value> {
    match field {
        "msg_type" => Some(json!(message.number)),
        "repeat" => Some(json!(message.repeat)),
        "mmsi" => Some(json!(message.mmsi)),
        _ => match &message.content {
            Content::Position(report) => of_position(message.number, report, field),
            Content::Extended(report, what) => {
                of_position(message.number, report, field).or_else(|| of_particulars(what, field))
            }
            Content::Particulars(what) => of_particulars(what, field),
            Content::BaseStation(station) => match field {
                "accuracy" => Some(json!(station.accurate)),
                "epfd" => Some(json!(station.fix_device)),
                "raim" => Some(json!(station.raim)),
                "lon" => station.at.map(|at| json!(at.longitude_deg())),
                "lat" => station.at.map(|at| json!(at.latitude_deg())),
                _ => station.time.and_then(|time| of_time(time, field)),
            },
            Content::Aid(aid) => match field {
                "aid_type" => Some(json!(aid.kind)),
                "accuracy" => Some(json!(aid.accurate)),
                "lon" => aid.at.map(|at| json!(at.longitude_deg())),
                "lat" => aid.at.map(|at| json!(at.latitude_deg())),
                "epfd" => Some(json!(aid.fix_device)),
                "second" => Some(second(aid.second)),
                "off_position" => aid.off_position.map(|off| json!(off)),
                "raim" => Some(json!(aid.raim)),
                "virtual_aid" => Some(json!(aid.is_virtual)),
                "name" => Some(json!(aid.name.clone().unwrap_or_default())),
                _ => of_size(aid.dimensions, field),
            },
            Content::Safety { text } => (field == "text").then(|| json!(text)),
            Content::Unlisted(_) => None,
        },
    }
}

fn of_position(number: u8, report: &PositionReport, field: &str) -> Option<Value> {
    let degrees = |bearing: windrode_domain::units::Bearing| json!(bearing.as_degrees());
    match field {
        "lon" => report.at.map(|at| json!(at.longitude_deg())),
        "lat" => report.at.map(|at| json!(at.latitude_deg())),
        "accuracy" => Some(json!(report.accurate)),
        "raim" => Some(json!(report.raim)),
        "speed" => report.speed.map(|going| json!(going.speed.as_knots())),
        "course" => report.course.map(degrees),
        "heading" => report.heading.map(degrees),
        "status" => report.status.map(|status| json!(status)),
        "maneuver" => report.manoeuvre.map(|manoeuvre| json!(manoeuvre)),
        "second" => report.second.map(second),
        "alt" => report.altitude.map(|altitude| json!(altitude.m)),
        "gnss" => report.late.map(|late| json!(late)),
        "turn" if number <= 3 => Some(match report.turn {
            None => json!(-128.0),
            Some(Turn::Starboard) => json!(127.0),
            Some(Turn::Port) => json!(-127.0),
            // pyais rounds to whole degrees a minute.
            Some(Turn::Rate { deg_min, .. }) => json!(deg_min.round()),
        }),
        _ => None,
    }
}

fn of_particulars(what: &Particulars, field: &str) -> Option<Value> {
    let words = |text: &Option<String>| Some(json!(text.clone().unwrap_or_default()));
    let eta = what.eta.unwrap_or_default();
    match field {
        "imo" => Some(json!(what.imo.unwrap_or(0))),
        "callsign" => words(&what.call_sign),
        "shipname" => words(&what.name),
        "destination" => words(&what.destination),
        "vendorid" => words(&what.vendor),
        "ship_type" => Some(json!(what.ship_type.unwrap_or(0))),
        "epfd" => what.fix_device.map(|device| json!(device)),
        "month" => eta.month.map(|month| json!(month)),
        "day" => eta.day.map(|day| json!(day)),
        "hour" => eta.hour.map(|hour| json!(hour)),
        "minute" => eta.minute.map(|minute| json!(minute)),
        "draught" => what.draught.map(|draught| json!(f64::from(draught.dm) / 10.0)),
        "mothership_mmsi" => what.mother_ship.map(|ship| json!(ship)),
        _ => of_size(what.dimensions, field),
    }
}

fn of_size(dimensions: Option<Dimensions>, field: &str) -> Option<Value> {
    let none = Dimensions { ahead_m: 0, astern_m: 0, port_m: 0, starboard_m: 0 };
    let size = dimensions.unwrap_or(none);
    match field {
        "to_bow" => Some(json!(size.ahead_m)),
        "to_stern" => Some(json!(size.astern_m)),
        "to_port" => Some(json!(size.port_m)),
        "to_starboard" => Some(json!(size.starboard_m)),
        _ => None,
    }
}

fn of_time(time: jiff::Timestamp, field: &str) -> Option<Value> {
    let at = jiff::tz::Offset::UTC.to_datetime(time);
    match field {
        "year" => Some(json!(at.year())),
        "month" => Some(json!(at.month())),
        "day" => Some(json!(at.day())),
        "hour" => Some(json!(at.hour())),
        "minute" => Some(json!(at.minute())),
        "second" => Some(json!(at.second())),
        _ => None,
    }
}

fn second(second: FixSecond) -> Value {
    json!(match second {
        FixSecond::At(second) => second,
        FixSecond::Unknown => 60,
        FixSecond::Manual => 61,
        FixSecond::DeadReckoned => 62,
        FixSecond::Inoperative => 63,
    })
}

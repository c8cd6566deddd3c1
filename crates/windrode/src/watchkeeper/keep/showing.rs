//! How things stand, for whoever looks on.

use std::sync::Arc;

use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use windrode_domain::units::{Bearing, Length, Speed};
use windrode_domain::watch::given::{Expected, ExpectedAt};
use windrode_domain::watch::neighbours::{NeighbourReason, VesselView};
use windrode_domain::watch::step::whereabouts::Whereabouts;

use super::Keep;
use crate::hub::{Pace, Shown};
use crate::replay::json::state_code;
use crate::watch_json;

/// How far ahead what is foretold is shown.
const AHEAD: SignedDuration = SignedDuration::from_hours(24);
/// A turn of the wind that is worth telling ahead: four points.
const SHIFT_DEG: f64 = 45.0;

impl Keep {
    /// How things stand; what changes slowly is taken from what was shown before, unless all is asked for.
    pub(crate) fn shown(&self, before: &Shown, pace: Pace, now: Timestamp) -> Shown {
        let view = self.watch.view();
        let here = view.here.map(|here| (here.at, here.place));
        let quick = Shown {
            stay: Some((self.row.id.clone(), self.row.name.clone())),
            zone: self.row.zone.clone(),
            view: watch_json::view(&view, &self.voice, &self.said),
            feeds: watch_json::feeds(self.hearing.feeds(), now),
            instruments: self.hearing.instruments(now),
            here,
            ..before.clone()
        };
        if pace == Pace::Quick {
            return quick;
        }
        let expected = self.watch.given().expected.as_ref();
        Shown {
            neighbours: Arc::new(
                self.watch.neighbours().vessels().map(|vessel| neighbour(&vessel)).collect(),
            ),
            paths: Arc::new(self.wakes.view(now)),
            density: Arc::new(self.watch.whereabouts().map_or(Value::Null, |it| density(&it))),
            expected: Arc::new(expected.map_or(Value::Null, |expected| foretold(expected, now))),
            next: Arc::new(expected.and_then(|expected| next(expected, now)).unwrap_or(Value::Null)),
            ..quick
        }
    }
}

fn neighbour(vessel: &VesselView) -> Value {
    let place = |at: windrode_domain::position::Position| json!([at.latitude_deg(), at.longitude_deg()]);
    json!({
        "mmsi": vessel.mmsi,
        "name": vessel.name,
        "state": state_code(vessel.state),
        "since": format!("{:.3}", vessel.since),
        "reasons": vessel.reasons.iter().map(NeighbourReason::code).collect::<Vec<_>>(),
        "at": place(vessel.last_seen),
        "heard": format!("{:.3}", vessel.last_heard),
        "anchor": vessel.anchor.map(|anchor| place(anchor.at)),
        "anchor_sigma_m": vessel.anchor.map(|anchor| anchor.spread.as_metres()),
        "moved_m": vessel.moved.map(|moved| moved.distance.as_metres()),
        "nearest_m": vessel.approach.map(|approach| approach.nearest.as_metres()),
        "nearest_at": vessel.approach.map(|approach| format!("{:.3}", approach.at)),
    })
}

fn density(it: &Whereabouts) -> Value {
    let within: Vec<Value> = it
        .within
        .iter()
        .map(|(share, border)| {
            let outline: Vec<[f64; 2]> = border.iter().map(|at| [at.east_m, at.north_m]).collect();
            json!({ "share": share, "outline": outline })
        })
        .collect();
    json!({
        "anchor": [it.anchor.latitude_deg(), it.anchor.longitude_deg()],
        "ellipse": {
            "long_m": it.ellipse.long.as_metres(),
            "short_m": it.ellipse.short.as_metres(),
            "along_deg": it.ellipse.along.as_degrees(),
        },
        "within": within,
        "circle_m": it.circle.as_metres(),
    })
}

/// What is still to come, the instant that holds now first.
fn ahead(expected: &Expected, now: Timestamp) -> &[ExpectedAt] {
    let first = expected.steps.partition_point(|step| step.at <= now).saturating_sub(1);
    let end = expected.steps.partition_point(|step| step.at.duration_since(now) <= AHEAD);
    expected.steps.get(first..end).unwrap_or_default()
}

fn foretold(expected: &Expected, now: Timestamp) -> Value {
    let step = |step: &ExpectedAt| {
        json!({
            "time": format!("{:.0}", step.at),
            "water_m": step.water.map(Length::as_metres),
            "wind_mean_ms": step.mean.map(Speed::as_metres_per_second),
            "wind_gust_ms": step.gust.map(Speed::as_metres_per_second),
            "wind_from_deg": step.from.map(Bearing::as_degrees),
        })
    };
    json!({
        "proved_wind_ms": expected.proved_wind.map(Speed::as_metres_per_second),
        "proved_load_n": expected.proved_load.map(windrode_domain::units::Force::as_newtons),
        "steps": ahead(expected, now).iter().map(step).collect::<Vec<_>>(),
    })
}

/// What of the foretold comes first: more wind than was proved, a turn of it, low water, or its end.
fn next(expected: &Expected, now: Timestamp) -> Option<Value> {
    let steps = ahead(expected, now);
    let first = steps.first()?;
    let told = |code: &str, at: Timestamp, value: Option<f64>| json!({ "code": code, "time": format!("{at:.0}"), "value": value });
    let over = |step: &&ExpectedAt| match (step.gust, expected.proved_wind) {
        (Some(gust), Some(proved)) => proved < gust,
        _ => false,
    };
    let turned = |step: &&ExpectedAt| match (first.from, step.from) {
        (Some(before), Some(after)) => SHIFT_DEG <= before.to(after).abs().as_degrees(),
        _ => false,
    };
    let later = || steps.iter().skip(1);
    let low = steps.windows(3).find_map(|three| match three {
        [a, b, c] if b.water? < a.water? && b.water? <= c.water? && now < b.at => Some(b),
        _ => None,
    });
    let all = [
        later()
            .find(over)
            .map(|step| ("wind_over_proved", step.at, step.gust.map(Speed::as_metres_per_second))),
        later().find(turned).map(|step| ("wind_shift", step.at, step.from.map(Bearing::as_degrees))),
        low.map(|step| ("low_water", step.at, step.water.map(Length::as_metres))),
        expected.steps.last().filter(|last| now < last.at).map(|last| ("forecast_ends", last.at, None)),
    ];
    let soonest = all.into_iter().flatten().min_by_key(|&(_, at, _)| at)?;
    Some(told(soonest.0, soonest.1, soonest.2))
}

//! The operating characteristic: rows by case and kind of night, columns by who watched.

use serde::Serialize;
use windrode_domain::simulate::Family;

use super::figures::{Rate, Spread};
use super::limit::SteadyDrag;
use super::member::Anchor;
use super::{Hours, Lived, MARGINS_M, NeighbourHours};
use crate::alarm_score::Score;

/// One case and one kind of night, or all quiet kinds together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Row {
    /// The case.
    pub(crate) case: String,
    /// The kind; `stress-mix` for all the quiet kinds together.
    pub(crate) family: &'static str,
    /// How many nights.
    pub(crate) nights: u32,
    /// Hours that were scored before any drag.
    pub(crate) quiet_hours: f64,
    /// How many in which the anchor dragged.
    pub(crate) drags: u32,
    /// How many in which it gave and held again: they are left out of the drags.
    pub(crate) gave: u32,
    /// Metres before which a steady drag cannot be called by anybody, in the middle of the receivers' noise; `None` of
    /// other drags and of none.
    pub(crate) limit_m: Option<f64>,
    /// The watch's median over that.
    pub(crate) over_limit: Option<f64>,
    /// Numbers of the nights in which the watch rang falsely.
    pub(crate) false_nights: Vec<u32>,
    /// Numbers of the nights whose drag it missed.
    pub(crate) missed_nights: Vec<u32>,
    /// Share of the quiet hours for which each word stood.
    pub(crate) word_share: WordShare,
    /// Who watched, and what came of it.
    pub(crate) watchers: Vec<Watcher>,
    /// Of a vessel near by: her hours, apart by how hard she lay to her chain; `None` of our own boat.
    pub(crate) neighbour: Option<NeighbourRow>,
}

/// Hours of a vessel near by.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct NeighbourRow {
    /// The load at her bow was 0.7 and more of what draws her chain straight.
    pub(crate) loaded: HoursRow,
    /// It was less.
    pub(crate) other: HoursRow,
}

/// Hours, and what was said in them.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct HoursRow {
    /// Hours, of all nights together.
    pub(crate) hours: f64,
    /// Share of them in which a word was said and not *cannot tell*; `None` of no hours.
    pub(crate) told_share: Option<f64>,
    /// Calls of dragging or drifting while the anchor lay.
    pub(crate) false_calls: u32,
    /// The same in a hundred vessel-nights of ten hours.
    pub(crate) false_per_100: Option<f64>,
}

/// Shares of time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct WordShare {
    /// Holding.
    pub(crate) holding: f64,
    /// Doubtful.
    pub(crate) doubtful: f64,
    /// Dragging.
    pub(crate) dragging: f64,
    /// Blind.
    pub(crate) blind: f64,
    /// Under way.
    pub(crate) under_way: f64,
}

/// One who watched.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Watcher {
    /// `watch`, `backstop` (the circle that the watch carries) or `circle`.
    pub(crate) who: &'static str,
    /// The circle's margin.
    pub(crate) margin_m: Option<f64>,
    /// Alarms before any drag.
    pub(crate) false_alarms: Option<Rate>,
    /// Drags that were not called.
    pub(crate) missed: Option<u32>,
    /// Metres that the anchor had gone at the alarm.
    pub(crate) gone_m: Option<Spread>,
    /// Seconds since it began to go.
    pub(crate) after_s: Option<Spread>,
}

/// The rows of a case: each kind of night in the order of the kinds, then the quiet ones together.
pub(crate) fn rows(case: &str, nights: &[Lived]) -> Vec<Row> {
    let mut rows: Vec<Row> = Family::ALL
        .into_iter()
        .filter_map(|family| {
            let of_family: Vec<&Lived> = nights.iter().filter(|night| night.family == family).collect();
            (!of_family.is_empty()).then(|| row(case, family.word(), &of_family))
        })
        .collect();
    let quiet: Vec<&Lived> = nights.iter().filter(|night| Family::QUIET.contains(&night.family)).collect();
    if 1 < rows.len() && !quiet.is_empty() {
        rows.push(row(case, "stress-mix", &quiet));
    }
    rows
}

/// The least margin with which the plain circle cries no more often than the watch, on the quiet nights of a case;
/// `None` where it has none, or cries more often with every margin.
pub(crate) fn tuned_margin_m(case: &str, rows: &[Row]) -> Option<f64> {
    let quiet = rows.iter().rfind(|row| row.case == case && row.drags == 0 && row.gave == 0)?;
    let watch = quiet.watchers.first()?.false_alarms?.count;
    let circles = quiet.watchers.iter().filter(|watcher| watcher.who == "circle");
    circles
        .filter(|circle| circle.false_alarms.is_some_and(|rate| rate.count <= watch))
        .find_map(|circle| circle.margin_m)
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn row(case: &str, family: &'static str, nights: &[&Lived]) -> Row {
    let with = |anchor: Anchor| count(nights.iter().filter(|night| night.anchor == anchor).count());
    let numbers = |which: &dyn Fn(&Lived) -> bool| -> Vec<u32> {
        nights.iter().filter(|night| which(night)).map(|night| night.number).collect()
    };
    let neighbour = neighbour(nights);
    let mut watchers = vec![watcher("watch", None, nights, |night| &night.watch)];
    let circles = if neighbour.is_some() { &[][..] } else { &MARGINS_M[..] };
    if neighbour.is_none() {
        watchers.push(watcher("backstop", None, nights, |night| &night.backstop));
    }
    for (index, margin_m) in circles.iter().copied().enumerate() {
        watchers.push(watcher("circle", Some(margin_m), nights, |night| {
            // The margins and the scores are arrays of one length.
            night.circles.get(index).unwrap_or(&night.backstop)
        }));
    }
    let steady: Vec<SteadyDrag> = nights.iter().filter_map(|night| night.steady).collect();
    let own = neighbour.is_none().then(|| SteadyDrag::middle(&steady)).flatten();
    let limit_m = own.and_then(|drag| drag.least_m());
    let median_m = watchers.first().and_then(|watch| watch.gone_m?.median);
    Row {
        case: case.to_owned(),
        family,
        nights: count(nights.len()),
        quiet_hours: nights.iter().map(|night| night.quiet_h).sum(),
        drags: with(Anchor::Dragged),
        gave: with(Anchor::Gave),
        limit_m,
        over_limit: limit_m.zip(median_m).map(|(limit_m, median_m)| median_m / limit_m),
        false_nights: numbers(&|night| 0 < night.watch.false_alarms),
        missed_nights: numbers(&|night| night.watch.missed),
        word_share: word_share(nights),
        watchers,
        neighbour,
    }
}

fn neighbour(nights: &[&Lived]) -> Option<NeighbourRow> {
    let of: Vec<&NeighbourHours> = nights.iter().filter_map(|night| night.neighbour.as_ref()).collect();
    let sum = |which: fn(&NeighbourHours) -> &Hours| {
        let hours: f64 = of.iter().map(|night| which(night).all_h).sum();
        let told: f64 = of.iter().map(|night| which(night).told_h).sum();
        let false_calls = of.iter().map(|night| which(night).false_calls).sum();
        let any = 0.0 < hours;
        HoursRow {
            hours,
            told_share: any.then(|| told / hours),
            false_calls,
            false_per_100: any.then(|| f64::from(false_calls) * 1000.0 / hours),
        }
    };
    (!of.is_empty())
        .then(|| NeighbourRow { loaded: sum(|night| &night.loaded), other: sum(|night| &night.other) })
}

fn word_share(nights: &[&Lived]) -> WordShare {
    let mut sums = [0.0; 5];
    for night in nights {
        for (sum, seconds) in sums.iter_mut().zip(night.words_s) {
            *sum += seconds;
        }
    }
    let all: f64 = sums.iter().sum::<f64>().max(1.0);
    let [holding, doubtful, dragging, blind, under_way] = sums.map(|sum| sum / all);
    WordShare { holding, doubtful, dragging, blind, under_way }
}

fn watcher(
    who: &'static str,
    margin_m: Option<f64>,
    nights: &[&Lived],
    score: impl Fn(&Lived) -> &Score,
) -> Watcher {
    let false_alarms = nights.iter().map(|night| score(night).false_alarms).sum();
    let dragged: Vec<&Score> =
        nights.iter().filter(|night| night.anchor == Anchor::Dragged).map(|night| score(night)).collect();
    let missed = dragged.iter().filter(|score| score.missed).count();
    let any = !dragged.is_empty();
    let of_found = |value: fn(&crate::alarm_score::FoundDrag) -> f64| {
        Spread::of(dragged.iter().filter_map(|score| score.found.as_ref().map(value)).collect(), missed)
    };
    Watcher {
        who,
        margin_m,
        false_alarms: Rate::of(false_alarms, count(nights.len())),
        missed: any.then(|| count(missed)),
        gone_m: any.then(|| of_found(|found| found.gone_m)),
        after_s: any.then(|| of_found(|found| found.after_s)),
    }
}

//! The operating characteristic for programs: the shape that `docs/json.md` documents.

use serde::Serialize;

use super::Run;
use super::scenario_file::{Case, ScenarioFile};
use super::table::{self, Row};
use crate::alarm_score::CLUSTER;

/// A run.
#[derive(Serialize)]
pub(crate) struct NightsView<'a> {
    version: u32,
    seed: u64,
    nights: u32,
    protocol: ProtocolView,
    cases: Vec<CaseView<'a>>,
    rows: &'a [Row],
}

/// How it was scored.
#[derive(Serialize)]
struct ProtocolView {
    unscored_s: i64,
    cluster_s: i64,
    drag_at_least_m: f64,
}

#[expect(clippy::struct_excessive_bools, reason = "instruments that may each be there or not")]
#[derive(Serialize)]
struct CaseView<'a> {
    name: &'a str,
    families: Vec<&'static str>,
    variation: Option<&'a str>,
    hours: Option<f64>,
    heading: bool,
    wind: bool,
    doppler: bool,
    depth: bool,
    drop: bool,
    rode: bool,
    fix_interval_s: u32,
    noise: f64,
    drag_speed_kn: Option<f64>,
    neighbour: Option<&'static str>,
    ship: bool,
    tuned_margin_m: Option<f64>,
}

impl<'a> NightsView<'a> {
    /// Of a run and its rows.
    pub(crate) fn of(file: &'a ScenarioFile, run: Run, rows: &'a [Row]) -> Self {
        Self {
            version: 1,
            seed: run.seed,
            nights: run.nights,
            protocol: ProtocolView {
                unscored_s: super::member::UNSCORED.as_secs(),
                cluster_s: CLUSTER.as_secs(),
                drag_at_least_m: super::member::DRAG_AT_LEAST_M,
            },
            cases: file.cases.iter().map(|case| CaseView::of(case, rows)).collect(),
            rows,
        }
    }
}

impl<'a> CaseView<'a> {
    fn of(case: &'a Case, rows: &[Row]) -> Self {
        let carried = case.carried;
        Self {
            name: &case.name,
            families: case.families.iter().map(|family| family.word()).collect(),
            variation: case.variation.as_ref().map(|(word, _)| *word),
            hours: case.hours,
            heading: carried.heading,
            wind: carried.wind,
            doppler: carried.doppler,
            depth: carried.depth,
            drop: carried.drop,
            rode: carried.rode,
            fix_interval_s: case.fix_interval_s,
            noise: case.noise,
            drag_speed_kn: case.drag_speed.map(windrode_domain::units::Speed::as_knots),
            neighbour: case.neighbour.map(|(word, _)| word),
            ship: case.ship,
            tuned_margin_m: table::tuned_margin_m(&case.name, rows),
        }
    }
}

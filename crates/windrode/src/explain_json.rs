//! Where every number of one instant comes from, as JSON: the shape of `docs/json.md`.

use jiff::Timestamp;
use serde::Serialize;
use windrode_domain::plan::explain::Figure;

use crate::sheet_json::time;

/// An instant explained.
#[derive(Serialize)]
pub(crate) struct ExplainedView {
    version: u32,
    stay: String,
    time: String,
    figures: Vec<FigureView>,
}

#[derive(Serialize)]
struct FigureView {
    name: &'static str,
    /// `null` where the number is none: it could not be said.
    value: Option<f64>,
    unit: &'static str,
    origin: &'static str,
    formula: &'static str,
    inputs: Vec<InputView>,
    source: String,
}

#[derive(Serialize)]
struct InputView {
    name: &'static str,
    value: Option<f64>,
    unit: &'static str,
}

impl ExplainedView {
    /// Of an instant's figures.
    pub(crate) fn of(stay: &str, at: Timestamp, figures: Vec<Figure>) -> Self {
        let figures = figures.into_iter().map(FigureView::from).collect();
        Self { version: 1, stay: stay.to_owned(), time: time(at), figures }
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

impl From<Figure> for FigureView {
    fn from(figure: Figure) -> Self {
        let input = |input: windrode_domain::plan::explain::Input| InputView {
            name: input.name,
            value: finite(input.value),
            unit: input.unit,
        };
        Self {
            name: figure.name,
            value: finite(figure.value),
            unit: figure.unit,
            origin: figure.origin.word(),
            formula: figure.formula,
            inputs: figure.inputs.into_iter().map(input).collect(),
            source: figure.source,
        }
    }
}

//! Sheets of the stays that are kept, of what they would be, and of any moment in them.
//!
//! A plan is worked out once for each revision of stay and vessel and kept in memory, so that a moment costs a few
//! milliseconds. What is tried keeps nothing.

mod pictures;

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::body::Body;
use axum::extract::{Path as At, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use toml_edit::DocumentMut;
use windrode_domain::environment::forecast::{TriedWind, TriedWindError};
use windrode_domain::plan::explain::explain;
use windrode_domain::plan::inputs::Inputs;
use windrode_domain::plan::laid::Laid;
use windrode_domain::plan::moment::moment;
use windrode_domain::plan::sheet::Sheet;
use windrode_domain::plan::{glimpsed_by, planned_by};
use windrode_domain::position::Offset;
use windrode_domain::units::Angle;

use self::pictures::{MomentView, PicturesView};
use super::asked::{self, off};
use super::refusal::{Json, Refusal, written};
use super::{Server, Shared};
use crate::assemble;
use crate::changes::{self, Change, OF_VESSEL};
use crate::cli::arguments::instant;
use crate::crew_units::CrewUnits;
use crate::drawing::{Which, svg};
use crate::explain_json::ExplainedView;
use crate::files::StayAboard;
use crate::files::choices::{self, Choice};
use crate::files::shelf::{Attached, Shelf};
use crate::print_html::html;
use crate::print_pdf::pdf;
use crate::sheet_json::{SheetView, verdict_word};
use crate::store::papers::Kind;
use crate::two_threads::TwoThreads;
use crate::words::Voice;

/// Plans kept in memory: a plan of two days takes some 200 kB.
const MOST_KEPT: usize = 6;
/// How long a plan may wait for its turn.
const TURN_WITHIN: Duration = Duration::from_secs(10);

/// A plan that is kept.
#[derive(Debug)]
pub(crate) struct Plan {
    /// The stay and the vessel.
    pub(crate) aboard: StayAboard,
    /// What it is made from.
    pub(crate) inputs: Inputs,
    /// What it says.
    pub(crate) sheet: Sheet,
    laid: Option<Laid>,
    voice: Voice,
}

impl Plan {
    fn of(aboard: StayAboard, attached: &Attached) -> Result<Self, Refusal> {
        let inputs = assembled(&aboard, attached)?;
        let (sheet, laid) = planned_by(&inputs, &TwoThreads);
        Ok(Self { voice: Voice::of(&aboard), aboard, inputs, sheet, laid })
    }

    /// With another wind, and at a glimpse, as it is asked.
    fn tried(aboard: StayAboard, attached: &Attached, asked: &Tried) -> Result<Self, Refusal> {
        let inputs = assembled(&aboard, attached)?;
        let inputs = match asked.wind() {
            Some(wind) => inputs.trying_wind(wind).map_err(|error| of_wind(&error))?,
            None => inputs,
        };
        let (sheet, laid) =
            if asked.quick { glimpsed_by(&inputs, &TwoThreads) } else { planned_by(&inputs, &TwoThreads) };
        Ok(Self { voice: Voice::of(&aboard), aboard, inputs, sheet, laid })
    }

    fn view(&self, units: &Units) -> Result<SheetView, Refusal> {
        let voice = units.over(&self.voice)?;
        Ok(SheetView::of(&self.sheet, &voice, &|remedy| changes::of_remedy(remedy, &self.aboard)))
    }

    fn moment(&self, at: Timestamp) -> Result<MomentView, Refusal> {
        let span = self.inputs.span;
        let told = moment(&self.inputs, self.laid.as_ref(), &self.sheet, at);
        let told = told.ok_or_else(|| {
            Refusal::unfit(
                "time",
                format!("{at} lies outside the stay, from {} to {}", span.from(), span.to()),
            )
        })?;
        Ok(MomentView::of(&told, &self.sheet, self.inputs.boat.hull))
    }
}

fn assembled(aboard: &StayAboard, attached: &Attached) -> Result<Inputs, Refusal> {
    assemble::inputs_from(aboard, Shelf::Kept(attached)).map_err(|problems| Refusal::of_problems(&problems))
}

/// Which plan.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    stay: String,
    revision: i64,
    vessel: Option<(String, i64)>,
}

/// Plans by what they were made from.
#[derive(Debug, Default)]
pub(crate) struct Plans {
    kept: Mutex<VecDeque<(Key, Arc<Plan>)>>,
}

impl Plans {
    fn get(&self, key: &Key) -> Option<Arc<Plan>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(known, _)| known == key).map(|(_, plan)| Arc::clone(plan))
    }

    fn put(&self, key: Key, plan: Arc<Plan>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|(known, _)| known.stay != key.stay);
        kept.push_back((key, plan));
        while MOST_KEPT < kept.len() {
            kept.pop_front();
        }
    }
}

impl Server {
    /// The plan of a stay that is kept.
    ///
    /// # Errors
    /// There is no such stay, or it cannot be planned.
    pub(crate) fn plan(&self, id: &str) -> Result<Arc<Plan>, Refusal> {
        let kept = self.kept(id)?;
        let vessel = kept.vessel.as_ref().map(|vessel| (vessel.line.id.clone(), vessel.line.revision));
        let key = Key { stay: id.to_owned(), revision: kept.stay.line.revision, vessel };
        if let Some(plan) = self.plans.get(&key) {
            return Ok(plan);
        }
        let aboard = self.aboard(&kept.stay.text, kept.vessel.as_ref().map(|vessel| vessel.text.as_str()))?;
        let plan = Arc::new(Plan::of(aboard, &kept.attached)?);
        self.papers.judged(id, key.revision, verdict_word(plan.sheet.verdict))?;
        self.plans.put(key, Arc::clone(&plan));
        Ok(plan)
    }
}

/// Work on plans: a few at a time, the others wait their turn.
async fn in_turn<T: Send + 'static>(
    server: &Shared,
    work: impl FnOnce(&Server) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let turn = tokio::time::timeout(TURN_WITHIN, Arc::clone(&server.planning).acquire_owned()).await;
    let Ok(Ok(turn)) = turn else { return Err(Refusal::busy("too many plans are asked for at once")) };
    let server = Arc::clone(server);
    off(move || {
        // The turn is over when the work is, though whoever asked may be gone before.
        let _turn = turn;
        work(&server)
    })
    .await
}

fn body_of(view: &impl Serialize) -> Result<Response, Refusal> {
    let body = serde_json::to_vec(view).map_err(|error| Refusal::ours(error.to_string()))?;
    Ok(written(body.into()))
}

/// Units that a device reads, where they are not the vessel's own.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Units {
    length: Option<String>,
    speed: Option<String>,
    force: Option<String>,
}

impl Units {
    /// The voice of a stay's crew, in these units.
    fn over(&self, voice: &Voice) -> Result<Voice, Refusal> {
        let own = voice.units;
        let units = CrewUnits {
            length: unit("length", self.length.as_deref(), &choices::LENGTH_UNITS)?.unwrap_or(own.length),
            speed: unit("speed", self.speed.as_deref(), &choices::SPEED_UNITS)?.unwrap_or(own.speed),
            force: unit("force", self.force.as_deref(), &choices::FORCE_UNITS)?.unwrap_or(own.force),
        };
        Ok(Voice { units, ..voice.clone() })
    }
}

fn unit<T: Copy>(field: &str, said: Option<&str>, known: &[Choice<T>]) -> Result<Option<T>, Refusal> {
    let Some(said) = said else { return Ok(None) };
    let found = known.iter().find(|choice| choice.word == said).map(|choice| choice.is);
    let words: Vec<&str> = known.iter().map(|choice| choice.word).collect();
    found.map(Some).ok_or_else(|| Refusal::unfit(field, format!("wanted one of: {}", words.join(", "))))
}

/// The sheet.
pub(crate) async fn sheet(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(units): Query<Units>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| body_of(&server.plan(&id)?.view(&units)?)).await
}

/// The sheet as PDF.
pub(crate) async fn sheet_pdf(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(units): Query<Units>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let plan = server.plan(&id)?;
        let head = [(header::CONTENT_TYPE, "application/pdf")];
        Ok((head, pdf(&plan.sheet, &units.over(&plan.voice)?)).into_response())
    })
    .await
}

/// The sheet as a page to print.
pub(crate) async fn sheet_html(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(units): Query<Units>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let plan = server.plan(&id)?;
        let head = [
            (header::CONTENT_TYPE, "text/html; charset=utf-8"),
            // The page to print carries its style and its drawings within it, and nothing that runs.
            (
                header::CONTENT_SECURITY_POLICY,
                "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'self'; base-uri 'none'; \
                 form-action 'none'",
            ),
        ];
        Ok((head, html(&plan.sheet, &units.over(&plan.voice)?)).into_response())
    })
    .await
}

/// A drawing that is asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct WhichDrawing {
    which: String,
    length: Option<String>,
    speed: Option<String>,
    force: Option<String>,
}

/// One of the three drawings as the sheet prints it.
pub(crate) async fn drawing(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(asked): Query<WhichDrawing>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let which = Which::ALL.into_iter().find(|which| which.name() == asked.which);
        let which =
            which.ok_or_else(|| Refusal::unfit("which", "wanted above, side or along-time, one of them"))?;
        let plan = server.plan(&id)?;
        let units = Units { length: asked.length, speed: asked.speed, force: asked.force };
        let voice = units.over(&plan.voice)?;
        let head = [
            (header::CONTENT_TYPE, "image/svg+xml"),
            // It carries its style within it, and nothing that runs.
            (
                header::CONTENT_SECURITY_POLICY,
                "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'self'",
            ),
        ];
        Ok((head, svg::alone(&which.drawn(&plan.sheet, &voice))).into_response())
    })
    .await
}

/// A moment that is asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct AtTime {
    time: String,
}

impl AtTime {
    fn at(&self) -> Result<Timestamp, Refusal> {
        instant(&self.time).map_err(|why| Refusal::unfit("time", why))
    }
}

/// Where every number of one instant comes from.
pub(crate) async fn explained(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(asked): Query<AtTime>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let (plan, at) = (server.plan(&id)?, asked.at()?);
        let told = explain(&plan.inputs, at);
        let (at, told) = told.ok_or_else(|| Refusal::unfit("time", format!("{at} lies outside the stay")))?;
        body_of(&ExplainedView::of(&plan.inputs.stay, at, told))
    })
    .await
}

/// What the drawings show at one moment.
pub(crate) async fn at_moment(
    State(server): State<Shared>,
    At(id): At<String>,
    Query(asked): Query<AtTime>,
) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let at = asked.at()?;
        body_of(&server.plan(&id)?.moment(at)?)
    })
    .await
}

/// What the drawings show of the whole stay.
pub(crate) async fn drawn(State(server): State<Shared>, At(id): At<String>) -> Result<Response, Refusal> {
    in_turn(&server, move |server| {
        let plan = server.plan(&id)?;
        body_of(&PicturesView::of(&plan.sheet, plan.inputs.boat.hull))
    })
    .await
}

/// What is tried, or kept.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Tried {
    stay: Option<String>,
    #[serde(default)]
    changes: Vec<Change>,
    time: Option<String>,
    drop_moved_m: Option<[f64; 2]>,
    wind_turned_deg: Option<f64>,
    wind_times: Option<f64>,
    #[serde(default)]
    units: Units,
    /// While a finger drags: remedies that take a search are left out.
    #[serde(default)]
    quick: bool,
    revision: Option<i64>,
}

impl Tried {
    /// The wind that is tried, if one is.
    fn wind(&self) -> Option<TriedWind> {
        let (turned, times) = (self.wind_turned_deg, self.wind_times);
        let tried = |turned_deg, times| TriedWind { turned: Angle::degrees(turned_deg), times };
        (turned.is_some() || times.is_some()).then(|| tried(turned.unwrap_or(0.0), times.unwrap_or(1.0)))
    }
}

/// A wind that is none, at the field that made it so.
fn of_wind(error: &TriedWindError) -> Refusal {
    let field = match error {
        TriedWindError::Turned { .. } => "wind_turned_deg",
        TriedWindError::Times { .. } | TriedWindError::Beyond(_) => "wind_times",
    };
    Refusal::unfit(field, error.to_string())
}

/// Changes at a time: a whole form has fewer fields.
const MOST_CHANGES: usize = 500;

/// The texts of stay and vessel with changes made in them.
struct Changed {
    stay: String,
    vessel: Option<String>,
}

fn changed(stay: &str, vessel: Option<&str>, changes: &[Change]) -> Result<Changed, Refusal> {
    if MOST_CHANGES < changes.len() {
        return Err(Refusal::unfit("changes", format!("wanted {MOST_CHANGES} at most")));
    }
    let read = |text: &str| text.parse::<DocumentMut>().map_err(|error| Refusal::ours(error.to_string()));
    let mut stay = read(stay)?;
    let mut vessel = vessel.map(read).transpose()?;
    for change in changes {
        let made = match (change.field.strip_prefix(OF_VESSEL), &mut vessel) {
            (Some(field), Some(vessel)) => changes::make(vessel, field, &change.value),
            (Some(_), None) => Err("asks for a vessel that is not kept here".to_owned()),
            (None, _) => changes::make(&mut stay, &change.field, &change.value),
        };
        made.map_err(|why| Refusal::unfit(&change.field, why))?;
    }
    Ok(Changed { stay: stay.to_string(), vessel: vessel.map(|vessel| vessel.to_string()) })
}

#[derive(Serialize)]
struct TriedView {
    version: u32,
    quick: bool,
    sheet: SheetView,
    moment: Option<MomentView>,
    pictures: PicturesView,
}

/// What a stay would be with some changes; keeps nothing.
pub(crate) async fn tried(State(server): State<Shared>, body: Body) -> Result<Response, Refusal> {
    let asked: Tried = asked::json(body).await?;
    in_turn(&server, move |server| {
        let id = asked.stay.as_deref().ok_or_else(|| Refusal::unfit("stay", "wanted, the id of a stay"))?;
        let kept = server.kept(id)?;
        let vessel = kept.vessel.as_ref().map(|vessel| vessel.text.as_str());
        let mut changes = asked.changes.clone();
        if let Some([east_m, north_m]) = asked.drop_moved_m {
            if !(east_m.hypot(north_m) <= FARTHEST_M) {
                return Err(Refusal::unfit("drop_moved_m", format!("wanted metres, {FARTHEST_M} at most")));
            }
            let before = server.aboard(&kept.stay.text, vessel)?;
            changes.extend(changes::moved(&before.stay, Offset { east_m, north_m }));
        }
        let texts = changed(&kept.stay.text, vessel, &changes)?;
        let aboard = server.aboard(&texts.stay, texts.vessel.as_deref())?;
        let plan = Plan::tried(aboard, &kept.attached, &asked)?;
        let at = asked.time.clone().map(|time| AtTime { time }.at()).transpose()?;
        // A stay that was made shorter may no longer hold the moment that was looked at.
        let at = at.filter(|at| plan.inputs.span.contains(*at));
        body_of(&TriedView {
            version: 1,
            quick: asked.quick,
            moment: at.map(|at| plan.moment(at)).transpose()?,
            pictures: PicturesView::of(&plan.sheet, plan.inputs.boat.hull),
            sheet: plan.view(&asked.units)?,
        })
    })
    .await
}

/// An anchor that is moved farther lies in another bay.
const FARTHEST_M: f64 = 20_000.0;

/// Keeps changes of a stay.
pub(crate) async fn apply(
    State(server): State<Shared>,
    At(id): At<String>,
    body: Body,
) -> Result<Json, Refusal> {
    let asked: Tried = asked::json(body).await?;
    in_turn(&server, move |server| {
        let revision =
            asked.revision.ok_or_else(|| Refusal::bad("revision: wanted, the one that was read last"))?;
        if asked.wind().is_some() {
            let why = "is tried only: a forecast is not changed by what is wished for";
            return Err(Refusal::unfit("wind_turned_deg, wind_times", why));
        }
        if let Some(change) = asked.changes.iter().find(|change| change.field.starts_with(OF_VESSEL)) {
            let why = "is the vessel's: change her own document";
            return Err(Refusal::at(StatusCode::UNPROCESSABLE_ENTITY, &change.field, why));
        }
        let kept = server.kept(&id)?;
        if kept.stay.line.revision != revision {
            return Err(Refusal::changed(kept.stay.line.revision));
        }
        let mut changes = asked.changes.clone();
        if let Some([east_m, north_m]) = asked.drop_moved_m {
            let before = server.aboard(&kept.stay.text, None)?;
            changes.extend(changes::moved(&before.stay, Offset { east_m, north_m }));
        }
        let texts = changed(&kept.stay.text, None, &changes)?;
        server.replace(Kind::Stay, &id, revision, texts.stay)
    })
    .await
}

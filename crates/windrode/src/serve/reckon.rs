//! Whatever else the command line computes, over HTTP: rode, tide, wind, check, replay, nights,
//! calibration.
//!
//! The answers are those of the commands, worked out by the same code. What takes minutes is done by a program of its
//! own, at a low priority, one at a time, and is stopped when whoever asked goes away: an alarm never waits for it.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::{Query, State};
use axum::response::Response;
use serde::Deserialize;
use serde_json::{Value, json};

use super::asked::{self, MOST_FILE_BYTES, MOST_JSON_BYTES, off};
use super::documents;
use super::refusal::{Json, Refusal, of_document, written};
use super::{Server, Shared};
use crate::cli::check::understood;
use crate::cli::{self, arguments, rode, wind};
use crate::clock;
use crate::files::source::Problem;
use crate::files::stay::read_stay;
use crate::files::vessel::read_vessel;
use crate::files::{self, FileKind};
use crate::forecast_file;
use crate::store::papers::Kind;

/// The longest that a heavy job may take.
const JOB_WITHIN: Duration = Duration::from_mins(10);
/// How often a heavy job is looked at.
const LOOK: Duration = Duration::from_millis(50);
/// Nights that may be asked for at a time.
const MOST_NIGHTS: u32 = 50;
/// Simulated stays that may be calibrated by at a time.
const MOST_STAYS: u32 = 100;
/// The largest answer of a job that is passed on.
const MOST_ANSWER_BYTES: u64 = 50_000_000;

/// How rodes lie.
pub(crate) async fn rodes(body: Body) -> Result<Response, Refusal> {
    let bytes = asked::whole(body, MOST_JSON_BYTES).await?;
    off(move || {
        let answers = rode::answers(&bytes).map_err(Refusal::bad)?;
        let body = serde_json::to_vec(&answers).map_err(|error| Refusal::ours(error.to_string()))?;
        Ok(written(body.into()))
    })
    .await
}

/// A query, checked for names that mean nothing here.
fn named(query: BTreeMap<String, String>, known: &[&str]) -> Result<BTreeMap<String, String>, Refusal> {
    match query.keys().find(|name| !known.contains(&name.as_str())) {
        Some(name) => Err(Refusal::unfit(name, format!("means nothing here (wanted: {})", known.join(", ")))),
        None => Ok(query),
    }
}

/// A command's arguments of a query; a value can never be taken for a flag.
fn flags(query: &BTreeMap<String, String>) -> Vec<String> {
    query.iter().map(|(name, value)| format!("--{name}={value}")).collect()
}

async fn of_command(command: &'static str, flags: Vec<String>) -> Result<Response, Refusal> {
    off(move || {
        let words: Vec<String> =
            [vec![command.to_owned(), "--json".to_owned()], flags].into_iter().flatten().collect();
        let answer = cli::answered(&words).map_err(|problems| of_flags(&problems))?;
        Ok(written(answer.into()))
    })
    .await
}

/// Problems of a command's flags are the request's: `--to: …`.
fn of_flags(problems: &[String]) -> Refusal {
    let plain: Vec<String> = problems.iter().map(|text| text.trim_start_matches("--").to_owned()).collect();
    Refusal::of_texts(&plain)
}

/// A tide, or a stream, between two times.
pub(crate) async fn tide(Query(query): Query<BTreeMap<String, String>>) -> Result<Response, Refusal> {
    let query = named(query, &["station", "from", "to", "every", "convention"])?;
    for wanted in ["station", "from", "to"] {
        if !query.contains_key(wanted) {
            return Err(Refusal::unfit(wanted, "is missing"));
        }
    }
    of_command("tide", flags(&query)).await
}

/// Stations by place or by name.
pub(crate) async fn stations(Query(query): Query<BTreeMap<String, String>>) -> Result<Response, Refusal> {
    let query = named(query, &["near", "search"])?;
    if query.len() != 1 {
        return Err(Refusal::bad("wanted near=LAT,LON or search=NAME, one of them"));
    }
    of_command("tide", flags(&query)).await
}

/// Where a forecast is asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct AtPlace {
    at: String,
}

/// What a forecast file says at a place.
pub(crate) async fn winds(Query(asked): Query<AtPlace>, body: Body) -> Result<Response, Refusal> {
    let place = arguments::position(&asked.at).map_err(|why| Refusal::unfit("at", why))?;
    let bytes = asked::whole(body, MOST_FILE_BYTES).await?;
    off(move || {
        let forecast = forecast_file::forecast(&bytes, place).map_err(|all| Refusal::of_texts(&all))?;
        let body =
            serde_json::to_vec(&wind::steps(&forecast)).map_err(|error| Refusal::ours(error.to_string()))?;
        Ok(written(body.into()))
    })
    .await
}

/// A document to be checked.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Unchecked {
    text: String,
}

/// What is wrong with a document, or what is understood of it; nothing is kept.
pub(crate) async fn check(State(server): State<Shared>, body: Body) -> Result<Json, Refusal> {
    let Unchecked { text } = asked::json(body).await?;
    off(move || {
        let kind = files::kind_of(&documents::source(Kind::Stay, text.clone()));
        let (word, outcome) = match kind {
            Some(FileKind::Vessel) => {
                let vessel = read_vessel(&documents::source(Kind::Vessel, text));
                ("vessel", vessel.map(|vessel| understood::vessel(&vessel)))
            }
            Some(FileKind::Stay) => ("stay", understood_stay(&server, &text)?),
            None => return Err(Refusal::unfit("text", "is neither a vessel nor a stay")),
        };
        let (understood, problems) = match outcome {
            Ok(text) => (json!(text), Vec::new()),
            Err(problems) => (Value::Null, problems),
        };
        let problems: Vec<Value> = problems.iter().map(of_document).collect();
        Ok(Json(json!({ "version": 1, "kind": word, "understood": understood, "problems": problems })))
    })
    .await
}

fn understood_stay(server: &Server, text: &str) -> Result<Result<String, Vec<Problem>>, Refusal> {
    let stay = read_stay(&documents::source(Kind::Stay, text.to_owned()));
    let vessel = match &stay {
        Ok(stay) => Some(server.vessel_of(stay)?),
        Err(_) => None,
    };
    Ok(files::stay_aboard(stay, vessel).map(|aboard| understood::stay(&aboard)))
}

/// A folder that is gone with the job.
struct Folder(PathBuf);

impl Folder {
    fn new(server: &Server) -> Result<Self, Refusal> {
        let number = server.job.fetch_add(1, Ordering::AcqRel);
        let path = server.directory.join(format!("job-{}-{number}", std::process::id()));
        fs::create_dir_all(&path).map_err(|error| Refusal::busy(format!("no room for a job: {error}")))?;
        Ok(Self(path))
    }

    fn put(&self, name: &str, bytes: &[u8]) -> Result<String, Refusal> {
        let path = self.0.join(name);
        fs::write(&path, bytes).map_err(|error| Refusal::busy(format!("no room for a job: {error}")))?;
        Ok(path.display().to_string())
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed now is removed with the data directory.
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Tells a job that whoever asked for it is gone.
struct Asker(Arc<AtomicBool>);

impl Drop for Asker {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Release);
    }
}

/// One heavy job at a time, by a program of its own.
async fn job(server: Shared, folder: Folder, words: Vec<String>) -> Result<Response, Refusal> {
    let busy = || Refusal::busy("another long reckoning is being done: one at a time");
    let turn = Arc::clone(&server.heavy).try_acquire_owned().map_err(|_| busy())?;
    let gone = Arc::new(AtomicBool::new(false));
    let asker = Asker(Arc::clone(&gone));
    let answer = off(move || {
        let _turn = turn;
        run(&folder.0, &words, &gone)
    })
    .await;
    drop(asker);
    answer
}

fn run(folder: &Path, words: &[String], gone: &AtomicBool) -> Result<Response, Refusal> {
    let ours = |error: std::io::Error| Refusal::ours(error.to_string());
    let (out, err) = (folder.join("out"), folder.join("err"));
    let program = std::env::current_exe().map_err(ours)?;
    let start = |mut command: Command| -> std::io::Result<Child> {
        command
            .args(words)
            .stdin(Stdio::null())
            .stdout(File::create(&out)?)
            .stderr(File::create(&err)?)
            .spawn()
    };
    let mut nice = Command::new("nice");
    nice.args(["-n", "10"]).arg(&program);
    let mut child = start(nice).or_else(|_| start(Command::new(&program))).map_err(ours)?;
    let begun = clock::stopwatch();
    let ended = loop {
        if let Some(ended) = child.try_wait().map_err(ours)? {
            break ended;
        }
        if gone.load(Ordering::Acquire) || JOB_WITHIN < begun.elapsed() {
            // It may have ended this instant.
            let _ = child.kill();
            let _ = child.wait();
            return Err(Refusal::busy(format!("stopped after {} s", begun.elapsed().as_secs())));
        }
        thread::sleep(LOOK);
    };
    match ended.code() {
        // 1 is an answer that is a warning.
        Some(0 | 1) => {
            if MOST_ANSWER_BYTES < fs::metadata(&out).map_err(ours)?.len() {
                return Err(Refusal::unfit("", "the answer is too long to be sent"));
            }
            Ok(written(Bytes::from(fs::read(&out).map_err(ours)?)))
        }
        Some(2) => {
            let told = fs::read_to_string(&err).unwrap_or_default();
            let folder = format!("{}/", folder.display());
            let lines: Vec<String> = told
                .lines()
                .map(|line| line.trim_start_matches("windrode: ").replace(&folder, "").replace("--", ""))
                .collect();
            Err(Refusal::of_texts(&lines))
        }
        _ => Err(Refusal::ours("the reckoning failed")),
    }
}

/// A recorded night through the watch.
pub(crate) async fn replay(
    State(server): State<Shared>,
    Query(query): Query<BTreeMap<String, String>>,
    body: Body,
) -> Result<Response, Refusal> {
    let mut query = named(query, &["vessel", "drop", "rode", "depth", "segment", "neighbours"])?;
    let bytes = asked::whole(body, MOST_FILE_BYTES).await?;
    let folder = Folder::new(&server)?;
    let mut words = vec!["replay".to_owned(), folder.put("recording", &bytes)?, "--json".to_owned()];
    if let Some(id) = query.remove("vessel") {
        let vessel = server.papers.document(Kind::Vessel, &id)?;
        let vessel = vessel.ok_or_else(|| Refusal::unfit("vessel", "is none that is kept here"))?;
        words.push(format!("--vessel={}", folder.put("vessel.toml", vessel.text.as_bytes())?));
    }
    match query.remove("neighbours").as_deref() {
        Some("true") => words.push("--neighbours".to_owned()),
        None | Some("false") => {}
        Some(_) => return Err(Refusal::unfit("neighbours", "wanted true or false")),
    }
    words.extend(flags(&query));
    job(server, folder, words).await
}

/// Nights that are asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WantedNights {
    scenario: String,
    nights: u32,
    seed: u64,
}

/// A scenario may name a recording beside it; here nothing is beside it, and nothing is looked for.
fn names_no_file(scenario: &str) -> Result<(), Refusal> {
    let table: toml::Table =
        scenario.parse().map_err(|error| Refusal::unfit("scenario", format!("is not TOML: {error}")))?;
    let mut open: Vec<&toml::Value> = table.values().collect();
    let mut keys: Vec<&String> = table.keys().collect();
    while let Some(value) = open.pop() {
        match value {
            toml::Value::Table(table) => {
                keys.extend(table.keys());
                open.extend(table.values());
            }
            toml::Value::Array(list) => open.extend(list),
            _ => {}
        }
    }
    if keys.into_iter().any(|key| key == "recorded_noise") {
        return Err(Refusal::unfit("scenario", "names recorded_noise, a file (leave it out)"));
    }
    Ok(())
}

/// Simulated nights.
pub(crate) async fn nights(State(server): State<Shared>, body: Body) -> Result<Response, Refusal> {
    let asked: WantedNights = asked::json(body).await?;
    if !(1..=MOST_NIGHTS).contains(&asked.nights) {
        return Err(Refusal::unfit("nights", format!("wanted from 1 to {MOST_NIGHTS}")));
    }
    names_no_file(&asked.scenario)?;
    let folder = Folder::new(&server)?;
    let scenario = folder.put("scenario.toml", asked.scenario.as_bytes())?;
    let words = [
        "nights".to_owned(),
        format!("--scenario={scenario}"),
        format!("--nights={}", asked.nights),
        format!("--seed={}", asked.seed),
        "--threads=1".to_owned(),
        "--json".to_owned(),
    ];
    job(server, folder, words.into()).await
}

/// Stays that are asked for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WantedStays {
    stays: u32,
    #[serde(default)]
    from: u32,
    seed: u64,
}

/// Simulated stays, planned and lived: whether the sheet is honest.
pub(crate) async fn calibration(State(server): State<Shared>, body: Body) -> Result<Response, Refusal> {
    let asked: WantedStays = asked::json(body).await?;
    if !(1..=MOST_STAYS).contains(&asked.stays) {
        return Err(Refusal::unfit("stays", format!("wanted from 1 to {MOST_STAYS}")));
    }
    let words = [
        "calibration".to_owned(),
        format!("--stays={}", asked.stays),
        format!("--from={}", asked.from),
        format!("--seed={}", asked.seed),
        "--threads=1".to_owned(),
        "--json".to_owned(),
    ];
    let folder = Folder::new(&server)?;
    job(server, folder, words.into()).await
}

/// A tide by the crew's own harmonic constants, which come as the body.
pub(crate) async fn own_tide(
    State(server): State<Shared>,
    Query(query): Query<BTreeMap<String, String>>,
    body: Body,
) -> Result<Response, Refusal> {
    let query = named(query, &["from", "to", "every", "convention"])?;
    for wanted in ["from", "to"] {
        if !query.contains_key(wanted) {
            return Err(Refusal::unfit(wanted, "is missing"));
        }
    }
    let bytes = asked::whole(body, MOST_FILE_BYTES).await?;
    let folder = Folder::new(&server)?;
    let mut words = vec!["tide".to_owned(), format!("--constants={}", folder.put("constants.json", &bytes)?)];
    words.extend(flags(&query));
    words.push("--json".to_owned());
    job(server, folder, words).await
}

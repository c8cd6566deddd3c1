//! The crew of the invented boat: what they do on deck they say through the same API as any device.
//!
//! They keep the vessel and the plan, take the watch when the anchor is let go, tell that it is aweigh and end the
//! watch once she is well away. They acknowledge nothing: that is left to whoever looks on.

use std::sync::Arc;
use std::thread;
use std::time::Duration;

use serde_json::{Value, json};
use windrode_domain::simulate::voyage::{Happening, Phase};

use super::{Afloat, Now};
use crate::clock;

/// They look up so often.
const LOOKS_UP: Duration = Duration::from_millis(50);
/// A server that does not answer by then is not there.
const ANSWERS_WITHIN: Duration = Duration::from_secs(30);

/// The files of the stay, as the examples hold them.
#[derive(Clone, Debug)]
pub(crate) struct Papers {
    /// The vessel's.
    pub(crate) vessel: String,
    /// The stay's.
    pub(crate) stay: String,
    /// How the stay names its vessel.
    pub(crate) named: String,
}

/// The crew, at a server.
#[derive(Clone, Debug)]
struct Hands {
    agent: ureq::Agent,
    origin: String,
}

/// Puts the crew aboard; a word of what they do goes to `told`.
///
/// # Errors
/// The system gives no thread.
pub(crate) fn aboard(
    afloat: Arc<Afloat>,
    origin: String,
    papers: Papers,
    told: impl Fn(&str) + Send + 'static,
) -> std::io::Result<()> {
    let agent = crate::ring::webhook::agent(Duration::from_secs(10));
    thread::Builder::new().name("hands".to_owned()).spawn(move || {
        let hands = Hands { agent, origin };
        if let Err(why) = hands.live(&afloat, &papers, &told) {
            told(&format!("the invented crew can do no more: {why}"));
        }
    })?;
    Ok(())
}

impl Hands {
    fn live(&self, afloat: &Afloat, papers: &Papers, told: &impl Fn(&str)) -> Result<(), String> {
        self.wait_for_server()?;
        let vessel = self.post("/vessels", &json!({ "text": papers.vessel }))?;
        let vessel = vessel["id"].as_str().ok_or("the vessel has no id")?.to_owned();
        let text = papers.stay.replace(&papers.named, &vessel);
        let stay = self.post("/stays", &json!({ "text": text }))?;
        let stay = stay["id"].as_str().ok_or("the stay has no id")?.to_owned();
        told("she comes into the bay under engine");
        let now = until(afloat, |now| now.let_go().is_some());
        let at = [now.anchor.latitude_deg(), now.anchor.longitude_deg()];
        self.post("/watch", &json!({ "stay": stay, "drop": at }))?;
        told("the anchor is let go, and the watch is taken");
        until(afloat, |now| now.phase == Phase::Lying);
        told("the anchor is set; she lies to it, the engine is stopped");
        until(afloat, |now| now.happened.iter().any(|it| matches!(it.1, Happening::Aweigh)));
        self.post("/watch/words", &json!({ "line": "aweigh" }))?;
        told("the anchor is aweigh");
        until(afloat, |now| now.phase == Phase::Gone);
        self.post("/watch/words", &json!({ "line": "end" }))?;
        told("she has left the bay: the play is over. Stop it with Ctrl-C, or look round.");
        Ok(())
    }

    fn wait_for_server(&self) -> Result<(), String> {
        let begun = clock::stopwatch();
        while self.agent.get(format!("{}/api/v1/me", self.origin)).call().is_err() {
            if ANSWERS_WITHIN < begun.elapsed() {
                return Err("the server does not answer".to_owned());
            }
            thread::sleep(LOOKS_UP);
        }
        Ok(())
    }

    fn post(&self, path: &str, body: &Value) -> Result<Value, String> {
        let asked = self.agent.post(format!("{}/api/v1{path}", self.origin));
        let asked = asked.header("content-type", "application/json").header("origin", &self.origin);
        let mut answer = asked.send(body.to_string()).map_err(|error| format!("{path}: {error}"))?;
        let text = answer.body_mut().read_to_string().map_err(|error| format!("{path}: {error}"))?;
        serde_json::from_str(&text).map_err(|error| format!("{path}: {error}"))
    }
}

/// Waits until the play is so far.
fn until(afloat: &Afloat, is: impl Fn(&Now) -> bool) -> Now {
    loop {
        let now = afloat.now();
        if is(&now) {
            return now;
        }
        thread::sleep(LOOKS_UP);
    }
}

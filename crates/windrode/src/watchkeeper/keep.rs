//! What the keeper does with what it hears: the watch is stepped, what came of it is put on disk, and only then is it
//! told, rung, posted and answered.
//!
//! No clock is read here and nothing is rung here: time comes in, deeds come out, so that a month can be kept in a
//! minute by a test.

pub(crate) mod said;
mod showing;
mod wakes;

use std::sync::mpsc::SyncSender;

use jiff::{SignedDuration, Timestamp};
use serde_json::json;
use windrode_domain::watch::effect::{AlarmKind, Effect};
use windrode_domain::watch::event::{Event, Told};
use windrode_domain::watch::given::{Expected, Given};
use windrode_domain::watch::remembered::Remembered;
use windrode_domain::watch::step::Watch;
use windrode_domain::watch::view::{Alarm, Standing, View};
use windrode_wire::observe::Want;

use self::said::Saids;
use self::wakes::Wakes;
use super::hearing::{FeedChange, Hearing, Heeded, wanting};
use super::inbox::Arrival;
use super::printer::Saying;
use crate::append::append;
use crate::crew_words::{self, CrewWord, alarm_code};
use crate::ring::escalation::Escalation;
use crate::ring::heartbeat::{Beat, Rings};
use crate::ring::{self, Change, Urgency};
use crate::store::acknowledgements::WordRow;
use crate::store::alarms::AlarmRow;
use crate::store::observations::Minute;
use crate::store::outbox::Message;
use crate::store::stays::StayRow;
use crate::store::track::TrackRow;
use crate::store::{Record, Store, Trouble};
use crate::telling::Speaker;
use crate::watch_json;
use crate::words::{Voice, watch as words};

/// Between two savings of what the watch needs to be taken up again, beside those at every change.
const REMEMBER_EVERY: SignedDuration = SignedDuration::from_secs(60);
/// Between two tellings of the feeds to programs.
const FEEDS_EVERY: SignedDuration = SignedDuration::from_secs(60);
/// A watch that was not kept for longer than this is worth a chime.
const GAP: SignedDuration = SignedDuration::from_secs(60);
/// Something heard this often and never usable is told: an hour of a sounder at 1 Hz, a minute of several.
const WITHHELD: u64 = 300;

/// Something to be done, after what led to it is on disk.
#[derive(Debug)]
pub(crate) enum Deed {
    /// Told on standard output.
    Say(Saying),
    /// What sounds from now on.
    Sound(Option<Urgency>),
    /// One soft chime.
    Chime,
    /// Commands are told of an alarm.
    Ring(ring::Told),
    /// A message goes to a far end.
    Post(Message),
    /// The next heartbeat says this.
    Beat(Beat),
    /// Whoever said something is answered.
    Answer(SyncSender<String>, String),
}

/// Where messages go, and what beats say of themselves.
#[derive(Clone, Debug)]
pub(crate) struct FarEnds {
    /// For each change of an alarm.
    pub(crate) webhook: Option<String>,
    /// When nobody has heard it in time.
    pub(crate) escalate_webhook: Option<String>,
    /// Until when a beat is to be believed.
    pub(crate) deadline: SignedDuration,
    /// After how long unheard an alarm is escalated.
    pub(crate) escalate_after: SignedDuration,
}

/// All that is kept.
#[derive(Debug)]
pub(crate) struct Keep {
    watch: Watch,
    hearing: Hearing,
    store: Store,
    row: StayRow,
    voice: Voice,
    far_ends: FarEnds,
    escalation: Escalation,
    minute: Minute,
    /// The crew's last word about each alarm.
    said: Saids,
    /// Whence the vessels near by came.
    wakes: Wakes,
    deeds: Vec<Deed>,
    heeded: Heeded,
    call_at: Option<Timestamp>,
    remembered_at: Timestamp,
    feeds_at: Timestamp,
    sounding: Option<Urgency>,
    wanting_told: [bool; Want::ALL.len()],
    /// When the watch that is taken up again was last known to be kept.
    broke_off: Option<Timestamp>,
}

impl Keep {
    /// The watch of a stay: taken now, or taken up again where it is remembered.
    pub(crate) fn new(
        row: StayRow,
        remembered: Option<Remembered>,
        store: Store,
        hearing: Hearing,
        voice: Voice,
        far_ends: FarEnds,
        now: Timestamp,
    ) -> Self {
        let said = if remembered.is_some() { store.said(&row.id) } else { Saids::new() };
        let broke_off = remembered.as_ref().map(|it| it.at);
        let given: Given = row.given.clone();
        let watch = match remembered {
            Some(remembered) => Watch::recall(given, remembered, now),
            None => Watch::new(given),
        };
        Self {
            watch,
            hearing,
            store,
            row,
            voice,
            escalation: Escalation::after(far_ends.escalate_after),
            far_ends,
            minute: Minute::default(),
            said,
            wakes: Wakes::default(),
            deeds: Vec::new(),
            heeded: Heeded::default(),
            call_at: Some(now),
            remembered_at: now,
            feeds_at: now,
            sounding: None,
            wanting_told: [false; Want::ALL.len()],
            broke_off,
        }
    }

    /// The first words: the stay is put on disk, and its watch is told.
    pub(crate) fn begin(&mut self, now: Timestamp) {
        let mut records = Vec::new();
        if self.broke_off.is_none() {
            records.push(Record::Stay(Box::new(self.row.clone())));
            records.push(Record::Remembered(Box::new(self.watch.remember())));
        }
        let troubles = self.store.keep(records, now);
        self.tell_troubles(troubles, now);
        match self.broke_off {
            None => {
                self.notice("watch_taken", self.armed_line(), now);
            }
            Some(broke_off) => {
                let gap = now.duration_since(broke_off);
                let text = format!(
                    "the watch of {} ({}) is taken up again; it was not kept for {} s, since {}",
                    self.row.name,
                    self.row.id,
                    gap.as_secs(),
                    self.voice.clock.date_time(broke_off)
                );
                self.notice("watch_taken_up_again", text, now);
                if GAP < gap {
                    self.deeds.push(Deed::Chime);
                }
            }
        }
        self.step(&Event::Tick, Vec::new(), now);
    }

    /// The record and the ear, once the watch is over.
    pub(crate) fn into_parts(self) -> (Store, Hearing) {
        (self.store, self.hearing)
    }

    /// What is to be done; it is on disk, or the crew have been told that nothing can be.
    pub(crate) fn deeds(&mut self) -> Vec<Deed> {
        std::mem::take(&mut self.deeds)
    }

    /// When [`Self::pass`] must be called again.
    pub(crate) fn due(&self) -> Option<Timestamp> {
        [self.call_at, self.escalation.due(), self.store.due()].into_iter().flatten().min()
    }

    /// Messages that the last program left unsent.
    pub(crate) fn unposted(&self) -> Vec<Message> {
        self.store.unposted()
    }

    /// That the watch is taken, and under which name.
    pub(crate) fn armed_line(&self) -> String {
        format!("the watch of {} is taken, as {}", self.row.name, self.row.id)
    }
    /// The stay's name in the database.
    pub(crate) fn stay_id(&self) -> &str {
        &self.row.id
    }
    /// Whether all of it is on disk.
    pub(crate) fn is_recorded(&self) -> bool {
        self.store.is_whole()
    }

    /// The vessels near by.
    #[cfg(test)]
    pub(crate) const fn neighbours(&self) -> &windrode_domain::watch::neighbours::Fleet {
        self.watch.neighbours()
    }

    /// The word and its first reason.
    pub(crate) fn headline(&self) -> String {
        headline(&self.watch.view(), &self.voice)
    }

    /// A feed brought something.
    pub(crate) fn hear(&mut self, arrival: &Arrival, now: Timestamp) {
        let mut heeded = std::mem::take(&mut self.heeded);
        let change = self.hearing.hear(arrival, &mut heeded);
        for source in heeded.new_sources.drain(..) {
            self.store.later(Record::Source(source), now);
        }
        for observation in heeded.observations.drain(..) {
            for digest in self.minute.hear(&observation, now) {
                self.store.later(Record::Observed(digest), now);
            }
            self.step(&Event::Observed(observation), Vec::new(), now);
        }
        for report in heeded.neighbours.drain(..) {
            self.wakes.hear(&report);
            self.step(&Event::Neighbour(report), Vec::new(), now);
        }
        self.heeded = heeded;
        match change {
            None => {}
            Some(FeedChange::Opened(feed)) => self.notice("feed_open", format!("{feed} is open"), now),
            Some(FeedChange::Lost(why)) => self.notice("feed_lost", why, now),
            Some(FeedChange::Finished(feed)) => {
                self.notice("feed_ended", format!("{feed} is at its end"), now);
            }
        }
    }

    /// The crew said something; whether that ends the watch.
    pub(crate) fn told_by(
        &mut self,
        line: &str,
        by: &Speaker,
        answer_to: Option<SyncSender<String>>,
        now: Timestamp,
    ) -> bool {
        let (events, answer, ends) = match crew_words::read(line) {
            Ok(CrewWord::Status) => return self.only_answer(answer_to, &self.status(now)),
            Ok(CrewWord::Feeds) => return self.only_answer(answer_to, &self.feed_lines(now)),
            Ok(CrewWord::End) => (Vec::new(), "heard: the watch is over".to_owned(), true),
            Ok(word) => match self.events(&word) {
                Ok((events, answer)) => (events, answer, false),
                Err(refusal) => return self.only_answer(answer_to, &refusal),
            },
            Err(refusal) => return self.only_answer(answer_to, &refusal),
        };
        let about: Vec<AlarmKind> = events.iter().filter_map(alarm_of).collect();
        said::note(&mut self.said, &about, line, by, now);
        let mut records = vec![Record::Word(WordRow {
            at: now,
            line: line.to_owned(),
            answer: answer.clone(),
            by: by.clone(),
            about: about.into_iter().map(alarm_code).collect(),
        })];
        if ends {
            records.push(Record::Ended(now));
        }
        self.step_all(events.into_iter().map(Event::Told).collect(), records, now);
        let json = watch_json::told(line, &answer, by, now);
        self.deeds.push(Deed::Say(Saying {
            text: Some(self.stamped(now, &format!("{}: \"{line}\": {answer}", by.name))),
            json,
        }));
        let answer = if self.store.is_whole() {
            answer
        } else {
            format!("{answer} (in memory only: the disk does not take it)")
        };
        if let Some(to) = answer_to {
            self.deeds.push(Deed::Answer(to, answer));
        }
        ends
    }

    fn only_answer(&mut self, to: Option<SyncSender<String>>, answer: &str) -> bool {
        if let Some(to) = to {
            self.deeds.push(Deed::Answer(to, answer.to_owned()));
        }
        false
    }

    /// What the crew's word means to the watch, and what they are answered.
    fn events(&self, word: &CrewWord) -> Result<(Vec<Told>, String), String> {
        let heard = |told, what: String| Ok((vec![told], format!("heard: {what}")));
        match *word {
            CrewWord::Acknowledge(None) => {
                let view = self.watch.view();
                let unheard = |alarm: &&Alarm| matches!(alarm.standing, Standing::Ringing | Standing::Past);
                let kinds: Vec<AlarmKind> =
                    view.alarms.iter().filter(unheard).map(|alarm| alarm.kind).collect();
                let names: Vec<String> = kinds.iter().map(|&kind| alarm_code(kind)).collect();
                let what = if names.is_empty() { "nothing rings".to_owned() } else { names.join(", ") };
                Ok((kinds.into_iter().map(Told::Acknowledge).collect(), format!("heard: {what}")))
            }
            CrewWord::Acknowledge(Some(kind)) => heard(Told::Acknowledge(kind), alarm_code(kind)),
            CrewWord::Silence(alarm, lasting) => heard(
                Told::Silence { alarm, lasting },
                format!(
                    "{} is still for {} min at most, unless it worsens",
                    alarm_code(alarm),
                    lasting.as_secs() / 60
                ),
            ),
            CrewWord::Clear(kind) => heard(Told::Clear(kind), format!("{} is done with", alarm_code(kind))),
            CrewWord::Veered(length) => heard(Told::RodeOut(length), format!("{length} of rode are out")),
            CrewWord::Engine(true) => heard(Told::EngineRunning(true), "the engine runs".to_owned()),
            CrewWord::Engine(false) => heard(Told::EngineRunning(false), "the engine is stopped".to_owned()),
            CrewWord::Aweigh => {
                heard(Told::Aweigh, "the anchor is aweigh; say end to end the watch".to_owned())
            }
            CrewWord::Dropped(place) => {
                let here = self.watch.view().here.map(|here| here.place);
                let at =
                    place.or(here).ok_or("not heard: where she is now is not known (dropped LAT,LON)")?;
                let spread = windrode_domain::units::Length::metres(5.0);
                heard(Told::Dropped { at, spread }, format!("the anchor was let go at {at}"))
            }
            CrewWord::End | CrewWord::Status | CrewWord::Feeds => Err("asks nothing of the watch".to_owned()),
        }
    }

    /// What the plan foretells now, where it differs from what it foretold before.
    pub(crate) fn expect(&mut self, expected: Expected, now: Timestamp) {
        self.step(&Event::Told(Told::Expect(expected)), Vec::new(), now);
    }

    /// Time has passed.
    pub(crate) fn pass(&mut self, now: Timestamp) {
        if self.call_at.is_some_and(|call_at| call_at <= now) {
            self.call_at = None;
            self.step(&Event::Tick, Vec::new(), now);
        }
        if self.escalation.due().is_some_and(|due| due <= now) {
            let view = self.watch.view();
            self.settle_sound(&view, now);
        }
        if REMEMBER_EVERY <= now.duration_since(self.remembered_at) {
            let records = self.remembered_now(now);
            let troubles = self.store.keep(records, now);
            self.tell_troubles(troubles, now);
        }
        if FEEDS_EVERY <= now.duration_since(self.feeds_at) {
            self.feeds_at = now;
            let json = watch_json::feeds(self.hearing.feeds(), now);
            self.deeds.push(Deed::Say(Saying { text: None, json }));
            self.tell_wanting(now);
        }
        let troubles = self.store.flush(now);
        self.tell_troubles(troubles, now);
    }

    /// The system's clock was set, by so much.
    pub(crate) fn clock_stepped(&mut self, by: SignedDuration, now: Timestamp) {
        let seconds = by.abs().as_secs();
        if by.is_negative() {
            let text = format!(
                "the computer's clock was set back by {seconds} s: the watch runs on by its own time, \
                 which is ahead of the clock by as much"
            );
            self.notice("clock_set_back", text, now);
        } else {
            let text = format!("the computer's clock leapt ahead by {seconds} s: it slept, or was set");
            self.notice("clock_set_ahead", text, now);
        }
        self.deeds.push(Deed::Chime);
    }

    /// A far end took a message, or it was given up.
    pub(crate) fn posted(&mut self, id: i64, given_up: Option<String>, now: Timestamp) {
        if let Some(why) = &given_up {
            self.notice("message_given_up", format!("message {id} was given up: {why}"), now);
        }
        let troubles = self.store.keep(vec![Record::Posted { id, at: now, given_up }], now);
        self.tell_troubles(troubles, now);
    }

    /// Something went wrong outside.
    pub(crate) fn trouble(&mut self, code: &'static str, text: String, now: Timestamp) {
        self.notice(code, text, now);
        if code != "heartbeat_back" {
            self.deeds.push(Deed::Chime);
        }
    }

    /// The system stops the program: what is known is saved, and the stay stays armed.
    pub(crate) fn stop(&mut self, now: Timestamp) {
        let text =
            "the program is stopped by the system; the watch is taken up again when it starts".to_owned();
        self.notice("program_stopped", text, now);
        let records = self.remembered_now(now);
        let troubles = self.store.keep(records, now);
        self.tell_troubles(troubles, now);
    }

    /// What a beat says now.
    pub(crate) fn beat(&self, ended: bool) -> Beat {
        self.beat_of(&self.watch.view(), ended)
    }

    fn beat_of(&self, view: &View, ended: bool) -> Beat {
        let ringing = view.alarms.iter().filter(|alarm| alarm.standing == Standing::Ringing);
        let rings =
            ringing.map(|alarm| Rings { alarm: alarm_code(alarm.kind), text: self.alarm_text(alarm) });
        Beat {
            version: watch_json::VERSION,
            boat: self.row.boat.clone(),
            stay: self.row.id.clone(),
            deadline_s: u64::try_from(self.far_ends.deadline.as_secs()).unwrap_or(0),
            verdict: view.verdict.code().to_owned(),
            rings: rings.collect(),
            ended,
            ..Beat::default()
        }
    }

    fn step(&mut self, event: &Event, records: Vec<Record>, now: Timestamp) {
        let mut effects = Vec::new();
        self.watch.step(event, now, &mut effects);
        self.carry_out(&effects, records, now);
    }

    fn step_all(&mut self, events: Vec<Event>, records: Vec<Record>, now: Timestamp) {
        let mut effects = Vec::new();
        for event in events {
            self.watch.step(&event, now, &mut effects);
        }
        self.carry_out(&effects, records, now);
    }

    /// Puts on disk what came of a step, then lets it be done.
    fn carry_out(&mut self, effects: &[Effect], mut records: Vec<Record>, now: Timestamp) {
        let mut called: Option<Timestamp> = None;
        let mut news = !records.is_empty();
        let mut track = false;
        for effect in effects {
            match effect {
                Effect::CallAt(at) => called = Some(called.map_or(*at, |called| called.min(*at))),
                Effect::Track => track = true,
                Effect::Ring(_) | Effect::Quiet(_) | Effect::Tell(_) | Effect::Publish => news = true,
            }
        }
        self.call_at = called.or(self.call_at);
        if !news && !track {
            return;
        }
        let view = self.watch.view();
        if let (true, Some(here)) = (track, view.here) {
            self.store.later(Record::Track(TrackRow(here)), now);
        }
        if !news {
            return;
        }
        let mut deeds = Vec::new();
        for effect in effects {
            match effect {
                Effect::Ring(kind) => self.change(Change::Ring, *kind, &view, now, &mut records, &mut deeds),
                Effect::Quiet(kind) => {
                    self.change(Change::Quiet, *kind, &view, now, &mut records, &mut deeds);
                }
                Effect::Tell(reason) => {
                    self.notice(reason.code(), words::reason(reason, &self.voice), now);
                    self.deeds.push(Deed::Chime);
                }
                Effect::Publish | Effect::Track | Effect::CallAt(_) => {}
            }
        }
        let published = effects.contains(&Effect::Publish);
        if published {
            let body = watch_json::view(&view, &self.voice, &self.said).to_string();
            records.push(Record::Verdict { at: now, verdict: view.verdict.code(), body });
        }
        records.extend(self.remembered_now(now));
        let troubles = self.store.keep(records, now);
        self.tell_troubles(troubles, now);
        self.deeds.append(&mut deeds);
        if published {
            self.say_view(&view);
        }
        self.settle_sound(&view, now);
        let beat = self.beat_of(&view, false);
        self.deeds.push(Deed::Beat(beat));
    }

    fn remembered_now(&mut self, now: Timestamp) -> Vec<Record> {
        self.remembered_at = now;
        vec![Record::Remembered(Box::new(self.watch.remember()))]
    }

    /// What an alarm's change asks for: a row, a line, a command, a message.
    fn change(
        &mut self,
        change: Change,
        kind: AlarmKind,
        view: &View,
        now: Timestamp,
        records: &mut Vec<Record>,
        deeds: &mut Vec<Deed>,
    ) {
        let alarm = alarm_code(kind);
        let standing = view.alarms.iter().find(|alarm| alarm.kind == kind);
        let text = standing.map_or_else(|| words::alarm(kind).to_owned(), |alarm| self.alarm_text(alarm));
        records.push(Record::Alarm(AlarmRow {
            at: now,
            alarm: alarm.clone(),
            what: change.code(),
            text: text.clone(),
        }));
        let head = match change {
            Change::Ring => "RINGS",
            Change::Quiet => "still",
            Change::Escalate => "RINGS, NOBODY HAS HEARD IT",
        };
        let json = watch_json::alarm(change.code(), &alarm, &text, now);
        deeds.push(Deed::Say(Saying { text: Some(self.stamped(now, &format!("{head}: {text}"))), json }));
        let url = match change {
            Change::Escalate => {
                self.far_ends.escalate_webhook.clone().or_else(|| self.far_ends.webhook.clone())
            }
            Change::Ring | Change::Quiet => self.far_ends.webhook.clone(),
        };
        if let Some(url) = url {
            let id = self.store.new_message_id();
            let body = json!({
                "version": watch_json::VERSION,
                "id": id,
                "event": change.code(),
                "time": now.to_string(),
                "boat": self.row.boat,
                "stay": self.row.id,
                "alarm": alarm,
                "text": text,
            });
            let message = Message { id, made: now, url, body: body.to_string() };
            records.push(Record::Post(message.clone()));
            deeds.push(Deed::Post(message));
        }
        let (stay, boat) = (self.row.id.clone(), self.row.boat.clone());
        deeds.push(Deed::Ring(ring::Told { change, at: now, alarm, text, stay, boat }));
    }

    /// What should sound, and whether nobody has got up for too long.
    fn settle_sound(&mut self, view: &View, now: Timestamp) {
        let over = self.escalation.look(&view.alarms, now);
        if !over.is_empty() {
            let (mut records, mut deeds) = (Vec::new(), Vec::new());
            for kind in over {
                self.change(Change::Escalate, kind, view, now, &mut records, &mut deeds);
            }
            let troubles = self.store.keep(records, now);
            self.tell_troubles(troubles, now);
            self.deeds.append(&mut deeds);
        }
        let loudest = self.escalation.loudest();
        if loudest != self.sounding {
            self.sounding = loudest;
            self.deeds.push(Deed::Sound(loudest));
        }
    }

    fn say_view(&mut self, view: &View) {
        let text = self.stamped(view.at, &self.view_line(view));
        let json = watch_json::view(view, &self.voice, &self.said);
        self.deeds.push(Deed::Say(Saying { text: Some(text), json }));
    }

    /// "dragging: The anchor has gone 12 m … [rings: dragging]".
    fn view_line(&self, view: &View) -> String {
        let reasons: Vec<String> =
            view.reasons.iter().map(|reason| words::reason(reason, &self.voice)).collect();
        let mut line = format!("{}: {}", words::verdict(view.verdict).to_uppercase(), reasons.join(" "));
        for alarm in &view.alarms {
            let standing = match alarm.standing {
                Standing::Ringing => "rings",
                Standing::Acknowledged => "heard",
                Standing::Silenced(_) => "silenced",
                Standing::Past => "past, unheard",
            };
            append(&mut line, format_args!(" [{standing}: {}]", alarm_code(alarm.kind)));
        }
        line
    }

    fn alarm_text(&self, alarm: &Alarm) -> String {
        format!("{}. {}", words::alarm(alarm.kind), words::reason(&alarm.reason, &self.voice))
    }

    fn stamped(&self, at: Timestamp, text: &str) -> String {
        format!("{} {text}", self.voice.clock.date_time(at))
    }

    fn status(&self, now: Timestamp) -> String {
        let view = self.watch.view();
        let kept = if self.store.is_whole() { "" } else { "\nNothing is recorded on disk now." };
        format!("{}{kept}", self.stamped(now, &self.view_line(&view)))
    }

    fn feed_lines(&self, now: Timestamp) -> String {
        self.hearing.feeds().map(|health| health.line(now)).collect::<Vec<_>>().join("\n")
    }

    /// Something that is heard all the time and cannot be used is told once.
    fn tell_wanting(&mut self, now: Timestamp) {
        let withheld = self.hearing.withheld();
        for (index, want) in Want::ALL.into_iter().enumerate() {
            let told = self.wanting_told.get_mut(index);
            if let Some(told) = told.filter(|told| !**told && WITHHELD <= withheld.for_want_of(want)) {
                *told = true;
                self.notice("wanting", wanting(want).to_owned(), now);
            }
        }
    }

    fn tell_troubles(&mut self, troubles: Vec<Trouble>, now: Timestamp) {
        for trouble in troubles {
            self.notice(trouble.code, trouble.text, now);
            self.deeds.push(Deed::Chime);
        }
    }

    /// Tells something beside the anchor, and keeps it with what is written next.
    fn notice(&mut self, code: &'static str, text: String, now: Timestamp) {
        let json = watch_json::notice(code, &text, now);
        self.deeds.push(Deed::Say(Saying { text: Some(self.stamped(now, &text)), json }));
        self.store.later(Record::Trouble { at: now, code, text }, now);
    }
}

/// The alarm that a word is about.
const fn alarm_of(told: &Told) -> Option<AlarmKind> {
    match told {
        Told::Acknowledge(kind) | Told::Clear(kind) | Told::Silence { alarm: kind, .. } => Some(*kind),
        _ => None,
    }
}

fn headline(view: &View, voice: &Voice) -> String {
    let first = view.reasons.first().map_or_else(String::new, |reason| words::reason(reason, voice));
    format!("{}: {first}", words::verdict(view.verdict))
}

#[cfg(test)]
mod tests;

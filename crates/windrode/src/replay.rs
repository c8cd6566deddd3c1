//! A recorded night run through the watch: what it would have said, and when.
//!
//! The watch hears each event at the event's own instant, and is called at the instants it asks for in between. Where
//! the recording ends, the replay ends: what was not recorded is not silence.

pub(crate) mod neighbours;
pub(crate) mod json;
pub(crate) mod text;

use jiff::{SignedDuration, Timestamp};
use windrode_domain::units::Length;
use windrode_domain::watch::effect::{AlarmKind, Effect};
use windrode_domain::watch::event::Event;
use windrode_domain::watch::given::{Given, WatchLimits};
use windrode_domain::watch::step::Watch;
use windrode_domain::watch::verdict::Verdict;
use windrode_domain::watch::view::View;

use crate::alarm_score::{self, Score};
use crate::recording::truth::AnchorTruth;

/// What the watch of a recorded or a simulated night rings at beside the anchor: the defaults of a plan, for nothing of
/// it is in the answer.
pub(crate) const LIMITS: WatchLimits = WatchLimits {
    under_keel: Length::metres(0.3),
    battery_v: None,
    silence_s: 60.0,
    neighbour: Length::metres(5.0),
    wind_shift_deg: 45.0,
};

/// A hole in a recording is watched through for so long; beyond it nothing changes any more, and a date that a receiver
/// got wrong by years would take minutes.
const WATCHED_HOLE: SignedDuration = SignedDuration::from_hours(24);

/// Something that a crew would have been told.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Change {
    /// What the watch showed.
    pub(crate) view: View,
    /// It is a ring of the plain circle, and no change of the word.
    pub(crate) backstop: bool,
}

/// A night as the watch saw it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Replayed {
    /// First and last instant of the recording.
    pub(crate) span: [Timestamp; 2],
    /// How many things the watch was told.
    pub(crate) heard: usize,
    /// What a crew would have been told, in order.
    pub(crate) changes: Vec<Change>,
    /// What the watch showed at the end.
    pub(crate) last: View,
}

/// Runs events, in order, through a watch that begins with the first; `None` if there is none.
pub(crate) fn replay(given: Given, events: &[(Timestamp, Event)]) -> Option<Replayed> {
    let (&(first, _), &(last, _)) = (events.first()?, events.last()?);
    let mut running = Running::new(given);
    let mut rest = events;
    while let Some(&(at, _)) = rest.first() {
        running.call_until(at);
        let together = rest.iter().take_while(|&&(other, _)| other == at).count();
        let (now, later) = rest.split_at(together);
        for (_, event) in now {
            running.step(event, at);
        }
        running.look();
        rest = later;
    }
    let last_view = running.watch.view();
    Some(Replayed { span: [first, last], heard: events.len(), changes: running.changes, last: last_view })
}

/// A watch being run.
struct Running {
    watch: Watch,
    effects: Vec<Effect>,
    call: Option<Timestamp>,
    now: Option<Timestamp>,
    word: Option<Verdict>,
    changes: Vec<Change>,
}

impl Running {
    fn new(given: Given) -> Self {
        Self {
            watch: Watch::new(given),
            effects: Vec::new(),
            call: None,
            now: None,
            word: None,
            changes: Vec::new(),
        }
    }

    /// The calls that it asked for before an instant.
    fn call_until(&mut self, until: Timestamp) {
        let hole_ends = self.now.and_then(|now| now.checked_add(WATCHED_HOLE).ok()).unwrap_or(until);
        while let Some(call) = self.call.filter(|&call| call < until && call <= hole_ends) {
            self.call = None;
            self.step(&Event::Tick, call);
            self.look();
            // A watch that asks for an instant that is past is called with the next event.
            self.call = self.call.filter(|&next| call < next);
        }
    }

    fn step(&mut self, event: &Event, at: Timestamp) {
        self.watch.step(event, at, &mut self.effects);
        self.now = Some(at);
        for effect in &self.effects {
            if let Effect::CallAt(call) = effect {
                self.call = Some(*call);
            }
        }
    }

    /// What the crew would have been told of this instant.
    fn look(&mut self) {
        let rang = self.effects.contains(&Effect::Ring(AlarmKind::OutsideCircle));
        let published = self.effects.contains(&Effect::Publish);
        self.effects.clear();
        if !rang && !published && self.word.is_some() {
            return;
        }
        let view = self.watch.view();
        if self.word != Some(view.verdict) {
            self.word = Some(view.verdict);
            self.changes.push(Change { view: view.clone(), backstop: false });
        }
        if rang {
            self.changes.push(Change { view, backstop: true });
        }
    }
}

impl Replayed {
    /// When it called dragging, each time.
    pub(crate) fn alarms(&self) -> Vec<Timestamp> {
        let dragging = |change: &&Change| !change.backstop && change.view.verdict == Verdict::Dragging;
        self.changes.iter().filter(dragging).map(|change| change.view.at).collect()
    }
    /// When the plain circle rang, each time.
    pub(crate) fn backstops(&self) -> Vec<Timestamp> {
        self.changes.iter().filter(|change| change.backstop).map(|change| change.view.at).collect()
    }

    /// Seconds for which each word stood, in the order of [`WORDS`].
    pub(crate) fn seconds(&self) -> [f64; WORDS.len()] {
        let mut seconds = [0.0; WORDS.len()];
        let words: Vec<&Change> = self.changes.iter().filter(|change| !change.backstop).collect();
        let [_, end] = self.span;
        let ends = words.iter().skip(1).map(|next| next.view.at).chain([end]);
        for (change, until) in words.iter().zip(ends) {
            let index = WORDS.iter().position(|&word| word == change.view.verdict);
            if let Some(sum) = index.and_then(|index| seconds.get_mut(index)) {
                *sum += until.duration_since(change.view.at).as_secs_f64();
            }
        }
        seconds
    }
}

/// The words, in the order in which they are told.
pub(crate) const WORDS: [Verdict; 5] =
    [Verdict::Holding, Verdict::Doubtful, Verdict::Dragging, Verdict::Blind, Verdict::UnderWay];

/// What the truth says of a replay.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Judged {
    /// When the anchor began to drag, if it did.
    pub(crate) began: Option<Timestamp>,
    /// The farthest that it went, m.
    pub(crate) farthest_m: f64,
    /// What the word was worth.
    pub(crate) watch: Score,
    /// What the plain circle was worth.
    pub(crate) backstop: Score,
}

/// Judges a replay by where the anchor truly lay.
pub(crate) fn judge(replayed: &Replayed, truth: &AnchorTruth) -> Judged {
    let [_, end] = replayed.span;
    // What began after the last thing heard could not be called.
    let began = truth.drag_began().filter(|&began| began <= end);
    let worth = |alarms: &[Timestamp]| alarm_score::score(alarms, began, |at| truth.gone_m(at));
    Judged {
        began,
        farthest_m: truth.farthest_m(),
        watch: worth(&replayed.alarms()),
        backstop: worth(&replayed.backstops()),
    }
}

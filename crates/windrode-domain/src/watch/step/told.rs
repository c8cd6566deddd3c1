//! What the crew say.

use super::Watch;
use crate::position::Position;
use crate::units::Length;
use crate::watch::effect::{AlarmKind, Effect};
use crate::watch::event::Told;
use crate::watch::given::Drop;
use crate::watch::reason::Reason;
use crate::watch::remembered::Leaving;

/// A counter that says the same length to within this says nothing new, m.
const SAME_RODE_M: f64 = 0.5;

impl Watch {
    /// The crew say something.
    pub(super) fn hear_told(&mut self, told: &Told, effects: &mut Vec<Effect>) {
        match told {
            Told::Dropped { at, spread } => {
                self.look_no_more(effects);
                self.dropped(*at, *spread);
            }
            Told::RodeOut(length) => {
                self.hear_rode(*length);
            }
            Told::EngineRunning(running) => {
                let ran = self.engine_runs();
                self.engine_told = *running;
                self.tell_engine(ran);
            }
            Told::Aweigh => {
                self.look_no_more(effects);
                let left = self.anchor().map(|anchor| anchor.at);
                self.begin_anew(None);
                self.left = left;
                self.leaving = Some((Leaving::Told, Reason::ToldAweigh));
            }
            Told::Acknowledge(kind) => {
                self.hear_of_shift(*kind);
                self.alarms.acknowledge(*kind, effects);
            }
            Told::Silence { alarm, lasting } => {
                self.hear_of_shift(*alarm);
                self.alarms.silence(*alarm, *lasting, self.clock.now(), effects);
            }
            Told::Clear(kind) => self.clear(*kind, effects),
            Told::Expect(expected) => self.given.expected = Some(expected.clone()),
        }
    }

    /// So much rode is out; whether that is news.
    pub(super) fn hear_rode(&mut self, length: Length) -> bool {
        let known = self.rode_told.or_else(|| self.given.rode.as_ref().map(|rode| rode.line.length()));
        let same = known.is_some_and(|known| (known - length).abs() <= Length::metres(SAME_RODE_M));
        if same || !(Length::ZERO < length && length.is_finite()) {
            return false;
        }
        self.rode_told = Some(length);
        if let Some(detector) = self.detector.as_mut() {
            detector.rode_out(length);
        }
        true
    }

    /// Whoever says where the anchor is now has looked: what rang for it where it lay before is heard.
    fn look_no_more(&mut self, effects: &mut Vec<Effect>) {
        for kind in [AlarmKind::Dragging, AlarmKind::OutsideCircle] {
            self.alarms.clear(kind, effects);
        }
    }
    fn dropped(&mut self, at: Position, spread: Length) {
        self.begin_anew(Some(Drop { at, spread }));
        self.going.hear_let_go();
    }
    fn clear(&mut self, kind: AlarmKind, effects: &mut Vec<Effect>) {
        self.hear_of_shift(kind);
        self.alarms.clear(kind, effects);
        match kind {
            AlarmKind::Dragging | AlarmKind::OutsideCircle => {
                if let Some(detector) = self.detector.as_mut() {
                    detector.settle_here();
                }
                (self.dragging, self.moved) = (false, None);
            }
            // Where the receivers are is where she is, the crew say.
            AlarmKind::Blind => self.receivers.believe(),
            _ => {}
        }
    }
    fn hear_of_shift(&mut self, kind: AlarmKind) {
        if kind == AlarmKind::WindShift {
            self.wind.hear_told(self.clock.now());
        }
    }
}

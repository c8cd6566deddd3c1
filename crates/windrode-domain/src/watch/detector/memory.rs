//! What the detector remembers over a loss of power: every number it carries, in one row.
//!
//! What was given at the start is not in it; it is kept with the watch itself. A detector recalled from the same given
//! and the row goes on as if nothing had happened, to the last bit.

use super::{Detector, Middle, veered};
use crate::position::Position;
use crate::units::Length;
use crate::watch::circle::Circle;
use crate::watch::drag::{Bank, Tuning, WAYS};
use crate::watch::estimate::{Filter, FixError, Loads, Noise};
use crate::watch::given::Given;

/// Every number that a detector carries.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Remembered {
    /// In an order that belongs to this version of the program: first how many guesses of the bearing there are.
    pub numbers: Vec<f64>,
}

/// A row that is no memory of this version's detector.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{got} numbers are remembered where {wanted} belong: the memory is of another version")]
pub struct MemoryError {
    /// How many there are.
    pub got: usize,
    /// How many there should be.
    pub wanted: usize,
}

/// More guesses of the bearing than ever stand.
const GUESSES_MOST: f64 = 64.0;

impl Detector {
    /// Every number it carries, to be saved each minute.
    pub fn remember(&self) -> Remembered {
        let mut numbers = vec![self.banks.len() as f64];
        self.clone().each(&mut |number| numbers.push(*number));
        Remembered { numbers }
    }

    /// The detector that remembered this, in the watch of the same given and origin.
    ///
    /// # Errors
    /// [`MemoryError`] where the row has not as many numbers as belong to it.
    pub fn recall(given: &Given, origin: Position, memory: &Remembered) -> Result<Self, MemoryError> {
        let (banks, numbers) = memory.numbers.split_first().unwrap_or((&0.0, &[]));
        let banks = if (1.0..=GUESSES_MOST).contains(banks) { *banks } else { 1.0 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from 1 to 64, just checked"
        )]
        let mut detector = Self::blank(given, origin, banks as usize);
        let mut wanted = 0;
        detector.each(&mut |number| {
            if let Some(remembered) = numbers.get(wanted) {
                *number = *remembered;
            }
            wanted += 1;
        });
        if wanted != numbers.len() {
            return Err(MemoryError { got: numbers.len(), wanted });
        }
        if let Some(line) = detector.gear.line.as_ref() {
            let length = Length::metres(detector.line_m);
            if line.length() != length {
                detector.gear.line = veered(line, length).or(detector.gear.line);
            }
        }
        detector.reach = detector.gear.reach_at(Length::metres(detector.reach_height_m));
        Ok(detector)
    }

    /// Of the right shape, all its numbers yet to be filled in.
    fn blank(given: &Given, origin: Position, banks: usize) -> Self {
        let tuning = Tuning::default();
        let noise = Noise::by(true, true, true);
        let still = Filter::begun([0.0; 2], [1.0, 0.0, 1.0], 1.0, [0.0; 2], &noise);
        let bank = Bank::new(still, [0.0, 1.0], &tuning);
        Self {
            banks: vec![bank; banks],
            loads: Loads::new(1.0),
            fix_error: FixError::default(),
            circle: Circle::about([0.0; 2]),
            ..Self::bare(given, origin, &tuning)
        }
    }

    /// Every number that it carries, always in the same order.
    fn each(&mut self, visit: &mut dyn FnMut(&mut f64)) {
        self.banks.iter_mut().for_each(|bank| bank.each(visit));
        self.loads.each(visit);
        self.fix_error.each(visit);
        self.circle.each(visit);
        for number in [
            &mut self.watched_s,
            &mut self.settling_s,
            &mut self.head_to_anchor,
            &mut self.line_m,
            &mut self.reach_height_m,
            &mut self.last_reach_m,
            &mut self.left_out.1,
        ] {
            visit(number);
        }
        self.last.iter_mut().chain(&mut self.left_out.0).for_each(&mut *visit);
        each_option(&mut self.depth_m, visit);
        each_flag(&mut self.heading_wrong, visit);
        each_flag(&mut self.was_at_bow, visit);
        each_flag(&mut self.was_loaded, visit);
        each_middle(&mut self.middle, visit);
        let mut called = self.called.map(|way| way as f64);
        each_option(&mut called, visit);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to WAYS, just checked"
        )]
        let way = called.filter(|way| (0.0..WAYS as f64).contains(way)).map(|way| way as usize);
        self.called = way;
    }
}

/// NaN stands for nothing.
fn each_option(option: &mut Option<f64>, visit: &mut dyn FnMut(&mut f64)) {
    let mut number = option.unwrap_or(f64::NAN);
    visit(&mut number);
    *option = (!number.is_nan()).then_some(number);
}

fn each_flag(flag: &mut bool, visit: &mut dyn FnMut(&mut f64)) {
    let mut number = f64::from(u8::from(*flag));
    visit(&mut number);
    *flag = 0.5 < number;
}

fn each_middle(middle: &mut Middle, visit: &mut dyn FnMut(&mut f64)) {
    const ALL: [Middle; 3] = [Middle::Drop, Middle::Thought, Middle::Herself];
    let mut number = ALL.iter().position(|one| one == middle).map_or(f64::NAN, |place| place as f64);
    visit(&mut number);
    let told = ALL.into_iter().zip([0.0, 1.0, 2.0]).find(|(_, its)| (number - its).abs() < 0.5);
    *middle = told.map_or(*middle, |(one, _)| one);
}

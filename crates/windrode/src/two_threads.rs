//! Two threads for what the domain can do beside each other.

use std::panic::resume_unwind;
use std::thread;

use windrode_domain::plan::Hands;

/// Does the second thing in a thread of its own while the first is done here.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TwoThreads;

impl Hands for TwoThreads {
    fn both<A: Send, B: Send>(
        &self,
        one: impl FnOnce() -> A + Send,
        other: impl FnOnce() -> B + Send,
    ) -> (A, B) {
        thread::scope(|scope| {
            let beside = scope.spawn(other);
            let one = one();
            // What fails there fails here.
            (one, beside.join().unwrap_or_else(|failure| resume_unwind(failure)))
        })
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use windrode_domain::plan::{glimpsed_by, planned, planned_by};

    use super::*;
    use crate::{assemble, files};

    #[test]
    fn a_plan_by_two_threads_is_the_plan_by_one() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/corrant-bay.toml");
        let aboard = files::load_stay(&path, None).expect("the example reads");
        let inputs = assemble::inputs(&aboard).expect("assembled");
        assert_eq!(planned_by(&inputs, &TwoThreads).0, planned(&inputs).0);
    }

    #[test]
    fn a_glimpse_is_the_plan_but_for_the_remedies_that_are_searched_for() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/stays/ovenstone-ledge.toml");
        let aboard = files::load_stay(&path, None).expect("the example reads");
        let inputs = assemble::inputs(&aboard).expect("assembled");
        let (mut whole, mut glimpse) = (planned(&inputs).0, glimpsed_by(&inputs, &TwoThreads).0);
        for (one, other) in whole.findings.iter_mut().zip(&mut glimpse.findings) {
            assert!(other.remedies.iter().all(|remedy| one.remedies.contains(remedy)), "{other:?}");
            one.remedies.clear();
            other.remedies.clear();
        }
        assert_eq!(whole, glimpse);
    }
}

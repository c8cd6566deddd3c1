//! The moment that the three drawings share.

use jiff::Timestamp;
use windrode_domain::plan::sheet::{Instant, Riding, Sheet};

/// The instant to draw: the one asked for, else the one at which dragging is most likely, else that of the greatest
/// load; `None` when nothing settles it.
pub(super) fn drawn(sheet: &Sheet, asked: Option<Timestamp>) -> Option<&Instant> {
    let wanted = asked.or_else(|| sheet.chance.map(|chance| chance.worst));
    let nearest = wanted.and_then(|at| {
        sheet.instants.iter().min_by_key(|instant| instant.at.duration_since(at).unsigned_abs())
    });
    nearest.or_else(|| {
        let peak = |riding: &Riding| riding.load_p90.peak.as_newtons();
        sheet
            .instants
            .iter()
            .filter_map(|instant| instant.riding.as_ref().map(|riding| (peak(riding), instant)))
            .max_by(|(a, _), (b, _)| a.total_cmp(b))
            .map(|(_, instant)| instant)
    })
}

//! Every part in the line of load at the instant of the stay's greatest peak, weakest first: the ground by the gust of
//! ten minutes, the gear by the greatest load of an hour of that weather.

use super::board::Board;
use super::laid::Laid;
use super::sheet::PartLine;
use crate::catenary::{Bed, Tensions};
use crate::holding::uplift_factor;
use crate::parts::{LineTensions, PartKind, PartLoad, PartsError, Tension, parts};
use crate::uncertain::Origin;
use crate::units::Force;

/// The parts; none where it is not known how she rides.
///
/// # Errors
/// [`PartsError`] if the gear is in itself impossible.
pub(super) fn part_lines(board: &Board<'_>, laid: &Laid) -> Result<Vec<PartLine>, PartsError> {
    let peaks = laid.rides.iter().enumerate().filter_map(|(index, ride)| Some((index, ride.as_ref()?)));
    let worst = peaks.max_by(|a, b| a.1.peak_p90.as_newtons().total_cmp(&b.1.peak_p90.as_newtons()));
    let (Some((index, ride)), Ok(holding)) = (worst, &board.holding) else { return Ok(Vec::new()) };
    let bed = Bed { slope: ride.slope, friction: 0.0 };
    let of_an_hour = ride.peak_p90 * laid.ridden.map_or(1.0, |ridden| ridden.hour_over_stretch);
    let Ok(at_peak) = laid.line.under_load(ride.height, of_an_hour, &bed) else { return Ok(Vec::new()) };
    let tensions = line_tensions(
        board,
        (&laid.line.tensions(&ride.at_gust_p90), ride.at_gust_p90.tension()),
        (&laid.line.tensions(&at_peak), at_peak.tension()),
    );
    // The harsher law of uplift, and the holding that nine in ten exceed.
    let holds = holding.quantile(0.1) * uplift_factor(ride.at_gust_p90.uplift(), 0.0);
    let at = board.conditions[index].at;
    let loads = parts(&board.inputs.gear, &tensions, holds)?;
    Ok(loads
        .into_iter()
        .filter(|part| !part.standing_by && part.margin.is_finite())
        .map(|part| line(board, part, at))
        .collect())
}

/// What stretches still in the locker bear is nothing.
fn line_tensions(
    board: &Board<'_>,
    (gust, gust_at_boat): (&Tensions, Force),
    (peak, peak_at_boat): (&Tensions, Force),
) -> LineTensions {
    let snubbers = usize::from(board.inputs.gear.snubber.is_some());
    let out = gust.segments.len().saturating_sub(snubbers);
    let greatest = |tensions: &Tensions, index: usize| {
        tensions.segments.get(index).filter(|_| index < out).map_or(Force::ZERO, |s| s.lower.max(s.upper))
    };
    let at_shank =
        |tensions: &Tensions| tensions.segments.first().map_or(Force::ZERO, |segment| segment.lower);
    LineTensions {
        anchor: Tension { gust: at_shank(gust), peak: at_shank(peak) },
        stretches: (0..board.inputs.gear.rode.stretches.len())
            .map(|index| Tension { gust: greatest(gust, index), peak: greatest(peak, index) })
            .collect(),
        boat: Tension { gust: gust_at_boat, peak: peak_at_boat },
    }
}

fn line(board: &Board<'_>, part: PartLoad, at: jiff::Timestamp) -> PartLine {
    let ground = part.kind == PartKind::Ground;
    let load = if ground { part.load.gust } else { part.load.peak };
    PartLine {
        origin: origin(board, &part),
        name: part.name,
        kind: part.kind,
        load,
        may_carry: part.working_load.unwrap_or(part.gives_at),
        gives_at: part.gives_at,
        at,
    }
}

fn origin(board: &Board<'_>, part: &PartLoad) -> Origin {
    let gear = &board.inputs.gear;
    let named = |name: &str| name == part.name;
    match part.kind {
        PartKind::Ground => Some(Origin::Assumed),
        PartKind::Connector => gear.connectors.iter().find(|c| named(&c.name)).map(|c| c.origin),
        PartKind::Stretch => gear.rode.stretches.iter().find(|s| named(&s.name)).map(|s| s.origin),
        PartKind::Snubber => gear.snubber.as_ref().map(|snubber| snubber.leg.origin),
        PartKind::StrongPoint => Some(gear.cleat.origin),
    }
    .unwrap_or(Origin::Given)
}

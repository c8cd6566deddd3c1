//! How a vessel moves: her last few reports, and what they make good.

use crate::position::Offset;
use crate::units::Bearing;

/// Reports kept: half an hour at three minutes.
const KEPT: usize = 12;

/// One report, on the vessel's own sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Seen {
    /// Seconds since she was first heard.
    pub(super) at_s: f64,
    /// Her reference point.
    pub(super) antenna: Offset,
    /// The point that is watched: her bow where heading and dimensions are known, else the antenna.
    pub(super) place: Offset,
    /// Way over the ground by her own word, m/s.
    pub(super) speed_ms: Option<f64>,
    pub(super) course: Option<Bearing>,
    pub(super) heading: Option<Bearing>,
}

impl Seen {
    /// Between her head and her way, degrees from 0 to 180, where both are known and she makes way enough to tell.
    pub(super) fn across_deg(&self) -> Option<f64> {
        let (course, heading) = self.course.zip(self.heading)?;
        let told = self.speed_ms.is_some_and(|speed_ms| COURSE_TELLS_MS <= speed_ms);
        told.then(|| heading.to(course).as_degrees().abs())
    }

    /// She makes this way by her own word, with her head along it (or her head unknown, at a way that no stream
    /// makes).
    pub(super) fn steers(&self, least_ms: f64) -> bool {
        let fast_enough = self.speed_ms.is_some_and(|speed_ms| least_ms <= speed_ms);
        fast_enough
            && self
                .across_deg()
                .map_or(BLIND_STEERS_MS <= self.speed_ms.unwrap_or(0.0), |deg| deg < ALONG_DEG)
    }
}

/// Way from which the course means anything, m/s (0.2 kn: below it a receiver's course is noise).
const COURSE_TELLS_MS: f64 = 0.1;
/// Angle within which her head lies along her way, degrees: leeway and set of a vessel that steers stay below.
const ALONG_DEG: f64 = 35.0;
/// Way that only a vessel under way makes where her heading is unknown, m/s (2 kn).
const BLIND_STEERS_MS: f64 = 1.03;

/// What was made good over a while.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct MadeGood {
    pub(super) seconds: f64,
    pub(super) by: Offset,
    /// Greatest turn of her head between any of the reports and the last, degrees; `None` where it is not known
    /// throughout.
    pub(super) turned_deg: Option<f64>,
    pub(super) reports: usize,
}

impl MadeGood {
    pub(super) fn metres(&self) -> f64 {
        self.by.length().as_metres()
    }
    pub(super) fn speed_ms(&self) -> f64 {
        if 0.0 < self.seconds { self.metres() / self.seconds } else { 0.0 }
    }
    pub(super) fn velocity_ms(&self) -> Offset {
        let per_s = if 0.0 < self.seconds { 1.0 / self.seconds } else { 0.0 };
        Offset { east_m: self.by.east_m * per_s, north_m: self.by.north_m * per_s }
    }
}

/// The last few reports, oldest first.
#[derive(Clone, Debug, Default)]
pub(super) struct Motion {
    kept: Vec<Seen>,
}

impl Motion {
    pub(super) fn clear(&mut self) {
        self.kept.clear();
    }

    #[cfg(test)]
    pub(super) fn bytes(&self) -> usize {
        self.kept.capacity() * size_of::<Seen>()
    }

    pub(super) fn last(&self) -> Option<&Seen> {
        self.kept.last()
    }

    /// The report before the last.
    pub(super) fn before_last(&self) -> Option<&Seen> {
        self.kept.len().checked_sub(2).and_then(|i| self.kept.get(i))
    }

    /// Seconds from the report before to the last.
    pub(super) fn since_before_s(&self) -> Option<f64> {
        Some(self.last()?.at_s - self.before_last()?.at_s)
    }

    /// Adds a report. Reports of the same half minute as the one before the last replace it, so that a vessel that
    /// reports every two seconds still leaves minutes behind her.
    pub(super) fn add(&mut self, seen: Seen) {
        if let [.., before, last] = self.kept.as_slice()
            && last.at_s - before.at_s < DENSEST_S
        {
            self.kept.pop();
        }
        if self.kept.len() == KEPT {
            self.kept.remove(0);
        }
        if self.kept.capacity() == 0 {
            self.kept.reserve_exact(KEPT);
        }
        self.kept.push(seen);
    }

    /// What she made good since the latest report that is at least so old, or the oldest kept if none is.
    pub(super) fn since(&self, seconds_ago: f64) -> Option<MadeGood> {
        let last = self.kept.last()?;
        let from = self.kept.iter().rposition(|seen| seconds_ago <= last.at_s - seen.at_s).unwrap_or(0);
        Some(self.between(from, last))
    }

    /// What she made good since the first report after an instant.
    pub(super) fn after(&self, at_s: f64) -> Option<MadeGood> {
        let last = self.kept.last()?;
        let from = self.kept.iter().position(|seen| at_s <= seen.at_s)?;
        Some(self.between(from, last))
    }

    fn between(&self, from: usize, last: &Seen) -> MadeGood {
        let stretch = &self.kept[from..];
        let first = &stretch[0];
        let turned_deg = stretch.iter().try_fold(0.0_f64, |most, seen| {
            let (then, now) = seen.heading.zip(last.heading)?;
            Some(most.max(then.to(now).as_degrees().abs()))
        });
        MadeGood {
            seconds: last.at_s - first.at_s,
            by: last.antenna - first.antenna,
            turned_deg,
            reports: stretch.len(),
        }
    }

    /// The reports, latest first.
    pub(super) fn latest(&self) -> impl Iterator<Item = &Seen> {
        self.kept.iter().rev()
    }
}

/// Reports nearer in time than this share a place, s.
const DENSEST_S: f64 = 30.0;

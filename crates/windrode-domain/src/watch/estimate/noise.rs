//! How much everything wanders, by what the boat has to tell it.

/// Deviations and times of all that is not the anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Slow error of a fix along either axis, m.
    pub bias_m: f64,
    /// How long it lasts, s.
    pub bias_s: f64,
    /// Swing residual, m.
    pub swing_m: f64,
    /// How long it lasts, s.
    pub swing_s: f64,
    /// Error of one sample of 5 s that has no memory, m.
    pub place_m: f64,
    /// Walk of the anchor, m²/s.
    pub anchor_walk_m2_s: f64,
    /// Walk of the radius error, m²/s.
    pub radius_walk_m2_s: f64,
    /// Walk of a drag's speed, m²/s³.
    pub speed_walk_m2_s3: f64,
    /// So well at the best is it known across the rode where the anchor lies, as a share of the reach.
    pub across_share: f64,
}

const HOUR_S: f64 = 3600.0;

impl Noise {
    /// By what is there: Doppler, heading, wind.
    ///
    /// Slow error of open-sky receivers 0.5 to 1.5 m per axis over 200 to 1500 s, from memory: the worse end, since a
    /// receiver that is worse than thought rings every night. Without Doppler the bursts stay in the fix.
    pub fn by(doppler: bool, heading: bool, wind: bool) -> Self {
        let (bias_m, bias_s) = if doppler { (1.5, 450.0) } else { (1.8, 300.0) };
        // Yaw about the bow moves an antenna by metres: without heading that stays in the swing.
        let (swing_m, swing_s, place_m) = if heading { (1.0, 35.0, 0.4) } else { (1.8, 50.0, 0.8) };
        // Per root hour, as said above in metres; without wind every change of load is a change of the radius, and
        // without heading every change of the sheer: an antenna a aft goes `a (1 - cos yaw)` in, 0.3 to 0.7 m.
        let radius_m = match (heading, wind) {
            (_, false) => 0.7_f64,
            (false, true) => 0.5,
            (true, true) => 0.35,
        };
        // An antenna beside the middle line comes out on one sheer and in on the other as if the anchor lay aside: 1 m
        // to starboard on 9 m aft looks like a ninth of the reach. Half of that is left open.
        let across_share = if heading { 0.0 } else { 0.05 };
        Self {
            bias_m,
            bias_s,
            swing_m,
            swing_s,
            place_m,
            anchor_walk_m2_s: 0.2_f64.powi(2) / HOUR_S,
            radius_walk_m2_s: radius_m * radius_m / HOUR_S,
            speed_walk_m2_s3: 0.0,
            across_share,
        }
    }
}

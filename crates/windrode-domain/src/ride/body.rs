//! The boat as a body that moves level: what she weighs, what the wind and the water have of her.
//!
//! Engineering estimates, from memory, low confidence, given at a waterline of 10.8 m (12 m over all) and scaled:
//! masses by the cube of the length, areas by the square. A scenario spreads them; windage comes from
//! [`crate::environment::windage`], the one estimate there is.

use crate::boat::{Hull, HullKind};

/// Waterline for which the figures were set down, m.
const REMEMBERED_WATERLINE_M: f64 = 10.8;
/// Waterline over length over all.
pub const WATERLINE_SHARE: f64 = 0.90;

/// Mass with the water that she takes along ahead and astern, over her own.
const WITH_SURGING_WATER: f64 = 1.07;

/// A plate that stands in the water: keel, rudder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fin {
    /// Area, m².
    pub area_m2: f64,
    /// Ahead of the centre of gravity, m.
    pub ahead_m: f64,
    /// Lift per radian of leeway, over dynamic pressure and area.
    pub lift_slope: f64,
    /// Most lift, over the same.
    pub lift_most: f64,
    /// Drag broadside on, over the same.
    pub drag_across: f64,
}

/// Everything of the boat that the ride needs, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Length on the waterline, m.
    pub waterline_m: f64,
    /// Beam, m: what the waves push against.
    pub beam_m: f64,
    /// Mass and the water she takes along, ahead and astern, kg: `m + mx`.
    pub surge_kg: f64,
    /// The same, abeam: `m + my`.
    pub sway_kg: f64,
    /// What turns her broadside to a flow (Munk), kg: `mM`, of the hull alone.
    pub munk_kg: f64,
    /// Inertia about the upright axis and the water's share, kg m²: `Iz + Jz`.
    pub yaw_kg_m2: f64,
    /// Drag area head to wind, m²: `CxA`.
    pub head_on_m2: f64,
    /// Drag area beam on, m²: `CyA`.
    pub beam_on_m2: f64,
    /// How far ahead of amidships the wind takes hold at small angles, over the waterline: `xw0`.
    pub wind_lead: f64,
    /// Draught of the hull without keel, m.
    pub hull_draught_m: f64,
    /// Drag of the hull broadside on, over dynamic pressure and profile.
    pub hull_drag_across: f64,
    /// Keel.
    pub keel: Fin,
    /// Rudder.
    pub rudder: Fin,
    /// Resistance ahead, N s²/m²: `Xuu`.
    pub surge_square: f64,
    /// Resistance ahead, N s/m: `Xu`.
    pub surge_linear: f64,
    /// Damping of the rode, N s/m: `c_line`.
    pub line_damping: f64,
    /// The roller ahead of the centre of gravity, m.
    pub roller_ahead_m: f64,
    /// Where a bridle's legs meet, ahead of the roller, m; nothing without one.
    pub bridle_m: f64,
}

impl Body {
    /// The middle of the estimates for a kind and a waterline; drag areas in m².
    pub fn usual(kind: HullKind, waterline_m: f64, head_on_m2: f64, beam_ratio: f64) -> Self {
        let sc = waterline_m / REMEMBERED_WATERLINE_M;
        let (area, mass_kg) = (sc * sc, 9000.0 * mass_share(kind) * sc.powi(3));
        let gyration_m = 0.275 * waterline_m;
        let yaw_kg_m2 = 1.9 * mass_kg * gyration_m * gyration_m;
        let fin = |area_m2: f64, ahead: f64| Fin {
            area_m2: area_m2 * area,
            ahead_m: ahead * waterline_m,
            lift_slope: 3.2,
            lift_most: 1.0,
            drag_across: 1.1,
        };
        let (keel_m2, rudder_m2, lead, bridle) = by_kind(kind);
        Self {
            waterline_m,
            beam_m: waterline_m * if kind == HullKind::Multihull { 0.55 } else { 0.35 },
            surge_kg: WITH_SURGING_WATER * mass_kg,
            sway_kg: 1.9 * mass_kg,
            munk_kg: 0.28 * mass_kg,
            yaw_kg_m2,
            head_on_m2,
            beam_on_m2: head_on_m2 * beam_ratio,
            wind_lead: lead,
            hull_draught_m: 0.052 * waterline_m,
            hull_drag_across: 0.8,
            keel: fin(keel_m2, 0.02),
            rudder: fin(rudder_m2, -0.42),
            surge_square: 150.0 * area,
            surge_linear: 25.0 * area,
            line_damping: 250.0 * area,
            roller_ahead_m: 0.53 * waterline_m,
            bridle_m: bridle * waterline_m,
        }
    }

    /// A hull whose dimensions are known, else as usual; drag areas in m².
    pub fn of_hull(hull: &Hull, head_on_m2: f64, beam_ratio: f64) -> Self {
        let usual = Self::usual(hull.kind, hull.waterline_length.as_metres(), head_on_m2, beam_ratio);
        let heavier = hull.displacement.as_kilograms() * WITH_SURGING_WATER / usual.surge_kg;
        Self {
            beam_m: hull.beam.as_metres(),
            hull_draught_m: hull.canoe_draught.as_metres(),
            surge_kg: usual.surge_kg * heavier,
            sway_kg: usual.sway_kg * heavier,
            munk_kg: usual.munk_kg * heavier,
            yaw_kg_m2: usual.yaw_kg_m2 * heavier,
            ..usual
        }
    }

    /// A ship: no keel, the wind's hold further forward; drag areas in m².
    pub fn ship(waterline_m: f64, head_on_m2: f64, beam_ratio: f64) -> Self {
        let yacht = Self::usual(HullKind::Motor, waterline_m, head_on_m2, beam_ratio);
        let none = Fin { area_m2: 0.0, ..yacht.keel };
        Self { keel: none, wind_lead: 0.21, beam_m: 0.16 * waterline_m, ..yacht }
    }

    /// Where the rode takes hold, ahead of the centre of gravity, m.
    pub const fn hold_ahead_m(&self) -> f64 {
        self.roller_ahead_m + self.bridle_m
    }
}

/// Displacement beside a sailing monohull's of the same waterline: estimates, from memory.
const fn mass_share(kind: HullKind) -> f64 {
    match kind {
        HullKind::MonohullSail => 1.0,
        HullKind::Motor => 1.15,
        HullKind::Multihull => 0.75,
    }
}

/// Keel and rudder area at 10.8 m of waterline (m²), the wind's lead over the waterline, the bridle over the
/// waterline: estimates, from memory.
const fn by_kind(kind: HullKind) -> (f64, f64, f64, f64) {
    match kind {
        HullKind::MonohullSail => (2.5, 0.8, 0.14, 0.0),
        HullKind::Motor => (0.8, 0.5, 0.14, 0.0),
        HullKind::Multihull => (1.6, 0.8, 0.06, 0.35),
    }
}

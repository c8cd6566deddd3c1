//! How long the chance of dragging takes: two days of ten-minute instants, two dozen depths, a proof.

use windrode_domain::chance::{
    ChanceOfDragging, DemandCurve, DemandNode, GustPeak, InstantLoad, Spreads, Stay, chance_of_dragging,
};
use windrode_domain::holding::{Bed, HoldingBand};
use windrode_domain::set::{Proof, ProvedLoad};
use windrode_domain::sourced::{Confidence, Sourced};
use windrode_domain::tackle::AnchorClass;
use windrode_domain::uncertain::Lognormal;
use windrode_domain::units::{Angle, Bearing, Force, Mass};

fn main() {
    divan::main();
}

/// Rode lying in one of 24 depths: the shallower, the later it lifts.
fn curve(depth: u32) -> DemandCurve {
    let lift_n = 1000.0 + 50.0 * f64::from(depth);
    let rows = [(0.2, 0.6, 0.0), (1.0, 0.0, 0.0), (2.0, 0.0, 6.0), (4.0, 0.0, 9.0), (60.0, 0.0, 11.0)];
    let nodes = rows.map(|(bow, lying, uplift)| DemandNode {
        bow: Force::newtons(bow * lift_n),
        chain_lying: Force::newtons(lying * 500.0),
        uplift: Angle::degrees(uplift),
    });
    DemandCurve::new(&nodes).expect("the rows rise")
}

/// Wind of one instant of 289: a front passes in the second night.
fn instant(i: u32, strength_n: f64) -> InstantLoad {
    let front = (-((f64::from(i) - 200.0) / 40.0).powi(2)).exp();
    InstantLoad {
        wind: Force::newtons(strength_n * (0.3 + 0.7 * front)),
        other: Force::newtons(100.0),
        gust: GustPeak { location: 1.4, scale: 0.08 },
        renewals: 1.0,
        forecast_sigma_ln: 0.05 + 0.01 * f64::from(i / 18),
        toward: Bearing::degrees(f64::from(i)),
        curve: (i % 24) as usize,
    }
}

fn band(low: f64, high: f64) -> Lognormal {
    Lognormal::from_p10_p90(low, high).expect("a range of positive numbers")
}

fn judge(strength_n: f64) -> ChanceOfDragging {
    let instants: Vec<_> = (0..289).map(|i| instant(i, strength_n)).collect();
    let curves: Vec<_> = (0..24).map(curve).collect();
    let load = ProvedLoad::certain(Force::newtons(1500.0));
    let proof = Proof { load, toward: Bearing::degrees(180.0), uplift: Angle::degrees(2.0) };
    let holding = HoldingBand::on_bed(AnchorClass::Scoop, Mass::kilograms(20.0), Bed::FirmSand);
    let stay = Stay {
        instants: &instants,
        curves: &curves,
        holding: holding.expect("twenty kilograms"),
        spreads: Spreads {
            windage_class_ln: 0.2,
            windage_boat_ln: 0.1,
            sheer: band(1.2, 1.6),
            amplification: band(0.8, 1.1),
            friction: band(0.74, 0.98),
            gust_model_ln: 0.1,
        },
        proof: Some(&proof),
        failing_to_set: Sourced::new(0.03, "", Confidence::Low),
    };
    chance_of_dragging(&stay).expect("a stay that can be")
}

/// From a quiet night to one in which nothing holds.
#[divan::bench(args = [200.0, 600.0, 2000.0])]
fn two_days(strength_n: f64) -> ChanceOfDragging {
    judge(divan::black_box(strength_n))
}

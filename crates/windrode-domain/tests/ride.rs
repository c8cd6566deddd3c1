//! The boat at anchor in time, held against what is known of it.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use windrode_domain::boat::HullKind;
use windrode_domain::catenary::{Line, Segment};
use windrode_domain::position::Offset;
use windrode_domain::ride::body::Body;
use windrode_domain::ride::gusts::Gusts;
use windrode_domain::ride::sea::Heaving;
use windrode_domain::ride::{Moored, Ride, Surroundings, sheer};
use windrode_domain::units::{Bearing, Force, Length, WeightPerLength};

fn line() -> Line {
    let segment = |length_m, weight_n_m, stiffness_n| Segment {
        length: Length::metres(length_m),
        weight: WeightPerLength::newtons_per_metre(weight_n_m),
        stiffness: Force::newtons(stiffness_n),
    };
    Line::new(vec![segment(32.0, 19.6, 8.5e6), segment(8.0, 0.1, 40_000.0)], vec![]).unwrap()
}
fn begun(body: Body, heading_deg: f64, load_n: f64) -> Ride {
    let height = Length::metres(7.2);
    let moored = Moored {
        body,
        line: &line(),
        heights: (height, height),
        friction: 0.7,
        anchor: Offset::ORIGIN,
        heading: Bearing::degrees(heading_deg),
        load_n,
    };
    Ride::begun(&moored).unwrap()
}
#[test]
fn look() {
    for (ti, wind_ms) in [
        (0.0, 5.0),
        (0.0, 10.0),
        (0.0, 16.0),
        (0.0, 20.0),
        (0.15, 5.0),
        (0.15, 10.0),
        (0.15, 16.0),
        (0.15, 20.0),
    ] {
        for lead in [0.06, 0.115, 0.14, 0.17] {
            let dt = 0.25;
            let body = Body { wind_lead: lead, ..Body::usual(HullKind::MonohullSail, 10.8, 7.5, 24.0 / 7.5) };
            let t = 0.5 * 1.225 * 7.5 * wind_ms * wind_ms;
            let mut ride = begun(body, 5.0, t);
            let mut rng = Pcg64::seed_from_u64(1);
            let mut gusts = Gusts::begun(&mut rng);
            let (mut yaws, mut loads, mut sweeps, mut peak) = (vec![], vec![], vec![], 0.0f64);
            for second in 0..14400 {
                let g = gusts.step(&mut rng);
                let u = wind_ms * (1.0 + ti * g.strength);
                let a = if ti > 0.0 { g.veered_deg.to_radians() } else { 0.0 };
                let about = Surroundings {
                    wind_north_ms: -u * a.cos(),
                    wind_east_ms: -u * a.sin(),
                    ..Default::default()
                };
                let n = (1.0f64 / dt) as i32;
                for _ in 0..n {
                    ride.step(dt, &about, Heaving::default());
                    if second > 3600 {
                        peak = peak.max(ride.load_n());
                        loads.push(ride.load_n());
                    }
                }
                if second > 3600 {
                    let h = ride.heading().as_degrees();
                    yaws.push(if h > 180.0 { h - 360.0 } else { h });
                    let b = ride.bow();
                    sweeps.push(b.east_m.atan2(-b.north_m).to_degrees());
                }
            }
            let crossings = yaws.windows(2).filter(|w| w[0] <= 0.0 && 0.0 < w[1]).count();
            let p99 = |v: &[f64]| {
                let mut a: Vec<f64> = v.iter().map(|x| x.abs()).collect();
                a.sort_by(f64::total_cmp);
                a[a.len() * 99 / 100]
            };
            let mean = loads.iter().sum::<f64>() / loads.len() as f64;
            let std = (yaws.iter().map(|y| y * y).sum::<f64>() / yaws.len() as f64).sqrt();
            let s = sheer::bow_to_wind(&body, wind_ms, ride.distance_at_m(t));
            println!(
                "lead {lead} U {wind_ms} TI {ti} dt {dt}: yaw p99 {:.1} std {std:.3} sweep {:.1} period {:.0} formula {:?} side {:.2} growth {:.4} mean {mean:.2} ratio {:.3} peak/mean {:.2} steps {}",
                p99(&yaws),
                p99(&sweeps),
                10800.0 / crossings as f64,
                s.period_s,
                s.side_over_restoring,
                s.growth_1_s,
                mean / t,
                peak / mean,
                ride.steps_a_second()
            );
        }
    }
}

//! Three hundred random rodes against the line's own equation, integrated by scipy: `authorities/catenary`.
//!
//! Segments of chain and rope mixed, some afloat; kellets, many standing at the touchdown; slopes of 30° either way;
//! friction in some. Half go from the load to the distance, half the other way.

use serde::Deserialize;
use windrode_domain::catenary::{Bed, Contact, Kellet, Lie, Line, Segment};
use windrode_domain::units::{Angle, Force, Length, WeightPerLength};

#[derive(Deserialize)]
struct Authority {
    cases: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    case: Case,
    expected: Expected,
}

#[derive(Deserialize)]
struct Case {
    segments: Vec<SegmentRow>,
    kellets: Vec<KelletRow>,
    slope_deg: f64,
    height_m: f64,
    friction: Option<f64>,
    horizontal_n: Option<f64>,
    distance_m: Option<f64>,
}

#[derive(Deserialize)]
struct SegmentRow {
    length_m: f64,
    weight_n_per_m: f64,
    ea_n: f64,
}

#[derive(Deserialize)]
struct KelletRow {
    from_anchor_m: f64,
    weight_n: f64,
}

#[derive(Deserialize)]
struct Expected {
    horizontal_n: f64,
    distance_m: f64,
    vertical_n: f64,
    tension_n: f64,
    grounded_m: f64,
    anchor_vertical_n: f64,
    anchor_horizontal_n: f64,
    uplift_deg: f64,
    regime: String,
}

fn authority() -> Vec<Row> {
    let text = include_str!("../../../authorities/catenary/scipy_cases.json");
    serde_json::from_str::<Authority>(text).unwrap().cases
}

impl Case {
    fn line(&self) -> Line {
        let segments = self.segments.iter().map(|s| Segment {
            length: Length::metres(s.length_m),
            weight: WeightPerLength::newtons_per_metre(s.weight_n_per_m),
            stiffness: Force::newtons(s.ea_n),
        });
        let kellets = self.kellets.iter().map(|k| Kellet {
            from_anchor: Length::metres(k.from_anchor_m),
            weight: Force::newtons(k.weight_n),
        });
        Line::new(segments.collect(), kellets.collect()).unwrap()
    }

    fn bed(&self) -> Bed {
        Bed { slope: Angle::degrees(self.slope_deg), friction: self.friction.unwrap_or(0.0) }
    }

    fn lie(&self) -> Lie {
        let height = Length::metres(self.height_m);
        let lie = match (self.horizontal_n, self.distance_m) {
            (Some(load_n), None) => self.line().under_load(height, Force::newtons(load_n), &self.bed()),
            (None, Some(distance_m)) => {
                self.line().at_distance(height, Length::metres(distance_m), &self.bed())
            }
            _ => panic!("a case gives either the load or the distance"),
        };
        lie.unwrap_or_else(|error| panic!("{error}"))
    }

    /// How the load answers to the distance, N/m, by a millionth of the load either way.
    fn stiffness_n_m(&self, load_n: f64) -> f64 {
        let reach = |load_n: f64| {
            let lie =
                self.line().under_load(Length::metres(self.height_m), Force::newtons(load_n), &self.bed());
            lie.unwrap().distance().as_metres()
        };
        let step_n = 1e-6 * load_n;
        2.0 * step_n / (reach(load_n + step_n) - reach(load_n - step_n))
    }
}

#[test]
fn three_hundred_random_rodes_lie_as_the_integrated_equation_says() {
    let rows = authority();
    assert!(240 <= rows.len());
    for (number, Row { case, expected }) in rows.iter().enumerate() {
        let lie = case.lie();
        // The integration keeps 1e-12 of each step, tens of steps over up to 3 km: 1e-8 m at worst. Where the
        // distance was given, that doubt goes into the load through the rode's stiffness, and from there into every
        // force.
        let reach_tolerance_m = 1e-8;
        let load_tolerance_n = match case.distance_m {
            Some(_) => {
                1e-9 * expected.horizontal_n + reach_tolerance_m * case.stiffness_n_m(expected.horizontal_n)
            }
            None => 1e-9 * expected.horizontal_n,
        };
        let force_tolerance_n = 1e-6 + 3.0 * load_tolerance_n + 1e-8 * expected.tension_n;
        // The grounded length answers to a force by the weight of the foot; the lightest foot here is of
        // feather rope.
        let lightest_n_m = case.segments.iter().map(|s| s.weight_n_per_m.abs()).fold(f64::INFINITY, f64::min);
        let check = |what: &str, ours: f64, theirs: f64, tolerance: f64| {
            assert!((ours - theirs).abs() <= tolerance, "case {number}, {what}: {ours} against {theirs}");
        };
        check("horizontal", lie.horizontal().as_newtons(), expected.horizontal_n, load_tolerance_n);
        check("distance", lie.distance().as_metres(), expected.distance_m, reach_tolerance_m);
        check("vertical", lie.vertical().as_newtons(), expected.vertical_n, force_tolerance_n);
        check("tension", lie.tension().as_newtons(), expected.tension_n, force_tolerance_n);
        let anchor = (lie.anchor_vertical().as_newtons(), lie.anchor_horizontal().as_newtons());
        check("anchor vertical", anchor.0, expected.anchor_vertical_n, force_tolerance_n);
        check("anchor horizontal", anchor.1, expected.anchor_horizontal_n, force_tolerance_n);
        let angle_tolerance_deg = (force_tolerance_n / expected.horizontal_n).to_degrees();
        check("uplift", lie.uplift().as_degrees(), expected.uplift_deg, angle_tolerance_deg);
        let length_tolerance_m = 1e-8 + force_tolerance_n / lightest_n_m.max(1e-3);
        check("grounded", lie.grounded().as_metres(), expected.grounded_m, length_tolerance_m);
        let regime = match lie.contact() {
            Contact::Grounded { .. } => "grounded",
            Contact::KelletAtTouchdown { .. } => "kellet_at_touchdown",
            Contact::Lifted { .. } => "lifted",
        };
        assert_eq!(regime, expected.regime, "case {number}");
    }
}

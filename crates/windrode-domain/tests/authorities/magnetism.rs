//! Declination against pygeomag reading the same coefficients
//! (`authorities/magnetism/wmm2025_oracle_pygeomag.json`).

use jiff::{SignedDuration, Timestamp};
use windrode_domain::environment::magnetism::variation;
use windrode_domain::position::Position;

#[derive(serde::Deserialize)]
struct Authority {
    cases: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    lat: f64,
    lon: f64,
    year: f64,
    #[serde(rename = "D")]
    declination_deg: f64,
}

/// The instant that a year with its fraction means.
fn instant(year: f64) -> Timestamp {
    let begins = |year: f64| format!("{year:04.0}-01-01T00:00:00Z").parse::<Timestamp>().unwrap();
    let (from, to) = (begins(year.floor()), begins(year.floor() + 1.0));
    from + SignedDuration::from_secs_f64(to.duration_since(from).as_secs_f64() * year.fract())
}

#[test]
fn the_compass_points_where_the_authority_says() {
    let text = include_str!("../../../../authorities/magnetism/wmm2025_oracle_pygeomag.json");
    let authority: Authority = serde_json::from_str(text).unwrap();
    assert_eq!(authority.cases.len(), 60);
    for case in authority.cases {
        let place = Position::new(case.lat, case.lon).unwrap();
        let found_deg = variation(place, instant(case.year)).unwrap().east.as_degrees();
        // Both sum the same series in doubles; the other rounds the ellipsoid to 0.1 mm, 3·10⁻⁴ / 6.4·10⁶ of the
        // field and some 1e-9 degrees, more where the horizontal part is weak.
        let off_deg = (found_deg - case.declination_deg).abs();
        assert!(
            off_deg < 1e-8,
            "{} {} {}: {found_deg} against {}",
            case.lat,
            case.lon,
            case.year,
            case.declination_deg
        );
    }
}

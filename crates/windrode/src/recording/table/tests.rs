//! Tables of recorded nights: what is read, what is unknown, what is refused.

use super::*;

fn table(text: &str) -> Table {
    read("night.csv", text.as_bytes()).unwrap()
}

fn problems(text: &str) -> Vec<String> {
    read("night.csv", text.as_bytes()).unwrap_err()
}

#[test]
fn columns_are_found_by_name_in_any_order_and_others_are_not_read() {
    let table =
        table("class,lon,heading,LAT,t_utc\n\"at anchor, off a quay\",-16.5,142,13.4,2014-08-14T21:09:10\n");
    let row = &table.rows[0];
    assert_eq!(row.place, Some(Position::new(13.4, -16.5).unwrap()));
    assert_eq!(row.heading, Some(Bearing::degrees(142.0)));
    assert_eq!(row.at, "2014-08-14T21:09:10Z".parse().unwrap());
    assert_eq!((row.speed, row.wind, row.depth), (None, None, None));
    assert_eq!(table.columns, ["t_utc", "lat", "lon", "heading"]);
}

#[test]
fn what_is_empty_or_not_available_is_unknown() {
    let text = "t_utc,lat,lon,heading,sog_kn,cog,wind_kn,wind_from_deg,depth_m,mmsi\n\
                100,91,181,511,102.3,360,,,,240000000\n101,,,,,,12,,,\n";
    let table = table(text);
    for row in &table.rows {
        assert_eq!((row.place, row.heading, row.speed, row.wind, row.depth), (None, None, None, None, None));
    }
    assert_eq!(table.rows[0].mmsi, Some(240_000_000));
}

#[test]
fn the_wind_blows_from_where_it_is_said_to() {
    let table = table("t_utc,lat,lon,wind_kn,wind_from_deg\n0,1,2,10,270\n");
    let wind = table.rows[0].wind.unwrap();
    // A knot is 1852/3600 m/s; a west wind goes east.
    assert!((wind.east_ms - 18_520.0 / 3600.0).abs() < 1e-9 && wind.north_ms.abs() < 1e-9);
}

#[test]
fn the_step_of_the_speeds_is_that_of_the_finest() {
    let step = |speeds: &str| {
        let rows = format!("0,1,2,{}\n", speeds.replace(' ', "\n0,1,2,"));
        table(&format!("t_utc,lat,lon,sog_kn\n{rows}")).speed_step.as_knots()
    };
    for (speeds, wanted) in [
        ("0.1 0.3", 0.1),
        ("0.10000000149011612 3.299999952316284", 0.1),
        ("0.12 0.3", 0.01),
        ("0.00 0.00", 0.01),
        ("0.123456 0.2", 0.0001),
        ("1 2", 1.0),
    ] {
        assert!((step(speeds) - wanted).abs() < 1e-12, "{speeds}");
    }
}

#[test]
fn lines_out_of_order_are_put_in_order_and_told() {
    let mut table = table("t_utc,lat,lon,segment\n10,1,2,a\n5,1,2,a\n7,1,2,a\n1,1,2,b\n");
    table.put_in_order();
    let seconds: Vec<i64> = table.rows.iter().map(|row| row.at.as_second()).collect();
    assert_eq!(seconds, [1, 5, 7, 10]);
    assert_eq!(table.notes, ["lines that tell an earlier time than one above and were put in order: 2"]);
}

#[test]
fn a_last_line_torn_off_is_left_out_and_told() {
    let table = table("t_utc,lat,lon\n10,1,2\n11,1");
    assert_eq!(table.rows.len(), 1);
    assert!(table.notes[0].contains("torn"));
}

#[test]
fn every_problem_is_told_at_once_where_it_stands() {
    let found =
        problems("t_utc,lat,lon,depth_m\nnoon,1,2,3\n1,95,2,3\n2,1,2,deep\n3,1,2\n4,1,,2\n5,1,2,nan\n");
    assert_eq!(
        found,
        [
            "night.csv:2:1: t_utc: \"noon\" is not a time in UTC, such as 2026-11-27T05:00:00Z",
            "night.csv:3:3: lat: \"95\" is not between -90 and 90 (mend it, or leave it empty)",
            "night.csv:4:7: depth_m: \"deep\" is not a number (leave it empty where it is not known)",
            "night.csv:5:1: line: has 3 fields and the column names are 4",
            "night.csv:6:5: lon: is empty where the other is not (give both, or neither)",
            "night.csv:7:7: depth_m: \"nan\" is not a number (leave it empty where it is not known)",
        ]
    );
}

#[test]
fn a_missing_column_is_told_with_the_nearest_there() {
    let found = problems("t_utc,latitude,lng\n1,2,3\n");
    assert_eq!(found.len(), 2);
    assert!(
        found[0].contains("night.csv:1:1: lat: is missing") && found[0].contains("\"latitude\""),
        "{found:?}"
    );
}

#[test]
fn a_flood_of_problems_is_cut_short_and_says_so() {
    let found = problems(&format!("t_utc,lat,lon\n{}", "x,1,2\n".repeat(500)));
    assert_eq!(found.len(), MOST_PROBLEMS + 1);
    assert_eq!(found.last().unwrap(), "night.csv: has 450 more problems");
}

#[test]
fn what_is_no_text_or_has_no_lines_is_refused() {
    assert!(
        read("night.csv", b"t_utc,lat,lon\n\xff,1,2\n").unwrap_err()[0].contains("night.csv:2: is not UTF-8")
    );
    assert!(problems("t_utc,lat,lon\n")[0].contains("no line below"));
    assert!(problems("# only a remark\n")[0].contains("no line of column names"));
}

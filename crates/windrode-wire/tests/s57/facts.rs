//! Facts of charts made by hand: a square with a hole, a line, soundings, texts of all levels, and their updates.
//!
//! Expected values follow from IHO S-57 edition 3.1, part 3, and from the invented coordinates themselves.

use windrode_wire::s57::geometry::Geometry;
use windrode_wire::s57::refusal::ChartError;
use windrode_wire::s57::{Chart, Feature, Remark};

use crate::made::{
    CHART, Head, Which, attributes, edge, feature, file, file_with, i32s, pointer, spatial, u16s, update,
    wide_attributes,
};

const DEPARE: u16 = 42;
const DEPCNT: u16 = 43;
const SOUNDG: u16 = 129;
const DRVAL1: u16 = 87;
const OBJNAM: u16 = 116;
const NOBJNM: u16 = 301;
/// Of no catalogue.
const UNKNOWN: u16 = 21_000;

const NEW: Head = Head { number: 1, primitive: 3, class: DEPARE, version: 1, instruction: 1 };

/// A square of a hundredth of a degree at the equator, with a square hole of a fifth of that in its middle.
fn records() -> Vec<Vec<u8>> {
    let node = |number, place: &[i32]| spatial(120, number, 1, 1, &[("SG2D", i32s(place))]);
    let boundary = [pointer(130, 1, 1, 1), pointer(130, 2, 2, 1), pointer(130, 3, 1, 2)].concat();
    let area = feature(
        NEW,
        &[
            ("FOID", [u16s(&[550]), 7_u32.to_le_bytes().to_vec(), u16s(&[1])].concat()),
            ("ATTF", attributes(&[(DRVAL1, "-1.5"), (OBJNAM, "Caf\u{e9} Bight"), (UNKNOWN, "x")])),
            ("NATF", wide_attributes(&[(NOBJNM, "\u{17b}abia \u{141}acha")])),
            ("FSPT", boundary),
        ],
    );
    vec![
        spatial(110, 1, 1, 1, &[("SG3D", i32s(&[20_000, 20_000, 35, 20_000, 80_000, -12]))]),
        node(1, &[0, 0]),
        node(2, &[100_000, 100_000]),
        node(3, &[40_000, 40_000]),
        edge(1, 1, 2, &[0, 100_000]),
        edge(2, 1, 2, &[100_000, 0]),
        edge(3, 3, 3, &[40_000, 60_000, 60_000, 60_000, 60_000, 40_000]),
        area,
        feature(
            Head { number: 2, primitive: 2, class: DEPCNT, ..NEW },
            &[("FSPT", [pointer(130, 1, 1, 255), pointer(130, 2, 2, 255)].concat())],
        ),
        feature(
            Head { number: 3, primitive: 1, class: SOUNDG, ..NEW },
            &[("FSPT", pointer(110, 1, 255, 255))],
        ),
        feature(
            Head { number: 4, primitive: 255, class: UNKNOWN, ..NEW },
            &[("ATTF", attributes(&[(OBJNAM, "")]))],
        ),
    ]
}

fn read(records: &[Vec<u8>]) -> Result<Chart, ChartError> {
    Chart::read(&file(CHART, records), &[])
}

/// The chart with updates that hold these records, one file each.
fn updated(updates: &[Vec<Vec<u8>>]) -> Result<Chart, ChartError> {
    let numbers = ["1", "2", "3"];
    let files: Vec<Vec<u8>> =
        updates.iter().zip(numbers).map(|(records, number)| file(update(number), records)).collect();
    let files: Vec<&[u8]> = files.iter().map(Vec::as_slice).collect();
    Chart::read(&file(CHART, &records()), &files)
}

fn area_m2(chart: &Chart, feature: &Feature) -> f64 {
    let Geometry::Area(area) = chart.geometry(feature) else { panic!("no area") };
    area.area_m2()
}

#[track_caller]
fn refused(read: Result<Chart, ChartError>, words: &str) {
    let refusal = read.map(|_| ()).unwrap_err().to_string();
    assert!(refusal.contains(words), "{refusal}");
}

#[test]
fn texts_of_every_level_are_read_and_unlisted_codes_are_kept() {
    let chart = read(&records()).unwrap();
    let area = chart.feature(1).unwrap();
    assert_eq!(area.text("OBJNAM"), Some("Caf\u{e9} Bight"));
    assert_eq!(area.national().text(NOBJNM).unwrap(), "\u{17b}abia \u{141}acha");
    assert_eq!(area.attributes().text(UNKNOWN), Some("x"));
    assert_eq!(area.number_of("DRVAL1"), Some(-1.5));
    let unknown = chart.feature(4).unwrap();
    assert_eq!((unknown.class().listed(), &*unknown.class().acronym()), (None, "21000"));
    // An empty value is unknown, not a text and not nought.
    assert_eq!((unknown.text("OBJNAM"), unknown.number_of("DRVAL1")), (None, None));
    assert_eq!(chart.geometry(unknown), Geometry::None);
}

#[test]
fn an_area_has_its_hole_taken_off() {
    let chart = read(&records()).unwrap();
    let area = chart.feature(1).unwrap();
    // A degree at the equator is 110 574.3 m of latitude and 111 319.5 m of longitude on WGS 84.
    let square_m2 = 110_574.3 * 111_319.5 * 1e-4;
    assert!((area_m2(&chart, area) / square_m2 - (1.0 - 0.04)).abs() < 1e-6);
    let Geometry::Area(area) = chart.geometry(area) else { panic!("no area") };
    let at = |latitude_deg, longitude_deg| {
        area.contains(windrode_wire::s57::geometry::Point { latitude_deg, longitude_deg })
    };
    assert!(
        at(0.002, 0.002)
            && at(0.0059, 0.0061)
            && !at(0.005, 0.005)
            && !at(0.011, 0.005)
            && !at(-0.001, 0.005)
    );
}

#[test]
fn edges_that_follow_each_other_are_one_line() {
    let chart = read(&records()).unwrap();
    let Geometry::Lines(lines) = chart.geometry(chart.feature(2).unwrap()) else { panic!("no line") };
    let [line] = lines.as_slice() else { panic!("{lines:?}") };
    let corners: Vec<[f64; 2]> =
        line.points.iter().map(|point| [point.latitude_deg * 100.0, point.longitude_deg * 100.0]).collect();
    assert_eq!(corners, [[0.0, 0.0], [0.0, 1.0], [1.0, 1.0], [1.0, 0.0], [0.0, 0.0]]);
}

#[test]
fn a_depth_above_the_datum_dries() {
    let chart = read(&records()).unwrap();
    let Geometry::Soundings(all) = chart.geometry(chart.feature(3).unwrap()) else { panic!("no soundings") };
    let depths: Vec<f64> = all.iter().map(|sounding| sounding.depth_m).collect();
    assert_eq!(depths, [3.5, -1.2]);
}

#[test]
fn an_update_inserts_deletes_and_modifies() {
    let modify = |number, version| Head { number, version, instruction: 3, ..NEW };
    let control = |what: u8, from: u16, count: u16| [vec![what], u16s(&[from, count])].concat();
    let first = vec![
        // The second sounding goes, another comes before the first.
        spatial(110, 1, 2, 3, &[("SGCC", control(2, 2, 1))]),
        spatial(110, 1, 3, 3, &[("SGCC", control(1, 1, 1)), ("SG3D", i32s(&[1, 1, 99]))]),
        // The hole becomes a triangle.
        spatial(130, 3, 2, 3, &[("SGCC", control(2, 2, 1))]),
        feature(modify(1, 2), &[("ATTF", attributes(&[(DRVAL1, "2"), (OBJNAM, "\u{7f}"), (88, "5")]))]),
        feature(Head { number: 4, version: 2, primitive: 255, class: UNKNOWN, instruction: 2 }, &[]),
    ];
    // The hole goes altogether, and its edge and node.
    let second = vec![
        feature(modify(1, 3), &[("FSPC", control(2, 3, 1))]),
        spatial(130, 3, 3, 2, &[]),
        spatial(120, 3, 2, 2, &[]),
    ];
    let chart = updated(std::slice::from_ref(&first)).unwrap();
    let square_m2 = 110_574.3 * 111_319.5 * 1e-4;
    let area = chart.feature(1).unwrap();
    assert!((area_m2(&chart, area) / square_m2 - (1.0 - 0.02)).abs() < 1e-6);
    assert_eq!(
        (area.number_of("DRVAL1"), area.text("OBJNAM"), area.number_of("DRVAL2")),
        (Some(2.0), None, Some(5.0))
    );
    assert!(chart.feature(4).is_none());
    let Geometry::Soundings(all) = chart.geometry(chart.feature(3).unwrap()) else { panic!("no soundings") };
    assert_eq!(all.iter().map(|sounding| sounding.depth_m).collect::<Vec<_>>(), [9.9, 3.5]);
    assert_eq!((chart.identity().update, chart.remarks().len()), (1, 0));
    let chart = updated(&[first, second]).unwrap();
    assert!((area_m2(&chart, chart.feature(1).unwrap()) / square_m2 - 1.0).abs() < 1e-6);
    assert_eq!(chart.identity().update, 2);
}

#[test]
fn an_update_that_is_missing_or_of_another_edition_or_chart_is_refused() {
    let base = file(CHART, &records());
    let refused_with = |which: Which, words: &str| refused(Chart::read(&base, &[&file(which, &[])]), words);
    refused_with(update("2"), "update 1 is missing");
    refused_with(Which { edition: "4", ..update("1") }, "edition 4");
    refused_with(Which { edition: "0", ..update("1") }, "withdraws");
    refused_with(Which { name: "XX5OTHER.001", ..update("1") }, "another chart");
    refused_with(CHART, "not an update");
    let (one, two) = (file(update("1"), &[]), file(update("2"), &[]));
    assert!(Chart::read(&base, &[&one, &two]).is_ok());
    refused(Chart::read(&base, &[&two, &one]), "update 1 is missing");
    refused(Chart::read(&base, &[&one, &one]), "update 2 is missing");
    refused(Chart::read(&one, &[]), "not a chart");
    // Issued anew with the first update inside.
    let again = file(Which { update: "1", ..CHART }, &records());
    let chart = Chart::read(&again, &[&one, &two]).unwrap();
    assert_eq!(chart.identity().update, 2);
    assert_eq!(chart.remarks(), [Remark::HeldAlready(vec![1])]);
}

#[test]
fn a_change_that_does_not_fit_is_refused() {
    let head = |number, version, instruction| Head { number, version, instruction, ..NEW };
    let control = |what: u8, from: u16, count: u16| [vec![what], u16s(&[from, count])].concat();
    let one = |record: Vec<u8>| updated(&[vec![record]]);
    refused(one(feature(head(9, 2, 3), &[])), "feature 9 is to be changed and is not there");
    refused(one(feature(head(9, 2, 2), &[])), "feature 9 is to be changed and is not there");
    refused(one(feature(head(1, 2, 1), &[("FSPT", pointer(130, 1, 1, 1))])), "feature 1 is there twice");
    refused(one(feature(Head { class: DEPCNT, ..head(1, 2, 3) }, &[])), "another class");
    refused(one(feature(head(1, 2, 3), &[("FSPT", pointer(130, 1, 1, 1))])), "not said");
    refused(one(feature(head(1, 2, 3), &[("FSPC", control(2, 3, 2))])), "cannot be changed");
    refused(one(feature(head(1, 2, 3), &[("FSPC", control(2, 0, 1))])), "cannot be changed");
    refused(
        one(spatial(130, 1, 2, 3, &[("SGCC", control(1, 9, 1)), ("SG2D", i32s(&[0, 0]))])),
        "cannot be changed",
    );
    refused(
        one(spatial(130, 1, 2, 3, &[("SGCC", control(3, 1, 2)), ("SG2D", i32s(&[0, 0]))])),
        "cannot be changed",
    );
    // What others stand on may not go.
    refused(one(spatial(130, 3, 2, 2, &[])), "feature 1 points to edge 3");
    refused(one(spatial(120, 3, 2, 2, &[])), "edge 3 points to connected node 3");
    // A version that does not follow is told.
    let odd = one(feature(head(1, 7, 3), &[])).unwrap();
    assert_eq!(odd.remarks(), [Remark::OutOfStep(1)]);
}

#[test]
fn pointers_to_nothing_and_boundaries_that_do_not_close_are_refused() {
    let mut all = records();
    let area = |more: Vec<u8>| feature(Head { number: 5, ..NEW }, &[("FSPT", more)]);
    let mut with = |record: Vec<u8>| {
        all.push(record);
        let chart = read(&all);
        all.pop();
        chart
    };
    refused(with(area(pointer(130, 9, 1, 1))), "feature 5 points to edge 9, which is not there");
    refused(with(area(pointer(130, 1, 1, 1))), "does not close");
    refused(with(area(pointer(130, 3, 1, 2))), "without an outer boundary");
    refused(with(area(pointer(110, 1, 1, 1))), "lies on a node");
    refused(with(area(Vec::new())), "has no place");
    refused(with(edge(9, 1, 9, &[])), "edge 9 points to connected node 9");
    refused(with(spatial(120, 9, 1, 1, &[])), "has not one place");
    refused(with(spatial(120, 9, 1, 1, &[("SG2D", i32s(&[900_000_001, 0]))])), "off the earth");
    refused(with(spatial(120, 1, 1, 1, &[("SG2D", i32s(&[0, 0]))])), "connected node 1 is there twice");
    refused(with(feature(Head { number: 5, instruction: 3, ..NEW }, &[])), "nothing before it");
    // Out of order and against its direction an edge still closes, and it is told.
    let odd = with(area([pointer(130, 1, 1, 1), pointer(130, 2, 1, 1)].concat())).unwrap();
    assert_eq!(odd.remarks(), [Remark::AgainstDirection(1)]);
    assert!((area_m2(&odd, odd.feature(5).unwrap()) / 110_574.3 / 111_319.5 * 1e4 - 1.0).abs() < 1e-6);
}

#[test]
fn counts_and_parameters_other_than_a_charts_are_refused() {
    let counted =
        |counts| Chart::read(&file_with(CHART, &records(), counts, [2, 10_000_000, 10, 20_000]), &[]);
    assert!(counted([0, 0, 4, 0, 1, 3, 3, 0]).is_ok());
    refused(counted([0, 0, 5, 0, 1, 3, 3, 0]), "says to hold 5 features and holds 4");
    refused(counted([0, 0, u32::MAX, u32::MAX, 1, 3, 3, 0]), "features");
    refused(counted([0, 0, 4, 0, 1, 3, 4, 0]), "4 edges and holds 3");
    let stated = |stated| Chart::read(&file_with(CHART, &records(), [0, 0, 4, 0, 1, 3, 3, 0], stated), &[]);
    refused(stated([1, 10_000_000, 10, 20_000]), "horizontal datum");
    refused(stated([2, 0, 10, 20_000]), "factor of coordinates");
    refused(stated([2, 10_000_000, 0, 20_000]), "factor of soundings");
    refused(stated([2, 10_000_000, 10, 0]), "scale");
}

#[test]
fn a_few_records_that_ask_for_billions_of_corners_are_refused() {
    let mut all = records();
    all.push(edge(9, 1, 1, &[10; 4000]));
    let pointers = pointer(130, 9, 1, 1).repeat(2000);
    all.extend((10..20).map(|number| feature(Head { number, ..NEW }, &[("FSPT", pointers.clone())])));
    refused(read(&all), "more than");
}

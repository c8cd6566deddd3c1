//! Reads the table that divan prints: for each bench its median time, and its median rate where it counts items.
//!
//! ```text
//! rode         fastest       │ slowest       │ median        │ mean          │ samples │ iters
//! ├─ forward   3.755 µs      │ 4.436 µs      │ 4.015 µs      │ 3.98 µs       │ 100     │ 100
//! │            2.662 Mitem/s │ 2.253 Mitem/s │ 2.49 Mitem/s  │ 2.512 Mitem/s │         │
//! ╰─ group                   │               │               │               │         │
//!    ╰─ deep   4.874 ns      │ 6.751 ns      │ 6.341 ns      │ 6.184 ns      │ 100     │ 51200
//! ```

/// What one bench took.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Figure {
    /// `rode/group/deep`.
    pub(crate) name: String,
    /// Median time of one item where items are counted, of one run otherwise.
    pub(crate) each_s: f64,
}

/// Which column holds the median.
const MEDIAN: usize = 2;

/// Every figure of a report, in its order.
pub(crate) fn read(report: &str) -> Vec<Figure> {
    let mut path: Vec<String> = Vec::new();
    let mut figures: Vec<Figure> = Vec::new();
    for line in report.lines() {
        if line.contains("fastest") && line.contains("slowest") {
            path = line.split_whitespace().take(1).map(str::to_owned).collect();
            continue;
        }
        let (depth, rest) = branch(line);
        let Some(rest) = rest else {
            if let (Some(rate), Some(last)) = (median_rate(line), figures.last_mut()) {
                last.each_s = 1.0 / rate;
            }
            continue;
        };
        path.truncate(depth);
        path.extend(rest.split_whitespace().next().map(str::to_owned));
        if let Some(each_s) = cell(rest, MEDIAN).and_then(seconds) {
            figures.push(Figure { name: path.join("/"), each_s });
        }
    }
    figures
}

/// How deep in the tree the line's name stands, and the line from its name on; no rest for a line without a name.
fn branch(line: &str) -> (usize, Option<&str>) {
    let mut depth = 0;
    let mut rest = line;
    loop {
        depth += 1;
        if let Some(named) = rest.strip_prefix("├─ ").or_else(|| rest.strip_prefix("╰─ ")) {
            return (depth, Some(named));
        }
        match rest.strip_prefix("│  ").or_else(|| rest.strip_prefix("   ")) {
            Some(deeper) => rest = deeper,
            None => return (depth, None),
        }
    }
}

/// A column of the line, counted from its name.
fn cell(line: &str, column: usize) -> Option<&str> {
    line.split('│').nth(column).map(str::trim)
}

/// The median of a line that holds rates: the fourth column from its end.
fn median_rate(line: &str) -> Option<f64> {
    let cells: Vec<&str> = line.split('│').collect();
    items_per_second(cells.get(cells.len().checked_sub(4)?)?.trim())
}

/// "4.015 µs" in seconds.
fn seconds(text: &str) -> Option<f64> {
    let (number, unit) = text.split_once(' ')?;
    let unit_s = match unit {
        "ps" => 1e-12,
        "ns" => 1e-9,
        "µs" => 1e-6,
        "ms" => 1e-3,
        "s" => 1.0,
        "m" => 60.0,
        _ => return None,
    };
    Some(number.parse::<f64>().ok()? * unit_s)
}

/// "2.49 Mitem/s" in items a second.
fn items_per_second(text: &str) -> Option<f64> {
    let (number, unit) = text.split_once(' ')?;
    let scale = match unit.strip_suffix("item/s")? {
        "" => 1.0,
        "K" => 1e3,
        "M" => 1e6,
        "G" => 1e9,
        _ => return None,
    };
    Some(number.parse::<f64>().ok()? * scale)
}

#[test]
fn a_report_gives_the_median_of_each_bench_by_its_path() {
    let report = "\
Timer precision: 20 ns
rode        fastest       │ slowest       │ median        │ mean          │ samples │ iters
├─ forward  376.3 ns      │ 482.8 ns      │ 396.4 ns      │ 402.2 ns      │ 100     │ 800
├─ many     3.755 µs      │ 4.436 µs      │ 4.015 µs      │ 3.98 µs       │ 100     │ 100
│           2.662 Gitem/s │ 2.253 Gitem/s │ 2.5 Gitem/s   │ 2.512 Gitem/s │         │
├─ sized                  │               │               │               │         │
│  ├─ 10    4.874 ns      │ 6.751 ns      │ 6.341 ns      │ 6.184 ns      │ 100     │ 51200
│  ╰─ 100   33.23 ns      │ 56.85 ns      │ 49.27 ns      │ 47.87 ns      │ 100     │ 6400
╰─ slow     30.14 ms      │ 30.18 ms      │ 30.17 ms      │ 30.16 ms      │ 3       │ 3
            2.662 Kitem/s │ 2.253 Kitem/s │ 2 Kitem/s     │ 2.512 Kitem/s │         │
";
    let figures = read(report);
    let names: Vec<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
    assert_eq!(names, ["rode/forward", "rode/many", "rode/sized/10", "rode/sized/100", "rode/slow"]);
    let expected_s = [396.4e-9, 0.4e-9, 6.341e-9, 49.27e-9, 0.5e-3];
    for (figure, expected_s) in figures.iter().zip(expected_s) {
        // A product and a quotient of what was printed: nothing but rounding of the arithmetic.
        assert!((figure.each_s / expected_s - 1.0).abs() < 1e-12, "{figure:?}");
    }
}

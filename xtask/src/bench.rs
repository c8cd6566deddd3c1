//! `cargo xtask bench`: our times beside those of general-purpose references, in one run on one machine.
//!
//! Ours are the benches of the crates. A reference is a script `builders/*_bench.py` that does the same work and
//! prints one line a figure: the bench it stands beside, its time in seconds in the same measure (one item where the
//! bench counts items, one run otherwise), and what it is.
//!
//! ```text
//! rode/forward_chain_rope 2.1e-4 scipy brentq on the same equations
//! ```

use std::fs;

use anyhow::{Context, Result, ensure};

use crate::divan_report::{self, Figure};
use crate::long_runs;
use crate::process_cost::{self, Cost};
use crate::shell;
use crate::venv::{self, Venv};

/// A reference's figure.
#[derive(Debug, PartialEq)]
struct Reference {
    /// The bench that it stands beside.
    bench: String,
    /// Time in the same measure.
    each_s: f64,
    /// What it is.
    what: String,
}

/// Measures all of it and prints the page.
pub(crate) fn run() -> Result<()> {
    let figures = our_figures()?;
    let references = reference_figures()?;
    for reference in &references {
        let known = figures.iter().any(|figure| figure.name == reference.bench);
        ensure!(known, "a reference stands beside {}, which is no bench of ours", reference.bench);
    }
    let cost = process_cost::measure()?;
    println!("{}", heading()?);
    println!("{}", table(&figures, &references));
    println!("{}", cost_lines(&cost));
    // The program was built for the cost above.
    let each =
        |part: &str| figures.iter().find(|figure| figure.name.contains(part)).map(|figure| figure.each_s);
    println!("{}", long_runs::lines(each("fleet/a_report"), each("twelve_hours_with_instruments"))?);
    Ok(())
}

/// Runs every bench of every crate.
fn our_figures() -> Result<Vec<Figure>> {
    let mut figures = Vec::new();
    for name in bench_names()? {
        let printed =
            shell::printed(shell::cargo().args(["bench", "--workspace", "--locked", "--bench", &name]))?;
        print!("{printed}");
        figures.extend(divan_report::read(&printed));
    }
    Ok(figures)
}

/// Names of the files in the crates' folders of benches.
fn bench_names() -> Result<Vec<String>> {
    let mut names = Vec::new();
    for member in fs::read_dir(shell::root().join("crates"))? {
        let folder = member?.path().join("benches");
        if !folder.is_dir() {
            continue;
        }
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            if path.extension().is_some_and(|extension| extension == "rs") {
                names.extend(path.file_stem().map(|stem| stem.to_string_lossy().into_owned()));
            }
        }
    }
    names.sort();
    Ok(names)
}

/// Runs every reference script.
fn reference_figures() -> Result<Vec<Reference>> {
    let scripts: Vec<String> = venv::scripts()?.into_iter().filter(|script| venv::is_bench(script)).collect();
    if scripts.is_empty() {
        return Ok(Vec::new());
    }
    let venv = Venv::ready()?;
    let mut references = Vec::new();
    for script in scripts {
        let printed = shell::printed(&mut venv.script(&script))?;
        for line in printed.lines().filter(|line| !line.trim().is_empty()) {
            references.push(reference(line).with_context(|| format!("{script} printed {line:?}"))?);
        }
    }
    Ok(references)
}

/// Reads `bench seconds what`.
fn reference(line: &str) -> Result<Reference> {
    let mut words = line.splitn(3, ' ');
    let mut word =
        |name| words.next().filter(|word| !word.is_empty()).with_context(|| format!("{name} is missing"));
    let bench = word("the bench")?.to_owned();
    let each_s: f64 = word("the time")?.parse().context("the time is no number of seconds")?;
    ensure!(0.0 < each_s && each_s.is_finite(), "the time is {each_s} s");
    Ok(Reference { bench, each_s, what: word("what it is")?.trim().to_owned() })
}

/// When, on what, and with which compiler.
fn heading() -> Result<String> {
    let cpuinfo = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let model =
        cpuinfo.lines().find(|line| line.starts_with("model name")).and_then(|line| line.split_once(": "));
    let model = model.map_or("processor unknown", |(_, model)| model);
    let cores = std::thread::available_parallelism()?;
    let date = shell::printed(shell::program("date").args(["-u", "+%F"]))?;
    let compiler = shell::printed(shell::program("rustc").arg("--version"))?;
    Ok(format!("Measured {} on {model}, {cores} cores, {}.\n", date.trim(), compiler.trim()))
}

/// One line a bench, with its reference where there is one.
fn table(figures: &[Figure], references: &[Reference]) -> String {
    let mut lines = vec![
        "| bench | Windrode | a second | reference | its time | ratio |".to_owned(),
        "|---|---|---|---|---|---|".to_owned(),
    ];
    for figure in figures {
        let mut beside: Vec<&Reference> = references.iter().filter(|r| r.bench == figure.name).collect();
        beside.sort_by(|a, b| a.each_s.total_cmp(&b.each_s));
        let own = format!("`{}` | {} | {}", figure.name, time(figure.each_s), rate(1.0 / figure.each_s));
        if beside.is_empty() {
            lines.push(format!("| {own} | | | |"));
        }
        for reference in beside {
            let ratio = reference.each_s / figure.each_s;
            lines.push(format!(
                "| {own} | {} | {} | {} |",
                reference.what,
                time(reference.each_s),
                times(ratio)
            ));
        }
    }
    lines.join("\n") + "\n"
}

fn cost_lines(cost: &Cost) -> String {
    format!(
        "`windrode {}`, start to exit: median {:.0} ms and slowest {:.0} ms of {} runs; peak memory {:.1} MB.",
        "plan of the demo stay, 48 h",
        cost.median.as_secs_f64() * 1e3,
        cost.slowest.as_secs_f64() * 1e3,
        cost.runs,
        cost.peak_mb
    )
}

/// A time in the unit that keeps it short, to three figures or so.
fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1e-6 => format!("{:.1} ns", s * 1e9),
        s if s < 1e-3 => format!("{:.2} µs", s * 1e6),
        s if s < 1.0 => format!("{:.2} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}

fn rate(per_second: f64) -> String {
    match per_second {
        r if 1e6 <= r => format!("{:.2} million", r / 1e6),
        r if 1e3 <= r => format!("{:.1} thousand", r / 1e3),
        r => format!("{r:.1}"),
    }
}

/// A ratio above one says that we are faster.
fn times(ratio: f64) -> String {
    if 10.0 <= ratio { format!("{ratio:.0} ×") } else { format!("{ratio:.2} ×") }
}

#[test]
fn a_reference_line_names_its_bench_its_time_and_itself() {
    let read = reference("rode/forward 2.1e-4 scipy brentq on the same equations").unwrap();
    let expected = Reference {
        bench: "rode/forward".to_owned(),
        each_s: 2.1e-4,
        what: "scipy brentq on the same equations".to_owned(),
    };
    assert_eq!(read, expected);
    for broken in
        ["rode/forward", "rode/forward soon scipy", "rode/forward 0 scipy", "rode/forward NaN scipy"]
    {
        assert!(reference(broken).is_err(), "{broken}");
    }
}

#[test]
fn the_slower_reference_gives_the_larger_ratio() {
    let figures = [Figure { name: "rode/forward".to_owned(), each_s: 1e-6 }];
    let beside =
        |each_s, what: &str| Reference { bench: "rode/forward".to_owned(), each_s, what: what.to_owned() };
    let page = table(&figures, &[beside(1e-3, "slow"), beside(2e-6, "quick")]);
    let rows: Vec<&str> = page.lines().skip(2).collect();
    assert_eq!(
        rows,
        [
            "| `rode/forward` | 1.00 µs | 1.00 million | quick | 2.00 µs | 2.00 × |",
            "| `rode/forward` | 1.00 µs | 1.00 million | slow | 1.00 ms | 1000 × |"
        ]
    );
}

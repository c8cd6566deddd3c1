//! The table for the eyes.

use std::io::{self, Write};

use super::table::Calibration;

/// Writes it.
pub(crate) fn write(told: &Calibration, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}\n", told.head())?;
    writeln!(
        out,
        "{:<12} {:>12} {:>9} {:>8} {:>16} {:>7}",
        "figure", "wind, m/s", "claimed", "found", "95 %", "stays"
    )?;
    for row in told.bands() {
        let wind = row.wind_ms.map_or("all".to_owned(), |[from, to]| format!("{from:.0} to {to:.0}"));
        let interval = format!("{:.1} to {:.1} %", row.low * 100.0, row.high * 100.0);
        let (claimed, found) = (row.claimed * 100.0, row.found * 100.0);
        writeln!(
            out,
            "{:<12} {wind:>12} {claimed:>7.0} % {found:>6.1} % {interval:>16} {:>7}",
            row.figure, row.stays
        )?;
    }
    writeln!(out, "\n{:<22} {:>9} {:>8} {:>8} {:>18}", "stated chance", "mean", "stays", "dragged", "95 %")?;
    for row in told.chances() {
        let span = format!("{:.5} to {:.5}", row.least, row.greatest);
        let interval = format!("{:.2} to {:.2} %", row.low * 100.0, row.high * 100.0);
        writeln!(
            out,
            "{span:<22} {:>7.2} % {:>8} {:>6.2} % {interval:>18}",
            row.stated * 100.0,
            row.stays,
            row.share * 100.0
        )?;
    }
    Ok(())
}

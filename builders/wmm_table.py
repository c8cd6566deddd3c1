"""The coefficients of the World Magnetic Model as a table in the source.

    python builders/wmm_table.py

Reads data/wmm/WMM_2025.COF (NOAA/NCEI and BGS, public domain) and writes
crates/windrode-domain/src/environment/magnetism/coefficients.rs, digit for digit, with the count and the sums of the four
columns for the table's own check.
"""

import decimal
import pathlib

SOURCE = pathlib.Path("data/wmm/WMM_2025.COF")
TABLE = pathlib.Path("crates/windrode-domain/src/environment/magnetism/coefficients.rs")

HEAD = '''//! Coefficients of the World Magnetic Model 2025. Written by `builders/wmm_table.py` from `data/wmm/WMM_2025.COF`.

/// One pair of coefficients: nT at the epoch, and nT a year.
pub(super) struct Row {{
    pub(super) degree: u8,
    pub(super) order: u8,
    pub(super) g_nt: f64,
    pub(super) h_nt: f64,
    pub(super) g_nt_year: f64,
    pub(super) h_nt_year: f64,
}}

/// The year at which the field is told.
pub(super) const EPOCH_YEAR: f64 = {epoch};
/// Sums of the columns, in tenths of nT: what the rows must add up to.
#[cfg(test)]
pub(super) const SUMS_TENTHS: [i64; 4] = {sums};

const fn row(degree: u8, order: u8, g_nt: f64, h_nt: f64, g_nt_year: f64, h_nt_year: f64) -> Row {{
    Row {{ degree, order, g_nt, h_nt, g_nt_year, h_nt_year }}
}}

/// Degrees 1 to 12. NOAA National Centers for Environmental Information and British Geological Survey,
/// 13 November 2024.
#[rustfmt::skip]
pub(super) const COEFFICIENTS: [Row; {count}] = [
    // n   m          g           h      g a year    h a year
'''


def grouped(text):
    """Rust's underscore between thousands."""
    sign, digits = ("-", text[1:]) if text.startswith("-") else ("", text)
    whole, tenths = digits.split(".")
    if len(whole) > 3:
        whole = whole[:-3] + "_" + whole[-3:]
    return f"{sign}{whole}.{tenths}"


def main():
    lines = SOURCE.read_text().splitlines()
    epoch = lines[0].split()[0]
    rows = [line.split() for line in lines[1:] if len(line.split()) == 6]
    sums = [int(10 * sum(decimal.Decimal(row[2 + i]) for row in rows)) for i in range(4)]
    sums_text = "[" + ", ".join(f"{value:_}" for value in sums) + "]"
    out = [HEAD.format(epoch=epoch, sums=sums_text, count=len(rows))]
    for n, m, *values in rows:
        out.append("    row(%2s, %2s, %s),\n" % (n, m, ", ".join("%10s" % grouped(value) for value in values)))
    out.append("];\n")
    TABLE.write_text("".join(out))


main()

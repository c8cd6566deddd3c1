"""Writes crates/windrode/src/helvetica/widths.rs from the Adobe Core 14 AFM files in authorities/afm.

Needs fontTools (its Adobe Glyph List gives each WinAnsi character its glyph name). Run from the project's root:
    python builders/helvetica_widths.py
"""
from pathlib import Path

from fontTools.agl import UV2AGL

ROOT = Path(__file__).resolve().parent.parent


def widths(face):
    by_name = {}
    for line in (ROOT / "authorities/afm" / f"{face}.afm").read_text("latin-1").splitlines():
        if line.startswith("C "):
            fields = dict(f.strip().split(" ", 1) for f in line.split(";") if " " in f.strip())
            by_name[fields["N"]] = int(fields["WX"])
    row = []
    for code in range(32, 256):
        try:
            char = bytes([code]).decode("cp1252")
        except UnicodeDecodeError:
            row.append(0)  # not a character of WinAnsi; never written
            continue
        # PDF 32000-1 annex D: WinAnsi writes the no-break space and the soft hyphen as space and hyphen.
        name = {"\u00a0": "space", "\u00ad": "hyphen", "\u00b5": "mu", "\u007f": None, "\u00b2": "twosuperior",
                "\u00b3": "threesuperior", "\u00b9": "onesuperior"}.get(char, UV2AGL.get(ord(char)))
        row.append(by_name.get(name, 0))
    return row


def table(name, doc, row):
    lines = [f"/// {doc}", "#[rustfmt::skip]", f"pub(super) const {name}: [u16; 224] = ["]
    for i in range(0, 224, 16):
        lines.append("    " + ", ".join(str(w) for w in row[i:i + 16]) + ",")
    return "\n".join(lines + ["];"])


head = """//! Advance widths of Helvetica and Helvetica-Bold in thousandths of the font size, for the WinAnsi codes 32 to 255.
//!
//! Source: Adobe Core 14 AFM files, version 002.000 (1997), kept in `authorities/afm`; written by
//! `builders/helvetica_widths.py`. Zero marks a code that is no character of WinAnsi.
"""
text = "\n\n".join([head.rstrip() , table("REGULAR", "Helvetica.", widths("Helvetica")), table("BOLD", "Helvetica-Bold.", widths("Helvetica-Bold"))]) + "\n"
out = ROOT / "crates/windrode/src/helvetica"
out.mkdir(exist_ok=True)
(out / "widths.rs").write_text(text)

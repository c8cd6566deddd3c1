"""Writes the code tables of S-57's object and attribute catalogues as Rust constants.

From authorities/enc/s57objectclasses.csv and s57attributes.csv, GDAL's transcription of IHO S-57 edition 3.1, appendix A.
"""

import csv

FOLDER = "authorities/enc/"
HEAD = '''//! Codes, acronyms and names of the object classes and attributes of charts.
//!
//! Made by `builders/s57_catalogue.py` from GDAL's tables of IHO S-57 edition 3.1, appendix A (and of the classes and
//! attributes that inland charts add). Sorted by code.

'''


def rows(name):
    with open(FOLDER + name, newline="", encoding="latin-1") as file:
        return sorted({int(row["Code"]): row for row in csv.DictReader(file)}.items())


def quoted(text):
    return '"' + text.strip().replace("\\", "\\\\").replace('"', '\\"') + '"'


def main():
    out = [HEAD]
    out.append("/// Object classes: `OBJL`, acronym, name.\npub(super) const CLASSES: &[(u16, &str, &str)] = &[\n")
    for code, row in rows("s57objectclasses.csv"):
        if row["Acronym"].strip():
            out.append(f"    ({code}, {quoted(row['Acronym'])}, {quoted(row['ObjectClass'])}),\n")
    out.append("];\n\n/// Attributes: `ATTL`, acronym, name, and whether its value is a number.\n")
    out.append("pub(super) const ATTRIBUTES: &[(u16, &str, &str, bool)] = &[\n")
    for code, row in rows("s57attributes.csv"):
        if row["Acronym"].strip():
            number = "true" if row["Attributetype"].strip() in "FI" else "false"
            out.append(f"    ({code}, {quoted(row['Acronym'])}, {quoted(row['Attribute'])}, {number}),\n")
    out.append("];\n")
    with open("crates/windrode-wire/src/s57/catalogue/tables.rs", "w", encoding="utf-8") as file:
        file.write("".join(out))


main()

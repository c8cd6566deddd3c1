"""Fields of real sentences as pynmea2 reads them, for authorities/nmea/pynmea2.json.

    pip install pynmea2
    python builders/nmea_pynmea2.py authorities/nmea/pynmea2.json

From each log beside it, of each sentence that both readers know, every k-th line so that forty to eighty of it are kept, the
first and last among them; and how many of each sentence pynmea2 reads in each log, whether known to us or not. What pynmea2 gives as text stays text; what its properties reckon (degrees of latitude and
longitude) stands beside it. Checksums are verified by pynmea2; a line that it refuses is left out and counted.
"""

import json
import pathlib
import sys

import pynmea2

KINDS = "GGA RMC GLL VTG GSA GSV ZDA HDT HDG ROT DBT DPT MWV MWD VHW MTW XDR".split()
LOGS = ["bundg_zeus_9.log", "hemi.log", "humminbird-M37.log", "saab-r4.log", "sounder.log", "ais-nmea.log"]
KEPT = 40


def fields(message):
    """Every named field, in order, empty ones as empty text."""
    named = {}
    for index, (_, name, *_) in enumerate(message.fields):
        named[name] = message.data[index] if index < len(message.data) else ""
    return named


def main():
    by_kind, counts, refused = {}, {}, 0
    for log in LOGS:
        counts[log] = {}
        for line in pathlib.Path("authorities/nmea", log).read_text(errors="replace").splitlines():
            if line[:1] != "$":
                continue
            try:
                message = pynmea2.parse(line.strip(), check=True)
            except pynmea2.ParseError:
                refused += 1
                continue
            kind = line[3:6] if line[1] != "P" else line[2:5]
            counts[log][kind] = counts[log].get(kind, 0) + 1
            if kind not in KINDS:
                continue
            case = {"line": line.strip(), "fields": message.data if line[3:6] == "XDR" else fields(message)}
            if hasattr(message, "latitude") and getattr(message, "lat", ""):
                case["latitude_deg"], case["longitude_deg"] = message.latitude, message.longitude
            by_kind.setdefault((log, line[3:6]), []).append(case)
    cases = []
    for (_, _), found in sorted(by_kind.items()):
        step = max(1, len(found) // KEPT)
        cases += found[::step] + ([found[-1]] if (len(found) - 1) % step else [])
    head = {"made_with": f"pynmea2 {pynmea2.__version__}", "refused": refused, "counts": counts}
    text = json.dumps(head)[:-1] + ', "cases": [\n' + ",\n".join(map(json.dumps, cases)) + "\n]}\n"
    pathlib.Path(sys.argv[1]).write_text(text)
    print(len(cases), "cases,", refused, "refused")


main()

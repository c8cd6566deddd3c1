#!/usr/bin/env python3
"""Checks every station of two open collections and packs what passes into data/stations.bin.

    python3 builders/stations.py noaa_all_stations.json.gz ticon_ccby_stations.json.gz data/stations.bin

Both inputs are JSON: {"constituents": [names], "stations": [...]}, with harmonic constants as
[constituent index, amplitude (m, or kn for currents), Greenwich phase lag (deg)]. The layout of the output is
described in crates/windrode-wire/src/stations.rs, which reads it. What is dropped is counted by cause on standard
output, in the words of data/README.md.
"""

import collections
import gzip
import json
import math
import struct
import sys
import zoneinfo

# Constituents that windrode predicts, by the names the collections use. What is missing here is left out of a
# station, and the station is dropped if it would be missed: see data/README.md.
UNKNOWN_NOAA = {"OO2"}
# TICON-4 agrees in phase with NOAA at stations both have for all constituents but M1, SGM, 2MK5 and 2MO5 (phases off
# by quarter turns); 3L2, 3N2, MA2, MB2, S3, T3, R3 have no station to compare by and more than one reading.
UNSURE_TICON = {"M1", "SGM", "2MK5", "2MO5", "3L2", "3N2", "MA2", "MB2", "S3", "T3", "R3"}

SOURCES = [
    ("public domain", "NOAA, US National Ocean Service, Center for Operational Oceanographic Products and Services"),
    (
        "CC BY 4.0",
        "TICON-4: Hart-Davis, Dettmering, Seitz (2025), doi 10.17882/109129, CC BY 4.0; datums added by the "
        "Neaps tide database 0.10; selected, rounded to 0.1 mm and 0.01 deg and packed for Windrode",
    ),
]

TIDE_HARMONIC, TIDE_SUBORDINATE, CURRENT_HARMONIC, CURRENT_SUBORDINATE = range(4)


class Dropped(Exception):
    pass


def want(condition, cause):
    if not condition:
        raise Dropped(cause)


def load(path):
    with gzip.open(path) as handle:
        return json.load(handle)


def rms(amplitudes):
    return math.sqrt(sum(a * a / 2 for a in amplitudes))


def constants(station, names, unsure):
    kept, left_out = [], []
    for index, amplitude, phase in station["hc"]:
        want(math.isfinite(amplitude) and math.isfinite(phase), "a constant is not a number")
        want(0 <= amplitude, "an amplitude is negative")
        if names[index] in unsure:
            left_out.append(amplitude)
        elif amplitude > 0:
            kept.append((names[index], amplitude, phase))
    want(len({name for name, _, _ in kept}) == len(kept), "a constituent comes twice")
    want(kept, "no harmonic constants")
    return kept, rms(left_out)


def common(station):
    want(-90 <= station["lat"] <= 90 and -180 <= station["lon"] <= 180, "position cannot be")
    want(station["name"].strip(), "no name")
    try:
        zoneinfo.ZoneInfo(station["tz"])
    except Exception:
        raise Dropped("time zone unknown") from None


def mean_above(station):
    datums, datum = station["datums"], station["chart_datum"]
    want(datum in datums and "MSL" in datums and datum != "STND", "no chart datum, or no mean level above it")
    ladder = [datums[name] for name in ("LAT", "MLLW", "MSL", "MHHW", "HAT") if name in datums]
    want(all(low <= high for low, high in zip(ladder, ladder[1:])), "datums out of order")
    return datums["MSL"] - datums[datum]


def plausible_tide(kept, mean, datum, left_out):
    amplitudes = {name: amplitude for name, amplitude, _ in kept}
    total = sum(amplitudes.values())
    want(max(amplitudes.values()) < 6, "an amplitude above 6 m")
    want(total > 0.01, "no tide to speak of (all amplitudes together under 1 cm)")
    # Chart datum lies below mean level, but not below the lowest that the constants can reach, with a margin for
    # datums of another age.
    want(datum == "MSL" or -0.02 <= mean <= 1.2 * total + 0.15, "mean level above datum does not fit the constants")
    seasonal = amplitudes.get("SA", 0) + amplitudes.get("SSA", 0)
    astronomical = sum(amplitudes.get(name, 0) for name in ("M2", "S2", "N2", "K1", "O1"))
    want(seasonal < 0.3 or seasonal < astronomical, "season or river outweighs the tide")
    want(amplitudes.get("S1", 0) < 0.1 + 0.3 * amplitudes.get("K1", 0), "S1 is too large: the clock or the gauge")
    want(amplitudes.get("L2", 0) < 0.02 + 0.15 * amplitudes.get("M2", 0), "L2 is too large: too short a record")
    # Left out constituents are an error of the prediction: a centimetre, or a twentieth of the tide up to 5 cm.
    limit = min(0.05, max(0.01, 0.05 * rms(amplitudes.values())))
    want(left_out <= limit, "constituents that cannot be read safely would be missed")


def varint(value):
    out = bytearray()
    while True:
        byte = value & 0x7F
        value >>= 7
        out.append(byte | (0x80 if value else 0))
        if not value:
            return bytes(out)


class Packer:
    def __init__(self):
        self.tables = {"constituent": {}, "zone": {}, "datum": {}}
        self.stations = []

    def index(self, table, word):
        return self.tables[table].setdefault(word, len(self.tables[table]))

    def waves(self, kept, unit):
        entries = []
        for name, amplitude, phase in kept:
            quantum = round(amplitude / unit)
            if quantum > 0:
                phase = round((phase % 360) * 100) % 36000
                entries.append(bytes([self.index("constituent", name)]) + varint(quantum) + struct.pack("<H", phase))
        return bytes([len(entries)]) + b"".join(entries)

    def add(self, station, kind, source, body, datum="", reference=None):
        zone, datum = self.index("zone", station["tz"]), self.index("datum", datum)
        self.stations.append((station["id"], station, kind, source, zone, datum, body, reference))


def direction(current, name):
    return 0xFFFF if name not in current else round((current[name] % 360) * 10) % 3600


def pack_tide(packer, station, names, unsure, source):
    common(station)
    kept, left_out = constants(station, names, unsure)
    datum = station["chart_datum"]
    mean = mean_above(station)
    plausible_tide(kept, mean, datum, left_out)
    years = [int(station.get("epoch", {}).get(end, "0")[:4]) for end in ("start", "end")]
    if source == 0:
        # NOAA's epoch is that of its datums, not of the record.
        years = [0, 0]
    body = struct.pack("<iHHH", round(mean * 1e4), math.ceil(left_out * 1e3), *years) + packer.waves(kept, 1e-4)
    packer.add(station, TIDE_HARMONIC, source, body, datum)


def pack_current(packer, station, names):
    common(station)
    kept, _ = constants(station, names, UNKNOWN_NOAA)
    current = station["current"]
    want(abs(current["mean_flow"]) < 12 and sum(a for _, a, _ in kept) < 25, "a stream faster than any")
    body = struct.pack(
        "<HHh", direction(current, "flood_direction"), direction(current, "ebb_direction"), round(current["mean_flow"] * 1e3)
    )
    packer.add(station, CURRENT_HARMONIC, 0, body + packer.waves(kept, 1e-3))


def pack_subordinate_tide(packer, station):
    common(station)
    offsets = station["offsets"]
    times, heights = offsets["time"], offsets["height"]
    want(all(abs(times[k]) <= 780 for k in ("high", "low")), "a time difference of more than 13 hours")
    add = heights["type"] == "fixed"
    want(add or all(0 <= heights[k] < 5 for k in ("high", "low")), "a height ratio that cannot be")
    want(not add or all(abs(heights[k]) < 5 for k in ("high", "low")), "a height difference that cannot be")
    want(add or heights["high"] > 0, "a height ratio of nought at high water")
    body = struct.pack(
        "<hhBii", times["high"], times["low"], 0 if add else 1, round(heights["high"] * 1e4), round(heights["low"] * 1e4)
    )
    packer.add(station, TIDE_SUBORDINATE, 0, body, station["chart_datum"], offsets["reference"])


def pack_subordinate_current(packer, station):
    common(station)
    current = station["current"]
    offsets = current["offsets"]
    times = [offsets[k] for k in ("slack_before_flood", "flood_time", "slack_before_ebb", "ebb_time")]
    ratios = [offsets[k] for k in ("flood_speed_ratio", "ebb_speed_ratio")]
    want(all(abs(t) <= 780 for t in times), "a time difference of more than 13 hours")
    want(all(0 <= r < 10 for r in ratios) and any(ratios), "speed ratios that cannot be")
    body = struct.pack(
        "<hhhhHHHH",
        *times,
        *(round(r * 1e3) for r in ratios),
        direction(current, "flood_direction"),
        direction(current, "ebb_direction"),
    )
    packer.add(station, CURRENT_SUBORDINATE, 0, body, "", offsets["reference"])


def near_noaa(noaa):
    cells = {(round(s["lat"] * 50), round(s["lon"] * 50)) for s in noaa if s["kind"] == "tide" and s.get("hc")}

    def same_place(station):
        row, column = round(station["lat"] * 50), round(station["lon"] * 50)
        return any((row + i, column + j) in cells for i in (-1, 0, 1) for j in (-1, 0, 1))

    return same_place


def gather(noaa, ticon):
    packer, dropped = Packer(), collections.Counter()

    def attempt(label, work):
        try:
            work()
        except Dropped as cause:
            dropped[f"{label}: {cause}"] += 1

    for s in noaa["stations"]:
        kinds = {
            ("tide", "reference"): lambda: pack_tide(packer, s, noaa["constituents"], UNKNOWN_NOAA, 0),
            ("tide", "subordinate"): lambda: pack_subordinate_tide(packer, s),
            ("current", "reference"): lambda: pack_current(packer, s, noaa["constituents"]),
            ("current", "subordinate"): lambda: pack_subordinate_current(packer, s),
        }
        attempt(f"NOAA {s['kind']} {s['type']}", kinds[s["kind"], s["type"]])

    same_place = near_noaa(noaa["stations"])

    def pack_ticon(s):
        want(s["licence"] == "cc-by-4.0" and s["source"] == "TICON-4", "licence is not CC BY 4.0")
        want(s["ok"], "marked unfit or doubled by the collection itself")
        want(not same_place(s), "NOAA has a station at the same place (within 0.03 deg)")
        pack_tide(packer, s, ticon["constituents"], UNSURE_TICON, 1)

    for s in ticon["stations"]:
        attempt("TICON-4", lambda: pack_ticon(s))
    return packer, dropped


def without_orphans(packer, dropped):
    kinds = {id: kind for id, _, kind, *_ in packer.stations}
    wanted = {TIDE_SUBORDINATE: TIDE_HARMONIC, CURRENT_SUBORDINATE: CURRENT_HARMONIC}
    kept = []
    for entry in packer.stations:
        kind, reference = entry[2], entry[7]
        if kind in wanted and kinds.get(reference) != wanted[kind]:
            dropped[f"NOAA {entry[1]['kind']} subordinate: its reference was dropped"] += 1
        else:
            kept.append(entry)
    return sorted(kept, key=lambda entry: entry[0].encode())


def words(table):
    listed = sorted(table, key=table.get)
    return struct.pack("<H", len(listed)) + b"".join(bytes([len(w.encode())]) + w.encode() for w in listed)


def serialize(packer, stations):
    order = {entry[0]: index for index, entry in enumerate(stations)}
    heap, bodies, index = bytearray(), bytearray(), bytearray()
    for id, station, kind, source, zone, datum, body, reference in stations:
        identity, name = id.encode(), " ".join(station["name"].split()).encode()
        if reference is not None:
            body = struct.pack("<H", order[reference]) + body
        lat, lon = round(station["lat"] * 1e5), round(station["lon"] * 1e5)
        index += struct.pack("<IBBBBHHiiIH", len(heap), len(identity), len(name), kind, source, zone, datum, lat, lon, len(bodies), len(body))
        heap += identity + name
        bodies += body
    out = bytearray(b"WRDSTN01")
    for table in ("constituent", "zone", "datum"):
        out += words(packer.tables[table])
    out += struct.pack("<H", len(SOURCES))
    for licence, attribution in SOURCES:
        out += bytes([len(licence)]) + licence.encode() + struct.pack("<H", len(attribution)) + attribution.encode()
    out += struct.pack("<III", len(stations), len(heap), len(bodies)) + index + heap + bodies
    return bytes(out)


def main():
    noaa_path, ticon_path, out_path = sys.argv[1:]
    packer, dropped = gather(load(noaa_path), load(ticon_path))
    stations = without_orphans(packer, dropped)
    packed = serialize(packer, stations)
    with open(out_path, "wb") as out:
        out.write(packed)
    labels = ["NOAA tide, harmonic", "tide, subordinate", "current, harmonic", "current, subordinate"]
    kept = collections.Counter((entry[3], entry[2]) for entry in stations)
    for (source, kind), count in sorted(kept.items()):
        print(f"kept {['NOAA', 'TICON-4'][source]} {labels[kind].removeprefix('NOAA ')}: {count}")
    for cause, count in sorted(dropped.items()):
        print(f"dropped {cause}: {count}")
    print(f"{len(stations)} stations, {len(packed)} bytes")


main()

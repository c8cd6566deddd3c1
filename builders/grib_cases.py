"""Makes authorities/grib/cases_*.grib2 and eccodes_wind.json.

The files hold invented winds in the packings, scanning orders and product templates that services use; the answers
are those of ECMWF's eccodes (PyPI eccodes 2.50.0): for each file and place, the four surrounding grid values as
eccodes decodes them, weighed bilinearly here in plain arithmetic.

Run: python builders/grib_cases.py  (needs eccodes and numpy), from the project's root.
"""

import json
import math
import pathlib
import struct
import zlib

import eccodes
import numpy

OUT = pathlib.Path("authorities/grib")
NI, NJ = 9, 6
NORTH, SOUTH, STEP = -40.0, -41.25, 0.25


def field(kind, hour, west):
    """Values by row from the north and column from the west, smooth and invented."""
    rows, columns = numpy.mgrid[0:NJ, 0:NI]
    swing = 0.3 * columns + 0.2 * rows + 0.4 * hour
    east = 9.0 * numpy.sin(swing) + 0.1 * west / 180.0
    north = 7.0 * numpy.cos(0.7 * swing) - 2.0
    if kind == "u":
        return east
    if kind == "v":
        return north
    return 1.45 * numpy.hypot(east, north) + 0.5


def stored(values, scan):
    """Puts values (north to south, west to east) into a scanning order."""
    if scan["j_positive"]:
        values = values[::-1, :]
    if scan["i_negative"]:
        values = values[:, ::-1]
    if scan["by_column"]:
        values = values.T
    if scan["alternating"]:
        values = values.copy()
        values[1::2, :] = values[1::2, ::-1]
    return values.flatten()


def message(kind, hour, west, case):
    grib = eccodes.codes_grib_new_from_samples("GRIB2")
    scan = case["scan"]
    values = field(kind, hour, west)
    sets = {
        "tablesVersion": 28, "centre": case.get("centre", 98), "dataDate": case.get("date", 20261231),
        "dataTime": 1800, "significanceOfReferenceTime": 1, "gridType": "regular_ll", "Ni": NI, "Nj": NJ,
        "latitudeOfFirstGridPointInDegrees": SOUTH if scan["j_positive"] else NORTH,
        "latitudeOfLastGridPointInDegrees": NORTH if scan["j_positive"] else SOUTH,
    }
    east = (west + STEP * (NI - 1)) % 360.0
    first, last = (east, west % 360.0) if scan["i_negative"] else (west % 360.0, east)
    sets |= {
        "longitudeOfFirstGridPointInDegrees": first, "longitudeOfLastGridPointInDegrees": last,
        "iDirectionIncrementInDegrees": STEP, "jDirectionIncrementInDegrees": STEP,
        "iScansNegatively": int(scan["i_negative"]), "jScansPositively": int(scan["j_positive"]),
        "jPointsAreConsecutive": int(scan["by_column"]), "alternativeRowScanning": int(scan["alternating"]),
        "bitmapPresent": int("missing" in case), "generatingProcessIdentifier": 155,
    }
    if "level" in case and kind != "gust":
        sets["level"] = case["level"]
    template = {"plain": 0, "member": 1}[case.get("product", "plain")]
    interval = kind == "gust" and case.get("gust_over_h", 0) > 0
    if interval:
        template = {0: 8, 1: 11}[template]
    sets |= {"productDefinitionTemplateNumber": template}
    if template in (1, 11):
        sets |= {"perturbationNumber": 7, "numberOfForecastsInEnsemble": 50, "typeOfEnsembleForecast": 3}
    sets |= {
        "discipline": 0, "parameterCategory": 2, "parameterNumber": {"u": 2, "v": 3, "gust": 22}[kind],
        "typeOfFirstFixedSurface": 103, "scaleFactorOfFirstFixedSurface": 0,
        "scaledValueOfFirstFixedSurface": case.get("level", 10),
    }
    for key, value in sets.items():
        eccodes.codes_set(grib, key, value)
    if interval:
        over = case["gust_over_h"]
        eccodes.codes_set(grib, "typeOfStatisticalProcessing", 2)
        eccodes.codes_set(grib, "stepRange", f"{hour - over}-{hour}")
    else:
        eccodes.codes_set(grib, "forecastTime", hour)
    if "missing" in case:
        eccodes.codes_set(grib, "missingValue", 9999.0)
        row, column = case["missing"]
        values = values.copy()
        values[row, column] = 9999.0
    # Values first, packing after: eccodes packs anew, and some packings need values to begin with.
    eccodes.codes_set(grib, "bitsPerValue", 16)
    eccodes.codes_set_values(grib, stored(values, scan))
    eccodes.codes_set(grib, "packingType", case["packing"])
    return grib


def as_png(message):
    """A simply packed message of 16 bits repacked as PNG (template 5.41), whose octets are the same but for the
    number and whose data are a grey picture: eccodes' wheel reads PNG but does not write it."""
    sections, at = [], 16
    while message[at:at + 4] != b"7777":
        length = struct.unpack(">I", message[at:at + 4])[0]
        sections.append(bytearray(message[at:at + length]))
        at += length
    for section in sections:
        if section[4] == 5:
            section[9:11] = struct.pack(">H", 41)
    rows = [b"\0" + sections[-1][5 + 2 * NI * j:5 + 2 * NI * (j + 1)] for j in range(NJ)]
    chunk = lambda name, data: struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
    header = struct.pack(">IIBBBBB", NI, NJ, 16, 0, 0, 0, 0)
    picture = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header)
    picture += chunk(b"IDAT", zlib.compress(b"".join(rows), 9)) + chunk(b"IEND", b"")
    sections[-1] = struct.pack(">IB", len(picture) + 5, 7) + picture
    body = b"".join(sections) + b"7777"
    return message[:8] + struct.pack(">Q", 16 + len(body)) + body


def scan(j_positive=False, i_negative=False, by_column=False, alternating=False):
    return {"j_positive": j_positive, "i_negative": i_negative, "by_column": by_column, "alternating": alternating}


CASES = {
    "south_to_north": {"packing": "grid_simple", "scan": scan(j_positive=True), "west": 174.0},
    "across_180": {"packing": "grid_simple", "scan": scan(), "west": 179.0},
    "east_to_west": {"packing": "grid_ccsds", "scan": scan(i_negative=True), "west": 174.0},
    "by_column": {"packing": "grid_simple", "scan": scan(j_positive=True, by_column=True), "west": 174.0},
    "alternating": {"packing": "grid_simple", "scan": scan(alternating=True), "west": 174.0},
    "png": {"packing": "grid_simple", "scan": scan(), "west": 174.0, "png": True},
    "complex": {"packing": "grid_complex", "scan": scan(), "west": 174.0},
    "gust_of_interval": {"packing": "grid_simple", "scan": scan(), "west": 174.0, "gust_over_h": 3},
    "member": {"packing": "grid_ccsds", "scan": scan(), "west": 174.0, "product": "member", "gust_over_h": 3},
    "missing": {"packing": "grid_simple", "scan": scan(), "west": 174.0, "missing": (2, 3)},
    "at_100_m": {"packing": "grid_simple", "scan": scan(), "west": 174.0, "level": 100},
}
PLACES = {"174": [(-40.62, 174.81), (-41.2, 174.8), (-40.0, 174.0), (-41.25, 176.0)],
          "179": [(-40.62, 179.95), (-40.9, -179.6), (-41.2, 180.0), (-41.0, -179.0)]}


def corners(grib, latitude, longitude, west):
    """Bilinear from eccodes' values, found by the latitude and longitude that eccodes gives each."""
    points = {}
    for point in eccodes.codes_grib_get_data(grib):
        column = round(((point["lon"] - west) % 360.0) / STEP)
        points[(round((point["lat"] - SOUTH) / STEP), column)] = point["value"]
    x, y = ((longitude - west) % 360.0) / STEP, (latitude - SOUTH) / STEP
    i, j = min(int(math.floor(x + 1e-9)), NI - 2), min(int(math.floor(y + 1e-9)), NJ - 2)
    fx, fy = x - i, y - j
    return sum(points[(j + dj, i + di)] * abs(1 - di - fx) * abs(1 - dj - fy) for di in (0, 1) for dj in (0, 1))


def main():
    answers = {}
    for name, case in CASES.items():
        west = case["west"]
        path = OUT / f"cases_{name}.grib2"
        rows = []
        with path.open("wb") as out:
            for hour in (3, 6):
                for kind in ("u", "v", "gust"):
                    grib = message(kind, hour, west, case)
                    packed = eccodes.codes_get_message(grib)
                    out.write(as_png(packed) if case.get("png") else packed)
                    eccodes.codes_release(grib)
        # eccodes' iterator does not turn alternate rows back: that file is compared with south_to_north, which
        # holds the same winds.
        if "missing" in case or "level" in case or case["scan"]["alternating"]:
            continue
        with path.open("rb") as file:
            while (grib := eccodes.codes_grib_new_from_file(file)) is not None:
                date, time = eccodes.codes_get(grib, "validityDate"), eccodes.codes_get(grib, "validityTime")
                at = f"{date // 10000:04}-{date // 100 % 100:02}-{date % 100:02}T{time // 100:02}:{time % 100:02}:00Z"
                number = eccodes.codes_get(grib, "parameterNumber")
                for latitude, longitude in PLACES[str(int(west))]:
                    value = corners(grib, latitude, longitude, west)
                    kind = {2: "u", 3: "v", 22: "gust"}[number]
                    rows.append({"at": at, "kind": kind, "lat": latitude, "lon": longitude, "value": value})
                eccodes.codes_release(grib)
        answers[path.name] = rows
    answers |= shared_answers()
    note = "eccodes " + eccodes.codes_get_api_version() + " via builders/grib_cases.py"
    text = json.dumps({"provenance": note, "files": answers}, indent=0)
    (OUT / "eccodes_wind.json").write_text(text + "\n")


def shared_answers():
    """The files that were not made here: the real one and the synthetic series."""
    places = {"gfs_20110110_12z_f120_2p5deg_wind10m_gust.grib2": [(41.1, -71.6), (47.27, -122.44), (0.0, -1.0), (-89.0, 359.0)]}
    for packing in ("simple", "complexdiff", "ccsds"):
        places[f"synth_{packing}_N2S.grib2"] = [(41.17, -71.58), (41.36, 288.1), (40.5, 287.0), (42.0, -70.0)]
    answers = {}
    for name, wanted in places.items():
        rows = []
        with (OUT / name).open("rb") as file:
            eccodes.codes_grib_multi_support_on()
            while (grib := eccodes.codes_grib_new_from_file(file)) is not None:
                date, time = eccodes.codes_get(grib, "validityDate"), eccodes.codes_get(grib, "validityTime")
                at = f"{date // 10000:04}-{date // 100 % 100:02}-{date % 100:02}T{time // 100:02}:{time % 100:02}:00Z"
                kind = {2: "u", 3: "v", 22: "gust"}[eccodes.codes_get(grib, "parameterNumber")]
                for latitude, longitude in wanted:
                    value = weigh(grib, latitude, longitude)
                    rows.append({"at": at, "kind": kind, "lat": latitude, "lon": longitude, "value": value})
                eccodes.codes_release(grib)
        answers[name] = rows
    return answers


def weigh(grib, latitude, longitude):
    """Bilinear on a north-to-south, west-to-east grid of eccodes' values."""
    get = lambda key: eccodes.codes_get(grib, key)
    ni, nj = get("Ni"), get("Nj")
    west, north = get("longitudeOfFirstGridPointInDegrees"), get("latitudeOfFirstGridPointInDegrees")
    step = get("iDirectionIncrementInDegrees")
    values = eccodes.codes_get_values(grib).reshape(nj, ni)
    x, y = ((longitude - west) % 360.0) / step, (north - latitude) / step
    last = ni if abs(ni * step - 360.0) < 1e-6 else ni - 1
    i, j = min(int(math.floor(x + 1e-9)), last - 1), min(int(math.floor(y + 1e-9)), nj - 2)
    fx, fy = x - i, y - j
    return sum(float(values[j + dj, (i + di) % ni]) * abs(1 - di - fx) * abs(1 - dj - fy) for di in (0, 1) for dj in (0, 1))


if __name__ == "__main__":
    main()

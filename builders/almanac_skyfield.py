"""Sun and moon by JPL's DE421, for authorities/almanac.

    pip install skyfield skyfield-data numpy
    python builders/almanac_skyfield.py authorities/almanac/skyfield.json

Rising and setting: upper limb on the horizon, 34' of refraction, observer at the level of the ellipsoid. Twilight:
centre of the sun 6 and 12 degrees below. Times in UTC, in seconds. Cases drawn with a fixed seed, plus chosen ones at
high latitude and across the date line and the year's end.
"""

import datetime
import json
import random
import sys

import numpy
import skyfield
from skyfield import almanac
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

HOURS = 48
LIMITS = [(-50 / 60, "sunrise", "sunset"), (-6.0, "civil_dawn", "civil_dusk"), (-12.0, "nautical_dawn", "nautical_dusk")]


def stamp(t):
    return (t.utc_datetime() + datetime.timedelta(milliseconds=500)).strftime("%Y-%m-%dT%H:%M:%SZ")


def cases():
    chosen = [
        (69.65, 18.96, "2026-06-21T00:00:00Z"),  # polar day
        (69.65, 18.96, "2026-12-21T00:00:00Z"),  # polar night
        (78.2, 15.6, "2029-01-05T12:00:00Z"),  # polar night, dark all day
        (-69.0, 39.6, "2031-12-21T06:00:00Z"),  # polar day in the south
        (66.4, -20.0, "2027-06-15T00:00:00Z"),  # the sun grazes
        (-36.8, 179.9, "2026-12-30T20:00:00Z"),  # date line and year's end
        (0.0, -179.9, "2027-12-31T03:00:00Z"),
        (51.5, 0.0, "2028-02-28T12:00:00Z"),  # leap day
    ]
    dice = random.Random(20260101)
    for _ in range(80):
        day = datetime.datetime(2024, 1, 1) + datetime.timedelta(minutes=dice.randrange(12 * 365 * 1440))
        chosen.append(
            (round(dice.uniform(-70, 70), 3), round(dice.uniform(-180, 180), 3), day.strftime("%Y-%m-%dT%H:%M:%SZ"))
        )
    return chosen


def sun_events(ts, observer, sun, start, end):
    events = []
    for limit, up, down in LIMITS:

        def above(t, limit=limit):
            return observer.at(t).observe(sun).apparent().altaz()[0].degrees > limit

        above.step_days = 0.01
        times, states = almanac.find_discrete(start, end, above)
        events += [(t, up if s else down) for t, s in zip(times, states)]
    events.sort(key=lambda event: event[0].tt)
    return [{"at": stamp(t), "kind": kind} for t, kind in events]


def moon_events(observer, moon, start, end):
    def above(t):
        alt, _, distance = observer.at(t).observe(moon).apparent().altaz()
        return alt.degrees + numpy.degrees(numpy.arcsin(1737.4 / distance.km)) + 34 / 60 > 0

    above.step_days = 0.01
    times, states = almanac.find_discrete(start, end, above)
    return [{"at": stamp(t), "kind": "moonrise" if s else "moonset"} for t, s in zip(times, states)]


def main(path):
    loader = Loader(get_skyfield_data_path())
    ephemeris = loader("de421.bsp")
    ts = loader.timescale(builtin=True)
    earth, sun, moon = ephemeris["earth"], ephemeris["sun"], ephemeris["moon"]
    rows = []
    for latitude, longitude, start in cases():
        begin = datetime.datetime.fromisoformat(start.replace("Z", "+00:00"))
        t0, t1 = ts.from_datetime(begin), ts.from_datetime(begin + datetime.timedelta(hours=HOURS))
        observer = earth + wgs84.latlon(latitude, longitude)
        sun_alt, sun_az, _ = observer.at(t0).observe(sun).apparent().altaz()
        moon_alt, moon_az, _ = observer.at(t0).observe(moon).apparent().altaz()
        rows.append(
            {
                "latitude_deg": latitude,
                "longitude_deg": longitude,
                "from": start,
                "hours": HOURS,
                "sun": [round(float(sun_alt.degrees), 4), round(float(sun_az.degrees), 4)],
                "moon": [round(float(moon_alt.degrees), 4), round(float(moon_az.degrees), 4)],
                "moon_lit": round(float(almanac.fraction_illuminated(ephemeris, "moon", t0)), 5),
                "sun_events": sun_events(ts, observer, sun, t0, t1),
                "moon_events": moon_events(observer, moon, t0, t1),
            }
        )
    document = {
        "version": 1,
        "who": f"skyfield {skyfield.__version__}, JPL DE421 (from the package skyfield-data)",
        "how": "builders/almanac_skyfield.py",
        "when": datetime.date.today().isoformat(),
        "licence": "computed figures; skyfield MIT, DE421 public domain",
        "units": "altitude and azimuth in degrees, airless; times UTC, rounded to the second",
        "cases": rows,
    }
    with open(path, "w", encoding="utf-8") as out:
        out.write(json.dumps(document, separators=(",", ":")).replace('{"latitude_deg"', '\n{"latitude_deg"') + "\n")


main(sys.argv[1])

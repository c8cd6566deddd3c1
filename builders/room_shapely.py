"""Least distances of a swinging hull by dense sampling with shapely, for authorities/room.

    pip install shapely
    python builders/room_shapely.py authorities/room/shapely.json

Every hull is a plain rectangle, laid at every combination of bearing, reach and sheer on a grid; shapely measures. A
sampled least distance is never below the true one; `gap_m` says how far above it can be (half a step of the grid, at
the hull's furthest point). Metres east and north of the anchor, bearings clockwise from north in degrees. Fixed seed.
"""

import datetime
import json
import math
import random
import sys

import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

LAG_DEG = 15.0  # how far boats on like gear lie apart, as the project takes it
SHEERS, REACHES = 12, 2


def steps(low, high, count):
    return [low + (high - low) * k / count for k in range(count + 1)]


def hull(bearing, reach, sheer, length, beam, anchor=(0.0, 0.0)):
    box = Polygon([(-beam / 2, 0), (beam / 2, 0), (beam / 2, length), (-beam / 2, length)])
    box = affinity.rotate(box, -sheer, origin=(0, 0))
    box = affinity.translate(box, 0, reach)
    box = affinity.rotate(box, -bearing, origin=(0, 0))
    return affinity.translate(box, *anchor)


def hulls(boat, bearing, anchor=(0.0, 0.0), lags=(0.0,)):
    found = [
        hull(bearing + lag, reach, sheer, boat["length_m"], boat["beam_m"], anchor)
        for lag in lags
        for reach in steps(boat["reach_low_m"], boat["reach_high_m"], REACHES)
        for sheer in steps(-boat["sheer_deg"], boat["sheer_deg"], SHEERS)
    ]
    return shapely.geometrycollections(found)


def boat(dice):
    length = dice.uniform(8, 20)
    reach = dice.uniform(10, 60)
    return {
        "reach_low_m": round(reach, 2),
        "reach_high_m": round(reach + dice.uniform(0, 8), 2),
        "lie_deg": round(dice.uniform(0, 360), 1),
        "spread_deg": round(dice.choice([0, dice.uniform(5, 60), dice.uniform(60, 180)]), 1),
        "sheer_deg": round(dice.choice([0, dice.uniform(5, 45)]), 1),
        "length_m": round(length, 2),
        "beam_m": round(length * dice.uniform(0.28, 0.55), 2),
    }


def span_of(b):
    return b["reach_high_m"] + b["length_m"] + b["beam_m"]


def gap(b, bearings):
    turn = math.radians(2 * b["spread_deg"] / bearings) / 2 * span_of(b)
    sheer = math.radians(2 * b["sheer_deg"] / SHEERS) / 2 * math.hypot(b["length_m"], b["beam_m"] / 2)
    reach = (b["reach_high_m"] - b["reach_low_m"]) / REACHES / 2
    return turn + sheer + reach


def bearings_of(b, count):
    return steps(b["lie_deg"] - b["spread_deg"], b["lie_deg"] + b["spread_deg"], count)


def danger(dice, kind):
    def place(low=20, high=140):
        bearing, distance = dice.uniform(0, 2 * math.pi), dice.uniform(low, high)
        return [round(distance * math.sin(bearing), 2), round(distance * math.cos(bearing), 2)]

    if kind == "point":
        return [place()], round(dice.choice([0, dice.uniform(1, 20)]), 2)
    if kind == "line":
        return [place() for _ in range(dice.randrange(2, 7))], 0.0
    middle, size = place(60, 160), dice.uniform(15, 60)
    corners = dice.randrange(3, 9)
    ring = [
        [
            round(middle[0] + size * dice.uniform(0.4, 1) * math.sin(2 * math.pi * k / corners), 2),
            round(middle[1] + size * dice.uniform(0.4, 1) * math.cos(2 * math.pi * k / corners), 2),
        ]
        for k in range(corners)
    ]
    return ring, 0.0


def danger_case(dice, kind):
    own, (points, radius) = boat(dice), danger(dice, kind)
    shape = {"point": lambda: Point(points[0]), "line": lambda: LineString(points), "area": lambda: Polygon(points)}[kind]()
    count = max(2, int(4 * own["spread_deg"]))
    least = min(hulls(own, bearing).distance(shape) for bearing in bearings_of(own, count))
    return {
        "kind": kind,
        "own": own,
        "points_m": points,
        "radius_m": radius,
        "least_m": round(max(0.0, least - radius), 4),
        "gap_m": round(gap(own, count), 4),
    }


def in_step_case(dice):
    own, other = boat(dice), boat(dice)
    own["spread_deg"] = round(dice.uniform(0, 60), 1)
    other |= {"sheer_deg": own["sheer_deg"], "beam_m": round(0.33 * other["length_m"], 6)}
    # The project takes what he has veered from `veered - height` to `veered`.
    height = 8.0
    other |= {"reach_low_m": round(other["reach_high_m"] - height, 2)}
    bearing, distance = dice.uniform(0, 2 * math.pi), dice.uniform(60, 200)
    anchor = [round(distance * math.sin(bearing), 2), round(distance * math.cos(bearing), 2)]
    count, lags = 40, steps(-LAG_DEG, LAG_DEG, 8)
    least = min(
        hulls(own, bearing).distance(hulls(other, bearing, anchor, lags)) for bearing in bearings_of(own, count)
    )
    lagging = math.radians(LAG_DEG / 8) * span_of(other) + gap({**other, "spread_deg": 0.0}, 1)
    turning = math.radians(own["spread_deg"] / count) * span_of(other)
    return {
        "kind": "in_step",
        "own": own,
        "neighbour": {"anchor_m": anchor, "length_m": other["length_m"], "veered_m": other["reach_high_m"]},
        "height_m": height,
        "least_m": round(least, 4),
        "gap_m": round(gap(own, count) + lagging + turning, 4),
    }


def main(path):
    dice = random.Random(20260202)
    cases = [danger_case(dice, kind) for kind in ("point", "line", "area") for _ in range(30)]
    cases += [in_step_case(dice) for _ in range(24)]
    document = {
        "version": 1,
        "who": f"shapely {shapely.__version__} (GEOS {shapely.geos_version_string})",
        "how": "builders/room_shapely.py",
        "when": datetime.date.today().isoformat(),
        "licence": "computed figures; shapely BSD-3-Clause",
        "units": "metres east and north of the anchor, degrees clockwise from north",
        "cases": cases,
    }
    with open(path, "w", encoding="utf-8") as out:
        out.write(json.dumps(document, separators=(",", ":")).replace('{"kind"', '\n{"kind"') + "\n")


main(sys.argv[1])

"""Cuts the recorded AIS tracks down to what the tests read.

Usage: python3 ais_tracks.py SEGMENTS.csv DRIFT.csv OUT_DIR

SEGMENTS.csv: the stationary segments of the Global Fishing Watch pipeline's test data, one row a report. DRIFT.csv: the
ship not under command of the Danish Maritime Authority's test data, one row a report. Rows are kept as they came, less
the columns that no test reads; of reports of one vessel within 20 s the first is kept.
"""

import csv
import sys
from datetime import datetime

KEPT = ["t_utc", "lat", "lon", "sog_kn", "cog", "heading", "nav_status"]
SEGMENTS = {"0", "1", "2", "7", "10", "11"}


def cut(rows, name, key, wanted):
    last = {}
    with open(name, "w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["segment", *KEPT])
        for row in rows:
            track = row[key]
            if not wanted(row):
                continue
            when = datetime.fromisoformat(row["t_utc"])
            if track in last and (when - last[track]).total_seconds() < 20:
                continue
            last[track] = when
            speed = f"{float(row['sog_kn']):.1f}" if row["sog_kn"] else ""
            course = f"{float(row['cog']):.1f}" if row["cog"] else ""
            place = [f"{float(row[axis]):.6f}" for axis in ("lat", "lon")]
            writer.writerow([track, row["t_utc"][:19], *place, speed, course, row["heading"], row["nav_status"]])


def main():
    segments, drift, out = sys.argv[1:]
    with open(segments, encoding="utf-8") as file:
        cut(csv.DictReader(file), f"{out}/stationary.csv", "segment", lambda row: row["segment"] in SEGMENTS)
    with open(drift, encoding="utf-8") as file:
        rows = [dict(row, t_utc=row["t_utc_or_station"]) for row in csv.DictReader(file)]
    cut(rows, f"{out}/drifting.csv", "mmsi", lambda row: row["msg"] in {"1", "2", "3"})


main()

"""pynmea2's time for a sentence of the log that our own bench reads; makes no file.

    pip install pynmea2
    python builders/nmea_bench.py

Of `bundg_zeus_9.log`, the lines that pynmea2 knows, checksums verified; best of five rounds.
"""

import pathlib
import time

import pynmea2

LOG = pathlib.Path("authorities/nmea/bundg_zeus_9.log")


def known():
    lines = []
    for line in LOG.read_text(errors="replace").splitlines():
        try:
            pynmea2.parse(line.strip(), check=True)
        except pynmea2.ParseError:
            continue
        lines.append(line.strip())
    return lines


def main():
    lines, best = known(), float("inf")
    for _ in range(5):
        begun = time.perf_counter()
        for line in lines:
            pynmea2.parse(line, check=True)
        best = min(best, time.perf_counter() - begun)
    print(f"nmea/framing_and_parsing {best / len(lines):.9f} pynmea2 {pynmea2.__version__}, fields as text")


main()

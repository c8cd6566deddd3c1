"""The reference beside `cargo bench --bench ais`: pyais on the same recorded sentences."""

import time

import pyais
from pyais.stream import IterMessages

LINES = [line.strip() for line in open("authorities/ais/dma_stream_2010-06-11.nmea", "rb")]
SINGLE = [line for line in LINES if line.split(b",")[1] == b"1" and line.split(b",")[5][:1] in b"123"]
RUNS = 7


def stream():
    for sentence in IterMessages(LINES):
        sentence.decode()


def position_reports():
    for line in SINGLE:
        pyais.decode(line)


def main():
    for bench, run, count, what in (
        ("sentences_to_messages", stream, len(LINES), "pyais 3.3.1, IterMessages and decode"),
        ("position_reports", position_reports, len(SINGLE), "pyais 3.3.1, decode of one sentence"),
    ):
        best = float("inf")
        for _ in range(RUNS):
            begun = time.perf_counter()
            run()
            best = min(best, time.perf_counter() - begun)
        print(f"ais/{bench} {best / count:.3e} {what}")


main()

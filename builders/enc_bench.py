"""The reference beside `cargo bench --bench enc`: GDAL's S-57 driver on the same chart, every layer read whole."""

import gzip
import os
import shutil
import tempfile
import time

os.environ["OGR_S57_OPTIONS"] = (
    "RETURN_PRIMITIVES=OFF,RETURN_LINKAGES=OFF,LNAM_REFS=OFF,SPLIT_MULTIPOINT=OFF,UPDATES=IGNORE"
)

import numpy  # noqa: F401  (pyogrio's raw reader needs it)
from pyogrio import list_layers, raw

RUNS = 5


def timed(run):
    """The best of a few runs, in seconds."""
    best = float("inf")
    for _ in range(RUNS):
        begun = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - begun)
    return best


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/US5WA22M.000"
        with gzip.open("authorities/enc/US5WA22M.000.gz") as packed, open(path, "wb") as chart:
            shutil.copyfileobj(packed, chart)
        layers = [name for name, _ in list_layers(path)]
        opening = timed(lambda: list_layers(path))
        each = [timed(lambda name=name: raw.read(path, layer=name)) for name in layers]
        # The reader opens the chart anew for each layer; a program that kept it open would open and index it once. What
        # the quickest layer takes, of one feature, is taken for that.
        once = min(each)
        kept_open = once + sum(taken - once for taken in each)
        for taken, what in (
            (opening, "GDAL 3.12.4 through pyogrio 0.13.0, the chart opened and its layers listed, no feature read"),
            (kept_open, "the same, every layer read, the chart opened and indexed once (the rest taken off)"),
            (sum(each), "the same, every layer read as pyogrio does, opened for each"),
        ):
            print(f"enc/harbour_to_features {taken:.3e} {what}")


main()

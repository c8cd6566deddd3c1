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

RUNS = 3


def whole(path):
    """Opens the chart anew for each of its layers, as the reader does."""
    for name, _ in list_layers(path):
        raw.read(path, layer=name)


def one_pass(path):
    """Opens the chart once and reads one layer: the least that GDAL does to tell features from it."""
    raw.read(path, layer="DEPARE")


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = f"{folder}/US5WA22M.000"
        with gzip.open("authorities/enc/US5WA22M.000.gz") as packed, open(path, "wb") as chart:
            shutil.copyfileobj(packed, chart)
        for run, what in (
            (whole, "GDAL 3.12.4 through pyogrio, all layers, opened for each"),
            (one_pass, "GDAL 3.12.4 through pyogrio, opened once, depth areas alone"),
        ):
            best = float("inf")
            for _ in range(RUNS):
                begun = time.perf_counter()
                run(path)
                best = min(best, time.perf_counter() - begun)
            print(f"enc/harbour_to_features {best:.3e} {what}")


main()

"""The reference beside `cargo bench --bench tide`: a year of heights from 37 constituents by numpy's own cosine."""

import time

import numpy

CONSTITUENTS = 37
HOURS = numpy.arange(87_601) / 10.0
RUNS = 20


def year(amplitudes, rates, phases):
    heights = numpy.ones_like(HOURS)
    for amplitude, rate, phase in zip(amplitudes, rates, phases):
        heights += amplitude * numpy.cos(rate * HOURS - phase)
    return heights


def main():
    draw = numpy.random.default_rng(1)
    constants = draw.uniform(0, 1, CONSTITUENTS), draw.uniform(0, 2, CONSTITUENTS), draw.uniform(0, 6, CONSTITUENTS)
    best = float("inf")
    for _ in range(RUNS):
        begun = time.perf_counter()
        year(*constants)
        best = min(best, time.perf_counter() - begun)
    for bench in ("year_of_heights_as_the_us_tables", "year_of_heights_continuous"):
        print(f"tide/{bench} {best / len(HOURS):.3e} numpy, a cosine for each constituent and height, the factors held")


main()

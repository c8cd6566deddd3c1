"""How many rodes a second scipy solves: the reference of crates/windrode-domain/benches/rode.rs, same rodes, same loads.

The elastic catenary of two segments (Irvine 1981; asinh form), grounded or lifted, solved for the height with fsolve
(forward) and for height and distance together (inverse). Run: python builders/catenary_scipy_bench.py
"""

import time

import numpy
import scipy
from scipy.optimize import fsolve

SEGMENTS = [(15.0, 11.9445, 5.4656e6), (35.0, 0.117723, 40000.0)]
HEIGHT = 7.0
LOADS = 20.0 * 1000.0 ** (numpy.arange(1000) / 999.0)


def spread(horizontal, top):
    """Distance and height for a pull at the roller: down from the top."""
    x = z = 0.0
    upper = top
    for length, weight, ea in reversed(SEGMENTS):
        lower = upper - weight * length
        lying = 0.0
        if lower < 0.0:
            lying, lower = -lower / weight, 0.0
            lying = min(lying, length)
            upper = max(upper, 0.0)
        hanging = length - lying
        x += horizontal / weight * (numpy.arcsinh(upper / horizontal) - numpy.arcsinh(lower / horizontal))
        x += horizontal * length / ea + lying
        z += (numpy.hypot(horizontal, upper) - numpy.hypot(horizontal, lower)) / weight
        z += 0.5 * (lower + upper) * hanging / ea
        upper = lower
    return x, z


def forward(horizontal):
    guess = numpy.sqrt(max((horizontal + 40.0) ** 2 - horizontal**2, 1.0))
    top = fsolve(lambda v: spread(horizontal, v[0])[1] - HEIGHT, [guess], xtol=1e-10)[0]
    return spread(horizontal, top)[0], top


def inverse(distance, guess):
    def wanting(unknown):
        x, z = spread(abs(unknown[0]), unknown[1])
        return [x - distance, z - HEIGHT]

    return fsolve(wanting, guess, xtol=1e-10)


def main():
    start = time.perf_counter()
    solved = [forward(load) for load in LOADS]
    forward_s = time.perf_counter() - start
    start = time.perf_counter()
    # Begun a tenth off the answer: kinder than any guess the solver could make for itself.
    for load, (distance, top) in zip(LOADS, solved):
        inverse(distance, [1.1 * load, 1.1 * top])
    inverse_s = time.perf_counter() - start
    libraries = f"scipy {scipy.__version__}, the same equations by fsolve"
    print(f"rode/forward_chain_and_rope {forward_s / len(LOADS):.3e} {libraries}")
    print(f"rode/inverse_chain_and_rope {inverse_s / len(LOADS):.3e} {libraries}")


if __name__ == "__main__":
    main()

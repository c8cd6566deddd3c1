"""Gumbel distributions fitted to samples by scipy; writes authorities/ride/scipy_gumbel.json.

Of each sample of sixty (random, fixed seed) the location and scale by the first two L-moments (scipy.stats.lmoment) and
by greatest likelihood (scipy.stats.gumbel_r.fit), and the median and 95 % point of the greatest of eighteen by the
former, from scipy's own quantile function: the greatest stays below x where each of eighteen does.

Needs numpy and scipy. Run: python builders/peaks_scipy.py
"""

import json
import math
import pathlib

import numpy
import scipy
from scipy.stats import gumbel_r, lmoment

SEED = 20261125
TARGET = pathlib.Path(__file__).resolve().parent.parent / "authorities" / "ride" / "scipy_gumbel.json"
COUNT = 60
STRETCHES = 18


def sample(rng):
    location = float(rng.uniform(500.0, 5000.0))
    values = gumbel_r.rvs(location, location * rng.uniform(0.03, 0.25), size=COUNT, random_state=rng)
    values = [round(float(v), 3) for v in values]
    first, second = (float(m) for m in lmoment(values, order=[1, 2]))
    scale = second / math.log(2.0)
    location = first - float(numpy.euler_gamma) * scale
    likely_location, likely_scale = (float(v) for v in gumbel_r.fit(values))
    greatest = [float(gumbel_r.ppf(p ** (1.0 / STRETCHES), location, scale)) for p in (0.5, 0.95)]
    return {
        "values": values,
        "location": location,
        "scale": scale,
        "likely_location": likely_location,
        "likely_scale": likely_scale,
        "greatest_of_18": greatest,
    }


def main():
    rng = numpy.random.default_rng(SEED)
    told = {
        "by": f"scipy {scipy.__version__}, numpy {numpy.__version__}, builders/peaks_scipy.py, seed {SEED}",
        "unit": "N",
        "samples": [sample(rng) for _ in range(5)],
    }
    TARGET.write_text(json.dumps(told, indent=1) + "\n")


if __name__ == "__main__":
    main()

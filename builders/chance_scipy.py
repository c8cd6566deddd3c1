"""The chance of dragging by brute force.

Every uncertain thing is drawn, gusts included, and both sides of the definition are compared at the load itself: no
critical load is solved for, no gust integrated away. The expected chance comes from a million stays; the band over
worlds of ignorance from 512 worlds (scrambled Sobol points) of 4000 stays each.

Usage: python chance_scipy.py > ../authorities/chance/brute_force.json   (numpy, scipy; about five minutes)
"""

import json
import sys

import numpy as np
import scipy
from scipy.stats import norm, qmc

NAVAL = np.array([[0, 1], [5, 0.75], [10, 0.625], [15, 0.5], [37.5, 0]])
SCOPE = np.array([[0, 1], [5.74, 1], [8.21, 0.91], [11.54, 0.77], [19.47, 0.53], [30, 0.35], [45, 0]])
STAYS, CHUNK, WORLDS, STAYS_A_WORLD = 1_000_000, 50_000, 512, 4000


def left_by_uplift(uplift_deg, u):
    harsh = np.interp(uplift_deg, NAVAL[:, 0], NAVAL[:, 1])
    return harsh + u * (np.interp(uplift_deg, SCOPE[:, 0], SCOPE[:, 1]) - harsh)


def scenario(rng, number):
    """An invented stay: wind rises and falls, the stream turns, the water changes the curves."""
    count = int(rng.integers(1, 25))
    curves = []
    for _ in range(int(rng.integers(1, 4))):
        lift_n = float(rng.uniform(800, 3000))
        lying_n = float(rng.uniform(100, 700))
        taut_deg = float(rng.uniform(8, 25))
        bow = [0.0, 0.3 * lift_n, 0.7 * lift_n, lift_n, 2 * lift_n, 4 * lift_n, 80_000.0]
        lying = [lying_n, 0.55 * lying_n, 0.2 * lying_n, 0.0, 0.0, 0.0, 0.0]
        lifted = [0.0, 0.0, 0.0, 0.0, 0.5 * taut_deg, 0.8 * taut_deg, taut_deg]
        curves.append([list(row) for row in zip(bow, lying, lifted)])
    strength = float(rng.uniform(150, 1100))
    centre = float(rng.uniform(0, count))
    veer = float(rng.uniform(0, 120))
    lead = float(rng.uniform(0.02, 0.12))
    calm = number % 8 == 7
    instants = []
    for i in range(count):
        instants.append({
            "wind_n": strength * (0.4 + 0.6 * float(np.exp(-((i - centre) / 5) ** 2))),
            "other_n": 80.0 + 70.0 * float(np.sin(i)),
            "gust_location": 1.35,
            "gust_scale": 0.0 if calm else float(rng.uniform(0.04, 0.1)),
            "renewals": 1.0 if calm else float(rng.uniform(0.5, 6)),
            "forecast_sigma_ln": lead * (1 + i / 24),
            "toward_deg": (350 + veer * i / max(1, count - 1)) % 360,
            "curve": i % len(curves),
        })
    proof = None
    if number % 3 == 2:
        proof = {"median_n": float(rng.uniform(1000, 3500)), "sigma_ln": float(rng.uniform(0.05, 0.3)),
                 "toward_deg": 0.0, "uplift_deg": float(rng.choice([0.0, 5.0, 20.0]))}
    return {
        "holding": {"median_n": float(rng.uniform(2500, 9000)), "sigma_tables_ln": float(rng.uniform(0.1, 0.4)),
                    "sigma_spot_ln": float(rng.uniform(0.1, 0.4))},
        "windage_class_ln": float(rng.uniform(0, 0.25)), "windage_boat_ln": float(rng.uniform(0.02, 0.2)),
        "sheer": [1.4, float(rng.uniform(0.05, 0.2))], "amplification": [1.05, float(rng.uniform(0.05, 0.2))],
        "friction": [0.85, 0.11], "gust_model_ln": float(rng.uniform(0, 0.2)),
        "instants": instants, "curves": curves, "proof": proof,
    }


def drags(case, world, rng, count):
    """Whether each of `count` stays drags, in worlds given by their three scores (arrays or numbers)."""
    held, spread = case["holding"], case["holding"]["sigma_spot_ln"]
    median = held["median_n"] * np.exp(held["sigma_tables_ln"] * world[0]) * np.ones(count)
    class_factor = np.exp(case["windage_class_ln"] * world[1])
    gust_factor = np.exp(case["gust_model_ln"] * world[2])
    spot, boat, sheer, error, surge, rub = rng.standard_normal((6, count))
    u = rng.random(count)
    holding = median * np.exp(spread * spot)
    friction = case["friction"][0] * np.exp(case["friction"][1] * rub)
    wind_factor = (class_factor * np.exp(case["windage_boat_ln"] * boat)
                   * case["sheer"][0] * np.exp(case["sheer"][1] * sheer))
    amplification = case["amplification"][0] * np.exp(case["amplification"][1] * surge)
    proof = case["proof"]
    if proof:
        # The load proved, and a spot that bore it: drawn anew until it did.
        load = np.zeros(count)
        open_ = np.arange(count)
        for _ in range(100_000):
            tried = proof["median_n"] * np.exp(proof["sigma_ln"] * rng.standard_normal(open_.size))
            bore = median[open_] * np.exp(spread * rng.standard_normal(open_.size)) >= tried
            load[open_[bore]] = tried[bore]
            open_ = open_[~bore]
            if open_.size == 0:
                break
        assert open_.size == 0, "a proof too great for the case"
        above = norm.sf(np.log(load / median) / spread)
        shown = median * np.exp(spread * norm.isf(above * norm.sf(spot)))
    gone = np.zeros(count, dtype=bool)
    for at in case["instants"]:
        # The largest of r draws of Gumbel's distribution is Gumbel's, further out by b ln r.
        ratio = at["gust_location"] + at["gust_scale"] * (rng.gumbel(size=count) + np.log(at["renewals"]))
        ratio = np.maximum(1.0 + gust_factor * (ratio - 1.0), 1.0)
        forecast = np.exp(2 * at["forecast_sigma_ln"] * error)
        bow = amplification * (at["wind_n"] * wind_factor * forecast * ratio**2 + at["other_n"])
        curve = np.array(case["curves"][at["curve"]])
        lying = np.interp(bow, curve[:, 0], curve[:, 1])
        lifted = np.interp(bow, curve[:, 0], curve[:, 2])
        shank = bow - friction * lying
        left = left_by_uplift(lifted, u)
        holds = (shank < holding * left) & (bow < curve[-1, 0])
        if proof:
            turn = (at["toward_deg"] - proof["toward_deg"] + 180) % 360 - 180
            if abs(turn) <= 45:
                borne = (shank < load) | (shank < shown * left)
                holds |= borne & (lifted <= proof["uplift_deg"]) & (bow < curve[-1, 0])
        gone |= ~holds
    return gone


def answer(case, rng, number):
    hits = 0
    for _ in range(STAYS // CHUNK):
        hits += int(drags(case, rng.standard_normal((3, CHUNK)), rng, CHUNK).sum())
    expected = hits / STAYS
    points = norm.ppf(qmc.Sobol(3, seed=number).random(WORLDS))
    chances = [float(drags(case, point, rng, STAYS_A_WORLD).mean()) for point in points]
    p10, median, p90 = np.quantile(chances, [0.1, 0.5, 0.9])
    return {"expected": expected, "expected_error": float(np.sqrt(expected * (1 - expected) / STAYS)),
            "p10": float(p10), "median": float(median), "p90": float(p90)}


def main():
    rng = np.random.default_rng(20261125)
    cases = []
    for number in range(24):
        case = scenario(rng, number)
        case["answer"] = answer(case, rng, number)
        print(number, case["answer"], file=sys.stderr, flush=True)
        cases.append(case)
    json.dump({
        "who": f"numpy {np.__version__}, scipy {scipy.__version__}",
        "how": "builders/chance_scipy.py: a million stays a case; bands over 512 worlds of 4000 stays",
        "when": "2026-11-25", "licence": "ours", "units": "N, degrees, logarithms of factors",
        "cases": cases,
    }, sys.stdout)


main()

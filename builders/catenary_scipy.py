"""Random rodes solved by integrating the hanging elastic line's own equation; writes authorities/catenary/scipy_cases.json.

    dx/ds = (1 + T/EA) H/T    dz/ds = (1 + T/EA) V/T    dV/ds = w,  V jumps by W at a kellet    (hanging)
    dT/ds = w (sin b + C),  stretched length grows by (1 + T/EA) ds,  T never below nothing    (resting)

No closed form of the catenary is used. The state at the release point (where the rode leaves the ground, a kellet that
stands there, or the anchor) is shot for with brentq until the upper end is at the roller's height; for the inverse
cases the load is shot for as well. Needs numpy and scipy. Run: python builders/catenary_scipy.py
"""

import json
import math
import multiprocessing
import pathlib

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

SEED = 20261125
WANTED = 300
RTOL, ATOL = 2.5e-13, 1e-13
TARGET = pathlib.Path(__file__).resolve().parent.parent / "authorities" / "catenary" / "scipy_cases.json"


class NoSolution(Exception):
    pass


def integrate(function, start, end, state):
    solved = solve_ivp(function, (start, end), state, method="DOP853", rtol=RTOL, atol=ATOL)
    if not solved.success:
        raise NoSolution(solved.message)
    return solved.y[:, -1]


class Rode:
    def __init__(self, case):
        self.segments = case["segments"]
        self.kellets = sorted((k["from_anchor_m"], k["weight_n"]) for k in case["kellets"])
        self.beta = math.radians(case["slope_deg"])
        self.friction = case.get("friction", 0.0)
        ends = numpy.cumsum([s["length_m"] for s in self.segments])
        self.length = float(ends[-1])
        self.cuts = sorted({0.0, *map(float, ends), *(k[0] for k in self.kellets)})
        self.foot = 0.0
        for end, segment in zip(ends, self.segments):
            if segment["weight_n_per_m"] < 0:
                break
            self.foot = float(end)
        self.ends = ends

    def at(self, s):
        """Segment in which the middle of a stretch lies."""
        index = min(int(numpy.searchsorted(self.ends, s)), len(self.segments) - 1)
        return self.segments[index]

    def stretches(self, low, high):
        cuts = [low] + [c for c in self.cuts if low < c < high] + [high]
        return [(a, b) for a, b in zip(cuts, cuts[1:]) if b > a]

    def hung(self, s):
        return sum(w for at, w in self.kellets if at == s)

    def rest(self, horizontal, release, borne):
        """Stretched length of what rests below the release point, and the tension at the anchor."""
        drag = math.sin(self.beta) + self.friction
        tension = max(horizontal / math.cos(self.beta) - drag * borne, 0.0)
        stretched = 0.0
        for low, high in reversed(self.stretches(0.0, release)):
            if high != release:
                tension = max(tension - drag * self.hung(high), 0.0)
            segment = self.at(0.5 * (low + high))
            loss = segment["weight_n_per_m"] * drag
            end = low
            if loss > 0 and tension - loss * (high - low) < 0:
                end = high - tension / loss
                stretched += end - low

            def slope(_, y):
                return [loss, 1.0 + y[0] / segment["ea_n"]]

            if high > end:
                y = integrate(slope, high, end, [tension, 0.0])
                tension = max(y[0], 0.0) if end == low else 0.0
                stretched -= y[1]
        return stretched, tension

    def hang(self, horizontal, release, vertical, start, watch=None):
        """Upper end of what hangs above the release point: x, z, V below nothing hung there."""
        x, z = start
        state = numpy.array([x, z, vertical])
        for low, high in self.stretches(release, self.length):
            if low != release:
                state[2] += self.hung(low)
            segment = self.at(0.5 * (low + high))
            weight, ea = segment["weight_n_per_m"], segment["ea_n"]

            def slope(_, y):
                tension = math.hypot(horizontal, y[2])
                stretch = 1.0 / tension + 1.0 / ea
                return [horizontal * stretch, y[2] * stretch, weight]

            if watch is not None:
                solved = solve_ivp(slope, (low, high), state, method="DOP853", rtol=1e-9, atol=1e-9,
                                   t_eval=numpy.linspace(low, high, 40))
                watch.extend(solved.y[:2].T.tolist())
            state = integrate(slope, low, high, state)
        state[2] += self.hung(self.length)
        return state

    def state(self, horizontal, release, above, watch=None):
        """All of it, for a release point and the vertical pull just above it (of a kellet there, too)."""
        level = horizontal * math.tan(self.beta)
        if release > 0:
            borne = max(self.hung(release) - (above - level), 0.0) if self.hung(release) else 0.0
            stretched, anchor = self.rest(horizontal, release, borne)
            start = (stretched * math.cos(self.beta), stretched * math.sin(self.beta))
            pull = (anchor * math.cos(self.beta), anchor * math.sin(self.beta))
            uplift, lies = 0.0, True
        else:
            start, pull, lies = (0.0, 0.0), (horizontal, above), False
            uplift = math.degrees(math.atan2(above, horizontal)) - math.degrees(self.beta)
        x, z, vertical = self.hang(horizontal, release, above, start, watch)
        return {"distance_m": x, "z": z, "vertical_n": vertical, "tension_n": math.hypot(horizontal, vertical),
                "grounded_m": release, "anchor_vertical_n": pull[1], "anchor_horizontal_n": pull[0],
                "uplift_deg": uplift, "horizontal_n": horizontal,
                "regime": "kellet_at_touchdown" if lies and self.hung(release) and above > level
                else "grounded" if lies else "lifted"}

    def shoot(self, horizontal, height):
        """The state whose upper end is at the height."""
        level = horizontal * math.tan(self.beta)

        def above_roller(release, above):
            return self.state(horizontal, release, above)["z"] - height

        upper, above = self.foot, level
        if self.foot > 0:
            if above_roller(upper, above + 0.0) >= 0:
                raise NoSolution("ground above roller")
            kellets = sorted({at for at, _ in self.kellets if 0 < at < self.foot}, reverse=True)
            for at in [*kellets, 0.0]:
                # Just above a kellet that is about to rise the pull is level; its weight is all on the ground.
                if above_roller(at, level) >= 0:
                    release = brentq(lambda s: above_roller(s, level), at, upper, xtol=1e-14, rtol=8.9e-16)
                    return self.state(horizontal, release, level)
                if at > 0 and above_roller(at, level + self.hung(at)) >= 0:
                    above = brentq(lambda v: above_roller(at, v), level, level + self.hung(at), xtol=1e-12)
                    return self.state(horizontal, at, above)
                upper = at
        low, width = level, horizontal + 1.0
        if self.foot == 0:
            low = -1e6
        while above_roller(0.0, level + width) < 0:
            low, width = level + width, 4 * width
            if width > 1e8:
                raise NoSolution("no lift")
        above = brentq(lambda v: above_roller(0.0, v), low, level + width, xtol=1e-12, rtol=8.9e-16)
        return self.state(horizontal, 0.0, above)

    def sound(self, lie, height):
        """Whether a floating part keeps under the roller and a heavy one off the ground."""
        if self.foot == self.length:
            return True
        watch = []
        above = lie["anchor_vertical_n"] if lie["regime"] == "lifted" else lie["horizontal_n"] * math.tan(self.beta)
        if lie["regime"] == "kellet_at_touchdown":
            return False
        self.state(lie["horizontal_n"], lie["grounded_m"], above, watch)
        return all(z < height - 1e-3 or x > lie["distance_m"] - 1e-2 for x, z in watch) and all(
            z - x * math.tan(self.beta) > -1e-6 for x, z in watch)


def segment(random, length, kind):
    if kind == "chain":
        d = random.uniform(6, 14)
        return {"length_m": length, "weight_n_per_m": round(0.0225 * d * d * 9.80665 * 0.87, 4),
                "ea_n": round(85.4e9 * (d / 1000) ** 2, -2)}
    if kind == "rope":
        d = random.uniform(10, 24)
        return {"length_m": length, "weight_n_per_m": round(0.0006 * d * d * random.uniform(0.9, 2.6), 6),
                "ea_n": round(200.0 * d * d * random.uniform(0.8, 6), -1)}
    if kind == "feather":
        return {"length_m": length, "weight_n_per_m": float(f"{10 ** random.uniform(-9, -3):.3e}"),
                "ea_n": round(10 ** random.uniform(4.5, 6), -2)}
    return {"length_m": length, "weight_n_per_m": -round(random.uniform(0.02, 0.6), 5),
            "ea_n": round(10 ** random.uniform(4.6, 5.6), -2)}


KINDS = [["chain"], ["chain", "rope"], ["chain", "rope"], ["chain", "chain"], ["chain", "rope", "rope"],
         ["chain", "feather"], ["rope"], ["chain", "float"], ["rope", "chain", "rope"], ["chain", "rope", "chain", "rope"]]


def draw(number):
    random = numpy.random.default_rng([SEED, number])
    height = round(math.exp(random.uniform(math.log(0.5), math.log(60))), 3)
    scope = math.exp(random.uniform(math.log(1.05), math.log(50))) if number % 3 == 0 else random.uniform(2.5, 10)
    kinds = KINDS[int(random.integers(len(KINDS)))]
    shares = random.dirichlet(numpy.full(len(kinds), 2.0))
    length = max(height * scope, height + 0.02 * len(kinds))
    segments = [segment(random, round(float(length * share) + 0.02, 3), kind) for share, kind in zip(shares, kinds)]
    length = sum(s["length_m"] for s in segments)
    kellets = [{"from_anchor_m": round(float(random.uniform(0.02, 0.98)) * length, 3),
                "weight_n": round(float(random.uniform(20, 400)), 2)}
               for _ in range(int(random.choice([0, 0, 1, 1, 2, 3])))]
    slope = 0.0 if random.random() < 0.4 else round(float(random.uniform(-30, 30)), 3)
    case = {"segments": segments, "kellets": kellets, "slope_deg": slope, "height_m": height}
    if random.random() < 0.25:
        case["friction"] = round(float(random.uniform(0.1, 1.2)), 3)
    softest = min(s["ea_n"] for s in segments)
    horizontal = round(math.exp(random.uniform(0, math.log(min(6e4, 0.6 * softest)))), 3)
    rode = Rode(case)
    try:
        if kellets and "float" not in kinds and random.random() < 0.6:
            # A height at which one of the kellets stands at the touchdown, half borne or so.
            at = kellets[int(random.integers(len(kellets)))]
            above = horizontal * math.tan(rode.beta) + at["weight_n"] * random.uniform(0.05, 0.95)
            height = round(rode.state(horizontal, at["from_anchor_m"], above)["z"], 4)
            if not 0.3 < height < min(60, length):
                return None
            case["height_m"] = height
        lie = rode.shoot(horizontal, case["height_m"])
        if number % 2 == 0:
            distance = round(lie["distance_m"], 4)

            def beyond(log_load):
                return rode.shoot(math.exp(log_load), case["height_m"])["distance_m"] - distance

            low = high = math.log(horizontal)
            while beyond(low) > 0:
                low -= 0.02 + (math.log(horizontal) - low)
            while beyond(high) < 0:
                high += 0.02 + (high - math.log(horizontal))
            log_load = brentq(beyond, low, high, xtol=1e-13, rtol=8.9e-16)
            lie = rode.shoot(math.exp(log_load), case["height_m"])
            case["distance_m"] = distance
        else:
            case["horizontal_n"] = horizontal
        if not rode.sound(lie, case["height_m"]):
            return None
    except (NoSolution, ValueError, OverflowError):
        return None
    if abs(lie["z"] - case["height_m"]) > 1e-9 * max(1.0, length):
        return None
    del lie["z"]
    if lie["horizontal_n"] > softest or lie["horizontal_n"] < 1:
        return None
    return {"case": case, "expected": lie}


def main():
    with multiprocessing.Pool(2) as pool:
        solved = [s for s in pool.imap(draw, range(int(WANTED * 1.6)), chunksize=4) if s][:WANTED]
    header = {
        "who": f"scipy {scipy.__version__} (solve_ivp DOP853, rtol {RTOL}, atol {ATOL}; brentq), numpy {numpy.__version__}",
        "how": "builders/catenary_scipy.py: the line's own equation integrated, the release point shot for; no closed form",
        "seed": SEED,
        "licence": "numbers computed for this project; no outside data",
        "units": "m, N, degrees; segments and stations from the anchor, unstretched",
    }
    rows = ",\n".join(json.dumps(s) for s in solved)
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    TARGET.write_text('{"provenance": ' + json.dumps(header, indent=1) + ',\n"cases": [\n' + rows + "\n]}\n")
    regimes = [s["expected"]["regime"] for s in solved]
    print(len(solved), {r: regimes.count(r) for r in sorted(set(regimes))},
          sum("distance_m" in s["case"] for s in solved), "inverse",
          sum(any(g["weight_n_per_m"] < 0 for g in s["case"]["segments"]) for s in solved), "with a floating part",
          sum("friction" in s["case"] for s in solved), "with friction")


if __name__ == "__main__":
    main()

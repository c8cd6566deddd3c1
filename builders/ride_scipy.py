"""A boat at anchor by scipy; writes authorities/ride/scipy_ride.json.

Two things. The linear sway and yaw of a boat lying bow to wind, as a first-order system of four states whose eigenvalues
scipy.linalg.eig finds (random boats, fixed seed). And the three motions in the plane as an ordinary differential equation,
by solve_ivp (DOP853), the rode by the elastic catenary's closed form (Irvine, Cable Structures, 1981, ch. 1) solved anew
with brentq at every call: no step of ours, no table, no approximate arctangent. No friction on the ground, no waves.

Needs numpy and scipy. Run: python builders/ride_scipy.py
"""

import json
import math
import pathlib

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.linalg import eig
from scipy.optimize import brentq

SEED = 20261125
TARGET = pathlib.Path(__file__).resolve().parent.parent / "authorities" / "ride" / "scipy_ride.json"
RHO_AIR, RHO_WATER = 1.225, 1025.0

# The boat of 10.8 m waterline.
L = 10.8
M = 9000.0
MX, MY, MM = 0.07 * M, 0.9 * M, 0.28 * M
IZ = M * (0.275 * L) ** 2
JZ = 0.9 * IZ
CXA, CYA, XW0 = 7.5, 24.0, 0.14
XB = 0.53 * L
C_LINE = 250.0
XUU, XU = 150.0, 25.0
HULL = [((-0.5 + (i + 0.5) / 9.0) * L, L / 9.0 * 0.052 * L) for i in range(9)]
FINS = [(0.02 * L, 2.5), (-0.42 * L, 0.8)]

# The rode: one stretch, soft enough to stand for chain and snubber together.
LENGTH, W, EA, HEIGHT = 40.0, 19.6, 200_000.0, 7.2


def hanging(h, va, length):
    """Level and upright extent of a hanging stretch, pulled up by va at its foot."""
    vb = va + W * length
    ta, tb = math.hypot(h, va), math.hypot(h, vb)
    x = h / W * (math.asinh(vb / h) - math.asinh(va / h)) + h * length / EA
    z = (tb - ta) / W + (vb * vb - va * va) / (2.0 * EA * W)
    return x, z


def distance(h):
    if hanging(h, 0.0, LENGTH)[1] > HEIGHT:
        s = brentq(lambda s: hanging(h, 0.0, s)[1] - HEIGHT, 1e-9, LENGTH, xtol=1e-12)
        lying = LENGTH - s
        return lying * (1.0 + h / EA) + hanging(h, 0.0, s)[0]
    va = brentq(lambda v: hanging(h, v, LENGTH)[1] - HEIGHT, 0.0, 10.0 * h + 1e4, xtol=1e-10)
    return hanging(h, va, LENGTH)[0]


def load_at(x):
    least, most = math.log(1.0), math.log(1e5)
    if x <= distance(math.exp(least)):
        return 0.0
    return math.exp(brentq(lambda q: distance(math.exp(q)) - x, least, most, xtol=1e-11))


def motion(case):
    we, wn = case["wind_east_ms"], case["wind_north_ms"]
    se, sn = case["stream_east_ms"], case["stream_north_ms"]

    def rates(_, state):
        east, north, psi, u, v, r = state
        sin, cos = math.sin(psi), math.cos(psi)
        ve, vn = u * sin + v * cos, u * cos - v * sin
        # Wind.
        ax, ay = (we - ve) * sin + (wn - vn) * cos, (we - ve) * cos - (wn - vn) * sin
        speed = math.hypot(ax, ay)
        gamma = math.atan2(abs(ay), -ax)
        xw = 0.5 * RHO_AIR * CXA * speed * ax
        yw = 0.5 * RHO_AIR * CYA * speed * ay
        nw = XW0 * L * (1.0 - gamma / (math.pi / 2.0)) * yw
        # Water.
        ur, vr = (ve - se) * sin + (vn - sn) * cos, (ve - se) * cos - (vn - sn) * sin
        x = -XUU * ur * abs(ur) - XU * ur
        y = n = 0.0
        for at, area in HULL:
            vi = vr + at * r
            f = -0.5 * RHO_WATER * area * 0.8 * abs(vi) * vi
            y, n = y + f, n + at * f
        for at, area in FINS:
            vi = vr + at * r
            lift = min(3.2 * abs(ur) * abs(vi), 1.0 * (ur * ur + vi * vi)) * math.copysign(1.0, vi)
            f = -0.5 * RHO_WATER * area * (lift + 1.1 * abs(vi) * vi)
            y, n = y + f, n + at * f
        n -= MM * ur * vr
        # Rode, the anchor at the origin.
        be, bn = east + XB * sin, north + XB * cos
        bve, bvn = ve + XB * r * cos, vn - XB * r * sin
        d = math.hypot(be, bn)
        h = load_at(d)
        if h > 0.0:
            h = max(0.0, h + C_LINE * (be * bve + bn * bvn) / d)
        fe, fn = -h * be / d, -h * bn / d
        x += fe * sin + fn * cos
        yt = fe * cos - fn * sin
        x, y, n = x + xw, y + yw + yt, n + nw + XB * yt
        du = (x + (M + MY) * v * r) / (M + MX)
        dv = (y - (M + MX) * u * r) / (M + MY)
        return [ve, vn, r, du, dv, n / (IZ + JZ)]

    psi = math.radians(case["heading_deg"])
    back = distance(case["load_n"]) + XB
    start = [-back * math.sin(psi), -back * math.cos(psi), psi, 0.0, 0.0, 0.0]
    times = [30.0 * i for i in range(1, 11)]
    solved = solve_ivp(rates, (0.0, times[-1]), start, "DOP853", times, rtol=1e-8, atol=1e-8, max_step=0.5)
    if not solved.success:
        raise RuntimeError(solved.message)
    rows = []
    for t, (east, north, psi, u, v, r) in zip(times, solved.y.T):
        rows.append({"at_s": t, "bow_east_m": east + XB * math.sin(psi), "bow_north_m": north + XB * math.cos(psi),
                     "heading_deg": math.degrees(psi)})
    return rows


def sheer(rng):
    length = rng.uniform(7.0, 18.0)
    sc = length / 10.8
    m = 9000.0 * sc**3
    case = {"waterline_m": length, "head_on_m2": rng.uniform(4.0, 20.0) * sc * sc, "beam_ratio": rng.uniform(1.0, 4.0),
            "wind_lead": rng.uniform(0.02, 0.25), "wind_ms": rng.uniform(3.0, 25.0), "tether_m": rng.uniform(10.0, 100.0)}
    pressure = 0.5 * RHO_AIR * case["wind_ms"] ** 2
    t, yg = pressure * case["head_on_m2"], pressure * case["head_on_m2"] * case["beam_ratio"]
    xb, xw, tether = 0.53 * length, case["wind_lead"] * length, case["tether_m"]
    big_m, big_i = 1.9 * m, 1.9 * m * (0.275 * length) ** 2
    a = numpy.zeros((4, 4))
    a[0, 2] = a[1, 3] = 1.0
    a[2, 0], a[2, 1] = -t / tether / big_m, (yg - t * (1.0 + xb / tether)) / big_m
    a[3, 0] = -xb * t / tether / big_i
    a[3, 1] = (xw * yg - xb * t * (1.0 + xb / tether)) / big_i
    values = eig(a)[0]
    case["growth_1_s"] = float(max(values.real))
    case["fastest_rad_s"] = float(max(abs(values.imag)))
    case["slowest_rad_s"] = float(min(abs(values.imag)))
    return case


def main():
    rng = numpy.random.default_rng(SEED)
    still = {"wind_east_ms": 0.0, "wind_north_ms": 0.0, "stream_east_ms": 0.0, "stream_north_ms": 0.0}
    cases = [
        {**still, "wind_north_ms": -8.0, "heading_deg": 20.0, "load_n": 300.0},
        {**still, "wind_north_ms": -12.0, "wind_east_ms": 2.0, "stream_east_ms": 0.4, "heading_deg": 355.0, "load_n": 900.0},
        {**still, "wind_east_ms": 6.0, "stream_east_ms": -0.3, "heading_deg": 200.0, "load_n": 150.0},
        {**still, "heading_deg": 45.0, "load_n": 2000.0},
    ]
    for case in cases:
        case["rows"] = motion(case)
    made = {"made_by": f"scipy {scipy.__version__}, numpy {numpy.__version__}, builders/ride_scipy.py, seed {SEED}",
            "units": "m, s, N, degrees true, m/s towards; bow from the anchor",
            "motions": cases, "sheers": [sheer(rng) for _ in range(200)]}
    TARGET.write_text(json.dumps(made, indent=1) + "\n")


if __name__ == "__main__":
    main()

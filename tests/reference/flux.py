"""Flux curve and secondary current of seeded records, by SciPy's quadrature and ODE solver."""

import math

import numpy as np
from roots import readings, section
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from text import PLATE, VISIT

FREQUENCY = 50.0
STEPS_PER_CYCLE = 400
EVERY = 20

CORE = """
[core 1S]
class: 5P20
burden: 15 VA
ratio: 600/1 A
"""


def mean_square(knots, peak):
    """Mean square of the current over a sine of flux of that peak, straight pieces through the knots."""
    flux, current = zip(*knots)

    def square(angle):
        return float(np.interp(peak * math.sin(angle), flux, current)) ** 2

    bends = [math.asin(f / peak) for f in flux if 0.0 < f < peak]
    ends = [0.0] + bends + [math.pi / 2]
    return sum(quad(square, a, b, epsabs=0.0, epsrel=1e-13)[0] for a, b in zip(ends, ends[1:])) / (math.pi / 2)


def knots_of(v, i):
    """Peak flux and peak current of every reading: the current that gives its r.m.s. back; none if none does."""
    knots = [(0.0, 0.0)]
    for volt, amp in zip(v, i):
        peak = math.sqrt(2.0) * volt / (2.0 * math.pi * FREQUENCY)

        def excess(x):
            return mean_square(knots + [(peak, x)], peak) - amp * amp

        if excess(knots[-1][1]) >= 0.0:
            return None  # the r.m.s. current rises less than any core's
        found = brentq(excess, knots[-1][1], 200.0 * amp, xtol=1e-15, rtol=1e-13)
        knots.append((peak, found))
    return knots[1:]


def odd(x, xs, ys):
    """Straight pieces from the origin, the same both ways, the last one going on."""
    size = abs(x)
    k = min(max(int(np.searchsorted(xs, size, side="right")) - 1, 0), len(xs) - 2)
    y = ys[k] + (ys[k + 1] - ys[k]) * (size - xs[k]) / (xs[k + 1] - xs[k])
    return -y if x < 0 else y


def simulate(knots, fault):
    """Secondary current (A) and flux (Vs) at every EVERYth step."""
    flux = np.array([0.0] + [f for f, _ in knots])
    current = np.array([0.0] + [c for _, c in knots])
    henry, omega, theta = fault["inductance"], 2.0 * math.pi * fault["frequency"], fault["inception"]
    peak, tp = math.sqrt(2.0) * fault["current"], fault["primary_constant"]
    summed = flux + henry * current

    def primary(t):
        return peak * (math.cos(theta) * math.exp(-t / tp) - math.cos(omega * t + theta))

    def rate(t, state):
        exciting = odd(odd(state[0], summed, flux), flux, current)
        slope = peak * (-math.cos(theta) * math.exp(-t / tp) / tp + omega * math.sin(omega * t + theta))
        return [fault["resistance"] * (primary(t) - exciting) + henry * slope]

    start = fault["remanence"] + henry * odd(fault["remanence"], flux, current)
    steps = round(fault["duration"] * fault["frequency"] * STEPS_PER_CYCLE)
    at = np.arange(0, steps + 1, EVERY) / (fault["frequency"] * STEPS_PER_CYCLE)
    run = solve_ivp(rate, (0.0, at[-1]), [start], method="DOP853", t_eval=at, rtol=1e-10, atol=1e-12, max_step=5e-5)
    linkage = [odd(x, summed, flux) for x in run.y[0]]
    return [primary(t) - odd(f, flux, current) for t, f in zip(at, linkage)], linkage


def case(rng, n):
    rows = readings(rng, rng.uniform(150.0, 700.0), rng.uniform(2e-3, 2e-2), rng.uniform(8.0, 16.0), 0.001)
    v, i = [a.si for a, _ in rows], [b.si for _, b in rows]
    record = PLATE.format(n=n, insulation="oil and paper") + CORE + VISIT + section("1S1-1S2", rows)
    knots = knots_of(v, i)
    if knots is None:
        return {"record": record, "knots": None}
    fault = {
        "current": float(rng.uniform(5.0, 30.0)),
        "frequency": FREQUENCY,
        "primary_constant": float(rng.uniform(0.02, 0.15)),
        "inception": float(rng.choice([0.0, rng.uniform(0.0, 1.5)])),
        "resistance": float(rng.uniform(4.0, 18.0)),
        "inductance": float(rng.choice([0.0, rng.uniform(0.002, 0.03)])),
        "remanence": float(rng.choice([0.0, rng.uniform(0.0, 0.6)]) * knots[-1][0]),
        "duration": 0.1,
        "error": 0.1,
    }
    secondary, flux = simulate(knots, fault)
    return {"record": record, "knots": knots, "fault": fault, "every": EVERY, "secondary": secondary, "flux": flux}


def make(seed=37110):
    rng = np.random.default_rng(seed)
    return [case(rng, n) for n in range(16)]

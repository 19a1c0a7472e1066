"""Uncertainty of seeded whole records, by the `uncertainties` package."""

import math

import numpy as np
from curve import Curve
from text import PLATE, VISIT, significant, table, written
from uncertainties import ufloat, umath, wrap

# Measure: (upper end, % of reading, % of range, floor, digits, coverage factor or none), SI, narrow first.
FUNCTIONS = {
    "voltage": [(3.0, 0.05, 0.02, 0.0, 2, None), (30.0, 0.08, 0.0, 0.002, 1, None), (3000.0, 0.1, 0.0, 0.0, 3, 2.0)],
    "current": [(1e-6, 1.0, 0.2, 0.0, 1, None), (0.01, 0.1, 0.05, 0.0, 2, None), (0.1, 0.1, 0.02, 0.0, 2, None), (10.0, 0.12, 0.01, 0.0, 1, 2.0), (2000.0, 0.1, 0.02, 0.0, 2, None)],
    "resistance": [(20.0, 0.1, 0.05, 0.0, 2, None)],
    "angle": [(math.pi, 0.0, 0.0, math.radians(0.1), 1, None)],
    "ratio-error": [(5.0, 1.0, 0.0, 0.004, 1, 2.0)],
    "phase": [(math.radians(500.0 / 60.0), 1.0, 0.0, math.radians(0.5 / 60.0), 1, 2.0)],
}
UNITS = {"voltage": ("V", 1.0), "current": ("A", 1.0), "resistance": ("ohm", 1.0), "angle": ("deg", math.pi / 180), "ratio-error": ("%", 1.0), "phase": ("arcmin", math.pi / 10800)}


def instruments():
    """instruments.toml of all cases."""
    out = ['[[instrument]]\nid = "M1"\nwhat = "source and meter"\ncalibrated = 2026-01-20\ndue = 2027-01-20\n']
    for measure, rows in FUNCTIONS.items():
        unit, si = UNITS[measure]
        for to, reading, of_range, floor, digits, coverage in rows:
            one = [f'[[instrument.function]]\nmeasures = "{measure}"\nfrom = "0 {unit}"\nto = "{significant(to / si, 6)} {unit}"']
            one += [f'of_reading = "{reading} %"', f'of_range = "{of_range} %"', f'floor = "{significant(floor / si, 6) if floor else 0} {unit}"']
            one += [f"digits = {digits}"] + ([f"coverage = {coverage}"] if coverage else [])
            out.append("\n".join(one) + "\n")
    return "".join(out)


class Bench:
    """Readings as correlated variables: one shared unit variable per function and circuit."""

    def __init__(self):
        self.shared = {}

    def enter(self, measure, si, digit, circuit=""):
        to, reading, of_range, floor, digits, coverage = next(f for f in FUNCTIONS[measure] if abs(si) <= f[0])
        root = coverage or math.sqrt(3.0)
        gain = self.shared.setdefault((measure, to, circuit), ufloat(0.0, 1.0))
        limit = reading / 100 * abs(si) + of_range / 100 * to + floor
        whole = limit + digits * digit  # one limit of error, a sum; what the digits add is the reading's own
        own = math.sqrt(whole * whole - limit * limit) / root if digits else digit / math.sqrt(12.0)
        return si + gain * (limit / root) + ufloat(0.0, own)

    def read(self, measure, reading, circuit=""):
        return self.enter(measure, reading.si, reading.digit, circuit)


def told(value, **more):
    return {"value": value.nominal_value, "u": value.std_dev, **more}


def temperature(rng, low, high):
    """A stated temperature: its text, and the variable of its half-width."""
    t, half = f"{rng.uniform(low, high):.1f}", f"{rng.uniform(0.3, 2.0):.1f}"
    return f"{t} +- {half} C", ufloat(float(t), float(half) / math.sqrt(3.0))


def resistance(rng, bench):
    r, i = rng.uniform(1.5, 12.0), rng.uniform(0.15, 1.0)
    leads = written(rng.uniform(0.01, 0.09), "ohm", 3)
    text, t = temperature(rng, 12.0, 30.0)
    rows = []
    for _ in range(int(rng.integers(2, 6))):
        amp = i * (1 + rng.normal(0.0, 1e-3))
        rows.append((written(amp, "A", 4), written(amp * (r + leads.si) * (1 + rng.normal(0.0, 3e-4)), "V", 5)))
    each = [bench.read("voltage", u) / bench.read("current", a) for a, u in rows]
    n, plain = len(each), [x.nominal_value for x in each]
    mean = sum(each) / n
    scatter = math.sqrt(sum((x - mean.nominal_value) ** 2 for x in plain) / (n * (n - 1)))
    cold = mean + ufloat(0.0, scatter) - bench.read("resistance", leads)
    record = f"\n[self-check]\nleads: {leads.text} ohm\n\n[resistance 1S1-1S2]\nwires: 2\ntemperature: {text}\n"
    record += table(["current/A", "voltage/V"], [(a.text, u.text) for a, u in rows])
    return record, {"cold": told(cold), "at_75": told(cold * (75 + 234.5) / (t + 234.5))}


def burden(rng, bench):
    z, angle, amp = rng.uniform(0.3, 6.0), f"{rng.uniform(2.0, 60.0):.1f}", written(rng.uniform(0.5, 1.1), "A", 4)
    u = written(amp.si * z, "V", 4)
    turn = math.pi / 180
    p = bench.enter("angle", float(angle) * turn, 0.1 * turn)
    q = bench.read("voltage", u) / bench.read("current", amp)
    r, x, line = q * umath.cos(p), q * umath.sin(p), ""
    if rng.random() < 0.5:
        f = f"{rng.uniform(40.0, 48.0) + rng.choice([0.0, 12.0]):.1f}"
        line, x = f"frequency: {f} Hz\n", x * 50.0 / ufloat(float(f), 0.05 / math.sqrt(3.0))
        q = umath.hypot(r, x)
    record = f"\n[burden 1S1-1S2]\n{line}" + table(["loop", "current/A", "voltage/V", "angle/deg"], [("phase-neutral", amp.text, u.text, angle)])
    return record, {"z": told(q), "r": told(r), "x": told(x), "va": told(q * 1.0**2), "pf": told(r / q)}


def ratio(rng, bench):
    rows = []
    for percent in (20, 100):
        ip = written(600.0 * percent / 100 * (1 + rng.normal(0.0, 1e-3)), "A", 5)
        rows.append((ip, written(ip.si / 600.0 * (1 + rng.normal(-2e-3, 1e-3)), "A", 5)))
    pairs = [(bench.read("current", ip, "second circuit"), bench.read("current", i)) for ip, i in rows]
    record = "\n[ratio 1S1-1S2]\nmethod: current\nburden: 15 VA at 0.80\n" + table(["primary/A", "secondary/A"], [(a.text, b.text) for a, b in rows])
    return record, {"errors": [told(100 * (600.0 * i - ip) / ip) for ip, i in pairs]}


def insulation(rng, bench, solid):
    u, i = written(rng.uniform(900.0, 1100.0), "V", 4), written(rng.uniform(20e-9, 900e-9), "nA", 4)
    text, t = temperature(rng, 5.0, 40.0)
    r = bench.read("voltage", u) / bench.read("current", i)
    law = 10 ** ((t - 20.0) / 50.0) if solid else 2 ** ((t - 20.0) / 10.0)
    record = f"\n[insulation]\ntemperature: {text}\n"
    record += table(["between", "voltage/V", "time/s", "current/nA"], [("1S to primary and earth", u.text, "60", i.text)])
    return record, {"minute": told(r), "at_20": told(r * law)}


def excitation(rng, bench):
    from roots import readings

    rows = []
    while len(rows) < 6:
        rows = readings(rng, rng.uniform(200.0, 500.0), rng.uniform(2e-3, 8e-3), rng.uniform(10.0, 20.0))
        # The drop in the winding stays below 1 %, so that the voltage stands for the e.m.f.
        rows = [(a, b) for a, b in rows if 14.0 * b.si < 0.009 * a.si]
    v = [bench.read("voltage", a) for a, _ in rows]
    i = [bench.read("current", b) for _, b in rows]
    n = len(rows)
    out = {}
    for name, spread, find in (("iec", 0.125, Curve.knee_iec), ("knee_30", 0.125, lambda c: c.knee_tangent(30)), ("knee_45", 0.25, lambda c: c.knee_tangent(45))):
        plain = find(Curve([a.si for a, _ in rows], [b.si for _, b in rows]))
        if plain["kind"] != "known":
            continue
        volts = [a.si for a, _ in rows]
        k = max(j for j in range(n - 1) if volts[j] <= plain["voltage"])
        spacing = spread * (volts[k + 1] - volts[k]) / math.sqrt(3.0)
        voltage = propagated(find, rows, v + i) + ufloat(0.0, spacing)
        out[name] = told(voltage)
    record = "\n[excitation 1S1-1S2]\nvoltmeter: mean\n" + table(["voltage/V", "current/mA"], [(a.text, b.text) for a, b in rows])
    return record, out


def propagated(find, rows, variables):
    """The knee as a function of all readings, its derivatives by central differences."""
    n = len(rows)
    plain = [a.si for a, _ in rows] + [b.si for _, b in rows]

    def voltage(*x):
        return find(Curve(x[:n], x[n:]))["voltage"]

    def slope(j):
        def derivative(*x):
            def moved(by):
                y = list(x)
                y[j] *= 1 + by
                return voltage(*y)

            h = 1e-6
            return (8 * (moved(h) - moved(-h)) - (moved(2 * h) - moved(-2 * h))) / (12 * h * plain[j])

        return derivative

    return wrap(voltage, [slope(j) for j in range(2 * n)])(*variables)


def case(rng, n):
    solid = bool(rng.random() < 0.5)
    core = "\n[core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n"
    record, bench, expected = PLATE.format(n=n, insulation="cast resin" if solid else "oil and paper") + core + VISIT, Bench(), {}
    parts = {"insulation": lambda r, b: insulation(r, b, solid), "resistance": resistance, "burden": burden, "ratio": ratio, "excitation": excitation}
    for name, part in parts.items():
        text, expected[name] = part(rng, bench)
        record += text
    return {"record": record, **expected}


def make(seed=100):
    rng = np.random.default_rng(seed)
    return {"instruments": instruments(), "cases": [case(rng, n) for n in range(25)]}

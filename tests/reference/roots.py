"""Knees, actual accuracy limit factor and security factor of seeded records, by SciPy."""

import numpy as np
from curve import Curve, behind_resistance, loop
from text import PLATE, VISIT, table, written

CORES = """
[core 1S]
use: protection
class: 5P20
burden: {va1} VA at {pf1}
ratio: 600/1 A
resistance: {r1} ohm at 75 C

[core 2S]
use: metering
class: 0.5 FS10
burden: {va2} VA
ratio: 600/1 A
resistance: {r2} ohm at 75 C
"""


def readings(rng, knee, floor, rise, scatter=0.004):
    """A core's curve with uneven points and a little scatter: texts and SI values."""
    n, top = int(rng.integers(6, 22)), rng.uniform(1.05, 1.9)
    low = int(0.6 * n)
    v = np.concatenate([rng.uniform(np.log(0.08), 0.0, low), rng.uniform(-0.15, np.log(top), n - low)])
    v = knee * np.exp(np.sort(v))
    i = floor * ((v / knee) ** rng.uniform(0.6, 1.05) + (v / knee) ** rise)
    i = np.maximum.accumulate(i * np.exp(rng.normal(0.0, scatter, n)))
    rows = [(written(a, "V", 4), written(b, "mA", 4)) for a, b in zip(v, i)]
    kept = [rows[0]]
    for a, b in rows[1:]:
        # A source ends somewhere: no reading drops more than half of its voltage in the winding.
        if a.si > kept[-1][0].si and b.si > kept[-1][1].si and b.si < a.si / 25.0:
            kept.append((a, b))
    return kept if len(kept) >= 4 else readings(rng, knee, floor, rise, scatter)


def section(pair, rows):
    cells = [(a.text, b.text) for a, b in rows]
    return f"\n[excitation {pair}]\nvoltmeter: mean\n" + table(["voltage/V", "current/mA"], cells)


# Copper from 75 °C to the air of the visit, at which the curve was taken.
COLD = (18.5 + 234.5) / (75.0 + 234.5)


def expected(rows, rct, factor):
    v, i = [a.si for a, _ in rows], [b.si for _, b in rows]
    curve = Curve(behind_resistance(v, i, rct * COLD), i)
    return {
        "iec": curve.knee_iec(),
        "knee_45": curve.knee_tangent(45),
        "knee_30": curve.knee_tangent(30),
        "factor": curve.factor(*factor),
    }


def case(rng, n):
    va1, pf1 = [5, 10, 15, 30][int(rng.integers(4))], f"{rng.uniform(0.5, 1.0):.2f}"
    va2 = [2.5, 5, 10][int(rng.integers(3))]
    r1, r2 = f"{rng.uniform(1.0, 12.0):.2f}", f"{rng.uniform(1.0, 9.0):.2f}"
    one = readings(rng, rng.uniform(80.0, 900.0), rng.uniform(2e-3, 2e-2), rng.uniform(8.0, 30.0))
    two = readings(rng, rng.uniform(30.0, 160.0), rng.uniform(1e-3, 8e-3), rng.uniform(8.0, 40.0))
    plate = PLATE.format(n=n, insulation="oil and paper") + CORES.format(va1=va1, pf1=pf1, va2=va2, r1=r1, r2=r2)
    record = plate + VISIT + section("1S1-1S2", one) + section("2S1-2S2", two)
    # Power factor of a rated burden below 5 VA is 1, else 0.8, where the plate states none.
    z1, z2 = loop(float(r1), va1, float(pf1)), loop(float(r2), va2, 0.8 if va2 >= 5 else 1.0)
    return {"record": record, "1S": expected(one, float(r1), (1.0, z1, 0.05)), "2S": expected(two, float(r2), (1.0, z2, 0.10))}


def make(seed=61869):
    rng = np.random.default_rng(seed)
    return [case(rng, n) for n in range(60)]

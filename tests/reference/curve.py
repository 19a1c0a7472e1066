"""The excitation curve by SciPy: PCHIP in ln V and ln I, its knees and factors by Brent's method."""

import math

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

PLACES = 40001


class Curve:
    """Readings of voltage (V) and current (A), both rising."""

    def __init__(self, v, i):
        self.v, self.i = list(v), list(i)
        self.log_i = PchipInterpolator(np.log(v), np.log(i))
        self.slope = self.log_i.derivative()
        self.low, self.high = math.log(v[0]), math.log(v[-1])

    def last_rise(self, f, high):
        """Where f last rises through zero and stays above; "before" or "after" the range without one."""
        grid = np.linspace(self.low, high, PLACES)
        below = np.flatnonzero(f(grid) < 0.0)
        if len(below) == 0:
            return "before"
        k = below[-1]
        if k == PLACES - 1:
            return "after"
        return brentq(f, grid[k], grid[k + 1], xtol=1e-15, rtol=8.9e-16)

    def knee_iec(self):
        """10 % more voltage takes 50 % more current; the lower voltage of the step."""
        step, rise = math.log(1.1), math.log(1.5)
        high = self.high - step
        x = self.last_rise(lambda x: self.log_i(np.minimum(x + step, self.high)) - self.log_i(x) - rise, high)
        return self._knee(x, self.v[-1] / 1.1)

    def knee_tangent(self, degrees):
        """d ln V/d ln I falls to the tangent of the angle."""
        wanted = 1.0 / math.tan(math.radians(degrees))
        return self._knee(self.last_rise(lambda x: self.slope(x) - wanted, self.high), self.v[-1])

    def _knee(self, x, beyond):
        if x == "before":
            return {"kind": "lacking"}
        if x == "after":
            return {"kind": "not-reached", "voltage": beyond}
        return {"kind": "known", "voltage": math.exp(x), "current": math.exp(float(self.log_i(x)))}

    def factor(self, isr, z, eps):
        """The multiple of isr at which the exciting current is the share eps of the secondary current."""
        share = math.log(eps / z)
        x = self.last_rise(lambda x: self.log_i(x) - x - share, self.high)
        if x == "before":
            return {"kind": "at-most", "factor": self.v[0] / (isr * z)}
        if x == "after":
            return {"kind": "at-least", "factor": self.v[-1] / (isr * z)}
        return {"kind": "known", "factor": math.exp(x) / (isr * z)}


def loop(rct, zb, cos):
    """Magnitude of winding resistance and burden in series, ohm."""
    return abs(complex(rct + zb * cos, zb * math.sqrt(1.0 - cos * cos)))


def behind_resistance(v, i, r):
    """Voltages with the drop taken off in quadrature, once one reading drops more than 1 %."""
    if all(b * r <= 0.01 * a for a, b in zip(v, i)):
        return list(v)
    return [math.sqrt(a * a - (b * r) ** 2) for a, b in zip(v, i)]

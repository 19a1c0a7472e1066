"""The weighted line through readings that share a part of their uncertainties: slope by SciPy's curve_fit, its
uncertainty and the scatter beyond it by matrix algebra in NumPy."""

import numpy as np
from scipy.optimize import curve_fit


def straight(t, a, b):
    return a + b * t


def one(rng):
    n = int(rng.integers(3, 8))
    t = np.cumsum(rng.uniform(0.3, 6.0, n))
    own = 10 ** rng.uniform(-3, -1, n)
    # Readings of the same instrument share its part; there are one to three instruments.
    instrument = rng.integers(0, int(rng.integers(1, 4)), n)
    shared = 10 ** rng.uniform(-3, -1, 3)[instrument]
    scatter = rng.choice([0.0, 1.0, 3.0])
    y = 2.0 + rng.uniform(-0.1, 0.1) * t + scatter * rng.normal(0.0, np.hypot(own, shared))
    u = np.hypot(own, shared)
    together = instrument[:, None] == instrument[None, :]
    covariance = np.where(together, np.outer(shared, shared), 0.0) + np.diag(own**2)
    (_, slope), _ = curve_fit(straight, t, y, sigma=u, absolute_sigma=True)
    weight = np.diag(1 / u**2)
    design = np.column_stack([np.ones(n), t])
    bread = np.linalg.inv(design.T @ weight @ design)
    fit = bread @ design.T @ weight
    residual = np.eye(n) - design @ fit
    off = residual @ y
    found = off @ weight @ off
    expected = np.trace(weight @ residual @ covariance @ residual.T)
    ledger = np.sqrt((fit @ covariance @ fit.T)[1, 1])
    # What SciPy makes of the scatter alone is the whole of it; only what lies beyond the readings' own is added.
    _, scaled = curve_fit(straight, t, y, sigma=u, absolute_sigma=False)
    whole = scaled[1, 1] if found > 0 else 0.0
    beyond = np.sqrt(max(0.0, 1.0 - expected / found) * whole) if found > 0 else 0.0
    return {
        "t": t.tolist(),
        "y": y.tolist(),
        "own": own.tolist(),
        "shared": shared.tolist(),
        "instrument": instrument.tolist(),
        "slope": float(slope),
        "u": float(np.hypot(ledger, beyond)),
    }


def make():
    rng = np.random.default_rng(20)
    return [one(rng) for _ in range(60)]

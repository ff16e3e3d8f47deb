"""Spearman's pass-control race by SciPy's initial value solver, and a mover's reachable radius by integrating his motion.

Reads JSON on stdin, writes JSON: `races`, chances of each racer; `radii`, yards run from rest.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp


def race(racers, spread, start, alive):
    t0, rate = np.array([r[0] for r in racers]), np.array([r[1] for r in racers])

    def f(t, chance):
        arrived = 1 / (1 + np.exp(-np.pi / np.sqrt(3) * (t - t0) / spread))
        return (1 - chance.sum()) * arrived * rate

    return solve_ivp(f, (start, start + alive), np.zeros(len(racers)), rtol=1e-10, atol=1e-12).y[:, -1].tolist()


def radius(top, tau, t):
    # A resisted push at full strength: dv/dt = (top - v) / tau.
    return solve_ivp(lambda _, y: [y[1], (top - y[1]) / tau], (0, t), [0, 0], rtol=1e-10, atol=1e-12).y[0, -1]


q = json.load(sys.stdin)
json.dump({"races": [race(*r) for r in q["races"]], "radii": [radius(*r) for r in q["radii"]]}, sys.stdout)

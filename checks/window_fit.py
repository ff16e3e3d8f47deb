"""Windows' parameters fitted to raced throws again, by SciPy's minimiser over the same model written in NumPy.

Reads JSON on stdin: `meets` (throw by repeat by field), `came`, `ours`, `sd`, `claims_sd` (of the last three), `surest`; writes the fitted parameters and both losses.
"""
import json
import sys

import numpy as np
from scipy.optimize import minimize

q = json.load(sys.stdin)
ours, surest = q["ours"], q["surest"]


def field(name):
    return np.array([[m[name] for m in throw] for throw in q["meets"]], dtype=float)


passing, late, placed = field("passing_s"), field("receiver_late"), field("placed")
under, defenders = field("under"), field("defenders_late")
# JSON has no infinity: null, read as NaN, is a defender or a place that does not count.
under, defenders = np.nan_to_num(under, nan=np.inf), np.nan_to_num(defenders, nan=np.inf)
came = np.array(q["came"])


def arrived(late, spread):
    with np.errstate(over="ignore"):
        return 1 / (1 + np.exp(np.pi / np.sqrt(3) * late / spread))


def share(x, theta):
    x = np.clip(x, 1e-3, 1 - 1e-3)
    return 1 / (1 + np.exp(-(np.log(x / (1 - x)) + theta)))


def at(theta):
    names = ["arrival_spread_s", "receiver_rate", "defender_factor", "flight_rate"]
    p = {n: ours[n] * np.exp(t) for n, t in zip(names, theta)}
    p["drop"], p["intercept_share"] = share(ours["drop"], theta[4]), share(ours["intercept_share"], theta[5])
    p["scatter"] = np.exp(theta[6])
    p["claim_shift"], p["claim_slope"] = ours["claim_shift"] + theta[7], ours["claim_slope"] * np.exp(theta[8])
    p["claim_bend"] = ours["claim_bend"] + theta[9]
    return p


def chances(p):
    near = under < 6 * p["arrival_spread_s"]
    hazard = np.where(near, p["flight_rate"] * arrived(under, p["arrival_spread_s"]), 0) * passing[..., None]
    free = np.exp(-hazard.sum(-1))
    defense, caught = 1 - free, np.zeros_like(free)
    placing = 1 - (1 - placed) ** (p["scatter"] ** -2)
    h = ours["alive_s"] / 4
    for k in range(4):
        t = (k + 0.5) * h
        r = placing * p["receiver_rate"] * arrived(late - t, p["arrival_spread_s"])
        d = arrived(defenders - t, p["arrival_spread_s"]).sum(-1) * p["receiver_rate"] * p["defender_factor"]
        total = r + d
        taken = free * (1 - np.exp(-total * h))
        caught += np.where(total > 0, taken * r / np.where(total > 0, total, 1), 0)
        defense += np.where(total > 0, taken * d / np.where(total > 0, total, 1), 0)
        free = free - taken
    raced = (caught * (1 - p["drop"])).mean(1)
    a, b = p["claim_slope"] * np.exp(p["claim_bend"]), p["claim_slope"] * np.exp(-p["claim_bend"])
    with np.errstate(divide="ignore"):
        complete = 1 / (1 + np.exp(-p["claim_shift"] - a * np.log(raced) + b * np.log(1 - raced)))
    intercept = (defense * p["intercept_share"]).mean(1) * (1 - complete) / (1 - raced)
    three = np.maximum(np.stack([complete, intercept, 1 - complete - intercept]), surest)
    return three / three.sum(0)


def loss(theta):
    return -np.log(chances(at(theta))[came, np.arange(len(came))]).sum()


widths = np.array([q["sd"]] * 7 + [q["claims_sd"]] * 3)
fit = minimize(lambda x: loss(x) + 0.5 * np.sum((x / widths) ** 2), np.zeros(10), method="BFGS", options={"gtol": 1e-5})
p = at(fit.x)
names = ["arrival_spread_s", "receiver_rate", "defender_factor", "flight_rate", "drop", "intercept_share", "scatter", "claim_shift", "claim_slope", "claim_bend"]
json.dump(
    {"fitted": [float(p[n]) for n in names], "ours": float(loss(np.zeros(10))), "best": float(fit.fun), "complete": chances(at(np.zeros(10)))[0].tolist()},
    sys.stdout,
)

"""Reference values for the motion crate from general libraries, on the numbers given as JSON on standard input.

flights:   SciPy solve_ivp (DOP853, rtol 1e-11) with an event at the catch height
densities: the package ambiance (standard atmosphere, ISO 2533)
track:     filterpy's Kalman filter and Rauch-Tung-Striebel smoother; transition and noise by Van Loan's method
           with SciPy's expm, not by the closed form that the product uses
assign:    SciPy linear_sum_assignment
"""

import json
import sys

import numpy as np
from ambiance import Atmosphere
from filterpy.kalman import KalmanFilter
from scipy.integrate import solve_ivp
from scipy.linalg import expm
from scipy.optimize import linear_sum_assignment

YARD = 0.9144
GRAVITY = 9.80665


def flight(f):
    k = f["drag_per_yd"] / YARD
    wind = np.array(f["wind"]) * YARD

    def rate(_, s):
        r = s[3:] - wind
        a = -k * np.linalg.norm(r) * r
        a[2] -= GRAVITY
        return np.concatenate([s[3:], a])

    def down(_, s):
        return s[2] - f["height"] * YARD

    down.terminal, down.direction = True, -1
    start = np.concatenate([np.array(f["release"]), np.array(f["velocity"])]) * YARD
    got = solve_ivp(rate, (0, 30), start, method="DOP853", rtol=1e-11, atol=1e-12, events=down, dense_output=True)
    t = got.t_events[0][0]
    middle = got.sol(t / 2)
    return {
        "time": t,
        "place": list(got.y_events[0][0][:3] / YARD),
        "velocity": list(got.y_events[0][0][3:] / YARD),
        "halfway": list(middle[:3] / YARD),
        "halfway_velocity": list(middle[3:] / YARD),
    }


def singer(acceleration_sd, forget, t):
    a = np.array([[0, 1, 0], [0, 0, 1], [0, 0, -1 / forget]], dtype=float)
    g = np.zeros((3, 3))
    g[2, 2] = 2 * acceleration_sd**2 / forget
    block = np.block([[-a, g], [np.zeros((3, 3)), a.T]])
    e = expm(block * t)
    f = e[3:, 3:].T
    return f, f @ e[:3, 3:]


def track(p):
    """State: x, vx, ax, y, vy, ay, sideline shift x y, end-zone shift x y."""
    seen = sorted(p["observations"], key=lambda o: o["t"])
    times = sorted({round(t, 9) for t in [o["t"] for o in seen] + p["times"]})
    kf = KalmanFilter(dim_x=10, dim_z=2)
    kf.x = np.zeros(10)
    kf.x[0], kf.x[3] = seen[0]["place"]
    kf.P = np.zeros((10, 10))
    for axis in (0, 3):
        kf.P[axis, axis] = 1e4
        kf.P[axis + 1, axis + 1] = p["start_speed_sd"] ** 2
        kf.P[axis + 2, axis + 2] = p["acceleration_sd"] ** 2
    for view in (0, 1):
        common = [np.array(o["common"]) for o in seen if o["view"] == view]
        mean = np.mean(common, axis=0) if common else np.zeros((2, 2))
        k = 6 + 2 * view
        kf.P[k : k + 2, k : k + 2] = mean + 1e-8 * np.eye(2)
    xs, ps, fs, qs = [], [], [], []
    before = None
    for t in times:
        f, q = np.eye(10), np.zeros((10, 10))
        if before is not None:
            fa, qa = singer(p["acceleration_sd"], p["forget"], t - before)
            for axis in (0, 3):
                f[axis : axis + 3, axis : axis + 3] = fa
                q[axis : axis + 3, axis : axis + 3] = qa
            kf.predict(F=f, Q=q)
        before = t
        for o in seen:
            if abs(o["t"] - t) < 1e-8:
                h = np.zeros((2, 10))
                h[0, 0] = h[1, 3] = 1
                h[0, 6 + 2 * o["view"]] = h[1, 7 + 2 * o["view"]] = 1
                kf.update(np.array(o["place"]), R=np.array(o["noise"]), H=h)
        xs.append(kf.x.copy())
        ps.append(kf.P.copy())
        fs.append(f)
        qs.append(q)
    # rts_smoother takes the transition into step k + 1 from Fs[k + 1].
    x, c, _, _ = kf.rts_smoother(np.array(xs), np.array(ps), Fs=fs, Qs=qs)
    out = []
    for t in p["times"]:
        k = int(np.argmin([abs(t - u) for u in times]))
        out.append({"state": [x[k][i] for i in (0, 3, 1, 4)], "variance": [c[k][i, i] for i in (0, 3, 1, 4)]})
    return out


def main():
    given = json.load(sys.stdin)
    answer = {}
    if "flights" in given:
        answer["flights"] = [flight(f) for f in given["flights"]]
    if "altitudes" in given:
        answer["densities"] = [float(Atmosphere(h).density[0]) for h in given["altitudes"]]
        answer["temperatures_c"] = [float(Atmosphere(h).temperature_in_celsius[0]) for h in given["altitudes"]]
    if "track" in given:
        answer["track"] = track(given["track"])
    if "costs" in given:
        answer["totals"] = []
        for c in given["costs"]:
            c = np.array(c)
            rows, columns = linear_sum_assignment(c)
            answer["totals"].append(float(c[rows, columns].sum()))
    json.dump(answer, sys.stdout)


main()

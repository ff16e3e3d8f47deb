"""The window engine's model again, vectorised in NumPy: an independent check of its figures and the yardstick of its speed.

Reads one play as JSON on stdin (people sampled at the releases, parameters), writes JSON: seconds taken, and for every
receiver and release the measured margin, and its standard deviation over repeats. The flights are integrated here
again (fixed-step Runge-Kutta, all at once), so the tables are independent too.
"""
import json
import sys
import time

import numpy as np

STATIONS, KEPT, RIVALS, CATCH_STEPS = 12, 12, 4, 4
G = 9.80665 / 0.9144


def flight_grid(drag, release_h, catch_h):
    """Still-air flights by distance (1.5 yd) and time (0.1 s): speed, launch, share and height at the stations."""
    dist, times = np.arange(50) * 1.5, 0.1 + np.arange(36) * 0.1
    d, t = np.meshgrid(dist, times, indexing="ij")
    along, up = d / t, (catch_h - release_h) / t + 0.5 * G * t
    steps = 5 * STATIONS

    def fly(along, up):
        s = np.stack([np.zeros_like(along), np.zeros_like(along), along, up])
        h = t / steps
        path = []

        def f(s):
            v = np.hypot(s[2], s[3])
            return np.stack([s[2], s[3], -drag * v * s[2], -drag * v * s[3] - G])

        for k in range(steps):
            a = f(s)
            b = f(s + 0.5 * h * a)
            c = f(s + 0.5 * h * b)
            e = f(s + h * c)
            s = s + h / 6 * (a + 2 * b + 2 * c + e)
            if (k + 1) % 5 == 0:
                path.append(s[:2].copy())
        return np.array(path)

    for _ in range(12):
        with np.errstate(all="ignore"):
            p = fly(along, up)
        along = along + (d - p[-1, 0]) / t
        up = up + (catch_h - release_h - p[-1, 1]) / t
    with np.errstate(all="ignore"):
        p = fly(along, up)
        share = np.where(d[..., None] > 0, np.moveaxis(p[:, 0], 0, -1) / np.where(d > 0, d, 1)[..., None],
                         (np.arange(STATIONS) + 1) / STATIONS)
    height = release_h + np.moveaxis(p[:, 1], 0, -1)
    speed, launch = np.hypot(along, up), np.arctan2(up, along)
    bad = ~(speed <= 45.0)
    speed[bad] = np.nan
    return dict(speed=speed, launch=launch, share=share, height=height)


def look_up(grid, distance, flight):
    x, y = distance / 1.5, (flight - 0.1) / 0.1
    i, j = np.clip(x.astype(int), 0, 48), np.clip(y.astype(int), 0, 34)
    a, b = x - i, y - j
    w = [(1 - a) * (1 - b), (1 - a) * b, a * (1 - b), a * b]
    c = [(i, j), (i, j + 1), (i + 1, j), (i + 1, j + 1)]
    mix = lambda f: sum(wk[(...,) + (None,) * (f.ndim - 2)] * f[ck] for wk, ck in zip(w, c))
    speed = np.where((a <= 1) & (b <= 1) & (x >= 0) & (y >= 0), mix(grid["speed"]), np.nan)
    return speed, mix(grid["launch"]), mix(grid["share"]), mix(grid["height"])


def root(short, linear, quadratic):
    width = np.sqrt(np.maximum(linear * linear + 2 * quadratic * short, 0))
    return 2 * short / np.maximum(linear + width, 0.5)


def gap(dx, dy, vx, vy, t, reaction, top, tau, acc, arm):
    """Yards short at t, and a guess of the time until that is closed."""
    u = np.maximum(t - reaction, 0.0)
    e = np.exp(-u / tau)
    g = tau * (1 - e)
    carried = t - u + g
    rx, ry = dx - vx * carried, dy - vy * carried
    ax, ay = dx - vx * t, dy - vy * t
    rd, ad = np.sqrt(rx * rx + ry * ry + 1e-12), np.sqrt(ax * ax + ay * ay + 1e-12)
    run, push = rd - top * (u - g) - arm, ad - 0.5 * acc * u * u - arm
    runs_in = root(run, (vx * rx + vy * ry) / rd * e + top * (1 - e) - run / (2 * tau), top / tau)
    pushes_in = root(push, (vx * ax + vy * ay) / ad + acc * u, acc)
    return np.maximum(run, push), np.maximum(runs_in, pushes_in)


def first_guess(dx, dy, vx, vy, t, m):
    return gap(dx, dy, vx, vy, t, *m)[1]


def slack(dx, dy, vx, vy, t0, m, limit):
    t, low, high = t0.copy(), np.maximum(t0 - limit, 0.0), t0 + limit
    for _ in range(4):
        short, closes_in = gap(dx, dy, vx, vy, t, *m)
        low, high = np.where(short > 0, np.maximum(low, t), low), np.where(short > 0, high, np.minimum(high, t))
        t = np.clip(t + closes_in, low, np.maximum(low, high))
    return t - t0


def arrived(late, spread):
    return 1 / (1 + np.exp(np.clip(np.pi / np.sqrt(3) * late / spread, -500, 500)))


def meet(px, py, vx, vy, left, tx, ty, air, m, P):
    short, closes_in = gap(tx - px, ty - py, vx, vy, left, *m)
    room = np.clip(-short, 0, P["route"]["latitude_yd"])
    across = np.maximum(air * np.tan(np.radians(P["arm"]["spread_deg"])), 1e-3)
    along = np.maximum(air * P["arm"]["depth_spread"], 1e-3)
    return short, closes_in, 1 - np.exp(-room * room / (2 * across * along))


class Play:
    def __init__(self, q):
        self.q, self.P, self.rng = q, q["parameters"], np.random.default_rng(q["seed"])
        P, n, draws = self.P, len(q["covers"][0]["x"]), q["draws"]
        self.table = flight_grid(q["drag"], q["release_height"], q["catch_height"])
        self.touch = P["body"]["stature_yd"] * P["body"]["standing_reach"] + P["body"]["jump_yd"]
        val = lambda m: [m["reaction_s"]["value"], m["top_speed_ydps"]["value"], m["time_constant_s"],
                         m["acceleration_ydps2"]["value"], m["arm_yd"]["value"]]
        self.cm, self.rm = val(P["cover"]), val(P["receiver"])
        nc = len(q["covers"])
        self.cov = {k: np.array([c[k] for c in q["covers"]]) for k in ("x", "y", "vx", "vy")}  # (nc, releases)
        z = self.rng.standard_normal

        def movers(m, shape):
            out = []
            for name, least in (("reaction_s", 0), ("top_speed_ydps", 3), (None, 0), ("acceleration_ydps2", 1), ("arm_yd", 0)):
                out.append(m["time_constant_s"] if name is None else
                           np.maximum(m[name]["value"] + m[name]["sd"] * z(shape), least))
            return out

        self.cmz = movers(P["cover"], (draws, nc))
        self.rmz = movers(P["receiver"], (draws, len(q["receivers"])))
        sd = np.hypot(q["position_sd"], P["body"]["lean_yd"])
        self.cz = dict(x=sd * z((draws, nc)), y=sd * z((draws, nc)), vx=q["velocity_sd"] * z((draws, nc)), vy=q["velocity_sd"] * z((draws, nc)))
        nr = len(q["receivers"])
        self.rz = dict(x=sd * z((draws, nr)), y=sd * z((draws, nr)), vx=q["velocity_sd"] * z((draws, nr)), vy=q["velocity_sd"] * z((draws, nr)))
        self.n = n

    def candidates(self, r, k):
        """Every throw the arm allows to receiver r at release k, flat arrays."""
        q, P = self.q, self.P
        rec, step = q["receivers"][r], 1 / q["path_hz"]
        arm = P["arm"]
        n = int((arm["longest_flight_s"] - arm["shortest_flight_s"]) / 0.1) + 1
        T = arm["shortest_flight_s"] + 0.1 * np.arange(n)
        leave = np.minimum(np.maximum(P["route"]["share"] * T, P["route"]["look_s"]), T)
        grid = np.arange(len(rec["x"])) * step + q["from_s"]
        at = lambda key, t: np.interp(q["releases"][k] + t, grid, rec[key])
        ex, ey, evx, evy = (at(c, T) for c in ("x", "y", "vx", "vy"))
        lx, ly, lvx, lvy = (at(c, leave) for c in ("x", "y", "vx", "vy"))
        left = T - leave
        re, top, tau, acc, reach = self.rm
        u = np.maximum(left - re, 0)
        radius = np.minimum(top * (u - tau * (1 - np.exp(-u / tau))), 0.5 * acc * u * u)
        size = np.minimum(0.7 * (radius + reach), 2.5)
        sp = np.hypot(evx, evy)
        ux, uy = np.where(sp > 0, evx / np.where(sp > 0, sp, 1), 1.0), np.where(sp > 0, evy / np.where(sp > 0, sp, 1), 0.0)
        offs = [(f, 0) for f in (-1, -.5, 0, .5, 1)] + [(0, f) for f in (-1, -.5, .5, 1)]
        tx = np.concatenate([[ex + size * (a * ux - b * uy) for a, b in offs]]).T.ravel()
        ty = np.concatenate([[ey + size * (a * uy + b * ux) for a, b in offs]]).T.ravel()
        rep = lambda v: np.repeat(v, len(offs))
        T, left, lx, ly, lvx, lvy = map(rep, (T, left, lx, ly, lvx, lvy))
        foot = 1 / 3
        ok = (ty >= foot) & (ty <= q["width"] - foot) & (tx >= -10 + foot) & (tx <= 110 - foot)
        px, py = q["passer"]["x"][k], q["passer"]["y"][k]
        dist = np.hypot(tx - px, ty - py)
        with np.errstate(invalid="ignore"):
            speed, launch, share, height = look_up(self.table, dist, T)
            mph, deg = speed * 3600 / 1760, np.degrees(launch)
            ok &= (mph >= arm["slowest_mph"]) & (mph <= arm["fastest_mph"]) & (deg >= arm["flattest_deg"]) & (deg <= arm["steepest_deg"])
        short, late, placed = meet(lx, ly, lvx, lvy, left, tx, ty, dist, self.rm, P)
        ok &= short <= 1.0
        pick = lambda v: v[ok]
        tx, ty, T, left, lx, ly, lvx, lvy, dist, short, late, placed, share, height = map(
            pick, (tx, ty, T, left, lx, ly, lvx, lvy, dist, short, late, placed, share, height))
        if not len(T):
            return None
        sx, sy = px + (tx - px)[:, None] * share, py + (ty - py)[:, None] * share
        st = T[:, None] * (np.arange(STATIONS) + 1) / STATIONS
        over = np.where(height <= self.touch, 0.0, 1e6)
        cx, cy, cvx, cvy = (self.cov[c][:, k] for c in ("x", "y", "vx", "vy"))
        guess = first_guess(sx[:, None] - cx[None, :, None], sy[:, None] - cy[None, :, None], cvx[None, :, None],
                            cvy[None, :, None], st[:, None], self.cm) + over[:, None]
        station = guess.argmin(2)
        best = np.take_along_axis(guess, station[..., None], 2)[..., 0]
        first = best.argmin(1)
        i = np.arange(len(T))
        s = station[i, first]
        limit = P["limits"]["margin_s"]
        exact = slack(sx[i, s] - cx[first], sy[i, s] - cy[first], cvx[first], cvy[first], st[i, s], self.cm, limit)
        exact = np.where(best[i, first] > 2 * limit, limit, exact)
        margin = np.clip(exact - P["route"]["late_weight"] * np.maximum(late, 0), -limit, limit)
        score = margin + arm["placement_weight_s"] * placed
        order = np.argsort(-score, kind="stable")[:KEPT]
        near = np.argsort(best[order], axis=1)[:, :RIVALS]
        return dict(tx=tx[order], ty=ty[order], T=T[order], left=left[order], lx=lx[order], ly=ly[order], lvx=lvx[order],
                    lvy=lvy[order], air=dist[order], sx=sx[order], sy=sy[order], st=st[order], over=over[order], near=near,
                    margin=margin[order])

    def repeats(self, c, r, k):
        """Margin and completion of the best kept throw in every repeat."""
        P, limit = self.P, self.P["limits"]["margin_s"]
        rz = {a: self.rz[a][:, r, None] for a in self.rz}
        rm = [m if np.isscalar(m) else m[:, r, None] for m in self.rmz]
        short, late, placed = meet(c["lx"] + rz["x"], c["ly"] + rz["y"], c["lvx"] + rz["vx"], c["lvy"] + rz["vy"],
                                   c["left"], c["tx"], c["ty"], c["air"], rm, P)
        pos = {a: self.cov[a][None, :, k] + self.cz[a] for a in self.cz}
        dpos = {a: pos[a][:, c["near"]] for a in pos}  # (draws, kept, rivals)
        m = [v if np.isscalar(v) else v[:, c["near"]] for v in self.cmz]
        m4 = [v if np.isscalar(v) else v[..., None] for v in m]
        guess = first_guess(c["sx"][None, :, None] - dpos["x"][..., None], c["sy"][None, :, None] - dpos["y"][..., None],
                            dpos["vx"][..., None], dpos["vy"][..., None], c["st"][None, :, None], m4) + c["over"][None, :, None]
        station = guess.argmin(3)
        best = np.take_along_axis(guess, station[..., None], 3)[..., 0]
        first = best.argmin(2)[..., None]
        take = lambda v: np.take_along_axis(v, first, 2)[..., 0]
        s = take(station)
        kept = np.arange(len(c["T"]))
        mf = [v if np.isscalar(v) else take(v) for v in m]
        exact = slack(c["sx"][kept, s] - take(dpos["x"]), c["sy"][kept, s] - take(dpos["y"]), take(dpos["vx"]), take(dpos["vy"]),
                      c["st"][kept, s], mf, limit)
        exact = np.where(take(best) > 2 * limit, limit, exact)
        margin = np.clip(exact - P["route"]["late_weight"] * np.maximum(late, 0), -limit, limit)
        top = (margin + P["arm"]["placement_weight_s"] * placed).argmax(1)
        d = np.arange(len(top))
        g = guess[d, top]  # (draws, rivals, stations)
        C = P["control"]
        spread, passing = C["arrival_spread_s"], c["T"][top] / STATIONS
        under = arrived(np.minimum(g[:, :, :-1].min(1), 1e3), spread) * (c["over"][top][:, :-1] < 1e5)
        free = np.exp(-C["flight_rate"] * (under * passing[:, None]).sum(1))
        defense, caught = 1 - free, np.zeros(len(top))
        h = C["alive_s"] / CATCH_STEPS
        for j in range(CATCH_STEPS):
            tt = (j + 0.5) * h
            rr = placed[d, top] * C["receiver_rate"] * arrived(late[d, top] - tt, spread)
            dd = arrived(g[:, :, -1] - tt, spread).sum(1) * C["receiver_rate"] * C["defender_factor"]
            taken = free * (1 - np.exp(-(rr + dd) * h))
            caught += taken * rr / (rr + dd)
            defense += taken * dd / (rr + dd)
            free -= taken
        return margin[d, top], caught * (1 - C["drop"]), defense * C["intercept_share"]


def main():
    q = json.load(sys.stdin)
    play = Play(q)
    start = time.perf_counter()
    out = []
    for r in range(len(q["receivers"])):
        for k in range(len(q["releases"])):
            c = play.candidates(r, k)
            if c is None:
                out.append(None)
                continue
            margin, complete, intercept = play.repeats(c, r, k)
            out.append([float(c["margin"][0]), float(margin.std(ddof=1)), float(complete.mean()), float(intercept.mean())])
    json.dump({"seconds": time.perf_counter() - start, "cells": out}, sys.stdout)


main()

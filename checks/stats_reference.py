"""Reference values for crates/stats/tests/reference.rs: reads JSON on standard input, writes JSON.

Proportions, kappa and the weight of points on a line by statsmodels; logistic regression on Spector & Mazzeo 1980 and a mixed model on Grunfeld 1958 as statsmodels ships
them; a hierarchical logistic model by quadrature with NumPy and SciPy, written without looking at ours but for the priors, which it must share.
"""

import json
import sys

import numpy as np
import statsmodels.api as sm
from scipy.special import expit
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.proportion import proportion_confint


def proportions(pairs):
    out = []
    for x, n in pairs:
        row = {}
        for ours, theirs in (("wilson", "wilson"), ("agresti_coull", "agresti_coull"), ("jeffreys", "jeffreys")):
            row[ours] = [float(v) for v in proportion_confint(x, n, alpha=0.1, method=theirs)]
        out.append(row)
    return out


def kappa(table):
    r = cohens_kappa(np.array(table))
    return [float(r.kappa), float(r.std_kappa)]


def logit():
    data = sm.datasets.spector.load()
    x = np.asarray(data.exog, dtype=float)
    y = np.asarray(data.endog, dtype=float)
    r = sm.Logit(y, sm.add_constant(x)).fit(disp=0)
    return {
        "x": x.tolist(),
        "y": y.tolist(),
        "params": r.params.tolist(),
        "bse": r.bse.tolist(),
        "deviance": float(-2 * r.llf),
    }


def hierarchical(counts, intercept, spread):
    """Posterior means of the groups' shares: quadrature over mean and spread, and over each group given both."""
    y = np.array([c[0] for c in counts], dtype=float)
    n = np.array([c[1] for c in counts], dtype=float)
    z, w = np.polynomial.hermite_e.hermegauss(80)
    w = w / w.sum()
    mus = np.linspace(-5, 5, 241)
    taus = np.concatenate([np.linspace(1e-4, 2, 160), np.linspace(2.02, 6, 80)])
    dt = np.gradient(taus)
    total, sums = 0.0, np.zeros(len(y))
    parts = []
    for tau, width in zip(taus, dt):
        theta = mus[:, None] + tau * z[None, :]
        p = expit(theta)
        ln_p, ln_q = -np.logaddexp(0, -theta), -np.logaddexp(0, theta)
        like = np.exp(y[:, None, None] * ln_p + (n - y)[:, None, None] * ln_q)
        each = (like * w).sum(axis=2)
        share = (like * p * w).sum(axis=2) / each
        prior = np.exp(-0.5 * (mus / intercept) ** 2 - 0.5 * (tau / spread) ** 2) * width
        parts.append((np.log(each).sum(axis=0) + np.log(prior), share))
    top = max(p[0].max() for p in parts)
    for ln, share in parts:
        k = np.exp(ln - top)
        total += k.sum()
        sums += (share * k).sum(axis=1)
    return (sums / total).tolist()


def mixed():
    """Grunfeld's investments of eleven firms over twenty years (statsmodels' copy), everything in spreads about its mean: firms as random
    intercepts by restricted maximum likelihood."""
    data = sm.datasets.grunfeld.load_pandas().data
    firms = data["firm"].astype("category").cat.codes.to_numpy()
    plain = data[["invest", "value", "capital"]].to_numpy(dtype=float)
    y, *x = ((plain - plain.mean(0)) / plain.std(0, ddof=1)).T
    x = np.array(x).T
    r = sm.MixedLM(y, sm.add_constant(x), groups=firms).fit(reml=True)
    levels = [float(r.fe_params[0] + r.random_effects[k].iloc[0]) for k in range(firms.max() + 1)]
    return {
        "y": y.tolist(),
        "x": x.tolist(),
        "firm": firms.tolist(),
        "slope": [float(v) for v in r.fe_params[1:]],
        "se": [float(v) for v in r.bse_fe[1:]],
        "levels": levels,
        "within": float(np.sqrt(r.scale)),
    }


def dfbetas(points):
    x, y = np.array(points).T
    return sm.OLS(y, sm.add_constant(x)).fit().get_influence().dfbetas[:, 1].tolist()


given = json.load(sys.stdin)
json.dump(
    {
        "proportions": proportions(given["proportions"]),
        "kappa": [kappa(t) for t in given["tables"]],
        "logit": logit(),
        "mixed": mixed(),
        "dfbetas": [dfbetas(p) for p in given["lines"]],
        "hierarchical": hierarchical(given["counts"], given["intercept"], given["spread"]),
    },
    sys.stdout,
)

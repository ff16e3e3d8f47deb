"""A study's answers recomputed from its lines alone, with NumPy and SciPy, for the patterns crate.

Standard input: {"lines": [{field: word or [value, standard error]}], "questions": [[of, by]]}.
shares: Wilson by the root form of the score equation, Newcombe's method 10, scipy.stats.fisher_exact
means:  scipy.stats.ttest_1samp and ttest_ind(equal_var=False) with their confidence intervals
slopes: scipy.stats.linregress
all p:  scipy.stats.false_discovery_control (Benjamini-Hochberg) over all comparisons of all questions
"""

import json
import sys

import numpy as np
from scipy import stats

LEVEL = 0.9
FEWEST = 4
Z = stats.norm.ppf(0.5 + LEVEL / 2)


def wilson(r, n):
    # Roots of (p - r/n)^2 = z^2 p (1 - p) / n.
    a, b, c = 1 + Z * Z / n, -(2 * r / n + Z * Z / n), (r / n) ** 2
    return [float(x) for x in np.sort(np.roots([a, b, c]).real)]


def share(x):
    r, n = int(sum(x)), len(x)
    return {"value": r / n, "interval": wilson(r, n)}


def mean(x):
    if len(x) < 2:
        return {"value": x[0], "interval": None}
    ci = stats.ttest_1samp(x, 0).confidence_interval(LEVEL)
    return {"value": float(np.mean(x)), "interval": [float(ci.low), float(ci.high)]}


def shares_apart(x, y):
    p, q = np.mean(x), np.mean(y)
    (l1, u1), (l2, u2) = wilson(sum(x), len(x)), wilson(sum(y), len(y))
    table = [[sum(x), len(x) - sum(x)], [sum(y), len(y) - sum(y)]]
    return {
        "value": float(p - q),
        "interval": [float(p - q - np.hypot(p - l1, u2 - q)), float(p - q + np.hypot(u1 - p, q - l2))],
        "p": float(stats.fisher_exact(table).pvalue),
    }


def means_apart(x, y):
    t = stats.ttest_ind(x, y, equal_var=False)
    ci = t.confidence_interval(LEVEL)
    return {"value": float(np.mean(x) - np.mean(y)), "interval": [float(ci.low), float(ci.high)], "p": float(t.pvalue)}


def answer(lines, of, by):
    both = [(line[of], line[by]) for line in lines if of in line and by in line]
    if isinstance(both[0][1], list):
        x, y = np.array([b[0] for _, b in both]), np.array([o[0] for o, _ in both])
        fit = stats.linregress(x, y)
        half = stats.t.ppf(0.5 + LEVEL / 2, len(x) - 2) * fit.stderr
        error = np.mean([b[1] ** 2 for _, b in both])
        slope = {"value": fit.slope, "interval": [fit.slope - half, fit.slope + half], "p": float(fit.pvalue)}
        return {"slope": slope, "reliability": float(1 - error / np.var(x, ddof=1))}
    yes = isinstance(both[0][0], str)
    groups = {}
    for o, b in both:
        groups.setdefault(b, []).append(int(o == "yes") if yes else o[0])
    figure, apart = (share, shares_apart) if yes else (mean, means_apart)
    out = {}
    for k, (word, x) in enumerate(groups.items()):
        others = [v for w, g in groups.items() if w != word for v in g]
        out[word] = {"n": len(x), **figure(x)}
        out[word]["apart"] = apart(x, others) if min(len(x), len(others)) >= FEWEST else None
    return {"groups": out}


def main():
    given = json.load(sys.stdin)
    answers = [answer(given["lines"], *q) for q in given["questions"]]
    # Two groups are one comparison; their p is the same from either side.
    tests = []
    for a in answers:
        if "slope" in a:
            tests.append(a["slope"])
            continue
        apart = [g["apart"] for g in a["groups"].values()]
        if len(apart) == 2:
            tests.append(apart[0])
        else:
            tests.extend(apart)
    tests = [t for t in tests if t]
    for t, q in zip(tests, stats.false_discovery_control([t["p"] for t in tests])):
        t["q"] = float(q)
    for a in answers:
        pair = list(a.get("groups", {}).values())
        if len(pair) == 2 and pair[0]["apart"]:
            pair[1]["apart"]["q"] = pair[0]["apart"]["q"]
    json.dump(answers, sys.stdout)


main()

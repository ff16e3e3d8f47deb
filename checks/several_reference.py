"""Least squares and logistic regression by statsmodels on rows from standard input: coefficients per spread as measured with standard
errors. The errors of measurement are taken out first by regression calibration (Carroll, Ruppert, Stefanski & Crainiceanu 2006, chapter
4), written here anew."""
import json
import sys

import numpy as np
import statsmodels.api as sm

given = json.load(sys.stdin)
x = np.array(given["x"], float)
error = np.array(given["variance"], float)
middle, spread = x.mean(0), x.std(0, ddof=1)
true = np.cov(x.T) - np.diag(error.mean(0))
x = np.array([middle + true @ np.linalg.inv(true + np.diag(e)) @ (row - middle) for row, e in zip(x, error)])
x = (x - middle) / spread
design = sm.add_constant(x)
out = {}
line = sm.OLS(np.array(given["value"], float), design).fit()
out["value"] = {"slope": list(line.params[1:]), "se": list(line.bse[1:])}
odds = sm.Logit(np.array(given["yes"], float), design).fit(disp=0, maxiter=200)
assert odds.mle_retvals["converged"], "the likelihood has no maximum"
out["yes"] = {"at": odds.params[0], "slope": list(odds.params[1:]), "se": list(odds.bse[1:])}
json.dump(out, sys.stdout)

"""Scores of probability claims by scikit-learn and statsmodels.

Reads JSON on stdin: `claims` as [probability, 0 or 1], `surest`, `bins`; writes Brier score, log loss, calibration line with standard
errors, and the reliability curve over bins of like number.
"""
import json
import sys

import numpy as np
import statsmodels.api as sm
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss

q = json.load(sys.stdin)
claims = np.array(q["claims"])
p, came = claims[:, 0], claims[:, 1].astype(int)
bounded = np.clip(p, q["surest"], 1 - q["surest"])
line = sm.Logit(came, sm.add_constant(np.log(bounded / (1 - bounded)))).fit(disp=0, tol=1e-12, method="newton")
share, claimed = calibration_curve(came, p, n_bins=q["bins"], strategy="quantile")
json.dump(
    {
        "brier": float(brier_score_loss(came, p)),
        "log_loss": float(log_loss(came, bounded)),
        "line": [[float(a), float(b)] for a, b in zip(line.params, line.bse)],
        "bins": [[float(a), float(b)] for a, b in zip(claimed, share)],
    },
    sys.stdout,
)

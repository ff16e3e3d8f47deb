"""Reference values of OpenCV for the camera solvers: reads one JSON object on stdin, prints one on stdout.

{"pairs": [[gx, gy, px, py], ...]}                       -> {"homography": 9 numbers, row-major}
{"points": [[x, y, z, px, py], ...], "focal": f, "size": [w, h]} -> {"centre": [x, y, z]} by solvePnP, field frame
"""

import json
import sys

import cv2
import numpy as np

job = json.load(sys.stdin)
out = {}
if "pairs" in job:
    pairs = np.array(job["pairs"], dtype=float)
    h, _ = cv2.findHomography(pairs[:, :2], pairs[:, 2:], 0)
    out["homography"] = h.ravel().tolist()
if "points" in job:
    points = np.array(job["points"], dtype=float)
    w, hgt = job["size"]
    k = np.array([[job["focal"], 0, w / 2], [0, job["focal"], hgt / 2], [0, 0, 1]], dtype=float)
    ok, rvec, tvec = cv2.solvePnP(np.ascontiguousarray(points[:, :3]), np.ascontiguousarray(points[:, 3:]), k, None, flags=cv2.SOLVEPNP_ITERATIVE)
    assert ok
    r, _ = cv2.Rodrigues(rvec)
    out["centre"] = (-r.T @ tvec).ravel().tolist()
json.dump(out, sys.stdout)

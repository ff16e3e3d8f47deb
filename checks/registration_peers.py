"""General picture registration on the frames of a registration bench: reads one JSON object on stdin, prints one on stdout.

{"width": w, "height": h, "frames": "file of gray frames, one after the other", "places": [[[px, py, gx, gy], ...] per frame]}
-> {"ecc_ms": median, "ecc_yd": rms, "flow_ms": median, "flow_yd": rms}

Both start from the true map of the first frame and chain homographies from frame to frame:
ECC: findTransformECC (Evangelidis & Psarakis 2008); flow: corners, pyramidal Lucas-Kanade, RANSAC homography. One thread.
"""

import json
import sys
import time

import cv2
import numpy as np

job = json.load(sys.stdin)
w, h = job["width"], job["height"]
cv2.setNumThreads(1)
frames = np.fromfile(job["frames"], dtype=np.uint8).reshape(-1, h, w)
places = [np.array(p, dtype=float) for p in job["places"]]
first, _ = cv2.findHomography(places[0][:, 2:], places[0][:, :2], 0)


def ecc(a, b):
    warp = np.eye(3, dtype=np.float32)
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 50, 1e-4)
    # The map from the template's pixels to the input's.
    _, warp = cv2.findTransformECC(a, b, warp, cv2.MOTION_HOMOGRAPHY, stop, None, 5)
    return warp


def flow(a, b):
    p = cv2.goodFeaturesToTrack(a, 400, 0.01, 8)
    q, ok, _ = cv2.calcOpticalFlowPyrLK(a, b, p, None)
    ok = ok.ravel() == 1
    m, _ = cv2.findHomography(p[ok], q[ok], cv2.RANSAC, 1.5)
    return m


out = {}
for name, step in (("ecc", ecc), ("flow", flow)):
    total, times, square, n = first, [], 0.0, 0
    for k in range(1, len(frames)):
        begun = time.perf_counter()
        try:
            m = step(frames[k - 1], frames[k])
        except cv2.error:
            m = np.eye(3)
        times.append((time.perf_counter() - begun) * 1e3)
        total = m @ total
        pixels, ground = places[k][:, :2], places[k][:, 2:]
        found = cv2.perspectiveTransform(pixels[None], np.linalg.inv(total))[0]
        miss = np.minimum(np.linalg.norm(found - ground, axis=1), 100.0)
        square += float((miss**2).sum())
        n += len(miss)
    out[name + "_ms"] = float(np.median(times))
    out[name + "_yd"] = float(np.sqrt(square / max(n, 1)))
json.dump(out, sys.stdout)

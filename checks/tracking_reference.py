"""HOTA, MOTA and IDF1 by trackeval, of the scenes given as JSON on standard input.

Each scene is a list of instants with the identities of true and tracked people and the similarity of each pair; pairs
match from a similarity of one half, as the reach of the measures in Rust means.
"""

import contextlib
import io
import json
import sys

import numpy as np

with contextlib.redirect_stdout(io.StringIO()):  # says what it misses for formats that are not read here
    from trackeval.metrics.clear import CLEAR
    from trackeval.metrics.hota import HOTA
    from trackeval.metrics.identity import Identity


def scene(instants):
    truth = sorted({g for i in instants for g in i["truth"]})
    tracks = sorted({t for i in instants for t in i["tracks"]})
    data = {
        "num_timesteps": len(instants),
        "num_gt_ids": len(truth),
        "num_tracker_ids": len(tracks),
        "num_gt_dets": sum(len(i["truth"]) for i in instants),
        "num_tracker_dets": sum(len(i["tracks"]) for i in instants),
        "gt_ids": [np.array([truth.index(g) for g in i["truth"]], dtype=int) for i in instants],
        "tracker_ids": [np.array([tracks.index(t) for t in i["tracks"]], dtype=int) for i in instants],
        "similarity_scores": [
            np.array(i["similar"], dtype=float).reshape(len(i["truth"]), len(i["tracks"])) for i in instants
        ],
    }
    config = {"THRESHOLD": 0.5, "PRINT_CONFIG": False}
    clear = CLEAR(config).eval_sequence(data)
    return {
        "hota": float(HOTA().eval_sequence(data)["HOTA"].mean()),
        "mota": float(clear["MOTA"]),
        "switches": int(clear["IDSW"]),
        "idf1": float(Identity(config).eval_sequence(data)["IDF1"]),
    }


with contextlib.redirect_stdout(io.StringIO()):
    answer = [scene(s) for s in json.load(sys.stdin)]
json.dump(answer, sys.stdout)

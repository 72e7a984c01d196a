#!/usr/bin/python3
"""Reference vectors for geometry/reference_test.go.

Made by general-purpose libraries on seeded random input:
  scipy.spatial.transform.Rotation   intrinsic Euler sequences, rotation vectors
  cv2.projectPoints                  pinhole with one radial term
  cv2.triangulatePoints              linear triangulation
  cv2.solvePnP                       pose from points (iterative)
Debian 12 packages python3-scipy, python3-opencv. Run:
  /usr/bin/python3 geometry/testdata/reference.py > geometry/testdata/reference.json
"""
import json
import sys

import cv2
import numpy as np
import scipy
from scipy.spatial.transform import Rotation

rng = np.random.default_rng(20261125)
out = {"versions": {"python": sys.version.split()[0], "numpy": np.__version__,
                    "scipy": scipy.__version__, "opencv": cv2.__version__}}


def lst(a):
    return np.asarray(a, float).round(10).tolist()


seqs = []
for _ in range(20):
    r = Rotation.random(random_state=rng.integers(1 << 31))
    z, x, y = r.as_euler("ZXY")
    cy, cx, cz = r.as_euler("YXZ")
    seqs.append({"matrix": lst(r.as_matrix()), "zxy": lst([z, x, y]), "yxz": lst([cy, cx, cz])})
out["sequences"] = seqs

rotations = []
for _ in range(10):
    w = rng.normal(size=3) * 0.7
    rotations.append({"vector": lst(w), "matrix": lst(Rotation.from_rotvec(w).as_matrix())})
out["rotvecs"] = rotations

cams = []
for _ in range(8):
    k1 = rng.uniform(-0.05, 0.05)
    f = rng.uniform(900, 1700)
    r = Rotation.from_rotvec(rng.normal(size=3) * 0.3)
    pos = np.array([rng.uniform(-1, 1), rng.uniform(-1, 1), rng.uniform(-5, -3)])
    k = np.array([[f, 0, 960], [0, f, 540], [0, 0, 1.0]])
    pts = rng.uniform(-0.9, 0.9, size=(6, 3))
    t = -r.as_matrix() @ pos
    img, _ = cv2.projectPoints(pts, r.as_rotvec(), t, k, np.array([k1, 0, 0, 0.0]))
    # The pose OpenCV finds back from the pictures.
    ok, rv, tv = cv2.solvePnP(pts, img, k, np.array([k1, 0, 0, 0.0]), flags=cv2.SOLVEPNP_ITERATIVE)
    back = -Rotation.from_rotvec(rv.ravel()).as_matrix().T @ tv.ravel()
    cams.append({"focal": f, "k1": k1, "position": lst(pos), "rotation": lst(r.as_matrix()), "points": lst(pts),
                 "pixels": lst(img.reshape(-1, 2)), "pnp_position": lst(back), "pnp_ok": bool(ok)})
out["cameras"] = cams

tri = []
for _ in range(10):
    ps, m = [], []
    x = rng.uniform(-0.5, 0.5, size=3)
    for c in range(2):
        f = rng.uniform(900, 1700)
        r = Rotation.from_rotvec([0, (0.1 + 1.3 * c), 0]) * Rotation.from_rotvec(rng.normal(size=3) * 0.05)
        fwd = r.as_matrix()[2]
        pos = -4 * fwd + rng.normal(size=3) * 0.1
        k = np.array([[f, 0, 960], [0, f, 540], [0, 0, 1.0]])
        rt = np.hstack([r.as_matrix(), (-r.as_matrix() @ pos)[:, None]])
        p = k @ rt
        h = p @ np.append(x, 1)
        ps.append((f, r.as_matrix(), pos, p))
        m.append(h[:2] / h[2] + rng.normal(size=2) * 3)
    got = cv2.triangulatePoints(ps[0][3], ps[1][3], m[0].reshape(2, 1), m[1].reshape(2, 1)).ravel()
    tri.append({"focal": [ps[0][0], ps[1][0]], "rotation": [lst(ps[0][1]), lst(ps[1][1])],
                "position": [lst(ps[0][2]), lst(ps[1][2])], "pixels": lst(m), "point": lst(got[:3] / got[3])})
out["triangulations"] = tri

json.dump(out, sys.stdout, indent=1)
print()

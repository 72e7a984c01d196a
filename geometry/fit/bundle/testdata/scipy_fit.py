#!/usr/bin/python3
"""How fast scipy solves the fit of geometry's benchmarks.

Reads scipy_fit.json, the swing of BenchmarkSolveCold as the engine starts from
it (written by: go test ./geometry/fit -run WriteSwing -write-swing /tmp/swing.json, then
go test ./geometry/fit/bundle -run WriteFit -write-fit /tmp/swing.json), and minimises,
with scipy.optimize.least_squares, the part of the engine's cost that makes its
size: all marks through two full cameras with the engine's Student t loss, all
segments with shared lengths, lengths as fractions of stature, the camera
priors, the wide priors of points, the origin. Left out are the ground stick,
ball, planted feet and the rules of posture, some tenth of the rows, so the
comparison favours scipy. Everything is vectorised in numpy; derivatives are
scipy's own, by finite differences over the sparsity structure ("sparse", trust
region with LSMR) or dense ("dense", MINPACK's Levenberg-Marquardt is not tried
with more unknowns than patience).

Debian 12 packages python3-scipy, python3-numpy. Run on one core:
  OPENBLAS_NUM_THREADS=1 taskset -c 0 /usr/bin/python3 geometry/fit/bundle/testdata/scipy_fit.py
The result of one run is in geometry/bench_test.go.
"""
import json
import os
import sys
import time

import numpy as np
import scipy
from scipy.optimize import least_squares
from scipy.sparse import lil_matrix
from scipy.spatial.transform import Rotation

d = json.load(open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "scipy_fit.json")))
cams, pts0 = d["cameras"], np.array(d["points"])  # positions x points x 3
nc, npos, npt = len(cams), pts0.shape[0], pts0.shape[1]
R0 = np.array([c["rotation"] for c in cams])
size = np.array([[c["width"], c["height"]] for c in cams], float)
M = np.array(d["marks"])  # clip, position, point, x, y, sigma
clip, pos, pt = M[:, 0].astype(int), M[:, 1].astype(int), M[:, 2].astype(int)
S = np.array(d["segments"])  # a, b, length, sigma
sa, sb, sl, ss = S[:, 0].astype(int), S[:, 1].astype(int), S[:, 2].astype(int), S[:, 3]
L = np.array(d["lengths"])  # log of the prior over stature, its sigma
nl = len(L)
oL, oS, oP = 8 * nc, 8 * nc + nl, 8 * nc + nl + 1
NU = d["nu"]
cp, csd = np.array(d["camera_position"]), np.array(d["camera_sigma"])
wide = np.array(d["wide"])

x0 = np.concatenate([np.concatenate([np.r_[c["position"], 0, 0, 0, 0, 0] for c in cams]),
                     L[:, 0] + d["stature"], [d["stature"]], pts0.ravel()])


def residuals(x):
    c = x[:oL].reshape(nc, 8)
    P = x[oP:].reshape(npos, npt, 3)
    R = Rotation.from_rotvec(c[:, 3:6]).as_matrix() @ R0
    f = np.array([k["focal"] for k in cams]) * np.exp(c[:, 6])
    q = np.einsum("nij,nj->ni", R[clip], P[pos, pt] - c[clip, :3])
    uv = q[:, :2] / q[:, 2:]
    k = f[clip] * (1 + c[clip, 7] * (uv ** 2).sum(1))
    r = (size[clip] / 2 + k[:, None] * uv - M[:, 3:5]) / M[:, 5:]
    s = (r ** 2).sum(1)
    r *= np.sqrt((NU + 2) * np.log1p(s / NU) / np.maximum(s, 1e-12))[:, None]
    dist = np.linalg.norm(P[:, sa] - P[:, sb], axis=2)
    seg = (dist - np.exp(x[oL + sl])[None]) / ss
    length = (x[oL:oL + nl] - x[oS] - L[:, 0]) / L[:, 1]
    mid = (P[0, d["ankles"][0]] + P[0, d["ankles"][1]]) / 2
    return np.concatenate([r.ravel(), seg.ravel(), length, [(x[oS] - d["stature"]) / d["stature_sigma"]],
                           ((P - pts0) / wide[None, :, None]).ravel(), mid[[0, 2]] / 0.002,
                           ((c[:, :3] - cp) / csd).ravel(), R[:, 0, 1] / 0.04, (R[:, 2, 1] - R0[:, 2, 1]) / 0.2,
                           c[:, 6] / 0.05, c[:, 7] / 0.01,
                           [R[i, 2, 0 if cams[i]["face_on"] else 2] / 0.12 for i in range(nc)]])


def sparsity():
    m = len(residuals(x0))
    A = lil_matrix((m, len(x0)), dtype=int)
    row = 0
    for i in range(len(M)):
        for _ in range(2):
            A[row, 8 * clip[i]:8 * clip[i] + 8] = 1
            o = oP + 3 * (npt * pos[i] + pt[i])
            A[row, o:o + 3] = 1
            row += 1
    for p in range(npos):
        for j in range(len(S)):
            for q in (sa[j], sb[j]):
                o = oP + 3 * (npt * p + q)
                A[row, o:o + 3] = 1
            A[row, oL + sl[j]] = 1
            row += 1
    for j in range(nl):
        A[row, oL + j] = A[row, oS] = 1
        row += 1
    A[row, oS] = 1
    row += 1
    for j in range(3 * npos * npt):
        A[row, oP + j] = 1
        row += 1
    for _ in range(2):
        for q in d["ankles"]:
            A[row, oP + 3 * q:oP + 3 * q + 3] = 1
        row += 1
    for j in range(row, m):
        A[j, :oL] = 1
    return A


print("python %s, numpy %s, scipy %s" % (sys.version.split()[0], np.__version__, scipy.__version__))
A = sparsity()
print("%d unknowns, %d residuals" % (len(x0), A.shape[0]))
for name, kw in (("sparse", dict(jac_sparsity=A)), ("dense", dict())):
    best = np.inf
    for _ in range(3 if name == "sparse" else 1):
        t = time.perf_counter()
        s = least_squares(residuals, x0, method="trf", x_scale="jac", ftol=1e-9, xtol=1e-9, gtol=1e-6, max_nfev=200, **kw)
        best = min(best, time.perf_counter() - t)
    print("%s: %.0f ms, cost %.3f, %d evaluations, %d Jacobians, status %d" % (name, 1000 * best, s.cost, s.nfev, s.njev, s.status))

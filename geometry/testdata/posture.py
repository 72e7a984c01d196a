#!/usr/bin/python3
"""Reference vectors for geometry/posture_test.go, worked out apart from the Go code.

  figures    the template figures of stance.go, built again from their table by
             rotations of scipy.spatial.transform
  centres    whole-body centres of mass of those figures with the masses of P. de Leva,
             J Biomech 29:1223-1230 (1996), table 4
  quantiles  E erfc(1.96 q exp(-tau Z)/sqrt 2) = 0.05 solved for q by scipy.integrate.quad
             and scipy.optimize.brentq
Debian 12 package python3-scipy. Run:
  /usr/bin/python3 geometry/testdata/posture.py > geometry/testdata/posture.json
"""
import json
import sys

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from scipy.special import erfc
from scipy.stats import norm

H, CLUB = 1.75, 0.95
X, Y, Z = np.eye(3)


def unit(v):
    return np.asarray(v, float) / np.linalg.norm(v)


# pelvis turn, chest turn, sway, forward bend, side bend, hands, club, heels lifted
# (this project's own numbers, after common practice; no source)
TABLE = {
    "address": (0, 0, 0, 35, 5, (0.03, 0.44, 0.20), (0.02, -0.85, 0.5), (0, 0)),
    "club level back": (20, 40, -0.01, 35, 5, (-0.20, 0.52, 0.16), (-1, 0.02, 0.1), (0, 0)),
    "lead arm level": (35, 70, -0.015, 35, 5, (-0.33, 0.74, 0.10), (-0.3, 0.9, -0.3), (0, 0)),
    "top": (43, 88, -0.015, 35, 5, (-0.22, 0.92, -0.06), (0.9, 0.1, 0.2), (0.02, 0)),
    "delivery": (-15, 20, 0.03, 34, 14, (-0.10, 0.50, 0.16), (-1, 0.05, -0.1), (0, 0.01)),
    "impact": (-38, -20, 0.05, 32, 18, (0.08, 0.46, 0.18), (-0.15, -0.85, 0.5), (0, 0.02)),
    "finish": (-90, -125, 0.08, 8, 4, (0.12, 0.92, -0.12), (-0.5, -0.3, -0.8), (0, 0.09)),
}


def figure(pelvis, chest, sway, bend, side, hands, club, lift):
    p = {}
    up_turn = Rotation.from_rotvec(np.radians(-pelvis) * Y)  # away from the target is positive
    mid_hip = np.array([sway, 0.525, -0.05])
    for s, name, k in ((1, "lead", 0), (-1, "trail", 1)):
        foot = Rotation.from_rotvec(np.radians(15 * s) * Y)
        ankle = np.array([0.125 * s, 0.05 + lift[k], 0])
        p[name + " ankle"] = ankle
        p[name + " heel"] = ankle + foot.apply([0, -0.037, -0.04])
        p[name + " toe"] = ankle + foot.apply([0, -0.037 - lift[k], 0.117])
        p[name + " hip"] = mid_hip + up_turn.apply([0.0575 * s, 0, 0])
        p[name + " knee"] = (p[name + " hip"] + ankle) / 2 + foot.apply([0, 0, 0.045])
    p["buckle"] = mid_hip + up_turn.apply([0, 0.048, 0.065])
    p["tailbone"] = mid_hip + up_turn.apply([0, 0.048, -0.06])
    # The spine is bent toward the ball and then to the trail side.
    b, s = np.radians(bend), np.radians(side)
    spine = np.array([-np.sin(s), np.cos(s) * np.cos(b), np.cos(s) * np.sin(b)])
    across = unit(np.cross(spine, Z))
    about = Rotation.from_rotvec(np.radians(-chest) * spine)
    lateral, forward = about.apply(across), about.apply(np.cross(across, spine))
    mid = mid_hip + 0.288 * spine
    for sign, name in ((1, "lead"), (-1, "trail")):
        p[name + " shoulder"] = mid + 0.109 * sign * lateral
    p["breastbone"] = mid - 0.045 * spine + 0.065 * forward
    p["upper back"] = mid - 0.045 * spine - 0.065 * forward
    p["head"] = mid + 0.12 * spine + 0.02 * Z
    c, hands = unit(club), np.array(hands)
    p["grip"] = hands - 0.06 * c
    p["lead wrist"] = hands - 0.02 * c
    p["trail wrist"] = hands + 0.035 * c
    for name in ("lead", "trail"):
        p[name + " elbow"] = (p[name + " shoulder"] + p[name + " wrist"]) / 2 + np.array([0, -0.03, 0.01])
    p = {k: v * H for k, v in p.items()}
    p["clubhead"] = p["grip"] + CLUB * c
    return p


# Men, then women: mass, and centre from the first end; per cent.
DE_LEVA = {
    "head": (("head", "head"), (6.94, 0), (6.68, 0)),
    "trunk": (("shoulder", "hip"), (43.46, 43.10), (42.57, 37.82)),
    "upper arm": (("shoulder", "elbow"), (2.71, 57.72), (2.55, 57.54)),
    "forearm": (("elbow", "wrist"), (1.62, 45.74), (1.38, 45.59)),
    "hand": (("wrist", "wrist"), (0.61, 0), (0.56, 0)),
    "thigh": (("hip", "knee"), (14.16, 40.95), (14.78, 36.12)),
    "shank": (("knee", "ankle"), (4.33, 43.95), (4.81, 43.52)),
    "foot": (("heel", "toe"), (1.37, 44.15), (1.29, 40.14)),
}


def centre(p, sex):
    masses, places = [], []
    for part, (ends, men, women) in DE_LEVA.items():
        mass, share = {"male": men, "female": women, "": np.add(men, women) / 2}[sex]
        for side in ("",) if part == "head" else ("lead ", "trail "):
            a, b = (p[side + e] for e in ends)
            masses.append(mass / 2 if part == "trunk" else mass)
            places.append(a + (b - a) * share / 100)
    return np.average(places, axis=0, weights=masses)


def quantile(tau):
    def beyond(q):
        return quad(lambda z: norm.pdf(z) * erfc(1.959963984540054 * q * np.exp(-tau * z) / np.sqrt(2)), -9, 9, limit=200)[0]
    return brentq(lambda q: beyond(q) - 0.05, 0.5, 60, xtol=1e-10)


def lst(a):
    return np.asarray(a, float).round(9).tolist()


figures = {name: figure(*row) for name, row in TABLE.items()}
json.dump({
    "versions": {"python": sys.version.split()[0], "numpy": np.__version__, "scipy": scipy.__version__},
    "stature": H, "club": CLUB,
    "figures": {name: {k: lst(v) for k, v in p.items()} for name, p in figures.items()},
    "centres": {name: {sex: lst(centre(p, sex)) for sex in ("male", "female", "")} for name, p in figures.items()},
    "quantiles": [[tau, round(quantile(tau), 8)] for tau in (0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.2)],
}, sys.stdout)
print()

#!/usr/bin/python3
"""Reference vectors for video/sound, worked out by scipy and numpy from the definitions.

  changes    where the variance of noise changes: the split that minimises
             k ln var(x[:k]) + (n-k) ln var(x[k:]), tried at every k (numpy.var), eight
             samples at least on either side (the Akaike criterion; Maeda 1985)
  filter     an RC high-pass by scipy.signal.lfilter
  click      noise with a click; how loud it is: the energy of the loudest half millisecond
             of what two such filters leave, over the median (numpy.median) of those of the
             tenth of a second before, the last eight left out, in decibels
Debian 12 package python3-scipy. Run:
  /usr/bin/python3 video/sound/testdata/vectors.py > video/sound/testdata/vectors.json
"""
import json
import sys

import numpy as np
import scipy
from scipy.signal import lfilter

rng = np.random.default_rng(20261130)
LEAST, FLOOR, CORNER = 8, 1e-9, 1500


def change(x, least=LEAST, fewer=0):
    n = len(x)
    cost = {k: k * np.log(max(np.var(x[:k]), FLOOR)) + (n - k - fewer) * np.log(max(np.var(x[k:]), FLOOR))
            for k in range(least, n - LEAST + 1)}
    return min(cost, key=cost.get)


def high_pass(x, rate):
    a = 1 / (1 + 2 * np.pi * CORNER / rate)
    y = lfilter([a, -a], [1, -a], x)
    return y - a ** np.arange(1, len(x) + 1) * x[0]  # at rest before the first sample


changes = []
for n, at, before, after in [(64, 30, 0.01, 1), (64, 8, 0.02, 1), (64, 5, 0.001, 1), (64, 58, 0.02, 1), (64, 56, 0.01, 1),
                             (200, 120, 0.1, 0.5), (200, 60, 1, 0.05), (24, 12, 0.01, 1), (25, 9, 0.01, 1), (400, 391, 0.01, 1)]:
    x = np.concatenate([rng.normal(0.3, before, at), rng.normal(0.1, after, n - at)]).round(6)
    changes.append({"x": x.tolist(), "at": int(change(x))})
# Some in which a split at seven would be better still, and some in which counting one
# sample fewer behind the split would move it.
for worse in ({"least": LEAST - 1}, {"fewer": 1}):
    for _ in range(2):
        x = rng.normal(0, 1, 64).round(6)
        while change(x) == change(x, **worse):
            x = np.concatenate([rng.normal(0, 0.4, 7), rng.normal(0, 1, 57)]).round(6)
        changes.append({"x": x.tolist(), "at": int(change(x))})

x = rng.normal(0, 0.3, 60).round(6)
filtered = {"rate": 8000, "x": x.tolist(), "y": high_pass(x, 8000).round(10).tolist()}

rate, onset = 8000, 2100
x = rng.normal(0, 0.003, 4000)
t = np.arange(160) / rate
x[onset:onset + 160] += 0.4 * np.exp(-t / 0.004) * np.sin(2 * np.pi * 2600 * t + 1)
x = x.round(6)
per_bin = 4
y = high_pass(high_pass(x, rate), rate)
energy = (y.reshape(-1, per_bin) ** 2).mean(axis=1)
peak = int(np.argmax(energy))
past = energy[peak - 8 - 199:peak - 8 + 1]
strength = 10 * np.log10(energy[peak] / np.median(past))

json.dump({"versions": {"python": sys.version.split()[0], "numpy": np.__version__, "scipy": scipy.__version__},
           "changes": changes, "filter": filtered,
           "click": {"rate": rate, "x": x.tolist(), "onset": onset, "strength": round(float(strength), 6)}}, sys.stdout)
print()

#!/usr/bin/python3
"""Reference vectors for video/track, made by OpenCV's calcOpticalFlowPyrLK.

Debian 12: apt-get install python3-opencv (OpenCV 4.6.0, numpy 1.24).
    /usr/bin/python3 opencv.py > opencv.json
The pictures are drawn here and in opencv_test.go by the same arithmetic; the
sums of their pixels are stored to prove it.
"""
import json
import sys

import cv2
import numpy as np

W, H = 320, 240
FRAMES = 6


def hash01(x, y, seed):
    """Whole numbers to one of 256 values of [0, 1)."""
    h = (x.astype(np.int64) * 374761393 + y.astype(np.int64) * 668265263 + seed * 974634777) & 0xFFFFFFFF
    h = ((h ^ (h >> 13)) * 1274126177) & 0xFFFFFFFF
    return ((h ^ (h >> 16)) & 255) / 256.0


def noise(x, y, seed):
    """Value noise of one unit's grain."""
    ix, iy = np.floor(x), np.floor(y)
    u, v = x - ix, y - iy
    u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
    i, j = ix.astype(np.int64), iy.astype(np.int64)
    a, b = hash01(i, j, seed), hash01(i + 1, j, seed)
    c, d = hash01(i, j + 1, seed), hash01(i + 1, j + 1, seed)
    top, low = a + (b - a) * u, c + (d - c) * u
    return top + (low - top) * v


def paint(x, y, seed):
    return 0.45 * noise(x / 24, y / 24, seed) + 0.35 * noise(x / 9, y / 9, seed + 1) + 0.2 * noise(x / 4, y / 4, seed + 2)


def picture(n):
    """A disc that slides, turns and grows over a ground that slides slowly."""
    y, x = np.mgrid[0:H, 0:W].astype(np.float64)
    ground = paint(x + 0.37 * n, y - 0.23 * n, 10)
    cx, cy = 130 + 4.3 * n, 120 + 2.1 * n - 0.4 * n * n
    dx, dy = x - cx, y - cy
    s = 0.02 * n
    g = 1 - 0.01 * n
    disc = paint(g * (dx + s * dy), g * (dy - s * dx), 40)
    inside = dx * dx + dy * dy < 70 * 70
    return np.floor(16 + 219 * np.where(inside, disc, 0.8 * ground) + 0.5).astype(np.uint8)


def main():
    pictures = [picture(n) for n in range(FRAMES)]
    steps = []
    for first, second in [(0, 1), (1, 2), (2, 3), (4, 5), (1, 0), (0, 2), (0, 3)]:
        grid = [(x + 0.3, y + 0.6) for y in range(14, H - 8, 24) for x in range(10, W - 8, 25)]
        points = np.array(grid, np.float32).reshape(-1, 1, 2)
        found, status, _ = cv2.calcOpticalFlowPyrLK(
            pictures[first], pictures[second], points, None, winSize=(21, 21), maxLevel=3,
            criteria=(cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 30, 0.01), minEigThreshold=1e-4)
        steps.append({
            "from": first, "to": second,
            "points": [[round(float(c), 4) for c in p] for p in points.reshape(-1, 2)],
            "found": [[round(float(c), 4) for c in p] for p in found.reshape(-1, 2)],
            "status": [int(s) for s in status.ravel()],
        })
    halves = cv2.pyrDown(pictures[0])
    json.dump({
        "opencv": cv2.__version__, "numpy": np.__version__, "width": W, "height": H,
        "sums": [int(p.astype(np.int64).sum()) for p in pictures],
        "half": {"width": halves.shape[1], "height": halves.shape[0], "sum": int(halves.astype(np.int64).sum()),
                 "row": [int(v) for v in halves[-1]], "column": [int(v) for v in halves[:, -1]]},
        "steps": steps,
    }, sys.stdout, separators=(",", ":"))
    print()


if __name__ == "__main__":
    main()

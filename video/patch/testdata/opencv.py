#!/usr/bin/python3
"""Reference vectors for video/patch, made by OpenCV's findTransformECC.

Debian 12: apt-get install python3-opencv (OpenCV 4.6.0, numpy 1.24).
    /usr/bin/python3 opencv.py > opencv.json
The pictures are drawn here and in opencv_test.go by the same arithmetic; the sums
of their pixels are stored to prove it. The second picture shows the ground of the
first moved, by MOTION_TRANSLATION's own model and with other light. OpenCV has no
ramp in its model and no bell, so that both settle on the same place only within some
hundredths of a pixel; there is no shading here.
"""
import json

import cv2
import numpy as np

W = H = 160
N = 15
SHIFTS = [(0.4, -0.3), (1.3, 0.8), (-0.9, 1.6)]


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


def picture(dx, dy, gain):
    y, x = np.mgrid[0:H, 0:W].astype(np.float64)
    ground = 0.5 * noise((x - dx) / 11, (y - dy) / 11, 3) + 0.5 * noise((x - dx) / 5, (y - dy) / 5, 4)
    return np.floor(30 + gain * 180 * ground + 0.5).astype(np.uint8)


def main():
    first = picture(0, 0, 1)
    out = {"opencv": cv2.__version__, "sum": int(first.sum()), "cases": []}
    for dx, dy in SHIFTS:
        second = picture(dx, dy, 0.8)
        case = {"dx": dx, "dy": dy, "sum": int(second.sum()), "patches": []}
        for cy in range(20, H - 20, 24):
            for cx in range(20, W - 20, 24):
                template = first[cy - N // 2:cy + N // 2 + 1, cx - N // 2:cx + N // 2 + 1]
                warp = np.array([[1, 0, cx - N // 2], [0, 1, cy - N // 2]], np.float32)
                try:
                    rho, warp = cv2.findTransformECC(template, second, warp, cv2.MOTION_TRANSLATION,
                                                     (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 60, 1e-7), None, 1)
                except cv2.error:
                    continue
                case["patches"].append([cx, cy, round(float(warp[0, 2]) - cx + N // 2, 4), round(float(warp[1, 2]) - cy + N // 2, 4), round(float(rho), 5)])
        out["cases"].append(case)
    print(json.dumps(out))


main()

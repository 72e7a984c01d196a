#!/usr/bin/python3
"""Times OpenCV and BenchmarkFlow on the same pictures and points, each on one
core, by the processor time of its best run, and tells the ratio.

    /usr/bin/python3 speed.py
    /usr/bin/python3 speed.py --outside    OpenCV alone, as Go prints benchmarks
"""
import pathlib
import re
import subprocess
import sys
import time

import cv2
import numpy as np

import opencv

cv2.setNumThreads(1)
W, H = 1920, 1080


def tiled(n):
    tile = opencv.picture(n)
    return np.ascontiguousarray(np.tile(tile, (H // 240 + 1, W // 320))[:H, :W])


def main():
    a, b = tiled(0), tiled(1)
    grid = [(x, y) for y in np.arange(40, 1040, 50) for x in np.arange(60, 1880, 72.8)]
    outside = "--outside" in sys.argv
    bench = "" if outside else subprocess.run(["go", "test", "-run", "^$", "-bench", "Flow", "-cpu", "1"], check=True, text=True,
                           stdout=subprocess.PIPE, cwd=pathlib.Path(__file__).resolve().parent.parent).stdout
    for count in 24, 500:
        points = np.array([grid[i * len(grid) // count] for i in range(count)], np.float32).reshape(-1, 1, 2)
        times = []
        for _ in range(100):
            start = time.process_time()
            cv2.calcOpticalFlowPyrLK(a, b, points, None, winSize=(21, 21), maxLevel=3)
            times.append(time.process_time() - start)
        theirs = 1e3 * min(times)
        if outside:
            print(f"BenchmarkOpenCVFlow/{count}_points 100 {theirs:.3f} best-cpu-ms")
            continue
        ours = float(re.search(rf"Flow/{count}_points.*?([0-9.]+) best-cpu-ms", bench).group(1))
        print(f"{count} points: OpenCV {cv2.__version__} {theirs:.2f} ms, Go {ours:.2f} ms, ratio {ours / theirs:.2f}")


main()

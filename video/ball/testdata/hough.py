"""Writes hough.json: the circle that OpenCV's Hough transform finds in face-on.png.

Made with OpenCV 4.6.0 (Debian 12, python3-opencv). The picture is cut out of
the address of the demo's face-on clip. Run in this folder.
"""
import json

import cv2

grey = cv2.imread("face-on.png", cv2.IMREAD_GRAYSCALE)
found = cv2.HoughCircles(grey, cv2.HOUGH_GRADIENT_ALT, dp=1, minDist=20, param1=150, param2=0.8, minRadius=4, maxRadius=14)
circles = [[float(v) for v in c[:3]] for c in found[0]] if found is not None else []
with open("hough.json", "w") as f:
    json.dump({"opencv": cv2.__version__, "circles": circles}, f)
    f.write("\n")

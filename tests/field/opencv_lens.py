#!/usr/bin/env python3
"""opencv_lens.py >opencv_lens.txt: what cv2.undistortPointsIter makes of pixels seen through a lens with
one radial term, as places on the ground. Run by hand (python3-opencv 4.6, numpy): the tests read what it
wrote.

A line per camera, 'X Y Z PAN TILT ROLL FOCAL K1': inches, radians, pixels of a picture of 1920 x 1080 and
the share by which the middle of the left edge is moved; then six lines 'u v x y', pixels and the inches of
the ground (flat) where the ray of the undistorted pixel meets it."""

import cv2
import numpy as np

rng = np.random.default_rng(20261130)
WIDTH, HEIGHT, CAMERAS, PIXELS = 1920, 1080, 120, 6


def axes(pan, tilt, roll):
    forward = np.array([np.sin(pan) * np.cos(tilt), np.cos(pan) * np.cos(tilt), -np.sin(tilt)])
    right = np.array([np.cos(pan), -np.sin(pan), 0])
    down = np.cross(forward, right)
    c, s = np.cos(roll), np.sin(roll)
    return c * right + s * down, c * down - s * right, forward


def main():
    criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 1000, 1e-15)
    for _ in range(CAMERAS):
        at = np.array([rng.uniform(-700, 700), rng.uniform(-2000, -500), rng.uniform(300, 900)])
        pan, roll = rng.uniform(-0.3, 0.3), rng.uniform(-0.05, 0.05)
        tilt = np.arctan2(at[2], rng.uniform(600, 1000) - at[1])
        focal, k1 = rng.uniform(900, 2200), rng.uniform(-0.04, 0.03)
        right, down, forward = axes(pan, tilt, roll)
        K = np.array([[focal, 0, WIDTH / 2], [0, focal, HEIGHT / 2], [0, 0, 1]])
        dist = np.array([k1 * focal ** 2 / (WIDTH / 2) ** 2, 0, 0, 0])
        print(*(f"{v:.13g}" for v in (*at, pan, tilt, roll, focal, k1)))
        left = PIXELS
        while left:
            pixel = np.array([rng.uniform(0, WIDTH), rng.uniform(0, HEIGHT)])
            x, y = cv2.undistortPointsIter(pixel.reshape(1, 1, 2), K, dist, None, None, criteria)[0, 0]
            ray = x * right + y * down + forward
            if ray[2] > -0.05 or at[2] > -6000 * ray[2]:
                continue
            ground = at - ray * at[2] / ray[2]
            print(*(f"{v:.13g}" for v in (*pixel, ground[0], ground[1])))
            left -= 1


main()

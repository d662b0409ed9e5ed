#!/usr/bin/env python3
"""opencv.py >opencv.txt: random press-box cameras, spots of the field in their pictures with noise, and
what OpenCV makes of them. Run by hand (python3-opencv 4.6, numpy): the tests read what it wrote.

A block per camera: 'camera WIDTH HEIGHT N HOMOGRAPHY CAMERA' with the sums of squared misses (px^2)
of cv2.findHomography (method 0) and cv2.calibrateCamera (one view; principal point in the middle,
square pixels, no tangential term, one radial term), then N lines 'X Y u v': feet, pixels."""

import cv2
import numpy as np

rng = np.random.default_rng(20260901)
WIDTH, HEIGHT, CAMERAS = 1920, 1080, 120


def look(at, aim, roll):
    f = (aim - at) / np.linalg.norm(aim - at)
    r = np.cross(f, [0, 0, 1])
    r /= np.linalg.norm(r)
    d = np.cross(f, r)
    c, s = np.cos(roll), np.sin(roll)
    return np.array([c * r + s * d, c * d - s * r, f])


def spots():
    return np.array([(x, y, 0.0) for x in range(-150, 151, 15)
                     for y in (0, 160 / 3, 320 / 3, 160)])


def camera():
    at = np.array([rng.uniform(-60, 60), rng.uniform(-180, -40), rng.uniform(20, 80)])
    aim = np.array([rng.uniform(-40, 40), rng.uniform(50, 100), 0])
    focal = rng.uniform(700, 1600)
    R = look(at, aim, rng.uniform(-0.05, 0.05))
    K = np.array([[focal, 0, WIDTH / 2], [0, focal, HEIGHT / 2], [0, 0, 1]])
    k1 = rng.uniform(-0.03, 0.01) * focal ** 2 / (WIDTH / 2) ** 2
    all = spots()
    seen, _ = cv2.projectPoints(all, cv2.Rodrigues(R)[0], -R @ at, K, np.array([k1, 0, 0, 0]))
    seen = seen.reshape(-1, 2)
    ok = (seen[:, 0] > 0) & (seen[:, 0] < WIDTH) & (seen[:, 1] > 0) & (seen[:, 1] < HEIGHT)
    ok &= ((all - at) @ R[2]) > 0
    return all[ok], seen[ok], K


def main():
    made = 0
    while made < CAMERAS:
        where, seen, K = camera()
        if len(where) < 12:
            continue
        pick = rng.choice(len(where), size=int(rng.integers(8, 13)), replace=False)
        where, seen = where[pick], np.round(seen[pick] + rng.normal(0, 1, (len(pick), 2)), 3)
        if len({y for _, y, _ in where}) < 3 or len({x for x, _, _ in where}) < 4:
            continue
        H, _ = cv2.findHomography(where[:, :2], seen, 0)
        m = np.c_[where[:, :2], np.ones(len(where))] @ H.T
        homography = ((m[:, :2] / m[:, 2:] - seen) ** 2).sum()
        flags = (cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT
                 | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST
                 | cv2.CALIB_FIX_K2 | cv2.CALIB_FIX_K3)
        done = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 1000, 1e-15)
        rms, K2, dist, rv, tv = cv2.calibrateCamera(
            [where.astype(np.float32)], [seen.astype(np.float32)], (WIDTH, HEIGHT), K.copy(),
            np.zeros(5), flags=flags, criteria=done)
        p, _ = cv2.projectPoints(where, rv[0], tv[0], K2, dist)
        one = ((p.reshape(-1, 2) - seen) ** 2).sum()
        print(f"camera {WIDTH} {HEIGHT} {len(where)} {homography:.9f} {one:.9f}")
        for (x, y, _), (u, v) in zip(where, seen):
            print(f"{x:.9g} {y:.12g} {u:.3f} {v:.3f}")
        made += 1


main()

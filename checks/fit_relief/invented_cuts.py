"""Random cutters at random bores, in millimetres and degrees. See README.md for what the numbers mean."""

import math

import numpy as np

KINDS = ("bore square", "bore corner", "bore laid back", "bore shallow", "bore undercut", "crown")


def axis_of(cutter):
    a = np.array([math.tan(math.radians(cutter["tilt_x"])), math.tan(math.radians(cutter["tilt_y"])), 1.0])
    return a / np.linalg.norm(a)


def lean_of(cutter):
    return math.degrees(math.acos(axis_of(cutter)[2]))


def random_case(rng, kind):
    """One case; positions are chosen so that most cutters reach the metal."""
    upright = rng.random() < 0.2
    bore_radius = rng.uniform(33.0, 54.0)
    sharp = rng.random() < 0.25
    width = 0.0 if sharp else rng.uniform(0.3, 1.5)
    depth = 0.0 if sharp else rng.uniform(0.3, 2.0)
    cutter_radius = rng.uniform(0.36, 0.62) * bore_radius
    azimuth = rng.uniform(-math.pi, math.pi)
    most_tilt = 0.0 if upright else (14.0 if kind == "bore laid back" else 24.0)
    tilt = rng.uniform(-most_tilt, most_tilt, size=2)
    corner = 0.0
    layback = 0.0
    down = rng.uniform(2.0, 11.0)
    beyond = rng.uniform(0.4, 5.5)
    if kind in ("bore corner", "crown"):
        corner = rng.uniform(0.4, 5.0) if rng.random() < 0.8 else 0.0
    if kind == "bore laid back":
        layback = rng.uniform(8.0, 50.0)
        corner = rng.uniform(0.5, 3.0) if rng.random() < 0.5 else 0.0
    if kind == "bore shallow":
        down = rng.uniform(0.2, 2.5)
        corner = rng.uniform(0.2, 1.0) if rng.random() < 0.5 else 0.0
    if kind == "bore undercut":
        # The axis leans so that the far end of the cutter is nearer to the wall than the part at the deck.
        lean = rng.uniform(12.0, 26.0)
        tilt = np.degrees(np.arctan(-math.tan(math.radians(lean)) * np.array([math.cos(azimuth), math.sin(azimuth)])))
        down = rng.uniform(7.0, 16.0)
        beyond = rng.uniform(0.4, 3.0)
        corner = rng.uniform(0.3, 3.0) if rng.random() < 0.5 else 0.0
    off = bore_radius + beyond - cutter_radius
    if kind == "crown":
        off = bore_radius + rng.uniform(-9.0, 2.0) - cutter_radius
        width = depth = 0.0
        down = rng.uniform(0.8, 7.0)
    cutter = {
        "radius": cutter_radius,
        "corner": corner,
        "layback": layback,
        "x": off * math.cos(azimuth),
        "y": off * math.sin(azimuth),
        "z": -down,
        "tilt_x": tilt[0],
        "tilt_y": tilt[1],
    }
    cutter = {key: round(float(value), 4) for key, value in cutter.items()}
    metal = {"R": round(bore_radius, 4), "w": round(width, 4), "d": round(depth, 4)}
    return {"kind": kind, "metal": metal, "cutter": cutter}

"""The volume of the removed metal by counting points: coarse, but it shares nothing with the kernel."""

import math

import numpy as np
from scipy.stats import qmc

from invented_cuts import axis_of


def in_cutter(cutter, p):
    a = axis_of(cutter)
    d = p - np.array([cutter["x"], cutter["y"], cutter["z"]])
    h = d @ a
    r = np.sqrt(np.maximum((d * d).sum(axis=1) - h * h, 0.0))
    lay, q = math.radians(cutter["layback"]), cutter["corner"]
    most = cutter["radius"] + h * math.tan(lay)
    if q > 0.0:
        t = q * math.tan((math.pi / 2 - lay) / 2)
        in_corner = h < t * math.cos(lay)
        most = np.where(in_corner, cutter["radius"] - t + np.sqrt(np.maximum(q * q - (q - h) ** 2, 0.0)), most)
    return (h >= 0.0) & (r <= most)


def in_metal(case, p):
    m = case["metal"]
    rho = np.hypot(p[:, 0], p[:, 1])
    if case["kind"] == "crown":
        return (p[:, 2] <= 0.0) & (rho <= m["R"])
    wall = m["R"] + (m["w"] * np.maximum(0.0, 1.0 + p[:, 2] / m["d"]) if m["d"] > 0.0 else 0.0)
    return (p[:, 2] <= 0.0) & (rho >= wall)


def counted_volume(case, lowest, reach, log2_points=21):
    """Volume by a scrambled Sobol sequence in the box below the top plane, between the azimuths that matter."""
    u = qmc.Sobol(3, seed=1).random_base2(log2_points)
    toward = math.atan2(case["cutter"]["y"], case["cutter"]["x"])
    inner_sq = 0.0 if case["kind"] == "crown" else case["metal"]["R"] ** 2
    half = math.pi
    rho = np.sqrt(inner_sq + u[:, 0] * (reach**2 - inner_sq))
    theta = toward + half * (2.0 * u[:, 1] - 1.0)
    p = np.column_stack([rho * np.cos(theta), rho * np.sin(theta), lowest * u[:, 2]])
    share = np.mean(in_cutter(case["cutter"], p) & in_metal(case, p))
    return share * half * (reach**2 - inner_sq) * -lowest

"""Signed gap between a valve and one obstacle, by closed-form point distances and Lipschitz search along the sharp curves.

Leaves out: the solid kernel (see `gap_by_kernel.py`). The two share no geometry code; only the case dictionary is common.

The free side of every obstacle face is flat or locally convex and the valve head is the convex hull of its rings, so the
nearest (or deepest) pair always has its valve point on a valve ring or its obstacle point on a sharp edge of the obstacle. Hence

    gap = min( min over ring points p of sd_obstacle(p),  min over edge points q of sd_valve(q) )

with sd the signed distance of a point to a solid, negative inside. Each sd is 1-Lipschitz, so an interval of half-length s around a
sample value f cannot hold less than f - s: intervals are dropped only on that bound, and the rest are polished by golden section.
"""

import numpy as np

STEM_LENGTH_MM = 150.0
GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


def axis_direction(valve):
    a = np.array([np.tan(np.radians(valve["tilt_x"])), np.tan(np.radians(valve["tilt_y"])), 1.0])
    return a / np.linalg.norm(a)


def valve_profile(valve):
    """Corners of the half profile (radius, height above the face), from the face centre to the stem top."""
    rv, m, rs = valve["rv"], valve["m"], valve["rs"]
    top = m + (rv - rs) * np.tan(np.radians(valve["seat"]))
    return np.array([[0.0, 0.0], [rv, 0.0], [rv, m], [rs, top], [rs, STEM_LENGTH_MM]])


def face_centre(valve, lift):
    return np.array([valve["x"], valve["y"], valve["z_seated"]]) - lift * axis_direction(valve)


def segment_distance(px, py, ax, ay, bx, by):
    """Distance of points to segments, broadcast."""
    dx, dy = bx - ax, by - ay
    length2 = dx * dx + dy * dy
    t = ((px - ax) * dx + (py - ay) * dy) / np.where(length2 > 0.0, length2, 1.0)
    t = np.clip(t, 0.0, 1.0)
    return np.hypot(px - ax - t * dx, py - ay - t * dy)


def sd_valve(points, valve, lift):
    """Signed distance of points (n, 3) to the valve body; the stem top does not count as surface."""
    a = axis_direction(valve)
    rel = points - face_centre(valve, lift)
    h = rel @ a
    rho = np.linalg.norm(rel - h[:, None] * a, axis=1)
    prof = valve_profile(valve)
    d = np.full(len(points), np.inf)
    for (ax, ay), (bx, by) in zip(prof[:-1], prof[1:]):
        d = np.minimum(d, segment_distance(rho, h, ax, ay, bx, by))
    width = np.interp(h, prof[1:, 1], prof[1:, 0])
    inside = (h > 0.0) & (rho < width)
    return np.where(inside, -d, d)


def sd_block(points, block):
    """Signed distance of points to the infinite block with its chamfered bore."""
    r, w, d = block["R"], block["w"], block["d"]
    rho, z = np.hypot(points[:, 0], points[:, 1]), points[:, 2]
    wall = np.hypot(rho - r, np.maximum(z + d, 0.0))
    deck = np.hypot(np.minimum(rho - r - w, 0.0), z)
    dist = np.minimum(wall, deck)
    inside = (z < 0.0) & (rho > r)
    if w > 0.0:
        dist = np.minimum(dist, segment_distance(rho, z, r, -d, r + w, 0.0))
        inside &= w * (z + d) < d * (rho - r)
    return np.where(inside, -dist, dist)


def outline_distance(x, y, outline):
    """Distance to the outline and whether the point lies within it."""
    if "circle" in outline:
        cx, cy, r = outline["circle"]
        rho = np.hypot(x - cx, y - cy)
        return np.abs(rho - r), rho < r
    p = np.asarray(outline["polygon"])
    q = np.roll(p, -1, axis=0)
    px, py = x[:, None], y[:, None]
    dist = segment_distance(px, py, p[:, 0], p[:, 1], q[:, 0], q[:, 1]).min(axis=1)
    crosses = (p[:, 1] > py) != (q[:, 1] > py)
    dy = np.where(q[:, 1] == p[:, 1], 1.0, q[:, 1] - p[:, 1])
    at = p[:, 0] + (py - p[:, 1]) * (q[:, 0] - p[:, 0]) / dy
    return dist, (np.sum(crosses & (px < at), axis=1) % 2) == 1


def sd_plate(points, plate):
    """Signed distance of points to the infinite plate with its opening."""
    z0, z1 = plate["z0"], plate["z1"]
    z = points[:, 2]
    across, within = outline_distance(points[:, 0], points[:, 1], plate["outline"])
    beyond = np.maximum(np.maximum(z0 - z, z - z1), 0.0)
    outside = np.hypot(np.where(within, across, 0.0), beyond)
    depth = np.minimum(np.minimum(z - z0, z1 - z), across)
    return np.where(~within & (z > z0) & (z < z1), -depth, outside)


def sd_obstacle(points, case):
    return sd_block(points, case["block"]) if "block" in case else sd_plate(points, case["plate"])


# Curves: ("circle", name, centre, unit u, unit v, radius) or ("segment", name, start, end).


def valve_rings(valve, lift):
    a = axis_direction(valve)
    u = np.cross(a, [0.0, 1.0, 0.0])
    u /= np.linalg.norm(u)
    v = np.cross(a, u)
    base = face_centre(valve, lift)
    prof = valve_profile(valve)
    names = ("face rim", "upper rim", "stem ring")
    return [("circle", n, base + h * a, u, v, r) for n, (r, h) in zip(names, prof[1:4])]


def obstacle_edges(case):
    ex, ey = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    if "block" in case:
        b = case["block"]
        rings = [("deck edge", b["R"] + b["w"], 0.0)]
        if b["w"] > 0.0:
            rings.append(("chamfer foot", b["R"], -b["d"]))
        return [("circle", n, np.array([0.0, 0.0, z]), ex, ey, r) for n, r, z in rings]
    plate = case["plate"]
    levels = (("lower edge", plate["z0"]), ("upper edge", plate["z1"]))
    if "circle" in plate["outline"]:
        cx, cy, r = plate["outline"]["circle"]
        return [("circle", n, np.array([cx, cy, z]), ex, ey, r) for n, z in levels]
    p = np.asarray(plate["outline"]["polygon"])
    edges = []
    for a, b in zip(p, np.roll(p, -1, axis=0)):
        edges += [("segment", n, np.array([*a, z]), np.array([*b, z])) for n, z in levels]
    edges += [
        ("segment", "corner post", np.array([*c, plate["z0"]]), np.array([*c, plate["z1"]]))
        for c in protruding_corners(p)
    ]
    return edges


def protruding_corners(p):
    """Corners where the material juts into the opening: the reflex ones of the outline."""
    before, after = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    area = np.sum(p[:, 0] * np.roll(p[:, 1], -1) - p[:, 1] * np.roll(p[:, 0], -1))
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return p[cross * np.sign(area) < 0.0]


class Curves:
    """A family of curves stacked in arrays, so that many parameters on many curves are evaluated at once."""

    def __init__(self, curves):
        self.names = [c[1] for c in curves]
        self.circle = np.array([c[0] == "circle" for c in curves])
        z = np.zeros(3)
        self.o = np.array([c[2] for c in curves])
        self.u = np.array([c[3] if c[0] == "circle" else c[3] - c[2] for c in curves])
        self.v = np.array([c[4] if c[0] == "circle" else z for c in curves])
        self.r = np.array([c[5] if c[0] == "circle" else 1.0 for c in curves])
        lengths = np.array([2 * np.pi * c[5] if c[0] == "circle" else np.linalg.norm(c[3] - c[2]) for c in curves])
        self.length = lengths

    def at(self, k, t):
        """Points on curves k at t in [0, 1]."""
        c = self.circle[k]
        ang = 2.0 * np.pi * t
        cu = np.where(c, self.r[k] * np.cos(ang), t)
        cv = np.where(c, self.r[k] * np.sin(ang), 0.0)
        return self.o[k] + cu[:, None] * self.u[k] + cv[:, None] * self.v[k]


def least_on(curves, sd, start_mm=1.5, splits=(12, 12)):
    """Least value of sd over the curves: (value, point, curve name)."""
    n = np.maximum(4, np.ceil(curves.length / start_mm).astype(int))
    k = np.repeat(np.arange(len(n)), n)
    half = 0.5 / n[k]
    t = np.concatenate([(np.arange(i) + 0.5) / i for i in n])
    f = sd(curves.at(k, t))
    for split in splits:
        keep = f - half * curves.length[k] <= f.min()
        k, t, half = k[keep], t[keep], half[keep]
        offsets = (2.0 * np.arange(split) + 1.0) / split - 1.0
        t = (t[:, None] + half[:, None] * offsets).ravel()
        k, half = np.repeat(k, split), np.repeat(half / split, split)
        f = sd(curves.at(k, t))
    keep = f - half * curves.length[k] <= f.min()
    k, lo, hi = k[keep], (t - half)[keep], (t + half)[keep]
    x1, x2 = hi - GOLDEN * (hi - lo), lo + GOLDEN * (hi - lo)
    f1, f2 = sd(curves.at(k, x1)), sd(curves.at(k, x2))
    for _ in range(34):
        left = f1 < f2
        hi, lo = np.where(left, x2, hi), np.where(left, lo, x1)
        x = np.where(left, hi - GOLDEN * (hi - lo), lo + GOLDEN * (hi - lo))
        fx = sd(curves.at(k, x))
        x1, x2 = np.where(left, x, x2), np.where(left, x1, x)
        f1, f2 = np.where(left, fx, f2), np.where(left, f1, fx)
    # The ends as well: a kink (a polygon corner, a segment end) may sit exactly there.
    ts = np.concatenate([x1, lo, hi])
    ks = np.tile(k, 3)
    p = curves.at(ks, ts)
    fs = sd(p)
    i = int(np.argmin(fs))
    return fs[i], p[i], curves.names[ks[i]]


def sampled_gap(case, lift):
    """Signed gap, the deciding point, and the name of the curve it lies on."""
    valve = case["valve"]
    on_rings = least_on(Curves(valve_rings(valve, lift)), lambda p: sd_obstacle(p, case))
    on_edges = least_on(case_edges(case), lambda p: sd_valve(p, valve, lift))
    return min(on_rings, on_edges, key=lambda r: r[0])


def case_edges(case):
    key = "_edges"
    if key not in case:
        case[key] = Curves(obstacle_edges(case))
    return case[key]

"""Gaps between one valve and the piston standing under it. Leaves out when (see `least_over_cycle.py`) and the second valve's pocket.

Piston frame: the bore frame moved so that the crown plane is z = 0. Material: z <= 0 outside the pocket, which is h > 0 and r < R with
h the height above the floor along the pocket's axis and r the distance from that axis. A leaning, shallow pocket runs out of the crown:
its mouth is then an ellipse cut off by the straight line where floor and crown meet.
"""

import pathlib
import sys

import numpy as np

sys.path.append(str(pathlib.Path(__file__).parent.parent / "fit_valve_gap"))
from gap_by_sampling import GOLDEN, axis_direction, face_centre, sd_valve, valve_profile  # noqa: E402

NEVER = 1.0e3
SAMPLE_MM = 0.2
MOST_BRACKETS = 300


class Arcs:
    """Curves o + cos(f) u + sin(f) v + t s, f and t running together from the first to the last of `span` and of [0, 1]."""

    def __init__(self, rows):
        self.names = [r[0] for r in rows]
        self.o, self.u, self.v, self.s = (np.array([r[i] for r in rows]) for i in (1, 2, 3, 4))
        self.span = np.array([r[5] for r in rows])
        turn = self.span[:, 1] - self.span[:, 0]
        radius = np.maximum(np.linalg.norm(self.u, axis=1), np.linalg.norm(self.v, axis=1))
        self.length = turn * radius + np.linalg.norm(self.s, axis=1)

    def at(self, k, t):
        f = self.span[k, 0] + t * (self.span[k, 1] - self.span[k, 0])
        return self.o[k] + np.cos(f)[:, None] * self.u[k] + np.sin(f)[:, None] * self.v[k] + t[:, None] * self.s[k]


ZERO = np.zeros(3)
TURN = (0.0, 2.0 * np.pi)


def across(a):
    """Two unit vectors square to a and to each other."""
    u = np.cross(a, [0.0, 1.0, 0.0])
    u /= np.linalg.norm(u)
    return u, np.cross(a, u)


class Piston:
    """Crown plane with at most one pocket, in the piston frame."""

    def __init__(self, pocket):
        self.pocket = pocket
        if pocket is None:
            return
        self.a = axis_direction(pocket)
        self.radius = pocket["r"]
        self.floor = np.array([pocket["x"], pocket["y"], -pocket["depth"] * self.a[2]])
        self.mouth = self.mouth_edges()

    def in_pocket_frame(self, p):
        rel = p - self.floor
        h = rel @ self.a
        radial = rel - h[:, None] * self.a
        return h, radial, np.linalg.norm(radial, axis=1)

    def in_mouth(self, p):
        """Whether the point of the crown plane at (x, y) of p, already at z = 0, is open."""
        if self.pocket is None:
            return np.zeros(len(p), bool)
        h, _, r = self.in_pocket_frame(p)
        return (h > 0.0) & (r < self.radius)

    def mouth_edges(self):
        """Sharp edges: the arc of ellipse where the wall meets the crown, and the chord where the floor does."""
        a, radius = self.a, self.radius
        u, v = across(a)
        # Wall point F + R (cos f u + sin f v) + h a lies in the crown plane at h = depth - R (cos f u_z + sin f v_z) / a_z.
        centre = self.floor + self.pocket["depth"] * a
        eu, ev = radius * (u - a * u[2] / a[2]), radius * (v - a * v[2] / a[2])
        lean = radius * np.hypot(u[2], v[2]) / a[2]
        if lean <= self.pocket["depth"]:
            return [("mouth", centre, eu, ev, ZERO, TURN)]
        # h > 0 where lean cos(f - f0) < depth: an arc about f0 + pi; the chord joins its ends.
        f0, half = np.arctan2(v[2], u[2]), np.arccos(self.pocket["depth"] / lean)
        first, last = f0 + half, f0 + 2.0 * np.pi - half
        ends = [centre + np.cos(f) * eu + np.sin(f) * ev for f in (first, last)]
        return [("mouth", centre, eu, ev, ZERO, (first, last)), ("mouth", ends[0], ZERO, ZERO, ends[1] - ends[0], (0.0, 0.0))]

    def signed_distance(self, p):
        """Signed distance to the material; in the open only feet within faces count (`NEVER` if there is none), edges being searched apart."""
        z = p[:, 2]
        foot = p * [1.0, 1.0, 0.0]
        over_crown = ~self.in_mouth(foot)
        if self.pocket is None:
            return z
        h, radial, r = self.in_pocket_frame(p)
        in_cup = (h > 0.0) & (r < self.radius)
        free = (z > 0.0) | in_cup
        unit_z = radial[:, 2] / np.where(r > 0.0, r, 1.0)
        wall_foot_z = z + (self.radius - r) * unit_z
        floor_foot_z = z - h * self.a[2]
        corner_z = floor_foot_z + (self.radius - r) * unit_z
        out = np.full(len(p), NEVER)
        out = np.where((z >= 0.0) & over_crown, np.minimum(out, z), out)
        out = np.where(in_cup & (wall_foot_z <= 0.0), np.minimum(out, self.radius - r), out)
        out = np.where(in_cup & (floor_foot_z <= 0.0), np.minimum(out, h), out)
        deep = np.where(over_crown, -z, NEVER)
        deep = np.where((h >= 0.0) & (wall_foot_z <= 0.0), np.minimum(deep, np.abs(r - self.radius)), deep)
        deep = np.where((r <= self.radius) & (floor_foot_z <= 0.0), np.minimum(deep, np.abs(h)), deep)
        deep = np.where((h < 0.0) & (r > self.radius) & (corner_z <= 0.0), np.minimum(deep, np.hypot(h, r - self.radius)), deep)
        lost = ~free & (deep >= NEVER)
        if lost.any():
            deep[lost] = self.distance_to_mouth(p[lost])
        return np.where(free, out, -deep)

    def distance_bound(self, p):
        """A value the true signed distance is never below, also where its nearest point is on an edge."""
        value = self.signed_distance(p)
        if self.pocket is None:
            return value
        h, _, r = self.in_pocket_frame(p)
        to_leave_cup = np.minimum(self.radius - r, h)
        return np.where(value > 0.0, np.maximum(to_leave_cup, p[:, 2]), value)

    def distance_to_mouth(self, p):
        arcs = Arcs(self.mouth)
        t = np.linspace(0.0, 1.0, 4001)
        edge = np.concatenate([arcs.at(np.full(len(t), k), t) for k in range(len(arcs.names))])
        return np.array([np.linalg.norm(edge - q, axis=1).min() for q in p])

    def travel_to_material(self, p, d):
        """How far points go along the downward unit vector d to the material; for points in it, minus how far back to the open."""
        z = p[:, 2]
        to_crown = z / -d[2]
        if self.pocket is None:
            return to_crown
        h, radial, r = self.in_pocket_frame(p)
        in_cup = (h > 0.0) & (r < self.radius)
        free = (z > 0.0) | in_cup
        start = np.where((z > 0.0)[:, None], p + to_crown[:, None] * d, p)
        at_crown = np.where(z > 0.0, to_crown, 0.0)
        open_below = np.where(z > 0.0, self.in_mouth(start * [1.0, 1.0, 0.0]), True)
        down = np.where(open_below, at_crown + self.way_out_of_cup(start, d)[1], at_crown)
        enter, leave = self.way_out_of_cup(p, -d)
        enter = np.where((enter < leave) & (leave > 0.0), np.maximum(enter, 0.0), NEVER)
        back = np.minimum(-to_crown, enter)
        return np.where(free, down, -back)

    def way_out_of_cup(self, p, d):
        """Parameters at which the line p + t d enters and leaves the endless cup h > 0, r < R."""
        h, radial, _ = self.in_pocket_frame(p)
        dh = d @ self.a
        dr = d - dh * self.a
        qa, qb, qc = dr @ dr, radial @ dr, np.sum(radial * radial, axis=1) - self.radius**2
        if qa > 1e-18:
            disc = qb * qb - qa * qc
            root = np.sqrt(np.maximum(disc, 0.0))
            lo, hi = np.where(disc > 0.0, (-qb - root) / qa, NEVER), np.where(disc > 0.0, (-qb + root) / qa, -NEVER)
        else:
            lo, hi = np.where(qc < 0.0, -NEVER, NEVER), np.where(qc < 0.0, NEVER, -NEVER)
        at_floor = -h / dh
        return (np.maximum(lo, at_floor), hi) if dh > 0.0 else (lo, np.minimum(hi, at_floor))


def rings(valve, lift, crown):
    a = axis_direction(valve)
    u, v = across(a)
    base = face_centre(valve, lift) - [0.0, 0.0, crown]
    prof = valve_profile(valve)[1:4]
    return [(n, base + h * a, r * u, r * v, ZERO, TURN) for n, (r, h) in zip(("face rim", "upper rim", "stem ring"), prof)]


def lowest_point(valve, lift, crown):
    """Height of the lowest point of the valve over the crown plane: a lower bound for every gap while it is positive."""
    a = axis_direction(valve)
    return face_centre(valve, lift)[2] - crown - valve["rv"] * np.sqrt(1.0 - a[2] ** 2)


def travel_from_edge(p, valve, lift, d):
    """How far along -d from points p the underside of the valve (face or margin) is; negative where p is past it."""
    a = axis_direction(valve)
    rel = p - face_centre(valve, lift)
    up = -d
    h, rate = rel @ a, up @ a
    t_face = -h / rate
    on_face = rel + t_face[:, None] * up
    hits_face = np.linalg.norm(on_face, axis=1) <= valve["rv"]
    out = np.where(hits_face, t_face, NEVER)
    radial, dr = rel - h[:, None] * a, up - rate * a
    qa, qb, qc = dr @ dr, radial @ dr, np.sum(radial * radial, axis=1) - valve["rv"] ** 2
    if qa > 1e-18:
        disc = qb * qb - qa * qc
        t = (-qb - np.sqrt(np.maximum(disc, 0.0))) / qa
        ht = h + t * rate
        hits_margin = (disc > 0.0) & (ht >= 0.0) & (ht <= valve["m"])
        out = np.where(hits_margin & ~hits_face, t, out)
    return out


def least_on(arcs, f, bound=None, known=np.inf, rough=False, start_mm=2.0):
    """Least value of a signed distance f over the curves and its point, or `known` and None if nothing is below that.

    A signed distance changes by no more than the point moves, so an interval of half-length s whose middle has f >= bound cannot hold
    less than bound - s. What that leaves is polished by golden section; `rough` stops before, some hundredths of a millimetre high.
    """
    bound = bound or f
    n = np.maximum(8, np.ceil(arcs.length / start_mm).astype(int))
    k = np.repeat(np.arange(len(n)), n)
    half = 0.5 / n[k]
    t = np.concatenate([(np.arange(i) + 0.5) / i for i in n])
    for split in (10, None) if rough else (10, 10, None):
        p = arcs.at(k, t)
        value = f(p)
        known = min(known, value.min())
        floor = bound(p) - half * arcs.length[k]
        keep = np.flatnonzero(floor <= known)
        if split is None or len(keep) == 0:
            break
        k, t, half = k[keep], t[keep], half[keep]
        offsets = (2.0 * np.arange(split) + 1.0) / split - 1.0
        t = (t[:, None] + half[:, None] * offsets).ravel()
        k, half = np.repeat(k, split), np.repeat(half / split, split)
    if rough or len(keep) == 0:
        return known, None
    # On a level ring everything is kept, each interval as good as the next.
    keep = keep[np.argsort(value[keep], kind="stable")[:MOST_BRACKETS]]
    return polished(arcs, f, k[keep], (t - half)[keep], (t + half)[keep])


def least_travel_on(arcs, f, rough=False):
    """Least value of a travel f over the curves: samples every `SAMPLE_MM`, then, unless `rough`, golden section about each low one."""
    n = np.maximum(16, np.ceil(arcs.length / SAMPLE_MM).astype(int))
    k = np.repeat(np.arange(len(n)), n + 1)
    t = np.concatenate([np.linspace(0.0, 1.0, i + 1) for i in n])
    step = 1.0 / n[k]
    v = f(arcs.at(k, t))
    if rough:
        return v.min(), None
    dip = (v <= np.where(t > 0.0, np.roll(v, 1), np.inf)) & (v <= np.where(t < 1.0, np.roll(v, -1), np.inf))
    i = np.flatnonzero(dip & (v <= v.min() + 4.0 * SAMPLE_MM))
    i = i[np.argsort(v[i], kind="stable")[:MOST_BRACKETS]]
    return polished(arcs, f, k[i], np.maximum(t - step, 0.0)[i], np.minimum(t + step, 1.0)[i])


def polished(arcs, f, k, lo, hi):
    """Golden section in every bracket at once; the least value and its point."""
    x1, x2 = hi - GOLDEN * (hi - lo), lo + GOLDEN * (hi - lo)
    f1, f2 = f(arcs.at(k, x1)), f(arcs.at(k, x2))
    for _ in range(int(np.ceil(np.log((hi - lo).max() / 1e-9) / -np.log(GOLDEN)))):
        below = f1 < f2
        hi, lo = np.where(below, x2, hi), np.where(below, lo, x1)
        x = np.where(below, hi - GOLDEN * (hi - lo), lo + GOLDEN * (hi - lo))
        fx = f(arcs.at(k, x))
        x1, x2 = np.where(below, x, x2), np.where(below, x1, x)
        f1, f2 = np.where(below, fx, f2), np.where(below, f1, fx)
    k, t = np.tile(k, 4), np.concatenate([x1, x2, lo, hi])
    p = arcs.at(k, t)
    values = f(p)
    i = int(np.argmin(values))
    return values[i], p[i]


def distance(valve, piston, lift, crown, rough=False):
    """Signed gap, as in ../fit_valve_gap: the true distance, or minus the deepest ring or edge point."""
    known = np.inf
    if piston.pocket is not None:
        lowered = {**valve, "z_seated": valve["z_seated"] - crown}
        known = least_on(Arcs(piston.mouth), lambda q: sd_valve(q, lowered, lift), rough=rough)[0]
    on_rings = least_on(Arcs(rings(valve, lift, crown)), piston.signed_distance, piston.distance_bound, known, rough)[0]
    return min(on_rings, known)


def travel_gap(valve, piston, lift, crown, d, rough):
    """Least travel along the downward unit vector d that brings valve and piston together.

    While the bodies are apart, an edge point past the face, behind the seat and not in the valve, does not count: the valve has passed under
    that edge, not into it. Once they cross it does, for the valve must come back past it.
    """
    on_rings = least_travel_on(Arcs(rings(valve, lift, crown)), lambda p: piston.travel_to_material(p, d), rough)[0]
    if piston.pocket is None:
        return on_rings
    lowered = {**valve, "z_seated": valve["z_seated"] - crown}

    def to_underside(q):
        return travel_from_edge(q, lowered, lift, d)

    def to_underside_unless_behind(q):
        travel = to_underside(q)
        return np.where((travel < 0.0) & (sd_valve(q, lowered, lift) > 0.0), NEVER, travel)

    apart = min(on_rings, least_travel_on(Arcs(piston.mouth), to_underside_unless_behind, rough)[0])
    return apart if apart >= 0.0 else min(apart, least_travel_on(Arcs(piston.mouth), to_underside, rough)[0])


def vertical(valve, piston, lift, crown, rough=False):
    return travel_gap(valve, piston, lift, crown, np.array([0.0, 0.0, -1.0]), rough)


def axial(valve, piston, lift, crown, rough=False):
    return travel_gap(valve, piston, lift, crown, -axis_direction(valve), rough)


def radial(valve, piston, lift, crown):
    """Pocket radius less the farthest distance from the pocket's axis of any point of the margin at or below the crown plane."""
    if piston.pocket is None:
        return NEVER
    a = axis_direction(valve)
    u, v = across(a)
    base = face_centre(valve, lift) - [0.0, 0.0, crown]

    def room(f):
        p = base + valve["rv"] * (np.cos(f)[:, None] * u + np.sin(f)[:, None] * v)
        reach = np.minimum(valve["m"], -p[:, 2] / a[2])
        ends = np.minimum(
            piston.radius - piston.in_pocket_frame(p)[2],
            piston.radius - piston.in_pocket_frame(p + reach[:, None] * a)[2],
        )
        return np.where(p[:, 2] <= 0.0, ends, NEVER)

    f = np.linspace(0.0, 2.0 * np.pi, 721)
    values = room(f)
    if values.min() >= NEVER:
        lowest = np.array([np.arctan2(-v[2], -u[2])])
        return room(lowest)[0]
    i = int(np.argmin(values))
    lo, hi = f[i] - (f[1] - f[0]), f[i] + (f[1] - f[0])
    for _ in range(6):
        fine = np.linspace(lo, hi, 41)
        values = room(fine)
        i = int(np.argmin(values))
        lo, hi = fine[max(i - 1, 0)], fine[min(i + 1, 40)]
    return values[i]

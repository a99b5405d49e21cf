"""Makes `leaning.json`: builds of `cases.json` with a piston that leans, a lofting exhaust valve and a chamber. See README.md, "Leaning".

    python make_leaning.py          needs NumPy alone; a few minutes of one core
"""

import json
import pathlib

import numpy as np

import piston_gap
from least_over_cycle import least_valve_to_piston, least_while_below
from piston_gap import Piston, axis_direction, face_centre
from valve_law import crown_height, lift_at

HERE = pathlib.Path(__file__).parent
SEED = 20263
IDS = range(0, 130, 3)
# Builds whose margin comes this near to the crown plane without clearly passing it are left out, mm.
BARELY_MM = 0.3
N_POINTS = 200_001


def turned(v, angle):
    """A vector of the bore frame in the frame of a piston that leans by `angle`, positive lowering its +y side."""
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([v[..., 0], c * v[..., 1] - s * v[..., 2], s * v[..., 1] + c * v[..., 2]], axis=-1)


def in_piston(case, p, crown, lean):
    pin = np.array([0.0, case["pin"][0], -case["pin"][1]])
    return pin + turned(p - [0.0, 0.0, crown] - pin, lean)


def in_bore(case, q, crown, lean):
    pin = np.array([0.0, case["pin"][0], -case["pin"][1]])
    return pin + turned(q - pin, -lean) + [0.0, 0.0, crown]


def leans(case):
    return -case["rock"], case["rock"]


def seen_by_piston(case, valve, lift, crown, lean):
    """The open valve as one that is shut, in the frame of the leaning piston with its crown plane at z = 0."""
    centre = in_piston(case, face_centre(valve, lift), crown, lean)
    a = turned(axis_direction(valve), lean)
    tilts = np.degrees(np.arctan2(a[:2], a[2]))
    return {**valve, "x": centre[0], "y": centre[1], "z_seated": centre[2], "tilt_x": tilts[0], "tilt_y": tilts[1]}


def least_to_piston(case, valve, name):
    """Least gap over the cycle with the piston leaning its whole way to the worse side, and its angle."""

    def gap(valve, piston, lift, crown, **rough):
        seen = (seen_by_piston(case, valve, lift, crown, lean) for lean in leans(case))
        return min(getattr(piston_gap, name)(v, piston, 0.0, 0.0, **rough) for v in seen)

    piston = Piston(valve["pocket"])
    find = least_while_below if name == "radial" else least_valve_to_piston
    return find(case, valve, piston, gap, lambda v, lift, crown: lowest(case, v, lift, crown))


def lowest(case, valve, lift, crown):
    return min(piston_gap.lowest_point(seen_by_piston(case, valve, lift, crown, lean), 0.0, 0.0) for lean in leans(case))


def barely_reaches(case, valve):
    theta = np.arange(0.0, 720.0, 1.0)
    return abs(min(lowest(case, valve, lift_at(valve["lift"], t), crown_height(case, t)) for t in theta)) < BARELY_MM


def to_polygon(points, u, z):
    """Signed distance of points of the half plane to a solid of revolution given by its outline from below the edge up to the axis."""
    best = np.full(np.shape(u), np.inf)
    for (ua, za), (ub, zb) in zip(points, points[1:]):
        du, dz = ub - ua, zb - za
        t = np.clip(((u - ua) * du + (z - za) * dz) / (du * du + dz * dz), 0.0, 1.0)
        best = np.minimum(best, np.hypot(u - ua - t * du, z - za - t * dz))
    top = np.interp(u, [p[0] for p in points[::-1]], [p[1] for p in points[::-1]])
    inside = (z < top) & (u < points[0][0])
    return np.where(inside, -best, best)


def to_wall(case, p):
    """Signed distance to the head outside its round chamber: u > 0 between the face and the wall's height."""
    chamber = case["chamber"]
    low, high = case["gasket"], case["gasket"] + chamber["height"]
    u = np.hypot(p[:, 0] - chamber["x"], p[:, 1] - chamber["y"]) - chamber["r"]
    out = np.hypot(np.maximum(-u, 0.0), np.maximum(np.maximum(low - p[:, 2], p[:, 2] - high), 0.0))
    deep = np.minimum(np.minimum(u, p[:, 2] - low), high - p[:, 2])
    return np.where((u > 0.0) & (low < p[:, 2]) & (p[:, 2] < high), -deep, out)


def edge_to_chamber(case):
    """Edges of the piston against the wall and edges of the wall against the piston, point by point, at the top."""
    crown = crown_height(case, 0.0)
    f = np.linspace(0.0, 2.0 * np.pi, N_POINTS)
    round_ = np.stack([np.cos(f), np.sin(f), np.zeros_like(f)], axis=1)
    radius, dome, chamber = case["piston_radius"], case["dome"], case["chamber"]
    outline = [(radius, -50.0), (radius, 0.0)]
    if dome:
        outline += [(dome["base"], 0.0), (dome["top"], dome["height"]), (0.0, dome["height"])]
    else:
        outline += [(0.0, 0.0)]
    least = np.inf
    for lean in leans(case):
        for u, z in outline[1:-1]:
            edge = in_bore(case, round_ * u + [0.0, 0.0, z], crown, lean)
            least = min(least, to_wall(case, edge).min())
        for z in (case["gasket"], case["gasket"] + chamber["height"]):
            edge = round_ * chamber["r"] + [chamber["x"], chamber["y"], z]
            q = in_piston(case, edge, crown, lean)
            least = min(least, to_polygon(outline, np.hypot(q[:, 0], q[:, 1]), q[:, 2]).min())
    return least


def make(case, rng):
    radius = round(float(rng.uniform(32.0, 48.0)), 4)
    changed = {key: case[key] for key in ("id", "crank", "deck_offset", "gasket")}
    changed |= {
        "rock": round(float(rng.uniform(0.0005, 0.004)), 6),
        "pin": [case["crank"]["pin_offset"], round(float(rng.uniform(22.0, 42.0)), 4)],
        "piston_radius": radius,
        "dome": None,
        "chamber": {
            "x": round(float(rng.uniform(-1.0, 1.0)), 4),
            "y": round(float(rng.uniform(-1.0, 1.0)), 4),
            "r": round(radius + float(rng.uniform(-4.0, 3.0)), 4),
            "height": round(float(rng.uniform(2.0, 6.0)), 4),
        },
    }
    if rng.random() < 0.4:
        base = min(radius, changed["chamber"]["r"]) - float(rng.uniform(1.5, 3.0))
        top = base - float(rng.uniform(0.5, 4.0))
        changed["dome"] = {"base": round(base, 4), "top": round(top, 4), "height": round(float(rng.uniform(0.5, 3.0)), 4)}
    one, two = case["valves"]
    # The intake's phaser turns it earlier, the exhaust lofts.
    earlier = round(float(rng.uniform(0.0, 12.0)), 3)
    loft = round(float(rng.uniform(0.0, 0.6)), 4)
    changed["valves"] = [
        {**one, "lift": {**one["lift"], "peak": round(one["lift"]["peak"] - earlier, 4)}},
        {**two, "lift": {**two["lift"], "loft": loft}},
    ]
    if any(barely_reaches(changed, valve) for valve in changed["valves"]):
        return None
    changed["valve_to_piston"] = []
    for valve in changed["valves"]:
        least = {name: least_to_piston(changed, valve, name) for name in ("distance", "axial")}
        least["radial"] = least_to_piston(changed, valve, "radial") if valve["pocket"] else None
        changed["valve_to_piston"].append({key: tidy(pair) for key, pair in least.items()})
    changed["piston_edge"] = round(float(edge_to_chamber(changed)), 7)
    return changed


def tidy(pair):
    return None if pair is None else [round(float(pair[0]), 7), None if pair[1] is None else round(float(pair[1]), 5)]


def main():
    cases = json.loads((HERE / "cases.json").read_text())["cases"]
    made = []
    for n in IDS:
        case = make(cases[n], np.random.default_rng([SEED, n]))
        if case is not None:
            made.append(case)
            print(n, case["valve_to_piston"], case["piston_edge"], flush=True)
    lines = ",\n".join(json.dumps(case, separators=(",", ":")) for case in made)
    (HERE / "leaning.json").write_text('{"unit":"mm, deg, rad","cases":[\n' + lines + "\n]}\n")


if __name__ == "__main__":
    main()

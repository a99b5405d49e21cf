"""Random valves and obstacles of invented engines: one case dictionary at a time. Leaves out every gap.

Lengths in mm, angles in degrees, bore frame: z up towards the head, deck at z = 0, bore axis = z axis. All inputs are rounded to
four decimals before anything is computed from them, so the file holds exactly what was solved.
"""

import numpy as np

from gap_by_sampling import axis_direction

KINDS = ("block", "gasket circle", "gasket polygon", "chamber circle", "chamber polygon")


def rounded(value):
    return round(float(value), 4)


def random_tilts(rng):
    """Tilt of the valve axis in the x-z and y-z planes; exact zeros are common on real heads."""
    style = rng.choice(["upright", "x only", "y only", "both"], p=[0.2, 0.15, 0.15, 0.5])
    tx, ty = rng.uniform(-30.0, 30.0, 2)
    if style in ("upright", "y only"):
        tx = 0.0
    if style in ("upright", "x only"):
        ty = 0.0
    return rounded(tx), rounded(ty)


def random_valve(rng, bore_radius):
    seat = rng.choice([45.0, 45.0, 30.0, 46.0, rng.uniform(30.0, 46.0)])
    tilt_x, tilt_y = random_tilts(rng)
    return {
        "rv": rounded(rng.uniform(9.0, min(30.0, 0.58 * bore_radius))),
        "m": rounded(rng.uniform(0.8, 2.5)),
        "seat": rounded(seat),
        "rs": rounded(0.5 * rng.uniform(4.5, 9.0)),
        "x": 0.0,
        "y": 0.0,
        "z_seated": 0.0,
        "tilt_x": tilt_x,
        "tilt_y": tilt_y,
    }


def random_chamfer(rng):
    """Radial width and depth of the deck chamfer; none in four of ten."""
    if rng.random() < 0.4:
        return 0.0, 0.0
    width, angle = rng.uniform(0.3, 2.0), rng.uniform(15.0, 60.0)
    return rounded(width), rounded(width / np.tan(np.radians(angle)))


def random_polygon(rng, radius):
    """A simple polygon about the bore axis, star-shaped from its centre, so it never crosses itself."""
    n = int(rng.integers(8, 61))
    ang = np.sort((np.arange(n) + rng.uniform(-0.35, 0.35, n)) * 2.0 * np.pi / n)
    style = rng.choice(["ragged", "notched", "oval", "heart"])
    r = np.full(n, radius)
    if style == "ragged":
        r = radius * (1.0 + rng.uniform(-0.03, 0.05, n))
    elif style == "notched":
        for _ in range(rng.integers(1, 4)):
            away = np.angle(np.exp(1j * (ang - rng.uniform(0.0, 2.0 * np.pi))))
            r = r - radius * rng.uniform(0.05, 0.2) * np.exp(-((away / rng.uniform(0.1, 0.35)) ** 2))
    elif style == "oval":
        turn, flat = rng.uniform(0.0, np.pi), rng.uniform(0.8, 1.0)
        r = radius / np.hypot(np.cos(ang - turn), np.sin(ang - turn) / flat)
    else:
        turn, apart = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(0.15, 0.4)
        c = apart * np.abs(np.cos(ang - turn))
        r = radius * (c + np.sqrt(1.0 - apart**2 + c**2)) / (1.0 + 0.3 * apart)
    points = np.c_[r * np.cos(ang), r * np.sin(ang)] + rng.uniform(-1.5, 1.5, 2)
    if rng.random() < 0.25:
        points = points[::-1]
    return [[rounded(x), rounded(y)] for x, y in points]


def random_outline(rng, shape, radius):
    if shape == "circle":
        cx, cy = rng.uniform(-1.5, 1.5, 2)
        return {"circle": [rounded(cx), rounded(cy), rounded(radius)]}
    return {"polygon": random_polygon(rng, radius)}


def random_obstacle(rng, kind, bore_radius, gasket):
    """Key and body of the obstacle, and the radius it leaves open."""
    if kind == "block":
        w, d = random_chamfer(rng)
        return "block", {"R": rounded(bore_radius), "w": w, "d": d}, bore_radius
    place, shape = kind.split()
    if place == "gasket":
        radius, z0, z1 = bore_radius + rng.uniform(-1.0, 3.0), 0.0, gasket
    else:
        radius, z0, z1 = bore_radius * rng.uniform(0.8, 1.05), gasket, gasket + rng.uniform(6.0, 22.0)
    return "plate", {"z0": rounded(z0), "z1": rounded(z1), "outline": random_outline(rng, shape, radius)}, radius


def random_case(rng, kind):
    """One case: the rim reaches to within -3 to 3 mm of the opening's radius at some lift of its travel."""
    bore_radius = rng.uniform(27.5, 55.0)
    gasket, recess, travel = rng.uniform(0.3, 2.5), rng.uniform(-2.0, 6.0), rng.uniform(6.0, 18.0)
    valve = random_valve(rng, bore_radius)
    key, body, open_radius = random_obstacle(rng, kind, bore_radius, gasket)
    a = axis_direction(valve)
    bearing = rng.uniform(0.0, 2.0 * np.pi)
    out, along = np.array([np.cos(bearing), np.sin(bearing)]), np.array([-np.sin(bearing), np.cos(bearing)])
    reach = valve["rv"] * np.sqrt(1.0 - (a[:2] @ out) ** 2)
    centre = out * (open_radius - reach - rng.uniform(-3.0, 3.0)) + along * rng.uniform(-3.0, 3.0)
    centre = centre + rng.uniform(0.0, travel) * a[:2]
    valve["x"], valve["y"], valve["z_seated"] = rounded(centre[0]), rounded(centre[1]), rounded(gasket + recess)
    lifts = np.sort(np.r_[0.0, rng.uniform(0.0, travel, 8), travel])
    return {"kind": kind, key: body, "valve": valve, "lifts": [rounded(v) for v in lifts]}

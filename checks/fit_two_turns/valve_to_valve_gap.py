"""Gap between two valves, both anywhere on their travel. Leaves out when (see `least_over_cycle.py`).

Apart: the distance. It is searched from every ring point of each valve to the body of the other, and proved afterwards: the heads are
convex, so the separation of their support planes along the line of the nearest pair is a lower bound. Interpenetrating: minus the
greatest depth of a ring point of either valve in the other.
"""

import numpy as np

from piston_gap import Arcs, axis_direction, face_centre, least_on, rings, sd_valve, valve_profile


def gap(one, lift_one, two, lift_two, rough=False):
    return witness(one, lift_one, two, lift_two, rough)[0]


def witness(one, lift_one, two, lift_two, rough=False):
    """Gap, the ring point, and whether it is on the first valve."""
    a = least_on(Arcs(rings(one, lift_one, 0.0)), lambda p: sd_valve(p, two, lift_two), rough=rough)
    b = least_on(Arcs(rings(two, lift_two, 0.0)), lambda p: sd_valve(p, one, lift_one), rough=rough)
    return (*a, True) if a[0] < b[0] else (*b, False)


def proven_lower_bound(one, lift_one, two, lift_two):
    """Separation of the two heads along the direction of the nearest pair found; equals the distance when that pair is right."""
    _, p, on_one = witness(one, lift_one, two, lift_two)
    other, lift = (two, lift_two) if on_one else (one, lift_one)
    step = 1e-5 * np.eye(3)
    n = (sd_valve(p + step, other, lift) - sd_valve(p - step, other, lift)) / 2e-5
    n = n / np.linalg.norm(n) * (-1.0 if on_one else 1.0)
    return -support(two, lift_two, -n) - support(one, lift_one, n)


def support(valve, lift, n):
    """Largest n . x over the head, the hull of its three rings."""
    a = axis_direction(valve)
    base = face_centre(valve, lift)
    square = np.sqrt(max(1.0 - (n @ a) ** 2, 0.0))
    return max(n @ (base + h * a) + r * square for r, h in valve_profile(valve)[1:4])

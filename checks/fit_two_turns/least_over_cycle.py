"""Least value of a gap over 720 degrees and the crank angle where it occurs. Leaves out what the gap is."""

import numpy as np

from piston_gap import NEVER
from valve_law import crown_height, lift_at

# An angle is given only where the gap rises by this much within 0.05 degrees to either side.
TELLING_RISE_MM = 2.0e-6
TELLING_ANGLE_DEG = 0.05
# Minima at different angles whose gaps are closer than this leave the angle open.
TIED_MM = 0.005
# A table of rough values may be this much high, and its dips this much above its least may hold the true least.
ROUGH_MM = 0.15
STEP_DEG = 1.0
FINEST_DEG = 4.0e-6
PLATEAU_DIPS = 12


def least_valve_to_piston(case, valve, piston, gap, lowest_point):
    """Least gap and angle. The valve's lowest point over the crown is a bound where positive and spares angles that cannot matter."""

    def state(theta):
        return lift_at(valve["lift"], theta), crown_height(case, theta)

    theta = np.arange(0.0, 720.0, STEP_DEG)
    bound = np.array([lowest_point(valve, *state(t)) for t in theta])
    values = np.full(len(theta), np.inf)
    best = np.inf
    for i in np.argsort(bound, kind="stable"):
        if bound[i] > max(0.0, best + 0.5):
            break
        values[i] = gap(valve, piston, *state(theta[i]), rough=True)
        best = min(best, values[i])
    return polish(lambda t: gap(valve, piston, *state(t)), theta, values, ROUGH_MM)


def least_while_below(case, valve, piston, radial, lowest_point):
    """Least radial gap over the angles at which some of the margin is at or below the crown plane; None if never."""

    def f(theta):
        lift, crown = lift_at(valve["lift"], theta), crown_height(case, theta)
        return radial(valve, piston, lift, crown) if lowest_point(valve, lift, crown) <= 0.0 else NEVER

    theta = np.arange(0.0, 720.0, 0.25)
    values = np.array([f(t) for t in theta])
    return polish(f, theta, values, 0.0) if values.min() < NEVER else None


def least_valve_to_valve(case, gap):
    """Least gap of the two valves. It changes by no more than the two lifts together, which rules out most angles."""
    one, two = case["valves"]

    def lifts(theta):
        return lift_at(one["lift"], theta), lift_at(two["lift"], theta)

    theta = np.arange(0.0, 720.0, STEP_DEG)
    l1, l2 = lifts(theta)
    values = np.full(len(theta), np.inf)
    for stride in (8, 2, 1):
        best = values.min()
        for i in range(0, len(theta), stride):
            if np.isfinite(values[i]):
                continue
            known = [j for j in (i - i % 8, i - i % 8 + 8, i - i % 2, i - i % 2 + 2) if j < len(theta) and np.isfinite(values[j])]
            if any(values[j] - abs(l1[i] - l1[j]) - abs(l2[i] - l2[j]) > best + 2.0 * ROUGH_MM for j in known):
                continue
            values[i] = gap(one, l1[i], two, l2[i], rough=True)

    def f(angle):
        lift_one, lift_two = lifts(angle)
        return gap(one, lift_one, two, lift_two)

    return polish(f, theta, values, ROUGH_MM)


def polish(f, theta, values, rough):
    """Golden section about every local minimum of the table that can be the least: (gap, angle), the angle None where it says nothing."""
    dips = np.flatnonzero((values <= np.roll(values, 1)) & (values <= np.roll(values, -1)) & (values < values.min() + 0.4 + rough))
    dips = dips[np.argsort(values[dips], kind="stable")]
    plateau = len(dips) > PLATEAU_DIPS
    step = theta[1] - theta[0]
    found = sorted(golden(f, *bracket(f, theta[i], step)) for i in dips[: 2 if plateau else None])
    gap, at = found[0]
    apart = [abs((other - at + 360.0) % 720.0 - 360.0) for g, other in found if g < gap + TIED_MM]
    rise = min(f(at - TELLING_ANGLE_DEG), f(at + TELLING_ANGLE_DEG)) - gap
    if plateau or max(apart) > 0.02 or rise < TELLING_RISE_MM:
        return gap, None
    return gap, at % 720.0


def bracket(f, at, step):
    """Ends of an interval with a lower exact value between them, walking downhill from the rough dip by whole steps."""
    left, middle, right = f(at - step), f(at), f(at + step)
    for _ in range(8):
        if left < middle:
            at, right, middle = at - step, middle, left
            left = f(at - step)
        elif right < middle:
            at, left, middle = at + step, middle, right
            right = f(at + step)
        else:
            break
    return at - step, at + step


def golden(f, lo, hi):
    ratio = (np.sqrt(5.0) - 1.0) / 2.0
    x1, x2 = hi - ratio * (hi - lo), lo + ratio * (hi - lo)
    f1, f2 = f(x1), f(x2)
    while hi - lo > FINEST_DEG:
        if f1 < f2:
            hi, x2, f2 = x2, x1, f1
            x1 = hi - ratio * (hi - lo)
            f1 = f(x1)
        else:
            lo, x1, f1 = x1, x2, f2
            x2 = lo + ratio * (hi - lo)
            f2 = f(x2)
    return min((f1, x1), (f2, x2))

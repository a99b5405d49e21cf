"""Smallest lift at which the gap reaches zero, from either gap function. Leaves out how a gap is found."""

import numpy as np
from scipy.optimize import brentq, minimize_scalar

SMALLEST_STEP_MM = 0.02
GRAZING_MM = 0.002


def touch_by_marching(gap, travel):
    """(first-contact lift or None, least gap over the travel up to contact or end), of a signed gap.

    The valve moves by the change of lift, so the gap changes by no more: stepping by the gap itself cannot pass a contact. Steps never
    shorter than `SMALLEST_STEP_MM` are made up for by a minimisation over each dip.
    """
    lifts, gaps = [0.0], [gap(0.0)]
    if gaps[0] <= 0.0:
        return 0.0, gaps[0]
    while lifts[-1] < travel:
        lifts.append(min(travel, lifts[-1] + max(gaps[-1], SMALLEST_STEP_MM)))
        gaps.append(gap(lifts[-1]))
        if gaps[-1] <= 0.0:
            return brentq(gap, lifts[-2], lifts[-1], xtol=1e-11, rtol=1e-14), gaps[-1]
        if len(gaps) > 2 and gaps[-2] <= gaps[-1] and gaps[-2] <= gaps[-3] and gaps[-2] < 2.0 * SMALLEST_STEP_MM:
            dip = minimize_scalar(gap, bounds=(lifts[-3], lifts[-1]), method="bounded", options={"xatol": 1e-9})
            if dip.fun <= 0.0:
                return brentq(gap, lifts[-3], dip.x, xtol=1e-11, rtol=1e-14), dip.fun
    i = int(np.argmin(gaps))
    lo, hi = lifts[max(i - 1, 0)], lifts[min(i + 1, len(lifts) - 1)]
    dip = minimize_scalar(gap, bounds=(lo, hi), method="bounded", options={"xatol": 1e-9})
    return None, min(dip.fun, gaps[i])


def touch_by_kernel(distance, signed_gap, near, travel):
    """First contact from the kernel's distance, which is zero past contact.

    Three distances at 0.1, 0.2 and 0.3 um of lift short of the expected contact are carried on to zero by inverse quadratic interpolation.
    Where they do not bracket it (a grazing touch) Brent's method runs on the distance, continued past contact by the sampled depth.
    """
    lifts = near - np.array([3e-4, 2e-4, 1e-4])
    if lifts[0] >= 0.0:
        d = [distance(v) for v in lifts]
        if d[0] > d[1] > d[2] > 0.0 and distance(min(near + 1e-4, travel)) <= 1e-7:
            return inverse_quadratic(lifts, d)

    def either(lift):
        d = distance(lift)
        return d if d > 1e-9 else signed_gap(lift)

    return brentq(either, max(near - 0.01, 0.0), min(near + 1e-3, travel), xtol=1e-9)


def inverse_quadratic(x, f):
    (x0, x1, x2), (f0, f1, f2) = x, f
    return (
        x0 * f1 * f2 / ((f0 - f1) * (f0 - f2))
        + x1 * f0 * f2 / ((f1 - f0) * (f1 - f2))
        + x2 * f0 * f1 / ((f2 - f0) * (f2 - f1))
    )

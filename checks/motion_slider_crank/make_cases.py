"""Writes cases.csv: piston motion by integrating the crank chain's rates. See README.md."""

import csv
import math

import mpmath
import numpy
from scipy.integrate import solve_ivp

CRANKS_MM = [
    (88.392, 144.78, 0.0),
    (86.0, 143.0, 0.0),
    (86.0, 143.0, 0.8),
    (86.0, 143.0, -0.8),
    (64.6, 110.5, 0.0),
    (64.6, 110.5, 1.2),
    (48.0, 101.0, -0.5),
    (101.6, 155.0, 1.5),
    (101.6, 155.0, 12.0),
    (76.2, 101.0, -10.0),
    (120.0, 190.0, 0.0),
    (57.0, 85.0, 2.0),
]
ANGLES_DEG = [0.5, 1, 2, 5, 7.75, 10, 12, 15, 20, 30, 45, 60, 75, 90, 105, 120, 150, 179, 200, 240, 270, 300, 345, 359]
INTEGRATION_IS_GOOD_TO = 2e-10


class IntegrationTooCoarse(Exception):
    """The integration is not as good as the check needs."""


def rates(a, state, r, l):
    f, _ = state
    df = r * math.cos(a) / (l * math.cos(f))
    return [df, r * math.sin(a) + l * math.sin(f) * df]


def second(a, f, r, l):
    df = r * math.cos(a) / (l * math.cos(f))
    ddf = (-r * math.sin(a) + l * math.sin(f) * df * df) / (l * math.cos(f))
    return r * math.cos(a) + l * math.cos(f) * df * df + l * math.sin(f) * ddf


def by_integration(stroke, rod, offset):
    """Rows of angle, drop and its two derivatives; the state is rod lean and drop."""
    r = stroke / 2
    top = math.asin(offset / (r + rod))
    throws = numpy.array([top + math.radians(deg) for deg in ANGLES_DEG])
    run = solve_ivp(
        rates, (top, throws[-1]), [-top, 0.0], method="DOP853", t_eval=throws, args=(r, rod), rtol=3e-14, atol=1e-16, max_step=0.02
    )
    for deg, a, f, drop in zip(ANGLES_DEG, run.t, run.y[0], run.y[1], strict=True):
        yield deg, drop, rates(a, (f, drop), r, rod)[1], second(a, f, r, rod)


def by_digits(stroke, rod, offset, deg):
    """The same in closed form with 40 digits."""
    mpmath.mp.dps = 40
    r, l, e = mpmath.mpf(stroke) / 2, mpmath.mpf(rod), mpmath.mpf(offset)
    top = mpmath.asin(e / (r + l))
    height = lambda a: r * mpmath.cos(a) + mpmath.sqrt(l**2 - (r * mpmath.sin(a) - e) ** 2)
    a = top + mpmath.mpf(deg) * mpmath.pi / 180
    return height(top) - height(a), -mpmath.diff(height, a), -mpmath.diff(height, a, 2)


def main():
    with open("cases.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["stroke_mm", "rod_mm", "offset_mm", "angle_deg", "drop_mm", "drop_mm_per_rad", "drop_mm_per_rad2"])
        worst = 0.0
        for crank in CRANKS_MM:
            for deg, *got in by_integration(*crank):
                scales = (got[0], crank[0] / 2, crank[0] / 2)
                for value, digits, scale in zip(got, by_digits(*crank, deg), scales, strict=True):
                    off = abs(float(value - digits)) / scale
                    worst = max(worst, off)
                    if off > INTEGRATION_IS_GOOD_TO:
                        raise IntegrationTooCoarse(f"{crank} at {deg} deg: {value} is off by {off}")
                out.writerow([*crank, deg, *(repr(float(value)) for value in got)])
    print(f"integration agrees with 40 digits to {worst:.1e}")


if __name__ == "__main__":
    main()

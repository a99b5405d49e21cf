"""Polynomials of the orifice end (crates/gas/src/network/orifice_fits.rs), fitted to the closed forms.

Needs numpy. Prints the constants and the largest error of each fit.
"""

import numpy as np

GAMMA = np.linspace(1.08, 1.67, 40)


def sonic_fall(g):
    """1 - p/p0 where gas from rest becomes sonic."""
    return 1 - (2 / (g + 1)) ** (g / (g - 1))


def flux_shape(x, g):
    """gamma/(gamma-1) (r^(2/gamma) - r^((gamma+1)/gamma)) / x with r = 1 - x."""
    r = 1 - np.maximum(x, 1e-9)
    return g / (g - 1) * (r ** (2 / g) - r ** ((g + 1) / g)) / np.maximum(x, 1e-9)


def density_shape(x, g):
    """(1 - r^(2/gamma)) / x."""
    x = np.maximum(x, 1e-9)
    return (1 - (1 - x) ** (2 / g)) / x


def mach_of_opening(phi, g):
    """Subsonic Mach number where the area is 1/phi of the sonic one."""
    low, high = np.zeros_like(phi), np.ones_like(phi)
    for _ in range(60):
        m = 0.5 * (low + high)
        f = m * (2 / (g + 1) * (1 + (g - 1) / 2 * m * m)) ** (-(g + 1) / (2 * (g - 1)))
        low, high = np.where(f < phi, m, low), np.where(f < phi, high, m)
    return 0.5 * (low + high)


def minimax(rows, wanted):
    """Least squares with weights drawn towards the largest errors."""
    rows, wanted = np.array(rows), np.array(wanted)
    weight = np.ones(len(wanted))
    for _ in range(60):
        c = np.linalg.lstsq(rows * weight[:, None], wanted * weight, rcond=None)[0]
        error = np.abs(rows @ c - wanted)
        weight *= (error / error.max() + 0.02) ** 0.5
        weight /= weight.mean()
    return c, error.max()


def two_way(name, points, degree, degree_a):
    """Sum over k = 1.. of x^k times a polynomial in 1/gamma; `points` are (x, gamma, value less its lead)."""
    rows = [[x**k * g**-m for k in range(1, degree + 1) for m in range(degree_a + 1)] for x, g, _ in points]
    c, error = minimax(rows, [value for _, _, value in points])
    print(f"{name}: error {error:.1e}")
    for row in c.reshape(degree, degree_a + 1):
        print("    [" + ", ".join(f"{v:.9}" for v in row) + "],")


def one_way(name, f, degree):
    c, error = minimax([[g**-m for m in range(degree + 1)] for g in GAMMA], [f(g) for g in GAMMA])
    print(f"{name}: error {error:.1e}\n    [" + ", ".join(f"{v:.9}" for v in c) + "]")


xs = 0.5 * (1 - np.cos(np.pi * np.linspace(0, 1, 60)))
falls = [(x * sonic_fall(g), g) for g in GAMMA for x in xs]
two_way("FLUX_SHAPE", [(x, g, flux_shape(x, g) - 1) for x, g in falls], 3, 3)
two_way("DENSITY_SHAPE", [(x, g, density_shape(x, g) - 2 / g) for x, g in falls], 3, 3)

t = np.linspace(0, 1, 80)
phi = np.maximum(np.sqrt(1 - t * t), 1e-4)
machs = {g: mach_of_opening(phi, g) for g in GAMMA}
choked = {g: 1 - (2 / (g + 1) * (1 + (g - 1) / 2 * m * m)) ** (g / (g - 1)) for g, m in machs.items()}
two_way("CHOKED_FALL", [(a, g, b) for g in GAMMA for a, b in zip(t, choked[g])], 4, 1)
two_way("CHOKED_MACH", [(a, g, b - 1) for g in GAMMA for a, b in zip(t, machs[g] / phi)], 4, 1)
one_way("SONIC_FALL", sonic_fall, 3)
one_way("SONIC_FLUX", lambda g: np.sqrt(g) * (2 / (g + 1)) ** ((g + 1) / (2 * (g - 1))), 2)

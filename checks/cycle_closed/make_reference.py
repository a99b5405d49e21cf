"""Closed cycles for crates/cycle/tests/closed.rs.

Run: python make_reference.py     (needs scipy 1.17 and cantera 3.2.0; writes closed.json beside itself)

Bore 86, stroke 86, rod 142 mm, compression 10, from 120 degrees before to 120 after TDC, no top land, no leak; Wiebe
with a 5 and m 2; Woschni's coefficient with 2.28 Sp + 3.24e-3 Vd Tr/(pr Vr) (p - p_motored) from the spark on, p_motored
following V^1.33 from there; head 1.25, crown 1.05 times the bore area, 480, 520 and 400 K for head, crown and bore.

perfect: both zones gamma 1.3, R 287 J/(kg K), 2.6 MJ/kg of charge.
real: iso-octane, two zones, Cantera's NASA TM-4513 gases. Unburned gas frozen, with 5 % of residual that was in
equilibrium at 1700 K and 1 bar; burned gas in equilibrium above 1700 K, below frozen as the residual. Heat is shared by
volume times temperature of the zones. Integrated in p, T_unburned, T_burned by solve_ivp (LSODA, 1e-8; perfect 1e-11).
"""
import json
import pathlib

import cantera as ct
import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import RectBivariateSpline
from scipy.optimize import brentq

here = pathlib.Path(__file__).parent
B, S, L, RC = 0.086, 0.086, 0.142, 10.0
A = np.pi / 4 * B * B
VD = A * S
VC = VD / (RC - 1)
HEAD, CROWN = 1.25 * A, 1.05 * A
T_HEAD, T_CROWN, T_BORE = 480.0, 520.0, 400.0
FROM, TO, P0, T0 = -120.0, 120.0, 1.3e5, 370.0


def volume(deg):
    a = np.radians(deg)
    return VC + A * (S / 2 + L - S / 2 * np.cos(a) - np.sqrt(L * L - (S / 2 * np.sin(a)) ** 2))


def volume_slope(deg):
    a = np.radians(deg)
    s = S / 2 * np.sin(a)
    return A * (s + s * S / 2 * np.cos(a) / np.sqrt(L * L - s * s)) * np.pi / 180


def burned(deg, start, duration):
    s = max(deg - start, 0.0) / duration
    x = 1 - np.exp(-5 * s**3)
    return x, 15 * s * s / duration * (1 - x)


def heat_rate(p, v, t, rpm, reference, motored):
    sp = 2 * S * rpm / 60
    w = 2.28 * sp + 3.24e-3 * VD * reference * max(p - motored, 0.0)
    h = 3.26 * B**-0.2 * (p / 1e3) ** 0.8 * t**-0.55 * w**0.8
    bore = 4 / B * (v - VC)
    return h * (HEAD * (t - T_HEAD) + CROWN * (t - T_CROWN) + bore * (t - T_BORE)) / (6 * rpm)


def peak(sol, y):
    """Top of the dense output's pressure."""
    grid = np.linspace(0.0, 40.0, 4001)
    at = grid[np.argmax([y(sol, d) for d in grid])]
    slope = lambda d: y(sol, d + 1e-3) - y(sol, d - 1e-3)
    top = brentq(slope, at - 0.1, at + 0.1)
    return y(sol, top), top


def perfect(rpm, spark, start, duration):
    gamma, r, q = 1.3, 287.0, 2.6e6
    m = P0 * volume(FROM) / (r * T0)
    reference = T0 / (P0 * volume(FROM))
    at_spark = {}

    def rhs(deg, y, lit):
        p = y[0]
        v, dv = volume(deg), volume_slope(deg)
        motored = at_spark["pv"] / v**1.33 if lit else p
        loss = heat_rate(p, v, p * v / (m * r), rpm, reference, motored)
        release = m * q * burned(deg, start, duration)[1]
        return [((gamma - 1) * (release - loss) - gamma * p * dv) / v, p * dv, loss]

    opts = dict(method="LSODA", rtol=1e-11, atol=1e-9, dense_output=True, max_step=0.5)
    first = solve_ivp(rhs, (FROM, -spark), [P0, 0, 0], args=(False,), **opts)
    at_spark["pv"] = first.y[0, -1] * volume(-spark) ** 1.33
    second = solve_ivp(rhs, (-spark, TO), first.y[:, -1], args=(True,), **opts)
    p_max, at = peak(second, lambda s, d: s.sol(d)[0])
    return [rpm, spark, start, duration, p_max, at, second.y[1, -1], second.y[2, -1]]


NAMES = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "H", "O", "NO", "N", "NO2", "N2O", "HO2", "C8H18,isooctane"]
AIR = {"N2": 0.78084, "O2": 0.209476, "Ar": 0.00934, "CO2": 0.000314}
FUEL = "C8H18,isooctane"


def gas_of(names):
    found = [s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in names]
    for s in found:  # TM-4513 refers to 1 bar; a species loaded by itself is given 1 atm
        t = s.thermo
        s.thermo = ct.NasaPoly2(t.min_temp, t.max_temp, 1e5, t.coeffs)
    return ct.Solution(thermo="ideal-gas", species=found)


class Real:
    """Unburned and burned gas of one mixture."""

    def __init__(self, phi, residual):
        self.gas = gas_of(NAMES)
        self.fresh = {**AIR, FUEL: phi * AIR["O2"] / 12.5}
        self.gas.TPX = 300, 1e5, self.fresh
        y_fresh = self.gas.Y
        self.gas.TPX = 1700, 1e5, self.fresh
        self.gas.equilibrate("TP", rtol=1e-12, max_steps=5000)
        self.frozen = self.gas.Y
        self.unburned_y = (1 - residual) * y_fresh + residual * self.frozen

    def unburned(self, t):
        self.gas.TPY = t, 1e5, self.unburned_y
        return self.gas.enthalpy_mass, self.gas.cp_mass, ct.gas_constant / self.gas.mean_molecular_weight

    def burned_point(self, t, p):
        if t < 1700:
            self.gas.TPY = t, p, self.frozen
        else:
            self.gas.TPX = t, p, self.fresh
            self.gas.equilibrate("TP", rtol=1e-12, max_steps=5000)
        return self.gas.enthalpy_mass, ct.gas_constant / self.gas.mean_molecular_weight

    def tabulate(self):
        """Splines of h and R of the burned gas in equilibrium: cubic, nodes 20 K and 0.17 in ln p apart."""
        t, l = np.linspace(1700, 3100, 71), np.linspace(np.log(3e5), np.log(120e5), 22)
        rows = np.array([[self.burned_point(a, np.exp(b)) for b in l] for a in t])
        self.splines = [RectBivariateSpline(t, l, rows[:, :, k]) for k in (0, 1)]

    def burned(self, t, p):
        """h, R and their slopes over T and ln p."""
        if t < 1700:
            h, r = self.burned_point(t, p)
            return h, r, self.gas.cp_mass, 0.0, 0.0, 0.0
        h, r = self.splines
        l = np.log(p)
        at = lambda f, dx, dy: f(t, l, dx=dx, dy=dy)[0, 0]
        return at(h, 0, 0), at(r, 0, 0), at(h, 1, 0), at(r, 1, 0), at(h, 0, 1), at(r, 0, 1)


def real(phi, rpm, spark, start, duration):
    gas = Real(phi, 0.05)
    gas.tabulate()
    _, _, r_u0 = gas.unburned(T0)
    m = P0 * volume(FROM) / (r_u0 * T0)
    reference = T0 / (P0 * volume(FROM))
    at_spark = {}

    def single(deg, y, lit):
        p, t = y[0], y[1]
        _, cp, r = gas.unburned(t)
        v, dv = volume(deg), volume_slope(deg)
        motored = at_spark["pv"] / v**1.33 if lit else p
        loss = heat_rate(p, v, t, rpm, reference, motored)
        dt = -(p * dv + loss) / (m * (cp - r))
        return [p * (dt / t - dv / v), dt, p * dv, loss]

    def double(deg, y):
        p, tu, tb = y[0], y[1], y[2]
        x, dx = burned(deg, start, duration)
        hu, cu, ru = gas.unburned(tu)
        hb, rb, cb, rb_t, hb_l, rb_l = gas.burned(tb, p)
        v, dv = volume(deg), volume_slope(deg)
        mu, mb, dm = m * max(1 - x, 1e-9), m * x, m * dx
        vu, vb = mu * ru * tu / p, mb * rb * tb / p
        t = p * v / (mu * ru + mb * rb)
        loss = heat_rate(p, v, t, rpm, reference, at_spark["pv"] / v**1.33)
        weight = vu * tu + vb * tb
        lu, lb = loss * vu * tu / weight, loss * vb * tb / weight
        # Unknowns dp, dTu, dTb.
        a = np.array([
            [-vu, mu * cu, 0.0],
            [mb * hb_l / p - vb, 0.0, mb * cb],
            [mb * rb_l * tb / p - v, mu * ru, mb * (rb + tb * rb_t)],
        ])
        b = np.array([-lu, (hu - hb) * dm - lb, p * dv + dm * (ru * tu - rb * tb)])
        dp, dtu, dtb = np.linalg.solve(a, b)
        return [dp, dtu, dtb, p * dv, loss]

    opts = dict(method="LSODA", rtol=1e-8, dense_output=True)
    y = [P0, T0, 0.0, 0.0]
    one = solve_ivp(single, (FROM, -spark), y, args=(False,), max_step=1.0, **opts)
    at_spark["pv"] = one.y[0, -1] * volume(-spark) ** 1.33
    y = one.y[:, -1]
    lit = start + 0.01 * duration
    if lit > -spark:
        y = solve_ivp(single, (-spark, lit), y, args=(True,), max_step=1.0, **opts).y[:, -1]
    # 5e-6 of the charge is burned here; it is given the flame temperature.
    hu, _, _ = gas.unburned(y[1])
    tb = brentq(lambda t: gas.burned_point(t, y[0])[0] - hu, 1500, 3500)
    two = solve_ivp(double, (lit, TO), [y[0], y[1], tb, y[2], y[3]], max_step=1.0, **opts)
    p_max, at = peak(two, lambda s, d: s.sol(d)[0])
    end = two.y[:, -1]
    return [phi, rpm, spark, start, duration, p_max, at, end[3], end[4], end[0], end[2], two.sol(at)[1]]


def main():
    data = {
        "perfect_columns": ["rpm", "spark_deg", "start_deg", "duration_deg", "peak_pa", "peak_deg", "work_j", "heat_j"],
        "perfect": [perfect(rpm, 25.0, -18.0, 56.0) for rpm in (1500.0, 3000.0, 6000.0)],
        "real_columns": ["phi", "rpm", "spark_deg", "start_deg", "duration_deg", "peak_pa", "peak_deg", "work_j", "heat_j",
                         "end_pa", "end_burned_k", "unburned_k_at_peak"],
        "real": [real(phi, rpm, 25.0, -18.0, 56.0) for phi, rpm in ((1.0, 1500.0), (1.1, 3000.0), (0.9, 6000.0))],
    }
    (here / "closed.json").write_text(json.dumps(data, indent=1))
    for row in data["perfect"] + data["real"]:
        print(row)


main()

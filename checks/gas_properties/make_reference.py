"""Reference properties for crates/gas/tests/properties.rs.

Run: python make_reference.py     (needs cantera 3.2.0 and CoolProp 8.0.0; writes two JSON files beside itself)

burned.json: iso-octane and air burned at phi 0.7 to 1.3, 1 to 100 bar, from Cantera with the NASA TM-4513 gases of its
nasa_gas.yaml: more species than ours, so that what we leave out is part of the difference. Below 1700 K the composition
is that of equilibrium at 1700 K and the same pressure (frozen); above, equilibrium at the point itself. cp and gamma at
equilibrium are derivatives of Cantera's state by central differences. h is relative to the unburned gas's elements at
298.15 K, as in the polynomials. The fuel-air mixture before burning is given too (phi 1, frozen).
air.json: dry air (CoolProp "Air", the pseudo-pure equation of Lemmon et al. 2000) and humid air (HAPropsSI, Herrmann
et al. 2009) near atmospheric pressure, its cp also in the ideal-gas limit; enthalpies relative to 300 K dry, so that both references agree.
"""
import json

import cantera as ct
import numpy as np
from CoolProp.CoolProp import HAPropsSI, PropsSI

NAMES = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "H", "O", "NO", "N", "NO2", "N2O", "HO2", "H2O2", "CH4", "NH3",
         "HCN", "C8H18,isooctane", "HNO", "O3", "HCO", "CH3"]
AIR = {"N2": 0.78084, "O2": 0.209476, "Ar": 0.00934, "CO2": 0.000314}


def gas_of(names):
    found = [s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in names]
    for s in found:  # TM-4513 refers to 1 bar; a species loaded by itself is given 1 atm
        t = s.thermo
        s.thermo = ct.NasaPoly2(t.min_temp, t.max_temp, 1e5, t.coeffs)
    return ct.Solution(thermo="ideal-gas", species=found)


def unburned(phi):
    o2_per_air = AIR["O2"]
    fuel = phi * o2_per_air / 12.5
    return {**AIR, "C8H18,isooctane": fuel}


def equilibrium_state(gas, phi, t, p):
    gas.TPX = t, p, unburned(phi)
    gas.equilibrate("TP", rtol=1e-12, max_steps=5000)
    return gas.enthalpy_mass, gas.mean_molecular_weight, gas.entropy_mass, gas.density


def burned(rows):
    gas = gas_of([n for n in NAMES if n != "C8H18,isooctane"] + ["C8H18,isooctane"])
    for phi in (0.7, 0.85, 1.0, 1.15, 1.3):
        for bar in (1, 10, 100):
            p = bar * 1e5
            for t in (300, 500, 800, 1100, 1400, 1650, 1800, 2000, 2300, 2600, 3000):
                if t < 1700:
                    equilibrium_state(gas, phi, 1700.0, p)
                    gas.TP = t, p
                    r = ct.gas_constant / gas.mean_molecular_weight
                    rows.append([phi, bar, t, gas.enthalpy_mass, gas.cp_mass, gas.cp_mass / gas.cv_mass, r])
                else:
                    dt, dp = 0.5, 1e-4
                    h0, _, _, _ = equilibrium_state(gas, phi, t - dt, p)
                    s0 = gas.entropy_mass
                    v0 = 1 / gas.density
                    h1, _, _, _ = equilibrium_state(gas, phi, t + dt, p)
                    v1 = 1 / gas.density
                    cp = (h1 - h0) / (2 * dt)
                    vt = (v1 - v0) / (2 * dt)
                    equilibrium_state(gas, phi, t, p * (1 - dp))
                    va = 1 / gas.density
                    equilibrium_state(gas, phi, t, p * (1 + dp))
                    vb = 1 / gas.density
                    vp = (vb - va) / (2 * dp * p)
                    h, w, s, rho = equilibrium_state(gas, phi, t, p)
                    # isentropic exponent -(d ln p / d ln v)_s = -(v/p) cp / (cp vp + T vt^2)
                    v = 1 / rho
                    gamma = -(v / p) * cp / (cp * vp + t * vt * vt)
                    rows.append([phi, bar, t, h, cp, gamma, ct.gas_constant / w])


def fresh(rows):
    gas = gas_of(NAMES)
    for t in (300, 400, 600, 900):
        gas.TPX = t, 1e5, unburned(1.0)
        rows.append([t, gas.enthalpy_mass, gas.cp_mass, gas.cp_mass / gas.cv_mass, ct.gas_constant / gas.mean_molecular_weight])


def ideal_cp(fluid, t):
    return PropsSI("CP0MOLAR", "T", t, "P", 1e4, fluid) / PropsSI("M", fluid)


def air():
    h300 = PropsSI("H", "T", 300, "P", 1e4, "Air")
    dry = []
    for t in (260, 300, 400, 600, 800, 1000, 1400, 2000):
        cp = PropsSI("C", "T", t, "P", 1e4, "Air")
        cv = PropsSI("O", "T", t, "P", 1e4, "Air")
        r = PropsSI("P", "T", t, "P", 1e4, "Air") / (PropsSI("D", "T", t, "P", 1e4, "Air") * t)
        dry.append([t, PropsSI("H", "T", t, "P", 1e4, "Air") - h300, cp, cp / cv, r])
    humid = []
    for t in (280, 300, 320, 340):
        for rh in (0.2, 0.6, 1.0):
            p = 101325.0
            w = HAPropsSI("W", "T", t, "P", p, "R", rh)
            v = HAPropsSI("Vha", "T", t, "P", p, "R", rh)
            cp = HAPropsSI("Cha", "T", t, "P", p, "R", rh)
            # The ideal-gas limit at the same water content: what of cp is not the pull between molecules.
            ideal = ideal_cp("Air", t) + w * ideal_cp("Water", t)
            humid.append([t, p, rh, w, cp, p * v / t, ideal / (1 + w)])
    return {"dry": dry, "humid": humid}


def rounded(value):
    if isinstance(value, list):
        return [rounded(v) for v in value]
    return float(f"{value:.9g}")


rows, mixed = [], []
burned(rows)
fresh(mixed)
with open("burned.json", "w") as f:
    json.dump({"columns": "phi bar T_K h cp gamma R", "rows": rounded(rows), "fresh": rounded(mixed)}, f, indent=None)
    f.write("\n")
with open("air.json", "w") as f:
    found = air()
    json.dump({k: rounded(v) for k, v in found.items()}, f)
    f.write("\n")


def transport():
    """Viscosity and conductivity of dry air and of stoichiometric burned gas (frozen at 1700 K), GRI-Mech 3.0 data."""
    rows = []
    gas = ct.Solution("gri30.yaml", transport_model="mixture-averaged")
    air = {"N2": AIR["N2"], "O2": AIR["O2"], "AR": AIR["Ar"], "CO2": AIR["CO2"]}
    burned = {"N2": 47.0, "CO2": 8.0, "H2O": 9.0}
    for name, x in (("air", air), ("burned", burned)):
        for t in (300, 600, 1000, 1700, 2500, 3000):
            gas.TPX = t, 1e5, x
            rows.append([name == "burned", t, gas.viscosity, gas.thermal_conductivity])
    return rows


with open("transport.json", "w") as f:
    json.dump({"rows": [[int(r[0]), r[1]] + rounded(r[2:]) for r in transport()]}, f)
    f.write("\n")

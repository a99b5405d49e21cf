"""Fuel-air cycles for crates/cycle/tests/fuel_air.rs.

Run: python make_reference.py     (needs cantera 3.2.0; writes fuel_air.json beside itself)

Iso-octane vapour and dry air at 1 bar and 350 K, compressed isentropically and frozen, equilibrium at constant volume
and energy, isentropic expansion in equilibrium to the first volume: Cantera with the NASA TM-4513 gases of its
nasa_gas.yaml. Efficiency over the lower heating value of the liquid, worked out from the same data less 35.1 kJ/mol of
vaporisation (CRC Handbook of Chemistry and Physics, 86th ed.).
"""
import json

import cantera as ct

NAMES = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "H", "O", "NO", "N", "NO2", "N2O", "HO2", "H2O2", "CH4", "NH3",
         "HCN", "C8H18,isooctane", "HNO", "O3", "HCO", "CH3"]
AIR = {"N2": 0.78084, "O2": 0.209476, "Ar": 0.00934, "CO2": 0.000314}
FUEL = "C8H18,isooctane"


def gas_of(names):
    found = [s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in names]
    for s in found:  # TM-4513 refers to 1 bar; a species loaded by itself is given 1 atm
        t = s.thermo
        s.thermo = ct.NasaPoly2(t.min_temp, t.max_temp, 1e5, t.coeffs)
    return ct.Solution(thermo="ideal-gas", species=found)


def heating_value(gas):
    def h(name):
        gas.TPX = 298.15, 1e5, {name: 1.0}
        return gas.enthalpy_mole
    burned = 8 * h("CO2") + 9 * h("H2O")
    gas.TPX = 298.15, 1e5, {FUEL: 1.0}
    return (gas.enthalpy_mole + 12.5 * h("O2") - burned - 35.1e6) / 114.232


def cycle(gas, lhv, compression, phi):
    x = {**AIR, FUEL: phi * AIR["O2"] / 12.5}
    gas.TPX = 350.0, 1e5, x
    u_1, s_1, v_1 = gas.int_energy_mass, gas.entropy_mass, gas.volume_mass
    fuel = gas[FUEL].Y[0]
    v_2 = v_1 / compression
    gas.SV = s_1, v_2
    gas.equilibrate("UV", rtol=1e-10, max_steps=5000)
    t_3, p_3 = gas.TP
    gas.SV = gas.entropy_mass, v_2
    s_3 = gas.entropy_mass
    # Expansion in steps, so that the equilibrium solver starts near.
    for i in range(1, 41):
        gas.SV = s_3, v_2 * compression ** (i / 40)
        gas.equilibrate("SV", rtol=1e-10, max_steps=5000)
    work = u_1 - gas.int_energy_mass
    return [compression, phi, work / (fuel * lhv), work / (v_1 - v_2), p_3, t_3]


def main():
    gas = gas_of(NAMES)
    lhv = heating_value(gas)
    rows = [cycle(gas, lhv, r, phi) for r in (8, 10, 12) for phi in (0.8, 1.0, 1.2)]
    columns = ["compression", "phi", "efficiency", "mean_pressure_pa", "peak_pa", "peak_k"]
    with open("fuel_air.json", "w") as f:
        json.dump({"columns": columns, "rows": rows}, f, indent=1)
    for row in rows:
        print(row)


main()

"""Writes crates/gas/src/species_data.rs from the species files that come with Cantera.

Run: python make_species.py > ../../crates/gas/src/species_data.rs   (needs cantera 3.2.0)
"""
import cantera as ct

NAMES = ["N2", "O2", "Ar", "CO2", "H2O", "CO", "H2", "OH", "H", "O", "NO", "N", "NO2", "HO2", "N2O",
         "CH4", "C3H8", "CH3OH", "C2H5OH", "C7H8", "C7H16,n-heptane", "C8H18,isooctane"]
RUST = ["N2", "O2", "Ar", "Co2", "H2o", "Co", "H2", "Oh", "H", "O", "No", "N", "No2", "Ho2", "N2o",
        "Methane", "Propane", "Methanol", "Ethanol", "Toluene", "NHeptane", "IsoOctane"]
def lj_table():
    table = {}
    for s in ct.Species.list_from_file("gri30.yaml"):
        t = s.transport
        table[s.name] = (t.well_depth / ct.boltzmann, t.diameter * 1e10)
    table["Ar"] = table.pop("AR")
    return table

def main():
    found = {s.name: s for s in ct.Species.list_from_file("nasa_gas.yaml") if s.name in NAMES}
    lj = lj_table()
    print("//! The numbers behind [`crate::species`]. Written by `checks/gas_species/make_species.py`; not edited by hand.")
    print("//!")
    print("//! Heat capacities: B. J. McBride, S. Gordon, M. A. Reno (1993), NASA TM-4513, through Cantera 3.2.0")
    print("//! `nasa_gas.yaml` (BSD-3). Lennard-Jones parameters: the transport data of GRI-Mech 3.0 through Cantera's")
    print("//! `gri30.yaml` (BSD-3).")
    print()
    print("use crate::species::SpeciesData;")
    print()
    print("pub(crate) const SPECIES: [SpeciesData; %d] = [" % len(NAMES))
    for name, rust in zip(NAMES, RUST):
        s = found[name]
        c = s.thermo.coeffs
        atoms = [int(s.composition.get(e, 0)) for e in ("C", "H", "O", "N", "Ar")]
        low, high = list(c[8:15]), list(c[1:8])
        tmid = c[0]
        if name == "Ar":  # one range; both halves are the same
            tmid = 1000.0
        if s.thermo.min_temp > 250 or not (900 < tmid < 1100):
            raise SystemExit(f"{name}: range {s.thermo.min_temp} {tmid} {s.thermo.max_temp}")
        w, d = lj.get(name, (0.0, 0.0))
        fmt = lambda v: ", ".join(repr(float(x)) for x in v)
        print("    SpeciesData {")
        print(f'        name: "{name.split(",")[-1]}",')
        print(f"        atoms: {atoms},")
        print(f"        t_mid_k: {float(tmid)!r},")
        print(f"        low: [{fmt(low)}],")
        print(f"        high: [{fmt(high)}],")
        print(f"        well_depth_k: {round(w, 3)!r},")
        print(f"        diameter_angstrom: {round(d, 4)!r},")
        print("    },")
    print("];")

main()

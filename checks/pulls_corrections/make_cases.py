"""Correction factors by other means: real saturation pressure of water (IAPWS-95 through CoolProp), formulas in mpmath.

Shares no code and no vapour-pressure formula with crates/pulls. Writes cases.json.
"""
import json
import pathlib

import CoolProp.CoolProp as cp
from mpmath import mp, mpf, sqrt

mp.dps = 30
HERE = pathlib.Path(__file__).parent

# Inlet degC, station kPa, humidity as (kind, value): relative 0..1, dew point degC, thermodynamic wet bulb degC.
AIRS = [
    (29.4444, 97.697, ("relative", 0.85)),
    (12.7778, 101.930, ("relative", 0.35)),
    (25.0, 100.0, ("relative", 0.3158)),
    (20.0, 101.3, ("relative", 0.5)),
    (35.0, 98.0, ("dew", 24.0)),
    (15.0, 103.1, ("dew", 3.0)),
    (30.0, 95.5, ("wet", 22.0)),
    (22.0, 89.9, ("wet", 14.0)),
    (41.0, 84.0, ("relative", 0.10)),
    (5.0, 99.0, ("relative", 0.9)),
]
DIESELS = [(36.0, 1.0), (50.0, 1.0), (64.0, 1.0), (70.0, 1.0), (110.0, 2.0), (150.0, 2.0)]


def vapour_kpa(t_c, p_kpa, humidity):
    kind, value = humidity
    if kind == "relative":
        return value * cp.PropsSI("P", "T", t_c + 273.15, "Q", 0, "Water") / 1e3
    if kind == "dew":
        return cp.PropsSI("P", "T", value + 273.15, "Q", 0, "Water") / 1e3
    # Vapour pressure of air with that thermodynamic wet bulb, from its humidity ratio, ideal gases.
    ratio = cp.HAPropsSI("W", "T", t_c + 273.15, "P", p_kpa * 1e3, "B", value + 273.15)
    return p_kpa * ratio / (ratio + 0.621945)


def factors(t_c, p_kpa, dry_kpa):
    t, p, dry = mpf(t_c), mpf(p_kpa), mpf(dry_kpa)
    kelvin = t + 273
    iso = (99 / dry) ** mpf("1.2") * (kelvin / 298) ** mpf("0.6")
    in_hg = dry / mpf("3.386389")
    return {
        "sae": mpf("1.18") * (99 / dry) * sqrt(kelvin / 298) - mpf("0.18"),
        "std": mpf("29.92") / in_hg * sqrt((t * mpf("1.8") + 32 + 460) / 520),
        "iso": iso,
        "jis": iso,
        "eec": iso,
        "din": mpf("101.3") / p * sqrt(kelvin / 293),
    }


def diesel(t_c, dry_kpa, fuel, ratio, turbo):
    t, dry = (mpf(t_c) + 273) / 298, 99 / mpf(dry_kpa)
    fa = dry ** mpf("0.7") * t ** mpf("1.5") if turbo else dry * t ** mpf("0.7")
    qc = mpf(fuel) / mpf(ratio)
    fm = mpf("0.3") if qc < 40 else mpf("1.2") if qc > 65 else mpf("0.036") * qc - mpf("1.14")
    return fa**fm


cases = []
for t_c, p_kpa, humidity in AIRS:
    vapour = vapour_kpa(t_c, p_kpa, humidity)
    dry = p_kpa - vapour
    cases.append({
        "inlet_c": t_c, "station_kpa": p_kpa, "humidity": humidity[0], "value": humidity[1],
        "vapour_kpa": vapour, "dry_kpa": dry,
        "factors": {key: float(value) for key, value in factors(t_c, p_kpa, dry).items()},
        "diesel": [
            {"fuel": fuel, "ratio": ratio, "turbo": turbo, "factor": float(diesel(t_c, dry, fuel, ratio, turbo))}
            for fuel, ratio in DIESELS for turbo in (False, True)
        ],
    })
(HERE / "cases.json").write_text(json.dumps(cases, indent=1) + "\n")

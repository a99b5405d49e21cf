"""Random builds with two valves over one piston, of invented engines. Leaves out every gap.

Lengths in mm, angles in degrees; inputs are rounded before anything is computed from them.
"""

import numpy as np

from piston_gap import axis_direction, face_centre
from valve_law import crown_height, lift_at


def rounded(value):
    return round(float(value), 4)


def random_crank(rng):
    stroke = rng.uniform(55.0, 105.0)
    offset = 0.0 if rng.random() < 0.4 else rng.uniform(-1.5, 1.5)
    return {"stroke": rounded(stroke), "rod": rounded(stroke * rng.uniform(1.5, 2.1)), "pin_offset": rounded(offset)}


def random_lift_law(rng, peak):
    return {
        "max": rounded(rng.uniform(8.0, 16.0)),
        "peak": rounded(peak),
        "open": rounded(rng.uniform(135.0, 175.0)),
        "close": rounded(rng.uniform(135.0, 175.0)),
        "power": rounded(rng.uniform(2.2, 3.6)),
    }


def random_tilts(rng):
    """Tilts of the intake and the exhaust valve; stem tips lean outward, or both the same way, or not at all."""
    layout = rng.choice(["upright", "wedge", "pent roof", "canted"], p=[0.1, 0.15, 0.45, 0.3])
    if layout == "upright":
        return (0.0, 0.0), (0.0, 0.0)
    if layout == "wedge":
        lean = rng.uniform(4.0, 22.0)
        return (0.0, lean), (0.0, lean)
    if layout == "pent roof":
        return (0.0, rng.uniform(6.0, 25.0)), (0.0, -rng.uniform(6.0, 25.0))
    return (rng.uniform(-8.0, 8.0), rng.uniform(2.0, 20.0)), (rng.uniform(-8.0, 8.0), -rng.uniform(2.0, 20.0))


def random_valve(rng, side, tilt, gasket, spacing):
    """One valve on the +y (side 1) or -y (side -1) half of the bore."""
    rv = rng.uniform(11.0, 21.0)
    valve = {
        "rv": rounded(rv),
        "m": rounded(rng.uniform(0.8, 2.2)),
        "seat": rounded(rng.choice([45.0, 30.0, rng.uniform(30.0, 46.0)])),
        "rs": rounded(0.5 * rng.uniform(5.0, 8.0)),
        "x": rounded(rng.uniform(-4.0, 4.0)),
        "y": rounded(side * (rv * np.cos(np.radians(tilt[1])) + spacing)),
        "z_seated": 0.0,
        "tilt_x": rounded(tilt[0]),
        "tilt_y": rounded(tilt[1]),
    }
    sine = np.sqrt(1.0 - axis_direction(valve)[2] ** 2)
    valve["z_seated"] = rounded(gasket + rv * sine + rng.uniform(-0.3, 2.0))
    return valve


def random_pocket(rng, case, valve, room, astray):
    """A pocket roughly under the open valve, or none where one of half a millimetre would not be needed.

    `room` is the range of its radius beyond the valve's, `astray` how far its centre may be off.
    """
    theta = 360.0 + np.sign(valve["lift"]["peak"] - 360.0) * rng.uniform(5.0, 14.0)
    face = face_centre(valve, lift_at(valve["lift"], theta))
    pocket = {
        "x": rounded(face[0] + rng.uniform(-astray, astray)),
        "y": rounded(face[1] + rng.uniform(-astray, astray)),
        "r": rounded(valve["rv"] + rng.uniform(*room)),
        "depth": 0.0,
        "tilt_x": rounded(valve["tilt_x"] + rng.choice([0.0, rng.normal(0.0, 0.6)])),
        "tilt_y": rounded(valve["tilt_y"] + rng.choice([0.0, rng.normal(0.0, 0.6)])),
    }
    above = face[2] - crown_height(case, theta)
    pocket["depth"] = rounded((rng.uniform(-0.6, 3.5) - above) / axis_direction(pocket)[2])
    return None if pocket["depth"] < 0.5 else pocket


def random_build(rng, room=(0.6, 2.6), astray=0.4):
    gasket = rounded(rng.uniform(0.5, 1.8))
    case = {"crank": random_crank(rng), "deck_offset": rounded(rng.uniform(-0.8, 0.4)), "gasket": gasket}
    tilts = random_tilts(rng)
    peaks = 360.0 + rng.uniform(98.0, 116.0), 360.0 - rng.uniform(98.0, 116.0)
    spacing = rng.uniform(0.4, 2.5)
    case["valves"] = []
    for side, tilt, peak in zip((1.0, -1.0), tilts, peaks):
        valve = random_valve(rng, side, tilt, gasket, spacing)
        valve["lift"] = random_lift_law(rng, peak)
        valve["pocket"] = random_pocket(rng, case, valve, room, astray)
        case["valves"].append(valve)
    return case

"""Where crank, piston crown and valves are at a crank angle. Leaves out every gap.

Crank angle in degrees, 0 = top dead centre firing, 720 a cycle; lengths in mm.
"""

import numpy as np


def crown_height(case, theta):
    """Crown plane above the deck: deck offset less the drop from true top dead centre, which is where theta = 0 and 360.

    With throw r, rod l, pin offset e (positive to the side the throw moves to after top dead centre) and the throw at angle f from the
    upright, the pin stands at r cos f + sqrt(l^2 - (r sin f - e)^2) above the crank centre; it is highest, sqrt((r + l)^2 - e^2), at
    sin f0 = e / (r + l), where crank and rod lie in one line. Hence f = theta + f0.
    """
    crank = case["crank"]
    r, rod, e = 0.5 * crank["stroke"], crank["rod"], crank["pin_offset"]
    f = np.radians(theta) + np.arcsin(e / (r + rod))
    pin = r * np.cos(f) + np.sqrt(rod**2 - (r * np.sin(f) - e) ** 2)
    return case["deck_offset"] - (np.sqrt((r + rod) ** 2 - e**2) - pin)


# A lofting valve stands its full loft farther open from this many crank degrees past the peak.
LOFT_GROWS_DEG = 20.0


def lift_at(law, theta):
    """Valve lift: max (1 - s^2)^power with s = (angle from peak) / (half duration of that flank), zero where |s| >= 1.

    A law with a `loft` adds past its peak the loft, or the lift if that is less, times the share of the first 20 degrees that are past.
    """
    away = (theta - law["peak"] + 360.0) % 720.0 - 360.0
    s = away / np.where(away < 0.0, law["open"], law["close"])
    lift = law["max"] * np.maximum(1.0 - s * s, 0.0) ** law["power"]
    return lift + np.minimum(law.get("loft", 0.0), lift) * np.clip(away / LOFT_GROWS_DEG, 0.0, 1.0)

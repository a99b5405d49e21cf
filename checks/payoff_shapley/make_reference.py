"""Shapley shares of an analytic engine, from the library `shap`: eight changes that pull at once, one of which does nothing.

    python3 -m venv .venv && .venv/bin/pip install shap==0.51.0
    .venv/bin/python checks/payoff_shapley/make_reference.py
"""

import json
from pathlib import Path

import numpy as np
import shap

CHANGES = ["chamber", "gasket", "flow", "port", "cam", "piston", "spark", "paint"]


def torque(made):
    """Mean torque, N m, of an engine with some of the changes made: ideal-cycle efficiency times the smaller of what the head
    lets through and what the cam can use, less what a late spark loses. Bent and with corners on purpose."""
    chamber, gasket, flow, port, cam, piston, spark, _paint = (bool(one) for one in made)
    clearance = 55.0 - 6.5 * chamber + 2.0 * gasket - 3.0 * piston
    ratio = (411.0 + clearance) / clearance
    efficiency = 1.0 - ratio ** -0.29
    supply = 0.80 + 0.09 * flow - 0.015 * port * flow + 0.01 * port
    demand = 0.86 + 0.05 * cam
    filling = min(supply, demand)
    retard = max(0.0, 3.0 * (ratio - 9.0) - 4.0 * spark)
    return 400.0 * efficiency * filling * (1.0 - 3e-4 * retard**2)


def main():
    n = len(CHANGES)
    sets = np.array([[set_ >> bit & 1 for bit in range(n)] for set_ in range(1 << n)])
    values = [torque(made) for made in sets]
    explainer = shap.explainers.ExactExplainer(
        lambda rows: np.array([torque(row) for row in rows]), shap.maskers.Independent(np.zeros((1, n)))
    )
    shares = explainer(np.ones((1, n))).values[0]
    out = {
        "source": f"shap {shap.__version__}, ExactExplainer",
        "changes": CHANGES,
        "values_n_m": values,
        "shares_n_m": [float(share) for share in shares],
    }
    path = Path(__file__).with_name("shares.json")
    path.write_text(json.dumps(out, indent=0) + "\n")


main()

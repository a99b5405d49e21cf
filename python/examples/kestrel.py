"""The Kestrel single, its gasket and its big-valve head, cell by cell (`# %%` marks one for editors that show notebooks).

The Kestrel is an invented engine. Run it from the project's folder: ``python python/examples/kestrel.py``
"""

# %% Read the build and look at what it was measured to be
from pathlib import Path

import headroom
import numpy as np
from headroom import tables

DEMOS = Path(__file__).parents[2] / "demos"
kestrel = headroom.read_build(DEMOS / "kestrel.build.toml")
readings = kestrel.readings()
assumed = [path for path, reading in readings.items() if reading["basis"] == "assumed"]
print(f"{kestrel}: {len(readings)} readings, {len(assumed)} of them assumed")

# %% Does it clear?
print(kestrel.check()["verdict"][0])

# %% And with the big-valve head on it: does it clear, is it better, what is to thank?
answer = headroom.swap(DEMOS / "kestrel.build.toml", DEMOS / "kestrel-big-valves.swap.toml", fidelity="screen")
print(" ".join(answer["verdict"][:2]))
print(tables.shares_table(answer).select(["name", "torque_n_m"]).to_pydict())

# %% What a thicker gasket does to torque, over the band
thickness = readings["gasket.thickness"]["value"]
for more_mm in (0.0, 0.5, 1.0):
    pull = kestrel.with_readings({"gasket.thickness": thickness + 1e-3 * more_mm}).pull(points=6, fidelity="screen")
    print(f"+{more_mm} mm: {np.trapezoid(pull.torque_n_m, pull.rpm) / np.ptp(pull.rpm):.1f} N m on average")

# %% The curve as a table, for whatever reads Parquet
print(tables.pull_table(kestrel.pull(points=4, fidelity="screen")).select(["rpm", "torque_n_m", "power_kw"]).to_pydict())

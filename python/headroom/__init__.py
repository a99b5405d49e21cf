"""Headroom: engines of parts that were not made for each other.

Builds, readings, fit, volumes, predicted pulls, verdicts and search plans from Python. Answers are dictionaries with the unit
in the name of every number, the same as the command's ``--format json``; curves are NumPy arrays; ``headroom.tables`` makes
Arrow tables and Parquet of them. Everything is calculated from the readings given: verify by trial assembly before metal is
cut or an engine is run.
"""

from headroom._headroom import (
    Build,
    EngineError,
    HeadroomError,
    Plan,
    Pull,
    RequestError,
    SheetError,
    read_build,
    read_candidate,
    read_plan,
    swap,
)

__all__ = [
    "Build",
    "EngineError",
    "HeadroomError",
    "Plan",
    "Pull",
    "RequestError",
    "SheetError",
    "read_build",
    "read_candidate",
    "read_plan",
    "swap",
]

"""Answers as Arrow tables and Parquet files. Needs ``pyarrow`` (``pip install headroom[tables]``)."""

from __future__ import annotations

import io
from os import PathLike
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.csv as pa_csv
import pyarrow.parquet as pa_parquet

from headroom import Build, Pull

# Columns of a plan's table that hold words however they look.
_WORDS = ("margin_of", "excluded_by")


def readings_table(build: Build) -> pa.Table:
    """Every reading of every cylinder, a row each, in SI."""
    rows = [
        {"cylinder": cylinder, "path": path, **reading}
        for cylinder in range(1, build.n_cylinders + 1)
        for path, reading in build.readings(cylinder).items()
    ]
    return pa.Table.from_pylist(rows)


def pull_table(pull: Pull) -> pa.Table:
    """A predicted pull, a row a speed; the unit stands in the name of each column."""
    return pa.table({**pull.columns(), "settled": pull.settled})


def shares_table(answer: dict[str, Any]) -> pa.Table:
    """What each change of a swap brings to mean torque and power over the band, a row each; they add up to the whole."""
    return pa.Table.from_pylist(answer["payoff"]["shares"])


def plan_table(csv: str) -> pa.Table:
    """Rows of a plan (head line first) as a table; cells that are empty are null, choices and limits are words."""
    names = pa_csv.read_csv(io.BytesIO(csv.split("\n", 1)[0].encode() + b"\n")).column_names
    words = {name: pa.string() for name in names if name in _WORDS or name.startswith("choice.")}
    return pa_csv.read_csv(
        io.BytesIO(csv.encode()),
        convert_options=pa_csv.ConvertOptions(column_types=words, strings_can_be_null=False),
    )


def arrays(table: pa.Table) -> dict[str, np.ndarray]:
    """The columns of a table as NumPy arrays; null becomes not a number among numbers, ``None`` among words."""
    return {name: table[name].to_numpy() for name in table.column_names}


def write_parquet(table: pa.Table, path: str | PathLike[str]) -> None:
    """Writes a table; the same table gives the same bytes."""
    pa_parquet.write_table(table, path, compression="zstd")

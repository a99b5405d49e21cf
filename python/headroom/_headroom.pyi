"""The compiled half of the package."""

from os import PathLike
from typing import Any, Literal, TypeAlias, TypedDict, final, type_check_only

import numpy as np
from numpy.typing import NDArray

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

_Fidelity: TypeAlias = Literal["screen", "normal", "fine"]

class HeadroomError(Exception):
    """Whatever goes wrong here is one of these."""

class SheetError(HeadroomError):
    """A sheet or plan cannot be read."""

    problems: list[_Problem]

class RequestError(HeadroomError):
    """Something is asked for that is not there or has no meaning: a reading, a cylinder, a fidelity, a standard."""

class EngineError(HeadroomError):
    """The parts are read, but make no engine that runs; the message says what is missing."""

@type_check_only
class _Problem(TypedDict):
    """One thing that is wrong with a sheet."""

    file: str
    line: int
    column: int
    path: str
    found: str
    expected: str
    help: str | None

@type_check_only
class _Reading(TypedDict):
    """One reading, in SI."""

    value: float
    tolerance: float
    basis: Literal["measured", "catalogue", "assumed"]
    kind: str

@final
class Build:
    """One complete engine, read from a build sheet."""

    @property
    def name(self) -> str: ...
    @property
    def n_cylinders(self) -> int: ...
    def readings(self, cylinder: int = 1) -> dict[str, _Reading]:
        """Every reading of a cylinder (from 1), by its path."""
    def with_readings(self, changes: dict[str, float], cylinder: int | None = None) -> Build:
        """The same build with readings changed, given by path in SI, on one cylinder or on all."""
    def check(self, samples: int = ...) -> dict[str, Any]:
        """Whether everything clears, as ``headroom check --format json`` says it."""
    def volumes(self) -> dict[str, Any]:
        """Every cc and the compression they make, as ``headroom volumes --format json`` says it."""
    def pull(
        self,
        *,
        from_rpm: float | None = None,
        to_rpm: float | None = None,
        points: int = ...,
        step_rpm: float | None = None,
        fidelity: _Fidelity = "normal",
        corrected: str | None = None,
    ) -> Pull:
        """The predicted pull; speeds are evenly spread, over the sheet's band when left out."""

@final
class Pull:
    """A predicted pull: one value a speed; not a number where the march broke off."""

    @property
    def name(self) -> str: ...
    @property
    def rpm(self) -> NDArray[np.float64]: ...
    @property
    def torque_n_m(self) -> NDArray[np.float64]: ...
    @property
    def power_kw(self) -> NDArray[np.float64]: ...
    @property
    def settled(self) -> list[bool]: ...
    @property
    def correction_factor(self) -> float | None:
        """What torque and power are multiplied by to correct them to the standard that was asked for."""
    def columns(self) -> dict[str, NDArray[np.float64]]:
        """Every column of ``headroom pull --csv`` as an array, by name with unit."""
    def answer(self) -> dict[str, Any]:
        """The whole answer, as ``headroom pull --format json`` says it."""
    def __len__(self) -> int: ...

@final
class Plan:
    """A search plan with its combinations numbered from 0."""

    @property
    def name(self) -> str: ...
    @property
    def digest(self) -> str:
        """Names the plan with everything it was read from and the rules by which rows are made."""
    @property
    def header(self) -> str:
        """Head line of the table, its end included."""
    def __len__(self) -> int: ...
    def run_range(self, start: int, stop: int) -> str:
        """Lines of the table for the combinations from ``start`` up to ``stop``, at ``screen`` fidelity."""

def read_build(path: str | PathLike[str]) -> Build:
    """Reads a build sheet from a file."""

def read_candidate(base: str | PathLike[str], candidate: str | PathLike[str]) -> Build:
    """The build that a swap sheet (or another build sheet) makes of a base."""

def read_plan(path: str | PathLike[str]) -> Plan:
    """Reads a plan from a file; sheets it names lie beside it."""

def swap(
    base: str | PathLike[str],
    candidate: str | PathLike[str],
    *,
    samples: int = ...,
    payoff: bool = True,
    fidelity: _Fidelity | None = None,
    repeatability: float | None = None,
    payoff_samples: int = 0,
) -> dict[str, Any]:
    """Whether a candidate clears and whether it is better, as ``headroom swap --format json`` says it of one candidate."""

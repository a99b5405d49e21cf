"""The package as a whole: its stubs say what the compiled half is, its types hold, its example runs."""

import os
import subprocess
import sys
from pathlib import Path

PYTHON = Path(__file__).parents[1]


def ran(*arguments):
    environment = {**os.environ, "PYTHONPATH": str(PYTHON), "MYPYPATH": str(PYTHON)}
    done = subprocess.run(
        [sys.executable, *map(str, arguments)], capture_output=True, check=False, text=True, cwd=PYTHON.parent, env=environment
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_stubs_are_the_modules():
    """Names, arguments and defaults of the stub against those of the compiled module."""
    ran("-m", "mypy.stubtest", "headroom._headroom", "--ignore-disjoint-bases")


def test_types_hold():
    ran("-m", "mypy", "--cache-dir", os.devnull, "--ignore-missing-imports", "-p", "headroom")
    ran("-m", "mypy", "--cache-dir", os.devnull, "--ignore-missing-imports", PYTHON / "examples" / "kestrel.py")


def test_the_example_runs():
    out = ran(PYTHON / "examples" / "kestrel.py").splitlines()
    assert any("readings" in line for line in out)
    means = [float(line.split(": ")[1].split(" N m")[0]) for line in out if line.endswith("N m on average")]
    # A thicker gasket is less compression, and less torque.
    assert len(means) == 3 and means == sorted(means, reverse=True)

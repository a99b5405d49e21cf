"""Builds, readings and answers, held against the command's own JSON and against what Python can work out itself."""

import json
import math
import os
import pickle
import subprocess
from pathlib import Path

import headroom
import numpy as np
import pyarrow.parquet as pa_parquet
import pytest
from headroom import tables

DEMOS = Path(__file__).parents[2] / "demos"
HERON = DEMOS / "heron.build.toml"
KESTREL = DEMOS / "kestrel.build.toml"
BIG_VALVES = DEMOS / "kestrel-big-valves.swap.toml"


@pytest.fixture(scope="module")
def heron():
    return headroom.read_build(HERON)


@pytest.fixture(scope="module")
def kestrel():
    return headroom.read_build(KESTREL)


def said(*arguments):
    """What the command says to the same question, as JSON."""
    command = os.environ.get("HEADROOM")
    if command is None:
        pytest.fail("HEADROOM names no headroom command to hold the answers against")
    ran = subprocess.run([command, *map(str, arguments), "--format", "json"], capture_output=True, check=False, text=True)
    assert ran.returncode in (0, 1), ran.stderr
    return json.loads(ran.stdout)


def test_swept_volume_is_that_of_bore_and_stroke(heron):
    """Exact: pi/4 bore^2 stroke of six cylinders."""
    readings = heron.readings()
    bore, stroke = readings["block.bore"]["value"], readings["block.stroke"]["value"]
    swept_cc = 1e6 * heron.n_cylinders * math.pi / 4 * bore**2 * stroke
    # Told to a millionth of a cubic centimetre.
    assert heron.volumes()["displacement_cc"] == pytest.approx(swept_cc, abs=1e-6)


def test_answers_are_the_commands(heron):
    """The same answers by another door, fit and volumes."""
    assert heron.check() == said("check", HERON)
    assert heron.volumes() == said("volumes", HERON)


def test_a_pull_is_the_commands(kestrel):
    pull = kestrel.pull(from_rpm=6000, to_rpm=8000, points=2, fidelity="screen", corrected="sae")
    asked = ["--from", 6000, "--to", 8000, "--points", 2, "--fidelity", "screen", "--corrected", "sae"]
    assert [pull.answer()] == said("pull", KESTREL, *asked)
    assert pull.correction_factor > 0


def test_a_verdict_is_the_commands():
    """Fit, compression and payoff of a swap."""
    answer = headroom.swap(KESTREL, BIG_VALVES, fidelity="screen")
    assert [answer] == said("swap", "--fidelity", "screen", KESTREL, BIG_VALVES)
    base, candidate = (answer["payoff"][which]["mean_torque_n_m"] for which in ("base", "candidate"))
    shares = tables.arrays(tables.shares_table(answer))["torque_n_m"]
    assert shares.sum() == pytest.approx(candidate - base, abs=1e-9 * base)


def test_fit_alone_can_be_asked():
    answer = headroom.swap(HERON, DEMOS / "heron-with-bittern-head.swap.toml", payoff=False)
    assert answer["verdict"] and answer["fit"]["status"] == "hits" and "payoff" not in answer


def test_a_thicker_gasket_lowers_compression(heron):
    """Exact: clearance grows by the gasket's area times its thickness; what was read stays as it was."""
    readings = heron.readings()
    thickness, opening = readings["gasket.thickness"]["value"], readings["gasket.opening"]["value"]
    thicker = heron.with_readings({"gasket.thickness": thickness + 1e-3})
    assert thicker.readings()["gasket.thickness"]["value"] == thickness + 1e-3
    assert heron.readings()["gasket.thickness"]["value"] == thickness
    before, after = (build.volumes()["groups"][0] for build in (heron, thicker))
    grown_cc = after["clearance"]["value_cc"] - before["clearance"]["value_cc"]
    assert grown_cc == pytest.approx(1e6 * math.pi / 4 * opening**2 * 1e-3, abs=0.001)
    assert after["compression"]["value"] < before["compression"]["value"]


def test_one_cylinder_can_be_changed_alone(heron):
    one = heron.with_readings({"gasket.thickness": 2e-3}, cylinder=3)
    values = [one.readings(number)["gasket.thickness"]["value"] for number in range(1, one.n_cylinders + 1)]
    assert [number for number, value in enumerate(values, 1) if value == 2e-3] == [3]


@pytest.mark.parametrize(
    ("changes", "cylinder", "names"),
    [
        ({"gasket.thikness": 1.0}, None, "gasket.thikness"),
        ({"gasket.thickness": math.nan}, None, "finite"),
        ({"gasket.thickness": 1e-3}, 9, "cylinder 9"),
    ],
)
def test_wrong_readings_are_refused_by_name(heron, changes, cylinder, names):
    with pytest.raises(headroom.RequestError, match=names):
        heron.with_readings(changes, cylinder)


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"fidelity": "coarse"}, "expected screen, normal or fine"),
        ({"corrected": "hp"}, "expected one of sae"),
        ({"points": 1}, "expected 2 to 200"),
        ({"from_rpm": 5000, "to_rpm": 4000}, "expected positive speeds that rise"),
    ],
)
def test_what_has_no_meaning_is_refused(heron, asked, expected):
    with pytest.raises(headroom.RequestError, match=expected):
        heron.pull(**asked)


def test_an_engine_that_cannot_run_is_told_apart(heron):
    """No stroke, no engine; the readings themselves were read."""
    with pytest.raises(headroom.EngineError):
        heron.with_readings({"block.stroke": 0.0}).pull(points=2, fidelity="screen")


def test_a_wrong_sheet_is_refused_with_every_place(tmp_path):
    sheet = tmp_path / "wrong.build.toml"
    text = HERON.read_text(encoding="utf-8").replace("bore =", "boar =", 1)
    sheet.write_text(text, encoding="utf-8")
    with pytest.raises(headroom.SheetError, match=r"wrong\.build\.toml:\d+") as raised:
        headroom.read_build(sheet)
    line = 1 + text[: text.index("boar =")].count("\n")
    assert any(problem["line"] == line and problem["found"] for problem in raised.value.problems)
    # Workers send their exceptions to whoever asked them.
    again = pickle.loads(pickle.dumps(raised.value))
    assert str(again) == str(raised.value) and again.problems == raised.value.problems


def test_a_file_that_is_not_there_is_pythons_own_error(tmp_path):
    with pytest.raises(FileNotFoundError) as raised:
        headroom.read_build(tmp_path / "none.build.toml")
    assert raised.value.filename == str(tmp_path / "none.build.toml")


def test_a_pull_is_arrays_and_a_table(kestrel, tmp_path):
    """Exact: power is torque times angular speed; a Parquet file gives back what was written."""
    pull = kestrel.pull(points=3, fidelity="screen")
    assert pull.rpm.dtype == np.float64 and len(pull) == 3 and all(len(column) == 3 for column in pull.columns().values())
    np.testing.assert_allclose(pull.power_kw, 1e-3 * pull.torque_n_m * pull.rpm * np.pi / 30, rtol=1e-12)
    table = tables.pull_table(pull)
    tables.write_parquet(table, tmp_path / "pull.parquet")
    assert pa_parquet.read_table(tmp_path / "pull.parquet").equals(table)


def test_readings_are_a_table(heron, tmp_path):
    table = tables.readings_table(heron)
    assert table.num_rows == sum(len(heron.readings(number)) for number in range(1, heron.n_cylinders + 1))
    tables.write_parquet(table, tmp_path / "readings.parquet")
    assert pa_parquet.read_table(tmp_path / "readings.parquet").equals(table)

"""A sweep is the same byte for byte however it is spread, when a worker dies half-way, and as the command's own search."""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import distributed
import headroom
import numpy as np
import pyarrow.parquet as pa_parquet
import pytest
from headroom import sweep, tables

DEMOS = Path(__file__).parents[2] / "demos"
# Combinations of a partition, so small that there are many to lose.
SIZE = 4


@pytest.fixture(scope="module")
def plan(tmp_path_factory):
    """The small plan, beside the sheets it names."""
    folder = tmp_path_factory.mktemp("plan")
    shutil.copy(Path(__file__).with_name("small.plan.toml"), folder)
    for name in ("kestrel.build.toml", "kestrel-big-valves.swap.toml"):
        shutil.copy(DEMOS / name, folder)
    return folder / "small.plan.toml"


@pytest.fixture(scope="module")
def alone(plan):
    """Every row, computed in this process."""
    return headroom.read_plan(plan).header + "".join(sweep.sweep(plan))


def test_the_rows_are_those_of_the_search(plan, alone, tmp_path):
    """Reference: the command, which knows nothing of partitions."""
    command = os.environ.get("HEADROOM")
    if command is None:
        pytest.fail("HEADROOM names no headroom command to hold the rows against")
    out = tmp_path / "search.csv"
    few = ["--normal", "0", "--sample", "0", "--refine", "0"]
    asked = [command, "search", plan, "--csv", out, "--journal", tmp_path / "journal", "--quiet", *few]
    ran = subprocess.run(asked, capture_output=True, check=False, text=True)
    assert ran.returncode in (0, 1), ran.stderr
    assert out.read_text(encoding="utf-8") == alone


def test_any_range_gives_the_same_rows(plan, alone):
    read = headroom.read_plan(plan)
    assert len(read) == 96 and alone.count("\n") == 97
    assert read.header + read.run_range(0, 7) + read.run_range(7, 53) + read.run_range(53, 500) == alone


def test_partitions_cover_every_number_once():
    for n in (0, 1, 1023, 1024, 1025, 100_000):
        numbers = [number for start, stop in sweep.partitions(n) for number in range(start, stop)]
        assert numbers == list(range(n))


def in_hand_half_way(scheduler, spread, folder):
    """Waits until half of the rows are written, and gives a worker that has a partition in hand."""
    while spread.poll() is None:
        half = any(part.read_text(encoding="utf-8").count("\n") > 48 for part in folder.glob("rows.csv.*.part"))
        busy = [worker for worker in list(scheduler.workers.values()) if worker.processing]
        if half and busy:
            return busy[0]
        time.sleep(0.005)
    pytest.fail("ended before a worker was seen at the second half")


def test_a_killed_worker_changes_nothing(plan, alone, tmp_path):
    """Two workers, one killed half-way; the command of the package, its CSV and its Parquet."""
    out, parquet = tmp_path / "rows.csv", tmp_path / "rows.parquet"
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address="127.0.0.1:0",
        host="127.0.0.1",
        env={"RAYON_NUM_THREADS": "1"},
    ) as cluster:
        asked = [sys.executable, "-m", "headroom.sweep", plan, "--out", out, "--parquet", parquet]
        spread = subprocess.Popen([*asked, "--partition", str(SIZE), "--scheduler", cluster.scheduler_address, "--quiet"])
        victim = in_hand_half_way(cluster.scheduler, spread, tmp_path)
        os.kill(cluster.workers[victim.name].pid, signal.SIGKILL)
        assert spread.wait(300) == 0
        events = [event for _, event in cluster.scheduler.get_events("all")]
    assert any(event.get("action") == "remove-worker" and event.get("processing-tasks") for event in events)
    assert out.read_text(encoding="utf-8") == alone and not list(tmp_path.glob("*.part"))
    table = pa_parquet.read_table(parquet)
    assert table.equals(tables.plan_table(alone))
    assert np.array_equal(tables.arrays(table)["index"], np.arange(96))


def test_a_sweep_that_was_broken_off_goes_on(plan, alone, tmp_path, monkeypatch):
    """A file with whole partitions, some rows of the next and a torn line: what is whole is not computed again."""
    out = tmp_path / "rows.csv"
    part = tmp_path / f"rows.csv.{headroom.read_plan(plan).digest[:12]}.part"
    lines = alone.splitlines(keepends=True)
    part.write_text("".join(lines[:46]) + lines[46][:20], encoding="utf-8")
    asked = []
    monkeypatch.setattr(sweep, "sweep", lambda *args, of=sweep.sweep: asked.append(args[3]) or of(*args))
    sweep.write(plan, out, size=SIZE, quiet=True)
    assert out.read_text(encoding="utf-8") == alone and not part.exists()
    assert asked == [11] and sweep.partitions(96, SIZE)[11] == (44, 48)
    # One of another plan is not gone on with.
    part.write_text("index\n0\n", encoding="utf-8")
    sweep.write(plan, out, size=96, quiet=True)
    assert out.read_text(encoding="utf-8") == alone


def test_every_kind_of_row_is_there(alone):
    """Rows that are out and rows that were run, or the others would prove little."""
    columns = tables.arrays(tables.plan_table(alone))
    ran = np.isfinite(columns["torque_below_n_m"])
    assert 8 <= ran.sum() < len(ran)
    assert set(columns["excluded_by"][~ran]) - {""}


def test_a_worker_with_another_plan_refuses(plan):
    with pytest.raises(sweep.PlanDiffersError, match="expected 0000"):
        sweep.run_partition(str(plan), "0" * 64, 0, 1)

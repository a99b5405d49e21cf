"""Every combination of a plan, spread over the workers of a Dask cluster.

``python -m headroom.sweep PLAN --out ROWS.csv [--parquet ROWS.parquet] [--scheduler ADDRESS]``

The plan is cut into partitions of a fixed size, whatever the number of workers; each is a pure function of the plan and
its numbers. A worker that is lost costs the partitions it was at and those it still held, which others compute again. Rows
are written in the order of their numbers, so that the file is the same byte for byte as one made on a single machine, and
as the one that ``headroom search --csv`` writes. A sweep that is broken off goes on where it was when it is asked for again.
Without an address a cluster of two processes is started here.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import headroom

# Combinations of one partition: a minute or so of work, and a whole number of the pieces that share their weighing.
PARTITION = 1024


class PlanDiffersError(headroom.HeadroomError):
    """A worker's copy of the plan, of a sheet it names, or of the program is not the one the sweep was started with."""


def partitions(n: int, size: int = PARTITION) -> list[tuple[int, int]]:
    """First number of each partition of ``n`` combinations, and the one after its last."""
    return [(start, min(start + size, n)) for start in range(0, n, size)]


def run_partition(plan_path: str, digest: str, start: int, stop: int) -> str:
    """The lines of one partition, on a worker that sees the same files; refuses a plan that is another there."""
    plan = headroom.read_plan(plan_path)
    if plan.digest != digest:
        raise PlanDiffersError(f"{plan_path}: the worker's copy is {plan.digest}, expected {digest}")
    return plan.run_range(start, stop)


def sweep(
    plan_path: str | os.PathLike[str], client: Any = None, size: int = PARTITION, n_known: int = 0
) -> Iterator[str]:
    """The lines of every partition in order, but for the first ``n_known``; on the cluster of a Dask ``client``, else in
    this process."""
    path = str(Path(plan_path).resolve())
    plan = headroom.read_plan(path)
    pieces = partitions(len(plan), size)[n_known:]
    if client is None:
        for start, stop in pieces:
            yield plan.run_range(start, stop)
        return
    # Early numbers first, also when they have to be computed again: what is written need not be held.
    futures = [
        client.submit(
            run_partition,
            path,
            plan.digest,
            start,
            stop,
            key=f"headroom-{plan.digest}-{start}-{stop}",
            priority=-start,
        )
        for start, stop in pieces
    ]
    futures.reverse()
    while futures:
        # Taken off the list, so that the cluster may forget what has been written.
        yield futures.pop().result()


def write(plan_path: Path, out_path: Path, client: Any = None, size: int = PARTITION, quiet: bool = False) -> None:
    """Writes every row to a file, which has its name only when it is whole; says on standard error how far it is."""
    plan = headroom.read_plan(plan_path)
    unfinished = out_path.with_name(f"{out_path.name}.{plan.digest[:12]}.part")
    known = _known(unfinished, plan.header, size)
    n_pieces = len(partitions(len(plan), size))
    n_known = min(n_pieces, (len(known) - 1) // size)
    begun = time.monotonic()
    with unfinished.open("w", encoding="utf-8", newline="") as out:
        out.writelines(known)
        out.flush()
        for done, lines in enumerate(sweep(plan_path, client, size, n_known), 1):
            out.write(lines)
            out.flush()
            if not quiet:
                rate = done / (time.monotonic() - begun)
                left = f"{rate * size:.1f} combinations a second, about {(n_pieces - n_known - done) / rate:.0f} s left"
                print(f"{n_known + done} of {n_pieces} partitions, {left}", file=sys.stderr, flush=True)
    unfinished.replace(out_path)


def _known(unfinished: Path, header: str, size: int) -> list[str]:
    """The head line and the rows of whole partitions that a sweep of the same plan left when it was broken off."""
    if not unfinished.exists():
        return [header]
    lines = unfinished.read_text(encoding="utf-8").splitlines(keepends=True)
    whole = [line for line in lines if line.endswith("\n")]
    if whole[:1] != [header]:
        return [header]
    return whole[: 1 + (len(whole) - 1) // size * size]


def _on_cluster(args: argparse.Namespace) -> None:
    from distributed import Client, LocalCluster

    if args.scheduler:
        with Client(args.scheduler) as client:
            write(args.plan, args.out, client, args.partition, args.quiet)
        return
    # A worker takes one partition at a time and as many threads for it as are its share.
    n_threads = max(1, (os.cpu_count() or 2) // 2)
    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address="127.0.0.1:0",
        host="127.0.0.1",
        env={"RAYON_NUM_THREADS": str(n_threads)},
    ) as cluster, Client(cluster) as client:
        write(args.plan, args.out, client, args.partition, args.quiet)


def _at_least_one(text: str) -> int:
    number = int(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{number}, expected at least 1")
    return number


def main(arguments: list[str] | None = None) -> int:
    """The command."""
    parser = argparse.ArgumentParser(prog="python -m headroom.sweep", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("plan", type=Path, help="the plan (*.plan.toml); every worker must see it under the same path")
    parser.add_argument("--out", type=Path, required=True, help="write every row to this CSV file")
    parser.add_argument("--parquet", type=Path, help="and to this Parquet file (needs pyarrow)")
    parser.add_argument(
        "--partition", type=_at_least_one, default=PARTITION, metavar="N", help=f"combinations at a time; {PARTITION} when left out"
    )
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--scheduler", metavar="ADDRESS", help="of a Dask cluster; without it two processes are started here")
    where.add_argument("--here", action="store_true", help="in this process, without a cluster")
    parser.add_argument("--quiet", action="store_true", help="no progress")
    args = parser.parse_args(arguments)
    try:
        if args.here:
            write(args.plan, args.out, None, args.partition, args.quiet)
        else:
            _on_cluster(args)
        if args.parquet:
            from headroom import tables

            tables.write_parquet(tables.plan_table(args.out.read_text(encoding="utf-8")), args.parquet)
    except (headroom.HeadroomError, OSError) as error:
        print(error, file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    # By its name, so that workers find what they are sent.
    from headroom import sweep as by_name

    sys.exit(by_name.main())

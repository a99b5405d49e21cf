"""Makes `cases.json` and `cross_check.csv`: removed metal of random cutters by OpenCascade booleans. See README.md.

    python make_cases.py            all cases, some minutes on one core
    python make_cases.py 12         the first 12 only

Case number n depends on n alone, so a shorter run gives the same cases.
"""

import csv
import json
import pathlib
import sys

import numpy as np

from cut_by_kernel import measure
from cut_by_sampling import counted_volume
from invented_cuts import KINDS, lean_of, random_case

HERE = pathlib.Path(__file__).parent
SEED = 40417
N_CASES = 96
LEAST_VOLUME_MM3 = 3.0
COUNTED_AGREES = 0.02  # relative; what counting two million points can tell
LARGEST_ANGLE = 68.0  # lean and lay-back together


def choose_case(n):
    kind = KINDS[n % len(KINDS)]
    rng = np.random.default_rng([SEED, n])
    while True:
        case = random_case(rng, kind)
        if lean_of(case["cutter"]) + case["cutter"]["layback"] > LARGEST_ANGLE:
            continue
        found = measure(case)
        if found is None or found["volume"] < LEAST_VOLUME_MM3:
            continue
        if kind != "crown" and ("azimuths" not in found or found["azimuths"][1] - found["azimuths"][0] > 170.0):
            continue
        return case, found


def main():
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else N_CASES
    cases, rows = [], []
    for n in range(wanted):
        case, found = choose_case(n)
        counted = counted_volume(case, found["lowest"], found["reach"])
        off = counted / found["volume"] - 1.0
        if abs(off) > COUNTED_AGREES:
            raise SystemExit(f"case {n}: kernel {found['volume']:.4f} mm3, counted {counted:.4f} mm3")
        rounded = {k: [round(x, 7) for x in v] if isinstance(v, list) else (None if v is None else round(v, 7)) for k, v in found.items()}
        cases.append({"id": n, **case, **rounded})
        rows.append([n, case["kind"], f"{found['volume']:.5f}", f"{counted:.5f}", f"{off:.2e}"])
        print(n, case["kind"], {k: v for k, v in rounded.items()}, f"{off:.1e}", flush=True)
    lines = ",\n".join(json.dumps(case) for case in cases)
    (HERE / "cases.json").write_text('{"unit": "mm, degree", "cases": [\n' + lines + "\n]}\n")
    with open(HERE / "cross_check.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["case", "kind", "volume_kernel_mm3", "volume_counted_mm3", "relative_difference"])
        out.writerows(rows)


if __name__ == "__main__":
    main()

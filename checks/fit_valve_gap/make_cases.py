"""Makes `cases.json` and `cross_check.csv`: gap at ten lifts and first-contact lift of random cases. See README.md for the definition.

    python make_cases.py            all cases, about 25 minutes on one core
    python make_cases.py 60         the first 60 only

Case number n depends on n alone, so a shorter run gives the same cases. Finished cases are kept in `cases.partial.jsonl` and not redone.
"""

import json
import pathlib
import sys

import numpy as np

from first_contact import GRAZING_MM, touch_by_kernel, touch_by_marching
from gap_by_kernel import KernelPair
from gap_by_sampling import sampled_gap
from invented_engines import random_case

HERE = pathlib.Path(__file__).parent
SEED = 20261
TURN = ("block",) * 6 + ("gasket circle",) * 2 + ("gasket polygon",) * 2 + ("chamber circle", "chamber polygon")
WANTED = ("clear", "contact", "contact", "part lift", "contact", "clear", "seated", "contact", "part lift", "contact", "contact")
N_CASES = 360
GRAZING_EVERY = 60
MISSED_MM = 1e-6
RINGS = ("face rim", "upper rim", "stem ring")
SHORT = {
    "face rim": "fr",
    "upper rim": "ur",
    "stem ring": "sr",
    "deck edge": "de",
    "chamfer foot": "cf",
    "lower edge": "le",
    "upper edge": "ue",
    "corner post": "cp",
}


def character(case):
    """What happens over the travel, seen at a dozen lifts; only used to choose cases."""
    travel = case["lifts"][-1]
    gaps = np.array([sampled_gap(case, v)[0] for v in np.linspace(0.0, travel, 12)])
    least = int(np.argmin(gaps))
    if gaps[0] <= 0.0:
        return "seated" if gaps[0] > -3.0 else "absurd"
    if gaps[least] > 12.0 or gaps[least] < -8.0:
        return "absurd"
    if 0 < least < 11 and min(gaps[0], gaps[-1]) > gaps[least] + 0.05:
        return "part lift"
    return "clear" if gaps[least] > 0.0 else "contact"


def choose_case(n):
    kind, wanted = TURN[n % len(TURN)], WANTED[n % len(WANTED)]
    if n % GRAZING_EVERY == GRAZING_EVERY // 2:
        kind, wanted = "block", "part lift"
    rng = np.random.default_rng([SEED, n])
    while True:
        case = random_case(rng, kind)
        if character(case) == wanted:
            break
    if n % GRAZING_EVERY == GRAZING_EVERY // 2:
        make_grazing(case, 1.0e-3 if n % (2 * GRAZING_EVERY) < GRAZING_EVERY else -1.0e-3)
    return {"id": n, **case}


def make_grazing(case, wanted_gap):
    """Changes the bore so that the least gap over the travel is about a micrometre."""
    lifts = np.linspace(0.0, case["lifts"][-1], 400)
    for _ in range(6):
        gaps = [sampled_gap(case, v)[0] for v in lifts]
        i = int(np.argmin(gaps))
        case["block"]["R"] = round(case["block"]["R"] - (gaps[i] - wanted_gap), 4)
        case.pop("_edges", None)
        lifts = np.linspace(lifts[max(i - 3, 0)], lifts[min(i + 3, len(lifts) - 1)], 200)
    case["lifts"][5] = round(float(lifts[i]), 4)
    case["lifts"].sort()


def solve(case):
    """The finished case and the rows of the cross-check."""
    pair = KernelPair(case)
    gaps, at, rows = [], [], []
    for i, lift in enumerate(case["lifts"]):
        sampled, point, name = sampled_gap(case, lift)
        kernel = pair.distance(lift)
        if sampled < 0.0:
            # The kernel must agree that the bodies cross, and on the depth of the deciding point.
            crossing, kernel = kernel, -pair.point_depth(point, lift, name in RINGS)
            rows.append((case["id"], f"crossing {i}", crossing, 0.0))
        elif kernel > sampled + MISSED_MM:
            # The kernel overlooked the nearest pair: its own distance of the point found by sampling is shorter.
            rows.append((case["id"], f"overlooked {i}", kernel, sampled))
            kernel = pair.point_depth(point, lift, name in RINGS)
        rows.append((case["id"], f"gap {i}", kernel, sampled))
        gaps.append(round(kernel, 7))
        at.append(SHORT[name])
    travel = case["lifts"][-1]
    touch, least = touch_by_marching(lambda v: sampled_gap(case, v)[0], travel)
    grazing = abs(least) < GRAZING_MM if touch is None else touch > 0.0 and dips_below(case, touch, travel) < GRAZING_MM
    if touch is not None and touch > 0.0:
        kernel_touch = touch_by_kernel(pair.distance, lambda v: sampled_gap(case, v)[0], touch, travel)
        rows.append((case["id"], "first contact", kernel_touch, touch))
        touch = round(kernel_touch, 7)
    case.pop("_edges", None)
    return {**case, "gaps": gaps, "at": at, "first_contact": touch, "grazing": bool(grazing)}, rows


def dips_below(case, touch, travel):
    """How deep the interference gets right after first contact, looking on by a few millimetres."""
    lifts = np.linspace(touch, min(touch + 3.0, travel), 60)
    return max((-sampled_gap(case, v)[0] for v in lifts), default=0.0)


def write_files(done):
    cases = [d["case"] for d in done]
    lines = ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases)
    (HERE / "cases.json").write_text('{"unit":"mm, deg","cases":[\n' + lines + "\n]}\n")
    rows = [r for d in done for r in d["rows"]]
    text = "".join(f"{i},{what},{k:.10f},{s:.10f},{k - s:.1e}\n" for i, what, k, s in rows)
    (HERE / "cross_check.csv").write_text("case,quantity,kernel_mm,sampled_mm,difference_mm\n" + text)


def main():
    n_cases = int(sys.argv[1]) if len(sys.argv) > 1 else N_CASES
    partial = HERE / "cases.partial.jsonl"
    done = [json.loads(s) for s in partial.read_text().splitlines()] if partial.exists() else []
    with partial.open("a") as out:
        for n in range(len(done), n_cases):
            case, rows = solve(choose_case(n))
            done.append({"case": case, "rows": rows})
            out.write(json.dumps(done[-1]) + "\n")
            out.flush()
            worst = max(abs(k - s) for _, _, k, s in rows)
            print(n, case["kind"], case["first_contact"], case["grazing"], f"{worst:.1e}", flush=True)
    write_files(done[:n_cases])


if __name__ == "__main__":
    main()

"""Makes `cases.json` and `cross_check.csv`: least gaps over two turns of the crank and their angles. See README.md for the definitions.

    python make_cases.py            all cases
    python make_cases.py 20         the first 20 only

Case n depends on n alone. Finished cases are kept in `cases.partial.jsonl` and not redone.
"""

import json
import pathlib
import sys

import numpy as np

import piston_gap
import valve_to_valve_gap
from invented_builds import random_build
from kernel_check import kernel_valve_to_piston, kernel_valve_to_valve
from least_over_cycle import golden, least_valve_to_piston, least_valve_to_valve, least_while_below
from piston_gap import Piston, lowest_point
from valve_law import crown_height, lift_at

HERE = pathlib.Path(__file__).parent
SEED = 20262
N_ROOMY = 120
N_CASES = 130


def solve(case):
    """All minima of one build; None for builds that miss or hit by far, and for rims that only just reach the crown plane."""
    pistons = [Piston(v["pocket"]) for v in case["valves"]]
    if any(barely_reaches(case, v) for v in case["valves"] if v["pocket"]):
        return None
    result = {"valve_to_piston": [], "valve_to_valve": least_valve_to_valve(case, valve_to_valve_gap.gap)}
    if not -1.5 < result["valve_to_valve"][0] < 8.0:
        return None
    for valve, piston in zip(case["valves"], pistons):
        least = {"distance": least_valve_to_piston(case, valve, piston, piston_gap.distance, lowest_point)}
        if not -2.0 < least["distance"][0] < 6.0:
            return None
        for name in ("vertical", "axial"):
            least[name] = least_valve_to_piston(case, valve, piston, getattr(piston_gap, name), lowest_point)
        least["radial"] = least_while_below(case, valve, piston, piston_gap.radial, lowest_point) if valve["pocket"] else None
        result["valve_to_piston"].append(least)
    result["quench"] = golden(lambda t: case["gasket"] - crown_height(case, t), -20.0, 25.0)
    return result if steady(case, pistons, result) else None


def meets_pocket_wall(result):
    return any(least["radial"] is not None and least["radial"][0] < 0.0 for least in result["valve_to_piston"])


def approach_in_overlap(case):
    """Whether the valves stand clearly closer together at top dead centre of the overlap than seated."""
    one, two = case["valves"]
    seated = valve_to_valve_gap.gap(one, 0.0, two, 0.0)
    return valve_to_valve_gap.gap(one, lift_at(one["lift"], 360.0), two, lift_at(two["lift"], 360.0)) < seated - 0.2


def barely_reaches(case, valve):
    theta = np.arange(0.0, 720.0, 0.25)
    lowest = min(lowest_point(valve, lift_at(valve["lift"], t), crown_height(case, t)) for t in theta)
    return abs(lowest) < 0.05


def steady(case, pistons, result):
    """No travel gap may jump at its least value: a rim that slides past the mouth's edge there would leave the angle to chance."""
    for valve, piston, least in zip(case["valves"], pistons, result["valve_to_piston"]):
        for name in ("vertical", "axial"):
            gap, at = least[name]
            if at is None:
                continue
            for near in (at - 0.002, at + 0.002):
                value = getattr(piston_gap, name)(valve, piston, lift_at(valve["lift"], near), crown_height(case, near))
                if abs(value - gap) > 0.01:
                    return False
    return True


def cross_check(case, result):
    """Rows (quantity, value stored, value from elsewhere) at the angles found."""
    rows = []
    for i, (valve, least) in enumerate(zip(case["valves"], result["valve_to_piston"])):
        gap, at = least["distance"]
        if at is not None:
            kernel = kernel_valve_to_piston(valve, lift_at(valve["lift"], at), crown_height(case, at))
            rows.append((f"valve {i} to piston, kernel", max(gap, 0.0), kernel))
        for name in ("vertical", "axial"):
            gap, at = least[name]
            if at is not None and gap > 0.001:
                rows.append((f"valve {i} {name} travel, kernel", gap, kernel_travel(case, valve, name, at, gap)))
    gap, at = result["valve_to_valve"]
    if at is not None:
        one, two = case["valves"]
        lifts = one, lift_at(one["lift"], at), two, lift_at(two["lift"], at)
        rows.append(("valve to valve, kernel", max(gap, 0.0), kernel_valve_to_valve(*lifts)))
        if gap > 0.0:
            rows.append(("valve to valve, support planes", gap, valve_to_valve_gap.proven_lower_bound(*lifts)))
    return rows


def kernel_travel(case, valve, name, at, gap):
    """Travel to contact by the kernel: the bodies must cross 0.1 um past `gap`, and the distances just short of it carried on to zero give it."""
    lift, crown = lift_at(valve["lift"], at), crown_height(case, at)

    def apart(travel):
        if name == "vertical":
            return kernel_valve_to_piston(valve, lift, crown + travel)
        return kernel_valve_to_piston(valve, lift + travel, crown)

    if apart(gap + 1e-4) > 1e-9:
        return float("nan")
    d2, d1 = apart(gap - 2e-4), apart(gap - 1e-4)
    return gap - 1e-4 + 1e-4 * d1 / (d2 - d1)


def answer(case, result):
    def tidy(pair):
        return None if pair is None else [round(float(pair[0]), 7), None if pair[1] is None else round(float(pair[1]), 5)]

    heights = [[t, round(float(crown_height(case, t)), 9)] for t in (7.0, 33.0, 90.0, 171.0, 260.0, 353.0, 444.0, 627.0)]
    pistons = [{k: tidy(v) for k, v in least.items()} for least in result["valve_to_piston"]]
    quench = [round(float(result["quench"][0]), 7), round(float(result["quench"][1]), 5) + 0.0]
    return {"crown_height": heights, "valve_to_piston": pistons, "valve_to_valve": tidy(result["valve_to_valve"]), "quench": quench}


def make(n):
    rng = np.random.default_rng([SEED, n])
    # Two cases in three have a pocket under both valves; one in six may leave the angle between the valves open. The last ten
    # have pockets too tight or astray, so that a margin meets the wall.
    pockets_wanted = 1 if n % 3 == 0 else 2
    while True:
        case = random_build(rng) if n < N_ROOMY else random_build(rng, room=(-0.3, 0.8), astray=1.0)
        if sum(v["pocket"] is not None for v in case["valves"]) < pockets_wanted:
            continue
        if n % 6 != 5 and not approach_in_overlap(case):
            continue
        result = solve(case)
        if result is None or (n >= N_ROOMY and not meets_pocket_wall(result)):
            continue
        if n % 6 == 5 or result["valve_to_valve"][1] is not None:
            return {"id": n, **case, **answer(case, result)}, cross_check(case, result)


def write_files(done):
    lines = ",\n".join(json.dumps(d["case"], separators=(",", ":")) for d in done)
    (HERE / "cases.json").write_text('{"unit":"mm, deg","cases":[\n' + lines + "\n]}\n")
    text = "".join(f"{d['case']['id']},\"{q}\",{a:.10f},{b:.10f},{a - b:.1e}\n" for d in done for q, a, b in d["rows"])
    (HERE / "cross_check.csv").write_text("case,quantity,stored_mm,other_mm,difference_mm\n" + text)


def main():
    n_cases = int(sys.argv[1]) if len(sys.argv) > 1 else N_CASES
    partial = HERE / "cases.partial.jsonl"
    done = [json.loads(s) for s in partial.read_text().splitlines()] if partial.exists() else []
    with partial.open("a") as out:
        for n in range(len(done), n_cases):
            case, rows = make(n)
            done.append({"case": case, "rows": rows})
            out.write(json.dumps(done[-1]) + "\n")
            out.flush()
            worst = max((abs(a - b) for _, a, b in rows), default=0.0)
            print(n, case["valve_to_piston"], case["valve_to_valve"], f"{worst:.1e}", flush=True)
    write_files(done[:n_cases])


if __name__ == "__main__":
    main()

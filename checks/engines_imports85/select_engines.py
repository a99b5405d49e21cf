"""Picks the distinct naturally aspirated spark-ignition piston engines out of the 1985 automobile table.

Usage: python select_engines.py imports-85.tab > engines.csv

The table is the one that the package orange3 3.40.0 (PyPI) carries as Orange/tests/datasets/imports-85.tab: tab separated,
three header lines, `?` for what is missing. Words of engine type and fuel system are kept as they stand there; makes and
prices are left out.
"""

import csv
import math
import sys

CYLINDERS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "twelve": 12}
# Bore, stroke and cylinders reproduce the stated size within this, or one of them is wrong in the table.
GEOMETRY = 0.05
# One row is marked `std` and is the same engine as turbocharged ones, by its power too.
LOOKS_BLOWN_BAR = 10.3
WATTS_PER_HP = 745.70


def rows(path):
    with open(path, encoding="utf-8", newline="") as file:
        table = csv.reader(file, delimiter="\t")
        head = [name.strip() for name in next(table)]
        next(table)
        next(table)
        for number, row in enumerate(table, start=4):
            yield number, dict(zip(head, row))


def main(path):
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(
        "line engine_type cylinders size_in3 fuel_system bore_in stroke_in compression power_hp speed_rpm "
        "size_by_geometry doubt".split()
    )
    seen = set()
    for line, row in rows(path):
        if row["fuel-type"] != "gas" or row["aspiration"] != "std" or row["engine-type"] == "rotor":
            continue
        wanted = ["engine-size", "bore", "stroke", "compression-ratio", "horsepower", "peak-rpm"]
        if any(row[name] == "?" for name in wanted):
            continue
        size, bore, stroke, compression, power, speed = (float(row[name]) for name in wanted)
        n = CYLINDERS[row["num-of-cylinders"]]
        by_geometry = math.pi / 4 * bore * bore * stroke * n / size
        if abs(by_geometry - 1) > GEOMETRY:
            continue
        engine = (row["engine-type"], n, size, row["fuel-system"], bore, stroke, compression, power, speed)
        if engine in seen:
            continue
        seen.add(engine)
        displacement = size * 0.0254**3
        bmep_bar = power * WATTS_PER_HP * 120 / (displacement * speed) / 1e5
        doubt = "power of a blown engine" if bmep_bar > LOOKS_BLOWN_BAR else ""
        out.writerow(
            [line, row["engine-type"], n, f"{size:g}", row["fuel-system"], bore, stroke, compression, f"{power:g}",
             f"{speed:g}", f"{by_geometry:.4f}", doubt]
        )


main(sys.argv[1])

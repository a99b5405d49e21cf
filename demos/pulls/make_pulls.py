"""Nine invented pulls of the invented Heron six on the club's invented brake: base, larger chokes, base again.

The truth: the chokes give -0.5 % at 2,500 rpm rising to +4.5 % at 6,200; the engine loses 0.4 % over the day; a pull scatters by
0.5 % as a whole, and a reading by 0.4 N m. Torque follows the day's air by SAE J1349.

    python make_pulls.py        # writes the CSV files beside this script; fixed seed
"""
import math
import pathlib
import random

HERE = pathlib.Path(__file__).parent
START, END, RATE_RPM_S, STEP_S = 2300, 6300, 400, 0.1
# name, minute of the day from 9:00, changed, degC, kPa, % humidity
PULLS = [
    ("heron-a1", 0, False, 18.5, 98.42, 61), ("heron-a2", 7, False, 18.9, 98.42, 60), ("heron-a3", 14, False, 19.1, 98.41, 60),
    ("heron-b1", 71, True, 20.6, 98.37, 55), ("heron-b2", 78, True, 20.8, 98.37, 54), ("heron-b3", 85, True, 21.0, 98.36, 54),
    ("heron-a4", 142, False, 21.9, 98.30, 50), ("heron-a5", 149, False, 22.1, 98.30, 50), ("heron-a6", 156, False, 22.2, 98.29, 49),
]


def torque(n):
    """N m at SAE conditions."""
    x = (n - 4100) / 2000
    return 204 - 21 * x * x - 4 * x**3 + 1.5 * math.sin(n / 260)


def gain(n):
    return -0.005 + 0.05 * (n - 2500) / 3700


def sae(t_c, p_kpa, humidity):
    vapour = humidity / 100 * 0.61121 * math.exp((18.678 - t_c / 234.5) * t_c / (257.14 + t_c))
    return 1.18 * 99 / (p_kpa - vapour) * math.sqrt((t_c + 273) / 298) - 0.18


rng = random.Random(20250517)
for name, minute, changed, t_c, p_kpa, humidity in PULLS:
    whole = (1 - 0.004 * minute / 156) * (1 + rng.gauss(0, 0.005)) / sae(t_c, p_kpa, humidity)
    lines = [
        "Hill-climb club brake, cell 1 (invented)", "Engine: Heron six, " + ("33 mm chokes" if changed else "30 mm chokes"),
        "Date: 2025-05-17", f"Time: {9 + minute // 60:02}:{minute % 60:02}", f"Barometer: {p_kpa:.2f} kPa", f"Air temp: {t_c:.1f} degC",
        f"Humidity: {humidity} %", "", "Time;Speed;Torque;Power;Coolant;Oil", "s;rpm;Nm;kW;degC;degC",
    ]
    coolant, oil = 81 + rng.gauss(0, 0.6), 94 + rng.gauss(0, 1.2)
    for idx in range(int((END - START) / RATE_RPM_S / STEP_S) + 1):
        n = START + RATE_RPM_S * STEP_S * idx + rng.gauss(0, 4)
        reading = torque(n) * (1 + (gain(n) if changed else 0)) * whole + rng.gauss(0, 0.4)
        lines.append(f"{STEP_S * idx:.1f};{n:.0f};{reading:.1f};{reading * round(n) * math.pi / 30e3:.2f};{coolant + 0.2 * idx * STEP_S:.1f};{oil + 0.3 * idx * STEP_S:.1f}")
    (HERE / f"{name}.csv").write_text("\n".join(lines) + "\n")

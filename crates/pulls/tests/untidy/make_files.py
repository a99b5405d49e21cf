"""Untidy files of invented brakes. No layout is that of a product. Every good file holds the same invented engine:
T(n) = 240 - 1e-5 (n - 4200)^2 N m, so that reading it right can be told from reading it wrong.

    python make_files.py        # needs openpyxl; writes the files beside this script
"""
import datetime
import math
import pathlib

import openpyxl

HERE = pathlib.Path(__file__).parent
LBFT, HP, PS, KGFM = 1.3558179483314004, 0.7456998715822702, 0.73549875, 9.80665
SPEEDS = list(range(2500, 6501, 250))


def torque(n):
    return 240 - 1e-5 * (n - 4200) ** 2


def kw(n):
    return torque(n) * n * math.pi / 30e3


def comma(text):
    return text.replace(".", ",")


def write(name, text, encoding="utf-8", newline="\n"):
    (HERE / name).write_bytes(text.replace("\n", newline).encode(encoding))


def rows(fmt, speeds=SPEEDS):
    return "".join(fmt(n) + "\n" for n in speeds)


plain = lambda n: f"{n},{torque(n):.2f},{kw(n):.3f}"

# 01 the tidy one, for comparison
write("01_plain.csv", "Engine speed (rpm),Torque (N·m),Power (kW)\n" + rows(plain))
# 02 semicolons, decimal comma, German, Windows-1252, unit row, CRLF
write("02_german.csv", "Drehzahl;Drehmoment;Leistung;Öltemperatur\n1/min;Nm;PS;°C\n"
      + rows(lambda n: comma(f"{n};{torque(n):.1f};{kw(n) / PS:.1f};{95 + n / 1000:.1f}")), "cp1252", "\r\n")
# 03 tabs, UTF-16 with mark
write("03_utf16.txt", "time [s]\tspeed [rpm]\ttorque [lb-ft]\n"
      + rows(lambda n: f"{(n - 2500) / 400:.2f}\t{n}\t{torque(n) / LBFT:.2f}"), "utf-16")
# 04 byte-order mark, metadata on top with weather
write("04_metadata.csv", "Cell 2 of the vintage racing club\nDate: 2025-05-03\nTime: 10:42\nBarometer: 28.85 inHg\nAir temp: 85 °F\n"
      "Humidity: 85 %\nBrake: the old water brake\n\nRPM,Torque lb-ft,HP\n"
      + rows(lambda n: f"{n},{torque(n) / LBFT:.1f},{kw(n) / HP:.1f}"), "utf-8-sig")
# 05 French, semicolons, decimal comma
write("05_francais.csv", "Régime (tr/min);Couple (N.m);Puissance (ch)\n"
      + rows(lambda n: comma(f"{n};{torque(n):.1f};{kw(n) / PS:.1f}")), "cp1252")
# 06 thousands in quotes
write("06_thousands.csv", '"RPM","Torque (Nm)"\n' + rows(lambda n: f'"{n:,}","{torque(n):.1f}"'))
# 07 thousands with points, decimal comma
write("07_thousands_comma.csv", "Giri motore [giri/min];Coppia [Nm]\n"
      + rows(lambda n: f"{n:,}".replace(",", ".") + ";" + comma(f"{torque(n):.2f}")))
# 08 no units at all: torque times speed tells them
write("08_no_units.csv", "RPM,Torque,Power\n" + rows(lambda n: f"{n},{torque(n) / LBFT:.1f},{kw(n) / HP:.1f}"))
# 09 names over two lines
write("09_two_lines.csv", "Engine,Brake,Oil\nspeed rpm,torque Nm,temp °C\n" + rows(lambda n: f"{n},{torque(n):.1f},{98:.1f}"))
# 10 blanks between columns
write("10_blanks.txt", "   rpm      Nm      kW\n" + rows(lambda n: f"  {n:5d}  {torque(n):6.1f}  {kw(n):6.2f}"))
# 11 power alone
write("11_power_only.csv", "n [min-1],Power [kW]\n" + rows(lambda n: f"{n},{kw(n):.3f}"))
# 12 corrected figure and its factor
write("12_factor.csv", "RPM,SAE torque (Nm),Correction factor\n" + rows(lambda n: f"{n},{torque(n) * 1.034:.2f},1.034"))
# 13 corrected beside measured
write("13_both.csv", "RPM,Torque raw (Nm),Torque corrected (Nm),CF\n"
      + rows(lambda n: f"{n},{torque(n):.2f},{torque(n) * 1.034:.2f},1.034"))
# 14 up and down in one recording
ups = [2500 + 20 * k for k in range(201)]
both = ups + ups[::-1][1:]
write("14_up_down.csv", "time_s,rpm,torque_nm\n"
      + "".join(f"{0.05 * k:.2f},{n},{torque(n):.2f}\n" for k, n in enumerate(both)))
# 15 three runs by number
write("15_runs.csv", "Run;RPM;Torque (Nm)\n" + "".join(rows(lambda n: f"{run};{n};{torque(n):.1f}") for run in (1, 2, 3)))
# 16 the header again before every run
write("16_again.csv", "".join(f"Run {run}\nRPM,Torque (Nm)\n" + rows(plain_two) for run, plain_two in
      ((1, lambda n: f"{n},{torque(n):.1f}"), (2, lambda n: f"{n},{torque(n):.1f}"))))
# 17 a summary below, readings that are missing
write("17_summary.csv", "RPM,Torque (Nm),Knock\n" + rows(lambda n: f"{n},{'---' if n in (3000, 5250) else f'{torque(n):.1f}'},0")
      + "\nMaximum torque 240.0 Nm at 4250 rpm\nOperator: the member on duty\n")
# 18 clock times, thousands of revolutions
write("18_clock.csv", "Time;Speed (krpm);Torque (kgf m)\n"
      + rows(lambda n: f"10:42:{(n - 2500) / 100:06.3f};{n / 1000:.3f};{torque(n) / KGFM:.4f}"))
# 19 setpoints and roller speed beside the real thing
write("19_setpoint.csv", "RPM setpoint,RPM,Torque demand (Nm),Torque (Nm),Roller speed (km/h)\n"
      + rows(lambda n: f"{n},{n + 3},300,{torque(n + 3):.2f},{n / 50:.1f}"))
# 20 bars, trailing separators, blank lines
write("20_bars.txt", "RPM|Torque [Nm]|Lambda|\n\n" + rows(lambda n: f"{n}|{torque(n):.1f}|0.88|\n"))
# 21 settling before and spinning down after
recording = [3400 - 30 * k for k in range(30)] + ups + [6500 - 150 * k for k in range(1, 11)]
load = lambda k, n: torque(n) if 30 <= k < 231 else torque(n) * 0.1
write("21_settling.csv", "time (s),speed (rpm),torque (Nm)\n"
      + "".join(f"{0.05 * k:.2f},{n},{load(k, n):.2f}\n" for k, n in enumerate(recording)))


def workbook(name, sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, lines in sheets:
        sheet = book.create_sheet(title)
        for line in lines:
            sheet.append(line)
    book.properties.created = book.properties.modified = datetime.datetime(2025, 5, 3)
    book.save(HERE / name)


# 22 workbook with a cover sheet, metadata and unit row
workbook("22_workbook.xlsx", [
    ("Cover", [["Vintage racing club"], ["Heron six"]]),
    ("Data", [["Date", "2025-05-03"], [], ["Speed", "Torque", "Coolant"], ["rpm", "Nm", "°C"]]
     + [[n, round(torque(n), 3), 82.5] for n in SPEEDS]),
])
# 23 workbook with numbers as text, decimal comma
workbook("23_text_cells.xlsx", [("Blatt1", [["Drehzahl [1/min]", "Moment [Nm]"]]
         + [[str(n), comma(f"{torque(n):.1f}")] for n in SPEEDS])])

# Refused.
# 24 a letter in a number
write("24_letter.csv", "RPM,Torque (Nm)\n" + rows(lambda n: f"{n},{'23O.4' if n == 3500 else f'{torque(n):.1f}'}"))
# 25 no engine speed
write("25_no_speed.csv", "Vehicle speed (km/h),Torque (Nm)\n" + rows(lambda n: f"{n / 50:.1f},{torque(n):.1f}"))
# 26 corrected alone
write("26_only_corrected.csv", "RPM,SAE power (hp)\n" + rows(lambda n: f"{n},{kw(n) / HP * 1.03:.1f}"))
# 27 torque without unit and without power
write("27_no_unit.csv", "# made by hand\nRPM,Torque\n" + rows(lambda n: f"{n},{torque(n):.1f}"))
# 28 points and commas mixed
write("28_mixed.csv", "RPM;Torque (Nm)\n" + rows(lambda n: f"{n};{torque(n):.1f}" if n < 4000 else comma(f"{n};{torque(n):.1f}")))
# 29 power that torque and speed do not make
write("29_contradiction.csv", "RPM,Torque (Nm),Power (kW)\n" + rows(lambda n: f"{n},{torque(n):.1f},{kw(n) * 0.85:.2f}"))
# 30 two torques
write("30_two_torques.csv", "RPM,Torque cell 1 (Nm),Torque cell 2 (Nm)\n" + rows(lambda n: f"{n},{torque(n):.1f},{torque(n):.1f}"))
# 31 no header
write("31_no_header.csv", rows(plain))
# 32 a picture
(HERE / "32_picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x01\x00")
# 33 a letter, not a table
write("33_letter.txt", "Dear member,\n\nthe brake is closed on Sunday.\n")
# 34 speed that does not move
write("34_held.csv", "RPM,Torque (Nm)\n" + "".join(f"{3500 + k % 3},{torque(3500):.1f}\n" for k in range(40)))
# 35 a speed no engine turns: the unit is another
write("35_absurd.csv", "Speed (krpm),Torque (Nm)\n" + rows(lambda n: f"{n},{torque(n):.1f}"))
# 36 a broken workbook
(HERE / "36_broken.xlsx").write_bytes(b"PK\x03\x04" + bytes(range(60)))
# 37 empty
write("37_empty.csv", "")
# 38 a unit nobody knows
write("38_unit.csv", "RPM,Torque [stone furlongs]\n" + rows(lambda n: f"{n},{torque(n):.1f}"))
# 39 two hundred or two hundred thousand
write("39_three.csv", "RPM;Torque (Nm)\n" + "".join(f"{n};{torque(n):.3f}".replace(".", ",") + "\n" for n in SPEEDS))
# 40 thousands of revolutions with a comma: three digits behind it, and yet no thousands
write("40_comma_krpm.csv", "Speed (krpm);Torque (Nm)\n" + "".join(f"{n / 1000:.3f};{torque(n):.0f}\n".replace(".", ",") for n in SPEEDS))

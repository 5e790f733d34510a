#!/usr/bin/env python3
"""Makes the two invented logs of this scenario: cold_crank.csv and hot_crank.csv, with the model of ../make_logs.py and the habits of two other scan tools.

Run:  python3 make_logs.py      (fixed seeds: the same files every time)
"""
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from make_logs import INLINE_SIX, Engine, at, crank, quantised  # noqa: E402

HOLE = 0.66e-3  # m, the hidden fault: a hole at jumper tube 3's seal


def cold(path):
    """Semicolons, decimal commas, a preamble, a row of units, Latin-1; columns asked one after another; the engine fires in the end."""
    engine = Engine(INLINE_SIX, 14, 158, 10.2, 0.055, 11, hole=HOLE)
    rows, rnd = crank(engine, 6.0, True), engine.random
    lines = ["Data recording;workshop laptop 2", "Vessel;harbour work boat (invented)", "", "Time;RPM;ICP;ICP_DES;IPR;EOT;VPWR", "s;1/min;psi;psi;%;\u00b0C;V"]
    t = 0.0
    while t < 5.9:
        r = [at(rows, max(0.0, t + 0.035 * k - 0.4)) for k in range(5)]
        before = t < 0.4
        icp = max(0.0, quantised((0.0 if before else r[1][1] / 6894.757) + rnd.gauss(3, 4.0), 4.4))
        cells = ["%.2f" % t, "0" if before else "%d" % quantised(r[0][4] + rnd.gauss(0, 2), 1), "%.1f" % icp, "%.0f" % (r[2][2] / 6894.757),
                 "%.1f" % quantised(8.2 if before else 100 * r[3][3], 0.39), "14", "%.1f" % (12.4 if before else r[4][5] + rnd.gauss(0, 0.05))]
        if rnd.random() < 0.08:
            cells[rnd.randrange(1, 5)] = ""
        lines.append(";".join(cells).replace(".", ","))
        t += 0.31 + rnd.gauss(0, 0.015)
    open(path, "w", encoding="latin-1", newline="").write("\r\n".join(lines) + "\r\n")


def hot(path):
    """Commas, milliseconds, kPa, duty as a fraction, degF; blanks, a gap while the tool was reset."""
    engine = Engine(INLINE_SIX, 88, 171, 10.6, 0.035, 23, hole=HOLE)
    rows, rnd = crank(engine, 9.0, False), engine.random
    lines = ['"Time (ms)","Engine Speed","Injection Control Pressure (kPa)","IPR DC","EOT (F)","Battery (V)"']
    t = 0.0
    while t < 9.2:
        r = [at(rows, max(0.0, t + 0.05 * k - 0.6)) for k in range(4)]
        before = t < 0.6
        icp = max(0, quantised((0.0 if before else r[1][1] / 1e3) + rnd.gauss(15, 28.0), 30))
        cells = ["%d" % (1000 * t), "0" if before else "%d" % (r[0][4] + rnd.gauss(0, 2)), "%d" % icp, "%.3f" % quantised(0.082 if before else r[2][3], 0.0039), "190",
                 "%.2f" % (12.3 if before else r[3][5] + rnd.gauss(0, 0.05))]
        if rnd.random() < 0.10:
            cells[rnd.randrange(1, 4)] = "" if rnd.random() < 0.6 else "N/A"
        if not 4.9 < t < 6.3:
            lines.append(",".join(cells))
        t += 0.5 + rnd.gauss(0, 0.02)
    open(path, "w", encoding="utf-8-sig", newline="").write("\n".join(lines) + "\n")


if __name__ == "__main__":
    cold("cold_crank.csv")
    hot("hot_crank.csv")

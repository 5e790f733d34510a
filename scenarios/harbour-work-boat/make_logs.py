#!/usr/bin/env python3
"""Makes the two invented logs of this scenario: cold_crank.csv and hot_crank.csv.

It is not the model that railseep fits. One stiff volume instead of three, explicit Runge-Kutta at 50 us, another leak coefficient (0.65),
another bulk modulus law (constant, with its own air term), viscosity by straight lines in a table, a pump with piston ripple, a speed that
sags with every compression, a regulator with hysteresis, another control module (20 ms, own gains). A scan tool asks one column after
another, rounds to its converter's steps, and misses some. Run:  python3 make_logs.py      (fixed seeds: the same files every time)
"""
import math
import random

HOLE = 0.66e-3          # m, the hidden fault: a hole at jumper tube 3's seal
P_ATM = 101325.0
VOLUME = 0.41e-3        # m3
DISPLACEMENT = 7.45e-6  # m3/rev, a little above the type's nominal value
DRIVE = 1.1
PISTONS = 7
NU_TABLE = [(0, 1359e-6), (10, 640e-6), (20, 325e-6), (40, 110e-6), (60, 47.7e-6), (80, 24.6e-6), (90, 18.9e-6), (100, 14.5e-6)]


def viscosity(celsius):
    """Pa.s, straight lines in ln(nu) between table points, and a density by a straight line."""
    for (t0, n0), (t1, n1) in zip(NU_TABLE, NU_TABLE[1:]):
        if t0 <= celsius <= t1:
            nu = math.exp(math.log(n0) + (celsius - t0) / (t1 - t0) * math.log(n1 / n0))
            return nu * density(celsius)
    raise ValueError(celsius)


def density(celsius):
    return 881.0 - 0.63 * (celsius - 15.0)


class Engine:
    def __init__(self, celsius, rpm, volts, air, seed):
        self.mu, self.rho, self.celsius = viscosity(celsius), density(celsius), celsius
        self.rpm0, self.volts0, self.air = rpm, volts, air * VOLUME
        self.random = random.Random(seed)
        self.angle = self.random.random()
        self.duty, self.integral, self.spool, self.running = 0.0, 0.0, 0.0, False

    def speed(self, t):
        """rev/s: run-up, then three compressions a turn."""
        if self.running:
            return 640 / 60 * (1 + 0.01 * math.sin(31 * t))
        run_up = 1 - math.exp(-t / 0.18)
        return self.rpm0 / 60 * run_up * (1 + 0.05 * math.sin(2 * math.pi * 3 * self.angle) - 0.004 * t)

    def rate(self, p, t):
        """dp/dt of the one volume; p gauge."""
        pabs = p + P_ATM
        ripple = 1 + 0.0126 * math.cos(2 * math.pi * 2 * PISTONS * DRIVE * self.angle)
        q = DISPLACEMENT * DRIVE * self.speed(t) * ripple
        q -= 7.4e-9 * DISPLACEMENT / (2 * math.pi) * p / self.mu                                # slip
        q -= 6 * math.pi * 9e-3 * (20.6e-6) ** 3 * p / (12 * self.mu * 10e-3)                   # injectors
        root = math.sqrt(2 * abs(p) / self.rho)
        q -= math.copysign(0.65 * math.pi / 4 * HOLE ** 2 * root, p)                            # the hidden hole
        q -= self.spool * 0.65 * math.pi / 4 * (2.4e-3) ** 2 * root                             # regulator
        if self.running:
            q -= 9e-6
        gas = self.air * (P_ATM / pabs) ** (1 / 1.2)
        compliance = (VOLUME - gas) / 1.42e9 + gas / (1.2 * pabs)
        return q / compliance

    def step(self, p, t, dt):
        k1 = self.rate(p, t)
        k2 = self.rate(p + dt / 2 * k1, t + dt / 2)
        k3 = self.rate(p + dt / 2 * k2, t + dt / 2)
        k4 = self.rate(p + dt * k3, t + dt)
        self.angle += self.speed(t) * dt
        current = self.duty * self.voltage(t) / 9.3
        wanted = 2.0e5 + 2.2e7 * max(0.0, current - 0.125)
        target = min(1.0, max(0.0, (p - wanted) / 0.9e6 + 0.02 * (self.spool > 0)))
        self.spool += (target - self.spool) * dt / 6e-3
        return p + dt / 6 * (k1 + 2 * k2 + 2 * k3 + k4)

    def voltage(self, t):
        return 13.6 if self.running else self.volts0 - 0.9 * math.exp(-t / 0.3) - 0.03 * t

    def control(self, p):
        wanted = 5.6e6 if self.celsius < 50 else 5.1e6
        error = (wanted - p) / 1e6
        asked = 0.34 + 0.028 * error + self.integral
        self.duty = min(0.85, max(0.06, asked))
        if self.duty == asked or error < 0:
            self.integral += 0.045 * error * 0.02
        return wanted


def crank(celsius, rpm, volts, air, seconds, seed, may_fire):
    engine, p, dt, rows = Engine(celsius, rpm, volts, air, seed), 0.0, 50e-6, []
    above = 0.0
    wanted = 0.0
    for i in range(int(seconds / dt)):
        t = i * dt
        if i % 400 == 0:
            wanted = engine.control(p)
            above = above + 0.02 if p > 3.5e6 else 0.0
            engine.running = engine.running or (may_fire and above > 1.1)
        if i % 20 == 0:
            rows.append((t, p, wanted, engine.duty, 60 * engine.speed(t), engine.voltage(t)))
        p = engine.step(p, t, dt)
    return rows, engine.random


def at(rows, t):
    return rows[max(0, min(len(rows) - 1, round(t / 1e-3)))]


def quantised(value, step):
    return round(value / step) * step


def cold(path):
    """Semicolons, decimal commas, a preamble, a row of units, Latin-1; columns asked one after another; the engine fires in the end."""
    rows, rnd = crank(14, 158, 10.2, 0.055, 6.0, 11, True)
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
    rows, rnd = crank(88, 171, 10.6, 0.035, 9.0, 23, False)
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

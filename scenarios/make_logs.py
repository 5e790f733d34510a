#!/usr/bin/env python3
"""Makes the invented logs of the jobs in this folder, with a model of its own.

It is not the model that railseep fits. One stiff volume, explicit Runge-Kutta, another leak coefficient (0.65), another bulk modulus law
(constant, with its own air term), viscosity by straight lines in a table, a pump with piston ripple, a speed that sags with every compression,
a regulator with hysteresis, another control module (20 ms, own gains). A scan tool asks one column after another, rounds to its converter's
steps, and misses some. What is hidden in each job stands below, in JOBS.

    python3 scenarios/make_logs.py [JOB ...]        (fixed seeds: the same files every time)
"""
import math
import os
import random
import sys

P_ATM = 101325.0
PSI = 6894.757
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


# Engine types, a little beside the nominal numbers of the circuits in models/. SI.
INLINE_SIX = {"volume": 0.41e-3, "displacement": 7.45e-6, "drive": 1.1, "pistons": 7, "slip": 7.4e-9, "injectors": 6, "injector_width": math.pi * 9e-3,
              "injector_clearance": 20.6e-6}
VALLEY_V8 = {"volume": 0.57e-3, "displacement": 7.25e-6, "drive": 1.0, "pistons": 7, "slip": 7.1e-9, "injectors": 8, "injector_width": 25.13e-3,
             "injector_clearance": 20.4e-6}


class Engine:
    """Faults: hole [m], wear (times the slip), supply (share of the pump's flow that is oil), no_sync, wire_broken."""

    def __init__(self, kind, celsius, rpm, volts, air, seed, hole=0.0, wear=1.0, supply=1.0, no_sync=False, wire_broken=False):
        self.__dict__.update(kind)
        self.mu, self.rho, self.celsius = viscosity(celsius), density(celsius), celsius
        self.rpm0, self.volts0, self.air = rpm, volts, air * self.volume
        self.hole, self.wear, self.supply, self.no_sync, self.wire_broken = hole, wear, supply, no_sync, wire_broken
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
        pabs = max(p + P_ATM, 1e3)
        ripple = 1 + 0.0126 * math.cos(2 * math.pi * 2 * self.pistons * self.drive * self.angle)
        q = self.displacement * self.drive * self.speed(t) * ripple * self.supply
        q -= self.wear * self.slip * self.displacement / (2 * math.pi) * p / self.mu
        q -= self.injectors * self.injector_width * self.injector_clearance ** 3 * p / (12 * self.mu * 10e-3)
        root = math.sqrt(2 * abs(p) / self.rho)
        q -= math.copysign(0.65 * math.pi / 4 * self.hole ** 2 * root, p)
        q -= self.spool * 0.65 * math.pi / 4 * (2.4e-3) ** 2 * root
        if self.running:
            q -= 9e-6
        gas = self.air * (P_ATM / pabs) ** (1 / 1.2)
        compliance = (self.volume - gas) / 1.42e9 + gas / (1.2 * pabs)
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
        if self.wire_broken:
            self.duty = 0.36
            return wanted
        error = (wanted - p) / 1e6
        asked = 0.34 + 0.028 * error + self.integral
        self.duty = min(0.85, max(0.06, asked))
        if self.duty == asked or error < 0:
            self.integral += 0.045 * error * 0.02
        return wanted


def crank(engine, seconds, may_fire, dt=50e-6):
    """Rows every millisecond: time, pressure, wanted, duty, rpm, volts of the battery."""
    p, rows, above, wanted = 0.0, [], 0.0, 0.0
    each_sample, each_row = round(0.02 / dt), round(1e-3 / dt)
    for i in range(int(seconds / dt)):
        t = i * dt
        if i % each_sample == 0:
            wanted = engine.control(p)
            above = above + 0.02 if p > 3.5e6 else 0.0
            engine.running = engine.running or (may_fire and not engine.no_sync and above > 1.1)
        if i % each_row == 0:
            rows.append((t, p, wanted, engine.duty, 60 * engine.speed(t), engine.voltage(t)))
        p = engine.step(p, t, dt)
    return rows


def at(rows, t):
    return rows[max(0, min(len(rows) - 1, round(t / 1e-3)))]


def quantised(value, step):
    return round(value / step) * step


def write_log(path, engine, seconds, may_fire=False, interval=0.34, noise=3.5 * PSI):
    """psi, degC; columns asked one after another, steps of the converter, a blank now and then. A broken wire shows the module's default."""
    rows, rnd = crank(engine, seconds, may_fire, 1e-4), engine.random
    lines = ["Workshop recording;invented", "", "Time;RPM;ICP;ICP_DES;ICP_V;IPR;EOT;VPWR", "s;1/min;psi;psi;V;%;degC;V"]
    t, start = 0.0, 0.4
    while t < seconds + start - 0.05:
        r = [at(rows, max(0.0, t + 0.04 * k - start)) for k in range(5)]
        before = t < start
        p = (0.0 if before else r[1][1]) + rnd.gauss(2 * PSI, noise)
        volts = 0.01 if engine.wire_broken else max(0.0, 0.24 + p / 6.157e6)
        psi = 870.2 if engine.wire_broken else max(0.0, quantised(p / PSI, 4.4))
        cells = ["%.2f" % t, "0" if before else "%d" % (r[0][4] + rnd.gauss(0, 2)), "%.1f" % psi, "%.0f" % (r[2][2] / PSI), "%.2f" % volts,
                 "%.1f" % quantised(8.2 if before else 100 * r[3][3], 0.39), "%d" % engine.celsius, "%.1f" % (12.4 if before else r[4][5] + rnd.gauss(0, 0.05))]
        if rnd.random() < 0.06:
            cells[rnd.choice([1, 2, 5])] = ""
        lines.append(";".join(cells).replace(".", ","))
        t += interval + rnd.gauss(0, 0.015)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write("\n".join(lines) + "\n")


# What is hidden in each job: (file, seconds, does it fire, temperature, rpm, volts, share of the passages that is air, seed, faults)
JOBS = {
    "delivery-van": [("cold_crank.csv", 4.5, True, 14, 158, 10.3, 0.04, 101, {"wear": 16}),
                     ("hot_crank.csv", 8.0, False, 89, 168, 10.6, 0.03, 102, {"wear": 16})],
    "gravel-truck": [("hot_crank.csv", 8.0, False, 90, 171, 10.5, 0.03, 201, {"hole": 0.64e-3})],
    "school-bus": [("crank.csv", 9.0, False, 22, 162, 10.4, 0.03, 301, {"supply": 0.004})],
    "fire-engine": [("crank.csv", 8.0, True, 64, 176, 10.6, 0.03, 401, {"no_sync": True})],
    "combine-harvester": [("first_crank.csv", 19.0, True, 20, 164, 10.3, 0.57, 501, {}),
                          ("second_crank.csv", 4.0, True, 22, 163, 10.3, 0.03, 502, {})],
    "road-sweeper": [("crank.csv", 6.0, False, 78, 170, 10.6, 0.03, 601, {"wire_broken": True})],
    "tow-truck": [("hot_crank.csv", 8.0, False, 88, 173, 10.6, 0.03, 701, {"hole": 0.70e-3})],
    "crane-truck": [("hot_crank.csv", 8.0, False, 88, 168, 10.5, 0.03, 801, {"hole": 0.68e-3}),
                    ("left_plugged.csv", 7.0, False, 84, 167, 10.5, 0.03, 802, {"hole": 0.68e-3, "half": True}),
                    ("right_plugged.csv", 7.0, False, 81, 166, 10.4, 0.03, 803, {"half": True})],
    "milk-tanker": [("before.csv", 8.0, False, 90, 170, 10.6, 0.03, 901, {"hole": 0.66e-3}),
                    ("after.csv", 8.0, False, 88, 172, 10.6, 0.05, 902, {"hole": 0.66e-3})],
    "snow-plough": [("cold_crank.csv", 4.5, True, 6, 150, 10.2, 0.04, 1001, {"hole": 0.50e-3, "wear": 5}),
                    ("before.csv", 8.0, False, 90, 168, 10.6, 0.03, 1002, {"hole": 0.50e-3, "wear": 5}),
                    ("after.csv", 5.0, True, 91, 169, 10.6, 0.04, 1003, {"wear": 5})],
}


def half(kind):
    """One rail plugged: a rail's volume and half the injectors are out of it."""
    return dict(kind, volume=kind["volume"] - 0.22e-3, injectors=kind["injectors"] // 2)


def make(job, folder):
    for file, seconds, fires, celsius, rpm, volts, air, seed, faults in JOBS[job]:
        faults = dict(faults)
        kind = half(VALLEY_V8) if faults.pop("half", False) else VALLEY_V8
        write_log(os.path.join(folder, file), Engine(kind, celsius, rpm, volts, air, seed, **faults), seconds, fires)


if __name__ == "__main__":
    here = os.path.dirname(os.path.abspath(__file__))
    for name in sys.argv[1:] or JOBS:
        os.makedirs(os.path.join(here, name), exist_ok=True)
        make(name, os.path.join(here, name))

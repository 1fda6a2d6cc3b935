"""The bed of `beside_scipy` in simulation.rs, by scipy's solve_ivp with events.

A box bed fed steadily fills to its siphon's start, spills while the siphon
primes, empties at full bore and breaks; the same formulas as the crate's.
Prints, for falling tolerances, the time of a simulated day (best of three,
right-hand side in plain Python) and the error of the cycle period against
rtol 1e-13, which at full bore is checked against a closed form.

    pip install scipy
    python benches/scipy_compare.py

The tests do not need it.
"""

import math
import time

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665
INFLOW = 12e-3 / 60
AREA = 1.2 * 1.0 * 0.40  # void of the gravel
BORE, LIP, CROWN, OUTLET = 0.0266, 0.225, 0.025, -0.6
BELL_BORE, CLEARANCE = 0.078, 0.025
SLOT_AREA = 6 * 0.012 * 0.025
WEIR, ORIFICE, FROUDE, CARRY, DIP = 1.80, 0.60, 0.45, 0.15, 0.5
LOSS = 1.0 + 3.0
PIPE = math.pi / 4 * BORE**2
DAY = 86400.0


def lip(level):
    head = level - LIP
    if head <= 0:
        return 0.0
    return min(WEIR * math.pi * BORE * head**1.5, ORIFICE * PIPE * math.sqrt(2 * G * head))


def full(level):
    return PIPE * math.sqrt(2 * G * max(level - OUTLET, 0.0) / LOSS)


START_FLOW = FROUDE * PIPE * math.sqrt(G * BORE)
START = brentq(lambda h: lip(h) - START_FLOW, LIP, LIP + 0.1, xtol=1e-15)
PRIMING = math.pi / 4 * BELL_BORE**2 * CLEARANCE / (CARRY * START_FLOW)
BREAK = brentq(
    lambda h: h - CROWN - DIP * (full(h) / SLOT_AREA) ** 2 / (2 * G), 0, LIP, xtol=1e-15
)


def event(level, direction):
    def distance(_, y):
        return y[0] - level

    distance.terminal, distance.direction = True, direction
    return distance


FILL = (lambda t, y: [INFLOW / AREA], event(LIP, 1))
SPILL = (lambda t, y: [(INFLOW - lip(y[0])) / AREA], event(START, 1))
PRIME = (SPILL[0], None)
EMPTY = (lambda t, y: [(INFLOW - full(y[0])) / AREA], event(BREAK, -1))


def day(rtol):
    t, level, breaks, calls = 0.0, 0.0, [], 0
    while t < DAY:
        for rates, stop in (FILL, SPILL, PRIME, EMPTY):
            until = DAY if stop else min(t + PRIMING, DAY)
            found = solve_ivp(
                rates, (t, until), [level], method="DOP853" if rtol < 1e-10 else "RK45",
                rtol=rtol, atol=rtol * 1e-2, events=stop,
            )
            t, level = found.t[-1], found.y[0, -1]
            calls += found.nfev
            if t >= DAY:
                return breaks, calls
        breaks.append(t)
    return breaks, calls


def emptying(high):
    """Closed form: head falls by (Qi - c sqrt(head)) / A."""
    c = PIPE * math.sqrt(2 * G / LOSS)

    def part(head):
        root = math.sqrt(head)
        return root + INFLOW / c * math.log(c * root - INFLOW)

    return 2 * AREA / c * (part(high - OUTLET) - part(BREAK - OUTLET))


def main():
    exact = day(1e-13)[0]
    period = exact[2] - exact[1]
    peak = solve_ivp(PRIME[0], (0, PRIMING), [START], rtol=1e-13, atol=1e-15, method="DOP853")
    head = peak.y[0, -1]
    last = solve_ivp(
        EMPTY[0], (0, 3600), [head], rtol=1e-13, atol=1e-15, method="DOP853", events=EMPTY[1]
    )
    print(f"period {period:.9f} s; emptying off its closed form by {last.t[-1] - emptying(head):.1e} s")
    for rtol in (1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9):
        best = math.inf
        for _ in range(3):
            began = time.process_time()
            breaks, calls = day(rtol)
            best = min(best, time.process_time() - began)
        error = abs((breaks[2] - breaks[1]) / period - 1)
        print(f"rtol {rtol:.0e}: {1e3 * best:8.2f} ms a day, {calls} calls, period error {error:.1e}")


if __name__ == "__main__":
    main()

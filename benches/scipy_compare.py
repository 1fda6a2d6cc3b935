"""The beds of `benches/peers`, by scipy's solve_ivp with events.

Box beds fed steadily fill to their siphons' start, spill while the siphon
primes, empty at full bore and break; the same formulas as the crate's.
Prints, for one bed and for four and for falling tolerances, the time of a
simulated day (best of three, right-hand side in plain Python) and the error
of the cycle period against rtol 1e-13, which at full bore is checked against
a closed form.

    pip install scipy
    python benches/scipy_compare.py

The tests do not need it.
"""

import math
import time

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

G = 9.80665
AREA = 1.2 * 1.0 * 0.40  # void of the gravel
BORE, LIP, CROWN = 0.0266, 0.225, 0.025
BELL_BORE, CLEARANCE = 0.078, 0.025
SLOT_AREA = 6 * 0.012 * 0.025
WEIR, ORIFICE, FROUDE, CARRY, DIP = 1.80, 0.60, 0.45, 0.15, 0.5
LOSS = 1.0 + 3.0
PIPE = math.pi / 4 * BORE**2
DAY = 86400.0
# Inflow in litres a minute, fall from the bed's floor to its outlet in metres.
BEDS = ((12.0, 0.60), (9.0, 0.45), (10.5, 0.55), (13.5, 0.70))


# Head that slots and annulus take before the lip over the square of the flow, in s2/m5:
# ebbwright's `SiphonLaw::lost_before_lip` at 1 m3/s for this bell.
BEFORE_LIP = 47721.240638746305
OVER = WEIR * math.pi * BORE
BEND = BEFORE_LIP * OVER**2
DROWNED = BEFORE_LIP + 1 / (ORIFICE * PIPE * math.sqrt(2 * G)) ** 2


def lip(level):
    """As over a weir, what is lost before it taken off, or into a drowned mouth."""
    head = level - LIP
    if head <= 0:
        return 0.0
    h = head
    for _ in range(40):
        step = (h + BEND * h**3 - head) / (1 + 3 * BEND * h * h)
        h -= step
        if abs(step) <= 1e-8 * h:
            break
    return min(OVER * h * math.sqrt(h), math.sqrt(head / DROWNED))


START_FLOW = FROUDE * PIPE * math.sqrt(G * BORE)
START = brentq(lambda h: lip(h) - START_FLOW, LIP, LIP + 0.1, xtol=1e-15)
PRIMING = math.pi / 4 * BELL_BORE**2 * CLEARANCE / (CARRY * START_FLOW)
FILLS, SPILLS, PRIMES, EMPTIES = range(4)


class Bed:
    def __init__(self, litres, drop):
        self.inflow, self.outlet = litres * 1e-3 / 60, -drop
        self.breaks = brentq(
            lambda h: h - CROWN - DIP * (self.full(h) / SLOT_AREA) ** 2 / (2 * G), 0, LIP, xtol=1e-15
        )
        self.mode, self.primed = FILLS, math.inf

    def full(self, level):
        return PIPE * math.sqrt(2 * G * max(level - self.outlet, 0.0) / LOSS)

    def rate(self, level):
        if self.mode == FILLS:
            out = 0.0
        elif self.mode == EMPTIES:
            out = self.full(level)
        else:
            out = lip(level)
        return (self.inflow - out) / AREA

    def watch(self, level):
        """Positive until what ends the mode happens; priming ends by the clock."""
        if self.mode == EMPTIES:
            return level - self.breaks
        return {FILLS: LIP, SPILLS: START, PRIMES: math.inf}[self.mode] - level


def event(bed, i):
    def distance(_, y):
        return min(bed.watch(y[i]), 1.0)

    distance.terminal, distance.direction = True, -1
    return distance


def day(count, rtol):
    beds = [Bed(*sizes) for sizes in BEDS[:count]]
    events = [event(bed, i) for i, bed in enumerate(beds)]
    t, levels = 0.0, [0.0] * count
    breaks, calls = [[] for _ in beds], 0

    def rates(_, y):
        return [bed.rate(level) for bed, level in zip(beds, y)]

    while t < DAY:
        until = min([DAY] + [bed.primed for bed in beds])
        if until > t:
            found = solve_ivp(
                rates, (t, until), levels, method="DOP853" if rtol < 1e-10 else "RK45",
                rtol=rtol, atol=rtol * 1e-2, events=events,
            )
            t, levels = found.t[-1], list(found.y[:, -1])
            calls += found.nfev
        for i, bed in enumerate(beds):
            over = t >= bed.primed if bed.mode == PRIMES else bed.watch(levels[i]) <= 1e-9
            if not over:
                continue
            if bed.mode == SPILLS:
                bed.primed = t + PRIMING
            elif bed.mode == PRIMES:
                bed.primed = math.inf
            elif bed.mode == EMPTIES:
                breaks[i].append(t)
            bed.mode = (bed.mode + 1) % 4
    return breaks, calls


def periods(breaks):
    return [times[2] - times[1] for times in breaks]


def emptying(bed, high):
    """Closed form: head falls by (Qi - c sqrt(head)) / A."""
    c = PIPE * math.sqrt(2 * G / LOSS)

    def part(head):
        root = math.sqrt(head)
        return root + bed.inflow / c * math.log(c * root - bed.inflow)

    return 2 * AREA / c * (part(high - bed.outlet) - part(bed.breaks - bed.outlet))


def closed_form_error():
    """How far scipy's emptying at rtol 1e-13 is off its closed form, in seconds."""
    bed, tight = Bed(*BEDS[0]), {"rtol": 1e-13, "atol": 1e-15, "method": "DOP853"}
    bed.mode = PRIMES
    peak = solve_ivp(lambda _, y: [bed.rate(y[0])], (0, PRIMING), [START], **tight)
    head = peak.y[0, -1]
    bed.mode = EMPTIES
    last = solve_ivp(
        lambda _, y: [bed.rate(y[0])], (0, 3600), [head], events=event(bed, 0), **tight
    )
    return last.t[-1] - emptying(bed, head)


def main():
    print(f"emptying off its closed form by {closed_form_error():.1e} s")
    for count in (1, 4):
        exact = periods(day(count, 1e-13)[0])
        print(f"{count} bed(s), periods {[round(float(period), 9) for period in exact]} s")
        for rtol in (1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9):
            best = math.inf
            for _ in range(3):
                began = time.process_time()
                breaks, calls = day(count, rtol)
                best = min(best, time.process_time() - began)
            error = max(abs(is_ / e - 1) for is_, e in zip(periods(breaks), exact))
            print(f"rtol {rtol:.0e}: {1e3 * best:8.2f} ms a day, {calls} calls, period error {error:.1e}")


if __name__ == "__main__":
    main()

"""Flood-and-drain beds, siphons and sump as equations for scipy's solve_ivp.

Written from the description of the model, apart from the tool's own code and without its
methods: nothing is tabulated by hand, flows are root-found, their roots splined, and events are
scipy's. Symbols as in the field: Q flow [m3/s], h head [m], D bore [m], A area [m2].
"""

import math
from dataclasses import dataclass, field

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline, PchipInterpolator
from scipy.optimize import brentq

G = 9.80665
ATMOSPHERIC_AIR_DENSITY = 1.204  # kg/m3, 20 degC
PLASTIC_ROUGHNESS = 1.5e-6  # m

# Nominal values of what is not known well.
LIP_WEIR = 1.80  # m0.5/s
LIP_ORIFICE = 0.60
SLOT_ORIFICE = 0.60
START_FROUDE = 0.45
PRIMING_CARRY = 0.15
PRIMING_HOLD = 0.8
CAP_TURN = 1.2
SLOT_DIP = 0.5
SEALED_VOID = 0.40
AIR_CARRY_VELOCITY = 0.26  # m/s
AIR_CARRY_RATIO = 0.55
TUBE_ORIFICE = 0.60
# Idelchik's increment for a wall before a pipe's mouth, by distance over bore.
FACING_WALL = ([0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 1.0], [1.60, 0.65, 0.37, 0.25, 0.15, 0.07, 0.0])


def circle(diameter):
    return math.pi / 4 * diameter**2


def root(function, low, high):
    return brentq(function, low, high, xtol=1e-15, rtol=1e-14, maxiter=300)


# --- water and pipes -----------------------------------------------------------------------


def kinematic_viscosity(celsius):
    """Kestin, Sokolov and Wakeham 1978 over Kell 1975 [m2/s]."""
    d = 20.0 - celsius
    dynamic = 1.002e-3 * 10 ** (d / (celsius + 96.0) * (1.2364 - 1.37e-3 * d + 5.7e-6 * d * d))
    kell = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12]
    density = sum(c * celsius**i for i, c in enumerate(kell)) / (1 + 16.879850e-3 * celsius)
    return dynamic / density


def density(celsius):
    kell = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12]
    return sum(c * celsius**i for i, c in enumerate(kell)) / (1 + 16.879850e-3 * celsius)


def friction_factor(reynolds, relative_roughness):
    """Darcy's; 64/Re to 2000, Colebrook and White solved by repetition from 4000.

    Between them f Re^2 goes straight from one to the other, which is as good as any law
    there: no pipe of a compared run works in that range, but for the annulus while the bed
    only spills, which loses a fraction of a millimetre then.
    """
    if reynolds <= 2000:
        return 64 / reynolds
    if reynolds < 4000:
        low, high = 64 * 2000.0, friction_factor(4000, relative_roughness) * 4000.0**2
        return (low + (high - low) * (reynolds - 2000) / 2000) / reynolds**2
    x = 7.0
    for _ in range(100):
        previous = x
        x = -2 * math.log10(relative_roughness / 3.7 + 2.51 * x / reynolds)
        if abs(x - previous) < 1e-15 * x:
            break
    return 1 / x**2


@dataclass
class Pipe:
    """Head loss (f L/D + k) V^2/2g."""

    bore: float
    length: float
    k: float
    viscosity: float
    roughness: float = PLASTIC_ROUGHNESS

    def loss(self, flow):
        if flow == 0:
            return 0.0
        v = abs(flow) / circle(self.bore)
        f = friction_factor(v * self.bore / self.viscosity, self.roughness / self.bore)
        return math.copysign((f * self.length / self.bore + self.k) * v * v / (2 * G), flow)


# --- vessels -------------------------------------------------------------------------------


class Vessel:
    """Volume by depth; depth by volume from a root."""

    def __init__(self, shape):
        (self.kind, size), = shape.items()
        self.size = size
        self.depth = size.get("depth", size.get("diameter"))

    def volume(self, h):
        s = self.size
        if self.kind == "box":
            return s["length"] * s["width"] * h
        if self.kind == "upright-cylinder":
            return circle(s["diameter"]) * h
        if self.kind == "lying-cylinder":
            r = s["diameter"] / 2
            h = min(max(h, 0.0), 2 * r)
            chord = math.sqrt(max(0.0, h * (2 * r - h)))
            return s["length"] * (r * r * math.acos(1 - h / r) - (r - h) * chord)
        if self.kind == "tapered":
            # The integral of length(z) width(z), both straight lines in z.
            a, b = s["bottom-length"], s["bottom-width"]
            p, q = (s["top-length"] - a) / s["depth"], (s["top-width"] - b) / s["depth"]
            return a * b * h + (a * q + b * p) * h**2 / 2 + p * q * h**3 / 3
        raise ValueError(self.kind)


class Storage:
    """Movable water in a bed, by level, and the level by water."""

    def __init__(self, bed):
        self.vessel = Vessel(bed["shape"])
        self.floor = bed["floor"]
        self.media = bed["media"]
        self.bed = bed
        edges = {0.0, self.media["depth"], self.vessel.depth}
        if "guard" in bed:
            lip = bed["standpipe"]["length"]
            edges |= {bed["bell"]["slots"]["height"], lip, lip + bed["bell"]["clearance"]}
        self.edges = sorted(edges)
        self.volumes = [self.volume(self.floor + h) for h in self.edges]

    def volume(self, level):
        h = level - self.floor
        in_media = min(h, self.media["depth"])
        void = self.media["void"]
        water = void * self.vessel.volume(in_media)
        water += self.vessel.volume(h) - self.vessel.volume(in_media)
        if "guard" in self.bed:
            # The guard's column has no gravel; the walls of pipe and bell take up room.
            pipe, bell = self.bed["standpipe"], self.bed["bell"]
            lip, foot = pipe["length"], bell["slots"]["height"]
            water += (1 - void) * circle(self.bed["guard"]["diameter"]) * in_media
            water -= (circle(pipe["outside"]) - circle(pipe["bore"])) * min(h, lip)
            wetted = min(h, lip + bell["clearance"]) - foot
            water -= (circle(bell["outside"]) - circle(bell["bore"])) * max(0.0, wetted)
        return water

    def level(self, volume):
        if self.vessel.kind == "tapered":
            miss = lambda h: self.volume(self.floor + h) - volume
            return self.floor + root(miss, -0.1, self.vessel.depth)
        # Straight walls: straight between the edges.
        return self.floor + float(np.interp(volume, self.volumes, self.edges))


# --- siphon --------------------------------------------------------------------------------


class Siphon:
    def __init__(self, bed, viscosity, water_density):
        pipe, bell, drain = bed["standpipe"], bed["bell"], bed["drain"]
        self.viscosity, self.water_density = viscosity, water_density
        self.bore, self.area = pipe["bore"], circle(pipe["bore"])
        self.lip = bed["floor"] + pipe["length"]
        self.lip_diameter = pipe.get("flare", pipe["bore"])
        self.outlet = drain["outlet"]
        slots = bell["slots"]
        self.slot_area = slots["count"] * slots["width"] * slots["height"]
        self.crown = bed["floor"] + slots["height"]
        self.annulus_area = circle(bell["bore"]) - circle(pipe["outside"])
        self.annulus_bore = bell["bore"] - pipe["outside"]  # hydraulic diameter
        self.annulus_length = self.lip - self.crown
        self.drain = drain
        self.facing_wall = float(np.interp(bell["clearance"] / self.bore, *FACING_WALL))
        self.tube = bell.get("air-tube")
        if self.tube:
            self.tube = {"mouth": bed["floor"] + self.tube["mouth"], "bore": self.tube["bore"]}

        self.start_flow = START_FROUDE * self.area * math.sqrt(G * self.bore)
        crown_volume = circle(bell["bore"]) * bell["clearance"]
        self.priming_time = crown_volume / (PRIMING_CARRY * self.start_flow)
        self.start_head = self.standing_head(self.start_flow)
        self.lost_head = self.standing_head(PRIMING_HOLD * self.start_flow)
        # Discharge against the root of the head, as a spline through exact roots.
        roots = np.linspace(0.1, 2.2, 3000)
        self._full = CubicSpline(roots, [self._solve_full(s * s) for s in roots])

    # Before it runs full.

    def lost_before_lip(self, flow):
        """Bed above bell: slots as orifices, and the annulus's velocity head and friction."""
        slots = (flow / (SLOT_ORIFICE * self.slot_area)) ** 2 / (2 * G)
        v = flow / self.annulus_area
        if v == 0:
            return 0.0
        rough = PLASTIC_ROUGHNESS / self.annulus_bore
        f = friction_factor(v * self.annulus_bore / self.viscosity, rough)
        return slots + (1 + f * self.annulus_length / self.annulus_bore) * v * v / (2 * G)

    def standing_head(self, flow):
        """Bed over lip while `flow` falls in: weir or drowned mouth, and what is lost before."""
        weir = (flow / (LIP_WEIR * math.pi * self.lip_diameter)) ** (2 / 3)
        mouth = (flow / (LIP_ORIFICE * self.area)) ** 2 / (2 * G)
        return max(weir, mouth) + self.lost_before_lip(flow)

    def lip_flow(self, head):
        """Inverse of standing_head."""
        if head <= 0:
            return 0.0
        without_loss = min(
            LIP_WEIR * math.pi * self.lip_diameter * head**1.5,
            LIP_ORIFICE * self.area * math.sqrt(2 * G * head),
        )
        if without_loss < 1e-12:
            return without_loss
        return root(lambda q: self.standing_head(q) - head, 0.0, without_loss * (1 + 1e-12))

    # Full.

    def loss_factors(self, v):
        """On V^2/2g of the bore: ahead of the crown, and below it, velocity head included."""
        if "total-k" in self.drain:
            k = self.drain["total-k"]
            return min(CAP_TURN, k), 1 + k - min(CAP_TURN, k)
        rough = self.drain.get("roughness", PLASTIC_ROUGHNESS)
        ratio = self.area / self.annulus_area
        f_annulus = friction_factor(
            v * ratio * self.annulus_bore / self.viscosity, rough / self.annulus_bore
        )
        ahead = (
            CAP_TURN + self.facing_wall
            + (self.area / (SLOT_ORIFICE * self.slot_area)) ** 2
            + ratio**2 * (1 + f_annulus * self.annulus_length / self.annulus_bore)
        )
        f = friction_factor(v * self.bore / self.viscosity, rough / self.bore)
        return ahead, 1 + self.drain.get("k", 0.0) + f * self.drain["length"] / self.bore

    def _solve_full(self, head):
        v = math.sqrt(2 * G * head / 5)
        for _ in range(200):
            factor = sum(self.loss_factors(v))
            previous, v = v, math.sqrt(2 * G * head / factor)
            if abs(v - previous) < 1e-14 * v:
                break
        return self.area * v

    def full_flow(self, head):
        return float(self._full(math.sqrt(head))) if head > 0.01 else 0.0

    # Break.

    def slot_break_miss(self, level, tail):
        """Level over that at which the slots take in air."""
        v = self.full_flow(level - tail) / self.slot_area
        return level - min(self.crown + SLOT_DIP * v * v / (2 * G), self.lip)

    def break_level(self, tail):
        slots = root(lambda z: self.slot_break_miss(z, tail), self.crown, self.lip + 1e-9)
        if self.tube and self.tube["mouth"] > slots and self.tube_breaks(tail):
            return self.tube["mouth"]
        return slots

    def tube_breaks(self, tail):
        flow = self.full_flow(self.tube["mouth"] - tail)
        v = flow / self.area
        suction = self.lip - self.tube["mouth"] + (1 + self.loss_factors(v)[0]) * v * v / (2 * G)
        pressure = 2 * self.water_density * G * suction / ATMOSPHERIC_AIR_DENSITY
        passes = TUBE_ORIFICE * circle(self.tube["bore"]) * math.sqrt(pressure)
        return passes >= AIR_CARRY_RATIO * max(0.0, flow - AIR_CARRY_VELOCITY * self.area)

    def run_on_flow(self, tail):
        level = self.break_level(tail)
        head, leg = level - tail, self.lip - self.outlet
        sealed = math.sqrt(max(0.0, 1 - SEALED_VOID * leg / head))
        return max(AIR_CARRY_VELOCITY * self.area, self.full_flow(head) * sealed)

    def stall_flow(self, tail):
        return self.full_flow(self.break_level(tail) - tail)


# --- supply --------------------------------------------------------------------------------


class Supply:
    """Inflow of each bed by sump level."""

    def __init__(self, scenario, viscosity):
        pump, beds = scenario["pump"], scenario["bed"]
        self.steady = pump.get("steady-flow")
        if self.steady:
            self.shares = [bed.get("inlet", {"share": 1.0})["share"] for bed in beds]
            return
        curve = np.array(pump["curve"])
        self.curve = PchipInterpolator(curve[:, 0], curve[:, 1])
        self.most = curve[-1, 0]
        supply = scenario["supply"]

        def pipe(data, exit_loss):
            run = data["pipe"]
            return Pipe(run["bore"], run["length"], data.get("k", 0.0) + exit_loss, viscosity)

        self.trunk = pipe(supply, 0.0)
        inlets = [bed["inlet"] for bed in beds]
        if "bypass" in supply:
            inlets.append(supply["bypass"])
        # A free outlet loses the velocity head.
        self.branches = [(inlet["level"], pipe(inlet, 1.0)) for inlet in inlets]
        self.beds = len(beds)
        floor = scenario["sump"]["floor"]
        levels = np.linspace(floor + 0.08, scenario["sump"]["overflow-level"], 120)
        self._inflows = CubicSpline(levels, [self._solve(level)[: self.beds] for level in levels])

    def _solve(self, sump_level):
        def flow(manifold, level, pipe):
            if manifold <= level:
                return 0.0
            return root(lambda q: level + pipe.loss(q) - manifold, 0.0, 4 * self.most)

        def flows(manifold):
            return [flow(manifold, level, pipe) for level, pipe in self.branches]

        def miss(manifold):
            total = min(sum(flows(manifold)), self.most)
            return sump_level + float(self.curve(total)) - self.trunk.loss(total) - manifold

        lowest = min(level for level, _ in self.branches)
        return flows(root(miss, lowest, sump_level + float(self.curve(0.0))))

    def inflows(self, sump_level):
        if self.steady:
            return [share * self.steady for share in self.shares]
        return [float(q) for q in self._inflows(sump_level)]


# --- the whole -----------------------------------------------------------------------------


@dataclass
class BedLog:
    """What one bed does."""

    breaks: list[float] = field(default_factory=list)
    cycles: list[dict] = field(default_factory=list)
    began_priming: float = math.nan
    began_full: float = math.nan
    peak: float = -math.inf


class WholeSystem:
    def __init__(self, scenario):
        celsius = scenario.get("water", {}).get("temperature", 20.0)
        viscosity = kinematic_viscosity(celsius)
        self.scenario = scenario
        self.beds = scenario["bed"]
        self.storages = [Storage(bed) for bed in self.beds]
        self.siphons = [Siphon(bed, viscosity, density(celsius)) for bed in self.beds]
        self.supply = Supply(scenario, viscosity)
        self.sump = Vessel(scenario["sump"]["shape"])
        self.sump_floor = scenario["sump"]["floor"]
        schedule = scenario["pump"].get("schedule")
        self.on_off = (schedule["on"], schedule["off"]) if schedule else None
        self.modes = ["filling"] * len(self.beds)
        self.primed_at = [math.inf] * len(self.beds)
        self.pump_on = True
        self.logs = [BedLog() for _ in self.beds]
        self.sump_levels = [math.inf, -math.inf]

    # One moment.

    def sump_level(self, volume):
        if self.sump.kind == "box":
            return self.sump_floor + volume / self.sump.volume(1.0)
        return self.sump_floor + root(lambda h: self.sump.volume(h) - volume, 0.0, self.sump.depth)

    def moment(self, y):
        """Sump level, bed levels, tails, inflows, outflows."""
        sump = self.sump_level(y[-1])
        levels = [storage.level(v) for storage, v in zip(self.storages, y)]
        tails = [max(siphon.outlet, sump) for siphon in self.siphons]
        inflows = self.supply.inflows(sump) if self.pump_on else [0.0] * len(self.beds)
        outflows = []
        for siphon, mode, level, tail, inflow in zip(self.siphons, self.modes, levels, tails, inflows):
            if mode == "filling":
                out = 0.0
            elif mode in ("spilling", "priming"):
                # Water standing over the outlet must be pushed out first.
                out = siphon.lip_flow(level - siphon.lip - (tail - siphon.outlet))
            elif mode == "full":
                out = siphon.full_flow(level - tail)
            else:
                out = inflow  # runs on: what comes in goes out
            outflows.append(out)
        return sump, levels, tails, inflows, outflows

    def rates(self, _, y):
        _, _, _, inflows, outflows = self.moment(y)
        return [*(a - b for a, b in zip(inflows, outflows)), sum(outflows) - sum(inflows)]

    # What ends a stretch: (function of the moment, direction, mode that follows).

    def endings(self, i):
        siphon = self.siphons[i]

        def over(height):  # bed over lip and submergence and `height`
            def value(now):
                return now[1][i] - siphon.lip - (now[2][i] - siphon.outlet) - height
            return value

        def over_break(now):
            level, tail = now[1][i], now[2][i]
            if siphon.tube and siphon.tube_breaks(tail):
                return level - max(siphon.tube["mouth"], siphon.break_level(tail))
            return siphon.slot_break_miss(level, tail)

        return {
            "filling": [(over(0.0), 1, "spilling")],
            "spilling": [(over(siphon.start_head), 1, "priming"), (over(0.0), -1, "filling")],
            "priming": [(over(siphon.lost_head), -1, "spilling")],
            "full": [(over_break, -1, "broken")],
            "running on": [
                (lambda now: now[3][i] - siphon.run_on_flow(now[2][i]), -1, "broken"),
                (lambda now: siphon.stall_flow(now[2][i]) - now[3][i], -1, "full"),
            ],
        }[self.modes[i]]

    def change(self, i, mode, t, y):
        sump, _, tails, inflows, _ = self.moment(y)
        log, siphon = self.logs[i], self.siphons[i]
        if mode == "broken":
            if self.modes[i] == "full" and inflows[i] > siphon.run_on_flow(tails[i]):
                self.modes[i] = "running on"
                return
            self.finish_cycle(log, t, sump)
            mode = "filling"
        self.primed_at[i] = math.inf
        if mode == "priming":
            log.began_priming = t
            self.primed_at[i] = t + siphon.priming_time
        if mode == "full":
            log.began_full = t
        self.modes[i] = mode

    @staticmethod
    def finish_cycle(log, t, sump):
        if log.breaks:
            log.cycles.append({
                "began_s": log.breaks[-1], "fill_s": log.began_priming - log.breaks[-1],
                "prime_s": log.began_full - log.began_priming, "drain_s": t - log.began_full,
                "peak_m": log.peak, "sump_at_break_m": sump,
            })
        log.breaks.append(t)
        log.peak = -math.inf

    def note(self, y):
        sump, levels, *_ = self.moment(y)
        self.sump_levels = [min(self.sump_levels[0], sump), max(self.sump_levels[1], sump)]
        for log, level in zip(self.logs, levels):
            log.peak = max(log.peak, level)

    # The run.

    def next_edge(self, t):
        """Of the timer, after t."""
        if not self.on_off:
            return math.inf
        on, off = self.on_off
        start = math.floor(t / (on + off) + 1e-9) * (on + off)
        return min(edge for edge in (start + on, start + on + off) if edge > t + 1e-6)

    def start(self):
        sump = self.scenario["sump"]["start-level"]
        levels = [
            bed.get("start-level", siphon.break_level(max(siphon.outlet, sump)))
            for bed, siphon in zip(self.beds, self.siphons)
        ]
        volumes = [storage.volume(level) for storage, level in zip(self.storages, levels)]
        return np.array([*volumes, self.sump.volume(sump - self.sump_floor)])

    def run(self):
        end = self.scenario["hours"] * 3600.0
        t, y = 0.0, self.start()
        self.note(y)
        while t < end:
            until = min(end, self.next_edge(t), *self.primed_at)
            endings = [(i, *rest) for i in range(len(self.beds)) for rest in self.endings(i)]
            events = [self.event(value, direction) for _, value, direction, _ in endings]
            extremes = [self.turning(k) for k in range(len(y))]
            found = solve_ivp(
                self.rates, (t, until), y, method="DOP853", rtol=1e-10, atol=1e-12,
                max_step=60.0, events=[*events, *extremes],
            )
            if not found.success:
                raise RuntimeError(found.message)
            for k in range(len(events), len(events) + len(extremes)):
                for state in found.y_events[k]:
                    self.note(state)
            t, y = found.t[-1], found.y[:, -1]
            self.note(y)
            for k, (i, _, _, mode) in enumerate(endings):
                if len(found.t_events[k]):
                    self.change(i, mode, t, y)
            for i, primed_at in enumerate(self.primed_at):
                if primed_at <= t:
                    self.change(i, "full", t, y)
            if self.on_off:
                on, off = self.on_off
                self.pump_on = (t + 1e-6) % (on + off) < on
        return self.moment(y)

    def event(self, value, direction):
        def distance(_, y):
            return value(self.moment(y))

        distance.terminal, distance.direction = True, direction
        return distance

    def turning(self, k):
        """Not terminal: where a volume turns, for the extremes."""
        return lambda t, y: self.rates(t, y)[k]

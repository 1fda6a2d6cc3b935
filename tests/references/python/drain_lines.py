"""Shared drain lines, routed by EPA SWMM's dynamic wave.

For each line three questions:
- uniform: all water comes in at the upper end of a long pipe and never changes. The depth
  half way down is the uniform depth.
- capacity: the same with a flow that rises slowly, until the pipe half way is full.
- dumping: all beds let go together into the dry line, each at its own junction, for three
  minutes and with a flow that falls as its bed does. The greatest depth anywhere, with flows
  that rise within 3 s (a front runs down the dry line) and within 20 s (none does).

Writes data/drain_lines.csv. SWMM's nodes are manholes with a surface of their own, its
default 1.2 m2; a pipe junction has none, so it is set to 0.02 m2. With a tenth of that the
greatest depth of the first line is 0.02 higher, with five times that 0.25 lower. SWMM's usual
partial damping of inertia is on: without it short pipes swing for ever. What a square
entry does to the flow SWMM does not know: water comes in at a node without momentum and
without loss.
"""

import tempfile
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from pyswmm import Links, Nodes, Simulation

from table import write_table

LONG = 24  # m, of the pipe for uniform depth
LEAST_STORAGE = 0.02  # m2 at a node
RISES = {"dumping_at_once_depth_ratio": 3, "dumping_slowly_depth_ratio": 20}  # s
AT_FIRST = 1.10  # share of a bed's flow; it falls as the bed does


@dataclass
class Line:
    name: str
    bore: float  # m
    slope: float
    manning: float
    flow: float  # L/min of each bed
    junctions: list[float]  # m from the outlet

    @property
    def total(self):
        return self.flow * len(self.junctions)


LINES = [
    Line("four beds, 81.4 mm, 2 %", 0.0814, 0.02, 0.0095, 40, [1, 2, 3, 4]),
    Line("two beds, 67.8 mm, 2 %", 0.0678, 0.02, 0.0095, 45, [1, 3]),
    Line("three beds, 67.8 mm, 3 %", 0.0678, 0.03, 0.0090, 35, [1, 2, 4]),
    Line("six beds, 102.3 mm, 1 %", 0.1023, 0.01, 0.0095, 32, [1, 2, 3, 4, 5, 6]),
    Line("one bed, 52.5 mm, 2 %", 0.0525, 0.02, 0.0100, 40, [3]),
    Line("four beds, 102.3 mm, 1 %", 0.1023, 0.01, 0.0100, 30, [1.5, 3, 4.5, 6]),
]


def input_file(line, length, inflows):
    """SWMM's input: nodes half a metre apart, `inflows` by distance from the outlet:
    [(seconds, L/s)]."""
    step = 0.5
    nodes = [step * k for k in range(round(length / step) + 1)]
    name = {x: f"N{round(2 * x)}" for x in nodes}
    out = [
        "[OPTIONS]", "FLOW_UNITS LPS", "FLOW_ROUTING DYNWAVE", "LINK_OFFSETS DEPTH",
        "START_DATE 01/01/2000", "START_TIME 00:00:00", "REPORT_START_DATE 01/01/2000",
        "REPORT_START_TIME 00:00:00", "END_DATE 01/01/2000",
        f"END_TIME {clock(max(t for rows in inflows.values() for t, _ in rows))}",
        "REPORT_STEP 00:00:10", "ROUTING_STEP 0.1", "VARIABLE_STEP 0.5", "MINIMUM_STEP 0.002",
        "INERTIAL_DAMPING PARTIAL", "NORMAL_FLOW_LIMITED BOTH", "LENGTHENING_STEP 0",
        f"MIN_SURFAREA {LEAST_STORAGE}", "MAX_TRIALS 20", "HEAD_TOLERANCE 0.00005", "MIN_SLOPE 0",
        "[JUNCTIONS]", *(f"{name[x]} {1 + line.slope * x:.6f} 3 0 0 0" for x in nodes[1:]),
        "[OUTFALLS]", f"{name[0.0]} 1.0 FREE NO",
        "[CONDUITS]",
        *(f"C{name[b]} {name[b]} {name[a]} {step} {line.manning} 0 0 0 0"
          for a, b in zip(nodes, nodes[1:])),
        "[XSECTIONS]", *(f"C{name[x]} CIRCULAR {line.bore} 0 0 0 1" for x in nodes[1:]),
        "[INFLOWS]", *(f"{name[x]} FLOW T{name[x]} FLOW 1.0 1.0" for x in inflows),
        "[TIMESERIES]",
        *(f"T{name[x]} {t / 3600:.8f} {q:.8f}" for x, rows in inflows.items() for t, q in rows),
    ]
    return "\n".join(out) + "\n"


def clock(seconds):
    return f"{int(seconds) // 3600:02}:{int(seconds) // 60 % 60:02}:{int(seconds) % 60:02}"


def route(line, length, inflows, look):
    """Calls `look(seconds, nodes, links)` after every step of SWMM."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "line.inp"
        path.write_text(input_file(line, length, inflows))
        with Simulation(str(path)) as simulation:
            nodes, links = Nodes(simulation), Links(simulation)
            for _ in simulation:
                elapsed = simulation.current_time - simulation.start_time
                look(elapsed.total_seconds(), nodes, links)


def uniform_depth(line, flow):
    """Depth over bore half way down, of the last moment."""
    seen = []
    rows = [(0, 0.0), (10, flow / 60), (150, flow / 60)]
    middle = f"N{LONG}"
    route(line, LONG, {float(LONG): rows}, lambda _, nodes, __: seen.append(nodes[middle].depth))
    return seen[-1] / line.bore


def capacity(line, most):
    """Flow [L/min] at which the pipe half way is full first."""
    found = []
    # The first minute fills the pipe; the front is not what is asked for.
    rows = [(0, 0.0), (30, 0.7 * most / 60), (60, 0.7 * most / 60), (660, 1.3 * most / 60)]
    middle, below = f"N{LONG}", f"CN{LONG}"

    def look(seconds, nodes, links):
        if seconds > 60 and not found and nodes[middle].depth >= line.bore:
            found.append(links[below].flow * 60)

    route(line, LONG, {float(LONG): rows}, look)
    return found[0]


def dumping_depth(line, rise):
    """Greatest depth over bore anywhere, and how far from the outlet [m]."""
    deepest = (0.0, 0.0)
    shares = [(0, 0.0), (rise, AT_FIRST), (90, 1.0), (180, 0.88), (182, 0.0), (200, 0.0)]
    rows = [(seconds, share * line.flow / 60) for seconds, share in shares]
    inflows = {float(x): rows for x in line.junctions}
    length = max(line.junctions)

    def look(_, nodes, __):
        nonlocal deepest
        for k in range(1, round(2 * length) + 1):
            deepest = max(deepest, (nodes[f"N{k}"].depth / line.bore, k / 2))

    route(line, length, inflows, look)
    return deepest


def main():
    by = {"tool": "EPA SWMM, dynamic wave",
          "version": f"{version('swmm-toolkit')} (swmm-toolkit), pyswmm {version('pyswmm')}"}
    table = []
    for line in LINES:
        facts = {
            "line": line.name, "bore_m": line.bore, "slope": line.slope, "manning": line.manning,
            "bed_flow_L_min": line.flow, "junctions_m": ";".join(map(str, line.junctions)),
        }

        def add(quantity, flow, value, at=""):
            table.append(facts | {"quantity": quantity, "flow_L_min": flow, "value": f"{value:.5g}",
                                  "at_m": at} | by)
            print(line.name, quantity, flow, f"{value:.4f}", at, flush=True)

        # Manning's full pipe, to know where to look.
        full = 60_000 * 0.3117 / line.manning * line.bore ** (8 / 3) * line.slope**0.5
        for share in (0.25, 0.5, 1.0):
            add("uniform_depth_ratio", share * line.total, uniform_depth(line, share * line.total))
        add("capacity_L_min", "", capacity(line, full))
        for quantity, rise in RISES.items():
            depth, at = dumping_depth(line, rise)
            add(quantity, round(AT_FIRST * line.total, 6), depth, at)
    write_table("drain_lines.csv", table)


if __name__ == "__main__":
    main()

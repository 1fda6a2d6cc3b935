"""Random supply trees, solved by EPANET.

A pump in a sump feeds a trunk, a manifold and branches: two to five beds, in some trees
a bypass back to the sump and a fish tank; three have a branch nearly shut, two an outlet above
the pump's reach. Every outlet is free, so the water beyond it
stands at the outlet's elevation: a reservoir at that head. The velocity head of the jet
is lost there: EXIT_LOSS, on top of the branch's own k.

Writes data/supply_trees.csv (the pipes, and the flow EPANET gives each) and
data/supply_pumps.csv (the pumps). The seed is fixed.

EPANET differs from the tool on purpose in three ways, which set the tolerances:
- friction factor by Swamee and Jain's formula, not Colebrook's equation itself;
- Dunlop's cubic between Reynolds numbers 2000 and 4000, where no law is right;
- gravity 32.2 ft/s2, 0.08 % more than the standard value.
"""

import math
import tempfile
import warnings
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path

import numpy as np
import wntr

from table import write_table

SEED = 20_261
EPANET = 2.2
TREES = 16
BED_COUNTS = (2, 3, 4, 5)
# Trees with a branch nearly shut, and its K: laminar, and between laminar and turbulent.
THROTTLED = {12: (900.0, 2000.0), 14: (200.0, 500.0), 3: (200.0, 500.0)}
DRY = (13, 15)
ROUGHNESS = 1.5e-6  # m, plastic
WATER = {"temperature_C": 20.0, "kinematic_viscosity_m2_s": 1.0034e-6}  # IAPWS, see water.py
# EPANET's viscosity is a multiple of this (its manual: 1.1e-5 ft2/s).
EPANET_VISCOSITY = 1.1e-5 * 0.3048**2
EXIT_LOSS = 1.0
CURVE_POINTS = 41


@dataclass
class Pipe:
    """One run of pipe; a branch ends at `outlet` [m]."""

    name: str
    bore: float
    length: float
    k: float
    outlet: float | None = None
    flow: float = math.nan

    def reynolds(self):
        return 4 * self.flow / (math.pi * self.bore * WATER["kinematic_viscosity_m2_s"])


@dataclass
class Tree:
    name: str
    sump_level: float
    trunk: Pipe
    branches: list[Pipe]
    # Head at no flow [m], and two more points (flow [m3/s], head [m]) of the curve.
    shut_off_head: float = 0.0
    points: list[tuple[float, float]] = field(default_factory=list)

    def exponent(self):
        """EPANET runs H = H0 - a Q^c through three points, the first at no flow."""
        (q1, h1), (q2, h2) = self.points
        return math.log((self.shut_off_head - h2) / (self.shut_off_head - h1)) / math.log(q2 / q1)

    def head(self, flow):
        q1, h1 = self.points[0]
        return self.shut_off_head - (self.shut_off_head - h1) * (flow / q1) ** self.exponent()

    def open_flow(self):
        q1, h1 = self.points[0]
        drop = self.shut_off_head - h1
        return q1 * (self.shut_off_head / drop) ** (1 / self.exponent())


def random_tree(index, rng):
    beds = BED_COUNTS[index % len(BED_COUNTS)]
    sump_level = rng.uniform(0.15, 0.5)
    # About what a garden pump gives: 8 to 16 L/min for each bed.
    wanted = beds * rng.uniform(8, 16) / 60_000
    shut_off = rng.uniform(2.2, 5.0)
    tree = Tree(
        name=f"tree-{index + 1}",
        sump_level=sump_level,
        trunk=Pipe(
            "trunk",
            bore=rng.choice([0.0204, 0.0266, 0.0350, 0.0409]),
            length=rng.uniform(1.5, 8.0),
            k=rng.uniform(0.5, 6.0),
        ),
        branches=[],
        shut_off_head=shut_off,
        points=[
            (wanted, shut_off * rng.uniform(0.72, 0.85)),
            (1.9 * wanted, shut_off * rng.uniform(0.25, 0.45)),
        ],
    )

    def branch(name, outlet, bores, k):
        tree.branches.append(
            Pipe(name, rng.choice(bores), rng.uniform(0.3, 3.0), rng.uniform(*k), outlet)
        )

    for bed in range(beds):
        branch(f"bed-{bed + 1}", rng.uniform(1.0, 1.5), [0.0125, 0.0158, 0.0204], (1.0, 25.0))
    if index % 2 == 1:
        branch("bypass", rng.uniform(0.55, 0.9), [0.0125, 0.0158], (10.0, 120.0))
    if index in THROTTLED:
        branch(f"bed-{beds + 1}", rng.uniform(1.0, 1.5), [0.0125, 0.0158], THROTTLED[index])
    if index in DRY:  # an outlet that the pump does not reach
        branch(f"bed-{beds + 1}", shut_off + rng.uniform(0.6, 2.0), [0.0158], (1.0, 25.0))
    if index % 3 == 2:
        branch("tank", rng.uniform(0.9, 1.4), [0.0158, 0.0204], (1.0, 30.0))
    return tree


def network(tree):
    """The tree as EPANET sees it."""
    net = wntr.network.WaterNetworkModel()
    options = net.options.hydraulic
    options.inpfile_units = "LPM"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a reminder that roughness is now a length
        options.headloss = "D-W"
    options.viscosity = WATER["kinematic_viscosity_m2_s"] / EPANET_VISCOSITY
    options.accuracy = 1e-5
    options.trials = 500
    net.options.time.duration = 0

    net.add_reservoir("sump", base_head=tree.sump_level)
    net.add_junction("pump-outlet")
    net.add_junction("manifold")
    net.add_curve("pump-curve", "HEAD", [(0.0, tree.shut_off_head), *tree.points])
    net.add_pump(
        "pump", "sump", "pump-outlet", pump_type="HEAD", pump_parameter="pump-curve"
    )
    ends = [("pump-outlet", "manifold", tree.trunk)]
    for pipe in tree.branches:
        net.add_reservoir(f"end-of-{pipe.name}", base_head=pipe.outlet)
        ends.append(("manifold", f"end-of-{pipe.name}", pipe))
    for start, end, pipe in ends:
        net.add_pipe(
            pipe.name, start, end, length=pipe.length, diameter=pipe.bore,
            roughness=ROUGHNESS,
            minor_loss=pipe.k + (0.0 if pipe.outlet is None else EXIT_LOSS),
            check_valve=pipe.outlet is not None,  # no water comes back from a free outlet
        )
    return net


def solve(tree):
    with tempfile.TemporaryDirectory() as folder:
        prefix = str(Path(folder) / "tree")
        simulator = wntr.sim.EpanetSimulator(network(tree))
        results = simulator.run_sim(file_prefix=prefix, version=EPANET, convergence_error=True)
    flows = results.link["flowrate"]
    for pipe in [tree.trunk, *tree.branches]:
        pipe.flow = float(flows[pipe.name].iloc[0])


def main():
    rng = np.random.default_rng(SEED)
    trees = [random_tree(index, rng) for index in range(TREES)]
    by = {"tool": "EPANET", "version": f"{EPANET} in wntr {version('wntr')}"}
    pipes, pumps = [], []
    for tree in trees:
        solve(tree)
        for pipe in [tree.trunk, *tree.branches]:
            pipes.append({
                "tree": tree.name, "sump_level_m": f"{tree.sump_level:.12g}", "pipe": pipe.name,
                "outlet_m": "" if pipe.outlet is None else f"{pipe.outlet:.12g}",
                "bore_m": f"{pipe.bore:.12g}", "length_m": f"{pipe.length:.12g}",
                "roughness_m": ROUGHNESS, "k": f"{pipe.k:.12g}",
                "flow_m3_s": f"{pipe.flow:.7g}", "reynolds": f"{pipe.reynolds():.0f}", **by,
            })
        for flow in np.linspace(0.0, tree.open_flow() * (1 - 1e-9), CURVE_POINTS):
            pumps.append({
                "tree": tree.name, "flow_m3_s": f"{flow:.12g}", "head_m": f"{tree.head(flow):.12g}"
            })
    write_table("supply_trees.csv", pipes)
    write_table("supply_pumps.csv", pumps)


if __name__ == "__main__":
    main()

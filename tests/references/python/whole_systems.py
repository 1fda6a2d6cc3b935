"""Runs every system in systems/ by scipy and writes data/whole_systems.csv."""

import sys
import time
from importlib.metadata import version
from pathlib import Path

import scenario
from siphon_system import WholeSystem
from table import write_table

SYSTEMS = Path(__file__).resolve().parent.parent / "systems"
CYCLES = 5  # of each bed, the first ones


def rows(path):
    system = WholeSystem(scenario.read(path))
    _, levels, *_ = system.run()
    found = []

    def add(bed, cycle, quantity, value):
        found.append({"system": path.stem, "bed": bed, "cycle": cycle, "quantity": quantity,
                      "value": f"{value:.10g}"})

    for bed, siphon, log, level, mode in zip(
        system.beds, system.siphons, system.logs, levels, system.modes
    ):
        name = bed["name"]
        add(name, "", "break_level_m", siphon.break_level(siphon.outlet))
        add(name, "", "cycles", len(log.cycles))
        for number, cycle in enumerate(log.cycles[:CYCLES], 1):
            for quantity, value in cycle.items():
                add(name, number, quantity, value)
        if not log.cycles:
            add(name, "", f"stands_{mode.replace(' ', '_')}_m", level)
    add("", "", "sump_least_m", system.sump_levels[0])
    add("", "", "sump_most_m", system.sump_levels[1])
    return found


def main():
    by = {"tool": "scipy solve_ivp (python/siphon_system.py)", "version": version("scipy")}
    table = []
    for path in sorted(SYSTEMS.glob(f"{sys.argv[1] if len(sys.argv) > 1 else ''}*.toml")):
        began = time.time()
        found = rows(path)
        print(f"{path.stem}: {len(found)} values in {time.time() - began:.0f} s", flush=True)
        table += [row | by for row in found]
    if len(sys.argv) > 1:
        for row in table:
            print(row["bed"], row["cycle"], row["quantity"], row["value"])
    else:
        write_table("whole_systems.csv", table)


if __name__ == "__main__":
    main()

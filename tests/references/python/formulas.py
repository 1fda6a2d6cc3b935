"""Runs the calls of the libraries fluids, iapws and scipy in tests/data again.

The rows of those tables that came from a library carry the call that made them. Each is
called again and its value compared with the one in the table; nothing is written there.
How many, by table and library, goes to data/formulas.csv.
"""

import re
from collections import defaultdict
from importlib.metadata import version

import fluids
import iapws
import iapws._iapws
import numpy as np
from scipy.interpolate import PchipInterpolator

from table import TEST_DATA, read_table, write_table

VALUE_COLUMNS = {
    "01_water_properties.csv": "value",
    "water_edges.csv": "value",
    "02_friction_factor.csv": "f_darcy",
    "03_minor_loss.csv": "K",
    "08_weirs.csv": "Q",
    "10_packed_bed.csv": "gradient_Pa_per_m",
}
WRITTEN_TO = 2e-9  # ten digits, relative


def water():
    """What the calls of the packed beds name rho and mu."""
    at_20 = iapws.IAPWS95(T=293.15, P=0.101325)
    return {"rho": at_20.rho, "mu": at_20.mu}


def called(text, names):
    """The value of a call written in a table, or None where it holds no plain call."""
    call = re.split(r" -> |  \[", text)[0]  # what follows is a remark
    ratio = re.fullmatch(r"(iapws\..*)\.mu / \.rho", call)
    if ratio:
        state = eval(ratio[1], names)
        return state.mu / state.rho
    if not call.startswith(("fluids.", "iapws.")):
        return None
    return float(eval(call, names))


def main():
    names = {"fluids": fluids, "iapws": iapws} | water()
    held = defaultdict(int)

    def compare(table, library, ours, theirs, row):
        difference = abs(ours - theirs) / max(abs(theirs), 1e-12)
        if difference > WRITTEN_TO:
            raise SystemExit(f"{table}: {row} gives {ours}")
        held[table, library] += 1

    for table, column in VALUE_COLUMNS.items():
        for row in read_table(TEST_DATA / table):
            call = row.get("call_or_locator") or row.get("call") or ""
            if row["how"] != "LIBRARY" or (value := called(call, names)) is None:
                continue
            compare(table, call.split(".")[0], value, float(row[column]), row)
    for row in read_table(TEST_DATA / "pchip_scipy.csv"):
        x, y = np.array([pair.split() for pair in row["points"].split(";")], float).T
        curve = PchipInterpolator(x, y)
        at = float(row["x"])
        compare("pchip_scipy.csv", "scipy", float(curve(at)), float(row["value"]), row)
        compare("pchip_scipy.csv", "scipy", float(curve.derivative()(at)), float(row["slope"]), row)
    write_table("formulas.csv", [
        {"table": table, "values_called_again": count,
         "within_relative": WRITTEN_TO, "tool": library, "version": version(library)}
        for (table, library), count in sorted(held.items())
    ])


if __name__ == "__main__":
    main()

"""Reads a scenario file into plain SI numbers: every "26.6 mm" becomes 0.0266."""

import tomllib

UNITS = {
    "m": 1.0, "cm": 1e-2, "mm": 1e-3, "m2": 1.0, "cm2": 1e-4, "m3": 1.0, "L": 1e-3,
    "L/min": 1e-3 / 60, "L/h": 1e-3 / 3600, "s": 1.0, "min": 60.0, "h": 3600.0, "degC": 1.0,
}


def si(value):
    if isinstance(value, dict):
        return {key: si(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [si(inner) for inner in value]
    if isinstance(value, str):
        number, _, unit = value.partition(" ")
        if unit in UNITS:
            return float(number) * UNITS[unit]
    return value


def read(path):
    with open(path, "rb") as file:
        return si(tomllib.load(file))

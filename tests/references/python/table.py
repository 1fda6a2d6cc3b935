"""Writes and reads the CSV files in data/."""

import csv
from pathlib import Path

DATA = Path(__file__).resolve().parent.parent / "data"
TEST_DATA = DATA.parent.parent / "data"


def write_table(name, rows):
    with open(DATA / name, "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"{name}: {len(rows)} rows")


def read_table(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file))

"""Sewers with values drawn around every limit of the shipped rules, some missing, so that all
rules bite somewhere. Writes the network, two context layers and the plan into a folder.
Usage: every_rule.py FOLDER.
"""
import csv
import os
import random
import shutil
import sys

CASES = os.path.dirname(os.path.abspath(__file__))
SEWERS = 3000
draw = random.Random(20260101)
# field -> values; None is missing
VALUES = {
    "WIDTH": [70, 90, 100, 150, 200, 300, 381, 400, 600, 650, 800, 900, 1000, 1300, 1650, 2500,
              2600, 3000, 3700, 4100, 4600, 5200, 5600, None],
    "SHAPE": ["circle"] * 6 + ["egg", "arch", "channel", None],
    "LENGTH": [0.5, 40, 60, 80, 120, 155, 220, 240, 310, 330, 470, 800, 950],
    "BEND": [None, 0, 4, 8, 12, 18, 25, 40, 50],
    "OFFSET": [None, 0, 2, 6, 12],
    "OVALITY": [None, 0, 1, 4, 6, 9, 12],
    "SAG": [None, 0, 12, 35],
    "DEPOSITS": [None, 0, 3, 20, 40],
    "WATER": [None, "none", "seeping", "dripping", "running", "gushing"],
    "ROOTS": [None, "none", "fine", "mass"],
    "LATERALS": [None, 0, 3, 40],
    "SPOTS": [None, 0, 1, 3, 8],
    "COLLAPSED": ["no", "no", "no", "yes"],
    "GRADE": [None, 1, 2, 3, 4, 5],
    "SERVICE": [None, 1, 3, 5],
    "TIGHT": [None, 1, 3, 5],
    "MATERIAL": ["vitrified clay", "concrete", "reinforced concrete", "asbestos cement", "brick",
                 "pvc", "corrugated metal", "unknown", None],
    "SURFACE": ["green", "minor road", "main road", "building", "water", None],
    "SOIL": ["clay", "rock", None],
    "DEPTH": [None, 0.7, 1.2, 2.5, 4, 7, 11],
    "HEAD": [None, 0, 1.5],
    "OPENING": [None, 500, 580, 700],
    "LINED": [None, None, 1990],
    "SLOPE": [None, 0.002, 0.01],
    "FLOW": [None, None, None, 0.05, 0.3, 2],
}


def width_at_end(width):
    return width and draw.choice([width, width, round(width * 1.2)])


def sewer(i):
    row = {field: draw.choice(values) for field, values in VALUES.items()}
    y, x1 = 6000000 + 60 * i, 400000 + row["LENGTH"]
    row.update(ID=f"s{i}", UP=f"a{i}", DOWN=f"b{i}", WIDTH_UP=width_at_end(row["WIDTH"]),
               WIDTH_DOWN=row["WIDTH"], WKT=f"LINESTRING (400000 {y},{x1} {y})",
               HEIGHT=row["WIDTH"] and draw.choice([row["WIDTH"], round(row["WIDTH"] * 1.5)]))
    return row


def beside(rows, step, gap_m):
    """Lines beside every step-th sewer, so many metres away."""
    for i in range(0, len(rows), step):
        y = 6000000 + 60 * i + gap_m
        yield {"WKT": f"LINESTRING (399990 {y},400900 {y})", "N": i}


def write(name, rows):
    rows = list(rows)
    with open(os.path.join(sys.argv[1], name), "w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


sewers = [sewer(i) for i in range(SEWERS)]
os.makedirs(sys.argv[1], exist_ok=True)
write("network.csv", sewers)
write("rail.csv", beside(sewers, 7, 5))
write("pipes.csv", beside(sewers, 5, 0.3))
shutil.copy(os.path.join(CASES, "every_rule.yaml"), os.path.join(sys.argv[1], "plan.yaml"))

"""What the published cases share: a network of straight sewers, tables cut from the
shipped ones, a run, and its result tables. Each case prints lines of label, expected
and found; published_cases.sh compares them.

The sewers are drawn on the central meridian of their grid, where the grid is 0.9996 of
the ground and the drawn length is exact.
"""
import csv
import os
import re
import shutil
import sqlite3
import subprocess
import sys

CASES = os.path.dirname(os.path.abspath(__file__))
FOOT_M = 0.3048
GRID_SCALE = 0.9996


def published(name):
    with open(os.path.join(CASES, name + ".csv"), newline="") as file:
        return list(csv.DictReader(file))


def show(label, expected, found):
    print(f"{label}\t{expected}\t{found}")


def yes(label, condition):
    show(label, "yes", "yes" if condition else "no")


def write(path, header, rows):
    with open(path, "w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(header)
        writer.writerows(rows)


class Case:
    def __init__(self, name, methods):
        self.haunch, self.config, self.folder = sys.argv[1:4]
        self.name = name
        os.makedirs(self.folder, exist_ok=True)
        self.cut("methods.csv", lambda row: row["id"] in methods)
        self.cut("method_rules.csv", lambda row: row["method"] in methods)
        self.cut("cost_items.csv", lambda row: row["applies"] == "works", methods="all")
        self.markups([("none", 0)])

    def path(self, file):
        return os.path.join(self.folder, file)

    def cut(self, table, keeps, **cells):
        """The rows of a shipped table that the case needs, with these cells changed."""
        with open(os.path.join(self.config, table), newline="") as file:
            reader = csv.DictReader(file)
            rows = [{**row, **cells}.values() for row in reader if keeps(row)]
            write(self.path(table), reader.fieldnames, rows)

    def markups(self, rows):
        write(self.path("markups.csv"), ["name", "percent", "mode", "source"],
              [(name, percent, "compound", "the published case") for name, percent in rows])

    def rates(self, rows, currency, unit_m):
        """rows: method, width in mm, money per unit of length."""
        header = ["method", "width_mm", "depth_m", "surface", "rate", "currency", "price_date",
                  "place", "scope", "source"]
        write(self.path("rates.csv"), header,
              [(method, width, "", "", repr(rate / unit_m), currency, "see case", "see case",
                "total of the case", "the published case") for method, width, rate in rows])

    def pipe_sizes(self, inside_mm):
        """The pipes that are made, when they are not the shipped ones."""
        write(self.path("pipe_sizes.csv"), ["inside_mm", "outside_mm", "source"],
              [(repr(size), repr(size * 1.15), "the published case") for size in inside_mm])

    def network(self, sewers, unit_m, more=(), values=()):
        """sewers: id, width, length, group; widths and lengths in the plan's units. more:
        names of further columns; values: a list of their values for each sewer."""
        north, rows = 6000000.0, []
        for i, (name, width, length, group) in enumerate(sewers):
            start, north = north, north + length * unit_m * GRID_SCALE
            line = f"LINESTRING (500000 {start:.6f},500000 {north:.6f})"
            rows.append((line, name, f"M{i}", f"M{i + 1}", width, length, group,
                         *(values[i] if values else ())))
        write(self.path("network.csv"), ["WKT", "ID", "UP", "DOWN", "WIDTH", "LENGTH", "GROUP",
                                         *more], rows)

    def scheme(self, result):
        """Recomputes every score from scheme_parts, which must give it to the last digit."""
        wrong = []
        for name, total in result.execute("SELECT segment_id, score FROM segments").fetchall():
            sides = {"likelihood": [], "consequence": []}
            for side, acts, score in result.execute(
                    "SELECT side, acts, score FROM scheme_parts WHERE segment_id = ?", (name,)):
                held = sides[side]
                held[:] = [score if not held else
                           held[0] + score if acts == "adds" else held[0] * score]
            columns = result.execute("SELECT score_likelihood, score_consequence FROM segments "
                                     "WHERE segment_id = ?", (name,)).fetchone()
            again = [round(sides[side][0], 6) if sides[side] else 0.0 for side in sides]
            if again != list(columns):
                wrong.append((name, again, columns))
        show(f"{self.name}: scores that are not made of their parts", [], wrong)

    def run(self, **money):
        """Runs the plan with these values of its block `money`; opens the result."""
        with open(os.path.join(CASES, self.name + ".yaml")) as file:
            plan = file.read()
        for key, value in money.items():
            plan, changed = re.subn(rf"(?m)^  {key}: .*$", f"  {key}: {value}", plan)
            assert changed == 1, key
        with open(self.path("plan.yaml"), "w") as file:
            file.write(plan)
        shutil.rmtree(self.path("out"), ignore_errors=True)
        done = subprocess.run([self.haunch, "run", "--quiet", self.path("plan.yaml")],
                              stdin=subprocess.DEVNULL, capture_output=True, text=True)
        if done.returncode:
            sys.exit(f"{self.name}: exit code {done.returncode}: {done.stderr}")
        result = sqlite3.connect(self.path("out/result.gpkg"))
        wrong = result.execute("SELECT check_ FROM (SELECT \"check\" check_, holds FROM "
                               "reconciliation) WHERE holds IS NOT 1").fetchall()
        show(f"{self.name}: sums of the result that do not agree", [], wrong)
        return result

"""Every printed number of a table of defect points: one sewer for each row, whose defect
differs from a plain one of class 1 in that row alone. What is compared is the difference.

Source: Baufachliche Richtlinien Abwasser (German federal wastewater works guideline),
Annex A-3.1.2, Tables A-3-2 and A-3-3.
"""
import glob
import os
import shutil

from case import CASES, Case, published, show

CLASS_1 = 10
GOALS = {"tightness": ("T", "tightness"), "stability": ("S", "structural"),
         "operation": ("O", "service")}
PLAIN = {"SOIL": "rock", "OWNER": "town", "DUTY": "none", "WATER": -1, "GROUP": "",
         "CF": "", "CT": "", "JOINT": "no", "CLASS": 1}
CHANGES = {
    ("system", "culverted stream"): {"DUTY": "stream"},
    ("system", "storm water"): {"DUTY": "storm"},
    ("system", "foul"): {"DUTY": "foul"},
    ("system", "combined"): {"DUTY": "combined"},
    ("waste water", "hazardous to water"): {"OWNER": "hazardous"},
    ("protection zone", "outside"): {},
    ("groundwater", "invert above"): {"WATER": -1},
    ("groundwater", "fluctuating zone"): {"WATER": 0.5},
    ("groundwater", "in aquifer"): {"WATER": 2},
    ("soil", "loam, clay"): {"SOIL": "clay"},
    ("soil", "sandy loam, loess, loamy sand, fine sand"): {"SOIL": "fine sand"},
    ("soil", "medium/coarse sand, gravel"): {"SOIL": "gravel"},
    ("clock position", "03-09"): {"CF": 5, "CT": 7},
    ("clock position", "09-03"): {"CF": 10, "CT": 2},
    ("clock position", "full ring"): {"CF": 12, "CT": 12},
    ("at a joint", "yes"): {"JOINT": "yes"},
    ("at a joint", "no"): {},
}
SEWER = ["SOIL", "OWNER", "DUTY", "WATER"]

case = Case("points_table", ["watch", "cured_in_place", "open_cut"])
for table in glob.glob(os.path.join(case.config, "*.csv")):
    if not os.path.exists(case.path(os.path.basename(table))):
        shutil.copy(table, case.folder)
for table in ("roll_up", "grading_rules", "observation_codes"):
    shutil.copy(os.path.join(CASES, "grading", table + ".csv"), case.folder)
case.rates([(method, size, 100.0) for method in ("cured_in_place", "open_cut")
            for size in (200, 1000)], "EUR", 1)


def cells(row):
    if row["factor"] == "defect class":
        return {**PLAIN, "CLASS": int(row["value"])}
    if row["factor"] == "protection zone" and row["value"] != "outside":
        return {**PLAIN, "GROUP": row["value"]}
    return {**PLAIN, **CHANGES[row["factor"], row["value"]]}


rows = published("points_table")
sewers = [(str(i), 300, 45.0, cells(row)["GROUP"]) for i, row in enumerate(rows)]
case.network(sewers, 1, SEWER, [[cells(row)[name] for name in SEWER] for row in rows])
with open(case.path("observations.csv"), "w") as file:
    file.write("ID,DAY,CODE,C1,C2,Q1,Q2,AT,TO,CF,CT,JOINT\n")
    for i, row in enumerate(rows):
        c = cells(row)
        for goal, _ in GOALS.values():
            file.write(f"{i},2019-06-01,DC,{goal},,{c['CLASS']},,10,,{c['CF']},{c['CT']},{c['JOINT']}\n")
result = case.run()
found = {(int(name), driver): value for name, driver, value in result.execute(
    "SELECT segment_id, driver, value FROM observation_grades WHERE scheme = 'bfr'")}
for i, row in enumerate(rows):
    plain = 0 if row["factor"] == "defect class" else CLASS_1
    for goal, (_, driver) in GOALS.items():
        printed = 0.0 if row[goal] == "n/a" else float(row[goal])
        show(f"points_table: {row['factor']} {row['value']}, {goal}", printed,
             found[i, driver] - plain)

"""Adds both results up again with SQL and holds a written comparison against it.

Usage: compare_check.py FIRST SECOND FOLDER CAUSES
CAUSES: the causes that must be there, in order, separated by |.
"""
import csv
import sqlite3
import sys

FOOT = 0.3048


def rows_of(folder, name):
    with open(f"{folder}/{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def read(result):
    db = sqlite3.connect(f"file:{result}/result.gpkg?mode=ro", uri=True)
    names = [row[1] for row in db.execute("PRAGMA table_info(segments)")]
    unit, factor = ("m", 1.0) if "length_m" in names else ("ft", FOOT)
    out = {}
    for row in db.execute(
            f"SELECT segment_id, length_{unit}, condition_basis, expected_loss_per_year, "
            "act_now_rule, method, cost, programme, year, structural_grade_now FROM segments"):
        out[row[0]] = dict(length=(row[1] or 0) * factor, basis=row[2], loss=row[3] or 0,
                           act=row[4], method=row[5], cost=row[6] or 0, state=row[7], year=row[8],
                           grade=None if row[9] is None else int(row[9] + 0.5))
    years = db.execute(f"SELECT sum(length_lined_{unit}), sum(length_replaced_{unit}), "
                       f"sum(length_other_{unit}), sum(spent) FROM programme_year").fetchone()
    path = db.execute(f"SELECT backlog_first_{unit}, backlog_last_{unit} FROM scenario "
                      "WHERE scenario = 'plan'").fetchone()
    return out, [v * factor for v in years[:3]] + [years[3]], [v * factor for v in path]


def paid(s):
    return s["state"] in ("funded", "committed")


def totals(result):
    rows, years, path = read(result)
    seg = list(rows.values())
    length = sum(s["length"] for s in seg)
    seen = sum(s["length"] for s in seg if s["basis"] == "observed")
    return [len(seg), length, seen, seen / length, sum(s["loss"] for s in seg),
            sum(s["act"] is not None for s in seg), sum(map(paid, seg)),
            sum(s["length"] for s in seg if paid(s)), *years,
            sum(s["state"] == "unfunded" for s in seg),
            sum(s["cost"] for s in seg if s["state"] == "unfunded"), *path]


def near(a, b):
    return abs(a - b) <= 1e-3 + 1e-6 * max(abs(a), abs(b))


def check_totals(first, second, folder):
    written = rows_of(folder, "totals")
    by = rows_of(folder, "totals_by_cause")
    a, b = totals(first), totals(second)
    assert len(written) == len(a) == 16, len(written)
    for row, x, y in zip(written, a, b):
        assert near(float(row["first"]), x), (row, x)
        assert near(float(row["second"]), y), (row, y)
        assert row["holds"] == "true", row
        steps = [r for r in by if r["total"] == row["total"]]
        value = float(row["first"])
        for step in steps:
            assert near(float(step["before"]), value), (row, step)
            value = float(step["after"])
            assert near(float(step["before"]) + float(step["change"]), value), step
        assert near(value, float(row["second"])), (row, value)
        assert near(sum(float(s["change"]) for s in steps), y - x), row


def check_changes(first, second, folder):
    a, b = read(first)[0], read(second)[0]
    want = set()
    for key in set(a) | set(b):
        if key not in a or key not in b:
            want.add((key, "only in the second" if key in b else "only in the first"))
            continue
        x, y = a[key], b[key]
        if paid(x) != paid(y):
            want.add((key, "enters the programme" if paid(y) else "leaves the programme"))
        elif paid(x) and x["year"] != y["year"]:
            want.add((key, "moves to another year"))
        if x["method"] != y["method"]:
            want.add((key, "changes method"))
        if x["grade"] != y["grade"]:
            want.add((key, "changes grade"))
        if x["basis"] != y["basis"]:
            want.add((key, "changes basis"))
        if (x["act"] is None) != (y["act"] is None):
            want.add((key, "act now: in" if y["act"] else "act now: out"))
    rows = [r for r in rows_of(folder, "changes") if r["change"] != "moves in rank"]
    found = {(r["segment_id"], r["change"]) for r in rows}
    assert found == want, (len(found), len(want), sorted(found ^ want)[:5])
    assert len(rows) == len(found)
    for row in rows:
        assert row["cause"] in row["changed_at"].split(", ") or "only" in row["change"] \
            or "version" in row["cause"], row
        assert row["reason"], row
    for kind in {k for _, k in want}:
        counted = sum(int(r["segments"]) for r in rows_of(folder, "counts") if r["change"] == kind)
        assert counted == sum(k == kind for _, k in want), kind


def main(first, second, folder, causes):
    steps = [r["cause"] for r in rows_of(folder, "steps")]
    assert steps == causes.split("|"), steps
    check_totals(first, second, folder)
    check_changes(first, second, folder)
    for row in rows_of(folder, "checks"):
        assert row["holds"] == "true", row
    # the same haunch made both: what the two ends add must be nothing
    for row in rows_of(folder, "totals_by_cause"):
        if row["cause"].startswith("version"):
            assert abs(float(row["change"])) < 1e-3, row
    for row in rows_of(folder, "changes"):
        assert not row["cause"].startswith("version"), row
    print("ok", causes, len(rows_of(folder, "changes")), "changes")


main(*sys.argv[1:])

"""Every number of explain's JSON that stands in a layer or table, against it.

usage: explain_compare.py HAUNCH RESULT [ID ...]   ids on standard input without any
Prints one line a fault and, at the end, how many numbers were compared. The
standard library alone: SQLite reads the GeoPackage.
"""
import json
import math
import re
import sqlite3
import subprocess
import sys

haunch, result = sys.argv[1:3]
ids = sys.argv[3:] or sys.stdin.read().split()
db = sqlite3.connect("file:%s/result.gpkg?mode=ro" % result, uri=True)
db.row_factory = sqlite3.Row
faults, compared, methods, formulas = 0, 0, 0, 0

# keys of a worked method -> column of table options
OPTIONS = ("wall_mm wall_required_mm bore_after_mm n_before n_after capacity_ratio price_width_mm "
           "rate_per_m main_cost works_cost items_cost cost cost_low cost_high life_years yearly_cost "
           "horizon_cost loss_avoided net_benefit verdict reason role wall_in wall_required_in "
           "bore_after_in price_width_in").split()
VERDICTS = "verdict cost horizon_cost loss_avoided net_benefit".split()


def fault(text):
    global faults
    faults += 1
    if faults <= 40:
        print(text)


def unique(pairs):
    keys = [k for k, _ in pairs]
    for k in set(keys):
        if keys.count(k) > 1:
            fault("key twice: " + k)
    return dict(pairs)


def same(a, b, tolerance=1e-12):
    global compared
    compared += 1
    if a is None or b is None:
        return a is None and b is None
    if isinstance(a, str) or isinstance(b, str):
        return a == b
    return math.isclose(a, b, rel_tol=tolerance, abs_tol=0)


def values(block, path=""):
    """All values and formulas below a block, with the path of keys."""
    for key, item in block.items():
        if isinstance(item, dict) and "value" in item:
            yield path + key, key, item
        elif isinstance(item, dict) and "rows" not in item and key != "units":
            yield from values(item, path + key + ".")


def check_segment(sheet, row):
    names = set(row.keys())
    for path, key, item in values(sheet):
        column = item.get("layer_column")
        # some columns hold a float, the sheet what it was rounded from
        if column and not same(item["value"], row[column], 1.2e-7):
            fault("%s %s: %r, layer %r" % (row["segment_id"], path, item["value"], row[column]))
        # outside the methods a key that is a column means that column
        if key in names and not path.startswith("worked.") and isinstance(row[key], (int, float)):
            if isinstance(item["value"], str):
                value = {"yes": 1, "no": 0}.get(item["value"])
            else:
                value = item["value"]
            if not same(value, row[key]):
                fault("%s %s: %r, column %r" % (row["segment_id"], path, item["value"], row[key]))


def check_parts(sheet, row):
    rows = sheet["consequence"]["parts"]["rows"]
    for column, total in (("money", "consequence_money"), ("service_money", "consequence_service_money"),
                          ("tightness_money", "consequence_tightness_money"),
                          ("points", "consequence_points")):
        parts = [r[column] for r in rows[:-1] if r[column] is not None]
        if row[total] is not None and abs(sum(parts) - row[total]) > 0.005:
            fault("%s parts of %s: %r, total %r" % (row["segment_id"], column, sum(parts), row[total]))
    stored = {r["factor"]: r for r in
              db.execute("SELECT * FROM score_parts WHERE segment_id = ?", [row["segment_id"]])}
    for r in rows[:-1]:
        for column in ("points", "money", "service_money", "tightness_money"):
            if r["factor"] in stored and not same(r[column], stored[r["factor"]][column]):
                fault("%s part %s %s" % (row["segment_id"], r["factor"], column))


def check_options(sheet, row):
    global methods
    stored = {r["method"]: r for r in
              db.execute("SELECT * FROM options WHERE segment_id = ?", [row["segment_id"]])}
    for r in sheet["all_methods"]["verdicts"]["rows"]:
        for column in VERDICTS:
            if r["method"] in stored and not same(r[column], stored[r["method"]][column]):
                fault("%s all methods %s %s" % (row["segment_id"], r["method"], column))
    for method, block in sheet["worked"].items():
        if not isinstance(block, dict) or method not in stored:
            continue
        methods += 1
        for path, key, item in values(block):
            if key not in OPTIONS or key not in stored[method].keys():
                continue
            want = stored[method][key]
            if key == "role":
                want, item = True, {"value": want in item["value"].split(", ")}
            if not same(item["value"], want):
                fault("%s %s %s: %r, options %r" % (row["segment_id"], method, path, item["value"], want))
        # the steps of the mark-ups end at the cost
        if "cost" in block:
            last = block["cost"]["markups"]["rows"][-1]
            if last["total"] is not None and abs(last["adds"]) > 0.0051:
                fault("%s %s: mark-ups miss the cost by %r" % (row["segment_id"], method, last["adds"]))


def worked_out(numbers):
    """The value of "300 / (2 x 7)^(1/3)"; None when it is a sentence."""
    text = re.sub(r"(?<=\d) (?=\d{3}(\D|$))", "", numbers).replace(" x ", "*").replace("^", "**")
    if re.sub(r"exp|pi|[-+*/(). 0-9]", "", text):
        return None
    try:
        return eval(text, {"__builtins__": {}, "exp": math.exp, "pi": math.pi})
    except ZeroDivisionError:
        return None


def check_formulas(sheet, row):
    """Symbols = numbers = result: the printed numbers must give the printed result."""
    global formulas
    for path, _, item in values(sheet):
        numbers = item.get("numbers")
        if numbers is None or item["value"] is None or sheet["units"] != "si":
            continue
        value = worked_out(numbers)
        if value is None:
            if numbers != "no water, no wall":
                fault("%s %s: cannot work out %s" % (row["segment_id"], path, numbers))
            continue
        formulas += 1
        # numbers are printed with five digits or to the cent
        if abs(value - item["value"]) > max(5e-4 * abs(item["value"]), 0.02 if item.get("unit", "")[:3] == "EUR" else 2e-6):
            fault("%s %s: %s is %r, not %r" % (row["segment_id"], path, numbers, value, item["value"]))


for segment in ids:
    done = subprocess.run([haunch, "explain", "--format", "json", "--quiet", result, segment],
                          capture_output=True)
    if done.returncode != 0 or done.stderr:
        fault("%s: exit %d, %s" % (segment, done.returncode, done.stderr.decode(errors="replace")[:300]))
        continue
    sheet = json.loads(done.stdout.decode("utf-8"), object_pairs_hook=unique)
    row = db.execute("SELECT * FROM segments WHERE segment_id = ?", [sheet["segment_id"]]).fetchone()
    check_segment(sheet, row)
    check_parts(sheet, row)
    check_options(sheet, row)
    check_formulas(sheet, row)
print("faults %d" % faults)
print("segments %d, methods %d, numbers %s, formulas %s" % (
    len(ids), methods, "many" if compared > 100 * len(ids) else compared,
    "many" if formulas > 10 * len(ids) else formulas))

"""Every rule of the catalogue asked again, row by row, of the segments layer by another
SQLite: the verdict and every reason in `options` must be those of the rules, beside what the
design adds. Usage: verdicts.py RESULT_GPKG METHOD_RULES_CSV.
"""
import collections
import csv
import re
import sqlite3
import sys

PREFIX = {"ruled_out": "ruled out: ", "after_works": "first: ", "warning": "note: ",
          "unknown": "cannot tell, a value is missing: "}
# what the design, not a rule, says in options
DESIGN = [
    "ruled out: no wall of this method", "ruled out: a wall of ", "ruled out: an ovality of .* the "
    "wall can be designed", "ruled out: the lining would fill", "ruled out: it would carry ",
    "ruled out: no standard pipe ", "cannot tell: the new pipe needs ", "note: cannot stand wet grout ",
    "cannot tell: the wall needs ", "cannot tell: there is no screening", "cannot tell: the price ",
    "note: not circular: screening", "note: full-flow capacity ", "note: the size or depth is ",
    "its last step was drawn on", "note: a quantity is not known", "fits: no rule of this method",
]
DESIGN = re.compile("|".join(DESIGN))


def with_limit(rule, text):
    return text.replace("{limit}", f"{float(rule['limit']):.15g}" if rule["limit"] else "")


def pattern(rule, kind):
    """The sentence of a rule with any value in its placeholders."""
    parts = re.split(r"\{\w+\}", with_limit(rule, rule["reason"]))
    # "an egg profile": the article goes with the value
    parts = [re.sub(r"\ba\\ $", r"an?\\ ", re.escape(part)) for part in parts]
    return re.compile(re.escape(PREFIX[kind]) + ".*".join(parts))


def asked_again(db, rules):
    """(segment, method) -> sentences that must stand there."""
    known = {row[1] for row in db.execute("PRAGMA table_info(segments)")}
    expected = collections.defaultdict(list)
    for rule in rules:
        condition = re.sub(r"\bnear_\w+_m\b", lambda m: m[0] if m[0] in known else "NULL",
                           with_limit(rule, rule["condition"]))
        for segment, holds in db.execute(f"SELECT segment_id, ({condition}) FROM segments"):
            if holds:
                kind = rule["verdict"]
            elif holds is None and rule["if_unknown"] == "cannot_tell":
                kind = "unknown"
            else:
                continue
            expected[segment, rule["method"]].append(pattern(rule, kind))
            bitten.add(rule["id"])
    return expected


def verdict(parts):
    for start, word in (("ruled out", "ruled out"), ("cannot tell", "cannot tell"),
                        ("first", "fits after works")):
        if any(part.startswith(start) for part in parts):
            return word
    return "fits"


with open(sys.argv[2], newline="") as file:
    rules = list(csv.DictReader(file))
db = sqlite3.connect(sys.argv[1])
bitten = set()
expected = asked_again(db, rules)
rows = wrong = 0
for segment, method, found, reason in db.execute(
        "SELECT segment_id, method, verdict, reason FROM options"):
    parts = reason.split("; ")
    said = [part for part in parts if not DESIGN.match(part)]
    due = expected[segment, method]
    same = len(said) == len(due) and all(any(p.fullmatch(s) for s in said) for p in due)
    rows += 1
    if not same or verdict(parts) != found:
        wrong += 1
        if wrong <= 5:
            print(f"{segment}, {method}: {found}: {reason}\n  rules: {[p.pattern for p in due]}",
                  file=sys.stderr)
print(f"{rows} rows, {wrong} wrong; {len(bitten)} of {len(rules)} rules bite somewhere")
print("never:", *sorted({rule["id"] for rule in rules} - bitten))
sys.exit(wrong > 0 or rows == 0)

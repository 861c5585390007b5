"""Hand-made changes of a copy of the sample. Usage: compare_edit.py COPY WHAT ..."""
import csv
import sys


def edit_text(path, change):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    new = change(text)
    assert new != text, path
    with open(path, "w", encoding="utf-8") as file:
        file.write(new)


def edit_rows(path, change):
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    changed = sum(bool(change(row)) for row in rows)
    assert changed, path
    with open(path, "w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, rows[0].keys())
        out.writeheader()
        out.writerows(rows)


def worse(row):
    if row["STR"] == "3" and row["INSP_NO"].endswith("7"):
        row["STR"] = "5"
        return True
    return False


def smaller(row):
    if row["id"] == "cured_in_place_too_large":
        row["limit"] = "400"
        return True
    return False


def dearer(row):
    if row["method"] == "cured_in_place":
        row["rate"] = str(1.6 * float(row["rate"]))
        return True
    return False


def cut(text):
    for year in range(2026, 2030):
        for old in ("1200000", "1250000"):
            text = text.replace(f"{year}: {old}", f"{year}: 700000")
    return text


def main(folder, changes):
    plan = folder + "/sample-gis/plan.yaml"
    for what in changes:
        if what == "data":
            edit_rows(folder + "/sample-gis/inspections.csv", worse)
        elif what == "rules":
            edit_rows(folder + "/config/method_rules.csv", smaller)
        elif what == "prices":
            edit_rows(folder + "/config/rates.csv", dearer)
        elif what == "budget":
            edit_text(plan, cut)
        elif what == "day":  # the programme cannot stay: it would begin before the day
            edit_text(plan, lambda t: t.replace("as_of: 2026-01-01", "as_of: 2027-01-01")
                      .replace("first_year: 2026", "first_year: 2027")
                      .replace("    2026: 1200000\n", "").replace("years: 10", "years: 9"))
        elif what == "units":
            edit_text(plan, lambda t: t.replace("units: si", "units: us"))
        elif what == "currency":
            edit_text(plan, lambda t: t.replace("currency: EUR", "currency: USD"))
        elif what == "where":
            edit_text(plan, lambda t: t.replace("AND OWNER = 'town'", "AND OWNER <> 'x'"))
        else:
            raise SystemExit("no such change: " + what)


main(sys.argv[1], sys.argv[2:])

"""Second calculation of tests/system/sensitivity.sh, by the standard library alone.

sensitivity.py change FOLDER NAME      makes the plan of a variation as a person would
sensitivity.py compare BASE OTHER PARAMETER SIDE
                                       two whole results against one row of the table
sensitivity.py parts BASE              consequence factors doubled from score_parts
sensitivity.py ranks BASE              the table of ranks against itself and the plan

Prints "ok QUESTION" or "FIRST-DIFFERENCE QUESTION" for each question."""
import csv
import math
import re
import sqlite3
import sys


def rows(result, statement):
    data = sqlite3.connect(f"file:{result}/result.gpkg?mode=ro", uri=True)
    data.row_factory = sqlite3.Row
    return data.execute(statement).fetchall()


def falling(value):
    return math.inf if value is None else -value


def by_risk(row):
    return falling(row["loss"])


def by_value(row):
    """What has a value first; what has none by its loss."""
    if row["value"] is None:
        return (1, falling(row["loss"]))
    return (0, falling(row["value"]))


def mean_ranks(key):
    """Rising; equal ones share their mean rank."""
    order = sorted(range(len(key)), key=key.__getitem__)
    out = [0.0] * len(key)
    i = 0
    while i < len(order):
        end = i + 1
        while end < len(order) and key[order[end]] == key[order[i]]:
            end += 1
        for k in range(i, end):
            out[order[k]] = (i + 1 + end) / 2
        i = end
    return out


def spearman(a, b):
    a, b = mean_ranks(a), mean_ranks(b)
    ma, mb = sum(a) / len(a), sum(b) / len(b)
    ab = sum((x - ma) * (y - mb) for x, y in zip(a, b))
    return ab / math.sqrt(sum((x - ma) ** 2 for x in a) * sum((y - mb) ** 2 for y in b))


def say(question, expected, found, slack):
    good = expected is not None and found is not None and abs(expected - found) <= slack
    print("ok" if good else f"expected:{expected};found:{found}", question)


# ---- whole runs -------------------------------------------------------------------


def edit(path, change):
    with open(path, newline="", encoding="utf-8") as f:
        lines = list(csv.DictReader(f))
    done = sum(1 for line in lines if change(line))
    assert done, path
    with open(path, "w", newline="", encoding="utf-8") as f:
        writer = csv.DictWriter(f, list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)


def edit_plan(path, pattern, text):
    plan = open(path, encoding="utf-8").read()
    changed = re.sub(pattern, text, plan)
    assert changed != plan, pattern
    open(path, "w", encoding="utf-8").write(changed)


def times(column, factor):
    def change(line):
        line[column] = repr(float(line[column]) * factor)
        return 1

    return change


def only(test, change):
    return lambda line: change(line) if test(line) else 0


def change(folder, name):
    plan, config = f"{folder}/sample-gis/plan.yaml", f"{folder}/config"
    kinds = {m["id"]: m["kind"] for m in csv.DictReader(open(f"{config}/methods.csv", newline=""))}

    def money(line):
        line["money"] = f"({line['money']}) * 2"
        return 1

    def speed(line):
        for column in line:
            if column.startswith("rate_"):
                line[column] = repr(float(line[column]) * 0.7)
        return 1

    if name == "discount":
        edit_plan(plan, "discount_pct: 3.0", "discount_pct: 1.5")
    elif name == "horizon":
        edit_plan(plan, "horizon_years: 50", "horizon_years: 80")
    elif name == "priority":
        edit_plan(plan, "priority: risk", "priority: value")
    elif name == "budget":
        edit_plan(plan, r"(20\d\d): (\d+)(?=\n)", lambda m: f"{m[1]}: {float(m[2]) * 0.8!r}")
    elif name == "soil":
        edit_plan(plan, "soil: {value: mixed", "soil: {value: sand")
    elif name == "depth":
        edit_plan(plan, "depth_up_m: {value: 2.5", "depth_up_m: {value: 5")
    elif name == "built":
        edit_plan(plan, "year_built: {value: 1950", "year_built: {value: 1900")
    elif name == "consequence":
        edit(f"{config}/consequence.csv", only(lambda l: l["factor"] == "repair depth", money))
    elif name == "not_known":
        edit(f"{config}/consequence.csv",
             only(lambda l: l["factor"] == "leakage" and l["class"] == "not known", money))
    elif name == "failure":
        edit(f"{config}/failure_rates.csv",
             only(lambda l: l["driver"] == "structural", times("failures_per_segment_per_year", 2)))
    elif name == "deterioration":
        edit(f"{config}/deterioration.csv", speed)
    elif name == "lining":
        edit(f"{config}/rates.csv", only(lambda l: kinds[l["method"]] == "lining", times("rate", 2)))
    elif name == "items":
        edit(f"{config}/cost_items.csv", times("rate", 0.5))
    elif name == "life":
        edit(f"{config}/methods.csv", only(lambda l: l["kind"] == "lining", times("life_years", 0.6)))
    elif name == "markups":
        edit(f"{config}/markups.csv", times("percent", 1.5))
    elif name == "water":
        edit_plan(plan, "\nmoney:", "\ndesign:\n  groundwater_default_share: 1\nmoney:")
    else:
        sys.exit(f"no change is called {name}")


def early(row, first, years):
    return row["year"] is not None and row["year"] < first + years


def programme(result):
    return rows(result, "SELECT spent, loss_avoided FROM scenario WHERE scenario = 'plan'")[0]


def compare(base, other, parameter, side):
    found = rows(base, "SELECT * FROM sensitivity WHERE parameter = '%s' AND side = '%s'"
                 % (parameter, side))
    if len(found) != 1:
        print(f"{len(found)}-rows {parameter} {side}")
        return
    row = found[0]
    what = f"{parameter} {row['value']}: "
    columns = ("SELECT segment_id, expected_loss_per_year AS loss, priority, year, length_m, method, "
               "loss_avoided_per_cost AS value "
               "FROM segments ORDER BY segment_id")
    a, b = rows(base, columns), rows(other, columns)
    first = rows(base, "SELECT min(year) AS y FROM programme_year")[0]["y"]
    years = row["first_years"]
    say(what + "correlation of the rank by risk",
        spearman([by_risk(r) for r in a], [by_risk(r) for r in b]),
        row["rank_correlation_risk"], 1e-9)
    rule = by_value if parameter == "priority" else by_risk
    say(what + "correlation of the priority",
        spearman([by_risk(r) for r in a], [rule(r) for r in b]),
        row["rank_correlation_priority"], 1e-9)
    entering = [r for r, s in zip(a, b) if early(s, first, years) and not early(r, first, years)]
    leaving = [r for r, s in zip(a, b) if early(r, first, years) and not early(s, first, years)]
    say(what + "segments that enter", len(entering), row["entering_segments"], 0)
    say(what + "segments that leave", len(leaving), row["leaving_segments"], 0)
    say(what + "length that enters", sum(r["length_m"] for r in entering), row["entering_m"], 1e-6)
    say(what + "length that leaves", sum(r["length_m"] for r in leaving), row["leaving_m"], 1e-6)
    total = [math.fsum(r["loss"] for r in c if r["loss"] is not None) for c in (a, b)]
    say(what + "change of the expected loss", total[1] - total[0], row["expected_loss_change"], 0.02)
    p, q = programme(base), programme(other)
    say(what + "change of the cost", q["spent"] - p["spent"], row["programme_cost_change"], 0.02)
    say(what + "change of the loss avoided", q["loss_avoided"] - p["loss_avoided"],
        row["loss_avoided_change"], 0.02)
    say(what + "methods that change", sum(r["method"] != s["method"] for r, s in zip(a, b)),
        row["methods_changed"], 0)
    band = {r["segment_id"]: r for r in rows(base, "SELECT * FROM rank_sensitivity")}
    outside = sum(not band[r["segment_id"]]["rank_sensitivity_low"] <= r["priority"] <=
                  band[r["segment_id"]]["rank_sensitivity_high"] for r in b)
    say(what + "segments outside their band", 0, outside, 0)


# ---- from the layers of one result ------------------------------------------------


def parts(base):
    drivers = ("structural", "service", "tightness")
    money = ("money", "service_money", "tightness_money")
    chance = {r["segment_id"]: r for r in rows(base, "SELECT * FROM segments")}
    part = {}
    for r in rows(base, "SELECT * FROM score_parts"):
        part[r["segment_id"], r["factor"]] = [r[m] or 0.0 for m in money]
    loss = {i: r["expected_loss_per_year"] for i, r in chance.items()}
    ids = sorted(loss)
    table = rows(base, "SELECT * FROM sensitivity WHERE parameter LIKE 'consequence.%'")
    for row in table:
        factor = row["parameter"].split(".", 1)[1]
        k = float(row["value"][1:])
        other = {}
        for i in ids:
            more = sum(chance[i][f"failure_chance_{d}_per_year"] * m
                       for d, m in zip(drivers, part.get((i, factor), (0, 0, 0))))
            other[i] = loss[i] + (k - 1) * more
        what = f"{row['parameter']} {row['value']} from score_parts: "
        total = sum(other[i] - loss[i] for i in ids)
        say(what + "change of the expected loss", total, row["expected_loss_change"],
            1.0 + 5e-4 * abs(total))  # parts are rounded to whole money, twice in the run
        say(what + "correlation", spearman([falling(loss[i]) for i in ids], [falling(other[i]) for i in ids]),
            row["rank_correlation_risk"], 5e-6)
    say("factors varied, both sides", 24, len(table), 0)


def ranks(base):
    segments = {r["segment_id"]: r for r in rows(base, "SELECT * FROM segments")}
    cases = rows(base, "SELECT count(*) AS n FROM sensitivity")[0]["n"]
    table = rows(base, "SELECT * FROM rank_sensitivity ORDER BY priority")
    say("ranks: one row a segment", len(segments), len(table), 0)
    say("ranks: priorities", 0, sum(segments[r["segment_id"]]["priority"] != r["priority"]
                                    for r in table), 0)
    say("ranks: bands that do not hold the rank of the plan", 0,
        sum(not r["rank_sensitivity_low"] <= r["priority"] <= r["rank_sensitivity_high"]
            for r in table), 0)
    say("ranks: bands without width", 1, int(any(r["rank_sensitivity_low"] < r["priority"]
                                               for r in table)), 0)
    say("ranks: shares", 0, sum(abs(r["share_in_first_years"] -
                                    r["variations_in_first_years"] / cases) > 1e-6
                                for r in table), 0)
    moved = rows(base, "SELECT effect_rank AS e, max(entering_m + leaving_m) AS m FROM sensitivity "
                 "GROUP BY parameter ORDER BY e")
    say("table: sorted by length moved", 0, sum(a["m"] < b["m"] - 1e-9
                                                for a, b in zip(moved, moved[1:])), 0)


{"change": change, "compare": compare, "parts": parts, "ranks": ranks}[sys.argv[1]](*sys.argv[2:])

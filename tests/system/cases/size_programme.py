"""Lining programme of a city by size: 17 rows of length, price and cost, and their sum.

The costs do not follow from the prices as printed: these are rounded to a whole dollar,
which moves the sum from 185.03 to 185.36 million USD. With the price that each row implies
every printed cost comes back.

Source: City of Eugene (Oregon), 2020 Wastewater Master Plan, Table 5-3, p. 42 (sewers over
50 years old that were not yet renewed, prices of 2019).
"""
from case import FOOT_M, Case, published, show, yes

REACH_FT = 300  # a manhole at this distance: a guess that no sum depends on

rows = published("size_programme")
case = Case("size_programme", ["cured_in_place"])


def sizes(row):
    return [float(size) for size in row["diameter_in"].split("-")]


def reaches(row):
    left, i, size = int(row["length_ft"]), 0, sizes(row)
    while left > 0:
        length = min(left, REACH_FT)
        yield f"{row['diameter_in']}/{i}", size[i % len(size)], length, row["diameter_in"]
        left, i = left - length, i + 1


def run(price_of):
    case.rates([("cured_in_place", round(size * 25.4, 4), price_of(r))
                for r in rows for size in sizes(r)], "USD", FOOT_M)
    result = case.run()
    return result, {row[0]: row[1:] for row in result.execute(
        "SELECT district, sum(cost), sum(length_ft), min(method), max(method) FROM segments "
        "GROUP BY district")}


case.network([reach for r in rows for reach in reaches(r)], FOOT_M)
result, found = run(lambda r: float(r["usd_per_ft"]))
same = 0
for r in rows:
    cost, length, first, last = found[r["diameter_in"]]
    show(f"size_programme: {r['diameter_in']} in, length in ft", float(r["length_ft"]), round(length, 1))
    show(f"size_programme: {r['diameter_in']} in, method", "cured_in_place", f"{first}"
         if first == last else f"{first} to {last}")
    show(f"size_programme: {r['diameter_in']} in, length x printed price in 1,000 USD",
         round(float(r["length_ft"]) * float(r["usd_per_ft"]) / 1e3), round(cost / 1e3))
    same += round(cost / 1e6, 2) == float(r["cost_musd"])
show("size_programme: rows whose cost follows from the printed price", 9, same)
length, cost = result.execute("SELECT chosen_length_ft, chosen_cost FROM method_totals WHERE "
                              "method = 'cured_in_place'").fetchone()
show("size_programme: total length in ft (rows; 1,068,904 printed)", 1068906.0, round(length, 1))
show("size_programme: total at printed prices, million USD", 185.36, round(cost / 1e6, 2))

result, found = run(lambda r: float(r["cost_musd"]) * 1e6 / float(r["length_ft"]))
for r in rows:
    show(f"size_programme: {r['diameter_in']} in, cost in million USD", float(r["cost_musd"]),
         round(found[r["diameter_in"]][0] / 1e6, 2))
cost, spent = result.execute("SELECT (SELECT chosen_cost FROM method_totals WHERE method = "
                             "'cured_in_place'), (SELECT sum(spent) FROM programme_year)").fetchone()
show("size_programme: total, million USD", 185.03, round(cost / 1e6, 2))
show("size_programme: average of the programme, USD per ft", 173.10, round(cost / length, 2))
yes("size_programme: the programme spends what the methods cost", abs(spent - cost) < 0.005)

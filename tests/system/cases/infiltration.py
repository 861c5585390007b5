"""Water kept out per money: four kinds of work by gallons removed per dollar, with their
shares of the cost; and a dry sewer that is worn, which such a ranking must not hide.

The gallons are taken as gallons a day. The source's text says that mainlines are 53 % of
the cost of the public part: 53.4 % is their share of all cost; of the public part it is
54.75 %. Both are asked here.

Source: City of Paris (Texas), Sanitary Sewer Evaluation Survey, Table IV-1 and p. IV-2.
"""
from case import FOOT_M, Case, published, show, yes

LENGTH_FT = 100.0  # the work is a lump sum; any length carries it
GALLON_M3 = 0.003785411784
DAYS = 365

printed = published("infiltration")
total, kinds = printed[-1], printed[:-1]
case = Case("infiltration", ["cured_in_place"])
width = {row["source"]: 8.0 + 2 * i for i, row in enumerate(kinds)}


def run(rows):
    sewers = [(r["source"], width[r["source"]], LENGTH_FT, float(r["ii_removed_gal"]) / 1e6)
              for r in rows] + [("dry", 30.0, LENGTH_FT, 0), ("not measured", 30.0, LENGTH_FT, "")]
    case.network(sewers, FOOT_M)
    case.rates([("cured_in_place", width[r["source"]] * 25.4, float(r["cost_usd"]) / LENGTH_FT)
                for r in rows] + [("cured_in_place", 30 * 25.4, 1000.0)], "USD", FOOT_M)
    return case.run().execute(
        "SELECT segment_id, rank_infiltration, removed_m3_per_year, cost, removed_m3_per_cost, "
        "cost_per_m3, share_of_cost, rank_risk, structural_grade_now, note, share_of_removed "
        "FROM infiltration ORDER BY rowid").fetchall()


def gallons(m3_per_year):
    return m3_per_year / DAYS / GALLON_M3


lines = run(kinds)
ranked = [line for line in lines if line[1]]
show("infiltration: order", [r["source"] for r in kinds], [line[0] for line in ranked])
show("infiltration: ranks", [1, 2, 3, 4], [line[1] for line in ranked])
for row, line in zip(kinds, ranked):
    name = "infiltration: " + row["source"]
    show(name + ", gallons", int(row["ii_removed_gal"]), round(gallons(line[2])))
    show(name + ", cost", int(row["cost_usd"]), round(line[3]))
    show(name + ", gallons per dollar", float(row["gal_per_usd(rank metric)"]),
         round(gallons(line[4]), 4))
    show(name + ", dollars per gallon", float(row["usd_per_gal"]),
         round(line[5] * DAYS * GALLON_M3, 3))
    show(name + ", share of all cost", float(row["pct_of_total_cost"]), round(100 * line[6], 2))
show("infiltration: gallons of all", int(total["ii_removed_gal"]),
     round(sum(gallons(line[2]) for line in ranked)))
show("infiltration: cost of all", int(total["cost_usd"]), round(sum(line[3] for line in ranked)))
all_in_all = sum(line[2] for line in ranked) / sum(line[3] for line in ranked)
show("infiltration: gallons per dollar of all", float(total["gal_per_usd(rank metric)"]),
     round(gallons(all_in_all), 4))
show("infiltration: dollars per gallon of all", float(total["usd_per_gal"]),
     round(1 / gallons(all_in_all), 2))
show("infiltration: shares of water and cost", [1.0, 1.0],
     [round(sum(line[i] for line in ranked), 9) for i in (10, 6)])

rest = {line[0]: line for line in lines if not line[1]}
show("infiltration: worn sewers without a rank are listed", ["dry", "not measured"], sorted(rest))
yes("infiltration: the dry one says so", rest["dry"][9].startswith("dry, structure worn"))
yes("infiltration: the other too", rest["not measured"][9].startswith("infiltration not measured"))
yes("infiltration: all have their rank by risk", all(line[7] for line in lines))

for line in run([r for r in kinds if r["pct_of_public_cost"]]):
    if line[1]:
        row = next(r for r in kinds if r["source"] == line[0])
        show(f"infiltration: {line[0]}, share of public cost", float(row["pct_of_public_cost"]),
             round(100 * line[6], 2))

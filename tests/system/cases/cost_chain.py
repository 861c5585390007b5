"""Cost chain of seven pipe projects: base, 30 % contingency, 30 % engineering, legal and
administration on the sum, each amount rounded to 100 USD, halves up.

Source: City of Auburn (Washington), Comprehensive Water Plan, Appendix P, Table P.1. Pipes
of a water network; the arithmetic is the same.
"""
from case import FOOT_M, Case, published, show

rows = published("cost_chain")
case = Case("cost_chain", ["open_cut"])
case.network([(r["project"], r["diameter_in"], float(r["length_ft"]), "") for r in rows], FOOT_M)
case.rates([("open_cut", 8 * 25.4, 150), ("open_cut", 12 * 25.4, 170)], "USD", FOOT_M)
case.pipe_sizes([8 * 25.4, 12 * 25.4])


def costs(**money):
    result = case.run(**money)
    return dict(result.execute("SELECT segment_id, cost FROM segments"))


def agreeing(found):
    return sum(found[r["project"]] == float(r["total"]) for r in rows)


# one mark-up after the other shows every amount that the table prints
for chain, column in [([], "base"), ([30], "subtotal"), ([30, 30], "total")]:
    case.markups([(f"part {i}", percent) for i, percent in enumerate(chain)] or [("none", 0)])
    found = costs(rounding="each_step", rounding_step=100)
    for r in rows:
        show(f"cost_chain: project {r['project']}, {column}", float(r[column]), found[r["project"]])
show("cost_chain: projects that agree, each step rounded", 7, agreeing(found))
show("cost_chain: projects that agree, rounded at the end", 3,
     agreeing(costs(rounding="end", rounding_step=100)))
found = costs(rounding="none")
for r in rows:  # length x unit x 1.3 x 1.3
    exact = round(float(r["length_ft"]) * float(r["usd_per_ft"]) * 1.69, 2)
    show(f"cost_chain: project {r['project']}, not rounded", exact, round(found[r["project"]], 2))

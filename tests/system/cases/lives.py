"""Yearly cost of three works of different lives at 3 %. The lives are those of the shipped
methods. Then the cost of repair and renovation to a horizon, each followed by renewal: the
cheaper one changes at 25 and at 50 years.

Source: Baufachliche Richtlinien Abwasser (German federal building guidelines, waste water),
A-8.7.3, example A, Table A-8-6.
"""
from case import Case, published, show

LENGTH_M = 100.0

rows = published("lives")
case = Case("lives", [r["method"] for r in rows])
case.network([("sewer", 300, LENGTH_M, "")], 1)
case.rates([(r["method"], width, float(r["cost_keur"]) * 1000 / LENGTH_M)
            for r in sorted(rows, key=lambda r: r["method"]) for width in (200, 400)], "EUR", 1)
result = case.run()
for r in rows:
    cost, life, yearly = result.execute("SELECT cost, life_years, yearly_cost FROM options WHERE "
                                        "method = ?", (r["method"],)).fetchone()
    show(f"lives: {r['work']}, cost", float(r["cost_keur"]), round(cost / 1000, 6))
    show(f"lives: {r['work']}, life", float(r["life_years"]), life)
    show(f"lives: {r['work']}, yearly cost in 1,000 EUR", float(r["yearly_keur"]),
         round(yearly / 1000, 1))

# The source counts a work that falls due in the last year of the horizon: its horizon of n
# years is one of n + 1 here. It prints no value of unused life.
case.cut("methods.csv", lambda row: row["id"] in [r["method"] for r in rows], repeat_max="0")
for printed in published("horizons"):
    years = int(printed["horizon_years"])
    result = case.run(horizon_years=years + 1, residual_value="no")
    found = dict(result.execute("SELECT method, horizon_cost FROM options"))
    for method in ("local_repair", "cured_in_place"):
        show(f"lives: {method} to {years} years", float(printed[method]),
             round(found[method] / 1000, 1))
    cheaper = min(("local_repair", "cured_in_place"), key=lambda method: found[method])
    show(f"lives: cheaper to {years} years", printed["cheaper"], cheaper)

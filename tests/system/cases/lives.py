"""Yearly cost of three works of different lives at 3 %. The lives are those of the shipped
methods. What the source says of the horizon is in tests/unit/test_economics_chain.c.

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

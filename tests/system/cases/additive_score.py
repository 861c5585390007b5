"""A score of points times factors, added up, of a reach whose depth and age are unknown.
Unknown counts as 0 in the print; the low and the high score say what that may hide.

The classes that cover and age would have are not in print: 2 points are taken for the
worst of either, so the high score is 403 + 2 x 22 + 2 x 7 = 461.

Source: D. Stein, handbook of sewer rehabilitation, Sec. 4.7.4.3.2.
"""
import os
import shutil

from case import CASES, Case, published, show

case = Case("additive_score", ["cured_in_place", "open_cut"])
shutil.copy(os.path.join(CASES, "additive_score", "scoring.csv"), case.folder)
case.rates([(method, size, 100.0) for method in ("cured_in_place", "open_cut")
            for size in (200, 1000)], "EUR", 1)
case.network([("unknown", 300, 45.0, "I"), ("known", 300, 45.0, "I")], 1, ["DEPTH", "YEAR"],
             [("", ""), (1.0, 1900)])
result = case.run()
case.scheme(result)
parts = dict(result.execute("SELECT factor, score FROM scheme_parts WHERE segment_id = 'unknown'"))
for row in published("additive_score"):
    show(f"additive_score: {row['attribute']}", float(row["partial"]), parts[row["attribute"]])
totals = "SELECT score, score_low, score_high FROM segments WHERE segment_id = ?"
show("additive_score: sum, and what unknown may hide", (403.0, 403.0, 461.0),
     result.execute(totals, ("unknown",)).fetchone())
show("additive_score: no range where all is known", (461.0, 461.0, 461.0),
     result.execute(totals, ("known",)).fetchone())

"""The same defect at three sites: points times site factors, as a points scheme of two
sides, each a product. Stability stands on the side of likelihood, the surroundings on the
side of consequence; the score is their sum.

Source: D. Stein, handbook of sewer rehabilitation, Table 4.7.4.2.3-1; structural points 240.
Printed are two decimals of the factors and ratings to 10.
"""
import os
import shutil

from case import CASES, Case, published, show, yes

POINTS = 240

case = Case("site_factors", ["cured_in_place", "open_cut"])
shutil.copy(os.path.join(CASES, "site_factors", "scoring.csv"), case.folder)
case.rates([(method, size, 100.0) for method in ("cured_in_place", "open_cut")
            for size in (200, 1000)], "EUR", 1)
# depth is cover and width; groundwater above the invert in metres
case.network([("reach 1", 300, 45.0, "less"), ("reach 2", 300, 45.0, "less"),
              ("reach 3", 400, 45.0, "110 % full")], 1,
             ["SURFACE", "DEPTH", "WATER", "DUTY"],
             [("footway", 4.3, 1, "foul"), ("main road", 1.3, -2, "foul"),
              ("minor road", 2.4, 0, "combined")])
result = case.run()
case.scheme(result)
found = {int(name[-1]): (stability / POINTS, surroundings / POINTS, rating, rank)
         for name, stability, surroundings, rating, rank in result.execute(
             "SELECT segment_id, score_likelihood, score_consequence, score, rank_score FROM segments")}
for row in published("site_factors"):
    stability, surroundings, rating, _ = found[int(row["reach"])]
    for what, value in (("stability", stability), ("environment", surroundings),
                        ("sum", stability + surroundings)):
        show(f"site_factors: reach {row['reach']}, {what}", float(row[what]), round(value, 2))
    show(f"site_factors: reach {row['reach']}, rating", float(row["rating"]), round(rating, -1))
show("site_factors: order of the reaches", [3, 2, 1], sorted(found, key=lambda reach: found[reach][3]))
yes("site_factors: reach 3 leads by its surroundings, though reach 2 has the higher stability",
    found[2][0] > found[3][0] and round(found[3][1], 2) == 4.29)
first = result.execute("SELECT side, factor FROM scheme_parts WHERE segment_id = 'reach 3' AND factor "
                       "NOT LIKE 'structural points%' ORDER BY score DESC LIMIT 1").fetchone()
show("site_factors: its greatest factor", ("consequence", "sewer system"), first)

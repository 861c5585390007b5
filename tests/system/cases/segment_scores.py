"""Scores of segments of a water network, likelihood x consequence, with their costs. The
arithmetic is the general one of such lists: weights, a surcharge, a cap, a product.

Three things are not in print and are set here: the critical customers of the last rows are
those that the printed score asks for; lengths follow from the cost and one price a size,
which lies within what the printed lengths allow (rows of 0.00 miles still cost money); two
further rows try the cap, and a collapse on top.

Source: City of Santa Ana (California), Water Rate Study 2014, Tables B-9 and B-10 (pages
65B-125 and 65B-130) and the list of page 65B-142.
"""
import os
import shutil

from case import CASES, FOOT_M, Case, published, show, yes

USD_PER_FT = {18: 435, 12: 300, 14: 400, 30: 600}
MILE_FT = 5280

rows = published("segment_scores")
case = Case("segment_scores", ["open_cut"])
shutil.copy(os.path.join(CASES, "segment_scores", "scoring.csv"), case.folder)
case.pipe_sizes([size * 25.4 for size in sorted(USD_PER_FT)])
case.rates([("open_cut", size * 25.4, price) for size, price in sorted(USD_PER_FT.items())],
           "USD", FOOT_M)


def feet(row):
    return float(row["cost_usd"]) / USD_PER_FT[int(row["diameter_in"])]


sewers = [(row["pipe"], row["diameter_in"], feet(row), "") for row in rows]
values = [(row["material"], row["year"], row["cohort_rank"], row["critical_customers"], "no")
          for row in rows]
sewers += [("capped", 30, 300.0, ""), ("collapsed", 18, 300.0, "")]
values += [("cast iron", 1950, 0, 3, "no"), ("cast iron", 1939, 3, 0, "yes")]
case.network(sewers, FOOT_M, ["MATERIAL", "YEAR", "COHORT", "CUSTOMERS", "COLLAPSED"], values)
result = case.run()
case.scheme(result)
for row in rows:
    likelihood, consequence, score, feet_found, cost = result.execute(
        "SELECT score_likelihood, score_consequence, score, length_ft, "
        "(SELECT cost FROM options o WHERE o.segment_id = s.segment_id AND method = 'open_cut') "
        "FROM segments s WHERE segment_id = ?", (row["pipe"],)).fetchone()
    for what, value in (("likelihood", likelihood), ("consequence", consequence), ("risk", score)):
        show(f"segment_scores: pipe {row['pipe']}, {what}", float(row[what]), round(value, 1))
    show(f"segment_scores: pipe {row['pipe']}, miles as printed", row["length_mi"],
         f"{feet_found / MILE_FT:.2f}")
    show(f"segment_scores: pipe {row['pipe']}, cost in USD", int(row["cost_usd"]), round(cost))
score, changed = result.execute(
    "SELECT score_consequence, (SELECT score FROM scheme_parts p WHERE p.segment_id = s.segment_id "
    "AND factor = 'limit') FROM segments s WHERE segment_id = 'capped'").fetchone()
show("segment_scores: size 9 and 2 customers, not above 10", (10.0, -1.0), (score, changed))
score, = result.execute("SELECT score_likelihood FROM segments WHERE segment_id = 'collapsed'").fetchone()
show("segment_scores: 7.6 and 2 for a failure", 9.6, score)
show("segment_scores: priorities that do not follow the score", [], result.execute(
    "SELECT a.segment_id, b.segment_id FROM segments a JOIN segments b ON a.priority < b.priority "
    "WHERE a.score < b.score OR a.priority <> a.rank_score").fetchall())
cells = result.execute("SELECT likelihood_class, consequence_class, segments FROM matrix WHERE "
                       "segments > 0 ORDER BY 1, 2").fetchall()
show("segment_scores: matrix by the fixed limits", [(1, 5, 1), (4, 4, 2), (5, 3, 4), (5, 4, 1)], cells)
sums = result.execute("SELECT (SELECT sum(segments) FROM matrix) - (SELECT count(*) FROM segments), "
                      "abs((SELECT sum(length_ft) FROM matrix) - (SELECT sum(length_ft) FROM segments)), "
                      "abs((SELECT sum(cost) FROM matrix) - (SELECT sum(cost) FROM segments)), "
                      "(SELECT count(*) FROM matrix WHERE observed_share <> 1)").fetchone()
yes("segment_scores: the matrix holds all segments, lengths and costs", sums[0] == 0 and
    sums[1] < 1e-6 and sums[2] < 0.005 and sums[3] == 0)
yes("segment_scores: the expected loss is worked out beside the score", all(
    loss > 0 for loss, in result.execute("SELECT expected_loss_per_year FROM segments")))

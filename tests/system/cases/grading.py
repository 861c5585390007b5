"""Published grading schemes, from configuration only: points with local additions, the
surcharge by density of damage, the quick rating out and in, the peak score, and points
times factors. What a published table says of a code is not public; an observation here
carries its class itself, and the scheme goes on from there.

Sources: beside each rule in grading/grading_rules.csv and grading/roll_up.csv. Expected
values: the published ones, named at each line.
"""
import glob
import os
import shutil

from case import CASES, Case, show, write

DAY = "2019-06-01"
HEADER = ["ID", "DAY", "CODE", "C1", "C2", "Q1", "Q2", "AT", "TO", "CF", "CT", "JOINT"]


def seen(name, at, to="", code="DC", c1="", c2="", q1="", q2="", cf="", ct="", joint="no"):
    return [name, DAY, code, c1, c2, q1, q2, at, to, cf, ct, joint]


case = Case("grading", ["watch", "cured_in_place", "open_cut"])
for table in glob.glob(os.path.join(case.config, "*.csv")):
    if not os.path.exists(case.path(os.path.basename(table))):
        shutil.copy(table, case.folder)
for table in ("roll_up", "grading_rules", "observation_codes"):
    shutil.copy(os.path.join(CASES, "grading", table + ".csv"), case.folder)
case.rates([(method, size, 100.0) for method in ("cured_in_place", "open_cut")
            for size in (200, 1000)], "EUR", 1)
case.network([("points", 300, 45.0, "IIIa"), ("lengths", 300, 45.0, ""),
              ("surcharge", 300, 45.0, ""), ("quick", 300, 45.0, ""), ("sound", 300, 45.0, ""),
              ("peak", 300, 45.0, ""), ("reach 1", 300, 45.0, ""), ("reach 2", 300, 45.0, ""),
              ("reach 3", 300, 45.0, ""), ("quick in", 300, 45.0, ""),
              ("quick in sound", 300, 45.0, "")], 1)
rows = [seen("points", 10, c1="T", q1=4, cf=5, ct=7, joint="yes")]
# damage numbers of 430 at a point, 210 over 3.2 m and 110 over 10 m cannot be had from
# class points and additions of one sewer: the length sum is shown with class points
rows += [seen("lengths", 5, c1="S", q1=5), seen("lengths", 10, 13.2, c1="S", q1=3),
         seen("lengths", 20, 30, c1="S", q1=2)]
rows += [seen("surcharge", 5, q2=2), seen("surcharge", 10, q2=3), seen("surcharge", 20, 26, q2=3)]
rows += [seen("quick", 1 + i, q1=5) for i in range(2)]
rows += [seen("quick", 10 + i, q1=3) for i in range(6)]
rows += [seen("quick", 30 + i, q1=1) for i in range(3)]
rows += [seen("sound", 45, code="END")]
rows += [seen("peak", 10.0, q2=40), seen("peak", 10.9, q2=40), seen("peak", 12.0, q2=80)]
rows += [seen(f"reach {k}", 10, c2="P") for k in (1, 2, 3)]
write(case.path("observations.csv"), HEADER, rows)
write(case.path("inspections.csv"), ["ID", "DAY", "QUICK"],
      [("quick in", DAY, "4B27"), ("quick in sound", DAY, "0000")])
result = case.run()


def found(segment, scheme, driver, column):
    value, = result.execute(f"SELECT {column} FROM observation_grades WHERE segment_id = ? AND "
                            "scheme = ? AND driver = ?", (segment, scheme, driver)).fetchone()
    return value


# class 4 tightness damage, foul, zone IIIa, groundwater, gravel, lower half, at a joint
show("points: 300+30+40+10+30+10+10", 430.0, found("points", "bfr", "tightness", "value"))
show("points: worst class of the guideline", 5.0, found("points", "bfr", "tightness", "grade_1_5"))
# stability: 400+10 at a point of 0.3 m, 200+10 over 3.2 m, 100+10 over 10 m
show("length sum: 410 x 0.3 + 210 x 3.2 + 110 x 10", 1895.0,
     round(found("lengths", "bfr", "structural", "length_sum"), 1))
show("object number is the largest", 410.0, found("lengths", "bfr", "structural", "value"))
show("surcharge: 50 x 24.5 / 135", 9.0741,
     round(found("surcharge", "surcharge", "structural", "surcharge"), 4))
show("surcharge: class 2 of 5 good to 0 worst", 3.4,
     round(found("surcharge", "surcharge", "structural", "grade_1_5"), 6))
show("quick rating out", "5236", found("quick", "quick", "structural", "quick_rating"))
show("total: 2 x 5 + 6 x 3 + 3 x 1", 31.0, found("quick", "quick", "structural", "total"))
show("a sound sewer has no defect", "0000", found("sound", "quick", "structural", "quick_rating"))
show("a sound sewer has the best grade", 1.0, found("sound", "bfr", "structural", "grade_1_5"))
for segment, grade in (("quick in", 4.0), ("quick in sound", 1.0)):
    show(f"{segment}: grade", grade, *result.execute(
        "SELECT grade_structural_1_5 FROM segments WHERE segment_id = ?", (segment,)).fetchone())
show("peak: two of 40 within a metre", 80.0, found("peak", "peak", "structural", "value"))
show("peak: band 80 to 164 is grade 4", 4.0, found("peak", "peak", "structural", "grade_1_5"))
# as printed: 250, 890 and 1490, of factors that are printed to two decimals
for reach, exact in ((1, 249.6), (2, 889.4), (3, 1491.4)):
    value = sum(found(f"reach {reach}", "product", driver, "value")
                for driver in ("structural", "tightness"))
    show(f"points x (stability + environment), reach {reach}", exact, round(value, 1))

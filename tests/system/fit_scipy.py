"""Cross-section counts of sewers by age, fitted with scipy and with chainfit: the same
likelihood written twice. Usage: fit_scipy.py CHAINFIT COUNTS FOLDER. Prints lines
"label TAB expected TAB found".

Direction: class 6 of the source is best (by its age trend), so 6 > grade 1, 5 > 2, 4 > 3,
3 > 4; the two worst, 2 and 1, are grade 5 together. Bands stand for their middle age.
Band 0-9 is left out, since it holds only pipes that were chosen for a look, and those
over 70, since there are eleven."""
import csv
import subprocess
import sys

import numpy
from scipy.linalg import expm
from scipy.optimize import minimize

chainfit, counts, folder = sys.argv[1:]
BANDS = {"10-19": 15, "20-29": 25, "30-39": 35, "40-49": 45, "50-59": 55, "60-69": 65}


def grades(row):
    c = [int(row["class_%d" % k]) for k in range(1, 7)]
    return [c[5], c[4], c[3], c[2], c[1] + c[0]]


def generator(rates):
    q = numpy.zeros((5, 5))
    for k, rate in enumerate(rates):
        q[k, k], q[k, k + 1] = -rate, rate
    return q


def minus2lnl(log_rates, table):
    q = generator(numpy.exp(log_rates))
    return -2 * sum(numpy.dot(n, numpy.log(expm(q * age)[0])) for age, n in table.items())


with open(counts, newline="") as f:
    rows = list(csv.DictReader(f))
for material in ("all", "concrete", "vitrified_clay"):
    table = {BANDS[r["age_band_years"]]: grades(r) for r in rows
             if r["material"] == material and r["age_band_years"] in BANDS}
    start = numpy.log([0.05] * 4)
    best = minimize(minus2lnl, start, args=(table,), method="Nelder-Mead",
                    options={"xatol": 1e-9, "fatol": 1e-9, "maxiter": 5000, "maxfev": 5000})
    best = minimize(minus2lnl, best.x, args=(table,), method="BFGS", options={"gtol": 1e-6})
    path = "%s/%s.txt" % (folder, material)
    with open(path, "w") as f:
        for i, (age, n) in enumerate(sorted(table.items())):
            for g, count in enumerate(n):
                f.write("%d %d %d %d %d\n" % (10 * i + g, age, g + 1, g + 1, count))
    found = subprocess.run([chainfit, "fit", path, "aged", "-"] + ["0.05"] * 4, check=True,
                           capture_output=True, text=True).stdout.split("\n")
    print("%s: -2 ln L\t%.4f\t%.4f" % (material, best.fun, float(found[0].split()[1])))
    for k in range(4):
        rate = float(found[k + 1].split()[2])
        print("%s: rate %d to %d\t%.5f\t%.5f" % (material, k + 1, k + 2, numpy.exp(best.x[k]), rate))
        # ends of the interval: scipy's profile there is 3.8415 above the best
        for side, end in (("low", float(found[k + 1].split()[4])), ("high", float(found[k + 1].split()[5]))):
            def rest(x, k=k, end=end):
                return minus2lnl(numpy.insert(x, k, numpy.log(end)), table)
            profile = minimize(rest, numpy.delete(best.x, k), method="BFGS", options={"gtol": 1e-6})
            print("%s: profile at the %s end of %d to %d\t3.84\t%.2f"
                  % (material, side, k + 1, k + 2, profile.fun - best.fun))

"""Two bids for three years of the same work: one rises by 5 % a year, one stays. The rising
one wins the first two years and the sum, the flat one the third year.

Source: City of Lawrence (Kansas), memoranda of 17 March 2006 and 9 February 2007.
"""
from case import FOOT_M, Case, published, show

LENGTH_FT = 1000.0  # the work is a lump sum; any length carries it

rows = published("rising_bids")
case = Case("rising_bids", ["cured_in_place"])
case.network([("work", 8, LENGTH_FT, "")], FOOT_M)


def cost(bid, index):
    case.rates([("cured_in_place", inch * 25.4, bid / LENGTH_FT) for inch in (8, 12)], "USD",
               FOOT_M)
    result = case.run(price_index=index)
    return round(result.execute("SELECT cost FROM segments").fetchone()[0], 2)


first = {bidder: float(rows[0][bidder]) for bidder in ("rising_usd", "flat_usd")}
rising = [cost(first["rising_usd"], f"{1.05 ** k:.6f}") for k in range(len(rows))]
flat = [cost(first["flat_usd"], "1.0")] * len(rows)
for r, a, b in zip(rows, rising, flat):
    show(f"rising_bids: {r['year']}, rising", float(r["rising_usd"]), a)
    show(f"rising_bids: {r['year']}, flat", float(r["flat_usd"]), b)
    show(f"rising_bids: {r['year']}, cheaper", r["cheaper"], "rising" if a < b else "flat")
# printed 1,174,318.36: the sum of amounts before they were rounded to the cent
show("rising_bids: sum of three years, rising", 1174318.35, round(sum(rising), 2))
show("rising_bids: sum of three years, flat", 1198614.00, round(sum(flat), 2))

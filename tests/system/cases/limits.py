"""Published size limits of the methods: a host of exactly the printed size is not refused
for it, one of the next size is. Sizes in inches are converted exactly (25.4 mm).

Source: beside each limit in config/method_rules.csv; the table below is the print of the
sources, not of that file.
"""
from case import Case, show

# method, least and greatest width as printed, in inches
PRINTED = [
    ("cured_in_place", 4, 108),  # ASTM F1216-09 Sec. 1.1
    ("close_fit", 4, 15),        # US EPA 832-F-99-032, from memory, as the next two
    ("continuous_slip_lining", 4, 63),
    ("discrete_slip_lining", 4, 158),
    ("spirally_wound", 6, 180),  # ASTM F1741 Sec. 1.1
    ("sprayed_mortar", 3, 180),  # US EPA 832-F-99-032, from memory
    ("pipe_bursting", 4, 48),    # TTC Technical Report 2001.02, from memory
    ("local_repair", 4, 30),     # US EPA 832-F-99-032, from memory: robots to 760 mm
    ("ring_and_panel", 800 / 25.4, 5500 / 25.4),  # common practice, no source
    ("microtunnel", 10, 3600 / 25.4),  # category note; 3,600 mm: common practice, no source
]
SIZES = sorted({size for _, *both in PRINTED for size in both} |
               {2, 5, 9, 16, 31, 32, 49, 64, 109, 141, 142, 159, 181, 216, 217})

case = Case("limits", [method for method, *_ in PRINTED])
case.network([(f"{size} in", size, 100.0, "") for size in SIZES], 1)
case.rates(sorted((method, inch * 25.4, 100.0) for method, *_ in PRINTED for inch in (2, 250)),
           "EUR", 1)
result = case.run()
for method, least, greatest in PRINTED:
    for size in SIZES:
        reason, = result.execute("SELECT reason FROM options WHERE method = ? AND segment_id = ?",
                                 (method, f"{size} in")).fetchone()
        refused = any("ruled out: a width of" in part for part in reason.split("; "))
        fits = least <= size <= greatest
        show(f"limits: {method} in {size} in", "fits" if fits else "refused",
             "refused" if refused else "fits")

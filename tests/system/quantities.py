"""Second calculation of tests/system/quantities.sh. Prints "ok NAME" or
"FIRST-DIFFERENCE NAME" for each question."""
import csv
import math
import sys

tables, config = sys.argv[1:3]


def read(folder, name):
    with open(f"{folder}/{name}.csv", newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def number(row, name):
    text = row.get(name, "")
    return float(text) if text != "" else math.nan


segments = {r["segment_id"]: r for r in read(tables, "segments")}
quantities = read(tables, "quantities")
options = {(r["segment_id"], r["method"]): r for r in read(tables, "options")}
methods = {r["id"]: r for r in read(config, "methods")}
sizes = [(float(r["inside_mm"]), float(r["outside_mm"])) for r in read(config, "pipe_sizes")]
p = {r["name"]: float(r["value"]) for r in read(config, "takeoff")}
materials = {r["id"]: r for r in read(config, "materials")}
problems, counts = {}, {}


def same(question, where, expected, found, slack):
    counts[question] = counts.get(question, 0) + 1
    both_missing = math.isnan(expected) and math.isnan(found)
    if not both_missing and not abs(expected - found) <= slack:
        problems.setdefault(question, f"{where}:{expected:.6g}/{found:.6g}".replace(" ", "_"))


def manning(diameter, n, slope):
    return math.pi / 4 * diameter**2 * (diameter / 4) ** (2 / 3) * math.sqrt(slope) / n


# ---- new pipes: circles, where the area needs no other formula -----------------
n_new = max(float(m["manning_n"]) for m in methods.values() if m["kind"] == "replacement")
for s in segments.values():
    width = number(s, "width_mm")
    if s["shape"] != "circle" or math.isnan(width):
        continue
    flow, slope = number(s, "flow_required_m3_per_s"), number(s, "slope_m_per_m")
    if abs(slope) < 1e-4 and flow > 0:
        continue  # the printed slope is too coarse to decide
    fits = math.nan
    for inside, _ in sizes:
        if inside < width * (1 - p["size_tolerance_share"]) - 1e-6:
            continue
        if flow > 0 and slope > 0:
            most = manning(inside / 1000, n_new, slope)
            if abs(most / flow - 1) < 2e-2:
                fits = None  # decided by digits that the table does not print
                break
            if most < flow:
                continue
        fits = inside
        break
    if fits is not None:
        same("size of the new pipe", s["segment_id"], fits, number(s, "replacement_width_mm"), 0.51)

# ---- flow in full circles --------------------------------------------------------
for s in segments.values():
    width, slope = number(s, "width_mm"), number(s, "slope_m_per_m")
    n = materials.get(s["material"] or "unknown", materials["unknown"])["manning_n"]
    if s["shape"] != "circle" or math.isnan(number(s, "capacity_m3_per_s")) or n == "" \
            or slope < 1e-4:
        continue
    full = manning(width / 1000, float(n), slope)
    same("capacity of a full circle", s["segment_id"], 1.0,
         number(s, "capacity_m3_per_s") / full, 5.1e-6 / slope + 6e-5 / full)
    # with a free surface a circle carries at most 1.0757 times its full flow (Chow 1959)
    if abs(number(s, "flow_required_m3_per_s") / full / 1.0757 - 1) > 0.02:
        same("surcharge of a circle", s["segment_id"],
             float(number(s, "flow_required_m3_per_s") > 1.0757 * full),
             float(s["is_surcharged"] == "true"), 0)

# ---- quantities ---------------------------------------------------------------------
shown = {}
for q in quantities:
    s = segments[q["segment_id"]]
    o = options[q["segment_id"], q["method"]]
    m = methods[q["method"]]
    length, where = number(s, "length_m"), q["segment_id"]
    shown[q["method"]] = shown.get(q["method"], 0) + 1
    if m["production_m_per_day"]:
        same("crew days", where, length / float(m["production_m_per_day"]), number(q, "crew_days"),
             0.051)
    circle = s["shape"] == "circle" and not math.isnan(number(s, "width_mm"))
    if m["kind"] == "lining" and circle and m["takeoff"] != "rings":
        bore = number(o, "bore_after_mm") / 1000
        wall = number(o, "wall_mm") / 1000
        same("area of a circular lining", where, math.pi * bore * length,
             number(q, "lining_m2"), 0.06 + 0.0016 * length)
        same("volume of a circular wall", where,
             math.pi / 4 * ((bore + 2 * wall) ** 2 - bore**2) * length, number(q, "wall_m3"),
             0.006 + 0.002 * length * wall + 0.0002 * length * bore)
    if m["takeoff"] == "trench":
        inside = number(o, "new_pipe_mm")
        outside = dict(sizes)[inside] / 1000
        inside /= 1000
        depth = number(s, "depth_m")
        cover = depth - (inside + outside) / 2
        paved = s["surface"] in ("", "main road", "minor road", "footway")
        pavement = min(p["pavement_m"], cover) if paved else 0
        surround = min(p["surround_m"], cover - pavement)
        bottom = cover + outside + p["bedding_m"]
        extra = next(e for most, e in ((0.225, 0.4), (0.35, 0.5), (0.7, 0.7), (1.2, 0.85),
                                       (1e9, 1.0)) if inside <= most)
        least = 0 if bottom < 1 else 0.8 if bottom <= 1.75 else 0.9 if bottom <= 4 else 1.0
        width = max(outside + extra, least)
        dug = length * width * (bottom - pavement)
        bedding = length * width * (p["bedding_m"] + outside + surround) \
            - length * math.pi / 4 * outside**2
        backfill = length * width * (cover - surround - pavement)
        reused = min(backfill, p["reuse_share"] * dug)
        slack = 0.06 + 0.0052 * length * width * 2  # depth is printed to the centimetre
        for name, value in (("dug_m3", dug), ("bedding_m3", bedding), ("backfill_m3", backfill),
                            ("imported_m3", backfill - reused),
                            ("spoil_m3", (dug - reused) * p["bulking"])):
            same(f"trench: {name}", where, value, number(q, name), slack)
        if abs(bottom - p["shored_from_m"]) > 0.01:
            same("trench: shoring", where, 2 * bottom * length if bottom > p["shored_from_m"] else 0,
                 number(q, "shoring_m2"), 0.06 + 0.011 * length)
        same("trench: pavement", where,
             length * (width + 2 * p["pavement_extra_m"]) if pavement else 0,
             number(q, "pavement_m2"), 0.06 + 0.006 * length)
        same("carbon of a trench", where,
             100 * length + 5 * number(q, "spoil_m3"), number(q, "carbon_kg"), 1.5)
    elif q["method"] == "cured_in_place":
        same("carbon of a lining", where, 20 * number(q, "lining_m2"), number(q, "carbon_kg"), 1.6)
    if m["takeoff"] in ("grouted", "rings") and circle:
        host = number(s, "width_mm") / 1000
        annulus = float(m["annulus_mm"] or 0) / 1000 + float(m["annulus_share"] or 0) * host
        if m["takeoff"] == "rings":  # grout fills the depth of the rings too
            annulus += float(m["wall_fixed_mm"]) / 1000 - p["panel_mm"] / 1000
        liner = host - 2 * annulus
        worn = math.floor(number(s, "structural_grade_now") + 0.5) >= 4
        allowance = 0.15 if worn else 0.10 if s["material"] in (
            "", "unknown", "brick", "masonry", "corrugated metal") else 0.05
        rings = 0.0
        if m["takeoff"] == "rings":
            bays = math.ceil(length / p["ring_spacing_m"] - 1e-9)
            rings = (bays + 1) * p["ring_section_mm2"] * 1e-6 * math.pi * liner
            same("rings", where, bays + 1, number(q, "rings"), 0)
            same("panels", where, bays * p["panels_around"], number(q, "panels"), 0)
            stands = 8 * p["panel_strength_mpa"] * p["panel_mm"] ** 2 / 6000 / p["ring_spacing_m"] ** 2
            lift = (stands / p["grouting_safety"] - p["grout_pump_kpa"]) / p["grout_kn_per_m3"]
            same("lift between rings", where, lift, number(q, "lift_m"), 0.0051)
        grout = math.pi / 4 * (host**2 - liner**2) * length * (1 + allowance) - rings
        same("grout", where, grout, number(q, "grout_m3"), 0.02)
        same("bypass days", where, number(q, "crew_days") +
             number(q, "grout_pours") / p["pours_per_day"], number(q, "bypass_days"), 0.11)

funded = [s for s in segments.values() if s["programme"] in ("funded", "committed") and s["method"]]
same("a line for each segment of the programme", "all", len(funded), len(quantities), 0)
for name in ("size of the new pipe", "capacity of a full circle", "trench: dug_m3",
             "area of a circular lining", "carbon of a trench", "carbon of a lining"):
    if counts.get(name, 0) == 0:
        problems[name] = "never-asked"
for question in sorted(set(counts) | set(problems)):
    print(problems.get(question, "ok"), f"{question} ({counts.get(question, 0)})")

"""Second calculation of the composite wall of grouted linings, from the sheet of
`haunch explain --format json` (standard input) by the formulas of
docs/engineering/grouted.md. Prints "ok NAME" or "FIRST-DIFFERENCE NAME"."""
import csv
import json
import math
import sys

tables, config, segment_id, method_id = sys.argv[1:5]


def rows(folder, name):
    with open(f"{folder}/{name}.csv", newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


segment = next(r for r in rows(tables, "segments") if r["segment_id"] == segment_id)
method = next(r for r in rows(config, "methods") if r["id"] == method_id)
option = next(r for r in rows(tables, "options")
              if (r["segment_id"], r["method"]) == (segment_id, method_id))
p = {r["name"]: float(r["value"]) for r in rows(config, "takeoff")}
sheet = json.load(sys.stdin)["worked"][method_id]["takeoff"]["grouting"]

host = float(segment["width_mm"])
annulus = float(method["annulus_mm"] or 0) + float(method["annulus_share"] or 0) * host
wall = float(option["wall_mm"])
has_rings = method["takeoff"] == "rings"
grout = annulus + wall - p["panel_mm"] if has_rings else annulus
facing = (p["panel_mm"], p["panel_modulus_mpa"]) if has_rings \
    else (wall, float(method["modulus_short_mpa"]))
inside = [(grout, p["grout_modulus_mpa"]), facing]
host_wall = p["host_wall_share"] * host


def section(layers, void_mm=0.0, void_after=None):
    """Centroid and inertia in terms of the host's modulus, strip by strip; a void
    lies between the first layer and the others."""
    face, strips = 0.0, []
    for i, (thickness, modulus) in enumerate(layers):
        strips.append((modulus / p["host_modulus_mpa"], thickness, face + thickness / 2))
        face += thickness + (void_mm if i == void_after else 0)
    area = sum(n * t for n, t, _ in strips)
    centroid = sum(n * t * y for n, t, y in strips) / area
    return centroid, sum(n * (t**3 / 12 + t * (y - centroid) ** 2) for n, t, y in strips)


def cracks(centroid, inertia, face):
    n = p["grout_modulus_mpa"] / p["host_modulus_mpa"]
    return p["grout_rupture_mpa"] * inertia / (n * abs(face - centroid)) / 1e6


whole = section([(host_wall, p["host_modulus_mpa"])] + inside)
if math.floor(float(segment["structural_grade_now"]) + 0.5) >= 4:
    low, high = 1e-6, host_wall  # the kept part of a cracked host ends at the axis
    for _ in range(200):
        kept = (low + high) / 2
        whole = section([(kept, p["host_modulus_mpa"])] + inside, host_wall - kept, 0)
        low, high = (kept, high) if whole[0] > kept else (low, kept)
alone = section(inside)
radius_m = (host + host_wall) / 2000
found = {
    "inside_mm4_per_m": alone[1] * 1000,
    "unbonded_mm4_per_m": sum(e / p["host_modulus_mpa"] * t**3 / 12 for t, e in inside) * 1000,
    "bonded_mm4_per_m": whole[1] * 1000,
    "cracking_inside_knm_per_m": cracks(alone[0], alone[1] * 1000, grout),
    "cracking_knm_per_m": cracks(whole[0], whole[1] * 1000, host_wall + grout),
    "demand_knm_per_m":
        0.25 * (1 - p["lateral_ratio"]) * sheet["load_kpa"]["value"] * radius_m**2,
}
for name, value in found.items():
    shown = sheet[name]["value"]
    verdict = "ok" if abs(value / shown - 1) < 1e-3 else f"{value:.6g}/{shown:.6g}"
    print(verdict, f"{segment_id} {method_id} {name}")

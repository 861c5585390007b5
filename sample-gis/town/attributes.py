"""What is known of every sewer: year, material, profile, surroundings, owner."""
import math

from . import land

TRUNK_YEARS = {"North Riverside": (1874, 1886), "South Riverside": (1899, 1911)}
EGG_WIDTHS = [400, 500, 600, 700, 800, 900, 1000, 1200, 1400, 1600]
BOX_SIZES = [(1000, 750), (1200, 900), (1500, 1000), (1800, 1200), (2000, 1500), (2400, 1800)]


def describe(pipes, chance):
    """Fills every pipe's attributes in place, numbers pipes and manholes."""
    streets_years = {}
    for pipe in pipes:
        pipe.year = _year(pipe, streets_years, chance)
        pipe.material = _material(pipe, chance)
        _profile(pipe, chance)
        _surroundings(pipe, chance)
        _keeping(pipe, chance)


def _year(pipe, streets_years, chance):
    """One year a street and quarter, some sewers renewed later."""
    street = pipe.street
    if street.name in TRUNK_YEARS and pipe.duty == "combined":
        first, last = TRUNK_YEARS[street.name]
        share = pipe.points[0][0] / land.WIDTH_M
        return int(last - (last - first) * share)
    if street.kind == "culvert":
        return 1871 + int(pipe.points[0][1]) % 3
    key = (street.name, pipe.quarter.name, pipe.duty)
    if key not in streets_years:
        first, last = pipe.quarter.years
        if street.kind == "main road":
            last = first + (last - first) // 3
        year = chance.whole(first, last)
        streets_years[key] = year + chance.whole(12, 40) if pipe.duty == "storm" and year < 1950 else year
    if pipe.size < 700 and chance.hit(0.09):
        return min(2020, max(streets_years[key] + 20, chance.whole(1962, 2020)))
    return min(2020, streets_years[key] + (1 if chance.hit(0.25) else 0))


def _material(pipe, chance):
    size, year = pipe.size, pipe.year
    if pipe.street.kind == "culvert" or (year < 1926 and size >= 500):
        return "brick"
    if year < 1920:
        return chance.weighted([("clay", 92), ("cast iron", 3), ("brick", 5)]) if size < 400 else "clay"
    if year < 1955:
        return chance.weighted([("clay", 75), ("concrete", 25)]) if size < 500 else "concrete"
    if year < 1981:
        if size >= 500:
            return chance.weighted([("concrete", 70), ("reinforced concrete", 30)])
        return chance.weighted([("clay", 50), ("concrete", 34), ("asbestos cement", 12), ("ductile iron", 4)])
    if size <= 375:
        return chance.weighted([("pvc", 66), ("clay", 26), ("polyethylene", 8)])
    return chance.weighted([("reinforced concrete", 82), ("grp", 18)])


def _profile(pipe, chance):
    """Profile, width and height in mm. A non-circle has about the circle's area."""
    size, year, trunk = pipe.size, pipe.year, pipe.street.kind == "walk"
    pipe.shape, pipe.width, pipe.height = "circle", size, size
    if pipe.street.kind == "culvert":
        pipe.shape, pipe.width, pipe.height = "arch", 1500, 1200
        return
    if pipe.material == "brick" and size < 400:
        pipe.material = "clay"
    if pipe.material == "brick":
        if trunk and size >= 1800 and pipe.street.name == "North Riverside":
            pipe.shape, pipe.height = "horseshoe", size
        elif size <= 1650 and (pipe.street.name != "South Riverside" or size <= 1000):
            _egg(pipe)
    elif pipe.material == "concrete" and 500 <= size <= 1200 and year < 1965 and _steady(pipe, 2):
        _egg(pipe)
    elif pipe.duty == "storm" and size >= 900 and year >= 1955 and _steady(pipe, 2):
        pipe.shape = "rectangle"
        area = math.pi * size * size / 4e6
        pipe.width, pipe.height = min(BOX_SIZES, key=lambda b: abs(b[0] * b[1] / 1e6 - area))


def _steady(pipe, share):
    """True for about one street in `share`, the same for all of its sewers."""
    return sum(pipe.street.name.encode()) % share == 0


def _egg(pipe):
    """Egg 2:3: area 1.149 width^2."""
    exact = pipe.size * math.sqrt(math.pi / 4 / 1.149)
    pipe.shape = "egg"
    pipe.width = next(w for w in EGG_WIDTHS if w >= exact * 0.97)
    pipe.height = pipe.width * 3 // 2


def _surroundings(pipe, chance):
    x = sum(p[0] for p in pipe.points) / len(pipe.points)
    y = sum(p[1] for p in pipe.points) / len(pipe.points)
    distance, share, _, _ = land.nearest(land.RIVER, x, y)
    level = land.ground(x, y)
    kind = pipe.street.kind
    pipe.surface = {"main road": "main road", "minor road": "minor road", "outfall": "green"}.get(kind)
    if kind == "walk":
        pipe.surface = "footway" if land.WIDTH_M * 0.25 < x < land.WIDTH_M * 0.7 else "green"
        if distance < land.river_half_width(share):
            pipe.surface = "water"
    elif kind == "culvert":
        pipe.surface = chance.weighted([("green", 5), ("building", 3), ("minor road", 3)])
    elif kind == "minor road" and chance.hit(0.06):
        pipe.surface = chance.pick(["footway", "green"])
    if distance < 130:
        pipe.soil = "gravel" if math.sin(x / 300.0) > 0 else "sand"
    elif level > land.river_level(share) + 25:
        pipe.soil = "rock" if math.sin(x / 230.0 + y / 310.0) > 0.55 else "clay"
    else:
        pipe.soil = "clay" if math.sin(x / 410.0 - y / 270.0) > -0.2 else "mixed"
    table = level - 1.3 - 0.2 * (level - land.river_level(share) - 3.2)
    pipe.groundwater = max(0.0, table - (pipe.invert_up + pipe.invert_down) / 2)
    pipe.groundwater = round(pipe.groundwater * chance.between(0.85, 1.15), 1)


def _keeping(pipe, chance):
    """Laterals, owner, status, last lining."""
    per_m = {"core": 8.0, "terraces": 7.0, "suburb": 10.0, "estate": 11.0, "works": 34.0}[pipe.quarter.style]
    lived_in = pipe.street.kind in ("minor road", "main road")
    pipe.laterals = 0
    if lived_in and pipe.size < 900:
        pipe.laterals = max(0, round(pipe.length / per_m * chance.between(0.5, 1.2)))
    pipe.owner = "town"
    if pipe.quarter.style == "works" and pipe.street.kind == "minor road" and _steady(pipe, 3):
        pipe.owner = "private"
    elif pipe.street.name == "Ring Road" and pipe.duty == "storm" and pipe.size <= 375:
        pipe.owner = "state road authority"
    pipe.status = "in use"
    pipe.lined_year, pipe.lined_by = None, None
    old_and_small = pipe.year < 1965 and pipe.size <= 600 and pipe.shape == "circle"
    if old_and_small and chance.hit(0.07):
        pipe.lined_year = chance.whole(1994, 2023)
        pipe.lined_by = chance.weighted([("cured in place", 8), ("close fit", 2), ("slip-lined", 1)])


def manholes(pipes, pumped, chance):
    """{node key: record}; numbers run from west to east, written with six digits."""
    spots = {}
    for pipe in pipes:
        for key, point, level in ((pipe.up, pipe.points[0], pipe.ground_up),
                                  (pipe.down, pipe.points[-1], pipe.ground_down)):
            spots.setdefault(key, {"point": point, "ground": level, "pipes": []})["pipes"].append(pipe)
    for number, key in enumerate(sorted(spots, key=lambda k: (spots[k]["point"][0], k))):
        node = spots[key]
        node["id"] = f"{1001 + number:06d}"
        node["kind"] = "pumping station" if key in pumped else "outfall" if key[0] == "O" else "manhole"
        node["year"] = min(p.year for p in node["pipes"])
        widest = max(p.width for p in node["pipes"])
        if widest > 1200:
            node["opening"] = chance.weighted([(610, 2), (760, 3), (900, 2), (1200, 1)])
        else:
            node["opening"] = chance.weighted([(560, 2), (610, 6), (625, 5), (760, 1)])
        node["invert"] = min([p.invert_up for p in node["pipes"] if p.up == key]
                             + [p.invert_down for p in node["pipes"] if p.down == key])
    return spots


def number(pipes, spots):
    """Asset ids by quarter, in the order of the upstream manhole."""
    codes = {name: i + 10 for i, name in enumerate(sorted({p.quarter.name for p in pipes}))}
    counts = {}
    for pipe in sorted(pipes, key=lambda p: (spots[p.up]["id"], spots[p.down]["id"])):
        code = codes[pipe.quarter.name]
        counts[code] = counts.get(code, 0) + 1
        pipe.id = f"S{code}-{counts[code]:04d}"
        pipe.up_id, pipe.down_id = spots[pipe.up]["id"], spots[pipe.down]["id"]


def open_channel(pipes):
    """The last storm outfall upstream of Ham Meadow runs open down the bank."""
    outfalls = [p for p in pipes if p.street.kind == "outfall"]
    pipe = max(outfalls, key=lambda p: p.points[0][0])
    pipe.shape, pipe.material = "channel", "concrete"
    pipe.width, pipe.height = max(1200, pipe.size // 100 * 100 + 300), 900
    pipe.surface, pipe.lined_year, pipe.lined_by = "green", None, None

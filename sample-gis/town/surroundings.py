"""Context layers: streets, railway, river, hospitals, schools, the well field, paving."""
import math

from osgeo import ogr

from . import drainage, land, quarters, streets


def street_rows(town):
    rows = []
    for street in town.streets:
        line = drainage.thin([town.points[v] for v in street.vertices], 0.5)
        kind = {"walk": "path"}.get(street.kind, street.kind)
        rows.append({"_line": [line], "NAME": street.name, "CLASS": kind})
    return rows


def block(x, y, length, width, turn):
    """A rectangle as a closed ring."""
    c, s = math.cos(turn), math.sin(turn)
    ring = [(x + dx * c - dy * s, y + dx * s + dy * c) for dx, dy in
            ((-length, -width), (length, -width), (length, width), (-length, width))]
    return ring + ring[:1]


def hospitals():
    spots = [("Brackwater Infirmary", 2720, 2985, 62, 40, 0.3), ("South Clinic", 2065, 1268, 20, 12, 0.1)]
    return [{"_ring": block(x * land.SCALE, y * land.SCALE, a, b, turn), "NAME": name}
            for name, x, y, a, b, turn in spots]


def schools(town, chance):
    """One or two a quarter, beside a minor street."""
    rows = []
    for quarter in quarters.QUARTERS:
        if quarter.style == "works":
            continue
        here = [s for s in town.streets if s.kind == "minor road" and len(s.vertices) > 12
                and quarters.quarter_at(*town.points[s.vertices[len(s.vertices) // 2]]) is quarter]
        for street in chance.sample(here, 1 + (len(here) > 30)):
            x, y = town.points[street.vertices[len(street.vertices) // 2]]
            turn = chance.between(0, 2 * math.pi)
            name = f"{street.name.rsplit(' ', 1)[0]} {'Primary' if len(rows) % 3 else 'Secondary'} School"
            rows.append({"_point": (x + 34 * math.cos(turn), y + 34 * math.sin(turn)), "NAME": name})
    return rows


def well_field():
    """The protection zone of the wells in Ham Meadow, wider upstream of them."""
    x, y = 3560 * land.SCALE, 1640 * land.SCALE
    ring = []
    for i in range(36):
        turn = i * math.pi / 18
        reach = 190 + 90 * math.cos(turn - 2.7) + 14 * math.sin(3 * turn)
        ring.append((x + reach * math.cos(turn), y + reach * math.sin(turn)))
    return [{"_ring": ring + ring[:1], "NAME": "Ham Meadow wells", "ZONE": "II"}]


def paving(town, pipes, chance):
    """Streets to be paved, by year; and sewers whose work is already contracted."""
    sewered = {p.street.name for p in pipes}
    choices = [s for s in town.streets if s.name in sewered and s.kind != "walk"
               and s.name != "Ring Road" and len(s.vertices) >= 14]
    rows = []
    for street in chance.sample(choices, 36):
        line = drainage.thin([town.points[v] for v in street.vertices], 0.5)
        rows.append({"_line": [line], "STREET": street.name, "ASSET_ID": None,
                     "YEAR": chance.whole(2026, 2033), "KIND": "paving", "COST": None})
    rows.sort(key=lambda r: (r["YEAR"], r["STREET"]))
    own = [p for p in pipes if p.owner == "town" and p.year < 1960 and 225 <= p.size <= 600
           and not p.lined_year]
    for pipe in chance.sample(own, 8):
        rows.append({"_line": None, "STREET": pipe.street.name, "ASSET_ID": pipe.id,
                     "YEAR": chance.whole(2026, 2027), "KIND": "committed",
                     "COST": float(round(pipe.length * (180 + pipe.size * 0.6), -2))})
    return rows


def _clip(ring, nx, ny, limit):
    """The part of a convex ring where x nx + y ny <= limit."""
    kept = []
    for a, b in zip(ring, ring[1:] + ring[:1]):
        da, db = a[0] * nx + a[1] * ny - limit, b[0] * nx + b[1] * ny - limit
        if da <= 0:
            kept.append(a)
        if da * db < 0:
            t = da / (da - db)
            kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
    return kept


def polygon(ring):
    shape, outline = ogr.Geometry(ogr.wkbPolygon), ogr.Geometry(ogr.wkbLinearRing)
    for x, y in list(ring) + ([] if ring[0] == ring[-1] else [ring[0]]):
        outline.AddPoint_2D(x, y)
    shape.AddGeometry(outline)
    return shape


def districts(pipes):
    """One polygon a quarter: nearest site on its side of the river, within the town."""
    cloud = ogr.Geometry(ogr.wkbMultiPoint)
    for pipe in pipes:
        for x, y in pipe.points:
            point = ogr.Geometry(ogr.wkbPoint)
            point.AddPoint_2D(x, y)
            cloud.AddGeometry(point)
    town = cloud.ConvexHull().Buffer(90.0, 6)
    north = polygon(land.RIVER + [(6000.0, 6000.0), (-2000.0, 6000.0)])
    rows = []
    for quarter in quarters.QUARTERS:
        ring = [(-2000.0, -2000.0), (6000.0, -2000.0), (6000.0, 6000.0), (-2000.0, 6000.0)]
        for other in quarters.QUARTERS:
            if other is not quarter and other.north == quarter.north:
                (ax, ay), (bx, by) = quarter.site, other.site
                ring = _clip(ring, bx - ax, by - ay, (bx * bx + by * by - ax * ax - ay * ay) / 2)
        shape = polygon(ring).Intersection(town)
        shape = shape.Intersection(north) if quarter.north else shape.Difference(north)
        rows.append({"_shape": shape, "NAME": quarter.name, "SEWERS": quarter.sewers})
    return rows

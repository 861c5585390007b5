"""Streets that grow: main roads first, then branch by branch until the land is full.

A street is a row of vertices about 10 m apart. A growing tip that comes near a
vertex of another street joins it there, so every crossing is a shared vertex and
no line intersection is ever computed.
"""
import math
from collections import deque

from . import land, names, quarters

STEP_M = 10.0
JOIN_M = 12.5
CELL_M = 25.0

ROADS = [  # name, class, bends
    ("Ring Road", "main road", [(640, 1130), (480, 1600), (610, 2200), (930, 2800), (1330, 3180),
                                (1880, 3420), (2420, 3640), (3120, 3560), (3700, 3050),
                                (4010, 2500), (4060, 1900), (3800, 1250), (3380, 900),
                                (2880, 640), (2230, 560), (1540, 820), (1050, 930), (640, 1130)]),
    ("Northgate", "main road", [(2330, 2230), (2390, 2600), (2310, 3100), (2410, 3640), (2400, 4180)]),
    ("Westgate Street", "main road", [(2330, 2230), (1950, 2260), (1500, 2330), (1050, 2560),
                                      (650, 2700), (80, 2960)]),
    ("Eastgate", "main road", [(2330, 2230), (2720, 2400), (3250, 2480), (3930, 2450), (4900, 2330)]),
    ("Bridge Street", "main road", [(2330, 2230), (2365, 1900), (2330, 1500), (2240, 1000),
                                    (2230, 560), (2190, 20)]),
    ("Abbot's Road", "main road", [(1950, 2260), (1740, 2660), (1530, 2950), (1330, 3180), (850, 3800)]),
    ("Foundry Road", "main road", [(2330, 1500), (2800, 1360), (3300, 1230), (3780, 1210), (4700, 960)]),
    ("Marsh Road", "main road", [(2330, 1500), (1800, 1370), (1250, 1290), (590, 1240), (120, 1120)]),
    ("Mill Bridge", "main road", [(1500, 2330), (1390, 1950), (1330, 1700), (1250, 1290)]),
]
WALKS = [  # name, side of the river, shares of the river line from and to
    ("North Riverside", 1, 0.17, 0.78),
    ("South Riverside", -1, 0.17, 0.74),
]
TREATMENT = land.at([(4480, 1755)])[0]
GREENS = [  # name, x, y, radius on the sketch sheet: nothing is built there
    ("Abbey Park", 2740, 3010, 190), ("Ham Meadow", 3620, 1600, 230), ("Cemetery", 1790, 2880, 120),
    ("Showground", 1010, 1620, 180), ("Allotments", 1530, 1030, 130), ("Playing fields", 3560, 2760, 130),
]
OUTSIDE_M = {"Staithe": 190.0, "Ferngate": 230.0, "Nethercroft": 200.0, "Foundry": 260.0, "Lantern Hill": 120.0}


class Street:
    def __init__(self, name, kind, style):
        self.name, self.kind, self.style = name, kind, style
        self.vertices = []
        self.heading = []


class Town:
    """All street vertices with a cell index, and the streets over them."""

    def __init__(self, chance):
        self.chance = chance
        self.namer = names.Namer(chance)
        self.points, self.owners, self.streets = [], [], []
        self._cells = {}

    def near(self, x, y, radius):
        """[(distance, vertex)] within the radius, nearest first."""
        reach = int(radius // CELL_M) + 1
        cx, cy = int(x // CELL_M), int(y // CELL_M)
        found = []
        for i in range(cx - reach, cx + reach + 1):
            for j in range(cy - reach, cy + reach + 1):
                for v in self._cells.get((i, j), ()):
                    gap = math.hypot(self.points[v][0] - x, self.points[v][1] - y)
                    if gap <= radius:
                        found.append((gap, v))
        return sorted(found)

    def vertex(self, x, y):
        self.points.append((x, y))
        self.owners.append([])
        self._cells.setdefault((int(x // CELL_M), int(y // CELL_M)), []).append(len(self.points) - 1)
        return len(self.points) - 1

    def add(self, street):
        self.streets.append(street)
        for v in street.vertices:
            if len(self.streets) - 1 not in self.owners[v]:
                self.owners[v].append(len(self.streets) - 1)


def lay_curve(town, name, kind, bends, style="road"):
    """A road drawn by hand: its vertices snap to roads that are there already."""
    street = Street(name, kind, style)
    for x, y in land.smooth(bends, STEP_M):
        close = town.near(x, y, 6.5)
        v = close[0][1] if close else town.vertex(x, y)
        if not street.vertices or street.vertices[-1] != v:
            street.vertices.append(v)
    if name == "Ring Road":
        street.vertices[-1] = street.vertices[0]
    town.add(street)


def lay_walks(town):
    fine = land.smooth(land.RIVER_BENDS, 30.0)
    for name, side, start, stop in WALKS:
        part = fine[int(start * len(fine)):int(stop * len(fine))]
        bends = []
        for i in range(0, len(part) - 1, 3):
            heading = math.atan2(part[i + 1][1] - part[i][1], part[i + 1][0] - part[i][0])
            share = start + (stop - start) * i / len(part)
            off = side * (land.river_half_width(share) + 24.0)
            bends.append((part[i][0] - off * math.sin(heading), part[i][1] + off * math.cos(heading)))
        if side > 0:
            bends += land.at([(4180, 1745), (4480, 1755)])
        else:
            bends += land.at([(4080, 1610), (4200, 1700), (4480, 1755)])
        lay_curve(town, name, "walk", bends)


def field(quarter, x, y):
    """The direction that streets of this quarter like to follow."""
    if quarter.style == "core":
        return math.atan2(y - quarters.CORE[1], x - quarters.CORE[0])
    if quarter.style == "works":
        return land.nearest(land.RAIL, x, y)[2]
    if quarter.style == "suburb":
        return land.uphill(x, y)
    distance, _, heading, _ = land.nearest(land.RIVER, x, y)
    return heading + 0.25 * math.sin(distance / 260.0 + x / 700.0)


def turn_to_field(quarter, x, y, heading, most):
    """The heading turned towards the field or across it, whichever is nearer."""
    off = (field(quarter, x, y) - heading + math.pi / 4) % (math.pi / 2) - math.pi / 4
    return heading + max(-most, min(most, off))


class Limits:
    """Where streets may grow: inside the ring road, or a strip around it."""

    def __init__(self, ring):
        self._ring = ring
        self._greens = [(x * land.SCALE, y * land.SCALE, r * land.SCALE) for _, x, y, r in GREENS]

    def inside(self, x, y):
        odd = False
        for (ax, ay), (bx, by) in zip(self._ring, self._ring[1:]):
            if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
                odd = not odd
        return odd

    def near_town(self, x, y):
        """Inside the ring road or close outside it: main roads have a sewer here."""
        return self.inside(x, y) or min(math.hypot(x - px, y - py) for px, py in self._ring) < 140.0

    def allowed(self, x, y):
        if land.nearest(land.RAIL, x, y)[0] < 22.0:
            return False
        distance, share, _, _ = land.nearest(land.RIVER, x, y)
        if distance < land.river_half_width(share) + 20.0:
            return False
        if any(math.hypot(x - gx, y - gy) < radius for gx, gy, radius in self._greens):
            return False
        if self.inside(x, y):
            return True
        strip = OUTSIDE_M.get(quarters.quarter_at(x, y).name, 25.0)
        return min(math.hypot(x - px, y - py) for px, py in self._ring) < strip


def grow(town, limits, start, heading, style, most_m, curl):
    """One street from a vertex on, until it meets something; None when too short."""
    street = Street("", "minor road", style)
    street.vertices, street.heading = [start], [heading]
    x, y = town.points[start]
    path = []
    home = quarters.quarter_at(x + 20 * math.cos(heading), y + 20 * math.sin(heading))
    dead_end = style == "close"
    joined = None
    while len(path) * STEP_M < most_m:
        if dead_end or home.style == "estate":
            heading += curl
        else:
            heading = turn_to_field(home, x, y, heading, 0.05 if home.style == "core" else 0.035)
        x, y = x + STEP_M * math.cos(heading), y + STEP_M * math.sin(heading)
        if not limits.allowed(x, y):
            break
        joined = _meets(town, start, len(path), x, y, heading, home, dead_end)
        if joined is not None:
            break
        path.append((x, y, heading))
    return _finish(town, street, path, joined, start, dead_end)


def _meets(town, start, steps, x, y, heading, home, dead_end):
    """The vertex to join, -1 to stop short of a neighbour, None to go on."""
    clear = 30.0 if home.style == "core" else 40.0
    ahead = 34.0
    for gap, v in town.near(x, y, clear):
        px, py = town.points[v]
        sx, sy = town.points[start]
        if math.hypot(px - sx, py - sy) < clear * 1.3 and steps < 5:
            continue
        off = abs((math.atan2(py - y, px - x) - heading + math.pi) % (2 * math.pi) - math.pi)
        if gap < JOIN_M or (gap < ahead and off < 0.7):
            return -1 if dead_end else v
        if off >= 0.7 and off < 2.3 and gap < clear * 0.8:
            return -1
    return None


def _finish(town, street, path, joined, start, dead_end):
    least = 4 if dead_end else 5
    if dead_end and joined == -1:
        path = path[:-2]
    if joined is not None and joined >= 0 and len(path) >= 3 and joined != start:
        street.vertices += [town.vertex(x, y) for x, y, _ in path] + [joined]
    elif len(path) >= least:
        street.vertices += [town.vertex(x, y) for x, y, _ in path]
    else:
        return None
    street.heading += [h for _, _, h in path]
    while len(street.heading) < len(street.vertices):
        street.heading.append(street.heading[-1])
    return street


def direction_at(town, street, i):
    a = town.points[street.vertices[max(0, i - 1)]]
    b = town.points[street.vertices[min(len(street.vertices) - 1, i + 1)]]
    return math.atan2(b[1] - a[1], b[0] - a[0])


def branches(town, street, depth):
    """[(vertex, heading, style)] of side streets to try, from one street."""
    chance, tries = town.chance, []
    next_left, next_right = chance.between(3, 7), chance.between(3, 7)
    for i in range(1, len(street.vertices) - 1):
        x, y = town.points[street.vertices[i]]
        quarter = quarters.quarter_at(x, y)
        heading = direction_at(town, street, i)
        for side in (1, -1):
            due = next_left if side > 0 else next_right
            if i < due:
                continue
            style, gap = branch_style(chance, quarter, street, heading, x, y)
            tries.append((street.vertices[i], heading + side * math.pi / 2, style, depth + 1))
            due = i + gap / STEP_M * chance.between(0.92, 1.1)
            if side > 0:
                next_left = due
            else:
                next_right = due
    return tries


def branch_style(chance, quarter, street, heading, x, y):
    """What kind of side street, and how far to the next one."""
    if quarter.style == "estate":
        if street.style == "close":
            return "none", 1e9
        if street.style == "estate" and chance.hit(0.72):
            return "close", quarter.along_m
        return "estate", quarter.across_m if street.style == "road" else quarter.along_m * 1.6
    along = abs(math.cos(heading - field(quarter, x, y))) > 0.7
    if quarter.style == "core":
        return "core", quarter.along_m if along else quarter.across_m
    return quarter.style, quarter.across_m if along else quarter.along_m


def reach(chance, style):
    """Greatest length of a new street in metres."""
    if style == "close":
        return chance.between(70, 170)
    return {"core": chance.between(120, 420), "terraces": chance.between(250, 900),
            "suburb": chance.between(250, 800), "estate": chance.between(260, 620),
            "works": chance.between(260, 700)}[style]


def grow_all(chance):
    """The whole town."""
    town = Town(chance)
    for name, kind, bends in ROADS:
        lay_curve(town, name, kind, land.at(bends))
    lay_walks(town)
    ring = [town.points[v] for v in town.streets[0].vertices]
    limits = Limits(ring)
    queue = deque()
    for street in list(town.streets):
        queue.extend(branches(town, street, 0))
    while queue:
        start, heading, style, depth = queue.popleft()
        if style == "none":
            continue
        curl = chance.between(-0.045, 0.045)
        if style == "close":
            curl = chance.pick([-1, 1]) * chance.between(0.02, 0.11)
        street = grow(town, limits, start, heading, style, reach(chance, style), curl)
        if street is None:
            continue
        street.name = town.namer.name(style)
        town.add(street)
        if style != "close":
            queue.extend(branches(town, street, depth))
    return town, limits

"""From streets to drainage trees: which way every street drains, and its manholes.

Flow follows cheapest paths to an outlet, where climbing is dear and trunk routes
are cheap. A street that no path uses splits at its own watershed.
"""
import heapq
import math

from . import land, quarters, streets

BEND_RAD = 0.45  # a small sewer turns more than this only at a manhole


class Pipe:
    """One sewer between two manholes, as it really is (before any dirt)."""

    def __init__(self, up, down, points, street, quarter, duty):
        self.up, self.down, self.points = up, down, points
        self.street, self.quarter, self.duty = street, quarter, duty
        self.length = sum(math.dist(a, b) for a, b in zip(points, points[1:]))


def street_graph(town, limits):
    """{vertex: {neighbour: street}} of all edges that may carry a sewer."""
    graph = {}
    for street in town.streets:
        for a, b in zip(street.vertices, street.vertices[1:]):
            if a != b and _may_carry(town, limits, street, a, b):
                graph.setdefault(a, {}).setdefault(b, street)
                graph.setdefault(b, {}).setdefault(a, street)
    return graph


def _may_carry(town, limits, street, a, b):
    if street.kind == "walk":
        return True
    for v in (a, b):
        x, y = town.points[v]
        distance, share, _, _ = land.nearest(land.RIVER, x, y)
        if distance < land.river_half_width(share) + 8.0:
            return False
        if street.style == "road" and not limits.near_town(x, y):
            return False
    return True


def drain(town, graph, levels, outlets, trunk_share):
    """{vertex: (cost, next vertex downstream)} for all vertices that reach an outlet."""
    best = {v: (0.0, -1) for v in outlets}
    heap = [(0.0, v) for v in sorted(outlets)]
    while heap:
        cost, v = heapq.heappop(heap)
        if cost > best[v][0]:
            continue
        for w in sorted(graph[v]):
            street = graph[v][w]
            run = math.dist(town.points[v], town.points[w])
            factor = trunk_share if street.kind == "walk" else 0.8 if street.kind == "main road" else 1.0
            climb = max(0.0, levels[v] - levels[w])
            total = cost + run * factor + climb * 45.0
            if w not in best or total < best[w][0] - 1e-9:
                best[w] = (total, v)
                heapq.heappush(heap, (total, w))
    return best


def wanted(best, sources):
    """The part of a drainage tree that lies downstream of the sources."""
    kept = set()
    for v in sources:
        while v != -1 and v in best and v not in kept:
            kept.add(v)
            v = best[v][1]
    return kept


def trim_stubs(town, best, kept, least_m):
    """Drops head ends shorter than least_m."""
    children = count_children(best, kept)
    for v in sorted(kept):
        if children.get(v, 0):
            continue
        path, run, w = [], 0.0, v
        while children.get(w, 0) <= 1 and best[w][1] != -1:
            path.append(w)
            run += math.dist(town.points[w], town.points[best[w][1]])
            w = best[w][1]
        if run < least_m:
            kept.difference_update(path)
            children[w] = children.get(w, 0) - 1


def count_children(best, kept):
    children = {}
    for v in kept:
        down = best[v][1]
        if down in kept:
            children[down] = children.get(down, 0) + 1
    return children


def make_pipes(town, graph, best, kept, duty, sideways_m):
    """Pipes of one system; node keys are (system letter, vertex)."""
    children = count_children(best, kept)
    pipes = []
    for v in sorted(kept):
        if children.get(v, 0) == 1 and not _changes(town, graph, best, kept, v):
            continue
        down = best[v][1]
        if down == -1 or down not in kept:
            continue
        chain = [v]
        while True:
            w = best[chain[-1]][1]
            chain.append(w)
            if best[w][1] == -1 or children.get(w, 0) != 1 or _changes(town, graph, best, kept, w):
                break
        pipes += _split(town, graph, best, chain, duty, sideways_m)
    return pipes


def _changes(town, graph, best, kept, v):
    """True where a manhole must stand: another street begins or the line turns hard."""
    down = best[v][1]
    if down == -1:
        return True
    ups = [w for w in graph[v] if w in kept and best[w][1] == v]
    if len(ups) != 1:
        return True
    if graph[v][down] is not graph[ups[0]][v]:
        return True
    a, b, c = town.points[ups[0]], town.points[v], town.points[down]
    turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return abs((turn + math.pi) % (2 * math.pi) - math.pi) > BEND_RAD


def _split(town, graph, best, chain, duty, sideways_m):
    """One chain of vertices cut into manhole-to-manhole pipes."""
    street = graph[chain[0]][chain[1]]
    x, y = town.points[chain[len(chain) // 2]]
    quarter = quarters.quarter_at(x, y)
    usual = 72.0 if street.kind == "walk" else quarter.manhole_m
    run = sum(math.dist(town.points[a], town.points[b]) for a, b in zip(chain, chain[1:]))
    parts = max(1, min(len(chain) - 1, int(run / usual + 0.5)))
    cuts = [round(i * (len(chain) - 1) / parts) for i in range(parts + 1)]
    pipes = []
    for i, j in zip(cuts, cuts[1:]):
        points = [_aside(town, best, v, sideways_m) for v in chain[i:j + 1]]
        letter = "S" if duty == "storm" else "F"
        here = quarters.quarter_at(*points[len(points) // 2])
        pipes.append(Pipe((letter, chain[i]), (letter, chain[j]), straighten(points, street.kind),
                          street, here, duty if duty == "storm" else _duty(here, street)))
    return pipes


def _duty(quarter, street):
    if street.kind == "walk":
        return "combined"
    return "foul" if quarter.sewers == "separate" else "combined"


def _aside(town, best, v, sideways_m):
    x, y = town.points[v]
    down = best[v][1]
    if sideways_m == 0.0 or down == -1:
        return (x, y)
    px, py = town.points[down]
    run = math.hypot(px - x, py - y)
    return (x - sideways_m * (py - y) / run, y + sideways_m * (px - x) / run)


def straighten(points, kind):
    """A straight sewer where the street is nearly straight, else a drawn curve."""
    allowed = 1.2 if kind == "walk" else 3.2
    if max(_off_chord(points, p) for p in points) <= allowed:
        return [points[0], points[-1]]
    return thin(points, 0.45)


def _off_chord(points, p):
    (ax, ay), (bx, by) = points[0], points[-1]
    run = math.hypot(bx - ax, by - ay)
    if run == 0.0:
        return math.hypot(p[0] - ax, p[1] - ay)
    return abs((p[0] - ax) * (by - ay) - (p[1] - ay) * (bx - ax)) / run


def thin(points, allowed):
    """Douglas-Peucker."""
    if len(points) < 3:
        return list(points)
    far = max(range(1, len(points) - 1), key=lambda i: _off_chord(points, points[i]))
    if _off_chord(points, points[far]) <= allowed:
        return [points[0], points[-1]]
    return thin(points[:far + 1], allowed)[:-1] + thin(points[far:], allowed)


def brook_pipes():
    """The culverted brook: an arch that runs below gardens and houses to the river."""
    brook = streets.Street("Abbey Brook", "culvert", "culvert")
    points = [p for p in land.smooth(land.BROOK_BENDS, 31.0)
              if land.nearest(land.RIVER, *p)[0] > 14.0]
    stops = list(range(0, len(points) - 1, 2)) + [len(points) - 1]
    return [Pipe(("B", i), ("B", j), points[i:j + 1], brook,
                 quarters.quarter_at(*points[i]), "storm") for i, j in zip(stops, stops[1:]) if j > i]


def outfall_pipes(town, outlets):
    """From the last storm manhole down the bank into the river."""
    pipes = []
    for v in outlets:
        x, y = town.points[v]
        _, share, heading, side = land.nearest(land.RIVER, x, y)
        off = side * (land.nearest(land.RIVER, x, y)[0] - land.river_half_width(share) + 2.0)
        end = (x + off * math.sin(heading), y - off * math.cos(heading))
        street = streets.Street("Riverbank", "outfall", "outfall")
        pipes.append(Pipe(("S", v), ("O", v), [(x, y), end], street,
                          quarters.quarter_at(x, y), "storm"))
    return pipes


def all_pipes(town, limits):
    """Foul and combined system, storm system, brook and outfalls."""
    graph = street_graph(town, limits)
    levels = {v: land.ground(*town.points[v]) for v in graph}
    works = town.near(*streets.TREATMENT, 30.0)[0][1]
    best = drain(town, graph, levels, [works], 0.3)
    kept = {v for v in best if _has_sewer(town, graph, v)}
    kept = wanted(best, kept)
    trim_stubs(town, best, kept, 24.0)
    pipes = make_pipes(town, graph, best, kept, "foul", 0.0)

    walks = [s for s in town.streets if s.kind == "walk"]
    outlets = [v for s in walks for v in s.vertices[6:-35:23] if v in graph]
    storm = drain(town, graph, levels, outlets, 1.0)
    sources = [v for v in kept if v in storm and _storm_source(town, v)]
    stormy = wanted(storm, sources)
    trim_stubs(town, storm, stormy, 55.0)
    storm_pipes = make_pipes(town, graph, storm, stormy, "storm", 2.2)
    used = sorted({p.down[1] for p in storm_pipes if p.down[1] in set(outlets)})
    return pipes + storm_pipes + brook_pipes() + outfall_pipes(town, used)


def _has_sewer(town, graph, v):
    """The ring road has a sewer only where others drain along it."""
    return any(s.name != "Ring Road" for s in graph[v].values())


def _storm_source(town, v):
    return quarters.quarter_at(*town.points[v]).sewers == "separate"

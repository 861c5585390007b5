"""The invented ground: a river, two slopes, some hills, a railway.

Places are sketched on a sheet of 5,000 by 4,200 and shrunk by SCALE to local
metres, x to the east and y to the north. Widths and levels are true metres.
"""
import math

SCALE = 0.68
WIDTH_M = 5000.0 * SCALE


def at(sheet):
    """Local metres of points on the sketch sheet."""
    return [(x * SCALE, y * SCALE) for x, y in sheet]


RIVER_BENDS = at([(-500, 2560), (-100, 2490), (400, 2330), (850, 2080), (1300, 1830), (1750, 1760),
               (2150, 1850), (2500, 1960), (2900, 2090), (3300, 2080), (3700, 1900), (4100, 1690),
               (4550, 1580), (5100, 1600), (5500, 1560)])
RAIL_BENDS = at([(-500, 760), (-100, 830), (500, 985), (1200, 1065), (1900, 1100), (2500, 1080),
              (3000, 985), (3600, 800), (4300, 560), (5100, 420), (5500, 380)])
HILLS = [(1600, 2414, 9.0, 420.0), (680, 2108, 6.0, 290.0), (816, 238, 8.0, 350.0),
         (2482, 2210, 7.0, 310.0)]  # x, y, height, spread in local metres
BROOK_BENDS = at([(2790, 3700), (2760, 3300), (2840, 2900), (2790, 2550), (2850, 2160)])


def smooth(bends, step_m):
    """Points about step_m apart on a Catmull-Rom curve through the inner bends."""
    points = []
    ends = [extend(bends[1], bends[0])] + list(bends) + [extend(bends[-2], bends[-1])]
    for before, start, stop, after in zip(ends, ends[1:], ends[2:], ends[3:]):
        count = max(2, int(round(math.dist(start, stop) / step_m)))
        points += [_between(before, start, stop, after, i / count) for i in range(count)]
    points.append((float(bends[-1][0]), float(bends[-1][1])))
    return points


def extend(inner, outer):
    return (2 * outer[0] - inner[0], 2 * outer[1] - inner[1])


def _between(a, b, c, d, t):
    def axis(i):
        return 0.5 * (2 * b[i] + (c[i] - a[i]) * t + (2 * a[i] - 5 * b[i] + 4 * c[i] - d[i]) * t * t
                      + (3 * b[i] - a[i] - 3 * c[i] + d[i]) * t ** 3)
    return (axis(0), axis(1))


RIVER = smooth(RIVER_BENDS, 40.0)
RAIL = smooth(RAIL_BENDS, 40.0)
BROOK = smooth(BROOK_BENDS, 40.0)


def nearest(line, x, y):
    """(distance, share along the line, heading, side): side is +1 left of the line."""
    best, at = 1e18, 0
    for i, (px, py) in enumerate(line):
        gap = (px - x) ** 2 + (py - y) ** 2
        if gap < best:
            best, at = gap, i
    a, b = line[max(0, at - 1)], line[min(len(line) - 1, at + 1)]
    heading = math.atan2(b[1] - a[1], b[0] - a[0])
    dx, dy = x - line[at][0], y - line[at][1]
    across = dy * math.cos(heading) - dx * math.sin(heading)
    along = dx * math.cos(heading) + dy * math.sin(heading)
    distance = abs(across) if abs(along) < 45.0 else math.sqrt(best)
    return distance, at / (len(line) - 1), heading, (1 if across >= 0 else -1)


def river_half_width(share):
    return 13.0 + 9.0 * share + 3.0 * math.sin(share * 37.0)


def river_level(share):
    """Water level in metres above datum, falling to the east."""
    return 21.0 - 9.0 * share


def ground(x, y):
    """Ground level in metres above datum."""
    distance, share, _, _ = nearest(RIVER, x, y)
    level = river_level(share) + 3.2 + 24.0 * (1.0 - math.exp(-max(0.0, distance - 40.0) / 800.0))
    for hx, hy, height, spread in HILLS:
        level += height * math.exp(-((x - hx) ** 2 + (y - hy) ** 2) / (2 * spread * spread))
    if y > 1430:
        brook = nearest(BROOK, x, y)[0]
        level -= 3.5 * math.exp(-(brook / 150.0) ** 2) * min(1.0, max(0.0, (distance - 60) / 400))
    return level


def uphill(x, y):
    """Direction of steepest rise."""
    return math.atan2(ground(x, y + 40) - ground(x, y - 40), ground(x + 40, y) - ground(x - 40, y))


def river_outline():
    """The water surface as a closed ring of points."""
    left, right = [], []
    fine = smooth(RIVER_BENDS, 20.0)
    for i, (x, y) in enumerate(fine):
        a, b = fine[max(0, i - 1)], fine[min(len(fine) - 1, i + 1)]
        heading = math.atan2(b[1] - a[1], b[0] - a[0])
        half = river_half_width(i / (len(fine) - 1))
        left.append((x - half * math.sin(heading), y + half * math.cos(heading)))
        right.append((x + half * math.sin(heading), y - half * math.cos(heading)))
    ring = left + right[::-1]
    return ring + ring[:1]

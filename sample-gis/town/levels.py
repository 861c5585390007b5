"""Sizes and levels: flow gathered down the tree, a nominal size, inverts that fall."""
import math

from . import land

NOMINAL_MM = [150, 200, 225, 250, 300, 375, 450, 500, 600, 700, 800, 900, 1000, 1200, 1350, 1500,
              1650, 1800, 2000, 2200, 2400, 2700, 3000]
# Flow gathered per metre of sewer and its power: combined and storm sewers carry rain.
LOCAL_FLOW = {"combined": 0.00036, "storm": 0.00034, "foul": 0.000016}
GATHER_POWER = 0.90
DEEPEST_M = 8.6


def flatten(pipes):
    """Pipes from the heads down: every pipe comes after all that feed it."""
    incoming, feeds = {}, {}
    for pipe in pipes:
        incoming[pipe.down] = incoming.get(pipe.down, 0) + 1
        feeds.setdefault(pipe.up, []).append(pipe)
    ready = [p for p in pipes if p.up not in incoming]
    order = []
    while ready:
        pipe = ready.pop()
        order.append(pipe)
        incoming[pipe.down] -= 1
        if incoming[pipe.down] == 0:
            ready += feeds.get(pipe.down, [])
    return order


def flow_m3_per_s(gathered):
    """Design flow from the metres of sewer of each duty above, with rain spread out in time."""
    rain = sum(LOCAL_FLOW[d] * gathered.get(d, 0.0) for d in ("combined", "storm"))
    spread = (max(1.0, sum(gathered.values()) / 500.0)) ** (GATHER_POWER - 1.0)
    return 0.0012 + rain * spread + LOCAL_FLOW["foul"] * gathered.get("foul", 0.0)


def size_mm(flow, slope):
    """Smallest nominal circle that carries the flow full (Manning, n = 0.013)."""
    exact = 1000.0 * (flow * 0.013 / (0.3117 * math.sqrt(slope))) ** 0.375
    for nominal in NOMINAL_MM:
        if nominal >= exact:
            return nominal
    return NOMINAL_MM[-1]


def least_slope(size):
    return max(0.0006, 1.0 / (size * 0.9 + 20.0))


def assign(pipes, chance):
    """Sets flow, size, inverts and ground on every pipe; returns the pumped nodes."""
    gathered, arriving, sizes, pumped = {}, {}, {}, set()
    order = flatten(pipes)
    for pipe in order:
        load = gathered.setdefault(pipe.up, {})
        load[pipe.duty] = load.get(pipe.duty, 0.0) + pipe.length
        pipe.flow = flow_m3_per_s(load)
        total = gathered.setdefault(pipe.down, {})
        for duty, metres in load.items():
            total[duty] = total.get(duty, 0.0) + metres
        pipe.ground_up, pipe.ground_down = land.ground(*pipe.points[0]), land.ground(*pipe.points[-1])
        _lay(pipe, arriving, sizes, pumped, chance)
    return pumped


def _lay(pipe, arriving, sizes, pumped, chance):
    """Size and inverts of one pipe, given what arrives at its upper manhole."""
    fall = max((pipe.ground_up - pipe.ground_down) / pipe.length, 0.0)
    least = {"storm": 225, "combined": 225}.get(pipe.duty, 150)
    slope = min(0.05, max(fall, 0.0012))
    pipe.size = max(size_mm(pipe.flow, slope), sizes.get(pipe.up, 0), least)
    cover = 1.1 + 0.25 * chance.share() + (0.5 if pipe.duty != "storm" else 0.0)
    up = pipe.ground_up - cover - pipe.size / 1000.0
    if pipe.up in arriving:
        up = min(up, arriving[pipe.up] - 0.02)
    else:
        up -= chance.between(0.0, 0.5)
    if pipe.ground_up - up > DEEPEST_M:
        up = pipe.ground_up - 3.2 - pipe.size / 1000.0
        pumped.add(pipe.up)
    steep = least_slope(pipe.size)
    down = min(up - steep * pipe.length, pipe.ground_down - cover - pipe.size / 1000.0)
    if pipe.ground_down - down > DEEPEST_M - 1.0:
        down = up - max(0.0004, steep * 0.3) * pipe.length
    pipe.invert_up, pipe.invert_down = up, down
    arriving[pipe.down] = min(arriving.get(pipe.down, 1e9), down)
    sizes[pipe.down] = max(sizes.get(pipe.down, 0), pipe.size)

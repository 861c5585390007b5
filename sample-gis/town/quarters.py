"""The quarters of the town: where they lie, when and how they were built."""
from . import land


class Quarter:
    """How a quarter's streets grow and what its sewers are like."""

    def __init__(self, name, site, style, years, sewers, along_m, across_m, manhole_m):
        self.name, self.style, self.years = name, style, years
        self.site = land.at([site])[0]
        self.sewers = sewers            # combined | separate
        self.along_m = along_m          # distance between parallel streets
        self.across_m = across_m        # distance between cross streets
        self.manhole_m = manhole_m      # usual distance between manholes
        self.north = land.nearest(land.RIVER, *self.site)[3] > 0


QUARTERS = [
    Quarter("Old Town", (2330, 2230), "core", (1870, 1895), "combined", 66, 92, 34),
    Quarter("Westgate", (1600, 2330), "terraces", (1876, 1908), "combined", 88, 175, 47),
    Quarter("Kilnfield", (3000, 2560), "terraces", (1884, 1914), "combined", 90, 180, 47),
    Quarter("Highmoor", (2330, 3150), "suburb", (1922, 1939), "combined", 120, 220, 52),
    Quarter("Larkrise", (1330, 3020), "estate", (1958, 1972), "combined", 84, 250, 58),
    Quarter("Lantern Hill", (3250, 3170), "estate", (1970, 1988), "separate", 84, 260, 60),
    Quarter("Nethercroft", (880, 2480), "estate", (1988, 2006), "separate", 80, 240, 60),
    Quarter("Staithe", (3820, 2280), "estate", (2000, 2019), "separate", 86, 250, 60),
    Quarter("Southside", (2250, 1480), "terraces", (1880, 1912), "combined", 86, 170, 45),
    Quarter("Tanyard", (1480, 1370), "suburb", (1912, 1936), "combined", 112, 200, 52),
    Quarter("Saltmeadow", (3200, 1500), "suburb", (1948, 1962), "combined", 115, 215, 54),
    Quarter("Foundry", (3150, 960), "works", (1955, 1984), "separate", 170, 280, 68),
    Quarter("Marsh End", (900, 1350), "estate", (1950, 1964), "combined", 82, 240, 56),
    Quarter("Ferngate", (2000, 830), "estate", (1962, 1978), "separate", 84, 250, 60),
]
BY_NAME = {quarter.name: quarter for quarter in QUARTERS}
CORE = land.at([(2330, 2230)])[0]


def quarter_at(x, y):
    """The nearest quarter on the same side of the river."""
    north = land.nearest(land.RIVER, x, y)[3] > 0
    return min((q for q in QUARTERS if q.north == north),
               key=lambda q: (q.site[0] - x) ** 2 + (q.site[1] - y) ** 2)

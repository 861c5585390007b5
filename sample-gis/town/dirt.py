"""Everything that is wrong with the data on purpose.

Each function below spoils a few rows in one way and notes them in the book. A
row is spoilt in one way only, so that every kind can be counted by itself.
"""
import math


class Book:
    """Which rows were spoilt how."""

    def __init__(self, chance, sewers, manholes, inspections):
        self.chance, self.kinds = chance, []
        self.sewers, self.manholes, self.inspections = sewers, manholes, inspections
        self.lost_manholes = set()
        self._taken = set()

    def draw(self, rows, count, fit=lambda row: True):
        """`count` rows that fit and are still clean; they are taken from now on."""
        free = [r for r in rows if id(r) not in self._taken and fit(r)]
        drawn = self.chance.sample(free, count)
        if len(drawn) < count:
            raise RuntimeError(f"only {len(drawn)} of {count} rows can be drawn")
        self.take(drawn)
        return drawn

    def take(self, rows):
        self._taken.update(id(r) for r in rows)

    def note(self, kind, table, place, rows, what):
        """kind: a short stable word; rows: the spoilt rows."""
        self.kinds.append({"kind": kind, "table": table, "where": place, "rows": list(rows), "what": what})

    def spoil(self, kind, field, rows, what, value):
        """Sets one sewer field of the rows: value is a constant or a function of the row."""
        for row in rows:
            row[field] = value(row) if callable(value) else value
        self.note(kind, "sewers", field, rows, what)


def in_use(row):
    return row["STATUS"] == "in use" and row["OWNER"] == "town"


def circular(row):
    return in_use(row) and row["PROFILE"] == "C"


# ---- attributes -------------------------------------------------------------

def owners_and_status(book):
    """Not errors, but rows that a plan must keep apart."""
    sewers = book.sewers
    fed = {row["DN_MH"] for row in sewers}
    heads = [r for r in sewers if r["UP_MH"] not in fed and r["_pipe"].size < 400]
    book.spoil("status_abandoned", "STATUS", book.draw(heads, 26, in_use),
               "sewer out of use, still in the layer", "abandoned")
    planned = book.draw(heads, 11, lambda r: in_use(r) and r["DISTRICT"] in ("Staithe", "Nethercroft"))
    for row in planned:
        row["LAID"] = None
    book.spoil("status_planned", "STATUS", planned, "sewer only planned, no year", "planned")
    for owner in ("private", "state road authority"):
        rows = [r for r in sewers if r["OWNER"] == owner]
        book.note("owner_" + owner.split()[0], "sewers", "OWNER", rows, f"sewer of another owner: {owner}")


def sizes(book):
    small = [r for r in book.sewers if circular(r) and r["_pipe"].width <= 600]
    book.spoil("width_zero", "SIZE", book.draw(small, 14), "width 0 stands for unknown", "0")
    book.spoil("width_minus_99", "SIZE", book.draw(small, 9), "width -99 stands for unknown", "-99")
    book.spoil("width_missing", "SIZE", book.draw(small, 22), "width empty", None)
    book.spoil("width_with_unit", "SIZE", book.draw(small, 160), 'width as text with its unit: "200 mm"',
               lambda r: r["SIZE"] + " mm")
    inches = {"150": '6"', "200": '8"', "225": '9"', "300": '12"', "375": '15"', "450": '18"'}
    book.spoil("width_in_inches", "SIZE", book.draw(small, 12, lambda r: r["SIZE"] in inches),
               'width as text in inches: 8"', lambda r: inches[r["SIZE"]])
    odd = book.draw(book.sewers, 6, lambda r: in_use(r) and r["PROFILE"] == "E")
    book.spoil("height_zero", "HEIGHT", odd, "height 0 of an egg stands for unknown", 0)
    book.spoil("profile_missing", "PROFILE", book.draw(small, 8), "profile empty", None)


def years(book):
    old = [r for r in book.sewers if in_use(r) and r["_pipe"].year < 1930]
    book.spoil("year_in_future", "LAID", book.draw(book.sewers, 3, in_use), "year of construction to come",
               lambda r: str(r["_pipe"].year + 100 if r["_pipe"].year > 1926 else 2071))
    book.spoil("year_as_text", "LAID", book.draw(old, 18), 'year as text: "about 1890"',
               lambda r: f"about {r['_pipe'].year // 10 * 10}")
    book.spoil("year_zero", "LAID", book.draw(book.sewers, 35, in_use), "year 0 stands for unknown", "0")
    unlined = [r for r in book.sewers if in_use(r) and r["LINED_ON"] is None]
    book.spoil("lined_1899_12_30", "LINED_ON", book.draw(unlined, 120),
               "1899-12-30, the zero of a spreadsheet, stands for never lined", "1899-12-30")


def materials(book):
    second = {"VC": "vitr. clay", "CO": "concr.", "BR": "Brickwork"}
    book.spoil("material_second_spelling", "MAT",
               book.draw(book.sewers, 46, lambda r: in_use(r) and r["MAT"] in second),
               "a second spelling of the material", lambda r: second[r["MAT"]])
    book.spoil("material_unknown", "MAT", book.draw(book.sewers, 20, in_use), 'material "?"', "?")


def levels(book):
    usable = [r for r in book.sewers if in_use(r)]
    for row in book.draw(usable, 25):
        row["INV_UP"] = 0.0  # noted at the end, together with the cuts
    book.spoil("invert_minus_99", "INV_DN", book.draw(usable, 15), "invert level -99 stands for unknown", -99.0)
    book.spoil("slope_9_99999", "SLOPE_PCT", book.draw(usable, 30), "slope 9.99999 stands for unknown",
               9.99999)
    book.spoil("groundwater_minus_99", "GW_M", book.draw(usable, 40),
               "groundwater head -99 stands for unknown", -99.0)
    adverse = book.draw(usable, 14)
    for row in adverse:
        row["SLOPE_PCT"] = None
    book.spoil("adverse_slope", "INV_DN", adverse, "lower end recorded above the upper end",
               lambda r: round(r["INV_UP"] + book.chance.between(0.05, 0.4), 2))
    rims = book.draw(book.manholes, 15)
    for row in rims:
        row["RIM"] = 0.0
    book.note("rim_zero", "manholes", "RIM", rims, "cover level 0 stands for unknown")
    openings = book.draw(book.manholes, 60)
    for row in openings:
        row["OPEN_MM"] = -99
    book.note("opening_minus_99", "manholes", "OPEN_MM", openings, "access opening -99 stands for unknown")


def lengths(book):
    usable = [r for r in book.sewers if in_use(r) and r["LEN_M"] > 30]
    book.spoil("length_differs", "LEN_M", book.draw(usable, 25), "recorded length far from the drawn one",
               lambda r: round(r["LEN_M"] * book.chance.pick([0.5, 0.62, 0.7, 1.3, 1.45, 2.0]), 1))
    book.spoil("length_zero", "LEN_M", book.draw(usable, 20), "recorded length 0 stands for unknown", 0.0)


# ---- lines ------------------------------------------------------------------

def lines(book):
    usable = [r for r in book.sewers if in_use(r) and r["LEN_M"] > 25]
    turned = book.draw(usable, 18)
    for row in turned:
        row["_line"] = [row["_line"][0][::-1]]
    book.note("line_reversed", "sewers", "geometry", turned,
              "digitised against the flow, node ids are right")
    gone = book.draw(usable, 4)
    for row in gone:
        row["_line"] = None
    book.note("geometry_null", "sewers", "geometry", gone, "no geometry")
    flat = book.draw(usable, 3)
    for row in flat:
        row["_line"] = [[row["_line"][0][0]] * 2]
    book.note("line_of_zero_length", "sewers", "geometry", flat, "both ends at the upper manhole")
    torn = book.draw(usable, 4)
    for row in torn:
        row["_line"] = _tear(row["_line"][0])
    book.note("line_multi_part", "sewers", "geometry", torn, "two parts with a hole of 3 m between them")
    _gaps(book, usable)


def _tear(line):
    (ax, ay), (bx, by) = line[0], line[1]
    run = math.hypot(bx - ax, by - ay)
    def along(metres):
        return (ax + (bx - ax) * metres / run, ay + (by - ay) * metres / run)
    return [[line[0], along(run / 2 - 1.5)], [along(run / 2 + 1.5)] + line[1:]]


def _gaps(book, usable):
    """Lower ends that stop short of the manhole; every second one lost its node id."""
    for kind, count, low, high, what in (
            ("gap_under_half_m", 12, 0.25, 0.45, "line stops 0.2 to 0.5 m short of its manhole"),
            ("gap_up_to_1_m", 8, 0.55, 0.9, "line stops 0.5 to 0.9 m short of its manhole"),
            ("gap_over_1_m", 6, 1.2, 3.0, "line stops 1.2 to 3 m short of its manhole")):
        rows = book.draw(usable, count)
        for row in rows:
            row["_line"] = [_shorten(row["_line"][0], book.chance.between(low, high))]
        book.note(kind, "sewers", "geometry", rows, what)
        lost = rows[::2]
        for row in lost:
            row["DN_MH"] = None
        book.note(kind + "_no_node", "sewers", "DN_MH", lost,
                  "of these: the lower node id is empty too")


def _shorten(line, metres):
    (ax, ay), (bx, by) = line[-2], line[-1]
    share = metres / math.hypot(bx - ax, by - ay)
    return line[:-1] + [(bx + (ax - bx) * share, by + (ay - by) * share)]


# ---- ids and pieces ---------------------------------------------------------

PSEUDO = [None, "NA", "END", "0"]


def fragments(book):
    """Sewers drawn in pieces, with no real node at the cuts."""
    whole = book.draw(book.sewers, 30, lambda r: in_use(r) and r["LEN_M"] > 34)
    made = []
    for i, row in enumerate(whole):
        tiny = i % 3 == 0
        cut = book.chance.between(0.4, 1.6) if tiny else row["LEN_M"] * book.chance.between(0.3, 0.7)
        made.append(_cut(row, cut, PSEUDO[i % 4], f"{row['ASSET_ID']}-B"))
        if i % 5 == 4:
            made.append(_cut(row, line_length(row["_line"]) * 0.5, PSEUDO[(i + 1) % 4],
                             f"{row['ASSET_ID']}-C"))
    book.sewers += made
    book.take(made)
    book.note("fragment", "sewers", "UP_MH, DN_MH", whole + made,
              "piece of a sewer cut at a pseudo node; ids there are empty, NA, END or 0")
    book.note("fragmented_sewer", "sewers", "ASSET_ID", whole,
              "of these: the first piece keeps the sewer's id")
    book.note("fragment_under_2_m", "sewers", "geometry",
              [r for r in whole + made if line_length(r["_line"]) < 2.0], "of these: shorter than 2 m")


def line_length(parts):
    return sum(math.dist(a, b) for part in parts for a, b in zip(part, part[1:]))


def _cut(row, metres, pseudo, new_id):
    """Cuts `metres` off the upper end; the row keeps the upper piece, the lower is new."""
    line, walked, i = row["_line"][0], 0.0, 0
    while walked + math.dist(line[i], line[i + 1]) < metres:
        walked += math.dist(line[i], line[i + 1])
        i += 1
    share = (metres - walked) / math.dist(line[i], line[i + 1])
    middle = tuple(a + (b - a) * share for a, b in zip(line[i], line[i + 1]))
    lower = dict(row, ASSET_ID=new_id, UP_MH=pseudo, INV_UP=0.0, _line=[[middle] + line[i + 1:]])
    row.update(DN_MH=pseudo, INV_DN=0.0, _line=[line[:i + 1] + [middle]])
    row["LATERALS"], lower["LATERALS"] = row["LATERALS"] // 2, row["LATERALS"] - row["LATERALS"] // 2
    for piece in (row, lower):
        piece["LEN_M"] = round(line_length(piece["_line"]), 1)
    return lower


def ids(book):
    seen = {r["_pipe"].id for r in book.inspections}
    pairs = book.draw(book.sewers, 7, in_use)
    pairs += book.draw(book.sewers, 7, lambda r: in_use(r) and r["_pipe"].id not in seen
                       and r["_pipe"].year < 1990)
    for kept, changed in zip(pairs[:7], pairs[7:]):
        changed["ASSET_ID"] = kept["ASSET_ID"]
    book.note("id_twice", "sewers", "ASSET_ID", pairs, "seven ids that two different sewers share")
    first = book.draw(book.sewers, 5, in_use)
    copies = [dict(r, ASSET_ID=r["ASSET_ID"] + "X") for r in first]
    book.sewers += copies
    book.take(copies)
    book.note("geometry_twice", "sewers", "geometry", copies, "the same line again under another id")
    twins = [dict(r, _point=(r["_point"][0] + 0.3, r["_point"][1])) for r in book.draw(book.manholes, 3)]
    lost = book.draw(book.manholes, 7)
    book.manholes[:] = [r for r in book.manholes if r not in lost] + twins
    book.note("manhole_twice", "manholes", "MH_ID", twins, "the same manhole again, 0.3 m beside")
    book.take(twins)
    book.lost_manholes = {r["MH_ID"] for r in lost}


def odd_shapes(book):
    """A sewer from a manhole to itself, a ring of four, three that touch nothing."""
    base = book.draw(book.sewers, 3, lambda r: circular(r) and r["LAID"] == str(r["_pipe"].year))
    x, y = base[0]["_line"][0][0]
    loop = _like(base[0], "S90-0001", base[0]["UP_MH"], base[0]["UP_MH"],
                 [(x, y), (x + 9, y + 7), (x + 3, y + 14), (x - 6, y + 8), (x, y)])
    book.note("self_loop", "sewers", "UP_MH, DN_MH", [loop], "from a manhole back to the same manhole")
    x, y = base[1]["_line"][0][0]
    corners = [(x, y), (x + 31, y + 8), (x + 25, y + 36), (x - 7, y + 27)]
    nodes = [base[1]["UP_MH"], "900101", "900102", "900103"]
    ring = [_like(base[1], f"S90-000{i + 2}", nodes[i], nodes[(i + 1) % 4],
                  [corners[i], corners[(i + 1) % 4]]) for i in range(4)]
    book.note("closed_loop", "sewers", "UP_MH, DN_MH", ring, "four sewers that run in a circle; the layer lacks three of their manholes")
    lone = [_like(base[2], f"S90-000{i + 6}", f"90020{2 * i + 1}", f"90020{2 * i + 2}",
                  [(310.0 + 190 * i, 2560.0 + 60 * i), (352.0 + 190 * i, 2578.0 + 60 * i)])
            for i in range(3)]
    book.note("isolated", "sewers", "geometry", lone, "touches no other sewer; the layer lacks its manholes")
    book.sewers += [loop] + ring + lone
    book.take([loop] + ring + lone)


def _like(row, asset, up, down, line):
    made = dict(row, ASSET_ID=asset, UP_MH=up, DN_MH=down, _line=[line])
    made.update(LEN_M=round(line_length([line]), 1), INV_UP=0.0, INV_DN=0.0, SLOPE_PCT=None, LATERALS=0)
    return made


# ---- inspections ------------------------------------------------------------

def inspections(book):
    rows = book.inspections
    plain_years = {r["ASSET_ID"] for r in book.sewers if r["LAID"] == str(r["_pipe"].year)}
    pairs = {(r["UP_MH"], r["DN_MH"]) for r in book.sewers}
    plain = [r for r in rows if r["STATUS"] == "complete" and (r["FROM_MH"], r["TO_MH"]) in pairs]

    def spoil(kind, field, drawn, what, value):
        for row in drawn:
            row[field] = value(row) if callable(value) else value
        book.note(kind, "inspections", field, drawn, what)

    for status in ("abandoned", "partial"):
        book.note("inspection_" + status, "inspections", "STATUS",
                  [r for r in rows if r["STATUS"] == status],
                  f"inspection {status}, the length seen says how far")
    spoil("inspection_of_unknown_sewer", "PIPE", book.draw(plain, 7), "no sewer has this id or these nodes",
          lambda r: "S99-" + r["PIPE"][4:])
    for row in book.kinds[-1]["rows"]:
        row["FROM_MH"], row["TO_MH"] = "99" + row["FROM_MH"][2:], "99" + row["TO_MH"][2:]
    spoil("inspection_by_nodes", "PIPE", book.draw(plain, 60), "no sewer id, only the node pair", "")
    turned = book.draw(plain, 14)
    for row in turned:
        row["FROM_MH"], row["TO_MH"] = row["TO_MH"], row["FROM_MH"]
    spoil("inspection_by_nodes_reversed", "PIPE", turned, "no sewer id, node pair against the flow", "")
    short = book.draw(plain, 24)
    for row in short:
        row["TO_MH"] = row["TO_MH"].lstrip("0")
    spoil("inspection_zeros_lost", "FROM_MH", short, "a spreadsheet ate the leading zeros of the node ids",
          lambda r: r["FROM_MH"].lstrip("0"))
    spoil("inspection_before_construction", "DATE",
          book.draw(plain, 8, lambda r: r["_pipe"].year >= 1990 and r["PIPE"] in plain_years),
          "inspected before the sewer was built",
          lambda r: f"{r['_pipe'].year - book.chance.whole(2, 9)}-05-{book.chance.whole(10, 28)}")
    spoil("inspection_date_1899_12_30", "DATE", book.draw(plain, 6), "1899-12-30 stands for no date",
          "1899-12-30")
    spoil("grade_zero", "STR", book.draw(plain, 25), "grade 0 stands for none given", "0")
    spoil("offset_minus_99", "OFFSET_PCT", book.draw(plain, 15),
          "joint offset -99 stands for not measured", "-99")
    _batch(book, spoil)
    twice = book.draw(plain, 5)
    copies = [dict(r) for r in twice]
    rows += copies
    book.note("inspection_twice", "inspections", "row", copies, "the same record again, same sewer and day")


def _batch(book, spoil):
    """Grades given at a desk: one day, no defects, the grade follows from the year."""
    known = {r["_pipe"].id for r in book.inspections}
    rows = book.draw(book.sewers, 52, lambda r: in_use(r) and r["_pipe"].id not in known)
    made = []
    for row in rows:
        grade = str(min(5, 1 + (2012 - row["_pipe"].year) // 30)) if row["_pipe"].year <= 2012 else "1"
        made.append({"_pipe": row["_pipe"], "INSP_NO": "", "PIPE": row["ASSET_ID"], "FROM_MH": row["UP_MH"],
                     "TO_MH": row["DN_MH"], "DATE": "2020-12-31", "STATUS": "complete",
                     "SEEN_M": f"{row['LEN_M']:.1f}", "STR": grade, "SRV": grade, "OFFSET_PCT": "",
                     "OVALITY_PCT": "", "SAG_PCT": "", "INFILTRATION": "", "ROOTS": "", "DEPOSIT_PCT": "",
                     "SPOTS": "", "COLLAPSED": "", "REMARK": ""})
    book.inspections += made
    book.note("grades_of_one_day", "inspections", "DATE, STR", made,
              "all dated 2020-12-31, grade follows from the year of construction, nothing was seen")


def count_at_end(book):
    """Kinds that can only be counted when all the rest is done."""
    book.note("node_id_leading_zero", "manholes", "MH_ID",
              [r for r in book.manholes if r["MH_ID"].startswith("0")],
              "ids are text and start with zeros")
    book.note("invert_zero", "sewers", "INV_UP, INV_DN",
              [r for r in book.sewers if 0.0 in (r["INV_UP"], r["INV_DN"])],
              "invert level 0 stands for unknown (cuts of fragments included)")
    for pseudo, word in zip(PSEUDO, ("empty", "na", "end", "zero")):
        book.note("node_id_" + word, "sewers", "UP_MH, DN_MH",
                  [r for r in book.sewers if pseudo in (r["UP_MH"], r["DN_MH"])],
                  f"no node id at an end: {'empty' if pseudo is None else pseudo}")
    book.note("manhole_not_in_layer", "sewers", "UP_MH, DN_MH",
              [r for r in book.sewers if {r["UP_MH"], r["DN_MH"]} & book.lost_manholes],
              "sewers at one of seven manholes that the layer lacks")
    days = {}
    for row in book.inspections:
        if row["PIPE"]:
            days.setdefault(row["PIPE"], set()).add(row["DATE"])
    rows = [r for r in book.inspections if r["PIPE"] and len(days[r["PIPE"]]) > 1]
    book.note("inspected_on_two_days", "inspections", "PIPE", rows,
              "sewers with inspections of two dates (no error)")


def spoil_all(book):
    for step in (owners_and_status, odd_shapes, fragments, ids, lines, sizes, years, materials, levels,
                 lengths, inspections, count_at_end):
        step(book)

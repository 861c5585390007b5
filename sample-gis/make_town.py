#!/usr/bin/env python3
"""Makes the invented town of Brackwater and its sewer network.

    /usr/bin/python3 make_town.py [FOLDER]

writes network.gpkg, context.gpkg, inspections.csv, observations.csv, dirt.csv and
dirt_rows.csv into FOLDER (default: beside this script) and, beside this script, the dirt
table
of README.md. The same seed gives the same bytes with the same GDAL and SQLite.
Needs GDAL's Python module (Debian: python3-gdal).
"""
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.dont_write_bytecode = True
sys.path.insert(0, HERE)

from town import (attributes, condition, dirt, drainage, land, levels, observations,  # noqa: E402
                  rows, store, streets, surroundings)
from town.chance import Chance  # noqa: E402

SEED = 20260101


def build():
    """The town as it really is."""
    town, limits = streets.grow_all(Chance(SEED))
    pipes = drainage.all_pipes(town, limits)
    pumped = levels.assign(pipes, Chance(SEED + 1))
    attributes.describe(pipes, Chance(SEED + 2))
    nodes = attributes.manholes(pipes, pumped, Chance(SEED + 3))
    attributes.number(pipes, nodes)
    attributes.open_channel(pipes)
    condition.live(pipes, Chance(SEED + 4))
    seen = condition.campaigns(pipes, Chance(SEED + 5))
    return town, pipes, nodes, seen


def extract(pipes, nodes, seen):
    """The town as the owner's files tell it, dirt and all."""
    sewers = [rows.sewer_row(p) for p in sorted(pipes, key=lambda p: p.id)]
    manholes = sorted((rows.manhole_row(n) for n in nodes.values()), key=lambda r: r["MH_ID"])
    inspections = [rows.inspection_row(s) for s in seen]
    book = dirt.Book(Chance(SEED + 6), sewers, manholes, inspections)
    dirt.spoil_all(book)
    in_use = {r["_pipe"].id for r in sewers if r["STATUS"] != "planned"}
    inspections[:] = sorted((r for r in inspections if r["_pipe"].id in in_use),
                            key=lambda r: (r["DATE"], r["_pipe"].id))
    for i, row in enumerate(inspections):
        row["INSP_NO"] = f"I{i + 1:05d}"
    return book


def write_network(folder, book, pipes):
    package = store.Package(os.path.join(folder, "network.gpkg"))
    package.layer("sewers", "line", rows.SEWER_FIELDS, book.sewers)
    package.layer("manholes", "point", rows.MANHOLE_FIELDS, book.manholes)
    package.layer("districts", "area", [("NAME", "text"), ("SEWERS", "text")], surroundings.districts(pipes))
    package.close()


def write_context(folder, town, pipes):
    chance = Chance(SEED + 7)
    name = [("NAME", "text")]
    package = store.Package(os.path.join(folder, "context.gpkg"))
    package.layer("streets", "line", name + [("CLASS", "text")], surroundings.street_rows(town))
    package.layer("rail", "line", name, [{"_line": [land.RAIL], "NAME": "Brackwater line"}])
    package.layer("river", "line", name, [{"_line": [land.smooth(land.RIVER_BENDS, 20.0)], "NAME": "Brack"}])
    package.layer("water", "area", name, [{"_ring": land.river_outline(), "NAME": "Brack"}])
    package.layer("hospital", "area", name, surroundings.hospitals())
    package.layer("school", "point", name, surroundings.schools(town, chance))
    package.layer("protection_zone", "area", name + [("ZONE", "text")], surroundings.well_field())
    package.layer("paving_list", "line", [("STREET", "text"), ("ASSET_ID", "text"), ("YEAR", "whole"),
                                          ("KIND", "text"), ("COST", "real")],
                  surroundings.paving(town, pipes, chance))
    package.close()


def row_name(book, table, row):
    """How a spoilt row is found again: feature id, manhole id or inspection number."""
    if table == "sewers":
        return next(i + 1 for i, r in enumerate(book.sewers) if r is row)
    if table == "manholes":
        return next(i + 1 for i, r in enumerate(book.manholes) if r is row)
    return row["INSP_NO"]


def write_dirt(folder, book):
    """dirt.csv counts every kind, dirt_rows.csv names every row."""
    counts, names = [], []
    for kind in book.kinds:
        kept = [r for r in kind["rows"] if kind["table"] != "inspections" or r["INSP_NO"]]
        counts.append([kind["kind"], len(kept), f"{kind['table']}: {kind['where']}", kind["what"]])
        names += [[kind["kind"], kind["table"], row_name(book, kind["table"], r)] for r in kept]
    store.write_csv(os.path.join(folder, "dirt.csv"), ["kind", "count", "where", "what"], counts)
    store.write_csv(os.path.join(folder, "dirt_rows.csv"), ["kind", "table", "row"], names)
    return counts


def write_readme_table(counts):
    """Puts the counts between the two marks in README.md."""
    path = os.path.join(HERE, "README.md")
    begin, end = "<!-- dirt table: begin -->\n", "<!-- dirt table: end -->\n"
    with open(path, encoding="utf-8") as text:
        before, rest = text.read().split(begin)
    after = rest.split(end)[1]
    table = "| kind | count | where | what is wrong |\n|---|---|---|---|\n"
    table += "".join(f"| `{kind}` | {count} | {place} | {what} |\n" for kind, count, place, what in counts)
    with open(path, "w", encoding="utf-8") as text:
        text.write(before + begin + table + end + after)


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else HERE
    os.makedirs(folder, exist_ok=True)
    town, pipes, nodes, seen = build()
    book = extract(pipes, nodes, seen)
    write_network(folder, book, pipes)
    write_context(folder, town, pipes)
    store.write_csv(os.path.join(folder, "inspections.csv"), rows.INSPECTION_FIELDS,
                    [[r[f] for f in rows.INSPECTION_FIELDS] for r in book.inspections])
    store.write_csv(os.path.join(folder, "observations.csv"), observations.FIELDS,
                    observations.rows_of(book.inspections, Chance(SEED + 8)))
    counts = write_dirt(folder, book)
    if folder == HERE:
        write_readme_table(counts)
    print(f"{len(book.sewers)} sewers, {len(book.manholes)} manholes, {len(book.inspections)} inspections")


if __name__ == "__main__":
    main()

"""How the sewers age, and what the camera saw.

Every pipe has its own waiting times from grade to grade, so two inspections of
one pipe agree with one history. Times depend on material, size and ground.
"""
STAY_YEARS = {  # mean years in structural grades 1, 2, 3, 4: invented
    "clay": (46, 48, 44, 36), "brick": (74, 62, 48, 34), "concrete": (36, 36, 32, 26),
    "reinforced concrete": (46, 44, 40, 32), "asbestos cement": (26, 28, 24, 20),
    "cast iron": (46, 42, 36, 26), "ductile iron": (36, 34, 28, 24), "pvc": (40, 46, 48, 44),
    "polyethylene": (44, 48, 48, 44), "grp": (36, 40, 40, 34),
}


def live(pipes, chance):
    """Gives every pipe its hidden history of structural and service grades."""
    for pipe in pipes:
        frailty = 0.55 + 0.9 * chance.share()
        if pipe.soil in ("sand", "gravel") and pipe.groundwater > 0.5:
            frailty *= 0.85
        pipe.turns = [chance.waiting(mean) * 0.55 * frailty + mean * 0.45 * frailty
                      for mean in STAY_YEARS[pipe.material]]
        pipe.service_turns = [chance.waiting(mean) for mean in (30, 45, 60, 80)]
        pipe.root_prone = pipe.material in ("clay", "concrete", "brick") and chance.hit(0.28)


def grade_at(turns, years):
    grade = 1
    for stay in turns:
        years -= stay
        if years < 0:
            break
        grade += 1
    return grade


def start_year(pipe, year):
    lined = pipe.lined_year
    return lined if lined is not None and lined <= year else pipe.year


def campaigns(pipes, chance):
    """[inspection]: about 55 % of the pipes, whole streets on the same days, some twice."""
    by_street = {}
    for pipe in pipes:
        by_street.setdefault((pipe.quarter.name, pipe.street.name, pipe.duty), []).append(pipe)
    seen = []
    for key in sorted(by_street):
        group = sorted(by_street[key], key=lambda p: p.id)
        old = group[0].year < 1950
        want = 0.76 if old else 0.59
        if group[0].street.kind in ("walk", "culvert"):
            want = 0.64
        if group[0].duty == "storm":
            want = 0.38
        if len(group) <= 6 and not chance.hit(want):
            continue
        share = 1.0 if len(group) <= 6 else want
        year, month = chance.whole(2004, 2025), chance.whole(1, 12)
        again = chance.whole(6, 14) if chance.hit(0.16) else 0
        for i, pipe in enumerate(group):
            if not chance.hit(share * 0.97) or year <= pipe.year:
                continue
            seen.append(look(pipe, _day(chance, year, month, i), chance))
            if again and year + again <= 2025:
                seen.append(look(pipe, _day(chance, year + again, month, i), chance))
    return seen


def _day(chance, year, month, i):
    return f"{year:04d}-{month:02d}-{1 + (i // 6 + chance.whole(0, 1)) % 28:02d}"


def look(pipe, day, chance):
    """One inspection of one pipe."""
    year = int(day[:4])
    lined = start_year(pipe, year) != pipe.year
    age = max(0, year - start_year(pipe, year))
    structural = min(2, grade_at(pipe.turns, age * 0.4)) if lined else grade_at(pipe.turns, age)
    service = grade_at(pipe.service_turns, age * 0.6)
    seen = {"pipe": pipe, "day": day, "structural": structural, "service": service,
            "status": "complete", "length": pipe.length, "remark": ""}
    _defects(seen, pipe, structural, service, lined, chance)
    if structural == 5 and chance.hit(0.3) or structural < 5 and chance.hit(0.045):
        seen["status"] = chance.weighted([("abandoned", 2), ("partial", 3)])
        seen["length"] = pipe.length * chance.between(0.12, 0.85)
        seen["remark"] = chance.pick(["camera could not pass", "high water", "blocked by deposits",
                                      "cable too short", "no access from below"])
    return seen


def _defects(seen, pipe, structural, service, lined, chance):
    rigid = pipe.material not in ("pvc", "polyethylene", "grp")
    worst = structural - 1
    seen["offset"] = round(max(0.0, chance.bell(2.2 * worst, 1.6)), 1) if rigid and not lined else 0.0
    seen["ovality"] = round(max(0.0, chance.bell(1.6 * worst, 1.0)), 1) if not rigid \
        else round(max(0.0, chance.bell(0.5 * worst, 0.7)), 1)
    seen["sag"] = round(max(0.0, chance.bell(4.0 * worst, 5.0)), 0) if chance.hit(0.35) else 0.0
    wet = min(4, int(worst * chance.share() * 1.3)) if pipe.groundwater > 0.3 else 0
    seen["infiltration"] = ["none", "seeping", "dripping", "running", "gushing"][wet]
    roots = service >= 2 and pipe.root_prone and not lined
    seen["roots"] = ("mass" if service >= 4 else "fine") if roots else "none"
    seen["deposits"] = round(max(0.0, chance.bell(5.0 * (service - 1), 4.0)), 0)
    _extremes(seen, pipe, structural, service, chance)
    seen["spots"] = max(0, int(chance.bell(1.5 * worst + pipe.length / 90.0 * worst, 1.2)))
    seen["collapsed"] = "Y" if structural == 5 and chance.hit(0.35) else "N"


def _extremes(seen, pipe, structural, service, chance):
    """Now and then a defect far worse than its neighbours, so that limits are met."""
    if structural >= 3 and seen["offset"] > 0.0 and chance.hit(0.05):
        seen["offset"] = round(chance.between(12.0, 40.0), 1)
    if structural >= 2 and pipe.shape == "circle" and chance.hit(0.03):
        seen["ovality"] = round(chance.between(5.0, 16.0), 1)
    if structural >= 2 and chance.hit(0.03):
        seen["sag"] = round(chance.between(20.0, 60.0), 0)
    if service >= 4 and chance.hit(0.25):
        seen["deposits"] = round(chance.between(30.0, 85.0), 0)

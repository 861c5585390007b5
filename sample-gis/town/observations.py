"""What the camera saw, place by place, for one inspection in six.

The observations are told from the inspection's own record, so that the shipped grading
rules give its grades again, but for one in twenty, where the grader saw it otherwise.
Some rows are spoilt on purpose; their kinds stand in README.md.
"""

FIELDS = ["INSP_NO", "CODE", "CH1", "Q1", "AT_M", "RUN", "CLOCK", "CLOCK_TO", "JOINT", "DIR",
          "REMARK"]
DESK_DAY = "2020-12-31"
FIRST_DAY = "2012-01-01"
STRUCTURAL = {2: ("BAB", "A", ""), 3: ("BAB", "B", "2"), 4: ("BAB", "C", "6"), 5: ("BAC", "B", "")}
SERVICE = {2: ("BBC", "A", "10"), 3: ("BBC", "A", "30"), 4: ("BBC", "A", "55"), 5: ("BBC", "A", "80")}
INFLOW = {"seeping": "A", "dripping": "B", "running": "C", "gushing": "D"}


def chosen(row):
    return (int(row["INSP_NO"][1:]) % 6 == 0 and FIRST_DAY <= row["DATE"] != DESK_DAY
            and row["STR"] in "12345" and float(row["SEEN_M"]) >= 5)


def grade_as_coded(row, field, chance):
    grade = int(row[field])
    if chance.hit(0.05):
        grade = min(5, grade + 1) if chance.hit(0.5) else max(1, grade - 1)
    return grade


def of_inspection(row, chance):
    """Rows without their inspection: code, characterisation, quantity, place, run, clock ..."""
    length = float(row["SEEN_M"])

    def seen(code, ch1="", q1="", run="", at=None, clock="", clock_to="", joint="N", remark=""):
        at = chance.between(0.02, 0.97) * length if at is None else at
        return {"CODE": code, "CH1": ch1, "Q1": q1, "AT_M": f"{at:.2f}", "RUN": run,
                "CLOCK": clock, "CLOCK_TO": clock_to, "JOINT": joint, "REMARK": remark}

    rows = [seen("BCD", at=0.0)]
    structural = grade_as_coded(row, "STR", chance)
    service = grade_as_coded(row, "SRV", chance)
    for grade in range(2, structural + 1):
        for _ in range(1 if grade == structural else chance.whole(0, 1)):
            code, ch1, q1 = STRUCTURAL[grade]
            rows.append(seen(code, ch1, q1, clock=str(chance.whole(1, 12)),
                             joint="Y" if chance.hit(0.3) else "N"))
    if structural >= 3 and chance.hit(0.4):
        begin = chance.between(0.1, 0.5) * length
        end = begin + chance.between(0.1, 0.4) * length
        rows += [seen("BAF", "A", run=run, at=at, clock="4", clock_to="8")
                 for run, at in (("A1", begin), ("B1", end))]
    if service >= 2:
        code, ch1, q1 = SERVICE[service]
        rows.append(seen(code, ch1, q1, clock="5", clock_to="7"))
    if row["ROOTS"] != "none" and service >= 3:
        rows.append(seen("BBA", "B", "10", clock="12", joint="Y", remark=row["ROOTS"] + " roots"))
    if row["INFILTRATION"] in INFLOW:
        rows.append(seen("BBF", INFLOW[row["INFILTRATION"]], clock=str(chance.whole(1, 12)),
                         joint="Y"))
    for _ in range(chance.whole(0, 2)):
        rows.append(seen("BCA", "A", "150", clock=chance.pick(["2", "3", "9", "10"])))
    rows.append(seen("BDC" if row["STATUS"] == "abandoned" else "BCE",
                     at=length if row["STATUS"] != "complete" else length * chance.between(0.99, 1.01)))
    if row["STATUS"] == "partial":
        rows.pop()
    return sorted(rows, key=lambda r: float(r["AT_M"]))


def spoil(rows, chance):
    """Codes of another country, lines keyed twice, places beyond the end, and lost ids."""
    middles = [r for r in rows if r["CODE"] not in ("BCD", "BCE", "BDC") and not r["RUN"]]
    for _ in range(4):
        chance.pick(middles)["CODE"] = "XFB"
    for _ in range(5):
        twice = chance.pick(middles)
        rows.insert(rows.index(twice), dict(twice))
    for _ in range(3):
        chance.pick(middles)["AT_M"] = "999.00"
    for _ in range(3):
        chance.pick(middles)["INSP_NO"] = "I99999"


def rows_of(inspections, chance):
    rows = []
    for inspection in inspections:
        if not chosen(inspection):
            continue
        direction = "U" if chance.hit(0.2) else "D"
        rows += [{**row, "INSP_NO": inspection["INSP_NO"], "DIR": direction}
                 for row in of_inspection(inspection, chance)]
    spoil(rows, chance)
    return [[row[field] for field in FIELDS] for row in rows]

"""The clean extract: what the owner's GIS would hold if nothing were wrong with it."""
MATERIAL_CODES = {"clay": "VC", "brick": "BR", "concrete": "CO", "reinforced concrete": "RC",
                  "asbestos cement": "AC", "cast iron": "CI", "ductile iron": "DI", "pvc": "PVC",
                  "polyethylene": "PE", "grp": "GRP"}
PROFILE_CODES = {"circle": "C", "egg": "E", "horseshoe": "H", "rectangle": "R", "arch": "A", "channel": "O"}
DUTY_CODES = {"combined": "M", "foul": "F", "storm": "S"}
SURFACE_WORDS = {"green": "verge", "footway": "footpath", "minor road": "minor road",
                 "main road": "main road", "building": "building", "water": "river"}
SEWER_FIELDS = [("ASSET_ID", "text"), ("UP_MH", "text"), ("DN_MH", "text"), ("OWNER", "text"),
                ("STATUS", "text"), ("DISTRICT", "text"), ("STREET", "text"), ("DUTY", "text"),
                ("MAT", "text"), ("PROFILE", "text"), ("SIZE", "text"), ("HEIGHT", "whole"),
                ("LAID", "text"), ("LINED_ON", "text"), ("LINED_BY", "text"), ("LEN_M", "real"),
                ("INV_UP", "real"), ("INV_DN", "real"), ("DEPTH", "text"), ("SLOPE_PCT", "real"),
                ("FLOW_LS", "real"), ("LATERALS", "whole"), ("GW_M", "real"), ("SURFACE", "text"),
                ("SOIL", "text")]
MANHOLE_FIELDS = [("MH_ID", "text"), ("KIND", "text"), ("RIM", "real"), ("OPEN_MM", "whole"),
                  ("BUILT", "whole")]
INSPECTION_FIELDS = ["INSP_NO", "PIPE", "FROM_MH", "TO_MH", "DATE", "STATUS", "SEEN_M", "STR", "SRV",
                     "OFFSET_PCT", "OVALITY_PCT", "SAG_PCT", "INFILTRATION", "ROOTS", "DEPOSIT_PCT",
                     "SPOTS", "COLLAPSED", "REMARK"]


def sewer_row(pipe):
    """One sewer as a dict of its fields, its line as a list of parts, its pipe."""
    fall = pipe.invert_up - pipe.invert_down
    depth = (pipe.ground_up - pipe.invert_up + pipe.ground_down - pipe.invert_down) / 2
    return {
        "_pipe": pipe, "_line": [[tuple(p) for p in pipe.points]],
        "ASSET_ID": pipe.id, "UP_MH": pipe.up_id, "DN_MH": pipe.down_id, "OWNER": pipe.owner,
        "STATUS": pipe.status, "DISTRICT": pipe.quarter.name, "STREET": pipe.street.name,
        "DUTY": DUTY_CODES[pipe.duty], "MAT": MATERIAL_CODES[pipe.material],
        "PROFILE": PROFILE_CODES[pipe.shape], "SIZE": str(pipe.width),
        "HEIGHT": 0 if pipe.shape == "circle" else pipe.height, "LAID": str(pipe.year),
        "LINED_ON": f"{pipe.lined_year}-06-15" if pipe.lined_year else None,
        "LINED_BY": pipe.lined_by, "LEN_M": round(pipe.length, 1),
        "INV_UP": round(pipe.invert_up, 2), "INV_DN": round(pipe.invert_down, 2),
        "DEPTH": f"{depth:.2f} m", "SLOPE_PCT": round(100.0 * fall / pipe.length, 3),
        "FLOW_LS": round(pipe.flow * 900.0, 0) if pipe.size >= 500 else None,
        "LATERALS": pipe.laterals, "GW_M": pipe.groundwater,
        "SURFACE": SURFACE_WORDS[pipe.surface], "SOIL": pipe.soil,
    }


def manhole_row(node):
    return {"_point": node["point"], "MH_ID": node["id"], "KIND": node["kind"],
            "RIM": round(node["ground"], 2), "OPEN_MM": node["opening"], "BUILT": node["year"]}


def inspection_row(seen):
    pipe = seen["pipe"]
    return {
        "_pipe": pipe, "INSP_NO": "", "PIPE": pipe.id, "FROM_MH": pipe.up_id, "TO_MH": pipe.down_id,
        "DATE": seen["day"], "STATUS": seen["status"], "SEEN_M": f"{seen['length']:.1f}",
        "STR": str(seen["structural"]), "SRV": str(seen["service"]),
        "OFFSET_PCT": f"{seen['offset']:.1f}", "OVALITY_PCT": f"{seen['ovality']:.1f}",
        "SAG_PCT": f"{seen['sag']:.0f}", "INFILTRATION": seen["infiltration"],
        "ROOTS": seen["roots"], "DEPOSIT_PCT": f"{seen['deposits']:.0f}",
        "SPOTS": str(seen["spots"]), "COLLAPSED": seen["collapsed"], "REMARK": seen["remark"],
    }

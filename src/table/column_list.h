/* table/column_list.h - every column of the segment table, once.
 *
 * X(ID, name, kind, unit, decimals, owner, title, meaning)
 *
 *   kind      STR  interned text            DATE  days since 1970-01-01 (I32)
 *             F64  double, missing is NaN   I32   integer, missing is INT32_MIN
 *             F32  float, missing is NaN    CODE  small code, missing is 255
 *             BOOL 0 or 1, missing is 255
 *   unit      as printed; "" for none (texts, counts, codes)
 *   decimals  digits after the point in tables
 *   owner     the one stage (folder) that writes the column; "derived" follows
 *             from others when it is asked for (table/derived.c)
 *
 * The enum, the SQL names in rules, the layer's titles and docs/columns.md
 * all come from this list. A column of owner "read" can be mapped in a plan
 * under the name in field_roles.h.
 */
#ifndef HN_TABLE_COLUMN_LIST_H
#define HN_TABLE_COLUMN_LIST_H

#define HN_COLUMN_LIST(X)                                                                          \
    /* ---- what the owner recorded ---- */                                                        \
    X(SEGMENT_ID, "segment_id", STR, "", 0, "read", "Segment", "Stable id of the segment")         \
    X(UP_NODE, "up_node", STR, "", 0, "read", "Upstream node", "Id of the upstream manhole")       \
    X(DOWN_NODE, "down_node", STR, "", 0, "read", "Downstream node", "Id of the downstream manhole") \
    X(OWNER, "owner", STR, "", 0, "read", "Owner", "Who owns the sewer")                           \
    X(STATUS, "status", STR, "", 0, "read", "Status", "Operating status as recorded")              \
    X(DISTRICT, "district", STR, "", 0, "read", "District", "District for totals and shares")      \
    X(STREET, "street", STR, "", 0, "read", "Street", "Street name or id")                         \
    X(DUTY, "duty", STR, "", 0, "read", "Duty", "What the sewer carries: foul, combined, storm")   \
    X(SURFACE, "surface", STR, "", 0, "read", "Surface", "What lies above the sewer: green, footway, minor road, main road, building, water") \
    X(SOIL, "soil", STR, "", 0, "read", "Soil", "Ground around the pipe: sand, gravel, clay, rock, mixed") \
    X(MATERIAL, "material", STR, "", 0, "read", "Material", "Host material, names of config/materials.csv") \
    X(SHAPE, "shape", CODE, "", 0, "read", "Shape", "Cross-section of the host")                   \
    X(WIDTH_MM, "width_mm", F64, "mm", 0, "read", "Width", "Inner width of the host (diameter when circular)") \
    X(HEIGHT_MM, "height_mm", F64, "mm", 0, "read", "Height", "Inner height of the host")          \
    X(WIDTH_UP_MM, "width_up_mm", F64, "mm", 0, "read", "Width up", "Inner width recorded at the upstream end") \
    X(WIDTH_DOWN_MM, "width_down_mm", F64, "mm", 0, "read", "Width down", "Inner width recorded at the downstream end") \
    X(YEAR_BUILT, "year_built", F32, "", 0, "read", "Year built", "Year of construction")          \
    X(YEAR_LINED, "year_lined", F32, "", 0, "read", "Year lined", "Year of the last full-length lining; missing when never lined") \
    X(LENGTH_RECORDED_M, "length_recorded_m", F64, "m", 2, "read", "Recorded length", "Length as recorded by the owner") \
    X(INVERT_UP_M, "invert_up_m", F64, "m", 3, "read", "Invert up", "Invert level at the upstream end") \
    X(INVERT_DOWN_M, "invert_down_m", F64, "m", 3, "read", "Invert down", "Invert level at the downstream end") \
    X(GROUND_UP_M, "ground_up_m", F32, "m", 3, "read", "Ground up", "Ground level at the upstream end") \
    X(GROUND_DOWN_M, "ground_down_m", F32, "m", 3, "read", "Ground down", "Ground level at the downstream end") \
    X(DEPTH_UP_M, "depth_up_m", F32, "m", 2, "read", "Depth up", "Depth from ground to invert, upstream end") \
    X(DEPTH_DOWN_M, "depth_down_m", F32, "m", 2, "read", "Depth down", "Depth from ground to invert, downstream end") \
    X(SLOPE_RECORDED, "slope_recorded_m_per_m", F32, "m/m", 5, "read", "Recorded slope", "Slope as recorded, positive downhill") \
    X(FLOW_REQUIRED, "flow_required_m3_per_s", F32, "m3/s", 4, "read", "Required flow", "Flow that must be carried") \
    X(BEND_RECORDED_DEG, "bend_recorded_deg", F32, "deg", 1, "read", "Recorded bend", "Sharpest bend in the segment, as recorded") \
    X(OFFSET_PCT, "joint_offset_pct", F32, "% of width", 1, "read", "Joint offset", "Worst displaced joint") \
    X(OVALITY_PCT, "ovality_pct", F32, "%", 1, "read", "Ovality", "100 (largest - mean)/mean inside diameter") \
    X(SAG_PCT, "sag_pct", F32, "% of height", 1, "read", "Sag", "Deepest standing water over the height") \
    X(LATERALS, "lateral_count", F32, "", 0, "read", "Laterals", "Live side connections")          \
    X(GROUNDWATER_M, "groundwater_above_invert_m", F32, "m", 2, "read", "Groundwater", "Groundwater head above the invert") \
    X(ACCESS_MM, "access_opening_mm", F32, "mm", 0, "read", "Access opening", "Clear opening of the nearest usable manhole") \
    X(SPOT_DEFECTS, "spot_defect_count", F32, "", 0, "read", "Spot defects", "Places that a local repair would mend") \
    X(INFILTRATION, "infiltration", STR, "", 0, "read", "Infiltration", "none, seeping, dripping, running, gushing") \
    X(INFILTRATION_FLOW, "infiltration_m3_per_s", F64, "m3/s", 7, "read", "Infiltration flow", "Measured infiltration") \
    X(ROOTS, "roots", STR, "", 0, "read", "Roots", "none, fine, mass")                             \
    X(DEPOSITS_PCT, "deposits_pct", F32, "% of height", 0, "read", "Deposits", "Depth of deposits over the height") \
    X(COLLAPSED, "is_collapsed", BOOL, "", 0, "read", "Collapsed", "Collapse or missing wall seen") \
    X(GRADE_STRUCTURAL, "grade_structural_1_5", F32, "", 0, "read", "Structural grade", "Observed structural grade, 1 good to 5 worst") \
    X(GRADE_SERVICE, "grade_service_1_5", F32, "", 0, "read", "Service grade", "Observed service grade, 1 good to 5 worst") \
    X(GRADE_TIGHTNESS, "grade_tightness_1_5", F32, "", 0, "read", "Tightness grade", "Observed tightness grade, 1 good to 5 worst") \
    X(INSPECTED_ON, "inspected_on", DATE, "", 0, "read", "Inspected on", "Date of the inspection that gives the grades") \
    X(PEOPLE, "people_served", F32, "", 1, "read", "People served", "People whose sewage enters along the segment") \
    X(FLOW_ADDED, "flow_added_m3_per_s", F32, "m3/s", 4, "read", "Flow added", "Flow that enters along the segment") \
    X(LENGTH_GEOMETRY_M, "length_geometry_m", F64, "m", 2, "read", "Drawn length", "Length of the drawn line on the ellipsoid") \
    X(LENGTH_M, "length_m", F64, "m", 2, "network", "Length used", "Length used for quantities and cost") \
    X(LENGTH_BASIS, "length_basis", CODE, "", 0, "network", "Length basis", "Which length was used and why") \
    X(LINED_BY, "lined_by", STR, "", 0, "read", "Lined by", "Method of the last lining, as recorded") \
    /* ---- network ---- */                                                                        \
    X(SOURCE_ROWS, "source_rows", I32, "", 0, "network", "Source rows", "Rows of the source merged into this segment") \
    X(MEMBERS, "merged_from", STR, "", 0, "network", "Merged from", "Ids of the source rows merged into this segment, upstream first") \
    X(UP_INDEX, "up_index", I32, "", 0, "network", "Upstream node number", "Internal node number")  \
    X(DOWN_INDEX, "down_index", I32, "", 0, "network", "Downstream node number", "Internal node number") \
    X(BEND_DEG, "bend_deg", F32, "deg", 1, "network", "Bend", "Sharpest bend: recorded, else between drawn vertices") \
    X(DEPTH_M, "depth_m", F32, "m", 2, "network", "Depth", "Mean depth from ground to invert")      \
    X(COVER_M, "cover_m", F32, "m", 2, "network", "Cover", "Mean depth from ground to crown")       \
    X(SLOPE, "slope_m_per_m", F32, "m/m", 5, "network", "Slope", "Slope used: from inverts and length, else recorded") \
    X(UPSTREAM_LENGTH_M, "upstream_length_m", F64, "m", 0, "network", "Upstream length", "Length of sewer draining through this segment, itself included; split evenly where flow divides, a loop counted whole") \
    X(IS_OUTLET, "is_outlet", BOOL, "", 0, "network", "Outlet", "Nothing is drawn downstream of it") \
    X(IN_LOOP, "in_loop", BOOL, "", 0, "network", "In a loop", "Part of a closed loop") \
    X(UPSTREAM_PEOPLE, "upstream_people", F32, "", 0, "position", "Upstream people", "People whose water passes this segment, counted as the upstream length; segments without a number add none") \
    X(UPSTREAM_FLOW, "upstream_flow_m3_per_s", F32, "m3/s", 4, "position", "Upstream flow", "Flow added along all that drains through this segment, counted as the upstream length; segments without a number add none") \
    X(CUT_OFF_LENGTH_M, "cut_off_length_m", F32, "m", 0, "position", "Cut-off length", "Length, itself included, that has no other way to any outlet of the drawn network when this segment fails; empty where nothing leads to an outlet") \
    X(CUT_OFF_PEOPLE, "cut_off_people", F32, "", 0, "position", "Cut-off people", "People served along the length cut off; segments without a number add none, empty where none has one") \
    X(CUT_OFF_FLOW, "cut_off_flow_m3_per_s", F32, "m3/s", 4, "position", "Cut-off flow", "Flow added along the length cut off; segments without a number add none, empty where none has one") \
    /* ---- condition ---- */                                                                      \
    X(CONDITION_BASIS, "condition_basis", CODE, "", 0, "condition", "Condition basis", "observed, inferred from its cohort, or none") \
    X(COHORT, "cohort", STR, "", 0, "condition", "Cohort", "Deterioration cohort of config/deterioration.csv") \
    X(INSPECTION_AGE, "inspection_age_years", F64, "years", 1, "derived", "Inspection age", "Years from the inspection to the date of the plan") \
    X(AGE, "age_years", F64, "years", 1, "derived", "Age", "Years since built or last lined")     \
    X(STRUCT_1, "structural_share_1", F32, "0-1", 4, "condition", "P(structural 1)", "Chance that the structural grade is 1 today") \
    X(STRUCT_2, "structural_share_2", F32, "0-1", 4, "condition", "P(structural 2)", "Chance that the structural grade is 2 today") \
    X(STRUCT_3, "structural_share_3", F32, "0-1", 4, "condition", "P(structural 3)", "Chance that the structural grade is 3 today") \
    X(STRUCT_4, "structural_share_4", F32, "0-1", 4, "condition", "P(structural 4)", "Chance that the structural grade is 4 today") \
    X(STRUCT_5, "structural_share_5", F32, "0-1", 4, "condition", "P(structural 5)", "Chance that the structural grade is 5 today") \
    X(GRADE_NOW, "structural_grade_now", F32, "1-5", 2, "condition", "Structural grade now", "Expected structural grade at the date of the plan") \
    X(SERVICE_NOW, "service_grade_now", F32, "1-5", 2, "condition", "Service grade now", "Expected service grade at the date of the plan") \
    X(TIGHT_NOW, "tightness_grade_now", F32, "1-5", 2, "condition", "Tightness grade now", "Expected tightness grade at the date of the plan") \
    X(CHANCE_STRUCTURAL, "failure_chance_structural_per_year", F32, "1/year", 5, "condition", "Collapse chance", "Chance of structural failure in the next year") \
    X(CHANCE_SERVICE, "failure_chance_service_per_year", F32, "1/year", 5, "condition", "Blockage chance", "Chance of service failure in the next year") \
    X(CHANCE_TIGHTNESS, "failure_chance_tightness_per_year", F32, "1/year", 5, "condition", "Leakage chance", "Chance of a tightness failure in the next year") \
    /* ---- consequence ---- */                                                                    \
    X(CONSEQUENCE_POINTS, "consequence_points", F32, "points", 1, "consequence", "Consequence points", "Sum of factor points") \
    X(CONSEQUENCE_MONEY, "consequence_money", F64, "money", 2, "consequence", "Consequence", "Cost of one structural failure: sum of the factor money") \
    X(CONSEQUENCE_SERVICE, "consequence_service_money", F64, "money", 2, "consequence", "Consequence, service", "Cost of one service failure (blockage)") \
    X(CONSEQUENCE_TIGHTNESS, "consequence_tightness_money", F64, "money", 2, "consequence", "Consequence, tightness", "Yearly cost while leaking: what one tightness failure costs") \
    X(CONSEQUENCE_LOW, "consequence_low_money", F32, "money", 0, "consequence", "Consequence, low", "Cost of one structural failure if every class with a fixed sum that cannot be told were the best case") \
    X(CONSEQUENCE_HIGH, "consequence_high_money", F32, "money", 0, "consequence", "Consequence, high", "Cost of one structural failure if every class with a fixed sum that cannot be told were the worst case") \
    /* ---- points scheme; only in plans that have one ---- */                                     \
    X(SCORE_LIKELIHOOD, "score_likelihood", F64, "points", 4, "score", "Likelihood score", "Score of the likelihood side of the points scheme") \
    X(SCORE_CONSEQUENCE, "score_consequence", F64, "points", 4, "score", "Consequence score", "Score of the consequence side of the points scheme") \
    X(SCORE, "score", F64, "points", 4, "score", "Score", "Score of the points scheme of the plan; not an expected loss") \
    X(SCORE_LOW, "score_low", F64, "points", 4, "score", "Score, low", "The score if every class with fixed points that cannot be told were the lowest") \
    X(SCORE_HIGH, "score_high", F64, "points", 4, "score", "Score, high", "The score if every class with fixed points that cannot be told were the highest") \
    X(CLASS_LIKELIHOOD, "likelihood_class", I32, "", 0, "score", "Likelihood class", "Class of the likelihood score by the fixed limits of the plan, 1 lowest") \
    X(CLASS_CONSEQUENCE, "consequence_class", I32, "", 0, "score", "Consequence class", "Class of the consequence score by the fixed limits of the plan, 1 lowest") \
    X(RANK_SCORE, "rank_score", I32, "", 0, "score", "Rank by score", "1 is the greatest score; equal scores go by expected loss, then by id") \
    /* ---- options ---- */                                                                        \
    X(CAPACITY, "capacity_m3_per_s", F32, "m3/s", 4, "options", "Capacity", "Full-flow capacity as it is, no allowance taken off; filled where a required flow is given") \
    X(FILL, "fill_share", F32, "0-1", 3, "options", "Filling", "Depth over height at the required flow; 1 when surcharged") \
    X(VELOCITY, "flow_velocity_m_per_s", F32, "m/s", 2, "options", "Velocity", "Mean velocity at the required flow") \
    X(SURCHARGED, "is_surcharged", BOOL, "", 0, "options", "Surcharged", "The required flow is more than it carries with a free surface") \
    X(SELF_CLEANSING, "is_self_cleansing", BOOL, "", 0, "options", "Self-cleansing", "The required flow reaches the least velocity of config/takeoff.csv") \
    X(NEW_WIDTH_MM, "replacement_width_mm", F32, "mm", 0, "options", "Replacement size", "Inside width of a new pipe in its place: the standard size like for like, or the one that the required flow needs") \
    X(METHOD, "method", CODE, "", 0, "options", "Chosen method", "Method chosen for this segment; a method id of the catalogue") \
    X(VERDICT, "method_verdict", CODE, "", 0, "options", "Verdict", "Verdict on the chosen method")  \
    X(BEST_LINING, "best_lining", CODE, "", 0, "options", "Best lining", "Lining of the greatest net benefit among those that fit, or fit after works") \
    X(BEST_REPLACEMENT, "best_replacement", CODE, "", 0, "options", "Best replacement", "Replacement of the greatest net benefit among those that fit, or fit after works") \
    X(RUNNER_UP, "runner_up", CODE, "", 0, "options", "Runner-up", "Second method by net benefit")  \
    X(COST, "cost", F64, "money", 2, "options", "Cost", "Estimate for the chosen method, works and mark-ups included, also where a contract sum is known") \
    X(COST_LOW, "cost_low", F64, "money", 2, "derived", "Cost low", "Low end of the estimate class") \
    X(COST_HIGH, "cost_high", F64, "money", 2, "derived", "Cost high", "High end of the estimate class") \
    X(LINING_COST, "lining_cost", F64, "money", 2, "options", "Lining cost", "Cost of the best lining") \
    X(REPLACEMENT_COST, "replacement_cost", F64, "money", 2, "options", "Replacement cost", "Cost of the best replacement") \
    X(SAVING, "saving", F32, "money", 0, "options", "Saving", "Cost to the horizon of the best method of the other kind less that of the chosen one") \
    X(YEARLY_COST, "yearly_cost", F64, "money/year", 2, "derived", "Yearly cost", "Equivalent annual cost of the chosen method over its life") \
    X(SPECIAL_DESIGN, "needs_special_design", BOOL, "", 0, "options", "Special design", "The chosen lining is outside the circular design method: a screening thickness only") \
    X(COST_INCOMPLETE, "cost_is_incomplete", BOOL, "", 0, "options", "Cost incomplete", "A quantity of the chosen method, such as laterals, is unknown and not priced") \
    X(WALL_MM, "wall_mm", F32, "mm", 1, "options", "Wall", "Wall thickness of the chosen lining")   \
    X(BORE_AFTER_MM, "bore_after_mm", F32, "mm", 0, "options", "Bore after", "Clear width after the chosen method") \
    X(CAPACITY_RATIO, "capacity_ratio", F32, "-", 3, "options", "Capacity ratio", "Full-flow capacity after over before, chosen method") \
    /* ---- risk ---- */                                                                           \
    X(LOSS_NOW, "expected_loss_per_year", F64, "money/year", 2, "risk", "Expected loss", "Expected loss in the next year if nothing is done") \
    X(LOSS_HORIZON, "expected_loss_horizon", F32, "money", 0, "risk", "Loss to horizon", "Present value of the expected loss to the horizon if nothing is done") \
    X(LOSS_AVOIDED, "loss_avoided", F64, "money", 2, "options", "Loss avoided", "Present value of the loss that the chosen method avoids when done in the first year") \
    X(LOSS_AVOIDED_PER_COST, "loss_avoided_per_cost", F64, "-", 4, "derived", "Loss avoided per cost", "Loss avoided over the cost of the chosen method") \
    X(DEFAULT_SHARE, "default_share", F32, "0-1", 3, "risk", "On defaults", "Part of the expected loss whose cost rests on a default of the plan or on the class for values not known; empty above 100,000 segments") \
    X(UNSEEN_SHARE, "unseen_share", F32, "0-1", 3, "risk", "On unseen grades", "Part of the expected loss whose chance rests on a grade that was not observed; empty above 100,000 segments") \
    X(RANK_RISK, "rank_risk", I32, "", 0, "risk", "Rank by risk", "1 is the greatest expected loss now") \
    X(RANK_VALUE, "rank_value", I32, "", 0, "risk", "Rank by value", "1 is the most loss avoided per money") \
    X(RANK_LOW, "rank_best_case", I32, "", 0, "risk", "Rank, best case", "Rank by risk if every missing value were the best one") \
    X(RANK_HIGH, "rank_worst_case", I32, "", 0, "risk", "Rank, worst case", "Rank by risk if every missing value were the worst one") \
    X(PRIORITY, "priority", I32, "", 0, "risk", "Priority", "1 is first; the plan says which rank it follows") \
    X(PRIORITY_COMPUTED, "priority_computed", I32, "", 0, "run", "Computed priority", "Place by the rule, where a person set another; empty for all others") \
    X(ACT_NOW, "act_now_rule", CODE, "", 0, "risk", "Act now", "Act-now rule that holds, if any")   \
    /* ---- programme ---- */                                                                      \
    X(PROGRAMME, "programme", CODE, "", 0, "programme", "Programme", "funded, committed, unfunded, no work, or no method: nothing fits or can be told, and waiting is not offered") \
    X(YEAR, "year", I32, "", 0, "programme", "Year", "Year of the programme; empty when unfunded")  \
    X(PROJECT, "project_id", I32, "", 0, "programme", "Project", "Project the segment belongs to") \
    X(PAVING_YEAR, "paving_year", I32, "", 0, "run", "Paving year", "Year in which the street is to be paved") \
    X(OVERRIDDEN, "is_overridden", BOOL, "", 0, "run", "Overridden", "A person changed a value of this segment; see the overrides table")

#endif

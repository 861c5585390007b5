/* plan/plan_keys.c - the table of keys. How it is applied: plan_block.c. */
#include "plan/plan_keys.h"

#include "plan/plan_parts.h"

#define NOWHERE            SIZE_MAX
#define IN_PLAN(member)    offsetof(hn_plan, member)
#define IN_SOURCE(member)  offsetof(hn_source, member)
#define IN_CONTEXT(member) offsetof(hn_context_layer, member)
#define IN_CONFIG(member)  offsetof(hn_config_keys, member)
#define IN_SIDE(member)    offsetof(hn_score_side, member)
#define IN_FIELD(member)   offsetof(hn_field_map, member)

#define LOCAL_RULE "local rule"
#define DESIGN_EXAMPLE \
    "worked example after ASTM F1216 X1 in M. Najafi, Trenchless Technology Piping (2010)"
#define SHEET_A110 "operational roughness of German sheet A 110, from memory"
#define AACE       "AACE International 18R-97, outer bounds of the class (from memory)"

/* One row a key: block, name, type, required, low, high, choices, default,
 * unit, source of the default, meaning, place in the struct. */
#define TEXT(block, name, required, meaning, offset)                                      \
    {                                                                                     \
        block, name, HN_KEY_TEXT, required, 0, 0, NULL, NULL, NULL, NULL, meaning, offset \
    }
#define LABEL(block, name, required, meaning, offset)                                      \
    {                                                                                      \
        block, name, HN_KEY_LABEL, required, 0, 0, NULL, NULL, NULL, NULL, meaning, offset \
    }
#define NUMBER(block, name, low, high, preset, unit, source, meaning, offset)                 \
    {                                                                                         \
        block, name, HN_KEY_NUMBER, 0, low, high, NULL, preset, unit, source, meaning, offset \
    }
#define WHOLE(block, name, low, high, preset, unit, source, meaning, offset)               \
    {                                                                                      \
        block, name, HN_KEY_INT, 0, low, high, NULL, preset, unit, source, meaning, offset \
    }
#define YES_NO(block, name, preset, source, meaning, offset)                             \
    {                                                                                    \
        block, name, HN_KEY_YES_NO, 0, 0, 1, NULL, preset, NULL, source, meaning, offset \
    }
#define CHOICE(block, name, choices, preset, source, meaning, offset)                       \
    {                                                                                       \
        block, name, HN_KEY_CHOICE, 0, 0, 0, choices, preset, NULL, source, meaning, offset \
    }
#define WORD(block, name, choices, preset, source, meaning, offset)                       \
    {                                                                                     \
        block, name, HN_KEY_WORD, 0, 0, 0, choices, preset, NULL, source, meaning, offset \
    }
#define BLOCK(block, name, required, meaning)                                               \
    {                                                                                       \
        block, name, HN_KEY_BLOCK, required, 0, 0, NULL, NULL, NULL, NULL, meaning, NOWHERE \
    }

static const hn_plan_key keys[] = {
    LABEL("", "title", 1, "title of the report", IN_PLAN(title)),
    LABEL("", "prepared_by", 0, "who made the plan", IN_PLAN(prepared_by)),
    {"", "as_of", HN_KEY_DATE, 1, 0, 0, NULL, NULL, NULL, NULL, "date of the assessment",
     IN_PLAN(as_of)},
    LABEL("", "currency", 1, "three letters or a word", IN_PLAN(currency)),
    CHOICE("", "units", "si|us", "si", NULL, "units of the outputs", IN_PLAN(units_us)),
    BLOCK("", "network", 1, "the sewer lines"),
    BLOCK("", "nodes", 0, "manholes as points"),
    BLOCK("", "inspections", 0, "list of inspection tables"),
    BLOCK("", "observations", 0, "list of observation tables"),
    BLOCK("", "works", 0, "linked works and commitments"),
    BLOCK("", "context", 0, "layers whose nearness counts"),
    BLOCK("", "network_rules", 0, "how lines become a network"),
    BLOCK("", "grading", 0, "grades from observations"),
    BLOCK("", "design", 0, "loads and wall design"),
    BLOCK("", "defaults", 0, "values for missing data"),
    BLOCK("", "money", 0, "discounting and estimate range"),
    BLOCK("", "risk", 0, "a points scheme beside the money"),
    BLOCK("", "programme", 1, "years and budgets"),
    BLOCK("", "config", 0, "where the tables lie"),
    BLOCK("", "output", 1, "what is written, and where"),

    TEXT("source", "from", 1, "file or OGR connection string", IN_SOURCE(from)),
    TEXT("source", "layer", 0, "layer, when there are several", IN_SOURCE(layer)),
    TEXT("source", "where", 0, "rows to read, SQL of the source", IN_SOURCE(where)),
    TEXT("source", "crs", 0, "supplies or overrides the CRS", IN_SOURCE(crs)),
    BLOCK("source", "fields", 1, "which field fills which role"),

    TEXT("observations", "from", 1, "file or OGR connection string", IN_SOURCE(from)),
    CHOICE("observations", "format", "auto|table|exchange_text", "auto", NULL,
           "a table, or a text in the exchange form of EN 13508-2; auto looks at the file",
           IN_SOURCE(format)),
    LABEL("observations", "code_set", 0, "set of config/observation_codes.csv; else EN 13508-2",
          IN_SOURCE(code_set)),
    TEXT("observations", "layer", 0, "layer, when there are several", IN_SOURCE(layer)),
    TEXT("observations", "where", 0, "rows to read, SQL of the source", IN_SOURCE(where)),
    BLOCK("observations", "fields", 0, "which field fills which role; not for exchange text"),

    LABEL("grading", "scheme", 0, "scheme of config/roll_up.csv whose grades count; else local",
          IN_PLAN(grading_scheme)),
    YES_NO("grading", "replace_recorded", "no", LOCAL_RULE,
           "grades from observations replace recorded grades", IN_PLAN(replace_recorded)),
    WHOLE("grading", "observations_shown", 1, 1000, "5", NULL, LOCAL_RULE,
          "worst observations of a segment shown in a large network", IN_PLAN(observations_shown)),
    WHOLE("grading", "all_shown_up_to", 0, 2000000000, "100000", "segments", LOCAL_RULE,
          "up to so many segments, every observation is shown", IN_PLAN(observations_all_up_to)),

    TEXT("context", "from", 1, "file or OGR connection string", IN_CONTEXT(source.from)),
    TEXT("context", "layer", 0, "layer, when there are several", IN_CONTEXT(source.layer)),
    TEXT("context", "where", 0, "rows to read, SQL of the source", IN_CONTEXT(source.where)),
    TEXT("context", "crs", 0, "supplies or overrides the CRS", IN_CONTEXT(source.crs)),
    NUMBER("context", "search_m", 0.1, 100000, "50", "m", LOCAL_RULE,
           "distances beyond it read as none near", IN_CONTEXT(search_m)),

    TEXT("field", "field", 0, "field of the source", IN_FIELD(field)),
    TEXT("field", "value", 0, "the same for every row, instead of a field", IN_FIELD(constant)),
    LABEL("field", "unit", 0, "unit of the numbers", IN_FIELD(unit)),
    TEXT("field", "pattern", 0, "regular expression; its first group is the value",
         IN_FIELD(pattern)),
    BLOCK("field", "missing", 0, "values that mean missing"),
    BLOCK("field", "values", 0, "source value: our value"),
    TEXT("field", "other", 0, "what values outside the map become", IN_FIELD(other)),
    NUMBER("field", "best", -1e6, 1e6, NULL, NULL, NULL, "grade of the best condition",
           IN_FIELD(best)),
    NUMBER("field", "worst", -1e6, 1e6, NULL, NULL, NULL, "grade of the worst condition",
           IN_FIELD(worst)),
    CHOICE("field", "date", "auto|iso|year|epoch_ms", "auto", NULL, "how dates are written",
           IN_FIELD(date_format)),

    NUMBER("network_rules", "snap_m", 0, 100, "0.5", "m", LOCAL_RULE,
           "line ends closer than this meet", IN_PLAN(snap_m)),
    YES_NO("network_rules", "merge_fragments", "yes", LOCAL_RULE,
           "pieces between manholes become one segment", IN_PLAN(merge_fragments)),
    NUMBER("network_rules", "fragment_m", 0, 1000, "2.0", "m", LOCAL_RULE,
           "without node ids, only pieces shorter than this are merged", IN_PLAN(fragment_m)),
    CHOICE("network_rules", "length_rule", "geometry|recorded", "geometry", LOCAL_RULE,
           "which length wins when they differ", IN_PLAN(length_rule)),
    NUMBER("network_rules", "length_tolerance_pct", 0, 1000, "10", "%", LOCAL_RULE,
           "lengths differ when beyond both tolerances", IN_PLAN(length_tolerance_pct)),
    NUMBER("network_rules", "length_tolerance_m", 0, 1000, "2.0", "m", LOCAL_RULE,
           "lengths differ when beyond both tolerances", IN_PLAN(length_tolerance_m)),

    NUMBER("design", "soil_weight_kn_per_m3", 5, 30, "18.85", "kN/m3", DESIGN_EXAMPLE,
           "weight of the soil above the pipe (120 lb/ft3)", IN_PLAN(design.soil_weight_kn_per_m3)),
    NUMBER("design", "soil_modulus_mpa", 0.1, 100, "6.895", "MPa", DESIGN_EXAMPLE,
           "modulus of soil reaction E's (1,000 psi)", IN_PLAN(design.soil_modulus_mpa)),
    NUMBER("design", "safety_factor", 1, 10, "2.0", NULL, DESIGN_EXAMPLE, "factor of safety N",
           IN_PLAN(design.safety_factor)),
    NUMBER("design", "enhancement", 1, 20, "7", NULL, DESIGN_EXAMPLE,
           "enhancement factor K of the host pipe", IN_PLAN(design.enhancement)),
    NUMBER("design", "ovality_default_pct", 0, 30, "2", "%", DESIGN_EXAMPLE,
           "ovality where none is recorded", IN_PLAN(design.ovality_default_pct)),
    NUMBER("design", "groundwater_default_share", 0, 1, "0.5", "share of depth", LOCAL_RULE,
           "head above the invert where none is recorded",
           IN_PLAN(design.groundwater_default_share)),
    WHOLE("design", "fully_deteriorated_from_grade", 1, 5, "4", "grade", LOCAL_RULE,
          "from this structural grade on, the wall carries all loads",
          IN_PLAN(design.fully_deteriorated_from_grade)),
    CHOICE("design", "liner_edition", "since_2007b|before_2007b", "since_2007b",
           "ASTM F1216-07b changed the ovality term of X1.3 in June 2007: M. Najafi, Trenchless "
           "Technology Piping (2010), p. 75; the older form from memory",
           "edition of ASTM F1216 whose X1.3 the walls follow", IN_PLAN(design.liner_edition)),
    CHOICE("design", "flow_law", "manning|colebrook", "manning", LOCAL_RULE,
           "law of flow; Colebrook-White takes the two roughness values below",
           IN_PLAN(design.flow_law)),
    NUMBER("design", "roughness_before_mm", 0, 20, "1.5", "mm", SHEET_A110,
           "roughness k of the host, for Colebrook-White", IN_PLAN(design.roughness_before_mm)),
    NUMBER("design", "roughness_after_mm", 0, 20, "0.75", "mm", SHEET_A110,
           "roughness k of linings and new pipes, for Colebrook-White",
           IN_PLAN(design.roughness_after_mm)),

    NUMBER("money", "discount_pct", 0, 30, "3.0", "% a year", LOCAL_RULE, "real discount rate",
           IN_PLAN(discount_pct)),
    WHOLE("money", "horizon_years", 1, 200, "50", "years", LOCAL_RULE,
          "years over which costs and losses count", IN_PLAN(horizon_years)),
    WORD("money", "estimate_class", "5|4|3|2|1", "5", AACE, "class of the cost estimate",
         IN_PLAN(estimate_class)),
    NUMBER("money", "estimate_low_pct", -100, 0, NULL, "%", NULL,
           "low end; from the class unless given", IN_PLAN(estimate_low_pct)),
    NUMBER("money", "estimate_high_pct", 0, 1000, NULL, "%", NULL,
           "high end; from the class unless given", IN_PLAN(estimate_high_pct)),
    CHOICE("money", "rounding", "none|end|each_step", "none", LOCAL_RULE,
           "where amounts are rounded", IN_PLAN(rounding)),
    NUMBER("money", "rounding_step", 0.01, 1e9, "1", "money", LOCAL_RULE,
           "amounts become multiples of it", IN_PLAN(rounding_step)),
    YES_NO("money", "residual_value", "yes", LOCAL_RULE,
           "the straight-line value of unused life at the horizon is credited",
           IN_PLAN(residual_value)),
    NUMBER("money", "price_index", 0.01, 100, "1.0", NULL, LOCAL_RULE,
           "price level of the plan over that of the rates", IN_PLAN(price_index)),
    NUMBER("money", "capacity_loss_limit_pct", 0, 100, "10", "%", LOCAL_RULE,
           "a greater loss of capacity is a warning", IN_PLAN(capacity_loss_limit_pct)),

    WHOLE("programme", "first_year", 1900, 2200, NULL, "year", NULL,
          "first year; the year of as_of unless given", IN_PLAN(first_year)),
    BLOCK("programme", "budgets", 0, "one amount a year"),
    NUMBER("programme", "level_budget", 0, 1e15, NULL, "money", NULL,
           "the same amount every year, instead of budgets", NOWHERE),
    WHOLE("programme", "years", 1, 100, NULL, "years", NULL, "how many years", IN_PLAN(years)),
    NUMBER("programme", "carry_over_share", 0, 1, "0", "share of a year's budget", LOCAL_RULE,
           "what may be carried to the next year", IN_PLAN(carry_over_share)),
    CHOICE("programme", "priority", "risk|value|score", "risk", LOCAL_RULE,
           "which rank is followed", IN_PLAN(priority)),

    CHOICE("risk", "scheme", "money|additive|multiplicative|matrix", "money", NULL,
           "how likelihood and consequence of config/scoring.csv make a score; money: no score",
           IN_PLAN(risk_scheme)),
    BLOCK("risk", "likelihood", 0, "how the factors of the likelihood are put together"),
    BLOCK("risk", "consequence", 0, "how the factors of the consequence are put together"),
    CHOICE("side", "combine", "sum|product", "sum", NULL, "how the factors are put together",
           IN_SIDE(combine)),
    NUMBER("side", "least", -1e9, 1e9, NULL, NULL, NULL, "the score is not below", IN_SIDE(least)),
    NUMBER("side", "most", -1e9, 1e9, NULL, NULL, NULL, "the score is not above", IN_SIDE(most)),
    BLOCK("side", "class_from", 0, "least scores of classes 2, 3, ..."),

    TEXT("config", "folder", 0, "where the tables lie; else those shipped with haunch",
         IN_CONFIG(folder)),
#define CONFIG_KEY(table) TEXT("config", #table, 0, "file of the table", IN_CONFIG(paths.table)),
    HN_CONFIG_TABLE_LIST(CONFIG_KEY)
#undef CONFIG_KEY

        TEXT("default", "value", 1, "value where the data have none",
             offsetof(hn_default_text, value)),
    LABEL("default", "source", 1, "where the value comes from, or: local rule",
          offsetof(hn_default_text, source)),

    TEXT("output", "folder", 1, "folder of the results", IN_PLAN(output_folder)),
    CHOICE("output", "options", "deciding|all", "deciding", NULL, "rows of the options table",
           IN_PLAN(options_detail)),
    CHOICE("output", "score_parts", "deciding|all", "deciding", NULL, "rows of the score table",
           IN_PLAN(score_detail)),
    YES_NO("output", "csv", "yes", NULL, "write CSV tables", IN_PLAN(write_csv)),
    YES_NO("output", "loss_avoided_by_year", "no", NULL,
           "write what waiting costs, by segment and year", IN_PLAN(write_waiting)),
    YES_NO("output", "xlsx", "yes", NULL, "write a workbook", IN_PLAN(write_xlsx)),
    CHOICE("output", "sensitivity", "auto|yes|no", "auto", NULL,
           "vary each weight and parameter; auto: up to 20,000 segments", IN_PLAN(sensitivity)),
    WHOLE("output", "sensitivity_years", 1, 100, NULL, "years", NULL,
          "first years of the programme that are compared; else 5, or all when it has fewer",
          IN_PLAN(sensitivity_years)),
};

const hn_plan_key *hn_plan_keys(size_t *count)
{
    *count = sizeof keys / sizeof keys[0];
    return keys;
}

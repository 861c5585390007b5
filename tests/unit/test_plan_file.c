/* unit/test_plan_file.c - good plans, and many bad ones: each message must
 * hold the place, the key and a way out. */
#include "base/alloc.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"
#include "test_util.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define HEAD      "title: Plan\nas_of: 2026-07-02\ncurrency: EUR\n"
#define NETWORK   "network:\n  from: net.gpkg\n  fields:\n    segment_id: ID\n"
#define PROGRAMME "programme: {level_budget: 500000, years: 3}\n"
#define OUTPUT    "output: {folder: out}\n"
#define REST      PROGRAMME OUTPUT
#define GOOD      HEAD NETWORK REST

static hn_error err;

static hn_status read_text(const char *text, hn_plan **plan)
{
    memset(&err, 0, sizeof err);
    return hn_plan_read_bytes("jobs/plan.yaml", (const unsigned char *)text, strlen(text), plan,
                              &err);
}

static hn_plan *accepted(const char *text)
{
    hn_plan *plan;

    if (read_text(text, &plan) != HN_OK)
        fail_msg("refused: %s (%s)", err.message, err.hint);
    return plan;
}

/* `place` is "line:column". */
static void refused(const char *text, const char *place, const char *message, const char *hint)
{
    char where[64];
    hn_plan *plan;

    snprintf(where, sizeof where, "jobs/plan.yaml:%s: ", place);
    if (read_text(text, &plan) != HN_ERR_PLAN)
        fail_msg("not refused: %s", text);
    assert_null(plan);
    if (strncmp(err.message, where, strlen(where)) != 0 || !strstr(err.message, message))
        fail_msg("\"%s\" should begin with \"%s\" and hold \"%s\"", err.message, where, message);
    if (!strstr(err.hint, hint))
        fail_msg("the hint \"%s\" should hold \"%s\"", err.hint, hint);
}

static const hn_assumption *assumption(const hn_plan *plan, const char *what)
{
    for (size_t i = 0; i < plan->assumption_count; i++)
        if (strcmp(plan->assumptions[i].what, what) == 0)
            return &plan->assumptions[i];
    return NULL;
}

/* ---- what a plan says ---- */

static void a_small_plan_gets_all_defaults(void **state)
{
    hn_plan *plan = accepted(GOOD);

    (void)state;
    assert_string_equal(plan->title, "Plan");
    assert_null(plan->prepared_by);
    assert_int_equal(plan->units_us, 0);
    assert_int_equal(plan->as_of, 20636); /* date -d 2026-07-02 +%s / 86400 */
    assert_close(plan->as_of_year, 2026 + 182.0 / 365.0, 1e-15); /* the 183rd day of 365 */
    assert_string_equal(plan->network.from, "jobs/net.gpkg");
    assert_string_equal(plan->network.key, "network");
    assert_int_equal(plan->network.place.line, 4);
    assert_null(plan->network.layer);
    assert_string_equal(plan->output_folder, "jobs/out");
    assert_close(plan->snap_m, 0.5, 0);
    assert_int_equal(plan->merge_fragments, 1);
    assert_int_equal(plan->length_rule, HN_LENGTH_USE_GEOMETRY);
    assert_close(plan->design.soil_weight_kn_per_m3, 18.85, 0);
    assert_close(plan->design.enhancement, 7, 0);
    assert_int_equal(plan->design.fully_deteriorated_from_grade, 4);
    assert_close(plan->discount_pct, 3, 0);
    assert_int_equal(plan->horizon_years, 50);
    assert_close(plan->estimate_low_pct, -50, 0);
    assert_close(plan->estimate_high_pct, 100, 0);
    assert_int_equal(plan->rounding, HN_ROUND_NONE);
    assert_int_equal(plan->first_year, 2026);
    assert_int_equal(plan->years, 3);
    assert_int_equal(plan->budgets[2].year, 2028);
    assert_close(plan->budgets[2].amount, 500000, 0);
    assert_close(plan->carry_over_share + 1, 1, 0);
    assert_int_equal(plan->priority, HN_PRIORITY_RISK);
    assert_int_equal(plan->write_csv, 1);
    assert_int_equal(plan->has_nodes + plan->has_works, 0);
    hn_plan_free(plan);
}

static void keys_left_out_are_listed_as_assumptions(void **state)
{
    hn_plan *plan = accepted(GOOD);

    (void)state;
    assert_string_equal(assumption(plan, "money.discount_pct")->value, "3.0 % a year");
    assert_string_equal(assumption(plan, "money.discount_pct")->source, "local rule");
    assert_non_null(strstr(assumption(plan, "money.estimate_low_pct")->source, "18R-97"));
    assert_string_equal(assumption(plan, "money.estimate_high_pct")->value, "+100 %");
    assert_non_null(assumption(plan, "network_rules.snap_m"));
    assert_null(assumption(plan, "title"));
    hn_plan_free(plan);
    plan =
        accepted(GOOD "money: {discount_pct: 2.5, estimate_class: \"3\", estimate_high_pct: 25}\n");
    assert_null(assumption(plan, "money.discount_pct"));
    assert_null(assumption(plan, "money.estimate_class"));
    assert_null(assumption(plan, "money.estimate_high_pct"));
    assert_string_equal(assumption(plan, "money.estimate_low_pct")->value, "-20 %");
    assert_close(plan->estimate_low_pct, -20, 0);
    assert_close(plan->estimate_high_pct, 25, 0);
    hn_plan_free(plan);
}

/* Outer bounds of AACE 18R-97. */
static void an_estimate_class_sets_both_ends(void **state)
{
    static const double ends[5][2] = {{-10, 15}, {-15, 20}, {-20, 30}, {-30, 50}, {-50, 100}};
    char text[600];

    (void)state;
    for (int class = 1; class <= 5; class ++) {
        hn_plan *plan;

        snprintf(text, sizeof text, GOOD "money: {estimate_class: %d}\n", class);
        plan = accepted(text);
        assert_close(plan->estimate_low_pct, ends[class - 1][0], 0);
        assert_close(plan->estimate_high_pct, ends[class - 1][1], 0);
        hn_plan_free(plan);
    }
}

static void fields_carry_units_maps_and_places(void **state)
{
    hn_plan *plan = accepted(
        HEAD
        "network:\n  from: net.gpkg\n  layer: sewers\n  where: \"status = 'in use'\"\n"
        "  crs: EPSG:25832\n  fields:\n    segment_id: ID\n"
        "    width: {field: DN, unit: in, missing: [0, -99]}\n"
        "    material: {field: MAT, values: {VC: vitrified clay, CO: concrete}, other: unknown}\n"
        "    shape: {value: egg}\n"
        "    depth_up: {field: D, pattern: \"([0-9.]+) *m\", unit: m}\n"
        "    year_built: {field: Y, date: epoch_ms}\n"
        "    grade_structural: {field: COND, best: 5, worst: 0, missing: 9}\n" REST);
    const hn_field_map *map;

    (void)state;
    assert_int_equal(plan->network.field_count, 7);
    assert_string_equal(plan->network.where, "status = 'in use'");
    map = hn_source_find(&plan->network, "width");
    assert_string_equal(map->field, "DN");
    assert_close(map->unit_factor, 25.4, 1e-15);
    assert_int_equal(map->missing_count, 2);
    assert_string_equal(map->missing[1], "-99");
    assert_int_equal(map->place.line, 11);
    assert_int_equal(map->place.column, 5);
    map = hn_source_find(&plan->network, "material");
    assert_int_equal(map->value_count, 2);
    assert_string_equal(map->values[1].from, "CO");
    assert_string_equal(map->values[1].to, "concrete");
    assert_string_equal(map->other, ""); /* unknown reads as missing */
    assert_string_equal(hn_source_find(&plan->network, "shape")->constant, "egg");
    assert_non_null(hn_source_find(&plan->network, "depth_up")->pattern);
    assert_int_equal(hn_source_find(&plan->network, "year_built")->date_format, HN_DATE_EPOCH_MS);
    map = hn_source_find(&plan->network, "grade_structural");
    assert_int_equal(map->has_scale, 1);
    assert_close(map->best, 5, 0);
    assert_close(map->worst + 1, 1, 0);
    assert_string_equal(map->missing[0], "9");
    hn_plan_free(plan);
}

static void all_kinds_of_sources_are_read(void **state)
{
    hn_plan *plan = accepted(
        GOOD
        "nodes: {from: /data/n.gpkg, fields: {node_id: MH, ground: {field: RIM, unit: ft}}}\n"
        "inspections:\n  - from: a.csv\n    fields: {segment_id: P, complete: {field: S, values: "
        "{ok: yes}}}\n  - from: b.csv\n    fields: {up_node: F, down_node: T, length_seen: "
        "{field: L, unit: m}}\n"
        "works: {from: 'PG:dbname=x', fields: {street: S, year: Y, kind: {value: paving}}}\n"
        "context:\n  rail: {from: c.gpkg, layer: rail, search_m: 80}\n  water_2: {from: "
        "/vsizip/c.zip}\n");

    (void)state;
    assert_int_equal(plan->has_nodes, 1);
    assert_string_equal(plan->nodes.from, "/data/n.gpkg");
    assert_close(hn_source_find(&plan->nodes, "ground")->unit_factor, 0.3048, 1e-15);
    assert_int_equal(plan->inspection_count, 2);
    assert_string_equal(plan->inspections[1].key, "inspections[2]");
    assert_string_equal(plan->inspections[1].from, "jobs/b.csv");
    assert_string_equal(plan->works.from, "PG:dbname=x");
    assert_int_equal(plan->context_count, 2);
    assert_string_equal(plan->context[0].name, "rail");
    assert_close(plan->context[0].search_m, 80, 0);
    assert_string_equal(plan->context[1].source.from, "/vsizip/c.zip");
    assert_string_equal(plan->context[1].source.key, "context.water_2");
    assert_close(plan->context[1].search_m, 50, 0);
    assert_non_null(assumption(plan, "context.water_2.search_m"));
    assert_null(assumption(plan, "context.rail.search_m"));
    hn_plan_free(plan);
}

static void budgets_come_as_a_list_by_year_or_level(void **state)
{
    hn_plan *plan =
        accepted(HEAD NETWORK OUTPUT
                 "programme: {first_year: 2028, budgets: [5, 0, 7.5], carry_over_share: 0.1,"
                 " priority: value}\n");

    (void)state;
    assert_int_equal(plan->years, 3);
    assert_int_equal(plan->budgets[0].year, 2028);
    assert_close(plan->budgets[2].amount, 7.5, 0);
    assert_close(plan->budgets[1].amount + 1, 1, 0);
    assert_int_equal(plan->priority, HN_PRIORITY_VALUE);
    hn_plan_free(plan);
    plan = accepted(HEAD NETWORK OUTPUT "programme: {budgets: {2028: 8, 2026: 6, 2027: 7}}\n");
    assert_int_equal(plan->first_year, 2026);
    assert_int_equal(plan->years, 3);
    assert_close(plan->budgets[2].amount, 8, 0);
    hn_plan_free(plan);
}

static void defaults_name_columns_and_sources(void **state)
{
    hn_plan *plan =
        accepted(GOOD "defaults:\n  soil: {value: mixed, source: local rule}\n"
                      "  groundwater_above_invert_m: {value: 1.0, source: survey of 2019}\n"
                      "  shape: {value: egg, source: local rule}\n");

    (void)state;
    assert_int_equal(plan->default_count, 3);
    assert_int_equal(plan->defaults[0].column, HN_COL_SOIL);
    assert_string_equal(plan->defaults[0].text, "mixed");
    assert_close(plan->defaults[1].number, 1, 0);
    assert_string_equal(plan->defaults[1].source, "survey of 2019");
    assert_int_equal(plan->defaults[1].place.line, 12);
    assert_close(plan->defaults[2].number, HN_SHAPE_EGG, 0);
    hn_plan_free(plan);
}

/* ---- what is refused ---- */

static void unknown_keys_are_refused_with_the_nearest(void **state)
{
    (void)state;
    refused(GOOD "mony: {discount_pct: 3}\n", "10:1", "unknown key `mony`", "`money`");
    refused(GOOD "money: {discount: 3}\n", "10:9", "unknown key `discount` in money",
            "discount_pct");
    refused(GOOD "money:\n  discont_pct: 3\n", "11:3", "`discont_pct`",
            "did you mean `discount_pct`");
    refused(HEAD "network:\n  frm: a\n" REST, "5:3", "unknown key `frm` in network", "`from`");
    refused(GOOD "zzzzzz: 1\n", "10:1", "unknown key `zzzzzz`", "accepted here: title");
    refused(GOOD "config: {ratess: a.csv}\n", "10:10", "`ratess`", "`rates`");
    refused(HEAD NETWORK "    width: {feld: DN, unit: mm}\n" REST, "8:13",
            "unknown key `feld` in network.fields.width", "`field`");
    refused(GOOD "context: {rail: {from: a, serch_m: 5}}\n", "10:27", "`serch_m`", "`search_m`");
    refused(GOOD "defaults: {soil: {value: a, sorce: b}}\n", "10:29", "`sorce`", "`source`");
}

static void a_key_in_the_wrong_block_is_sent_to_its_own(void **state)
{
    (void)state;
    refused(GOOD "snap_m: 1\n", "10:1", "`snap_m`", "belongs under `network_rules:`");
    refused(GOOD "design: {discount_pct: 1}\n", "10:10", "`discount_pct`",
            "belongs under `money:`");
    refused(GOOD "money: {currency: EUR}\n", "10:9", "`currency`", "left margin");
}

static void unknown_roles_are_refused_with_the_nearest(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    widht: DN\n" REST, "8:5", "unknown field role `widht`", "`width`");
    refused(HEAD NETWORK "    node_id: DN\n" REST, "8:5", "network.fields", "accepted: segment_id");
    refused(GOOD "nodes: {from: a, fields: {node: B}}\n", "10:27", "`node` in nodes.fields",
            "node_id");
}

static void required_keys_are_missed(void **state)
{
    (void)state;
    refused("as_of: 2026-01-01\ncurrency: EUR\n" NETWORK REST, "1:1", "title is missing",
            "`title:`");
    refused("title: A\ncurrency: EUR\n" NETWORK REST, "1:1", "as_of is missing", "2026-01-31");
    refused(HEAD REST, "1:1", "network is missing", "`network:`");
    refused(HEAD NETWORK PROGRAMME, "1:1", "output is missing", "`output:`");
    refused(HEAD NETWORK OUTPUT, "1:1", "programme is missing", "`programme:`");
    refused(HEAD NETWORK PROGRAMME "output: {csv: yes}\n", "9:9", "output.folder is missing",
            "folder");
    refused(HEAD "network: {fields: {segment_id: A}}\n" REST, "4:10", "network.from is missing",
            "from");
    refused(HEAD "network: {from: a}\n" REST, "4:10", "network.fields is missing", "fields");
    refused(HEAD "network: {from: a, fields: {street: S}}\n" REST, "4:28",
            "does not map segment_id", "segment_id: FIELD_NAME");
    refused(GOOD "nodes: {from: a, fields: {ground: {field: G, unit: m}}}\n", "10:26",
            "does not map node_id", "node_id");
    refused(GOOD "works: {from: a, fields: {kind: K}}\n", "10:26", "does not map year", "year");
    refused(GOOD "inspections: [{from: a, fields: {up_node: U}}]\n", "10:33",
            "segment_id, nor both", "segment_id");
    refused(GOOD "defaults: {soil: {value: a}}\n", "10:18", "defaults.soil.source is missing",
            "source");
}

static void wrong_types_are_refused_with_the_value(void **state)
{
    (void)state;
    refused(GOOD "money: {discount_pct: three}\n", "10:23",
            "money.discount_pct is `three`: not a number", "number from 0 to 30, in % a year");
    refused(GOOD "money: {discount_pct: \"3,5\"}\n", "10:23", "without separators", "accepted");
    refused(GOOD "money: {rounding_step: 0x10}\n", "10:24", "not a number", "accepted");
    refused(GOOD "money: {discount_pct: nan}\n", "10:23", "not a number", "accepted");
    refused(GOOD "money: {horizon_years: 50.5}\n", "10:24", "not a whole number", "1 to 200");
    refused(GOOD "money: {discount_pct: [3]}\n", "10:23", "money.discount_pct is a list", "number");
    refused(GOOD "money: {discount_pct: {a: 3}}\n", "10:23", "is a block of keys", "number");
    refused(GOOD "money: {discount_pct: }\n", "10:23", "money.discount_pct is empty",
            "remove the line");
    refused(GOOD "money: 3\n", "10:8", "money is `3`", "indented under it");
    refused(GOOD "money: {rounding: sometimes}\n", "10:19", "not one of the choices",
            "one of none end each_step");
    refused(GOOD "money: {estimate_class: 6}\n", "10:25", "not one of the choices", "5 4 3 2 1");
    refused(GOOD "network_rules: {merge_fragments: maybe}\n", "10:34", "neither yes nor no",
            "yes or no");
    refused(GOOD "network: \n", "10:1", "given twice", "keep one");
    refused("title: [a]\nas_of: 2026-01-01\ncurrency: E\n" NETWORK REST, "1:8", "title is a list",
            "text");
    refused("title: \"a\\nb\"\nas_of: 2026-01-01\ncurrency: E\n" NETWORK REST, "1:8", "line breaks",
            "one line");
    refused("title: a\nas_of: 2026-01-01\ncurrency: a lot of it\n" NETWORK REST, "3:11", "currency",
            "three letters");
}

static void numbers_out_of_range_are_refused_with_the_range(void **state)
{
    (void)state;
    refused(GOOD "money: {discount_pct: -1}\n", "10:23", "out of range", "from 0 to 30");
    refused(GOOD "money: {horizon_years: 0}\n", "10:24", "out of range", "from 1 to 200");
    refused(GOOD "design: {safety_factor: 0.5}\n", "10:25", "out of range", "from 1 to 10");
    refused(GOOD "context: {rail: {from: a, search_m: 0}}\n", "10:37",
            "context.rail.search_m is `0`", "in m");
    refused(GOOD "money: {discount_pct: 1e400}\n", "10:23", "not a number", "accepted");
}

static void dates_must_be_days_of_the_calendar(void **state)
{
    static const char *const dates[] = {"2026-02-29", "2026-13-01",       "01.02.2026", "2026",
                                        "2026-1-1",   "2026-01-01T10:00", "2026/01/01"};
    char text[600];

    (void)state;
    for (size_t i = 0; i < sizeof dates / sizeof dates[0]; i++) {
        snprintf(text, sizeof text, "title: A\nas_of: %s\ncurrency: EUR\n" NETWORK REST, dates[i]);
        refused(text, "2:8", "not a date of the calendar", "2026-01-31");
        assert_non_null(strstr(err.message, dates[i]));
    }
}

static void a_number_without_its_unit_is_refused(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    width: DN\n" REST, "8:12",
            "network.fields.width does not say its unit", "mm, cm, m, in, ft");
    refused(HEAD NETWORK "    slope: {field: S}\n" REST, "8:12",
            "network.fields.slope does not say", "m/m");
    refused(HEAD NETWORK "    width: {field: DN, unit: furlong}\n" REST, "8:30",
            "`furlong` is no unit", "mm, cm");
    refused(HEAD NETWORK "    slope: {field: DN, unit: mm}\n" REST, "8:30", "`mm` is no unit",
            "m/m");
    refused(HEAD NETWORK "    material: {field: M, unit: mm}\n" REST, "8:32", "has no unit",
            "remove");
}

static void the_direction_of_a_grade_is_never_guessed(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    grade_structural: C\n" REST, "8:23", "never guessed",
            "best: 1, worst: 5");
    refused(HEAD NETWORK "    grade_service: {field: C, best: 1}\n" REST, "8:20", "never guessed",
            "`worst:`");
    refused(HEAD NETWORK
            "    grade_structural:\n      field: C\n      best:  # fill\n      worst:\n" REST,
            "9:7", "network.fields.grade_structural does not say which grade is best", "`best:`");
    refused(HEAD NETWORK "    grade_structural: {field: C, best: 3, worst: 3}\n" REST, "8:50",
            "best and worst are both 3", "two ends");
    refused(HEAD NETWORK "    width: {field: C, unit: mm, best: 3, worst: 1}\n" REST, "8:39",
            "is no grade", "remove");
}

static void a_role_needs_a_field_or_a_value(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    street: {missing: [0]}\n" REST, "8:13",
            "neither `field:` nor `value:`", "give `field:`");
    refused(HEAD NETWORK "    street: {field: A, value: B}\n" REST, "8:13", "has both",
            "give `field:`");
    refused(HEAD NETWORK "    street:\n" REST, "8:12", "network.fields.street is empty", "remove");
    refused(HEAD NETWORK "    street: [a]\n" REST, "8:13", "is a list", "name of a field");
    refused(HEAD NETWORK "    street: {value: a, missing: [b]}\n" REST, "8:13", "fixed value",
            "alone");
    refused(HEAD NETWORK "    street: {field: a, other: b}\n" REST, "8:31", "without `values:`",
            "map");
    refused(HEAD NETWORK "    street: {field: a, date: iso}\n" REST, "8:30",
            "neither a date nor a year", "remove");
    refused(HEAD NETWORK "    year_built: {field: a, date: us}\n" REST, "8:34", "date is `us`",
            "epoch_ms");
}

static void values_must_be_ones_that_the_role_can_take(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    shape: {field: S, values: {C: circel}}\n" REST, "8:35", "`circel`",
            "circle, egg");
    refused(HEAD NETWORK "    shape: {value: tube}\n" REST, "8:20", "`tube`", "circle, egg");
    refused(HEAD NETWORK "    width: {value: wide, unit: mm}\n" REST, "8:20", "`wide`", "a number");
    refused(HEAD NETWORK "    collapsed: {field: C, values: {X: perhaps}}\n" REST, "8:39",
            "`perhaps`", "yes, no");
    refused(HEAD NETWORK "    inspected_on: {value: 2020}\n" REST, "8:27", "`2020`", "2026-01-31");
    refused(HEAD NETWORK "    material: {field: M, values: [A, B]}\n" REST, "8:34",
            "values is a list", "vitrified clay");
    refused(HEAD NETWORK "    material: {field: M, values: {A: [B]}}\n" REST, "8:38", "is a list",
            "one text");
    refused(HEAD NETWORK "    material: {field: M, missing: {A: B}}\n" REST, "8:35", "missing",
            "one text");
    refused(HEAD NETWORK "    material: {field: M, missing: [[A]]}\n" REST, "8:36", "missing",
            "one text");
}

static void patterns_must_be_of_use(void **state)
{
    (void)state;
    refused(HEAD NETWORK "    street: {field: a, pattern: \"([0-9\"}\n" REST, "8:33",
            "cannot be used", "regular expression");
    refused(HEAD NETWORK "    street: {field: a, pattern: \"[0-9]+\"}\n" REST, "8:33",
            "has no group", "( )");
    refused(HEAD NETWORK "    street: {field: a, pattern: \"((a{255}){255}){255}\"}\n" REST, "8:33",
            "repeats too often", "regular");
}

static void budgets_must_be_amounts_for_every_year(void **state)
{
    (void)state;
#define P HEAD NETWORK OUTPUT
    refused(P "programme: {budgets: [5, lots]}\n", "9:26", "year 2027 is `lots`: not an amount",
            "from 0 up");
    refused(P "programme: {budgets: [5, -1]}\n", "9:26", "cannot be negative", "0 when nothing");
    refused(P "programme: {budgets: [\"1,000\"]}\n", "9:23", "`1,000`", "without separators");
    refused(P "programme: {budgets: []}\n", "9:22", "has 0 years", "1 to 100");
    refused(P "programme: {budgets: 5}\n", "9:22", "level_budget takes one amount", "accepted");
    refused(P "programme: {budgets: {2026: 5, 2028: 6}}\n", "9:22", "has 2026 and 2028 but no 2027",
            "`2027: 0`");
    refused(P "programme: {budgets: {2026: 5, 2026.0: 6}}\n", "9:22", "2026 twice", "once");
    refused(P "programme: {budgets: {soon: 5}}\n", "9:23", "`soon` is no year", "2026: 500000");
    refused(P "programme: {first_year: 2027, budgets: {2026: 5}}\n", "9:25",
            "first_year is 2027 but budgets begin with 2026", "remove `first_year:`");
    refused(P "programme: {years: 3, budgets: [1, 2]}\n", "9:32",
            "has 2 years but programme.years is 3", "one budget a year");
    refused(P "programme: {level_budget: 5}\n", "9:27", "without programme.years", "`years:`");
    refused(P "programme: {level_budget: -5, years: 2}\n", "9:27", "out of range", "from 0");
    refused(P "programme: {years: 2}\n", "9:12", "neither budgets nor level_budget",
            "level_budget");
    refused(P "programme: {level_budget: 5, years: 2, budgets: [1, 2]}\n", "9:12", "has both",
            "one amount");
    refused(P "programme: {first_year: 2020, level_budget: 5, years: 2}\n", "9:12",
            "begins in 2020, before the year of as_of, 2026", "2026 or later");
    refused(P "programme: {level_budget: 5, years: 101}\n", "9:37", "out of range", "1 to 100");
#undef P
}

static void a_points_scheme_says_how_it_is_put_together(void **state)
{
    hn_plan *plan = accepted(GOOD "risk: {scheme: matrix, likelihood: {most: 10, class_from: [2, "
                                  "4.5]}, consequence: {combine: product, class_from: [1]}}\n");

    (void)state;
    assert_int_equal(plan->risk_scheme, HN_SCHEME_MATRIX);
    assert_int_equal(plan->side[HN_LIKELIHOOD].limits, 2);
    assert_close(plan->side[HN_LIKELIHOOD].class_from[1], 4.5, 0);
    assert_close(plan->side[HN_LIKELIHOOD].most, 10, 0);
    assert_true(isnan(plan->side[HN_LIKELIHOOD].least));
    assert_int_equal(plan->side[HN_CONSEQUENCE].combine, HN_COMBINE_PRODUCT);
    hn_plan_free(plan);
    plan = accepted(GOOD);
    assert_int_equal(plan->risk_scheme, HN_SCHEME_MONEY);
    hn_plan_free(plan);
    refused(GOOD "risk: {scheme: sum}\n", "10:16", "`sum`", "money additive");
    refused(GOOD "risk: {scheme: matrix, likelihood: {class_from: [2]}}\n", "10:7",
            "risk.consequence has no classes", "class_from");
    refused(GOOD "risk: {scheme: additive, likelihood: {class_from: [2, 2]}}\n", "10:55",
            "not a rising list", "upper class");
    refused(GOOD "risk: {scheme: additive, likelihood: {least: 2, most: 1}}\n", "10:38",
            "least is above most", "smaller");
    refused(HEAD NETWORK OUTPUT "programme: {budgets: [1], priority: score}\n", "9:37",
            "there is no points scheme", "risk: {scheme");
}

static void defaults_cannot_stand_for_observations(void **state)
{
    (void)state;
    refused(GOOD "defaults: {grade_structural_1_5: {value: 3, source: x}}\n", "10:12",
            "takes no default", "leave it unknown");
    refused(GOOD "defaults: {slope_m_per_m: {value: 3, source: x}}\n", "10:12", "takes no default",
            "later stage");
    refused(GOOD "defaults: {width: {value: 3, source: x}}\n", "10:12", "is no column", "width_mm");
    refused(GOOD "defaults: {width_mm: {value: wide, source: x}}\n", "10:30",
            "defaults.width_mm is `wide`", "in mm");
    refused(GOOD "defaults: {shape: {value: tube, source: x}}\n", "10:27", "`tube`", "circle, egg");
}

static void sources_must_have_the_right_form(void **state)
{
    (void)state;
    refused(GOOD "inspections: {from: a}\n", "10:14", "inspections is a block of keys", "- from:");
    refused(GOOD "inspections: [a]\n", "10:15", "inspections[1] is `a`", "key: value");
    refused(GOOD "context: {Rail-1: {from: a}}\n", "10:11", "`Rail-1` cannot name",
            "near_<name>_m");
    refused(GOOD "context: [a]\n", "10:10", "context is a list", "key: value");
    refused(HEAD "network: net.gpkg\n" REST, "4:10", "network is `net.gpkg`", "key: value");
    refused(HEAD "network: {from: a, fields: [b]}\n" REST, "4:28", "network.fields is a list",
            "key: value");
}

static void a_long_value_is_shortened_in_the_message(void **state)
{
    char text[2000];

    (void)state;
    snprintf(text, sizeof text, GOOD "money: {discount_pct: x%0900d}\n", 7);
    refused(text, "10:23", "...`: not a number", "accepted");
    assert_true(strlen(err.message) < 200);
}

/* ---- the table of keys ---- */

static void every_key_has_a_meaning_and_every_default_a_source_or_none_to_rely_on(void **state)
{
    size_t count;
    const hn_plan_key *keys = hn_plan_keys(&count);

    (void)state;
    for (size_t i = 0; i < count; i++) {
        assert_true(keys[i].meaning && keys[i].meaning[0]);
        if (keys[i].type == HN_KEY_NUMBER || keys[i].type == HN_KEY_INT)
            assert_true(keys[i].low < keys[i].high);
        if ((keys[i].type == HN_KEY_NUMBER || keys[i].type == HN_KEY_INT) && keys[i].default_text)
            assert_non_null(keys[i].source);
        for (size_t j = 0; j < i; j++)
            assert_false(strcmp(keys[i].block, keys[j].block) == 0 &&
                         strcmp(keys[i].name, keys[j].name) == 0);
    }
}

/* ---- the manual ---- */

static char manual[32768];

static void read_manual(void)
{
    FILE *file = fopen(HN_SOURCE_DIR "/docs/plan.md", "r");

    assert_non_null(file);
    manual[fread(manual, 1, sizeof manual - 1, file)] = '\0';
    fclose(file);
}

static void the_example_of_the_manual_is_a_plan(void **state)
{
    char *begin, *end;
    hn_plan *plan;

    (void)state;
    read_manual();
    begin = strstr(manual, "```yaml\n");
    end = strstr(begin + 8, "```");
    assert_true(begin && end);
    *end = '\0';
    plan = accepted(begin + 8);
    assert_int_equal(plan->inspection_count, 1);
    assert_int_equal(plan->years, 3);
    hn_plan_free(plan);
}

static void the_manual_has_every_key_with_its_default(void **state)
{
    char line[128];
    size_t count;
    const hn_plan_key *keys = hn_plan_keys(&count);

    (void)state;
    read_manual();
    for (size_t i = 0; i < count; i++) {
        int shown = keys[i].default_text && strcmp(keys[i].block, "field") != 0;

        snprintf(line, sizeof line, shown ? "%s: %s" : "%s", keys[i].name, keys[i].default_text);
        if (shown && strcmp(keys[i].name, "estimate_class") == 0)
            snprintf(line, sizeof line, "estimate_class: \"5\"");
        if (!strstr(manual, line))
            fail_msg("docs/plan.md lacks \"%s\"", line);
    }
}

static void the_manual_has_every_role_and_every_unit(void **state)
{
    (void)state;
    read_manual();
    for (int kind = 0; kind < HN_SOURCE_KINDS; kind++) {
        size_t count;
        const hn_field_role *roles = hn_field_role_list((hn_source_kind)kind, &count);

        for (size_t i = 0; i < count; i++)
            if (!strstr(manual, roles[i].key))
                fail_msg("docs/plan.md lacks the role %s", roles[i].key);
    }
    for (int d = HN_DIM_SMALL_LENGTH; d < HN_DIM_COUNT; d++) {
        char names[200], *rest = names;

        snprintf(names, sizeof names, "%s", hn_unit_names((hn_dimension)d));
        for (char *unit = strtok_r(names, ", ", &rest); unit; unit = strtok_r(NULL, ", ", &rest))
            if (!strstr(manual, unit))
                fail_msg("docs/plan.md lacks the unit %s", unit);
    }
}

/* ---- the whole way, with config tables ---- */

static char folder[64];

static const char *in_folder(const char *name, const char *text)
{
    static char path[4][200];
    static int next;
    char *at = path[next++ % 4];
    FILE *file;

    snprintf(at, sizeof path[0], "%s/%s", folder, name);
    file = fopen(at, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
    return at;
}

static int make_folder(void **state)
{
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/hn_plan_XXXXXX");
    setenv("HAUNCH_CONFIG", HN_SOURCE_DIR "/config", 1);
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    char command[100];

    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    unsetenv("HAUNCH_CONFIG");
    return system(command);
}

static void refused_file(const char *path, hn_status status, const char *message, const char *hint)
{
    hn_plan *plan;

    memset(&err, 0, sizeof err);
    assert_int_equal(hn_plan_read(path, &plan, &err), status);
    assert_null(plan);
    if (!strstr(err.message, message) || !strstr(err.hint, hint))
        fail_msg("\"%s\" (%s) should hold \"%s\" (%s)", err.message, err.hint, message, hint);
}

static void a_plan_is_read_with_the_shipped_tables(void **state)
{
    hn_plan *plan = NULL;

    (void)state;
    if (hn_plan_read(in_folder("plan.yaml", GOOD), &plan, &err) != HN_OK)
        fail_msg("%s (%s)", err.message, err.hint);
    assert_true(plan->config.method_count > 0);
    assert_true(plan->config.material_count > 0);
    assert_int_equal(plan->config.override_count, 0);
    hn_plan_free(plan);
}

static void a_missing_plan_is_an_input_error(void **state)
{
    (void)state;
    refused_file("/nowhere/plan.yaml", HN_ERR_INPUT, "/nowhere/plan.yaml", "haunch draft");
}

static void a_missing_table_or_folder_is_named(void **state)
{
    (void)state;
    refused_file(in_folder("a.yaml", GOOD "config: {rates: nix.csv}\n"), HN_ERR_PLAN,
                 "10:17: config.rates: there is no file", "shipped with haunch");
    refused_file(in_folder("b.yaml", GOOD "config: {folder: nix}\n"), HN_ERR_PLAN,
                 "10:18: config.folder: there is no folder", "relative to that of the plan");
    refused_file(in_folder("c.yaml", GOOD "config: {folder: .}\n"), HN_ERR_PLAN, ".csv`",
                 "relative to config.folder");
    setenv("HAUNCH_CONFIG", "/nowhere", 1);
    refused_file(in_folder("d.yaml", GOOD), HN_ERR_PLAN, "HAUNCH_CONFIG is `/nowhere`", "unset it");
    setenv("HAUNCH_CONFIG", HN_SOURCE_DIR "/config", 1);
}

static void a_material_outside_the_table_is_refused_with_the_nearest(void **state)
{
    (void)state;
    refused_file(in_folder("a.yaml", HEAD NETWORK
                           "    material: {field: M, values: {V: vitrifed clay}}\n" REST),
                 HN_ERR_PLAN, "8:5: material `vitrifed clay` is not in the table",
                 "did you mean `vitrified clay`");
    refused_file(in_folder("b.yaml", GOOD "defaults: {material: {value: wood, source: x}}\n"),
                 HN_ERR_PLAN, "10:12: material `wood`", "add it to the table");
}

static void memory_that_runs_out_is_an_error_and_not_a_leak(void **state)
{
    size_t before = hn_alloc_live();
    hn_status rc = HN_ERR_MEMORY;
    hn_plan *plan = NULL;

    (void)state;
    for (size_t nth = 1; rc != HN_OK && nth < 200; nth++) {
        hn_alloc_fail_after(nth);
        rc = read_text(GOOD "defaults: {soil: {value: a, source: b}}\ncontext: {r: {from: a}}\n",
                       &plan);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
    }
    assert_int_equal(rc, HN_OK);
    hn_plan_free(plan);
    hn_plan_free(NULL);
    assert_int_equal(hn_alloc_live(), before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_small_plan_gets_all_defaults),
        cmocka_unit_test(keys_left_out_are_listed_as_assumptions),
        cmocka_unit_test(an_estimate_class_sets_both_ends),
        cmocka_unit_test(fields_carry_units_maps_and_places),
        cmocka_unit_test(all_kinds_of_sources_are_read),
        cmocka_unit_test(budgets_come_as_a_list_by_year_or_level),
        cmocka_unit_test(defaults_name_columns_and_sources),
        cmocka_unit_test(unknown_keys_are_refused_with_the_nearest),
        cmocka_unit_test(a_key_in_the_wrong_block_is_sent_to_its_own),
        cmocka_unit_test(unknown_roles_are_refused_with_the_nearest),
        cmocka_unit_test(required_keys_are_missed),
        cmocka_unit_test(wrong_types_are_refused_with_the_value),
        cmocka_unit_test(numbers_out_of_range_are_refused_with_the_range),
        cmocka_unit_test(dates_must_be_days_of_the_calendar),
        cmocka_unit_test(a_number_without_its_unit_is_refused),
        cmocka_unit_test(the_direction_of_a_grade_is_never_guessed),
        cmocka_unit_test(a_role_needs_a_field_or_a_value),
        cmocka_unit_test(values_must_be_ones_that_the_role_can_take),
        cmocka_unit_test(patterns_must_be_of_use),
        cmocka_unit_test(budgets_must_be_amounts_for_every_year),
        cmocka_unit_test(a_points_scheme_says_how_it_is_put_together),
        cmocka_unit_test(defaults_cannot_stand_for_observations),
        cmocka_unit_test(sources_must_have_the_right_form),
        cmocka_unit_test(a_long_value_is_shortened_in_the_message),
        cmocka_unit_test(every_key_has_a_meaning_and_every_default_a_source_or_none_to_rely_on),
        cmocka_unit_test(the_example_of_the_manual_is_a_plan),
        cmocka_unit_test(the_manual_has_every_key_with_its_default),
        cmocka_unit_test(the_manual_has_every_role_and_every_unit),
        cmocka_unit_test(a_plan_is_read_with_the_shipped_tables),
        cmocka_unit_test(a_missing_plan_is_an_input_error),
        cmocka_unit_test(a_missing_table_or_folder_is_named),
        cmocka_unit_test(a_material_outside_the_table_is_refused_with_the_nearest),
        cmocka_unit_test(memory_that_runs_out_is_an_error_and_not_a_leak),
    };

    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}

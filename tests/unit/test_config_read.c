/* The shipped tables load as they are; a table spoilt in one place gives one
 * message that names file, row, column, value and what is accepted. */
#include "plan/config_read.h"

#include "base/alloc.h"

#include "read/text_table.h"
#include "table/condition_sql.h"
#include "table/segment_table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "test_util.h"

enum { FILES = 20, PATH_ROOM = 512 };

static const char *const file_names[FILES] = {
#define NAME_TEXT(name) #name,
    HN_CONFIG_TABLE_LIST(NAME_TEXT)};

static char folder[PATH_ROOM]; /* of the spoilt copies */
static char shipped[FILES][PATH_ROOM];

static hn_config_paths shipped_paths(void)
{
    hn_config_paths paths;
    const char *text[FILES];
    for (int f = 0; f < FILES; f++) {
        snprintf(shipped[f], PATH_ROOM, "%s/config/%s.csv", HN_SOURCE_DIR, file_names[f]);
        text[f] = shipped[f];
    }
    memcpy(&paths, text, sizeof paths);
    paths.overrides = NULL;
    paths.carbon = NULL;
    return paths;
}

static const char **path_of(hn_config_paths *paths, const char *table)
{
    const char **path = (const char **)(void *)paths;
    for (int f = 0; f < FILES; f++)
        if (strcmp(file_names[f], table) == 0)
            return &path[f];
    fail_msg("no table %s", table);
    return NULL;
}

static char *read_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    assert_true(fread(text, 1, (1 << 20) - 1, file) > 0);
    fclose(file);
    return text;
}

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    fclose(file);
}

/* Loads the shipped set with one table written anew. */
static hn_status load_with(const char *table, const char *text, hn_config *out, hn_arena *arena,
                           hn_error *err)
{
    char path[PATH_ROOM + 64];
    hn_config_paths paths = shipped_paths();
    snprintf(path, sizeof path, "%s/%s.csv", folder, table);
    write_file(path, text);
    *path_of(&paths, table) = path;
    *err = (hn_error){0};
    const hn_status rc = hn_config_read(&paths, arena, out, err);
    unlink(path);
    return rc;
}

/* The shipped table with the first `old` replaced. */
static char *spoilt(const char *table, const char *old, const char *new)
{
    hn_config_paths paths = shipped_paths();
    char *text = read_file(*path_of(&paths, table));
    const char *at = strstr(text, old);
    if (!at)
        fail_msg("%s.csv does not hold: %s", table, old);
    char *result = calloc(1, strlen(text) + strlen(new) + 1);
    assert_non_null(result);
    sprintf(result, "%.*s%s%s", (int)(at - text), text, new, at + strlen(old));
    free(text);
    return result;
}

static void expect_message(const char *table, const char *text, const char *message,
                           const char *hint)
{
    hn_arena arena = {0};
    hn_config config;
    hn_error err;
    const hn_status rc = load_with(table, text, &config, &arena, &err);
    if (rc != HN_ERR_PLAN || !strstr(err.message, message) || !strstr(err.hint, hint))
        fail_msg("%s: %s\n  hint: %s\n  expected: %s / %s", hn_status_name(rc), err.message,
                 err.hint, message, hint);
    hn_arena_clear(&arena);
}

static void expect_spoilt(const char *table, const char *old, const char *new, const char *message,
                          const char *hint)
{
    char *text = spoilt(table, old, new);
    expect_message(table, text, message, hint);
    free(text);
}

/* ---- the shipped set ---- */

static hn_config load_shipped(hn_arena *arena)
{
    hn_config config;
    hn_error err = {0};
    const hn_config_paths paths = shipped_paths();
    if (hn_config_read(&paths, arena, &config, &err) != HN_OK)
        fail_msg("%s (%s)", err.message, err.hint);
    return config;
}

static void the_shipped_tables_load(void **state)
{
    (void)state;
    hn_arena arena = {0};
    const hn_config c = load_shipped(&arena);
    assert_int_equal(c.method_count, 13);
    assert_int_equal(c.file_count, 18);
    assert_true(c.rule_count > 100 && c.rule_count <= HN_MAX_RULES);
    assert_true(c.prices_invented);
    assert_int_equal(c.override_count, 0);
    assert_null(c.overrides);
    assert_string_equal(c.methods[0].id, "cured_in_place");
    assert_int_equal(c.methods[0].wall_rule, HN_WALL_FLEXIBLE);
    assert_int_equal(c.methods[0].kind, HN_METHOD_LINING);
    assert_close(c.methods[0].modulus_short_mpa, 1724, 1e-12); /* 250,000 psi */
    assert_true(isnan(c.methods[0].sdr));
    assert_int_equal(c.methods[c.method_count - 1].kind, HN_METHOD_WATCH);
    hn_arena_clear(&arena);
}

static const hn_method_rule *rule_named(const hn_config *c, const char *id)
{
    for (size_t i = 0; i < c->rule_count; i++)
        if (strcmp(c->rules[i].id, id) == 0)
            return &c->rules[i];
    fail_msg("no rule %s", id);
    return NULL;
}

static void a_rule_has_its_method_verdict_and_limit_resolved(void **state)
{
    (void)state;
    hn_arena arena = {0};
    const hn_config c = load_shipped(&arena);
    const hn_method_rule *small = rule_named(&c, "cured_in_place_too_small");
    assert_string_equal(c.methods[small->method].id, "cured_in_place");
    assert_int_equal(small->verdict, HN_VERDICT_RULED_OUT);
    assert_int_equal(small->unknown_cannot_tell, 1);
    assert_string_equal(small->condition, "width_mm < 100");
    assert_null(small->works);
    const hn_method_rule *review = rule_named(&c, "ring_and_panel_safety_review");
    assert_int_equal(review->verdict, HN_VERDICT_FITS);
    assert_string_equal(review->condition, "width_mm >= 800 AND width_mm < 914.4");
    const hn_method_rule *roots = rule_named(&c, "local_repair_roots");
    assert_int_equal(roots->verdict, HN_VERDICT_AFTER_WORKS);
    assert_string_equal(roots->works, "root_cutting");
    assert_int_equal(roots->unknown_cannot_tell, 0);
    hn_arena_clear(&arena);
}

static void rates_come_sorted_by_method_surface_depth_and_width(void **state)
{
    (void)state;
    hn_arena arena = {0};
    const hn_config c = load_shipped(&arena);
    for (size_t i = 1; i < c.rate_count; i++) {
        const hn_rate *a = &c.rates[i - 1], *b = &c.rates[i];
        assert_true(a->method <= b->method);
        const int same_surface = (!a->surface && !b->surface) ||
                                 (a->surface && b->surface && strcmp(a->surface, b->surface) == 0);
        const int same_depth = (isnan(a->depth_m) && isnan(b->depth_m)) || a->depth_m == b->depth_m;
        if (a->method == b->method && same_surface && same_depth)
            assert_true(a->width_mm < b->width_mm);
    }
    hn_arena_clear(&arena);
}

/* Stay probabilities of the published chain Single: 0.955, 0.972, 0.979,
 * 0.988 (Jimenez-Roa, thesis, University of Twente, Fig. 5.1 p. 114). */
static void the_base_cohort_gives_back_the_published_stay_probabilities(void **state)
{
    (void)state;
    static const double stay[4] = {0.955, 0.972, 0.979, 0.988};
    hn_arena arena = {0};
    const hn_config c = load_shipped(&arena);
    const hn_cohort *base = NULL;
    for (size_t i = 0; i < c.cohort_count; i++)
        if (strcmp(c.cohorts[i].id, "all others") == 0)
            base = &c.cohorts[i];
    assert_non_null(base);
    for (int k = 0; k < 4; k++)
        assert_close(exp(-base->rate_per_year[HN_STRUCTURAL][k]), stay[k], 1e-5);
    hn_arena_clear(&arena);
}

static void cost_items_have_quantity_and_methods_resolved(void **state)
{
    (void)state;
    hn_arena arena = {0};
    const hn_config c = load_shipped(&arena);
    for (size_t i = 0; i < c.item_count; i++) {
        const hn_cost_item *item = &c.items[i];
        assert_true(item->methods != 0);
        if (strcmp(item->id, "laterals_in_trench") == 0) {
            assert_int_equal(item->quantity, HN_COL_LATERALS);
            assert_false(item->is_works);
            assert_int_equal(__builtin_popcount(item->methods), 1);
        }
        if (strcmp(item->id, "local_dig") == 0) {
            assert_int_equal(item->quantity, -1);
            assert_true(item->is_works);
            assert_int_equal(__builtin_popcount(item->methods), 13);
        }
        if (strcmp(item->id, "entry_safety") == 0)
            assert_close(item->rate_exponent + 1.0, 1.0, 0);
    }
    hn_arena_clear(&arena);
}

static void every_row_of_every_shipped_table_has_a_source(void **state)
{
    (void)state;
    hn_arena arena = {0};
    shipped_paths();
    for (int f = 0; f < FILES; f++) {
        hn_text_table table;
        hn_error err = {0};
        if (hn_config_is_optional(file_names[f]))
            continue;
        if (hn_text_table_read(shipped[f], &arena, &table, &err) != HN_OK)
            fail_msg("%s", err.message);
        const size_t c = hn_text_table_column(&table, "source");
        if (c >= table.columns || table.rows == 0)
            fail_msg("%s has no column source or no row", shipped[f]);
        for (size_t r = 0; r < table.rows; r++)
            if (strlen(table.cells[r * table.columns + c]) < 5)
                fail_msg("%s, row %zu has no source", shipped[f], r + 2);
    }
    hn_arena_clear(&arena);
}

static void add(const char **list, size_t *count, const char *expression)
{
    if (expression)
        list[(*count)++] = expression;
}

static size_t all_expressions(const hn_config *c, const char **list)
{
    size_t count = 0;
    for (size_t i = 0; i < c->rule_count; i++)
        add(list, &count, c->rules[i].condition);
    for (size_t i = 0; i < c->item_count; i++)
        add(list, &count, c->items[i].condition);
    for (size_t i = 0; i < c->cohort_count; i++)
        add(list, &count, c->cohorts[i].condition);
    for (size_t i = 0; i < c->factor_class_count; i++) {
        add(list, &count, c->factors[i].condition);
        add(list, &count, c->factors[i].money);
    }
    for (size_t i = 0; i < c->act_now_count; i++)
        add(list, &count, c->act_now[i].condition);
    for (size_t i = 0; i < c->quality_count; i++)
        add(list, &count, c->quality[i].condition);
    return count;
}

static void every_shipped_expression_compiles_against_the_segment_table(void **state)
{
    (void)state;
    static const char *const layers[] = {"rail",     "road",   "water",
                                         "hospital", "school", "protection_zone"};
    hn_arena arena = {0};
    hn_error err = {0};
    hn_table *table = NULL;
    const hn_config c = load_shipped(&arena);
    const char *list[1024];
    const size_t count = all_expressions(&c, list);
    assert_int_equal(hn_table_new(&table, &err), HN_OK);
    for (size_t l = 0; l < sizeof layers / sizeof *layers; l++) {
        char name[64];
        float *values;
        snprintf(name, sizeof name, "near_%s_m", layers[l]);
        assert_int_equal(hn_table_add_extra(table, name, name, "", &values, &err), HN_OK);
    }
    assert_true(count > 300);
    for (size_t i = 0; i < count; i++) {
        hn_condition_set *set = NULL;
        if (hn_condition_compile(table, &list[i], &list[i], 1, &set, &err) != HN_OK)
            fail_msg("%s", err.message);
        hn_condition_free(set);
    }
    hn_table_free(table);
    hn_arena_clear(&arena);
}

/* ---- bad tables ---- */

static void a_missing_column_is_listed_with_the_accepted_names(void **state)
{
    (void)state;
    expect_spoilt(
        "markups", "name,percent,mode", "name,persent,mode",
        "markups.csv: required column missing: percent; the nearest in the file is persent",
        "accepted columns: name, percent, mode, source");
    expect_spoilt("markups", "name,percent,mode", "name,a,b",
                  "required columns missing: percent, mode", "accepted columns");
}

static void an_unknown_column_is_refused_but_notes_are_not(void **state)
{
    (void)state;
    hn_arena arena = {0};
    hn_config config;
    hn_error err;
    expect_message("markups", "name,percent,mode,source,perzent\na,5,add,local rule,1\n",
                   "unknown column perzent; the nearest accepted is percent", "note");
    assert_int_equal(load_with("markups",
                               "name,percent,mode,source,note,x_id\n"
                               "a,5,add,local rule,mine,7\n",
                               &config, &arena, &err),
                     HN_OK);
    assert_close(config.markups[0].percent, 5.0, 0);
    assert_int_equal(config.markups[0].compound, 0);
    hn_arena_clear(&arena);
}

static void a_bad_number_names_file_row_column_value_and_range(void **state)
{
    (void)state;
    expect_spoilt(
        "rates", "cured_in_place,200,,,120", "cured_in_place,200,,,12o",
        "rates.csv, row 3, column rate: \"12o\" is not accepted; accepted is a number from",
        "correct the cell");
    expect_spoilt("rates", "cured_in_place,200,,,120", "cured_in_place,200,,,\"1,200\"",
                  "\"1,200\" is not accepted", "decimal point");
    expect_spoilt("rates", "cured_in_place,200,,,120", "cured_in_place,200,,,-120",
                  "rates.csv, row 3, column rate: \"-120\"", "");
    expect_spoilt("rates", "cured_in_place,200,,,120", "cured_in_place,200,,,inf", "\"inf\"", "");
    expect_spoilt(
        "markups", "contingency,15", "contingency,-15",
        "markups.csv, row 2, column percent: \"-15\" is not accepted; accepted is a number "
        "from 0 to 500",
        "");
    expect_spoilt("act_now", ",7,", ",7.5,", "accepted is a whole number from 0 to 3650", "");
}

static void a_blank_source_is_refused(void **state)
{
    (void)state;
    expect_message("markups", "name,percent,mode,source\ncontingency,15,add,\n",
                   "markups.csv, row 2, column source: blank, but a value is required",
                   "local rule");
}

static void an_empty_table_is_refused(void **state)
{
    (void)state;
    expect_message("markups", "name,percent,mode,source\n", "markups.csv: empty table",
                   "at least one row");
}

static void unknown_ids_are_refused_with_the_nearest(void **state)
{
    (void)state;
    expect_spoilt("rates", "cured_in_place,200", "cured_in_plaice,200",
                  "row 3, column method: unknown method \"cured_in_plaice\"; the nearest known is "
                  "cured_in_place",
                  "known: cured_in_place, close_fit");
    expect_spoilt("method_rules", "cured_in_place_roots,cured_in_place,",
                  "cured_in_place_roots,cured,", "unknown method \"cured\"", "known:");
    expect_spoilt("method_rules", ",root_cutting,", ",root_cuting,",
                  "unknown works item \"root_cuting\"; the nearest known is root_cutting",
                  "cleaning");
    expect_spoilt("methods", ",liner,", ",linner,",
                  "unknown cohort \"linner\"; the nearest known is liner", "known:");
    expect_spoilt("cost_items", ",lateral_count,", ",lateral_cuont,",
                  "unknown quantity \"lateral_cuont\"", "length_m");
}

static void grading_tables_are_checked_against_each_other(void **state)
{
    (void)state;
    expect_spoilt("grading_rules", "local,mortar,", "locale,mortar,",
                  "unknown scheme of roll_up \"locale\"; the nearest known is local",
                  "known: local");
    expect_spoilt("grading_rules", "structural,5,gives", "structural,7,gives",
                  "7 lies outside the scheme's scale 1 to 5", "");
    expect_spoilt("roll_up", "structural,worst,1,5,,", "structural,peak,1,5,,", "needs bands", "");
    expect_spoilt("roll_up", "structural,worst,1,5,,", "structural,peak,1,5,10;20;30,",
                  "is not four rising numbers", "10;40;80;165");
    expect_spoilt("roll_up", "structural,worst,1,5,,", "structural,worst,5,1,1;2;3;4,",
                  "bands need points that rise with damage", "");
    expect_spoilt("observation_codes", ",yes,none,", ",yes,nothing,", "\"nothing\" is not accepted",
                  "docs/config.md");
}

static void a_wrong_word_in_a_choice_lists_the_accepted_ones(void **state)
{
    (void)state;
    expect_spoilt(
        "methods", ",lining,flexible,", ",lining,flexibel,",
        "methods.csv, row 2, column wall_rule: \"flexibel\" is not accepted; accepted: none, "
        "flexible, sdr, fixed",
        "did you mean flexible?");
    expect_spoilt("quality_rules", "duplicate_id,error,,duplicate_id",
                  "duplicate_id,error,,duplicate_di", "unknown check \"duplicate_di\"",
                  "duplicate_geometry");
}

static void duplicates_are_refused_with_both_rows(void **state)
{
    (void)state;
    expect_spoilt("materials", "concrete,Plain concrete", "vitrified clay,Plain concrete",
                  "materials.csv, row 3, column id: \"vitrified clay\" is already in row 2",
                  "keep one of the two");
    expect_spoilt("rates", "cured_in_place,200,", "cured_in_place,150,",
                  "row 3, column width_mm: 150 repeats row 2", "rising order");
    expect_spoilt("failure_rates", "structural,2,", "structural,1,",
                  "\"structural / 1\" is already in row 2", "");
}

static void unsorted_and_single_sizes_are_refused(void **state)
{
    (void)state;
    expect_spoilt("rates", "cured_in_place,200,", "cured_in_place,140,",
                  "row 3, column width_mm: 140 is not sorted: less than row 2", "rising order");
    expect_spoilt("rates", "cured_in_place,200,,", "cured_in_place,200,2.5,",
                  "row 3, column width_mm: only one size for this method, surface and depth",
                  "at least two");
}

static void one_table_has_one_currency(void **state)
{
    (void)state;
    expect_spoilt("rates", "200,,,120,EUR", "200,,,120,USD",
                  "row 3, column currency: \"USD\", but row 2 has \"EUR\"", "");
}

static void a_wall_rule_without_its_numbers_is_refused(void **state)
{
    (void)state;
    expect_spoilt("methods", "1724,862,", "1724,,",
                  "column modulus_long_mpa: blank, but the wall rule flexible needs it", "");
}

static void works_and_verdict_must_agree(void **state)
{
    (void)state;
    expect_spoilt("method_rules", "ruled_out,,", "ruled_out,cleaning,",
                  "only the verdict after_works has works", "");
    expect_spoilt("method_rules", ",root_cutting,", ",,",
                  "blank, but the verdict after_works needs works", "");
}

static void a_limit_that_is_used_must_be_given(void **state)
{
    (void)state;
    expect_spoilt("method_rules", "starts at,100,mm", "starts at,,mm",
                  "column limit: blank, but the condition uses {limit}", "");
}

static void a_placeholder_must_be_a_column(void **state)
{
    (void)state;
    expect_spoilt(
        "method_rules", "a width of {width_mm} mm", "a width of {widht_mm} mm",
        "column reason: {widht_mm} is not a column of the segment table; the nearest is width_mm",
        "docs/columns.md");
    expect_spoilt("act_now", "{near_rail_m}", "{near_rail_m", "a { without its }", "");
}

static void cohorts_are_complete_and_end_with_one_for_all(void **state)
{
    (void)state;
    expect_spoilt("deterioration", "\nall others,1,structural", "\nothers,1,structural",
                  "without a row for each driver", "three rows");
    char *text =
        spoilt("deterioration", "all others,1,structural", "all others,width_mm > 0,structural");
    char *at;
    while ((at = strstr(text, "all others,1,")) != NULL) {
        char *longer = calloc(1, strlen(text) + 32);
        sprintf(longer, "%.*sall others,width_mm > 0,%s", (int)(at - text), text, at + 13);
        free(text);
        text = longer;
    }
    expect_message("deterioration", text, "no last cohort that takes every segment",
                   "the condition 1");
    free(text);
}

static void the_last_class_of_a_factor_takes_all(void **state)
{
    (void)state;
    expect_spoilt("consequence", "repair depth,not known,1,", "repair depth,not known,depth_m > 0,",
                  "the last class of factor \"repair depth\" must have the condition 1",
                  "not known");
    expect_spoilt("consequence", "rail,none near", "track,none near",
                  "row 19, column condition: the last class of factor \"rail\" must have", "");
    expect_spoilt("consequence", "blockage call,every segment", "rail,every segment",
                  "the classes of factor \"rail\" do not stand together", "");
}

#define SCORING "side,factor,class,condition,points,weight,times,source\n"

static void weights_of_a_side_add_up_to_1_or_to_100(void **state)
{
    static const char *const whole[] = {
        SCORING "likelihood,a,x,1,5,0.6,,s\nlikelihood,b,x,1,5,0.4,,s\nlikelihood,c,x,1,2,,,s\n",
        SCORING "likelihood,a,x,1,5,60,,s\nlikelihood,b,x,1,5,40,,s\nlikelihood,c,x,1,2,,,s\n"};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        hn_arena arena = {0};
        hn_config c;
        hn_error err;

        if (load_with("scoring", whole[i], &c, &arena, &err) != HN_OK)
            fail_msg("%s", err.message);
        assert_close(c.score_factors[0].weight, 0.6, 1e-12);
        assert_close(c.score_factors[1].weight, 0.4, 1e-12);
        assert_true(isnan(c.score_factors[2].weight));
        hn_arena_clear(&arena);
    }
    expect_message("scoring",
                   SCORING "likelihood,a,x,1,5,0.6,,s\nlikelihood,b,x,1,5,0.3,,s\n",
                   "the weights on the side likelihood add up to 0.9", "the column times");
    expect_message("scoring", SCORING "consequence,a,x,1,5,60,,s\nlikelihood,b,x,1,5,40,,s\n",
                   "the weights on the side likelihood add up to 40", "add up to 1, or to 100");
    expect_message("scoring", SCORING "likelihood,a,x,1,5,0,,s\n", "add up to 0", "");
    expect_message("scoring", SCORING "likelihood,a,x,1,5,-1,,s\n", "row 2, column weight", "");
}

static void a_points_factor_stands_together_with_one_weight(void **state)
{
    (void)state;
    expect_message("scoring", SCORING "likelihood,a,x,depth_m > 1,5,1,,s\n",
                   "the last class of factor \"a\" must have the condition 1", "not known");
    expect_message("scoring",
                   SCORING "likelihood,a,x,1,5,,,s\nconsequence,a,y,1,5,,,s\n",
                   "do not stand together, on one side", "");
    expect_message("scoring",
                   SCORING "likelihood,a,x,depth_m > 1,5,1,,s\nlikelihood,a,y,1,5,0.5,,s\n",
                   "row 3, column weight: 0.5 differs", "leave it blank");
    expect_message("scoring", SCORING "risk,a,x,1,5,,,s\n", "column side", "");
}

static void money_is_never_negative(void **state)
{
    (void)state;
    expect_spoilt("consequence", ",120000,", ",-120000,",
                  "column money: -120000 is negative", "0 or more");
}

static void a_quality_rule_has_a_condition_or_a_check(void **state)
{
    (void)state;
    expect_spoilt("quality_rules", "error,,duplicate_id", "error,1,duplicate_id", "not both", "");
    expect_spoilt("quality_rules", "error,,duplicate_id", "error,,", "not neither", "");
}

static void overrides_are_read_and_checked(void **state)
{
    (void)state;
    static const char head[] = "segment_id,what,value,reason,who,date\n";
    char text[1024];
    hn_arena arena = {0};
    hn_config config;
    hn_error err;
    snprintf(text, sizeof text, "%s007,method,open_cut,new square,AB,2026-02-28\n", head);
    assert_int_equal(load_with("overrides", text, &config, &arena, &err), HN_OK);
    assert_int_equal(config.override_count, 1);
    assert_int_equal(config.overrides[0].line, 2);
    assert_string_equal(config.overrides[0].segment_id, "007"); /* ids keep their zeros */
    assert_int_equal(load_with("overrides", head, &config, &arena, &err), HN_OK);
    assert_int_equal(config.override_count, 0);
    hn_arena_clear(&arena);
    snprintf(text, sizeof text, "%s7,method,open_cutt,x,AB,2026-02-28\n", head);
    expect_message("overrides", text, "unknown method \"open_cutt\"", "known");
    snprintf(text, sizeof text, "%s7,methud,open_cut,x,AB,2026-02-28\n", head);
    expect_message("overrides", text, "unknown thing to override \"methud\"", "year");
    snprintf(text, sizeof text, "%s7,method,open_cut,x,AB,2026-02-29\n", head);
    expect_message("overrides", text, "\"2026-02-29\" is not a date; accepted is YYYY-MM-DD", "");
}

static void a_missing_table_is_a_fault_of_the_plan(void **state)
{
    (void)state;
    hn_arena arena = {0};
    hn_config config;
    hn_error err = {0};
    hn_config_paths paths = shipped_paths();
    paths.rates = "/nowhere/rates.csv";
    assert_int_equal(hn_config_read(&paths, &arena, &config, &err), HN_ERR_PLAN);
    paths.rates = NULL;
    assert_int_equal(hn_config_read(&paths, &arena, &config, &err), HN_ERR_PLAN);
    hn_arena_clear(&arena);
}

/* Every tenth allocation, so that the test stays quick. */
static void running_out_of_memory_is_reported_and_leaks_nothing(void **state)
{
    (void)state;
    const hn_config_paths paths = shipped_paths();
    const size_t live = hn_alloc_live();
    hn_status rc = HN_ERR_MEMORY;
    size_t failed = 0;
    for (size_t nth = 1; rc != HN_OK; nth += 10) {
        hn_arena arena = {0};
        hn_config config;
        hn_error err = {0};
        hn_alloc_fail_after(nth);
        rc = hn_config_read(&paths, &arena, &config, &err);
        hn_alloc_fail_after(0);
        hn_arena_clear(&arena);
        if (rc != HN_OK)
            assert_int_equal(rc, HN_ERR_MEMORY);
        assert_int_equal(hn_alloc_live(), live);
        failed += rc != HN_OK;
    }
    assert_true(failed > 3);
}

static int make_folder(void **state)
{
    (void)state;
    const char *base = getenv("TMPDIR");
    snprintf(folder, sizeof folder, "%s/haunch-config-XXXXXX", base ? base : "/tmp");
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_shipped_tables_load),
        cmocka_unit_test(a_rule_has_its_method_verdict_and_limit_resolved),
        cmocka_unit_test(rates_come_sorted_by_method_surface_depth_and_width),
        cmocka_unit_test(the_base_cohort_gives_back_the_published_stay_probabilities),
        cmocka_unit_test(cost_items_have_quantity_and_methods_resolved),
        cmocka_unit_test(every_row_of_every_shipped_table_has_a_source),
        cmocka_unit_test(every_shipped_expression_compiles_against_the_segment_table),
        cmocka_unit_test(a_missing_column_is_listed_with_the_accepted_names),
        cmocka_unit_test(an_unknown_column_is_refused_but_notes_are_not),
        cmocka_unit_test(a_bad_number_names_file_row_column_value_and_range),
        cmocka_unit_test(a_blank_source_is_refused),
        cmocka_unit_test(an_empty_table_is_refused),
        cmocka_unit_test(unknown_ids_are_refused_with_the_nearest),
        cmocka_unit_test(grading_tables_are_checked_against_each_other),
        cmocka_unit_test(a_wrong_word_in_a_choice_lists_the_accepted_ones),
        cmocka_unit_test(duplicates_are_refused_with_both_rows),
        cmocka_unit_test(unsorted_and_single_sizes_are_refused),
        cmocka_unit_test(one_table_has_one_currency),
        cmocka_unit_test(a_wall_rule_without_its_numbers_is_refused),
        cmocka_unit_test(works_and_verdict_must_agree),
        cmocka_unit_test(a_limit_that_is_used_must_be_given),
        cmocka_unit_test(a_placeholder_must_be_a_column),
        cmocka_unit_test(cohorts_are_complete_and_end_with_one_for_all),
        cmocka_unit_test(the_last_class_of_a_factor_takes_all),
        cmocka_unit_test(weights_of_a_side_add_up_to_1_or_to_100),
        cmocka_unit_test(a_points_factor_stands_together_with_one_weight),
        cmocka_unit_test(money_is_never_negative),
        cmocka_unit_test(a_quality_rule_has_a_condition_or_a_check),
        cmocka_unit_test(overrides_are_read_and_checked),
        cmocka_unit_test(running_out_of_memory_is_reported_and_leaks_nothing),
        cmocka_unit_test(a_missing_table_is_a_fault_of_the_plan),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}

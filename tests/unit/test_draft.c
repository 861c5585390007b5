/* unit/test_draft.c - what a draft guesses from names and values, what it
 * leaves open, and that the plan's own reader takes it. The town is invented. */
#include "base/alloc.h"
#include "plan/draft.h"
#include "plan/draft_path.h"
#include "plan/draft_words.h"
#include "plan/plan_parts.h"
#include "source_fixture.h"

enum { ROWS = 60 };

static hn_error err;
static char *draft;
static hn_draft_choice choice;

static int begin(void **state)
{
    setenv("SOURCE_DATE_EPOCH", "1782950400", 1); /* 2026-07-02 */
    setenv("HAUNCH_CONFIG", HN_SOURCE_DIR "/config", 1);
    return fixture_begin(state);
}

static int forget_draft(void **state)
{
    (void)state;
    hn_free(draft);
    draft = NULL;
    return 0;
}

static void make_draft(const char *path, const char *layer)
{
    if (hn_draft_plan(path, layer, NULL, &draft, &choice, &err) != HN_OK)
        fail_msg("%s (%s)", err.message, err.hint);
}

static void holds(const char *text)
{
    if (!strstr(draft, text))
        fail_msg("the draft should hold \"%s\":\n%s", text, draft);
}

static void lacks(const char *text)
{
    if (strstr(draft, text))
        fail_msg("the draft should not hold \"%s\":\n%s", text, draft);
}

/* The draft with every `from` replaced by `to`. */
static void edit(const char *from, const char *to)
{
    char *at, *edited;

    while ((at = strstr(draft, from)) != NULL) {
        edited = hn_alloc(strlen(draft) + strlen(to) + 1, 1);
        sprintf(edited, "%.*s%s%s", (int)(at - draft), draft, to, at + strlen(from));
        hn_free(draft);
        draft = edited;
    }
}

static void fill_currency(void)
{
    edit("currency:   # FILL IN:", "currency: EUR #");
}

static hn_status read_draft(hn_plan **plan)
{
    return hn_plan_read_bytes("plan.yaml", (const unsigned char *)draft, strlen(draft), plan, &err);
}

static hn_plan *accepted_draft(void)
{
    hn_plan *plan;

    if (read_draft(&plan) != HN_OK)
        fail_msg("%s (%s) in:\n%s", err.message, err.hint, draft);
    return plan;
}

/* A metric network: one line of 50 m a row. */
static const char *metric_town(void)
{
    static const char *const fields[] = {"ASSET_ID", "FROM_MH", "TO_MH",  "DIAM",
                                         "MAT",      "PROFILE", "LEN",    "INV_UP",
                                         "INV_DN",   "COND",    "STATUS", "odd: #1"};
    static const char *const materials[] = {"VC", "VC", "CO", "QQ"};
    const char *path = fixture_path("metric.gpkg");
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "sewers", 25832, wkbLineString);

    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++)
        fixture_field(layer, fields[i],
                      i == 3 || i == 9             ? OFTInteger
                      : i == 6 || i == 7 || i == 8 ? OFTReal
                                                   : OFTString);
    fixture_field(layer, "INSTALLED", OFTInteger64);
    for (int i = 0; i < ROWS; i++) {
        char id[16], up[16], down[16], diam[16], inv[16], line[99], cond[8];
        const char *cells[] = {
            id,  up,   down,     diam, materials[i % 4], i % 3 ? "C" : "E", "50.5", inv,
            inv, cond, "in use", "x",  "-1577923200000"};

        snprintf(id, sizeof id, "S%d", i);
        snprintf(up, sizeof up, "M%d", i);
        snprintf(down, sizeof down, "M%d", i + 1);
        snprintf(diam, sizeof diam, "%d", i == 0 ? 30000 : i < 4 ? 0 : 300 + 100 * (i % 9));
        snprintf(inv, sizeof inv, "%.2f", i % 10 ? 180.25 + i : 0.0);
        snprintf(cond, sizeof cond, "%d", i % 6);
        snprintf(line, sizeof line, "LINESTRING(%d 5500000,%d 5500000)", 500000 + 50 * i,
                 500050 + 50 * i);
        fixture_row(layer, line, cells);
    }
    GDALClose(dataset);
    return path;
}

/* Feet and inches, years and dates with marks, and further layers. */
static const char *us_town(void)
{
    const char *path = fixture_path("us.gpkg");
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "gravity_mains", 2927, wkbLineString), other;
    const char *point[] = {"M1"}, *run[] = {"1"}, *rail[] = {"R"};

    fixture_field(layer, "FACILITYID", OFTString);
    fixture_field(layer, "PipeDiameter", OFTString);
    fixture_field(layer, "Length_ft", OFTReal);
    fixture_field(layer, "Slope", OFTReal);
    fixture_field(layer, "YearBuilt", OFTInteger);
    fixture_field(layer, "RelinedDate", OFTDate);
    fixture_field(layer, "LastCCTV", OFTInteger);
    for (int i = 0; i < ROWS; i++) {
        char id[16], diam[16], slope[16], year[16], line[99];
        const char *cells[] = {id,
                               diam,
                               "164",
                               slope,
                               year,
                               i % 3 ? "2011/05/04" : "1899/12/30",
                               i % 2 ? "2019" : "0"};

        snprintf(id, sizeof id, "F-%d", i);
        snprintf(diam, sizeof diam, "%d", 8 + 2 * (i % 5));
        snprintf(slope, sizeof slope, "%.5f", i % 4 ? 0.002 + 0.0001 * i : 9.99999);
        snprintf(year, sizeof year, "%d", i % 5 ? 1900 + i : 0);
        snprintf(line, sizeof line, "LINESTRING(%d 100000,%d 100000)", 1000 + i, 1164 + i);
        fixture_row(layer, line, cells);
    }
    other = fixture_layer(dataset, "Manholes", 2927, wkbPoint);
    fixture_field(other, "ID", OFTString);
    fixture_row(other, "POINT(1 1)", point);
    other = fixture_layer(dataset, "cctv_runs", 0, wkbNone);
    fixture_field(other, "N", OFTString);
    fixture_row(other, NULL, run);
    other = fixture_layer(dataset, "Rail lines 2", 2927, wkbLineString);
    fixture_field(other, "N", OFTString);
    fixture_row(other, "LINESTRING(0 0,1 1)", rail);
    GDALClose(dataset);
    return path;
}

static void fields_are_guessed_by_name_and_value(void **state)
{
    (void)state;
    make_draft(metric_town(), NULL);
    holds("as_of: 2026-07-02");
    holds("layer: sewers   # 60 rows looked at, 60 lines");
    holds("    segment_id: ASSET_ID  # 60 distinct in 60 rows\n");
    holds("    up_node: FROM_MH ");
    holds("    down_node: TO_MH ");
    holds("    length: {field: LEN, unit: m}  # 1.01 times the drawn length");
    holds("    width: {field: DIAM, unit: mm, missing: [0]}");
    holds("(all: 300 to 30000)");
    holds("    year_built: {field: INSTALLED, date: epoch_ms}");
    holds("    invert_up: {field: INV_UP, unit: m, missing: [0]}");
    holds("    invert_down: {field: INV_DN, unit: m, missing: [0]}");
    holds("    status: STATUS ");
    holds("# where: \"STATUS = 'in use'\"");
    holds("    #   odd: #1: 1 distinct, empty in 0 rows; x (60)");
}

static void marks_of_missing_values_are_counted(void **state)
{
    (void)state;
    make_draft(metric_town(), NULL);
    holds("0 in 3 rows, taken as missing");  /* DIAM */
    holds("0 in 6 rows, taken as missing");  /* INV_UP */
    holds("0 in 10 rows, taken as missing"); /* COND */
    forget_draft(state);
    make_draft(us_town(), "gravity_mains");
    holds("slope: {field: Slope, unit: m/m, missing: [9.99999]}");
    holds("9.99999 in 15 rows, taken as missing");
    holds("year_built: {field: YearBuilt, missing: [0]}");
    holds("0 in 12 rows, taken as missing");
    holds("year_lined: {field: RelinedDate, missing: [1899-12-30]}");
    holds("1899-12-30 in 20 rows, taken as missing");
    holds("inspected_on: {field: LastCCTV, date: year, missing: [0]}");
}

static void coded_values_are_placed_or_listed_with_their_count(void **state)
{
    (void)state;
    make_draft(metric_town(), NULL);
    holds("        VC: vitrified clay   # 30 rows\n        CO: concrete   # 15 rows\n"
          "      other: unknown\n      # not placed, and so unknown: QQ (15)\n");
    holds("        C: circle   # 40 rows\n        E: egg   # 20 rows\n");
}

static void a_letter_with_two_meanings_is_told_by_the_others(void **state)
{
    static const char *const with_foul[] = {"M", "F", "S"}, *const alone[] = {"C", "S", "RW"};

    (void)state;
    for (int known = 0; known < 2; known++) {
        const char *path = fixture_path(known ? "foul.gpkg" : "alone.gpkg");
        GDALDatasetH dataset = fixture_create("GPKG", path);
        OGRLayerH layer = fixture_layer(dataset, "sewers", 25832, wkbLineString);

        fixture_field(layer, "DUTY", OFTString);
        for (int i = 0; i < 9; i++) {
            const char *cell[] = {(known ? with_foul : alone)[i % 3]};

            fixture_row(layer, "LINESTRING(500000 5500000,500050 5500000)", cell);
        }
        GDALClose(dataset);
        make_draft(path, NULL);
        if (known)
            holds("        S: storm   # 3 rows");
        else
            holds("# not placed, and so unknown: S (3)");
        forget_draft(state);
    }
}

static void feet_and_inches_are_told_from_the_values(void **state)
{
    (void)state;
    make_draft(us_town(), NULL);
    holds("segment_id: FACILITYID ");
    holds("width: {field: PipeDiameter, unit: in}");
    holds("length: {field: Length_ft, unit: ft}  # 3.28 times the drawn length");
}

static void a_draft_is_refused_until_the_grade_direction_is_filled(void **state)
{
    hn_plan *plan = NULL;

    (void)state;
    make_draft(metric_town(), NULL);
    holds("values: 0 (10), 1 (10), 2 (10)");
    fill_currency();
    assert_int_equal(read_draft(&plan), HN_ERR_PLAN);
    assert_non_null(strstr(err.message,
                           "network.fields.grade_structural does not say which grade is"
                           " best"));
    assert_non_null(strstr(err.hint, "best: 1, worst: 5"));
    edit("best:    #", "best: 1  #");
    edit("worst:   #", "worst: 5 #");
    plan = accepted_draft();
    assert_int_equal(plan->network.field_count, 12);
    assert_close(hn_source_find(&plan->network, "grade_structural")->worst, 5, 0);
    assert_string_equal(hn_source_find(&plan->network, "width")->missing[0], "0");
    assert_string_equal(plan->network.from, fixture_path("metric.gpkg"));
    assert_close(plan->budgets[0].amount + 1, 1, 0);
    hn_plan_free(plan);
}

static void a_draft_is_refused_until_the_currency_is_filled(void **state)
{
    hn_plan *plan;

    (void)state;
    make_draft(us_town(), NULL);
    assert_int_equal(read_draft(&plan), HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "currency is empty"));
    fill_currency();
    hn_plan_free(accepted_draft());
}

static void a_draft_without_grades_is_a_plan_with_its_currency(void **state)
{
    hn_plan *plan;

    (void)state;
    make_draft(us_town(), NULL);
    fill_currency();
    lacks("FILL IN:");
    plan = accepted_draft();
    assert_string_equal(plan->network.layer, "gravity_mains");
    hn_plan_free(plan);
}

static void other_layers_are_offered_and_can_be_taken(void **state)
{
    hn_plan *plan;

    (void)state;
    make_draft(us_town(), NULL);
    holds("# layer Manholes: points, 1 rows looked at\n# nodes:\n");
    holds("# layer cctv_runs: a table, 1 rows looked at\n# inspections:\n");
    holds("# layer Rail lines 2: lines, 1 rows looked at\n# context:");
    edit("# layer ", "## ");
    edit("\n# nodes", "\nnodes");
    edit("\n# inspections", "\ninspections");
    edit("\n# context", "\ncontext");
    edit("\n# config", "\nconfig");
    edit("\n#  ", "\n  ");
    fill_currency();
    plan = accepted_draft();
    assert_int_equal(plan->has_nodes, 1);
    assert_int_equal(plan->inspection_count, 1);
    assert_string_equal(plan->context[0].name, "raillines2");
    assert_string_equal(plan->context[0].source.layer, "Rail lines 2");
    hn_plan_free(plan);
}

static void a_layer_without_crs_must_be_given_one(void **state)
{
    const char *path = fixture_path("nowhere.gpkg"), *row[] = {"a: #1"};
    GDALDatasetH dataset = fixture_create("GPKG", path);
    OGRLayerH layer = fixture_layer(dataset, "lines", 0, wkbLineString);
    hn_plan *plan;

    (void)state;
    fixture_field(layer, "odd: #1", OFTString);
    fixture_row(layer, "LINESTRING(0 0,1 1)", row);
    GDALClose(dataset);
    make_draft(path, NULL);
    holds("crs:   # FILL IN");
    holds("segment_id: fid ");
    fill_currency();
    assert_int_equal(read_draft(&plan), HN_ERR_PLAN);
    assert_non_null(strstr(err.message, "network.crs is empty"));
    edit("crs:   #", "crs: EPSG:25832 #");
    hn_plan_free(accepted_draft());
}

static void names_that_yaml_would_misread_are_quoted(void **state)
{
    const char *path = fixture_text(
        "odd.geojson",
        "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":"
        "{\"pipe id: \\\"x\\\" #1\":\"a\\nb\",\"Status\":\"'in: use'\"},\"geometry\":{\"type\":"
        "\"LineString\",\"coordinates\":[[9,50],[9.001,50]]}}]}");
    hn_plan *plan;

    (void)state;
    make_draft(path, NULL);
    fill_currency();
    plan = accepted_draft();
    assert_string_equal(hn_source_find(&plan->network, "segment_id")->field, "pipe id: \"x\" #1");
    hn_plan_free(plan);
}

static void the_same_data_give_the_same_draft(void **state)
{
    const char *path = metric_town();
    char *first;

    (void)state;
    make_draft(path, NULL);
    first = draft;
    make_draft(path, NULL);
    assert_string_equal(first, draft);
    hn_free(first);
}

static void the_source_is_named_from_the_folder_of_the_plan(void **state)
{
    char room[4096], plan[4096];

    (void)state;
    snprintf(plan, sizeof plan, "%s", metric_town());
    memcpy(strrchr(plan, '/'), "/p.yml", 7);
    assert_string_equal(hn_draft_path(metric_town(), plan, room, sizeof room), "metric.gpkg");
    assert_string_equal(hn_draft_path(metric_town(), NULL, room, sizeof room),
                        fixture_path("metric.gpkg"));
    assert_string_equal(hn_draft_path("/dev/null", "/dev/shm/plan.yaml", room, sizeof room),
                        "../null");
    assert_string_equal(
        hn_draft_path("/proc/version", "/proc/sys/net/plan.yaml", room, sizeof room),
        "../../version");
    assert_string_equal(hn_draft_path("/dev/null", "/proc/plan.yaml", room, sizeof room),
                        "/dev/null"); /* they meet at the root only */
    assert_string_equal(hn_draft_path("/dev/null", "/nowhere/plan.yaml", room, sizeof room),
                        "/dev/null");
    assert_string_equal(hn_draft_path("not/there.gpkg", "plan.yaml", room, sizeof room),
                        "not/there.gpkg");
}

static void title_and_result_folder_are_named_after_the_source(void **state)
{
    char room[16];

    (void)state;
    make_draft(metric_town(), NULL);
    holds("title: Renewal plan (metric) ");
    holds("  folder: result-metric ");
    assert_int_equal(choice.line_layers, 1);
    lacks("layers of lines");
    forget_draft(state);
    make_draft(us_town(), NULL);
    holds("  folder: result-us-gravity_mains "); /* another layer of it may be drafted too */
    holds("# one of 2 layers of lines;");
    assert_int_equal(choice.line_layers, 2);
    assert_string_equal(choice.layer, "gravity_mains");
    assert_string_equal(hn_draft_stem("/a/b c.d/old net.v2.gpkg", "x", room, sizeof room),
                        "old_net_v2");
    assert_string_equal(hn_draft_stem("/a/.gpkg", "sewers", room, sizeof room), "sewers");
    assert_string_equal(hn_draft_stem("folder/", "sewers", room, sizeof room), "sewers");
    assert_string_equal(hn_draft_stem(NULL, "sewers", room, sizeof room), "sewers");
}

static void tables_of_ones_own_are_explained(void **state)
{
    (void)state;
    make_draft(metric_town(), NULL);
    holds("INVENTED");
    holds("# copy the folder " HN_SOURCE_DIR "/config\n");
    holds("# config:\n#   folder: config\n");
}

static void what_cannot_be_a_network_is_refused_with_what_is_there(void **state)
{
    const char *path = us_town();

    (void)state;
    assert_int_equal(hn_draft_plan("/nowhere/x.gpkg", NULL, NULL, &draft, NULL, &err),
                     HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "/nowhere/x.gpkg"));
    assert_non_null(strstr(err.hint, "connection string"));
    assert_int_equal(hn_draft_plan(path, "mains", NULL, &draft, NULL, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "has no layer `mains`"));
    assert_non_null(strstr(err.hint, "gravity_mains (lines), Manholes (points)"));
    assert_int_equal(hn_draft_plan(path, "Manholes", NULL, &draft, NULL, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "no layer of lines"));
    assert_null(draft);
}

static void words_of_field_names_are_known(void **state)
{
    (void)state;
    assert_true(hn_name_has_word("Us_End_Id", HN_WORD_UP));
    assert_true(hn_name_has_word("YearInst", HN_WORD_BUILT));
    assert_true(hn_name_has_word("PIPEDIAMETER", HN_WORD_SIZE));
    assert_true(hn_name_has_word("Pipe_Lengt", HN_WORD_LENGTH)); /* cut at ten letters */
    assert_true(hn_name_has_word("Us_Pipe_Si", HN_WORD_SIZE));   /* cut at ten letters */
    assert_false(hn_name_has_word("Us_Pip_Si", HN_WORD_SIZE));   /* nine: not cut */
    assert_false(hn_name_has_word("d_SEWER_TY", HN_WORD_DISTRICT));
    assert_false(hn_name_has_word("", HN_WORD_UP));
}

static void every_material_of_the_draft_is_in_the_table(void **state)
{
    static const char *const codes[] = {"VC",  "co", "RCP",     "BR",  "PVC", "HDPE",
                                        "PP",  "AC", "CI",      "DI",  "ST",  "CSP",
                                        "GRP", "PF", "masonry", "PSC", "PRC"};
    FILE *file = fopen(HN_SOURCE_DIR "/config/materials.csv", "r");
    static char table[65536], wanted[80];

    (void)state;
    assert_non_null(file);
    assert_true(fread(table, 1, sizeof table - 1, file) > 0);
    fclose(file);
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        assert_non_null(hn_material_of_value(codes[i]));
        snprintf(wanted, sizeof wanted, "\n%s,", hn_material_of_value(codes[i]));
        if (!strstr(table, wanted))
            fail_msg("%s is not in config/materials.csv", hn_material_of_value(codes[i]));
    }
    assert_null(hn_material_of_value("QQ"));
}

static void memory_that_runs_out_is_an_error_and_not_a_leak(void **state)
{
    const char *path = metric_town();
    size_t before = hn_alloc_live();
    hn_status rc = HN_ERR_MEMORY;

    (void)state;
    for (size_t nth = 1; rc != HN_OK && nth < 300; nth++) {
        hn_alloc_fail_after(nth);
        rc = hn_draft_plan(path, NULL, NULL, &draft, NULL, &err);
        hn_alloc_fail_after(0);
        assert_true(rc == HN_OK || rc == HN_ERR_MEMORY);
    }
    assert_int_equal(rc, HN_OK);
    forget_draft(state);
    assert_int_equal(hn_alloc_live(), before);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(fields_are_guessed_by_name_and_value, forget_draft),
        cmocka_unit_test_teardown(marks_of_missing_values_are_counted, forget_draft),
        cmocka_unit_test_teardown(coded_values_are_placed_or_listed_with_their_count, forget_draft),
        cmocka_unit_test_teardown(a_letter_with_two_meanings_is_told_by_the_others, forget_draft),
        cmocka_unit_test_teardown(feet_and_inches_are_told_from_the_values, forget_draft),
        cmocka_unit_test_teardown(a_draft_is_refused_until_the_grade_direction_is_filled,
                                  forget_draft),
        cmocka_unit_test_teardown(a_draft_without_grades_is_a_plan_with_its_currency, forget_draft),
        cmocka_unit_test_teardown(a_draft_is_refused_until_the_currency_is_filled, forget_draft),
        cmocka_unit_test(the_source_is_named_from_the_folder_of_the_plan),
        cmocka_unit_test_teardown(title_and_result_folder_are_named_after_the_source, forget_draft),
        cmocka_unit_test_teardown(tables_of_ones_own_are_explained, forget_draft),
        cmocka_unit_test_teardown(other_layers_are_offered_and_can_be_taken, forget_draft),
        cmocka_unit_test_teardown(a_layer_without_crs_must_be_given_one, forget_draft),
        cmocka_unit_test_teardown(names_that_yaml_would_misread_are_quoted, forget_draft),
        cmocka_unit_test_teardown(the_same_data_give_the_same_draft, forget_draft),
        cmocka_unit_test_teardown(what_cannot_be_a_network_is_refused_with_what_is_there,
                                  forget_draft),
        cmocka_unit_test(words_of_field_names_are_known),
        cmocka_unit_test(every_material_of_the_draft_is_in_the_table),
        cmocka_unit_test_teardown(memory_that_runs_out_is_an_error_and_not_a_leak, forget_draft),
    };

    return cmocka_run_group_tests(tests, begin, fixture_end);
}

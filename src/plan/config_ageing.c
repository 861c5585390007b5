/* plan/config_ageing.c - materials, deterioration cohorts and failure rates. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <string.h>

/* ---- materials ---- */

static const hn_cell_spec material_cells[] = {
    HN_TEXT_CELL(hn_material, id, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_material, title, HN_CELL_VALUE),
    {"brittle", HN_CELL_CHOICE, HN_CELL_COLUMN, (long)offsetof(hn_material, brittle), 0, 0,
     hn_config_no_yes, -1},
    HN_NUMBER_CELL(hn_material, manning_n, HN_CELL_COLUMN, 0.005, 0.1),
    HN_TEXT_CELL(hn_material, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

hn_status hn_config_materials(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {material_cells, sizeof(hn_material), 0, 0};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->materials = rows;
    out->material_count = in.count;
out:
    return rc;
}

/* ---- deterioration: three rows a cohort, one for each driver ---- */

typedef struct cohort_row {
    const char *cohort, *condition, *source;
    int driver;
    double rate[4], growth_per_year;
} cohort_row;

/* 5 per year is a mean stay of ten weeks: beyond it a typing error. */
#define RATE_CELL(name, k)                                                                      \
    {                                                                                           \
        name, HN_CELL_NUMBER, HN_CELL_VALUE, (long)offsetof(cohort_row, rate[k]), 0, 5, NULL, 0 \
    }

static const hn_cell_spec cohort_cells[] = {
    HN_TEXT_CELL(cohort_row, cohort, HN_CELL_VALUE),
    HN_TEXT_CELL(cohort_row, condition, HN_CELL_COLUMN),
    {"driver", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(cohort_row, driver), 0, 0,
     hn_config_drivers, 0},
    RATE_CELL("rate_1_to_2_per_year", 0),
    RATE_CELL("rate_2_to_3_per_year", 1),
    RATE_CELL("rate_3_to_4_per_year", 2),
    RATE_CELL("rate_4_to_5_per_year", 3),
    /* as far as the fit looks for it */
    HN_NUMBER_CELL(cohort_row, growth_per_year, HN_CELL_OPTIONAL, -0.3, 0.3),
    HN_TEXT_CELL(cohort_row, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static int same_text(const char *a, const char *b)
{
    return (!a && !b) || (a && b && strcmp(a, b) == 0);
}

/* Rows of one cohort stand together, each with the same condition. */
static hn_status check_cohort_row(const hn_config_input *in, const cohort_row *rows, size_t i,
                                  hn_error *err)
{
    if (i % HN_DRIVERS == 0)
        return HN_OK;
    if (strcmp(rows[i].cohort, rows[i - 1].cohort) != 0) {
        const hn_status rc =
            hn_config_fail(in, i, "cohort", err, "cohort \"%s\" ends without a row for each driver",
                           rows[i - 1].cohort);
        hn_hint(err, "each cohort has three rows together: structural, service, tightness");
        return rc;
    }
    if (!same_text(rows[i].condition, rows[i - 1].condition))
        return hn_config_fail(in, i, "condition", err,
                              "the three rows of cohort \"%s\" need the same condition",
                              rows[i].cohort);
    return HN_OK;
}

static hn_status gather_cohorts(const hn_config_input *in, const cohort_row *rows, hn_config *out,
                                hn_error *err)
{
    hn_status rc = HN_OK;
    for (size_t i = 0; i < in->count; i++) {
        HN_TRY(check_cohort_row(in, rows, i, err));
        hn_cohort *cohort = &out->cohorts[i / HN_DRIVERS];
        if (i % HN_DRIVERS == 0) {
            cohort->id = rows[i].cohort;
            cohort->condition = rows[i].condition;
            cohort->source = rows[i].source;
        }
        memcpy(cohort->rate_per_year[rows[i].driver], rows[i].rate, sizeof rows[i].rate);
        cohort->growth_per_year[rows[i].driver] =
            isnan(rows[i].growth_per_year) ? 0.0 : rows[i].growth_per_year;
        cohort->rate_source[rows[i].driver] = rows[i].source;
    }
    out->cohort_count = in->count / HN_DRIVERS;
out:
    return rc;
}

/* Without a last cohort that takes everything, some segments would have no
 * chance of failure at all. */
static hn_status check_last_cohort(const hn_config_input *in, const hn_config *out, hn_error *err)
{
    size_t last = out->cohort_count;
    for (size_t c = 0; c < out->cohort_count; c++)
        if (out->cohorts[c].condition)
            last = c;
    if (last < out->cohort_count && strcmp(out->cohorts[last].condition, "1") == 0)
        return HN_OK;
    const hn_status rc =
        hn_fail(err, HN_ERR_PLAN, "%s: no last cohort that takes every segment", in->path);
    hn_hint(err, "give the last cohort that has a condition the condition 1");
    return rc;
}

hn_status hn_config_deterioration(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {cohort_cells, sizeof(cohort_row), 0, 0};
    static const char *const key[] = {"cohort", "driver", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->cohorts = hn_arena_alloc(arena, in.count / HN_DRIVERS + 1, sizeof *out->cohorts);
    HN_TRY_ALLOC(out->cohorts);
    HN_TRY(gather_cohorts(&in, rows, out, err));
    if (in.count % HN_DRIVERS) {
        rc = hn_config_fail(&in, in.count - 1, "cohort", err,
                            "the last cohort ends without a row for each driver");
        goto out;
    }
    HN_TRY(check_last_cohort(&in, out, err));
out:
    return rc;
}

/* ---- misreading ---- */

typedef struct misreading_row {
    int grade;
    double read[5];
    const char *source;
} misreading_row;

#define READ_CELL(name, k)                                                                        \
    {                                                                                             \
        name, HN_CELL_NUMBER, HN_CELL_VALUE, (long)offsetof(misreading_row, read[k]), 0, 1, NULL, \
            0                                                                                     \
    }

static const hn_cell_spec misreading_cells[] = {
    {"true_grade", HN_CELL_WHOLE, HN_CELL_VALUE, (long)offsetof(misreading_row, grade), 1, 5, NULL,
     0},
    READ_CELL("read_1", 0),
    READ_CELL("read_2", 1),
    READ_CELL("read_3", 2),
    READ_CELL("read_4", 3),
    READ_CELL("read_5", 4),
    HN_TEXT_CELL(misreading_row, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

/* Decimals as people write them add up to 1 within this. */
static const double SHARE_SLACK = 1e-6;

hn_status hn_config_misreading(const char *path, hn_arena *arena, double out[5][5], hn_error *err)
{
    static const hn_table_spec spec = {misreading_cells, sizeof(misreading_row), 0, 0};
    static const char *const key[] = {"true_grade", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    const misreading_row *row = rows;
    for (size_t i = 0; i < in.count; i++) {
        double sum = 0.0;
        for (int k = 0; k < 5; k++)
            sum += out[row[i].grade - 1][k] = row[i].read[k];
        if (fabs(sum - 1.0) > SHARE_SLACK)
            HN_TRY(hn_config_fail(&in, i, "read_1", err,
                                  "the shares of true grade %d add up to %g, not to 1",
                                  row[i].grade, sum));
    }
    if (in.count != 5) {
        rc = hn_fail(err, HN_ERR_PLAN, "%s: %zu rows, not one for each grade", in.path, in.count);
        hn_hint(err, "give one row for each true grade 1 to 5, with the shares read as 1 to 5");
    }
out:
    return rc;
}

/* ---- failure rates ---- */

typedef struct failure_row {
    int driver, grade;
    double failures_per_segment_per_year;
    const char *source;
} failure_row;

/* 52 a year is once a week, more than any sewer is left in. */
static const hn_cell_spec failure_cells[] = {
    {"driver", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(failure_row, driver), 0, 0,
     hn_config_drivers, 0},
    {"grade", HN_CELL_WHOLE, HN_CELL_VALUE, (long)offsetof(failure_row, grade), 1, 5, NULL, 0},
    HN_NUMBER_CELL(failure_row, failures_per_segment_per_year, HN_CELL_VALUE, 0, 52),
    HN_TEXT_CELL(failure_row, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

static hn_status fail_no_rate(const hn_config_input *in, int driver, int grade, hn_error *err)
{
    hn_fail(err, HN_ERR_PLAN, "%s: no row for driver %s, grade %d", in->path,
            hn_config_drivers[driver], grade);
    hn_hint(err, "give one row for each driver and grade 1 to 5, with its yearly rate and source");
    return HN_ERR_PLAN;
}

static hn_status check_all_grades(const hn_config_input *in, const hn_config *out, hn_error *err)
{
    for (int d = 0; d < HN_DRIVERS; d++)
        for (int g = 0; g < 5; g++)
            if (!out->failure.source[d][g])
                return fail_no_rate(in, d, g + 1, err);
    return HN_OK;
}

hn_status hn_config_failure_rates(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {failure_cells, sizeof(failure_row), 0, 0};
    static const char *const key[] = {"driver", "grade", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    const failure_row *row = rows;
    for (size_t i = 0; i < in.count; i++) {
        out->failure.per_year[row[i].driver][row[i].grade - 1] =
            row[i].failures_per_segment_per_year;
        out->failure.source[row[i].driver][row[i].grade - 1] = row[i].source;
    }
    HN_TRY(check_all_grades(&in, out, err));
out:
    return rc;
}

/* Totals of both results and what each step adds to them; they must add up. */
#include "run/compare_parts.h"
#include "run/table_columns.h"

#include <stdio.h>
#include <string.h>

static const struct {
    const char *name, *unit;
    int decimals;
} totals[HN_TOTAL_COUNT] = {
    {"segments", "", 0},
    {"length", "m", 0},
    {"length with observed condition", "m", 0},
    {"observed share of the length", "0-1", 4},
    {"expected loss a year", "money", 0},
    {"act-now segments", "", 0},
    {"segments in the programme", "", 0},
    {"length in the programme", "m", 0},
    {"of it lined", "m", 0},
    {"of it replaced", "m", 0},
    {"of it repaired or cleaned", "m", 0},
    {"cost of the programme", "money", 0},
    {"segments unfunded", "", 0},
    {"cost of unfunded work", "money", 0},
    {"grades 4 and 5 at the start", "m", 0},
    {"grades 4 and 5 in the last year", "m", 0},
};

static const hn_view_column total_columns[] = {
    HN_TEXT("total", "Total", "What is added up"),
    HN_TEXT("unit", "Unit", "Unit"),
    {"first", "First", "In the first result", "", HN_VIEW_REAL, 4, NULL, 0},
    {"steps", "Steps", "Sum of what the steps change", "", HN_VIEW_REAL, 4, NULL, 0},
    {"second", "Second", "In the second result", "", HN_VIEW_REAL, 4, NULL, 0},
    {"holds", "Holds", "First and steps give the second", "", HN_VIEW_BOOL, 0, NULL, 0},
};
static const hn_view_column cause_columns[] = {
    HN_TEXT("total", "Total", "What is added up"),
    HN_TEXT("unit", "Unit", "Unit"),
    HN_WHOLE("step", "Step", "Number of the step"),
    HN_TEXT("cause", "Cause", "Cause of the step"),
    {"before", "Before", "Before the step", "", HN_VIEW_REAL, 4, NULL, 0},
    {"change", "Change", "What the step adds", "", HN_VIEW_REAL, 4, NULL, 0},
    {"after", "After", "After the step", "", HN_VIEW_REAL, 4, NULL, 0},
};
static const hn_view_column step_columns[] = {
    HN_WHOLE("step", "Step", "Number of the step"),
    HN_TEXT("cause", "Cause", "Cause of the step"),
    HN_TEXT("note", "Note", "What is to be known of it"),
};
static const hn_view_column check_columns[] = {
    HN_TEXT("check", "Check", "What must agree"),
    {"left", "Left", "First sum", "", HN_VIEW_REAL, 2, NULL, 0},
    {"right", "Right", "Second sum", "", HN_VIEW_REAL, 2, NULL, 0},
    {"difference", "Difference", "Left less right", "", HN_VIEW_REAL, 2, NULL, 0},
    {"holds", "Holds", "The two agree", "", HN_VIEW_BOOL, 0, NULL, 0},
};

static const char *unit_of(const hn_comparison *c, int t)
{
    return strcmp(totals[t].unit, "money") == 0 ? c->side[0].currency : totals[t].unit;
}

static int agree(double left, double right, double scale)
{
    return fabs(left - right) <= 0.005 + 1e-9 * scale;
}

static void check(hn_comparison *c, const char *name, double left, double right)
{
    hn_grid *g = &c->grid[HN_COMPARE_CHECKS];
    int holds = agree(left, right, fmax(fabs(left), fabs(right)));

    hn_grid_row(g);
    hn_grid_text(g, name);
    hn_grid_real(g, left);
    hn_grid_real(g, right);
    hn_grid_real(g, left - right);
    hn_grid_int(g, holds);
    c->holds = c->holds && holds;
}

static void put_total(hn_comparison *c, int t)
{
    hn_grid *g = &c->grid[HN_COMPARE_TOTALS], *by = &c->grid[HN_COMPARE_BY_CAUSE];
    double first = c->snap[0].total[t], second = c->snap[c->snaps - 1].total[t], sum = 0.0;
    int holds;

    for (size_t i = 0; i + 1 < c->snaps; i++) {
        double before = c->snap[i].total[t], after = c->snap[i + 1].total[t];

        sum += after - before;
        hn_grid_row(by);
        hn_grid_text(by, totals[t].name);
        hn_grid_text(by, unit_of(c, t));
        hn_grid_int(by, (int64_t)i + 1);
        hn_grid_text(by, c->step[i].cause);
        hn_grid_real(by, before);
        hn_grid_real(by, after - before);
        hn_grid_real(by, after);
    }
    holds = strcmp(totals[t].unit, "0-1") == 0 ? fabs(first + sum - second) < 1e-9
                                               : agree(first + sum, second, fabs(second));
    c->holds = c->holds && holds;
    hn_grid_row(g);
    hn_grid_text(g, totals[t].name);
    hn_grid_text(g, unit_of(c, t));
    hn_grid_real(g, first);
    hn_grid_real(g, sum);
    hn_grid_real(g, second);
    hn_grid_int(g, holds);
}

static int64_t counted(const hn_comparison *c, const char *kind)
{
    const hn_grid *g = &c->grid[HN_COMPARE_COUNTS];
    int64_t sum = 0;

    for (size_t r = 0; r < g->rows; r++) {
        const hn_cell *cells = &g->cells[r * g->view.column_count];

        if (cells[0].text && strcmp(cells[0].text, kind) == 0)
            sum += cells[2].i;
    }
    return sum;
}

/* Segments of the programme that the other result does not know at all. */
static double alone_in_programme(const hn_comparison *c, int is_second)
{
    const hn_snapshot *here = &c->snap[is_second ? c->snaps - 1 : 0];
    const hn_snapshot *there = &c->snap[is_second ? 0 : c->snaps - 1];
    double count = 0.0;

    for (uint32_t id = 1; id < hn_text_pool_count(c->texts); id++) {
        const hn_compare_row *row = hn_snapshot_row(here, id);

        count += row && hn_compare_in_programme(c, row) && !hn_snapshot_row(there, id);
    }
    return count;
}

static void put_checks(hn_comparison *c)
{
    const double *a = c->snap[0].total, *b = c->snap[c->snaps - 1].total;

    check(c,
          "segments of the first + only in the second - only in the first = segments of the second",
          a[HN_TOTAL_SEGMENTS] + (double)counted(c, "only in the second") -
              (double)counted(c, "only in the first"),
          b[HN_TOTAL_SEGMENTS]);
    check(c, "programme of the first + entering - leaving + new - gone = programme of the second",
          a[HN_TOTAL_FUNDED] + (double)counted(c, "enters the programme") -
              (double)counted(c, "leaves the programme") + alone_in_programme(c, 1) -
              alone_in_programme(c, 0),
          b[HN_TOTAL_FUNDED]);
    for (int k = 0; k < 2; k++) {
        const double *t = k ? b : a;

        check(c,
              k ? "second: length in the programme = lined + replaced + repaired or cleaned (m)"
                : "first: length in the programme = lined + replaced + repaired or cleaned (m)",
              t[HN_TOTAL_FUNDED_LENGTH],
              t[HN_TOTAL_LINED] + t[HN_TOTAL_REPLACED] + t[HN_TOTAL_OTHER]);
    }
}

hn_status hn_compare_totals(hn_comparison *c, hn_error *err)
{
    hn_grid *g = &c->grid[HN_COMPARE_STEPS];

    (void)err;
    c->holds = 1;
    hn_grid_init(&c->grid[HN_COMPARE_TOTALS], "totals", "Totals of both results",
                 "Each total, with the sum of its steps.", total_columns,
                 HN_COUNT_OF(total_columns));
    hn_grid_init(&c->grid[HN_COMPARE_BY_CAUSE], "totals_by_cause", "What each cause changes",
                 "Each total before and after each step.", cause_columns,
                 HN_COUNT_OF(cause_columns));
    hn_grid_init(&c->grid[HN_COMPARE_CHECKS], "checks", "Do the totals agree?",
                 "Sums made in two ways; every line must hold.", check_columns,
                 HN_COUNT_OF(check_columns));
    hn_grid_init(g, "steps", "The steps from the first to the second",
                 "In this order; a step begins where the one before it ended.", step_columns,
                 HN_COUNT_OF(step_columns));
    for (size_t i = 0; i + 1 < c->snaps; i++) {
        hn_grid_row(g);
        hn_grid_int(g, (int64_t)i + 1);
        hn_grid_text(g, c->step[i].cause);
        hn_grid_text(g, c->step[i].note);
    }
    for (int t = 0; t < HN_TOTAL_COUNT; t++)
        put_total(c, t);
    put_checks(c);
    return HN_OK;
}

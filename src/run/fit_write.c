/* The folder of a fit: everything beside the old one, then swapped. */
#include "run/fit_write.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "plan/config_tables.h"
#include "report/fit_page.h"
#include "write/csv_file.h"
#include "write/folder_swap.h"
#include "write/folder_tree.h"
#include "write/output_file.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char MARK[] = "fit.json"; /* written last */
enum { OUT_BYTES = 65536 };

/* ---- may we ---- */

static hn_status refuse_input(const char *folder, const char *file, hn_error *err)
{
    hn_fail(err, HN_ERR_OUTPUT, "the plan reads %s, which lies in the folder of the fit", file);
    hn_hint(err, "inputs are never altered: name another folder than %s with --output", folder);
    return HN_ERR_OUTPUT;
}

static int lies_in(const char *file, const char *folder)
{
    char real[PATH_MAX];
    const size_t n = strlen(folder);

    return realpath(file, real) && strncmp(real, folder, n) == 0 && real[n] == '/';
}

hn_status hn_fit_folder_check(const hn_plan *plan, const char *folder, hn_error *err)
{
    hn_folder_swap swap;
    hn_status rc = hn_folder_swap_plan(&swap, folder, MARK, err);

    for (size_t i = 0; rc == HN_OK && i < plan->config.file_count; i++)
        if (lies_in(plan->config.files[i], swap.target))
            rc = refuse_input(folder, plan->config.files[i], err);
    if (rc == HN_OK) {
        hn_folder_swap_sweep(&swap);
        rc = hn_folder_swap_try(&swap, err);
    }
    hn_folder_swap_clear(&swap);
    return rc;
}

/* ---- deterioration.csv ---- */

/* RFC 4180; no guard against formulas here: the program reads it back. */
static void put_cell(hn_out *out, const char *text)
{
    if (!text)
        return;
    if (!strpbrk(text, ",\"\r\n")) {
        hn_put_text(out, text);
        return;
    }
    hn_put_char(out, '"');
    for (; *text; text++) {
        if (*text == '"')
            hn_put_char(out, '"');
        hn_put_char(out, *text);
    }
    hn_put_char(out, '"');
}

static void put_source(const hn_fit_result *r, const hn_cohort_fit *c, const char *before,
                       hn_out *out)
{
    static const char kept[] = "; kept by haunch fit: no records";
    const hn_plan *plan = r->state->plan;
    char *text, day[HN_DATE_TEXT];
    hn_arena arena = {NULL};

    hn_date_text(plan->as_of, day);
    if (c->method == HN_FIT_KEPT)
        text = hn_arena_printf(&arena, "%s%s", before, strstr(before, kept) ? "" : kept);
    else
        text = hn_arena_printf(
            &arena, "fitted on %zu records of %s, %s%s", c->records.readings, plan->title, day,
            c->method == HN_FIT_OWN     ? ""
            : c->method == HN_FIT_PRIOR ? ", with a prior at the rates of all cohorts together"
                                        : ": too few, rates of all cohorts together");
    put_cell(out, text ? text : "");
    hn_arena_clear(&arena);
}

static int any_growth(const hn_fit *fit)
{
    int any = 0;

    for (size_t i = 0; i < fit->cohorts * HN_DRIVERS; i++)
        any |= fit->of[i].growth_per_year != 0.0;
    return any;
}

void hn_fit_deterioration_csv(const hn_fit_result *r, hn_out *out)
{
    const hn_cohort *cohorts = r->state->plan->config.cohorts;
    const int has_growth = any_growth(r->fit);
    char number[32];

    hn_put_text(out, "cohort,condition,driver,rate_1_to_2_per_year,rate_2_to_3_per_year,"
                     "rate_3_to_4_per_year,rate_4_to_5_per_year,");
    hn_put_text(out, has_growth ? "growth_per_year,source\n" : "source\n");
    for (size_t i = 0; i < r->fit->cohorts * HN_DRIVERS; i++) {
        const hn_cohort *cohort = &cohorts[i / HN_DRIVERS];
        const hn_cohort_fit *c = &r->fit->of[i];

        put_cell(out, cohort->id);
        hn_put_char(out, ',');
        put_cell(out, cohort->condition);
        hn_put_char(out, ',');
        hn_put_text(out, hn_config_drivers[i % HN_DRIVERS]);
        for (int k = 0; k < HN_CHAIN_RATES; k++) {
            snprintf(number, sizeof number, ",%.6g", c->rate_per_year[k]);
            hn_put_text(out, number);
        }
        snprintf(number, sizeof number, ",%.6g", c->growth_per_year);
        if (has_growth)
            hn_put_text(out, number);
        hn_put_char(out, ',');
        put_source(r, c, cohort->rate_source[i % HN_DRIVERS], out);
        hn_put_char(out, '\n');
    }
}

/* ---- files ---- */

typedef struct writing {
    const hn_fit_result *result;
    hn_folder_swap swap;
} writing;

static hn_status write_out(const writing *w, const char *name, hn_out *text, hn_error *err)
{
    char *path = hn_path_join(w->swap.partial, name);
    hn_status rc = HN_OK;

    hn_put_char(text, '\0');
    if (!path || text->error)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for %s", name);
    else
        rc = hn_output_text(path, text->data, err);
    hn_free(path);
    return rc;
}

static hn_status write_table(const writing *w, hn_grid *grid, hn_error *err)
{
    const hn_view *view;
    char name[64], *path = NULL;
    hn_pace pace;
    hn_status rc = HN_OK;

    HN_TRY(hn_grid_view(grid, &view, err));
    snprintf(name, sizeof name, "%s.csv", view->name);
    path = hn_path_join(w->swap.partial, name);
    HN_TRY_ALLOC(path);
    hn_pace_init(&pace, view->rows, NULL, NULL);
    HN_TRY(hn_csv_write(path, view, 1, &pace, err));
out:
    hn_free(path);
    return rc;
}

static hn_status write_text(const writing *w, const char *name,
                            void (*fill)(const hn_fit_result *, hn_out *), hn_error *err)
{
    hn_out out;
    hn_status rc;

    if (!hn_out_init(&out, OUT_BYTES, NULL, NULL))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    fill(w->result, &out);
    rc = write_out(w, name, &out, err);
    hn_out_clear(&out);
    return rc;
}

static void fill_page(const hn_fit_result *r, hn_out *out)
{
    const hn_fit_page page = {.fit = r->fit,
                              .test = r->test,
                              .plan = r->state->plan,
                              .history = r->history,
                              .misreading = r->misreading,
                              .segments = r->state->table->rows};

    hn_fit_to_html(&page, out);
}

static void fill_mark(const hn_fit_result *r, hn_out *out)
{
    char text[256], day[HN_DATE_TEXT];

    hn_date_text(r->state->plan->as_of, day);
    snprintf(text, sizeof text,
             "{\"made_by\": \"haunch fit\", \"haunch\": \"" HN_VERSION
             "\", \"as_of\": \"%s\", \"inspections\": %zu, \"seed\": %d}\n",
             day, r->read, r->seed);
    hn_put_text(out, text);
}

/* The writing that hn_fit_abandon has to clear away. */
static writing *current;

void hn_fit_abandon(void)
{
    if (current)
        hn_folder_swap_abandon(&current->swap);
}

static void tick(const writing *w)
{
    if (w->result->tick)
        w->result->tick(w->result->tick_context);
}

static hn_status write_files(const writing *w, hn_error *err)
{
    hn_grid grid[HN_FIT_TABLE_COUNT];
    hn_status rc = HN_OK;

    hn_fit_tables(w->result, grid);
    for (int i = 0; i < HN_FIT_TABLE_COUNT; i++) {
        HN_TRY(write_table(w, &grid[i], err));
        tick(w);
    }
    HN_TRY(write_text(w, "deterioration.csv", hn_fit_deterioration_csv, err));
    HN_TRY(write_text(w, "fit.html", fill_page, err));
    HN_TRY(write_text(w, MARK, fill_mark, err));
    HN_TRY(hn_output_sync(w->swap.partial, err));
    tick(w); /* from here on the new fit takes its place */
out:
    for (int i = 0; i < HN_FIT_TABLE_COUNT; i++)
        hn_grid_clear(&grid[i]);
    return rc;
}

hn_status hn_fit_write(const hn_fit_result *result, const char *folder, hn_error *err)
{
    writing w = {.result = result};
    hn_status rc = HN_OK;

    HN_TRY(hn_folder_swap_plan(&w.swap, folder, MARK, err));
    HN_TRY(hn_folder_swap_begin(&w.swap, err));
    current = &w;
    HN_TRY(write_files(&w, err));
    HN_TRY(hn_folder_swap_commit(&w.swap, err));
out:
    current = NULL;
    hn_folder_swap_abandon(&w.swap);
    hn_folder_swap_clear(&w.swap);
    return rc;
}

/* ---- standard output ---- */

static void account_row(const hn_fit_result *r, size_t cohort, int driver, FILE *out)
{
    const hn_cohort_fit *c = &r->fit->of[cohort * HN_DRIVERS + (size_t)driver];

    fprintf(out, "  %-22.22s %-10s %-8s %6zu", hn_fit_cohort_name(r, cohort),
            hn_config_drivers[driver], hn_fit_method_names[c->method], c->records.readings);
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        fprintf(out, "  %7.4f", c->rate_per_year[k]);
    if (c->growth_per_year != 0.0)
        fprintf(out, "  at age 0, growing by %.4f a year", c->growth_per_year);
    fputc('\n', out);
}

void hn_fit_account(const hn_fit_result *r, const char *folder, FILE *out)
{
    fprintf(out, "%zu inspections of %zu segments; rates per year:\n", r->read,
            r->state->table->rows);
    fprintf(out, "  %-22s %-10s %-8s %6s  %7s  %7s  %7s  %7s\n", "cohort", "driver", "method",
            "used", "1 to 2", "2 to 3", "3 to 4", "4 to 5");
    for (int d = 0; d < HN_DRIVERS; d++)
        for (size_t c = 0; c <= r->fit->cohorts; c++)
            if (r->fit->of[c * HN_DRIVERS + (size_t)d].records.readings)
                account_row(r, c, d, out);
    for (int d = 0; d < HN_DRIVERS; d++)
        if (r->test[d].held_out)
            fprintf(
                out,
                "test on %zu held-out segments, %s: Brier score %.4f (one share for all: %.4f), "
                "right order %.2f\n",
                r->test[d].held_out, hn_config_drivers[d], r->test[d].brier, r->test[d].brier_share,
                r->test[d].right_order);
    for (size_t i = 0; i < r->fit->warnings; i++) {
        const hn_fit_warning *w = &r->fit->warning[i];

        fprintf(out, "doubtful: %s%s%s%s%s\n", w->driver < 0 ? "" : hn_config_drivers[w->driver],
                w->cohort < 0 ? "" : ", ",
                w->cohort < 0 ? "" : hn_fit_cohort_name(r, (size_t)w->cohort),
                w->driver < 0 ? "" : ": ", w->text);
    }
    fprintf(out,
            "Shares of a network are well predicted by such a chain, single pipes are not: see "
            "fit.html.\nwrote %s; to use it: config: {deterioration: %s/deterioration.csv}\n",
            folder, folder);
}

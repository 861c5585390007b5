/* What is known of the condition, and the chances that follow from it. */
#include "report/sheet_parts.h"

#include <stdio.h>

static const char *const drivers[HN_OUTLOOK_DRIVERS] = {"structural", "service", "tightness"};

static const hn_view_column share_columns[] = {
    {"driver", "Driver", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"share_1", "Grade 1", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"share_2", "Grade 2", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"share_3", "Grade 3", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"share_4", "Grade 4", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"share_5", "Grade 5", "", "", HN_VIEW_REAL, 4, NULL, 0},
    {"chance_now", "Chance now", "", "1/year", HN_VIEW_REAL, 5, NULL, 0},
    {"chance_10", "in 10 years", "", "1/year", HN_VIEW_REAL, 5, NULL, 0},
};

static const hn_view_column rate_columns[] = {
    {"driver", "Driver", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"grade", "Grade", "", "", HN_VIEW_INT, 0, NULL, 0},
    {"share_now", "Share now", "", "0-1", HN_VIEW_REAL, 4, NULL, 0},
    {"failures_per_year", "Failures", "", "1/year", HN_VIEW_REAL, 5, NULL, 0},
    {"source", "Source of the rate", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void add_shares(const hn_sheet_facts *f, hn_sheet *s)
{
    hn_sheet_item *t = hn_sheet_table(
        s, "shares",
        "Chance of each grade today, and chance of a failure in a year if nothing is done",
        share_columns, sizeof share_columns / sizeof share_columns[0]);

    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++) {
        hn_sheet_cell_word(s, t, drivers[d]);
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
            hn_sheet_cell_number(s, t, hn_outlook_share(f->outlook, d, g, f->row));
        hn_sheet_cell_number(s, t, hn_outlook_chance(f->outlook, f->row, d, 0));
        hn_sheet_cell_number(s, t,
                             f->outlook->years > 10 ? hn_outlook_chance(f->outlook, f->row, d, 10)
                                                    : (double)NAN);
    }
}

static void add_rates(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_failure_rate *rates = &f->plan->config.failure;
    hn_sheet_item *t =
        hn_sheet_table(s, "rates", "Failures of a sewer of each grade (failure_rates)",
                       rate_columns, sizeof rate_columns / sizeof rate_columns[0]);

    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++) {
            hn_sheet_cell_word(s, t, drivers[d]);
            hn_sheet_cell_whole(s, t, g + 1);
            hn_sheet_cell_number(s, t, hn_outlook_share(f->outlook, d, g, f->row));
            hn_sheet_cell_number(s, t, rates->per_year[d][g]);
            hn_sheet_cell_word(s, t, rates->source[d][g]);
        }
}

static const hn_cohort *cohort_of(const hn_sheet_facts *f)
{
    const char *id = hn_table_text(f->table, HN_COL_COHORT, f->row);

    for (size_t i = 0; i < f->plan->config.cohort_count; i++)
        if (strcmp(f->plan->config.cohorts[i].id, id) == 0)
            return &f->plan->config.cohorts[i];
    return NULL;
}

/* Growth of the three drivers, where there is any. */
static void add_growth(const hn_sheet_facts *f, hn_sheet *s, const hn_cohort *cohort)
{
    for (int d = 0; cohort && d < HN_DRIVERS; d++) {
        const double growth = cohort->growth_per_year[d];
        char key[32], label[64];

        if (growth == 0.0)
            continue;
        snprintf(key, sizeof key, "growth_%s", drivers[d]);
        snprintf(label, sizeof label, "Growth of the rates with age, %s", drivers[d]);
        hn_sheet_number(s, key, label, "g", growth, 4, "1/year",
                        isnan(hn_table_derived(f->table, HN_COL_AGE, f->row))
                            ? "age not known: at the mean age of its cohort"
                            : "rates times exp(growth x age)");
    }
}

void hn_sheet_condition(const hn_sheet_facts *f, hn_sheet *s)
{
    static const hn_column_id seen[] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                        HN_COL_GRADE_TIGHTNESS, HN_COL_INSPECTED_ON};
    static const hn_column_id now[] = {HN_COL_GRADE_NOW,      HN_COL_SERVICE_NOW,
                                       HN_COL_TIGHT_NOW,      HN_COL_CHANCE_STRUCTURAL,
                                       HN_COL_CHANCE_SERVICE, HN_COL_CHANCE_TIGHTNESS};
    const hn_cohort *cohort = cohort_of(f);

    hn_sheet_begin(s, "condition", "Condition and likelihood");
    hn_sheet_column(f, s, HN_COL_CONDITION_BASIS, NULL,
                    "observed: graded; inferred: cohort and age; none: mean of the cohort");
    for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++)
        hn_sheet_column(f, s, seen[i], NULL, hn_sheet_basis(f, s, seen[i]));
    hn_sheet_column(f, s, HN_COL_INSPECTION_AGE, NULL, "to the date of the plan");
    hn_sheet_column(f, s, HN_COL_AGE, NULL, "since built or last lined");
    hn_sheet_column(f, s, HN_COL_COHORT, NULL, cohort ? cohort->source : "");
    add_growth(f, s, cohort);
    for (size_t i = 0; i < sizeof now / sizeof now[0]; i++)
        hn_sheet_column(f, s, now[i], NULL,
                        i < 3 ? "expected grade, aged by its cohort to the date of the plan"
                              : "sum of the shares times the failures of the grades");
    hn_sheet_matches(f, s);
    hn_sheet_observations(f, s);
    add_shares(f, s);
    add_rates(f, s);
    hn_sheet_end(s);
}

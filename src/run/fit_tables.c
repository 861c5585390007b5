/* The numbers of a fit as small tables. */
#include "run/fit_write.h"
#include "run/table_columns.h"

#include "plan/config_tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const hn_view_column fit_columns[] = {
    HN_TEXT("cohort", "Cohort", "As in deterioration.csv; all cohorts: the pooled fit"),
    HN_TEXT("driver", "Driver", "structural, service or tightness"),
    HN_TEXT("method", "Method",
            "own fit; prior: own records and a prior at the pooled rates; pooled: rates of all "
            "cohorts; kept: row of the table in force"),
    HN_WHOLE("segments", "Segments", "With a reading that counts"),
    HN_WHOLE("readings", "Readings", "That count in the likelihood"),
    HN_WHOLE("cross_section", "By age", "First readings of pipes of known age"),
    HN_WHOLE("pairs", "Pairs", "A reading and the one before on the same pipe"),
    HN_WHOLE("partial", "Partial", "Readings of partial inspections: the grade or worse"),
    HN_WHOLE("improving", "Better than before",
             "Readings better than an earlier one; left out unless there is a misreading table"),
    HN_WHOLE("without_age", "Age unknown", "First readings that only begin a pair"),
    {"effective_segments", "Effective segments", "Segments of equal weight that would say as much",
     "", HN_VIEW_REAL, 1, NULL, 0},
    {"rate_1_to_2_per_year", "Rate 1 to 2", "Rate of the step, as in deterioration.csv", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"se_1_to_2_per_year", "Standard error 1 to 2",
     "From the observed information; empty where the records do not say", "1/year", HN_VIEW_REAL, 6,
     NULL, 0},
    {"low_1_to_2_per_year", "Low 1 to 2", "Lower end of the 95 % profile interval; 0: open",
     "1/year", HN_VIEW_REAL, 6, NULL, 0},
    {"high_1_to_2_per_year", "High 1 to 2", "Upper end of it; empty: open", "1/year", HN_VIEW_REAL,
     6, NULL, 0},
    {"rate_2_to_3_per_year", "Rate 2 to 3", "Rate of the step, as in deterioration.csv", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"se_2_to_3_per_year", "Standard error 2 to 3",
     "From the observed information; empty where the records do not say", "1/year", HN_VIEW_REAL, 6,
     NULL, 0},
    {"low_2_to_3_per_year", "Low 2 to 3", "Lower end of the 95 % profile interval; 0: open",
     "1/year", HN_VIEW_REAL, 6, NULL, 0},
    {"high_2_to_3_per_year", "High 2 to 3", "Upper end of it; empty: open", "1/year", HN_VIEW_REAL,
     6, NULL, 0},
    {"rate_3_to_4_per_year", "Rate 3 to 4", "Rate of the step, as in deterioration.csv", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"se_3_to_4_per_year", "Standard error 3 to 4",
     "From the observed information; empty where the records do not say", "1/year", HN_VIEW_REAL, 6,
     NULL, 0},
    {"low_3_to_4_per_year", "Low 3 to 4", "Lower end of the 95 % profile interval; 0: open",
     "1/year", HN_VIEW_REAL, 6, NULL, 0},
    {"high_3_to_4_per_year", "High 3 to 4", "Upper end of it; empty: open", "1/year", HN_VIEW_REAL,
     6, NULL, 0},
    {"rate_4_to_5_per_year", "Rate 4 to 5", "Rate of the step, as in deterioration.csv", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"se_4_to_5_per_year", "Standard error 4 to 5",
     "From the observed information; empty where the records do not say", "1/year", HN_VIEW_REAL, 6,
     NULL, 0},
    {"low_4_to_5_per_year", "Low 4 to 5", "Lower end of the 95 % profile interval; 0: open",
     "1/year", HN_VIEW_REAL, 6, NULL, 0},
    {"high_4_to_5_per_year", "High 4 to 5", "Upper end of it; empty: open", "1/year", HN_VIEW_REAL,
     6, NULL, 0},
    {"log_likelihood", "ln L", "Of the effective segments, without the prior", "", HN_VIEW_REAL, 4,
     NULL, 0},
    {"aic", "AIC", "2 x parameters - 2 ln L", "", HN_VIEW_REAL, 4, NULL, 0},
    {"growth_per_year", "Growth", "b of rates that grow as exp(b age), on pipes of known age",
     "1/year", HN_VIEW_REAL, 6, NULL, 0},
    {"growth_used_per_year", "Growth used",
     "As in deterioration.csv; 0: constant rates; else the rates are those of age 0", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"growth_se_per_year", "Standard error of growth", "From the observed information", "1/year",
     HN_VIEW_REAL, 6, NULL, 0},
    {"growth_aic_change", "AIC with growth",
     "Against constant rates on the same pipes; below 0: growth fits better", "", HN_VIEW_REAL, 4,
     NULL, 0},
    HN_TEXT("rates_not_seen", "Not seen",
            "Steps that the records alone do not bound; the prior speaks"),
    HN_TEXT("converged", "Converged", "no: the search ended early; do not use the row"),
};

static const hn_view_column by_age_columns[] = {
    HN_TEXT("cohort", "Cohort", "As in deterioration.csv; all cohorts: together"),
    HN_TEXT("driver", "Driver", "structural, service or tightness"),
    HN_WHOLE("age_from_years", "From age", "First year of the band"),
    HN_WHOLE("age_to_years", "To age", "Year behind the band; empty: open"),
    HN_WHOLE("readings", "Readings", "Complete inspections at a known age"),
    HN_WHOLE("grade", "Grade", "1 good to 5 worst"),
    HN_WHOLE("readings_of_grade", "Readings of the grade",
             "Count; one between two grades counts for the better"),
    HN_SHARE("observed_share", "Observed", "Share of the length"),
    HN_SHARE("predicted_share", "Predicted",
             "By the rates in deterioration.csv, at the ages of the same readings"),
};

static const hn_view_column test_columns[] = {
    HN_TEXT("driver", "Driver", "structural, service or tightness"),
    HN_SHARE("chance_from", "From", "Predicted chance of grade 4 or 5"),
    HN_SHARE("chance_to", "To", "End of the bin"),
    HN_WHOLE("readings", "Readings", "Of segments that were held out; the row all has the scores"),
    HN_SHARE("mean_predicted", "Predicted", "Mean chance"),
    HN_SHARE("observed_share", "Observed", "Share in grade 4 or 5"),
    {"brier", "Brier score", "Mean of (chance - outcome)^2; 0 is perfect", "", HN_VIEW_REAL, 5,
     NULL, 0},
    {"brier_of_share", "Brier score of one share",
     "If every pipe had the share of the fitted pipes", "", HN_VIEW_REAL, 5, NULL, 0},
    {"right_order", "Right order",
     "Chance that of a bad and a good pipe the bad one has the higher "
     "predicted chance; 0.5 is a coin",
     "", HN_VIEW_REAL, 4, NULL, 0},
    HN_WHOLE("segments_held_out", "Held out", "Segments"),
    HN_WHOLE("segments_fitted", "Fitted", "Segments"),
};

static const hn_view_column implied_columns[] = {
    HN_TEXT("driver", "Driver", "structural: no window is published for the others"),
    HN_WHOLE("grade", "Grade", "3 to 5; for 1 and 2 the windows have no end"),
    {"window_years", "Window", "Upper end of the time window of the grade", "years", HN_VIEW_REAL,
     0, NULL, 0},
    HN_SHARE("share_failing", "Share",
             "Share that fails within the window; a choice, the source gives none"),
    {"failures_per_segment_per_year", "Implied rate",
     "-ln(1 - share) / window, as in failure_rates.csv", "1/year", HN_VIEW_REAL, 8, NULL, 0},
    HN_TEXT("label", "Label", "What kind of number it is"),
    HN_TEXT("source", "Source", "Of the window"),
};

static const hn_view_column warning_columns[] = {
    HN_TEXT("rule", "Rule", "What was found"),
    HN_TEXT("driver", "Driver", "Empty: all"),
    HN_TEXT("cohort", "Cohort", "Empty: all"),
    HN_TEXT("message", "Message", "What it means and what to do"),
};

const char *hn_fit_cohort_name(const hn_fit_result *r, size_t cohort)
{
    return cohort < r->fit->cohorts ? r->state->plan->config.cohorts[cohort].id : "all cohorts";
}

static void put_count(hn_grid *g, size_t n)
{
    hn_grid_int(g, (int64_t)n);
}

static void put_records(hn_grid *g, const hn_fit_records *r)
{
    put_count(g, r->segments);
    put_count(g, r->readings);
    put_count(g, r->cross_section);
    put_count(g, r->pairs);
    put_count(g, r->partial);
    put_count(g, r->improving);
    put_count(g, r->no_age);
    hn_grid_real(g, r->effective);
}

static void put_rates(hn_grid *g, const hn_cohort_fit *c)
{
    const int is_fitted = c->method == HN_FIT_OWN || c->method == HN_FIT_PRIOR;

    for (int k = 0; k < HN_CHAIN_RATES; k++) {
        hn_grid_real(g, c->rate_per_year[k]);
        hn_grid_real(g, is_fitted ? c->rate_per_year[k] * c->fit.se_log_rate[k] : (double)NAN);
        hn_grid_real(g, is_fitted ? c->fit.low[k] : (double)NAN);
        hn_grid_real(g, is_fitted ? c->fit.high[k] : (double)NAN);
    }
    hn_grid_real(g, is_fitted ? c->fit.log_likelihood : (double)NAN);
    hn_grid_real(g, is_fitted ? c->fit.aic : (double)NAN);
    hn_grid_real(g, c->growth.parameters ? c->growth.growth_per_year : (double)NAN);
    hn_grid_real(g, c->growth_per_year);
    hn_grid_real(g, c->growth.parameters ? c->growth.growth_se : (double)NAN);
    hn_grid_real(g, c->growth.parameters ? c->growth_aic_change : (double)NAN);
}

static void put_fit(const hn_fit_result *r, hn_grid *g, size_t cohort, int driver)
{
    const hn_cohort_fit *c = &r->fit->of[cohort * HN_DRIVERS + (size_t)driver];
    char open[64] = "";
    size_t used = 0;

    for (int k = 0; c->method == HN_FIT_PRIOR && k < HN_CHAIN_RATES; k++)
        if (c->not_seen[k])
            used += (size_t)snprintf(open + used, sizeof open - used, "%s%d to %d",
                                     used ? "; " : "", k + 1, k + 2);
    hn_grid_row(g);
    hn_grid_text(g, hn_fit_cohort_name(r, cohort));
    hn_grid_text(g, hn_config_drivers[driver]);
    hn_grid_text(g, hn_fit_method_names[c->method]);
    put_records(g, &c->records);
    put_rates(g, c);
    hn_grid_text(g, open);
    hn_grid_text(g, c->method == HN_FIT_OWN || c->method == HN_FIT_PRIOR
                        ? c->fit.has_converged ? "yes" : "no"
                        : "");
}

static void put_band(const hn_fit_result *r, hn_grid *g, size_t cohort, int driver, int band)
{
    const hn_fit_band *b =
        &r->fit->band[(cohort * HN_DRIVERS + (size_t)driver) * HN_FIT_BANDS + (size_t)band];

    for (int grade = 0; b->readings && grade < HN_GRADES; grade++) {
        hn_grid_row(g);
        hn_grid_text(g, hn_fit_cohort_name(r, cohort));
        hn_grid_text(g, hn_config_drivers[driver]);
        hn_grid_int(g, band * HN_FIT_BAND_YEARS);
        if (band + 1 < HN_FIT_BANDS)
            hn_grid_int(g, (band + 1) * HN_FIT_BAND_YEARS);
        else
            hn_grid_null(g);
        put_count(g, b->readings);
        hn_grid_int(g, grade + 1);
        put_count(g, b->count[grade]);
        hn_grid_real(g, b->observed[grade] / b->weight);
        hn_grid_real(g, b->predicted[grade] / b->weight);
    }
}

static void put_bin(const hn_fit_bin *b, hn_grid *g)
{
    put_count(g, b->readings);
    hn_grid_real(g, b->readings ? b->predicted / (double)b->readings : (double)NAN);
    hn_grid_real(g, b->readings ? (double)b->bad / (double)b->readings : (double)NAN);
}

static void put_test(const hn_fit_result *r, hn_grid *g, int driver)
{
    const hn_fit_reliability *t = &r->test[driver];
    hn_fit_bin all = {0};

    for (int k = 0; k < HN_FIT_BINS; k++) {
        all.readings += t->bin[k].readings;
        all.bad += t->bin[k].bad;
        all.predicted += t->bin[k].predicted;
        hn_grid_row(g);
        hn_grid_text(g, hn_config_drivers[driver]);
        hn_grid_real(g, hn_fit_bin_from[k]);
        hn_grid_real(g, hn_fit_bin_from[k + 1]);
        put_bin(&t->bin[k], g);
    }
    hn_grid_row(g);
    hn_grid_text(g, hn_config_drivers[driver]);
    hn_grid_null(g);
    hn_grid_null(g);
    put_bin(&all, g);
    hn_grid_real(g, t->brier);
    hn_grid_real(g, t->brier_share);
    hn_grid_real(g, t->right_order);
    put_count(g, t->held_out);
    put_count(g, t->fitted);
}

static void put_warning(const hn_fit_result *r, hn_grid *g, const hn_fit_warning *w)
{
    hn_grid_row(g);
    hn_grid_text(g, w->rule);
    hn_grid_text(g, w->driver < 0 ? "" : hn_config_drivers[w->driver]);
    hn_grid_text(g, w->cohort < 0 ? "" : hn_fit_cohort_name(r, (size_t)w->cohort));
    hn_grid_text(g, w->text);
}

/* Hazards that a published time window implies: -ln(1 - share) / window. The source gives
 * no share, so several are offered, and none is put in force by itself. */
static void put_implied(hn_grid *g)
{
    static const struct {
        int grade;
        double window_years;
    } windows[] = {{3, 20.0}, {4, 10.0}, {5, 5.0}};
    static const double shares[] = {0.1, 0.5, 0.8, 0.9};

    for (size_t w = 0; w < HN_COUNT_OF(windows); w++)
        for (size_t i = 0; i < HN_COUNT_OF(shares); i++) {
            hn_grid_row(g);
            hn_grid_text(g, hn_config_drivers[0]);
            hn_grid_int(g, windows[w].grade);
            hn_grid_real(g, windows[w].window_years);
            hn_grid_real(g, shares[i]);
            hn_grid_real(g, -log1p(-shares[i]) / windows[w].window_years);
            hn_grid_text(g, "implied by time window");
            hn_grid_text(g, "window: North American grading guideline of 2001 as quoted in the "
                            "sewer rate study 2014 of the City of Santa Ana (California), its "
                            "upper end; share that fails within it: a choice, no source");
        }
}

void hn_fit_tables(const hn_fit_result *r, hn_grid grid[HN_FIT_TABLE_COUNT])
{
    hn_grid_init(&grid[HN_FIT_TABLE_FIT], "fit", "Rates of ageing fitted", "", fit_columns,
                 HN_COUNT_OF(fit_columns));
    hn_grid_init(&grid[HN_FIT_TABLE_BY_AGE], "fit_by_age", "Observed against predicted", "",
                 by_age_columns, HN_COUNT_OF(by_age_columns));
    hn_grid_init(&grid[HN_FIT_TABLE_TEST], "fit_backtest", "Test on segments left out", "",
                 test_columns, HN_COUNT_OF(test_columns));
    hn_grid_init(&grid[HN_FIT_TABLE_WARNINGS], "fit_warnings", "What is doubtful", "",
                 warning_columns, HN_COUNT_OF(warning_columns));
    hn_grid_init(&grid[HN_FIT_TABLE_IMPLIED], "implied_rates",
                 "Failure rates implied by published time windows", "", implied_columns,
                 HN_COUNT_OF(implied_columns));
    put_implied(&grid[HN_FIT_TABLE_IMPLIED]);
    for (size_t c = 0; c <= r->fit->cohorts; c++)
        for (int d = 0; d < HN_DRIVERS; d++) {
            put_fit(r, &grid[HN_FIT_TABLE_FIT], c, d);
            for (int b = 0; b < HN_FIT_BANDS; b++)
                put_band(r, &grid[HN_FIT_TABLE_BY_AGE], c, d, b);
        }
    for (int d = 0; d < HN_DRIVERS; d++)
        if (r->test[d].held_out + r->test[d].fitted > 0)
            put_test(r, &grid[HN_FIT_TABLE_TEST], d);
    for (size_t i = 0; i < r->fit->warnings; i++)
        put_warning(r, &grid[HN_FIT_TABLE_WARNINGS], &r->fit->warning[i]);
}

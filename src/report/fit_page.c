#include "report/fit_page.h"

#include "base/dates.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

static const char style[] =
    "html{font:15px/1.45 system-ui,'Liberation Sans',Arial,sans-serif;color:#1b1b1b;"
    "background:#fff}\n"
    "body{max-width:70rem;margin:0 auto;padding:1rem}\n"
    "h1{font-size:1.5rem;margin:.2rem 0}\n"
    "h2{font-size:1.2rem;margin:1.6rem 0 .4rem;padding-bottom:.15rem;border-bottom:2px solid "
    "#00204d}\n"
    "h3{font-size:1rem;margin:.2rem 0}\n"
    "p{margin:.3rem 0;max-width:60rem}\n"
    "p.strong{border-left:.3rem solid #7a4b00;padding:.2rem .6rem;background:#fff6e0}\n"
    "table{border-collapse:collapse;margin:.3rem 0;font-size:.86rem}\n"
    "caption{text-align:left;font-weight:600;padding:.2rem 0}\n"
    "th,td{text-align:left;vertical-align:top;padding:.14rem .9rem .14rem 0;border-bottom:1px "
    "solid #c9c9c9}\n"
    "thead th{border-bottom:2px solid #6b6b6b}\n"
    "td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}\n"
    "td small{color:#4a4a4a}\n"
    "div.scroll{overflow-x:auto}\n"
    "div.pictures{display:flex;flex-wrap:wrap;gap:1rem}\n"
    "figure{margin:.6rem 0;break-inside:avoid;max-width:500px}\n"
    "figcaption{font-size:.86rem}\n"
    "svg{max-width:100%;height:auto}\n"
    "@page{size:A4;margin:15mm}\n"
    "@media print{html{font-size:10pt}body{max-width:none;padding:0}h2,h3{break-after:avoid}"
    "tr{break-inside:avoid}div.scroll{overflow:visible}}\n";

static void put(hn_out *out, const char *format, ...) HN_PRINTF(2, 3);

/* For texts of our own alone: nothing is escaped. */
static void put(hn_out *out, const char *format, ...)
{
    char text[1024];
    va_list values;

    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    hn_put_text(out, text);
}

static const char *name_of(const hn_fit_page *p, size_t cohort)
{
    return cohort < p->fit->cohorts ? p->plan->config.cohorts[cohort].id : "all cohorts";
}

static const hn_cohort_fit *fit_of(const hn_fit_page *p, size_t cohort, int driver)
{
    return &p->fit->of[cohort * HN_DRIVERS + (size_t)driver];
}

static int has_readings(const hn_fit_page *p, size_t cohort, int driver)
{
    return fit_of(p, cohort, driver)->records.readings > 0;
}

/* ---- head ---- */

static void put_head(const hn_fit_page *p, hn_out *out)
{
    char day[HN_DATE_TEXT];

    hn_date_text(p->plan->as_of, day);
    hn_put_text(out, "<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">"
                     "<head><meta charset=\"utf-8\"/><meta name=\"viewport\" "
                     "content=\"width=device-width, initial-scale=1\"/>\n<title>Rates of ageing: ");
    hn_put_xml(out, p->plan->title);
    hn_put_text(out, "</title>\n<style>\n");
    hn_put_text(out, style);
    hn_put_text(out, "</style></head>\n<body>\n<h1>Rates of ageing: ");
    hn_put_xml(out, p->plan->title);
    put(out, "</h1>\n<p>As of %s. Fitted by maximum likelihood on %zu inspections of %zu segments.",
        day, p->history->count, p->segments);
    if (p->misreading) {
        hn_put_text(out, " Readings may be wrong as the table ");
        hn_put_xml(out, p->misreading);
        hn_put_text(out, " says.");
    }
    hn_put_text(out, "</p>\n");
    if (p->history->undated + p->history->in_future + p->history->before_lining +
            p->fit->before_built >
        0)
        put(out,
            "<p>Not used: %zu inspections without a date, %zu dated after the day of assessment, "
            "%zu from before the last lining, %zu from before the pipe was built.</p>\n",
            p->history->undated, p->history->in_future, p->history->before_lining,
            p->fit->before_built);
}

static void put_warnings(const hn_fit_page *p, hn_out *out)
{
    hn_put_text(out, "<h2>What is doubtful</h2>\n");
    if (p->fit->warnings == 0)
        hn_put_text(out, "<p>None of the checks found anything.</p>\n");
    for (size_t i = 0; i < p->fit->warnings; i++) {
        const hn_fit_warning *w = &p->fit->warning[i];

        hn_put_text(out, "<p class=\"strong\">");
        if (w->driver >= 0)
            put(out, "<b>%s", hn_config_drivers[w->driver]);
        if (w->cohort >= 0) {
            hn_put_text(out, ", ");
            hn_put_xml(out, name_of(p, (size_t)w->cohort));
        }
        hn_put_text(out, w->driver >= 0 ? ":</b> " : "");
        hn_put_xml(out, w->text);
        hn_put_text(out, "</p>\n");
    }
}

/* ---- rates ---- */

static void put_rate(const hn_cohort_fit *c, int k, hn_out *out)
{
    const int is_fitted = c->method == HN_FIT_OWN || c->method == HN_FIT_PRIOR;

    put(out, "<td class=\"n\">%.4f", c->rate_per_year[k]);
    if (is_fitted && isfinite(c->fit.high[k]))
        put(out, "<br/><small>%.4f to %.4f</small>", c->fit.low[k], c->fit.high[k]);
    else if (is_fitted)
        put(out, "<br/><small>%.4f to open</small>", c->fit.low[k]);
    if (c->method == HN_FIT_PRIOR && c->not_seen[k])
        hn_put_text(out, "<br/><small>not seen: the prior</small>");
    hn_put_text(out, "</td>");
}

static void put_rate_row(const hn_fit_page *p, size_t cohort, int driver, hn_out *out)
{
    const hn_cohort_fit *c = fit_of(p, cohort, driver);

    hn_put_text(out, "<tr><th scope=\"row\">");
    hn_put_xml(out, name_of(p, cohort));
    put(out, "</th><td>%s</td><td class=\"n\">%zu</td><td class=\"n\">%zu</td>",
        hn_fit_method_names[c->method], c->records.cross_section, c->records.pairs);
    for (int k = 0; k < HN_CHAIN_RATES; k++)
        put_rate(c, k, out);
    if (c->growth.parameters)
        put(out, "<td class=\"n\">%+.4f<br/><small>AIC %+.1f, %s</small></td>",
            c->growth.growth_per_year, c->growth_aic_change,
            c->growth_per_year != 0.0 ? "used" : "not used");
    else
        hn_put_text(out, "<td></td>");
    hn_put_text(out, "</tr>\n");
}

static void put_driver(const hn_fit_page *p, int driver, hn_out *out)
{
    const size_t all = p->fit->cohorts;

    put(out, "<h2>Driver: %s</h2>\n", hn_config_drivers[driver]);
    if (!has_readings(p, all, driver)) {
        hn_put_text(out, "<p>No grade of this driver was read. Its rates are kept.</p>\n");
        return;
    }
    hn_put_text(out, "<div class=\"scroll\"><table><caption>Rates per year, with 95 % profile "
                     "intervals</caption><thead><tr><th>cohort</th><th>method</th><th class=\"n\">"
                     "by age</th><th class=\"n\">pairs</th>");
    for (int k = 1; k < HN_GRADES; k++)
        put(out, "<th class=\"n\">%d to %d</th>", k, k + 1);
    hn_put_text(out, "<th class=\"n\">growth with age</th></tr></thead><tbody>\n");
    for (size_t c = 0; c <= all; c++)
        if (has_readings(p, c, driver))
            put_rate_row(p, c, driver, out);
    hn_put_text(out, "</tbody></table></div>\n<div class=\"pictures\">\n");
    for (size_t c = 0; c <= all; c++) {
        if (!has_readings(p, c, driver))
            continue;
        hn_put_text(out, "<figure><h3>");
        hn_put_xml(out, name_of(p, c));
        hn_put_text(out, "</h3>\n");
        hn_fit_figure(p, c, driver, out);
        put(out,
            "<figcaption>%zu readings, %s. Lines: predicted. Marks: seen, larger with more "
            "readings.</figcaption></figure>\n",
            fit_of(p, c, driver)->records.readings,
            hn_fit_method_names[fit_of(p, c, driver)->method]);
    }
    hn_put_text(out, "</div>\n");
}

/* ---- test ---- */

static void put_test_row(const hn_fit_bin *b, const char *range, hn_out *out)
{
    put(out, "<tr><th scope=\"row\">%s</th><td class=\"n\">%zu</td>", range, b->readings);
    if (b->readings)
        put(out, "<td class=\"n\">%.1f %%</td><td class=\"n\">%.1f %%</td></tr>\n",
            100.0 * b->predicted / (double)b->readings,
            100.0 * (double)b->bad / (double)b->readings);
    else
        hn_put_text(out, "<td></td><td></td></tr>\n");
}

static void put_test(const hn_fit_page *p, int driver, hn_out *out)
{
    const hn_fit_reliability *t = &p->test[driver];
    hn_fit_bin all = {0};
    char range[48];

    put(out,
        "<table><caption>%s: %zu segments held out, fitted on "
        "%zu</caption><thead><tr><th>predicted "
        "chance of grade 4 or 5</th><th class=\"n\">readings</th><th class=\"n\">mean "
        "predicted</th><th class=\"n\">observed</th></tr></thead><tbody>\n",
        hn_config_drivers[driver], t->held_out, t->fitted);
    for (int k = 0; k < HN_FIT_BINS; k++) {
        snprintf(range, sizeof range, "%.0f to %.0f %%", 100.0 * hn_fit_bin_from[k],
                 100.0 * hn_fit_bin_from[k + 1]);
        put_test_row(&t->bin[k], range, out);
        all.readings += t->bin[k].readings;
        all.bad += t->bin[k].bad;
        all.predicted += t->bin[k].predicted;
    }
    put_test_row(&all, "all", out);
    hn_put_text(out, "</tbody></table>\n");
    if (all.readings)
        put(out,
            "<p>Brier score %.4f; %.4f if every pipe had the share of the fitted ones. Of a bad "
            "and a "
            "good pipe, the bad one had the higher chance in %.0f %% of the cases (a coin: 50 "
            "%%).</p>\n",
            t->brier, t->brier_share, 100.0 * t->right_order);
}

static void put_tests(const hn_fit_page *p, hn_out *out)
{
    hn_put_text(out, "<h2>Test on segments that were left out</h2>\n");
    for (int d = 0; d < HN_DRIVERS; d++)
        if (p->test[d].held_out)
            put_test(p, d, out);
    hn_put_text(
        out,
        "<p class=\"strong\"><b>Single pipes:</b> a chain of grades foretells how many pipes of a "
        "cohort will be bad, not which. On a large city's records such models came within 5 % for "
        "the network, and were no better than chance for single pipes (Caradot et al., Journal of "
        "Hydroinformatics 20 (2018) 1131). Look before you decide on one pipe.</p>\n");
}

static void put_method(hn_out *out)
{
    put(out,
        "<h2>How this was made</h2>\n<p>Grades go 1 to 5 and never back, at one rate a step and "
        "cohort, from grade 1 when built or last lined. First readings count by age, later ones as "
        "pairs, partial ones as \"this grade or worse\". Weights are lengths, scaled to Kish's "
        "effective number of segments. Fewer than %d readings, or a rate that they leave open, "
        "take "
        "a prior at the pooled rates (standard deviation 0.5 of the logarithm); fewer than %d take "
        "the pooled rates; none keep the row of the table. Growth with age, exp(b age), is "
        "used where it lowers AIC by more than 10 and rates rise; the rates are then those of age "
        "0. Falling rates are shown only: they are what records look like from which bad pipes are "
        "gone.</p>\n<p>Pipes that were replaced because they were bad are no longer in the "
        "records: true ageing is then faster than fitted.</p>\n</body></html>\n",
        HN_FIT_OWN_RECORDS, HN_FIT_LEAST_RECORDS);
}

void hn_fit_to_html(const hn_fit_page *p, hn_out *out)
{
    put_head(p, out);
    put_warnings(p, out);
    for (int d = 0; d < HN_DRIVERS; d++)
        put_driver(p, d, out);
    put_tests(p, out);
    put_method(out);
}

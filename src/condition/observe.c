#include "condition/observe_parts.h"

#include "base/alloc.h"
#include "table/observation_sql.h"

#include <stdio.h>
#include <string.h>

/* A finding that holds for more visits than this is listed for the first ones and then
 * once with its count. (local rule) */
enum { LISTED_MOST = 1000, WHERE_BYTES = 128 };

const char *const hn_observe_finding_names[HN_FOUND_COUNT] = {
    "observations_overlap",     "observation_beyond_end",      "observation_unknown_code",
    "observation_cannot_tell",  "observation_no_inspection",   "observation_duplicate",
    "observation_before_built", "observation_not_closed",      "surveyed_length_differs",
    "observation_no_distance",  "grade_differs_from_recorded", "observation_unmatched",
    "observation_on_piece"};

static const struct {
    hn_severity severity;
    const char *message, *effect;
} texts[HN_FOUND_COUNT] = {
    {HN_SEVERITY_NOTE, "observations of one code overlap along the pipe",
     "each counts; a sum counts the place twice"},
    {HN_SEVERITY_WARNING, "observations lie beyond the end of the segment",
     "they are graded and shown at its end"},
    {HN_SEVERITY_WARNING, "codes that the table of codes does not know",
     "no value; without another defect the visit gets no grade"},
    {HN_SEVERITY_WARNING, "grading rules need a value that is missing",
     "no value; without another defect the visit gets no grade"},
    {HN_SEVERITY_NOTE, "observations without an inspection record",
     "an inspection of that day is made from them"},
    {HN_SEVERITY_WARNING, "the same observation more than once", "it counts once"},
    {HN_SEVERITY_WARNING, "observed before the year of construction",
     "the observations are kept; the year of construction or the date is in doubt"},
    {HN_SEVERITY_WARNING, "a defect begins and never ends, or ends without a beginning",
     "it counts as a point defect"},
    {HN_SEVERITY_WARNING, "the length surveyed is not that of the segment",
     "distances are taken as they are, not scaled"},
    {HN_SEVERITY_NOTE, "observations without a distance", "graded, but not on the map"},
    {HN_SEVERITY_NOTE, "the grade from observations is not the recorded one",
     "both are in table observation_grades"},
    {HN_SEVERITY_WARNING, "no segment has this id or node pair", "the observations are not used"},
    {HN_SEVERITY_NOTE, "observations of a piece that was merged into a longer segment",
     "their distances are moved by the pieces before it; the rest counts as not seen"},
};

static const char *segment_text(const hn_observing *w, size_t visit)
{
    int32_t row = w->o->row[visit];

    return row >= 0 ? hn_table_text(w->table, HN_COL_SEGMENT_ID, (size_t)row)
                    : hn_text_pool_get(w->table->texts, w->o->visits.segment[visit]);
}

void hn_observe_found(hn_observing *w, hn_observe_finding what, size_t visit, size_t times,
                      const char *value)
{
    const hn_lines *l = &w->table->lines;
    int32_t row = w->o->row[visit];
    double x = (double)NAN, y = (double)NAN;

    if (times == 0)
        return;
    w->out->found[what] += times;
    if (w->listed[what]++ >= LISTED_MOST)
        return;
    if (row >= 0 && hn_line_points(l, (size_t)row)) {
        x = l->xy[2 * l->start[row]];
        y = l->xy[2 * l->start[row] + 1];
    }
    hn_issue_add(w->issues, texts[what].severity, hn_observe_finding_names[what],
                 segment_text(w, visit), "observations", value, texts[what].message,
                 texts[what].effect, x, y);
}

static void list_rest(hn_observing *w)
{
    char value[96];

    for (int f = 0; f < HN_FOUND_COUNT; f++) {
        if (w->listed[f] <= LISTED_MOST)
            continue;
        snprintf(value, sizeof value, "%zu in all, in %zu visits", w->out->found[f], w->listed[f]);
        hn_issue_add(w->issues, texts[f].severity, hn_observe_finding_names[f], "", "observations",
                     value, "holds for so many that only the first 1000 visits are listed",
                     texts[f].effect, (double)NAN, (double)NAN);
    }
}

hn_status hn_observe(const hn_table *table, const hn_plan *plan, const hn_plane *plane, int threads,
                     hn_inspections *inspections, hn_observations *o, hn_observe_stats *out,
                     hn_issue_list *issues, hn_error *err)
{
    hn_observing w = {.table = table,
                      .plan = plan,
                      .plane = plane,
                      .threads = threads,
                      .inspections = inspections,
                      .o = o,
                      .out = out,
                      .issues = issues};
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    o->roll_ups = plan->config.roll_up_count;
    out->observations = o->count;
    out->visits = o->visits.count;
    HN_TRY(hn_observe_match(&w, err));
    HN_TRY(hn_observe_lines(&w, err));
    HN_TRY(hn_observe_grade(&w, err));
    hn_scheme_checks(table, plan, o, issues);
    HN_TRY(hn_observe_fill(&w, err));
    HN_TRY(hn_observe_rank(&w, err));
    list_rest(&w);
out:
    hn_free(w.inspection_row);
    hn_free(w.record_of);
    return rc;
}

static hn_status check_scheme(const hn_plan *plan, hn_error *err)
{
    const hn_config *c = &plan->config;

    for (size_t s = 0; s < c->scheme_count; s++)
        if (strcmp(c->schemes[s], plan->grading_scheme) == 0)
            return HN_OK;
    hn_fail(err, HN_ERR_PLAN, "grading.scheme: the roll-up table has no scheme `%.60s`",
            plan->grading_scheme);
    hn_hint(err, "it has %s%s; give one of its schemes",
            c->scheme_count > 1 ? "also others than " : "",
            c->scheme_count ? c->schemes[0] : "none");
    return HN_ERR_PLAN;
}

hn_status hn_observe_check_rules(const hn_table *table, const hn_plan *plan, hn_error *err)
{
    const hn_config *c = &plan->config;
    hn_observation_rules *rules = NULL;
    const char **expression = hn_alloc(c->grading_count, sizeof *expression);
    const char **where = hn_alloc(c->grading_count, sizeof *where);
    char(*text)[WHERE_BYTES] = hn_alloc(c->grading_count, sizeof *text);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(expression);
    HN_TRY_ALLOC(where);
    HN_TRY_ALLOC(text);
    HN_TRY(check_scheme(plan, err));
    for (size_t i = 0; i < c->grading_count; i++) {
        snprintf(text[i], WHERE_BYTES, "grading rules, scheme %.40s, rule %.50s",
                 c->schemes[c->grading[i].scheme], c->grading[i].id);
        where[i] = text[i];
        expression[i] = c->grading[i].condition;
    }
    HN_TRY(hn_observation_rules_compile(table, NULL, expression, where, c->grading_count, &rules,
                                        err));
out:
    hn_observation_rules_free(rules);
    hn_free((void *)expression);
    hn_free((void *)where);
    hn_free(text);
    return rc;
}

/* What is doubtful about the decisions of people: older than what was seen since,
 * replaced by it, against a rule, or against a committed work. They are kept all the same
 * (but for the replaced ones), and said. */
#include "run/overrides.h"

#include "base/dates.h"

#include <stdio.h>
#include <string.h>

/* Columns that an inspection fills, so that a later one may say otherwise. */
static int is_seen(hn_column_id id)
{
    static const hn_column_id seen[] = {
        HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE, HN_COL_GRADE_TIGHTNESS, HN_COL_OFFSET_PCT,
        HN_COL_OVALITY_PCT,      HN_COL_SAG_PCT,       HN_COL_DEPOSITS_PCT,    HN_COL_LATERALS,
        HN_COL_SPOT_DEFECTS,     HN_COL_INFILTRATION,  HN_COL_ROOTS,           HN_COL_COLLAPSED};

    for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++)
        if (seen[i] == id)
            return 1;
    return 0;
}

static int still_holds(const hn_table *t, hn_column_id id, size_t row, const char *value)
{
    double number;

    if (hn_column_definition(id)->kind == HN_KIND_STR)
        return strcmp(hn_table_text(t, id, row), value) == 0;
    return sscanf(value, "%lf", &number) != 1 ||
           fabs(hn_table_number(t, id, row) - number) <= 1e-6 * fmax(fabs(number), 1.0);
}

static int32_t committed_year(const hn_state *s, size_t row, int32_t but_not)
{
    for (size_t i = 0; i < s->commitment_count; i++)
        if (s->commitments[i].row == row && s->commitments[i].year != but_not)
            return s->commitments[i].year;
    return 0;
}

static void doubt_age(const hn_state *s, const hn_override *o, size_t row, char *text)
{
    const int32_t seen = hn_i32(s->table, HN_COL_INSPECTED_ON, row);
    char day[HN_DATE_TEXT];
    int32_t decided;

    if (seen == HN_I32_MISSING || !hn_date_parse(o->date, &decided) || seen <= decided)
        return;
    hn_date_text(seen, day);
    snprintf(text, HN_OVERRIDE_DOUBT, "stale: decided before the inspection of %s", day);
}

static void doubt_choice(const hn_state *s, const hn_override *o, size_t row, char *text)
{
    int year = 0, other;

    if (strcmp(o->what, "method") == 0 &&
        hn_code(s->table, HN_COL_VERDICT, row) == HN_VERDICT_RULED_OUT)
        snprintf(text, HN_OVERRIDE_DOUBT,
                 "contradicts a method rule that forbids it here: see options");
    if (strcmp(o->what, "year") != 0 || sscanf(o->value, "%d", &year) != 1)
        return;
    other = committed_year(s, row, year);
    if (other)
        snprintf(text, HN_OVERRIDE_DOUBT, "contradicts a committed work of %d", other);
    else if (hn_code(s->table, HN_COL_METHOD, row) != HN_CODE_MISSING &&
             s->plan->config.methods[hn_code(s->table, HN_COL_METHOD, row)].kind == HN_METHOD_WATCH)
        snprintf(text, HN_OVERRIDE_DOUBT, "contradicts the method: watching needs no year");
}

void hn_override_doubt(const hn_state *s, size_t i, char *text)
{
    const hn_override *o = &s->plan->config.overrides[i];
    const int64_t row = hn_state_find_row(s->table, o->segment_id);
    const hn_column_id id = hn_column_find(o->what);

    text[0] = '\0';
    switch (s->override_state[i]) {
    case HN_OVERRIDE_NO_SEGMENT:
        snprintf(text, HN_OVERRIDE_DOUBT, "stale: the network has no such segment, or merged it");
        return;
    case HN_OVERRIDE_SAME:
        snprintf(text, HN_OVERRIDE_DOUBT, "stale: it is so without it");
        return;
    case HN_OVERRIDE_REPLACED:
        snprintf(text, HN_OVERRIDE_DOUBT, "stale: an inspection says otherwise and rules");
        return;
    case HN_OVERRIDE_APPLIED:
        break;
    default:
        return;
    }
    if (row < 0)
        return;
    if (strcmp(o->what, "method") == 0 || strcmp(o->what, "priority") == 0 ||
        (id != HN_COL_COUNT && is_seen(id)))
        doubt_age(s, o, (size_t)row, text);
    doubt_choice(s, o, (size_t)row, text);
}

void hn_overrides_review(hn_state *s)
{
    const hn_config *config = &s->plan->config;

    for (size_t i = 0; i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];
        const int64_t row = hn_state_find_row(s->table, o->segment_id);
        const hn_column_id id = hn_column_find(o->what);
        char text[HN_OVERRIDE_DOUBT];

        if (s->override_state[i] == HN_OVERRIDE_APPLIED && row >= 0 && id != HN_COL_COUNT &&
            is_seen(id) && !still_holds(s->table, id, (size_t)row, o->value))
            s->override_state[i] = HN_OVERRIDE_REPLACED;
        hn_override_doubt(s, i, text);
        if (text[0])
            hn_issue_add(&s->issues, HN_SEVERITY_WARNING, "override_doubtful", o->segment_id,
                         o->what, o->value, text,
                         s->override_state[i] == HN_OVERRIDE_APPLIED ? "applied all the same"
                                                                     : "without effect",
                         (double)NAN, (double)NAN);
    }
}

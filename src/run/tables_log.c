#include "base/dates.h"
#include "run/attention.h"
#include "run/overrides.h"
#include "run/sensitivity.h"
#include "run/table_columns.h"
#include "run/tables.h"
#include "run/versions.h"

#include "base/sha256.h"

#include <stdio.h>
#include <string.h>

static const hn_view_column assumption_columns[] = {
    HN_TEXT("what", "What", "What was assumed"),
    HN_TEXT("value", "Value", "Value used"),
    HN_TEXT("source", "Source", "Where the value comes from"),
    HN_WHOLE("segments", "Segments", "Segments that rest on it; empty where it concerns all"),
};

static const hn_view_column override_columns[] = {
    HN_TEXT("segment_id", "Segment", "Segment"),
    HN_TEXT("what", "What", "What was changed"),
    HN_TEXT("value", "Value", "Value set by a person"),
    HN_TEXT("reason", "Reason", "Reason given"),
    HN_TEXT("who", "Who", "Who decided"),
    HN_TEXT("date", "Date", "When"),
    HN_TEXT("state", "State", "What became of it in this run"),
    HN_TEXT("doubt", "Doubt",
            "Why a person should look at it again: stale, or against something else; empty when "
            "nothing is"),
};

static const hn_view_column log_columns[] = {
    HN_TEXT("topic", "Topic", "What the line is about"),
    HN_TEXT("item", "Item", "Item"),
    HN_TEXT("value", "Value", "Value"),
};

static void assume(hn_grid *g, const char *what, const char *value, const char *source,
                   int64_t segments)
{
    hn_grid_row(g);
    hn_grid_text(g, what);
    hn_grid_text(g, value);
    hn_grid_text(g, source);
    if (segments >= 0)
        hn_grid_int(g, segments);
}

static void add_defaults(const hn_state *s, hn_grid *g)
{
    for (size_t i = 0; i < s->plan->default_count; i++) {
        const hn_default *d = &s->plan->defaults[i];
        char what[128], value[64];

        snprintf(what, sizeof what, "%s where it is missing",
                 hn_column_definition((hn_column_id)d->column)->name);
        if (d->text)
            snprintf(value, sizeof value, "%s", d->text);
        else
            snprintf(value, sizeof value, "%g", d->number);
        assume(g, what, value, d->source, (int64_t)s->default_used[i]);
    }
}

static void add_findings(const hn_state *s, hn_grid *g)
{
    const size_t *counts = hn_option_finding_counts(s->judged);
    char value[64];

    snprintf(value, sizeof value, "%g %%", s->plan->design.ovality_default_pct);
    assume(g, "ovality in wall design where none is recorded, and at least", value,
           "plan, design.ovality_default_pct", (int64_t)counts[11]);
    snprintf(value, sizeof value, "%g of the depth", s->plan->design.groundwater_default_share);
    assume(g, "groundwater above the invert where none is recorded", value,
           "plan, design.groundwater_default_share", (int64_t)counts[12]);
    assume(g, "wall of linings in hosts that are not circular", "screening share of the width",
           "config/methods.csv, screening_wall_share; needs special design", (int64_t)counts[5]);
    assume(g, "size or depth outside the price table", "last step of the table drawn on",
           "local rule", (int64_t)counts[9]);
    assume(g, "quantities that are not known, such as laterals", "not priced", "local rule",
           (int64_t)counts[10]);
}

static void add_assumptions(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_ASSUMPTIONS];
    char value[128];

    hn_grid_init(g, "assumptions", "What was assumed",
                 "Every default that the result rests on, with its source.", assumption_columns,
                 HN_COUNT_OF(assumption_columns));
    assume(g, "level of the estimate", "screening and planning level; not a design",
           "local codes and a licensed engineer decide", -1);
    assume(g, "entering a sewer", "permit-required confined-space work",
           "29 CFR 1910.146 and 1926 Subpart AA, or the local rule", -1);
    if (s->plan->config.prices_invented)
        assume(g, "prices", "INVENTED sample prices: replace them before use",
               "config/rates.csv and cost_items.csv", -1);
    if (hn_currency_differs(s->plan))
        assume(g, "currency of the prices", s->plan->config.rates[0].currency,
               "config/rates.csv; not converted into the plan's currency", -1);
    if (hn_sensitivity_is_on(s))
        assume(g, "sensitivity: assumptions changed at a time", "one",
               "local rule; what two changes do together is not shown, nor how likely each is", -1);
    snprintf(value, sizeof value, "class %s: %g %% to %+g %%", s->plan->estimate_class,
             s->plan->estimate_low_pct, s->plan->estimate_high_pct);
    assume(g, "range of cost estimates", value,
           "AACE 18R-97 outer bounds unless the plan gives others", -1);
    for (size_t i = 0; i < s->plan->assumption_count; i++)
        assume(g, s->plan->assumptions[i].what, s->plan->assumptions[i].value,
               s->plan->assumptions[i].source, -1);
    add_defaults(s, g);
    add_findings(s, g);
}

static void add_overrides(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_OVERRIDES];

    hn_grid_init(g, "overrides", "What people decided",
                 "The register of overrides and what became of each in this run.", override_columns,
                 HN_COUNT_OF(override_columns));
    for (size_t i = 0; i < s->plan->config.override_count; i++) {
        const hn_override *o = &s->plan->config.overrides[i];
        char doubt[HN_OVERRIDE_DOUBT];

        hn_override_doubt(s, i, doubt);
        hn_grid_row(g);
        hn_grid_text(g, o->segment_id);
        hn_grid_text(g, o->what);
        hn_grid_text(g, o->value);
        hn_grid_text(g, o->reason);
        hn_grid_text(g, o->who);
        hn_grid_text(g, o->date);
        hn_grid_text(g, hn_override_state_names[s->override_state[i]]);
        if (doubt[0])
            hn_grid_text(g, doubt);
    }
}

static void note(hn_grid *g, const char *topic, const char *item, const char *value)
{
    hn_grid_row(g);
    hn_grid_text(g, topic);
    hn_grid_text(g, item);
    hn_grid_text(g, value);
}

static void note_count(hn_grid *g, const char *topic, const char *item, size_t value)
{
    char text[32];

    snprintf(text, sizeof text, "%zu", value);
    note(g, topic, item, text);
}

static void log_sources(const hn_state *s, hn_grid *g)
{
    for (size_t i = 0; i < s->source_count; i++) {
        const hn_source_note *n = &s->sources[i];
        const char *slash = strrchr(n->shown, '/');

        note(g, n->key, "file", slash ? slash + 1 : n->shown);
        note(g, n->key, "layer", n->layer);
        note(g, n->key, "sha256", n->sha256);
        note_count(g, n->key, "rows read", n->rows_read);
        if (n->rows_rejected)
            note_count(g, n->key, "rows rejected", n->rows_rejected);
    }
    for (size_t i = 0; i < s->plan->config.file_count; i++) {
        const char *slash = strrchr(s->plan->config.files[i], '/');
        char hash[65] = "";

        if (hn_sha256_file(s->plan->config.files[i], hash, NULL) != HN_OK)
            hash[0] = '\0';
        note(g, "config", slash ? slash + 1 : s->plan->config.files[i], hash);
    }
}

static void add_log(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_RUN_LOG];
    char text[65] = "", date[HN_DATE_TEXT];
    const char *slash = strrchr(s->plan->path, '/');

    hn_grid_init(g, "run_log", "Run log", "Versions, inputs with hashes, rows in and out.",
                 log_columns, HN_COUNT_OF(log_columns));
    for (int i = 0; i < HN_VERSION_COUNT; i++)
        note(g, "version", hn_version_name(i), hn_version_text(i));
    note(g, "plan", "title", s->plan->title);
    note(g, "plan", "file", slash ? slash + 1 : s->plan->path);
    if (hn_sha256_file(s->plan->path, text, NULL) == HN_OK)
        note(g, "plan", "sha256", text);
    hn_date_text(s->plan->as_of, date);
    note(g, "plan", "as of", date);
    note(g, "plan", "currency", s->plan->currency);
    note(g, "network", "crs", s->crs.name);
    log_sources(s, g);
    note_count(g, "rows", "segments in the result", s->table->rows);
    note_count(g, "rows", "source rows merged into others", s->network.rows_merged);
    note_count(g, "rows", "outlets", s->network.outlets);
    note_count(g, "rows", "segments in loops", s->network.loops);
    note_count(g, "rows", "ties in the rank", s->ranks.ties);
    note_count(g, "rows", "ranked after a segment that they dominate", s->ranks.dominated);
    note_count(g, "rows", "data issues", s->issues.count);
    note_count(g, "inspections", "records superseded by a later one", s->join.superseded);
    note_count(g, "inspections", "records from before the last lining", s->join.before_lining);
    note(g, "reconciliation", "all checks hold", tables->reconciles ? "yes" : "NO");
}

void hn_tables_log(const hn_state *s, hn_tables *tables)
{
    add_assumptions(s, tables);
    add_overrides(s, tables);
    add_log(s, tables);
}

/* What is missing or doubtful, with counts and examples. */
#include "run/attention.h"
#include "run/state.h"

#include "base/alloc.h"

#include <stdlib.h>
#include <string.h>

enum { EXAMPLES = 3, ATTENTIONS = 6 };

static void print_columns(const hn_state *s, FILE *out)
{
    const hn_table *t = s->table;

    fprintf(out, "\nWhat is known (of %zu segments)\n", t->rows);
    for (int id = 0; id < HN_COL_COUNT; id++) {
        const hn_column_def *d = hn_column_definition((hn_column_id)id);
        size_t known = 0;

        if (strcmp(d->owner, "read") != 0 || !t->column[id])
            continue;
        for (size_t row = 0; row < t->rows; row++)
            known += d->kind == HN_KIND_STR || d->kind == HN_KIND_CODE
                         ? hn_table_text(t, (hn_column_id)id, row)[0] != '\0'
                         : !isnan(hn_table_number(t, (hn_column_id)id, row));
        fprintf(out, "  %-28s %9zu  %5.1f %%%s\n", d->name, known,
                t->rows ? 100.0 * (double)known / (double)t->rows : 0.0,
                known == 0 ? "   all missing" : "");
    }
    fprintf(out, "  not in any source:");
    for (int id = 0, n = 0; id < HN_COL_COUNT; id++)
        if (strcmp(hn_column_definition((hn_column_id)id)->owner, "read") == 0 && !t->column[id])
            fprintf(out, "%s %s", n++ ? "," : "", hn_column_definition((hn_column_id)id)->name);
    fputc('\n', out);
}

/* Texts of the data, without what a terminal would obey. */
static void put_clean(const char *text, FILE *out)
{
    for (; *text; text++)
        fputc((unsigned char)*text < 0x20 || *text == 0x7f ? '?' : *text, out);
}

static int by_rule(const void *left, const void *right, void *context)
{
    const hn_issue_list *list = context;
    const hn_issue *a = &list->items[*(const uint32_t *)left];
    const hn_issue *b = &list->items[*(const uint32_t *)right];
    int order;

    if (a->severity != b->severity)
        return a->severity < b->severity ? -1 : 1;
    order = strcmp(hn_text_pool_get(list->texts, a->rule), hn_text_pool_get(list->texts, b->rule));
    if (order)
        return order;
    order = strcmp(hn_text_pool_get(list->texts, a->segment),
                   hn_text_pool_get(list->texts, b->segment));
    return order ? order : (*(const uint32_t *)left < *(const uint32_t *)right ? -1 : 1);
}

static void print_group(const hn_issue_list *list, const uint32_t *order, size_t from, size_t to,
                        FILE *out)
{
    static const char *const severity[] = {"error", "warning", "note"};
    const hn_issue *first = &list->items[order[from]];

    fprintf(out, "  %-8s %-30s %6zu  %s\n", severity[first->severity],
            hn_text_pool_get(list->texts, first->rule), to - from,
            hn_text_pool_get(list->texts, first->effect));
    for (size_t i = from; i < to && i < from + EXAMPLES; i++) {
        const hn_issue *issue = &list->items[order[i]];

        fputs("             ", out);
        put_clean(hn_text_pool_get(list->texts, issue->segment), out);
        fputs(issue->segment && issue->field ? ", " : "", out);
        put_clean(hn_text_pool_get(list->texts, issue->field), out);
        fputs(issue->segment || issue->field ? ": " : "", out);
        put_clean(hn_text_pool_get(list->texts, issue->value ? issue->value : issue->message), out);
        fputc('\n', out);
    }
}

static void print_issues(const hn_state *s, FILE *out)
{
    const hn_issue_list *list = &s->issues;
    uint32_t *order = hn_alloc(list->count + 1, sizeof *order);

    fprintf(out, "\nWhat is doubtful (%zu findings)\n", list->count);
    for (size_t i = 0; order && i < list->count; i++)
        order[i] = (uint32_t)i;
    if (order)
        qsort_r(order, list->count, sizeof *order, by_rule, (void *)(uintptr_t)list);
    for (size_t from = 0, to; order && from < list->count; from = to) {
        for (to = from + 1; to < list->count &&
                            list->items[order[to]].rule == list->items[order[from]].rule &&
                            list->items[order[to]].severity == list->items[order[from]].severity;)
            to++;
        print_group(list, order, from, to, out);
    }
    hn_free(order);
}

/* As they were read: a comma inside an amount has made two of it. */
static void print_budgets(const hn_plan *plan, FILE *out)
{
    fprintf(out, "  programme: %d years, %s:", plan->years, plan->currency);
    for (int i = 0; i < plan->years; i++)
        fprintf(out, "%s %d %.15g", i ? "," : "", plan->budgets[i].year, plan->budgets[i].amount);
    fputc('\n', out);
}

static void print_attention(const hn_state *s, FILE *out)
{
    char line[ATTENTIONS][HN_SUMMARY_BYTES];
    size_t count = hn_attention(s, line, ATTENTIONS);

    if (count)
        fprintf(out, "\nAttention\n");
    for (size_t i = 0; i < count; i++) {
        fputs("  ", out);
        put_clean(line[i], out);
        fputc('\n', out);
    }
}

void hn_check_report(const hn_state *s, FILE *out)
{
    fprintf(out, "Plan: %s\n", s->plan->title);
    for (size_t i = 0; i < s->source_count; i++)
        fprintf(out, "  %-18s %s%s%s: %zu rows\n", s->sources[i].key, s->sources[i].shown,
                s->sources[i].layer[0] ? ", layer " : "", s->sources[i].layer,
                s->sources[i].rows_read);
    fprintf(out, "  CRS: %s\n", s->crs.name ? s->crs.name : "");
    fprintf(out, "  %zu segments", s->table->rows);
    if (s->network.rows_merged)
        fprintf(out, " (%zu rows merged into others)", s->network.rows_merged);
    fprintf(out, ", %.1f km, %zu outlets, %zu segments in loops\n", s->network.length_m / 1000.0,
            s->network.outlets, s->network.loops);
    if (s->join.records)
        fprintf(out, "  inspections: %zu records", s->join.records);
    for (int how = 0; s->join.records && how < HN_MATCH_COUNT; how++)
        fprintf(out, ", %zu by %s", s->join.by[how], hn_match_names[how]);
    if (s->join.records)
        fprintf(out, "; %zu segments observed\n", s->join.segments_observed);
    print_budgets(s->plan, out);
    print_columns(s, out);
    print_issues(s, out);
    print_attention(s, out);
}

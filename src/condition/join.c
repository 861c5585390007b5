/* Several records, one verdict per segment.
 *
 * Records of one day are one inspection (condition/visits.h). The latest
 * complete one rules. A later partial one counts only where it saw a worse
 * structural grade; a segment with partial ones only is observed when the grade
 * seen is 4 or 5, since a defect seen is a defect.
 */
#include "base/alloc.h"
#include "base/dates.h"
#include "base/parallel.h"
#include "condition/condition.h"
#include "condition/confidence.h"
#include "condition/match.h"
#include "condition/observe.h"
#include "condition/visits.h"

#include <stdio.h>
#include <string.h>

static const double DEFECT_GRADE = 4.0;

/* Two records of one day that both claim the whole length: one was keyed twice,
 * or somebody was there twice. They count as one either way. */
static int is_twice(const hn_inspections *p, const hn_record_key *keys, const hn_visit *v)
{
    int complete = 0;

    for (size_t k = v->from; k < v->to; k++)
        complete += p->complete[keys[k].record] == 1;
    return complete > 1;
}

static void write_visit(hn_table *table, const hn_inspections *p, const hn_record_key *keys,
                        const hn_visit *v)
{
    size_t row = (size_t)keys[v->from].row;

    for (size_t c = 0; c < hn_inspected_number_count; c++) {
        hn_column_id id = hn_inspected_numbers[c];
        double value = hn_visit_worst(p, id, keys, v);

        if (!p->number[id] || isnan(value))
            continue;
        hn_table_set_number(table, id, row, value);
    }
    for (size_t c = 0; c < hn_inspected_text_count; c++) {
        hn_column_id id = hn_inspected_texts[c];

        for (size_t k = v->from; p->text[id] && k < v->to; k++)
            if (p->text[id][keys[k].record])
                ((uint32_t *)table->column[id])[row] = p->text[id][keys[k].record];
    }
    HN_I32(table, INSPECTED_ON)[row] = keys[v->from].date;
}

static hn_status want_observed(hn_table *table, const hn_inspections *p, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t c = 0; c < hn_inspected_number_count; c++)
        if (p->number[hn_inspected_numbers[c]])
            HN_TRY(hn_table_want(table, hn_inspected_numbers[c], err));
    for (size_t c = 0; c < hn_inspected_text_count; c++)
        if (p->text[hn_inspected_texts[c]])
            HN_TRY(hn_table_want(table, hn_inspected_texts[c], err));
    HN_TRY(hn_table_want(table, HN_COL_GRADE_STRUCTURAL, err));
    HN_TRY(hn_table_want(table, HN_COL_INSPECTED_ON, err));
out:
    return rc;
}

static void place_of(const hn_table *table, size_t row, double *x, double *y)
{
    size_t n = hn_line_points(&table->lines, row);

    *x = n ? table->lines.xy[2 * table->lines.start[row]] : (double)NAN;
    *y = n ? table->lines.xy[2 * table->lines.start[row] + 1] : (double)NAN;
}

/* What the list of doubtful data says of one segment. */
typedef enum remark {
    INSPECTION_TWICE,
    WORSE_PARTIAL_KEPT,
    PARTIAL_DEFECT_COUNTS,
    PARTIAL_NOT_COUNTED
} remark;

static const struct {
    const char *rule, *message, *effect;
} remark_texts[] = {
    {"inspection_twice", "more than one complete inspection of one day",
     "taken as one; the worst counts"},
    {"worse_partial_kept", "a later partial inspection saw a worse grade",
     "the partial inspection rules"},
    {"partial_defect_counts", "only partial inspections, and one saw grade 4 or 5",
     "counted as observed"},
    {"partial_not_counted", "only partial or abandoned inspections", "counted as not inspected"},
};

typedef struct remarked {
    int32_t row, date;
    remark what;
    size_t from, to; /* keys of the visit */
} remarked;

/* Blocks of keys are judged side by side; what they find is added up in the
 * order of the blocks, so it is the same for any number of threads. */
typedef struct block_result {
    hn_join_stats stats;
    remarked *remarks;
    size_t count, room;
    hn_matches matches;
    int is_short; /* out of memory */
} block_result;

typedef struct judging {
    hn_table *table;
    const hn_inspections *inspections;
    const hn_record_key *keys;
    size_t count;
    block_result *blocks;
    const hn_plan *plan;
    const uint8_t *how; /* per record */
    const hn_match_notes *notes;
    int list_all;
} judging;

static void note(const judging *j, block_result *b, const hn_visit *v, remark what)
{
    const hn_record_key *key = &j->keys[v->from];

    if (!hn_grow((void **)&b->remarks, b->count, &b->room, sizeof *b->remarks))
        b->is_short = 1;
    else
        b->remarks[b->count++] = (remarked){key->row, key->date, what, v->from, v->to};
}

/* What rules so far of one segment, its visits being taken latest first. */
typedef struct ruling {
    hn_visit partial; /* the worst of the partial ones before a complete one */
    hn_visit written; /* once is_found */
    int is_found;
} ruling;

static void take_complete(const judging *j, block_result *b, const hn_visit *v, ruling *r)
{
    write_visit(j->table, j->inspections, j->keys, v);
    r->written = *v;
    r->is_found = 1;
    if (!(r->partial.structural > v->structural))
        return;
    write_visit(j->table, j->inspections, j->keys, &r->partial);
    r->written = r->partial;
    b->stats.worse_partial_kept++;
    note(j, b, &r->partial, WORSE_PARTIAL_KEPT);
}

static void take_one_visit(const judging *j, block_result *b, const hn_visit *v, ruling *r)
{
    const hn_record_key *key = &j->keys[v->from];
    double lined = (double)hn_f32(j->table, HN_COL_YEAR_LINED, (size_t)key->row);
    size_t records = v->to - v->from;

    if (key->date != HN_I32_MISSING && hn_date_year(key->date) < lined) {
        b->stats.before_lining += records;
        return;
    }
    if (is_twice(j->inspections, j->keys, v)) {
        for (size_t k = v->from; k < v->to; k++)
            b->stats.twice[j->how[j->keys[k].record]]++;
        note(j, b, v, INSPECTION_TWICE);
    }
    *(v->complete ? &b->stats.complete : &b->stats.partial) += records;
    if (r->is_found)
        b->stats.superseded += records;
    else if (v->complete)
        take_complete(j, b, v, r);
    else if (!(r->partial.structural >= v->structural))
        r->partial = *v;
}

static int use_of(const judging *j, const ruling *r, size_t key)
{
    const double lined = (double)hn_f32(j->table, HN_COL_YEAR_LINED, (size_t)j->keys[key].row);

    if (r->is_found && key >= r->written.from && key < r->written.to)
        return HN_USE_RULES;
    return j->keys[key].date != HN_I32_MISSING && hn_date_year(j->keys[key].date) < lined
               ? HN_USE_BEFORE_LINING
               : HN_USE_IDLE;
}

/* How sure the match of one record is. */
static void rate_match(const judging *j, block_result *b, const ruling *r, size_t key)
{
    const hn_inspections *p = j->inspections;
    const size_t i = j->keys[key].record, row = (size_t)j->keys[key].row;
    hn_matched m = {.row = j->keys[key].row,
                    .date = j->keys[key].date,
                    .segment = p->segment[i],
                    .inspection_id = p->inspection_id[i],
                    .length_seen_m = (float)p->length_seen_m[i],
                    .apart_m = NAN,
                    .source = p->source[i],
                    .how = j->how[i]};
    double confidence;

    if (m.how == HN_MATCH_GEOMETRY)
        m.apart_m = j->notes->apart_m[i];
    confidence = hn_match_confidence(j->table, j->plan, p, i, row, m.how, (double)m.apart_m,
                                     j->notes->reach_m, &m.evidence);
    b->stats.confidence[m.how] += confidence;
    b->stats.doubtful[m.how] += confidence < HN_MATCH_DOUBTFUL;
    if (!j->list_all && confidence >= HN_MATCH_DOUBTFUL)
        return;
    m.confidence_0_1 = (float)confidence;
    m.use = (uint8_t)use_of(j, r, key);
    if (!hn_grow((void **)&b->matches.list, b->matches.count, &b->matches.room, sizeof m))
        b->is_short = 1;
    else
        b->matches.list[b->matches.count++] = m;
}

static void judge_segment(const judging *j, block_result *b, size_t from, size_t to)
{
    ruling r = {.partial = {0, 0, 0, (double)NAN}};
    hn_visit v;

    for (size_t at = from; at < to; at = v.to) {
        v = hn_visit_take(j->table, j->inspections, j->keys, at, to);
        take_one_visit(j, b, &v, &r);
    }
    if (!r.is_found && r.partial.structural >= DEFECT_GRADE) {
        write_visit(j->table, j->inspections, j->keys, &r.partial);
        r.written = r.partial;
        r.is_found = 1;
        note(j, b, &r.partial, PARTIAL_DEFECT_COUNTS);
    } else if (!r.is_found && r.partial.to > r.partial.from) {
        note(j, b, &r.partial, PARTIAL_NOT_COUNTED);
    }
    for (size_t key = from; key < to; key++)
        rate_match(j, b, &r, key);
    b->stats.segments_observed += (size_t)r.is_found;
}

/* A segment belongs to the block in which its first record lies. */
static void judge_block(void *context, size_t begin, size_t end, int worker)
{
    const judging *j = context;
    block_result *b = &j->blocks[begin / HN_BLOCK_ROWS];

    (void)worker;
    while (begin > 0 && begin < end && j->keys[begin].row == j->keys[begin - 1].row)
        begin++;
    for (size_t from = begin, to; from < end; from = to) {
        for (to = from; to < j->count && j->keys[to].row == j->keys[from].row; to++)
            ;
        judge_segment(j, b, from, to);
    }
}

static void add_stats(hn_join_stats *to, const hn_join_stats *from)
{
    to->complete += from->complete;
    to->partial += from->partial;
    to->segments_observed += from->segments_observed;
    to->worse_partial_kept += from->worse_partial_kept;
    to->superseded += from->superseded;
    to->before_lining += from->before_lining;
    for (int how = 0; how < HN_MATCH_COUNT; how++) {
        to->confidence[how] += from->confidence[how];
        to->doubtful[how] += from->doubtful[how];
        to->twice[how] += from->twice[how];
    }
}

/* The day, and the inspections by their ids where they have some. */
static void name_visit(const judging *j, const remarked *r, char *out, size_t size)
{
    char day[HN_DATE_TEXT] = "";
    size_t used;

    if (r->date != HN_I32_MISSING)
        hn_date_text(r->date, day);
    snprintf(out, size, "%s", day);
    used = strlen(out);
    for (size_t k = r->from; k < r->to && used + 24 < size; k++) {
        const uint32_t id = j->inspections->inspection_id[j->keys[k].record];

        if (id)
            snprintf(out + used, size - used, "%s%.40s", k == r->from ? ": " : ", ",
                     hn_text_pool_get(j->table->texts, id));
        used = strlen(out);
    }
}

static void list_remark(const judging *j, const remarked *r, hn_issue_list *issues)
{
    const hn_table *table = j->table;
    char value[160];
    double x, y;

    name_visit(j, r, value, sizeof value);
    place_of(table, (size_t)r->row, &x, &y);
    hn_issue_add(issues, HN_SEVERITY_NOTE, remark_texts[r->what].rule,
                 hn_table_text(table, HN_COL_SEGMENT_ID, (size_t)r->row), "inspected_on", value,
                 remark_texts[r->what].message, remark_texts[r->what].effect, x, y);
}

static hn_status take_matches(hn_matches *to, const hn_matches *from, hn_error *err)
{
    for (size_t i = 0; to && i < from->count; i++) {
        if (!hn_grow((void **)&to->list, to->count, &to->room, sizeof *to->list))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory for matches");
        to->list[to->count++] = from->list[i];
    }
    return HN_OK;
}

static hn_status judge_all(judging *j, int threads, hn_join_stats *stats, hn_matches *matches,
                           hn_issue_list *issues, hn_error *err)
{
    size_t blocks = (j->count + HN_BLOCK_ROWS - 1) / HN_BLOCK_ROWS;
    hn_status rc = HN_OK;

    j->blocks = hn_alloc(blocks, sizeof *j->blocks);
    HN_TRY_ALLOC(j->blocks);
    hn_parallel(threads, j->count, judge_block, j);
    for (size_t i = 0; i < blocks; i++) {
        const block_result *b = &j->blocks[i];

        add_stats(stats, &b->stats);
        for (size_t k = 0; k < b->count; k++)
            list_remark(j, &b->remarks[k], issues);
        HN_TRY(take_matches(matches, &b->matches, err));
        if (b->is_short)
            rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
out:
    for (size_t i = 0; j->blocks && i < blocks; i++) {
        hn_matches_clear(&j->blocks[i].matches);
        hn_free(j->blocks[i].remarks);
    }
    hn_free(j->blocks);
    return rc;
}

static void note_unmatched(const hn_table *table, const hn_inspections *p, size_t i,
                           hn_issue_list *issues)
{
    hn_issue_add(issues, HN_SEVERITY_WARNING, "inspection_unmatched",
                 hn_text_pool_get(table->texts, p->segment[i]), "segment_id",
                 p->segment[i] ? hn_text_pool_get(table->texts, p->segment[i]) : "(no id)",
                 "no segment has this id, node pair or place", "the record is not used", p->x[i],
                 p->y[i]);
}

static void list_doubles(const hn_table *table, const hn_inspections *p, const int32_t *row,
                         const uint8_t *how, const hn_match_notes *notes, hn_join_stats *stats,
                         hn_issue_list *issues)
{
    for (size_t k = 0; k < notes->count; k++) {
        const hn_fits_two *two = &notes->list[k];
        const int is_by_id = two->other >= 0;
        const int32_t other = is_by_id ? two->other : hn_match_twin(table, two->one);
        char value[160], day[HN_DATE_TEXT] = "";

        stats->fit_several[how[two->record]]++;
        if (p->date[two->record] != HN_I32_MISSING)
            hn_date_text(p->date[two->record], day);
        snprintf(value, sizeof value, "%.40s %s: %.40s, %.40s",
                 hn_text_pool_get(table->texts, p->inspection_id[two->record]), day,
                 hn_table_text(table, HN_COL_SEGMENT_ID, (size_t)two->one),
                 hn_table_text(table, HN_COL_SEGMENT_ID, (size_t)other));
        hn_issue_add(issues, HN_SEVERITY_WARNING, "inspection_fits_several",
                     hn_table_text(table, HN_COL_SEGMENT_ID, (size_t)two->one),
                     is_by_id ? "segment_id" : "up_node", value,
                     is_by_id ? "the id names one segment, the nodes another"
                              : "several segments lie between the nodes of the record",
                     is_by_id               ? "the id decides"
                     : row[two->record] < 0 ? "the record is not used"
                                            : "its place on the map decides",
                     p->x[two->record], p->y[two->record]);
    }
}

hn_status hn_condition_join(hn_table *table, const hn_inspections *p, const hn_plan *plan,
                            const hn_plane *plane, int threads, hn_join_stats *stats,
                            hn_matches *matches, hn_issue_list *issues, hn_error *err)
{
    int32_t *row = hn_alloc(p->count, sizeof *row);
    uint8_t *how = hn_alloc(p->count, 1);
    hn_record_key *keys = hn_alloc(p->count, sizeof *keys);
    hn_match_notes notes = {0};
    judging j = {.table = table, .inspections = p, .plan = plan, .how = how, .notes = &notes};
    hn_status rc = HN_OK;

    memset(stats, 0, sizeof *stats);
    stats->records = p->count;
    HN_TRY_ALLOC(row);
    HN_TRY_ALLOC(how);
    HN_TRY_ALLOC(keys);
    if (p->count == 0)
        goto out;
    HN_TRY(want_observed(table, p, err));
    HN_TRY(hn_match_inspections(table, p, plan, plane, row, how, &notes, err));
    j.list_all = matches && matches->all;
    for (size_t i = 0; i < p->count; i++) {
        stats->by[how[i]]++;
        if (row[i] < 0)
            note_unmatched(table, p, i, issues);
    }
    list_doubles(table, p, row, how, &notes, stats, issues);
    HN_TRY(hn_grade_checks(table, p, row, issues, err));
    HN_TRY(hn_visit_sort(p, row, keys, &j.count, err));
    j.keys = keys;
    HN_TRY(judge_all(&j, threads, stats, matches, issues, err));
out:
    hn_match_notes_clear(&notes);
    hn_free(row);
    hn_free(how);
    hn_free(keys);
    return rc;
}

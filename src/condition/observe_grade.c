/* Values of observations by the rules of every scheme, rolled up visit by visit.
 *
 * Visits are graded in fixed blocks; a worker writes only to the visits of its block.
 * For each roll-up the rules of its scheme and driver are asked, each about those
 * observations alone whose code it names.
 */
#include "condition/observe_parts.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "engineering/grading.h"
#include "table/observation_sql.h"

#include <stdatomic.h>
#include <stdio.h>
#include <string.h>

enum { BLOCK_VISITS = 256, CODES_MOST = 24, WHERE_BYTES = 128 };
static const double PEAK_WINDOW_M = 1.0; /* peak score of one metre */

/* A rule with the codes that it names as text ids. */
typedef struct ready_rule {
    const hn_grading_rule *rule;
    uint32_t code[CODES_MOST];
    size_t codes;
    int any; /* every code */
} ready_rule;

/* What one thread holds. */
typedef struct bench {
    hn_observation_rules *rules;
    uint32_t *list;
    uint8_t *truth, *unknown;
    double *base, *add, *factor, *point_m;
    hn_defect *defects;
    hn_defect_edge *edges; /* 2 for each */
    size_t room;
} bench;

typedef struct grading {
    hn_observing *w;
    ready_rule *ready;
    bench *benches;
    const char **expression, **where;
    char (*text)[WHERE_BYTES];
    int ruling;      /* scheme of the plan */
    hn_error *first; /* error of the first block that failed */
    atomic_int failed;
} grading;

/* ---- rules ---- */

static hn_status ready_codes(const hn_observations *o, ready_rule *r, hn_error *err)
{
    const char *at = r->rule->codes;

    r->any = !at;
    while (at && *at) {
        size_t n = strcspn(at, ";"), skip = strspn(at, " "), length = n - skip;
        uint32_t id;

        while (length && at[skip + length - 1] == ' ')
            length--;
        id = hn_text_pool_find(o->texts, at + skip, length);
        if (r->codes == CODES_MOST)
            return hn_fail(err, HN_ERR_PLAN, "grading rule %.60s names more than %d codes",
                           r->rule->id, CODES_MOST);
        if (id)
            r->code[r->codes++] = id;
        at += n + (at[n] == ';');
    }
    return HN_OK;
}

static hn_status ready_rules(grading *g, hn_error *err)
{
    const hn_config *c = &g->w->plan->config;
    hn_status rc = HN_OK;

    g->ready = hn_alloc(c->grading_count, sizeof *g->ready);
    g->expression = hn_alloc(c->grading_count, sizeof *g->expression);
    g->where = hn_alloc(c->grading_count, sizeof *g->where);
    g->text = hn_alloc(c->grading_count, sizeof *g->text);
    HN_TRY_ALLOC(g->ready);
    HN_TRY_ALLOC(g->expression);
    HN_TRY_ALLOC(g->where);
    HN_TRY_ALLOC(g->text);
    for (size_t i = 0; i < c->grading_count; i++) {
        g->ready[i].rule = &c->grading[i];
        HN_TRY(ready_codes(g->w->o, &g->ready[i], err));
        snprintf(g->text[i], WHERE_BYTES, "grading rules, rule %.70s", c->grading[i].id);
        g->where[i] = g->text[i];
        g->expression[i] = c->grading[i].condition;
    }
    for (size_t s = 0; s < c->scheme_count; s++)
        if (strcmp(c->schemes[s], g->w->plan->grading_scheme) == 0)
            g->ruling = (int)s;
out:
    return rc;
}

static int names_code(const ready_rule *r, uint32_t code)
{
    for (size_t i = 0; i < r->codes; i++)
        if (r->code[i] == code)
            return 1;
    return r->any;
}

/* ---- values of the observations of one block ---- */

static int counts(const hn_observations *o, size_t i)
{
    return !(o->flags[i] & (HN_OBS_MERGED | HN_OBS_DUPLICATE));
}

static int is_worse(const hn_roll_up *roll, double a, double b)
{
    return isnan(b) || (roll->worst > roll->best ? a > b : a < b);
}

static void take_truth(bench *b, const hn_roll_up *roll, const hn_grading_rule *rule, size_t k,
                       uint8_t truth)
{
    if (rule->effect == HN_RULE_ADDS) {
        b->add[k] += truth == HN_TRUE ? rule->value : 0.0;
    } else if (rule->effect == HN_RULE_TIMES) {
        b->factor[k] *= truth == HN_TRUE ? rule->value : 1.0;
    } else if (truth == HN_UNKNOWN) {
        b->unknown[k] = 1;
    } else if (truth == HN_TRUE && is_worse(roll, rule->value, b->base[k])) {
        b->base[k] = rule->value;
        b->point_m[k] = rule->point_length_m;
    }
}

static hn_status ask_rule(const grading *g, bench *b, const hn_roll_up *roll, size_t r, size_t from,
                          size_t to, hn_error *err)
{
    const hn_observations *o = g->w->o;
    size_t count = 0;
    hn_status rc = HN_OK;

    for (size_t i = from; i < to; i++)
        if (counts(o, i) && names_code(&g->ready[r], o->code[i]))
            b->list[count++] = (uint32_t)i;
    if (count == 0)
        return HN_OK;
    HN_TRY(hn_observation_truth(b->rules, r, b->list, count, b->truth, err));
    for (size_t k = 0; k < count; k++)
        take_truth(b, roll, g->ready[r].rule, b->list[k] - from, b->truth[k]);
out:
    return rc;
}

static hn_status value_block(const grading *g, bench *b, const hn_roll_up *roll, size_t from,
                             size_t to, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t k = 0; k < to - from; k++) {
        b->base[k] = b->point_m[k] = (double)NAN;
        b->add[k] = 0.0;
        b->factor[k] = 1.0;
        b->unknown[k] = 0;
    }
    for (size_t r = 0; r < g->w->plan->config.grading_count; r++)
        if (g->ready[r].rule->scheme == roll->scheme_index &&
            g->ready[r].rule->driver == roll->driver)
            HN_TRY(ask_rule(g, b, roll, r, from, to, err));
out:
    return rc;
}

/* ---- roll-up of one visit ---- */

static hn_defect defect_of(const hn_observations *o, const hn_roll_up *roll, size_t i, double scale,
                           double value, double point_m)
{
    hn_defect d = {(double)o->from_m[i] * scale, (double)o->to_m[i] * scale, value, 0.0};
    const double least_m = isnan(roll->least_length_m) ? 0.0 : roll->least_length_m;

    d.length_m = hn_defect_length(d.from_m, d.to_m, isnan(point_m) ? roll->point_length_m : point_m,
                                  least_m);
    return d;
}

static double rolled(const hn_roll_up *roll, const hn_defect *d, size_t n, double length_m,
                     hn_defect_edge *edges)
{
    switch (roll->kind) {
    case HN_ROLL_PEAK:
        return hn_defects_peak(d, n, PEAK_WINDOW_M, edges);
    case HN_ROLL_MEAN:
        return hn_defects_mean(d, n);
    case HN_ROLL_TOTAL:
        return hn_defects_total(d, n);
    case HN_ROLL_PER_LENGTH:
        return hn_defects_per_metre(d, n, length_m);
    case HN_ROLL_LENGTH_SUM:
        return hn_defects_length_sum(d, n);
    case HN_ROLL_LENGTH_MEAN:
        return hn_defects_length_mean(d, n);
    default:
        return hn_defects_worst(d, n, roll->best, roll->worst);
    }
}

static double grade_of(const hn_roll_up *roll, double value)
{
    return isnan(roll->band[0]) ? hn_grade_on_scale(value, roll->best, roll->worst)
                                : hn_grade_of_bands(value, roll->band);
}

static void write_quick(const hn_roll_up *roll, const hn_defect *d, size_t n, hn_visit_grade *out)
{
    int count[6] = {0};
    char text[HN_QUICK_RATING_TEXT];

    for (size_t k = 0; k < n; k++) {
        double grade = grade_of(roll, d[k].value);

        if (!isnan(grade))
            count[(int)(grade + 0.5)]++;
    }
    hn_quick_rating_write(count, text);
    memcpy(out->quick, text, sizeof out->quick);
}

static void roll_visit(const hn_observing *w, const hn_roll_up *roll, size_t v, const hn_defect *d,
                       size_t n, size_t unknown, hn_defect_edge *edges, hn_visit_grade *out)
{
    const int32_t row = w->o->row[v];
    const hn_visit_piece *piece = hn_observed_piece(w->o, v);
    const double segment_m = piece      ? (double)piece->length_m
                             : row >= 0 ? hn_f64(w->table, HN_COL_LENGTH_M, (size_t)row)
                                        : (double)NAN;
    const double length_m = w->o->visits.complete[v] == 0 && w->o->surveyed_m[v] > 0.0
                                ? w->o->surveyed_m[v]
                                : segment_m;
    double value = n ? rolled(roll, d, n, length_m, edges) : (double)NAN;

    if (n == 0 && unknown == 0)
        value = isnan(roll->band[0]) ? roll->best : 0.0;
    out->value = (float)value;
    out->grade = (float)grade_of(roll, value);
    out->recorded = NAN;
    out->total = (float)hn_defects_total(d, n);
    out->peak = (float)hn_defects_peak(d, n, PEAK_WINDOW_M, edges);
    out->length_sum = (float)hn_defects_length_sum(d, n);
    out->surcharge =
        roll->kind == HN_ROLL_SURCHARGE
            ? (float)hn_damage_surcharge(hn_damage_density(d, n, roll->best, roll->worst, length_m))
            : NAN;
    out->counted = (uint32_t)n;
    out->unknown = (uint16_t)(unknown < UINT16_MAX ? unknown : UINT16_MAX);
    write_quick(roll, d, n, out);
}

/* The plan's scheme writes beside each observation the grade of its worst driver. */
static void write_one(hn_observations *o, const hn_roll_up *roll, size_t i, double value)
{
    const double grade = grade_of(roll, value);

    if (isnan(grade) || (double)o->grade[i] >= grade)
        return;
    o->grade[i] = (float)grade;
    o->driver[i] = (uint8_t)roll->driver;
}

static void take_visit(const grading *g, bench *b, const hn_roll_up *roll, size_t v, size_t from,
                       hn_visit_grade *out)
{
    hn_observations *o = g->w->o;
    const int rules_it = roll->scheme_index == g->ruling;
    size_t n = 0, unknown = 0;

    for (size_t i = o->start[v]; i < o->start[v + 1]; i++) {
        const size_t k = i - from;
        const double value = (b->base[k] + b->add[k]) * b->factor[k];

        if (!counts(o, i))
            continue;
        if (isnan(b->base[k])) {
            unknown += b->unknown[k] || (o->flags[i] & HN_OBS_UNKNOWN_CODE);
            if (rules_it && b->unknown[k])
                o->flags[i] |= HN_OBS_CANNOT_TELL;
            continue;
        }
        b->defects[n++] = defect_of(o, roll, i, o->scale[v], value, b->point_m[k]);
        if (rules_it)
            write_one(o, roll, i, value);
    }
    roll_visit(g->w, roll, v, b->defects, n, unknown, b->edges, out);
}

/* ---- blocks ---- */

static hn_status bench_room(const grading *g, bench *b, size_t count, hn_error *err)
{
    const hn_observing *w = g->w;
    hn_status rc = HN_OK;

    if (!b->rules)
        HN_TRY(hn_observation_rules_compile(w->table, w->o, g->expression, g->where,
                                            w->plan->config.grading_count, &b->rules, err));
    if (count <= b->room)
        return HN_OK;
    b->room = count + count / 2;
#define ROOM(array)                                         \
    do {                                                    \
        hn_free(b->array);                                  \
        b->array = hn_alloc(2 * b->room, sizeof *b->array); \
        HN_TRY_ALLOC(b->array);                             \
    } while (0)
    ROOM(list);
    ROOM(truth);
    ROOM(unknown);
    ROOM(base);
    ROOM(add);
    ROOM(factor);
    ROOM(point_m);
    ROOM(defects);
    ROOM(edges);
#undef ROOM
out:
    return rc;
}

static hn_status grade_block(const grading *g, bench *b, size_t begin, size_t end, hn_error *err)
{
    const hn_observations *o = g->w->o;
    const hn_config *c = &g->w->plan->config;
    const size_t from = o->start[begin], to = o->start[end];
    hn_status rc = HN_OK;

    HN_TRY(bench_room(g, b, to - from + 1, err));
    for (size_t r = 0; r < c->roll_up_count; r++) {
        HN_TRY(value_block(g, b, &c->roll_ups[r], from, to, err));
        for (size_t v = begin; v < end; v++)
            take_visit(g, b, &c->roll_ups[r], v, from, &g->w->o->verdict[v * c->roll_up_count + r]);
    }
out:
    return rc;
}

static void run_block(void *context, size_t begin, size_t end, int worker)
{
    grading *g = context;
    hn_error err = {HN_OK, "", ""};

    if (atomic_load(&g->failed))
        return;
    if (grade_block(g, &g->benches[worker], begin, end, &err) != HN_OK &&
        !atomic_exchange(&g->failed, 1))
        *g->first = err;
}

static void bench_clear(bench *b)
{
    hn_observation_rules_free(b->rules);
    hn_free(b->list);
    hn_free(b->truth);
    hn_free(b->unknown);
    hn_free(b->base);
    hn_free(b->add);
    hn_free(b->factor);
    hn_free(b->point_m);
    hn_free(b->defects);
    hn_free(b->edges);
}

static void count_graded(hn_observing *w)
{
    const hn_observations *o = w->o;

    for (size_t v = 0; v < o->visits.count; v++) {
        size_t cannot = 0;

        for (size_t i = o->start[v]; i < o->start[v + 1]; i++) {
            w->out->graded += !isnan((double)o->grade[i]);
            cannot += (o->flags[i] & HN_OBS_CANNOT_TELL) != 0;
        }
        w->out->cannot_tell += cannot;
        hn_observe_found(w, HN_FOUND_CANNOT_TELL, v, cannot, "");
    }
}

hn_status hn_observe_grade(hn_observing *w, hn_error *err)
{
    hn_error first = {HN_OK, "", ""};
    grading g = {.w = w, .first = &first};
    hn_status rc = HN_OK;

    w->o->verdict = hn_alloc(w->o->visits.count * w->o->roll_ups, sizeof *w->o->verdict);
    g.benches = hn_alloc((size_t)w->threads, sizeof *g.benches);
    HN_TRY_ALLOC(w->o->verdict);
    HN_TRY_ALLOC(g.benches);
    HN_TRY(ready_rules(&g, err));
    hn_parallel_blocks(w->threads, w->o->visits.count, BLOCK_VISITS, run_block, &g);
    if (first.status != HN_OK) {
        rc = hn_fail(err, first.status, "%s", first.message);
        hn_hint(err, "%s", first.hint);
        goto out;
    }
    count_graded(w);
out:
    for (int i = 0; g.benches && i < w->threads; i++)
        bench_clear(&g.benches[i]);
    hn_free(g.benches);
    hn_free(g.ready);
    hn_free((void *)g.expression);
    hn_free((void *)g.where);
    hn_free(g.text);
    return rc;
}

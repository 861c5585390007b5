/* Attributes that act twice on the risk. A use is one place that reads attributes: each
 * consequence factor, the choice of the cohort, each default of the plan; every two
 * uses that share an attribute are a line. */
#include "run/table_columns.h"
#include "run/tables.h"

#include "base/alloc.h"
#include "table/attribute.h"
#include "table/condition_sql.h"

#include <stdio.h>
#include <string.h>

enum { NAMES_MAX = 48, USES_MAX = HN_PARTS_MAX + 1 + 64, NAME_BYTES = 64 };

static const hn_view_column columns[] = {
    HN_TEXT("attribute", "Attribute", "What acts twice"),
    HN_TEXT("first_use", "First use",
            "Consequence factor, or likelihood: the choice of the cohort"),
    HN_TEXT("second_use", "Second use", "Another factor, or a default of the plan"),
    HN_WHOLE("segments", "Segments",
             "Segments on which both act; for a default those that took it"),
    HN_METRES("length_m", "Length", "Their length; empty for a default"),
    HN_MONEY("money", "Money",
             "What the factors among both add to one failure of all these segments; empty for a "
             "default"),
};

typedef enum use_kind { USE_FACTOR, USE_LIKELIHOOD, USE_DEFAULT } use_kind;

typedef struct use {
    use_kind kind;
    size_t index; /* of the factor or the default */
    char name[NAMES_MAX][NAME_BYTES];
    size_t names;
} use;

typedef struct overlap {
    const hn_state *s;
    use *uses;
    size_t count;
    size_t *use_of; /* per expression */
    const char **expression;
    size_t expressions;
} overlap;

static int has(const use *u, const char *name)
{
    for (size_t i = 0; i < u->names; i++)
        if (strcmp(u->name[i], name) == 0)
            return 1;
    return 0;
}

static void add_name(use *u, const char *column)
{
    const char *name = hn_attribute_of(column);

    if (u->names < NAMES_MAX && !has(u, name))
        snprintf(u->name[u->names++], NAME_BYTES, "%s", name);
}

static void see(void *context, size_t i, const char *column)
{
    overlap *o = context;

    add_name(&o->uses[o->use_of[i]], column);
}

static void ask(overlap *o, const char *expression, size_t which)
{
    if (!expression || !expression[0])
        return;
    o->use_of[o->expressions] = which;
    o->expression[o->expressions++] = expression;
}

static hn_status gather(overlap *o, hn_error *err)
{
    const hn_plan *plan = o->s->plan;
    const hn_config *c = &plan->config;
    const size_t likelihood = c->factor_count;
    hn_status rc = HN_OK;

    o->expression = hn_alloc(2 * c->factor_class_count + c->cohort_count, sizeof *o->expression);
    o->use_of = hn_alloc(2 * c->factor_class_count + c->cohort_count, sizeof *o->use_of);
    o->uses = hn_alloc(USES_MAX, sizeof *o->uses);
    HN_TRY_ALLOC(o->expression);
    HN_TRY_ALLOC(o->use_of);
    HN_TRY_ALLOC(o->uses);
    for (size_t f = 0; f < c->factor_count; f++)
        o->uses[f] = (use){.kind = USE_FACTOR, .index = f};
    o->uses[likelihood].kind = USE_LIKELIHOOD;
    o->count = likelihood + 1;
    for (size_t i = 0; i < c->factor_class_count; i++) {
        ask(o, c->factors[i].condition, (size_t)c->factors[i].factor_index);
        ask(o, c->factors[i].money, (size_t)c->factors[i].factor_index);
    }
    for (size_t i = 0; i < c->cohort_count; i++)
        ask(o, c->cohorts[i].condition, likelihood);
    HN_TRY(hn_condition_columns(o->s->table, o->expression, o->expressions, see, o, err));
    for (size_t d = 0; d < plan->default_count && o->count < USES_MAX; d++) {
        use *u = &o->uses[o->count++];

        *u = (use){.kind = USE_DEFAULT, .index = d};
        add_name(u, hn_column_definition((hn_column_id)plan->defaults[d].column)->name);
    }
out:
    return rc;
}

/* Money of a factor here: 0 where it has none; the likelihood acts everywhere. */
static double acts(const overlap *o, const use *u, size_t row, int *does)
{
    const double money = u->kind == USE_FACTOR ? hn_part_money(&o->s->parts, u->index, row) : 0.0;

    *does = u->kind == USE_LIKELIHOOD || money > 0.0;
    return money > 0.0 ? money : 0.0;
}

static const char *name_of(const overlap *o, const use *u)
{
    const hn_config *c = &o->s->plan->config;

    if (u->kind == USE_LIKELIHOOD)
        return "likelihood: cohort";
    if (u->kind == USE_DEFAULT)
        return "default of the plan";
    for (size_t i = 0; i < c->factor_class_count; i++)
        if ((size_t)c->factors[i].factor_index == u->index)
            return c->factors[i].factor;
    return "";
}

static void put(const overlap *o, hn_grid *g, const char *attribute, const use *a, const use *b)
{
    hn_grid_row(g);
    hn_grid_text(g, attribute);
    hn_grid_text(g, name_of(o, a));
    hn_grid_text(g, name_of(o, b));
}

static void put_pair(const overlap *o, hn_grid *g, const char *attribute, const use *a,
                     const use *b)
{
    double length = 0.0, money = 0.0;
    int64_t segments = 0;

    for (size_t row = 0; row < o->s->table->rows; row++) {
        const double metres = hn_f64(o->s->table, HN_COL_LENGTH_M, row);
        int first, second;
        const double sum = acts(o, a, row, &first) + acts(o, b, row, &second);

        if (!first || !second)
            continue;
        segments++;
        length += isnan(metres) ? 0.0 : metres;
        money += sum;
    }
    if (!segments)
        return;
    put(o, g, attribute, a, b);
    hn_grid_int(g, segments);
    hn_grid_real(g, length);
    hn_grid_real(g, money);
}

static void put_default(const overlap *o, hn_grid *g, const char *attribute, const use *a,
                        const use *b)
{
    const size_t used = o->s->default_used[b->index];

    if (!used)
        return;
    put(o, g, attribute, a, b);
    hn_grid_int(g, (int64_t)used);
}

static void put_shared(const overlap *o, hn_grid *g, const use *a, const use *b)
{
    for (size_t i = 0; i < a->names; i++) {
        if (!has(b, a->name[i]) || a->kind == USE_DEFAULT)
            continue;
        if (b->kind == USE_DEFAULT)
            put_default(o, g, a->name[i], a, b);
        else
            put_pair(o, g, a->name[i], a, b);
    }
}

void hn_tables_overlap(const hn_state *s, hn_tables *tables)
{
    hn_grid *g = &tables->grid[HN_TABLE_OVERLAP];
    overlap o = {.s = s};
    hn_error err;

    hn_grid_init(g, "overlap", "What acts twice",
                 "Attributes that more than one part of the risk reads, with the segments, length "
                 "and money that both touch.",
                 columns, HN_COUNT_OF(columns));
    if (gather(&o, &err) == HN_OK) {
        for (size_t a = 0; a < o.count; a++)
            for (size_t b = a + 1; b < o.count; b++)
                put_shared(&o, g, &o.uses[a], &o.uses[b]);
    } else {
        g->out_of_memory = 1; /* the rules were compiled before: nothing else can fail */
    }
    hn_free(o.expression);
    hn_free(o.use_of);
    hn_free(o.uses);
}

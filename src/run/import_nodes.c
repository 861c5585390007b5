#include "run/import.h"

#include "base/alloc.h"
#include "read/role_table.h"

#include <string.h>

/* Ground level and opening of the manhole at a node, by the node's text id. */
typedef struct node_facts {
    double *ground_m, *opening_mm;
    uint32_t texts;
} node_facts;

static hn_status facts_init(node_facts *f, const hn_table *table, hn_error *err)
{
    f->texts = hn_text_pool_count(table->texts);
    f->ground_m = hn_alloc(f->texts, sizeof *f->ground_m);
    f->opening_mm = hn_alloc(f->texts, sizeof *f->opening_mm);
    if (!f->ground_m || !f->opening_mm)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (uint32_t i = 0; i < f->texts; i++)
        f->ground_m[i] = f->opening_mm[i] = (double)NAN;
    return HN_OK;
}

static double number_at(const hn_role_column *column, size_t row)
{
    return column && column->is_mapped ? column->number[row] : (double)NAN;
}

static void gather(const hn_role_table *nodes, node_facts *f)
{
    const hn_role_column *id = hn_role_table_column(nodes, "node_id");
    const hn_role_column *ground = hn_role_table_column(nodes, "ground");
    const hn_role_column *opening = hn_role_table_column(nodes, "access_opening");

    for (size_t i = 0; i < nodes->rows; i++) {
        f->ground_m[id->text[i]] = number_at(ground, i);
        f->opening_mm[id->text[i]] = number_at(opening, i);
    }
}

static void doubt(hn_state *s, hn_severity severity, const char *rule, const char *segment,
                  const char *field, const char *node, const char *message, const char *effect)
{
    hn_issue_add(&s->issues, severity, rule, segment, field, node, message, effect, (double)NAN,
                 (double)NAN);
}

/* Manholes that occur twice, and node ids of sewers that no manhole has. */
static hn_status compare(hn_state *s, const hn_role_table *nodes, hn_error *err)
{
    const hn_text_pool *texts = s->table->texts;
    const uint32_t *id = hn_role_table_column(nodes, "node_id")->text;
    uint8_t *seen = hn_alloc(hn_text_pool_count(texts), 1);
    static const hn_column_id ends[2] = {HN_COL_UP_NODE, HN_COL_DOWN_NODE};

    if (!seen)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < nodes->rows; i++) {
        if (id[i] && seen[id[i]])
            doubt(s, HN_SEVERITY_WARNING, "manhole_twice", "", "node_id",
                  hn_text_pool_get(texts, id[i]), "the manhole occurs more than once",
                  "the last one gives place, ground level and opening");
        seen[id[i]] = 1;
    }
    for (size_t row = 0; row < s->table->rows; row++)
        for (int e = 0; e < 2; e++) {
            uint32_t node = hn_str(s->table, ends[e], row);
            const char *name = hn_text_pool_get(texts, node);

            if (node && !seen[node] && !hn_is_pseudo_node_id(name))
                doubt(s, HN_SEVERITY_NOTE, "manhole_not_in_layer",
                      hn_table_text(s->table, HN_COL_SEGMENT_ID, row),
                      hn_column_definition(ends[e])->name, name,
                      "the node id is not in the layer of manholes",
                      "the node is placed by its sewers");
        }
    hn_free(seen);
    return HN_OK;
}

/* What the sewer itself does not say is taken from its manholes. A crew may
 * use either end: the wider opening counts. */
static hn_status fill(hn_table *t, const hn_nodes *nodes, const node_facts *f, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_table_want(t, HN_COL_GROUND_UP_M, err));
    HN_TRY(hn_table_want(t, HN_COL_GROUND_DOWN_M, err));
    HN_TRY(hn_table_want(t, HN_COL_ACCESS_MM, err));
    for (size_t i = 0; i < t->rows; i++) {
        uint32_t up = nodes->text[HN_I32(t, UP_INDEX)[i]];
        uint32_t down = nodes->text[HN_I32(t, DOWN_INDEX)[i]];
        float *access = &HN_F32(t, ACCESS_MM)[i];

        if (isnan(HN_F32(t, GROUND_UP_M)[i]))
            HN_F32(t, GROUND_UP_M)[i] = (float)f->ground_m[up];
        if (isnan(HN_F32(t, GROUND_DOWN_M)[i]))
            HN_F32(t, GROUND_DOWN_M)[i] = (float)f->ground_m[down];
        if (isnan(*access))
            *access =
                (float)fmax(f->opening_mm[up], f->opening_mm[down]); /* NaN only if both are */
    }
out:
    return rc;
}

hn_status hn_import_nodes(hn_state *s, hn_error *err)
{
    hn_role_table nodes = {0};
    node_facts facts = {0};
    hn_manholes manholes = {0};
    hn_status rc = HN_OK;

    if (s->plan->has_nodes) {
        hn_source_note *note = hn_state_note_source(s, &s->plan->nodes);

        HN_TRY(hn_role_table_read(&s->plan->nodes, hn_node_roles, hn_node_role_count, HN_ROLE_ENDS,
                                  s->crs.wkt, s->threads, s->table->texts, &s->issues, &nodes,
                                  err));
        if (note)
            note->rows_read = note->rows_kept = nodes.rows;
        manholes.count = nodes.rows;
        manholes.text = hn_role_table_column(&nodes, "node_id")->text;
        manholes.xy = nodes.first_xy;
    }
    HN_TRY(hn_network_nodes(s->table, s->plan, &s->plane, &manholes, &s->nodes, err));
    if (s->plan->has_nodes) {
        HN_TRY(compare(s, &nodes, err));
        HN_TRY(facts_init(&facts, s->table, err));
        gather(&nodes, &facts);
        HN_TRY(fill(s->table, &s->nodes, &facts, err));
    }
out:
    hn_role_table_clear(&nodes);
    hn_free(facts.ground_m);
    hn_free(facts.opening_mm);
    return rc;
}

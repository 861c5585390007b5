/* plan/config_money.c - cost items and mark-ups. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

static const char *const applies[] = {"works", "always", NULL};

typedef struct item_row {
    hn_cost_item item;
    int applies;
} item_row;

static const hn_cell_spec item_cells[] = {
    {"id", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(item_row, item.id), 0, 0, NULL, 0},
    {"title", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(item_row, item.title), 0, 0, NULL, 0},
    {"applies", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(item_row, applies), 0, 0, applies, 0},
    {"methods", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    {"condition", HN_CELL_TEXT, HN_CELL_COLUMN, (long)offsetof(item_row, item.condition), 0, 0,
     NULL, 0},
    {"quantity", HN_CELL_TEXT, HN_CELL_VALUE, HN_CELL_NO_FIELD, 0, 0, NULL, 0},
    {"unit", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(item_row, item.unit), 0, 0, NULL, 0},
    {"rate", HN_CELL_NUMBER, HN_CELL_VALUE, (long)offsetof(item_row, item.rate), 0, 1e9, NULL, 0},
    {"rate_width_mm", HN_CELL_NUMBER, HN_CELL_COLUMN, (long)offsetof(item_row, item.rate_width_mm),
     1, 20000, NULL, 0},
    {"rate_exponent", HN_CELL_NUMBER, HN_CELL_COLUMN, (long)offsetof(item_row, item.rate_exponent),
     0, 4, NULL, 0},
    {"source", HN_CELL_TEXT, HN_CELL_VALUE, (long)offsetof(item_row, item.source), 0, 0, NULL, 0},
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

/* ---- methods: "all", a kind, or ids, with ; between ---- */

static uint32_t methods_of_word(const hn_config *config, const char *word)
{
    static const char *const kinds[] = {"watch", "maintenance", "repair", "lining", "replacement"};
    uint32_t bits = 0;
    for (size_t m = 0; m < config->method_count; m++)
        if (strcmp(word, "all") == 0 || strcmp(word, config->methods[m].id) == 0 ||
            strcmp(word, kinds[config->methods[m].kind]) == 0)
            bits |= UINT32_C(1) << m;
    return bits;
}

hn_status hn_config_methods_of(const hn_config_input *in, size_t i, const hn_config *config,
                               uint32_t *bits, hn_error *err)
{
    char *save = NULL;
    char *list = hn_arena_text(in->arena, hn_config_text(in, i, "methods"));
    if (!list)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (char *word = strtok_r(list, "; ", &save); word; word = strtok_r(NULL, "; ", &save)) {
        const uint32_t found = methods_of_word(config, word);
        if (!found) {
            const char *ids[HN_MAX_METHODS];
            (void)hn_config_find(in, i, "methods", word, "method", ids,
                                 hn_config_method_ids(config, ids), err);
            return HN_ERR_PLAN;
        }
        *bits |= found;
    }
    return HN_OK;
}

/* ---- quantity: "one", one of the takeoff, or a numeric column ---- */

static int is_quantity(hn_column_id id)
{
    const hn_column_def *def = hn_column_definition(id);
    return def->kind == HN_KIND_F64 || def->kind == HN_KIND_F32 || def->kind == HN_KIND_I32;
}

static hn_status resolve_quantity(const hn_config_input *in, size_t i, hn_cost_item *item,
                                  hn_error *err)
{
    const char *name = hn_config_text(in, i, "quantity");
    const char *names[1 + HN_TAKE_COUNT + HN_COL_COUNT] = {"one"};
    int ids[1 + HN_TAKE_COUNT + HN_COL_COUNT];
    size_t count = 1 + hn_config_quantity_names(names + 1);
    for (int c = 0; c < HN_COL_COUNT; c++) {
        if (!is_quantity((hn_column_id)c))
            continue;
        names[count] = hn_column_definition((hn_column_id)c)->name;
        ids[count++] = c;
    }
    const size_t found = hn_config_find(in, i, "quantity", name, "quantity", names, count, err);
    if (found == SIZE_MAX) {
        hn_hint(err,
                "a quantity is \"one\" (one per segment), a quantity of the work such as dug_m3 "
                "or rings, or a numeric column of the segment table such as length_m, "
                "lateral_count, spot_defect_count");
        return HN_ERR_PLAN;
    }
    item->take = found >= 1 && found <= HN_TAKE_COUNT ? (int)found - 1 : -1;
    item->quantity = found > HN_TAKE_COUNT ? ids[found] : -1;
    return HN_OK;
}

static hn_status finish_item(const hn_config_input *in, size_t i, const item_row *row,
                             const hn_config *config, hn_cost_item *item, hn_error *err)
{
    hn_status rc = HN_OK;
    *item = row->item;
    item->applies = applies[row->applies];
    item->is_works = row->applies == 0;
    HN_TRY(hn_config_methods_of(in, i, config, &item->methods, err));
    HN_TRY(resolve_quantity(in, i, item, err));
    if (item->take >= 0) {
        item->methods = hn_config_with_quantity(config, item->methods, (hn_take)item->take);
        if (!item->methods)
            HN_TRY(hn_config_fail(in, i, "methods", err, "none of them has the quantity %s",
                                  hn_config_text(in, i, "quantity")));
    }
    if (isfinite(item->rate_width_mm) != isfinite(item->rate_exponent)) {
        rc = hn_config_fail(in, i, "rate_exponent", err,
                            "rate_width_mm and rate_exponent are given together or not at all");
        goto out;
    }
    if (!isfinite(item->rate_exponent))
        item->rate_exponent = 0.0;
out:
    return rc;
}

hn_status hn_config_cost_items(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {item_cells, sizeof(item_row), 0, 1000};
    static const char *const key[] = {"id", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->items = hn_arena_alloc(arena, in.count + 1, sizeof *out->items);
    HN_TRY_ALLOC(out->items);
    const item_row *row = rows;
    for (size_t i = 0; i < in.count; i++)
        HN_TRY(finish_item(&in, i, &row[i], out, &out->items[i], err));
    out->item_count = in.count;
out:
    return rc;
}

/* ---- mark-ups ---- */

static const char *const modes[] = {"add", "compound", NULL};

static const hn_cell_spec markup_cells[] = {
    HN_TEXT_CELL(hn_markup, name, HN_CELL_VALUE),
    HN_NUMBER_CELL(hn_markup, percent, HN_CELL_VALUE, 0, 500),
    {"mode", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_markup, compound), 0, 0, modes, 0},
    HN_TEXT_CELL(hn_markup, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

hn_status hn_config_markups(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {markup_cells, sizeof(hn_markup), 0, 32};
    static const char *const key[] = {"name", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;
    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->markups = rows;
    out->markup_count = in.count;
out:
    return rc;
}

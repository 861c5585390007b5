/* plan/config_sensitivity.c - what is varied, and how far: the rows as written. What
 * a parameter is, and whether it can take these values, plan/vary.c knows. */
#include "plan/config_table.h"
#include "plan/config_tables.h"

static const char *const changes[] = {"times", "set", NULL};

static const hn_cell_spec cells[] = {
    HN_TEXT_CELL(hn_vary_row, parameter, HN_CELL_VALUE),
    {"change", HN_CELL_CHOICE, HN_CELL_VALUE, (long)offsetof(hn_vary_row, is_set), 0, 0, changes,
     0},
    HN_TEXT_CELL(hn_vary_row, low, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_vary_row, high, HN_CELL_COLUMN),
    HN_TEXT_CELL(hn_vary_row, meaning, HN_CELL_VALUE),
    HN_TEXT_CELL(hn_vary_row, source, HN_CELL_VALUE),
    {NULL, HN_CELL_TEXT, HN_CELL_OPTIONAL, 0, 0, 0, NULL, 0},
};

hn_status hn_config_sensitivity(const char *path, hn_arena *arena, hn_config *out, hn_error *err)
{
    static const hn_table_spec spec = {cells, sizeof(hn_vary_row), 1, 200};
    static const char *const key[] = {"parameter", NULL};
    hn_config_input in;
    void *rows = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_config_rows(&in, path, arena, &spec, &rows, err));
    HN_TRY(hn_config_unique(&in, key, err));
    out->vary = rows;
    out->vary_count = in.count;
    out->vary_path = path;
    for (size_t i = 0; i < in.count; i++)
        out->vary[i].line = in.line[i];
out:
    return rc;
}

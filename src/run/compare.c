/* haunch compare from its two names to its sheet. */
#include "run/compare.h"

#include "base/alloc.h"
#include "report/sheet_render.h"
#include "run/compare_parts.h"
#include "write/folder_swap.h"

#include <string.h>

enum { OUT_BYTES = 65536, TEXT_ROWS = 12, HTML_ROWS = 500 };

/* Before the work, not after it. */
static hn_status check_folder(const char *folder, hn_error *err)
{
    hn_folder_swap swap;
    hn_status rc;

    if (!folder)
        return HN_OK;
    rc = hn_folder_swap_plan(&swap, folder, "compare.json", err);
    if (rc == HN_OK) {
        hn_folder_swap_sweep(&swap);
        rc = hn_folder_swap_try(&swap, err);
    }
    hn_folder_swap_clear(&swap);
    return rc;
}

static hn_status render(hn_comparison *c, FILE *to, hn_error *err)
{
    static const size_t most[] = {TEXT_ROWS, HTML_ROWS, SIZE_MAX};
    hn_sheet sheet = {0};
    hn_out out;
    hn_status rc = HN_OK;

    if (!hn_out_init(&out, OUT_BYTES, NULL, NULL))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    HN_TRY(hn_compare_sheet(c, most[c->spec->format], &sheet, err));
    if (c->spec->format == HN_COMPARE_HTML)
        hn_sheet_to_html(&sheet, &out);
    else if (c->spec->format == HN_COMPARE_JSON)
        hn_sheet_to_json(&sheet, &out);
    else
        hn_sheet_to_text(&sheet, &out);
    if (out.error)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for the sheet");
    else
        fwrite(out.data, 1, out.used, to); /* the caller looks at ferror */
out:
    hn_out_clear(&out);
    hn_sheet_clear(&sheet);
    return rc;
}

static hn_status add_text(hn_comparison *c, const char *text, uint32_t *out, hn_error *err)
{
    *out = hn_text_pool_add(c->texts, text, strlen(text));
    return *out == UINT32_MAX ? hn_fail(err, HN_ERR_MEMORY, "out of memory") : HN_OK;
}

static hn_status begin(hn_comparison *c, hn_error *err)
{
    hn_status rc = HN_OK;

    c->texts = hn_text_pool_new();
    HN_TRY_ALLOC(c->texts);
    HN_TRY(add_text(c, "funded", &c->programme_funded, err));
    HN_TRY(add_text(c, "committed", &c->programme_committed, err));
    HN_TRY(add_text(c, "unfunded", &c->programme_unfunded, err));
out:
    return rc;
}

static void clear(hn_comparison *c)
{
    for (int i = 0; i < HN_COMPARE_GRIDS; i++)
        hn_grid_clear(&c->grid[i]);
    for (size_t i = 0; i < HN_SNAPSHOTS_MAX; i++)
        hn_snapshot_clear(&c->snap[i]);
    for (int k = 0; k < 2; k++) {
        hn_result_store_close(c->side[k].store);
        hn_plan_free(c->side[k].plan);
    }
    if (c->texts)
        hn_text_pool_free(c->texts);
    hn_arena_clear(&c->arena);
    hn_free(c);
}

hn_status hn_compare(const hn_compare_spec *spec, FILE *out, hn_error *err)
{
    hn_comparison *c = hn_alloc(1, sizeof *c);
    hn_status rc = HN_OK;

    if (!c)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    c->spec = spec;
    HN_TRY(check_folder(spec->folder, err));
    HN_TRY(begin(c, err));
    HN_TRY(hn_compare_chain(c, err));
    HN_TRY(hn_compare_changes(c, err));
    HN_TRY(hn_compare_totals(c, err));
    if (spec->folder)
        HN_TRY(hn_compare_write(c, spec->folder, err));
    HN_TRY(render(c, out, err));
out:
    clear(c);
    return rc;
}

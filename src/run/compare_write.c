/* The folder of a comparison: everything beside the old one, then swapped. */
#include "run/compare_parts.h"

#include "base/alloc.h"
#include "report/sheet_render.h"
#include "write/csv_file.h"
#include "write/folder_swap.h"
#include "write/folder_tree.h"
#include "write/output_file.h"

#include <stdio.h>
#include <string.h>

static const char MARK[] = "compare.json"; /* written last */
enum { OUT_BYTES = 65536, HTML_ROWS = 500 };

static hn_status write_table(const hn_folder_swap *swap, hn_grid *grid, hn_error *err)
{
    const hn_view *view;
    char name[64], *path = NULL;
    hn_pace pace;
    hn_status rc = HN_OK;

    HN_TRY(hn_grid_view(grid, &view, err));
    snprintf(name, sizeof name, "%s.csv", view->name);
    path = hn_path_join(swap->partial, name);
    HN_TRY_ALLOC(path);
    hn_pace_init(&pace, view->rows, NULL, NULL);
    HN_TRY(hn_csv_write(path, view, 1, &pace, err));
out:
    hn_free(path);
    return rc;
}

static hn_status write_sheet(hn_comparison *c, const hn_folder_swap *swap, const char *name,
                             size_t most, void (*render)(const hn_sheet *, hn_out *), hn_error *err)
{
    char *path = hn_path_join(swap->partial, name);
    hn_sheet sheet = {0};
    hn_out out = {0};
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(path);
    if (!hn_out_init(&out, OUT_BYTES, NULL, NULL)) {
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
        goto out;
    }
    HN_TRY(hn_compare_sheet(c, most, &sheet, err));
    render(&sheet, &out);
    hn_put_char(&out, '\0');
    if (out.error)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for %s", name);
    else
        rc = hn_output_text(path, out.data, err);
out:
    hn_out_clear(&out);
    hn_sheet_clear(&sheet);
    hn_free(path);
    return rc;
}

hn_status hn_compare_write(hn_comparison *c, const char *folder, hn_error *err)
{
    hn_folder_swap swap = {.lock = -1};
    hn_status rc = HN_OK;

    HN_TRY(hn_folder_swap_plan(&swap, folder, MARK, err));
    HN_TRY(hn_folder_swap_begin(&swap, err));
    for (int i = 0; i < HN_COMPARE_GRIDS; i++)
        HN_TRY(write_table(&swap, &c->grid[i], err));
    HN_TRY(write_sheet(c, &swap, "compare.html", HTML_ROWS, hn_sheet_to_html, err));
    HN_TRY(write_sheet(c, &swap, MARK, SIZE_MAX, hn_sheet_to_json, err));
    HN_TRY(hn_output_sync(swap.partial, err));
    HN_TRY(hn_folder_swap_commit(&swap, err));
out:
    hn_folder_swap_abandon(&swap);
    hn_folder_swap_clear(&swap);
    return rc;
}

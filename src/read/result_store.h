/* read/result_store.h - a finished result, opened read-only: its run.json and the
 * rows of its result.gpkg. Both come from outside and are not trusted: SQLite
 * reads them, values are bound, sizes are bounded. */
#ifndef HN_READ_RESULT_STORE_H
#define HN_READ_RESULT_STORE_H

#include "base/status.h"
#include "table/view.h"

typedef struct hn_result_store hn_result_store;

/* path: a result folder, or its result.gpkg or run.json. Errors: HN_ERR_INPUT
 * with what is missing or broken. */
HN_MUST_CHECK hn_status hn_result_store_open(const char *path, hn_result_store **out,
                                             hn_error *err);
void hn_result_store_close(hn_result_store *store);

/* Folder of the result, as given. */
const char *hn_result_store_folder(const hn_result_store *store);

/* Text at a JSON path of run.json ("$.plan_path"), NULL when it is not there.
 * Valid until the store is closed. */
const char *hn_result_store_text(hn_result_store *store, const char *json_path);
/* Entries of a list of run.json ("$.sources"), 0 when there is none. */
size_t hn_result_store_count(hn_result_store *store, const char *json_path);

/* Calls fn once per column of the first row of `layer` whose segment_id is `id`;
 * the text of the cell is valid during the call. A blob comes as NULL. Errors:
 * HN_ERR_INPUT when layer or row is not there, or the file is broken. */
typedef void (*hn_result_cell_fn)(void *context, const char *column, hn_view_kind kind,
                                  const hn_cell *cell);
HN_MUST_CHECK hn_status hn_result_store_row(hn_result_store *store, const char *layer,
                                            const char *id, hn_result_cell_fn fn, void *context,
                                            hn_error *err);

/* Calls fn once per row of `layer`, in no order, with the cells of the named columns; a
 * column that is not there reads as NULL. Whole numbers come in `i` and in `r`. Errors as
 * above. */
typedef hn_status (*hn_result_row_fn)(void *context, const hn_cell *cells, hn_error *err);
HN_MUST_CHECK hn_status hn_result_store_rows(hn_result_store *store, const char *layer,
                                             const char *const *columns, size_t column_count,
                                             hn_result_row_fn fn, void *context, hn_error *err);
/* 1 when the layer is there and has the column. */
int hn_result_store_has(hn_result_store *store, const char *layer, const char *column);

#endif

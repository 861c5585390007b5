/* read/role_table.h - any layer or table into arrays, one per role: the
 * reader of inspections, nodes and works.
 *
 * Text ids belong to the caller's pool, so that an inspection's segment_id can
 * be compared with a segment's by number. Every row that is read stays; what
 * cannot be read is missing and listed.
 */
#ifndef HN_READ_ROLE_TABLE_H
#define HN_READ_ROLE_TABLE_H

#include "base/text_pool.h"
#include "read/role_lists.h"
#include "read/source.h"
#include "table/issues.h"

typedef struct hn_role_column {
    const hn_role_spec *spec;
    int is_mapped;  /* by a field or a constant; else no array has memory */
    double *number; /* NUMBER, YEAR, GRADE, FLAG (0, 1), SHAPE; NaN is missing */
    uint32_t *text; /* TEXT: id in the pool, 0 is missing */
    int32_t *date;  /* DATE: days since 1970-01-01, HN_I32_MISSING */
} hn_role_column;

typedef enum hn_role_geometry {
    HN_ROLE_NO_GEOMETRY, /* not wanted */
    HN_ROLE_ENDS,        /* first and last point, when the layer has geometry */
    HN_ROLE_LINES        /* all points as well */
} hn_role_geometry;

typedef struct hn_role_table {
    size_t rows, capacity;
    hn_role_column *columns; /* in the order of the list of roles */
    size_t column_count;
    int64_t *fid;
    /* NULL without geometry; two a row, in the target CRS, NaN when the row has
     * none that can be used (points and lines can). A point has equal ends. */
    double *first_xy, *last_xy;
    hn_lines lines; /* HN_ROLE_LINES only, else empty */
    char driver[32], layer[128];
    size_t pool_number; /* of a stream: ids of texts mean the same while it is the same */
} hn_role_table;

/* target_wkt may be NULL when geometry is not wanted. Errors: HN_ERR_INPUT
 * (also for a layer with geometry, wanted, and without CRS), HN_ERR_PLAN,
 * HN_ERR_MEMORY. *out is the caller's: hn_role_table_clear, also on failure. */
HN_MUST_CHECK hn_status hn_role_table_read(const hn_source *source, const hn_role_spec *specs,
                                           size_t spec_count, hn_role_geometry geometry,
                                           const char *target_wkt, int threads, hn_text_pool *texts,
                                           hn_issue_list *issues, hn_role_table *out,
                                           hn_error *err);
void hn_role_table_clear(hn_role_table *table);

/* The same for a table that may be larger than memory: `each` gets batches of rows, in
 * the order of the source, without geometry. Texts are ids of `texts`, a pool that is
 * valid during the call alone. *out keeps layer and driver, and no rows. */
typedef hn_status (*hn_rows_fn)(void *context, const hn_role_table *rows,
                                const hn_text_pool *texts, hn_error *err);
HN_MUST_CHECK hn_status hn_role_table_stream(const hn_source *source, const hn_role_spec *specs,
                                             size_t spec_count, int threads, hn_rows_fn each,
                                             void *context, hn_issue_list *issues,
                                             hn_role_table *out, hn_error *err);

/* The column of a role, NULL when the list has no such role. */
const hn_role_column *hn_role_table_column(const hn_role_table *table, const char *key);

#endif

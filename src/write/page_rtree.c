/* write/page_rtree.c - the shadow tables of a spatial index as pages. */
#include "write/page_layer.h"

#include "base/alloc.h"
#include "write/rtree_nodes.h"

#include <math.h>

typedef struct index_rows {
    hn_rtree_nodes tree;
    uint32_t *leaf_of_row; /* by row */
    uint32_t *rows;        /* that have a box, going up */
} index_rows;

static hn_status make_node_room(const void *context, void **room, hn_error *err)
{
    const index_rows *index = context;

    *room = hn_alloc(index->tree.node_bytes, 1);
    return *room ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

static hn_status put_node(const void *context, void *room, size_t row, hn_page_record *record,
                          int64_t *rowid, hn_error *err)
{
    const index_rows *index = context;

    (void)err;
    *rowid = (int64_t)row + HN_RTREE_ROOT;
    hn_rtree_node(&index->tree, (uint32_t)*rowid, room);
    hn_record_null(record);
    hn_record_blob(record, room, index->tree.node_bytes);
    return HN_OK;
}

static hn_status put_leaf_of_row(const void *context, void *room, size_t row,
                                 hn_page_record *record, int64_t *rowid, hn_error *err)
{
    const index_rows *index = context;

    (void)room;
    (void)err;
    *rowid = (int64_t)index->rows[row] + 1;
    hn_record_null(record);
    hn_record_int(record, index->leaf_of_row[index->rows[row]]);
    return HN_OK;
}

static hn_status put_parent(const void *context, void *room, size_t row, hn_page_record *record,
                            int64_t *rowid, hn_error *err)
{
    const index_rows *index = context;

    (void)room;
    (void)err;
    *rowid = (int64_t)row + HN_RTREE_ROOT + 1;
    hn_record_null(record);
    hn_record_int(record, hn_rtree_parent(&index->tree, (uint32_t)*rowid));
    return HN_OK;
}

static hn_status find_rows(index_rows *index, const hn_small_box *boxes, size_t rows, hn_error *err)
{
    size_t count = 0;
    hn_status rc = HN_OK;

    index->leaf_of_row = hn_alloc(rows, sizeof *index->leaf_of_row);
    HN_TRY_ALLOC(index->leaf_of_row);
    index->rows = hn_alloc(index->tree.count, sizeof *index->rows);
    HN_TRY_ALLOC(index->rows);
    hn_rtree_leaves(&index->tree, index->leaf_of_row);
    for (size_t row = 0; row < rows; row++)
        if (!isnan(boxes[row].min_x))
            index->rows[count++] = (uint32_t)row;
out:
    return rc;
}

static hn_status put_tables(hn_page_file *file, const index_rows *index, const hn_page_plan *plan,
                            int threads, hn_error *err)
{
    const hn_page_source nodes = {index, index->tree.nodes, 2, make_node_room, hn_free, put_node};
    const hn_page_source rowids = {index, index->tree.count, 2, NULL, NULL, put_leaf_of_row};
    const hn_page_source parents = {index, index->tree.nodes - 1, 2, NULL, NULL, put_parent};
    hn_status rc;

    HN_TRY(hn_page_table_fill(file, plan->nodes, &nodes, threads, NULL, err));
    HN_TRY(hn_page_table_fill(file, plan->rowids, &rowids, threads, NULL, err));
    HN_TRY(hn_page_table_fill(file, plan->parents, &parents, threads, NULL, err));
out:
    return rc;
}

hn_status hn_page_layer_index(hn_page_file *file, const hn_gpkg_layer *layer,
                              const hn_page_plan *plan, int threads, hn_error *err)
{
    const hn_shape_survey *survey = &layer->survey;
    index_rows index = {.rows = NULL};
    hn_status rc;

    if (survey->shapes == 0)
        return HN_OK;
    HN_TRY(
        hn_rtree_nodes_make(&index.tree, plan->node_bytes, survey->boxes, layer->view->rows, err));
    HN_TRY(find_rows(&index, survey->boxes, layer->view->rows, err));
    HN_TRY(put_tables(file, &index, plan, threads, err));
out:
    hn_free(index.leaf_of_row);
    hn_free(index.rows);
    hn_rtree_nodes_clear(&index.tree);
    return rc;
}

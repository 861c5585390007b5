/* read/ogr_batches.h - rows of any OGR layer, feature by feature. */
#ifndef HN_READ_OGR_BATCHES_H
#define HN_READ_OGR_BATCHES_H

#include "read/batch_queue.h"
#include "read/line_points.h"

/* Reads the opened layer to its end; no geometry when rules is NULL. Errors:
 * HN_ERR_INPUT, HN_ERR_MEMORY, what take returns. */
HN_MUST_CHECK hn_status hn_ogr_batches(const hn_opened *opened, const hn_role_map *map,
                                       const hn_line_rules *rules, hn_batch_take_fn take,
                                       void *context, hn_error *err);

#endif

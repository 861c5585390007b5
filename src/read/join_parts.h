/* read/join_parts.h - the parts of a multi-part line as one line. */
#ifndef HN_READ_JOIN_PARTS_H
#define HN_READ_JOIN_PARTS_H

#include "read/row_batch.h"

/* Points [begin, point_count) of the batch are the newest row's. Parts of one
 * point are left out. When all parts form one chain (in any order, either way
 * round) they are rewritten as one line without the doubled joints, running
 * like the first part. Returns 1 for one line, 0 when parts remain. */
int hn_join_parts(hn_row_batch *batch, size_t begin, double touch);

#endif

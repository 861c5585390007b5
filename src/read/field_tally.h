/* read/field_tally.h - the counts of one field while a layer is looked
 * through (read/dataset_look). */
#ifndef HN_READ_FIELD_TALLY_H
#define HN_READ_FIELD_TALLY_H

#include "read/dataset_look.h"
#include "read/raw_value.h"

#include <stdint.h>

typedef struct hn_field_tally {
    hn_field_look *look; /* borrowed; filled by _end */
    uint64_t *seen;      /* set of the hashes of distinct values, open addressing */
    size_t seen_room;
    size_t sampled, ratios_seen;
    double sample[HN_LOOK_SAMPLE], ratio[HN_LOOK_SAMPLE];
} hn_field_tally;

/* The look's name and type must be set. Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_field_tally_begin(hn_field_tally *tally, hn_field_look *look,
                                             hn_arena *arena, hn_error *err);
/* Counts one cell; `length_m` is the drawn length of its row, NaN for none. */
HN_MUST_CHECK hn_status hn_field_tally_add(hn_field_tally *tally, const hn_raw *raw,
                                           double length_m, hn_arena *arena, hn_error *err);
void hn_field_tally_end(hn_field_tally *tally);
void hn_field_tally_clear(hn_field_tally *tally);

#endif

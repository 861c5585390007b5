/* table/sentence.h - a rule's sentence with the segment's own values in it.
 * "{column}" becomes the value, "{limit}" the rule's limit; a missing value
 * reads "unknown". Numbers are printed with the column's decimals, without
 * trailing zeros. */
#ifndef HN_TABLE_SENTENCE_H
#define HN_TABLE_SENTENCE_H

#include "table/segment_table.h"

/* Cut at `size`, always NUL-terminated. Returns out. */
const char *hn_sentence(const hn_table *table, size_t row, const char *pattern, double limit,
                        char *out, size_t size);
/* A number as people write it: "12.5", "900", "0.004". */
void hn_plain_number(double value, int decimals, char *out, size_t size);

#endif

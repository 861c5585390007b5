/* optimise/clash.h - reasons why no choice keeps every limit. */
#ifndef HN_OPTIMISE_CLASH_H
#define HN_OPTIMISE_CLASH_H

#include "optimise/model.h"

/* Clashes that sums alone prove; *out is freed by the caller. */
HN_MUST_CHECK hn_status hn_clashes_find(const hn_model *model, hn_clash **out, size_t *count,
                                        hn_error *err);
/* Adds one for each row that the choice of least excess exceeds. */
HN_MUST_CHECK hn_status hn_clashes_together(const hn_model *model, const double *excess,
                                            hn_clash **out, size_t *count, hn_error *err);

#endif

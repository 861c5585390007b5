/* run/attention.h - what a person must not miss, whatever else is read: said by
 * the summary of a run and by haunch check in the same words. */
#ifndef HN_RUN_ATTENTION_H
#define HN_RUN_ATTENTION_H

#include "run/state.h"

/* One sentence a line; returns how many (at most `most`). */
size_t hn_attention(const hn_state *state, char line[][HN_SUMMARY_BYTES], size_t most);

/* 1 when the price table is in another currency than the plan (upper and lower
 * case count the same). Sums are never converted. */
int hn_currency_differs(const hn_plan *plan);

/* Lists a currency that differs among the issues. */
void hn_attention_issues(hn_state *state);

#endif

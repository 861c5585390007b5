#include "table/matches.h"

#include "base/alloc.h"

#include <string.h>

const char *const hn_match_names[HN_MATCH_COUNT] = {
    "segment id", "node pair", "node pair, reversed", "place on the map", "no segment found"};

const char *const hn_match_evidence_words[HN_EVIDENCE_COUNT] = {
    "nodes agree",          "length agrees", "nodes differ", "length differs",
    "before construction", "no date",       "of one piece"};

const char *const hn_match_use_names[HN_USE_COUNT] = {"rules", "does not rule",
                                                      "from before the last lining"};

void hn_matches_clear(hn_matches *matches)
{
    hn_free(matches->list);
    memset(matches, 0, sizeof *matches);
}

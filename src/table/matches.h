/* table/matches.h - how inspection records found their segment, and how sure that is. */
#ifndef HN_TABLE_MATCHES_H
#define HN_TABLE_MATCHES_H

#include <stddef.h>
#include <stdint.h>

typedef enum hn_match {
    HN_MATCH_ID,
    HN_MATCH_NODES,
    HN_MATCH_NODES_REVERSED,
    HN_MATCH_GEOMETRY,
    HN_MATCH_NONE,
    HN_MATCH_COUNT
} hn_match;

extern const char *const hn_match_names[HN_MATCH_COUNT];

/* What speaks for a match and against it, as bits; words in hn_match_evidence_words. */
enum {
    HN_NODES_AGREE = 1,
    HN_LENGTH_AGREES = 2,
    HN_NODES_DIFFER = 4,
    HN_LENGTH_DIFFERS = 8,
    HN_BEFORE_BUILT = 16,
    HN_NO_DATE = 32,
    HN_ON_PIECE = 64, /* the record names one piece of the segment */
    HN_EVIDENCE_COUNT = 7
};

extern const char *const hn_match_evidence_words[HN_EVIDENCE_COUNT];

typedef enum hn_match_use {
    HN_USE_RULES,
    HN_USE_IDLE, /* a later or complete one rules, or nothing does */
    HN_USE_BEFORE_LINING,
    HN_USE_COUNT
} hn_match_use;

extern const char *const hn_match_use_names[HN_USE_COUNT];

/* Confidence below this is doubtful. (local rule) */
#define HN_MATCH_DOUBTFUL 0.5

/* With more segments the list holds the doubtful ones only. (local rule) */
enum { HN_MATCHES_ALL_UP_TO = 100000 };

typedef struct hn_matched {
    int32_t row, date;
    uint32_t segment, inspection_id; /* as recorded; texts of the segment table */
    float length_seen_m, apart_m;    /* apart: from the line, of a match by place; NaN */
    float confidence_0_1;
    uint16_t source;
    uint8_t how, evidence, use; /* hn_match, bits, hn_match_use */
} hn_matched;

/* In the order of segments, latest first within one. */
typedef struct hn_matches {
    hn_matched *list;
    size_t count, room;
    int all; /* 0: the doubtful ones only */
} hn_matches;

void hn_matches_clear(hn_matches *matches);

#endif

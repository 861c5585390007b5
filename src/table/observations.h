/* table/observations.h - what a camera saw, place by place.
 *
 * Two levels, since one survey has many observations: a visit holds the keys (segment,
 * nodes, date, inspection), an observation its visit and what was seen, in small
 * columns; codes are interned. Missing as everywhere: NaN, 0 for texts, 255.
 */
#ifndef HN_TABLE_OBSERVATIONS_H
#define HN_TABLE_OBSERVATIONS_H

#include "base/text_pool.h"
#include "table/inspections.h"

/* Marks of a defect that runs on: 1 to 99 it begins, 101 to 199 it ends. */
enum { HN_MARK_NONE = 0, HN_MARK_END = 100 };

/* What became of an observation, as bits. */
enum {
    HN_OBS_MERGED = 1,       /* the end mark of another one: it counts no more */
    HN_OBS_UNKNOWN_CODE = 2, /* not in the table of codes */
    HN_OBS_CANNOT_TELL = 4,  /* rules speak of it, but a value they need is missing */
    HN_OBS_BEYOND = 8,       /* lies beyond the end of the segment */
    HN_OBS_DUPLICATE = 16,   /* the same as the one before it */
    HN_OBS_AT_JOINT = 32,
    HN_OBS_NOT_CLOSED = 64 /* begins and never ends, or ends without a begin */
};

enum { HN_SURVEY_WITH_FLOW = 0, HN_SURVEY_AGAINST = 1 };

/* A visit of one piece of a merged segment: its stretch from the upstream end. */
typedef struct hn_visit_piece {
    uint32_t visit;
    float begin_m, length_m;
} hn_visit_piece;

/* One visit by one roll-up. */
typedef struct hn_visit_grade {
    float value;    /* rolled up, in the scheme's own numbers */
    float grade;    /* 1 to 5; NaN: cannot tell */
    float recorded; /* what an inspection said before; NaN */
    float total, peak, length_sum, surcharge;
    uint32_t counted; /* observations with a value */
    uint16_t unknown; /* observations that could not be told */
    char quick[4];    /* quick rating, without an end */
} hn_visit_grade;

typedef struct hn_observations {
    /* ---- visits: records of `visits`, and beside them ---- */
    hn_inspections visits;
    uint32_t *inspection_id;  /* text of the table's pool */
    uint8_t *direction;       /* HN_SURVEY_*, 255: not said */
    int32_t *row;             /* segment; -1: none (after matching) */
    uint32_t *start;          /* observations of visit v: start[v] up to start[v + 1] */
    double *surveyed_m;       /* length surveyed, NaN: not known */
    double *scale;            /* recorded distance x scale = distance along the segment */
    hn_visit_grade *verdict;  /* [visit * roll_ups + roll-up], once graded */
    size_t roll_ups, matched; /* visits 0 up to matched - 1 have a segment */
    hn_visit_piece *piece;    /* by visit; only of those that are no whole segment */
    size_t pieces, piece_room;
    size_t visit_room;
    uint32_t *slot; /* look-up of visits by their keys; 0: empty */
    size_t slots;
    uint32_t last; /* visit of the last row: the next one is mostly of it too */
    /* ---- observations ---- */
    size_t count, room;
    uint32_t *visit;
    uint32_t *code, *ch1, *ch2; /* ids in `texts` */
    uint32_t *remark;
    float *from_m, *to_m, *q1, *q2;
    uint8_t *clock_from, *clock_to; /* 1 to 12 */
    uint8_t *mark, *flags;
    float *grade;    /* 1 to 5 by the ruling scheme; NaN: none */
    uint8_t *driver; /* of that grade; 255 */
    uint16_t *rank;  /* 1: worst of its segment; 0: does not count */
    hn_text_pool *texts;
    size_t remarks_dropped; /* beyond the room for remarks; counted, not silent */
} hn_observations;

/* One observation as an importer has it. Texts may be NULL. */
typedef struct hn_observed {
    uint32_t segment, up_node, down_node, inspection_id; /* texts of the table's pool */
    int32_t date;
    uint8_t direction;
    uint16_t source;
    const char *code, *ch1, *ch2, *remark; /* or by number, where has_ids: */
    uint32_t code_id, ch1_id, ch2_id, remark_id;
    int has_ids; /* 1: numbers that hn_observations_text gave */
    double from_m, to_m, q1, q2, clock_from, clock_to;
    uint8_t mark;
    int at_joint;
} hn_observed;

HN_MUST_CHECK hn_status hn_observations_init(hn_observations *o, hn_error *err);
void hn_observations_clear(hn_observations *o);
HN_MUST_CHECK hn_status hn_observations_add(hn_observations *o, const hn_observed *what,
                                            hn_error *err);
/* Number of a text; 0 for NULL and "". */
HN_MUST_CHECK hn_status hn_observations_text(hn_observations *o, const char *text, uint32_t *id,
                                             hn_error *err);
/* 0 once remarks have no room left. */
int hn_observations_remark_room(const hn_observations *o);
/* Number of the visit with these keys, made when new. */
HN_MUST_CHECK hn_status hn_observations_visit(hn_observations *o, const hn_observed *keys,
                                              uint32_t *visit, hn_error *err);
/* Puts visits in the order of rank[] (a permutation, rank[old] = new) and observations
 * in that of their visits, then along the pipe; fills start. */
HN_MUST_CHECK hn_status hn_observations_order(hn_observations *o, const uint32_t *rank,
                                              hn_error *err);
/* Keeps the observations whose keep[i] is not 0. */
void hn_observations_keep(hn_observations *o, const uint8_t *keep);
/* Visits are told in their order. */
HN_MUST_CHECK hn_status hn_observations_on_piece(hn_observations *o, hn_visit_piece piece,
                                                 hn_error *err);
/* NULL: the visit is of the whole segment. */
const hn_visit_piece *hn_observed_piece(const hn_observations *o, size_t visit);
/* Place along the segment from its upstream end, m; NaN unknown. length_m: of the
 * segment. Beyond an end of what was surveyed: that end. */
double hn_observed_place_m(const hn_observations *o, size_t i, double length_m);
size_t hn_observations_bytes(const hn_observations *o);

/* "with", "against", "downstream", "upstream", D, U, A (downstream) or B (upstream, as in
 * the text exchange form of EN 13508-2, from memory); else HN_CODE_MISSING. */
uint8_t hn_survey_direction(const char *text);
/* "A1" begins and "B1" ends defect 1 (EN 13508-2, from memory), "S1" and "F1" likewise;
 * else HN_MARK_NONE. Numbers are 1 to 99. */
uint8_t hn_survey_mark_of(const char *text);

static inline const char *hn_observed_text(const hn_observations *o, uint32_t id)
{
    return hn_text_pool_get(o->texts, id);
}

#endif

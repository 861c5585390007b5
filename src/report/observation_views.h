/* report/observation_views.h - what was seen, as a layer of points, and what every
 * scheme made of it, as a table. */
#ifndef HN_REPORT_OBSERVATION_VIEWS_H
#define HN_REPORT_OBSERVATION_VIEWS_H

#include "base/arena.h"
#include "plan/plan.h"
#include "table/observations.h"
#include "table/plane.h"
#include "table/view.h"

typedef struct hn_observation_views {
    const hn_table *table;
    const hn_plan *plan;
    const hn_observations *observations;
    uint32_t *shown; /* observations of the layer */
    double *xy;      /* their places; NaN: none */
    hn_view layer, grades;
} hn_observation_views;

/* Everything lies in `arena`. */
HN_MUST_CHECK hn_status hn_observation_views_make(const hn_table *table, const hn_plan *plan,
                                                  const hn_plane *plane, const hn_observations *o,
                                                  hn_arena *arena, hn_observation_views *out,
                                                  hn_error *err);

/* The row of observation_codes.csv for an observation, that of its characterisation
 * first; NULL: none. */
const hn_observation_code *hn_observed_code(const hn_plan *plan, const hn_observations *o, size_t i);
/* "3-9", "12"; "" unknown. */
const char *hn_observed_clock(const hn_observations *o, size_t i, char room[16]);

#endif

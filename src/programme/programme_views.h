/* programme/programme_views.h - projects as a layer, and what stays unfunded. */
#ifndef HN_PROGRAMME_PROGRAMME_VIEWS_H
#define HN_PROGRAMME_PROGRAMME_VIEWS_H

#include "base/arena.h"
#include "programme/programme.h"
#include "table/view.h"

typedef struct hn_project {
    size_t first, count; /* members: rows member[first .. first + count) */
    int32_t year, best_priority;
    uint8_t method;
    double length_m, observed_m, cost, loss_now, loss_avoided;
    int committed;
} hn_project;

typedef struct hn_programme_views {
    const hn_table *table;
    const hn_plan *plan;
    hn_project *project;
    size_t projects;
    uint32_t *member;   /* rows by project, upstream ids first */
    uint32_t *unfunded; /* rows by priority */
    double project_cost;
    hn_view project_view, unfunded_view;
} hn_programme_views;

HN_MUST_CHECK hn_status hn_programme_views_make(const hn_table *table, const hn_plan *plan,
                                                const hn_outlook *outlook, const hn_loss *loss,
                                                const hn_commitment *commitments,
                                                size_t commitment_count, size_t projects,
                                                const uint32_t *by_priority, hn_arena *arena,
                                                hn_programme_views *out, hn_error *err);

#endif

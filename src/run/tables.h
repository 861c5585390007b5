/* run/tables.h - the small result tables, worked out from the finished state. */
#ifndef HN_RUN_TABLES_H
#define HN_RUN_TABLES_H

#include "run/state.h"

typedef enum hn_table_id {
    HN_TABLE_PROGRAMME_YEAR,
    HN_TABLE_PROGRAMME_PERIOD,
    HN_TABLE_SCENARIO,
    HN_TABLE_RISK_BY_YEAR,
    HN_TABLE_METHOD_TOTALS,
    HN_TABLE_DISTRICT_TOTALS,
    HN_TABLE_COVERAGE,
    HN_TABLE_MATCH_REPORT,
    HN_TABLE_RECONCILIATION,
    HN_TABLE_ASSUMPTIONS,
    HN_TABLE_OVERRIDES,
    HN_TABLE_RUN_LOG,
    HN_TABLE_OBSERVATION_REPORT, /* only with observations */
    HN_TABLE_OVERLAP,
    HN_TABLE_WAITING,            /* only where the plan asks for it */
    HN_TABLE_INFILTRATION,       /* only with measured infiltration */
    HN_TABLE_MATRIX,             /* only with classes of a points scheme */
    HN_TABLE_SENSITIVITY,        /* only where the run varies */
    HN_TABLE_COUNT
} hn_table_id;

typedef struct hn_tables {
    hn_grid grid[HN_TABLE_COUNT];
    int reconciles; /* every check of the reconciliation holds */
} hn_tables;

/* project_cost: sum over the projects view, for the reconciliation. */
void hn_tables_make(const hn_state *state, double project_cost, hn_tables *tables);
void hn_tables_clear(hn_tables *tables);

/* Length of a segment whose condition is observed; 0 for any other. */
double hn_observed_length_m(const hn_table *table, size_t row);
/* Share of the length of the network whose condition is observed; NaN without length. */
double hn_observed_share(const hn_table *table);

/* parts, one file each */
void hn_tables_programme(const hn_state *state, hn_tables *tables);
void hn_tables_scenarios(const hn_state *state, hn_tables *tables);
void hn_tables_totals(const hn_state *state, hn_tables *tables);
void hn_tables_coverage(const hn_state *state, hn_tables *tables);
void hn_tables_reconciliation(const hn_state *state, double project_cost, hn_tables *tables);
void hn_tables_observations(const hn_state *state, hn_tables *tables);
void hn_tables_infiltration(const hn_state *state, hn_tables *tables);
void hn_tables_overlap(const hn_state *state, hn_tables *tables);
void hn_tables_waiting(const hn_state *state, hn_tables *tables);
void hn_tables_matrix(const hn_state *state, hn_tables *tables);
int hn_tables_has_matrix(const hn_plan *plan);
void hn_tables_sensitivity(const hn_state *state, hn_tables *tables);
void hn_tables_log(const hn_state *state, hn_tables *tables);

#endif

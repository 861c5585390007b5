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

/* parts, one file each */
void hn_tables_programme(const hn_state *state, hn_tables *tables);
void hn_tables_scenarios(const hn_state *state, hn_tables *tables);
void hn_tables_totals(const hn_state *state, hn_tables *tables);
void hn_tables_coverage(const hn_state *state, hn_tables *tables);
void hn_tables_reconciliation(const hn_state *state, double project_cost, hn_tables *tables);
void hn_tables_observations(const hn_state *state, hn_tables *tables);
void hn_tables_sensitivity(const hn_state *state, hn_tables *tables);
void hn_tables_log(const hn_state *state, hn_tables *tables);

#endif

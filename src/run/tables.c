#include "run/tables.h"

#include <string.h>

void hn_tables_make(const hn_state *state, double project_cost, hn_tables *tables)
{
    memset(tables, 0, sizeof *tables);
    hn_tables_programme(state, tables);
    hn_tables_scenarios(state, tables);
    hn_tables_totals(state, tables);
    hn_tables_coverage(state, tables);
    hn_tables_reconciliation(state, project_cost, tables);
    hn_tables_observations(state, tables);
    hn_tables_infiltration(state, tables);
    hn_tables_overlap(state, tables);
    hn_tables_waiting(state, tables);
    hn_tables_matrix(state, tables);
    hn_tables_log(state, tables);
    hn_tables_sensitivity(state, tables);
}

void hn_tables_clear(hn_tables *tables)
{
    for (int i = 0; i < HN_TABLE_COUNT; i++)
        hn_grid_clear(&tables->grid[i]);
}

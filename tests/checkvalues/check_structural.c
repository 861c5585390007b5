/* checkvalues/check_structural.c - the structural families: which group of
 * equations works a row out. */
#include "structural_rows.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A number with a unit, to be given in the unit of the row. */
static check_state conversion_row(const check_row *row, check_result *result)
{
    const char *p = check_inputs(row);
    char *end, unit[32];
    size_t length;

    while (*p && !isdigit((unsigned char)*p))
        p++;
    const double number = strtod(p, &end);
    while (*end == ' ')
        end++;
    length = strcspn(end, " ;,");
    if (end == p || length == 0 || length > 31)
        return check_cannot(result, "equation %s is not known", check_cell(row, "equation"));
    memcpy(unit, end, length);
    unit[length] = '\0';
    return row_in_unit(row, result, number * check_unit_factor(unit));
}

typedef struct route {
    const char *equation; /* beginning of the equation column */
    check_state (*compute)(const check_row *row, check_result *result);
} route;

/* The first one that fits counts, so longer beginnings stand first. */
static const route routes[] = {
    {"E13a", soil_row},      {"E13b", grouted_row}, {"E13c", grouted_row}, {"E10", traffic_row},
    {"E11", traffic_row},    {"E12", soil_row},     {"E13", soil_row},     {"E14", soil_row},
    {"E15", grouted_row},    {"E16", grouted_row},  {"E17", grouted_row},  {"E18", grouted_row},
    {"E19", grouted_row},    {"E20", grouted_row},  {"E21", grouted_row},  {"E9", traffic_row},
    {"E1", wall_row},        {"E2", wall_row},      {"E3", wall_row},      {"E4", wall_row},
    {"E5", wall_row},        {"E6", wall_row},      {"E7", wall_row},      {"E8", wall_row},
    {"EL=", wall_row},       {"P=", wall_row},      {"max(E1", wall_row},  {"W=C", soil_row},
    {"lookup", traffic_row},
};

static int is_matrix(const check_row *row)
{
    return strcmp(check_cell(row, "equation"), "E1-E8") == 0;
}

static int claims_structural(const check_row *row)
{
    return check_has_column(row, "equation") && !is_matrix(row);
}

static int claims_matrix(const check_row *row)
{
    return check_has_column(row, "equation") && is_matrix(row);
}

static check_state compute_structural(const check_row *row, check_result *result)
{
    const char *equation = check_cell(row, "equation");

    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++)
        if (strncmp(equation, routes[i].equation, strlen(routes[i].equation)) == 0)
            return routes[i].compute(row, result);
    return conversion_row(row, result);
}

const check_family check_structural = {"structural", 6, claims_structural, compute_structural};
const check_family check_wall_matrix = {"wall matrix", 0, claims_matrix, wall_matrix_row};

/* checkvalues/check_panel.c - rows about the panel data cav of R's package msm: pairs,
 * the chain with exact ends, and the one with misreading. The data are under another
 * licence and are not copied: R gives them when the rows are worked out. */
#include "checkvalues.h"

#include "engineering/general_chain.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STATES = 4, DEAD = 4, LOOKS_MOST = 5000 };

static const char ASK_R[] =
    "Rscript -e 'suppressMessages(library(msm)); write.table(format(cav[, c(\"PTNUM\", \"years\", "
    "\"state\")], digits = 17), row.names = FALSE, col.names = FALSE, quote = FALSE)' 2>/dev/null";

static hn_look looks[LOOKS_MOST];
static size_t look_count;

/* Read once; 0 looks: R or the package is not here. */
static const hn_look *read_looks(void)
{
    static int is_read;
    FILE *f = is_read ? NULL : popen(ASK_R, "r");
    hn_look l = {0};
    int state;

    is_read = 1;
    while (f && look_count < LOOKS_MOST &&
           fscanf(f, "%ld %lf %d", &l.thing, &l.years, &state) == 3) {
        l.seen = 1u << (state - 1);
        l.exact_entry = state == DEAD;
        looks[look_count++] = l;
    }
    if (f)
        pclose(f);
    return look_count ? looks : NULL;
}

static check_state no_data(check_result *result)
{
    return check_cannot(result, "needs the data of R's package msm (Debian: r-cran-msm)");
}

static check_state table_row(const check_row *row, check_result *result)
{
    const hn_look *l = read_looks();
    int from, to, count = 0;

    if (!l)
        return no_data(result);
    if (sscanf(check_inputs(row), "from %d to %d", &from, &to) != 2)
        return check_cannot(result, "no pair in the row");
    for (size_t i = 1; i < look_count; i++)
        count += l[i].thing == l[i - 1].thing && l[i - 1].seen == 1u << (from - 1) &&
                 l[i].seen == 1u << (to - 1);
    return check_number(result, count);
}

typedef struct estimate {
    hn_general_model model;
    double minus2lnl;
    int is_made, is_good;
} estimate;

static int make(estimate *e)
{
    hn_general_data data = {.look = looks, .looks = look_count};
    double log_likelihood = 0;
    int has_converged = 0;

    if (e->is_made)
        return e->is_good;
    e->is_made = 1;
    e->model.states = STATES;
    e->is_good = hn_general_pack(&data, NULL) == HN_OK &&
                 hn_general_fit(&data, &e->model, &log_likelihood, &has_converged, NULL) == HN_OK &&
                 has_converged;
    e->minus2lnl = -2 * log_likelihood;
    hn_general_clear(&data);
    return e->is_good;
}

static check_state value_of(const check_row *row, const estimate *e, check_result *result)
{
    const hn_state_matrix *q = &e->model.rate;
    int a, b;

    if (strcmp(row->quantity, "-2 log-likelihood") == 0)
        return check_number(result, e->minus2lnl);
    if (strcmp(row->quantity, "total exit rate") == 0)
        return check_number(result, (*q)[0][1] + (*q)[0][2] + (*q)[0][3]);
    if (sscanf(row->quantity, "q%1d%1d", &a, &b) == 2)
        return check_number(result, (*q)[a - 1][b - 1]);
    if (sscanf(row->quantity, "P(obs%d|true%d)", &a, &b) == 2)
        return check_number(result, e->model.read[b - 1][a - 1]);
    return check_cannot(result, "no such value");
}

/* First guesses as in the package's manual; 0: no such step. */
static check_state panel_row(const check_row *row, check_result *result)
{
    static estimate e = {
        .model.rate = {{0, .25, 0, .25}, {.166, 0, .166, .166}, {0, .25, 0, .25}, {0}}};

    if (!read_looks())
        return no_data(result);
    return make(&e) ? value_of(row, &e, result) : check_cannot(result, "the fit failed");
}

static check_state misread_row(const check_row *row, check_result *result)
{
    static estimate e = {
        .model.rate = {{0, .148, 0, .0171}, {0, 0, .202, .081}, {0, 0, 0, .126}, {0}},
        .model.read = {{.9, .1, 0, 0}, {.1, .8, .1, 0}, {0, .1, .9, 0}, {0, 0, 0, 1}},
        .model.has_read = 1};

    if (!read_looks())
        return no_data(result);
    return make(&e) ? value_of(row, &e, result) : check_cannot(result, "the fit failed");
}

static const struct route {
    const char *name;
    check_state (*compute)(const check_row *row, check_result *result);
} routes[] = {
    {"panel_state_table", table_row},
    {"panel_mle", panel_row},
    {"misclassification_hmm", misread_row},
};

static const struct route *route_of(const check_row *row)
{
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++)
        if (strcmp(check_cell(row, "case"), routes[i].name) == 0)
            return &routes[i];
    return NULL;
}

static int claims_panel(const check_row *row)
{
    return route_of(row) != NULL;
}

static check_state compute_panel(const check_row *row, check_result *result)
{
    return route_of(row)->compute(row, result);
}

const check_family check_panel = {"panel", 0, claims_panel, compute_panel};

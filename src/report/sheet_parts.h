/* report/sheet_parts.h - the facts of one segment and the builders of its sheet.
 *
 * The facts are the very structs that the run filled: nothing here works a
 * result out again. To add a block: write a builder in a sheet_*.c of its own
 * and call it from hn_sheet_build (sheet_build.c), or from hn_sheet_method for
 * one that stands under every method.
 */
#ifndef HN_REPORT_SHEET_PARTS_H
#define HN_REPORT_SHEET_PARTS_H

#include "options/options.h"
#include "plan/plan.h"
#include "report/sheet.h"
#include "table/consequence_parts.h"
#include "table/loss.h"
#include "table/matches.h"
#include "table/observations.h"
#include "table/outlook.h"
#include "table/scheme_parts.h"

enum { HN_SHEET_CAUTIONS = 8 };

typedef struct hn_sheet_facts {
    const hn_table *table;
    const hn_plan *plan;
    const hn_options *options;
    const hn_outlook *outlook;
    const hn_loss *loss;
    const hn_consequence_parts *parts;
    const hn_scheme_parts *scheme; /* empty: the plan has no points scheme */
    const hn_observations *observations; /* NULL: the plan has none */
    const hn_matches *matches; /* NULL: not known */
    size_t row;
    const hn_option *judged;       /* every method, in the order of the catalogue */
    const uint8_t *default_taken;  /* per default of the plan: 1 when this segment took it */
    const uint8_t *seen;           /* per column: 1 when an inspection gave the value */
    const uint8_t *override_state; /* per override, 1: applied (run/overrides.h) */
    double contract_sum;           /* NaN: none is known */
    const char *asked_id;          /* as asked for; differs from the id of a reach */
    const char *cautions[HN_SHEET_CAUTIONS]; /* of the run, NULL-ended */
} hn_sheet_facts;

/* The whole sheet. Errors: HN_ERR_MEMORY. */
HN_MUST_CHECK hn_status hn_sheet_build(const hn_sheet_facts *facts, hn_sheet *sheet, hn_error *err);

/* Instead of it: this segment and another one, why one comes before the other
 * and what would swap them (sheet_pair.c). */
HN_MUST_CHECK hn_status hn_sheet_pair(const hn_sheet_facts *facts, size_t other, hn_sheet *sheet,
                                      hn_error *err);

/* ---- builders, in the order of the sheet ---- */
void hn_sheet_verdict(const hn_sheet_facts *f, hn_sheet *s); /* sheet_summary.c */
void hn_sheet_cautions(const hn_sheet_facts *f, hn_sheet *s);
void hn_sheet_inputs(const hn_sheet_facts *f, hn_sheet *s);      /* sheet_inputs.c */
void hn_sheet_condition(const hn_sheet_facts *f, hn_sheet *s);   /* sheet_condition.c */
void hn_sheet_matches(const hn_sheet_facts *f, hn_sheet *s);     /* sheet_matches.c */
void hn_sheet_observations(const hn_sheet_facts *f, hn_sheet *s); /* sheet_observations.c */
void hn_sheet_consequence(const hn_sheet_facts *f, hn_sheet *s); /* sheet_consequence.c */
void hn_sheet_scheme(const hn_sheet_facts *f, hn_sheet *s);      /* sheet_scheme.c */
void hn_sheet_methods(const hn_sheet_facts *f, hn_sheet *s);     /* sheet_method.c */
void hn_sheet_all_methods(const hn_sheet_facts *f, hn_sheet *s); /* sheet_choice.c */
void hn_sheet_choice(const hn_sheet_facts *f, hn_sheet *s);
void hn_sheet_sensitivity(const hn_sheet_facts *f, hn_sheet *s); /* sheet_sensitivity.c */
void hn_sheet_ranks(const hn_sheet_facts *f, hn_sheet *s);       /* sheet_programme.c */
void hn_sheet_programme(const hn_sheet_facts *f, hn_sheet *s);

/* ---- parts of one method ---- */
void hn_sheet_rules(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s); /* sheet_rules.c */
void hn_sheet_every_rule(const hn_sheet_facts *f, hn_sheet *s);
void hn_sheet_section(const hn_sheet_facts *f, const hn_option *o,
                      hn_sheet *s);                                           /* sheet_section.c */
void hn_sheet_wall(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s); /* sheet_wall.c */
void hn_sheet_capacity(const hn_sheet_facts *f, const hn_option *o,
                       hn_sheet *s);                                          /* sheet_capacity.c */
void hn_sheet_takeoff(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s); /* sheet_takeoff.c */
void hn_sheet_cost(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s); /* sheet_cost.c */
void hn_sheet_life(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s); /* sheet_life.c */

/* ---- shared ---- */
/* A column of the segment table with its title, unit and decimals; it must
 * agree with layer `segments`. */
hn_sheet_item *hn_sheet_column(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id,
                               const char *symbol, const char *basis);
/* Where the value of a column comes from, in words. */
const char *hn_sheet_basis(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id);
const hn_method *hn_sheet_method_of(const hn_sheet_facts *f, const hn_option *o);
/* Index of the method in a coded column, -1: none. */
int hn_sheet_method_in(const hn_sheet_facts *f, hn_column_id id);
int hn_sheet_is_chosen(const hn_sheet_facts *f, const hn_option *o);
/* 1: a person set the cost of the chosen method; the layer holds that one. */
int hn_sheet_cost_is_set(const hn_sheet_facts *f);
/* The chosen method's number must be that of the layer's column. */
void hn_sheet_agrees(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s, hn_sheet_item *item,
                     hn_column_id id);

#endif

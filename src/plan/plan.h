/* plan/plan.h - one validated plan: everything a run was asked to do.
 *
 * Made by hn_plan_read from a YAML file (plan_file.c) and its config tables
 * (config_*.c). After that nothing is looked up by text any more. All texts
 * and arrays lie in plan->arena and are valid until hn_plan_free. Paths are
 * absolute or relative to the working directory, already resolved against the
 * folder of the plan.
 */
#ifndef HN_PLAN_PLAN_H
#define HN_PLAN_PLAN_H

#include "base/arena.h"
#include "base/status.h"
#include "plan/config.h"
#include "plan/config_read.h"
#include "read/source.h"

#include <stddef.h>
#include <stdint.h>

typedef enum hn_priority_rule {
    HN_PRIORITY_RISK,
    HN_PRIORITY_VALUE,
    HN_PRIORITY_SCORE
} hn_priority_rule;

/* How the two sides of a points scheme make a score. */
typedef enum hn_scheme {
    HN_SCHEME_MONEY,          /* no points scheme: expected money loss alone */
    HN_SCHEME_ADDITIVE,       /* likelihood + consequence */
    HN_SCHEME_MULTIPLICATIVE, /* likelihood x consequence */
    HN_SCHEME_MATRIX          /* class of likelihood x class of consequence */
} hn_scheme;

typedef enum hn_combine { HN_COMBINE_SUM, HN_COMBINE_PRODUCT } hn_combine;

/* How the factors of one side make its score. */
typedef struct hn_score_side {
    hn_combine combine;
    double least, most;       /* the score is held between them; NaN: no limit */
    const double *class_from; /* least scores of classes 2, 3, ...; rising */
    size_t limits;            /* entries of class_from: one less than the classes */
} hn_score_side;

typedef enum hn_length_rule { HN_LENGTH_USE_GEOMETRY, HN_LENGTH_USE_RECORDED } hn_length_rule;
typedef enum hn_rounding { HN_ROUND_NONE, HN_ROUND_END, HN_ROUND_EACH_STEP } hn_rounding;
typedef enum hn_sensitivity_rule {
    HN_SENSITIVITY_AUTO,
    HN_SENSITIVITY_YES,
    HN_SENSITIVITY_NO
} hn_sensitivity_rule;
typedef enum hn_detail { HN_DETAIL_DECIDING, HN_DETAIL_ALL } hn_detail;

/* A layer whose distance becomes a segment column near_<name>_m. */
typedef struct hn_context_layer {
    const char *name;
    hn_source source;
    double search_m; /* distances beyond it read as "none near" */
} hn_context_layer;

typedef struct hn_budget {
    int year;
    double amount;
} hn_budget;

/* A value used where a column is missing; listed in the result. */
typedef struct hn_default {
    int column; /* hn_column_id */
    double number;
    const char *text; /* for STR columns */
    const char *source;
    hn_place place;
} hn_default;

/* Loads and wall design. Defaults and sources: docs/plan.md, plan_keys.c. */
typedef struct hn_design_params {
    double soil_weight_kn_per_m3;   /* 18.85: 120 lb/ft3 */
    double soil_modulus_mpa;        /* E's 6.895: 1,000 psi */
    double safety_factor;           /* N 2.0 */
    double enhancement;             /* K 7 */
    double ovality_default_pct;     /* 2 */
    double groundwater_default_share; /* head above invert as share of depth */
    int fully_deteriorated_from_grade; /* 4 */
    int liner_edition;              /* hn_liner_era */
    int flow_law;                   /* 0 Manning, 1 Colebrook-White */
    double roughness_before_mm, roughness_after_mm; /* k of Colebrook-White */
} hn_design_params;

typedef struct hn_plan {
    hn_arena arena;
    const char *path, *folder;
    const char *title, *prepared_by, *currency;
    int32_t as_of;      /* date of the assessment, days since 1970-01-01 */
    double as_of_year;  /* the same as a decimal year */
    int units_us;       /* 1: US customary at the output end */

    hn_source network;
    int has_nodes;
    hn_source nodes; /* manholes: points with node_id; joints here are never merged */
    hn_source *inspections;
    size_t inspection_count;
    hn_source *observations;
    size_t observation_count;
    int has_works;
    hn_source works;
    hn_context_layer *context;
    size_t context_count;

    /* network: */
    double snap_m;               /* ends closer than this meet; 0.5 */
    int merge_fragments;         /* 1 */
    double fragment_m;           /* 2.0: a piece shorter than this is a fragment */
    double length_tolerance_pct; /* 10 */
    double length_tolerance_m;   /* 2.0 */
    hn_length_rule length_rule;

    /* money: */
    double discount_pct;  /* real, per year */
    int horizon_years;
    double estimate_low_pct, estimate_high_pct; /* class 5: -50, +100 */
    const char *estimate_class;
    hn_rounding rounding;
    double rounding_step;
    int residual_value;          /* 1: value of unused life at the horizon is credited */
    double price_index; /* target index over base index; 1 */
    double capacity_loss_limit_pct; /* 10: a greater loss is a warning */

    /* programme: */
    int first_year, years;
    hn_budget *budgets; /* one a year, in order, years entries */
    double carry_over_share;
    hn_priority_rule priority;

    /* risk: */
    hn_scheme risk_scheme;
    hn_score_side side[HN_SIDES];

    /* grading: */
    const char *grading_scheme; /* of config/roll_up.csv; the others run beside it */
    int replace_recorded;       /* 1: grades from observations replace recorded ones */
    int observations_shown;     /* worst ones per segment in a large network */
    int observations_all_up_to; /* segments up to which all are shown */

    hn_design_params design;
    hn_default *defaults;
    size_t default_count;

    hn_config config;
    hn_config_paths config_paths; /* where each table was read */
    const char *rates_path; /* the price table in force, for messages; NULL: none was read */

    /* output: */
    const char *output_folder;
    hn_detail options_detail, score_detail;
    int write_csv, write_xlsx, write_waiting;
    hn_sensitivity_rule sensitivity;
    int sensitivity_years; /* the first years of the programme that are looked at */
    struct hn_vary *vary;  /* plan/vary.h */
    size_t vary_count;

    /* Every key that was left to its built-in default, for the assumptions
     * table: name, value as text, source. */
    struct hn_assumption *assumptions;
    size_t assumption_count;
} hn_plan;

typedef struct hn_assumption {
    const char *what, *value, *source;
} hn_assumption;

/* Reads, checks and resolves a plan and all its config tables. On success
 * *out is the caller's. Errors: HN_ERR_PLAN with file, line, column, key, value
 * and what would be accepted; HN_ERR_INPUT when the file cannot be read. */
HN_MUST_CHECK hn_status hn_plan_read(const char *path, hn_plan **out, hn_error *err);
void hn_plan_free(hn_plan *plan);

/* Version of the libyaml that reads plans. */
const char *hn_yaml_version(void);

#endif

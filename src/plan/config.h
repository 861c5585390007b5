/* plan/config.h - the config tables, typed. Each struct is one row of
 * config/<name>.csv; docs/config.md describes the columns. Conditions and
 * quantities stay SQL text: table/condition_sql evaluates them. */
#ifndef HN_PLAN_CONFIG_H
#define HN_PLAN_CONFIG_H

#include "plan/takeoff_list.h"
#include "table/issues.h"
#include "table/segment_table.h"

#include <stddef.h>

typedef enum hn_method_kind {
    HN_METHOD_WATCH,       /* none: watch */
    HN_METHOD_MAINTENANCE, /* clean, re-inspect */
    HN_METHOD_REPAIR,      /* local repair */
    HN_METHOD_LINING,
    HN_METHOD_REPLACEMENT
} hn_method_kind;

typedef enum hn_wall_rule {
    HN_WALL_NONE,     /* no liner wall */
    HN_WALL_FLEXIBLE, /* E1-E4, circular; else screening share and a flag */
    HN_WALL_SDR,      /* wall = outside diameter / sdr */
    HN_WALL_FIXED     /* wall_fixed_mm, plus annulus_mm of grout */
} hn_wall_rule;

/* What is counted for a method beside area, length and days. */
typedef enum hn_takeoff_kind {
    HN_TAKEOFF_PLAIN,   /* nothing more */
    HN_TAKEOFF_GROUTED, /* the annulus is grouted: slip-lining, spirally wound */
    HN_TAKEOFF_RINGS,   /* grouted, with frame rings and panels */
    HN_TAKEOFF_TRENCH   /* a new pipe in an open trench */
} hn_takeoff_kind;

typedef enum hn_take {
#define HN_TAKE_ENTRY(id, name, title, meaning, unit, decimals) HN_TAKE_##id,
    HN_TAKEOFF_LIST(HN_TAKE_ENTRY)
#undef HN_TAKE_ENTRY
        HN_TAKE_COUNT
} hn_take;

enum { HN_REPEAT_NO_LIMIT = -1 };
enum { HN_MAX_METHODS = 32, HN_MAX_RULES = 256, HN_MAX_FACTORS = 24, HN_DRIVERS = 3 };
typedef enum hn_driver { HN_STRUCTURAL, HN_SERVICE, HN_TIGHTNESS } hn_driver;

typedef struct hn_method {
    const char *id, *title, *family; /* family: ISO 11295 term */
    hn_method_kind kind;
    hn_wall_rule wall_rule;
    double modulus_short_mpa, modulus_long_mpa, strength_long_mpa;
    double wall_min_mm, wall_max_mm, wall_step_mm;
    double sdr, wall_fixed_mm, annulus_mm;
    double annulus_share;        /* annulus as a share of the host width, on each side; adds to
                                    annulus_mm; NaN: none */
    double screening_wall_share; /* non-circular: wall = share x width; NaN: none */
    double manning_n;            /* finished surface */
    int size_by_perimeter;       /* 1: price by equal perimeter, 0: by equal area */
    double life_years;
    int repeat_max;              /* may be repeated at most n times, or HN_REPEAT_NO_LIMIT */
    int treats[HN_DRIVERS];
    int grade_after;             /* grade right after the work */
    const char *cohort_after;    /* cohort of deterioration.csv it then follows */
    double production_m_per_day;
    hn_takeoff_kind takeoff;
    const char *source;
} hn_method;

typedef struct hn_method_rule {
    const char *id, *condition, *works, *reason, *unit, *source;
    int method;            /* index of the method */
    hn_verdict verdict;    /* HN_VERDICT_RULED_OUT, _AFTER_WORKS; _FITS: warning only */
    int unknown_cannot_tell; /* condition NULL: 1 cannot tell, 0 taken as not met */
    double limit;
} hn_method_rule;

/* A priced thing that is done before or beside the main work. */
typedef struct hn_cost_item {
    const char *id, *title, *applies, *condition, *unit, *source; /* applies: "works", "always" */
    uint32_t methods;  /* bit per method it applies to */
    int is_works;      /* 1: only when a rule asks for it by id */
    int quantity;      /* hn_column_id of the quantity, or -1: one per segment */
    int take;          /* hn_take of a quantity that depends on the method, or -1 */
    double rate;
    double rate_width_mm, rate_exponent; /* rate x (width / rate_width)^exponent */
} hn_cost_item;

typedef struct hn_rate {
    int method;
    double width_mm, depth_m; /* depth NaN: any depth */
    const char *surface;      /* NULL: any */
    double rate;              /* money per metre */
    const char *currency, *price_date, *place, *scope, *source;
} hn_rate;

typedef struct hn_markup {
    const char *name, *source;
    double percent;
    int compound; /* 1: on the running total, 0: on the base */
} hn_markup;

/* 1 when the method has this quantity at all. */
int hn_method_has_quantity(const hn_method *method, hn_take quantity);

/* Circular pipes that are made. */
typedef struct hn_pipe_size {
    double inside_mm, outside_mm;
    const char *source;
} hn_pipe_size;

typedef struct hn_takeoff_number {
    const char *name, *unit, *source;
    double value;
} hn_takeoff_number;

/* config/takeoff.csv says what each is and where it comes from. */
typedef struct hn_takeoff_params {
#define HN_TAKEOFF_FIELD(field, unit, low, high) double field;
    HN_TAKEOFF_PARAMS(HN_TAKEOFF_FIELD)
#undef HN_TAKEOFF_FIELD
} hn_takeoff_params;

/* kg of CO2 equivalent for one unit of a quantity. */
typedef struct hn_carbon_factor {
    hn_take quantity;
    uint32_t methods; /* bit per method it applies to */
    double kg_per_unit;
    const char *source;
} hn_carbon_factor;

typedef struct hn_material {
    const char *id, *title, *source;
    int brittle; /* 1 or 0; -1: not known */
    double manning_n;
} hn_material;

typedef struct hn_cohort {
    const char *id, *condition, *source; /* condition NULL: only by name (cohort_after) */
    double rate_per_year[HN_DRIVERS][4]; /* 1>2, 2>3, 3>4, 4>5 */
    double growth_per_year[HN_DRIVERS];  /* rates grow as exp(growth x age); 0: constant */
    const char *rate_source[HN_DRIVERS]; /* source is that of the first */
} hn_cohort;

typedef struct hn_failure_rate {
    double per_year[HN_DRIVERS][5];
    const char *source[HN_DRIVERS][5];
} hn_failure_rate;

/* One class of one consequence factor; the first class whose condition holds
 * is taken. */
typedef struct hn_factor_class {
    const char *factor, *name, *condition, *money, *source;
    int factor_index;
    double points;
    double share[HN_DRIVERS]; /* part of the money that counts for a driver */
} hn_factor_class;

/* ---- points schemes ---- */

typedef enum hn_side { HN_LIKELIHOOD, HN_CONSEQUENCE, HN_SIDES } hn_side;

enum { HN_MAX_SCORE_FACTORS = 24 };

/* One class of one factor of config/scoring.csv; the first whose condition holds
 * is taken. */
typedef struct hn_score_class {
    const char *factor, *name, *condition, *points, *source; /* points: number or SQL */
    int side;
    int factor_index;
    double weight, times; /* as written; NaN when blank */
} hn_score_class;

typedef struct hn_score_factor {
    const char *name;
    int side;
    double weight; /* share of 1; NaN: the factor counts as it is */
    double times;  /* plain multiplier; 1 when blank */
} hn_score_factor;

/* Scores are kept to the millionth of a point, so that printed parts add up to
 * the printed total. Source: local rule. */
double hn_round_score(double score);
/* Points x times x weight. Source: common practice, no source. */
double hn_factor_score(const hn_score_factor *factor, double points);

typedef struct hn_act_now_rule {
    const char *id, *condition, *reason, *caution, *source;
    int within_days;
} hn_act_now_rule;

typedef struct hn_quality_rule {
    const char *id, *condition, *check, *message, *effect, *source;
    hn_severity severity;
} hn_quality_rule;

typedef struct hn_override {
    const char *segment_id, *what, *value, *reason, *who, *date;
    size_t line;
} hn_override;

/* ---- grading of observations ---- */

typedef struct hn_observation_code {
    const char *code_set, *code, *characterisation, *meaning, *source;
    int driver;     /* hn_driver; -1: none, such as a manhole or a remark */
    int continuous; /* 1: may run over a length */
    int survey;     /* hn_survey_mark */
} hn_observation_code;

/* What a code says of the survey itself. */
typedef enum hn_survey_mark { HN_SURVEY_NOTHING, HN_SURVEY_FINISH, HN_SURVEY_ABANDONED } hn_survey_mark;

enum { HN_MAX_SCHEMES = 12 };

typedef enum hn_roll_up_kind {
    HN_ROLL_WORST,
    HN_ROLL_PEAK,       /* greatest sum in one metre */
    HN_ROLL_MEAN,
    HN_ROLL_TOTAL,
    HN_ROLL_PER_LENGTH, /* total over the length surveyed */
    HN_ROLL_LENGTH_SUM, /* sum of value x length */
    HN_ROLL_LENGTH_MEAN,
    HN_ROLL_SURCHARGE   /* worst; the surcharge by density is reported beside it */
} hn_roll_up_kind;

/* How the values of one driver become a grade; scheme by scheme. */
typedef struct hn_roll_up {
    const char *scheme, *source;
    int scheme_index, driver;
    hn_roll_up_kind kind;
    double best, worst; /* value of no defect, and of the worst one */
    double point_length_m, least_length_m;
    double band[4]; /* least value of grades 2 to 5; NaN: the value is a grade itself */
} hn_roll_up;

/* Value of an observation = (given + added) x factors. */
typedef enum hn_rule_effect { HN_RULE_GIVES, HN_RULE_ADDS, HN_RULE_TIMES } hn_rule_effect;

/* The value of one observation; of several that give one, the worst counts. */
typedef struct hn_grading_rule {
    const char *id, *codes, *condition, *source; /* codes NULL: any; condition NULL: always */
    int scheme, driver;
    hn_rule_effect effect;
    double value;
    double point_length_m; /* NaN: that of the roll-up */
} hn_grading_rule;

/* One row of sensitivity.csv, as written; plan/vary.h makes variations of it. */
typedef struct hn_vary_row {
    const char *parameter, *low, *high, *meaning, *source; /* low or high NULL: blank */
    int is_set; /* 1: low and high are values, 0: factors */
    size_t line;
} hn_vary_row;

typedef struct hn_config {
    hn_method *methods;        size_t method_count;
    hn_method_rule *rules;     size_t rule_count;
    hn_cost_item *items;       size_t item_count;
    hn_rate *rates;            size_t rate_count; /* sorted: method, surface (NULL first), depth
                                                     (NaN first), width; >= 2 widths a curve. A
                                                     repair may have none: its items price it */
    hn_markup *markups;        size_t markup_count;
    hn_material *materials;    size_t material_count;
    hn_pipe_size *sizes;       size_t size_count; /* rising */
    hn_takeoff_params takeoff;
    hn_takeoff_number *takeoff_numbers; size_t takeoff_number_count;
    hn_carbon_factor *carbon;  size_t carbon_count; /* none unless the plan has a table */
    hn_cohort *cohorts;        size_t cohort_count;
    hn_failure_rate failure;
    hn_factor_class *factors;  size_t factor_class_count;
    const char *factor_names[HN_MAX_FACTORS]; size_t factor_count;
    hn_score_class *scores;    size_t score_class_count; /* none unless the plan has a scheme */
    hn_score_factor score_factors[HN_MAX_SCORE_FACTORS]; size_t score_factor_count;
    hn_act_now_rule *act_now;  size_t act_now_count;
    hn_quality_rule *quality;  size_t quality_count;
    hn_override *overrides;    size_t override_count;
    hn_observation_code *codes; size_t code_count; /* none unless the plan has observations */
    hn_roll_up *roll_ups;      size_t roll_up_count;
    const char *schemes[HN_MAX_SCHEMES]; size_t scheme_count;
    hn_grading_rule *grading;  size_t grading_count;
    hn_vary_row *vary;         size_t vary_count; /* none when the plan says sensitivity: no */
    const char *vary_path;     /* for messages */
    /* The files read, for hashes in the run log. */
    const char **files;        size_t file_count;
    int prices_invented; /* 1 when any rate's scope or source says "invented" */
} hn_config;

#endif

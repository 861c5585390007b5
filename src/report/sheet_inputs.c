/* Every fact that the calculation used, and where it comes from. */
#include "report/sheet_parts.h"

#include "base/dates.h"
#include "table/field_roles.h"

static const struct {
    const char *key;
    hn_column_id column;
} roles[] = {
#define ROLE(ROLE_ID, key, COLUMN, dimension, kind) {key, HN_COL_##COLUMN},
    HN_FIELD_ROLE_LIST(ROLE)
#undef ROLE
};

static const char *role_of(hn_column_id id)
{
    for (size_t i = 0; i < sizeof roles / sizeof roles[0]; i++)
        if (roles[i].column == id)
            return roles[i].key;
    return NULL;
}

static int is_missing(const hn_sheet_facts *f, hn_column_id id)
{
    switch (hn_column_definition(id)->kind) {
    case HN_KIND_STR:
        return hn_str(f->table, id, f->row) == 0;
    case HN_KIND_CODE:
    case HN_KIND_BOOL:
        return hn_code(f->table, id, f->row) == HN_CODE_MISSING;
    case HN_KIND_DATE:
        return hn_i32(f->table, id, f->row) == HN_I32_MISSING;
    default:
        return isnan(hn_table_number(f->table, id, f->row));
    }
}

static const char *by_person(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id)
{
    const hn_config *config = &f->plan->config;

    for (size_t i = 0; f->override_state && i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];

        if (f->override_state[i] == 1 && strcmp(o->what, hn_column_definition(id)->name) == 0 &&
            strcmp(o->segment_id, hn_table_text(f->table, HN_COL_SEGMENT_ID, f->row)) == 0)
            return hn_sheet_text(s, "set by %s on %s: %s", o->who ? o->who : "a person",
                                 o->date ? o->date : "an unknown day",
                                 o->reason ? o->reason : "no reason given");
    }
    return NULL;
}

static const char *by_default(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id)
{
    for (size_t i = 0; f->default_taken && i < f->plan->default_count; i++)
        if (f->default_taken[i] && f->plan->defaults[i].column == (int)id)
            return hn_sheet_text(s, "missing; default of the plan (%s)",
                                 f->plan->defaults[i].source ? f->plan->defaults[i].source
                                                             : "no source");
    return NULL;
}

static const char *by_source(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id)
{
    const char *role = role_of(id);
    const hn_source *network = &f->plan->network;
    char date[HN_DATE_TEXT];

    if (f->seen && f->seen[id]) {
        if (hn_i32(f->table, HN_COL_INSPECTED_ON, f->row) == HN_I32_MISSING)
            return "seen in an inspection without date";
        hn_date_text(hn_i32(f->table, HN_COL_INSPECTED_ON, f->row), date);
        return hn_sheet_text(s, "measured: inspection of %s", date);
    }
    for (size_t i = 0; role && i < network->field_count; i++)
        if (strcmp(network->fields[i].role, role) == 0)
            return network->fields[i].field ? hn_sheet_text(s, "recorded: %s, field %s",
                                                            network->key, network->fields[i].field)
                                            : "the same for all: constant of the plan";
    return f->plan->has_nodes ? "recorded: nodes (manholes)" : "recorded";
}

/* What the engine puts in the place of a missing value. */
static const char *assumed(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id)
{
    const hn_design_params *d = &f->plan->design;

    switch (id) {
    case HN_COL_OVALITY_PCT:
        return hn_sheet_text(
            s, "not recorded; the wall design assumes %s %% (design.ovality_default_pct)",
            hn_sheet_digits(s, d->ovality_default_pct));
    case HN_COL_GROUNDWATER_M:
        return hn_sheet_text(s,
                             "not recorded; the wall design assumes %s of the depth "
                             "(design.groundwater_default_share)",
                             hn_sheet_digits(s, d->groundwater_default_share));
    case HN_COL_SURFACE:
        return "not recorded; the traffic load takes it for a road";
    case HN_COL_MATERIAL:
        return "not recorded; the roughness is that of material \"unknown\"";
    default:
        return "not recorded, no default";
    }
}

const char *hn_sheet_basis(const hn_sheet_facts *f, hn_sheet *s, hn_column_id id)
{
    const char *basis;

    if (is_missing(f, id))
        return assumed(f, s, id);
    if ((basis = by_person(f, s, id)) != NULL || (basis = by_default(f, s, id)) != NULL)
        return basis;
    if (strcmp(hn_column_definition(id)->owner, "read") == 0)
        return id == HN_COL_LENGTH_GEOMETRY_M ? "measured on the drawn line (ellipsoid)"
                                              : by_source(f, s, id);
    switch (id) {
    case HN_COL_LENGTH_M:
        return hn_table_text(f->table, HN_COL_LENGTH_BASIS, f->row);
    case HN_COL_DEPTH_M:
        return "worked out: mean of ground less invert at both ends, else of the depths";
    case HN_COL_COVER_M:
        return "worked out: depth less height of the pipe";
    case HN_COL_SLOPE:
        return "worked out from inverts and length, else recorded";
    case HN_COL_BEND_DEG:
        return "recorded, else measured on the drawn line";
    case HN_COL_UPSTREAM_LENGTH_M:
        return "worked out from the network";
    default:
        return "worked out";
    }
}

static const hn_view_column decided_columns[] = {
    {"what", "What", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"value", "Value", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"who", "Who", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"date", "When", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"reason", "Reason", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

/* The register of overrides, as far as it is about this segment. */
static void add_decided(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_config *config = &f->plan->config;
    hn_sheet_item *t = NULL;

    for (size_t i = 0; f->override_state && i < config->override_count; i++) {
        const hn_override *o = &config->overrides[i];

        if (f->override_state[i] != 1 ||
            strcmp(o->segment_id, hn_table_text(f->table, HN_COL_SEGMENT_ID, f->row)) != 0)
            continue;
        if (!t)
            t = hn_sheet_table(s, "decided", "Decided by people (overrides)", decided_columns,
                               sizeof decided_columns / sizeof decided_columns[0]);
        hn_sheet_cell_word(s, t, o->what);
        hn_sheet_cell_word(s, t, o->value);
        hn_sheet_cell_word(s, t, o->who);
        hn_sheet_cell_word(s, t, o->date);
        hn_sheet_cell_word(s, t, o->reason);
    }
}

static void add_columns(const hn_sheet_facts *f, hn_sheet *s, const hn_column_id *ids, size_t count)
{
    for (size_t i = 0; i < count; i++)
        hn_sheet_column(f, s, ids[i], NULL, hn_sheet_basis(f, s, ids[i]));
}

#define COUNT_OF(list) (sizeof(list) / sizeof(list)[0])

static void add_place(const hn_sheet_facts *f, hn_sheet *s)
{
    static const hn_column_id place[] = {
        HN_COL_UP_NODE, HN_COL_DOWN_NODE, HN_COL_OWNER, HN_COL_STATUS,
        HN_COL_DUTY,    HN_COL_SURFACE,   HN_COL_SOIL,  HN_COL_UPSTREAM_LENGTH_M};

    hn_sheet_begin(s, "place", "Place and duty");
    add_columns(f, s, place, COUNT_OF(place));
    hn_sheet_column(f, s, HN_COL_MEMBERS, NULL, "pieces of the source put together");
    for (size_t i = 0; i < f->table->extras; i++) {
        const hn_extra_column *extra = &f->table->extra[i];
        double value = (double)extra->f32[f->row];

        if (isinf(value))
            hn_sheet_word(s, extra->name, extra->title, "none near",
                          "measured to the context layer");
        else
            hn_sheet_number(s, extra->name, extra->title, NULL, value, 1, "m",
                            "measured to the context layer");
    }
    hn_sheet_end(s);
}

/* What the engine puts in where nothing is recorded. */
static void add_assumed(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_design_params *d = &f->plan->design;

    hn_sheet_begin(s, "assumed", "Taken from plan and tables for the calculation");
    hn_sheet_number(s, "soil_weight_kn_per_m3", "Unit weight of the soil", "w",
                    d->soil_weight_kn_per_m3, 2, "kN/m3", "plan, design.soil_weight_kn_per_m3");
    hn_sheet_number(s, "soil_modulus_mpa", "Modulus of soil reaction", "E's", d->soil_modulus_mpa,
                    3, "MPa", "plan, design.soil_modulus_mpa");
    hn_sheet_number(s, "safety_factor", "Factor of safety", "N", d->safety_factor, 2, "-",
                    "plan, design.safety_factor");
    hn_sheet_number(s, "enhancement", "Enhancement by the host", "K", d->enhancement, 1, "-",
                    "plan, design.enhancement");
    hn_sheet_number(s, "discount_pct", "Discount rate, real", "i", f->plan->discount_pct, 2,
                    "%/year", "plan, money.discount_pct");
    hn_sheet_number(s, "horizon_years", "Horizon", NULL, f->plan->horizon_years, 0, "years",
                    "plan, money.horizon_years");
    hn_sheet_number(s, "price_index", "Price index, target over base", NULL, f->plan->price_index,
                    4, "-", "plan, money.price_index");
    hn_sheet_end(s);
}

void hn_sheet_inputs(const hn_sheet_facts *f, hn_sheet *s)
{
    static const hn_column_id pipe[] = {HN_COL_SHAPE,
                                        HN_COL_WIDTH_MM,
                                        HN_COL_HEIGHT_MM,
                                        HN_COL_WIDTH_UP_MM,
                                        HN_COL_WIDTH_DOWN_MM,
                                        HN_COL_MATERIAL,
                                        HN_COL_YEAR_BUILT,
                                        HN_COL_YEAR_LINED,
                                        HN_COL_LINED_BY,
                                        HN_COL_LENGTH_RECORDED_M,
                                        HN_COL_LENGTH_GEOMETRY_M,
                                        HN_COL_LENGTH_M};
    static const hn_column_id ground[] = {
        HN_COL_INVERT_UP_M,   HN_COL_INVERT_DOWN_M,  HN_COL_GROUND_UP_M, HN_COL_GROUND_DOWN_M,
        HN_COL_DEPTH_UP_M,    HN_COL_DEPTH_DOWN_M,   HN_COL_DEPTH_M,     HN_COL_COVER_M,
        HN_COL_GROUNDWATER_M, HN_COL_SLOPE_RECORDED, HN_COL_SLOPE,       HN_COL_FLOW_REQUIRED,
        HN_COL_INFILTRATION_FLOW};
    static const hn_column_id defects[] = {
        HN_COL_OVALITY_PCT,  HN_COL_OFFSET_PCT, HN_COL_SAG_PCT,   HN_COL_DEPOSITS_PCT,
        HN_COL_BEND_DEG,     HN_COL_LATERALS,   HN_COL_ACCESS_MM, HN_COL_SPOT_DEFECTS,
        HN_COL_INFILTRATION, HN_COL_ROOTS,      HN_COL_COLLAPSED};

    hn_sheet_begin(s, "inputs", "Inputs and where they come from");
    add_place(f, s);
    hn_sheet_begin(s, "pipe", "Pipe");
    add_columns(f, s, pipe, COUNT_OF(pipe));
    hn_sheet_end(s);
    hn_sheet_begin(s, "ground", "Levels, cover, water and flow");
    add_columns(f, s, ground, COUNT_OF(ground));
    hn_sheet_end(s);
    hn_sheet_begin(s, "defects", "Defects, access and connections");
    add_columns(f, s, defects, COUNT_OF(defects));
    hn_sheet_end(s);
    add_decided(f, s);
    add_assumed(f, s);
    hn_sheet_end(s);
}

/* How large a new pipe has to be, and what the required flow does in the old
 * one. Both come before the rules of the methods, which may ask for them. */
#include "base/parallel.h"
#include "engineering/flow.h"
#include "engineering/flow_depth.h"
#include "options/options_state.h"

static const double PI = 3.14159265358979323846;

static hn_flow_model model_of(const hn_options *o, double n, double k_mm, double slope)
{

    return (hn_flow_model){.law = (hn_flow_law)o->plan->design.flow_law,
                           .rule = HN_PART_FULL_LAW,
                           .n = n,
                           .k_mm = k_mm,
                           .viscosity_m2_per_s = HN_VISCOSITY_10C_M2_PER_S,
                           /* level or adverse: no normal depth, so nothing is said */
                           .slope_m_per_m = slope > 0.0 ? slope : (double)NAN};
}

/* Carries the flow when full, less the allowance for manholes and laterals. */
static int carries(const hn_options *o, double inside_mm, double n, double slope, double flow)
{
    const hn_section pipe = hn_section_circle(inside_mm);
    const hn_section_measures full = hn_section_full(&pipe);
    const double most =
        o->plan->design.flow_law == HN_FLOW_COLEBROOK
            ? hn_colebrook_full_m3_per_s(&full, o->plan->design.roughness_after_mm, slope,
                                         HN_VISCOSITY_10C_M2_PER_S)
            : hn_manning_full_m3_per_s(&full, n, slope);

    return most * (1.0 - o->plan->config.takeoff.capacity_allowance_share) >= flow;
}

/* Like for like by area; with a required flow and a slope at least what carries
 * it. NaN when the host is not known or no standard pipe is large enough. */
static double new_width_mm(const hn_options *o, const hn_host *host, double slope, double flow)
{
    const hn_section_measures *full = &host->full;
    const double n = o->new_pipe_as_host ? fmax(o->n_new_pipe, host->n) : o->n_new_pipe;
    const hn_config *config = &o->plan->config;
    const double alike_mm = sqrt(4.0 * full->area_m2 / PI) * 1000.0;
    const double least_mm = alike_mm * (1.0 - config->takeoff.size_tolerance_share);
    /* without a roughness nothing can be said of the flow: like for like */
    const int must_carry =
        flow > 0.0 && slope > 0.0 && (n > 0.0 || o->plan->design.flow_law != HN_FLOW_MANNING);

    for (size_t i = 0; i < config->size_count; i++) {
        const double inside_mm = config->sizes[i].inside_mm;

        if (inside_mm >= least_mm && (!must_carry || carries(o, inside_mm, n, slope, flow)))
            return inside_mm;
    }
    return (double)NAN;
}

static void note_flow(hn_options *o, size_t row, const hn_host *host, double slope, double flow)
{
    const hn_flow_model model = model_of(o, host->n, o->plan->design.roughness_before_mm, slope);
    const hn_normal_flow f = hn_normal_depth(&host->section, &model, flow,
                                             o->plan->config.takeoff.least_velocity_m_per_s);
    hn_table *t = o->table;

    HN_F32(t, CAPACITY)[row] = (float)f.full_m3_per_s;
    HN_F32(t, FILL)[row] = (float)f.fill_0_1;
    HN_F32(t, VELOCITY)[row] = (float)f.velocity_m_per_s;
    if (f.surcharged != HN_UNANSWERED)
        HN_CODE(t, SURCHARGED)[row] = f.surcharged == HN_YES;
    if (f.self_cleansing != HN_UNANSWERED)
        HN_CODE(t, SELF_CLEANSING)[row] = f.self_cleansing == HN_YES;
}

static void size_rows(void *context, size_t begin, size_t end, int worker)
{
    hn_options *o = context;
    const hn_table *t = o->table;

    (void)worker;
    for (size_t row = begin; row < end; row++) {
        const double slope = (double)hn_f32(t, HN_COL_SLOPE, row);
        const double flow = (double)hn_f32(t, HN_COL_FLOW_REQUIRED, row);
        hn_host host;

        hn_option_look_at_host(o, row, &host);
        HN_F32(t, NEW_WIDTH_MM)[row] = (float)new_width_mm(o, &host, slope, flow);
        if (flow >= 0.0)
            note_flow(o, row, &host, slope, flow);
    }
}

void hn_options_size(hn_options *o, int threads)
{
    hn_parallel(threads, o->table->rows, size_rows, o);
}

hn_normal_flow hn_option_flow_after(const hn_options *o, size_t row, const hn_option *option)
{
    const hn_design_params *d = &o->plan->design;
    const hn_method_kind kind = o->plan->config.methods[option->method].kind;
    const int is_new = !isnan(o->plan->config.methods[option->method].manning_n);
    const hn_flow_model model =
        model_of(o, option->n_after, is_new ? d->roughness_after_mm : d->roughness_before_mm,
                 (double)hn_f32(o->table, HN_COL_SLOPE, row));
    const double none = (double)NAN;
    const hn_normal_flow unanswered = {none, none, none, none, none, HN_UNANSWERED, HN_UNANSWERED};

    if (kind != HN_METHOD_LINING && kind != HN_METHOD_REPLACEMENT)
        return unanswered; /* the bore stays as it is */
    return hn_normal_depth(&option->after, &model,
                           (double)hn_f32(o->table, HN_COL_FLOW_REQUIRED, row),
                           o->plan->config.takeoff.least_velocity_m_per_s);
}

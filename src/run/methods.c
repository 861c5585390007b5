/* haunch methods: the catalogue in force, with limits and where they come from. */
#include "base/alloc.h"
#include "plan/config_read.h"
#include "plan/plan.h"
#include "run/run.h"

#include <string.h>

static const char *const verdict_words[] = {"note", "first", "cannot tell", "ruled out"};

static void print_rule(const hn_method_rule *r, FILE *out)
{
    fprintf(out, "    %-10s %s", verdict_words[r->verdict], r->reason);
    if (!isnan(r->limit))
        fprintf(out, " [limit %g %s]", r->limit, r->unit ? r->unit : "");
    fprintf(out, "\n               when %s; source: %s\n", r->condition, r->source);
}

static void print_method(const hn_config *config, size_t m, FILE *out)
{
    static const char *const kinds[] = {"watch", "maintenance", "repair", "lining", "replacement"};
    const hn_method *method = &config->methods[m];

    fprintf(out, "\n%s - %s (%s; %s)\n", method->id, method->title, kinds[method->kind],
            method->family);
    if (method->life_years > 0.0)
        fprintf(out, "  life %g years", method->life_years);
    if (!isnan(method->wall_min_mm))
        fprintf(out, ", wall %g to %g mm in steps of %g mm", method->wall_min_mm,
                method->wall_max_mm, method->wall_step_mm);
    if (!isnan(method->manning_n))
        fprintf(out, ", finished n %g", method->manning_n);
    fprintf(out, "\n  source: %s\n", method->source);
    for (size_t r = 0; r < config->rule_count; r++)
        if (config->rules[r].method == (int)m)
            print_rule(&config->rules[r], out);
}

static void print_all(const hn_config *config, FILE *out)
{
    fprintf(out, "%zu methods, %zu rules, %zu cost items, %zu prices%s\n", config->method_count,
            config->rule_count, config->item_count, config->rate_count,
            config->prices_invented ? " (prices are INVENTED samples)" : "");
    for (size_t m = 0; m < config->method_count; m++)
        print_method(config, m, out);
    fprintf(out, "\nScreening and planning level, no design. Entering a sewer is permit-required "
                 "confined-space work.\n");
}

hn_status hn_methods(const char *plan_path, FILE *out, hn_error *err)
{
    hn_plan *plan = NULL;
    hn_arena arena = {0};
    hn_config config = {0};
    hn_config_paths paths;
    hn_status rc = HN_OK;

    if (plan_path) {
        HN_TRY(hn_plan_read(plan_path, &plan, err));
        print_all(&plan->config, out);
        goto out;
    }
    HN_TRY(hn_plan_shipped_config(&arena, &paths, err));
    HN_TRY(hn_config_read(&paths, &arena, &config, err));
    print_all(&config, out);
out:
    hn_plan_free(plan);
    hn_arena_clear(&arena);
    return rc;
}

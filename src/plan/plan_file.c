/* plan/plan_file.c - a plan file from its first byte to a validated struct. */
#include "base/alloc.h"
#include "base/dates.h"
#include "plan/plan_keys.h"
#include "plan/plan_parts.h"

#include <string.h>

/* The names and texts of `config:`; where the tables lie is settled later. */
static hn_status check_config_keys(hn_plan_reader *r, const hn_yaml_node *root)
{
    const hn_yaml_node *map = hn_yaml_get(root, "config");
    hn_config_keys unused;

    return hn_plan_read_block(r, "config", "config", map, root, &unused);
}

/* Reads a block of plain keys straight into the plan. */
static hn_status read_plain(hn_plan_reader *r, const hn_yaml_node *root, const char *block)
{
    const hn_yaml_node *map = hn_yaml_get(root, block);

    return hn_plan_read_block(r, block, block, map, map ? map : root, r->plan);
}

static hn_status read_output(hn_plan_reader *r, const hn_yaml_node *root)
{
    hn_plan *plan = r->plan;
    hn_status rc = read_plain(r, root, "output");

    if (rc != HN_OK)
        return rc;
    plan->output_folder = hn_plan_resolve(&plan->arena, plan->folder, plan->output_folder);
    return plan->output_folder ? HN_OK : hn_plan_no_memory(r);
}

static hn_status check_currency(const hn_plan_reader *r, const hn_yaml_node *root)
{
    hn_status rc;

    if (strlen(r->plan->currency) <= 20 && !strchr(r->plan->currency, ' '))
        return HN_OK;
    rc = hn_plan_fail(r, hn_yaml_get(root, "currency"), "currency is not one short word");
    hn_hint(r->err, "accepted: three letters such as EUR, or a word of up to 20 letters");
    return rc;
}

hn_status hn_plan_read_keys(hn_plan_reader *r, const hn_yaml_node *root)
{
    const hn_yaml_node *money = hn_yaml_get(root, "money");
    hn_plan *plan = r->plan;
    hn_status rc;

    HN_TRY(hn_plan_read_block(r, "", "", root, root, plan));
    HN_TRY(check_currency(r, root));
    plan->as_of_year = hn_date_year(plan->as_of);
    HN_TRY(hn_plan_read_sources(r, root));
    HN_TRY(read_plain(r, root, "network_rules"));
    if (plan->observation_count || hn_yaml_get(root, "grading"))
        HN_TRY(read_plain(r, root, "grading"));
    if (!plan->grading_scheme)
        plan->grading_scheme = "local";
    HN_TRY(read_plain(r, root, "design"));
    HN_TRY(hn_plan_read_defaults(r, hn_yaml_get(root, "defaults")));
    HN_TRY(read_plain(r, root, "money"));
    HN_TRY(hn_plan_set_estimate(r, money));
    HN_TRY(hn_plan_read_programme(r, hn_yaml_get(root, "programme")));
    HN_TRY(hn_plan_read_risk(r, root));
    HN_TRY(read_output(r, root));
    HN_TRY(check_config_keys(r, root));
out:
    return rc;
}

static hn_plan *new_plan(const char *path)
{
    hn_plan *plan = hn_alloc(1, sizeof *plan);

    if (!plan)
        return NULL;
    plan->path = hn_arena_text(&plan->arena, path);
    plan->folder = hn_plan_folder_of(&plan->arena, path);
    if (!plan->path || !plan->folder) {
        hn_plan_free(plan);
        return NULL;
    }
    return plan;
}

hn_status hn_plan_read_bytes(const char *name, const unsigned char *bytes, size_t size,
                             hn_plan **out, hn_error *err)
{
    const hn_yaml_node *root = NULL;
    hn_plan *plan = new_plan(name);
    hn_plan_reader r = {.plan = plan, .file = name, .err = err};
    hn_status rc;

    *out = NULL;
    HN_TRY_ALLOC(plan);
    HN_TRY(hn_yaml_read_bytes(name, bytes, size, &plan->arena, &root, err));
    HN_TRY(hn_plan_read_keys(&r, root));
    *out = plan;
    plan = NULL;
out:
    hn_plan_free(plan);
    return rc;
}

hn_status hn_plan_read(const char *path, hn_plan **out, hn_error *err)
{
    const hn_yaml_node *root = NULL;
    hn_plan *plan = new_plan(path);
    hn_plan_reader r = {.plan = plan, .file = path, .err = err};
    hn_config_paths paths;
    hn_status rc;

    *out = NULL;
    HN_TRY_ALLOC(plan);
    HN_TRY(hn_yaml_read_file(path, &plan->arena, &root, err));
    HN_TRY(hn_plan_read_keys(&r, root));
    HN_TRY(hn_plan_config_paths(&r, hn_yaml_get(root, "config"), &paths));
    HN_TRY(hn_config_read(&paths, &plan->arena, &plan->config, err));
    plan->config_paths = paths;
    plan->rates_path = paths.rates;
    HN_TRY(hn_plan_check_materials(&r));
    HN_TRY(hn_plan_check_scheme(&r, root));
    HN_TRY(hn_plan_read_vary(&r));
    *out = plan;
    plan = NULL;
out:
    hn_plan_free(plan);
    return rc;
}

void hn_plan_free(hn_plan *plan)
{
    if (!plan)
        return;
    hn_arena_clear(&plan->arena);
    hn_free(plan);
}

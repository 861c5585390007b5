/* fuzz/fuzz_plan.c - any bytes as a plan file: never a crash, a leak, an
 * error without a message, or a plan that was not checked. */
#define REPLAY_MUTANTS 10000

#include "base/alloc.h"
#include "plan/plan_parts.h"
#include "replay.h"

#include <stdlib.h>
#include <string.h>

static void must(int holds)
{
    if (!holds)
        abort();
}

static void check_plan(const hn_plan *plan)
{
    must(plan->title && plan->currency && plan->output_folder && plan->network.from);
    must(plan->years >= 1 && plan->budgets[0].year == plan->first_year);
    must(plan->estimate_low_pct <= 0 && plan->estimate_high_pct >= 0);
    for (size_t i = 0; i < plan->network.field_count; i++) {
        const hn_field_map *map = &plan->network.fields[i];

        must(map->role && map->place.line > 0 && map->unit_factor > 0);
        must(!map->field != !map->constant);
        must(!map->has_scale || map->best < map->worst || map->best > map->worst);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    hn_error err = {HN_OK, "", ""};
    size_t before = hn_alloc_live();
    hn_plan *plan = NULL;
    hn_status rc = hn_plan_read_bytes("plan.yaml", data, size, &plan, &err);

    if (rc == HN_OK)
        check_plan(plan);
    else
        must(!plan && err.status == rc && err.message[0] != '\0');
    hn_plan_free(plan);
    must(hn_alloc_live() == before);
    return 0;
}

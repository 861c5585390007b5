/* haunch methods: the catalogue in force. For each method its rules by verdict, with
 * limits, what they ask for, and where they come from. */
#include "base/alloc.h"
#include "plan/config_read.h"
#include "plan/plan.h"
#include "run/run.h"

#include <string.h>

static const char INTRO[] =
    "A method fits a sewer unless one of its rules says otherwise. <name> in a sentence stands\n"
    "for the value of that column; docs/columns.md tells what each is. Where a value is missing\n"
    "a rule does not bite, unless it says \"missing: cannot tell\".\n";
static const char CAUTION[] =
    "\nScreening and planning level, no design. Entering a sewer is permit-required confined-space "
    "work.\n";

enum { LINE_MAX_CHARS = 100 };

/* Words of a text after `label`, broken before the line gets too long. */
static void print_wrapped(int indent, const char *label, const char *text, FILE *out)
{
    int at = fprintf(out, "%*s%s", indent, "", label);

    while (*text) {
        const int word = (int)strcspn(text, " ");

        if (at + 1 + word > LINE_MAX_CHARS)
            at = fprintf(out, "\n%*s", indent + 1, "") - 1;
        at += fprintf(out, " %.*s", word, text);
        text += word;
        text += strspn(text, " ");
    }
    fputc('\n', out);
}

/* The sentence of a rule without a segment: its limit as it is, columns as <name>. */
static void print_sentence(const hn_method_rule *r, FILE *out)
{
    static const char LIMIT[] = "{limit}";

    for (const char *at = r->reason; *at; at++) {
        if (strncmp(at, LIMIT, sizeof LIMIT - 1) == 0) {
            fprintf(out, "%g", r->limit);
            at += sizeof LIMIT - 2;
        } else {
            fputc(*at == '{' ? '<' : *at == '}' ? '>' : *at, out);
        }
    }
}

static const char *item_title(const hn_config *config, const char *id)
{
    for (size_t i = 0; i < config->item_count; i++)
        if (strcmp(config->items[i].id, id) == 0)
            return config->items[i].title;
    return id;
}

static void print_rule(const hn_config *config, const hn_method_rule *r, FILE *out)
{
    fprintf(out, "    - ");
    print_sentence(r, out);
    fprintf(out, "\n      when: %s\n", r->condition);
    if (r->verdict == HN_VERDICT_AFTER_WORKS && r->works)
        fprintf(out, "      priced by: %s (%s)\n", r->works, item_title(config, r->works));
    if (r->unknown_cannot_tell)
        fprintf(out, "      missing: cannot tell\n");
    print_wrapped(6, "source:", r->source, out);
}

static void print_rules(const hn_config *config, size_t m, hn_verdict verdict, const char *heading,
                        FILE *out)
{
    for (size_t r = 0; r < config->rule_count; r++) {
        if (config->rules[r].method != (int)m || config->rules[r].verdict != verdict)
            continue;
        if (heading)
            fprintf(out, "  %s\n", heading);
        heading = NULL;
        print_rule(config, &config->rules[r], out);
    }
}

static void print_wall(const hn_method *method, FILE *out)
{
    if (method->wall_rule == HN_WALL_FLEXIBLE)
        fprintf(out, "; wall designed, %g to %g mm in steps of %g mm", method->wall_min_mm,
                method->wall_max_mm, method->wall_step_mm);
    else if (method->wall_rule == HN_WALL_SDR)
        fprintf(out, "; wall = outside diameter / %g", method->sdr);
    else if (method->wall_rule == HN_WALL_FIXED)
        fprintf(out, "; wall %g mm", method->wall_fixed_mm);
    if (method->annulus_mm > 0.0)
        fprintf(out, "; gap of %g mm on each side", method->annulus_mm);
    if (method->annulus_share > 0.0)
        fprintf(out, "; gap of %g %% of the width on each side", 100.0 * method->annulus_share);
}

static void print_prices(const hn_config *config, size_t m, FILE *out)
{
    double least = INFINITY, greatest = 0.0;
    const char *before = "  priced beside the main work: ";
    int any = 0;

    for (size_t i = 0; i < config->rate_count; i++) {
        if (config->rates[i].method != (int)m)
            continue;
        least = fmin(least, config->rates[i].width_mm);
        greatest = fmax(greatest, config->rates[i].width_mm);
    }
    if (greatest > 0.0)
        fprintf(out, "  prices of the main work: sizes of %g to %g mm\n", least, greatest);
    for (size_t i = 0; i < config->item_count; i++) {
        if (config->items[i].is_works || !(config->items[i].methods >> m & 1))
            continue;
        fprintf(out, "%s%s", any ? ", " : before, config->items[i].id);
        any = 1;
    }
    if (any)
        fputc('\n', out);
}

static void print_method(const hn_config *config, size_t m, FILE *out)
{
    static const char *const kinds[] = {"watch", "maintenance", "repair", "lining", "replacement"};
    const hn_method *method = &config->methods[m];

    fprintf(out, "\n%s - %s\n  kind: %s; family: %s\n", method->id, method->title,
            kinds[method->kind], method->family);
    if (method->life_years > 0.0)
        fprintf(out, "  life %g years", method->life_years);
    print_wall(method, out);
    if (!isnan(method->manning_n))
        fprintf(out, "; Manning n of the new surface %g", method->manning_n);
    if (method->life_years > 0.0)
        fputc('\n', out);
    print_wrapped(2, "source:", method->source, out);
    print_prices(config, m, out);
    print_rules(config, m, HN_VERDICT_RULED_OUT, "ruled out, where", out);
    print_rules(config, m, HN_VERDICT_AFTER_WORKS, "fits after works, where", out);
    print_rules(config, m, HN_VERDICT_FITS, "fits, with a note, where", out);
}

static void print_all(const hn_config *config, FILE *out)
{
    fprintf(out, "%zu methods, %zu rules, %zu cost items, %zu prices%s\n\n%s", config->method_count,
            config->rule_count, config->item_count, config->rate_count,
            config->prices_invented ? " (prices are INVENTED samples)" : "", INTRO);
    for (size_t m = 0; m < config->method_count; m++)
        print_method(config, m, out);
    fputs(CAUTION, out);
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

/* plan/draft.c */
#include "plan/draft.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "plan/config_read.h"
#include "plan/draft_fields.h"
#include "plan/draft_path.h"
#include "plan/draft_words.h"
#include "plan/plan_parts.h"
#include "read/source.h"

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { SHOWN = 1024, STEM = 64 };

typedef struct draft_job {
    const char *source, *plan_file; /* plan_file NULL: the plan goes to standard output */
    hn_draft_choice choice;
    char stem[STEM]; /* names the title and the result folder */
} draft_job;

/* ---- which layer is the network ---- */

static int has_lines(const hn_layer_look *layer)
{
    return layer->lines > 0 && layer->lines * 2 >= layer->rows;
}

static const hn_layer_look *network_layer(const hn_dataset_look *look)
{
    const hn_layer_look *best = NULL;
    size_t most = 0;

    for (size_t i = 0; i < look->layer_count; i++) {
        hn_guesses guesses;

        if (!has_lines(&look->layers[i]))
            continue;
        hn_guess_fields(&look->layers[i], &guesses);
        if (!best || guesses.found > most) {
            best = &look->layers[i];
            most = guesses.found;
        }
    }
    return best;
}

static const hn_layer_look *named_layer(const hn_dataset_look *look, const char *name)
{
    for (size_t i = 0; i < look->layer_count; i++)
        if (strcmp(look->layers[i].name, name) == 0)
            return &look->layers[i];
    return NULL;
}

static const char *kind_of(const hn_layer_look *layer)
{
    if (has_lines(layer))
        return "lines";
    if (layer->points * 2 >= layer->rows && layer->points > 0)
        return "points";
    if (layer->polygons * 2 >= layer->rows && layer->polygons > 0)
        return "areas";
    return layer->no_geometry == layer->rows ? "a table" : "mixed";
}

static hn_status fail_no_lines(const hn_dataset_look *look, const char *shown, const char *wanted,
                               hn_error *err)
{
    hn_draft_text all = {0};

    for (size_t i = 0; i < look->layer_count; i++)
        hn_draft_put(&all, "%s%.60s (%s)", i ? ", " : "", look->layers[i].name,
                     kind_of(&look->layers[i]));
    if (wanted && !named_layer(look, wanted))
        hn_fail(err, HN_ERR_INPUT, "`%s` has no layer `%.100s`", shown, wanted);
    else
        hn_fail(err, HN_ERR_INPUT, "`%s` has no layer of lines to take for the network", shown);
    hn_hint(err, "its layers are: %.800s; a network is a layer of lines, one a sewer",
            all.text ? all.text : "none");
    hn_free(all.text);
    return HN_ERR_INPUT;
}

/* ---- parts of the plan ---- */

/* Today in UTC, or the day of SOURCE_DATE_EPOCH, so that a draft can be made
 * again byte for byte. */
static int32_t today(void)
{
    const char *fixed = getenv("SOURCE_DATE_EPOCH");
    double seconds = (double)time(NULL);

    if (fixed)
        (void)hn_parse_number(fixed, &seconds);
    if (seconds < 0 || seconds > 1e10)
        seconds = 0;
    return (int32_t)(seconds / 86400);
}

static void put_head(hn_draft_text *out, const draft_job *job, const hn_layer_look *layer)
{
    char date[HN_DATE_TEXT], title[STEM + 32];

    hn_date_text(today(), date);
    hn_draft_put(out,
                 "# A first plan, drafted from a look at the data. Every line with a guess says "
                 "so: check it.\n"
                 "# Lines marked FILL IN must be filled before haunch can run. The manual of "
                 "the plan file\n"
                 "# lists every key, with its default and where the default comes from.\n"
                 "title: ");
    snprintf(title, sizeof title, "Renewal plan (%s)", job->stem);
    hn_draft_put_name(out, title);
    hn_draft_put(out, "   # of layer ");
    hn_draft_put_remark(out, layer->name);
    hn_draft_put(out, "\nas_of: %s   # date of the assessment\n", date);
    hn_draft_put(out,
                 "currency:   # FILL IN: of your prices and budgets, three letters such as EUR\n"
                 "units: si   # or us: units of the outputs\n\n");
}

/* Where the source lies, from the plan. */
static void put_from(hn_draft_text *out, const draft_job *job)
{
    char shown[SHOWN], room[PATH_MAX];
    const char *path = hn_plan_is_connection(job->source)
                           ? NULL
                           : hn_draft_path(job->source, job->plan_file, room, sizeof room);

    hn_source_shown(job->source, shown, sizeof shown);
    hn_draft_put(out, "from: ");
    hn_draft_put_name(out, path ? path : shown);
    if (!path && strcmp(shown, job->source) != 0)
        hn_draft_put(out, "   # the password is left out: keep it outside of the plan");
}

static void put_layer(hn_draft_text *out, const draft_job *job, const hn_layer_look *layer)
{
    if (job->choice.line_layers > 1)
        hn_draft_put(out,
                     "\n  # one of %zu layers of lines; `haunch draft --layer NAME` takes another",
                     job->choice.line_layers);
    hn_draft_put(out, "\n  layer: ");
    hn_draft_put_name(out, layer->name);
    hn_draft_put(out, "   # %zu rows looked at, %zu lines", layer->rows, layer->lines);
    if (layer->features > (long long)layer->rows)
        hn_draft_put(out, " of %lld", layer->features);
    if (layer->crs) {
        hn_draft_put(out, "\n  # the layer's CRS is ");
        hn_draft_put_remark(out, layer->crs);
        hn_draft_put(out, "\n");
    } else {
        hn_draft_put(out, "\n  crs:   # FILL IN: the layer has none, such as EPSG:25832\n");
    }
}

static void put_where(hn_draft_text *out, const hn_guesses *guesses)
{
    const hn_field_look *status = guesses->field[HN_GUESS_STATUS];

    if (!status || status->value_count == 0)
        return;
    hn_draft_put(out, "  # where: \"");
    hn_draft_put_remark(out, status->name);
    hn_draft_put(out, " = '");
    hn_draft_put_remark(out, status->values[0].text);
    hn_draft_put(out, "'\"   # to read only some rows, SQL of the source\n");
}

static void put_network(hn_draft_text *out, const draft_job *job, const hn_layer_look *layer)
{
    hn_guesses guesses;

    hn_guess_fields(layer, &guesses);
    hn_draft_put(out, "network:\n  ");
    put_from(out, job);
    put_layer(out, job, layer);
    put_where(out, &guesses);
    hn_draft_put_fields(out, layer, &guesses);
}

static void put_programme(hn_draft_text *out, const draft_job *job)
{
    hn_draft_put(out,
                 "\nprogramme:\n"
                 "  level_budget: 0   # nothing is funded until you say how much a year\n"
                 "  years: 10\n"
                 "\noutput:\n"
                 "  folder: result-%s   # a run replaces it as a whole: one folder a plan\n",
                 job->stem);
}

/* How to use tables of one's own. Where the shipped ones are not found, a run
 * will say so; the draft only leaves their place out. */
static hn_status put_config(hn_draft_text *out, hn_error *err)
{
    char full[PATH_MAX], *slash;
    hn_config_paths paths;
    hn_arena arena = {0};
    hn_error unused = {0};
    hn_status rc = hn_plan_shipped_config(&arena, &paths, &unused);
    const char *rates = rc == HN_OK ? realpath(paths.rates, full) : NULL;

    if (rates && (slash = strrchr(full, '/')) != NULL)
        *slash = '\0';
    hn_draft_put(out, "\n# The tables of methods, limits and prices that come with haunch are in "
                      "force.\n"
                      "# THE SHIPPED PRICES AND SUMS OF MONEY ARE INVENTED. To use your own:\n"
                      "# copy the folder ");
    hn_draft_put_line(out, rates ? full : "config of haunch");
    hn_draft_put(out, "\n# beside this plan, edit rates.csv, cost_items.csv and consequence.csv in "
                      "the copy,\n"
                      "# and take the # away:\n"
                      "# config:\n"
                      "#   folder: config\n");
    hn_arena_clear(&arena);
    return rc == HN_ERR_MEMORY ? hn_fail(err, rc, "out of memory") : HN_OK;
}

/* ---- the other layers ---- */

static int is_inspection_table(const hn_layer_look *layer)
{
    return hn_name_has_word(layer->name, HN_WORD_INSPECTION);
}

static int is_manhole_layer(const hn_layer_look *layer)
{
    return strcmp(kind_of(layer), "points") == 0 && hn_name_has_word(layer->name, HN_WORD_MANHOLE);
}

/* Small letters, digits and _ of a layer's name; "layer" when there are none. */
static void put_context_name(hn_draft_text *out, const char *name)
{
    char word[33] = "";
    size_t length = 0;

    for (; *name && length < sizeof word - 1; name++) {
        char c = (char)((*name >= 'A' && *name <= 'Z') ? *name - 'A' + 'a' : *name);
        int letter = c >= 'a' && c <= 'z', digit = c >= '0' && c <= '9';

        if (letter || (length > 0 && (digit || c == '_')))
            word[length++] = c;
    }
    hn_draft_put(out, "%s", length ? word : "layer");
}

static void put_other_layer(hn_draft_text *out, const draft_job *job, const hn_layer_look *layer)
{
    hn_draft_put(out, "# layer ");
    hn_draft_put_remark(out, layer->name);
    hn_draft_put(out, ": %s, %zu rows looked at\n", kind_of(layer), layer->rows);
    if (is_inspection_table(layer)) {
        hn_draft_put(out, "# inspections:\n#   - ");
        put_from(out, job);
        hn_draft_put(out, "\n#     layer: ");
        hn_draft_put_name(out, layer->name);
        hn_draft_put(out, "\n#     fields: {segment_id: NAME, inspected_on: NAME}\n");
    } else if (is_manhole_layer(layer)) {
        hn_draft_put(out, "# nodes:\n#   ");
        put_from(out, job);
        hn_draft_put(out, "\n#   layer: ");
        hn_draft_put_name(out, layer->name);
        hn_draft_put(out, "\n#   fields: {node_id: NAME, ground: {field: NAME, unit: m}}\n");
    } else if (strcmp(kind_of(layer), "a table") != 0) {
        hn_draft_put(out, "# context:   # distance to it as column near_");
        put_context_name(out, layer->name);
        hn_draft_put(out, "_m\n#   ");
        put_context_name(out, layer->name);
        hn_draft_put(out, ":\n#     ");
        put_from(out, job);
        hn_draft_put(out, "\n#     layer: ");
        hn_draft_put_name(out, layer->name);
        hn_draft_put(out, "\n#     search_m: 50\n");
    }
}

static void put_other_layers(hn_draft_text *out, const draft_job *job, const hn_dataset_look *look,
                             const hn_layer_look *network)
{
    if (look->layer_count > 1)
        hn_draft_put(out,
                     "\n# The dataset has other layers; take the # away from what is of use.\n");
    for (size_t i = 0; i < look->layer_count; i++)
        if (&look->layers[i] != network)
            put_other_layer(out, job, &look->layers[i]);
}

static void choose(draft_job *job, const hn_dataset_look *look, const hn_layer_look *network)
{
    const char *file = hn_plan_is_connection(job->source) ? NULL : job->source;
    char layer[STEM];
    size_t used;

    snprintf(job->choice.layer, sizeof job->choice.layer, "%s", network->name);
    for (size_t i = 0; i < look->layer_count; i++)
        job->choice.line_layers += has_lines(&look->layers[i]) != 0;
    hn_draft_stem(NULL, network->name, layer, sizeof layer);
    hn_draft_stem(file, layer, job->stem, sizeof job->stem);
    used = strlen(job->stem);
    if (file && job->choice.line_layers > 1 && strcmp(layer, job->stem) != 0)
        snprintf(job->stem + used, sizeof job->stem - used, "-%.*s", STEM - 2, layer);
}

static hn_status put_plan(hn_draft_text *out, const draft_job *job, const hn_dataset_look *look,
                          const hn_layer_look *network, hn_error *err)
{
    hn_status rc = HN_OK;

    put_head(out, job, network);
    put_network(out, job, network);
    put_programme(out, job);
    HN_TRY(put_config(out, err));
    put_other_layers(out, job, look, network);
    if (out->failed)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory");
out:
    return rc;
}

hn_status hn_draft_plan(const char *source, const char *layer_or_null,
                        const char *plan_file_or_null, char **out_yaml,
                        hn_draft_choice *choice_or_null, hn_error *err)
{
    draft_job job = {.source = source, .plan_file = plan_file_or_null};
    hn_dataset_look *look = NULL;
    const hn_layer_look *network;
    hn_draft_text out = {0};
    char shown[SHOWN];
    hn_status rc;

    *out_yaml = NULL;
    HN_TRY(hn_look_at_dataset(source, NULL, &look, err));
    network = layer_or_null ? named_layer(look, layer_or_null) : network_layer(look);
    if (!network || !has_lines(network)) {
        hn_source_shown(source, shown, sizeof shown);
        rc = fail_no_lines(look, shown, layer_or_null, err);
        goto out;
    }
    choose(&job, look, network);
    HN_TRY(put_plan(&out, &job, look, network, err));
    if (choice_or_null)
        *choice_or_null = job.choice;
    *out_yaml = out.text;
out:
    if (rc != HN_OK)
        hn_free(out.text);
    hn_dataset_look_free(look);
    return rc;
}

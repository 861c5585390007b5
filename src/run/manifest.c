#include "run/manifest.h"

#include "base/dates.h"
#include "base/relative_path.h"
#include "base/sha256.h"
#include "run/versions.h"

#include <stdio.h>
#include <string.h>

/* JSON text of a string, quotes included. Source: RFC 8259, section 7. */
static const char *quoted(const char *text, hn_arena *arena)
{
    size_t n = strlen(text), at = 0;
    char *out = hn_arena_alloc(arena, 6 * n + 3, 1);

    if (!out)
        return "\"\"";
    out[at++] = '"';
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)text[i];

        if (c == '"' || c == '\\') {
            out[at++] = '\\';
            out[at++] = (char)c;
        } else if (c < 0x20) {
            at += (size_t)snprintf(out + at, 7, "\\u%04x", c);
        } else {
            out[at++] = (char)c;
        }
    }
    out[at++] = '"';
    out[at] = '\0';
    return out;
}

static const char *base_name(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}

static const char *sources_json(const hn_state *s, hn_arena *arena)
{
    const char *text = "";

    for (size_t i = 0; text && i < s->source_count; i++) {
        const hn_source_note *n = &s->sources[i];

        text = hn_arena_printf(arena,
                               "%s%s\n    {\"key\": %s, \"file\": %s, \"layer\": %s, \"sha256\": "
                               "%s, \"rows_read\": %zu}",
                               text, i ? "," : "", quoted(n->key, arena),
                               quoted(base_name(n->shown), arena), quoted(n->layer, arena),
                               quoted(n->sha256, arena), n->rows_read);
    }
    return text;
}

/* Hash of a file, "" when there is none to hash. */
static const char *hash_of(const char *path, hn_arena *arena)
{
    char hex[HN_SHA256_HEX];

    return hn_sha256_file(path, hex, NULL) == HN_OK ? hn_arena_text(arena, hex) : "";
}

static const char *config_json(const hn_state *s, hn_arena *arena)
{
    const hn_config *config = &s->plan->config;
    const char *text = "";

    for (size_t i = 0; text && i < config->file_count; i++) {
        const char *hash = hash_of(config->files[i], arena);

        text = hash
                   ? hn_arena_printf(arena, "%s%s\n    {\"file\": %s, \"sha256\": \"%s\"}", text,
                                     i ? "," : "", quoted(base_name(config->files[i]), arena), hash)
                   : NULL;
    }
    return text;
}

/* Where explain finds the plan again: seen from the folder of the result. */
static const char *plan_json(const hn_state *s, hn_arena *arena)
{
    const char *path = hn_relative_path(s->plan->output_folder, s->plan->path, arena);
    const char *hash = hash_of(s->plan->path, arena);

    if (!path || !hash)
        return NULL;
    return hn_arena_printf(arena, "%s,\n  \"plan_path\": %s,\n  \"plan_sha256\": \"%s\"",
                           quoted(base_name(s->plan->path), arena), quoted(path, arena), hash);
}

static const char *versions_json(hn_arena *arena)
{
    const char *text = "";

    for (int i = 0; text && i < HN_VERSION_COUNT; i++)
        text =
            hn_arena_printf(arena, "%s%s%s: %s", text, i ? ", " : "",
                            quoted(hn_version_name(i), arena), quoted(hn_version_text(i), arena));
    return text;
}

const char *hn_manifest_json(const hn_state *s, hn_arena *arena)
{
    char as_of[HN_DATE_TEXT];
    const char *sources = sources_json(s, arena), *versions = versions_json(arena);
    const char *plan = plan_json(s, arena), *config = config_json(s, arena);

    hn_date_text(s->plan->as_of, as_of);
    if (!sources || !versions || !plan || !config)
        return NULL;
    return hn_arena_printf(
        arena,
        "{\n  \"result\": \"haunch\",\n  \"format\": 1,\n  \"title\": %s,\n"
        "  \"plan\": %s,\n  \"as_of\": \"%s\",\n  \"versions\": {%s},\n"
        "  \"sources\": [%s\n  ],\n  \"config\": [%s\n  ],\n  \"segments\": %zu\n}\n",
        quoted(s->plan->title, arena), plan, as_of, versions, sources, config, s->table->rows);
}

const char *hn_manifest_lineage(const hn_state *s, hn_arena *arena)
{
    const char *text = "Made by haunch " HN_VERSION " from these inputs. ";

    for (size_t i = 0; text && i < s->source_count; i++) {
        const hn_source_note *n = &s->sources[i];

        text = hn_arena_printf(arena, "%s%s: %s, layer %s, %zu rows, sha256 %s. ", text, n->key,
                               base_name(n->shown), n->layer[0] ? n->layer : "(first)",
                               n->rows_read, n->sha256[0] ? n->sha256 : "not a file");
    }
    return text;
}

#include "run/previous_result.h"

#include <stdio.h>
#include <string.h>

enum { HEAD_BYTES = 8192 };

/* One character of a JSON text: \n and the like become blanks, \u00xx its byte. */
static char json_char(const char **at)
{
    unsigned code = ' ';

    if (**at != '\\')
        return *(*at)++;
    (*at)++;
    if (**at == 'u') {
        (void)sscanf(*at + 1, "%4x", &code);
        *at += strnlen(*at, 5);
        return code < 0x20 || code > 0x7e ? ' ' : (char)code;
    }
    if (**at == '"' || **at == '\\' || **at == '/')
        return *(*at)++;
    *at += **at != '\0';
    return ' ';
}

/* The text of a key, "" when there is none. The manifest has each key of the
 * plan once, before any text of the data. */
static void json_text(const char *json, const char *key, char *out, size_t size)
{
    char wanted[64];
    const char *at;
    size_t n = 0;

    snprintf(wanted, sizeof wanted, "\n  \"%s\": \"", key);
    at = strstr(json, wanted);
    if (at)
        at += strlen(wanted);
    while (at && *at && *at != '"' && n + 1 < size)
        out[n++] = json_char(&at);
    out[n] = '\0';
}

/* The title as it comes out of a manifest: control characters are blanks. */
static int same_text(const char *read, const char *ours)
{
    for (; *read && *ours; read++, ours++)
        if (*read != *ours && (unsigned char)*ours >= 0x20)
            return 0;
    return *read == *ours;
}

void hn_previous_result_look(hn_state *s)
{
    const char *slash = strrchr(s->plan->path, '/');
    char path[4096], head[HEAD_BYTES];
    size_t n = 0;
    FILE *file;

    s->other_plan[0] = s->other_title[0] = '\0';
    if ((size_t)snprintf(path, sizeof path, "%s/run.json", s->plan->output_folder) >= sizeof path)
        return;
    file = fopen(path, "r");
    if (!file)
        return;
    n = fread(head, 1, sizeof head - 1, file);
    fclose(file);
    head[n] = '\0';
    json_text(head, "plan", s->other_plan, sizeof s->other_plan);
    json_text(head, "title", s->other_title, sizeof s->other_title);
    if (same_text(s->other_plan, slash ? slash + 1 : s->plan->path) &&
        same_text(s->other_title, s->plan->title))
        s->other_plan[0] = s->other_title[0] = '\0';
}

/* plan/draft_text.h - a growing text, and names as YAML needs them. */
#ifndef HN_PLAN_DRAFT_TEXT_H
#define HN_PLAN_DRAFT_TEXT_H

#include <stddef.h>

typedef struct hn_draft_text {
    char *text; /* NULL while empty; from hn_alloc */
    size_t length, room;
    int failed; /* 1: out of memory; later calls do nothing */
} hn_draft_text;

void hn_draft_put(hn_draft_text *out, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A name or value as a YAML text: as it is when that is safe, else in double
 * quotes with control characters escaped. */
void hn_draft_put_name(hn_draft_text *out, const char *name);
/* The same inside a comment: on one line, shortened to 60 bytes. */
void hn_draft_put_remark(hn_draft_text *out, const char *text);
/* The same at full length. */
void hn_draft_put_line(hn_draft_text *out, const char *text);

#endif

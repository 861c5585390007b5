/* plan/draft_text.c */
#include "plan/draft_text.h"

#include "base/alloc.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { FIRST_ROOM = 4096, REMARK_MAX = 60 };

static int make_room(hn_draft_text *out, size_t more)
{
    size_t room = out->room ? out->room : FIRST_ROOM;
    char *grown;

    while (room - out->length <= more)
        room *= 2;
    if (room == out->room)
        return 1;
    grown = hn_realloc(out->text, room, 1);
    if (!grown) {
        out->failed = 1;
        return 0;
    }
    out->text = grown;
    out->room = room;
    return 1;
}

static void put_bytes(hn_draft_text *out, const char *bytes, size_t length)
{
    if (out->failed || !make_room(out, length))
        return;
    memcpy(out->text + out->length, bytes, length);
    out->length += length;
    out->text[out->length] = '\0';
}

void hn_draft_put(hn_draft_text *out, const char *format, ...)
{
    va_list args;
    int length;

    if (out->failed)
        return;
    va_start(args, format);
    length = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (length < 0 || !make_room(out, (size_t)length))
        return;
    va_start(args, format);
    vsnprintf(out->text + out->length, out->room - out->length, format, args);
    va_end(args);
    out->length += (size_t)length;
}

static int is_safe_plain(const char *name)
{
    size_t length = strlen(name);
    int minus = name[0] == '-' && isdigit((unsigned char)name[1]);

    if (length == 0 || !isalnum((unsigned char)name[minus]) || name[length - 1] == ' ' ||
        strcasecmp(name, "null") == 0)
        return 0;
    for (const char *c = name; *c; c++)
        if (!isalnum((unsigned char)*c) && !strchr("_.-/ ()+", *c))
            return 0;
    return 1;
}

void hn_draft_put_name(hn_draft_text *out, const char *name)
{
    if (is_safe_plain(name)) {
        hn_draft_put(out, "%s", name);
        return;
    }
    put_bytes(out, "\"", 1);
    for (const char *c = name; *c; c++) {
        if (iscntrl((unsigned char)*c))
            hn_draft_put(out, "\\x%02X", (unsigned)(unsigned char)*c);
        else if (*c == '"' || *c == '\\')
            hn_draft_put(out, "\\%c", *c);
        else
            put_bytes(out, c, 1);
    }
    put_bytes(out, "\"", 1);
}

/* Cuts only between letters of UTF-8. */
void hn_draft_put_remark(hn_draft_text *out, const char *text)
{
    size_t length = strnlen(text, REMARK_MAX);

    while (length > 0 && text[length] && ((unsigned char)text[length] & 0xC0) == 0x80)
        length--;
    for (size_t i = 0; i < length; i++)
        put_bytes(out, iscntrl((unsigned char)text[i]) ? " " : text + i, 1);
    if (text[length])
        put_bytes(out, "...", 3);
}

void hn_draft_put_line(hn_draft_text *out, const char *text)
{
    for (; *text; text++)
        put_bytes(out, iscntrl((unsigned char)*text) ? " " : text, 1);
}

#include "read/source.h"

#include <string.h>
#include <strings.h>

/* Keys whose value is a secret; the longest ending of a key counts, so that
 * access_token and db_password are caught too. */
static const char *const secret_keys[] = {"password", "passwd", "pwd",     "token",
                                          "secret",   "apikey", "api_key", "signature"};

enum { SECRET_KEYS = sizeof secret_keys / sizeof secret_keys[0] };

typedef struct sink {
    char *room;
    size_t size, used;
} sink;

const hn_field_map *hn_source_find(const hn_source *source, const char *role)
{
    for (size_t i = 0; i < source->field_count; i++)
        if (strcmp(source->fields[i].role, role) == 0)
            return &source->fields[i];
    return NULL;
}

static void put(sink *out, const char *text, size_t length)
{
    for (size_t i = 0; i < length && out->used + 1 < out->size; i++)
        out->room[out->used++] = text[i];
}

/* Bytes of "password=", "pwd =" and so on at `text`, 0 when none. */
static size_t secret_key_at(const char *text)
{
    for (size_t k = 0; k < SECRET_KEYS; k++) {
        size_t length = strlen(secret_keys[k]);

        if (strncasecmp(text, secret_keys[k], length) != 0)
            continue;
        length += strspn(text + length, " ");
        if (text[length] == '=')
            return length + 1 + strspn(text + length + 1, " ");
    }
    return 0;
}

/* Bytes of a value: quoted with ' or " (with \ as escape), else up to the
 * next separator. */
static size_t value_length(const char *text)
{
    size_t i = 1;

    if (text[0] != '\'' && text[0] != '"')
        return strcspn(text, " ;&,\t\n");
    while (text[i] && text[i] != text[0])
        i += text[i] == '\\' && text[i + 1] ? 2 : 1;
    return text[i] ? i + 1 : i;
}

/* For "://user:pass@host": bytes up to and with the colon after the user, and
 * the bytes of the password. The last @ before the path ends the password. */
static size_t url_password_at(const char *text, size_t *secret)
{
    const char *user = text + 3, *colon, *at = NULL;
    size_t authority;

    if (strncmp(text, "://", 3) != 0)
        return 0;
    authority = strcspn(user, "/?# \t\n");
    for (const char *c = user; c < user + authority; c++)
        if (*c == '@')
            at = c;
    colon = at ? memchr(user, ':', (size_t)(at - user)) : NULL;
    if (!colon)
        return 0;
    *secret = (size_t)(at - colon) - 1;
    return (size_t)(colon - text) + 1;
}

const char *hn_source_shown(const char *from, char *room, size_t size)
{
    sink out = {room, size, 0};

    if (!from || size == 0)
        return "";
    while (*from) {
        size_t secret = 0;
        size_t shown = url_password_at(from, &secret);

        if (shown == 0 && (shown = secret_key_at(from)) != 0)
            secret = value_length(from + shown);
        if (shown == 0) {
            put(&out, from++, 1);
            continue;
        }
        put(&out, from, shown);
        put(&out, "***", 3);
        from += shown + secret;
    }
    room[out.used] = '\0';
    return room;
}

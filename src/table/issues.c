#include "table/issues.h"

#include "base/alloc.h"

#include <string.h>

hn_status hn_issue_list_init(hn_issue_list *list, hn_error *err)
{
    memset(list, 0, sizeof *list);
    list->texts = hn_text_pool_new();
    return list->texts ? HN_OK : hn_fail(err, HN_ERR_MEMORY, "out of memory");
}

void hn_issue_list_clear(hn_issue_list *list)
{
    hn_free(list->items);
    hn_text_pool_free(list->texts);
    memset(list, 0, sizeof *list);
}

static uint32_t intern(hn_issue_list *list, const char *text)
{
    uint32_t id = text ? hn_text_pool_add(list->texts, text, strlen(text)) : 0;

    return id == UINT32_MAX ? 0 : id;
}

void hn_issue_add(hn_issue_list *list, hn_severity severity, const char *rule,
                  const char *segment_id, const char *field, const char *value,
                  const char *message, const char *effect, double x, double y)
{
    void *items = list->items;
    hn_issue *issue;

    if (!hn_grow(&items, list->count, &list->capacity, sizeof *list->items)) {
        list->dropped++;
        return;
    }
    list->items = items;
    issue = &list->items[list->count++];
    issue->segment = intern(list, segment_id);
    issue->rule = intern(list, rule);
    issue->field = intern(list, field);
    issue->value = intern(list, value);
    issue->message = intern(list, message);
    issue->effect = intern(list, effect);
    issue->severity = (uint8_t)severity;
    issue->x = x;
    issue->y = y;
}

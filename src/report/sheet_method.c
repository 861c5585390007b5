/* The methods that decide, one after the other. What stands under every method
 * is the list in add_method: a new block goes there. */
#include "report/sheet_parts.h"

static const hn_column_id role_columns[] = {HN_COL_METHOD, HN_COL_BEST_LINING,
                                            HN_COL_BEST_REPLACEMENT, HN_COL_RUNNER_UP};
static const char *const role_names[] = {"chosen", "best lining", "best replacement", "runner-up"};

static const char *roles_of(const hn_sheet_facts *f, int method, hn_sheet *s)
{
    const char *roles = "";

    for (int i = 0; i < 4; i++)
        if (hn_sheet_method_in(f, role_columns[i]) == method)
            roles = hn_sheet_text(s, "%s%s%s", roles, roles[0] ? ", " : "", role_names[i]);
    return roles;
}

static void add_method(const hn_sheet_facts *f, int method, hn_sheet *s)
{
    const hn_option *o = &f->judged[method];
    const hn_method *m = hn_sheet_method_of(f, o);
    const char *roles = roles_of(f, method, s);

    hn_sheet_begin(s, m->id, hn_sheet_text(s, "%s (%s)", m->title, roles));
    hn_sheet_word(s, "role", "Role", roles, "");
    hn_sheet_word(s, "family", "Family", m->family, "ISO 11295 terms");
    hn_sheet_rules(f, o, s);
    hn_sheet_wall(f, o, s);
    hn_sheet_section(f, o, s);
    hn_sheet_capacity(f, o, s);
    hn_sheet_takeoff(f, o, s);
    hn_sheet_cost(f, o, s);
    hn_sheet_life(f, o, s);
    hn_sheet_end(s);
}

/* Watching has no section, capacity or cost to show. */
static void add_watch(const hn_sheet_facts *f, int method, hn_sheet *s)
{
    const hn_option *o = &f->judged[method];
    const hn_method *m = hn_sheet_method_of(f, o);
    const char *roles = roles_of(f, method, s);

    hn_sheet_begin(s, m->id, hn_sheet_text(s, "%s (%s)", m->title, roles));
    hn_sheet_word(s, "role", "Role", roles, "");
    hn_sheet_rules(f, o, s);
    hn_sheet_life(f, o, s);
    hn_sheet_end(s);
}

void hn_sheet_methods(const hn_sheet_facts *f, hn_sheet *s)
{
    int methods[4], count = hn_option_deciding(f->table, f->row, methods);

    hn_sheet_begin(s, "worked", "The methods that decide, worked");
    if (count == 0)
        hn_sheet_say(s, "none",
                     "No method fits or can be judged here; the table of all methods says why.");
    for (int i = 0; i < count; i++) {
        if (f->plan->config.methods[methods[i]].kind == HN_METHOD_WATCH)
            add_watch(f, methods[i], s);
        else
            add_method(f, methods[i], s);
    }
    hn_sheet_end(s);
}

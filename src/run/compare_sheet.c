/* The tables of a comparison as a sheet for people. */
#include "run/compare_parts.h"

#include <stdio.h>
#include <string.h>

enum { COLUMNS_MAX = HN_SNAPSHOTS_MAX + 3, CHANGE_COLUMN = 1 };

static void put_cells(hn_sheet *s, hn_sheet_item *t, const hn_grid *g, size_t row,
                      const size_t *columns, size_t count)
{
    for (size_t c = 0; c < count; c++) {
        const hn_cell *cell = &g->cells[row * g->view.column_count + columns[c]];
        hn_view_kind kind = g->view.columns[columns[c]].kind;

        if (kind == HN_VIEW_TEXT)
            hn_sheet_cell_word(s, t, cell->is_null ? "" : cell->text);
        else if (kind == HN_VIEW_BOOL)
            hn_sheet_cell_word(s, t, cell->i ? "yes" : "NO");
        else if (kind == HN_VIEW_INT)
            hn_sheet_cell_whole(s, t, cell->i);
        else
            hn_sheet_cell_number(s, t, cell->is_null ? (double)NAN : cell->r);
    }
}

static hn_sheet_item *begin_table(hn_sheet *s, const hn_grid *g, const char *key, const char *title,
                                  const size_t *columns, size_t count)
{
    hn_view_column shown[COLUMNS_MAX];

    for (size_t c = 0; c < count; c++) {
        shown[c] = g->view.columns[columns[c]];
        if (shown[c].kind == HN_VIEW_BOOL)
            shown[c].kind = HN_VIEW_TEXT;
    }
    return hn_sheet_table(s, key, title, shown, count);
}

static void add_grid(hn_sheet *s, const hn_grid *g, const size_t *columns, size_t count,
                     size_t most)
{
    hn_sheet_item *t;

    if (g->rows == 0) {
        hn_sheet_say(s, g->view.name, "%s: none.", g->view.title);
        return;
    }
    t = begin_table(s, g, g->view.name, g->view.title, columns, count);

    for (size_t r = 0; r < g->rows && r < most; r++)
        put_cells(s, t, g, r, columns, count);
    if (g->rows > most)
        hn_sheet_say(s, "more", "%zu more: --output FOLDER writes all of them.", g->rows - most);
}

/* The ends add nothing when the same haunch made the results: no column for nothing. */
static int is_shown(const hn_comparison *c, size_t step)
{
    const double *a = c->snap[step].total, *b = c->snap[step + 1].total;

    if (c->step[step].parts || c->snaps == 2)
        return 1;
    for (int t = 0; t < HN_TOTAL_COUNT; t++)
        if (fabs(b[t] - a[t]) > 1e-6 + 1e-9 * fabs(a[t]))
            return 1;
    return 0;
}

/* One total a line, one step a column. */
static void add_totals(const hn_comparison *c, hn_sheet *s)
{
    const hn_grid *g = &c->grid[HN_COMPARE_TOTALS], *by = &c->grid[HN_COMPARE_BY_CAUSE];
    size_t steps = c->snaps - 1, n = 0;
    hn_view_column columns[COLUMNS_MAX];
    hn_sheet_item *t;

    columns[n++] = g->view.columns[0];
    columns[n++] = g->view.columns[1];
    columns[n] = g->view.columns[2];
    columns[n++].decimals = 0;
    for (size_t i = 0; i < steps; i++)
        if (is_shown(c, i))
            columns[n++] = (hn_view_column){.name = hn_sheet_text(s, "step_%zu", i + 1),
                                            .title = hn_sheet_text(s, "%s", c->step[i].cause),
                                            .meaning = "",
                                            .unit = "",
                                            .kind = HN_VIEW_REAL};
    columns[n] = g->view.columns[4];
    columns[n++].decimals = 0;
    t = hn_sheet_table(s, "totals", "Totals: first, what each step adds, second", columns, n);
    for (size_t r = 0; r < g->rows; r++) {
        const hn_cell *cells = &g->cells[r * g->view.column_count];
        int is_share = !cells[1].is_null && strcmp(cells[1].text, "0-1") == 0;
        double scale = is_share ? 100.0 : 1.0;

        hn_sheet_cell_word(s, t, cells[0].text);
        hn_sheet_cell_word(s, t, cells[1].is_null ? "" : is_share ? "%" : cells[1].text);
        hn_sheet_cell_number(s, t, scale * cells[2].r);
        for (size_t i = 0; i < steps; i++)
            if (is_shown(c, i))
                hn_sheet_cell_number(
                    s, t, scale * by->cells[(r * steps + i) * by->view.column_count + 5].r);
        hn_sheet_cell_number(s, t, scale * cells[4].r);
    }
}

static const char *change_at(const hn_grid *g, size_t row)
{
    return g->cells[row * g->view.column_count + CHANGE_COLUMN].text;
}

/* One table a kind of change; the grid is sorted by it. */
static void add_changes(const hn_comparison *c, size_t most, hn_sheet *s)
{
    static const size_t columns[] = {0, 2, 3, 4, 6};
    const hn_grid *g = &c->grid[HN_COMPARE_CHANGES];
    size_t number = 0;

    for (size_t r = 0, end; r < g->rows; r = end) {
        const char *kind = change_at(g, r);
        hn_sheet_item *t;

        for (end = r; end < g->rows && strcmp(change_at(g, end), kind) == 0;)
            end++;
        t = begin_table(s, g, hn_sheet_text(s, "changes_%zu", ++number), kind, columns, 5);
        for (size_t k = r; k < end && k - r < most; k++)
            put_cells(s, t, g, k, columns, 5);
        if (end - r > most)
            hn_sheet_say(s, hn_sheet_text(s, "more_%zu", number),
                         "%zu more of these: --output FOLDER writes all of them.", end - r - most);
    }
    if (g->rows == 0)
        hn_sheet_say(s, "nothing", "Nothing changed for any segment.");
}

static void add_order(const hn_comparison *c, hn_sheet *s)
{
    if (c->no_split)
        hn_sheet_say(s, "not_split",
                     "The causes cannot be told apart: %s. Shown is what differs between the two "
                     "stored results.",
                     c->no_split + (strncmp(c->no_split, "cannot be split: ", 17) == 0 ? 17 : 0))
            ->is_emphasised = 1;
    else
        hn_sheet_say(s, "order",
                     "The causes are changed one after the other, in this order: day, data, rules, "
                     "prices, budget. What two causes do together counts for the later one; in "
                     "another order the parts would differ, their sum would not.");
    if (!c->holds)
        hn_sheet_say(s, "attention", "A total does not agree: see the checks, and report it.")
            ->is_emphasised = 1;
}

static void add_blocks(hn_comparison *c, size_t most, hn_sheet *s)
{
    static const size_t steps[] = {0, 1, 2}, all[] = {0, 1, 2, 3, 4};

    hn_sheet_begin(s, "results", "The two results");
    for (int k = 0; k < 2; k++) {
        hn_sheet_word(s, k ? "second" : "first", k ? "Second result" : "First result",
                      hn_sheet_text(s, "as of %s, haunch %s, %s", c->side[k].as_of,
                                    c->side[k].version, c->side[k].is_us ? "US units" : "SI units"),
                      NULL);
    }
    add_order(c, s);
    add_grid(s, &c->grid[HN_COMPARE_STEPS], steps, 3, most);
    add_totals(c, s);
    hn_sheet_end(s);
    hn_sheet_begin(s, "inputs_block", "Which inputs differ");
    add_grid(s, &c->grid[HN_COMPARE_INPUTS], all, 5, most);
    hn_sheet_end(s);
    hn_sheet_begin(s, "segments_block", "What changed for segments");
    hn_sheet_say(s, "rule",
                 "The cause of a change is the last step that changed the value; changed_at in the "
                 "tables names all of them.");
    add_grid(s, &c->grid[HN_COMPARE_COUNTS], all, 4, SIZE_MAX);
    add_changes(c, most, s);
    hn_sheet_end(s);
    hn_sheet_begin(s, "checks_block", "Do the totals agree?");
    add_grid(s, &c->grid[HN_COMPARE_CHECKS], all, 5, SIZE_MAX);
    hn_sheet_end(s);
}

hn_status hn_compare_sheet(hn_comparison *c, size_t most, hn_sheet *s, hn_error *err)
{
    hn_sheet_init(s, "", c->side[0].currency, 0);
    s->title = "Two results compared";
    add_blocks(c, most, s);
    hn_sheet_say(s, "caution",
                 "Screening and planning level. Local codes and a licensed engineer decide.")
        ->is_emphasised = 1;
    return hn_sheet_check(s, err);
}

/* Which inspections the segment has, how they were matched, and which one rules. */
#include "report/match_view.h"
#include "report/sheet_parts.h"

#include "base/dates.h"

static const hn_view_column columns[] = {
    {"inspected_on", "Inspected on", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"inspection_id", "Inspection", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"recorded_segment_id", "Recorded as", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"matched_by", "Matched by", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"confidence", "Confidence", "", "0-1", HN_VIEW_REAL, 3, NULL, 0},
    {"evidence", "Evidence", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"use", "Use", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void add_one(const hn_sheet_facts *f, hn_sheet *s, hn_sheet_item *t, const hn_matched *m)
{
    char day[HN_DATE_TEXT] = "", room[HN_EVIDENCE_BYTES];

    if (m->date != HN_I32_MISSING)
        hn_date_text(m->date, day);
    hn_sheet_cell_word(s, t, hn_sheet_text(s, "%s", day));
    hn_sheet_cell_word(s, t, hn_text_pool_get(f->table->texts, m->inspection_id));
    hn_sheet_cell_word(s, t, hn_text_pool_get(f->table->texts, m->segment));
    hn_sheet_cell_word(s, t, hn_match_names[m->how]);
    hn_sheet_cell_number(s, t, (double)m->confidence_0_1);
    hn_sheet_cell_word(s, t, hn_sheet_text(s, "%s", hn_match_evidence_text(m->evidence, room)));
    hn_sheet_cell_word(s, t, hn_match_use_names[m->use]);
}

void hn_sheet_matches(const hn_sheet_facts *f, hn_sheet *s)
{
    const hn_matches *all = f->matches;
    hn_sheet_item *t = NULL;

    for (size_t i = 0; all && i < all->count; i++) {
        if ((size_t)all->list[i].row != f->row)
            continue;
        if (!t)
            t = hn_sheet_table(
                s, "inspections",
                "Inspections of this segment; confidence by a local rule (docs/outputs.md)",
                columns, sizeof columns / sizeof columns[0]);
        add_one(f, s, t, &all->list[i]);
    }
}

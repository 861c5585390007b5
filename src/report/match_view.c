#include "report/match_view.h"

#include <stdio.h>
#include <string.h>

static const hn_view_column columns[] = {
    {"segment_id", "Segment", "Segment that the record was matched to", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"inspected_on", "Inspected on", "Day of the record", "", HN_VIEW_DATE, 0, NULL, 0},
    {"inspection_id", "Inspection", "Id of the inspection, as recorded", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"recorded_segment_id", "Recorded as", "Id of the segment in the record", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"source", "Source", "Number of its entry under inspections in the plan; empty: made from observations", "", HN_VIEW_INT, 0, NULL, 0},
    {"matched_by", "Matched by", "How the record found its segment", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"confidence", "Confidence", "How sure the match is, 0 to 1; below 0.5 it is doubtful", "0-1", HN_VIEW_REAL, 3, NULL, 0},
    {"evidence", "Evidence", "What else speaks for the match or against it", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"length_seen_m", "Length seen", "Length seen, as recorded", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"apart_m", "Apart", "Distance of the recorded place from the line; matches by place only", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"use", "Use", "Whether the record rules the condition of the segment", "", HN_VIEW_TEXT, 0, NULL, 0},
};

const char *hn_match_evidence_text(uint8_t evidence, char room[HN_EVIDENCE_BYTES])
{
    size_t used = 0;

    room[0] = '\0';
    for (int i = 0; i < HN_EVIDENCE_COUNT; i++) {
        if (!(evidence >> i & 1))
            continue;
        snprintf(room + used, HN_EVIDENCE_BYTES - used, "%s%s", used ? ", " : "",
                 hn_match_evidence_words[i]);
        used = strlen(room);
    }
    return room;
}

static void write_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_match_view *v = context;
    const hn_matched *m = &v->matches->list[place];
    char room[HN_EVIDENCE_BYTES];

    hn_cell_text(&cells[0], hn_table_text(v->table, HN_COL_SEGMENT_ID, (size_t)m->row));
    cells[1].is_null = m->date == HN_I32_MISSING;
    cells[1].i = m->date;
    hn_cell_text(&cells[2], hn_text_pool_get(v->table->texts, m->inspection_id));
    hn_cell_text(&cells[3], hn_text_pool_get(v->table->texts, m->segment));
    hn_cell_int(&cells[4], m->source + 1);
    cells[4].is_null = m->source == UINT16_MAX;
    hn_cell_text(&cells[5], hn_match_names[m->how]);
    hn_cell_real(&cells[6], (double)m->confidence_0_1);
    hn_cell_text(&cells[7], hn_scratch_copy(scratch, hn_match_evidence_text(m->evidence, room)));
    hn_cell_real(&cells[8], (double)m->length_seen_m);
    hn_cell_real(&cells[9], (double)m->apart_m);
    hn_cell_text(&cells[10], hn_match_use_names[m->use]);
}

void hn_match_view_make(const hn_table *table, const hn_matches *matches, hn_match_view *out)
{
    out->table = table;
    out->matches = matches;
    out->view = (hn_view){.name = "inspection_matches",
                          .title = "How each inspection found its segment",
                          .meaning = "Matched inspection records with the confidence of the match; "
                                     "with more than 100 000 segments the doubtful ones only. "
                                     "Those without a segment are in data_issues.",
                          .geometry = HN_GEOMETRY_NONE,
                          .columns = columns,
                          .column_count = sizeof columns / sizeof columns[0],
                          .rows = matches->count,
                          .context = out,
                          .row = write_row};
}

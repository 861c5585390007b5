#include "run/import.h"

#include "read/role_table.h"

#include <string.h>

static uint32_t text_at(const hn_role_column *column, size_t row)
{
    return column && column->is_mapped ? column->text[row] : 0;
}

static double number_at(const hn_role_column *column, size_t row)
{
    return column && column->is_mapped ? column->number[row] : (double)NAN;
}

/* Middle between the ends of the record's own geometry. */
static double middle(const double *first, const double *last, size_t row, int axis)
{
    return first ? 0.5 * (first[2 * row + (size_t)axis] + last[2 * row + (size_t)axis])
                 : (double)NAN;
}

static void copy_keys(const hn_role_table *from, hn_inspections *to, size_t base, size_t source)
{
    const hn_role_column *segment = hn_role_table_column(from, "segment_id");
    const hn_role_column *up = hn_role_table_column(from, "up_node");
    const hn_role_column *down = hn_role_table_column(from, "down_node");
    const hn_role_column *inspection = hn_role_table_column(from, "inspection_id");
    const hn_role_column *date = hn_role_table_column(from, "inspected_on");
    const hn_role_column *complete = hn_role_table_column(from, "complete");
    const hn_role_column *seen = hn_role_table_column(from, "length_seen");

    for (size_t i = 0; i < from->rows; i++) {
        double flag = number_at(complete, i);

        to->segment[base + i] = text_at(segment, i);
        to->up_node[base + i] = text_at(up, i);
        to->down_node[base + i] = text_at(down, i);
        to->inspection_id[base + i] = text_at(inspection, i);
        to->date[base + i] = date && date->is_mapped ? date->date[i] : HN_I32_MISSING;
        to->complete[base + i] = isnan(flag) ? (uint8_t)HN_CODE_MISSING : (uint8_t)(flag != 0.0);
        to->length_seen_m[base + i] = number_at(seen, i);
        to->x[base + i] = middle(from->first_xy, from->last_xy, i, 0);
        to->y[base + i] = middle(from->first_xy, from->last_xy, i, 1);
        to->source[base + i] = (uint16_t)source;
    }
}

static int is_inspected(hn_column_id id)
{
    for (size_t i = 0; i < hn_inspected_number_count; i++)
        if (hn_inspected_numbers[i] == id)
            return 1;
    for (size_t i = 0; i < hn_inspected_text_count; i++)
        if (hn_inspected_texts[i] == id)
            return 1;
    return 0;
}

static hn_status copy_observed(const hn_role_table *from, hn_inspections *to, size_t base,
                               hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t c = 0; c < from->column_count; c++) {
        const hn_role_column *column = &from->columns[c];
        hn_column_id id = column->spec->column;

        if (!column->is_mapped || id == HN_COL_COUNT || !is_inspected(id))
            continue;
        HN_TRY(hn_inspections_want(to, id, err));
        if (to->text[id])
            memcpy(to->text[id] + base, column->text, from->rows * sizeof(uint32_t));
        else
            memcpy(to->number[id] + base, column->number, from->rows * sizeof(double));
    }
out:
    return rc;
}

/* Columns that an earlier source mapped and this one does not read as missing. */
static void blank_rest(hn_inspections *to, size_t base, size_t rows)
{
    for (int id = 0; id < HN_COL_COUNT; id++) {
        for (size_t i = base; to->number[id] && i < base + rows; i++)
            to->number[id][i] = (double)NAN;
        for (size_t i = base; to->text[id] && i < base + rows; i++)
            to->text[id][i] = 0;
    }
}

static hn_status import_one(hn_state *s, size_t number, hn_error *err)
{
    const hn_source *source = &s->plan->inspections[number];
    hn_source_note *note = hn_state_note_source(s, source);
    hn_inspections *to = &s->inspections;
    hn_role_table from = {0};
    hn_status rc = HN_OK;

    HN_TRY(hn_role_table_read(source, hn_inspection_roles, hn_inspection_role_count, HN_ROLE_ENDS,
                              s->crs.wkt, s->threads, s->table->texts, &s->issues, &from, err));
    HN_TRY(hn_inspections_reserve(to, to->count + from.rows, err));
    blank_rest(to, to->count, from.rows);
    copy_keys(&from, to, to->count, number);
    HN_TRY(copy_observed(&from, to, to->count, err));
    to->count += from.rows;
    if (note) {
        note->rows_read = note->rows_kept = from.rows;
        memcpy(note->layer, from.layer, sizeof note->layer);
    }
out:
    hn_role_table_clear(&from);
    return rc;
}

hn_status hn_import_inspections(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = 0; i < s->plan->inspection_count; i++)
        HN_TRY(import_one(s, i, err));
out:
    return rc;
}
